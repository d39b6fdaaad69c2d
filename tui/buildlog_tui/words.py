"""The words of the film, as said: marks where they stand, steps along the edge, chapters between."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import accumulate
from typing import Any, ClassVar, NamedTuple

from textual.binding import Binding
from textual.events import MouseDown, MouseEvent, MouseMove, MouseUp
from textual.message import Message

from buildlog_tui.drawing import Row, RowView
from buildlog_tui.kinds import LOOKS
from buildlog_tui.sheet import Mark, Sheet
from buildlog_tui.text import cell_len, chunks, fit, hms

STAMP_S = 12.0  # the time stands at the edge about this often
OPENING = "“‘\"'(["
CLOSING = ".,;:!?)”’\"'…"
RAIL = 6  # cells between the time and the words: number of the step, rail


class Bit(NamedTuple):
    """One word (or, of a very long one, a part) in a row: where it stands and what is drawn with it."""

    x: int
    word: int
    text: str
    before: str
    after: str


@dataclass(slots=True)
class Drawn:
    """A row of the view: words (with the time, where ``stamped``), or the heading of a chapter.

    ``first`` to ``last`` are its words (none: ``first`` is -1); ``part`` which piece of a word longer than a row.
    """

    first: int = -1
    last: int = -1
    chapter: int = -1
    part: int = -1
    stamped: bool = False


class Words(RowView):
    """The transcript. Moves by word; the bench is told with :class:`Moved`."""

    BINDINGS: ClassVar[list[Any]] = [Binding("escape", "move('escape')", show=False, priority=True)]

    class Moved(Message):
        """The cursor is on another word."""

    def __init__(self, sheet: Sheet, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.sheet = sheet
        self.cursor = 0
        self.held: int | None = None  # the other end of the words selected
        self._goal: int | None = None
        self._lines: list[list[Drawn]] = []
        self._tops: list[int] = [0]
        self._wide = 0
        self._dragging = False

    @property
    def edge(self) -> int:
        """Cells left of the words: the time, as wide as the longest one, and the rail."""
        return len(hms(self.sheet.starts[-1])) + RAIL if self.sheet.count else RAIL

    # Layout ---------------------------------------------------------------------------------------------------------

    def height(self) -> int:
        """Rows in all; one that says so where there are no words."""
        return self._tops[-1] or 1

    def show(self, *, anew: bool) -> None:
        """The sheet changed; with ``anew`` its words as well."""
        if anew:
            self._lines = []
        last = max(0, self.sheet.count - 1)
        self.cursor = min(self.cursor, last)
        if self.held is not None:
            self.held = min(self.held, last)
        self.laid_out()

    def laid_out(self) -> None:
        """Wrap again those lines whose marks, chapters or width changed, and no others."""
        if not self.size.width:
            return  # not on the screen yet: the first resize comes back here
        sheet, width = self.sheet, self.cells - self.edge - 1
        count = len(sheet.first_in) - 1
        touched = sheet.touched()
        if touched is None or width != self._wide or len(self._lines) != count:
            self._wide = width
            self._lines = [[] for _ in range(count)]
            touched = set(range(count))
        breaks: dict[int, dict[int, int]] = {}
        for word, chapter in sheet.chapter_words:
            if sheet.count:
                breaks.setdefault(sheet.block_of[word], {})[word] = chapter
        lines = self._lines
        for line in touched:
            lines[line] = self._wrap(line, sheet.of_block(line), breaks.get(line, {}), max(6, width))
        self._tops = [0, *accumulate(len(rows) for rows in lines)]
        super().laid_out()

    def _wrap(self, line: int, marks: list[Mark], breaks: dict[int, int], width: int) -> list[Drawn]:
        sheet = self.sheet
        before, after = self._signs(marks)
        sizes = self.sheet.sizes
        rows: list[Drawn] = []
        first, x = -1, 0  # the row being filled: its first word and the cells used
        word = sheet.first_in[line]
        end = sheet.first_in[line + 1]
        while word < end:
            if breaks and word in breaks:
                if first >= 0:
                    rows.append(Drawn(first, word - 1))
                    first, x = -1, 0
                rows.append(Drawn(chapter=breaks[word]))
            size = sizes[word]
            if marks:
                size += len(before.get(word, "")) + len(after.get(word, ""))
            if x and x + size > width:
                rows.append(Drawn(first, word - 1))
                first, x = -1, 0
            if size > width:
                count = len(self._parts(word, width, before, after))
                rows += [Drawn(word, word, part=n) for n in range(count)]
            else:
                if first < 0:
                    first = word
                x += size + 1
            word += 1
        if first >= 0 or not rows:
            rows.append(Drawn(first, end - 1 if first >= 0 else -1))
        told = float("-inf")
        for number, drawn in enumerate(rows):
            if drawn.first >= 0:
                start = sheet.starts[drawn.first]
                headed = number > 0 and rows[number - 1].chapter >= 0
                if headed or start - told >= STAMP_S:
                    drawn.stamped, told = True, start
        return rows

    def _signs(self, marks: list[Mark]) -> tuple[dict[int, str], dict[int, str]]:
        """The marks drawn before and after words."""
        before: dict[int, str] = {}
        after: dict[int, str] = {}
        for m in marks:
            sign = LOOKS[m.kind].mark + ("?" if m.unsure else "")
            if m.wide:
                before[m.first] = before.get(m.first, "") + sign
            else:
                after[m.last] = after.get(m.last, "") + sign
        return before, after

    def _parts(self, word: int, width: int, before: dict[int, str], after: dict[int, str]) -> list[str]:
        """A word longer than a row, in pieces that fit with its marks."""
        return chunks(self.sheet.texts[word], width - len(before.get(word, "")) - len(after.get(word, "")))

    def _bits(self, drawn: Drawn) -> list[Bit]:
        """The words of a row with their places."""
        if drawn.first < 0:
            return []
        before, after = self._signs(self.sheet.of_block(self.sheet.block_of[drawn.first]))
        if drawn.part >= 0:
            parts = self._parts(drawn.first, max(6, self._wide), before, after)
            text = parts[min(drawn.part, len(parts) - 1)]
            lead = before.get(drawn.first, "") if drawn.part == 0 else ""
            tail = after.get(drawn.first, "") if drawn.part == len(parts) - 1 else ""
            return [Bit(0, drawn.first, text, lead, tail)]
        out: list[Bit] = []
        x = 0
        for word in range(drawn.first, drawn.last + 1):
            lead, tail = before.get(word, ""), after.get(word, "")
            out.append(Bit(x, word, self.sheet.texts[word], lead, tail))
            x += self.sheet.sizes[word] + len(lead) + len(tail) + 1
        return out

    def _at(self, number: int) -> tuple[int, Drawn] | None:
        """The transcript line and the row drawn at row ``number``."""
        line = bisect_right(self._tops, number) - 1
        if not 0 <= line < len(self._lines):
            return None
        return line, self._lines[line][number - self._tops[line]]

    def row_of(self, word: int) -> int:
        """The row a word (its beginning) stands in."""
        if not self.sheet.count:
            return 0
        line = self.sheet.block_of[word]
        for number, row in enumerate(self._lines[line] if line < len(self._lines) else []):
            if row.first >= 0 and row.last >= word:
                return self._tops[line] + number
        return self._tops[line] if line < len(self._tops) else 0

    def _rows_of(self, word: int) -> list[int]:
        first = self.row_of(word)
        rows = [first]
        while (found := self._at(rows[-1] + 1)) and found[1].first == word and found[1].part > 0:
            rows.append(rows[-1] + 1)
        return rows

    # Drawing --------------------------------------------------------------------------------------------------------

    def row(self, number: int) -> tuple[Row, str | None]:
        """The time, the step's number and rail, then the words with their marks."""
        if not self.sheet.count:
            return [("  No words yet: take a recording in with ctrl+n.", "quiet")], None
        found = self._at(number)
        if found is None:
            return [], None
        drawn = found[1]
        if drawn.chapter >= 0:
            return self._heading(drawn.chapter), None
        if drawn.first < 0:
            return [], None
        first, last = drawn.first, drawn.last
        sheet = self.sheet
        out: Row = [(f"{hms(sheet.starts[first]) if drawn.stamped else '':>{self.edge - RAIL}}", "quiet")]
        out += self._rail(first, last)
        x = 0
        low, high = self.selected()
        picking = self.held is not None
        for bit in self._bits(drawn):
            if bit.x > x:
                between = picking and low < bit.word <= high
                out.append((" " * (bit.x - x), "picked" if between else self._between(bit.word)))
            marks = sheet.at_word(bit.word)
            names = [m for m in marks if not m.wide]
            ink = self._ink(names or marks, bool(names))
            if bit.word == self.cursor:
                word_ink = "cursor" if self.has_focus else "cursor underline"
            elif picking and low <= bit.word <= high:
                word_ink = "picked"
            else:
                word_ink = ink
            if bit.before:
                out.append((bit.before, LOOKS[next(m for m in marks if m.wide).kind].style + " bold"))
            if bit.after:
                # The mark stands on the word itself, before its comma or full stop.
                core = bit.text.rstrip(CLOSING) or bit.text
                ends = [m for m in names if m.last == bit.word]
                out += [
                    (core, word_ink),
                    (bit.after, LOOKS[ends[0].kind].style + " bold"),
                    (bit.text[len(core) :], "plain"),
                ]
            else:
                out.append((bit.text, word_ink))
            x = bit.x + cell_len(bit.text) + len(bit.before) + len(bit.after)
        return out, None

    def _ink(self, marks: list[Mark], named: bool) -> str:
        if not marks:
            return "plain"
        look = LOOKS[marks[0].kind]
        return f"{look.style} underline" if named else "plain"

    def _between(self, word: int) -> str:
        """The style of the blank before a word: underlined inside one mention."""
        for m in self.sheet.at_word(word):
            if not m.wide and m.first < word:
                return f"{LOOKS[m.kind].style} underline"
        return "plain"

    def _heading(self, chapter: int) -> Row:
        title = self.sheet.log.chapters[chapter].title if chapter < len(self.sheet.log.chapters) else ""
        start = self.sheet.log.chapters[chapter].start_s if title else 0.0
        text = fit(title, max(4, self.cells - self.edge - 6))
        rule = "─" * max(0, self.cells - self.edge - cell_len(text) - 4)
        return [
            (f"{hms(start):>{self.edge - RAIL}}", "quiet"),
            ("    § ", "chapter"),
            (f"{text} ", "chapter bold"),
            (rule, "quiet"),
        ]

    def _rail(self, first: int, last: int) -> Row:
        """The number of the step that begins in this row, and a rail as long as the step goes on."""
        steps = self.sheet.step_of
        here = steps[first]
        begins = -1
        for word in range(first, last + 1):
            step = steps[word]
            if step >= 0 and (word == 0 or steps[word - 1] != step):
                begins = step
                break
        shown = begins if begins >= 0 else here
        if shown < 0:
            return [("      ", "")]
        off = shown < len(self.sheet.log.steps) and not self.sheet.log.steps[shown].on_camera
        number = f"{shown + 1:>4}" if begins >= 0 else "    "
        return [(number, "step"), ("┊ " if off else "┃ ", "step")]

    # Moving ---------------------------------------------------------------------------------------------------------

    def selected(self) -> tuple[int, int]:
        """The first and last word meant: those selected, else the one under the cursor."""
        other = self.cursor if self.held is None else self.held
        return min(self.cursor, other), max(self.cursor, other)

    def go(self, word: int, *, centre: bool = False, tell: bool = True, keep_goal: bool = False) -> None:
        """Put the cursor on a word."""
        if not self.sheet.count:
            return
        word = max(0, min(word, self.sheet.count - 1))
        before, self.cursor = self.cursor, word
        if not keep_goal:
            self._goal = None
        if self.held is not None:
            self._strips = {}
            self.refresh()
        else:
            self.redraw(*self._rows_of(before), *self._rows_of(word))
        self.bring_into_view(self.row_of(word), centre=centre)
        if tell and word != before:
            self.post_message(self.Moved())

    def hold(self) -> None:
        """Begin to select words, or let them go."""
        self.held = self.cursor if self.held is None else None
        self._strips = {}
        self.refresh()
        self.post_message(self.Moved())

    def let_go(self) -> bool:
        """Select nothing. Returns whether something was."""
        if self.held is None:
            return False
        self.hold()
        return True

    def by_row(self, by: int) -> None:
        """Move up or down by rows, keeping the column."""
        if not self.sheet.count:
            return
        at = self.row_of(self.cursor)
        if self._goal is None:
            found = self._at(at)
            bits = self._bits(found[1]) if found else []
            self._goal = next((b.x for b in bits if b.word == self.cursor), 0)
        step = 1 if by > 0 else -1
        target, left = at, abs(by)
        number = at + step
        while left and 0 <= number < self.height():
            found = self._at(number)
            if found and found[1].first >= 0 and not found[1].first == self.cursor == found[1].last:
                target = number
                left -= 1
            number += step
        word = self._word_in(target, self._goal)
        if word is not None:
            self.go(word, keep_goal=True)

    def _word_in(self, number: int, x: int) -> int | None:
        found = self._at(number)
        if not found or found[1].first < 0:
            return None
        bits = self._bits(found[1])
        best = bits[0]
        for bit in bits:
            if bit.x <= x:
                best = bit
        return best.word

    def action_move(self, key: str) -> None:
        """A key that moves; with shift it selects."""
        if key == "escape":
            self.let_go()
            return
        if key.startswith("shift+"):
            if self.held is None:
                self.hold()
            key = key.removeprefix("shift+")
        match key:
            case "left" | "right":
                self.go(self.cursor + (1 if key == "right" else -1))
            case "up" | "down":
                self.by_row(1 if key == "down" else -1)
            case "pageup" | "pagedown":
                self.by_row(self.page() if key == "pagedown" else -self.page())
            case "home" | "end":
                found = self._at(self.row_of(self.cursor)) if self.sheet.count else None
                if found and found[1].first >= 0:
                    self.go(found[1].first if key == "home" else found[1].last)
            case "ctrl+home" | "ctrl+end":
                self.go(0 if key == "ctrl+home" else self.sheet.count - 1)

    def page(self) -> int:
        """How many rows a page is."""
        return max(1, self.scrollable_content_region.height - 2)

    # Mouse ----------------------------------------------------------------------------------------------------------

    def _word_under(self, event: MouseEvent) -> int | None:
        at = event.get_content_offset_capture(self)
        return self._word_in(at.y + self.scroll_offset.y, at.x - self.edge)

    def on_mouse_down(self, event: MouseDown) -> None:
        """Put the cursor under the pointer."""
        word = self._word_under(event)
        if word is not None:
            self.held = None
            self.go(word)
            self._strips = {}
            self.refresh()
            self._dragging = True
            self.capture_mouse()

    def on_mouse_move(self, event: MouseMove) -> None:
        """Select words by dragging."""
        if not self._dragging:
            return
        word = self._word_under(event)
        if word is not None and word != self.cursor:
            if self.held is None:
                self.held = self.cursor
            self.go(word)

    def on_mouse_up(self, event: MouseUp) -> None:
        """The selection stands."""
        self._dragging = False
        self.release_mouse()

    def on_focus(self) -> None:
        """The cursor shows where keys go."""
        self.redraw(*self._rows_of(self.cursor))

    def on_blur(self) -> None:
        """The cursor is only a place now."""
        self.redraw(*self._rows_of(self.cursor))

    def find(self, text: str, start: int, *, back: bool = False) -> int | None:
        """The next word from ``start`` (not itself) at which ``text`` is said; goes round at the end.

        The first letters of each word do; where no word begins so, letters inside one.
        """
        wanted = text.casefold().split()
        count = self.sheet.count
        if not wanted or not count:
            return None
        texts = self._plain()
        order = range(start - 1, start - 1 - count, -1) if back else range(start + 1, start + 1 + count)
        for begins in (str.startswith, str.__contains__):
            for number in order:
                at = number % count
                if begins(texts[at], wanted[0]) and all(
                    at + i < count and begins(texts[at + i], w) for i, w in enumerate(wanted[1:], 1)
                ):
                    return at
        return None

    _folded: tuple[int, list[str]] | None = None

    def _plain(self) -> list[str]:
        if self._folded is None or self._folded[0] != id(self.sheet.texts):
            self._folded = (id(self.sheet.texts), [t.casefold().lstrip(OPENING) for t in self.sheet.texts])
        return self._folded[1]
