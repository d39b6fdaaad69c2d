"""Running ffmpeg: which binary, how it is started, stopped, and what its failures say."""

from __future__ import annotations

import os
import shutil
import subprocess
import threading
from collections import deque
from collections.abc import Callable
from pathlib import Path
from typing import IO, Any

from buildlog.errors import BadInput, BuildlogError, Interrupted, one_line

POLL_S = 0.1


def binary() -> str:
    """The ffmpeg to run.

    ``BUILDLOG_FFMPEG`` may be ``system`` (the one on the PATH) or a path; otherwise it is the one in
    imageio-ffmpeg's wheel. Raises :class:`BadInput` if there is none.
    """
    wanted = os.environ.get("BUILDLOG_FFMPEG", "")
    if wanted == "system":
        found = shutil.which("ffmpeg")
        if found is None:
            raise BadInput("BUILDLOG_FFMPEG is “system” but there is no ffmpeg on the PATH; install ffmpeg or unset it")
        return found
    if wanted:
        if not os.access(wanted, os.X_OK) or Path(wanted).is_dir():
            raise BadInput(f"BUILDLOG_FFMPEG names “{one_line(wanted)}”, which is no program; correct or unset it")
        return wanted
    import imageio_ffmpeg

    try:
        found = imageio_ffmpeg.get_ffmpeg_exe()
    except RuntimeError as error:
        raise BadInput("no ffmpeg for this system; install ffmpeg and set BUILDLOG_FFMPEG=system") from error
    return str(found)


def run(stream: Any, doing: str, *, cancelled: Callable[[], bool] | None = None) -> None:
    """Run an ffmpeg-python output node to its end.

    ``doing`` says in the error what failed ("cut “a.mp4”"). Raises :class:`BuildlogError` with ffmpeg's last line,
    :class:`Interrupted` once ``cancelled()`` is true; the process is killed then, and on Ctrl-C.
    """
    arguments = stream.global_args("-nostdin", "-hide_banner", "-loglevel", "error").compile(
        cmd=binary(), overwrite_output=True
    )
    process = subprocess.Popen(arguments, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    last: deque[str] = deque(maxlen=20)
    assert process.stderr is not None
    reader = threading.Thread(target=_drain, args=(process.stderr, last), daemon=True)
    reader.start()
    try:
        while True:
            try:
                code = process.wait(POLL_S)
                break
            except subprocess.TimeoutExpired:
                if cancelled is not None and cancelled():
                    raise Interrupted(f"stopped: could not {doing}; nothing was left behind") from None
    finally:
        if process.poll() is None:
            process.kill()
            process.wait()
        reader.join(5)
        process.stderr.close()
    if code != 0:
        said = next((line for line in reversed(last) if line.strip()), f"ffmpeg left with {code}")
        raise BuildlogError(
            f"could not {doing}: {one_line(said.strip(), 200)}; check the file and the room on the disk"
        )


def _drain(pipe: IO[bytes], last: deque[str]) -> None:
    for line in pipe:
        last.append(line.decode("utf-8", "replace"))
