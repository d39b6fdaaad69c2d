"""``buildlog reckon`` as its user runs it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from cli_run import run

from buildlog.document import Derived, Line, Log, to_json

COAT = Log(
    transcript=[Line(start_s=0, end_s=9, text="The belly strap's a third of the chest plus five inches.")],
    derived=[
        Derived(
            id="d1",
            start_s=1,
            text="a third of the chest plus five inches",
            result="belly strap",
            formula="chest / 3 + 5 inch",
            inputs=["chest"],
        )
    ],
)


@pytest.fixture
def log_file(tmp_path: Path) -> Path:
    path = tmp_path / "coat.json"
    path.write_bytes(to_json(COAT))
    return path


def test_from_a_log_with_an_input_typed(capsys: pytest.CaptureFixture[str], log_file: Path) -> None:
    """30 / 3 + 5 = 15."""
    ran = run(capsys, "reckon", "--log", log_file, "chest=30 in")
    assert ran.code == 0
    assert "belly strap: 15 in (38.1 cm)" in ran.out
    assert "This helps to plan" in ran.out


def test_what_is_missing_is_named_with_its_sentence(capsys: pytest.CaptureFixture[str], log_file: Path) -> None:
    ran = run(capsys, "reckon", "--log", log_file)
    assert ran.code == 0
    assert "Still to be told: chest, from at 0:01" in ran.out
    assert "a third of the chest" in ran.out


def test_inputs_from_a_file(capsys: pytest.CaptureFixture[str], log_file: Path, tmp_path: Path) -> None:
    inputs = tmp_path / "me.txt"
    inputs.write_text("# mine\nchest = 90 cm\n", "utf-8")
    ran = run(capsys, "reckon", "--log", log_file, "--inputs", inputs, "--json")
    assert ran.code == 0
    (made,) = json.loads(ran.out)["sheets"]
    strap = next(f for f in made["figures"] if f["name"] == "belly strap")
    assert (strap["exact"], strap["unit"]) == ("427/10", "centimeter")


def test_asks_and_takes_the_answer(
    capsys: pytest.CaptureFixture[str], log_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import io
    import sys

    monkeypatch.setattr(sys, "stdin", io.StringIO("very wide\n30 in\n"))
    ran = run(capsys, "reckon", "--log", log_file, "--ask")
    assert ran.code == 0
    assert "belly strap: 15 in" in ran.out
    assert "is no amount" in ran.err
    assert "chest" in ran.err


def test_table_of_sizes_for_the_box(capsys: pytest.CaptureFixture[str], log_file: Path) -> None:
    ran = run(capsys, "reckon", "--log", log_file, "--sizes", "chest=24,30", "--box")
    assert ran.code == 0
    assert "Belly strap: chest divided by 3 plus 5 inches" in ran.out
    assert "chest 24 in (61 cm): belly strap 13 in (33 cm)" in ran.out


def test_straight_from_a_rule_with_a_picture(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """(250 - 1/2) / (42 - 1/2) = 6.01: seven strips, half a yard."""
    folder = tmp_path / "pictures"
    given = ["need=250", "strip_width=2 1/2", "fabric_width=42"]
    ran = run(capsys, "reckon", "--rule", "strips", *given, "--pictures", folder)
    assert ran.code == 0
    assert "7 x strip across the width" in ran.out
    assert "cloth: 1/2 yd, or 0.5 m" in ran.out
    assert [p.suffix for p in folder.iterdir()] == [".svg"]


def test_the_book_is_listed_with_sources(capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "reckon", "--rules", "--json")
    assert ran.code == 0
    book = json.loads(ran.out)
    assert len(book) > 40
    assert all(r["formula"] and r["limits"] and r["source"] for r in book)


def test_from_the_archive(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    words = tmp_path / "strap.txt"
    words.write_text(
        "[0:00] Hello, today we make a dog coat.\n[0:10] The belly strap is a third of the chest plus five inches.\n"
        "[0:20] I cut it out of fleece and sewed it on.\n",
        "utf-8",
    )
    assert run(capsys, "take", words, "--build", "dog coat").code == 0
    ran = run(capsys, "reckon", "dog coat", "chest=30 in", "--json")
    assert ran.code == 0, ran.err
    figures = [f for s in json.loads(ran.out)["sheets"] for f in s["figures"]]
    assert ("15", "inch") in [(f["exact"], f["unit"]) for f in figures]


def test_inputs_kept_with_the_part(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """24 / 3 + 5 = 13; what is typed later goes before what is kept; of two inputs with one wrong none is kept."""
    words = tmp_path / "strap.txt"
    words.write_text(
        "[0:00] Hello, today we make a dog coat.\n[0:10] The belly strap is a third of the chest plus five inches.\n"
        "[0:20] The coat is the spine minus two inches, I cut it out of fleece and sewed it on.\n",
        "utf-8",
    )
    assert run(capsys, "take", words, "--build", "dog coat").code == 0
    ran = run(capsys, "reckon", "dog coat", "chest=24 in", "spine=wide", "--keep")
    assert ran.code == 2
    assert "still to be asked" in run(capsys, "reckon", "dog coat").out
    assert run(capsys, "reckon", "dog coat", "chest=24 in", "--keep").code == 0
    assert "belly strap: 13 in" in run(capsys, "reckon", "dog coat").out
    assert "belly strap: 15 in" in run(capsys, "reckon", "dog coat", "chest=30 in").out
    table = run(capsys, "reckon", "dog coat", "--sizes", "chest", "--box").out
    assert "chest 20 in (50.8 cm): belly strap ~11 11/16 in (29.6 cm)" in table
    assert run(capsys, "reckon", "dog coat", "--forget", "chest").code == 0
    assert "chest: still to be asked" in run(capsys, "reckon", "dog coat").out
    assert run(capsys, "reckon", "--rule", "strips", "need=20", "--keep").code == 2


@pytest.mark.parametrize(
    "arguments",
    [
        ["--rule", "stripes"],
        ["--rule", "strips", "wide=3"],
        ["--rule", "strips", "need=0", "strip_width=2", "fabric_width=42"],
        ["--rule", "strips", "need=", "strip_width=2"],
        ["--log", "no-such-file.json"],
        ["--inputs", "no-such-file.txt", "--rule", "strips"],
        ["--rule", "strips", "--sizes", "chest=3"],
        ["--rule", "strips", "--sizes", "need"],
    ],
)
def test_bad_input_is_one_line_and_leaves_with_two(capsys: pytest.CaptureFixture[str], arguments: list[str]) -> None:
    ran = run(capsys, "reckon", *arguments)
    assert ran.code == 2
    assert ran.out == ""
    assert ran.err.startswith("buildlog: ")
    assert len(ran.err.strip().splitlines()) == 1


def test_an_unknown_input_of_a_log_and_a_file_that_is_no_log(
    capsys: pytest.CaptureFixture[str], log_file: Path, tmp_path: Path
) -> None:
    ran = run(capsys, "reckon", "--log", log_file, "cest=30")
    assert ran.code == 2
    assert "these sheets have chest" in ran.err
    other = tmp_path / "x.json"
    other.write_text("[1, 2", "utf-8")
    assert run(capsys, "reckon", "--log", other).code == 2
