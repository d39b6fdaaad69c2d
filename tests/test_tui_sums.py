"""The page of worksheets on the bench: what is open is typed in and kept, what does not add up is gone to."""

from __future__ import annotations

import asyncio
import io
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from bench_log import line
from buildlog_tui.app import Bench
from buildlog_tui.plain import Plain
from buildlog_tui.sums import Spot
from test_tui_bench import on_screen
from tui_logs import press, put, settled, type_keys

from buildlog.archive import Archive
from buildlog.document import Check, Derived, Item, Log, Mention, RecordingInfo
from buildlog.opening import open_archive
from buildlog.reckon import page_of


def coat() -> Log:
    """A strap by a formula whose input nobody said, and two moments that contradict each other."""
    return Log(
        recording=RecordingInfo(path="coat.mp4", duration_s=90.0),
        transcript=[
            line(0.0, "Today a coat for the dog."),
            line(10.0, "The belly strap is a third of the chest plus five inches."),
            line(40.0, "The hem is two inches."),
            line(70.0, "So the hem is three inches, as I said."),
        ],
        items=[Item(id="i1", kind="material", name="fleece", first_s=1.0, mentions=[Mention(start_s=1.0, end_s=1.4, text="coat")])],
        derived=[
            Derived(
                id="d1", start_s=10.0, text="The belly strap is a third of the chest plus five inches",
                result="belly strap", formula="chest / 3 + 5 inch", inputs=["chest"],
            )
        ],
        checks=[
            Check(kind="contradiction", start_s=40.0, text="the hem: first two inches, then three inches", times=[40.0, 70.0])
        ],
    )  # fmt: skip


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    with open_archive(tmp_path / "a.sqlite3") as opened:
        put(opened, coat(), build="dog coat")
        yield opened


async def until(true: Callable[[], bool]) -> None:
    for _ in range(400):
        if true():
            return
        await asyncio.sleep(0.02)
    raise AssertionError("it never came to be so")


def on(bench: Bench, what: str, *place: Any) -> None:
    """Select a row of the page."""
    keys = [
        k
        for k in list(bench.shelf.keys())
        if isinstance(k, Spot) and k.what == what and (not place or k.place[1] == place[0])
    ]
    bench.shelf.select(keys[0], tell=True)


@pytest.mark.parametrize("size", [(80, 24), (160, 50)])
async def test_an_open_input_is_typed_in_kept_and_taken_back(archive: Archive, size: tuple[int, int]) -> None:
    """30 / 3 + 5 = 15 inches."""
    part = archive.builds.parts()[0]
    bench = Bench(archive, part)
    async with bench.run_test(size=size) as pilot:
        await press(pilot, "6")
        await until(lambda: "still to be" in on_screen(bench))
        assert "0:10" in on_screen(bench)
        on(bench, "figure", "chest")
        await type_keys(pilot, "e '30 in' enter")
        await until(lambda: "15 in" in on_screen(bench))
        assert "typed in" in on_screen(bench)
        # Kept with the part, and typed over: the letters take the place of what was there.
        assert [k.text for k in page_of(archive, part).kept] == ["30 in"]
        await type_keys(pilot, "e '36 in' enter")
        await until(lambda: "17 in" in on_screen(bench))
        await press(pilot, "x")
        await until(lambda: "still to be" in on_screen(bench))
        assert page_of(archive, part).kept == []
        await press(pilot, "x")
        assert bench._said is not None
        assert "nothing was typed in here" in bench._said[0]
        await type_keys(pilot, "e 'lots' enter")
        assert page_of(archive, part).kept == []
        on(bench, "figure", "belly strap")
        await press(pilot, "e")
        assert bench._said is not None
        assert "worked out from other values" in bench._said[0]


async def test_both_moments_of_a_contradiction_are_gone_to_and_it_is_let_be(archive: Archive) -> None:
    part = archive.builds.parts()[0]
    bench = Bench(archive, part)
    async with bench.run_test(size=(120, 40)) as pilot:
        await press(pilot, "6")
        await until(lambda: "two inches, then three" in on_screen(bench))
        assert "0:40" in on_screen(bench)
        assert "1:10" in on_screen(bench)
        on(bench, "check", 1)
        await press(pilot, "enter")
        assert bench.focused is bench.words
        assert bench.desk.sheet.starts[bench.words.cursor] == 70.0
        await press(pilot, "6")
        await until(lambda: bool(bench.shelf.keys()))
        on(bench, "check", 0)
        await press(pilot, "y")
        await until(lambda: "said at 0:40" not in on_screen(bench))
        assert len(archive.accepted_checks(part.id)) == 1
        await press(pilot, "u")
        await until(lambda: "said at 0:40" in on_screen(bench))


async def test_the_page_follows_an_edit_and_another_window(archive: Archive) -> None:
    part = archive.builds.parts()[0]
    bench = Bench(archive, part)
    async with bench.run_test(size=(160, 50)) as pilot:
        await press(pilot, "6")
        await until(lambda: "still to be" in on_screen(bench))
        with open_archive(archive.store.path) as other:
            from buildlog.reckon import set_input

            set_input(other, part, "chest", "24 in")
        await until(lambda: "13 in" in on_screen(bench))  # 24 / 3 + 5
        await settled(pilot)


def test_plain_mode_shows_and_sets_the_same(archive: Archive) -> None:
    out = io.StringIO()
    typed = "sums\nset chest=30 in\nsums\nset chest=\nset nonsense\nset girth=3 in\n"
    Plain(archive, archive.builds.parts()[0], source=io.StringIO(typed), out=out).run()
    said = out.getvalue()
    assert "Does not add up: the hem: first two inches, then three inches, 0:40 and 1:10." in said
    assert said.index("still to be asked") < said.index("15 in (38.1 cm)")
    assert "Kept." in said
    assert "Taken back." in said
    assert "set what?" in said
    assert "no input “girth”" in said
    assert page_of(archive, archive.builds.parts()[0]).kept == []
