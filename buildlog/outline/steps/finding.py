"""The steps of a narration: chosen, joined, rewritten, put in the order of work."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from buildlog.outline.steps.choosing import Told, choose
from buildlog.outline.steps.rewriting import Phrase, Rewriter
from buildlog.outline.steps.segments import Segment, find_segments
from buildlog.outline.steps.things import Things
from buildlog.outline.words import joined, sentence
from buildlog.tag.lexicon import Lexicon, lexicon_of

if TYPE_CHECKING:
    from spacy.tokens import Doc

    from buildlog.tag.view import View


@dataclass(slots=True)
class Draft:
    """A step as found: ``text`` the sentence, tokens ``start`` to ``end``, ``phrases`` it was made of."""

    text: str
    start: int
    end: int
    at: int
    phrases: list[Phrase]
    sure: float
    piece: str | None = None
    on_camera: bool = True
    inferred: bool = False
    same_as: list[int] = field(default_factory=list)
    earlier: bool = False


def find_steps(doc: Doc, v: View) -> list[Draft]:
    """All steps told in ``doc``."""
    clauses = list(doc._.clauses)
    reading = doc._.reader
    lexicon = lexicon_of(doc)
    segments = find_segments(v, clauses, lexicon)
    told = choose(v, segments, clauses, lexicon, reading, doc._.notes or [])
    rewriter = Rewriter(v, clauses, lexicon, Things(v, lexicon, clauses, doc._.mentions or [], reading), doc._.mentions or [])
    drafts: list[Draft] = []
    for t in told:
        drafts += _write(v, rewriter, segments, t)
    return drafts


def _write(v: View, rewriter: Rewriter, segments: list[Segment], t: Told) -> list[Draft]:
    """The step that the segments tell, or none where no action can be made out."""
    rewriter.begin()
    phrases: list[Phrase] = []
    last = t.segments[0]
    for n in t.segments:
        p = rewriter.phrase(segments[n])
        if p is None or not p.words:
            continue
        if p.fragment and phrases:
            if any(v.pos[i] == "NUM" for i in range(segments[n].start, segments[n].end)):
                words = p.words[len(p.verb.split()) :]
                phrases[-1].words += [",", *words]  # a setting told after it
                last = n
            continue
        phrases.append(p)
        last = n
    if not phrases:
        return []
    if len(phrases) == 1 and phrases[0].bare and not phrases[0].same:
        thing = rewriter.things.near(phrases[0].start)
        if thing is None:
            return []
        phrases[0].words[1:1] = thing.the.split()
    elif len(phrases) > 1:
        for p in phrases:
            if p.bare and len(p.words) == 1:
                p.words.append("it")
    text = sentence(joined([p.text for p in phrases]).split())
    start, end = segments[t.segments[0]].start, segments[last].end
    while start < end - 1 and v.pos[start] in ("PUNCT", "CCONJ"):
        start += 1
    sure = 1 / (1 + math.exp(-t.odds))
    return [Draft(text, start, end, phrases[0].start, phrases, round(sure * min(p.sure for p in phrases), 3))]
