"""Drawing by rows: styles from the theme, made once, and views that draw only the rows on the screen."""

from __future__ import annotations

from typing import Any, ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.binding import Binding
from textual.events import Resize
from textual.geometry import Size
from textual.scroll_view import ScrollView
from textual.strip import Strip

from buildlog_tui.text import cell_len, fit

# (text, name of a style): a row of these is what a view draws.
Piece = tuple[str, str]
Row = list[Piece]


_MOVES = (
    "up", "down", "left", "right", "pageup", "pagedown", "home", "end", "ctrl+home", "ctrl+end",
    "shift+up", "shift+down", "shift+left", "shift+right",
)  # fmt: skip


class RowView(ScrollView, can_focus=True, inherit_bindings=False):
    """A view of rows that are made when they come into sight. Subclasses give :meth:`row` and :meth:`height`."""

    BINDINGS: ClassVar[list[Any]] = [Binding(key, f"move('{key}')", show=False, priority=True) for key in _MOVES]

    DEFAULT_CSS = "RowView { overflow-x: hidden; overflow-y: auto; scrollbar-size-vertical: 1; }"

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._inks: dict[str, Style] = {}
        self._strips: dict[int, Strip] = {}
        self._cells: int | None = None

    def ink(self, name: str) -> Style:
        """The style called ``name``; "name underline", "name bold" add to it.

        Colours come straight from the theme: a CSS component class for each would be applied to every view.
        """
        made = self._inks.get(name)
        if made is None:
            base, *more = name.split()
            colours = self.app.theme_variables
            match base:
                case "plain":
                    made = Style()
                case "cursor":
                    made = Style(color=colours["bench-cursor"], bgcolor=colours["bench-cursor-back"], bold=True)
                case "picked":
                    made = Style(bgcolor=colours["bench-pick-back"], bold=True)
                case "row":
                    made = Style(bgcolor=colours["bench-row-back"])
                case _:
                    made = Style(color=colours[f"bench-{base}"])
            for word in more:
                made += Style.parse(word)
            self._inks[name] = made
        return made

    def notify_style_update(self) -> None:
        """Colours may have changed: they are looked up anew."""
        self._inks = {}
        self._strips = {}
        super().notify_style_update()

    def action_move(self, key: str) -> None:
        """A key that moves within the view."""

    @property
    def cells(self) -> int:
        """How many cells a row has."""
        if self._cells is None:
            self._cells = max(1, self.scrollable_content_region.width)
        return self._cells

    def height(self) -> int:
        """How many rows there are."""
        raise NotImplementedError

    def row(self, number: int) -> tuple[Row, str | None]:
        """One row, and the name of the style it lies on."""
        raise NotImplementedError

    def laid_out(self) -> None:
        """Rows changed: forget what was drawn and take the new height."""
        self._strips = {}
        self._cells = None
        self.virtual_size = Size(self.size.width, self.height())
        self.refresh()

    def redraw(self, *rows: int) -> None:
        """These rows changed."""
        for number in rows:
            self._strips.pop(number, None)
            self.refresh_line(number)

    def on_resize(self, event: Resize) -> None:
        """The width changed: everything is laid out anew."""
        self._cells = None
        self.laid_out()

    def render_line(self, y: int) -> Strip:
        """One row of the screen."""
        number = y + self.scroll_offset.y
        strip = self._strips.get(number)
        if strip is None:
            if len(self._strips) > 4000:
                self._strips.clear()
            strip = self._strips[number] = self._strip(number)
        return strip

    def _strip(self, number: int) -> Strip:
        width = max(self.cells, self.size.width)
        base = self._inks.get("")
        if base is None:
            base = self._inks[""] = self.rich_style
        if not 0 <= number < self.height():
            return Strip([Segment(" " * width, base)], width)
        pieces, under = self.row(number)
        if under:
            base += self.ink(under)
        segments = [Segment(text, base + self.ink(name) if name else base) for text, name in pieces if text]
        if under:
            # What lies under the row wins over the inks' own backgrounds.
            ground = Style(bgcolor=base.bgcolor)
            segments = [Segment(s.text, (s.style or base) + ground) for s in segments]
        return Strip(segments).adjust_cell_length(width, base)

    def bring_into_view(self, number: int, *, rows: int = 1, centre: bool = False) -> None:
        """Scroll, at once, so that a row is on the screen."""
        height = self.scrollable_content_region.height or 1
        top = self.scroll_offset.y
        if centre and not top <= number < top + height:
            self.scroll_to(y=max(0, number - height // 3), animate=False, force=True)
        elif number < top + 1:
            self.scroll_to(y=max(0, number - 1), animate=False, force=True)
        elif number + rows > top + height - 1:
            self.scroll_to(y=number + rows - height + 1, animate=False, force=True)


def columns(cells: list[tuple[str, int, str]]) -> Row:
    """A row of columns: (text, width, style), two blanks between."""
    out: Row = []
    for text, width, style in cells:
        if width > 0:
            out.append((fit(text, width, pad=True), style))
            out.append(("  ", ""))
    return out


def right(left: Row, end: Row, width: int) -> Row:
    """``left`` with ``end`` pushed to the right edge; ``left`` is cut where both do not fit."""
    room = width - sum(cell_len(t) for t, _ in end)
    out, used = [], 0
    for text, style in left:
        size = cell_len(text)
        if used + size > room:
            out.append((fit(text, room - used), style))
            used = room
            break
        out.append((text, style))
        used += size
    return [*out, (" " * max(0, room - used), ""), *end]
