"""The table of quality figures after a voice and the recogniser, beside the table on the words as written.

    uv run python benchmarks/speech.py [dev|unseen|FOLDER] [--voice flite:slt] [--models tiny.en base] [--limit N] [--misses]

A synthetic voice reads the narrations, sentence by sentence, and is silent between them for as long as the script is (a
line that lasts longer than its words need ends in silence); ``hear`` listens; ``read`` reads what was heard; ``score.py``
scores both against the answer sheets. The voice keeps its own pace, so what is heard is put back on the
script's clock before it is read: inside a sentence by the share of its letters, which errs by less than a second.
Voices: ``flite:slt``, ``flite:rms`` (Debian ``flite``, free licence), ``espeak-ng`` or ``espeak-ng:en-gb`` (Debian; it
understates accuracy), ``piper:VOICE.onnx`` (a ``piper`` command on the path). The bar: with the better model no kind's
F1 drops by more than 0.06. Leaves with 1 if one does.

Sound and what was heard are kept in a folder of the system's temporary files (``--cache``); a second run only reads and scores.

The module also makes speech for the other benchmarks: the development narrations, or LibriVox clips, repeated to a length.
That needs Debian's ``flite`` or ``pocketsphinx-testdata`` (public-domain LibriVox recordings).
"""

from __future__ import annotations

import argparse
import hashlib
import json
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import wave
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from score import Tally

    from buildlog.document import Line, Word

ROOT = Path(__file__).resolve().parent.parent
NARRATIONS = ROOT / "tests" / "narrations" / "dev"
LIBRIVOX = Path("/usr/share/pocketsphinx/test/data/librivox")
RATE = 16_000
SILENT_S = 1.0  # a longer silence of the script is one in the sound, wherever it stands
BREATH_S = 0.4  # between sentences, where the script leaves no longer pause
LONGEST = 60  # words the voice is given at once: where a narration has no full stops
BAR = 0.06
FEW = 15  # gold entries: under these a kind's F1 moves by more than the bar with a single entry, so it is marked


def narrations() -> list[str]:
    """The development narrations as plain text, without their times."""
    return [
        " ".join(re.sub(r"^\[[\d:.]+\]\s*", "", line) for line in path.read_text("utf-8").splitlines())
        for path in sorted(NARRATIONS.glob("*.txt"))
    ]


def librivox() -> list[tuple[Path, str]]:
    """The clips and the words published with them."""
    pairs = []
    for line in (LIBRIVOX / "transcription").read_text("utf-8").splitlines():
        match = re.fullmatch(r"<s> (.*) </s> \((\S+)\)", line.strip())
        if match is None:
            raise SystemExit(f"{LIBRIVOX / 'transcription'} is not as expected: {line!r}")
        pairs.append((LIBRIVOX / f"{match[2]}.wav", match[1]))
    return pairs


def speak(text: str, out: Path, voice: str = "slt") -> None:
    """``text`` read by flite into a 16 kHz mono wav."""
    _run_voice(f"flite:{voice}", text, out)


def _run_voice(voice: str, text: str, out: Path) -> None:
    kind, _, name = voice.partition(":")
    with tempfile.NamedTemporaryFile("w", suffix=".txt", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        if kind == "flite":
            command = ["flite", "-voice", name or "slt", "-f", file.name, "-o", str(out)]
        elif kind == "espeak-ng":
            command = ["espeak-ng", "-v", name or "en-us", "-f", file.name, "-w", str(out)]
        elif kind == "piper":
            command = ["piper", "-m", name, "-i", file.name, "-f", str(out)]
        else:
            raise SystemExit(f"no voice {voice!r}: give flite:slt, espeak-ng or piper:VOICE.onnx")
        if shutil.which(command[0]) is None:
            raise SystemExit(f"{command[0]} is not installed: apt-get install {command[0]} (or choose another --voice)")
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)


def long_recording(out: Path, minutes: float, share: float = 1.0) -> str:
    """Write ``minutes`` of recording to ``out`` (16 kHz mono wav); returns what it is made of.

    The first ten minutes are all speech; after them, speech takes ``share`` of the time and silence the rest.
    """
    with tempfile.TemporaryDirectory() as folder:
        if shutil.which("flite"):
            sources, made_of = [], "flite (voices slt, rms) reading the development narrations"
            for n, text in enumerate(narrations()):
                sources.append(Path(folder) / f"{n}.wav")
                speak(text, sources[-1], ("slt", "rms")[n % 2])
        elif LIBRIVOX.is_dir():
            sources, made_of = [path for path, _ in librivox()], "LibriVox clips"
        else:
            raise SystemExit("neither flite nor pocketsphinx-testdata is installed: apt-get install flite")
        pieces = [_samples(path) for path in sources]
    wanted, written, n = int(minutes * 60 * RATE) * 2, 0, 0
    with wave.open(str(out), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        while written < wanted:
            piece = pieces[n % len(pieces)][: wanted - written]
            file.writeframes(piece)
            written += len(piece)
            n += 1
            if written > 600 * RATE * 2 and share < 1.0:
                silence = min(int(len(piece) * (1 / share - 1)) // 2 * 2, max(0, wanted - written))
                file.writeframes(bytes(silence))
                written += silence
    return made_of


def _samples(path: Path) -> bytes:
    with wave.open(str(path), "rb") as file:
        if (file.getframerate(), file.getnchannels(), file.getsampwidth()) != (RATE, 1, 2):
            raise SystemExit(f"{path} is not 16 kHz mono")
        return file.readframes(file.getnframes())


@dataclass
class Clock:
    """Seconds of the sound (``heard``) against seconds of the script (``said``), both rising; between points, linear."""

    heard: list[float] = field(default_factory=list)
    said: list[float] = field(default_factory=list)

    def script(self, at: float) -> float:
        """Where on the script's clock the sound at ``at`` belongs."""
        return round(float(np.interp(at, self.heard, self.said)), 3)


def said(lines: Sequence[Line]) -> list[Word]:
    """The words of the script with times that leave its silences silent.

    A line of a plain script lasts until the next one begins; its words are given the script's usual pace (the same
    measure as the reading's own), and what is left of the line is silence.
    """
    import msgspec

    from buildlog.tag.timed import words_of

    paces = [len(line.text) / (line.end_s - line.start_s) for line in lines if line.end_s - line.start_s > 0.5]
    pace = statistics.quantiles(paces, n=10)[5] if len(paces) > 3 else 15.0
    out: list[Word] = []
    for line in lines:
        end_s = min(line.end_s, line.start_s + len(line.text) / pace)
        out += line.words or words_of(msgspec.structs.replace(line, end_s=end_s))
    return out


def sentences(lines: Sequence[Line]) -> list[tuple[str, list[tuple[int, float]]]]:
    """What the voice reads at once, each with (letters before the word, the word's start on the script's clock).

    The last pair is the sentence's end. A silence of the script ends a sentence too.
    """
    out: list[tuple[str, list[tuple[int, float]]]] = []
    texts: list[str] = []
    points: list[tuple[int, float]] = []
    words = said(lines)
    for n, word in enumerate(words):
        points.append((sum(len(t) + 1 for t in texts), word.start_s))
        texts.append(word.text)
        last = n == len(words) - 1
        ends = word.text.rstrip("\"'”’)")[-1:] in ".?!" or len(texts) >= LONGEST
        if last or ends or words[n + 1].start_s - word.end_s > SILENT_S:
            points.append((sum(len(t) + 1 for t in texts), word.end_s))
            out.append((" ".join(texts), points))
            texts, points = [], []
    return out


def spoken(path: Path, voice: str, folder: Path) -> tuple[Path, Clock]:
    """The narration at ``path`` read by ``voice`` (a wav in ``folder``, made once) and the two clocks."""
    from buildlog.listen.transcript import read as read_transcript

    key = hashlib.sha256(f"3 {voice} {BREATH_S}\n".encode() + path.read_bytes()).hexdigest()[:16]
    wav, kept = folder / f"{path.stem}-{key}.wav", folder / f"{path.stem}-{key}.json"
    if wav.is_file() and kept.is_file():
        return wav, Clock(**json.loads(kept.read_text("utf-8")))
    folder.mkdir(parents=True, exist_ok=True)
    clock, at, pieces, rate = Clock(), 0.0, [], RATE
    with tempfile.TemporaryDirectory() as scratch:
        parts = sentences(read_transcript(path))
        for n, (text, points) in enumerate(parts):
            piece = Path(scratch) / "sentence.wav"
            _run_voice(voice, text, piece)
            with wave.open(str(piece), "rb") as file:
                rate, frames = file.getframerate(), file.readframes(file.getnframes())
            length = len(frames) / 2 / rate
            whole = points[-1][0]
            for letters, start_s in points:
                clock.heard.append(round(at + length * letters / whole, 3))
                clock.said.append(round(start_s, 3))
            silent = max(BREATH_S, parts[n + 1][1][0][1] - points[-1][1]) if n + 1 < len(parts) else BREATH_S
            pieces += [frames, bytes(int(silent * rate) * 2)]
            at += length + int(silent * rate) / rate
    partial = wav.with_suffix(".part")
    with wave.open(str(partial), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(b"".join(pieces))
    partial.replace(wav)
    kept.write_text(json.dumps({"heard": clock.heard, "said": clock.said}), encoding="utf-8")
    return wav, clock


def on_script(lines: Sequence[Line], clock: Clock) -> list[Line]:
    """``lines`` as heard, on the script's clock."""
    import msgspec

    return [
        msgspec.structs.replace(
            line,
            start_s=clock.script(line.start_s),
            end_s=clock.script(line.end_s),
            words=[
                msgspec.structs.replace(w, start_s=clock.script(w.start_s), end_s=clock.script(w.end_s))
                for w in line.words
            ],
        )
        for line in lines
    ]


def _compare(written: Tally, heard: Tally) -> tuple[str, bool]:
    """The two side by side, and whether every kind with enough entries keeps within the bar."""
    rows = [f"{'':20}{'written':>9}{'spoken':>9}{'drop':>9}{'gold':>7}"]
    good = True
    for kind, (_, gold, _) in written.counts.items():
        drop = written.f1(kind) - heard.f1(kind)
        over = drop > BAR
        good &= not over or gold < FEW
        mark = "  over the bar" if over else ""
        few = "  (few)" if gold < FEW else ""
        rows.append(f"{kind:20}{written.f1(kind):9.3f}{heard.f1(kind):9.3f}{drop:+9.3f}{gold:7}{mark}{few}")
    if written.status_seen and heard.status_seen:
        a, b = written.status_right / written.status_seen, heard.status_right / heard.status_seen
        rows.append(f"{'status right':20}{a:9.3f}{b:9.3f}{a - b:+9.3f}")
    return "\n".join(rows), good


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("half", nargs="?", default="dev")
    parser.add_argument("--voice", default="flite:slt")
    parser.add_argument("--models", nargs="+", default=["tiny.en", "base"])
    parser.add_argument("--limit", type=int, help="only the first N narrations")
    parser.add_argument(
        "--misses", action="store_true", help="what speech alone costs: misses not made on the words as written"
    )
    parser.add_argument("--cache", type=Path, default=Path(tempfile.gettempdir()) / "buildlog-speech")
    a = parser.parse_args()
    if a.misses and "unseen" in a.half:
        parser.error("the unseen half is only looked at as a score; use --misses with dev")

    import jiwer
    import msgspec
    from narrations import read_log
    from score import Tally
    from word_error import normal

    from buildlog.document import RecordingInfo
    from buildlog.listen import hear
    from buildlog.listen.transcript import read as read_transcript
    from buildlog.reading import read

    folder = Path(a.half) if Path(a.half).is_dir() else NARRATIONS.parent / a.half
    paths = [p for p in sorted(folder.glob("*.txt")) if p.with_suffix(".answers.json").is_file()][: a.limit]
    if not paths:
        parser.error(f"no narrations with answer sheets in {folder}")
    gold = {p: json.loads(p.with_suffix(".answers.json").read_text("utf-8")) for p in paths}
    written = Tally()
    for path in paths:
        written.add(gold[path], msgspec.to_builtins(read_log(path)), path.stem[:2])
    outcomes = []
    for model in a.models:
        tally, words, heard_words, lost = Tally(), [], [], 0.0
        for path in paths:
            wav, clock = spoken(path, a.voice, a.cache)
            heard = hear(wav, model=model, cache=a.cache)
            lost += sum(s.end_s - s.start_s for s in heard.lost)
            lines = on_script(heard.lines, clock)
            words.append(normal(" ".join(line.text for line in read_transcript(path))))
            heard_words.append(normal(" ".join(line.text for line in lines)))
            pauses = [(clock.script(p.start_s), clock.script(p.end_s)) for p in heard.pauses]
            log = read(lines, RecordingInfo(path=path.name, duration_s=clock.said[-1]), pauses=pauses)
            tally.add(gold[path], msgspec.to_builtins(log), path.stem[:2])
            print(
                f"  {model}: {path.stem if 'unseen' not in a.half else path.stem[:2]} read", file=sys.stderr, flush=True
            )
        table, good = _compare(written, tally)
        outcomes.append(good)
        wer = float(jiwer.wer(words, heard_words))
        print(
            f"\n{a.voice}, {model}, {len(paths)} narrations: word error {wer:.3f} (letters only), {lost:.1f} s lost\n{table}"
        )
        if a.misses:
            before = set(written.misses)
            print("\n".join(m for m in tally.misses if m not in before))
    return int(not any(outcomes))


if __name__ == "__main__":
    sys.exit(main())
