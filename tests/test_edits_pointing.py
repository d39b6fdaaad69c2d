"""Pointing at one word: the name of a thing or the amount that it belongs to."""

from __future__ import annotations

import pytest

from buildlog.edits.pointing import around, next_left_out


def meant(text: str) -> str:
    """The words meant by pointing at the one with a caret before it."""
    words = text.split()
    at = next(n for n, w in enumerate(words) if w.startswith("^"))
    words[at] = words[at][1:]
    found = around(words, at)
    return " ".join(words[found.first : found.last + 1])


@pytest.mark.parametrize(
    ("text", "name"),
    [
        # From the head or from what stands before it; articles, prepositions and verbs are outside.
        ("then I took the waxed ^canvas to the bench", "waxed canvas"),
        ("then I took the ^waxed canvas to the bench", "waxed canvas"),
        ("we glue the ^plywood to a frame", "plywood"),
        ("I sanded ^pine for an hour", "pine"),
        ("you want a good bone ^folder here", "bone folder"),
        # A mark of punctuation ends a name, however well the next word would fit.
        ("that is oak, ^walnut and ash", "walnut"),
        ("so take the ^rasp. File work comes later", "rasp."),
        # How many there are is no part of the name.
        ("hold it with two ^clamps across", "clamps"),
        ("there are 12 ^rivets in that", "rivets"),
        # Where nothing is known, the word alone.
        ("and ^then we go", "then"),
    ],
)
def test_a_name(text: str, name: str) -> None:
    assert meant(text) == name


@pytest.mark.parametrize(
    ("text", "said", "value", "unit"),
    [
        ("cut it two and a ^half inches wide", "two and a half inches", 2.5, "inch"),
        ("it takes ^three yards of lawn", "three yards", 3.0, "yard"),
        ("a ^quarter inch seam is plenty", "a quarter inch", 0.25, "inch"),
        ("bake at ^180 degrees for that", "180 degrees", 180.0, "degree_Celsius"),
    ],
)
def test_an_amount(text: str, said: str, value: float, unit: str) -> None:
    words = text.split()
    at = next(n for n, w in enumerate(words) if w.startswith("^"))
    words[at] = words[at][1:]
    found = around(words, at)
    assert found.amount is not None
    assert (" ".join(words[found.first : found.last + 1]), found.amount.value, found.amount.unit) == (said, value, unit)


def test_what_was_left_out_is_neither_taken_nor_known() -> None:
    words = "I planed the oak with a jack plane then glue and a pencil and the plane again".split()
    taken = {3, 6, 7}
    found = []
    after = -1
    while (hit := next_left_out(words, after, taken.__contains__, ["oak", "jack plane"])) is not None:
        found.append(" ".join(words[hit.first : hit.last + 1]))
        after = hit.last
    assert "pencil" in found
    assert not [f for f in found if "plane" in f or "oak" in f]


def test_hostile_words_are_only_words() -> None:
    words = ["\x1b[31m", "", "\u202e", "½" * 500, "x" * 2000, "漢字", "1/0", "0/0", "🧵"]
    for at in range(len(words)):
        found = around(words, at)
        assert 0 <= found.first <= at <= found.last < len(words)
