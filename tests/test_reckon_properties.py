"""Properties that hold for any inputs, tried with hypothesis."""

from __future__ import annotations

import itertools
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from buildlog.document import Derived, Line, Log, Measurement
from buildlog.errors import BadInput
from buildlog.reckon import check_log, fit, worksheets
from buildlog.reckon.book import Outcome, apply
from buildlog.reckon.packing import pack_boards, pack_roll, pack_sheets, prove
from buildlog.reckon.rules import rule
from buildlog.reckon.rules.bias import cut_bias, joined, smallest_square
from buildlog.reckon.units import Amount

SMALL = settings(max_examples=40, deadline=None)


def lengths(low: int, high: int, parts: int = 8) -> st.SearchStrategy[Fraction]:
    return st.integers(low * parts, high * parts).map(lambda n: Fraction(n, parts))


def work(name: str, given_: dict[str, Amount | str]) -> Outcome:
    return apply(rule(name), given_)[0]


def inches(**values: Fraction) -> dict[str, Amount | str]:
    return {k: Amount.of(v, "inch") for k, v in values.items()}


@SMALL
@given(lengths(4, 200), lengths(1, 4), lengths(0, 3), lengths(20, 60))
def test_more_fullness_never_needs_less_cloth(
    finished: Fraction, fullness: Fraction, more: Fraction, width: Fraction
) -> None:
    def cloth(f: Fraction) -> Fraction:
        out = work(
            "ruffle",
            {
                **inches(finished=finished, depth=Fraction(4), fabric_width=width),
                "fullness": Amount.of(f),
            },
        )
        return out.figures["cloth"].amount.base

    assert cloth(fullness + more) >= cloth(fullness)


@SMALL
@given(lengths(10, 400), lengths(1, 5), lengths(20, 60))
def test_changing_units_changes_nothing(need: Fraction, strip: Fraction, width: Fraction) -> None:
    in_inches = inches(need=need, strip_width=strip, fabric_width=width)
    in_metric = {
        k: Amount.of(v.value("millimeter"), "millimeter") for k, v in in_inches.items() if isinstance(v, Amount)
    }
    for name in ("strips", "ring"):
        a, b = work(name, in_inches), work(name, dict(in_metric))
        assert {k: f.amount.base for k, f in a.figures.items()} == {k: f.amount.base for k, f in b.figures.items()}


@SMALL
@given(lengths(1, 600), lengths(1, 5), lengths(10, 60), st.sampled_from(["straight", "diagonal"]))
def test_buying_the_strips_is_always_enough(need: Fraction, strip: Fraction, width: Fraction, join: str) -> None:
    for name in ("strips", "ring"):
        try:
            out = work(name, {**inches(need=need, strip_width=strip, fabric_width=width), "join": join})
        except BadInput:
            assert width <= strip  # only a strip as wide as the cloth cannot be joined
            continue
        assert out.figures["run"].amount.base >= Amount.of(need, "inch").base
        buy = out.buys[0]
        assert buy.bought.base >= buy.need.base
        assert buy.also is not None
        assert buy.also.base >= buy.need.base


@SMALL
@given(lengths(8, 40, 2), lengths(8, 60, 2), lengths(1, 4, 4))
def test_bias_is_never_more_than_the_area_holds(w: Fraction, h: Fraction, strip: Fraction) -> None:
    strips = cut_bias(w, h, strip, Fraction(4))
    assert joined(strips, Fraction(1, 4)) * strip <= w * h
    bounds = sorted((s.near, s.far) for s in strips)
    assert all(a[1] <= b[0] for a, b in itertools.pairwise(bounds))
    assert all(0 <= near < far <= w + h for near, far in bounds)


@settings(max_examples=20, deadline=None)
@given(lengths(20, 300, 1), lengths(1, 4, 2))
def test_the_square_gives_the_bias_asked_for(need: Fraction, strip: Fraction) -> None:
    side = smallest_square(need, strip, Fraction(1, 4), Fraction(6))
    assert joined(cut_bias(side, side, strip, Fraction(6)), Fraction(1, 4)) >= need


PARTS = st.lists(
    st.tuples(st.integers(1, 4), lengths(1, 40, 4), lengths(1, 40, 4)), min_size=1, max_size=6
)  # fmt: skip


@SMALL
@given(PARTS, st.booleans())
def test_a_layout_on_cloth_never_overlaps_and_never_exceeds_the_width(
    parts: list[tuple[int, Fraction, Fraction]], turn: bool
) -> None:
    width = Fraction(44)
    listed = [(f"p{k}", n, w, h) for k, (n, w, h) in enumerate(parts)]
    picture, used = pack_roll(listed, width, turn=turn)
    boxes = [(s.points[0], s.points[2]) for s in picture.shapes]
    assert len(boxes) == sum(n for n, _, _ in parts)
    for k, ((x1, y1), (x2, y2)) in enumerate(boxes):
        assert 0 <= x1 < x2 <= width
        assert 0 <= y1 < y2 <= used
        for (a1, b1), (a2, b2) in boxes[k + 1 :]:
            assert x2 <= a1 or a2 <= x1 or y2 <= b1 or b2 <= y1
    area = sum(n * w * h for n, w, h in parts)
    assert used * width >= area


@settings(max_examples=20, deadline=None)
@given(PARTS, st.sampled_from([Fraction(0), Fraction(1, 8)]), st.booleans())
def test_a_layout_on_sheets_keeps_its_kerf(
    parts: list[tuple[int, Fraction, Fraction]], kerf: Fraction, turn: bool
) -> None:
    placed = pack_sheets(
        [(f"p{k}", n, w, h) for k, (n, w, h) in enumerate(parts)], Fraction(48), Fraction(96), kerf, turn=turn
    )
    prove(placed, Fraction(48), Fraction(96), kerf)
    got = sorted(tuple(sorted((p.width, p.height))) for p in placed)
    assert got == sorted(tuple(sorted((w, h))) for n, w, h in parts for _ in range(n))


@SMALL
@given(st.lists(lengths(1, 90, 4), min_size=1, max_size=14), st.sampled_from([Fraction(0), Fraction(1, 8)]))
def test_boards_hold_their_parts(sizes: list[Fraction], kerf: Fraction) -> None:
    boards = pack_boards([(f"p{k}", s) for k, s in enumerate(sizes)], Fraction(96), kerf)
    for board in boards:
        assert sum(s for _, s in board) + kerf * (len(board) - 1) <= 96
    assert sorted(n for b in boards for n, _ in b) == sorted(f"p{k}" for k in range(len(sizes)))


@SMALL
@given(st.integers(-(10**6), 10**6), st.integers(1, 64), st.sampled_from(["inch", "yard", "centimeter", "foot"]))
def test_an_amount_goes_through_any_unit_unchanged(top: int, bottom: int, unit: str) -> None:
    amount = Amount.of(Fraction(top, bottom), "inch")
    assert Amount.of(amount.value(unit), unit) == Amount(amount.base, amount.dims, unit)


WORDS = st.lists(
    st.sampled_from(
        [
            *("hip x plus + - / ( ) 3 2.5 1/2 inch cm kg widths é ½".split()),
            # Words that open a trade or name one of its inputs.
            *(
                "box pleat,gores,circle skirt,waist,backing,quilt top,by,coats,board feet,thick,wide,long,zip".split(
                    ","
                )
            ),
            *("opening,waistband,seam,boards,deep,finished,spool,square feet,strip width,spacing,holes".split(",")),
        ]
    ),
    max_size=9,
).map(" ".join)


@SMALL
@given(
    st.lists(st.tuples(WORDS, WORDS, st.floats(0, 600, allow_nan=False), WORDS), max_size=4),
    st.lists(st.tuples(st.floats(0, 600), st.sampled_from([None, "inch", "yard", "degF", "volt"]), WORDS), max_size=6),
)
def test_no_log_brings_a_traceback(
    derived: list[tuple[str, str, float, str]], said: list[tuple[float, str | None, str]]
) -> None:
    """Any formula and any amounts: sheets, or one line of what is wrong."""
    log = Log(
        transcript=[Line(start_s=0, end_s=600, text=" ".join(d[3] for d in derived) or "hm")],
        derived=[
            Derived(id=f"d{k}", start_s=t, text=text, result=result or "it", formula=formula, inputs=["hip"])
            for k, (formula, result, t, text) in enumerate(derived)
        ],
        measurements=[
            Measurement(id=f"m{k}", start_s=v, text=of or "one", value=round(v, 3), unit=unit, of=of or None)
            for k, (v, unit, of) in enumerate(said)
        ],
    )
    check_log(log)
    for sheet in worksheets(log):
        told = None
        try:
            fit(sheet, {q.name: "3 in" for q in sheet.quantities if q.origin == "asked" and q.unit == "inch"})
        except BadInput as error:
            told = str(error)
        assert told is None or "\n" not in told
