"""Invented logs for the tests of publishing: a pouch in two parts, a three-hour part, and any log whatever."""

from __future__ import annotations

import math

from hypothesis import strategies as st

from buildlog.document import (
    Chapter,
    Check,
    GeneralCaution,
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
    Word,
)


def line(start_s: float, text: str, pace_s: float = 0.4) -> Line:
    """A line whose words begin ``pace_s`` apart."""
    words = [
        Word(start_s=round(start_s + n * pace_s, 3), end_s=round(start_s + n * pace_s + 0.8 * pace_s, 3), text=t)
        for n, t in enumerate(text.split())
    ]
    return Line(start_s=start_s, end_s=words[-1].end_s, text=text, words=words)


def pouch() -> Log:
    """Waxed canvas pouch with a strap: amounts, a price, links, a caution, a correction, a substitute."""
    return Log(
        recording=RecordingInfo(path="waxed-pouch.mp4", duration_s=180.0, sha256="11" * 32),
        transcript=[
            line(0.0, "Hello, today I make a little pouch from waxed canvas."),
            line(12.345, "I cut half a yard of the canvas, twelve by eighteen inches with sharp shears & a rule."),
            line(40.0, "Mind your fingers: the rotary cutter does not care whose they are."),
            line(70.25, "Then I fold it, press it and stitch the side seams with a 3/8 inch seam."),
            line(120.0, "Punch the strap with an awl, and rivet it on."),
            line(150.0, "The thread is linked below, and next time we make the lid."),
        ],
        pieces=[Piece(id="p1", name="body"), Piece(id="p2", name="strap")],
        steps=[
            Step(
                id="s1",
                start_s=12.345,
                end_s=38,
                text="Cut the canvas 12 by 18 inches.",
                piece="p1",
                items=["i1", "i2"],
            ),
            Step(id="s2", start_s=70.25, end_s=95, text="Stitch the side seams.", piece="p1", techniques=["t1"]),
            Step(id="s3", start_s=120, end_s=140, text="Punch the strap.", piece="p2", on_camera=False, same_as=["s1"]),
        ],
        items=[
            Item(
                id="i1",
                kind="material",
                name="waxed canvas",
                quantities=["m1"],
                first_s=8.0,
                confidence=0.9,
                price=Price(amount=14.0, currency="GBP", per="yard", text="fourteen pounds a yard"),
                source="bought",
                mentions=[Mention(start_s=8.0, end_s=8.8, text="waxed canvas")],
            ),
            Item(id="i2", kind="tool", name="shears", first_s=20.0),
            Item(id="i3", kind="tool", name="rotary cutter", first_s=42.0),
            Item(id="i4", kind="tool", name="awl", first_s=122.0),
            Item(id="i5", kind="material", name="linen thread", first_s=151.0, source="stash"),
            Item(id="i6", kind="material", name="denim", status="substitute", instead_of="i1", first_s=60.0),
            Item(id="i7", kind="material", name="piping", status="considered", first_s=61.0),
            Item(id="i8", kind="pattern", name="pouch template", first_s=30.0),
        ],
        techniques=[Technique(id="t1", name="topstitching", first_shown_s=80.0)],
        measurements=[
            Measurement(
                id="m1", start_s=13, text="half a yard", value=0.5, unit="yard", of="length", item="i1", exact="1/2"
            ),
            Measurement(
                id="m2", start_s=80, text="3/8 inch", value=0.375, unit="inch", of="seam allowance", exact="3/8"
            ),
        ],
        links_owed=[LinkOwed(id="l1", start_s=150.0, text="The thread is linked below", what="thread")],
        notes=[
            Note(kind="caution", start_s=40.0, text="Mind your fingers: the rotary cutter does not care.", id="n1"),
            Note(kind="correction", start_s=90.0, text="I said half an inch, it is three eighths.", id="n2"),
            Note(kind="pointer", start_s=155.0, text="Next time we make the lid.", direction="forward", id="n3"),
        ],
        chapters=[
            Chapter(start_s=0.0, title="What we are making"),
            Chapter(start_s=12.345, title="Cutting the canvas"),
            Chapter(start_s=70.25, title="Stitching the sides"),
            Chapter(start_s=120.0, title="The strap"),
        ],
        general_cautions=[
            GeneralCaution(
                hazard="awl", text="Pierce towards a cork.", source="common practice, no source", refers_to="i4"
            )
        ],
    )


def lid() -> Log:
    """The second part: the lid, more of the canvas, a look back at the cutting."""
    return Log(
        recording=RecordingInfo(path="lid.mp4", duration_s=100.0, sha256="22" * 32),
        transcript=[line(0.0, "In part one we cut the canvas."), line(30.0, "Now the lid is hemmed.")],
        steps=[Step(id="s1", start_s=30.0, end_s=60.0, text="Hem the lid.", items=["i1"])],
        items=[
            Item(
                id="i1",
                kind="material",
                name="waxed canvas",
                quantities=["m1"],
                first_s=5.0,
                price=Price(amount=14.0, currency="GBP", per="yard"),
            ),
            Item(
                id="i2",
                kind="material",
                name="snaps",
                first_s=40.0,
                quantities=["m2"],
                price=Price(amount=0.4, currency="GBP", per="each"),
            ),
        ],
        measurements=[
            Measurement(
                id="m1", start_s=5, text="a quarter yard", value=0.25, unit="yard", of="length", item="i1", exact="1/4"
            ),
            Measurement(id="m2", start_s=41, text="six snaps", value=6, of="snaps", item="i2"),
        ],
        notes=[
            Note(kind="pointer", start_s=2.0, text="In part one we cut the canvas.", direction="back", part=1, id="n1")
        ],
        chapters=[
            Chapter(start_s=0.0, title="Where we were"),
            Chapter(start_s=30.0, title="Hemming the lid"),
            Chapter(start_s=60.0, title="Closing"),
        ],
    )


def three_hours() -> Log:
    """A log as long as any: 10,800 s, 27,000 words, 400 steps, 200 items, 150 chapters, 500 amounts."""
    words = "then I take the heavy waxed canvas, fold it over the edge and stitch it down with linen thread.".split()
    lines = [line(n * 7.2, " ".join(words[: 18 - n % 5])) for n in range(1500)]
    return Log(
        recording=RecordingInfo(path="long.mp4", duration_s=10_800.0),
        transcript=lines,
        pieces=[Piece(id=f"p{n}", name=f"panel {n}") for n in range(12)],
        steps=[
            Step(
                id=f"s{n}",
                start_s=n * 27.0,
                end_s=n * 27.0 + 20,
                items=[f"i{n % 200}"],
                piece=f"p{n // 40}",
                text=f"Fold edge {n} over the canvas, press it and stitch it down.",
            )
            for n in range(400)
        ],
        items=[
            Item(
                id=f"i{n}",
                kind="tool" if n % 3 else "material",
                name=f"thing number {n}x",
                first_s=n * 50.0,
                quantities=[f"m{n}"],
                confidence=0.9,
            )
            for n in range(200)
        ],
        techniques=[Technique(id=f"t{n}", name=f"way {n}", first_shown_s=n * 300.0) for n in range(30)],
        measurements=[
            Measurement(id=f"m{n}", start_s=n * 20.0, text="two yards", value=2.0 + n / 8, unit="yard", of="length")
            for n in range(500)
        ],
        links_owed=[
            LinkOwed(id=f"l{n}", start_s=n * 400.0, text="linked", what=f"thing number {n}x") for n in range(20)
        ],
        notes=[Note(kind="caution", start_s=n * 100.0, text=f"Keep your fingers off blade {n}.") for n in range(60)],
        chapters=[Chapter(start_s=n * 72.0, title=f"Panel {n} of the cover") for n in range(150)],
        checks=[Check(kind="gap", start_s=5.0, text="A gap.")],
    )


# Any log -----------------------------------------------------------------------------------------------------------

_BLOCK = "\U0001f4a1" * 40
HOSTILE = [
    "<script>alert(1)</script>",
    "=HYPERLINK(1)",
    "--> 00:00",
    "a\nb",
    "0:00 not a chapter",
    "​‮evil",
    "]](x)",
    "\x1b[31m",
    "{{ 7*7 }}",
    "{% raw %}",
    _BLOCK,
    "x" * 2000,
    "",
    "  ",
    "é" * 300,
    "javascript:alert(1)",
    "</style>",
    "\u2028",
    "#tag #tag",
    "-rf",
    "+1",
    "@sum",
    "|cell|",
    "`code`",
    "[a](b)",
    "&amp;",
    "'quoted'",
    "part\r\nSet-Cookie: x",
    "\ud800",
]
texts = st.one_of(st.sampled_from(HOSTILE), st.text(max_size=60), st.sampled_from(["canvas", "awl", "Cut the strap."]))
times = st.one_of(
    st.floats(min_value=0, max_value=20_000), st.sampled_from([0.0, 9.999, 10.0, math.nan, math.inf, -5.0, 1e12])
)
_measured = st.builds(
    Measurement,
    id=st.sampled_from(["m1", "m2", "m3"]),
    start_s=times,
    text=texts,
    value=st.one_of(st.floats(allow_nan=False, allow_infinity=False), st.sampled_from([0.0, 1e300, -3.0, 0.375])),
    value_max=st.none() | st.floats(min_value=0, max_value=1e6),
    unit=st.sampled_from([None, "inch", "yard", "centimeter", "degree_Fahrenheit", "<b>", "ounce", "minute", "cup"]),
    of=st.none() | texts,
    exact=st.sampled_from([None, "3/8", "1/0", "nonsense"]),
    approximate=st.booleans(),
)
_items = st.builds(
    Item,
    id=st.sampled_from(["i1", "i2", "i3"]),
    kind=st.sampled_from(["material", "tool", "pattern", "reference"]),
    name=texts,
    aliases=st.lists(texts, max_size=2),
    status=st.sampled_from(["used", "used", "considered", "substitute", "mentioned"]),
    instead_of=st.sampled_from([None, "i1", "i2", "i9"]),
    source=st.none() | texts,
    price=st.none() | st.builds(Price, amount=st.floats(0, 1e7), currency=st.none() | texts, per=st.none() | texts),
    quantities=st.lists(st.sampled_from(["m1", "m2", "m9"]), max_size=2),
    first_s=times,
    link=st.sampled_from([None, "https://shop.example/a?b=1&c=2", "javascript:alert(1)", "https://x.example/<>", "no"]),
    size=st.none() | texts,
    search_words=st.none() | texts,
    confidence=st.floats(0, 1),
)
_steps = st.builds(
    Step,
    id=st.sampled_from(["s1", "s2", "s3"]),
    start_s=times,
    end_s=times,
    text=texts,
    piece=st.sampled_from([None, "p1", "p9"]),
    on_camera=st.booleans(),
    items=st.lists(st.sampled_from(["i1", "i9"]), max_size=2),
    same_as=st.lists(st.sampled_from(["s1", "s9"]), max_size=2),
)
logs = st.builds(
    Log,
    recording=st.builds(RecordingInfo, path=texts, duration_s=st.sampled_from([0.0, 30.0, 600.0, 9000.0, math.nan])),
    transcript=st.lists(st.builds(Line, start_s=times, end_s=times, text=texts), max_size=4),
    pieces=st.lists(st.builds(Piece, id=st.just("p1"), name=texts), max_size=1),
    steps=st.lists(_steps, max_size=6),
    items=st.lists(_items, max_size=6),
    techniques=st.lists(
        st.builds(Technique, id=st.just("t1"), name=texts, first_shown_s=times, definition=st.none() | texts),
        max_size=2,
    ),
    measurements=st.lists(_measured, max_size=4),
    links_owed=st.lists(
        st.builds(
            LinkOwed,
            id=st.just("l1"),
            start_s=times,
            text=texts,
            what=texts,
            item=st.sampled_from([None, "i1", "i9"]),
            url=st.sampled_from([None, "https://shop.example/l", "javascript:1"]),
            waived=st.booleans(),
        ),
        max_size=3,
    ),
    notes=st.lists(
        st.builds(
            Note,
            kind=st.sampled_from(["correction", "caution", "tip", "pointer"]),
            start_s=times,
            text=texts,
            refers_to=st.sampled_from([None, "s1", "s9"]),
        ),
        max_size=3,
    ),
    chapters=st.lists(st.builds(Chapter, start_s=times, title=texts), max_size=8),
    total_said=st.none() | st.builds(Price, amount=st.floats(0, 1e6), currency=st.none() | texts),
)
