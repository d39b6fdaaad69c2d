"""What joins the terms of a sum ("plus", "and then take off", "... and two inches") and the term that follows."""

from __future__ import annotations

from fractions import Fraction

from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import starts_number
from buildlog.tag.amounts.quantities import Quantity, quantity
from buildlog.tag.amounts.what import plural, singular
from buildlog.tag.derived_factors import Factors
from buildlog.tag.derived_words import (
    AS_ADJECTIVES,
    BIGGER,
    DETERMINERS,
    HANDFULS,
    TAIL_LESS,
    TAIL_MORE,
    Term,
    shown,
)

_SIGNS = {"plus": "+", "minus": "-", "over": "/", "times": "x"}
_JOINTS: list[tuple[tuple[str, ...], str]] = sorted(
    (
        (tuple(words.replace("'", " '").split()), sign)
        for table, sign in _SIGNS.items()
        for words in lexis().raw["joints"][table]
    ),
    key=lambda pair: -len(pair[0]),
)
_BY_START: dict[str, list[tuple[tuple[str, ...], str]]] = {}
for _pair in _JOINTS:
    _BY_START.setdefault(_pair[0][0], []).append(_pair)
# After a determiner, what is no name by itself: "half its got".
_ENDS_OF = frozenset("top bottom front back side end edge sides ends edges".split())
_HEDGES = frozenset("about roughly another maybe on around say just only probably nearly like".split())
# How a sum goes on with an instruction, and what stands for all that was said of it so far.
_INSTRUCTIONS = {
    "divide": "/", "divided": "/", "dividing": "/", "split": "/", "splitting": "/", "share": "/",
    "times": "x", "multiply": "x", "add": "+", "take": "-", "knock": "-", "subtract": "-",
}  # fmt: skip
_SAYING_SO = frozenset(
    "and then so but just i you we they , now 'll have to want need gotta wanna must can would 'd".split()
)
_DOING = {
    "lose": "-", "drop": "-", "take": "-", "knock": "-", "subtract": "-", "deduct": "-", "cut": "-", "shave": "-", "trim": "-",
    "add": "+", "put": "+", "allow": "+", "give": "+", "tack": "+", "stick": "+", "leave": "+",
}  # fmt: skip
_SAID = {"plus": "+", "minus": "-", "times": "x", "less": "-", "over": "/"}
_GOING_ON = frozenset("and then so but just i you we simply , now".split())
_WHAT_CAME = frozenset("it that this the whole lot all total sum thing".split())
_OWN = frozenset("mine hers his yours that it she he they ours".split())


class Joints(Factors):
    """Reads operators, and the terms after them."""

    def joint(self, i: int) -> tuple[str, int] | None:
        """The operator at ``i`` and where it ends."""
        w = self.a.w
        if w[i] == "," or (
            w[i] == "." and w[i + 1] in ("plus", "minus", "less", "divided", "times") and not self.noun(i + 2)
        ):
            i += 1
        for words, sign in _BY_START.get(w[i], ()):
            if tuple(w[i : i + len(words)]) == words:
                return sign, i + len(words)
        return self._instructed(i)

    def _instructed(self, i: int) -> tuple[str, int] | None:
        """ ". And then you divide the whole lot by": an instruction that goes on with the sum, perhaps as a new sentence."""
        w = self.a.w
        k = i + (w[i] == ".")
        while k < i + 5 and w[k] in _GOING_ON:
            k += 1
        if i in self.vouched and (told := self._told_to(i)):
            return told
        sign = _INSTRUCTIONS.get(w[k])
        if k > i and w[k] in ("go", "went", "do", "did", "it", "'s") and i in self.vouched:
            k += 1
            k += w[k] == "'s"
            return (_SAID[w[k]], k + 1) if w[k] in _SAID else None  # "and I go minus an inch"
        if sign is None or k == i:
            return None
        low = k = k + 1
        while k < low + 4 and w[k] in _WHAT_CAME:
            k += 1
        if sign == "/":
            return (sign, k + 1) if w[k] in ("by", "into", "in", "between", "over") and w[k + 1] != "half" else None
        if sign == "x":
            return sign, k + (w[k] == "by")
        if w[i] == "." and k == low and w[k] in ("away", "off", "on", "another"):
            k += 1
            return (sign, k) if (q := self.amount(k)) and (q.unit or q.fraction) and w[q.end] != "of" else None
        return None

    def _told_to(self, i: int) -> tuple[str, int] | None:
        """ "and then you lose a millimetre", "and I want to put on two inches"."""
        w = self.a.w
        k = i
        while k < i + 7 and w[k] in _SAYING_SO:
            k += 1
        sign = _DOING.get(w[k])
        if sign is None or k == i:
            return None
        k += 1
        k += w[k] in ("off", "on", "in", "away", "back", "up", "it", "them")
        k += w[k] in ("another", "about", "maybe", "roughly")
        q = self.amount(k)
        return (sign, k) if q is not None and (q.unit or q.fraction) and q.value_max is None else None

    def aside(self, i: int) -> int:
        """Past ", mine's twenty three," and ". She is thirty eight.": the speaker's own figure in the middle of a sum."""
        w = self.a.w
        k = i + (w[i] in (",", "."))
        k += w[k] in ("and", "so", "which")
        if w[k] in ("my", "her", "his") and self.noun(k + 1):
            k += 1
        elif w[k] not in _OWN and w[k - 1] != "which":
            return i
        k += w[k - 1] != "which"
        if w[k] not in ("'s", "is", "was", "are", "'re"):
            return i
        k += 1
        while w[k] in ("about", "roughly", "around"):
            k += 1
        q = self.amount(k)
        return q.end if q is not None else i

    def amount(self, i: int) -> Quantity | None:
        w = self.a.w
        if not (starts_number(w[i]) or w[i] in lexis().units):
            return None
        return quantity(self.a, i)

    def term(self, i: int, sign: str, *, plain_and: bool = False) -> Term | None:
        """A term after an operator: a factor, an amount, or a name."""
        w = self.a.w
        while w[i] in _HEDGES or (w[i] == "an" and w[i + 1] == "extra") or w[i] == "extra":
            i += 1
        if sign in "/x" and w[i] in ("however", "how") and w[i + 1] == "many":
            of = self.plain(i + 2) if self.noun(i + 2) else None
            name = f"number of {of.name}" if of and of.name else ""
            return Term(i, of.end, name, name) if of and name else None
        factor = self.factor(i, loose=True)
        if factor:
            return factor
        if sign in "/x" and (more := self._more_than(i)):
            return more
        q = self.amount(i)
        if q is not None:
            if q.unit:
                return Term(i, q.end, f"{shown(q.value)} {q.unit}", None)
            if q.fraction and sign in "+-":
                return self._fraction(i, q)
            if w[q.end] in ("pi", "pie") and sign in "/x" and not q.unit:
                return Term(i, q.end + 1, f"{shown(q.value)} x 3.14159", None)
            if w[q.end] in HANDFULS and sign in "+-":
                return Term(i, q.end + 1, "", None)
            counted = self._counted(i, q, sign)
            if counted:
                return counted
            if plain_and:
                return None
            return Term(i, q.end, shown(q.value), None)
        if w[i] in ("a", "an") and (w[i + 1] in HANDFULS or w[i + 2] in HANDFULS):
            k = i + 1
            while k < i + 5 and (w[k] in HANDFULS or w[k] in ("of", "'s", "'") or self.tag(k).startswith("JJ")):
                k += 1
            return Term(i, k, "", None)
        if plain_and:
            return None
        if w[i] in ("a", "an") and sign in "+-" and self.noun(i + 1):
            return self.plain(i + 1)
        if w[i] in ("pi", "pie") and sign in "/x":
            return Term(i, i + 1, "3.14159", None)
        if w[i] in ("nothing", "none", "everything", "something"):
            return None
        if w[i] in ("the", "your", "my") and starts_number(w[i + 1]) and sign in "+-":
            q = self.amount(i + 1)
            if q is not None and not q.unit and (many := self._counted(i + 1, q, sign)):
                return many  # "less the two legs"
        if w[i] in DETERMINERS or w[i] in ("what", "whatever", "how") or (sign in "-/x+" and self.noun(i)):
            return self.name(i)
        return None

    def _more_than(self, i: int) -> Term | None:
        """ "one more than the pegs": a count put on another, to divide or multiply by."""
        w = self.a.w
        n = self.number(i)
        if n is None or w[n.end] not in ("more", "fewer", "less") or w[n.end + 1] != "than":
            return None
        of = self.plain(n.end + 2)
        if of is None or not of.name:
            return None
        name = f"number of {of.name}"
        end = self._relative(of.end)
        return Term(i, end, f"({name} {'+' if w[n.end] == 'more' else '-'} {shown(n.value)})", name)

    def _fraction(self, i: int, q: Quantity) -> Term | None:
        """ "plus an eighth" is of an inch; "less a tenth" is of the whole."""
        w = self.a.w
        end = q.end
        if w[end] in ("of", "off") and w[end + 1] in ("it", "that", "them"):
            return Term(i, end + 2, f"*{q.value.numerator}/{q.value.denominator}", None)
        again = w[end] in ("again", "more") and w[end + 1] not in ("than", "of")
        half = q.value == Fraction(1, 2) and (not w[end].isalpha() or again)
        if q.value.denominator in (2, 4, 8, 16, 32, 64) and not half and not (again and w[end] == "again"):
            return Term(i, end, f"{shown(q.value)} inch", None)
        return Term(i, end, f"*{q.value.numerator}/{q.value.denominator}", None)

    def _counted(self, i: int, q: Quantity, sign: str) -> Term | None:
        """ "plus two boards": a number of a thing that has a size."""
        w = self.a.w
        k = q.end
        if (
            sign not in "+-"
            or not (self.noun(k) or self.tag(k).startswith("JJ"))
            or w[k] in HANDFULS
            or w[k] in TAIL_MORE
        ):
            return None
        each = self.amount(k)
        if each is not None and each.unit:
            # "plus two quarter inch seams"
            end = each.end + self.noun(each.end)
            return Term(i, end, f"{shown(q.value * each.value)} {each.unit}", None)
        name = self.plain(k)
        if name is None or not name.name or (not plural(name.name.split()[-1]) and q.value != 1):
            return None
        one = singular(name.name)
        return Term(i, name.end, f"{shown(q.value)} x {one}", one)

    def _soft_joint(self, i: int) -> tuple[tuple[str, int] | None, bool]:
        """ "and two inches", "with an inch added", ", two inches off"."""
        w = self.a.w
        k = i
        if w[k] == ",":
            k += 1
        taken = k
        while w[taken] in ("and", "then", "you", "i", "we") and taken < k + 3:
            taken += 1
        if (
            w[taken] in ("went", "go", "come")
            and taken > k
            and (q := self.amount(taken + 1))
            and w[q.end] in BIGGER
            and q.unit
        ):
            # "and went two millimetres smaller"
            return (BIGGER[w[q.end]][0], taken + 1), False
        if w[taken] in ("take", "knock", "cut") and (q := self.amount(taken + 1)) and w[q.end] in ("off", "away"):
            # "and take ten percent off"
            return ("-", taken + 1), False
        less = w[k] == "but" and (q := self.amount(k + 1)) is not None and bool(q.unit) and w[q.end] in BIGGER
        if w[k] not in ("and", "with") and not less:
            return None, False
        verb = w[k]
        if verb == "and" and self._listed(k):
            return None, False
        k += 1
        another = False
        while w[k] in ("then", "about", "maybe", "just", "say", "perhaps", "another", "an"):
            if w[k] == "an" and w[k + 1] != "extra":
                break
            another = another or w[k] in ("another", "an")
            k += 1 + (w[k] == "an")
        if verb == "with" and w[k] in ("both", "two") and self.noun(k + 1):
            # "the thickness of the book with both boards on"
            name = self.plain(k + 1)
            if name and name.name and w[name.end] in ("on", "added", "included"):
                return ("+", k), False
            return None, False
        q = self.amount(k)
        if q is None:
            if w[k] in ("a", "an") and (w[k + 1] in HANDFULS or w[k + 2] in HANDFULS) and verb == "and":
                return ("+", k), True
            return None, False
        if verb == "and" and w[q.end] in HANDFULS and not q.unit:
            return ("+", k), True  # "and three fingers more"
        if (
            verb == "and"
            and q.fraction
            and q.value < 1
            and not q.unit
            and w[q.end] == "of"
            and w[q.end + 1] in DETERMINERS - {"that"}
        ):
            return ("+", k), True
        if (
            q.value_max is not None
            or not (q.unit or q.fraction)
            or (w[q.end] == "of" and w[q.end + 1] not in ("it", "that", "them"))
        ):
            if w[q.end] not in TAIL_MORE | {"added"} and not (another and q.value_max is None and not self.noun(q.end)):
                return None, False
        if q.dim not in ("length", None, "mass", "volume", "time") or w[q.end] in AS_ADJECTIVES:
            return None, False
        if verb == "with" and not self._more_after(q.end) and w[q.end] != "off":
            return None, False
        return ("-" if w[q.end] in TAIL_LESS else "+", k), True

    def _listed(self, i: int) -> bool:
        """ "an inch and a half on the sides and one centimetre elsewhere": amounts, each with its place."""
        w = self.a.w
        for k in range(i - 1, max(0, i - 6), -1):
            if w[k] in ("on", "at", "in", "along", "for", "behind"):
                return w[k - 1] in lexis().units or starts_number(w[k - 1])
        return False

    def _more_after(self, i: int) -> bool:
        w = self.a.w
        if (
            w[i] in TAIL_MORE | TAIL_LESS
            or w[i] in ("added", "again")
            or (w[i] == "on" and w[i + 1] == "top")
            or w[i] == "off"
        ):
            return True
        if (w[i] == "all" and w[i + 1] in ("round", "around")) or (
            w[i] in ("each", "either") and w[i + 1] in ("side", "end", "way")
        ):
            return i in self.vouched
        return w[i] == "to" and w[i + 1] in ("spare", "turn", "overlap", "wrap", "tuck")

    def _sides(self, i: int) -> int:
        """Past "on both sides", "at each end", "at the bottom" after a named quantity, where the sum goes on."""
        w = self.a.w
        if w[i] in ("on", "at") and w[i + 1] == "the" and w[i + 2] in _ENDS_OF and self.joint(i + 3):
            return i + 3
        if (
            w[i] in ("on", "at")
            and w[i + 1] in ("both", "each", "either")
            and w[i + 2] in ("side", "end", "sides", "ends", "edge", "edges")
            and (self.joint(i + 3) or self._soft_joint(i + 3)[0])
        ):
            return i + 3
        return i


__all__ = ["Joints"]
