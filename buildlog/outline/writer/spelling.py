"""From word pieces back to a sentence: blanks, and capitals as they stand in the talk."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

# The words that the writer was trained on: runs of letters and figures, every other sign by itself.
WORD = re.compile(r"[A-Za-z0-9À-ÿ½¼¾⅛⅜⅝⅞°$£€%/'’]+(?:[.,:]\d+)*|[^\sA-Za-z0-9]")
_LEFT = frozenset('.,;:!?%)]…"”')  # no blank in front
_RIGHT = frozenset("$£€([“")  # none behind
_JOINS = frozenset("-–/'’")
_TAILS = frozenset(["s", "t", "re", "ve", "ll", "d", "m"])
_FRACTIONS = frozenset("½¼¾⅛⅜⅝⅞°")


def plain(word: str) -> str:
    """``word`` as the word pieces spell it: small letters without accents."""
    return "".join(c for c in unicodedata.normalize("NFD", word.lower()) if unicodedata.category(c) != "Mn")


_NUMBER = re.compile(r"\d+(?:[.,:]\d+)+")


def faces(words: list[str]) -> dict[str, str]:
    """How words of the talk are written where that is not in small letters: names, abbreviations, accents; and numbers
    with a stop or comma in them."""
    out: dict[str, str] = {}
    low: set[str] = set()
    after_stop = True
    for w in words:
        key = plain(w)
        if _NUMBER.fullmatch(w):
            out[re.sub(r"([.,:])", r"\1 ", w)] = w  # as its pieces come out of :func:`sentence`
        elif w == key:
            low.add(key)
        elif w.lower() != w and after_stop and w[1:] == w[1:].lower() and w != "I":
            pass  # a capital only because a sentence begins
        else:
            out.setdefault(key, w)
        after_stop = w in ".?!"
    return {k: v for k, v in out.items() if k not in low}


def words_of(pieces: Iterable[str]) -> list[str]:
    """Word pieces ("sand", "##ing") as words."""
    out: list[str] = []
    for p in pieces:
        if p.startswith("##") and out:
            out[-1] += p[2:]
        else:
            out.append(p)
    return out


def sentence(words: list[str], written: dict[str, str]) -> str:
    """The words as one sentence, with a capital and a full stop. ``written``: see :func:`faces`."""
    out: list[str] = []
    for i, w in enumerate(words):
        before = words[i - 1] if i else ""
        then = words[i + 1] if i + 1 < len(words) else ""
        w = written.get(w, _article(w, then))
        if out and _joined(out[-1], before, w, then):
            out[-1] += w
        else:
            out.append(w)
    text = " ".join(out).strip()
    for apart, whole in written.items():
        if " " in apart:
            text = text.replace(apart, whole)
    while text and text[-1] in ",;:-–—":
        text = text[:-1].rstrip()
    if text and text[-1] not in ".?!":
        text += "."
    return text[:1].upper() + text[1:]


def _article(w: str, then: str) -> str:
    """ "a" or "an" as the next word wants it, where its spelling tells."""
    if w == "a" and then[:1] in ("a", "e", "i", "o") and not then.startswith(("one", "once", "eu")):
        return "an"
    if w == "an" and then[:1] in "bcdfgjklmnpqrstvwyz" and len(then) > 2:
        return "a"
    return w


def _joined(so_far: str, before: str, w: str, then: str) -> bool:
    if w in _LEFT or before in _RIGHT or w in _FRACTIONS:
        return True
    if w in ("'", "’"):
        return then in _TAILS or before.endswith("s")
    if before in ("'", "’"):
        return w in _TAILS and so_far[-2:-1].isalnum()
    if w in _JOINS:
        return bool(before) and before[-1].isalnum() and then[:1].isalnum()
    if before in _JOINS:
        return len(so_far) > 1
    return False
