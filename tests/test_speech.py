"""Speech cleaned for reading: fillers out, slips mended, the rest untouched, times kept."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildlog.document import Word
from buildlog.tag.speech import clean


def words(text: str) -> list[Word]:
    return [Word(start_s=i * 0.4, end_s=i * 0.4 + 0.35, text=t) for i, t in enumerate(text.split())]


def cleaned(text: str) -> str:
    given_words = words(text)
    return " ".join(w.text for w in clean(given_words, [0] * len(given_words)).words)


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("um so I er cut the rail", "so I cut the rail"),
        ("it's sort of lumpy", "it's lumpy"),
        ("what sort of glue is it", "what sort of glue is it"),
        ("a kind of putty", "a kind of putty"),
        ("it was, you know, a bit tight", "it was, a bit tight"),
        ("you know what that means", "you know what that means"),
        ("i cut the the tenon", "I cut the tenon"),
        ("very very thin", "very very thin"),
    ],
)
def test_fillers_and_stutters(said: str, meant: str) -> None:
    assert cleaned(said) == meant


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("dont press it till im back", "don't press it till I'm back"),
        ("thats the hinge. Its a brass one", "that's the hinge. It's a brass one"),
        ("theyre cut and ill sand its edge", "they're cut and I'll sand its edge"),
        ("lets turn it over", "let's turn it over"),
        ("it lets the glue breathe and its neighbour too", "it lets the glue breathe and its neighbour too"),
        ("the cant of the deck made me feel ill all day", "the cant of the deck made me feel ill all day"),
    ],
)
def test_apostrophes_that_captions_leave_out(said: str, meant: str) -> None:
    assert cleaned(said) == meant


def test_a_statement_before_no_is_not_cut_in_the_middle() -> None:
    said = "Snip the cord and melt the end. No, you don't melt the end, you whip it."
    assert cleaned(said) == said


@pytest.mark.parametrize(
    ("said", "gone", "kept"),
    [
        ("I planed the, no, I sanded the lid first", "planed", "sanded the lid first"),
        ("Seven, no, eight rivets.", "Seven", "eight rivets."),
        ("it wants twelve, sorry, fourteen inches of cord", "twelve", "fourteen inches"),
        ("cut them at nine no wait eleven inches", "nine", "eleven inches"),
        ("Don't wax it. I tell a lie, do wax the outside.", "Don't", "do wax the outside."),
    ],
)
def test_the_last_word_wins(said: str, gone: str, kept: str) -> None:
    result = cleaned(said)
    assert gone not in result
    assert kept in result


@pytest.mark.parametrize(
    "said",
    [
        "no interfacing in this one, no pins",
        "So next week, cushions! No, not cushions.",
        "I said no, and I meant it",
        "there are two rows, then two more rows",
        "sorry about the noise, the neighbour is mowing",
        "the lid I cut while nobody was filming, sorry, the card was full",
    ],
)
def test_what_is_no_slip_stays(said: str) -> None:
    assert cleaned(said) == said


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("First thing I did was run it through the thicknesser", "I run it through the thicknesser"),
        ("what you want to do is press that open", "you want to press that open"),
        ("so what I did was I glued the lot", "so I glued the lot"),
        ("The next thing we're going to do is clamp it", "we're going to clamp it"),
        ("the last thing you do is trim the edge", "you trim the edge"),
        ("you know what I did was wrong", "you know what I did was wrong"),
        ("what I like is oak", "what I like is oak"),
        ("what do you do with it", "what do you do with it"),
    ],
)
def test_frames_around_the_doing_go(said: str, meant: str) -> None:
    assert cleaned(said) == meant


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("It was one and a half. Inches in from the edge.", "It was one and a half inches in from the edge."),
        ("Overlap it an inch. And a quarter, then sew.", "Overlap it an inch and a quarter, then sew."),
        ("It was an inch. And a half of them broke.", "It was an inch. And a half of them broke."),
        ("I cut five. Then I rested.", "I cut five. Then I rested."),
    ],
)
def test_full_stops_inside_an_amount_go(said: str, meant: str) -> None:
    assert cleaned(said) == meant


def test_times_stay_with_their_words() -> None:
    given_words = words("um I glued it")
    left = clean(given_words, [0] * 4).words
    assert [w.start_s for w in left] == [w.start_s for w in given_words[1:]]


def test_sentence_starts_only_where_there_are_no_full_stops() -> None:
    bare = words("okay so now i glued the lid down and then i clamped it overnight and then i left the thing alone")
    marked = words("I glued the lid down. And then I clamped it overnight. And then I left the thing alone.")
    assert clean(bare, [0] * len(bare)).starts
    assert not clean(marked, [0] * len(marked)).starts


def starts(text: str, pause_after: str, pause_s: float) -> set[int]:
    """Starts of sentences where the speaker is silent for ``pause_s`` after the word ``pause_after``."""
    timed, at = [], 0.0
    for t in text.split():
        timed.append(Word(start_s=at, end_s=at + 0.3, text=t))
        at += 0.4 + (pause_s if t == pause_after else 0.0)
    return clean(timed, [0] * len(timed)).starts


def test_a_pause_inside_a_sentence_does_not_end_it() -> None:
    marked = "I glued it. I said no more stripes this time. Then I clamped it. It dried. I sanded the lid and left it."
    assert not starts(marked, "no", 2.0)
    assert not starts(marked, "stripes", 2.0)
    assert starts(marked, "stripes", 8.0) == {8}
    bare = "i glued the lid down it looked fine to me so i left it there overnight i sanded it smooth"
    assert starts(bare, "down", 2.0) >= {5}
    assert 4 not in starts(bare, "lid", 0.2)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), min_size=0, max_size=8), max_size=40))
def test_anything_goes_through(texts: list[str]) -> None:
    given_words = [Word(start_s=float(i), end_s=i + 0.5, text=t) for i, t in enumerate(texts)]
    out = clean(given_words, list(range(len(texts))))
    assert len(out.words) == len(out.line_of) <= len(texts)
    assert all(0 < i < len(out.words) for i in out.starts)
