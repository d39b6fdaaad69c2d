"""Everything reckoned about one part, as plain values for a face to show: sheets with the inputs kept, and checks.

An input is kept by the name of its quantity, not by the number of its sheet: "chest" is the same chest after the
recording was read again, when sheets are counted anew. It holds for every sheet of the part that asks for that name,
or, when it was typed over something said in one sheet, for the sheet whose results have the name it was kept with.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import msgspec

from buildlog.document import Check, Log, Value, Worksheet
from buildlog.edits import AcceptCheck, accepts
from buildlog.errors import BadInput, one_line
from buildlog.reckon.block import block, size_table, sizes_of
from buildlog.reckon.fit import fit
from buildlog.reckon.result import Result
from buildlog.reckon.sanity import unsaid_checks
from buildlog.reckon.sheets import worksheets

if TYPE_CHECKING:
    from buildlog.archive import Archive, Part

LONGEST_INPUT = 2000
MOST_KEPT = 200


class Kept(msgspec.Struct, frozen=True, kw_only=True):
    """An input that was typed in. ``sheet`` is the name of a result of the only sheet it is for; ``None``: all."""

    name: str
    text: str
    sheet: str | None = None


class Page(Value):
    """One part's sheets worked out, what does not add up, and what could not be done.

    ``sheets`` are in the order of the talk; ``checks`` carry both moments in ``times`` where two things disagree;
    ``kept`` are the inputs typed in; ``trouble`` are sentences: inputs that fit nothing now, sheets left out.
    """

    sheets: list[Result]
    checks: list[Check]
    kept: list[Kept]
    trouble: list[str]


def page(log: Log, kept: Sequence[Kept] = (), accepted: Sequence[AcceptCheck] = ()) -> Page:
    """The sheets of ``log`` with ``kept`` put in, and its checks less those ``accepted``. Nothing here raises for what
    was kept: an input that does not fit any more is told in ``trouble`` and left out."""
    made = worksheets(log)
    results, trouble, used = [], [], set[Kept]()
    for sheet in made:
        mine = {k: name for k in kept if (name := _place(k, sheet)) is not None}
        used |= set(mine)
        typed: dict[str, str] = {}
        # What is kept for this sheet alone goes before what is kept for all.
        for k in sorted(mine, key=lambda k: k.sheet is not None):
            try:
                fit(sheet, {**typed, mine[k]: k.text})
            except BadInput as error:
                trouble.append(f"{sheet.title}: “{one_line(k.text, 40)}” for {k.name} is left out: {error}")
                continue
            typed[mine[k]] = k.text
        try:
            results.append(fit(sheet, typed))
        except BadInput as error:
            trouble.append(f"{sheet.title} cannot be worked out: {error}")
    trouble += [f"{k.name} = {one_line(k.text, 40)} fits no sheet of this part now" for k in kept if k not in used]
    return Page(
        sheets=results,
        checks=open_checks(log, accepted, made),
        kept=list(kept),
        trouble=list(dict.fromkeys(trouble)),
    )


def open_checks(log: Log, accepted: Sequence[AcceptCheck] = (), made: Sequence[Worksheet] | None = None) -> list[Check]:
    """What does not add up in ``log``, its own contradictions with it, less what was ``accepted``; by time."""
    own = [c for c in log.checks if c.kind == "contradiction"]
    found = [c for c in [*own, *unsaid_checks(log, made)] if not any(accepts(a, c) for a in accepted)]
    return sorted(found, key=lambda c: c.start_s)


def inputs_for(sheet: Worksheet, kept: Sequence[Kept]) -> dict[str, str]:
    """What of ``kept`` goes into ``sheet``, by the names it has there; what it cannot take any more is left out."""
    return _that_fit(sheet, _typed(kept, sheet))


def _place(kept: Kept, sheet: Worksheet) -> str | None:
    """The quantity of ``sheet`` that ``kept`` is typed in for; ``None`` where it is none of its business."""
    if kept.sheet is not None and kept.sheet.casefold() not in {r.casefold() for r in sheet.results}:
        return None
    wanted = kept.name.casefold()
    return next((q.name for q in sheet.quantities if q.name.casefold() == wanted), None)


def page_table(log: Log, kept: Sequence[Kept], sheet_id: str, name: str, sizes: str = "") -> str:
    """The table of sizes (:func:`buildlog.reckon.size_table`) of one sheet of ``log``, for ``name`` over ``sizes``
    ("24, 30, 36 in"), or over five sizes round the present one. Raises :class:`BadInput`."""
    sheet = _sheet(log, sheet_id)
    place = _place(Kept(name=name, text=""), sheet)
    if place is None:
        raise BadInput(f"{one_line(sheet.title, 40)} has no input “{one_line(name, 40)}”; choose one of its inputs")
    typed = inputs_for(sheet, kept)
    return size_table(sheet, place, sizes_of(sheet, place, sizes, typed), typed)


def page_box(log: Log, kept: Sequence[Kept], sheet_id: str) -> str:
    """The block for a description box (:func:`buildlog.reckon.block`) of one sheet of ``log``."""
    sheet = _sheet(log, sheet_id)
    return block(sheet, fit(sheet, inputs_for(sheet, kept)))


def _sheet(log: Log, sheet_id: str) -> Worksheet:
    for sheet in worksheets(log):
        if sheet.id == sheet_id:
            return sheet
    raise BadInput(f"there is no worksheet “{one_line(sheet_id, 40)}” any more; look at the list again")


# -- in the archive ---------------------------------------------------------------------------------------------------


def page_of(archive: Archive, part: Part) -> Page:
    """:func:`page` of a part in the archive, with the inputs kept for it."""
    return page(archive.log(part.id), kept_inputs(archive, part), archive.accepted_checks(part.id))


def kept_inputs(archive: Archive, part: Part) -> list[Kept]:
    """The inputs kept for ``part``; what cannot be read as such is passed over."""
    try:
        return msgspec.convert(archive.settings.get(_setting(part)) or [], list[Kept])
    except msgspec.ValidationError:
        return []


def set_input(archive: Archive, part: Part, name: str, text: str, sheet: str | None = None) -> Page:
    """Keeps ``text`` ("36 in", "91 cm") as the quantity ``name`` of ``part``; an empty text takes it back.

    ``sheet`` is the id of the sheet it was typed in (``Result.id``). An input that nobody said then holds for all
    sheets that ask for it; what was said or assumed is typed over in that sheet alone. Without ``sheet`` it is every
    sheet's. Raises :class:`BadInput`, one line, and keeps nothing, where no sheet has it or it does not fit.
    """
    if not text.strip():
        return take_back(archive, part, name, sheet)
    kept = _added(archive.log(part.id), kept_inputs(archive, part), name, text.strip(), sheet)
    return _keep(archive, part, kept)


def set_inputs(archive: Archive, part: Part, typed: Mapping[str, str]) -> Page:
    """:func:`set_input` for several, of all sheets: all are kept or, where one does not fit, none."""
    log, kept = archive.log(part.id), kept_inputs(archive, part)
    for name, text in typed.items():
        kept = _added(log, kept, name, text.strip(), None)
    return _keep(archive, part, kept)


def _added(log: Log, before: list[Kept], name: str, text: str, sheet: str | None) -> list[Kept]:
    """``before`` with one input more, in place of what it replaces. Raises :class:`BadInput` where it does not fit."""
    made = worksheets(log)
    wanted = {
        s.id: (s, place)
        for s in made
        if (sheet is None or s.id == sheet) and (place := _place(Kept(name=name, text=""), s)) is not None
    }
    if not wanted:
        asked = dict.fromkeys(q.name for s in made for q in s.quantities if q.rule is None)
        raise BadInput(f"there is no input “{one_line(name, 40)}” here; there are: {', '.join(asked) or 'none'}")
    if len(text) > LONGEST_INPUT:
        raise BadInput(f"{one_line(name, 40)}: more than {LONGEST_INPUT} characters; give a shorter input")
    if len(before) >= MOST_KEPT:
        raise BadInput(f"{MOST_KEPT} inputs are kept for this part already; take some back first")
    for one, place in wanted.values():
        others = {k: v for k, v in _typed(before, one).items() if k != place}
        fit(one, {**_that_fit(one, others), place: text})
    first, place = next(iter(wanted.values()))
    scope = None if sheet is None or _asked(first, name) else first.results[0]
    new = Kept(name=place, text=text, sheet=scope)
    return [*(k for k in before if not _same(k, new)), new]


def take_back(archive: Archive, part: Part, name: str, sheet: str | None = None) -> Page:
    """What was said, assumed or open stands again for ``name``: in the sheet with the id ``sheet``, or everywhere.

    Raises :class:`BadInput` where nothing is kept under that name.
    """
    before = kept_inputs(archive, part)
    mine = [k for k in before if k.name.casefold() == name.casefold()]
    if sheet is not None:
        one = next((s for s in worksheets(archive.log(part.id)) if s.id == sheet), None)
        mine = [k for k in mine if one is not None and _place(k, one) is not None]
        mine = [k for k in mine if k.sheet is not None] or mine
    if not mine:
        raise BadInput(f"nothing is kept for “{one_line(name, 40)}”; set it first")
    return _keep(archive, part, [k for k in before if k not in mine])


def _keep(archive: Archive, part: Part, kept: list[Kept]) -> Page:
    archive.settings.put(_setting(part), msgspec.to_builtins(kept) or None)
    return page_of(archive, part)


def _setting(part: Part) -> str:
    # A part's number in the table is given again once the part is gone; with the moment it was made it is its own.
    return f"reckon {part.id} {part.made_at}"


def _same(a: Kept, b: Kept) -> bool:
    return a.name.casefold() == b.name.casefold() and a.sheet == b.sheet


def _asked(sheet: Worksheet, name: str) -> bool:
    return any(q.name.casefold() == name.casefold() and q.origin == "asked" for q in sheet.quantities)


def _typed(kept: Sequence[Kept], sheet: Worksheet) -> dict[str, str]:
    """What of ``kept`` belongs into ``sheet``, by the names it has there."""
    order = sorted(kept, key=lambda k: k.sheet is not None)
    return {place: k.text for k in order if (place := _place(k, sheet)) is not None}


def _that_fit(sheet: Worksheet, typed: Mapping[str, str]) -> dict[str, str]:
    """``typed`` without what the sheet cannot take any more."""
    good: dict[str, str] = {}
    for name, text in typed.items():
        try:
            fit(sheet, {**good, name: text})
        except BadInput:
            continue
        good[name] = text
    return good


__all__ = [
    "Kept",
    "Page",
    "inputs_for",
    "kept_inputs",
    "page",
    "page_box",
    "page_of",
    "page_table",
    "set_input",
    "take_back",
]
