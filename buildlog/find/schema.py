"""The index's tables. They live in the archive's own file, so that they change in the transaction of what they index.

Everything here can be computed again from the logs: a damaged or outdated index is dropped and made anew, not migrated.
"""

from __future__ import annotations

import functools
import sqlite3

from buildlog import weights

_VERSION = 4  # counted up whenever what is kept, or how text is cut, changes


@functools.cache
def stamp() -> str:
    """What the index is made with; one with another stamp is made anew.

    It names the sentence encoder too: vectors of two encoders have nothing to do with each other.
    """
    encoder = weights.manifest()["sentences"].files["sentences.onnx"].sha256
    return f"{_VERSION} {encoder[:12]}"


_TABLES = (
    "CREATE TABLE IF NOT EXISTS find_meta (name TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID",
    # change_id: the newest change of the part that the index has seen.
    """CREATE TABLE IF NOT EXISTS find_part (
        part_id INTEGER PRIMARY KEY,
        change_id INTEGER NOT NULL,
        build TEXT NOT NULL,
        number INTEGER NOT NULL,
        title TEXT NOT NULL,
        day TEXT NOT NULL)""",
    # A moment: a sentence or a few, with the steps told in it and names of things that its words do not hold.
    # at_s: where the doing begins, else start_s. cell: where its vector is kept, NULL while it has none.
    """CREATE TABLE IF NOT EXISTS find_moment (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        part_id INTEGER NOT NULL,
        seq INTEGER NOT NULL,
        start_s REAL NOT NULL,
        end_s REAL NOT NULL,
        at_s REAL NOT NULL,
        said TEXT NOT NULL,
        done TEXT NOT NULL,
        names TEXT NOT NULL,
        piece TEXT NOT NULL,
        flags INTEGER NOT NULL,
        cell INTEGER)""",
    "CREATE INDEX IF NOT EXISTS find_moment_part ON find_moment(part_id, seq)",
    "CREATE INDEX IF NOT EXISTS find_moment_waiting ON find_moment(id) WHERE cell IS NULL",
    # detail=none, columnsize=0: only which moments hold a word; weighing is done on the few that are looked at.
    """CREATE VIRTUAL TABLE IF NOT EXISTS find_text USING fts5(
        said, done, names, content='find_moment', content_rowid='id',
        tokenize="porter unicode61 remove_diacritics 2", detail=none, columnsize=0)""",
    """CREATE TABLE IF NOT EXISTS find_word (
        id INTEGER PRIMARY KEY,
        word TEXT NOT NULL UNIQUE,
        stem TEXT NOT NULL,
        sound TEXT NOT NULL,
        n INTEGER NOT NULL)""",
    "CREATE INDEX IF NOT EXISTS find_word_stem ON find_word(stem)",
    "CREATE INDEX IF NOT EXISTS find_word_sound ON find_word(sound)",
    "CREATE VIRTUAL TABLE IF NOT EXISTS find_spelling USING fts5(word, tokenize=trigram, detail=none, columnsize=0)",
    # Vectors (int8) of words by themselves, for words that mean much the same: see likeness.py.
    "CREATE TABLE IF NOT EXISTS find_like (word_id INTEGER PRIMARY KEY, word TEXT NOT NULL, v BLOB NOT NULL)",
    # of: an item's kind, "technique" or "piece". key: what joins the same thing over parts. times: JSON, seconds.
    """CREATE TABLE IF NOT EXISTS find_thing (
        id INTEGER PRIMARY KEY,
        part_id INTEGER NOT NULL,
        of TEXT NOT NULL,
        name TEXT NOT NULL,
        key TEXT NOT NULL,
        names TEXT NOT NULL,
        status TEXT NOT NULL,
        first_s REAL NOT NULL,
        times TEXT NOT NULL)""",
    "CREATE INDEX IF NOT EXISTS find_thing_part ON find_thing(part_id)",
    "CREATE INDEX IF NOT EXISTS find_thing_key ON find_thing(key, of)",
    """CREATE TABLE IF NOT EXISTS find_at (
        thing_id INTEGER NOT NULL,
        moment_id INTEGER NOT NULL,
        PRIMARY KEY (thing_id, moment_id)) WITHOUT ROWID""",
    "CREATE INDEX IF NOT EXISTS find_at_moment ON find_at(moment_id)",
    # word -> things with that word in one of their names
    """CREATE TABLE IF NOT EXISTS find_thing_word (
        stem TEXT NOT NULL,
        thing_id INTEGER NOT NULL,
        PRIMARY KEY (stem, thing_id)) WITHOUT ROWID""",
    "CREATE INDEX IF NOT EXISTS find_thing_word_thing ON find_thing_word(thing_id)",
    # Links promised aloud that still have no URL.
    """CREATE TABLE IF NOT EXISTS find_owed (
        id INTEGER PRIMARY KEY,
        part_id INTEGER NOT NULL,
        start_s REAL NOT NULL,
        what TEXT NOT NULL,
        text TEXT NOT NULL)""",
    "CREATE INDEX IF NOT EXISTS find_owed_part ON find_owed(part_id)",
    # Vectors (int8, unit length 127) lie together with others like them: see cells.py.
    """CREATE TABLE IF NOT EXISTS find_vector (
        cell INTEGER NOT NULL,
        moment_id INTEGER NOT NULL,
        v BLOB NOT NULL,
        PRIMARY KEY (cell, moment_id)) WITHOUT ROWID""",
    "CREATE TABLE IF NOT EXISTS find_cell (id INTEGER PRIMARY KEY, n INTEGER NOT NULL, v BLOB NOT NULL)",
)  # fmt: skip
_NAMES = (
    "find_text", "find_spelling", "find_meta", "find_part", "find_moment", "find_word", "find_thing", "find_at",
    "find_thing_word", "find_owed", "find_vector", "find_cell", "find_like",
)  # fmt: skip


def there(conn: sqlite3.Connection) -> bool:
    """Whether the index's tables exist and are of this version."""
    try:
        row = conn.execute("SELECT value FROM find_meta WHERE name = 'stamp'").fetchone()
    except sqlite3.OperationalError:
        return False
    return row is not None and row[0] == stamp() and _whole(conn)


def _whole(conn: sqlite3.Connection) -> bool:
    """Whether the word indexes have all their own tables: without one, no change could be written at all."""
    wanted = [f"{index}_{part}" for index in ("find_text", "find_spelling") for part in ("data", "idx", "config")]
    marks = ",".join("?" * len(wanted))
    found = conn.execute(f"SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name IN ({marks})", wanted)
    return bool(found.fetchone()[0] == len(wanted))


def make(conn: sqlite3.Connection) -> None:
    """Make the tables. Inside a write transaction."""
    for statement in _TABLES:
        conn.execute(statement)
    conn.execute("INSERT OR REPLACE INTO find_meta VALUES ('stamp', ?), ('made', hex(randomblob(8)))", (stamp(),))


def drop(conn: sqlite3.Connection) -> None:
    """Take all of the index away, however damaged it is. Inside a write transaction."""
    for name in _NAMES:
        try:
            conn.execute(f"DROP TABLE IF EXISTS {name}")
        except sqlite3.DatabaseError:
            # A word index whose own tables are damaged cannot be dropped as a whole: its parts can.
            for part in ("data", "idx", "docsize", "config", "content"):
                conn.execute(f"DROP TABLE IF EXISTS {name}_{part}")
            conn.execute("PRAGMA writable_schema = ON")
            conn.execute("DELETE FROM sqlite_master WHERE name = ?", (name,))
            conn.execute("PRAGMA writable_schema = RESET")


def flagged(conn: sqlite3.Connection, name: str) -> bool:
    """Whether a mark was left in the index's notes ("damaged")."""
    return conn.execute("SELECT 1 FROM find_meta WHERE name = ?", (name,)).fetchone() is not None
