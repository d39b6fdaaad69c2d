"""Words of the archive that mean much the same as a word of the question: "lacquer" for "varnish", "sledge" for "sled".

Every word of the language or the crafts that is said anywhere gets a vector of its own, once; a question's word is
compared with all of them. Sentence vectors see the whole of what is said; this sees one word of it.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

import numpy as np

from buildlog.find import cells
from buildlog.find.asking import Question, Telling, is_english
from buildlog.find.meaning import Floats, Meaning
from buildlog.find.wording import EMPTY, stem

# Cosine from which words are alike (about one pair of common words in fifty), and what a word of the same meaning is worth; in
# between it rises evenly. Measured on the questions that were looked at, cross-validated, beside half of the cosine from
# .5 on: first five .898 -> .905 on the seen half, first hit .394 -> .399 on the harder ones; at .4 little changes.
ALIKE = 0.3
WORTH = 0.9
_MOST = 60  # words alike with one: in a large archive there would be thousands
_SHORTEST = 3

_kept: dict[tuple[str, int], tuple[dict[str, int], Floats]] = {}
_found: dict[tuple[str, int], dict[str, dict[str, float]]] = {}


def wants_vector(word: str) -> bool:
    """Whether a word has a meaning of its own: names, figures and slips of the tongue have none."""
    return len(word) >= _SHORTEST and word not in EMPTY and not word.isdigit() and is_english(word)


def unlikened(conn: sqlite3.Connection, most: int) -> list[tuple[int, str]]:
    """The next words (id, word) that were not looked at yet, at most ``most``, in order of their ids."""
    rows = conn.execute("SELECT id, word FROM find_word WHERE id > ? ORDER BY id LIMIT ?", (_upto(conn), most))
    return [(int(r[0]), str(r[1])) for r in rows]


def keep(conn: sqlite3.Connection, looked_at: Sequence[tuple[int, str]], vectors: dict[str, bytes]) -> None:
    """Keep the vectors of words that were looked at. Inside a write transaction."""
    conn.executemany(
        "INSERT OR REPLACE INTO find_like VALUES (?, ?, ?)", [(n, w, vectors[w]) for n, w in looked_at if w in vectors]
    )
    conn.execute("INSERT OR REPLACE INTO find_meta VALUES ('likened', ?)", (str(looked_at[-1][0]),))


def liken(conn: sqlite3.Connection, encoder: Meaning, asked: Question) -> None:
    """Give each telling word of a question the words of the archive that are like it."""
    key = (_made(conn), _upto(conn))
    if key not in _found:
        _found.clear()
        _found[key] = {}
    known = _found[key]
    meant = {t.word: word for t in asked.telling if (word := _meant(t)) is not None}
    new = sorted({w for w in meant.values() if w not in known})
    if new:
        if len(known) > 5_000:
            known.clear()
        known.update(_like(*_table(conn, key), new, encoder))
    for t in asked.telling:
        t.like = known.get(meant.get(t.word, ""), {})


def _meant(t: Telling) -> str | None:
    """The word as it is, or as it was most likely meant."""
    if wants_vector(t.word):
        return t.word
    best = max(t.ways[1:], key=lambda w: w.weight, default=None) if t.n == 0 else None
    return best.words[0] if best is not None and len(best.words) == 1 and wants_vector(best.words[0]) else None


def _made(conn: sqlite3.Connection) -> str:
    row = conn.execute("SELECT value FROM find_meta WHERE name = 'made'").fetchone()
    return str(row[0]) if row else ""


def _upto(conn: sqlite3.Connection) -> int:
    row = conn.execute("SELECT value FROM find_meta WHERE name = 'likened'").fetchone()
    return int(row[0]) if row else 0


def _table(conn: sqlite3.Connection, key: tuple[str, int]) -> tuple[dict[str, int], Floats]:
    """All words that have vectors with their rows, and these: shape (n, 384). Kept between questions."""
    if key not in _kept:
        _kept.clear()
        rows = conn.execute("SELECT word, v FROM find_like").fetchall()
        _kept[key] = ({r[0]: n for n, r in enumerate(rows)}, cells.unpack([r[1] for r in rows]))
    return _kept[key]


def _like(words: dict[str, int], table: Floats, asked: list[str], encoder: Meaning) -> dict[str, dict[str, float]]:
    """For each word asked for, the words alike with what they are worth; forms of the word itself are left out."""
    unsaid = [w for w in asked if w not in words]
    own = dict(zip(unsaid, encoder.vectors(unsaid), strict=True))
    every = list(words)
    out: dict[str, dict[str, float]] = {}
    for word in asked:
        cosines = cells.dots(table, own[word] if word in own else table[words[word]])
        likest = np.argsort(-cosines)[:_MOST]
        near = [(every[n], float(cosines[n])) for n in likest.tolist() if cosines[n] >= ALIKE]
        out[word] = {w: WORTH * (cosine - ALIKE) / (1.0 - ALIKE) for w, cosine in near if stem(w) != stem(word)}
    return out
