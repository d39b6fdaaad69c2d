"""Notes are published in the maker's words, so their ends are moved to where clauses begin and end.

What was found may stop in the middle of a phrase ("don't << go shorter >>", "in the same line, << half an >> inch");
a clause ends at punctuation, at the end of a sentence, or before a joining word that brings its own subject.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from buildlog.tag.view import View

_WHO = re.compile(r"\s*(?:>\s?)+\s*")
_NEW = re.compile(r"([a-z]{2}[.?!] )([a-z])")
_REACH = 10  # tokens that an end is moved by at most
_STUMP = 3  # tokens of a sentence that are rather cut off than completed
_STOPS = frozenset(".?!;")
_JOINS = frozenset("and but so or because 'cause cause cos then if when while though although since unless".split())
_LEANING = frozenset("if when once unless until before after while because since although though".split())
_SPEAKERS = frozenset("i we you he she they it there".split())
_CLOSED = frozenset("NOUN PROPN ADV VERB ADJ INTJ NUM".split())  # what a clause may end with where no comma is written
_SUBJECTS = frozenset(
    "i we you he she it they that this these those there the a an my your our his her their who let do don't never keep "
    "put use then now just if it's that's i'm i've you're what everything nobody somebody".split()
)


def whole(v: View, start: int, end: int) -> tuple[int, int]:
    """The tokens ``start`` to ``end``, moved outward to the clauses that they cut (or inward from a stump of one)."""
    n = len(v.low)
    lo = start
    while lo > 0 and start - lo < _REACH and not _begins(v, lo):
        lo -= 1
    start = lo if _begins(v, lo) else start
    last = v.sents[v.sent_of[end - 1]][0]
    if start < last and end - last <= _STUMP and not _ends(v, end) and v.text[last - 1] in _STOPS:
        return start, last
    hi = end
    while hi < n and hi - end < _REACH and not _ends(v, hi):
        hi += 1
    return start, hi if _ends(v, hi) else end


def _begins(v: View, i: int) -> bool:
    """Whether a clause begins at ``i``."""
    if i == 0 or v.sents[v.sent_of[i]][0] == i or v.text[i - 1] in _STOPS:
        return v.low[i] not in ("which", "who")
    if v.low[i] in _SPEAKERS and v.dep[i] in ("nsubj", "nsubjpass", "expl") and v.pos[i - 1] in _CLOSED:
        return True
    if v.text[i - 1] in (",", ":", "-") and v.low[i] not in ("which", "who"):
        return not _leans(v, i - 1)
    if v.low[i - 1] in _LEANING:
        return False
    return v.low[i] in _LEANING or (v.low[i - 1] in _JOINS and v.low[i] in _SUBJECTS)


def _leans(v: View, comma: int) -> bool:
    """Whether the clause before the comma leans on what comes after it: "if you've no overlocker, ..."."""
    first = comma
    while first > 0 and comma - first < _REACH and v.text[first - 1] not in _STOPS and v.text[first - 1] != ",":
        if v.sents[v.sent_of[first]][0] == first:
            break
        first -= 1
    return any(v.low[k] in _LEANING for k in range(first, min(comma, first + 2)))


def clause_end(v: View, at: int) -> int:
    """The end of the clause that token ``at`` stands in, ``at`` + 1 where none is near."""
    return next((k for k in range(at + 1, min(len(v.low), at + _REACH) + 1) if _ends(v, k)), at + 1)


def _ends(v: View, i: int) -> bool:
    """Whether a clause ends before ``i``."""
    if i >= len(v.low) or v.sents[v.sent_of[i]][0] == i or v.text[i - 1] in _STOPS:
        return True
    if v.text[i] in _STOPS or v.text[i] == ",":
        return True
    return v.low[i] in _JOINS and i + 1 < len(v.low) and v.low[i + 1] in _SUBJECTS


def polished(text: str) -> str:
    """``text`` with a capital after every full stop and without the signs of who speaks."""
    text = _WHO.sub(" ", text).strip()
    return _NEW.sub(lambda m: m.group(1) + m.group(2).upper(), text)


__all__ = ["clause_end", "polished", "whole"]
