"""Whether what was found is an answer: the signs, worked out by hand, and which way each side of the decision falls."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
import pytest

from buildlog.find import certainty
from buildlog.find.asking import Question, Telling


@dataclass
class Moment:
    """A moment as ranked: all that the signs are read off."""

    words: float = 0.0
    near: float = 0.0
    score: float = 0.0
    title: float = 0.0
    met: npt.NDArray[np.float32] = field(default_factory=lambda: np.zeros(1, np.float32))


def question(text: str, *telling: Telling) -> Question:
    return Question(text, text, list(telling), None, 1_000, frozenset())


def test_the_signs_of_a_question_and_of_what_was_found() -> None:
    asked = question(
        "how do you stop the varnish from running",
        Telling("varnish", idf=3.0, craft=True),
        Telling("running", idf=1.0, absent=True),
    )
    ranked = [Moment(0.5, 0.4, 0.6, 0.25), Moment(0.7, 0.5, 0.5), *[Moment(0.0, 0.1, 0.2)] * 8]
    found = certainty.signs(asked, ranked)
    assert found == pytest.approx(
        {
            "absent": 1.0 / 4.0,
            "craft": 3.0 / 4.0,
            "telling": 2.0 / 4.0,
            "one": 0.0,
            "long": 8.0 / 12.0,
            "named": 0.0,  # a sentence is no name
            "words": 0.7,  # where they are met best, not in the best moment
            "score": 0.6,
            "ahead": 0.6 - 0.2,
            "nearest": 0.5,
            "title": 0.25,
            "bias": 1.0,
        },
        abs=1e-5,
    )


def test_few_moments_are_compared_with_the_last_of_them() -> None:
    ranked = [Moment(score=0.5), Moment(score=0.1)]
    assert certainty.signs(question("varnish", Telling("varnish", idf=1.0)), ranked)["ahead"] == pytest.approx(0.4)


@pytest.mark.parametrize("weights", [certainty.WEIGHTS, certainty.BY_WORDS])
def test_every_weight_has_its_sign(weights: dict[str, float]) -> None:
    ranked = [Moment(near=0.5)]
    assert weights.keys() <= certainty.signs(question("varnish", Telling("varnish", idf=1.0)), ranked).keys()


def test_a_description_that_is_met_is_an_answer_and_a_craft_word_never_said_is_none() -> None:
    rest = [Moment(0.1, 0.15, 0.2)] * 20
    said = question("wiping the varnish off the rim", *[Telling(w, idf=2.0) for w in ("wiping", "varnish", "rim")])
    assert certainty.certainty(said, [Moment(1.0, 0.5, 0.9), *rest], meant=True) > 0.0
    unsaid = question(
        "hand cut marquetry", Telling("marquetry", idf=6.0, craft=True, absent=True), Telling("cut", idf=1.0)
    )
    assert certainty.certainty(unsaid, [Moment(0.15, 0.25, 0.35), *rest], meant=True) < 0.0


def test_more_met_words_and_a_nearer_moment_never_make_it_less_sure() -> None:
    """What the fit must not turn round: the more is there, the surer."""
    asked = question("wiping the varnish off", Telling("wiping", idf=2.0), Telling("varnish", idf=3.0))
    rest = [Moment(0.1, 0.1, 0.2)] * 20
    sure = [certainty.certainty(asked, [Moment(x, 0.6 * x, x), *rest], meant=True) for x in (0.3, 0.5, 0.7, 0.9)]
    assert sure == sorted(sure)


def test_a_name_that_is_said_is_found_however_unsure() -> None:
    asked = question("varnish", Telling("varnish", idf=3.0))
    assert certainty.is_named(asked, [Moment(met=np.array([0.9], np.float32))])
    assert not certainty.is_named(asked, [Moment(met=np.array([0.6], np.float32))])  # a word alike is not the name
