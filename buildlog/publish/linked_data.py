"""schema.org as JSON-LD: how the thing is made (HowTo), and the video with its clips (VideoObject, Clip).

Vocabulary: schema.org 30.0. HowTo: step (HowToStep, HowToSection), supply (HowToSupply), tool (HowToTool),
requiredQuantity on both; VideoObject: hasPart (Clip) with startOffset, endOffset in seconds.
"""

from __future__ import annotations

import json
from typing import Any

from buildlog.publish.chapter_files import chapters_of
from buildlog.publish.formats import Part
from buildlog.publish.plain import at_moment
from buildlog.publish.sheet import Doing, Thing, under_pieces

CONTEXT = "https://schema.org"


def json_ld(part: Part) -> str:
    """The part as one JSON-LD document that can also stand inside a page: ``<`` is escaped."""
    return json.dumps(document(part), ensure_ascii=False, indent=2).replace("<", "\\u003c") + "\n"


def document(part: Part) -> dict[str, Any]:
    """As :func:`json_ld`, as values."""
    return {"@context": CONTEXT, "@graph": [_how_to(part), _video(part)]}


def _how_to(part: Part) -> dict[str, Any]:
    sheet = part.sheet
    out: dict[str, Any] = {"@type": "HowTo", "@id": "#how-to", "name": sheet.title, "video": {"@id": "#video"}}
    if sheet.summary:
        out["description"] = sheet.summary
    if sheet.materials:
        out["supply"] = [_thing("HowToSupply", t) for t in sheet.materials]
    if sheet.tools:
        out["tool"] = [_thing("HowToTool", t) for t in sheet.tools]
    groups = under_pieces(sheet)
    if groups and groups[0][0]:
        out["step"] = [
            {"@type": "HowToSection", "name": heading, "itemListElement": [_step(part, s) for s in steps]}
            for heading, steps in groups
        ]
    elif groups:
        out["step"] = [_step(part, s) for s in sheet.steps]
    return out


def _thing(kind: str, thing: Thing) -> dict[str, Any]:
    out: dict[str, Any] = {"@type": kind, "name": thing.name}
    if thing.amounts:
        out["requiredQuantity"] = ", ".join(thing.amounts)
    if thing.url:
        out["url"] = thing.url
    return out


def _step(part: Part, step: Doing) -> dict[str, Any]:
    out: dict[str, Any] = {"@type": "HowToStep", "position": step.number, "text": step.text}
    url = at_moment(part.about.video_url, step.start_s, part.host.moment)
    if url:
        out["url"] = url
    return out


def _video(part: Part) -> dict[str, Any]:
    about = part.about
    out: dict[str, Any] = {"@type": "VideoObject", "@id": "#video", "name": part.sheet.title}
    out["description"] = part.sheet.summary or part.sheet.title
    if part.sheet.length_s > 0:
        out["duration"] = iso_duration(part.sheet.length_s)
    if about.video_url:
        out["url"] = about.video_url
    if about.posted_on:
        out["uploadDate"] = about.posted_on
    clips = []
    for chapter in chapters_of(part.log):
        clip: dict[str, Any] = {
            "@type": "Clip",
            "name": chapter.title,
            "startOffset": round(chapter.start_s, 3),
            "endOffset": round(max(chapter.end_s, chapter.start_s), 3),
        }
        url = at_moment(about.video_url, chapter.start_s, part.host.moment)
        if url:
            clip["url"] = url
        clips.append(clip)
    if clips:
        out["hasPart"] = clips
    return out


def iso_duration(seconds: float) -> str:
    """A length of time as ISO 8601: 461.8 is "PT7M41S"."""
    whole = max(0, int(seconds))
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    parts = f"{f'{hours}H' if hours else ''}{f'{minutes}M' if minutes else ''}{f'{rest}S' if rest else ''}"
    return f"PT{parts or '0S'}"
