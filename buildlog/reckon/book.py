"""What a rule of the trades is, and what comes out of one.

A rule asks for named inputs, says its formula, its limits of use and where it comes from, and works on exact fractions
in the units that its inputs declare (lengths in inches). It knows nothing of logs or worksheets.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, Literal

from buildlog.errors import BadInput, one_line
from buildlog.reckon.layout import Layout
from buildlog.reckon.parts import PartSize, parse_parts
from buildlog.reckon.units import Amount, canonical, parse_amount, parse_number

COMMON = "common practice, no source"
MOST_PIECES = 2000
AS_SOLD = "as sold"  # a step that goes by what a shop sells
_MOST = {"inch": Fraction(40_000), None: Fraction(10**6)}
Kind = Literal["amount", "count", "choice", "parts", "text", "any"]


@dataclass(frozen=True, slots=True)
class Ask:
    """One input of a rule. ``unit`` is Pint's name or ``None`` for a bare number; ``default`` is text as typed.

    ``zero`` allows 0; ``most`` bounds the value in ``unit``; ``choices`` are the words of a choice; of the kind "any"
    is an amount in whatever unit; :data:`AS_SOLD` stands for none of it. ``share``: in hundredths.
    """

    name: str
    says: str
    unit: str | None = "inch"
    default: str | None = None
    zero: bool = False
    kind: Kind = "amount"
    choices: tuple[str, ...] = ()
    most: Fraction | None = None
    share: bool = False


def count(name: str, says: str, default: str | None = None, *, most: int = MOST_PIECES) -> Ask:
    """A whole number of things."""
    return Ask(name, says, None, default, kind="count", most=Fraction(most))


def choice(name: str, says: str, *choices: str) -> Ask:
    """One of some words; the first is the default."""
    return Ask(name, says, None, choices[0], kind="choice", choices=choices)


def percent(name: str, says: str, default: str = "0", *, most: int = 90) -> Ask:
    """A share in hundredths."""
    return Ask(name, says, None, default, zero=True, most=Fraction(most), share=True)


@dataclass(frozen=True, slots=True)
class Figure:
    """One number that a rule works out. ``says`` is what it is, in words; ``places`` decimals are shown of a bare one."""

    amount: Amount
    says: str
    places: int = 2


@dataclass(frozen=True, slots=True)
class Cut:
    """One line of a cut list: ``count`` pieces of ``width`` by ``length`` inches (``None`` where only one counts)."""

    what: str
    count: int
    width: Fraction | None
    length: Fraction | None


@dataclass(frozen=True, slots=True)
class Buy:
    """One line of a shopping list: at least ``need``; ``bought`` in ``unit`` is that, up to ``step``."""

    what: str
    need: Amount
    bought: Amount
    step: str
    also: Amount | None = None


@dataclass(slots=True)
class Outcome:
    """What a rule worked out. The first figure is the answer; ``remarks`` say what else the maker should know."""

    figures: dict[str, Figure] = field(default_factory=dict)
    cuts: list[Cut] = field(default_factory=list)
    buys: list[Buy] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    layout: Layout | None = None

    def put(self, name: str, value: Fraction | int, says: str, unit: str | None = "inch", *, places: int = 2) -> None:
        """Adds a figure."""
        self.figures[name] = Figure(Amount.of(Fraction(value), unit), says, places)


Given = Mapping[str, Any]
"""Input name to: Fraction (amounts, counts), str (choices, text), list[PartSize] (parts), Amount or None (any)."""


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule of the book. ``compute`` gets every input, in the unit asked for; ``cautions`` are keys of the file."""

    name: str
    craft: str
    title: str
    formula: str
    limits: str
    source: str
    asks: tuple[Ask, ...]
    compute: Callable[[Given], Outcome]
    cautions: tuple[str, ...] = ()


@dataclass(slots=True)
class Taken:
    """Inputs as given: ``values`` for the rule, ``assumed`` sentences on what nobody said, ``missing`` to be asked."""

    values: dict[str, Any] = field(default_factory=dict)
    assumed: list[str] = field(default_factory=list)
    missing: list[Ask] = field(default_factory=list)


def take(rule: Rule, given: Mapping[str, str | Amount]) -> Taken:
    """Reads what was given for ``rule``. Raises :class:`BadInput` for an unknown name or a value that does not fit."""
    known = {a.name: a for a in rule.asks}
    for name in given:
        if name not in known:
            raise BadInput(f"{rule.name} has no input “{one_line(name, 40)}”; it takes {', '.join(known)}")
    taken = Taken()
    for ask in rule.asks:
        raw = given.get(ask.name)
        if raw is None or raw == "":
            if ask.default is None:
                taken.missing.append(ask)
                continue
            raw = ask.default
            unit = f" {ask.unit}" if ask.unit and ask.kind == "amount" else ""
            if raw not in ("0", "", "no", AS_SOLD):
                taken.assumed.append(f"{ask.says}: {raw}{unit} (nobody said otherwise)")
        taken.values[ask.name] = _value(ask, raw, taken)
    return taken


def _value(ask: Ask, raw: str | Amount, taken: Taken) -> Any:
    if ask.kind == "choice":
        word = str(raw).strip().lower()
        if word not in ask.choices:
            raise BadInput(f"{ask.name} is one of {', '.join(ask.choices)}, not “{one_line(raw, 40)}”")
        return word
    if ask.kind == "text":
        return one_line(raw, 80)
    if ask.kind == "any":
        if raw == AS_SOLD:
            return None
        given = raw if isinstance(raw, Amount) else parse_amount(raw)
        if given.base < 0 or (given.base == 0 and not ask.zero):
            raise BadInput(f"{ask.name} must be above zero; give another {ask.says}")
        return given
    if ask.kind == "parts":
        return check_parts(parse_parts(str(raw)), ask.name)
    amount = raw if isinstance(raw, Amount) else _typed(ask, raw, taken)
    if isinstance(raw, Amount) and ask.unit and not raw.dims:
        amount = Amount.of(raw.base, ask.unit)
        taken.assumed.append(f"{ask.says}: no unit was said, taken as {ask.unit}")
    try:
        value = amount.value(ask.unit) if ask.unit else amount.value()
        if ask.unit is None and amount.dims:
            raise BadInput("a bare number belongs here")
    except BadInput as error:
        raise BadInput(f"{ask.name}: {error}") from error
    if value < 0 or (value == 0 and not ask.zero):
        raise BadInput(f"{ask.name} must be {'zero or more' if ask.zero else 'above zero'}; give another {ask.says}")
    if ask.kind == "count" and value.denominator != 1:
        raise BadInput(f"{ask.name} is counted in whole pieces; give a whole number")
    most = ask.most if ask.most is not None else _MOST.get(ask.unit, Fraction(10**7))
    if value > most:
        raise BadInput(f"{ask.name} is more than this can work out ({most}); check the number or split the work")
    return int(value) if ask.kind == "count" else value


def _typed(ask: Ask, raw: str, taken: Taken) -> Amount:
    if ask.unit is None:
        value, rest = parse_number(raw)
        if rest not in ("", "%", "x", "times"):
            raise BadInput(f"{ask.name} is a bare number; leave “{one_line(rest, 20)}” out")
        return Amount(value)
    amount = parse_amount(raw)
    if amount.unit is None:
        if raw != ask.default and amount.base:
            taken.assumed.append(f"{ask.says}: no unit was given, taken as {ask.unit}")
        return Amount.of(amount.base, canonical(ask.unit) if "/" not in ask.unit else ask.unit)
    return amount


def check_parts(parts: list[PartSize], name: str) -> list[PartSize]:
    """``parts`` if they are not more than a layout can hold. Raises :class:`BadInput`."""
    if sum(p.count for p in parts) > MOST_PIECES:
        raise BadInput(f"{name}: more than {MOST_PIECES} pieces; split the list")
    return parts


def apply(rule: Rule, given: Mapping[str, str | Amount]) -> tuple[Outcome, Taken]:
    """Works ``rule`` out. Raises :class:`BadInput`, naming what is missing or does not fit."""
    taken = take(rule, given)
    if taken.missing:
        wanted = "; ".join(f"{a.name} ({a.says})" for a in taken.missing)
        raise BadInput(f"{rule.name} still needs {wanted}; give it as name=value")
    return rule.compute(taken.values), taken
