"""Derived amounts: what is sized, from which quantities, and what is no derivation."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from buildlog.tag import derived
from buildlog.tag.derived import Worked
from buildlog.tag.language import english
from buildlog.tag.reader import Reading
from buildlog.tag.timed import doc_of

CASES = [
    json.loads(line)
    for line in (Path(__file__).parent / "amounts" / "derived.jsonl").read_text(encoding="utf-8").splitlines()
]


def read(text: str) -> list[Worked]:
    """The derived amounts of a tagged sentence."""
    nlp = english()
    doc = doc_of(text, nlp.tokenizer)
    for _, component in nlp.pipeline:
        doc = component(doc)
    return derived.read(doc)


@pytest.mark.parametrize("case", CASES, ids=lambda c: c["said"][:40])
def test_case(case: dict[str, Any]) -> None:
    got = read(case["said"])
    if case["inputs"] is None:
        assert got == []
        return
    assert [d.inputs for d in got] == [case["inputs"]]
    if case["result"]:
        assert case["result"] in got[0].result


@pytest.mark.parametrize(
    ("said", "formula"),
    [
        ("the strip is three times the rim", "3 x rim"),
        ("the belt is the chest plus three inches", "chest + 3 inch"),
        ("the panel is a third of the width", "width / 3"),
        ("the edge is two thirds of the width", "2 x width / 3"),
        ("cut it one and a half times the hem", "1.5 x hem"),
        ("take your hip plus four and divide by four", "(hip + 4) / 4"),
    ],
)
def test_formula(said: str, formula: str) -> None:
    assert [d.formula for d in read(said)] == [formula]


@pytest.mark.parametrize(
    ("said", "result", "inputs"),
    [
        ("For the width I go the core around and then half an inch for the seam.", "width", ["round the core"]),
        ("The weft is about a third of a warp.", "weft", ["warp"]),
        ("The hinge sits a third of the way down.", "hinge position", ["height"]),
        ("The sleeve is the same length as the front.", "sleeve length", ["front"]),
        ("The left set sits half a space lower than the right.", "offset", ["space"]),
        ("How many pegs? Two for every rail end.", "number of pegs", ["number of rail end"]),
        ("Size the mitres first. Half water, half glue.", "mix", ["water", "glue"]),
        ("You pick up two stitches for every three rows.", "number of stitches", ["number of rows"]),
        ("You soak it a day for every foot.", "soaking time", ["length"]),
    ],
)
def test_what_needs_the_readers_word(said: str, result: str, inputs: list[str]) -> None:
    """Wordings that are often no sum: without the trained reader nothing, with its assent a derived amount."""
    nlp = english()
    doc = doc_of(said, nlp.tokenizer)
    for _, component in nlp.pipeline:
        doc = component(doc)
    layer = np.tile(np.array([0.1, 0.0, 0.9], dtype=np.float32), (len(doc), 1))
    assert derived.read(doc) == []
    assert [(d.result, d.inputs) for d in derived.read(doc, Reading({"D": layer}, "", "D"))] == [(result, inputs)]


def test_that_is_what_the_sum_before_came_to() -> None:
    """ "That" takes the name of what was worked out just before, not of a sum that is long past or of a plain figure."""
    first, second = read("The collar is your neck plus two inches, and the stand is half of that.")
    assert (first.result, first.inputs) == ("collar", ["neck"])
    assert (second.result, second.formula, second.inputs) == ("stand", "collar / 2", ["collar"])
    assert [
        d.inputs for d in read("The seat is sixteen wide at the front, and the back is three quarters of that.")
    ] == [["that"]]


def test_a_share_is_of_what_was_worked_out_before() -> None:
    """ "Divide it" goes back to the last sum, and so does the next share after it."""
    nlp = english()
    doc = doc_of(
        "The strap is the wrist less the case. Then you divide it. Two thirds for the long side, with thirty extra. "
        "And a third for the short side.",
        nlp.tokenizer,
    )
    for _, component in nlp.pipeline:
        doc = component(doc)
    layer = np.tile(np.array([0.1, 0.0, 0.9], dtype=np.float32), (len(doc), 1))
    assert [(d.result, d.formula) for d in derived.read(doc, Reading({"D": layer}, "", "D"))] == [
        ("strap", "wrist - case"),
        ("long side", "0.666667 x strap + 30"),
        ("short side", "strap / 3"),
    ]


def test_and_goes_on_with_the_thing_of_the_sum_before() -> None:
    """ "... and the drop plus ten" is of the same cloth."""
    assert [
        (d.result, d.inputs)
        for d in read("The cloth is the width plus six inches for the side hems and the drop plus ten inches.")
    ] == [("cloth", ["width"]), ("cloth", ["drop"])]


def test_a_doubtful_share_needs_something_that_is_sized() -> None:
    assert read("Half of the leaves came off when I bent it, so I did the rest with wire.") == []


def test_span_and_words() -> None:
    (got,) = read("so the strip is three times the rim of the hat")
    assert got.text == "three times the rim of the hat"
    assert (got.start, got.end) == (4, 11)
