"""Punctuation put where speech was written without it, and taken where it cuts a sentence in two. Talk invented here."""

from __future__ import annotations

import numpy as np
import pytest

from buildlog.document import Line, Word
from buildlog.tag.pipeline import punctuated, tag
from buildlog.tag.punctuating import punctuate
from buildlog.tag.speech import clean


def spoken(text: str, words_per_s: float = 2.5) -> list[Word]:
    return [Word(start_s=i / words_per_s, end_s=(i + 1) / words_per_s, text=t) for i, t in enumerate(text.split())]


def heard(text: str) -> str:
    words = spoken(text)
    return " ".join(w.text for w in punctuated(clean(words, [0] * len(words)))[0])


BARE = (
    "okay so today it's the lid of the tea chest i cut the panel out of birch ply last night and i sanded both faces with "
    "one twenty then i glued the batten to the underside and clamped it while that dried i drilled the holes for the hinges "
    "they're three millimetres deep and i chamfered the rim with a block plane"
)


def test_captions_without_marks_get_sentences() -> None:
    """A clause with a subject of its own, nothing joining it to the one before, begins a sentence: common grammar."""
    text = heard(BARE)
    assert "tea chest. I cut" in text
    assert "hinges. They're three" in text
    assert text.count(".") >= 3
    assert not any(text[i + 1 : i + 3].strip()[:1].islower() for i, c in enumerate(text) if c == ".")


def test_the_words_and_their_times_stay() -> None:
    words = spoken(BARE)
    out = punctuated(clean(words, [0] * len(words)))[0]
    assert [w.text.strip(".,").lower() for w in out] == [w.text for w in words]
    assert [(w.start_s, w.end_s) for w in out] == [(w.start_s, w.end_s) for w in words]


@pytest.mark.parametrize(
    "said",
    [
        "I cut the strips five and three eighths wide, pressed them, and sewed the short ends together. Then I ran two rows.",
        "The rim was wrapped with waxed cord. It takes about three metres, and I tied it off inside, where nobody looks.",
    ],
)
def test_what_is_punctuated_stays_as_it_is(said: str) -> None:
    assert heard(said) == said


@pytest.mark.parametrize(
    ("said", "amount"),
    [
        ("i cut the strip twenty four inches long and three and a half inches wide then i pressed it flat", 24.0),
        ("so we drill it an inch and a quarter deep and the peg goes in dry i left it four hours under a weight", 1.25),
    ],
)
def test_no_mark_inside_an_amount(said: str, amount: float) -> None:
    doc = tag([Line(start_s=0.0, end_s=12.0, text=said)]).doc
    assert amount in [a.value for a in doc._.amounts]


def told(words: list[Word], begins: list[tuple[int, float, float]]) -> str:
    """``words`` punctuated where the reader gives (word, probability of a sentence, of a clause); else it is sure."""
    p = np.tile(np.array([0.98, 0.01, 0.01], dtype=np.float32), (len(words), 1))
    for i, stop, comma in begins:
        p[i] = (1 - stop - comma, stop, comma)
    return " ".join(w.text for w in punctuate(words, p, np.zeros(len(words), dtype=np.bool_)))


def test_a_stop_that_cuts_a_sentence_goes() -> None:
    words = spoken("the strap folds over. The rivet and then it goes through. Next the buckle")
    assert told(words, [(4, 0.03, 0.02), (11, 0.9, 0.05)]) == (
        "the strap folds over the rivet and then it goes through. Next the buckle"
    )


def test_a_mark_goes_before_the_word_that_opens_the_clause() -> None:
    words = spoken("i creased the fold over the bench once that was dry i trimmed the threads and cut the tails")
    assert told(words, [(8, 0.6, 0.2)]).startswith("i creased the fold over the bench. Once that")


def test_a_pause_speaks_for_a_sentence() -> None:
    words = spoken("i pinned the hem all round the skirt i turned it up again by an inch and tacked it down")
    late = [
        Word(start_s=w.start_s + 2 * (i >= 8), end_s=w.end_s + 2 * (i >= 8), text=w.text) for i, w in enumerate(words)
    ]
    unsure = [(8, 0.25, 0.1)]
    assert "." not in told(words, unsure)
    assert "skirt. I turned" in told(late, unsure)
