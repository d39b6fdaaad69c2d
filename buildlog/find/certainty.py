"""Whether what was found is an answer, or the thing was never shown: a logistic model of a few signs.

The weights come from ``models/training/fusing.py``, which prints them and what they are worth.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np
import numpy.typing as npt

from buildlog.find.asking import Question
from buildlog.find.wording import words_of

NAME_MET = 0.75  # of a name's weight: so much of it said is the name said
LOOKED_AT = 40  # how many of the best moments the signs are read off
_LONG = 12  # words of a question; longer ones count as that long
_TELLING = 4
_AHEAD_OF = 6  # the best moment is compared with the sixth: the first five may all be of one answer

# For each sign its weight; below nought it is nowhere. Who asks in many words has seen what he asks for, and cannot have all
# of them met; who asks for a thing of the craft will hear its name. Cross-validated (models/training/fusing.py), an answer is
# surer than none in .93 of pairs over narrations made for this and the harder questions, in .96 over the plain ones.
WEIGHTS = {
    "absent": -1.12,
    "craft": -1.54,
    "one": -0.84,
    "long": 5.78,
    "named": -0.34,
    "words": 2.52,
    "score": 3.34,
    "ahead": 3.0,
    "nearest": 4.0,
    "title": 1.51,
    "bias": -6.0,
}
# Without vectors there is little to tell by: set on the questions that may be looked at.
BY_WORDS = {"words": 7.4, "absent": -3.65, "telling": 5.3, "bias": -6.4}


class Ranked(Protocol):
    """A moment that was ranked: how well its words and those around it are met, its cosine, its score, and how much of
    the question its title holds."""

    met: npt.NDArray[np.float32]
    words: float
    near: float
    score: float
    title: float


def is_named(asked: Question, ranked: Sequence[Ranked]) -> bool:
    """Whether a thing that is asked for by its name is called by it, or another name it has, in some moment."""
    idf = np.array([t.idf for t in asked.telling], np.float32)
    return asked.of_name and max(float(r.met @ idf) for r in ranked) >= NAME_MET * float(idf.sum())


def certainty(asked: Question, ranked: Sequence[Ranked], meant: bool) -> float:
    """Above nought where the best of ``ranked`` (best first) is an answer. ``meant``: vectors were asked too."""
    weights = WEIGHTS if meant else BY_WORDS
    found = signs(asked, ranked)
    return sum(weight * found[name] for name, weight in weights.items())


def signs(asked: Question, ranked: Sequence[Ranked]) -> dict[str, float]:
    """What the decision is made by, each about 0 to 1.

    Of the question: ``absent`` and ``craft``, the shares of its weight in craft words that no moment has and in craft words
    at all; ``telling``, ``one`` and ``long``, how many telling words it has, whether one only, and how many words;
    ``named``, whether it is a name. Of the moments: ``words``, how well the words are met where they are met best; the
    best one's ``score`` and how far it is ``ahead`` of the sixth; the ``nearest`` cosine of all; ``title``, how much of
    the question the best one's title and build hold.
    """
    some = ranked[:LOOKED_AT]
    best = some[0]
    whole = sum(t.idf for t in asked.telling) or 1.0
    return {
        "absent": sum(t.idf for t in asked.telling if t.absent) / whole,
        "craft": sum(t.idf for t in asked.telling if t.craft) / whole,
        "telling": min(_TELLING, len(asked.telling)) / _TELLING,
        "one": float(len(asked.telling) == 1),
        "long": min(_LONG, len(words_of(asked.text))) / _LONG,
        "named": float(asked.of_name),
        "words": max(r.words for r in some),
        "score": best.score,
        "ahead": best.score - some[min(_AHEAD_OF, len(some)) - 1].score,
        "nearest": max(r.near for r in some),
        "title": best.title,
        "bias": 1.0,
    }
