"""Cutting a stretch out of a recording into a file of its own."""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable
from pathlib import Path

from buildlog.errors import BadInput, BuildlogError
from buildlog.media import encode
from buildlog.media.opening import reason, shown, url
from buildlog.media.probing import probe


def clip(
    path: Path | str,
    start: float,
    end: float,
    out: Path | str,
    exact: bool = False,
    *,
    cancelled: Callable[[], bool] | None = None,
) -> Path:
    """Write ``path`` from ``start`` to ``end`` (seconds) to ``out``; its suffix says the format. Returns ``out``.

    By default the packets are copied: quick and without loss, but the picture starts at the key frame before
    ``start``. With ``exact`` it is encoded again and starts where it should. ``out`` appears whole or not at all.
    """
    import ffmpeg

    out = Path(out)
    info = probe(path)
    start, end = max(0.0, start), min(end, info.duration_s)
    if end <= start:
        raise BadInput(
            f"nothing to cut from {shown(path)}: it lasts {info.duration_s:.1f} s; give a start before the end"
        )
    if out.absolute() == Path(path).absolute():
        raise BadInput(f"{shown(out)} would overwrite the recording itself; give another name for the clip")
    if not out.suffix:
        raise BadInput(f"{shown(out)} has no suffix that says its format; use for example .mp4")
    for name in (path, out):
        try:
            str(name).encode("utf-8")
        except UnicodeEncodeError as error:
            raise BadInput(f"the name {shown(name)} is not valid UTF-8; rename the file") from error
    source = ffmpeg.input(url(path), ss=f"{start:.3f}", t=f"{end - start:.3f}", protocol_whitelist="file")
    how: dict[str, object] = (
        {"c:v": "libx264", "crf": 18, "preset": "veryfast", "pix_fmt": "yuv420p", "c:a": "aac", "b:a": "160k"}
        if exact
        else {"c": "copy", "avoid_negative_ts": "make_zero"}
    )
    if info.video is None:
        how = {"vn": None, **({} if exact else {"c": "copy"})}
    partial = out.with_name(f".part-{secrets.token_hex(6)}{out.suffix}")
    try:
        if not out.parent.is_dir():
            raise BadInput(f"there is no folder {shown(out.parent)} to write the clip in; make it first")
        encode.run(source.output(url(partial), map_metadata=-1, **how), f"cut {shown(path)}", cancelled=cancelled)
        _check_written(partial, out)
        with partial.open("rb") as file:
            os.fsync(file.fileno())
        partial.replace(out)
    except OSError as error:
        raise BuildlogError(
            f"could not write {shown(out)}: {reason(error)}; check the folder and the room on the disk"
        ) from error
    finally:
        partial.unlink(missing_ok=True)
    return out


def _check_written(partial: Path, out: Path) -> None:
    """ffmpeg may leave with 0 after writing nothing (a cut between the last key frame and the end)."""
    try:
        probe(partial)
    except BadInput as error:
        raise BuildlogError(
            f"the clip {shown(out)} came out empty; choose a longer stretch, or cut it exactly"
        ) from error
