"""The bench as a whole: what moves with what, other windows, hostile words, archives that cannot be used."""

from __future__ import annotations

import asyncio
import os
import sqlite3
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from bench_log import line, tool_roll
from buildlog_tui.actions import ACTIONS, key_shown
from buildlog_tui.app import Bench
from buildlog_tui.corrections import CORRECTIONS
from buildlog_tui.helping import Reading, help_rows
from buildlog_tui.jobs import Job
from buildlog_tui.playing import HOW_TO_GET, command
from buildlog_tui.sheet import Ref, Sheet
from buildlog_tui.text import fit, seconds, shown, wrapped
from cli_run import run
from textual.events import Paste
from tui_logs import answer_log, press, put, settled, type_keys

from buildlog.archive import Archive
from buildlog.document import Chapter, Item, Line, Log, Mention, RecordingInfo, Step, Word
from buildlog.edits import AttachUrl, anchor
from buildlog.opening import open_archive


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    with open_archive(tmp_path / "a.sqlite3") as opened:
        put(opened, tool_roll(), build="tool roll")
        yield opened


def on_screen(bench: Bench) -> str:
    """Every row of the screen as text."""
    size = bench.size
    return "\n".join("".join(s.text for s in strip) for strip in bench.screen._compositor.render_strips(size))


async def until(true: Callable[[], bool]) -> None:
    """Wait for what happens beside the work."""
    for _ in range(400):
        if true():
            return
        await asyncio.sleep(0.02)


async def test_moving_in_the_words_moves_the_work_and_back(archive: Archive) -> None:
    bench = Bench(archive, archive.builds.parts()[0])
    async with bench.run_test(size=(120, 40)) as pilot:
        bench.words.go(11)
        await settled(pilot)
        assert bench.work.key == Ref("step", 0)
        bench.words.go(24)
        await settled(pilot)
        assert bench.work.key == Ref("step", 2)
        await press(pilot, "tab", "up")
        assert bench.work.key == Ref("chapter", 2)
        await press(pilot, "up")
        assert bench.work.key == Ref("step", 1)
        assert bench.words.cursor == bench.desk.sheet.word_at(30.0)
        await press(pilot, "2", "down", "enter")
        assert bench.focused is bench.words


async def test_next_doubt_goes_by_lowest_confidence_and_accepting_goes_on(archive: Archive) -> None:
    part = archive.builds.parts()[0]
    bench = Bench(archive, part)
    async with bench.run_test(size=(120, 40)) as pilot:
        wanted = sorted((d.sure, d.start_s) for d in bench.desk.doubts())
        assert [(d.sure, d.start_s) for d in bench.desk.doubts()] == wanted
        await press(pilot, "n")
        assert bench.hands()[0].thing.name == "bias cape"  # 0.4 sure, the least of all
        await press(pilot, "y")
        assert bench.hands()[0].thing.name == "canvas"  # 0.8 sure, the next
        await press(pilot, "n")
        assert bench.hands()[0].thing.name == "awl"
        await press(pilot, "N")
        assert bench.hands()[0].thing.name == "canvas"


async def test_undo_after_a_restart_goes_back_to_what_was_read(tmp_path: Path) -> None:
    path = tmp_path / "a.sqlite3"
    with open_archive(path) as archive:
        part = put(archive, tool_roll(), build="tool roll")
        bench = Bench(archive, part)
        async with bench.run_test(size=(100, 30)) as pilot:
            bench.words.go(17)
            await type_keys(pilot, "e clear 'bias tape' enter k t")
            await pilot.press("ctrl+q")
    with open_archive(path) as archive:
        bench = Bench(archive, part)
        async with bench.run_test(size=(100, 30)) as pilot:
            assert [i.name for i in bench.desk.log.items][1] == "bias tape"
            await press(pilot, "u", "u", "u")
            assert bench.desk.log == archive.reading(part.id)
            assert bench._said is not None
            assert "Nothing left" in bench._said[0]
            await press(pilot, "U", "U", "U")
            assert bench.desk.log.items[1].kind == "tool"
            await press(pilot, "ctrl+h")
            assert isinstance(bench.screen, Reading)
            assert "made again" in on_screen(bench)


async def test_two_windows_see_each_others_edits(archive: Archive, tmp_path: Path) -> None:
    part = archive.builds.parts()[0]
    with open_archive(tmp_path / "a.sqlite3") as second:
        one, two = Bench(archive, part), Bench(second, part)
        async with one.run_test(size=(100, 30)) as pilot, two.run_test(size=(100, 30)):
            one.words.go(17)
            await type_keys(pilot, "e clear 'bias tape' enter")
            await asyncio.sleep(0.6)
            assert "bias tape" in [i.name for i in two.desk.log.items]
            link = two.desk.log.links_owed[0]
            second.edit(part.id, AttachUrl(at=anchor(link), url="https://cloth.example/1"))
            await asyncio.sleep(0.6)
            assert one.desk.open_links() == 0
            assert "no links owed" in on_screen(one)
            # Both are at the same thing, the other one is first: said plainly, and nothing is broken.
            second.builds.remove_part(part.id)
            await press(pilot, "x")
            assert one._said is not None
            assert "no part" in one._said[0] or "not" in one._said[0]


async def test_the_box_follows_every_change(archive: Archive) -> None:
    bench = Bench(archive, archive.builds.parts()[0])
    async with bench.run_test(size=(110, 60)) as pilot:
        await press(pilot, "4")
        await until(lambda: "Link owed: canvas" in on_screen(bench))
        assert "Link owed: canvas" in on_screen(bench)
        left = bench._box.left if bench._box else 0
        assert f"{left:,} of 5,000 bytes left" in on_screen(bench)
        bench.do_see_links()
        await settled(pilot)
        await type_keys(pilot, "l 'https://cloth.example/canvas' enter 4")
        # The URL stands on the screen while it is typed, too: the box has followed once it has grown.
        await until(lambda: bench._box is not None and bench._box.left < left)
        await until(lambda: "Link owed" not in on_screen(bench))
        assert bench._box is not None
        assert bench._box.left < left
        assert "https://cloth.example/canvas" in bench._box.text
        assert "Link owed" not in on_screen(bench)
        # A finding can be let be, and is remembered with the archive.
        before = len(bench._findings)
        bench.shelf.select(next(k for k in list(bench.shelf.keys()) if k[0] == "finding"))  # type: ignore[index]
        await press(pilot, "y")
        assert len(bench._findings) == before - 1
        assert len(archive.accepted_checks(bench.desk.part.id)) == 1


HOSTILE = Log(
    recording=RecordingInfo(path="x.mp4", duration_s=60.0),
    transcript=[
        line(0.0, "plain \x1b[31mred\x07 \u202egnihtyna\u202c \u200fmark word"),
        Line(
            start_s=10.0, end_s=12.0, text="long",
            words=[
                Word(start_s=10.0, end_s=11.0, text="x" * 2000),
                Word(start_s=11.0, end_s=11.5, text="\U0001f9f5\U0001faa1\u200d\U0001f469\ufe0f"),
                Word(start_s=11.5, end_s=12.0, text="漢字かな"),
            ],
        ),
        line(20.0, "[bold]markup[/] <b>html</b> {{ 1+1 }} \u0000 \x9b31m"),
    ],
    items=[
        Item(id="i1", kind="tool", name="\x1b]0;title\x07[red]x[/red]\u202ecod.exe", first_s=0.0, confidence=0.2,
             mentions=[Mention(start_s=0.0, end_s=0.9, text="plain")]),
    ],
    steps=[Step(id="s1", start_s=0.0, end_s=5.0, text="\x1b[2J" + "y" * 2000)],
    chapters=[Chapter(id="c1", start_s=0.0, title="\u202e[@click=app.quit]t[/]\x1b[H")],
)  # fmt: skip


async def test_hostile_words_are_shown_and_do_nothing(tmp_path: Path) -> None:
    with open_archive(tmp_path / "a.sqlite3") as archive:
        part = (
            put(archive, HOSTILE, build="\x1b[31mred build", title="[b]t[/b]")
            if False
            else put(archive, HOSTILE, build="b")
        )
        bench = Bench(archive, part)
        async with bench.run_test(size=(80, 24)) as pilot:
            for place in "123456":
                await press(pilot, place)
                text = on_screen(bench)
                assert not [c for c in text if c != "\n" and (ord(c) < 32 or 0x7F <= ord(c) < 0xA0)]
                assert not set(text) & set("\u202e\u202c\u200f\u200d")
            await press(pilot, "1", "ctrl+home")
            for _ in range(14):
                await press(pilot, "right")
            await press(pilot, "ctrl+end", "ctrl+home", "n", "e", "escape", "m", "escape", "ctrl+p", "escape")
            await press(pilot, "ctrl+end")
            assert "[bold]markup[/]" in on_screen(bench)
            assert len(bench.screen_stack) == 1


def test_text_is_measured_in_cells() -> None:
    assert shown("a\x1b[0m\u202eb\u200dc\x85") == "a·[0m·bc·"
    assert fit("漢字かな", 5) == "漢字…"
    assert fit("ab", 4, pad=True) == "ab  "
    rows = wrapped("word " + "漢" * 50, 20)
    assert rows[0].startswith("word")
    assert all(len(r) * 2 <= 25 for r in rows)
    assert seconds("1:04:05") == 3845.0
    assert seconds("4:05") == 245.0


async def test_an_empty_log_has_room_to_begin(tmp_path: Path) -> None:
    with open_archive(tmp_path / "a.sqlite3") as archive:
        part = archive.builds.make_part(archive.builds.make("nothing yet").id)
        bench = Bench(archive, part)
        async with bench.run_test(size=(80, 24)) as pilot:
            assert "No words yet" in on_screen(bench)
            keys = [k for a in ACTIONS for k in a.keys if a.id not in ("quit", "take", "open", "stop_job")]
            for key in [*keys, "up", "down", "home", "end", "pagedown", "shift+right"]:
                await press(pilot, key)
                await press(pilot, "escape")
            assert archive.edits(part.id) == []
            assert bench.is_running


async def test_a_read_only_archive_can_be_looked_at(archive: Archive, tmp_path: Path) -> None:
    part = archive.builds.parts()[0]
    with open_archive(tmp_path / "a.sqlite3", read_only=True) as looking:
        bench = Bench(looking, part)
        async with bench.run_test(size=(120, 30)) as pilot:
            assert "read only" in on_screen(bench)
            for keys in ("n x", "u", "e 'z' enter", "Y enter"):
                await type_keys(pilot, keys)
                assert bench._said is not None
                assert "read only" in bench._said[0] or "changed" in bench._said[0]
        assert looking.edits(part.id) == []


def test_an_archive_that_cannot_be_used_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "a.sqlite3"
    with open_archive(path) as archive:
        put(archive, tool_roll(), build="tool roll")
    with sqlite3.connect(path) as conn:
        conn.execute("PRAGMA user_version = 99")
    conn.close()
    for args, words in (
        (["--archive", path], "newer"),
        (["--archive", tmp_path / "none.sqlite3"], "no archive"),
        (["--plain", "--browser"], "do not go together"),
    ):
        ran = run(capsys, "bench", *args)
        assert ran.code == 2
        assert words in ran.err
        assert ran.err.count("\n") == 1


async def test_pasted_text_is_no_keys(archive: Archive) -> None:
    part = archive.builds.parts()[0]
    bench = Bench(archive, part)
    async with bench.run_test(size=(100, 30)) as pilot:
        await press(pilot, "n")
        bench.post_message(Paste("x\nyyyx\n"))
        await settled(pilot)
        assert archive.edits(part.id) == []
        await press(pilot, "e", "end", "ctrl+u")
        bench.post_message(Paste("bias\x1b[31m\r\ntape\x07\u202e"))
        await settled(pilot)
        assert archive.edits(part.id) == []  # a line break in it does not enter it
        await press(pilot, "enter")
        assert bench.desk.log.items[1].name == "bias [31m tape"


async def test_every_key_is_in_the_help_and_the_palette_has_actions_only(archive: Archive) -> None:
    bench = Bench(archive, archive.builds.parts()[0])
    listed = {k for keys, _, _ in help_rows() for k in keys.split()}
    for action in ACTIONS:
        assert {key_shown(k) for k in action.keys} <= listed
    for sort in {s for c in CORRECTIONS for s in c.on}:
        keys = [c.key for c in CORRECTIONS if sort in c.on]
        assert len(keys) == len(set(keys)), sort
    taken = [k for a in ACTIONS for k in a.keys]
    assert len(taken) == len(set(taken))
    async with bench.run_test(size=(100, 30)) as pilot:
        titles = [c.title for c in bench.get_system_commands(bench.screen)]
        assert len(titles) == sum(a.palette for a in ACTIONS)
        assert bench.active_bindings["ctrl+q"].enabled
        await press(pilot, "question_mark")
        assert isinstance(bench.screen, Reading)
        assert "Every key" in on_screen(bench)
        await press(pilot, "escape", "ctrl+p")
        assert len(bench.screen_stack) == 2
        await pilot.press(*"undo")
        await asyncio.sleep(0.4)
        await pilot.press("enter")
        await asyncio.sleep(0.1)
        assert bench._said is not None
        assert "Nothing left" in bench._said[0]


async def test_search_and_go_to(archive: Archive) -> None:
    bench = Bench(archive, archive.builds.parts()[0])
    async with bench.run_test(size=(100, 30)) as pilot:
        await type_keys(pilot, "slash 'bias cape' enter")
        assert bench.desk.sheet.said(bench.words.cursor, bench.words.cursor + 1) == "bias cape"
        first = bench.words.cursor
        await press(pilot, "full_stop")
        assert bench.words.cursor > first
        await press(pilot, "full_stop")
        assert bench.words.cursor == first
        await type_keys(pilot, "g '0:50' enter")
        assert bench.desk.sheet.texts[bench.words.cursor] == "Punch"
        await type_keys(pilot, "g 'soon' enter")
        assert bench._said is not None
        assert "cannot read" in bench._said[0]


async def test_the_mouse_works(archive: Archive) -> None:
    bench = Bench(archive, archive.builds.parts()[0])
    async with bench.run_test(size=(120, 30)) as pilot:
        x = bench.words.edge
        await pilot.mouse_down(bench.words, offset=(x + 1, 2))
        await pilot.mouse_up(bench.words, offset=(x + 1, 2))
        assert bench.words.cursor == 0
        assert bench.focused is bench.words
        await pilot.click(bench.work, offset=(4, 2))
        assert bench.work.key == Ref("step", 0)
        place = on_screen(bench).split("\n")[-1].index("off camera")
        await pilot.click(bench.hints, offset=(place, 0))
        assert not bench.desk.log.steps[0].on_camera


async def test_without_colour_everything_can_be_told_apart(archive: Archive, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    bench = Bench(archive, archive.builds.parts()[0])
    async with bench.run_test(size=(120, 30)) as pilot:
        await press(pilot, "n")
        text = on_screen(bench)
        assert "bias cape■?" in text
        assert "awl, canvas▲" in text
        strips = bench.screen._compositor.render_strips(bench.size)
        marked = [s for strip in strips for s in strip if "canvas" in s.text and s.style and s.style.underline]
        assert marked
        for segment in (s for strip in strips for s in strip if s.style and s.style.color and s.style.color.triplet):
            red, green, blue = segment.style.color.triplet  # type: ignore[union-attr,misc]
            assert red == green == blue


def test_a_player_is_found_or_how_to_get_one_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Options as mpv's and ffplay's own manuals give them (from memory: neither program is here to ask)."""
    folder = tmp_path / "bin"
    folder.mkdir()
    monkeypatch.setenv("PATH", str(folder))
    film = tmp_path / "-film.mp4"
    with pytest.raises(Exception, match="install mpv"):
        command(film, 1.0, 2.0, slow=False, loop=False)
    for name in ("ffplay", "mpv"):
        (folder / name).write_text("#!/bin/sh\n")
        (folder / name).chmod(0o755)
        line = command(film, 1.0, 2.0, slow=True, loop=False)
        assert Path(line[0]).name == name
        assert line[-1].endswith(str(film))
        assert line[-1][0] != "-"
    assert "mpv" in HOW_TO_GET


async def test_play_says_what_is_missing(archive: Archive, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    bench = Bench(archive, archive.builds.parts()[0])
    async with bench.run_test(size=(120, 30)) as pilot:
        await press(pilot, "space")
        assert bench._said is not None
        assert "not there any more" in bench._said[0]  # roll.mp4 never was
        await press(pilot, "P")
        assert "not there any more" in bench._said[0]


async def test_a_still_of_the_sample_film(tmp_path: Path) -> None:
    """The picture is on the screen, in half blocks where the terminal has no graphics."""
    film = Path(__file__).parent.parent / "sample_media" / "log-carrier.mp4"
    log = tool_roll()
    log.recording.path = str(film)
    with open_archive(tmp_path / "a.sqlite3") as archive:
        bench = Bench(archive, put(archive, log, build="log carrier"))
        async with bench.run_test(size=(100, 30)) as pilot:
            bench.words.go(11)
            await press(pilot, "P")
            for _ in range(100):
                await asyncio.sleep(0.05)
                if len(bench.screen_stack) > 1:
                    break
            await settled(pilot)
            assert on_screen(bench).count("▀") > 500
            await press(pilot, "escape")
            assert len(bench.screen_stack) == 1


async def test_taking_in_goes_on_beside_the_work(archive: Archive, tmp_path: Path) -> None:
    """A log document is taken in by a child process; this window sees the new part, and could edit meanwhile."""
    from buildlog.document import to_json

    file = tmp_path / "apron.json"
    file.write_bytes(to_json(answer_log("06-candle-box")))
    bench = Bench(archive, archive.builds.parts()[0])
    async with bench.run_test(size=(120, 30)) as pilot:
        await type_keys(pilot, f"ctrl+n '{file}' enter 'candle box' enter")
        assert bench._job is not None
        await press(pilot, "n", "y")  # goes on editing
        assert len(archive.edits(bench.desk.part.id)) == 1
        for _ in range(600):
            await asyncio.sleep(0.05)
            if bench._job is None:
                break
        assert bench._said is not None
        assert "candle box, part 1 is ready" in bench._said[0]
        assert [p.build for p in archive.builds.parts()] == ["candle box", "tool roll"]
        await type_keys(pilot, "ctrl+o 'candle' enter")
        assert bench.desk.part.build == "candle box"
        assert bench.desk.sheet.count > 800


async def test_a_job_is_stopped_at_once(tmp_path: Path) -> None:
    """The child is killed, not asked: a pipe as its file would keep it waiting for ever."""
    fifo = tmp_path / "film.mp4"
    os.mkfifo(fifo)
    job = Job(tmp_path / "a.sqlite3", fifo, "b")
    open_archive(tmp_path / "a.sqlite3").close()
    reports: list[dict[str, Any]] = []

    async def watch() -> None:
        async for report in job.reports():
            reports.append(report)

    watching = asyncio.create_task(watch())
    await asyncio.sleep(0.3)
    before = asyncio.get_running_loop().time()
    job.stop()
    await watching
    assert asyncio.get_running_loop().time() - before < 1.0
    assert "stopped" in reports[-1]["error"]


def test_the_command_line_does_not_import_the_bench() -> None:
    """`buildlog --help` and the other verbs stay quick: Textual is loaded by `bench` alone."""
    import subprocess

    code = "import sys, buildlog.cli.main, buildlog.cli.bench; print([m for m in sys.modules if 'textual' in m])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_words_found_by_time() -> None:
    sheet = Sheet()
    sheet.show(tool_roll())
    assert sheet.texts[sheet.word_at(11.5)] == "canvas"
    assert sheet.texts[sheet.word_at(29.0)] == "Then"  # between two lines: the next word
    assert sheet.word_at(1e9) == sheet.count - 1
    assert sheet.span(30.5, 31.3) == (17, 18)
