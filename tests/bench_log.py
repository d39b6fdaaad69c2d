"""A small log of an invented build, for tests of edits and of the archive."""

from __future__ import annotations

from buildlog.document import (
    Chapter,
    Check,
    Item,
    Line,
    LinkOwed,
    Log,
    Measurement,
    Mention,
    Note,
    Piece,
    RecordingInfo,
    Step,
    Technique,
    Word,
)


def line(start_s: float, text: str) -> Line:
    """A line at two words a second."""
    words = [Word(start_s=start_s + i * 0.5, end_s=start_s + i * 0.5 + 0.4, text=t) for i, t in enumerate(text.split())]
    return Line(start_s=start_s, end_s=words[-1].end_s, text=text, words=words)


def said(start_s: float, text: str) -> Mention:
    return Mention(start_s=start_s, end_s=start_s + 0.8, text=text)


def tool_roll() -> Log:
    """Canvas, bias cape (misheard tape), an awl; three steps in two pieces; one link owed; three chapters."""
    return Log(
        recording=RecordingInfo(path="roll.mp4", duration_s=120.0, sha256="00" * 32),
        transcript=[
            line(0.0, "Today I make a roll for my chisels."),
            line(10.0, "I cut the canvas half a yard long."),
            line(30.0, "Then bias cape goes round the edge."),
            line(50.0, "Punch the strap with an awl, canvas side up."),
            line(70.0, "More bias cape, and I will link the canvas below."),
        ],
        pieces=[Piece(id="p1", name="panel"), Piece(id="p2", name="strap")],
        steps=[
            Step(id="s1", start_s=10, end_s=25, text="Cut the canvas.", piece="p1", items=["i1"], techniques=["t1"]),
            Step(id="s2", start_s=30, end_s=45, text="Bind the edge with bias cape.", piece="p1", items=["i2"]),
            Step(
                id="s3", start_s=50, end_s=65, text="Punch the strap.", piece="p2", items=["i3", "i1"], same_as=["s1"]
            ),
        ],
        items=[
            Item(
                id="i1",
                kind="material",
                name="canvas",
                first_s=11.0,
                quantities=["m1"],
                mentions=[said(11.0, "canvas"), said(53.0, "canvas"), said(74.0, "canvas")],
                confidence=0.8,
            ),
            Item(
                id="i2",
                kind="material",
                name="bias cape",
                first_s=30.5,
                mentions=[said(30.5, "bias cape"), said(70.5, "bias cape")],
                confidence=0.4,
            ),
            Item(id="i3", kind="tool", name="awl", first_s=52.5, mentions=[said(52.5, "awl")], confidence=0.9),
        ],
        techniques=[Technique(id="t1", name="cutting", first_shown_s=10.0, mentions=[said(10.5, "cut")])],
        measurements=[
            Measurement(id="m1", start_s=11.5, text="half a yard", value=0.5, unit="yard", of="length", item="i1")
        ],
        links_owed=[LinkOwed(id="l1", start_s=72.0, text="I will link the canvas below", what="canvas", item="i1")],
        notes=[
            Note(kind="tip", start_s=54.0, text="Canvas side up.", refers_to="s3", id="n1"),
            Note(kind="pointer", start_s=100.0, text="Next time the buckle.", direction="forward", id="n2"),
        ],
        chapters=[
            Chapter(start_s=0.0, title="What we make", id="c1"),
            Chapter(start_s=28.0, title="The edge", id="c2"),
            Chapter(start_s=48.0, title="The strap", id="c3"),
        ],
        checks=[Check(kind="gap", start_s=66.0, text="Nothing is said for five seconds.", refers_to=["s3"])],
    )
