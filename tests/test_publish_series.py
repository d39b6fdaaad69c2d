"""Parts of one build know each other; one sheet over all of them."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path

import html5lib
import pytest
from markdown_it import MarkdownIt
from publish_log import lid, pouch

from buildlog.archive import Archive, Part
from buildlog.archive.cut import Clip
from buildlog.document import Log, Note
from buildlog.errors import BadInput
from buildlog.publish import About, box
from buildlog.publish.formats import prepare
from buildlog.publish.series import about_part, accept, box_part, check_part, choices
from buildlog.publish.settings import Pointer
from buildlog.publish.whole import whole, write_whole


def add(archive: Archive, build: str, number: int, title: str, log: Log) -> Part:
    made = archive.builds.make(build)
    recording = archive.builds.keep_recording(
        f"/films/{log.recording.path}", sha256=log.recording.sha256 or "", duration_s=log.recording.duration_s
    )
    archive.readings.keep_log(recording.id, f"k{number}", log)
    part = archive.builds.make_part(made.id, number, title)
    archive.builds.set_cut(part.id, [Clip(recording_id=recording.id, in_s=0.0, out_s=log.recording.duration_s)])
    return archive.builds.part(part.id)


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    with Archive.open(tmp_path / "a.sqlite3") as opened:
        yield opened


@pytest.fixture
def parts(archive: Archive) -> list[Part]:
    return [add(archive, "Waxed pouch", 1, "The body", pouch()), add(archive, "Waxed pouch", 2, "Hemming it", lid())]


def test_a_pointer_becomes_the_part_and_the_minute(archive: Archive, parts: list[Part]) -> None:
    archive.builds.set_part(parts[0].id, video_url="https://v.example/w?v=a")
    about = about_part(archive, parts[1])
    assert [(p.part, p.at_s, p.url, p.direction) for p in about.pointers] == [
        (1, 12.345, "https://v.example/w?v=a", "back")
    ]
    text = box_part(archive, parts[1]).text
    assert text.startswith("Hemming it (Waxed pouch, part 2 of 2).\n")
    assert "- Part 1, The body from 0:12: https://v.example/w?v=a&t=12" in text
    assert "Part 2" not in box_part(archive, parts[0]).text  # not posted yet: no link to give


def test_what_was_promised_for_next_time_is_asked_for_there(archive: Archive, parts: list[Part]) -> None:
    """The lid is hemmed in part two: the promise is kept. Without it, it is said, until it is accepted."""
    assert about_part(archive, parts[1]).promised == ()
    other = lid()
    other.steps, other.chapters = [], other.chapters[:1]
    other.recording.sha256 = "33" * 32
    add(archive, "Another pouch", 1, "The body", Log(recording=pouch().recording, notes=pouch().notes))
    talk = add(archive, "Another pouch", 2, "Talk", other)
    promised = [f for f in check_part(archive, talk) if f.kind == "promise"]
    assert [f.text for f in promised] == ["Promised in part 1 at 2:35: Next time we make the lid."]
    accept(archive, talk, promised[0])
    assert not [f for f in check_part(archive, talk) if f.kind == "promise"]
    assert archive.owed(archive.builds.find_part("Another pouch", 1).id).promises == []


def test_the_makers_settings_the_parts_and_what_was_typed(archive: Archive, parts: list[Part]) -> None:
    archive.settings.put("publishing", {"host": "4000-bytes", "units": "metric", "steps": "none"})
    part = archive.builds.set_part(parts[0].id, host_settings={"steps": "pointer"})
    assert choices(archive, part)[0] == "4000-bytes"
    host, settings = choices(archive, part, host="no-limit", units="imperial")
    assert (host, settings.units, settings.steps) == ("no-limit", "imperial", "pointer")
    assert choices(archive, archive.builds.set_part(parts[0].id, host="2200-characters"))[0] == "2200-characters"


def test_all_materials_over_all_parts_with_cost(archive: Archive, parts: list[Part]) -> None:
    """By hand: 1/2 + 1/4 yd of canvas at 14 pounds a yard is 10.50; six snaps at 40p are 2.40; together 12.90."""
    found = whole([prepare(archive.log(p.id), about=about_part(archive, p)) for p in parts])
    things = {t.name: t for t in found.things}
    assert things["Waxed canvas"].amounts == ["3/4 yd (70 cm)"]
    assert things["Waxed canvas"].parts == [1, 2]
    assert things["Waxed canvas"].cost == "£10.50"
    assert things["Snaps"].cost == "£2.40"
    assert found.cost == "£12.90"
    assert things["Awl"].parts == [1]


def test_the_whole_build_in_each_format(archive: Archive, parts: list[Part]) -> None:
    ready = [prepare(archive.log(p.id), about=about_part(archive, p)) for p in parts]
    rows = list(csv.DictReader(io.StringIO(write_whole("csv", ready).decode("utf-8-sig"))))
    assert rows[0]["amount in all"] == "3/4 yd (70 cm)"
    assert rows[-1]["cost"] == "£12.90"
    page = MarkdownIt("commonmark").enable("table").render(write_whole("markdown", ready).decode())
    assert "<td>Waxed canvas</td>\n<td>3/4 yd (70 cm)</td>\n<td>£10.50</td>\n<td>1, 2</td>" in page
    tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(write_whole("html", ready).decode())
    assert [h.text for h in tree.iterfind(".//h2")] == ["Parts", "Materials", "Tools", "Patterns"]
    for wrong in ("vtt", "nonsense"):
        with pytest.raises(BadInput):
            write_whole(wrong, ready)
    with pytest.raises(BadInput):
        whole([])


def test_what_is_put_right_is_no_pointer(archive: Archive, parts: list[Part]) -> None:
    """ "I said half an inch in part one, it is three eighths": nobody need go there."""
    archive.builds.set_part(parts[0].id, video_url="https://v.example/w?v=a")
    log, said = lid(), "I said half an inch in part one, it is three eighths."
    log.notes += [Note(kind="pointer", start_s=50.0, text=said, direction="back", part=1, id="n8")]
    log.recording.sha256 = "33" * 32
    third = add(archive, "Waxed pouch", 3, "Again", log)
    assert len(about_part(archive, third).pointers) == 2
    log.notes += [Note(kind="correction", start_s=50.0, text=said, id="n9")]
    log.recording.sha256 = "44" * 32
    fourth = add(archive, "Waxed pouch", 4, "Once more", log)
    assert len(about_part(archive, fourth).pointers) == 1


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("Next time it's the handles.", "- The handles."),
        ("Next week we make the lid.", "- We make the lid."),
        ("It's the lid next time.", "- It's the lid next time."),
    ],
)
def test_what_comes_next_is_said_once(said: str, shown: str) -> None:
    pointer = Pointer(start_s=3, said=said, part=2, direction="forward")
    about = About(build="Waxed pouch", parts=2, pointers=(pointer,))
    assert f"Next time:\n{shown}\n" in box(pouch(), about=about, version="pinned").text
