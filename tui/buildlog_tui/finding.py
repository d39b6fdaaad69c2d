"""Finding a moment in every video of the archive."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from buildlog.archive import Archive
from buildlog_tui.text import hms


class Moment(NamedTuple):
    """Where something is shown or said."""

    part_id: int
    label: str
    start_s: float
    text: str

    @property
    def row(self) -> str:
        """On one line."""
        return f"{self.label}  {hms(self.start_s)}  {self.text}"


def moments(archive_path: Path, text: str) -> list[Moment]:
    """The moments that fit ``text``: things and steps with all of its words. Opens the archive itself."""
    wanted = text.casefold().split()
    found: list[Moment] = []
    with Archive.open(archive_path, create=False, read_only=True) as archive:
        for part in archive.builds.parts():
            log = archive.log(part.id)
            rows = [
                *((x.first_s, " ".join([x.name, *x.aliases]), x.name) for x in log.items),
                *((x.first_shown_s, " ".join([x.name, *x.aliases]), x.name) for x in log.techniques),
                *((x.start_s, x.text, x.text) for x in log.steps),
            ]
            found += [
                Moment(part.id, part.label, start, name)
                for start, hay, name in rows
                if all(w in hay.casefold() for w in wanted)
            ]
    return found
