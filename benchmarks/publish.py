"""How quick publishing is, on a three-hour part, and how right what it lists is.

    python benchmarks/publish.py            # speed
    python benchmarks/publish.py --doubt    # what is left out for doubt, on the development narrations

Speed: prints the milliseconds of the description box and of the check (a face shows both live: at most 20), of every format
(all together without stills: at most 2,000), and how many stills a second come out of a film (at least 10), each as the
median of several runs. The baseline beside them: encoding the same log as JSON.

Doubt: of the materials and tools, steps and techniques that were read, how many are on the answer sheets (matched as
`score.py` does, but each by itself): of those that a description lists, of those it leaves to the check list, and, as the
baseline, of all.
"""

from __future__ import annotations

import argparse
import json
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

import score
from media_maker import make
from narrations import HOME, read_log
from publish_log import three_hours

from buildlog.archive import Clip, Cut
from buildlog.document import Log, RecordingInfo, Step, to_json
from buildlog.publish import box, check
from buildlog.publish.doubt import says_enough, sure_item, sure_step, sure_technique
from buildlog.publish.formats import FORMATS, prepare, write
from buildlog.publish.stills import step_stills

RUNS = 9


def median_ms(work: Callable[[], object], runs: int = RUNS, clock: Callable[[], float] = time.perf_counter) -> float:
    """The median time of ``work`` in milliseconds by ``clock``, after one run that does not count."""
    work()
    took = []
    for _ in range(runs):
        began = clock()
        work()
        took.append(clock() - began)
    return 1000 * statistics.median(took)


def on_a_core(work: Callable[[], object]) -> str:
    """What ``work`` takes of one core, which other programs on the machine do not lengthen."""
    return f"{median_ms(work, clock=time.process_time):.1f} ms of one core"


def stills_a_second(folder: Path, size: str) -> tuple[float, float]:
    """Stills of a minute of film, one every two seconds, as JPEG: by the clock, and by this process's time on a core."""
    options = ("-g", "60", "-pix_fmt", "yuv420p", "-preset", "ultrafast")
    film = make(folder / f"{size}.mp4", f"testsrc2=d=60:s={size}:r=30", options=options)
    steps = [Step(id=f"s{n}", start_s=2.0 * n, end_s=2.0 * n + 2, text="x") for n in range(30)]
    log = Log(recording=RecordingInfo(path="a", duration_s=60.0), steps=steps)
    cut = Cut(clips=(Clip(recording_id=1, in_s=0.0, out_s=60.0),))
    began, used = time.perf_counter(), time.process_time()
    made = step_stills(log, cut, {1: film})
    assert len(made) == len(steps)
    return len(steps) / (time.perf_counter() - began), len(steps) / (time.process_time() - used)


def doubt() -> None:
    """Shares that are right of what is listed, left out, and all, over the development narrations."""
    found: dict[str, list[tuple[bool, bool]]] = {"materials and tools": [], "steps": [], "techniques": []}
    for path in sorted((HOME / "dev").glob("*.txt")):
        gold = json.loads(path.with_suffix(".answers.json").read_text("utf-8"))
        log = read_log(path)
        used = [e for e in gold["items"] if e["status"] == "used"]
        for item in log.items:
            if item.status == "used":
                names = [item.name, *item.aliases]
                right = any(e["kind"] == item.kind and score.alike(score.names(e), names) for e in used)
                found["materials and tools"].append((sure_item(item), right))
        for step in log.steps:
            told = {"start_s": step.start_s, "text": step.text}
            right = any(score.match_step(e, told) > 0 for e in gold["steps"])
            found["steps"].append((says_enough(step) and sure_step(step), right))
        for way in log.techniques:
            names = [way.name, *way.aliases]
            right = any(score.alike(score.names(e), names) for e in gold["techniques"])
            found["techniques"].append((sure_technique(way), right))
    print(f"{'right of what is':<22}{'listed':>18}{'left out':>18}{'all (baseline)':>18}")
    for kind, rows in found.items():
        groups = ([r for sure, r in rows if sure], [r for sure, r in rows if not sure], [r for _, r in rows])
        shares = (f"{sum(g) / max(1, len(g)):.2f} of {len(g)}" for g in groups)
        print(f"{kind:<22}" + "".join(f"{share:>18}" for share in shares))


def main() -> None:
    """Measure and print."""
    options = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    options.add_argument(
        "--doubt", action="store_true", help="what is left out for doubt, on the development narrations"
    )
    if options.parse_args().doubt:
        doubt()
        return
    log = three_hours()
    baseline = median_ms(lambda: to_json(log))
    print(f"{'the log as JSON (baseline)':<34}{baseline:8.1f} ms")
    print(f"{'description box':<34}{median_ms(lambda: box(log)):8.1f} ms   limit 20; {on_a_core(lambda: box(log))}")
    print(f"{'check':<34}{median_ms(lambda: check(log)):8.1f} ms   limit 20; {on_a_core(lambda: check(log))}")
    for name in FORMATS:
        print(f"  {name:<32}{median_ms(lambda name=name: write(name, prepare(log)), 3):8.1f} ms")

    def every() -> None:
        part = prepare(log)
        for name in FORMATS:
            write(name, part)

    whole = median_ms(every, 3)
    print(
        f"{'every format, without stills':<34}{whole:8.1f} ms   limit 2000, {whole / baseline:.0f} times the baseline"
    )
    with tempfile.TemporaryDirectory() as folder:
        for size in ("1280x720", "1920x1080"):
            wall, core = stills_a_second(Path(folder), size)
            print(f"{f'stills of a film of {size}':<34}{wall:8.1f} /s   at least 10; {core:.1f} a second of one core")


if __name__ == "__main__":
    main()
