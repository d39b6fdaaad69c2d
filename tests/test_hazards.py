"""General cautions: offered where a hazard was used and not spoken of, and only then."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from buildlog.document import Item, ItemKind, Line, Note, Status, Step, Technique, Word
from buildlog.tag.hazards import general_cautions, hazards


def item(name: str, kind: ItemKind = "tool", *, at: float = 10.0, status: Status = "used") -> Item:
    return Item(id=f"i-{name}", kind=kind, name=name, first_s=at, status=status)


def technique(name: str, at: float = 20.0) -> Technique:
    return Technique(id=f"t-{name}", name=name, first_shown_s=at)


def named(
    items: list[Item], techniques: list[Technique] | None = None, said: list[Note | str] | None = None
) -> list[str]:
    return [c.hazard for c in general_cautions(items, techniques or [], said or [])]


def test_a_hazard_used_in_silence_is_spoken_of_once() -> None:
    cautions = general_cautions([item("steam iron", at=30.0)], [technique("pressing", 12.0), technique("fusing")])
    assert [(c.hazard, c.start_s, c.refers_to) for c in cautions] == [("hot iron", 12.0, "t-pressing")]


def test_what_was_not_used_brings_nothing() -> None:
    assert named([item("rotary cutter", status="considered"), item("table saw", status="mentioned")]) == []
    assert named([]) == []


def test_what_the_maker_said_is_not_said_again() -> None:
    said: list[Note | str] = [
        Note(kind="caution", start_s=5.0, text="Mind your fingers, that blade is sharp, so cut away from you.")
    ]
    assert named([item("rotary cutter")], said=said) == []
    assert named([item("rotary cutter")], said=["Don't leave the iron on, it scorches."]) == ["rotary cutter"]
    assert named([item("rotary cutter")], said=[Note(kind="tip", start_s=5.0, text="Cut away from the blade.")]) == [
        "rotary cutter"
    ]


def test_a_caution_about_another_hazard_covers_only_that_one() -> None:
    said: list[Note | str] = ["Gloves on for the danish oil, and lay the rag flat or it can catch fire."]
    assert named([item("danish oil", "material"), item("epoxy", "material")], said=said) == ["epoxy resin"]


def test_names_as_makers_say_them() -> None:
    assert "hot iron" in named([item("old iron")])
    assert "power saw" in named([item("12 inch miter saw")])
    assert "oily rags" in named([item("boiled linseed oil", "material")])
    assert "solvents" in named([item("turps", "material")])


def test_harmless_relations_of_a_hazard() -> None:
    for name, kind in (
        ("butter knife", "tool"),
        ("palette knife", "tool"),
        ("olive oil", "material"),
        ("pattern weights", "tool"),
        ("five tooth iron", "tool"),
    ):
        assert named([item(name, kind)]) == [], name  # type: ignore[arg-type]


def test_a_short_name_of_a_harmless_thing() -> None:
    oil = Item(id="i1", kind="material", name="neatsfoot oil", aliases=["oil", "the oil"], first_s=3.0)
    assert named([oil]) == []


def test_words_of_a_step() -> None:
    step = Step(id="s1", start_s=40.0, end_s=44.0, text="Wire the lamp to the mains.")
    assert [c.refers_to for c in general_cautions([], [], [], [step])] == ["s1"]


def test_in_order_of_time() -> None:
    cautions = general_cautions([item("router", at=50.0), item("superglue", "material", at=9.0)], [])
    assert [c.start_s for c in cautions] == [9.0, 50.0]


DEFERS = re.compile(
    r"instructions|manual|label|safety sheet|data sheet|maker|law|local|licensed|supplier|authority|recipe|packet|council"
)


def test_every_hazard_is_whole() -> None:
    """A source each, a text that defers to instructions, rules or licensed practice, and each thing told of once."""
    assert len(hazards()) >= 60
    for hazard in hazards():
        assert hazard.text.endswith(".")
        assert len(hazard.text) < 320
        assert DEFERS.search(hazard.text), hazard.name
        assert hazard.source
        assert hazard.items or hazard.techniques
        assert hazard.vague <= hazard.items | hazard.techniques, hazard.name
    seen = Counter(name for hazard in hazards() for name in hazard.items)
    assert [name for name, times in seen.items() if times > 1] == []


def in_talk(text: str, what: Item | Technique) -> list[str]:
    """The hazards met where ``text`` is all that is said and ``what`` was read in it, at its first word there."""
    words = text.split()
    first = what.name.split()[-1].lower()[:4]
    at = next(n for n, w in enumerate(words) if w.lower().startswith(first))
    line = Line(
        start_s=0.0,
        end_s=len(words) * 0.4,
        text=text,
        words=[Word(start_s=n * 0.4, end_s=n * 0.4 + 0.4, text=w) for n, w in enumerate(words)],
    )
    if isinstance(what, Item):
        what.first_s = at * 0.4
        return [c.hazard for c in general_cautions([what], [], [], [], [line])]
    what.first_shown_s = at * 0.4
    return [c.hazard for c in general_cautions([], [what], [], [], [line])]


@pytest.mark.parametrize(
    ("text", "what", "met"),
    [
        ("With the soldering done I laid the iron back and checked every joint for bridges", item("iron"), []),
        ("Plug in the iron and set it to wool before you touch that seam", item("iron"), ["hot iron"]),
        ("I press the clay down into the mould with my palm", technique("pressing"), []),
        ("Press the hem up twice and pin it as you go", technique("pressing"), ["hot iron"]),
        ("Ripping out that whole seam took me till supper", technique("ripping"), []),
        ("The rest is ripping these boards against the fence", technique("ripping"), ["table saw"]),
        ("I cast on forty stitches and then knitted a casting row in rib", technique("casting"), []),
        ("It was casting day so I mixed the resin and the hardener", technique("casting"), ["moulding and casting compounds"]),
        ("I was turning the tube right side out with a safety pin", technique("turning"), []),
        ("Spin the bowl up on the lathe and start turning the foot", technique("turning"), ["lathe"]),
        ("A drop of oil on the sewing machine race and it purrs", item("oil", "material"), []),
        ("Two coats of oil on the oak table with a rag", item("oil", "material"), ["oily rags"]),
        ("Take a torch and look inside the case for the maker's name", item("torch"), []),
        ("Take the torch and heat the silver evenly", item("torch"), ["torch"]),
        ("Spraying it with water every evening keeps it damp", technique("spraying"), []),
        ("I was spraying three coats of primer in the yard", technique("spraying"), ["spray finishes"]),
        ("A dab of clear nail varnish keeps the cord from fraying", item("varnish", "material"), []),
        ("There is a knot of resin here that gums up the plane", item("resin", "material"), []),
    ],
)  # fmt: skip
def test_names_that_mean_two_things(text: str, what: Item | Technique, met: list[str]) -> None:
    assert in_talk(text, what) == met


@pytest.mark.parametrize(
    "text",
    [
        "Dust mask on, and then the sander goes over all of it",
        "Get the sander out of doors for this, the dust goes everywhere",
        "I use the sander with the extractor running because of the dust",
    ],
)
def test_a_danger_spoken_of_in_passing_is_spoken_of(text: str) -> None:
    assert in_talk(text, item("sander")) == []


def test_a_caution_that_names_nothing_is_about_what_is_in_hand() -> None:
    said = Note(kind="caution", start_s=14.0, text="Ear muffs and glasses on for that.")
    cautions = general_cautions([item("band saw", at=10.0), item("table saw", at=300.0)], [], [said])
    assert [c.hazard for c in cautions] == ["table saw"]


def test_the_hazards_of_the_trades_are_there() -> None:
    names = {h.name for h in hazards()}
    assert {
        "hot iron",
        "rotary cutter",
        "table saw",
        "router",
        "sanding dust",
        "solvents",
        "oily rags",
        "dyes and mordants",
        "soldering",
        "hot glue",
        "epoxy resin",
        "plaster",
        "lye",
        "steam box",
        "forge",
        "kiln",
        "grinder",
        "contact cement",
        "isocyanates",
        "spray finishes",
        "silica dust",
        "cement and lime",
    } <= names
