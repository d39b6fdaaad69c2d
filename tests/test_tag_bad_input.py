"""Reading of what is no build log, or no proper transcript: an almost empty log or a sound one, never nonsense or a failure."""

from __future__ import annotations

import random
import time
from collections.abc import Callable

import pytest

from buildlog.document import Line, Log, RecordingInfo, Word, from_json, to_json
from buildlog.edits import problems
from buildlog.reading import read

SEAM = (
    "So I cut two rectangles of the brown canvas and I pinned them right sides together.",
    "Then I sewed round three sides with a half inch seam on the sewing machine.",
    "I clipped the corners with the small scissors, turned the bag out, and pressed it with the iron.",
    "For the handles I used a yard and a half of cotton webbing, and I stitched a box with a cross at each end.",
    "I glued the leather patch on with contact cement and left it for twenty minutes.",
)


def lines_of(*texts: str, seconds: float = 5.0) -> list[Line]:
    return [Line(start_s=n * seconds, end_s=(n + 1) * seconds, text=text) for n, text in enumerate(texts)]


def log_of(lines: list[Line], duration_s: float | None = None) -> Log:
    """The log, once it is known to be sound: it survives JSON, nothing in it points nowhere, all times are in order."""
    end = duration_s if duration_s is not None else max((line.end_s for line in lines), default=0.0)
    log = read(lines, RecordingInfo(path="odd.vtt", duration_s=end))
    assert from_json(to_json(log)) == log
    assert problems(log) == []
    assert log.transcript == lines
    assert all(s.start_s <= s.end_s for s in log.steps)
    return log


def entries(log: Log) -> int:
    return len(log.items) + len(log.steps) + len(log.techniques) + len(log.measurements) + len(log.derived)


# One small bag told in other languages (written for this test): languages near to English and far, Latin script and not,
# with blanks between the words and without.
BAG = {
    "Dutch": "Vandaag gaan we een tas naaien van stevig canvas. Ik knip twee stukken van veertig centimeter en leg ze op elkaar, "
    "of je nu met de hand of met de machine naait. Dan stik ik langs de rand, keer ik de tas en strijk ik de naden plat.",
    "Danish": "I dag skal vi sy en pose af kraftigt lærred. Jeg klipper to stykker på fyrre centimeter og lægger dem ret mod ret. "
    "Så syr jeg langs kanten med en stinglængde på tre, vender posen og presser sømmene flade, for det skal være pænt.",
    "Afrikaans": "Vandag gaan ons 'n sak van seil maak. Ek sny twee stukke van veertig sentimeter en sit hulle op mekaar. Dan werk ek "
    "met die masjien langs die rand, draai die sak om en stryk die nate plat, en so is dit klaar.",
    "French": "Aujourd'hui on va coudre un sac en toile pour les courses. Je coupe deux rectangles de quarante centimètres et je les "
    "assemble endroit contre endroit avec une couture d'un centimètre, puis je retourne le sac et je repasse les bords.",
    "Polish": "Dzisiaj uszyjemy torbę na zakupy. Wycinam dwa prostokąty i zszywam je prawą stroną do środka, a potem odwracam torbę "
    "i prasuję brzegi, żeby były równe. Na koniec przyszywam uchwyty mocnym ściegiem, bo to ma być torba na lata.",
    "Swahili": "Leo tutashona mfuko wa kitambaa kwa ajili ya ununuzi. Nakata vipande viwili vya sentimita arobaini na ninavishona "
    "pamoja kwa uzi imara, kisha nageuza mfuko na kupiga pasi kingo zake vizuri kabisa mpaka ziwe sawa.",
    "Russian": "Сегодня мы сошьём сумку из плотного холста. Я вырезаю два прямоугольника по сорок сантиметров и складываю их лицом "
    "внутрь, потом строчу по краю, выворачиваю сумку и проглаживаю швы утюгом, чтобы края были ровными.",
    "Japanese": "今日は帆布で買い物袋を縫います。四十センチの長方形を二枚切って、中表に合わせて端を縫います。",
    "Arabic": "سنخيط اليوم حقيبة من القماش السميك. أقص قطعتين بطول أربعين سنتيمترا وأضعهما فوق بعضهما ثم أخيط الحافة وأقلب الحقيبة",
}  # fmt: skip


@pytest.mark.parametrize("language", BAG)
def test_only_english_is_read_and_that_is_said(language: str) -> None:
    log = log_of(lines_of(*BAG[language].split(". ")))
    assert [c.kind for c in log.checks] == ["language"]
    assert "English" in log.checks[0].text
    assert entries(log) + len(log.links_owed) + len(log.notes) == 0


@pytest.mark.parametrize(
    "text",
    [
        "Grind 20 g chalk. Sieve. Add 40 mL water. Stir 10 min. Add 5 g gum. Warm to 60 C. Stir until smooth. Cool 2 hours. "
        "Strain through muslin. Decant into jars. Label jars. Store cool.",
        "Cut 4 rails 18 inches long. Cut 4 legs 28 inches long. Drill 8 pocket holes. Clamp rails between legs. Glue joints. "
        "Drive 8 screws. Sand with 120 grit. Wipe clean. Brush on 2 coats of varnish. Leave 24 hours between coats.",
        "gonna knit cuff first, size 4 needles, knit 2 purl 2 for 3 inches, then stocking stitch, 40 rows, decrease each side, "
        "graft the toe, weave in ends, block it flat overnight, done, sock number two next",
    ],
)
def test_terse_english_is_english(text: str) -> None:
    """Lists of orders have few of the small words that talk is full of."""
    log = log_of(lines_of(*text.split(". ")))
    assert not [c for c in log.checks if c.kind == "language"]
    assert entries(log) > 3


def test_an_english_maker_may_quote_another_language() -> None:
    said = [*SEAM, "My grandmother said immer zuerst messen und dann schneiden, das ist die ganze Kunst.", *SEAM]
    log = log_of(lines_of(*said))
    assert any(i.name.endswith("canvas") and i.status == "used" for i in log.items)


NOT_MAKING = {
    # Invented for this test, like all that is said here.
    "lyrics": [
        "Oh the river runs and the river knows my name",
        "and I cut my heart in two and I stitched it up again",
        "oh the hammer of the rain on the windows of the train",
        "la la la, la la la, sew me up and let me go",
        "oh the river runs and the river knows my name",
        "paint the town, paint the sky, pin your hopes on me",
        "la la la, la la la, hold me, hold me tight",
    ] * 3,
    "trip": [
        "We landed at about six in the morning and nobody had slept, so we just sat on the harbour wall and ate pastries.",
        "The flat was on the fourth floor and there was no lift, which my knees will tell you all about.",
        "On Tuesday we walked up to the lighthouse and it was shut, and then it rained, and honestly we laughed so much.",
        "My sister wants to move there now. She says that every single time we go anywhere.",
        "The best thing was the market, there was a man who sang while he sold lemons.",
        "Anyway that was our week. I'm tired, I'm sunburnt, and I'd go back tomorrow.",
    ],
    "opinions": [
        "I've been asked a lot this month what I think about the new opening times at the library.",
        "I think people forget who can't get there before five, and that is most of us with a job.",
        "I wrote to the council, they wrote back, and it was the sort of letter that says nothing at great length.",
        "If you agree, come on Thursday evening, there'll be tea, and there'll be shouting, I'm sure.",
        "If you don't agree then come anyway, I'd like to hear why, really, I would.",
        "It's not about books, is it, it's about somewhere warm to sit that doesn't cost you anything.",
    ],
}  # fmt: skip


@pytest.mark.parametrize("kind", NOT_MAKING)
def test_talk_without_making_gives_an_almost_empty_log(kind: str) -> None:
    log = log_of(lines_of(*NOT_MAKING[kind]))
    assert [c.kind for c in log.checks] == ["no_making"]
    assert entries(log) <= 2


def bare(text: str) -> str:
    return "".join(c for c in text.lower() if c not in ".,;:?!")


def test_no_stops_no_capitals_no_lines() -> None:
    """One caption that never ends: what is used and measured is found all the same."""
    text = bare(" ".join(SEAM))
    log = log_of([Line(start_s=0.0, end_s=45.0, text=text)])
    used = {i.name for i in log.items if i.status == "used"}
    assert {"canvas", "contact cement"} <= {u.removeprefix("brown ") for u in used}
    assert {(m.value, m.unit) for m in log.measurements} >= {(0.5, "inch"), (1.5, "yard"), (20.0, "minute")}
    assert len(log.steps) >= 5


def test_a_line_of_five_thousand_words() -> None:
    text = bare(" ".join(SEAM))
    repeats = 5000 // len(text.split()) + 1
    log = log_of([Line(start_s=0.0, end_s=repeats * 40.0, text=" ".join([text] * repeats))])
    minutes = [m for m in log.measurements if m.unit == "minute" and m.value == 20]
    assert len(minutes) >= 0.95 * repeats
    assert minutes[-1].start_s > 0.9 * repeats * 40


def test_unpunctuated_talk_costs_the_same_a_word_however_long() -> None:
    """A factor of six in length; the benchmark ``tag_speed.py bare`` goes on to 100,000 words."""
    lines = [bare(text) for text in SEAM]

    def cost(times: int) -> float:
        given = lines_of(*(lines * times))
        began = time.process_time()
        read(given, RecordingInfo(path="odd.vtt", duration_s=given[-1].end_s))
        return (time.process_time() - began) / times

    cost(2)
    assert cost(24) <= 2.0 * cost(4)


def test_one_word_a_line() -> None:
    """Some captions show a word at a time; the log says the same as of whole sentences."""
    words = " ".join(SEAM).split()
    single = [Line(start_s=n * 0.4, end_s=(n + 1) * 0.4, text=w) for n, w in enumerate(words)]
    whole = [
        Line(
            start_s=0.0,
            end_s=len(words) * 0.4,
            text=" ".join(words),
            words=[Word(start_s=n * 0.4, end_s=(n + 1) * 0.4, text=w) for n, w in enumerate(words)],
        )
    ]
    a, b = log_of(single), log_of(whole)
    assert [i.name for i in a.items] == [i.name for i in b.items] != []
    assert [s.text for s in a.steps] == [s.text for s in b.steps] != []
    assert [(m.value, m.unit) for m in a.measurements] == [(m.value, m.unit) for m in b.measurements] != []


def test_lines_that_last_no_time() -> None:
    log = log_of([Line(start_s=n * 4.0, end_s=n * 4.0, text=text) for n, text in enumerate(SEAM)], duration_s=20.0)
    assert any(i.name.endswith("canvas") for i in log.items)
    assert {m.start_s for m in log.measurements if m.unit == "minute"} == {16.0}


def test_everything_at_once() -> None:
    """Broken captions may give every line the same time."""
    log = log_of([Line(start_s=3.0, end_s=3.0, text=text) for text in SEAM], duration_s=20.0)
    assert {i.first_s for i in log.items} == {3.0}


def test_words_out_of_order() -> None:
    """Word times that run backwards inside a line, and lines that overlap: the words are read in the order given."""
    lines = []
    for n, text in enumerate(SEAM):
        words = [
            Word(start_s=n * 5.0 + 5.0 - k * 0.2, end_s=n * 5.0 + 5.2 - k * 0.2, text=t)
            for k, t in enumerate(text.split())
        ]
        lines.append(Line(start_s=n * 5.0 - 1.0 if n else 0.0, end_s=n * 5.0 + 6.0, text=text, words=words))
    log = read(lines, RecordingInfo(path="odd.json", duration_s=40.0))
    assert from_json(to_json(log)) == log
    assert any(i.name.endswith("canvas") for i in log.items)
    assert {(m.value, m.unit) for m in log.measurements} >= {(0.5, "inch"), (20.0, "minute")}
    assert all(s.start_s <= s.end_s for s in log.steps)
    starts = [c.start_s for c in log.chapters]
    assert starts == sorted(starts)
    assert starts[0] == 0.0


def _soup(rng: random.Random) -> str:
    return " ".join("".join(rng.choice("bcdfghjklmnpqrstvwxz") for _ in range(rng.randint(2, 9))) for _ in range(200))


@pytest.mark.parametrize(
    "make",
    [
        lambda: " ".join(["um", "uh", "like,", "you know,"] * 60),
        lambda: " ".join(["no"] * 300),
        lambda: " ".join(str(n) for n in range(300)),
        lambda: "1/0 inch, 3/0 of a yard, 0 by 0, " * 20,
        lambda: "... --- ... ,,, !!! ??? " * 30,
        lambda: _soup(random.Random(3)),
        lambda: "🪡 ✂️ 🧵 " * 60,
        lambda: "\u202ethe \u200bthread\u200b \x1b[31mneedle\x1b[0m \x00 " * 20,
        lambda: "scissors, " * 200,
    ],
    ids=["fillers", "no", "numbers", "zeros", "marks", "soup", "pictures", "hidden", "one thing"],
)
def test_noise_gives_a_sound_log(make: Callable[[], str]) -> None:
    log = log_of([Line(start_s=0.0, end_s=60.0, text=make())])
    assert len(log.steps) <= 2
    assert len(log.items) <= 2
