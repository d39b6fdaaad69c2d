"""Shares of a mix: "one part wax to three of oil", "half and half", "ten percent water", "twice as much chalk as glue"."""

from __future__ import annotations

from fractions import Fraction

from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import starts_number
from buildlog.tag.amounts.what import singular
from buildlog.tag.derived_base import SOFT_FLOOR, Finding
from buildlog.tag.derived_words import (
    DETERMINERS,
    Sum,
    Term,
    shown,
)

# Of how much to one a mix is a dose of something rather than a ratio of two things.
_DOSE = 5
_SCOOPS = frozenset("scoop spoon spoonful handful jar tin bucket measure lump mug glass shovel trowel jug".split())
_MIXING = frozenset("mix mixed mixes mixing ratio thinned diluted weight volume parts".split())
_THINNED = frozenset("thin thinned thinning thins diluted dilute cut mixed mix watered let".split())
_FEW = {"twice": Fraction(2), "half": Fraction(1, 2)}


class Mixes(Finding):
    """Finds mixes; each method says where its expression ends, 0 where there is none."""

    def _mix(self, i: int) -> int:
        """ "one part wax to three parts oil", "paste and PVA, half and half": shares of a mix, its inputs the two things."""
        w, t = self.a.w, self.t
        if w[i] == "half" and w[i + 1] == "and" and w[i + 2] == "half":
            return self._mixed(i, i + 3, "1", "1")
        if w[i] == "half" and (end := self._halves(i)):
            return end
        if w[i] == "equal" and w[i + 1] in ("parts", "amounts", "quantities"):
            k = i + 2 + (w[i + 2] == "of")
            first = t.name(k)
            second = t.name(first.end + 1) if first and w[first.end] == "and" else None
            if first and second and first.name and second.name:
                return self._mix_of(i, second.end, "1", "1", first.name, second.name)
            return self._mixed(i, i + 2, "1", "1")
        n = self.t.number(i)
        if n is None or (n.fraction and n.value < 1):
            return 0
        k = n.end
        parts = w[k] in ("part", "parts") or (singular(w[k]) in _SCOOPS and w[k + 1] == "of")
        k += parts
        k += w[k] == "of"
        first = t.plain(k) if t.noun(k) or t.tag(k).startswith("JJ") or (w[k - 1] == "of" and w[k] == "the") else None
        if first is None and parts and t.phrase_word(k):
            first = Term(k, k + 1, w[k], w[k])  # "four parts sand to ...", read as a verb
        if first and first.name:
            k = first.end
        bare = parts and starts_number(w[k])  # "two parts oil one part spirits"
        if w[k] not in ("to", ",", "and") and not bare:
            return 0
        k -= bare
        m = self.t.number(k + 1)
        if m is None or (m.fraction and m.value < 1) or (w[k] != "to" and not parts):
            return 0
        k = m.end
        parts = parts or w[k] in ("part", "parts")
        k += w[k] in ("part", "parts")
        if w[k] == "by" and w[k + 1] in ("volume", "weight", "measure") and w[k + 2] == ",":
            k += 2
        k += w[k] == "of"
        second = t.plain(k) if t.noun(k) or t.tag(k).startswith("JJ") or (w[k - 1] == "of" and w[k] == "the") else None
        if first and first.name and second and second.name and (parts or w[first.end] == "to"):
            if not parts and (first.name in lexis().units or second.name in lexis().units):
                return 0
            return self._mix_of(
                i, second.end, shown(n.value), shown(m.value), first.name, second.name, dosed=m.value == 1
            )
        if (first is None or not first.name) and parts and second and second.name and w[i - 1] == ",":
            # "hide glue, one part to two of water"
            before = self.results.phrase_to(i - 2)
            if before:
                return self._mix_of(i, second.end, shown(n.value), shown(m.value), before, second.name)
        if (
            (first is None or not first.name)
            and parts
            and second
            and second.name
            and w[i - 1] in ("is", "'s", "are", "be")
        ):
            # "the copper is one part to eight of the frit"
            text = f"{second.name} / {shown(m.value / n.value)}"
            return self._emit(Sum(i, second.end, text, [second.name], 1), sure=True)
        named = self._things(k) if first is None or not first.name else None
        if named is not None and (parts or w[n.end] == "to"):
            one, other, end = named
            if not parts and m.value == 1 and n.value >= _DOSE:
                # a dose: so much of the second to much more of the first
                s = Sum(i, end, f"{one} / {shown(n.value)}", [one], 1, tail=f"={other}")
                return self._emit(s, sure=True)
            if not parts and n.value == 1 and m.value >= _DOSE:
                s = Sum(i, end, f"{other} / {shown(m.value)}", [other], 1, tail=f"={one}")
                return self._emit(s, sure=True)
            return self._mix_of(i, end, shown(n.value), shown(m.value), one, other)
        if (
            first is None
            and w[n.end] == "to"
            and (self._agreed(i, m.end) > SOFT_FLOOR or set(w[max(0, i - 6) : i] + w[m.end : m.end + 3]) & _MIXING)
        ):
            two = self._two_before(i)
            if two is not None and n.value == 1 and m.value >= _DOSE:
                s = Sum(i, m.end, f"{two[1]} / {shown(m.value)}", [two[1]], 1, tail=f"={two[0]}")
                return self._emit(s)
            if two is not None:
                return self._mix_of(i, m.end, shown(n.value), shown(m.value), *two)
            return self._mixed(i, m.end, shown(n.value), shown(m.value))
        return 0

    def _further(self, end: int) -> list[tuple[str, str, int]]:
        """The further parts of a mix: "..., two parts feldspar and one of clay": share, thing and where it ends."""
        w, t = self.a.w, self.t
        found: list[tuple[str, str, int]] = []
        while w[end] in (",", "and") and len(found) < 4:
            k = end + 1 + (w[end + 1] == "and")
            n = t.number(k)
            if n is None or (w[n.end] not in ("part", "parts", "of") and not found):
                break
            k = n.end + (w[n.end] in ("part", "parts"))
            k += w[k] == "of"
            thing = t.plain(k) if t.noun(k) or t.tag(k).startswith("JJ") else None
            if thing is None or not thing.name or thing.name in lexis().units:
                break
            found.append((shown(n.value), thing.name, thing.end))
            end = thing.end
        return found

    def _two_before(self, i: int) -> tuple[str, str] | None:
        """ "plaster to water's ten to seven", "resin to hardener, two to one": the two things before their ratio."""
        w, t = self.a.w, self.t
        k = i - 1
        while k > 0 and w[k] in (",", "is", "'s", "about", "at", "are", "it", "goes", "roughly"):
            k -= 1
        if k > 1 and w[k - 1] == "to" and t.noun(k) and t.noun(k - 2):
            return w[k - 2], w[k]
        return None

    def _halves(self, i: int) -> int:
        """ "half water, half glue"."""
        w, t = self.a.w, self.t
        first = t.plain(i + 1) if t.noun(i + 1) or t.tag(i + 1).startswith("JJ") else None
        if first is None or not first.name:
            return 0
        k = first.end + (w[first.end] == ",")
        k += w[k] == "and"
        second = t.plain(k + 1) if w[k] == "half" and t.noun(k + 1) else None
        if second is None or not second.name or k == first.end or {w[i + 1], w[k + 1]} & {"way", "past", "time"}:
            return 0
        if self._agreed(i, second.end) < SOFT_FLOOR:
            return 0  # "half cotton, half polyester": what a stuff is
        return self._mix_of(i, second.end, "1", "1", first.name, second.name)

    def _as_much_of(self, i: int) -> int:
        """ "one and a half times as much chalk as glue": the first is worked out from the second."""
        w, t = self.a.w, self.t
        n = self.t.number(i)
        value, k = (n.value, n.end) if n is not None else (_FEW.get(w[i]), i + 1)
        k += w[k] == "times"
        if value is None or w[k] != "as" or w[k + 1] not in ("much", "many"):
            return 0
        first = t.plain(k + 2) if t.noun(k + 2) else None
        if first is None or not first.name or w[first.end] != "as":
            return 0
        second = t.name(first.end + 1) if t.noun(first.end + 1) or w[first.end + 1] in DETERMINERS else None
        if second is None or not second.name:
            return first.end + 1  # "twice as much dust as I'd thought"
        of = Sum(i, second.end, f"{shown(value)} x {second.name}", [second.name], 1, tail=f"={first.name}")
        return self._emit(of)

    def _things(self, k: int) -> tuple[str, str, int] | None:
        """ ", filler to hardener" after a ratio: the two things and where they end."""
        w, t = self.a.w, self.t
        k += w[k] == ","
        if not t.noun(k) or w[k] in lexis().units:
            return None
        first = t.name(k)
        if first is None or not first.name:
            return None
        if " to " in first.name and first.name.count(" to ") == 1:
            one, other = first.name.split(" to ")
            return one, other, first.end
        if w[first.end] != "to" or not t.noun(first.end + 1):
            return None
        second = t.name(first.end + 1)
        return (first.name, second.name, second.end) if second and second.name else None

    def _dose(self, i: int) -> int:
        """ "thinned, ten percent water", "let down with a fifth turps": a share of what it goes into."""
        w, t = self.a.w, self.t
        n = self.t.number(i)
        if (
            n is None
            or w[i - 2 : i] == ["half", "and"]
            or not (set(w[max(0, i - 8) : i]) & _THINNED or {"let", "down"} <= set(w[max(0, i - 10) : i]))
        ):
            return 0
        value, k = n.value, n.end
        if w[k] in ("percent", "%") or (w[k] == "per" and w[k + 1] == "cent"):
            value, k = value / 100, k + 1 + (w[k] == "per")
        elif not n.fraction or value >= 1 or not (w[k] == "with" or set(w[i - 2 : i]) & {"with", "by"}):
            return 0
        k += w[k] in ("with", "of")
        of = t.name(k) if t.noun(k) or t.tag(k).startswith("JJ") else None
        if of is None or not of.name or w[k] in lexis().units:
            return 0
        s = Sum(i, of.end, "", [], 1, tail=f"={of.name}")
        into = self.results.thing(i)
        s.names = [into if into and into != of.name and self.results.stuff(into) else "mix"]
        s.formula = f"{shown(value)} x {s.names[0]}"
        return self._emit(s, sure=True)

    def _mixed(self, start: int, end: int, one: str, other: str) -> int:
        """A ratio whose two things were named before it: "paste and PVA, half and half"."""
        w = self.a.w
        for k in range(start - 1, max(0, start - 9), -1):
            if w[k] in (".", "!", "?"):
                break
            if w[k] in ("and", "with") and self.t.noun(k - 1):
                second = self.t.name(k + 1)
                if second is None and self.t.phrase_word(k + 1) and self.t.noun(k + 2):
                    second = Term(k + 1, k + 3, "", " ".join(w[k + 1 : k + 3]))  # "linseed oil", read as a verb
                if second and second.name and self.t.noun(second.end - 1):
                    first = self.results.phrase_to(k - 1) or w[k - 1]
                    return self._mix_of(start, end, one, other, first, second.name)
        if w[end] == "with" and (second := self.t.name(end + 1)) and second.name:
            return self._mix_of(
                start, second.end, one, other, self.results.of(Sum(start, end, "")) or "rest", second.name
            )
        return 0

    def _mix_of(
        self, start: int, end: int, one: str, other: str, first: str, second: str, *, dosed: bool = False
    ) -> int:
        if {first, second} & lexis().units.keys():
            return 0
        if dosed and other == "1" and one != "1":
            # "three parts of water to one of vodka": how much of the lesser
            return self._emit(Sum(start, end, f"{first} / {one}", [first], 1, tail=f"={second}"))
        more = self._further(end) if not dosed else []
        parts = [(one, first), (other, second), *((x, name) for x, name, _ in more)]
        formula = " + ".join(f"{x} x {name}" for x, name in parts)
        end = more[-1][2] if more else end
        return self._emit(Sum(start, end, formula, [name for _, name in parts], len(parts) - 1, tail="mix"))


__all__ = ["Mixes"]
