"""Cutting the sound into windows of bounded length, at silences, and finding speech in them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from buildlog.media import SAMPLE_RATE
from buildlog.media.sound import Samples

LONGEST_S = 330  # bounds the memory: a window is 21 MB of samples
SHORTEST_S = 240
GOOD_SILENCE_S = 0.6

Region = tuple[int, int]  # samples, relative to the window


@dataclass(frozen=True)
class Window:
    """``audio`` starts at sample ``start`` of the recording; ``speech`` are regions within it, in samples."""

    start: int
    audio: Samples
    speech: list[Region]
    last: bool


def windows(blocks: Iterable[Samples], start: int = 0) -> Iterator[Window]:
    """Windows over ``blocks`` from sample ``start`` on. The same sound always gives the same windows."""
    held = np.empty(0, np.float32)
    pieces: list[Samples] = []
    count, at = 0, start
    for block in skip(blocks, start):
        pieces.append(block)
        count += len(block)
        if count < LONGEST_S * SAMPLE_RATE:
            continue
        held = np.concatenate(pieces)
        speech = find_speech(held)
        cut = choose_cut(held, speech)
        yield Window(at, held[:cut], [(a, min(b, cut)) for a, b in speech if a < cut], last=False)
        pieces, count, at = [held[cut:].copy()], len(held) - cut, at + cut
        del held
    held = np.concatenate(pieces) if pieces else np.empty(0, np.float32)
    yield Window(at, held, find_speech(held), last=True)


def skip(blocks: Iterable[Samples], samples: int) -> Iterator[Samples]:
    """``blocks`` without their first ``samples`` samples."""
    for block in blocks:
        if samples >= len(block):
            samples -= len(block)
            continue
        yield block[samples:]
        samples = 0


def find_speech(audio: Samples) -> list[Region]:
    """Regions of speech, by the voice activity model in faster-whisper; silences of 0.3 s part them."""
    if not len(audio):
        return []
    from faster_whisper.vad import VadOptions, get_speech_timestamps

    options = VadOptions(min_silence_duration_ms=300, speech_pad_ms=0, min_speech_duration_ms=100)
    return [(int(r["start"]), min(int(r["end"]), len(audio))) for r in get_speech_timestamps(audio, options)]


def choose_cut(audio: Samples, speech: list[Region]) -> int:
    """Where to end a window: in the latest good silence, else in the longest, else where it is least loud."""
    earliest = SHORTEST_S * SAMPLE_RATE
    ends = [0, *(b for _, b in speech)]
    begins = [*(a for a, _ in speech), len(audio)]
    silences = [(b - a, (a + b) // 2) for a, b in zip(ends, begins, strict=True) if (a + b) // 2 >= earliest and b > a]
    good = [middle for length, middle in silences if length >= GOOD_SILENCE_S * SAMPLE_RATE]
    if good:
        return good[-1]
    if silences:
        return max(silences)[1]
    step = SAMPLE_RATE // 5
    tail = audio[earliest : earliest + (len(audio) - earliest) // step * step].reshape(-1, step)
    return earliest + int(np.argmin(np.mean(tail**2, axis=1))) * step + step // 2


def merged(speech: list[Region], length: int, *, gap_s: float = 2.0, pad_s: float = 0.4) -> list[Region]:
    """``speech`` with silences under ``gap_s`` closed and ``pad_s`` of sound kept on both sides."""
    pad = int(pad_s * SAMPLE_RATE)
    out: list[Region] = []
    for a, b in speech:
        if out and a - out[-1][1] < gap_s * SAMPLE_RATE:
            out[-1] = (out[-1][0], b)
        else:
            out.append((a, b))
    return [(max(0, a - pad), min(length, b + pad)) for a, b in out]


def without(speech: list[Region], covered: list[Region]) -> list[Region]:
    """The parts of ``speech`` that no region of ``covered`` touches."""
    left: list[Region] = []
    ordered = sorted(covered)
    for start, end in speech:
        at = start
        for a, b in ordered:
            if b <= at:
                continue
            if a >= end:
                break
            if a > at:
                left.append((at, a))
            at = max(at, b)
        if at < end:
            left.append((at, end))
    return left
