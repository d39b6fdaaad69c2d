"""Leather by area, and its ounces, which are thickness."""

from __future__ import annotations

from fractions import Fraction

from buildlog.errors import BadInput
from buildlog.reckon.book import Ask, Cut, Given, Outcome, Rule, percent
from buildlog.reckon.shop import whole

OUNCE_IN = Fraction(1, 64)


def _hide(g: Given) -> Outcome:
    if any(p.width is None for p in g["parts"]):
        raise BadInput("leather parts need a length and a width: 2 @ 9 x 7 in")
    net: Fraction = sum((p.count * p.length * p.width for p in g["parts"] if p.width is not None), Fraction(0)) / 144
    gross = net / (1 - g["waste"] / 100)
    out = Outcome()
    out.put("area", gross, "leather to buy, at least", "square_foot")
    out.put("net", net, "area of the parts", "square_foot")
    out.cuts = [Cut(p.name, p.count, p.width, p.length) for p in g["parts"]]
    out.buys.append(whole("leather", gross, "square_foot", Fraction(1, 4), "quarter square feet"))
    out.remarks.append("a hide is no rectangle: lay the templates on it, off the belly, before buying by area alone")
    return out


def _thickness(g: Given) -> Outcome:
    out = Outcome()
    out.put("thickness", g["ounces"] * OUNCE_IN, "thickness")
    out.put("millimetres", g["ounces"] * OUNCE_IN * Fraction(254, 10), "thickness", "millimeter")
    out.remarks.append("ounces of leather are thickness (1/64 in each); ounces of cloth are weight")
    return out


RULES = (
    Rule(
        "leather_area",
        "leather",
        "Leather by area",
        "area = parts / (1 - waste)",
        "Waste of 15 to 35 % is usual, more for large parts out of small hides.",
        "ctlleather.com, garrettleather.com (13.5 sq ft of parts are 18 of leather: a quarter lost); rodenleather.com (20 to "
        "25 %); area: arithmetic",
        (
            Ask("parts", "parts as cut: COUNT NAME @ LENGTH x WIDTH; ...", None, kind="parts"),
            percent("waste", "waste in per cent", "25"),
        ),
        _hide,
        ("knife",),
    ),
    Rule(
        "leather_thickness",
        "leather",
        "Ounces of leather as thickness",
        "thickness = ounces / 64 in",
        "Nominal: a hide varies by an ounce over its area.",
        "fineleatherworking.com, leather thickness chart (8 oz = 1/8 in)",
        (Ask("ounces", "ounces of leather", None, most=Fraction(40)),),
        _thickness,
    ),
)
