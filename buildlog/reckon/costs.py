"""What was said of money: prices times amounts, and their sum by currency."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from buildlog.document import Item, Log, Measurement, Price, Quantity
from buildlog.errors import BadInput
from buildlog.reckon.heard import Heard, stems
from buildlog.reckon.known import dims_of
from buildlog.reckon.units import UNITS, canonical
from buildlog.reckon.vocabulary import words

if TYPE_CHECKING:
    from buildlog.reckon.sheets import Draft

_NEAR_S = 10.0
_EACH_S = 6.0
_EACH = {"each", "apiece", "piece", "one", "a piece"}


Supply = Callable[[str, "Draft"], str | None]
"""Gives the quantity, in the unit asked for, that it could put into a draft."""


@dataclass(frozen=True, slots=True)
class Priced:
    """An item with a price. ``amount`` is what it is multiplied by, ``None`` where the price is for all of it, or where
    ``open`` says that nobody said how much of it was bought."""

    item: Item
    price: Fraction
    currency: str
    per: str | None
    amount: Measurement | None
    open: bool


def priced(log: Log, heard: Heard) -> list[Priced]:
    """The used items with a price in a known currency."""
    by_id = {m.id: m for m in log.measurements}
    found = []
    for item in log.items:
        price = item.price
        if item.status != "used" or price is None or not price.currency or price.amount <= 0:
            continue
        value = Fraction(str(price.amount))
        per = _unit(price, heard)
        if price.per is None or (per is None and price.per.casefold() not in _EACH):
            found.append(Priced(item, value, price.currency, None, None, False))
            continue
        amount = _amount(item, per, [by_id[q] for q in item.quantities if q in by_id], log, heard)
        if amount is None and per is None:
            amount = _counted(price, log, heard)
        found.append(Priced(item, value, price.currency, per, amount, amount is None))
    return found


def _unit(price: Price, heard: Heard) -> str | None:
    """What the price is a price of, where that is a unit: "yard", "square_foot", "board_foot"."""
    per = price.per
    if per is None or per.casefold() in _EACH:
        return None
    when = heard.when(price.text)
    behind = heard.after(when, price.text, 1) if when is not None else []
    try:
        return canonical(f"{per} {behind[0]}" if per == "board" and behind and behind[0] in ("foot", "feet") else per)
    except BadInput:
        return None


def _counted(price: Price, log: Log, heard: Heard) -> Measurement | None:
    """For a price of each: the number of things said last before it, "six of them, they were four dollars each"."""
    when = heard.when(price.text)
    counts = [
        m
        for m in log.measurements
        if m.unit is None and m.of and not m.setting and m.value_max is None and m.value == int(m.value)
        and when is not None and when - _EACH_S <= m.start_s <= when and not set(stems(m.of)) & words("never_priced")
    ]  # fmt: skip
    return counts[-1] if counts else None


def _amount(item: Item, per: str | None, own: list[Measurement], log: Log, heard: Heard) -> Measurement | None:
    """How much was bought: the item's own amount that fits the price, else the only one that fits within 10 s."""
    wanted = UNITS[per][1] if per else ()

    def fits(m: Measurement) -> bool:
        return not m.setting and m.value_max is None and dims_of(m) == wanted and (m.unit is None) == (per is None)

    mine = [m for m in own if fits(m)]
    if mine:
        return mine[0]
    if per is None:
        return None
    told = heard.when(item.price.text) if item.price else None
    moments = [x.start_s for x in item.mentions] or [item.first_s]
    moments += [] if told is None else [told]
    near = [
        m for m in log.measurements if fits(m) and m.unit == per and any(abs(m.start_s - t) <= _NEAR_S for t in moments)
    ]
    if len(near) > 1:
        near = [m for m in near if {*heard.before(m.start_s, m.text, 3)} & words("acquired")]
    return near[0] if len(near) == 1 else None


def cost_sheets(log: Log, heard: Heard, supply: Supply | None = None) -> list[Draft]:
    """One sheet with every price said, and the sum of each currency.

    ``supply`` is asked for an amount that nobody said: it may put a way to work it out into the sheet.
    """
    from buildlog.reckon.sheets import Draft, exact

    found = priced(log, heard)
    if not found:
        return []
    draft = Draft(title="What it cost")
    sums: dict[str, list[str]] = {}
    for p in found:
        text = p.item.price.text if p.item.price else ""
        when = heard.when(text)
        when = p.item.first_s if when is None else when
        unit = f"{p.currency} / {p.per}" if p.per else p.currency
        price = draft.add(
            Quantity(
                name=f"{p.item.name} price",
                value=str(p.price),
                unit=unit,
                origin="said",
                start_s=when,
                text=heard.sentence(when, text),
            )
        )
        if p.amount is not None or p.open:
            worked = supply(p.per, draft) if p.amount is None and p.per and supply else None
            amount = worked or draft.add(
                Quantity(
                    name=f"{p.item.name} amount",
                    value=None if p.amount is None else exact(p.amount),
                    unit=p.per if p.amount is None else p.amount.unit,
                    origin="asked" if p.amount is None else "said",
                    start_s=when if p.amount is None else p.amount.start_s,
                    text=heard.sentence(when, text)
                    if p.amount is None
                    else heard.sentence(p.amount.start_s, p.amount.text),
                )
            )
            cost = draft.add(
                Quantity(
                    name=f"{p.item.name} cost",
                    rule="= amount x price",
                    inputs={"amount": amount, "price": price},
                    origin="computed",
                )
            )
        else:
            cost = price
        sums.setdefault(p.currency, []).append(cost)
    for currency, costs in sums.items():
        if len(costs) > 1:
            locals_ = {f"cost {'abcdefghijklmnopqrstuvwxyz'[k % 26] * (1 + k // 26)}": c for k, c in enumerate(costs)}
            draft.results.append(
                draft.add(
                    Quantity(
                        name=f"total in {currency}", rule="= " + " + ".join(locals_), inputs=locals_, origin="computed"
                    )
                )
            )
    draft.results = draft.results or [q.name for q in draft.quantities.values() if q.rule]
    return [draft]
