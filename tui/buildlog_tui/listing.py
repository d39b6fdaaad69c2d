"""A list of entries, each of one or more rows: the steps, the things, the links, the remarks."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from itertools import accumulate

from textual.events import MouseDown
from textual.message import Message

from buildlog_tui.drawing import Row, RowView


@dataclass(slots=True)
class Entry:
    """One entry: what it stands for (``None``: a heading, passed over) and its rows."""

    key: Hashable | None
    rows: list[Row]


class Listing(RowView):
    """Entries to move through. ``make`` gives them for a width in cells."""

    class Moved(Message):
        """Another entry is selected; ``listing`` says where."""

        def __init__(self, listing: Listing) -> None:
            super().__init__()
            self.listing = listing

        @property
        def control(self) -> Listing:
            """Where it happened."""
            return self.listing

    class Chosen(Moved):
        """The entry selected was clicked again or entered."""

    def __init__(self, make: Callable[[int], list[Entry]], *, empty: str, id: str | None = None) -> None:
        super().__init__(id=id)
        self._make = make
        self._empty = empty
        self._entries: list[Entry] = []
        self._tops: list[int] = [0]
        self._index: dict[Hashable, int] = {}
        self.at = 0

    @property
    def key(self) -> Hashable | None:
        """What the entry selected stands for."""
        return self._entries[self.at].key if 0 <= self.at < len(self._entries) else None

    def keys(self) -> Sequence[Hashable]:
        """What can be selected, in order."""
        return [e.key for e in self._entries if e.key is not None]

    def height(self) -> int:
        """Rows in all."""
        return self._tops[-1] or 1

    def laid_out(self, *, at_once: bool = False) -> None:
        """Make the entries anew; the one selected stays selected, else the one that took its place.

        A list that is not on the screen yet is filled at its first resize; or ``at_once``, for keys typed ahead.
        """
        if not self.size.width and not at_once:
            return
        before = self.key
        self._entries = self._make(self.cells if self.size.width else 80)
        self._tops = [0, *accumulate(len(e.rows) for e in self._entries)]
        self._index = {e.key: i for i, e in enumerate(self._entries) if e.key is not None}
        if before is not None and before in self._index:
            self.at = self._index[before]
        else:
            self.at = self._near(min(self.at, len(self._entries) - 1), 1)
        super().laid_out()

    def _near(self, at: int, step: int) -> int:
        """The entry at ``at``, or the next one in direction ``step`` (then the other) that can be selected."""
        for direction in (step, -step):
            number = max(0, at)
            while 0 <= number < len(self._entries):
                if self._entries[number].key is not None:
                    return number
                number += direction
        return 0

    def row(self, number: int) -> tuple[Row, str | None]:
        """One row; those of the entry selected lie on a bar."""
        if not self._entries:
            return [(f" {self._empty}", "quiet")], None
        at = bisect_right(self._tops, number) - 1
        entry = self._entries[at]
        row = entry.rows[number - self._tops[at]]
        if at != self.at or entry.key is None:
            return [(" ", ""), *row], None
        # The bar is drawn with a mark as well, for terminals without colour.
        return [("▌" if self.has_focus else "▏", "chapter"), *row], "picked" if self.has_focus else "row"

    def select(self, key: Hashable | None, *, tell: bool = False) -> None:
        """Select the entry that stands for ``key``; nothing happens where there is none."""
        at = self._index.get(key) if key is not None else None
        if at is not None:
            self._select(at, tell=tell)

    def _select(self, at: int, *, tell: bool) -> None:
        if not self._entries:
            return
        before, self.at = self.at, at
        if before != at:
            for entry in (before, at):
                if entry < len(self._entries):
                    self.redraw(*range(self._tops[entry], self._tops[entry + 1]))
        self.bring_into_view(self._tops[at], rows=len(self._entries[at].rows))
        if tell and before != at:
            self.post_message(self.Moved(self))

    def by(self, count: int) -> None:
        """Move by entries."""
        if not self._entries:
            return
        step = 1 if count > 0 else -1
        at, left = self.at, abs(count)
        while left:
            number = at + step
            while 0 <= number < len(self._entries) and self._entries[number].key is None:
                number += step
            if not 0 <= number < len(self._entries):
                break
            at, left = number, left - 1
        self._select(at, tell=True)

    def action_move(self, key: str) -> None:
        """A key that moves."""
        match key.removeprefix("shift+"):
            case "up" | "down":
                self.by(1 if key.endswith("down") else -1)
            case "pageup" | "pagedown":
                self.by(self.page() if key == "pagedown" else -self.page())
            case "home" | "ctrl+home":
                self.to_end(False)
            case "end" | "ctrl+end":
                self.to_end(True)

    def to_end(self, end: bool) -> None:
        """To the first or last entry."""
        if self._entries:
            self._select(self._near(len(self._entries) - 1 if end else 0, -1 if end else 1), tell=True)

    def page(self) -> int:
        """How many entries a page is, about."""
        height = self.scrollable_content_region.height
        per = max(1, self.height() // max(1, len(self._entries)))
        return max(1, height // per - 1)

    def on_mouse_down(self, event: MouseDown) -> None:
        """Select what is under the pointer."""
        if not self._entries:
            return
        y = event.get_content_offset_capture(self).y + self.scroll_offset.y
        at = bisect_right(self._tops, y) - 1
        if 0 <= at < len(self._entries) and self._entries[at].key is not None:
            again = at == self.at
            self._select(at, tell=True)
            if again:
                self.post_message(self.Chosen(self))

    def _redraw_entry(self) -> None:
        if self.at < len(self._entries):
            self.redraw(*range(self._tops[self.at], self._tops[self.at + 1]))

    def on_focus(self) -> None:
        """The bar shows where keys go."""
        self._redraw_entry()

    def on_blur(self) -> None:
        """The bar is only a place now."""
        self._redraw_entry()
