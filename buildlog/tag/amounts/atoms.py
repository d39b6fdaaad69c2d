"""Tokens cut where a number is glued to something else: "12x18" is three atoms, "3½" two."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from spacy.tokens import Doc

VULGAR = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_PART = re.compile(rf"\d{{1,3}}(?:,\d{{3}})+(?:\.\d+)?|\d+\.\d+|\.\d+(?!\w)|\d+|[{VULGAR}]|[^\W\d_]+|\S")
_NEEDS_CUT = re.compile(rf"[\d{VULGAR}]|.[-–/]|[-–/].|°.")
_QUOTES = str.maketrans({"‘": "'", "’": "'", "“": '"', "”": '"', "″": '"', "′": "'", "º": "°"})


@dataclass(slots=True)
class Atoms:
    """Parallel lists: lower-case text ``w``, index of the token ``tok``, ``glued`` to the one before.

    ``known`` is every atom of the document once. The lists end in empty sentinels, so that
    looking ahead needs no bounds.
    """

    w: list[str]
    tok: list[int]
    glued: list[bool]
    n: int
    known: frozenset[str] = frozenset()


def atoms_of(doc: Doc) -> Atoms:
    """Cut ``doc`` into atoms."""
    w: list[str] = []
    tok: list[int] = []
    glued: list[bool] = []
    space = True
    for i, token in enumerate(doc):
        text = token.lower_
        if text.isalpha() and text.isascii():
            w.append(text)
            tok.append(i)
            glued.append(not space)
        elif not text.isspace():
            text = text.translate(_QUOTES)
            parts = _PART.findall(text) if _NEEDS_CUT.search(text) else [text]
            for k, part in enumerate(parts):
                w.append(part)
                tok.append(i)
                glued.append(k > 0 or not space)
        space = bool(token.whitespace_) or text.isspace()
    n = len(w)
    known = frozenset(w)
    w += [""] * 32
    tok += [len(doc)] * 32
    glued += [False] * 32
    return Atoms(w, tok, glued, n, known)
