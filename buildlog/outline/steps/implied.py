"""A step that nobody told, implied by what was done once it was done: "Once the pieces were out of the board, …"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildlog.outline.steps.drafts import Draft
from buildlog.outline.steps.ordering import stems
from buildlog.outline.steps.phrases import Phrase
from buildlog.outline.steps.tables import NOUN_VERB
from buildlog.outline.steps.things import NEVER, name_of
from buildlog.outline.words import plain_verb, sentence

if TYPE_CHECKING:
    from buildlog.tag.clauses import Clause
    from buildlog.tag.lexicon import Lexicon
    from buildlog.tag.view import View

_AFTER = frozenset(["once", "when", "after"])
_STATES = frozenset("out off on in together".split())
_COATS = frozenset("coat layer primer undercoat".split())
# What happens by itself, or says only that work ended.
_BY_ITSELF = frozenset(
    "dry cure set cool soak do finish go be happen harden settle rise get leave start begin arrive".split()
)
_CUT_OUT = frozenset("piece part blank shape panel".split())
SURE = 0.4  # nobody said it


def implied(v: View, clauses: list[Clause], drafts: list[Draft], lexicon: Lexicon) -> Draft | None:
    """The first doing that is only told as over, of a thing that no step in front of it speaks of; at most one."""
    for c in clauses:
        words = _words(v, c, lexicon)
        if words is None or c.subj is None or not drafts:
            continue
        head = stems(v.low[c.subj])
        end = v.right[c.verb] + 1
        start = min(v.left[c.verb], c.subj)
        before = (d for d in drafts if d.at < start)
        if any(head & stems(d.text if d.end <= start else v.words(d.start, start)) for d in before):
            continue
        p = Phrase(words, words[0], start, sure=SURE, inferred=True)
        return Draft(sentence(words), start, max(end, start + 1), start, [p], SURE, inferred=True)
    return None


def _words(v: View, c: Clause, lexicon: Lexicon) -> list[str] | None:
    """The doing as an order, or ``None`` where the clause tells nothing as over."""
    s = c.subj
    if s is None or not c.own_subject or s > c.verb or v.pos[s] != "NOUN" or c.negated:
        return None
    opens = next((v.low[k] for k in v.kids[c.verb] if v.dep[k] in ("mark", "advmod") and k < s), "")
    if opens not in _AFTER or c.mode in ("imagined", "habit", "question") or v.low[s] in NEVER:
        return None
    lemma = v.lemma[s]
    kind = lexicon.classify(v.lemma[s])[0]
    if kind in ("person", "abstract", "place") and lemma not in NOUN_VERB:
        return None
    whole = v.pos[v.left[s]] == "DET" and s - v.left[s] < 4
    thing = ["the", *(v.low[v.left[s] + 1 : s + 1] if whole else name_of(v, s).split())]
    verb = plain_verb(v.low[c.verb], v.lemma[c.verb], lexicon.making_verbs)
    if c.passive and verb in lexicon.making_verbs and verb not in _BY_ITSELF and verb != "make":
        behind = [v.low[k] for k in v.kids[c.verb] if v.dep[k] == "prt"]
        return [verb, *thing, *behind]
    if v.lemma[c.verb] not in ("be", "'s"):
        return None
    after = next((k for k in range(c.verb + 1, min(c.verb + 3, len(v.low))) if v.low[k] in _STATES), None)
    if after is None or any(v.low[k] not in ("all", "both", "finally") for k in range(c.verb + 1, after)):
        return None
    low = v.low[after]
    if low in ("in", "on") and after + 1 < len(v.low) and v.pos[after + 1] in ("DET", "NOUN", "ADJ", "NUM"):
        return None  # "once the pot was on the stove": where it is
    if low == "out":
        if v.low[after + 1 : after + 2] != ["of"]:
            return ["take", *thing, "out"]
        of = next((g for g in range(after + 2, min(after + 6, len(v.low))) if v.pos[g] == "NOUN"), None)
        if of is None:
            return None
        stuff = lexicon.classify(v.lemma[of])[0] == "material" or lemma in _CUT_OUT
        return ["cut" if stuff else "take", *thing, "out", "of", "the", *name_of(v, of).split()]
    if low == "in" and lemma in NOUN_VERB:
        first, *behind = NOUN_VERB[lemma].split()
        return [first, *thing, *behind]
    if low == "on" and lemma in _COATS:
        return ["apply", *thing]
    return ["take" if low == "off" else "put", *thing, low]


__all__ = ["implied"]
