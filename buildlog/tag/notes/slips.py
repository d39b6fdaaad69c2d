"""Slips of the tongue put right in the next breath: "four, no, five holes", "a French, sorry, English knife".

They are no mistakes in the making, so they are kept apart (``doc._.slips``) until the remarks are put together.
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
_SORRY = (
    r"(?:i(?: do)? beg your pardon|beg(?:ging)? your pardon|beg pardon|pardon me|what am i saying|listen to me|hark at me|"
    r"(?<=[,.] )(?:excuse me|hang on|hold on|wait|sorry))"
)
_PAIRS = (
    ("left", "right"),
    ("top", "bottom"),
    ("front", "back"),
    ("inside", "outside"),
    ("inner", "outer"),
    ("up", "down"),
    ("over", "under"),
    ("clockwise", "anticlockwise"),
    ("clockwise", "counterclockwise"),
    ("warp", "weft"),
    ("outwards", "inwards"),
    ("forwards", "backwards"),
    ("longer", "shorter"),
    ("wider", "narrower"),
)
# One word of a pair said for the other, and the other one as a sentence of its own: "round to the right. Left."
OTHER_ONE = re.compile(
    r"(?<!left )(?<!right )(?<!up )(?<!down )\b(?:"
    + "|".join(rf"{a}[.,] (?:(?:no|sorry|wait)[,.]? )?{b}|{b}[.,] (?:(?:no|sorry|wait)[,.]? )?{a}" for a, b in _PAIRS)
    + r")(?:\.|, (?:sorry|i mean)|$)"
)
TRIGGER = re.compile(
    r"\b(?:no|sorry|i mean|i tell a lie|wait|rather|scratch that|make that|correction|reading that wrong|"
    r"misspoke|i meant|pardon|excuse me|hang on|hold on|what am i saying|listen to me|hark at me)\b"
)
_SLIP = re.compile(
    rf"\b{_N}(?: [\w-]+)?(?: [\w-]+)?[,.]? (?:no|sorry|no sorry|sorry no|i mean|wait|wait no|no wait|"
    rf"rather|or rather|make that|actually no|scratch that|i meant),? (?!more|less|longer|need|wider|bigger|deeper)"
    rf"(?:it's |they're |that's |not |"
    rf"i mean |i'm \w+ \w+ \w+ )?(?:\w+ ){{0,6}}?{_N}\b"
    r"|\bi tell a lie\b|\bscratch that\b|\bi(?:'m| am) reading (?:that|it) wrong\b|\bsorry,? (?:not|"
    r"i meant|it's|they're|that's|the other|other)\b|\b(?:no|wait),? i (?:didn't|mean|meant|tell|lie)\b"
    r"|\b(?P<word>\w+),?\.? no,? not (?P=word)\b|^no[,.] not \w+|, no,? (?:the|a|my|it's|that's|not) \w+|"
    r"\bi said [^.;]*\b(?:it's|i mean|sorry)\b|\b(?:sorry|no),? i mean\b|^no,? you don't\b"
    # "to eight, I beg your pardon, to ten": the same word opens what was said and what is meant
    rf"|\b(?P<opens>\w+) (?:[\w'-]+ ){{0,3}}[\w'-]+[,.]? {_SORRY}[,.]? (?P=opens) (?!very|really|whole|long)\w+"
    # "a French, sorry, English knife", "in the vice, beg pardon, clamp": a word for a word
    rf"|(?:\b(?:a|an|the|my|your|of|with|in|on|this|that|some) )[\w-]+, {_SORRY}, "
    r"(?!(?:i|i'm|i've|i'll|we|you|he|she|it|it's|its|they|that|that's|this|there|there's|the|my|your|about|to|for|guys|folks|"
    r"everyone|everybody|all|mate|love|but|if|no|and|so|dog|not|what|where|when|let|just|can|could|is|was|"
    r"don't|do|cat|neighbours|kids|dear|lads|ladies|chaps)\b)\w+\b"
    # the word meant and the word said sound alike: "fleas, fleece, sorry"
    r"|\b(?P<like>[a-z]{3})[a-z]*[,.]? (?P=like)[a-z]*,? sorry(?=[.,]|$)"
    r"|\b(?P<said>\w{4,})[.,] (?:no[,.] )?(?P=said)?,? ?(?:listen to me|hark at me)\b|\b(?:listen to|hark at) me, \w+[.!]?$"
)
# A sentence that opens by putting the number right with which the one before it ended: "A quarter inch. No, five sixteenths."
_ANEW = re.compile(
    rf"^(?:no|sorry|wait|i mean|make that|or rather),? (?:no,? )?(?:it's |that's |they're |make that )?(?!an? ){_N}\b"
)
_ENDS_IN_NUMBER = re.compile(rf"\b(?!an? ){_N}(?: [\w'-]+){{0,2}}[.,]?$")


def score(text: str) -> Hit | None:
    """Whether the plain (lower-case) ``text`` holds a word taken back at once."""
    m = _SLIP.search(text)
    return Hit(m.start(), m.end(), 0.7) if m and not text.rstrip().endswith("?") else None


def puts_right(text: str, before: str) -> bool:
    """Whether the sentence ``text`` puts right the number that ``before`` ends in: "A quarter inch. No, five sixteenths."."""
    if text.rstrip().endswith("?") or before.rstrip().endswith("?"):
        return False
    return bool(_ANEW.search(text) and _ENDS_IN_NUMBER.search(before.rstrip()))


def is_slip(sent: Span) -> bool:
    """Whether the sentence takes a word back in the same breath."""
    return score(plain(sent.text)) is not None


__all__ = ["OTHER_ONE", "TRIGGER", "is_slip", "puts_right", "score"]
