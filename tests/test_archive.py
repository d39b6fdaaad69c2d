"""The archive on real SQLite files: what is kept, carried, undone, shared between windows, and refused."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import textwrap
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import msgspec
import pytest
from bench_log import line, said, tool_roll

from buildlog import edits as e
from buildlog.archive import Archive, Clip, key_of, schema
from buildlog.document import Chapter, Item, Log, Note, RecordingInfo, Step, Technique
from buildlog.errors import ArchiveError, BadInput, NotFound


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "archive.sqlite3"


@pytest.fixture
def archive(path: Path) -> Iterator[Archive]:
    with Archive.open(path) as opened:
        yield opened


def taken(archive: Archive, build: str = "roll", log: Log | None = None, sha: str = "ab") -> int:
    """A part with one recording read as ``log``; returns its id."""
    log = log or tool_roll()
    part = archive.builds.make_part(archive.builds.make(build).id)
    recording = archive.builds.keep_recording(f"{sha}.mp4", sha256=sha, duration_s=log.recording.duration_s)
    archive.builds.add_recording(part.id, recording.id)
    archive.readings.keep_log(recording.id, key_of(sha), log)
    return part.id


# Builds and parts


def test_builds_and_parts_are_made_once_and_found_by_name(archive: Archive) -> None:
    build = archive.builds.make("Tool roll")
    assert archive.builds.make("tool ROLL") == build
    first, second = archive.builds.make_part(build.id), archive.builds.make_part(build.id, title="Strap")
    assert (first.number, second.number) == (1, 2)
    assert archive.builds.make_part(build.id, 2).title == "Strap"
    assert archive.builds.find_part("tool roll") == second
    assert archive.builds.find_part("tool roll", 1) == first
    with pytest.raises(NotFound, match="has no part 7; it has: 1, 2"):
        archive.builds.find_part("Tool roll", 7)


def test_a_part_keeps_its_facts(archive: Archive) -> None:
    part = archive.builds.make_part(archive.builds.make("x").id)
    archive.builds.set_part(part.id, video_url="https://v.example/1", posted_on="2025-03-31", host_settings={"a": [1]})
    kept = archive.builds.part(part.id)
    assert (kept.video_url, kept.posted_on, kept.host_settings) == ("https://v.example/1", "2025-03-31", {"a": [1]})
    assert archive.builds.set_part(part.id, video_url=None).video_url is None
    for wrong in ({"video_url": "ftp://x.example"}, {"posted_on": "yesterday"}, {"title": "\n"}):
        with pytest.raises(BadInput):
            archive.builds.set_part(part.id, **wrong)
    other = archive.builds.make_part(part.build_id)
    with pytest.raises(BadInput, match="taken"):
        archive.builds.set_part(other.id, number=part.number)


@pytest.mark.parametrize("name", ['it\'s "mine"', "-rf", "a'; DROP TABLE build; --", "линь 🧵", "%_*?", "concat:a|b"])
def test_any_name_is_only_a_name(archive: Archive, name: str) -> None:
    archive.builds.make(name)
    assert archive.builds.named(name).name == name


def test_a_name_with_line_breaks_becomes_one_line(archive: Archive) -> None:
    assert archive.builds.make("tool\nroll\x1b[31m").name == "tool roll [31m"


def test_removing_a_part_takes_its_edits_but_not_the_recording(archive: Archive) -> None:
    part = taken(archive)
    archive.edit(part, e.AddChapter(start_s=9, title="x"))
    archive.builds.set_cut(part, archive.builds.cut(part).clips)
    archive.edit(part, e.AddChapter(start_s=15, title="y"))
    archive.undo(part)
    archive.builds.remove_part(part)
    assert archive.builds.parts() == []
    assert len(archive.builds.recordings()) == 1
    assert archive.store.damage() == []
    with pytest.raises(NotFound):
        archive.log(part)


# Readings and edits


def test_the_newest_reading_is_in_use_and_edits_stay_on_it(archive: Archive) -> None:
    part = taken(archive)
    archive.edit(part, e.Rename(at=e.anchor(tool_roll().items[2]), name="scratch awl"))
    archive.edit(part, e.RewordStep(at=e.anchor(tool_roll().steps[2]), text="Punch it."))
    better = tool_roll()
    better.steps[2] = msgspec.structs.replace(better.steps[2], start_s=51.0, text="Punch the leather strap.")
    better.items = [msgspec.structs.replace(i, confidence=0.99) for i in better.items if i.name != "awl"]
    better.steps[2].items = ["i1"]
    recording = archive.builds.recordings(part)[0]
    archive.readings.keep_log(recording.id, key_of("better"), better)
    state = archive.state(part)
    assert state.log.steps[2].text == "Punch it."
    assert [type(u.edit).__name__ for u in state.unplaced] == ["Rename"]
    assert archive.owed(part).needs_look == [state.unplaced[0].why]
    # The first reading comes back: so does the edit that had no place.
    archive.readings.keep_log(recording.id, key_of("ab"), tool_roll())
    assert archive.log(part).items[2].name == "scratch awl"
    assert archive.needs_look(part) == []


def test_an_edit_that_fits_nothing_is_refused_and_not_kept(archive: Archive) -> None:
    part = taken(archive)
    with pytest.raises(NotFound, match="no item like “anvil” near 0:00:05"):
        archive.edit(part, e.NotAThing(at=e.Anchor(of="item", name="anvil", start_s=5)))
    assert archive.edits(part) == []
    assert archive.log(part) == tool_roll()


def test_undo_and_redo_are_kept_and_a_new_edit_ends_redo(archive: Archive, path: Path) -> None:
    part = taken(archive)
    assert archive.undo(part) is None
    for start in (6.0, 12.0):
        archive.edit(part, e.AddChapter(start_s=start, title=f"at {start:g}"))
    assert archive.undo(part) == e.AddChapter(start_s=12.0, title="at 12")
    archive.close()
    with Archive.open(path) as again:
        assert again.state(part).can_redo
        assert again.redo(part) == e.AddChapter(start_s=12.0, title="at 12")
        again.undo(part)
        again.undo(part)
        again.edit(part, e.AddChapter(start_s=20.0, title="at 20"))
        assert again.redo(part) is None
        assert [c.start_s for c in again.log(part).chapters] == [0, 20, 28, 48]
        history = again.edits(part)
        assert [r.act for r in history] == ["edit", "edit", "undo", "redo", "undo", "undo", "edit"]
        assert [r.in_effect for r in history if r.act == "edit"] == [False, False, True]


def test_the_history_cannot_be_rewritten(archive: Archive) -> None:
    part = taken(archive)
    archive.edit(part, e.AddChapter(start_s=6, title="x"))
    for statement in ("UPDATE edit SET body = '{}'", "DELETE FROM edit"):
        with pytest.raises(sqlite3.IntegrityError, match="append-only"), archive.store.write() as conn:
            conn.execute(statement)


def test_a_remembered_correction_reaches_later_parts_only_and_is_undone_with_its_edit(archive: Archive) -> None:
    earlier = taken(archive, sha="00")
    first = taken(archive, sha="11")
    archive.edit(
        first,
        e.RepairWord(start_s=30.5, end_s=31.4, heard="bias cape", text="bias tape", everywhere=True, remember=True),
    )
    later = taken(archive, sha="22")
    assert archive.log(earlier).items[1].name == "bias cape"
    assert archive.log(later).items[1].name == "bias tape"
    assert archive.reading(later).items[1].name == "bias cape"
    seen: list[int] = []
    archive.on_change(lambda conn, part, log: seen.append(part))
    archive.undo(first)
    assert archive.log(later).items[1].name == "bias cape"
    assert seen == [first, later]
    archive.redo(first)
    assert archive.log(later).items[1].name == "bias tape"


def test_accepted_checks_are_edits(archive: Archive) -> None:
    part = taken(archive)
    check = archive.log(part).checks[0]
    owed = archive.owed(part)
    assert (len(owed.links), len(owed.promises), len(owed.checks)) == (1, 1, 1)
    archive.edit(part, e.AcceptCheck(kind=check.kind, start_s=check.start_s, text=check.text))
    archive.edit(part, e.AcceptCheck(kind="promise", start_s=100.0, text="Next time the buckle."))
    archive.edit(part, e.WaiveLink(at=e.anchor(archive.log(part).links_owed[0])))
    assert archive.owed(part).count == 0
    assert len(archive.accepted_checks(part)) == 2
    archive.undo(part)
    archive.undo(part)
    assert archive.owed(part).count == 2


# Cuts


def small(start: float, name: str, kind: str = "material") -> Log:
    """Thirty seconds: one line, one item, one step, one technique, one chapter, one pointer."""
    return Log(
        recording=RecordingInfo(path=f"{name}.mp4", duration_s=30.0),
        transcript=[line(start, f"Take the {name} and fold it.")],
        items=[Item(id="i1", kind=kind, name=name, first_s=start + 1, mentions=[said(start + 1, name)])],  # type: ignore[arg-type]
        techniques=[Technique(id="t1", name="folding", first_shown_s=start + 2, mentions=[said(start + 2, "fold")])],
        steps=[
            Step(id="s1", start_s=start, end_s=start + 4, text=f"Fold the {name}.", items=["i1"], techniques=["t1"])
        ],
        notes=[Note(kind="tip", start_s=start + 1, text="Slowly.", refers_to="s1", id="n1")],
        chapters=[Chapter(start_s=0.0, title=f"The {name}", id="c1")],
    )


def two_clips(archive: Archive, *logs: Log) -> tuple[int, list[int]]:
    part = archive.builds.make_part(archive.builds.make("clips").id)
    ids = []
    for number, log in enumerate(logs):
        recording = archive.builds.keep_recording(f"{number}.mp4", sha256=f"{number}", duration_s=30.0)
        archive.readings.keep_log(recording.id, "k", log)
        ids.append(recording.id)
    return part.id, ids


def test_recordings_become_one_log_on_the_parts_clock(archive: Archive) -> None:
    part, (one, two) = two_clips(archive, small(10, "canvas"), small(5, "canvas"))
    archive.builds.set_cut(
        part,
        [Clip(recording_id=one, in_s=8, out_s=28), Clip(recording_id=two, in_s=0, out_s=30, speed=2.0)],
        offset_s=3.0,
    )
    log = archive.log(part)
    assert e.problems(log) == []
    # 3 + (11 - 8) = 6; 3 + 20 + 6 / 2 = 26.
    assert [m.start_s for m in log.items[0].mentions] == [6.0, 26.0]
    assert len(log.items) == len(log.techniques) == 1
    assert [(s.start_s, s.end_s, s.items) for s in log.steps] == [(5.0, 9.0, ["i1"]), (25.5, 27.5, ["i1"])]
    assert len({s.id for s in log.steps}) == 2
    assert log.notes[1].refers_to == log.steps[1].id
    assert log.transcript[1].words[0].start_s == 25.5
    assert [(c.start_s, c.title) for c in log.chapters] == [(0.0, "The canvas")]
    assert log.recording.duration_s == 38.0


def test_what_is_cut_out_is_not_in_the_log(archive: Archive) -> None:
    part, (one, two) = two_clips(archive, small(10, "canvas"), small(5, "felt"))
    archive.builds.set_cut(
        part, [Clip(recording_id=one, in_s=0, out_s=11.5), Clip(recording_id=two, in_s=20, out_s=30)]
    )
    log = archive.log(part)
    assert e.problems(log) == []
    assert [i.name for i in log.items] == ["canvas"]
    assert log.techniques == []
    assert [w.text for w in log.transcript[0].words] == ["Take", "the", "canvas"]
    assert log.transcript[0].text == "Take the canvas"
    assert log.steps[0].end_s == 11.5
    assert [c.title for c in log.chapters] == ["The canvas", "The felt"]


def test_a_stretch_shown_twice_is_heard_twice_and_listed_once(archive: Archive) -> None:
    part, (one,) = two_clips(archive, small(10, "canvas"))
    archive.builds.set_cut(part, [Clip(recording_id=one, in_s=10, out_s=13), Clip(recording_id=one, in_s=0, out_s=30)])
    log = archive.log(part)
    assert len(log.transcript) == 2
    assert [m.start_s for m in log.items[0].mentions] == [14.0]
    assert len(log.steps) == 1


def test_edits_follow_their_moment_into_a_new_cut(archive: Archive) -> None:
    part, (one, two) = two_clips(archive, small(10, "canvas"), small(5, "felt"))
    archive.builds.set_cut(part, [Clip(recording_id=one, in_s=0, out_s=30), Clip(recording_id=two, in_s=0, out_s=30)])
    log = archive.log(part)
    archive.edit(part, e.RewordStep(at=e.anchor(log.steps[1]), text="Fold."))
    archive.edit(part, e.AddChapter(start_s=45.0, title="Later"))
    archive.edit(part, e.AddChapter(start_s=15.0, title="Sooner"))
    archive.builds.set_cut(part, [Clip(recording_id=two, in_s=2, out_s=30)], offset_s=1.0)
    state = archive.state(part)
    assert [(s.start_s, s.text) for s in state.log.steps] == [(4.0, "Fold.")]
    # 45 is 15 s into the second recording; 15 is in the first, which is gone.
    assert [(c.start_s, c.title) for c in state.log.chapters][1:] == [(14.0, "Later")]
    assert [u.why for u in state.unplaced] == ["its moment is no longer in the part's cut"]


def test_edits_stay_at_their_times_when_the_same_film_is_exported_again(archive: Archive) -> None:
    part, (one, two, three) = two_clips(archive, small(10, "canvas"), small(10, "canvas"), small(10, "canvas"))
    archive.builds.add_recording(part, one)
    archive.edit(part, e.RewordStep(at=e.anchor(archive.log(part).steps[0]), text="Fold."))
    archive.builds.set_cut(part, [Clip(recording_id=one, in_s=5, out_s=30)])
    archive.edit(part, e.AddChapter(start_s=20.0, title="Later"))
    archive.builds.replace_recordings(part, two)
    # Made at 10 s of the first film and at 20 s of its shortened cut; in the new export 5 s and 20 s.
    state = archive.state(part)
    assert state.unplaced == ()
    assert state.log.steps[0].text == "Fold."
    assert [(c.start_s, c.title) for c in state.log.chapters] == [(0.0, "The canvas"), (20.0, "Later")]
    archive.builds.replace_recordings(part, three)
    archive.builds.set_cut(part, [Clip(recording_id=three, in_s=2, out_s=30)])
    assert [(c.start_s, c.title) for c in archive.log(part).chapters][1:] == [(18.0, "Later")]


def test_a_part_that_is_one_recording_has_its_log_as_it_is(archive: Archive) -> None:
    assert archive.log(taken(archive)) == tool_roll()


@pytest.mark.parametrize("wrong", [(5, 5, 1), (-1, 5, 1), (0, 5, 0), (0, float("nan"), 1), (0, float("inf"), 1)])
def test_a_clip_must_show_something(archive: Archive, wrong: tuple[float, float, float]) -> None:
    part, (one,) = two_clips(archive, small(10, "canvas"))
    with pytest.raises(BadInput):
        archive.builds.set_cut(part, [Clip(recording_id=one, in_s=wrong[0], out_s=wrong[1], speed=wrong[2])])
    assert archive.builds.cut(part).clips == ()


# Link book, words, settings


def test_link_book(archive: Archive) -> None:
    url = "https://cord.example/1mm"
    entry = archive.links.keep("waxed cord", url, shop="a shop")
    assert archive.links.keep("Waxed cord", url, pays_maker=True).id == entry.id
    kept = archive.links.of("the waxed cord", "cord, waxed")[0]
    assert (kept.shop, kept.pays_maker, kept.answered) == ("a shop", True, None)
    newer = archive.links.keep("waxed cord", "https://cord.example/2", alternatives=[url])
    assert [x.id for x in archive.links.of("waxed cord")] == [newer.id, entry.id]
    assert len(archive.links.with_url(url)) == 2
    assert archive.links.set_checked(entry.id, answered=False).answered is False
    assert archive.links.of("canvas") == []
    archive.links.remove(entry.id)
    with pytest.raises(NotFound):
        archive.links.entry(entry.id)
    with pytest.raises(BadInput):
        archive.links.keep("x", "javascript:1")


def test_own_words_and_settings(archive: Archive) -> None:
    archive.words.keep("frog closure", "material", aliases=["frog"])
    archive.words.keep("Frog closure", "tool")
    assert [(w.term, w.kind, w.aliases) for w in archive.words.all()] == [("frog closure", "tool", [])]
    archive.words.remove("FROG closure")
    with pytest.raises(NotFound):
        archive.words.remove("frog closure")
    with pytest.raises(BadInput, match="material, tool"):
        archive.words.keep("x", "colour")
    archive.settings.put("units", {"first": "metric"})
    assert archive.settings.get("units") == {"first": "metric"}
    archive.settings.put("units", None)
    assert archive.settings.get("units", 1) == 1


# Other windows, listeners


def test_two_windows_see_each_others_edits(archive: Archive, path: Path) -> None:
    part = taken(archive)
    with Archive.open(path) as other:
        token, version = other.token(), other.data_version()
        assert not other.changes_since(token)
        archive.edit(part, e.AddChapter(start_s=6, title="x"))
        assert other.data_version() != version
        changes = other.changes_since(token)
        assert changes.parts == {part}
        assert not other.changes_since(changes.token)
        assert len(other.log(part).chapters) == 4
        other.undo(part)
        assert len(archive.log(part).chapters) == 3
        archive.links.keep("x", "https://x.example")
        assert other.changes_since(changes.token).other


def test_a_listener_is_in_the_same_transaction(archive: Archive, path: Path) -> None:
    part = taken(archive)
    with archive.store.write() as conn:
        conn.execute("CREATE TABLE index_of (part INTEGER PRIMARY KEY, chapters INTEGER)")

    def index(conn: sqlite3.Connection, part_id: int, log: Log | None) -> None:
        conn.execute("DELETE FROM index_of WHERE part = ?", (part_id,))
        if log is not None:
            if len(log.chapters) > 4:
                raise RuntimeError("too many")
            conn.execute("INSERT INTO index_of VALUES (?, ?)", (part_id, len(log.chapters)))

    def indexed() -> list[tuple[int, int]]:
        return [tuple(r) for r in sqlite3.connect(path).execute("SELECT * FROM index_of")]

    archive.on_change(index)
    archive.edit(part, e.AddChapter(start_s=6, title="x"))
    assert indexed() == [(part, 4)]
    with pytest.raises(RuntimeError):
        archive.edit(part, e.AddChapter(start_s=16, title="y"))
    assert indexed() == [(part, 4)]
    assert len(archive.log(part).chapters) == 4
    archive.edit(part, e.RemoveChapter(at=e.anchor(archive.log(part).chapters[1])))
    assert indexed() == [(part, 3)]
    archive.builds.remove_part(part)
    assert indexed() == []


def test_unchanged_things_are_the_same_objects_after_an_edit(archive: Archive) -> None:
    part = taken(archive)
    before = archive.log(part)
    archive.edit(part, e.RewordStep(at=e.anchor(before.steps[1]), text="Bind."))
    after = archive.log(part)
    assert after.transcript is before.transcript
    assert [a is b for a, b in zip(after.steps, before.steps, strict=True)] == [True, False, True]


CHILD = textwrap.dedent(
    """
    import sys
    from buildlog import edits as e
    from buildlog.archive import Archive
    path, part, name, count = sys.argv[1], int(sys.argv[2]), sys.argv[3], int(sys.argv[4])
    archive = Archive.open(path)
    for n in range(count):
        archive.edit(part, e.AddNote(kind="tip", start_s=float(n), text=f"{name} number {n}"))
        print(n, flush=True)
    """
)


def child(path: Path, part: int, name: str, count: int) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", CHILD, str(path), str(part), name, str(count)], stdout=subprocess.PIPE, text=True
    )


def test_two_processes_write_at_once(archive: Archive, path: Path) -> None:
    part = taken(archive)
    writers = [child(path, part, name, 25) for name in ("ann", "ben")]
    for n in range(25):
        archive.edit(part, e.AddNote(kind="tip", start_s=float(n), text=f"here number {n}"))
    assert [w.wait(60) for w in writers] == [0, 0]
    texts = [n.text for n in archive.log(part).notes]
    for name in ("ann", "ben", "here"):
        assert sum(t.startswith(f"{name} number") for t in texts) == 25
    assert archive.store.damage() == []


def test_threads_share_an_archive(archive: Archive) -> None:
    part = taken(archive)
    threads = [
        threading.Thread(target=lambda n=n: archive.edit(part, e.AddNote(kind="tip", start_s=float(n), text=f"n {n}")))
        for n in range(8)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(archive.log(part).notes) == 2 + 8


def test_kill_loses_no_edit_that_was_said_to_be_kept(archive: Archive, path: Path) -> None:
    part = taken(archive)
    for name, stop_at in (("first", 3), ("second", 17)):
        writer = child(path, part, name, 100_000)
        assert writer.stdout is not None
        said_kept = -1
        for row in writer.stdout:
            said_kept = int(row)
            if said_kept >= stop_at:
                os.kill(writer.pid, signal.SIGKILL)
                break
        said_kept = max([said_kept, *map(int, writer.stdout.read().split())])
        assert writer.wait(30) == -signal.SIGKILL
        writer.stdout.close()
        kept = [n.text for n in archive.log(part).notes if n.text.startswith(name)]
        assert len(kept) in (said_kept + 1, said_kept + 2)
        assert archive.store.damage() == []
    archive.edit(part, e.AddNote(kind="tip", start_s=1.0, text="and on it goes"))


# Files that are not as they should be


def version_one(path: Path) -> None:
    """An archive as version 1 made it, with a build, a part, a recording, a reading and an edit."""
    conn = sqlite3.connect(path)
    schema._first(conn)
    conn.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
    conn.execute("PRAGMA user_version = 1")
    conn.execute("INSERT INTO build VALUES (1, 'roll', '2025-01-01')")
    conn.execute("INSERT INTO part (id, build_id, number, made_at) VALUES (1, 1, 1, '2025-01-01')")
    conn.execute("INSERT INTO recording VALUES (1, 'roll.mp4', 'ab', 120.0, '{}', '2025-01-01')")
    conn.execute("INSERT INTO cut VALUES (1, 1, 0, 0, '2025-01-01')")
    conn.execute("INSERT INTO clip VALUES (1, 0, 1, 0, 120, 1)")
    body = msgspec.json.encode(tool_roll())
    conn.execute("INSERT INTO reading VALUES (1, 1, 'log', 'k', ?, '2025-01-01')", (body,))
    edit = '{"do":"add_chapter","start_s":9.0,"title":"kept"}'
    conn.execute("INSERT INTO edit VALUES (1, 1, 1, 'edit', NULL, ?, 0, '2025-01-01')", (edit,))
    conn.commit()
    conn.close()


def test_an_older_archive_is_brought_up_to_date(path: Path) -> None:
    version_one(path)
    with Archive.open(path) as archive:
        assert archive.log(1).chapters[1].title == "kept"
        archive.links.keep("cord", "https://c.example")
        archive.edit(1, e.AddChapter(start_s=15, title="new"))
    assert sqlite3.connect(path).execute("PRAGMA user_version").fetchone()[0] == schema.VERSION


def test_a_migration_that_fails_changes_nothing(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    version_one(path)

    def broken(conn: sqlite3.Connection) -> None:
        conn.execute("DROP TABLE edit")
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr("buildlog.archive.store.MIGRATIONS", [schema.MIGRATIONS[0], broken])
    with pytest.raises(sqlite3.OperationalError):
        Archive.open(path)
    monkeypatch.undo()
    with Archive.open(path) as archive:
        assert archive.log(1).chapters[1].title == "kept"


def test_an_older_archive_opened_to_read_is_brought_up_to_date_first(path: Path) -> None:
    version_one(path)
    with Archive.open(path, read_only=True) as archive:
        assert archive.links.all() == []
        assert archive.log(1).chapters[1].title == "kept"


def test_an_older_archive_that_cannot_be_written_says_what_to_do() -> None:
    with as_somebody_else() as folder:
        version_one(folder / "a.sqlite3")
        give_up_rights(folder, 0o444)
        with pytest.raises(ArchiveError, match="older version") as error:
            Archive.open(folder / "a.sqlite3", read_only=True)
        one_line(error)


def one_line(error: pytest.ExceptionInfo[ArchiveError]) -> str:
    assert "\n" not in str(error.value)
    return str(error.value)


def test_a_newer_archive_is_refused_and_left_alone(path: Path) -> None:
    Archive.open(path).close()
    conn = sqlite3.connect(path)
    conn.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
    conn.close()
    before = path.read_bytes()
    for read_only in (False, True):
        with pytest.raises(ArchiveError, match="newer than") as error:
            Archive.open(path, read_only=read_only)
        assert "update buildlog" in one_line(error)
    assert path.read_bytes() == before


def test_another_programs_database_is_left_alone(path: Path) -> None:
    conn = sqlite3.connect(path)
    conn.execute("CREATE TABLE theirs (x)")
    conn.commit()
    conn.close()
    before = path.read_bytes()
    with pytest.raises(ArchiveError, match="another program"):
        Archive.open(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize("content", [b"no database at all, only words " * 50, b"SQLite format 3\0" + b"\xff" * 5000])
def test_what_is_no_database_is_refused_and_left_alone(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    for read_only in (False, True):
        with pytest.raises(ArchiveError, match=r"not a buildlog archive|damaged") as error:
            Archive.open(path, read_only=read_only)
        one_line(error)
    assert path.read_bytes() == content


def test_a_damaged_archive_is_said_to_be_damaged(path: Path) -> None:
    with Archive.open(path) as archive:
        part = taken(archive)
        for n in range(200):
            archive.links.keep(f"thing {n}", f"https://x.example/{n}")
    content = bytearray(path.read_bytes())
    content[4096:] = b"\xa5" * (len(content) - 4096)
    path.write_bytes(content)
    with pytest.raises(ArchiveError, match="damaged") as error, Archive.open(path) as archive:
        archive.log(part)
    one_line(error)


def test_a_truncated_archive_is_said_to_be_damaged(path: Path) -> None:
    with Archive.open(path) as archive:
        part = taken(archive)
    path.write_bytes(path.read_bytes()[: 4096 * 3])
    with pytest.raises(ArchiveError, match="damaged"), Archive.open(path) as archive:
        archive.log(part)


def test_no_archive_a_folder_and_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    with pytest.raises(ArchiveError, match="there is no archive"):
        Archive.open(tmp_path / "x", create=False)
    with pytest.raises(ArchiveError, match="there is no archive"):
        Archive.open(tmp_path / "x", read_only=True)
    with pytest.raises(ArchiveError, match="is a folder"):
        Archive.open(tmp_path)
    (tmp_path / "file").write_text("x")
    with pytest.raises(ArchiveError, match="cannot make the folder"):
        Archive.open(tmp_path / "file" / "a.sqlite3")
    assert not (tmp_path / "x").exists()


@contextmanager
def as_somebody_else() -> Iterator[Path]:
    """A folder that is another user's, and file access as a user without special rights (as root has them all)."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    root = os.geteuid() == 0
    try:
        yield folder
    finally:
        if root:
            os.seteuid(0)
        folder.chmod(0o755)
        shutil.rmtree(folder)


def give_up_rights(folder: Path, mode: int) -> None:
    for file in folder.iterdir():
        file.chmod(mode)
    folder.chmod(0o555)
    if os.geteuid() == 0:
        os.seteuid(65534)


def test_a_read_only_archive_can_be_read_and_says_so_when_written() -> None:
    with as_somebody_else() as folder:
        with Archive.open(folder / "a.sqlite3") as archive:
            part = taken(archive)
        give_up_rights(folder, 0o444)
        with pytest.raises(ArchiveError, match="read-only") as error:
            Archive.open(folder / "a.sqlite3")
        one_line(error)
        with Archive.open(folder / "a.sqlite3", read_only=True) as archive:
            assert archive.read_only
            assert archive.log(part) == tool_roll()
            with pytest.raises(ArchiveError, match="nothing was changed"):
                archive.edit(part, e.AddChapter(start_s=9, title="x"))


def test_an_archive_without_permission_says_so() -> None:
    with as_somebody_else() as folder:
        Archive.open(folder / "a.sqlite3").close()
        give_up_rights(folder, 0o000)
        for read_only in (True, False):
            with pytest.raises(ArchiveError, match="permission") as error:
                Archive.open(folder / "a.sqlite3", read_only=read_only)
            one_line(error)


def test_a_full_disk_changes_nothing(archive: Archive) -> None:
    part = taken(archive)
    with archive.store.read() as conn:
        pages = conn.execute("PRAGMA page_count").fetchone()[0]
    with archive.store._lock:
        archive.store._conn.execute(f"PRAGMA max_page_count = {pages}")

    def fill() -> None:
        for n in range(200):
            archive.edit(part, e.AddNote(kind="tip", start_s=float(n % 100), text=f"note {n} " + "x" * 3000))

    with pytest.raises(ArchiveError, match="no room left"):
        fill()
    kept = len([r for r in archive.edits(part) if r.act == "edit"])
    assert len(archive.log(part).notes) == 2 + kept
    archive.store._conn.execute("PRAGMA max_page_count = 100000")
    archive.edit(part, e.AddNote(kind="tip", start_s=1.0, text="room again"))
    assert len(archive.log(part).notes) == 3 + kept
