"""Words of sums and what is read with them: terms of a sum, whole sums, and how a value is written."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from buildlog.tag.amounts.lexis import lexis

DETERMINERS = frozenset(
    ["the", "my", "your", "his", "her", "their", "its", "our", "that", "this", "each", "whatever", "both"]
)
FACTORS = {
    "twice": Fraction(2),
    "double": Fraction(2),
    "triple": Fraction(3),
    "thrice": Fraction(3),
    "treble": Fraction(3),
    "quadruple": Fraction(4),
}
MEASURE_WORDS = frozenset(["measurement", "measurements", "measure", "size", "amount", "figure", "number", "value"])
DIMENSIONS = lexis().sets["dimensions"]
STOP = lexis().sets["not_names"]
AS_ADJECTIVES = {
    "long": "length",
    "wide": "width",
    "broad": "width",
    "deep": "depth",
    "tall": "height",
    "high": "height",
    "thick": "thickness",
    "big": "size",
    "large": "size",
    "much": "amount",
    "heavy": "weight",
    "far": "distance",
    "round": "circumference",
}
BIGGER = {
    "bigger": ("+", "size"),
    "larger": ("+", "size"),
    "longer": ("+", "length"),
    "wider": ("+", "width"),
    "broader": ("+", "width"),
    "taller": ("+", "height"),
    "higher": ("+", "height"),
    "deeper": ("+", "depth"),
    "thicker": ("+", "thickness"),
    "heavier": ("+", "weight"),
    "more": ("+", ""),
    "fewer": ("-", ""),
    "smaller": ("-", "size"),
    "shorter": ("-", "length"),
    "narrower": ("-", "width"),
    "less": ("-", ""),
    "thinner": ("-", "thickness"),
    "lower": ("-", "height"),
    "shallower": ("-", "depth"),
    "lighter": ("-", "weight"),
}
# Measures of a body or a hand that say no number: "plus a finger", "and a hair". They add nothing to a formula.
HANDFULS = frozenset(lexis().raw["joints"]["handfuls"])
PROMPTS = frozenset(
    "plus minus less divided divide multiplied multiply add subtract take knock times deduct doubled halved halve double "
    "with and over dividing multiplying knocked took added adding knocking taking".split()
)
TRACING = frozenset("draw drew drawn drawing trace traced tracing cut sew sewn glue glued".split())
TAIL_LESS = frozenset("off less under shorter smaller narrower".split())
TAIL_MORE = frozenset("more extra over spare besides longer wider bigger".split())


@dataclass(slots=True)
class Term:
    """Atoms ``[start, end)`` as formula ``text``; ``name`` where a quantity is named; ``factor``: a sum by itself."""

    start: int
    end: int
    text: str
    name: str | None
    factor: bool = False


@dataclass(slots=True)
class Sum:
    """A whole expression over atoms ``[start, end)``. ``joined`` counts what is done to its first term.

    ``soft``: joined by no more than "and"; ``told``: by an instruction ("and add"); both could be talk of other things.
    ``tail`` is the dimension named after it ("... wide"), "mix", or "=" and the whole result. ``constant``: it ends with
    a plain amount, and a purpose told after it is that amount's.
    """

    start: int
    end: int
    formula: str
    names: list[str] = field(default_factory=list)
    joined: int = 0
    soft: bool = False
    told: bool = False
    last: str = ""
    tail: str | None = None
    constant: bool = False


def shown(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):.6g}"


def share_of(value: Fraction, name: str) -> str:
    """A share of ``name``, as it stands in a formula."""
    if " - " in name or " + " in name:
        name = f"({name})"
    return (
        f"{name} / {value.denominator}" if value.numerator == 1 else f"{value.numerator} x {name} / {value.denominator}"
    )


__all__ = [
    "AS_ADJECTIVES",
    "BIGGER",
    "DETERMINERS",
    "DIMENSIONS",
    "FACTORS",
    "HANDFULS",
    "MEASURE_WORDS",
    "PROMPTS",
    "STOP",
    "TAIL_LESS",
    "TAIL_MORE",
    "TRACING",
    "Sum",
    "Term",
    "share_of",
    "shown",
]
