"""The marks on the words of a log: which words speak of which thing. An edit redoes the marks of what it touched."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal, NamedTuple

from buildlog.document import Item, LinkOwed, Log, Measurement, Note, Repair, Technique
from buildlog.edits.kinds import Thing
from buildlog.edits.place import AnyThing, things
from buildlog_tui.kinds import UNSURE

_MARKED: tuple[Thing, ...] = ("item", "technique", "measurement", "link", "note", "repair")
_ORDER: dict[str, int] = {of: n for n, of in enumerate(_MARKED)}

Span = Callable[[float, float], tuple[int, int]]


class Ref(NamedTuple):
    """One thing of the log by its place in its list; or an edit that found no place, by its place among those."""

    of: Thing | Literal["unplaced"]
    place: int


class Mark(NamedTuple):
    """The words ``first`` to ``last`` (both included) that speak of a thing. ``wide``: a sentence, not a name."""

    first: int
    last: int
    kind: str
    ref: Ref
    unsure: bool
    wide: bool
    start_s: float


def kind_of(thing: AnyThing, of: str) -> str:
    """The key of :data:`buildlog_tui.kinds.LOOKS` for a thing."""
    return thing.kind if isinstance(thing, (Item, Note)) else of


def _order(mark: Mark) -> tuple[int, int, int, int]:
    return mark.first, mark.last, _ORDER[mark.ref.of], mark.ref.place


class Marks:
    """The marks of one transcript. ``span`` gives the first and last word of a stretch of time."""

    def __init__(self, span: Span, block_of: Sequence[int]) -> None:
        self._span = span
        self._block_of = block_of
        self._sections: dict[Thing, tuple[Sequence[AnyThing], list[list[Mark]]]] = {}
        self._of_block: dict[int, list[Mark]] = {}
        self._all: list[Mark] | None = None

    def show(self, log: Log) -> set[int]:
        """Take the log as it is now. Gives the paragraphs whose marks changed."""
        gone: set[Mark] = set()
        come: list[Mark] = []
        for of in _MARKED:
            values = things(log, of)
            before, marks = self._sections.get(of, ((), []))
            if before is values:
                continue
            made = [
                marks[n] if n < len(before) and before[n] is thing else self._marks_of(thing, Ref(of, n))
                for n, thing in enumerate(values)
            ]
            for n in range(max(len(made), len(marks))):
                was, now = marks[n] if n < len(marks) else None, made[n] if n < len(made) else None
                if was is not now and was != now:
                    gone.update(was or ())
                    come += now or ()
            self._sections[of] = (values, made)
        if not gone and not come:
            return set()
        self._all = None
        fresh: dict[int, list[Mark]] = {}
        for mark in come:
            for block in self._blocks(mark):
                fresh.setdefault(block, []).append(mark)
        touched = {block for mark in gone for block in self._blocks(mark)} | fresh.keys()
        for block in touched:
            kept = [m for m in self._of_block.get(block, ()) if m not in gone]
            self._of_block[block] = sorted(kept + fresh.get(block, []), key=_order)
        return touched

    def _blocks(self, mark: Mark) -> range:
        return range(self._block_of[mark.first], self._block_of[mark.last] + 1)

    def _marks_of(self, thing: AnyThing, ref: Ref) -> list[Mark]:
        match thing:
            case Item() | Technique():
                kind, unsure = kind_of(thing, ref.of), thing.confidence < UNSURE
                spans = [(*self._span(m.start_s, m.end_s), m.start_s) for m in thing.mentions]
                return [Mark(first, last, kind, ref, unsure, False, start) for first, last, start in spans]
            case Measurement() | Repair() | LinkOwed() | Note():
                wide = isinstance(thing, (LinkOwed, Note))
                first, _ = self._span(thing.start_s, thing.start_s)
                last = min(first + max(1, len(thing.text.split())) - 1, len(self._block_of) - 1)
                return [Mark(first, last, kind_of(thing, ref.of), ref, thing.confidence < UNSURE, wide, thing.start_s)]
        return []

    def all(self) -> list[Mark]:
        """Every mark, in order of the words."""
        if self._all is None:
            self._all = sorted((m for _, made in self._sections.values() for ms in made for m in ms), key=_order)
        return self._all

    def of(self, ref: Ref) -> list[Mark]:
        """The marks of one thing, in the order it is mentioned."""
        made = self._sections[ref.of][1] if ref.of != "unplaced" and ref.of in self._sections else []
        return made[ref.place] if 0 <= ref.place < len(made) else []

    def of_block(self, block: int) -> list[Mark]:
        """The marks that touch a paragraph."""
        return self._of_block.get(block, [])
