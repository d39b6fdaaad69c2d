"""What the rules of thumb get wrong, and how long worksheets take.

    uv run python benchmarks/reckon.py

Prints, side by side with the naive formula: how often a run of strips comes out short when the need is divided by the
bare width; how much area over width overstates bias; how often cutting boards by total length is a board short. Then
the time from a log to its worksheets, for the narrations in tests/narrations/dev. Ratios and medians: machines differ.
"""

from __future__ import annotations

import math
import statistics
import time
from fractions import Fraction
from pathlib import Path

from buildlog.intake import Hearing, read_words, sources, words_of
from buildlog.reckon import check_log, fit, worksheets
from buildlog.reckon.packing import pack_boards
from buildlog.reckon.rules.bias import cut_bias, joined
from buildlog.reckon.shop import ceil_div

DEV = Path(__file__).parent.parent / "tests" / "narrations" / "dev"


def strips(seam: Fraction) -> str:
    """Needs of 10 to 400 in by half inches, out of 42 in cloth."""
    needs = [Fraction(n, 2) for n in range(20, 801)]
    loss = 2 * seam
    short = sum(ceil_div(n, Fraction(42)) < math.ceil((n - loss) / (42 - loss)) for n in needs)
    return (
        f"strips, {seam} in seams: need / width is one strip short in {short / len(needs):.1%} of {len(needs)} lengths"
    )


def bias() -> str:
    """Two inch strips out of squares of 10 to 36 in."""
    over = []
    for side in map(Fraction, range(10, 37)):
        net = joined(cut_bias(side, side, Fraction(2), Fraction(6)), Fraction(1, 4))
        over.append(float(side * side / 2 / net - 1))
    return (
        f"bias, 2 in strips: area / width overstates by {min(over):.0%} to {max(over):.0%} (median "
        f"{statistics.median(over):.0%}) on squares of 10 to 36 in"
    )


def boards() -> str:
    """Every pair and triple of lengths from 20 to 50 in, twice each, out of 96 in boards."""
    sizes = [Fraction(s) for s in range(20, 51, 3)]
    lists = [[a, b, c] * 2 for a in sizes for b in sizes for c in sizes if a <= b <= c]
    short = sum(
        math.ceil(sum(sizes_, Fraction(0)) / 96)
        < len(pack_boards([("p", s) for s in sizes_], Fraction(96), Fraction(1, 8)))
        for sizes_ in lists
    )
    return f"boards: total length / board is short in {short / len(lists):.1%} of {len(lists)} cut lists"


def speed() -> str:
    """Log to worksheets, fitted and checked."""
    taken, made = [], 0
    for path in sorted(DEV.glob("*.txt")):
        source = sources([path], None)[0]
        log = read_words(words_of(source, Hearing(model="base", language="en", track=None))[0], path.name)
        begun = time.perf_counter()
        found = worksheets(log)
        for sheet in found:
            fit(sheet)
        check_log(log)
        taken.append(time.perf_counter() - begun)
        made += len(found)
    return f"{made} worksheets out of {len(taken)} narrations, median {statistics.median(taken) * 1000:.0f} ms each"


if __name__ == "__main__":
    for line in (strips(Fraction(1, 4)), strips(Fraction(1, 2)), bias(), boards(), speed()):
        print(line)
