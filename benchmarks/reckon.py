"""What the rules of thumb get wrong, and how long worksheets take.

    uv run python benchmarks/reckon.py

Prints, side by side with the naive formula: how often a run of strips comes out short when the need is divided by the
bare width; how much area over width overstates bias; how often cutting boards by total length is a board short. Then
how many of the wordings in tests/reckon_wordings.toml come to the figures worked out by hand, beside the same rules fed
with the amounts in the order said; and the time from a log to its worksheets, for the narrations in
tests/narrations/dev. Ratios and medians: machines differ.
"""

from __future__ import annotations

import math
import statistics
import tempfile
import time
import tomllib
from fractions import Fraction
from pathlib import Path

from buildlog.document import Log, Worksheet
from buildlog.errors import BuildlogError
from buildlog.intake import Hearing, read_words, sources, words_of
from buildlog.reckon import check_log, fit, rule, rules, worksheets
from buildlog.reckon.book import apply
from buildlog.reckon.known import amount_of
from buildlog.reckon.packing import pack_boards
from buildlog.reckon.rules.bias import cut_bias, joined
from buildlog.reckon.shop import ceil_div
from buildlog.reckon.units import Amount, unit_of

WORDINGS = Path(__file__).parent.parent / "tests" / "reckon_wordings.toml"
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


RULE_OF = {
    "cartridge": "cartridge_pleats", "kerf": "sheets", "dowels": "pitch", "leather": "leather_area", "interfacing": "follow",
    "lining": "follow",
}  # fmt: skip


def in_order(log: Log, name: str) -> list[Fraction]:
    """The figures of the rule ``name`` where its inputs are the amounts in the order said, each the next that fits."""
    book = rule(name)
    given: dict[str, Amount] = {}
    left = [m for m in log.measurements if m.value > 0 and m.value_max is None and m.unit != "percent"]
    for ask in (a for a in book.asks if a.default is None):
        dims = unit_of(ask.unit)[1] if ask.unit else ()
        fits = next((m for m in left if (unit_of(m.unit)[1] if m.unit else ()) == dims), None)
        if fits is None:
            return []
        left.remove(fits)
        given[ask.name] = amount_of(fits)
    try:
        return [f.amount.base for f in apply(book, given)[0].figures.values()]
    except BuildlogError:
        return []


def listening() -> str:
    """Wordings of the trades: every figure right, ours and with the amounts in the order said."""
    ours = naive = rows = 0
    with tempfile.TemporaryDirectory() as folder:
        for trade, said in tomllib.loads(WORDINGS.read_text("utf-8")).items():
            name = RULE_OF.get(trade, trade)
            for row in said:
                rows += 1
                path = Path(folder) / "said.txt"
                lines = row["said"].replace(". ", ".\n").split("\n")
                path.write_text("".join(f"[{k // 10}:{k % 10 * 6:02}] {text}\n" for k, text in enumerate(lines)))
                log = read_words(
                    words_of(sources([path], None)[0], Hearing(model="base", language="en", track=None))[0], "said"
                )
                wanted = {f: Fraction(v) for f, v in row["figures"].items()}
                made = [f for sheet in worksheets(log) for f in figures(sheet)]
                ours += all(any(n.endswith(f) and v == x for n, v, _ in made) for f, x in wanted.items())
                ordered = in_order(log, name) if name in rules() else []
                units = {f: next((u for n, v, u in made if n.endswith(f) and v == x), None) for f, x in wanted.items()}
                naive += all(Amount.of(x, units[f]).base in ordered for f, x in wanted.items())
    return f"wordings: {ours / rows:.0%} of {rows} come to the figures worked out by hand; amounts in the order said {naive / rows:.0%}"


def figures(sheet: Worksheet) -> list[tuple[str, Fraction, str | None]]:
    """Name, value and unit of all that is worked out of ``sheet``."""
    try:
        return [(f.name, Fraction(f.exact), f.unit) for f in fit(sheet).figures if f.exact and f.origin == "computed"]
    except BuildlogError:
        return []


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
    for line in (strips(Fraction(1, 4)), strips(Fraction(1, 2)), bias(), boards(), listening(), speed()):
        print(line)
