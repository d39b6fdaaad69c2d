"""One part of the archive, open to be put right: its log now, changes to it, and what other windows do to it."""

from __future__ import annotations

import contextlib
import gc
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from buildlog.archive import Archive, Part, PartState
from buildlog.document import Log
from buildlog.edits import AnyEdit, OnThing, RepairWord, Unplaced
from buildlog.edits.kinds import Thing
from buildlog.edits.place import LISTS, AnyThing, things
from buildlog.errors import ArchiveError
from buildlog_tui.sheet import Ref, Sheet


class Doubt(NamedTuple):
    """Something worth a look: how sure the machine is (0 to 1), when, and what it is."""

    sure: float
    start_s: float
    ref: Ref


@contextlib.contextmanager
def _no_rounds() -> Iterator[None]:
    """Load something large without the collector's rounds, and leave it out of later ones.

    A three-hour log is some hundred thousand objects that stay: to look through all of them takes the collector 0.1 s
    and more each time, and while they are made it does so again and again.
    """
    running = gc.isenabled()
    gc.disable()
    try:
        yield
        gc.freeze()
    finally:
        if running:
            gc.enable()


class Desk:
    """The part that is being worked on. Every change is on disk when the method returns."""

    def __init__(self, archive: Archive, part: Part) -> None:
        self.archive = archive
        self.part = part
        self.sheet = Sheet()
        self.last: AnyEdit | None = None
        self._unsure: dict[Thing, tuple[list[AnyThing], list[Doubt]]] = {}
        self._doubts: list[Doubt] = []
        self._seen = archive.data_version()
        self.state: PartState
        with _no_rounds():
            self.words_changed = self._load()

    @property
    def log(self) -> Log:
        """The log with every edit on it."""
        return self.state.log

    def _load(self) -> bool:
        self.state = self.archive.state(self.part.id)
        return self.sheet.show(self.state.log)

    def make(self, edit: AnyEdit) -> None:
        """Make a change. Raises :class:`BuildlogError`, and then nothing was changed."""
        self.archive.edit(self.part.id, edit)
        self.last = edit
        self.words_changed = self._load()

    def reload(self) -> None:
        """Something else wrote through this archive: take the log as it is now."""
        self.words_changed = self._load()

    def widen(self, *, remember: bool) -> AnyEdit:
        """Make the last change again for all things alike here, or for later parts too. Raises :class:`BuildlogError`.

        Both halves are one transaction: one undo takes the whole back.
        """
        if not isinstance(self.last, (OnThing, RepairWord)):
            raise ArchiveError("the last change is about one thing only; change something first, then widen it")
        import msgspec

        wide = msgspec.structs.replace(self.last, everywhere=True, remember=remember or self.last.remember)
        with self.archive.store.write():
            self.archive.undo(self.part.id)
            self.archive.edit(self.part.id, wide)
        self.last = wide
        self.words_changed = self._load()
        return wide

    def undo(self) -> AnyEdit | None:
        """Take the newest change back; ``None`` where there is none."""
        return self._step(self.archive.undo(self.part.id))

    def redo(self) -> AnyEdit | None:
        """Make the change undone last again; ``None`` where there is none."""
        return self._step(self.archive.redo(self.part.id))

    def _step(self, edit: AnyEdit | None) -> AnyEdit | None:
        self.last = None
        self.words_changed = self._load()
        return edit

    def changed_elsewhere(self) -> bool:
        """Whether another window or process wrote to the archive since the last time this was asked; then it reloads.

        Raises :class:`ArchiveError`, also (as :class:`NotFound`) where the part is gone.
        """
        version = self.archive.data_version()
        if version == self._seen:
            return False
        self._seen = version
        self.part = self.archive.builds.part(self.part.id)
        self.words_changed = self._load()
        return True

    def doubts(self) -> list[Doubt]:
        """Everything that is not certain, the least certain first."""
        changed = False
        for of in _UNSURE:
            values = getattr(self.log, LISTS[of])
            if of not in self._unsure or self._unsure[of][0] is not values:
                self._unsure[of] = (values, [d for n, v in enumerate(values) if (d := _doubt(of, n, v)) is not None])
                changed = True
        if changed:
            self._doubts = sorted(d for _, doubts in self._unsure.values() for d in doubts)
        return self._doubts

    def thing(self, ref: Ref) -> AnyThing | Unplaced | None:
        """The thing meant, or ``None`` where the log no longer has so many."""
        values: Sequence[AnyThing | Unplaced]
        values = self.state.unplaced if ref.of == "unplaced" else things(self.log, ref.of)
        return values[ref.place] if 0 <= ref.place < len(values) else None

    def time_of(self, ref: Ref) -> float | None:
        """When a thing is first there, in seconds; ``None`` for what has no time."""
        thing: Any = self.thing(ref)
        if isinstance(thing, Unplaced):
            thing = getattr(thing.edit, "at", thing.edit)
        for name in ("start_s", "first_s", "first_shown_s"):
            value = getattr(thing, name, None)
            if value is not None:
                return float(value)
        return None

    def open_links(self) -> int:
        """How many links are still owed."""
        return sum(1 for x in self.log.links_owed if x.url is None and not x.waived)


_UNSURE: tuple[Thing, ...] = ("item", "technique", "measurement", "step", "link", "note", "chapter", "repair")


def _doubt(of: Thing, place: int, thing: Any) -> Doubt | None:
    if thing.confidence >= 0.9995:
        return None
    times = (getattr(thing, name, None) for name in ("start_s", "first_s", "first_shown_s"))
    return Doubt(thing.confidence, next((float(t) for t in times if t is not None), 0.0), Ref(of, place))
