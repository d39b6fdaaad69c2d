"""Working a worksheet out: named quantities, each said, typed, assumed, asked, or computed from others.

A computed quantity's ``rule`` is either a formula ("= chest / 3 + 5 inch") or a rule of the book ("strips"), with a
figure of it after a dot ("strips.cloth") where the first is not meant. ``inputs`` maps what the rule calls an input to
the quantity it is taken from.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from buildlog.document import Quantity, Worksheet
from buildlog.errors import BadInput, one_line
from buildlog.reckon import formula
from buildlog.reckon.book import Outcome, apply
from buildlog.reckon.rules import rule as find_rule
from buildlog.reckon.shown import for_maker
from buildlog.reckon.units import LENGTH, Amount, parse_amount, unit_of

MOST_QUANTITIES = 400
_DEEPEST = 200


@dataclass(slots=True)
class Worked:
    """A worksheet worked out as far as it goes.

    ``values`` are the amounts known, ``texts`` the words; ``outcomes`` what each rule of the book gave, by rule and
    inputs; ``missing`` the names still to be asked; ``typed`` the names that were typed in.
    """

    values: dict[str, Amount] = field(default_factory=dict)
    texts: dict[str, str] = field(default_factory=dict)
    outcomes: dict[str, Outcome] = field(default_factory=dict)
    assumed: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    typed: set[str] = field(default_factory=set)


def check(sheet: Worksheet) -> None:
    """Raises :class:`BadInput` where ``sheet`` is no sound graph: doubled names, unknown inputs, a cycle."""
    if len(sheet.quantities) > MOST_QUANTITIES:
        raise BadInput(f"the worksheet has more than {MOST_QUANTITIES} quantities; split it")
    by_name = {q.name: q for q in sheet.quantities}
    if len(by_name) < len(sheet.quantities):
        names = [q.name for q in sheet.quantities]
        twice = next(n for n in names if names.count(n) > 1)
        raise BadInput(f"“{one_line(twice, 60)}” stands twice in the worksheet; rename one of the two")
    for q in sheet.quantities:
        for source in q.inputs.values():
            if source not in by_name:
                raise BadInput(
                    f"“{one_line(q.name, 60)}” is worked out from “{one_line(source, 60)}”, which is not there"
                )
    done: set[str] = set()
    for q in sheet.quantities:
        _walk(q.name, by_name, [], done)


def _walk(name: str, by_name: Mapping[str, Quantity], trail: list[str], done: set[str]) -> None:
    if name in trail:
        ring = " → ".join(one_line(n, 30) for n in [*trail[trail.index(name) :], name])
        raise BadInput(f"the formulas go in a circle: {ring}; type one of these in instead")
    if name in done:
        return
    if len(trail) >= _DEEPEST:
        raise BadInput("the worksheet is too deep to work out; type one of its middle quantities in")
    for source in by_name[name].inputs.values():
        _walk(source, by_name, [*trail, name], done)
    done.add(name)


def work_out(sheet: Worksheet, typed: Mapping[str, str], unit: str = "inch") -> Worked:
    """Works ``sheet`` out with ``typed`` put over what is there. ``unit`` is the maker's for bare lengths.

    Raises :class:`BadInput` for an unknown name, a value that cannot be read, units that do not fit, a cycle.
    """
    by_name = {q.name: q for q in sheet.quantities}
    over: dict[str, str] = {}
    for name, text in typed.items():
        known = next((n for n in by_name if n.casefold() == name.strip().casefold()), None)
        if known is None:
            asked = [q.name for q in sheet.quantities if q.rule is None]
            raise BadInput(f"there is no input “{one_line(name, 40)}”; this sheet has {', '.join(asked) or 'none'}")
        over[known] = text
    # What is typed in needs no formula any more, so a circle through it is broken.
    cut = Worksheet(
        id=sheet.id,
        title=sheet.title,
        quantities=[
            Quantity(name=q.name, value=over[q.name], unit=q.unit, origin="typed") if q.name in over else q
            for q in sheet.quantities
        ],
    )
    check(cut)
    worked = Worked(typed=set(over))
    for q in cut.quantities:
        _one(q, {x.name: x for x in cut.quantities}, worked, unit, by_name)
    worked.assumed = list(dict.fromkeys(worked.assumed))
    return worked


def _one(
    q: Quantity, by_name: Mapping[str, Quantity], worked: Worked, unit: str, asked: Mapping[str, Quantity]
) -> bool:
    """Puts ``q`` into ``worked``; ``False`` where something it needs is missing."""
    if q.name in worked.values or q.name in worked.texts:
        return True
    if q.name in worked.missing:
        return False
    if q.rule is None:
        if q.value is None or not q.value.strip():
            worked.missing.append(q.name)
            return False
        _take(q, worked, unit, asked[q.name].unit)
        return True
    ready = [_one(by_name[source], by_name, worked, unit, asked) for source in q.inputs.values()]
    if not all(ready):
        return False
    try:
        if q.rule.startswith("="):
            node = formula.read(q.rule[1:].strip(), list(q.inputs))
            unknown = [n for n in formula.names_in(node) if n not in q.inputs]
            if unknown:
                raise BadInput(f"“{one_line(unknown[0], 40)}” is not among its inputs")
            given = {local: worked.values[source] for local, source in q.inputs.items() if source in worked.values}
            # A bare number that was said is in the maker's unit, whatever the viewer measures in.
            others = {
                n: replace(a, unit=unit)
                for n, a in given.items()
                if a.dims == LENGTH and (q.inputs[n] in worked.typed or by_name[q.inputs[n]].rule is not None)
            }
            amount = formula.work_out(node, given | others, unit, worked.assumed.append)
            if amount.dims == LENGTH and others:
                amount = replace(amount, unit=given[next(iter(others))].unit)
            worked.values[q.name] = amount
        else:
            _by_book(q, worked, unit)
    except BadInput as error:
        raise BadInput(f"{one_line(q.name, 60)}: {error}") from error
    except KeyError as error:
        raise BadInput(f"{one_line(q.name, 60)} is worked out from words, not from an amount; type it in") from error
    return True


def _take(q: Quantity, worked: Worked, unit: str, asked_unit: str | None) -> None:
    """A quantity that is given: an amount where it reads as one, else a word (a choice, a list of parts)."""
    text = (q.value or "").strip()
    own = q.unit or asked_unit
    try:
        amount = parse_amount(text)
    except BadInput:
        if q.unit or (q.origin == "typed" and text[:1].isdigit() and "@" not in text):
            raise
        worked.texts[q.name] = text
        return
    if amount.unit is None and own:
        if q.origin == "typed":
            worked.assumed.append(f"{q.name}: no unit was given, taken as {own}")
        amount = Amount.of(amount.base, own)
    elif q.origin == "typed" and own and amount.dims != unit_of(own)[1]:
        raise BadInput(f"{one_line(q.name, 60)}: {one_line(text, 40)} does not fit; give it in {own} or a like unit")
    if q.origin == "typed" and amount.base < 0:
        raise BadInput(f"{one_line(q.name, 60)} must not be below zero; give another value")
    worked.values[q.name] = amount


def _by_book(q: Quantity, worked: Worked, unit: str) -> None:
    name, _, figure = (q.rule or "").partition(".")
    book = find_rule(name)
    key = name + "|" + "|".join(f"{k}={v}" for k, v in sorted(q.inputs.items()))
    if key not in worked.outcomes:
        given: dict[str, str | Amount] = {}
        for local, source in q.inputs.items():
            given[local] = worked.values[source] if source in worked.values else worked.texts[source]
        outcome, taken = apply(book, given)
        worked.outcomes[key] = outcome
        worked.assumed += taken.assumed
    outcome = worked.outcomes[key]
    figure = figure or next(iter(outcome.figures))
    if figure not in outcome.figures:
        raise BadInput(f"{name} has no figure “{one_line(figure, 30)}”; it gives {', '.join(outcome.figures)}")
    worked.values[q.name] = for_maker(outcome.figures[figure].amount, unit)
