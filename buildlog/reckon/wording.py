"""Formulas as makers write them."""

from __future__ import annotations

import re
from fractions import Fraction

from buildlog.reckon.shown import one
from buildlog.reckon.units import UNITS, written

_DECIMAL = re.compile(r"(?<![\w.])\d+\.\d+(?![\w.])")
_UNITS = "|".join(sorted(UNITS, key=len, reverse=True))
_COUNTED = re.compile(rf"(?P<number>\d+(?: \d+/\d+|/\d+)?) (?P<unit>{_UNITS})\b")
_SPELLED = {"inch": "inches", "foot": "feet", "yard": "yards"}


def tidy(formula: str, *, spelled: bool = False) -> str:
    """``formula`` with eighths for decimals, and units short ("5 in") or ``spelled`` out ("5 inches")."""
    text = _DECIMAL.sub(lambda m: one(Fraction(m.group()), None, 3).lstrip("~"), formula)

    def unit(m: re.Match[str]) -> str:
        if not spelled or m["unit"] not in _SPELLED:
            return f"{m['number']} {written(m['unit'])}"
        several = m["number"] != "1" and not re.fullmatch(r"\d+/\d+", m["number"])
        return f"{m['number']} {_SPELLED[m['unit']] if several else m['unit']}"

    return _COUNTED.sub(unit, text)
