"""Bare numbers that no rule places, but that the trained reader takes for an amount of the work.

"I cut two of the hood and two in the lining", "then two-forty, then four hundred", "the hem at fifty-four": the words
beside such a number say whether it counts, sets, or measures; without the reader's word it could be talk.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildlog.tag.amounts import what
from buildlog.tag.amounts.amount import Amount
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import is_digits, starts_number
from buildlog.tag.amounts.quantities import Quantity
from buildlog.tag.amounts.state import State

if TYPE_CHECKING:
    from buildlog.tag.reader import Reading

_FLOOR = 0.7
_SURE = 0.8
_TALK = 0.055
_HUNDREDS = 100
_TIMES = frozenset({"second", "minute", "hour", "day", "week", "month"})
_REACH, _FAR, _RECENT = 60, 160, 20
_GRITS = frozenset(
    map(
        int,
        "40 60 80 100 120 150 180 220 240 280 320 360 400 500 600 800 1000 1200 1500 2000 2500 3000 4000 5000 6000 8000 10000 12000".split(),
    )
)
_SETS = lexis().sets


class Vouched(State):
    """Numbers that count because the reader says so."""

    reading: Reading | None = None

    def _vouched(self, q: Quantity) -> int:
        """Put ``q`` down as a count, a setting or a length, if the reader takes it for an amount; where it ends, or 0."""
        if self.reading is None or q.value == 0:
            return 0
        a, w = self.a, self.a.w
        start, last = a.tok[q.start], a.tok[q.end - 1] + 1
        if self.reading.inside("amount", start, last) < _FLOOR:
            return 0
        prev = w[q.start - 1] if q.start else ""
        if (
            prev in _SETS["sum_words"]
            or starts_number(prev)
            or starts_number(w[q.end])
            or w[q.end] in ("times", "percent")
        ):
            return 0
        if prev == "to" and not {"part", "parts"}.isdisjoint(w[max(0, q.start - 4) : q.start]):
            return 0  # "one part to four of water"
        for rule in (
            self._grit_again,
            self._stitch,
            self._some_of,
            self._totalled,
            self._same_again,
            self._length_again,
        ):
            end = rule(q, prev)
            if end:
                return end
        return self._sure(q, prev) if self.reading.inside("amount", start, last) >= _SURE else 0

    def _told_of(self, x: Amount) -> bool:
        """Whether the reader is sure that a number belongs to talk, not to the work: "she's been through two hedges".

        It says the same of sizes in a name ("a half-inch chisel") and of repeats, which stay.
        """
        if self.reading is None or x.kind not in ("measurement", "count") or "couple" in x.text.lower():
            return False
        if x.kind == "count" and (x.of is None or x.of.startswith(("every", "times"))):
            return False
        if x.kind == "measurement":
            if x.unit in _TIMES or (x.of or "").endswith("spacing"):
                return False
            after = self.doc[x.end].lower_ if x.end < len(self.doc) else ""
            if after.isalpha() and after not in _SETS["stops"]:
                return False
        return float((1.0 - self.reading.layers["amount"][x.start : x.end, 0]).max()) < _TALK

    def _sure(self, q: Quantity, prev: str) -> int:
        """A number that nothing beside it explains: kept as said, with no unit."""
        w, k = self.a.w, q.end
        nxt = w[k]
        ratio = nxt == "to" and (starts_number(w[k + 1]) or is_digits(w[k + 1]))
        one_in = prev == "in" and w[q.start - 2] in ("one", "1", "a")
        named = nxt in ("line", "ply", "inch", *_SETS["sum_words"]) or w[q.start - 2 : q.start] in (
            ["came", "to"],
            ["comes", "to"],
        )
        if ratio or one_in or named or (q.fraction and q.value < 1):
            return 0
        before = what.noun_before(self.a, q.start)
        unit = self._rather_length(q)
        if unit is not None:
            q.unit, q.dim = unit, "length"
            q.flags.append("assumed unit")
            self._emit(q, "measurement", of=before[0] if before else None, of_token=None, confidence=0.6)
            self.last_length = (q.end, unit)
            return q.end
        if before and before[1] == q.start - 1 and not what.plural(prev):  # "pleat forty" says which one
            return 0
        self._emit(
            q, "count", of=before[0] if before else None, of_token=before and self.a.tok[before[1]], confidence=0.55
        )
        return q.end

    def _rather_length(self, q: Quantity) -> str | None:
        """The unit of a bare number that is sooner a length than a count: a mixed fraction, or hundreds of millimetres."""
        unit = self.length_unit(q.value)
        counting = self._lately() is None
        if unit is None or w_plural(self.a.w[q.end]):
            return None
        if q.fraction and q.value > 1:
            return unit if unit == "inch" or q.value.denominator == 2 else None
        return unit if unit == "millimeter" and q.value >= _HUNDREDS and not counting else None

    def _near(self, q: Quantity, words: frozenset[str], before: int, after: int) -> bool:
        return not words.isdisjoint(self.a.w[max(0, q.start - before) : min(self.a.n, q.end + after)])

    def _grit_again(self, q: Quantity, prev: str) -> int:
        """ "Then two-forty, then four hundred"."""
        if q.value not in _GRITS or q.unit or what.counted(self.a, q.end):
            return 0
        if not (q.start - self.last_grit < _REACH or self._near(q, _SETS["abrading"], 40, 25)):
            return 0
        self.last_grit = q.end
        self._emit(q, "setting", of="grit", of_token=None, confidence=0.75)
        return q.end

    def _stitch(self, q: Quantity, prev: str) -> int:
        """ "a tiny stitch, one point eight"."""
        if not 0 < q.value <= 8 or w_plural(self.a.w[q.end]) or not self._near(q, _SETS["stitching"], 14, 0):
            return 0
        if not (
            q.fraction
            or "." in self.a.w[q.start : q.end]
            or "point" in self.a.w[q.start : q.end]
            or prev in ("a", "at", "to", "on")
        ):
            return 0
        self._emit(q, "setting", of="stitch length", of_token=None, confidence=0.65)
        return q.end

    def _some_of(self, q: Quantity, prev: str) -> int:
        """ "two of the hood", "two in the lining", "two more", "the other four", "the two sides"."""
        a, w = self.a, self.a.w
        if q.fraction or q.value != int(q.value) or q.value > 500:
            return 0
        k = q.end
        if w[k] in ("of", "in", "from", "out") and w[k + 1] not in ("a", "an"):
            j = k + 1
            while w[j] in ("the", "my", "of", "that", "this", "our", "your", "these", "those"):
                j += 1
            noun = what.noun_after(a, j, most=3)
            if noun:
                of = noun[0] if w[k] == "of" else f"pieces in {noun[0]}"
                return self._counted(q, of, noun[1], k, 0.7)
        found = what.counted(a, k)
        if found and w[found[1]] not in self.lex.sets["not_counted"]:
            return self._counted(q, found[0], found[1], k, 0.7)
        if w[k] in ("more", "extra", "spaced", "altogether", "left") or prev in ("other", "another"):
            before = self._plural_before(q.start)
            counted = self.last_noun if q.start - self.last_count < _REACH else None
            return self._counted(q, counted or (w[before] if before is not None else "pieces"), None, k, 0.65)
        return 0

    def _totalled(self, q: Quantity, prev: str) -> int:
        """ "two in every slat at every cross piece. That's sixty": what the counts before come to."""
        thats = prev == "thats" or self.a.w[q.start - 2 : q.start] == ["that", "'s"]
        counting = q.start - self.last_count < _RECENT and self._lately() is None
        if not thats or not counting or q.fraction or self.a.w[q.end] in self.lex.money:
            return 0
        return self._counted(q, self.last_noun or "pieces", None, q.end, 0.6)

    def _same_again(self, q: Quantity, prev: str) -> int:
        """ "plus six inches ... that six is for your hands"."""
        if prev not in ("that", "this", "those", "the", "so"):
            return 0
        for x in reversed(self.out[-6:]):
            if x.value == q.value and x.unit and self.a.tok[q.start] - x.end < _REACH:
                q.unit = x.unit
                q.flags.append("inherited unit")
                self._emit(q, "measurement", of=x.of, of_token=None, confidence=0.65)
                return q.end
        return 0

    def _length_again(self, q: Quantity, prev: str) -> int:
        """ "the neck at four inches and the hem at fifty-four"."""
        w = self.a.w
        prev = w[q.start - 2] if prev == "," and w[q.start - 2] in ("at", "to", "of", "is") else prev
        near = self.last_length is not None and q.start - self.last_length[0] < _FAR
        last = self.last_length[1] if near and self.last_length else None
        unit = last if last in ("inch", "centimeter", "millimeter") else self.length_unit()
        if prev in ("was", "are", "'re", "comes", "made", "makes") and not near:
            return 0
        if w[q.start - 2] in ("there", "counted", "count", "counting", "out") or w[q.end : q.end + 2] == [
            "and",
            "something",
        ]:
            return 0
        if prev in ("was", "is", "'s") and w[q.start - 2] in _SETS["kin"]:
            return 0  # an age
        if self.last_unit and self.last_unit[2] != "length" and q.start - self.last_unit[0] < _REACH:
            return 0
        if (
            not q.fraction
            and (q.value < 10 or prev == "thats" or w[q.start - 2 : q.start] == ["that", "'s"])
            and self.last_length
            and self.last_count > self.last_length[0]
            and prev != "at"
            and w[q.start - 2] not in self.lex.aspect
        ):
            return 0
        if (
            unit is None
            or not self._fits(unit, q.value)
            or not (prev in _SETS["measuring"] or w[q.end] in _SETS["measured"])
            or w_plural(w[q.end])
        ):
            return 0
        q.unit, q.dim = self._neighbour(unit, q), "length"
        q.flags.append("inherited unit" if near else "assumed unit")
        before = what.noun_before(self.a, q.start)
        self._emit(
            q,
            "measurement",
            of=before[0] if before else None,
            of_token=before and self.a.tok[before[1]],
            confidence=0.6,
        )
        return q.end


def w_plural(text: str) -> bool:
    return text.isalpha() and what.plural(text) and text not in _SETS["stops"]


__all__ = ["Vouched"]
