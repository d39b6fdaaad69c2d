"""The bench: a face of buildlog in the terminal, in a browser on the same machine, or as plain prompts.

It has no rules of its own: it shows :meth:`buildlog.archive.Archive.log` and makes edits.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from buildlog.archive import Archive, Part


def run(archive: Archive, part: Part, *, look: str = "dark") -> None:
    """Open the bench on ``part``; returns when the maker leaves. ``look``: "dark", "light" or "contrast"."""
    import gc

    # Hundreds of modules and a log that stay: the collector has nothing to find until the first screen is up, and the
    # bench lets it go again then.
    gc.disable()
    from buildlog_tui.app import Bench
    from buildlog_tui.pictures import graphics

    Bench(archive, part, look=look, graphics=graphics).run()


def run_plain(archive: Archive, part: Part) -> None:
    """The same corrections as questions and answers on standard input and output."""
    from buildlog_tui.plain import Plain

    Plain(archive, part).run()


def run_browser(archive: Path, part: Part, *, host: str, port: int, look: str) -> None:
    """Serve the bench to a browser until it is stopped with ctrl+c."""
    from buildlog_tui.serving import serve

    serve(archive, part, host=host, port=port, look=look)
