"""Ten narrations and the sample film end in worksheets whose numbers were worked out by hand, from the words alone.

The figures below were written down before the code that finds them; each has its working beside it.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from buildlog.document import Log
from buildlog.reckon import fit, worksheets
from buildlog.reckon.result import Result

HERE = Path(__file__).parent
DEV = HERE / "narrations" / "dev"

# narration: (inputs typed, {quantity: (value, unit)}).
BY_HAND: dict[str, tuple[dict[str, str], dict[str, tuple[Fraction, str | None]]]] = {
    # neck / 6; nape to ankle less two inches; 3 m at 11 a metre
    "01-hooded-cloak": (
        {"neck": "16 in", "nape to ankle bone": "54 in"},
        {
            "neck radius": (Fraction(8, 3), "inch"),
            "length": (Fraction(52), "inch"),
            "brushed cotton cost": (Fraction(33), "GBP"),
        },
    ),
    # 2 x 2 1/2 + 1 1/8 + 5/8 on each side = 7 3/8, the width said; four times a 9 inch seam, "call it a yard"
    "02-pruner-holster": (
        {"handle width": "2 1/2 in", "thickness": "1 1/8 in"},
        {"width": (Fraction(59, 8), "inch"), "thread": (Fraction(36), "inch")},
    ),
    # hip 40 + 6 = 46; x 1.5 = 69; x 2 = 138; waist 30 - 2
    "03-gathered-petticoat": (
        {"hip": "40 in", "waist": "30 in"},
        {
            "top tier width": (Fraction(46), "inch"),
            "middle": (Fraction(69), "inch"),
            "bottom": (Fraction(138), "inch"),
            "elastic": (Fraction(28), "inch"),
        },
    ),
    # 4 x 60 + 10 = 250; (250 - 1/2) / (42 - 1/2) = 6.01, seven strips, one more than 250 / 42 = 5.95 says.
    # 36 squares of 5 7/8: 7 across 42 (41 1/8), 6 rows, 35 1/4 in. 36 of 5 1/2 (5 is the finished size): 6 rows, 33 in.
    "04-signature-quilt": (
        {"four sides": "240 in", "fabric width": "42 in"},
        {
            "binding": (Fraction(250), "inch"),
            "binding strips": (Fraction(7), None),
            "squares rows": (Fraction(6), None),
            "squares cloth": (Fraction(141, 4), "inch"),
        },
    ),
    # an inch all round is two inches more; three metres of webbing at 1.20
    "05-drop-in-seat": (
        {"frame": "16 in"},
        {"hessian": (Fraction(18), "inch"), "jute cost": (Fraction(18, 5), "GBP")},
    ),
    # two sides of fourteen inches, one cut: 28 1/8 out of a 36 inch board
    "06-candle-box": (
        {"board length": "36 in"},
        {"boards": (Fraction(1), None), "parts length": (Fraction(28), "inch")},
    ),
    # 4 x 33 1/4 + 2 x 48 + 4 x 18 5/8 = 303 1/2; two 48s and a kerf do not fit 96, so four boards
    "07-potting-bench": (
        {"board length": "96 in"},
        {"boards": (Fraction(4), None), "parts length": (Fraction(607, 2), "inch")},
    ),
    # 7 + 1/8; + 3/4 on every side = 8 5/8; 1 1/2 x 2 mm; 7 in x 6 signatures
    "08-travel-sketchbook": (
        {"page": "7 in", "board thickness": "2 mm", "spine": "7 in"},
        {
            "boards": (Fraction(57, 8), "inch"),
            "cloth": (Fraction(69, 8), "inch"),
            "corners": (Fraction(3), "millimeter"),
            "thread length": (Fraction(42), "inch"),
        },
    ),
    # (4.5 V - 3 V) / 20 mA = 75 ohm, the figure said; 12 resistors at 3 cents
    "09-jar-night-light": (
        {},
        {"resistor": (Fraction(75), "ohm"), "resistors cost": (Fraction(36, 100), "USD")},
    ),
    # 26 - 2; 28 1/2 / 3 + 5 = 14 1/2; 90 in of 2 in bias: a 14 in square gives 2 (17.8 + 13.8 + 9.8) - 5 x 0.71 = 79.3,
    # a 14 1/2 in one 2 (18.51 + 14.51 + 10.51 + 6.51) - 7 x 0.71 = 95.1
    "10-greyhound-coat": (
        {"coat measure": "26 in", "bias length": "90 in"},
        {
            "coat": (Fraction(24), "inch"),
            "belly strap": (Fraction(29, 2), "inch"),
            "bias square side": (Fraction(29, 2), "inch"),
        },
    ),
}


def read(path: Path) -> Log:
    from buildlog.intake import Hearing, read_words, sources, words_of

    source = sources([path], None)[0]
    words, _ = words_of(source, Hearing(model="base", language="en", track=None))
    return read_words(words, source.path.name)


def fitted(log: Log, typed: dict[str, str]) -> dict[str, Result]:
    """Each worksheet fitted with those of ``typed`` that it knows."""
    results = {}
    for sheet in worksheets(log):
        known = {q.name for q in sheet.quantities}
        results[sheet.id] = fit(sheet, {k: v for k, v in typed.items() if k in known})
    return results


def found(results: dict[str, Result], name: str) -> list[tuple[Fraction, str | None]]:
    return [
        (Fraction(figure.exact), figure.unit)
        for result in results.values()
        for figure in result.figures
        if (figure.name in (name, f"{name} length") or figure.name.endswith(f" {name}")) and figure.exact is not None
    ]


@pytest.mark.parametrize("name", BY_HAND)
def test_narration_ends_in_the_numbers_worked_out_by_hand(name: str) -> None:
    typed, expected = BY_HAND[name]
    results = fitted(read(DEV / f"{name}.txt"), typed)
    got = {quantity: found(results, quantity) for quantity in expected}
    missed = {q: (got[q], want) for q, want in expected.items() if want not in got[q]}
    assert not missed


def test_sample_film() -> None:
    """16 + 2 = 18; 3 x 16 = 48, the figures said; two straps of 48; two yards at eleven dollars."""
    results = fitted(read(HERE.parent / "sample_media" / "log-carrier.truth.vtt"), {})
    for name, want in {
        "handle": (Fraction(18), "inch"),
        "strap": (Fraction(48), "inch"),
        "waxed canvas cost": (Fraction(22), "USD"),
    }.items():
        assert want in found(results, name), name
