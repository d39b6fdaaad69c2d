"""What a face shows of a part's sheets, and inputs that stay with the part."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from cli_run import run

from buildlog.archive import Archive, Part
from buildlog.document import Check, Derived, Line, Log, Measurement
from buildlog.edits import AcceptCheck
from buildlog.errors import BadInput
from buildlog.opening import open_archive
from buildlog.reckon import Kept, Page, page, page_of, set_input, take_back

WORDS = (
    "[0:00] Hello, today we make a dog coat out of fleece.\n"
    "[0:10] The belly strap is a third of the chest plus five inches.\n"
    "[0:20] I cut it out of fleece and sewed it on.\n"
    "[0:30] The binding strips are two inches wide, and I cut them and joined them all together.\n"
)


@pytest.fixture
def coat(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Iterator[tuple[Archive, Part]]:
    words = tmp_path / "coat.txt"
    words.write_text(WORDS, "utf-8")
    home = tmp_path / "archive.db"
    assert run(capsys, "take", words, "--build", "dog coat", "--archive", home).code == 0
    with open_archive(home) as archive:
        yield archive, archive.builds.find_part("dog coat", None)


def figures(shown: Page) -> dict[str, str]:
    return {f.name: f.text for sheet in shown.sheets for f in sheet.figures}


def question(shown: Page, name: str) -> str:
    return next(q.said for sheet in shown.sheets for q in sheet.asked if q.name == name)


def test_open_inputs_come_with_their_sentence_and_moment(coat: tuple[Archive, Part]) -> None:
    shown = page_of(*coat)
    assert "a third of the chest" in question(shown, "chest")
    line = next(f for s in shown.sheets for f in s.figures if f.name == "chest")
    assert line.whence == "asked at 0:13"  # the fifth of twelve words between 0:10 and 0:20
    assert figures(shown)["chest"] == "still to be asked"


def test_an_input_is_kept_with_the_part_and_taken_back(coat: tuple[Archive, Part], tmp_path: Path) -> None:
    """30 / 3 + 5 = 15."""
    archive, part = coat
    sheet = next(s.id for s in page_of(archive, part).sheets if "strap" in s.title)
    set_input(archive, part, "chest", "30 in", sheet)
    with open_archive(tmp_path / "archive.db") as again:
        shown = page_of(again, again.builds.find_part("dog coat", None))
    assert figures(shown)["belly strap"] == "15 in (38.1 cm)"
    assert next(f for s in shown.sheets for f in s.figures if f.name == "chest").whence == "typed in"
    assert figures(take_back(archive, part, "chest"))["chest"] == "still to be asked"
    with pytest.raises(BadInput, match="nothing is kept"):
        take_back(archive, part, "chest")


@pytest.mark.parametrize(
    ("name", "text"), [("cest", "30 in"), ("chest", "wide"), ("chest", "3 kg"), ("chest", "-4 in")]
)
def test_what_does_not_fit_is_told_in_one_line_and_not_kept(coat: tuple[Archive, Part], name: str, text: str) -> None:
    with pytest.raises(BadInput) as caught:
        set_input(*coat, name, text)
    assert "\n" not in str(caught.value)
    assert page_of(*coat).kept == []


def test_a_part_made_anew_under_the_same_number_starts_empty(
    coat: tuple[Archive, Part],
) -> None:
    archive, part = coat
    set_input(archive, part, "chest", "30 in")
    archive.builds.remove_part(part.id)
    other = archive.builds.make_part(part.build_id)
    assert other.id == part.id
    assert page_of(archive, other).kept == []


STRIPS = Log(
    transcript=[
        Line(start_s=0, end_s=9, text="The binding strips are two inches wide, cut and joined. Four sides and ten inches."),
        Line(start_s=100, end_s=109, text="The ruffle strips are five inches wide, cut and joined."),
    ],
    measurements=[
        Measurement(id="m1", start_s=1, text="two inches", value=2, unit="inch", of="binding strip width"),
        Measurement(id="m2", start_s=101, text="five inches", value=5, unit="inch", of="ruffle strip width"),
    ],
)  # fmt: skip


def test_one_cloth_width_serves_every_sheet_that_asks_for_it() -> None:
    shown = page(STRIPS, [Kept(name="fabric width", text="42 in")])
    assert [f.text for s in shown.sheets for f in s.figures if f.name == "fabric width"] == ["42 in (106.7 cm)"] * 2


def test_what_was_said_is_typed_over_in_one_sheet_only() -> None:
    first = page(STRIPS).sheets[0]
    name = first.figures[0].name
    shown = page(STRIPS, [Kept(name="strip width", text="3 in", sheet=_result(first.id))])
    widths = [f.text for s in shown.sheets for f in s.figures if f.name == "strip width"]
    assert widths == ["3 in (7.6 cm)", "5 in (12.7 cm)"], name


def _result(sheet_id: str) -> str:
    from buildlog.reckon import worksheets

    return next(s.results[0] for s in worksheets(STRIPS) if s.id == sheet_id)


def test_what_fits_nothing_any_more_is_told_and_not_dropped() -> None:
    kept = [Kept(name="waist", text="30 in"), Kept(name="fabric width", text="-3 in")]
    shown = page(STRIPS, kept)
    assert shown.kept == kept
    assert any(t.startswith("waist = 30 in fits no sheet") for t in shown.trouble)
    assert any("below zero" in t for t in shown.trouble)
    assert all(s.asked for s in shown.sheets)


def test_an_accepted_check_is_not_shown_and_nothing_is_told_twice() -> None:
    log = Log(
        transcript=[Line(start_s=0, end_s=60, text="The strip is two inches wide. The strip is three inches wide.")],
        measurements=[
            Measurement(id="m1", start_s=1, text="two inches", value=2, unit="inch", of="strip width"),
            Measurement(id="m2", start_s=30, text="three inches", value=3, unit="inch", of="strip width"),
        ],
    )
    (found,) = page(log).checks
    assert found.times == [1, 30]
    said = Check(kind="contradiction", start_s=30, times=[1, 30], text="strip width: first “two”, then “three”")
    log.checks.append(said)
    assert page(log).checks == [said]
    assert page(log, accepted=[AcceptCheck(kind=said.kind, start_s=30, text=said.text)]).checks == []


def test_a_formula_that_cannot_be_worked_out_is_told() -> None:
    log = Log(
        derived=[
            Derived(id="d1", start_s=1, text="x", result="strap", formula="5 inch / (chest - chest)", inputs=["chest"])
        ]
    )
    shown = page(log, [Kept(name="chest", text="3 in")])
    assert any("divides by zero" in t for t in shown.trouble)
