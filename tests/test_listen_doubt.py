"""What is believed of what the recogniser gives, and how sound is cut into windows; on hand-made values."""

from __future__ import annotations

import numpy as np
import pytest

from buildlog.listen.doubt import invented, loop, spoken_share
from buildlog.listen.engine import Segment, Spoken
from buildlog.listen.hearing import _believed
from buildlog.listen.windows import LONGEST_S, SHORTEST_S, choose_cut, merged, skip, without
from buildlog.media import SAMPLE_RATE

S = SAMPLE_RATE


def said(text: str, start_s: float = 0.0, each_s: float = 0.3, p: float = 0.9) -> list[Spoken]:
    return [Spoken(start_s + n * each_s, start_s + (n + 1) * each_s, w, p) for n, w in enumerate(text.split())]


def segment(text: str, start_s: float = 0.0, p: float = 0.9, no_speech: float = 0.1, log_p: float = -0.3) -> Segment:
    return Segment(said(text, start_s, p=p), no_speech, log_p)


@pytest.mark.parametrize(
    ("given", "speech", "believed"),
    [
        (segment("Thanks for watching!"), [(0, 2 * S)], True),
        (segment("Thanks for watching!", p=0.3), [(0, S // 4)], False),
        (segment("Please like and subscribe.", p=0.9), [(0, S // 3)], False),
        (segment("Bye.", p=0.4), [(0, 2 * S)], True),
        (segment("Saw along the line.", p=0.3), [(0, 2 * S)], True),
        (segment("Saw along the line.", start_s=30), [(0, 2 * S)], False),
        (segment("Mm hm.", no_speech=0.9, log_p=-1.2), [(0, 2 * S)], False),
        (segment("Thank you for watching the glue so closely.", p=0.4), [(0, S)], True),
        # What base and tiny.en made of humming, of many voices at once, and of a voice played slowly backwards.
        (segment("It's not the way I can relate to it,", p=0.18, no_speech=0.27, log_p=-2.0), [(0, 3 * S)], False),
        (segment("I remember the guy that heard them,", p=0.17, no_speech=0.53, log_p=-2.05), [(0, 3 * S)], False),
        (segment("or " + "a little bit of " * 5, p=0.76, no_speech=0.43, log_p=-1.47), [(0, 9 * S)], False),
        # What was really said: beside a sander as loud as the voice, and one sentence whose words were badly placed.
        (segment("For when you're was wave, it was a veneer hammer", p=0.55, log_p=-0.6), [(0, 3 * S)], True),
        (segment("The diode goes the other way around.", p=0.05, log_p=-0.3), [(0, 3 * S)], True),
        (segment("So over under over under over under over under over under", p=0.9), [(0, 4 * S)], True),
    ],
)
def test_stock_phrases_need_the_sound_against_them(
    given: Segment, speech: list[tuple[int, int]], believed: bool
) -> None:
    assert (invented(given, speech) is None) is believed


def test_a_line_whose_first_word_was_put_over_the_hum_before_it_stays() -> None:
    line = segment("I skived the edges of the gusset", start_s=24.0)
    line.words[0].start_s = 1.0
    assert invented(line, [(24 * S, 30 * S)]) is None


def test_work_repeats_and_recognisers_loop() -> None:
    weaving = said("then over under " + "over under " * 12 + "and turn")
    everywhere = [(0, 60 * S)]
    assert loop(weaving, everywhere) is None, "said at the pace of speech, over speech, with confidence"
    squashed = said("so I glue " + "the top to the rail " * 6 + "and wait", each_s=0.04)
    start, end = loop(squashed, everywhere) or (0, 0)
    assert " ".join(w.text for w in squashed[:start] + squashed[end:]) == "so I glue the top to the rail and wait"
    assert loop(said("and clamp it down " * 4, p=0.2), everywhere) is not None
    assert loop(said("and clamp it down " * 4), [(0, S)]) is not None
    assert loop(said("no no no no", p=0.1), everywhere) is None, "four words are no loop"


def test_a_loop_over_several_segments_is_told_once_and_reported() -> None:
    segments = [segment("press the seam open", start_s=n, p=0.3) for n in range(5)] + [segment("then trim", start_s=9)]
    kept, dropped = _believed(segments, [(0, 60 * S)])
    assert [" ".join(w.text for w in s.words) for s in kept] == ["press the seam open", "then trim"]
    assert [d.why for d in dropped] == ["the recogniser repeated itself"]
    assert dropped[0].start_s == pytest.approx(1.0)


def test_regions() -> None:
    assert spoken_share(0, 2, [(0, S)]) == pytest.approx(0.5)
    assert without([(0, 100)], [(20, 30), (25, 50), (90, 200)]) == [(0, 20), (50, 90)]
    assert without([(0, 10)], []) == [(0, 10)]
    assert merged([(S, 2 * S), (3 * S, 4 * S), (9 * S, 10 * S)], 10 * S) == [
        (int(0.6 * S), int(4.4 * S)),
        (int(8.6 * S), 10 * S),
    ]


def test_windows_end_in_the_latest_good_silence() -> None:
    audio = np.zeros(LONGEST_S * S, np.float32)
    speech = [(0, 250 * S), (251 * S, 300 * S), (int(300.8 * S), 320 * S), (int(320.2 * S), LONGEST_S * S)]
    assert choose_cut(audio, speech) == int(300.4 * S)
    short = [(0, 250 * S), (int(250.3 * S), LONGEST_S * S)]
    assert choose_cut(audio, short) == int(250.15 * S)
    audio[:] = 0.5
    audio[270 * S : 271 * S] = 0.01
    assert 270 * S <= choose_cut(audio, [(0, LONGEST_S * S)]) <= 271 * S, "no silence: where it is least loud"
    assert choose_cut(audio, [(0, LONGEST_S * S)]) >= SHORTEST_S * S


def test_skipping_is_exact() -> None:
    blocks = [np.arange(n, n + 5, dtype=np.float32) for n in (0, 5, 10)]
    assert np.concatenate(list(skip(blocks, 7))).tolist() == list(range(7, 15))
    assert list(skip(blocks, 15)) == []
