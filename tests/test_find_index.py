"""The index follows the archive: same transaction, nothing stale, damage mended, hostile questions harmless."""

from __future__ import annotations

import contextlib
import sqlite3
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from bench_log import tool_roll
from find_log import APRON, apron, lines, put
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from test_edits_any_order import any_edit

from buildlog import edits, find, weights
from buildlog.archive import Archive
from buildlog.document import Line, Log, RecordingInfo, Word
from buildlog.errors import ArchiveError, BadInput, BuildlogError, NotFound
from buildlog.find import following, keeping, schema
from buildlog.find.moments import DONE, OFF_CAMERA, cut_of, moments
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
        before = {tuple(r) for r in conn.execute("SELECT * FROM find_moment")}
    archive.edit(part.id, edits.RewordStep(at=edits.anchor(archive.log(part.id).steps[0]), text="Tack the pocket."))
    with archive.store.read() as conn:
        after = {tuple(r) for r in conn.execute("SELECT * FROM find_moment")}
    assert len(before - after) == len(after - before) == 1
    assert {r[0] for r in before} == {r[0] for r in after}  # the moment is the same one, so it keeps its vector


def content(conn: sqlite3.Connection) -> dict[str, list[tuple[object, ...]]]:
    """All that the index holds of its one part, whatever the ids are."""
    questions = {
        "moments": "SELECT seq, start_s, end_s, at_s, said, done, names, piece, flags FROM find_moment",
        "things": "SELECT of, name, key, names, status, first_s, times FROM find_thing",
        "at": "SELECT of, name, first_s, seq FROM find_at JOIN find_thing t ON t.id = thing_id"
        " LEFT JOIN find_moment m ON m.id = moment_id",
        "thing words": "SELECT of, name, stem FROM find_thing_word JOIN find_thing ON id = thing_id",
        "owed": "SELECT start_s, what, text FROM find_owed",
        "words": "SELECT word, n FROM find_word WHERE n != 0",
    }
    return {name: sorted(map(tuple, conn.execute(query))) for name, query in questions.items()}


def content_made_anew(log: Log) -> dict[str, list[tuple[object, ...]]]:
    """What the index of ``log`` holds where it is made in one go."""
    with contextlib.closing(sqlite3.connect(":memory:")) as conn:
        schema.make(conn)
        keeping._write_things(conn, 1, log, keeping.write_part(conn, 1, moments(log)))
        return content(conn)


LOGS = {"tool roll": tool_roll, "apron": apron}


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(st.data())
def test_following_edits_gives_the_same_index_as_making_it_anew(data: st.DataObject) -> None:
    followed: list[bool] = []
    follow = following.follow
    with tempfile.TemporaryDirectory() as folder, pytest.MonkeyPatch.context() as patch:
        patch.setattr(following, "follow", lambda *args: followed.append(follow(*args)) or followed[-1])
        with open_archive(Path(folder) / "a.sqlite3") as archive:
            part = put(archive, "Build", LOGS[data.draw(st.sampled_from(sorted(LOGS)))]())
            for _ in range(data.draw(st.integers(1, 12))):
                with contextlib.suppress(BadInput, NotFound):
                    match data.draw(st.sampled_from(["edit"] * 4 + ["undo", "redo"])):
                        case "undo":
                            archive.undo(part.id)
                        case "redo":
                            archive.redo(part.id)
                        case _:
                            archive.edit(part.id, data.draw(any_edit(archive.log(part.id))))
                with archive.store.read() as conn:
                    assert content(conn) == content_made_anew(archive.log(part.id))
            assert find.damage(archive) is False
    assert all(followed)


DIRECTED = {
    "remark off camera": lambda log: edits.AddNote(kind="off_camera", start_s=9.0, text="off"),
    "piece renamed": lambda log: edits.Rename(at=edits.anchor(log.pieces[0]), name="pouch"),
    "piece made one with another": lambda log: edits.Rename(at=edits.anchor(log.pieces[0]), name="strap"),
    "sentence cut in two": lambda log: edits.RepairWord(
        start_s=4.0, end_s=7.8, heard="bought for six", text="bought long ago from him. It was somewhere over six"
    ),
    "words longer": lambda log: edits.RepairWord(
        start_s=24.0, end_s=27.8, heard="edge", text="edges of the pocket and of both of the straps"
    ),
    "link given": lambda log: edits.AttachUrl(at=edits.anchor(log.links_owed[0]), url="https://a.example"),
    "thing another kind": lambda log: edits.SetKind(at=edits.anchor(log.items[3]), kind="technique"),
}


@pytest.mark.parametrize("name", sorted(DIRECTED))
def test_following_this_edit_and_its_undo(archive: Archive, name: str) -> None:
    part = archive.builds.parts()[0]
    # At the end of its sentence: in the second one where that is cut in two.
    archive.edit(part.id, edits.AddItem(start_s=7.2, end_s=7.6, text="metre", name="tape measure", kind="tool"))
    with archive.store.read() as conn:
        before = content(conn)
    archive.edit(part.id, DIRECTED[name](archive.log(part.id)))
    with archive.store.read() as conn:
        after = content(conn)
        assert after == content_made_anew(archive.log(part.id))
    assert after != before
    archive.undo(part.id)
    with archive.store.read() as conn:
        assert content(conn) == before
    assert find.damage(archive) is False


def words(text: str) -> list[Line]:
    """A line of half-second words for each sentence end or line break."""
    said, at = [], 0.0
    for row in text.split("\n"):
        made = []
        for word in row.split():
            pause = 2.0 if word.endswith("|") else 0.0
            made.append(Word(start_s=at, end_s=at + 0.4, text=word.strip("|")))
            at += 0.5 + pause
        said.append(Line(start_s=made[0].start_s, end_s=made[-1].end_s, text=row, words=made))
    return said


row_of_words = st.lists(
    st.sampled_from("so now and the cloth, strap. hem|? cut it flat; glue! (wax) awl board".split()),
    min_size=1,
    max_size=12,
).map(" ".join)


@settings(max_examples=150, deadline=None)
@given(st.lists(row_of_words, min_size=1, max_size=25), st.data())
def test_a_transcript_with_other_words_is_cut_as_if_it_were_new(rows: list[str], data: st.DataObject) -> None:
    old = words("\n".join(rows))
    first = data.draw(st.integers(0, len(old) - 1))
    last = data.draw(st.integers(first, min(len(old), first + 3)))
    fresh = [
        Line(start_s=old[first].start_s, end_s=old[first].end_s, text=text, words=w.words)
        for text in data.draw(st.lists(row_of_words, max_size=3))
        for w in words(text)
    ]
    new = [*old[:first], *fresh, *old[last:]]
    was, now, anew = cut_of(old), cut_of(new, old), cut_of(list(new))
    assert (now.bounds, now.starts, now.words, now.line_words) == (
        anew.bounds,
        anew.starts,
        anew.words,
        anew.line_words,
    )
    start, stop, until = was.changed(now)
    assert [was[n] for n in range(start)] == [now[n] for n in range(start)]
    assert [was[n] for n in range(stop, len(was))] == [now[n] for n in range(until, len(now))]


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


def test_an_index_of_another_encoder_is_made_anew(tmp_path: Path) -> None:
    with open_archive(tmp_path / "a.sqlite3") as archive:
        put(archive, "Apron", apron())
        assert find.fill(archive) > 0
        assert find.waiting(archive) == 0
        with archive.store.write() as conn:
            stamp = conn.execute("SELECT value FROM find_meta WHERE name = 'stamp'").fetchone()[0]
            version, encoder = stamp.split()
            assert weights.manifest()["sentences"].files["sentences.onnx"].sha256.startswith(encoder)
            conn.execute("UPDATE find_meta SET value = ? WHERE name = 'stamp'", (f"{version} {'0' * 12}",))
        assert len(find.behind(archive)) == 1
        assert find.bring_up(archive) == 1
        assert find.waiting(archive) > 0, "vectors of the other encoder are gone"
