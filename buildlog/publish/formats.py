"""Every format that a part can be written in: one name each, what it is for, and the function that writes it."""

from __future__ import annotations

import functools
import importlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from buildlog.document import Log
from buildlog.errors import BadInput, one_line
from buildlog.publish import hosts
from buildlog.publish.settings import About, BoxSettings
from buildlog.publish.sheet import Sheet, sheet

if TYPE_CHECKING:
    from buildlog.archive import BookLink
    from buildlog.publish.captions import Caption


@dataclass
class Part:
    """A part ready to be written: its log, and what is published of it worded once.

    ``stills`` are JPEG files by step id; ``frame_rate`` is the film's frames a second, ``None`` where not known.
    """

    log: Log
    host: hosts.Host
    settings: BoxSettings
    about: About
    sheet: Sheet
    stills: Mapping[str, bytes] = field(default_factory=dict)
    frame_rate: float | None = None

    @functools.cached_property
    def captions(self) -> list[Caption]:
        """The transcript cut into captions, once for all formats that show it."""
        from buildlog.publish.captions import captions

        return captions(self.log)


def prepare(
    log: Log,
    *,
    host: str = hosts.DEFAULT,
    settings: BoxSettings | None = None,
    about: About | None = None,
    link_book: Sequence[BookLink] = (),
    stills: Mapping[str, bytes] | None = None,
    frame_rate: float | None = None,
) -> Part:
    """Word a log for writing. Raises :class:`BadInput` for a host that is none."""
    rules, settings, about = hosts.load(host), settings or BoxSettings(), about or About()
    return Part(log, rules, settings, about, sheet(log, rules, settings, about, link_book), stills or {}, frame_rate)


# name: (ending of the file's name, module and function, what it is)
FORMATS: dict[str, tuple[str, str, str]] = {
    "box": (".description.txt", "buildlog.publish.texts:box_text", "the description box"),
    "short": (".short.txt", "buildlog.publish.texts:short_text", "a short description"),
    "pinned": (".pinned.txt", "buildlog.publish.texts:pinned_text", "a comment to pin under the video"),
    "vtt": (".vtt", "buildlog.publish.captions:webvtt", "captions, WebVTT"),
    "vtt-words": (".words.vtt", "buildlog.publish.captions:webvtt_words", "captions with the time of every word"),
    "srt": (".srt", "buildlog.publish.captions:subrip", "captions, SubRip"),
    "chapters-vtt": (".chapters.vtt", "buildlog.publish.chapter_files:webvtt", "chapters, WebVTT"),
    "chapters-ffmpeg": (".ffmetadata", "buildlog.publish.chapter_files:ffmetadata", "chapters as ffmpeg's metadata"),
    "chapters-json": (".chapters.json", "buildlog.publish.chapter_files:podcast", "chapters, open podcast namespace"),
    "json-ld": (".jsonld", "buildlog.publish.linked_data:json_ld", "schema.org: how it is made, and the video"),
    "otio": (".otio", "buildlog.publish.timeline:otio", "markers for the editing program, OpenTimelineIO"),
    "edl": (".edl", "buildlog.publish.timeline:edl", "markers for the editing program, CMX 3600"),
    "csv": (".materials.csv", "buildlog.publish.tables:materials_csv", "materials and tools for a spreadsheet"),
    "markdown": (".md", "buildlog.publish.markdown:markdown", "the build sheet, Markdown"),
    "html": (".html", "buildlog.publish.page:html", "the build sheet, one page to print or put on a site"),
}


def write(name: str, part: Part) -> bytes:
    """The part as the format called ``name``, ready to be put into a file. Raises :class:`BadInput`."""
    if name not in FORMATS:
        raise BadInput(f"no format is called {one_line(name, 40)}; choose one of {', '.join(FORMATS)}")
    module, function = FORMATS[name][1].split(":")
    made: str = getattr(importlib.import_module(module), function)(part)
    return made.encode("utf-8", "replace")
