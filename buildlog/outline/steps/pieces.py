"""Which piece of the build a step belongs to: the lid, the pocket panel, the left strap."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildlog.outline.steps.things import name_of
from buildlog.outline.words import names_topic

if TYPE_CHECKING:
    from buildlog.outline.steps.drafts import Draft
    from buildlog.tag.clauses import Clause
    from buildlog.tag.lexicon import Lexicon
    from buildlog.tag.view import View

HOLDS = 6  # steps for which a piece once named stays the topic


def name_pieces(v: View, drafts: list[Draft], lexicon: Lexicon, clauses: list[Clause]) -> None:
    """Set ``piece`` where the step's object, a "for the …", or the running topic names one."""
    topics = {
        b: name for a, b in v.sents if names_topic(v, a, b) and (name := _piece_in(v, lexicon, a, b, anywhere=True))
    }
    ends = sorted(topics)
    running: tuple[str, int] | None = None
    seen = 0
    at = 0
    for d in drafts:
        while seen < len(ends) and ends[seen] <= d.at + 1:
            running, at = (topics[ends[seen]], ends[seen]), 0
            seen += 1
        own = _piece_in(v, lexicon, d.start, d.end, anywhere=False)
        if own is not None:
            d.piece = own
            if running is None or own != running[0]:
                running = (own, d.at)
            at = 0
        elif running is not None and at < HOLDS and d.at - running[1] < 260:
            d.piece = running[0]
        at += 1


def _piece_in(v: View, lexicon: Lexicon, a: int, b: int, *, anywhere: bool) -> str | None:
    for i in range(a, b):
        if v.pos[i] not in ("NOUN", "PROPN") or v.dep[i] == "compound":
            continue
        role = v.dep[i]
        if (
            not anywhere
            and role not in ("dobj", "nsubjpass", "nsubj", "ROOT")
            and not (role == "pobj" and v.low[v.head[i]] in ("for", "of", "on"))
        ):
            continue
        mods = [v.lemma[k] for k in v.kids[i] if k < i and v.dep[k] in ("compound", "amod")]
        kind, sure = lexicon.classify(v.lemma[i], mods)
        if kind == "piece" and sure > 0.5:
            return name_of(v, i)
    return None
