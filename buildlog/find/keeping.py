"""Keeping the index in step with the archive: in the transaction of every change, and made anew by one command."""

from __future__ import annotations

import bisect
import contextlib
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterable

import msgspec

from buildlog.archive import Archive
from buildlog.document import Log
from buildlog.find import cells, schema
from buildlog.find.moments import Moment, moments
from buildlog.find.searching import Damaged
from buildlog.find.wording import sound, stem, stems, words_of
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
    change = conn.execute("SELECT coalesce(max(id), 0) FROM change WHERE part_id = ?", (part_id,)).fetchone()[0]
    before = conn.execute("SELECT build FROM find_part WHERE part_id = ?", (part_id,)).fetchone()
    if before is not None and before[0] != part.build:  # the build's name is in the vectors
        for (moment_id,) in conn.execute("SELECT id FROM find_moment WHERE part_id = ?", (part_id,)).fetchall():
            cells.remove(conn, moment_id)
            conn.execute("UPDATE find_moment SET cell = NULL WHERE id = ?", (moment_id,))
    conn.execute(
        "INSERT OR REPLACE INTO find_part VALUES (?, ?, ?, ?, ?, ?)",
        (part_id, change, part.build, part.number, part.title or "", part.posted_on or part.made_at[:10]),
    )
    ids = write_part(conn, part_id, moments(log))
    _write_things(conn, part_id, log, ids)


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
        _, _, _, said, done, names, _, _ = key
        counts.subtract({*words_of(said), *words_of(done), *words_of(names)})
        vector = cells.remove(conn, moment_id)
        if vector is not None:
            kept_vectors[said] = vector
        conn.execute(
            "INSERT INTO find_text(find_text, rowid, said, done, names) VALUES ('delete', ?, ?, ?, ?)",
            (moment_id, said, done, names),
        )
        conn.execute("DELETE FROM find_moment WHERE id = ?", (moment_id,))
    for seq, m in fresh:
        cursor = conn.execute(
            "INSERT INTO find_moment (part_id, seq, start_s, end_s, at_s, said, done, names, piece, flags)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (part_id, seq, m.start_s, m.end_s, m.at_s, m.said, m.done, m.names, m.piece, m.flags),
        )
        conn.execute(
            "INSERT INTO find_text (rowid, said, done, names) VALUES (?, ?, ?, ?)",
            (cursor.lastrowid, m.said, m.done, m.names),
        )
        counts.update({*words_of(m.said), *words_of(m.done), *words_of(m.names)})
        vector = kept_vectors.get(m.said)
        if vector is not None:
            cells.add(conn, [(int(cursor.lastrowid or 0), vector)])
    _count_words(conn, counts)


def _count_words(conn: sqlite3.Connection, counts: Counter[str]) -> None:
    """How many moments hold each word: for weighing, and to know the words that misspelt ones may mean."""
    for word, n in counts.items():
        if n == 0:
            continue
        if conn.execute("UPDATE find_word SET n = n + ? WHERE word = ?", (n, word)).rowcount:
            continue
        made = conn.execute(
            "INSERT INTO find_word (word, stem, sound, n) VALUES (?, ?, ?, ?)", (word, stem(word), sound(word), n)
        )
        conn.execute("INSERT INTO find_spelling (rowid, word) VALUES (?, ?)", (made.lastrowid, word))


# Things -----------------------------------------------------------------------------------------------------------


def key_of(name: str, of: str) -> str:
    """What joins the same thing over parts: the craft's own name for it, else its words' stems."""
    term = Lexicon.load().find(name, of if of != "piece" else None)
    return " ".join(stems(words_of(term.name if term is not None else name)))


def _forget_things(conn: sqlite3.Connection, part_id: int) -> None:
    mine = "(SELECT id FROM find_thing WHERE part_id = ?)"
    conn.execute(f"DELETE FROM find_at WHERE thing_id IN {mine}", (part_id,))
    conn.execute(f"DELETE FROM find_thing_word WHERE thing_id IN {mine}", (part_id,))
    conn.execute("DELETE FROM find_thing WHERE part_id = ?", (part_id,))
    conn.execute("DELETE FROM find_owed WHERE part_id = ?", (part_id,))


def _write_things(conn: sqlite3.Connection, part_id: int, log: Log, ids: list[tuple[float, int]]) -> None:
    _forget_things(conn, part_id)
    conn.executemany(
        "INSERT INTO find_owed (part_id, start_s, what, text) VALUES (?, ?, ?, ?)",
        [(part_id, x.start_s, x.what, x.text) for x in log.links_owed if x.url is None and not x.waived],
    )
    starts = [start for start, _ in ids]

    def at(times: Iterable[float]) -> set[int]:
        return {ids[max(0, bisect.bisect_right(starts, t + 0.05) - 1)][1] for t in times} if ids else set()

    rows: list[tuple[str, str, list[str], str, float, list[float]]] = [
        (i.kind, i.name, i.aliases, i.status, i.first_s, [m.start_s for m in i.mentions] or [i.first_s])
        for i in log.items
    ]
    rows += [
        ("technique", t.name, t.aliases, "used", t.first_shown_s, [m.start_s for m in t.mentions] or [t.first_shown_s])
        for t in log.techniques
    ]
    for piece in log.pieces:
        times = [s.start_s for s in log.steps if s.piece == piece.id]
        rows.append(("piece", piece.name, [], "used", min(times, default=0.0), times))
    for of, name, aliases, status, first_s, times in rows:
        made = conn.execute(
            "INSERT INTO find_thing (part_id, of, name, key, names, status, first_s, times)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (part_id, of, name, key_of(name, of), "\n".join((name, *aliases)), status, first_s,
             msgspec.json.encode(times).decode()),
        )  # fmt: skip
        conn.executemany("INSERT INTO find_at VALUES (?, ?)", [(made.lastrowid, m) for m in at(times)])
        conn.executemany(
            "INSERT OR IGNORE INTO find_thing_word VALUES (?, ?)",
            [(s, made.lastrowid) for text in (name, *aliases) for s in stems(words_of(text))],
        )
