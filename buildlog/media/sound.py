"""The sound of a recording as samples on the recording's clock, in bounded memory."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from buildlog.errors import BadInput
from buildlog.media.opening import open_media, shown
from buildlog.media.probing import duration_of, refuse_if_cut_short, start_of

Samples = npt.NDArray[np.float32]

SAMPLE_RATE = 16_000
BLOCK = SAMPLE_RATE * 10
DRIFT_S = 0.1  # sound that is further off the recording's clock than this is moved back onto it


@dataclass(frozen=True)
class Pause:
    """A stretch without anything loud, in seconds."""

    start_s: float
    end_s: float


def decode_audio(path: Path | str, track: int | None = None) -> Iterator[Samples]:
    """The sound of ``path`` as mono float32 blocks (-1 to 1) at 16 kHz, at most ten seconds each.

    ``track`` counts from 1 among the audio tracks; without it, the one that players choose. Sample ``n`` was heard
    at ``n / 16000`` seconds on the recording's clock: where the sound starts late or has holes there is silence.
    Raises :class:`BadInput` if there is no sound, no such track, or the file is cut short.
    """
    return _in_blocks(_on_clock(path, track))


def _on_clock(path: Path | str, track: int | None) -> Iterator[Samples]:
    import av

    with open_media(path) as container:
        stream = _choose(container, track, path)
        refuse_if_cut_short(container, Path(path))
        begin, limit = start_of(container), duration_of(container) + 60.0
        resampler = av.AudioResampler(format="fltp", layout="mono", rate=SAMPLE_RATE)
        taken = 0  # samples given to the resampler, counted at 16 kHz
        to_skip = 0
        for frame in _frames(container, stream):
            if frame.pts is not None and frame.time_base is not None:
                off = float(frame.pts * frame.time_base) - begin - taken / SAMPLE_RATE
                if off > DRIFT_S and taken / SAMPLE_RATE + off < limit:
                    gap = round(off * SAMPLE_RATE)
                    taken += gap
                    for at in range(0, gap, BLOCK):
                        yield np.zeros(min(BLOCK, gap - at), np.float32)
                elif off < -DRIFT_S and frame.pts >= 0:
                    to_skip = round(-off * SAMPLE_RATE)
            taken += round(frame.samples * SAMPLE_RATE / frame.sample_rate)
            frame.pts = None  # the resampler need not look at times: they are dealt with above
            for samples in _samples(resampler.resample(frame)):
                kept = samples[to_skip:]
                taken -= len(samples) - len(kept)
                to_skip = max(0, to_skip - len(samples))
                yield kept
        yield from _samples(resampler.resample(None))


def _choose(container: Any, track: int | None, path: Path | str) -> Any:
    tracks = container.streams.audio
    if not tracks:
        raise BadInput(f"{shown(path)} has no sound; give the voice-over or a transcript beside it")
    if track is None:
        return container.streams.best("audio") or tracks[0]
    if not 1 <= track <= len(tracks):
        raise BadInput(
            f"{shown(path)} has {len(tracks)} audio track(s), there is no track {track}; choose 1 to {len(tracks)}"
        )
    return tracks[track - 1]


def _frames(container: Any, stream: Any) -> Iterator[Any]:
    """Decoded frames; a damaged packet is left out rather than ending the recording."""
    import av

    decoded = 0
    for packet in container.demux(stream):
        try:
            frames = packet.decode()
        except av.error.InvalidDataError:
            continue
        decoded += len(frames)
        yield from frames
    if not decoded:
        raise BadInput("the sound cannot be decoded; convert the file, for example to wav, and try again")


def _samples(frames: Iterable[Any]) -> Iterator[Samples]:
    for frame in frames:
        yield frame.to_ndarray()[0]


def _in_blocks(pieces: Iterable[Samples]) -> Iterator[Samples]:
    held: list[Samples] = []
    count = 0
    for piece in pieces:
        held.append(piece)
        count += len(piece)
        if count >= BLOCK:
            whole = np.concatenate(held)
            full = len(whole) - len(whole) % BLOCK
            for at in range(0, full, BLOCK):
                yield whole[at : at + BLOCK]
            held, count = [whole[full:]], len(whole) - full
    if count:
        yield np.concatenate(held)


def pauses(
    path: Path | str, track: int | None = None, *, min_s: float = 0.7, cancelled: Callable[[], bool] | None = None
) -> list[Pause]:
    """Stretches of at least ``min_s`` seconds in which nothing rises above the room's own noise.

    The room's noise is the level that a tenth of the recording stays under; a pause stays within 6 dB of it and 12 dB
    under what is loud, or under -50 dB of full scale where the room is quieter. Levels are taken every 20 ms.
    """
    step = SAMPLE_RATE // 50
    levels: list[npt.NDArray[np.float32]] = []
    for block in decode_audio(path, track):
        if cancelled is not None and cancelled():
            break
        padded = np.pad(block, (0, -len(block) % step))
        levels.append(np.sqrt(np.mean(padded.reshape(-1, step) ** 2, axis=1)))
    if not levels:
        return []
    level = np.concatenate(levels)
    quiet_end, loud_end = (float(v) for v in np.percentile(level, (10, 90)))
    floor = max(min(2.0 * quiet_end, loud_end / 4), 10 ** (-50 / 20))
    quiet = np.concatenate(([False], level <= floor, [False]))
    edges = np.flatnonzero(quiet[1:] != quiet[:-1])
    return [
        Pause(a / 50, b / 50)
        for a, b in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
        if (b - a) / 50 >= min_s
    ]
