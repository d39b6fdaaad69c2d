"""The block for a description box: each formula in words and a small table of sizes."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from fractions import Fraction

from buildlog.document import Quantity, Worksheet
from buildlog.errors import BadInput
from buildlog.reckon.fit import formula_of, try_sizes
from buildlog.reckon.graph import work_out
from buildlog.reckon.result import Result
from buildlog.reckon.rules import rule as find_rule
from buildlog.reckon.shown import decimal, rounded

MOST_SIZES = 12
_STEPS_OF_SIZE = [Fraction(n, 8) for n in (1, 2, 4, 8, 16, 32, 40, 80, 160, 400, 800)]
_SIGNS = {" = ": " is ", " x ": " times ", " / ": " divided by ", " - ": " less ", " + ": " plus "}


def clean(text: str) -> str:
    """Without angle brackets (the largest host refuses them) and control characters, on one line."""
    return " ".join("".join(" " if not c.isprintable() or c in "<>" else c for c in text).split())


def spoken(q: Quantity) -> str:
    """A formula in words: "Belly strap: chest divided by 3 plus 5 inches"."""
    name = q.name[:1].upper() + q.name[1:]
    own = (q.rule or "").startswith("=")
    text = formula_of(q, spelled=True) if own else find_rule((q.rule or "").partition(".")[0]).formula
    for sign, said in _SIGNS.items():
        text = text.replace(sign, said)
    return f"{name}: {text}"


def _formulas(sheet: Worksheet) -> list[str]:
    """The formulas of ``sheet`` in words, each rule of the book once."""
    seen: set[str] = set()
    rows = []
    for q in (q for q in sheet.quantities if q.rule):
        stem = (q.rule or "").partition(".")[0]
        if stem.startswith("=") or stem not in seen:
            rows.append(clean(spoken(q)))
        seen.add(stem)
    return rows


def block(sheet: Worksheet, result: Result) -> str:
    """The sheet for a description box: formulas in words, the figures, what to buy; "" where nothing is worked out."""
    rows = _formulas(sheet)
    figures = [f for f in result.figures if f.origin == "computed" and f.exact is not None and f.name in sheet.results]
    given = [f for f in result.figures if f.origin in ("typed", "said") and f.exact is not None]
    if figures:
        base = ", ".join(f"{f.name} {f.text}" for f in given[:6])
        rows += [clean(f"For {base}:" if base else "Worked out:")] + [clean(f"- {f.name}: {f.text}") for f in figures]
    rows += [clean(f"- to buy: {p.what}, {p.buy}") for p in result.shopping]
    return "\n".join([clean(result.title), *rows]) if rows else ""


def sizes_of(sheet: Worksheet, name: str, text: str, inputs: Mapping[str, str]) -> list[str]:
    """The sizes to make a table over: those of ``text`` ("24, 30, 36 in"), the unit of the last for those without one;
    where it is empty, five round the present value of ``name``, about a tenth apart. Raises :class:`BadInput`."""
    listed = [s.strip() for s in text.split(",") if s.strip()]
    if listed:
        unit = re.sub(r"^[\d\s./⁄½¼¾⅛⅜⅝⅞⅓⅔-]+", "", listed[-1])
        return [s if re.search(r"[^\W\d_]|[\"'″′”’]", s) else f"{s} {unit}".strip() for s in listed[:MOST_SIZES]]
    amount = work_out(sheet, inputs).values.get(name)
    if amount is None or amount.base <= 0:
        raise BadInput(f"no size of {name} is known to make a table round; list some, such as {name}=24,30,36")
    value = amount.value()
    steps = [s for s in _STEPS_OF_SIZE if amount.unit or s >= 1]
    step = next((s for s in steps if s >= value / 12), steps[-1])
    middle = rounded(value, step)
    unit = f" {amount.unit}" if amount.unit else ""
    return [f"{decimal(middle + k * step, 3)}{unit}" for k in range(-2, 3) if middle + k * step > 0]


def size_table(sheet: Worksheet, name: str, sizes: Sequence[str], inputs: Mapping[str, str]) -> str:
    """Formulas in words, and one line a size: "chest 24 in: belly strap 13 in (33 cm)". Sizes that fail are told."""
    fitted = try_sizes(sheet, name, sizes, inputs)
    rows = _formulas(sheet)
    for size, result in fitted:
        own = next((f.text for f in result.figures if f.name == name), size)
        got = [f"{f.name} {f.text}" for f in result.figures if f.name in sheet.results and f.exact is not None]
        if got:
            rows.append(clean(f"{name} {own}: {'; '.join(got)}"))
    left = [s for s in sizes if s not in [size for size, _ in fitted]]
    if left:
        rows.append(clean(f"(cannot be worked out: {', '.join(left)})"))
    return "\n".join([clean(sheet.title), *rows]) if fitted else ""


__all__ = ["block", "clean", "size_table", "sizes_of", "spoken"]
