"""What an amount is of: the noun that is measured, counted, or set."""

from __future__ import annotations

from buildlog.tag.amounts.atoms import Atoms
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import HYPHENS, is_digits, starts_number
from buildlog.tag.amounts.quantities import Quantity

Found = tuple[str | None, int | None]

_LINKS = lexis().sets["links"]
_DETERMINERS = lexis().sets["determiners"]
_VERBS_ISH = lexis().sets["verbs_before"]


def plural(text: str) -> bool:
    """Whether ``text`` looks like a plural noun."""
    sets = lexis().sets
    return text in sets["irregular"] or (
        len(text) > 2
        and text.endswith("s")
        and not text.endswith(("ss", "us", "is"))
        and text not in sets["not_plural"]
    )


def noun_after(a: Atoms, i: int, *, most: int = 4, stop_at_plural: bool = True) -> tuple[str, int] | None:
    """The noun phrase that starts at ``i`` (its words, atom of its head): words up to a stop or punctuation."""
    w = a.w
    stops = lexis().sets["stops"]
    k = i
    words: list[str] = []
    head = -1
    while k < i + most:
        text = w[k]
        if text in HYPHENS and a.glued[k]:
            k += 1
            continue
        if not text or text in stops or not text.isalpha() or starts_number(text) or text in _LINKS:
            break
        words.append(text)
        head = k
        k += 1
        if stop_at_plural and plural(text):
            break
    return (" ".join(words), head) if words else None


def counted(a: Atoms, i: int) -> tuple[str, int] | None:
    """The plural noun phrase that a number before ``i`` counts, or ``None``."""
    w = a.w
    sets = lexis().sets
    k = i
    words: list[str] = []
    while k < i + 5:
        text = w[k]
        if text in HYPHENS:
            k += 1
            continue
        if text == "a" and words and words[-1] in ("double", "triple"):
            k += 1
            continue
        if not text or text in sets["stops"] or not text.isalpha():
            return None
        words.append(text)
        if plural(text):
            return " ".join(words), k
        whole = plural(w[k + 1]) and w[k + 1] not in sets["stops"] and w[k + 1].isalpha()  # "three drawer sides"
        if text in sets["singular_ok"] and not whole and k <= i + 1 and (k == i or w[i] in HYPHENS):
            return " ".join(words), k
        k += 1
    return None


def noun_before(a: Atoms, i: int, *, reach: int = 8) -> tuple[str, int] | None:
    """The nearest noun before atom ``i`` over linking words: "the pocket is (about) 3 inches", "overhang of"."""
    w = a.w
    stops = lexis().sets["stops"]
    k = i - 1
    low = max(0, i - reach)
    while k >= low and (w[k] in _LINKS or w[k] in HYPHENS):
        k -= 1
    if (
        k < low
        or w[k] in lexis().units
        or w[k] in _VERBS_ISH
        or not w[k].isalpha()
        or w[k] in stops
        or is_digits(w[k])
        or w[k] in _DETERMINERS
    ):
        return None
    head = k
    words = [w[k]]
    while k - 1 >= low and w[k - 1].isalpha() and w[k - 1] not in stops and w[k - 1] not in _LINKS and len(words) < 2:
        if (
            w[k - 1] in lexis().units
            or w[k - 1] in _DETERMINERS
            or starts_number(w[k - 1])
            or w[k - 1] in _VERBS_ISH
            or w[k - 1].endswith("ed")
        ):
            break
        k -= 1
        words.insert(0, w[k])
    return " ".join(words), head


def measured(a: Atoms, q: Quantity) -> Found:
    """What a quantity with a unit is of."""
    w = a.w
    lex = lexis()
    k = q.end
    while w[k] in HYPHENS and a.glued[k]:
        k += 1
    text = w[k]
    if text in lex.dimension and q.dim in ("length", None):
        aspect = lex.dimension[text]
        if text == "square" and w[k + 1] == "of":
            return "square side", k
        j = k + 1
        if w[j] == "of":
            j += 1
        after = noun_after(a, j, most=3)
        if after and (text != "square" or q.hyphened or w[q.start - 1] in ("a", "an")):
            return f"{_singular(after[0].split()[-1])} {aspect}", after[1]
        before = noun_before(a, q.start)
        if before:
            return f"{_singular(before[0].split()[-1])} {aspect}", before[1]
        return aspect, None
    if text == "of":
        j = k + 1
        while w[j] in _DETERMINERS:
            j += 1
        after = noun_after(a, j, most=3)
        if after:
            return after
    if (
        text == "from"
        or (text == "in" and w[k + 1] == "from")
        or (text in ("in", "down", "up", "out") and w[k + 1] == "from")
    ):
        j = k + 1 if text == "from" else k + 2
        while w[j] in _DETERMINERS:
            j += 1
        after = noun_after(a, j, most=3)
        if after:
            return f"distance from {after[0]}", after[1]
    if w[q.start - 1] == "every" or (w[q.start - 1] == "each" and q.dim == "length"):
        before = noun_before(a, q.start - 1)
        return (f"{before[0]} spacing", before[1]) if before else ("spacing", None)
    if q.dim == "time":
        return _time_of(a, q)
    after = noun_after(a, k, most=3)
    if after:
        head = w[after[1]]
        if q.dim == "length" and head in lex.aspect:
            return lex.aspect[head], after[1]
        return after
    before = noun_before(a, q.start)
    return before if before else (None, None)


def _time_of(a: Atoms, q: Quantity) -> Found:
    """The doing that lasts: the nearest word of waiting or heating before (or after) the time."""
    w = a.w
    sets = lexis().sets
    for k in (*range(q.start - 1, max(-1, q.start - 12), -1), *range(q.end, min(a.n, q.end + 6))):
        if w[k] in sets["waiting"] or w[k] in sets["heat"] or w[k] in sets["repeat_verbs"]:
            return f"{w[k]} time", k
    before = noun_before(a, q.start)
    return (f"{before[0]} time", before[1]) if before else ("time", None)


def _singular(text: str) -> str:
    if text.endswith("ies") and len(text) > 4:
        return text[:-3] + "y"
    if text.endswith(("ches", "shes", "xes", "sses")):
        return text[:-2]
    return text[:-1] if plural(text) and text.endswith("s") else text


singular = _singular

__all__ = ["counted", "measured", "noun_after", "noun_before", "plural", "singular"]
