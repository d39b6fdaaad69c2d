"""Links owed and advice to search: sentences first, then how things are named and where."""

from __future__ import annotations

import pytest
from notes_cases import cases, parsed, scored

from buildlog.tag.promises import GENERAL, find_promises, find_searches, promises


@pytest.mark.parametrize(("name", "recall", "precision"), [("promises", 0.97, 0.97), ("promises_fresh", 0.97, 0.92)])
def test_promises_of_the_worked_on_sentences(name: str, recall: float, precision: float) -> None:
    hit = gold = found = named = 0
    misses = []
    for case in cases(name):
        got = find_promises(parsed(case["text"]))
        hit += min(len(got), len(case["what"]))
        gold += len(case["what"])
        found += len(got)
        if len(got) != len(case["what"]):
            misses.append(f"{case['text']} -> {[p.what for p in got]}")
        named += all(any(w.lower() in p.what.lower() for p in got) for w in case["what"])
    r, p = scored(hit, gold, found)
    assert r >= recall, misses
    assert p >= precision, misses
    assert named / len(cases(name)) >= 0.85


def test_promises_of_the_hard_sentences() -> None:
    rows = [(len(find_promises(parsed(c["text"]))), len(c["what"])) for c in cases("promises_third")]
    hit = sum(min(a, b) for a, b in rows)
    r, p = scored(hit, sum(b for _, b in rows), sum(a for a, _ in rows))
    assert r >= 0.75
    assert p >= 0.92


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("I bought a marking knife and a small square last week. Both are linked below.", ["marking knife", "square"]),
        ("There's a lovely free chart for this. It's in the description.", ["chart"]),
        ("The tracing is in the description along with the buckle.", ["tracing", "buckle"]),
        ("Parts list and whatever else I promised is linked down below.", ["parts list", GENERAL]),
    ],
)
def test_each_thing_meant_is_owed_by_itself(text: str, what: list[str]) -> None:
    got = [p.what for p in find_promises(parsed(text))]
    assert len(got) == len(what)
    assert all(w in g for w, g in zip(what, got, strict=True)), got


def test_the_same_thing_promised_twice_is_owed_once() -> None:
    doc = parsed("I'll link the cutting mat. It is a good one. I'll link the cutting mat below, as I said.")
    assert [p.what for p in find_promises(doc)] == ["cutting mat"]


def test_a_promise_knows_its_tokens_and_times() -> None:
    doc = promises(parsed("First we cut the cloth. The pattern is in the description."))
    (promise,) = doc._.promises
    assert doc[promise.what_start : promise.what_end].text == "The pattern"
    assert promise.text == "The pattern is in the description."
    assert promise.start_s == pytest.approx(5 / 2.5)  # five words before it at 2.5 words a second


def test_no_promise_in_a_denial() -> None:
    assert find_promises(parsed("I won't put the pattern in the description because it isn't mine.")) == []


def test_searches() -> None:
    for case in cases("searches"):
        got = [s.words for s in find_searches(parsed(case["text"]))]
        assert got == ([case["words"]] if case["words"] else []), case["text"]


def test_search_advice_is_no_link_owed() -> None:
    doc = promises(parsed("It is out of print, so search for 'apron pattern with pockets'."))
    assert doc._.promises == []
    assert doc._.searches[0].words == "apron pattern with pockets"
