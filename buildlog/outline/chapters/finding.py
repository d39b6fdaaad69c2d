"""The chapters of a part: places chosen together, then titled."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildlog.document import Chapter
from buildlog.outline.chapters.placing import choose
from buildlog.outline.chapters.signals import places
from buildlog.outline.chapters.titles import titles

if TYPE_CHECKING:
    from spacy.tokens import Doc

    from buildlog.outline.model import ChapterWish
    from buildlog.outline.steps.drafts import Draft
    from buildlog.tag.view import View

COST_READ, COST_RULES = 4.0, 3.2  # evidence that a chapter needs, with the trained reader and without


def find_chapters(
    doc: Doc, v: View, drafts: Sequence[Draft], *, pauses: Sequence[tuple[float, float]], cuts: Sequence[float],
    wish: ChapterWish | None, duration_s: float,
) -> list[Chapter]:  # fmt: skip
    """Chapters from 0.0 on, ascending; ids "c1", "c2", …"""
    reading = doc._.reader
    found = places(v, drafts, doc._.items or [], reading, pauses=pauses, cuts=sorted(cuts))
    cost = COST_READ if reading is not None else COST_RULES
    chosen = choose(found, duration_s, wish, cost)
    starts = [0, *(p.at for p in chosen)]
    out: list[Chapter] = []
    for n, (a, text) in enumerate(zip(starts, titles(doc, v, drafts, starts), strict=True)):
        sure = 1.0 if n == 0 else 1 / (1 + math.exp(cost - chosen[n - 1].score))
        out.append(
            Chapter(
                id=f"c{n + 1}",
                start_s=0.0 if n == 0 else round(v.start_s[a], 3),
                title=text,
                confidence=round(max(0.01, sure), 3),
            )
        )
    return out
