"""``buildlog take``: recordings or transcripts in."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from buildlog.cli.common import (
    BUILD,
    archive_option,
    counted,
    hms,
    json_option,
    open_archive,
    progress_bar,
    safe,
    say,
)
from buildlog.errors import BadInput

if TYPE_CHECKING:
    from buildlog.archive import Archive
    from buildlog.intake import Taken


@click.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILE...")
@click.option("--build", type=BUILD, metavar="NAME", help="The build they belong to; else named after the file.")
@click.option("--part", type=click.IntRange(1), metavar="N", help="Put all of them into this part, one after another.")
@click.option("--instead", is_flag=True, help="The file replaces what --part had: the same film, exported again.")
@click.option("--title", metavar="TEXT", help="The part's title.")
@click.option(
    "--transcript",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="The media file's words, so that it need not be heard.",
)
@click.option(
    "--model", default="base", show_default=True, metavar="NAME", help="Speech model; `buildlog models` lists them."
)
@click.option("--language", default="en", show_default=True, metavar="CODE", help="The language spoken.")
@click.option("--track", type=click.IntRange(1), metavar="N", help="Which audio track to hear, counted from 1.")
@click.option("--batched", is_flag=True, help="Hear several stretches at once: quicker, a little less exact.")
@click.option("--again", is_flag=True, help="Read what is there already anew; your edits stay.")
@click.option("--box/--no-box", default=True, show_default=True, help="Print the description box at the end.")
@json_option
@archive_option
def command(
    files: tuple[Path, ...],
    build: str | None,
    part: int | None,
    instead: bool,
    title: str | None,
    transcript: Path | None,
    model: str,
    language: str,
    track: int | None,
    batched: bool,
    again: bool,
    box: bool,
    as_json: bool,
    archive: Path,
) -> None:
    """Take recordings or transcripts in: hear them, read them, keep them in the archive.

    FILE is video, audio, a timed transcript (WebVTT, SubRip, lines such as "[1:05] text") or a folder of them. Each
    becomes a part of its own unless --part puts them together. What was heard before is not heard again, and a run
    that was stopped goes on where it was. Write "-- -name.mp4" for a name that begins with a dash.
    """
    from buildlog.intake import NO_SPEECH, Hearing, name_for, sources, take_in

    found = sources(files, transcript)
    if title is not None and part is None and len(found) > 1:
        raise BadInput("one title for several parts; name one file, or put them into one part with --part")
    if instead and (part is None or len(found) != 1):
        raise BadInput("to replace a part's film, name one file and the part's number with --part")
    name = build or name_for(files[0])
    hearing = Hearing(model=model, language=language, track=track, batched=batched)
    with open_archive(archive) as opened:
        done: list[Taken] = []
        for source in found:
            if len(found) > 1:
                say(safe(source.path.name))
            with progress_bar() as tell:
                done.append(
                    take_in(
                        opened,
                        source,
                        build=name,
                        number=part,
                        title=title,
                        instead=instead,
                        hearing=hearing,
                        again=again,
                        tell=tell,
                    )
                )
            say(_summary(done[-1]))
            if not done[-1].log.transcript:
                say(f"{safe(source.path.name)}: {NO_SPEECH}")
        parts = list(dict.fromkeys(t.part.id for t in done))
        if as_json:
            _print_logs(opened, parts)
        elif box:
            for part_id in parts:
                _print_box(opened, part_id)
        last = done[-1].part
        say(f"Kept as {safe(last.label)}. Put it right: buildlog bench {_quoted(last.build)} --part {last.number}")


def _summary(taken: Taken) -> str:
    log = taken.log
    open_links = sum(1 for x in log.links_owed if x.url is None and not x.waived)
    how = "heard and read" if taken.heard_anew else "read" if taken.read_anew else "nothing new"
    return (
        f"{hms(log.recording.duration_s)} {how}: {counted(len(log.chapters), 'chapter')}, "
        f"{counted(len(log.steps), 'step')}, {counted(len(log.items), 'item')}, "
        f"{counted(len(log.measurements), 'amount')}, {counted(open_links, 'link owed', 'links owed')}"
    )


def _print_logs(archive: Archive, parts: list[int]) -> None:
    """The log document of one part; of several, an array of them."""
    import msgspec

    from buildlog.document import to_json

    if len(parts) == 1:
        sys.stdout.buffer.write(to_json(archive.log(parts[0])))
        return
    logs = msgspec.json.encode([archive.log(p) for p in parts])
    sys.stdout.buffer.write(msgspec.json.format(logs, indent=2) + b"\n")


def _print_box(archive: Archive, part_id: int) -> None:
    from buildlog.publish.series import box_part

    click.echo(box_part(archive, archive.builds.part(part_id)).text, nl=False)


def _quoted(text: str) -> str:
    import shlex

    return shlex.quote(safe(text))
