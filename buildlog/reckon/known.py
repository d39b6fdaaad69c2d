"""Which of the amounts said is the input that a formula names."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction

from buildlog.document import Derived, Log, Measurement
from buildlog.errors import BadInput
from buildlog.reckon.heard import Heard, plain, singular, stems
from buildlog.reckon.units import LENGTH, Amount, Dims, unit_of
from buildlog.reckon.vocabulary import unit_named, words

# A measure counts for a formula if it was said this near to it, in seconds; a thing counted may be said anywhere.
NEAR_S = 60.0
_THAT_S = 15.0
_LITTLE = frozenset("the a an my your our of".split())
_PAIR_S = 5.0
_FEWEST_LETTERS = 3


@dataclass(frozen=True, slots=True)
class Match:
    """The measurement that an input is; ``sure`` is false where only the unit tells."""

    measurement: Measurement
    sure: bool


def dims_of(m: Measurement) -> Dims | None:
    """What the unit of ``m`` is made of; ``None`` where it is not one that can be reckoned with (heat)."""
    if m.unit is None:
        return ()
    try:
        return unit_of(m.unit)[1]
    except BadInput:
        return None


def amount_of(m: Measurement) -> Amount:
    """``m`` as an exact amount."""
    return Amount.of(Fraction(m.exact or str(m.value)), m.unit)


def wanted_dims(name: str, formula_of: Derived | None = None) -> Dims:
    """What the quantity called ``name`` is measured in: a length, unless its name says otherwise."""
    unit = unit_named(stems(name), names_beside(formula_of))
    return LENGTH if unit is None else unit_of(unit)[1]


def names_beside(d: Derived | None) -> list[str]:
    """The words of all inputs of a formula, in the singular."""
    return [] if d is None else [w for name in d.inputs for w in stems(name)]


def counts(d: Derived) -> bool:
    """Whether a formula is one of numbers of things: "the number of hoops less one"."""
    return "number of" in d.text.casefold()


def key(name: str) -> frozenset[str]:
    """The words that tell ``name`` apart, little words and dimensions left out (unless there is nothing else)."""
    found = [w for w in stems(name) if w not in _LITTLE] or stems(name)
    kept = [w for w in found if w not in words("dimensions")]
    return frozenset(kept or found)


def _dimension(found: Collection[str]) -> set[str]:
    return {w for w in found if w in words("dimensions")} - {"size", "measurement", "measure", "amount"}


def find(name: str, d: Derived, log: Log, heard: Heard, taken: Collection[str]) -> Match | None:
    """The amount said for the input ``name`` of ``d``; ``None`` where it must be asked. ``taken`` are ids in use."""
    need, dims = key(name), wanted_dims(name, d)
    first = heard.at(d.start_s, d.text)
    own_words = range(first, first + len(plain(d.text)))
    best: tuple[float, Measurement] | None = None
    for m in log.measurements:
        if m.setting or m.id in taken or m.value_max is not None or heard.at(m.start_s, m.text) in own_words:
            continue
        if m.unit and dims == LENGTH and heard.before(m.start_s, m.text, 1) == ["at"]:
            continue  # "I marked the neck at four inches" says where, not how long
        own = set(stems(m.of))
        score = _score(name, need, own, m, heard) if dims_of(m) == dims and m.unit else None
        if score is None and m.unit is None and own and need == frozenset(own) and dims == LENGTH:
            score = 1.0
            if _counted(name):
                best = best if best and best[0] >= score else (score, m)
            continue
        if score is None or abs(m.start_s - d.start_s) > NEAR_S:
            continue
        score -= abs(m.start_s - d.start_s) / NEAR_S / 2 + (0.5 if m.approximate else 0)
        score -= 1.0 if _wrong_side(name, m, log, heard) else 0.0
        if best is None or score > best[0]:
            best = (score, m)
    if best:
        return Match(best[1], True)
    return _by_unit(name, d, log, taken) if dims != LENGTH else None


def _wrong_side(name: str, m: Measurement, log: Log, heard: Heard) -> bool:
    """Of "four twenty by two thirty" the length is the longer one, the width the shorter."""
    own = {*stems(name)} & {"length", "width"}
    if len(own) != 1:
        return False
    for other in log.measurements:
        beside = (
            other is not m and abs(other.start_s - m.start_s) <= _PAIR_S and other.unit and dims_of(other) == LENGTH
        )
        if beside and m.unit and dims_of(m) == LENGTH and "by" in heard.between(m, other):
            longer = amount_of(m).base > amount_of(other).base
            return longer != ("length" in own)
    return False


def _counted(name: str) -> bool:
    """ "signatures" counts things; "four sides" is a sum said in words."""
    parts = name.split()
    return len(parts) <= 2 and singular(parts[-1].casefold()) != parts[-1].casefold()


def _score(name: str, need: frozenset[str], own: set[str], m: Measurement, heard: Heard) -> float | None:
    """How well ``m`` is ``name``: told by what it measures, or by the words beside it; ``None`` if not at all."""
    mine, theirs = _dimension(stems(name)), _dimension(own)
    if mine and theirs and not mine & theirs:
        return None
    if need <= own or _nearly(need, own):
        return 3.0 - 0.2 * len(own - need)
    at = heard.at(m.start_s, m.text) + len(plain(m.text))
    behind = heard.stemmed[at : min(at + 4, heard.sentence_to(at - 1))]
    following = [w for w in behind if w not in _LITTLE and w not in words("dimensions")][:2]
    if need <= set(following) | own and need & set(following[:1]):
        return 2.5
    if own - need - words("dimensions"):
        return None  # it was said to measure something else
    leading = [singular(w) for w in heard.before(m.start_s, m.text, 4)]
    # "The finished length and then four inches": what is added to it is not it.
    last = max((k for k, w in enumerate(leading) if w in need), default=-1)
    return 1.5 if need <= set(leading) and not set(leading[last + 1 :]) & words("added") else None


def _nearly(need: frozenset[str], own: set[str]) -> bool:
    """ "plywood" is "ply": one word is the beginning of the other."""

    def alike(a: str, b: str) -> bool:
        return a == b or (min(len(a), len(b)) >= _FEWEST_LETTERS and (a.startswith(b) or b.startswith(a)))

    return bool(need) and all(any(alike(n, o) for o in own) for n in need)


def _by_unit(name: str, d: Derived, log: Log, taken: Collection[str]) -> Match | None:
    """For volts and the like: the only amount near by that has the right unit."""
    dims = wanted_dims(name, d)
    fitting = [
        m
        for m in log.measurements
        if m.id not in taken and not m.setting and dims_of(m) == dims and abs(m.start_s - d.start_s) <= NEAR_S
    ]
    before = [m for m in fitting if m.start_s <= d.start_s + 10]
    pool = before or fitting
    return Match(pool[0], False) if len(pool) == 1 else None


def spoken_just_before(d: Derived, log: Log) -> Measurement | None:
    """What "that" stands for: the last length said in the quarter minute before."""
    near = [
        m
        for m in log.measurements
        if not m.setting and dims_of(m) == LENGTH and m.unit and d.start_s - _THAT_S <= m.start_s < d.start_s - 0.1
    ]
    return near[-1] if near else None


def is_pronoun(name: str) -> bool:
    """Whether ``name`` only points at something said before."""
    return name.casefold() in ("that", "this", "it", "those", "these") or len(name) < _FEWEST_LETTERS
