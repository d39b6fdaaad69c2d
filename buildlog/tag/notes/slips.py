"""Slips of the tongue put right in the next breath: "four, no, five holes", "sorry, they're five eighths".

They are no mistakes in the making, so they are kept apart from the notes (``doc._.slips``): the last word has won.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from buildlog.tag.notes.found import Hit
from buildlog.tag.wording import plain

if TYPE_CHECKING:
    from spacy.tokens import Span

_N = (
    r"(?:\d[\d/.]*|an?|half|quarter|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen|"
    r"fourteen|fifteen|sixteen|eighteen|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety|hundred)"
)
TRIGGER = re.compile(
    r"\b(?:no|sorry|i mean|i tell a lie|wait|rather|scratch that|make that|correction|reading that wrong|"
    r"misspoke|i meant)\b"
)
_SLIP = re.compile(
    rf"\b{_N}(?: [\w-]+)?(?: [\w-]+)?[,.]? (?:no|sorry|no sorry|sorry no|i mean|wait|wait no|no wait|"
    rf"rather|or rather|make that|actually no|scratch that|i meant),? (?:it's |they're |that's |not |"
    rf"i mean |i'm \w+ \w+ \w+ )?(?:\w+ ){{0,6}}?{_N}\b"
    r"|\bi tell a lie\b|\bscratch that\b|\bi(?:'m| am) reading (?:that|it) wrong\b|\bsorry,? (?:not|"
    r"i meant|it's|they're|that's|the other|other)\b|\b(?:no|wait),? i (?:didn't|mean|meant|tell|lie)\b"
    r"|\b(?P<word>\w+),?\.? no,? not (?P=word)\b|^no[,.] not \w+|, no,? (?:the|a|my|it's|that's|not) \w+|"
    r"\bi said [^.;]*\b(?:it's|i mean|sorry)\b|\b(?:sorry|no),? i mean\b|[, ]sorry[.!]?$|^no,? you don't\b"
)


def score(text: str) -> Hit | None:
    """Whether the plain (lower-case) ``text`` holds a word taken back at once."""
    m = _SLIP.search(text)
    return Hit(m.start(), m.end(), 0.7) if m and not text.rstrip().endswith("?") else None


def is_slip(sent: Span) -> bool:
    """Whether the sentence takes a word back in the same breath."""
    return score(plain(sent.text)) is not None


__all__ = ["TRIGGER", "is_slip", "score"]
