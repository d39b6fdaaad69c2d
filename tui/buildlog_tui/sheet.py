"""A log laid out by its words: which words carry which marks, steps and chapters.

No Textual here, and nothing is decided: it only turns seconds into word numbers, quickly enough to be redone after
every edit (the words themselves are kept as long as the transcript is the same object).
"""

from __future__ import annotations

from array import array
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from typing import NamedTuple

from buildlog.document import Chapter, Item, Line, LinkOwed, Log, Measurement, Mention, Note, Repair, Step, Technique
from buildlog.edits.kinds import Thing
from buildlog.edits.place import AnyThing, things
from buildlog.tag.timed import words_of
from buildlog_tui.kinds import UNSURE
from buildlog_tui.text import cell_len, shown

# Two times that are closer than this are the same moment: mentions are rounded to a millisecond.
SAME_S = 0.002
_MARKED: tuple[Thing, ...] = ("item", "technique", "measurement", "link", "note", "repair")
# A paragraph ends at a pause, or after so many lines at the end of a sentence, or at the latest after so many.
PAUSE_S, LONG, LONGEST = 0.9, 5, 14


class Ref(NamedTuple):
    """One thing of the log by its place in its list."""

    of: Thing
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


class Sheet:
    """The words of a log and what stands on them."""

    def __init__(self) -> None:
        self.log = Log()
        self.starts: list[float] = []
        self.ends: list[float] = []
        self.texts: list[str] = []
        self.sizes: list[int] = []  # in cells
        self.line_of: list[int] = []
        self.first_of: list[int] = [0]  # first word of each line, and one past the last word
        self.block_of: list[int] = []  # lines run on in one paragraph until the speaker pauses
        self.first_in: list[int] = [0]  # first word of each paragraph, and one past the last word
        self.marks: list[Mark] = []
        self.step_of = array("i")  # for each word the index of its step, or -1
        self.chapter_words: list[tuple[int, int]] = []  # (first word, chapter index) in order of time
        self._lines: list[Line] | None = None
        self._of_block: dict[int, list[Mark]] = {}
        self._spans: dict[int, tuple[list[Mention], list[tuple[int, int]]]] = {}
        self._sections: dict[Thing, tuple[Sequence[AnyThing], list[Mark]]] = {}
        self._steps: list[Step] | None = None
        self._chapters: list[Chapter] | None = None

    @property
    def count(self) -> int:
        """How many words there are."""
        return len(self.texts)

    def show(self, log: Log) -> bool:
        """Lay ``log`` out. Returns whether the words themselves changed."""
        self.log = log
        anew = log.transcript is not self._lines
        if anew:
            self._take_words(log.transcript)
            self._lines = log.transcript
        # Parts of the log that an edit did not touch are the very same objects as before.
        if anew:
            self._spans, self._sections, self._steps, self._chapters = {}, {}, None, None
        self._take_marks(log)
        if self._steps is not log.steps:
            self._steps = log.steps
            self._take_steps(log)
        if self._chapters is not log.chapters:
            self._chapters = log.chapters
            self.chapter_words = sorted((self.word_at(c.start_s), i) for i, c in enumerate(log.chapters))
        return anew

    def _take_words(self, lines: list[Line]) -> None:
        self.starts, self.ends, self.texts, self.line_of, self.first_of = [], [], [], [], [0]
        for number, line in enumerate(lines):
            for word in words_of(line):
                text = shown(word.text).strip()
                self.starts.append(word.start_s)
                self.ends.append(word.end_s)
                self.texts.append(text or "·")
                self.line_of.append(number)
            self.first_of.append(len(self.texts))
        self.sizes = [len(t) if t.isascii() else cell_len(t) for t in self.texts]
        self._take_blocks()

    def _take_blocks(self) -> None:
        self.block_of, self.first_in = [], [0]
        begun = 0
        for number, first in enumerate(self.first_of[:-1]):
            if first == self.first_of[number + 1]:
                continue
            if first > self.first_in[-1]:
                pause = self.starts[first] - self.ends[first - 1]
                full = number - begun >= LONGEST or (number - begun >= LONG and self.texts[first - 1][-1] in ".?!…")
                if pause >= PAUSE_S or full:
                    self.first_in.append(first)
                    begun = number
            self.block_of += [len(self.first_in) - 1] * (self.first_of[number + 1] - first)
        self.first_in.append(self.count)

    def word_at(self, at_s: float) -> int:
        """The word said at ``at_s``, else the next one, else the last."""
        at = bisect_right(self.starts, at_s + SAME_S) - 1
        if at >= 0 and (self.ends[at] > at_s + SAME_S or self.starts[at] >= at_s - SAME_S):
            # Several words can begin at the same time where one was put right: take the first.
            while at > 0 and self.starts[at - 1] >= self.starts[at] - 1e-9:
                at -= 1
            return at
        return max(0, min(at + 1, self.count - 1))

    def span(self, start_s: float, end_s: float) -> tuple[int, int]:
        """The first and last word of a stretch of time; one word at least."""
        first = self.word_at(start_s)
        last = bisect_left(self.starts, end_s - SAME_S) - 1
        return first, min(max(first, last), max(0, self.count - 1))

    def _take_marks(self, log: Log) -> None:
        if not self.count:
            self.marks, self._of_block = [], {}
            return
        changed = False
        for of in _MARKED:
            values = things(log, of)
            kept = self._sections.get(of)
            if kept is None or kept[0] is not values:
                self._sections[of] = (values, self._marks_of(of, values))
                changed = True
        if not changed:
            return
        self.marks = sorted((m for _, marks in self._sections.values() for m in marks), key=lambda m: (m.first, m.last))
        of_block: dict[int, list[Mark]] = {}
        for mark in self.marks:
            for block in range(self.block_of[mark.first], self.block_of[mark.last] + 1):
                of_block.setdefault(block, []).append(mark)
        self._of_block = of_block

    def _marks_of(self, of: Thing, values: Sequence[AnyThing]) -> list[Mark]:
        marks: list[Mark] = []
        for place, thing in enumerate(values):
            ref = Ref(of, place)
            match thing:
                case Item() | Technique():
                    kind, unsure = kind_of(thing, of), thing.confidence < UNSURE
                    for m, (first, last) in zip(thing.mentions, self._spans_of(thing.mentions), strict=True):
                        marks.append(Mark(first, last, kind, ref, unsure, False, m.start_s))
                case Measurement() | Repair() | LinkOwed() | Note():
                    wide = isinstance(thing, (LinkOwed, Note))
                    kind, unsure = kind_of(thing, of), thing.confidence < UNSURE
                    first = self.word_at(thing.start_s)
                    last = min(first + max(1, len(thing.text.split())) - 1, self.count - 1)
                    marks.append(Mark(first, last, kind, ref, unsure, wide, thing.start_s))
        return marks

    def _spans_of(self, mentions: list[Mention]) -> list[tuple[int, int]]:
        kept = self._spans.get(id(mentions))
        if kept is None or kept[0] is not mentions:
            kept = self._spans[id(mentions)] = (mentions, [self.span(m.start_s, m.end_s) for m in mentions])
        return kept[1]

    def _take_steps(self, log: Log) -> None:
        step_of = array("i", [-1]) * self.count
        for _, index in sorted(((s.start_s, i) for i, s in enumerate(log.steps)), reverse=False):
            step = log.steps[index]
            if self.count:
                first, last = self.span(step.start_s, step.end_s)
                step_of[first : last + 1] = array("i", [index]) * (last + 1 - first)
        self.step_of = step_of

    def of_block(self, block: int) -> list[Mark]:
        """The marks that touch a paragraph."""
        return self._of_block.get(block, [])

    def at_word(self, word: int) -> list[Mark]:
        """The marks on a word: names before sentences, the shortest first."""
        if not 0 <= word < self.count:
            return []
        found = [m for m in self.of_block(self.block_of[word]) if m.first <= word <= m.last]
        return sorted(found, key=lambda m: (m.wide, m.last - m.first))

    def chapter_at(self, word: int) -> int | None:
        """The index of the chapter that a word belongs to."""
        at = bisect_right(self.chapter_words, (word, len(self.log.chapters))) - 1
        return self.chapter_words[at][1] if at >= 0 else None

    def thing(self, ref: Ref) -> AnyThing | None:
        """The thing meant, or ``None`` where the log no longer has so many."""
        values = things(self.log, ref.of)
        return values[ref.place] if 0 <= ref.place < len(values) else None

    def said(self, first: int, last: int) -> str:
        """The words from ``first`` to ``last``, as shown."""
        return " ".join(self.texts[first : last + 1])


def kind_of(thing: AnyThing, of: Thing) -> str:
    """The key of :data:`buildlog_tui.kinds.LOOKS` for a thing."""
    return thing.kind if isinstance(thing, (Item, Note)) else of
