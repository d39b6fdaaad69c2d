"""A step as found, before it gets its ids."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from buildlog.outline.steps.phrases import Phrase


@dataclass(slots=True)
class Draft:
    """``text`` is the sentence, tokens ``start`` to ``end`` tell it, ``at`` is where the doing begins.

    ``same_as`` are the drafts it repeats; ``earlier`` says that it was done before what is told around it ("before
    any of
    this I'd already …"): 2 before everything, 1 before the step in front of it.
    """

    text: str
    start: int
    end: int
    at: int
    phrases: list[Phrase]
    sure: float
    piece: str | None = None
    on_camera: bool = True
    inferred: bool = False
    same_as: list[Draft] = field(default_factory=list)
    earlier: int = 0
