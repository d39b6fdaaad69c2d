"""Lists of parts as typed: "4 legs @ 33 1/4 in; 2 @ 48 x 3 1/2 in"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from buildlog.errors import BadInput, one_line
from buildlog.reckon.units import Amount, parse_number


@dataclass(frozen=True, slots=True)
class PartSize:
    """``count`` parts called ``name``; ``length`` and ``width`` in inches; no ``width`` where only length counts."""

    name: str
    count: int
    length: Fraction
    width: Fraction | None = None


_PART = re.compile(r"\s*(?P<count>\d{1,6})\s*(?P<name>[^@]*)@\s*(?P<size>.+)$", re.DOTALL)
_HOW = "write parts as 4 legs @ 33 1/4 in; 2 shelves @ 48 x 11 in"


def parse_parts(text: str) -> list[PartSize]:
    """Parts separated by ";". The size is LENGTH or LENGTH x WIDTH, inches where no unit stands. Raises BadInput."""
    parts = []
    for chunk in text.split(";"):
        if not chunk.strip():
            continue
        found = _PART.match(chunk)
        if not found:
            raise BadInput(f"“{one_line(chunk, 40)}” is no part; {_HOW}")
        sizes = re.split(r"\s*[x×]\s*", found["size"].strip())
        if len(sizes) > 2:
            raise BadInput(f"“{one_line(chunk, 40)}” has more than two sizes; {_HOW}")
        numbers = [parse_number(s) for s in sizes]
        unit = numbers[-1][1] or "inch"
        values = [Amount.of(v, rest or unit).value("inch") for v, rest in numbers]
        count = int(found["count"])
        if count < 1 or min(values) <= 0:
            raise BadInput(f"“{one_line(chunk, 40)}” has a size or count of zero; {_HOW}")
        name = one_line(found["name"].strip() or "part", 40)
        parts.append(PartSize(name, count, values[0], values[1] if len(values) == 2 else None))
    if not parts:
        raise BadInput(f"no parts were given; {_HOW}")
    return parts
