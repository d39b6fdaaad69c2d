"""Opening files whose names and contents are hostile.

A name is always handed to ffmpeg as ``file:`` and an absolute path, so that a leading dash, a ``concat:`` prefix, a
quote or a newline is part of a name and nothing else; playlists, which make ffmpeg open further files, are refused.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from buildlog.errors import BadInput, one_line

if TYPE_CHECKING:
    from av.container import InputContainer

# Formats that are lists of other files, subtitles, or take any text for a picture; still pictures end in “_pipe”.
REFUSED_FORMATS = {
    "hls",
    "concat",
    "dash",
    "sdp",
    "rtsp",
    "tty",
    "bin",
    "xbin",
    "adf",
    "idf",
    "imf",
    "ass",
    "srt",
    "webvtt",
}


def shown(path: Path | str) -> str:
    """The file's name, fit for a message."""
    return f"“{one_line(Path(path).name, 120)}”"


def url(path: Path | str) -> str:
    """``path`` as ffmpeg should be given it: always a plain local file."""
    return "file:" + str(Path(path).absolute())


def check_file(path: Path | str) -> Path:
    """``path`` if it is a readable, non-empty file. Raises :class:`BadInput` saying what is wrong and what to do."""
    path = Path(path)
    try:
        if path.is_dir():
            raise BadInput(f"{shown(path)} is a folder; give a recording inside it")
        with path.open("rb") as file:
            if not file.read(1):
                raise BadInput(f"{shown(path)} is empty (0 bytes); copy it again from the camera")
    except FileNotFoundError as error:
        raise BadInput(f"there is no file {shown(path)}; check the name and the folder") from error
    except PermissionError as error:
        raise BadInput(f"no permission to read {shown(path)}; change its permissions or copy it elsewhere") from error
    except (OSError, ValueError) as error:
        raise BadInput(f"cannot read {shown(path)}: {reason(error)}; check the disk and the name") from error
    return path


def reason(error: BaseException) -> str:
    """What went wrong, in a few words on one line."""
    text = getattr(error, "strerror", None) or str(error) or type(error).__name__
    return one_line(text, 160)


@contextmanager
def open_media(path: Path | str) -> Iterator[InputContainer]:
    """Open ``path`` for reading with PyAV.

    Raises :class:`BadInput` for what is no file, no media, cut short, or a playlist; errors of ffmpeg inside the
    ``with`` block become :class:`BadInput` as well.
    """
    import av

    path = check_file(path)
    try:
        with av.open(
            url(path), mode="r", metadata_errors="ignore", options={"protocol_whitelist": "file"}
        ) as container:
            names = set(container.format.name.split(","))
            if names & REFUSED_FORMATS or any(n.endswith("_pipe") for n in names):
                raise BadInput(
                    f"{shown(path)} is no recording but {one_line(container.format.name)}; give a video or audio file"
                )
            yield container
    except av.error.FFmpegError as error:
        raise BadInput(
            f"{shown(path)} is not a video or audio file that can be read, or it is cut short ({reason(error)}); "
            "copy it again from the camera or convert it"
        ) from error
    except UnicodeError as error:
        raise BadInput(f"the name {shown(path)} is not valid text; rename the file") from error
