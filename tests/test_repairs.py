"""Repairs of misheard words: what is put right, what is left alone, and what becomes of times and words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from buildlog.document import Repair, Word
from buildlog.tag.lexicon import Lexicon, key
from buildlog.tag.repairs import likeness, repair, sound

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return Lexicon.load()


def heard(text: str) -> list[Word]:
    return [Word(start_s=i * 0.4, end_s=i * 0.4 + 0.4, text=t) for i, t in enumerate(text.split())]


def run(lexicon: Lexicon, text: str) -> tuple[str, list[Repair]]:
    words, repairs = repair(heard(text), lexicon)
    return " ".join(w.text for w in words), repairs


def cases(name: str) -> list[tuple[str, str]]:
    """(what was heard, the first word said in place of the marked ones) of a file in tests/words."""
    rows = []
    for line in (HERE / "words" / name).read_text("utf-8").splitlines():
        if line and not line.startswith("#"):
            _, text, meant = (part.strip() for part in line.split("|"))
            rows.append((text, meant.split()[0].removesuffix("'s")))
    return rows


def recall(lexicon: Lexicon, name: str) -> tuple[float, int]:
    """The share of mishearings put right, and how many other words were changed, or changed wrongly."""
    right = wrong = 0
    rows = cases(name)
    for text, meant in rows:
        _, repairs = run(lexicon, re.sub(r"[\[\]]", "", text))
        good = [
            r for r in repairs if key(meant) in [key(w) for w in r.text.split()] or r.text.replace(" ", "") == meant
        ]
        right += bool(good)
        wrong += len(repairs) - len(good)
    return right / len(rows), wrong


def test_mishearings_seen_in_development(lexicon: Lexicon) -> None:
    share, wrong = recall(lexicon, "misheard.txt")
    assert share >= 0.7
    assert wrong == 0


def test_mishearings_kept_for_the_score(lexicon: Lexicon) -> None:
    share, wrong = recall(lexicon, "misheard_held.txt")
    assert len(cases("misheard_held.txt")) >= 40
    assert share >= 0.6
    assert wrong == 0


SEWING = "I basted the lining, pressed the seam and pinned the fabric with the walking foot on the sewing machine. "
WOOD = "I cut the plywood on the table saw and glued the tenon with clamps after sanding it with the router near. "


@pytest.mark.parametrize(
    ("before", "said", "meant"),
    [
        (SEWING, "Then I set the eyelids in a row.", "eyelets"),
        (SEWING, "Keep the salvage along the edge of the fabric.", "selvage"),
        (SEWING, "Then the mias tape goes on.", "bias tape"),
        (SEWING, "Fold the by us tape in half.", "bias tape"),
        (SEWING, "I ran a stage stitch round the neck.", "stay stitch"),
        (WOOD, "The shelf sits in a day doe.", "dado"),
        (WOOD, "A half inch rabbit in the edge takes the back.", "rabbet"),
    ],
)
def test_words_the_brief_names(lexicon: Lexicon, before: str, said: str, meant: str) -> None:
    text, repairs = run(lexicon, before + said)
    assert meant in text
    assert len(repairs) == 1


@pytest.mark.parametrize(
    "text",
    [
        "My eyelids were heavy, so I went to bed.",  # no craft near
        "The garden rabbit sat by us and ate the bread while we watched a salvage show.",
        SEWING + "It was made by us in one evening.",
        SEWING + "My nan had a bread bin and a pet rabbit called Salvage.",
        SEWING + "I scratched all over because of the wool.",
        SEWING + "We had tea on the stage and sang a song.",
        WOOD + "The neighbour's tenant came round for coffee.",
        WOOD + "She does the towels on Monday and calls her mother.",
        SEWING + "I used the wide tape, the white tape and the paper tape.",
    ],
)
def test_words_that_make_sense_stay(lexicon: Lexicon, text: str) -> None:
    assert run(lexicon, text)[1] == []


def test_plain_prose_stays(lexicon: Lexicon) -> None:
    """Licence texts, 40,000 words of them where Debian carries them, have no misheard craft words."""
    folder = Path("/usr/share/common-licenses")
    texts = [p.read_text("utf-8", "replace") for p in sorted(folder.glob("*"))] if folder.is_dir() else []
    texts.append((HERE.parent / "buildlog" / "crafts" / "WORDNET_LICENSE").read_text("utf-8"))
    for text in texts:
        assert repair(heard(text), lexicon)[1] == []


def test_a_repaired_word_keeps_what_was_heard_and_its_time(lexicon: Lexicon) -> None:
    words = heard(SEWING + "Fold the By us tape, and go on.")
    words[-6].p = 0.4
    out, repairs = repair(words, lexicon)
    assert [w.text for w in out][-6:] == ["the", "Bias", "tape,", "and", "go", "on."]
    bias = out[-5]
    at = next(i for i, w in enumerate(words) if w.text == "By")
    assert (bias.heard, bias.start_s, bias.end_s) == ("By us", words[at].start_s, words[at + 1].end_s)
    assert [(r.heard, r.text, r.start_s) for r in repairs] == [("By us", "bias", words[at].start_s)]
    assert all(w.heard is None for w in out if w is not bias)


def test_punctuation_survives(lexicon: Lexicon) -> None:
    text, _ = run(lexicon, SEWING + "Then I set the eyelids, one by one.")
    assert "the eyelets, one" in text


def test_nothing_to_do(lexicon: Lexicon) -> None:
    assert repair([], lexicon) == ([], [])
    odd = heard("… ?! 12 1/2 -- ' \N{ZERO WIDTH SPACE} ñandú")
    assert repair(odd, lexicon) == (odd, [])


def test_likeness_of_sounds() -> None:
    assert sound("taffeta") == sound("tafetta")
    assert likeness(sound("dado"), sound("dato")) > likeness(sound("dado"), sound("dano"))
    assert likeness(sound("selvage"), sound("salvage")) > 0.9
    assert likeness(sound("awl"), sound("hammer")) < 0.5
