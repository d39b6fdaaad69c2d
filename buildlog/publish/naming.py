"""Names of things as a viewer reads them: what speech and recognisers leave on a name taken off, figures as figures.

The log keeps every name as it was said, without the verbs that ran into it; only what is published is worded here.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Iterable, Sequence
from fractions import Fraction

from buildlog.document import Item, Line, Log, Measurement
from buildlog.publish.plain import capital, clean, proper
from buildlog.publish.units import UNITS, exact_value, known, number, short

_ONES = "one two three four five six seven eight nine".split()
_TEENS = "ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()
_FIGURES = {w: n for n, w in enumerate([*_ONES, *_TEENS], 1)} | {w: 10 * n for n, w in enumerate(_TENS, 2)}
_ONE, _TEN = f"(?:{'|'.join(_ONES)})", f"(?:{'|'.join(_TENS)})"
_UNDER_100 = f"(?:{_TEN}(?:[ -]{_ONE})?|{'|'.join(_TEENS)}|{_ONE})"
# "ten", "ninety", "one hundred", "1 hundred", "a hundred and ten", "two forty" (as grit is said)
_SAID_NUMBER = rf"(?:(?:(?:{_ONE}|[1-9]|a) )?hundred(?:(?: and)? {_UNDER_100})?|{_ONE} {_TEN}|{_UNDER_100})"
# Written in capitals wherever they stand.
_CAPITALS = {"pva", "pdf", "mdf", "led", "abs", "eva", "tv", "usb", "pvc", "hdpe", "uv", "cad", "svg", "npn", "pnp"}
_SIZED = re.compile(rf"\b(size|number|no|grade)\.? ({_SAID_NUMBER})\b", re.IGNORECASE)
_GRIT = re.compile(
    rf"\b((?:{_ONE} {_TEN}|{_ONE} hundred(?: {_TEN})?))(?: grit)? (?=(?:sand ?)?(?:paper|pads?|discs?|grit|mesh)\b)",
    re.IGNORECASE,
)
_ABOUT = re.compile(r"^(?:(?:a|an|the|about|roughly|around)\s+)+", re.IGNORECASE)
_SMALL = {"a", "an", "the", "of", "my", "some"}


@functools.lru_cache(maxsize=8192)
def name_words(name: str) -> tuple[str, ...]:
    """A name's telling words in order, for comparing: without case, articles and plural s."""
    words = [w for w in re.findall(r"[^\W_]+", name.casefold()) if w not in _SMALL]
    return tuple(w[:-1] if len(w) > 3 and w[-1] == "s" and w[-2] != "s" else w for w in words)


def shown_name(item: Item, amounts: Sequence[Measurement] = ()) -> str:
    """The name of ``item`` for a list, with a capital. ``amounts`` are its measurements.

    "7 64 bit" is "7/64 in bit", "two beveller" of size "Number two" is "Number 2 beveller", "hundred watt bulb" is
    "100 W bulb", "twenty paper" of grit 120 "120 grit paper".
    """
    name = clean(item.name)
    name = _told_of(name, item.aliases)
    name = _with_size(name, clean(item.size or ""))
    for m in amounts:
        name = _with_grit(name, m) if m.of == "grit" else _with_figure(name, m)
    return worded(name)


@functools.lru_cache(maxsize=8192)
def worded(name: str) -> str:
    """A name or what a link is for, with figures for sizes, capitals where they belong and no word twice."""
    name = _SIZED.sub(lambda m: f"{m[1]} {figure(m[2])}", clean(name))
    name = _GRIT.sub(lambda m: f"{figure(m[1])} grit ", name)
    words: list[str] = []
    for word in name.split():
        bare = word.casefold()
        if len(words) < 2 or bare not in (words[0].casefold(), words[-1].casefold()):
            words.append(_capitals(word))
    return capital(proper(" ".join(words)))


def figure(said: str) -> int:
    """A number in words, as sizes and grits are said: "one hundred" is 100, "two forty" 240, "twenty two" 22."""
    total = 0
    for word in re.split(r"[ -]+", said.casefold()):
        if word == "hundred":
            total = 100 * (total or 1)
        elif word in ("a", "and"):
            continue
        else:
            value = int(word) if word.isdigit() else _FIGURES[word]
            # "one twenty" is a hundred and twenty, "twenty one" is not two thousand and one
            total = total * 100 + value if 0 < total < 10 <= value else total + value
    return total


def _capitals(word: str) -> str:
    """ "pva" is "PVA", "leds" are "LEDs"."""
    bare = word.casefold()
    if bare in _CAPITALS:
        return word.upper()
    return word[:-1].upper() + "s" if bare[-1:] == "s" and bare[:-1] in _CAPITALS else word


def _told_of(name: str, aliases: Sequence[str]) -> str:
    """ "Leather's veg tan", where it is also called leather, is "veg tan leather": "leather is veg tan" was said."""
    m = re.match(r"^([^\W\d_]+)['’]s (.+)$", name)
    return f"{m[2]} {m[1].lower()}" if m and m[1].casefold() in {a.casefold() for a in aliases} else name


def _with_size(name: str, size: str) -> str:
    """A size that the name has only the end of goes in front of it, once."""
    said, words = size.split(), name.split()
    for n in range(min(len(said) - 1, len(words)), 0, -1):
        if [w.casefold() for w in said[-n:]] == [w.casefold() for w in words[:n]]:
            return " ".join([*said, *words[n:]])
    return name


def _with_figure(name: str, m: Measurement) -> str:
    """An amount said inside a name as a figure: "inch and a quarter screws" are "1 1/4 in screws"."""
    unit = known(m.unit)
    written = short(m.unit)
    said = _ABOUT.sub("", clean(m.text))
    if written is None or m.value_max is not None or len(said) < 3:
        return name
    shape = r"(?<!\w)" + re.escape(said).replace(r"\ ", r"[\s-]+") + r"(?!\w)"
    value = exact_value(m)
    # A thirty-second is as fine as anybody names a size.
    if unit is not None and UNITS[unit][1] == "imperial" and (value * 64).denominator != 1:
        value = Fraction(round(value * 64), 64)
    return re.sub(shape, lambda _: f"{number(value, unit)} {written}", name, count=1, flags=re.IGNORECASE)


def _with_grit(name: str, m: Measurement) -> str:
    """A grit that the name has all or the end of: "six hundred paper", "twenty paper" of "one twenty"."""
    said, words = clean(m.text).casefold().split(), name.split()
    for n in range(min(len(said), len(words) - 1), 0, -1):
        if said[-n:] == [w.casefold() for w in words[:n]]:
            return " ".join([f"{number(exact_value(m))} grit", *words[n:]])
    return name


# Capitals -------------------------------------------------------------------------------------------------------------

_SENTENCE_END = re.compile(r"[.?!:…][\"'”’)]*$")
# Whatever captions do with them, these are no names.
_NEVER_NAMES = set(
    "a an and as at but by for from if in is it its of on or so that the them then there they this to was we with you your".split()
)
_INSIDE = re.compile(r"(?<=[\w,;’'-] )[A-Z][a-z]+\b")


_LAST: list[
    tuple[Sequence[Line], tuple[set[str], set[str]]]
] = []  # a face asks again after every edit, of the same words


def steady(text: str, log: Log) -> str:
    """``text`` with a capital inside a sentence written small where the transcript has it for a sentence's beginning
    only, and the word is said without one too or is in the name of a thing: "cut a Strip" is "cut a strip"."""
    if not _INSIDE.search(text):
        return text
    if not _LAST or _LAST[0][0] is not log.transcript:
        _LAST[:] = [(log.transcript, _as_written(log.transcript))]
    small, names = _LAST[0][1]

    def written(m: re.Match[str]) -> str:
        word = m[0].lower()
        thing = any(word in i.name.casefold().split() for i in log.items)
        told_small = (word in small or thing) and m[0] not in names
        return word if told_small or word in _NEVER_NAMES else m[0]

    return proper(_INSIDE.sub(written, text))


def _as_written(lines: Iterable[Line]) -> tuple[set[str], set[str]]:
    """Words written small somewhere; words with a capital where no sentence and no line begins."""
    small: set[str] = set()
    names: set[str] = set()
    for line in lines:
        first = True
        for word in line.text.split():
            bare = re.sub(r"['’].*$", "", word.strip(".,;:!?\"'“”‘’()…"))
            if bare.islower():
                small.add(bare)
            elif not first and bare[:1].isupper() and bare[1:].islower():
                names.add(bare)
            first = bool(_SENTENCE_END.search(word))
    return small, names
