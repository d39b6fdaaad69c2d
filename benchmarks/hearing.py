"""How much hearing with all its care costs over bare faster-whisper, and how memory grows with length.

    uv run python benchmarks/hearing.py command [--model base] [--minutes 15] [--rounds 3]
    uv run python benchmarks/hearing.py speed  [--model base] [--minutes 15] [--rounds 3]
    uv run python benchmarks/hearing.py memory [--model tiny.en] [--short 10] [--long 120] [--share 1.0]
    uv run python benchmarks/hearing.py cuts   [--minutes 3]

``command``: ``buildlog tag FILE --json`` with nothing kept from before, as a whole process from start to exit, against a
process that only loads faster-whisper and transcribes; the ratio of medians, bar 1.10. ``speed``: hear() on a file
against WhisperModel.transcribe on the same file, same weights, same settings (int8, beam 5, word times, voice activity
filter, sequential), in turn, each in a process of its own that also loads the model; the same bar.
``memory``: peak resident memory of hearing a long and a short recording, bar 1.3 times.
``cuts``: scene cuts of a 1080p film, seconds of film a second, bar 20.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from speech import long_recording

OURS = """
import json, resource, sys, time, tempfile
from pathlib import Path
from buildlog.listen import hear
began = time.perf_counter()
with tempfile.TemporaryDirectory() as cache:
    heard = hear(sys.argv[1], model=sys.argv[2], cache=Path(cache), batched=sys.argv[3] == "batched")
words = sum(len(line.words) for line in heard.lines)
lost = sum(s.end_s - s.start_s for s in heard.lost)
"""
BARE = """
import json, resource, sys, time
from buildlog.weights import resolve
folder = resolve(sys.argv[2]).folder
began = time.perf_counter()
from faster_whisper import WhisperModel
model = WhisperModel(str(folder), device="cpu", compute_type="int8", cpu_threads=int(sys.argv[3]))
segments, _ = model.transcribe(sys.argv[1], language="en", beam_size=5, word_timestamps=True, vad_filter=True)
words = sum(len(s.words) for s in segments)
lost = None
"""
TELL = """
used = resource.getrusage(resource.RUSAGE_SELF)
print(json.dumps({"seconds": time.perf_counter() - began, "words": words, "lost_s": lost,
                  "cpu_s": used.ru_utime + used.ru_stime, "peak_mb": used.ru_maxrss / 1024}))
"""


def run(code: str, *arguments: object) -> dict[str, float]:
    command = [sys.executable, "-c", code + TELL, *map(str, arguments)]
    began = time.perf_counter()
    done = subprocess.run(command, check=True, stdout=subprocess.PIPE)
    result: dict[str, float] = json.loads(done.stdout)
    return result | {"process_s": time.perf_counter() - began}


def whole_command(path: Path, model: str) -> tuple[float, int]:
    """Seconds that ``buildlog tag`` takes from start to exit in an empty home, and the words in its log."""
    with tempfile.TemporaryDirectory() as home:
        command = [str(Path(sys.executable).with_name("buildlog")), "tag", str(path), "--model", model, "--json"]
        began = time.perf_counter()
        done = subprocess.run(
            command,
            check=True,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=os.environ | {"BUILDLOG_HOME": home},
        )
        took = time.perf_counter() - began
    return took, sum(len(line.get("words", [])) for line in json.loads(done.stdout)["transcript"])


def command(model: str, minutes: float, rounds: int) -> bool:
    times: dict[str, list[float]] = {"command": [], "bare": []}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "speech.wav"
        print(f"{minutes:g} minutes of {long_recording(path, minutes)}, model {model}")
        for n in range(rounds):
            for name in ("bare", "command") if n % 2 else ("command", "bare"):
                if name == "command":
                    took, words = whole_command(path, model)
                else:
                    got = run(BARE, path, model, threads())
                    took, words = got["process_s"], int(got["words"])
                times[name].append(took)
                print(f"  {name:<7} {took:7.1f} s  {words} words", flush=True)
    ratio = statistics.median(times["command"]) / statistics.median(times["bare"])
    print(f"buildlog tag / bare faster-whisper, whole processes: {ratio:.3f} (bar 1.10)")
    return ratio <= 1.10


def threads() -> int:
    return min(len(os.sched_getaffinity(0)), 8)


def speed(model: str, minutes: float, rounds: int, batched: bool) -> bool:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "speech.wav"
        print(f"{minutes:g} minutes of {long_recording(path, minutes)}, model {model}")
        times: dict[str, list[float]] = {"hear()": [], "bare": []}
        cpu: dict[str, list[float]] = {"hear()": [], "bare": []}
        for n in range(rounds):
            for name in ("bare", "hear()") if n % 2 else ("hear()", "bare"):
                ours = name == "hear()"
                got = run(
                    OURS if ours else BARE, path, model, ("batched" if batched else "in turn") if ours else threads()
                )
                times[name].append(got["seconds"])
                cpu[name].append(got["cpu_s"])
                print(
                    f"  {name:<7} {got['seconds']:7.1f} s  {got['words']} words  peak {got['peak_mb']:.0f} MB",
                    flush=True,
                )
    ratio = statistics.median(times["hear()"]) / statistics.median(times["bare"])
    work = statistics.median(cpu["hear()"]) / statistics.median(cpu["bare"])
    print(f"hear() / bare faster-whisper: {ratio:.3f} (bar 1.10); processor time alone: {work:.3f}")
    return ratio <= 1.10


def memory(model: str, short: float, long: float, share: float) -> bool:
    peaks = []
    with tempfile.TemporaryDirectory() as folder:
        for minutes in (short, long):
            path = Path(folder) / "speech.wav"
            long_recording(path, minutes, share)
            got = run(OURS, path, model, "in turn")
            peaks.append(got["peak_mb"])
            print(
                f"  {minutes:g} minutes: peak {got['peak_mb']:.0f} MB, {got['seconds']:.0f} s, {got['words']} words",
                flush=True,
            )
    ratio = peaks[1] / peaks[0]
    print(f"peak memory, {long:g} / {short:g} minutes: {ratio:.3f} (bar 1.3)")
    return ratio <= 1.3


def cuts(minutes: float) -> bool:
    from buildlog.media import scene_cuts
    from buildlog.media.encode import binary

    rates = []
    with tempfile.TemporaryDirectory() as folder:
        for name, keys in (
            ("key frames at cuts", ()),
            ("one key frame a second", ("-x264-params", "keyint=30:scenecut=0")),
        ):
            film = Path(folder) / "film.mp4"
            scenes = max(2, int(minutes * 60 / 12))
            sources = [f"testsrc2=s=1920x1080:r=30:d=12,hue=h={n * 47}:s={1 + n % 3}" for n in range(scenes)]
            command = [binary(), "-nostdin", "-y", "-loglevel", "error"]
            for n, source in enumerate(sources):
                command += ["-f", "lavfi", "-i", source if n % 2 else "smptebars=s=1920x1080:r=30:d=12"]
            command += ["-filter_complex", f"concat=n={scenes}", "-preset", "ultrafast", *keys, str(film)]
            subprocess.run(command, check=True)
            began, cpu = time.perf_counter(), time.process_time()
            found = scene_cuts(film)
            took, cpu = time.perf_counter() - began, time.process_time() - cpu
            rates.append(scenes * 12 / took)
            spent = f"{took:.2f} s ({cpu:.2f} s of processor)"
            print(f"  {name}: {scenes * 12} s of film in {spent}, {len(found)} of {scenes - 1} cuts")
    print(f"scene cuts: {min(rates):.0f} times real time (bar 20)")
    return min(rates) >= 20


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("what", choices=["command", "speed", "memory", "cuts"])
    parser.add_argument("--model")
    parser.add_argument("--minutes", type=float)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--batched", action="store_true", help="hear in batches (bare stays sequential)")
    parser.add_argument("--short", type=float, default=10)
    parser.add_argument("--long", type=float, default=120)
    parser.add_argument("--share", type=float, default=1.0, help="speech in what follows the first ten minutes")
    a = parser.parse_args()
    if a.what == "command":
        good = command(a.model or "base", a.minutes or 15, a.rounds)
    elif a.what == "speed":
        good = speed(a.model or "base", a.minutes or 15, a.rounds, a.batched)
    elif a.what == "memory":
        good = memory(a.model or "tiny.en", a.short, a.long, a.share)
    else:
        good = cuts(a.minutes or 3)
    return int(not good)


if __name__ == "__main__":
    sys.exit(main())
