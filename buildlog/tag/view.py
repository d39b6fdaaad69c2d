"""A parsed ``Doc`` as plain lists: what the rules read instead of spaCy's token objects, for speed.

All indices are token indices of the whole ``Doc``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from spacy.tokens import Doc, Token


@dataclass(slots=True)
class View:
    """Token attributes as lists; ``kids[i]`` are the children of ``i``, ``left``/``right`` the ends of its subtree."""

    text: list[str]
    low: list[str]
    lemma: list[str]
    pos: list[str]
    tag: list[str]
    dep: list[str]
    head: list[int]
    kids: list[list[int]]
    left: list[int]
    right: list[int]
    sents: list[tuple[int, int]]
    sent_of: list[int]
    start_s: list[float]
    end_s: list[float]
    line: list[int]
    cache: dict[str, object] = field(default_factory=dict)

    def words(self, start: int, end: int) -> str:
        """The tokens ``start`` to ``end`` as text, without blanks before punctuation and clitics."""
        out: list[str] = []
        for i in range(start, end):
            t = self.text[i]
            glue = bool(out) and (
                t in _NO_BLANK_BEFORE
                or t.startswith(("'", "’"))
                or t == "n't"
                or (t == "na" and self.low[i - 1] in ("gon", "wan"))
                or out[-1] in _NO_BLANK_AFTER
                or (t == "-" or (i > start and self.text[i - 1] == "-"))
            )
            if glue:
                out[-1] += t
            else:
                out.append(t)
        return " ".join(out)

    def subtree(self, i: int) -> list[int]:
        """Token indices under ``i``, itself included, in order."""
        out, stack = [], [i]
        while stack:
            j = stack.pop()
            out.append(j)
            stack.extend(self.kids[j])
        out.sort()
        return out


# Forms that the small pipeline's table leaves as they are or gives to another verb.
_LEMMAS = {
    "forgot": "forget", "sewn": "sew", "hemmed": "hem", "ripped": "rip", "basted": "baste", "glued": "glue", "felled": "fell",
    "ironed": "iron", "mitred": "mitre", "mitered": "mitre", "planed": "plane", "sawn": "saw", "pared": "pare",
    "bound": "bind", "wound": "wind", "overlaid": "overlay", "interfaced": "interface",
    "stitching": "stitch", "dyed": "dye", "sized": "size", "taped": "tape", "skived": "skive", "lashed": "lash",
}  # fmt: skip
# The same where the parser takes the word for a verb ("piping" may be a thing).
_VERB_LEMMAS = {
    "scraped": "scrape", "scraping": "scrape", "primed": "prime", "priming": "prime", "paring": "pare", "caned": "cane",
    "caning": "cane", "piped": "pipe", "piping": "pipe", "bored": "bore",
    "singed": "singe", "singeing": "singe", "dying": "dye", "twined": "twine", "twining": "twine", "plated": "plate",
    "planing": "plane", "sawed": "saw", "epoxied": "epoxy", "knitted": "knit", "sleyed": "sley", "sleying": "sley",
}  # fmt: skip
# An "e" that the table puts behind verbs it has not met: "topstitche", "overlocke", "planishe", "desoldere", "tufte".
_FALSE_E = re.compile(r"(?<=tch|.sh|.ck|rde|ard|ord|and|aft|uft|.ff|een|eek|erf|der|.rr|saw|wel|ell)e$")


def _lemma(t: Token) -> str:
    """The lemma of a token in lower case, the small pipeline's faults put right."""
    known = _LEMMAS.get(t.lower_)
    if known is None and t.pos_ == "VERB":
        known = _VERB_LEMMAS.get(t.lower_) or _FALSE_E.sub("", t.lemma_.lower())
    return known or t.lemma_.lower()


_NO_BLANK_BEFORE = frozenset([",", ".", "?", "!", ";", ":", ")", "%", '"', "”", "°", "…"])
_NO_BLANK_AFTER = frozenset(["(", "$", "£", "€", "“"])


def view_of(doc: Doc) -> View:
    """The view of ``doc``, made once."""
    made = doc.user_data.get("view")
    if made is not None:
        return made  # type: ignore[no-any-return]
    n = len(doc)
    text, low, lemma, pos, tag, dep, head = [], [], [], [], [], [], []
    for t in doc:
        text.append(t.text)
        low.append(t.lower_)
        lemma.append(_lemma(t))
        pos.append(t.pos_)
        tag.append(t.tag_)
        dep.append(t.dep_)
        head.append(t.head.i)
    kids: list[list[int]] = [[] for _ in range(n)]
    for i, h in enumerate(head):
        if h != i:
            kids[h].append(i)
    left, right = list(range(n)), list(range(n))
    sents: list[tuple[int, int]] = []
    sent_of = [0] * n
    for s in doc.sents:
        for i in range(s.start, s.end):
            sent_of[i] = len(sents)
        sents.append((s.start, s.end))
    # Ends of subtrees, from the leaves upward.
    order: list[int] = []
    stack = [i for i in range(n) if head[i] == i]
    while stack:
        i = stack.pop()
        order.append(i)
        stack.extend(kids[i])
    for i in reversed(order):
        h = head[i]
        if h != i:
            left[h] = min(left[h], left[i])
            right[h] = max(right[h], right[i])
    data = doc.user_data
    zeros = [0.0] * n
    made = View(
        text, low, lemma, pos, tag, dep, head, kids, left, right, sents, sent_of,
        data.get("start_s", zeros), data.get("end_s", zeros), data.get("line", [0] * n),
    )  # fmt: skip
    doc.user_data["view"] = made
    return made
