"""The link book at work: what it learns from parts, which videos use a link, what to mend when one dies, CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from typing import TYPE_CHECKING

import msgspec

from buildlog.document import Price
from buildlog.edits import Anchor, AttachUrl, checked_url
from buildlog.errors import BadInput, one_line
from buildlog.publish.box import Box, box
from buildlog.publish.formats import prepare
from buildlog.publish.plain import clean, safe_url
from buildlog.publish.series import about_part, choices
from buildlog.publish.tables import plain_cell, table

if TYPE_CHECKING:
    from buildlog.archive import Archive, BookLink, Part

COLUMNS = ("thing", "url", "price", "currency", "shop", "pays me", "alternatives", "last checked", "answered")
_YES = {"yes", "y", "true", "1", "x"}
_NO = {"", "no", "n", "false", "0"}


class Use(msgspec.Struct, frozen=True, kw_only=True):
    """An entry and the parts whose descriptions show it."""

    entry: BookLink
    parts: list[str]


class Mend(msgspec.Struct, frozen=True, kw_only=True):
    """A description to put right: the part, what it says about the link now, and its whole new text."""

    part_id: int
    label: str
    things: list[str]
    box: Box


def learn(archive: Archive) -> list[BookLink]:
    """Enter every URL that was attached to a thing in some part and that the book does not have; returns the new."""
    have = {(e.thing.casefold(), e.url) for e in archive.links.all()}
    new = []
    for part in archive.builds.parts():
        log = archive.log(part.id)
        found = [(i.name, i.link, i.price) for i in log.items if i.link and i.status == "used"]
        found += [(x.what, x.url, None) for x in log.links_owed if x.url and x.item is None and x.what != "general"]
        for thing, url, price in found:
            name, safe = clean(thing)[:200], safe_url(url)
            if name and safe and (name.casefold(), safe) not in have:
                have.add((name.casefold(), safe))
                new.append(archive.links.keep(name, safe, price=price))
    return new


def uses(archive: Archive) -> list[Use]:
    """Every entry with the labels of the parts that show its URL."""
    book = archive.links.all()
    shown: dict[str, list[str]] = {}
    for part in archive.builds.parts():
        for url in _urls(archive, part, book):
            shown.setdefault(url, []).append(part.label)
    return [Use(entry=e, parts=shown.get(e.url, [])) for e in book]


def _urls(archive: Archive, part: Part, book: list[BookLink]) -> list[str]:
    host, settings = choices(archive, part)
    found = prepare(archive.log(part.id), host=host, settings=settings, link_book=book)
    return found.sheet.urls()


def to_mend(archive: Archive, url: str, instead: str | None = None) -> list[Mend]:
    """The descriptions that show ``url``, each with its text as it should be: with ``instead``, or an alternative
    that the book knows, or without the link. Nothing is changed. Raises :class:`BadInput` for no web address."""
    url = checked_url(url)
    instead = checked_url(instead) if instead else _alternative(archive, url)
    book = archive.links.all()
    after = list(_replaced(book, url, instead))
    out = []
    for part in archive.builds.parts():
        log = archive.log(part.id)
        host, settings = choices(archive, part)
        about = about_part(archive, part)
        found = prepare(log, host=host, settings=settings, about=about, link_book=book).sheet
        if url not in found.urls():
            continue
        things = [t.name for t in [*found.things(), *found.substitutes] if t.url == url]
        things += [p.what for p in found.links if p.url == url]
        mended = msgspec.structs.replace(
            log,
            items=[msgspec.structs.replace(i, link=instead) if i.link == url else i for i in log.items],
            links_owed=[msgspec.structs.replace(x, url=instead) if x.url == url else x for x in log.links_owed],
        )
        text = box(mended, host=host, settings=settings, about=about, link_book=after)
        out.append(Mend(part_id=part.id, label=part.label, things=things, box=text))
    return out


def replace(archive: Archive, url: str, instead: str) -> list[Mend]:
    """Put ``instead`` in the place of ``url``, in the book and wherever it was attached; returns what to post anew."""
    mends = to_mend(archive, url, instead)
    url, instead = checked_url(url), checked_url(instead)
    for part in archive.builds.parts():
        log = archive.log(part.id)
        for item in log.items:
            if item.link == url:
                anchor = Anchor(of="item", name=item.name, start_s=item.first_s, kind=item.kind)
                archive.edit(part.id, AttachUrl(at=anchor, url=instead))
        for link in archive.log(part.id).links_owed:
            if link.url == url:
                anchor = Anchor(of="link", name=link.what, start_s=link.start_s)
                archive.edit(part.id, AttachUrl(at=anchor, url=instead))
    for entry in archive.links.with_url(url):
        if entry.url == url:
            others = [a for a in entry.alternatives if a != instead]
            archive.links.keep(
                entry.thing,
                instead,
                price=entry.price,
                shop=entry.shop,
                pays_maker=entry.pays_maker,
                alternatives=others,
            )
            archive.links.remove(entry.id)
    return mends


def _alternative(archive: Archive, url: str) -> str | None:
    for entry in archive.links.with_url(url):
        for other in entry.alternatives:
            if other != url:
                return other
    return None


def _replaced(book: list[BookLink], url: str, instead: str | None) -> Iterator[BookLink]:
    for entry in book:
        if entry.url != url:
            yield entry
        elif instead is not None:
            yield msgspec.structs.replace(entry, url=instead, answered=None)


# CSV ------------------------------------------------------------------------------------------------------------------


def to_csv(entries: list[BookLink]) -> str:
    """The book as a table that :func:`from_csv` reads back."""
    return table(
        COLUMNS,
        [
            (
                e.thing,
                e.url,
                "" if e.price is None else f"{e.price.amount:g}",
                "" if e.price is None else e.price.currency,
                e.shop,
                "yes" if e.pays_maker else "",
                " ".join(e.alternatives),
                e.checked_at,
                {None: "", True: "yes", False: "no"}[e.answered],
            )
            for e in entries
        ],
    )


def from_csv(archive: Archive, text: str) -> int:
    """Enter the rows of a table into the book, all or none; returns how many. Raises :class:`BadInput` with the line.

    Needed are the columns "thing" and "url"; the others of :data:`COLUMNS` are taken where they are there.
    """
    rows = _read(text)
    with archive.store.write():
        for line, row in rows:
            try:
                entry = archive.links.keep(
                    row["thing"],
                    row["url"],
                    price=_price(row),
                    shop=row.get("shop") or None,
                    pays_maker=_flag(row.get("pays me")),
                    alternatives=row["alternatives"].split() if "alternatives" in row else None,
                )
                answered = _flag(row.get("answered"))
                if answered is not None and row.get("last checked"):
                    archive.links.set_checked(entry.id, answered=answered, at=row["last checked"])
            except BadInput as error:
                raise BadInput(f"line {line}: {error}") from error
    return len(rows)


def _read(text: str) -> list[tuple[int, dict[str, str]]]:
    reader = csv.reader(io.StringIO(text.removeprefix("\ufeff")), strict=True)
    out = []
    try:
        names = [c.strip().casefold() for c in next(reader, [])]
        if not {"thing", "url"} <= set(names):
            raise BadInput("the table has no columns “thing” and “url”; name them in its first line")
        for cells in reader:
            if any(c.strip() for c in cells):
                values = {n: plain_cell(c.strip()) for n, c in zip(names, cells, strict=False)}
                if not (values.get("thing") and values.get("url")):
                    raise BadInput(f"line {reader.line_num}: a thing and a url are needed; fill both in")
                out.append((reader.line_num, values))
    except csv.Error as error:
        raise BadInput(f"line {reader.line_num}: not a table: {one_line(error, 80)}; export it as CSV again") from error
    return out


def _price(row: dict[str, str]) -> Price | None:
    said = row.get("price", "")
    if not said:
        return None
    try:
        amount = float(said)
    except ValueError as error:
        raise BadInput(f"“{one_line(said, 30)}” is no price; write a number such as 4.50") from error
    if not 0 <= amount < 1e9:
        raise BadInput(f"“{one_line(said, 30)}” is no price; write a number such as 4.50")
    return Price(amount=amount, currency=clean(row.get("currency", ""))[:3].upper() or None)


def _flag(said: str | None) -> bool | None:
    if said is None:
        return None
    word = said.strip().casefold()
    if word in _YES:
        return True
    if word in _NO:
        return False if word else None
    raise BadInput(f"“{one_line(said, 30)}” is neither yes nor no")
