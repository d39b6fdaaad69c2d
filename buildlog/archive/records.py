"""What the archive gives back: plain values of its rows."""

from __future__ import annotations

from typing import Any, Literal

import msgspec

from buildlog.archive.cut import Cut
from buildlog.document import Log, Price
from buildlog.edits import AnyEdit, Unplaced


class Build(msgspec.Struct, frozen=True, kw_only=True):
    """One thing being made."""

    id: int
    name: str
    made_at: str


class Part(msgspec.Struct, frozen=True, kw_only=True):
    """One video of a build. ``posted_on`` is an ISO date; ``host`` and ``host_settings`` are publishing's own."""

    id: int
    build_id: int
    build: str
    number: int
    title: str | None = None
    video_url: str | None = None
    posted_on: str | None = None
    host: str | None = None
    host_settings: dict[str, Any] = {}
    made_at: str = ""

    @property
    def label(self) -> str:
        """The build's name and the part's number, as shown to the maker."""
        return f"{self.build}, part {self.number}"


class Recording(msgspec.Struct, frozen=True, kw_only=True):
    """One file: a media file or a transcript. ``facts`` is what was found on probing it."""

    id: int
    path: str
    sha256: str
    duration_s: float
    facts: dict[str, Any] = {}
    made_at: str = ""


class Reading(msgspec.Struct, frozen=True, kw_only=True):
    """The result of one stage on one recording. ``key`` is the hash of what went in and its settings."""

    id: int
    recording_id: int
    stage: str
    key: str
    made_at: str


class EditRecord(msgspec.Struct, frozen=True, kw_only=True):
    """One line of a part's history. ``about`` is the edit that an undo or redo is about; else ``edit`` is set.

    ``in_effect`` says whether the edit is applied now (of an undo or redo: always true).
    """

    id: int
    act: Literal["edit", "undo", "redo"]
    made_at: str
    edit: AnyEdit | None = None
    about: int | None = None
    in_effect: bool = True


class PartState(msgspec.Struct, frozen=True, kw_only=True):
    """A part's log with the edits on it, and those that need a look."""

    log: Log
    unplaced: tuple[Unplaced, ...]
    can_undo: bool
    can_redo: bool


class Changes(msgspec.Struct, frozen=True, kw_only=True):
    """What changed since a token. ``parts``: whose log changed; ``other``: builds, links, words or settings did.

    ``all`` means that it is too long ago to tell: take everything as changed.
    """

    token: int
    parts: frozenset[int]
    other: bool
    all: bool = False

    def __bool__(self) -> bool:
        return bool(self.parts) or self.other or self.all


class BookLink(msgspec.Struct, frozen=True, kw_only=True):
    """One entry of the link book. ``answered`` is whether the URL answered when it was last asked.

    ``learned_in`` is the label of the part in which it was attached, where the book learned it by itself.
    """

    id: int
    thing: str
    url: str
    price: Price | None = None
    shop: str | None = None
    pays_maker: bool = False
    checked_at: str | None = None
    answered: bool | None = None
    alternatives: list[str] = []
    made_at: str = ""
    learned_in: str | None = None


class OwnWord(msgspec.Struct, frozen=True, kw_only=True):
    """A craft word of the maker's own: ``kind`` is an item's kind, "technique", "piece" or "not_a_thing"."""

    term: str
    kind: str
    aliases: list[str] = []
    craft: str | None = None


class Owed(msgspec.Struct, frozen=True, kw_only=True):
    """What a part still owes its viewers: texts with the second they were said at."""

    links: list[tuple[float, str]]
    promises: list[tuple[float, str]]
    checks: list[tuple[float, str]]
    needs_look: list[str]

    @property
    def count(self) -> int:
        """How many points are open."""
        return len(self.links) + len(self.promises) + len(self.checks) + len(self.needs_look)


__all__ = [
    "BookLink", "Build", "Changes", "Cut", "EditRecord", "Owed", "OwnWord", "Part", "PartState", "Reading", "Recording",
]  # fmt: skip
