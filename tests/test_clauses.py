"""Clauses: how what is said stands (done, told, planned, imagined ...), in sentences of many crafts."""

from __future__ import annotations

import pytest

from buildlog.tag.clauses import Clause, find_clauses
from buildlog.tag.language import english
from buildlog.tag.timed import doc_of
from buildlog.tag.view import view_of


def clause(text: str, verb: str) -> Clause:
    nlp = english()
    doc = doc_of(text, nlp.tokenizer)
    for _, component in nlp.pipeline:
        doc = component(doc)
    v = view_of(doc)
    found = [c for c in find_clauses(v) if v.low[c.verb] == verb]
    assert found, f"no clause with {verb!r} in {text!r}"
    return found[0]


@pytest.mark.parametrize(
    ("text", "verb", "mode", "negated"),
    [
        ("I glued the blocks to the rail.", "glued", "done", False),
        ("The corners are then clipped.", "clipped", "done", False),
        ("Make sure you score the fold before you bend it.", "score", "told", False),
        ("You want to press that seam flat.", "press", "told", False),
        ("Now we're gonna drill the pilot holes.", "drill", "plan", False),
        ("I went ahead and waxed the thread.", "waxed", "done", False),
        ("I spent the evening caning the seat.", "caning", "done", False),
        ("I'd have used copper nails if I had any left.", "used", "imagined", False),
        ("I was going to line the tray with felt.", "line", "dropped", False),
        ("I thought about using walnut for the knob.", "using", "dropped", False),
        ("I should have basted it first.", "basted", "imagined", False),
        ("As a rule I plane these down by hand.", "plane", "habit", False),
        ("I usually burnish the edge twice.", "burnish", "habit", False),
        ("Don't press the waxed side.", "press", "told", True),
        ("I decided not to varnish the inside.", "varnish", "done", True),
        ("I forgot to oil the hinge.", "oil", "done", True),
        ("I never sanded the back.", "sanded", "done", True),
        ("Could you use denim for this?", "use", "question", False),
        ("If you skip the primer the paint peels.", "skip", "imagined", False),
    ],
)
def test_how_a_clause_stands(text: str, verb: str, mode: str, negated: bool) -> None:
    found = clause(text, verb)
    assert (found.mode, found.negated) == (mode, negated)


@pytest.mark.parametrize(
    ("text", "verb", "agent"),
    [
        ("I laced the two halves together.", "laced", "maker"),
        ("We steamed the ribs for an hour.", "steamed", "maker"),
        ("You fold the end over twice.", "fold", "viewer"),
        ("My grandfather turned these on a pole lathe.", "turned", "other"),
        ("The rim was wrapped with waxed cord.", "wrapped", "none"),
    ],
)
def test_who_does_it(text: str, verb: str, agent: str) -> None:
    assert clause(text, verb).agent == agent


def test_a_chain_shares_its_subject() -> None:
    second = clause("I folded the flap, pinned it and stitched along the edge.", "stitched")
    assert second.agent == "maker"
    assert second.relation == "conj"
    assert second.real


def test_had_and_would_are_told_apart_behind_one_clitic() -> None:
    assert clause("I'd already washed the canvas.", "washed").mode == "done"
    assert clause("I'd have washed the canvas.", "washed").mode == "imagined"
    assert clause("I'd wash the canvas.", "wash").mode == "imagined"


def test_what_was_got_done_is_done_to_the_thing() -> None:
    found = clause("I got the strap riveted before lunch.", "riveted")
    assert found.passive
    assert found.agent == "maker"


def test_real_only_where_nothing_denies_it() -> None:
    assert clause("I sewed the strap on.", "sewed").real
    assert not clause("I never sewed the strap on.", "sewed").real
    assert not clause("I'd have sewn the strap on.", "sewn").real
