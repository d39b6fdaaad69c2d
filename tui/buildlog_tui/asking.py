"""The strip at the foot of the bench in which a question is answered; the work stays in sight above it."""

from __future__ import annotations

from typing import Any, ClassVar

from rich.text import Text as RichText
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.events import Paste
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from buildlog.edits import clean_text
from buildlog_tui.questions import Choice, Pick, Question, Text
from buildlog_tui.text import fit

SHOWN = 200  # of a long list, so many at a time


class Field(Input):
    """A line of text. What is pasted comes in as one line without control characters."""

    def _on_paste(self, event: Paste) -> None:
        text = clean_text(event.text)
        if text:
            self.replace(text, *self.selection)
        event.stop()
        event.prevent_default()


class Strip(ModalScreen[tuple[Any] | None]):
    """A question. Gives ``(answer,)``, or ``None`` where it was let be."""

    BINDINGS: ClassVar[list[Any]] = [
        Binding("escape", "let_be", "let be", priority=True),
        # Typed ahead, before the terminal is ours, enter comes as a line feed.
        Binding("enter,ctrl+j", "take", "take", priority=True),
    ]
    DEFAULT_CSS = """
    Strip { align: center bottom; background: transparent; }
    Strip > Vertical {
        width: 100%; height: auto; max-height: 60%; background: $panel;
        border-top: heavy $accent; padding: 0 1;
    }
    Strip Static { height: auto; }
    Strip .hint { color: $bench-quiet; }
    Strip Input, Strip Input:focus { border: none; height: 1; padding: 0; background: $surface; }
    Strip OptionList, Strip OptionList:focus {
        border: none; height: auto; max-height: 11; padding: 0; background: $panel;
    }
    """

    def __init__(self, question: Question) -> None:
        super().__init__()
        self.question = question

    def action_take(self) -> None:
        """The answer as it stands."""

    def action_let_be(self) -> None:
        """Answer nothing."""
        self.dismiss(None)


class ChoiceStrip(Strip):
    """One key out of a few; or arrows and enter; or a click."""

    question: Choice

    def compose(self) -> ComposeResult:
        with Vertical():
            yield Static(RichText(self.question.title, style="bold"))
            yield OptionList(
                *(
                    Option(RichText.assemble((f" {key} ", "bold reverse"), f" {label}"))
                    for key, label, _ in self.question.options
                )
            )

    def on_mount(self) -> None:
        """Each answer has its key."""
        for number, (key, _, _) in enumerate(self.question.options):
            self._bindings.bind(key, f"choose({number})", priority=True)

    def action_choose(self, number: int) -> None:
        """One of the answers."""
        self.dismiss((self.question.options[number][2],))

    def action_take(self) -> None:
        """The answer highlighted."""
        at = self.query_one(OptionList).highlighted
        if at is not None:
            self.action_choose(at)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Clicked."""
        self.action_choose(event.option_index)


class TextStrip(Strip):
    """A line of text."""

    question: Text

    def compose(self) -> ComposeResult:
        with Vertical():
            yield Static(RichText(self.question.title, style="bold"))
            yield Field(self.question.value, select_on_focus=self.question.anew)
            yield Static(
                RichText(
                    f"enter keeps it, escape lets it be{'   ' + self.question.hint if self.question.hint else ''}"
                ),
                classes="hint",
            )

    def action_take(self) -> None:
        """What was typed."""
        self.dismiss((self.query_one(Field).value,))


class PickStrip(Strip):
    """Type to narrow the list down, arrows to move in it, enter to take one."""

    question: Pick
    BINDINGS: ClassVar[list[Any]] = [
        Binding(key, f"step('{key}')", show=False, priority=True) for key in ("up", "down", "pageup", "pagedown")
    ]

    def compose(self) -> ComposeResult:
        with Vertical():
            yield Static(RichText(self.question.title, style="bold"))
            yield Field(placeholder="type to find" + (", or other words" if self.question.free else ""))
            yield OptionList()

    def on_mount(self) -> None:
        """All of them at first."""
        self._narrowed: str | None = None
        self._narrow("")

    def _narrow(self, text: str) -> None:
        if text == self._narrowed:
            return
        self._narrowed = text
        words = text.casefold().split()
        self._found = [(label, v) for label, v in self.question.options if all(w in label.casefold() for w in words)]
        listed = self.query_one(OptionList)
        listed.clear_options()
        listed.add_options([Option(RichText(fit(label, 200))) for label, _ in self._found[:SHOWN]])
        if self._found:
            listed.highlighted = 0

    def on_input_changed(self, event: Input.Changed) -> None:
        """Narrow the list down."""
        self._narrow(event.value)

    def action_step(self, way: str) -> None:
        """Move in the list while typing goes on."""
        listed = self.query_one(OptionList)
        match way:
            case "up":
                listed.action_cursor_up()
            case "down":
                listed.action_cursor_down()
            case "pageup":
                listed.action_page_up()  # type: ignore[no-untyped-call]
            case _:
                listed.action_page_down()  # type: ignore[no-untyped-call]

    def action_take(self) -> None:
        """The one highlighted; where none is, the words typed, if those will do."""
        self._narrow(self.query_one(Field).value)
        at = self.query_one(OptionList).highlighted
        typed = clean_text(self.query_one(Field).value)
        exact = any(typed.casefold() == label.casefold() for label, _ in self._found)
        if self.question.free and typed and not exact and not self._found:
            self.dismiss((typed,))
        elif self._found and at is not None:
            self.dismiss((self._found[at][1],))

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Clicked."""
        self.dismiss((self._found[event.option_index][1],))


def strip_for(question: Question) -> Strip:
    """The strip in which ``question`` is asked."""
    match question:
        case Choice():
            return ChoiceStrip(question)
        case Text():
            return TextStrip(question)
        case Pick():
            return PickStrip(question)
