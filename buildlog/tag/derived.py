"""Amounts worked out from others: the component ``derived`` sets ``doc._.derived``.

"The strip needs to be three times the rim" gives the result "strip", the formula "3 x rim" and the input "rim". An
expression is a run of terms (a named quantity, perhaps with a factor, or a plain amount) joined by "plus", "less",
"divided by" and their like; it counts only if at least one named quantity is in it and something is done to it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING

from spacy.language import Language
from spacy.tokens import Doc as _Doc

from buildlog.tag.amounts.atoms import Atoms, atoms_of
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import number, starts_number
from buildlog.tag.amounts.quantities import quantity
from buildlog.tag.amounts.what import singular

if TYPE_CHECKING:
    from spacy.tokens import Doc

_Doc.set_extension("derived", default=None, force=True)


@dataclass(slots=True)
class Worked:
    """One derived amount: tokens ``[start, end)``, ``result``, ``formula`` over named ``inputs``, words said."""

    start: int
    end: int
    result: str
    formula: str
    inputs: list[str] = field(default_factory=list)
    text: str = ""
    confidence: float = 0.8


_DETERMINERS = frozenset(["the", "my", "your", "his", "her", "their", "its", "our", "that", "this", "each", "whatever"])
_FACTORS = {
    "twice": Fraction(2),
    "double": Fraction(2),
    "triple": Fraction(3),
    "thrice": Fraction(3),
    "quadruple": Fraction(4),
}
_MEASURE_WORDS = frozenset(["measurement", "measurements", "measure", "size", "amount", "figure", "number", "value"])
_DIMENSIONS = lexis().sets["dimensions"]
# (words, sign): what joins two terms
_JOINTS: tuple[tuple[tuple[str, ...], str], ...] = tuple(
    sorted(
        (
            (tuple(words.split()), sign)
            for sign, phrases in {
                "+": (
                    "plus,and add,add,add on,and then add on,and then add,then add,and add on,plus about,with,added to,"
                    "then add on,and you add,and i add,and i added,and then you add,plus another,then plus,and allow"
                ),
                "-": (
                    "minus,less,take off,take away,subtract,knock off,and take off,then take off,and subtract,"
                    "minus about,and then take off,and knock off,then subtract,and take away,not counting,"
                    "and then subtract,and then minus,and minus,and less,take"
                ),
                "/": (
                    "divided by,divide by,divide it by,divide that by,and divide by,and divide it by,"
                    "and divide that by,then divide by,then divide it by,"
                    "then divide that by,and then divide by,split by,over"
                ),
                "x": "multiplied by,multiply by,times,and multiply by,then multiply by,then times it by,times by",
            }.items()
            for words in phrases.split(",")
        ),
        key=lambda pair: -len(pair[0]),
    )
)
_JOINT_STARTS = frozenset(p[0][0] for p in _JOINTS)
_PROMPTS = frozenset(
    {"plus", "minus", "less", "divided", "divide", "multiplied", "add", "subtract", "take", "knock", "times"}
)
_STOP = lexis().sets["not_names"]
_GENERIC = lexis().sets["says_nothing"]
_AS_ADJECTIVES = {
    "long": "length",
    "wide": "width",
    "deep": "depth",
    "tall": "height",
    "high": "height",
    "thick": "thickness",
    "big": "size",
    "much": "amount",
    "heavy": "weight",
    "far": "distance",
}
_BIGGER = {
    "bigger": "+",
    "longer": "+",
    "wider": "+",
    "larger": "+",
    "taller": "+",
    "deeper": "+",
    "more": "+",
    "smaller": "-",
    "shorter": "-",
    "narrower": "-",
    "less": "-",
    "thinner": "-",
    "lower": "-",
}
_SHARE_NOT = lexis().sets["shares_of_other"]


_LINKS = lexis().sets["result_links"]
_PRONOUNS = frozenset(["it", "that", "this", "they", "them", "those", "these", "he", "she", "there"])
_ALLOWED_FOR = lexis().sets["allowed_for"]
_NOT_INPUTS = lexis().sets["not_inputs"]


@dataclass(slots=True)
class _Term:
    start: int
    end: int
    text: str
    name: str | None
    factor: bool = False


class _Finder:
    """Finds the expressions of one document."""

    def __init__(self, doc: Doc) -> None:
        self.doc = doc
        self.a: Atoms = atoms_of(doc)
        self.out: list[Worked] = []

    def find(self) -> list[Worked]:
        w, n = self.a.w, self.a.n
        i = 0
        while i < n:
            text = w[i]
            end = 0
            if text in _FACTORS or text in ("half", "as", "same") or starts_number(text):
                end = self._from(i)
            elif text in _PROMPTS:
                end = self._joined(i)
            elif text in ("added", "put") and w[i + 1] in ("up", "together"):
                end = self._added_up(i)
            elif text in _BIGGER:
                end = self._bigger(i)
            i = max(i + 1, end)
        return self.out

    # -- where an expression starts -----------------------------------------------------------------------------

    def _from(self, i: int) -> int:
        """An expression that begins at ``i`` with a factor, a share, or "as long as"."""
        term = self._factor(i) or self._as(i)
        if term is None:
            return 0
        return self._finish(term, i)

    def _joined(self, i: int) -> int:
        """An expression whose first term ends just before the joint at ``i``."""
        w = self.a.w
        at = i
        while at > 0 and w[at - 1] in ("and", "then", ",", "you", "i"):
            at -= 1
        if not self._joint(at) and not self._joint(i):
            return 0
        first = self._name_before(at)
        if first is None and at != i:
            first = self._name_before(i)
        if first is None:
            return 0
        if self.out and self.out[-1].end > self.a.tok[first.start]:
            return 0
        return self._finish(first, first.start, needs_more=True)

    def _added_up(self, i: int) -> int:
        """ "the four sides added up and then ten inches more"."""
        w = self.a.w
        first = self._name_before(i)
        if first is None or not first.name:
            return 0
        k = i + 2
        while w[k] in ("and", "then", "plus", "about", ","):
            k += 1
        q = quantity(self.a, k) if starts_number(w[k]) or w[k] in lexis().units else None
        if q is None or not q.unit:
            return 0
        end = q.end + 1 if w[q.end] in ("more", "extra") else q.end
        return self._emit(first.start, end, f"{first.name} + {_shown(q.value)} {q.unit}", [first.name], 0.7)

    def _bigger(self, i: int) -> int:
        """ "an inch bigger than the page", "half an inch longer all round than the board"."""
        w = self.a.w
        k = i + 1
        while k < i + 4 and w[k] in ("all", "around", "round", "on", "each", "side", "way", "every"):
            k += 1
        if w[k] != "than":
            return 0
        name = self._name(k + 1)
        if name is None or name.name is None or name.name in ("it", "that") or set(name.name.split()) & _NOT_INPUTS:
            return 0
        for start in range(max(0, i - 9), i):
            if starts_number(w[start]) or w[start] in lexis().units:
                q = quantity(self.a, start)
                if q and q.end == i and (q.unit or q.fraction):
                    formula = f"{name.name} {_BIGGER[w[i]]} {_shown(q.value)} {q.unit or 'inch'}"
                    return self._emit(start, name.end, formula, [name.name or ""], 0.75)
        return 0

    # -- terms ----------------------------------------------------------------------------------------------------

    def _factor(self, i: int) -> _Term | None:
        """ "three times the rim", "twice the depth", "a third of the width", "half again as much as the hem"."""
        w = self.a.w
        text = w[i]
        if (text == "half" and w[i + 1] == "again") or (
            text == "half" and w[i + 1] == "as" and "again" in w[i + 2 : i + 5]
        ):
            k = i + 2
            while k < i + 8 and w[k] in ("as", "much", "long", "wide", "again", "big", "deep", "many"):
                k += 1
            name = self._name(k)
            return _Term(i, name.end, f"1.5 x {name.name}", name.name, True) if name else None
        if text in _FACTORS:
            k = i + 1
            if w[k] in ("as",):
                k = k + 2 if w[k + 1] in _AS_ADJECTIVES else k
                if w[k] == "as":
                    k += 1
            if w[k] == "around" or w[k] == "round":
                k += 1
            if w[k] == "of":
                k += 1
            name = self._name(k) if w[k] in _DETERMINERS or w[k] == "what" or text in ("double", "triple") else None
            return _Term(i, name.end, f"{_FACTORS[text]} x {name.name}", name.name, True) if name else None
        n = number(self.a, i)
        if n is None:
            if text != "half":
                return None
            n_value, k = Fraction(1, 2), i + 1
        else:
            n_value, k = n.value, n.end
        if w[k] in ("times", "x"):
            k += 1
            if w[k] == "as":
                k = k + 2 if w[k + 1] in _AS_ADJECTIVES or w[k + 1] == "many" else k + 1
                if w[k] == "as":
                    k += 1
            elif w[k] in ("around", "round"):
                k += 1
            if w[k] not in _DETERMINERS and w[k] not in ("what", "as") and not self._noun(k):
                return None
            if w[k] in ("a", "an", "before", "over", "now", "already"):
                return None
            name = self._name(k)
            return _Term(i, name.end, f"{_shown(n_value)} x {name.name}", name.name, True) if name else None
        share = n_value < 1 and (n is None or n.fraction)
        if share and (w[k] == "of" or text == "half"):
            k2 = k + 1 if w[k] == "of" else k
            if w[k2] == "way" or (w[k2] == "the" and w[k2 + 1] == "way"):
                return None
            if (
                w[k2] not in _DETERMINERS
                or w[k2 + 1] in _SHARE_NOT
                or (w[k2] in ("this", "each", "that") and not self._noun(k2 + 1))
            ):
                return None
            name = self._name(k2)
            if name is None or not self._sized(name):
                return None
            return _Term(i, name.end, _share(n_value, name.name or ""), name.name, True)
        return None

    def _sized(self, name: _Term) -> bool:
        """Whether a share of ``name`` is a size: a dimension or a body measure, not half the strips."""
        words = (name.name or "").split()
        sums = any(self.a.w[k] in ("plus", "minus", "less", "divided") for k in range(name.end, name.end + 2))
        body = lexis().sets["body_sizes"]
        return bool(set(words) & (_DIMENSIONS | body)) or sums or self._copula_before(name.start)

    def _copula_before(self, i: int) -> bool:
        return any(x in ("is", "'s", "be", "are", "was") for x in self.a.w[max(0, i - 4) : i])

    def _as(self, i: int) -> _Term | None:
        """ "as long as the strap", "the same width as the lid" (counts only with something done to it)."""
        w = self.a.w
        if w[i] == "as" and w[i + 1] in _AS_ADJECTIVES and w[i + 2] == "as":
            name = self._name(i + 3)
        elif w[i] == "same" and (w[i + 1] == "as" or w[i + 2] == "as"):
            name = self._name(i + 2 if w[i + 1] == "as" else i + 3)
        else:
            return None
        return _Term(i, name.end, name.name or "", name.name) if name else None

    def _noun(self, i: int) -> bool:
        token = self.a.tok[i]
        return (
            token < len(self.doc)
            and self.a.w[i].isalpha()
            and self.a.w[i] not in _STOP
            and (not self.doc[token].tag_ or self.doc[token].tag_.startswith("NN"))
        )

    def _name(self, i: int) -> _Term | None:
        """A named quantity at ``i``: "the width of the handles" is "handle width", "your neck measurement" "neck"."""
        w = self.a.w
        k = i
        if w[k] == "what" and w[k + 1] in ("the", "your", "my"):
            k += 1
        while w[k] in _DETERMINERS:
            k += 1
        if k == i and not self._noun(k):
            return None
        if k > i and (not w[k].isalpha() or w[k] in _STOP):
            # "that less two inches"
            return _Term(i, k, w[k - 1], w[k - 1]) if w[k - 1] in ("that", "this") else None
        words: list[str] = []
        while (
            k < i + 7
            and w[k].isalpha()
            and w[k] not in _STOP
            and w[k] not in ("of", "the", "a")
            and not (words and starts_number(w[k]))
        ):
            words.append(w[k])
            k += 1
            if w[k] in ("'s", "'") and w[k + 1].isalpha() and w[k + 1] in _DIMENSIONS:
                k += 1
        if not words or all(starts_number(x) for x in words):
            return None
        while len(words) > 1 and words[-1] in ("really", "again", "please", "right", "each", "roughly"):
            words.pop()
            k -= 1
        if w[k] == "of" and (w[k + 1] in _DETERMINERS or w[k + 1] in ("a", "an") or self._noun(k + 1)):
            inner = self._name(k + 2 if w[k + 1] in ("a", "an") else k + 1)
            if inner and inner.name:
                head = [x for x in words if x not in _MEASURE_WORDS]
                name = " ".join([singular(inner.name), *head]) if head else inner.name
                return _Term(i, inner.end, name, name)
        if w[k] == "around" and words[-1] in ("measurement", "distance", "measure") and w[k + 1] in _DETERMINERS:
            inner = self._name(k + 1)
            if inner and inner.name:
                return _Term(i, inner.end, inner.name, inner.name)
        kept = [x for x in words if x not in _MEASURE_WORDS and x != "finished"] or words
        name = " ".join(kept)
        return _Term(i, k, name, name)

    def _name_before(self, i: int) -> _Term | None:
        """The named quantity that ends just before ``i``."""
        w = self.a.w
        k = i
        twice = w[k - 1] == "twice"
        if twice:
            k -= 1
        if k > 0 and w[k - 1] in (",", "up", "added"):
            while k > 0 and w[k - 1] in (",", "up", "added"):
                k -= 1
        for start in range(max(0, k - 9), k):
            if w[start + 1] in _DETERMINERS:
                continue
            if w[start] not in _DETERMINERS and not (
                start and w[start - 1] in ("is", "be", "'s") and self._noun(start)
            ):
                continue
            name = self._name(start)
            if name and name.end == k and name.name:
                start, name.name = self._from_to(start, name.name)
                if twice:
                    return _Term(start, i, f"2 x {name.name}", name.name, True)
                return _Term(start, k, name.name, name.name)
        return None

    def _from_to(self, start: int, name: str) -> tuple[int, str]:
        """ "from the nape down to the ankle bone" is one quantity, "nape to ankle bone"."""
        w = self.a.w
        if w[start - 1] == "to":
            for k in range(start - 2, max(-1, start - 9), -1):
                if w[k] == "from" and (head := self._name(k + 1)) and head.name:
                    return k, f"{head.name} to {name}"
        return start, name

    def _joint(self, i: int) -> tuple[str, int] | None:
        """The operator at ``i`` and where it ends."""
        w = self.a.w
        if w[i] == ",":
            i += 1
        if w[i] not in _JOINT_STARTS:
            return None
        for words, sign in _JOINTS:
            if tuple(w[i : i + len(words)]) == words:
                return sign, i + len(words)
        return None

    def _term(self, i: int, sign: str) -> _Term | None:
        """A term after an operator: a factor, an amount, or a name."""
        w = self.a.w
        while w[i] in ("about", "roughly", "another", "maybe", "on", "around", "say"):
            i += 1
        factor = self._factor(i)
        if factor:
            return factor
        if starts_number(w[i]) or w[i] in lexis().units:
            q = quantity(self.a, i)
            if q is not None and (q.unit or sign in "/x" or not q.fraction):
                unit = f" {q.unit}" if q.unit else ""
                return _Term(i, q.end, f"{_shown(q.value)}{unit}", None)
        if (
            w[i] in _DETERMINERS
            or (sign in "-/" and self._noun(i))
            or (sign == "+" and self._noun(i) and w[i - 1] in ("plus",))
        ):
            return self._name(i)
        return None

    # -- whole expressions ----------------------------------------------------------------------------------------

    def _finish(self, first: _Term, start: int, *, needs_more: bool = False) -> int:
        formula, names = first.text, [first.name] if first.name else []
        end = first.end
        joined = 0
        if self.a.w[end] == "twice" and not first.factor:
            formula, end, joined = f"2 x {formula}", end + 1, 1
        while joint := self._joint(end):
            sign, at = joint
            term = self._term(at, sign)
            if term is None:
                break
            if joined and sign in "/x" and (" + " in formula or " - " in formula):
                formula = f"({formula})"
            formula = f"{formula} {sign} {term.text}"
            if term.name:
                names.append(term.name)
            end = term.end
            joined += 1
        if not joined and (needs_more or not first.factor):
            return 0
        if not names or any(set(x.split()) & _NOT_INPUTS for x in names):
            return 0
        return self._emit(start, end, formula, list(dict.fromkeys(names)), 0.8 if joined or first.factor else 0.5)

    def _emit(self, start: int, end: int, formula: str, names: list[str], confidence: float) -> int:
        result = self._result(start, end)
        tokens = self.a.tok[start], min(len(self.doc), self.a.tok[end - 1] + 1)
        text = self.doc[tokens[0] : tokens[1]].text
        unsure = confidence if result else confidence * 0.6
        self.out.append(Worked(tokens[0], tokens[1], result or "amount", formula, names, text, round(unsure, 3)))
        return end

    # -- what is being sized ---------------------------------------------------------------------------------------

    def _result(self, start: int, end: int) -> str | None:
        """What the expression sizes: its subject or object just before it, else what the talk is about."""
        w = self.a.w
        tail = _AS_ADJECTIVES.get(w[end])
        k = start - 1
        while k >= 0 and w[k] in _LINKS:
            k -= 1
        found: str | None = None
        if k >= 0 and w[k] in ("one", "ones") and w[k - 1].isalpha() and w[k - 1] not in _DETERMINERS | _STOP:
            found = w[k - 1]
        elif k >= 0 and w[k].isalpha() and w[k] not in _PRONOUNS and w[k] not in _STOP:
            found = self._phrase_to(k)
        if found is None or set(found.split()) <= _GENERIC - _DIMENSIONS:
            found = self._for_phrase(start, end) or self._topic(k + 1)
        if found and tail and tail != "size":
            found = f"{found} {tail}"
        return found

    def _phrase_to(self, k: int) -> str | None:
        """The noun phrase that ends at atom ``k``; "the radius for the neck" is "neck radius"."""
        w = self.a.w
        low = k
        while low > 0 and k - low < 2 and w[low - 1].isalpha() and self._can_be_noun(low - 1):
            low -= 1
        if starts_number(w[k]) or w[k] in lexis().units or not self._can_be_noun(k):
            return None
        words = [x for x in w[low : k + 1] if x not in _MEASURE_WORDS] or [w[k]]
        at = low - 1
        if at > 1 and w[at] in _DETERMINERS | {"a"} and w[at - 1] in ("of", "for"):
            at -= 1
        if at > 0 and w[at] in ("of", "for") and w[at - 1] in _DIMENSIONS:
            words.append(w[at - 1])
        return " ".join(words)

    def _can_be_noun(self, i: int) -> bool:
        """Whether atom ``i`` may belong to a noun phrase: by its tag, or because a determiner leads it."""
        w = self.a.w
        text = w[i]
        if text in _STOP | _DETERMINERS | _PRONOUNS or text in lexis().sets["sentence_words"]:
            return False
        tag = self.doc[self.a.tok[i]].tag_
        return tag.startswith(("NN", "JJ")) or not tag or w[i - 1] in _DETERMINERS | {"a", "an"}

    def _for_phrase(self, start: int, end: int) -> str | None:
        """ "for the widths it's ...", "you need ... for the ruffle"."""
        w = self.a.w
        for k in range(start - 1, max(-1, start - 9), -1):
            if w[k] in (".", "!", "?"):
                break
            if w[k] == "for" and w[k + 1] in _DETERMINERS | {"a", "an"}:
                m = k + 2
                while m < start and self._can_be_noun(m):
                    m += 1
                if m > k + 2:
                    return self._phrase_to(m - 1)
        if w[end] == "of" and self._noun(end + 1):
            after = self._name(end + 1)
            return after.name if after else None
        if w[end] == "for" and w[end + 1] in ("the", "a", "my", "your", "each"):
            after = self._name(end + 1)
            if after and after.name and not set(after.name.split()) & _ALLOWED_FOR:
                return after.name
        return None

    def _topic(self, i: int) -> str | None:
        """What the talk is about before atom ``i``: the first noun phrase of the nearest sentence that has one of its
        own; a sentence that begins with "it" is about what came before."""
        w = self.a.w
        end = i
        for _ in range(5):
            begin = end
            while begin > 0 and w[begin - 1] not in (".", "!", "?") and end - begin < 30:
                begin -= 1
            k = begin
            while k < end and w[k] in ("and", "so", "okay", "then", "now", "right", "well", "but", "for", "also"):
                k += 1
            if k < end and w[k] not in ("it", "they", "that", "those", "these"):
                found = self._first_phrase(k, end)
                if found:
                    return found
            if begin <= 0:
                return None
            end = begin - 1
        return None

    def _first_phrase(self, begin: int, end: int) -> str | None:
        w = self.a.w
        lead = _DETERMINERS | {"a", "an", "some"}
        for k in range(begin, end):
            if w[k] not in lead and not (starts_number(w[k]) and w[k] not in ("half", "quarter")) and k > begin:
                continue
            m = k + 1 if w[k] in lead or starts_number(w[k]) else k
            first = m
            while m < end and self._can_be_noun(m) and not starts_number(w[m]) and w[m] not in lexis().units:
                m += 1
            if m == first:
                continue
            if w[m] == "of" and self._can_be_noun(m + 1) and w[m - 1] not in _DIMENSIONS:
                inner = m + 1
                while inner < end and self._can_be_noun(inner):
                    inner += 1
                return " ".join(w[m + 1 : inner])
            if m == first + 1 and w[first] in _GENERIC:
                continue
            return " ".join(w[first:m][-2:])
        return None


def _shown(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):.6g}"


def _share(value: Fraction, name: str) -> str:
    return (
        f"{name} / {value.denominator}" if value.numerator == 1 else f"{value.numerator} x {name} / {value.denominator}"
    )


def read(doc: Doc) -> list[Worked]:
    """The derived amounts said in ``doc``, in order."""
    return sorted(_Finder(doc).find(), key=lambda d: d.start)


@Language.component("derived", assigns=["doc._.derived"])  # type: ignore[untyped-decorator]
def derived(doc: Doc) -> Doc:
    """Set ``doc._.derived``."""
    doc._.derived = read(doc)
    return doc


__all__ = ["Worked", "derived", "read"]
