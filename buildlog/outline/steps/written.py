"""The steps as the trained writer tells them, in place of the sentences that the rules put together.

The writer says where the talk tells something to do and what a viewer reads there. What is worth a step of its own is weighed with what the
reader hears beside it; what was put right, done before, not filmed, told twice, and to which piece a step belongs stays with the rules.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from buildlog.outline.steps.drafts import Draft
from buildlog.outline.steps.ordering import (
    earlier,
    in_order,
    mark_off_camera,
    without_corrected,
    without_repeats,
)
from buildlog.outline.steps.phrases import Phrase
from buildlog.outline.steps.pieces import name_pieces
from buildlog.outline.writer import open_page, ready
from buildlog.outline.writer.candidates import hanging
from buildlog.outline.writer.spelling import WORD
from buildlog.tag.lexicon import lexicon_of
from buildlog.tag.reader import stretches

if TYPE_CHECKING:
    from collections.abc import Callable

    from spacy.tokens import Doc

    from buildlog.outline.writer import Page, Written
    from buildlog.tag.reader import Reading
    from buildlog.tag.view import View

TELLS = 0.4  # mean probability of a word that it stands in a telling, from which a stretch is written out
# Log odds that a written sentence is a step of the list: what each of :func:`evidence` adds. models/training/worth.py fits and prints them.
WORTH = (0.002, -0.02, 1.265, -1.66, 0.476, 0.003, -0.349, -1.577, 3.377, 1.006)
WORTH_NONE = -1.86
NEED = -0.3
# How much likelier, in log probability a word piece, the writer's own sentence must be to it than the rules', to be taken: where they differed, an editor
# who saw both without knowing whose they were would publish 33 % of the writer's and 27 % of the rules', 40 % of those chosen so (400 pairs from dev).
RULES_AHEAD = 0.6
HANGS = 1.0  # a sentence that opens on a pronoun stands back
AT_ONCE, AROUND = 2000, 240  # words of a long talk that are written out at once, and read in front of and behind them
RULES_ALONE = 0.9  # how sure the rules must be of a step where the writer has none


@dataclass(slots=True)
class Candidate:
    """A sentence that may be a step, and what speaks for it (see :func:`evidence`). ``stretch`` are the words of the page it was
    written for, ``sure`` how sure of it the writer was; ``alone``: nothing else was written for them."""

    draft: Draft
    evidence: tuple[float, ...]
    stretch: tuple[int, int]
    sure: float
    alone: bool

    @property
    def odds(self) -> float:
        """Log odds that it is one."""
        return WORTH_NONE + sum(w * e for w, e in zip(WORTH, self.evidence, strict=True))


def write_steps(doc: Doc, v: View, drafts: list[Draft], progress: Callable[[float], None] | None = None) -> list[Draft]:
    """The steps of ``doc`` in the order of work. ``drafts`` are those of the rules; they stand where there is no writer, or no
    reader to weigh what it writes. ``progress`` is told the share done (0 to 1)."""
    if doc._.reader is None or not ready():
        return drafts
    words, token = words_of(doc)
    by_end = sorted((d for d in drafts if not d.inferred), key=lambda d: d.end)
    out: list[Draft] = []
    for block in blocks(len(words)):
        page, found = candidates(doc, v, words, token, block)
        found = [c for c in found if c.odds >= NEED]
        _hear_the_rules(page, found, by_end)
        out += [c.draft for c in found]
        if progress is not None:
            progress(block.end / len(words))
    told = bytearray(len(v.text))
    for d in out:
        told[d.start : d.end] = b"1" * (d.end - d.start)
    out += [d for d in drafts if d.sure >= RULES_ALONE and not any(told[d.start : d.end])]
    out.sort(key=lambda d: d.at)
    clauses = list(doc._.clauses)
    for d in out:
        d.earlier = earlier(v, d, clauses)
    mark_off_camera(v, out, doc._.notes or [], doc._.reader)
    out = without_corrected(v, out, doc._.notes or [], doc._.reader)
    out = without_repeats(v, out, clauses)
    name_pieces(v, out, lexicon_of(doc), clauses)
    return in_order(v, out)


@dataclass(frozen=True, slots=True)
class Block:
    """Words that are read at once: ``first`` to ``last``, of which ``start`` to ``end`` are this block's own to write out."""

    first: int
    start: int
    end: int
    last: int


def blocks(words: int) -> list[Block]:
    """A long talk in stretches, each with words around it, so that it is held in memory piece by piece."""
    return [
        Block(max(0, a - AROUND), a, min(words, a + AT_ONCE), min(words, a + AT_ONCE + AROUND))
        for a in range(0, words, AT_ONCE)
    ]


def _hear_the_rules(page: Page, found: list[Candidate], by_end: list[Draft]) -> None:
    """Where the rules have one sentence for the same words and the writer finds it likely too, theirs is taken. ``by_end`` are the
    rules' drafts in the order of their ends."""
    both = [(c, d) for c in found if c.alone and (d := _same_place(c.draft, by_end)) is not None]
    told = page.chances([c.stretch for c, _ in both], [d.text for _, d in both])
    for (c, d), p in zip(both, told, strict=True):
        likely = float(np.log(np.maximum(p[:-1], 1e-6)).mean())
        ahead = RULES_AHEAD + HANGS * (hanging(c.draft.text.split()) - hanging(d.text.split()))
        if likely + ahead > math.log(max(c.sure, 1e-6)):
            c.draft.text, c.draft.phrases = d.text, d.phrases


def _same_place(a: Draft, drafts: list[Draft]) -> Draft | None:
    """Which of ``drafts``, in the order of their ends, tells what ``a`` tells: most of the shorter one's words are the other's too."""

    def shared(b: Draft) -> float:
        return (min(a.end, b.end) - max(a.start, b.start)) / min(a.end - a.start, b.end - b.start)

    near = itertools.takewhile(
        lambda d: d.start < a.end + _LONGEST, drafts[bisect_left(drafts, a.start, key=lambda d: d.end) :]
    )
    best = max(near, key=shared, default=None)
    return best if best is not None and shared(best) > 0.5 else None


_LONGEST = 200  # tokens that a step is told in, at most


def words_of(doc: Doc) -> tuple[list[str], list[int]]:
    """The words of ``doc`` as the writer knows them, and the token that each begins in, the number of all tokens behind them."""
    text = doc.text
    starts = [t.idx for t in doc]
    found = list(WORD.finditer(text))
    return [m.group() for m in found], [bisect_right(starts, m.start()) - 1 for m in found] + [len(starts)]


def candidates(doc: Doc, v: View, words: list[str], token: list[int], block: Block) -> tuple[Page, list[Candidate]]:
    """All sentences that the writer has for the ``block`` of ``doc``, in the order of the talk, and the page they stand on.
    ``words`` and ``token`` are those of the whole text (:func:`words_of`)."""
    page = open_page(words[block.first : block.last])
    token = token[block.first : block.last + 1]
    begins = np.asarray(page.telling[:, 1] > page.telling[:, 2])
    runs = [
        r for r in stretches(1 - page.telling[:, 0], begins, TELLS)
        if r[1] - r[0] > 1 and block.start <= r[0] + block.first < block.end
    ]  # fmt: skip
    out = []
    for (a, b, mass), (tells, steps) in zip(runs, page.write([(a, b) for a, b, _ in runs]), strict=True):
        for w in steps:
            e = evidence(doc._.reader, token[a], max(token[a] + 1, token[b]), b - a, mass, tells, w.sure, len(steps))
            c = Candidate(_draft(v, w, token), e, (a, b), w.sure, len(steps) == 1)
            if c.alone:  # it begins with its sentence, not with the first word that was taken from it
                c.draft.start = max(token[a], v.sents[v.sent_of[c.draft.start]][0])
                c.draft.at = c.draft.start
            c.draft.sure = round(1 / (1 + math.exp(-c.odds)), 3)
            out.append(c)
    out.sort(key=lambda c: c.draft.at)
    return page, out


def evidence(
    reading: Reading, start: int, end: int, words: int, mass: float, tells: float, sure: float, steps: int
) -> tuple[float, ...]:
    """What speaks for or against a sentence written for the tokens ``start`` to ``end``, ``words`` long: whether the writer hears a
    telling there and anything to do, is sure of its words, has several sentences for it; the reader's step, caution, tip,
    correction, off camera; how long it is."""
    return (
        _odds(tells), _odds(mass), math.log(max(sure, 1e-3)), float(steps > 1), _odds(reading.inside("S", start, end)),
        *(reading.inside(c, start, end) for c in "KICO"), math.log(words),
    )  # fmt: skip


def _odds(p: float) -> float:
    p = min(max(p, 1e-3), 1 - 1e-3)
    return math.log(p / (1 - p))


def _draft(v: View, w: Written, token: list[int]) -> Draft:
    start = token[w.at]
    end = max(token[w.end], start + 1)
    words = w.text.rstrip(".").split()
    return Draft(w.text, start, end, start, [Phrase(words, words[0].lower(), start)], 0.0)
