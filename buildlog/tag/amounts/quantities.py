"""A number with its unit: "half an inch", "an inch and a half", "five foot six", "350°F", "2 to 3 yards"."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from buildlog.tag.amounts.atoms import Atoms
from buildlog.tag.amounts.lexis import Unit, lexis
from buildlog.tag.amounts.numbers import (
    HYPHENS,
    SINGULAR_DEN,
    Number,
    and_fraction,
    counts_something,
    dotted_fraction,
    is_digits,
    number,
    starts_number,
)

# a run such as "one twenty" is cut before these ("one twenty inch strip"), joined before the others
_CUT_RUN = frozenset({"inch", "foot", "yard", "minute", "hour", "second", "ounce", "pound", "cup", "day"})
_HALF_OF_TIME = frozenset({"hour", "day", "minute"})
_ARTICLE_UNITS = frozenset(
    {"inch", "yard", "meter", "centimeter", "millimeter", "foot", "cup", "teaspoon", "tablespoon", "liter", "pint"}
    | {"gram", "ounce", "pound", "kilogram", "gallon", "quart", "hour", "minute", "day", "week", "thou", "volt"}
    | {"watt", "ampere"}
)
_MOST_FEET = 12


@dataclass(slots=True)
class Quantity:
    """A number and unit over atoms ``[start, end)``; ``unit`` is ``None`` where none was said."""

    start: int
    end: int
    value: Fraction
    value_max: Fraction | None = None
    unit: str | None = None
    dim: str | None = None
    plural: bool = False
    approximate: bool = False
    style: str = "words"
    fraction: bool = False
    article: bool = False
    confidence: float = 1.0
    flags: list[str] = field(default_factory=list)
    number_end: int = 0
    hyphened: bool = False
    inherited: bool = False


# Pint names squares of feet, but not of metres.
_AREAS = {
    "inch": "square_inch",
    "foot": "square_foot",
    "yard": "square_yard",
    "centimeter": "centimeter ** 2",
    "meter": "meter ** 2",
}


def unit_at(a: Atoms, i: int, *, digits: bool) -> tuple[Unit, int] | None:
    """The unit at atom ``i`` and where it ends; a hyphen before it is passed over."""
    w = a.w
    j = i
    if w[j] in HYPHENS and (a.glued[j] or a.glued[j + 1]):
        j += 1
    text = w[j]
    lex = lexis()
    found = lex.units.get(text)
    if found is not None:
        if text == "per" or (text == "bar"):
            return None
        return found, j + 1
    if text in ("square", "sq"):
        side = lex.units.get(w[j + 1]) or lex.short_units.get(w[j + 1])
        area = _AREAS.get(side.name) if side else None
        if (
            side is not None
            and area is not None
            and (side.plural or not w[j + 2].isalpha() or w[j + 2] in lex.sets["stops"])
        ):
            return Unit(area, "area", side.plural), j + 2
    if text in ("milla", "milly", "milli", "centi", "centa") and w[j + 1] in ("meter", "meters", "metre", "metres"):
        return Unit("centimeter" if text[0] == "c" else "millimeter", "length", w[j + 1].endswith("s")), j + 2
    if text == "board" and w[j + 1] in ("foot", "feet"):
        return Unit("board_foot", "volume", w[j + 1] == "feet"), j + 2
    if text == "per" and w[j + 1] == "cent":
        return Unit("percent", "share"), j + 2
    if text in ("fluid", "fl") and w[j + 1] in ("ounce", "ounces", "oz"):
        return Unit("fluid_ounce", "volume", True), j + 2
    if text in ("%", '"', "°"):
        return lex.short_units[text], j + 1
    if not digits:
        return None
    if text == "'" and w[j + 1] == "'" and a.glued[j + 1]:
        return lex.short_units['"'], j + 2
    found = lex.short_units.get(text) or lex.short_units.get(text.rstrip("."))
    if found is not None:
        # "3 m" is metres, "3 a side" is not amperes
        noun_follows = w[j + 1].isalpha() and w[j + 1] not in ("of", "and")
        follows = w[j + 1].isalpha() and w[j + 1] not in lex.sets["stops"]
        several = follows and w[j + 1].endswith("s") and w[j - 1] in ("2", "3", "4", "two", "three", "four")
        if not a.glued[j] and (
            text in ("a", "v", "w")
            or (text in ("g", "l", "s", "h") and noun_follows and (several or (follows and text in "sh")))
        ):
            return None
        if text == "s" and a.glued[j] and w[j - 2] in ("x", "×"):
            return None  # "2x10s" are boards
        if text == "s" and a.glued[j] and w[j - 1] not in ("5", "10", "15", "20", "30", "45", "60", "90"):
            # "two 3s" are threes
            return None
        if text == "'" and not a.glued[j]:
            return None
        return found, j + 1
    if text in lex.scales and a.glued[j] and len(text) == 1:
        return Unit("degree", "degree", True), j
    if text == "in" and (
        w[j + 1] in ("by", "x", "×", ".", "wide", "long", "deep", "thick", "tall", "seam") or a.glued[j]
    ):
        return lex.units["inches"], j + 1
    return None


def _scale(a: Atoms, i: int) -> tuple[str, int] | None:
    """Fahrenheit or Celsius said at ``i``."""
    name = lexis().scales.get(a.w[i])
    return (name, i + 1) if name else None


def quantity(a: Atoms, i: int) -> Quantity | None:
    """The number with unit that starts at atom ``i``, or ``None``."""
    w = a.w
    lex = lexis()
    text = w[i]
    # "an inch and a half", "inch and three quarters", "a good yard"
    j = i
    article = text in ("a", "an")
    if article:
        j = i + 1
        while w[j] in lex.adjectives and j < i + 3:
            j += 1
    if text not in ("second", "seconds") and (article or text in lex.units):
        unit = lex.units.get(w[j])
        named = text == "inch" and w[i + 1] == "and" and (part := and_fraction(a, i + 1)) and w[part[1]].isalpha()
        if not article and i and w[i - 1] == "the" and not (named and part and w[part[1]] not in lex.sets["stops"]):
            return None  # "an inch at the foot and three quarters at the top"
        if unit and not unit.plural and unit.name in _ARTICLE_UNITS and not is_digits(w[j]):
            q = Quantity(i, j + 1, Fraction(1), unit=unit.name, dim=unit.dim, article=True, number_end=j + 1)
            q.approximate = any(x in lex.vague_adjectives for x in w[i + 1 : j])
            added = _after_unit(a, q)
            if not article and not added:
                return None
            return q
        if not article:
            return None
    n = number(a, i)
    if n is None:
        return None
    return _with_unit(a, n)


def one_of(a: Atoms, i: int, unit: Unit) -> Quantity:
    """One ``unit``, whose word stands after the atom at ``i``, with what follows it: "another inch (and a half)"."""
    q = Quantity(i, i + 2, Fraction(1), unit=unit.name, dim=unit.dim, article=True, number_end=i + 2)
    _after_unit(a, q)
    return q


def _with_unit(a: Atoms, n: Number) -> Quantity:
    w = a.w
    lex = lexis()
    digits = n.style == "digits"
    end = n.end
    q = Quantity(
        n.start, end, n.value, style=n.style, fraction=n.fraction, confidence=n.confidence, flags=list(n.flags)
    )
    q.number_end = end
    if "bit" in q.flags or "couple" in q.flags:
        q.approximate = True
    # "about an inch-ish", "eight ish inches"
    if w[end] == "ish" or (w[end] in HYPHENS and w[end + 1] == "ish"):
        end += 1 if w[end] == "ish" else 2
        q.approximate, q.end = True, end
    if any(x in lex.vague_adjectives for x in w[n.start : n.end]):
        q.approximate = True
    at = end
    hyphened = w[at] in HYPHENS
    found = unit_at(a, at, digits=digits)
    if found is None and (n.fraction or n.value < 1):
        # "half an inch", "a quarter of an inch", "5 8 of an inch", "half of one inch"
        k = at + 1 if w[at] == "of" else at
        if w[k] in ("a", "an", "one") and w[k + 1] in lex.units:
            found = unit_at(a, k + 1, digits=False)
        elif k > at and w[k] in lex.units:
            found = unit_at(a, k, digits=False)
    if found is None and w[at] == "of" and w[at + 1] in ("a", "an") and w[at + 2] in lex.units and n.style == "digits":
        said = dotted_fraction(n.value, w[n.start])
        if said is not None:
            found = unit_at(a, at + 2, digits=False)
            q.value, q.fraction, q.confidence = said, True, 0.8
            q.flags.append("recognised")
    # "three full inches", "two good yards", "a couple more inches"
    described = w[at] in lex.adjectives or ("couple" in q.flags and w[at] == "more")
    if found is None and described and w[at + 1] in lex.units:
        found = unit_at(a, at + 1, digits=False)
    if found is None:
        return q
    unit, end = found
    if n.first is not None and unit.name in _CUT_RUN and (unit.dim == "length" or not unit.plural):
        # "one twenty inch strip": the number of pieces, then the length of each
        cut_value, cut_end = n.first
        return Quantity(n.start, cut_end, cut_value, style=n.style, flags=["cut run"], number_end=cut_end)
    if unit.name == "second" and n.value == 1:
        return q
    q.unit, q.dim, q.plural, q.end, q.hyphened = unit.name, unit.dim, unit.plural, end, hyphened
    if unit.dim == "degree":
        scale = _scale(a, end)
        if scale:
            q.unit, q.end = scale
            q.dim = "heat"
    _after_unit(a, q)
    if unit.name == "ounce" and w[n.end] == "oz":
        q.flags.append("short")
    return q


def _after_unit(a: Atoms, q: Quantity) -> bool:
    """Take in what follows the unit: "and a half", "six" of "five foot six", "twenty" of "a metre twenty"."""
    w = a.w
    k = q.end
    if q.value == int(q.value) and q.dim in ("length", "time", "volume", "mass"):
        part = and_fraction(a, k)
        if part and not (w[part[1]] in lexis().units and part[1] - k <= 3 and w[k] != "and"):
            value, end, confidence = part
            following = unit_at(a, end, digits=False)
            if following and following[0].name != q.unit:
                if following[0].dim == q.dim and q.unit == "foot" and following[0].name == "inch":
                    return False
                return False
            if w[k] in ("in", "an", "n") and q.dim != "length":
                return False
            if w[end] == "of" and w[end + 1] in ("the", "my", "your", "that"):
                return False
            q.value += value
            q.end = following[1] if following else end
            q.confidence = min(q.confidence, confidence)
            q.fraction = True
            return True
    if q.unit == "foot" and q.value == int(q.value):
        k2 = k + 1 if w[k] in ("and", ",") else k
        if starts_number(w[k2]) and w[k2] not in ("a", "an", "half"):
            inches = number(a, k2)
            if inches and inches.value < _MOST_FEET:
                unit = unit_at(a, inches.end, digits=inches.style == "digits")
                mark = unit is not None and unit[0].name == "inch"
                bare = unit is None and k2 == k and inches.style == q.style and not counts_something(a, inches.end)
                if (mark and (k2 == k or w[k] == "and")) or bare:
                    q.value = q.value * 12 + inches.value
                    q.unit, q.end, q.plural = "inch", unit[1] if mark and unit else inches.end, True
                    if bare:
                        q.flags.append("stature")
                    return True
    if (q.unit == "hour" and q.value == int(q.value) and w[k] in ("and", "a", ",")) or (
        q.unit == "hour" and starts_number(w[k])
    ):
        start = k + 1 if w[k] in ("and", ",") else k
        minutes = number(a, start) if starts_number(w[start]) else None
        unit = unit_at(a, minutes.end, digits=minutes.style == "digits") if minutes else None
        if minutes and unit is None and w[k] not in ("and", ",") and minutes.value in (15, 20, 30, 40, 45):
            if not counts_something(a, minutes.end) and w[minutes.end] not in ("grit", "degrees", "to"):
                q.value, q.unit, q.end, q.plural = q.value * 60 + minutes.value, "minute", minutes.end, True
                return True
        if minutes and unit and unit[0].name == "minute" and minutes.value < 60:
            q.value, q.unit, q.end, q.plural = q.value * 60 + minutes.value, "minute", unit[1], True
            return True
    if q.unit == "kilogram" and q.value == int(q.value) and starts_number(w[k]) and w[k] not in ("a", "an", "half"):
        grams = number(a, k)
        if grams and grams.value % 50 == 0 and 100 <= grams.value < 1000 and not counts_something(a, grams.end):
            unit = unit_at(a, grams.end, digits=grams.style == "digits")
            if unit is None or unit[0].name == "gram":
                q.value += grams.value / 1000
                q.end = unit[1] if unit else grams.end
                return True
    if (
        q.unit == "meter"
        and q.value < 100
        and q.value == int(q.value)
        and starts_number(w[k])
        and w[k] not in ("a", "an")
    ):
        rest = number(a, k)
        if rest and 10 <= rest.value < 100 and rest.value == int(rest.value):
            unit = unit_at(a, rest.end, digits=rest.style == "digits")
            if unit is None and not counts_something(a, rest.end):
                q.value += rest.value / 100
                q.end = rest.end
                return True
    return False


_TO = frozenset({"to", "or", "-", "–", "—", "and", "till", "through"})


def ranged(a: Atoms, q: Quantity, *, between: bool) -> Quantity:
    """``q`` widened by "to three", "or three", "-3", ", maybe six" or, after "between", "and three"."""
    w = a.w
    j = q.end
    joint = w[j]
    vague = False
    if joint == "," and w[j + 1] in ("maybe", "or", "perhaps", "possibly", "call"):
        j, joint = j + 1, "or"
    if joint in ("maybe", "perhaps", "possibly") or (
        joint == "or" and w[j + 1] in ("maybe", "perhaps", "even", "possibly", "so")
    ):
        vague = True
        j, joint = (j + 1, "or") if joint == "or" else (j, "or")
    hyphen = joint in HYPHENS
    if hyphen and not (is_digits(w[j + 1]) or starts_number(w[j + 1])):
        return q
    adjacent = False
    if joint not in _TO or (joint == "and" and not between):
        # "five six minutes", "ten, fifteen minutes"
        k = j + 1 if joint == "," else j
        if (
            q.unit is not None
            or (q.fraction and q.value < 1)
            or q.article
            or not starts_number(w[k])
            or w[k] in ("a", "an", "half", "couple")
        ):
            return q
        j, adjacent = k - 1, True
    if hyphen and q.unit is not None and q.unit not in ("inch", "degree"):
        return q
    start = j + 1
    while w[start] in ("about", "maybe", "even", "perhaps", "say"):
        start += 1
    if w[start] == "to" and joint == "up":
        start += 1
    if not (starts_number(w[start]) or w[start] in lexis().units):
        return q
    other = quantity(a, start)
    if other is None or "cut run" in other.flags:
        return q
    vague = vague or (q.article and joint == "or")
    if q.article and q.value == 1 and other.unit is None and other.value > 12:
        return q  # "a hundred an hour to six hundred"
    if other.article and other.unit != q.unit and not (other.dim == q.dim and joint in ("to", "or")):
        return q
    if q.unit is None and other.unit is None and "run" in q.flags + other.flags and joint != "to":
        return q
    if adjacent:
        half = q.fraction and other.value - q.value < 1  # "two and a half three inches"
        close = q.value < other.value <= 2 * q.value and (q.value == int(q.value) or half) and not other.fraction
        if not (close and other.unit is not None and other.plural) or "run" in other.flags:
            return q
        vague = True
    if q.unit is not None and other.unit is None and (other.fraction is False and counts_something(a, other.end)):
        return q
    if q.unit is not None and other.unit is not None and q.unit != other.unit:
        if q.dim == other.dim and joint in ("to", "or"):
            return _unlike(q, other)
        return q
    if joint == "or" and other.value <= q.value:
        return q
    if other.value <= q.value:
        return q
    if joint == "and" and q.unit is None and other.unit is None and not between:
        return q
    out = Quantity(q.start, other.end, q.value, other.value, style=q.style, fraction=q.fraction or other.fraction)
    out.unit, out.dim = other.unit or q.unit, other.dim or q.dim
    out.plural = other.plural or q.plural
    out.approximate = q.approximate or other.approximate or vague
    out.confidence = min(q.confidence, other.confidence, 0.8 if adjacent else 1.0)
    out.flags = [*q.flags, *other.flags, "range"]
    out.number_end = other.number_end
    return out


def _unlike(q: Quantity, other: Quantity) -> Quantity:
    """ "ten inches to a foot": the upper end in the unit of the lower one, where the sum is exact."""
    factors = {("inch", "foot"): 12, ("inch", "yard"): 36, ("foot", "yard"): 3, ("minute", "hour"): 60}
    factors |= {("millimeter", "centimeter"): 10, ("centimeter", "meter"): 100, ("gram", "kilogram"): 1000}
    factors |= {("hour", "day"): 24, ("day", "week"): 7}
    factor = factors.get((q.unit or "", other.unit or ""))
    if factor is None or other.value * factor <= q.value:
        return q
    out = Quantity(q.start, other.end, q.value, other.value * factor, q.unit, q.dim, True, style=q.style)
    out.flags = [*q.flags, "range"]
    out.number_end = other.number_end
    out.approximate = q.approximate or other.approximate
    return out


def is_bare_share(a: Atoms, q: Quantity) -> bool:
    """Whether ``q`` is "half", "a third", "three quarters" and the like with no unit."""
    word = a.w[q.number_end - 1]
    several = word in ("quarters", "thirds", "fifths") and a.w[q.end] in ("of", "as", "again")
    return q.unit is None and q.fraction and q.value < 1 and (word in SINGULAR_DEN or several)


__all__ = ["Quantity", "is_bare_share", "one_of", "quantity", "ranged", "unit_at"]
