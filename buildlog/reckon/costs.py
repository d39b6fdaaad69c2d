"""What was said of money: what is bought times its price, and the sum by currency."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from buildlog.document import Item, Log, Measurement, Price, Quantity
from buildlog.errors import BadInput
from buildlog.reckon.heard import Heard, stems
from buildlog.reckon.known import amount_of, dims_of
from buildlog.reckon.rules import rules
from buildlog.reckon.shop import sold_by
from buildlog.reckon.shown import up
from buildlog.reckon.units import AREA, LENGTH, UNITS, VOLUME, Amount, canonical, unit_of
from buildlog.reckon.vocabulary import words

if TYPE_CHECKING:
    from buildlog.reckon.sheets import Draft

_NEAR_S = 10.0
_EACH_S = 6.0
_LARGEST_PACK = 10_000
_BESIDE_S = 45.0
_SHORTEST = 9  # inches: less is not sold off a roll (common practice, no source)
_WASTE_S = 60.0
_EACH = {"each", "apiece", "piece", "one", "a piece"}

# What a rule of the book says to buy: the figure, and what sort of thing that is (lists of words.toml).
BOUGHT: dict[str, tuple[str, str]] = {
    **dict.fromkeys(
        (
            "strips",
            "ring",
            "ruffle",
            "pieces",
            "yardage",
            "repeats",
            "circle_skirt",
            "gored_skirt",
            "backing",
            "margin",
        ),
        ("cloth", "cloth"),
    ),
    **dict.fromkeys(("box_pleats", "knife_pleats"), ("cut", "cloth")),
    "shrinkage": ("before", "cloth"),
    "board_feet": ("with_waste", "rough"),
    "boards": ("boards", "sawn"),
    "sheets": ("sheets", "sheet"),
    "leather_area": ("area", "leather"),
    "finish": ("finish", "finish"),
    "thread": ("spools", "thread"),
    "thread_ratio": ("spools", "thread"),
    "pitch": ("count", "spaced"),
    "pitch_round": ("count", "spaced"),
}
# What stands in a sheet of these is the number of strips, not the cloth.
_FIRST = {"strips": "strips", "ring": "strips"}
_DIMS = {"cloth": LENGTH, "leather": AREA, "finish": VOLUME, "rough": VOLUME}
# Cloths that go by what they are for: priced, they are never the cloth of the piece itself.
_OWN = {"lining", "interfacing", "backing", "batting", "wadding", "binding"}

Supply = Callable[[str, "Draft"], str | None]
"""Gives the quantity, in the unit asked for, that it could put into a draft."""


@dataclass(frozen=True, slots=True)
class Priced:
    """An item with a price. ``amount`` is what it is multiplied by, ``None`` where the price is for all of it, or where
    ``open`` says that nobody said how much of it was bought. ``per`` is the unit that ``price`` is for; ``each``: it is
    for one thing, of which ``pack`` are sold together. ``text`` are the words of the price."""

    item: Item
    price: Fraction
    currency: str
    per: str | None
    amount: Measurement | None
    open: bool
    each: bool = False
    pack: int | None = None

    @property
    def text(self) -> str:
        return self.item.price.text if self.item.price else ""


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
        own = [by_id[q] for q in item.quantities if q in by_id]
        word = (price.per or "").casefold()
        if per is None and word not in _EACH:
            # "Four pounds for twenty": they are sold in twenties; "nine dollars a tin": one tin, if no number was said.
            pack = int(word) if word.isdecimal() and 1 < int(word) <= _LARGEST_PACK else None
            each = bool(pack) or word in words("containers")
            amount = _amount(item, None, own, log, heard) if each else None
            if pack and amount is not None:
                found.append(Priced(item, value / pack, price.currency, None, amount, False, True, pack))
            else:
                found.append(
                    Priced(item, value, price.currency, None, None if pack else amount, False, each and not pack)
                )
            continue
        amount = _amount(item, per, own, log, heard)
        if amount is None and per is None:
            amount = _counted(price, log, heard)
        found.append(Priced(item, value, price.currency, per, amount, amount is None, per is None))
    return found


def paid(p: Priced) -> Fraction | None:
    """What was paid for ``p``: whole packs and whole steps of what is sold; ``None`` where nobody said how much of it."""
    if p.open:
        return None
    if p.amount is None:
        return p.price
    amount = amount_of(p.amount)
    step = Amount.of(p.pack) if p.pack else sold_by(p.per)
    value = amount.value(p.per) if p.per else amount.base
    return p.price * (value if step is None else up(value, step.value(p.per)))


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

    def bought(m: Measurement) -> bool:
        """What a thing is cut to is said of it as well: "the waistband, two inches"; so is how wide it is."""
        if wanted != LENGTH:
            return True
        return amount_of(m).value("inch") >= _SHORTEST and not set(stems(m.of)) & words("dimensions")

    mine = [m for m in own if fits(m) and bought(m)]
    if mine:
        return mine[0]
    if per is None:
        return None
    told = heard.when(item.price.text) if item.price else None
    moments = [x.start_s for x in item.mentions] or [item.first_s]
    moments += [] if told is None else [told]
    names = set(stems(item.name))
    near = [
        m
        for m in log.measurements
        if fits(m)
        and (m.unit == per or names & set(stems(m.of)))
        and any(abs(m.start_s - t) <= _NEAR_S for t in moments)
    ]
    if len(near) > 1:
        near = [m for m in near if {*heard.before(m.start_s, m.text, 3)} & words("acquired")]
    return near[0] if len(near) == 1 else None


def cost_sheets(
    log: Log,
    heard: Heard,
    supply: Supply | None = None,
    elsewhere: Mapping[str, Collection[float | None]] | None = None,
) -> list[Draft]:
    """One sheet with every price said, what is bought for it, and the sum of each currency.

    ``supply`` is asked for an amount that nobody said: it may put a way to work it out into the sheet. An item whose cost
    another sheet works out is left out where its amount is open here, or is one that this sheet starts from: ``elsewhere``
    has the moments of what it was given, by item (:func:`price_sheets`).
    """
    from buildlog.reckon.sheets import Draft, exact

    elsewhere = elsewhere or {}
    found = [
        p
        for p in priced(log, heard)
        if p.item.id not in elsewhere or not (p.open or (p.amount and p.amount.start_s in elsewhere[p.item.id]))
    ]
    if not found:
        return []
    draft = Draft(title="What it cost")
    sums: dict[str, list[str]] = {}
    for p in found:
        price = draft.add(price_of(p, heard))
        if p.amount is not None or p.open:
            worked = supply(p.per, draft) if p.amount is None and p.per and supply else None
            when = told_at(p, heard)
            amount = worked or draft.add(
                Quantity(
                    name=f"{p.item.name} amount",
                    value=None if p.amount is None else exact(p.amount),
                    unit=p.per if p.amount is None else p.amount.unit,
                    origin="asked" if p.amount is None else "said",
                    start_s=when if p.amount is None else p.amount.start_s,
                    text=heard.sentence(when, p.text)
                    if p.amount is None
                    else heard.sentence(p.amount.start_s, p.amount.text),
                )
            )
            cost = add_cost(draft, p, amount, price, log, heard, bought=p.amount is not None)
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


def told_at(p: Priced, heard: Heard) -> float:
    """When the price of ``p`` was said."""
    when = heard.when(p.text)
    return p.item.first_s if when is None else when


def price_of(p: Priced, heard: Heard) -> Quantity:
    """The price of ``p`` as a quantity, with the sentence it was said in."""
    when = told_at(p, heard)
    return Quantity(
        name=f"{p.item.name} price" + (" of one" if p.pack else ""),
        value=str(p.price),
        unit=f"{p.currency} / {p.per}" if p.per else p.currency,
        origin="said",
        start_s=when,
        text=heard.sentence(when, p.text),
    )


def add_cost(draft: Draft, p: Priced, amount: str, price: str, log: Log, heard: Heard, *, bought: bool) -> str:
    """Puts the cost of ``amount`` into ``draft``: with the wastage said, or none, and up to what is sold.

    ``bought``: the amount is what was bought, wastage and all. A rule that has a waste of its own adds none on top.
    """
    inputs = {"amount": amount, "price": price}
    rule = (draft.quantities[amount].rule or "").partition(".")[0]
    within = rule in rules() and any(a.name in ("waste", "margin") for a in rules()[rule].asks)
    waste = None if bought or within else wastage(told_at(p, heard), log, heard)
    if waste is not None:
        q = Quantity(
            name=f"{p.item.name} wastage in per cent", value=str(Fraction(str(waste.value))), origin="said",
            start_s=waste.start_s, text=heard.sentence(waste.start_s, waste.text),
        )  # fmt: skip
    else:
        text = "none, the amount said is taken for what was bought" if bought else "none, nobody said any"
        q = Quantity(name=f"{p.item.name} wastage in per cent", value="0", origin="assumed", text=text)
    if not within:
        inputs["waste"] = draft.add(q)
    if p.pack:
        q = Quantity(name=f"{p.item.name} in a pack", value=str(p.pack), origin="said", text=p.text)
        inputs["step"] = draft.add(q)
    return draft.add(Quantity(name=f"{p.item.name} cost", rule="cost", inputs=inputs, origin="computed"))


def wastage(when: float, log: Log, heard: Heard) -> Measurement | None:
    """A share said for waste within a minute of ``when``: "ten percent on top for waste"."""
    for m in log.measurements:
        near = abs(m.start_s - when) <= _WASTE_S and m.unit == "percent" and m.value_max is None and 0 < m.value <= 90
        if near and set(stems(heard.sentence(m.start_s, m.text))) & words("wastage"):
            return m
    return None


def price_sheets(drafts: Sequence[Draft], log: Log, heard: Heard) -> dict[str, set[float | None]]:
    """Adds to every sheet that says how much to buy what that costs, where the price of it was said; gives, by the id of
    the item priced, the moments of what the sheets start from."""
    done: dict[str, set[float | None]] = {}
    found = [p for p in priced(log, heard) if p.per or p.each]
    for draft in drafts:
        costed = {q.inputs["amount"] for q in draft.quantities.values() if q.rule == "cost"}
        for q, main, sort in [*_to_buy(draft)]:
            fitting = [p for p in found if _for_it(p, sort, draft, q)]
            if len(fitting) > 1:
                fitting = [p for p in fitting if _spoken_by(p, q)]
            if len(fitting) != 1 or q.name in costed:
                continue
            amount = q.name
            if main is not None:
                amount = draft.add(
                    Quantity(name=f"{sort} for the {q.name}", rule=main, inputs=q.inputs, origin="computed")
                )
            price = draft.add(price_of(fitting[0], heard))
            draft.results.append(add_cost(draft, fitting[0], amount, price, log, heard, bought=False))
            done.setdefault(fitting[0].item.id, set()).update(
                x.start_s for x in draft.quantities.values() if x.origin == "said"
            )
    return done


def _to_buy(draft: Draft) -> Iterator[tuple[Quantity, str | None, str]]:
    """The quantities of ``draft`` that are bought, and the sort of thing; where the quantity only counts what is cut out
    of it, the rule's figure that is bought comes with it."""
    for q in draft.quantities.values():
        name, _, figure = (q.rule or "").partition(".")
        if name not in BOUGHT:
            continue
        main, sort = BOUGHT[name]
        figure = figure or _FIRST.get(name, main)
        if figure == main:
            yield q, None, sort
        elif figure == _FIRST.get(name):
            yield q, f"{name}.{main}", sort


def _spoken_by(p: Priced, q: Quantity) -> bool:
    """Whether the thing is spoken of about the moment of ``q``."""
    when = q.start_s or 0.0
    return any(abs(m.start_s - when) <= _BESIDE_S for m in p.item.mentions)


def _for_it(p: Priced, sort: str, draft: Draft, q: Quantity) -> bool:
    """Whether ``p`` is what the sheet says to buy: of that sort, sold by a unit that fits, and not by its name another
    cloth than the one of the sheet."""
    names = set(stems(" ".join([p.item.name, *p.item.aliases])))
    if not names & words("sawn" if sort == "rough" else sort) or (sort == "sawn" and names & words("sheet")):
        return False
    dims = unit_of(p.per)[1] if p.per else None
    if dims != _DIMS.get(sort) or (sort == "rough") != (p.per == "board_foot"):
        return False
    about = {*stems(draft.title), *stems(q.name), *stems(q.text)}
    return names & _OWN <= about
