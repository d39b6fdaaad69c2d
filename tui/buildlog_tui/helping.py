"""Help and history: rows to read over the bench, made from the tables they are about."""

from __future__ import annotations

from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import ModalScreen

from buildlog_tui.actions import ACTIONS, MOVES, key_shown
from buildlog_tui.corrections import CORRECTIONS
from buildlog_tui.describing import words
from buildlog_tui.desk import Desk
from buildlog_tui.drawing import Row
from buildlog_tui.kinds import LOOKS
from buildlog_tui.listing import Entry, Listing
from buildlog_tui.text import wrapped

HelpRow = tuple[str, str, str]  # key, what it does, style of the key; an empty key is a heading

_SORTS = {"item": "thing", "note": "remark"}


def help_rows() -> list[HelpRow]:
    """Every key with what it does, by group; then the marks."""
    on = {c.id: c.on for c in CORRECTIONS}
    rows: list[HelpRow] = []
    group = ""
    for action in ACTIONS:
        if action.group != group:
            group = action.group
            rows.append(("", group, "chapter bold"))
            if group == ACTIONS[0].group:
                rows += [(keys, text, "plain") for keys, text in MOVES]
        keys = " ".join(key_shown(k) for k in action.keys)
        sorts = ", ".join(_SORTS.get(s) or LOOKS[s].word for s in on[action.id]) if action.id in on else ""
        rows.append((keys, f"{action.label}: {action.help}" + (f" [{sorts}]" if sorts else ""), "plain"))
    rows.append(("", "Marks in the words (a question mark after one: the machine is not sure)", "chapter bold"))
    rows += [
        (look.mark, look.word, look.style)
        for name, look in LOOKS.items()
        if name not in ("word", "step", "derived", "unplaced")
    ]
    rows.append(("┃ ┊", "the words of a step, seen or off camera; its number stands where it begins", "step"))
    return rows


def history_rows(desk: Desk) -> list[HelpRow]:
    """Every change of the part, the newest first."""
    records = {r.id: r for r in desk.archive.edits(desk.part.id)}
    rows: list[HelpRow] = []
    for record in reversed(records.values()):
        when = record.made_at[:16].replace("T", " ")
        if record.edit is not None:
            rows.append((when, words(record.edit) + ("" if record.in_effect else "  (taken back)"), "quiet"))
        else:
            about = records.get(record.about or 0)
            what = "took back" if record.act == "undo" else "made again"
            rows.append((when, f"{what}: {words(about.edit) if about and about.edit else ''}", "quiet"))
    return rows or [("", "Nothing was changed yet.", "plain")]


class Reading(ModalScreen[None]):
    """Rows to read; escape puts them away."""

    BINDINGS: ClassVar[list[Any]] = [Binding("escape,q,question_mark,f1,enter", "put_away", "put away")]
    DEFAULT_CSS = """
    Reading { align: center middle; }
    Reading > Vertical { width: 96%; max-width: 120; height: 92%; background: $surface; border: heavy $accent; }
    Reading Listing { border: none; height: 1fr; }
    """

    def __init__(self, title: str, rows: list[HelpRow]) -> None:
        super().__init__()
        self._title, self._rows = title, rows

    def compose(self) -> ComposeResult:
        """The rows, in a frame with the title."""
        with Vertical() as frame:
            frame.border_title = self._title
            frame.border_subtitle = "escape puts this away"
            yield Listing(self._entries, empty="", id="reading")

    def on_mount(self) -> None:
        """Arrows scroll."""
        self.query_one(Listing).focus()

    def _entries(self, width: int) -> list[Entry]:
        key_width = min(24, max((len(k) for k, _, _ in self._rows), default=0)) + 2
        out: list[Entry] = []
        for number, (key, text, style) in enumerate(self._rows):
            if not key:
                rows: list[Row] = [[], [(text, style)]] if number else [[(text, style)]]
            else:
                lines = wrapped(text, width - key_width - 2)
                rows = [
                    [(f" {key:<{key_width}}" if i == 0 else " " * (key_width + 1), style + " bold"), (line, "plain")]
                    for i, line in enumerate(lines)
                ]
            out.append(Entry(number, rows))
        return out

    def action_put_away(self) -> None:
        """Back to the bench."""
        self.dismiss(None)
