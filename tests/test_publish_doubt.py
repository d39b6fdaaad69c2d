"""What is left out of a description for doubt, names as they are shown, and one line for one thing."""

from __future__ import annotations

import pytest

from buildlog.document import (
    GeneralCaution,
    Item,
    Line,
    LinkOwed,
    Log,
    Measurement,
    Mention,
    Note,
    Price,
    Step,
    Technique,
)
from buildlog.publish import About, box, check
from buildlog.publish.naming import shown_name, worded


def item(n: int, name: str, kind: str = "tool", at: float = 0.0, **more: object) -> Item:
    mentions = [Mention(start_s=at, end_s=at + 1, text=name)]
    return Item(**({"id": f"i{n}", "kind": kind, "name": name, "first_s": at, "confidence": 0.9, "mentions": mentions} | more))  # type: ignore[arg-type]  # fmt: skip


def doubts(log: Log) -> str:
    return "\n".join(f.text for f in check(log) if f.kind == "doubtful")


# Items --------------------------------------------------------------------------------------------------------------


def test_a_doubtful_item_is_left_to_the_maker() -> None:
    log = Log(items=[item(1, "bodkin"), item(2, "fence", confidence=0.5)])
    assert "Fence" not in box(log).text
    assert "“fence”" in doubts(log)
    log.items[1].confidence = 1.0  # the maker accepted it
    assert "fence" in box(log).text.casefold()
    assert doubts(log) == ""


def test_what_was_paid_for_or_measured_is_less_doubtful() -> None:
    log = Log(items=[item(1, "wadding", "material", confidence=0.5, price=Price(amount=60))])
    assert "- Wadding: 60" in box(log).text
    log.items[0].confidence = 0.3
    assert "Wadding" not in box(log).text


def test_a_count_that_may_be_of_something_else_is_not_shown() -> None:
    """Where the reading is not sure that the two are nails."""
    nails = item(1, "nails", "material", quantities=["m1"])
    count = Measurement(id="m1", start_s=0, text="two nails", value=2, of="nails", confidence=0.7)
    assert "- Nails\n" in box(Log(items=[nails], measurements=[count])).text
    count.confidence = 1.0
    assert "- Nails: 2\n" in box(Log(items=[nails], measurements=[count])).text


def test_a_count_of_each_is_not_how_many_there_are() -> None:
    def shown(said: str, text: str = "two screws", of: str = "screws", *more: Measurement) -> bool:
        screws = item(1, "screws", "material", quantities=["m1", *(m.id for m in more)])
        count = Measurement(id="m1", start_s=1, text=text, value=2, of=of)
        log = Log(items=[screws], measurements=[count, *more], transcript=[Line(start_s=0, end_s=9, text=said)])
        return "- Screws: 2" in box(log).text

    assert shown("It takes two screws and every bit of patience.")
    assert shown("It takes two screws, one at each end.")
    assert not shown("Then two screws in every joint.")
    assert not shown("Two screws per corner, no more.")
    assert not shown("I cut two in the silk.", text="two in the silk", of="pieces in silk")
    assert not shown("Two screws here.", "two screws", "screws", Measurement(id="m2", start_s=5, text="5", value=5, of="screws"))  # fmt: skip


# Substitutes --------------------------------------------------------------------------------------------------------


def offered(why: str, *between: Item, of: Item | None = None, **more: object) -> Log:
    """Something named at 10 s, something offered instead at 15 s."""
    of = of or item(1, "scribing knife", at=10)
    other = item(2, "penknife", at=15, status="substitute", instead_of="i1", why=why, **more)
    return Log(items=[of, other, *between])


def instead(log: Log) -> bool:
    shown = "instead of" in box(log).text
    assert shown != ("instead of something" in doubts(log))
    return shown


def test_a_substitute_is_shown_where_it_is_sure_for_what() -> None:
    assert instead(offered("If you have no scribing knife, a penknife will do."))
    assert instead(offered("A penknife works as well."))
    assert not instead(offered("A penknife works as well.", item(3, "hacksaw", at=12)))  # or instead of the saw?
    assert instead(offered("If the scribing knife is gone, a penknife.", item(3, "hacksaw", at=12)))
    assert not instead(offered("A penknife works as well.", confidence=0.5))
    assert instead(offered("A penknife works as well.", item(3, "hacksaw", at=12), confidence=1.0))


def test_no_two_things_of_one_sentence_each_alone() -> None:
    two = "A block wrapped in sandpaper will do."
    more = item(3, "sandpaper", at=15, status="substitute", instead_of="i1", why=two)
    assert not instead(offered(two, more))
    either = "A penknife or a scalpel will do."
    also = item(3, "scalpel", at=15, status="substitute", instead_of="i1", why=either)
    assert instead(offered(either, also))


def test_nothing_does_the_work_instead_of_gloves() -> None:
    assert not instead(offered("A penknife works as well.", of=item(1, "gloves", at=10)))


def test_a_material_is_no_stand_in_for_a_tool() -> None:
    assert not instead(offered("That works as well.", of=item(1, "screws", "material", at=10)))


# One line for one thing ---------------------------------------------------------------------------------------------


def names(*things: Item) -> list[str]:
    text = box(Log(items=list(things))).text
    return [row[2:].split(":")[0] for row in text.splitlines() if row.startswith("- ")]


def test_a_name_that_says_less_is_not_listed_beside_one_that_says_more() -> None:
    m = "material"
    assert names(item(1, "screws", m), item(2, "brass screws", m)) == ["Brass screws"]
    assert names(item(1, "linen thread", m), item(2, "thread", m)) == ["Linen thread"]
    assert names(item(1, "thread", m), item(2, "waxed linen", m)) == ["Waxed linen"]
    assert names(item(1, "glue", m), item(2, "contact cement", m)) == ["Contact cement"]
    assert names(item(1, "thread", m), item(2, "linen thread", m), item(3, "waxed linen thread", m)) == [
        "Waxed linen thread"
    ]
    # Sand, foil and paper end in the same letters as what they are not.
    assert len(names(item(1, "paper", m), item(2, "sandpaper", m), item(3, "oil", m), item(4, "foil", m))) == 4
    assert len(names(item(1, "brass", m), item(2, "brass screws", m))) == 2  # sheet, perhaps
    assert len(names(item(1, "screws", m, confidence=1.0), item(2, "brass screws", m))) == 2  # the maker says so


def test_what_is_known_under_either_name_is_kept() -> None:
    plain = item(1, "screws", "material", quantities=["m1"], price=Price(amount=3, currency="GBP"))
    brass = item(2, "brass screws", "material")
    owed = LinkOwed(id="l1", start_s=1, text="the screws are linked", what="screws", item="i1")
    count = Measurement(id="m1", start_s=0, text="a dozen", value=12, of="screws")
    log = Log(items=[plain, brass], measurements=[count], links_owed=[owed])
    assert "- Brass screws: 12, £3, link to come" in box(log).text
    assert "Links\n" not in box(log).text
    assert "missing_item" not in {f.kind for f in check(log)}
    plain.link = "https://shop.example/screws"
    assert "- Brass screws: 12, £3\n  https://shop.example/screws" in box(log).text
    assert "link_owed" not in {f.kind for f in check(log)}


def test_what_matters_most_comes_first() -> None:
    log = Log(
        items=[item(1, "twill", "material"), item(2, "tacks", "material"), item(3, "oak", "material")],
        steps=[Step(id=f"s{n}", start_s=n, end_s=n, text="Plane the oak rail.", items=["i3"]) for n in range(3)],
    )
    log.items[1].price = Price(amount=2)
    rows = box(log).text.split("Materials\n")[1].splitlines()
    assert rows[:3] == ["- Oak", "- Tacks: 2", "- Twill"]  # in three steps; paid for; neither


# Names --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "shown", "more"),
    [
        ("calipers'll", "Calipers", {}),
        ("the felt can't", "The felt", {}),
        ("rubber's neoprene", "Neoprene rubber", {"aliases": ["rubber"]}),
        ("tailor's chalk", "Tailor's chalk", {"aliases": ["chalk"]}),
        ("size eleven bodkin", "Size 11 bodkin", {}),
        ("four gouge", "Number 4 gouge", {"size": "Number four"}),
        ("pva", "PVA", {}),
        ("warm white leds", "Warm white LEDs", {}),
        ("tartan wool tartan", "Tartan wool", {}),
        ("japanese saw", "Japanese saw", {}),
        ("", "", {}),
    ],
)
def test_names_as_a_viewer_reads_them(name: str, shown: str, more: dict[str, object]) -> None:
    assert shown_name(Item(id="i1", kind="tool", name=name, **more)) == shown  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "said", "exact", "unit", "shown"),
    [
        ("5 32 bit", "5 32", "5/32", "inch", "5/32 in bit"),
        ("half-inch dowel", "a half-inch", "1/2", "inch", "1/2 in dowel"),
        ("inch and a half panel pins", "inch and a half", "3/2", "inch", "1 1/2 in panel pins"),
        ("six mil brads", "six mil", "6", "millimeter", "6 mm brads"),
        ("three prong plug", "three prong", "3", None, "Three prong plug"),
        ("winch", "inch", "1", "inch", "Winch"),
    ],
)
def test_amounts_in_names_are_figures(name: str, said: str, exact: str, unit: str | None, shown: str) -> None:
    m = Measurement(id="m", start_s=0, text=said, value=1.0, exact=exact, unit=unit)
    assert shown_name(Item(id="i1", kind="tool", name=name), [m]) == shown


def test_wording_twice_changes_nothing() -> None:
    for name in ("size ten needle", "led strip", "french knots"):
        assert worded(worded(name)) == worded(name)


# Steps, cautions, techniques, promises ------------------------------------------------------------------------------


def test_a_step_that_says_nothing_is_left_to_the_maker() -> None:
    said = ["Tear it.", "Plane the rail flush.", "Do the same.", "Put the piece on.", "Backstitch it twice.", "Sand."]
    log = Log(steps=[Step(id=f"s{n}", start_s=n, end_s=n, text=t, confidence=0.9) for n, t in enumerate(said)])
    text = box(log).text
    assert "1. Plane the rail flush.\n2. Backstitch it twice.\n3. Sand.\n" in text
    assert all(f"“{t}”" in doubts(log) for t in ("Tear it.", "Do the same.", "Put the piece on."))
    log.steps[0].confidence = 1.0  # the maker's own wording
    assert "1. Tear it." in box(log).text


def test_only_sure_techniques_stand_under_the_title() -> None:
    log = Log(
        techniques=[
            Technique(id="t1", name="french seaming", confidence=0.95),
            Technique(id="t2", name="iceing", confidence=0.6),
        ]
    )
    assert "Shown here: French seaming.\n" in box(log).text


def test_cautions_are_about_people_and_begin_with_what_to_do() -> None:
    said = [
        "The rust'll eat the blade over a winter.",
        "Silk stains, so wash your hands and put the tea elsewhere.",
        "Never put your hand under the blade.",
        "And so you see careful with the kettle don't scald yourself",
        "If the saw binds keep your fingers off",
        "So it doesn't run away on you",
    ]
    text = box(Log(notes=[Note(kind="caution", start_s=n, text=t) for n, t in enumerate(said)])).text
    assert text.split("Take care\n")[1] == (
        "- Never put your hand under the blade.\n"
        "- Careful with the kettle don't scald yourself.\n"
        "- If the saw binds keep your fingers off.\n"
        "- It doesn't run away on you.\n"
    )


def test_general_cautions_are_about_what_surely_was_done_each_once() -> None:
    def caution(of: str, text: str) -> GeneralCaution:
        return GeneralCaution(hazard=text, text=f"{text}.", source="common practice, no source", refers_to=of)

    log = Log(
        items=[item(1, "scalpel"), item(2, "router", confidence=0.4)],
        general_cautions=[caution("i1", "Cut away"), caution("i1", "Cut in passes"), caution("i2", "Eyes and ears")],
    )
    assert box(log).text.endswith("Take care\n- Cut away.\n")


def test_a_promise_that_the_description_keeps_is_not_owed() -> None:
    owed = LinkOwed(id="l1", start_s=1, text="Tools are all below as always.", what="tools")
    log = Log(items=[item(1, "bodkin")], links_owed=[owed])
    assert "link to come" not in box(log).text
    assert "link_owed" not in {f.kind for f in check(log)}
    log.items = []  # no list of tools: then it is
    assert "- Tools: link to come" in box(log).text
    assert "link_owed" in {f.kind for f in check(log)}
    owed.text, log.items = "There's a list of tools as a pdf.", [item(1, "bodkin")]
    assert "- Tools: link to come" in box(log).text


def test_promises_in_the_makers_voice() -> None:
    owed = [
        LinkOwed(id=f"l{n}", start_s=n, text="x", what=w) for n, w in enumerate(["own sketch", "spreadsheet thing"])
    ]
    assert "- My sketch: link to come\n- Spreadsheet: link to come\n" in box(Log(links_owed=owed)).text


def test_the_first_line_says_what_it_is() -> None:
    steps = [Step(id=f"s{n}", start_s=n, end_s=n, text="Plane the rail.") for n in range(2)]
    assert box(Log(steps=steps), about=About(build="Oak stool")).text.startswith("Oak stool, a build log in 2 steps.\n")
    assert box(Log()).text == "A build log.\n"
    assert box(Log(), about=About(build="Oak stool")).text == "Oak stool, a build log.\n"
    assert box(Log(), about=About(build="Oak stool", title="I made a stool!")).text == "I made a stool!\n"


def test_two_lengths_of_one_thing_are_its_size_and_what_the_same_goes_into_is_none() -> None:
    board = item(1, "plywood", "material", quantities=["m1", "m2"])
    sides = [
        Measurement(id=f"m{n}", start_s=float(n), text=f"{v} inches", value=v, unit="inch", of="plywood")
        for n, v in ((1, 12.0), (2, 8.0))
    ]
    log = Log(items=[board], measurements=sides)
    assert "- Plywood: 12 by 8 in (30.5 by 20.5 cm)\n" in box(log).text
    sides[1].start_s = 60.0
    assert "- Plywood: 12 in (30.5 cm), 8 in (20.5 cm)\n" in box(log).text
    for m in sides:
        m.of = "same plywood"
    assert "- Plywood\n" in box(log).text


def test_a_caution_that_cannot_stand_alone_is_told_with_its_step() -> None:
    note = Note(kind="caution", start_s=1, text="Never at your other hand.", refers_to="s1")
    step = Step(id="s1", start_s=0, end_s=1, text="Punch a row of holes along the edge with an awl, well apart.")
    assert (
        "- Punch a row of holes along the edge: never at your other hand.\n"
        in box(Log(notes=[note], steps=[step])).text
    )
