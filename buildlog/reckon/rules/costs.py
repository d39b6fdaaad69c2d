"""What it costs: amount times price, with wastage, up to what is sold."""

from __future__ import annotations

from buildlog.errors import BadInput
from buildlog.reckon.book import AS_SOLD, Ask, Given, Outcome, Rule, percent
from buildlog.reckon.shop import sold_by
from buildlog.reckon.shown import one, up
from buildlog.reckon.units import Amount, unit_of


def _cost(g: Given) -> Outcome:
    amount, price, step = g["amount"], g["price"], g["step"]
    # A bare amount goes by the unit of the price, and a bare price by that of the amount.
    per = price.unit.partition(" / ")[2] if price.unit and " / " in price.unit else None
    if per is not None and not amount.dims:
        amount = Amount.of(amount.base, per)
    if per is not None and amount.dims != unit_of(per)[1]:
        raise BadInput(f"the price is for one {per} and the amount is of another kind; give both by one unit")
    sold_in = per or amount.unit
    if step is None:
        step = sold_by(sold_in)
    elif step.dims and step.dims != amount.dims:
        raise BadInput("the smallest amount sold is of another kind than the amount; give both by one unit")
    net = amount.value(sold_in)
    each = price.value()
    need = net * (1 + g["waste"] / 100)
    steps = None if step is None else step.value(sold_in) if step.dims else step.base
    bought = need if steps is None else up(need, steps)
    money = price.unit.partition(" / ")[0] if price.unit else None
    out = Outcome()
    out.put("cost", bought * each, "cost of what is bought", money)
    out.put("bought", bought, "bought", sold_in)
    if need != net:
        out.put("need", need, "needed, with wastage", sold_in)
    if bought != need:
        out.put("needed_cost", need * each, "what is needed alone would cost", money)
        said = one(steps, sold_in) if steps is not None else ""
        out.remarks.append(f"the cost is that of what is bought, whole steps of {said}, not of what is used up")
    return out


RULES = (
    Rule(
        "cost",
        "general",
        "Cost with wastage",
        "bought = amount x (1 + wastage), up to what is sold; cost = bought x price",
        "Amounts and prices of one kind (metres and a price a yard will do). Tax and carriage are not in it.",
        "arithmetic; of timber 15 to 20 % are a start: woodmagazine.com (how much for waste), woodshoptips.com tip 250",
        (
            Ask("amount", "amount needed", None, kind="any"),
            Ask("price", "price of one unit", None, kind="any", zero=True),
            percent("waste", "wastage in per cent", "0"),
            Ask("step", "smallest amount sold", None, default=AS_SOLD, kind="any"),
        ),
        _cost,
    ),
)
