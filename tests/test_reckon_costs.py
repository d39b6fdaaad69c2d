"""Costs: of what one buys, beside that of what one needs, with wastage named; worked out by hand."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_reckon_narrations import read

from buildlog.errors import BadInput
from buildlog.reckon import check_log, fit, from_rule, worksheets
from buildlog.reckon.result import Result


def cost(**given_: str) -> Result:
    return fit(from_rule("cost", given_))


def figure(result: Result, name: str) -> tuple[Fraction, str | None]:
    return next((Fraction(f.exact or 0), f.unit) for f in result.figures if f.name == name or f.label == name)


@pytest.mark.parametrize(
    ("given_", "bought", "paid", "needed"),
    [
        # 2.3 m are sold as such: tenths of a metre
        ({"amount": "2.3 m", "price": "10 GBP / m"}, (Fraction(23, 10), "meter"), Fraction(23), None),
        # 50 in = 1.389 yd, sold by eighths: 1 1/2 yd at 8 = 12; 1.389 x 8 = 11.11
        ({"amount": "50 in", "price": "8 USD / yd"}, (Fraction(3, 2), "yard"), Fraction(12), Fraction(100, 9)),
        # 8 board feet and 15 in a hundred are 9.2: ten, at 9
        (
            {"amount": "8 board_foot", "price": "9 USD / board_foot", "waste": "15"},
            (Fraction(10), "board_foot"),
            Fraction(90),
            Fraction(414, 5),
        ),
        # 2.2 sq ft are sold by quarters: 2 1/4 at 14 = 31.50; 2.2 x 14 = 30.80
        (
            {"amount": "2.2 sqft", "price": "14 USD / sqft"},
            (Fraction(9, 4), "square_foot"),
            Fraction(63, 2),
            Fraction(154, 5),
        ),
        # Sixty screws, fifties at 10 cents each: two packs
        ({"amount": "60", "price": "0.10 USD", "step": "50"}, (Fraction(100), None), Fraction(10), Fraction(6)),
        # Nails are weighed: 1.3 kg at 4 = 5.20
        ({"amount": "1.3 kg", "price": "4 EUR / kg"}, (Fraction(13, 10), "kilogram"), Fraction(26, 5), None),
        # A bare amount goes by the unit of the price
        ({"amount": "3", "price": "11 USD / yd"}, (Fraction(3), "yard"), Fraction(33), None),
    ],
)
def test_what_is_bought_is_paid(
    given_: dict[str, str], bought: tuple[Fraction, str | None], paid: Fraction, needed: Fraction | None
) -> None:
    result = cost(**given_)
    assert figure(result, "bought") == bought
    assert figure(result, "cost with wastage")[0] == paid
    alone = [f for f in result.figures if f.label == "what is needed alone would cost"]
    assert [Fraction(f.exact or 0) for f in alone] == ([] if needed is None else [needed])


def test_both_are_told_where_they_differ() -> None:
    (line,) = cost(amount="50 in", price="8 USD / yd").cost
    assert "12.00 USD for 1 1/2 yd bought" in line
    assert "50 in needed would be 11.12 USD" in line
    (waste,) = cost(amount="8 yd", price="9 USD / yd", waste="15").cost
    assert "15 per cent of wastage" in waste
    (same,) = cost(amount="2 yd", price="9 USD / yd").cost
    assert same == "cost with wastage: 18.00 USD"


@pytest.mark.parametrize(
    "given_",
    [
        {"amount": "2 kg", "price": "4 GBP / m"},
        {"amount": "2 m", "price": "4 GBP / m", "step": "1 kg"},
        {"amount": "0 m", "price": "4 GBP / m"},
        {"amount": "-2", "price": "4"},
        {"amount": "two", "price": "4"},
    ],
)
def test_what_does_not_fit_is_one_clear_line(given_: dict[str, str]) -> None:
    with pytest.raises(BadInput) as caught:
        cost(**given_)
    assert "\n" not in str(caught.value)


amounts = st.fractions(min_value=Fraction(1, 16), max_value=500, max_denominator=64)


@given(amounts, st.sampled_from(["in", "cm", "yd", "m"]), st.sampled_from(["yd", "m"]), st.integers(0, 60))
def test_buying_is_never_too_little_and_hardly_too_much(amount: Fraction, unit: str, per: str, waste: int) -> None:
    result = cost(amount=f"{amount} {unit}", price=f"7 USD / {per}", waste=str(waste))
    bought = figure(result, "bought")[0]
    inches = {"in": Fraction(1), "cm": Fraction(50, 127), "yd": Fraction(36), "m": Fraction(5000, 127)}
    need = amount * inches[unit] * (1 + Fraction(waste, 100))
    step = Fraction(1, 8) if per == "yd" else Fraction(1, 10)
    assert need <= bought * inches[per] < need + step * inches[per]
    assert figure(result, "cost with wastage")[0] == bought * 7


def talk(folder: Path, *sentences: str) -> Path:
    path = folder / "talk.txt"
    path.write_text("".join(f"[0:{k * 7:02}] {s}\n" for k, s in enumerate(sentences)))
    return path


def test_a_sheet_fitted_to_somebody_costs_what_they_buy(tmp_path: Path) -> None:
    """Half a circle: (30 + 1) / pi - 1/2 = 9.37 to cut, + 1/2 + 20 + 1/2 = 30.37, more than half of 60, so two rows of it: 60.74
    in = 1.69 yd, 1 3/4 at 12. A waist of 40: 12.55, + 21 = 33.55, two rows are 67.1 in = 1.86 yd, 1 7/8."""
    log = read(
        talk(
            tmp_path,
            "It's a half circle skirt for a thirty inch waist, twenty inches long.",
            "Seams are half an inch, and the hem is half an inch.",
            "The linen is sixty inches wide and it was twelve dollars a yard.",
        )
    )
    sheet = next(s for s in worksheets(log) if "circle" in s.title)
    assert any("21.00 USD for 1 3/4 yd bought" in line for line in fit(sheet).cost), fit(sheet).cost
    assert any("22.50 USD for 1 7/8 yd bought" in line for line in fit(sheet, {"waist": "40 in"}).cost)


def test_a_pack_costs_a_pack_in_the_sheet_and_in_the_sum(tmp_path: Path) -> None:
    """Twelve out of a bag of twenty are four pounds, not 2.40, and that is the total said."""
    log = read(
        talk(
            tmp_path,
            "The snaps were four pounds for twenty and I used twelve snaps.",
            "So it cost four pounds in total.",
        )
    )
    made = next(s for s in worksheets(log) if s.title == "What it cost")
    assert any(line.endswith("4.00 GBP for 20 bought; the 12 needed would be 2.40 GBP") for line in fit(made).cost)
    assert not [c for c in check_log(log) if c.kind == "total"]
