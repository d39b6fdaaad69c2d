"""Mentions: stretches of the words that name a material, tool, pattern, reference or technique.

Two finders, one shape: the trained reader where it is installed, a lexicon with rules where it is not. Where both have
something to say the reader decides and the lexicon mends: it settles a kind the reader is unsure of, and it brings in a
term that the reader let slip in the middle of a step.

Sets ``doc._.mentions``: a list of :class:`Mention` in the order of the words, not overlapping.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from buildlog.tag.clauses import Clause, clause_of
from buildlog.tag.lexicon import Lexicon, Match
from buildlog.tag.reader import Reading
from buildlog.tag.view import View, view_of

if TYPE_CHECKING:
    from spacy.tokens import Doc

Kind = Literal["material", "tool", "pattern", "reference", "technique"]
LETTER: dict[str, Kind] = {"M": "material", "T": "tool", "P": "pattern", "R": "reference", "X": "technique"}
USED, CONSIDERED, SUBSTITUTE, MENTIONED = range(4)


@dataclass(slots=True)
class Mention:
    """Tokens ``start`` to ``end`` name a thing of ``kind``. ``status`` are the probabilities of used, considered,
    substitute, mentioned (techniques: done is the first, all else the last). ``sure`` is 0 to 1."""

    start: int
    end: int
    kind: Kind
    status: tuple[float, float, float, float]
    sure: float

    @property
    def head(self) -> int:
        """The last token, which names the kind of thing ("canvas" of "waxed canvas")."""
        return self.end - 1


_TRIM_START = frozenset(
    "a an the this that these those my our your his her their its some any no more another other each every both all of "
    "little bit lovely nice beautiful good old new big small same own whole proper decent cheap ordinary normal actual "
    "few couple few several many much just really very quite only extra spare pretty plain one such certain".split()
)
# Adjectives that only size or praise: a name loses them at its front, but a telling one ("old" in "old sheets") may stay
# where nothing else would be left.


def from_reader(v: View, reading: Reading, floor: float = 0.5) -> list[Mention]:
    """Mentions read by the trained reader: runs of tokens more likely inside a name than outside."""
    p = reading.layers["kind"]
    status = reading.layers["status"]
    n = len(v.text)
    out: list[Mention] = []
    outside = p[:, 0]
    begin_mass = p[:, 1::2]
    inside_mass = p[:, 2::2]
    i = 0
    while i < n:
        if outside[i] > 1.0 - floor:
            i += 1
            continue
        j = i + 1
        while (
            j < n
            and outside[j] <= 1.0 - floor
            and inside_mass[j].sum() >= begin_mass[j].sum()
            and v.text[j] not in ".?!,;"
        ):
            j += 1
        mass = (begin_mass[i:j] + inside_mass[i:j]).mean(axis=0)
        k = int(mass.argmax())
        s = status[i:j].mean(axis=0)
        start, end = _trim(v, i, j)
        if end > start:
            total = float(mass.sum())
            out.append(
                Mention(
                    start,
                    end,
                    LETTER[reading.kinds[k]],
                    (float(s[0]), float(s[1]), float(s[2]), float(s[3])),
                    float(mass[k]) if total else 0.0,
                )
            )
        i = j
    return out


def _trim(v: View, start: int, end: int) -> tuple[int, int]:
    while end > start and (
        not v.text[end - 1][0].isalnum() or v.low[end - 1] in ("and", "or", "of", "the", "a", "in", "on")
    ):
        end -= 1
    while start < end - 1 and (v.low[start] in _TRIM_START or not v.text[start][0].isalnum()):
        start += 1
    if start < end and (v.low[start] in _TRIM_START or v.pos[start] == "PRON") and end - start == 1:
        return end, end
    return start, end


def from_lexicon(v: View, lexicon: Lexicon, clauses: list[Clause]) -> list[Mention]:
    """Mentions by the lexicon alone: terms and noun phrases it can class, their standing from the clause they are in."""
    out: list[Mention] = []
    n = len(v.text)
    i = 0
    while i < n:
        best = _term_at(v, lexicon, i)
        if best is not None:
            end = best.end
            start = i
            kind = best.term.kind
            if kind in ("material", "tool", "pattern", "reference"):
                while (
                    start > 0
                    and v.dep[start - 1] in ("compound", "amod")
                    and v.head[start - 1] < end
                    and v.head[start - 1] >= i
                ):
                    start -= 1
                start, end = _trim(v, start, end)
                if end > start:
                    out.append(Mention(start, end, kind, standing(v, clauses, end - 1), 0.6))  # type: ignore[arg-type]
            elif kind == "technique":
                out.append(Mention(i, end, "technique", standing(v, clauses, i), 0.6))
            i = max(end, i + 1)
            continue
        if v.pos[i] == "NOUN" and (i + 1 >= n or v.dep[i] != "compound"):
            mods = [v.lemma[k] for k in v.kids[i] if v.dep[k] in ("compound", "amod")]
            kind_, sure = lexicon.classify(v.lemma[i], mods)
            if kind_ in ("material", "tool", "pattern", "reference") and sure >= 0.5:
                lefts = [k for k in v.kids[i] if v.dep[k] in ("compound", "amod") and k < i]
                start, end = _trim(v, min([i, *lefts]), i + 1)
                out.append(Mention(start, end, kind_, standing(v, clauses, i), sure * 0.7))  # type: ignore[arg-type]
        elif v.pos[i] == "VERB":
            term = lexicon.technique_for_verb(v.lemma[i])
            if term is not None:
                out.append(Mention(i, i + 1, "technique", standing(v, clauses, i), 0.5))
        i += 1
    return out


def _term_at(v: View, lexicon: Lexicon, i: int) -> Match | None:
    if v.pos[i] not in ("NOUN", "PROPN", "ADJ", "VERB", "NUM", "ADV"):
        return None
    found = [
        m
        for m in lexicon.terms_at(v.lemma, v.low, i)
        if not m.term.ambiguous and (v.pos[m.end - 1] in ("NOUN", "PROPN") or m.end - m.start > 1)
    ]
    return max(found, key=lambda m: m.end) if found else None


def standing(v: View, clauses: list[Clause], i: int) -> tuple[float, float, float, float]:
    """Status probabilities of what token ``i`` names, from the clause it stands in."""
    at = clause_of(clauses, v, i)
    negative = any(v.low[k] in ("no", "neither", "without") for k in v.kids[i]) or v.low[v.head[i]] == "without"
    if at is None:
        return (0.3, 0.6, 0.05, 0.05) if negative else (0.8, 0.07, 0.06, 0.07)
    c = clauses[at]
    if negative or c.negated:
        return (0.2, 0.65, 0.05, 0.1)
    if c.relation == "condition":
        return (0.55, 0.2, 0.1, 0.15) if c.negated else (0.3, 0.25, 0.2, 0.25)
    if c.mode == "imagined":
        return (0.15, 0.4, 0.35, 0.1) if c.agent == "viewer" else (0.2, 0.6, 0.1, 0.1)
    if c.mode == "dropped":
        return (0.15, 0.75, 0.02, 0.08)
    if c.mode == "habit":
        return (0.35, 0.1, 0.05, 0.5)
    if c.mode == "question":
        return (0.4, 0.2, 0.2, 0.2)
    if c.agent == "other":
        return (0.4, 0.1, 0.05, 0.45)
    if c.mode == "state":
        return (0.7, 0.12, 0.06, 0.12)
    return (0.9, 0.04, 0.02, 0.04)


def mentions_component(doc: Doc) -> Doc:
    """spaCy component ``buildlog_mentions``: sets ``doc._.mentions``."""
    v = view_of(doc)
    lexicon = Lexicon.load()
    reading: Reading | None = doc._.reader
    if reading is None:
        doc._.mentions = from_lexicon(v, lexicon, doc._.clauses)
    else:
        doc._.mentions = from_reader(v, reading)
    return doc
