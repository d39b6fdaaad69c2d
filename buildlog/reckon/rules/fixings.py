"""Screws, nails, dowels, tacks and holes by their distance."""

from __future__ import annotations

import math
from fractions import Fraction

from buildlog.errors import BadInput
from buildlog.reckon.book import COMMON, Ask, Given, Outcome, Rule, count
from buildlog.reckon.shop import whole


def _pitch(g: Given) -> Outcome:
    run = g["length"] - 2 * g["end"]
    if run < 0:
        raise BadInput("the end distances are longer than the piece; give a smaller end distance")
    gaps = math.ceil(run / g["pitch"])
    rows = int(g["rows"])
    out = Outcome()
    out.put("count", (gaps + 1) * rows, "fixings in all", None)
    out.put("each_row", gaps + 1, "fixings in a row", None)
    out.put("pitch_got", run / gaps if gaps else Fraction(0), "distance from middle to middle")
    out.buys.append(whole("fixings", Fraction((gaps + 1) * rows), None, g["pack"], "whole packs"))
    return out


def _round(g: Given) -> Outcome:
    n = max(1, math.ceil(g["round"] / g["pitch"]))
    out = Outcome()
    out.put("count", n, "fixings round a closed edge", None)
    out.put("pitch_got", g["round"] / n, "distance from middle to middle")
    out.buys.append(whole("fixings", Fraction(n), None, g["pack"], "whole packs"))
    return out


def _holes(g: Given) -> Outcome:
    n = int(g["count"])
    if n < 2:
        raise BadInput("spacing needs at least two holes; give a larger count")
    run = g["length"] - 2 * g["end"]
    if run <= 0:
        raise BadInput("the end distances are longer than the edge; give a smaller end distance")
    out = Outcome()
    out.put("pitch", run / (n - 1), "distance from hole to hole")
    return out


_PACK = Ask("pack", "how many in a pack", None, default="1", kind="count", most=Fraction(10**5))
RULES = (
    Rule(
        "pitch",
        "woodwork",
        "Screws, nails or dowels along a piece",
        "gaps = (length - 2 end distances) / greatest pitch, up; fixings = gaps + 1, spread evenly",
        "Where the joint carries load, a qualified person says size, number and pitch.",
        "arithmetic",
        (
            Ask("length", "length of the piece"),
            Ask("end", "from the end to the first", default="1", zero=True),
            Ask("pitch", "greatest distance"),
            count("rows", "rows", "1", most=200),
            _PACK,
        ),
        _pitch,
        ("load",),
    ),
    Rule(
        "pitch_round",
        "upholstery",
        "Tacks or nails round a closed edge",
        "fixings = way round / greatest pitch, up, spread evenly",
        "The last stands one pitch from the first.",
        "arithmetic",
        (Ask("round", "way round"), Ask("pitch", "greatest distance"), _PACK),
        _round,
        ("staples",),
    ),
    Rule(
        "holes",
        "bookbinding",
        "Holes spaced evenly",
        "distance = (length - 2 end distances) / (holes - 1)",
        "A straight row.",
        "finitefield.org, layout along a length (6000 with 100 at each end, 5: 1450 apart); end distance: " + COMMON,
        (
            Ask("length", "length of the edge"),
            Ask("end", "from each end", default="1/2", zero=True),
            count("count", "holes"),
        ),
        _holes,
        ("awl",),
    ),
)
