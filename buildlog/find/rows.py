"""The index's rows of one moment, one thing, one link owed: put in, taken out, found again."""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple

import msgspec

from buildlog.document import Item, LinkOwed, Log, Piece, Technique
from buildlog.find import cells
from buildlog.find.moments import Moment
from buildlog.find.wording import sound, stem, stems, words_of
from buildlog.tag.lexicon import Lexicon

Texts = tuple[str, str, str]  # said, done, names: what the word index holds of a moment


class ThingRow(NamedTuple):
    """What is kept of a thing or piece. ``of``: an item's kind, "technique" or "piece"; times in seconds."""

    of: str
    name: str
    aliases: tuple[str, ...]
    status: str
    first_s: float
    times: tuple[float, ...]

    @property
    def key(self) -> str:
        """What joins the same thing over parts: the craft's own name for it, else its words' stems."""
        return key_of(self.name, self.of)

    @property
    def names(self) -> str:
        """Name and other names, one a line."""
        return "\n".join((self.name, *self.aliases))

    @property
    def times_json(self) -> str:
        """The times as they are kept."""
        return msgspec.json.encode(self.times).decode()


def key_of(name: str, of: str) -> str:
    """What joins the same thing over parts: the craft's own name for it, else its words' stems."""
    term = Lexicon.load().find(name, of if of != "piece" else None)
    return " ".join(stems(words_of(term.name if term is not None else name)))


def of_thing(thing: Item | Technique) -> ThingRow:
    """The row of an item or technique."""
    first = thing.first_s if isinstance(thing, Item) else thing.first_shown_s
    times = tuple(m.start_s for m in thing.mentions) or (first,)
    of, status = (thing.kind, thing.status) if isinstance(thing, Item) else ("technique", "used")
    return ThingRow(of, thing.name, tuple(thing.aliases), status, first, times)


def of_piece(piece: Piece, log: Log) -> ThingRow:
    """The row of a piece: its times are those of its steps."""
    times = tuple(s.start_s for s in log.steps if s.piece == piece.id)
    return ThingRow("piece", piece.name, (), "used", min(times, default=0.0), times)


def add_thing(conn: sqlite3.Connection, part_id: int, row: ThingRow, moments: Iterable[int]) -> None:
    """Put a thing in; ``moments`` are the ids of those it is mentioned in."""
    made = conn.execute(
        "INSERT INTO find_thing (part_id, of, name, key, names, status, first_s, times)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        (part_id, row.of, row.name, row.key, row.names, row.status, row.first_s, row.times_json),
    )
    conn.executemany("INSERT INTO find_at VALUES (?, ?)", [(made.lastrowid, m) for m in moments])
    words = {s for text in (row.name, *row.aliases) for s in stems(words_of(text))}
    conn.executemany("INSERT INTO find_thing_word VALUES (?, ?)", [(s, made.lastrowid) for s in words])


def remove_thing(conn: sqlite3.Connection, part_id: int, row: ThingRow) -> bool:
    """Take a thing out. False where it was not there."""
    found = conn.execute(
        "SELECT id FROM find_thing WHERE key = ? AND of = ? AND part_id = ? AND name = ? AND names = ? AND status = ?"
        " AND first_s = ? AND times = ? LIMIT 1",
        (row.key, row.of, part_id, row.name, row.names, row.status, row.first_s, row.times_json),
    ).fetchone()
    if found is None:
        return False
    for table, column in (("find_at", "thing_id"), ("find_thing_word", "thing_id"), ("find_thing", "id")):
        conn.execute(f"DELETE FROM {table} WHERE {column} = ?", (found[0],))
    return True


def owed(link: LinkOwed) -> bool:
    """Whether a link is still owed."""
    return link.url is None and not link.waived


def add_owed(conn: sqlite3.Connection, part_id: int, links: Iterable[LinkOwed]) -> None:
    """Put links owed in."""
    conn.executemany(
        "INSERT INTO find_owed (part_id, start_s, what, text) VALUES (?, ?, ?, ?)",
        [(part_id, x.start_s, x.what, x.text) for x in links],
    )


def remove_owed(conn: sqlite3.Connection, part_id: int, link: LinkOwed) -> bool:
    """Take a link owed out. False where it was not there."""
    done = conn.execute(
        "DELETE FROM find_owed WHERE id = (SELECT id FROM find_owed WHERE part_id = ? AND start_s = ? AND what = ?"
        " AND text = ? LIMIT 1)",
        (part_id, link.start_s, link.what, link.text),
    )
    return done.rowcount == 1


def add_moment(conn: sqlite3.Connection, part_id: int, seq: int, m: Moment, counts: Counter[str]) -> int:
    """Put a moment in; gives its id. ``counts`` is told of its words, for :func:`count_words`."""
    made = conn.execute(
        "INSERT INTO find_moment (part_id, seq, start_s, end_s, at_s, said, done, names, piece, flags)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (part_id, seq, m.start_s, m.end_s, m.at_s, m.said, m.done, m.names, m.piece, m.flags),
    )
    moment_id = int(made.lastrowid or 0)
    _index(conn, moment_id, (m.said, m.done, m.names), counts)
    return moment_id


def change_moment(conn: sqlite3.Connection, moment_id: int, old: Texts, m: Moment, counts: Counter[str]) -> None:
    """Make the moment ``moment_id``, which has the texts ``old``, into ``m``; its vector stays if its words do."""
    new = (m.said, m.done, m.names)
    if old != new:
        _forget(conn, moment_id, old, counts)
    conn.execute(
        "UPDATE find_moment SET start_s = ?, end_s = ?, at_s = ?, said = ?, done = ?, names = ?, piece = ?, flags = ?"
        " WHERE id = ?",
        (m.start_s, m.end_s, m.at_s, m.said, m.done, m.names, m.piece, m.flags, moment_id),
    )
    if old != new:
        _index(conn, moment_id, new, counts)
    if old[0] != m.said and cells.remove(conn, moment_id) is not None:
        conn.execute("UPDATE find_moment SET cell = NULL WHERE id = ?", (moment_id,))


def remove_moment(conn: sqlite3.Connection, moment_id: int, old: Texts, counts: Counter[str]) -> bytes | None:
    """Take a moment with the texts ``old`` out; gives its vector, if it had one."""
    vector = cells.remove(conn, moment_id)
    _forget(conn, moment_id, old, counts)
    conn.execute("DELETE FROM find_moment WHERE id = ?", (moment_id,))
    return vector


def _index(conn: sqlite3.Connection, moment_id: int, texts: Texts, counts: Counter[str]) -> None:
    conn.execute("INSERT INTO find_text (rowid, said, done, names) VALUES (?, ?, ?, ?)", (moment_id, *texts))
    counts.update({w for text in texts for w in words_of(text)})


def _forget(conn: sqlite3.Connection, moment_id: int, texts: Texts, counts: Counter[str]) -> None:
    conn.execute(
        "INSERT INTO find_text(find_text, rowid, said, done, names) VALUES ('delete', ?, ?, ?, ?)", (moment_id, *texts)
    )
    counts.subtract({w for text in texts for w in words_of(text)})


def count_words(conn: sqlite3.Connection, counts: Counter[str]) -> None:
    """How many moments hold each word: for weighing, and to know the words that misspelt ones may mean."""
    for word, n in counts.items():
        if n == 0:
            continue
        if conn.execute("UPDATE find_word SET n = n + ? WHERE word = ?", (n, word)).rowcount:
            continue
        made = conn.execute(
            "INSERT INTO find_word (word, stem, sound, n) VALUES (?, ?, ?, ?)", (word, stem(word), sound(word), n)
        )
        conn.execute("INSERT INTO find_spelling (rowid, word) VALUES (?, ?)", (made.lastrowid, word))
