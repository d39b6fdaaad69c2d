"""Timber: board feet, running length out of boards, sheets with kerf, rough and planed sizes."""

from __future__ import annotations

import math
from fractions import Fraction

from buildlog.errors import BadInput
from buildlog.reckon.book import COMMON, Ask, Cut, Given, Outcome, Rule, choice, count, percent
from buildlog.reckon.layout import Layout
from buildlog.reckon.packing import pack_boards, pack_sheets, sheets_picture
from buildlog.reckon.shop import whole


def _board_feet(g: Given) -> Outcome:
    each = g["thickness"] * g["width"] * g["length"] / 144
    total = each * g["count"]
    bought = total * (1 + g["waste"] / 100)
    out = Outcome()
    out.put("board_feet", total, "board feet, net", "board_foot")
    out.put("with_waste", bought, "board feet with waste", "board_foot")
    out.buys.append(whole("rough timber", bought, "board_foot", Fraction(1), "whole board feet"))
    if g["thickness"] < 1:
        out.remarks.append("stock under 1 in thick is commonly sold as if it were 1 in: ask the yard")
    return out


def _rough(g: Given) -> Outcome:
    sizes = {"thickness": g["thickness"] + g["face"], "width": g["width"] + g["edge"], "length": g["length"] + g["end"]}
    quarters = math.ceil(sizes["thickness"] * 4)
    out = Outcome()
    out.put("thickness", sizes["thickness"], "rough thickness, at least")
    out.put("quarters", quarters, "quarters of an inch to ask for (4 is sold as 4/4)", None)
    out.put("width", sizes["width"], "rough width")
    out.put("length", sizes["length"], "rough length")
    feet = Fraction(quarters, 4) * sizes["width"] * sizes["length"] / 144 * g["count"]
    out.put("board_feet", feet, "board feet, rough", "board_foot")
    out.cuts.append(Cut("rough blank", int(g["count"]), sizes["width"], sizes["length"]))
    out.remarks.append("sizes given are planed; what is bought is rough, and board feet go by the rough size")
    return out


def _boards(g: Given) -> Outcome:
    parts = [(p.name, p.length) for p in g["parts"] for _ in range(p.count)]
    boards = pack_boards(parts, g["board"], g["kerf"])
    total: Fraction = sum((length for _, length in parts), Fraction(0))
    out = Outcome()
    out.put("boards", len(boards), "boards to buy", None)
    out.put("total", total, "length of all parts")
    out.put("waste", len(boards) * g["board"] - total, "left over and sawn away")
    out.cuts = [Cut(p.name, p.count, None, p.length) for p in g["parts"]]
    out.buys.append(whole("boards", Fraction(len(boards))))
    high = max(Fraction(2), g["board"] / 24)
    picture = Layout("Boards", g["board"], len(boards) * high * Fraction(3, 2) - high / 2)
    picture.frames = []
    for row, pieces in enumerate(boards):
        x, y = Fraction(0), row * high * Fraction(3, 2)
        picture.frames.append((Fraction(0), y, g["board"], high))
        for name, length in pieces:
            picture.rect(x, y, length, high, name)
            x += length + g["kerf"]
    out.layout = picture
    naive = math.ceil(total / g["board"])
    if naive < len(boards):
        out.remarks.append(f"the bare lengths add up to {naive} boards: cuts and short ends need {len(boards)}")
    return out


def _sheets(g: Given) -> Outcome:
    if any(p.width is None for p in g["parts"]):
        raise BadInput("sheet parts need a length and a width: 2 @ 20 x 15 in")
    listed = [(p.name, p.count, p.width, p.length) for p in g["parts"] if p.width is not None]
    trim = g["trim"]
    width, height = g["sheet_width"] - 2 * trim, g["sheet_length"] - 2 * trim
    if min(width, height) <= 0:
        raise BadInput("nothing is left of the sheet; give a smaller trim")
    placed = pack_sheets(listed, width, height, g["kerf"], turn=g["grain"] == "any")
    sheets = 1 + max(p.sheet for p in placed)
    area: Fraction = sum((w * length * n for _, n, w, length in listed), Fraction(0))
    out = Outcome()
    out.put("sheets", sheets, "sheets to buy", None)
    share = area / (sheets * g["sheet_width"] * g["sheet_length"]) * 100
    out.put("used", share, "per cent of the sheets used", None, places=0)
    out.cuts = [Cut(p.name, p.count, p.width, p.length) for p in g["parts"]]
    out.buys.append(whole("sheets", Fraction(sheets)))
    out.layout = sheets_picture(placed, width, height, "Sheets, straight through cuts")
    by_area = math.ceil(area / (g["sheet_width"] * g["sheet_length"]))
    if by_area < sheets:
        out.remarks.append(
            f"area alone says {by_area}: the pieces and the kerf need {sheets}; another layout may do better"
        )
    return out


def _kerfs(g: Given) -> Outcome:
    n = int(g["count"])
    out = Outcome()
    out.put("length", n * g["each"] + (n - 1) * g["kerf"], "stock for all pieces and the cuts between")
    out.put("cuts", n - 1, "cuts between pieces", None)
    return out


_KERF = Ask("kerf", "width of a saw cut", default="1/8", zero=True)
_PARTS = "COUNT NAME @ LENGTH; ..."
RULES = (
    Rule(
        "board_feet",
        "woodwork",
        "Board feet",
        "board feet = thickness in x width in x length in / 144, times the number; waste on top",
        "Rough sizes. Thin stock is often charged as 1 in.",
        "woodworkingadvice.com; shipgsl.com (1 in x 12 in x 10 ft = 10)",
        (
            Ask("thickness", "rough thickness"),
            Ask("width", "width"),
            Ask("length", "length"),
            count("count", "boards", "1"),
            percent("waste", "waste in per cent", "0"),
        ),
        _board_feet,
        ("load",),
    ),
    Rule(
        "rough_stock",
        "woodwork",
        "Rough stock for a planed part",
        "rough = planed + what planing and squaring take; thickness up to quarters of an inch",
        "Straight, flat stock; bowed or wide boards need more.",
        "faces: urbanforestmill.com (1/4 in lost: 4/4 nets 3/4, 5/4 nets 1), westernreclaimed.com; edges and ends: "
        + COMMON,
        (
            Ask("thickness", "planed thickness"),
            Ask("width", "planed width"),
            Ask("length", "length"),
            count("count", "parts", "1"),
            Ask("face", "taken off the faces", default="1/4", zero=True),
            Ask("edge", "taken off the edges", default="1/2", zero=True),
            Ask("end", "taken off the ends", default="1", zero=True),
        ),
        _rough,
        ("planer",),
    ),
    Rule(
        "boards",
        "woodwork",
        "Parts out of boards",
        "fewest boards that hold every part and a kerf between; largest first, then a bounded search",
        "All boards one length, full cross-section; defects are not known.",
        "arithmetic; checked by exhaustive search on small lists",
        (Ask("parts", f"parts as cut: {_PARTS}", None, kind="parts"), Ask("board", "length of a board"), _KERF),
        _boards,
        ("saw",),
    ),
    Rule(
        "sheets",
        "woodwork",
        "Parts out of sheets",
        "straight through cuts, a kerf between pieces, by a packing library; the best of nine layouts",
        "Near the fewest, not proved. Grain along the sheet's length keeps the pieces from being turned.",
        "layout by a packing library, proved to overlap nowhere",
        (
            Ask("parts", f"parts as cut: {_PARTS.replace('LENGTH', 'LENGTH x WIDTH')}", None, kind="parts"),
            Ask("sheet_width", "width of a sheet", default="48"),
            Ask("sheet_length", "length of a sheet", default="96"),
            _KERF,
            Ask("trim", "trimmed off every edge first", default="0", zero=True),
            choice("grain", "grain", "along", "any"),
        ),
        _sheets,
        ("saw",),
    ),
    Rule(
        "repeat_cuts",
        "woodwork",
        "Equal pieces out of one length",
        "stock = pieces x length + (pieces - 1) x kerf",
        "No squaring cut at the ends.",
        "arithmetic",
        (count("count", "pieces"), Ask("each", "length of a piece"), _KERF),
        _kerfs,
        ("saw",),
    ),
)
