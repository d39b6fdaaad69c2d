"""Worksheets: the graph, what is asked and assumed, sanity over a log, the block for the box, the pictures."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from fractions import Fraction

import pytest

from buildlog.document import (
    Check,
    Derived,
    Item,
    Line,
    Log,
    Measurement,
    Mention,
    Piece,
    Price,
    Quantity,
    Step,
    Worksheet,
)
from buildlog.errors import BadInput
from buildlog.reckon import block, check_log, fit, from_rule, size_table, worksheets
from buildlog.reckon.formula import names_in, read, work_out
from buildlog.reckon.layout import svg
from buildlog.reckon.result import Result
from buildlog.reckon.rules import rule, rules
from buildlog.reckon.units import Amount


def sheet(*quantities: Quantity) -> Worksheet:
    return Worksheet(id="w", title="Sheet", quantities=list(quantities), results=[q.name for q in quantities if q.rule])


def asked(name: str, unit: str | None = "inch") -> Quantity:
    return Quantity(name=name, unit=unit, origin="asked", text=f"the {name}, as it is", start_s=12.0)


def computed(name: str, rule_: str, **inputs: str) -> Quantity:
    return Quantity(name=name, rule=rule_, inputs=inputs, origin="computed")


def exact(result: Result, name: str) -> Fraction | None:
    return next((Fraction(f.exact) for f in result.figures if f.name == name and f.exact is not None), None)


# -- formulas ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "values", "inches"),
    [
        ("chest / 3 + 5 inch", {"chest": 30}, 15),
        ("(hip + ease) x 2", {"hip": 40, "ease": 2}, 84),
        ("3 x rim - 1/2 inch", {"rim": 10}, Fraction(59, 2)),
        ("1.5 * top", {"top": 46}, 69),
        ("box x width - x-height", {"box x width": 9, "x-height": 2}, 7),
        ("2 × strap + 1 1/2 in", {"strap": 20}, Fraction(83, 2)),
        ("6 yard - hem", {"hem": 16}, 200),
    ],
)
def test_formulas(text: str, values: dict[str, int], inches: Fraction | int) -> None:
    node = read(text, list(values))
    assert set(names_in(node)) == set(values)
    got = work_out(node, {k: Amount.of(v, "inch") for k, v in values.items()}, "inch", lambda _: None)
    assert got.value("inch") == inches


@pytest.mark.parametrize(
    "text",
    ["", "chest +", "(chest", "chest / / 2", "a ; b", "__import__('os')", "chest ** 2", "(" * 60, "a + " * 200 + "a"],
)
def test_a_formula_that_cannot_be_read_is_told_in_one_line(text: str) -> None:
    with pytest.raises(BadInput) as caught:
        read(text)
    assert "\n" not in str(caught.value)


def test_a_number_without_a_unit_takes_the_makers_and_says_so() -> None:
    told: list[str] = []
    got = work_out(read("hip + 6"), {"hip": Amount.of(100, "centimeter")}, "centimeter", told.append)
    assert got.value("centimeter") == 106
    assert told == ["6 was said without a unit and is taken as centimeter"]


# -- the graph --------------------------------------------------------------------------------------------------------


def test_worked_out_along_the_graph_whatever_the_order() -> None:
    made = sheet(
        computed("bottom", "= 2 x middle", middle="middle"),
        computed("middle", "= 3/2 x top", top="top"),
        computed("top", "= hip + 6 inch", hip="hip"),
        asked("hip"),
    )
    assert exact(fit(made, {"hip": "40"}), "bottom") == 138
    assert exact(fit(made, {"HIP": "101.6 cm"}), "bottom") == Fraction("350.52"), "the same, in the unit typed"
    assert exact(fit(made, {"middle": "50 in"}), "bottom") == 100, "a typed figure goes before the formula"


def test_a_viewer_in_centimetres_does_not_turn_the_makers_inches() -> None:
    """100 cm and 6 in are 115.24 cm; twice that and 3 in are 238.1 cm (an inch is 2.54 cm exactly)."""
    log_sheet = sheet(
        asked("hip"), computed("tier", "=hip + 6", hip="hip"), computed("skirt", "=2 x tier + 3", tier="tier")
    )
    result = fit(log_sheet, {"hip": "100 cm"}, unit="inch")
    assert exact(result, "tier") == Fraction("115.24")
    assert exact(result, "skirt") == Fraction("238.1")
    shown = {line.name: line.text for line in result.figures}
    assert shown["tier"].startswith("~115.2 cm")


def test_what_is_open_is_asked_with_its_sentence() -> None:
    result = fit(sheet(computed("strap", "= chest / 3", chest="chest"), asked("chest")))
    assert [(q.name, q.said, q.start_s) for q in result.asked] == [("chest", "the chest, as it is", 12.0)]
    assert exact(result, "strap") is None


def test_a_circle_is_one_line_and_typing_one_of_it_breaks_it() -> None:
    made = sheet(computed("a", "= b + 1 inch", b="b"), computed("b", "= a - 1 inch", a="a"))
    with pytest.raises(BadInput, match="a → b → a") as caught:
        fit(made)
    assert "\n" not in str(caught.value)
    assert exact(fit(made, {"b": "4 in"}), "a") == 5


@pytest.mark.parametrize(
    ("quantities", "says"),
    [
        ((computed("a", "= b", b="b"),), "not there"),
        ((asked("n"), asked("n")), "twice"),
        ((computed("a", "stripes", need="n"), asked("n")), "no rule"),
        ((computed("a", "gather.nothing", finished="n", fullness="f"), asked("n"), asked("f", None)), "no figure"),
        ((computed("a", "= n + f", n="n", f="f"), asked("n"), asked("f", None)), "cannot be added"),
    ],
)
def test_a_broken_sheet_is_told_in_one_line(quantities: tuple[Quantity, ...], says: str) -> None:
    names = {q.name for q in quantities}
    with pytest.raises(BadInput, match=says) as caught:
        fit(sheet(*quantities), {k: v for k, v in {"n": "3 in", "f": "2"}.items() if k in names})
    assert "\n" not in str(caught.value)


def test_a_deep_chain_is_told_and_does_not_overflow() -> None:
    chain = [asked("q0"), *(computed(f"q{k}", "= before + 1 inch", before=f"q{k - 1}") for k in range(1, 390))]
    with pytest.raises(BadInput, match="too deep"):
        fit(sheet(*reversed(chain)), {"q0": "1 in"})


@pytest.mark.parametrize(
    ("name", "given", "says"),
    [
        ("strips", {"need": "0", "strip_width": "2", "fabric_width": "42"}, "above zero"),
        ("strips", {"need": "-4", "strip_width": "2", "fabric_width": "42"}, "below zero"),
        ("strips", {"need": "90", "strip_width": "2", "fabric_width": "1/4 in"}, "narrower"),
        ("strips", {"need": "90", "strip_width": "2 kg", "fabric_width": "42"}, "does not fit"),
        ("strips", {"need": "90", "strip_width": "2", "fabric_width": "42", "selvage": "50"}, "selvages"),
        ("pieces", {"count": "10000", "piece_width": "2", "piece_length": "2", "fabric_width": "42"}, "more than"),
        ("pieces", {"count": "2.5", "piece_width": "2", "piece_length": "2", "fabric_width": "42"}, "whole"),
        ("pieces", {"count": "2", "piece_width": "50", "piece_length": "2", "fabric_width": "42"}, "narrower"),
        ("sheets", {"parts": "10000 @ 2 x 2"}, "more than"),
        ("sheets", {"parts": "1 @ 100 x 60"}, "larger than a sheet"),
        ("boards", {"parts": "1 @ 100", "board": "96"}, "longer than a board"),
        ("gather", {"finished": "10", "fullness": "0.5"}, "below 1"),
        ("circle_skirt", {"waist": "26", "length": "40", "fabric_width": "30"}, "wider than the cloth"),
        ("bias_square", {"need": "9000", "strip_width": "9"}, "240 in"),
        ("strips", {"need": "9" * 11, "strip_width": "2", "fabric_width": "42"}, "more than this can"),
        ("backing", {"width": "60", "length": "60", "fabric_width": "1"}, "narrower"),
    ],
)
def test_bad_input_is_one_clear_line(name: str, given: dict[str, str], says: str) -> None:
    with pytest.raises(BadInput, match=says) as caught:
        fit(from_rule(name, given))
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("name", rules())
def test_every_rule_makes_a_sheet_that_asks_for_what_it_needs(name: str) -> None:
    result = fit(from_rule(name, {}))
    assert {q.name for q in result.asked} == {a.name for a in rule(name).asks if a.default is None}
    assert "does not replace" in result.cautions[-1]


def test_cautions_come_with_the_cutting() -> None:
    made = fit(from_rule("sheets", {"parts": "2 @ 20 x 10"}))
    assert any("ear protection" in c.lower() for c in made.cautions)
    assert any("rotary" in c for c in fit(from_rule("strips", {})).cautions)


# -- from a log -------------------------------------------------------------------------------------------------------


def lines_of(*sentences: str) -> list[Line]:
    return [Line(start_s=8.0 * k, end_s=8.0 * k + 7.5, text=s) for k, s in enumerate(sentences)]


def kinds(checks: list[Check]) -> set[str]:
    return {c.kind for c in checks}


def test_six_pieces_of_ten_inches_do_not_come_out_of_forty_five() -> None:
    text = "I cut six pieces of ten inch out of a forty-five inch width of cotton."
    log = Log(
        transcript=lines_of(text),
        measurements=[
            Measurement(id="m1", start_s=1.0, text="six pieces", value=6, exact="6", of="pieces"),
            Measurement(id="m2", start_s=2.0, text="ten inch", value=10, exact="10", unit="inch"),
            Measurement(id="m3", start_s=4.5, text="forty-five inch", value=45, exact="45", unit="inch", of="width"),
        ],
    )
    found = [c for c in check_log(log) if c.kind == "contradiction"]
    assert [(c.times, "60 in" in c.text) for c in found] == [([1.0, 4.5], True)]
    log.measurements[0].value, log.measurements[0].exact, log.measurements[0].text = 4, "4", "six pieces"
    assert not [c for c in check_log(log) if c.kind == "contradiction"], "four of them do"


def test_a_figure_that_is_not_what_the_formula_gives() -> None:
    def log(said: int) -> Log:
        return Log(
            transcript=lines_of(
                "The body is sixteen inches wide.", f"Each strap is three times the body width so that's {said} inches."
            ),
            measurements=[
                Measurement(
                    id="m1", start_s=3.0, text="sixteen inches", value=16, exact="16", unit="inch", of="body width"
                ),
                Measurement(id="m2", start_s=14.5, text=f"{said} inches", value=said, exact=str(said), unit="inch"),
            ],
            derived=[
                Derived(
                    id="d1",
                    start_s=10.0,
                    text="three times the body width",
                    result="strap",
                    formula="3 x body width",
                    inputs=["body width"],
                )
            ],
        )

    assert not check_log(log(48))
    (wrong,) = check_log(log(46))
    assert (wrong.kind, wrong.times) == ("contradiction", [10.0, 14.5])
    assert "48 in" in wrong.text
    assert "46 inches" in wrong.text


def test_strip_width_said_twice_and_differently() -> None:
    log = Log(
        measurements=[
            Measurement(id="m1", start_s=5, text="five inch", value=5, exact="5", unit="inch", of="strip width"),
            Measurement(id="m2", start_s=50, text="six inch", value=6, exact="6", unit="inch", of="strip width"),
        ]
    )
    (found,) = check_log(log)
    assert (found.kind, found.times) == ("contradiction", [5, 50])
    log.measurements[1].value, log.measurements[1].exact, log.measurements[1].unit = 12.7, "127/10", "centimeter"
    assert not check_log(log), "five inches are 12.7 cm exactly"


def bought(amount: str, item_price: Price | None = None, total: Price | None = None) -> Log:
    return Log(
        transcript=lines_of("I bought two yards of webbing.", "I cut five straps, twenty inches each."),
        items=[
            Item(
                id="i1",
                kind="material",
                name="webbing",
                quantities=["m1"],
                price=item_price,
                mentions=[Mention(start_s=4, end_s=5, text="webbing")],
            )
        ],
        measurements=[
            Measurement(
                id="m1", start_s=2, text="two yards", value=float(amount), exact=amount, unit="yard", item="i1"
            ),
            Measurement(id="m2", start_s=10, text="five straps", value=5, exact="5", of="straps", item="i1"),
            Measurement(id="m3", start_s=13, text="twenty inches", value=20, exact="20", unit="inch", of="straps"),
        ],
        total_said=total,
    )


def test_more_cut_than_bought() -> None:
    """Five times twenty inches are a hundred, more than the 72 of two yards; three yards hold them."""
    assert "cut_list" in kinds(check_log(bought("2")))
    assert not check_log(bought("3"))


def test_sum_of_prices_beside_the_total_said() -> None:
    """Three yards at four dollars are twelve."""
    price = Price(amount=4, currency="USD", per="yard")
    assert not check_log(bought("3", price, Price(amount=12, currency="USD")))
    (found,) = check_log(bought("3", price, Price(amount=20, currency="USD")))
    assert found.kind == "total"
    assert "12.00 USD" in found.text
    assert "20.00 USD" in found.text
    assert not check_log(bought("3", price, Price(amount=13, currency="USD", approximate=True))), "about is about"
    assert not check_log(bought("3", price, Price(amount=20, currency="GBP"))), "other money is not compared"


def test_a_piece_that_is_used_and_never_cut() -> None:
    def log(*extra: str) -> Log:
        return Log(
            transcript=lines_of("I cut the pocket.", "I sewed the flap to the pocket and sewed the flap down.", *extra),
            pieces=[Piece(id="p1", name="pocket"), Piece(id="p2", name="flap")],
            steps=[
                Step(id="s1", start_s=0, end_s=4, text="Cut the pocket.", piece="p1"),
                Step(id="s2", start_s=8, end_s=12, text="Sew the flap to the pocket.", piece="p2"),
                Step(id="s3", start_s=12, end_s=15, text="Stitch the flap down.", piece="p2"),
            ],
        )

    assert [(c.kind, c.times) for c in check_log(log())] == [("gap", [8])]
    assert not check_log(log("The flap was cut last week."))


def test_a_unit_assumed_is_told() -> None:
    log = Log(
        transcript=lines_of("It's the hip measurement plus six."),
        derived=[
            Derived(
                id="d1",
                start_s=1,
                text="the hip measurement plus six",
                result="skirt",
                formula="hip + 6",
                inputs=["hip"],
            )
        ],
        measurements=[Measurement(id="m1", start_s=60, text="two cm", value=2, exact="2", unit="centimeter", of="hem")],
    )
    (found,) = check_log(log)
    assert found.kind == "unit"
    assert "6 was said without a unit and is taken as centimeter" in found.text
    (made,) = worksheets(log)
    result = fit(made, {"hip": "100 cm"})
    assert exact(result, "skirt") == 106
    assert any("6 was said without a unit" in a for a in result.assumptions)


def test_a_size_said_to_lack_its_allowances_gets_them_once() -> None:
    """Two of 22 in with half inch seams at both ends: 2 x 23 = 46; without the words the size is as cut, 44."""

    def log(words: str) -> Log:
        return Log(
            transcript=lines_of(f"I cut two straps at twenty-two inches {words}.", "Half inch seam allowance, always."),
            measurements=[
                Measurement(id="m1", start_s=1.5, text="two straps", value=2, of="straps"),
                Measurement(id="m2", start_s=3.5, text="twenty-two inches", value=22, unit="inch", of="straps"),
                Measurement(id="m3", start_s=8, text="Half inch", value=0.5, unit="inch", of="seam allowance"),
            ],
        )

    (plus,) = worksheets(log("plus the seam allowances"))
    (as_cut,) = worksheets(log("of webbing"))
    assert exact(fit(plus), "straps in all") == 46
    assert exact(fit(as_cut), "straps in all") == 44


def test_a_finished_size_is_no_cut_size() -> None:
    """Cut at 5 1/2 so that they finish at 5, thirty-six of those: 36 pieces of 5 1/2 in."""
    log = Log(
        transcript=lines_of("The squares are five and a half so they finish at five inches, thirty-six of those."),
        measurements=[
            Measurement(id="m1", start_s=1.5, text="five and a half", value=5.5, exact="11/2", unit="inch"),
            Measurement(id="m2", start_s=4.6, text="five inches", value=5, unit="inch"),
            Measurement(id="m3", start_s=5.6, text="thirty-six of those", value=36, of="pieces"),
        ],
    )
    (made,) = worksheets(log)
    assert [q.value for q in made.quantities if q.unit == "inch"] == ["11/2"]


def test_strips_for_a_loop_are_a_ring() -> None:
    """Need 83 1/4 in, 42 in cloth, 1/4 in seams: three strips closed, two open."""

    def strips(end: str) -> Fraction | None:
        log = Log(
            transcript=lines_of(
                f"I cut strips three inches wide and sewed them {end}.", "The strip is the rim plus 1 inch."
            ),
            measurements=[Measurement(id="m1", start_s=3, text="three inches", value=3, unit="inch", of="strip width")],
            derived=[
                Derived(
                    id="d1",
                    start_s=10,
                    text="the rim plus 1 inch",
                    result="strip",
                    formula="rim + 1 inch",
                    inputs=["rim"],
                )
            ],
        )
        (made,) = worksheets(log)
        return exact(fit(made, {"rim": "82 1/4 in", "fabric width": "42 in"}), "cut strips")

    assert strips("into a loop") == 3
    assert strips("end to end") == 2


def test_a_constant_is_never_taken_for_its_own_input() -> None:
    """ "The round plus an inch" has an inch in it that is not the round."""
    log = Log(
        transcript=lines_of("The band is the circumference plus an inch.", "It is twenty-four inches round."),
        measurements=[
            Measurement(id="m1", start_s=6, text="an inch", value=1, unit="inch"),
            Measurement(id="m2", start_s=10, text="twenty-four inches", value=24, unit="inch", of="round"),
        ],
        derived=[
            Derived(
                id="d1",
                start_s=2.8,
                text="the circumference plus an inch",
                result="band",
                formula="circumference + 1 inch",
                inputs=["circumference"],
            )
        ],
    )
    (made,) = worksheets(log)
    assert exact(fit(made), "band") == 25


def test_each_side_counts_twice_and_says_so() -> None:
    log = Log(
        transcript=lines_of("The panel is the screen plus half an inch on each side of it."),
        derived=[
            Derived(
                id="d1",
                start_s=2,
                text="the screen plus half an inch",
                result="panel",
                formula="screen + 0.5 inch",
                inputs=["screen"],
            )
        ],
    )
    log.transcript[0].text = "The panel is the screen plus half an inch each side."
    (made,) = worksheets(log)
    result = fit(made, {"screen": "20 in"})
    assert exact(result, "panel") == 21
    assert any("read as two sides" in a for a in result.assumptions)


def test_things_at_a_distance() -> None:
    """Four feet less two inches at each end is 44; at most six apart: eight gaps, nine holes."""
    log = Log(
        transcript=lines_of("Drill a hole every six inches, two inches from the end.", "The batten is four feet long."),
        measurements=[
            Measurement(id="m1", start_s=2, text="six inches", value=6, unit="inch", of="hole spacing"),
            Measurement(id="m2", start_s=5, text="two inches", value=2, unit="inch", of="distance from end"),
            Measurement(id="m3", start_s=11, text="four feet", value=4, unit="foot", of="batten length"),
        ],
    )
    (made,) = worksheets(log)
    assert exact(fit(made), "holes") == 9


def test_ranges_and_settings_are_no_inputs() -> None:
    log = Log(
        transcript=lines_of("The rim is ten to twelve inches.", "The strip is three times the rim."),
        measurements=[
            Measurement(id="m1", start_s=2, text="ten to twelve inches", value=10, value_max=12, unit="inch", of="rim")
        ],
        derived=[
            Derived(id="d1", start_s=10, text="three times the rim", result="strip", formula="3 x rim", inputs=["rim"])
        ],
    )
    (made,) = worksheets(log)
    assert [q.name for q in fit(made).asked] == ["rim"]


def test_an_empty_log_has_no_sheets_and_nothing_to_say() -> None:
    assert worksheets(Log()) == []
    assert check_log(Log()) == []


def test_the_document_keeps_a_worksheet() -> None:
    from buildlog.document import from_json, to_json

    log = bought("3", Price(amount=4, currency="USD", per="yard"))
    log.worksheet = worksheets(log)
    assert log.worksheet
    assert from_json(to_json(log)).worksheet == log.worksheet


# -- block and picture ------------------------------------------------------------------------------------------------


def strap_sheet() -> Worksheet:
    return sheet(asked("chest"), computed("belly strap", "= chest / 3 + 5 inch", chest="chest"))


def test_block_for_the_box_says_the_formula_in_words_and_a_table_of_sizes() -> None:
    text = size_table(strap_sheet(), "chest", ["24", "30 in", "90 cm"], {})
    assert text.splitlines() == [
        "Sheet",
        "Belly strap: chest divided by 3 plus 5 inches",
        "chest 24 in (61 cm): belly strap 13 in (33 cm)",
        "chest 30 in (76.2 cm): belly strap 15 in (38.1 cm)",
        "chest 90 cm (35 7/16 in): belly strap 42.7 cm (16 13/16 in)",
    ]
    assert "cannot be worked out: wide" in size_table(strap_sheet(), "chest", ["24", "wide"], {})


def test_block_is_safe_for_a_description() -> None:
    made = sheet(asked("chest"), computed("<b>strap\x07</b>", "= chest / 3", chest="chest"))
    text = block(made, fit(made, {"chest": "30"}))
    assert not set("<>\x07") & set(text)


def test_picture_is_to_scale_labelled_and_escaped() -> None:
    result = fit(from_rule("sheets", {"parts": "1 <script>alert(1)</script> @ 48 x 24; 1 door & back @ 24 x 12"}))
    (picture,) = result.pictures
    root = ElementTree.fromstring(picture.svg)
    names = {e.tag.split("}")[1] for e in root.iter()}
    assert "script" not in names
    polygons = [e.attrib["points"] for e in root.iter() if e.tag.endswith("polygon")]
    sizes = []
    for points in polygons:
        xy = [tuple(map(float, p.split(","))) for p in points.split()]
        sizes.append((max(x for x, _ in xy) - min(x for x, _ in xy), max(y for _, y in xy) - min(y for _, y in xy)))
    (w1, h1), (w2, h2) = sorted(sizes, reverse=True)
    assert w1 / w2 == pytest.approx(24 / 12, rel=0.01)
    assert h1 / h2 == pytest.approx(48 / 24, rel=0.01)
    assert w1 / h1 == pytest.approx(24 / 48, rel=0.01)
    labels = [e.text or "" for e in root.iter() if e.tag.endswith("text")]
    assert any("door" in t for t in labels)
    assert any("10 in" in t for t in labels)


def test_bias_picture_stays_on_the_cloth() -> None:
    (picture,) = fit(from_rule("bias_yield", {"width": "45", "height": "18", "strip_width": "2"})).pictures
    root = ElementTree.fromstring(picture.svg)
    frame = next(e for e in root.iter() if e.tag.endswith("rect") and e.attrib.get("stroke"))
    x, y, w, h = (float(frame.attrib[k]) for k in ("x", "y", "width", "height"))
    for e in root.iter():
        if e.tag.endswith("polygon"):
            for px, py in (map(float, p.split(",")) for p in e.attrib["points"].split()):
                assert x - 0.02 <= px <= x + w + 0.02
                assert y - 0.02 <= py <= y + h + 0.02


GORES = {
    "waist": "32",
    "hip": "42",
    "hem_round": "90",
    "length": "24",
    "gores": "8",
    "fabric_width": "45",
    "nap": "either_way",
}


@pytest.mark.parametrize(
    ("name", "given"),
    [
        ("strips", {"need": "250", "strip_width": "2.5", "fabric_width": "42", "selvage": "1"}),
        ("circle_skirt", {"waist": "28", "length": "22", "fabric_width": "60"}),
        ("backing", {"width": "72", "length": "90", "fabric_width": "42"}),
        (
            "gored_skirt",
            {
                "waist": "32",
                "hip": "42",
                "hem_round": "90",
                "length": "24",
                "gores": "8",
                "fabric_width": "45",
                "nap": "either_way",
            },
        ),
        ("half_square_triangles", {"count": "72", "finished": "5", "fabric_width": "42"}),
        ("boards", {"parts": "4 @ 33; 2 @ 48", "board": "96"}),
        ("yardage", {"parts": "4 @ 20 x 15; 2 @ 30 x 10", "fabric_width": "44", "nap": "either_way"}),
    ],
)
def test_nothing_drawn_leaves_its_cloth(name: str, given: dict[str, str]) -> None:
    from buildlog.reckon.book import apply

    layout = apply(rule(name), given)[0].layout
    assert layout is not None
    for shape in layout.shapes:
        assert all(0 <= x <= layout.width and 0 <= y <= layout.height for x, y in shape.points), shape.label
    ElementTree.fromstring(svg(layout))
