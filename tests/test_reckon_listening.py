"""How talk becomes the inputs of a rule: what tells, what does not, and what is asked."""

from __future__ import annotations

from fractions import Fraction

import pytest

from buildlog.document import Derived, Item, Line, Log, Measurement, Mention, Price, Quantity, Worksheet
from buildlog.errors import BadInput
from buildlog.reckon import fit, size_table, worksheets
from buildlog.reckon.block import sizes_of
from buildlog.reckon.result import Result
from buildlog.reckon.rules import rules
from buildlog.reckon.shown import both
from buildlog.reckon.trades import trades
from buildlog.reckon.units import Amount


def log(*lines: tuple[float, str], said: list[Measurement], materials: str = "", **more: object) -> Log:
    """A log of ``lines`` a few seconds long each; ``materials`` are used items, named where they are first said."""
    transcript = [Line(start_s=t, end_s=t + 8, text=text) for t, text in lines]
    items = [
        Item(
            id=f"i{k}", kind="material", name=name.strip(), first_s=0,
            mentions=[
                Mention(start_s=t, end_s=t + 1, text=name.strip()) for t, text in lines if name.strip() in text.casefold()
            ],
        )
        for k, name in enumerate(n for n in materials.split(",") if n)
    ]  # fmt: skip
    return Log(transcript=transcript, measurements=said, items=items, **more)  # type: ignore[arg-type]


def m(k: int, start_s: float, text: str, value: float, unit: str | None = "inch", of: str | None = None) -> Measurement:
    return Measurement(id=f"m{k}", start_s=start_s, text=text, value=value, unit=unit, of=of)


def one(made: list[Worksheet], title: str) -> Worksheet:
    (found,) = [s for s in made if s.title == title]
    return found


def given(sheet: Worksheet) -> dict[str, str | None]:
    return {q.name: q.value for q in sheet.quantities if q.origin == "said"}


def asked(result: Result) -> dict[str, str]:
    return {q.name: q.said for q in result.asked}


def test_every_trade_names_a_rule_and_its_inputs_and_figures() -> None:
    from test_reckon_layouts import EXAMPLES

    from buildlog.reckon.book import apply

    for name, trade in trades().items():
        rule = rules()[trade.rule]
        known = {a.name for a in rule.asks}
        assert set(trade.inputs) | set(trade.fixed) <= known, name
        assert set(trade.choices) <= known, name
        assert {trade.needs} - {None} | trade.also | trade.one_of <= {*trade.inputs, *trade.choices}, name
        example = next(e for e in EXAMPLES if e.rule == trade.rule)
        outcome = apply(rule, {k: str(v) for k, v in example.given.items()})[0]
        assert set(trade.figures) <= set(outcome.figures), name


def test_what_nobody_said_is_asked_with_the_sentence_it_came_up_in() -> None:
    skirt = log(
        (0, "This is a circle skirt. You want your own waist for it."),
        (10, "I made mine twenty-four inches long."),
        said=[m(1, 13, "twenty-four inches", 24, of="length")],
    )
    result = fit(one(worksheets(skirt), "A circle skirt"))
    assert asked(result)["waist"] == "You want your own waist for it."
    assert asked(result)["fabric width"] == "This is a circle skirt."
    assert "length" not in asked(result)


def test_two_amounts_that_fit_alike_are_asked_and_both_are_shown() -> None:
    skirt = log(
        (0, "A circle skirt, twenty-four inches long."),
        (10, "My waist is thirty inches. No, her waist is thirty-two inches."),
        said=[
            m(1, 3, "twenty-four inches", 24, of="length"),
            m(2, 12, "thirty inches", 30, of="waist"),
            m(3, 15, "thirty-two inches", 32, of="waist"),
        ],
    )
    text = asked(fit(one(worksheets(skirt), "A circle skirt")))["waist"]
    assert "thirty inches" in text
    assert "thirty-two inches" in text


def test_a_word_in_passing_makes_no_sheet() -> None:
    """ "I'll show you the waistband another day": the cloth's width is no waistband's."""
    passing = log(
        (0, "The wool is fifty-four inches wide and my waist is thirty inches."),
        (10, "I'll show you the waistband another day, and the zip, and a box pleat or two."),
        said=[m(1, 2, "fifty-four inches", 54, of="wool width"), m(2, 6, "thirty inches", 30, of="waist")],
        materials="wool",
    )
    assert worksheets(passing) == []


def test_coats_alone_are_no_sheet_but_a_tin_that_covers_is() -> None:
    coats = m(1, 1, "two coats", 2, None, "coats")
    assert worksheets(log((0, "I put two coats of oil on it."), said=[coats])) == []
    tin = log((0, "I put two coats of oil on it. The tin covers plenty, look on the back."), said=[coats])
    result = fit(one(worksheets(tin), "Finish by coverage and coats"))
    assert asked(result)["coverage"] == "The tin covers plenty, look on the back."
    assert set(asked(result)) == {"coverage", "area"}


def test_finish_in_metric() -> None:
    """2 m² twice at 10 m² to the litre is 0.4 l; a tenth more 0.44; half a litre is the next quarter."""
    tin = log(
        (0, "I put two coats of oil on it. The tin covers plenty."), said=[m(1, 1, "two coats", 2, None, "coats")]
    )
    result = fit(worksheets(tin)[0], {"area": "2 m2", "coverage": "10 m2 / l"})
    finish = next(f for f in result.figures if f.name == "finish")
    assert Amount.of(Fraction(finish.exact or 0), finish.unit).value("liter") == Fraction(44, 100)
    assert result.shopping[0].buy.endswith("0.5 l")


@pytest.mark.parametrize(
    ("sentence", "text", "of", "known"),
    [
        ("The strap is the finished length and then four inches on top.", "four inches", None, False),
        ("The strap is a third of the neck. I marked the neck at four inches.", "four inches", "neck", False),
        ("The strap is a third of the neck. Her neck is four inches.", "four inches", "neck", True),
    ],
)
def test_what_is_added_or_marked_is_not_the_measure(sentence: str, text: str, of: str | None, known: bool) -> None:
    name = "neck" if "neck" in sentence else "length"
    strap = log(
        (0, sentence),
        said=[m(1, 5.5, text, 4, of=of)],
        derived=[
            Derived(id="d1", start_s=1.5, text=f"a third of the {name}", result="strap", formula=f"{name} / 3", inputs=[name])
        ],
    )  # fmt: skip
    (made,) = worksheets(strap)
    assert (name in given(made)) is known


@pytest.mark.parametrize(
    ("sentence", "title"),
    [
        ("I cut two sides of plywood at thirty inches by eleven inches.", "Parts out of sheets"),
        ("I cut two sides of oak at thirty inches by eleven inches.", "Parts out of boards"),
        ("I cut two sides of leather at thirty inches by eleven inches.", "Leather by area"),
        ("I cut two sides of canvas at thirty inches by eleven inches.", "Sides out of the width"),
    ],
)
def test_the_sentence_says_what_a_piece_is_cut_out_of(sentence: str, title: str) -> None:
    bag = log(
        (0, sentence),
        said=[
            m(1, 1.6, "two sides", 2, None, "sides"),
            m(2, 4, "thirty inches", 30, of="sides"),
            m(3, 5.6, "eleven inches", 11, of="sides"),
        ],
        materials="plywood,oak,leather,canvas",
    )
    assert one(worksheets(bag), title)


def priced(per: str, text: str, count: Measurement | None, sentence: str) -> Result:
    made = worksheets(
        Log(
            transcript=[Line(start_s=0, end_s=8, text=sentence)],
            items=[
                Item(id="i1", kind="material", name="walnut", price=Price(amount=4, currency="USD", per=per, text=text))
            ],
            measurements=[count] if count else [],
        )
    )
    return fit(one(made, "What it cost"))


def test_a_price_of_each_takes_the_number_said_before_it() -> None:
    six = m(1, 1, "six boards", 6, None, "boards")
    bought = priced("each", "four dollars each", six, "I had six boards, they were four dollars each.")
    assert bought.cost == ["walnut cost: 24.00 USD"]
    coats = m(1, 1, "two coats", 2, None, "coats")
    open_ = priced("each", "four dollars each", coats, "It took two coats, tins are four dollars each.")
    assert [q.name for q in open_.asked] == ["walnut amount"]


def test_a_price_of_a_board_foot_is_one_of_board_feet() -> None:
    result = priced("board", "four dollars a board", None, "Walnut is four dollars a board foot.")
    assert [(q.name, q.unit) for q in result.asked] == [("walnut amount", "board_foot")]


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (Fraction(18), "square_foot", "18 sq ft (1.67 m²)"),
        (Fraction(2), "square_meter", "2 m² (21.53 sq ft)"),
        (Fraction(1), "quart", "1 qt (0.95 l)"),
        (Fraction(250), "milliliter", "250 ml (8.45 fl oz)"),
        (Fraction(1), "pound", "1 lb (454 g)"),
        (Fraction(12), "board_foot", "12 board ft"),
        (Fraction(6, 5), "GBP / meter", "1.20 GBP / m"),
        (Fraction(75), "ohm", "75 ohm"),
    ],
)
def test_both_systems_where_both_have_one(value: Fraction, unit: str, shown: str) -> None:
    assert both(Amount.of(value, unit)) == shown


def test_a_maker_in_centimetres_gets_centimetres() -> None:
    """200 / 5 = 40 pleats of 5 + 2 x 4: 520 cm, 3 cm at both ends: 526, 5.3 m."""
    curtain = log(
        (0, "Knife pleats, five centimetres showing and four centimetres deep."),
        (10, "The rail is two metres across. Three centimetre seam at each end."),
        said=[
            m(1, 2, "five centimetres", 5, "centimeter", "showing"),
            m(2, 5, "four centimetres", 4, "centimeter", "depth"),
            m(3, 13, "two metres", 2, "meter", "rail"),
            m(4, 15.6, "Three centimetre", 3, "centimeter", "seam allowance"),
        ],
    )
    result = fit(one(worksheets(curtain), "Knife pleats"))
    shown = {f.name: f.text for f in result.figures}
    assert shown["length to cut"] == "526 cm (5 3/4 yd)"
    assert result.shopping[0].buy == "5.3 m, or 5 7/8 yd"


def test_a_pair_of_sizes_without_a_unit_is_taken_in_the_makers_and_says_so() -> None:
    """50 + 2 x 3 = 56 and 66; sixty wide cloth: one panel of 66."""
    throw = log(
        (0, "The throw is fifty by sixty, and the backing is sixty inch wide flannel."),
        (10, "I leave three inches extra all the way round."),
        said=[
            m(1, 1.5, "fifty", 50, None, "throw"),
            m(2, 2.5, "sixty", 60, None, "throw"),
            m(3, 5, "sixty inch", 60, of="flannel width"),
            m(4, 12, "three inches", 3, of="extra"),
        ],
        materials="flannel",
    )
    result = fit(one(worksheets(throw), "Quilt backing"))
    assert {f.name: f.text for f in result.figures}["backing"].startswith("66 in")
    assert any("fifty” was said without a unit and is taken as inch" in a for a in result.assumptions)


@pytest.mark.parametrize(("one_of", "count"), [("strap", 1), ("sheet", 0)])
def test_one_of_a_thing_counts_and_what_it_is_cut_from_does_not(one_of: str, count: int) -> None:
    bag = log(
        (0, f"It is leather, one {one_of}, sixty inches by forty inches."),
        said=[m(1, 3.5, "sixty inches", 60), m(2, 5.5, "forty inches", 40)],
        materials="leather",
    )
    parts = [q.value for s in worksheets(bag) for q in s.quantities if q.name == "parts"]
    assert parts == [f"1 {one_of} @ 60 x 40 in"] * count


@pytest.mark.parametrize(
    ("words", "length", "width"),
    [
        ("Half inch seam allowance.", Fraction(32), 5),
        ("The half inch seam allowance is included in that.", Fraction(31), 4),
    ],
)
def test_an_allowance_said_to_be_in_the_size_is_not_added(words: str, length: Fraction, width: int) -> None:
    """30 + 1 of overlap, and 2 x 1/2 where it is not in it; folded, 2 x 2, and 2 x 1/2 likewise."""
    band = log(
        (0, "My waist is thirty inches with one inch of overlap and no ease."),
        (10, f"The waistband is two inches wide. {words}"),
        said=[
            m(1, 2, "thirty inches", 30, of="waist"),
            m(2, 4, "one inch", 1, of="overlap"),
            m(3, 12, "two inches", 2, of="waistband width"),
            m(4, 14, "half inch", 0.5, of="seam allowance"),
        ],
    )
    result = fit(one(worksheets(band), "A waistband"), {"ease": "0 in"})
    got = {f.name: f.exact for f in result.figures}
    assert (got["waistband length"], got["waistband width"]) == (str(length), str(width))


def test_a_table_of_sizes_has_the_rule_in_words_above_it() -> None:
    """Half a circle: 24 / pi = 7.64, 28 / pi = 8.91."""
    skirt = log(
        (0, "A half circle skirt, twenty-four inches long."), said=[m(1, 2.5, "twenty-four inches", 24, of="length")]
    )
    sheet = one(worksheets(skirt), "A circle skirt")
    rows = size_table(sheet, "waist", ["24 in", "28 in"], {"fabric width": "60 in"}).split("\n")
    assert rows[1].startswith("Waist radius: radius is (waist plus ease) divided by (2 pi times share of a circle)")
    assert [r.split(";")[0] for r in rows[2:]] == [
        "waist 24 in (61 cm): waist radius ~7 5/8 in (19.4 cm)",
        "waist 28 in (71.1 cm): waist radius ~8 15/16 in (22.6 cm)",
    ]
    assert not set("<>") & set("".join(rows))


def test_five_sizes_round_the_present_one_where_none_are_listed() -> None:
    """A twelfth of 28 in is 2 1/3: the next step that people size by is 4 in; counts go by whole ones."""
    skirt = Worksheet(
        id="w", title="x",
        quantities=[
            Quantity(name="waist", value="28", unit="inch"), Quantity(name="gores", value="8"),
            Quantity(name="hip", unit="inch", origin="asked"),
        ],
    )  # fmt: skip
    assert sizes_of(skirt, "waist", "", {}) == ["20 inch", "24 inch", "28 inch", "32 inch", "36 inch"]
    assert sizes_of(skirt, "gores", "", {}) == ["6", "7", "8", "9", "10"]
    assert sizes_of(skirt, "waist", "24, 30 cm", {}) == ["24 cm", "30 cm"]
    with pytest.raises(BadInput, match="list some"):
        sizes_of(skirt, "hip", "", {})


def test_double_fullness_is_twice_the_edge() -> None:
    ruffle = log(
        (0, "It is gathered at double fullness onto a forty inch edge."),
        said=[m(1, 6, "forty inch", 40, of="edge")],
        derived=[
            Derived(
                id="d1", start_s=3, text="double fullness", result="ruffle", formula="2 x fullness", inputs=["fullness"]
            )
        ],
    )
    got = {f.name: f.exact for f in fit(worksheets(ruffle)[0]).figures}
    assert got == {"edge": "40", "ruffle": "80"}


def derived(*rows: tuple[float, str, str, str, list[str]]) -> list[Derived]:
    return [
        Derived(id=f"d{k}", start_s=t, text=text, result=result, formula=formula, inputs=inputs)
        for k, (t, text, result, formula, inputs) in enumerate(rows)
    ]


@pytest.mark.parametrize(
    ("text", "name", "rule"),
    [
        ("an inch bigger all round than the board", "board", "= board + 2 x 1 inch"),
        ("the distance all the way around plus 1 inch", "perimeter", "= perimeter + 1 inch"),
    ],
)
def test_all_round_doubles_what_is_added_and_not_the_way_round(text: str, name: str, rule: str) -> None:
    cloth = log((0, f"The cloth is {text}."), said=[], derived=derived((1, text, "cloth", f"{name} + 1 inch", [name])))
    (made,) = worksheets(cloth)
    assert [q.rule for q in made.quantities if q.rule] == [rule]


def test_one_formula_feeds_another_only_where_it_is_the_same_thing() -> None:
    """The top, right after the top tier, is it; a spine is no spine strip; a height is not added to a thickness."""
    tiers = log(
        (0, "The top tier is the hip plus six inches, the middle one is twice the top."),
        said=[],
        derived=derived(
            (2, "the hip plus six inches", "top tier", "hip + 6 inch", ["hip"]),
            (6, "twice the top", "middle", "2 x top", ["top"]),
        ),
    )
    (made,) = worksheets(tiers)
    assert next(q.inputs for q in made.quantities if q.name == "middle") == {"top": "top tier"}
    book = log(
        (0, "The crash is thirty millimetres wider than the spine."),
        (60, "The boards are the height of the block plus six millimetres."),
        (70, "The spine strip is the thickness of the book with both boards."),
        said=[],
        derived=derived(
            (2, "thirty millimetres wider than the spine", "crash width", "spine + 30 millimeter", ["spine"]),
            (61, "the height of the block plus six millimetres", "boards", "block height + 6 millimeter", ["block height"]),
            (71, "the thickness of the book with both boards", "spine strip", "book thickness + boards",
             ["book thickness", "boards"]),
        ),
    )  # fmt: skip
    open_ = {q.name for s in worksheets(book) for q in s.quantities if q.origin == "asked"}
    assert open_ == {"spine", "block height", "book thickness", "boards"}


def test_an_amount_said_to_measure_something_else_is_not_the_input() -> None:
    book = log(
        (0, "I laid the boards down with a seven millimetre gap."),
        (10, "The corners are one and a half board thicknesses from the point."),
        said=[m(1, 4.5, "seven millimetre", 7, "millimeter", "gap")],
        derived=derived(
            (11, "one and a half board thicknesses", "corners", "1.5 x board thickness", ["board thickness"])
        ),
    )
    (made,) = worksheets(book)
    assert [q.name for q in made.quantities if q.origin == "asked"] == ["board thickness"]
