"""Keeping the index in step with the archive: in the transaction of every change, and made anew by one command."""

from __future__ import annotations

import bisect
import contextlib
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterable

from buildlog.archive import Archive
from buildlog.document import Log
from buildlog.find import cells, following, rows, schema
from buildlog.find.moments import Moment, cut_of, moments
from buildlog.find.searching import Damaged
from buildlog.tag.lexicon import Lexicon

Progress = Callable[[int, int], None]
_CORRUPT = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}


def is_damage(error: BaseException) -> bool:
    """Whether an error says that the index (or the file) is damaged, rather than busy or full."""
    if isinstance(error, Damaged):
        return True
    cause = error if isinstance(error, sqlite3.Error) else error.__cause__
    code = getattr(cause, "sqlite_errorcode", None)
    torn = any(told in str(cause) for told in ("no such table: ", "SQL logic error", "vtable constructor failed"))
    return (code is not None and code & 0xFF in _CORRUPT) or torn


def follow(archive: Archive) -> None:
    """Have the index of ``archive`` follow every change of a part, in the same transaction."""
    archive.on_change(lambda conn, part_id, log: changed(archive, conn, part_id, log))


def changed(archive: Archive, conn: sqlite3.Connection, part_id: int, log: Log | None) -> None:
    """A part has changed (``log`` is ``None`` where it is gone): bring the index up, inside the same transaction."""
    conn.execute("SAVEPOINT find")
    try:
        if not schema.there(conn):
            schema.drop(conn)
            schema.make(conn)
        _keep(archive, conn, part_id, log)
    except sqlite3.DatabaseError as error:
        if not is_damage(error):
            raise
        # An edit is worth more than the index: the change is made, and the index is made anew when next asked.
        # (A torn word index may not even be rolled back; then what was written of it goes with the rest of it.)
        for statement in ("ROLLBACK TO find", "INSERT OR REPLACE INTO find_meta VALUES ('damaged', '1')"):
            with contextlib.suppress(sqlite3.DatabaseError):
                conn.execute(statement)
    conn.execute("RELEASE find")


def get_ready(log: Log) -> None:
    """Do beforehand what the first change of a part whose log is ``log`` needs; may be called from a thread."""
    cut = cut_of(log.transcript)
    for item in log.items:
        cut.places(item)
    for technique in log.techniques:
        cut.places(technique)
    Lexicon.load()


def behind(archive: Archive) -> list[int]:
    """The parts that the index does not know as they are now (made before there was an index, or without it)."""
    with archive.store.read() as conn:
        if not schema.there(conn) or schema.flagged(conn, "damaged"):
            return [p.id for p in archive.builds.parts()]
        rows = conn.execute(
            "SELECT p.id FROM part p LEFT JOIN find_part f ON f.part_id = p.id WHERE f.part_id IS NULL OR f.change_id <"
            " coalesce((SELECT max(c.id) FROM change c WHERE c.part_id = p.id), 0)"
            " UNION SELECT part_id FROM find_part WHERE part_id NOT IN (SELECT id FROM part)"
        )
        return [int(row[0]) for row in rows]


def bring_up(archive: Archive, progress: Progress | None = None) -> int:
    """Index the parts that the index does not know as they are now. Returns how many there were."""
    late = behind(archive)
    for n, part_id in enumerate(late):
        with archive.store.write() as conn:
            if not schema.there(conn) or schema.flagged(conn, "damaged"):
                schema.drop(conn)
                schema.make(conn)
            there = conn.execute("SELECT 1 FROM part WHERE id = ?", (part_id,)).fetchone()
            _keep(archive, conn, part_id, archive.log(part_id) if there else None)
        if progress:
            progress(n + 1, len(late))
    return len(late)


def rebuild(archive: Archive, progress: Progress | None = None) -> int:
    """Make the whole index anew. Returns the number of parts."""
    with archive.store.write() as conn:
        schema.drop(conn)
        schema.make(conn)
    return bring_up(archive, progress)


def damage(archive: Archive) -> bool:
    """Whether the index contradicts itself or what it indexes; reads all of it."""
    with archive.store.read() as conn:
        if not schema.there(conn):
            return False
        if schema.flagged(conn, "damaged"):
            return True
    try:
        with archive.store.write() as conn:
            conn.execute("INSERT INTO find_text(find_text, rank) VALUES ('integrity-check', 1)")
    except Exception:
        return True
    return False


# One part ---------------------------------------------------------------------------------------------------------


def _keep(archive: Archive, conn: sqlite3.Connection, part_id: int, log: Log | None) -> None:
    """Bring the index of one part up to its log: only what changed is written."""
    if log is None:
        _write_moments(conn, part_id, [])
        _forget_things(conn, part_id)
        conn.execute("DELETE FROM find_part WHERE part_id = ?", (part_id,))
        return
    part = archive.builds.part(part_id)
    change, last = _changes(conn, part_id)
    indexed = conn.execute("SELECT build, change_id FROM find_part WHERE part_id = ?", (part_id,)).fetchone()
    if indexed is not None and indexed[0] != part.build:  # the build's name is in the vectors
        for (moment_id,) in conn.execute("SELECT id FROM find_moment WHERE part_id = ?", (part_id,)).fetchall():
            cells.remove(conn, moment_id)
            conn.execute("UPDATE find_moment SET cell = NULL WHERE id = ?", (moment_id,))
    conn.execute(
        "INSERT OR REPLACE INTO find_part VALUES (?, ?, ?, ?, ?, ?)",
        (part_id, change, part.build, part.number, part.title or "", part.posted_on or part.made_at[:10]),
    )
    before = archive.log_before()
    # The index is of the log before this change: what the change touched is all there is to do.
    in_step = before is not None and indexed is not None and indexed[1] == last
    if before is not None and in_step and following.follow(conn, part_id, before, log):
        return
    ids = write_part(conn, part_id, moments(log))
    _write_things(conn, part_id, log, ids)


def _changes(conn: sqlite3.Connection, part_id: int) -> tuple[int, int]:
    """The number of the part's newest change, and of the one before it; 0 where there is none."""
    rows = conn.execute("SELECT id FROM change WHERE part_id = ? ORDER BY id DESC LIMIT 2", (part_id,)).fetchall()
    numbers = [int(row[0]) for row in rows] + [0, 0]
    return numbers[0], numbers[1]


def write_part(conn: sqlite3.Connection, part_id: int, found: list[Moment]) -> list[tuple[float, int]]:
    """Make ``found`` the moments of a part. Returns start and id of each, in order."""
    _write_moments(conn, part_id, found)
    rows = conn.execute("SELECT start_s, id FROM find_moment WHERE part_id = ? ORDER BY seq", (part_id,))
    return [(row[0], row[1]) for row in rows]


def _write_moments(conn: sqlite3.Connection, part_id: int, found: list[Moment]) -> None:
    old = {
        (r[2], r[3], r[4], r[5], r[6], r[7], r[8], r[9]): (r[0], r[1])
        for r in conn.execute(
            "SELECT id, seq, start_s, end_s, at_s, said, done, names, piece, flags FROM find_moment WHERE part_id = ?",
            (part_id,),
        )
    }
    counts: Counter[str] = Counter()
    fresh: list[tuple[int, Moment]] = []
    for seq, m in enumerate(found):
        same = old.pop((m.start_s, m.end_s, m.at_s, m.said, m.done, m.names, m.piece, m.flags), None)
        if same is None:
            fresh.append((seq, m))
        elif same[1] != seq:
            conn.execute("UPDATE find_moment SET seq = ? WHERE id = ?", (seq, same[0]))
    kept_vectors: dict[str, bytes] = {}
    for key, (moment_id, _) in old.items():
        vector = rows.remove_moment(conn, moment_id, (key[3], key[4], key[5]), counts)
        if vector is not None:
            kept_vectors[key[3]] = vector
    for seq, m in fresh:
        made = rows.add_moment(conn, part_id, seq, m, counts)
        vector = kept_vectors.get(m.said)
        if vector is not None:
            cells.add(conn, [(made, vector)])
    rows.count_words(conn, counts)


# Things -----------------------------------------------------------------------------------------------------------


def _forget_things(conn: sqlite3.Connection, part_id: int) -> None:
    mine = "(SELECT id FROM find_thing WHERE part_id = ?)"
    conn.execute(f"DELETE FROM find_at WHERE thing_id IN {mine}", (part_id,))
    conn.execute(f"DELETE FROM find_thing_word WHERE thing_id IN {mine}", (part_id,))
    conn.execute("DELETE FROM find_thing WHERE part_id = ?", (part_id,))
    conn.execute("DELETE FROM find_owed WHERE part_id = ?", (part_id,))


def _write_things(conn: sqlite3.Connection, part_id: int, log: Log, ids: list[tuple[float, int]]) -> None:
    _forget_things(conn, part_id)
    rows.add_owed(conn, part_id, [x for x in log.links_owed if rows.owed(x)])
    starts = [start for start, _ in ids]

    def at(times: Iterable[float]) -> set[int]:
        return {ids[max(0, bisect.bisect_right(starts, t + 0.05) - 1)][1] for t in times} if ids else set()

    things = [*(rows.of_thing(i) for i in log.items), *(rows.of_thing(t) for t in log.techniques)]
    things += [rows.of_piece(p, log) for p in log.pieces]
    for thing in things:
        rows.add_thing(conn, part_id, thing, at(thing.times))
