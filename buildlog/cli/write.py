"""``buildlog write``: the description box and files that other programs read."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from buildlog.cli.common import (
    archive_option,
    counted,
    find_part,
    json_option,
    open_archive,
    part_options,
    print_json,
    safe,
    say,
)
from buildlog.errors import BadInput

if TYPE_CHECKING:
    from buildlog.archive import Archive, Part
    from buildlog.publish.formats import Part as Publication


def publishing_options(function: Any) -> Any:
    """Options that say how the box is written: host, units, steps, template, where the sheet is."""
    for option in (
        click.option(
            "--settings",
            type=click.Path(path_type=Path, dir_okay=False),
            metavar="FILE",
            help="More of what you want, as TOML: cut_order, intro, hashtags …; --formats lists them.",
        ),
        click.option("--sheet-url", metavar="URL", help="Where the whole build sheet can be read."),
        click.option(
            "--template",
            type=click.Path(path_type=Path, dir_okay=False),
            metavar="FILE",
            help="A template of your own for the description box (Jinja).",
        ),
        click.option("--steps", type=click.Choice(["list", "pointer", "none"]), help="Steps in the box."),
        click.option("--units", type=click.Choice(["as_said", "metric", "imperial"]), help="Which units come first."),
        click.option("--host", metavar="NAME", help="Whose limits to keep: a name, or a rules file (.toml)."),
    ):
        function = option(function)
    return function


def typed(
    host: str | None,
    units: str | None,
    steps: str | None,
    template: Path | None,
    sheet_url: str | None,
    settings: Path | None = None,
) -> dict[str, Any]:
    """What was typed, without what was not. Raises :class:`BadInput` for a file that cannot be read."""
    given: dict[str, Any] = {} if settings is None else _settings_in(settings)
    given |= {
        k: v for k, v in (("host", host), ("units", units), ("steps", steps), ("sheet_url", sheet_url)) if v is not None
    }
    if template is not None:
        try:
            given["template"] = template.read_text("utf-8")
        except (OSError, UnicodeDecodeError) as error:
            raise BadInput(f"cannot read the template {safe(template)}; give a text file in UTF-8") from error
    return {k: v for k, v in given.items() if v is not None}


def _settings_in(path: Path) -> dict[str, Any]:
    """The settings in a file of the maker's own. Raises :class:`BadInput`."""
    import tomllib

    from buildlog.publish import settings_from

    try:
        given = tomllib.loads(path.read_text("utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise BadInput(f"cannot read the settings {safe(path)}; give a text file in UTF-8") from error
    except tomllib.TOMLDecodeError as error:
        raise BadInput(f"the settings {safe(path)} are no TOML: {safe(error)}; correct them") from error
    settings_from({k: v for k, v in given.items() if k != "host"})  # refuses what is no setting
    return given


@click.command()
@part_options
@click.option("--as", "names", multiple=True, metavar="FORMAT", help="What to write; may be repeated. --formats lists.")
@click.option("--every", is_flag=True, help="Every format.")
@click.option("--formats", is_flag=True, help="List the formats and the hosts whose limits are known.")
@click.option("--to", type=click.Path(path_type=Path), metavar="PATH", help="A folder for the files, or one file.")
@click.option("--log", "log_file", type=click.Path(path_type=Path), metavar="FILE", help="Write this log document.")
@click.option("--whole-build", is_flag=True, help="One sheet over all parts: markdown, html or csv.")
@click.option("--stills", is_flag=True, help="A picture for every step on the page (html).")
@click.option("--fps", type=float, metavar="N", help="Frames a second for otio and edl; else the recording's own.")
@click.option("--chapters-into", type=click.Path(path_type=Path), metavar="FILE", help="Copy the video, chapters in.")
@click.option("--remember", is_flag=True, help="Keep host, units, steps, template, sheet and settings for every build.")
@publishing_options
@json_option
@archive_option
def command(
    build: str | None,
    part: int | None,
    names: tuple[str, ...],
    every: bool,
    formats: bool,
    to: Path | None,
    log_file: Path | None,
    whole_build: bool,
    stills: bool,
    fps: float | None,
    chapters_into: Path | None,
    remember: bool,
    host: str | None,
    units: str | None,
    steps: str | None,
    template: Path | None,
    sheet_url: str | None,
    settings: Path | None,
    as_json: bool,
    archive: Path,
) -> None:
    """Write the description box, and files that other programs read.

    Without --as it prints the description box. Several formats, or one that is not to be printed, need --to. What a
    host's limit leaves out is said on standard error.
    """
    if formats:
        _list_formats(as_json)
        return
    asked = typed(host, units, steps, template, sheet_url, settings)
    if log_file is not None:
        _write([_from_file(log_file, asked, fps)], names, every, to, as_json, stem=log_file.stem)
        return
    with open_archive(archive, read_only=not remember) as opened:
        found = find_part(opened, build, part)
        if remember:
            _remember(opened, asked)
        if whole_build:
            parts = [_from_archive(opened, p, asked, stills) for p in opened.builds.parts(found.build_id)]
            _write(parts, names or ("markdown",), False, to, as_json, stem=_stem(found.build), whole=True)
            return
        if chapters_into is not None:
            _chapters_into(opened, found, asked, chapters_into)
            if not (names or every):
                return
        counts_frames = every or not {"otio", "edl"}.isdisjoint(names)
        publication = _from_archive(opened, found, asked, stills, fps=fps, ask_rate=counts_frames)
        many = len(opened.builds.parts(found.build_id)) > 1
        stem = _stem(f"{found.build}-{found.number}" if many else found.build)
        _write([publication], names, every, to, as_json, stem=stem)


def _list_formats(as_json: bool) -> None:
    from buildlog.publish import hosts
    from buildlog.publish.formats import FORMATS
    from buildlog.publish.settings import listed as settings_listed

    wanted = settings_listed()
    if as_json:
        print_json(
            {
                "settings": {name: kind for name, kind, _ in wanted},
                "formats": {name: {"ending": ending, "what": what} for name, (ending, _, what) in FORMATS.items()},
                "hosts": {name: hosts.load(name) for name in hosts.names()},
            }
        )
        return
    for name, (ending, _, what) in FORMATS.items():
        click.echo(f"{name:<16} {ending:<18} {what}")
    click.echo("\nHosts")
    for name in hosts.names():
        click.echo(f"{name:<18} {hosts.load(name).about}")
    click.echo("\nSettings, for --settings FILE")
    for name, kind, usual in wanted:
        click.echo(f"{name:<18} {kind}{f'; else {usual}' if usual else ''}")


def _asked_rate(fps: float | None) -> float | None:
    from buildlog.publish.timeline import asked_rate

    return None if fps is None else asked_rate(fps)


def _from_file(path: Path, asked: dict[str, Any], fps: float | None) -> Publication:
    from buildlog.document import from_json
    from buildlog.publish import settings_from
    from buildlog.publish.formats import prepare
    from buildlog.publish.hosts import DEFAULT

    try:
        log = from_json(path.read_bytes())
    except OSError as error:
        raise BadInput(f"cannot read {safe(path)}: {error.strerror}; name a log document") from error
    rest = {k: v for k, v in asked.items() if k != "host"}
    return prepare(log, host=asked.get("host") or DEFAULT, settings=settings_from(rest), frame_rate=_asked_rate(fps))


def _from_archive(
    archive: Archive,
    part: Part,
    asked: dict[str, Any],
    stills: bool,
    *,
    fps: float | None = None,
    ask_rate: bool = False,
) -> Publication:
    from buildlog.publish.formats import prepare
    from buildlog.publish.series import about_part, choices
    from buildlog.publish.timeline import rate_of

    log = archive.log(part.id)
    host, settings = choices(archive, part, **asked)
    pictures = None
    if stills:
        from buildlog.publish.stills import step_stills

        pictures = step_stills(log, archive.builds.cut(part.id), _paths(archive, part))
    return prepare(
        log,
        host=host,
        settings=settings,
        about=about_part(archive, part),
        link_book=archive.links.all(),
        stills=pictures,
        frame_rate=_asked_rate(fps) or (rate_of(_paths(archive, part).values()) if ask_rate else None),
    )


def _paths(archive: Archive, part: Part) -> dict[int, Path]:
    return {r.id: Path(r.path) for r in archive.builds.recordings(part.id)}


def _remember(archive: Archive, asked: dict[str, Any]) -> None:
    from buildlog.publish.series import SETTING, choices

    choices(archive, None, **asked)  # refuses what is no setting before it is kept
    archive.settings.put(SETTING, {**(archive.settings.get(SETTING) or {}), **asked})


def _stem(name: str) -> str:
    """A file name out of a build's name: letters, digits and dashes."""
    return re.sub(r"[^\w]+", "-", name.casefold()).strip("-_")[:80] or "build"


def _write(
    parts: list[Publication],
    names: tuple[str, ...],
    every: bool,
    to: Path | None,
    as_json: bool,
    *,
    stem: str,
    whole: bool = False,
) -> None:
    from buildlog.publish.files import write_file
    from buildlog.publish.formats import FORMATS, write

    chosen = list(FORMATS) if every else list(names) or ["box"]
    ready: list[tuple[str, bytes]] = []
    for name in chosen:
        if whole:
            from buildlog.publish.whole import write_whole

            ready.append((name, write_whole(name, parts)))
        else:
            ready.append((name, write(name, parts[0])))
    if not whole and "box" in chosen:
        _say_cut(parts[0])
    if as_json and to is None:
        print_json({name: data.decode() for name, data in ready})
        return
    if to is None:
        if len(ready) > 1:
            raise BadInput("several formats at once need a folder; add --to FOLDER")
        sys.stdout.buffer.write(ready[0][1])
        return
    single = len(ready) == 1 and to.suffix and not to.is_dir()
    if not single:
        try:
            to.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise BadInput(f"cannot make the folder {safe(to)}: {error.strerror}; name another with --to") from error
    written = []
    for name, data in ready:
        path = to if single else to / f"{stem}{'.build' if whole else ''}{FORMATS[name][0]}"
        written.append(str(write_file(path, data)))
    if as_json:
        print_json({"written": written})
    say(f"Wrote {counted(len(written), 'file')}: {', '.join(safe(Path(w).name) for w in written)}")


def _say_cut(publication: Publication) -> None:
    from buildlog.publish.box import box_of

    made = box_of(publication.sheet, publication.host, publication.settings)
    say(f"{made.used} of {made.limit} {made.unit}")
    if made.cut:
        say(f"Left out, as the host takes no more: {safe('; '.join(made.cut))}")


def _chapters_into(archive: Archive, part: Part, asked: dict[str, Any], out: Path) -> None:
    from buildlog.publish.media_chapters import with_chapters

    recordings = archive.builds.recordings(part.id)
    if len(recordings) != 1 or not archive.builds.cut(part.id).is_plain():
        raise BadInput("chapters can be written into a part that is one finished video; this one is put together")
    publication = _from_archive(archive, part, asked, False)
    with_chapters(Path(recordings[0].path), publication.sheet.chapters.chapters, out)
    say(f"Wrote {safe(out.name)} with {counted(len(publication.sheet.chapters.chapters), 'chapter')}")
