"""What a shop sells: amounts go up to the next step that can be bought, never down, and both are shown."""

from __future__ import annotations

import math
from fractions import Fraction

from buildlog.reckon.book import Buy
from buildlog.reckon.shown import up
from buildlog.reckon.units import Amount

# Eighths of a yard and tenths of a metre are what cloth is commonly cut in (common practice, no source).
YARD_STEP = Fraction(1, 8)
METRE_STEP = Fraction(1, 10)

# What is sold by a unit is cut or counted in such steps; what is not listed is weighed or poured out as wanted.
_SOLD_BY = {
    None: Fraction(1),
    "yard": YARD_STEP,
    "meter": METRE_STEP,
    "foot": Fraction(1),
    "board_foot": Fraction(1),
    "square_foot": Fraction(1, 4),
    "quart": Fraction(1),
    "gallon": Fraction(1, 4),
    "liter": Fraction(1, 4),
}


def sold_by(unit: str | None) -> Amount | None:
    """The smallest amount that is sold of what is priced by ``unit``; ``None`` where any amount is."""
    step = _SOLD_BY.get(unit)
    return None if step is None else Amount.of(step, unit)


def cloth(what: str, inches: Fraction) -> Buy:
    """``inches`` of cloth along the roll, in eighths of a yard, and in tenths of a metre for those who buy so."""
    need = Amount.of(inches, "inch")
    yards = up(need.value("yard"), YARD_STEP)
    metres = up(need.value("meter"), METRE_STEP)
    return Buy(what, need, Amount.of(yards, "yard"), "1/8 yd or 10 cm", Amount.of(metres, "meter"))


def whole(
    what: str, need: Fraction, unit: str | None = None, step: Fraction = Fraction(1), step_says: str = "whole ones"
) -> Buy:
    """``need`` up to a multiple of ``step``."""
    return Buy(what, Amount.of(need, unit), Amount.of(up(need, step), unit), step_says)


def ceil_div(a: Fraction, b: Fraction) -> int:
    """How many ``b`` it takes to make at least ``a``; at least one."""
    return max(1, math.ceil(a / b))
