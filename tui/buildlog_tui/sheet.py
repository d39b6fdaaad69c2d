"""A log laid out by its words: which words carry which marks, steps and chapters.

No Textual here, and nothing is decided: it only turns seconds into word numbers, quickly enough to be redone after
every edit (the words themselves are kept as long as the transcript is the same object).
"""

from __future__ import annotations

from array import array
from bisect import bisect_left, bisect_right
from itertools import accumulate

from buildlog.document import Chapter, Line, Log, Step
from buildlog.tag.timed import words_of
from buildlog_tui.marks import Mark, Marks, Ref
from buildlog_tui.text import cell_len, shown

__all__ = ["Mark", "Ref", "Sheet"]

# Two times that are closer than this are the same moment: mentions are rounded to a millisecond.
SAME_S = 0.002
# A paragraph ends at a pause, or after so many lines at the end of a sentence, or at the latest after so many.
PAUSE_S, LONG, LONGEST = 0.9, 5, 14
STOPS = ".?!…"


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
        self.step_of = array("i")  # for each word the index of its step, or -1
        self.chapter_words: list[tuple[int, int]] = []  # (first word, chapter index) in order of time
        self._marks = Marks(self.span, self.block_of)
        self._touched: set[int] | None = None
        self._lines: list[Line] | None = None
        self._step_spans: dict[tuple[float, float], tuple[int, int]] = {}
        self._steps: list[Step] | None = None
        self._chapters: list[Chapter] | None = None

    @property
    def count(self) -> int:
        """How many words there are."""
        return len(self.texts)

    def show(self, log: Log) -> bool:
        """Take the log as it is now. Returns whether its words are others, or elsewhere, and not only respelt."""
        self.log = log
        anew = log.transcript is not self._lines and not self._respelt(log.transcript)
        if anew:
            self._take_words(log.transcript)
            self._marks = Marks(self.span, self.block_of)
            self._touched = None
            self._step_spans, self._steps, self._chapters = {}, None, None
        self._lines = log.transcript
        # Parts of the log that an edit did not touch are the very same objects as before.
        if self.count:
            self._touch(self._marks.show(log))
        if self._steps is not log.steps:
            self._take_steps(log.steps)
        if self._chapters is not log.chapters:
            self._chapters = log.chapters
            before = set(self.chapter_words)
            self.chapter_words = sorted((self.word_at(c.start_s), i) for i, c in enumerate(log.chapters))
            if self.count:
                self._touch({self.block_of[word] for word, _ in before.symmetric_difference(self.chapter_words)})
        return anew

    def _touch(self, blocks: set[int]) -> None:
        if self._touched is not None:
            self._touched |= blocks

    def touched(self) -> set[int] | None:
        """The paragraphs that changed since this was last asked; ``None``: all of them may have."""
        blocks, self._touched = self._touched, set()
        return blocks

    @property
    def marks(self) -> list[Mark]:
        """Every mark, in order of the words."""
        return self._marks.all() if self.count else []

    def marks_of(self, ref: Ref) -> list[Mark]:
        """The marks of one thing, in the order it is mentioned."""
        return self._marks.of(ref) if self.count else []

    def _respelt(self, lines: list[Line]) -> bool:
        """Take lines in which words are only spelt otherwise, none more or less and all at their times."""
        before = self._lines
        if before is None or len(before) != len(lines):
            return False
        changed = [n for n, line in enumerate(lines) if line is not before[n]]
        fresh = {}
        for n in changed:
            first, last = self.first_of[n], self.first_of[n + 1]
            words = words_of(lines[n])
            times = [(w.start_s, w.end_s) for w in words]
            if times != list(zip(self.starts[first:last], self.ends[first:last], strict=True)):
                return False
            fresh[n] = [_spelt(w.text) for w in words]
            if words and (fresh[n][-1][-1] in STOPS) != (self.texts[last - 1][-1] in STOPS):
                return False  # a paragraph may end here now
        texts, sizes = list(self.texts), list(self.sizes)
        for n, spelt in fresh.items():
            first, last = self.first_of[n], self.first_of[n + 1]
            texts[first:last] = spelt
            sizes[first:last] = [len(t) if t.isascii() else cell_len(t) for t in spelt]
            self._touch(set(self.block_of[first:last]))
        self.texts, self.sizes = texts, sizes
        return True

    def _take_words(self, lines: list[Line]) -> None:
        of_line = [words_of(line) for line in lines]
        words = [word for said in of_line for word in said]
        self.starts = [w.start_s for w in words]
        self.ends = [w.end_s for w in words]
        self.texts = [_spelt(w.text) for w in words]
        self.sizes = [len(t) if t.isascii() else cell_len(t) for t in self.texts]
        self.line_of = [number for number, said in enumerate(of_line) for _ in said]
        self.first_of = [0, *accumulate(map(len, of_line))]
        self._take_blocks()

    def _take_blocks(self) -> None:
        self.block_of, self.first_in = [], [0]
        begun = 0
        for number, first in enumerate(self.first_of[:-1]):
            if first == self.first_of[number + 1]:
                continue
            if first > self.first_in[-1]:
                pause = self.starts[first] - self.ends[first - 1]
                full = number - begun >= LONGEST or (number - begun >= LONG and self.texts[first - 1][-1] in STOPS)
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

    def _take_steps(self, steps: list[Step]) -> None:
        before, self._steps = self._steps, steps
        spans = [(s.start_s, s.end_s) for s in steps]
        if before is not None and spans == [(s.start_s, s.end_s) for s in before]:
            return
        step_of = array("i", [-1]) * self.count
        for _, index in sorted((span[0], i) for i, span in enumerate(spans)):
            if self.count:
                words = self._step_spans.get(spans[index])
                if words is None:
                    words = self._step_spans[spans[index]] = self.span(*spans[index])
                first, last = words
                step_of[first : last + 1] = array("i", [index]) * (last + 1 - first)
        self.step_of = step_of

    def of_block(self, block: int) -> list[Mark]:
        """The marks that touch a paragraph."""
        return self._marks.of_block(block)

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

    def said(self, first: int, last: int) -> str:
        """The words from ``first`` to ``last``, as shown."""
        return " ".join(self.texts[first : last + 1])


def _spelt(text: str) -> str:
    """A word as it is shown; never empty."""
    return (text if text.isascii() and text.isprintable() else shown(text)).strip() or "·"
