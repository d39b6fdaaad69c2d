"""Text for the screen: hostile characters made visible, cut and wrapped by terminal cells."""

from __future__ import annotations

import functools
import unicodedata

from rich.cells import cell_len, get_character_cell_size

from buildlog.cli.common import hms
from buildlog.errors import BadInput, one_line

__all__ = ["cell_len", "chunks", "fit", "hms", "seconds", "shown", "wrapped"]

# What a terminal acts on, or what changes the order of its neighbours, is shown as this.
HIDDEN = "·"


@functools.lru_cache(maxsize=65536)
def shown(text: str) -> str:
    """``text`` as it may be written to a terminal: one line, every control or direction character shown as a dot.

    Joiners and variation selectors are left out: terminals disagree on how wide the joined character is.
    """
    if text.isascii() and text.isprintable():
        return text
    out = []
    for c in text:
        category = unicodedata.category(c)
        if category == "Cf":
            # Marks of direction could make a text pass for another, so they show; what only joins does not.
            out.append(HIDDEN if unicodedata.bidirectional(c) not in ("BN", "ON") or ord(c) in _TURNING else "")
        elif category in ("Zs", "Zl", "Zp"):
            out.append(" ")
        elif category in ("Cc", "Cs", "Co", "Cn"):
            out.append(HIDDEN)
        elif 0xFE00 <= ord(c) <= 0xFE0F:
            continue
        else:
            out.append(c)
    return "".join(out)


_TURNING = {*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x200E, 0x200F, 0x061C}


def fit(text: str, cells: int, *, pad: bool = False) -> str:
    """``text`` cut to ``cells`` with "…" where it is longer; with ``pad``, filled up with blanks."""
    if cells <= 0:
        return ""
    text = shown(text)
    width = cell_len(text)
    if width > cells:
        kept, used = [], 0
        for c in text:
            size = get_character_cell_size(c)
            if used + size > cells - 1:
                break
            kept.append(c)
            used += size
        text, width = "".join(kept) + "…", used + 1
    return text + " " * (cells - width) if pad else text


def chunks(text: str, cells: int) -> list[str]:
    """``text`` in pieces of at most ``cells``: for a word longer than a row."""
    cells = max(2, cells)
    out: list[str] = []
    piece: list[str] = []
    used = 0
    for c in text:
        size = get_character_cell_size(c)
        if used + size > cells and piece:
            out.append("".join(piece))
            piece, used = [], 0
        piece.append(c)
        used += size
    out.append("".join(piece))
    return out


@functools.lru_cache(maxsize=8192)
def wrapped(text: str, cells: int, most: int | None = None) -> tuple[str, ...]:
    """``text`` as rows of at most ``cells``, at least one row; past ``most`` rows it ends in "…"."""
    cells = max(4, cells)
    rows: list[str] = []
    row = ""
    for word in shown(text).split():
        for piece in [word] if cell_len(word) <= cells else chunks(word, cells):
            if row and cell_len(row) + 1 + cell_len(piece) > cells:
                rows.append(row)
                row = piece
            else:
                row = f"{row} {piece}" if row else piece
    rows.append(row)
    if most is not None and len(rows) > most:
        rows = rows[:most]
        rows[-1] = fit(rows[-1] + " …", cells)
    return tuple(rows)


def seconds(text: str) -> float:
    """A time as typed, "4:05", "1:04:05" or "245". Raises :class:`BadInput`."""
    try:
        parts = [float(p) for p in text.strip().split(":")]
    except ValueError as error:
        raise BadInput(f"cannot read “{one_line(text, 40)}” as a time; type for example 4:05") from error
    if not 1 <= len(parts) <= 3 or any(p < 0 for p in parts):
        raise BadInput(f"cannot read “{one_line(text, 40)}” as a time; type for example 4:05")
    total = 0.0
    for p in parts:
        total = total * 60 + p
    return total
