"""How much cloth: rows across the width, direction, repeat, shrinkage, a margin; and from one width to another."""

from __future__ import annotations

import functools
import json
import math
from fractions import Fraction
from importlib import resources

from buildlog.errors import BadInput
from buildlog.reckon.book import COMMON, Ask, Cut, Given, Outcome, Rule, choice, percent
from buildlog.reckon.packing import pack_roll
from buildlog.reckon.rules.strips import SELVAGE, WIDTH, usable_width
from buildlog.reckon.shop import YARD_STEP, cloth
from buildlog.reckon.shown import one, up


def _yardage(g: Given) -> Outcome:
    parts = g["parts"]
    if any(p.width is None for p in parts):
        raise BadInput("cloth parts need a length and a width: 2 @ 20 x 15 in")
    repeat = g["repeat"]
    lengthened = [
        (p.name, p.count, p.width, up(p.length, repeat) if repeat else p.length) for p in parts if p.width is not None
    ]
    picture, used = pack_roll(lengthened, usable_width(g), turn=g["nap"] == "either_way" and not repeat)
    with_repeat = used + repeat
    shrunk = with_repeat / (1 - g["shrinkage"] / 100)
    total = shrunk * (1 + g["margin"] / 100)
    out = Outcome()
    out.put("cloth", total, "cloth to buy, at least")
    out.put("laid", used, "length of the layout")
    if repeat:
        out.put("repeat", with_repeat, "with one more repeat to start on the motif")
    if g["shrinkage"]:
        out.put("shrunk", shrunk, "before washing")
    out.cuts = [Cut(p.name, p.count, p.width, p.length) for p in parts]
    out.buys.append(cloth("cloth", total))
    out.layout = picture
    return out


def _drops(g: Given) -> Outcome:
    repeat, n = g["repeat"], int(g["count"])
    cut = up(g["cut"], repeat) if repeat else g["cut"]
    total = n * cut + repeat
    out = Outcome()
    out.put("each", cut, "cut length, whole repeats")
    out.put("waste", cut - g["cut"], "trimmed off each")
    out.put("cloth", total, "cloth along the roll, one repeat to start on")
    out.cuts.append(Cut("length", n, None, cut))
    out.buys.append(cloth("cloth", total))
    return out


def _shrink(g: Given) -> Outcome:
    before = g["wanted"] / (1 - g["shrinkage"] / 100)
    out = Outcome()
    out.put("before", before, "length before washing")
    out.buys.append(cloth("cloth", before))
    return out


def _shrink_test(g: Given) -> Outcome:
    if g["after"] > g["before"]:
        raise BadInput("the swatch grew; swap before and after, or measure it again")
    out = Outcome()
    out.put("shrinkage", (1 - g["after"] / g["before"]) * 100, "shrinkage in per cent", None)
    return out


@functools.cache
def conversion_table() -> tuple[tuple[tuple[int, int], ...], tuple[tuple[Fraction, ...], ...]]:
    """Width bands (from, to, in inches) and rows of yards."""
    data = json.loads(resources.files(__package__).joinpath("width_conversion.json").read_text("utf-8"))
    widths = tuple((int(a), int(b)) for a, b in data["widths_in"])
    return widths, tuple(tuple(Fraction(c) for c in row) for row in data["rows_yd"])


def _column(width: Fraction, *, down: bool) -> int | None:
    """The column of ``width``; between bands the narrower one (for what is bought) or ``None`` outside the table."""
    bands = conversion_table()[0]
    for k, (low, high) in enumerate(bands):
        if low <= width <= high:
            return k
    if down:
        lower = [k for k, (_, high) in enumerate(bands) if high < width]
        return lower[-1] if lower else None
    above = [k for k, (low, _) in enumerate(bands) if low > width]
    return above[0] if above else None


def _convert(g: Given) -> Outcome:
    yards = g["yards"].limit_denominator(10**6)
    old, new = _column(g["from_width"], down=False), _column(g["to_width"], down=True)
    out = Outcome()
    extra = Fraction(1, 4) if g["one_way"] == "yes" else Fraction(0)
    rows = conversion_table()[1]
    row = None
    if old is not None and new is not None:
        row = next((r for r in rows if r[old] >= yards), None)
    if row is not None and old is not None and new is not None:
        answer = row[new] + extra
        if row[old] > yards:
            out.remarks.append("the amount stands between two rows of the table: the larger is taken")
    else:
        answer = up(yards * g["from_width"] / g["to_width"], YARD_STEP) + extra
        out.remarks.append("outside the published table: by area, up to 1/8 yd; lay the pieces out before buying")
    by_area = up(yards * g["from_width"] / g["to_width"], YARD_STEP)
    out.put("yards", answer, "cloth of the other width", "yard")
    out.put("by_area", by_area, "by area alone, up to 1/8 yd", "yard")
    if abs(g["from_width"] - g["to_width"]) >= 12 and not extra:
        out.remarks.append("a large difference in width: the table's page adds 1/4 yd (one_way=yes adds it)")
    out.buys.append(cloth(f"cloth {one(g['to_width'], 'inch')} wide", answer * 36))
    return out


def _margin(g: Given) -> Outcome:
    share = g["need"] * g["margin"] / 100
    total = g["need"] + max(share, g["least"])
    out = Outcome()
    out.put("cloth", total, "cloth with its margin")
    out.put("share", share, "the margin by its share alone")
    if share < g["least"]:
        out.remarks.append("the share is less than the smallest margin, so that is added")
    out.buys.append(cloth("cloth", total))
    return out


def _weight(g: Given) -> Outcome:
    out = Outcome()
    grams = g["ounces"] * Fraction(45359237, 1_600_000) / (Fraction(9144, 10**4) ** 2)
    out.put("gsm", math.floor(grams + Fraction(1, 2)), "grams to the square metre", None)
    out.remarks.append("these are ounces of weight to the square yard; ounces of leather are thickness")
    return out


RULES = (
    Rule(
        "yardage",
        "sewing",
        "Cloth for a list of parts",
        "lay the parts out; add one repeat; divide by (1 - shrinkage); multiply by (1 + margin); up to what "
        "a shop cuts",
        "Rectangles only: shaped pieces often nest closer. With a repeat, lengths go up to whole repeats and "
        "nothing is "
        "turned. Sizes are as cut.",
        "layout by a packing library; repeat: diyideas.com, figuring pattern repeats; margin as a share: "
        + COMMON
        + " (the rule “margin” has the published one); the rest arithmetic",
        (
            Ask("parts", "parts as cut: COUNT NAME @ LENGTH x WIDTH; ...", None, kind="parts"),
            WIDTH,
            SELVAGE,
            choice("nap", "direction of the cloth", "one_way", "either_way"),
            Ask("repeat", "repeat of the print along the roll", default="0", zero=True),
            percent("shrinkage", "shrinkage in per cent"),
            percent("margin", "safety margin in per cent", "5"),
        ),
        _yardage,
        ("rotary",),
    ),
    Rule(
        "repeats",
        "sewing",
        "Lengths that match a print",
        "each = cut length up to whole repeats; cloth = number x each + one repeat",
        "Straight match, widths side by side. A half-drop takes half a repeat more.",
        "diyideas.com, figuring pattern repeats (96 in at a 27 in repeat: 108 in); patemeadows.com (90 at 27: 108)",
        (
            Ask("cut", "length of each as cut, hems included"),
            Ask("repeat", "repeat of the print along the roll", zero=True),
            Ask("count", "how many lengths", None, kind="count", most=Fraction(200)),
        ),
        _drops,
    ),
    Rule(
        "shrinkage",
        "sewing",
        "Cloth before it shrinks",
        "before = wanted / (1 - shrinkage)",
        "One direction; wash a swatch to find the figure.",
        "tools.gera.services, fabric shrinkage (3 yd at 5 %: about 3.16 yd)",
        (Ask("wanted", "length wanted after washing"), percent("shrinkage", "shrinkage in per cent", "3")),
        _shrink,
    ),
    Rule(
        "shrinkage_test",
        "sewing",
        "Shrinkage from a swatch",
        "shrinkage = 1 - after / before",
        "Wash and dry the swatch as the thing will be washed.",
        "arithmetic",
        (Ask("before", "swatch before"), Ask("after", "swatch after")),
        _shrink_test,
    ),
    Rule(
        "width_conversion",
        "sewing",
        "From one width of cloth to another",
        "a published table, looked up; outside of it by area; 1/4 yd more for one-way cloth or a large difference",
        "Garments for grown-ups, whole layouts. For few or large pieces lay them out instead.",
        "sewwithsarah.com fabric conversion chart (second copy: greenspun.com, with a misprint)",
        (
            Ask("yards", "amount the pattern asks for", "yard"),
            Ask("from_width", "width the pattern asks for"),
            Ask("to_width", "width of your cloth"),
            choice("one_way", "one-way cloth, or sleeves cut in one", "no", "yes"),
        ),
        _convert,
    ),
    Rule(
        "margin",
        "sewing",
        "A safety margin",
        "cloth = need + the larger of need x margin and the smallest margin",
        "On top of what is worked out; not twice.",
        "quiltingboard.com, resources, article 32 (1/4 to 1/2 yd more of each cloth: for shrinkage and small errors); as a "
        "share: " + COMMON,
        (
            Ask("need", "cloth needed"),
            percent("margin", "margin in per cent", "0"),
            Ask("least", "smallest margin", default="9", zero=True),
        ),
        _margin,
    ),
    Rule(
        "cloth_weight",
        "sewing",
        "Ounces of cloth in grams",
        "grams to the square metre = ounces x 28.349523125 / 0.83612736",
        "Ounces to the square yard. Some cloth is sold by ounces to the running yard: that is another figure.",
        "factors: international yard and pound, 1959; sixdragontextile.com (7 oz: 237.3 grams)",
        (Ask("ounces", "ounces to the square yard", None, most=Fraction(100)),),
        _weight,
    ),
)
