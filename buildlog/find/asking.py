"""What a question asks for: its telling words, and the other ways in which each may have been said or written."""

from __future__ import annotations

import functools
import itertools
import math
import re
import sqlite3
from dataclasses import dataclass, field

from rapidfuzz.distance import DamerauLevenshtein

from buildlog.errors import BadInput
from buildlog.find.meaning import commonness
from buildlog.find.wording import EMPTY, sound, stem, stems, words_of
from buildlog.tag.lexicon import Lexicon, Term, spelling

MOST_WORDS = 12  # telling words that are looked for; of longer questions the rarest
NAME_WORDS = 3
_READ_WORDS = 400
_WHEN = r"|\bwhen (did|have|had) (you|i|we|she|he|they) (ever )?"
_FIRST = re.compile(
    r"\b(first|earliest)\b(?=.*\b(time|ever|use|used|try|tried|show|showed|mention)\b)|\bfirst (time|show)"
    + _WHEN
    + r"first\b",
    re.I,
)
_LAST = re.compile(
    r"\b(last|latest|most recent)\b(?=.*\b(time|use|used)\b)|\blast time\b|\bmost recently\b" + _WHEN + r"last\b", re.I
)
_DOING = re.compile(r"\b(use|used|using|do|doing|make|made|try|tried|sew|cut|show|showed)\b", re.I)


@dataclass(slots=True)
class Way:
    """One way of saying a part of the question: all of ``stems`` in a moment. ``weight`` 0 to 1; ``why`` for people."""

    words: tuple[str, ...]
    weight: float
    why: str
    stems: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        self.stems = tuple(stems(self.words))


@dataclass(slots=True)
class Telling:
    """A telling word of the question, how many moments hold it, what it weighs, and its ways.

    ``absent``: it is a word of a craft (or no known word), and neither it nor another name of it is in any moment.
    ``like``: words that mean much the same, with what each is worth (0 to 1); see :mod:`buildlog.find.likeness`.
    """

    word: str
    n: int = 0
    idf: float = 0.0
    absent: bool = False
    ways: list[Way] = field(default_factory=list)
    craft: bool = False
    like: dict[str, float] = field(default_factory=dict)


@dataclass(slots=True)
class Question:
    """A question, understood. ``order`` is "first" or "last" where the earliest or latest time is asked for.

    ``beginnings``: the first two letters of every stem that is looked for. ``meant``: the text with words that are no
    words put right as far as the archive's words tell.
    """

    text: str
    meant: str
    telling: list[Telling]
    order: str | None
    total: int
    beginnings: frozenset[str]

    @property
    def of_name(self) -> bool:
        """Whether it is a few telling words and nothing else ("satin stitch"), rather than a description or a sentence."""
        words = words_of(self.text)
        return len(words) <= NAME_WORDS and all(w not in EMPTY for w in words)

    @property
    def of_doing(self) -> bool:
        """Whether a question of time asks when something was done, rather than spoken of."""
        return _DOING.search(self.text) is not None


def checked(text: str) -> str:
    """The question on one line. Raises :class:`BadInput` where it holds no word."""
    clean = " ".join(text.split())
    if not words_of(clean):
        raise BadInput('the question holds no word to look for; say what was shown, such as: find "waxed thread"')
    return clean[:60_000]


def understand(conn: sqlite3.Connection, text: str) -> Question:
    """Read a question. Inside a read of the archive."""
    text = checked(text)
    order = "first" if _FIRST.search(text) else "last" if _LAST.search(text) else None
    words = words_of(text)[:_READ_WORDS]
    total = conn.execute("SELECT seq FROM sqlite_sequence WHERE name = 'find_moment'").fetchone()
    total_n = max(1, int(total[0]) if total else 1)
    found: dict[str, Telling] = {}
    for word in words:
        if word not in EMPTY and word not in found and (len(word) > 1 or word.isdigit()):
            found[word] = Telling(word)
    if not found:  # only empty words: then they are what is asked for
        found = {w: Telling(w) for w in dict.fromkeys(words)}
    if order:
        for word in ("first", "earliest", "latest", "recent", "recently"):
            if len(found) > 1:
                found.pop(word, None)
    for t in found.values():
        t.n = _moments_with(conn, t.word)
    telling = list(found.values())
    if len(telling) > MOST_WORDS:
        keep = sorted(telling, key=lambda t: (t.n == 0, t.n))[:MOST_WORDS]
        telling = [t for t in telling if t in keep]
    by_word = {t.word: t for t in telling}
    for t in telling:
        t.ways.append(Way((t.word,), 1.0, t.word))
    _craft_ways(words, by_word)
    _apart_or_together(conn, words, by_word)
    for t in telling:
        other = spelling(t.word)
        if other != t.word:
            t.ways.append(Way((other,), 0.97, other))
        if t.n == 0 and not t.word.isdigit() and not is_english(t.word):
            t.ways += _likely(conn, t.word)
        else:
            if t.n == 0 and not t.craft and not t.word.isdigit():
                t.ways += _craft_word_meant(conn, t.word)
            if t.craft or t.n == 0:
                t.ways += _alike_by_sound(conn, t.word)
        _keep_best(t)
        sure = [t.n, *(min(_moments_with(conn, w) for w in way.words) for way in t.ways[1:] if way.weight >= 0.7)]
        known = max(sure)
        t.absent = not known and (t.craft or not is_english(t.word) or t.word in Lexicon.load())
        t.idf = math.log(1.0 + total_n / (known + 0.5)) * _telling_share(t)
    beginnings = frozenset(s[:2] for t in telling for way in t.ways for s in way.stems)
    return Question(text, _put_right(text, by_word), telling, order, total_n, beginnings)


def _put_right(text: str, by_word: dict[str, Telling]) -> str:
    """``text`` with each misspelt word as it was most likely meant: vectors know no misspelt words."""
    out = []
    for word in text.split():
        t = by_word.get(word.casefold().strip(".,;:!?\"'"))
        best = max(t.ways[1:], key=lambda w: w.weight, default=None) if t is not None and t.n == 0 else None
        out.append(" ".join(best.words) if t is not None and best is not None and not is_english(t.word) else word)
    return " ".join(out)


def is_english(word: str) -> bool:
    """Whether a word is known, in the craft or the language: then it is not misspelt, only not said."""
    if any(c.isdigit() for c in word):
        return False
    return word in commonness() or stem(word) in _craft_stems() or Lexicon.load().wordnet_class(word) is not None


@functools.cache
def _craft_stems() -> frozenset[str]:
    return frozenset(s for t in Lexicon.load().terms for n in (t.name, *t.aliases) for s in stems(words_of(n)))


def _telling_share(t: Telling) -> float:
    """How much a word tells by itself: craft words all, everyday words ("making", "side") less."""
    place = commonness().get(t.word)
    if place is None:
        return 1.0 if commonness() or t.craft else 0.9
    share = min(1.0, math.log(place + 1.0) / math.log(12_000.0))
    return max(share, CRAFT_SHARE) if t.craft else share


CRAFT_SHARE = 0.85
APART = 0.6
COMMON = 6_000


def _keep_best(t: Telling) -> None:
    best: dict[tuple[str, ...], Way] = {}
    for way in t.ways:
        if way.stems not in best or best[way.stems].weight < way.weight:
            best[way.stems] = way
    first, *rest = best.values()
    t.ways = [first, *sorted(rest, key=lambda w: -w.weight)[:10]]


def _moments_with(conn: sqlite3.Connection, word: str) -> int:
    return int(conn.execute("SELECT coalesce(sum(n), 0) FROM find_word WHERE stem = ?", (stem(word),)).fetchone()[0])


# Craft words ------------------------------------------------------------------------------------------------------


def _craft_ways(words: list[str], by_word: dict[str, Telling]) -> None:
    """Other names of the craft's terms in the question, for all words of the term together."""
    lexicon = Lexicon.load()
    joined: set[str] = set()  # words that are part of a longer term
    for start in range(len(words)):
        for length in (4, 3, 2, 1):
            span = words[start : start + length]
            if len(span) < length or not any(w in by_word for w in span):
                continue
            terms = _terms(" ".join(span))
            if not terms:
                continue
            for w in span:
                if w in by_word:
                    by_word[w].craft = True
                    if length > 1:
                        # "chop" and "saw" apart are no chop saw.
                        joined.add(w)
                        by_word[w].ways[0].weight = APART
                        by_word[w].ways.append(Way(tuple(span), 1.0, " ".join(span)))
            for term in terms:
                for name in (term.name, *term.aliases):
                    other = tuple(words_of(name))
                    if other and stems(other) != stems(span):
                        for w in span:
                            if w in by_word:
                                by_word[w].ways.append(Way(other, _sureness(term, name, span), name))
            if length > 1:
                break
        # Verbs: "felled" asks for the felled seam.
        if words[start] in by_word and words[start] not in joined:
            for lemma in _lemmas(words[start]):
                shown = lexicon.technique_for_verb(lemma)
                if shown is not None:
                    by_word[words[start]].craft = True
                    for name in (shown.name, *shown.aliases):
                        sure = _sureness(shown, name, [lemma]) - 0.05
                        by_word[words[start]].ways.append(Way(tuple(words_of(name)), sure, name))
                    break


def _sureness(term: Term, name: str, asked: list[str]) -> float:
    """How sure ``name`` is to mean what was asked for. A technique's list also has what is made by it or beside it."""
    if term.kind == "technique" and not set(stems(words_of(name))) & {*stems(asked), *stems(words_of(term.name))}:
        return 0.6
    return 0.8 if term.ambiguous else 0.9


@functools.lru_cache(maxsize=4096)
def _terms(text: str) -> tuple[Term, ...]:
    """The craft's terms called ``text``, of whatever craft."""
    words = text.split()
    return tuple(m.term for m in Lexicon.load().terms_at(words, words, 0) if m.end == len(words))


def _lemmas(word: str) -> list[str]:
    out = [word]
    for ending in ("ing", "ed", "s", "d"):
        if word.endswith(ending) and len(word) > len(ending) + 2:
            cut = word[: -len(ending)]
            out += [cut, cut + "e", cut[:-1] if cut[-1:] == cut[-2:-1] else cut]
    return out


def _apart_or_together(conn: sqlite3.Connection, words: list[str], by_word: dict[str, Telling]) -> None:
    """Words written as one or as two: "top stitch" for "topstitch", "buttonhole" for "button hole"."""
    for first, second in itertools.pairwise(words):
        joined = first + second
        if (first in by_word or second in by_word) and _held_as_is(conn, joined):
            for w in (first, second):
                if w in by_word:
                    by_word[w].ways.append(Way((joined,), 0.95, joined))
    for t in by_word.values():
        if t.n == 0 and len(t.word) >= 6:
            for at in range(3, len(t.word) - 2):
                pair = (t.word[:at], t.word[at:])
                if all(_held_as_is(conn, w) for w in pair):
                    t.ways.append(Way(pair, 0.95, " ".join(pair)))


def _held_as_is(conn: sqlite3.Connection, word: str) -> bool:
    return conn.execute("SELECT 1 FROM find_word WHERE word = ? AND n > 0", (word,)).fetchone() is not None


# Misspelt and misheard --------------------------------------------------------------------------------------------


def _trigrams(word: str) -> list[str]:
    return list(dict.fromkeys(word[i : i + 3] for i in range(len(word) - 2)))


def _likely(conn: sqlite3.Connection, word: str) -> list[Way]:
    """Words of the archive that a word which no moment holds may mean: near in letters or alike in sound."""
    if len(word) < 3:
        return []
    near: dict[str, int] = {}
    grams = _trigrams(word)
    if grams:
        match = " OR ".join(f'"{g}"' for g in grams)
        rows = conn.execute(
            "SELECT w.word, w.n FROM find_spelling s JOIN find_word w ON w.id = s.rowid"
            " WHERE find_spelling MATCH ? AND length(w.word) BETWEEN ? AND ? AND w.n > 0 LIMIT 4000",
            (match, len(word) - 3, len(word) + 3),
        )
        near.update({r[0]: r[1] for r in rows})
    if len(word) <= 5:  # too short for three letters in a row to be right: all words of that beginning
        rows = conn.execute(
            "SELECT word, n FROM find_word WHERE word >= ? AND word < ? AND length(word) BETWEEN ? AND ? AND n > 0",
            (word[0], word[0] + "\U0010ffff", len(word) - 1, len(word) + 1),
        )
        near.update({r[0]: r[1] for r in rows})
    sounds = sound(word)
    if sounds:
        rows = conn.execute("SELECT word, n FROM find_word WHERE sound = ? AND n > 0 LIMIT 500", (sounds,))
        near.update({r[0]: r[1] for r in rows})
    ways = []
    for other, _ in near.items():
        if other.isdigit() or len(other) < 3:
            continue
        distance = DamerauLevenshtein.distance(word, other, score_cutoff=3)
        like = 1.0 - distance / max(len(word), len(other))
        if sounds and sound(other) == sounds:
            like = max(like, 0.5) + 0.15
        if word[0] != other[0]:
            like -= 0.12
        if stem(other) in _craft_stems():
            like += 0.1
        if like >= 0.7:
            near_letters = 1.0 - distance / max(len(word), len(other))
            weight = max(0.6, near_letters) + (0.1 if sounds and sound(other) == sounds else 0.0)
            ways.append(Way((other,), min(0.92, weight), f"{other} (near {word})"))
    return sorted(ways, key=lambda w: -w.weight)[:6]


def _craft_word_meant(conn: sqlite3.Connection, word: str) -> list[Way]:
    """Craft words of the archive that are one slip away from a word of the language: "angel" for "angle"."""
    if len(word) < 4:
        return []
    return [
        Way(way.words, min(way.weight, 0.75), way.why)
        for way in _likely(conn, word)
        if stem(way.words[0]) in _craft_stems() - {stem(word)} and DamerauLevenshtein.distance(word, way.words[0]) == 1
    ]


def _alike_by_sound(conn: sqlite3.Connection, word: str) -> list[Way]:
    """Words that a recogniser may have written for a craft word: "eyelids" for "eyelets" is not of the same sound, but
    "salvage" and "selvage" are."""
    sounds = sound(word)
    if len(sounds) < 3 or commonness().get(word, COMMON) < COMMON:
        return []
    rows = conn.execute("SELECT word FROM find_word WHERE sound = ? AND n > 0 AND word != ? LIMIT 50", (sounds, word))
    ways = []
    for (other,) in rows:
        like = 1.0 - DamerauLevenshtein.distance(word, other) / max(len(word), len(other))
        common = commonness().get(other, COMMON) < COMMON
        # Another craft word of that sound ("welt" for "weld") is another thing, unless both are long.
        another = len(word) < 6 and stem(other) in _craft_stems()
        if stem(other) != stem(word) and like >= 0.6 and not common and not another:
            ways.append(Way((other,), 0.75, f"{other} (sounds like {word})"))
    return ways
