"""Each edit does what its name says, and an edit finds its place again after another reading."""

from __future__ import annotations

import msgspec
import pytest
from bench_log import line, said, tool_roll

from buildlog import edits as e
from buildlog.document import Item, Log, Price, to_json
from buildlog.errors import BadInput


@pytest.fixture
def log() -> Log:
    return tool_roll()


def item(log: Log, name: str) -> Item:
    return next(i for i in log.items if i.name == name)


def make(log: Log, *edits: e.AnyEdit) -> Log:
    """The log with the edits made; none may miss its place, the result must be sound, the given log unchanged."""
    before = to_json(log)
    new, unplaced = e.apply(log, edits)
    assert unplaced == []
    assert e.problems(new) == []
    assert to_json(log) == before
    return new


def test_the_sample_is_sound(log: Log) -> None:
    assert e.problems(log) == []


def test_rename_keeps_the_old_name_findable(log: Log) -> None:
    new = make(log, e.Rename(at=e.anchor(log.items[1]), name="bias tape"))
    assert item(new, "bias tape").aliases == ["bias cape"]
    again = make(new, e.SetStatus(at=e.anchor(log.items[1]), status="considered"))
    assert item(again, "bias tape").status == "considered"


def test_renaming_to_another_items_name_merges_them(log: Log) -> None:
    new = make(log, e.Rename(at=e.anchor(log.items[1]), name="Canvas"))
    assert [i.name for i in new.items] == ["canvas", "awl"]
    assert len(new.items[0].mentions) == 5
    assert new.steps[1].items == ["i1"]


def test_an_item_in_place_of_another_follows_its_new_name(log: Log) -> None:
    new = make(log, e.SetStatus(at=e.anchor(log.items[1]), status="used", instead_of="Canvas"))
    assert item(new, "bias cape").instead_of == "i1"
    gone = make(new, e.NotAThing(at=e.anchor(log.items[0])))
    assert item(gone, "bias cape").instead_of is None
    words = make(log, e.SetStatus(at=e.anchor(log.items[1]), status="substitute", instead_of="ribbon"))
    assert item(words, "bias cape").instead_of == "ribbon"


def test_merge_carries_amounts_links_and_steps(log: Log) -> None:
    new = make(log, e.Merge(at=e.anchor(log.items[0]), into=e.anchor(log.items[1])))
    cape = item(new, "bias cape")
    assert cape.quantities == ["m1"]
    assert cape.aliases == ["canvas"]
    assert cape.first_s == 11.0
    assert new.measurements[0].item == "i2"
    assert new.links_owed[0].item == "i2"
    assert new.steps[2].items == ["i3", "i2"]


def test_split_moves_mentions_steps_and_what_is_near(log: Log) -> None:
    new = make(
        log, e.Split(at=e.anchor(log.items[0]), mentions=(e.Span(start_s=53.0, end_s=53.8),), name="strap canvas")
    )
    strap, rest = item(new, "strap canvas"), item(new, "canvas")
    assert [m.start_s for m in strap.mentions] == [53.0]
    assert [m.start_s for m in rest.mentions] == [11.0, 74.0]
    assert new.steps[2].items == ["i3", strap.id]
    assert new.steps[0].items == ["i1"]
    assert rest.quantities == ["m1"]
    assert new.links_owed[0].item == "i1"


def test_split_must_leave_a_mention(log: Log) -> None:
    everything = (e.Span(start_s=0, end_s=200),)
    _, unplaced = e.apply(log, [e.Split(at=e.anchor(log.items[0]), mentions=everything, name="x")])
    assert "must stay" in unplaced[0].why


def test_an_item_becomes_a_technique_and_back(log: Log) -> None:
    new = make(log, e.SetKind(at=e.anchor(log.items[1]), kind="technique"))
    assert [i.name for i in new.items] == ["canvas", "awl"]
    made = new.techniques[-1]
    assert (made.name, made.first_shown_s) == ("bias cape", 30.5)
    assert new.steps[1].techniques == [made.id]
    assert new.steps[1].items == []
    back = make(new, e.SetKind(at=e.anchor(made), kind="material"))
    assert item(back, "bias cape").mentions == log.items[1].mentions
    assert back.steps[1].items == [item(back, "bias cape").id]


def test_not_a_thing_takes_every_reference_along(log: Log) -> None:
    new = make(log, e.NotAThing(at=e.anchor(log.items[0])), e.NotAThing(at=e.anchor(log.steps[0])))
    assert new.measurements[0].item is None
    assert new.links_owed[0].item is None
    assert [s.id for s in new.steps] == ["s2", "s3"]
    assert new.steps[1].same_as == []


def test_added_item_joins_the_step_it_is_said_in(log: Log) -> None:
    new = make(log, e.AddItem(start_s=51.0, end_s=51.4, text="strap", name="leather strap", kind="material"))
    assert new.steps[2].items[-1] == item(new, "leather strap").id
    assert item(new, "leather strap").confidence == 1.0
    twice = make(new, e.AddItem(start_s=12.0, end_s=12.4, text="canvas", name="canvas"))
    assert len(item(twice, "canvas").mentions) == 4


def test_amounts(log: Log) -> None:
    amount = e.Amount(value=0.75, unit="yard", exact="3/4")
    new = make(log, e.SetAmount(at=e.anchor(log.measurements[0]), amount=amount))
    m = new.measurements[0]
    assert (m.value, m.exact, m.text, m.of, m.item) == (0.75, "3/4", "half a yard", "length", "i1")
    new = make(
        new,
        e.AddMeasurement(
            start_s=52.6,
            text="two inches",
            amount=e.Amount(value=2, unit="inch"),
            item=e.anchor(log.items[2]),
            piece="strap",
        ),
    )
    added = new.measurements[1]
    assert (added.item, added.piece, item(new, "awl").quantities) == ("i3", "p2", [added.id])
    moved = make(new, e.SetOwner(at=e.anchor(added), item=e.anchor(log.items[0])))
    assert item(moved, "awl").quantities == []
    assert item(moved, "canvas").quantities == ["m1", added.id]


def test_price_source_size_alias(log: Log) -> None:
    at = e.anchor(log.items[0])
    new = make(
        log,
        e.SetPrice(at=at, price=Price(amount=4.5, currency="EUR")),
        e.SetSource(at=at, source="stash"),
        e.SetSize(at=at, size="10 ounce"),
        e.AddAlias(at=at, name="duck"),
    )
    canvas = item(new, "canvas")
    assert canvas.price is not None
    assert (canvas.price.amount, canvas.source, canvas.size, canvas.aliases) == (4.5, "stash", "10 ounce", ["duck"])


def test_links(log: Log) -> None:
    url = "https://cloth.example/canvas"
    by_link = make(log, e.AttachUrl(at=e.anchor(log.links_owed[0]), url=url))
    by_item = make(log, e.AttachUrl(at=e.anchor(log.items[0]), url=url))
    for new in (by_link, by_item):
        assert (new.links_owed[0].url, new.items[0].link) == (url, url)
    assert make(log, e.WaiveLink(at=e.anchor(log.links_owed[0]))).links_owed[0].waived
    added = make(log, e.AddLink(start_s=5, text="link to the chisels", what="chisels"))
    assert [x.what for x in added.links_owed] == ["chisels", "canvas"]


def test_steps(log: Log) -> None:
    one, two, three = (e.anchor(s) for s in log.steps)
    assert make(log, e.RewordStep(at=two, text="Bind it.")).steps[1].text == "Bind it."
    assert [s.id for s in make(log, e.MoveStep(at=three, before=one)).steps] == ["s3", "s1", "s2"]
    assert [s.id for s in make(log, e.MoveStep(at=one)).steps] == ["s2", "s3", "s1"]
    assert [s.id for s in make(log, e.MoveStep(at=one, before=three)).steps] == ["s2", "s1", "s3"]
    assert make(log, e.MarkOnCamera(at=two, on_camera=False)).steps[1].on_camera is False
    assert make(log, e.RetimeStep(at=two, start_s=31, end_s=40)).steps[1].end_s == 40
    new = make(log, e.SetPiece(at=two, piece="edge"))
    assert next(p.name for p in new.pieces if p.id == new.steps[1].piece) == "edge"
    assert make(log, e.SetPiece(at=two, piece=None)).steps[1].piece is None
    things = make(
        log, e.SetStepThings(at=two, items=(e.anchor(log.items[2]),), techniques=(e.anchor(log.techniques[0]),))
    )
    assert (things.steps[1].items, things.steps[1].techniques) == (["i3"], ["t1"])


def test_added_step_is_put_where_its_time_is_with_what_is_said_in_it(log: Log) -> None:
    new = make(log, e.AddStep(start_s=70, end_s=80, text="Add more tape.", piece="strap"))
    assert new.steps[-1].items == ["i1", "i2"]
    assert new.steps[-1].piece == "p2"
    first = make(log, e.AddStep(start_s=70, end_s=80, text="Add more tape.", after=e.anchor(log.steps[0])))
    assert [s.text for s in first.steps][1] == "Add more tape."


def test_merging_and_splitting_steps(log: Log) -> None:
    new = make(log, e.MergeSteps(at=e.anchor(log.steps[2]), other=e.anchor(log.steps[0])))
    joined = new.steps[0]
    assert joined.text == "Cut the canvas; punch the strap."
    assert (joined.start_s, joined.end_s, joined.items, joined.same_as) == (10, 65, ["i1", "i3"], [])
    assert new.notes[0].refers_to == "s1"
    new = make(log, e.SplitStep(at=e.anchor(log.steps[2]), start_s=52.8, first="Take the awl.", second="Punch."))
    assert [(s.start_s, s.end_s, s.items) for s in new.steps[2:]] == [(50, 52.8, ["i3"]), (52.8, 65, ["i1"])]
    _, unplaced = e.apply(log, [e.SplitStep(at=e.anchor(log.steps[2]), start_s=65, first="a", second="b")])
    assert "not inside" in unplaced[0].why


def test_chapters_stay_in_order(log: Log) -> None:
    new = make(log, e.MoveChapter(at=e.anchor(log.chapters[1]), start_s=55.0))
    assert [c.title for c in new.chapters] == ["What we make", "The strap", "The edge"]
    assert make(log, e.Retitle(at=e.anchor(log.chapters[0]), title="Hello")).chapters[0].title == "Hello"
    assert [c.start_s for c in make(log, e.AddChapter(start_s=9, title="x")).chapters] == [0, 9, 28, 48]
    assert len(make(log, e.RemoveChapter(at=e.anchor(log.chapters[1]))).chapters) == 2
    _, unplaced = e.apply(log, [e.AddChapter(start_s=28.0, title="again")])
    assert "already" in unplaced[0].why


def test_notes_and_checks(log: Log) -> None:
    new = make(log, e.AddNote(kind="caution", start_s=51, text="Mind your hand.", about=e.anchor(log.steps[2])))
    assert (new.notes[0].refers_to, new.notes[0].kind) == ("s3", "caution")
    assert make(log, e.RewordNote(at=e.anchor(log.notes[0]), text="Side up.")).notes[0].text == "Side up."
    assert len(make(log, e.RemoveNote(at=e.anchor(log.notes[0]))).notes) == 1
    check = log.checks[0]
    assert make(log, e.AcceptCheck(kind=check.kind, start_s=check.start_s, text=check.text)).checks == []
    assert make(log, e.AcceptCheck(kind="total", start_s=66.0, text=check.text)).checks == log.checks


def test_accept(log: Log) -> None:
    assert item(make(log, e.Accept(at=e.anchor(log.items[1]))), "bias cape").confidence == 1.0
    above = make(log, e.AcceptAbove(confidence=0.8))
    assert [i.confidence for i in above.items] == [1.0, 0.4, 1.0]


def test_repairing_a_word_reaches_what_was_made_from_it(log: Log) -> None:
    repair = e.RepairWord(start_s=31.0, end_s=31.4, heard="cape", text="tape")
    new = make(log, repair)
    words = [w for w in new.transcript[2].words if w.heard]
    assert [(w.text, w.heard) for w in words] == [("tape", "cape")]
    assert new.transcript[2].text == "Then bias tape goes round the edge."
    assert new.transcript[4].text == log.transcript[4].text
    assert item(new, "bias tape").mentions[1].text == "bias cape"
    assert new.steps[1].text == "Bind the edge with bias tape."
    assert [(r.start_s, r.heard, r.text) for r in new.repairs] == [(words[0].start_s, "cape", "tape")]
    everywhere = make(log, msgspec.structs.replace(repair, everywhere=True))
    assert [m.text for m in item(everywhere, "bias tape").mentions] == ["bias tape", "bias tape"]
    assert len(everywhere.repairs) == 2


def test_undoing_a_repair_puts_the_words_back(log: Log) -> None:
    new = make(log, e.RepairWord(start_s=30.5, end_s=31.4, heard="bias cape", text="bias binding tape"))
    assert [w.text for w in new.transcript[2].words][1:4] == ["bias", "binding", "tape"]
    back = make(new, e.UndoRepair(at=e.anchor(new.repairs[0])))
    assert back.transcript[2].text == log.transcript[2].text
    assert back.repairs == []
    assert back.steps[1].text == log.steps[1].text


def test_a_repair_keeps_the_comma_of_the_word() -> None:
    log = Log(transcript=[line(0, "Take the all, and the all again")])
    new, _ = e.apply(log, [e.RepairWord(start_s=1.0, end_s=1.4, heard="all", text="awl")])
    assert new.transcript[0].text == "Take the awl, and the all again"


def test_everywhere_reaches_all_of_that_name(log: Log) -> None:
    twin = msgspec.structs.replace(log.steps[0], id="s9", start_s=90, end_s=95)
    log.steps.append(twin)
    one = make(log, e.RewordStep(at=e.anchor(twin), text="Cut it."))
    assert [s.text for s in one.steps].count("Cut it.") == 1
    both = make(log, e.RewordStep(at=e.anchor(twin), text="Cut it.", everywhere=True))
    assert [s.text for s in both.steps].count("Cut it.") == 2


def test_an_anchor_holds_when_another_reading_moves_and_rewords_things(log: Log) -> None:
    kept = [
        e.SetStatus(at=e.anchor(log.items[2]), status="considered"),
        e.RewordStep(at=e.anchor(log.steps[1]), text="Bind it."),
        e.Retitle(at=e.anchor(log.chapters[2]), title="Strap"),
        e.WaiveLink(at=e.anchor(log.links_owed[0])),
    ]
    other = tool_roll()
    other.items = [
        msgspec.structs.replace(other.items[2], id="i1", name="awls", mentions=[said(53.4, "awls")]),
        msgspec.structs.replace(other.items[0], id="i7"),
    ]
    other.steps = [
        msgspec.structs.replace(other.steps[1], id="s1", start_s=31.2, text="Bind edges with bias tape.", items=[])
    ]
    other.links_owed[0] = msgspec.structs.replace(other.links_owed[0], item="i7", start_s=73.5)
    other.measurements[0] = msgspec.structs.replace(other.measurements[0], item="i7")
    other.notes[0].refers_to = None
    other.checks = []
    other.chapters[2] = msgspec.structs.replace(other.chapters[2], start_s=50.0, title="Making the strap")
    new = make(other, *kept)
    assert new.items[0].status == "considered"
    assert new.items[1].status == "used"
    assert new.steps[0].text == "Bind it."
    assert new.chapters[2].title == "Strap"
    assert new.links_owed[0].waived


def test_an_edit_whose_thing_is_gone_needs_a_look(log: Log) -> None:
    edit = e.SetSource(at=e.anchor(log.items[2]), source="stash")
    log.items = log.items[:2]
    log.steps[2].items = ["i1"]
    new, unplaced = e.apply(log, [edit, e.WaiveLink(at=e.anchor(log.links_owed[0]))])
    assert [(u.index, u.edit) for u in unplaced] == [(0, edit)]
    assert "awl" in unplaced[0].why
    assert new.links_owed[0].waived


def test_a_different_thing_at_the_same_time_is_not_taken_for_it(log: Log) -> None:
    edit = e.NotAThing(at=e.Anchor(of="item", name="awl", start_s=11.0, kind="tool"))
    log.items = [i for i in log.items if i.name != "awl"]
    log.steps[2].items = ["i1"]
    new, unplaced = e.apply(log, [edit])
    assert len(unplaced) == 1
    assert len(new.items) == 2


def test_remembered_corrections_pass_over_what_is_not_there(log: Log) -> None:
    remembered = [
        e.NotAThing(at=e.Anchor(of="item", name="AWL", start_s=9999.0)),
        e.NotAThing(at=e.Anchor(of="item", name="hammer", start_s=52.0)),
        e.RepairWord(start_s=900.0, end_s=901.0, heard="bias cape", text="bias tape"),
    ]
    new = e.apply_remembered(log, remembered)
    assert [i.name for i in new.items] == ["canvas", "bias tape"]
    assert len(new.repairs) == 2


def test_edits_read_back_as_what_they_were(log: Log) -> None:
    edits: list[e.AnyEdit] = [
        e.Rename(at=e.anchor(log.items[0]), name="x", everywhere=True),
        e.SetPrice(at=e.anchor(log.items[0]), price=Price(amount=1)),
        e.Split(at=e.anchor(log.items[0]), mentions=(e.Span(start_s=1, end_s=2),), name="y"),
    ]
    assert msgspec.json.decode(msgspec.json.encode(edits), type=list[e.AnyEdit]) == edits


@pytest.mark.parametrize(
    "edit",
    [
        e.AddChapter(start_s=float("nan"), title="x"),
        e.AddChapter(start_s=-1.0, title="x"),
        e.AddChapter(start_s=1.0, title=" \n\x07 "),
        e.AddStep(start_s=5.0, end_s=4.0, text="x"),
        e.AddNote(kind="tip", start_s=0, text="x" * 5000),
        e.SetAmount(at=e.Anchor(of="measurement", name="x", start_s=0), amount=e.Amount(value=float("inf"))),
        *(
            e.AttachUrl(at=e.Anchor(of="item", name="x", start_s=0), url=url)
            for url in (
                "javascript:alert(1)",
                "file:///etc/passwd",
                "https://",
                "cloth.example/a",
                "https://a.example/\u202eb",
                "https://a.example/ b",
                "https://a.example:99999/",
                'https://a.example/"><b>',
                "https://a.example/" + "a" * 3000,
            )
        ),
    ],
)
def test_what_no_log_can_hold_is_refused(edit: e.AnyEdit) -> None:
    with pytest.raises(BadInput) as error:
        e.checked(edit)
    assert "\n" not in str(error.value)


def test_pasted_text_is_put_on_one_clean_line() -> None:
    edit = e.checked(e.AddChapter(start_s=1.0, title="  Cut\r\nthe\x1b[31m \u202eedge\u2069 👩‍🔧 "))
    assert edit.title == "Cut the [31m edge 👩‍🔧"
