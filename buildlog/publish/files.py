"""Writing files whole or not at all."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from buildlog.errors import BuildlogError, one_line


def write_file(path: Path, data: bytes) -> Path:
    """Put ``data`` into ``path``; what was there stays as it was if that fails. Raises :class:`BuildlogError`."""
    partial = path.with_name(f".part-{secrets.token_hex(6)}")
    try:
        with partial.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        partial.replace(path)
    except OSError as error:
        raise BuildlogError(
            f"could not write {one_line(path)}: {error.strerror}; check the folder and the room on the disk"
        ) from error
    finally:
        if partial.exists():
            partial.unlink()
    return path
