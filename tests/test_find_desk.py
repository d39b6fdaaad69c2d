"""The desk for viewers' questions: what the log says, with its minute, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from find_log import APRON, apron, lines, put, thing

from buildlog import edits, find
from buildlog.archive import Archive
from buildlog.document import Log, Measurement, RecordingInfo
from buildlog.find.desk import NOT_SAID, answer, wanted
from buildlog.opening import open_archive


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Archive]:
    with open_archive(tmp_path_factory.mktemp("desk") / "a.sqlite3") as opened:
        put(opened, "Apron", apron())
        find.fill(opened)
        yield opened


@pytest.mark.parametrize(
    ("question", "wants"),
    [
        ("What fabric is the lining?", "thing"),
        ("How much canvas do I need?", "amount"),
        ("where's the link for the pattern", "link"),
        ("Where can I buy that tape?", "link"),
        ("at what minute do you bind the edge", "minute"),
        ("What could I use instead of a bone folder?", "instead"),
        ("I don't have a bone folder, what else works?", "instead"),
        ("will it fit my size", "fit"),
        ("what did the canvas cost", "price"),
        ("which needle", "thing"),
        ("what stitch length", "amount"),
    ],
)
def test_what_a_question_wants(question: str, wants: str) -> None:
    assert wanted(question) == wants


@pytest.mark.parametrize(
    ("question", "text", "line"),
    [
        ("What fabric is the lining?", "Cotton lawn.", 3),
        ("How far from the edge do you baste the pocket?", "Half an inch", 4),
        ("how much lawn do I need", "Two yards", 3),
        ("What can I use instead of a bone folder?", "Spoon.", 8),
        ("how much did the canvas cost", "six pounds a metre", 1),
        ("where is the link to the pattern", "A link was promised at 0:36", 9),
        ("at what minute do you bind the edge?", "At 0:24.", 6),
        ("when do you sew the strap", "At 0:28. It was done off camera.", 7),
    ],
)
def test_answers_have_their_minute_and_their_words(archive: Archive, question: str, text: str, line: int) -> None:
    got = answer(archive, 1, question)
    assert got.said
    assert text in got.text
    assert got.at_s is not None
    assert 4.0 * line <= got.at_s < 4.0 * line + 4.0
    assert got.quote == APRON[line] or APRON[line].startswith(got.quote or "?")


@pytest.mark.parametrize(
    "question",
    [
        "what kind of wood did you use",
        "which glue holds the strap",
        "how hot should the iron be",
        "how many buttons",
        "will it fit my size",
        "what can I use instead of waxed canvas",
        "how much did the bias tape cost",
        "at what minute do you do the smocking",
        "where can I buy the sewing machine",
    ],
)
def test_what_was_not_said_is_not_answered(archive: Archive, question: str) -> None:
    got = answer(archive, 1, question)
    assert not got.said
    assert got.text == NOT_SAID
    assert got.at_s is None
    assert got.quote is None


OAR = [
    "Morning, an oar today, out of spruce, and it is raining.",
    "The spruce board came to forty quid a length at the yard.",
    "Finish is linseed oil, three coats of it.",
    "I set the lathe to six hundred turns for the handle.",
    "The blade is held by nothing, and the bench by a bolt.",
    "I used a marking knife all round, then the pull saw.",
    "The tape for the grip was nine dollars.",
    "On the scales it comes to nine hundred grams.",
    "So with everything that comes to sixty pounds for the pair.",
]


def oar() -> Log:
    return Log(
        recording=RecordingInfo(path="oar.txt", duration_s=36.0),
        transcript=lines(OAR),
        items=[
            thing(1, "material", "spruce", 0),
            thing(2, "material", "linseed oil", 2),
            thing(3, "tool", "marking knife", 5),
            thing(4, "tool", "pull saw", 5),
            thing(5, "material", "grip tape", 6),
        ],
        measurements=[
            Measurement(id="m1", start_s=13.5, text="six hundred turns", value=600.0, unit="revolutions_per_minute"),
            Measurement(id="m2", start_s=30.0, text="nine hundred grams", value=900.0, unit="gram"),
        ],
    )


@pytest.mark.parametrize(
    ("question", "text", "line"),
    [
        ("how much was the spruce", "Forty quid a length.", 1),  # no price in the log: the sum in the maker's sentence
        ("how much does it weigh", "Nine hundred grams.", 7),  # nothing else to go by: but one weight is told
        ("how fast is the lathe turning", "Six hundred turns.", 3),
        ("which saw did you use", "Pull saw.", 5),  # not whatever other tool
        ("which knife", "Marking knife.", 5),
        ("how much did everything cost", "Sixty pounds.", 8),
        ("which oil is on it", "Linseed oil.", 2),
        ("how much did the stain cost", None, None),
        ("which stain is on it", None, None),  # an oil is none
        ("which plane did you use", None, None),
        ("how heavy is the bench", None, None),  # another thing's weight is told
        ("how much were the bolts", None, None),
    ],
)
def test_figures_and_sorts_by_the_sentence_they_stand_in(
    tmp_path: Path, question: str, text: str | None, line: int | None
) -> None:
    with open_archive(tmp_path / "o.sqlite3") as archive:
        part = put(archive, "Oar", oar())
        got = answer(archive, part.id, question, vectors=False)
    assert (got.text if got.said else None) == text
    if line is not None:
        assert got.at_s is not None
        assert 4.0 * line <= got.at_s < 4.0 * line + 4.0


def test_an_edit_changes_the_answer(tmp_path: Path) -> None:
    with open_archive(tmp_path / "b.sqlite3") as archive:
        part = put(archive, "Apron", apron())
        link = archive.log(part.id).links_owed[0]
        archive.edit(part.id, edits.AttachUrl(at=edits.anchor(link), url="https://patterns.example/apron"))
        got = answer(archive, part.id, "where is the link to the pattern?", vectors=False)
        assert "https://patterns.example/apron" in got.text


CREEL = [
    "Morning all, the creel for the gate today, rods from the hedge.",
    "The rod is a green willow from the bottom hedge.",
    "I bought a brass buckle for the lid.",
    "It was four fifty, and it will see me out.",
    "The hoops are chestnut, steamed over the kettle.",
    "Weave with a long ash splint, six rounds or so, and beat it down.",
    "Three hundred grams of rush goes on the base.",
    "So the lot of it came to nineteen altogether.",
    "Press it all down again, the blade is on the bench.",
]


def creel() -> Log:
    return Log(
        recording=RecordingInfo(path="creel.txt", duration_s=36.0),
        transcript=lines(CREEL),
        items=[
            thing(1, "material", "ash", 5),
            thing(2, "material", "chestnut", 4),
            thing(3, "material", "rush", 6),
        ],
        measurements=[
            Measurement(id="m1", start_s=21.5, text="six rounds", value=6.0, unit=None, of="rounds"),
            Measurement(id="m2", start_s=24.0, text="three hundred grams", value=300.0, unit="gram", of="rush"),
        ],
    )


@pytest.mark.parametrize(
    ("question", "text", "line"),
    [
        # What it is said to be: neither where it is only handled, nor the thing of that sort that is named nearby.
        ("what rod do you use", "At 0:04", 1),
        ("what wood are the hoops", "Chestnut.", 4),
        # A sum without a currency, said of what the sentence before named; and one for all of it.
        ("how much was the buckle", "Four fifty.", 3),
        ("how much did it cost altogether", "Nineteen.", 7),
        # Rounds are many, not much.
        ("how much rush for the base", "Three hundred grams", 6),
    ],
)
def test_what_is_said_around_and_without_a_name(tmp_path: Path, question: str, text: str, line: int) -> None:
    with open_archive(tmp_path / "creel.sqlite3") as archive:
        put(archive, "Creel", creel())
        got = answer(archive, 1, question, vectors=False)
    assert got.said
    assert text in got.text
    assert got.quote == CREEL[line]


@pytest.mark.parametrize("question", ["how much was the splint", "what blade do you use", "how much did the lid weigh"])
def test_a_figure_or_place_is_no_price_and_no_kind(tmp_path: Path, question: str) -> None:
    with open_archive(tmp_path / "creel.sqlite3") as archive:
        put(archive, "Creel", creel())
        assert answer(archive, 1, question, vectors=False).text == NOT_SAID
