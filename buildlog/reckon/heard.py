"""The transcript as a row of words with their times, to look up what stands round an amount."""

from __future__ import annotations

import bisect
import functools
import re
from collections.abc import Sequence
from typing import NamedTuple

from buildlog.document import Line, Log, Measurement
from buildlog.reckon.vocabulary import same_dimension

_WORD = re.compile(r"[\w'’/.-]*\w")
_END = (".", "!", "?")
MOST_SENTENCE = 240
_LOOK = 40
_WITH_IS = frozenset("that there here what where when which this".split())


def plain(text: str) -> list[str]:
    """The words of ``text``, small letters, no marks."""
    return [w.casefold() for w in _WORD.findall(text)]


def singular(word: str) -> str:
    """ "strips" is "strip", "boxes" "box"; short words, "-ss" and "bias" stay."""
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("ches", "shes", "xes", "sses")):
        return word[:-2]
    return (
        word[:-1]
        if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is", "as", "'s"))
        else word
    )


def stems(text: str | None) -> list[str]:
    """The words of ``text`` in the singular, dimensions under one name ("girth" is "round")."""
    return list(_stems(text or ""))


@functools.lru_cache(maxsize=4096)
def _stems(text: str) -> tuple[str, ...]:
    filed = same_dimension()
    return tuple(filed.get(w, w) for w in map(singular, map(_bare_of_is, plain(text))))


def _bare_of_is(word: str) -> str:
    """ "The facing's three inches": the noun, without the verb or the ending that hangs on it."""
    stem = word.removesuffix("'s").removesuffix("’s")
    return stem if len(stem) > 3 and stem not in _WITH_IS else word


class Spoken(NamedTuple):
    """One word as spoken: when, as written, and bare."""

    start_s: float
    text: str
    bare: str


def heard_in(log: Log) -> Heard:
    """The words of ``log``, gathered once for as long as its transcript is the one asked about: no edit changes a
    transcript in place, and a face asks after every one."""
    if not _last or _last[0][0] is not log.transcript:
        _last[:] = [(log.transcript, Heard(log.transcript))]
    return _last[0][1]


class Heard:
    """All words of a transcript in order."""

    def __init__(self, transcript: Sequence[Line]) -> None:
        self.lines = transcript
        self.words: list[Spoken] = []
        self._found: dict[tuple[float, str], int] = {}
        self._where: dict[re.Pattern[str], frozenset[str]] = {}
        for line in transcript:
            timed = [(w.start_s, w.text) for w in line.words]
            if not timed:
                parts = line.text.split()
                step = max(0.0, line.end_s - line.start_s) / max(1, len(parts))
                timed = [(line.start_s + k * step, p) for k, p in enumerate(parts)]
            for start_s, text in timed:
                for bit in text.split():
                    bare = " ".join(plain(bit))
                    if bare:
                        self.words.append(Spoken(start_s, bit, bare))
        self._starts = [w.start_s for w in self.words]
        self._index: dict[str, list[int]] = {}
        self._stemmed: list[str] = []

    @property
    def stemmed(self) -> list[str]:
        """Every word in the singular, dimensions under one name."""
        if not self._stemmed and self.words:
            self._stemmed = [" ".join(_stems(w.bare)) or w.bare for w in self.words]
            for k, word in enumerate(self._stemmed):
                self._index.setdefault(word, []).append(k)
        return self._stemmed

    def places(self, phrase: str) -> list[int]:
        """Where the words of ``phrase`` (as :func:`stems` gives them, single spaces) stand together."""
        words, wanted = self.stemmed, phrase.split()
        return [k for k in self._index.get(wanted[0], []) if words[k : k + len(wanted)] == wanted]

    def sentence_from(self, k: int) -> int:
        """Where the sentence of word ``k`` begins, or a little way back where it is a long one."""
        low = max(0, k - _LOOK)
        while k > low and not self.words[k - 1].text.endswith(_END):
            k -= 1
        return k

    def sentence_to(self, k: int) -> int:
        """Just behind the end of the sentence of word ``k``, or a little way on where it is a long one."""
        high = min(len(self.words), k + _LOOK)
        while k < high and not self.words[k].text.endswith(_END):
            k += 1
        return min(k + 1, len(self.words))

    def place(self, start_s: float) -> int:
        """The first word that is said at ``start_s`` or later."""
        return bisect.bisect_left(self._starts, start_s - 0.001)

    def sentence_at(self, start_s: float) -> str:
        """The sentence that is being said at ``start_s``."""
        k = self.place(start_s)
        return self.sentence(start_s, self.words[k].bare) if k < len(self.words) else ""

    def where(self, pattern: re.Pattern[str]) -> frozenset[str]:
        """The words, in the singular, of all lines in which ``pattern`` is found."""
        if pattern not in self._where:
            lines = (line.text for line in self.lines)
            self._where[pattern] = frozenset(w for text in lines if pattern.search(text) for w in stems(text))
        return self._where[pattern]

    def at(self, start_s: float, text: str) -> int:
        """Where the words ``text`` begin, near ``start_s``."""
        place = self._found.get((start_s, text))
        if place is None:
            place = self._found[start_s, text] = self._look(start_s, text)
        return place

    def _look(self, start_s: float, text: str) -> int:
        wanted = plain(text)
        near = bisect.bisect_left(self._starts, start_s - 0.05)
        if not wanted:
            return near
        low, high = max(0, near - 12), min(len(self.words), near + 12)
        hits = [k for k in range(low, high) if self.words[k].bare == wanted[0]]
        return min(hits, key=lambda k: abs(k - near)) if hits else min(near, max(0, len(self.words) - 1))

    def when(self, text: str) -> float | None:
        """When ``text`` was first said; ``None`` where these words do not stand together anywhere."""
        wanted = plain(text)
        for k in range(len(self.words) - len(wanted) + 1 if wanted else 0):
            if [w.bare for w in self.words[k : k + len(wanted)]] == wanted:
                return self.words[k].start_s
        return None

    def after(self, start_s: float, text: str, count: int) -> list[str]:
        """The bare words that follow ``text``."""
        k = self.at(start_s, text) + len(plain(text))
        return [w.bare for w in self.words[k : k + count]]

    def before(self, start_s: float, text: str, count: int) -> list[str]:
        """The bare words that lead up to ``text``."""
        k = self.at(start_s, text)
        return [w.bare for w in self.words[max(0, k - count) : k]]

    def between(self, a: Measurement, b: Measurement) -> list[str]:
        """The bare words between two amounts, whichever comes first."""
        first, second = sorted((a, b), key=lambda m: self.at(m.start_s, m.text))
        low = self.at(first.start_s, first.text) + len(plain(first.text))
        return [w.bare for w in self.words[low : self.at(second.start_s, second.text)]]

    def around(self, start_s: float, text: str, count: int) -> set[str]:
        """The words within ``count`` of ``text``, in the singular."""
        return {singular(w) for w in (*self.before(start_s, text, count), *self.after(start_s, text, count))}

    def sentence(self, start_s: float, text: str) -> str:
        """The sentence in which ``text`` stands, as written."""
        if not self.words:
            return text
        k = self.at(start_s, text)
        low = k
        while low > 0 and not self.words[low - 1].text.endswith(_END) and k - low < 40:
            low -= 1
        high = min(len(self.words) - 1, k + max(0, len(plain(text)) - 1))
        while high + 1 < len(self.words) and not self.words[high].text.endswith(_END) and high - k < 45:
            high += 1
        said = " ".join(w.text for w in self.words[low : high + 1])
        return said if len(said) <= MOST_SENTENCE else said[: MOST_SENTENCE - 1] + "…"


_last: list[tuple[Sequence[Line], Heard]] = []
