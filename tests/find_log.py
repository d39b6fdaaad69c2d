"""Small invented logs and archives for the tests of finding."""

from __future__ import annotations

from buildlog.archive import Archive, Clip, Part
from buildlog.document import (
    Item,
    Line,
    LinkOwed,
    Log,
    Measurement,
    Mention,
    Note,
    Piece,
    Price,
    RecordingInfo,
    Step,
    Technique,
)

# One sentence a line, four seconds each.
APRON = [
    "Hello, today it is the apron, and I have tea.",
    "The outer is a waxed canvas that I bought for six pounds a metre.",
    "For the lining I had a linen put by, but it creases.",
    "So the lining is a cotton lawn in the end, two yards of it.",
    "I basted the pocket to the front half an inch from the edge.",
    "Somebody asked about French seams, I never do those.",
    "Then I bound the edge with bias tape, the cord disappears into that corner.",
    "The strap got sewn while the camera was off.",
    "If you have no bone folder, a spoon does fine.",
    "The pattern will be linked below, and that is it.",
]


def mention(line: int, text: str) -> Mention:
    """``text`` said somewhere in line ``line`` of four seconds."""
    return Mention(start_s=4.0 * line + 1.0, end_s=4.0 * line + 2.0, text=text)


def thing(n: int, kind: str, name: str, line: int, **facts: object) -> Item:
    """An item mentioned once."""
    return Item(id=f"i{n}", kind=kind, name=name, first_s=4.0 * line + 1.0, mentions=[mention(line, name)], **facts)  # type: ignore[arg-type]


def lines(sentences: list[str]) -> list[Line]:
    """A line of four seconds for each sentence."""
    return [Line(start_s=4.0 * n, end_s=4.0 * n + 3.8, text=text) for n, text in enumerate(sentences)]


def apron() -> Log:
    """The log of :data:`APRON` as a careful reader would make it."""
    return Log(
        recording=RecordingInfo(path="apron.txt", duration_s=40.0),
        transcript=lines(APRON),
        pieces=[Piece(id="p1", name="pocket"), Piece(id="p2", name="strap")],
        steps=[
            Step(id="s1", start_s=16.0, end_s=19.8, text="Baste the pocket to the front half an inch from the edge.", piece="p1"),
            Step(id="s2", start_s=24.0, end_s=27.8, text="Bind the edge with bias tape.", items=["i5"], techniques=["t2"]),
            Step(id="s3", start_s=28.0, end_s=31.8, text="Sew the strap.", piece="p2", on_camera=False),
        ],
        items=[
            thing(1, "material", "waxed canvas", 1, price=Price(amount=6.0, currency="GBP", per="metre", text="six pounds a metre")),
            thing(2, "material", "linen", 2, status="considered"),
            thing(3, "material", "cotton lawn", 3, instead_of="i2", quantities=["m2"]),
            thing(4, "tool", "bone folder", 8),
            thing(5, "material", "bias tape", 6, aliases=["trimming"]),
            thing(6, "tool", "spoon", 8, status="substitute", instead_of="i4"),
            thing(7, "pattern", "pattern", 9),
        ],
        techniques=[
            Technique(id="t1", name="basting", first_shown_s=16.0, mentions=[mention(4, "basted")]),
            Technique(id="t2", name="binding", first_shown_s=24.0, mentions=[mention(6, "bound")]),
        ],
        measurements=[
            Measurement(id="m1", start_s=18.0, text="half an inch", value=0.5, unit="inch", of="distance from the edge"),
            Measurement(id="m2", start_s=14.5, text="two yards", value=2.0, unit="yard", item="i3"),
        ],
        links_owed=[LinkOwed(id="l1", start_s=36.0, text="The pattern will be linked below", what="pattern", item="i7")],
        notes=[Note(id="n1", kind="off_camera", start_s=28.0, text="while the camera was off")],
    )  # fmt: skip


def put(archive: Archive, build: str, log: Log, *, path: str | None = None, sha256: str | None = None) -> Part:
    """Put ``log`` into ``archive`` as a new part of ``build``."""
    made = archive.builds.make(build)
    part = archive.builds.make_part(made.id)
    name = path or f"{build}-{part.number}.txt"
    recording = archive.builds.keep_recording(
        name, sha256=sha256 or f"{part.id:064x}", duration_s=log.recording.duration_s
    )
    archive.readings.keep_log(recording.id, "test", log)
    archive.builds.set_cut(part.id, [Clip(recording_id=recording.id, in_s=0.0, out_s=log.recording.duration_s)])
    return part
