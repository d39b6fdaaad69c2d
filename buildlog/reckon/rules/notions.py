"""Thread, zips, closures by distance."""

from __future__ import annotations

import math
from fractions import Fraction

from buildlog.errors import BadInput
from buildlog.reckon.book import COMMON, Ask, Buy, Given, Outcome, Rule, choice, percent
from buildlog.reckon.units import Amount

_CLASSES = {"lockstitch": (2, 2), "chainstitch": (4, 2)}


def _thread(g: Given) -> Outcome:
    base, folds = _CLASSES[g["stitch"]]
    per_inch = base + folds * g["thickness"] * g["per_inch"]
    total = g["seam_length"] * per_inch * (1 + g["waste"] / 100)
    return _spools(total, g["spool"], per_inch)


def _spools(total: Fraction, spool: Fraction, ratio: Fraction) -> Outcome:
    out = Outcome()
    out.put("thread", total, "thread in all")
    out.put("ratio", ratio, "thread for one length of seam", None)
    spools = math.ceil(total / (spool * 36))
    out.put("spools", spools, "spools", None)
    out.buys.append(Buy("thread, whole spools", Amount.of(total, "inch"), Amount.of(spools), "whole spools"))
    return out


def _thread_ratio(g: Given) -> Outcome:
    return _spools(g["seam_length"] * g["ratio"] * (1 + g["waste"] / 100), g["spool"], g["ratio"])


def _hand_thread(g: Given) -> Outcome:
    out = Outcome()
    total = g["seam_length"] * g["ratio"] + g["tails"]
    out.put("thread", total, "thread to cut")
    return out


def _zip(g: Given) -> Outcome:
    length = g["opening"] - (g["seam"] + g["gap"] if g["ends"] != "open_ended" else g["gap"])
    if length <= 0:
        raise BadInput("the opening is shorter than its allowances; give a longer opening")
    out = Outcome()
    out.put("teeth", length, "longest line of teeth that fits")
    out.put("tape", length + 2 * g["tape_end"], "with the tape ends")
    out.remarks.append("zips are sold by the length of the teeth; a longer one can be shortened, a shorter one not")
    return out


def _buttons(g: Given) -> Outcome:
    run = g["edge"] - g["first"] - g["last"]
    if run < 0:
        raise BadInput("the end distances are longer than the edge; give smaller ones")
    gaps = math.ceil(run / g["spacing"])
    out = Outcome()
    out.put("count", gaps + 1, "how many", None)
    out.put("spacing_got", run / gaps if gaps else Fraction(0), "distance from middle to middle")
    return out


RULES = (
    Rule(
        "thread",
        "sewing",
        "Thread for machine seams",
        "thread to an inch of seam = 2 + 2 x thickness x stitches to the inch (lockstitch); 4 + ... (chain "
        "stitch); plus "
        "waste",
        "Industrial estimate. Thickness is of all layers as sewn.",
        "textilecalculations.com, sewing thread consumption (thickness 0.01 in, 10 to the inch: 2.2); waste "
        "10 to 15 %: "
        "apparelscience.com",
        (
            Ask("seam_length", "length of all seams"),
            Ask("thickness", "thickness of the seam, all layers", default="1/16"),
            Ask("per_inch", "stitches to the inch", None, default="10", most=Fraction(60)),
            choice("stitch", "kind of stitch", "lockstitch", "chainstitch"),
            percent("waste", "waste in per cent", "15"),
            Ask("spool", "thread on a spool", "yard", default="100"),
        ),
        _thread,
        ("needle",),
    ),
    Rule(
        "thread_ratio",
        "sewing",
        "Thread by a ratio",
        "thread = seam x ratio x (1 + waste)",
        "Unpick a known length to find your own ratio.",
        "lockstitch 2.5 to 1: melgeecrafts.com worked example (220 cm: 550 cm); method: apparelscience.com",
        (
            Ask("seam_length", "length of all seams"),
            Ask("ratio", "thread for one length of seam", None, default="2.5", most=Fraction(40)),
            percent("waste", "waste in per cent", "15"),
            Ask("spool", "thread on a spool", "yard", default="100"),
        ),
        _thread_ratio,
    ),
    Rule(
        "hand_thread",
        "leather",
        "Thread for a hand-sewn seam",
        "thread = seam x ratio + tails",
        "Four times for saddle stitch in leather of usual thickness; thick leather takes more.",
        "nayscustomleather.blogspot.com 2014-01 (doubled and doubled again, and a foot for the needles); melgeecrafts.com (4 to "
        "1); other sources say 5 or 6",
        (
            Ask("seam_length", "length of the seam"),
            Ask("ratio", "times the seam", None, default="4", most=Fraction(40)),
            Ask("tails", "for the needles and tails", default="12", zero=True),
        ),
        _hand_thread,
        ("awl",),
    ),
    Rule(
        "zip",
        "sewing",
        "Length of a zip",
        "teeth = opening - seam allowance at the top - gap below the stop",
        "Measure the opening as cut.",
        "length of the teeth: zippershipper.com, how to measure; gap and tape: " + COMMON,
        (
            Ask("opening", "opening as cut"),
            Ask("seam", "seam allowance it crosses", default="5/8", zero=True),
            Ask("gap", "gap at the end", default="1/8", zero=True),
            Ask("tape_end", "tape beyond the teeth", default="3/4", zero=True),
            choice("ends", "kind of zip", "closed_end", "open_ended"),
        ),
        _zip,
    ),
    Rule(
        "closures",
        "sewing",
        "Buttons, snaps or hooks along an edge",
        "gaps = (edge - both end distances) / greatest spacing, up; closures = gaps + 1, spread evenly",
        "From middle to middle.",
        "arithmetic",
        (
            Ask("edge", "length of the edge"),
            Ask("first", "from the end to the first", default="1", zero=True),
            Ask("last", "from the last to the end", default="1", zero=True),
            Ask("spacing", "greatest distance"),
        ),
        _buttons,
    ),
)
