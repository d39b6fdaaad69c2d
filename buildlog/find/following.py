"""Bringing the index of a part from its log before an edit to its log after it, touching only what the edit touched.

Parts of a log that an edit did not change are the very same objects in both logs: nothing else is looked at twice.
"""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple, TypeVar

from buildlog.document import Item, Log, Technique
from buildlog.find import rows
from buildlog.find.moments import Cut, cut_of, some

T = TypeVar("T")
_AT_ONCE = 500
_COLUMNS = "id, seq, start_s, end_s, at_s, said, done, names, piece, flags"


def follow(conn: sqlite3.Connection, part_id: int, before: Log, after: Log) -> bool:
    """Bring the index, which is of ``before``, up to ``after``. False where it is not: then it has to be made anew.

    Inside a transaction; what was written until then is no worse to start from than what was there before.
    """
    old, new = cut_of(before.transcript), cut_of(after.transcript, before.transcript)
    change = Change(before, after, old, new, *old.changed(new))
    if change.now != change.stop:
        _make_room(conn, part_id, change)
    return (
        _write_moments(conn, part_id, change)
        and _write_things(conn, part_id, change)
        and _write_owed(conn, part_id, change)
    )


class Change(NamedTuple):
    """Two logs and their sentences: those from ``first`` to before ``stop`` became those from ``first`` to ``now``."""

    before: Log
    after: Log
    old: Cut
    new: Cut
    first: int
    stop: int
    now: int

    def moved(self) -> bool:
        """Whether what was in a sentence by its time may be in another one now."""
        return self.old.starts[self.first : self.stop] != self.new.starts[self.first : self.now]


def _differing(old: Sequence[T], new: Sequence[T]) -> tuple[list[T], list[T]]:
    """What is only in ``old`` and what is only in ``new``, by identity; where the order changed, all in between."""
    if old is new:
        return [], []
    least = min(len(old), len(new))
    head = next((n for n in range(least) if old[n] is not new[n]), least)
    tail = next((n for n in range(least - head) if old[-1 - n] is not new[-1 - n]), least - head)
    gone, come = list(old[head : len(old) - tail]), list(new[head : len(new) - tail])
    was, now = {id(v) for v in gone}, {id(v) for v in come}
    if [id(v) for v in gone if id(v) in now] != [id(v) for v in come if id(v) in was]:
        return gone, come
    return [v for v in gone if id(v) not in now], [v for v in come if id(v) not in was]


def _touched(c: Change) -> set[int]:
    """The numbers of the moments of the log after that may not be what they were."""
    touched = set(range(max(0, c.first - c.moved()), c.now))

    def was(numbers: Iterable[int]) -> None:
        for n in numbers:
            if n < c.first:
                touched.add(n)
            elif n >= c.stop:
                touched.add(n + c.now - c.stop)

    gone, come = _differing(c.before.steps, c.after.steps)
    was(c.old.of(s.start_s) for s in gone)
    touched.update(c.new.of(s.start_s) for s in come)
    for things_gone, things_come in (
        _differing(c.before.items, c.after.items),
        _differing(c.before.techniques, c.after.techniques),
    ):
        was(n for thing in things_gone for n in c.old.places(thing))
        touched.update(n for thing in things_come for n in c.new.places(thing))
    notes_gone, notes_come = _differing(c.before.notes, c.after.notes)
    was(c.old.of(n.start_s) for n in notes_gone)
    touched.update(c.new.of(n.start_s) for n in notes_come)
    pieces = {p.id for changed in _differing(c.before.pieces, c.after.pieces) for p in changed}
    if pieces:
        touched.update(c.new.of(s.start_s) for s in c.after.steps if s.piece in pieces)
    return touched


def _make_room(conn: sqlite3.Connection, part_id: int, c: Change) -> None:
    """Sentences became more or fewer: number the rows after them anew, and take those out that are too many."""
    counts: Counter[str] = Counter()
    for row in _rows(conn, part_id, range(c.now, c.stop)).values():
        conn.execute("DELETE FROM find_at WHERE moment_id = ?", (row[0],))
        rows.remove_moment(conn, row[0], row[5:8], counts)
    rows.count_words(conn, counts)
    conn.execute(
        "UPDATE find_moment SET seq = seq + ? WHERE part_id = ? AND seq >= ?", (c.now - c.stop, part_id, c.stop)
    )


def _rows(conn: sqlite3.Connection, part_id: int, numbers: Iterable[int]) -> dict[int, Any]:
    """The part's rows of these moments, by number."""
    found: dict[int, Any] = {}
    wanted = list(numbers)
    for at in range(0, len(wanted), _AT_ONCE):
        batch = wanted[at : at + _AT_ONCE]
        marks = ",".join("?" * len(batch))
        query = f"SELECT {_COLUMNS} FROM find_moment WHERE part_id = ? AND seq IN ({marks})"
        found.update((row[1], tuple(row)) for row in conn.execute(query, (part_id, *batch)))
    return found


def _write_moments(conn: sqlite3.Connection, part_id: int, c: Change) -> bool:
    counts: Counter[str] = Counter()
    touched = {n for n in _touched(c) if n < len(c.new)}
    there = _rows(conn, part_id, touched)
    for seq, m in some(c.after, c.new, touched).items():
        row = there.get(seq)
        if row is None:
            if not c.stop <= seq < c.now:
                return False
            rows.add_moment(conn, part_id, seq, m, counts)
        elif row[2:] != (m.start_s, m.end_s, m.at_s, m.said, m.done, m.names, m.piece, m.flags):
            rows.change_moment(conn, row[0], row[5:8], m, counts)
    rows.count_words(conn, counts)
    return True


def _thing_rows(c: Change) -> tuple[list[rows.ThingRow], list[rows.ThingRow]]:
    """The rows to take out and to put in."""
    gone: list[rows.ThingRow] = []
    come: list[rows.ThingRow] = []
    moved = c.moved()
    old_part, new_part = set(range(max(0, c.first - 1), c.stop)), set(range(max(0, c.first - 1), c.now))
    for mine, theirs in ((c.before.items, c.after.items), (c.before.techniques, c.after.techniques)):
        was: Sequence[Item | Technique] = mine
        now: Sequence[Item | Technique] = theirs
        out, into = _differing(was, now)
        if moved:
            fresh = {id(t) for t in into}
            elsewhere = [
                t
                for t in now
                if id(t) not in fresh
                and not (t.mentions and old_part.isdisjoint(c.old.places(t)) and new_part.isdisjoint(c.new.places(t)))
            ]
            out, into = [*out, *elsewhere], [*into, *elsewhere]
        gone += map(rows.of_thing, out)
        come += map(rows.of_thing, into)
    steps = [s for changed in _differing(c.before.steps, c.after.steps) for s in changed]
    names = {s.piece for s in steps} | {p.id for ps in _differing(c.before.pieces, c.after.pieces) for p in ps}
    if moved:
        names |= {p.id for p in c.after.pieces}
    gone += [rows.of_piece(p, c.before) for p in c.before.pieces if p.id in names]
    come += [rows.of_piece(p, c.after) for p in c.after.pieces if p.id in names]
    if not moved:
        # What did not change in anything that is kept stays.
        same = Counter(gone) & Counter(come)
        gone, come = list((Counter(gone) - same).elements()), list((Counter(come) - same).elements())
    return gone, come


def _write_things(conn: sqlite3.Connection, part_id: int, c: Change) -> bool:
    gone, come = _thing_rows(c)
    for row in gone:
        if not rows.remove_thing(conn, part_id, row):
            return False
    numbers = [{c.new.of(t) for t in row.times} if len(c.new) else set() for row in come]
    ids = _rows(conn, part_id, set().union(*numbers))
    for row, places in zip(come, numbers, strict=True):
        if not places <= ids.keys():
            return False
        rows.add_thing(conn, part_id, row, [ids[n][0] for n in places])
    return True


def _write_owed(conn: sqlite3.Connection, part_id: int, c: Change) -> bool:
    gone, come = _differing(c.before.links_owed, c.after.links_owed)
    for link in filter(rows.owed, gone):
        if not rows.remove_owed(conn, part_id, link):
            return False
    rows.add_owed(conn, part_id, filter(rows.owed, come))
    return True
