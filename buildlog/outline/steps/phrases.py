"""A phrase: one action in words, before it becomes a sentence."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from buildlog.outline.steps.tables import SAME_NEXT

if TYPE_CHECKING:
    from buildlog.outline.steps.things import Thing
    from buildlog.tag.view import View


@dataclass(slots=True)
class Phrase:
    """An action in words, beginning with its bare verb (or "don't"). ``bare`` marks one that names no object.

    ``things`` are what is worked on; ``start`` the token where the doing is told; ``sure`` 0 to 1.
    """

    words: list[str]
    verb: str
    start: int
    things: list[Thing] = field(default_factory=list)
    bare: bool = False
    sure: float = 1.0
    inferred: bool = False
    same: bool = False
    fragment: bool = False

    @property
    def text(self) -> str:
        return " ".join(w for w in self.words if w)


def same_word(v: View, start: int, end: int) -> int | None:
    """The token "same" (or "again" of "do that again") where the segment says that something is repeated."""
    for i in range(start, end):
        if v.low[i] == "same" and (i + 1 == end or v.low[i + 1] in SAME_NEXT or v.pos[i + 1] == "PUNCT"):
            return i
        if v.low[i] == "again" and i - 2 >= start and v.low[i - 1] in ("that", "it", "this") and v.lemma[i - 2] == "do":
            return i
        if v.low[i] in ("likewise", "ditto"):
            return i
        if (
            v.low[i] == "exactly"
            and i + 1 < end
            and v.low[i + 1] in ("what", "as")
            and any(v.low[j] == "did" for j in range(i + 1, min(i + 7, end)))
        ):
            return i
    return None


def with_comma(tail: list[str]) -> list[str]:
    return [",", *tail] if tail and tail[0] in ("but", "only", "except") else tail


_BEFORE_YOU = frozenset("to from for of by at near towards toward behind on with in around".split())


def tidy(words: list[str]) -> list[str]:
    """Without doubled or dangling punctuation and joining words at either end."""
    out: list[str] = []
    for w in words:
        if w in (",", ";", ":", "-", "–", "—") and (
            not out or out[-1] in (",", ";", ":", "-", "–", "—", "and", "but", "or")
        ):
            continue
        if w in (".", "!", "?", "…", '"', "“", "”"):
            continue
        if w == "both" and out and out[-1] == "the":
            out.pop()
        if w == "the" and out and out[-1] in ("the", "a", "an"):
            continue
        out.append(w)
    while len(out) > 1 and out[-1].lower() in ("first", "then", "now", "last") and out[-2].lower() != "the":
        out.pop()
    loose = (",", ";", ":", "-", "–", "—", "and", "but", "or", "so", "then", "because", "which", "the", "a", "an")
    while out and out[-1].lower() in loose:
        out.pop()
    if len(out) > 2 and out[-1] in ("is", "are", "be", "'s", "'re"):
        # "…, and the blocks are": broken off where the next clause took the rest
        at = next((i for i in range(len(out) - 2, 0, -1) if out[i] in (",", "and", "but", "so")), None)
        if at is not None and len(out) - at < 6:
            return tidy(out[:at])
    for i in range(max(3, len(out) - 4), len(out)):
        if out[i].lower() == "nothing" and out[i - 1] == ",":
            return tidy(out[:i])  # "on a piece of marble, nothing fancy"
    while out and out[-1] in ("you", "i", "we") and (len(out) < 2 or out[-2] not in _BEFORE_YOU):
        out.pop()  # the next clause's
    if len(out) > 3 and out[-2:] == ["on", "you"]:
        out = out[:-2]
    if len(out) > 4 and out[-2:] == [",", "the"]:
        out = out[:-2]
    if len(out) > 2 and out[-1] in ("what", "that", "how", "why") and out[-2] in ("so", "see", "and"):
        return tidy(out[:-2])
    while out and out[0].lower() in (",", ";", ":", "and", "but", "or"):
        out.pop(0)
    return out
