"""Gathers and ruffles by fullness, and the setting of a ruffler from a test strip."""

from __future__ import annotations

import math
from fractions import Fraction

from buildlog.errors import BadInput
from buildlog.reckon.book import COMMON, Ask, Cut, Given, Outcome, Rule, choice
from buildlog.reckon.rules.strips import SA, SELVAGE, WIDTH, strips_picture, usable_width
from buildlog.reckon.shop import ceil_div, cloth

_FULLNESS = Ask("fullness", "how many times the finished length", None, most=Fraction(20))


def check_fullness(value: Fraction) -> None:
    """Raises :class:`BadInput` for less than 1 to 1: cloth cannot be gathered to something longer."""
    if value < 1:
        raise BadInput("fullness is below 1: cloth cannot be gathered to more than it measures; give 1 or more")


def _flat(g: Given) -> Outcome:
    check_fullness(g["fullness"])
    flat = g["finished"] * g["fullness"]
    out = Outcome()
    out.put("flat", flat, "flat length, before allowances")
    out.put("cut", flat + 2 * g["seam"], "flat length with an allowance at each end")
    return out


def _ruffle(g: Given) -> Outcome:
    check_fullness(g["fullness"])
    usable, seam, ring = usable_width(g), g["seam"], g["ends"] == "ring"
    if usable <= 2 * seam:
        raise BadInput("the cloth is narrower than what one join takes; give a wider cloth or a smaller seam")
    flat = g["finished"] * g["fullness"]
    each = usable - 2 * seam
    n = ceil_div(flat, each)
    got = n * each
    deep = g["depth"] + g["top"] + g["hem"]
    out = Outcome()
    out.put("strips", n, "strips across the cloth", None)
    out.put("depth_cut", deep, "depth of a strip as cut")
    out.put("flat", flat, "flat length asked for")
    out.put("run", got, "flat length of the whole strips joined" + ("" if ring else ", end seams taken off"))
    out.put("fullness_got", got / g["finished"], "fullness if whole strips are used", None)
    out.put("cloth", n * deep, "cloth along the roll")
    if got != flat:
        out.remarks.append("whole strips give another fullness than asked; trim the run to the flat length to keep it")
    out.cuts.append(Cut("ruffle strip", n, deep, usable))
    out.buys.append(cloth("cloth", n * deep))
    out.layout = strips_picture(n, deep, g, "Ruffle strips across the cloth")
    return out


def _ruffler(g: Given) -> Outcome:
    if g["after"] > g["before"]:
        raise BadInput("the test strip cannot be longer after ruffling; swap before and after")
    ratio = g["before"] / g["after"]
    out = Outcome()
    out.put("fullness", ratio, "fullness of this setting", None)
    out.put("flat", ratio * g["finished"], "strip to feed, before allowances")
    out.put("cut", ratio * g["finished"] + g["slop"] + 2 * g["seam"], "strip to cut, with lead-in and allowances")
    out.remarks.append("another cloth, thread or stitch length is another ratio: test on the cloth itself")
    return out


def _tucks(g: Given) -> Outcome:
    every = g["every"] * g["stitch"]
    out = Outcome()
    fullness = 1 + 2 * g["tuck"] / every
    out.put("fullness", fullness, "fullness of this setting, about", None)
    out.put("flat", g["finished"] * fullness, "strip to feed, before allowances")
    out.remarks.append("a first setting only: run a test strip, then use ruffler with what it measured")
    return out


def _gather_rows(g: Given) -> Outcome:
    out = Outcome()
    out.put("mark", g["finished"] / g["parts"], "distance of the marks on the finished edge")
    out.put("flat_mark", g["flat"] / g["parts"], "distance of the marks on the flat edge")
    out.put("fullness", g["flat"] / g["finished"], "fullness", None)
    if g["flat"] < g["finished"]:
        raise BadInput("the flat edge is shorter than the finished one; swap flat and finished")
    if math.gcd(int(g["parts"]), 2) == 1:
        out.remarks.append("an even number of parts puts marks at the middles")
    return out


RULES = (
    Rule(
        "gather",
        "sewing",
        "Cloth for gathers",
        "flat = finished x fullness; cut = flat + an allowance at each end",
        "Fullness 1.5 for stiff cloth to 3 for sheer; below 1.25 it hardly shows (common practice, no source).",
        "instructables, ruffle gauge (10 in at 1.5, 2, 3 to 1: 15, 20, 30 in); stitchcoach (15 in at 2.5: 37.5 in)",
        (
            Ask("finished", "finished length"),
            _FULLNESS,
            Ask("seam", "seam allowance at each end", default="0", zero=True),
        ),
        _flat,
    ),
    Rule(
        "ruffle",
        "sewing",
        "A ruffle out of strips",
        "flat = finished x fullness; strips = flat / (usable width - 2 seam allowances), up; the fullness of "
        "whole strips "
        "is told",
        "Strips cut across the cloth and joined; each strip gives its width less two allowances, whether the "
        "run is open "
        "or closed.",
        "arithmetic over the fullness rule (stitchcoach) and the strip rule",
        (
            Ask("finished", "finished length the ruffle is sewn to"),
            _FULLNESS,
            Ask("depth", "finished depth of the ruffle"),
            Ask("top", "allowance at the top", default="1/2", zero=True),
            Ask("hem", "hem allowance", default="1/2", zero=True),
            WIDTH,
            SELVAGE,
            SA,
            choice("ends", "open run or closed ring", "open", "ring"),
        ),
        _ruffle,
        ("rotary",),
    ),
    Rule(
        "ruffler",
        "sewing",
        "A ruffler's setting, from a test strip",
        "fullness = test strip before / after; strip = fullness x finished + lead-in + 2 allowances",
        "Holds for one cloth, thread, stitch length and setting.",
        "stitchcoach.blogspot.com, how to estimate ruffles (15 in at 2.5: 37.5 in, 2 in of lead-in)",
        (
            Ask("before", "marked length of the test strip before"),
            Ask("after", "the same length after ruffling"),
            Ask("finished", "finished length wanted"),
            Ask("slop", "lead-in that stays flat", default="2", zero=True),
            Ask("seam", "seam allowance at each end", default="1/2", zero=True),
        ),
        _ruffler,
        ("needle",),
    ),
    Rule(
        "ruffler_tucks",
        "sewing",
        "A ruffler's setting, by stitches to a tuck",
        "fullness = 1 + 2 x tuck depth / (stitches to a tuck x stitch length)",
        "A tuck takes twice its depth. Machines differ: a first guess before the test strip.",
        "geometry of a tuck; " + COMMON,
        (
            Ask("every", "stitches to a tuck (1, 6, 12)", None, most=Fraction(100)),
            Ask("stitch", "stitch length"),
            Ask("tuck", "depth of a tuck"),
            Ask("finished", "finished length wanted"),
        ),
        _tucks,
        ("needle",),
    ),
    Rule(
        "gather_marks",
        "sewing",
        "Marks to spread gathers evenly",
        "distance = length / parts, on both edges",
        "Marks from seam to seam, allowances left out.",
        "mamidesofiona.com 2018-12-18, quartering; everything2.com, gather (middle and quarter points of both)",
        (
            Ask("finished", "length of the flat piece it is sewn to"),
            Ask("flat", "length of the piece to gather"),
            Ask("parts", "parts to mark", None, default="4", most=Fraction(64), kind="count"),
        ),
        _gather_rows,
    ),
)
