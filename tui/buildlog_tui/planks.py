"""One row of the bench that is not moved in: the top, what is at hand, the keys."""

from __future__ import annotations

from collections.abc import Callable

from textual.events import Click

from buildlog_tui.drawing import Row, RowView
from buildlog_tui.text import cell_len


class Plank(RowView, can_focus=False):
    """Rows made by ``make(width)``. A style ending in "@name" makes a button of its piece."""

    DEFAULT_CSS = "Plank { overflow: hidden; scrollbar-size-vertical: 0; }"

    def __init__(
        self, make: Callable[[int], list[Row]], *, on_press: Callable[[str], None] | None = None, id: str | None = None
    ) -> None:
        super().__init__(id=id)
        self._make = make
        self._on_press = on_press
        self._rows: list[Row] = []
        self._buttons: list[tuple[int, int, str]] = []

    def height(self) -> int:
        """Always one."""
        return 1

    def refresh_row(self) -> None:
        """What it shows changed."""
        self._strips = {}
        self.refresh()

    def row(self, number: int) -> tuple[Row, str | None]:
        """The row, its buttons noted."""
        out: Row = []
        self._buttons = []
        x = 0
        for text, style in self._make(self.cells)[0]:
            style, _, name = style.partition(" @") if " @" in style else (style, "", "")
            size = cell_len(text)
            if name:
                self._buttons.append((x, x + size, name))
            out.append((text, style))
            x += size
        return out, None

    def on_click(self, event: Click) -> None:
        """A key shown can be pressed with the mouse."""
        for start, end, name in self._buttons:
            if start <= event.x < end and self._on_press is not None:
                self._on_press(name)
                return
