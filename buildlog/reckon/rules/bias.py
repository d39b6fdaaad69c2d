"""Bias strips: what really comes out of a square or an oblong, how large it must be, and the continuous way.

Area over width overstates: every join takes a slanted bit off, and strips too short to be worth joining are left. So
the cut is simulated, strip by strip.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from buildlog.errors import BadInput
from buildlog.reckon.book import Ask, Cut, Given, Outcome, Rule
from buildlog.reckon.layout import Layout, Point
from buildlog.reckon.shop import cloth
from buildlog.reckon.shown import decimal

_SCALE = 10**12
# The square root of two, from below and from above, to one part in 10^12.
ROOT2_LOW = Fraction(math.isqrt(2 * _SCALE**2), _SCALE)
ROOT2_HIGH = ROOT2_LOW + Fraction(1, _SCALE)
_MOST_STRIPS = 1500
_MOST_SQUARE = Fraction(240)


@dataclass(frozen=True, slots=True)
class BiasStrip:
    """A strip between the 45 degree lines x + y = ``near`` and ``far``; ``length`` along its middle."""

    near: Fraction
    far: Fraction
    length: Fraction


def _chord(c: Fraction, w: Fraction, h: Fraction) -> Fraction:
    """Length, divided by root two, of the line x + y = c inside a w by h oblong."""
    return max(Fraction(0), min(c, w, h, w + h - c))


def cut_bias(w: Fraction, h: Fraction, strip: Fraction, shortest: Fraction) -> list[BiasStrip]:
    """The strips a ``w`` by ``h`` oblong gives, cut both ways from the line through a corner; short ones left out."""
    start = min(w, h)
    step = strip * ROOT2_HIGH
    if (w + h) / step > _MOST_STRIPS:
        raise BadInput(f"more than {_MOST_STRIPS} strips; give a smaller cloth or a wider strip")
    strips = []
    for towards in (1, -1):
        a = start
        while True:
            b = a + towards * step
            near, far = min(a, b), max(a, b)
            if near < 0 or far > w + h:
                break
            ends = (_chord(near, w, h) + _chord(far, w, h)) / 2
            length = min(_chord((near + far) / 2, w, h), ends) * ROOT2_LOW
            if length >= shortest:
                strips.append(BiasStrip(near, far, length))
            a = b
    return sorted(strips, key=lambda s: -s.length)


def joined(strips: list[BiasStrip], seam: Fraction) -> Fraction:
    """Length of all ``strips`` joined along the grain: each join takes two allowances, measured on the slant."""
    total: Fraction = sum((s.length for s in strips), Fraction(0))
    return max(Fraction(0), total - max(0, len(strips) - 1) * 2 * seam * ROOT2_HIGH)


def _strip_shape(s: BiasStrip, w: Fraction, h: Fraction) -> tuple[Point, ...]:
    """The strip's corners on the cloth, in order round it."""

    def ends(c: Fraction) -> tuple[Point, Point]:
        return (min(c, w), c - min(c, w)), (c - min(c, h), min(c, h))

    (a1, a2), (b1, b2) = ends(s.near), ends(s.far)
    middle1: list[Point] = [(w, Fraction(0))] if a1[1] == 0 and b1[0] == w and a1[0] < w and b1[1] > 0 else []
    middle2: list[Point] = [(Fraction(0), h)] if b2[1] == h and a2[0] == 0 and b2[0] > 0 and a2[1] < h else []
    return (a1, *middle1, b1, b2, *middle2, a2)


def bias_picture(strips: list[BiasStrip], w: Fraction, h: Fraction, title: str) -> Layout:
    """The strips on the cloth, numbered from the longest."""
    picture = Layout(title, w, h)
    from buildlog.reckon.layout import Shape

    for number, s in enumerate(strips, 1):
        picture.shapes.append(Shape(_strip_shape(s, w, h), f"{number}: {decimal(s.length, 1)} in", angle=-45))
    return picture


def _yield(g: Given) -> Outcome:
    w, h, strip, seam = g["width"], g["height"], g["strip_width"], g["seam"]
    if strip > min(w, h):
        raise BadInput("the cloth is smaller than the strip is wide; give a larger cloth or a narrower strip")
    strips = cut_bias(w, h, strip, g["shortest"])
    net, gross = joined(strips, seam), w * h / strip
    if not strips or not net:
        raise BadInput("no strip long enough to join comes out of this cloth; give a larger cloth or a smaller seam")
    out = Outcome()
    out.put("length", net, "joined bias that comes out")
    out.put("strips", len(strips), "strips", None)
    out.put("gross", gross, "area over strip width, which no cut reaches")
    out.put("over", (gross / net - 1) * 100, "per cent that area over width overstates", None, places=0)
    out.cuts = _cut_lines(strips, strip)
    out.layout = bias_picture(strips, w, h, "Bias strips")
    return out


def _cut_lines(strips: list[BiasStrip], width: Fraction) -> list[Cut]:
    lines: dict[Fraction, int] = {}
    for s in strips:
        lines[s.length] = lines.get(s.length, 0) + 1
    return [Cut("bias strip", n, width, length) for length, n in lines.items()]


def smallest_square(
    need: Fraction, strip: Fraction, seam: Fraction, shortest: Fraction, step: Fraction = Fraction(1, 2)
) -> Fraction:
    """The smallest square, in steps, that gives ``need`` of joined bias. Raises :class:`BadInput` past 240 in."""
    side = step * math.ceil(Fraction(math.isqrt(math.floor(need * strip * 10**6)), 1000) / step)
    side = max(side, step * math.ceil(strip / step))
    while side <= _MOST_SQUARE:
        if joined(cut_bias(side, side, strip, shortest), seam) >= need:
            return side
        side += step
    raise BadInput("no square up to 240 in gives that much bias; cut it from several lengths of cloth")


def _square(g: Given) -> Outcome:
    need, strip = g["need"], g["strip_width"]
    side = smallest_square(need, strip, g["seam"], g["shortest"])
    strips = cut_bias(side, side, strip, g["shortest"])
    kept: list[BiasStrip] = []
    for s in strips:
        kept.append(s)
        if joined(kept, g["seam"]) >= need:
            break
    area_side = Fraction(math.isqrt(math.ceil(need * strip * 10**6)) + 1, 1000)
    out = Outcome()
    out.put("side", side, "side of the square to cut from")
    out.put("length", joined(kept, g["seam"]), "joined bias from the strips used")
    out.put("strips", len(kept), "strips used, longest first", None)
    out.put("by_area", math.ceil(area_side), "side that area alone would give")
    out.cuts = _cut_lines(kept, strip)
    out.buys.append(cloth("cloth at least as wide as the square", side))
    if out.figures["by_area"].amount.base < out.figures["side"].amount.base:
        out.remarks.append("the square is larger than area over width says: joins and short ends cost length")
    out.layout = bias_picture(kept, side, side, "Bias strips out of a square")
    return out


def _continuous(g: Given) -> Outcome:
    side, strip, seam = g["side"], g["strip_width"], g["seam"]
    # The first seam brings the bias edges nearer to one another, the second shortens every round; each takes two
    # allowances.
    inside = side - 2 * seam
    rounds = math.floor(inside / ROOT2_HIGH / strip)
    if rounds < 1 or inside <= 0:
        raise BadInput("the square is too small for one round of this strip; give a larger side or a narrower strip")
    out = Outcome()
    out.put("length", rounds * inside * ROOT2_LOW, "bias cut as one strip")
    out.put("rounds", rounds, "marked lines from edge to edge", None)
    out.put("gross", side * side / strip, "area over strip width")
    out.remarks.append("slip the tube by one strip width at the second seam, else the strip does not run on")
    out.cuts.append(Cut("square", 1, side, side))
    out.buys.append(cloth("cloth at least as wide as the square", side))
    return out


def _need_area(g: Given) -> Outcome:
    side = Fraction(math.isqrt(math.ceil(g["need"] * g["strip_width"] * 10**8)) + 1, 10**4)
    out = Outcome()
    out.put("side", math.ceil(side - Fraction(1, 10**3)), "side of the square, area only, up to a whole inch")
    out.put("area", g["need"] * g["strip_width"], "area of the strip", "square_inch")
    out.remarks.append("area only: the joins and short ends are not in it; bias_square simulates the cut")
    return out


_STRIP = Ask("strip_width", "width of a strip as cut")
_SEAM = Ask("seam", "seam allowance of a join", default="1/4", zero=True)
_SHORT = Ask("shortest", "shortest strip worth joining", default="6", zero=True)
_NEED = Ask("need", "length of bias wanted, ends and corners included")
_CHART = (
    "net yields agree within 5 % with a maker's chart "
    "(ronbd.com: 2 in strips, 12 / 13 / 15 in squares, 60 / 72 / 100 in)"
)

RULES = (
    Rule(
        "bias_yield",
        "sewing",
        "Bias out of a piece of cloth",
        "cut at 45 degrees both ways from the line through a corner, leave short strips, join the rest",
        "A true rectangle of woven cloth. Joins run along the grain, each taking two seam allowances on the slant.",
        "geometry, simulated; " + _CHART,
        (Ask("width", "width of the cloth"), Ask("height", "height of the cloth"), _STRIP, _SEAM, _SHORT),
        _yield,
        ("rotary",),
    ),
    Rule(
        "bias_square",
        "sewing",
        "The square a length of bias needs",
        "the smallest square, in half inches, whose simulated cut gives the length",
        "One square. Beyond what a width of cloth holds, cut several squares.",
        "geometry, simulated; " + _CHART,
        (_NEED, _STRIP, _SEAM, _SHORT),
        _square,
        ("rotary",),
    ),
    Rule(
        "bias_area",
        "sewing",
        "The square a length of bias needs, by area",
        "side = square root of (length x strip width), up to a whole inch",
        "A first guess: it leaves out joins and short ends, 10 to 40 % on small cloth.",
        "mydecozo.co.uk (250 in of 2 in: a 23 in square); quiltersquestiontime.com (100 in of 3.5 in: 19 in)",
        (_NEED, _STRIP),
        _need_area,
    ),
    Rule(
        "bias_continuous",
        "sewing",
        "Continuous bias out of a square",
        "inside = side - 2 seam allowances; rounds = inside / root 2 / strip width, down; "
        "length = rounds x root 2 x inside",
        "The square is cut once corner to corner, sewn into a slanted tube with two seams, and cut round in one strip.",
        "geometry, as in thebuttonship.blogspot.com 2014-09 (10.4 in, 1 in strips, 1/4 in seams: 7 rounds, 98 in); "
        "gross figure: sew-whats-new.com (36 in, 2 in strips: 648 in)",
        (Ask("side", "side of the square"), _STRIP, Ask("seam", "seam allowance", default="1/4", zero=True)),
        _continuous,
        ("rotary",),
    ),
)
