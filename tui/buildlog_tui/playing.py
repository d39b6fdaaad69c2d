"""Playing a stretch of a recording through a player that the maker has: mpv, else ffplay."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
from pathlib import Path

from buildlog.archive import Archive
from buildlog.errors import BuildlogError, NotFound, one_line

HOW_TO_GET = (
    "no player found: install mpv (or ffmpeg, which brings ffplay) with your system's packages, "
    "so that it is on the PATH"
)


class NoPlayer(BuildlogError):
    """Neither mpv nor ffplay is on the PATH."""


def source_of(archive: Archive, part_id: int, at_s: float) -> tuple[Path, float, float]:
    """The media file that shows ``at_s`` of the part, the second in it, and the speed it is shown at.

    Raises :class:`NotFound` where there is none: a transcript only, a file that was moved, or a moment outside the cut.
    """
    cut = archive.builds.cut(part_id)
    spot = cut.to_recording(at_s)
    if spot is None:
        raise NotFound("no recording is shown at this moment; take its recording in with `buildlog take`")
    recording = archive.builds.recording(spot.recording_id)
    path = Path(recording.path)
    if path.suffix.lower() in (".txt", ".vtt", ".srt", ".json"):
        raise NotFound(f"only the words of {one_line(path.name, 80)} are here; take the recording itself in")
    if not path.is_file():
        raise NotFound(f"{one_line(path, 120)} is not there any more; take it in again from where it is now")
    speed = next((c.speed for c in cut.clips if c.recording_id == spot.recording_id), 1.0)
    return path, spot.at_s, speed


def command(path: Path, start_s: float, length_s: float, *, slow: bool, loop: bool) -> list[str]:
    """The command line that plays it. Raises :class:`NoPlayer` with how to get one."""
    where = os.fspath(path.absolute())  # absolute: a name that begins with a dash is no option
    if mpv := shutil.which("mpv"):
        end = start_s + length_s
        again = [f"--ab-loop-a={start_s:.3f}", f"--ab-loop-b={end:.3f}"] if loop else [f"--end={end:.3f}"]
        speed = ["--speed=0.5"] if slow else []
        quiet = ["--no-config", "--no-video", "--really-quiet", "--no-terminal"]
        return [mpv, *quiet, f"--start={start_s:.3f}", *again, *speed, "--", where]
    if ffplay := shutil.which("ffplay"):
        again = ["-loop", "0"] if loop else ["-autoexit"]
        speed = ["-af", "atempo=0.5"] if slow else []
        times = ["-ss", f"{start_s:.3f}", "-t", f"{length_s:.3f}"]
        return [ffplay, "-nodisp", "-loglevel", "quiet", *again, *times, *speed, "-i", f"file:{where}"]
    raise NoPlayer(HOW_TO_GET)


class Player:
    """One player process at a time."""

    def __init__(self) -> None:
        self._running: subprocess.Popen[bytes] | None = None

    @property
    def playing(self) -> bool:
        """Whether something is heard now."""
        return self._running is not None and self._running.poll() is None

    def play(self, line: list[str]) -> None:
        """Start ``line``; what was playing stops."""
        self.stop()
        self._running = subprocess.Popen(
            line,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=os.name == "posix",
        )

    def stop(self) -> None:
        """Silence, at once."""
        running, self._running = self._running, None
        if running is not None and running.poll() is None:
            with contextlib.suppress(ProcessLookupError, PermissionError):
                if os.name == "posix":
                    os.killpg(running.pid, signal.SIGKILL)
                else:
                    running.kill()
            running.wait(timeout=2)
