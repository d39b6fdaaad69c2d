"""Short narrations, each of another trade, end in the numbers worked out by hand from their words.

The narrations are in ``reckon_narrations``. The working stands beside each; it was written before anything was run.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from test_reckon_narrations import fitted, found, read

HERE = Path(__file__).parent / "reckon_narrations"
PI = Fraction(314159265358979, 10**14)
IN, FT2, GAL = "inch", "square_foot", "gallon"

# narration: (inputs typed, {figure: (value, unit)}, {what to buy: as shown}).
BY_HAND: dict[str, tuple[dict[str, str], dict[str, tuple[Fraction, str | None]], dict[str, str]]] = {
    # 60 / 4 = 15 pleats of 4 + 4 x 2 = 12 flat: 180, and 1/2 at both ends; 181 / 36 = 5.03 yd
    "01-pleated-valance": (
        {},
        {"pleats": (Fraction(15), None), "flat length": (Fraction(180), IN), "length to cut": (Fraction(181), IN)},
        {"cloth": "5 1/8 yd, or 4.6 m"},
    ),
    # 28 / pi = 8.91; (28 + 2 x 1/2) / pi - 1/2 = 8.73 to cut; + 1/2 + 24 + 1/2 = 33.73, wider than half of 60, so the two
    # quarters lie one above the other: 67.46 in = 1.874 yd
    "02-half-circle-skirt": (
        {},
        {
            "waist radius": (28 / PI, IN),
            "waist radius to cut": (29 / PI - Fraction(1, 2), IN),
            "hem radius to cut": (29 / PI + Fraction(49, 2), IN),
            "cloth": (58 / PI + 49, IN),
        },
        {"cloth": "1 7/8 yd, or 1.8 m"},
    ),
    # 1 x 8 x 72 / 144 = 4 board feet, three times; 12 x 11
    "03-walnut-shelves": (
        {},
        {"board feet": (Fraction(12), "board_foot"), "walnut cost": (Fraction(132), "USD")},
        {},
    ),
    # 72 x 36 / 144 = 18 sq ft; x 3 / 400 = 0.135 gal; a tenth more is 0.1485, 0.594 of a quart
    "04-oiled-table-top": (
        {"coverage": "400 sq ft / gal"},
        {
            "area": (Fraction(18), FT2),
            "finish without waste": (Fraction(27, 200), GAL),
            "finish": (Fraction(297, 2000), GAL),
        },
        {"finish": "1 qt, or 0.75 l"},
    ),
    # 2 x 14 x 12 + 2 x 30 x 2 = 456 sq in = 3 1/6 sq ft; a quarter lost: / 0.75 = 4.22; 4 x 14 = 56 in of thread
    "05-leather-tote": (
        {},
        {"net": (Fraction(19, 6), FT2), "leather": (Fraction(38, 9), FT2), "thread": (Fraction(56), IN)},
        {"leather": "4.25 sq ft"},
    ),
    # 72 x 2.5 = 180; a strip gives 44 - 1/2 = 43 1/2: 4.14, five strips, 217 1/2 in, which is fuller: 3.02. 5 x 5 = 25 in
    "06-ruffled-cushion": (
        {},
        {
            "ruffle": (Fraction(180), IN),
            "ruffle strips": (Fraction(5), None),
            "ruffle of whole strips": (Fraction(435, 2), IN),
            "fullness of whole strips": (Fraction(435, 144), None),
            "cloth": (Fraction(25), IN),
        },
        {"cloth": "3/4 yd, or 0.7 m"},
    ),
    # 30 + 1 + 1 1/4 + 2 x 1/2 = 33 1/4; 2 x 1 1/2 + 2 x 1/2 = 4
    "07-apron-waistband": ({}, {"waistband length": (Fraction(133, 4), IN), "waistband width": (Fraction(4), IN)}, {}),
    # 60 + 8 = 68 by 72 + 8 = 80. 42 wide, 41 in each panel after the first: two panels of 68 in cover the 80; 136 in.
    "08-scrappy-quilt-back": (
        {},
        {
            "panels": (Fraction(2), None),
            "backing": (Fraction(136), IN),
            "batting width": (Fraction(68), IN),
            "batting length": (Fraction(80), IN),
        },
        {"backing": "3 7/8 yd, or 3.5 m"},
    ),
    # 9 - 3/8 - 1/8 (nobody said the gap at the end) = 8 1/2; 2 x 0.90
    "09-zip-pouch": ({}, {"teeth": (Fraction(17, 2), IN), "cost": (Fraction(9, 5), "GBP")}, {}),
    # (96 - 2 x 2) / 12 = 7.7, eight gaps, nine screws; 6 x 14; 96, 96 and 18 1/8 + 18 out of 96 in boards: three
    "10-deck-planter": (
        {"board length": "96 in"},
        {
            "screws": (Fraction(9), None),
            "boards": (Fraction(3), None),
            "parts length": (Fraction(228), IN),
            "cost": (Fraction(84), "USD"),
        },
        {},
    ),
    # 2 x 30 x 11 + 3 x 23 x 11 = 1419 of 48 x 96 = 4608 sq in: one sheet, 30.8 %
    "11-plywood-bookcase": (
        {},
        {"sheets": (Fraction(1), None), "used": (Fraction(141900, 4608), None)},
        {"sheets": "1"},
    ),
    # 32 / 8 = 4; (42 + 2 of ease, nobody said) / 8 = 5 1/2; 90 / 8 = 11 1/4, + 1 1/4 = 12 1/2 to cut; four of them across
    # 54, two rows of 24 + 5/8 + 1 = 25 5/8: 51 1/4 in = 1.42 yd
    "12-gored-skirt": (
        {},
        {
            "gore at the waist": (Fraction(4), IN),
            "gore at the hip": (Fraction(11, 2), IN),
            "gore to cut at the hem": (Fraction(25, 2), IN),
            "cloth": (Fraction(205, 4), IN),
        },
        {"cloth": "1 1/2 yd, or 1.4 m"},
    ),
    # 9 / (2 x 1/8) = 36 folds; each takes two stitches of 1/2: 36 in
    "13-cartridge-sleeve": ({}, {"folds": (Fraction(36), None), "flat length": (Fraction(36), IN)}, {}),
    # 84 + 2 x 4 = 92; 96 up to whole repeats of 25 is 100; 4 x 100 + 25 = 425 in = 11.81 yd, 11 7/8 x 14 = 166.25
    "14-printed-curtains": (
        {},
        {
            "length to cut": (Fraction(92), IN),
            "each length": (Fraction(100), IN),
            "cloth": (Fraction(425), IN),
            "printed cotton cost": (Fraction(665, 4), "USD"),
        },
        {"cloth": "11 7/8 yd, or 10.8 m"},
    ),
    # 26 + 2 x 5/8 = 27 1/4; 2 1/2 + 5/8 + 1/4 to neaten (nobody said) = 3 3/8
    "15-neck-facing": ({}, {"facing length": (Fraction(109, 4), IN), "facing width": (Fraction(27, 8), IN)}, {}),
    # 12 - 2 x 1/8 by 10 - 2 x 1/8
    "16-satchel-flap": (
        {},
        {"interfacing length": (Fraction(47, 4), IN), "interfacing width": (Fraction(39, 4), IN)},
        {},
    ),
    # 28 - 1/2 by 22 + 1
    "17-jacket-lining": ({}, {"lining length": (Fraction(55, 2), IN), "lining width": (Fraction(23), IN)}, {}),
    # two of 20 across 54, two rows of 30: 60; / 0.97 = 61.86; x 1.1 = 68.04 in = 1.89 yd
    "18-velvet-cushions": ({}, {"cloth": (Fraction(6600, 97), IN)}, {"cloth": "2 yd, or 1.8 m"}),
    # 2 + 2 x 1/16 x 10 = 3 1/4 to an inch; 2160 in x 3 1/4 x 1.15 (nobody said) = 8073 in = 224 yd: three spools of 100
    "19-tent-thread": ({}, {"thread": (Fraction(8073), IN), "spools": (Fraction(3), None)}, {}),
    # 26 + 1 1/2 + 2 x 1/2 = 28 1/2; 4 x 1 1/2 = 6
    "20-market-bag-straps": ({}, {"strap length": (Fraction(57, 2), IN), "strap width": (Fraction(6), IN)}, {}),
    # 12 / 5 = 2.4; x 60 = 144; + 2 + 2 x 1/2 = 147
    "21-ruffler-skirt": (
        {},
        {
            "fullness": (Fraction(12, 5), None),
            "strip to feed": (Fraction(144), IN),
            "strip to cut": (Fraction(147), IN),
        },
        {},
    ),
    # 3 x 405 + 2 x 2 = 1219 fits 1220 (with the usual 3.2 mm it would not); 4 x 600 + 3 x 2 = 2406: twelve out of a sheet
    "22-metric-shelves": ({}, {"sheets": (Fraction(1), None)}, {"sheets": "1"}),
    # (44 - 2 x 2) / 6 = 6.7, seven gaps, eight dowels
    "23-dowelled-top": ({}, {"dowels": (Fraction(8), None)}, {}),
    # 2 x 12 x 10 = 240 sq in = 1 2/3 sq ft; / 0.7 = 2.38, sold by quarters: 2 1/2 x 14 = 35
    "24-tool-roll-leather": (
        {},
        {"net": (Fraction(5, 3), FT2), "leather": (Fraction(50, 21), FT2), "leather cost": (Fraction(35), "USD")},
        {"leather": "2.5 sq ft"},
    ),
    # 4 yd / 0.92 = 4.35 yd, sold by eighths: 4 3/8 x 9 = 39.375
    "25-flannel-pyjamas": (
        {},
        {"cloth before washing": (Fraction(3600, 23), IN), "flannel cost": (Fraction(315, 8), "USD")},
        {"cloth": "4 3/8 yd, or 4 m"},
    ),
    # 4 x 1 x 6 x 48 / 144 = 8; x 1.15 = 9.2, whole board feet: 10 x 9
    "26-oak-bench-boards": (
        {},
        {"board feet": (Fraction(8), "board_foot"), "cost": (Fraction(90), "USD")},
        {},
    ),
}


@pytest.mark.parametrize("name", BY_HAND)
def test_narration_ends_in_the_numbers_worked_out_by_hand(name: str) -> None:
    typed, expected, buy = BY_HAND[name]
    results = fitted(read(HERE / f"{name}.txt"), typed)
    got = {figure: found(results, figure) for figure in expected}
    missed = {
        figure: (got[figure], want)
        for figure, want in expected.items()
        if not any(unit == want[1] and abs(value - want[0]) < Fraction(1, 10**9) for value, unit in got[figure])
    }
    assert not missed
    bought = [(p.what, p.buy) for r in results.values() for p in r.shopping]
    for what, shown in buy.items():
        assert any(what in name and shown == amount for name, amount in bought), bought
