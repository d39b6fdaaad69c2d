"""Things made more or less by a share of themselves ("skived down by half", "blown up by a third", "to eighty percent")."""

from __future__ import annotations

from fractions import Fraction

from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.derived_base import Finding
from buildlog.tag.derived_words import BIGGER, DETERMINERS, Sum, shown

# What is done to a thing by a share of it: the sign, and the size that changes ("" where any could).
_CHANGES = {
    "+": {
        "size": "blow blew blown enlarge enlarged scale scaled swell swells swelled grow grows grew expand expands rise rises rose",
        "length": "lengthen lengthened extend extended stretch stretched stretches",
        "width": "widen widened spread spreads",
        "": "increase increased raise raised",
    },
    "-": {
        "size": "shrink shrinks shrank shrunk scale reduce reduces reduced",
        "thickness": "skive skived skiving thin thinned thinning pare pared plane planed squash squashed compress compressed",
        "length": "shorten shortened",
        "width": "narrow narrows narrowed",
        "height": "pull pulled lower lowered drop dropped sink sinks press pressed",
        "": "cut drop decrease decreased lose loses",
    },
}
_CHANGED = {
    verb: (sign, of) for sign, sizes in _CHANGES.items() for of, verbs in sizes.items() for verb in verbs.split()
}
_HEDGES = frozenset("about roughly nearly around maybe almost exactly just another".split())
_SCALED = frozenset(
    "scale scaled shrink shrank shrunk reduce reduced enlarge enlarged print printed copy copied blow blew blown".split()
)
# Atoms from the verb to its share.
_REACH = 9


class Scaled(Finding):
    """Finds shares that say how much a thing changed; each method says where its expression ends, 0 where there is none."""

    def _by_share(self, i: int) -> int:
        """ "pulled down by a third", "thicker by half", "reduced by ten percent"."""
        w = self.a.w
        k = i - 1
        while w[k] in _HEDGES:
            k -= 1
        if w[k] != "by" or i not in self.t.vouched:
            return 0
        value, end = self._a_share(i)
        if value is None or value >= 1 or w[end] in ("of", "with", *DETERMINERS) or w[end] in lexis().units:
            return 0
        for m in range(k - 1, max(-1, k - _REACH), -1):
            if w[m] in (".", "?", "!"):
                return 0
            sign, of = BIGGER.get(w[m]) or _CHANGED.get(w[m]) or ("", "")
            if w[m] in ("take", "took", "taken", "brought", "bring") and w[k - 1] in ("up", "down", "in", "out"):
                sign, of = "+" if w[k - 1] in ("up", "out") else "-", "size"
            if sign:
                return self._changed(m, end, 1 + value if sign == "+" else 1 - value, of)
        return 0

    def _to_percent(self, i: int) -> int:
        """ "shrunk the pattern to eighty percent": what it was, times that."""
        w = self.a.w
        k = i - 1
        while w[k] in _HEDGES:
            k -= 1
        if w[k] not in ("to", "at") or not (verbs := _SCALED & set(w[max(0, k - _REACH) : k])):
            return 0
        n = self.t.number(i)
        if n is None or not (w[n.end] in ("percent", "%") or w[n.end : n.end + 2] == ["per", "cent"]):
            return 0
        end = n.end + 1 + (w[n.end] == "per")
        at = max(m for m in range(max(0, k - _REACH), k) if w[m] in verbs)
        return self._changed(at, end, n.value / 100, "size") if w[end] != "of" else 0

    def _a_share(self, i: int) -> tuple[Fraction | None, int]:
        """The share at ``i`` and where it ends: "a third", "half", "ten percent"."""
        w = self.a.w
        n = self.t.number(i)
        if n is None:
            return (Fraction(1, 2), i + 1) if w[i] == "half" else (None, i)
        if w[n.end] in ("percent", "%"):
            return n.value / 100, n.end + 1
        if w[n.end : n.end + 2] == ["per", "cent"]:
            return n.value / 100, n.end + 2
        return (n.value, n.end) if n.fraction else (None, i)

    def _changed(self, verb: int, end: int, times: Fraction, of: str) -> int:
        """A sum of the thing that the verb (or "thicker") at ``verb`` is about, ``times`` what it was."""
        w, t = self.a.w, self.t
        thing = t.name(verb + 1) if w[verb + 1] in DETERMINERS else None
        if thing is None or not thing.name or thing.name in ("that", "this"):
            thing = (
                t.name(verb + 2) if w[verb + 1] in ("up", "down", "in", "out") and w[verb + 2] in DETERMINERS else None
            )
        name = thing.name if thing and thing.name not in ("that", "this") else None
        was = f"{name} {of}".strip() if name else of or "size"
        s = Sum(verb, end, f"{shown(times)} x {was}", [was], 1, tail=of if of != "size" else None)
        if name:
            s.tail = f"={name} {of}" if of and of != "size" else f"={name}"
        return self._emit(s, sure=True)


__all__ = ["Scaled"]
