"""Titles: short, specific, alike in form: what is being done, to what.

"Quilting the pocket panel": the work that the chapter's steps share, as a gerund, and what it is done to.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from buildlog.outline.chapters.signals import is_outro
from buildlog.outline.steps.tables import PARTICLES, WHERE
from buildlog.outline.steps.things import NEVER, name_of
from buildlog.outline.words import names_topic
from buildlog.tag.techniques import gerund

if TYPE_CHECKING:
    from spacy.tokens import Doc

    from buildlog.outline.steps.drafts import Draft
    from buildlog.outline.steps.things import Thing
    from buildlog.tag.lexicon import Lexicon
    from buildlog.tag.view import View

LONGEST = 59
_DULL = frozenset(
    "put get do make use go let leave set take have keep add be place start bring turn give try lay hold run work "
    "pull push drop repeat wait check stop come see".split()
)
# Small acts that seldom are what a chapter is about.
_SMALL_ACT = frozenset(
    "lift flip hit tap poke shove stand stick snip bend loosen space pop tuck slide open close feed swing knock flatten "
    "draw take wrap clip fold press mark pinch nip slip rub wet lengthen overlap".split()
)
_MAKEABLE = frozenset(["piece", "product"])
_PLACES = frozenset("edge edges seam seams corner corners hem joint joints holes grooves".split())
_NOUNS = frozenset(["piece", "product", "material", "pattern"])
STRONG = 2.0  # a noun that says what the chapter is about
_FITTING = frozenset("put add place set attach".split())


def title(
    doc: Doc,
    v: View,
    lexicon: Lexicon,
    drafts: Sequence[Draft],
    start: int,
    end: int,
    *,
    first: bool,
    last: bool,
    taken: set[str],
) -> str:
    """The title of the chapter of tokens ``start`` to ``end``; ``taken`` are the titles before it."""
    if first and not drafts:
        return "Intro"
    if last and (not drafts or _takes_leave(v, start, end, drafts)):
        return "Wrapping up"
    for text in _candidates(doc, v, lexicon, drafts, start, end):
        text = _fit(text)
        if text and text.lower() not in taken:
            return text
    n = 2
    base = _fit(next(iter(_candidates(doc, v, lexicon, drafts, start, end)), "") or "More of the work")
    while f"{base}, part {n}".lower() in taken:
        n += 1
    return base if base.lower() not in taken else f"{base}, part {n}"


def _takes_leave(v: View, start: int, end: int, drafts: Sequence[Draft]) -> bool:
    """Whether the stretch is there to sum up and say goodbye, with no more than a step or two told before that."""
    at = next((a for a, b in v.sents if start <= a < end and is_outro(v, a, b)), None)
    return at is not None and sum(d.at < at for d in drafts) < 3


def _candidates(doc: Doc, v: View, lexicon: Lexicon, drafts: Sequence[Draft], start: int, end: int) -> list[str]:
    """Titles to try, the likeliest first."""
    topic = _topic(v, lexicon, start, end)
    out: list[str] = []
    if drafts:
        acts = _acts(v, lexicon, drafts, start, end)
        nouns = _nouns(v, acts, start, end, topic)
        work = _work(v, lexicon, start, end)
        if work is not None:
            done_to = topic or next((a.thing for a in acts if a.verb == work and a.thing), "")
            out.append(_phrase(work, done_to) if done_to else _gerund(work))
        best = [a for a in acts if not a.dull]
        for noun in nouns:
            mine = [a for a in best if a.thing == noun]
            if len(mine) > 1 and mine[1].weight > SECOND:
                out.append(_phrase(f"{_gerund(mine[0].verb)} and {_gerund(mine[1].verb).lower()}", noun))
            if mine:
                out.append(_phrase(_gerund(mine[0].verb), noun))
            elif any(a.thing == noun and a.verb in _FITTING for a in acts):
                out.append(_phrase("Fitting", noun))
            elif any(a.thing == noun and a.verb in ("make", "build") for a in acts):
                out.append(_phrase("Making", noun))
        about = _spoken_of(v, lexicon, start, end)
        if len(best) == 1 and about and not best[0].thing:
            out.insert(0, _phrase(best[0].verb, about))
        if len(best) > 1:
            out.append(f"{_gerund(best[0].verb)} and {_gerund(best[1].verb).lower()}")
        made = topic is not None and lexicon.classify(topic.split()[-1])[0] in ("piece", "product", "pattern")
        out += [f"Making the {topic}"] if made else []
        out += [_gerund(a.verb) for a in best]
        out += [_phrase("Fitting" if a.verb in _FITTING else _gerund(a.verb), a.thing) for a in acts if a.thing]
        return [*out, *([f"Working on the {about}"] if about else []), "Putting it together"]
    items: Counter[str] = Counter()
    for g in doc._.items or []:
        if g.kind in ("material", "pattern") and g.status in ("used", "considered"):
            items[g.name] += sum(start <= m.start < end for m in g.mentions)
    named = [name for name, count in items.most_common(4) if count]
    if topic:
        out.append(f"Choosing the {topic}" if named else f"The {topic}")
    if len(named) > 3:
        out += ["Choosing the materials", "Listing the materials"]
    out += [f"Choosing the {_lower(name)}" for name in named]
    return [
        *out,
        *(f"A closer look at the {thing.split()[-1]}" for thing in _said_most(v, start, end)),
        "Some background",
    ]


def _spoken_of(v: View, lexicon: Lexicon, start: int, end: int) -> str:
    """The part of the build that the stretch speaks of again and again, or ""."""
    heads = [i for i in range(start, end) if v.pos[i] == "NOUN" and v.dep[i] != "compound"]
    spoken = Counter(v.lemma[i] for i in heads)
    for lemma, count in spoken.most_common(4):
        if count >= OFTEN and lexicon.classify(lemma)[0] in _MAKEABLE:
            return next(v.low[i] for i in heads if v.lemma[i] == lemma)
    return ""


OFTEN = 3
SECOND = 1.6  # a second verb is worth naming beside the first


@dataclass(slots=True)
class _Act:
    """One action of a chapter: its verb, what it is done to ("" where that is in doubt), how telling it is."""

    verb: str
    thing: str
    lemma: str
    kind: str | None
    weight: float
    dull: bool


def _acts(v: View, lexicon: Lexicon, drafts: Sequence[Draft], start: int, end: int) -> list[_Act]:
    """The chapter's actions, the most telling first, each verb and thing once."""
    verbs = Counter(p.verb for d in drafts for p in d.phrases)
    spoken = Counter(v.lemma[i] for i in range(start, end) if v.pos[i] in ("NOUN", "PROPN"))
    best: dict[tuple[str, str], _Act] = {}
    for d in drafts:
        for p in d.phrases:
            if (p.words and p.words[0] == "don't") or p.same:
                continue
            if p.verb not in lexicon.making_verbs and lexicon.classify(p.verb)[0] == "material":
                continue  # "oak, off an old barrel"
            verb = " ".join(_verb_words(p.words, p.verb))
            known = lexicon.technique_for_verb(verb) is not None or lexicon.technique_for_verb(p.verb) is not None
            dull = p.verb in _DULL
            weight = 0.2 if dull else 0.5 if p.verb in _SMALL_ACT else 1.8 if known else 1.0
            weight += 0.4 * min(3, verbs[p.verb]) + 0.6 * (" " in verb)
            thing = next(
                (t for t in p.things if _nameable(t, p.start, spoken[v.lemma[t.head]]) and _said(t.name, p.text)), None
            )
            if thing is not None and (len(thing.name.split()) > 3 or set(thing.name.split()) & set(verb.split())):
                thing = None
            name = thing.name if thing else _said_object(p.words, p.verb, lexicon)
            key = (verb, name)
            if key not in best or best[key].weight < weight:
                lemma = v.lemma[thing.head] if thing else name.rsplit(" ", 1)[-1]
                kind = thing.kind if thing else lexicon.classify(lemma)[0] if name else None
                best[key] = _Act(verb, name, lemma, kind, weight, dull)
    return sorted(best.values(), key=lambda a: -a.weight)


def _said_object(words: Sequence[str], verb: str, lexicon: Lexicon) -> str:
    """What the step itself says it is done to, in one or two words without number or praise; "" where that is unclear."""
    low = [w.lower() for w in words]
    at = low.index(verb) + 1 if verb in low else 1
    if verb in _DULL or verb in _SMALL_ACT:
        return ""
    while at < len(low) and low[at] in ("up", "out", "off", "down", "apart"):
        at += 1
    if at >= len(low) or low[at] not in ("the", "a", "an", "each", "every", "both", "all", "your"):
        return ""
    end = at + 1
    while end < len(low) and low[end].isalpha() and low[end] not in _ENDS:
        end += 1
    name = [w for w in low[at + 1 : end] if w not in _NUMBERED]
    if not 1 <= len(name) <= 2 or name[-1] in NEVER or name[-1] in _NO_PART:
        return ""
    kind = lexicon.classify(_singular(name[-1]), name[:-1])[0]
    return " ".join(name) if kind in _OBJECTS else ""


def _singular(word: str) -> str:
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


_OBJECTS = frozenset(["piece", "product", "material", "pattern", "count", "container"])
_NO_PART = frozenset("piece pieces coat coats hole holes handful row rows bead dab tail tails ends knot".split())
_NUMBERED = frozenset("two three four five six seven eight nine ten twelve whole other last first second".split())
_ENDS = (
    PARTICLES
    | WHERE
    | frozenset(
        "and or but with to from at for of by as so until till where when once that which till about again twice first "
        "flat flush open closed tight loose smooth square together all both every each the a an it them clockwise".split()
    )
)


def _nameable(t: Thing, start: int, times: int) -> bool:
    """Whether a title may name it: a part, a material, or a plain thing that the action itself names."""
    if t.name in NEVER:
        return False
    if t.kind is None and t.head >= start:
        return times > 1
    return t.kind in _NOUNS or t.name.rsplit(" ", 1)[-1] in _PLACES


def _said(name: str, text: str) -> bool:
    return name.rsplit(" ", 1)[-1] in text.lower().split()


def _nouns(v: View, acts: Sequence[_Act], start: int, end: int, topic: str | None) -> list[str]:
    """What the chapter is about, as far as its actions and its talk agree on it, the surest first."""
    spoken = Counter(v.lemma[i] for i in range(start, end) if v.pos[i] in ("NOUN", "PROPN"))
    weight: dict[str, float] = {}
    for a in acts:
        if a.thing:
            at_first = weight.get(a.thing, min(4, spoken[a.lemma]) + 1.5 * (a.kind in _MAKEABLE))
            at_first += 2.0 * (topic is not None and topic.split()[-1] in a.thing.split()) * (a.thing not in weight)
            weight[a.thing] = at_first + (0.3 if a.dull else 1.0)
    return [n for n, w in sorted(weight.items(), key=lambda x: -x[1]) if w >= STRONG]


def _said_most(v: View, start: int, end: int) -> list[str]:
    """Things that the stretch names more than once, the commonest first; a thing opening it counts twice."""
    said: Counter[str] = Counter()
    for i in range(start, end):
        if v.pos[i] == "NOUN" and v.tag[i] != "VBG" and v.low[i] not in NEVER and v.dep[i] != "compound":
            said[name_of(v, i)] += 2 if i < start + 12 else 1
    return [name for name, count in said.most_common(4) if count > 1 and len(name.split()) < 4]


def _verb_words(words: Sequence[str], verb: str) -> list[str]:
    """The verb with what belongs to it in front ("slip stitch") and its particle behind ("turn over")."""
    out: list[str] = []
    for w in words[:3]:
        out.append(w)
        if w == verb:
            return out
    return [verb]


def _phrase(work: str, thing: str) -> str:
    work = work if work.endswith("ing") else _gerund(work)
    return f"{work} {thing}" if _no_article(thing) else f"{work} the {thing}"


def _lower(name: str) -> str:
    return name if name.isupper() else name[:1].lower() + name[1:]


def _work(v: View, lexicon: Lexicon, start: int, end: int) -> str | None:
    """The verb of a heading that names the work: "Now piercing.", "okay joining up.", "Glue up."."""
    for s in range(v.sent_of[start], min(v.sent_of[start] + 2, len(v.sents))):
        a, b = v.sents[s]
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


def _gerund(verb: str) -> str:
    before, _, last = verb.rpartition(" ")
    doubled = len(last) > 4 and last[-1] in "bdgmnpt" and last[-2] in "aiou" and last[-3] not in "aeiou"
    one = sum(c in "aeiouy" for c in last) == 1
    word = last + last[-1] + "ing" if doubled and one else gerund(last, last)
    text = f"{before} {word}" if before else word
    return text[:1].upper() + text[1:]


def _no_article(thing: str) -> bool:
    return thing.split(" ", 1)[0] in ("each", "every", "both", "all", "one", "half")


def _topic(v: View, lexicon: Lexicon, start: int, end: int) -> str | None:
    """What the chapter's first sentence names as its subject ("So the lid.", "Let's do the neck", "For the covers I
    …")."""
    for s in range(v.sent_of[start], min(v.sent_of[start] + 2, len(v.sents))):
        a, b = v.sents[s]
        if a >= end:
            break
        if names_topic(v, a, b):
            head = next((i for i in range(b - 1, a - 1, -1) if v.pos[i] in ("NOUN", "PROPN")), None)
            if head is not None and v.dep[head] != "compound" and not v.low[head].endswith("ing"):
                kind, _ = lexicon.classify(v.lemma[head], [])
                if kind not in ("abstract", "person", "place"):
                    return name_of(v, head)
    return None


def _fit(text: str) -> str:
    text = " ".join(text.replace("<", "").replace(">", "").split())
    if len(text) <= LONGEST:
        return text
    words = text.split()
    while words and len(" ".join(words)) > LONGEST:
        words.pop()
    while words and words[-1].lower() in ("the", "of", "a", "and", "with", "for", "to"):
        words.pop()
    return " ".join(words)
