"""Footage: what each raw clip of a build shows, which takes repeat a step, where nobody speaks, what made the cut."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from buildlog.document import Chapter, Log, Value
from buildlog.outline.cutlist import CutList
from buildlog.outline.steps.ordering import alike

SILENCE_S = 8.0  # shorter stretches without words are just breath
SAME_TAKE = 0.6  # share of content words that two tellings of one step have in common


class Moment(Value):
    """A step as told in a clip, on the clip's clock. ``cut_s`` are the moments of the finished video that show its
    beginning; empty where it did not make the cut (``None`` without a cut)."""

    start_s: float
    end_s: float
    text: str
    take_of: int | None = None
    cut_s: list[float] | None = None


class Shot(Value):
    """One clip: ``shows`` in a few words, the steps told in it, ``silences`` (start, end) of 8 s or more.

    ``used_s`` are seconds of it in the finished video, ``None`` without a cut.
    """

    clip: str
    duration_s: float
    shows: str
    steps: list[Moment] = msgspec.field(default_factory=list)
    silences: list[tuple[float, float]] = msgspec.field(default_factory=list)
    used_s: float | None = None


class Takes(Value):
    """Tellings of one step in several places: (clip, second) each, in order."""

    number: int
    text: str
    places: list[tuple[str, float]]


class ShotLog(Value):
    """The whole folder; with a cut also its chapters and what did not make it."""

    shots: list[Shot]
    takes: list[Takes] = msgspec.field(default_factory=list)
    chapters: list[Chapter] = msgspec.field(default_factory=list)
    left_out: list[str] = msgspec.field(default_factory=list)
    cut_s: float | None = None


def shot_log(clips: Sequence[tuple[str, Log]], cut: CutList | None = None) -> ShotLog:
    """The shot log of ``clips``: (file name, what was read in it), in order of filming."""
    shots: list[Shot] = []
    told: list[tuple[str, Moment]] = []
    for name, log in clips:
        moments = [Moment(start_s=s.start_s, end_s=s.end_s, text=s.text) for s in log.steps]
        for m in moments:
            if cut is not None:
                m.cut_s = [round(t, 3) for t in cut.carried(name, m.start_s)]
        told += [(name, m) for m in moments]
        shot = Shot(
            clip=name, duration_s=log.recording.duration_s, shows=shows(log), steps=moments, silences=silences(log)
        )
        if cut is not None:
            shot.used_s = round(sum(s.length_s for s in cut.shown if s.clip == name), 3)
        shots.append(shot)
    out = ShotLog(shots=shots, takes=_takes(told))
    if cut is not None:
        out.cut_s = round(cut.duration_s, 3)
        for shot in shots:
            if not shot.used_s:
                out.left_out.append(f"{shot.clip} is not in the cut")
                continue
            out.left_out += [f"{shot.clip} at {m.start_s:.1f} s: {m.text}" for m in shot.steps if m.cut_s == []]
    return out


def shows(log: Log) -> str:
    """What the clip shows, in a few words."""
    if log.steps:
        first = log.steps[0].text.rstrip(".")
        more = len(log.steps) - 1
        return first + (f", and {more} more step{'s' if more > 1 else ''}" if more else "")
    if log.items:
        return "Talk of " + ", ".join(i.name for i in log.items[:3])
    if log.transcript:
        return "Talk"
    return "Nobody speaks"


def silences(log: Log) -> list[tuple[float, float]]:
    """Stretches of 8 seconds and more in which no words were heard."""
    out = []
    at = 0.0
    for line in [*log.transcript]:
        for start, end in [(w.start_s, w.end_s) for w in line.words] or [(line.start_s, line.end_s)]:
            if start - at >= SILENCE_S:
                out.append((round(at, 3), round(start, 3)))
            at = max(at, end)
    if log.recording.duration_s - at >= SILENCE_S:
        out.append((round(at, 3), round(log.recording.duration_s, 3)))
    return out


def _takes(told: Sequence[tuple[str, Moment]]) -> list[Takes]:
    """Steps that are told more than once, in whichever clips; each moment belongs to one group at most."""
    groups: list[list[int]] = []
    for i, (_, m) in enumerate(told):
        for g in groups:
            if alike(told[g[0]][1].text, m.text) >= SAME_TAKE:
                g.append(i)
                break
        else:
            groups.append([i])
    out: list[Takes] = []
    for g in groups:
        if len(g) < 2:
            continue
        number = len(out) + 1
        for i in g:
            told[i][1].take_of = number
        longest = max((told[i][1].text for i in g), key=len)
        out.append(Takes(number=number, text=longest, places=[(told[i][0], told[i][1].start_s) for i in g]))
    return out
