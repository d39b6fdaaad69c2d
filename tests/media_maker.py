"""Tiny recordings made on the spot with the real ffmpeg, for the tests of media and listening."""

from __future__ import annotations

import subprocess
import wave
from pathlib import Path

import numpy as np
import numpy.typing as npt

from buildlog.media import SAMPLE_RATE, decode_audio
from buildlog.media.encode import binary

# Two sentences read by flite's voice slt (free licence):
# "I cut two straps from the canvas. Each one is nine inches long."
STRAPS = Path(__file__).parent / "media" / "straps.ogg"
STRAPS_WORDS = ["straps", "canvas", "inches", "long"]


def ffmpeg(*arguments: str | Path) -> bytes:
    """Run ffmpeg; its standard output."""
    command = [binary(), "-nostdin", "-hide_banner", "-loglevel", "error", "-y", *map(str, arguments)]
    return subprocess.run(command, check=True, stdout=subprocess.PIPE).stdout


def make(out: Path, *inputs: str, options: tuple[str, ...] = ()) -> Path:
    """A recording from lavfi sources such as ``testsrc2=d=2``."""
    arguments: list[str | Path] = []
    for source in inputs:
        arguments += ["-f", "lavfi", "-i", source]
    ffmpeg(*arguments, *options, out)
    return out


def speech() -> npt.NDArray[np.float32]:
    """The two sentences as samples."""
    return np.concatenate(list(decode_audio(STRAPS)))


def spoken_at(out: Path, times_s: list[float], length_s: float) -> Path:
    """A wav of ``length_s`` seconds in which the two sentences are said at each of ``times_s``."""
    samples = np.zeros(int(length_s * SAMPLE_RATE), np.float32)
    said = speech()
    for t in times_s:
        at = int(t * SAMPLE_RATE)
        samples[at : at + len(said)] += said[: len(samples) - at]
    return write_wav(out, samples)


def write_wav(out: Path, samples: npt.NDArray[np.float32]) -> Path:
    with wave.open(str(out), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(SAMPLE_RATE)
        file.writeframes((np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes())
    return out
