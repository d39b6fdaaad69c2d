"""Errors that a maker can do something about.

Every error that reaches the command line is a :class:`BuildlogError`: one sentence that says what is
wrong and, in the same line, what to do next. Anything else is a defect of ours.
"""

from __future__ import annotations


class BuildlogError(Exception):
    """Something went wrong that the maker can put right.

    ``str(error)`` is a single line: what is wrong, then what to do. ``exit_code`` is what the command
    line leaves with.
    """

    exit_code = 2


class BadInput(BuildlogError):
    """The file or text given cannot be read as what it should be."""


class MissingModel(BuildlogError):
    """Weights are absent or damaged; the message names the command that mends it."""


class ArchiveError(BuildlogError):
    """The archive cannot be opened, is read-only, damaged, or from a newer version."""


class NotFound(BuildlogError):
    """The build, part, recording or item named does not exist in this archive."""


class Interrupted(BuildlogError):
    """The maker stopped the work; what was finished is kept."""

    exit_code = 130


def one_line(text: object, limit: int = 300) -> str:
    """``text`` with control characters shown as escapes, on one line, cut to ``limit`` characters.

    For putting file names and other outside text into messages.
    """
    shown = "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in str(text))
    return shown if len(shown) <= limit else shown[: limit - 1] + "…"
