"""Strips cut across the cloth and joined: an open run, a closed ring, pieces out of a width."""

from __future__ import annotations

import math
from fractions import Fraction

from buildlog.errors import BadInput
from buildlog.reckon.book import Ask, Cut, Given, Outcome, Rule, choice, count
from buildlog.reckon.layout import Layout
from buildlog.reckon.shop import ceil_div, cloth

WIDTH = Ask("fabric_width", "width of the cloth")
SELVAGE = Ask("selvage", "both selvages together, cut off", default="0", zero=True)
SA = Ask("seam", "seam allowance of a join", default="1/4", zero=True)
_LAYOUT_ROWS = 60


def usable_width(g: Given) -> Fraction:
    """The cloth's width less its selvages. Raises :class:`BadInput` where nothing is left."""
    usable: Fraction = g["fabric_width"] - g["selvage"]
    if usable <= 0:
        raise BadInput("the selvages are as wide as the cloth; give a wider fabric_width or a smaller selvage")
    return usable


def _loss(g: Given) -> Fraction:
    """What each join costs in length. A diagonal join sewn corner to corner costs one strip width."""
    loss: Fraction = g["strip_width"] if g["join"] == "diagonal" else 2 * g["seam"]
    return loss


def strips_picture(n: int, strip_width: Fraction, g: Given, title: str) -> Layout:
    """``n`` strips across the width, stacked."""
    drawn = min(n, _LAYOUT_ROWS)
    picture = Layout(title, g["fabric_width"], drawn * strip_width)
    edge = g["selvage"] / 2
    usable = g["fabric_width"] - g["selvage"]
    for row in range(drawn):
        if edge:
            picture.rect(Fraction(0), row * strip_width, edge, strip_width, kind="waste")
            picture.rect(g["fabric_width"] - edge, row * strip_width, edge, strip_width, kind="waste")
        picture.rect(edge, row * strip_width, usable, strip_width, f"strip {row + 1}")
    if drawn < n:
        picture.note = f"the first {drawn} of {n} strips"
    return picture


def _strips(g: Given, *, ring: bool) -> Outcome:
    usable, loss, need = usable_width(g), _loss(g), g["need"]
    if usable <= loss:
        raise BadInput("the cloth is narrower than what one join takes; give a wider cloth or a narrower strip")
    if ring:
        n = ceil_div(need, usable - loss)
        run = n * (usable - loss)
    else:
        n = max(1, math.ceil((need - loss) / (usable - loss)))
        run = n * usable - (n - 1) * loss
    out = Outcome()
    out.put("strips", n, "strips to cut", None)
    out.put("run", run, "length of the joined run" if not ring else "length of the ring before trimming")
    out.put("spare", run - need, "left over")
    out.put("cloth", n * g["strip_width"], "cloth along the roll")
    out.cuts.append(Cut("strip across the width", n, g["strip_width"], usable))
    out.buys.append(cloth("cloth", n * g["strip_width"]))
    bare = ceil_div(need, usable)
    if bare < n:
        out.remarks.append(f"dividing by the bare width gives {bare}: the joins cost one strip more")
    out.layout = strips_picture(n, g["strip_width"], g, "Strips across the cloth")
    return out


def _pieces(g: Given) -> Outcome:
    """Equal pieces in rows across the cloth."""
    usable, w, h, n = usable_width(g), g["piece_width"], g["piece_length"], g["count"]
    across = math.floor(usable / w)
    if not across:
        raise BadInput("the cloth is narrower than one piece; give a wider fabric_width or turn the piece")
    rows = -(-n // across)
    out = Outcome()
    out.put("across", across, "pieces side by side", None)
    out.put("rows", rows, "rows", None)
    out.put("cloth", rows * h, "cloth along the roll")
    out.cuts.append(Cut("piece", n, w, h))
    out.buys.append(cloth("cloth", rows * h))
    drawn = min(rows, _LAYOUT_ROWS)
    picture = Layout("Pieces across the cloth", g["fabric_width"], drawn * h)
    for k in range(min(n, drawn * across)):
        picture.rect(g["selvage"] / 2 + k % across * w, k // across * h, w, h, str(k + 1))
    out.layout = picture
    return out


_JOIN = choice("join", "how strips are joined", "straight", "diagonal")
_ASKS = (
    Ask("need", "length of the joined run, with what its ends turn in"),
    Ask("strip_width", "width of a strip as cut"),
    WIDTH,
    SELVAGE,
    SA,
    _JOIN,
)

RULES = (
    Rule(
        "strips",
        "sewing",
        "Strips for an open run",
        "strips = (need - one join) / (usable width - one join), up to a whole strip; a straight join takes two seam "
        "allowances, a diagonal one the width of the strip",
        "Strips cut straight across; the run is not closed. The need is the length as cut, ends and corners included.",
        "n strips have n - 1 joins: arithmetic; diagonal join: crayonboxquiltstudio.com (two 3 in x 10 in make 17 in); "
        "worked edges: sylviasquiltdepot, castillejacotton",
        _ASKS,
        lambda g: _strips(g, ring=False),
        ("rotary",),
    ),
    Rule(
        "ring",
        "sewing",
        "Strips for a closed ring",
        "strips = need / (usable width - one join), up to a whole strip",
        "Strips cut straight across; the last is joined to the first, so there are as many joins as strips. "
        "The need is "
        "the way round, measured on the seam.",
        "n strips in a ring have n joins: arithmetic; castillejacotton (220 / (40 - 2) = 5.79, 6 strips)",
        _ASKS,
        lambda g: _strips(g, ring=True),
        ("rotary",),
    ),
    Rule(
        "pieces",
        "sewing",
        "Equal pieces out of a width",
        "side by side = usable width / piece width, down; rows = pieces / side by side, up; cloth = rows x "
        "piece length",
        "All pieces lie the same way. Sizes are as cut: an allowance is not added again.",
        "arithmetic",
        (
            count("count", "how many pieces"),
            Ask("piece_width", "width of a piece as cut, across the cloth"),
            Ask("piece_length", "length of a piece as cut, along the roll"),
            WIDTH,
            SELVAGE,
        ),
        _pieces,
        ("rotary",),
    ),
)
