"""Questions the other way round: from a thing to the builds, from the archive to what was never done.

Answered from the index's list of things (costs and links from the logs themselves); every answer has its moment.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable

import msgspec

from buildlog.archive import Archive, Part
from buildlog.document import Item, Log
from buildlog.errors import NotFound, one_line
from buildlog.find.searching import things_named


class Use(msgspec.Struct, frozen=True, kw_only=True):
    """A thing in one part: ``status`` as in the log, ``at_s`` where it first comes up, ``day`` when it was posted."""

    part_id: int
    build: str
    part: int
    day: str
    of: str
    name: str
    status: str
    at_s: float
    times: int


class Promise(msgspec.Struct, frozen=True, kw_only=True):
    """A link promised aloud that has no URL and was not waived."""

    part_id: int
    build: str
    part: int
    day: str
    what: str
    at_s: float
    text: str


class Cost(msgspec.Struct, frozen=True, kw_only=True):
    """One price said. ``counted`` is what it adds to the sum, ``None`` where the words do not tell (``why``)."""

    part_id: int
    part: int
    name: str
    said: str
    currency: str | None
    counted: float | None
    why: str
    at_s: float


class Costs(msgspec.Struct, frozen=True, kw_only=True):
    """What a build cost: the prices said, their sum for each currency, and totals said aloud (part, words)."""

    build: str
    prices: list[Cost]
    sums: dict[str, float]
    said: list[tuple[int, str]]


_USE = (
    "SELECT t.part_id, p.build, p.number, p.day, t.of, t.name, t.status, t.first_s, t.times"
    " FROM find_thing t JOIN find_part p ON p.part_id = t.part_id"
)


def _uses(rows: Iterable[sqlite3.Row]) -> list[Use]:
    return [
        Use(part_id=r[0], build=r[1], part=r[2], day=r[3], of=r[4], name=r[5], status=r[6], at_s=r[7],
            times=len(msgspec.json.decode(r[8])))
        for r in rows
    ]  # fmt: skip


def made_with(archive: Archive, thing: str, *, used_only: bool = True) -> list[Use]:
    """Everything in which ``thing`` was used, oldest first. Empty where it never was."""
    with archive.store.read() as conn:
        ids = things_named(conn, thing)
        marks = ",".join(map(str, ids)) or "NULL"
        used = " AND t.status = 'used'" if used_only else ""
        return _uses(conn.execute(f"{_USE} WHERE t.id IN ({marks}){used} ORDER BY p.day, p.number, t.first_s"))


def last_used(archive: Archive, thing: str) -> Use | None:
    """Where ``thing`` was used last, or ``None``."""
    found = made_with(archive, thing)
    return found[-1] if found else None


def shown_once(archive: Archive) -> list[Use]:
    """Techniques shown in one part only, by name."""
    with archive.store.read() as conn:
        return _uses(
            conn.execute(
                f"{_USE} WHERE t.of = 'technique' AND t.key IN (SELECT key FROM find_thing WHERE of = 'technique'"
                " GROUP BY key HAVING count(DISTINCT part_id) = 1) ORDER BY t.name, t.first_s"
            )
        )


def never_linked(archive: Archive) -> list[Promise]:
    """Links promised and still without a URL, oldest part first."""
    with archive.store.read() as conn:
        rows = conn.execute(
            "SELECT o.part_id, p.build, p.number, p.day, o.what, o.start_s, o.text FROM find_owed o"
            " JOIN find_part p ON p.part_id = o.part_id ORDER BY p.day, p.number, o.start_s"
        ).fetchall()
    return [Promise(part_id=r[0], build=r[1], part=r[2], day=r[3], what=r[4], at_s=r[5], text=r[6]) for r in rows]


def cost(archive: Archive, build: str) -> Costs:
    """What a build cost as far as prices were said. Raises :class:`NotFound` for a build that is not there."""
    found = archive.builds.parts(archive.builds.named(build).id)
    if not found:
        raise NotFound(f"“{one_line(build)}” has no part yet; `buildlog take FILE --build …` adds one")
    prices: list[Cost] = []
    said: list[tuple[int, str]] = []
    for part in found:
        log = archive.log(part.id)
        prices += [_priced(part, log, item) for item in log.items if item.price is not None and item.status == "used"]
        if log.total_said is not None:
            total = log.total_said
            said.append((part.number, total.text or f"{total.amount:g} {total.currency or ''}".strip()))
    sums: dict[str, float] = {}
    for price in prices:
        if price.counted is not None:
            currency = price.currency or "?"
            sums[currency] = round(sums.get(currency, 0.0) + price.counted, 2)
    return Costs(build=found[0].build, prices=prices, sums=sums, said=said)


def _priced(part: Part, log: Log, item: Item) -> Cost:
    price = item.price
    assert price is not None
    counted, why = _counted(log, item)
    words = price.text or f"{price.amount:g} {price.currency or ''}".strip()
    return Cost(
        part_id=part.id, part=part.number, name=item.name, said=words, currency=price.currency, counted=counted,
        why=why, at_s=item.first_s,
    )  # fmt: skip


_UNITS = {"metre": "meter", "yd": "yard", "m": "meter", "foot": "foot", "feet": "foot"}


def _counted(log: Log, item: Item) -> tuple[float | None, str]:
    price = item.price
    assert price is not None
    per = (price.per or "").strip().lower().removeprefix("a ")
    if not per or per.isdigit():
        return price.amount, "the price said" if not per else f"for {per}"
    wanted = _UNITS.get(per, per)
    amounts = [m for m in log.measurements if m.id in item.quantities]
    if per in ("each", "apiece", "piece"):
        count = next((m for m in amounts if m.unit is None), None)
    else:
        count = next((m for m in amounts if m.unit == wanted), None)
    if count is None:
        return None, f"said per {per}, and not how many"
    return round(price.amount * count.value, 2), f"{count.value:g} x {price.amount:g}"
