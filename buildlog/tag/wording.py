"""A transcript's words as one lower-case text, with the way back to tokens.

Rules about wording (promises, notes, aliases) are cheaper and sturdier on text than on a parse, above all where speech
was written down without punctuation. ``Wording.text`` has exactly the length of ``doc.text``, so a match's character
offsets are token offsets after one bisection.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spacy.attrs import IDX

if TYPE_CHECKING:
    from spacy.tokens import Doc, Span

# Every replacement is one character long, so that offsets stay.
_PLAIN = str.maketrans(
    {"’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-", "\n": " ", "\t": " ", "\u00a0": " "}
)
_LONG = 38  # tokens: a "sentence" longer than this is several, run together by speech without punctuation
# Places where speech begins a new clause: after punctuation, or before a joining word that brings its own subject.
_BOUNDARY = re.compile(
    r"[.;!?:,]+ +|(?: - )"
    r"| (?=(?:and|but|so|because|cause|cos|then|now|okay|ok|right|anyway|if|when|while|which) "
    r"(?:then |now |also |just |actually )?"
    r"(?:i|we|you|it|they|he|she|this|that|these|those|there|the|a|my|your|don't|do|if|make|keep|put|take|"
    r"use|always|never)\b)"
)
_LEAD_IN = re.compile(
    r"^(?:(?:so|okay|ok|right|now|and|but|oh|well|yeah|yes|um+|uh+|erm?|anyway|alright|look|also|then|"
    r"like|cos|cause)\b[,.]? +)+",
    re.I,
)
_FILLER = re.compile(
    r",? ?\b(?:um+|uh+|erm+|er|hmm+)\b,?(?= |$|\.)|,? \b(?:you know|i mean|sort of like)\b,(?= )", re.I
)


def plain(text: str) -> str:
    """``text`` in lower case with straight quotes and plain dashes, as long as it was."""
    lowered = text.lower()
    if len(lowered) != len(text):
        lowered = "".join(c.lower() if len(c.lower()) == 1 else c for c in text)
    return lowered.translate(_PLAIN)


def tidy(text: str) -> str:
    """The maker's own words without fillers and lead-in words; first letter a capital."""
    text = " ".join(text.split())
    text = _FILLER.sub("", text)
    text = _LEAD_IN.sub("", text).strip(" ,;-")
    return text[:1].upper() + text[1:]


@dataclass(slots=True)
class Wording:
    """Text of a ``Doc`` (see :func:`plain`), its tokens' first characters and its stretches as token spans.

    A stretch is the parser's sentence; a sentence too long to be one is cut where clauses begin.
    """

    doc: Doc
    written: str  # ``doc.text``, which spaCy puts together anew each time it is asked
    text: str
    starts: list[int]
    stretches: list[tuple[int, int]]
    char_starts: list[int]

    @classmethod
    def of(cls, doc: Doc) -> Wording:
        """Index ``doc``, once; it needs sentence boundaries (a parse)."""
        made = doc.user_data.get("wording")
        if made is not None:
            return made  # type: ignore[no-any-return]
        written = doc.text
        text = plain(written)
        starts = doc.to_array([IDX]).reshape(-1).tolist()
        stretches: list[tuple[int, int]] = []
        for sent in doc.sents if len(doc) else ():
            if sent.end - sent.start <= _LONG:
                stretches.append((sent.start, sent.end))
            else:
                stretches.extend(_cut(text, starts, sent.start, sent.end))
        indexed = cls(doc, written, text, starts, stretches, [starts[a] for a, _ in stretches])
        doc.user_data["wording"] = indexed
        return indexed

    def token(self, char: int) -> int:
        """The token that the character at ``char`` belongs to."""
        return max(0, bisect_right(self.starts, char) - 1)

    def stretch_at(self, char: int) -> int:
        """The index of the stretch that the character at ``char`` belongs to."""
        return max(0, bisect_right(self.char_starts, char) - 1)

    def chars(self, start: int, end: int) -> tuple[int, int]:
        """First and last-plus-one character of the tokens ``start`` to ``end``."""
        last = self.doc[end - 1]
        return self.starts[start], last.idx + len(last)

    def said(self, index: int) -> str:
        """The plain text of stretch ``index``."""
        a, b = self.chars(*self.stretches[index])
        return self.text[a:b]

    def hit(self, trigger: re.Pattern[str]) -> list[int]:
        """The stretches in which ``trigger`` occurs, in order, each once."""
        found: Iterable[int] = dict.fromkeys(self.stretch_at(m.start()) for m in trigger.finditer(self.text))
        return list(found)

    def span(self, start: int, end: int) -> Span:
        """Tokens ``start`` to ``end``, without blanks and joining punctuation at either edge."""
        while end - 1 > start and self.doc[end - 1].text in {",", ";", "-", " "}:
            end -= 1
        return self.doc[start:end]


def _cut(text: str, starts: list[int], start: int, end: int) -> list[tuple[int, int]]:
    """Cut a run-on sentence into stretches of some 8 tokens or more, at clause beginnings."""
    a = starts[start]
    b = starts[end] if end < len(starts) else len(text)
    out, at = [], start
    for m in _BOUNDARY.finditer(text, a, b):
        i = bisect_right(starts, m.end()) - 1
        if i - at >= 8 and end - i >= 5:
            out.append((at, i))
            at = i
    out.append((at, end))
    return out


def clause_around(wording: Wording, first: int, last: int, start: int, end: int, *, most: int = 32) -> tuple[int, int]:
    """The clause or clauses of the stretch ``start`` to ``end`` that hold the characters ``first`` to ``last``.

    The whole stretch if it has at most ``most`` tokens, else the clauses touched, as token offsets.
    """
    if end - start <= most:
        return start, end
    a, b = wording.chars(start, end)
    left, right = a, b
    for m in _BOUNDARY.finditer(wording.text, a, b):
        if m.end() <= first:
            left = m.end()
        elif m.start() >= last:
            right = m.start()
            break
    a, b = wording.token(left), wording.token(max(left, right - 1)) + 1
    if b - a > most:  # nothing to cut at: the words nearest to what was found
        a, b = max(a, wording.token(first) - most // 3), min(b, wording.token(max(first, last - 1)) + most // 2)
    return a, b


__all__ = ["Wording", "clause_around", "plain", "tidy"]
