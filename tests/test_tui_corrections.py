"""Every correction by its keys on the real bench, against the archive: what it does, and that undo takes it back."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import msgspec
import pytest
from bench_log import line, tool_roll
from buildlog_tui.app import Bench
from buildlog_tui.corrections import CORRECTIONS
from buildlog_tui.sheet import Ref
from tui_logs import press, put, settled, type_keys

from buildlog import edits as e
from buildlog.archive import Archive
from buildlog.document import Log
from buildlog.edits import problems

# Words of the log under test (see bench_log.tool_roll): numbers of the words that the cursor is put on.
CANVAS, TAPE, AWL, LINK, PLAIN_WORD, FOLDER, YARD = 11, 17, 28, 36, 6, 45, 51


class Case(NamedTuple):
    """One correction: where to stand, what to type, what the log is like afterwards."""

    id: str
    at: int | Ref
    keys: str
    then: Callable[[Log], Any]


def _item(log: Log, name: str) -> Any:
    return next((i for i in log.items if i.name == name), None)


def _ids(log: Log) -> str:
    return " ".join(s.id for s in log.steps)


CASES = [
    Case("kind", AWL, "k m", lambda log: _item(log, "awl").kind == "material"),
    Case("kind", AWL, "k w", lambda log: any(t.name == "awl" for t in log.techniques)),
    Case("kind", Ref("note", 0), "k c", lambda log: (log.notes[0].kind, log.notes[0].confidence) == ("caution", 1.0)),
    Case("status", CANVAS, "s c", lambda log: _item(log, "canvas").status == "considered"),
    Case("status", AWL, "s m", lambda log: _item(log, "awl").status == "mentioned"),
    Case(
        "status", AWL, "s i 'canvas' enter",
        lambda log: (_item(log, "awl").status, _item(log, "awl").instead_of) == ("substitute", "i1"),
    ),
    Case("remove", TAPE, "x", lambda log: _item(log, "bias cape") is None),
    Case("remove", Ref("step", 1), "x", lambda log: [s.id for s in log.steps] == ["s1", "s3"]),
    Case("remove", Ref("chapter", 1), "x", lambda log: [c.id for c in log.chapters] == ["c1", "c3"]),
    Case("remove", Ref("note", 0), "x", lambda log: [n.id for n in log.notes] == ["n2"]),
    Case("reword", TAPE, "e clear 'bias tape' enter", lambda log: _item(log, "bias tape").aliases == ["bias cape"]),
    Case("reword", Ref("step", 0), "e clear 'Cut it.' enter", lambda log: log.steps[0].text == "Cut it."),
    Case("reword", Ref("chapter", 1), "e clear 'Edges' enter", lambda log: log.chapters[1].title == "Edges"),
    Case("reword", Ref("note", 0), "e clear 'Good side up.' enter", lambda log: log.notes[0].text == "Good side up."),
    Case("reword", Ref("link", 0), "e clear 'cloth' enter", lambda log: log.links_owed[0].what == "cloth"),
    Case("reword", PLAIN_WORD, "e clear 'our' enter", lambda log: "roll for our chisels" in log.transcript[0].text),
    Case("merge", AWL, "m 'bias' enter", lambda log: _item(log, "awl") is None and len(log.items) == 2),
    Case("merge", Ref("step", 0), "m enter", lambda log: [s.id for s in log.steps] == ["s1", "s3"]),
    Case("divide", CANVAS, "d clear 'duck' enter", lambda log: len(_item(log, "duck").mentions) == 1),
    Case(
        "divide", Ref("step", 0), "d clear 'Cut it.' enter clear 'Fold it.' enter",
        lambda log: [s.text for s in log.steps[:2]] == ["Cut it.", "Fold it."],
    ),
    Case("add", PLAIN_WORD, "a m", lambda log: _item(log, "my").kind == "material"),
    Case("add", PLAIN_WORD, "v right a t", lambda log: _item(log, "my chisels").kind == "tool"),
    Case("add", FOLDER, "a m", lambda log: _item(log, "bone folder").mentions[0].text == "bone folder"),
    Case("add", FOLDER, "a 1 m", lambda log: _item(log, "folder").mentions[0].text == "folder"),
    Case("add", FOLDER, "V a m", lambda log: _item(log, "bone folder").mentions[0].text == "bone folder"),
    Case(
        "add", YARD, "a h",
        lambda log: [(m.text, m.value, m.unit) for m in log.measurements][1:] == [("two and a half yards", 2.5, "yard")],
    ),
    Case("add", PLAIN_WORD, "a w", lambda log: log.techniques[-1].name == "my"),
    Case("add", PLAIN_WORD, "a h clear '3/8 in' enter", lambda log: log.measurements[0].exact == "3/8"),
    Case("add", PLAIN_WORD, "a l", lambda log: [x.what for x in log.links_owed] == ["my", "canvas"]),
    Case("add", PLAIN_WORD, "a s clear 'Sit down.' enter", lambda log: log.steps[0].text == "Sit down."),
    Case("add", PLAIN_WORD, "a n c", lambda log: log.notes[0].kind == "caution"),
    Case("add", PLAIN_WORD, "a c clear 'My chisels' enter", lambda log: log.chapters[1].title == "My chisels"),
    Case("accept", TAPE, "y", lambda log: _item(log, "bias cape").confidence == 1.0),
    Case("accept", Ref("check", 0), "y", lambda log: log.checks == []),
    Case("how_much", CANVAS, "h clear '2-3 yd' enter", lambda log: log.measurements[0].value_max == 3.0),
    Case("how_much", AWL, "h '12' enter", lambda log: _item(log, "awl").quantities == ["m2"]),
    Case("cost", CANVAS, "c '4.50 GBP' enter", lambda log: _item(log, "canvas").price.currency == "GBP"),
    Case("from_where", CANVAS, "f 'stash' enter", lambda log: _item(log, "canvas").source == "stash"),
    Case("size", CANVAS, "i '10 ounce' enter", lambda log: _item(log, "canvas").size == "10 ounce"),
    Case(
        "link", CANVAS, "l 'https://cloth.example/1' enter",
        lambda log: log.links_owed[0].url == _item(log, "canvas").link == "https://cloth.example/1",
    ),
    Case("link", Ref("link", 0), "l 'https://cloth.example/2' enter", lambda log: log.links_owed[0].url[-1] == "2"),
    Case("waive", Ref("link", 0), "w", lambda log: log.links_owed[0].waived),
    Case("waive", LINK, "w", lambda log: log.links_owed[0].waived),
    Case("belongs_to", Ref("link", 0), "b 'awl' enter", lambda log: log.links_owed[0].item == "i3"),
    Case("also_called", AWL, "A 'stabber' enter", lambda log: _item(log, "awl").aliases == ["stabber"]),
    Case("first_shown", 9, "F", lambda log: log.techniques[0].first_shown_s == 10.5),
    Case("off_camera", CANVAS, "o", lambda log: not log.steps[0].on_camera),
    Case("piece", Ref("step", 0), "p 'strap' enter", lambda log: log.steps[0].piece == "p2"),
    Case("piece", Ref("step", 0), "p 'flap' enter", lambda log: log.pieces[-1].name == "flap"),
    Case("ties", Ref("step", 0), "t 'awl' enter", lambda log: log.steps[0].items == ["i1", "i3"]),
    Case("ties", Ref("step", 0), "t 'canvas' enter", lambda log: log.steps[0].items == []),
    Case("times", 9, "v right right T", lambda log: (log.steps[0].start_s, log.steps[0].end_s) == (10.5, 11.9)),
    Case("do_earlier", Ref("step", 2), "left_curly_bracket", lambda log: _ids(log) == "s1 s3 s2"),
    Case("do_later", Ref("step", 0), "right_curly_bracket", lambda log: _ids(log) == "s2 s1 s3"),
    Case("word_earlier", Ref("chapter", 2), "less_than_sign", lambda log: log.chapters[2].start_s < 48.0),
    Case("word_later", Ref("chapter", 2), "greater_than_sign", lambda log: log.chapters[2].start_s == 50.5),
    Case("begin_here", 20, "B", lambda log: log.chapters[1].start_s == 32.0),
    Case("accept_above", 0, "Y clear '75' enter", lambda log: [i.confidence for i in log.items] == [1.0, 0.4, 1.0]),
]  # fmt: skip
# Keys that only the table of corrections can tell apart are all tried.
assert {c.id for c in CORRECTIONS} <= {c.id for c in CASES} | {"put_on"}


def _log() -> Log:
    """The tool roll, with a few words more that nothing speaks of."""
    log = tool_roll()
    log.transcript = [*log.transcript, line(80.0, "Now a bone folder, and two and a half yards of cord.")]
    return log


async def _stand(bench: Bench, pilot: Any, at: int | Ref) -> None:
    """Put the bench's cursor where the case begins."""
    await press(pilot, "escape")
    if isinstance(at, int):
        bench.do_see_words()
        bench.words.held = None
        bench.words.go(at)
    else:
        if at.of in ("step", "chapter"):
            bench.do_see_words()
            bench.work.focus()
            bench.work.select(at, tell=True)
        else:
            bench._see({"link": "links", "note": "remarks", "check": "remarks"}[at.of])
            await settled(pilot)
            bench.shelf.select(at, tell=True)
    await settled(pilot)


@pytest.fixture
def archive(tmp_path: Path) -> Any:
    """An archive with the tool roll in it."""
    with Archive.open(tmp_path / "a.sqlite3") as opened:
        put(opened, _log(), build="tool roll")
        yield opened


@pytest.mark.parametrize("group", range(4))
async def test_each_correction_and_its_undo(archive: Archive, group: int, tmp_path: Path) -> None:
    """The log on disk, read by a second window, is as the case says; one undo later it is as before."""
    part = archive.builds.parts()[0]
    bench = Bench(archive, part)
    with Archive.open(tmp_path / "a.sqlite3", read_only=True) as other:
        async with bench.run_test(size=(120, 40)) as pilot:
            for case in CASES[group::4]:
                told = f"{case.id} at {case.at} by {case.keys}"
                before = other.log(part.id)
                await _stand(bench, pilot, case.at)
                await type_keys(pilot, case.keys)
                await settled(pilot)
                after = other.log(part.id)
                assert after is not before, f"{told}: nothing was kept ({bench._said})"
                assert case.then(after), told
                assert problems(after) == [], told
                assert bench.desk.log == after, told
                await press(pilot, "u")
                assert other.log(part.id) == before, f"undo of {told}"
                if case.at is CANVAS or isinstance(case.at, Ref):
                    await press(pilot, "U")
                    assert other.log(part.id) == after, f"redo of {told}"
                    await press(pilot, "u")


async def test_alike_and_remembered(archive: Archive) -> None:
    """`*` makes the last change for all alike, `+` for later parts too; either is one undo."""
    part = archive.builds.parts()[0]
    bench = Bench(archive, part)
    async with bench.run_test(size=(120, 40)) as pilot:
        await _stand(bench, pilot, TAPE)
        await type_keys(pilot, "e clear 'bias tape' enter plus")
        later = put(archive, tool_roll(), build="apron")
        assert [i.name for i in archive.log(later.id).items] == ["canvas", "bias tape", "awl"]
        await press(pilot, "u")
        assert archive.log(part.id) == archive.reading(part.id)
        assert [i.name for i in archive.log(later.id).items] == ["canvas", "bias cape", "awl"]


async def test_a_wrong_answer_changes_nothing_and_says_what_to_do(archive: Archive) -> None:
    part = archive.builds.parts()[0]
    bench = Bench(archive, part)
    async with bench.run_test(size=(120, 40)) as pilot:
        for at, keys, words in (
            (CANVAS, "l 'javascript:alert(1)' enter", "not a web address"),
            (CANVAS, "h clear 'lots' enter", "cannot read"),
            (CANVAS, "e clear enter", "empty"),
            (Ref("step", 2), "right_curly_bracket", "last step already"),
            (CANVAS, "T", "select the words"),
            (PLAIN_WORD, "k", "not for what is under the cursor"),
        ):
            await _stand(bench, pilot, at)
            await type_keys(pilot, keys)
            await settled(pilot)
            assert bench._said is not None
            assert words in bench._said[0]
        assert archive.edits(part.id) == []


async def test_a_change_without_a_place_is_put_on_something_or_let_go(archive: Archive) -> None:
    """The recording is read anew and the awl has another name: the maker says which thing was meant, or lets it be."""
    part = archive.builds.parts()[0]
    archive.edit(part.id, e.Rename(at=e.anchor(archive.log(part.id).items[2]), name="scratch awl"))
    better = _log()
    better.items[2] = msgspec.structs.replace(better.items[2], name="bodkin")
    archive.readings.keep_log(archive.builds.recordings(part.id)[0].id, "better", better)
    assert [u.why for u in archive.needs_look(part.id)] == ["no item like “awl” near 0:00:52"]
    bench = Bench(archive, part)
    async with bench.run_test(size=(120, 40)) as pilot:
        bench.words.go(AWL)
        await press(pilot, "5")
        bench.shelf.select(Ref("unplaced", 0), tell=True)
        await press(pilot, "z", "enter")
        assert [i.name for i in archive.log(part.id).items] == ["canvas", "bias cape", "scratch awl"]
        assert archive.needs_look(part.id) == []
        await press(pilot, "u")
        assert [i.name for i in archive.log(part.id).items] == ["canvas", "bias cape", "bodkin"]
        assert len(archive.needs_look(part.id)) == 1
        bench.shelf.select(Ref("unplaced", 0), tell=True)
        await press(pilot, "x")
        assert archive.needs_look(part.id) == []
        assert [i.name for i in archive.log(part.id).items] == ["canvas", "bias cape", "bodkin"]
        await press(pilot, "u")
        assert len(archive.needs_look(part.id)) == 1


async def test_words_that_may_name_a_thing_left_out_are_gone_to(archive: Archive) -> None:
    bench = Bench(archive, archive.builds.parts()[0])
    async with bench.run_test(size=(120, 40)) as pilot:
        places = []
        for _ in range(9):
            await press(pilot, "M")
            for _ in range(200):
                await asyncio.sleep(0.01)
                if bench._said is not None or bench.words.held is not None:
                    break
            await settled(pilot)
            if bench._said is not None:
                break
            places.append(bench.desk.sheet.said(*bench.words.selected()))
            bench.words.let_go()
            bench.words.go(bench.words.cursor + 3)
        assert "bone folder," in places
        assert not [p for p in places if "canvas" in p or "awl" in p]
        assert bench._said is not None
        assert "nothing more looks like" in bench._said[0]
