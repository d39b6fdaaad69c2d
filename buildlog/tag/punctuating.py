"""Punctuation for speech that was written without it, or with full stops in the wrong places.

Captions made by machine often carry no marks at all, or break a sentence wherever the speaker drew breath. The parser and
the rules read sentences; so before them, full stops and commas go where the trained reader hears a sentence begin or
a clause break, and a full stop where it hears none goes. Only what the rules read changes, never the transcript.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from buildlog.document import Word
from buildlog.tag.speech import LONG_PAUSE_S, PAUSE_S, bare_stretches, goes_on, in_one_amount, plain

if TYPE_CHECKING:
    import numpy.typing as npt

    from buildlog.tag.reader import Floats

# The reader's probability that something begins, a sentence or a clause, where there are hardly any marks around; the share
# of it that a sentence needs; a sentence's where there are full stops around; and under which a full stop cuts one in two.
_BREAK, _SENTENCE, _AMONG_STOPS, _NO_STOP = 0.45, 0.45, 0.9, 0.2
_OPENING = frozenset(
    "a an the my your our and but or so because if when while once until unless i we you they i'm i've it's we're".split()
)
_PAUSE_WEIGHS = 1.5  # what a pause of PAUSE_S adds to the log odds of a sentence


def punctuate(words: Sequence[Word], begins: Floats, whole: npt.NDArray[np.bool_]) -> list[Word]:
    """``words`` with marks put and taken. ``begins`` is (words, 3): goes on, a sentence begins here, a clause does;
    ``whole`` tells the words that go on with a name or an amount, before which nothing is put."""
    out = list(words)
    bare = bare_stretches(out)
    odds = np.log(begins[:, 1] + 1e-6) - np.log(1 - begins[:, 1] + 1e-6)
    for i in range(1, len(out)):
        before = out[i - 1].text
        gap = out[i].start_s - out[i - 1].end_s
        p = float(1 / (1 + np.exp(-(odds[i] + _PAUSE_WEIGHS * ((gap > PAUSE_S) + (gap > 2 * PAUSE_S))))))
        either = p + float(begins[i, 2])
        mark = before[-1:]
        if mark and mark in ".?!":
            if mark == "." and p < _NO_STOP and gap < LONG_PAUSE_S and len(before) > 1 and before[-2] != ".":
                _take_stop(out, i)
        elif (mark and mark in ",;:-–—…") or whole[i] or in_one_amount(before, out[i].text):
            continue
        elif (
            (gap > LONG_PAUSE_S and not goes_on(before))
            or (bare[i] and either >= _BREAK and p >= _SENTENCE * either)
            or p >= _AMONG_STOPS
        ):
            _put(out, i, ".")
        elif bare[i] and either >= _BREAK:
            _put(out, i, ",")
    return out


def _take_stop(out: list[Word], i: int) -> None:
    out[i - 1] = _worded(out[i - 1], out[i - 1].text[:-1])
    text = out[i].text
    if text[:1].isupper() and text[1:].islower():
        out[i] = _worded(out[i], text[0].lower() + text[1:])


def _put(out: list[Word], i: int, mark: str) -> None:
    """Put ``mark`` before word ``i``, or before the word in front of it where that opens what follows ("once | that")."""
    if i > 1 and plain(out[i - 1].text) in _OPENING:
        i -= 1
        if out[i - 1].text[-1:] in ".?!,;:":
            return
    out[i - 1] = _worded(out[i - 1], out[i - 1].text + mark)
    text = out[i].text
    if mark == "." and text[:1].islower():
        out[i] = _worded(out[i], text[0].upper() + text[1:])


def _worded(w: Word, text: str) -> Word:
    return Word(start_s=w.start_s, end_s=w.end_s, text=text, p=w.p, heard=w.heard)
