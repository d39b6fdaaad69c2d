"""Bare numbers that the trained reader takes for amounts, and units as a laboratory writes them. Values by hand."""

from __future__ import annotations

import numpy as np
import pytest

from buildlog.tag.amounts import read
from buildlog.tag.language import english
from buildlog.tag.reader import Reading
from buildlog.tag.timed import doc_of


def amounts(said: str, vouched: tuple[str, ...] = ()) -> list[tuple[float, str | None, str | None]]:
    """(value, unit, of) of ``said``, where the reader is sure that the words ``vouched`` are amounts."""
    nlp = english()
    doc = doc_of(said, nlp.tokenizer)
    for _, component in nlp.pipeline:
        doc = component(doc)
    layer = np.zeros((len(doc), 3), dtype=np.float32)
    layer[:, :2] = 0.8, 0.2  # a reader in doubt
    for token in doc:
        if token.lower_ in vouched:
            layer[token.i] = (0.05, 0.95, 0.0)
    return [(float(a.value), a.unit, a.of) for a in read(doc, Reading({"amount": layer}, "MTPRX", "")) if a.measured]


@pytest.mark.parametrize(
    ("said", "vouched", "value", "unit", "of"),
    [
        ("I snipped seven of the hoops and that was plenty", ("seven",), 7, None, "hoop"),
        ("we laid the other four and went for tea", ("four",), 4, None, "pieces"),
        ("the slicker and then four hundred, wet, sanding the edge", ("four", "hundred"), 400, None, "grit"),
        ("the neck is 4 inches and the sleeve ends at 19 for me", ("19",), 19, "inch", None),
        ("add six inches. That six is for turning.", ("six",), 6, "inch", None),
    ],
)
def test_the_reader_vouches(
    said: str, vouched: tuple[str, ...], value: float, unit: str | None, of: str | None
) -> None:
    got = amounts(said, vouched)
    assert any(v == value and u == unit and (of is None or of in (o or "")) for v, u, o in got[-1:]), got


@pytest.mark.parametrize(
    "said", ["I've known four of the neighbours for years", "that was four hundred, I said", "she's nineteen now"]
)
def test_without_the_reader_they_are_talk(said: str) -> None:
    assert amounts(said) == []


@pytest.mark.parametrize(
    "said",
    [
        "it came to four plus a bit",
        "chapter four is where we were",
        "three four hundred ply",
        "glue, one part to four of water",
        "a slope of one in four",
    ],
)
def test_a_number_in_a_sum_or_a_name_stays_out(said: str) -> None:
    assert not any(v == 4 for v, _, _ in amounts(said, ("four",)))


# Symbols as the SI brochure (BIPM, 9th edition, table 8 and section 5) writes them.
@pytest.mark.parametrize(
    ("said", "value", "unit"),
    [
        ("Add 50 µL of the mix.", 50, "microliter"),
        ("Add 5uL of water.", 5, "microliter"),
        ("Weigh 1.74 g salt.", 1.74, "gram"),
        ("Vortex it for 30 s.", 30, "second"),
        ("keep it at 37ºC", 37, "degree_Celsius"),
        ("keep it at 56 ºC", 56, "degree_Celsius"),
        ("leave it 2 h", 2, "hour"),
        ("dissolve 3 mg of dye", 3, "milligram"),
        ("centrifuge for 1 min", 1, "minute"),
        ("the shelf takes 7 board feet", 7, "board_foot"),
        ("ground back on the grinder to 25 degrees", 25, "degree"),
    ],
)
def test_written_units(said: str, value: float, unit: str) -> None:
    assert (value, unit) in [(v, u) for v, u, _ in amounts(said)]


def test_letters_that_are_no_units() -> None:
    assert [u for _, u, _ in amounts("two 3s, 3 g clamps and 4 l brackets, back in the 30s")] == [None, None]
