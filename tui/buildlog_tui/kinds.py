"""What there is to see in a log: each sort has a mark and a word, so that colour is never needed."""

from __future__ import annotations

from typing import NamedTuple


class Look(NamedTuple):
    """How one sort of thing is shown: a mark of one cell, its word, and the name of its style."""

    mark: str
    word: str
    style: str


LOOKS: dict[str, Look] = {
    "material": Look("■", "material", "material"),
    "tool": Look("▲", "tool", "tool"),
    "pattern": Look("◆", "pattern", "pattern"),
    "reference": Look("●", "reference", "reference"),
    "technique": Look("~", "way of working", "technique"),
    "measurement": Look("#", "amount", "measurement"),
    "link": Look("↗", "link owed", "link"),
    "repair": Look("≈", "word put right", "repair"),
    "correction": Look("≠", "slip of the tongue", "note"),
    "off_camera": Look("ø", "done off camera", "note"),
    "caution": Look("!", "caution", "caution"),
    "tip": Look("*", "tip", "note"),
    "pointer": Look("→", "pointer to another video", "note"),
    "step": Look("▪", "step", "step"),
    "chapter": Look("§", "chapter", "chapter"),
    "check": Look("?", "worth a look", "caution"),
    "unplaced": Look("?", "change without a place", "caution"),
    "derived": Look("=", "worked out", "measurement"),
    "piece": Look("□", "piece", "piece"),
    "word": Look(" ", "word", "plain"),
}
# Kinds whose mark stands in the words, in the order of the legend.
IN_WORDS = ("material", "tool", "pattern", "reference", "technique", "measurement", "link", "caution")
STATUS = {"used": "used", "considered": "not used", "substitute": "stand-in", "mentioned": "only mentioned"}
UNSURE = 0.6  # below this a mark carries a question mark
