"""Titles: short, specific, alike in form: what is being done, to what.

"Quilting the pocket panel": the work that the chapter's steps share, as a gerund, and what it is done to.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildlog.outline.chapters.signals import is_outro
from buildlog.outline.steps.things import name_of
from buildlog.outline.words import names_topic
from buildlog.tag.techniques import gerund

if TYPE_CHECKING:
    from spacy.tokens import Doc

    from buildlog.outline.steps.drafts import Draft
    from buildlog.tag.lexicon import Lexicon
    from buildlog.tag.view import View

LONGEST = 59
_DULL = frozenset(
    "put get do make use go let leave set take have keep add be place start bring turn give try lay hold run work pull push drop".split()
)


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
    out: list[str] = []
    topic = _topic(v, lexicon, start, end)
    if drafts:
        verbs: Counter[str] = Counter()
        pairs: list[tuple[str, str]] = []
        for d in drafts:
            for p in d.phrases:
                if p.words and p.words[0] == "don't":
                    continue
                verb = p.verb
                known = lexicon.technique_for_verb(verb) is not None
                weight = (2 if known else 1) * (0.3 if verb in _DULL else 1.0)
                verbs[verb] += weight  # type: ignore[assignment]
                if p.things and p.things[0].kind not in ("tool", "reference", "person", "count"):
                    pairs.append((verb, p.things[0].name))
        things = Counter(n for _, n in pairs)
        for verb, _ in verbs.most_common(3):
            objects = Counter(n for w, n in pairs if w == verb)
            thing = (
                topic
                if topic is not None and topic in objects
                else (objects.most_common(1)[0][0] if objects else topic or "")
            )
            if not thing and things:
                thing = things.most_common(1)[0][0]
            word = _gerund(verb)
            if thing and len(thing.split()) <= 4:
                out.append(f"{word} the {thing}" if not _no_article(thing) else f"{word} {thing}")
            out.append(word)
        if topic:
            out.insert(0 if verbs and verbs.most_common(1)[0][0] in _DULL else 1, f"Making the {topic}")
    else:
        items = Counter(
            g.name
            for g in doc._.items or []
            if g.status in ("used", "considered")
            for m in g.mentions
            if start <= m.start < end
        )
        kinds = Counter(g.kind for g in doc._.items or [] for m in g.mentions if start <= m.start < end)
        if topic:
            out.append(f"Choosing the {topic}" if kinds else topic.capitalize())
        elif items:
            name = items.most_common(1)[0][0].lower()
            out.append(f"Choosing the {name}")
            if len(items) > 2:
                out.append("Choosing the materials")
                out.append("Listing the materials")
        out += ["A closer look", "Some background"]
    return out


def _gerund(verb: str) -> str:
    first, _, rest = verb.partition(" ")
    word = gerund(first, first)
    return (word + (" " + rest if rest else "")).capitalize()


def _no_article(thing: str) -> bool:
    return thing.split(" ", 1)[0] in ("each", "every", "both", "all", "one", "half")


def _topic(v: View, lexicon: Lexicon, start: int, end: int) -> str | None:
    """What the chapter's first sentence names as its subject ("So the lid.", "Let's do the neck", "For the covers I …")."""
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
