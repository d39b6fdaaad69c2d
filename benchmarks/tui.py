"""How quick the bench is on a long recording, and how many keys fifty corrections take.

    uv run python benchmarks/tui.py            # everything (about two minutes)
    uv run python benchmarks/tui.py --keys     # only the keys of fifty corrections

The long log has 30,000 words, 2,000 mentions and 400 steps in three hours; the same for 12 minutes and 9 hours, to see
whether a key costs more in a longer one. Times are from the key's event to the end of the last drawing it set off, as
a headless terminal of 120 by 40 sees it, each key waited for.

The start is that of ``buildlog bench`` in a pseudo-terminal, from the command to the first words on the screen; beside
it an empty Textual app started the same way, by turns with it, and the time to read the log from the archive (medians).
"inside" is what remains of the start within a process that has imported everything: from making the app to the words.

The corrections: two dev narrations are read by the machine, and a maker who knows their answer sheets goes through
the first fifty doubts in the running bench: right things are accepted, others put right, moving on and every letter
typed included (a pasted address is one). Then things missed altogether are searched for by their first letters and
added; these keys are printed apart and together with the rest.
"""

from __future__ import annotations

import argparse
import asyncio
import gc
import json
import os
import random
import re
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT / "tests"))

WORDS_A_S = 30_000 / (3 * 3600)


def long_log(hours: float) -> Any:
    """A log with 30,000 words, 2,000 mentions and 400 steps for every three hours."""
    from buildlog.document import Chapter, Item, Line, Log, Measurement, Mention, RecordingInfo, Step, Technique, Word

    dice = random.Random(7)
    said = re.findall(
        r"[A-Za-z',.]+", "".join(p.read_text() for p in sorted((ROOT / "tests/narrations/dev").glob("*.txt")))
    )
    count = int(30_000 * hours / 3)
    words, at = [], 0.0
    for n in range(count):
        words.append(Word(start_s=round(at, 3), end_s=round(at + 0.3, 3), text=said[n % len(said)], p=0.9))
        at += 1 / WORDS_A_S + (1.2 if n % 60 == 59 else -0.02)
    lines = [
        Line(start_s=run[0].start_s, end_s=run[-1].end_s, text=" ".join(w.text for w in run), words=run)
        for run in (words[n : n + 10] for n in range(0, count, 10))
    ]
    log = Log(recording=RecordingInfo(path="long.mp4", duration_s=at), transcript=lines)
    kinds = ("material", "tool", "pattern", "reference")
    items = [
        Item(id=f"i{n}", kind=kinds[n % 4 if n % 3 else n % 2], name=f"thing {n}", confidence=dice.uniform(0.3, 0.99))
        for n in range(max(8, int(150 * hours / 3)))
    ]
    ways = [
        Technique(id=f"t{n}", name=f"way {n}", confidence=dice.uniform(0.3, 0.99))
        for n in range(max(3, int(40 * hours / 3)))
    ]
    for n in range(int(2_000 * hours / 3)):
        first = dice.randrange(count - 3)
        owner = dice.choice(ways if n % 6 == 0 else items)
        owner.mentions.append(
            Mention(
                start_s=words[first].start_s,
                end_s=words[first + 1].end_s,
                text=f"{words[first].text} {words[first + 1].text}",
            )
        )
    for thing in (*items, *ways):
        thing.mentions.sort(key=lambda m: m.start_s)
    log.items = [i for i in items if i.mentions]
    log.techniques = [t for t in ways if t.mentions]
    steps = int(400 * hours / 3)
    for n in range(steps):
        start = words[n * count // steps].start_s
        log.steps.append(
            Step(
                id=f"s{n}",
                start_s=start,
                end_s=start + 18.0,
                text=f"Do the thing number {n} with care and then the next.",
                confidence=dice.uniform(0.3, 0.99),
            )
        )
        log.measurements.append(Measurement(id=f"m{n}", start_s=start + 2, text="two inches", value=2.0, unit="inch"))
    for n in range(max(3, int(30 * hours / 3))):
        log.chapters.append(
            Chapter(id=f"c{n}", start_s=round(n * at / max(3, int(30 * hours / 3)), 3), title=f"Chapter {n}")
        )
    return log


MARK = "firstwordsaid"
EMPTY = f"""
from textual.app import App
from textual.widgets import Static

class Empty(App):
    def compose(self):
        yield Static("{MARK}")

Empty().run()
"""


def launched(line: list[str]) -> float:
    """Seconds until the program ``line`` has written :data:`MARK` in a terminal of 120 by 40."""
    import fcntl
    import pty
    import select
    import signal
    import struct
    import termios

    begun = time.perf_counter()
    pid, fd = pty.fork()
    if pid == 0:
        fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 120, 0, 0))
        os.execvpe(line[0], line, {**os.environ, "TERM": "xterm-256color"})
    seen = b""
    while MARK.encode() not in seen:
        if not select.select([fd], [], [], 30.0)[0]:
            raise RuntimeError(f"{line} wrote no words: {seen[-500:]!r}")
        seen += os.read(fd, 65536)
    took = time.perf_counter() - begun
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    os.close(fd)
    return took


def starts(path: Path, times: int = 7) -> tuple[float, float]:
    """The start of the bench on the archive, and of an empty Textual app: medians, in seconds."""
    bench = [sys.executable, "-m", "buildlog.cli.main", "bench", "--archive", str(path)]
    both = [(launched(bench), launched([sys.executable, "-c", EMPTY])) for _ in range(times)]
    return statistics.median(b for b, _ in both), statistics.median(e for _, e in both)


def rss_mb() -> float:
    """Memory of this process now, in MB."""
    for row in Path("/proc/self/status").read_text().splitlines():
        if row.startswith("VmRSS"):
            return int(row.split()[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


async def measure(folder: Path, hours: float) -> dict[str, Any]:
    """Start, memory and latencies on a log of so many hours."""
    from buildlog_tui.app import Bench
    from textual.events import Key
    from tui_logs import put, settled

    from buildlog.opening import open_archive

    path = folder / f"{hours}.sqlite3"
    log = long_log(hours)
    log.transcript[0].words[0].text = MARK
    with open_archive(path) as archive:
        part = put(archive, log, build="long")
    del log
    bench_s, empty_s = starts(path)
    readings = []
    for _ in range(5):
        with open_archive(path) as archive:
            begun = time.perf_counter()
            archive.state(part.id)
            readings.append(time.perf_counter() - begun)
    library_mb = rss_mb()
    archive = open_archive(path)
    drawn = [0.0]
    first: list[float] = []

    class Timed(Bench):
        def _display(self, screen: Any, renderable: Any) -> None:
            super()._display(screen, renderable)
            drawn[0] = time.perf_counter()
            if not first and self.words._tops[-1] > 1:
                first.append(drawn[0])

    times: dict[str, list[float]] = {}
    begun = time.perf_counter()
    bench = Timed(archive, part)
    async with bench.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        while not first:
            await asyncio.sleep(0.005)
        start_s = first[0] - begun
        await asyncio.sleep(3.0)  # a maker looks before pressing a key; imports and the first box go on meanwhile

        async def press(name: str, key: str, char: str | None = None) -> None:
            sent = time.perf_counter()
            bench._driver.send_message(Key(key, char or (key if len(key) == 1 else None)))  # type: ignore[union-attr]
            for _ in range(200):
                await asyncio.sleep(0.002)
                if drawn[0] > sent:
                    break
            await settled(pilot)
            await asyncio.sleep(0.02)  # what else the key set off is drawn now, if anything
            if drawn[0] < sent and name == "scrolling":
                return  # at the end already
            if drawn[0] < sent:
                raise RuntimeError(f"{key} drew nothing: the benchmark no longer fits the bench")
            times.setdefault(name, []).append((drawn[0] - sent) * 1000)

        gc.collect()
        bench.words.focus()
        for key in ["down"] * 30 + ["pagedown"] * 10 + ["right"] * 40 + ["ctrl+end", "ctrl+home"] * 5:
            await press("scrolling", key)
        await press("scrolling", "tab")
        for key in ["down"] * 20 + ["pagedown"] * 2:
            await press("scrolling", key)
        for n in range(12):  # keys that make a change are counted apart from those that only ask or move
            await press("asking", "n")
            if n % 2 or bench.hands()[0].of != "item":
                await press("changing", "y")
            else:
                await press("asking", "k")
                await press("changing", "t")
            await press("changing", "u")
        bench.do_see_words()
        await press("scrolling", "tab")
        await press("scrolling", "down")
        for _ in range(10):
            for key in ("o", "greater_than_sign", "u", "u"):
                await press("changing", key, ">" if key.startswith("greater") else None)
        await press("searching", "slash", "/")
        for letter in "glue":
            await press("searching", letter)
        await press("searching", "enter")
        for _ in range(40):
            await press("searching", "full_stop", ".")
        used_mb = rss_mb()
    archive.close()
    return {
        "hours": hours, "empty_s": empty_s, "reading_s": statistics.median(readings), "start_s": bench_s,
        "inside_s": start_s,
        "over_library_mb": used_mb - library_mb, "times": times,
    }  # fmt: skip


def centile(values: list[float], share: float) -> float:
    """The value that ``share`` of ``values`` do not pass."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def speed() -> None:
    """Print start, memory and latencies; each length in a process of its own."""
    print(
        f"{'hours':>5} {'start s':>8} {'of own':>7} {'inside':>7} {'MB over':>8}   "
        + "   ".join(f"{n:>9}: median 99th" for n in ("scrolling", "asking", "changing", "searching"))
    )
    for hours in (0.2, 3.0, 9.0):
        done = subprocess.run(
            [sys.executable, __file__, "--one", str(hours)], capture_output=True, text=True, check=False
        )
        if done.returncode:
            sys.exit(done.stderr)
        got = json.loads(done.stdout.splitlines()[-1])
        own = got["empty_s"] + got["reading_s"]
        cells = [
            f"{statistics.median(got['times'][n]):>14.0f} {centile(got['times'][n], 0.99):>7.0f} ms"
            for n in ("scrolling", "asking", "changing", "searching")
        ]
        print(
            f"{hours:>5} {got['start_s']:>8.2f} {got['start_s'] / own:>6.2f}x {got['inside_s']:>7.2f} "
            f"{got['over_library_mb']:>8.0f}   " + "   ".join(cells)
        )
    print("start: to the first words on the screen, and as a multiple of an empty Textual app plus reading (goal 1.5)")


# Fifty corrections ----------------------------------------------------------------------------------------------------


def _core(name: str) -> str:
    return re.sub(r"[^a-z0-9 ]+", " ", name.casefold()).strip()


def _truth_of(log: Any, item: Any, sheet: dict[str, Any]) -> dict[str, Any] | None:
    """What the answer sheet says of an item of the log, by its names."""
    names = {_core(item.name), *(_core(a) for a in item.aliases)}
    for true in sheet["items"]:
        if names & {_core(true["name"]), *(_core(n) for n in true.get("names", []))}:
            return true
    return None


def _words(text: str) -> set[str]:
    return {w[:5] for w in _core(text).split() if len(w) > 3}


def _answer(bench: Any, thing: Any, sheet: dict[str, Any]) -> tuple[str, list[str]]:
    """What a maker who knows the answer sheet does to a thing, and the keys it takes; "paste" stands for pasting."""
    kinds = {"material": "m", "tool": "t", "pattern": "p", "reference": "r"}
    states = {"used": "u", "considered": "c", "mentioned": "m"}
    match type(thing).__name__:
        case "Item":
            true = _truth_of(bench.desk.log, thing, sheet)
            if true is None:
                return "not a thing", ["x"]
            if true["kind"] != thing.kind:
                return "kind", ["k", kinds[true["kind"]]]
            if true["status"] != thing.status and true["status"] in states:
                return "status", ["s", states[true["status"]]]
        case "Technique":
            names = {_core(thing.name), *(_core(a) for a in thing.aliases)}
            if not any(
                names & {_core(t["name"]), *(_core(n) for n in t.get("names", []))} for t in sheet["techniques"]
            ):
                return "not a way of working", ["x"]
        case "Measurement":
            near = [m for m in sheet["measurements"] if abs(m["start_s"] - thing.start_s) < 8]
            if not any(abs(m["value"] - thing.value) < 1e-6 for m in near):
                return "not an amount", ["x"]
        case "LinkOwed":
            return "link", ["l", "paste", "enter"]
        case "Step":
            near = [t for t in sheet["steps"] if abs(t["start_s"] - thing.start_s) < 15]
            alike = [
                t for t in near if len(_words(t["text"]) & _words(thing.text)) * 2 >= min(3, len(_words(t["text"])))
            ]
            if not alike:
                return "not a step", ["x"]
            if alike[0]["on_camera"] != thing.on_camera:
                return "off camera", ["o"]
        case "Chapter":
            if not any(abs(c["start_s"] - thing.start_s) < 15 for c in sheet["chapters"]):
                return "no chapter", ["x"]
            true = min(sheet["chapters"], key=lambda c: abs(c["start_s"] - thing.start_s))
            if not _words(true["title"]) & _words(thing.title):
                return "title", ["e", "end", "ctrl+u", *true["title"], "enter"]
        case "Note":
            if not any(abs(n["start_s"] - thing.start_s) < 15 for n in sheet["notes"]):
                return "no remark", ["x"]
    return "right", ["y"]


def _left_out(bench: Any) -> list[str]:
    """The names of what the bench offers as left out, from the first word on."""
    from buildlog.edits.pointing import next_left_out

    sheet, log = bench.desk.sheet, bench.desk.log
    names = [n for t in (*log.items, *log.techniques) for n in (t.name, *t.aliases)]
    out, after = [], -1
    while (
        hit := next_left_out(sheet.texts, after, lambda w: any(not m.wide for m in sheet.at_word(w)), names)
    ) is not None:
        out.append(_core(sheet.said(hit.first, hit.last)))
        names.append(out[-1])
        after = hit.last
    return out


async def correct(name: str, most: int) -> tuple[dict[str, list[int]], list[int]]:
    """Put the reading of a narration right. Returns the keys of each correction by sort, and of each thing added."""
    from buildlog_tui.app import Bench
    from textual.events import Paste
    from tui_logs import NARRATIONS, answers, press, put, settled

    from buildlog.document import RecordingInfo
    from buildlog.edits.pointing import around
    from buildlog.listen import transcript
    from buildlog.opening import open_archive
    from buildlog.reading import read

    sheet = answers(name)
    lines = transcript.read(NARRATIONS / f"{name}.txt")
    log = read(lines, RecordingInfo(path=name, duration_s=sheet["recording"]["duration_s"]))
    spelt = {" ": "space", "-": "minus", "'": "apostrophe", ".": "full_stop", ",": "comma", "/": "slash"}
    made: dict[str, list[int]] = {}
    added: list[int] = []
    with tempfile.TemporaryDirectory() as folder, open_archive(Path(folder) / "a.sqlite3") as archive:
        bench = Bench(archive, put(archive, log, build="b"))
        async with bench.run_test(size=(120, 40)) as pilot:
            await press(pilot, "n")
            pressed = 1
            while sum(map(len, made.values())) < most and bench.desk.doubts():
                sort, keys = _answer(bench, bench.hands()[0].thing, sheet)
                before = archive.edits(bench.desk.part.id)
                for key in keys:
                    if key == "paste":
                        bench.post_message(Paste("https://shop.example/x"))
                        await settled(pilot)
                    else:
                        await press(pilot, spelt.get(key, key))
                assert len(archive.edits(bench.desk.part.id)) == len(before) + 1, (sort, keys, bench._said)
                pressed += len(keys)
                if sort != "right":  # accepting goes on by itself
                    await press(pilot, "n")
                    pressed += 1
                made.setdefault(sort, []).append(pressed)
                pressed = 0
            offered = _left_out(bench)
            missed = [
                t
                for t in sheet["items"]
                if not any(_truth_of(bench.desk.log, i, {"items": [t]}) for i in bench.desk.log.items)
            ]
            found = sum(any(_core(n) in offered for n in [t["name"], *t.get("names", [])]) for t in missed)
            print(f"  M stops at {len(offered)} places; {found} of the {len(missed)} things missed are among them")
            for true in sheet["items"]:
                if any(_truth_of(bench.desk.log, i, {"items": [true]}) for i in bench.desk.log.items):
                    continue
                at = bench.words.find(true["name"], -1)
                if at is None or len(added) >= 8:
                    continue
                bench.do_see_words()
                bench.words.go(0)
                typed = next(
                    (true["name"][:n] for n in range(2, 9) if bench.words.find(true["name"][:n], -1) == at),
                    true["name"],
                )
                keys = ["slash", *typed, "enter"]
                last = at + len(true["name"].split()) - 1
                found = around(bench.desk.sheet.texts, at)
                if (found.first, found.last) == (at, last) and found.amount is None:
                    keys += ["a"]
                elif at == last:
                    keys += ["a", "1"]
                else:
                    keys += [*["shift+right"] * (last - at), "a"]
                keys += [{"material": "m", "tool": "t", "pattern": "p", "reference": "r"}[true["kind"]]]
                await press(pilot, *(spelt.get(k, k) for k in keys))
                assert any(_truth_of(bench.desk.log, i, {"items": [true]}) for i in bench.desk.log.items), true["name"]
                added.append(len(keys))
    return made, added


def keys() -> None:
    """Print the keys of fifty corrections."""
    for name in ("06-candle-box", "01-hooded-cloak"):
        made, added = asyncio.run(correct(name, 50))
        every = [n for counts in made.values() for n in counts]
        changed = [n for sort, counts in made.items() if sort != "right" for n in counts]
        print(
            f"{name}: {len(every)} things by the least certain first, {sum(every)} keys, {sum(every) / len(every):.2f} each (goal: under 4)"
        )
        print("  " + ", ".join(f"{len(c)} {s}" for s, c in sorted(made.items(), key=lambda kv: -len(kv[1]))))
        print(
            f"  the {len(changed)} that were wrong alone: {sum(changed) / max(1, len(changed)):.2f} keys each, going on to the next included"
        )
        if added:
            print(f"  {len(added)} things missed, searched for and added: {sum(added) / len(added):.2f} keys each")
        whole = [*every, *added]
        print(f"  all of it, things missed included: {sum(whole) / len(whole):.2f} keys each (goal: under 4)")


def main() -> None:
    """The command line."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--keys", action="store_true", help="only the keys of fifty corrections")
    asked.add_argument("--speed", action="store_true", help="only times and memory")
    asked.add_argument("--one", type=float, help=argparse.SUPPRESS)
    args = asked.parse_args()
    os.environ.pop("NO_COLOR", None)
    if args.one is not None:
        with tempfile.TemporaryDirectory() as folder:
            print(json.dumps(asyncio.run(measure(Path(folder), args.one))))
        return
    if not args.keys:
        speed()
    if not args.speed:
        keys()


if __name__ == "__main__":
    main()
