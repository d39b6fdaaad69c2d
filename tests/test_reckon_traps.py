"""What a naive formula gets wrong. Each trap is a test of its own."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import pytest
from test_reckon_rules import value, work

from buildlog.reckon.rules.bias import cut_bias, joined
from buildlog.reckon.shown import both, one
from buildlog.reckon.units import Amount


def brute_run(n: int, usable: Fraction, seam: Fraction) -> Fraction:
    """Sew n strips one after the other and measure."""
    length = usable
    for _ in range(n - 1):
        length = length - seam + (usable - seam)
    return length


@pytest.mark.parametrize("seam", ["0", "1/4", "1/2"])
def test_open_run_is_the_fewest_strips_that_reach(seam: str) -> None:
    """Against sewing the strips together one by one."""
    s, usable = Fraction(seam), Fraction(42)
    for need in range(5, 420, 7):
        n = int(value(work("strips", need=need, strip_width=2, fabric_width=42, seam=seam), "strips"))
        assert brute_run(n, usable, s) >= need
        assert n == 1 or brute_run(n - 1, usable, s) < need


def test_closed_ring_has_one_join_more_than_an_open_run() -> None:
    """Two 42 in strips with 1/4 in seams: 83 1/2 in open, 83 in as a ring; so 83 1/4 in round takes a third."""
    assert value(work("strips", need="83 1/4", strip_width=2, fabric_width=42), "strips") == 2
    assert value(work("ring", need="83 1/4", strip_width=2, fabric_width=42), "strips") == 3
    assert value(work("ring", need=83, strip_width=2, fabric_width=42), "strips") == 2


def test_bare_width_is_one_strip_short_in_about_one_length_in_ten() -> None:
    """Half inch seams, 42 in cloth, runs of up to ten strips."""
    lengths = [Fraction(n, 2) for n in range(20, 2 * 410)]
    short = sum(
        math.ceil(need / 42) < value(work("strips", need=need, strip_width=2, fabric_width=42, seam="1/2"), "strips")
        for need in lengths
    )
    assert 0.06 < short / len(lengths) < 0.14


def test_that_it_came_out_short_is_told() -> None:
    out = work("strips", need=250, strip_width=2.5, fabric_width=42)
    assert value(out, "strips") == 7
    assert any("bare width gives 6" in r for r in out.remarks)


@pytest.mark.parametrize("side", range(10, 31, 2))
def test_area_overstates_bias_on_small_cloth(side: int) -> None:
    over = value(work("bias_yield", width=side, height=side, strip_width=2), "over")
    assert 5 < over < 45
    if side <= 15:
        assert over >= 10


def test_every_bias_join_loses_and_short_ends_are_left() -> None:
    with_short = cut_bias(Fraction(12), Fraction(12), Fraction(2), Fraction(0))
    kept = cut_bias(Fraction(12), Fraction(12), Fraction(2), Fraction(6))
    assert len(kept) < len(with_short)
    assert joined(kept, Fraction(1, 4)) < joined(kept, Fraction(0))


def test_an_allowance_already_in_the_size_is_not_added_again() -> None:
    finished = work("waistband", waist=28, width=1, ease=0, overlap=0, seam="5/8")
    as_cut = work("waistband", waist=28, width=1, ease=0, overlap=0, seam="5/8", sizes="cut")
    assert value(finished, "length") == 29.25
    assert value(as_cut, "length") == 28
    assert any("not" in r or "no allowance" in r for r in as_cut.remarks)


def test_finished_and_cut_sizes_are_told_apart() -> None:
    """A 5 1/2 in square with 1/4 in seams finishes at 5; six in a row are 30 1/2 as sewn, not 33."""
    out = work("blocks", cut="5 1/2", across=6, down=6)
    assert value(out, "finished") == 5
    assert value(out, "across") == 30.5


def test_whole_strips_give_another_fullness_and_it_is_shown() -> None:
    out = work("ruffle", finished=60, fullness=2, depth=4, fabric_width=44)
    assert out.figures["fullness_got"].amount.base == Fraction(3 * Fraction(87, 2), 60)
    assert any("another fullness" in r for r in out.remarks)


def test_rough_and_planed_thickness() -> None:
    """A planed 3/4 in board is bought, and charged, as 4/4: 4 ft of 5 1/2 in is not 3/4 of the board feet."""
    out = work("rough_stock", thickness="3/4", width="5 1/2", length=48)
    assert value(out, "thickness") == 1
    assert value(out, "board_feet") == pytest.approx(1 * 6 * 49 / 144)


def test_ounces_of_leather_are_thickness_and_ounces_of_cloth_weight() -> None:
    leather, canvas = work("leather_thickness", ounces=10), work("cloth_weight", ounces=10)
    assert leather.figures["thickness"].amount == Amount.of(Fraction(10, 64), "inch")
    assert canvas.figures["gsm"].amount == Amount.of(339)
    assert any("weight" in r for r in leather.remarks)
    assert any("thickness" in r for r in canvas.remarks)


def test_converted_numbers_are_rounded_once_and_exact_inside() -> None:
    """Ten times a third of an inch, back and forth through centimetres, is exactly ten thirds."""
    third = Amount.of(Fraction(1, 3), "inch")
    through = Amount.of(third.value("centimeter"), "centimeter")
    total = sum((through for _ in range(9)), start=through)
    assert total.value("inch") == Fraction(10, 3)
    assert both(total) == "~8.5 cm (3 5/16 in)"


def test_kerf_can_cost_a_board() -> None:
    out = work("boards", parts="2 @ 48", board=96, kerf="1/8")
    assert value(out, "boards") == 2
    assert any("add up to 1 boards" in r for r in out.remarks)
    assert value(work("boards", parts="2 @ 48", board=96, kerf=0), "boards") == 1


def test_fewest_boards_against_trying_every_way() -> None:
    """Every way of giving six parts to boards, for several lists."""
    for sizes in (
        [50, 46, 40, 30, 20, 6],
        [60, 36, 33, 33, 30, 63],
        [31, 31, 31, 33, 33, 33],
        [47, 48, 49, 10, 20, 30],
    ):
        best = len(sizes)
        for where in itertools.product(range(4), repeat=len(sizes)):
            loads: dict[int, float] = {}
            for board, size in zip(where, sizes, strict=True):
                loads[board] = loads.get(board, -0.125) + size + 0.125
            if max(loads.values()) <= 96:
                best = min(best, len(loads))
        parts = "; ".join(f"1 @ {s}" for s in sizes)
        assert value(work("boards", parts=parts, board=96), "boards") == best


def test_what_a_shop_sells_is_always_up_and_shown() -> None:
    buy = work("strips", need=250, strip_width=2.5, fabric_width=42).buys[0]
    assert buy.need == Amount.of(Fraction(35, 2), "inch")
    assert one(buy.bought.value(), buy.bought.unit) == "1/2 yd"
    assert buy.also is not None
    assert one(buy.also.value(), buy.also.unit) == "0.5 m"
    assert "1/8 yd" in buy.step
