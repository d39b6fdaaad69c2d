"""How fit a word is to name a chapter: counted over the training narrations' own titles."""

from __future__ import annotations

import functools
import math
from importlib import resources
from typing import Literal

PRIOR = {"N": 0.0250, "V": 0.0172}  # share of said words that stand in the title; both from models/training/headings.py
DOUBT = 8.0  # chapters' worth of belief in that share where a word is rare
# What a word's own share counts beside what is seen in the chapter: logistic regression over 3,181 of the chapters.
WEIGHT = {"N": 0.6, "V": 0.75}


def fitness(word_class: Literal["N", "V"], lemma: str) -> float:
    """Log odds that the word is in the title, less those of any noun ("N") or verb ("V"): about -1.2 to 1.6."""
    said, named = _counts().get((word_class, lemma), (0, 0))
    prior = PRIOR[word_class]
    p = (named + DOUBT * prior) / (said + DOUBT)
    return WEIGHT[word_class] * (math.log(p / (1 - p)) - math.log(prior / (1 - prior)))


@functools.cache
def _counts() -> dict[tuple[str, str], tuple[int, int]]:
    rows = resources.files("buildlog.crafts").joinpath("headings.txt").read_text("utf-8").splitlines()
    return {(c, lemma): (int(said), int(named)) for c, lemma, said, named in (row.split() for row in rows)}
