"""The log document: what one recording (or one part) says, as values.

Every stage speaks this. All times are seconds as float on the recording's clock (on the part's clock in a
part's log). Keys are stable: others read them. ``to_json`` and ``from_json`` are the only way in and out;
``json_schema`` documents the same types as JSON Schema 2020-12.
"""

from __future__ import annotations

import functools
from typing import Any, Literal

import msgspec

from buildlog.errors import BadInput, one_line

SCHEMA_VERSION = 1

ItemKind = Literal["material", "tool", "pattern", "reference"]
Status = Literal["used", "considered", "substitute", "mentioned"]
NoteKind = Literal["correction", "off_camera", "caution", "tip", "pointer"]


class Value(msgspec.Struct, kw_only=True, omit_defaults=False):
    """Base of all parts of the document."""


class Word(Value):
    """One word heard. ``p`` is the recogniser's probability (0 to 1); 1.0 where a transcript was given.

    ``heard`` is what the recogniser wrote where the word was repaired, else ``None``.
    """

    start_s: float
    end_s: float
    text: str
    p: float = 1.0
    heard: str | None = None


class Line(Value):
    """A stretch of speech: a recogniser's segment, a subtitle cue, or a timed line."""

    start_s: float
    end_s: float
    text: str
    words: list[Word] = msgspec.field(default_factory=list)


class RecordingInfo(Value):
    """Where the words came from. ``path`` is the file name as given; ``sha256`` of the file's bytes or ``None``."""

    path: str
    duration_s: float
    sha256: str | None = None
    model: str | None = None


class Mention(Value):
    """A stretch of the words that names something."""

    start_s: float
    end_s: float
    text: str


class Price(Value):
    """What was said to be paid. ``currency`` is ISO 4217 as far as the words tell, else ``None``.

    ``per`` says what the amount buys as said: "each", "yard", "20" (for twenty), or ``None``.
    """

    amount: float
    currency: str | None = None
    per: str | None = None
    approximate: bool = False
    text: str = ""


class Item(Value):
    """One material, tool, pattern or reference, gathered over all its mentions.

    ``source`` is "stash", "bought", or the words said. ``size`` keeps sizes that are names ("80", "8", "10 ounce").
    ``confidence`` is 0 to 1: how sure the reading is; 1.0 for the maker's own entries. ``why`` is the sentence that
    settled the status. ``search_words`` are words the viewer was told to search for.
    """

    id: str
    kind: ItemKind
    name: str
    aliases: list[str] = msgspec.field(default_factory=list)
    status: Status = "used"
    instead_of: str | None = None
    source: str | None = None
    price: Price | None = None
    quantities: list[str] = msgspec.field(default_factory=list)
    first_s: float = 0.0
    mentions: list[Mention] = msgspec.field(default_factory=list)
    link: str | None = None
    size: str | None = None
    setting: str | None = None
    implied: bool = False
    unavailable: bool = False
    search_words: str | None = None
    why: str | None = None
    confidence: float = 1.0


class Technique(Value):
    """A way of working. ``first_shown_s`` is where it is done, not where it is announced."""

    id: str
    name: str
    aliases: list[str] = msgspec.field(default_factory=list)
    first_shown_s: float = 0.0
    mentions: list[Mention] = msgspec.field(default_factory=list)
    definition: str | None = None
    confidence: float = 1.0


class Measurement(Value):
    """An amount as said. ``unit`` is a Pint name, or ``None`` for a bare count or ratio (``of`` says what is counted).

    ``text`` keeps the words said. ``exact`` is the value as a fraction of integers ("29/8"), ``None`` if not rational.
    ``setting`` marks machine and tool settings (stitch length, oven heat, grit).
    """

    id: str
    start_s: float
    text: str
    value: float
    value_max: float | None = None
    unit: str | None = None
    approximate: bool = False
    of: str | None = None
    item: str | None = None
    piece: str | None = None
    exact: str | None = None
    setting: bool = False
    confidence: float = 1.0


class Derived(Value):
    """An amount worked out from another: ``formula`` over named ``inputs``, e.g. "chest + 3 inch"."""

    id: str
    start_s: float
    text: str
    result: str
    formula: str
    inputs: list[str] = msgspec.field(default_factory=list)
    confidence: float = 1.0


class LinkOwed(Value):
    """Something the maker said aloud would be linked. ``what`` "general" where no thing was named."""

    id: str
    start_s: float
    text: str
    what: str
    item: str | None = None
    url: str | None = None
    waived: bool = False
    confidence: float = 1.0


class Note(Value):
    """A remark to keep. ``refers_to`` is the id of a step, item or technique.

    ``direction`` of a pointer is "back" or "forward"; ``part`` the number said, if any.
    """

    kind: NoteKind
    start_s: float
    text: str
    refers_to: str | None = None
    id: str | None = None
    direction: Literal["back", "forward"] | None = None
    part: int | None = None
    confidence: float = 1.0


class Piece(Value):
    """A component of the build that has steps of its own."""

    id: str
    name: str


class Step(Value):
    """One thing done, as an imperative sentence. ``order`` of the list is the order of work.

    ``same_as`` are ids of earlier steps this one repeats. ``inferred`` marks a step nobody said outright.
    ``said`` is the sentence it was made from.
    """

    id: str
    start_s: float
    end_s: float
    text: str
    piece: str | None = None
    on_camera: bool = True
    items: list[str] = msgspec.field(default_factory=list)
    techniques: list[str] = msgspec.field(default_factory=list)
    same_as: list[str] = msgspec.field(default_factory=list)
    inferred: bool = False
    said: str = ""
    still: str | None = None
    confidence: float = 1.0


class Chapter(Value):
    """A titled stretch of the timeline; ends where the next begins."""

    start_s: float
    title: str
    id: str | None = None
    confidence: float = 1.0


class Repair(Value):
    """A word the recogniser got wrong and we put right: shown, and undoable."""

    start_s: float
    heard: str
    text: str
    confidence: float = 1.0


class Check(Value):
    """Something that does not add up or was left open: shown to the maker, never silently mended.

    ``kind`` is e.g. "contradiction", "gap", "total", "language", "lost_speech"; ``times`` are the moments concerned.
    """

    kind: str
    start_s: float
    text: str
    times: list[float] = msgspec.field(default_factory=list)
    refers_to: list[str] = msgspec.field(default_factory=list)


class GeneralCaution(Value):
    """The craft's usual caution, offered where a hazard was used and nothing was said about it.

    ``source`` names the published guidance, or "common practice, no source".
    """

    hazard: str
    text: str
    source: str
    start_s: float = 0.0
    refers_to: str | None = None


class Quantity(Value):
    """A named quantity of a worksheet. Exactly one of ``value`` and ``rule`` is set unless it is still to be asked.

    ``value`` is an exact fraction or decimal as text ("29/8", "0.5"); ``unit`` a Pint name or ``None``. ``origin``
    is "said", "typed", "assumed" or "computed"; ``start_s`` where it was said.
    """

    name: str
    value: str | None = None
    unit: str | None = None
    rule: str | None = None
    inputs: dict[str, str] = msgspec.field(default_factory=dict)
    origin: Literal["said", "typed", "assumed", "computed", "asked"] = "said"
    start_s: float | None = None
    text: str = ""


class Worksheet(Value):
    """A small graph of named quantities that can be recomputed for other inputs."""

    id: str
    title: str
    quantities: list[Quantity] = msgspec.field(default_factory=list)
    results: list[str] = msgspec.field(default_factory=list)


class Log(Value):
    """The whole document for one recording or one part."""

    schema: int = SCHEMA_VERSION
    recording: RecordingInfo = msgspec.field(default_factory=lambda: RecordingInfo(path="", duration_s=0.0))
    transcript: list[Line] = msgspec.field(default_factory=list)
    pieces: list[Piece] = msgspec.field(default_factory=list)
    steps: list[Step] = msgspec.field(default_factory=list)
    items: list[Item] = msgspec.field(default_factory=list)
    techniques: list[Technique] = msgspec.field(default_factory=list)
    measurements: list[Measurement] = msgspec.field(default_factory=list)
    derived: list[Derived] = msgspec.field(default_factory=list)
    links_owed: list[LinkOwed] = msgspec.field(default_factory=list)
    notes: list[Note] = msgspec.field(default_factory=list)
    chapters: list[Chapter] = msgspec.field(default_factory=list)
    repairs: list[Repair] = msgspec.field(default_factory=list)
    checks: list[Check] = msgspec.field(default_factory=list)
    general_cautions: list[GeneralCaution] = msgspec.field(default_factory=list)
    total_said: Price | None = None
    worksheet: list[Worksheet] = msgspec.field(default_factory=list)


@functools.cache
def _decoder() -> msgspec.json.Decoder[Log]:
    return msgspec.json.Decoder(Log)


def to_json(log: Log, *, indent: int | None = 2) -> bytes:
    """``log`` as UTF-8 JSON, ending in a newline."""
    raw = msgspec.json.encode(log)
    return (msgspec.json.format(raw, indent=indent) if indent else raw) + b"\n"


def from_json(data: bytes | str) -> Log:
    """Read a log document. Raises :class:`BadInput` where it is not one, naming the first place that is wrong."""
    try:
        log = _decoder().decode(data)
    except (msgspec.DecodeError, msgspec.ValidationError, UnicodeDecodeError) as error:
        raise BadInput(f"not a log document: {one_line(error)}; give a file that `buildlog … --json` wrote") from error
    if log.schema > SCHEMA_VERSION:
        raise BadInput(f"this log document has schema {log.schema}, newer than {SCHEMA_VERSION}; update buildlog")
    return log


def json_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of the log document."""
    schema = msgspec.json.schema(Log)
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "buildlog log document"
    return schema
