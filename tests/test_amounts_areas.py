"""Areas, coverage, measures of the body, and numbers beside "one". Values are those of the words."""

from __future__ import annotations

import pytest

from buildlog.reckon.units import unit_of
from buildlog.tag import amounts
from buildlog.tag.amounts.convert import registry
from buildlog.tag.language import english
from buildlog.tag.timed import doc_of


def said(text: str) -> list[tuple[float, str | None, str | None]]:
    nlp = english()
    doc = doc_of(text, nlp.tokenizer)
    for _, pipe in nlp.pipeline:
        doc = pipe(doc)
    return [(float(a.value), a.unit, a.of) for a in amounts.read(doc) if a.measured]


@pytest.mark.parametrize(
    ("text", "want"),
    [
        ("The wall is twenty square metres.", [(20.0, "meter ** 2", "wall")]),
        ("There are ten square feet of backing.", [(10.0, "square_foot", "backing")]),
        ("A litre covers ten square metres.", [(10.0, "meter ** 2 / liter", "coverage")]),
        (
            "That paint does three hundred and fifty square feet a gallon.",
            [(350.0, "square_foot / gallon", "coverage")],
        ),
        ("You get twelve square metres per litre out of it.", [(12.0, "meter ** 2 / liter", "coverage")]),
        ("The quilt has twenty square blocks.", [(20.0, None, "square blocks")]),
    ],
)
def test_areas_and_coverage(text: str, want: list[tuple[float, str, str]]) -> None:
    assert said(text) == want
    for _, unit, _ in want:
        if unit is not None:
            assert registry().Unit(unit) is not None
            assert unit_of(unit)


@pytest.mark.parametrize(
    ("text", "want"),
    [
        ("Waist 34, hip 38.", [(34.0, "inch", "waist"), (38.0, "inch", "hip")]),
        ("Her bust measures ninety-two.", [(92.0, "centimeter", "bust")]),
        ("I sewed two waist ties.", [(2.0, None, "waist ties")]),
    ],
)
def test_measures_of_the_body(text: str, want: list[tuple[float, str | None, str]]) -> None:
    assert said(text) == want


def test_one_that_stands_for_a_thing_is_no_number() -> None:
    got = said("I cut the first one two inches long and the other one half an inch.")
    assert [(value, unit) for value, unit, _ in got] == [(2.0, "inch"), (0.5, "inch")]


def test_a_compound_is_counted_whole() -> None:
    assert said("I made three drawer sides.") == [(3.0, None, "drawer sides")]
