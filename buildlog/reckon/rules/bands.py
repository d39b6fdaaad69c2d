"""Waistbands, straps, casings' elastic: a length, what overlaps, and allowances that are added once."""

from __future__ import annotations

from fractions import Fraction

from buildlog.errors import BadInput
from buildlog.reckon.book import Ask, Cut, Given, Outcome, Rule, choice, count
from buildlog.reckon.rules.strips import SELVAGE, WIDTH, usable_width
from buildlog.reckon.shop import ceil_div, cloth

SIZES = choice("sizes", "whether the sizes given are finished or as cut", "finished", "cut")
_SEAM = Ask("seam", "seam allowance", default="1/2", zero=True)


def allowance(g: Given) -> Fraction:
    """The seam allowance to add to each edge: none where the sizes are as cut already."""
    return Fraction(0) if g["sizes"] == "cut" else g["seam"]


def _waistband(g: Given) -> Outcome:
    extra = allowance(g)
    length = g["waist"] + g["ease"] + g["overlap"] + 2 * extra
    width = (2 * g["width"] if g["layers"] == "folded" else g["width"]) + 2 * extra
    out = Outcome()
    out.put("length", length, "length to cut")
    out.put("width", width, "width to cut")
    out.cuts.append(Cut("waistband", 1 if g["layers"] == "folded" else 2, width, length))
    out.cuts.append(Cut("interfacing", 1, width - 2 * extra, length - 2 * extra))
    out.remarks.append("interfacing is listed without allowances; keep them if its maker says so")
    if g["sizes"] == "cut":
        out.remarks.append("sizes were given as cut: no allowance is added again")
    return out


def _strap(g: Given) -> Outcome:
    extra = allowance(g)
    length = g["length"] + g["overlap"] + g["tab"] + 2 * extra
    layers = {"folded_once": 2, "folded_in_four": 4, "webbing": 1}[g["make"]]
    n = int(g["count"])
    out = Outcome()
    out.put("length", length, "length to cut, each")
    if g["make"] == "webbing":
        out.put("width", g["width"], "width of the webbing")
        out.put("total", n * length, "webbing in all")
        out.cuts.append(Cut("strap", n, None, length))
        out.buys.append(cloth("webbing", n * length))
        return out
    width = layers * g["width"] + (2 * extra if layers == 2 else 0)
    usable = usable_width(g)
    out.put("width", width, "width to cut, each")
    out.cuts.append(Cut("strap", n, width, length))
    if length <= usable:
        across = max(1, usable // length)
        out.buys.append(cloth("cloth, straps across it", -(-n // across) * width))
    else:
        across = usable // width
        if across < 1:
            raise BadInput("the cloth is narrower than a strap is wide; give a wider fabric_width")
        out.buys.append(cloth("cloth, straps along the roll", ceil_div(Fraction(n), Fraction(across)) * length))
    return out


def _elastic(g: Given) -> Outcome:
    length = g["body"] - g["less"] + g["overlap"]
    if length <= 0:
        raise BadInput("nothing is left of the elastic; give a larger body measure or take less off")
    out = Outcome()
    out.put("length", length, "elastic to cut, with its overlap")
    out.put("casing", g["width"] + g["room"] + g["fold"], "casing to turn over in all")
    out.buys.append(cloth("elastic", length))
    return out


RULES = (
    Rule(
        "waistband",
        "sewing",
        "A waistband",
        "length = waist + ease + overlap + 2 allowances; width = 2 x finished width + 2 allowances (folded)",
        "A straight band. Overlap is under- and overlap together.",
        "imaprincessblog.wordpress.com 2013-05-20 (26.5 in, overlap 1/2, width 1 1/4, allowances 1 in: 29 x 4 1/2); "
        "ease: retroglam.wordpress.com 2013-11-10 (24 + 1 + 3/4 = 25 3/4)",
        (
            Ask("waist", "waist where the band sits"),
            Ask("width", "finished width of the band"),
            Ask("ease", "ease", default="1", zero=True),
            Ask("overlap", "under- and overlap together", default="1 1/4", zero=True),
            _SEAM,
            choice("layers", "one folded piece or two", "folded", "two"),
            SIZES,
        ),
        _waistband,
        ("iron",),
    ),
    Rule(
        "strap",
        "sewing",
        "Straps and ties",
        "length = finished + overlap + tab + 2 allowances; width = 2 x finished + 2 allowances, 4 x finished "
        "(folded in "
        "four), or the webbing's own",
        "Edges folded in four need no allowance along the length. A tab is what is sewn under or looped over "
        "a fitting.",
        "the-littlest-thistle.com 2015-02 (folded in four: 1, 1 1/2, 2 in finished from 4, 6, 8 in); lengths: arithmetic",
        (
            Ask("length", "length of a strap, finished"),
            Ask("width", "finished width", default="1"),
            Ask("overlap", "overlap", default="0", zero=True),
            Ask("tab", "tab or loop, in all", default="0", zero=True),
            _SEAM,
            count("count", "how many", "1"),
            choice("make", "how it is made", "folded_once", "folded_in_four", "webbing"),
            Ask(WIDTH.name, WIDTH.says, default="42"),
            SELVAGE,
            SIZES,
        ),
        _strap,
    ),
    Rule(
        "elastic",
        "sewing",
        "Elastic and its casing",
        "elastic = body - what is taken off + overlap; casing = elastic width + room + fold",
        "How much to take off depends on the elastic: try it on before sewing.",
        "mavenpatterns.co.uk, loungewear (about 2 in smaller than the waist, 1 in of overlap); room of 1/8 in: dressmakers' "
        "standards, mysuitshop.com ASDP_standards23",
        (
            Ask("body", "body measure"),
            Ask("less", "taken off", default="2", zero=True),
            Ask("overlap", "overlap of the ends", default="1", zero=True),
            Ask("width", "width of the elastic", default="1"),
            Ask("room", "room in the casing", default="1/8", zero=True),
            Ask("fold", "edge folded under", default="1/2", zero=True),
        ),
        _elastic,
    ),
)
