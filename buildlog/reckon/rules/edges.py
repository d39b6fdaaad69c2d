"""Hems and facings, and pieces that follow another: interfacing and lining."""

from __future__ import annotations

from fractions import Fraction

from buildlog.errors import BadInput
from buildlog.reckon.book import COMMON, Ask, Cut, Given, Outcome, Rule, choice, count
from buildlog.reckon.rules.bands import SIZES, allowance


def _hem(g: Given) -> Outcome:
    add = {"single": g["depth"], "double": g["turn"] + g["depth"], "equal_double": 2 * g["depth"]}[g["fold"]]
    out = Outcome()
    edges = int(g["edges"])
    out.put("cut", g["finished"] + edges * add, "length to cut")
    out.put("allowance", add, "hem allowance, each hem")
    return out


def _facing(g: Given) -> Outcome:
    extra = allowance(g)
    out = Outcome()
    out.put("length", g["edge"] + 2 * extra, "facing to cut, along the edge")
    out.put("width", g["width"] + extra + g["finish"], "facing to cut, across")
    out.cuts.append(Cut("facing", 1, g["width"] + extra + g["finish"], g["edge"] + 2 * extra))
    out.remarks.append("on a curve cut the facing after the edge's own shape; these are its greatest sizes")
    return out


def _follow(g: Given) -> Outcome:
    length, width = g["length"], g["width"]
    ease = g["pleat"] if g["as"] == "lining" else Fraction(0)
    off = g["inset"] if g["as"] == "interfacing" else Fraction(0)
    shorter = g["shorter"] if g["as"] == "lining" else Fraction(0)
    new_l, new_w = length - 2 * off - shorter, width - 2 * off + ease
    if new_l <= 0 or new_w <= 0:
        raise BadInput("nothing is left of the piece; give a smaller inset or a larger piece")
    out = Outcome()
    out.put("length", new_l, "length to cut")
    out.put("width", new_w, "width to cut")
    out.cuts.append(Cut(g["as"], int(g["count"]), new_w, new_l))
    return out


RULES = (
    Rule(
        "hem",
        "sewing",
        "A hem",
        "cut = finished + hems x allowance; a double hem turns the edge under first, an equal double hem "
        "takes twice its "
        "depth",
        "Straight edges. A curved hem wants a narrow allowance or a facing.",
        "kalamaquilts.blogspot.com 2008-12 (11 in squares finish as 10 in napkins with 1/4 in double hems); depths: "
        + COMMON,
        (
            Ask("finished", "finished length"),
            Ask("depth", "depth of the hem"),
            Ask("turn", "edge turned under first", default="1/4", zero=True),
            choice("fold", "how it is folded", "double", "equal_double", "single"),
            count("edges", "hemmed edges", "1", most=4),
        ),
        _hem,
        ("iron",),
    ),
    Rule(
        "facing",
        "sewing",
        "A facing",
        "length = edge + 2 allowances; width = finished width + an allowance + the edge's finish",
        "Straight facings, or the largest size of a shaped one.",
        "finished width of 2 in: dresspatternmaking.com, armhole and neckline facing (1 1/2 to 2 in); others cut 2 3/8 to 2 1/2 "
        "in: sewingbusiness.com 2009-10-07, theclosethistorian.blogspot.com 2017-08; a seam allowance on each edge: Butterick, "
        "The New Dressmaker, 1921, chapter 19; 1/4 in to neaten: chestofbooks.com, School Needlework, Facing",
        (
            Ask("edge", "length of the edge"),
            Ask("width", "finished width", default="2"),
            Ask("seam", "seam allowance", default="5/8", zero=True),
            Ask("finish", "turned or neatened edge", default="1/4", zero=True),
            SIZES,
        ),
        _facing,
    ),
    Rule(
        "follow",
        "sewing",
        "Interfacing or lining that follows a piece",
        "interfacing = piece - 2 insets; lining = piece + ease pleat, shortened at the hem",
        "The piece's sizes are as cut, so no allowance is added again.",
        "clodata.com, standard waistband (interfacing 1/8 in smaller than the band each way: a 1/16 in "
        "margin); lining: " + COMMON,
        (
            Ask("length", "length of the piece as cut"),
            Ask("width", "width of the piece as cut"),
            count("count", "how many", "1"),
            choice("as", "what follows it", "interfacing", "lining"),
            Ask("inset", "smaller on every edge", default="1/16", zero=True),
            Ask("pleat", "ease pleat", default="0", zero=True),
            Ask("shorter", "shorter than the piece", default="0", zero=True),
        ),
        _follow,
        ("iron",),
    ),
)
