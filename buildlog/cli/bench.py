"""``buildlog bench``: put a log right, in the terminal, in a browser on this machine, or by plain prompts."""

from __future__ import annotations

from pathlib import Path

import click

from buildlog.cli.common import archive_option, find_part, open_archive, part_options, say
from buildlog.errors import ArchiveError, BadInput


@click.command()
@part_options
@click.option("--plain", is_flag=True, help="Prompts and answers instead of a full screen: for screen readers.")
@click.option("--browser", is_flag=True, help="Show the bench in a browser, served on this machine only.")
@click.option("--port", type=click.IntRange(0, 65535), default=8437, show_default=True, help="With --browser.")
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="With --browser: the address to serve on. Anyone who reaches another one can change your log.",
)
@click.option(
    "--look", type=click.Choice(["dark", "light", "contrast"]), default="dark", show_default=True, help="Colours."
)
@archive_option
def command(
    build: str | None,
    part: int | None,
    plain: bool,
    browser: bool,
    port: int,
    host: str,
    look: str,
    archive: Path,
) -> None:
    """Open the bench: see what was found in a part, put it right, leave with a finished description box.

    Every change is kept at once and can be taken back, also another day. On the bench, ? lists every key.
    """
    if plain and browser:
        raise BadInput("--plain and --browser do not go together; choose one")
    try:
        opened = open_archive(archive, create=False)
    except ArchiveError as error:
        try:
            opened = open_archive(archive, create=False, read_only=True)
        except ArchiveError:
            raise error from None
        say(f"buildlog: {error}; opened to look at only")
    with opened:
        found = find_part(opened, build, part)
        import buildlog_tui

        if plain:
            buildlog_tui.run_plain(opened, found)
        elif browser:
            buildlog_tui.run_browser(archive, found, host=host, port=port, look=look)
        else:
            buildlog_tui.run(opened, found, look=look)
