"""What an edit may hold: everything typed or pasted comes through here before it is kept."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Callable
from typing import Any, TypeVar
from urllib.parse import urlsplit

import msgspec

from buildlog.edits import kinds as k
from buildlog.errors import BadInput, one_line

LONGEST_TEXT = 4000
LONGEST_URL = 2000
# Where an empty text is no answer.
_NEEDED = {"name", "text", "title", "what", "first", "second", "heard", "kind"}
# Characters that turn the direction of what follows: they would make a text show as something else than it is.
_TURNING = {*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x200E, 0x200F}

E = TypeVar("E", bound=k.Edit)


def clean_text(text: str) -> str:
    """``text`` on one line: control and direction characters become blanks, runs of blanks one."""
    kept = (" " if unicodedata.category(c) in ("Cc", "Cs") or ord(c) in _TURNING else c for c in text)
    return " ".join("".join(kept).split())


def checked_url(url: str) -> str:
    """``url`` if it is an http or https address. Raises :class:`BadInput` otherwise."""
    url = url.strip()
    try:
        parts = urlsplit(url)
        parts.port  # noqa: B018  (reading it is what checks it)
        good = parts.scheme in ("http", "https") and bool(parts.hostname)
    except ValueError:
        good = False
    if (
        not good
        or len(url) > LONGEST_URL
        or any(c.isspace() or unicodedata.category(c) in ("Cc", "Cf", "Cs") or c in '<>"`{}|\\^' for c in url)
    ):
        raise BadInput(f"not a web address: {one_line(url, 80)}; give one that begins with https:// or http://")
    return url


def checked(edit: E) -> E:
    """``edit`` with its texts cleaned. Raises :class:`BadInput` for what no log can hold."""
    raw: dict[str, Any] = {}
    for field in edit.__struct_fields__:
        value = getattr(edit, field)
        if isinstance(value, str):
            value = checked_url(value) if field == "url" else clean_text(value)
            if field in _NEEDED and not value:
                raise BadInput(f"the {field} is empty; write something")
            if len(value) > LONGEST_TEXT:
                raise BadInput(f"the {field} has {len(value)} characters; at most {LONGEST_TEXT} fit")
        raw[field] = value
    done = type(edit)(**raw)
    _check_numbers(msgspec.to_builtins(done))
    start, end = raw.get("start_s"), raw.get("end_s")
    if start is not None and end is not None and end < start:
        raise BadInput("it would end before it begins; give an end after the start")
    return done


def _check_numbers(value: Any) -> None:
    if isinstance(value, dict):
        for key, inner in value.items():
            if isinstance(inner, float) and not math.isfinite(inner):
                raise BadInput(f"the {key.removesuffix('_s')} is not a number")
            if key.endswith("_s") and isinstance(inner, (int, float)) and inner < 0:
                raise BadInput("a time cannot be before the start of the film")
            _check_numbers(inner)
    elif isinstance(value, list):
        for inner in value:
            _check_numbers(inner)


class _NotInCut(Exception):
    pass


def retimed(edit: k.AnyEdit, clock: Callable[[float], float | None]) -> k.AnyEdit | None:
    """``edit`` with each of its times put through ``clock``; ``None`` where ``clock`` has none for one of them."""

    def walk(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: moved(v) if key.endswith("_s") and v is not None else walk(v) for key, v in value.items()}
        return [walk(v) for v in value] if isinstance(value, list) else value

    def moved(seconds: float) -> float:
        new = clock(float(seconds))
        if new is None:
            raise _NotInCut
        return new

    try:
        return msgspec.convert(walk(msgspec.to_builtins(edit)), type(edit))
    except _NotInCut:
        return None
