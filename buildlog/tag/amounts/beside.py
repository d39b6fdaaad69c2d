"""Bare numbers whose unit, or lack of one, the words beside them tell: what was said just before, again, or in a list.

"Two mil bends cold, three won't", "twenty minutes. I give it thirty", "so it's thirty-two again", "a double hem, five and
five", "rods at fifteen, forty-five and seventy-five up", "in front of two and behind one", "one point five from the edge".
"""

from __future__ import annotations

from fractions import Fraction

from buildlog.tag.amounts import what
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import is_digits, starts_number
from buildlog.tag.amounts.quantities import Quantity, quantity
from buildlog.tag.amounts.state import MARKS, State

_SETS = lexis().sets
_AGAIN_REACH = 250
_NEAR, _CLOSE, _GAP = 30, 14, 8
_TURNING = frozenset({"drill", "drilled", "lathe", "router", "spindle", "grinder"})
_SLOWEST = 100
_GIVEN = frozenset({"wait", "waited", "give", "gave", "given", "gives", "leave", "left"})
_PARTED = frozenset({"gram", "kilogram", "ounce", "pound", "milliliter", "liter", "cup", "tablespoon", "teaspoon"})
_NAMED = frozenset({"number", "size", "part", "step", "row", "gauge", "other", "last", "first", "next"})
_ANGLES = frozenset({Fraction(45, 2), Fraction(30), Fraction(45), Fraction(60), Fraction(90)})
_BEFORE_POINT = frozenset(
    {",", "to", "is", "'s", "at", "so", "about", "it", "are", "was", "down", "thats", "its", "only", "just"}
)
_OVER_UNDER = ("over", "under", "behind")


class Beside(State):
    """Bare numbers told by their neighbours."""

    def _beside(self, q: Quantity) -> int:
        """Put ``q`` down where a rule of this module knows it; where it ends, or 0."""
        if q.value == 0 or q.value_max is not None:
            return 0
        for rule in (
            self._unit_follows,
            self._recounted,
            self._again,
            self._spell,
            self._same_kind,
            self._woven,
            self._tilted,
            self._turned,
            self._placed,
            self._off_edge,
            self._pointed,
            self._set_again,
            self._rounded,
            self._revs,
            self._shared_out,
            self._gapped,
            self._listed_before,
            self._if_so,
        ):
            end = rule(q)
            if end:
                return end
        return 0

    def _measure(self, q: Quantity, unit: str, dim: str, of: str | None = None) -> int:
        q.unit, q.dim = unit, dim
        q.flags.append("inherited unit")
        if of is None and (before := what.noun_before(self.a, q.start)):
            of = before[0]
        self._emit(q, "measurement", of=of, of_token=None, confidence=0.65)
        if dim == "length":
            self.last_length = (q.end, unit)
        return q.end

    def _unit_follows(self, q: Quantity) -> int:
        """ "each handle is forty long, that's centimetres"."""
        shaped = self.a.w[q.end] in self.lex.dimension
        unit = self._unit_after(q.end + shaped)
        return (
            self._measure(q, unit, "length", of=self.lex.dimension[self.a.w[q.end]] if shaped else None) if unit else 0
        )

    def _recounted(self, q: Quantity) -> int:
        """ "Two turns. I tell a lie, two and a half": the right number of what was counted wrong."""
        carried = self.carried
        if carried is None or carried[0] != q.start or carried[2] is None or carried[1].unit is not None:
            return 0
        return self._counted(q, carried[2], None, q.end, 0.75) if self._ends(q.end) else 0

    def _again(self, q: Quantity) -> int:
        """ "so it's thirty-two again": what had that value before."""
        if self.a.w[q.end] != "again":
            return 0
        for x in reversed(self.out):
            if self.a.tok[q.start] - x.end > _AGAIN_REACH:
                return 0
            if x.value == q.value and x.value_max is None and x.measured:
                q.unit = x.unit
                self._emit(q, x.kind, of=x.of, of_token=None, confidence=0.7)
                return q.end
        return 0

    def _spell(self, q: Quantity) -> int:
        """A time after a time: "twenty minutes ... I give it thirty", "twelve hours. I peeked after three"."""
        w = self.a.w
        if self.last_time is None or not self._ends(q.end) or (q.fraction and q.value < 1):
            return 0
        if self.last_length and self.last_length[0] > self.last_time[0]:
            return 0
        gap = q.start - self.last_time[0]
        given = bool(_GIVEN & set(w[max(0, q.start - 5) : q.start])) and w[q.end] in (*MARKS, "and", "but")
        since = w[q.start - 1] in ("after", "before", "until", "till") and w[q.end] in (
            *MARKS,
            "and",
            "but",
            "it",
            "so",
        )
        if not ((given and gap < _NEAR) or (since and gap < _CLOSE)) or w[q.end] in ("of", "to", "by"):
            return 0
        return self._measure(q, self.last_time[1], "time", of="time")

    def _same_kind(self, q: Quantity) -> int:
        """A number that does, or is too much, what the measure before does: "two mil bends cold, three won't"."""
        w, k = self.a.w, q.end
        if not self.out:
            return 0
        last = self.out[-1]
        if (
            (last.unit is None) != (last.kind == "count")
            or last.kind not in ("measurement", "count")
            or self.a.tok[q.start] - last.end > _CLOSE
        ):
            return 0
        if not last.value / 8 <= q.value <= last.value * 8 or w[q.start - 1] not in (
            *MARKS,
            "but",
            "and",
            "so",
            "then",
        ):
            return 0
        copula = w[k] in ("'s", "is", "was", "would", "will", "'d") and w[k + 1] in (
            "too",
            "not",
            "n't",
            "plenty",
            "enough",
            "be",
        )
        refuses = w[k] in ("wo", "does", "did", "would", "will", "is", "was", "ca") and w[k + 1] in ("n't", "nt", "not")
        if not (copula or refuses or w[k] in ("wont", "doesnt", "didnt", "isnt", "wasnt")):
            return 0
        if last.unit is None:
            return self._counted(q, last.of or "pieces", None, q.end, 0.65)
        return self._measure(q, last.unit, "any", of=last.of)

    def _woven(self, q: Quantity) -> int:
        """How a weaver goes: "in front of two and behind one", "over one under one"."""
        w, a = self.a.w, self.a
        if q.fraction or q.value > 12 or q.value != int(q.value) or a.known.isdisjoint(_SETS["weaving"]):
            return 0
        led = w[q.start - 1] in _OVER_UNDER or w[q.start - 3 : q.start] == ["in", "front", "of"]
        if not led or not (self._ends(q.end) or what.counted(a, q.end)):
            return 0
        q.approximate = False
        return self._counted(q, "stakes", None, q.end, 0.7)

    def _tilted(self, q: Quantity) -> int:
        """ "the cradle holds it at forty-five on the saw": an angle."""
        w = self.a.w
        half_eighth = q.value == Fraction(45, 2) and w[q.start - 1] == "at"
        if q.value not in _ANGLES or w[q.start - 1] not in ("at", "to") or not self._ends(q.end):
            return 0
        said = any(x.unit == "degree" and x.value == q.value for x in self.out[-3:])
        if (
            not said
            and not half_eighth
            and _SETS["tilting"].isdisjoint(w[max(0, q.start - 10) : q.start] + w[q.end : q.end + 6])
        ):
            return 0
        return self._measure(q, "degree", "angle", of="angle")

    def _turned(self, q: Quantity) -> int:
        """ "a double hem, five and five": two turns of one depth."""
        w = self.a.w
        unit = self.length_unit(q.value)
        if unit is None or w[q.end] != "and" or self._again_here(q, q.end + 1) == 0:
            return 0
        if _SETS["turning"].isdisjoint(w[max(0, q.start - 6) : q.start]):
            return 0
        other = quantity(self.a, q.end + 1)
        if other is None:
            return 0
        for x in (q, other):
            self._measure(x, unit, "length", of="hem")
        return other.end

    def _again_here(self, q: Quantity, k: int) -> int:
        """Where the bare value of ``q`` said at atom ``k`` ends, or 0."""
        w = self.a.w
        other = quantity(self.a, k) if starts_number(w[k]) else None
        same = other is not None and other.value == q.value and other.unit is None and self._ends(other.end)
        return other.end if other is not None and same else 0

    def _placed(self, q: Quantity) -> int:
        """ "rods at fifteen, forty-five and seventy-five up": places along a length."""
        w = self.a.w
        if w[q.start - 1] != "at":
            return 0
        found, end = [q], q.end
        while True:
            k = end
            while w[k] in (",", "and", "then"):
                k += 1
            if not (is_digits(w[k]) or (starts_number(w[k]) and w[k] not in ("a", "an"))):
                break
            other = quantity(self.a, k)
            if other is None or other.unit is not None or other.value <= found[-1].value:
                break
            found.append(other)
            end = other.end
        unit = self.length_unit(q.value)
        along = w[end] in ("up", "down", "along", "across", "from") or w[end : end + 2] == ["in", "from"]
        if unit is None or len(found) < 2 or not along:
            return 0
        before = what.noun_before(self.a, q.start)
        for x in found:
            self._measure(x, unit, "length", of=before[0] if before else None)
        return end

    def _pointed(self, q: Quantity) -> int:
        """ "the lining is calf, zero point eight": what a maker in millimetres gives with a point."""
        w = self.a.w
        small = q.value < 10 and q.value.denominator in (2, 4, 5, 8, 10, 20) and not q.fraction
        if not small or self.length_unit(q.value) != "millimeter":
            return 0
        stuff = w[q.start - 1] == "a" and not what.counted(self.a, q.end)  # "a two point five shoulder"
        if not stuff and (w[q.start - 1] not in _BEFORE_POINT or not self._ends(q.end)):
            return 0
        if w[q.end] in ("to", "by", "times", "of", "plus", "and"):
            return 0
        if not _SETS["stitching"].isdisjoint(w[max(0, q.start - 10) : q.start] + w[q.end : q.end + 4]):
            return 0
        return self._measure(q, "millimeter", "length")

    def _set_again(self, q: Quantity) -> int:
        """ "speed two ... no, I had it on three": the setting said last."""
        w = self.a.w
        down = w[q.start - 2 : q.start] in (["down", "to"], ["up", "to"], ["back", "to"])
        if not self.out or not (w[q.start - 1] in ("on", "at") or down) or not self._ends(q.end):
            return 0
        last = next((x for x in self.out[:-4:-1] if x.kind == "setting"), self.out[-1]) if down else self.out[-1]
        if (
            last.kind != "setting"
            or last.unit is not None
            or self.a.tok[q.start] - last.end > _CLOSE
            or last.of == "grit"
        ):
            return 0
        if not last.value / 4 <= q.value <= last.value * 4:
            return 0
        self._emit(q, "setting", of=last.of, of_token=None, confidence=0.7)
        return q.end

    def _rounded(self, q: Quantity) -> int:
        """ "so I rounded it up to a hundred and eight": of what the number before is."""
        w = self.a.w
        if w[q.start - 1] != "to" or not {"round", "rounded", "rounding"} & set(w[max(0, q.start - 5) : q.start]):
            return 0
        if not self.out or not self._ends(q.end) or self.a.tok[q.start] - self.out[-1].end > _NEAR:
            return 0
        last = self.out[-1]
        q.unit = last.unit
        self._emit(q, last.kind, of=last.of, of_token=None, confidence=0.7)
        return q.end

    def _gapped(self, q: Quantity) -> int:
        """ "the pot's eleven centimetres and the saucer thirteen", "thirty centimetres at the hem and ten at the top"."""
        w, j = self.a.w, q.start - 1
        unit = self._lately()
        if unit is None or self.last_length is None or w[q.start] == "one" or not self._fits(unit, q.value):
            return 0
        gap = w[self.last_length[0] : q.start]
        if "." in gap or len(gap) > _GAP:
            return 0
        if w[j] in ("and", ",", "but") and w[q.end] in ("at", "on", "in") and w[q.end + 1] == "the":
            return self._measure(q, unit, "length", of="")
        rest = [x for x in gap if x not in ("and", ",", "but", "then")]
        noun = len(rest) in (2, 3) and rest[0] in ("the", "my", "its", "their") and w[j] not in _SETS["stops"]
        if len(rest) == len(gap) or not noun or w[j] in _NAMED or what.plural(w[j]) or w[q.end] not in MARKS:
            return 0
        return self._measure(q, unit, "length", of=" ".join(rest[1:]))

    def _shared_out(self, q: Quantity) -> int:
        """ "sixty grams, so twenty of one and forty of the other": what is weighed or poured in parts."""
        w, k = self.a.w, q.end
        if w[k] != "of" or not (w[k + 1] in ("one", "each") or w[k + 1 : k + 3] in (["the", "other"], ["the", "one"])):
            return 0
        for x in reversed(self.out[-3:]):
            if x.unit in _PARTED and self.a.tok[q.start] - x.end < _NEAR:
                return self._measure(q, x.unit, "any", of="")
        return 0

    def _revs(self, q: Quantity) -> int:
        """ "I had the lathe at eight hundred": turns a minute, with no unit."""
        w = self.a.w
        if w[q.start - 1] not in ("at", "to", "about") or q.value < _SLOWEST or q.value % 10 or not self._ends(q.end):
            return 0
        before, after = w[max(0, q.start - 6) : q.start], w[q.end : q.end + 4]
        running = bool({"run", "ran", "running"} & set(before)) and not self.a.known.isdisjoint(_TURNING)
        fast = running or bool({"lathe", "router", "speed", "speeds", "revs", "spindle"} & set(before))
        if not fast and not (
            {"drill", "drilled", "turned", "spun"} & set(before) and {"slow", "fast", "slowly"} & set(after)
        ):
            return 0
        self._emit(q, "setting", of="speed", of_token=None, confidence=0.7)
        return q.end

    def _listed_before(self, q: Quantity) -> int:
        """ "at eight, nine and ten inches": the numbers of a list before the one that says the unit."""
        w, k = self.a.w, q.end
        found, other = [q], None
        while (w[k] in (",", "and") and starts_number(w[k + 1])) or starts_number(w[k]):
            at = k + (w[k] in (",", "and"))  # captions have no commas
            if w[at] in ("a", "an", "one", "half", "point") or (at == k and w[k] in ("hundred", "thousand")):
                break
            other = quantity(self.a, at)
            if other is None or other.unit is not None or w[k] == "and":
                break
            found.append(other)
            k = other.end
        if other is None or other.dim != "length" or w[k] != "and" or other.unit is None or other.hyphened:
            return 0
        if not self._ends(other.end) or self.a.w[q.start - 1] not in (
            "at",
            ",",
            "are",
            "is",
            "to",
            "of",
            "sections",
            "pieces",
            "lengths",
        ):
            return 0
        for x in found:
            self._measure(x, other.unit, "length")
        return k

    def _if_so(self, q: Quantity) -> int:
        """ "ten minutes, fifteen if it's cold", "five millimetres, six at most"."""
        w = self.a.w
        last = self.out[-1] if self.out else None
        if (
            last is None
            or last.unit is None
            or self.a.tok[q.start] - last.end > 2
            or w[q.start - 1] not in (",", "or", "but")
        ):
            return 0
        bound = w[q.end - 1] in ("most", "least", "max", "tops", "minimum", "maximum") and w[q.end] in MARKS
        if not (bound or w[q.end] in ("if", "when")) or q.value == last.value:
            return 0
        return self._measure(q, last.unit, "any", of=last.of)

    def _off_edge(self, q: Quantity) -> int:
        """ "one point five from the edge"."""
        w, k = self.a.w, q.end
        k = k + 1 if w[k] in ("in", "up", "down", "away", "back") and w[k + 1] == "from" else k
        beside = self.last_length is not None and q.start - self.last_length[0] < _CLOSE
        if not (w[k] == "from" or (w[k] == "off" and beside)) or w[k + 1] not in (
            "the",
            "each",
            "either",
            "every",
            "that",
            "this",
        ):
            return 0
        j = k + 2
        while w[j] in ("top", "bottom", "outside", "inside", "cut", "raw", "long", "short", "front", "back", "folded"):
            j += 1
        if w[j] not in _SETS["edges"] and w[j - 1] not in _SETS["edges"]:
            return 0
        unit = self.length_unit(q.value)
        counting = self._lately() is None or q.start - self.last_count < _NEAR
        if unit is None or (q.value.denominator == 1 and counting and unit != "millimeter"):
            return 0  # "start three from the end": holes
        return self._measure(q, unit, "length", of="distance from the edge")


__all__ = ["Beside"]
