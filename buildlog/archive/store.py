"""Opening the database file, transactions, and what SQLite's errors mean to a maker."""

from __future__ import annotations

import contextlib
import sqlite3
import threading
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import quote

from buildlog.archive.schema import APPLICATION_ID, MIGRATIONS, VERSION
from buildlog.errors import ArchiveError, one_line

# How long a write waits for another window's write, in seconds.
BUSY_S = 10.0


def now() -> str:
    """The present moment, UTC, as ISO 8601."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")


class Store:
    """One connection to an archive file; safe to use from several threads (one at a time).

    Durability: write-ahead log with ``synchronous=FULL``: every commit is written to the log file and synced before
    the call returns, so that neither ``kill -9`` nor a power cut loses a change that was shown.
    """

    def __init__(self, path: Path, *, create: bool = True, read_only: bool = False) -> None:
        self.path = path
        self.read_only = read_only
        # How often a transaction was given up: what was remembered of it (ids are given again) must be forgotten.
        self.given_up = 0
        self._lock = threading.RLock()
        self._depth = 0
        if path.is_dir():
            raise ArchiveError(f"the archive {one_line(path)} is a folder; name a file in it")
        if not path.exists():
            if read_only or not create:
                raise ArchiveError(f"there is no archive at {one_line(path)}; `buildlog take FILE` makes one")
            try:
                path.parent.mkdir(parents=True, exist_ok=True)
            except OSError as error:
                told = f"cannot make the folder of the archive {one_line(path)}: {error.strerror}"
                raise ArchiveError(f"{told}; name another file with --archive") from error
        with self._said():
            self._conn = self._connect()
        try:
            with self._said():
                self._prepare()
        except BaseException:
            self._conn.close()
            raise

    def _connect(self) -> sqlite3.Connection:
        where = f"file:{quote(str(self.path.absolute()))}"
        mode = "ro" if self.read_only else "rwc"
        conn = self._open(f"{where}?mode={mode}")
        if self.read_only:
            try:
                conn.execute("SELECT count(*) FROM sqlite_master").fetchone()
            except sqlite3.OperationalError as error:
                conn.close()
                wal = self.path.with_name(self.path.name + "-wal")
                # A write-ahead log needs a file beside the archive even to read. Where none can be made and no log is
                # left to be read, the file is whole as it stands, and nobody else can be writing to it.
                if error.sqlite_errorcode & 0xFF not in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY) or (
                    wal.exists() and wal.stat().st_size
                ):
                    raise
                conn = self._open(f"{where}?mode=ro&immutable=1")
        return conn

    def _open(self, uri: str) -> sqlite3.Connection:
        conn = sqlite3.connect(uri, uri=True, timeout=BUSY_S, isolation_level=None, check_same_thread=False)
        conn.row_factory = sqlite3.Row
        return conn

    def _prepare(self) -> None:
        conn = self._conn
        conn.execute("PRAGMA foreign_keys = ON")
        conn.execute("PRAGMA trusted_schema = OFF")
        version = self._version()
        if self.read_only:
            if version < VERSION:
                self._bring_up_to_date()
            return
        self._write_ahead()
        conn.execute("PRAGMA synchronous = FULL")
        # Says at once, not at the first edit, that nothing can be written here.
        conn.execute("BEGIN IMMEDIATE")
        try:
            # Another window may have been first.
            for number in range(self._version(), VERSION):
                MIGRATIONS[number](conn)
                conn.execute(f"PRAGMA user_version = {number + 1}")
            conn.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            conn.execute("COMMIT")
        except BaseException:
            if conn.in_transaction:
                conn.execute("ROLLBACK")
            raise

    def _bring_up_to_date(self) -> None:
        try:
            Store(self.path, create=False).close()
        except ArchiveError as error:
            raise ArchiveError(
                f"the archive {one_line(self.path)} is from an older version and cannot be brought up to date, as it "
                "is read-only; make it and its folder writable once"
            ) from error

    def _version(self) -> int:
        version = int(self._conn.execute("PRAGMA user_version").fetchone()[0])
        owner = int(self._conn.execute("PRAGMA application_id").fetchone()[0])
        tables = int(self._conn.execute("SELECT count(*) FROM sqlite_master").fetchone()[0])
        if owner != APPLICATION_ID and (owner or tables):
            raise ArchiveError(f"{one_line(self.path)} is another program's database; name another file with --archive")
        if version > VERSION:
            raise ArchiveError(
                f"the archive {one_line(self.path)} has version {version}, newer than {VERSION}; update buildlog"
            )
        return version

    def _write_ahead(self) -> None:
        # Changing the journal mode does not wait for another window by itself.
        until = time.monotonic() + BUSY_S
        while True:
            try:
                self._conn.execute("PRAGMA journal_mode = WAL")
                return
            except sqlite3.OperationalError as error:
                if "locked" not in str(error) or time.monotonic() > until:
                    raise
                time.sleep(0.02)

    @contextlib.contextmanager
    def _said(self) -> Iterator[None]:
        """Turn SQLite's errors into one line that says what to do."""
        try:
            yield
        except sqlite3.Error as error:
            code = (getattr(error, "sqlite_errorcode", 0) or 0) & 0xFF
            name = one_line(self.path)
            told = {
                sqlite3.SQLITE_BUSY: f"another program has been writing to the archive {name} for long; try again",
                sqlite3.SQLITE_LOCKED: f"another program has been writing to the archive {name} for long; try again",
                sqlite3.SQLITE_READONLY: f"the archive {name} is read-only; make it and its folder writable",
                sqlite3.SQLITE_PERM: f"no permission to open the archive {name}; make it yours to read and write",
                sqlite3.SQLITE_AUTH: f"no permission to open the archive {name}; make it yours to read and write",
                sqlite3.SQLITE_CANTOPEN: f"cannot open the archive {name}; look at its permissions and its folder's",
                sqlite3.SQLITE_NOTADB: f"{name} is not a buildlog archive, or it is damaged; put a copy back",
                sqlite3.SQLITE_CORRUPT: f"the archive {name} is damaged; put a copy back",
                sqlite3.SQLITE_FULL: f"no room left on the disk of the archive {name}; nothing was changed, make room",
                sqlite3.SQLITE_IOERR: f"the disk of the archive {name} gives errors; nothing was changed, look at it",
            }.get(code)
            if told is None:
                raise
            raise ArchiveError(told) from error

    @contextlib.contextmanager
    def read(self) -> Iterator[sqlite3.Connection]:
        """The connection, in one consistent view of the archive. Raises :class:`ArchiveError`."""
        with self._lock, self._said():
            if self._depth:
                yield self._conn
                return
            self._conn.execute("BEGIN")
            self._depth = 1
            try:
                yield self._conn
            finally:
                self._depth = 0
                if self._conn.in_transaction:
                    self._conn.execute("COMMIT")

    @contextlib.contextmanager
    def write(self) -> Iterator[sqlite3.Connection]:
        """The connection, in a transaction that is on disk when the block ends and undone if it raises."""
        with self._lock, self._said():
            if self.read_only:
                raise ArchiveError(f"the archive {one_line(self.path)} is open to read only; nothing was changed")
            if self._depth == 2:
                yield self._conn
                return
            if self._depth:
                raise RuntimeError("a write cannot begin inside a read")
            self._conn.execute("BEGIN IMMEDIATE")
            self._depth = 2
            try:
                yield self._conn
                self._conn.execute("COMMIT")
            except BaseException:
                self.given_up += 1
                if self._conn.in_transaction:
                    self._conn.execute("ROLLBACK")
                raise
            finally:
                self._depth = 0

    def data_version(self) -> int:
        """A number that changes when another connection has changed the archive; cheap enough to ask often."""
        with self._lock, self._said():
            return int(self._conn.execute("PRAGMA data_version").fetchone()[0])

    def damage(self) -> list[str]:
        """What SQLite's own check of the whole file finds, one line each; empty if the file is sound."""
        with self.read() as conn:
            found = [str(row[0]) for row in conn.execute("PRAGMA integrity_check")]
            found += [f"a row of {row[0]} points to nothing" for row in conn.execute("PRAGMA foreign_key_check")]
        return [line for line in found if line != "ok"]

    def close(self) -> None:
        """Let go of the file; the write-ahead log is folded in by the last window that closes."""
        with self._lock:
            self._conn.close()
