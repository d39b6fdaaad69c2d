"""Numbers as they are spoken and as recognisers write them, to exact fractions.

:func:`number` reads one number that starts at an atom: cardinals in words and digits, decimals, fractions, mixed
numbers, and the forms that recognisers make of them ("3 5 8 inches", "5-8 inch", "5.8 of an inch").
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, field
from fractions import Fraction
from math import gcd

from buildlog.tag.amounts.atoms import VULGAR, Atoms
from buildlog.tag.amounts.lexis import lexis

ONES = dict(zip(["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"], range(1, 10), strict=True))
TEENS = dict(
    zip(
        ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"],
        range(10, 20),
        strict=True,
    )
)
TENS = dict(
    zip(["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], range(20, 100, 10), strict=True)
)
TENS["fourty"] = 40
ZERO = {"zero": 0, "nought": 0, "naught": 0, "oh": 0}
WORDS = ONES | TEENS | TENS
SCALE = {"hundred": 100, "thousand": 1000}
DOZEN = {"dozen": 12}

SINGULAR_DEN = {"half": 2, "third": 3, "quarter": 4, "fourth": 4, "fifth": 5, "sixth": 6, "eighth": 8, "tenth": 10}
SINGULAR_DEN |= {
    "seventh": 7,
    "ninth": 9,
    "fifteenth": 15,
    "twentieth": 20,
    "fiftieth": 50,
    "sixteenth": 16,
    "hundredth": 100,
    "thousandth": 1000,
    "twelfth": 12,
    "8th": 8,
    "16th": 16,
}
PLURAL_DEN = {"halves": 2, "thirds": 3, "quarters": 4, "fourths": 4, "fifths": 5, "sixths": 6, "eighths": 8}
PLURAL_DEN |= {
    "sevenths": 7,
    "ninths": 9,
    "twentieths": 20,
    "tenths": 10,
    "sixteenths": 16,
    "hundredths": 100,
    "thousandths": 1000,
    "twelfths": 12,
    "eights": 8,
}
BARE_DEN = {"eight": 8, "sixteen": 16}
HYPHENS = frozenset("-–‑—")
RULER = frozenset({2, 4, 8, 16, 32, 64})
# a ruler fraction in bare digits may follow these ("at 3 8", "plus 1 4")
_BEFORE_FRACTION = frozenset(
    "by about off at a an the to nearly another plus minus less add over every stitch it".split()
)


@dataclass(slots=True)
class Number:
    """A number read from atoms ``[start, end)``.

    ``style`` is "digits" or "words"; ``fraction`` marks a value said with a fraction; ``parts`` are (value, end) of
    the readings of a run that can be cut ("one twenty" is 1 and 20 before an inch).
    """

    start: int
    end: int
    value: Fraction
    style: str
    fraction: bool = False
    confidence: float = 1.0
    flags: list[str] = field(default_factory=list)
    first: tuple[Fraction, int] | None = None


def is_digits(text: str) -> bool:
    """Whether an atom is a number in digits."""
    return bool(text) and ((text[0].isascii() and text[0].isdigit()) or (text[0] == "." and text[1:2].isdigit()))


def starts_number(text: str) -> bool:
    """Whether an atom can begin a number."""
    return text in WORDS or text in STARTS or is_digits(text) or (len(text) == 1 and text in VULGAR)


STARTS = frozenset(
    {
        *ZERO,
        "point",
        "half",
        "quarter",
        "third",
        "eighth",
        "sixteenth",
        "hundred",
        "thousand",
        "dozen",
        "couple",
        "a",
        "an",
    }
)


def _digit(a: Atoms, i: int) -> Fraction | None:
    text = a.w[i]
    if not is_digits(text):
        return None
    return Fraction(text.replace(",", ""))


def _whole_digit(a: Atoms, i: int) -> int | None:
    text = a.w[i]
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 9 else None


def _under_hundred(a: Atoms, i: int) -> tuple[int, int] | None:
    w = a.w
    text = w[i]
    if text in TENS:
        value, j = TENS[text], i + 1
        k = j + 1 if w[j] in HYPHENS and a.glued[j] else j
        if w[k] in ONES and not (_denominator(a, k + 1, ONES[w[k]]) and k == j):
            return value + ONES[w[k]], k + 1
        return value, j
    if text in TEENS:
        return TEENS[text], i + 1
    if text in ONES:
        return ONES[text], i + 1
    return None


def _denominator(a: Atoms, i: int, numerator: int) -> tuple[int, int] | None:
    """(denominator, end) where the atoms at ``i`` can be the lower part under ``numerator``."""
    w = a.w
    j = i + 1 if w[i] in HYPHENS and a.glued[i] else i
    text = w[j]
    if text in ("thirty", "sixty") and w[j + 1] in ("-", "second", "seconds", "fourth", "fourths"):
        k = j + 2 if w[j + 1] == "-" else j + 1
        tail = w[k]
        hyphen = k == j + 2
        den = {"thirtysecond": 32, "thirtyseconds": 32, "sixtyfourth": 64, "sixtyfourths": 64}.get(text + tail)
        # "thirty seconds" is a time unless an inch or a hyphen says otherwise
        if den and (hyphen or den == 64 or w[k + 1] == "of") and numerator < den:
            return den, k + 1
        return None
    if text in PLURAL_DEN:
        den = PLURAL_DEN[text]
        if text == "eights" and numerator % 2 == 0:
            return None
        return (den, j + 1) if numerator < den or numerator == 1 else None
    if text in SINGULAR_DEN:
        den = SINGULAR_DEN[text]
        if numerator == 1:
            return den, j + 1
        if den in (4, 8, 16) and numerator < den and numerator % 2 == 1:
            return den, j + 1
        if den == 3 and numerator == 2 and w[j + 1] in ("of", "cup"):
            return den, j + 1
        return None
    if text in BARE_DEN and 1 < numerator < BARE_DEN[text] and numerator % 2 == 1:
        # "seven and three eight inches", "five sixteen of an inch": the last sound was lost
        of_inch = w[j + 1] == "of" and w[j + 2] in ("a", "an") and w[j + 3] == "inch"
        mixed = i > 2 and w[i - 2] == "and" and (w[i - 3] in WORDS or is_digits(w[i - 3]))
        if w[j + 1] == "inches" or of_inch or (w[j + 1] == "inch" and mixed):
            return BARE_DEN[text], j + 1
        return None
    number = _whole_digit(a, j)
    if (
        number is not None
        and w[j + 1] in ("ths", "th", "s", "'s", "nds", "rds")
        and a.glued[j + 1]
        and number in RULER | {3, 5, 10}
    ):
        return (number, j + 2) if numerator < number else None
    return None


def _fraction(a: Atoms, i: int) -> tuple[Fraction, int] | None:
    """A proper fraction at ``i``: "5/8", "½", "five eighths", "a quarter", "half"."""
    w = a.w
    text = w[i]
    if len(text) == 1 and text in VULGAR:
        return Fraction(unicodedata.numeric(text)).limit_denominator(16), i + 1
    over = _whole_digit(a, i)
    if over is not None:
        if w[i + 1] in ("/", "⁄"):
            under = _whole_digit(a, i + 2)
            if under and w[i + 3] not in ("/", "⁄"):
                end = i + 4 if w[i + 3] in ("ths", "th", "rds", "nds") and a.glued[i + 3] else i + 3
                return Fraction(over, under), end
            return None
        found = _denominator(a, i + 1, over) if over else None
        return (Fraction(over, found[0]), found[1]) if found else None
    if text in ONES or text in TEENS:
        over = WORDS[text]
        if w[i + 1] == "over" and (below := _under_hundred(a, i + 2)) and below[0] in RULER and over < below[0]:
            return Fraction(over, below[0]), below[1]
        found = _denominator(a, i + 1, over)
        return (Fraction(over, found[0]), found[1]) if found else None
    if text == "a" and w[i + 1] in ("thirty", "sixty"):
        # "a thirty second", "a sixty-fourth": a time would be plural, or stand before a noun
        k = i + 3 if w[i + 2] == "-" else i + 2
        under = {("thirty", "second"): 32, ("sixty", "fourth"): 64}.get((w[i + 1], w[k]))
        # "a thirty second burst" is a time
        burst = w[k + 1].isalpha() and w[k + 1] not in lexis().sets["stops"] and w[k + 1] not in lexis().units
        return (Fraction(1, under), k + 1) if under and not burst else None
    if text in ("a", "an") and w[i + 1] in SINGULAR_DEN:
        return Fraction(1, SINGULAR_DEN[w[i + 1]]), i + 2
    if text in ("a", "an") and (under := _nth(a, i + 1)):
        return Fraction(1, under), i + 3
    if text in ("a", "an") and w[i + 1] in ("scant", "generous", "bare", "full", "good") and w[i + 2] in SINGULAR_DEN:
        return Fraction(1, SINGULAR_DEN[w[i + 2]]), i + 3
    if text in SINGULAR_DEN:
        return Fraction(1, SINGULAR_DEN[text]), i + 1
    return None


def _nth(a: Atoms, i: int) -> int:
    """The lower part of a ruler fraction written as an ordinal: 32 of "a 32nd", 8 of "an 8th"; 0 where none stands at ``i``."""
    under = _whole_digit(a, i)
    nth = a.w[i + 1] in ("th", "nd") and a.glued[i + 1]
    return under if under in RULER and under > 4 and nth else 0


def _in_inches(a: Atoms) -> bool:
    """Whether inches are said anywhere: only then are two bare digits a ruler fraction."""
    return "inches" in a.known or "inch" in a.known


def _digit_ratio(a: Atoms, i: int) -> tuple[Fraction, int] | None:
    """Two whole digits that can be a ruler fraction ("5 8", "5-8"): odd over a power of two, smaller above."""
    over = _whole_digit(a, i)
    if not over:
        return None
    j = i + 2 if a.w[i + 1] in HYPHENS and a.glued[i + 1] and a.glued[i + 2] else i + 1
    under = _whole_digit(a, j)
    if under in RULER and over < under and over % 2 == 1:
        return Fraction(over, under), j + 1
    return None


def length_at(a: Atoms, i: int) -> str | None:
    """The length unit's word at ``i`` (a hyphen before it is passed over), else ``None``."""
    j = i + 1 if a.w[i] in HYPHENS and a.glued[i] else i
    found = lexis().units.get(a.w[j]) or (lexis().short_units.get(a.w[j]) if a.w[j] in '"' else None)
    return a.w[j] if found and found.dim == "length" else None


def and_fraction(a: Atoms, i: int) -> tuple[Fraction, int, float] | None:
    """ "and a half", "and five eighths", "and 3 8" at ``i``; "in a half" is "and a half" misheard."""
    if a.w[i] in HYPHENS and a.glued[i] and a.w[i + 1] == "and":
        # "two-and-a-half-inch"
        i += 1
        if a.w[i + 1] in HYPHENS:
            words = [k for k in range(i + 1, i + 6) if a.w[k] not in HYPHENS]
            if a.w[words[0]] in ("a", "an") and a.w[words[1]] in SINGULAR_DEN:
                return Fraction(1, SINGULAR_DEN[a.w[words[1]]]), words[1] + 1, 1.0
            if a.w[words[0]] in ONES and (under := {**SINGULAR_DEN, **PLURAL_DEN}.get(a.w[words[1]])):
                return Fraction(ONES[a.w[words[0]]], under), words[1] + 1, 1.0
            return None
    joint = a.w[i]
    if joint not in ("and", "&", "in", "an", "n"):
        return None
    if joint in ("in", "an", "n"):
        if a.w[i + 1] in ("a", "one", "three") and (part := _fraction(a, i + 1)) and part[0] < 1:
            return part[0], part[1], 0.7
        return None
    # "an inch and a 1/2"
    at = i + 2 if a.w[i + 1] == "a" and is_digits(a.w[i + 2]) else i + 1
    if (part := _fraction(a, at)) and part[0] < 1:
        # "two and a third of the width" adds nothing to two
        return part[0], part[1], 1.0
    if under := _nth(a, i + 1):  # "an inch and 16th"
        return Fraction(1, under), i + 3, 0.9
    ratio = _digit_ratio(a, i + 1)
    if ratio and not is_digits(a.w[ratio[1]]):
        sure = length_at(a, ratio[1]) or ratio[0].denominator in (8, 16) or a.w[ratio[1]] in lexis().dimension
        if sure or (ratio[0].denominator == 4 and _in_inches(a) and not counts_something(a, ratio[1])):
            return ratio[0], ratio[1], 0.9
    return None


def counts_something(a: Atoms, i: int) -> bool:
    """Whether the atom at ``i`` looks like a plural noun, which a number before it would count."""
    text = a.w[i]
    sets = lexis().sets
    return (
        text.isalpha()
        and text.endswith("s")
        and len(text) > 3
        and text not in sets["not_plural"]
        and text not in sets["stops"]
    )


def _cardinal(a: Atoms, i: int) -> Number | None:
    """A whole or decimal number at ``i``, no fraction."""
    w = a.w
    text = w[i]
    value = _digit(a, i)
    if value is not None:
        end = i + 1
        if w[end] in SCALE and value < 1000:
            value *= SCALE[w[end]]
            end += 1
        elif w[end] == "dozen":
            value *= 12
            end += 1
        elif w[end] == "k" and a.glued[end]:
            value *= 1000
            end += 1
        elif w[end] == "point" and (tail := _decimals(a, end + 1)):
            return Number(i, tail[1], value + tail[0], "digits")
        return Number(i, end, value, "digits")
    if text in ZERO:
        if w[i + 1] == "point" and (tail := _decimals(a, i + 2)):
            return Number(i, tail[1], tail[0], "words")
        return Number(i, i + 1, Fraction(0), "words") if text != "oh" else None
    if text == "point":
        tail = _decimals(a, i + 1)
        return Number(i, tail[1], tail[0], "words") if tail else None
    if text in ("a", "half", "couple"):
        six = _half_dozen(a, i)
        if six:
            return Number(i, six, Fraction(6), "words")
        if text == "a" and w[i + 1] == "dozen":
            return Number(i, i + 2, Fraction(12), "words")
        j = i + 1 if text == "a" else i
        if w[j] == "couple" or (w[j] in ("good", "last", "first") and w[j + 1] == "couple" and text == "a"):
            j += w[j] != "couple"
            end = j + 2 if w[j + 1] in ("of", "o'") else j + 1
            if w[end] in ("hundred", "thousand", "dozen"):
                scale = {**SCALE, **DOZEN}[w[end]]
                return Number(i, end + 1, Fraction(2 * scale), "words", flags=["couple"])
            return Number(i, end, Fraction(2), "words", flags=["couple"])
        if text != "a" or w[i + 1] not in SCALE:
            return None
    if text == "a" and w[i + 1] in SCALE:
        return _scaled(a, i, 1, i + 1)
    if text in SCALE:
        return _scaled(a, i, 1, i)
    under = _under_hundred(a, i)
    if under is None:
        return None
    value_i, end = under
    if w[end] in HYPHENS and a.glued[end] and a.glued[end + 1] and w[end + 1] in SCALE:
        end += 1  # "four-hundred"
    if w[end] in SCALE:
        return _scaled(a, i, value_i, end)
    if w[end] == "dozen":
        return Number(i, end + 1, Fraction(value_i * 12), "words")
    if w[end] == "point" and (tail := _decimals(a, end + 1)):
        return Number(i, tail[1], value_i + tail[0], "words")
    k = end + 1 if w[end] in HYPHENS and a.glued[end] else end
    if value_i < 10 and (w[k] in TEENS or w[k] in TENS):
        second = _under_hundred(a, k)
        if second and not _denominator(a, k, value_i):
            joined = Fraction(value_i * 100 + second[0])
            return Number(i, second[1], joined, "words", flags=["run"], first=(Fraction(value_i), end))
    if value_i < 10 and w[k] == "oh" and w[k + 1] in ONES:
        return Number(i, k + 2, Fraction(value_i * 100 + ONES[w[k + 1]]), "words", flags=["run"])
    return Number(i, end, Fraction(value_i), "words")


def _scaled(a: Atoms, start: int, head: int, i: int) -> Number:
    """ "<head> hundred (and) twenty", "<head> thousand two hundred"; ``i`` stands at the scale word."""
    w = a.w
    value, end = head * SCALE[w[i]], i + 1
    if w[i] == "thousand":
        nxt = _under_hundred(a, end)
        if nxt and w[nxt[1]] == "hundred":
            value, end = value + nxt[0] * 100, nxt[1] + 1
    j = end + 1 if w[end] in ("and", "an") else end
    rest = _under_hundred(a, j)
    small = _whole_digit(a, j) if w[end] == "and" else None
    if (
        small
        and small < 100
        and w[j + 1] not in ("/", "⁄")
        and not is_digits(w[j + 1])
        and not _denominator(a, j + 1, small)
    ):
        rest = small, j + 1  # "a hundred and 25"
    # "a hundred and a half" and "a hundred and three quarter-inch screws" stay apart from the sum
    if (
        rest
        and not (j > end and _denominator(a, rest[1], rest[0]))
        and not (j == end and rest[0] < 10 and _denominator(a, rest[1], rest[0]))
    ):
        if w[rest[1]] in SCALE and w[i] == "hundred":
            return Number(start, end, Fraction(value), "words")
        value, end = value + rest[0], rest[1]
    if w[end] == "thousand" and w[i] == "hundred":
        value, end = value * 1000, end + 1
    return Number(start, end, Fraction(value), "words")


def _decimals(a: Atoms, i: int) -> tuple[Fraction, int] | None:
    """The digits after a spoken "point": "five", "two five", "seventy five", "oh five", "25"."""
    digits, j = "", i
    while len(digits) < 6:
        text = a.w[j]
        if text in ONES:
            digits += str(ONES[text])
        elif text in ZERO:
            digits += "0"
        elif not digits and text in WORDS:
            under = _under_hundred(a, j)
            if under is None:
                break
            digits, j = str(under[0]), under[1]
            break
        elif (whole := _whole_digit(a, j)) is not None and not digits:
            digits, j = str(whole), j + 1
            nxt = _whole_digit(a, j)
            pair = whole < 10 and nxt is not None and nxt < 10 and not is_digits(a.w[j + 1])
            if pair and (length_at(a, j + 1) or not counts_something(a, j + 1)):
                digits, j = f"{digits}{nxt}", j + 1  # "point 3 1"
            break
        else:
            break
        j += 1
    return (Fraction(int(digits), 10 ** len(digits)), j) if digits else None


def _half_dozen(a: Atoms, i: int) -> int:
    """Where "half a dozen", "a half dozen" or "half dozen" at ``i`` ends; 0 where it is not said."""
    for words in (["half", "a", "dozen"], ["a", "half", "dozen"], ["half", "dozen"]):
        if a.w[i : i + len(words)] == words:
            return i + len(words)
    return 0


def number(a: Atoms, i: int) -> Number | None:
    """The longest number that starts at atom ``i``, or ``None``."""
    w = a.w
    whole = _whole_digit(a, i)
    if whole is not None:
        found = _recognised(a, i, whole)
        if found:
            return found
    fraction = None if _half_dozen(a, i) else _fraction(a, i)
    if fraction:
        value, end = fraction
        style = "digits" if whole is not None or w[i] in VULGAR else "words"
        if value < 1 or style == "digits":
            return Number(i, end, value, style, fraction=True)
    head = _cardinal(a, i)
    if head is None:
        return None
    if "couple" in head.flags:
        return head
    j = head.end
    misheard = and_fraction(a, j)
    if misheard and head.value == int(head.value):
        part, end, confidence = misheard
        if not (w[end] in ("of",) and w[end + 1] in ("the", "my", "your", "its", "that")):
            flags = head.flags + (["misheard"] if confidence < 0.8 else [])
            return Number(i, end, head.value + part, head.style, True, confidence, flags)
    if w[j] == "and" and w[j + 1] == "a" and w[j + 2] == "bit":
        return Number(i, j + 3, head.value, head.style, flags=[*head.flags, "bit"])
    if head.value == int(head.value):
        k = j + 1 if w[j] in HYPHENS and a.glued[j] and a.glued[j + 1] and head.style == "digits" else j
        part2 = _fraction(a, k) if w[k] not in ("a", "an") and w[k] not in SINGULAR_DEN else None
        if part2 and part2[0] < 1:
            value2, end2 = part2
            # "three five eighths"; but "four three-quarter inch screws" counts screws
            singular = a.w[end2 - 1] in SINGULAR_DEN
            if is_digits(w[k]) and head.style == "words":
                # "four 1/4-20 bolts"
                return head
            if not singular and (value2.denominator in RULER or head.style == "digits"):
                return Number(
                    i, end2, head.value + value2, head.style, True, 0.95 if head.style == "words" else 1.0, head.flags
                )
    return head


def _recognised(a: Atoms, i: int, whole: int) -> Number | None:
    """What recognisers make of spoken fractions: "3 5 8 inches", "5-8 inch", "5-8-7-inch", "5.8 of an inch"."""
    w = a.w
    mixed_at = i + 2 if w[i + 1] in HYPHENS and a.glued[i + 1] else i + 1
    second = _digit_ratio(a, mixed_at)
    if second and length_at(a, second[1]):
        # whole, upper, lower, unit: three numbers before a length
        glued_all = mixed_at == i + 2
        first = _digit_ratio(a, i)
        if not (
            first
            and mixed_at == i + 2
            and w[second[1] - 2] in HYPHENS
            and whole in (1, 3, 5, 7)
            and second[0].denominator < 8
        ):
            return Number(i, second[1], whole + second[0], "digits", True, 0.8 if glued_all else 0.9, ["recognised"])
    if second and mixed_at == i + 1 and whole > 1 and second[0].denominator in (8, 16) and _in_inches(a):
        # "thirteen three eighths" with no unit
        if not is_digits(w[i - 1]) and not counts_something(a, second[1]) and not is_digits(w[second[1]]):
            return Number(i, second[1], whole + second[0], "digits", True, 0.7, ["recognised"])
    ratio = _digit_ratio(a, i)
    if not ratio:
        return None
    value, end = ratio
    hyphen = w[i + 1] in HYPHENS
    if hyphen and w[end] in HYPHENS and a.glued[end] and is_digits(w[end + 1]):
        # "5-8-7-inch": one digit too many
        return Number(i, end + 2, value, "digits", True, 0.3, ["garbled"])
    unit = length_at(a, end)
    if not unit and w[end] == "of" and w[end + 1] in ("a", "an") and length_at(a, end + 2) and not hyphen:
        return Number(i, end, value, "digits", True, 0.9, ["recognised"])
    if not unit:
        if w[end] in ("ths", "th") and a.glued[end]:
            return Number(i, end + 1, value, "digits", True, 0.9, ["recognised"])
        after_link = w[i - 1] in _BEFORE_FRACTION if i else False
        ends = not w[end].isalpha() or w[end] in lexis().sets["stops"]
        shaped = not hyphen and _in_inches(a) and (w[end] in lexis().dimension or w[end] in ("from", "away", "each"))
        eighths = (
            not hyphen
            and value.denominator == 8
            and value.numerator > 1
            and _in_inches(a)
            and not (i and is_digits(w[i - 1]))
            and not is_digits(w[end])
            and not counts_something(a, end)
            and w[end] not in lexis().units
        )
        fine = (value.denominator >= 16 and value.denominator != 64) or (value.denominator == 64 and not hyphen)
        if shaped or (not hyphen and _in_inches(a) and after_link and ends and not is_digits(w[end])):
            return Number(i, end, value, "digits", True, 0.75, ["recognised"])
        if value.denominator in (8, 16, 32, 64) and (
            eighths
            or (hyphen and w[end] in ("seam", "allowance", "of"))
            or w[end] in lexis().aspect
            or (fine and not is_digits(w[end]))
            or (after_link and ends and not is_digits(w[end]))
        ):
            return Number(i, end, value, "digits", True, 0.75, ["recognised"])
        return None
    den = int(w[end - 1])
    if unit not in ("inch", '"', "inches"):
        return None
    if hyphen and unit == "inches":
        # "2-3 inches", "1-2 inches", "3-4 inches" are ranges; "5-8 inches" is more often five eighths
        if den < 8 or int(w[i]) == den - 1:
            return None
        return Number(i, end, value, "digits", True, 0.6, ["recognised", "perhaps range"])
    return Number(i, end, value, "digits", True, 0.9 if den >= 8 else 0.75, ["recognised"])


def dotted_fraction(value: Fraction, text: str) -> Fraction | None:
    """ "5.8" said of an inch is five eighths: the fraction, or ``None`` where the digits cannot be one."""
    left, _, right = text.partition(".")
    if (
        left.isdigit()
        and right.isdigit()
        and int(right) in RULER
        and int(left) < int(right)
        and gcd(int(left), int(right)) == 1
    ):
        return Fraction(int(left), int(right))
    return None
