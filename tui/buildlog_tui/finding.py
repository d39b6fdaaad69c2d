"""Finding a moment in every video of the archive, through :mod:`buildlog.find`."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from buildlog_tui.text import hms


class Moment(NamedTuple):
    """Where something is shown or said."""

    part_id: int
    start_s: float
    row: str


def moments(archive_path: Path, question: str, *, read_only: bool) -> list[Moment]:
    """The moments that answer ``question``, best first. Raises :class:`BuildlogError`."""
    from buildlog import find
    from buildlog.opening import open_archive

    with open_archive(archive_path, create=False, read_only=read_only) as archive:
        if not read_only:
            find.bring_up(archive)
        found = find.search(archive, question, limit=30)
        near = "nearest: " if found.nowhere else ""
        return [
            Moment(h.part_id, h.at_s, f"{near}{h.build}, part {h.part}  {hms(h.at_s)}  {h.done or h.said}")
            for h in found.hits
        ]
