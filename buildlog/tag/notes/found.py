"""What a note is: one remark of the maker's, kept in their own words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from buildlog.tag.timed import end_s, start_s
from buildlog.tag.wording import Wording, clause_around, tidy

if TYPE_CHECKING:
    from spacy.tokens import Span

Kind = Literal["correction", "off_camera", "caution", "tip", "pointer"]
Direction = Literal["back", "forward"]


@dataclass(frozen=True, slots=True)
class NoteFound:
    """A remark to keep. ``start`` and ``end`` are tokens, ``text`` the maker's words without fillers.

    A pointer says its ``direction`` and, if one was said, the ``part``'s number.
    """

    kind: Kind
    start: int
    end: int
    text: str
    start_s: float
    end_s: float
    confidence: float
    direction: Direction | None = None
    part: int | None = None


@dataclass(frozen=True, slots=True)
class Hit:
    """Where in a text a phenomenon shows: character offsets and how sure that is (0 to 1)."""

    first: int
    last: int
    confidence: float
    direction: Direction | None = None
    part: int | None = None


def note(w: Wording, kind: Kind, index: int, hit: Hit, *, until: int | None = None) -> NoteFound:
    """The note for ``hit`` in stretch ``index``; the stretches up to ``until`` belong to it as well."""
    start, end = w.stretches[index]
    base = w.chars(start, end)[0]
    a, b = clause_around(w, base + hit.first, base + hit.last, start, end)
    if until is not None and until > index:
        b = w.stretches[until][1]
    return NoteFound(
        kind=kind,
        start=a,
        end=b,
        text=tidy(w.doc[a:b].text),
        start_s=start_s(w.doc[w.token(base + hit.first)] if b - a > 24 else w.doc[a]),
        end_s=end_s(w.doc[b - 1]),
        confidence=hit.confidence,
        direction=hit.direction,
        part=hit.part,
    )


def begins_with_verb(span: Span) -> bool:
    """Whether the sentence, past its lead-in words, begins with a bare verb: an instruction."""
    for t in span:
        if t.is_punct or t.is_space or t.lower_ in _LEAD_IN:
            continue
        if any(c.dep_ in ("nsubj", "nsubjpass", "aux") for c in t.lefts) or t.pos_ == "AUX":
            return False
        same_form = t.tag_ in ("VBD", "VBN") and t.lower_ in _SAME_FORM  # "set the last tooth" read as past
        return t.tag_ in ("VB", "VBP") or same_form
    return False


_SAME_FORM = frozenset("set cut put let hit shut split spread".split())
_LEAD_IN = frozenset(
    "so okay ok right now and but oh well yeah yes um uh er anyway alright then also please just always never "
    "first next always honestly seriously again because cause cos again finally once".split()
)

__all__ = ["Direction", "Hit", "Kind", "NoteFound", "begins_with_verb", "note"]
