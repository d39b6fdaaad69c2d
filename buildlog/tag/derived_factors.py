"""Products and shares of a named quantity: "three times the rim", "a third of the width", "half again as much as the hem"."""

from __future__ import annotations

from fractions import Fraction

from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import starts_number
from buildlog.tag.amounts.what import plural, singular
from buildlog.tag.derived_names import Names
from buildlog.tag.derived_words import AS_ADJECTIVES, BIGGER, DETERMINERS, DIMENSIONS, FACTORS, Term, share_of, shown

_SHARE_NOT = lexis().sets["shares_of_other"]


class Factors(Names):
    """Reads terms that are a sum by themselves."""

    def factor(self, i: int, *, loose: bool = False) -> Term | None:
        """ "three times the rim", "twice the depth", "a third of the width", "half again as much as the hem".

        ``loose``: also what could be any share ("half the strips"), where there is other evidence of a sum.
        """
        w = self.a.w
        text = w[i]
        loose = loose or i in self.vouched
        if w[i - 1] == "other" and text == "half":
            return None
        again = self._again(i) or self._dimensions(i)
        if again:
            return again
        if text in FACTORS:
            k = self._as_much(i + 1)
            if w[k] in ("of",):
                k += 1
            if k == i + 1 and not (
                w[k] in DETERMINERS
                or w[k] in ("what", "round", "around", "whatever")
                or (text != "twice" and self._bare_dimension(k))
            ):
                return None
            return self._times(i, FACTORS[text], self.name(k))
        n = self.number(i)
        if n is None:
            if text != "half":
                return None
            value, k = Fraction(1, 2), i + 1
        else:
            value, k = n.value, n.end
        if w[k] in ("times", "x") or (w[k] == "lengths" and w[k + 1] == "of" and w[k + 2] in DETERMINERS):
            # a full stop there is a pause, not an end
            k += w[k + 1] == "." and i in self.vouched and w[k + 2] in ("how", "what", "as", *DETERMINERS)
            after = self._as_much(k + 1)
            if w[after] == "of":
                after += 1
            if w[after] in ("a", "an", "before", "over", "now", "already", "it", "a", "and", "we", "i", "you"):
                return None
            if (
                w[after] not in DETERMINERS
                and w[after] not in ("what", "how", "round", "around", "whatever", "that")
                and not self.noun(after)
                and not (loose and self.tag(after) in ("JJ", "VBN") and self.noun(after + 1))
            ):
                return None
            name = self.name(after)
            if after == k + 1 and name and not loose and w[after] not in DETERMINERS and plural(w[after]):
                return None
            return self._times(i, value, name)
        if w[k] == "percent" or w[k] == "%" or (w[k] == "per" and w[k + 1] == "cent"):
            k = k + 1 if w[k] != "per" else k + 2
            k += w[k] == "of" and w[k + 1] == "all" and w[k + 2] in DETERMINERS
            bare = loose and (self.noun(k + 1) or self.tag(k + 1).startswith("JJ"))
            if (
                w[k] in ("of", "all")
                and (name := self.plain(k + 1))
                and name.name
                and (w[k + 1] in DETERMINERS or bare)
            ):
                return Term(i, name.end, f"{shown(value / 100)} x {name.name}", name.name, True)
            return None
        if (
            n is not None
            and n.fraction
            and value > 1
            and w[k] in DETERMINERS - {"that", "this", "each"}
            and loose | self.copula_before(i)
        ):
            return self._times(i, value, self.name(k))
        if value >= 1 or not (n is None or n.fraction):
            return None
        return self._share_of(i, k, value, loose=loose)

    def _bare_dimension(self, k: int) -> bool:
        """ "double seat width": a noun phrase without "the" that is a size, unlike "double crochet"."""
        m = k
        while m < k + 3 and self.noun(m):
            m += 1
        return m > k and self.a.w[m - 1] in DIMENSIONS

    def _dimensions(self, i: int) -> Term | None:
        """ "two board thicknesses", "one and a half strap widths"."""
        w = self.a.w
        n = self.number(i) if starts_number(w[i]) else None
        if n is None:
            return None
        for k in range(n.end + 1, n.end + 4):
            if (
                w[k] not in DIMENSIONS
                and singular(w[k]) not in ("edge", "gap", "area", "span")
                and singular(w[k]) in DIMENSIONS | {"heigh"}
                and all(map(self.phrase_word, range(n.end, k)))
            ):
                name = " ".join([*w[n.end : k], singular(w[k])])
                return Term(i, k + 1, f"{shown(n.value)} x {name}", name, True)
        return None

    def _share_of(self, i: int, k: int, value: Fraction, *, loose: bool) -> Term | None:
        w = self.a.w
        text = w[i]
        if w[k] == "as" and (after := self._as_much(k)) > k:
            return self._times(i, value, self.name(after))
        bare = w[k] != "of"
        k2 = k if bare else k + 1
        if w[k2] == "way" or (w[k2] == "the" and w[k2 + 1] == "way"):
            return None
        if bare and text not in ("half", "two", "three", "a", "one") and not loose:
            return None
        if w[k2] in ("a", "an") and loose and not bare and self.noun(k2 + 1) and w[k2 + 1] not in lexis().units:
            k2 += 1
        if (
            w[k2] == "what"
            and w[k2 + 1] in ("was", "is", "'s")
            and w[k2 + 2] in ("left", "needed", "there")
            and not bare
        ):
            left = f"what was {w[k2 + 2]}"
            return Term(i, k2 + 3, share_of(value, left), left, True)
        if w[k2] in ("how", "what") and not bare and (of := self._sized_clause(k2)) and of.name:
            return Term(i, of.end, share_of(value, of.name), of.name, True)
        if (
            text == "half"
            and w[k2] in ("a", "an")
            and self.noun(k2 + 1)
            and w[i - 1] in ("is", "are", "'s", "'re")
            and w[i - 2] != "there"
        ):
            # "the gaps are half a slat"
            name = self.plain(k2 + 1)
            if name and name.name and w[k2 + 1] not in lexis().units and w[k2 + 1] not in _SHARE_NOT | {"circle"}:
                return Term(i, name.end, share_of(value, name.name), name.name, True)
        if loose and not bare and w[k2] == "all":
            k2 += 1
        if loose and not bare and w[k2] in ("it", "that", "them") and self.tag(k2 + 1) not in ("VBZ", "VBP", "VBD"):
            return Term(i, k2 + 1, share_of(value, "that"), "that", True)
        if w[k2] not in DETERMINERS and not (loose and self.noun(k2) and not bare):
            return None
        if w[k2 + 1] in _SHARE_NOT:
            return None
        name = self.name(k2)
        if name is None or not (name.name and (loose or self._sized(name))):
            return None
        return Term(i, name.end, share_of(value, name.text if "\t" in name.name else name.name), name.name, True)

    def _times(self, i: int, value: Fraction, name: Term | None) -> Term | None:
        if name is None or not name.name or "\t" in name.name:
            return None
        w = self.a.w
        if w[name.start] in ("this", "that") and name.name in ("week", "time", "year", "month", "day", "video"):
            return None
        if (
            plural(name.name.split()[-1])
            and name.name.split()[-1] not in DIMENSIONS
            and (w[name.end] in ("i", "you", "we", "they") or w[name.end - 2] in ("i", "you", "we"))
        ):
            return None  # "three times the staples I needed": how many, not of what
        end, text = name.end, name.name
        # "as long as the steel is thick"
        if w[end] in ("is", "'s") and w[end + 1] in AS_ADJECTIVES:
            text = f"{text} {AS_ADJECTIVES[w[end + 1]]}"
            end += 2
        return Term(i, end, f"{shown(value)} x {text}", text, True)

    def _as_much(self, k: int) -> int:
        """Past "as wide as", "as much as", "the size of", "around"."""
        w = self.a.w
        if w[k] == "as" and (w[k + 1] in AS_ADJECTIVES or w[k + 1] == "many"):
            k += 2
            if w[k] == "again":
                k += 1
            if w[k] == "as":
                k += 1
        return k

    def _again(self, i: int) -> Term | None:
        """ "half again as much as the hem", "half as wide again as the cuff", "a third longer than the strap"."""
        w = self.a.w
        if w[i] == "half":
            share, k = Fraction(1, 2), i + 1
        else:
            n = self.number(i)
            if n is None or not n.fraction or n.value >= 1:
                return None
            share, k = n.value, n.end
        if w[k] == "again":
            k += 1
            while k < i + 8 and (w[k] in AS_ADJECTIVES or w[k] in ("as", "than") or w[k] in BIGGER):
                k += 1
        elif w[k] == "as" and "again" in w[k + 1 : k + 4]:
            k = w.index("again", k) + 1
            if w[k] == "as":
                k += 1
        elif (
            w[k] in ("more", "less")
            and w[k + 1] == "than"
            and (
                w[k + 2] in ("you", "i", "we", "what")
                or "volume" in w[k + 3 : k + 6]
                or share.denominator not in (2, 4, 8, 16, 32, 64)
            )
        ):
            value = 1 + share if w[k] == "more" else 1 - share
            if w[k + 2] in ("you", "i", "we") and w[k + 3] in ("need", "want", "think", "have"):
                name = f"what {w[k + 2]} {w[k + 3]}"
                return self._times(i, value, Term(k + 2, k + 4, name, name))
            return self._times(i, value, self.name(k + 2))
        elif (
            w[k] in BIGGER
            and BIGGER[w[k]][1]
            and (than := self._than(k + 1))
            and share.denominator not in (8, 16, 32, 64)
        ):
            value = 1 + share if BIGGER[w[k]][0] == "+" else 1 - share
            return self._times(i, value, self._it_is_at(than + 1) or self.name(than + 1))
        elif w[k] == "off" and w[k + 1] in DETERMINERS - {"that", "this"}:
            return self._times(i, 1 - share, self.plain(k + 1))
        else:
            return None
        if w[k] not in DETERMINERS and not self.noun(k) and w[k] not in ("what", "it", "they"):
            return None
        return self._times(i, 1 + share, self.name(k))

    def _than(self, i: int) -> int:
        """ "than" at ``i``, or after a place: "wider at the bottom than ..."."""
        w = self.a.w
        if w[i] in ("at", "in", "across", "round", "along") and w[i + 1] in DETERMINERS:
            place = self.plain(i + 1)
            i = place.end if place else i
        return i if w[i] == "than" else 0

    def _it_is_at(self, i: int) -> Term | None:
        """ "it is at the sides"."""
        w = self.a.w
        k = i + 1 + (w[i + 1] in ("is", "'s", "are"))
        if (
            w[i] not in ("it", "they", "that")
            or w[k] not in ("at", "in", "across", "along")
            or w[k + 1] not in DETERMINERS
        ):
            return None
        place = self.plain(k + 1)
        return Term(i, place.end, place.text, place.name) if place and place.name else None

    def _sized(self, name: Term) -> bool:
        """Whether a share of ``name`` is a size: a dimension or a body measure, not half the strips."""
        words = (name.name or "").split()
        sums = any(self.a.w[k] in ("plus", "minus", "less", "divided") for k in range(name.end, name.end + 2))
        body = lexis().sets["body_sizes"]
        return bool(set(words) & (DIMENSIONS | body)) or sums or self.copula_before(name.start)

    def copula_before(self, i: int) -> bool:
        return any(x in ("is", "'s", "be", "are", "was", "'re", "were") for x in self.a.w[max(0, i - 5) : i])

    def same(self, i: int) -> Term | None:
        """ "as long as the strap", "the same width as the lid": a term, and with "is thick" a sum by itself."""
        w = self.a.w
        if w[i] == "that" and i in self.vouched and w[i + 1] in AS_ADJECTIVES and w[i + 1] != "much":
            return Term(i, i + 2, "that", "that")  # "you want it that long and then an inch"
        if w[i] == "as" and w[i + 1] in AS_ADJECTIVES and w[i + 2] == "as":
            k = i + 3
        elif w[i] == "same" and (w[i + 1] == "as" or w[i + 2] == "as"):
            k = i + 2 if w[i + 1] == "as" else i + 3
        else:
            return None
        factor = self.factor(k)
        if factor:
            return Term(i, factor.end, factor.text, factor.name, True)
        name = self.name(k)
        if name is None or not name.name or "\t" in name.name:
            return None
        text, end, sure = name.name, name.end, False
        if w[end] in ("is", "'s", "are", "'re") and w[end + 1] in AS_ADJECTIVES:
            text, end, sure = f"{text} {AS_ADJECTIVES[w[end + 1]]}", end + 2, True
        return Term(i, end, text, text, sure)


__all__ = ["Factors"]
