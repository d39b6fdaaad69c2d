"""The part's clock and the recordings' clocks."""

from __future__ import annotations

import math
from typing import NamedTuple

import msgspec


class Clip(msgspec.Struct, frozen=True, kw_only=True):
    """A stretch of a recording, in seconds on the recording's clock, played at ``speed`` (2.0: twice as fast)."""

    recording_id: int
    in_s: float
    out_s: float
    speed: float = 1.0

    @property
    def length_s(self) -> float:
        """How long it lasts in the part."""
        return (self.out_s - self.in_s) / self.speed


class Spot(NamedTuple):
    """A moment of a recording."""

    recording_id: int
    at_s: float


class Cut(msgspec.Struct, frozen=True, kw_only=True):
    """How a part is put together: ``clips`` in order, the first beginning at ``offset_s`` on the part's clock."""

    clips: tuple[Clip, ...] = ()
    offset_s: float = 0.0
    id: int | None = None

    @property
    def length_s(self) -> float:
        """The part's length in seconds."""
        return self.offset_s + math.fsum(c.length_s for c in self.clips)

    def starts(self) -> list[float]:
        """Where each clip begins on the part's clock."""
        at, out = self.offset_s, []
        for clip in self.clips:
            out.append(at)
            at += clip.length_s
        return out

    def recordings(self) -> list[int]:
        """The recordings' ids, each once, in order of first use."""
        return list(dict.fromkeys(c.recording_id for c in self.clips))

    def is_plain(self) -> bool:
        """Whether the part is one recording from its beginning at its own speed."""
        return len(self.clips) == 1 and self.offset_s == 0 and self.clips[0].in_s == 0 and self.clips[0].speed == 1

    def to_part(self, spot: Spot) -> float | None:
        """The moment of the part that shows ``spot``, in the longest clip that has it; ``None`` if cut out."""
        best: tuple[float, float] | None = None
        for clip, start in zip(self.clips, self.starts(), strict=True):
            if clip.recording_id == spot.recording_id and clip.in_s <= spot.at_s <= clip.out_s:
                at = start + (spot.at_s - clip.in_s) / clip.speed
                # A moment at which one clip ends and the next begins belongs to the next.
                weight = clip.length_s - (1e9 if spot.at_s == clip.out_s else 0.0)
                if best is None or weight > best[0]:
                    best = (weight, at)
        return None if best is None else best[1]

    def to_recording(self, at_s: float) -> Spot | None:
        """The moment of a recording that the part shows at ``at_s``; ``None`` before the first and after the last."""
        last: Spot | None = None
        for clip, start in zip(self.clips, self.starts(), strict=True):
            if start <= at_s <= start + clip.length_s + 1e-6:
                spot = Spot(clip.recording_id, min(clip.out_s, clip.in_s + (at_s - start) * clip.speed))
                if at_s < start + clip.length_s:
                    return spot
                last = spot
        return last
