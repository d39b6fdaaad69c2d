"""A part's chapters as a host takes them: what breaks its rule is mended, and what was done is said."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from buildlog.document import Chapter, Log
from buildlog.publish.hosts import ChapterRule
from buildlog.publish.plain import clean, moment, sound_time


@dataclass(frozen=True)
class Titled:
    """A chapter from ``start_s`` to ``end_s``."""

    start_s: float
    end_s: float
    title: str


@dataclass
class Fitted:
    """Chapters that keep a rule (none where it cannot be kept), and what had to be mended."""

    chapters: list[Titled] = field(default_factory=list)
    mended: list[tuple[float, str]] = field(default_factory=list)
    too_few: bool = False


def fitted(log: Log, rule: ChapterRule) -> Fitted:
    """The log's chapters as ``rule`` wants them: whole seconds, ascending, the first at zero, none too short."""
    out = Fitted()
    end = length_of(log)
    starts = _sorted(log.chapters, out)
    if starts and rule.first_at_zero and int(starts[0][0]) > 0:
        out.mended.append((starts[0][0], f"The first chapter begins at {moment(starts[0][0])}; it needs 0:00."))
        if starts[0][0] < rule.shortest_s:
            starts[0] = (0.0, starts[0][1])
        else:
            starts.insert(0, (0.0, "Intro"))
    kept: list[tuple[float, str]] = []
    for start, title in starts:
        if start and end and start >= end:
            out.mended.append((start, f"“{title}” begins after the end of the video and was left out."))
        elif kept and int(start) - int(kept[-1][0]) < rule.shortest_s:
            out.mended.append((start, f"“{title}” begins less than {rule.shortest_s:g} s after the last; left out."))
        else:
            kept.append((start, title))
    if len(kept) > 1 and end and end - int(kept[-1][0]) < rule.shortest_s:
        start, title = kept.pop()
        out.mended.append((start, f"“{title}” lasts less than {rule.shortest_s:g} s and was left out."))
    if len(kept) < rule.at_least:
        out.too_few = True
        return out
    ends = [s for s, _ in kept[1:]] + [max(end, kept[-1][0])]
    out.chapters = [
        Titled(start, stop, shortened(title, rule.title_limit)) for (start, title), stop in zip(kept, ends, strict=True)
    ]
    return out


def length_of(log: Log) -> float:
    """The part's length in seconds as far as it is known, 0 if not."""
    end = max((line.end_s for line in log.transcript[-1:]), default=0.0)
    return max(sound_time(log.recording.duration_s), sound_time(end))


def _sorted(chapters: Sequence[Chapter], out: Fitted) -> list[tuple[float, str]]:
    sound = [(sound_time(c.start_s), clean(c.title) or "Untitled") for c in chapters if math.isfinite(c.start_s)]
    ordered = sorted(sound, key=lambda c: c[0])
    if [c[0] for c in ordered] != [c[0] for c in sound]:
        out.mended.append((0.0, "The chapters were not in order of time; they are now."))
    return ordered


def shortened(text: str, limit: int) -> str:
    """``text`` in at most ``limit`` characters, cut at a word where there is one."""
    if len(text) <= limit:
        return text
    cut = text[: limit - 1].rstrip()
    at = cut.rfind(" ")
    return (cut[:at] if at > limit // 2 else cut).rstrip(" ,;:-") + "…"
