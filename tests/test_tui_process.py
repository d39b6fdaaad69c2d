"""The bench as a process in a real terminal: killed at any moment nothing is lost, and leaving never waits."""

from __future__ import annotations

import contextlib
import fcntl
import os
import pty
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from bench_log import tool_roll
from tui_logs import put

from buildlog.opening import open_archive


class Terminal:
    """A pseudo-terminal of 100 by 30 with ``buildlog bench`` in it."""

    def __init__(self, path: Path, *options: str, env: dict[str, str] | None = None) -> None:
        self.seen = b""
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", 30, 100, 0, 0))
            environ = {**os.environ, "TERM": "xterm-256color", **(env or {})}
            line = [sys.executable, "-m", "buildlog.cli.main", "bench", "--archive", str(path), *options]
            os.execvpe(line[0], line, environ)

    def read(self, seconds: float) -> bytes:
        """What it writes within ``seconds``."""
        until = time.monotonic() + seconds
        while (left := until - time.monotonic()) > 0:
            ready, _, _ = select.select([self.fd], [], [], min(left, 0.05))
            if ready:
                try:
                    self.seen += os.read(self.fd, 65536)
                except OSError:
                    break
        return self.seen

    def wait_for(self, sign: bytes | Callable[[], bool], seconds: float = 25.0) -> None:
        """Read until ``sign`` was written, or is true."""
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            if sign in self.seen if isinstance(sign, bytes) else sign():
                return
            self.read(0.05)
        raise AssertionError(f"not seen: {sign!r} in {self.seen[-2000:]!r}")

    def type(self, keys: bytes) -> None:
        """Press keys."""
        os.write(self.fd, keys)

    def end(self, how: int) -> int:
        """Send a signal and wait for the end."""
        os.kill(self.pid, how)
        return os.waitpid(self.pid, 0)[1]

    def close(self) -> None:
        """Whatever is left goes."""
        with contextlib.suppress(ProcessLookupError, ChildProcessError):
            os.kill(self.pid, signal.SIGKILL)
            os.waitpid(self.pid, 0)
        os.close(self.fd)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    where = tmp_path / "a.sqlite3"
    with open_archive(where) as archive:
        put(archive, tool_roll(), build="tool roll")
    return where


def test_killed_at_any_moment_nothing_shown_is_lost(path: Path) -> None:
    """What the screen said was done is in the archive after ``kill -9``, and the file is sound."""
    terminal = Terminal(path)
    try:
        terminal.wait_for(b"to look at")
        terminal.type(b"nkm")  # bias cape: it is a material already, said again
        terminal.wait_for(b"is a material")
        terminal.type(b"u")
        terminal.wait_for(b"taken back")
        terminal.type(b"kt")
        terminal.wait_for(b"is a tool")
        terminal.end(signal.SIGKILL)
    finally:
        terminal.close()
    with open_archive(path) as archive:
        part = archive.builds.parts()[0]
        assert archive.store.damage() == []
        assert next(i for i in archive.log(part.id).items if i.name == "bias cape").kind == "tool"
        assert [r.act for r in archive.edits(part.id)] == ["edit", "undo", "edit"]
        archive.undo(part.id)
        assert archive.log(part.id) == archive.reading(part.id)


def test_killed_in_the_middle_of_many_changes(path: Path) -> None:
    """Keys come as fast as they can, the kill comes anywhere: every change kept is whole, in order."""
    terminal = Terminal(path)
    try:
        terminal.wait_for(b"to look at")
        terminal.type(b"n" + b"ktkm" * 40)
        with open_archive(path, read_only=True) as archive:
            part = archive.builds.parts()[0]
            terminal.wait_for(lambda: len(archive.edits(part.id)) >= 5)
        terminal.end(signal.SIGKILL)
    finally:
        terminal.close()
    with open_archive(path) as archive:
        assert archive.store.damage() == []
        kinds = [r.edit.kind for r in archive.edits(part.id)]  # type: ignore[union-attr]
        assert kinds == [("tool", "material")[n % 2] for n in range(len(kinds))]
        assert archive.log(part.id).items[1].kind == kinds[-1]


def test_leaving_does_not_wait_for_what_is_being_heard(path: Path, tmp_path: Path) -> None:
    """The child opens a pipe that nobody writes to: it would wait for ever."""
    fifo = tmp_path / "film.mp4"
    os.mkfifo(fifo)
    terminal = Terminal(path)
    try:
        terminal.wait_for(b"to look at")
        terminal.type(b"\x0e")
        terminal.wait_for(b"Which file")
        terminal.type(str(fifo).encode() + b"\r")
        terminal.wait_for(b"Into which build")
        terminal.type(b"\r")
        terminal.read(0.7)
        before = time.monotonic()
        terminal.type(b"\x11")
        while os.waitpid(terminal.pid, os.WNOHANG) == (0, 0):
            terminal.read(0.05)
            assert time.monotonic() - before < 5.0
    finally:
        terminal.close()
    time.sleep(0.2)
    rest = [p for p in Path("/proc").glob("[0-9]*/cmdline") if b"buildlog_tui.jobs" in _bytes(p)]
    assert not any(str(tmp_path).encode() in _bytes(p.parent / "environ") for p in rest)  # the child went too


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError:
        return b""


def test_a_terminal_without_colour(path: Path) -> None:
    """TERM=vt100 and NO_COLOR: no colour is written, the words and marks are."""
    terminal = Terminal(path, env={"TERM": "vt100", "NO_COLOR": "1"})
    try:
        terminal.wait_for(b"bias cape")
        terminal.wait_for("■?".encode())
        terminal.type(b"\x11")
        terminal.read(1.0)
    finally:
        terminal.close()


def test_the_bench_opens_without_the_libraries_that_only_read_and_hear() -> None:
    """Each of them costs a tenth of a second and more, which the maker would wait for whenever the bench opens."""
    heavy = ("numpy", "spacy", "onnxruntime", "pint", "jinja2", "av", "faster_whisper")
    code = f"import sys, buildlog_tui.app; print([m for m in {heavy!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
