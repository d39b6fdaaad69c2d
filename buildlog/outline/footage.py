"""Footage: what each raw clip of a build shows, which takes repeat a step, where nobody speaks, what made the cut."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import msgspec

from buildlog.document import Chapter, Log, Value
from buildlog.outline.cutlist import SLACK_S, CutList
from buildlog.outline.steps.ordering import alike

SILENCE_S = 8.0  # shorter stretches without words are just breath
BREATH_S = 1.0  # what is left of one in the cut must be noticed to be worth saying
SAME_TAKE = 0.6  # share of content words that two tellings of one step have in common
SHOWN = 0.5  # share of a step's telling that must be in the cut for the step to be in it


class Moment(Value):
    """A step as told in a clip, on the clip's clock. ``cut_s`` are the moments of the finished video at which it begins
    there; empty where most of it did not make the cut (``None`` without a cut)."""

    start_s: float
    end_s: float
    text: str
    take_of: int | None = None
    cut_s: list[float] | None = None


class Silence(Value):
    """A stretch of a clip in which nobody speaks; ``cut_s`` are the stretches (start, end) of it in the finished video,
    ``None`` without a cut."""

    start_s: float
    end_s: float
    cut_s: list[tuple[float, float]] | None = None


class Use(Value):
    """Where the finished video shows the clip, on its clock, and the chapter that this is in ("" without chapters)."""

    start_s: float
    end_s: float
    speed: float = 1.0
    chapter: str = ""


class Shot(Value):
    """One clip: ``shows`` in a few words, the steps told in it, ``silences`` of 8 s or more.

    ``used_s`` are the seconds of the finished video that show it or let it be heard, ``uses`` where; ``None`` and empty
    without a cut.
    """

    clip: str
    duration_s: float
    shows: str
    steps: list[Moment] = msgspec.field(default_factory=list)
    silences: list[Silence] = msgspec.field(default_factory=list)
    used_s: float | None = None
    uses: list[Use] = msgspec.field(default_factory=list)


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


def shot_log(clips: Sequence[tuple[str, Log]], cut: CutList | None = None, chapters: Sequence[Chapter] = ()) -> ShotLog:
    """The shot log of ``clips``: (file name, what was read in it), in order of filming.

    ``chapters`` are those of the finished ``cut``.
    """
    out = ShotLog(shots=[_shot(name, log, cut, chapters) for name, log in clips], chapters=list(chapters))
    logs = dict(clips)
    out.takes = _takes([(shot.clip, m) for shot in out.shots for m in shot.steps], logs)
    if cut is not None:
        out.cut_s = round(cut.duration_s, 3)
        kept = {m.take_of for shot in out.shots for m in shot.steps if m.take_of and m.cut_s}
        for shot in out.shots:
            if not shot.uses:
                out.left_out.append(f"{shot.clip}, all of it")
            out.left_out += [
                f"{shot.clip} at {_clock(m.start_s)}: {m.text}" + (" (another take is)" if m.take_of in kept else "")
                for m in shot.steps
                if not m.cut_s
            ]
    return out


def _shot(name: str, log: Log, cut: CutList | None, chapters: Sequence[Chapter]) -> Shot:
    moments = [Moment(start_s=s.start_s, end_s=s.end_s, text=s.text) for s in log.steps]
    quiet = [Silence(start_s=a, end_s=b) for a, b in silences(log)]
    shot = Shot(clip=name, duration_s=log.recording.duration_s, shows=shows(log), steps=moments, silences=quiet)
    if cut is None:
        return shot
    for m in moments:
        told = cut.share(name, m.start_s, m.end_s) >= SHOWN
        m.cut_s = [round(a, 3) for a, _ in cut.spans(name, m.start_s, m.end_s)] if told else []
    for q in quiet:
        q.cut_s = [(round(a, 3), round(b, 3)) for a, b in cut.spans(name, q.start_s, q.end_s) if b - a >= BREATH_S]
    stretches = sorted({s for s in (*cut.shown, *cut.heard) if s.clip == name}, key=lambda s: s.at_s)
    until = 0.0
    shot.used_s = 0.0
    for s in stretches:
        if s.at_s + s.length_s <= until + SLACK_S:
            continue  # the sound of what is seen
        shot.used_s = round(shot.used_s + s.at_s + s.length_s - max(until, s.at_s), 3)
        until = s.at_s + s.length_s
        within = next((c.title for c in reversed(chapters) if c.start_s <= s.at_s + s.length_s / 2), "")
        shot.uses.append(Use(start_s=round(s.at_s, 3), end_s=round(until, 3), speed=s.speed, chapter=within))
    return shot


def _clock(second: float) -> str:
    return f"{int(second) // 60}:{int(second) % 60:02}"


def shows(log: Log) -> str:
    """What the clip shows, in a few words."""
    if log.steps:
        worked = [c.title for c in log.chapters if any(c.start_s <= s.start_s for s in log.steps)]
        named = [t for t in worked if t not in ("Intro", "Wrapping up")]
        if named:
            return ", ".join([named[0], *(t[:1].lower() + t[1:] for t in named[1:3])])
        return log.steps[0].text.rstrip(".")
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


def _takes(told: Sequence[tuple[str, Moment]], logs: Mapping[str, Log]) -> list[Takes]:
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
        surest = max((told[i] for i in g), key=lambda x: (round(_heard_well(logs[x[0]], x[1]), 2), len(x[1].text)))
        out.append(Takes(number=number, text=surest[1].text, places=[(told[i][0], told[i][1].start_s) for i in g]))
    return out


def _heard_well(log: Log, m: Moment) -> float:
    """The mean probability of the words that tell the step; 1 where they were not heard but written."""
    sure = [w.p for line in log.transcript for w in line.words if m.start_s <= w.start_s < m.end_s and w.p is not None]
    return sum(sure) / len(sure) if sure else 1.0
