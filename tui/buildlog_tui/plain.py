"""The bench as questions and answers, one line at a time: for screen readers, and for anyone who likes it so."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any, TextIO

from buildlog.archive import Archive, Part
from buildlog.errors import BadInput, BuildlogError
from buildlog_tui import describing, entries, publishing, sums
from buildlog_tui.corrections import CORRECTIONS, Hand, accept_above, candidates
from buildlog_tui.desk import Desk
from buildlog_tui.listing import Entry
from buildlog_tui.questions import Choice, Flow, Pick, Question, Text
from buildlog_tui.sheet import Ref
from buildlog_tui.text import hms, seconds, shown

LISTS: dict[str, Callable[[Desk, int], list[Entry]]] = {
    "things": entries.things,
    "steps": entries.work,
    "links": entries.links,
    "remarks": entries.remarks,
}
HELP = """\
Commands; a single letter of a correction works too.
  next            the next thing worth a look, the least certain first
  list WHAT       things, steps (with chapters), links or remarks, numbered
  NUMBER          take the entry of that number in hand
  words TIME      the words around a time such as 4:05, numbered
  pick N [M]      take the words N to M in hand
  here            what is in hand, and what can be done with it
  box             the description box, and what stops it from being posted
  sums            the worksheets: what was worked out, what is open, what does not add up
  set NAME=VALUE  type a value into the worksheets, such as set chest=36 in; without a value it is taken back
  undo, redo      take the last change back, make it again
  alike, remember the last change for all alike here, or in later videos too
  all             accept everything that is at least so sure
  help, leave"""


class _Left(Exception):
    pass


class Plain:
    """One session. Reads lines from ``source`` and writes lines to ``out``."""

    def __init__(
        self, archive: Archive, part: Part, *, source: TextIO | None = None, out: TextIO | None = None
    ) -> None:
        self.desk = Desk(archive, part)
        self._in = source or sys.stdin
        self._out = out or sys.stdout
        self._hand: Hand | None = None
        self._listed: list[Ref] = []
        self._words: tuple[int, int] = (0, 0)
        self._seen: set[Any] = set()

    def run(self) -> None:
        """Ask and answer until the maker leaves or the input ends."""
        desk = self.desk
        part = desk.part
        self._say(f"{part.label}{': ' + part.title if part.title else ''}, {hms(desk.log.recording.duration_s)}.")
        log = desk.log
        self._say(
            f"{len(log.chapters)} chapters, {len(log.steps)} steps, {len(log.items)} things, "
            f"{desk.open_links()} links owed, {len(desk.doubts())} to look at. Type help for the commands."
        )
        if desk.archive.read_only:
            self._say("The archive is open to read only: nothing can be changed.")
        while True:
            try:
                line = self._read("> ")
            except (_Left, KeyboardInterrupt):
                self._say("Everything is kept.")
                return
            try:
                if desk.changed_elsewhere():
                    self._say("Another window changed this part; this is how it is now.")
                    self._hand = None
                if line and not self._do(line):
                    self._say("Everything is kept.")
                    return
            except _Left:
                self._say("Let be: nothing was changed.")
            except BuildlogError as error:
                self._say(str(error))

    def _say(self, text: str) -> None:
        self._out.write(shown(text) + "\n")
        self._out.flush()

    def _read(self, prompt: str) -> str:
        self._out.write(shown(prompt))
        self._out.flush()
        line = self._in.readline()
        if not line:
            raise _Left
        return line.strip()

    def _do(self, line: str) -> bool:
        """One command. False: the maker leaves."""
        word, _, rest = line.partition(" ")
        rest = rest.strip()
        match word:
            case "leave" | "quit" | "exit":
                return False
            case "help" | "?":
                for row in HELP.split("\n"):
                    self._say(row)
                for c in CORRECTIONS:
                    self._say(f"  {c.key} or {c.id}: {c.help}")
            case "next" | "n":
                self._next()
            case "list":
                self._list(rest)
            case "words":
                self._around(rest)
            case "pick":
                self._pick(rest)
            case "here":
                self._here()
            case "box":
                self._box()
            case "sums":
                self._sums()
            case "set":
                self._set(rest)
            case "undo" | "redo":
                edit = self.desk.undo() if word == "undo" else self.desk.redo()
                done = "Taken back" if word == "undo" else "Made again"
                self._say(f"{done}: {describing.words(edit)}" if edit is not None else "Nothing to do.")
                self._hand = None
            case "alike" | "remember":
                self._say(describing.words(self.desk.widen(remember=word == "remember")))
                self._hand = None
            case "all":
                self._ask(accept_above(Hand(self.desk, None, 0, 0)))
            case _ if word.isdigit() and not rest:
                self._take(int(word))
            case _:
                self._correct(line)
        return True

    # In hand --------------------------------------------------------------------------------------------------------

    def _next(self) -> None:
        doubts = self.desk.doubts()
        fresh = [d for d in doubts if (d.ref.of, d.start_s) not in self._seen]
        if not fresh:
            self._say("Everything has been looked at." if not doubts else "That was the last; next begins again.")
            self._seen.clear()
            return
        self._seen.add((fresh[0].ref.of, fresh[0].start_s))
        self._in_hand(fresh[0].ref, fresh[0].start_s)

    def _in_hand(self, ref: Ref, at_s: float) -> None:
        sheet = self.desk.sheet
        mark = next(iter(sheet.marks_of(ref)), None)
        if mark is not None:
            self._hand = Hand(self.desk, ref, mark.first, mark.last, mark)
        else:
            word = sheet.word_at(at_s) if sheet.count else 0
            self._hand = Hand(self.desk, ref, word, word)
        self._here()

    def _here(self) -> None:
        hand = self._hand
        if hand is None:
            raise BadInput("nothing is in hand; type next, or list things and a number")
        if hand.ref is None:
            self._say(f"The words “{hand.said}”, {hms(hand.start_s)}.")
        else:
            self._say("".join(text for text, _ in entries.facts(self.desk, hand.ref)).replace("  ", ", "))
            if self.desk.sheet.count and hand.of != "chapter":
                sheet = self.desk.sheet
                around = sheet.said(max(0, hand.first - 8), min(hand.last + 8, sheet.count - 1))
                self._say(f"Said at {hms(hand.start_s)}: … {around} …")
        able = [f"{c.key} {c.label}" for c in CORRECTIONS if hand.of in c.on]
        self._say("You can: " + ", ".join(able) + ".")

    def _list(self, what: str) -> None:
        if what not in LISTS:
            raise BadInput(f"list what? {', '.join(LISTS)}")
        self._listed = []
        for entry in LISTS[what](self.desk, 100):
            text = " ".join(" ".join("".join(t for t, _ in row).split()) for row in entry.rows)
            if isinstance(entry.key, Ref):
                self._listed.append(entry.key)
                self._say(f"{len(self._listed)}. {text}")
            elif len(entry.rows) and what != "things":
                self._say(text)
        if not self._listed:
            self._say("There are none.")

    def _take(self, number: int) -> None:
        if not 1 <= number <= len(self._listed):
            raise BadInput("no entry has that number; list things, steps, links or remarks first")
        ref = self._listed[number - 1]
        if self.desk.thing(ref) is None:
            raise BadInput("that entry is gone; list them again")
        self._in_hand(ref, self.desk.time_of(ref) or 0.0)

    def _around(self, time: str) -> None:
        sheet = self.desk.sheet
        if not sheet.count:
            raise BadInput("there are no words in this part")
        at = sheet.word_at(seconds(time))
        self._words = (max(0, at - 15), min(sheet.count, at + 25))
        first, last = self._words
        self._say(
            f"From {hms(sheet.starts[first])}: "
            + " ".join(f"{n - first + 1} {sheet.texts[n]}" for n in range(first, last))
        )

    def _pick(self, rest: str) -> None:
        first, last = self._words
        try:
            numbers = [int(n) for n in rest.split()]
        except ValueError as error:
            raise BadInput("pick which words? type one or two of the numbers that words shows") from error
        if not 1 <= len(numbers) <= 2 or any(not 1 <= n <= last - first for n in numbers):
            raise BadInput("pick which words? type one or two of the numbers that words shows")
        low, high = first + min(numbers) - 1, first + max(numbers) - 1
        self._hand = Hand(self.desk, None, low, high)
        self._here()

    def _box(self) -> None:
        boxed = publishing.box(self.desk)
        for row in boxed.text.split("\n"):
            self._say(row)
        self._say(f"{publishing.room(boxed)}.")
        for found in publishing.check(self.desk):
            self._say(f"{'To do' if found.blocks else 'Worth a look'}: {found.text}")

    def _sums(self) -> None:
        from buildlog.reckon.showing import lines

        found = sums.page(self.desk)
        for check in found.checks:
            moments = " and ".join(hms(t) for t in check.times) or hms(check.start_s)
            self._say(f"Does not add up: {check.text}, {moments}.")
        for told in found.trouble:
            self._say(told)
        for sheet in found.sheets:
            for line in lines(sheet):
                self._say(line)
        if not found.sheets:
            self._say("Nothing in this part can be worked out.")

    def _set(self, rest: str) -> None:
        from buildlog import reckon

        name, sign, value = rest.partition("=")
        if not sign or not name.strip():
            raise BadInput("set what? type for example set chest=36 in; sums shows the names")
        reckon.set_input(self.desk.archive, self.desk.part, name.strip(), value.strip())
        self._say("Kept." if value.strip() else "Taken back.")

    # Corrections ----------------------------------------------------------------------------------------------------

    def _correct(self, line: str) -> None:
        if self._hand is None:
            raise BadInput("nothing is in hand, or no such command; type next, list things, or help")
        found = candidates([self._hand], line.replace(" ", "_") if len(line) > 1 else line)
        if found is None:
            raise BadInput(f"“{line}” cannot be done here; here says what can, help lists everything")
        correction, hand = found
        self._ask(correction.flow(hand))

    def _ask(self, flow: Flow) -> None:
        try:
            question = next(flow)
            while True:
                question = flow.send(self._answer(question))
        except StopIteration as done:
            if done.value is None:
                return
            edit = done.value
        self.desk.make(edit)
        self._hand = None
        self._say(f"Done: {describing.words(edit)}.")

    def _answer(self, question: Question) -> Any:
        match question:
            case Choice():
                self._say(
                    question.title + " " + ", ".join(f"{key} {label}" for key, label, _ in question.options) + "."
                )
                typed = self._read("Which? ")
                for key, label, value in question.options:
                    if typed in (key, label):
                        return value
                raise BadInput("that is none of the answers; nothing was changed")
            case Text():
                if question.value:
                    self._say(
                        f"{question.title}. Now: {question.value}. An empty answer keeps it; a minus sign empties it."
                    )
                else:
                    self._say(question.title + (f" ({question.hint})" if question.hint else "") + ".")
                typed = self._read("New: ")
                return "" if typed == "-" else typed or question.value
            case Pick():
                return self._picked(question)

    def _picked(self, question: Pick) -> Any:
        self._say(question.title)
        typed = self._read("Type part of its name" + (", or other words" if question.free else "") + ": ")
        found = [
            (label, v) for label, v in question.options if all(w in label.casefold() for w in typed.casefold().split())
        ]
        if question.free and typed and not found:
            return typed
        if not found:
            raise BadInput("nothing has that name; nothing was changed")
        if len(found) == 1:
            return found[0][1]
        for number, (label, _) in enumerate(found[:30], 1):
            self._say(f"{number}. {label}")
        chosen = self._read("Which number? ")
        if not chosen.isdigit() or not 1 <= int(chosen) <= min(30, len(found)):
            raise BadInput("that is none of the numbers; nothing was changed")
        return found[int(chosen) - 1][1]
