"""The link book, the maker's own words, and settings."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import Any

import msgspec
from rapidfuzz import fuzz

from buildlog.archive.builds import Touch, clean_name
from buildlog.archive.records import BookLink, OwnWord
from buildlog.archive.store import Store, now
from buildlog.document import Price
from buildlog.edits import checked_url, clean_text
from buildlog.errors import BadInput, NotFound, one_line

WORD_KINDS = ("material", "tool", "pattern", "reference", "technique", "piece", "not_a_thing")


class LinkBook:
    """Things and their URLs across all builds; of several URLs for a thing, the newest comes first."""

    def __init__(self, store: Store, touch: Touch) -> None:
        self._store = store
        self._touch = touch

    def all(self) -> list[BookLink]:
        """Every entry, by thing."""
        with self._store.read() as conn:
            return [_link(row) for row in conn.execute(f"{_LINKS} ORDER BY link.thing, link.id DESC")]

    def keep(
        self,
        thing: str,
        url: str,
        *,
        price: Price | None = None,
        shop: str | None = None,
        pays_maker: bool | None = None,
        alternatives: Sequence[str] | None = None,
        edit_id: int | None = None,
    ) -> BookLink:
        """Enter a URL for a thing; known already, only what is given changes. Raises :class:`BadInput`.

        ``edit_id`` is the edit that attached it, where the book learns it by itself.
        """
        thing, url = clean_name(thing, "thing"), checked_url(url)
        others = None if alternatives is None else [checked_url(u) for u in alternatives]
        with self._store.write() as conn:
            conn.execute(
                "INSERT INTO link (thing, url, made_at, edit_id) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING",
                (thing, url, now(), edit_id),
            )
            row = conn.execute("SELECT * FROM link WHERE thing = ? AND url = ?", (thing, url)).fetchone()
            values: dict[str, Any] = {}
            if price is not None:
                values |= {"price": price.amount, "currency": price.currency}
            if shop is not None:
                values["shop"] = clean_text(shop)
            if pays_maker is not None:
                values["pays_maker"] = pays_maker
            if others is not None:
                values["alternatives"] = msgspec.json.encode(others).decode()
            for name, value in values.items():
                conn.execute(f"UPDATE link SET {name} = ? WHERE id = ?", (value, row["id"]))
            self._touch(conn, None, "link")
            return self.entry(row["id"])

    def entry(self, link_id: int) -> BookLink:
        """An entry by id. Raises :class:`NotFound`."""
        with self._store.read() as conn:
            row = conn.execute(f"{_LINKS} WHERE link.id = ?", (link_id,)).fetchone()
        if row is None:
            raise NotFound(f"the link book has no entry {link_id}; `buildlog links` lists them")
        return _link(row)

    def of(self, *names: str, likeness: float = 92.0) -> list[BookLink]:
        """Entries for a thing known by ``names``, best first; names are compared by rapidfuzz's 0 to 100."""
        wanted = [clean_text(n).casefold() for n in names]
        ranked = []
        for entry in self.all():
            like = max((fuzz.token_sort_ratio(entry.thing.casefold(), n) for n in wanted), default=0.0)
            if like >= likeness:
                ranked.append((-like, -entry.id, entry))
        return [entry for _, _, entry in sorted(ranked, key=lambda r: r[:2])]

    def with_url(self, url: str) -> list[BookLink]:
        """Entries that have this URL, or have it as an alternative."""
        return [e for e in self.all() if url == e.url or url in e.alternatives]

    def set_checked(self, link_id: int, *, answered: bool, at: str | None = None) -> BookLink:
        """The URL was asked (``at`` ISO 8601, else now) and did or did not answer."""
        with self._store.write() as conn:
            conn.execute("UPDATE link SET checked_at = ?, answered = ? WHERE id = ?", (at or now(), answered, link_id))
            self._touch(conn, None, "link")
            return self.entry(link_id)

    def unlearn(self, edit_id: int) -> None:
        """The edit was undone: what came in by it goes, unless the maker has told more about it since."""
        with self._store.write() as conn:
            gone = conn.execute(
                "DELETE FROM link WHERE edit_id = ? AND shop IS NULL AND checked_at IS NULL AND pays_maker = 0"
                " AND alternatives = '[]'",
                (edit_id,),
            ).rowcount
            if gone:
                self._touch(conn, None, "link")

    def remove(self, link_id: int) -> None:
        """Take an entry out. Raises :class:`NotFound`."""
        with self._store.write() as conn:
            self.entry(link_id)
            conn.execute("DELETE FROM link WHERE id = ?", (link_id,))
            self._touch(conn, None, "link")


# Entries with the build and part of the edit that they came in by.
_LINKS = (
    "SELECT link.*, build.name AS build, part.number AS part FROM link LEFT JOIN edit ON edit.id = link.edit_id"
    " LEFT JOIN part ON part.id = edit.part_id LEFT JOIN build ON build.id = part.build_id"
)


def _link(row: sqlite3.Row) -> BookLink:
    return BookLink(
        id=row["id"],
        thing=row["thing"],
        url=row["url"],
        price=None if row["price"] is None else Price(amount=row["price"], currency=row["currency"]),
        shop=row["shop"],
        pays_maker=bool(row["pays_maker"]),
        checked_at=row["checked_at"],
        answered=None if row["answered"] is None else bool(row["answered"]),
        alternatives=msgspec.json.decode(row["alternatives"]),
        made_at=row["made_at"],
        learned_in=None if row["build"] is None else f"{row['build']}, part {row['part']}",
    )


class OwnWords:
    """The maker's own craft words."""

    def __init__(self, store: Store, touch: Touch) -> None:
        self._store = store
        self._touch = touch

    def all(self) -> list[OwnWord]:
        """Every word, by term."""
        with self._store.read() as conn:
            return [
                OwnWord(
                    term=row["term"],
                    kind=row["kind"],
                    aliases=msgspec.json.decode(row["aliases"]),
                    craft=row["craft"],
                )
                for row in conn.execute("SELECT * FROM own_word ORDER BY term")
            ]

    def keep(self, term: str, kind: str, *, aliases: Sequence[str] = (), craft: str | None = None) -> OwnWord:
        """Add or change a word. Raises :class:`BadInput` for a kind that is not in :data:`WORD_KINDS`."""
        term = clean_name(term, "word")
        if kind not in WORD_KINDS:
            raise BadInput(f"no such kind: {one_line(kind)}; choose one of {', '.join(WORD_KINDS)}")
        clean = [clean_name(a, "alias") for a in aliases]
        with self._store.write() as conn:
            conn.execute(
                "INSERT INTO own_word (term, kind, aliases, craft, made_at) VALUES (?, ?, ?, ?, ?)"
                " ON CONFLICT (term) DO UPDATE SET kind = excluded.kind, aliases = excluded.aliases,"
                " craft = excluded.craft",
                (term, kind, msgspec.json.encode(clean).decode(), craft, now()),
            )
            self._touch(conn, None, "word")
        return OwnWord(term=term, kind=kind, aliases=clean, craft=craft)

    def remove(self, term: str) -> None:
        """Take a word out. Raises :class:`NotFound`."""
        with self._store.write() as conn:
            if not conn.execute("DELETE FROM own_word WHERE term = ?", (clean_text(term),)).rowcount:
                raise NotFound(f"“{one_line(term)}” is not among your words; `buildlog words` lists them")
            self._touch(conn, None, "word")


class Settings:
    """Named values that go with the archive (anything JSON can hold)."""

    def __init__(self, store: Store, touch: Touch) -> None:
        self._store = store
        self._touch = touch

    def get(self, name: str, default: Any = None) -> Any:
        """The value called ``name``, or ``default``."""
        with self._store.read() as conn:
            row = conn.execute("SELECT value FROM setting WHERE name = ?", (name,)).fetchone()
        return default if row is None else msgspec.json.decode(row[0])

    def put(self, name: str, value: Any) -> None:
        """Keep a value; ``None`` takes it away."""
        with self._store.write() as conn:
            conn.execute("DELETE FROM setting WHERE name = ?", (name,))
            if value is not None:
                conn.execute("INSERT INTO setting VALUES (?, ?)", (name, msgspec.json.encode(value).decode()))
            self._touch(conn, None, "setting")
