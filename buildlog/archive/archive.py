"""The maker's one database of all builds.

``Archive`` opens the file and gives each concern a place: ``builds``, ``readings``, ``links``, ``words``,
``settings``; logs with the maker's edits on them, and undo, are here.
"""

from __future__ import annotations

import sqlite3
from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path
from types import TracebackType

import msgspec

from buildlog.archive.book import LinkBook, OwnWords, Settings
from buildlog.archive.builds import Builds
from buildlog.archive.carry import carry
from buildlog.archive.cut import Cut
from buildlog.archive.readings import Readings
from buildlog.archive.records import Changes, EditRecord, Owed, Part, PartState
from buildlog.archive.store import Store, now
from buildlog.document import Check, Log
from buildlog.edits import (
    AcceptCheck,
    AnyEdit,
    AttachUrl,
    LetGo,
    Misplaced,
    Unplaced,
    accepts,
    apply_one,
    apply_remembered,
    checked,
    clean_text,
    retimed,
)
from buildlog.errors import ArchiveError, NotFound, one_line

# Called in the transaction of every change of a part: (connection, part id, its log now or None where it is gone).
OnChange = Callable[[sqlite3.Connection, int, Log | None], None]

_KEPT_PARTS = 8
_KEPT_CHANGES = 20_000
_edits: msgspec.json.Decoder[AnyEdit] = msgspec.json.Decoder(AnyEdit)


class _Stacks:
    """A part's edits in effect, in order, and those undone, the one to redo first last."""

    def __init__(self) -> None:
        self.last = 0
        self.done: list[int] = []
        self.undone: list[int] = []
        self._leaves_out: dict[int, int] = {}

    def take(self, edit_id: int, act: str, about: int | None, body: str | None) -> None:
        """The next line of the history. Only the top is ever undone or redone. ``body`` where it may leave one out."""
        self.last = edit_id
        if body is not None and (out := _left_out_by(_edits.decode(body))) is not None:
            self._leaves_out[edit_id] = out
        if act == "edit":
            self.done.append(edit_id)
            self.undone.clear()
            return
        source, target = (self.done, self.undone) if act == "undo" else (self.undone, self.done)
        if not source or source[-1] != about:
            raise ArchiveError("the history of the edits contradicts itself: the archive is damaged; put a copy back")
        target.append(source.pop())

    def left_out(self) -> frozenset[int]:
        """The edits that later ones in effect let go or take the place of."""
        if not self._leaves_out:
            return frozenset()
        done = set(self.done)
        return frozenset(out for by, out in self._leaves_out.items() if by in done)


def _left_out_by(edit: AnyEdit) -> int | None:
    return edit.edit if isinstance(edit, LetGo) else edit.instead


class _Folded:
    """A part's log after each of its edits, so that the newest edit costs one step and undo none."""

    def __init__(self, key: object, base: Log) -> None:
        self.key = key
        self.base = base
        self.steps: list[tuple[int, Log, tuple[Unplaced, ...]]] = []
        self.left_out: frozenset[int] = frozenset()
        self.stamp: object = None

    def top(self) -> tuple[Log, tuple[Unplaced, ...]]:
        return (self.steps[-1][1], self.steps[-1][2]) if self.steps else (self.base, ())


class Archive:
    """An open archive. Use :meth:`open`; close it, or use it in a ``with``.

    Logs handed out are shared: read them, never change them.
    """

    def __init__(self, store: Store) -> None:
        self.store = store
        self.builds = Builds(store, self._touch)
        self.readings = Readings(store, self.builds, self._touch)
        self.links = LinkBook(store, self._touch)
        self.words = OwnWords(store, self._touch)
        self.settings = Settings(store, self._touch)
        self._listeners: list[OnChange] = []
        self._folded: OrderedDict[int, _Folded] = OrderedDict()
        self._stacks: dict[int, _Stacks] = {}
        self._given_up = 0
        self._writes = 0
        self._before: Log | None = None

    @classmethod
    def open(cls, path: Path | str, *, create: bool = True, read_only: bool = False) -> Archive:
        """Open (and where ``create``, make) the archive at ``path``; an older one is brought up to date.

        Raises :class:`ArchiveError` where it is damaged, newer, another program's, not there or not to be written.
        """
        return cls(Store(Path(path), create=create, read_only=read_only))

    def close(self) -> None:
        """Let go of the file."""
        self.store.close()

    def __enter__(self) -> Archive:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def read_only(self) -> bool:
        """Whether nothing can be changed."""
        return self.store.read_only

    # What changed ---------------------------------------------------------------------------------------------------

    def on_change(self, callback: OnChange) -> None:
        """Have ``callback`` called in the same transaction as every change of a part's log, title or build's name.

        If it raises, the change is not made. Parts of the log that did not change are the very same objects as
        before (:meth:`log_before`), so a callback can compare by identity.
        """
        self._listeners.append(callback)

    def log_before(self) -> Log | None:
        """In a callback of :meth:`on_change`: the part's log before this change, where an edit, undo or redo made it."""
        return self._before

    def _touch(self, conn: sqlite3.Connection, part_id: int | None, what: str, before: Log | None = None) -> None:
        self._writes += 1
        conn.execute("INSERT INTO change (part_id, what) VALUES (?, ?)", (part_id, what))
        conn.execute("DELETE FROM change WHERE id <= (SELECT max(id) FROM change) - ?", (_KEPT_CHANGES,))
        if part_id is not None and self._listeners:
            log = None if what == "gone" else self._fold(part_id).top()[0]
            self._before = before
            try:
                for listener in self._listeners:
                    listener(conn, part_id, log)
            finally:
                self._before = None

    def data_version(self) -> int:
        """A number that changes when another window or process has written; asking costs microseconds."""
        return self.store.data_version()

    def token(self) -> int:
        """Where the list of changes stands now, for :meth:`changes_since`."""
        with self.store.read() as conn:
            return int(conn.execute("SELECT coalesce(max(id), 0) FROM change").fetchone()[0])

    def changes_since(self, token: int) -> Changes:
        """What was changed, here or by another window or process, after ``token``."""
        with self.store.read() as conn:
            rows = conn.execute("SELECT id, part_id FROM change WHERE id > ? ORDER BY id", (token,)).fetchall()
        parts = frozenset(int(row[1]) for row in rows if row[1] is not None)
        return Changes(
            token=rows[-1][0] if rows else token,
            parts=parts,
            other=any(row[1] is None for row in rows),
            all=bool(rows) and rows[0][0] > token + 1 and token > 0,
        )

    # Logs -----------------------------------------------------------------------------------------------------------

    def log(self, part_id: int) -> Log:
        """The part's log: its recordings' newest readings on the part's clock, remembered corrections, then its edits.

        Empty where nothing was read yet. Raises :class:`NotFound`.
        """
        return self.state(part_id).log

    def needs_look(self, part_id: int) -> list[Unplaced]:
        """The part's edits that found no place in its log as it is read now."""
        return list(self.state(part_id).unplaced)

    def state(self, part_id: int) -> PartState:
        """The part's log, edits that need a look, and whether there is something to undo or redo."""
        with self.store.read() as conn:
            log, unplaced = self._fold(part_id).top()
            stacks = self._stacks_of(conn, part_id)
            return PartState(log=log, unplaced=unplaced, can_undo=bool(stacks.done), can_redo=bool(stacks.undone))

    def reading(self, part_id: int) -> Log:
        """The part's log as the machine read it: on the part's clock, with no correction on it."""
        with self.store.read():
            part = self.builds.part(part_id)
            return self._carried(part, self.builds.cut(part_id))

    def _carried(self, part: Part, cut: Cut) -> Log:
        logs = {r: log for r in cut.recordings() if (log := self.readings.log(r)) is not None}
        return carry(logs, cut, path=part.title or part.label)

    def _fold(self, part_id: int) -> _Folded:
        """The part's log folded up to its edits in effect. Inside a transaction."""
        with self.store.read() as conn:
            self._forget_given_up()
            folded = self._folded.get(part_id)
            # Nothing was written, here or by another window, since this was folded: no need to look at all.
            stamp = (self.store.data_version(), self._writes)
            if folded is not None and folded.stamp == stamp:
                return folded
            part = self.builds.part(part_id)
            cut = self.builds.cut(part_id)
            newest = tuple((r, n.id) for r in cut.recordings() if (n := self.readings.newest(r)) is not None)
            remembered = self._remembered(conn, part_id)
            stacks = self._stacks_of(conn, part_id)
            key = (cut.id, newest, tuple(r[0] for r in remembered))
            if folded is None or folded.key != key:
                base = self._carried(part, cut)
                base = apply_remembered(base, [_edits.decode(body) for _, body in remembered])
                folded = self._folded[part_id] = _Folded(key, base)
            self._folded.move_to_end(part_id)
            while len(self._folded) > _KEPT_PARTS:
                self._folded.popitem(last=False)
            done = stacks.done
            same = 0
            while same < min(len(done), len(folded.steps)) and folded.steps[same][0] == done[same]:
                same += 1
            left_out = stacks.left_out()
            if folded.left_out != left_out:
                other, folded.left_out = folded.left_out ^ left_out, left_out
                same = next((n for n in range(same) if done[n] in other), same)
            del folded.steps[same:]
            wanted = set(done[same:])
            if wanted:
                for row in conn.execute(
                    "SELECT id, body, cut_id FROM edit WHERE part_id = ? AND id >= ? AND act = 'edit' ORDER BY id",
                    (part_id, done[same]),
                ).fetchall():
                    if row["id"] in left_out:
                        folded.steps.append((row["id"], *folded.top()))
                    elif row["id"] in wanted:
                        self._push(folded, row["id"], _edits.decode(row["body"]), row["cut_id"], cut)
            folded.stamp = stamp
            return folded

    def _push(self, folded: _Folded, edit_id: int, edit: AnyEdit, cut_id: int | None, cut: Cut) -> None:
        log, unplaced = folded.top()
        moved: AnyEdit | None = edit
        if cut_id is not None and cut_id != cut.id:
            moved = _recut(edit, self.builds.recut(cut_id))
        try:
            if moved is None:
                raise Misplaced("its moment is no longer in the part's cut")
            log = apply_one(log, moved)
        except Misplaced as why:
            unplaced = (*unplaced, Unplaced(index=edit_id, edit=edit, why=str(why)))
        folded.steps.append((edit_id, log, unplaced))

    def _remembered(self, conn: sqlite3.Connection, part_id: int) -> list[tuple[int, str]]:
        """Corrections to be made again in this part: of other parts, older than this one, and not undone."""
        return [
            (row[0], row[1])
            for row in conn.execute(
                "SELECT id, body FROM edit e WHERE remember = 1 AND part_id != ?1"
                " AND id <= (SELECT edits_before FROM part WHERE id = ?1)"
                " AND coalesce((SELECT act FROM edit u WHERE u.about = e.id ORDER BY u.id DESC LIMIT 1), 'redo')"
                " != 'undo' ORDER BY id",
                (part_id,),
            )
        ]

    # Edits ----------------------------------------------------------------------------------------------------------

    def edit(self, part_id: int, edit: AnyEdit) -> int:
        """Make a change; it is on disk when this returns. Returns its id.

        Raises :class:`BadInput` for what no log can hold, :class:`NotFound` where it fits nothing in the part's log
        as it is now (another window may have been first), :class:`ArchiveError`; then nothing was changed.
        """
        clean = checked(edit)
        body = msgspec.json.encode(clean).decode()
        remember = bool(getattr(clean, "remember", False))
        with self.store.write() as conn:
            folded = self._fold(part_id)
            before, unplaced = folded.top()
            out = _left_out_by(clean)
            try:
                if out is not None and not any(u.index == out for u in unplaced):
                    raise Misplaced("that change is not among those without a place")
                log = apply_one(before, clean)
            except Misplaced as why:
                raise NotFound(f"{one_line(why)}; nothing was changed") from why
            cut = self.builds.cut(part_id)
            cursor = conn.execute(
                "INSERT INTO edit (part_id, cut_id, act, body, remember, made_at) VALUES (?, ?, 'edit', ?, ?, ?)",
                (part_id, cut.id, body, remember, now()),
            )
            edit_id = int(cursor.lastrowid or 0)
            folded.steps.append((edit_id, log, unplaced))
            self._touch(conn, part_id, "edit", before)
            if isinstance(clean, AttachUrl):
                self._learn(before, log, edit_id)
            return edit_id

    def _learn(self, before: Log, after: Log, edit_id: int) -> None:
        """Enter what an edit attached into the link book, so that it is filled in by itself next time."""
        had = {i.id: i.link for i in before.items} | {x.id: x.url for x in before.links_owed}
        new = [(i.name, i.link, i.price) for i in after.items if i.link and had.get(i.id) != i.link]
        new += [
            (x.what, x.url, None)
            for x in after.links_owed
            if x.url and x.item is None and x.what != "general" and had.get(x.id) != x.url
        ]
        for thing, url, price in new:
            name = " ".join(clean_text(thing).split())[:200]
            if name and url:
                self.links.keep(name, url, price=price, edit_id=edit_id)

    def undo(self, part_id: int) -> AnyEdit | None:
        """Take the newest edit in effect back, and return it; ``None`` where there is none. Undo is itself kept."""
        return self._act(part_id, "undo")

    def redo(self, part_id: int) -> AnyEdit | None:
        """Make the edit undone last again, and return it; ``None`` where there is none, or a new edit came since."""
        return self._act(part_id, "redo")

    def _act(self, part_id: int, act: str) -> AnyEdit | None:
        with self.store.write() as conn:
            before = self._fold(part_id).top()[0]
            stacks = self._stacks_of(conn, part_id)
            stack = stacks.done if act == "undo" else stacks.undone
            if not stack:
                return None
            about = stack[-1]
            row = conn.execute("SELECT body, remember FROM edit WHERE id = ?", (about,)).fetchone()
            conn.execute(
                "INSERT INTO edit (part_id, act, about, made_at) VALUES (?, ?, ?, ?)", (part_id, act, about, now())
            )
            self._touch(conn, part_id, act, before)
            edit = _edits.decode(row["body"])
            if isinstance(edit, AttachUrl) and act == "undo":
                self.links.unlearn(about)
            elif isinstance(edit, AttachUrl):
                self._learn(before, self._fold(part_id).top()[0], about)
            if row["remember"]:
                later = conn.execute("SELECT id FROM part WHERE edits_before >= ? AND id != ?", (about, part_id))
                for other in later.fetchall():
                    self._touch(conn, other[0], act)
            return edit

    def edits(self, part_id: int) -> list[EditRecord]:
        """The part's whole history, oldest first: edits, undos and redos."""
        with self.store.read() as conn:
            self.builds.part(part_id)
            done = set(self._stacks_of(conn, part_id).done)
            rows = conn.execute(
                "SELECT id, act, made_at, body, about FROM edit WHERE part_id = ? ORDER BY id", (part_id,)
            ).fetchall()
        return [
            EditRecord(
                id=row["id"],
                act=row["act"],
                made_at=row["made_at"],
                edit=None if row["body"] is None else _edits.decode(row["body"]),
                about=row["about"],
                in_effect=row["act"] != "edit" or row["id"] in done,
            )
            for row in rows
        ]

    def _stacks_of(self, conn: sqlite3.Connection, part_id: int) -> _Stacks:
        self._forget_given_up()
        stacks = self._stacks.setdefault(part_id, _Stacks())
        for row in conn.execute(
            "SELECT id, act, about, CASE WHEN body LIKE '%\"let_go\"%' OR body LIKE '%\"instead\":%' THEN body END"
            " FROM edit WHERE part_id = ? AND id > ? ORDER BY id",
            (part_id, stacks.last),
        ):
            stacks.take(*row)
        return stacks

    def _forget_given_up(self) -> None:
        if self._given_up != self.store.given_up:
            self._given_up = self.store.given_up
            self._folded.clear()
            self._stacks.clear()

    # What is owed ---------------------------------------------------------------------------------------------------

    def accepted_checks(self, part_id: int) -> list[AcceptCheck]:
        """The checks that the maker looked at and let be; see :func:`buildlog.edits.accepts`."""
        return [e.edit for e in self.edits(part_id) if e.in_effect and isinstance(e.edit, AcceptCheck)]

    def owed(self, part_id: int) -> Owed:
        """What the part still owes: links without a URL, promises for other parts, open checks, edits to look at.

        A promise is done with once it is accepted as a check of kind "promise".
        """
        state, accepted = self.state(part_id), self.accepted_checks(part_id)
        promises = [n for n in state.log.notes if n.kind == "pointer" and n.direction == "forward"]
        return Owed(
            links=[(x.start_s, x.what) for x in state.log.links_owed if x.url is None and not x.waived],
            promises=[
                (n.start_s, n.text)
                for n in promises
                if not any(accepts(a, Check(kind="promise", start_s=n.start_s, text=n.text)) for a in accepted)
            ],
            checks=[(c.start_s, c.text) for c in state.log.checks],
            needs_look=[u.why for u in state.unplaced],
        )


def _recut(edit: AnyEdit, pairs: list[tuple[Cut, Cut]]) -> AnyEdit | None:
    """``edit`` with its times carried from the clock it was made on to the part's present one."""

    def clock(at_s: float) -> float | None:
        for old, new in pairs:
            if at_s > old.length_s:
                at_s += new.length_s - old.length_s
            elif at_s >= old.offset_s and old.id != new.id:
                spot = old.to_recording(at_s)
                moved = None if spot is None else new.to_part(spot)
                if moved is None:
                    return None
                at_s = moved
        return max(0.0, at_s)

    return retimed(edit, clock)
