"""Finding again what an edit was made on, after the machine has read the recording anew."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from rapidfuzz import fuzz

from buildlog.document import (
    Chapter,
    Check,
    Derived,
    Item,
    LinkOwed,
    Log,
    Measurement,
    Note,
    Piece,
    Repair,
    Step,
    Technique,
)
from buildlog.edits.kinds import Anchor, Thing

AnyThing = Item | Technique | Measurement | Derived | Step | LinkOwed | Note | Chapter | Piece | Repair | Check

# Where each sort of thing is kept in the log.
LISTS: dict[Thing, str] = {
    "item": "items",
    "technique": "techniques",
    "measurement": "measurements",
    "derived": "derived",
    "step": "steps",
    "link": "links_owed",
    "note": "notes",
    "chapter": "chapters",
    "piece": "pieces",
    "repair": "repairs",
    "check": "checks",
}


class Reach(NamedTuple):
    """How far an anchor may be off.

    Within ``near_s`` a likeness of ``near`` will do, within ``far_s`` it takes ``far``: rapidfuzz's 0 to 100.
    """

    near_s: float
    near: float
    far_s: float
    far: float


# Things that are gathered over the whole recording (items, techniques) are known by their name wherever it is said;
# things of one moment (steps, chapters) by their moment, as a better model words them differently.
REACH: dict[Thing, Reach] = {
    "item": Reach(5.0, 78.0, float("inf"), 99.0),
    "technique": Reach(5.0, 78.0, float("inf"), 99.0),
    "piece": Reach(float("inf"), 88.0, float("inf"), 88.0),
    "measurement": Reach(3.0, 60.0, 10.0, 95.0),
    "derived": Reach(5.0, 55.0, 15.0, 95.0),
    "step": Reach(5.0, 50.0, 30.0, 90.0),
    "link": Reach(6.0, 55.0, 30.0, 90.0),
    "note": Reach(5.0, 50.0, 20.0, 90.0),
    "chapter": Reach(5.0, 0.0, 30.0, 90.0),
    "repair": Reach(1.5, 80.0, 1.5, 80.0),
    "check": Reach(5.0, 60.0, 30.0, 95.0),
}
_ALIKE = 95.0
# Of these there is one a name (and kind), wherever it is said: the very name is the thing.
_GATHERED: tuple[Thing, ...] = ("item", "technique", "piece")


def names_of(thing: AnyThing) -> list[str]:
    """What ``thing`` is known by, its own name first."""
    match thing:
        case Item() | Technique():
            return [thing.name, *thing.aliases]
        case Piece():
            return [thing.name]
        case Chapter():
            return [thing.title]
        case LinkOwed():
            return [thing.what, thing.text]
        case Repair():
            return [thing.heard]
        case _:
            return [thing.text]


def times_of(thing: AnyThing) -> list[float]:
    """Where ``thing`` is in the log, in seconds; empty for a piece, which has no time of its own."""
    match thing:
        case Item():
            return [m.start_s for m in thing.mentions] or [thing.first_s]
        case Technique():
            return [m.start_s for m in thing.mentions] or [thing.first_shown_s]
        case Piece():
            return []
        case _:
            return [thing.start_s]


def anchor(thing: AnyThing, at_s: float | None = None) -> Anchor:
    """An anchor for ``thing``; of a thing said several times, for the mention at ``at_s`` (else the first)."""
    times = times_of(thing) or [0.0]
    start = times[0] if at_s is None else min(times, key=lambda t: abs(t - at_s))
    of: Thing
    kind: str | None = None
    end: float | None = None
    match thing:
        case Item():
            of, kind = "item", thing.kind
        case Technique():
            of = "technique"
        case Measurement():
            of = "measurement"
        case Derived():
            of = "derived"
        case Step():
            of, end = "step", thing.end_s
        case LinkOwed():
            of = "link"
        case Note():
            of, kind = "note", thing.kind
        case Chapter():
            of = "chapter"
        case Piece():
            of = "piece"
        case Repair():
            of = "repair"
        case Check():
            of, kind = "check", thing.kind
    return Anchor(of=of, name=names_of(thing)[0], start_s=start, end_s=end, kind=kind)


def things(log: Log, of: Thing) -> Sequence[AnyThing]:
    """The list of the log in which things of this sort are kept."""
    found: Sequence[AnyThing] = getattr(log, LISTS[of])
    return found


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


def _likeness(names: Iterable[str], wanted: str) -> float:
    """0 to 100; an alias counts a little less than the name."""
    best = 0.0
    for index, name in enumerate(names):
        name = _plain(name)
        if name == wanted:
            like = 100.0
        else:
            like = max(fuzz.ratio(name, wanted), fuzz.token_sort_ratio(name, wanted) - 1.0)
        best = max(best, like - (0.5 if index else 0.0))
    return best


def _within(log: Log, where: Anchor, most_s: float) -> Iterator[tuple[int, AnyThing, float]]:
    """The things of that sort that are at most ``most_s`` away: index, thing, how far in seconds."""
    if where.of not in _GATHERED:
        # Most are left at once: opening a part with hundreds of edits looks through hundreds of things for each.
        values: Sequence[Any] = things(log, where.of)
        low, high = where.start_s - most_s, where.start_s + most_s
        near = [(n, v) for n, v in enumerate(values) if low <= v.start_s <= high]
        for index, thing in near:
            yield index, thing, abs(thing.start_s - where.start_s)
        return
    for index, thing in enumerate(things(log, where.of)):
        gap = min((abs(t - where.start_s) for t in times_of(thing)), default=0.0)
        if gap <= most_s:
            yield index, thing, gap


def find(log: Log, where: Anchor) -> int | None:
    """The index of the thing that ``where`` means in its list of ``log``, or ``None`` where nothing is like it."""
    reach = REACH[where.of]
    wanted = _plain(where.name)
    if where.of in _GATHERED:
        exact = [i for i, t in enumerate(things(log, where.of)) if _plain(names_of(t)[0]) == wanted]
        if exact:
            return min(exact, key=lambda i: getattr(things(log, where.of)[i], "kind", None) != where.kind)
    best: tuple[float, int] | None = None
    for index, thing, gap in _within(log, where, max(reach.near_s, reach.far_s)):
        like = _likeness(names_of(thing), wanted)
        near = reach.near
        if isinstance(thing, Step) and where.end_s is not None:
            # The same stretch of film is the same step, however it is worded now.
            common = min(thing.end_s, where.end_s) - max(thing.start_s, where.start_s)
            whole = max(thing.end_s, where.end_s) - min(thing.start_s, where.start_s)
            if whole > 0 and common / whole >= 0.7:
                near = 25.0
        if not ((gap <= reach.near_s and like >= near) or (gap <= reach.far_s and like >= reach.far)):
            continue
        kind = getattr(thing, "kind", None)
        rank = like - 4.0 * min(gap, 12.0) + (5.0 if where.kind == kind else 0.0)
        if best is None or rank > best[0]:
            best = (rank, index)
    return None if best is None else best[1]


def find_alike(log: Log, where: Anchor) -> list[AnyThing]:
    """All things of that sort and name, whenever they are said."""
    wanted = _plain(where.name)
    return [t for t in things(log, where.of) if _likeness(names_of(t)[:1], wanted) >= _ALIKE]
