"""Speech to measure with: the development narrations read aloud, or LibriVox clips, repeated to a length.

Needs Debian's ``flite`` (voices under a free licence) or ``pocketsphinx-testdata`` (public-domain LibriVox recordings).
"""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
import wave
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
NARRATIONS = ROOT / "tests" / "narrations" / "dev"
LIBRIVOX = Path("/usr/share/pocketsphinx/test/data/librivox")
RATE = 16_000


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
    with tempfile.NamedTemporaryFile("w", suffix=".txt", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        subprocess.run(["flite", "-voice", voice, "-f", file.name, "-o", str(out)], check=True)


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
