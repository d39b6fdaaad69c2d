"""Titles: short, specific, alike in form: what is being done, to what.

"Quilting the pocket panel": the work that tells most about the chapter's steps, as a gerund, and what it is done to. The
title with the most evidence wins; no two of a part are the same.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from buildlog.outline.chapters.acts import Act, find_acts, ing
from buildlog.outline.chapters.signals import is_outro
from buildlog.outline.chapters.subjects import Subject, find_subjects

if TYPE_CHECKING:
    from spacy.tokens import Doc

    from buildlog.outline.steps.drafts import Draft
    from buildlog.tag.view import View

LONGEST = 59
_WORKED = frozenset(["piece", "product", "material", "pattern"])
_MAKEABLE = frozenset(["piece", "product"])
_FITTING = frozenset("put add place set attach".split())
_NEARBY = (
    -1.2
)  # log odds that a verb is meant of a thing that is only spoken of near it, against one said to be worked on
_BARE = -3.0  # a title without its thing says less
_MAKING = -0.6  # "Making the hood": says what, not how
_WORKING = -2.0  # "Working on the hood": says even less
_OFTEN = 3
_LAST_STEPS, _LEAVING = 3, 0.55  # steps, and share of the last stretch, before the leave-taking begins
_OTHER = 0.0  # another verb this telling is worth naming where no thing is
_TELLING = 1.0  # a thing named once that a stretch of talk may be called by
_SECOND = 1.6  # a second verb this telling is worth naming beside the first


def titles(doc: Doc, v: View, drafts: Sequence[Draft], starts: Sequence[int]) -> list[str]:
    """One title for each stretch from one of ``starts`` (tokens, the first 0) to the next; each under 60 characters."""
    from buildlog.tag.lexicon import lexicon_of

    lexicon = lexicon_of(doc)
    edges = [*starts, len(v.text)]
    stretches = [(a, b, [d for d in drafts if a <= d.at < b]) for a, b in itertools.pairwise(edges)]
    subjects = find_subjects(v, lexicon, doc._.items or [], edges)
    acts = find_acts(v, lexicon, stretches, subjects)
    whole = _whole(subjects)
    out: list[str] = []
    taken: set[str] = set()
    for n, (a, b, inside) in enumerate(stretches):
        if n == 0 and not inside:
            text = "Intro"
        elif n == len(stretches) - 1 and (not inside or _takes_leave(v, a, b, inside)):
            text = "Wrapping up"
        else:
            tried = _of_work(subjects[n], acts[n], whole) if inside else _of_talk(doc, subjects[n], a, b)
            text = _first_free(tried, taken)
        taken.add(text.lower())
        out.append(text)
    return out


def _first_free(tried: Iterator[str], taken: set[str]) -> str:
    first = ""
    for text in tried:
        text = _fit(text)
        first = first or text
        if text and text.lower() not in taken:
            return text
    return next(t for n in itertools.count(2) if (t := f"{first}, part {n}").lower() not in taken)


def _whole(subjects: Sequence[dict[str, Subject]]) -> str:
    """What the build as a whole is: the product that most stretches name."""
    spread = Counter(s.name for found in subjects for s in found.values() if s.kind == "product")
    return spread.most_common(1)[0][0] if spread else ""


def _takes_leave(v: View, start: int, end: int, drafts: Sequence[Draft]) -> bool:
    """Whether the stretch is there to sum up and say goodbye: work told before that is no more than a step or two, and
    does not fill most of it."""
    at = next((a for a, b in v.sents if start <= a < end and is_outro(v, a, b)), None)
    if at is None:
        return False
    before = sum(d.at < at for d in drafts)
    return not before or (before < _LAST_STEPS and at - start <= _LEAVING * (end - start))


def _of_work(subjects: dict[str, Subject], acts: Sequence[Act], whole: str) -> Iterator[str]:
    """Titles for a stretch in which something is done, the likeliest first."""
    scored: list[tuple[float, str]] = []
    for act in acts:
        for lemma in act.things:
            s = subjects[lemma]
            score = act.weight + s.weight
            if act.plain in _FITTING and s.kind in _MAKEABLE:
                scored.append((score + 1.5, _phrase("Fitting", s.name)))
            elif act.plain in ("make", "build"):
                scored.append((score + 2.5, _phrase("Making", s.name)))
            elif not act.dull:
                scored.append((score, _phrase(_ing(act), s.name)))
                second = next(
                    (o for o in acts if o is not act and o.weight >= _SECOND and not o.dull and lemma in o.things), None
                )
                if second is not None and act.weight >= max(_SECOND, second.weight):
                    both = f"{_ing(act)} and {_ing(second).lower()}"
                    scored.append((score + 0.2, _phrase(both, s.name)))
        if not act.dull and not act.things:
            other = next((o for o in acts if o is not act and not o.dull and not o.things and o.weight > _OTHER), None)
            more = f" and {_ing(other).lower()}" if other is not None and act.weight >= other.weight else ""
            scored.append((act.weight + _BARE, _ing(act) + more))
            scored += [
                (act.weight + subjects[x].weight + _NEARBY, _phrase(_ing(act), subjects[x].name)) for x in act.near
            ]
        elif " " in act.verb:
            scored.append((act.weight + _BARE, _ing(act)))
    for s in subjects.values():
        if s.kind in _MAKEABLE and s.times >= _OFTEN and s.name != whole:
            scored.append((s.weight + _MAKING, _phrase("Making", s.name)))
        if s.central:
            scored.append((s.weight + _WORKING, _phrase("Working on", s.name)))
    scored.sort(key=lambda pair: -pair[0])
    yield from (text for _, text in scored)
    best = sorted(
        (s for s in subjects.values() if s.kind in _WORKED and s.in_step), key=lambda s: (-s.central, -s.weight)
    )
    yield from (_phrase("Working on", s.name) for s in best if s.central or s.weight > 0)
    yield from (_ing(a) for a in acts if not a.dull)
    yield _phrase("Working on", whole) if whole else "More of the work"


def _of_talk(doc: Doc, subjects: dict[str, Subject], start: int, end: int) -> Iterator[str]:
    """Titles for a stretch in which nothing is done, the likeliest first."""
    named: Counter[str] = Counter()
    for g in doc._.items or []:
        if g.kind in ("material", "pattern") and g.status in ("used", "considered"):
            times = sum(start <= m.start < end for m in g.mentions)
            if times and g.key[-1] in subjects:
                named[subjects[g.key[-1]].name] += times
            elif times:
                named[" ".join(g.name.split()[-2:])] += times
    best = sorted(subjects.values(), key=lambda s: -s.weight)
    top = named.most_common(4)
    if len(top) > 3 and top[0][1] < _OFTEN:
        yield "Choosing the materials"
    yield from (_phrase("Choosing", _lower(name)) for name, _ in top)
    yield from (_phrase("About", s.name) for s in best if s.times > 1 or s.weight > _TELLING)
    yield "Some background"


def _ing(act: Act) -> str:
    return ing(act.verb, doubled=act.doubled)


def _phrase(work: str, thing: str) -> str:
    return f"{work} {thing}" if thing.split(" ", 1)[0] in _NO_ARTICLE else f"{work} the {thing}"


_NO_ARTICLE = frozenset("each every both all one half".split())


def _lower(name: str) -> str:
    return name if name.isupper() else name[:1].lower() + name[1:]


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
