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
from buildlog.tag.speech import LONG_PAUSE_S, PAUSE_S, bare_stretches, goes_on, in_one_amount

if TYPE_CHECKING:
    import numpy.typing as npt

    from buildlog.tag.reader import Floats

# The reader's probability that a sentence begins, where there are no full stops around and where there are; that a clause
# breaks; and under which a full stop is one that cuts a sentence in two.

STOP, STOP_AMONG_STOPS, COMMA, NO_STOP = 0.4, 0.9, 0.35, 0.2
_PAUSE_WEIGHS = 1.5  # what a pause of PAUSE_S adds to the log odds of a sentence


def punctuate(words: Sequence[Word], begins: Floats, whole: npt.NDArray[np.bool_]) -> list[Word]:
    """``words`` with marks put and taken. ``begins`` is (words, 3): goes on, a sentence begins here, a clause does;
    ``whole`` tells the words that go on with a name or an amount, before which nothing is put."""
    out = list(words)
    bare = bare_stretches(out)
    odds = np.log(begins[:, 1] + 1e-6) - np.log(1 - begins[:, 1] + 1e-6)
    for i in range(1, len(out)):
        before, text = out[i - 1].text, out[i].text
        gap = out[i].start_s - out[i - 1].end_s
        p = float(1 / (1 + np.exp(-(odds[i] + _PAUSE_WEIGHS * (gap > PAUSE_S)))))
        mark = before[-1:]
        if mark in ".?!" and mark:
            if mark == "." and p < NO_STOP and gap < LONG_PAUSE_S and len(before) > 1 and before[-2] != ".":
                out[i - 1] = _worded(out[i - 1], before[:-1])
                if text[:1].isupper() and text[1:].islower():
                    out[i] = _worded(out[i], text[0].lower() + text[1:])
        elif (mark in ",;:-–—…" and mark) or whole[i] or in_one_amount(before, text):
            continue
        elif p >= (STOP if bare[i] else STOP_AMONG_STOPS) or (gap > LONG_PAUSE_S and not goes_on(before)):
            out[i - 1] = _worded(out[i - 1], before + ".")
            if text[:1].islower():
                out[i] = _worded(out[i], text[0].upper() + text[1:])
        elif bare[i] and begins[i, 2] >= COMMA:
            out[i - 1] = _worded(out[i - 1], before + ",")
    return out


def _worded(w: Word, text: str) -> Word:
    return Word(start_s=w.start_s, end_s=w.end_s, text=text, p=w.p, heard=w.heard)
