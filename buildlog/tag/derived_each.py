"""So much for every so much: "a gram of alum for every ten grams of paper", "an hour for each inch of thickness"."""

from __future__ import annotations

from dataclasses import dataclass

from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.derived_base import Finding
from buildlog.tag.derived_words import DETERMINERS, Sum, shown

# What a unit without a thing is an amount of: "a day for every foot".
_KIND_OF = {"length": "length", "mass": "weight", "volume": "volume", "time": "time", "temperature": "temperature"}

_BARE_VERBS = frozenset("is are be do does have give take want need leave allow say get go".split())


@dataclass(slots=True)
class _Much:
    """An amount of a thing over atoms up to ``end``: "ten grams of paper", "two stitches", "a foot"."""

    end: int
    value: str
    unit: str
    dimension: str
    thing: str


class Rates(Finding):
    """Finds rates; each method says where its expression ends, 0 where there is none."""

    def _each(self, i: int) -> int:
        """So much of one thing for so much of another, where the reader vouches for a sum."""
        w = self.a.w
        if i not in self.t.vouched:
            return 0
        one = self._much(i)
        if (
            one is None
            or not (one.unit or one.thing)
            or w[i - 1] in ("plus", "minus", "less", "add", "extra", "another")
        ):
            return 0
        k = one.end
        if (w[k] in ("for", "to") or (w[k] == "in" and one.thing)) and w[k + 1] in ("every", "each"):
            k += 2
        elif (
            w[k] == "per"
            or (w[k] == "a" and one.dimension == "time" and not one.thing)
            or (w[k] == "every" and (one.unit or one.thing))
        ):
            k += 1
        elif w[k] == "to" and one.unit and w[k + 1] == "the" and w[k + 2] in lexis().units:
            k += 2
        else:
            return 0
        other = self._much(k)
        if other is None:
            return 0
        if not other.thing and w[one.end] == "to" and w[one.end + 1] == "the" and not one.thing:
            return 0
        if not one.unit and other.unit and not other.thing and w[one.end] == "to":
            return 0  # "eight to the inch": how close they stand
        if other.unit:
            name = other.thing or _KIND_OF.get(other.dimension, "amount")
        else:
            name = other.thing if one.unit else f"number of {other.thing}"
        left = " ".join(x for x in (one.value, one.unit) if x)
        right = " ".join(x for x in (other.value, other.unit) if x)
        formula = f"{left} x {name}" + (f" / {right}" if right != "1" else "")
        s = Sum(i, other.end, formula, [name], 1)
        if one.thing:
            s.tail = f"={one.thing}" if one.unit else f"=number of {one.thing}"
        elif one.dimension == "time":
            s.tail = f"={self._doing(i)}time"
        return self._emit(s, sure=True)

    def _doing(self, i: int) -> str:
        """ "soaking " before "you soak it a day ...", else nothing."""
        w = self.a.w
        for k in range(i - 1, max(-1, i - 6), -1):
            if self.t.tag(k) in ("VB", "VBP") and w[k] not in _BARE_VERBS and w[k + 1] in DETERMINERS | {"it", "them"}:
                return f"{w[k].removesuffix('e')}ing "
        return ""

    def _much(self, i: int) -> _Much | None:
        """The amount at ``i`` with its thing, if it has one."""
        w, t = self.a.w, self.t
        q = t.amount(i)
        unit = dimension = ""
        value = "1"
        if q is not None:
            if q.value_max is not None:
                return None
            value, unit, dimension, k = shown(q.value), q.unit or "", q.dim or "", q.end
        elif (each := lexis().units.get(w[i])) is not None:
            unit, dimension, k = each.name, each.dim or "", i + 1
        else:
            k = i
        of = w[k] == "of"
        k += of
        k += of and w[k] in DETERMINERS
        m = k
        while (
            m < k + 3
            and (t.noun(m) or (m == k and t.tag(m).startswith("JJ") and t.noun(m + 1)))
            and w[m] not in lexis().units
        ):
            m += 1
        thing = " ".join(w[k:m]) if (of or not unit) and m > k else ""
        if q is None and not unit and not thing:
            return None
        return _Much(m if thing else k - of, value, unit, dimension, thing)


__all__ = ["Rates"]
