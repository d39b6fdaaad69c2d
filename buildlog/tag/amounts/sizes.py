"""Sizes that are names: a size 80 needle, a number 8 screw, 10 ounce canvas, a 2x4."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from buildlog.tag.amounts import what
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import HYPHENS, is_digits, starts_number
from buildlog.tag.amounts.quantities import Quantity, quantity
from buildlog.tag.amounts.state import State

_CROSS = frozenset({"by", "x", "×"})


class Sizes(State):
    """Sizes that are names."""

    def _size(self, q: Quantity) -> int:
        """Sizes that are names: "size 80 needle", "number 8 screw", "10 ounce canvas", "a 2x4"; 0 where not one."""
        w = self.a.w
        sets = self.lex.sets
        i, k = q.start, q.end
        prev = w[i - 1] if i else ""
        if prev in sets["names_before"] and q.unit is None and (prev not in ("no", "gauge") or is_digits(w[i])):
            if prev == "no" and (w[i - 2] in ("", ",", ".") or (self.carried and self.carried[0] == i)):
                return 0  # "two, no, three"
            start = i - 1
            end = q.number_end
            if prev in ("number", "numbers") and (
                w[end] in sets["number_one_ends"]
                or (q.value == 1 and (not w[end].isalpha() or w[end] in sets["stops"]))
            ):
                return end
            if prev in ("number", "numbers") and not w[end].isalpha() and w[end] not in ("-", "/"):
                return end
            if prev == "gauge" and w[end] in self.lex.units:
                return 0
            if w[end] == "/" and is_digits(w[end + 1]):
                end += 2
            elif (q.fraction and w[i + 1] == "/") or (w[end] in ("to", "or") and starts_number(w[end + 1])):
                pass
            return self._named(q, start, end)
        j = q.number_end
        while w[j] in HYPHENS and self.a.glued[j]:
            j += 1
        if q.unit is None and w[j] == "needle" and q.value >= 8 and w[i - 1] in ("a", "an", "the", "my"):
            return self._named(q, i, q.number_end)
        if q.unit is None and w[j] in sets["names_after"]:
            return self._named(q, i, j + 1)
        if q.unit == "pound" and w[q.end] in ("hammer", "mallet", "maul", "sledge", "sledgehammer", "test"):
            return self._named(q, i, q.end)
        if q.unit in ("ounce", "pound"):
            j = q.end
            while w[j] in HYPHENS:
                j += 1
            cloth = w[j] in sets["ounce_cloths"] or (
                w[j + 1] in sets["ounce_cloths"] and w[j] != "of" and w[j].isalpha()
            )
            if q.unit == "ounce" and (cloth or (not q.plural and self._cloth_before(i) and w[j] not in ("of",))):
                return self._named(q, i, q.end)
        if q.unit in ("pound", "gram") and not q.plural and not q.article and self._papers_near(i, q.end):
            return self._named(q, i, q.end)
        if q.unit == "volt" and w[q.end] in sets["packaged_volt"]:
            return self._named(q, i, q.end)
        if q.unit is None and prev == "m" and self.a.glued[i] and is_digits(w[i]):
            return self._named(q, i - 1, q.number_end)
        if (
            q.unit is None
            and q.fraction
            and starts_number(w[k])
            and w[k] in ("twenty", "20")
            and w[k + 1] in sets["bolts"]
        ):
            return self._named(q, i, k + 1)
        if (
            q.unit is None
            and w[q.number_end] in ("k", "meg")
            and w[q.number_end + 1] in ("resistor", "resistors", "pot")
        ):
            return self._named(q, i, q.number_end + 1)
        return self._lumber(q)

    def _cloth_before(self, i: int) -> bool:
        w = self.a.w
        return any(x in self.lex.sets["ounce_cloths"] for x in w[max(0, i - 8) : i])

    def _papers_near(self, i: int, end: int) -> bool:
        """Whether a weight is that of a paper, card or line named beside it: "the cartridge, hundred and forty gram"."""
        w = self.a.w
        return w[end] != "of" and any(
            x in self.lex.sets["pound_stuffs"] for x in [*w[max(0, i - 8) : i], *w[end : end + 3]]
        )

    def _bolt(self, q: Quantity) -> int:
        """A bolt named by diameter and threads an inch: "1/4-20 bolts", "a quarter twenty tap"."""
        w = self.a.w
        if q.unit is not None or not q.fraction:
            return 0
        j = q.end + 1 if w[q.end] in HYPHENS else q.end
        threads = {
            "20": 20,
            "twenty": 20,
            "16": 16,
            "sixteen": 16,
            "18": 18,
            "eighteen": 18,
            "13": 13,
            "24": 24,
            "32": 32,
        }
        if w[j] in threads and w[j + 1] in self.lex.sets["bolts"]:
            return self._named(q, q.start, j + 1)
        return 0

    def _lumber(self, q: Quantity) -> int:
        """A timber size: "two by four(s)", "2x4s", "a one by six"."""
        w = self.a.w
        sets = self.lex.sets
        raw = self.lex.raw["size"]
        k = q.number_end
        if q.unit is not None or q.fraction or w[k] not in _CROSS or q.value not in raw["lumber_a"]:
            return 0
        j = k + 1
        plural = False
        if w[j] in sets["plurals"]:
            value = dict(zip(raw["plurals"], (2, 3, 4, 6, 8, 10, 12), strict=True))[w[j]]
            end, plural = j + 1, True
        else:
            other = quantity(self.a, j) if starts_number(w[j]) else None
            if other is None or other.unit is not None or other.fraction or other.value != int(other.value):
                return 0
            value, end = int(other.value), other.number_end
            if w[end] == "s" and self.a.glued[end]:
                end, plural = end + 1, True
        if value not in raw["lumber_b"] or w[end] in _CROSS or q.value > value:
            return 0
        prev = w[q.start - 1] if q.start else ""
        near = set(w[max(0, q.start - 6) : q.start]) | set(w[end : end + 4])
        shape = near & lexis().sets["shapes"]
        noun = (
            prev in ("a", "an", "some", "the", "this", "that", "these", "those", "of", "my", "couple", "standard")
            and not shape
        )
        if (
            plural
            or near & sets["lumber_cues"]
            or (noun and w[k] != "by")
            or (noun and prev in ("a", "the", "some", "of", "that", "this"))
        ):
            named = replace_value(q, Fraction(int(q.value)), Fraction(value))
            self._emit(named, "size", of=f"{int(q.value)}x{value}", of_token=self.a.tok[q.start], end=end)
            return end
        return 0

    def _named(self, q: Quantity, start: int, end: int) -> int:
        noun = what.noun_after(self.a, end, most=4)
        size = replace(q, start=start, end=end)
        size.approximate = False
        self._emit(size, "size", of=noun[0] if noun else None, of_token=self.a.tok[noun[1]] if noun else None)
        return end


def replace_value(q: Quantity, value: Fraction, top: Fraction) -> Quantity:
    """``q`` with the two sides of a timber size."""
    return replace(q, value=value, value_max=top)
