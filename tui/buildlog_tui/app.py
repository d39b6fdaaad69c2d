"""The bench: the words of a part, the work in them, and what is to be put right. It shows a log and makes edits."""

from __future__ import annotations

import asyncio
import contextlib
import functools
import threading
import time
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import App, ComposeResult, SuspendNotSupported, SystemCommand
from textual.binding import Binding
from textual.containers import Horizontal
from textual.events import Event, Key, Paste, Resize
from textual.message import Message
from textual.screen import Screen
from textual.timer import Timer
from textual.widget import Widget

from buildlog.archive import Archive, Part
from buildlog.document import Log
from buildlog.edits import Unplaced
from buildlog.edits.pointing import Meant, around, next_left_out
from buildlog.errors import BadInput, BuildlogError, one_line
from buildlog_tui import corrections, describing, entries, finding, publishing, sums
from buildlog_tui.actions import ACTIONS, ALWAYS, BY_ID, HINTS, key_shown
from buildlog_tui.asking import Strip, strip_for
from buildlog_tui.corrections import Hand
from buildlog_tui.desk import Desk
from buildlog_tui.drawing import Row, right
from buildlog_tui.helping import Reading, help_rows, history_rows
from buildlog_tui.jobs import Job
from buildlog_tui.kinds import IN_WORDS, LOOKS
from buildlog_tui.listing import Entry, Listing
from buildlog_tui.pictures import Picture
from buildlog_tui.planks import Plank
from buildlog_tui.playing import Player, command, source_of
from buildlog_tui.questions import Flow, Pick, Text
from buildlog_tui.sheet import Mark, Ref
from buildlog_tui.text import cell_len, fit, hms, seconds, shown, wrapped
from buildlog_tui.themes import THEMES
from buildlog_tui.words import Words

if TYPE_CHECKING:
    from buildlog.publish import Box, Finding
    from buildlog.reckon import Page

KEY_S = 0.5  # a strip that is not there by then does not hold up the next key
WIDE = 150  # from here on the shelf stands beside the words
TITLES = {"things": "Things", "links": "Links owed", "box": "The box, as posted", "remarks": "Remarks", "sums": "Sums"}


class Bench(App[None]):
    """The whole app. ``graphics`` asks the terminal, once, for the widget that draws stills by its own graphics."""

    TITLE = "buildlog"
    ENABLE_COMMAND_PALETTE = True
    COMMAND_PALETTE_BINDING = "ctrl+p"
    CSS = """
    Screen { layout: vertical; }
    #bench { height: 1fr; }
    #words { width: 3fr; }
    #work { width: 2fr; max-width: 64; min-width: 30; }
    .shelf { width: 3fr; display: none; }
    RowView { border-top: solid $bench-quiet; border-title-color: $bench-quiet; padding: 0; }
    RowView:focus { border-top: heavy $accent; border-title-color: $accent; border-title-style: bold; }
    Words, Listing { scrollbar-gutter: stable; }
    RowView { scrollbar-background: $background; scrollbar-background-hover: $background; }
    RowView { scrollbar-background-active: $background; scrollbar-color: $bench-pick-back; }
    RowView { scrollbar-color-hover: $bench-quiet; scrollbar-color-active: $accent; }
    #reading, #reading:focus { border: none; }
    OptionList { scrollbar-background: $panel; scrollbar-color: $bench-pick-back; scrollbar-size-vertical: 1; }
    Plank { height: 1; border: none; background: $panel; }
    #hints { background: $background; }
    #work, .shelf { border-left: vkey $bench-quiet; }
    """
    BINDINGS: ClassVar[list[Any]] = [
        Binding(",".join(a.keys), f"act('{a.id}')", a.label, show=False, id=a.id, priority=True)
        for a in ACTIONS
        if a.id not in ("palette", "quit")
    ] + [Binding("ctrl+q", "act('quit')", "leave", show=False, priority=True, id="quit")]

    def __init__(
        self,
        archive: Archive,
        part: Part,
        *,
        look: str = "dark",
        graphics: Callable[[], type[Any] | None] | None = None,
    ) -> None:
        super().__init__()
        for theme in THEMES.values():
            self.register_theme(theme)
        self.theme = THEMES[look].name
        self.archive = archive
        self.desk = Desk(archive, part)
        self._graphics = graphics
        self._picture_widget: type[Any] | None = None
        self._shelf = "things"
        self.top = Plank(self._top_row, id="top")
        self.hand = Plank(self._hand_row, id="hand")
        self.hints = Plank(self._hints_row, on_press=self.action_act, id="hints")
        self.words = Words(self.desk.sheet, id="words")
        self.work = Listing(lambda w: entries.work(self.desk, w), empty="No steps yet.", id="work")
        self.shelves = {
            "things": Listing(
                lambda w: entries.things(self.desk, w), empty="No things yet: select words with v, then a.", id="things"
            ),
            "links": Listing(lambda w: entries.links(self.desk, w), empty="No links owed.", id="links"),
            "box": Listing(self._box_entries, empty="Nothing to post yet.", id="box"),
            "remarks": Listing(lambda w: entries.remarks(self.desk, w), empty="No remarks.", id="remarks"),
            "sums": Listing(
                lambda w: sums.entries(self._page, w), empty="Nothing in this part can be worked out.", id="sums"
            ),
        }
        self._drawn: Log | None = None  # the log that is on the screen
        self._turn = 0
        self._marks_here: list[Mark] = []
        self._marks_at = -1  # the word they are on
        self._said: tuple[str, str] | None = None
        self._searched = ""
        self._offered: list[str] = []  # what may have been left out and was shown once
        self._visited: list[tuple[str, str, float]] = []
        self._seen: set[tuple[str, str, float]] = set()
        self._player = Player()
        self._turns: dict[str, int] = {}
        self._over = self._slow = False
        self._job: Job | None = None
        self._job_row = ""
        self._box: Box | None = None
        self._findings: list[Finding] = []
        self._box_due: Timer | None = None
        self._page: Page | None = None

    # Building -------------------------------------------------------------------------------------------------------

    def compose(self) -> ComposeResult:
        """Words, work and shelf, between a plank above and two below."""
        yield self.top
        with Horizontal(id="bench"):
            yield self.words
            yield self.work
            for listing in self.shelves.values():
                listing.add_class("shelf")
                yield listing
        yield self.hand
        yield self.hints

    def on_mount(self) -> None:
        """First look, and an eye on other windows."""
        self.words.border_title = "Words"
        self.work.border_title = "Work"
        for name, listing in self.shelves.items():
            listing.border_title = TITLES[name]
        self._arrange()
        self._focus(self.words)
        self._shown(anew=True)
        self.set_interval(0.4, self._look_elsewhere)
        # What the first change needs is imported while the maker looks around.
        self.set_timer(0.5, lambda: self._beside("ready", functools.partial(_get_ready, self.desk.log), lambda _: None))
        if self.archive.read_only:
            self.say("The archive is open to read only: you can look, nothing can be changed.", "bad")

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """The bench's own colours where another theme is set."""
        return THEMES["dark"].variables

    @property
    def shelf(self) -> Listing:
        """The list on the shelf."""
        return self.shelves[self._shelf]

    @property
    def wide(self) -> bool:
        """Whether the shelf stands beside the words."""
        return self.size.width >= WIDE

    def _arrange(self, *, shelf: bool | None = None) -> None:
        """Show what there is room for. ``shelf``: whether the shelf is wanted where only one of both fits."""
        if shelf is None:
            shelf = self.shelf.has_focus or (self.shelf.display and not self.words.display)
        for name, listing in self.shelves.items():
            listing.display = name == self._shelf and (self.wide or shelf)
        self.words.display = self.work.display = self.wide or not shelf

    def on_resize(self, event: Resize) -> None:
        """Another size of terminal."""
        if self.is_attached:
            self._arrange()

    # What is shown --------------------------------------------------------------------------------------------------

    def _shown(self, *, anew: bool) -> None:
        """The log changed: everything in sight follows."""
        log, before = self.desk.log, self._drawn
        self._drawn = log

        def touched(*parts: str) -> bool:
            return before is None or any(getattr(log, p) is not getattr(before, p) for p in parts)

        self.words.show(anew=anew)
        if touched("steps", "chapters", "pieces"):
            self.work.laid_out()
        if self.shelf.display and self._shelf == "sums":
            self._work_out()
        elif self.shelf.display and self._shelf != "box":
            self.shelf.laid_out()
        self._count()
        self._at_hand()
        self._box_soon()

    def _count(self) -> None:
        self._doubts = len(self.desk.doubts())
        self._owed = self.desk.open_links()
        self.top.refresh_row()

    def _box_soon(self) -> None:
        """Write the box again when changes pause, beside the work: at once almost where it is in sight."""
        if self._box_due is not None:
            self._box_due.stop()
        self._box_due = self.set_timer(0.1 if self.shelves["box"].display else 0.5, self._write_box)

    def _write_box(self) -> None:
        self._box_due = None
        desk = self.desk
        self._beside("box", lambda: publishing.written(desk), self._box_now)

    def _box_now(self, written: publishing.Written) -> None:
        self._box, self._findings, told = written
        listing = self.shelves["box"]
        listing.border_title = f"{TITLES['box']}: {shown(told)}"
        if listing.display:
            listing.laid_out()
        self.top.refresh_row()

    def _box_entries(self, width: int) -> list[Entry]:
        if self._box is None:
            return []
        stops = sum(f.blocks for f in self._findings)
        text = f"{stops} to do before it can be posted" if stops else "Nothing stops it from being posted"
        out = [Entry(None, [[(text, "bad bold" if stops else "good bold")]])]
        for number, found in enumerate(self._findings):
            mark, style = ("☐", "bad") if found.blocks else ("?", "quiet")
            rows = wrapped(f"{found.text}  {hms(found.start_s)}", width - 6, 3)
            cells: list[Row] = [[(f" {mark} " if i == 0 else "   ", style), (r, "plain")] for i, r in enumerate(rows)]
            out.append(Entry(("finding", number, found.start_s), cells))
        out += [Entry(None, [[(fit(f" left out to fit: {cut}", width - 2), "quiet")]]) for cut in self._box.cut]
        out.append(Entry(None, [[("─" * max(0, width - 2), "quiet")]]))
        for number, line in enumerate(self._box.text.split("\n")):
            out.append(Entry(("text", number, None), [[(r, "plain")] for r in wrapped(line, width - 3)]))
        return out

    def _work_out(self) -> None:
        """Work the sheets out beside the work; the page in sight stays until then."""
        desk = self.desk
        self._beside("sums", lambda: sums.page(desk), self._page_now)

    def _page_now(self, page: Page) -> None:
        self._page = page
        if self.shelves["sums"].display:
            self.shelves["sums"].laid_out()
            self.hand.refresh_row()
            self.hints.refresh_row()

    def _spot(self) -> tuple[Page, sums.Spot] | None:
        """The row of the sums in hand."""
        key = self.shelves["sums"].key if self.focused is self.shelves["sums"] else None
        return (self._page, key) if self._page is not None and isinstance(key, sums.Spot) else None

    def _correct_sum(self, name: str, page: Page, spot: sums.Spot) -> None:
        if name == "reword":
            flow = sums.typing(self.desk, page, spot)

            def then() -> Flow:
                yield from flow
                self._work_out()
                return None

            self._ask(then(), None)
        elif name == "remove":
            sums.take_back(self.desk, page, spot)
            self._work_out()
            self.say("What was typed in is taken back.")
        elif name == "accept" and (edit := sums.accepting(page, spot)) is not None:
            self.make(edit)
        else:
            self.say("In the sums e types a value in, x takes it back, and y says that something is fine as it is.")

    def _accept_finding(self) -> bool:
        """Accept the finding selected on the check list. False where none is."""
        key = self.focused.key if isinstance(self.focused, Listing) else None
        if not (isinstance(key, tuple) and key[0] == "finding" and key[1] < len(self._findings)):
            return False
        finding = self._findings[key[1]]
        publishing.accept(self.desk, finding)
        self._shown(anew=self.desk.words_changed)
        self._box_now(publishing.written(self.desk))
        self.say(f"fine as it is: {fit(finding.text, 100)}", "good")
        return True

    def _top_row(self, width: int) -> list[Row]:
        part = self.desk.part
        end: Row = []
        if self._job_row:
            end.append((f"{fit(self._job_row, width // 2)}  ", "caution"))
        if self.archive.read_only:
            end.append(("read only  ", "bad bold"))
        if self.desk.state.unplaced:
            lost = len(self.desk.state.unplaced)
            end.append((f"  {lost} change{'' if lost == 1 else 's'} without a place  ", "bad"))
        end.append(
            (f"{self._doubts} to look at" if self._doubts else "all looked at", "plain" if self._doubts else "good")
        )
        end.append((f"  {self._owed} owed" if self._owed else "  no links owed", "link" if self._owed else "good"))
        stops = sum(f.blocks for f in self._findings)
        end.append(
            (
                f"  {stops} to do " if stops else "  ready to post " if self._box is not None else "  … ",
                "bad bold" if stops else "good bold",
            )
        )
        left: Row = [(f" {fit(part.label, max(12, width // 3))}", "chapter bold")]
        room = width - sum(cell_len(t) for t, _ in [*left, *end]) - 2
        for text, style in (
            (f"  {hms(self.desk.log.recording.duration_s)}", "quiet"),
            (f"  {part.title or ''}", "plain"),
        ):
            if room > len(text):
                left.append((fit(text, room), style))
                room -= cell_len(text)
        return [right(left, end, width)]

    def _hand_row(self, width: int) -> list[Row]:
        hands = self.hands()
        spot = self._spot()
        if spot is not None:
            return [right([(" ", ""), *sums.facts(*spot)], [], width)]
        if not hands:
            text = (
                "y: fine as it is   enter: to the words it is about"
                if self.focused is self.shelves["box"]
                else "nothing here yet"
            )
            return [[(f" {text}", "quiet")]]
        hand = hands[0]
        if hand.ref is None:
            many = hand.last - hand.first + 1
            text = f" {many} words" if many > 1 else " word"
            row: Row = [(text, "quiet"), (f"  “{fit(hand.said, max(10, width // 2))}”", "plain")]
            around = next((h for h in hands if h.of == "step"), None)
            if around is not None and around.ref is not None and many == 1:
                row += [
                    ("   in ", "quiet"),
                    (f"▪ step {around.ref.place + 1}", "step"),
                    (f"  {fit(around.thing.text, 80)}", "plain"),
                ]
            legend = [p for k in IN_WORDS for p in ((f"  {LOOKS[k].mark} ", LOOKS[k].style), (LOOKS[k].word, "quiet"))]
            return [right(row, legend if width > 170 else [], width)]
        row = [(" ", ""), *entries.facts(self.desk, hand.ref)]
        more = sum(1 for m in self._marks_here) - 1
        end: Row = [(f"  ' {more} more here ", "quiet")] if more > 0 and self.focused is self.words else []
        return [right(row, end, width)]

    def _hints_row(self, width: int) -> list[Row]:
        if self._said is not None:
            return [[(f" {fit(self._said[0], width - 2)}", self._said[1])]]
        hands = self.hands()
        of = hands[0].of if hands else "sum" if self._spot() is not None else "nothing"
        row: Row = [(" ", "")]
        used = 1
        tail: list[str] = [a for a in ALWAYS if a not in HINTS[of]]
        room = width - sum(len(key_shown(BY_ID[a].keys[0])) + len(BY_ID[a].label) + 3 for a in tail)
        for hint in [*HINTS[of], *tail]:
            name, _, label = hint.partition(":")
            key = key_shown(BY_ID[name].keys[0])
            label = label.replace("_", " ") or BY_ID[name].label
            size = len(key) + len(label) + 3
            if name not in tail and used + size > room:
                continue
            used += size
            row += [(key, f"chapter bold @{name}"), (f" {label}  ", f"quiet @{name}")]
        return [row]

    def say(self, text: str, style: str = "plain") -> None:
        """A message in place of the hints, until the next key."""
        self._said = (text, style)
        self.hints.refresh_row()

    async def on_event(self, event: Event) -> None:
        """One key after another: a key typed ahead belongs to the question that the key before it opened.

        The keys of the bench and of its strips are bindings with priority, which are done here, in order; Textual
        hands other keys on to the widget in focus as fast as they come. So after a key that opened a strip, the next
        waits until the strip can take it.
        """
        pressed = isinstance(event, (Key, Paste))
        if pressed and self._said is not None and len(self.screen_stack) == 1:
            self._said = None
            self.hints.refresh_row()
        await super().on_event(event)
        until = time.monotonic() + KEY_S
        while pressed and self.screen_stack and time.monotonic() < until:
            top = self.screen_stack[-1]
            if not isinstance(top, Strip):
                return
            if top.focused is not None and top.focused.is_running:
                taken = asyncio.Event()
                top.focused.call_next(taken.set)
                with contextlib.suppress(TimeoutError):
                    await asyncio.wait_for(taken.wait(), KEY_S)
                return
            await asyncio.sleep(0.002)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """While something lies over the bench, its keys are that one's; only leaving is always possible."""
        return action != "act" or len(self.screen_stack) == 1 or parameters == ("quit",)

    def on_paste(self, event: Paste) -> None:
        """Pasted text is no keys: only a field takes it."""
        self.say("Nothing to paste into here: press the key of a correction first, such as e or l.")

    # What is at hand ------------------------------------------------------------------------------------------------

    def hands(self) -> list[Hand]:
        """What a correction would be made on, nearest first."""
        desk, sheet = self.desk, self.desk.sheet
        first, last = self.words.selected()
        focused = self.focused
        if isinstance(focused, Listing) and focused.id != "words":
            key = focused.key
            if isinstance(key, Ref) and desk.thing(key) is not None:
                return [Hand(desk, key, first, last)]
            return []
        if not sheet.count:
            return []
        cursor = self.words.cursor
        if self._marks_at != cursor:
            self._at_hand()  # keys come quicker than messages
        out = [Hand(desk, m.ref, first, last, m) for m in self._marks_here]
        bare = Hand(desk, None, first, last)
        out = [bare, *out] if self.words.held is not None else [*out, bare]
        for word in dict.fromkeys((cursor, first, last)):
            step = sheet.step_of[word]
            if step >= 0:
                out.append(Hand(desk, Ref("step", step), first, last))
                break
        chapter = sheet.chapter_at(cursor)
        if chapter is not None:
            out.append(Hand(desk, Ref("chapter", chapter), first, last))
        return out

    def _at_hand(self, *, turn: int = 0) -> None:
        """Another thing is under the cursor."""
        marks = self.desk.sheet.at_word(self.words.cursor)
        self._turn = turn % len(marks) if marks else 0
        self._marks_here = marks[self._turn :] + marks[: self._turn]
        self._marks_at = self.words.cursor
        self.hand.refresh_row()
        self.hints.refresh_row()

    def on_words_moved(self, event: Words.Moved) -> None:
        """The step or chapter beside the words is selected."""
        self._at_hand()
        sheet = self.desk.sheet
        if not sheet.count:
            return
        step = sheet.step_of[self.words.cursor]
        if step >= 0:
            self.work.select(Ref("step", step))
        else:
            chapter = sheet.chapter_at(self.words.cursor)
            if chapter is not None:
                self.work.select(Ref("chapter", chapter))

    def on_listing_moved(self, event: Listing.Moved) -> None:
        """The words follow what is selected in a list."""
        if event.listing is self.focused:
            at = self._time_of(event.listing.key)
            if at is not None:
                self.words.held = None
                self.words.go(self.desk.sheet.word_at(at), centre=True, tell=False)
                self._marks_at = -1
                if event.listing is not self.work and self.wide:
                    step = self.desk.sheet.step_of[self.words.cursor] if self.desk.sheet.count else -1
                    self.work.select(Ref("step", step) if step >= 0 else None)
        self.hand.refresh_row()
        self.hints.refresh_row()

    def on_listing_chosen(self, event: Listing.Chosen) -> None:
        """Clicked again: to the words."""
        self.do_enter()

    def _time_of(self, key: Any) -> float | None:
        if isinstance(key, Ref):
            return self.desk.time_of(key)
        return key[2] if isinstance(key, tuple) and len(key) == 3 else None

    def on_descendant_focus(self, event: Any) -> None:
        """Keys mean what the place in focus says."""
        self.hand.refresh_row()
        self.hints.refresh_row()

    # Doing ----------------------------------------------------------------------------------------------------------

    def action_act(self, name: str) -> None:
        """Do what the table of actions calls ``name``. Whatever goes wrong is said, and nothing is changed."""
        self._said = None
        try:
            if BY_ID[name].correction:
                self._correct(name)
            else:
                getattr(self, f"do_{name}")()
        except BuildlogError as error:
            self.say(str(error), "bad")
        if self._said is None:
            self.hints.refresh_row()

    def _correct(self, name: str) -> None:
        if name == "accept" and self._accept_finding():
            return
        if (spot := self._spot()) is not None:
            self._correct_sum(name, *spot)
            return
        found = corrections.candidates(self.hands(), name)
        if found is None:
            action = BY_ID[name]
            help = action.help[:1].lower() + action.help[1:]
            self.say(f"“{action.label}” is not for what is under the cursor: {help}.")
            return
        correction, hand = found
        self._ask(correction.flow(hand), None)

    def _ask(self, flow: Flow, answer: Any) -> None:
        """Go on with a correction: ask its next question, or make its edit."""
        try:
            question = next(flow) if answer is None else flow.send(answer[0])
        except StopIteration as done:
            if done.value is not None:
                self.make(done.value)
            return
        except BuildlogError as error:
            self.say(str(error), "bad")
            return

        def answered(given: tuple[Any] | None) -> None:
            if given is None:
                flow.close()
                self.say("Let be: nothing was changed.", "quiet")
            else:
                self._ask(flow, given)

        self.push_screen(strip_for(question), answered)

    def make(self, edit: Any) -> None:
        """Make a change: on disk first, then on the screen."""
        accepted = type(edit).__name__ == "Accept" and self._visited and self._is_current(edit)
        try:
            self.desk.make(edit)
        except BuildlogError as error:
            self.say(str(error), "bad")
            self._refresh_if_moved()
            return
        self.words.held = None
        self._shown(anew=self.desk.words_changed)
        more = "" if not hasattr(edit, "everywhere") else "    * for all alike   + and in later videos"
        self.say(f"{describing.words(edit)}{more}", "good")
        if accepted:
            self.do_next_doubt()

    def _refresh_if_moved(self) -> None:
        if self.desk.changed_elsewhere():
            self._shown(anew=self.desk.words_changed)

    def do_undo(self) -> None:
        """Take the last change back."""
        edit = self.desk.undo()
        if edit is None:
            self.say("Nothing left to take back: this is what the machine read.")
            return
        self._shown(anew=self.desk.words_changed)
        self.say(f"taken back: {describing.words(edit)}    U makes it again")

    def do_redo(self) -> None:
        """Make the change taken back again."""
        edit = self.desk.redo()
        if edit is None:
            self.say("Nothing to make again.")
            return
        self._shown(anew=self.desk.words_changed)
        self.say(f"made again: {describing.words(edit)}", "good")

    def _widen(self, *, remember: bool) -> None:
        edit = self.desk.widen(remember=remember)
        self._shown(anew=self.desk.words_changed)
        self.say(describing.words(edit), "good")

    def do_alike(self) -> None:
        """The last change, for all things alike."""
        self._widen(remember=False)

    def do_remember(self) -> None:
        """The last change, for all alike and for later videos."""
        self._widen(remember=True)

    def do_accept_above(self) -> None:
        """Accept everything that is at least so sure."""
        count = self.desk.sheet.count
        word = self.words.cursor if count else 0
        self._ask(corrections.accept_above(Hand(self.desk, None, word, word)), None)

    # Going about ----------------------------------------------------------------------------------------------------

    def _focus(self, place: Widget) -> None:
        """Keys go to ``place`` from now on, also those that were typed ahead."""
        self.screen_stack[0].set_focus(place)

    def _key(self, ref: Ref) -> tuple[str, str, float]:
        from buildlog.edits import anchor

        thing = self.desk.thing(ref)
        assert thing is not None
        assert not isinstance(thing, Unplaced)
        at = anchor(thing)
        return at.of, at.name, at.start_s

    def _is_current(self, edit: Any) -> bool:
        of, name, _ = self._visited[-1]
        return bool(edit.at.of == of and edit.at.name == name)

    def do_next_doubt(self) -> None:
        """To the least certain thing not looked at yet."""
        doubts = self.desk.doubts()
        if not doubts:
            self.say("Everything has been looked at.", "good")
            return
        fresh = next((d for d in doubts if self._key(d.ref) not in self._seen), None)
        if fresh is None:
            self._seen.clear()
            fresh = doubts[0]
            self.say("That was the last of them; from the start again.")
        key = self._key(fresh.ref)
        self._seen.add(key)
        self._visited.append(key)
        self._to(fresh.ref)

    def do_last_doubt(self) -> None:
        """To the thing looked at before."""
        while len(self._visited) > 1:
            self._seen.discard(self._visited.pop())
            wanted = self._visited[-1]
            for doubt in self.desk.doubts():
                if self._key(doubt.ref) == wanted:
                    self._to(doubt.ref)
                    return
        self.say("Nothing was looked at before.")

    def _to(self, ref: Ref, at_s: float | None = None) -> None:
        """Show a thing: steps and chapters in the work, everything else where it was said."""
        at = self._time_of(ref) if at_s is None else at_s
        self._arrange(shelf=False)
        self.words.held = None
        if ref.of in ("step", "chapter"):
            self._focus(self.work)
            self.work.select(ref)
            if at is not None:
                self.words.go(self.desk.sheet.word_at(at), centre=True, tell=False)
            self._at_hand()
            return
        self._focus(self.words)
        marks = self.desk.sheet.marks_of(ref)
        word = marks[0].first if marks else self.desk.sheet.word_at(at or 0.0)
        self.words.go(word, centre=True, tell=False)
        here = self.desk.sheet.at_word(word)
        self.on_words_moved(Words.Moved())
        self._at_hand(turn=next((i for i, m in enumerate(here) if m.ref == ref), 0))

    def _by_mark(self, step: int) -> None:
        marks, cursor = self.desk.sheet.marks, self.words.cursor
        at = bisect_right(marks, cursor, key=_first) if step > 0 else bisect_left(marks, cursor, key=_first) - 1
        if not 0 <= at < len(marks):
            self.say("No more marked words on that side.")
            return
        self._to_words(marks[at].first)

    def _to_words(self, word: int) -> None:
        self._arrange(shelf=False)
        self._focus(self.words)
        self.words.go(word, centre=True)

    def do_next_mark(self) -> None:
        """To the next marked words."""
        self._by_mark(1)

    def do_last_mark(self) -> None:
        """To the marked words before."""
        self._by_mark(-1)

    def do_other(self) -> None:
        """To the next thing that the words under the cursor speak of."""
        self._at_hand(turn=self._turn + 1)

    def do_search(self) -> None:
        """Search the words."""

        def flow() -> Flow:
            text = yield Text(
                "Which words?", self._searched, "their first letters do; the next place comes with .", anew=True
            )
            self._searched = text.strip()
            self.do_search_next()
            return None

        self._ask(flow(), None)

    def do_search_next(self) -> None:
        """To the next place with the words searched."""
        if not self._searched:
            self.do_search()
            return
        word = self.words.find(self._searched, self.words.cursor)
        if word is None:
            self.say(f"“{fit(self._searched, 60)}” is not said in this part; ctrl+f looks in every video.")
            return
        self._to_words(word)

    def do_go_to(self) -> None:
        """Go to a time."""

        def flow() -> Flow:
            text = yield Text("To which time?", "", "4:05, 1:04:05 or seconds")
            self._to_words(self.desk.sheet.word_at(seconds(text)))
            return None

        self._ask(flow(), None)

    def do_find(self) -> None:
        """Find a moment in every video."""

        def flow() -> Flow:
            text = yield Text("Find in every video", self._searched, anew=True)
            if text.strip():
                path, read_only = self.archive.store.path, self.archive.read_only

                def look() -> list[finding.Moment]:
                    return finding.moments(path, text, read_only=read_only)

                self.say("Looking …")
                self._beside("find", look, self._found)
            return None

        self._ask(flow(), None)

    def _found(self, moments: list[finding.Moment]) -> None:
        if not moments:
            self.say("Nothing like that in any video.")
            return

        def flow() -> Flow:
            moment = yield Pick(f"{len(moments)} moments", tuple((m.row, m) for m in moments))
            self._show_part(moment.part_id)
            self._to_words(self.desk.sheet.word_at(moment.start_s))
            return None

        self._ask(flow(), None)

    def do_enter(self) -> None:
        """From a list to the words, and back to where one came from."""
        focused = self.focused
        if isinstance(focused, Listing):
            at = self._time_of(focused.key)
            if isinstance(focused.key, Ref) and focused.key.of not in ("step", "chapter", "check", "unplaced"):
                self._to(focused.key)
            elif at is not None:
                self._to_words(self.desk.sheet.word_at(at))
        else:
            self._focus(self.work)

    def _places(self) -> list[Widget]:
        return [w for w in (self.words, self.work, self.shelf) if w.display]

    def _turn_place(self, by: int) -> None:
        places = self._places()
        at = places.index(self.focused) if self.focused in places else 0
        if not self.wide and (at + by) not in range(len(places)):
            # Only one of the two fits: the next place is the other one.
            self._arrange(shelf=self.words.display)
            places = self._places()
            self._focus(places[0 if by > 0 else -1])
            if self.shelf.display:
                self.shelf.laid_out()
            return
        self._focus(places[(at + by) % len(places)])

    def do_next_place(self) -> None:
        """To the next place."""
        self._turn_place(1)

    def do_last_place(self) -> None:
        """To the place before."""
        self._turn_place(-1)

    def _see(self, name: str) -> None:
        self._shelf = name
        self._arrange(shelf=True)
        self.shelf.laid_out(at_once=True)
        if name == "box":
            self._box_soon()
        elif name == "sums":
            self._work_out()
        self._focus(self.shelf)

    def do_see_words(self) -> None:
        """Words and work."""
        self._arrange(shelf=False)
        self._focus(self.words)

    def do_see_things(self) -> None:
        """Things."""
        self._see("things")

    def do_see_links(self) -> None:
        """Links owed."""
        self._see("links")

    def do_see_box(self) -> None:
        """The description box."""
        self._see("box")

    def do_see_remarks(self) -> None:
        """Remarks."""
        self._see("remarks")

    def do_see_sums(self) -> None:
        """Worksheets."""
        self._see("sums")

    def do_select(self) -> None:
        """Begin to select words, or let them go."""
        self._arrange(shelf=False)
        self._focus(self.words)
        self.words.hold()

    def do_select_meant(self) -> None:
        """Select the name or the amount under the cursor."""
        if not self.desk.sheet.count:
            raise BadInput("there are no words to select; take a recording in first")
        self._arrange(shelf=False)
        self._focus(self.words)
        found = around(self.desk.sheet.texts, self.words.cursor)
        self._select(found.first, found.last)

    def _select(self, first: int, last: int) -> None:
        self.words.held = None
        self.words.go(last, centre=True)
        self.words.hold()
        self.words.go(first)
        self._at_hand()

    def do_next_left_out(self) -> None:
        """To the next words that may name a thing that was left out."""
        sheet, log = self.desk.sheet, self.desk.log
        names = [n for i in log.items for n in (i.name, *i.aliases)]
        names += [n for t in log.techniques for n in (t.name, *t.aliases)]
        names += self._offered
        after = self.words.selected()[1]
        texts = sheet.texts

        def look() -> Meant | None:
            return next_left_out(texts, after, lambda word: any(not m.wide for m in sheet.at_word(word)), names)

        def found(meant: Meant | None) -> None:
            if meant is None:
                self._offered.clear()
                self.say("From here on nothing more looks like a thing that was left out.")
                return
            self._offered.append(sheet.said(meant.first, meant.last))
            self._arrange(shelf=False)
            self._focus(self.words)
            self._select(meant.first, meant.last)

        self._beside("left out", look, found)

    def action_let_go(self) -> None:
        """Nothing selected."""
        self.words.let_go()

    # Hearing and seeing ---------------------------------------------------------------------------------------------

    def _stretch(self) -> tuple[float, float]:
        """The words selected; else the line under the cursor; in the work, the step."""
        hands, sheet = self.hands(), self.desk.sheet
        if hands and hands[0].of == "step" and self.focused is self.work:
            return hands[0].thing.start_s, hands[0].thing.end_s
        if not sheet.count:
            raise BadInput("there are no words to play; take a recording in first")
        first, last = self.words.selected()
        if first == last:
            line = sheet.line_of[first]
            first, last = sheet.first_of[line], sheet.first_of[line + 1] - 1
        return sheet.starts[first], sheet.ends[last]

    def do_play(self) -> None:
        """Play, or stop."""
        if self._player.playing:
            self._player.stop()
            self.say("Stopped.")
            return
        start, end = self._stretch()
        path, at_s, speed = source_of(self.archive, self.desk.part.id, start)
        self._player.play(command(path, at_s, max(0.3, (end - start) * speed), slow=self._slow, loop=self._over))
        how = (", over and over" if self._over else "") + (", at half speed" if self._slow else "")
        self.say(f"Playing {hms(start)} to {hms(end)}{how}: space stops.")

    def do_loop(self) -> None:
        """Over and over, or once."""
        self._over = not self._over
        self.say("Played over and over from now on." if self._over else "Played once from now on.")

    def do_slow(self) -> None:
        """Half or full speed."""
        self._slow = not self._slow
        self.say("Played at half speed from now on." if self._slow else "Played at full speed from now on.")

    def do_picture(self) -> None:
        """A still of this moment."""
        sheet = self.desk.sheet
        at = sheet.starts[self.words.cursor] if sheet.count else 0.0
        hands = self.hands()
        if hands and hands[0].of == "step" and self.focused is self.work:
            at = (hands[0].thing.start_s + hands[0].thing.end_s) / 2
        path, at_s, _ = source_of(self.archive, self.desk.part.id, at)

        def look() -> Any:
            from buildlog.media import still

            return still(path, at_s)

        def show(image: Any) -> None:
            self._said = None
            self.push_screen(Picture(image, f"{self.desk.part.label}, {hms(at)}", self._by_graphics()))

        self.say("Looking …")
        self._beside("picture", look, show)

    def _by_graphics(self) -> type[Any] | None:
        """The widget for stills, where the terminal has graphics: it is asked at the first, and must be free then."""
        ask, self._graphics = self._graphics, None
        if ask is not None:
            with contextlib.suppress(SuspendNotSupported), self.suspend():
                self._picture_widget = ask()
        return self._picture_widget

    # Beside the work ------------------------------------------------------------------------------------------------

    class Done(Message):
        """What was done beside the work is done. ``turn``: an older one is of no interest any more."""

        def __init__(self, name: str, turn: int, then: Callable[[], None]) -> None:
            super().__init__()
            self.name, self.turn, self.then = name, turn, then

    def _beside(self, name: str, work: Callable[[], Any], then: Callable[[Any], None]) -> None:
        """Do ``work`` in a thread and ``then`` something with what it gives; a newer one of that name wins.

        The thread is a daemon: leaving the bench waits for none, as it would for Textual's thread workers.
        """
        self._turns[name] = turn = self._turns.get(name, 0) + 1

        def go() -> None:
            try:
                result = work()
                act = lambda: then(result)  # noqa: E731
            except BuildlogError as error:
                act = functools.partial(self.say, str(error), "bad")
            except Exception as error:  # shown on the bench: there is nobody else to tell
                act = functools.partial(self.say, f"{type(error).__name__}: {one_line(error)}", "bad")
            with contextlib.suppress(Exception):  # the bench may have been left
                self.post_message(self.Done(name, turn, act))

        threading.Thread(target=go, name=f"bench {name}", daemon=True).start()

    def on_bench_done(self, event: Done) -> None:
        """Show it, if nothing newer is under way."""
        if self._turns.get(event.name) == event.turn:
            event.then()

    # The bench ------------------------------------------------------------------------------------------------------

    def _look_elsewhere(self) -> None:
        """Another window, or the child that takes a recording in, may have written."""
        try:
            if self.desk.changed_elsewhere():
                self._shown(anew=self.desk.words_changed)
        except BuildlogError as error:
            self.say(str(error), "bad")

    def _show_part(self, part_id: int) -> None:
        if part_id == self.desk.part.id:
            return
        self.desk = Desk(self.archive, self.archive.builds.part(part_id))
        self._seen.clear()
        self._visited.clear()
        self._offered.clear()
        self._page = None
        self.words.sheet = self.desk.sheet
        self.words.cursor, self.words.held = 0, None
        self._shown(anew=True)

    def do_open(self) -> None:
        """Another part."""

        def flow() -> Flow:
            parts = self.archive.builds.parts()
            options = tuple((p.label + (f"  {p.title}" if p.title else ""), p) for p in parts)
            part = yield Pick("Which part?", options)
            self._show_part(part.id)
            return None

        self._ask(flow(), None)

    def do_take(self) -> None:
        """Take a recording in, in a process of its own."""
        if self._job is not None:
            raise BadInput("a recording is being taken in already; ctrl+x stops it")
        if self.archive.read_only:
            raise BadInput("the archive is open to read only; nothing can be taken in")

        def flow() -> Flow:
            text = yield Text(
                "Which file? (video, audio or a timed transcript)", "", "its path; drag it onto the terminal"
            )
            path = Path(text.strip().strip("'\"")).expanduser()
            if not path.exists():
                raise BadInput(f"there is no file {one_line(path, 120)}; type its whole path")
            names = [b.name for b in self.archive.builds.all()]
            names.sort(key=lambda n: n != self.desk.part.build)
            build = yield Pick("Into which build?", tuple((n, n) for n in names), free=True)
            self.run_worker(self._take(Job(self.archive.store.path, path, build)), name="take", exit_on_error=False)
            return None

        self._ask(flow(), None)

    async def _take(self, job: Job) -> None:
        self._job = job
        last: dict[str, Any] = {}
        try:
            async for report in job.reports():
                last = report
                if "what" in report:
                    done, total, left = report["done_s"], report["total_s"], report["left_s"]
                    ahead = f", {hms(left)} left" if left is not None else ""
                    self._job_row = f"{report['what']} {hms(done)} of {hms(total)}{ahead}"
                    self.top.refresh_row()
        finally:
            self._job, self._job_row = None, ""
        self.top.refresh_row()
        if "part" in last:
            self.say(f"{fit(last['label'], 60)} is ready: ctrl+o opens it.", "good")
        else:
            self.say(str(last.get("error", "it ended without a word")), "bad")

    def do_stop_job(self) -> None:
        """Stop taking in, at once."""
        if self._job is None:
            self.say("No recording is being taken in.")
            return
        self._job.stop()

    def do_colours(self) -> None:
        """The next set of colours."""
        names = [t.name for t in THEMES.values()]
        at = names.index(self.theme) if self.theme in names else -1
        self.theme = names[(at + 1) % len(names)]

    def do_copy(self) -> None:
        """The description box into the clipboard."""
        self._box_now(publishing.written(self.desk))
        if self._box is None:
            raise BadInput("there is no box yet; see what 4 says")
        self.copy_to_clipboard(self._box.text)
        self.say("Copied, if your terminal lets programs copy; else `buildlog write` prints the box.", "good")

    def do_help(self) -> None:
        """Every key."""
        self.push_screen(Reading("Every key", help_rows()))

    def do_history(self) -> None:
        """Every change made."""
        self.push_screen(Reading("Every change, the newest first", history_rows(self.desk)))

    def do_palette(self) -> None:
        """Actions by name."""
        self.action_command_palette()

    def do_quit(self) -> None:
        """Leave: nothing is waited for."""
        self._player.stop()
        if self._job is not None:
            self._job.stop()
        self.exit()

    async def on_unmount(self) -> None:
        """However it ends, nothing goes on playing or hearing."""
        self._player.stop()
        if self._job is not None:
            self._job.stop()

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """The palette: what the table of actions offers, and nothing else."""
        for action in ACTIONS:
            if action.palette:
                name = f"{action.label[:1].upper()}{action.label[1:]}  ({key_shown(action.keys[0])})"
                yield SystemCommand(name, action.help, lambda n=action.id: self.action_act(n))


def _first(mark: Mark) -> int:
    return mark.first


def _get_ready(log: Log) -> None:
    """Import and make what the first change needs, and take what is there by now out of the collector's rounds."""
    import gc

    try:
        import buildlog.find
        import buildlog.publish.series
        import buildlog.tag.amounts.convert
        from buildlog.edits import pointing

        buildlog.find.get_ready(log)
        pointing.get_ready()
    finally:
        gc.freeze()
        gc.enable()
