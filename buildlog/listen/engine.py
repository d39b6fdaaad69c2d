"""The recogniser: faster-whisper over one window of sound."""

from __future__ import annotations

import functools
import os
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from buildlog.errors import BadInput, MissingModel, one_line
from buildlog.listen.windows import Region, merged
from buildlog.media import SAMPLE_RATE
from buildlog.media.sound import Samples
from buildlog.weights import Weights

BEAM = 5
BATCH = 8
BATCH_CLIP_S = 15.0  # longer clips made the batched decoder leave words out


@dataclass
class Spoken:
    """One word as recognised; seconds from the start of the window."""

    start_s: float
    end_s: float
    text: str
    p: float


@dataclass
class Segment:
    """A run of words the recogniser gave together. ``no_speech`` and ``log_p`` are its own doubts about it."""

    words: list[Spoken]
    no_speech: float
    log_p: float


class Engine:
    """A loaded model. ``device`` is ``cpu`` or ``cuda``; ``compute`` the number format it calculates in."""

    def __init__(self, model: Any, device: str, compute: str) -> None:
        self._model = model
        self.device = device
        self.compute = compute

    @property
    def languages(self) -> list[str]:
        """Codes of the languages the model knows."""
        return list(self._model.supported_languages)

    def sequential(self, audio: Samples, speech: list[Region], language: str, *, context: bool) -> Iterator[Segment]:
        """Hear ``speech`` in ``audio``, thirty seconds after thirty seconds; ``context`` lets each lean on the last."""
        regions = merged(speech, len(audio))
        if not regions:
            return
        from faster_whisper.transcribe import restore_speech_timestamps

        joined = np.concatenate([audio[a:b] for a, b in regions])
        segments, _ = self._model.transcribe(
            joined, language=language, beam_size=BEAM, word_timestamps=True, condition_on_previous_text=context
        )
        chunks = [{"start": a, "end": b} for a, b in regions]
        for segment in restore_speech_timestamps(segments, chunks, SAMPLE_RATE):
            yield _segment(segment)

    def batched(self, audio: Samples, speech: list[Region], language: str) -> Iterator[Segment]:
        """Hear several clips at a time: quicker, but clips may come back without all their words."""
        clips = _clips(merged(speech, len(audio), gap_s=0.5, pad_s=0.2))
        if not clips:
            return
        from faster_whisper import BatchedInferencePipeline

        segments, _ = BatchedInferencePipeline(self._model).transcribe(
            audio,
            language=language,
            beam_size=BEAM,
            word_timestamps=True,
            batch_size=BATCH,
            clip_timestamps=[{"start": a / SAMPLE_RATE, "end": b / SAMPLE_RATE} for a, b in clips],
        )
        for segment in segments:
            yield _segment(segment)


def _clips(regions: list[Region]) -> list[Region]:
    longest = int(BATCH_CLIP_S * SAMPLE_RATE)
    joined: list[Region] = []
    for a, b in regions:
        if joined and b - joined[-1][0] <= longest:
            joined[-1] = (joined[-1][0], b)
        else:
            joined.append((a, b))
    return [(at, min(b, at + longest)) for a, b in joined for at in range(a, b, longest)]


def _segment(segment: Any) -> Segment:
    """Our own types, plain floats, and the pieces of hyphenated words put back together."""
    words: list[Spoken] = []
    for w in segment.words or []:
        text = str(w.word)
        if words and text and not text[0].isspace():
            last = words[-1]
            words[-1] = Spoken(last.start_s, float(w.end), last.text + text.strip(), min(last.p, float(w.probability)))
        elif text.strip():
            words.append(Spoken(float(w.start), float(w.end), text.strip(), float(w.probability)))
    return Segment(words, float(segment.no_speech_prob), float(segment.avg_logprob))


@functools.lru_cache(maxsize=1)
def load(weights: Weights) -> Engine:
    """Load ``weights`` on the graphics card if there is one that works, else on the processor, in 8-bit integers.

    Raises :class:`MissingModel` if the files are no model that can be loaded.
    """
    import ctranslate2

    if ctranslate2.get_cuda_device_count() > 0:
        try:
            engine = _open(weights, "cuda", "int8_float16")
            list(engine.sequential(np.zeros(SAMPLE_RATE, np.float32), [(0, SAMPLE_RATE)], "en", context=False))
            return engine
        except (RuntimeError, ValueError, MissingModel):
            pass  # a card without its libraries is as good as none
    return _open(weights, "cpu", "int8")


def _open(weights: Weights, device: str, compute: str) -> Engine:
    from faster_whisper import WhisperModel

    threads = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 4
    try:
        model = WhisperModel(str(weights.folder), device=device, compute_type=compute, cpu_threads=min(threads, 8))
    except (RuntimeError, ValueError, OSError) as error:
        raise MissingModel(
            f"the speech model “{one_line(weights.name, 60)}” cannot be loaded ({one_line(error, 120)}); "
            f"run `buildlog models fetch {weights.name}`"
        ) from error
    return Engine(model, device, compute)


def check_language(engine: Engine, name: str, language: str) -> None:
    """Raises :class:`BadInput` where the model does not know ``language`` (ISO 639-1)."""
    known = engine.languages
    if language not in known:
        raise BadInput(
            f"the speech model “{one_line(name, 60)}” does not know the language “{one_line(language, 20)}”; "
            + ("use the model base for it" if len(known) == 1 else "give a code such as en, de or fr")
        )
