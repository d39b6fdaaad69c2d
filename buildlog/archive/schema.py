"""The archive's tables, and how an older archive becomes a newer one.

``MIGRATIONS`` is append-only: entry *n* brings an archive from version *n* to *n + 1*. What was released is never
changed. Version numbers live in ``PRAGMA user_version``; ``PRAGMA application_id`` tells our files from others'.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

# "blog" in ASCII: a number of our own, so that another program's database is not written to.
APPLICATION_ID = 0x626C6F67


def _first(conn: sqlite3.Connection) -> None:
    """Builds, parts, recordings, cuts, readings and edits."""
    for statement in (
        """CREATE TABLE build (
            id INTEGER PRIMARY KEY,
            name TEXT NOT NULL UNIQUE COLLATE NOCASE,
            made_at TEXT NOT NULL)""",
        # edits_before: the newest edit when the part was made; only corrections up to it are remembered for the part.
        """CREATE TABLE part (
            id INTEGER PRIMARY KEY,
            build_id INTEGER NOT NULL REFERENCES build(id) ON DELETE CASCADE,
            number INTEGER NOT NULL CHECK (number > 0),
            title TEXT,
            video_url TEXT,
            posted_on TEXT,
            host TEXT,
            host_settings TEXT NOT NULL DEFAULT '{}',
            edits_before INTEGER NOT NULL DEFAULT 0,
            made_at TEXT NOT NULL,
            UNIQUE (build_id, number))""",
        """CREATE TABLE recording (
            id INTEGER PRIMARY KEY,
            path TEXT NOT NULL,
            sha256 TEXT NOT NULL UNIQUE,
            duration_s REAL NOT NULL,
            facts TEXT NOT NULL DEFAULT '{}',
            made_at TEXT NOT NULL)""",
        # Cuts are never changed: a new cut is a new row, so that an edit's times can be carried over from the old one.
        # same_times: other recordings of the same film, in which everything is where it was in the cut before.
        """CREATE TABLE cut (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            part_id INTEGER NOT NULL REFERENCES part(id) ON DELETE CASCADE,
            offset_s REAL NOT NULL DEFAULT 0,
            same_times INTEGER NOT NULL DEFAULT 0,
            made_at TEXT NOT NULL)""",
        """CREATE TABLE clip (
            cut_id INTEGER NOT NULL REFERENCES cut(id) ON DELETE CASCADE,
            position INTEGER NOT NULL,
            recording_id INTEGER NOT NULL REFERENCES recording(id),
            in_s REAL NOT NULL,
            out_s REAL NOT NULL,
            speed REAL NOT NULL DEFAULT 1 CHECK (speed > 0),
            PRIMARY KEY (cut_id, position),
            CHECK (out_s > in_s)) WITHOUT ROWID""",
        """CREATE TABLE reading (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            recording_id INTEGER NOT NULL REFERENCES recording(id) ON DELETE CASCADE,
            stage TEXT NOT NULL,
            key TEXT NOT NULL,
            body BLOB NOT NULL,
            made_at TEXT NOT NULL,
            UNIQUE (recording_id, stage, key))""",
        # act: 'edit', 'undo' or 'redo'; the latter two name the edit they are about.
        """CREATE TABLE edit (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            part_id INTEGER NOT NULL REFERENCES part(id) ON DELETE CASCADE,
            cut_id INTEGER REFERENCES cut(id),
            act TEXT NOT NULL CHECK (act IN ('edit', 'undo', 'redo')),
            about INTEGER REFERENCES edit(id),
            body TEXT,
            remember INTEGER NOT NULL DEFAULT 0,
            made_at TEXT NOT NULL,
            CHECK ((act = 'edit') = (body IS NOT NULL) AND (act = 'edit') = (about IS NULL)))""",
        "CREATE INDEX edit_part ON edit(part_id, id)",
        "CREATE INDEX edit_remembered ON edit(remember, id) WHERE remember = 1",
        "CREATE INDEX edit_about ON edit(about, id) WHERE about IS NOT NULL",
        "CREATE INDEX cut_part ON cut(part_id, id)",
        "CREATE INDEX clip_recording ON clip(recording_id)",
        """CREATE TRIGGER edit_stays BEFORE UPDATE ON edit
            BEGIN SELECT RAISE(ABORT, 'edits are append-only'); END""",
        # Edits go only together with their part.
        """CREATE TRIGGER edit_kept BEFORE DELETE ON edit WHEN EXISTS (SELECT 1 FROM part WHERE id = OLD.part_id)
            BEGIN SELECT RAISE(ABORT, 'edits are append-only'); END""",
        # What changed, for other windows and for indexes; part_id NULL: something that belongs to no part.
        """CREATE TABLE change (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            part_id INTEGER,
            what TEXT NOT NULL)""",
        "CREATE INDEX change_part ON change(part_id, id)",
    ):
        conn.execute(statement)


def _second(conn: sqlite3.Connection) -> None:
    """The link book, the maker's own words, settings."""
    for statement in (
        """CREATE TABLE link (
            id INTEGER PRIMARY KEY,
            thing TEXT NOT NULL COLLATE NOCASE,
            url TEXT NOT NULL,
            price REAL,
            currency TEXT,
            shop TEXT,
            pays_maker INTEGER NOT NULL DEFAULT 0,
            checked_at TEXT,
            answered INTEGER,
            alternatives TEXT NOT NULL DEFAULT '[]',
            made_at TEXT NOT NULL,
            UNIQUE (thing, url))""",
        """CREATE TABLE own_word (
            term TEXT PRIMARY KEY COLLATE NOCASE,
            kind TEXT NOT NULL,
            aliases TEXT NOT NULL DEFAULT '[]',
            craft TEXT,
            made_at TEXT NOT NULL) WITHOUT ROWID""",
        "CREATE TABLE setting (name TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID",
    ):
        conn.execute(statement)


def _third(conn: sqlite3.Connection) -> None:
    """By which edit a link came into the book: so its build is known, and undoing the edit takes it out again."""
    conn.execute("ALTER TABLE link ADD COLUMN edit_id INTEGER")


MIGRATIONS: list[Callable[[sqlite3.Connection], None]] = [_first, _second, _third]
VERSION = len(MIGRATIONS)
