"""Amounts worked out that only the trained reader sees: the best that can be made of the words it points at."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.derived_base import Finding
from buildlog.tag.derived_words import AS_ADJECTIVES, BIGGER, DETERMINERS, FACTORS, Sum, Term, share_of, shown
from buildlog.tag.reader import joined

if TYPE_CHECKING:
    from buildlog.tag.reader import Reading

# How much of the reader's assent a stretch needs that no rule found, and how many tokens.
_ALONE_FLOOR = 0.6
_SHORTEST = 4
# Atoms between a share and what it is of.
_REACH = 7
_SIGNS = {
    "plus": "+", "add": "+", "added": "+", "adding": "+", "extra": "+", "minus": "-", "less": "-", "subtract": "-",
    "off": "-", "knock": "-", "times": "x", "multiply": "x", "multiplied": "x", "divide": "/", "divided": "/",
    "dividing": "/", "split": "/", "over": "/",
}  # fmt: skip
_BARE = frozenset("it that them this".split())


class Plain(Finding):
    """Finds sums in the stretches that the reader is sure of and no rule has found."""

    def _alone(self, reading: Reading) -> None:
        """The longest sum, or comparison, in each such stretch; where there is none, a share or step with what is nearest."""
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
            best = self._longest(lo, hi) or self._nearest(lo, hi)
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

    def _nearest(self, lo: int, hi: int) -> Sum | None:
        """A share or product of the next thing named, else of the one before; or an amount put on or taken off one."""
        w, t = self.a.w, self.t
        for i in range(lo, hi + 1):
            value, end = self._scale(i)
            if value is None:
                continue
            of = self._thing_after(end, hi) or self._thing_before(i, lo)
            if of is not None and of.name:
                text = share_of(value, of.name) if value < 1 else f"{shown(value)} x {of.name}"
                return t.expression(Term(i, max(end, of.end), text, of.name, True), i)
        for i in range(lo + 1, hi + 1):
            sign = _SIGNS.get(w[i]) or (BIGGER[w[i]][0] if w[i] in BIGGER else "")
            if not sign:
                continue
            k = i + 1 + (w[i + 1] in ("by", "it", "that", "another", "about", "on"))
            more = t.term(k, sign) if w[i] != "off" else None
            if more is None and w[i] in ("off", "extra", "less", *BIGGER) and (q := self._amount_before(i)):
                more = Term(i, i + 1, q, None)
            of = self._thing_before(i, lo)
            if more is None or not more.text or more.end > hi + 2 or of is None or not of.name:
                continue
            s = Sum(of.start, of.end, of.name, [of.name])
            t.join(s, sign, more)
            s.end, s.constant = max(of.end, more.end), more.name is None
            return t.expression(Term(s.start, s.end, s.formula, "\t".join(s.names), True), s.start)
        return None

    def _scale(self, i: int) -> tuple[Fraction | None, int]:
        """The factor or share at ``i`` and where it ends."""
        w = self.a.w
        if w[i] in FACTORS:
            return FACTORS[w[i]], i + 1
        n = self.t.number(i)
        if n is None:
            return (Fraction(1, 2), i + 1) if w[i] in ("half", "halve", "halved") else (None, i)
        if w[n.end] in ("times", "x", "lots"):
            return n.value, n.end + 1
        if w[n.end] in ("percent", "%"):
            return n.value / 100, n.end + 1
        if (q := self.t.amount(i)) is not None and q.unit and q.unit != "percent":
            return None, i
        # "an eighth" by itself is a length in inches
        inches = n.value.denominator in (2, 4, 8, 16, 32, 64) and w[n.end] not in ("of", "as", *DETERMINERS)
        plain = w[n.end] not in lexis().units and not inches
        return (n.value, n.end) if n.fraction and n.value < 1 and plain else (None, i)

    def _thing_after(self, i: int, hi: int) -> Term | None:
        """The first thing named from ``i`` on, past "of", "what" and "as long as"."""
        w, t = self.a.w, self.t
        for k in range(i, min(i + _REACH, hi + 1)):
            if w[k] in (".", "?", "!") and k > i:
                return None
            if w[k] in ("and", "but", "so", "then", "for", "plus", "minus"):
                return None
            if w[k] in _BARE and w[k + 1] not in AS_ADJECTIVES:
                continue
            found = t.name(k) if w[k] in DETERMINERS or t.noun(k) or w[k] == "how" else None
            if found is not None and found.name and found.name not in _BARE and w[k] not in lexis().units:
                return found
        return None

    def _thing_before(self, i: int, lo: int) -> Term | None:
        """The last thing named before ``i``."""
        w, t = self.a.w, self.t
        for k in range(i - 1, max(lo - 1, i - 12), -1):
            if w[k] in (".", "?", "!"):
                return None
            if not t.noun(k) or w[k] in lexis().units:
                continue
            low = k
            while low > lo and (t.noun(low - 1) or (t.tag(low - 1).startswith("JJ") and t.phrase_word(low - 1))):
                low -= 1
            found = t.name(low - (w[low - 1] in DETERMINERS))
            if found is not None and found.name and found.end <= i:
                return found
        return None

    def _amount_before(self, i: int) -> str | None:
        """The amount that ends before ``i``, as it stands in a formula."""
        for k in range(i - 1, max(0, i - 6), -1):
            q = self.t.amount(k)
            if q is not None and q.end == i and (q.unit or q.fraction):
                first = self.t.amount(k - 1)
                return None if first is not None and first.end == i else f"{shown(q.value)} {q.unit or 'inch'}"
        return None


__all__ = ["Plain"]
