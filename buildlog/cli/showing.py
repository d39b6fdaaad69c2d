"""A log as text for people: what `show` prints."""

from __future__ import annotations

from collections.abc import Iterator

from buildlog.archive import Owed, Part
from buildlog.cli.common import hms, safe
from buildlog.document import Item, Log, Measurement, Price

SECTIONS = ("chapters", "steps", "items", "techniques", "amounts", "links", "notes", "checks")
_STATUS = {"used": "", "considered": "considered, not used", "substitute": "instead", "mentioned": "only mentioned"}
_KINDS = {"material": "Materials", "tool": "Tools", "pattern": "Patterns", "reference": "References"}


def lines(log: Log, part: Part, owed: Owed, sections: tuple[str, ...] = SECTIONS) -> Iterator[str]:
    """The log of a part, a line at a time, safe for a terminal."""
    title = f": {safe(part.title)}" if part.title else ""
    yield f"{safe(part.label)}{title}   {hms(log.recording.duration_s)}"
    for name in sections:
        yield from _checks(log, owed) if name == "checks" else _section(log, name)


def recording_lines(log: Log) -> Iterator[str]:
    """The log of a recording that is in no archive, a line at a time, safe for a terminal."""
    yield f"{safe(log.recording.path)}   {hms(log.recording.duration_s)}"
    for name in SECTIONS[:-1]:
        yield from _section(log, name)
    yield from _block("Worth a look", (f"{hms(c.start_s):>8}  {safe(c.text)}" for c in log.checks))


def _section(log: Log, name: str) -> Iterator[str]:
    if name == "steps":
        return _steps(log)
    if name == "items":
        return _items(log)
    if name == "links":
        return _links(log)
    rows = {
        "chapters": ("Chapters", (f"{hms(c.start_s):>8}  {safe(c.title)}" for c in log.chapters)),
        "techniques": ("Techniques", (f"{hms(t.first_shown_s):>8}  {safe(t.name)}" for t in log.techniques)),
        "amounts": ("Amounts", (f"{hms(m.start_s):>8}  {_amount(m)}" for m in log.measurements)),
        "notes": (
            "Notes",
            (f"{hms(n.start_s):>8}  {n.kind.replace('_', ' ')}: {safe(n.text)}" for n in log.notes),
        ),
    }
    return _block(*rows[name])


def _block(heading: str, rows: Iterator[str]) -> Iterator[str]:
    for number, row in enumerate(rows):
        if number == 0:
            yield ""
            yield heading
        yield row


def _steps(log: Log) -> Iterator[str]:
    pieces = {p.id: p.name for p in log.pieces}

    def rows() -> Iterator[str]:
        for number, step in enumerate(log.steps, 1):
            piece = pieces.get(step.piece or "", step.piece)
            tail = f"  ({safe(piece)})" if piece else ""
            off = "" if step.on_camera else "  [off camera]"
            yield f"{hms(step.start_s):>8}  {number}. {safe(step.text)}{tail}{off}"

    return _block("Steps", rows())


def _items(log: Log) -> Iterator[str]:
    amounts = {m.id: m for m in log.measurements}
    names = {i.id: i.name for i in log.items}

    def row(item: Item) -> str:
        facts = [safe(amounts[q].text) for q in item.quantities if q in amounts]
        facts += [safe(f) for f in (item.size, item.source) if f]
        if item.price is not None:
            facts.append(_price(item.price))
        status = _STATUS[item.status]
        if item.instead_of:
            other = safe(names.get(item.instead_of, item.instead_of))
            status = f"instead of {other}" if item.status in ("used", "substitute") else f"{status}: {other}"
        facts += [status] if status else []
        facts += [safe(item.link)] if item.link else []
        return f"{hms(item.first_s):>8}  {safe(item.name)}" + (f": {', '.join(facts)}" if facts else "")

    for kind, heading in _KINDS.items():
        yield from _block(heading, (row(i) for i in log.items if i.kind == kind))


def _price(price: Price) -> str:
    about = "about " if price.approximate else ""
    per = f" for {safe(price.per)}" if price.per else ""
    return f"{about}{price.amount:.2f}{' ' + safe(price.currency) if price.currency else ''}{per}"


def _amount(m: Measurement) -> str:
    return safe(m.text) + (f" ({safe(m.of)})" if m.of else "")


def _links(log: Log) -> Iterator[str]:
    def rows() -> Iterator[str]:
        for link in log.links_owed:
            state = safe(link.url) if link.url else "waived" if link.waived else "open"
            yield f"{hms(link.start_s):>8}  {safe(link.what)}: {state}"

    return _block("Links owed", rows())


def _checks(log: Log, owed: Owed) -> Iterator[str]:
    yield from _block("Worth a look", (f"{hms(c.start_s):>8}  {safe(c.text)}" for c in log.checks))
    yield from _block("Edits that need a look", (f"          {safe(why)}" for why in owed.needs_look))
