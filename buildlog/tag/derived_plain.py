"""Amounts worked out that only the trained reader sees: the longest sum in the words it points at."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildlog.tag.derived_base import Finding
from buildlog.tag.derived_words import DETERMINERS, Sum
from buildlog.tag.reader import joined

if TYPE_CHECKING:
    from buildlog.tag.reader import Reading

# How much of the reader's assent a stretch needs that no rule found, and how many tokens.
_ALONE_FLOOR = 0.6
_SHORTEST = 4


class Plain(Finding):
    """Finds sums in the stretches that the reader is sure of and no rule has found."""

    def _alone(self, reading: Reading) -> None:
        """The longest sum, or comparison, in each such stretch."""
        token_to_atom: dict[int, int] = {}
        for k in range(self.a.n - 1, -1, -1):
            token_to_atom[self.a.tok[k]] = k
        for start, end, p in joined(reading.found("D", 0.35)):
            if end - start < _SHORTEST or p < _ALONE_FLOOR:
                continue
            if any(o.start < end + 6 and start < o.end + 6 for o in self.out):
                continue
            lo, hi = token_to_atom.get(start, -1), token_to_atom.get(end - 1, -1)
            if lo < 0 or hi < 0:
                continue
            best = self._longest(lo, hi)
            if best is not None:
                best.soft = False
                self._emit(best, weight=0.7)
        self.out.sort(key=lambda o: o.start)

    def _longest(self, lo: int, hi: int) -> Sum | None:
        best: Sum | None = None
        for i in range(lo, hi + 1):
            if self.a.w[i - 1] in DETERMINERS and i > lo:
                continue
            same = self.t.same(i)
            term = self.t.factor(i, loose=True) or same or self.t.name(i)
            if term is None or not term.name:
                continue
            s = self.t.expression(term, i)
            size = s.joined + 0.5 * (same is not None)
            if size and (best is None or size > best.joined) and s.end <= hi + 4:
                best = s
        return best


__all__ = ["Plain"]
