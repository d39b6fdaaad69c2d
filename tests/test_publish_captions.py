"""Captions, read by webvtt-py and pysubs2, and read back by our own transcript reader."""

from __future__ import annotations

import io
from itertools import pairwise
from pathlib import Path

import pysubs2
import webvtt
from hypothesis import HealthCheck, given, settings
from publish_log import logs, pouch, three_hours

from buildlog.document import Line, Log, Word
from buildlog.listen import transcript
from buildlog.publish.captions import GAP_MS, LINE, LINES, LONGEST_MS, SPEED, captions
from buildlog.publish.formats import prepare, write


def text_of(log: Log) -> list[str]:
    return [w.text for line in log.transcript for w in line.words]


def test_webvtt_py_reads_every_cue() -> None:
    log = pouch()
    read = webvtt.from_string(write("vtt", prepare(log)).decode())
    made = captions(log)
    assert [c.start for c in read] == [f"00:{c.start // 60000:02}:{c.start % 60000 / 1000:06.3f}" for c in made]
    assert [c.end for c in read] == [f"00:{c.end // 60000:02}:{c.end % 60000 / 1000:06.3f}" for c in made]
    assert " ".join(c.text.replace("\n", " ") for c in read).replace("&amp;", "&").split() == text_of(log)


def test_pysubs2_reads_both_to_the_millisecond() -> None:
    log = pouch()
    made = captions(log)
    for name in ("vtt", "srt"):
        read = pysubs2.SSAFile.from_string(write(name, prepare(log)).decode())
        assert [(e.start, e.end) for e in read] == [(c.start, c.end) for c in made]
        assert [e.plaintext.replace("&amp;", "&").split("\n") for e in read] == [c.lines() for c in made]


def test_captions_can_be_read_in_time() -> None:
    """The guide is named in buildlog/publish/captions.py."""
    for log in (pouch(), three_hours()):
        made = captions(log)
        assert all(len(c.lines()) <= LINES and max(map(len, c.lines())) <= LINE for c in made)
        assert all(c.end - c.start <= LONGEST_MS for c in made)
        for before, after in pairwise(made):
            assert after.start - before.end >= GAP_MS
        fast = [c for c in made if len(c.text) / (c.end - c.start) * 1000 > SPEED + 0.5]
        assert len(fast) <= 0.02 * len(made)  # spoken at 150 words a minute there is time for all


def test_a_line_does_not_end_in_an_article() -> None:
    made = captions(three_hours())
    ends = [row.split()[-1] for c in made for row in c.lines()[:-1]]
    assert ends
    assert sum(e in {"a", "an", "the", "of"} for e in ends) <= 0.05 * len(ends)


def test_a_pause_and_a_sentence_end_a_caption() -> None:
    made = [c.text for c in captions(pouch())]
    assert made[0] == "Hello, today I make a little pouch from waxed canvas."
    assert any(t.startswith("Mind your fingers") for t in made)


def test_markup_in_the_words_is_only_words(tmp_path: Path) -> None:
    said = "<b>bold</b> a --> b {\\an8} & <00:01.000> NOTE"
    log = Log(transcript=[Line(start_s=1.0, end_s=5.0, text=said)])
    for name in ("vtt", "vtt-words", "srt"):
        data = write(name, prepare(log)).decode()
        assert data.count("-->") == 1
        assert "<b>" not in data
    read = webvtt.from_buffer(io.StringIO(write("vtt", prepare(log)).decode()))
    assert len(read) == 1


def test_words_survive_the_round_trip_to_the_millisecond(tmp_path: Path) -> None:
    """With a time for every word: each is read back where it was. Without: each caption is where its first word is."""
    log = pouch()
    path = tmp_path / "a.vtt"
    path.write_bytes(write("vtt-words", prepare(log)))
    back = [w for line in transcript.read(path) for w in line.words]
    before = [w for line in log.transcript for w in line.words]
    assert [w.text for w in back] == [w.text for w in before]
    assert max(abs(a.start_s - b.start_s) for a, b in zip(back, before, strict=True)) < 0.0005
    for name in ("vtt", "srt"):
        path = tmp_path / f"b.{name}"
        path.write_bytes(write(name, prepare(log)))
        lines = transcript.read(path)
        assert " ".join(line.text for line in lines).replace("‹", "<") == " ".join(w.text for w in before)
        starts = {round(w.start_s * 1000) for w in before}
        assert all(round(line.start_s * 1000) in starts for line in lines)


def test_repaired_words_are_shown_as_repaired() -> None:
    words = [Word(start_s=0.0, end_s=0.4, text="bias", heard="by us"), Word(start_s=0.5, end_s=0.9, text="tape")]
    log = Log(transcript=[Line(start_s=0.0, end_s=1.0, text="bias tape", words=words)])
    assert b"bias tape" in write("vtt", prepare(log))


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(logs)
def test_any_log_gives_captions_that_others_read(log: Log) -> None:
    part = prepare(log)
    made = captions(log)
    assert all(a.end <= b.start and a.start < a.end for a, b in pairwise(made))
    vtt, srt = write("vtt", part).decode(), write("srt", part).decode()
    assert len(pysubs2.SSAFile.from_string(srt, format_="srt")) == len(made) if made else srt == ""
    assert vtt.count("-->") == len(made)
    assert len(webvtt.from_string(vtt)) == len(made)
