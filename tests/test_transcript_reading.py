"""Timed transcripts: the formats makers have, and what is said about broken ones. webvtt-py is the outside reader."""

from __future__ import annotations

import codecs
import itertools
from pathlib import Path

import pytest

from buildlog.document import Line, Log, Word, to_json
from buildlog.errors import BadInput
from buildlog.listen.transcript import read


def given(tmp_path: Path, text: str | bytes, name: str = "words.txt") -> Path:
    path = tmp_path / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def told(tmp_path: Path, text: str | bytes) -> list[tuple[float, float, str]]:
    return [(line.start_s, line.end_s, line.text) for line in read(given(tmp_path, text))]


def refused(tmp_path: Path, text: str | bytes, says: str) -> None:
    with pytest.raises(BadInput, match=says) as caught:
        read(given(tmp_path, text))
    assert "\n" not in str(caught.value)
    assert ";" in str(caught.value), "a message says what to do after what is wrong"


def stamp(seconds: float) -> str:
    whole, thousandths = divmod(round(seconds * 1000), 1000)
    return f"{whole // 3600:02}:{whole // 60 % 60:02}:{whole % 60:02}.{thousandths:03}"


VTT = """WEBVTT - fitting

NOTE cut on Sunday
--- not a time

STYLE
::cue { color: red }

intro
00:01.250 --> 00:04.000 line:0 align:start
<v Ann>Glue &amp; <i>clamps</i>,
then wait.

01:00:05.000 --> 01:00:07.500
Twelve &lt; fourteen
"""


def test_webvtt_as_webvtt_py_reads_it(tmp_path: Path) -> None:
    import webvtt

    theirs = [(c.start, c.end, len(c.text.split())) for c in webvtt.from_string(VTT)]
    lines = told(tmp_path, VTT)
    assert [(stamp(a), stamp(b), len(text.split())) for a, b, text in lines] == theirs
    assert lines == [(1.25, 4.0, "Glue & clamps, then wait."), (3605.0, 3607.5, "Twelve < fourteen")]


def test_subrip(tmp_path: Path) -> None:
    text = (
        '1\r\n00:00:01,000 --> 00:00:02,500\r\n{\\an8}<font color="#fff">Plane</font> it\r\n\r\nflat\r\n\r\n'
        "2\r\n00:00:02,500 --> 00:00:04,007\r\n12\r\n3\r\n00:00:05,000 --> 00:00:06,000\r\n[sawing]\r\n\r\n"
        "4\r\n00:00:07,000 --> 00:00:08,000\r\nDone.\r\n"
    )
    assert told(tmp_path, text) == [(1.0, 2.5, "Plane it flat"), (2.5, 4.007, "12"), (7.0, 8.0, "Done.")]


@pytest.mark.parametrize(
    ("first", "second", "starts"),
    [
        ("[1:05] Sand it", "[1:12] Oil it", (65, 72)),
        ("1:05 Sand it", "1:12 Oil it", (65, 72)),
        ("(00:01:05) Sand it", "(00:01:12) Oil it", (65, 72)),
        ("[1:02:03.5] Sand it", "[1:02:09,25] Oil it", (3723.5, 3729.25)),
        ("1:05 - Sand it", "1:12 – Oil it", (65, 72)),
        ("1:05\nSand it", "1:12\nOil it", (65, 72)),
        ("[75:00] Sand it", "[75:10]\tOil it", (4500, 4510)),
    ],
)
def test_timed_lines(tmp_path: Path, first: str, second: str, starts: tuple[float, float]) -> None:
    lines = told(tmp_path, f"\n{first}\n\n{second} three times over\n")
    assert [line[2] for line in lines] == ["Sand it", "Oil it three times over"]
    assert [line[0] for line in lines] == list(starts)
    assert lines[0][1] == starts[1], "a line ends where the next begins"
    assert lines[1][1] == pytest.approx(starts[1] + 5 / 2.5), "the last one by reading pace"


def test_a_line_without_a_time_goes_on_and_equal_times_join(tmp_path: Path) -> None:
    text = "[0:00] cut one\n  at 2:1 scale\n[0:04] first\n[0:04] second\n[0:09] end"
    assert told(tmp_path, text) == [
        (0.0, 4.0, "cut one at 2:1 scale"),
        (4.0, 9.0, "first second"),
        (9.0, 9.4, "end"),
    ]


def test_own_log_document(tmp_path: Path) -> None:
    line = Line(start_s=1, end_s=2, text="Knot it", words=[Word(start_s=1, end_s=1.4, text="Knot", p=0.5)])
    assert read(given(tmp_path, to_json(Log(transcript=[line])))) == [line]
    refused(tmp_path, to_json(Log()), "without a transcript")
    refused(tmp_path, b'{"schema": "x"}', "not a log document")


ROLLING = """WEBVTT
Kind: captions

00:00:00.000 --> 00:00:02.000 align:start position:0%
\x20
now<00:00:00.400><c> we</c><00:00:00.900><c> warp</c>

00:00:02.000 --> 00:00:02.010 align:start position:0%
now we warp
\x20

00:00:02.010 --> 00:00:05.000 align:start position:0%
now we warp
the<00:00:02.400><c> loom</c><00:00:03.000><c> twice</c>

00:00:05.000 --> 00:00:05.010
the loom twice
\x20

00:00:05.010 --> 00:00:08.000
the loom twice
[Music]

00:00:08.000 --> 00:00:10.000
the loom twice
and<00:00:08.500><c> beat</c>
"""


def test_captions_that_roll_up_are_told_once_with_the_times_inside(tmp_path: Path) -> None:
    lines = read(given(tmp_path, ROLLING))
    assert " ".join(line.text for line in lines) == "now we warp the loom twice and beat"
    words = [w for line in lines for w in line.words]
    assert [w.start_s for w in words[:3]] == [0.0, 0.4, 0.9]
    assert [(w.text, w.start_s) for w in words if w.text in ("loom", "beat")] == [("loom", 2.4), ("beat", 8.5)]
    assert all(a.end_s <= b.start_s for a, b in itertools.pairwise(words))


def test_captions_that_grow_word_by_word(tmp_path: Path) -> None:
    cues = ["I soak", "I soak the", "I soak the willow", "I soak the willow first"]
    text = "WEBVTT\n\n" + "\n\n".join(f"00:0{n}.000 --> 00:0{n + 1}.000\n{c}" for n, c in enumerate(cues))
    assert " ".join(t for _, _, t in told(tmp_path, text)) == "I soak the willow first"


def test_overlapping_captions_that_repeat_are_no_error(tmp_path: Path) -> None:
    cues = ["stitch the hem", "stitch the hem\nthen press it", "then press it\nand turn it over", "and turn it over"]
    text = "WEBVTT\n\n" + "\n\n".join(f"00:{2 * n:02}.000 --> 00:{2 * n + 4:02}.000\n{c}" for n, c in enumerate(cues))
    assert " ".join(t for _, _, t in told(tmp_path, text)) == "stitch the hem then press it and turn it over"


def test_what_is_said_twice_stays_said_twice(tmp_path: Path) -> None:
    text = "WEBVTT\n\n" + "\n\n".join(
        f"00:{2 * n:02}.000 --> 00:{2 * n + 2:02}.000\n{c}"
        for n, c in enumerate(["over, under", "over, under", "pull it tight", "now turn", "and again"])
    )
    assert [t for _, _, t in told(tmp_path, text)][:2] == ["over, under", "over, under"]


def test_hostile_text_is_made_harmless(tmp_path: Path) -> None:
    (line,) = read(given(tmp_path, "[0:01] a\x1b[31mred\x07 \u202egnp.exe\u200b b\u00adoard <script>x</script>\n"))
    assert line.text == "a [31mred gnp.exe board x"
    assert line.text.isprintable()


def test_encodings(tmp_path: Path) -> None:
    text = "[0:01] crêpe – ½ m\n"
    for data in (text.encode("utf-8-sig"), text.encode("utf-16"), codecs.BOM_UTF16_BE + text.encode("utf-16-be")):
        assert told(tmp_path, data)[0][2] == "crêpe – ½ m"
    refused(tmp_path, b"[0:01] plain\n[0:02] cr\xeape\n", "line 2, is not UTF-8")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "0 bytes"),
        (" \n\n", "is empty"),
        ("just words\nand more\n", "line 1, has no time"),
        ("[0:10] a\n[0:05] b\n", "line 2: the time 0:05 is before 0:10 on line 1"),
        ("[0:10] a\n[0:1] b\n", "line 2: the time cannot be read"),
        ("[0:10] a\n[0:75] b\n", "line 2: “0:75” is no time"),
        ("WEBVTT\n\n00:05.000 --> 00:04.000\nx\n", "line 3: this cue ends before it starts"),
        ("WEBVTT\n\n00:01.000 --> 00:04.000\nx\n\n00:02.000 --> 00:05.000\ny\n", "line 6: this cue starts at 0:02"),
        ("WEBVTT\n\n00:01.000 --> 00:02.000\nx\n\n00:oops --> 00:05.000\ny\n", "line 6: the times of this cue cannot"),
        ("1\n00:00:09,000 --> 00:00:10,000\nx\n\n2\n00:00:02,000 --> 00:00:03,000\ny\n", "line 6: the time 0:02 is"),
        ("WEBVTT\n\nnothing here\n", "no cues"),
        ("WEBVTT\n\n00:01.000 --> 00:02.000\n[music]\n", "no words"),
        (b"[0:01] a\x00b", "not a text file"),
        (b"RIFF\xff\xfe\x00\x01" * 50, "not UTF-8"),
    ],
)  # fmt: skip
def test_broken_transcripts(tmp_path: Path, text: str | bytes, says: str) -> None:
    refused(tmp_path, text, says)


def test_what_is_no_file(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="is a folder"):
        read(tmp_path)
    with pytest.raises(BadInput, match="no file"):
        read(tmp_path / "absent.vtt")


def test_every_line_of_a_long_transcript_is_in_order(tmp_path: Path) -> None:
    text = "\n".join(f"[{n // 60}:{n % 60:02}] line {n}" for n in range(0, 7200, 3))
    lines = read(given(tmp_path, text))
    assert len(lines) == 2400
    assert all(a.end_s <= b.start_s for a, b in itertools.pairwise(lines))
