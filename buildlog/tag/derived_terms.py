"""The terms of a derived amount: named quantities, factors, shares, and the words that join them.

Everything here reads atoms (``amounts.atoms``) from one place on and says where it stops; nothing looks at what the
amount is for. Words of the trade are no part of it: only the grammar of sums.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING

from buildlog.tag.amounts.atoms import Atoms
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import Number, number, starts_number
from buildlog.tag.amounts.quantities import Quantity, quantity
from buildlog.tag.amounts.what import plural, singular

if TYPE_CHECKING:
    from spacy.tokens import Doc

DETERMINERS = frozenset(
    ["the", "my", "your", "his", "her", "their", "its", "our", "that", "this", "each", "whatever", "both"]
)
FACTORS = {
    "twice": Fraction(2),
    "double": Fraction(2),
    "triple": Fraction(3),
    "thrice": Fraction(3),
    "treble": Fraction(3),
    "quadruple": Fraction(4),
}
MEASURE_WORDS = frozenset(["measurement", "measurements", "measure", "size", "amount", "figure", "number", "value"])
DIMENSIONS = lexis().sets["dimensions"]
STOP = lexis().sets["not_names"]
AS_ADJECTIVES = {
    "long": "length",
    "wide": "width",
    "broad": "width",
    "deep": "depth",
    "tall": "height",
    "high": "height",
    "thick": "thickness",
    "big": "size",
    "large": "size",
    "much": "amount",
    "heavy": "weight",
    "far": "distance",
    "round": "circumference",
}
BIGGER = {
    "bigger": ("+", "size"),
    "larger": ("+", "size"),
    "longer": ("+", "length"),
    "wider": ("+", "width"),
    "broader": ("+", "width"),
    "taller": ("+", "height"),
    "higher": ("+", "height"),
    "deeper": ("+", "depth"),
    "thicker": ("+", "thickness"),
    "heavier": ("+", "weight"),
    "more": ("+", ""),
    "fewer": ("-", ""),
    "smaller": ("-", "size"),
    "shorter": ("-", "length"),
    "narrower": ("-", "width"),
    "less": ("-", ""),
    "thinner": ("-", "thickness"),
    "lower": ("-", "height"),
    "shallower": ("-", "depth"),
    "lighter": ("-", "weight"),
}
# Measures of a body or a hand that say no number: "plus a finger", "and a hair". They add nothing to a formula.
HANDFULS = frozenset(lexis().raw["joints"]["handfuls"])
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
PROMPTS = frozenset(
    "plus minus less divided divide multiplied multiply add subtract take knock times deduct doubled halved halve double "
    "with and over dividing multiplying knocked took added adding knocking taking".split()
)
_TOGETHER = frozenset("put added combined together laid all taken".split())
# After a determiner, what is no name by itself: "half its got".
_ENDS_OF = frozenset("top bottom front back side end edge sides ends edges".split())
TRACING = frozenset("draw drew drawn drawing trace traced tracing cut sew sewn glue glued".split())
_BETWEEN = frozenset("gap space span opening room width length".split())
_CUTTING = frozenset("cut trim make tear rip saw plane sand file fold sew mark trimmed made sawn".split())
_NO_NAMES = frozenset("nothing everything something none got been gone going one's ones".split())
_SHARE_NOT = lexis().sets["shares_of_other"]
_HEDGES = frozenset("about roughly another maybe on around say just only probably nearly like".split())
_VERBS = frozenset("add off take away".split())
_ALONG = frozenset("down up over right across through along straight round around under past back and".split())
_TRAIL = frozenset(
    "some say call really again please right each roughly there here then anyway obviously normally apart".split()
)
# How a sum goes on with an instruction, and what stands for all that was said of it so far.
_INSTRUCTIONS = {
    "divide": "/", "divided": "/", "dividing": "/", "split": "/", "splitting": "/", "share": "/",
    "times": "x", "multiply": "x", "add": "+", "take": "-", "knock": "-", "subtract": "-",
}  # fmt: skip
_GOING_ON = frozenset("and then so but just i you we simply , now".split())
_WHAT_CAME = frozenset("it that this the whole lot all total sum thing".split())
_TAPES = frozenset("tape string ruler rule ribbon stick callipers calipers thread".split())
_ASIDE_FROM = frozenset("every each mine hers yours ours".split())
_OWN = frozenset("mine hers his yours that it she he they ours".split())
_TAIL_LESS = frozenset("off less under shorter smaller narrower".split())
_TAIL_MORE = frozenset("more extra over spare besides longer wider bigger".split())


@dataclass(slots=True)
class Term:
    """Atoms ``[start, end)`` as formula ``text``; ``name`` where a quantity is named; ``factor``: a sum by itself."""

    start: int
    end: int
    text: str
    name: str | None
    factor: bool = False


@dataclass(slots=True)
class Sum:
    """A whole expression over atoms ``[start, end)``. ``joined`` counts what is done to its first term.

    ``soft``: joined by no more than "and"; ``told``: by an instruction ("and add"); both could be talk of other things.
    ``tail`` is the dimension named after it ("... wide"), "mix", or "=" and the whole result. ``constant``: it ends with
    a plain amount, and a purpose told after it is that amount's.
    """

    start: int
    end: int
    formula: str
    names: list[str] = field(default_factory=list)
    joined: int = 0
    soft: bool = False
    told: bool = False
    last: str = ""
    tail: str | None = None
    constant: bool = False


def shown(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):.6g}"


def _share(value: Fraction, name: str) -> str:
    return (
        f"{name} / {value.denominator}" if value.numerator == 1 else f"{value.numerator} x {name} / {value.denominator}"
    )


class Terms:
    """Reads terms and expressions of one document."""

    def __init__(self, doc: Doc, a: Atoms) -> None:
        self.a = a
        self.tags = [t.tag_ for t in doc]
        self._numbers: dict[int, Number | None] = {}

    # -- names ------------------------------------------------------------------------------------------------------

    def number(self, i: int) -> Number | None:
        """The number that begins at atom ``i``, read once however many rules ask."""
        if i not in self._numbers:
            self._numbers[i] = number(self.a, i)
        return self._numbers[i]

    def tag(self, i: int) -> str:
        token = self.a.tok[i]
        return self.tags[token] if token < len(self.tags) else ""

    def noun(self, i: int) -> bool:
        text = self.a.w[i]
        if not text.isalpha() or text in STOP or i >= self.a.n:
            return False
        tag = self.tag(i)
        return not tag or tag.startswith("NN")

    def phrase_word(self, i: int) -> bool:
        """Whether atom ``i`` can stand in a noun phrase."""
        text = self.a.w[i]
        return text.isalpha() and text not in STOP | DETERMINERS and text not in ("of", "a", "an") and i < self.a.n

    def name(self, i: int) -> Term | None:
        """A named quantity at ``i``: "the width of the handles" is "handle width", "your neck measurement" "neck"."""
        w = self.a.w
        if w[i] in ("both", "each") and w[i + 1] in ("way", "ways", "sides", "ends", "times"):
            return None
        if w[i] == "once" and w[i + 1] in ("round", "around"):
            i += 1
        if w[i] in ("round", "around") and w[i - 1] in TRACING:
            return None
        if w[i] in ("round", "around") or (w[i] == "all" and "round" in (w[i + 1], w[i + 3])):
            return self._without_tape(self._round(i))
        if w[i] == "from":
            return self._path(i + 1, i)
        if w[i] in ("how", "however", "what", "whatever") and (sized := self._sized_clause(i)):
            return sized
        if w[i] in ("what", "whatever", "how", "however"):
            return self._clause(i)
        if w[i] == "difference" or (w[i] in DETERMINERS and w[i + 1] == "difference"):
            return self._difference(i)
        if (
            w[i] in ("you", "i", "we")
            and w[i + 1] in ("want", "need")
            and w[i + 2] in ("it", "them")
            and w[i - 1] == "as"
        ):
            # "twice as wide as you want it to end up"
            of = AS_ADJECTIVES.get(w[i - 2])
            k = i + 3
            while w[k] in ("to", "end", "up", "be", "finished", "finish") and k < i + 7:
                k += 1
            return Term(i, k, f"finished {of}", f"finished {of}") if of else None
        if (
            w[i] in ("you", "i", "we")
            and w[i + 1] in ("want", "need")
            and w[i - 1] == "than"
            and (of := BIGGER.get(w[i - 2], ("", ""))[1])
        ):
            # "a third taller than you want it to finish"
            k = i + 2
            while w[k] in ("it", "them", "to", "end", "up", "be", "finished", "finish", "stand") and k < i + 7:
                k += 1
            return Term(i, k, f"finished {of}", f"finished {of}")
        if (
            w[i] in ("it", "they", "i", "you", "he", "she")
            and w[i + 1] in ("'s", "is", "are", "'re", "am", "'m")
            and w[i + 2] in AS_ADJECTIVES
        ):
            # "half as long again as it's wide"
            return Term(i, i + 3, AS_ADJECTIVES[w[i + 2]], AS_ADJECTIVES[w[i + 2]])
        found = self._without_tape(self.plain(i))
        if (
            found
            and found.name
            and w[found.end] in ("around", "round")
            and (w[found.end + 1] in ("and", "plus", ",", ".", ""))
        ):
            # "I go the core around and then half an inch"
            return Term(i, found.end + 1, f"round the {found.name}", f"round the {found.name}")
        if (
            found
            and found.name
            and w[found.end] in ("in", "per", "on", "to")
            and w[found.end + 1] in ("one", "each", "every", "a", "an")
            and (per := self.plain(found.end + 2))
            and per.name
            and self.noun(found.end + 2)
            and self.joint(per.end)
        ):
            # "the stitches in one repeat"
            name = f"{found.name} per {per.name}"
            return Term(i, per.end, name, name)
        if (
            found
            and found.name
            and w[found.end] == "at"
            and w[found.end + 1] == "the"
            and (where := self.plain(found.end + 1))
            and where.name
            and (then := self.joint(where.end))
            and then[0] in "+-"
            and found.name not in DIMENSIONS
        ):
            # "your forearm at the fat part plus two inches"
            return Term(i, where.end, found.text, found.name)
        if (
            found
            and found.name
            and w[i - 1] != "than"
            and w[found.end : found.end + 3] == ["all", "the", "way"]
            and w[found.end + 3] in ("round", "around")
        ):
            return Term(i, found.end + 4, f"round the {found.name}", f"round the {found.name}")
        if found and found.name and not found.factor:
            end = self._relative(found.end)
            if end > found.end:
                return Term(i, end, found.text, found.name)
            if (
                w[found.end] in ("in", "at", "across", "round", "around", "over")
                and w[found.end + 1] in DETERMINERS
                and found.name in DIMENSIONS
            ):
                place = self.plain(found.end + 1)
                if place and place.name and (self.joint(place.end) or self._soft_joint(place.end)[0]):
                    # "the width across the back plus ..."
                    name = f"{place.name} {found.name}"
                    return Term(i, place.end, name, name)
        if found and w[found.end] == "to" and found.name and not found.factor and w[i - 1] not in _CUTTING:
            path = self._path(i, i)
            if path and w[path.end] in ("plus", "minus", "less", ",", "and", "doubled", "halved", "divided", "."):
                return path
        return found

    def _without_tape(self, found: Term | None) -> Term | None:
        """ "round the armhole with the tape": what one measures with is not part of what is measured."""
        w = self.a.w
        if found and w[found.end] == "with" and w[found.end + 1] in DETERMINERS | {"a"} and w[found.end + 2] in _TAPES:
            return Term(found.start, found.end + 3 + (w[found.end + 3] == "measure"), found.text, found.name)
        return found

    def plain(self, i: int) -> Term | None:
        w = self.a.w
        k = i
        if w[k] == "all" and w[k + 1] in DETERMINERS:
            k += 1
        if w[k] in ("both", "whatever", "each") and w[k + 1] in DETERMINERS:
            k += 1
        if w[k] in DETERMINERS:
            k += 1
        if (
            w[k] == "one"
            and k > i
            and w[k + 1] in ("before", "above", "below", "inside", "under", "over", "outside", "next", "in", "behind")
            and (w[k + 1] != "in" or w[k + 2] == "front")
        ):
            end = k + 3 if w[k + 2] in ("it", "that", "front") else k + 2
            name = "one in front" if w[k + 1] == "in" else f"one {w[k + 1]}"
            return Term(i, end, name, name)
        if k == i and not self.noun(k) and not (self.tag(k).startswith("JJ") and self.noun(k + 1)):
            return None
        sized = k > i and w[k] in AS_ADJECTIVES and (self.noun(k + 1) or w[k + 1] in ("one", "ones"))
        if k > i and not sized and not self.phrase_word(k):
            # "that less two inches"
            return Term(i, k, w[k - 1], w[k - 1]) if w[k - 1] in ("that", "this") else None
        words: list[str] = []
        if sized:  # "the long side"
            words, k = [w[k]], k + 1
            if w[k] in ("one", "ones"):
                return Term(i, k + 1, f"{words[0]} one", f"{words[0]} one")
        while k < i + 8 and self.phrase_word(k) and not (words and starts_number(w[k])):
            tag = self.tag(k)
            if words and w[k] in _ASIDE_FROM:
                break
            if (
                words
                and tag.startswith("VB")
                and tag != "VBG"
                and w[k] not in DIMENSIONS
                and w[k - 1] not in DETERMINERS
            ):
                break
            if words and (tag in ("IN", "MD", "PRP", "WRB", "WDT", "CC") and w[k] not in DIMENSIONS):
                break
            words.append(w[k])
            k += 1
            if w[k] == "-" and self.a.glued[k] and self.a.glued[k + 1] and w[k + 1].isalpha():
                while w[k] == "-" and self.a.glued[k + 1] and w[k + 1].isalpha():
                    words[-1] += f"-{w[k + 1]}"
                    k += 2
            if w[k] in ("'s", "'", "s'") and w[k + 1].isalpha() and self.noun(k + 1):
                k += 1
        if not words or all(starts_number(x) for x in words) or (len(words) == 1 and len(words[0]) == 1):
            return None
        if len(words) == 1 and (words[0] in _NO_NAMES or (k - 1 == i and words[0] in lexis().units)):
            return None
        while len(words) > 1 and words[-1] in _TRAIL:
            words.pop()
            k -= 1
        if w[k] == "of" and (w[k + 1] in DETERMINERS or w[k + 1] in ("a", "an") or self.noun(k + 1)):
            inner = self.plain(k + 2 if w[k + 1] in ("a", "an") else k + 1)
            if inner and inner.name:
                if self.tag(k - 1) == "JJS":
                    name = f"{words[-1]} {singular(inner.name)}"
                    return Term(i, inner.end, name, name)
                head = [x for x in words if x not in MEASURE_WORDS]
                name = " ".join([singular(inner.name), *head]) if head else inner.name
                return Term(i, inner.end, name, name)
        if w[k] in ("one", "ones") and not self.noun(k + 1) and k > i:
            words.append(w[k])  # "the top one"
            k += 1
        if words[-1] in _BETWEEN and w[k] == "between":
            inner = self.plain(k + 1)
            if inner and inner.name:
                both = self.plain(inner.end + 1) if w[inner.end] == "and" and w[inner.end + 1] in DETERMINERS else None
                name = f"{words[-1]} between {inner.name}" + (f" and {both.name}" if both and both.name else "")
                return Term(i, both.end if both and both.name else inner.end, name, name)
        if words[-1] in ("distance", "measurement", "measure", "way", "length"):
            if w[k] in ("around", "round") or (w[k] == "all" and w[k + 1] in ("the", "round", "around")):
                inner = self._round(k)
                if inner:
                    return Term(i, inner.end, inner.text, inner.name)
            if w[k] in ("from", "between") and words[-1] == "distance":
                path = self._path(k + 1, i)
                if path:
                    return path
                inner = self.plain(k + 1)
                if inner and inner.name:
                    name = f"distance {w[k]} {inner.name}"
                    return Term(i, inner.end, name, name)
        if w[k] in ("both", "each", "every") and w[k + 1] in ("ways", "way"):
            k += 2
        kept = [x for x in words if x not in MEASURE_WORDS and x != "finished"] or words
        name = " ".join(kept)
        return Term(i, k, name, name)

    def _round(self, i: int) -> Term | None:
        """ "round the frame", "all the way round" (what is not said: "perimeter")."""
        w = self.a.w
        k = i
        while w[k] in ("all", "the", "way") and k < i + 3:
            k += 1
        if w[k] not in ("round", "around"):
            return None
        way = k > i
        k += 1
        if w[k] in DETERMINERS and (inner := self.plain(k)) and inner.name and inner.name not in ("that", "this"):
            return Term(i, inner.end, f"round the {inner.name}", f"round the {inner.name}")
        return Term(i, k, "perimeter", "perimeter") if way else None

    def _path(self, i: int, start: int) -> Term | None:
        """ "nape down to the ankle", "shoulder to knuckle": one quantity."""
        w = self.a.w
        one = w[i] == "one"
        first = self.plain(i + one)
        if first is None or first.name is None:
            return None
        k = first.end
        while k < first.end + 12 and (w[k] in _ALONG or (w[k] in DETERMINERS and w[k - 1] in _ALONG)):
            k += 1
            if w[k - 1] in ("over", "round", "around", "under", "through", "past", "across") and w[k] in DETERMINERS:
                # "over the shoulder", "round the back": by the way
                by = self.plain(k)
                k = by.end if by and by.name else k
        if w[k] not in ("to", "and"):
            return None
        k += 1
        if one and w[k] == "the" and w[k + 1] == "other":
            k += 3 if w[k + 2] in ("one", "end", "side", *first.name.split()[-1:]) else 2
            return Term(start, k, f"{first.name} to {first.name}", f"{first.name} to {first.name}")
        second = self.plain(k)
        if second is None and self.tag(k).startswith("VB") and self.phrase_word(k):
            second = Term(k, k + 1, w[k], w[k])  # "shoulder to knee", read as a verb
        if second is None or second.name is None:
            return None
        name = f"{first.name} to {second.name}"
        return Term(start, second.end, name, name)

    def _clause(self, i: int) -> Term | None:
        """ "what you need", "whatever your arm wants", "how many you have", "what's going in it"."""
        w = self.a.w
        k = i + 1
        if (
            w[i] == "what"
            and w[k] == "'s"
            and self.tag(k + 1) == "VBG"
            and w[k + 2] in ("in", "inside", "into", "on", "under")
        ):
            end = k + 3 + (w[k + 3] in ("it", "there", "here"))
            name = " ".join(["what", "is", *w[k + 1 : end]])
            return Term(i, end, name, name)
        while (
            k < i + 8 and w[k] and (w[k].isalpha() or w[k] == "'") and not self.joint(k) and w[k] not in ("is", "are")
        ):
            k += 1
        if k < i + 2 or k >= i + 8:
            return None
        name = " ".join(w[i:k])
        return Term(i, k, name, name) if "'" not in name and w[k - 1] not in ("it", "they", "that") else None

    def _relative(self, i: int) -> int:
        """Past "you want", "you're after", "we've got" after a name."""
        w = self.a.w
        if w[i] not in ("you", "i", "we"):
            return i
        k = i + 1 + (w[i + 1] in ("'re", "'ve", "'d", "'m"))
        if w[k] not in ("want", "need", "have", "after", "got", "had", "wanted", "needed", "using", "like"):
            return i
        k += 1
        return k if not w[k].isalpha() or self.joint(k) or w[k] in ("and", "so", "by") else i

    def _sized_clause(self, i: int) -> Term | None:
        """ "how wide the bowl is" is "bowl width", "how thick you want it" "thickness", "what it is at the neck" "neck"."""
        w = self.a.w
        if w[i] in ("what", "whatever"):
            if w[i + 1] not in ("it", "they") or w[i + 2] not in ("is", "'s", "was", "are"):
                return None
            if w[i + 3] not in ("at", "in", "on", "across", "by") or w[i + 4] not in DETERMINERS:
                return None
            place = self.plain(i + 4)
            return Term(i, place.end, place.name, place.name) if place and place.name else None
        if w[i + 1] not in AS_ADJECTIVES or AS_ADJECTIVES[w[i + 1]] == "amount":
            return None
        of, k = AS_ADJECTIVES[w[i + 1]], i + 2
        thing = self.plain(k) if w[k] in DETERMINERS else None
        if thing and thing.name and w[thing.end] in ("is", "are", "'s", "was", "comes", "needs", "wants"):
            name = f"{singular(thing.name)} {of}"
            return Term(i, thing.end + 1, name, name)
        if w[k] in ("you", "i", "we") and w[k + 1] in ("want", "need", "like", "wanted", "'d", "'re"):
            k += 2
            while k < i + 8 and w[k] in ("it", "them", "that", "like", "after", "to", "be", "want"):
                k += 1
            return Term(i, k, of, of)
        k += w[k] == "." and w[k + 1] in ("it", "they", "he", "she") and w[k + 2] in ("is", "are")  # misheard ends
        if w[k] in ("it", "they", "he", "she", "you") and w[k + 1] in ("is", "'s", "are", "'re", "was", "be"):
            return Term(i, k + 2, of, of)
        return None

    def _difference(self, i: int) -> Term | None:
        w = self.a.w
        k = i
        while w[k] != "difference":
            k += 1
        if w[k + 1] != "between":
            return None
        first = self.plain(k + 2)
        if first is None or w[first.end] != "and":
            return None
        second = self.plain(first.end + 1)
        if second is None or not first.name or not second.name:
            return None
        return Term(i, second.end, f"{first.name} - {second.name}", first.name + "\t" + second.name, True)

    # -- factors and shares -----------------------------------------------------------------------------------------

    def factor(self, i: int, *, loose: bool = False) -> Term | None:
        """ "three times the rim", "twice the depth", "a third of the width", "half again as much as the hem".

        ``loose``: also what could be any share ("half the strips"), where there is other evidence of a sum.
        """
        w = self.a.w
        text = w[i]
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
            after = self._as_much(k + 1)
            if w[after] == "of":
                after += 1
            if w[after] in ("a", "an", "before", "over", "now", "already", "it", "a", "and", "we", "i", "you"):
                return None
            if (
                w[after] not in DETERMINERS
                and w[after] not in ("what", "how", "round", "around", "whatever", "that")
                and not self.noun(after)
            ):
                return None
            name = self.name(after)
            if after == k + 1 and name and not loose and w[after] not in DETERMINERS and plural(w[after]):
                return None
            return self._times(i, value, name)
        if w[k] == "percent" or w[k] == "%" or (w[k] == "per" and w[k + 1] == "cent"):
            k = k + 1 if w[k] != "per" else k + 2
            if w[k] == "of" and (name := self.plain(k + 1)) and name.name and w[k + 1] in DETERMINERS:
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
            return Term(i, k2 + 3, _share(value, left), left, True)
        if w[k2] in ("how", "what") and not bare and (of := self._sized_clause(k2)) and of.name:
            return Term(i, of.end, _share(value, of.name), of.name, True)
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
                return Term(i, name.end, _share(value, name.name), name.name, True)
        if w[k2] not in DETERMINERS and not (loose and self.noun(k2) and not bare):
            return None
        if w[k2 + 1] in _SHARE_NOT:
            return None
        name = self.name(k2)
        if name is None or not (name.name and (loose or self._sized(name))):
            return None
        return Term(i, name.end, _share(value, name.name), name.name, True)

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
        elif w[k] in BIGGER and BIGGER[w[k]][1] and w[k + 1] == "than" and share.denominator not in (8, 16, 32, 64):
            value = 1 + share if BIGGER[w[k]][0] == "+" else 1 - share
            return self._times(i, value, self.name(k + 2))
        elif w[k] == "off" and w[k + 1] in DETERMINERS - {"that", "this"}:
            return self._times(i, 1 - share, self.plain(k + 1))
        else:
            return None
        if w[k] not in DETERMINERS and not self.noun(k) and w[k] not in ("what", "it", "they"):
            return None
        return self._times(i, 1 + share, self.name(k))

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

    # -- joints and what follows them -------------------------------------------------------------------------------

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
        sign = _INSTRUCTIONS.get(w[k])
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

    def _fraction(self, i: int, q: Quantity) -> Term | None:
        """ "plus an eighth" is of an inch; "less a tenth" is of the whole."""
        w = self.a.w
        end = q.end
        if w[end] in ("of", "off") and w[end + 1] in ("it", "that", "them"):
            return Term(i, end + 2, f"*{q.value.numerator}/{q.value.denominator}", None)
        if q.value.denominator in (2, 4, 8, 16, 32, 64):
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
            or w[k] in _TAIL_MORE
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

    # -- whole expressions ------------------------------------------------------------------------------------------

    def expression(self, first: Term, start: int) -> Sum:
        """``first`` with all that is done to it."""
        w = self.a.w
        out = Sum(start, first.end, first.text, first.name.split("\t") if first.name else [])
        if first.factor:
            out.joined = 1
        while True:
            if self._together(out) or self._postfix(out):
                continue
            at = self._past_purpose(out.end)
            joint = self.joint(at)
            soft = False
            if joint is None:
                joint, soft = self._soft_joint(out.end)
            if joint is None and (at := self.aside(out.end)) > out.end:
                joint, soft = self.joint(at), True
                if joint is None:
                    joint, soft = self._soft_joint(at)
                if joint is not None and w[joint[1] - 1] in ("over", "times"):
                    joint = None
            if joint is None and out.joined == 1 and first.factor and (again := self._and_factor(out.end)):
                joint = ("+", again)
            if joint is None and out.last and w[out.end] == "and" and w[out.end + 1] in DETERMINERS:
                # "the drop plus the hem and the heading, times ...": the list goes on
                more = self.plain(out.end + 1)
                if more and more.name and self.joint(more.end):
                    joint = ("+", out.end + 1)
            if joint is None:
                break
            sign, k = joint
            bare = (
                soft
                and w[k - 1] == "with"
                and (q := self.amount(k)) is not None
                and w[q.end] in ("added", "extra", "more")
            )
            term = self.term(k, sign, plain_and=soft and w[k - 1] != "another" and not bare)
            if term is None or (soft and not self._soft_tail(out, term)):
                break
            if term.name and not term.factor and w[k - 1] in ("put", "take"):
                break
            if not out.joined:
                out.soft = soft and not self._more_after(term.end)
                out.told = w[k - 1] in _VERBS or w[k - 2] in _VERBS
            end = self._tail(term.end) if term.name is None else self._sides(term.end)
            many = self._for_every(end) if term.name is None and sign in "+-" else None
            if many is not None and many.name and term.text:
                term.text, term.name, end = f"{term.text} x {many.text}", many.name, many.end
            self.join(out, sign, term)
            out.end, out.constant = end, term.name is None
            out.last = term.text if term.name and not term.factor else ""
        if w[out.end] in AS_ADJECTIVES and w[out.end] != "much":
            out.tail = AS_ADJECTIVES[w[out.end]]
        return out

    def _and_factor(self, i: int) -> int:
        """ "two times the width, and two times the thickness": where the second product begins, if there is one."""
        w = self.a.w
        k = i + (w[i] == ",")
        if w[k] != "and":
            return 0
        k += 1 + (w[k + 1] == "then")
        if not (w[k] in FACTORS or starts_number(w[k])):
            return 0
        more = self.factor(k)
        if more is None or not more.name or w[more.end] in ("is", "are", "'s", "of", "was", "were"):
            return 0
        return k

    def _for_every(self, i: int) -> Term | None:
        """ "three inches for every diamond": what the amount is taken as often as."""
        w = self.a.w
        if w[i] == "for" and w[i + 1] in ("every", "each"):
            i += 1
        elif w[i] not in ("every", "per"):
            return None
        if w[i + 1] in ("side", "end", "edge", "corner", "way", "time", "inch", "foot", "metre", "meter", "yard"):
            return None
        name = self.plain(i + 1) if self.noun(i + 1) else None
        if name is None or not name.name:
            return None
        end = name.end + (w[name.end] in ("across", "along", "down", "up"))
        return Term(i, end, f"number of {name.name}", f"number of {name.name}")

    def _together(self, out: Sum) -> bool:
        """ "the two sides and the bottom put together", "the front, the back and the sides, all added up"."""
        w = self.a.w
        if out.joined:
            return False
        found: list[Term] = []
        k = out.end
        while len(found) < 6 and w[k] in (",", "and", "plus"):
            k += 1 + (w[k] == "," and w[k + 1] == "and")
            name = self.plain(k)
            if name is None or not name.name:
                break
            found.append(name)
            k = name.end
        k = found[-1].end if found else k
        k += w[k] == ","
        k += w[k] in ("all", "both") and w[k + 1] in _TOGETHER
        if (
            not found
            or w[k] not in _TOGETHER
            or (w[k] in ("put", "laid", "added", "taken", "all") and w[k + 1] not in ("up", "together"))
        ):
            return False
        for name in found:
            self.join(out, "+", name)
        out.end = k + (1 if w[k] in ("combined", "together") else 2)
        return True

    def added(self, i: int) -> Term | None:
        """ "the front and the two sides", "how wide it is and how deep it is": what one is told to add up."""
        w = self.a.w
        found: list[Term] = []
        k = i
        while len(found) < 6:
            name = self.name(k)
            if name is None or not name.name or name.name in ("that", "this"):
                break
            found.append(name)
            k = name.end
            step = (1 + (w[k + 1] == "and")) if w[k] == "," else int(w[k] in ("and", "plus", "with"))
            if not step or not (
                w[k + step] in DETERMINERS or w[k + step] in ("how", "what", "round") or self.noun(k + step)
            ):
                break
            k += step
        if not found:
            return None
        return Term(i, found[-1].end, " + ".join(x.text for x in found), "\t".join(x.name or "" for x in found), True)

    def join(self, out: Sum, sign: str, term: Term) -> None:
        if term.name:
            out.names += term.name.split("\t")
        out.joined += 1
        if not term.text:
            return
        wide = " + " in out.formula or " - " in out.formula
        if term.text.endswith(" percent") and sign in "+-":
            percent = Fraction(term.text.split()[0]) / 100
            term.text = f"*{percent.numerator}/{percent.denominator}"
        if term.text.startswith("*"):
            part = Fraction(term.text[1:])
            whole = 1 + part if sign == "+" else 1 - part
            out.formula = f"({out.formula}) x {shown(whole)}" if wide else f"{out.formula} x {shown(whole)}"
            return
        if sign in "/x" and wide:
            out.formula = f"({out.formula})"
        text = term.text
        if sign in "-/" and (" - " in text or " + " in text or " / " in text):
            text = f"({text})"
        out.formula = f"{out.formula} {sign} {text}"

    def _past_purpose(self, i: int) -> int:
        """Past "for the hem" where the sum goes on after it."""
        w = self.a.w
        if w[i] == "for" and w[i + 1].isalpha():
            for k in range(i + 2, i + 7):
                if w[k] in ("plus", "minus", "less") or (
                    w[k] in (",", "and") and w[k + 1] in ("plus", "minus", "less", "then")
                ):
                    return k
                if not w[k].isalpha():
                    break
        return i

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
        if w[k] not in ("and", "with"):
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
            if w[q.end] not in _TAIL_MORE | {"added"} and not (
                another and q.value_max is None and not self.noun(q.end)
            ):
                return None, False
        if q.dim not in ("length", None, "mass", "volume", "time") or w[q.end] in AS_ADJECTIVES:
            return None, False
        if verb == "with" and not self._more_after(q.end) and w[q.end] != "off":
            return None, False
        return ("-" if w[q.end] in _TAIL_LESS else "+", k), True

    def _listed(self, i: int) -> bool:
        """ "an inch and a half on the sides and one centimetre elsewhere": amounts, each with its place."""
        w = self.a.w
        for k in range(i - 1, max(0, i - 6), -1):
            if w[k] in ("on", "at", "in", "along", "for", "behind"):
                return w[k - 1] in lexis().units or starts_number(w[k - 1])
        return False

    def _soft_tail(self, out: Sum, term: Term) -> bool:
        return not (self.a.w[term.end].isalpha() and self.noun(term.end)) or self.a.w[term.end] in _TAIL_MORE

    def _more_after(self, i: int) -> bool:
        w = self.a.w
        if (
            w[i] in _TAIL_MORE | _TAIL_LESS
            or w[i] in ("added", "again")
            or (w[i] == "on" and w[i + 1] == "top")
            or w[i] == "off"
        ):
            return True
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

    def _tail(self, i: int) -> int:
        """Past "more", "on top", "extra", "off" and "each side" after an amount that was added."""
        w = self.a.w
        if w[i] in ("more", "extra", "over", "spare", "besides", "added", "longer") or w[i] in _TAIL_LESS:
            i += 1
            i += 2 * (w[i - 1] == "off" and w[i] == "of" and w[i + 1] in ("it", "that"))
        elif (w[i] == "on" and w[i + 1] == "top") or (w[i] == "to" and w[i + 1] == "spare"):
            i += 2
        if w[i] in ("on", "at") and w[i + 1] in ("each", "either", "every", "both"):
            i += 1
        if w[i] in ("each", "either", "every", "both") and w[i + 1] in ("side", "end", "sides", "ends", "edge"):
            i += 2
        elif w[i] in ("on", "included") and w[i - 1].endswith("s") and w[i + 1] in (".", ",", ""):
            i += 1
        return i

    def _postfix(self, out: Sum) -> bool:
        """ "... twice over", "... doubled", "... and halve it", "... and half of it again", "... in half"."""
        w = self.a.w
        k = out.end
        if w[k] == ",":
            k += 1
        while w[k] in ("and", "then", "you", "i", "just", "taken", "simply", "all") and k < out.end + 5:
            k += 1
        value: Fraction | None = None
        end = k
        if w[k] in ("twice", "thrice"):
            value, end = FACTORS[w[k]], k + 1
            if w[k + 1] not in ("over", ",", ".", "", "and", "plus", "for", "then", "so", "round", "around") and (
                w[k + 1] in DETERMINERS or w[k + 1] in ("as", "what")
            ):
                return False
            if w[end] == "over":
                end += 1
        elif w[k] in ("doubled", "halved", "tripled", "quartered", "trebled"):
            value = {
                "doubled": Fraction(2),
                "tripled": Fraction(3),
                "trebled": Fraction(3),
                "halved": Fraction(1, 2),
                "quartered": Fraction(1, 4),
            }[w[k]]
            end = k + 1
        elif w[k] in ("halve", "double", "triple", "quarter") and w[k + 1] in ("it", "that", "the") and k > out.end:
            value = {"halve": Fraction(1, 2), "double": Fraction(2), "triple": Fraction(3), "quarter": Fraction(1, 4)}[
                w[k]
            ]
            end = k + 3 if w[k + 1] == "the" else k + 2
        elif (
            w[k] in ("cut", "split", "divide", "fold")
            and w[k + 1] in ("it", "that")
            and w[k + 2] == "in"
            and w[k + 3] == "half"
            and k > out.end
            and w[k] != "fold"
        ):
            value, end = Fraction(1, 2), k + 4
        elif (
            (n := self.number(k))
            and w[n.end] == "times"
            and (w[n.end + 1] in ("over", ".", ",", "", "for", "and", "plus", "so"))
        ):
            value, end = n.value, n.end + 1 + (w[n.end + 1] == "over")
        else:
            value, end = self._again_of_it(k, out.end)
        if value is None:
            return False
        if out.last and k == out.end and w[k] in FACTORS:
            out.formula = f"{out.formula[: -len(out.last)]}{shown(value)} x {out.last}"
            out.joined += 1
        else:
            self._scale(out, value)
        out.end, out.last = end, ""
        return True

    def _again_of_it(self, k: int, begin: int) -> tuple[Fraction | None, int]:
        """ "and half of it again", "and a third of that", "and half as much again", "and half again"."""
        w = self.a.w
        if k == begin or w[k - 1] not in ("and", "then", "plus"):
            return None, k
        if w[k] == "the" and w[k + 1] == "same" and w[k + 2] == "again":
            return Fraction(2), k + 3
        if w[k] == "half":
            share, end = Fraction(1, 2), k + 1
        elif (n := self.number(k)) and n.fraction and n.value < 1:
            share, end = n.value, n.end
        else:
            return None, k
        if w[end] == "of" and w[end + 1] in ("it", "that"):
            end += 2
            return 1 + share, end + (w[end] == "again")
        if w[end] == "again":
            return 1 + share, end + 1
        if w[end] == "as" and "again" in w[end + 1 : end + 4]:
            return 1 + share, w.index("again", end) + 1
        return None, k

    def _scale(self, out: Sum, value: Fraction) -> None:
        inner = f"({out.formula})" if " + " in out.formula or " - " in out.formula else out.formula
        if value < 1:
            out.formula = f"{inner} / {value.denominator}" if value.numerator == 1 else f"{inner} x {shown(value)}"
        else:
            out.formula = f"{shown(value)} x {inner}"
        out.joined += 1


__all__ = [
    "AS_ADJECTIVES",
    "BIGGER",
    "DETERMINERS",
    "DIMENSIONS",
    "FACTORS",
    "HANDFULS",
    "MEASURE_WORDS",
    "PROMPTS",
    "STOP",
    "TRACING",
    "Sum",
    "Term",
    "Terms",
    "shown",
]
