"""Finding the moment: candidates by words and by meaning, weighed together, the best of the alike shown once."""

from __future__ import annotations

import itertools
import sqlite3
from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt
from rapidfuzz import fuzz

from buildlog.archive import Archive
from buildlog.errors import ArchiveError
from buildlog.find import cells
from buildlog.find.asking import APART, Question, Telling, Way, understand
from buildlog.find.certainty import certainty, is_named
from buildlog.find.likeness import WORTH, liken
from buildlog.find.meaning import Meaning, meaning, why_not
from buildlog.find.moments import DONE, OFF_CAMERA
from buildlog.find.wording import EMPTY, stem, stems, words_of

CANDIDATES = 160
NEAREST = 60
_LEADING = 60
_WIDE = 40
# Limits that keep a question's cost from growing with the archive.
_FEW_PARTS = 500
_FEW = 1_000
_LOOKED_AT = 40_000


class Damaged(ArchiveError):
    """The index contradicts itself."""


class Only(msgspec.Struct, frozen=True, kw_only=True):
    """What to look in. Names are matched by their words; dates are ISO, of posting (else of taking in), inclusive.

    ``shown`` keeps moments in which something is done; ``mentioned`` those in which it is only talked of;
    ``on_camera`` False keeps what was done off camera.
    """

    build: str | None = None
    part: int | None = None
    technique: str | None = None
    material: str | None = None
    tool: str | None = None
    piece: str | None = None
    since: str | None = None
    until: str | None = None
    shown: bool | None = None
    on_camera: bool | None = None


class Hit(msgspec.Struct, frozen=True, kw_only=True):
    """A moment found. Times are seconds on the part's clock; ``score`` is 0 to 1; ``why`` says what matched.

    ``also`` are other places that say nearly the same: (part id, seconds).
    """

    part_id: int
    build: str
    part: int
    title: str
    day: str
    at_s: float
    start_s: float
    end_s: float
    said: str
    done: str
    piece: str
    shown: bool
    on_camera: bool
    score: float
    why: str
    also: list[tuple[int, float]] = []


class Found(msgspec.Struct, frozen=True, kw_only=True):
    """The answer to a question. ``nowhere``: nothing is near enough, and ``hits`` holds what came nearest.

    ``by`` is "words and meaning" or "words"; ``why_words`` says why there are no vectors. ``unknown`` are words of the
    question that name things no moment has, under any name.
    """

    question: str
    hits: list[Hit]
    nowhere: bool
    by: Literal["words and meaning", "words"]
    why_words: str | None = None
    unknown: list[str] = []


@dataclass(slots=True)
class _Row:
    id: int
    part_id: int
    seq: int
    start_s: float
    end_s: float
    at_s: float
    said: str
    done: str
    names: str
    piece: str
    flags: int
    cell: int | None
    said_words: frozenset[str] = frozenset()
    said_stems: str = ""
    name_stems: str = ""
    met: npt.NDArray[np.float32] = field(default_factory=lambda: np.zeros(0, np.float32))
    words: float = 0.0
    near: float = 0.0
    score: float = 0.0
    own: float = 0.0  # the score without what lies around
    held: float = 0.0  # the words, with little of what lies around
    title: float = 0.0  # of the question's weight, what the build's name and the part's title hold


_COLUMNS = "id, part_id, seq, start_s, end_s, at_s, said, done, names, piece, flags, cell"


def search(
    archive: Archive, question: str, *, only: Only | None = None, limit: int = 10, vectors: bool = True
) -> Found:
    """The moments that answer ``question``, best first. Raises :class:`BadInput` for a question without words.

    Reads the index only: bring it up to date first (:func:`buildlog.find.bring_up`).
    """
    encoder = meaning() if vectors else None
    with archive.store.read() as conn:
        asked = understand(conn, question)
        ranked = rank(conn, asked, only or Only(), encoder)
        parts = _parts(conn, {r.part_id for r in ranked})
    sure = bool(ranked) and (is_named(asked, ranked) or certainty(asked, ranked, encoder is not None) > 0.0)
    ranked = ranked[: max(40, 4 * limit)]
    if asked.order and ranked:
        ranked = _in_time(asked, ranked, parts)
    hits = _fold(asked, ranked, parts, limit)
    return Found(
        question=asked.text,
        hits=hits,
        nowhere=not (hits and sure),
        by="words and meaning" if encoder is not None else "words",
        why_words=None if encoder is not None else (why_not() or "not asked for"),
        unknown=[t.word for t in asked.telling if t.absent],
    )


def rank(conn: sqlite3.Connection, asked: Question, only: Only, encoder: Meaning | None) -> list[_Row]:
    """The moments worth showing, best first, each with its score. Inside a read of the archive."""
    within = _within(conn, only)
    rows = {r.id: r for r in _by_words(conn, asked, within)}
    near: _Near | None = None
    if encoder is not None:
        vector = encoder.vectors([asked.meant[:1000]])[0]
        liken(conn, encoder, asked)
        near = _Near(vector, _by_meaning(conn, vector, within))
        rows.update({r.id: r for r in _rows(conn, [i for i in near.cosines if i not in rows])})
    return _weigh(conn, asked, rows, near)


# Where to look ----------------------------------------------------------------------------------------------------


def things_named(conn: sqlite3.Connection, name: str, of: str | None = None) -> list[int]:
    """Ids of the things that ``name`` may mean: all its words in their names, or the craft's same term."""
    query, values = _named(name, of)
    return [int(r[0]) for r in conn.execute(query, values)]


def _named(name: str, of: str | None) -> tuple[str, list[str]]:
    """The query for :func:`things_named`, and its values."""
    from buildlog.find.rows import key_of

    wanted = list(dict.fromkeys(stem(w) for w in words_of(name)))
    if not wanted:
        return "SELECT id FROM find_thing WHERE 0", []
    inner = " INTERSECT ".join("SELECT thing_id FROM find_thing_word WHERE stem = ?" for _ in wanted)
    kinds = [of] if of else ["material", "tool", "pattern", "reference", "technique", "piece"]
    keys = [key_of(name, k) for k in kinds]
    of_kind = " AND of = ?" if of else ""
    return (
        f"SELECT id FROM find_thing WHERE id IN ({inner}){of_kind}"
        f" UNION SELECT id FROM find_thing WHERE key IN ({','.join('?' * len(keys))}){of_kind}",
        [*wanted, *([of] if of else []), *keys, *([of] if of else [])],
    )


@dataclass(slots=True)
class _Within:
    """Where to look: the moments ``ids`` (``None``: all), and of these those that ``condition`` lets through."""

    ids: set[int] | None
    condition: str
    values: list[object]

    def lets(self, conn: sqlite3.Connection, moment_id: int) -> bool:
        if self.ids is not None and moment_id not in self.ids:
            return False
        if not self.condition:
            return True
        row = conn.execute(f"SELECT 1 FROM find_moment WHERE id = ? AND {self.condition}", (moment_id, *self.values))
        return row.fetchone() is not None


def _within(conn: sqlite3.Connection, only: Only) -> _Within:
    """Few moments are listed; what most of the archive may pass is tested one moment at a time."""
    chosen: list[set[int]] = []
    tests: list[str] = []
    values: list[object] = []
    parts: list[str] = []
    wanted: list[object] = []
    for test, value in (
        ("build = ? COLLATE NOCASE", only.build),
        ("number = ?", only.part),
        ("day >= ?", only.since),
        ("day <= ?", only.until),
    ):
        if value is not None:
            parts.append(test)
            wanted.append(value)
    if parts:
        inside = f"SELECT part_id FROM find_part WHERE {' AND '.join(parts)}"
        if conn.execute(f"SELECT count(*) FROM ({inside})", wanted).fetchone()[0] <= _FEW_PARTS:
            rows = conn.execute(f"SELECT id FROM find_moment WHERE part_id IN ({inside})", wanted)
            chosen.append({int(r[0]) for r in rows})
        else:
            tests.append(f"part_id IN ({inside})")
            values += wanted
    for of in ("technique", "material", "tool", "piece"):
        name = getattr(only, of)
        if name is not None:
            query, named = _named(name, of)
            rows = conn.execute(f"SELECT moment_id FROM find_at WHERE thing_id IN ({query})", named)
            chosen.append({int(r[0]) for r in rows})
    if only.shown is not None:
        tests.append(f"(flags & {DONE}) {'!=' if only.shown else '='} 0")
    if only.on_camera is not None:
        tests.append(f"(flags & {OFF_CAMERA}) {'=' if only.on_camera else '!='} 0")
    return _Within(set.intersection(*chosen) if chosen else None, " AND ".join(tests), values)


# Candidates -------------------------------------------------------------------------------------------------------


def _phrase(words: Sequence[str]) -> str:
    return "(" + " AND ".join('"' + w.replace('"', "") + '"' for w in words) + ")"


def _group(t: Telling) -> str:
    """What the word index is asked for a telling word: any of its ways.

    Words that say nothing ("hook and loop") are left out where others remain: nearly every moment holds them. So are
    ways whose words hold another way's: they find nothing more.
    """
    ways = {frozenset(stems(telling)): telling for telling in (_telling_of(w.words) for w in t.ways)}
    return "(" + " OR ".join(_phrase(words) for key, words in ways.items() if not any(o < key for o in ways)) + ")"


def _telling_of(words: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(w for w in words if w not in EMPTY) or words


def _by_words(conn: sqlite3.Connection, asked: Question, within: _Within) -> list[_Row]:
    """Moments that hold most of the telling words' weight, then those that hold the rarest; newest first among equals.

    Weighing every moment that holds any of them would cost as much as the archive is large. Two words together are
    few, and what holds three is known from the twos; only where two are together too often, three are asked for.
    """
    if within.ids is not None and len(within.ids) <= CANDIDATES:
        return _rows(conn, [i for i in within.ids if within.lets(conn, i)])
    telling = sorted((t for t in asked.telling if t.n or len(t.ways) > 1), key=lambda t: -t.idf)[:6]
    if not telling:
        return []
    groups = [_group(t) for t in telling]
    weights = [t.idf for t in telling]
    held: dict[int, int] = {}  # moment: bits of the groups it is known to hold
    looking = _Looking(conn, within)
    often: set[tuple[int, ...]] = set()
    for size in range(2, len(groups) + 1):
        sets = [
            c for c in itertools.combinations(range(len(groups)), size)
            if size == 2 or often.issuperset(itertools.combinations(c, size - 1))
        ]  # fmt: skip
        for some in sorted(sets, key=lambda c: -sum(weights[k] for k in c)):
            found = looking.newest(" AND ".join(groups[k] for k in some), CANDIDATES)
            bits = sum(1 << k for k in some)
            for moment_id in found:
                held[moment_id] = held.get(moment_id, 0) | bits
            if len(found) == CANDIDATES:
                often.add(some)
    weight = {b: sum(w for k, w in enumerate(weights) if b >> k & 1) for b in set(held.values())}
    best = dict.fromkeys(sorted(held, key=lambda i: (-weight[held[i]], -i))[:CANDIDATES])
    for group in groups:  # the rarest first
        if len(best) < CANDIDATES or len(groups) == 1:
            best.update(dict.fromkeys(looking.newest(group, max(CANDIDATES - len(best), CANDIDATES // 4), best)))
    if not best and within.ids is None and not within.condition:
        _check_not_torn(conn, telling)
    return _rows(conn, list(best))


def _check_not_torn(conn: sqlite3.Connection, telling: list[Telling]) -> None:
    """A word that the list of words has and the word index has not: a torn index says "nowhere" to everything."""
    for t in telling:
        row = conn.execute("SELECT n FROM find_word WHERE word = ?", (t.word,)).fetchone()
        if row is not None and row[0] > 0:
            raise Damaged("the index of words is damaged; `buildlog find --rebuild` makes it anew")


class _Looking:
    """Asks the word index, and looks at so many moments for one question at most."""

    def __init__(self, conn: sqlite3.Connection, within: _Within) -> None:
        self._conn = conn
        self._within = within
        self._left = _LOOKED_AT

    def newest(self, match: str, most: int, known: Container[int] = ()) -> list[int]:
        """The newest moments, at most ``most``, that are not ``known``."""
        rows = self._conn.execute("SELECT rowid FROM find_text WHERE find_text MATCH ? ORDER BY rowid DESC", (match,))
        found: list[int] = []
        for (moment_id,) in rows:
            self._left -= 1
            if moment_id not in known and self._within.lets(self._conn, moment_id):
                found.append(moment_id)
            if len(found) >= most or self._left < 0:
                rows.close()
                break
        return found


def _by_meaning(
    conn: sqlite3.Connection, vector: npt.NDArray[np.float32], within: _Within
) -> Iterable[tuple[int, float]]:
    if within.ids is not None and len(within.ids) <= _FEW:
        pairs = [(r.id, r.cell) for r in _rows(conn, list(within.ids)) if r.cell is not None]
        near = sorted(cells.of(conn, pairs, vector).items(), key=lambda f: -f[1])
        return list(itertools.islice((f for f in near if within.lets(conn, f[0])), NEAREST))
    if within.ids is None and not within.condition:
        return cells.nearest(conn, vector, NEAREST)
    return cells.nearest(conn, vector, NEAREST, lambda moment_id: within.lets(conn, moment_id))


def _rows(conn: sqlite3.Connection, ids: Sequence[int]) -> list[_Row]:
    out: list[_Row] = []
    for at in range(0, len(ids), 500):
        some = ids[at : at + 500]
        found = conn.execute(f"SELECT {_COLUMNS} FROM find_moment WHERE id IN ({','.join('?' * len(some))})", some)
        out += [_Row(*r) for r in found]
    return out


def _parts(conn: sqlite3.Connection, ids: set[int]) -> dict[int, tuple[str, int, str, str]]:
    marks = ",".join("?" * len(ids))
    rows = conn.execute(f"SELECT part_id, build, number, title, day FROM find_part WHERE part_id IN ({marks})", [*ids])
    return {r[0]: (r[1], r[2], r[3], r[4]) for r in rows}


# Weighing ---------------------------------------------------------------------------------------------------------


def _weigh(conn: sqlite3.Connection, asked: Question, rows: dict[int, _Row], near: _Near | None) -> list[_Row]:
    """The rows worth showing, each with its score, best first."""
    idf = np.array([t.idf for t in asked.telling], np.float32)
    whole = float(idf.sum()) or 1.0
    for row in rows.values():
        _meet(asked, row)
        row.words = float(row.met @ idf) / whole
    leading = sorted(rows.values(), key=lambda r: -r.words)[:_LEADING]
    if near is not None:
        known = {r.id for r in leading}
        leading += [rows[i] for i in near.cosines if i in rows and i not in known]
        near.add(conn, [r for r in leading if r.id not in near.cosines])
        for row in leading:
            row.near = near.cosines.get(row.id, 0.0)
    # What is said around a moment counts too: what a viewer describes is seldom all in one sentence.
    by_place = {(r.part_id, r.seq): r for r in rows.values()}
    weights = _weights(asked, near is not None)
    leading = sorted(leading, key=lambda r: -_score(r, weights))[:_LEADING]
    wide = {r.id for r in leading[:_WIDE]}
    around = [(r.part_id, r.seq + d) for r in leading for d in (range(-3, 4) if r.id in wide else (-1, 1))]
    for row in _at(conn, set(around) - by_place.keys()):
        _meet(asked, row)
        by_place[row.part_id, row.seq] = row
    if near is not None:
        beside = [by_place.get((r.part_id, r.seq + d)) for r in leading for d in (-1, 1)]
        near.add(conn, [r for r in beside if r is not None and r.id not in near.cosines])
    titles = _titles(conn, asked, {r.part_id for r in leading})
    for row in leading:
        row.words = float(row.met @ idf) / whole
        row.own = _score(row, weights)
        near_by = [[by_place.get((row.part_id, row.seq + d)) for d in (-k, k)] for k in (1, 2, 3)]
        title = titles.get(row.part_id)
        row.title = float(title @ idf) / whole if title is not None else 0.0
        row.words = _words(row, near_by, title, idf, weights) / whole
        if near is not None:
            before, after = (near.cosines.get(r.id, 0.0) if r is not None else 0.0 for r in near_by[0])
            row.near = (1.0 - BEFORE - AFTER) * row.near + BEFORE * before + AFTER * after
        row.score = _score(row, weights)
        row.held = _words(row, near_by, title, idf, NAMED if near is not None else BY_WORDS) / whole
    return sorted(leading, key=lambda r: (-r.score, r.part_id, r.seq))


class _Near:
    """Cosines of moments with the question, worked out for those that are asked about."""

    def __init__(self, vector: npt.NDArray[np.float32], nearest: Iterable[tuple[int, float]]) -> None:
        self.vector = vector
        self.cosines = dict(nearest)

    def add(self, conn: sqlite3.Connection, rows: Sequence[_Row]) -> None:
        pairs = [(r.id, r.cell) for r in rows if r.cell is not None]
        self.cosines.update(cells.of(conn, pairs, self.vector))


def _at(conn: sqlite3.Connection, places: Iterable[tuple[int, int]]) -> list[_Row]:
    """The moments at (part, place in it)."""
    by_part: dict[int, list[int]] = {}
    for part_id, seq in places:
        by_part.setdefault(part_id, []).append(seq)
    out = []
    for part_id, seqs in by_part.items():
        marks = ",".join("?" * len(seqs))
        found = conn.execute(
            f"SELECT {_COLUMNS} FROM find_moment WHERE part_id = ? AND seq IN ({marks})", (part_id, *seqs)
        )
        out += [_Row(*r) for r in found]
    return out


class _Weights(NamedTuple):
    """What counts how much: the share of the words that are met, and of the cosine; then, as shares of a word met in the
    moment itself, what is added by the words one, two, three moments away and by the title."""

    words: float
    meaning: float
    around: tuple[float, float, float]
    title: float


# Set on the questions that were looked at (benchmarks/find.py), by a listwise model over all moments; of the fit, two
# figures are kept. Who names a thing wants its name said; who describes a moment seldom uses its words.
NAMED = _Weights(0.565, 0.435, (0.3, 0.4, 0.25), 0.5)
DESCRIBED = _Weights(0.35, 0.65, (0.75, 0.8, 0.6), 1.1)
BY_WORDS = _Weights(0.8, 0.0, (0.65, 0.15, 0.2), 0.45)
# Of the cosine, what the moments before and after a moment have: what is said after it often says why.
BEFORE, AFTER = 0.07, 0.19
NEAREST_COSINE = 0.47  # such a mean is seldom surpassed
SHOWN = 0.02


def _weights(asked: Question, meant: bool) -> _Weights:
    return BY_WORDS if not meant else NAMED if asked.of_name else DESCRIBED


def _words(
    row: _Row,
    near_by: Sequence[Sequence[_Row | None]],
    title: npt.NDArray[np.float32] | None,
    idf: npt.NDArray[np.float32],
    weights: _Weights,
) -> float:
    """The weight of the telling words that are met in the moment, around it and in the title."""
    met = row.met
    held = float(met @ idf)
    for others, share in zip(near_by, weights.around, strict=True):
        more = np.maximum.reduce([met, *(r.met for r in others if r is not None)])
        held += share * float((more - met) @ idf)
        met = more
    if title is not None:
        held += weights.title * float((np.maximum(met, title) - met) @ idf)
    return held


def _score(row: _Row, weights: _Weights) -> float:
    base = weights.words * row.words + weights.meaning * max(0.0, row.near / NEAREST_COSINE)
    shown = SHOWN if row.flags & DONE and not row.flags & OFF_CAMERA else SHOWN / 2 if row.flags & DONE else 0.0
    return min(1.0, base + shown * min(1.0, base / 0.4))


def _meet(asked: Question, row: _Row) -> None:
    """How well each telling word is met by the moment itself, 0 to 1."""
    said = words_of(f"{row.said} | {row.done}" if row.done else row.said)
    row.said_words = frozenset(said)
    row.said_stems = _line(said, asked.beginnings)
    row.name_stems = _line(words_of(row.names), asked.beginnings) if row.names else ""
    row.met = np.array([_met(t, row) for t in asked.telling], np.float32)


def _line(words: list[str], beginnings: frozenset[str]) -> str:
    """The stems of words on one line; words that begin like nothing asked for stay as they are: stemming is slow."""
    return " " + " ".join([stem(w) if w[:2] in beginnings else w for w in words]) + " "


def _met(t: Telling, row: _Row) -> float:
    best = 0.0
    for way in t.ways:
        if way.weight > best:
            best = max(best, way.weight * _held(way, row))
    if best < WORTH and t.like:
        best = max([best, *(t.like[w] for w in t.like.keys() & row.said_words)])
    return best


def _held(way: Way, row: _Row) -> float:
    """1 where a moment holds the words together; less where they are apart, or only names of what it speaks of."""
    together = f" {' '.join(way.stems)} "
    if together in row.said_stems:
        return 1.0
    if row.name_stems and together in row.name_stems:
        return 0.85
    if len(way.stems) > 1 and all(f" {s} " in row.said_stems or f" {s} " in row.name_stems for s in way.stems):
        return APART
    return 0.0


def _titles(conn: sqlite3.Connection, asked: Question, parts: set[int]) -> dict[int, npt.NDArray[np.float32]]:
    """Which telling words the build's name or the part's title holds."""
    out = {}
    for part_id, (build, _, title, _) in _parts(conn, parts).items():
        held = {stem(w) for w in words_of(f"{build} {title}")}
        met = [max((w.weight for w in t.ways if held.issuperset(w.stems)), default=0.0) for t in asked.telling]
        if any(met):
            out[part_id] = np.array(met, np.float32)
    return out


# What is shown ----------------------------------------------------------------------------------------------------


def _in_time(asked: Question, ranked: list[_Row], parts: dict[int, tuple[str, int, str, str]]) -> list[_Row]:
    """Those nearly as good as the best, earliest (latest) first; then the others."""
    order = asked.order
    best = max(r.held for r in ranked)
    if best >= 0.6:  # the words are there: how near the rest of the sentence is does not matter
        good = [r for r in ranked if r.held >= 0.9 * best]
    else:
        good = [r for r in ranked if r.score >= 0.8 * ranked[0].score]
    # "When did you last use it": where it was done, not where it was talked out of.
    if asked.of_doing and any(r.flags & DONE for r in good):
        good = [r for r in good if r.flags & DONE]
    good.sort(key=lambda r: (-r.score, r.at_s) if order == "last" else (0.0, r.at_s))
    good.sort(key=lambda r: (parts[r.part_id][3], parts[r.part_id][1]), reverse=order == "last")
    chosen = {r.id for r in good}
    return good + [r for r in ranked if r.id not in chosen]


# What a word alike must be worth to be given as a reason: many faint ones together find a moment, one explains nothing.
_WORTH_TELLING = 0.12


def _why(asked: Question, row: _Row) -> str:
    said = []
    for t in asked.telling:
        alike = {w for w in t.like.keys() & row.said_words if t.like[w] >= _WORTH_TELLING}
        like = max(alike, key=lambda w: t.like[w], default=None)
        held = next((way.why for way in t.ways if _held(way, row)), like and f"{like} (like {t.word})")
        if held:
            said.append(held)
    if said:
        return "words: " + ", ".join(dict.fromkeys(said))
    meant = row.near >= 0.3 or any(t.like.keys() & row.said_words for t in asked.telling)
    return "meaning" if meant else "words nearby"


def _fold(asked: Question, ranked: list[_Row], parts: dict[int, tuple[str, int, str, str]], limit: int) -> list[Hit]:
    """The first ``limit`` that do not say again, or right beside, what a better one says."""
    kept: list[tuple[_Row, list[tuple[int, float]]]] = []
    for row in ranked:
        if row.score <= 0.02 or row.part_id not in parts:
            continue
        beside = [n for n, (k, _) in enumerate(kept) if k.part_id == row.part_id and abs(k.seq - row.seq) == 1]
        if beside:  # one place: shown by the moment that says most of it itself
            if len(beside) == 1 and row.own > kept[beside[0]][0].own:
                row.score = kept[beside[0]][0].score
                kept[beside[0]] = (row, kept[beside[0]][1])
            continue
        twin = next((k for k, _ in kept if _alike(k, row)), None)
        if twin is not None:
            next(also for k, also in kept if k is twin).append((row.part_id, row.at_s))
        elif len(kept) < limit:
            kept.append((row, []))
    return [_hit(asked, row, also, parts) for row, also in kept]


def _alike(a: _Row, b: _Row) -> bool:
    return len(a.said) > 25 and bool(fuzz.ratio(a.said, b.said, score_cutoff=88))


def _hit(asked: Question, row: _Row, also: list[tuple[int, float]], parts: dict[int, tuple[str, int, str, str]]) -> Hit:
    build, number, title, day = parts[row.part_id]
    return Hit(
        part_id=row.part_id, build=build, part=number, title=title, day=day, at_s=row.at_s, start_s=row.start_s,
        end_s=row.end_s, said=row.said, done=row.done, piece=row.piece, shown=bool(row.flags & DONE),
        on_camera=not row.flags & OFF_CAMERA, score=round(row.score, 4), why=_why(asked, row), also=also,
    )  # fmt: skip
