"""Amounts and prices as typed. Exact factors are Pint's; what is checked here is only how typing is read."""

from __future__ import annotations

import pytest

from buildlog.edits.typed import amount_from, price_from
from buildlog.errors import BadInput


@pytest.mark.parametrize(
    ("typed", "exact", "upper", "unit", "about"),
    [
        ("1 1/2 yards", "3/2", None, "yard", False),
        ("3/8 in", "3/8", None, "inch", False),
        ('2½"', "5/2", None, "inch", False),
        ("5-6 cm", "5", 6.0, "centimeter", False),
        ("5 to 6 g", "5", 6.0, "gram", False),
        ("about 3 mm", "3", None, "millimeter", True),
        ("12", "12", None, None, False),
        ("200 C", "200", None, "degree_Celsius", False),
        (".5 m", "1/2", None, "meter", False),
    ],
)
def test_amounts(typed: str, exact: str, upper: float | None, unit: str | None, about: bool) -> None:
    got = amount_from(typed)
    assert (got.exact, got.value_max, got.unit, got.approximate) == (exact, upper, unit, about)


@pytest.mark.parametrize(
    "typed", ["", "lots", "1/0 in", "6-5 cm", "3 bananas", "3 m/s", "2 (m", '3 __import__("os")', "m"]
)
def test_what_is_no_amount_is_said_so(typed: str) -> None:
    with pytest.raises(BadInput, match="type"):
        amount_from(typed)


def test_prices() -> None:
    one, two, three = price_from("4.50 GBP"), price_from("about $12 a yard"), price_from("3 each")
    assert one is not None
    assert (one.amount, one.currency, one.per) == (4.5, "GBP", None)
    assert two is not None
    assert (two.amount, two.currency, two.per, two.approximate) == (12.0, "USD", "yard", True)
    assert three is not None
    assert (three.currency, three.per) == (None, "each")
    assert price_from("  ") is None
    with pytest.raises(BadInput, match="for example"):
        price_from("cheap")
