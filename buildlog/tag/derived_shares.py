"""Shares of a way and of a thing: slopes, rates, overlaps, counts for each, what was used of a tin."""

from __future__ import annotations

from fractions import Fraction

from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.what import singular
from buildlog.tag.derived_base import NOT_INPUTS, SOFT_FLOOR
from buildlog.tag.derived_each import Rates
from buildlog.tag.derived_mixes import Mixes
from buildlog.tag.derived_scaled import Scaled
from buildlog.tag.derived_words import (
    AS_ADJECTIVES,
    DETERMINERS,
    Sum,
    Term,
    share_of,
    shown,
)

# How much of the reader's assent "got through half of it" needs.
_USED_FLOOR = 0.05
_SLOPES = frozenset("slope taper pitch fall gradient batter draft splay rake ramp rise angle slopes tapers".split())
_SLOPED = {
    "tapered": "taper",
    "tapers": "taper",
    "sloped": "slope",
    "sloping": "slope",
    "dovetails": "slope",
    "tails": "slope",
    "dovetailed": "slope",
    "pitched": "pitch",
    "raked": "rake",
    "splayed": "splay",
    "splay": "splay",
    "splays": "splay",
}
# Atoms back to a sum whose result can still be divided.
_FAR_BACK = 60
_SHIFTED = frozenset("lower higher over along up down forward back forwards backwards sideways out".split())
_THINNING = frozenset("thinned pared skived planed shaved sanded thinning paring skiving scraped".split())
_COVERS = frozenset("covers cover overlaps overlap covering overlapping laps".split())
_WAYS = {
    "across": "width",
    "along": "length",
    "down": "height",
    "up": "height",
    "in": "width",
    "from": "length",
    "back": "length",
    "between": "length",
}


class Shares(Mixes, Scaled, Rates):
    """Finds derived amounts that are a share; each method says where its expression ends, 0 where there is none."""

    def _way(self, i: int) -> int:
        """ "a third of the way across", "halfway down", "a fifth in from the end": a share of a size perhaps nobody named."""
        w, t = self.a.w, self.t
        n = t.number(i)
        sure = i in t.vouched
        if w[i] in ("half", "halfway") and (n is None or n.value == Fraction(1, 2)):
            value, k = Fraction(1, 2), n.end if n is not None else i + 1
        elif n is not None and n.fraction and n.value < 1:
            value, k = n.value, n.end
        elif n is not None and sure and w[n.end] in ("percent", "%"):
            value, k = n.value / 100, n.end + 1
        else:
            return 0
        if w[k : k + 3] == ["of", "the", "way"]:
            k += 3
        elif w[k] == "way" and w[i] == "half":
            k += 1
        elif not (w[k] in ("across", "down") or (sure and w[k] in _WAYS)):
            return 0
        if w[k] == "between" and sure and (between := t.plain(k + 1)) and between.name and w[between.end] == "and":
            other = t.plain(between.end + 1)
            if other is None or not other.name:
                return 0
            name = f"{between.name} to {other.name}"
            return self._emit(Sum(i, other.end, share_of(value, name), [name], 1, tail="position"))
        of = _WAYS.get(w[k])
        if of is None or (w[k] == "from" and w[k - 1] != "way"):
            return 0
        past = k + 1
        if w[past] in ("from", "of") and sure:
            # "a third in from each end": from where, not of what
            where = t.plain(past + 1)
            end = where.end if where else past
            s = Sum(i, end, share_of(value, of), [of], 1, tail="position")
            return self._emit(s) if self._agreed(i, end) > SOFT_FLOOR else 0
        whole = t.name(past) if w[past] in DETERMINERS else None
        text = f"{whole.name} {of}" if whole and whole.name else of
        s = Sum(i, whole.end if whole else past, share_of(value, text), [text], 1, tail="position")
        return self._maybe(s)

    def _told_share(self, i: int) -> int:
        """The rarer shares, each tried only where the word stands that it is told with."""
        w = self.a.w
        near = w[i + 1 : i + 7]
        return (
            ("by" in w[max(0, i - 3) : i] and self._by_share(i))
            or ({"percent", "%", "per"} & set(near) and self._to_percent(i))
            or ("as" in near and self._as_much_of(i))
            or ("for" in near and (self._for_share(i) or self._per_each(i)))
            or ("per" in near and self._per_each(i))
            or (not _SHIFTED.isdisjoint(near) and self._offset(i))
            or ("to" in w[max(0, i - 2) : i] and self._thinned(i))
            or 0
        )

    def _for_share(self, i: int) -> int:
        """ "divide it: two thirds for the long side, with thirty extra": a share of what was worked out before."""
        w, t = self.a.w, self.t
        n = self.t.number(i)
        if n is None or not n.fraction or n.value >= 1 or w[n.end] != "for" or w[n.end + 1] not in DETERMINERS:
            return 0
        thing = t.plain(n.end + 1)
        if thing is None or not thing.name or not self.out or i - self.last > _FAR_BACK:
            return 0
        if not ({"divide", "split", "share", "cut"} & set(w[max(0, i - 12) : i]) or i - self.last < 6):
            return 0
        count, whole = self.divided
        if count != len(self.out):  # what the last sum came to; a second share is of the same
            whole = self.out[-1].result
        text = f"{whole} / {n.value.denominator}" if n.value.numerator == 1 else f"{shown(n.value)} x {whole}"
        s = t.expression(Term(i, thing.end, text, whole, True), i)
        s.tail = f"={thing.name}"
        end = self._maybe(s)
        self.divided = len(self.out), whole
        return end

    def _per_each(self, i: int) -> int:
        """ "How many pegs? Two for every rail", "two stitches for every three rows": a count worked out from another."""
        w, t = self.a.w, self.t
        n = self.t.number(i)
        if n is None or n.value.denominator != 1:
            return 0
        counted = w[n.end] if t.noun(n.end) and w[n.end] not in lexis().units and w[n.end + 1] == "for" else ""
        k = n.end + bool(counted)
        if w[k] not in ("for", "per"):
            return 0
        k += 1
        if w[k - 1] == "for":
            if w[k] not in ("every", "each"):
                return 0
            k += 1
        value = n.value
        every = self.t.number(k)
        if every is not None and every.value > 1:
            value, k = value / every.value, every.end  # "three for every four rows"
        elif counted:
            return 0  # "two screws for each hinge": how many there are
        of = t.plain(k) if t.noun(k) and w[k] not in lexis().units else None
        if of is None or not of.name or not (counted or "many" in w[max(0, i - 14) : i]):
            return 0
        name = f"number of {of.name}"
        tail = f"=number of {counted}" if counted else None
        return self._maybe(Sum(i, of.end, f"{shown(value)} x {name}", [name], 1, tail=tail))

    def _offset(self, i: int) -> int:
        """ "half a space lower than the right ones": a shift by a share of something."""
        w, t = self.a.w, self.t
        n = self.t.number(i)
        value, k = (n.value, n.end) if n is not None and n.fraction else (Fraction(1, 2), i + 1)
        if (n is None and w[i] != "half") or value >= 1:
            return 0
        k += w[k] == "of"
        if w[k] not in ("a", "an") or not t.noun(k + 1) or w[k + 1] in lexis().units or w[k + 2] not in _SHIFTED:
            return 0
        name = w[k + 1]
        text = f"{name} / {value.denominator}" if value.numerator == 1 else f"{shown(value)} x {name}"
        return self._maybe(Sum(i, k + 3, text, [name], 1, tail="=offset"))

    def _thinned(self, i: int) -> int:
        """ "pared from the back down to about half": a share of the thickness it had."""
        w = self.a.w
        n = self.t.number(i)
        value, end = (n.value, n.end) if n is not None and n.fraction else (Fraction(1, 2), i + 1)
        if (n is None and w[i] != "half") or value >= 1 or (w[end].isalpha() and w[end] not in ("and", "so", "where")):
            return 0
        k = i - 1 - (w[i - 1] in ("about", "roughly", "nearly"))
        verb = next((x for x in w[max(0, k - 14) : k] if x in _THINNING), None)
        if w[k - 1 : k + 1] != ["down", "to"] or verb is None:
            return 0
        text = f"thickness / {value.denominator}" if value.numerator == 1 else f"{shown(value)} x thickness"
        return self._emit(Sum(i, end, text, ["thickness"], 1, tail=f"={verb} thickness"), sure=True)

    def _add_those(self, i: int) -> int:
        """ "add the three together": the sums before, as many as are said."""
        w = self.a.w
        k = i + 1 + (w[i + 1] in ("the", "those", "these", "all"))
        n = self.t.number(k)
        many = int(n.value) if n is not None and n.value.denominator == 1 else 2 if w[i + 1] in ("the", "those") else 0
        end = n.end if n is not None else k
        if not 2 <= many <= min(5, len(self.out)) or k == i + 1 or w[end] not in ("together", "up") or n is None:
            return 0
        names = list(dict.fromkeys(d.result for d in self.out[-many:]))
        return self._emit(Sum(i, end + 1, " + ".join(names), names, len(names)))

    def _slope(self, i: int) -> int:
        """ "a slope of one in seven"."""
        w = self.a.w
        n = self.t.number(i)
        if n is None or n.value != 1 or w[n.end] not in ("in", "to"):
            return 0
        m = self.t.number(n.end + 1)
        if m is None or m.value < 2 or m.value.denominator != 1:
            return 0
        near = [*w[max(0, i - 4) : i], *w[m.end : m.end + 2]]
        of = next((_SLOPED.get(x, x) for x in near if x in _SLOPES or x in _SLOPED), None)
        if of is None or self.a.w[m.end] in lexis().units:
            return 0
        of = singular(of)
        about = self.results.subject(i)
        tail = f"={about} {of}" if about and of not in about.split() else f"={of}"
        return self._emit(Sum(i, m.end, f"1 / {shown(m.value)}", [of], 1, tail=tail), sure=True)

    def _rate(self, i: int) -> int:
        """ "an hour for every inch of thickness", "an inch per foot of depth"."""
        w, t = self.a.w, self.t
        q = t.amount(i)
        if q is None or not q.unit:
            return 0
        k = q.end
        if w[k] == "per" or (w[k] in ("for", "to") and w[k + 1] in ("every", "each")):
            k += 1 + (w[k] != "per")
        else:
            return 0
        each = lexis().units.get(w[k])
        if each is not None and w[k + 1] != "of" and q.dim == "time" and each.dim == "length":
            # "you soak it a day for every foot"
            formula = f"{shown(q.value)} {q.unit} x length / 1 {each.name}"
            return self._maybe(Sum(i, k + 1, formula, ["length"], 1, tail=f"={self._doing(i)}time"))
        if each is None or w[k + 1] != "of":
            return 0
        of = t.name(k + 2) if t.noun(k + 2) or w[k + 2] in DETERMINERS else None
        if of is None or not of.name:
            return 0
        formula = f"{shown(q.value)} {q.unit} x {of.name} / 1 {each.name}"
        doing = self._doing(i)
        tail = None if q.dim != "time" else f"={doing}time" if doing else "time"
        return self._emit(Sum(i, of.end, formula, [of.name], 1, tail=tail))

    def _overlap(self, i: int) -> int:
        """ "each row overlaps the last by a third"."""
        w, t = self.a.w, self.t
        n = self.t.number(i)
        value = n.value if n is not None and n.fraction else Fraction(1, 2) if w[i] == "half" else None
        k = i - 1 - (w[i - 1] in ("about", "roughly", "around"))
        if value is not None and value < 1 and (w[k] in _COVERS or (w[k] == "over" and w[k - 1] in _COVERS)):
            # "each one covers a third of the next one"
            end = n.end if n is not None else i + 1
            m = end + 1 + (w[end + 1] == "the")
            if w[end] == "of" and w[m] in ("next", "last", "previous", "other", "one") and m > end + 1:
                thing = w[m + 1] if self.t.noun(m + 1) and w[m + 1] != "one" else ""
                thing = thing or singular(self.results.antecedent(k, None) or "piece")
                text = f"{thing} / {value.denominator}" if value.numerator == 1 else f"{shown(value)} x {thing}"
                return self._maybe(Sum(i, m + 1 + self.t.noun(m + 1), text, [thing], 1, tail="=overlap"))
        if value is None or value >= 1 or w[k] != "by":
            return 0
        at = next((m for m in range(k - 1, max(-1, k - 7), -1) if w[m].startswith("overlap")), -1)
        end = n.end if n is not None else i + 1
        if at < 0 or w[end] == "of" or w[end] in DETERMINERS or w[end] in lexis().units:
            return 0
        of = t.name(at + 1) if w[at + 1] in DETERMINERS else None
        name = of.name if of and of.name and not set(of.name.split()) & NOT_INPUTS else None
        name = name or self.results.subject_before(at) or "width"
        text = f"{name} / {value.denominator}" if value.numerator == 1 else f"{shown(value)} x {name}"
        return self._maybe(Sum(i, end, text, [name], 1, tail="=overlap"))

    def _heads(self, i: int) -> int:
        """ "three heads long", "two boards thick": a thing as the measure."""
        w, t = self.a.w, self.t
        n = self.t.number(i)
        if n is None or (n.fraction and n.value < 1):
            return 0
        k = n.end
        if not t.noun(k) or w[k] in lexis().units or singular(w[k]) == w[k]:
            return 0
        if (
            n.value.denominator > 1
            and w[i - 1] in ("is", "are", "'s", "be")
            and w[i - 2] != "there"
            and (not w[k + 1].isalpha() or w[k + 1] == "and")
            and self.results.kind(w[k]) in ("piece", "material")
        ):
            # "the gap is one and a half boards"
            one = singular(w[k])
            return self._maybe(Sum(i, k + 1, f"{shown(n.value)} x {one}", [one], 1))
        if w[k + 1] not in AS_ADJECTIVES:
            return 0
        if w[k + 1] in ("much", "far", "big", "large", "round", "heavy") or self.results.kind(w[k]) not in (
            "piece",
            "material",
            "tool",
            "body",
        ):
            return 0
        name = singular(w[k])
        s = Sum(i, k + 2, f"{shown(n.value)} x {name}", [name], 1, tail=AS_ADJECTIVES[w[k + 1]])
        return self._maybe(s)

    def _used(self, i: int) -> int:
        """ "got through about two thirds of it", "used half the tin"."""
        w, t = self.a.w, self.t
        k = i - 1
        while k > 0 and w[k] in ("about", "maybe", "roughly", "nearly", "just", "over", "under", "up", "only", "a"):
            k -= 1
        if not (w[k] == "used" or (w[k] == "through" and w[k - 1] in ("got", "went", "gone", "get", "go"))):
            return 0
        n = self.t.number(i)
        if n is not None and (not n.fraction or n.value >= 1):
            return 0
        value, k = (n.value, n.end) if n is not None else (Fraction(1, 2), i + 1)
        if n is None and w[i] != "half":
            return 0
        k += w[k] == "of"
        thing = self.results.thing(i)
        if w[k] in ("it", "that", "them"):
            name, end = thing, k + 1
        elif w[k] in DETERMINERS | {"a"} and (found := t.name(k + (w[k] == "a"))) and found.name:
            name, end = found.name, found.end
        else:
            return 0
        if name is None or (w[k] not in ("it", "that", "the", "a", "my") and not thing):
            return 0
        text = f"{name} / {value.denominator}" if value.numerator == 1 else f"{shown(value)} x {name}"
        if self._agreed(i, end) < _USED_FLOOR:
            return 0
        return self._emit(Sum(i, end, text, [name], 1, tail=f"={thing or name} used"))


__all__ = ["Shares"]
