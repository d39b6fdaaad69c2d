"""Titles: short, specific, alike in form: what is being done, to what.

"Quilting the pocket panel": the work that the chapter's steps share, as a gerund, and what it is done to.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildlog.outline.chapters.signals import is_outro
from buildlog.outline.steps.things import NEVER, name_of
from buildlog.outline.words import names_topic
from buildlog.tag.techniques import gerund

if TYPE_CHECKING:
    from spacy.tokens import Doc

    from buildlog.outline.steps.drafts import Draft
    from buildlog.tag.lexicon import Lexicon
    from buildlog.tag.view import View

LONGEST = 59
_DULL = frozenset(
    "put get do make use go let leave set take have keep add be place start bring turn give try lay hold run work "
    "pull push drop".split()
)

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
    if last and (not drafts or _takes_leave(v, start, end)):
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


def _takes_leave(v: View, start: int, end: int) -> bool:
    return any(is_outro(v, a, b) for a, b in v.sents if start <= a < end)


def _candidates(doc: Doc, v: View, lexicon: Lexicon, drafts: Sequence[Draft], start: int, end: int) -> list[str]:
    """Titles to try, the likeliest first."""
    topic = _topic(v, lexicon, start, end)
    out: list[str] = []
    if drafts:
        work = _work(v, lexicon, start, end)
        pairs = _pairs(v, lexicon, drafts, start, end, topic)
        if work is not None:
            thing = topic or (pairs[0][2] if pairs else "")
            out.append(_phrase(work, thing) if thing else _gerund(work))
        made = topic is not None and lexicon.classify(topic.split()[-1])[0] not in ("material", "tool")
        spare = topic or next((thing for _, _, thing in pairs if thing), "") or _piece(v, lexicon, start, end)
        for _, verb, thing in pairs:
            if verb in _DULL:
                out += [f"Making the {topic}"] if made else []
                if verb in _FITTING and thing:
                    out.append(_phrase("fit", thing))
            elif thing or spare:
                out.append(_phrase(verb, thing or spare))
        out += [f"Making the {topic}"] if made else []
        out += [_gerund(verb) for _, verb, _ in pairs if verb not in _DULL]
        out += [_phrase(verb, thing) for _, verb, thing in pairs if thing]
        said = _said_most(v, start, end)
        return [*out, *(f"Working on the {thing}" for thing in said), "Putting it together"]
    items: Counter[str] = Counter()
    for g in doc._.items or []:
        if g.kind in ("material", "pattern") and g.status in ("used", "considered"):
            items[g.name] += sum(start <= m.start < end for m in g.mentions)
    named = [name for name, count in items.most_common(4) if count]
    if topic:
        out.append(f"Choosing the {topic}" if named else f"About the {topic}")
    if len(named) > 3:
        out += ["Choosing the materials", "Listing the materials"]
    out += [f"Choosing the {_lower(name)}" for name in named]
    return [*out, *(f"About the {thing}" for thing in _said_most(v, start, end)), "A closer look", "Some background"]


def _said_most(v: View, start: int, end: int) -> list[str]:
    """Things that the stretch names more than once, the commonest first; a thing opening it counts twice."""
    said: Counter[str] = Counter()
    for i in range(start, end):
        if v.pos[i] == "NOUN" and v.tag[i] != "VBG" and v.low[i] not in NEVER and v.dep[i] != "compound":
            said[name_of(v, i)] += 2 if i < start + 12 else 1
    return [name for name, count in said.most_common(4) if count > 1 and len(name.split()) < 4]


def _piece(v: View, lexicon: Lexicon, start: int, end: int) -> str:
    """The piece or material that the chapter speaks of most, by its last word."""
    spoken = Counter(v.lemma[i] for i in range(start, end) if v.pos[i] == "NOUN")
    for lemma, count in spoken.most_common(6):
        if count > 1 and lexicon.classify(lemma)[0] in ("piece", "material", "product"):
            return lemma
    return ""


def _pairs(
    v: View, lexicon: Lexicon, drafts: Sequence[Draft], start: int, end: int, topic: str | None
) -> list[tuple[float, str, str]]:
    """(weight, verb, thing) of the chapter's actions, weightiest first.

    Weight: a verb that shows a technique, a verb said again, a thing that the whole chapter speaks of.
    """
    verbs = Counter(p.verb for d in drafts for p in d.phrases)
    spoken = Counter(v.lemma[i] for i in range(start, end) if v.pos[i] in ("NOUN", "PROPN"))
    best: dict[tuple[str, str], float] = {}
    for d in drafts:
        for p in d.phrases:
            if (p.words and p.words[0] == "don't") or p.same:
                continue
            known = lexicon.technique_for_verb(p.verb) is not None
            weight = (0.2 if p.verb in _DULL else 1.8 if known else 1.0) + 0.4 * min(3, verbs[p.verb])
            thing = ""
            for t in p.things:
                if t.kind in ("tool", "reference", "person", "count", "abstract") or len(t.name.split()) > 4:
                    continue
                thing = t.name
                weight += 0.5 * min(4, spoken[v.lemma[t.head]])
                weight += 1.0 if t.kind in ("piece", "material", "product", "pattern") else -0.6
                weight += 2.0 * (topic is not None and topic.split()[-1] in t.name.split())
                break
            key = (" ".join(_verb_words(p.words, p.verb)), thing)
            best[key] = max(best.get(key, -9.0), weight)
    return sorted(((w, verb, thing) for (verb, thing), w in best.items()), key=lambda x: -x[0])


def _verb_words(words: Sequence[str], verb: str) -> list[str]:
    """The verb with what belongs to it in front ("slip stitch") and its particle behind ("turn over")."""
    out: list[str] = []
    for w in words[:3]:
        out.append(w)
        if w == verb:
            return out
    return [verb]


def _phrase(verb: str, thing: str) -> str:
    return f"{_gerund(verb)} {thing}" if _no_article(thing) else f"{_gerund(verb)} the {thing}"


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
            if low.endswith("ing") and lexicon.classify(low)[0] not in ("material", "piece", "product"):
                for stem in (low[:-3], low[:-3] + "e", low[:-4] if low[-4:-3] == low[-5:-4] else low[:-3]):
                    if stem in lexicon.making_verbs:
                        return stem
            elif i == a and low in lexicon.making_verbs and i + 1 < b and v.low[i + 1] in ("up", "in", "off", "out"):
                return low
    return None


def _gerund(verb: str) -> str:
    before, _, last = verb.rpartition(" ")
    word = gerund(last, last)
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
