"""``buildlog find``: the moment something was shown, over every video."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from buildlog.cli.common import BUILD, archive_option, counted, hms, json_option, open_archive, print_json, safe, say

if TYPE_CHECKING:
    from buildlog.archive import Archive
    from buildlog.find import Found, Hit

_DATE = click.DateTime(["%Y-%m-%d"])


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
@click.option("--rebuild", is_flag=True, help="Make the whole index anew first.")
@json_option
@archive_option
def command(
    words: tuple[str, ...],
    build: str | None,
    part: int | None,
    technique: str | None,
    material: str | None,
    tool: str | None,
    piece: str | None,
    since: Any,
    until: Any,
    shown: bool | None,
    on_camera: bool | None,
    most: int,
    words_only: bool,
    rebuild: bool,
    as_json: bool,
    archive: Path,
) -> None:
    """Find the moment something was shown, in words of your own or a viewer's, over every video."""
    from buildlog.find import Only, search

    question = " ".join(words)
    with open_archive(archive, create=False) as opened:
        prepare(opened, rebuild=rebuild, vectors=not words_only)
        if not question and rebuild:
            return
        found = search(
            opened,
            question,
            only=Only(
                build=build,
                part=part,
                technique=technique,
                material=material,
                tool=tool,
                piece=piece,
                since=since.date().isoformat() if since else None,
                until=until.date().isoformat() if until else None,
                shown=shown,
                on_camera=on_camera,
            ),
            limit=most,
            vectors=not words_only,
        )
    if as_json:
        print_json(found)
        return
    for line in _lines(found):
        click.echo(line)


def prepare(archive: Archive, *, rebuild: bool = False, vectors: bool = True) -> None:
    """Bring the index up to date, telling what was done."""
    from buildlog import find

    if rebuild:
        say(f"index made anew: {counted(find.rebuild(archive), 'part')}")
    elif not archive.read_only:
        done = find.bring_up(archive)
        if done:
            say(f"indexed {counted(done, 'part')}")
    if vectors and not archive.read_only:
        find.fill(archive, within_s=None if rebuild else 3.0)


def _lines(found: Found) -> list[str]:
    return [_line(h) for h in found.hits]


def _line(hit: Hit) -> str:
    return f"{safe(hit.build)}, part {hit.part}  {hms(hit.at_s)}  {safe(hit.said)}"
