"""Chapters as files: WebVTT, ffmpeg's metadata, and JSON of the open podcast namespace.

Unlike a host's list these need no certain number of chapters; times go to the millisecond.
"""

from __future__ import annotations

import html
import json
import re

from buildlog.document import Log
from buildlog.publish.captions import stamp
from buildlog.publish.chapters import Titled, fitted
from buildlog.publish.formats import Part
from buildlog.publish.hosts import ChapterRule

_RULE = ChapterRule(first_at_zero=False, at_least=1, shortest_s=0.001, title_limit=500)


def chapters_of(log: Log) -> list[Titled]:
    """The log's chapters, ascending, each to the beginning of the next."""
    return fitted(log, _RULE).chapters


def _ms(seconds: float) -> int:
    return round(seconds * 1000)


def webvtt(part: Part) -> str:
    """A WebVTT chapters track (W3C): no overlaps, titles without tags, on one line."""
    cues = []
    for number, chapter in enumerate(chapters_of(part.log), 1):
        start = _ms(chapter.start_s)
        times = f"{stamp(start)} --> {stamp(max(_ms(chapter.end_s), start + 1))}"
        cues.append(f"{number}\n{times}\n{html.escape(chapter.title, quote=False)}")
    return "WEBVTT\n\n" + "\n\n".join(cues) + "\n"


def ffmetadata(part: Part) -> str:
    """ffmpeg's metadata format, version 1, with the time base in every chapter as documents disagree on its default."""
    return ffmetadata_of(chapters_of(part.log), part.sheet.title)


def ffmetadata_of(chapters: list[Titled], title: str = "") -> str:
    """As :func:`ffmetadata`, of any chapters."""
    rows = [";FFMETADATA1"]
    if title:
        rows.append(f"title={_escaped(title)}")
    for chapter in chapters:
        start = _ms(chapter.start_s)
        rows += [
            "[CHAPTER]",
            "TIMEBASE=1/1000",
            f"START={start}",
            f"END={max(_ms(chapter.end_s), start + 1)}",
            f"title={_escaped(chapter.title)}",
        ]
    return "\n".join(rows) + "\n"


def _escaped(text: str) -> str:
    """``=``, ``;``, ``#``, backslash and newline, as ffmpeg's documentation of the format says."""
    return re.sub(r"([=;#\\\n])", r"\\\1", text)


def podcast(part: Part) -> str:
    """JSON chapters 1.2 of the open podcast namespace: times in seconds; served as application/json+chapters.

    Podcastindex-org/podcast-namespace on GitHub, docs/examples/chapters/jsonChapters.md, version 1.2 of 2021-04-15,
    read 2026-11-28: needed are ``version``, ``chapters`` in ascending order, and in each a ``startTime``.
    """
    about = part.about
    document: dict[str, object] = {
        "version": "1.2.0",
        "title": part.sheet.title,
        "chapters": [
            {"startTime": round(c.start_s, 3), "endTime": round(max(c.end_s, c.start_s), 3), "title": c.title}
            for c in chapters_of(part.log)
        ],
    }
    if about.build:
        document["podcastName"] = about.build
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"
