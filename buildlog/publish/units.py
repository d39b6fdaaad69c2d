"""Amounts in both systems of units, without a precision that nobody measured.

Factors are exact: 1 in = 25.4 mm, 1 lb = 453.59237 g (international yard and pound agreement, 1959; NIST Special
Publication 811, appendix B.8), 1 US gallon = 231 cubic inches (NIST Handbook 44, appendix C). Cups, pints and spoons
are the US ones, as Pint has them; the tests hold every factor against Pint.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from buildlog.document import Measurement, Price
from buildlog.publish.plain import clean

Units = Literal["as_said", "metric", "imperial"]

_GALLON = 231 * Fraction(254, 100) ** 3  # millilitres
# Pint's name: (kind, system, size in mm, g, ml or mm²; how it is written)
UNITS: dict[str, tuple[str, str, Fraction, str]] = {
    "inch": ("length", "imperial", Fraction(254, 10), "in"),
    "foot": ("length", "imperial", Fraction(3048, 10), "ft"),
    "yard": ("length", "imperial", Fraction(9144, 10), "yd"),
    "thou": ("length", "imperial", Fraction(254, 10_000), "thou"),
    "millimeter": ("length", "metric", Fraction(1), "mm"),
    "centimeter": ("length", "metric", Fraction(10), "cm"),
    "meter": ("length", "metric", Fraction(1000), "m"),
    "ounce": ("mass", "imperial", Fraction(45359237, 100_000) / 16, "oz"),
    "pound": ("mass", "imperial", Fraction(45359237, 100_000), "lb"),
    "gram": ("mass", "metric", Fraction(1), "g"),
    "kilogram": ("mass", "metric", Fraction(1000), "kg"),
    "teaspoon": ("volume", "imperial", _GALLON / 768, "tsp"),
    "tablespoon": ("volume", "imperial", _GALLON / 256, "tbsp"),
    "fluid_ounce": ("volume", "imperial", _GALLON / 128, "fl oz"),
    "cup": ("volume", "imperial", _GALLON / 16, "cup"),
    "pint": ("volume", "imperial", _GALLON / 8, "pt"),
    "quart": ("volume", "imperial", _GALLON / 4, "qt"),
    "gallon": ("volume", "imperial", _GALLON, "gal"),
    "milliliter": ("volume", "metric", Fraction(1), "ml"),
    "liter": ("volume", "metric", Fraction(1000), "l"),
    "square_inch": ("area", "imperial", Fraction(254, 10) ** 2, "sq in"),
    "square_foot": ("area", "imperial", Fraction(3048, 10) ** 2, "sq ft"),
    "square_yard": ("area", "imperial", Fraction(9144, 10) ** 2, "sq yd"),
    "square_centimeter": ("area", "metric", Fraction(100), "cm²"),
    "square_meter": ("area", "metric", Fraction(1_000_000), "m²"),
}
# Other names that Pint takes for the same units.
_ALSO = {
    "metre": "meter", "centimetre": "centimeter", "millimetre": "millimeter", "litre": "liter", "mil": "thou",
    "millilitre": "milliliter", "in": "inch", "ft": "foot", "yd": "yard", "mm": "millimeter", "cm": "centimeter",
    "m": "meter", "oz": "ounce", "lb": "pound", "g": "gram", "kg": "kilogram", "floz": "fluid_ounce",
    "inch ** 2": "square_inch", "foot ** 2": "square_foot", "yard ** 2": "square_yard", "meter ** 2": "square_meter",
    "centimeter ** 2": "square_centimeter",
}  # fmt: skip
_WRITTEN = {
    "degree_Fahrenheit": "°F", "degree_Celsius": "°C", "degF": "°F", "degC": "°C", "degree": "°", "percent": "%",
    "second": "s", "minute": "min", "hour": "h", "volt": "V", "ampere": "A", "milliampere": "mA", "ohm": "ohm",
    "kiloohm": "kohm", "watt": "W", "psi": "psi", "revolutions_per_minute": "rpm", "rpm": "rpm", "hertz": "Hz",
}  # fmt: skip
# What to convert to: the first unit in which the amount is at least so many; steps are fractions of that unit.
_TO: dict[tuple[str, str], list[tuple[str, str, str]]] = {
    ("length", "metric"): [
        ("meter", "2", "1/2 1/4 1/10 1/20 1/100"),
        ("centimeter", "4", "10 5 1 1/2 1/10"),
        ("millimeter", "10", "5 1"),
        ("millimeter", "3", "1 1/2"),
        ("millimeter", "0", "1 1/2 1/10"),
    ],
    ("length", "imperial"): [("yard", "2", "1 1/2 1/4 1/8"), ("inch", "0", "1 1/2 1/4 1/8 1/16 1/32")],
    ("mass", "metric"): [("kilogram", "1", "1/2 1/4 1/10 1/20"), ("gram", "0", "50 25 10 5 1")],
    ("mass", "imperial"): [("pound", "1", "1 1/2 1/4 1/8"), ("ounce", "0", "1 1/2 1/4 1/8")],
    ("volume", "metric"): [("liter", "1", "1/2 1/4 1/10 1/20"), ("milliliter", "0", "50 25 10 5 1 1/2")],
    ("volume", "imperial"): [
        ("gallon", "1", "1/2 1/4 1/8"),
        ("fluid_ounce", "1", "1 1/2 1/4"),
        ("teaspoon", "0", "1 1/2 1/4"),
    ],
    ("area", "metric"): [
        ("square_meter", "1/2", "1/2 1/4 1/10 1/20 1/100"),
        ("square_centimeter", "0", "100 50 10 5 1"),
    ],
    ("area", "imperial"): [
        ("square_yard", "1", "1 1/2 1/4 1/8"),
        ("square_foot", "1", "1 1/2 1/4"),
        ("square_inch", "0", "5 1 1/2"),
    ],
}
# How far the rounded figure may be off, as a share of the amount: nobody cuts a carcase to a hundredth, and an "about"
# is rounder still. Common practice, no source. Beyond _WORST no converted figure is given at all.
_OFF, _OFF_ABOUT, _WORST = Fraction(1, 100), Fraction(1, 20), Fraction(6, 100)
# Cloth is bought by the yard or the metre and nobody measures it off to a centimetre: "1 1/2 yd (140 cm)".
_OFF_BY_UNIT = {"yard": Fraction(1, 40), "meter": Fraction(1, 40)}


@dataclass(frozen=True)
class Converted:
    """An amount in another unit, rounded: ``low`` to ``high`` (equal where it is no range)."""

    unit: str
    low: Fraction
    high: Fraction


def known(unit: str | None) -> str | None:
    """The unit's name as in :data:`UNITS`, or ``None`` where it is no unit that has a counterpart."""
    if unit is None:
        return None
    name = _ALSO.get(unit, unit)
    return name if name in UNITS else None


def exact_value(m: Measurement) -> Fraction:
    """The amount as an exact fraction."""
    if m.exact:
        try:
            return Fraction(m.exact)
        except (ValueError, ZeroDivisionError):
            pass
    return Fraction(repr(m.value)) if abs(m.value) < 1e15 else Fraction(int(m.value))


def _upper(m: Measurement) -> Fraction | None:
    return None if m.value_max is None else Fraction(m.value_max).limit_denominator(1000)


def convert(low: Fraction, high: Fraction, unit: str, *, about: bool = False) -> Converted | None:
    """The amount in the other system; ``None`` where there is none or it cannot be said honestly."""
    if unit in ("degree_Fahrenheit", "degF", "degree_Celsius", "degC"):
        return _degrees(low, high, unit)
    name = known(unit)
    if name is None or low <= 0 or high < low:
        return None
    kind, system, size, _ = UNITS[name]
    other = "imperial" if system == "metric" else "metric"
    off = _OFF_ABOUT if about else _OFF_BY_UNIT.get(name, _OFF)
    for to, least, steps in _TO[kind, other]:
        if high * size / UNITS[to][2] < Fraction(least):
            continue
        fractions = [Fraction(s) for s in steps.split()]
        done = [_rounded(v * size / UNITS[to][2], fractions, off, up=to == "yard") for v in (low, high)]
        if name == "centimeter" and to == "inch":
            # Who says centimetres does not mean thirty-seconds, where a sixteenth is near enough.
            coarse = [_rounded(v * size / UNITS[to][2], fractions[:-1], off) for v in (low, high)]
            done = done if None in coarse else coarse
        if any(d is None for d in done):
            return None
        return Converted(to, done[0] or Fraction(0), done[1] or Fraction(0))
    return None


def _rounded(value: Fraction, steps: Sequence[Fraction], off: Fraction, *, up: bool = False) -> Fraction | None:
    """``value`` to the coarsest step that is near enough, else the finest; ``None`` where even that is far off.

    ``up`` goes to the next one above where none is near: who buys too little cloth has to go again.
    """
    near = value
    for step in steps:
        near = round(value / step) * step
        if near > 0 and abs(near - value) <= off * value:
            return near
    if up:
        near = math.ceil(value / steps[-1]) * steps[-1]
    return near if near > 0 and abs(near - value) <= _WORST * value else None


def _degrees(low: Fraction, high: Fraction, unit: str) -> Converted:
    """Oven and iron dials are marked in fives or tens: to the nearest five."""
    to_c = unit in ("degree_Fahrenheit", "degF")
    out = [(v - 32) * 5 / 9 if to_c else v * 9 / 5 + 32 for v in (low, high)]
    five = [Fraction(round(v / 5) * 5) for v in out]
    return Converted("degree_Celsius" if to_c else "degree_Fahrenheit", five[0], five[1])


def short(unit: str | None) -> str | None:
    """How a unit is written behind a figure ("in", "W"), ``None`` where it has no short form."""
    name = known(unit)
    return UNITS[name][3] if name is not None else _WRITTEN.get(unit or "")


def number(value: Fraction, unit: str | None = None) -> str:
    """A number as a maker writes it: mixed fractions for imperial amounts and counts, decimals for metric ones."""
    metric = unit in UNITS and UNITS[unit][1] == "metric"
    if value.denominator == 1:
        return str(value.numerator)
    if not metric and value.denominator in (2, 3, 4, 5, 6, 8, 10, 12, 16, 32, 64) and value.denominator % 5:
        sign, value = ("-", -value) if value < 0 else ("", value)
        whole, rest = divmod(value.numerator, value.denominator)
        return f"{sign}{f'{whole} ' if whole else ''}{rest}/{value.denominator}"
    return (
        f"{float(value):.3f}".rstrip("0").rstrip(".")
        if abs(value) < 1
        else f"{float(value):.2f}".rstrip("0").rstrip(".")
    )


def _with_unit(low: Fraction, high: Fraction, unit: str | None) -> str:
    name = known(unit)
    value = number(low, name) if low == high else f"{number(low, name)} to {number(high, name)}"
    if unit is None:
        return value
    if name is not None:
        written = UNITS[name][3]
        return f"{value} {'cups' if written == 'cup' and high > 1 else written}"
    written = _WRITTEN.get(unit, clean(unit).replace("_", " "))
    if written in ("°", "°F", "°C", "%"):
        return value + written
    if unit in ("day", "week", "month", "year", "night") and not low == high == 1:
        written += "s"
    return f"{value} {written}"


def amount(m: Measurement, units: Units = "as_said") -> str:
    """A measurement in both systems, the maker's choice first: "3 5/8 in (92 mm)"."""
    return amount_of(exact_value(m), _upper(m), m.unit, about=m.approximate, units=units)


def size(m: Measurement, by: Measurement, units: Units = "as_said") -> str:
    """Two lengths in one unit as a size in both systems: "9 by 10 in (23 by 25 cm)"."""
    about = m.approximate or by.approximate
    sides = [exact_value(m), exact_value(by)]
    said = _by(sides, m.unit)
    other = [None if m.unit is None else convert(v, v, m.unit, about=about) for v in sides]
    prefix = "about " if about else ""
    known_sides = [o for o in other if o is not None]
    if len(known_sides) < 2:
        return prefix + said
    # Both sides in the unit of the longer: "30 by 4 cm", not "30 cm by 40 mm".
    unit = max(known_sides, key=lambda o: o.low * UNITS[o.unit][2]).unit
    counterpart = _by([o.low * UNITS[o.unit][2] / UNITS[unit][2] for o in known_sides], unit)
    first, second = (said, counterpart) if units in ("as_said", system_of(m.unit)) else (counterpart, said)
    return f"{prefix}{first} ({second})"


def _by(sides: Sequence[Fraction], unit: str | None) -> str:
    return f"{number(sides[0], known(unit))} by {_with_unit(sides[1], sides[1], unit)}"


@functools.lru_cache(maxsize=4096)
def amount_of(
    low: Fraction, upper: Fraction | None, unit: str | None, *, about: bool = False, units: Units = "as_said"
) -> str:
    """As :func:`amount`, of plain values; ``upper`` is the end of a range or ``None``."""
    high = low if upper is None else max(low, upper)
    said = _with_unit(low, high, unit)
    prefix = "about " if about else ""
    other = None if unit is None else convert(low, high, unit, about=about)
    if other is None:
        return prefix + said
    counterpart = _with_unit(other.low, other.high, other.unit)
    first_said = units == "as_said" or system_of(unit) == units
    first, second = (said, counterpart) if first_said else (counterpart, said)
    return f"{prefix}{first} ({second})"


def kind_of(unit: str | None) -> str | None:
    """ "length", "mass", "volume" or "area"; ``None`` for any other unit."""
    name = known(unit)
    return None if name is None else UNITS[name][0]


def system_of(unit: str | None) -> str | None:
    """ "metric", "imperial", or ``None`` for a unit of neither."""
    if unit in ("degree_Fahrenheit", "degF"):
        return "imperial"
    if unit in ("degree_Celsius", "degC"):
        return "metric"
    name = known(unit)
    return None if name is None else UNITS[name][1]


_SIGNS = {"GBP": "£", "USD": "$", "EUR": "€", "AUD": "A$", "CAD": "C$", "NZD": "NZ$", "INR": "₹", "JPY": "¥"}


def money(value: float, currency: str | None) -> str:
    """ "£4.50", "12 CHF", "4.50"; whole amounts without pence."""
    small = {"GBP": "p", "USD": "¢", "EUR": "c"}.get(currency or "")
    if small and 0 < value < 1:
        return f"{round(value * 100, 2):g}{small}"
    figure = f"{value:,.0f}" if float(value).is_integer() else f"{value:,.2f}"
    if currency is None:
        return figure
    sign = _SIGNS.get(currency)
    return f"{sign}{figure}" if sign else f"{figure} {clean(currency)}"


def price(p: Price) -> str:
    """ "about £11 a metre", "$4 each", "£6 for 20"."""
    text = ("about " if p.approximate else "") + money(p.amount, p.currency)
    per = clean(p.per or "")
    if not per:
        return text
    if per == "each":
        return f"{text} each"
    if per in ("lot", "whole lot"):
        return f"{text} for the lot"
    if per[:1].isdigit():
        return f"{text} for {per}"
    return f"{text} {'an' if per[:1].lower() in 'aeiou' else 'a'} {per}"
