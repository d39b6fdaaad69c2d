"""What the outline stage takes and gives."""

from __future__ import annotations

from dataclasses import dataclass, field

from buildlog.document import Chapter, Step


@dataclass(frozen=True, slots=True)
class ChapterWish:
    """How the maker wants the part divided: ``count`` chapters in all, or chapters of about ``length_s`` seconds.

    At most one is set; neither leaves it to the talk.
    """

    count: int | None = None
    length_s: float | None = None


@dataclass(slots=True)
class Outline:
    """``steps`` in order of work, ``pieces`` by name (ids "p1", "p2", … in this order), ``chapters`` by time.

    Items and techniques of a step are "i" and "t" with the place in ``doc._.items`` and ``doc._.techniques``, from 1.
    """

    steps: list[Step] = field(default_factory=list)
    pieces: list[str] = field(default_factory=list)
    chapters: list[Chapter] = field(default_factory=list)
