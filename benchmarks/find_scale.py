"""How ``buildlog find`` grows: size, build rate, time of a question and of an update, for archives of growing size.

    uv run python benchmarks/find_scale.py                          # 100 and 1,000 hours
    uv run python benchmarks/find_scale.py --hours 100 1000 10000   # about 90 million words: 4 GB of disk, five minutes

The talk is generated: sentences of words whose counts fall as those of English do (Zipf), the commonest of them those
of makers' talk, then of English, then made up, in parts of ten minutes with a dozen things each. The tables are those
of any archive, but filled in bulk: the logs themselves are left out, and vectors are generated about the centres of
their cells (working out so many takes hours; the rate is measured and printed). After the questions, parts are added as
the archive adds them, one transaction each, and each is said anew: the build rate and "update of a part" at that size.

Every other question is a viewer's (tests/questions, all but the unseen), the others hold two to four telling words of
some moment with the empty ones between them, rare and common; one in eight of these is misspelt. "In one thing" are
the same questions asked where a technique, material or tool is shown. Each size is measured in a process of its own,
so that its memory is its own; "cold" is the first question of that process.
"""

from __future__ import annotations

import argparse
import json
import random
import resource
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections import Counter
from importlib import resources
from pathlib import Path
from typing import Any

import msgspec
import numpy as np

from buildlog import find
from buildlog.archive import Archive
from buildlog.find import cells, likeness, schema
from buildlog.find.filling import of_moments
from buildlog.find.keeping import write_part
from buildlog.find.meaning import commonness, meaning
from buildlog.find.moments import DONE, Moment
from buildlog.find.rows import ThingRow
from buildlog.find.wording import EMPTY, sound, stem, stems, words_of
from buildlog.tag.lexicon import Lexicon

WORDS_AN_HOUR = 9_000
MINUTES_A_PART = 10
VOCABULARY = 60_000
IN_A_CELL = 370  # what cells hold on average where they were filled one by one
PARTS_AT_ONCE = 200
ADDED = 30
THINGS = 12
ASKED = Path(__file__).resolve().parent.parent / "tests" / "questions"
LETTERS = "bcdfghklmnprstvw"
VOWELS = "aeiou"


class Talk:
    """Generated talk."""

    def __init__(self, seed: int = 7) -> None:
        self.rng = np.random.default_rng(seed)
        names = random.Random(seed)
        talk = resources.files("buildlog.crafts").joinpath("talk.txt").read_text("utf-8").split()
        often = dict(zip(talk[::2], map(int, talk[1::2]), strict=True))
        made = dict.fromkeys(sorted(filter(str.isalpha, often), key=lambda w: -often[w]))
        made.update(dict.fromkeys(w for w in commonness() if len(w) > 1))
        while len(made) < VOCABULARY:
            length = names.choice((2, 2, 3, 3, 4))
            made[
                "".join(names.choice(LETTERS) + names.choice(VOWELS) for _ in range(length)) + names.choice(LETTERS)
            ] = None
        self.words = np.array(list(made))
        share = 1.0 / np.arange(3, len(made) + 3)
        self.upto = np.cumsum(share / share.sum())
        self.things = [t for t in Lexicon.load().terms if t.kind in ("material", "tool", "technique")]
        names.shuffle(self.things)
        share = 1.0 / np.arange(10, len(self.things) + 10)
        self.things_upto = np.cumsum(share / share.sum())

    def part(self, counts: Counter[str] | None = None) -> list[Moment]:
        """Ten minutes of talk."""
        count = WORDS_AN_HOUR * MINUTES_A_PART // 60
        said = self.words[np.searchsorted(self.upto, self.rng.random(count))].tolist()
        out, at = [], 0
        while at < count:
            length = int(self.rng.integers(10, 30))
            start = at / WORDS_AN_HOUR * 3_600
            words = said[at : at + length]
            done = " ".join(words[:8]) if self.rng.random() < 0.4 else ""
            out.append(
                Moment(
                    start_s=start,
                    end_s=start + length * 0.4,
                    at_s=start,
                    said=" ".join(words),
                    done=done,
                    flags=DONE if done else 0,
                )
            )
            if counts is not None:
                counts.update(set(words))
            at += length
        return out

    def things_of(self, times: list[float]) -> list[ThingRow]:
        """What is used in a part whose moments are at ``times``."""
        out = []
        for at in set(np.searchsorted(self.things_upto, self.rng.random(THINGS)).tolist()):
            term = self.things[at]
            said = sorted(times[k] for k in self.rng.integers(len(times), size=int(self.rng.integers(1, 6))))
            out.append(ThingRow(term.kind, term.name, term.aliases[:1], "used", said[0], tuple(said)))
        return out

    def directions(self, n: int) -> np.ndarray[Any, np.dtype[np.float32]]:
        """``n`` vectors of unit length: shape (n, 384)."""
        return _unit(self.rng.standard_normal((n, cells.SIZE), dtype=np.float32))

    def near(self, centre: np.ndarray[Any, np.dtype[np.float32]], n: int) -> list[bytes]:
        """``n`` packed vectors about one of unit length (their cosines with it about 0.75)."""
        return cells.pack(_unit(centre + 0.88 * self.directions(n)))


def _unit(v: np.ndarray[Any, np.dtype[np.float32]]) -> np.ndarray[Any, np.dtype[np.float32]]:
    return np.asarray(v / np.linalg.norm(v, axis=1, keepdims=True), np.float32)


def fill(path: Path, talk: Talk, hours: float, with_vectors: bool) -> None:
    """Fill the index of a fresh archive in bulk: every row as :mod:`buildlog.find` would have written it."""
    with Archive.open(path) as archive, archive.store.write() as conn:
        schema.drop(conn)
        schema.make(conn)
        conn.execute("INSERT INTO build (name, made_at) VALUES ('generated', '2025-01-01')")
    parts = int(hours * 60 / MINUTES_A_PART)
    about = int(hours * WORDS_AN_HOUR / 19.5)  # moments
    n_cells = max(1, about // IN_A_CELL) if with_vectors else 0
    counts: Counter[str] = Counter()
    conn = sqlite3.connect(path, isolation_level=None)
    conn.execute("PRAGMA synchronous = OFF")
    conn.execute("PRAGMA wal_autocheckpoint = 20000")
    in_cells: list[np.ndarray[Any, Any]] = []
    moment_id = thing_id = 0
    for first in range(1, parts + 1, PARTS_AT_ONCE):
        some = range(first, min(parts + 1, first + PARTS_AT_ONCE))
        conn.execute("BEGIN")
        _parts(conn, some)
        rows: list[tuple[Any, ...]] = []
        things: list[tuple[Any, ...]] = []
        at: list[tuple[int, int]] = []
        words_of_things: list[tuple[str, int]] = []
        for part_id in some:
            moments = talk.part(counts)
            ids = {m.start_s: moment_id + k for k, m in enumerate(moments, 1)}
            for seq, m in enumerate(moments):
                moment_id += 1
                rows.append((moment_id, part_id, seq, m.start_s, m.end_s, m.at_s, m.said, m.done, "", "", m.flags))
            for t in talk.things_of(list(ids)):
                thing_id += 1
                things.append((thing_id, part_id, t.of, t.name, t.key, t.names, t.status, t.first_s, t.times_json))
                at += [(thing_id, ids[s]) for s in dict.fromkeys(t.times)]
                words_of_things += [(w, thing_id) for w in dict.fromkeys(stems(words_of(t.names)))]
        conn.executemany("INSERT INTO find_thing VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", things)
        conn.executemany("INSERT INTO find_at VALUES (?, ?)", at)
        conn.executemany("INSERT INTO find_thing_word VALUES (?, ?)", words_of_things)
        own = talk.rng.integers(1, n_cells + 1, size=len(rows)) if n_cells else np.zeros(len(rows), np.int64)
        in_cells.append(own.astype(np.int32))
        conn.executemany(
            "INSERT INTO find_moment VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            [(*r, int(c) if n_cells else None) for r, c in zip(rows, own, strict=True)],
        )
        conn.executemany(
            "INSERT INTO find_text (rowid, said, done, names) VALUES (?, ?, ?, '')", [(r[0], r[6], r[7]) for r in rows]
        )
        conn.execute("COMMIT")
    conn.execute("BEGIN")
    words = [(k, w, stem(w), sound(w), n) for k, (w, n) in enumerate(sorted(counts.items()), 1)]
    conn.executemany("INSERT INTO find_word (id, word, stem, sound, n) VALUES (?, ?, ?, ?, ?)", words)
    conn.executemany("INSERT INTO find_spelling (rowid, word) VALUES (?, ?)", [w[:2] for w in words])
    if n_cells:
        _vectors(conn, talk, np.concatenate(in_cells), n_cells)
        alone = word_vectors(talk, path.parent / "words.npz")
        likeness.keep(conn, [(w[0], w[1]) for w in words], {w: alone[w] for w in counts.keys() & alone.keys()})
    conn.execute("COMMIT")
    conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    conn.close()


def word_vectors(talk: Talk, path: Path) -> dict[str, bytes]:
    """The vectors of the words that have one, worked out once for all sizes: a minute."""
    encoder = meaning()
    if encoder is None:
        return {}
    words = [w for w in talk.words.tolist() if likeness.wants_vector(w)]
    if not path.exists():
        np.savez(path, v=np.frombuffer(b"".join(cells.pack(encoder.vectors(words))), np.int8).reshape(-1, cells.SIZE))
    return dict(zip(words, (row.tobytes() for row in np.load(path)["v"]), strict=True))


def _parts(conn: sqlite3.Connection, some: range) -> None:
    conn.executemany(
        "INSERT INTO part (id, build_id, number, made_at) VALUES (?, 1, ?, '2025-01-01')", [(p, p) for p in some]
    )
    conn.executemany(
        "INSERT INTO find_part VALUES (?, 1, ?, ?, '', '2025-01-01')", [(p, f"thing {p // 5}", p) for p in some]
    )


def _vectors(conn: sqlite3.Connection, talk: Talk, own: np.ndarray[Any, Any], n_cells: int) -> None:
    order = np.argsort(own, kind="stable")
    ends = np.searchsorted(own[order], np.arange(1, n_cells + 2))
    for at in range(0, n_cells, 1_000):
        centres = talk.directions(min(1_000, n_cells - at))
        for k, centre in enumerate(centres):
            cell = at + k + 1
            ids = order[ends[cell - 1] : ends[cell]] + 1
            conn.execute(
                "INSERT INTO find_cell (id, n, v) VALUES (?, ?, ?)",
                (cell, len(ids), centre.astype(np.float16).tobytes()),
            )
            rows = zip(ids.tolist(), talk.near(centre[None, :], len(ids)), strict=True)
            conn.executemany("INSERT INTO find_vector VALUES (?, ?, ?)", [(cell, i, v) for i, v in rows])


def questions(archive: Archive, n: int, rng: random.Random) -> list[str]:
    """Viewers' questions and, in turn with them, stretches of moments picked at random."""
    viewers = [json.loads(line) for f in ("seen", "harder") for line in (ASKED / f"{f}.jsonl").open(encoding="utf-8")]
    with archive.store.read() as conn:
        last = conn.execute("SELECT max(id) FROM find_moment").fetchone()[0]
        out: list[str] = []
        while len(out) < n:
            if len(out) % 2:
                out.append(rng.choice(viewers)["q"])
                continue
            row = conn.execute("SELECT said FROM find_moment WHERE id = ?", (rng.randint(1, last),)).fetchone()
            said = row[0].split() if row is not None else []
            telling = [k for k, w in enumerate(said) if w not in EMPTY]
            wanted = rng.choice((2, 3, 3, 4))
            if len(telling) < wanted:
                continue
            first = rng.randint(0, len(telling) - wanted)
            words = said[telling[first] : telling[first + wanted - 1] + 1]
            if rng.random() < 0.125:
                words[0] = words[0][:2] + "x" + words[0][2:]
            out.append(" ".join(words))
    return out


def measure(path: Path, hours: float, asked: int, with_vectors: bool, verbose: bool) -> None:
    """Add to, ask and change the archive at ``path``, and print what that takes."""
    talk = Talk(seed=int(hours) + 1)
    centre = talk.directions(1)
    began = time.perf_counter()
    with Archive.open(path) as archive:
        with archive.store.read() as conn:
            parts, moments = conn.execute("SELECT max(part_id), max(id) FROM find_moment").fetchone()
        text, *others = questions(archive, asked + 1, random.Random(3))
        began = time.perf_counter()
        find.search(archive, text)
        cold = 1000 * (time.perf_counter() - began)
        times: list[float] = []
        cpu: list[float] = []
        by_words: list[float] = []
        in_one: list[float] = []
        for text in others:
            began, worked = time.perf_counter(), time.process_time()
            find.search(archive, text)
            times.append(1000 * (time.perf_counter() - began))
            cpu.append(1000 * (time.process_time() - worked))
            worked = time.process_time()
            find.search(archive, text, vectors=False)
            by_words.append(1000 * (time.process_time() - worked))
            thing = talk.things[int(np.searchsorted(talk.things_upto, talk.rng.random()))]
            worked = time.process_time()
            find.search(archive, text, only=msgspec.convert({thing.kind: thing.name}, find.Only))
            in_one.append(1000 * (time.process_time() - worked))
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        if verbose:
            for ms, text in sorted(zip(cpu, others, strict=True), reverse=True)[:12]:
                print(f"    {ms:>7.1f} ms of the processor: {text}")
        took: list[tuple[float, float]] = []
        updates: list[tuple[float, float]] = []
        for part_id in range(parts + 1, parts + 1 + ADDED):
            took.append(_write(archive, talk, part_id, with_vectors, centre, fresh=True))
            updates.append(_write(archive, talk, part_id - 1, with_vectors, centre, fresh=False))
        with archive.store.read() as conn:
            pages = {r[0]: r[1] for r in conn.execute("SELECT name, sum(pgsize) FROM dbstat GROUP BY name")} if verbose else {}  # fmt: skip
    words = hours * WORDS_AN_HOUR
    size = sum(p.stat().st_size for p in path.parent.glob(f"{path.name}*"))
    rate = WORDS_AN_HOUR * MINUTES_A_PART / 60 / statistics.median(c for _, c in took)
    print(
        f"{hours:>8,g} h {words / 1e6:>6.1f} M words {moments:>10,} moments {size / 1e6:>6,.0f} MB"
        f" {size / words:>5.1f} B/word"
        f"\n           built at {rate / 1e3:.0f} k words/s of the processor; update of a part, median / 99th:"
        f" {_spread([1000 * t for t, _ in updates])} ms, of the processor {_spread([1000 * c for _, c in updates])} ms"
        f"\n           question, median / 99th: {_spread(times)} ms, of the processor {_spread(cpu)} ms,"
        f" by words only {_spread(by_words)} ms,"
        f" in one thing {_spread(in_one)} ms; cold {cold:.0f} ms; memory {memory:.0f} MB",
        flush=True,
    )
    for name, used in sorted(pages.items(), key=lambda p: -p[1])[:8]:
        print(f"            {name:28} {used / 1e6:>8.0f} MB")


def _write(
    archive: Archive,
    talk: Talk,
    part_id: int,
    with_vectors: bool,
    centre: np.ndarray[Any, np.dtype[np.float32]],
    *,
    fresh: bool,
) -> tuple[float, float]:
    """One part new, or all its moments others than they were; in seconds of the clock and of the processor."""
    moments = talk.part()
    began, worked = time.perf_counter(), time.process_time()
    with archive.store.write() as conn:
        if fresh:
            _parts(conn, range(part_id, part_id + 1))
        ids = [i for _, i in write_part(conn, part_id, moments)]
        if with_vectors:
            cells.add(conn, list(zip(ids, talk.near(centre, len(ids)), strict=True)))
    return time.perf_counter() - began, time.process_time() - worked


def _spread(times: list[float]) -> str:
    times = sorted(times)
    return f"{statistics.median(times):.1f} / {times[int(len(times) * 0.99)]:.1f}"


def encoder_rate() -> str:
    """Moments a second that get their vectors, on one core."""
    encoder = meaning()
    if encoder is None:
        return "no vectors here"
    text = (
        "so then I pinned the two layers together along the long edge and basted them before the machine could shift it"
    )
    rows = [(n, f"{text} {n}", "hooded cloak") for n in range(256)]
    began = time.perf_counter()
    of_moments(encoder, rows)
    return f"vectors are worked out at {256 / (time.perf_counter() - began):.0f} moments/s on one core"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--hours", type=float, nargs="+", default=[100, 1_000])
    parser.add_argument("--folder", type=Path, help="keep the archives in this folder and use them again")
    parser.add_argument("--questions", type=int, default=300)
    parser.add_argument("--no-vectors", action="store_true")
    parser.add_argument("-v", "--verbose", action="store_true", help="the slowest questions, and what takes the room")
    parser.add_argument("--only", choices=["fill", "measure"], help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.only:
        for hours in options.hours:
            path = options.folder / f"scale-{hours:g}.sqlite3"
            if options.only == "fill":
                fill(path, Talk(), hours, not options.no_vectors)
            else:
                measure(path, hours, options.questions, not options.no_vectors, options.verbose)
        return
    print(encoder_rate())
    with tempfile.TemporaryDirectory(prefix="find-scale-") as temporary:
        folder = options.folder or Path(temporary)
        folder.mkdir(parents=True, exist_ok=True)
        for hours in options.hours:
            path = folder / f"scale-{hours:g}.sqlite3"
            more = ["--no-vectors"] if options.no_vectors else []
            more += ["--verbose"] if options.verbose else []
            command = [sys.executable, __file__, "--folder", str(folder), "--hours", str(hours), *more]
            began = time.perf_counter()
            if not path.exists():
                subprocess.run([*command, "--only", "fill"], check=True)
                print(f"filled in bulk in {time.perf_counter() - began:.0f} s", flush=True)
            subprocess.run([*command, "--questions", str(options.questions), "--only", "measure"], check=True)
            if options.folder is None:
                path.unlink()


if __name__ == "__main__":
    main()
