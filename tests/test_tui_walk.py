"""A walk through the bench by random keys: the log stays whole, and undo comes back to what was read."""

from __future__ import annotations

import asyncio
import tempfile
from pathlib import Path
from typing import Any

from bench_log import tool_roll
from buildlog_tui.actions import ACTIONS
from buildlog_tui.app import Bench
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from textual.events import Paste
from tui_logs import press, put, settled

from buildlog.archive import Archive
from buildlog.edits import problems

# Not pressed: what leaves the bench, starts other programs or processes, or opens what only a person can judge.
_LEFT_OUT = {"quit", "take", "open", "find", "play", "picture", "palette", "stop_job", "copy"}
KEYS = [k for a in ACTIONS if a.id not in _LEFT_OUT for k in a.keys[:1]]
CORRECTING = [k for a in ACTIONS if a.correction for k in a.keys[:1]]
MOVING = [
    "up", "down", "left", "right", "pageup", "pagedown", "home", "end", "ctrl+home", "ctrl+end", "shift+right",
    "shift+down", "tab", "shift+tab", "n", "right_square_bracket", "1", "2", "3", "5",
]  # fmt: skip
ANSWERS = ["enter", "escape", "down", "m", "t", "w", "u", "i", "s", "c", "h", "n"]
WORDS = ["oak", "1/2 in", "https://a.example/b", "0:31", "70", "\u202ex\x1b[2J", "", "canvas", "4 GBP", "édge ✂"]


class Walk(RuleBasedStateMachine):
    """The bench on a small log, kept running from the first key to the last."""

    @initialize()
    def open(self) -> None:
        self.loop = asyncio.new_event_loop()
        self.folder = tempfile.TemporaryDirectory()
        self.archive = Archive.open(Path(self.folder.name) / "a.sqlite3")
        self.part = put(self.archive, tool_roll(), build="tool roll")
        self.bench = Bench(self.archive, self.part)
        self.pilot: Any = None
        self.leave = asyncio.Event()
        self.life = self.loop.create_task(self._live())
        while self.pilot is None:
            self.loop.run_until_complete(asyncio.sleep(0.01))

    async def _live(self) -> None:
        """The bench is entered and left by the same task."""
        async with self.bench.run_test(size=(100, 30)) as self.pilot:
            await self.leave.wait()

    def _press(self, *keys: str) -> None:
        self.loop.run_until_complete(press(self.pilot, *keys))

    @rule(keys=st.lists(st.sampled_from(MOVING), min_size=1, max_size=6))
    def move(self, keys: list[str]) -> None:
        self._press(*keys)

    @rule(
        key=st.sampled_from(CORRECTING),
        answers=st.lists(st.sampled_from(ANSWERS), max_size=3),
        word=st.sampled_from(WORDS),
    )
    def correct(self, key: str, answers: list[str], word: str) -> None:
        self._press(key, *answers[:1])
        if word and len(self.bench.screen_stack) > 1:
            self.bench.post_message(Paste(word))
            self.loop.run_until_complete(settled(self.pilot))
        self._press(*answers[1:], "enter", "enter", "escape", "escape")

    @rule(keys=st.lists(st.sampled_from(KEYS), min_size=1, max_size=4))
    def anything(self, keys: list[str]) -> None:
        self._press(*keys)
        self._press("escape", "escape")

    @rule()
    def undo_and_redo(self) -> None:
        before = self.bench.desk.log
        if self.bench.desk.state.can_undo:
            self._press("escape", "escape", "u", "U")
            assert self.bench.desk.log == before

    @invariant()
    def whole(self) -> None:
        """The log is sound, the screen shows the archive's, and no error ended the bench."""
        if not hasattr(self, "bench"):
            return
        assert self.bench._exception is None
        assert self.bench.is_running
        assert problems(self.bench.desk.log) == []
        assert self.archive.log(self.part.id) == self.bench.desk.log
        assert 0 <= self.bench.words.cursor < self.bench.desk.sheet.count

    def teardown(self) -> None:
        if not hasattr(self, "bench"):
            return
        try:
            self._press("escape", "escape", "escape")
            for _ in range(400):
                if not self.bench.desk.state.can_undo:
                    break
                self._press("u")
            assert self.archive.log(self.part.id) == self.archive.reading(self.part.id)
        finally:
            self.leave.set()
            self.loop.run_until_complete(self.life)
            self.archive.close()
            self.loop.close()
            self.folder.cleanup()


TestWalk = Walk.TestCase
# About two thousand keys; a failing walk is printed as it is, as shrinking it would take minutes.
TestWalk.settings = settings(
    max_examples=4,
    stateful_step_count=45,
    deadline=None,
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
