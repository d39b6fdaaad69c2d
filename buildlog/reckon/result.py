"""What fitting a worksheet gives: plain values that a page, a box or a program can show."""

from __future__ import annotations

from typing import Literal

from buildlog.document import Value


def moment(seconds: float) -> str:
    """A moment as viewers read it: 65 is "1:05", 3725 is "1:02:05"."""
    whole = max(0, int(seconds))
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


class Line(Value):
    """A figure. ``name`` is what it goes by in the sheet, ``label`` what to show it as.

    ``exact`` is the value in ``unit`` as a fraction, ``text`` as makers read it, ``how`` where from.
    """

    name: str
    label: str
    text: str
    exact: str | None
    unit: str | None
    origin: Literal["said", "typed", "assumed", "computed", "asked"]
    how: str
    start_s: float | None = None
    said: str = ""

    @property
    def whence(self) -> str:
        """Where it comes from: "said at 12:31", "typed in", "assumed", "asked at 0:40", or how it is worked out."""
        if self.origin == "computed" or self.start_s is None:
            return self.how
        return f"{self.how} at {moment(self.start_s)}" if self.origin in ("said", "asked") else self.how


class Part(Value):
    """A line of the cut list."""

    what: str
    count: int
    size: str


class Purchase(Value):
    """A line of the shopping list: what is needed, what to buy, and the step it was rounded up by."""

    what: str
    need: str
    buy: str
    step: str


class Question(Value):
    """An input that the words leave open, with the sentence it comes from."""

    name: str
    unit: str | None
    said: str
    start_s: float | None = None


class Book(Value):
    """A rule of the book that a sheet goes by. ``inputs`` are its inputs with their units: "strip_width (in)"."""

    name: str
    formula: str
    inputs: list[str]
    limits: str
    source: str


class Picture(Value):
    """A cutting layout as SVG text."""

    title: str
    svg: str


class Result(Value):
    """A worksheet with its inputs put in. ``asked`` is empty where everything is known."""

    id: str
    title: str
    figures: list[Line]
    cut_list: list[Part]
    shopping: list[Purchase]
    cost: list[str]
    assumptions: list[str]
    asked: list[Question]
    remarks: list[str]
    cautions: list[str]
    formulas: list[str]
    book: list[Book]
    pictures: list[Picture]
