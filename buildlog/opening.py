"""Opening the archive with everything that follows its changes; for the command line and faces alike."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from buildlog.archive import Archive
from buildlog.document import Log
from buildlog.settings import archive_path


def open_archive(path: Path | None = None, *, read_only: bool = False, create: bool = True) -> Archive:
    """The archive at ``path`` (the maker's own where ``None``). Raises :class:`ArchiveError`.

    What must be kept up to date with every change of a part is registered here with :meth:`Archive.on_change`.
    """
    archive = Archive.open(path or archive_path(), read_only=read_only, create=create)

    def index(conn: sqlite3.Connection, part_id: int, log: Log | None) -> None:
        # Imported at the first change: most commands change nothing.
        from buildlog import find

        find.changed(archive, conn, part_id, log)

    archive.on_change(index)
    return archive
