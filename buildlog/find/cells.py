"""Vectors on disk: int8, lying in cells of vectors that are alike, so that a question reads a few cells only.

A cell that grows too large is split in two (2-means), so nothing ever has to be trained on the whole archive and each
change costs the same. Up to ``ALL_BELOW`` vectors every cell is read: then the nearest are exact.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float32]
SIZE = 384
LARGEST = 512  # vectors in a cell
ALL_BELOW = 3_000
PROBES = 8
MOST_PROBES = 48


def pack(vectors: Floats) -> list[bytes]:
    """Unit vectors as int8."""
    return [row.tobytes() for row in np.clip(np.rint(vectors * 127.0), -127, 127).astype(np.int8)]


def unpack(blobs: Sequence[bytes]) -> Floats:
    """The vectors again, of unit length as far as rounding allows: shape (n, 384)."""
    flat = np.frombuffer(b"".join(blobs), dtype=np.int8).reshape(len(blobs), SIZE)
    return flat.astype(np.float32) / np.float32(127.0)


def remove(conn: sqlite3.Connection, moment_id: int) -> bytes | None:
    """Take a moment's vector out; gives it, or ``None`` where it had none."""
    row = conn.execute("SELECT cell FROM find_moment WHERE id = ?", (moment_id,)).fetchone()
    if row is None or row[0] is None:
        return None
    blob = conn.execute("SELECT v FROM find_vector WHERE cell = ? AND moment_id = ?", (row[0], moment_id)).fetchone()
    conn.execute("DELETE FROM find_vector WHERE cell = ? AND moment_id = ?", (row[0], moment_id))
    conn.execute("UPDATE find_cell SET n = n - 1 WHERE id = ?", (row[0],))
    return None if blob is None else bytes(blob[0])


_kept: dict[tuple[str, int], tuple[list[int], Floats]] = {}


def _centres(conn: sqlite3.Connection) -> tuple[list[int], Floats]:
    """Every cell's id and centre. Kept between questions: they change only when a cell is split or the index made."""
    made = conn.execute("SELECT value FROM find_meta WHERE name = 'made'").fetchone()
    newest = conn.execute("SELECT coalesce(max(id), 0) FROM find_cell").fetchone()[0]
    key = (made[0] if made else "", newest)
    if key not in _kept or not newest:
        _kept.clear()
        _kept[key] = _read_centres(conn)
    return _kept[key]


def _read_centres(conn: sqlite3.Connection) -> tuple[list[int], Floats]:
    rows = conn.execute("SELECT id, v FROM find_cell").fetchall()
    if not rows:
        return [], np.zeros((0, SIZE), np.float32)
    return [r[0] for r in rows], np.frombuffer(b"".join(r[1] for r in rows), np.float16).reshape(-1, SIZE).astype(
        np.float32
    )


def add(conn: sqlite3.Connection, vectors: Sequence[tuple[int, bytes]]) -> None:
    """Put vectors of moments in: each into the cell whose centre is nearest. Inside a write transaction."""
    if not vectors:
        return
    ids, centres = _centres(conn)
    if not ids:
        first = unpack([vectors[0][1]])[0]
        conn.execute("INSERT INTO find_cell (id, n, v) VALUES (1, 0, ?)", (first.astype(np.float16).tobytes(),))
        ids, centres = [1], first[None, :]
    values = unpack([v for _, v in vectors])
    nearest = np.argmax(values @ centres.T, axis=1)
    grown: dict[int, int] = {}
    for (moment_id, blob), at in zip(vectors, nearest, strict=True):
        cell = ids[int(at)]
        conn.execute("INSERT OR REPLACE INTO find_vector VALUES (?, ?, ?)", (cell, moment_id, blob))
        conn.execute("UPDATE find_moment SET cell = ? WHERE id = ?", (cell, moment_id))
        grown[cell] = grown.get(cell, 0) + 1
    for cell, more in grown.items():
        conn.execute("UPDATE find_cell SET n = n + ? WHERE id = ?", (more, cell))
        _split_large(conn, cell)


def _split_large(conn: sqlite3.Connection, cell: int) -> None:
    n = conn.execute("SELECT n FROM find_cell WHERE id = ?", (cell,)).fetchone()[0]
    if n <= LARGEST:
        return
    rows = conn.execute("SELECT moment_id, v FROM find_vector WHERE cell = ?", (cell,)).fetchall()
    values = unpack([r[1] for r in rows])
    rng = np.random.default_rng(cell)
    first = values[rng.integers(len(values))]
    centres = np.stack([first, values[int(np.argmin(values @ first))]])
    side = np.zeros(len(values), dtype=np.intp)
    for _ in range(6):
        side = np.argmax(values @ centres.T, axis=1)
        if side.min() == side.max():  # all alike: halves will do
            side = np.arange(len(values)) % 2
            break
        for k in (0, 1):
            mean = values[side == k].mean(axis=0)
            centres[k] = mean / (np.linalg.norm(mean) or 1.0)
    other = int(conn.execute("SELECT max(id) + 1 FROM find_cell").fetchone()[0])
    moved = [(other, rows[k][0], rows[k][1]) for k in np.flatnonzero(side == 1)]
    conn.executemany("DELETE FROM find_vector WHERE cell = ? AND moment_id = ?", [(cell, m) for _, m, _ in moved])
    conn.executemany("INSERT INTO find_vector VALUES (?, ?, ?)", moved)
    conn.executemany("UPDATE find_moment SET cell = ? WHERE id = ?", [(other, m) for _, m, _ in moved])
    conn.execute(
        "UPDATE find_cell SET n = ?, v = ? WHERE id = ?",
        (len(rows) - len(moved), centres[0].astype(np.float16).tobytes(), cell),
    )
    conn.execute(
        "INSERT INTO find_cell (id, n, v) VALUES (?, ?, ?)",
        (other, len(moved), centres[1].astype(np.float16).tobytes()),
    )
    for part in (cell, other):
        _split_large(conn, part)


def dots(rows: Floats, vector: Floats) -> Floats:
    """The product of each row with ``vector``, on the thread that asks: a linear algebra library would wake its own
    threads for it, which takes longer than the products where other work wants the processor."""
    return np.asarray(np.einsum("ij,j->i", rows, vector), dtype=np.float32)


def nearest(
    conn: sqlite3.Connection, question: Floats, k: int, lets: Callable[[int], bool] | None = None
) -> list[tuple[int, float]]:
    """The ``k`` moments (id, cosine) whose vectors are nearest to ``question``, nearest first.

    Where only some moments are let through by ``lets``, more cells are read until ``k`` have been found.
    """
    ids, centres = _centres(conn)
    if not ids:
        return []
    few = len(ids) < MOST_PROBES and conn.execute("SELECT sum(n) FROM find_cell").fetchone()[0] <= ALL_BELOW
    order = np.argsort(-dots(centres, question))
    most = len(order) if few else PROBES if lets is None else MOST_PROBES
    found: list[tuple[int, float]] = []
    for n, at in enumerate(order[:most]):
        if n >= PROBES and not few and len(found) >= k:
            break
        rows = conn.execute("SELECT moment_id, v FROM find_vector WHERE cell = ?", (ids[int(at)],)).fetchall()
        if lets is not None:
            rows = [r for r in rows if lets(r[0])]
        if rows:
            scores = dots(unpack([r[1] for r in rows]), question)
            best = np.argsort(-scores)[:k]
            found += [(rows[int(b)][0], float(scores[b])) for b in best]
    found.sort(key=lambda f: -f[1])
    return found[:k]


def of(conn: sqlite3.Connection, moments: Sequence[tuple[int, int]], question: Floats) -> dict[int, float]:
    """The cosine of ``question`` with the vectors of given moments (id, cell)."""
    by_cell: dict[int, list[int]] = {}
    for moment_id, cell in moments:
        by_cell.setdefault(cell, []).append(moment_id)
    rows: list[tuple[int, bytes]] = []
    for cell, ids in by_cell.items():
        for at in range(0, len(ids), 500):
            some = ids[at : at + 500]
            rows += conn.execute(
                f"SELECT moment_id, v FROM find_vector WHERE cell = ? AND moment_id IN ({','.join('?' * len(some))})",
                (cell, *some),
            ).fetchall()
    if not rows:
        return {}
    return dict(
        zip((r[0] for r in rows), (float(x) for x in dots(unpack([r[1] for r in rows]), question)), strict=True)
    )
