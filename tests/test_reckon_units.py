"""Units, typed amounts and how they are shown. Factors are held against Pint and against NIST's figures."""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest

from buildlog.errors import BadInput
from buildlog.reckon.parts import PartSize, parse_parts
from buildlog.reckon.shown import both, decimal, fraction, money, one
from buildlog.reckon.units import UNITS, Amount, canonical, parse_amount

PINT = pint.UnitRegistry(non_int_type=Fraction)
BASE = {"mm": "millimeter", "g": "gram", "s": "second", "A": "ampere"}


@pytest.mark.parametrize("name", UNITS)
def test_factor_against_pint(name: str) -> None:
    factor, dims, _ = UNITS[name]
    base = PINT.Unit("")
    for symbol, power in dims:
        base = base * PINT.Unit(BASE[symbol]) ** power
    pint_name = name.replace("square_", "") + " ** 2" if name in ("square_meter", "square_centimeter") else name
    assert PINT.Quantity(Fraction(1), pint_name).to(base).magnitude == factor


def test_factors_of_nist() -> None:
    """NIST SP 811, appendix B.8: yard 0.9144 m, inch 25.4 mm, pound 0.45359237 kg, all exact; gallon (US) 231 in³ =
    3.785412 l (NIST Handbook 44, appendix C)."""
    assert Amount.of(1, "yard").value("meter") == Fraction("0.9144")
    assert Amount.of(1, "inch").value("millimeter") == Fraction("25.4")
    assert Amount.of(1, "pound").value("kilogram") == Fraction("0.45359237")
    assert Amount.of(1, "gallon").value("cubic_inch") == 231
    assert float(Amount.of(1, "gallon").value("liter")) == pytest.approx(3.785412, abs=1e-6)


def test_a_board_foot_is_144_cubic_inches() -> None:
    """woodworkingadvice.com: 1 board foot = 144 cubic inches."""
    assert Amount.of(1, "board_foot").value("cubic_inch") == 144


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("5 1/8 in", Fraction(41, 8), "inch"),
        ("5-1/8in", Fraction(41, 8), "inch"),
        ('3/4"', Fraction(3, 4), "inch"),
        ("2½ yd", Fraction(5, 2), "yard"),
        ("¾ inches", Fraction(3, 4), "inch"),
        ("45cm", Fraction(45), "centimeter"),
        ("1.5 metres", Fraction(3, 2), "meter"),
        ("6'", Fraction(6), "foot"),
        (".25", Fraction(1, 4), None),
        ("11 GBP / meter", Fraction(11), "GBP / meter"),
        ("400 sq ft", Fraction(400), "square_foot"),
    ],
)
def test_amounts_as_typed(text: str, value: Fraction, unit: str | None) -> None:
    amount = parse_amount(text)
    assert (amount.value(), amount.unit) == (value, unit)


@pytest.mark.parametrize(
    "text", ["", "wide", "1/0 in", "1,5 cm", "3 furlongs", "9" * 40, "1e400", "5 1/8 1/4", "inf", "nan", "\x00"]
)
def test_what_is_no_amount_is_told_in_one_line(text: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse_amount(text)
    assert "\n" not in str(caught.value)
    assert ";" in str(caught.value)


def test_units_of_another_kind_do_not_mix() -> None:
    with pytest.raises(BadInput, match="cannot be added"):
        Amount.of(1, "inch") + Amount.of(1, "kilogram")
    with pytest.raises(BadInput, match="does not fit"):
        Amount.of(1, "inch").value("liter")
    with pytest.raises(BadInput, match="cannot be added"):
        Amount.of(1, "USD") + Amount.of(1, "GBP")
    with pytest.raises(BadInput, match="divides by zero"):
        Amount.of(1, "inch") / Amount.of(0)


def test_units_come_out_of_products() -> None:
    assert (Amount.of(3, "meter") * Amount.of(Fraction("1.2"), "GBP / meter")).value("GBP") == Fraction("3.6")
    assert (Amount.of(Fraction("1.5"), "volt") / Amount.of(20, "milliampere")).value("ohm") == 75


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (Fraction(29, 8), "inch", "3 5/8 in (9.2 cm)"),
        (Fraction(1, 3), "inch", "~5/16 in (8.5 mm)"),
        (Fraction(45), "centimeter", "45 cm (17 11/16 in)"),
        (Fraction(2), "yard", "2 yd (182.9 cm)"),
        (Fraction(5), None, "5"),
        (Fraction(0), "inch", "0 in (0 mm)"),
    ],
)
def test_shown_in_both_systems(value: Fraction, unit: str | None, shown: str) -> None:
    assert both(Amount.of(value, unit)) == shown


def test_no_false_precision_and_money_up() -> None:
    assert one(Fraction(1, 7), "meter") == "~0.14 m"
    assert money(Fraction("33.001"), "GBP") == "33.01 GBP"
    assert decimal(Fraction(5, 2), 0) == "3"
    assert fraction(Fraction(-7, 2)) == "-3 1/2"


def test_unit_names() -> None:
    assert {canonical(n) for n in ("in", "Inch", "inches", '"')} == {"inch"}
    with pytest.raises(BadInput):
        canonical("__class__")


def test_parts_as_typed() -> None:
    assert parse_parts("4 legs @ 33 1/4; 1 top @ 48 x 20 1/2 in") == [
        PartSize("legs", 4, Fraction(133, 4), None),
        PartSize("top", 1, Fraction(48), Fraction(41, 2)),
    ]
    assert parse_parts("1 @ 254 x 508 mm")[0] == PartSize("part", 1, Fraction(10), Fraction(20))


@pytest.mark.parametrize("text", ["", ";", "legs", "0 legs @ 3", "2 @ 0", "2 @ 3 x 4 x 5", "2 @ -3", "two @ 3"])
def test_bad_parts_are_told_in_one_line(text: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse_parts(text)
    assert "\n" not in str(caught.value)
