"""What hearing a recording gives, and how finished stretches of it are kept.

Each finished window is a file of its own, written beside its final name and moved into place, so that a run that was
stopped or killed goes on from the last whole one. Files are named by a key over the recording's bytes and everything
that could change the words; a file that cannot be read is as good as absent.
"""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import TypeVar

import msgspec

from buildlog.document import Line
from buildlog.errors import BuildlogError, one_line

FORMAT = 2  # raise when what hearing gives changes, so that nothing older is taken for it


class Stretch(msgspec.Struct, frozen=True):
    """A stretch of the recording, in seconds."""

    start_s: float
    end_s: float


class Dropped(msgspec.Struct, frozen=True):
    """Words the recogniser made up, left out of the lines: where, what, and how one can tell."""

    start_s: float
    end_s: float
    text: str
    why: str


class Heard(msgspec.Struct, frozen=True):
    """The words of a recording.

    ``lines`` are in order of time, each with its words. ``lost`` is speech that was found but gave no words, even when
    heard a second time; ``dropped`` what was left out as invented; ``pauses`` stretches of 0.7 s or more without
    speech. ``sha256`` is the recording's, ``model`` and ``settings`` say how it was heard.
    """

    lines: list[Line]
    duration_s: float
    sha256: str
    model: str
    settings: str
    lost: list[Stretch] = []
    dropped: list[Dropped] = []
    pauses: list[Stretch] = []


class HeardWindow(msgspec.Struct, frozen=True):
    """One finished window: samples ``start`` to ``end`` at 16 kHz, times in seconds on the recording's clock."""

    start: int
    end: int
    last: bool
    lines: list[Line]
    speech: list[Stretch]
    lost: list[Stretch]
    dropped: list[Dropped]


T = TypeVar("T", Heard, HeardWindow)


def key_of(*parts: object) -> str:
    """A short name for a recording heard in a certain way."""
    return hashlib.sha256("\n".join(map(str, (FORMAT, *parts))).encode()).hexdigest()[:32]


class HeardCache:
    """The folder in which one hearing is kept."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def whole(self) -> Heard | None:
        return _read(self.folder / "heard.json", Heard)

    def windows(self) -> list[HeardWindow]:
        """Finished windows from the beginning on, as far as they join up."""
        found: list[HeardWindow] = []
        while (window := _read(self._window(len(found)), HeardWindow)) is not None:
            if window.start != (found[-1].end if found else 0):
                break
            found.append(window)
        return found

    def keep_window(self, number: int, window: HeardWindow) -> None:
        self._write(self._window(number), window)

    def keep_whole(self, heard: Heard) -> None:
        self._write(self.folder / "heard.json", heard)
        for path in self.folder.glob("window-*.json"):
            path.unlink(missing_ok=True)

    def _window(self, number: int) -> Path:
        return self.folder / f"window-{number:05}.json"

    def _write(self, path: Path, value: Heard | HeardWindow) -> None:
        partial = path.with_suffix(".part")
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            partial.write_bytes(msgspec.json.encode(value))
            partial.replace(path)
        except OSError as error:
            partial.unlink(missing_ok=True)
            raise BuildlogError(
                f"could not keep what was heard in “{one_line(self.folder.parent, 120)}”: "
                f"{one_line(error.strerror or error)}; make room on the disk, the same command goes on from here"
            ) from error


def _read(path: Path, kind: type[T]) -> T | None:
    try:
        return msgspec.json.decode(path.read_bytes(), type=kind)
    except (OSError, msgspec.MsgspecError, UnicodeDecodeError):
        return None
