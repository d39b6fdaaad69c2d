"""The archive: every build, what was read from its recordings, and the maker's edits, in one SQLite file."""

from buildlog.archive.archive import Archive, OnChange
from buildlog.archive.book import WORD_KINDS
from buildlog.archive.cut import Clip, Cut, Spot
from buildlog.archive.readings import key_of
from buildlog.archive.records import (
    BookLink,
    Build,
    Changes,
    EditRecord,
    Owed,
    OwnWord,
    Part,
    PartState,
    Reading,
    Recording,
)

__all__ = [
    "WORD_KINDS",
    "Archive",
    "BookLink",
    "Build",
    "Changes",
    "Clip",
    "Cut",
    "EditRecord",
    "OnChange",
    "Owed",
    "OwnWord",
    "Part",
    "PartState",
    "Reading",
    "Recording",
    "Spot",
    "key_of",
]
