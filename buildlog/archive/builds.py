"""Builds, their parts, the recordings, and how a part is cut from recordings."""

from __future__ import annotations

import math
import sqlite3
from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

import msgspec

from buildlog.archive.cut import Clip, Cut
from buildlog.archive.records import Build, Part, Recording
from buildlog.archive.store import Store, now
from buildlog.edits import checked_url, clean_text
from buildlog.errors import BadInput, NotFound, one_line

# Called inside the transaction after something changed: (connection, part or None, what).
Touch = Callable[[sqlite3.Connection, int | None, str], None]
LONGEST_NAME = 200


def clean_name(name: str, what: str) -> str:
    """``name`` on one line. Raises :class:`BadInput` where nothing is left of it or it is too long."""
    clean = clean_text(name)
    if not clean:
        raise BadInput(f"the {what} is empty; give it a name")
    if len(clean) > LONGEST_NAME:
        raise BadInput(f"the {what} has {len(clean)} characters; at most {LONGEST_NAME} fit")
    return clean


class Builds:
    """The archive's builds, parts, recordings and cuts."""

    def __init__(self, store: Store, touch: Touch) -> None:
        self._store = store
        self._touch = touch

    # Builds

    def all(self) -> list[Build]:
        """Every build, by name."""
        with self._store.read() as conn:
            return [_build(row) for row in conn.execute("SELECT * FROM build ORDER BY name")]

    def named(self, name: str) -> Build:
        """The build called ``name`` (case does not matter). Raises :class:`NotFound`."""
        with self._store.read() as conn:
            row = conn.execute("SELECT * FROM build WHERE name = ?", (clean_text(name),)).fetchone()
        if row is None:
            raise NotFound(f"no build is called “{one_line(name)}”; `buildlog builds` lists them")
        return _build(row)

    def make(self, name: str) -> Build:
        """The build called ``name``, made if it is not there."""
        name = clean_name(name, "build's name")
        with self._store.write() as conn:
            row = conn.execute("SELECT * FROM build WHERE name = ?", (name,)).fetchone()
            if row is None:
                conn.execute("INSERT INTO build (name, made_at) VALUES (?, ?)", (name, now()))
                row = conn.execute("SELECT * FROM build WHERE name = ?", (name,)).fetchone()
                self._touch(conn, None, "build")
            return _build(row)

    def rename(self, build_id: int, name: str) -> Build:
        """Call a build otherwise. Raises :class:`NotFound`, and :class:`BadInput` where another has the name."""
        name = clean_name(name, "build's name")
        with self._store.write() as conn:
            try:
                done = conn.execute("UPDATE build SET name = ? WHERE id = ?", (name, build_id)).rowcount
            except sqlite3.IntegrityError as error:
                raise BadInput(f"another build is called “{one_line(name)}”; choose another name") from error
            if not done:
                raise NotFound(f"there is no build {build_id}; `buildlog builds` lists them")
            for part in self.parts(build_id):
                self._touch(conn, part.id, "part")
            return self.named(name)

    def remove(self, build_id: int) -> None:
        """Take a build with its parts and their edits away; recordings and readings stay."""
        with self._store.write() as conn:
            parts = self.parts(build_id)
            conn.execute("DELETE FROM build WHERE id = ?", (build_id,))
            for part in parts:
                self._touch(conn, part.id, "gone")

    # Parts

    def parts(self, build_id: int | None = None) -> list[Part]:
        """The parts of a build (of all builds where ``None``), by build and number."""
        with self._store.read() as conn:
            return [
                _part(row)
                for row in conn.execute(
                    f"{_PARTS} WHERE ?1 IS NULL OR build_id = ?1 ORDER BY build.name, number", (build_id,)
                )
            ]

    def part(self, part_id: int) -> Part:
        """A part by id. Raises :class:`NotFound`."""
        with self._store.read() as conn:
            row = conn.execute(f"{_PARTS} WHERE part.id = ?", (part_id,)).fetchone()
        if row is None:
            raise NotFound(f"there is no part {part_id}; `buildlog builds` lists them")
        return _part(row)

    def find_part(self, build: str, number: int | None = None) -> Part:
        """The part of the build called ``build``; without ``number`` its only or last one. Raises :class:`NotFound`."""
        found = self.parts(self.named(build).id)
        chosen = [p for p in found if number in (None, p.number)]
        if not chosen:
            there = ", ".join(str(p.number) for p in found) or "no part yet"
            raise NotFound(f"“{one_line(build)}” has no part {number}; it has: {there}")
        return chosen[-1]

    def make_part(self, build_id: int, number: int | None = None, title: str | None = None) -> Part:
        """A part of a build, made if it is not there; without ``number`` a new one after the last."""
        if number is not None and not 0 < number < 100_000:
            raise BadInput(f"a part cannot have the number {number}; count from 1")
        title = None if title is None else clean_name(title, "title")
        with self._store.write() as conn:
            if number is None:
                last = conn.execute("SELECT max(number) FROM part WHERE build_id = ?", (build_id,)).fetchone()[0]
                number = (last or 0) + 1
            row = conn.execute(f"{_PARTS} WHERE build_id = ? AND number = ?", (build_id, number)).fetchone()
            if row is None:
                try:
                    conn.execute(
                        "INSERT INTO part (build_id, number, title, edits_before, made_at)"
                        " VALUES (?, ?, ?, (SELECT coalesce(max(id), 0) FROM edit), ?)",
                        (build_id, number, title, now()),
                    )
                except sqlite3.IntegrityError as error:
                    raise NotFound(f"there is no build {build_id}; `buildlog builds` lists them") from error
                row = conn.execute(f"{_PARTS} WHERE part.id = last_insert_rowid()").fetchone()
                self._touch(conn, row["id"], "part")
            elif title is not None and title != row["title"]:
                return self.set_part(row["id"], title=title)
            return _part(row)

    def set_part(self, part_id: int, **facts: Any) -> Part:
        """Set a part's ``title``, ``video_url``, ``posted_on`` (ISO date), ``host``, ``host_settings`` or ``number``.

        Only what is given changes; ``None`` takes a fact away. Raises :class:`NotFound` and :class:`BadInput`.
        """
        unknown = facts.keys() - {"title", "video_url", "posted_on", "host", "host_settings", "number"}
        if unknown:
            raise TypeError(f"a part has no {', '.join(sorted(unknown))}")
        values = dict(facts)
        if values.get("title") is not None:
            values["title"] = clean_name(values["title"], "title")
        if values.get("video_url") is not None:
            values["video_url"] = checked_url(values["video_url"])
        if values.get("posted_on") is not None:
            try:
                values["posted_on"] = date.fromisoformat(str(values["posted_on"])).isoformat()
            except ValueError as error:
                raise BadInput(f"not a date: {one_line(values['posted_on'])}; write it as 2025-03-31") from error
        if "host_settings" in values:
            values["host_settings"] = msgspec.json.encode(values["host_settings"] or {}).decode()
        with self._store.write() as conn:
            self.part(part_id)
            for name, value in values.items():
                try:
                    # The name comes from the list above, never from outside.
                    conn.execute(f"UPDATE part SET {name} = ? WHERE id = ?", (value, part_id))
                except sqlite3.IntegrityError as error:
                    raise BadInput(f"the part cannot have the {name} {one_line(value)}: it is taken") from error
            self._touch(conn, part_id, "part")
            return self.part(part_id)

    def remove_part(self, part_id: int) -> None:
        """Take a part with its edits away; recordings and readings stay. Raises :class:`NotFound`."""
        with self._store.write() as conn:
            self.part(part_id)
            conn.execute("DELETE FROM part WHERE id = ?", (part_id,))
            self._touch(conn, part_id, "gone")

    # Recordings

    def recording(self, recording_id: int) -> Recording:
        """A recording by id. Raises :class:`NotFound`."""
        with self._store.read() as conn:
            row = conn.execute("SELECT * FROM recording WHERE id = ?", (recording_id,)).fetchone()
        if row is None:
            raise NotFound(f"there is no recording {recording_id} in this archive")
        return _recording(row)

    def recording_with(self, sha256: str) -> Recording | None:
        """The recording whose bytes have this sha256, if it was taken in."""
        with self._store.read() as conn:
            row = conn.execute("SELECT * FROM recording WHERE sha256 = ?", (sha256,)).fetchone()
        return None if row is None else _recording(row)

    def recordings(self, part_id: int | None = None) -> list[Recording]:
        """The recordings of a part in order of first use; of the whole archive where ``None``."""
        if part_id is not None:
            return [self.recording(r) for r in self.cut(part_id).recordings()]
        with self._store.read() as conn:
            return [_recording(row) for row in conn.execute("SELECT * FROM recording ORDER BY id")]

    def keep_recording(
        self, path: str, *, sha256: str, duration_s: float, facts: dict[str, Any] | None = None
    ) -> Recording:
        """The recording with these bytes, made if it is not there; its path becomes the one given."""
        if not (math.isfinite(duration_s) and duration_s >= 0):
            raise BadInput(f"{one_line(path)} lasts {duration_s} seconds; give a recording with a length")
        with self._store.write() as conn:
            conn.execute(
                "INSERT INTO recording (path, sha256, duration_s, facts, made_at) VALUES (?, ?, ?, ?, ?)"
                " ON CONFLICT (sha256) DO UPDATE SET path = excluded.path, duration_s = excluded.duration_s,"
                " facts = excluded.facts",
                (path, sha256, duration_s, msgspec.json.encode(facts or {}).decode(), now()),
            )
            self._touch(conn, None, "recording")
            return _recording(conn.execute("SELECT * FROM recording WHERE sha256 = ?", (sha256,)).fetchone())

    def move_recording(self, recording_id: int, path: str) -> Recording:
        """The file is at ``path`` now."""
        with self._store.write() as conn:
            conn.execute("UPDATE recording SET path = ? WHERE id = ?", (path, recording_id))
            self._touch(conn, None, "recording")
            return self.recording(recording_id)

    def parts_with(self, recording_id: int) -> list[int]:
        """The ids of the parts whose present cut shows something of a recording."""
        with self._store.read() as conn:
            return [
                int(row[0])
                for row in conn.execute(
                    "SELECT DISTINCT part_id FROM cut JOIN clip ON cut_id = cut.id WHERE recording_id = ?"
                    " AND cut.id = (SELECT max(id) FROM cut c WHERE c.part_id = cut.part_id)",
                    (recording_id,),
                )
            ]

    # Cuts

    def cut(self, part_id: int) -> Cut:
        """The part's present cut; without clips where it has no recording yet."""
        with self._store.read() as conn:
            row = conn.execute("SELECT max(id) FROM cut WHERE part_id = ?", (part_id,)).fetchone()
            return Cut() if row[0] is None else self.cut_with(row[0])

    def cut_with(self, cut_id: int) -> Cut:
        """A cut by id, also a former one."""
        with self._store.read() as conn:
            offset = conn.execute("SELECT offset_s FROM cut WHERE id = ?", (cut_id,)).fetchone()[0]
            clips = conn.execute(
                "SELECT recording_id, in_s, out_s, speed FROM clip WHERE cut_id = ? ORDER BY position", (cut_id,)
            ).fetchall()
        return Cut(id=cut_id, offset_s=offset, clips=tuple(Clip(**dict(row)) for row in clips))

    def set_cut(self, part_id: int, clips: Sequence[Clip], *, offset_s: float = 0.0, same_times: bool = False) -> Cut:
        """Put the part together anew. Raises :class:`BadInput`.

        The edits made so far go where their moment of the recording is now. With ``same_times`` they stay at their
        times: the part is the same film as before, from other files (exported again, say).
        """
        for clip in clips:
            sound = all(map(math.isfinite, (clip.in_s, clip.out_s, clip.speed)))
            if not sound or clip.speed <= 0 or not 0 <= clip.in_s < clip.out_s:
                raise BadInput(
                    f"a clip from {clip.in_s} to {clip.out_s} s at speed {clip.speed} shows nothing; mend it"
                )
        if not math.isfinite(offset_s):
            raise BadInput("the offset is not a number of seconds")
        with self._store.write() as conn:
            self.part(part_id)
            cursor = conn.execute(
                "INSERT INTO cut (part_id, offset_s, same_times, made_at) VALUES (?, ?, ?, ?)",
                (part_id, offset_s, same_times, now()),
            )
            for position, clip in enumerate(clips):
                self.recording(clip.recording_id)
                conn.execute(
                    "INSERT INTO clip (cut_id, position, recording_id, in_s, out_s, speed) VALUES (?, ?, ?, ?, ?, ?)",
                    (cursor.lastrowid, position, clip.recording_id, clip.in_s, clip.out_s, clip.speed),
                )
            self._touch(conn, part_id, "cut")
            return self.cut(part_id)

    def recut(self, cut_id: int) -> list[tuple[Cut, Cut]]:
        """How to carry times from a former cut to the part's present one: through each pair of cuts in turn.

        From the second of a pair to the first of the next, times stay as they are.
        """
        with self._store.read() as conn:
            rows = conn.execute(
                "SELECT id, same_times FROM cut WHERE id >= ?1 AND part_id = (SELECT part_id FROM cut WHERE id = ?1)"
                " ORDER BY id",
                (cut_id,),
            ).fetchall()
            pairs: list[tuple[Cut, Cut]] = []
            start = before = cut_id
            for row in rows[1:]:
                if row["same_times"]:
                    pairs.append((self.cut_with(start), self.cut_with(before)))
                    start = row["id"]
                before = row["id"]
            return [*pairs, (self.cut_with(start), self.cut_with(before))]

    def replace_recordings(self, part_id: int, recording_id: int) -> Cut:
        """Make the whole recording the part, as another export of the same film: edits stay at their times."""
        with self._store.write():
            recording = self.recording(recording_id)
            whole = Clip(recording_id=recording_id, in_s=0.0, out_s=max(recording.duration_s, 0.001))
            return self.set_cut(part_id, [whole], same_times=True)

    def add_recording(self, part_id: int, recording_id: int) -> Cut:
        """Put the whole recording at the end of the part, unless the part has something of it already."""
        with self._store.write():
            cut, recording = self.cut(part_id), self.recording(recording_id)
            if recording_id in cut.recordings():
                return cut
            whole = Clip(recording_id=recording_id, in_s=0.0, out_s=max(recording.duration_s, 0.001))
            return self.set_cut(part_id, [*cut.clips, whole], offset_s=cut.offset_s)


_PARTS = "SELECT part.*, build.name AS build FROM part JOIN build ON build.id = build_id"


def _build(row: sqlite3.Row) -> Build:
    return Build(id=row["id"], name=row["name"], made_at=row["made_at"])


def _part(row: sqlite3.Row) -> Part:
    return Part(
        id=row["id"],
        build_id=row["build_id"],
        build=row["build"],
        number=row["number"],
        title=row["title"],
        video_url=row["video_url"],
        posted_on=row["posted_on"],
        host=row["host"],
        host_settings=msgspec.json.decode(row["host_settings"]),
        made_at=row["made_at"],
    )


def _recording(row: sqlite3.Row) -> Recording:
    return Recording(
        id=row["id"],
        path=row["path"],
        sha256=row["sha256"],
        duration_s=row["duration_s"],
        facts=msgspec.json.decode(row["facts"]),
        made_at=row["made_at"],
    )
