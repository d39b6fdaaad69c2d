"""Opening the archive with everything that follows its changes; for the command line and faces alike."""

from __future__ import annotations

from pathlib import Path

from buildlog.archive import Archive
from buildlog.settings import archive_path


def open_archive(path: Path | None = None, *, read_only: bool = False, create: bool = True) -> Archive:
    """The archive at ``path`` (the maker's own where ``None``). Raises :class:`ArchiveError`.

    What must be kept up to date with every change of a part is registered here with :meth:`Archive.on_change`.
    """
    return Archive.open(path or archive_path(), read_only=read_only, create=create)
