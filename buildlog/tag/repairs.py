"""Craft words that the recogniser heard wrong, put right where sound and surroundings agree.

Several ways lead to a repair, each asking for more than a likeness of sound:

* the heard word is no English word, sounds like a craft word, and words of that craft stand around it ("tafeda");
* the heard words complete a compound whose other half stands beside them ("mias tape", "stage stitch");
* the pair is one that craft files list as sounding alike, and the words it needs are near ("salvage" by "edge");
* the recogniser itself doubts the heard words, however English they are, they sound like a word of the craft that is
  spoken of round about, and that word fits their place ("frill" for "ferrule" by wire and crimps);
* the recogniser doubts a word that sounds like one which this maker says over and over ("printers", "pruners");
* the heard words are a craft word in pieces: spelled right in two ("horse hair"), or with a piece that is no English.

A word that makes sense as heard stays. Every repaired word keeps what was heard, so that the maker can undo it.
"""

from __future__ import annotations

import functools
import re
from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from importlib import resources
from typing import Any, NamedTuple

from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

from buildlog import crafts as craft_data
from buildlog.document import Repair, Word
from buildlog.tag.lexicon import Lexicon, key, key_words

REACH = 60  # words on either side in which a craft must show itself
NEAR = 4  # words on either side in which a pair's own words must stand
NONWORD_LIKE, COMPOUND_LIKE, COMPOUND_LIKE_REAL = 0.85, 0.74, 0.78
TORN_LIKE = 0.9
OWN_TIMES, OWN_LETTERS, OWN_USUAL, OWN_LIKE = 3, 5, 40, 0.8  # of words that a maker says over and over
PARTED_LETTERS, TORN_LETTERS = 8, 8
CRAFT_WORDS_NEEDED = 2
DOUBTED_P = (
    0.75  # two thirds of misheard words are given less than this by the recogniser, one in fifteen of the others
)
SURE_P = 0.8  # a word heard elsewhere with this is one that the maker says
# The likeness that a doubted word needs: the less sure the recogniser, the less is asked.
DOUBTED_LIKE = ((0.3, 0.77), (0.5, 0.8), (DOUBTED_P, 0.86))
LEAST_LIKE = 0.7
SAID_ELSEWHERE = 0.05  # less is asked for a word that the same maker also says where it was heard right
DOUBTED_CRAFT = 3
KNOWN_P = 0.5  # a word that some craft knows must be doubted more than this
COMMON = 10  # of 468 narrations: a word that so many hold is no mishearing of a rarer one
AT_ODDS = 0.02  # two words that are nearer to each other than this in likelihood: nothing is repaired
SHOWING = (*craft_data.ITEM_KINDS, "technique", "piece", "place")  # kinds of terms that show a craft


def _everyday(group: str) -> frozenset[str]:
    return craft_data.words(craft_data.craft_files()["general"]["everyday"][group])


@functools.cache
def _function_words() -> frozenset[str]:
    return _everyday("function")


@functools.cache
def _sensible_before_nouns() -> frozenset[str]:
    """Words that may stand before a thing's name without being part of it."""
    return _everyday("function") | _everyday("describing")


NUMBER_WORDS = dict(
    enumerate("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen".split())
)

# Spelling to sound, coarse on purpose: what two accents and a recogniser would both write for the same sounds.
SOUNDS = tuple(
    (re.compile(pattern), to)
    for pattern, to in (
        (r"[^a-z]", ""),
        ("tion|sion", "Sn"),
        ("tch|ch", "C"),
        ("sch", "sk"),
        ("sh", "S"),
        ("ph", "f"),
        ("th", "0"),
        ("wh", "w"),
        ("^kn|^gn|^pn", "n"),
        ("^wr", "r"),
        ("mb$", "m"),
        ("dge", "j"),
        ("ough", "o"),
        ("augh", "o"),
        ("igh", "i"),
        ("gh", ""),
        ("ck|q", "k"),
        ("x", "ks"),
        ("c(?=[eiy])", "s"),
        ("c", "k"),
        ("g(?=[eiy])", "j"),
        ("que$", "k"),
        ("ea|ee|ie|ei|y$|ey$|ae", "i"),
        ("ai|ay|eigh", "e"),
        ("oo|ou|ow|eu|ew|ue|ui|oa|oe", "o"),
        ("au|aw|al(?=[kl])|all", "o"),
        ("y", "i"),
        (r"([a-z0])e$", r"\1"),
        ("ing$|ink$", "N"),
        ("[aeiou]r$|re$", "R"),
        ("le$|el$|al$", "l"),
        (r"(.)\1+", r"\1"),
    )
)
SAME_CLASS = {
    c: cls
    for cls, chars in {"T": "td0", "P": "pb", "K": "kg", "S": "szSCj", "F": "fv", "M": "mnN"}.items()
    for c in chars
}
VOWELS = frozenset("aeiou")


@functools.lru_cache(maxsize=200_000)
def sound(text: str) -> str:
    """A coarse spelling of how ``text`` sounds."""
    text = re.sub(r"\d+", lambda m: NUMBER_WORDS.get(int(m.group()), ""), text.lower())
    for pattern, to in SOUNDS:
        text = pattern.sub(to, text)
    return text


@functools.lru_cache(maxsize=200_000)
def skeleton(sounds: str) -> str:
    """The consonant classes of a sound: alike for words that a recogniser mistakes for one another."""
    out: list[str] = []
    for c in sounds:
        if c in VOWELS or c in "hw":
            continue
        cls = {"R": "r"}.get(c, SAME_CLASS.get(c, c))
        if not out or out[-1] != cls:
            out.append(cls)
    return "".join(out)


def _cost(a: str, b: str) -> float:
    if a == b:
        return 0.0
    if a in VOWELS and b in VOWELS:
        return 0.35
    if a in SAME_CLASS and SAME_CLASS[a] == SAME_CLASS.get(b):
        return 0.4
    if a in "pbfv" and b in "pbfv":
        return 0.6
    return 1.0


@functools.lru_cache(maxsize=200_000)
def likeness(a: str, b: str) -> float:
    """How alike two sounds are, 0 to 1: an edit distance in which vowels, and voiced and unvoiced pairs, cost less."""
    if not a or not b:
        return 0.0
    previous = [0.6 * j for j in range(len(b) + 1)]
    for i, ca in enumerate(a, 1):
        row = [0.6 * i]
        drop = 0.4 if ca in VOWELS or ca in "hwR" else 0.8
        for j, cb in enumerate(b, 1):
            add = 0.4 if cb in VOWELS or cb in "hwR" else 0.8
            row.append(min(previous[j] + drop, row[j - 1] + add, previous[j - 1] + _cost(ca, cb)))
        previous = row
    return 1.0 - previous[-1] / max(len(a), len(b))


class Target(NamedTuple):
    """A craft word that may have been said: its words, crafts, and its sound."""

    words: tuple[str, ...]
    crafts: frozenset[str]
    sound: str


class Half(NamedTuple):
    """A compound split in two: the half that may be misheard, and the filed words that must stand beside it."""

    missing: Target
    missing_keys: tuple[str, ...]
    exact: tuple[str, ...]


class Pair(NamedTuple):
    """A listed pair: heard words, meant words, words of which one must be near (empty: the craft's words will do)."""

    heard: tuple[str, ...]
    meant: tuple[str, ...]
    near: frozenset[str]
    crafts: frozenset[str]


class Index(NamedTuple):
    """What can be said, filed by how it is found again."""

    by_skeleton: dict[str, list[Target]]
    after: dict[str, list[Half]]  # first word of the exact half -> compounds that end with it
    before: dict[str, list[Half]]  # last word of the exact half -> compounds that begin with it
    pairs: dict[str, list[Pair]]
    known: frozenset[str]
    verb_forms: dict[str, frozenset[str]]
    single: dict[str, frozenset[str]]  # terms of one word, of every kind -> their crafts ("general" too)
    nouns: frozenset[str]  # terms of one word that name a thing, piece or place
    skeletons: tuple[str, ...]  # of ``by_skeleton``
    close: dict[str, list[str]]  # a skeleton asked for -> those at most one letter away, as far as found


DOUBLES = re.compile("[^aeiou]*(?:qu)?[aeiou][^aeiouwxy]")  # "pin", "strop": their last letter is written twice


def _words(name: str) -> tuple[str, ...]:
    return tuple(name.lower().replace("-", " ").split())


@functools.lru_cache(maxsize=4)
def _index(held: _Held) -> Index:
    lexicon = held.lexicon
    by_skeleton: dict[str, list[Target]] = defaultdict(list)
    after: dict[str, dict[Any, Half]] = defaultdict(dict)
    before: dict[str, dict[Any, Half]] = defaultdict(dict)
    known: set[str] = set()
    single: dict[str, frozenset[str]] = defaultdict(frozenset)
    filed: dict[str, frozenset[str]] = defaultdict(frozenset)
    nouns: set[str] = set()
    for term in lexicon.terms:
        for name in (term.name, *term.aliases):
            filed_words = key_words(name)
            known.update(filed_words)
            if len(filed_words) == 1:
                filed[filed_words[0]] |= frozenset(term.crafts)
                if term.kind != "technique":
                    nouns.add(filed_words[0])
        crafts = frozenset(term.crafts) - {"general"}
        if term.kind not in SHOWING or not crafts:
            continue
        for name in (term.name, *term.aliases):
            words = _words(name)
            if len(words) == 1:
                single[words[0]] |= crafts
            for cut in range(1, len(words)):
                head, tail = words[:cut], words[cut:]
                if len(head) <= 2 and len("".join(head)) >= 3:
                    half = _half(head, tail, crafts)
                    after[half.exact[0]].setdefault((head, half.exact), half)
                if len(tail) == 1 and len(tail[0]) >= 3:
                    half = _half(tail, head, crafts)
                    before[half.exact[-1]].setdefault((tail, half.exact), half)
    inflected = _inflected(lexicon)
    for form, crafts in inflected.items():
        known.add(key(form))
        filed[key(form)] |= crafts
        single[form] |= crafts
    for word, crafts in single.items():
        if len(word) >= 4:
            target = Target((word,), crafts, sound(word))
            by_skeleton[skeleton(target.sound)].append(target)
    return Index(
        dict(by_skeleton),
        {k: list(v.values()) for k, v in after.items()},
        {k: list(v.values()) for k, v in before.items()},
        _pairs(lexicon),
        frozenset(known),
        inflected,
        dict(filed),
        frozenset(nouns),
        tuple(by_skeleton),
        {},
    )


def _inflected(lexicon: Lexicon) -> dict[str, frozenset[str]]:
    """Forms of the single verbs that show a technique ("burnished") -> their crafts."""
    forms: dict[str, frozenset[str]] = defaultdict(frozenset)
    for verb, crafts in lexicon.verb_crafts().items():
        stem = verb.removesuffix("e")
        if DOUBLES.fullmatch(verb):
            stem += verb[-1]
        past = verb[:-1] + "ied" if verb.endswith("y") and verb[-2:-1] not in "aeiou" else stem + "ed"
        third = verb + ("es" if verb.endswith(("s", "x", "z", "ch", "sh")) else "s")
        for form in (verb, stem + "ing", past, third):
            forms[form] |= crafts - {"general"}
    return {form: crafts for form, crafts in forms.items() if crafts}


def _half(missing: tuple[str, ...], exact: tuple[str, ...], crafts: frozenset[str]) -> Half:
    target = Target(missing, crafts, sound("".join(missing)))
    return Half(target, tuple(key(w) for w in missing), tuple(key(w) for w in exact))


class _Held:
    """The lexicon as a cache key: by identity."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held) and other.lexicon is self.lexicon

    def __hash__(self) -> int:
        return id(self.lexicon)


def _pairs(lexicon: Lexicon) -> dict[str, list[Pair]]:
    out: dict[str, list[Pair]] = defaultdict(list)
    for data in craft_data.craft_files().values():
        for row in data.get("misheard", {}).get("pairs", "").splitlines():
            left, _, near = row.partition("|")
            heard, _, meant = left.partition("=")
            if not meant.strip() or heard.strip() == meant.strip():
                continue
            meant_words = _words(meant)
            crafts: set[str] = set()
            for n in range(len(meant_words)):
                for match in lexicon.terms_at(meant_words, meant_words, n):
                    crafts.update(match.term.crafts)
            needs = frozenset() if near.strip() == "*" else frozenset(key(w) for w in near.split())
            pair = Pair(_words(heard), meant_words, needs, frozenset(crafts - {"general"}))
            out[pair.heard[0]].append(pair)
    return out


@functools.cache
def _english_words() -> tuple[frozenset[str], frozenset[str]]:
    """Words as the English pipeline met them in training, lower case; and the lemmas it knows."""
    import msgspec

    from buildlog.tag.language import english

    nlp = english()
    # From the package's file, not from the live string store: that one grows with every text that is parsed.
    strings = msgspec.json.decode((nlp.path / "vocab" / "strings.json").read_bytes(), type=list[str])
    lemmas: set[str] = set()
    for entries in nlp.get_pipe("lemmatizer").lookups.get_table("lemma_index").values():
        lemmas.update(entries)
    return frozenset(s for s in strings if s.isalpha() and s.islower()), frozenset(lemmas)


SUFFIXES = tuple(
    (suffix, instead)
    for suffix, endings in {
        "s": ("",), "es": ("",), "ed": ("", "e"), "d": ("",), "ing": ("", "e"), "in": ("", "e"), "er": ("", "e"),
        "ers": ("", "e"), "est": ("", "e"), "ies": ("y",), "ied": ("y",), "ly": ("",), "y": ("", "e"), "ish": ("",),
        "less": ("",), "able": ("",), "ness": ("",), "like": ("",),
    }.items()
    for instead in endings
)  # fmt: skip


CONTRACTED = re.compile(
    "^(?:i|you|he|she|it|we|they|that|there|who|what|how)(?:ll|ve|re|d|s|m)$"
    "|^(?:do|does|did|is|was|were|are|have|has|had|ca|wo|would|could|should|ai|must|need)nt$"
    "|^(?:did|di|was|is|could|coul|would|woul|can|have|has|do|does|will|shoul)n?(?:a|ae|ay)$"
)
PREFIXES = (
    "un",
    "re",
    "pre",
    "non",
    "over",
    "under",
    "in",
    "on",
    "out",
    "up",
    "off",
    "down",
    "mis",
    "sub",
    "inter",
    "semi",
)


@functools.lru_cache(maxsize=100_000)
def _is_english(word: str) -> bool:
    met, lemmas = _english_words()
    if not word.isalpha() or len(word) < 3 or word in met or word in lemmas or word in _function_words():
        return True
    if CONTRACTED.match(word):
        return True
    for suffix, instead in SUFFIXES:
        if word.endswith(suffix) and len(word) - len(suffix) >= 3:
            stem = word[: -len(suffix)] + instead
            if stem in lemmas or (len(stem) > 3 and stem[-1] == stem[-2] and stem[:-1] in lemmas):
                return True
    if any(word.startswith(p) and len(word) - len(p) > 3 and _is_english(word[len(p) :]) for p in PREFIXES):
        return True
    return any(word[:cut] in lemmas and word[cut:] in lemmas for cut in range(4, len(word) - 3))


class _Text:
    """The words of a transcript, bare and lower, with the places where crafts show themselves."""

    def __init__(self, words: Sequence[Word], lexicon: Lexicon, index: Index) -> None:
        self.raw = words
        self.low = [w.text.strip().lower().replace("’", "'").strip(".,;:!?\"()[]…'") for w in words]
        self.keys = [key(w.removesuffix("'s")) for w in self.low]
        self.spots: dict[str, list[int]] = defaultdict(list)
        self.names: dict[str, list[str]] = defaultdict(list)
        self.covered = [False] * len(words)
        self.sure = frozenset(k for k, w in zip(self.keys, words, strict=True) if w.p >= SURE_P)
        self.own = self._own_words()
        i = 0
        while i < len(words):
            matches = lexicon.terms_at(self.keys, self.low, i)
            length = matches[0].end - i if matches else 1
            for match in matches:
                if match.end - i == length and match.term.kind in SHOWING:
                    self._show(match.term.crafts, i, match.term.name)
            if length > 1 and any(m.end - i == length and m.term.kind in SHOWING for m in matches):
                self.covered[i : i + length] = [True] * length
            if self.low[i] in index.verb_forms:
                self._show(index.verb_forms[self.low[i]], i, self.low[i])
            i += length

    def _own_words(self) -> list[tuple[str, str]]:
        """(word, sound) of what this maker says often and surely, though makers seldom do: what the build is about."""
        if all(w.p >= DOUBTED_P for w in self.raw):
            return []
        often = Counter(w for w, raw in zip(self.low, self.raw, strict=True) if raw.p >= SURE_P)
        return [
            (w, sound(w))
            for w, n in often.items()
            if n >= OWN_TIMES and len(w) >= OWN_LETTERS and w.isalpha() and in_talk(w) < OWN_USUAL
        ]

    def _show(self, crafts: Iterable[str], at: int, name: str) -> None:
        for craft in crafts:
            if craft != "general":
                self.spots[craft].append(at)
                self.names[craft].append(name)

    def surely_said(self, filed: str) -> bool:
        """Whether a word was heard somewhere with little doubt."""
        return filed in self.sure

    def craft_near(self, crafts: Iterable[str], at: int, reach: int = REACH) -> int:
        """How many different words of one of ``crafts`` stand around word ``at``, itself not counted."""
        most = 0
        for craft in crafts:
            spots = self.spots.get(craft, [])
            lo, hi = bisect_left(spots, at - reach), bisect_left(spots, at + reach)
            seen = {self.names[craft][n] for n in range(lo, hi) if abs(spots[n] - at) > 1}
            most = max(most, len(seen))
        return most


class _Fix(NamedTuple):
    start: int
    end: int
    meant: tuple[str, ...]
    confidence: float


def repair(words: list[Word], lexicon: Lexicon) -> tuple[list[Word], list[Repair]]:
    """``words`` with misheard craft words put right, and what was changed.

    A repaired word keeps ``heard``; where several words become fewer, the new words share their time. Runs before
    parsing, on whole transcripts; the cost is linear in their length.
    """
    index = _index(_Held(lexicon))
    text = _Text(words, lexicon, index)
    out: list[Word] = []
    repairs: list[Repair] = []
    i = 0
    while i < len(words):
        fix = _fix_at(text, index, lexicon, i)
        if fix is None:
            out.append(words[i])
            i += 1
            continue
        heard = " ".join(w.text.strip() for w in words[fix.start : fix.end])
        out.extend(_replaced(words[fix.start : fix.end], fix.meant, heard))
        repairs.append(Repair(words[fix.start].start_s, heard.strip(".,;:!?"), " ".join(fix.meant), fix.confidence))
        i = fix.end
    return out, repairs


def _replaced(old: Sequence[Word], meant: Sequence[str], heard: str) -> list[Word]:
    start, end = old[0].start_s, old[-1].end_s
    tail = re.search(r"[.,;:!?…]+$", old[-1].text.strip())
    p = min(w.p for w in old)
    new = []
    for n, text in enumerate(meant):
        if n == 0 and old[0].text[:1].isupper():
            text = text[:1].upper() + text[1:]
        if n == len(meant) - 1 and tail:
            text += tail.group()
        at = start + (end - start) * n / len(meant)
        new.append(Word(at, start + (end - start) * (n + 1) / len(meant), text, p, heard))
    return new


def _fix_at(text: _Text, index: Index, lexicon: Lexicon, i: int) -> _Fix | None:
    return (
        _number(text, index, i)
        or _listed(text, index, i)
        or _compound(text, index, lexicon, i)
        or _parted(text, index, lexicon, i)
        or _torn(text, index, i)
        or _nonword(text, index, i)
        or _own(text, i)
        or _doubted(text, index, i)
    )


def _ends_sentence(text: _Text, i: int) -> bool:
    return text.raw[i].text.strip()[-1:] in ".?!"


SAME_AS_NUMBER = {"to": "two", "too": "two", "for": "four", "fore": "four", "ate": "eight", "won": "one"}
MEASURES = frozenset(
    "inch inches metre metres meter meters centimetre centimetres centimeter centimeters millimetre millimetres millimeter "
    "millimeters cm mm yard yards feet foot coats strips".split()
)
# An amount may follow these, and neither "to" nor "for" does: "by for inches", "cut to inch strips", "about to metres".
BEFORE_AMOUNT = frozenset(
    "a the by at about is was are were its it's that's of and have had need needs needed want wants cut another exactly "
    "roughly nearly every these those some with add leave left leaves leaving plus minus i'd i've got gets uses used".split()
)
AWAY = frozenset(
    "my your the it its his her our their forward forwards towards along closer up down away into as".split()
)
PARTS = frozenset("half quarter third eighth eighths quarters thirds sixteenth sixteenths".split())


def _number(text: _Text, index: Index, i: int) -> _Fix | None:
    """Number words that sound like others: "had to inch foam", "a number for screw", "a strip and inch wide"."""
    low, heard = text.low, text.low[i]
    if heard not in SAME_AS_NUMBER and heard != "and":
        return None
    before, after = (low[i - 1] if i else ""), (low[i + 1] if i + 1 < len(low) else "")
    if not before or _ends_sentence(text, i - 1):
        return None
    if heard == "and":
        if after == "inch" and not text.keys[i - 1].isdigit() and before not in NUMBERED:
            return _Fix(i, i + 1, ("an",), 0.7)
        if after == "from" and before in (PARTS | MEASURES):
            return _Fix(i, i + 1, ("in",), 0.7)
        return None
    meant = SAME_AS_NUMBER[heard]
    if (
        before == "to"
        and heard in ("for", "fore", "ate", "too")
        and after not in ("example", "instance", "the", "much")
    ):
        return _Fix(i, i + 1, (meant,), 0.7)  # "set the stitch to for": no two such words follow each other
    then = low[i + 2] if i + 2 < len(low) else ""
    if before == "number" and heard != "won":
        named = key(after) in index.known and key(then) in index.known | {""}
        return _Fix(i, i + 1, (meant,), 0.6) if named or _ends_sentence(text, i) else None
    if after not in MEASURES or before not in BEFORE_AMOUNT or then in AWAY:
        return None
    if after in ("inch", "foot", "meter", "metre", "yard") and (not then or then in _function_words()):
        return None
    return _Fix(i, i + 1, (meant,), 0.7)


NUMBERED = frozenset([*NUMBER_WORDS.values(), *PARTS, "twenty", "thirty", "forty", "fifty", "hundred"])


def _listed(text: _Text, index: Index, i: int) -> _Fix | None:
    for pair in sorted(index.pairs.get(text.low[i], ()), key=lambda p: -len(p.heard)):
        end = i + len(pair.heard)
        if tuple(text.low[i:end]) != pair.heard or any(_ends_sentence(text, at) for at in range(i, end - 1)):
            continue
        if any(text.covered[i:end]) and len(pair.heard) == 1:
            continue
        around = {*text.keys[max(0, i - NEAR) : i], *text.keys[end : end + NEAR]}
        if pair.near and not pair.near & around:
            continue
        if text.craft_near(pair.crafts or text.spots, i) < (
            CRAFT_WORDS_NEEDED if pair.near or len(pair.heard) > 1 else 3
        ):
            continue
        if text.low[end - 1 : end] == ["all"] and text.low[end : end + 1] in (
            ["over"],
            ["of"],
            ["the"],
            ["that"],
            ["those"],
        ):
            continue
        return _Fix(i, end, pair.meant, 0.85)
    return None


def _compound(text: _Text, index: Index, lexicon: Lexicon, i: int) -> _Fix | None:
    """One to three heard words that sound like the missing half of a compound whose other half is there."""
    for length in (3, 2, 1):
        end = i + length
        if end >= len(text.low) or text.keys[end] not in index.after or any(text.covered[i:end]):
            continue
        if any(_ends_sentence(text, at) for at in range(i, end)):
            continue
        words = text.low[i:end]
        foreign = _foreign(words, index)
        if foreign and length > 1 and any(w in _function_words() for w in words):
            continue
        odd = _may_be_wrong(words[0], index, lexicon) if length == 1 else _odd_run(words)
        if not foreign and not odd and not _in_doubt(text, i, end):
            continue
        halves = (h for h in index.after[text.keys[end]] if tuple(text.keys[end : end + len(h.exact)]) == h.exact)
        best = _likest(text, i, end, halves, COMPOUND_LIKE if foreign else COMPOUND_LIKE_REAL, foreign)
        if best is not None:
            return best
    if i == 0 or text.covered[i] or text.keys[i - 1] not in index.before or _ends_sentence(text, i - 1):
        return None
    foreign = _foreign(text.low[i : i + 1], index)
    if not foreign and not _in_doubt(text, i, i + 1):  # an English word may follow anything
        return None
    halves = (
        h
        for h in index.before[text.keys[i - 1]]
        if i >= len(h.exact) and tuple(text.keys[i - len(h.exact) : i]) == h.exact
    )
    return _likest(text, i, i + 1, halves, COMPOUND_LIKE if foreign else COMPOUND_LIKE_REAL, foreign)


def _foreign(words: Sequence[str], index: Index) -> bool:
    """Whether one of ``words`` is neither English nor of any craft."""
    return not all(_is_english(w) or key(w) in index.known for w in words)


def _likest(text: _Text, i: int, end: int, halves: Iterable[Half], limit: float, foreign: bool) -> _Fix | None:
    heard = sound("".join(text.low[i:end]))
    heard_keys = tuple(text.keys[i:end])
    best: _Fix | None = None
    for half in halves:
        missing = half.missing
        if heard_keys == half.missing_keys or abs(len(heard) - len(missing.sound)) > 2:
            continue
        if not foreign and skeleton(heard)[:1] != skeleton(missing.sound)[:1]:
            continue
        like = likeness(heard, missing.sound)
        if like < limit or (best is not None and 0.9 * like <= best.confidence):
            continue
        if text.craft_near(missing.crafts, i) >= CRAFT_WORDS_NEEDED:
            best = _Fix(i, end, missing.words, round(0.9 * like, 3))
    return best


def _may_be_wrong(word: str, index: Index, lexicon: Lexicon) -> bool:
    """Whether an English word is odd before a craft noun: no name of stuff, tool, colour, size or manner."""
    if word in _sensible_before_nouns() or key(word) in index.known or len(word) < 4:
        return False
    if word.endswith(("ing", "ed", "ly", "n't", "'s", "er", "y", "en")) or "'" in word or not word.isalpha():
        return False
    guessed = lexicon.wordnet_class(word)
    return guessed is not None and guessed[0] in ("person", "animal", "bodypart", "time", "place", "act")


def _odd_run(words: Sequence[str]) -> bool:
    """Whether a run of English words cannot stand before a noun: it ends in a pronoun."""
    return words[-1] in ("us", "him", "them", "me", "i") or (
        len(words) == 2 and words[0] in ("by", "buy") and words[1] == "is"
    )


def _parted(text: _Text, index: Index, lexicon: Lexicon, i: int) -> _Fix | None:
    """A craft word written as two words that no list knows apart: "horse hair", "corner stones"."""
    end = i + 2
    if end > len(text.low) or any(text.covered[i:end]) or _ends_sentence(text, i):
        return None
    words = text.low[i:end]
    whole = "".join(words)
    if len(whole) < PARTED_LETTERS or not whole.isalpha() or any(len(w) < 3 or w in _function_words() for w in words):
        return None
    one = next((w for w in (whole, whole.removesuffix("s")) if w in index.single), None)
    if one is None or key(one) not in index.nouns or one.endswith(("ed", "ing")):
        return None  # what is done is told as well in two words: "slip stitched"
    if lexicon.find(" ".join(words)) is not None:
        return None
    if text.craft_near(index.single[one], i) < CRAFT_WORDS_NEEDED:
        return None
    return _Fix(i, end, (whole,), 0.9)


@functools.lru_cache(maxsize=50_000)
def _no_lemma(word: str) -> bool:
    """Whether a word is only a name or a piece of text to the English pipeline, and makers never say it."""
    met, lemmas = _english_words()
    if word not in met or len(word) < 4 or word in lemmas or in_talk(word) or word in _function_words():
        return False
    stems = (word[: -len(s)] + instead for s, instead in SUFFIXES if word.endswith(s) and len(word) - len(s) >= 3)
    return not any(stem in lemmas or (len(stem) > 3 and stem[-1] == stem[-2] and stem[:-1] in lemmas) for stem in stems)


# What begins something of its own, and is seldom the first sound of a word.
BOUND = frozenset("the some was is were that this it he she they we you my her his".split())


def _torn(text: _Text, index: Index, i: int) -> _Fix | None:
    """Two or three words, one of them no English, that sound like one craft word together: "burn a shing"."""
    if not any(_no_lemma(w) or not _is_english(w) for w in text.low[i : i + 3]):
        return None
    for end in (i + 3, i + 2):
        words = text.low[i:end]
        if end > len(text.low) or any(text.covered[i:end]) or any(_ends_sentence(text, at) for at in range(i, end - 1)):
            continue
        whole = "".join(words)
        if len(whole) < TORN_LETTERS or not whole.isalpha():
            continue
        if not _foreign(words, index) and not any(_no_lemma(w) for w in words):
            continue
        if words[-1] in _function_words() or words[0] in BOUND:
            continue
        if text.keys[i] in index.before or text.keys[end - 1] in index.after:
            continue  # one half of a compound was heard right
        if any(not _is_english(w) and raw.text[:1].isupper() for w, raw in zip(words, text.raw[i:end], strict=True)):
            continue  # somebody's name
        heard = sound(whole)
        best = max(
            (
                (likeness(heard, t.sound), t)
                for k in _close_skeletons(skeleton(heard), index)
                for t in index.by_skeleton[k]
            ),
            key=lambda found: found[0],
            default=None,
        )
        if best is None or best[0] < TORN_LIKE or key(best[1].words[0]) in text.keys[i:end]:
            continue
        if text.craft_near(best[1].crafts, i) > CRAFT_WORDS_NEEDED:
            return _Fix(i, end, best[1].words, round(0.9 * best[0], 3))
    return None


def _nonword(text: _Text, index: Index, i: int) -> _Fix | None:
    """A word that is no English and no craft word, but sounds like one."""
    word = text.low[i]
    if len(word) < 5 or not word.isalpha() or text.keys[i] in index.known or _is_english(word):
        return None
    if text.raw[i].text[:1].isupper():  # somebody's name, or the head of a sentence: no place for a misheard stuff
        return None
    candidates: list[tuple[float, Target]] = []
    for form in (word, word.removesuffix("s")):
        heard = sound(form)
        for key_ in _close_skeletons(skeleton(heard), index):
            for target in index.by_skeleton[key_]:
                like = likeness(heard, target.sound)
                if like >= (0.95 if min(len(form), len(target.words[0])) < 6 else NONWORD_LIKE):
                    candidates.append((like, target))
    candidates.sort(key=lambda c: -c[0])
    for like, target in candidates[:6]:
        if text.craft_near(target.crafts, i) >= (CRAFT_WORDS_NEEDED if like > 0.92 else CRAFT_WORDS_NEEDED + 1):
            meant = target.words[0]
            if word.endswith("s") and not meant.endswith(("s", "ed", "ing")):
                meant += "s"
            return _Fix(i, i + 1, (meant,), round(0.9 * like, 3))
    return None


def _in_doubt(text: _Text, i: int, end: int) -> bool:
    """Whether the recogniser doubts words ``[i, end)``, and they are none that makers use all the time."""
    words = text.low[i:end]
    return (
        min(w.p for w in text.raw[i:end]) < DOUBTED_P
        and len("".join(words)) >= 3
        and all(w.isalpha() and w not in _function_words() and in_talk(w) < COMMON for w in words)
        and not any(text.surely_said(k) for k in text.keys[i:end])
    )


def _doubted(text: _Text, index: Index, i: int) -> _Fix | None:
    """One or two words that the recogniser doubts, and that sound like a word of the craft spoken of."""
    for end in (i + 2, i + 1):
        if end > len(text.low) or any(text.covered[i:end]) or not _in_doubt(text, i, end):
            continue
        heard_p = [w.p for w in text.raw[i:end]]
        if len(heard_p) == 2 and (_ends_sentence(text, i) or max(heard_p) > 0.9):
            continue
        words = text.low[i:end]
        needed = next(like for most, like in DOUBTED_LIKE if min(heard_p) < most)
        needed += 0.015 * min(4, *map(in_talk, words))
        found = _alike(text, index, i, end, sound("".join(words)))
        if not found or found[0][0] < needed or (len(found) > 1 and found[0][0] - found[1][0] < AT_ODDS):
            continue
        _, like, target = found[0]
        near = text.craft_near(target.crafts, i)
        own = [index.single[k] for k in text.keys[i:end] if k in index.single]
        if own and min(heard_p) > KNOWN_P:
            continue
        if near < DOUBTED_CRAFT or any("general" in c or text.craft_near(c, i) * 2 >= near for c in own):
            continue
        if near * 2 > text.craft_near(text.spots, i):  # of the craft that is spoken of most here, or nearly
            return _Fix(i, end, target.words, round(0.8 * like, 3))
    return None


def _own(text: _Text, i: int) -> _Fix | None:
    """A word that the recogniser doubts, and that sounds like one the maker says over and over: "printers", "pruners"."""
    if not text.own or text.covered[i] or not _in_doubt(text, i, i + 1):
        return None
    heard, word = sound(text.low[i]), text.low[i]
    near = sorted(((likeness(heard, s), w) for w, s in text.own if _cost(heard[:1], s[:1]) < 0.5), reverse=True)
    if not near or near[0][0] < OWN_LIKE or key(near[0][1]) == text.keys[i]:
        return None
    if word.endswith("s") != near[0][1].endswith("s") or word.endswith("ed") != near[0][1].endswith("ed"):
        return None
    return _Fix(i, i + 1, (near[0][1],), round(0.8 * near[0][0], 3))


def _alike(text: _Text, index: Index, i: int, end: int, heard: str) -> list[tuple[float, float, Target]]:
    """Craft words that may stand at ``[i, end)``: (likelihood, likeness, word), the best first, one of each word."""
    found: dict[str, tuple[float, float, Target]] = {}
    for key_ in _close_skeletons(skeleton(heard), index):
        for target in index.by_skeleton[key_]:
            meant = target.words[0]
            longer = max(len(heard), len(target.sound))
            if 0.4 * abs(len(heard) - len(target.sound)) > (1 - LEAST_LIKE) * longer:
                continue  # every sound more costs that much
            like = likeness(heard, target.sound)
            filed = key(meant)
            if like < LEAST_LIKE or filed in text.keys[i:end] or not _fits(text, index, i, meant):
                continue
            score = like + SAID_ELSEWHERE * text.surely_said(filed) + 0.01 * min(in_talk(meant), 4) - 0.02
            shortest = min(len(heard), len(target.sound))
            score -= 0.08 * (shortest < 5) + 0.04 * (shortest < 4)
            score -= 0.06 * (_cost(heard[0], target.sound[0]) > 0.5)  # how a word begins is heard best
            if filed not in found or score > found[filed][0]:
                found[filed] = (score, like, target)
    return sorted(found.values(), key=lambda f: -f[0])


@functools.cache
def _talk() -> dict[str, int]:
    rows = resources.files("buildlog.crafts").joinpath("talk.txt").read_text("utf-8").splitlines()
    return {word: int(count) for word, _, count in (row.partition(" ") for row in rows)}


@functools.lru_cache(maxsize=50_000)
def in_talk(word: str) -> int:
    """In how many of 468 invented narrations (``models/training/talk.py``) ``word`` stands, or a quarter of its stem's."""
    most = _talk().get(word, 0)
    for suffix, instead in SUFFIXES:
        if word.endswith(suffix) and len(word) - len(suffix) >= 3:
            stem = word[: -len(suffix)] + instead
            most = max(most, _talk().get(stem, 0) // 4)
            if stem[-1] == stem[-2]:
                most = max(most, _talk().get(stem[:-1], 0) // 4)
    return most


SUBJECTS = frozenset(["i", "we", "you", "they", "he", "she", "i've", "we've", "i'll", "we'll", "you'll", "then", "to"])
DETERMINERS = frozenset(["a", "an", "the", "my", "this", "that", "these", "those", "some", "each", "every", "with"])


def _fits(text: _Text, index: Index, i: int, meant: str) -> bool:
    """Whether ``meant`` may stand at word ``i``: what is done after who does it, a thing's name after an article."""
    before, heard = (text.low[i - 1] if i else ""), text.low[i]
    if any(heard.endswith(e) and not meant.endswith(e) and _is_english(heard) for e in ("ed", "ing")):
        return False
    if before in SUBJECTS and meant not in index.verb_forms:
        return False
    return not (before in DETERMINERS and key(meant) not in index.nouns and not meant.endswith(("ed", "ing")))


def _close_skeletons(wanted: str, index: Index) -> list[str]:
    if wanted not in index.close:
        near = process.extract(wanted, index.skeletons, scorer=Levenshtein.distance, score_cutoff=1, limit=None)
        index.close[wanted] = [k for k, _, _ in near]
    return index.close[wanted]


def misheard_for_sure(word: str, p: float) -> bool:
    """Whether a word (lower case) that the recogniser gave ``p`` is hardly what was said: doubted, and no maker says it."""
    return p < DOUBTED_P and word.isalpha() and word not in _function_words() and in_talk(word) < 2


__all__ = ["in_talk", "likeness", "misheard_for_sure", "repair", "sound"]
