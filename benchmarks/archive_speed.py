"""How long the archive takes with a three-hour part: 30,000 words, 2,000 mentions, 400 steps.

Run: ``python benchmarks/archive_speed.py``. Times are medians in milliseconds on this machine; "decode" is the bare
msgspec decoding of the same document and "commit" a bare SQLite commit with the same settings, for comparison.
"""

from __future__ import annotations

import argparse
import random
import sqlite3
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from buildlog import edits as e
from buildlog.archive import Archive
from buildlog.document import Chapter, Item, Line, Log, Mention, RecordingInfo, Step, Word, from_json, to_json


def three_hours(words: int = 30_000, items: int = 250, mentions: int = 2_000, steps: int = 400) -> Log:
    """An invented log of that size."""
    rng = random.Random(5)
    second = 10_800 / words
    lines = []
    for start in range(0, words, 12):
        said = [
            Word(start_s=(start + i) * second, end_s=(start + i + 0.9) * second, text=f"word{rng.randrange(3000)}")
            for i in range(min(12, words - start))
        ]
        lines.append(
            Line(start_s=said[0].start_s, end_s=said[-1].end_s, text=" ".join(w.text for w in said), words=said)
        )
    things = [
        Item(
            id=f"i{n}", kind=rng.choice(["material", "tool"]), name=f"{rng.choice('abcdef')} thing {n}", confidence=0.7
        )
        for n in range(items)
    ]
    for _ in range(mentions):
        at = rng.uniform(0, 10_790)
        thing = rng.choice(things)
        thing.mentions.append(Mention(start_s=at, end_s=at + 0.5, text=thing.name))
    for thing in things:
        thing.mentions.sort(key=lambda m: m.start_s)
        thing.first_s = thing.mentions[0].start_s if thing.mentions else 0.0
    work = [
        Step(
            id=f"s{n}", start_s=n * 27.0, end_s=n * 27.0 + 20, text=f"Do the work number {n}.", items=[f"i{n % items}"]
        )
        for n in range(steps)
    ]
    chapters = [Chapter(id=f"c{n}", start_s=n * 360.0, title=f"Chapter {n}") for n in range(30)]
    return Log(
        recording=RecordingInfo(path="long.mp4", duration_s=10_800.0),
        transcript=lines,
        items=things,
        steps=work,
        chapters=chapters,
    )


def median_ms(what: Callable[[int], object], times: int) -> tuple[float, float]:
    """Median and 99th percentile of ``what(n)`` in milliseconds."""
    took = []
    for n in range(times):
        began = time.perf_counter()
        what(n)
        took.append((time.perf_counter() - began) * 1000)
    took.sort()
    return statistics.median(took), took[min(len(took) - 1, int(len(took) * 0.99))]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--edits", type=int, default=500)
    count = parser.parse_args().edits
    log = three_hours()
    body = to_json(log, indent=None)
    rows: list[tuple[str, tuple[float, float]]] = []
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.sqlite3"
        with Archive.open(path) as archive:
            part = archive.builds.make_part(archive.builds.make("long").id).id
            recording = archive.builds.keep_recording("long.mp4", sha256="ab", duration_s=10_800.0).id
            archive.builds.add_recording(part, recording)
            archive.readings.keep_log(recording, "k", log)
            rows.append(("decode the document (msgspec alone)", median_ms(lambda n: from_json(body), 7)))
            conn = sqlite3.connect(Path(folder) / "bare.sqlite3", isolation_level=None)
            conn.executescript("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; CREATE TABLE t (x)")
            rows.append(("one bare commit", median_ms(lambda n: conn.execute("INSERT INTO t VALUES ('x')"), 100)))

            def one(n: int) -> None:
                now = archive.log(part)
                match n % 5:
                    case 0:
                        archive.edit(part, e.RewordStep(at=e.anchor(now.steps[n % 400]), text=f"Other work {n}."))
                    case 1:
                        archive.edit(part, e.Rename(at=e.anchor(now.items[n % 200]), name=f"renamed {n}"))
                    case 2:
                        archive.edit(part, e.SetStatus(at=e.anchor(now.items[n % 200]), status="considered"))
                    case 3:
                        word = now.transcript[n % 2000].words[0]
                        archive.edit(
                            part, e.RepairWord(start_s=word.start_s, end_s=word.end_s, heard=word.text, text=f"w{n}")
                        )
                    case _:
                        archive.edit(part, e.AddItem(start_s=n * 7.0, end_s=n * 7.0 + 1, text="x", name=f"added {n}"))

            rows.append(("make an edit", median_ms(one, count)))
            rows.append(("undo", median_ms(lambda n: archive.undo(part), count // 2)))
            rows.append(("redo", median_ms(lambda n: archive.redo(part), count // 2)))
            rows.append(("log of the part, nothing changed", median_ms(lambda n: archive.log(part), 100)))
            rows.append(("ask for others' changes", median_ms(lambda n: archive.data_version(), 1000)))

        def opened(n: int) -> None:
            with Archive.open(path) as again:
                again.log(part)

        rows.append((f"open, read and apply {count} edits", median_ms(opened, 5)))
        print(f"{'':42} {'median':>9} {'99th':>9}  (ms; archive {path.stat().st_size / 1e6:.1f} MB)")
        for name, (middle, high) in rows:
            print(f"{name:42} {middle:9.2f} {high:9.2f}")


if __name__ == "__main__":
    main()
