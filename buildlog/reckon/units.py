"""Amounts with units, exact inside: every value is a fraction, every factor is exact.

The factors are those of the international yard and pound agreement of 1959 (1 in = 25.4 mm, 1 lb = 453.59237 g) and of
NIST Handbook 44, appendix C (1 US gallon = 231 cubic inches); the tests hold each of them against Pint. A table of our
own is used instead of Pint because Pint takes half a second to import and turns fractions into floats in places.
Temperatures are left out: they have an offset, so no rule of this book multiplies them.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from fractions import Fraction

from buildlog.errors import BadInput, one_line

# What a unit is made of: ((base, exponent), ...), sorted, no zero exponents. Bases: mm, g, s, A, and each currency.
Dims = tuple[tuple[str, int], ...]
NONE: Dims = ()
LENGTH: Dims = (("mm", 1),)
AREA: Dims = (("mm", 2),)
VOLUME: Dims = (("mm", 3),)
_IN = Fraction(254, 10)
_GALLON = 231 * _IN**3
_LB = Fraction(45359237, 100_000)
_VOLT: Dims = (("A", -1), ("g", 1), ("mm", 2), ("s", -3))
_OHM: Dims = (("A", -2), ("g", 1), ("mm", 2), ("s", -3))
_WATT: Dims = (("g", 1), ("mm", 2), ("s", -3))
_T: Dims = (("s", 1),)
MASS: Dims = (("g", 1),)
_I: Dims = (("A", 1),)

# Pint's name: (size in base units, what it is made of, how it is written)
UNITS: dict[str, tuple[Fraction, Dims, str]] = {
    "thou": (_IN / 1000, LENGTH, "thou"),
    "inch": (_IN, LENGTH, "in"),
    "foot": (12 * _IN, LENGTH, "ft"),
    "yard": (36 * _IN, LENGTH, "yd"),
    "millimeter": (Fraction(1), LENGTH, "mm"),
    "centimeter": (Fraction(10), LENGTH, "cm"),
    "meter": (Fraction(1000), LENGTH, "m"),
    "square_inch": (_IN**2, AREA, "sq in"),
    "square_foot": (144 * _IN**2, AREA, "sq ft"),
    "square_yard": (1296 * _IN**2, AREA, "sq yd"),
    "square_centimeter": (Fraction(100), AREA, "cm²"),
    "square_meter": (Fraction(10**6), AREA, "m²"),
    "cubic_inch": (_IN**3, VOLUME, "cu in"),
    "board_foot": (144 * _IN**3, VOLUME, "board ft"),
    "teaspoon": (_GALLON / 768, VOLUME, "tsp"),
    "tablespoon": (_GALLON / 256, VOLUME, "tbsp"),
    "fluid_ounce": (_GALLON / 128, VOLUME, "fl oz"),
    "cup": (_GALLON / 16, VOLUME, "cup"),
    "pint": (_GALLON / 8, VOLUME, "pt"),
    "quart": (_GALLON / 4, VOLUME, "qt"),
    "gallon": (_GALLON, VOLUME, "gal"),
    "milliliter": (Fraction(1000), VOLUME, "ml"),
    "liter": (Fraction(10**6), VOLUME, "l"),
    "gram": (Fraction(1), MASS, "g"),
    "kilogram": (Fraction(1000), MASS, "kg"),
    "ounce": (_LB / 16, MASS, "oz"),
    "pound": (_LB, MASS, "lb"),
    "second": (Fraction(1), _T, "s"),
    "minute": (Fraction(60), _T, "min"),
    "hour": (Fraction(3600), _T, "h"),
    "day": (Fraction(86400), _T, "days"),
    "ampere": (Fraction(1), _I, "A"),
    "milliampere": (Fraction(1, 1000), _I, "mA"),
    "volt": (Fraction(10**9), _VOLT, "V"),
    "ohm": (Fraction(10**9), _OHM, "ohm"),
    "kiloohm": (Fraction(10**12), _OHM, "kohm"),
    "watt": (Fraction(10**9), _WATT, "W"),
}
_ALSO = {
    "in": "inch", "inches": "inch", '"': "inch", "″": "inch", "”": "inch", "ft": "foot", "feet": "foot", "'": "foot",
    "′": "foot", "’": "foot", "yd": "yard", "yds": "yard", "mm": "millimeter", "millimetre": "millimeter",
    "cm": "centimeter", "centimetre": "centimeter", "m": "meter", "metre": "meter", "sqin": "square_inch",
    "meter2": "square_meter", "centimeter2": "square_centimeter",
    "sqft": "square_foot", "sqyd": "square_yard", "sqm": "square_meter", "m2": "square_meter", "m²": "square_meter",
    "cm2": "square_centimeter", "cm²": "square_centimeter", "square_metre": "square_meter", "ml": "milliliter",
    "millilitre": "milliliter", "l": "liter", "litre": "liter", "floz": "fluid_ounce", "gal": "gallon", "g": "gram",
    "kg": "kilogram", "oz": "ounce", "lb": "pound", "lbs": "pound", "s": "second", "min": "minute", "h": "hour",
    "square_feet": "square_foot", "board_feet": "board_foot", "mil": "thou", "ma": "milliampere", "v": "volt",
    "milliamp": "milliampere", "amp": "ampere", "w": "watt", "kohm": "kiloohm",
}  # fmt: skip
_MOST_DIGITS = 12
_NUMBER = re.compile(
    r"(?P<sign>[+-]?)\s*(?:(?P<whole>\d+)(?:\s+|-)(?P<mn>\d+)\s*[/⁄]\s*(?P<md>\d+)"
    r"|(?P<n>\d+)\s*[/⁄]\s*(?P<d>\d+)|(?P<dec>\d+\.\d*|\.\d+|\d+))"
)
_GLYPHS = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3",
}  # fmt: skip


def _times(a: Dims, b: Dims, sign: int = 1) -> Dims:
    powers = dict(a)
    for base, power in b:
        powers[base] = powers.get(base, 0) + sign * power
    return tuple(sorted((base, power) for base, power in powers.items() if power))


@functools.lru_cache(maxsize=512)
def unit_of(name: str) -> tuple[Fraction, Dims]:
    """Size in base units and make-up of the unit ``name``: a name of the table, a currency such as "GBP", or two of
    these joined by "/" ("GBP / meter"). Raises :class:`BadInput`."""
    parts = [p.strip() for p in name.split("/")]
    if len(parts) > 2 or not all(parts):
        raise BadInput(f"“{one_line(name, 40)}” is no unit; use in, ft, yd, mm, cm, m or a name of theirs")
    factor: Fraction = Fraction(1)
    dims: Dims = NONE
    size: Fraction
    made: Dims
    for number, part in enumerate(parts):
        if re.fullmatch(r"[A-Z]{3}", part):
            size, made = Fraction(1), ((part, 1),)
        else:
            size, made = UNITS[canonical(part)][:2]
        factor, dims = (factor / size, _times(dims, made, -1)) if number else (size, made)
    return factor, dims


@functools.lru_cache(maxsize=512)
def canonical(name: str) -> str:
    """The table's name of a unit as people write it: "in", "metres", '"'. Raises :class:`BadInput`."""
    key = re.sub(r"\s*\*\*\s*2$", "2", name.strip()).replace(" ", "_").rstrip(".")
    for k in (key, key.lower(), key.lower().rstrip("s"), key.lower().replace("_", "")):
        if k in UNITS:
            return k
        if k in _ALSO:
            return _ALSO[k]
    raise BadInput(f"“{one_line(name, 40)}” is no unit; use in, ft, yd, mm, cm, m or a name of theirs")


def written(name: str | None) -> str:
    """How the unit is written after a number: "in", "GBP / m", "" for a bare number."""
    if name is None:
        return ""
    return " / ".join(p if re.fullmatch(r"[A-Z]{3}", p) else UNITS[canonical(p)][2] for p in name.split(" / "))


@dataclass(frozen=True, slots=True)
class Amount:
    """An exact amount. ``base`` is its size in base units (see :data:`Dims`); ``unit`` is what it is shown in."""

    base: Fraction
    dims: Dims = NONE
    unit: str | None = None

    @classmethod
    def of(cls, value: Fraction | int, unit: str | None = None) -> Amount:
        """``value`` counted in ``unit``; ``None`` is a bare number."""
        if unit is None:
            return cls(Fraction(value))
        factor, dims = unit_of(unit)
        return cls(Fraction(value) * factor, dims, unit)

    def value(self, unit: str | None = None) -> Fraction:
        """How many of ``unit`` (its own if not given). Raises :class:`BadInput` where the unit does not fit."""
        unit = unit or self.unit
        if unit is None:
            if self.dims:
                raise BadInput("an amount with a unit was given where a bare number belongs; leave the unit out")
            return self.base
        factor, dims = unit_of(unit)
        if dims != self.dims:
            mine = written(self.unit) or "a bare number"
            raise BadInput(f"{mine} does not fit where {written(unit)} belongs; give the amount in {written(unit)}")
        return self.base / factor

    def _same(self, other: Amount) -> None:
        if self.dims != other.dims:
            a, b = (written(x.unit) or "a bare number" for x in (self, other))
            raise BadInput(f"{a} and {b} cannot be added or compared; give both in units of one kind")

    def __add__(self, other: Amount) -> Amount:
        self._same(other)
        return Amount(self.base + other.base, self.dims, self.unit or other.unit)

    def __sub__(self, other: Amount) -> Amount:
        self._same(other)
        return Amount(self.base - other.base, self.dims, self.unit or other.unit)

    def __mul__(self, other: Amount) -> Amount:
        dims = _times(self.dims, other.dims)
        return Amount(self.base * other.base, dims, _unit_for(dims, self, other))

    def __truediv__(self, other: Amount) -> Amount:
        if not other.base:
            raise BadInput("this divides by zero; give a divisor above zero")
        dims = _times(self.dims, other.dims, -1)
        return Amount(self.base / other.base, dims, _unit_for(dims, self, other))


def _unit_for(dims: Dims, *near: Amount) -> str | None:
    """A unit to show ``dims`` in, one of ``near`` if it fits."""
    if not dims:
        return None
    for amount in near:
        if amount.dims == dims:
            return amount.unit
    metric = any("meter" in (a.unit or "") for a in near)
    if dims == AREA:
        return "square_meter" if metric else "square_inch"
    for name, (_, made, _) in UNITS.items():
        if made == dims and name not in ("thou", "teaspoon", "cubic_inch", "milliampere"):
            return name
    if len(dims) == 1 and dims[0][1] == 1 and re.fullmatch(r"[A-Z]{3}", dims[0][0]):
        return dims[0][0]
    raise BadInput("units that do not fit are multiplied or divided here; look at the formula")


def parse_number(text: str) -> tuple[Fraction, str]:
    """The number that ``text`` begins with ("5 1/8", "3-1/2", "0.25", "½") and what follows it."""
    shown = one_line(text, 40)
    for glyph, plain in _GLYPHS.items():
        text = text.replace(glyph, f" {plain}")
    text = text.strip()
    found = _NUMBER.match(text)
    if not found:
        raise BadInput(f"“{shown}” is no amount; write a number and a unit, such as 5 1/8 in or 13 cm")
    if max(map(len, re.findall(r"\d+", found.group())), default=0) > _MOST_DIGITS:
        raise BadInput(f"“{shown}” has more digits than anybody measures; give a shorter number")
    bottoms = [int(found[k]) for k in ("md", "d") if found[k]]
    if 0 in bottoms:
        raise BadInput(f"“{shown}” divides by zero; write another fraction")
    if found["whole"]:
        value = int(found["whole"]) + Fraction(int(found["mn"]), int(found["md"]))
    elif found["n"]:
        value = Fraction(int(found["n"]), int(found["d"]))
    else:
        value = Fraction(found["dec"] + ("0" if found["dec"].endswith(".") else ""))
    return (-value if found["sign"] == "-" else value), text[found.end() :].strip()


def parse_amount(text: str) -> Amount:
    """``text`` such as "5 1/8 in", "45cm", "1.5", as an amount. Raises :class:`BadInput`."""
    value, rest = parse_number(text)
    if rest.startswith(",") or re.match(r"[\d.,/]", rest):
        raise BadInput(f"“{one_line(text, 40)}” is no amount; write decimals with a point, fractions as 5 1/8")
    return Amount.of(value, _tidy(rest) if rest else None)


def _tidy(name: str) -> str:
    return " / ".join(p.strip() if re.fullmatch(r"[A-Z]{3}", p.strip()) else canonical(p) for p in name.split("/"))
