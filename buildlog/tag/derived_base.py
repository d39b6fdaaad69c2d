"""What finders of derived amounts share: where they read, how much the trained reader must agree, what comes of a sum."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from buildlog.tag.amounts.atoms import Atoms, atoms_of
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.what import singular
from buildlog.tag.derived_result import Results
from buildlog.tag.derived_terms import Terms
from buildlog.tag.derived_words import (
    DETERMINERS,
    DIMENSIONS,
    Sum,
)
from buildlog.tag.lexicon import lexicon_of

if TYPE_CHECKING:
    from spacy.tokens import Doc

    from buildlog.tag.reader import Reading

NOT_INPUTS = lexis().sets["not_inputs"]
# How much of the reader's assent an expression needs that could be something else, and one that is an instruction.
SOFT_FLOOR, TOLD_FLOOR = 0.3, 0.12
_MEASURED_REACH = 24
_MEASURING = frozenset("measure measured trace traced measuring".split())
# Where the reader is so sure of a whole stretch, plainer wording is taken for a sum.
_SURE = 0.55
_SELF = frozenset("that what it there here".split())
# Atoms after a sum within which "that" is what it came to.
_BACK_TO = 14
# What "the last" is called until the result tells of what kind.
LAST = "one before it"


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


class Finding:
    """The words of one document, and the sums found in it so far."""

    def __init__(self, doc: Doc, reading: Reading | None = None) -> None:
        self.doc = doc
        self.reading = reading
        self.a: Atoms = _apostrophes(atoms_of(doc))
        self.t = Terms(doc, self.a)
        if reading is not None:
            self.t.vouched = self._vouched(reading)
        sentences = [x.start for x in doc.sents] if doc.has_annotation("SENT_START") else []
        self.results = Results(self.t, sentences, lexicon_of(doc))
        self.out: list[Worked] = []
        self.divided = 0, ""  # how many sums there were when one was last shared out, and what was
        self.last = 0  # atom at which the last expression ended

    def _vouched(self, reading: Reading) -> frozenset[int]:
        """The atoms that the reader is sure stand where an amount is worked out."""
        sure = [(start, end) for start, end, p in reading.found("D", SOFT_FLOOR) if p >= _SURE]
        tokens = {k for start, end in sure for k in range(start, end)}
        return frozenset(i for i in range(self.a.n) if self.a.tok[i] in tokens)

    def _agreed(self, start: int, end: int) -> float:
        """The reader's mean probability that an amount is worked out over the atoms."""
        if self.reading is None or start >= self.a.n:
            return 0.0
        last = self.a.tok[min(end, self.a.n) - 1] + 1
        return self.reading.inside("D", self.a.tok[start], last)

    def _maybe(self, s: Sum) -> int:
        """An expression that needs the reader's assent."""
        if self._agreed(s.start, s.end) < SOFT_FLOOR:
            return 0
        return self._emit(s, weight=0.7)

    def _emit(self, s: Sum, weight: float = 1.0, *, sure: bool = False) -> int:
        names = [x for x in dict.fromkeys(s.names) if x and x not in ("pi", "pie")]
        if not names or any(
            set(x.removesuffix(" one").split()) & NOT_INPUTS for x in names if not x.startswith("one ")
        ):
            return 0
        agreed = self._agreed(s.start, s.end)
        if (
            self.reading is not None
            and not sure
            and agreed < _floor(s)
            and not (agreed > 0.005 and self._predicate(s.start))
        ):
            return 0
        if s.soft and not (agreed >= SOFT_FLOOR or self._predicate(s.start)):
            return 0
        if s.told and self.reading is not None and agreed < TOLD_FLOOR and not self._predicate(s.start):
            return 0
        result = self._shared_result(s) or self.results.of(s)
        if "that" in names and self.out and 0 <= s.start - self.last <= _BACK_TO:
            # "... add an inch for ease, and the strip is twelve times that"
            before = self.out[-1].result
            if before not in ("amount", result, *names):
                s.formula = re.sub(r"\bthat\b", before, s.formula)
                names = [before if x == "that" else x for x in names]
        if "that" in names and (measured := self._measured_before(s.start)):
            s.formula = re.sub(r"\bthat\b", measured, s.formula)
            names = [measured if x == "that" else x for x in names]
        if LAST in names and result and (thing := result.split()[:-1] if s.tail else result.split()):
            # "narrower than the last": of the same kind as what is sized
            before = f"previous {singular(' '.join(thing))}"
            s.formula = s.formula.replace(LAST, before)
            names = [before if x == LAST else x for x in names]
        if result is None and weight < 1 and s.joined < 2:
            return 0  # what is only compared must have a thing that it sizes
        if result is None and s.joined == 1 and " / " in s.formula and not self._predicate(s.start):
            return 0  # a share of nothing in particular: "half of the leaves came off"
        if result in names and len(names) == 1 and not sure:
            result = None
        if (
            any(o.formula == s.formula and o.result == result for o in self.out[-1:])
            and s.start - self.last < 2 * _BACK_TO
        ):
            return s.end
        if self._restated(s, names, result):
            return s.end
        tokens = self.a.tok[s.start], min(len(self.doc), self.a.tok[s.end - 1] + 1)
        text = self.doc[tokens[0] : tokens[1]].text
        confidence = 0.8 * weight if result else 0.48 * weight
        if self.reading is not None:
            confidence *= 0.7 + 0.3 * agreed
        self.out.append(Worked(tokens[0], tokens[1], result or "amount", s.formula, names, text, round(confidence, 3)))
        return s.end

    def _measured_before(self, start: int) -> str | None:
        """What was measured a clause ago: "you measure the zip, and you want that plus an inch"."""
        w = self.a.w
        for k in range(start - 1, max(-1, start - _MEASURED_REACH), -1):
            if w[k] not in _MEASURING:
                continue
            at = k + 1 + (w[k + 1] in ("across", "along", "up", "down"))
            if w[at] not in DETERMINERS - {"that", "this"} | {"from", "round", "around"}:
                continue
            found = self.t.name(at)
            named = found is not None and found.end <= start and self.t.noun(found.end - 1)
            return found.name if named and found and found.name and "\t" not in found.name else None
        return None

    def _restated(self, s: Sum, names: list[str], result: str | None) -> bool:
        """Whether the sum only says the one before again: "..., so row length times six", "..., so double that"."""
        if (
            not self.out
            or s.start - self.last > _BACK_TO
            or self.a.w[s.start - 1] not in ("so", "my", "the", "over", "'s", "is")
        ):
            return False
        before = self.out[-1]
        ours, theirs = _numbers(s.formula), _numbers(before.formula)
        if ours != theirs or " + " in s.formula or " - " in s.formula:
            return False
        if names == [before.result]:
            return self.a.w[s.start - 1] == "so" and result in before.inputs
        same = len(names) == 1 == len(before.inputs) and set(names[0].split()) & set(before.inputs[0].split())
        return bool(same) and result is not None and (set(result.split()) & set(before.result.split()) != set())

    def _shared_result(self, s: Sum) -> str | None:
        """The thing of the sum before, where this one only goes on with it: "the cloth is the width plus six for the hems and the drop plus ten"."""
        w, low = self.a.w, self.last
        if not self.out or w[s.start - 1] != "and" or not 0 <= s.start - 1 - low <= 6 or s.tail:
            return None
        if (low < s.start - 1 and w[low] != "for") or not s.constant or not self.out[-1].formula[-1].isalnum():
            return None
        if any(x in (".", ",", "?", "!", "is", "'s", "are") for x in w[low : s.start]):
            return None
        before = self.out[-1].result.split()
        thing = " ".join(before[:-1] if before[-1] in DIMENSIONS else before)
        return thing if thing != "amount" else None

    def _predicate(self, i: int) -> bool:
        """Whether a thing is said to be what begins at ``i``, or to be cut to it."""
        w = self.a.w
        k = i - 1
        while k > 0 and w[k] in ("about", "just", "roughly", "once", ","):
            k -= 1
        if w[k] in ("cut", "made", "torn", "sawn", "left") and k:
            k -= 1
        if w[k] in ("is", "'s", "be", "are", "was", "'re", "were", "equals"):
            return True
        return w[k] == "to" and (
            w[k - 1] in ("cut", "it", "them", "those")
            or bool({"set", "trim", "trimmed", "cut"} & set(w[max(0, k - 4) : k]))
        )


def _apostrophes(a: Atoms) -> Atoms:
    """ "that s" and "they re", as captions write them, with their apostrophes."""
    said = {"s": _SELF | {"he", "she", "who", "where", "how"}, "re": {"they", "you", "we"}, "ve": {"you", "i", "we"}}
    w = [f"'{x}" if x in said and i and a.w[i - 1] in said[x] else x for i, x in enumerate(a.w)]
    return replace(a, w=w)


def _numbers(formula: str) -> list[str]:
    return sorted(re.findall(r"\d+(?:\.\d+)?", formula))


def _floor(s: Sum) -> float:
    """How much of the reader's assent an expression needs: little where it is plainly a sum."""
    if " / " in s.formula or s.joined > 1 or len(s.names) > 1 or s.names[0].split()[-1] in DIMENSIONS:
        return 0.01
    return 0.08 if " x " in s.formula else 0.02


__all__ = ["LAST", "NOT_INPUTS", "SOFT_FLOOR", "TOLD_FLOOR", "Finding", "Worked"]
