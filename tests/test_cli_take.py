"""``buildlog take``: what goes in, what is kept, what is refused."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import wave
from pathlib import Path

import pytest
from bench_log import tool_roll
from cli_run import Ran, run

from buildlog.archive import Archive
from buildlog.document import from_json, to_json

VTT = """WEBVTT

00:00.000 --> 00:04.000
I cut the canvas with sharp scissors.

00:04.500 --> 00:09.000
Then I punch the strap with an awl.
"""


def log_file(path: Path) -> Path:
    path.write_bytes(to_json(tool_roll()))
    return path


def archive(home: Path) -> Archive:
    return Archive.open(home / "archive.sqlite3")


def silence(path: Path, seconds: float = 3.0) -> Path:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
        file.writeframes(b"\0\0" * int(16_000 * seconds))
    return path


def refused(ran: Ran) -> str:
    """The one line that a refused run says."""
    assert ran.code == 2
    assert ran.out == ""
    assert "Traceback" not in ran.err
    last = ran.err.splitlines()[-1]
    assert last.startswith("buildlog: ")
    return last


def test_a_log_document_is_taken_as_it_is(tmp_path: Path, home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "take", log_file(tmp_path / "roll.json"), "--build", "Tool roll", "--json")
    assert ran.code == 0
    assert from_json(ran.out) == tool_roll()
    assert "3 chapters, 3 steps, 3 items, 1 amount, 1 link owed" in ran.err
    assert "buildlog bench 'Tool roll' --part 1" in ran.err
    with archive(home) as kept:
        assert [p.label for p in kept.builds.parts()] == ["Tool roll, part 1"]


def test_the_box_is_on_standard_output_and_nothing_else_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "take", log_file(tmp_path / "roll.json"))
    for words in ("0:28", "The edge", "Cut the canvas.", "Awl", "bias cape"):
        assert words in ran.out
    assert "Kept as" not in ran.out
    assert run(capsys, "take", tmp_path / "roll.json", "--no-box").out == ""


def test_taking_a_file_again_changes_nothing(tmp_path: Path, home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    first = run(capsys, "take", log_file(tmp_path / "roll.json"))
    again = run(capsys, "take", tmp_path / "roll.json")
    assert again.out == first.out
    assert "nothing new" in again.err
    with archive(home) as kept:
        assert len(kept.builds.parts()) == 1
        assert len(kept.builds.cut(1).clips) == 1


def test_a_moved_file_is_known_by_its_bytes(tmp_path: Path, home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(capsys, "take", log_file(tmp_path / "roll.json"), "--build", "roll")
    (tmp_path / "roll.json").rename(tmp_path / "other.json")
    run(capsys, "take", tmp_path / "other.json", "--build", "roll")
    with archive(home) as kept:
        assert [r.path for r in kept.builds.recordings()] == [str(tmp_path / "other.json")]


def test_several_files_become_parts_or_one_part(tmp_path: Path, home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for number in (1, 2, 10):
        log = tool_roll()
        log.recording.duration_s += number
        (tmp_path / f"clip {number}.vtt").write_text(VTT.replace("canvas", f"canvas {number}"))
        (tmp_path / f"clip {number}.json").write_bytes(to_json(log))
    files = [tmp_path / f"clip {n}.json" for n in (1, 2, 10)]
    assert run(capsys, "take", *files, "--build", "apart").code == 0
    assert run(capsys, "take", *files, "--build", "together", "--part", 1, "--title", "All").code == 0
    with archive(home) as kept:
        numbers = [(p.build, p.number) for p in kept.builds.parts()]
        assert numbers == [("apart", 1), ("apart", 2), ("apart", 3), ("together", 1)]
        part = kept.builds.find_part("together")
        assert part.title == "All"
        assert [r.duration_s for r in kept.builds.recordings(part.id)] == [121.0, 122.0, 130.0]
        assert len(kept.log(part.id).steps) == 9
    assert "one title for several parts" in refused(run(capsys, "take", *files, "--title", "x"))


def test_another_export_takes_the_place_of_the_film(
    tmp_path: Path, home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run(capsys, "take", log_file(tmp_path / "first.json"), "--build", "roll")
    other = tool_roll()
    other.recording.duration_s = 121.0
    (tmp_path / "second.json").write_bytes(to_json(other))
    assert "with --part" in refused(run(capsys, "take", tmp_path / "second.json", "--build", "roll", "--instead"))
    ran = run(capsys, "take", tmp_path / "second.json", "--build", "roll", "--part", 1, "--instead", "--json")
    assert from_json(ran.out).recording.duration_s == 121.0
    with archive(home) as kept:
        assert len(kept.builds.recordings(1)) == 1


def test_stopping_leaves_with_130_and_nothing_half_kept(tmp_path: Path, home: Path) -> None:
    film = silence(tmp_path / "long.wav", 1800)
    # A background job of a shell is started with Ctrl-C ignored: the child asks for it again.
    code = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); from buildlog.cli.main import main; main()"
    running = subprocess.Popen(
        [sys.executable, "-c", code, "take", str(film), "--model", "tiny.en"],
        stderr=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert running.stderr is not None
    assert running.stderr.readline() == "hearing …\n"
    running.send_signal(signal.SIGINT)
    out, err = running.communicate(timeout=60)
    assert (running.returncode, out) == (130, "")
    assert "the same command goes on from there" in err
    assert "Traceback" not in err
    with archive(home) as kept:
        assert kept.builds.recordings() == []


def test_a_transcript_is_read(tmp_path: Path, home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "strap_work.vtt").write_text(VTT)
    ran = run(capsys, "take", tmp_path / "strap_work.vtt", "--json")
    assert ran.code == 0
    log = from_json(ran.out)
    assert {"canvas", "awl"} <= {i.name for i in log.items}
    with archive(home) as kept:
        assert kept.builds.all()[0].name == "strap work"


def test_a_folder_puts_media_and_transcript_of_one_name_together(
    tmp_path: Path, home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "strap work"
    folder.mkdir()
    silence(folder / "clip 2.wav", 12)
    (folder / "clip 2.vtt").write_text(VTT)
    (folder / "clip 10.srt").write_text("1\n00:00:01,000 --> 00:00:03,000\nGlue the lining.\n")
    (folder / "shopping.txt").write_text("thread")
    (folder / ".hidden.wav").write_text("x")
    ran = run(capsys, "take", folder)
    assert ran.code == 0, ran.err
    with archive(home) as kept:
        assert [r.path for r in kept.builds.recordings()] == [str(folder / "clip 2.wav"), str(folder / "clip 10.srt")]
        assert kept.builds.recordings()[0].facts == {"transcript": str(folder / "clip 2.vtt")}
        assert kept.log(1).recording.duration_s == pytest.approx(12.0, abs=0.05)
        assert {"canvas", "awl"} <= {i.name for i in kept.log(1).items}


def test_what_was_heard_is_not_heard_again(tmp_path: Path, home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "take", silence(tmp_path / "still.wav"), "--model", "tiny.en")
    assert ran.code == 0, ran.err
    assert "heard and read" in ran.err
    assert "no speech was heard" in ran.err
    shutil.rmtree(home / "cache")
    again = run(capsys, "take", tmp_path / "still.wav", "--model", "tiny.en", "--again")
    assert "0:03 read:" in again.err


@pytest.mark.parametrize(
    "name", ['it\'s "a".json', "new\nline\x1b[31m.json", "-rf.json", "concat:a|b.json", "линь 🧵.json"]
)
def test_any_file_name_is_only_a_name(
    tmp_path: Path, home: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.chdir(tmp_path)
    log_file(tmp_path / name)
    ran = run(capsys, "take", "--", name)
    assert ran.code == 0, ran.err
    assert "\x1b" not in ran.out + ran.err
    with archive(home) as kept:
        assert kept.builds.recordings()[0].path == str(tmp_path / name)


def test_a_name_that_is_no_text_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    name = os.fsencode(tmp_path) + b"/\xff\xfe.json"
    Path(os.fsdecode(name)).write_bytes(to_json(tool_roll()))
    assert "rename the file" in refused(run(capsys, "take", os.fsdecode(name)))


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("notes.mp4", b"these are only words", "not a video or audio file"),
        ("nothing.mp4", b"", "0 bytes"),
        ("nothing.vtt", b"", "0 bytes"),
        ("back.txt", b"[1:00] later\n[0:10] sooner\n", "back"),
        ("latin.vtt", b"WEBVTT\n\n00:00.000 --> 00:01.000\ncaf\xe9\n", "UTF-8"),
        ("broken.json", b'{"schema": 1, "steps": [', "not a log document"),
        ("newer.json", b'{"schema": 99, "steps": []}', "update buildlog"),
        (
            "odd.json",
            b'{"steps": [{"id": "s1", "start_s": 1, "end_s": 2, "text": "x", "items": ["i9"]}]}',
            "contradicts itself",
        ),
    ],
)
def test_what_cannot_be_read_is_refused_and_leaves_nothing(
    tmp_path: Path, home: Path, capsys: pytest.CaptureFixture[str], name: str, content: bytes, told: str
) -> None:
    (tmp_path / name).write_bytes(content)
    assert told in refused(run(capsys, "take", tmp_path / name))
    with archive(home) as kept:
        assert kept.builds.all() == []
        assert kept.builds.recordings() == []


def test_other_refusals(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    log = log_file(tmp_path / "roll.json")
    assert "no recordings" in refused(run(capsys, "take", empty))
    assert "there is no file" in refused(run(capsys, "take", tmp_path / "not there.mp4"))
    assert "exactly one" in refused(run(capsys, "take", log, "--transcript", log))
    assert "is a folder" in refused(run(capsys, "take", log, "--archive", tmp_path))
    assert "give it a name" in refused(run(capsys, "take", log, "--build", " \n"))
    (tmp_path / "words.db").write_bytes(b"not a database " * 100)
    assert "not a buildlog archive" in refused(run(capsys, "take", log, "--archive", tmp_path / "words.db"))
    assert run(capsys, "take").code == 2
    assert run(capsys, "take", log, "--part", "0").code == 2


def test_a_file_that_fails_keeps_what_was_taken_before_it(
    tmp_path: Path, home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = log_file(tmp_path / "roll.json")
    (tmp_path / "bad.mp4").write_bytes(b"no film")
    refused(run(capsys, "take", log, tmp_path / "bad.mp4", "--build", "x"))
    with archive(home) as kept:
        assert len(kept.builds.parts()) == 1


def test_help_is_quick_because_nothing_heavy_is_imported() -> None:
    code = (
        "import sys\nsys.argv = ['buildlog', sys.argv[1], '--help']\nfrom buildlog.cli.main import main\n"
        "try:\n    main()\nfinally:\n"
        "    print([m for m in ('spacy', 'av', 'faster_whisper', 'numpy', 'rich', 'rapidfuzz') if m in sys.modules])"
    )
    for verb in ("take", "show", "builds"):
        done = subprocess.run([sys.executable, "-c", code, verb], capture_output=True, text=True, check=True)
        assert done.stdout.splitlines()[-1] == "[]"


def test_progress_lines_are_plain_where_there_is_no_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "a.vtt").write_text(VTT)
    assert run(capsys, "take", tmp_path / "a.vtt").err.splitlines()[0] == "reading …"


def test_json_of_several_parts_is_one_document(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = tool_roll()
    other.recording.duration_s = 99.0
    (tmp_path / "b.json").write_bytes(to_json(other))
    ran = run(capsys, "take", log_file(tmp_path / "a.json"), tmp_path / "b.json", "--json")
    assert len(json.loads(ran.out)) == 2
