"""Pleats: knife, box and cartridge. What they take up depends on their depth, not on a fixed ratio."""

from __future__ import annotations

import math
from fractions import Fraction

from buildlog.errors import BadInput
from buildlog.reckon.book import Ask, Given, Outcome, Rule
from buildlog.reckon.shop import cloth


def _folded(g: Given, layers: int, what: str) -> Outcome:
    """Pleats of ``layers`` times their depth each, ``visible`` of each showing."""
    finished, visible, depth = g["finished"], g["visible"], g["depth"]
    n = max(1, math.floor(finished / visible + Fraction(1, 2)))
    shows = finished / n
    flat = finished + n * layers * depth
    out = Outcome()
    out.put("flat", flat, "flat length, before allowances")
    out.put("cut", flat + 2 * g["seam"], "flat length with an allowance at each end")
    out.put("pleats", n, what, None)
    out.put("visible_got", shows, "what shows of each pleat")
    out.put("fullness", flat / finished, "take-up, flat over finished", None)
    out.put("repeat", shows + layers * depth, "distance from pleat to pleat on the flat cloth")
    if shows != visible:
        out.remarks.append("a whole number of pleats changes what shows of each: mark by the figure given here")
    reach = depth if layers == 2 else 2 * depth
    if reach > shows:
        out.remarks.append("the pleats are deeper than what shows, so they lie over one another and add bulk")
    out.buys.append(cloth("cloth, if the pleats run along the roll", flat + 2 * g["seam"]))
    return out


def _cartridge(g: Given) -> Outcome:
    finished, stitch, thick = g["finished"], g["stitch"], g["thickness"]
    n = math.ceil(finished / (2 * thick))
    flat = n * 2 * stitch
    if 2 * stitch <= 2 * thick:
        raise BadInput("a fold is thicker than it is deep; give a longer stitch or a thinner cloth")
    out = Outcome()
    out.put("flat", flat, "flat length, before allowances")
    out.put("pleats", n, "folds to draw up", None)
    out.put("fullness", flat / finished, "take-up, flat over finished", None)
    out.remarks.append("thickness is that of one layer as it is drawn up: pleat a hand's width first and measure")
    return out


_COMMON_ASKS = (
    Ask("finished", "finished length"),
    Ask("visible", "what shows of each pleat"),
    Ask("depth", "depth of a fold"),
    Ask("seam", "seam allowance at each end", default="0", zero=True),
)
RULES = (
    Rule(
        "knife_pleats",
        "sewing",
        "Knife pleats",
        "flat = pleats x (visible + 2 x depth)",
        "All pleats lie one way. Full pleats (depth as large as what shows) take three times the finished length.",
        "brushesandthread (full 1 in pleats, 34 in finished: 102 in); treadleyardgoods.blogspot.com 2024-01 (1 in, "
        "1/2 in between); sources that say 2x or 3x mean another depth",
        _COMMON_ASKS,
        lambda g: _folded(g, 2, "knife pleats"),
        ("iron",),
    ),
    Rule(
        "box_pleats",
        "sewing",
        "Box pleats",
        "flat = pleats x (visible + 4 x depth)",
        "Two folds turned away from one another. Meeting at the back (depth half of what shows) takes three times.",
        "curtaingirl.com (box pleats 3 to 1); geometry for other depths",
        _COMMON_ASKS,
        lambda g: _folded(g, 4, "box pleats"),
        ("iron",),
    ),
    Rule(
        "cartridge_pleats",
        "sewing",
        "Cartridge pleats",
        "folds = finished / (2 x thickness); flat = folds x 2 x stitch length",
        "Even running stitches drawn up until the folds touch; each fold is two layers thick and one stitch deep.",
        "geometry; marks as far apart as the pleats are deep: reconstructinghistory.com, cartridge pleating",
        (
            Ask("finished", "finished length"),
            Ask("stitch", "length of a gathering stitch"),
            Ask("thickness", "thickness of one layer, drawn up"),
        ),
        _cartridge,
    ),
)
