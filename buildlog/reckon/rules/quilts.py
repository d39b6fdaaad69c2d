"""Quilts: batting, backing, binding's length, squares for triangles."""

from __future__ import annotations

import math
from fractions import Fraction

from buildlog.errors import BadInput
from buildlog.reckon.book import COMMON, Ask, Cut, Given, Outcome, Rule, count
from buildlog.reckon.layout import Layout
from buildlog.reckon.rules.strips import SELVAGE, WIDTH, usable_width
from buildlog.reckon.shop import cloth

_W = Ask("width", "width of the quilt top")
_L = Ask("length", "length of the quilt top")


def _batting(g: Given) -> Outcome:
    out = Outcome()
    out.put("width", g["width"] + 2 * g["margin"], "batting, across")
    out.put("length", g["length"] + 2 * g["margin"], "batting, along")
    out.cuts.append(Cut("batting", 1, g["width"] + 2 * g["margin"], g["length"] + 2 * g["margin"]))
    return out


def _panels(across: Fraction, along: Fraction, usable: Fraction, seam: Fraction) -> tuple[int, Fraction]:
    """Panels side by side to reach ``across``, and cloth for them."""
    if across <= usable:
        return 1, along
    n = math.ceil((across - 2 * seam) / (usable - 2 * seam))
    return n, n * along


def _backing(g: Given) -> Outcome:
    usable, seam = usable_width(g), g["seam"]
    if usable <= 2 * seam:
        raise BadInput("the cloth is narrower than a seam; give a wider fabric_width")
    across, along = g["width"] + 2 * g["margin"], g["length"] + 2 * g["margin"]
    upright, upright_cloth = _panels(across, along, usable, seam)
    level, level_cloth = _panels(along, across, usable, seam)
    use_level = level_cloth < upright_cloth
    n, need, length = (level, level_cloth, across) if use_level else (upright, upright_cloth, along)
    out = Outcome()
    out.put("cloth", need, "backing cloth along the roll")
    out.put("panels", n, "panels, seams " + ("across the quilt" if use_level else "along the quilt"), None)
    out.put("width", across, "backing, across")
    out.put("length", along, "backing, along")
    out.put("upright", upright_cloth, "with seams along the quilt")
    out.put("level", level_cloth, "with seams across the quilt")
    out.cuts.append(Cut("panel", n, usable, length))
    out.buys.append(cloth("backing", need))
    picture = Layout("Backing panels on the cloth", g["fabric_width"], need)
    for k in range(n):
        picture.rect(g["selvage"] / 2, k * length, usable, length, f"panel {k + 1}")
    out.layout = picture
    return out


def _binding(g: Given) -> Outcome:
    out = Outcome()
    out.put("need", 2 * (g["width"] + g["length"]) + g["extra"], "length of binding to make")
    out.remarks.append("give this as the need of strips (or bias_square): the extra is in it already")
    return out


def _triangles(g: Given) -> Outcome:
    n = int(g["count"])
    squares = -(-n // 2)
    cut = g["finished"] + g["add"]
    usable = usable_width(g)
    across = math.floor(usable / cut)
    if not across:
        raise BadInput("the cloth is narrower than one square; give a wider fabric_width")
    rows = -(-squares // across)
    out = Outcome()
    out.put("square", cut, "square to cut, sliced corner to corner")
    out.put("squares", squares, "squares", None)
    out.put("cloth", rows * cut, "cloth along the roll")
    out.cuts.append(Cut("square for two triangles", squares, cut, cut))
    out.buys.append(cloth("cloth", rows * cut))
    picture = Layout("Squares on the cloth", g["fabric_width"], min(rows, 60) * cut)
    for k in range(min(squares, 60 * across)):
        picture.rect(g["selvage"] / 2 + k % across * cut, k // across * cut, cut, cut, str(k + 1))
    out.layout = picture
    return out


def _blocks(g: Given) -> Outcome:
    cut, seam = g["cut"], g["seam"]
    finished = cut - 2 * seam
    if finished <= 0:
        raise BadInput("the seams take the whole piece; give a larger piece or a smaller seam")
    out = Outcome()
    out.put("finished", finished, "finished size of one")
    out.put("across", g["across"] * finished + 2 * seam, "row as sewn, outer allowances still there")
    out.put("down", g["down"] * finished + 2 * seam, "column as sewn, outer allowances still there")
    return out


RULES = (
    Rule(
        "batting",
        "quilting",
        "Batting",
        "batting = quilt top + margin on every side",
        "A machine quilter may ask for more: their own figure goes first.",
        "bellaonline.com, quilt backings (about 4 in on all sides for a long-arm); margin: " + COMMON,
        (_W, _L, Ask("margin", "margin on every side", default="4", zero=True)),
        _batting,
    ),
    Rule(
        "backing",
        "quilting",
        "Quilt backing",
        "panels = (top + 2 margins - 2 allowances) / (usable width - 2 allowances), up; the cheaper direction is taken",
        "Whole widths joined side by side, one direction of seams.",
        "bellaonline.com, quilt backings (72 x 90 in top, 42 in cloth: two lengths of 94 in)",
        (
            _W,
            _L,
            Ask("margin", "margin on every side", default="4", zero=True),
            WIDTH,
            SELVAGE,
            Ask("seam", "seam allowance", default="1/2", zero=True),
        ),
        _backing,
    ),
    Rule(
        "quilt_binding",
        "quilting",
        "Length of binding round a quilt",
        "need = 2 x (width + length) + extra for corners and the join",
        "Square corners.",
        "perimeter and an extra: barnswallowquilters.wordpress.com (15 in), quicktipssewing.blogspot.com 2011-11 (24 in); 10 in: "
        + COMMON,
        (_W, _L, Ask("extra", "extra for corners and the join", default="10", zero=True)),
        _binding,
    ),
    Rule(
        "half_square_triangles",
        "quilting",
        "Squares for triangles",
        "square = finished size + 7/8 in (a quarter inch seam); one square makes two triangles",
        "Half-square triangles sewn with a quarter inch seam; another seam needs another addition.",
        "geometry: 2 x 1/4 in + 1/4 in x root 2, up to 1/8 in; quilterscache.com (4 in finished: 4 7/8)",
        (
            count("count", "how many triangles"),
            Ask("finished", "finished short side"),
            Ask("add", "added to the finished size", default="7/8"),
            WIDTH,
            SELVAGE,
        ),
        _triangles,
        ("rotary",),
    ),
    Rule(
        "blocks",
        "quilting",
        "Finished and cut sizes of pieces in rows",
        "finished = cut - 2 seams; row = pieces x finished + 2 seams",
        "Straight rows and columns of equal pieces.",
        "arithmetic",
        (
            Ask("cut", "size of a piece as cut"),
            Ask("seam", "seam allowance", default="1/4"),
            count("across", "pieces in a row"),
            count("down", "rows"),
        ),
        _blocks,
    ),
)
