"""What a correction has to ask before it is made. The bench shows them as strips, plain mode as prompts."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, field
from typing import Any

from buildlog.edits import AnyEdit


@dataclass(frozen=True, slots=True)
class Choice:
    """One key out of a few. ``options``: (key, label, value)."""

    title: str
    options: tuple[tuple[str, str, Any], ...]


@dataclass(frozen=True, slots=True)
class Text:
    """A line of text. ``value`` stands in it at the start; ``hint`` says what may be typed.

    With ``anew`` the first letter typed takes the place of ``value``.
    """

    title: str
    value: str = ""
    hint: str = ""
    anew: bool = False


@dataclass(frozen=True, slots=True)
class Pick:
    """One out of many, found by typing. ``options``: (label, value); with ``free`` other words may be typed."""

    title: str
    options: tuple[tuple[str, Any], ...] = field(default=())
    free: bool = False


Question = Choice | Text | Pick
# Yields questions, is sent the answers, returns the change to make (None: nothing to do).
Flow = Generator[Question, Any, AnyEdit | None]
