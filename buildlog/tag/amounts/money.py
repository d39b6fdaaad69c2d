"""Prices and totals: what was paid, in which currency, for how much of a thing."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from buildlog.tag.amounts.atoms import Atoms
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import HYPHENS, is_digits, number, starts_number
from buildlog.tag.amounts.quantities import Quantity

_HUNDRED = 100


@dataclass(slots=True)
class Sum:
    """Money over atoms ``[start, end)``; ``per`` as said."""

    start: int
    end: int
    value: Fraction
    value_max: Fraction | None
    currency: str | None
    per: str | None
    confidence: float


def money(a: Atoms, q: Quantity) -> Sum | None:
    """The sum of money that ``q`` begins, or ``None`` where it is something else."""
    w = a.w
    lex = lexis()
    sign = lex.signs.get(w[q.start - 1]) if q.start else None
    k = q.number_end
    if sign:
        start, end = q.start - 1, k
        value, value_max = q.value, q.value_max
        if w[k] in lex.money and value_max is None:
            end = k + 1
        return _with_per(a, Sum(start, end, value, value_max, sign, None, 1.0))
    if w[k] in HYPHENS and a.glued[k]:
        k += 1
    word = w[k]
    if word in ("us", "canadian", "australian") and w[k + 1] in ("dollars", "cents"):
        k, word = k + 1, w[k + 1]
    if word in lex.money and not (word == "p" and not (a.glued[k] or _near_cue(a, q.start, k))):
        currency, parts = lex.money[word]
        if word in ("pound", "pounds") and not _is_money(a, q, k):
            return None
        if word == "yen" and q.value < 2:
            return None
        value, value_max, end = q.value, q.value_max, k + 1
        if parts == 1 and value_max is None and starts_number(w[end]) and w[end] not in ("a", "an", "half"):
            rest = number(a, end)
            if rest and rest.value == int(rest.value) and 5 <= rest.value < _HUNDRED and not w[rest.end].endswith("s"):
                value, end = value + rest.value / _HUNDRED, rest.end
        elif (
            parts == 1
            and value_max is None
            and w[end] == "and"
            and (cents := number(a, end + 1))
            and w[cents.end] in ("cents", "pence", "p")
            and cents.value < _HUNDRED
        ):
            value, end = value + cents.value / _HUNDRED, cents.end + 1
        if parts != 1:
            value = value / parts
            value_max = value_max / parts if value_max is not None else None
        if value_max is None:
            j = end + 1 if w[end] == "," else end
            if w[j] in ("maybe", "or", "to", "perhaps") and starts_number(w[j + 1]):
                more = number(a, j + 1)
                if more and value < more.value <= 2 * value and more.style == q.style:
                    value_max, end = more.value, more.end
                    end += w[end] in lex.money
                    q.approximate = q.approximate or w[j] in ("maybe", "perhaps")
        return _with_per(a, Sum(q.start, end, value, value_max, currency, None, 0.95))
    if q.unit is None and not q.article and not q.fraction:
        return _bare(a, q)
    return None


def note(a: Atoms, i: int) -> Sum | None:
    """ "a tenner", "a fiver", "two tenners" at atom ``i``."""
    lex = lexis()
    if a.w[i] in ("a", "another") and a.w[i + 1] in lex.notes:
        currency, value = lex.notes[a.w[i + 1]]
        if a.w[i + 1] == "grand" and a.w[i + 2].isalpha() and a.w[i + 2] not in lex.sets["stops"]:
            return None
        return _with_per(a, Sum(i, i + 2, value, None, currency, None, 0.9))
    return None


def _bare(a: Atoms, q: Quantity) -> Sum | None:
    """A number with no word of money after it: "cost me about thirty", "four ninety-nine a metre"."""
    w = a.w
    lex = lexis()
    if "run" in q.flags and _per(a, q.end)[0] and w[q.end] in ("a", "per", "each", "apiece"):
        return _with_per(a, Sum(q.start, q.end, q.value / _HUNDRED, None, None, None, 0.8))
    k = q.start - 1
    steps = 0
    fillers = lexis().sets["price_fillers"]
    while k >= 0 and w[k] in fillers and steps < 4:
        k, steps = k - 1, steps + 1
    after = w[q.end]
    if k >= 0 and w[k] in lex.raw["money_context"]["verbs_before_bare"]:
        if after.isalpha() and after not in lex.sets["stops"] and after not in lex.sets["per_words"] and after != "for":
            return None
        value = q.value / _HUNDRED if "run" in q.flags else q.value
        return _with_per(a, Sum(q.start, q.end, value, q.value_max, None, None, 0.8))
    if k >= 0 and w[k] == "at" and w[q.end] in ("a", "per") and a.known & lex.money.keys():
        if w[q.end + 1] in (
            "metre",
            "meter",
            "yard",
            "foot",
            "sheet",
            "litre",
            "kilo",
        ):  # "a tapestry at ninety a metre"
            return _with_per(a, Sum(q.start, q.end, q.value, q.value_max, None, None, 0.7))
    return None


def is_total(a: Atoms, start: int, end: int) -> bool:
    """Whether the sum at ``[start, end)`` is said to be for everything."""
    w = a.w
    totals = lexis().totals
    for k in range(max(0, start - 8), start):
        for size in (3, 2, 1):
            if tuple(w[k : k + size]) in totals and k + size <= start:
                return not (w[k] in _CAME_TO and _one_thing(a, k))
    return any(tuple(w[end + o : end + o + size]) in totals for o in (0, 1) for size in (1, 2))


_CAME_TO = frozenset(["came", "comes", "come", "set", "sets"])


def _one_thing(a: Atoms, verb: int) -> bool:
    """Whether what came to the sum is one thing of the list ("the hinges set me back ten"), not all of it."""
    w = a.w
    sets = lexis().sets
    noun = w[verb - 1] if verb else ""
    if not noun.isalpha() or noun in sets["stops"] or noun in sets["everything"]:
        return False
    return any(x in sets["determiners"] for x in w[max(0, verb - 4) : verb - 1]) and not (
        sets["totalling"] & set(w[max(0, verb - 5) : verb])
    )


def bare_total(a: Atoms, q: Quantity) -> bool:
    """Whether a bare number is a total: "it all came to about forty"."""
    w = a.w
    k = q.start - 1
    while k >= 0 and w[k] in lexis().sets["total_fillers"]:
        k -= 1
    came = tuple(w[max(0, k - 1) : k + 1])
    if came not in {("came", "to"), ("comes", "to"), ("come", "to"), ("up", "to"), ("back", "to"), ("me", "back")}:
        return False
    if came == ("up", "to") and w[k - 2] not in ("added", "adds", "add"):
        return False
    window = w[max(0, k - 6) : k]
    everything = lexis().sets["totalling"]
    return bool(everything & set(window)) and q.unit is None


def _near_cue(a: Atoms, start: int, k: int) -> bool:
    cues = lexis().sets["cues"]
    w = a.w
    return any(x in cues or x in ("£", "$", "€", "quid") for x in w[max(0, start - 9) : start] + w[k + 1 : k + 8])


def _is_money(a: Atoms, q: Quantity, k: int) -> bool:
    """Pounds: money or weight, by the words around. ``k`` is the atom of the word."""
    w = a.w
    lex = lexis()
    weight = lex.sets["weight"]
    nxt = w[k + 1]
    if w[k] == "pound" and q.value >= 2 and _sheet_stuff(a, q, k) and not _costing(a, q.start):
        return False
    if nxt == "for" and w[k + 2] not in ("force",):
        return True
    if starts_number(nxt) and nxt not in ("a", "an") and (cents := number(a, k + 1)):
        return 5 <= cents.value < _HUNDRED and w[cents.end] not in ("ounce", "ounces", "oz")
    if nxt in ("each", "apiece", "per", "sterling", "fifty", "note", "coin"):
        return True
    if nxt in ("a", "an") and w[k + 2].isalpha() and w[k + 2] not in ("piece",):
        return True
    if nxt == "of" or nxt in weight or nxt == "weight" or (w[k + 2] in weight and w[k] == "pound"):
        return False
    if w[k] == "pound" and nxt.isalpha() and nxt not in lex.sets["stops"] and not q.article:
        return False
    around = set(w[max(0, q.start - 7) : q.start]) | set(w[k + 1 : k + 8])
    if around & weight and not around & {"cost", "paid", "cheap", "expensive", "spent", "bought"}:
        return False
    if around & lex.sets["cues"] or (w[q.start - 1] == "for" and "got" in w[max(0, q.start - 8) : q.start]):
        return True
    if w[k] == "pound" and w[q.start - 1] in ("was", "were", "cost", "costs") and (not nxt.isalpha() or nxt == "and"):
        return True  # "the needles were one pound."
    if q.article or w[k] == "pound":
        return False
    # a bare "eleven pounds": money, unless the speaker pays in another coin
    return not a.known & {"dollars", "dollar", "bucks", "buck", "$", "€", "euros", "euro"}


def _sheet_stuff(a: Atoms, q: Quantity, k: int) -> bool:
    """Whether paper, card or line is spoken of, which are named by their pounds: "forty pound paper"."""
    return bool(lexis().sets["pound_stuffs"] & set(a.w[max(0, q.start - 6) : q.start] + a.w[k + 1 : k + 4]))


def _costing(a: Atoms, start: int) -> bool:
    """Whether the number at atom ``start`` follows a verb of paying."""
    return bool(set(a.w[max(0, start - 3) : start]) & set(lexis().raw["money_context"]["verbs_before_bare"]))


def _per(a: Atoms, k: int) -> tuple[str | None, int]:
    """What the sum just before atom ``k`` buys, and where saying so ends."""
    w = a.w
    text = w[k]
    if text in ("each", "apiece"):
        return "each", k + 1
    if (text == "a" and w[k + 1] == "piece") or (text == "a" and w[k + 1] == "pop"):
        return "each", k + 2
    if text in ("a", "an", "per", "the", "/") and w[k + 1].isalpha() and w[k + 1] not in lexis().sets["stops"]:
        if text == "the" and w[k + 1] not in lexis().sets["whole_lots"]:
            return None, k
        if (w[k + 1] in ("square", "running", "linear") and w[k + 2].isalpha()) or w[k + 1 : k + 3] == [
            "board",
            "foot",
        ]:
            return f"{w[k + 1]} {w[k + 2]}", k + 3
        return w[k + 1], k + 2
    if text == "for":
        if w[k + 1] in ("each", "one"):
            return "each", k + 2
        j = k + 1
        if w[j] == "a" and w[j + 1] in ("pack", "bag", "box", "set") and w[j + 2] == "of":
            j += 3
        if starts_number(w[j]) and (w[j] not in ("a", "an") or w[j + 1] in ("hundred", "dozen", "thousand")):
            n = number(a, j)
            if n and n.value == int(n.value) and n.value > 1:
                return str(int(n.value)), n.end
        if w[j] in ("the", "a") and w[j + 1] in ("pair", "lot", "set", "pack", "bag", "roll", "box", "sheet", "bundle"):
            return w[j + 1], j + 2
        if w[j] == "both":
            return "2", j + 1
    return None, k


def _with_per(a: Atoms, found: Sum) -> Sum:
    found.per, end = _per(a, found.end)
    if found.per is not None:
        found.end = end
    else:
        found.per = _packed(a, found.start)
    return found


def _packed(a: Atoms, start: int) -> str | None:
    """How many the pack holds that was bought for the sum at atom ``start``: "a bag of a hundred for six dollars"."""
    w = a.w
    k = start - 1
    while k >= 0 and w[k] in lexis().sets["price_fillers"]:
        k -= 1
    if k < 0 or w[k] != "for":
        return None
    for j in range(k - 1, max(0, k - 5), -1):
        if w[j] == "of" and (n := number(a, j + 1)) and n.end == k and n.value > 1 and n.value == int(n.value):
            return str(int(n.value))
    return None


__all__ = ["Sum", "bare_total", "is_digits", "is_total", "money", "note"]
