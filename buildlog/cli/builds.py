"""``buildlog builds``: builds and parts, and what they still owe."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from buildlog.cli.common import (
    BUILD,
    archive_option,
    counted,
    find_part,
    hms,
    json_option,
    open_archive,
    print_json,
    safe,
)

if TYPE_CHECKING:
    from buildlog.archive import Archive, Owed, Part


@click.command()
@click.argument("build", type=BUILD, required=False)
@click.option("--part", type=click.IntRange(1), metavar="N", help="Only the part of this number.")
@click.option("--owing", is_flag=True, help="Only parts that still owe something, with what it is.")
@click.option("--title", metavar="TEXT", help="Give the part this title; an empty one takes it away.")
@click.option("--video-url", metavar="URL", help="Where the part can be watched: other parts and pages link to it.")
@click.option("--posted-on", metavar="DATE", help="The day it was posted, as 2025-03-31.")
@json_option
@archive_option
def command(
    build: str | None,
    part: int | None,
    owing: bool,
    title: str | None,
    video_url: str | None,
    posted_on: str | None,
    as_json: bool,
    archive: Path,
) -> None:
    """List builds and parts, and what each still owes: links, promises, open checks.

    --title, --video-url and --posted-on change what is known of a part: the one that --part names, else the last.
    """
    facts = {"title": title, "video_url": video_url, "posted_on": posted_on}
    told = {k: v.strip() or None for k, v in facts.items() if v is not None}
    with open_archive(archive, read_only=not told) as opened:
        if told:
            meant = find_part(opened, build, part)
            opened.builds.set_part(meant.id, **told)
            build = meant.build
        builds = opened.builds.all() if build is None else [opened.builds.named(build)]
        table = [
            (b, [(p, opened.owed(p.id)) for p in opened.builds.parts(b.id) if part in (None, p.number)]) for b in builds
        ]
        if owing:
            table = [(b, kept) for b, parts in table if (kept := [(p, o) for p, o in parts if o.count])]
        if as_json:
            print_json([{"build": b.name, "parts": [_facts(opened, p, o) for p, o in parts]} for b, parts in table])
            return
        for found, parts in table:
            click.echo(safe(found.name))
            for one, owed in parts:
                click.echo(_row(one, owed))
                if owing:
                    for row in _owing(owed):
                        click.echo(row)


def _facts(archive: Archive, part: Part, owed: Owed) -> dict[str, Any]:
    def said(rows: list[tuple[float, str]]) -> list[dict[str, Any]]:
        return [{"start_s": start, "text": text} for start, text in rows]

    return {
        "part": part.number,
        "title": part.title,
        "video_url": part.video_url,
        "posted_on": part.posted_on,
        "recordings": [r.path for r in archive.builds.recordings(part.id)],
        "owed": {
            "links": said(owed.links),
            "promises": said(owed.promises),
            "checks": said(owed.checks),
            "needs_look": owed.needs_look,
        },
    }


def _row(part: Part, owed: Owed) -> str:
    title = f"  {safe(part.title)}" if part.title else ""
    posted = f"  posted {part.posted_on}" if part.posted_on else ""
    posted += f"  {safe(part.video_url)}" if part.video_url else ""
    counts = [
        counted(len(rows), one, many)
        for rows, one, many in (
            (owed.links, "link owed", "links owed"),
            (owed.promises, "promise", "promises"),
            (owed.checks, "open check", "open checks"),
            (owed.needs_look, "edit to look at", "edits to look at"),
        )
        if rows
    ]
    return f"  part {part.number}{title}{posted}  {', '.join(counts) or 'owes nothing'}"


def _owing(owed: Owed) -> list[str]:
    rows = [
        f"    {hms(start):>8}  {what}: {safe(text)}"
        for what, found in (("link", owed.links), ("promise", owed.promises), ("check", owed.checks))
        for start, text in found
    ]
    return rows + [f"              edit: {safe(why)}" for why in owed.needs_look]
