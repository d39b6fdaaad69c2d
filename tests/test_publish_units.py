"""Amounts in both systems, against Pint and published conversions."""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.document import Measurement, Price
from buildlog.publish.units import UNITS, amount, amount_of, convert, known, money, number, price, size

registry = pint.UnitRegistry(non_int_type=Fraction)
BASE = {"length": "millimeter", "mass": "gram", "volume": "milliliter", "area": "millimeter ** 2"}


@pytest.mark.parametrize("name", [n for n in UNITS if not n.startswith("square_")])
def test_factors_are_pints(name: str) -> None:
    kind, _, size, _ = UNITS[name]
    theirs = registry.Quantity(Fraction(1), name).to(BASE[kind]).magnitude
    assert abs(Fraction(theirs) - size) < Fraction(1, 10**9)


def test_areas_are_squares_of_lengths() -> None:
    for name in ("inch", "foot", "yard", "centimeter", "meter"):
        assert UNITS[f"square_{name}"][2] == UNITS[name][2] ** 2


@pytest.mark.parametrize(
    ("value", "unit", "written"),
    [
        # NIST SP 811, appendix B.8: 1 in = 25.4 mm, 1 yd = 0.9144 m exactly; rounded as a maker would.
        ("5/8", "inch", "5/8 in (16 mm)"),  # usual metric counterpart of the garment seam: 1.5 to 1.6 cm
        ("1/4", "inch", "1/4 in (6.5 mm)"),
        ("29/8", "inch", "3 5/8 in (9.2 cm)"),
        ("14", "inch", "14 in (35.5 cm)"),
        ("9/2", "yard", "4 1/2 yd (4.1 m)"),
        ("3", "meter", "3 m (3 1/4 yd)"),
        ("40", "centimeter", "40 cm (15 3/4 in)"),
        ("350", "degree_Fahrenheit", "350°F (175°C)"),
        ("180", "degree_Celsius", "180°C (355°F)"),
        ("1", "pound", "1 lb (450 g)"),
        ("500", "gram", "500 g (1 1/8 lb)"),
        ("2", "cup", "2 cups (475 ml)"),
        ("8", "foot", "8 ft (2.45 m)"),
        ("12", None, "12"),
        ("10", "minute", "10 min"),
        ("2", "day", "2 days"),
        ("60", "percent", "60%"),
    ],
)
def test_written(value: str, unit: str | None, written: str) -> None:
    assert amount_of(Fraction(value), None, unit) == written


def test_ranges_abouts_and_first_choice() -> None:
    m = Measurement(id="m1", start_s=0, text="", value=2.0, value_max=3.0, unit="yard", approximate=True)
    assert amount(m) == "about 2 to 3 yd (1.75 to 2.75 m)"
    assert amount(m, "metric") == "about 1.75 to 2.75 m (2 to 3 yd)"
    assert amount_of(Fraction(40), None, "centimeter", units="metric") == "40 cm (15 3/4 in)"


def test_no_counterpart_where_it_would_be_a_lie() -> None:
    assert convert(Fraction(1, 10), Fraction(1, 10), "millimeter") is None
    assert convert(Fraction(0), Fraction(0), "inch") is None
    assert convert(Fraction(-3), Fraction(-3), "inch") is None
    assert convert(Fraction(5), Fraction(5), "stone_age") is None


@given(st.fractions(min_value=Fraction(1, 8), max_value=500, max_denominator=16), st.sampled_from(sorted(UNITS)))
def test_a_counterpart_is_never_far_off(value: Fraction, unit: str) -> None:
    made = convert(value, value, unit)
    if made is None:
        return
    theirs, ours = value * UNITS[unit][2], made.low * UNITS[made.unit][2]
    assert abs(ours - theirs) <= Fraction(6, 100) * theirs
    assert UNITS[made.unit][1] != UNITS[unit][1]
    # No false precision: at most four figures, and nothing finer than 1/32 inch or a tenth of a millimetre.
    assert len(number(made.low, made.unit).replace(".", "").replace(" ", "").lstrip("0")) <= 6


def test_numbers_as_written_by_hand() -> None:
    assert number(Fraction(7, 3), "inch") == "2 1/3"
    assert number(Fraction(1, 2)) == "1/2"
    assert number(Fraction(7, 10), "inch") == "0.7"
    assert number(Fraction(5, 2), "centimeter") == "2.5"
    assert number(Fraction(-1, 2)) == "-1/2"
    assert known("metre") == "meter"
    assert known("furlong") is None


def test_prices_in_words() -> None:
    assert price(Price(amount=4.5, currency="GBP")) == "£4.50"
    assert price(Price(amount=11, currency="GBP", per="metre")) == "£11 a metre"
    assert price(Price(amount=6, currency="GBP", per="20", approximate=True)) == "about £6 for 20"
    assert price(Price(amount=0.03, currency="USD", per="each")) == "3¢ each"
    assert price(Price(amount=12, currency="CHF", per="ounce")) == "12 CHF an ounce"
    assert money(1234.5, None) == "1,234.50"


def test_two_lengths_said_together_are_a_size() -> None:
    """By hand: 9 in are 22.86 cm, 10 in 25.4 cm, 30 cm 11.81 in; 4 cm 1.57 in; within a hundredth or, about, a
    twentieth."""
    a, b = (Measurement(id="m", start_s=0, text="x", value=v, unit="inch") for v in (9.0, 10.0))
    assert size(a, b) == "9 by 10 in (23 by 25.5 cm)"
    assert size(a, b, "metric") == "23 by 25.5 cm (9 by 10 in)"
    a.approximate = True
    assert size(a, b) == "about 9 by 10 in (23 by 25 cm)"
    c, d = (Measurement(id="m", start_s=0, text="x", value=v, unit="centimeter") for v in (30.0, 4.0))
    assert size(c, d) == "30 by 4 cm (11 3/4 by 1 9/16 in)"
    flat = Measurement(id="m", start_s=0, text="x", value=0.0, unit="inch")
    assert size(flat, flat) == "0 by 0 in"


@pytest.mark.parametrize(
    ("metres", "written"), [(2.0, "2 m (2 1/4 yd)"), (3.0, "3 m (3 1/4 yd)"), (2.6, "2.6 m (2 7/8 yd)")]
)
def test_cloth_is_never_bought_short(metres: float, written: str) -> None:
    """2 m are 2.19 yd, 2.6 m 2.84 yd (NIST SP 811, B.8): the next eighth above; 3 m are 3.28 yd, a hundredth over 3 1/4."""
    assert amount(Measurement(id="m", start_s=0, text="x", value=metres, unit="meter")) == written


@pytest.mark.parametrize(
    ("said", "written"), [(2.0, "2 cm (13/16 in)"), (0.5, "0.5 cm (3/16 in)"), (0.7, "0.7 cm (9/32 in)")]
)
def test_centimetres_are_not_thirty_seconds(said: float, written: str) -> None:
    """2 cm are 0.787 in; 0.7 cm are 0.276 in, for which a sixteenth is a tenth off."""
    assert amount(Measurement(id="m", start_s=0, text="x", value=said, unit="centimeter")) == written
