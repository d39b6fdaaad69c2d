"""How ``buildlog find`` grows: size, build rate, time of a question and of an update, for archives of growing size.

    uv run python benchmarks/find_scale.py --hours 100 1000
    uv run python benchmarks/find_scale.py --hours 10000 --folder /big/disk     # about 90 million words

The talk is generated: sentences with a vocabulary of 60,000 words whose counts fall as those of English do (Zipf), in
parts of ten minutes. The index is written as the archive writes it; the logs themselves are left out. Vectors are
generated too, in groups as sentences about like things are: working out that many takes hours (the rate is measured
and printed). Questions hold two to four words of some moment, rare and common; one in eight is misspelt.
"""

from __future__ import annotations

import argparse
import random
import resource
import statistics
import tempfile
import time
from pathlib import Path

import numpy as np

from buildlog import find
from buildlog.archive import Archive
from buildlog.find import cells, schema
from buildlog.find.filling import of_moments
from buildlog.find.keeping import write_part
from buildlog.find.meaning import meaning
from buildlog.find.moments import DONE, Moment

WORDS_AN_HOUR = 9_000
MINUTES_A_PART = 10
VOCABULARY = 60_000
LETTERS = "bcdfghklmnprstvw"
VOWELS = "aeiou"


class Talk:
    """Generated talk."""

    def __init__(self, seed: int = 7) -> None:
        self.rng = np.random.default_rng(seed)
        names = random.Random(seed)
        made: dict[str, None] = {}
        while len(made) < VOCABULARY:
            length = names.choice((2, 2, 3, 3, 4))
            made[
                "".join(names.choice(LETTERS) + names.choice(VOWELS) for _ in range(length)) + names.choice(LETTERS)
            ] = None
        self.words = np.array(list(made))
        share = 1.0 / np.arange(3, VOCABULARY + 3)
        self.upto = np.cumsum(share / share.sum())
        self.centres = self.rng.normal(size=(4_000, cells.SIZE)).astype(np.float32)

    def part(self) -> list[Moment]:
        """Ten minutes of talk."""
        count = WORDS_AN_HOUR * MINUTES_A_PART // 60
        said = self.words[np.searchsorted(self.upto, self.rng.random(count))]
        out, at = [], 0
        while at < count:
            length = int(self.rng.integers(10, 30))
            text = " ".join(said[at : at + length])
            start = at / WORDS_AN_HOUR * 3_600
            done = " ".join(said[at : at + 8]) if self.rng.random() < 0.4 else ""
            out.append(
                Moment(
                    start_s=start,
                    end_s=start + length * 0.4,
                    at_s=start,
                    said=text,
                    done=done,
                    flags=DONE if done else 0,
                )
            )
            at += length
        return out

    def vectors(self, n: int) -> list[bytes]:
        """``n`` unit vectors about ``self.centres``."""
        v = self.centres[self.rng.integers(len(self.centres), size=n)] + 0.8 * self.rng.normal(size=(n, cells.SIZE))
        return cells.pack((v / np.linalg.norm(v, axis=1, keepdims=True)).astype(np.float32))


def build(archive: Archive, talk: Talk, hours: float, with_vectors: bool) -> tuple[int, float]:
    """Generate and index. Returns the number of moments and the seconds that indexing took."""
    parts = int(hours * 60 / MINUTES_A_PART)
    with archive.store.write() as conn:
        schema.drop(conn)
        schema.make(conn)
        conn.execute("INSERT INTO build (name, made_at) VALUES ('generated', '2025-01-01')")
    count, took = 0, 0.0
    for first in range(0, parts, 40):
        some = range(first + 1, min(parts, first + 40) + 1)
        talks = [talk.part() for _ in some]
        vectors = talk.vectors(sum(map(len, talks))) if with_vectors else []
        began = time.perf_counter()
        with archive.store.write() as conn:
            conn.executemany(
                "INSERT INTO part (id, build_id, number, made_at) VALUES (?, 1, ?, '2025-01-01')",
                [(p, p) for p in some],
            )
            ids: list[int] = []
            for part_id, moments in zip(some, talks, strict=True):
                conn.execute(
                    "INSERT INTO find_part VALUES (?, 1, ?, ?, '', '2025-01-01')",
                    (part_id, f"thing {part_id // 5}", part_id),
                )
                ids += [i for _, i in write_part(conn, part_id, moments)]
            if vectors:
                cells.add(conn, list(zip(ids, vectors, strict=True)))
        took += time.perf_counter() - began
        count += len(ids)
    return count, took


def questions(archive: Archive, n: int, rng: random.Random) -> list[str]:
    """Words of moments picked at random; one question in eight misspelt."""
    with archive.store.read() as conn:
        last = conn.execute("SELECT max(id) FROM find_moment").fetchone()[0]
        out = []
        while len(out) < n:
            row = conn.execute("SELECT said FROM find_moment WHERE id = ?", (rng.randint(1, last),)).fetchone()
            said = row[0].split() if row is not None else []
            if len(said) < 4:
                continue
            words = rng.sample(said, rng.choice((1, 2, 3, 4)))
            if rng.random() < 0.125:
                words[0] = words[0][:2] + "x" + words[0][2:]
            out.append(" ".join(words))
    return out


def measure(hours: float, folder: Path, asked: int, with_vectors: bool) -> None:
    path = folder / f"scale-{hours:g}.sqlite3"
    path.unlink(missing_ok=True)
    talk = Talk()
    with Archive.open(path) as archive:
        count, took = build(archive, talk, hours, with_vectors)
        with archive.store.write() as conn:
            conn.execute("INSERT INTO find_text(find_text) VALUES ('optimize')")
        rng = random.Random(3)
        times: list[float] = []
        cpu: list[float] = []
        find.search(archive, "warm up")
        for text in questions(archive, asked, rng):
            began, worked = time.perf_counter(), time.process_time()
            find.search(archive, text)
            times.append(1000 * (time.perf_counter() - began))
            cpu.append(1000 * (time.process_time() - worked))
        # One part said anew: half of its moments differ.
        part_id = max(1, int(hours * 3))
        fresh = talk.part()
        began = time.perf_counter()
        with archive.store.write() as conn:
            ids = [i for _, i in write_part(conn, part_id, fresh)]
            if with_vectors:
                cells.add(conn, list(zip(ids, talk.vectors(len(ids)), strict=True)))
        update = time.perf_counter() - began
        with archive.store.read() as conn:
            pages = {
                r[0]: r[1] for r in conn.execute("SELECT name, sum(pgsize) FROM dbstat GROUP BY name")
            } if _has_dbstat(conn) else {}  # fmt: skip
    words = hours * WORDS_AN_HOUR
    size = sum(p.stat().st_size for p in folder.glob(f"scale-{hours:g}.sqlite3*"))
    print(
        f"{hours:>8g} h {words / 1e6:>6.1f} M words {count:>9,} moments {size / 1e6:>8.0f} MB"
        f" {size / words:>5.1f} B/word {words / took / 1e3:>6.0f} k words/s"
        f"\n           question, median / 99th: {_spread(times)} ms, of the processor {_spread(cpu)} ms"
        f"  update {update * 1000:>5.0f} ms"
        f"  memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:>5.0f} MB"
    )
    for name, used in sorted(pages.items(), key=lambda p: -p[1])[:6]:
        print(f"            {name:28} {used / 1e6:>8.0f} MB")
    path.unlink()


def _spread(times: list[float]) -> str:
    times = sorted(times)
    return f"{statistics.median(times):.1f} / {times[int(len(times) * 0.99)]:.1f}"


def _has_dbstat(conn: object) -> bool:
    try:
        conn.execute("SELECT 1 FROM dbstat LIMIT 1")  # type: ignore[attr-defined]
    except Exception:
        return False
    return True


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
    parser.add_argument("--hours", type=float, nargs="+", default=[10, 100])
    parser.add_argument("--folder", type=Path)
    parser.add_argument("--questions", type=int, default=300)
    parser.add_argument("--no-vectors", action="store_true")
    options = parser.parse_args()
    print(encoder_rate())
    with tempfile.TemporaryDirectory(prefix="find-scale-") as temporary:
        for hours in options.hours:
            measure(hours, options.folder or Path(temporary), options.questions, not options.no_vectors)


if __name__ == "__main__":
    main()
