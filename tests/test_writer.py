"""The trained writer of steps, with its real weights: how it spells, what it writes, and what happens without it.

The talk here is invented. What a step must hold follows from the words: who names a thing and then says "it" means that thing; an amount
that nobody said may stand nowhere.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from buildlog import weights
from buildlog.document import Line, RecordingInfo
from buildlog.errors import MissingModel
from buildlog.listen.transcript import read as read_transcript
from buildlog.outline.steps.written import AROUND, AT_ONCE, blocks
from buildlog.outline.writer import loading, open_page
from buildlog.outline.writer.beginnings import _said_twice
from buildlog.outline.writer.candidates import hanging
from buildlog.outline.writer.spelling import WORD, faces, sentence, words_of
from buildlog.reading import read

DEV = Path(__file__).parent / "narrations" / "dev"
TALK = """So this is the lid of the sewing box, and it is the last bit of walnut that I had in the shop.
Hello to everybody who came over from the last video, there are a few of you.
I planed the lid flat on both faces with a jack plane.
My uncle always said that a sharp plane is half the job, and he was not wrong about much.
Then I rubbed it down with 240 grit paper, along the grain.
After that I brushed on two coats of shellac and left them for a day.
I thought about brass hinges for a good long while, but they looked too grand.
So I screwed on a pair of leather hinges instead.
"""


def log_of(talk: str):  # type: ignore[no-untyped-def]
    said = [s for s in talk.splitlines() if s]
    lines = [Line(start_s=6.0 * n, end_s=6.0 * n + 5.5, text=s) for n, s in enumerate(said)]
    return read(lines, RecordingInfo(path="said.txt", duration_s=6.0 * len(said)))


def written(words: list[str], said: list[str] | None = None) -> str:
    return sentence(words, faces(said or []))


def test_pieces_become_words() -> None:
    assert words_of(["sand", "##ing", "the", "lid"]) == ["sanding", "the", "lid"]


@pytest.mark.parametrize(
    ("words", "said", "text"),
    [
        ('trim it to 3 / 8 " , then sand', "", 'Trim it to 3/8", then sand.'),
        ("don ' t pull the maker ' s mark", "", "Don't pull the maker's mark."),
        (
            "drill a inch hole with an brad bit and a one inch slot",
            "",
            "Drill an inch hole with a brad bit and a one inch slot.",
        ),
        ("wet - sand with 80 , 120 grit", "", "Wet-sand with 80, 120 grit."),
        ("cut 1 . 5 mm off", "I cut 1.5 mm off", "Cut 1.5 mm off."),
        ("pour 1 , 000 grams", "pour 1,000 grams", "Pour 1,000 grams."),
        ("glue it with pva", "I used PVA there", "Glue it with PVA."),
        ("press the cafe curtain", "the café curtain", "Press the café curtain."),
        ("warm it to 60 ° for £ 5 ,", "", "Warm it to 60° for £5."),
    ],
)
def test_blanks_marks_and_capitals(words: str, said: str, text: str) -> None:
    assert written(words.split(), WORD.findall(said)) == text


def test_a_capital_that_only_opens_a_sentence_is_none_of_the_word() -> None:
    assert faces(WORD.findall("Glue it. Then the Tudor rose.")) == {"tudor": "Tudor"}


def test_what_was_just_said_is_not_said_again() -> None:
    assert _said_twice([7, 8, 9, 7, 8], 9)
    assert _said_twice([5, 5], 5)
    assert not _said_twice([7, 8, 9, 7, 8], 4)


@pytest.mark.parametrize(
    ("text", "hangs"),
    [("Press it flat.", True), ("Roll up those edges.", True), ("Press the hem and turn it.", False), ("Wait.", False)],
)
def test_a_sentence_that_opens_on_a_pronoun_hangs(text: str, hangs: bool) -> None:
    assert hanging(text.split()) is hangs


def test_blocks_hold_every_word_once() -> None:
    for n in (1, AT_ONCE, AT_ONCE + 1, 5 * AT_ONCE + 17):
        found = blocks(n)
        assert [i for b in found for i in range(b.start, b.end)] == list(range(n))
        assert all(0 <= b.first <= b.start and b.end <= b.last <= n for b in found)
        assert all(b.start - b.first == AROUND for b in found[1:])


def test_steps_name_what_it_means_and_leave_the_talk_out() -> None:
    steps = [s.text for s in log_of(TALK).steps]
    assert any("lid" in s and "240 grit" in s for s in steps), steps  # "it" is the lid
    assert any("two coats of shellac" in s for s in steps)
    assert any("leather hinges" in s for s in steps)
    assert not any(w in s.lower() for s in steps for w in ("brass", "uncle", "video", "hello"))


def test_an_amount_is_never_made_up() -> None:
    number = re.compile(r"\d+|\b(?:two|three|four|five|six|seven|eight|nine|ten|twelve|twenty|thirty|half|quarter)\b")
    for path in sorted(DEV.glob("*.txt"))[:4]:
        words = WORD.findall(" ".join(line.text for line in read_transcript(path)))
        said = set(number.findall(" ".join(words).lower()))
        page = open_page(words)
        stretches = [(a, min(len(words), a + 14)) for a in range(0, len(words) - 5, 14)]
        texts = [w.text for _, steps in page.write(stretches) for w in steps]
        assert len(texts) > 10
        assert not {n for t in texts for n in number.findall(t.lower())} - said


def test_a_step_is_written_from_inside_its_stretch() -> None:
    words = WORD.findall(TALK)
    page = open_page(words)
    a = words.index("planed") - 1
    ((tells, steps),) = page.write([(a, a + 12)])
    assert tells > 0.9
    assert all(a <= s.at < s.end <= a + 12 for s in steps)
    b = words.index("Hello")
    ((tells, _),) = page.write([(b, b + 14)])
    assert tells < 0.5


def test_the_sentence_that_says_it_is_likelier_than_another() -> None:
    words = WORD.findall(TALK)
    a = words.index("planed") - 1
    right, wrong = open_page(words).chances(
        [(a, a + 12)] * 2,
        ["Plane the lid flat on both faces with a jack plane.", "Sew the hem of the curtain by hand."],
    )
    assert sum(right) / len(right) > 2 * sum(wrong) / len(wrong)


def test_damaged_weights_are_told_and_missing_ones_leave_the_rules(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = weights.own_folder("writer")
    assert folder is not None
    copy = tmp_path / "writer"
    shutil.copytree(folder, copy)
    (copy / "writes.onnx").write_bytes(b"torn")
    loading.load.cache_clear()
    try:
        monkeypatch.setattr(loading, "model_folder", lambda: copy)
        with pytest.raises(MissingModel, match=r"trained writer .* is damaged; install buildlog again"):
            open_page(["Glue", "it"])
        loading.load.cache_clear()
        monkeypatch.setattr(weights, "own_folder", lambda name: None if name == "writer" else folder.parent / name)
        monkeypatch.setattr("buildlog.outline.writer.model.model_folder", lambda: None)
        assert any(s.text.startswith("Screw on a pair of leather hinges") for s in log_of(TALK).steps)
    finally:
        loading.load.cache_clear()
