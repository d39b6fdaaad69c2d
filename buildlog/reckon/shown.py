"""Amounts as makers read them: eighths and sixteenths, decimals for metric, both side by side, no false precision.

Everything is rounded here and only here, once, from the exact value. A "~" before a number says it was rounded.
"""

from __future__ import annotations

import math
from fractions import Fraction

from buildlog.reckon.units import AREA, LENGTH, MASS, UNITS, VOLUME, Amount, written

# unit: finest step shown
_STEPS = {
    "inch": Fraction(1, 16),
    "foot": Fraction(1, 16),
    "yard": Fraction(1, 8),
    "thou": Fraction(1),
    "millimeter": Fraction(1, 10),
    "centimeter": Fraction(1, 10),
    "meter": Fraction(1, 100),
    "milliampere": Fraction(1, 10),
    "board_foot": Fraction(1, 100),
    "square_centimeter": Fraction(1),
    "square_inch": Fraction(1, 4),
    "milliliter": Fraction(1),
    "gram": Fraction(1),
    "ohm": Fraction(1, 10),
}
_FRACTIONS = {"inch", "foot", "yard"}
_METRIC = {"millimeter", "centimeter", "meter"}


def fraction(value: Fraction) -> str:
    """``value`` as a maker writes it: "3 5/8", "1/2", "18"; the value must be a sum of simple fractions already."""
    sign, value = ("-" if value < 0 else ""), abs(value)
    whole, rest = divmod(value, 1)
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"


def decimal(value: Fraction, places: int = 2) -> str:
    """``value`` with at most ``places`` decimals, without trailing zeros, halves away from zero."""
    scaled = abs(value) * 10**places
    whole = math.floor(scaled + Fraction(1, 2))
    text = f"{whole // 10**places}.{whole % 10**places:0{places}}".rstrip("0").rstrip(".") if places else str(whole)
    return ("-" if value < 0 and whole else "") + text


def rounded(value: Fraction, step: Fraction) -> Fraction:
    """``value`` to the nearest multiple of ``step``."""
    return math.floor(value / step + Fraction(1, 2)) * step


def up(value: Fraction, step: Fraction) -> Fraction:
    """``value`` up to the next multiple of ``step``: what a shop sells is never too little."""
    return math.ceil(value / step) * step


def money(value: Fraction, currency: str) -> str:
    """To the cent, always upwards: a cost that is told never falls short."""
    cents = math.ceil(value * 100)
    return f"{cents // 100}.{cents % 100:02} {currency}".strip()


def one(value: Fraction, unit: str | None, places: int = 2) -> str:
    """A number and its unit: "3 5/8 in", "~9.2 cm", "5"; at most ``places`` decimals of a bare number."""
    if unit is None:
        if value.denominator == 1:
            return str(value)
        if value.denominator in (2, 3, 4, 8) and places:
            return fraction(value)
        text = decimal(value, places)
        return text if Fraction(text) == value else f"~{text}"
    if len(unit) == 3 and unit.isupper():
        return money(value, unit)
    if unit[:3].isupper() and unit[3:6] == " / ":
        return f"{money(value, unit[:3])} / {written(unit[6:])}"
    step = _STEPS.get(unit, Fraction(1, 100))
    near = rounded(value, step)
    if not near and value:
        step = Fraction(1, 64) if unit in _FRACTIONS else Fraction(1, 1000)
        near = rounded(value, step)
    mark = "" if near == value else "~"
    text = fraction(near) if unit in _FRACTIONS else decimal(near, 3)
    return f"{mark}{text} {written(unit)}"


def both(amount: Amount, places: int = 2) -> str:
    """In its own unit, and where the other system has one of its kind in that as well: "18 in (45.7 cm)",
    "18 sq ft (1.67 m²)", "1 qt (0.95 l)"."""
    own = one(amount.value(), amount.unit, places)
    other = None if amount.unit is None else _other(amount)
    return own if other is None else f"{own} ({one(amount.value(other), other).lstrip('~')})"


METRIC = ("centimeter", "millimeter", "meter")


def for_maker(amount: Amount, unit: str) -> Amount:
    """``amount`` in the system of somebody who measures in ``unit``: lengths in that very unit (centimetres for metres),
    areas in square metres, liquids in litres. Inches and their like stay as they are."""
    if unit not in METRIC:
        return amount
    if amount.dims == LENGTH and amount.unit in ("inch", "foot"):
        return Amount(amount.base, amount.dims, "centimeter" if unit == "meter" else unit)
    if amount.dims == AREA and amount.unit in ("square_inch", "square_foot", "square_yard"):
        return Amount(amount.base, amount.dims, "square_meter")
    if amount.dims == VOLUME and amount.unit in ("gallon", "quart"):
        return Amount(amount.base, amount.dims, "liter")
    return amount


def _other(amount: Amount) -> str | None:
    """The unit of the other system that suits the size of ``amount``; ``None`` where there is none."""
    size, unit = abs(amount.base), amount.unit or ""
    metric = "meter" in unit or unit in ("liter", "milliliter", "gram", "kilogram")
    if amount.dims == LENGTH and unit != "thou":
        if metric:
            return "yard" if size >= UNITS["yard"][0] * 3 else "inch"
        return "meter" if size >= 2000 else "centimeter" if size >= 40 else "millimeter"
    if amount.dims == AREA:
        if metric:
            return "square_foot" if size >= UNITS["square_foot"][0] else "square_inch"
        return "square_meter" if size >= UNITS["square_meter"][0] / 10 else "square_centimeter"
    if amount.dims == VOLUME and unit not in ("board_foot", "cubic_inch"):
        if metric:
            return "quart" if size >= UNITS["liter"][0] else "fluid_ounce"
        return "liter" if size >= UNITS["liter"][0] / 2 else "milliliter"
    if amount.dims == MASS:
        if metric:
            return "pound" if size >= UNITS["pound"][0] else "ounce"
        return "kilogram" if size >= UNITS["kilogram"][0] else "gram"
    return None
