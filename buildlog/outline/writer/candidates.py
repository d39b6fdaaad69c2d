"""Which of the sentences that may be written for a stretch is taken: the likeliest, unless it is unfaithful to what was said."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildlog.outline.writer.spelling import words_of

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from buildlog.outline.writer.beginnings import Spelled
    from buildlog.outline.writer.loading import Model

# What each takes from the log probability a piece; by eye: on tests/narrations/dev they hardly change how near sentences come to the sheets'.
AMOUNT_LOST, AMOUNT_FOREIGN, NO_WORD, SAID_AGAIN, HANGING = 0.1, 0.1, 1.0, 1.0, 0.5
_AGAIN = frozenset(
    "the a an and then with of to in on it them from for into at by or each one all".split()
)  # may come back


def choose(m: Model, found: list[Spelled], source: npt.NDArray[np.int64], inside: npt.NDArray[np.bool_]) -> Spelled:
    """The best of ``found`` for a row: ``source`` are the pieces of its window, ``inside`` tells the marked ones."""
    amounts = {int(i) for i in source[inside] if m.number[i]}
    around = set(words_of(m.spelled[i] for i in source))
    there = Counter(words_of(m.spelled[i] for i in source[inside]))
    return max(found, key=lambda s: s.worth() - _doubt(m, s.pieces, amounts, around, there))


def _doubt(m: Model, pieces: list[int], amounts: set[int], around: set[str], there: Counter[str]) -> float:
    """What speaks against a sentence: amounts of the stretch that it loses, others that it has, words that are none, words
    that come back more often than they were said, an opening on a pronoun. ``around`` are the words of the window, ``there``
    those of the stretch."""
    written = [i for i in pieces if m.number[i]]
    lost = 1 - len(amounts & set(written)) / len(amounts) if amounts else 0.0
    foreign = sum(i not in amounts for i in written)
    words = words_of(m.spelled[i] for i in pieces)
    strange = sum(w.isalpha() and w not in around and w not in m.words for w in words)
    own = Counter(w for w in words if w.isalpha() and w not in _AGAIN)
    again = sum(max(0, n - max(1, there[w])) for w, n in own.items())
    return (
        HANGING * hanging(words)
        + SAID_AGAIN * again
        + AMOUNT_LOST * lost
        + AMOUNT_FOREIGN * foreign
        + NO_WORD * strange
    )


_STANDING = frozenset("it them this that these those they".split())
_PARTICLES = frozenset("up down off out over on in back together apart round around".split())


def hanging(words: Sequence[str]) -> bool:
    """Whether the object of a sentence's first verb is a pronoun, with nothing before it that it could stand for."""
    at = 2 if len(words) > 2 and words[1].lower() in _PARTICLES else 1
    return len(words) > at and words[at].lower().strip(".,") in _STANDING
