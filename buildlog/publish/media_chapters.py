"""A copy of a video with the chapters written in; picture and sound are copied, not encoded again."""

from __future__ import annotations

import os
import secrets
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from buildlog.errors import BadInput, BuildlogError, one_line
from buildlog.media import encode, probe
from buildlog.publish.chapter_files import ffmetadata_of
from buildlog.publish.chapters import Titled

SUFFIXES = {".mp4", ".m4v", ".mov", ".m4a", ".mkv", ".mka", ".webm"}


def with_chapters(
    video: Path, chapters: Sequence[Titled], out: Path, *, cancelled: Callable[[], bool] | None = None
) -> Path:
    """Write ``video`` to ``out`` with ``chapters`` in place of those it has. ``out`` appears whole or not at all.

    Raises :class:`BadInput` where it cannot be, :class:`BuildlogError` with what ffmpeg said.
    """
    import ffmpeg

    if out.suffix.lower() not in SUFFIXES:
        raise BadInput(f"{one_line(out.name, 120)} can hold no chapters; name a file ending in .mp4 or .mkv")
    if not chapters:
        raise BadInput("there are no chapters to write; add some first")
    if out.absolute() == video.absolute():
        raise BadInput(f"{one_line(out.name, 120)} is the video itself; give another name for the copy")
    if not out.parent.is_dir():
        raise BadInput(f"there is no folder {one_line(out.parent, 120)}; make it first")
    info = probe(video)
    end = max(info.duration_s, chapters[-1].start_s + 0.001)
    within = [Titled(c.start_s, min(c.end_s, end), c.title) for c in chapters]
    within[-1] = Titled(within[-1].start_s, end, within[-1].title)
    partial = out.with_name(f".part-{secrets.token_hex(6)}{out.suffix}")
    with tempfile.TemporaryDirectory() as folder:
        written = Path(folder) / "chapters.ffmetadata"
        written.write_text(ffmetadata_of(within), "utf-8")
        source = ffmpeg.input("file:" + str(video.absolute()), protocol_whitelist="file")
        marks = ffmpeg.input("file:" + str(written), f="ffmetadata", protocol_whitelist="file")
        # The second input has no streams; taking "its sound, if any" makes it an input all the same.
        same = video.suffix.lower() == out.suffix.lower()
        streams = [source["v?"], source["a?"], *([source["s?"]] if same else []), marks["a?"]]
        node = ffmpeg.output(*streams, "file:" + str(partial.absolute()), c="copy", map_metadata=0, map_chapters=1)
        try:
            encode.run(node, f"write chapters into “{one_line(out.name, 120)}”", cancelled=cancelled)
            with partial.open("rb") as file:
                os.fsync(file.fileno())
            partial.replace(out)
        except OSError as error:
            raise BuildlogError(
                f"could not write {one_line(out, 120)}: {error.strerror}; check the folder and the room on the disk"
            ) from error
        finally:
            partial.unlink(missing_ok=True)
    return out
