"""Words as the index knows them: split, stemmed, and how they sound."""

from __future__ import annotations

import functools
import re
import unicodedata
from collections.abc import Iterable
from typing import Any

_WORD = re.compile(r"[^\W_]+")

# Words that say nothing about which moment is meant: of the language, and of asking about a video.
EMPTY = frozenset(
    """a about actually ahead all also always am an and another any anyone anything are aren as ask at be because been
    before being both but by can cannot could couldn d did didn do does doesn doing don done dude during each else
    ever every everything exactly few find for from get gets getting give go goes going gone got had hadn has hasn have
    haven having he hello help her here hey hi him his how i if im in instead into is isn it its just kind know last let
    like ll look looking lot m make makes many maybe me mention mentioned minute moment more most much my need needed no
    not now of off oh ok okay on one ones only or other our out over part people please put question really re
    remember right s said same say says second see seem she should show showed showing shown shows so some somebody
    someone something somewhere sort sound still stuff such t take talk talked talking tell than thank thanks that
    the their them then there these they thing things think this those through time timestamp to told too try um up us
    use used uses using ve very video videos want wanted was wasn watch watched way we well went were weren what whats
    when where which while who whole whose why will with won would wouldn yes you your yours""".split()
)  # fmt: skip


def words_of(text: str) -> list[str]:
    """Lower-case words without accents, split as the word index splits them."""
    if not text.isascii():
        text = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return _WORD.findall(text.casefold())


@functools.cache
def _stemmer() -> Any:
    import snowballstemmer

    return snowballstemmer.stemmer("porter")


@functools.lru_cache(maxsize=262144)
def stem(word: str) -> str:
    """Porter's stem, the same as the word index's."""
    return str(_stemmer().stemWord(word))


def stems(words: Iterable[str]) -> list[str]:
    """The stem of each word."""
    return [stem(w) for w in words]


@functools.lru_cache(maxsize=65536)
def sound(word: str) -> str:
    """How a word sounds (metaphone): "selvage" and "selvidge" are alike."""
    import jellyfish

    return str(jellyfish.metaphone(word)) if word.isascii() and word.isalpha() else ""
