"""What does not add up is told by ``buildlog check``, with both moments, until the maker lets it be."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from cli_run import run

from buildlog.document import Check, Derived, Item, Line, Log, Measurement, Piece, Price, Step
from buildlog.publish import check
from buildlog.reckon import unsaid_checks

PILLOW = (
    "[0:00] Hello, today I sew a patchwork pillow from cotton, it's a small one.\n"
    "[0:20] I cut six pieces of ten inches out of a forty-five inch width of cotton.\n"
    "[0:40] Then I sewed the pieces together in two rows and pressed the seams open with an iron.\n"
    "[1:00] For the border I cut two inch wide strips and joined them.\n"
    "[1:30] I pinned the border all the way round and stitched it on, then I trimmed the corners.\n"
    "[2:00] Three inch wide strips make a fine border, and then I stuffed the pillow.\n"
)


def line(start_s: float, text: str) -> Line:
    return Line(start_s=start_s, end_s=start_s + 8, text=text)


def pillow() -> Log:
    return Log(
        transcript=[
            line(20, "I cut six pieces of ten inches out of a forty-five inch width of cotton."),
            line(60, "The strips are two inches wide, cut and joined."),
            line(3700, "The strips are three inches wide."),
        ],
        measurements=[
            Measurement(id="m1", start_s=21, text="six pieces", value=6, of="pieces"),
            Measurement(id="m2", start_s=22, text="ten inches", value=10, unit="inch"),
            Measurement(id="m3", start_s=24.5, text="forty-five inch", value=45, unit="inch", of="width"),
            Measurement(id="m4", start_s=62, text="two inches", value=2, unit="inch", of="strip width"),
            Measurement(id="m5", start_s=3702, text="three inches", value=3, unit="inch", of="strip width"),
        ],
    )


def test_what_does_not_add_up_stops_posting_and_names_both_moments() -> None:
    """6 x 10 = 60 > 45. Two inches at 1:02, three at 1:01:42."""
    found = [f for f in check(pillow()) if f.kind == "contradiction"]
    assert [f.blocks for f in found] == [True, True]
    out_of_width, strips = (f.text for f in found)
    assert "60 in" in out_of_width
    assert out_of_width.endswith("(0:21 and 0:24)")
    assert strips.endswith("(1:02 and 1:01:42)")


def test_all_that_adds_up_is_not_told() -> None:
    log = pillow()
    log.measurements[0].value, log.measurements[4].value = 4, 2
    assert not [f for f in check(log) if f.kind == "contradiction"]


def test_what_the_reading_told_already_is_told_once() -> None:
    log = pillow()
    log.checks.append(Check(kind="contradiction", start_s=3702, times=[62, 3702], text="strip width: two, then three"))
    assert sum("strip width" in f.text for f in check(log)) == 1


@pytest.mark.parametrize(
    ("log", "kind", "says"),
    [
        # 5 x 20 = 100 in of the 72 in of two yards
        (
            Log(
                transcript=[line(0, "I bought two yards of webbing."), line(8, "I cut five straps, twenty inches each.")],
                items=[Item(id="i1", kind="material", name="webbing", quantities=["m1"])],
                measurements=[
                    Measurement(id="m1", start_s=2, text="two yards", value=2, unit="yard", item="i1"),
                    Measurement(id="m2", start_s=10, text="five straps", value=5, of="straps", item="i1"),
                    Measurement(id="m3", start_s=13, text="twenty inches", value=20, unit="inch", of="straps"),
                ],
            ),
            "cut_list",
            "(0:02 and 0:10)",
        ),
        # 7 x 6 = 42 in side by side, forty said
        (
            Log(
                transcript=[line(0, "Seven slats, six inches each, side by side."), line(30, "It is forty inches overall.")],
                measurements=[
                    Measurement(id="m1", start_s=0, text="Seven slats", value=7, of="slats"),
                    Measurement(id="m2", start_s=2, text="six inches", value=6, unit="inch", of="slats"),
                    Measurement(id="m3", start_s=33, text="forty inches", value=40, unit="inch", of="overall"),
                ],
            ),
            "parts",
            "(0:00 and 0:33)",
        ),
        # 3 yd x 4 = 12, twenty said; at hand: no price is missing
        (
            Log(
                transcript=[line(0, "Three yards of linen at four dollars a yard.")],
                items=[
                    Item(id="i1", kind="material", name="linen", quantities=["m1"],
                         price=Price(amount=4, currency="USD", per="yard")),
                    Item(id="i2", kind="material", name="thread", source="stash"),
                ],
                measurements=[Measurement(id="m1", start_s=0, text="Three yards", value=3, unit="yard", item="i1")],
                total_said=Price(amount=20, currency="USD"),
            ),
            "total",
            "12.00 USD",
        ),
        (
            Log(
                transcript=[line(0, "I cut the pocket."), line(8, "I sewed the flap to the pocket.")],
                pieces=[Piece(id="p1", name="pocket"), Piece(id="p2", name="flap")],
                steps=[
                    Step(id="s1", start_s=0, end_s=4, text="Cut the pocket.", piece="p1"),
                    Step(id="s2", start_s=8, end_s=12, text="Sew the flap to the pocket.", piece="p2"),
                    Step(id="s3", start_s=12, end_s=15, text="Stitch the flap down.", piece="p2"),
                ],
            ),
            "gap",
            "flap",
        ),
        (
            Log(
                transcript=[line(0, "It's the hip plus six.")],
                derived=[Derived(id="d1", start_s=1, text="the hip plus six", result="skirt", formula="hip + 6", inputs=["hip"])],
            ),
            "unit",
            "taken as inch",
        ),
    ],
)  # fmt: skip
def test_every_sanity_check_reaches_the_maker_without_stopping_the_post(log: Log, kind: str, says: str) -> None:
    found = [f for f in check(log) if f.kind == kind]
    assert [f.blocks for f in found] == [False]
    assert says in found[0].text


def test_a_sum_is_not_held_against_a_total_that_had_more_in_it() -> None:
    """Twelve dollars of dye and a knife for eight are twenty: the knife had no price, so nothing is wrong."""
    log = Log(
        items=[
            Item(id="i1", kind="material", name="dye", price=Price(amount=12, currency="USD")),
            Item(id="i2", kind="material", name="leather"),
        ],
        total_said=Price(amount=20, currency="USD"),
    )
    assert not unsaid_checks(log)
    log.total_said = Price(amount=9, currency="USD")
    assert [c.kind for c in unsaid_checks(log)] == ["total"], "what was paid for the dye alone is more than all of it"


def test_things_counted_are_no_sizes_without_a_unit() -> None:
    log = Log(
        measurements=[
            Measurement(id="m1", start_s=0, text="2 long rails", value=2, of="long rails"),
            Measurement(id="m2", start_s=9, text="four", value=4, of="strap length"),
        ]
    )
    (found,) = unsaid_checks(log)
    assert "strap length" in found.text


@pytest.mark.parametrize("piece", ["ear", "assembly", "inside corner"])
def test_places_and_stages_are_no_pieces_to_cut(piece: str) -> None:
    log = Log(
        transcript=[line(0, "I cut the pocket.")],
        pieces=[Piece(id="p1", name="pocket"), Piece(id="p2", name=piece)],
        steps=[
            Step(id="s1", start_s=8, end_s=12, text="Glue it.", piece="p2"),
            Step(id="s2", start_s=12, end_s=15, text="Sew it.", piece="p2"),
        ],
    )
    assert not unsaid_checks(log)


def test_what_it_is_made_of_tells_that_it_was_made() -> None:
    log = Log(
        transcript=[line(0, "I cut the pocket."), line(8, "For the covers I used some grey board.")],
        pieces=[Piece(id="p1", name="pocket"), Piece(id="p2", name="cover")],
        steps=[
            Step(id="s1", start_s=8, end_s=12, text="Glue the cover.", piece="p2"),
            Step(id="s2", start_s=12, end_s=15, text="Pin the cover.", piece="p2"),
        ],
    )
    assert not unsaid_checks(log)


def test_from_words_to_the_check_and_let_be(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    words = tmp_path / "pillow.txt"
    words.write_text(PILLOW, "utf-8")
    assert run(capsys, "take", words, "--build", "pillow").code == 0

    def found() -> list[tuple[int, str]]:
        listed = json.loads(run(capsys, "check", "pillow", "--json").out)["findings"]
        return [(n, f["text"]) for n, f in enumerate(listed, 1) if f["kind"] == "contradiction"]

    (out_of,) = [(n, text) for n, text in found() if "come out of" in text]
    assert "60 in" in out_of[1]
    run(capsys, "check", "pillow", "--accept", str(out_of[0]))
    assert not [text for _, text in found() if "come out of" in text]
    assert [text for _, text in found() if "strip width" in text], "the other stays"
    assert "come out of" not in str(run(capsys, "reckon", "pillow", "--json").out)


def test_the_two_sides_of_one_size_do_not_contradict_one_another(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """ "Sixty by seventy-two" is one size; the quilt top said again with another width is told."""
    words = tmp_path / "quilt.txt"
    words.write_text(
        "[0:00] The quilt top came out at sixty inches by seventy-two inches, I did press it this time.\n"
        "[0:20] I cut the backing out of cotton and sewed the lengths together with half inch seams.\n"
        "[0:40] I pinned the batting to the backing and quilted it on the machine.\n",
        "utf-8",
    )
    assert run(capsys, "take", words, "--build", "quilt").code == 0
    listed = json.loads(run(capsys, "check", "quilt", "--json").out)["findings"]
    assert not [f["text"] for f in listed if f["kind"] == "contradiction"]
