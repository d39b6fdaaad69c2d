"""Numbers that count or measure something named elsewhere, and numbers that are none. Values by hand, unless said otherwise.

The sentences were made up for the phenomena; what each should give follows ``tests/narrations/README.md``, Measurements.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from buildlog.tag.amounts import read
from buildlog.tag.language import english
from buildlog.tag.timed import doc_of


def amounts(said: str) -> list[tuple[float, str | None]]:
    """(value, unit) of the measurements in ``said``, on the rules alone."""
    return [(float(a.value), a.unit) for a in read(doc_of(said, english().tokenizer)) if a.measured]


@pytest.mark.parametrize(
    ("said", "want"),
    [
        ("the stitches go in at eight to the inch", [8]),
        ("rivets, fourteen a side", [14]),
        ("toggles, six of 'em, down the front", [6]),
        ("Buttons: eight, brass", [8]),
        ("knit two, purl two, and chain three", [2, 2, 3]),
        ("lay the tiles out six across and eight down", [6, 8]),
        ("drill nine holes and work till you have three left", [9, 3]),
        ("split the cane in four.", [4]),
        ("sanded 150 then 220 wipe it", [150, 220]),
        ("Do that three times on the other side", [3]),
    ],
)
def test_counts_of_what_is_named_elsewhere(said: str, want: list[float]) -> None:
    assert [v for v, unit in amounts(said) if unit is None] == want


@pytest.mark.parametrize(
    ("said", "want"),
    [
        ("the slots are 3 8 of an inch", [(0.375, "inch")]),
        ("a rabbet an inch long and 3 8 wide", [(1, "inch"), (0.375, "inch")]),
        ("seven inches, then 7 and 3 4 for the next", [(7, "inch"), (7.75, "inch")]),
        ("leave an inch and an 8th at the heel", [(1.125, "inch")]),
        ("from twenty millimetres at the top to sixteen at the foot", [(20, "millimeter"), (16, "millimeter")]),
        ("a panel a metre by eighty-five", [(1, "meter"), (85, "centimeter")]),
        ("let it dry for an hour and ten minutes", [(70, "minute")]),
        ("one kilo two hundred of clay", [(1.2, "kilogram")]),
        ("turn it an inch and then another inch", [(1, "inch"), (1, "inch")]),
        ("holes an inch and a quarter apart", [(1.25, "inch")]),
        ("the twist is one turn over four inches", [(4, "inch")]),
        ("a groove a quarter deep", [(0.25, "inch")]),
        ("within a twentieth of a millimetre", [(0.05, "millimeter")]),
        ("it's point 3 5 millimetres", [(0.35, "millimeter")]),
        ("prove it two hours 30 with the lid on", [(150, "minute")]),
        ("ten inches times twelve", [(10, "inch")]),
        ("print it at a hundred and thirty percent", [(130, "percent")]),
    ],
)
def test_units_said_for_a_neighbour_and_written_by_ear(said: str, want: list[tuple[float, str]]) -> None:
    assert amounts(said) == want


@pytest.mark.parametrize(
    "said",
    [
        "she's five foot one and I'm taller",
        "it's thirty-four degrees in here today",
        "the cloth was twelve ninety-nine a yard",
        "I found it at a yard sale",
        "it was two in the morning",
        "he'd done about four hundred of these",
        "these willows are five-footers",
        "the handle is three quarters of the blade",
        "check it with a meter",
    ],
)
def test_numbers_that_are_no_amounts_of_the_work(said: str) -> None:
    assert amounts(said) == []


def test_what_a_sum_adds_is_measured_where_it_is_a_length() -> None:
    assert amounts("it's her wrist plus two inches.") == [(2, "inch")]
    assert amounts("it's four times that plus two.") == []


def test_a_metric_forge_is_hot_in_celsius() -> None:
    got = read(doc_of("a bar ten millimetres wide, heated to nine hundred and fifty degrees", english().tokenizer))
    assert [(a.value, a.unit) for a in got] == [(Fraction(10), "millimeter"), (Fraction(950), "degree_Celsius")]
