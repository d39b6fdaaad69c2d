"""Text for publishing: cleaned of what could harm, moments as viewers read them, lists in words."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Sequence
from urllib.parse import parse_qsl, urlencode, urlsplit, urlunsplit

from buildlog.edits import checked_url, clean_text
from buildlog.errors import BadInput

# Invisible, but they change how text shows, or hide text in it: they have no place in what is posted.
_INVISIBLE = {0x00AD, 0x061C, 0x180E, 0x200B, 0x2060, 0xFEFF, *range(0xE0000, 0xE0080)}
_KEPT_FORMAT = {0x200C, 0x200D}  # joiners: scripts and emoji need them


def clean(text: str) -> str:
    """``text`` on one line without control, direction or invisible characters."""
    if text.isascii() and text.isprintable():  # nearly always, and a hundred times quicker
        return " ".join(text.split())
    return "".join(c for c in clean_text(text) if ord(c) not in _INVISIBLE and not _odd(c))


def _odd(c: str) -> bool:
    category = unicodedata.category(c)
    return category in ("Cn", "Co") or (category == "Cf" and ord(c) not in _KEPT_FORMAT)


def clean_block(text: str) -> str:
    """``text`` over several lines, each as :func:`clean`; blank lines at the ends go, of several one stays."""
    out: list[str] = []
    for line in text.replace("\r\n", "\n").replace("\r", "\n").split("\n"):
        row = clean(line)
        if row or (out and out[-1]):
            out.append(row)
    while out and not out[-1]:
        out.pop()
    return "\n".join(out)


LONGEST_S = 360_000.0  # a hundred hours: no film is longer


def sound_time(seconds: float) -> float:
    """``seconds`` as a moment of a film: no number at all is 0, and nothing is before 0 or after a hundred hours."""
    return min(max(0.0, seconds), LONGEST_S) if math.isfinite(seconds) else 0.0


def moment(seconds: float) -> str:
    """A moment as viewers read it: 65 is "1:05", 3725 is "1:02:05". Cut to whole seconds, never rounded up."""
    whole = int(sound_time(seconds))
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


def capital(text: str) -> str:
    """``text`` with a capital first letter; the rest stays."""
    return text[:1].upper() + text[1:]


# Peoples and places in the names of ways of working and of things.
_PROPER = re.compile(
    r"\b(?:french|japanese|english|danish|dutch|german|spanish|norwegian|swedish|coptic|roman|persian|irish|scottish"
    r"|italian|belgian|egyptian|indian|chinese|turkish|russian|welsh|hong kong|van dyke)\b"
)


def proper(text: str) -> str:
    """``text`` with capitals for the names of peoples and places: "french seaming" is "French seaming"."""
    return _PROPER.sub(lambda m: m[0].title(), text)


def lower(name: str) -> str:
    """A name inside a sentence: "Tape measure" is "tape measure"; "PVA", "DIY knife" and "French curve" stay."""
    return proper(name[:1].lower() + name[1:]) if name[1:2].islower() or name[1:2] in " '" else name


def counted(number: int, one: str, many: str | None = None) -> str:
    """ "1 step", "2 steps"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def listed(words: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else list(words))


def safe_url(url: str | None) -> str | None:
    """``url`` if it is a sound http or https address, else ``None``."""
    if not url:
        return None
    try:
        return checked_url(url)
    except BadInput:
        return None


def at_moment(url: str | None, seconds: float, parameter: str = "t") -> str | None:
    """``url`` of a video, opening at ``seconds``; ``parameter`` is what the host calls it. ``None`` without one."""
    safe = safe_url(url)
    if safe is None:
        return None
    parts = urlsplit(safe)
    query = [(k, v) for k, v in parse_qsl(parts.query, keep_blank_values=True) if k != parameter]
    return urlunsplit(parts._replace(query=urlencode([*query, (parameter, str(int(sound_time(seconds))))])))
