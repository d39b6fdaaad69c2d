"""What a chapter is about: the things that its stretch of talk names and works on, more than the others do."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from buildlog.outline.chapters.headings import fitness
from buildlog.outline.steps.things import NEVER, UNITS, name_of
from buildlog.outline.words import names_topic

if TYPE_CHECKING:
    from buildlog.tag.items import Gathered
    from buildlog.tag.lexicon import Lexicon
    from buildlog.tag.view import View

# What a thing's kind says for or against naming a chapter by it, like the other weights here from a logistic regression
# over chapters of the training narrations. People, counts of things and notions name none.
_KINDS: dict[str | None, float] = {
    "product": 0.0, "piece": 0.5, "pattern": 0.4, "material": 0.2, "container": 0.0, "count": -0.3, "place": -0.3,
    None: -0.3, "tool": -0.8, "reference": -0.8,
}  # fmt: skip
_PARTS = frozenset(["piece", "product", "material", "pattern", "container"])
CENTRAL, CENTRAL_ASIDE = 1.4, 2.6  # log odds, where the steps name it and where only the talk around them does
HEAD, NEAR_HEAD = 15, 40  # tokens at the head of a stretch, where it is said what comes
# Words for amounts and scraps of things, which leave open what the thing is.
NO_SUBJECT = NEVER | frozenset(
    "piece pieces coat coats handful row rows bead dab tail tails ear ears stuff job pass letter mark marks line lines "
    "end ends go half set number list part parts other others area level spot bits number scrap scraps couple "
    "few ground shut cut shop store market hall".split()
)


@dataclass(slots=True)
class Subject:
    """A thing named in a stretch: ``name`` without article, its ``kind``, how likely the title has it (log odds, 0 for an
    ordinary thing named once)."""

    name: str
    kind: str | None
    weight: float = 0.0
    times: int = 0
    first: int = 0
    topic: bool = False
    worked_on: bool = False
    in_step: bool = False
    names: Counter[str] = field(default_factory=Counter)
    full: Counter[str] = field(default_factory=Counter)

    @property
    def central(self) -> bool:
        """Whether the work is on it: a part or material that weighs much."""
        told = self.topic or self.times > 1 or (self.worked_on and self.kind != "product")
        least = CENTRAL if self.in_step or self.topic else CENTRAL_ASIDE
        return told and self.weight >= least and self.kind in _PARTS


def find_subjects(
    v: View, lexicon: Lexicon, items: Sequence[Gathered], edges: Sequence[int]
) -> list[dict[str, Subject]]:
    """For every stretch between neighbouring ``edges`` (tokens): its things by lemma."""
    kinds: dict[int, str] = {m.end - 1: g.kind for g in items for m in g.mentions}
    return [_named(v, lexicon, kinds, a, b) for a, b in itertools.pairwise(edges)]


def _named(v: View, lexicon: Lexicon, kinds: dict[int, str], start: int, end: int) -> dict[str, Subject]:
    out: dict[str, Subject] = {}
    heads = _topics(v, start, end)
    for i in range(start, end):
        if v.pos[i] not in ("NOUN", "PROPN") or v.dep[i] == "compound" or v.tag[i] == "VBG":
            continue
        low, lemma = v.low[i], v.lemma[i].lower()
        if low in NO_SUBJECT or lemma in NO_SUBJECT or len(low) < 3 or not low.isalpha():
            continue
        if i + 1 < len(v.low) and any(m.end > i + 1 for m in lexicon.technique_terms_at(v.lemma, v.low, i)):
            continue  # the "saddle" of "saddle stitch it"
        mods = [v.lemma[k] for k in v.kids[i] if k < i and v.dep[k] in ("compound", "amod")]
        kind = kinds.get(i) or lexicon.classify(v.lemma[i], mods)[0]
        if kind not in _KINDS:
            continue
        if kind != "material" and _in_passing(v, i, kind):
            continue
        s = out.setdefault(lemma, Subject(low, kind, first=i - start))
        s.times += 1
        s.topic |= i in heads
        s.worked_on |= v.dep[i] in ("dobj", "nsubjpass")
        s.names[short_name(v, i, bare=True)] += 1
        s.full[short_name(v, i)] += 1
        if s.kind is None:
            s.kind = kind
    for lemma, s in out.items():
        s.name = _usual(s.names, s.full)
        s.weight = fitness("N", lemma) + _KINDS[s.kind] + 1.35 * math.log(s.times) + 0.8 * s.topic + 0.4 * s.worked_on
        s.weight += 1.2 * (s.first < HEAD) + 0.6 * (s.first < NEAR_HEAD)
    return out


def _in_passing(v: View, i: int, kind: str | None) -> bool:
    """Whether a thing is only worked with ("cut it with a new blade"), or compared or fetched from ("like curtains")."""
    if v.dep[i] != "pobj":
        return False
    link = v.low[v.head[i]]
    return link in ("with", "like", "than", "using") or (kind == "product" and link in ("from", "at", "as", "in"))


def short_name(v: View, head: int, *, bare: bool = False) -> str:
    """The thing of token ``head`` in one or two words: "watercolour paper", not "hot pressed watercolour paper".

    ``bare`` leaves adjectives out: "hem", not "rolled hem".
    """
    words = [w for w in name_of(v, head).split(" of the ")[0].split() if w.replace("-", "").isalpha()]
    if len(words) > 1 and (
        words[-2] in UNITS
        or words[-2] in NEVER
        or v.pos[head - 1] == "VERB"
        or (bare and v.pos[head - 1] not in ("NOUN", "PROPN"))
    ):
        words = words[-1:]
    words = words[-2:] or [v.low[head]]
    if words[-1] == v.low[head] and any(c.isupper() for c in v.text[head][1:]):
        words[-1] = v.text[head]  # "LEDs"
    return " ".join(words)


def _usual(names: Counter[str], full: Counter[str]) -> str:
    """The name that most mentions share; with an adjective where it is said again and again."""
    name = max(names, key=lambda n: (names[n] + 0.6 * (" " in n), -len(n)))
    telling = max(full, key=lambda n: full[n])
    return telling if full[telling] > 1 and 2 * full[telling] >= sum(names.values()) else name


def _topics(v: View, start: int, end: int) -> set[int]:
    """Nouns in a first sentence that only names what comes: "So the lid.", "Okay, webbing."."""
    out: set[int] = set()
    for s in range(v.sent_of[start], min(v.sent_of[start] + 2, len(v.sents))):
        a, b = max(start, v.sents[s][0]), v.sents[s][1]
        if a < end and names_topic(v, a, b):
            out |= {i for i in range(a, b) if v.pos[i] in ("NOUN", "PROPN")}
    return out
