"""Names of things as a viewer reads them: what speech and recognisers leave on a name taken off, figures as figures.

The log keeps every name as it was said; only what is published is worded here.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Sequence
from fractions import Fraction

from buildlog.document import Item, Measurement
from buildlog.publish.plain import capital, clean
from buildlog.publish.units import UNITS, exact_value, known, number

_ONES = "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen"  # fmt: skip
_FIGURES = {word: n for n, word in enumerate(_ONES.split(), 1)}
_FIGURES |= {w: 10 * n for n, w in enumerate("twenty thirty forty fifty sixty seventy eighty ninety".split(), 2)}
# Written in capitals wherever they stand.
_CAPITALS = {"pva", "pdf", "mdf", "led", "abs", "eva", "tv", "usb", "pvc", "hdpe", "uv", "cad", "svg"}
# Peoples and places in the names of ways of working.
_PROPER = re.compile(
    r"\b(?:french|japanese|english|danish|dutch|german|spanish|norwegian|swedish|coptic|roman|persian|hong kong)\b"
)
# A verb that ran into the name before it: "the wing dividers'll scratch", "so the hair can't come up".
_VERB_AFTER = re.compile(
    r"(?:['’](?:ll|d|ve|re)\b.*|\s+(?:ca|wo|is|does|do|was|did|wouldn|couldn|shouldn)n['’]?t\b.*)$", re.IGNORECASE
)
_SIZED = re.compile(r"\b(size|number|no|grade)\.? (" + "|".join(_FIGURES) + r")\b", re.IGNORECASE)
_ABOUT = re.compile(r"^(?:(?:a|an|the|about|roughly|around)\s+)+", re.IGNORECASE)


def shown_name(item: Item, amounts: Sequence[Measurement] = ()) -> str:
    """The name of ``item`` for a list, with a capital. ``amounts`` are its measurements.

    "7 64 bit" is "7/64 in bit", "two beveller" of size "Number two" is "Number 2 beveller", "dividers'll" "dividers".
    """
    name = clean(item.name)
    name = _VERB_AFTER.sub("", name) or name
    name = _told_of(name, item.aliases)
    name = _with_size(name, clean(item.size or ""))
    for m in amounts:
        name = _with_figure(name, m)
    return worded(name)


@functools.lru_cache(maxsize=8192)
def worded(name: str) -> str:
    """A name or what a link is for, with figures for sizes, capitals where they belong and no word twice."""
    name = _SIZED.sub(lambda m: f"{m[1]} {_FIGURES[m[2].casefold()]}", clean(name))
    words: list[str] = []
    for word in name.split():
        bare = word.casefold()
        if len(words) < 2 or bare not in (words[0].casefold(), words[-1].casefold()):
            words.append(_capitals(word))
    return capital(proper(" ".join(words)))


def _capitals(word: str) -> str:
    """ "pva" is "PVA", "leds" are "LEDs"."""
    bare = word.casefold()
    if bare in _CAPITALS:
        return word.upper()
    return word[:-1].upper() + "s" if bare[-1:] == "s" and bare[:-1] in _CAPITALS else word


def proper(text: str) -> str:
    """``text`` with capitals for the names of peoples and places: "french seaming" is "French seaming"."""
    return _PROPER.sub(lambda m: m[0].title(), text)


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
    said = _ABOUT.sub("", clean(m.text))
    if unit is None or m.value_max is not None or len(said) < 3:
        return name
    shape = r"(?<!\w)" + re.escape(said).replace(r"\ ", r"[\s-]+") + r"(?!\w)"
    value = exact_value(m)
    # A thirty-second is as fine as anybody names a size.
    if UNITS[unit][1] == "imperial" and (value * 64).denominator != 1:
        value = Fraction(round(value * 64), 64)
    return re.sub(shape, lambda _: f"{number(value, unit)} {UNITS[unit][3]}", name, count=1, flags=re.IGNORECASE)
