"""What is done in a chapter: its steps' verbs, what each is done to, and how telling they are."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from buildlog.outline.chapters.headings import fitness
from buildlog.outline.chapters.subjects import HEAD, NEAR_HEAD, NO_SUBJECT, Subject, short_name
from buildlog.outline.words import names_topic
from buildlog.tag.techniques import gerund

if TYPE_CHECKING:
    from buildlog.outline.steps.drafts import Draft
    from buildlog.outline.steps.phrases import Phrase
    from buildlog.tag.lexicon import Lexicon
    from buildlog.tag.view import View

_DULL = frozenset(
    "put get do make use go let leave set take have keep add be place start bring turn give try lay hold run work "
    "pull push drop repeat wait check stop come see can want need find want pick move change end show".split()
)
# Small acts that seldom are what a chapter is about.
_SMALL = frozenset(
    "lift flip hit tap poke shove stand stick snip loosen space pop tuck slide open close feed swing knock grab catch "
    "pinch nip slip rub wet lengthen overlap wipe tip apply peel pack nest shuffle needle scratch handle step ease "
    "round pass spread".split()
)


@dataclass(slots=True)
class Act:
    """``verb`` (with what belongs to it, "slip stitch", "turn over"), how telling it is, and what it is done to:
    lemma to times; ``near`` is what is spoken of where nothing is said to be worked on."""

    verb: str
    plain: str
    weight: float = 0.0
    times: int = 0
    technique: bool = False
    dull: bool = False
    doubled: bool = False
    things: Counter[str] = field(default_factory=Counter)
    near: Counter[str] = field(default_factory=Counter)


def find_acts(
    v: View, lexicon: Lexicon, stretches: Sequence[tuple[int, int, Sequence[Draft]]], subjects: Sequence[dict[str, Subject]]
) -> list[list[Act]]:  # fmt: skip
    """For every stretch (tokens start, end, the steps told in it) its acts, the most telling first."""
    out = [_acts(v, lexicon, drafts, found) for (_, _, drafts), found in zip(stretches, subjects, strict=True)]
    for (start, end, _), acts in zip(stretches, out, strict=True):
        said = heading(v, lexicon, start, end)
        at: dict[str, list[int]] = {}
        for i in range(start, end):
            if v.pos[i] == "VERB":
                at.setdefault(v.lemma[i].lower(), []).append(i - start)
        for a in acts:
            places = at.get(a.plain, [])
            first = min(places, default=99)
            a.doubled |= any(v.low[start + i].startswith(a.plain + a.plain[-1]) for i in places)
            a.weight = fitness("V", a.plain) + 1.4 * math.log(max(a.times, len(places))) + 0.65 * a.technique
            a.weight += (
                0.75 * (first < HEAD) + 0.45 * (first < NEAR_HEAD) + 1.5 * (said == a.plain) + 0.8 * (" " in a.verb)
            )
            a.weight -= 3.0 * a.dull + 1.2 * (a.plain in _SMALL)
        acts.sort(key=lambda a: -a.weight)
    return out


def _acts(v: View, lexicon: Lexicon, drafts: Sequence[Draft], subjects: dict[str, Subject]) -> list[Act]:
    best: dict[str, Act] = {}
    for d in drafts:
        for i in range(d.start, d.end):
            if (s := subjects.get(v.lemma[i].lower())) is not None:
                s.in_step = True
    for d in drafts:
        for p in d.phrases:
            if (p.words and p.words[0] == "don't") or p.same:
                continue
            if p.verb not in lexicon.making_verbs and lexicon.classify(p.verb)[0] in ("material", "piece", "product"):
                continue  # "oak, off an old barrel"
            verb = " ".join(_verb_words(p.words, p.verb))
            known = any(lexicon.technique_for_verb(x) is not None for x in (verb, p.verb))
            dull = p.verb in _DULL or not (known or p.verb in lexicon.making_verbs)
            act = best.setdefault(verb, Act(verb, p.verb, technique=known, dull=dull))
            act.times += 1
            worked = _worked_on(v, p, d, subjects)
            for lemma in worked:
                act.things[lemma] += 1
            if not worked:
                act.near.update(_spoken_before(v, p, d, subjects))
    return list(best.values())


def _worked_on(v: View, p: Phrase, d: Draft, subjects: dict[str, Subject]) -> list[str]:
    """Lemmas of what the phrase says it is done to; those named outside the stretch ("it") are added to ``subjects``."""
    low = p.text.lower().split()
    at = low.index(p.verb) if p.verb in low else 0
    before = next((i for i in range(at + 1, len(low)) if low[i] in _INTO), len(low))
    objects = set(low[at + 1 : before])
    out = []
    for t in p.things:
        word, lemma = t.name.rsplit(" ", 1)[-1].lower(), v.lemma[t.head].lower()
        if word not in objects or not _can_be_worked(p.verb, word, lemma):
            continue
        if lemma not in subjects and t.kind in _PARTS:
            subjects[lemma] = Subject(short_name(v, t.head, bare=True), t.kind, fitness("N", lemma), 1)
        if lemma in subjects:
            out.append(lemma)
    if not out:
        heads = (i for i in range(d.start, d.end) if v.low[i] in objects and v.pos[i] == "NOUN")
        out = [x for i in heads if (x := v.lemma[i].lower()) in subjects and _can_be_worked(p.verb, v.low[i], x)][:1]
    if not out:
        out = [x for x in low[at + 1 : before] if x in _ENDS][:1]
        for x in out:
            subjects.setdefault(x, Subject(x, "place", _END_WEIGHT, 1))
    return [x for x in out if subjects[x].kind not in ("tool", "reference")]


def _can_be_worked(verb: str, word: str, lemma: str) -> bool:
    """Whether "-ing the <word>" can be said of the verb: not "oiling the oil", "priming the primer"."""
    if word in NO_SUBJECT or lemma in NO_SUBJECT:
        return False
    root = verb.removesuffix("e")
    return not (lemma.startswith(root) or root.startswith(lemma))


# Parts of things that only a verb makes telling: "oiling the top".
_ENDS = frozenset("top bottom back front side sides end ends inside outside underside lines middle face".split())
_END_WEIGHT = -0.5
_PARTS = frozenset(["piece", "product", "material", "pattern"])


def _spoken_before(v: View, p: Phrase, d: Draft, subjects: dict[str, Subject]) -> set[str]:
    """Lemmas of what the stretch is about, as far as the step's words or those just before name it."""
    span = [i for i in range(max(0, d.start - _BACK), d.end) if v.dep[i] != "pobj" or v.low[v.head[i]] not in _BY]
    around = {v.lemma[i].lower() for i in span if _can_be_worked(p.verb, v.low[i], v.lemma[i].lower())}
    return {x for x in around if (s := subjects.get(x)) is not None and s.central}


_BACK = 40  # tokens
_BY = frozenset("with on in at like by onto using".split())
_INTO = frozenset("with from to into onto on at for by through until till as so using in over under around".split())


def heading(v: View, lexicon: Lexicon, start: int, end: int) -> str | None:
    """The verb of a heading that names the work: "Now piercing.", "okay joining up.", "Glue up."."""
    for s in range(v.sent_of[start], min(v.sent_of[start] + 2, len(v.sents))):
        a, b = max(start, v.sents[s][0]), v.sents[s][1]
        if a >= end or not names_topic(v, a, b):
            continue
        for i in range(a, b):
            low = v.low[i]
            if (
                low.endswith("ing")
                and low not in ("evening", "morning")
                and lexicon.classify(low)[0] not in ("material", "piece", "product")
            ):
                for stem in (low[:-3], low[:-3] + "e", low[:-4] if low[-4:-3] == low[-5:-4] else low[:-3]):
                    if stem in lexicon.making_verbs:
                        return stem
            elif i == a and low in lexicon.making_verbs and i + 1 < b and v.low[i + 1] in ("up", "in", "off", "out"):
                return low
    return None


def _verb_words(words: Sequence[str], verb: str) -> list[str]:
    """The verb with what belongs to it in front ("slip stitch")."""
    out: list[str] = []
    for w in words[:3]:
        out.append(w)
        if w == verb:
            return out
    return [verb]


def ing(verb: str, *, doubled: bool = False) -> str:
    """ "slip stitch" -> "Slip stitching"; "recut" -> "Recutting"; ``doubled`` where the maker says "bevelled"."""
    before, _, last = verb.rpartition(" ")
    root = next((last[len(x) :] for x in ("under", "over", "re", "un", "de") if last.startswith(x)), last)
    root = root if len(root) > 2 else last
    doubles = len(last) > 4 and last[-1] in "bdgmnpt" and last[-2] in "aiou" and last[-3] not in "aeiou"
    one = sum(c in "aeiouy" for c in root) == 1
    word = last + last[-1] + "ing" if (doubles and one) or doubled else gerund(last, "")
    text = f"{before} {word}" if before else word
    return text[:1].upper() + text[1:]
