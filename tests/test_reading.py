"""The whole reading, from timed lines to the log document."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import msgspec
import pytest

from buildlog.document import Line, Log, RecordingInfo, from_json, json_schema, to_json
from buildlog.edits import problems
from buildlog.listen.transcript import read as read_transcript
from buildlog.reading import read

NARRATIONS = Path(__file__).parent / "narrations"


def log_of(path: Path) -> Log:
    lines = read_transcript(path)
    return read(lines, RecordingInfo(path=path.name, duration_s=lines[-1].end_s))


def said(text: str, seconds: float = 4.0) -> list[Line]:
    return [Line(start_s=i * seconds, end_s=(i + 1) * seconds, text=t) for i, t in enumerate(text.split("\n"))]


@pytest.fixture(scope="module")
def box_log() -> Log:
    return log_of(NARRATIONS / "dev" / "06-candle-box.txt")


def test_the_document_is_valid_and_sound(box_log: Log) -> None:
    document = json.loads(to_json(box_log))
    jsonschema.Draft202012Validator(json_schema()).validate(document)
    assert problems(box_log) == []
    assert from_json(to_json(box_log)) == box_log


def test_the_schema_refuses_what_is_no_log() -> None:
    validator = jsonschema.Draft202012Validator(json_schema())
    assert not validator.is_valid({"schema": 1, "steps": [{"id": "s1"}]})
    assert not validator.is_valid({"schema": 1, "items": [{"id": "i1", "kind": "animal", "name": "newt"}]})


def test_what_anyone_would_list_is_listed(box_log: Log) -> None:
    """The plainest statements of the narration: tools named in the doing, the timber, the two coats."""
    used = {i.name.lower() for i in box_log.items if i.status == "used"}
    for name in ("tenon saw", "block plane", "shooting board", "cork block"):
        assert any(name in u for u in used), name
    pear = next(i for i in box_log.items if i.name == "pear")
    assert pear.status == "considered"
    assert any(m.value == 2 and m.unit is None and "coat" in (m.of or m.text) for m in box_log.measurements)
    assert {link.what for link in box_log.links_owed} >= {"drawing"}


def test_every_reference_resolves_and_every_time_is_inside(box_log: Log) -> None:
    ids = {x.id for x in (*box_log.items, *box_log.techniques, *box_log.measurements, *box_log.steps)}
    end = box_log.recording.duration_s
    for step in box_log.steps:
        assert set(step.items) | set(step.techniques) <= ids
        assert 0 <= step.start_s <= step.end_s <= end + 0.01
        assert step.text[0].isupper()
        assert step.text.endswith((".", "!"))
    for item in box_log.items:
        assert set(item.quantities) <= ids
        assert item.mentions


def test_chapters_obey_the_host_rule(box_log: Log) -> None:
    """First at 0:00, at least three, ascending, 10 s or more each (support.vevo.com 6945557784347)."""
    starts = [c.start_s for c in box_log.chapters]
    assert starts[0] == 0.0
    assert len(starts) >= 3
    assert all(b - a >= 10 for a, b in zip(starts, [*starts[1:], box_log.recording.duration_s], strict=True))


@pytest.mark.parametrize("path", sorted((NARRATIONS / "nothing").glob("*.txt")), ids=lambda p: p.stem)
def test_talk_without_making_gives_an_almost_empty_log(path: Path) -> None:
    log = log_of(path)
    assert len(log.steps) + len(log.items) + len(log.techniques) + len(log.measurements) <= 3
    assert log.transcript
    assert any(c.kind in ("no_making", "language") for c in log.checks)


def test_another_language_is_said_and_the_words_kept() -> None:
    log = log_of(NARRATIONS / "nothing" / "04-deutsch.txt")
    assert [c.kind for c in log.checks] == ["language"]
    assert len(log.transcript) == len(read_transcript(NARRATIONS / "nothing" / "04-deutsch.txt"))


@pytest.mark.parametrize("text", ["", "...", "?", "sawdust", "\u202e\x1b[31mred", "a" * 2000, "\U0001fa9a \U0001f9f5"])
def test_odd_text_gives_a_log(text: str) -> None:
    log = read(said(text), RecordingInfo(path="odd.txt", duration_s=4.0))
    assert msgspec.to_builtins(log)["schema"] == 1
    assert problems(log) == []


def test_no_lines_at_all() -> None:
    log = read([], RecordingInfo(path="silence.wav", duration_s=60.0))
    assert (log.steps, log.items, log.measurements) == ([], [], [])


def test_long_talk_without_full_stops_is_read() -> None:
    """Captions without punctuation: nothing is lost of what is measured, and time stays near linear."""
    line = "and then i glued the oak rail to the back with hide glue and clamped it for forty minutes so that's on"
    log = read(said("\n".join([line] * 120), 8.0), RecordingInfo(path="bare.txt", duration_s=960.0))
    assert sum(m.value == 40 and m.unit == "minute" for m in log.measurements) == 120
    assert any("glue" in i.name for i in log.items)


def test_the_makers_own_words_are_read() -> None:
    text = "\n".join(
        ["So I cut a strip of zibeline for the collar.", "I sewed the zibeline on by hand with the frobbler."] * 6
    )
    own = {"frobbler": "tool", "zibeline": "material"}
    log = read(said(text), RecordingInfo(path="own.txt", duration_s=50.0), own_words=own)
    kinds = {i.name.lower(): i.kind for i in log.items}
    assert kinds.get("frobbler") == "tool"
    assert kinds.get("zibeline") == "material"


def test_same_words_same_log_however_the_lines_are_cut() -> None:
    """Captions cut a sentence anywhere: the same words at the same times must say the same."""
    path = NARRATIONS / "dev" / "05-drop-in-seat.txt"
    whole = read_transcript(path)
    from buildlog.tag.timed import words_of

    halves: list[Line] = []
    for line in whole:
        words = words_of(line)
        middle = len(words) // 2
        for part in (words[:middle], words[middle:]):
            if part:
                text = " ".join(w.text for w in part)
                halves.append(Line(start_s=part[0].start_s, end_s=part[-1].end_s, text=text, words=part))
    info = RecordingInfo(path="x", duration_s=whole[-1].end_s)
    a, b = read(whole, info), read(halves, info)
    assert [i.name for i in a.items] == [i.name for i in b.items]
    assert [m.value for m in a.measurements] == [m.value for m in b.measurements]
