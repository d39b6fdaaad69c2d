"""Plain mode: the same corrections as questions and answers."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from bench_log import tool_roll
from buildlog_tui.corrections import CORRECTIONS
from buildlog_tui.plain import Plain
from test_tui_bench import HOSTILE
from tui_logs import put

from buildlog.archive import Archive
from buildlog.edits import problems
from buildlog.opening import open_archive


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    with open_archive(tmp_path / "a.sqlite3") as opened:
        put(opened, tool_roll(), build="tool roll")
        yield opened


def talk(archive: Archive, *lines: str) -> str:
    """What is said when ``lines`` are typed."""
    out = io.StringIO()
    Plain(archive, archive.builds.parts()[0], source=io.StringIO("\n".join(lines) + "\n"), out=out).run()
    return out.getvalue()


# For each correction: what is typed, and what the log's JSON then holds.
TALKS: dict[str, tuple[list[str], str]] = {
    "kind": (["next", "k", "t"], '"kind":"tool","name":"bias cape"'),
    "status": (["next", "status", "considered, not used"], '"status":"considered"'),
    "remove": (["list steps", "3", "x"], ""),
    "reword": (["next", "e", "bias tape"], '"name":"bias tape"'),
    "merge": (["next", "merge", "awl"], '"aliases":["bias cape"]'),
    "divide": (["list things", "1", "d", "duck"], '"name":"duck"'),
    "add": (["words 0:00", "pick 8", "a", "t"], '"name":"chisels"'),
    "accept": (["next", "y"], ""),
    "how_much": (["list things", "3", "h", "12"], '"text":"12"'),
    "cost": (["list things", "1", "cost", "4.50 GBP"], '"currency":"GBP"'),
    "from_where": (["list things", "1", "from_where", "stash"], '"source":"stash"'),
    "size": (["list things", "1", "size", "10 ounce"], '"size":"10 ounce"'),
    "link": (["list links", "1", "l", "https://cloth.example/1"], '"url":"https://cloth.example/1"'),
    "waive": (["list links", "1", "w"], '"waived":true'),
    "belongs_to": (["list links", "1", "b", "awl"], '"what":"canvas","item":"i3"'),
    "also_called": (["list things", "3", "A", "stabber"], '"aliases":["stabber"]'),
    "first_shown": (["list things", "4", "F"], '"first_shown_s":10.5'),
    "off_camera": (["list steps", "2", "o"], '"on_camera":false'),
    "piece": (["list steps", "2", "p", "flap"], '"name":"flap"'),
    "ties": (["list steps", "2", "t", "awl"], '"items":["i1","i3"]'),
    "times": (["list steps", "2", "T"], "select the words"),
    "do_earlier": (["list steps", "4", "{"], ""),
    "do_later": (["list steps", "2", "}"], ""),
    "word_earlier": (["list steps", "3", "<"], ""),
    "word_later": (["list steps", "3", ">"], ""),
    "begin_here": (["list steps", "3", "B"], ""),
}


def test_the_table_has_every_correction() -> None:
    assert set(TALKS) | {"put_on"} == {c.id for c in CORRECTIONS}


@pytest.mark.parametrize("name", TALKS)
def test_each_correction_by_prompts(archive: Archive, name: str) -> None:
    """The change is in the archive when "Done" was said, and undo takes it back."""
    import msgspec

    part = archive.builds.parts()[0]
    lines, holds = TALKS[name]
    said = talk(archive, *lines)
    if name == "times":
        assert holds in said
        return
    assert "Done: " in said, said
    log = archive.log(part.id)
    assert log != archive.reading(part.id)
    assert problems(log) == []
    assert holds in msgspec.json.encode(log).decode()
    assert "Taken back" in talk(archive, "undo")
    assert archive.log(part.id) == archive.reading(part.id)


def test_everything_is_said_in_words_and_nothing_hostile_is_written(tmp_path: Path) -> None:
    with open_archive(tmp_path / "h.sqlite3") as archive:
        put(archive, HOSTILE, build="b")
        said = talk(
            archive, "next", "list things", "list steps", "list links", "list remarks", "words 0:00", "box", "here"
        )
    assert not [c for c in said if c != "\n" and (ord(c) < 32 or 0x7F <= ord(c) < 0xA0)]
    assert not set(said) & set("\u202e\u202c\u200f")
    assert "tool" in said


def test_wrong_answers_and_ends(archive: Archive) -> None:
    part = archive.builds.parts()[0]
    said = talk(
        archive, "k", "next", "k", "z", "3", "list", "list things", "99", "pick 1", "words soon", "e", "", "help", "box",
        "h", "nonsense", "merge", "awl", "list things", "1", "merge", "no such thing", "alike", "leave", "x",
    )  # fmt: skip
    for words in (
        "nothing is in hand", "none of the answers", "no entry has that number", "list what?", "cannot read",
        "nothing has that name", "Everything is kept", "bytes left",
    ):  # fmt: skip
        assert words in said, words
    assert archive.log(part.id).items[0].name == "canvas"
    assert "Traceback" not in said


def test_alike_remember_all_and_restart(archive: Archive) -> None:
    part = archive.builds.parts()[0]
    said = talk(archive, "next", "e", "bias tape", "remember", "all", "75")
    assert "in later videos" in said
    assert [i.confidence for i in archive.log(part.id).items] == [1.0, 0.4, 1.0]
    said = talk(archive, "undo", "undo", "undo", "redo")
    assert "Nothing to do" in said
    assert archive.log(part.id).items[1].name == "bias tape"
