"""``buildlog show``: what was found in a part."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from buildlog.cli.common import archive_option, find_part, json_option, open_archive, part_options, with_worksheets

_SECTIONS = ("chapters", "steps", "items", "techniques", "amounts", "links", "notes", "checks")


@click.command()
@part_options
@click.option("--only", type=click.Choice(_SECTIONS), multiple=True, help="Only this section; may be given again.")
@click.option("--as-read", is_flag=True, help="As the machine read it, without your edits.")
@json_option
@archive_option
def command(
    build: str | None, part: int | None, only: tuple[str, ...], as_read: bool, as_json: bool, archive: Path
) -> None:
    """Show what was found in a part: chapters, steps, items, amounts, links owed.

    BUILD is the build's name; it can be left out where the archive has only one. --json prints the whole log document.
    """
    from buildlog.document import to_json

    with open_archive(archive, read_only=True) as opened:
        found = find_part(opened, build, part)
        log = opened.reading(found.id) if as_read else opened.log(found.id)
        if as_json:
            sys.stdout.buffer.write(to_json(with_worksheets(log)))
            return
        from buildlog.cli.showing import lines

        for line in lines(log, found, opened.owed(found.id), only or _SECTIONS):
            click.echo(line)
