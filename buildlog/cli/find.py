"""``buildlog find``: the moment something was shown, over every video."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from buildlog.cli.common import BUILD, archive_option, counted, hms, json_option, open_archive, print_json, safe, say
from buildlog.errors import BadInput

if TYPE_CHECKING:
    from buildlog.archive import Archive, Part
    from buildlog.find import Found, Hit

T = TypeVar("T")
_DATE = click.DateTime(["%Y-%m-%d"])
_FILE = click.Path(path_type=Path, dir_okay=False)
_FILL_S = 3.0


@click.command()
@click.argument("words", nargs=-1, metavar="[QUESTION]")
@click.option("--build", type=BUILD, metavar="NAME", help="Only in this build.")
@click.option("--part", type=click.IntRange(1), metavar="N", help="Only in parts of this number.")
@click.option("--technique", metavar="NAME", help="Only where this technique comes up.")
@click.option("--material", metavar="NAME", help="Only where this material comes up.")
@click.option("--tool", metavar="NAME", help="Only where this tool comes up.")
@click.option("--piece", metavar="NAME", help="Only steps of this piece.")
@click.option("--since", type=_DATE, metavar="DATE", help="Only parts of this day (2025-03-31) or later.")
@click.option("--until", type=_DATE, metavar="DATE", help="Only parts of this day or earlier.")
@click.option("--shown/--mentioned", "shown", default=None, help="Only where it is done; only where it is talked of.")
@click.option("--on-camera/--off-camera", "on_camera", default=None, help="Only what was filmed; only what was not.")
@click.option(
    "--most", type=click.IntRange(1, 200), default=8, show_default=True, metavar="N", help="How many moments."
)
@click.option("--words-only", is_flag=True, help="By words alone, without sentence vectors.")
@click.option("--reply", is_flag=True, help="Print text with the time link, to paste under a viewer's question.")
@click.option("--take", type=click.IntRange(1), default=1, metavar="N", help="Which moment the next options take.")
@click.option("--still", type=_FILE, metavar="FILE", help="Save a picture of it (.jpg or .png).")
@click.option("--clip", type=_FILE, metavar="FILE", help="Cut it out as a film of its own.")
@click.option("--exact", is_flag=True, help="With --clip: begin on the very frame, by encoding anew.")
@click.option("--gif", type=_FILE, metavar="FILE", help="Save it as a moving picture.")
@click.option("--sheet", type=_FILE, metavar="FILE", help="Save one picture with a still of every moment found.")
@click.option("--play", is_flag=True, help="Play it.")
@click.option("--look-in", type=click.Path(path_type=Path), metavar="FOLDER", help="Where a moved recording is now.")
@click.option("--made-with", metavar="THING", help="Instead: everything in which this was used.")
@click.option("--last-used", metavar="THING", help="Instead: when this was used last.")
@click.option("--shown-once", is_flag=True, help="Instead: techniques shown in one part only.")
@click.option("--never-linked", is_flag=True, help="Instead: links promised and still owed.")
@click.option("--cost", type=BUILD, metavar="BUILD", help="Instead: what a build cost, as far as it was said.")
@click.option("--rebuild", is_flag=True, help="Make the whole index anew first.")
@json_option
@archive_option
def command(words: tuple[str, ...], archive: Path, as_json: bool, rebuild: bool, **options: Any) -> None:
    """Find the moment something was shown, in words of your own or a viewer's, over every video."""
    from buildlog.cli import find_backwards

    question = " ".join(words)
    backwards = find_backwards.asked(options)
    if not question and not rebuild and backwards is None:
        raise BadInput('say what to look for, such as: buildlog find "waxed thread"; --help lists other questions')
    with open_archive(archive, create=False) as opened:
        prepare(opened, rebuild=rebuild, vectors=not options["words_only"])
        if backwards is not None:
            find_backwards.answer(opened, backwards, as_json)
        if question:
            found = healing(opened, lambda: _search(opened, question, options))
            _tell(opened, found, options, as_json)


def _search(archive: Archive, question: str, options: dict[str, Any]) -> Found:
    from buildlog.find import Only, search

    dates = {k: options[k].date().isoformat() if options[k] else None for k in ("since", "until")}
    named = {k: options[k] for k in ("build", "part", "technique", "material", "tool", "piece", "shown", "on_camera")}
    only = Only(**named, **dates)
    return search(archive, question, only=only, limit=options["most"], vectors=not options["words_only"])


def prepare(archive: Archive, *, rebuild: bool = False, vectors: bool = True) -> None:
    """Bring the index up to date, telling what was done; a damaged one is made anew."""
    from buildlog import find

    if archive.read_only:
        return
    if rebuild:
        say(f"index made anew: {counted(find.rebuild(archive), 'part')}")
    else:
        done = healing(archive, lambda: find.bring_up(archive))
        if done:
            say(f"indexed {counted(done, 'part')}")
    if vectors and find.why_not() is None:
        find.fill(archive, within_s=None if rebuild else _FILL_S)
        left = find.waiting(archive)
        if left:
            say(f"{counted(left, 'moment')} found by words only so far; `buildlog find --rebuild` works through them")


def healing(archive: Archive, ask: Callable[[], T]) -> T:
    """What ``ask`` gives; where the index is damaged it is made anew first, and that is told."""
    from buildlog import find
    from buildlog.errors import ArchiveError

    try:
        return ask()
    except (sqlite3.DatabaseError, ArchiveError) as error:
        if archive.read_only or not find.is_damage(error):
            raise
        say(f"the index was damaged and has been made anew: {counted(find.rebuild(archive), 'part')}")
        return ask()


def time_link(part: Part, at_s: float) -> str | None:
    """The part's video at this second, as its host has it; ``None`` where it is not posted."""
    from buildlog.publish.hosts import DEFAULT, load
    from buildlog.publish.plain import at_moment

    return at_moment(part.video_url, at_s, load(part.host or DEFAULT).moment)


def _tell(archive: Archive, found: Found, options: dict[str, Any], as_json: bool) -> None:
    from buildlog.find import showing

    def link(hit: Hit) -> str | None:
        return time_link(archive.builds.part(hit.part_id), hit.at_s)

    _files(archive, found, options)
    if as_json:
        print_json({"found": found, "urls": [link(h) for h in found.hits]})
    elif options["reply"]:
        click.echo(safe_lines(showing.reply(found, link)))
    else:
        _print(found, link)


def safe_lines(text: str) -> str:
    """``text`` made safe for a terminal, its lines kept."""
    return "\n".join(safe(line) for line in text.split("\n"))


def _print(found: Found, link: Callable[[Hit], str | None]) -> None:
    if found.by == "words":
        say(f"found by words alone ({safe(found.why_words or '')})")
    if found.nowhere:
        unknown = f": nobody says {', '.join(f'“{safe(u)}”' for u in found.unknown)}" if found.unknown else ""
        say(f"nowhere{unknown}{'; nearest:' if found.hits else ''}")
    for n, hit in enumerate(found.hits[:3] if found.nowhere else found.hits, 1):
        state = "" if hit.on_camera else "  [off camera]"
        click.echo(f"{n:>2}. {safe(hit.build)}, part {hit.part}  {hms(hit.at_s)}{state}  {safe(hit.done or hit.said)}")
        if hit.done:
            click.echo(f"      “{safe(hit.said)}”")
        url = link(hit)
        also = f"; the same at {counted(len(hit.also), 'other place')}" if hit.also else ""
        click.echo(f"      {safe(hit.why)}{also}{f'  {url}' if url else ''}")


def _files(archive: Archive, found: Found, options: dict[str, Any]) -> None:
    """Pictures, clips and playing, of the moment taken."""
    from buildlog.find import showing

    wanted = [k for k in ("still", "clip", "gif", "play") if options[k]]
    if not wanted and not options["sheet"]:
        return
    if found.nowhere or len(found.hits) < options["take"]:
        raise BadInput(f"there is no moment {options['take']} to take: {counted(len(found.hits), 'moment')} found")
    hit = found.hits[options["take"] - 1]

    def doing(do: Callable[[], object]) -> None:
        try:
            do()
        except showing.Missing as error:
            if options["look_in"] is None:
                raise
            where = showing.look_for(archive, error.recording, options["look_in"])
            say(f"found again: {safe(where)}")
            do()

    if options["still"]:
        doing(lambda: showing.still(archive, hit, options["still"]))
    if options["clip"]:
        doing(lambda: showing.clip(archive, hit, options["clip"], exact=options["exact"]))
    if options["gif"]:
        doing(lambda: showing.moving_picture(archive, hit, options["gif"]))
    if options["sheet"]:
        say(f"{counted(showing.sheet(archive, found.hits, options['sheet']), 'picture')} in {safe(options['sheet'])}")
    for name in ("still", "clip", "gif"):
        if options[name]:
            say(f"wrote {safe(options[name])}")
    if options["play"]:
        doing(lambda: showing.play(archive, hit))
