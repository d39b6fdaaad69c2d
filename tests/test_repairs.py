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


LEATHER = "I skived the strap with a knife, punched the leather and stitched it with waxed thread and two needles. "


@pytest.mark.parametrize(
    ("before", "said", "meant"),
    [  # a word heard in pieces: spelled right in two, or with a piece that is no English
        (LEATHER, "Then I burn a shing the edge till it shines.", "burnishing"),
        (
            "The hessian was tacked over the webbing and the coir. ",
            "Two pounds of horse hair went on top.",
            "horsehair",
        ),
    ],
)
def test_words_in_pieces(lexicon: Lexicon, before: str, said: str, meant: str) -> None:
    text, repairs = run(lexicon, before + said)
    assert meant in text
    assert len(repairs) == 1


@pytest.mark.parametrize(
    "text",
    [
        LEATHER + "I slip stitched it and then saddle stitched the rest by hand.",
        LEATHER + "Mister Dunstang came by and the Bournash shop was shut.",
        LEATHER + "The skin on my thumb is sore and it does not matter.",
        WOOD + "I put the letter in an envelope and the frills of her dress on the bench.",
    ],
)
def test_pieces_that_are_words_of_their_own_stay(lexicon: Lexicon, text: str) -> None:
    assert run(lexicon, text)[1] == []


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


def doubted(lexicon: Lexicon, text: str, p: dict[str, float]) -> str:
    """``text`` repaired, where the recogniser gave the words of ``p`` that probability, and .97 to the others."""
    words = heard(text)
    for w in words:
        w.p = p.get(w.text.strip(".,"), 0.97)
    return " ".join(w.text for w in repair(words, lexicon)[0])


METAL = "I annealed the copper with a torch, filed the brass, pickled the silver and soldered the wire to the bezel. "


@pytest.mark.parametrize(
    ("before", "said", "unsure", "meant"),
    [  # what the base model really made of a synthetic voice
        (WOOD, "I rotted a cove along the plinth.", "rotted", "routed"),
        (METAL, "I used barracks as flux.", "barracks", "borax"),
        (METAL, "I planished the bowel with a hammer.", "bowel", "bowl"),
        (SEWING, "The Peter Cham goes inside the waistband.", "Peter Cham", "petersham"),
        (SEWING, "I fed the elastic through the casing with a butkin.", "butkin", "bodkin"),
    ],
)
def test_english_words_the_recogniser_doubts(lexicon: Lexicon, before: str, said: str, unsure: str, meant: str) -> None:
    assert meant in doubted(lexicon, before + said, dict.fromkeys(unsure.split(), 0.2)).lower()


@pytest.mark.parametrize(
    ("before", "said", "unsure"),
    [
        (WOOD, "That ended with a mallet.", "ended"),  # a common word, "mended" to the ear
        (WOOD, "They were binning it.", "binning"),  # "boning"
        (WOOD, "It stayed flat.", "stayed"),
        ("My neighbour came round for tea and we talked for hours. ", "I saw the barracks in town.", "barracks"),
    ],
)
def test_doubted_words_that_are_usual_or_far_from_the_craft_stay(
    lexicon: Lexicon, before: str, said: str, unsure: str
) -> None:
    assert doubted(lexicon, before + said, dict.fromkeys(unsure.split(), 0.35)) == before + said


def test_a_word_the_maker_surely_says_elsewhere_stays(lexicon: Lexicon) -> None:
    text = METAL + "The barracks were cold. I used barracks as flux."
    words = heard(text)
    words[-3].p = 0.35
    assert words[-3].text == "barracks"
    assert repair(words, lexicon)[1] == []


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("I had to inch foam in my hand.", "had two inch foam"),
        ("Cut them at ten by for inches.", "ten by four inches"),
        ("I ran it with a number to edge beveler.", "number two edge beveler"),
        ("Lengthen the stitch to for so it sits on top.", "stitch to four so"),
        ("It is a strip and inch and a half wide.", "strip an inch and a half"),
        ("Run a groove an eighth and from the edge.", "an eighth in from the edge"),
    ],
)
def test_number_words_heard_as_little_words(lexicon: Lexicon, said: str, meant: str) -> None:
    text, repairs = run(lexicon, said)
    assert meant in text
    assert len(repairs) == 1


@pytest.mark.parametrize(
    "said",
    [
        "I had to inch my way along the wall.",
        "I switched from inches to metres and back.",
        "She gave me a number for emergencies and a number to call.",
        "That leaves room for inches of cake and two and inches more.",
    ],
)
def test_little_words_that_are_no_numbers_stay(lexicon: Lexicon, said: str) -> None:
    assert run(lexicon, said)[1] == []
