"""Units against NIST Special Publication 811 (2008), appendix B.8, factors quoted from memory.

Boldface factors there are exact: inch, foot, yard (1959 agreement), avoirdupois ounce and pound, Fahrenheit. The US
liquid measures are printed rounded to seven digits, and compared so.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from buildlog.errors import BadInput
from buildlog.tag import amounts
from buildlog.tag.amounts.convert import convert, registry, to_unit
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.language import english
from buildlog.tag.timed import doc_of


@pytest.mark.parametrize(
    ("unit", "into", "factor"),
    [
        ("inch", "meter", "0.0254"),
        ("foot", "meter", "0.3048"),
        ("yard", "meter", "0.9144"),
        ("thou", "meter", "0.0000254"),
        ("pound", "kilogram", "0.45359237"),
        ("minute", "second", "60"),
        ("hour", "second", "3600"),
        ("day", "second", "86400"),
    ],
)
def test_exact_factors(unit: str, into: str, factor: str) -> None:
    assert convert(Fraction(1), unit, into) == Fraction(factor)


@pytest.mark.parametrize(
    ("unit", "factor"),
    [
        ("ounce", ("kilogram", 2.834952e-2)),
        ("gallon", ("meter**3", 3.785412e-3)),
        ("quart", ("meter**3", 9.463529e-4)),
        ("pint", ("meter**3", 4.731765e-4)),
        ("cup", ("meter**3", 2.365882e-4)),
        ("fluid_ounce", ("meter**3", 2.957353e-5)),
        ("tablespoon", ("meter**3", 1.478676e-5)),
        ("teaspoon", ("meter**3", 4.928922e-6)),
        ("degree", ("radian", 1.745329e-2)),
    ],
)
def test_printed_factors(unit: str, factor: tuple[str, float]) -> None:
    into, value = factor
    assert float(convert(Fraction(1), unit, into)) == pytest.approx(value, rel=5e-7)


def test_fahrenheit() -> None:
    # t/°C = (t/°F - 32) / 1.8
    assert float(convert(Fraction(350), "degree_Fahrenheit", "degree_Celsius")) == pytest.approx(176.6667, abs=1e-4)


def test_pint_knows_every_unit_of_ours() -> None:
    names = {u.name for u in (*lexis().units.values(), *lexis().short_units.values())} | set(lexis().scales.values())
    unknown = [name for name in sorted(names) if name not in registry()]
    assert unknown == []


def test_said_amounts_convert_exactly() -> None:
    (got,) = amounts.read(doc_of("three and five eighths inches", english().tokenizer))
    assert to_unit(got, "millimeter") == (Fraction("92.075"), None)
    (wide,) = amounts.read(doc_of("two to three yards", english().tokenizer))
    assert to_unit(wide, "inch") == (72, 108)


def test_counts_and_strangers_are_refused() -> None:
    (count,) = amounts.read(doc_of("six strips", english().tokenizer))
    with pytest.raises(BadInput, match="no unit"):
        to_unit(count, "inch")
    with pytest.raises(BadInput, match="inch in gram"):
        convert(Fraction(1), "inch", "gram")
