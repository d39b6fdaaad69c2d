"""The part's worksheets, from :mod:`buildlog.reckon`: what was worked out, what is open, what does not add up."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

from buildlog.edits import AcceptCheck
from buildlog.errors import BadInput
from buildlog_tui.desk import Desk
from buildlog_tui.drawing import Row
from buildlog_tui.listing import Entry
from buildlog_tui.questions import Flow, Text
from buildlog_tui.text import fit, hms, wrapped

if TYPE_CHECKING:
    from buildlog.reckon import Page
    from buildlog.reckon.result import Line, Result


class Spot(NamedTuple):
    """A row of the page: a figure of a sheet by its id and name, or one moment of a check by their numbers."""

    what: Literal["figure", "check"]
    place: tuple[str, str] | tuple[int, int]
    start_s: float | None


def page(desk: Desk) -> Page:
    """The page as the log and the inputs kept are now; may be called from a thread. Raises :class:`BuildlogError`."""
    from buildlog import reckon

    return reckon.page_of(desk.archive, desk.part)


def entries(found: Page | None, width: int) -> list[Entry]:
    """The rows of the page: what does not add up first, then the sheets."""
    if found is None:
        return [Entry(None, [[("Being worked out …", "quiet")]])]
    room = max(20, width - 2)
    out: list[Entry] = []
    for number, check in enumerate(found.checks):
        text = wrapped(check.text, room - 4, 4)
        moments = list(check.times) or [check.start_s]
        for n, at_s in enumerate(moments):
            rows: list[Row] = []
            if n == 0:
                rows = [[("! " if i == 0 else "  ", "bad bold"), (row, "plain")] for i, row in enumerate(text)]
            where = "said at" if n == 0 else "and at"
            rows.append([(f"    {where} {hms(at_s)}", "quiet")])
            out.append(Entry(Spot("check", (number, n), at_s), rows))
    out += [
        Entry(None, [[("! ", "bad"), (row, "quiet")] for row in wrapped(told, room - 2, 3)]) for told in found.trouble
    ]
    for sheet in found.sheets:
        out += _sheet(sheet, room)
    if found.sheets:
        from buildlog.reckon.cautions import PLANNING

        out.append(Entry(None, [[], *([(row, "quiet")] for row in wrapped(PLANNING, room))]))
    return out


def _sheet(sheet: Result, room: int) -> list[Entry]:
    from buildlog.reckon.cautions import PLANNING

    out = [Entry(None, [[], [("= ", "measurement"), (fit(sheet.title, room - 2), "measurement bold")]])]
    said = {q.name: q.said for q in sheet.asked}
    name = max(12, min(30, room // 3))
    value = max(12, min(28, room * 9 // 25))
    for figure in sheet.figures:
        asked = figure.origin == "asked"
        opened = figure.origin == "computed" and figure.exact is None
        row: Row = [
            ("? " if asked else "  ", "bad bold"),
            (fit(figure.label, name, pad=True), "plain"),
            ("  ", ""),
            (fit(figure.text, value, pad=True), "bad" if asked else "quiet" if opened else "plain bold"),
            ("  ", ""),
            (fit(figure.whence, room - name - value - 6), "quiet"),
        ]
        rows: list[Row] = [row]
        if asked and said.get(figure.name):
            rows.append([("    ", ""), (fit(f"“{said[figure.name]}”", room - 4), "quiet")])
        out.append(Entry(Spot("figure", (sheet.id, figure.name), figure.start_s), rows))
    told: list[tuple[str, str]] = []
    told += [("to cut", f"{p.count} x {p.what}, {p.size}") for p in sheet.cut_list]
    told += [
        ("to buy", f"{p.what}: {p.buy}" + ("" if p.need == p.buy else f" (needs {p.need}; sold by {p.step})"))
        for p in sheet.shopping
    ]
    told += [("cost", text) for text in sheet.cost]
    told += [("by rule", f"{b.name}: {b.formula}. Good for: {b.limits}") for b in sheet.book]
    told += [("assumed", text) for text in sheet.assumptions]
    told += [("note", text) for text in sheet.remarks]
    told += [("caution", text) for text in sheet.cautions if text != PLANNING]
    for word, text in told:
        lines = wrapped(text, room - 11, 6)
        style = "caution" if word == "caution" else "plain"
        rows = [[(f"  {word if i == 0 else '':<8} ", "quiet"), (line, style)] for i, line in enumerate(lines)]
        out.append(Entry(None, rows))
    return out


def figure_at(found: Page, spot: Spot) -> Line | None:
    """The figure that a row shows, if it still is there."""
    if spot.what != "figure":
        return None
    sheet, name = spot.place
    return next((f for s in found.sheets if s.id == sheet for f in s.figures if f.name == name), None)


def facts(found: Page, spot: Spot) -> Row:
    """What is known of a row, on one row."""
    figure = figure_at(found, spot)
    if figure is not None:
        row: Row = [("= ", "measurement bold"), (figure.label, "plain bold"), ("  ", ""), (figure.text, "plain")]
        row += [("  ", ""), (figure.whence, "quiet")]
        return row + ([("  ", ""), (f"“{figure.said}”", "quiet")] if figure.said else [])
    return [("! does not add up", "bad bold"), ("   enter: to the words, y: fine as it is", "quiet")]


def typing(desk: Desk, found: Page, spot: Spot) -> Flow:
    """Ask for another value of a figure and keep it; an empty one takes what was typed in back."""
    from buildlog import reckon

    figure = figure_at(found, spot)
    if figure is None or figure.origin == "computed":
        raise BadInput("this is worked out from other values; change one of those")
    now = figure.text if figure.origin == "typed" else ""
    unit = f"in {figure.unit} if you give no unit" if figure.unit else ""
    hint = "; ".join(part for part in (unit, "empty takes back what was typed in" if now else "") if part)
    text = yield Text(f"{fit(figure.label, 60)}: how much?", now, hint, anew=True)
    if text.strip() or now:
        reckon.set_input(desk.archive, desk.part, figure.name, text, str(spot.place[0]))
    return None


def take_back(desk: Desk, found: Page, spot: Spot) -> None:
    """What was said or assumed stands again. Raises :class:`BadInput` where nothing was typed in."""
    from buildlog import reckon

    figure = figure_at(found, spot)
    if figure is None or figure.origin != "typed":
        raise BadInput("nothing was typed in here; e types another value in")
    reckon.take_back(desk.archive, desk.part, figure.name, str(spot.place[0]))


def accepting(found: Page, spot: Spot) -> AcceptCheck | None:
    """The edit that lets a check be; ``None`` where the row is none."""
    if spot.what != "check" or not isinstance(spot.place[0], int) or spot.place[0] >= len(found.checks):
        return None
    check = found.checks[spot.place[0]]
    return AcceptCheck(kind=check.kind, text=check.text, start_s=check.start_s)
