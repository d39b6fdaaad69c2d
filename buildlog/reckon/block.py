"""The block for a description box: each formula in words and a small table of sizes."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from buildlog.document import Quantity, Worksheet
from buildlog.reckon.fit import try_sizes
from buildlog.reckon.result import Result
from buildlog.reckon.rules import rule as find_rule

_SIGNS = {" x ": " times ", " / ": " divided by ", " - ": " less ", " + ": " plus "}


def clean(text: str) -> str:
    """Without angle brackets (the largest host refuses them) and control characters, on one line."""
    return " ".join("".join(" " if not c.isprintable() or c in "<>" else c for c in text).split())


def spoken(q: Quantity) -> str:
    """A formula in words: "Belly strap: chest divided by 3 plus 5 inch"."""
    name = q.name[:1].upper() + q.name[1:]
    if q.rule and q.rule.startswith("="):
        text = q.rule[1:].strip()
        for local, source in sorted(q.inputs.items(), key=lambda pair: -len(pair[0])):
            if local != source:
                text = re.sub(rf"\b{re.escape(local)}\b", source.replace("\\", ""), text)
        for sign, said in _SIGNS.items():
            text = text.replace(sign, said)
        return f"{name}: {text}"
    return f"{name}: {find_rule((q.rule or '').partition('.')[0]).formula}"


def block(sheet: Worksheet, result: Result) -> str:
    """The sheet for a description box: formulas in words, the figures, what to buy; "" where nothing is worked out."""
    rules = [q for q in sheet.quantities if q.rule]
    seen: set[str] = set()
    rows = []
    for q in rules:
        stem = (q.rule or "").partition(".")[0]
        if not stem.startswith("=") and stem in seen:
            continue
        seen.add(stem)
        rows.append(clean(spoken(q)))
    figures = [f for f in result.figures if f.origin == "computed" and f.exact is not None and f.name in sheet.results]
    given = [f for f in result.figures if f.origin in ("typed", "said") and f.exact is not None]
    if figures:
        base = ", ".join(f"{f.name} {f.text}" for f in given[:4])
        rows += [clean(f"For {base}:" if base else "Worked out:")] + [clean(f"- {f.name}: {f.text}") for f in figures]
    rows += [clean(f"- to buy: {p.what}, {p.buy}") for p in result.shopping]
    return "\n".join([clean(result.title), *rows]) if rows else ""


def size_table(sheet: Worksheet, name: str, sizes: Sequence[str], inputs: Mapping[str, str]) -> str:
    """Formulas in words, and one line a size: "chest 24 in: belly strap 13 in (33 cm)". Sizes that fail are told."""
    fitted = try_sizes(sheet, name, sizes, inputs)
    rows = [clean(spoken(q)) for q in sheet.quantities if q.rule and q.rule.startswith("=")]
    for size, result in fitted:
        own = next((f.text for f in result.figures if f.name == name), size)
        got = [f"{f.name} {f.text}" for f in result.figures if f.name in sheet.results and f.exact is not None]
        if got:
            rows.append(clean(f"{name} {own}: {'; '.join(got)}"))
    left = [s for s in sizes if s not in [size for size, _ in fitted]]
    if left:
        rows.append(clean(f"(cannot be worked out: {', '.join(left)})"))
    return "\n".join([clean(sheet.title), *rows]) if fitted else ""


__all__ = ["block", "clean", "size_table", "spoken"]
