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
        ("size one hundred needle", "Size 100 needle", {}),
        ("size 1 hundred needle", "Size 100 needle", {}),
        ("three twenty pad", "320 grit pad", {}),
        ("one twenty grit sandpaper", "120 grit sandpaper", {}),
        ("four hundred paper", "400 grit paper", {}),
        ("two foot rule", "Two foot rule", {}),
        ("french curve", "French curve", {}),
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
        ("sixty watt bulb", "a sixty watt", "60", "watt", "60 W bulb"),
        ("twelve volt relay", "twelve volt", "12", "volt", "12 V relay"),
        ("winch", "inch", "1", "inch", "Winch"),
    ],
)
def test_amounts_in_names_are_figures(name: str, said: str, exact: str, unit: str | None, shown: str) -> None:
    m = Measurement(id="m", start_s=0, text=said, value=1.0, exact=exact, unit=unit)
    assert shown_name(Item(id="i1", kind="tool", name=name), [m]) == shown


def test_a_grit_that_lost_its_beginning_is_found_in_its_measure() -> None:
    """The number's first word went to the amount, its last one to the name."""
    sheet = item(1, "forty paper", "material", quantities=["m1"])
    m = Measurement(id="m1", start_s=0, text="two forty", value=240, of="grit", setting=True)
    assert "- 240 grit paper\n" in box(Log(items=[sheet], measurements=[m])).text


def test_names_keep_their_capitals_inside_a_line() -> None:
    tools = [
        item(n, name) for n, name in enumerate(("awl", "French curve", "Danish cord", "Tape measure", "PVA brush"))
    ]
    line = box(Log(items=tools)).text.split("Tools\n")[1]
    assert line == "Awl, French curve, Danish cord, tape measure, PVA brush.\n"


def test_a_capital_of_a_sentence_that_is_none_any_more_is_written_small() -> None:
    """Steps are put together from what was said; names keep theirs."""
    said = ["Strip of oak for the edge. I glue it", "with Sheila, another strip. Waxed cord goes round."]
    log = Log(
        transcript=[Line(start_s=n, end_s=n + 1, text=t) for n, t in enumerate(said)],
        items=[item(1, "waxed cord", "material")],
        steps=[Step(id="s1", start_s=0, end_s=1, text="Cut a Strip of oak with Sheila, glue it and add Waxed cord.")],
    )
    assert "1. Cut a strip of oak with Sheila, glue it and add waxed cord.\n" in box(log).text


def test_no_little_word_is_a_name() -> None:
    """Some captions begin every line with a capital, and a word of a joined sentence keeps it."""
    log = Log(notes=[Note(kind="caution", start_s=0, text="A hot blade The size of that can burn You.")])
    assert "- A hot blade the size of that can burn you.\n" in box(log).text


def test_wording_twice_changes_nothing() -> None:
    for name in ("size ten needle", "led strip", "french knots", "two forty paper", "size one hundred needle"):
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


@pytest.mark.parametrize(
    "said",
    [
        "Give each 2 3 saw cuts for the keys.",  # numbers misheard
        "Press the and the cloth over it.",  # a word is missing
        "Trim the facing as far.",  # it goes on
        "Leave the back till it doesn't.",
        "Wind cord's a waxed one round the ends.",  # of another sentence
        "Put the piece goes on a plate of brass.",
        "Let two coats it dry in the sun.",
        "Stitch saddle saddle the long edge.",
        "Get all the way around.",  # with what?
        "Cut two fronts in the felt and two in.",
        "Give every tuck stitched to the waistband.",
        "Don't usen't a lathe for the knob.",
        "Put the chalk it on the wrong side.",
        "Turn the edge in and run it through the machine with a big needle and a long stitch mind the machine it goes "
        "through your finger at that speed the pocket is ten by twelve and the strap is forty.",
        "Put in again the right way up.",
    ],
)
def test_a_step_that_broke_is_left_to_the_maker(said: str) -> None:
    log = Log(steps=[Step(id="s1", start_s=0, end_s=1, text=said, confidence=0.9)])
    assert "Steps" not in box(log).text
    assert f"“{said}”" in doubts(log)
    log.steps[0].confidence = 1.0  # the maker's own wording
    assert said in box(log).text


@pytest.mark.parametrize(
    "said",
    [
        "Cut it 2 1/2 in wide.",
        "Cut 2 lengths and wait till it is dry.",
        "Check the pieces are square.",
        "Pull the thread through and tie it off.",
        "Give the ends a rub and lay both on the bench.",
        "Give the handles two coats of oil.",
        "Cut the felt in two and press it in.",
        "Push it in until it goes no further, and let it dry.",
        "Put the lid on and set the stitch length to 3.",
        "Drill a 3/8 in hole in each of the 2 sides.",
    ],
)
def test_a_sound_step_is_listed(said: str) -> None:
    assert said in box(Log(steps=[Step(id="s1", start_s=0, end_s=1, text=said, confidence=0.9)])).text


def test_a_step_that_was_hardly_told_is_left_to_the_maker() -> None:
    log = Log(steps=[Step(id="s1", start_s=0, end_s=1, text="Plane the rail flush.", confidence=0.3)])
    assert "Plane" not in box(log).text
    assert "Not sure of a step, so it is left out: “Plane the rail flush.”" in doubts(log)


def way(name: str, *said: str, confidence: float = 0.95) -> Technique:
    mentions = [Mention(start_s=n, end_s=n + 1, text=t) for n, t in enumerate(said)]
    return Technique(id=name, name=name, confidence=confidence, mentions=mentions)


def test_techniques_are_called_what_the_maker_calls_them() -> None:
    def shown(*ways: Technique) -> str:
        text = box(Log(techniques=list(ways))).text
        return text.split("Shown here: ")[1].split(".\n")[0] if "Shown here" in text else ""

    assert shown(way("slip stitching", "ladder stitched")) == "ladder stitch"
    assert shown(way("braiding", "plaiting")) == "plaiting"
    assert shown(way("icing", "frosted")) == ""  # nobody would look for icing on a jar
    assert shown(way("truing", "trued"), way("prick stitching", "pick stitch")) == "truing and prick stitching"
    assert shown(way("icing", "frosted", confidence=1.0)) == "icing"  # the maker's own word
    assert shown(way("resawn", "resawn")) == ""


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
        "Melt the ends of the cord with a lighter do it outside the fumes are horrible",
        "If the saw binds keep your fingers off",
        "So it doesn't run away on you",
    ]
    text = box(Log(notes=[Note(kind="caution", start_s=n, text=t) for n, t in enumerate(said)])).text
    assert text.split("Take care\n")[1] == (
        "- Never put your hand under the blade.\n"
        "- Careful with the kettle don't scald yourself.\n"
        "- Do it outside the fumes are horrible.\n"
        "- If the saw binds keep your fingers off.\n"
        "- It doesn't run away on you.\n"
    )


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("Tie your hair back before you start the lathe.", True),
        ("That gouge will open you up like a tin.", True),
        ("Push away from you, not towards your gut.", True),
        ("One hand in your pocket, and discharge the capacitor.", True),
        ("Keep the work an inch away from the eye of the needle.", False),
        ("Pin it every finger's width along the edge.", False),
        ("Don’t breathe on it while the leaf is loose.", False),
        ("I used the short rule as the long one walks away from you.", False),
        ("That's the box, so take care and keep your fingers.", False),
    ],
)
def test_which_cautions_are_about_people(said: str, told: bool) -> None:
    assert ("Take care" in box(Log(notes=[Note(kind="caution", start_s=1, text=said)])).text) == told


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


def test_what_was_promised_by_no_name_is_asked_for() -> None:
    """ "You can grab it below": nobody can tell from a list what "it" is, nor from "20 inches"."""
    said = "You can grab that one down below."
    for what in ("one", "20 inches", "that", "3 1/2"):
        log = Log(links_owed=[LinkOwed(id="l1", start_s=1, text=said, what=what)])
        assert "link to come" not in box(log).text
        owed = [f for f in check(log) if f.kind == "link_owed"]
        assert [f.blocks for f in owed] == [True]
        assert f"“{said}”" in owed[0].text
        log.links_owed[0].url = "https://v.example/sheet"
        assert "- As promised: https://v.example/sheet" in box(log).text
        assert "link_owed" not in {f.kind for f in check(log)}


def test_a_promise_is_named_without_the_words_that_say_that_it_is_one() -> None:
    for what in ("wool people are linked", "wool people’s below", "wool people"):
        log = Log(links_owed=[LinkOwed(id="l1", start_s=1, text="x", what=what)])
        assert "- Wool people: link to come\n" in box(log).text


def test_what_is_promised_twice_is_owed_once() -> None:
    owed = [LinkOwed(id=f"l{n}", start_s=n, text="x", what="varnish", item="i1") for n in range(2)]
    log = Log(items=[item(1, "varnish", "material")], links_owed=owed)
    assert [f.text for f in check(log) if f.kind == "link_owed"] == ["Link owed: varnish."]


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


def test_how_the_work_goes_is_no_amount_of_a_thing() -> None:
    def row(kind: str, **more: object) -> str:
        thing = item(1, "cord", kind, quantities=["m1"])
        m = Measurement(**({"id": "m1", "start_s": 0, "text": "x", "value": 2.0, "unit": "inch"} | more))  # type: ignore[arg-type]
        return box(Log(items=[thing], measurements=[m])).text.split("s\n")[-1].strip()

    assert row("material", of="cord spacing") == "- Cord"
    assert row("material", of="groove depth") == "- Cord"
    assert row("material", of="times", unit=None) == "- Cord"  # rubbed on twice
    assert row("material", of="cord width") == "- Cord: width 2 in (5.1 cm)"
    assert row("tool", of="cord", approximate=True) == "- Cord"
    assert row("tool", of="cord") == "- Cord: 2 in (5.1 cm)"


def test_an_amount_of_what_a_thing_is_only_named_after_is_not_its_own() -> None:
    cutter = item(1, "thread cutter", at=300.0, quantities=["m1"])
    m = Measurement(id="m1", start_s=200.0, text="nine yards", value=9, unit="yard", of="thread")
    assert "- Thread cutter\n" in box(Log(items=[cutter], measurements=[m])).text
    cutter.mentions.append(Mention(start_s=201.0, end_s=202.0, text="thread"))  # of the thread, taken for the cutter
    assert "- Thread cutter\n" in box(Log(items=[cutter], measurements=[m])).text
    m.start_s = 301.0  # said of them, then
    assert "- Thread cutter: 9 yd" in box(Log(items=[cutter], measurements=[m])).text


def test_what_a_thing_is_made_of_may_stand_for_it() -> None:
    sheet = item(1, "brass sheet", "material", at=300.0, quantities=["m1"])
    sheet.mentions.append(Mention(start_s=201.0, end_s=202.0, text="brass"))
    m = Measurement(id="m1", start_s=200.0, text="two inches", value=2, unit="inch", of="brass")
    assert "- Brass sheet: 2 in" in box(Log(items=[sheet], measurements=[m])).text


def test_of_a_tool_nobody_asks_whether_it_was_there_already() -> None:
    log = Log(items=[item(1, "block plane", source="stash"), item(2, "linen", "material", source="stash")])
    assert "- Linen: from the stash\n" in box(log).text
    assert "- Block plane\n" in box(log).text


def test_so_many_of_a_length() -> None:
    tacks = item(1, "tacks", "material", quantities=["m1", "m2"])
    count = Measurement(id="m1", start_s=0, text="nine tacks", value=9, of="tacks")
    length = Measurement(id="m2", start_s=0, text="half an inch", value=0.5, unit="inch", of="tack length")
    assert "- Tacks: 9, 1/2 in (13 mm) long\n" in box(Log(items=[tacks], measurements=[count, length])).text


def test_a_price_for_the_lot() -> None:
    log = Log(items=[item(1, "tweed", "material", price=Price(amount=18, currency="EUR", per="lot"))])
    assert "- Tweed: €18 for the lot\n" in box(log).text


def test_words_that_are_listed_under_another_form_are_not_missed() -> None:
    lines = ["The heat gun's hot. Now a rolling pin's no use.", "This is a kitchen timer."]
    log = Log(
        transcript=[Line(start_s=n, end_s=n + 1, text=t) for n, t in enumerate(lines)],
        items=[item(1, "heat gun"), item(2, "rolling pin", status="substitute")],
    )
    assert not [f for f in check(log, about=About(build="Kitchen timer")) if f.kind == "missing_item"]


def test_marks_of_another_speaker_are_no_words() -> None:
    log = Log(notes=[Note(kind="correction", start_s=0, text=">> No, it is four. > > You are right. >")])
    assert "A correction is not mentioned: No, it is four. You are right." in [f.text for f in check(log)]


def test_a_caution_that_cannot_stand_alone_is_told_with_its_step() -> None:
    note = Note(kind="caution", start_s=1, text="Never at your other hand.", refers_to="s1")
    step = Step(id="s1", start_s=0, end_s=1, text="Punch a row of holes along the edge with an awl, well apart.")
    assert (
        "- Punch a row of holes along the edge: never at your other hand.\n"
        in box(Log(notes=[note], steps=[step])).text
    )
