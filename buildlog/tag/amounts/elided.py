"""Numbers whose unit was said a few words before, or comes a few words later, of something told in parallel.

"Eight minutes, then rest it for forty-five", "at two-twenty and then one-eighty", "four hundred and fifty of flour with ten
grams of salt", "ten mil for the chest and five for the arms", "eighteen inches, no more than twenty".
"""

from __future__ import annotations

from fractions import Fraction

from buildlog.tag.amounts import what
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import starts_number
from buildlog.tag.amounts.quantities import Quantity, quantity
from buildlog.tag.amounts.state import MARKS, State

_SETS = lexis().sets
# How far back, in atoms, a time, a heat, a length or a weight is still the one that a bare number goes on with.
_TIME_REACH, _HEAT_REACH, _LENGTH_REACH, _MASS_REACH = 26, 45, 16, 24
_FACTOR = 20
_HEAT_FACTOR = 2.5
_LEAST_HEAT, _MOST_HEAT = 60, 1500
# Kilns: earthenware to porcelain in Celsius; the same in Fahrenheit begins above.
_KILN, _KILN_FAHRENHEIT = range(600, 2400), 1400
_FIRING = frozenset("fire fired firing kiln bisque bisqued glaze soak cone porcelain stoneware earthenware".split())
_MASSES = {"gram", "kilogram", "ounce", "pound", "milliliter"}
_LEAST_MASS = 10
_NO_STUFF = frozenset("it them that those these the my your our his her us you a an each which what one".split())
_BODY_LEAST, _BODY_MOST, _BODY_INCHES = 20, 200, 60
_BOUNDS = (["more", "than"], ["less", "than"], ["longer", "than"], ["at", "most"], ["at", "least"], ["up", "to"])


class Elided(State):
    """Bare numbers that go on with a unit."""

    def _elided(self, q: Quantity) -> int:
        """Put ``q`` down where a rule of this module knows its unit; where it ends, or 0."""
        if q.value == 0 or q.unit is not None:
            return 0
        for rule in (
            self._longer,
            self._hotter,
            self._fired,
            self._weighed,
            self._for_another,
            self._bounded,
            self._of_body,
            self._all_of_them,
        ):
            end = rule(q)
            if end:
                return end
        return 0

    def _goes_on(self, q: Quantity, unit: str, dim: str, of: str | None) -> int:
        q.unit, q.dim = unit, dim
        q.flags.append("inherited unit")
        self._emit(q, "setting" if dim == "heat" else "measurement", of=of, of_token=None, confidence=0.7)
        if dim == "length":
            self.last_length = (q.end, unit)
        if dim == "time":
            self.last_time = (q.end, unit)
        return q.end

    def _longer(self, q: Quantity) -> int:
        """A time after a time: "rest it for forty-five", "stir every five", "another ten", "twenty-five more"."""
        w, k = self.a.w, q.end
        if self.last_time is None or q.start - self.last_time[0] > _TIME_REACH or (q.fraction and q.value < 1):
            return 0
        if any(self.a.tok[self.last_time[0]] <= x.start and x.unit and x.kind == "measurement" for x in self.out[-3:]):
            return 0  # a length was said since
        prev = w[q.start - 1]
        more = w[k] in ("more", "longer") and not self.a.w[k + 1].isalpha()
        if not (prev in ("for", "another", "every") or (more and w[q.start - 2] in ("for", "about"))):
            return 0
        if not (self._ends(k) or more) or w[k] in ("of", "to", "by", "the", "each", "per", "times", "a"):
            return 0
        last = next((x for x in reversed(self.out) if x.unit == self.last_time[1]), None)
        if last is None or not last.value / _FACTOR <= q.value <= last.value * _FACTOR:
            return 0
        q.end = k + more
        return self._goes_on(q, self.last_time[1], "time", "time")

    def _hotter(self, q: Quantity) -> int:
        """A heat after a heat: "two-twenty for fifteen minutes, and then one-eighty"."""
        w = self.a.w
        if q.fraction or q.value % 5 or not _LEAST_HEAT <= q.value <= _MOST_HEAT:
            return 0
        if w[q.start - 1] not in ("at", "to", "and", "then", ",", "down", "about", "is", "it"):
            return 0
        if w[q.end] not in (*MARKS, "for", "and", "then", "until", "till", "after", "when"):
            return 0
        last = next((x for x in reversed(self.out) if (x.unit or "").startswith("degree_")), None)
        if last is None or last.unit is None or self.a.tok[q.start] - last.end > _HEAT_REACH:
            return 0
        if w[q.end] in MARKS and w[q.start - 1] not in ("at", "to", "then", "down"):
            return 0
        if not float(last.value) / _HEAT_FACTOR <= q.value <= float(last.value) * _HEAT_FACTOR:
            return 0
        return self._goes_on(q, last.unit, "heat", "heat")

    def _fired(self, q: Quantity) -> int:
        """ "Fire it to twelve hundred and forty": what a kiln is taken to."""
        w = self.a.w
        if q.fraction or q.value not in _KILN or q.value % 5 or w[q.start - 1] not in ("to", "at", "about", "of"):
            return 0
        if not self._ends(q.end) or _FIRING.isdisjoint(w[max(0, q.start - 10) : q.start] + w[q.end : q.end + 5]):
            return 0
        fahrenheit = q.value > _KILN_FAHRENHEIT
        return self._goes_on(q, "degree_Fahrenheit" if fahrenheit else "degree_Celsius", "heat", "kiln heat")

    def _weighed(self, q: Quantity) -> int:
        """ "four hundred and fifty of flour with ten grams of salt": in the unit of the weights beside it."""
        w, k = self.a.w, q.end
        if w[k] != "of" or not w[k + 1].isalpha() or w[k + 1] in _NO_STUFF or q.value < _LEAST_MASS:
            return 0
        if what.plural(w[k + 1]) and w[k + 1] not in _SETS["liquids"]:
            return 0
        unit = next(
            (x.unit for x in reversed(self.out) if x.unit in _MASSES and self.a.tok[q.start] - x.end < _MASS_REACH),
            None,
        )
        for j in range(k, min(k + _MASS_REACH // 2, self.a.n)) if unit is None else ():
            found = self.lex.units.get(w[j])
            if found and found.name in _MASSES and starts_number(w[j - 1]):
                unit = found.name
                break
        if unit is None or (unit in ("kilogram", "pound", "ounce") and q.value > 100):
            return 0
        return self._goes_on(q, unit, "mass", w[k + 1])

    def _for_another(self, q: Quantity) -> int:
        """ "ten mil for the chest and five for the arms", "three inches on the front and two on the back"."""
        w = self.a.w
        if self.last_length is None or q.start - self.last_length[0] > _LENGTH_REACH or self._lately() is None:
            return 0
        gap = w[self.last_length[0] : q.start]
        if w[q.start - 1] not in ("and", ",", "but", "then") or {".", "?", "!"} & set(gap) or not gap:
            return 0
        if w[q.end] != gap[0] or gap[0] not in ("for", "on", "at", "in", "along", "across"):
            return 0
        if not (w[q.end + 1] in ("the", "my", "your", "each", "either") or w[q.end + 1].isalpha()):
            return 0
        unit = self.last_length[1]
        return self._goes_on(q, unit, "length", None) if self._fits(unit, q.value) else 0

    def _bounded(self, q: Quantity) -> int:
        """ "eighteen inches of thread, no more than twenty"."""
        w = self.a.w
        last = self.out[-1] if self.out else None
        if last is None or last.unit is None or last.kind != "measurement":
            return 0
        if self.a.tok[q.start] - last.end > _LENGTH_REACH or w[q.start - 2 : q.start] not in _BOUNDS:
            return 0
        if w[q.end] not in MARKS or not last.value / 3 <= q.value <= last.value * 3:
            return 0
        return self._goes_on(q, last.unit, "any" if last.unit not in self._said_lengths() else "length", last.of)

    def _of_body(self, q: Quantity) -> int:
        """ "she is eighty-six bust, seventy waist": the measure before the word, where one goes with another."""
        w, k = self.a.w, q.end
        if q.fraction or not _BODY_LEAST <= q.value <= _BODY_MOST or w[k] not in _SETS["body"]:
            return 0
        if w[q.start - 1].isalpha() and w[q.start - 1] not in (
            *_SETS["body"],
            "is",
            "'s",
            "are",
            "'m",
            "and",
            "a",
            "im",
        ):
            return 0
        beside = [j for j in range(max(1, q.start - 8), min(k + 8, self.a.n)) if j != k and w[j] in _SETS["body"]]
        if not any(starts_number(w[j - 1]) for j in beside):
            return 0
        highest = max((self._value_before(j) for j in beside), default=Fraction(0))
        unit = "centimeter" if max(q.value, highest) > _BODY_INCHES else "inch"
        return self._goes_on(q, unit, "length", w[k])

    def _value_before(self, j: int) -> Fraction:
        """The value of the number that ends before atom ``j``."""
        for low in range(max(0, j - 4), j):
            found = quantity(self.a, low) if starts_number(self.a.w[low]) else None
            if found is not None and found.end == j:
                return found.value
        return Fraction(0)

    def _all_of_them(self, q: Quantity) -> int:
        """ "I took the clamps off, all nine"."""
        w = self.a.w
        if w[q.start - 1] != "all" or w[q.end] not in MARKS or q.fraction or not 2 <= q.value <= 100:
            return 0
        before = self._plural_before(q.start)
        return self._counted(q, w[before], before, q.end, 0.65) if before is not None else 0


__all__ = ["Elided"]
