"""What stands in for what: the offered thing and the one it replaces, the chosen thing and the one that was weighed.

A wrong pair misleads more than a missing one, so two things are tied only where the words do it ("instead of", "if you've
no press, bricks would do"), or where they are of one sort and named close together ("I wanted pear. It's cherry.").
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildlog.tag.lexicon import Lexicon
from buildlog.tag.mentions import CONSIDERED, SUBSTITUTE, Mention
from buildlog.tag.view import View

if TYPE_CHECKING:
    from buildlog.tag.items import Gathered

_BACK, _ON = 2, 3  # sentences before and after that are looked at
_INSTEAD = (("instead", "of"), ("in", "place", "of"), ("rather", "than"), ("in", "lieu", "of"))
_TURNS = frozenset("instead so rather ended settled went chose swapped".split())
# Groups and classes that hold too many sorts of things to say that two of them serve alike.
_LOOSE = frozenset(
    "general other hand machine part misc abstract artifact place person product act time chemical".split()
)
_FAMILY = {"lining": "fabric", "felt": "fabric", "fibre": "fabric", "wood": "timber"}


def pair_up(v: View, items: list[Gathered], lexicon: Lexicon) -> None:
    """Set ``instead_of`` of the items that stand in for others."""
    number = {id(item): n for n, item in enumerate(items)}
    spots = sorted(((m.start, m, item) for item in items for m in item.mentions), key=lambda t: t[0])
    sorts = {id(item): _sorts(lexicon, item) for item in items}
    by_sent: dict[int, list[tuple[Mention, Gathered]]] = {}
    for start, m, item in spots:
        by_sent.setdefault(v.sent_of[start], []).append((m, item))
    for item in items:
        if item.status == "substitute":
            base = _stood_in_for(v, by_sent, item)
            if base is not None:
                item.instead_of = number[id(base)]
    for item in items:
        if item.status == "considered":
            chosen = _chosen(v, by_sent, item, sorts)
            if chosen is not None and chosen.instead_of is None:
                chosen.instead_of = number[id(item)]


def _stood_in_for(v: View, by_sent: dict[int, list[tuple[Mention, Gathered]]], item: Gathered) -> Gathered | None:
    """The used thing that an offered one may replace: named after "instead of", else the nearest before the offer."""
    offer = max(item.mentions, key=lambda m: m.status[SUBSTITUTE])
    sent = v.sent_of[offer.start]
    beside = [(m, i) for m, i in by_sent.get(sent, []) if i is not item and i.status == "used"]
    for m, other in beside:
        if any(tuple(v.low[max(0, m.start - k - 1) : m.start][: len(p)]) == p for p in _INSTEAD for k in (1, 2)):
            return other
    before = [(m, i) for m, i in beside if m.start < offer.start]
    if before and (before[-1][1].kind == item.kind or "or" in v.low[before[-1][0].end : offer.start]):
        return before[-1][1]
    alike = [i for _, i in before if i.kind == item.kind]
    if alike:
        return alike[-1]
    after = [
        i for m, i in beside if m.start > offer.start and i.kind == item.kind and "if" in v.low[offer.end : m.start]
    ]
    if after:
        return after[0]
    for back in range(1, _BACK + 1):
        named = [i for _, i in by_sent.get(sent - back, []) if i.kind == item.kind and i.status == "used"]
        if named:
            return named[-1]
    return None


def _chosen(
    v: View, by_sent: dict[int, list[tuple[Mention, Gathered]]], item: Gathered, sorts: dict[int, frozenset[str]]
) -> Gathered | None:
    """The used thing that was taken where ``item`` was weighed and left."""
    weighed = max(item.mentions, key=lambda m: m.status[CONSIDERED])
    sent = v.sent_of[weighed.start]
    best: tuple[float, Gathered] | None = None
    for s in range(sent - _BACK, sent + _ON + 1):
        for m, other in by_sent.get(s, []):
            if other is item or other.status != "used" or other.kind != item.kind:
                continue
            akin = bool(sorts[id(other)] & sorts[id(item)])
            fresh = m is other.mentions[0] and m.start > weighed.start
            turned = fresh and bool(_TURNS & set(v.low[max(weighed.end, m.start - 8) : m.end + 4]))
            if not akin and not (turned and s - sent <= 2):
                continue
            distance = abs(m.start - weighed.start) + (0 if akin else 25) + (0 if fresh else 12)
            if best is None or distance < best[0]:
                best = (distance, other)
    return best[1] if best else None


def _sorts(lexicon: Lexicon, item: Gathered) -> frozenset[str]:
    """What sorts of thing an item is: its head, its group in the craft files, its class in WordNet."""
    head = item.key[-1]
    found = {head, *item.key}
    for name in (" ".join(item.key), head):
        term = lexicon.find(name)
        if term is not None and term.kind == item.kind and term.group not in _LOOSE:
            found.add("group " + _FAMILY.get(term.group, term.group))
    known = lexicon.wordnet_class(head)
    if known is not None and known[0] not in _LOOSE and known[1] >= 0.25:
        found.add("group " + _FAMILY.get(known[0], known[0]))
    return frozenset(found)
