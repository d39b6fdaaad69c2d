"""``buildlog words``: kept in the archive, listed, removed; bad input says what to do."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from buildlog.cli.words import command
from buildlog.errors import BuildlogError


def run(*args: str) -> tuple[str, str]:
    result = CliRunner().invoke(command, args, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.stdout, result.stderr


def test_add_list_remove(tmp_path: Path) -> None:
    at = ("--archive", str(tmp_path / "a.sqlite3"))
    out, err = run("add", "slip board", "--kind", "tool", "--also", "slipper", *at)
    assert out == ""
    assert "slip board" in err
    run("add", "clag", "--kind", "material", *at)
    run("add", "clag", "--kind", "not_a_thing", *at)  # said again: changed
    out, _ = run("list", "--json", *at)
    assert json.loads(out) == [
        {"term": "clag", "kind": "not_a_thing", "also": []},
        {"term": "slip board", "kind": "tool", "also": ["slipper"]},
    ]
    run("remove", "slip board", *at)
    out, _ = run("list", *at)
    assert "clag" in out
    assert "slip board" not in out


def test_an_empty_list_says_how_to_begin(tmp_path: Path) -> None:
    archive = tmp_path / "none.sqlite3"
    out, err = run("list", "--archive", str(archive))
    assert out == ""
    assert "words add" in err
    assert not archive.exists()


def test_bad_input(tmp_path: Path) -> None:
    at = ("--archive", str(tmp_path / "a.sqlite3"))
    assert CliRunner().invoke(command, ["add", "x", "--kind", "wizard", *at]).exit_code == 2
    run("add", "clag", "--kind", "material", *at)
    for args in (["remove", "nothing", *at], ["add", "  ", "--kind", "tool", *at]):
        with pytest.raises(BuildlogError) as caught:
            CliRunner().invoke(command, args, catch_exceptions=False)
        assert "\n" not in str(caught.value)


def test_nothing_dangerous_reaches_the_terminal(tmp_path: Path) -> None:
    at = ("--archive", str(tmp_path / "a.sqlite3"))
    result = CliRunner().invoke(command, ["add", "clag\x1b[2J", "--kind", "material", *at])
    listed = CliRunner().invoke(command, ["list", *at])
    assert "\x1b" not in result.output + listed.output
