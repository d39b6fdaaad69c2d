"""Remarks: the rules' notes and the trained reader's put together.

The rules know many wordings of a caution or a correction exactly; the reader knows the tone of ones that nobody wrote a
rule for. A note of the rules stays unless the reader sees nothing of the kind there; a stretch that the reader is sure
of becomes a note where the rules found none. A stretch that only offers another thing to use is the item's affair, not
a tip.

Changes ``doc._.notes`` and, in the same way, ``doc._.promises``; without a trained reader they stay as they are.
"""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING

from buildlog.tag.mentions import SUBSTITUTE, Mention
from buildlog.tag.notes.found import Kind, NoteFound
from buildlog.tag.promises import Promise
from buildlog.tag.reader import Reading
from buildlog.tag.view import View, view_of
from buildlog.tag.wording import tidy

if TYPE_CHECKING:
    from spacy.tokens import Doc

MARK: dict[str, Kind] = {"C": "correction", "O": "off_camera", "K": "caution", "I": "tip", "F": "pointer"}
# The reader's probability that a rule's note needs, and that a stretch of its own needs. Advice is everywhere in such
# talk: only what both or a very sure reader call a tip is worth a line.
_KEEP: dict[Kind, float] = {"correction": 0.1, "off_camera": 0.1, "caution": 0.1, "tip": 0.3, "pointer": 0.1}
_ADD: dict[Kind, float] = {"correction": 0.65, "off_camera": 0.6, "caution": 0.65, "tip": 0.8, "pointer": 0.6}
_SHORTEST = 3
_APART = 8  # tokens between two notes of one kind that are two


def merge(v: View, notes: list[NoteFound], reading: Reading, mentions: list[Mention]) -> list[NoteFound]:
    """The notes of rules and reader together, in order."""
    offers = [m for m in mentions if m.kind != "technique" and max(range(4), key=lambda s: m.status[s]) == SUBSTITUTE]
    out: list[NoteFound] = []
    for letter, kind in MARK.items():
        inside = 1.0 - reading.layers[letter][:, 0]
        for note in notes:
            if note.kind == kind and (
                float(inside[note.start : note.end].max(initial=0.0)) >= _KEEP[kind] or note.confidence >= 0.95
            ):
                out.append(note)
        for start, end, p in reading.found(letter):
            if end - start < _SHORTEST or p < _ADD[kind]:
                continue
            if any(n.kind == kind and start < n.end + _APART and n.start < end + _APART for n in out):
                continue
            if kind == "tip" and any(start <= m.start < end for m in offers):
                continue
            out.append(_note(v, kind, start, end, p))
    out.sort(key=lambda n: (n.start, n.kind))
    return out


def merge_promises(v: View, promises: list[Promise], reading: Reading, mentions: list[Mention]) -> list[Promise]:
    """The links owed of rules and reader together, in order."""
    out = list(promises)
    for start, end, p in reading.found("L"):
        if end - start < _SHORTEST or p < _ADD_PROMISE:
            continue
        if any(start < o.end + _APART and o.start < end + _APART for o in promises):
            continue
        named = [m for m in mentions if start <= m.start < end and m.kind != "technique"]
        before = [m for m in mentions if 0 <= start - m.end < 25 and m.kind != "technique"]
        thing = named[0] if named else before[-1] if before and _points_back(v, start, end) else None
        noun = (
            None
            if thing is not None
            else next((i for i in range(start, end) if v.dep[i] in ("dobj", "nsubj") and v.pos[i] == "NOUN"), None)
        )
        what = v.words(thing.start, thing.end) if thing is not None else v.low[noun] if noun is not None else "general"
        out.append(
            Promise(
                start=start,
                end=end,
                text=tidy(v.words(start, end)),
                what=what,
                what_start=thing.start if thing is not None else noun,
                what_end=thing.end if thing is not None else noun + 1 if noun is not None else None,
                start_s=float(v.start_s[start]),
                end_s=float(v.end_s[end - 1]),
                confidence=p,
            )
        )
    out.sort(key=lambda o: o.start)
    return out


_ADD_PROMISE = 0.6


def _points_back(v: View, start: int, end: int) -> bool:
    return any(v.low[i] in ("it", "that", "this", "them", "those", "these", "they", "one") for i in range(start, end))


def _note(v: View, kind: Kind, start: int, end: int, p: float) -> NoteFound:
    """A note of the reader's, its ends moved to where a sentence begins and ends if that is near."""
    sent_start = v.sents[v.sent_of[start]][0]
    if start - sent_start <= 3:
        start = sent_start
    sent_end = v.sents[v.sent_of[end - 1]][1]
    if sent_end - end <= 3:
        end = sent_end
    while start < end - 1 and not v.text[start][0].isalnum():
        start += 1
    text = v.words(start, end)
    forward = kind == "pointer" and any(
        v.low[i] in ("next", "will", "'ll", "gonna", "later", "tomorrow") for i in range(start, end)
    )
    return NoteFound(
        kind=kind,
        start=start,
        end=end,
        text=tidy(text),
        start_s=float(v.start_s[start]),
        end_s=float(v.end_s[end - 1]),
        confidence=p,
        direction=("forward" if forward else "back") if kind == "pointer" else None,
    )


def slip_notes(v: View, slips: list[tuple[float, str]], notes: list[NoteFound]) -> list[NoteFound]:
    """Corrections for numbers and statements taken back in the same breath; ``slips`` are (seconds, words said)."""
    out = []
    for at, text in slips:
        token = min(bisect_left(v.start_s, at), len(v.start_s) - 1)
        if token < 0 or any(n.kind == "correction" and abs(n.start_s - at) < _SAME_SLIP_S for n in notes):
            continue
        end_s = float(v.end_s[token])
        out.append(NoteFound("correction", token, token + 1, tidy(text), at, max(at, end_s), 0.8))
    return out


_SAME_SLIP_S = 4.0


def remarks_component(doc: Doc) -> Doc:
    """spaCy component ``remarks``: changes ``doc._.notes`` and ``doc._.promises``."""
    reading: Reading | None = doc._.reader
    slips = slip_notes(view_of(doc), doc.user_data.get("slips") or [], doc._.notes)
    if reading is not None:
        v = view_of(doc)
        doc._.promises = merge_promises(v, doc._.promises, reading, doc._.mentions)
        doc._.notes = merge(v, doc._.notes, reading, doc._.mentions)
    doc._.notes = sorted([*doc._.notes, *slips], key=lambda n: n.start)
    return doc
