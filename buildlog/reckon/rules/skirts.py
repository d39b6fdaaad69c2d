"""Circle and gored skirts."""

from __future__ import annotations

import math
from fractions import Fraction

from buildlog.errors import BadInput
from buildlog.reckon.book import Ask, Cut, Given, Outcome, Rule, choice, count
from buildlog.reckon.layout import Layout, Shape
from buildlog.reckon.rules.strips import SELVAGE, WIDTH, usable_width
from buildlog.reckon.shop import cloth

# Pi to 20 places: beyond anything a tape shows; the figures are rounded once, when shown.
PI = Fraction(314159265358979323846, 10**20)
# Where the hip is measured below the waist: wkdesigner.wordpress.com, gored skirt (8 in).
_HIP_DEPTH = Fraction(8)
_SHARES = {
    "full": Fraction(1),
    "three_quarter": Fraction(3, 4),
    "half": Fraction(1, 2),
    "third": Fraction(1, 3),
    "quarter": Fraction(1, 4),
}


def _circle(g: Given) -> Outcome:
    share, seams = _SHARES[g["circle"]], g["seams"]
    waist = g["waist"] + g["ease"]
    radius = waist / (2 * PI * share)
    drawn = (waist + 2 * seams * g["seam"]) / (2 * PI * share) - g["seam"]
    if drawn <= 0:
        raise BadInput("the waist is too small for this circle; give a larger waist or a smaller share of a circle")
    outer = drawn + g["seam"] + g["length"] + g["hem"]
    usable = usable_width(g)
    out = Outcome()
    out.put("radius", radius, "waist radius on the seam line")
    out.put("drawn", drawn, "waist radius to cut, allowances taken in")
    out.put("outer", outer, "hem radius to cut")
    out.put("hem_round", 2 * PI * share * (outer - g["hem"]), "way round the hem")
    quarters = share * 4
    if outer > usable:
        raise BadInput("the hem radius is wider than the cloth; shorten the skirt, or add seams by making it in gores")
    across = 2 if 2 * outer <= usable else 1
    n = math.ceil(quarters)
    rows = -(-n // across)
    out.put("cloth", rows * outer, "cloth along the roll, quarter by quarter")
    out.cuts.append(Cut("quarter circle" if quarters >= 1 else "part of a circle", n, outer, outer))
    out.buys.append(cloth("cloth", rows * outer))
    out.remarks.append("each quarter is cut out of a square: folded cloth often saves a little more")
    if n > across and g["seams"] < n - across:
        out.remarks.append("the quarters do not all come out in one piece: count the seams between them in")
    picture = Layout("Quarter circles on the cloth", g["fabric_width"], rows * outer)
    for k in range(n):
        x, y = g["selvage"] / 2 + k % across * outer, k // across * outer
        picture.shapes.append(Shape(_quarter(x, y, drawn, outer), f"quarter {k + 1}"))
    out.layout = picture
    return out


def _quarter(x: Fraction, y: Fraction, inner: Fraction, outer: Fraction) -> tuple[tuple[Fraction, Fraction], ...]:
    """A quarter ring with its middle at (x, y), in straight bits fine enough for a picture."""
    arc = [(math.cos(math.pi * k / 36), math.sin(math.pi * k / 36)) for k in range(19)]
    outside = [
        (x + outer * Fraction(c).limit_denominator(10**6), y + outer * Fraction(s).limit_denominator(10**6))
        for c, s in arc
    ]
    inside = [
        (x + inner * Fraction(c).limit_denominator(10**6), y + inner * Fraction(s).limit_denominator(10**6))
        for c, s in arc
    ]
    return (*outside, *reversed(inside))


def _gored(g: Given) -> Outcome:
    n, seam = g["gores"], g["seam"]
    top = (g["waist"] + g["ease"]) / n
    hip = (g["hip"] + g["hip_ease"]) / n
    hem = g["hem_round"] / n
    if hem < top:
        raise BadInput("the hem is narrower than the waist; give a larger hem_round")
    length = g["length"] + seam + g["hem"]
    wide, narrow = max(hip, hem) + 2 * seam, top + 2 * seam
    usable = usable_width(g)
    if wide > usable:
        raise BadInput("one gore is wider than the cloth; use more gores or a wider cloth")
    # Head to tail works where the gore widens evenly; one that bulges at the hip takes its full width.
    even = hip <= top + (hem - top) * min(Fraction(1), _HIP_DEPTH / g["length"])
    step = (wide + narrow) / 2 if g["nap"] == "either_way" and even else wide
    across = 1 + math.floor((usable - wide) / step)
    rows = -(-int(n) // across)
    out = Outcome()
    out.put("top", top, "finished gore at the waist")
    out.put("hip_gore", hip, "finished gore at the hip")
    out.put("hem_gore", hem, "finished gore at the hem")
    out.put("top_cut", narrow, "gore to cut at the waist")
    out.put("hem_cut", hem + 2 * seam, "gore to cut at the hem")
    out.put("cloth", rows * length, "cloth along the roll")
    out.cuts.append(Cut("gore", int(n), wide, length))
    out.buys.append(cloth("cloth", rows * length))
    out.layout = _gores_picture(g, int(n), across, length, wide, narrow, step)
    return out


def _gores_picture(
    g: Given, n: int, across: int, length: Fraction, wide: Fraction, narrow: Fraction, step: Fraction
) -> Layout:
    picture = Layout("Gores on the cloth", g["fabric_width"], -(-n // across) * length)
    edge = (wide - narrow) / 2
    for k in range(n):
        x, y = g["selvage"] / 2 + k % across * step, k // across * length
        down = step == wide or k % across % 2 == 0
        inset_top, inset_low = (edge, Fraction(0)) if down else (Fraction(0), edge)
        picture.shapes.append(
            Shape(
                (
                    (x + inset_top, y),
                    (x + wide - inset_top, y),
                    (x + wide - inset_low, y + length),
                    (x + inset_low, y + length),
                ),
                f"gore {k + 1}",
            )
        )
    return picture


_WAIST = Ask("waist", "waist measure")
_EASE = Ask("ease", "ease at the waist", default="0", zero=True)
RULES = (
    Rule(
        "circle_skirt",
        "sewing",
        "A circle skirt",
        "radius = (waist + ease) / (2 pi x share of a circle); the hem radius adds length and hem",
        "Woven cloth; bias parts drop, so let it hang before the hem is trimmed. The whole waist goes over "
        "the hips or has "
        "an opening.",
        "prettyquirkypants.com; smartpatternmaking.com (26 in: 4.14 full, 8.28 half, 16.55 quarter)",
        (
            _WAIST,
            _EASE,
            Ask("length", "finished length"),
            choice("circle", "share of a circle", "full", "three_quarter", "half", "third", "quarter"),
            Ask("seam", "seam allowance", default="1/2", zero=True),
            Ask("hem", "hem allowance", default="1/2", zero=True),
            Ask("seams", "upright seams", None, default="1", zero=True, kind="count", most=Fraction(24)),
            WIDTH,
            SELVAGE,
        ),
        _circle,
        ("shears",),
    ),
    Rule(
        "gored_skirt",
        "sewing",
        "A gored skirt",
        "gore = measure / number of gores, at waist, hip and hem; allowances on both sides are added to cut",
        "Equal gores with straight sides below the hip. Gores are laid head to tail only where the cloth has "
        "no direction.",
        "wkdesigner.wordpress.com, gored skirt (waist 32 in, 8 gores: 4 in each; hip 42 in: 5 1/4 in before ease)",
        (
            _WAIST,
            _EASE,
            Ask("hip", "hip measure"),
            Ask("hip_ease", "ease at the hip", default="2", zero=True),
            Ask("hem_round", "way round the hem"),
            Ask("length", "finished length"),
            count("gores", "number of gores", most=48),
            Ask("seam", "seam allowance", default="5/8", zero=True),
            Ask("hem", "hem allowance", default="1", zero=True),
            WIDTH,
            SELVAGE,
            choice("nap", "direction of the cloth", "one_way", "either_way"),
        ),
        _gored,
        ("shears",),
    ),
)
