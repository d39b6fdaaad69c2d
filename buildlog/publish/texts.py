"""The description box and its shorter sisters as formats."""

from __future__ import annotations

from buildlog.publish.box import box_of
from buildlog.publish.formats import Part


def box_text(part: Part) -> str:
    """The description box."""
    return box_of(part.sheet, part.host, part.settings).text


def short_text(part: Part) -> str:
    """A short description."""
    return box_of(part.sheet, part.host, part.settings, "short").text


def pinned_text(part: Part) -> str:
    """A comment to pin: links, what was put right, what comes next."""
    return box_of(part.sheet, part.host, part.settings, "pinned").text
