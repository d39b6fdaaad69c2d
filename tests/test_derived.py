"""Derived amounts: what is sized, from which quantities, and what is no derivation."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from buildlog.tag import derived
from buildlog.tag.derived import Worked
from buildlog.tag.language import english
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


def test_span_and_words() -> None:
    (got,) = read("so the strip is three times the rim of the hat")
    assert got.text == "three times the rim of the hat"
    assert (got.start, got.end) == (4, 11)
