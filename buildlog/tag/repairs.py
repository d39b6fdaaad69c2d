"""Craft words that the recogniser heard wrong, put right where sound and surroundings agree.

Three ways lead to a repair, each asking for more than a likeness of sound:

* the heard word is no English word, sounds like a craft word, and words of that craft stand around it ("tafeda");
* the heard words complete a compound whose other half stands beside them ("mias tape", "stage stitch");
* the pair is one that craft files list as sounding alike, and the words it needs are near ("salvage" by "edge").

A word that makes sense as heard stays. Every repaired word keeps what was heard, so that the maker can undo it.
"""

from __future__ import annotations

import functools
import re
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from rapidfuzz.distance import Levenshtein

from buildlog import crafts as craft_data
from buildlog.document import Repair, Word
from buildlog.tag.lexicon import Lexicon, key, key_words

REACH = 60  # words on either side in which a craft must show itself
NEAR = 4  # words on either side in which a pair's own words must stand
NONWORD_LIKE, COMPOUND_LIKE, COMPOUND_LIKE_REAL = 0.8, 0.74, 0.78
CRAFT_WORDS_NEEDED = 2

# Words too common to be half of a misheard name on their own.
FUNCTION = frozenset(
    "a an the this that these those some any no every each my your his her its our their i you he she it we they me him "
    "us them and or but nor so if then than as at by for from in into of off on onto out over to up with about again all "
    "also am are be been being both can could did do does doing done down each few had has have having here how is just "
    "like may might more most much must not now only other own same shall should there through too under until very was "
    "were what when where which while who why will would one two three four five six seven eight nine ten first last "
    "good big little nice long short new old next back front top bottom side right left bit lot get got go going make "
    "made put use used let see want need take took cut yeah okay well oh um uh".split()
)
ADJECTIVES_OF_THINGS = frozenset(
    "black white red blue green yellow brown pink purple orange grey gray cream beige navy gold silver clear dark light "
    "bright wide narrow thin thick heavy fine soft hard strong cheap fancy spare extra normal regular plain pretty sticky "
    "wet dry warm cold hot sharp blunt dull clean dirty small large huge tiny medium short tall deep shallow flat round "
    "square straight curved double single simple basic special proper decent favourite favorite trusty standard ordinary "
    "whole half full empty fresh raw natural real fake main final second third certain different similar several many "
    "neat tidy loose tight tough rough smooth shiny matt matte glossy sturdy flimsy handy simple lovely beautiful ugly".split()
)
NUMBER_WORDS = dict(
    enumerate("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen".split())
)

# Spelling to sound, coarse on purpose: what two accents and a recogniser would both write for the same sounds.
SOUNDS = tuple(
    (re.compile(pattern), to)
    for pattern, to in (
        (r"[^a-z]", ""), ("tion|sion", "Sn"), ("tch|ch", "C"), ("sch", "sk"), ("sh", "S"), ("ph", "f"), ("th", "0"), ("wh", "w"),
        ("^kn|^gn|^pn", "n"), ("^wr", "r"), ("mb$", "m"), ("dge", "j"), ("ough", "o"), ("augh", "o"), ("igh", "i"), ("gh", ""),
        ("ck|q", "k"), ("x", "ks"), ("c(?=[eiy])", "s"), ("c", "k"), ("g(?=[eiy])", "j"), ("que$", "k"),
        ("ea|ee|ie|ei|y$|ey$|ae", "i"), ("ai|ay|eigh", "e"), ("oo|ou|ow|eu|ew|ue|ui|oa|oe", "o"), ("au|aw|al(?=[kl])|all", "o"),
        ("y", "i"), (r"([a-z0])e$", r"\1"), ("ing$|in$", "N"), ("[ae]r$|or$|re$", "R"), ("le$|el$|al$", "l"), (r"(.)\1+", r"\1"),
    )
)  # fmt: skip
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
    out = []
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
    """A compound split in two: the half that may be misheard, and the half that must stand beside it."""

    missing: Target
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


def _words(name: str) -> tuple[str, ...]:
    return tuple(name.lower().replace("-", " ").split())


@functools.lru_cache(maxsize=4)
def _index(held: _Held) -> Index:
    lexicon = held.lexicon
    by_skeleton: dict[str, list[Target]] = defaultdict(list)
    after: dict[str, list[Half]] = defaultdict(list)
    before: dict[str, list[Half]] = defaultdict(list)
    known: set[str] = set()
    for term in lexicon.terms:
        for name in (term.name, *term.aliases):
            known.update(key_words(name))
        crafts = frozenset(term.crafts) - {"general"}
        if term.kind not in (*craft_data.ITEM_KINDS, "technique", "piece", "place") or not crafts:
            continue
        for name in (term.name, *term.aliases):
            words = _words(name)
            if len(words) == 1 and len(words[0]) >= 5:
                target = Target(words, crafts, sound(words[0]))
                by_skeleton[skeleton(target.sound)].append(target)
            for cut in range(1, len(words)):
                head, tail = words[:cut], words[cut:]
                if len(head) <= 2 and len("".join(head)) >= 3:
                    after[key(tail[0])].append(Half(Target(head, crafts, sound("".join(head))), tail))
                if len(tail) == 1 and len(tail[0]) >= 3:
                    before[key(head[-1])].append(Half(Target(tail, crafts, sound(tail[0])), head))
    return Index(by_skeleton, after, before, _pairs(lexicon), frozenset(known))


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
def _english_words() -> frozenset[str]:
    """Every word the English pipeline met in training or knows as a lemma, lower case."""
    import msgspec

    from buildlog.tag.language import english

    nlp = english()
    # From the package's file, not from the live string store: that one grows with every text that is parsed.
    strings = msgspec.json.decode((nlp.path / "vocab" / "strings.json").read_bytes(), type=list[str])
    words = {s.lower() for s in strings if s.isalpha()}
    for entries in nlp.get_pipe("lemmatizer").lookups.get_table("lemma_index").values():
        words.update(entries)
    return frozenset(words)


@functools.lru_cache(maxsize=100_000)
def _is_english(word: str) -> bool:
    words = _english_words()
    if not word.isalpha() or len(word) < 3 or word in words or word in FUNCTION:
        return True
    for suffix, instead in (("s", ""), ("es", ""), ("ed", ""), ("ed", "e"), ("ing", ""), ("ing", "e"), ("er", ""), ("er", "e"),
                            ("ly", ""), ("ies", "y"), ("ied", "y"), ("est", ""), ("d", ""), ("y", ""), ("ish", ""), ("n't", ""), ("less", ""),
                            ("able", ""), ("ness", ""), ("ers", ""), ("ers", "e")):  # fmt: skip
        if word.endswith(suffix) and len(word) - len(suffix) >= 2:
            stem = word[: -len(suffix)] + instead
            if stem in words or (len(stem) > 3 and stem[-1] == stem[-2] and stem[:-1] in words):
                return True
    if word.startswith(("un", "re", "pre", "non", "over")) and word[2:].lstrip("enrv") and _is_english_stem(word):
        return True
    return any(len(word) - cut >= 3 and word[:cut] in words and word[cut:] in words for cut in range(3, len(word) - 2))


def _is_english_stem(word: str) -> bool:
    for prefix in ("un", "re", "pre", "non", "over"):
        if word.startswith(prefix) and len(word) - len(prefix) >= 3 and _is_english(word[len(prefix) :]):
            return True
    return False


class _Text:
    """The words of a transcript, bare and lower, with the places where crafts show themselves."""

    def __init__(self, words: Sequence[Word], lexicon: Lexicon) -> None:
        self.raw = words
        self.low = [w.text.strip().lower().replace("’", "'").strip(".,;:!?\"()[]…'") for w in words]
        self.keys = [key(w.removesuffix("'s")) for w in self.low]
        self.spots: dict[str, list[int]] = defaultdict(list)
        self.names: dict[str, list[str]] = defaultdict(list)
        self.covered = [False] * len(words)
        i = 0
        while i < len(words):
            matches = lexicon.terms_at(self.keys, self.low, i)
            best = next((m for m in matches if m.term.kind in (*craft_data.ITEM_KINDS, "technique")), None)
            if best is None:
                i += 1
                continue
            if best.end - best.start > 1:
                for at in range(best.start, best.end):
                    self.covered[at] = True
            for craft in best.term.crafts:
                if craft != "general":
                    self.spots[craft].append(i)
                    self.names[craft].append(best.term.name)
            i = max(i + 1, best.end)

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
    text = _Text(words, lexicon)
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
    return _listed(text, index, i) or _compound(text, index, lexicon, i) or _nonword(text, index, i)


def _ends_sentence(text: _Text, i: int) -> bool:
    return text.raw[i].text.strip()[-1:] in ".?!"


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
        if text.craft_near(pair.crafts, i) < (CRAFT_WORDS_NEEDED if pair.near or len(pair.heard) > 1 else 3):
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
    best: _Fix | None = None
    for length in (3, 2, 1):
        end = i + length
        if end >= len(text.low) or any(text.covered[i:end]) or any(_ends_sentence(text, at) for at in range(i, end)):
            continue
        heard = "".join(text.low[i:end])
        for half in index.after.get(text.keys[end], ()):
            if tuple(text.keys[end : end + len(half.exact)]) == tuple(key(w) for w in half.exact):
                best = _better(best, _judge(text, index, lexicon, i, end, heard, half, half.exact[-1]))
        if best is not None:
            return best
    if i > 0 and not text.covered[i] and not _ends_sentence(text, i - 1):
        for half in index.before.get(text.keys[i - 1], ()):
            start = i - len(half.exact)
            if start >= 0 and tuple(text.keys[start:i]) == tuple(key(w) for w in half.exact):
                best = _better(best, _judge(text, index, lexicon, i, i + 1, text.low[i], half, ""))
    return best


def _better(a: _Fix | None, b: _Fix | None) -> _Fix | None:
    return b if b is not None and (a is None or b.confidence > a.confidence) else a


def _judge(
    text: _Text, index: Index, lexicon: Lexicon, i: int, end: int, heard: str, half: Half, head: str
) -> _Fix | None:
    words = text.low[i:end]
    if tuple(words) == half.missing.words or tuple(text.keys[i:end]) == tuple(key(w) for w in half.missing.words):
        return None
    heard_sound = sound(heard)
    if abs(len(heard_sound) - len(half.missing.sound)) > 2:
        return None
    odd = not all(_is_english(w) or w in index.known for w in words)
    if not odd:
        if len(words) == 1 and not _may_be_wrong(words[0], index, lexicon):
            return None
        if len(words) > 1 and not _odd_run(words):
            return None
        if not head:  # the misheard word comes last: it must not be a word that could follow anything
            return None
    like = likeness(heard_sound, half.missing.sound)
    if like < (COMPOUND_LIKE if odd else COMPOUND_LIKE_REAL):
        return None
    if not odd and skeleton(heard_sound)[:1] != skeleton(half.missing.sound)[:1]:
        return None
    if text.craft_near(half.missing.crafts, i) < CRAFT_WORDS_NEEDED:
        return None
    return _Fix(i, end, half.missing.words, round(0.9 * like, 3))


def _may_be_wrong(word: str, index: Index, lexicon: Lexicon) -> bool:
    """Whether an English word is odd before a craft noun: no name of stuff, tool, colour, size or manner."""
    if word in FUNCTION or word in ADJECTIVES_OF_THINGS or key(word) in index.known or len(word) < 4:
        return False
    if word.endswith(("ing", "ed", "ly", "n't", "'s", "er", "y", "en")) or "'" in word or not word.isalpha():
        return False
    guessed = lexicon.wordnet_class(word)
    return guessed is not None and guessed[0] in ("person", "animal", "bodypart", "time", "place", "act")


def _odd_run(words: Sequence[str]) -> bool:
    """Whether a run of English words cannot stand before a noun: it ends in a pronoun or joins a preposition to one."""
    return words[-1] in ("us", "him", "them", "me", "i") or (
        len(words) == 2 and words[0] in ("by", "buy") and words[1] == "is"
    )


def _nonword(text: _Text, index: Index, i: int) -> _Fix | None:
    """A word that is no English and no craft word, but sounds like one."""
    word = text.low[i]
    if len(word) < 4 or not word.isalpha() or text.keys[i] in index.known or _is_english(word):
        return None
    # A capital inside a sentence is mostly somebody's name: ask for more likeness.
    name_like = text.raw[i].text[:1].isupper() and i > 0 and not _ends_sentence(text, i - 1)
    wanted = NONWORD_LIKE + (0.04 if name_like else 0.0)
    candidates: list[tuple[float, Target]] = []
    for form in (word, word.removesuffix("s")):
        heard = sound(form)
        for key_ in _close_skeletons(skeleton(heard), index):
            for target in index.by_skeleton[key_]:
                like = likeness(heard, target.sound)
                if like >= wanted:
                    candidates.append((like, target))
    candidates.sort(key=lambda c: -c[0])
    for like, target in candidates[:6]:
        if text.craft_near(target.crafts, i) >= CRAFT_WORDS_NEEDED:
            meant = target.words[0]
            if word.endswith("s") and not meant.endswith("s"):
                meant += "s"
            return _Fix(i, i + 1, (meant,), round(0.9 * like, 3))
    return None


def _close_skeletons(wanted: str, index: Index) -> list[str]:
    return _skeletons_near(wanted, tuple(index.by_skeleton))


@functools.lru_cache(maxsize=20_000)
def _skeletons_near(wanted: str, known: tuple[str, ...]) -> list[str]:
    return [k for k in known if abs(len(k) - len(wanted)) <= 1 and Levenshtein.distance(k, wanted, score_cutoff=1) <= 1]


__all__ = ["likeness", "repair", "sound"]
