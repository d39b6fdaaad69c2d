"""A fitted worksheet as lines of text."""

from __future__ import annotations

from collections.abc import Iterator

from buildlog.reckon.cautions import PLANNING
from buildlog.reckon.result import Result, moment


def lines(result: Result) -> Iterator[str]:
    """Figures, lists, what is open and the cautions, one line each; escape them, text of the log is in it.

    What a sheet is good for (:data:`PLANNING`) is left to the caller, to be said once.
    """
    yield result.title
    for f in result.figures:
        whence = "" if f.whence == f.label else f"   [{f.whence}]"
        yield f"  {f.label}: {f.text}{whence}"
    for b in result.book:
        yield f"  By the rule “{b.name}”: {b.formula}"
        yield f"    Good for: {b.limits} From: {b.source}"
    if result.cut_list:
        yield "  To cut:"
        for part in result.cut_list:
            yield f"    {part.count} x {part.what}, {part.size}"
    if result.shopping:
        yield "  To buy:"
        for p in result.shopping:
            why = "" if p.need == p.buy else f" (needs {p.need}; sold by {p.step})"
            yield f"    {p.what}: {p.buy}{why}"
    for cost in result.cost:
        yield f"  Cost: {cost}"
    for question in result.asked:
        at = "" if question.start_s is None else f" at {moment(question.start_s)}"
        said = f", from{at}: “{question.said}”" if question.said else ""
        yield f"  Still to be told: {question.name}{said}"
    for text in result.assumptions:
        yield f"  Assumed: {text}"
    for text in result.remarks:
        yield f"  Note: {text}"
    for text in (c for c in result.cautions if c != PLANNING):
        yield f"  Caution: {text}"
