"""The part as a timeline with markers, for the editing program: OpenTimelineIO and CMX 3600.

Chapters and steps become markers over one clip that stands for the part. OpenTimelineIO keeps times to the
millisecond; an EDL counts frames, so there a marker may be half a frame off. Frames are counted at the recording's own
rate. At 29.97 and 59.94 that is drop-frame time code, as the EDL's second line says; its seconds and frames are then
parted by a semicolon (SMPTE ST 12-1). OpenTimelineIO's own reader passes over the locators of a drop-frame EDL.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from buildlog.errors import BadInput, BuildlogError
from buildlog.publish.chapter_files import chapters_of
from buildlog.publish.formats import Part
from buildlog.publish.plain import clean

if TYPE_CHECKING:
    from opentimelineio.schema import Timeline

MILLISECONDS = 1000.0
FRAMES = 25.0  # where there is no picture to ask
NEAR = 0.02  # how far a rate may be from one that time code can count, as a share of it
LONGEST_NAME = 60


def otio(part: Part) -> str:
    """OpenTimelineIO's own JSON."""
    from opentimelineio.adapters import write_to_string

    text: str = write_to_string(timeline(part, MILLISECONDS, clip_rate=part.frame_rate), "otio_json")
    return text if text.endswith("\n") else text + "\n"


def edl(part: Part) -> str:
    """CMX 3600: one event, with the markers as ``* LOC:`` comments, and which time code it counts in."""
    from opentimelineio.adapters import write_to_string

    rate = time_code_rate(part.frame_rate or FRAMES)
    text: str = write_to_string(timeline(part, rate, plain=True), "cmx_3600", rate=rate)
    title, rest = text.split("\n", 1)
    counted = "DROP FRAME" if drops_frames(rate) else "NON-DROP FRAME"
    return f"{title}\nFCM: {counted}\n{rest}".rstrip("\n") + "\n"


def time_code_rate(frames: float) -> float:
    """The rate that time code counts nearest to ``frames`` a second, exact: 30000/1001 for 29.97."""
    from opentimelineio.opentime import RationalTime

    return float(RationalTime.nearest_smpte_timecode_rate(frames))


def drops_frames(rate: float) -> bool:
    """Whether time code at ``rate`` leaves out numbers to keep up with the clock."""
    return abs(rate - 30_000 / 1001) < 1e-6 or abs(rate - 60_000 / 1001) < 1e-6


def asked_rate(frames: float) -> float:
    """A rate as typed, exact. Raises :class:`BadInput` where no time code counts it."""
    if frames > 0 and abs(time_code_rate(frames) - frames) <= NEAR * frames:
        return time_code_rate(frames)
    raise BadInput(
        f"no time code counts {frames:g} frames a second; choose of 23.976, 24, 25, 29.97, 30, 50, 59.94, 60"
    )


def rate_of(recordings: Iterable[Path]) -> float | None:
    """The frame rate of the first of these recordings that has a picture and can be read, else ``None``."""
    from buildlog.media import probe

    for path in recordings:
        try:
            video = probe(path).video
        except BuildlogError:
            continue
        if video is not None and video.frame_rate > 0:
            return time_code_rate(video.frame_rate)
    return None


def timeline(part: Part, rate: float, *, clip_rate: float | None = None, plain: bool = False) -> Timeline:
    """The part as a timeline of one clip, its markers at ``rate`` and the clip at ``clip_rate`` frames a second.

    ``plain`` keeps names to what an EDL can hold.
    """
    import opentimelineio as otio

    def at(seconds: float, rate: float) -> Any:
        return otio.opentime.RationalTime(round(max(0.0, seconds) * rate), rate)

    def span(start_s: float, end_s: float, rate: float = rate) -> Any:
        start = at(start_s, rate)
        return otio.opentime.TimeRange(start, max(at(end_s, rate) - start, otio.opentime.RationalTime(1, rate)))

    name = _name(part.log.recording.path) or part.sheet.title
    if plain:
        name = _ascii(name) or "part"
    whole = span(0.0, max(part.sheet.length_s, 1.0), clip_rate or rate)
    clip = otio.schema.Clip(
        name=name,
        media_reference=otio.schema.ExternalReference(target_url=name, available_range=whole),
        source_range=whole,
    )
    if plain:
        # A reel's name is one word of at most eight letters and digits; the adapter would take it from the clip's.
        clip.metadata["cmx_3600"] = {"reel": re.sub(r"[^A-Za-z0-9]", "", name)[:8] or "AX"}
    colors = otio.schema.MarkerColor
    marks = [(c.start_s, c.start_s, c.title, colors.GREEN, "chapter") for c in chapters_of(part.log)]
    marks += [(s.start_s, s.end_s, f"{s.number}. {s.text}", colors.CYAN, "step") for s in part.sheet.steps]
    marks += [(p.start_s, p.start_s, f"Link owed: {p.what}", colors.RED, "link") for p in part.sheet.links if not p.url]
    for start_s, end_s, text, color, kind in sorted(marks, key=lambda m: m[0]):
        if start_s > part.sheet.length_s > 0:
            continue
        clip.markers.append(
            otio.schema.Marker(
                name=_ascii(_short(text)) if plain else _short(text),
                marked_range=span(start_s, end_s),
                color=color,
                metadata={"buildlog": {"kind": kind, "text": text}},
            )
        )
    track = otio.schema.Track(name="V1", kind=otio.schema.TrackKind.Video, children=[clip])
    made = otio.schema.Timeline(name=_ascii(part.sheet.title) or "part" if plain else part.sheet.title)
    made.tracks.append(track)
    return made


def _name(path: str) -> str:
    return clean(path.replace("\\", "/").rsplit("/", 1)[-1])


def _ascii(text: str) -> str:
    """``text`` in letters without accents, as editing programs expect in an EDL."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return " ".join(re.sub(r"[^ -~]", " ", plain).split()) if re.search(r"[A-Za-z0-9]", plain) else ""


def _short(text: str) -> str:
    return text if len(text) <= LONGEST_NAME else text[: LONGEST_NAME - 3].rstrip() + "..."
