"""How fast narration is read, where the time goes, and whether cost stays linear in length.

    uv run python benchmarks/tag_speed.py [speed] [--rounds 3] [--words 9000]
    uv run python benchmarks/tag_speed.py linear  [--words 90000]
    uv run python benchmarks/tag_speed.py bare    [--words 100000]

``speed``: words a second of the tag stage, of tag and outline, and of the whole reading, with the share of each part;
median of the rounds, models loaded beforehand. Bar: 3,000 words a second for the tag stage. The baseline is spaCy's
small pipeline alone on the same text in one call, without any of our stages. ``linear``: a tenth of the words, a third, and all of
them (90,000 words are about ten hours of talk); bar: a word costs at most 1.3 times as much in the longest as in the
shortest. ``bare``: the same words without punctuation or capitals, as raw captions come.

The text is the development narrations, one after another, repeated; in each repetition the crafted things carry another
adjective, so that there are more different things in a longer text, as in life. Every figure is processor time of one
process held to one core; peak memory is the resident set of a process of its own.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from buildlog.document import Line, RecordingInfo

NARRATIONS = Path(__file__).resolve().parents[1] / "tests" / "narrations" / "dev"
BAR_WORDS_S, BAR_LINEAR = 3000, 1.3


def transcript(words: int, *, bare: bool = False) -> list[Line]:
    """About ``words`` words of timed lines."""
    from buildlog.listen.transcript import read

    sources = [read(p) for p in sorted(NARRATIONS.glob("*.txt"))]
    out: list[Line] = []
    count, at, turn = 0, 0.0, 0
    while count < words:
        for lines in sources:
            for line in lines:
                text = _other(line.text, turn)
                if bare:
                    text = "".join(c for c in text.lower() if c not in '.,?!;:"“”()')
                out.append(Line(start_s=at + line.start_s, end_s=at + line.end_s, text=text))
                count += len(text.split())
                if count >= words:
                    return out
            at += lines[-1].end_s
        turn += 1
    return out


_COLOURS = "red blue green grey brown black white yellow pink purple orange silver golden pale dark bright".split()


def _other(text: str, turn: int) -> str:
    """In a later repetition, "the X" becomes "the red X", "the pale X" ...: other things, the same sentence."""
    if not turn:
        return text
    first, second = _COLOURS[turn % len(_COLOURS)], _COLOURS[turn // len(_COLOURS) % len(_COLOURS)]
    colour = first if turn < len(_COLOURS) else f"{second} {first}"
    return text.replace(" the ", f" the {colour} ", 1)


class Clock:
    """Processor seconds a part, by name."""

    def __init__(self) -> None:
        self.spent: dict[str, float] = {}

    def around(self, name: str, work: Callable[..., Any]) -> Callable[..., Any]:
        def timed(*args: Any, **named: Any) -> Any:
            began = time.process_time()
            result = work(*args, **named)
            self.spent[name] = self.spent.get(name, 0.0) + time.process_time() - began
            return result

        return timed


def measure(lines: list[Line]) -> dict[str, float]:
    """Processor seconds of each part of one reading of ``lines``, with "tag", "outline", "reading" for the wholes."""
    import buildlog.outline
    import buildlog.reading
    import buildlog.tag.pipeline as pipeline

    class Timed:
        def __init__(self, clock: Clock) -> None:
            self.pipeline = [(name, clock.around(name, work)) for name, work in real_rules().pipeline]

    clock = Clock()
    kept = {name: getattr(pipeline, name) for name in ("rules", "_repair", "clean", "punctuated", "_parse", "tag")}
    real_rules, real_outline = pipeline.rules, buildlog.outline.outline
    timed = Timed(clock)
    try:
        pipeline.rules = lambda: timed  # type: ignore[assignment, return-value]
        pipeline._repair = clock.around("repairs", pipeline._repair)
        pipeline.clean = clock.around("speech", pipeline.clean)  # type: ignore[attr-defined]
        pipeline.punctuated = clock.around("reader and marks", pipeline.punctuated)
        pipeline._parse = clock.around("parse", pipeline._parse)
        pipeline.tag = clock.around("tag", pipeline.tag)
        buildlog.outline.outline = clock.around("outline", real_outline)
        clock.around("reading", buildlog.reading.read)(lines, RecordingInfo(path="x", duration_s=lines[-1].end_s))
    finally:
        for name, work in kept.items():
            setattr(pipeline, name, work)
        buildlog.outline.outline = real_outline
    return clock.spent


def baseline(lines: list[Line]) -> float:
    """spaCy's small pipeline alone."""
    from buildlog.tag.language import english

    nlp = english()
    text = " ".join(line.text for line in lines)
    nlp.max_length = max(nlp.max_length, len(text) + 1)
    began = time.process_time()
    nlp(text)
    return time.process_time() - began


def one_core() -> None:
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})


def count(lines: list[Line]) -> int:
    return sum(len(line.text.split()) for line in lines)


def speed(words: int, rounds: int) -> bool:
    one_core()
    lines = transcript(words)
    n = count(lines)
    measure(transcript(300))  # loads every model and table
    baseline(transcript(300))
    runs, plain = [], []
    for _ in range(rounds):
        runs.append(measure(lines))
        plain.append(baseline(lines))
    middle = {name: statistics.median(run[name] for run in runs) for name in runs[0]}
    tag, outline, whole = (middle.pop(name) for name in ("tag", "outline", "reading"))
    print(f"{n} words, median of {rounds}, processor time on one core")
    print(f"  {'tag stage':28}{n / tag:8.0f} words/s   (bar {BAR_WORDS_S})")
    print(f"  {'tag and outline':28}{n / (tag + outline):8.0f} words/s")
    print(f"  {'whole reading':28}{n / whole:8.0f} words/s")
    print(f"  {'spaCy alone (baseline)':28}{n / statistics.median(plain):8.0f} words/s")
    rest = tag - sum(middle.values())
    for name, spent in [
        *middle.items(),
        ("rest of tag", rest),
        ("outline", outline),
        ("rest of reading", whole - tag - outline),
    ]:
        print(f"  {name:28}{1e6 * spent / n:8.1f} µs/word {100 * spent / whole:5.1f} %")
    return n / tag >= BAR_WORDS_S


def apart(words: int, bare: bool) -> dict[str, Any]:
    """One reading in a process of its own."""
    command = [sys.executable, __file__, "one", "--words", str(words), *(["--no-stops"] if bare else [])]
    done = subprocess.run(command, check=True, stdout=subprocess.PIPE)
    result: dict[str, Any] = json.loads(done.stdout)
    return result


def one(words: int, bare: bool) -> None:
    one_core()
    measure(transcript(300))
    lines = transcript(words, bare=bare)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    spent = measure(lines)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps({"words": count(lines), "spent": spent, "before_mb": before, "peak_mb": peak}))


def linear(words: int, bare: bool) -> bool:
    runs = [apart(words // part, bare) for part in (10, 3, 1)]
    names = list(runs[0]["spent"])
    print(f"{'µs a word':20}" + "".join(f"{run['words']:>11}" for run in runs) + "   longest / shortest")
    for name in names:
        cost = [1e6 * run["spent"].get(name, 0.0) / run["words"] for run in runs]
        print(f"{name:20}" + "".join(f"{c:11.1f}" for c in cost) + f"{cost[-1] / max(cost[0], 1e-9):13.2f}")
    print(f"{'peak memory, MB':20}" + "".join(f"{run['peak_mb']:11.0f}" for run in runs))
    print(f"{'of it before, MB':20}" + "".join(f"{run['before_mb']:11.0f}" for run in runs))
    first, last = (run["spent"]["reading"] / run["words"] for run in (runs[0], runs[-1]))
    print(
        f"whole reading: a word costs {last / first:.2f} times as much in the longest as in the shortest (bar {BAR_LINEAR})"
    )
    return last / first <= BAR_LINEAR


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("what", nargs="?", default="speed", choices=["speed", "linear", "bare", "one"])
    parser.add_argument("--words", type=int)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--no-stops", action="store_true", help=argparse.SUPPRESS)
    a = parser.parse_args()
    if a.what == "one":
        one(a.words or 9000, a.no_stops)
        return 0
    if a.what == "speed":
        return int(not speed(a.words or 9000, a.rounds))
    bare = a.what == "bare"
    return int(not linear(a.words or (100_000 if bare else 90_000), bare))


if __name__ == "__main__":
    sys.exit(main())
