"""Chapters as files: read by webvtt-py, ffmpeg, PyAV and a JSON Schema; times and titles come back."""

from __future__ import annotations

import html
import json
import re
import subprocess
from itertools import pairwise
from pathlib import Path

import av
import jsonschema
import pytest
import webvtt
from hypothesis import HealthCheck, given, settings
from media_maker import ffmpeg, make
from publish_log import logs, pouch

from buildlog.document import Chapter, Log, RecordingInfo
from buildlog.errors import BadInput, BuildlogError
from buildlog.media.encode import binary
from buildlog.publish.chapter_files import chapters_of, ffmetadata
from buildlog.publish.formats import prepare, write
from buildlog.publish.media_chapters import with_chapters

ODD = ["Cut; sew = done #1", "Back\\slash", "Tea & <b>cake</b> --> end", "=", "Ünïcode 🧵"]
# The chapters document as its specification has it, attribute by attribute: Podcastindex-org/podcast-namespace on GitHub,
# docs/examples/chapters/jsonChapters.md, version 1.2 of 2021-04-15, read 2026-11-28.
PODCAST = {
    "type": "object",
    "required": ["version", "chapters"],
    "properties": {
        **{k: {"type": "string"} for k in ("version", "author", "title", "podcastName", "description", "fileName")},
        "waypoints": {"type": "boolean"},
        "chapters": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["startTime"],
                "properties": {
                    "startTime": {"type": "number", "minimum": 0},
                    "endTime": {"type": "number", "minimum": 0},
                    **{k: {"type": "string"} for k in ("title", "img", "url")},
                    "toc": {"type": "boolean"},
                    "location": {"type": "object", "required": ["name", "geo"]},
                },
                "additionalProperties": False,
            },
        },
    },
    "additionalProperties": False,
}


def odd() -> Log:
    """Five chapters with titles that mean something in some format."""
    return Log(
        recording=RecordingInfo(path="a.mp4", duration_s=10.0),
        chapters=[Chapter(start_s=n * 1.789, title=t) for n, t in enumerate(ODD)],
    )


def pairs(log: Log) -> list[tuple[float, str]]:
    return [(round(c.start_s, 3), c.title) for c in log.chapters]


def test_webvtt() -> None:
    read = webvtt.from_string(write("chapters-vtt", prepare(odd())).decode())
    stamps = [
        (int(c.start[:2]) * 3600 + int(c.start[3:5]) * 60 + float(c.start[6:]), html.unescape(c.raw_text)) for c in read
    ]
    assert stamps == pairs(odd())
    assert all(a.end == b.start for a, b in pairwise(read))


def test_podcast_json() -> None:
    document = json.loads(write("chapters-json", prepare(odd())))
    jsonschema.validate(document, PODCAST)
    starts = [c["startTime"] for c in document["chapters"]]
    assert starts == sorted(starts)  # "assumed to be in ascending order"
    assert [(c["startTime"], c["title"]) for c in document["chapters"]] == pairs(odd())
    assert document["chapters"][-1]["endTime"] == 10.0


def test_ffmpeg_reads_its_own_metadata(tmp_path: Path) -> None:
    path = tmp_path / "a.ffmetadata"
    path.write_bytes(write("chapters-ffmpeg", prepare(odd())))
    told = ffmpeg("-f", "ffmetadata", "-i", path, "-f", "ffmetadata", "-").decode()
    found = re.findall(r"\[CHAPTER\]\nTIMEBASE=1/(\d+)\nSTART=(\d+)\nEND=\d+\ntitle=(.*)\n", told)
    read = [(int(start) / int(base), re.sub(r"\\(.)", r"\1", title)) for base, start, title in found]
    assert [(pytest.approx(s, abs=0.0005), t) for s, t in read] == pairs(odd())


@pytest.mark.parametrize(("made", "suffix"), [(".mp4", ".mp4"), (".mkv", ".mkv"), (".mp4", ".mkv")])
def test_chapters_in_a_video(tmp_path: Path, made: str, suffix: str) -> None:
    """Read back by PyAV and by ffmpeg; picture and sound are the very same packets."""
    video = make(tmp_path / f"in{made}", "testsrc2=d=10:s=160x120:r=10", "sine=d=10", options=("-shortest",))
    out = with_chapters(video, chapters_of(odd()), tmp_path / f"it's -out{suffix}")
    with av.open(str(out)) as file:
        read = [(float(c["start"] * c["time_base"]), c["metadata"]["title"]) for c in file.chapters()]
    assert [(pytest.approx(s, abs=0.001), t) for s, t in read] == pairs(odd())
    shown = subprocess.run(
        [binary(), "-nostdin", "-hide_banner", "-i", out], capture_output=True, text=True, check=False
    )
    assert len(re.findall(r"Chapter #0:\d", shown.stderr)) == 5
    assert packets(video) == packets(out)


def packets(path: Path) -> list[tuple[str, bytes]]:
    with av.open(str(path)) as file:
        streams = [s for s in file.streams if s.type in ("video", "audio")]
        found = [(p.stream.type, bytes(p)) for p in file.demux(streams) if p.size]
    return sorted(found)


def test_chapters_replace_those_there(tmp_path: Path) -> None:
    video = make(tmp_path / "in.mp4", "testsrc2=d=10:s=160x120:r=10")
    first = with_chapters(video, chapters_of(odd()), tmp_path / "a.mp4")
    again = with_chapters(first, chapters_of(odd())[:3], tmp_path / "b.mp4")
    with av.open(str(again)) as file:
        assert len(file.chapters()) == 3


def test_refusals_leave_nothing(tmp_path: Path) -> None:
    video = make(tmp_path / "in.mp4", "testsrc2=d=2:s=160x120:r=10")
    chapters = chapters_of(odd())
    out = tmp_path / "a.mp4"
    wrong = [(out.with_suffix(".txt"), chapters), (video, chapters), (out, []), (tmp_path / "no" / "a.mp4", chapters)]
    for where, what in wrong:
        with pytest.raises(BadInput):
            with_chapters(video, what, where)
    (tmp_path / "bad.mp4").write_bytes(b"nothing of the sort")
    with pytest.raises(BuildlogError):
        with_chapters(tmp_path / "bad.mp4", chapters, tmp_path / "a.mp4")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["bad.mp4", "in.mp4"]


def test_the_log_comes_back() -> None:
    """Written as JSON and read again: the same chapters, to the millisecond."""
    log = pouch()
    document = json.loads(write("chapters-json", prepare(log)))
    back = [Chapter(start_s=c["startTime"], title=c["title"]) for c in document["chapters"]]
    assert back == log.chapters


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(logs)
def test_any_log_gives_files_that_others_read(log: Log) -> None:
    part = prepare(log)
    jsonschema.validate(json.loads(write("chapters-json", part)), PODCAST)
    found = chapters_of(log)
    assert all(a.start_s < b.start_s and a.title and "\n" not in a.title for a, b in pairwise(found))
    assert len(webvtt.from_string(write("chapters-vtt", part).decode())) == len(found)
    starts = [int(n) for n in re.findall(r"^START=(\d+)$", ffmetadata(part), re.MULTILINE)]
    assert starts == sorted(starts)
    assert len(starts) == len(found)
