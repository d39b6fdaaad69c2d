"""Every correction: its key, what it can be done to, what it asks, and the edit it becomes.

The bench and plain mode walk the same table. Nothing here changes anything: an edit goes to the archive, which checks
and keeps it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, cast

import msgspec

from buildlog import edits as e
from buildlog.document import Chapter, Check, Item, LinkOwed, Log, Measurement, Note, Piece, Repair, Step, Technique
from buildlog.edits.place import AnyThing, names_of, things
from buildlog.edits.pointing import Meant, around
from buildlog.edits.typed import amount_from, price_from
from buildlog.errors import BadInput, NotFound
from buildlog_tui.desk import Desk
from buildlog_tui.kinds import LOOKS, STATUS
from buildlog_tui.questions import Choice, Flow, Pick, Text
from buildlog_tui.sheet import Mark, Ref
from buildlog_tui.text import fit, hms


@dataclass(frozen=True, slots=True)
class Hand:
    """What a correction is made on: a thing of the log, or words. ``first`` to ``last`` are the words meant.

    ``mark`` is the mention under the cursor, where the thing was reached through the words.
    """

    desk: Desk
    ref: Ref | None
    first: int
    last: int
    mark: Mark | None = None

    @property
    def of(self) -> str:
        """What sort of thing it is; "word" for bare words."""
        return "word" if self.ref is None else self.ref.of

    @property
    def thing(self) -> Any:
        """The thing itself. Raises :class:`NotFound` where it is gone."""
        found = None if self.ref is None else self.desk.thing(self.ref)
        if found is None:
            raise NotFound("there is nothing here to change; move to something first")
        return found

    @property
    def log(self) -> Log:
        """The log as it is now."""
        return self.desk.log

    @property
    def start_s(self) -> float:
        """When the words meant begin."""
        return self.desk.sheet.starts[self.first] if self.desk.sheet.count else 0.0

    @property
    def end_s(self) -> float:
        """When the words meant end."""
        return self.desk.sheet.ends[self.last] if self.desk.sheet.count else 0.0

    @property
    def said(self) -> str:
        """The words meant, without the marks of punctuation around them."""
        return self.said_from(self.first, self.last)

    def said_from(self, first: int, last: int) -> str:
        """The words ``first`` to ``last``, without the marks of punctuation around them."""
        return self.desk.sheet.said(first, last).strip(" .,;:!?\"'()…–—-")

    def meant(self) -> Meant:
        """The words selected; where it is a single one, the name or the amount that it belongs to."""
        texts = self.desk.sheet.texts
        return around(texts, self.first) if self.first == self.last < len(texts) else Meant(self.first, self.last)

    def anchor(self) -> e.Anchor:
        """Where the edit belongs."""
        return e.anchor(self.thing, self.mark.start_s if self.mark else None)


@dataclass(frozen=True, slots=True)
class Correction:
    """One way to put something right. ``on``: sorts of things; ``around``: also from words inside such a thing."""

    id: str
    key: str
    label: str
    help: str
    on: tuple[str, ...]
    flow: Callable[[Hand], Flow]
    around: bool = False


CORRECTIONS: list[Correction] = []


def _correction(
    key: str, label: str, text: str, *on: str, around: bool = False
) -> Callable[[Callable[[Hand], Flow]], Callable[[Hand], Flow]]:
    def keep(flow: Callable[[Hand], Flow]) -> Callable[[Hand], Flow]:
        CORRECTIONS.append(Correction(flow.__name__, key, label, text, on, flow, around))
        return flow

    return keep


def label_of(thing: AnyThing, cells: int = 60) -> str:
    """A thing on one line: its time, where it has one, and its name."""
    at = getattr(thing, "start_s", None)
    name = fit(names_of(thing)[0], cells)
    return name if at is None or isinstance(thing, Piece) else f"{hms(at)}  {name}"


def _others(values: Sequence[AnyThing], but: AnyThing | None = None) -> tuple[tuple[str, Any], ...]:
    return tuple((label_of(v), v) for v in values if v is not but)


# Things -------------------------------------------------------------------------------------------------------------


_REMARKS = (
    ("c", "caution", "caution"),
    ("t", "tip", "tip"),
    ("s", "slip of the tongue", "correction"),
    ("o", "done off camera", "off_camera"),
    ("p", "pointer to another video", "pointer"),
)


@_correction(
    "k", "kind", "It is of another kind: material, tool, pattern, reference, way of working; or caution, tip, slip …",
    "item", "technique", "note",
)  # fmt: skip
def kind(hand: Hand) -> Flow:
    if isinstance(hand.thing, Note):
        sort = yield Choice("What sort of remark is it?", _REMARKS)
        return e.SetNoteKind(at=hand.anchor(), kind=sort)
    value = yield Choice(
        f"What is “{fit(hand.thing.name, 40)}”?",
        (
            ("m", "material", "material"),
            ("t", "tool", "tool"),
            ("p", "pattern", "pattern"),
            ("r", "reference", "reference"),
            ("w", "way of working", "technique"),
        ),
    )
    return e.SetKind(at=hand.anchor(), kind=value)


@_correction("s", "status", "Used, weighed but not used, used instead of another, or only mentioned", "item")
def status(hand: Hand) -> Flow:
    value = yield Choice(
        f"Was “{fit(hand.thing.name, 40)}” used?",
        (
            ("u", STATUS["used"], "used"),
            ("c", "considered, " + STATUS["considered"], "considered"),
            ("i", "instead of another thing", "substitute"),
            ("m", STATUS["mentioned"], "mentioned"),
        ),
    )
    instead = None
    if value == "substitute":
        other = yield Pick("Instead of what?", _others(hand.log.items, hand.thing), free=True)
        instead = other if isinstance(other, str) else other.name
    return e.SetStatus(at=hand.anchor(), status=value, instead_of=instead)


@_correction(
    "x", "remove", "Not a thing, step, chapter or remark: take it away; a word put right goes back, a change without a place goes",
    "item", "technique", "measurement", "step", "link", "note", "chapter", "repair", "check", "unplaced",
)  # fmt: skip
def remove(hand: Hand) -> Flow:
    yield from ()
    if isinstance(hand.thing, e.Unplaced):
        return e.LetGo(edit=hand.thing.index)
    at = hand.anchor()
    match hand.thing:
        case Step():
            return e.RemoveStep(at=at)
        case Chapter():
            return e.RemoveChapter(at=at)
        case Note():
            return e.RemoveNote(at=at)
        case Repair():
            return e.UndoRepair(at=at)
        case Check() as check:
            return e.AcceptCheck(kind=check.kind, text=check.text, start_s=check.start_s)
        case _:
            return e.NotAThing(at=at)


@_correction(
    "e", "reword", "Other words: rename a thing, reword a step, retitle a chapter, mend an amount or a misheard word",
    "item", "technique", "measurement", "step", "link", "note", "chapter", "piece", "word", "repair",
)  # fmt: skip
def reword(hand: Hand) -> Flow:
    if hand.ref is None or hand.of == "repair":
        text = yield Text("What was said here?", hand.said)
        return e.RepairWord(start_s=hand.start_s, end_s=hand.end_s, heard=hand.said, text=text)
    at, thing = hand.anchor(), hand.thing
    match thing:
        case Step():
            text = yield Text("The step, as an instruction", thing.text)
            return e.RewordStep(at=at, text=text)
        case Chapter():
            text = yield Text("The chapter's title", thing.title)
            return e.Retitle(at=at, title=text)
        case Note():
            text = yield Text("The remark", thing.text)
            return e.RewordNote(at=at, text=text)
        case Measurement():
            text = yield Text(f"How much is “{fit(thing.text, 40)}”?", amount_words(thing), "3/8 in, 1.5 m, 5-6 cm, 12")
            return e.SetAmount(at=at, amount=amount_from(text))
        case LinkOwed():
            text = yield Text("What is the link for?", thing.what)
            return e.Rename(at=at, name=text)
        case _:
            text = yield Text("Its name", thing.name)
            return e.Rename(at=at, name=text)


@_correction(
    "m", "merge", "Two are one: pick the other thing, or the step to join", "item", "technique", "step", around=True
)
def merge(hand: Hand) -> Flow:
    thing = hand.thing
    if isinstance(thing, Step):
        assert hand.ref is not None
        steps = hand.log.steps
        # The next step first: most often one action was told in two sentences.
        near = [*steps[hand.ref.place + 1 :], *reversed(steps[: hand.ref.place])]
        other = yield Pick("Join with which step?", _others(near))
        return e.MergeSteps(at=hand.anchor(), other=e.anchor(other))
    values: Sequence[AnyThing] = hand.log.items if isinstance(thing, Item) else hand.log.techniques
    alike = sorted(
        values, key=lambda v: (getattr(v, "kind", "") != getattr(thing, "kind", ""), names_of(v)[0].casefold())
    )
    other = yield Pick(f"“{fit(thing.name, 40)}” is the same as", _others(alike, thing))
    return e.Merge(at=hand.anchor(), into=e.anchor(other))


@_correction(
    "d",
    "divide",
    "This mention is another thing; or one step is two, the second beginning here",
    "item",
    "step",
    around=True,
)
def divide(hand: Hand) -> Flow:
    thing, sheet = hand.thing, hand.desk.sheet
    if isinstance(thing, Step):
        at_s = hand.start_s
        if not thing.start_s < at_s < thing.end_s:
            low, high = sheet.span(thing.start_s, thing.end_s)
            at_s = sheet.starts[(low + high + 1) // 2] if high > low else (thing.start_s + thing.end_s) / 2
        first = yield Text(f"The first step, up to {hms(at_s)}", thing.text)
        second = yield Text(f"The second step, from {hms(at_s)}", thing.text)
        return e.SplitStep(at=hand.anchor(), start_s=at_s, first=first, second=second)
    mentions = thing.mentions
    if hand.mark is not None:
        said = min(mentions, key=lambda m: abs(m.start_s - hand.mark.start_s))  # type: ignore[union-attr]
    elif mentions:
        said = yield Pick(
            "Which mention is another thing?", tuple((f"{hms(m.start_s)}  {fit(m.text, 50)}", m) for m in mentions)
        )
    else:
        raise NotFound("nothing was said of it that could be another thing; add one from the words")
    name = yield Text("What is it called?", said.text)
    return e.Split(at=hand.anchor(), mentions=(e.Span(start_s=said.start_s, end_s=said.end_s),), name=name)


@_correction("z", "put on", "A change that found no place: make it on what is at the cursor, or on another", "unplaced")
def put_on(hand: Hand) -> Flow:
    lost: e.Unplaced = hand.thing
    edit = lost.edit
    if isinstance(edit, e.RepairWord):
        text = yield Text(f"“{fit(hand.said, 40)}” is", edit.text)
        return msgspec.structs.replace(
            edit, start_s=hand.start_s, end_s=hand.end_s, heard=hand.said, text=text, everywhere=False,
            instead=lost.index,
        )  # fmt: skip
    if not isinstance(edit, e.OnThing):
        raise BadInput("this change can only be let go, with x; make it again where it belongs")
    here = [m.ref for m in hand.desk.sheet.at_word(hand.first)]
    near = sorted(
        (Ref(edit.at.of, n) for n in range(len(things(hand.log, edit.at.of)))),
        key=lambda ref: (ref not in here, abs((hand.desk.time_of(ref) or 0.0) - hand.start_s)),
    )
    if not near:
        raise BadInput(
            f"there is no {LOOKS.get(edit.at.of, LOOKS['word']).word} in this part; let the change go with x"
        )
    values: list[Any] = [hand.desk.thing(ref) for ref in near]
    chosen = yield Pick("Make it on which? What is at the cursor comes first", _others(values))
    return msgspec.structs.replace(edit, at=e.anchor(chosen), everywhere=False, instead=lost.index)


@_correction(
    "a", "add", "Add a thing, amount, link, step, remark or chapter from the words selected or under the cursor",
    "word", "item", "technique", "measurement", "link", "note", "repair",
)  # fmt: skip
def add(hand: Hand) -> Flow:
    found = hand.meant()
    first, last, amount = found.first, found.last, found.amount
    what = yield _as_what(hand, first, last)
    if what == "word":
        first = last = hand.first
        amount = None
        what = yield _as_what(hand, first, last)
    start, end = hand.desk.sheet.starts[first], hand.desk.sheet.ends[last]
    said = hand.said_from(first, last)
    if what == "technique":
        return e.AddTechnique(start_s=start, end_s=end, text=said, name=said)
    if what == "measurement":
        if amount is None:
            amount = amount_from((yield Text("How much is that?", said, "3/8 in, 1.5 m, 5-6 cm, 12")))
        return e.AddMeasurement(start_s=start, text=said, amount=amount)
    if what == "link":
        return e.AddLink(start_s=start, text=said, what=said)
    if what == "step":
        text = yield Text("The step, as an instruction", _sentence(said))
        return e.AddStep(start_s=start, end_s=end, text=text)
    if what == "note":
        sort = yield Choice("What sort of remark?", _REMARKS)
        return e.AddNote(kind=sort, start_s=start, text=said)
    if what == "chapter":
        title = yield Text("The chapter's title", _sentence(said).rstrip("."))
        return e.AddChapter(start_s=start, title=title)
    return e.AddItem(start_s=start, end_s=end, text=said, name=said, kind=what)


def _as_what(hand: Hand, first: int, last: int) -> Choice:
    word = (("1", f"only the word “{fit(hand.said, 30)}”", "word"),) if (first, last) != (hand.first, hand.last) else ()
    return Choice(
        f"“{fit(hand.said_from(first, last), 40)}” is a",
        (
            ("m", "material", "material"),
            ("t", "tool", "tool"),
            ("p", "pattern", "pattern"),
            ("r", "reference", "reference"),
            ("w", "way of working", "technique"),
            ("h", "amount", "measurement"),
            ("l", "link owed", "link"),
            ("s", "step", "step"),
            ("n", "remark", "note"),
            ("c", "chapter from here", "chapter"),
            *word,
        ),
    )


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + "." if text else text


@_correction(
    "y",
    "accept",
    "It is right as it is",
    "item",
    "technique",
    "measurement",
    "step",
    "link",
    "note",
    "chapter",
    "repair",
    "check",
)
def accept(hand: Hand) -> Flow:
    yield from ()
    if isinstance(hand.thing, Check):
        return e.AcceptCheck(kind=hand.thing.kind, text=hand.thing.text, start_s=hand.thing.start_s)
    return e.Accept(at=hand.anchor())


# What is known of a thing -------------------------------------------------------------------------------------------


def amount_words(m: Measurement) -> str:
    """An amount as it would be typed."""

    def number(value: float) -> str:
        return f"{value:.6g}"

    text = m.exact if m.exact and "/" in m.exact and m.value_max is None else number(m.value)
    if m.value_max is not None:
        text += f"-{number(m.value_max)}"
    return ("about " if m.approximate else "") + text + (f" {m.unit}" if m.unit else "")


@_correction("h", "how much", "Change an amount, or give a thing one", "item", "measurement")
def how_much(hand: Hand) -> Flow:
    hint = "3/8 in, 1.5 m, 5-6 cm, 12"
    thing = hand.thing
    if isinstance(thing, Measurement):
        text = yield Text(f"How much is “{fit(thing.text, 40)}”?", amount_words(thing), hint)
        return e.SetAmount(at=hand.anchor(), amount=amount_from(text))
    there = [m for m in hand.log.measurements if m.id in thing.quantities]
    if there:
        which = there[0]
        if len(there) > 1:
            which = yield Pick("Which amount?", _others(there))
        text = yield Text(f"How much is “{fit(which.text, 40)}”?", amount_words(which), hint)
        return e.SetAmount(at=e.anchor(which), amount=amount_from(text))
    text = yield Text(f"How much “{fit(thing.name, 40)}”?", "", hint)
    start = hand.mark.start_s if hand.mark else thing.first_s
    return e.AddMeasurement(start_s=start, text=text, amount=amount_from(text), item=hand.anchor())


@_correction("c", "cost", "What it cost; empty takes the price away", "item")
def cost(hand: Hand) -> Flow:
    price = hand.thing.price
    before = (
        f"{price.amount:g} {price.currency or ''}".strip() + (f" per {price.per}" if price and price.per else "")
        if price
        else ""
    )
    text = yield Text(f"What did “{fit(hand.thing.name, 40)}” cost?", before, "4.50 GBP, $12 a yard, 3 each")
    return e.SetPrice(at=hand.anchor(), price=price_from(text))


@_correction("f", "from where", "Where it came from: stash, bought, or words; empty takes it away", "item")
def from_where(hand: Hand) -> Flow:
    text = yield Text(
        f"Where is “{fit(hand.thing.name, 40)}” from?", hand.thing.source or "", "stash, bought, or words"
    )
    return e.SetSource(at=hand.anchor(), source=text.strip() or None)


@_correction("i", "size", "Its size where that is a name (80, 10 ounce); empty takes it away", "item")
def size(hand: Hand) -> Flow:
    text = yield Text(f"Which size of “{fit(hand.thing.name, 40)}”?", hand.thing.size or "")
    return e.SetSize(at=hand.anchor(), size=text.strip() or None)


@_correction("l", "link", "Attach a web address; empty takes it away", "item", "link")
def link(hand: Hand) -> Flow:
    thing = hand.thing
    now = thing.link if isinstance(thing, Item) else thing.url
    known = "" if now else _from_book(hand)
    hint = "from your link book" if known else "https://…"
    text = yield Text(f"The address for “{fit(names_of(thing)[0], 40)}”", now or known, hint)
    return e.AttachUrl(at=hand.anchor(), url=text.strip() or None)


def _from_book(hand: Hand) -> str:
    found = hand.desk.archive.links.of(*names_of(hand.thing))
    return found[0].url if found else ""


@_correction("w", "waive", "No link will be given after all (or it is owed again); a promise was kept", "link", "note")
def waive(hand: Hand) -> Flow:
    yield from ()
    thing = hand.thing
    if isinstance(thing, Note):
        if thing.kind != "pointer":
            raise BadInput("only links owed and pointers to other videos can be waived; remove a remark with x")
        return e.AcceptCheck(kind="promise", text=thing.text, start_s=thing.start_s)
    return e.WaiveLink(at=hand.anchor(), waived=not thing.waived)


@_correction("b", "belongs to", "The thing that an amount or a link owed is about", "measurement", "link")
def belongs_to(hand: Hand) -> Flow:
    item = yield Pick("It belongs to", (*_others(hand.log.items), ("no thing", None)))
    return e.SetOwner(at=hand.anchor(), item=None if item is None else e.anchor(item))


@_correction("A", "also called", "Another word for the same thing", "item", "technique")
def also_called(hand: Hand) -> Flow:
    text = yield Text(f"“{fit(hand.thing.name, 40)}” is also called")
    return e.AddAlias(at=hand.anchor(), name=text)


@_correction("F", "first shown", "A way of working is first shown at the word under the cursor", "technique")
def first_shown(hand: Hand) -> Flow:
    yield from ()
    return e.SetFirstShown(at=hand.anchor(), start_s=hand.start_s)


# Steps and chapters -------------------------------------------------------------------------------------------------


@_correction("o", "off camera", "The step was done off camera (or is seen after all)", "step", around=True)
def off_camera(hand: Hand) -> Flow:
    yield from ()
    return e.MarkOnCamera(at=hand.anchor(), on_camera=not hand.thing.on_camera)


@_correction("p", "piece", "The piece that a step or an amount belongs to", "step", "measurement", around=True)
def piece(hand: Hand) -> Flow:
    options = (*((p.name, p.name) for p in hand.log.pieces), ("no piece", None))
    name = yield Pick("Which piece?", options, free=True)
    return e.SetPiece(at=hand.anchor(), piece=name)


@_correction("t", "ties", "Tie a thing to the step, or untie it", "step", around=True)
def ties(hand: Hand) -> Flow:
    step, log = hand.thing, hand.log
    values: list[Item | Technique] = [*log.items, *log.techniques]
    tied = {*step.items, *step.techniques}
    values.sort(key=lambda v: v.id not in tied)
    options = tuple((f"{'untie' if v.id in tied else 'tie'}  {fit(v.name, 50)}", v) for v in values)
    chosen = yield Pick("Tie or untie what?", options)
    if isinstance(chosen, Item):
        items, ways = _toggled(step.items, chosen.id), step.techniques
    else:
        items, ways = step.items, _toggled(step.techniques, chosen.id)
    return e.SetStepThings(
        at=hand.anchor(),
        items=tuple(e.anchor(i) for i in log.items if i.id in items),
        techniques=tuple(e.anchor(w) for w in log.techniques if w.id in ways),
    )


def _toggled(ids: list[str], one: str) -> list[str]:
    return [i for i in ids if i != one] if one in ids else [*ids, one]


@_correction("T", "times", "The step is seen during the words selected", "step", around=True)
def times(hand: Hand) -> Flow:
    yield from ()
    if hand.last <= hand.first:
        raise BadInput("select the words during which the step is seen first (v, then move), then press T")
    return e.RetimeStep(at=hand.anchor(), start_s=hand.start_s, end_s=hand.end_s)


def _moved(hand: Hand, by: int) -> Flow:
    yield from ()
    assert hand.ref is not None
    steps, at = hand.log.steps, hand.ref.place
    if not 0 <= at + by < len(steps):
        raise BadInput("it is the last step already" if by > 0 else "it is the first step already")
    after = at + by + (1 if by > 0 else 0)
    return e.MoveStep(at=hand.anchor(), before=e.anchor(steps[after]) if after < len(steps) else None)


@_correction("{", "do earlier", "The step is done before the one above it", "step")
def do_earlier(hand: Hand) -> Flow:
    return _moved(hand, -1)


@_correction("}", "do later", "The step is done after the one below it", "step")
def do_later(hand: Hand) -> Flow:
    return _moved(hand, 1)


def _chapter_moved(hand: Hand, by: int) -> Flow:
    yield from ()
    sheet = hand.desk.sheet
    at = sheet.word_at(hand.thing.start_s) + by
    # Words put right share a moment; the boundary has to move in time.
    while 0 < at < sheet.count - 1 and sheet.starts[at] == hand.thing.start_s:
        at += by
    if not 0 <= at < sheet.count:
        raise BadInput("there are no more words on that side")
    return e.MoveChapter(at=hand.anchor(), start_s=sheet.starts[at])


@_correction("<", "word earlier", "The chapter begins one word earlier", "chapter", around=True)
def word_earlier(hand: Hand) -> Flow:
    return _chapter_moved(hand, -1)


@_correction(">", "word later", "The chapter begins one word later", "chapter", around=True)
def word_later(hand: Hand) -> Flow:
    return _chapter_moved(hand, 1)


@_correction("B", "begin here", "The chapter begins at the word under the cursor", "chapter", around=True)
def begin_here(hand: Hand) -> Flow:
    yield from ()
    return e.MoveChapter(at=hand.anchor(), start_s=hand.start_s)


# The whole part -----------------------------------------------------------------------------------------------------


def accept_above(_: Hand) -> Flow:
    """Accept everything that is at least as sure as what is typed, in percent."""
    text = yield Text("Accept everything that is at least how sure (percent)?", "80")
    try:
        share = float(text.strip().rstrip("%")) / 100
    except ValueError as error:
        raise BadInput("type a number between 0 and 100") from error
    if not 0 <= share <= 1:
        raise BadInput("type a number between 0 and 100")
    return cast("e.AnyEdit", e.AcceptAbove(confidence=share))


BY_ID = {c.id: c for c in CORRECTIONS}


def candidates(hands: Sequence[Hand], key_or_id: str) -> tuple[Correction, Hand] | None:
    """The correction that a key means for the first of ``hands`` it can be done to.

    ``hands`` are what is under the cursor, nearest first: a thing, then the words, then the step and chapter around.
    """
    meant = [c for c in CORRECTIONS if key_or_id in (c.key, c.id)]
    for place, hand in enumerate(hands):
        for correction in meant:
            nearest = place == 0 or hand.mark is not None or hand.ref is None
            if hand.of in correction.on and (nearest or correction.around):
                return correction, hand
    return None
