"""What is read: one :class:`Amount` a number said."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

Kind = Literal["measurement", "count", "ratio", "price", "total", "size", "setting"]

MEASURED: frozenset[str] = frozenset({"measurement", "count", "setting"})


@dataclass(slots=True)
class Amount:
    """A number with a meaning.

    ``start`` and ``end`` are token indices of the whole phrase (end exclusive). ``value`` and ``value_max`` are exact.
    ``unit`` is Pint's name or ``None``. ``of`` says what is measured, counted or set; ``of_token`` is the index of
    that noun's token. ``per`` (prices) is what the sum buys ("each", "yard", "20"); ``currency`` is ISO 4217 or
    ``None``. ``text`` keeps the words said. ``confidence`` is 0 to 1: below 0.5 means "ask". ``flags`` say how the
    value was come by, e.g. "recognised", "garbled", "misheard", "inherited unit", "assumed unit", "corrected".
    """

    start: int
    end: int
    kind: Kind
    value: Fraction
    value_max: Fraction | None = None
    unit: str | None = None
    approximate: bool = False
    of: str | None = None
    of_token: int | None = None
    text: str = ""
    per: str | None = None
    currency: str | None = None
    confidence: float = 1.0
    flags: tuple[str, ...] = field(default=())

    @property
    def measured(self) -> bool:
        """Whether it belongs among the measurements of a log (not a price, a size that is a name, or a ratio)."""
        return self.kind in MEASURED
