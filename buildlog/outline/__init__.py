"""The outline of a narration: steps to follow, pieces, chapters."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from buildlog.document import Step
from buildlog.outline.model import ChapterWish, Outline

if TYPE_CHECKING:
    from spacy.tokens import Doc

    from buildlog.outline.steps.drafts import Draft
    from buildlog.tag.view import View


def outline(
    doc: Doc,
    *,
    pauses: Sequence[tuple[float, float]] = (),
    cuts: Sequence[float] = (),
    wish: ChapterWish | None = None,
    duration_s: float,
    write: bool = True,
    progress: Callable[[float], None] | None = None,
) -> Outline:
    """Steps, pieces and chapters of the tagged ``doc``.

    ``pauses`` are silences (start, end) and ``cuts`` scene cuts, in seconds, where the media is at hand;
    ``duration_s`` the length of the recording. ``write``: the trained writer tells the steps, which takes most of the time; else
    they are what the rules make of them. ``progress`` is told the share done (0 to 1).
    """
    from buildlog.outline.chapters import find_chapters
    from buildlog.outline.steps import find_steps, write_steps
    from buildlog.tag.view import view_of

    v = view_of(doc)
    if not v.text:
        return Outline()
    found = find_steps(doc, v)
    drafts = write_steps(doc, v, found, progress) if write else found
    pieces: list[str] = []
    for d in drafts:
        if d.piece is not None and d.piece not in pieces:
            pieces.append(d.piece)
    marks = _Marks(doc)
    numbers = {id(d): n for n, d in enumerate(drafts, 1)}
    steps = [_step(v, d, numbers, pieces, marks) for d in drafts]
    chapters = find_chapters(
        doc, v, sorted(found, key=lambda d: d.at), pauses=pauses, cuts=cuts, wish=wish, duration_s=duration_s
    )
    return Outline(steps, pieces, chapters)


class _Marks:
    """Where used items and techniques are named: (token, number) in the order of the words."""

    def __init__(self, doc: Doc) -> None:
        self.items = sorted(
            (m.start, k) for k, g in enumerate(doc._.items or [], 1) if g.status == "used" for m in g.mentions
        )
        self.ways = sorted((a, k) for k, t in enumerate(doc._.techniques or [], 1) for a, _ in t.spans)


def _step(v: View, d: Draft, numbers: dict[int, int], pieces: list[str], marks: _Marks) -> Step:
    items = sorted(
        {k for _, k in marks.items[bisect_left(marks.items, (d.start, 0)) : bisect_left(marks.items, (d.end, 0))]}
    )
    ways = sorted(
        {k for _, k in marks.ways[bisect_left(marks.ways, (d.start, 0)) : bisect_left(marks.ways, (d.end, 0))]}
    )
    return Step(
        id=f"s{numbers[id(d)]}",
        start_s=round(float(v.start_s[d.at]), 3),
        end_s=round(float(v.end_s[d.end - 1]), 3),
        text=d.text,
        piece=f"p{pieces.index(d.piece) + 1}" if d.piece is not None else None,
        on_camera=d.on_camera,
        items=[f"i{k}" for k in items],
        techniques=[f"t{k}" for k in ways],
        same_as=[f"s{numbers[id(o)]}" for o in d.same_as if id(o) in numbers],
        inferred=d.inferred,
        said=v.words(d.start, d.end),
        confidence=max(0.01, min(1.0, d.sure)),
    )


__all__ = ["ChapterWish", "Outline", "outline"]
