"""Giving moments their vectors, a few at a time, apart from the transactions that change logs."""

from __future__ import annotations

import time
from collections.abc import Callable

from buildlog.archive import Archive
from buildlog.find import cells, schema
from buildlog.find.meaning import meaning

_AT_ONCE = 64


def waiting(archive: Archive) -> int:
    """How many moments have no vector yet."""
    with archive.store.read() as conn:
        if not schema.there(conn):
            return 0
        return int(conn.execute("SELECT count(*) FROM find_moment WHERE cell IS NULL").fetchone()[0])


def fill(archive: Archive, *, within_s: float | None = None, progress: Callable[[int], None] | None = None) -> int:
    """Give vectors to moments that have none, for at most ``within_s`` seconds. Returns how many were given.

    Each batch is its own transaction: an edit made meanwhile waits for a fraction of a second at most, and what was
    done when this is stopped is kept.
    """
    encoder = meaning()
    if encoder is None:
        return 0
    until = None if within_s is None else time.monotonic() + within_s
    done = 0
    while until is None or time.monotonic() < until:
        with archive.store.read() as conn:
            if not schema.there(conn):
                return done
            rows = conn.execute("SELECT id, said FROM find_moment WHERE cell IS NULL LIMIT ?", (_AT_ONCE,)).fetchall()
        if not rows:
            return done
        packed = cells.pack(encoder.vectors([r[1] for r in rows]))
        with archive.store.write() as conn:
            # Some may have changed while their vectors were worked out.
            marks = ",".join("?" * len(rows))
            same = conn.execute(
                f"SELECT id, said FROM find_moment WHERE cell IS NULL AND id IN ({marks})", [r[0] for r in rows]
            )
            still = {(r[0], r[1]) for r in same}
            cells.add(conn, [(r[0], v) for r, v in zip(rows, packed, strict=True) if (r[0], r[1]) in still])
        done += len(rows)
        if progress:
            progress(done)
    return done
