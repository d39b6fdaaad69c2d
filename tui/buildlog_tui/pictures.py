"""A still in the terminal: by the terminal's own graphics where it has them, else by half blocks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Static

from buildlog_tui.text import shown

if TYPE_CHECKING:
    from PIL.Image import Image


def graphics() -> type[Any] | None:
    """The widget for the terminal's own graphics; ``None`` where it has none. Ask while the app does not hold it."""
    import sys

    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return None
    try:
        from textual_image.renderable import Image as Chosen
        from textual_image.renderable.sixel import Image as Sixel
        from textual_image.renderable.tgp import Image as Tgp
        from textual_image.widget import Image as Auto
    except Exception:  # it asks the terminal while it is imported: anything can come back
        return None
    return Auto if Chosen in (Sixel, Tgp) else None


class HalfBlocks(Widget):
    """A picture of two pixels a cell."""

    def __init__(self, image: Image) -> None:
        super().__init__()
        self._image = image
        self._made: tuple[tuple[int, int], list[Strip]] | None = None

    def render_line(self, y: int) -> Strip:
        """One row of cells."""
        size = (self.size.width, self.size.height)
        if self._made is None or self._made[0] != size:
            self._made = (size, half_blocks(self._image, *size))
        rows = self._made[1]
        return rows[y] if y < len(rows) else Strip.blank(self.size.width)


def half_blocks(image: Image, width: int, height: int) -> list[Strip]:
    """``image`` scaled into ``width`` by ``height`` cells, its shape kept."""
    if width < 1 or height < 1:
        return []
    scale = min(width / image.width, 2 * height / image.height)
    across, down = max(1, int(image.width * scale)), max(2, int(image.height * scale) // 2 * 2)
    pixels = image.convert("RGB").resize((across, down)).tobytes()
    rows = []
    for y in range(0, down, 2):
        segments = []
        for x in range(across):
            a, b = (y * across + x) * 3, ((y + 1) * across + x) * 3
            top, low = pixels[a : a + 3], pixels[b : b + 3]
            style = Style.parse(f"rgb({top[0]},{top[1]},{top[2]}) on rgb({low[0]},{low[1]},{low[2]})")
            segments.append(Segment("▀", style))
        rows.append(Strip(segments, across))
    return rows


class Picture(ModalScreen[None]):
    """A still over the bench; any key puts it away."""

    BINDINGS: ClassVar[list[Any]] = [Binding("escape,enter,space,q,P", "put_away", "put away")]
    DEFAULT_CSS = """
    Picture { align: center middle; }
    Picture > Vertical { width: 80%; height: 80%; background: $panel; border: heavy $accent; }
    Picture Static { height: 1; color: $bench-quiet; text-align: center; width: 100%; }
    Picture HalfBlocks { width: 1fr; height: 1fr; }
    """

    def __init__(self, image: Image, title: str, widget: type[Any] | None) -> None:
        super().__init__()
        self._image, self._title, self._widget = image, title, widget

    def compose(self) -> ComposeResult:
        """The picture and when it is."""
        with Vertical():
            yield self._widget(self._image) if self._widget is not None else HalfBlocks(self._image)
            yield Static(shown(self._title) + "   escape puts it away", markup=False)

    def action_put_away(self) -> None:
        """Back to the bench."""
        self.dismiss(None)
