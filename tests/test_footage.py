"""Footage: cut lists against OpenTimelineIO's own figures, shot logs, the command as its user calls it."""

from __future__ import annotations

import json
from pathlib import Path

import opentimelineio as otio
import pytest
from click.testing import CliRunner
from media_maker import ffmpeg, make, spoken_at

from buildlog.cli.main import cli
from buildlog.document import Line, Log, RecordingInfo, Step
from buildlog.errors import BadInput
from buildlog.outline.cutlist import CutList, Shown, carried_lines, read_cut
from buildlog.outline.footage import shot_log

RATE = 25.0
TAPE_START = 3600 * RATE  # clips whose timecode begins at one o'clock


def span(start_s: float, length_s: float, begins: float = TAPE_START) -> otio.opentime.TimeRange:
    return otio.opentime.TimeRange(
        otio.opentime.RationalTime(begins + start_s * RATE, RATE), otio.opentime.RationalTime(length_s * RATE, RATE)
    )


def clip(name: str, start_s: float, length_s: float, speed: float | None = None) -> otio.schema.Clip:
    media = otio.schema.ExternalReference(f"file:///somewhere/else/{name}", span(0, 120))
    made = otio.schema.Clip(name.split(".")[0], media, span(start_s, length_s))
    if speed is not None:
        made.effects.append(otio.schema.LinearTimeWarp(time_scalar=speed))
    return made


def timeline() -> otio.schema.Timeline:
    made = otio.schema.Timeline("part 1")
    track = otio.schema.Track("picture", kind=otio.schema.TrackKind.Video)
    track.extend(
        [
            clip("a one.mp4", 10, 20),
            otio.schema.Gap(source_range=span(0, 4, 0)),
            clip("b.mp4", 30, 15, speed=2.0),
            clip("a one.mp4", 60, 8),
        ]
    )
    made.tracks.append(track)
    return made


DURATIONS = {"a one.mp4": 120.0, "b.mp4": 120.0}


@pytest.fixture
def cut(tmp_path: Path) -> CutList:
    path = tmp_path / "cut.otio"
    otio.adapters.write_to_file(timeline(), str(path))
    return read_cut(path, DURATIONS)


def test_times_are_what_opentimelineio_computes(cut: CutList) -> None:
    """Every clip's first, middle and last moment, against OpenTimelineIO's ``transformed_time`` (at its own speed)."""
    made = timeline()
    track = made.tracks[0]
    plain = [c for c in track.find_clips() if not c.effects]
    assert len(plain) == 2
    for c in plain:
        source = c.trimmed_range()
        for share in (0.0, 0.5, 0.96):
            at = source.start_time + otio.opentime.RationalTime(source.duration.value * share, RATE)
            expected = c.transformed_time(at, made.tracks).to_seconds()
            on_clip = at.to_seconds() - TAPE_START / RATE
            assert cut.carried("a one.mp4", on_clip) == [pytest.approx(expected)]
    assert cut.duration_s == pytest.approx(made.duration().to_seconds())


def test_a_speed_change_is_carried(cut: CutList) -> None:
    """Twice as fast: 15 s in the cut hold 30 s of the clip, so clip second 50 comes 10 s after the stretch begins."""
    (shown,) = [s for s in cut.shown if s.clip == "b.mp4"]
    begins = timeline().tracks[0].range_of_child_at_index(2).start_time.to_seconds()
    assert (shown.in_s, shown.out_s, shown.length_s) == pytest.approx((30.0, 60.0, 15.0))
    assert cut.carried("b.mp4", 50.0) == [pytest.approx(begins + 10.0)]
    assert cut.carried("b.mp4", 61.0) == []


def test_backwards_and_held() -> None:
    back = Shown("a", 10.0, 20.0, 100.0, 10.0, -1.0)
    assert back.carried(20.0) == 100.0
    assert back.carried(12.0) == 108.0
    assert Shown("a", 10.0, 10.0, 50.0, 3.0, 0.0).carried(10.0) == 50.0


EDL = """TITLE: PART 1
FCM: NON-DROP FRAME

001  AX       V     C        00:00:10:00 00:00:30:00 00:00:00:00 00:00:20:00
* FROM CLIP NAME: a one.mp4
002  AX       V     C        00:00:30:00 00:01:00:00 00:00:20:00 00:00:35:00
M2   AX       050.0                00:00:30:00
* FROM CLIP NAME: b.mp4
"""


def test_cmx_3600_with_a_speed_change(tmp_path: Path) -> None:
    """The M2 line says 50 frames a second in a list at 25: twice as fast. Times against the adapter's own timeline."""
    path = tmp_path / "cut.edl"
    path.write_text(EDL, encoding="utf-8")
    cut = read_cut(path, DURATIONS, rate=RATE)
    own = otio.adapters.read_from_string(EDL, adapter_name="cmx_3600", rate=RATE)
    expected = [c.range_in_parent() for c in own.tracks[0].find_clips()]
    assert [(s.at_s, s.length_s) for s in cut.shown] == [
        (pytest.approx(r.start_time.to_seconds()), pytest.approx(r.duration.to_seconds())) for r in expected
    ]
    assert [s.speed for s in cut.shown] == [1.0, 2.0]
    assert cut.carried("a one.mp4", 15.0) == [pytest.approx(5.0)]
    assert cut.carried("b.mp4", 40.0) == [pytest.approx(25.0)]


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("cut.otio", "not json at all", "cannot be read"),
        ("cut.edl", "nonsense\n", "cannot be read"),
        ("cut.fcpxml", "<x/>", "OpenTimelineIO"),
    ],
)
def test_bad_cuts_are_refused_in_one_line(tmp_path: Path, name: str, content: str, words: str) -> None:
    path = tmp_path / name
    path.write_text(content, encoding="utf-8")
    with pytest.raises(BadInput) as error:
        read_cut(path, DURATIONS)
    assert words in str(error.value)
    assert "\n" not in str(error.value)


def test_a_cut_of_other_clips_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "cut.otio"
    otio.adapters.write_to_file(timeline(), str(path))
    with pytest.raises(BadInput, match="none of the clips"):
        read_cut(path, {"other.mp4": 10.0})


def test_words_are_carried_and_the_rest_left_out(cut: CutList) -> None:
    lines = {"a one.mp4": [Line(start_s=8.0, end_s=12.0, text="cut this bit")], "b.mp4": []}
    got = carried_lines(lines, cut)
    assert [w.text for line in got for w in line.words] == ["bit"]
    assert got[0].start_s == pytest.approx(8.0 + 4 * 2 / 3 - 10.0)


def log(name: str, *steps: tuple[float, str]) -> Log:
    return Log(
        recording=RecordingInfo(path=name, duration_s=60.0),
        transcript=[Line(start_s=s, end_s=s + 4, text=t) for s, t in steps],
        steps=[Step(id=f"s{n}", start_s=s, end_s=s + 4, text=t) for n, (s, t) in enumerate(steps, 1)],
    )


def test_takes_silences_and_what_was_left_out() -> None:
    cut = CutList((Shown("2.mp4", 0.0, 30.0, 0.0, 30.0),), 30.0)
    clips = [
        ("1.mp4", log("1.mp4", (5.0, "Hem the lining by hand."), (30.0, "Press the hem."))),
        ("2.mp4", log("2.mp4", (3.0, "Hem the silk lining by hand."))),
        ("3.mp4", Log(recording=RecordingInfo(path="3.mp4", duration_s=20.0))),
    ]
    made = shot_log(clips, cut)
    (takes,) = made.takes
    assert takes.places == [("1.mp4", 5.0), ("2.mp4", 3.0)]
    assert [(q.start_s, q.end_s) for q in made.shots[0].silences] == [(9.0, 30.0), (34.0, 60.0)]
    assert made.shots[1].steps[0].cut_s == [3.0]
    assert made.shots[2].shows == "Nobody speaks"
    assert made.left_out == [
        "1.mp4, all of it",
        "1.mp4 at 0:05: Hem the lining by hand. (another take is)",
        "1.mp4 at 0:30: Press the hem.",
        "3.mp4, all of it",
    ]


def test_a_step_whose_first_word_was_trimmed_is_in_the_cut_and_one_with_only_its_last_word_is_not() -> None:
    """Steps last 4 s. The cut takes seconds 5.5 to 33 of the clip: 3.5 s of the first, and 1 s of the second at 32."""
    cut = CutList((Shown("1.mp4", 5.5, 33.0, 100.0, 27.5),), 127.5)
    made = shot_log([("1.mp4", log("1.mp4", (5.0, "Hem the lining."), (32.0, "Press the hem.")))], cut)
    assert [m.cut_s for m in made.shots[0].steps] == [[100.0], []]
    (quiet, _) = made.shots[0].silences
    assert (quiet.start_s, quiet.end_s, quiet.cut_s) == (9.0, 32.0, [(103.5, 126.5)])


def layered(speed: float | None = None) -> otio.schema.Timeline:
    """Thirty seconds of a clip, and from second 10 to 15 another one over it; the sound is the first clip's."""
    made = otio.schema.Timeline("part 2")
    below = otio.schema.Track("V1", kind=otio.schema.TrackKind.Video)
    below.append(clip("a one.mp4", 10, 30, speed))
    above = otio.schema.Track("V2", kind=otio.schema.TrackKind.Video)
    above.extend([otio.schema.Gap(source_range=span(0, 10, 0)), clip("b.mp4", 50, 5)])
    sound = otio.schema.Track("A1", kind=otio.schema.TrackKind.Audio)
    sound.append(clip("a one.mp4", 10, 30))
    made.tracks.extend([below, above, sound])
    return made


def test_a_clip_laid_over_another_is_seen_and_the_sound_goes_on(tmp_path: Path) -> None:
    """What is seen, against OpenTimelineIO's ``flatten_stack``."""
    path = tmp_path / "cut.otio"
    otio.adapters.write_to_file(layered(), str(path))
    cut = read_cut(path, DURATIONS)
    flat = otio.algorithms.flatten_stack(layered().video_tracks())
    expected = []
    for c in flat.find_clips():
        place = c.range_in_parent()
        in_s = c.trimmed_range().start_time.to_seconds() - TAPE_START / RATE
        expected.append((in_s, place.start_time.to_seconds(), place.duration.to_seconds()))
    assert [(s.in_s, s.at_s, s.length_s) for s in cut.shown] == [pytest.approx(e) for e in expected]
    assert len(expected) == 3
    assert cut.duration_s == pytest.approx(30.0)
    lines = {"a one.mp4": [Line(start_s=21.0, end_s=23.0, text="over the picture")], "b.mp4": []}
    (line,) = carried_lines(lines, cut)
    assert (line.start_s, line.text) == (pytest.approx(11.0), "over the picture")
    assert cut.carried("a one.mp4", 22.0) == []
    assert cut.share("a one.mp4", 21.0, 23.0) == pytest.approx(1.0)


def test_the_rest_of_a_fast_clip_under_another_begins_where_it_had_got_to(tmp_path: Path) -> None:
    """At twice the speed 15 s of the cut are 30 s of the clip: from second 10 on it has got to second 40."""
    path = tmp_path / "cut.otio"
    otio.adapters.write_to_file(layered(2.0), str(path))
    cut = read_cut(path, DURATIONS)
    assert [(s.clip, s.in_s, s.out_s) for s in cut.shown] == [
        ("a one.mp4", pytest.approx(10.0), pytest.approx(30.0)),
        ("b.mp4", pytest.approx(50.0), pytest.approx(55.0)),
        ("a one.mp4", pytest.approx(40.0), pytest.approx(70.0)),
    ]


def test_part_of_a_stretch_that_runs_backwards() -> None:
    """Seconds 20 down to 10; from its third to its fifth second it shows seconds 17 down to 15."""
    part = Shown("a", 10.0, 20.0, 100.0, 10.0, -1.0).between(103.0, 105.0)
    assert (part.in_s, part.out_s) == (15.0, 17.0)
    assert part.carried(17.0) == 103.0


def test_the_command_on_a_folder(tmp_path: Path) -> None:
    """Two clips with captions only, and the cut made of them."""
    folder = tmp_path / "clips"
    folder.mkdir()
    (folder / "a one.vtt").write_text(
        "WEBVTT\n\n00:00:12.000 --> 00:00:16.000\nI cut two straps from the bridle leather.\n\n"
        "00:00:16.500 --> 00:00:20.000\nThen I punched the holes with an awl.\n",
        encoding="utf-8",
    )
    (folder / "b.vtt").write_text(
        "WEBVTT\n\n00:00:40.000 --> 00:00:44.000\nI riveted the buckle to the strap.\n", encoding="utf-8"
    )
    edit = tmp_path / "cut.edl"
    edit.write_text(EDL.replace("a one.mp4", "a one.vtt").replace("b.mp4", "b.vtt"), encoding="utf-8")
    result = CliRunner().invoke(cli, ["footage", str(folder), "--cut", str(edit), "--rate", "25", "--json"])
    assert result.exit_code == 0, result.output
    found = json.loads(result.stdout)
    steps = {m["text"]: m["cut_s"] for shot in found["shots"] for m in shot["steps"]}
    assert steps["Cut two straps from the bridle leather."] == [pytest.approx(2.0, abs=0.3)]
    assert steps["Rivet the buckle to the strap."] == [pytest.approx(25.0, abs=0.3)]
    plain = CliRunner().invoke(cli, ["footage", str(folder)])
    assert plain.exit_code == 0
    assert "a one.vtt" in plain.stdout
    assert "Rivet the buckle" in plain.stdout


def test_a_clip_without_a_sound_track_is_logged_with_the_others(tmp_path: Path) -> None:
    """A camera left running without a microphone, beside a clip with captions."""
    make(tmp_path / "1.mp4", "testsrc=size=160x120:rate=10:duration=9")
    (tmp_path / "2.vtt").write_text(
        "WEBVTT\n\n00:00:01.000 --> 00:00:04.000\nI riveted the buckle to the strap.\n", encoding="utf-8"
    )
    result = CliRunner().invoke(cli, ["footage", str(tmp_path)])
    assert result.exit_code == 0, result.output
    assert "1.mp4 (0:09): Nobody speaks" in result.stdout
    assert "Rivet the buckle to the strap." in result.stdout


def test_clips_that_are_really_heard_and_a_cut_of_them(tmp_path: Path) -> None:
    """Two takes of two spoken sentences, in the first from second 2 on, in the second from second 9 on.

    The cut takes seconds 8 to 16 of the second at twice the speed: what is said at 9 is heard half a second in.
    """
    folder = tmp_path / "clips"
    folder.mkdir()
    for name, at in (("1", 2.0), ("2", 9.0)):
        spoken = spoken_at(tmp_path / f"{name}.wav", [at], 16.0)
        picture = ("-f", "lavfi", "-i", "testsrc2=size=160x120:rate=25:duration=16")
        ffmpeg(*picture, "-i", spoken, "-shortest", folder / f"{name}.mp4")
    made = otio.schema.Timeline("part 1")
    track = otio.schema.Track("picture", kind=otio.schema.TrackKind.Video)
    media = otio.schema.ExternalReference("file:///elsewhere/2.mp4", span(0, 16, 0))
    fast = otio.schema.Clip("2", media, span(8, 4, 0))
    fast.effects.append(otio.schema.LinearTimeWarp(time_scalar=2.0))
    track.append(fast)
    made.tracks.append(track)
    otio.adapters.write_to_file(made, str(tmp_path / "cut.otio"))
    result = CliRunner().invoke(cli, ["footage", str(folder), "--cut", str(tmp_path / "cut.otio"), "--json"])
    assert result.exit_code == 0, result.output
    found = json.loads(result.stdout)
    first, second = found["shots"]
    assert "Cut two straps from the canvas" in second["steps"][0]["text"]
    assert [first["steps"][0]["take_of"], second["steps"][0]["take_of"]] == [1, 1]
    assert first["steps"][0]["cut_s"] == []
    assert second["steps"][0]["cut_s"] == [pytest.approx(0.5, abs=0.3)]
    assert any(q["start_s"] == 0.0 and q["end_s"] == pytest.approx(9.0, abs=0.5) for q in second["silences"])
    assert found["left_out"][0] == "1.mp4, all of it"
    assert found["left_out"][1].endswith("(another take is)")


def test_an_empty_folder_is_refused(tmp_path: Path) -> None:
    result = CliRunner().invoke(cli, ["footage", str(tmp_path)])
    assert isinstance(result.exception, BadInput)
