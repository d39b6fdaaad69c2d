"""What it costs: amount times price, with wastage, up to what is sold."""

from __future__ import annotations

import math

from buildlog.reckon.book import Ask, Given, Outcome, Rule, percent


def _cost(g: Given) -> Outcome:
    need = g["amount"] * (1 + g["waste"] / 100)
    bought = math.ceil(need / g["step"]) * g["step"]
    out = Outcome()
    out.put("cost", bought * g["price"], "cost, in the money the price is in", None)
    out.put("bought", bought, "amount to buy, in the unit it is sold in", None)
    out.put("need", need, "amount with wastage", None)
    return out


RULES = (
    Rule(
        "cost",
        "general",
        "Cost with wastage",
        "bought = amount x (1 + wastage), up to what is sold; cost = bought x price",
        "Amount and price go by the same unit (yards and a price a yard). Tax and carriage are not in it.",
        "arithmetic; of timber 15 to 20 % are a start: woodmagazine.com (how much for waste), woodshoptips.com tip 250",
        (
            Ask("amount", "amount needed, in the unit it is sold in", None),
            Ask("price", "price of one unit", None, zero=True),
            percent("waste", "wastage in per cent", "0"),
            Ask("step", "smallest amount sold", None, default="1"),
        ),
        _cost,
    ),
)
