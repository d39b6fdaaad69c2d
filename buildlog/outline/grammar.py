"""Whether a sentence reads as a step: our own check on what is written, by a parse of its own.

A step's sentence begins with a bare verb (or "don't"), says nothing in the first person, tells nothing in the past
at its
root, and every "it" and "them" has something in front of it to stand for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from buildlog.outline.words import FIRST_PERSON, HEDGES
from buildlog.tag.language import english
from buildlog.tag.lexicon import Lexicon, spelling

_LEAD = frozenset("never always gently lightly carefully evenly firmly slowly loosely tightly roughly neatly".split())
_STANDING = frozenset("it them they these those this that".split())


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a sentence, in words."""

    text: str
    why: str


def check(sentences: Sequence[str]) -> list[Fault]:
    """The faults of step sentences, at most one each; an empty list is all well."""
    lexicon = Lexicon.load()
    out: list[Fault] = []
    for text, doc in zip(sentences, english().pipe(sentences), strict=True):
        why = _fault(text, doc, lexicon)
        if why is not None:
            out.append(Fault(text, why))
    return out


def _fault(text: str, doc: object, lexicon: Lexicon) -> str | None:
    tokens = list(doc)  # type: ignore[call-overload]
    words = [t for t in tokens if not t.is_punct and not t.is_space]
    if not words:
        return "empty"
    if not text[:1].isupper() and not text[:1].isdigit():
        return "no capital at the start"
    if not text.endswith("."):
        return "no full stop"
    low = [t.lower_ for t in words]
    if any(w in FIRST_PERSON for w in low):
        return "first person"
    at = 0
    if low[:2] in (["do", "n't"], ["do", "not"]):
        at = 2
    while at < len(words) - 1 and (low[at] in _LEAD or (low[at].endswith("ly") and words[at].pos_ == "ADV")):
        at += 1
    first = words[at]
    bare = (
        low[at] in lexicon.making_verbs
        or spelling(low[at]) in lexicon.making_verbs
        or low[at] in ("do", "make", "repeat")
        or first.tag_ in ("VB", "VBP")
        or (first.lemma_.lower() == low[at] and first.pos_ == "VERB")
    )
    compound = (
        at + 1 < len(words)
        and (low[at + 1] in lexicon.making_verbs)
        and first.pos_ in ("NOUN", "ADJ", "ADV", "VERB", "PROPN")
    )
    if not bare and not compound:
        return "does not begin with a bare verb"
    if first.tag_ in ("VBD", "VBZ") and low[at] not in lexicon.making_verbs:
        return "past or third person at the root"
    if len(words) - at < 2:
        return "a verb alone"
    named = low[at : at + 3] == ["do", "the", "same"]
    for t in words[at + 1 :]:
        if t.lower_ in _STANDING and t.pos_ in ("PRON", "DET") and t.dep_ in ("dobj", "pobj", "dative") and not named:
            return "a pronoun with nothing to stand for"
        named = named or t.pos_ in ("NOUN", "PROPN", "NUM", "ADJ")
    if low[-1] in ("the", "a", "an", "and", "or", "but", "because", "so", "which", "your", "of", "to") or (
        low[-1] in HEDGES and low[-1] in ("so", "well", "okay")
    ):
        return "broken off"
    return None
