"""Tables for a spreadsheet: comma-separated values as in RFC 4180, UTF-8 with a byte order mark."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from buildlog.publish.formats import Part
from buildlog.publish.plain import moment
from buildlog.publish.sheet import Thing

# A cell that begins so is taken for a formula (OWASP, "CSV Injection", from memory). An apostrophe before it keeps it
# text; readers of ours take that away again.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
COLUMNS = ("kind", "name", "amount", "note", "price", "instead of", "link", "first seen")


def cell(value: object) -> str:
    """A value that no spreadsheet runs."""
    text = "" if value is None else str(value)
    return "'" + text if text.lstrip(" ").startswith(_FORMULA) or text.startswith("'") else text


def plain_cell(text: str) -> str:
    """What :func:`cell` was given."""
    return text[1:] if text.startswith("'") else text


def table(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A table with a heading row."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([cell(v) for v in row])
    return "\ufeff" + out.getvalue()


def thing_row(thing: Thing) -> list[str]:
    """A thing as a row of :data:`COLUMNS`."""
    facts = ["link to come"] if thing.owed else []
    return [
        "substitute" if thing.instead_of else thing.kind,
        thing.name,
        "; ".join(thing.amounts),
        "; ".join([*thing.facts, *facts]),
        thing.price,
        thing.instead_of,
        thing.url or "",
        moment(thing.start_s),
    ]


def materials_csv(part: Part) -> str:
    """Everything used, and what would do instead."""
    return table(COLUMNS, [thing_row(t) for t in [*part.sheet.things(), *part.sheet.substitutes]])
