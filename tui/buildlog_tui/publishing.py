"""The description box and its check list, from :mod:`buildlog.publish`."""

from __future__ import annotations

from typing import NamedTuple

from buildlog.document import Log
from buildlog_tui.desk import Desk
from buildlog_tui.text import hms

LIMIT_BYTES = 5000


class Boxed(NamedTuple):
    """The text as it will be posted, the bytes it may have and has, and what was left out to make it fit."""

    text: str
    limit: int
    used: int
    cut: list[str]


class Found(NamedTuple):
    """One line of the check list. ``stops``: the part should not be posted like this."""

    text: str
    stops: bool
    start_s: float | None = None


def box(desk: Desk) -> Boxed:
    """The description box of the part as it is now."""
    text = _plain(desk.log)
    return Boxed(text, LIMIT_BYTES, len(text.encode()), [])


def check(desk: Desk) -> list[Found]:
    """What stops the part from being posted, and what is worth a look."""
    log = desk.log
    found = [Found(f"Link still owed: {x.what}", True, x.start_s) for x in log.links_owed if not x.url and not x.waived]
    if len(log.chapters) < 3:
        found.append(Found("Fewer than three chapters: the host shows none", True))
    elif log.chapters[0].start_s > 0:
        found.append(Found("The first chapter has to begin at 0:00", True, log.chapters[0].start_s))
    for a, b in zip(log.chapters, log.chapters[1:], strict=False):
        if b.start_s - a.start_s < 10:
            found.append(Found(f"Chapter “{a.title}” is shorter than 10 seconds", True, a.start_s))
    found += [Found(c.text, False, c.start_s) for c in log.checks]
    return found


def _plain(log: Log) -> str:
    rows = [f"{hms(c.start_s)} {c.title}" for c in log.chapters]
    for kind, title in (("material", "Materials"), ("tool", "Tools")):
        used = [i for i in log.items if i.kind == kind and i.status == "used"]
        if used:
            rows += ["", title, *(f"- {i.name}" + (f": {i.link}" if i.link else "") for i in used)]
    return "\n".join(rows)
