"""Finish by coverage and coats."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from buildlog.reckon.book import Ask, Given, Outcome, Rule, count, percent
from buildlog.reckon.shop import whole
from buildlog.reckon.shown import up
from buildlog.reckon.units import Amount


def _finish(g: Given) -> Outcome:
    net = g["area"] * g["coats"] / g["coverage"]
    need = net * (1 + g["waste"] / 100)
    out = Outcome()
    out.put("finish", need, "finish in all", "gallon")
    out.put("net", net, "without waste", "gallon")
    litres = up(Amount.of(need, "gallon").value("liter"), Fraction(1, 4))
    tins = whole("finish", need * 4, "quart", g["tin"], "whole tins, or 1/4 l")
    out.buys.append(replace(tins, also=Amount.of(litres, "liter")))
    out.remarks.append("the first coat on bare wood soaks in: the tin's own figure goes first")
    return out


def _surface(g: Given) -> Outcome:
    w, d, h = g["width"], g["depth"], g["height"]
    area = 2 * (w * d + w * h + d * h) * g["count"]
    out = Outcome()
    out.put("area", area / 144, "all six faces", "square_foot")
    return out


def _face(g: Given) -> Outcome:
    out = Outcome()
    out.put("area", g["width"] * g["length"] * g["count"] / 144, "area of the faces", "square_foot")
    return out


RULES = (
    Rule(
        "finish",
        "finishing",
        "Finish by coverage and coats",
        "finish = area x coats / coverage x (1 + waste)",
        "Brushed or wiped. Spraying wastes a third to three quarters.",
        "rockler.com, how to, 2009-10-01 (400 sq ft a gallon, three coats of 400 sq ft: 3 gallons); "
        "kerfworks.pages.dev "
        "(60 sq ft, 3 coats, 10 %: 0.49 gallons)",
        (
            Ask("area", "area of one coat", "square_foot"),
            count("coats", "coats", most=50),
            Ask("coverage", "coverage, from the tin", "square_foot / gallon", default="400"),
            percent("waste", "waste in per cent", "10"),
            Ask("tin", "quarts in a tin", None, default="1"),
        ),
        _finish,
        ("finish",),
    ),
    Rule(
        "face",
        "finishing",
        "One face of a flat piece",
        "area = width x length x number",
        "A rectangle; edges and the other side are left out.",
        "geometry",
        (Ask("width", "width"), Ask("length", "length"), count("count", "how many faces", "1")),
        _face,
    ),
    Rule(
        "box_surface",
        "finishing",
        "Faces of a box or board",
        "area = 2 x (width x depth + width x height + depth x height) x number",
        "Six flat faces; the inside of an open box is counted again.",
        "geometry",
        (
            Ask("width", "width"),
            Ask("depth", "depth"),
            Ask("height", "height or thickness"),
            count("count", "how many", "1"),
        ),
        _surface,
    ),
)
