"""Tables for a spreadsheet: comma-separated values as in RFC 4180, UTF-8 with a byte order mark."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

from buildlog.publish.formats import Part
from buildlog.publish.plain import moment
from buildlog.publish.sheet import Thing

# A cell that begins so is taken for a formula: =, +, -, @, tab, carriage return, line feed (OWASP, "CSV Injection",
# github.com/OWASP/www-community, pages/attacks/CSV_Injection.md at commit 0e5e8f00, read 2026-11-28) and the null
# character (OWASP Application Security Verification Standard 5.0, requirement 1.2.10, at asvs.emil.hemdal.se/1.2.10,
# read 2026-11-28). Both say: a single quote before it. The wide forms are common practice, no source. Readers of ours
# take the quote away again.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠")
# The first page also warns of the separators of other countries: where a program parts cells at semicolons or tabs,
# what follows one in the middle of a cell begins a cell.
_PARTED = re.compile(r"([;\t|])([ \"]*)(?=[=+\-@＝＋－＠])")
_UNPARTED = re.compile(r"([;\t|][ \"]*)'(?=[=+\-@＝＋－＠])")
COLUMNS = ("kind", "name", "amount", "note", "price", "instead of", "link", "first seen")


def cell(value: object) -> str:
    """A value that no spreadsheet runs."""
    text = _PARTED.sub(r"\1\2'", "" if value is None else str(value))
    return "'" + text if text.lstrip(" ").startswith(_FORMULA) or text.startswith("'") else text


def plain_cell(text: str) -> str:
    """What :func:`cell` was given."""
    return _UNPARTED.sub(r"\1", text[1:] if text.startswith("'") else text)


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
