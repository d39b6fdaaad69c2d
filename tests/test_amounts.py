"""Amounts read from speech: the case files, kinds, places, prices, and what must not come out."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from loaded import module_at

from buildlog.tag import amounts
from buildlog.tag.amounts import Amount
from buildlog.tag.language import english
from buildlog.tag.timed import doc_of

BENCH = module_at("benchmarks/amounts.py")


@pytest.fixture(scope="module")
def tagged() -> Any:
    return BENCH.pipeline()


def untagged(text: str) -> list[Amount]:
    """The amounts of ``text`` with no tags and no parse: the component must do without."""
    return amounts.read(doc_of(text, english().tokenizer))


@pytest.mark.parametrize(
    ("name", "least"),
    [("spoken", 0.95), ("recognised", 0.95), ("second", 0.95), ("third", 0.85), ("fourth", 0.8), ("fifth", 0.97)],
)
def test_case_file(name: str, least: float, tagged: Any) -> None:
    cases = BENCH.read_cases(name)
    judged = [BENCH.judge(c["want"], amounts.read(tagged(c["said"]))) for c in cases]
    wrong = [c["said"] for c, (right, _) in zip(cases, judged, strict=True) if not right]
    assert sum(right for right, _ in judged) >= least * len(cases), wrong
    assert [c["said"] for c, (_, silent) in zip(cases, judged, strict=True) if silent] == []


def test_case_judge_can_fail() -> None:
    got = untagged("cut it five inches wide")
    assert BENCH.judge(["5 inch"], got) == (True, False)
    assert BENCH.judge(["6 inch"], got) == (False, True)
    assert BENCH.judge(["5 inch", "2"], got) == (False, False)
    assert BENCH.judge([], got) == (False, True)


@pytest.mark.parametrize(
    ("said", "value", "unit"),
    [
        ("a hundred and twenty millimetres long", Fraction(120), "millimeter"),
        ("two hundred and fifty grams of butter", Fraction(250), "gram"),
        ("one thousand two hundred millimetres long", Fraction(1200), "millimeter"),
        ("three point two millimetres thick", Fraction(16, 5), "millimeter"),
        ("point five of a millimetre", Fraction(1, 2), "millimeter"),
        ("nine sixteenths of an inch", Fraction(9, 16), "inch"),
        ("two and three quarter inches", Fraction(11, 4), "inch"),
        ("a five thirty-seconds inch gap", Fraction(5, 32), "inch"),
        ("a yard and a half of it", Fraction(3, 2), "yard"),
        ("three quarters of a yard of it", Fraction(3, 4), "yard"),
        ("half of an inch from the fold", Fraction(1, 2), "inch"),
        ("a third of a cup of sugar", Fraction(1, 3), "cup"),
    ],
)
def test_exact_values(said: str, value: Fraction, unit: str) -> None:
    got = untagged(said)
    assert [(a.value, a.unit) for a in got] == [(value, unit)]


def test_place_and_words_are_kept() -> None:
    (got,) = untagged("so I cut about three and five eighths inches off the end")
    assert got.text == "three and five eighths inches"
    assert (got.start, got.end) == (4, 9)
    assert got.approximate


def test_of_token_points_at_the_noun() -> None:
    doc = doc_of("six long strips of the linen", english().tokenizer)
    (got,) = amounts.read(doc)
    assert got.of_token is not None
    assert doc[got.of_token].text == "strips"


@pytest.mark.parametrize(
    ("said", "kind", "of"),
    [
        ("stitch length of two and a half", "setting", "stitch length"),
        ("sanded up to two twenty", "setting", "grit"),
        ("eighty grit first", "setting", "grit"),
        ("a five eighths seam", "measurement", "seam allowance"),
        ("three coats of varnish", "count", "coats"),
        ("a number two edge beveller", "size", "edge beveller"),
        ("twice the depth of the box", "ratio", None),
    ],
)
def test_kind_and_what_it_is_of(said: str, kind: str, of: str | None) -> None:
    (got,) = untagged(said)
    assert (got.kind, got.of) == (kind, of)


@pytest.mark.parametrize(
    "said",
    [
        "in this second part we carry on",
        "one of these days",
        "I have told you a hundred times",
        "back in 1987 my uncle had a shop",
        "three friends came round",
        "give me five minutes of your time ago",
        "I'll be with you in a second",
        "on the one hand and on the other",
        "twenty years ago",
        "she is number one on my list",
        "a few bits and some thread",
    ],
)
def test_not_amounts(said: str) -> None:
    assert [a for a in untagged(said) if a.measured or a.kind == "size"] == []


@pytest.mark.parametrize(
    ("said", "value", "currency", "per"),
    [
        ("it cost four ninety-nine", Fraction(499, 100), None, None),
        ("they're two dollars fifty each", Fraction(5, 2), "USD", "each"),
        ("it was a tenner", Fraction(10), "GBP", None),
        ("eleven pounds a metre", Fraction(11), "GBP", "metre"),
        ("40p each at the stall", Fraction(2, 5), "GBP", "each"),
        ("£7 for 50", Fraction(7), "GBP", "50"),
    ],
)
def test_prices(said: str, value: Fraction, currency: str | None, per: str | None) -> None:
    (got,) = untagged(said)
    assert (got.kind, got.value, got.currency, got.per) == ("price", value, currency, per)


def test_pounds_are_weight_or_money_by_context() -> None:
    assert [(a.kind, a.unit) for a in untagged("two pounds of flour")] == [("measurement", "pound")]
    assert [(a.kind, a.currency) for a in untagged("it cost me two pounds")] == [("price", "GBP")]


def test_total() -> None:
    (got,) = untagged("altogether I've spent about 30 euros")
    assert (got.kind, got.value, got.currency, got.approximate) == ("total", Fraction(30), "EUR", True)


def test_component_sets_the_extension() -> None:
    doc = amounts.amounts(doc_of("two inches", english().tokenizer))
    assert [a.value for a in doc._.amounts] == [2]


@pytest.mark.parametrize(
    "text", ["", " ", "5", "a", "inch", "- / - 5 /", "½", "1/0 inch", "£", "five by", "between two and", "9" * 400]
)
def test_odd_text_does_not_raise(text: str) -> None:
    assert isinstance(untagged(text), list)
