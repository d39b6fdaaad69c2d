"""Amounts in other units, exactly, through Pint."""

from __future__ import annotations

import functools
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from buildlog.errors import BadInput
from buildlog.tag.amounts.amount import Amount

if TYPE_CHECKING:
    from pint import UnitRegistry


@functools.cache
def registry() -> UnitRegistry[Any]:
    """Pint's registry over exact fractions. Its own names for every unit that amounts use."""
    from pint import UnitRegistry

    return UnitRegistry(non_int_type=Fraction, cache_folder=None)


def convert(value: Fraction, unit: str, into: str) -> Fraction:
    """``value`` of ``unit`` in ``into``, exact. Raises :class:`BadInput` where the two do not measure the same."""
    import pint

    ureg = registry()
    try:
        return Fraction(ureg.Quantity(value, unit).to(into).magnitude)
    except (pint.UndefinedUnitError, pint.DimensionalityError) as error:
        raise BadInput(f"cannot give {unit} in {into}; name a unit that measures the same thing") from error


def to_unit(amount: Amount, into: str) -> tuple[Fraction, Fraction | None]:
    """The value and upper value of ``amount`` in ``into``, exact.

    Raises :class:`BadInput` for a bare count, and where the units do not measure the same.
    """
    if amount.unit is None:
        raise BadInput(f"“{amount.text}” has no unit to convert from; give one, or leave it as a count")
    top = None if amount.value_max is None else convert(amount.value_max, amount.unit, into)
    return convert(amount.value, amount.unit, into), top


__all__ = ["convert", "registry", "to_unit"]
