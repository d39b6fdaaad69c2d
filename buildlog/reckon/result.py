"""What fitting a worksheet gives: plain values that a page, a box or a program can show."""

from __future__ import annotations

from typing import Literal

from buildlog.document import Value


class Line(Value):
    """A figure. ``exact`` is the value in ``unit`` as a fraction, ``text`` as makers read it, ``how`` where from."""

    name: str
    text: str
    exact: str | None
    unit: str | None
    origin: Literal["said", "typed", "assumed", "computed", "asked"]
    how: str
    start_s: float | None = None
    said: str = ""


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
    pictures: list[Picture]
