"""Taking a recording in without holding the bench up: a child process that reports progress and can be killed.

Run as ``python -m buildlog_tui.jobs`` it is the child: it reads one JSON object from standard input and writes one
JSON object a line. It ends by itself when nobody reads any more.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import signal
import sys
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any


class Job:
    """A child process that takes one file in. Iterate over :meth:`reports`; :meth:`stop` kills it at once."""

    def __init__(self, archive: Path, file: Path, build: str) -> None:
        self.file = file
        self._order = {"archive": str(archive), "file": str(file), "build": build}
        self._child: asyncio.subprocess.Process | None = None
        self._stopped = False

    async def reports(self) -> AsyncIterator[dict[str, Any]]:
        """Progress as ``{"what", "done_s", "total_s", "left_s"}``, then ``{"part", "label"}`` or ``{"error"}``."""
        self._child = child = await asyncio.create_subprocess_exec(
            sys.executable,
            "-m",
            "buildlog_tui.jobs",
            stdin=asyncio.subprocess.PIPE,
            stdout=asyncio.subprocess.PIPE,
            stderr=asyncio.subprocess.DEVNULL,
            start_new_session=os.name == "posix",
        )
        if self._stopped:
            self.stop()
        assert child.stdin is not None
        assert child.stdout is not None
        with contextlib.suppress(ConnectionError):
            child.stdin.write(json.dumps(self._order).encode() + b"\n")
            child.stdin.close()
        ended = False
        async for line in child.stdout:
            try:
                report: dict[str, Any] = json.loads(line)
            except ValueError:
                continue
            ended = "part" in report or "error" in report
            yield report
        code = await child.wait()
        if not ended:
            stopped = "stopped; what was heard so far is kept" if self._stopped else f"it ended by itself (code {code})"
            yield {"error": f"{self.file.name}: {stopped}"}

    def stop(self) -> None:
        """Kill it. What it had finished is on disk."""
        self._stopped = True
        child = self._child
        if child is None or child.returncode is not None:
            return
        with contextlib.suppress(ProcessLookupError, PermissionError):
            if os.name == "posix":
                os.killpg(child.pid, signal.SIGKILL)
            else:
                child.kill()


def _say(report: dict[str, Any]) -> None:
    try:
        sys.stdout.write(json.dumps(report) + "\n")
        sys.stdout.flush()
    except (BrokenPipeError, OSError):
        os._exit(1)  # the bench is gone: nothing more to do, and no one to tell


def main() -> None:
    """The child."""
    from buildlog.errors import BuildlogError, one_line
    from buildlog.intake import Hearing, sources, take_in
    from buildlog.opening import open_archive

    order = json.loads(sys.stdin.readline())

    def tell(what: str, done_s: float, total_s: float, left_s: float | None) -> None:
        _say({"what": what, "done_s": done_s, "total_s": total_s, "left_s": left_s})

    try:
        found = sources([Path(order["file"])])
        with open_archive(Path(order["archive"]), create=False) as archive:
            for source in found:
                taken = take_in(archive, source, build=order["build"], hearing=Hearing(), tell=tell)
        _say({"part": taken.part.id, "label": taken.part.label})
    except BuildlogError as error:
        _say({"error": str(error)})
    except Exception as error:  # the bench shows it; a traceback would go nowhere
        _say({"error": f"{type(error).__name__}: {one_line(error)}"})


if __name__ == "__main__":
    main()
