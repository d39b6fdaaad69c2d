"""How the bench looks at three sizes and in three sets of colours: a change of look has to be meant.

`uv run pytest tests/test_tui_looks.py --snapshot-update` keeps a new look; see the pictures before keeping it.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from buildlog_tui.app import Bench
from tui_logs import answer_log, put, settled

from buildlog.archive import Archive


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    with Archive.open(tmp_path / "a.sqlite3") as opened:
        put(opened, answer_log("06-candle-box"), build="candle box", title="A hanging candle box")
        yield opened


async def _box_there(pilot: Any) -> None:
    """The box is written beside the work: wait for it, so that the picture is always the same."""
    for _ in range(400):
        await pilot.pause(0.02)
        if pilot.app._box is not None:
            break
    await settled(pilot)


@pytest.mark.parametrize(
    ("name", "size", "look", "keys"),
    [
        ("small", (80, 24), "dark", ["n"]),
        ("small-things", (80, 24), "contrast", ["2", "down"]),
        ("middle-box", (120, 40), "light", ["4"]),
        ("middle-question", (120, 40), "dark", ["n", "e"]),
        ("large", (220, 60), "dark", ["2", "down"]),
        ("middle-sums", (120, 40), "dark", ["6", "down"]),
    ],
)
def test_look(
    archive: Archive, snap_compare: Any, name: str, size: tuple[int, int], look: str, keys: list[str]
) -> None:
    bench = Bench(archive, archive.builds.parts()[0], look=look)
    bench.animation_level = "none"

    async def before(pilot: Any) -> None:
        await _box_there(pilot)
        await pilot.press(*keys)
        for _ in range(400 if "6" in keys else 0):
            await pilot.pause(0.02)
            if pilot.app._page is not None:
                break
        await settled(pilot)
        for field in pilot.app.screen.query("Input"):
            field.cursor_blink = False

    assert snap_compare(bench, terminal_size=size, run_before=before)
