"""The strip at the foot of the bench in which a question is answered; the work stays in sight above it."""

from __future__ import annotations

from typing import Any, ClassVar

from rich.text import Text as RichText
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.events import Key, Paste
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
            self.insert_text_at_cursor(text)
        event.stop()
        event.prevent_default()


class Strip(ModalScreen[tuple[Any] | None]):
    """A question. Gives ``(answer,)``, or ``None`` where it was let be."""

    BINDINGS: ClassVar[list[Any]] = [Binding("escape", "let_be", "let be")]
    DEFAULT_CSS = """
    Strip { align: center bottom; background: transparent; }
    Strip > Vertical {
        width: 100%; height: auto; max-height: 60%; background: $panel;
        border-top: heavy $accent; padding: 0 1;
    }
    Strip Static { height: auto; }
    Strip .hint { color: $bench-quiet; }
    Strip Input { border: none; height: 1; padding: 0; background: $surface; }
    Strip OptionList { border: none; height: auto; max-height: 10; padding: 0; background: $panel; }
    """

    def __init__(self, question: Question) -> None:
        super().__init__()
        self.question = question

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

    def on_key(self, event: Key) -> None:
        """A key that is one of the answers."""
        for key, _, value in self.question.options:
            if event.character == key:
                event.stop()
                self.dismiss((value,))
                return

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Entered or clicked."""
        self.dismiss((self.question.options[event.option_index][2],))


class TextStrip(Strip):
    """A line of text."""

    question: Text

    def compose(self) -> ComposeResult:
        with Vertical():
            yield Static(RichText(self.question.title, style="bold"))
            yield Field(self.question.value, select_on_focus=False)
            yield Static(
                RichText(
                    f"enter keeps it, escape lets it be{'   ' + self.question.hint if self.question.hint else ''}"
                ),
                classes="hint",
            )

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Entered."""
        self.dismiss((event.value,))


class PickStrip(Strip):
    """Type to narrow the list down, arrows to move in it, enter to take one."""

    question: Pick

    def compose(self) -> ComposeResult:
        with Vertical():
            yield Static(RichText(self.question.title, style="bold"))
            yield Field(placeholder="type to find" + (", or other words" if self.question.free else ""))
            yield OptionList()

    def on_mount(self) -> None:
        """All of them at first."""
        self._narrow("")

    def _narrow(self, text: str) -> None:
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

    def on_key(self, event: Key) -> None:
        """Up and down move in the list while typing goes on."""
        listed = self.query_one(OptionList)
        if event.key in ("up", "down", "pageup", "pagedown") and not listed.has_focus:
            event.stop()
            getattr(
                listed,
                {
                    "up": "action_cursor_up",
                    "down": "action_cursor_down",
                    "pageup": "action_page_up",
                    "pagedown": "action_page_down",
                }[event.key],
            )()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """The one highlighted; where none is, the words typed, if those will do."""
        at = self.query_one(OptionList).highlighted
        typed = clean_text(event.value)
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
