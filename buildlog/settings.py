"""Where buildlog keeps things, in one place.

``BUILDLOG_HOME`` moves everything (archive, cache) under one folder: tests and portable set-ups use it.
"""

from __future__ import annotations

import os
from pathlib import Path


def data_folder() -> Path:
    """The folder of the archive and of what was fetched; not created here."""
    home = os.environ.get("BUILDLOG_HOME")
    if home:
        return Path(home)
    import platformdirs

    return Path(platformdirs.user_data_path("buildlog", appauthor=False))


def cache_folder() -> Path:
    """The folder of results that can be computed again (half-heard recordings, stills); not created here."""
    home = os.environ.get("BUILDLOG_HOME")
    if home:
        return Path(home) / "cache"
    import platformdirs

    return Path(platformdirs.user_cache_path("buildlog", appauthor=False))


def archive_path() -> Path:
    """The default archive file: ``BUILDLOG_ARCHIVE``, else ``archive.sqlite3`` in the data folder."""
    named = os.environ.get("BUILDLOG_ARCHIVE")
    return Path(named) if named else data_folder() / "archive.sqlite3"
