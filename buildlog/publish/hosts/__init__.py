"""Rules of the places where a video is posted: one TOML file a host, named by its rule, each with its source.

A maker's own file (a path ending in ``.toml``) serves as well; its keys are those of :class:`Host`.
"""

from __future__ import annotations

import functools
import tomllib
from datetime import date
from pathlib import Path
from typing import Literal

import msgspec

from buildlog.errors import BadInput, one_line

DEFAULT = "5000-bytes"


class Source(msgspec.Struct, frozen=True, kw_only=True):
    """Where a rule is published, and when it was read there."""

    rule: str
    where: str
    read: date


class ChapterRule(msgspec.Struct, frozen=True, kw_only=True):
    """What makes a list of times into chapters."""

    first_at_zero: bool = True
    at_least: int = 3
    shortest_s: float = 10.0
    title_limit: int = 70


class Host(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A host's limits. ``moment`` is the URL parameter that opens a video at a second.

    ``hashtags`` and ``links`` are how many there may be at most (``None``: no rule); ``links_work`` whether an address
    becomes a link.
    """

    about: str
    unit: Literal["bytes", "characters"]
    limit: int
    title_limit: int = 100
    forbidden: str = ""
    hashtags: int | None = None
    links: int | None = None
    links_work: bool = True
    moment: str = "t"
    chapters: ChapterRule = ChapterRule()
    source: tuple[Source, ...] = ()
    name: str = ""

    def size(self, text: str) -> int:
        """How much of the limit ``text`` takes."""
        return len(text.encode("utf-8", "replace")) if self.unit == "bytes" else len(text)

    def allowed(self, text: str) -> str:
        """``text`` with forbidden characters replaced by ones that look alike."""
        alike = {"<": "‹", ">": "›"}
        for c in self.forbidden:
            text = text.replace(c, alike.get(c, ""))
        return text


def names() -> list[str]:
    """The hosts that buildlog knows, the usual one first."""
    found = sorted(p.stem for p in Path(__file__).parent.glob("*.toml"))
    return sorted(found, key=lambda n: n != DEFAULT)


@functools.lru_cache(maxsize=32)
def load(name: str = DEFAULT) -> Host:
    """The host called ``name``, or the rules in the file of that path. Raises :class:`BadInput`."""
    own = name.endswith(".toml")
    path = Path(name) if own else Path(__file__).parent / f"{name}.toml"
    if not own and name not in names():
        raise BadInput(f"no host is called {one_line(name, 80)}; choose of {', '.join(names())}, or give a .toml file")
    try:
        data = tomllib.loads(path.read_text("utf-8"))
        host = msgspec.convert(data | {"name": path.stem}, Host)
    except OSError as error:
        raise BadInput(f"cannot read {one_line(name)}: {error.strerror}; name a rules file that is there") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, msgspec.ValidationError) as error:
        raise BadInput(f"{one_line(name)} is no rules file for a host: {one_line(error, 160)}; correct it") from error
    if (
        host.limit < 100
        or host.chapters.at_least < 0
        or host.chapters.shortest_s < 0
        or not host.moment.isidentifier()
        or min(host.hashtags or 0, host.links or 0) < 0
    ):
        raise BadInput(f"{one_line(name)} has a limit that no description could keep; correct it")
    return host
