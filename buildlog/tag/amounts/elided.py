"""Numbers whose unit was said a few words before, or comes a few words later, of something told in parallel.

"Eight minutes, then rest it for forty-five", "at two-twenty and then one-eighty", "four hundred and fifty of flour with ten
grams of salt", "ten mil for the chest and five for the arms", "eighteen inches, no more than twenty".
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from buildlog.tag.amounts import what
from buildlog.tag.amounts.amount import Amount
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.measured import Measured
from buildlog.tag.amounts.numbers import starts_number
from buildlog.tag.amounts.quantities import Quantity, quantity
from buildlog.tag.amounts.state import MARKS

_SETS = lexis().sets
# How far back, in atoms, a time, a heat, a length or a weight is still the one that a bare number goes on with.
_TIME_REACH, _HEAT_REACH, _LENGTH_REACH, _MASS_REACH = 26, 45, 16, 24
_FACTOR = 20
_HEAT_FACTOR = 2.5
_LEAST_HEAT, _MOST_HEAT = 30, 1500
_OVEN = range(100, 480)
_BATH = range(30, 100)
# Kilns: earthenware to porcelain in Celsius; the same in Fahrenheit begins above.
_KILN, _KILN_FAHRENHEIT = range(600, 2400), 1400
_FIRING = frozenset("fire fired firing kiln bisque bisqued glaze soak cone porcelain stoneware earthenware".split())
_BATHING = frozenset(
    "simmer simmered simmering scald poach bath vat dyebath wash washed rinse mash proofer incubate".split()
)
_LETTERS = {"c": "degree_Celsius", "f": "degree_Fahrenheit"}
_PARALLEL = frozenset({"and", ",", "but", "then", "with"})
_ALONG = frozenset("round around along across on at down up in".split())
_TAKING = frozenset("pulled took take taken pull cut threw put sent gave".split())
_VOLUMES = {"cup", "teaspoon", "tablespoon", "liter", "pint", "gallon", "fluid_ounce"}
_LAYERS = frozenset({"coats", "layers", "rows", "rounds", "passes"})
_MASSES = {"gram", "kilogram", "ounce", "pound", "milliliter"}
_LEAST_MASS = 10
_NO_STUFF = frozenset("it them that those these the my your our his her us you a an each which what one".split())
_BODY_LEAST, _BODY_MOST, _BODY_INCHES = 20, 200, 60
_BOUNDS = (["more", "than"], ["less", "than"], ["longer", "than"], ["at", "most"], ["at", "least"], ["up", "to"])


class Elided(Measured):
    """Bare numbers that go on with a unit."""

    def _elided(self, q: Quantity) -> int:
        """Put ``q`` down where a rule of this module knows its unit; where it ends, or 0."""
        if q.value == 0 or q.unit is not None:
            return 0
        if self.a.w[q.end] in ("miles", "mile", "mph", "knots"):
            return q.end + 1
        for rule in (
            self._longer,
            self._hotter,
            self._baked,
            self._bathed,
            self._fired,
            self._weighed,
            self._of_another,
            self._for_another,
            self._every_so,
            self._cut_at,
            self._one_more,
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

    def _recent(self, q: Quantity, reach: int, fits: Callable[[Amount], bool]) -> Amount | None:
        """The last amount that ``fits``, if it is no more than ``reach`` tokens before ``q``."""
        low = self.a.tok[q.start] - reach
        for x in reversed(self.out):
            if x.end < low:
                return None
            if fits(x):
                return x
        return None

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
        unit = self.last_time[1]
        last = self._recent(q, 2 * _TIME_REACH, lambda x: x.unit == unit)
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
        last = self._recent(q, _HEAT_REACH, lambda x: (x.unit or "").startswith("degree_"))
        if last is None or last.unit is None:
            return 0
        if w[q.end] in MARKS and w[q.start - 1] not in ("at", "to", "then", "down"):
            return 0
        if not float(last.value) / _HEAT_FACTOR <= q.value <= float(last.value) * _HEAT_FACTOR:
            return 0
        return self._goes_on(q, last.unit, "heat", "heat")

    def _baked(self, q: Quantity) -> int:
        """ "twelve minutes at one seventy-five", "two hundred c": an oven, where nothing else is so many."""
        w = self.a.w
        lettered = w[q.end] in ("c", "f") and not w[q.end + 1].startswith("clamp") and w[q.start - 1] in ("at", "to")
        timed = (
            self.last_time is not None
            and w[q.start - 1] == "at"
            and q.start - self.last_time[0] <= 2
            and w[q.end] in (*MARKS, "and", "then", "with", "until")
        )
        if q.fraction or q.value % 5 or not _OVEN.start <= q.value < _OVEN.stop or not (lettered or timed):
            return 0
        unit = self._heat_scale(q.value) if not lettered else _LETTERS[w[q.end]]
        q.end += lettered
        return self._goes_on(q, unit, "heat", "heat")

    def _bathed(self, q: Quantity) -> int:
        """ "simmer it at ninety", "keep the dye at sixty": a bath below boiling."""
        w = self.a.w
        if q.fraction or not _BATH.start <= q.value < _BATH.stop or q.value % 5 or w[q.start - 1] not in ("at", "to"):
            return 0
        if w[q.end] not in (*MARKS, "for", "and", "until", "till"):
            return 0
        near = w[max(0, q.start - 6) : q.start]
        return self._goes_on(q, self._heat_scale(q.value), "heat", "heat") if _BATHING & set(near) else 0

    def _fired(self, q: Quantity) -> int:
        """ "Fire it to twelve hundred and forty": what a kiln is taken to."""
        w = self.a.w
        if (
            q.fraction
            or not _KILN.start <= q.value < _KILN.stop
            or q.value % 5
            or w[q.start - 1] not in ("to", "at", "about", "of")
        ):
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
        before = self._recent(q, _MASS_REACH, lambda x: x.unit in _MASSES)
        unit = before.unit if before is not None else None
        for j in range(k, min(k + _MASS_REACH // 2, self.a.n)) if unit is None else ():
            found = self.lex.units.get(w[j])
            if found and found.name in _MASSES and starts_number(w[j - 1]):
                unit = found.name
                break
        if unit is None or (unit in ("kilogram", "pound", "ounce") and q.value > 100):
            return 0
        return self._goes_on(q, unit, "mass", w[k + 1])

    def _for_another(self, q: Quantity) -> int:
        """ "ten mil for the chest and five for the arms", "fifteen minutes on one side and ten on the other"."""
        w = self.a.w
        last = self.out[-1] if self.out else None
        if last is None or last.unit is None or last.kind == "price" or w[q.start - 1] not in _PARALLEL or q.value == 1:
            return 0
        if w[q.end] not in ("for", "on", "at", "in", "along", "across") or not w[q.end + 1].isalpha():
            return 0
        low = q.start - 1
        while low > 0 and self.a.tok[low - 1] >= last.end:
            low -= 1
        gap = w[low : q.start]
        if q.start - low > _LENGTH_REACH or {".", "?", "!"} & set(gap):
            return 0
        if w[q.end] not in gap and not (set(gap) <= _PARALLEL and w[q.end + 1] == "the"):
            return 0
        if not last.value / _FACTOR <= q.value <= last.value * _FACTOR:
            return 0
        dim = "time" if self.last_time and self.last_time[1] == last.unit else "any"
        return self._goes_on(q, last.unit, "length" if last.unit in self._said_lengths() else dim, None)

    def _every_so(self, q: Quantity) -> int:
        """ "every four centimetres, and every two round the curve"."""
        w = self.a.w
        if w[q.start - 1] != "every" or q.value == 1 or self._lately() is None or self.last_length is None:
            return 0
        if q.start - self.last_length[0] > _LENGTH_REACH or not (w[q.end] in _ALONG or w[q.end] in MARKS):
            return 0
        return self._goes_on(q, self.last_length[1], "length", "spacing")

    def _cut_at(self, q: Quantity) -> int:
        """ "cut the strap at forty-two and the pad at nine by four inches": the unit that the sentence comes to."""
        w = self.a.w
        if (
            w[q.start - 1] != "at"
            or not self._ends(q.end)
            or not {"cut", "cuts", "cutting"} & set(w[max(0, q.start - 6) : q.start])
        ):
            return 0
        for k in range(q.end, min(q.end + _LENGTH_REACH, self.a.n)):
            if w[k] in (".", "?", "!"):
                return 0
            unit = self.lex.units.get(w[k])
            if unit and unit.dim == "length" and unit.plural and starts_number(w[k - 1]):
                return self._goes_on(q, unit.name, "length", None)
        return 0

    def _one_more(self, q: Quantity) -> int:
        """ "two coats of size, one of ground", "twelve pins, and pulled out ten"."""
        w = self.a.w
        last = self.out[-1] if self.out else None
        if (
            last is None
            or last.kind != "count"
            or not last.of
            or q.fraction
            or q.start - self.last_count > _TIME_REACH // 2
        ):
            return 0
        of = (
            w[q.end] == "of"
            and w[q.start - 1] in _PARALLEL
            and w[self.a.n - 1 if q.start < 2 else q.start - 2] != "each"
        )
        pulled = w[q.start - 1] in ("out", "off", "back") and w[q.start - 2] in _TAKING and w[q.end] in MARKS
        side = w[q.start - 1] in ("and", ",") and w[q.end] in ("on", "for", "in", "at") and w[q.end + 1] == "the"
        side = side and [w[q.end], "the"] in [w[k : k + 2] for k in range(max(0, q.start - 7), q.start - 1)]
        back = side or (w[q.start - 1] in ("and", "then") and w[q.end] in ("back", "again") and w[q.end + 1] in MARKS)
        if of and (
            not w[q.end + 1].isalpha() or w[q.end + 1] in _NO_STUFF or "of" not in w[max(0, q.start - 7) : q.start]
        ):
            return 0
        if q.value == 1 and not (of and last.of.split()[-1] in _LAYERS):
            return 0
        return self._counted(q, last.of, None, q.end, 0.6) if of or pulled or back else 0

    def _of_another(self, q: Quantity) -> int:
        """ "three ounces of beeswax and one of rosin"."""
        w = self.a.w
        last = self.out[-1] if self.out else None
        if last is None or last.unit not in _MASSES | _VOLUMES or self.a.tok[q.start] - last.end > _FACTOR // 2:
            return 0
        if (
            w[q.start - 1] not in _PARALLEL
            or w[q.end] != "of"
            or w[q.end + 1] in _NO_STUFF
            or not w[q.end + 1].isalpha()
        ):
            return 0
        if "of" not in w[max(0, q.start - 6) : q.start]:
            return 0
        return self._goes_on(q, last.unit, "mass", w[q.end + 1])

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
