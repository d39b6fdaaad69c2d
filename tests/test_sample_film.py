"""The sample film, its true transcript and its answer sheet belong together.

Film and container are judged by ffmpeg (its own scene filter, PyAV's probe), the transcript by webvtt-py; the chapter
rule is the video hosts' published one (support.vevo.com 6945557784347: first at 00:00, at least three, ascending, ten
seconds or more each).
"""

from __future__ import annotations

import json
import re
import subprocess
from itertools import pairwise
from pathlib import Path
from typing import Any

import av
import imageio_ffmpeg
import numpy as np
import pytest
import webvtt
from loaded import module_at

from buildlog.document import from_json

HERE = Path(__file__).resolve().parent.parent / "sample_media"
FILM = HERE / "log-carrier.mp4"


make = module_at("sample_media/make.py")
Cue = tuple[float, float, str]


@pytest.fixture(scope="module")
def sections() -> list[Any]:
    read: list[Any] = make.parse((HERE / "script.txt").read_text(encoding="utf-8"))
    return read


@pytest.fixture(scope="module")
def truth() -> list[Cue]:
    def seconds(written: str) -> float:  # webvtt-py's own are whole seconds
        hours, minutes, rest = written.split(":")
        return int(hours) * 3600 + int(minutes) * 60 + float(rest)

    cues = webvtt.read(str(HERE / "log-carrier.truth.vtt"))
    return [(seconds(cue.start), seconds(cue.end), cue.text) for cue in cues.captions]


@pytest.fixture(scope="module")
def answers() -> dict[str, Any]:
    sheet: dict[str, Any] = json.loads((HERE / "log-carrier.answers.json").read_text(encoding="utf-8"))
    return sheet


# --- the script's reader -------------------------------------------------------------------------------------------

SCRIPT = """
# a remark
== start | Before we begin
> bench
Hello.
~ 0.5
~ 1
Take the {gusset|guss it} and press it.
== end | Afterwards
That is all.
> dark
Good night.
"""


def test_script_is_read_into_sections_shots_and_pauses() -> None:
    first, second = make.parse(SCRIPT)
    assert (first.name, first.title) == ("start", "Before we begin")
    assert [sentence.text for sentence in first.sentences] == ["Hello.", "Take the gusset and press it."]
    assert first.sentences[1].spoken == "Take the guss it and press it."
    assert [sentence.pause_s for sentence in first.sentences] == [0.0, 1.5]
    assert [sentence.shot for sentence in second.sentences] == ["bench", "dark"], "a shot stays until the next one"


@pytest.mark.parametrize(
    ("script", "says"),
    [
        ("", "no sentences"),
        ("Hello.", "line 1: a sentence needs a section"),
        ("== a | A\nHello.", "line 2: a sentence needs a section"),
        ("== only a name\n> x\nHello.", "line 1: a section is"),
        ("== a | A\n> x\n~ soon\nHello.", "line 3: a pause is"),
        ("== a | A\n> x\nHello.\n== b | B", "no sentences in b"),
    ],
)
def test_a_wrong_script_is_told_by_line(script: str, says: str) -> None:
    with pytest.raises(make.ScriptError, match=re.escape(says)):
        make.parse(script)


def test_sentences_and_pictures_share_one_clock() -> None:
    sections = make.parse(SCRIPT)
    timed = make.lay_out(sections, [1.0, 2.0, 1.0, 1.0])
    # card 2.4 and its margin 0.3; sentence pause 0.45 and the 1.5 asked for; section pause 2.8; shot pause 0.8
    assert [place.start_s for place in timed] == pytest.approx([2.7, 5.65, 10.45, 12.25])
    shown = make.spans(sections, timed)
    assert [(span.shot, span.title) for span in shown] == [
        ("card", "Before we begin"), ("bench", None), ("card", "Afterwards"), ("bench", None), ("dark", None),
    ]  # fmt: skip
    assert shown[0].start_s == 0.0
    assert all(before.end_s == after.start_s for before, after in pairwise(shown)), "the picture has no gaps"
    assert shown[-1].end_s == pytest.approx(13.25 + 3.0)


def test_every_shot_of_the_script_is_drawn_and_every_drawing_used(sections: list[Any]) -> None:
    drawings = module_at("sample_media/drawings.py")
    asked = {sentence.shot for section in sections for sentence in section.sentences}
    assert asked == set(drawings.SHOTS)
    assert set(drawings.DARK) <= asked
    for shot in ("machine", "vise"):
        early, late = (drawings.frame(shot, t, 8.0) for t in (1.0, 1.3))
        assert early.size == (1280, 720)
        assert early.tobytes() != late.tobytes(), f"nothing moves in {shot}"


# --- the film ------------------------------------------------------------------------------------------------------


def test_film_is_small_and_plain_h264_with_aac(truth: list[Cue]) -> None:
    assert FILM.stat().st_size < 10_000_000
    with av.open(str(FILM)) as film:
        (picture,), (sound,) = film.streams.video, film.streams.audio
        assert (picture.codec_context.name, picture.width, picture.height) == ("h264", 1280, 720)
        assert sound.codec_context.name == "aac"
        duration = film.duration / av.time_base
    assert 270 <= duration <= 330
    assert duration == pytest.approx(truth[-1][1] + make.LAST_PICTURE_S, abs=1.0)


def test_transcript_is_the_script_in_order(truth: list[Cue], sections: list[Any]) -> None:
    assert [text for _, _, text in truth] == [sentence.text for section in sections for sentence in section.sentences]
    assert all(before[1] < after[0] for before, after in pairwise(truth)), "sentences do not overlap"


def test_speech_is_where_the_transcript_says(truth: list[Cue]) -> None:
    with av.open(str(FILM)) as film:
        resample = av.AudioResampler(format="flt", layout="mono", rate=16_000)
        parts = [piece.to_ndarray()[0] for frame in film.decode(audio=0) for piece in resample.resample(frame)]
    sound = np.concatenate(parts)

    def loudness(start_s: float, end_s: float) -> float:
        return float(np.sqrt(np.mean(sound[int(start_s * 16_000) : int(end_s * 16_000)] ** 2)))

    quietest_sentence = min(loudness(start, end) for start, end, _ in truth)
    loudest_pause = max(loudness(before[1] + 0.1, after[0] - 0.1) for before, after in pairwise(truth))
    assert quietest_sentence > 5 * loudest_pause
    assert loudest_pause > 0.0005, "the bench is never quite silent"


def test_ffmpeg_sees_a_cut_at_every_change_of_section(truth: list[Cue], sections: list[Any]) -> None:
    seen = subprocess.run(
        [imageio_ffmpeg.get_ffmpeg_exe(), "-nostdin", "-loglevel", "error", "-i", str(FILM), "-an",
         "-vf", "select='gt(scene,0.3)',metadata=print:file=-", "-f", "null", "-"],
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    cuts = [float(time) for time in re.findall(r"pts_time:([\d.]+)", seen)]
    last = -1
    for section, following in pairwise(sections):
        last += len(section.sentences)
        end, start = truth[last][1], truth[last + 1][0]
        here = [cut for cut in cuts if end <= cut <= start]
        assert len(here) == 2, f"to the card and from it, before {following.name}: {here}"
    assert len(cuts) < 40, "the drawings' own movement is taken for cuts"


# --- the answer sheet ----------------------------------------------------------------------------------------------


def words(text: str) -> list[str]:
    return re.findall(r"[a-z0-9']+", text.lower())


def said(truth: list[Cue], phrase: str) -> list[float]:
    """When ``phrase`` is said: the times of its first word, spread over the words of its sentence."""
    wanted, found = words(phrase), []
    for start, end, text in truth:
        spoken = words(text)
        found += [
            start + (end - start) * place / len(spoken)
            for place in range(len(spoken))
            if spoken[place : place + len(wanted)] == wanted
        ]
    return found


@pytest.mark.parametrize("key", ["measurements", "derived", "links_owed", "notes"])
def test_what_the_sheet_quotes_is_said_at_its_time(key: str, answers: dict[str, Any], truth: list[Cue]) -> None:
    for entry in answers[key]:
        times = said(truth, entry["text"])
        assert times, f"nobody says {entry['text']!r}"
        assert min(abs(time - entry["start_s"]) for time in times) < 0.6, entry


def test_items_are_named_at_their_first_time(answers: dict[str, Any], truth: list[Cue]) -> None:
    for item in answers["items"]:
        names = [item["name"], *item.get("names", [])]
        times = [time for name in names for time in said(truth, name)]
        assert any(abs(time - item["first_s"]) < 0.8 for time in times), item
        if "instead_of" in item:
            assert item["instead_of"] in {other["name"] for other in answers["items"]}
    assert {item["status"] for item in answers["items"]} == {"used", "considered", "substitute", "mentioned"}


def test_steps_and_techniques_begin_inside_a_sentence(answers: dict[str, Any], truth: list[Cue]) -> None:
    times = [step["start_s"] for step in answers["steps"]] + [way["first_shown_s"] for way in answers["techniques"]]
    for time in times:
        assert any(start - 0.1 <= time <= end for start, end, _ in truth), time
    pieces = {piece["name"] for piece in answers["pieces"]}
    assert {step["piece"] for step in answers["steps"]} == pieces


def test_chapters_obey_the_hosts_rule_and_follow_the_sections(
    answers: dict[str, Any], truth: list[Cue], sections: list[Any]
) -> None:
    starts = [chapter["start_s"] for chapter in answers["chapters"]]
    assert starts[0] == 0.0
    assert len(starts) >= 3
    ends = [*starts[1:], truth[-1][1]]
    assert all(end - start >= 10 for start, end in zip(starts, ends, strict=True))
    assert all(len(chapter["title"]) <= 49 for chapter in answers["chapters"])
    place, firsts = 0, []
    for section in sections:
        firsts.append(truth[place][0])
        place += len(section.sentences)
    assert starts[1:] == pytest.approx(firsts[1:], abs=0.1)


def test_sheet_has_the_shape_of_the_log_document(answers: dict[str, Any]) -> None:
    filled = json.loads(json.dumps(answers))
    for key in ("pieces", "steps", "items", "techniques", "measurements", "derived", "links_owed"):
        for number, entry in enumerate(filled[key]):
            entry["id"] = f"{key}{number}"  # a sheet has no ids
    for step in filled["steps"]:
        step["end_s"] = step["start_s"]
    log = from_json(json.dumps(filled))
    assert [step.text for step in log.steps] == [step["text"] for step in answers["steps"]]
    prices = {item.name: (item.price.amount, item.price.currency) for item in log.items if item.price}
    assert prices == {"waxed canvas": (11.0, "USD"), "ash dowel": (6.0, "USD")}
