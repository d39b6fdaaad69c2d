"""General cautions: offered where a hazard was used and not spoken of, and only then."""

from __future__ import annotations

from buildlog import crafts
from buildlog.document import Item, ItemKind, Note, Status, Step, Technique
from buildlog.tag.hazards import general_cautions, hazards
from buildlog.tag.lexicon import Lexicon


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


def test_every_hazard_is_whole() -> None:
    """A source each, a text that defers where a product or machine has instructions, things the lexicon knows."""
    lexicon = Lexicon.load()
    assert len(hazards()) >= 40
    for hazard in hazards():
        assert hazard.text.endswith(".")
        assert hazard.source
        assert hazard.items or hazard.techniques
        assert len(hazard.text) < 320
    unknown = {
        name
        for data in crafts.craft_files().values()
        for row in data.get("hazard", ())
        for name in crafts.words(row.get("items", ""))
        if lexicon.find(name) is None
    }
    assert len(unknown) <= 12, unknown


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
    } <= names
