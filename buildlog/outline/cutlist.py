"""A cut made in an editor: which stretch of which clip is shown when, read from an edit list.

OpenTimelineIO reads its own files and CMX 3600 lists (through otio-cmx3600-adapter); ranges and transforms are its own
computations. Speed changes are its ``LinearTimeWarp`` (CMX 3600: an M2 line), held frames its ``FreezeFrame``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any
from urllib.parse import unquote, urlsplit

from buildlog.document import Line, Word
from buildlog.errors import BadInput, one_line
from buildlog.media.opening import check_file

ENDINGS = (".otio", ".edl")
SLACK_S = 1e-6


@dataclass(frozen=True, slots=True)
class Shown:
    """Seconds ``in_s`` to ``out_s`` of ``clip`` (its own clock) are shown from ``at_s`` on, for ``length_s`` seconds.

    ``speed`` 2.0 is twice as fast; below 0 it runs backwards; 0 holds the frame at ``in_s``.
    """

    clip: str
    in_s: float
    out_s: float
    at_s: float
    length_s: float
    speed: float = 1.0

    def carried(self, at_s: float) -> float | None:
        """The moment of the finished video that shows second ``at_s`` of the clip; ``None`` where it is not in here."""
        if not self.in_s - SLACK_S <= at_s <= self.out_s + SLACK_S:
            return None
        if self.speed == 0:
            return self.at_s
        into = (at_s - self.in_s) / self.speed if self.speed > 0 else (self.out_s - at_s) / -self.speed
        return self.at_s + min(max(into, 0.0), self.length_s)

    def between(self, start_s: float, end_s: float) -> Shown:
        """The part of this stretch from ``start_s`` to ``end_s`` of the finished video, both inside it."""
        length = end_s - start_s
        skipped = start_s - self.at_s if self.speed >= 0 else self.at_s + self.length_s - end_s
        in_s = self.in_s + skipped * abs(self.speed)
        return replace(self, in_s=in_s, out_s=in_s + length * abs(self.speed), at_s=start_s, length_s=length)


@dataclass(frozen=True, slots=True)
class CutList:
    """The finished video as shown stretches in order; ``duration_s`` its length.

    ``heard`` are the stretches whose sound is heard, where the cut has sound tracks of its own; empty where the sound
    goes with the picture.
    """

    shown: tuple[Shown, ...]
    duration_s: float
    heard: tuple[Shown, ...] = ()

    def carried(self, clip: str, at_s: float) -> list[float]:
        """Every moment of the finished video that shows second ``at_s`` of ``clip``, in order."""
        times = (s.carried(at_s) for s in self.shown if s.clip == clip)
        return sorted(t for t in times if t is not None)

    def spans(self, clip: str, start_s: float, end_s: float) -> list[tuple[float, float]]:
        """The stretches (start, end) of the finished video that show some of ``start_s`` to ``end_s`` of ``clip``."""
        out = []
        for s in self.shown:
            lo, hi = max(start_s, s.in_s), min(end_s, s.out_s)
            if s.clip == clip and hi - lo > SLACK_S:
                ends = sorted(t for x in (lo, hi) if (t := s.carried(x)) is not None)
                out.append((ends[0], ends[-1]))
        return sorted(out)

    def share(self, clip: str, start_s: float, end_s: float) -> float:
        """How much of seconds ``start_s`` to ``end_s`` of ``clip`` the finished video shows or lets hear (0 to 1)."""
        inside = [(max(start_s, s.in_s), min(end_s, s.out_s)) for s in (*self.shown, *self.heard) if s.clip == clip]
        seen, at = 0.0, start_s
        for lo, hi in sorted(inside):
            seen += max(0.0, hi - max(lo, at))
            at = max(at, hi)
        return seen / max(SLACK_S, end_s - start_s)


def read_cut(path: Path | str, durations: Mapping[str, float], *, rate: float = 24.0) -> CutList:
    """The cut at ``path`` in terms of the clips named in ``durations`` (file name to length in seconds).

    ``rate`` is the frames a second of a CMX 3600 list, which does not say it itself. Of picture tracks that lie on one
    another the uppermost is seen. Raises :class:`BadInput` for a file that cannot be read, or where no clip of it is
    among the names.
    """
    path = check_file(path)
    name = one_line(path.name, 120)
    if path.suffix.lower() not in ENDINGS:
        raise BadInput(f"{name} is no edit list we read; export the cut as OpenTimelineIO (.otio) or CMX 3600 (.edl)")
    import opentimelineio as otio

    try:
        if path.suffix.lower() == ".edl":
            timeline = otio.adapters.read_from_file(
                str(path), adapter_name="cmx_3600", rate=rate, ignore_timecode_mismatch=True
            )
        else:
            timeline = otio.adapters.read_from_file(str(path), adapter_name="otio_json")
    except Exception as error:  # adapters raise whatever they meet: ValueError, their own classes, KeyError
        raise BadInput(
            f"{name} cannot be read as an edit list ({one_line(error, 160)}); export it from the editor again"
        ) from error
    if isinstance(timeline, otio.schema.SerializableCollection):
        timeline = next((t for t in timeline if isinstance(t, otio.schema.Timeline)), None)
    if not isinstance(timeline, otio.schema.Timeline):
        raise BadInput(f"{name} holds no timeline; export the finished cut, not a bin of clips")
    known = {_stem(n): n for n in durations}

    def stretches(tracks: Sequence[Any]) -> tuple[Shown, ...]:
        return _uppermost([_of_track(otio, t, known, durations) for t in tracks])

    clips = [t for t in timeline.tracks if isinstance(t, otio.schema.Track) and any(True for _ in t.find_clips())]
    if not clips:
        raise BadInput(f"{name} has no clips; export the finished cut again")
    pictures = [t for t in clips if t.kind == otio.schema.TrackKind.Video]
    sounds = [t for t in clips if t.kind == otio.schema.TrackKind.Audio]
    heard = tuple(sorted((s for t in sounds for s in _of_track(otio, t, known, durations)), key=lambda s: s.at_s))
    shown = stretches(pictures) or heard or stretches(clips)
    if not shown:
        raise BadInput(f"{name} uses none of the clips in this folder; name the folder that the cut was made from")
    length = max(t.duration().to_seconds() for t in pictures or clips)
    return CutList(shown, length, _once(heard))


def _of_track(otio: Any, track: Any, known: Mapping[str, str], durations: Mapping[str, float]) -> list[Shown]:
    made = (_shown(otio, clip, track, known, durations) for clip in track.find_clips())
    return [s for s in made if s is not None]


def _uppermost(tracks: Sequence[Sequence[Shown]]) -> tuple[Shown, ...]:
    """What is seen of tracks that lie on one another, the last one on top."""
    out: list[Shown] = []
    for track in reversed(tracks):
        above = sorted((s.at_s, s.at_s + s.length_s) for s in out)
        for s in track:
            at, end = s.at_s, s.at_s + s.length_s
            for lo, hi in [*above, (end, end)]:
                if min(lo, end) - at > SLACK_S:
                    out.append(s.between(at, min(lo, end)))
                at = max(at, hi)
    return tuple(sorted(out, key=lambda s: s.at_s))


def _once(heard: Sequence[Shown]) -> tuple[Shown, ...]:
    """Without the second track of a sound that lies on several (left and right)."""
    out: list[Shown] = []
    for s in heard:
        if not any(o.clip == s.clip and abs(o.at_s - s.at_s) + abs(o.in_s - s.in_s) < 0.02 for o in out):
            out.append(s)
    return tuple(out)


def _shown(otio: Any, clip: Any, track: Any, known: Mapping[str, str], durations: Mapping[str, float]) -> Shown | None:
    name = next((known[_stem(n)] for n in _names(clip) if _stem(n) in known), None)
    if name is None or not clip.enabled:
        return None
    source = clip.trimmed_range()
    place = clip.transformed_time_range(source, track)
    begins = 0.0
    media = clip.media_reference
    if media is not None and media.available_range is not None:
        begins = media.available_range.start_time.to_seconds()
    in_s = source.start_time.to_seconds() - begins
    duration = durations[name]
    if duration and in_s > duration and not begins:
        in_s %= 3600.0  # a tape's clock, which starts at a full hour
    speed = 1.0
    for effect in clip.effects:
        if isinstance(effect, otio.schema.FreezeFrame):
            speed = 0.0
        elif isinstance(effect, otio.schema.LinearTimeWarp):
            speed *= float(effect.time_scalar)
    length = place.duration.to_seconds()
    span = length * abs(speed)
    return Shown(name, in_s, in_s + span, place.start_time.to_seconds(), length, speed)


def _names(clip: Any) -> list[str]:
    """What the clip may be called on disk."""
    out = []
    url = getattr(clip.media_reference, "target_url", None)
    if url:
        out.append(PureWindowsPath(PurePosixPath(unquote(urlsplit(url).path or url)).name).name)
    out.append(clip.name or "")
    edl = clip.metadata.get("cmx_3600", {})
    out += [str(edl.get(k, "")) for k in ("reel", "clip_name")]
    return [n for n in out if n]


def _stem(name: str) -> str:
    return Path(name).stem.casefold() if Path(name).suffix else name.casefold()


def carried_lines(lines: Mapping[str, Sequence[Line]], cut: CutList) -> list[Line]:
    """The clips' lines as they are heard in the finished video, on its clock. Words cut out are left out."""
    out: list[Line] = []
    for s in cut.heard or cut.shown:
        if s.speed <= 0:
            continue  # nothing can be understood backwards or in a held frame
        for line in lines.get(s.clip, ()):
            words = [
                Word(start_s=a, end_s=b, text=w.text, p=w.p, heard=w.heard)
                for w in (line.words or _spread(line))
                if (a := s.carried(w.start_s)) is not None and (b := s.carried(w.end_s)) is not None
            ]
            if words:
                out.append(
                    Line(
                        start_s=words[0].start_s,
                        end_s=words[-1].end_s,
                        text=" ".join(w.text for w in words),
                        words=words,
                    )
                )
    out.sort(key=lambda line: line.start_s)
    return out


def _spread(line: Line) -> list[Word]:
    texts = line.text.split()
    each = (line.end_s - line.start_s) / max(1, len(texts))
    return [
        Word(start_s=line.start_s + i * each, end_s=line.start_s + (i + 1) * each, text=t) for i, t in enumerate(texts)
    ]
