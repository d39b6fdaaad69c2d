"""Remarks to keep beside the steps: corrections, work off camera, cautions, tips and pointers, one module each.

Sets ``doc._.notes``: a list of :class:`NoteFound` in the order they were said, one for each remark. A sentence that is
several things at once is the first of: off camera, correction, caution, tip; a pointer stands beside any of them.
"""

from __future__ import annotations

from spacy.language import Language
from spacy.tokens import Doc

from buildlog.tag.notes import cautions, corrections, off_camera, pointers, slips, tips
from buildlog.tag.notes.cautions import is_caution
from buildlog.tag.notes.corrections import is_contradiction, is_correction
from buildlog.tag.notes.found import Direction, Hit, Kind, NoteFound, note
from buildlog.tag.notes.off_camera import is_off_camera
from buildlog.tag.notes.pointers import is_pointer
from buildlog.tag.notes.retractions import find_retractions
from buildlog.tag.notes.slips import is_slip
from buildlog.tag.notes.tips import is_habit, is_substitute, is_tip
from buildlog.tag.wording import Wording


def find_notes(doc: Doc) -> list[NoteFound]:
    """Every note of ``doc``, in the order they were said."""
    w = Wording.of(doc)
    out: list[NoteFound] = []
    taken: dict[int, Kind] = {}

    for n in w.hit(off_camera.TRIGGER):
        hit = off_camera.score(w.said(n))
        if hit:
            taken[n] = "off_camera"
            out.append(note(w, "off_camera", n, hit))

    for n in w.hit(corrections.TRIGGER):
        if n in taken:
            continue
        text, first = w.said(n), n
        hit = corrections.score(text)
        for back in (1, 2):
            if hit is None and n - back >= 0 and n - back not in taken:
                hit = corrections.score(text, w.said(n - back))
                first = n - back if hit else n
        if hit:
            for k in range(first, n + 1):
                taken[k] = "correction"
            whole = hit if first == n else whole_of(w, first)
            out.append(note(w, "correction", first, whole, until=n))

    for found in find_retractions(doc):
        if not any(o.kind == "correction" and o.start < found.end and found.start < o.end for o in out):
            out.append(found)

    for n in w.hit(cautions.TRIGGER):
        if n in taken:
            continue
        hit = cautions.score(w.said(n))
        if hit:
            taken[n] = "caution"
            out.append(note(w, "caution", n, hit))
        elif n + 1 < len(w.stretches) and (hit := cautions.score_with_reason(w.said(n), w.said(n + 1))):
            taken[n] = taken[n + 1] = "caution"
            out.append(note(w, "caution", n, hit, until=n + 1))

    for n in w.hit(tips.TRIGGER):
        if n in taken:
            continue
        sentence = doc[slice(*w.stretches[n])]
        hit = tips.score(w.said(n), sentence)
        if hit and not tips.is_substitute(sentence):
            taken[n] = "tip"
            out.append(note(w, "tip", n, hit))

    apart = pointers.apart(w)
    for n in apart.hit(pointers.TRIGGER):
        hit = pointers.score(apart.said(n))
        if hit:
            out.append(note(apart, "pointer", n, hit))

    return _joined(sorted(out, key=lambda found: (found.start, found.kind)), doc)


def find_slips(doc: Doc) -> list[NoteFound]:
    """Slips of the tongue put right at once, as notes of the kind "correction"; they are not among the notes."""
    w = Wording.of(doc)
    out: list[NoteFound] = []
    for n in w.hit(slips.TRIGGER):
        hit = slips.score(w.said(n))
        if hit:
            out.append(note(w, "correction", n, hit))
        elif n and slips.puts_right(w.said(n), w.said(n - 1)):
            out.append(note(w, "correction", n - 1, whole_of(w, n - 1), until=n))
    for m in slips.OTHER_ONE.finditer(w.text):
        n = w.stretch_at(m.start())
        out.append(note(w, "correction", n, whole_of(w, n), until=w.stretch_at(m.end() - 1)))
    return sorted(out, key=lambda found: found.start)


def whole_of(w: Wording, n: int) -> Hit:
    """A hit on the whole of stretch ``n``."""
    a, b = w.chars(*w.stretches[n])
    return Hit(0, b - a, 0.7)


def _joined(found: list[NoteFound], doc: Doc) -> list[NoteFound]:
    """Notes of one kind in sentences right after each other are one remark."""
    out: list[NoteFound] = []
    for one in found:
        last = next((o for o in reversed(out) if o.kind == one.kind), None)
        if last and one.start - last.end <= 1 and one.end - last.start <= 45 and one.kind != "pointer":
            out[out.index(last)] = NoteFound(
                kind=last.kind,
                start=last.start,
                end=one.end,
                text=f"{last.text} {one.text}",
                start_s=last.start_s,
                end_s=one.end_s,
                confidence=max(last.confidence, one.confidence),
                direction=last.direction,
                part=last.part,
            )
        elif last and one.kind == "pointer" and one.start - last.end <= 1 and one.direction == last.direction:
            continue
        else:
            out.append(one)
    return out


Doc.set_extension("notes", default=[], force=True)
Doc.set_extension("slips", default=[], force=True)


@Language.component("notes", assigns=["doc._.notes", "doc._.slips"], requires=["doc.sents", "token.tag"])  # type: ignore[untyped-decorator]
def notes(doc: Doc) -> Doc:
    """Set ``doc._.notes`` and ``doc._.slips``."""
    doc._.notes = find_notes(doc)
    doc._.slips = find_slips(doc)
    return doc


__all__ = [
    "Direction",
    "Kind",
    "NoteFound",
    "find_notes",
    "find_slips",
    "is_caution",
    "is_contradiction",
    "is_correction",
    "is_habit",
    "is_off_camera",
    "is_pointer",
    "is_slip",
    "is_substitute",
    "is_tip",
    "notes",
]
