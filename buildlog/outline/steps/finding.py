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
    clauses = doc._.clauses
    reading = doc._.reader
    lexicon = lexicon_of(doc)
    segments = find_segments(v, clauses, lexicon)
    told = choose(v, segments, clauses, lexicon, reading, doc._.notes or [])
    rewriter = Rewriter(v, clauses, lexicon, Things(v, lexicon, clauses, doc._.mentions or []), doc._.mentions or [])
    drafts: list[Draft] = []
    for t in told:
        drafts += _write(v, rewriter, segments, t)
    return drafts


def _write(v: View, rewriter: Rewriter, segments: list[Segment], t: Told) -> list[Draft]:
    rewriter.begin()
    phrases = [p for p in (rewriter.phrase(segments[n]) for n in t.segments) if p is not None and p.text]
    if not phrases:
        return []
    text = sentence(joined([p.text for p in phrases]).split())
    first, last = segments[t.segments[0]], segments[t.segments[-1]]
    start, end = first.start, last.end
    while start < end - 1 and v.pos[start] in ("PUNCT", "CCONJ"):
        start += 1
    sure = 1 / (1 + math.exp(-t.odds))
    return [Draft(text, start, end, phrases[0].start, phrases, round(sure * min(p.sure for p in phrases), 3))]
