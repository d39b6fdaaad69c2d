"""Amounts and prices as a maker types them: "1 1/2 yards", "about 3 mm", "5-6 in", "4.50 GBP a yard"."""

from __future__ import annotations

import re
from fractions import Fraction

from buildlog.document import Price
from buildlog.edits.kinds import Amount
from buildlog.errors import BadInput, one_line

_GLYPHS = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3"}
_NUMBER = r"(?:\d+\s+\d+/\d+|\d+/\d+|\d+(?:\.\d+)?|\.\d+)"
_AMOUNT = re.compile(
    rf"^(?P<about>about|around|roughly|~|ca\.?)?\s*(?P<low>{_NUMBER})(?:\s*(?:-|–|to)\s*(?P<high>{_NUMBER}))?"
    r"\s*(?P<unit>[^\d\s].*)?$",
    re.IGNORECASE,
)
# What stands for a unit in a workshop and means something else, or nothing, to Pint.
_UNITS = {'"': "inch", "″": "inch", "in": "inch", "'": "foot", "′": "foot", "c": "degC", "f": "degF", "%": "percent"}
_SIGNS = {"$": "USD", "£": "GBP", "€": "EUR", "¥": "JPY"}  # common practice, no source: a dollar sign may be others'
_PRICE = re.compile(
    r"^(?P<about>about|around|roughly|~)?\s*(?P<sign>[$£€¥])?\s*(?P<sum>\d+(?:\.\d+)?)\s*(?P<code>[A-Za-z]{3}\b)?"
    r"\s*(?:(?:a|an|per|for|/)\s*(?P<per>\S.*)|(?P<each>each))?$",
    re.IGNORECASE,
)


def _number(text: str) -> Fraction:
    try:
        return sum((Fraction(part) for part in text.split()), Fraction(0))
    except ZeroDivisionError as error:
        raise BadInput(f"{one_line(text, 40)} divides by nothing; type a number such as 3/8") from error


def amount_from(text: str) -> Amount:
    """The amount typed; a bare number is a count. Raises :class:`BadInput` where it cannot be read."""
    raw = text
    for glyph, plain in _GLYPHS.items():
        text = text.replace(glyph, f" {plain}")
    found = _AMOUNT.match(" ".join(text.split()))
    if found is None:
        raise BadInput(f"cannot read “{one_line(raw, 60)}” as an amount; type for example 3/8 in, 1.5 m, 5-6 cm or 12")
    value = _number(found["low"])
    upper = _number(found["high"]) if found["high"] else None
    if upper is not None and upper < value:
        raise BadInput(f"“{one_line(raw, 60)}” runs backwards; type the smaller number first")
    return Amount(
        value=float(value),
        value_max=None if upper is None else float(upper),
        unit=_unit(found["unit"]),
        approximate=bool(found["about"]),
        exact=str(value),
    )


def _unit(text: str | None) -> str | None:
    if text is None:
        return None
    import pint

    from buildlog.tag.amounts.convert import registry

    name = _UNITS.get(text.casefold(), text)
    try:
        # Pint reads formulas too; a unit typed is a word or two.
        if not all(c.isalpha() or c in "°µ _" for c in name):
            raise ValueError(name)
        units = dict(registry().Quantity(1, name).unit_items())
    except (pint.PintError, ValueError, TypeError, AttributeError, SyntaxError, ArithmeticError) as error:
        raise BadInput(
            f"“{one_line(text, 40)}” is not a unit; type for example in, yd, mm, g, degF, or nothing for a count"
        ) from error
    if list(units.values()) != [1]:
        raise BadInput(f"“{one_line(text, 40)}” is not one unit; type one such as in, yd, mm or g")
    return str(next(iter(units)))


def price_from(text: str) -> Price | None:
    """The price typed; ``None`` for an empty text. Raises :class:`BadInput` where it cannot be read."""
    if not text.strip():
        return None
    found = _PRICE.match(" ".join(text.split()))
    if found is None:
        raise BadInput(f"cannot read “{one_line(text, 60)}” as a price; type for example 4.50 GBP, $12 a yard, 3 each")
    code = found["code"]
    return Price(
        amount=float(found["sum"]),
        currency=code.upper() if code else _SIGNS.get(found["sign"] or ""),
        per=found["per"] or ("each" if found["each"] else None),
        approximate=bool(found["about"]),
        text=text.strip(),
    )
