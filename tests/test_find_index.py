"""The index follows the archive: same transaction, nothing stale, damage mended, hostile questions harmless."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from find_log import APRON, apron, lines, put

from buildlog import edits, find
from buildlog.archive import Archive
from buildlog.document import Log, RecordingInfo
from buildlog.errors import ArchiveError, BadInput, BuildlogError
from buildlog.find.moments import DONE, OFF_CAMERA, moments
from buildlog.opening import open_archive


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    with open_archive(tmp_path / "a.sqlite3") as opened:
        put(opened, "Apron", apron())
        yield opened


def said(archive: Archive, question: str, **only: object) -> list[str]:
    """What was said at the moments found; nothing for "nowhere"."""
    found = find.search(archive, question, only=find.Only(**only), vectors=False)  # type: ignore[arg-type]
    return [] if found.nowhere else [h.said for h in found.hits]


def test_a_part_is_found_as_soon_as_it_is_there(archive: Archive) -> None:
    assert said(archive, "bias tape")[0] == APRON[6]
    assert find.behind(archive) == []


def test_moments_know_what_is_done_and_what_was_off_camera() -> None:
    found = moments(apron())
    assert [m.said for m in found] == APRON
    assert [n for n, m in enumerate(found) if m.flags & DONE] == [4, 6, 7]
    assert [n for n, m in enumerate(found) if m.flags & OFF_CAMERA] == [7]
    assert found[4].piece == "pocket"
    assert "trimming" in found[6].names  # the alias, which that sentence does not hold


def test_talk_without_full_stops_is_cut_where_it_turns() -> None:
    talk = "so you take the strap and lay it flat on the bench with the wax side down "
    talk += (
        "now mark it every two inches with the awl and do not press hard or it tears the grain then punch every hole"
    )
    found = moments(Log(recording=RecordingInfo(path="a", duration_s=30), transcript=lines([talk])))
    assert [m.said.split()[0] for m in found] == ["so", "now"]
    assert " ".join(m.said for m in found) == talk


def test_no_stale_hit_after_a_rename_and_undo_brings_it_back(archive: Archive) -> None:
    part = archive.builds.parts()[0]
    log = archive.log(part.id)
    step = log.steps[1]
    archive.edit(part.id, edits.RewordStep(at=edits.anchor(step), text="Wrap the rim in ribbon."))
    assert said(archive, "ribbon rim")[0] == APRON[6]
    archive.undo(part.id)
    assert said(archive, "ribbon rim") == []
    assert find.damage(archive) is False


def test_an_edit_that_fails_leaves_the_index_as_it_was(archive: Archive) -> None:
    part = archive.builds.parts()[0]

    def rename_and_fail() -> None:
        with archive.store.write():
            archive.builds.rename(part.build_id, "Pinafore")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        rename_and_fail()
    with archive.store.read() as conn:
        assert conn.execute("SELECT build FROM find_part").fetchall()[0][0] == "Apron"


def test_a_renamed_build_is_found_under_its_new_name(archive: Archive) -> None:
    archive.builds.rename(archive.builds.parts()[0].build_id, "Pinafore")
    hits = find.search(archive, "bias tape", vectors=False).hits
    assert hits[0].build == "Pinafore"
    assert said(archive, "bias tape", build="pinafore")
    assert said(archive, "bias tape", build="Apron") == []


def test_a_part_that_is_gone_is_not_found(archive: Archive) -> None:
    archive.builds.remove_part(archive.builds.parts()[0].id)
    assert said(archive, "bias tape") == []
    with archive.store.read() as conn:
        for table in (
            "find_moment",
            "find_thing",
            "find_at",
            "find_thing_word",
            "find_vector",
            "find_owed",
            "find_part",
        ):
            assert conn.execute(f"SELECT count(*) FROM {table}").fetchone()[0] == 0, table
        assert conn.execute("SELECT max(n) FROM find_word").fetchone()[0] == 0


def test_an_edit_touches_only_the_moments_that_changed(archive: Archive) -> None:
    part = archive.builds.parts()[0]
    with archive.store.read() as conn:
        before = {r[0] for r in conn.execute("SELECT id FROM find_moment")}
    archive.edit(part.id, edits.RewordStep(at=edits.anchor(archive.log(part.id).steps[0]), text="Tack the pocket."))
    with archive.store.read() as conn:
        after = {r[0] for r in conn.execute("SELECT id FROM find_moment")}
    assert len(before - after) == len(after - before) == 1


def test_parts_made_without_the_index_are_caught_up(tmp_path: Path) -> None:
    with Archive.open(tmp_path / "b.sqlite3") as plain:  # nothing follows its changes
        put(plain, "Apron", apron())
    with open_archive(tmp_path / "b.sqlite3") as archive:
        assert len(find.behind(archive)) == 1
        assert find.bring_up(archive) == 1
        assert said(archive, "bias tape")[0] == APRON[6]


def test_rebuilding_gives_the_same_answers(archive: Archive) -> None:
    before = said(archive, "lining of lawn")
    assert find.rebuild(archive) == 1
    assert said(archive, "lining of lawn") == before


@pytest.mark.parametrize("table", ["find_text_data", "find_text_idx", "find_moment", "find_word"])
def test_a_damaged_index_does_not_stop_an_edit_and_is_made_anew(tmp_path: Path, table: str) -> None:
    path = tmp_path / "a.sqlite3"
    with open_archive(path) as archive:
        put(archive, "Apron", apron())
    with sqlite3.connect(path) as conn:
        conn.execute(f"DROP TABLE {table}")
    with open_archive(path) as archive:
        part = archive.builds.parts()[0]
        step = archive.log(part.id).steps[1]
        archive.edit(part.id, edits.RewordStep(at=edits.anchor(step), text="Wrap the rim in ribbon."))
        assert archive.log(part.id).steps[1].text == "Wrap the rim in ribbon."
        find.bring_up(archive)
        assert said(archive, "ribbon rim")[0] == APRON[6]
        assert find.damage(archive) is False


def test_torn_pages_of_the_word_index_are_noticed(archive: Archive) -> None:
    with archive.store.write() as conn:
        conn.execute("UPDATE find_text_data SET block = zeroblob(40) WHERE id > 10")
    assert find.damage(archive) is True
    with pytest.raises((sqlite3.DatabaseError, ArchiveError)):
        find.search(archive, "bias tape", vectors=False)
    find.rebuild(archive)
    assert said(archive, "bias tape")[0] == APRON[6]


@pytest.mark.parametrize(
    "question",
    [
        '"',
        '" OR "',
        "bias AND NOT (tape",
        "said:bias*",
        "NEAR(bias tape, 2)",
        "'; DROP TABLE find_moment; --",
        "bias^2 +tape -linen",
        "{said names} : x",
        "🧵🧵 tape",
        "b\x00i\x1b[31mas",
        "tape " * 10_000,
        "\u202etape",
        "ﬁne ½ inch",
    ],
)
def test_hostile_questions_are_only_words(archive: Archive, question: str) -> None:
    with contextlib.suppress(BuildlogError):
        find.search(archive, question)
    assert said(archive, "bias tape")[0] == APRON[6]


@pytest.mark.parametrize("question", ["", "  \n ", "?!", "🧵"])
def test_a_question_without_words_is_told_off(archive: Archive, question: str) -> None:
    with pytest.raises(BadInput, match="no word"):
        find.search(archive, question)


def test_a_read_only_archive_can_be_asked(archive: Archive) -> None:
    with open_archive(archive.store.path, read_only=True) as other:
        assert find.search(other, "bias tape", vectors=False).hits[0].said == APRON[6]
