"""Edits that found no place: let go, or made elsewhere instead; both are edits, so both are undone."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from bench_log import tool_roll

from buildlog import edits as e
from buildlog.archive import Archive
from buildlog.document import Log, to_json
from buildlog.errors import NotFound


def other_reading() -> Log:
    """The tool roll read anew, in which nothing is like an awl."""
    log = tool_roll()
    log.items[2] = msgspec.structs.replace(log.items[2], name="bodkin")
    return log


def read_anew(path: Path) -> tuple[int, int]:
    """An archive with one edit that lost its place between two others. Returns its number and the part's."""
    with Archive.open(path) as archive:
        part = archive.builds.make_part(archive.builds.make("roll").id)
        recording = archive.builds.keep_recording("roll.mp4", sha256="ab", duration_s=120.0)
        archive.builds.add_recording(part.id, recording.id)
        archive.readings.keep_log(recording.id, "first", tool_roll())
        archive.edit(part.id, e.AddChapter(start_s=6.0, title="six"))
        lost = archive.edit(part.id, e.Rename(at=e.anchor(tool_roll().items[2]), name="scratch awl"))
        archive.edit(part.id, e.AddChapter(start_s=12.0, title="twelve"))
        archive.readings.keep_log(recording.id, "second", other_reading())
        assert [u.index for u in archive.needs_look(part.id)] == [lost]
    return lost, part.id


def names(archive: Archive, part: int) -> list[str]:
    return [i.name for i in archive.log(part).items]


@pytest.mark.parametrize("reopen", [False, True])
def test_an_edit_let_go_is_left_out_even_where_it_would_fit_again(tmp_path: Path, reopen: bool) -> None:
    path = tmp_path / "a.sqlite3"
    lost, part = read_anew(path)
    archive = Archive.open(path)
    archive.edit(part, e.LetGo(edit=lost))
    if reopen:
        archive.close()
        archive = Archive.open(path)
    assert archive.needs_look(part) == []
    assert len(archive.log(part).chapters) == 5
    recording = archive.builds.recordings(part)[0]
    archive.readings.keep_log(recording.id, "first", tool_roll())
    assert names(archive, part) == ["canvas", "bias cape", "awl"]
    archive.undo(part)
    assert names(archive, part) == ["canvas", "bias cape", "scratch awl"]
    archive.redo(part)
    assert names(archive, part) == ["canvas", "bias cape", "awl"]
    archive.close()


@pytest.mark.parametrize("reopen", [False, True])
def test_an_edit_made_elsewhere_instead_is_one_undo(tmp_path: Path, reopen: bool) -> None:
    path = tmp_path / "a.sqlite3"
    lost, part = read_anew(path)
    archive = Archive.open(path)
    before = to_json(archive.log(part))
    archive.edit(part, e.Rename(at=e.anchor(other_reading().items[2]), name="scratch awl", instead=lost))
    if reopen:
        archive.close()
        archive = Archive.open(path)
    assert names(archive, part) == ["canvas", "bias cape", "scratch awl"]
    assert archive.needs_look(part) == []
    archive.undo(part)
    assert to_json(archive.log(part)) == before
    assert [u.index for u in archive.needs_look(part)] == [lost]
    archive.close()


def test_only_an_edit_without_a_place_can_be_let_go(tmp_path: Path) -> None:
    lost, part = read_anew(tmp_path / "a.sqlite3")
    with Archive.open(tmp_path / "a.sqlite3") as archive:
        for number in (lost - 1, lost + 1, 999):
            with pytest.raises(NotFound, match="not among those without a place; nothing was changed"):
                archive.edit(part, e.LetGo(edit=number))
        archive.edit(part, e.LetGo(edit=lost))
        with pytest.raises(NotFound, match="not among"):
            archive.edit(part, e.LetGo(edit=lost))


def test_a_remark_takes_another_kind(tmp_path: Path) -> None:
    log = tool_roll()
    new, _ = e.apply(log, [e.SetNoteKind(at=e.anchor(log.notes[0]), kind="caution")])
    assert [(n.kind, n.text) for n in new.notes] == [
        ("caution", "Canvas side up."),
        ("pointer", "Next time the buckle."),
    ]
    assert log.notes[0].kind == "tip"
