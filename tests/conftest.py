"""Every test has a data folder of its own: no test reads or writes the maker's archive."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """``BUILDLOG_HOME`` in the test's temporary folder; the archive and caches are made in it."""
    folder = tmp_path / "home"
    monkeypatch.setenv("BUILDLOG_HOME", str(folder))
    monkeypatch.delenv("BUILDLOG_ARCHIVE", raising=False)
    return folder
