"""The part as a timeline with markers, for the editing program: OpenTimelineIO and CMX 3600.

Chapters and steps become markers over one clip that stands for the part. OpenTimelineIO keeps times to the
millisecond; an EDL counts frames, so there a marker may be half a frame off.
"""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, Any

from buildlog.publish.chapter_files import chapters_of
from buildlog.publish.formats import Part
from buildlog.publish.plain import clean

if TYPE_CHECKING:
    from opentimelineio.schema import Timeline

MILLISECONDS = 1000.0
FRAMES = 25.0
LONGEST_NAME = 60


def otio(part: Part) -> str:
    """OpenTimelineIO's own JSON."""
    from opentimelineio.adapters import write_to_string

    text: str = write_to_string(timeline(part, MILLISECONDS), "otio_json")
    return text if text.endswith("\n") else text + "\n"


def edl(part: Part, rate: float = FRAMES) -> str:
    """CMX 3600: one event, with the markers as ``* LOC:`` comments; ``rate`` is frames a second."""
    from opentimelineio.adapters import write_to_string

    text: str = write_to_string(timeline(part, rate, plain=True), "cmx_3600", rate=rate)
    return text if text.endswith("\n") else text + "\n"


def timeline(part: Part, rate: float, *, plain: bool = False) -> Timeline:
    """The part as a timeline of one clip, its markers at ``rate``; ``plain`` keeps names to what an EDL can hold."""
    import opentimelineio as otio

    def at(seconds: float) -> Any:
        return otio.opentime.RationalTime(round(max(0.0, seconds) * rate), rate)

    def span(start_s: float, end_s: float) -> Any:
        start = at(start_s)
        return otio.opentime.TimeRange(start, max(at(end_s) - start, otio.opentime.RationalTime(1, rate)))

    name = _name(part.log.recording.path) or part.sheet.title
    if plain:
        name = _ascii(name) or "part"
    whole = span(0.0, max(part.sheet.length_s, 1.0))
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
