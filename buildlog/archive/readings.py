"""What the machine found in each recording, one row a stage, keyed by what went in."""

from __future__ import annotations

import hashlib
from typing import Any

import msgspec

from buildlog.archive.builds import Builds, Touch
from buildlog.archive.records import Reading
from buildlog.archive.store import Store, now
from buildlog.document import Log, from_json, to_json
from buildlog.errors import ArchiveError, BadInput

# The stage whose result is a log document.
LOG = "log"


def key_of(*inputs: Any) -> str:
    """A hash of what went into a stage and its settings: anything that JSON can hold."""
    return hashlib.sha256(msgspec.json.encode(inputs, order="deterministic")).hexdigest()


class Readings:
    """Results of stages by recording; the newest of a stage is the one in use."""

    def __init__(self, store: Store, builds: Builds, touch: Touch) -> None:
        self._store = store
        self._builds = builds
        self._touch = touch

    def keep(self, recording_id: int, stage: str, key: str, body: bytes) -> Reading:
        """Keep a result; kept before under the same key, it becomes the newest again."""
        with self._store.write() as conn:
            self._builds.recording(recording_id)
            conn.execute(
                "DELETE FROM reading WHERE recording_id = ? AND stage = ? AND key = ?", (recording_id, stage, key)
            )
            made = now()
            cursor = conn.execute(
                "INSERT INTO reading (recording_id, stage, key, body, made_at) VALUES (?, ?, ?, ?, ?)",
                (recording_id, stage, key, body, made),
            )
            if stage == LOG:
                for part_id in self._builds.parts_with(recording_id):
                    self._touch(conn, part_id, "reading")
            return Reading(id=int(cursor.lastrowid or 0), recording_id=recording_id, stage=stage, key=key, made_at=made)

    def body(self, recording_id: int, stage: str, key: str) -> bytes | None:
        """The result kept under ``key``, or ``None``."""
        with self._store.read() as conn:
            row = conn.execute(
                "SELECT body FROM reading WHERE recording_id = ? AND stage = ? AND key = ?", (recording_id, stage, key)
            ).fetchone()
        return None if row is None else bytes(row[0])

    def newest(self, recording_id: int, stage: str = LOG) -> Reading | None:
        """The newest result of a stage, without its body."""
        with self._store.read() as conn:
            row = conn.execute(
                "SELECT id, recording_id, stage, key, made_at FROM reading WHERE recording_id = ? AND stage = ?"
                " ORDER BY id DESC LIMIT 1",
                (recording_id, stage),
            ).fetchone()
        return None if row is None else Reading(**dict(row))

    def keep_log(self, recording_id: int, key: str, log: Log) -> Reading:
        """Keep what was read from a recording."""
        return self.keep(recording_id, LOG, key, to_json(log, indent=None))

    def log(self, recording_id: int) -> Log | None:
        """The newest log of a recording, on its own clock and without edits."""
        newest = self.newest(recording_id)
        if newest is None:
            return None
        body = self.body(recording_id, LOG, newest.key)
        try:
            return from_json(body or b"")
        except BadInput as error:
            raise ArchiveError(
                f"the reading of recording {recording_id} is damaged; take the recording again"
            ) from error
