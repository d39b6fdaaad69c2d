"""The changes a maker can make to a log, as values.

An edit never names what it changes by id: ids change when a stage runs again. It carries an :class:`Anchor`: what
sort of thing, its name and its time. All times are seconds on the clock of the log the edit was made on. Every edit
is a struct with a tag (key ``do`` in JSON), so a list of edits reads back as what it was.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from buildlog.document import ItemKind, NoteKind, Price, Status

Thing = Literal[
    "item", "technique", "measurement", "derived", "step", "link", "note", "chapter", "piece", "repair", "check"
]


class Anchor(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Where in a log an edit belongs.

    ``name`` is the item's or technique's name, a step's or note's text, a chapter's title, what a link is for, the
    words of a measurement, the word heard of a repair. ``kind`` narrows it: an item's, note's or check's kind.
    """

    of: Thing
    name: str
    start_s: float
    end_s: float | None = None
    kind: str | None = None


class Span(msgspec.Struct, frozen=True, kw_only=True):
    """A stretch of the words, in seconds."""

    start_s: float
    end_s: float


class Edit(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True, tag_field="do"):
    """Base of all edits.

    ``instead`` is the number in the archive of an edit that found no place: this one takes its place.
    """

    instead: int | None = None


class OnThing(Edit, frozen=True, kw_only=True, omit_defaults=True):
    """An edit of something that is in the log.

    ``everywhere`` applies it to all things of that name in this part, whenever they are said; ``remember`` applies it
    to parts that come later as well.
    """

    at: Anchor
    everywhere: bool = False
    remember: bool = False


# Things of any sort -------------------------------------------------------------------------------------------------


class Accept(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="accept"):
    """This one is right: its confidence becomes 1."""


class AcceptAbove(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="accept_above"):
    """Everything with at least this ``confidence`` (0 to 1) is right."""

    confidence: float


class NotAThing(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="not_a_thing"):
    """The machine saw something where there is nothing: remove it and what points to it."""


class Rename(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="rename"):
    """Another name for an item, technique, piece or what a link is for; the old name stays findable as an alias.

    An item that takes the name of another of its kind is merged into it.
    """

    name: str


# Items and techniques -----------------------------------------------------------------------------------------------


class SetKind(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="set_kind"):
    """Another kind: an item can become a technique and the other way round."""

    kind: ItemKind | Literal["technique"]


class SetStatus(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="set_status"):
    """Another status; ``instead_of`` names the item that this one stands in for."""

    status: Status
    instead_of: str | None = None


class Merge(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="merge"):
    """Two items (or two techniques) are one: ``at`` goes into ``into`` and becomes an alias of it."""

    at: Anchor
    into: Anchor


class Split(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="split"):
    """Some mentions of an item are another thing, called ``name``; at least one mention must stay."""

    at: Anchor
    mentions: tuple[Span, ...]
    name: str
    kind: ItemKind | None = None


class AddItem(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="add_item"):
    """The words from ``start_s`` to ``end_s`` (``text`` as said) name an item that the machine missed."""

    start_s: float
    end_s: float
    text: str
    name: str
    kind: ItemKind = "material"
    status: Status = "used"


class AddTechnique(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="add_technique"):
    """The words from ``start_s`` to ``end_s`` (``text`` as said) name a technique that the machine missed."""

    start_s: float
    end_s: float
    text: str
    name: str


class SetFirstShown(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="set_first_shown"):
    """A technique is first done at ``start_s``."""

    start_s: float


class AddAlias(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="add_alias"):
    """Another word for an item or technique."""

    name: str


class SetPrice(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="set_price"):
    """What an item cost; ``None`` takes the price away."""

    price: Price | None


class SetSource(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="set_source"):
    """Where an item came from: "stash", "bought" or words; ``None`` takes it away."""

    source: str | None


class SetSize(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="set_size"):
    """The size of an item where it is a name ("80", "10 ounce"); ``None`` takes it away."""

    size: str | None


# Amounts ------------------------------------------------------------------------------------------------------------


class Amount(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """An amount as in :class:`buildlog.document.Measurement`: ``unit`` is a Pint name or ``None`` for a count."""

    value: float
    value_max: float | None = None
    unit: str | None = None
    approximate: bool = False
    exact: str | None = None
    setting: bool = False


class SetAmount(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="set_amount"):
    """Another amount for a measurement; its words stay. ``of`` where given says of what."""

    amount: Amount
    of: str | None = None


class AddMeasurement(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="add_measurement"):
    """An amount said at ``start_s`` in the words ``text``, of ``item`` and ``piece`` where given."""

    start_s: float
    text: str
    amount: Amount
    of: str | None = None
    item: Anchor | None = None
    piece: str | None = None


class SetOwner(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="set_owner"):
    """A measurement or a link owed belongs to this item; ``None``: to no item."""

    item: Anchor | None


# Links --------------------------------------------------------------------------------------------------------------


class AttachUrl(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="attach_url"):
    """The address of an item or of a link owed (http or https); ``None`` takes it away."""

    url: str | None


class WaiveLink(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="waive_link"):
    """A link owed will not be given (or, with ``waived`` false, is owed again)."""

    waived: bool = True


class AddLink(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="add_link"):
    """A link promised at ``start_s`` in the words ``text`` that the machine missed."""

    start_s: float
    text: str
    what: str
    item: Anchor | None = None
    url: str | None = None


# Steps and pieces ---------------------------------------------------------------------------------------------------


class RewordStep(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="reword_step"):
    """Another sentence for a step."""

    text: str


class AddStep(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="add_step"):
    """A step that the machine missed; it goes after ``after``, else where its time puts it."""

    start_s: float
    end_s: float
    text: str
    piece: str | None = None
    on_camera: bool = True
    after: Anchor | None = None


class RemoveStep(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="remove_step"):
    """Not a step of the work."""


class MoveStep(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="move_step"):
    """Done before another step than the film shows; ``before`` ``None``: last of all."""

    at: Anchor
    before: Anchor | None = None


class RetimeStep(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="retime_step"):
    """The step is seen from ``start_s`` to ``end_s``; its place in the order of work stays."""

    at: Anchor
    start_s: float
    end_s: float


class MergeSteps(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="merge_steps"):
    """Two steps are one, at the place of the one that comes first; ``text`` ``None`` joins their sentences."""

    at: Anchor
    other: Anchor
    text: str | None = None


class SplitStep(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="split_step"):
    """One step is two: the second begins at ``start_s``, which lies inside the step."""

    at: Anchor
    start_s: float
    first: str
    second: str


class SetPiece(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="set_piece"):
    """The piece (by name; made if new) that a step or measurement belongs to; ``None``: to none."""

    piece: str | None


class MarkOnCamera(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="mark_on_camera"):
    """Whether a step is seen or was done off camera."""

    on_camera: bool


class SetStepThings(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="set_step_things"):
    """What a step uses: exactly these items and techniques."""

    at: Anchor
    items: tuple[Anchor, ...] = ()
    techniques: tuple[Anchor, ...] = ()


# Chapters -----------------------------------------------------------------------------------------------------------


class MoveChapter(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="move_chapter"):
    """The chapter begins at ``start_s``."""

    at: Anchor
    start_s: float


class Retitle(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="retitle"):
    """Another title for a chapter."""

    title: str


class AddChapter(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="add_chapter"):
    """A chapter begins at ``start_s``."""

    start_s: float
    title: str


class RemoveChapter(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="remove_chapter"):
    """No chapter here: the one before goes on."""


# Notes, words, checks -----------------------------------------------------------------------------------------------


class AddNote(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="add_note"):
    """A remark at ``start_s``, about ``about`` where given."""

    kind: NoteKind
    start_s: float
    text: str
    about: Anchor | None = None


class RewordNote(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="reword_note"):
    """Other words for a remark."""

    text: str


class SetNoteKind(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="set_note_kind"):
    """Another kind of remark."""

    kind: NoteKind


class RemoveNote(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="remove_note"):
    """Not a remark to keep."""


class RepairWord(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="repair_word"):
    """The words from ``start_s`` to ``end_s`` were heard as ``heard`` and are ``text``."""

    start_s: float
    end_s: float
    heard: str
    text: str
    everywhere: bool = False
    remember: bool = False


class UndoRepair(OnThing, frozen=True, kw_only=True, omit_defaults=True, tag="undo_repair"):
    """The recogniser was right: put back what it heard."""


class AcceptCheck(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="accept_check"):
    """A check (of the log or of publishing) was looked at and may stay as it is.

    ``kind``, ``start_s`` and ``text`` are the check's own; see :func:`buildlog.edits.accepts`.
    """

    kind: str
    text: str
    start_s: float = 0.0


class LetGo(Edit, frozen=True, kw_only=True, omit_defaults=True, tag="let_go"):
    """An edit that found no place is not wanted any more; ``edit`` is its number in the archive."""

    edit: int


AnyEdit = (
    Accept
    | AcceptAbove
    | AcceptCheck
    | AddAlias
    | AddChapter
    | AddItem
    | AddLink
    | AddMeasurement
    | AddNote
    | AddStep
    | AddTechnique
    | AttachUrl
    | LetGo
    | MarkOnCamera
    | Merge
    | MergeSteps
    | MoveChapter
    | MoveStep
    | NotAThing
    | RemoveChapter
    | RemoveNote
    | RemoveStep
    | Rename
    | RepairWord
    | RetimeStep
    | Retitle
    | RewordNote
    | RewordStep
    | SetAmount
    | SetFirstShown
    | SetKind
    | SetNoteKind
    | SetOwner
    | SetPiece
    | SetPrice
    | SetSize
    | SetSource
    | SetStatus
    | SetStepThings
    | Split
    | SplitStep
    | UndoRepair
    | WaiveLink
)
