"""``buildlog show`` and ``buildlog builds``, exit codes, shell completion."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from bench_log import tool_roll
from cli_run import run

from buildlog import edits as e
from buildlog.archive import Archive
from buildlog.document import from_json


@pytest.fixture
def kept(home: Path) -> Path:
    """An archive with one build of two parts, the first with an edit and nothing in the second."""
    with Archive.open(home / "archive.sqlite3") as archive:
        build = archive.builds.make("Tool roll")
        part = archive.builds.make_part(build.id, title="The roll")
        recording = archive.builds.keep_recording("/films/roll.mp4", sha256="ab", duration_s=120.0)
        archive.builds.add_recording(part.id, recording.id)
        archive.readings.keep_log(recording.id, "k", tool_roll())
        archive.edit(part.id, e.Rename(at=e.anchor(tool_roll().items[1]), name="bias tape"))
        archive.builds.make_part(build.id)
    return home


def test_show_prints_what_was_found_with_the_edits(kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "show", "tool roll", "--part", 1)
    assert ran.code == 0
    rows = [" ".join(row.split()) for row in ran.out.splitlines()]
    for row in (
        "Tool roll, part 1: The roll 2:00",
        "0:28 The edge",
        "0:50 3. Punch the strap. (strap)",
        "0:30 bias tape",
        "0:11 canvas: half a yard",
        "0:11 half a yard (length)",
        "1:12 canvas: open",
        "0:54 tip: Canvas side up.",
        "1:06 Nothing is said for five seconds.",
    ):
        assert row in rows
    assert "0:30 bias cape" in " ".join(run(capsys, "show", "--part", 1, "--as-read").out.split())
    only = run(capsys, "show", "--part", 1, "--only", "chapters").out
    assert "The edge" in only
    assert "Punch" not in only


def test_show_json_is_the_log_document(kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    log = from_json(run(capsys, "show", "--part", 1, "--json").out)
    assert log.items[1].name == "bias tape"
    assert from_json(run(capsys, "show", "--part", 1, "--json", "--as-read").out) == tool_roll()


def test_show_escapes_what_would_steer_a_terminal(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    log = tool_roll()
    log.steps[0].text = "Cut\x1b]0;owned\x07 \u202egnp.exe"
    log.items[0].name = "canvas\r\nTools"
    with Archive.open(home / "archive.sqlite3") as archive:
        part = archive.builds.make_part(archive.builds.make("x").id)
        recording = archive.builds.keep_recording("x", sha256="ab", duration_s=120.0)
        archive.builds.add_recording(part.id, recording.id)
        archive.readings.keep_log(recording.id, "k", log)
    out = run(capsys, "show").out
    assert not set(out) & {"\x1b", "\x07", "\r", "\u202e"}
    assert "Cut\\x1b]0;owned\\x07 \\u202egnp.exe" in out
    assert "canvas\\r\\nTools" in out


def test_builds_lists_what_is_owed(kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = run(capsys, "builds").out.splitlines()
    assert rows == [
        "Tool roll",
        "  part 1  The roll  1 link owed, 1 promise, 1 open check",
        "  part 2  owes nothing",
    ]
    owing = run(capsys, "builds", "--owing").out
    assert "1:12  link: canvas" in owing
    assert "part 2" not in owing
    told = json.loads(run(capsys, "builds", "Tool roll", "--json").out)
    assert told[0]["build"] == "Tool roll"
    first, second = told[0]["parts"]
    assert first["recordings"] == ["/films/roll.mp4"]
    assert first["owed"]["links"] == [{"start_s": 72.0, "text": "canvas"}]
    assert second["owed"] == {"links": [], "promises": [], "checks": [], "needs_look": []}


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["show", "chair"], "no build is called “chair”"),
        (["show", "Tool roll", "--part", "9"], "has no part 9; it has: 1, 2"),
        (["builds", "x'; DROP TABLE build; --"], "no build is called"),
        (["builds", "\x1b[31m"], "no build is called “\\x1b[31m”"),
        (["show", "--archive", "/nowhere/a.sqlite3"], "there is no archive"),
    ],
)
def test_what_is_not_there_is_said_in_one_line(
    kept: Path, capsys: pytest.CaptureFixture[str], args: list[str], told: str
) -> None:
    ran = run(capsys, *args)
    assert (ran.code, ran.out) == (2, "")
    assert told in ran.err
    assert len(ran.err.splitlines()) == 1


def test_with_several_builds_one_must_be_named(kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with Archive.open(kept / "archive.sqlite3") as archive:
        archive.builds.make("Stool")
    ran = run(capsys, "show")
    assert ran.code == 2
    assert "say which build: “Stool”, “Tool roll”" in ran.err


def test_the_shell_completes_verbs_and_builds(kept: Path) -> None:
    def complete(*words: str) -> list[str]:
        env = os.environ | {
            "_BUILDLOG_COMPLETE": "bash_complete",
            "COMP_WORDS": " ".join(words),
            "COMP_CWORD": str(len(words) - 1),
        }
        code = "import sys; sys.argv = ['buildlog']; from buildlog.cli.main import main; main()"
        done = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True, check=False)
        return [row.split(",")[1] for row in done.stdout.splitlines()]

    assert "builds" in complete("buildlog", "bu")
    assert complete("buildlog", "show", "too") == ["Tool roll"]
