"""Hearing a recording: sound to timed words, window by window, kept as it goes."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from buildlog.document import Line, Word
from buildlog.errors import Interrupted
from buildlog.listen import doubt
from buildlog.listen.engine import BEAM, Engine, Segment, Spoken, check_language, load
from buildlog.listen.heard import Dropped, Heard, HeardCache, HeardWindow, Stretch, key_of
from buildlog.listen.windows import LONGEST_S, SHORTEST_S, Region, Window, windows, without
from buildlog.media import SAMPLE_RATE, decode_audio, probe, sha256_of
from buildlog.settings import cache_folder
from buildlog.weights import resolve

LOST_S = 1.0  # speech without words that is shorter than this is breath, laughter or a word's slow end
WORD_REACH_S = 0.4  # how far past a word's own times the speech still is that word's
PAUSE_S = 0.7


@dataclass(frozen=True)
class Progress:
    """How far hearing is: seconds of the recording done and in all, and of waiting left (``None``: not known)."""

    done_s: float
    total_s: float
    left_s: float | None


OnProgress = Callable[[Progress], None]
Cancelled = Callable[[], bool]


def hear(
    path: Path | str,
    *,
    model: str = "base",
    language: str = "en",
    track: int | None = None,
    batched: bool = False,
    cache: Path | None = None,
    progress: OnProgress | None = None,
    cancelled: Cancelled | None = None,
) -> Heard:
    """The words of ``path`` with their times.

    ``model`` is a name from the manifest, another that faster-whisper knows, or a folder with weights; ``track``
    counts from 1 among the audio tracks. ``batched`` is quicker and a little less exact. What is finished is kept
    under ``cache`` (by default the cache folder): a second call goes on from there, or answers at once.

    A recording in which nobody speaks gives no lines. Raises :class:`BadInput` for a file that cannot be heard,
    :class:`MissingModel` for weights that are absent or damaged, :class:`Interrupted` once ``cancelled()`` is true.
    """
    info = probe(path)
    next(iter(decode_audio(path, track)), None)  # no sound or no such track is said before the long hashing
    weights = resolve(model)
    sha256 = sha256_of(path, cancelled=cancelled)
    way = "batched" if batched else "in turn"
    settings = key_of(sha256, weights.sha256, language, track, way, BEAM, LONGEST_S, SHORTEST_S)
    kept = HeardCache((cache or cache_folder()) / "heard" / settings)
    if (whole := kept.whole()) is not None:
        return whole

    engine = load(weights)
    check_language(engine, weights.name, language)
    finished = kept.windows()
    if not (finished and finished[-1].last):
        meter = _Meter(progress, info.duration_s, finished[-1].end / SAMPLE_RATE if finished else 0.0)
        for window in windows(decode_audio(path, track), finished[-1].end if finished else 0):
            heard = _hear_window(engine, window, language, batched, meter, cancelled)
            kept.keep_window(len(finished), heard)
            finished.append(heard)
            meter.at(heard.end / SAMPLE_RATE)
    duration = max(info.duration_s, finished[-1].end / SAMPLE_RATE)
    whole = Heard(
        lines=_in_order(line for w in finished for line in w.lines),
        duration_s=round(duration, 3),
        sha256=sha256,
        model=weights.name,
        settings=settings,
        lost=[s for w in finished for s in w.lost],
        dropped=[d for w in finished for d in w.dropped],
        pauses=_pauses([s for w in finished for s in w.speech], finished[-1].end / SAMPLE_RATE),
    )
    kept.keep_whole(whole)
    return whole


class _Meter:
    """Tells how far we are, and guesses the time left from the pace of this run."""

    def __init__(self, tell: OnProgress | None, total_s: float, from_s: float) -> None:
        self._tell, self._total, self._from = tell, total_s, from_s
        self._began = time.monotonic()
        self._done = from_s
        self.at(from_s)

    def at(self, done_s: float) -> None:
        if self._tell is None:
            return
        done_s = self._done = max(self._done, min(done_s, self._total))  # what is heard again lies further back
        heard = done_s - self._from
        spent = time.monotonic() - self._began
        left = (self._total - done_s) * spent / heard if heard > 5 else None
        self._tell(Progress(done_s, self._total, left))


def _hear_window(
    engine: Engine, window: Window, language: str, batched: bool, meter: _Meter, cancelled: Cancelled | None
) -> HeardWindow:
    offset = window.start / SAMPLE_RATE

    def told(segments: Iterable[Segment]) -> list[Segment]:
        got = []
        _stop_if(cancelled)
        for segment in segments:
            if segment.words:
                got.append(segment)
                meter.at(offset + segment.words[-1].end_s)
            _stop_if(cancelled)
        return got

    if batched:
        first = told(engine.batched(window.audio, window.speech, language))
    else:
        first = told(engine.sequential(window.audio, window.speech, language, context=True))
    segments, dropped = _believed(first, window.speech)

    for a, b in _uncovered(window.speech, segments):
        # Alone and without what went before it: whatever led the recogniser past this stretch is not there now.
        again, _ = _believed(told(engine.sequential(window.audio, [(a, b)], language, context=False)), window.speech)
        segments += [s for s in (_within(s, a, b) for s in again) if s.words]
    segments.sort(key=lambda s: s.words[0].start_s)
    lost = _uncovered(window.speech, segments)

    return HeardWindow(
        start=window.start,
        end=window.start + len(window.audio),
        last=window.last,
        lines=[_line(s, offset) for s in segments],
        speech=[_stretch(r, offset) for r in window.speech],
        lost=[_stretch(r, offset) for r in lost],
        dropped=[Dropped(round(d.start_s + offset, 3), round(d.end_s + offset, 3), d.text, d.why) for d in dropped],
    )


def _believed(segments: list[Segment], speech: list[Region]) -> tuple[list[Segment], list[Dropped]]:
    """``segments`` without what was made up, and what that was; times in seconds from the start of the window."""
    kept: list[Segment] = []
    dropped: list[Dropped] = []
    for segment in segments:
        why = doubt.invented(segment, speech)
        if why is None:
            kept.append(segment)
        else:
            dropped.append(_dropped(segment.words, why))
    owner = [segment for segment in kept for _ in segment.words]
    words = [w for segment in kept for w in segment.words]
    while (found := doubt.loop(words, speech)) is not None:
        a, b = found
        dropped.append(_dropped(words[a:b], "the recogniser repeated itself"))
        del words[a:b], owner[a:b]
    for segment in kept:
        segment.words = [w for w, o in zip(words, owner, strict=True) if o is segment]
    return [s for s in kept if s.words], dropped


def _dropped(words: list[Spoken], why: str) -> Dropped:
    return Dropped(words[0].start_s, words[-1].end_s, " ".join(w.text for w in words), why)


def _uncovered(speech: list[Region], segments: list[Segment]) -> list[Region]:
    """Speech in which no word was heard, in stretches long enough to hold some."""
    reach = WORD_REACH_S
    covered = [
        (int((w.start_s - reach) * SAMPLE_RATE), int((w.end_s + reach) * SAMPLE_RATE))
        for s in segments
        for w in s.words
    ]
    return [(a, b) for a, b in without(speech, covered) if b - a >= LOST_S * SAMPLE_RATE]


def _within(segment: Segment, a: int, b: int) -> Segment:
    words = [w for w in segment.words if a <= (w.start_s + w.end_s) / 2 * SAMPLE_RATE < b]
    return Segment(words, segment.no_speech, segment.log_p)


def _line(segment: Segment, offset: float) -> Line:
    words = [
        Word(start_s=round(w.start_s + offset, 3), end_s=round(w.end_s + offset, 3), text=w.text, p=round(w.p, 4))
        for w in segment.words
    ]
    return Line(start_s=words[0].start_s, end_s=words[-1].end_s, text=" ".join(w.text for w in words), words=words)


def _in_order(lines: Iterable[Line]) -> list[Line]:
    """Times made monotonic: a word never starts before the one before it ends, nor ends before it starts."""
    ordered = sorted(lines, key=lambda line: line.start_s)
    at = 0.0
    for line in ordered:
        for word in line.words:
            word.start_s = max(word.start_s, at)
            word.end_s = max(word.end_s, word.start_s)
            at = word.end_s
        line.start_s, line.end_s = line.words[0].start_s, line.words[-1].end_s
    return ordered


def _pauses(speech: list[Stretch], end_s: float) -> list[Stretch]:
    ends = [0.0, *(s.end_s for s in speech)]
    begins = [*(s.start_s for s in speech), end_s]
    return [Stretch(a, round(b, 3)) for a, b in zip(ends, begins, strict=True) if b - a >= PAUSE_S]


def _stretch(region: Region, offset: float) -> Stretch:
    return Stretch(round(region[0] / SAMPLE_RATE + offset, 3), round(region[1] / SAMPLE_RATE + offset, 3))


def _stop_if(cancelled: Cancelled | None) -> None:
    if cancelled is not None and cancelled():
        raise Interrupted("stopped; what was finished is kept, the same command goes on from there")
