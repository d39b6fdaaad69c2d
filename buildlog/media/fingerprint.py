"""The sha256 of files."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

from buildlog.errors import BadInput, Interrupted
from buildlog.media.opening import check_file, reason, shown


def sha256_of(path: Path | str, *, cancelled: Callable[[], bool] | None = None) -> str:
    """The sha256 of the file's bytes, in hexadecimal. Raises :class:`BadInput` where it cannot be read."""
    path = check_file(path)
    digest = hashlib.sha256()
    try:
        with path.open("rb") as file:
            while block := file.read(1 << 22):
                digest.update(block)
                if cancelled is not None and cancelled():
                    raise Interrupted("stopped; the same command goes on from there")
    except OSError as error:
        raise BadInput(f"cannot read {shown(path)} to its end: {reason(error)}; check the disk") from error
    return digest.hexdigest()
