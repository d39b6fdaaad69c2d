"""Segments: the stretches of talk that each tell one thing, in the order of the words.

A parse of speech hangs phrases in odd places, so a segment is not a subtree: it runs from where a main clause begins to
where the next one begins, and keeps every word in between. A sentence without a verb of its own is one segment.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from buildlog.tag.clauses import Clause
    from buildlog.tag.view import View


@dataclass(slots=True)
class Segment:
    """Tokens ``start`` to ``end``; ``clause`` is the index of the clause that carries it, ``None`` for a bare phrase.

    ``first`` says whether it opens its sentence.
    """

    start: int
    end: int
    clause: int | None
    first: bool


_JOINING = frozenset(["and", "but", "so", "then", "or", ",", ";", "-", "–", "—", ":", "plus"])
_WHOLE = frozenset(["main", "conj"])


def find_segments(v: View, clauses: list[Clause]) -> list[Segment]:
    """All segments, in order; together they cover every token."""
    by_sentence: dict[int, list[int]] = {}
    for n, c in enumerate(clauses):
        if not c.light and c.relation in _WHOLE:
            by_sentence.setdefault(v.sent_of[c.verb], []).append(n)
    out: list[Segment] = []
    for s, (start, end) in enumerate(v.sents):
        heads = by_sentence.get(s, [])
        if not heads:
            out.append(Segment(start, end, None, True))
            continue
        verbs = {clauses[n].verb for n in heads}
        for n in heads:
            verbs.update(clauses[n].frame)
        starts = sorted((max(start, _left(v, clauses[n], verbs)), n) for n in heads)
        cuts: list[tuple[int, int]] = []
        for at, n in starts:
            at = min(at, clauses[n].verb)
            if cuts:
                at = max(at, cuts[-1][0] + 1)
                # A clause never begins before the verb of the one in front of it.
                at = max(at, min(clauses[cuts[-1][1]].verb + 1, clauses[n].verb))
            cuts.append((at, n))
        if cuts[0][0] > start:
            if _is_phrase(v, start, cuts[0][0]):
                out.append(Segment(start, cuts[0][0], None, True))
            else:
                cuts[0] = (start, cuts[0][1])
        for i, (at, n) in enumerate(cuts):
            until = cuts[i + 1][0] if i + 1 < len(cuts) else end
            out.append(Segment(at, until, n, at == start))
    return _breaks(v, clauses, out)


def _left(v: View, c: Clause, verbs: set[int]) -> int:
    """Where the clause begins: its leftmost word that is not another main clause's."""
    lo = c.verb
    for top in (c.verb, *c.frame):
        lo = min(lo, top)
        for k in v.kids[top]:
            if k >= lo and v.left[k] >= lo:
                continue
            if k in verbs or v.dep[k] in ("conj", "punct"):
                continue
            if k < top and any(v.left[k] <= x <= v.right[k] for x in verbs if x != c.verb and x not in c.frame):
                continue
            lo = min(lo, v.left[k])
    return lo


def _is_phrase(v: View, start: int, end: int) -> bool:
    """Whether the tokens stand for themselves before the clause ("Hood. Two pieces …", "The edge, then, is bound")."""
    words = [i for i in range(start, end) if v.pos[i] not in ("PUNCT", "CCONJ", "INTJ", "ADV", "SCONJ", "SPACE")]
    return len(words) >= 3 and any(v.pos[i] in ("NOUN", "PROPN") for i in words) and v.text[end - 1] in ",.:;-–"


def _breaks(v: View, clauses: list[Clause], segments: list[Segment]) -> list[Segment]:
    """Joining words at a segment's end go to the next one."""
    for a, b in zip(segments, segments[1:], strict=False):
        while a.end - 1 > a.start and v.low[a.end - 1] in _JOINING and v.sent_of[a.end - 1] == v.sent_of[b.start]:
            if a.clause is not None and a.end - 1 <= clauses[a.clause].verb:
                break
            a.end -= 1
            b.start -= 1
    return segments
