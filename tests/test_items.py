"""Items: what a price is said of, one thing under two names, kind by use, status by set phrases, what stands in for what.

The sentences are invented; what they should give follows from the words alone.
"""

from __future__ import annotations

import functools

import pytest

from buildlog.document import Item, Line, Log, RecordingInfo
from buildlog.reading import read


@functools.cache
def log_of(*sentences: str) -> Log:
    """The log of one sentence a line, five seconds each."""
    lines = [Line(start_s=5.0 * n, end_s=5.0 * n + 5.0, text=text) for n, text in enumerate(sentences)]
    return read(lines, RecordingInfo(path="said.txt", duration_s=5.0 * len(lines)))


def item(log: Log, word: str) -> Item:
    """The one item with ``word`` in its name."""
    found = [i for i in log.items if word in i.name.lower().split()]
    assert len(found) == 1, [i.name for i in log.items]
    return found[0]


@pytest.mark.parametrize(
    ("said", "word", "amount", "per"),
    [
        (("Twelve resistors at three cents each and a switch.",), "resistors", 0.03, "each"),
        (("I bought some brass snaps for the front.", "The snaps were six pounds for twenty."), "snaps", 6.0, "20"),
        (("There's a new walking foot on the machine.", "That walking foot ran me eight dollars."), "foot", 8.0, None),
        (("I paid forty dollars for the oak and nothing for the pine.",), "oak", 40.0, None),
        (("It's held on with two copper rivets.", "Six bucks for a bag of ten from the saddler."), "rivets", 6.0, "10"),
        (("My upholstery hammer, I paid eighteen euro for it in Cork.",), "hammer", 18.0, None),
        (("The hinges set me back fourteen dollars and the screws came with them.",), "hinges", 14.0, None),
        (("The wood was eight bucks a board foot and I needed seven.",), "wood", 8.0, "board foot"),
        (("It's a spirit dye in mahogany, that was twelve bucks.",), "dye", 12.0, None),
    ],
)
def test_a_price_goes_to_the_thing_it_is_said_of(
    said: tuple[str, ...], word: str, amount: float, per: str | None
) -> None:
    log = log_of(*said)
    priced = item(log, word)
    assert priced.price is not None
    assert (priced.price.amount, priced.price.per) == (amount, per)
    assert [i.name for i in log.items if i.price is not None] == [priced.name]


def test_a_price_of_nothing_listed_is_said_in_a_check() -> None:
    log = log_of("Lunch was nine dollars that day.", "Then I glued the oak boards with wood glue.")
    assert all(i.price is None for i in log.items)
    assert [(c.kind, c.start_s < 5.0, "nine dollars" in c.text) for c in log.checks] == [("price", True, True)]


@pytest.mark.parametrize(
    "said", ["I sewed it on forty pound paper.", "The leader is twenty pound line, wound on by hand."]
)
def test_pounds_of_paper_and_line_are_a_size(said: str) -> None:
    log = log_of(said)
    assert not log.measurements
    assert not log.checks
    assert all(i.price is None for i in log.items)


@pytest.mark.parametrize(
    ("said", "name"),
    [
        (("The batting is cotton and I quilted it by hand.", "I cut the batting big."), "cotton batting"),
        (("Thread's a waxed linen.", "I threaded two needles with the thread."), "waxed linen thread"),
        (("Then the glue.", "It's contact cement, a thin coat on both faces."), "contact cement"),
        (("I marked the holes with a scratch awl.", "The scratch awl'll go through the leather."), "scratch awl"),
    ],
)
def test_one_thing_under_two_names_is_one_item(said: tuple[str, ...], name: str) -> None:
    log = log_of(*said)
    assert item(log, name.split()[-1]).name == name


def test_a_card_is_no_card_scraper_and_a_saw_no_coping_saw_that_was_only_offered() -> None:
    names = [i.name for i in log_of("I used a card scraper on the seat.", "Shim it with bits of card.").items]
    assert names == ["card scraper", "card"]
    log = log_of("You could do it with a coping saw.", "I flushed it off with a saw.")
    assert [(i.name, i.status) for i in log.items] == [("coping saw", "substitute"), ("saw", "used")]


@pytest.mark.parametrize(
    ("said", "word", "status"),
    [
        ("I used a bone folder. The back of a butter knife would do.", "knife", "substitute"),
        ("I glued it with hide glue. PVA would be fine too.", "pva", "substitute"),
        ("I glued it with hide glue. PVA would be fine too.", "hide", "used"),
        ("Burnish it with a slicker, or a bit of denim if you haven't got one.", "denim", "substitute"),
        ("I was going to use brass screws but they snapped so I used steel screws instead.", "brass", "considered"),
        ("Velvet? No, not on a chair the dog sleeps on. So it's a wool tweed.", "velvet", "considered"),
        ("No interfacing in the collar. I pressed it with a tailor's clapper.", "interfacing", "considered"),
        ("Don't use drywall screws for this, they snap. I used number 8 wood screws.", "drywall", "mentioned"),
        ("Hot glue's all right if it's what you've got. I glued it with contact cement.", "hot", "substitute"),
        ("Nickel silver's another you could use. I cut the bowl from copper sheet.", "nickel", "substitute"),
        ("I'd fancied a dimmer on the lamp, and the dimmer we left it out.", "dimmer", "considered"),
        (
            "Next time it's roses, so find your goffering irons. I glued the oak boards with wood glue.",
            "goffering",
            "mentioned",
        ),
        ("Never put polyester batting near a fire. I used wool batting.", "polyester", "mentioned"),
    ],
)
def test_set_phrases_settle_the_status(said: str, word: str, status: str) -> None:
    assert item(log_of(said), word).status == status


@pytest.mark.parametrize(
    ("said", "stands_in", "base"),
    [
        ("I used a bone folder. The back of a butter knife would do.", "knife", "folder"),
        ("I glued it with hide glue. PVA would be fine too.", "pva", "hide"),
        ("I was going to use brass screws but they snapped so I used steel screws instead.", "steel", "brass"),
        ("Velvet? No, not on a chair the dog sleeps on. So it's a wool tweed.", "tweed", "velvet"),
    ],
)
def test_what_stands_in_for_what(said: str, stands_in: str, base: str) -> None:
    log = log_of(said)
    assert item(log, stands_in).instead_of == item(log, base).id


@pytest.mark.parametrize(
    ("said", "taken", "left"),
    [
        (("I was all set to use oak for the rails.", "It split at once.", "So in the end the rails are ash."), "ash", "oak"),
        (("The lining is a cotton sateen.", "I did look at a silk satin first, and it slid about."), "sateen", "satin"),
        (("My first plan was brass hinges.", "They're dear, so I went with steel hinges."), "steel", "brass"),
        (("I'd a sheet of birch plywood put by.", "It had gone wavy.", "It's hardboard, then."), "hardboard", "plywood"),
        (("We wanted walnut for the lid.", "No chance at that price.", "So, cherry."), "cherry", "walnut"),
        (("I nearly bought a suede for the straps.", "What I ended up with is a bridle leather."), "leather", "suede"),
        (("I had thought of a merino yarn.", "It felted, so I've used a cotton yarn."), "cotton", "merino"),
        (("I toyed with shellac for the finish.", "Instead it's hardwax oil."), "oil", "shellac"),
        (("The cover's made of a wool tweed.", "I nearly used velvet, but we've got a cat."), "tweed", "velvet"),
        (("I pressed it with a clapper.", "If you haven't got one, a brick does fine."), "brick", "clapper"),
        (("I waxed the thread with beeswax.", "If you've not got any, a stub of candle will do."), "candle", "beeswax"),
        (("The thread is a waxed linen thread.", "A bonded nylon thread is every bit as good."), "bonded", "linen"),
        (("I ran it through the planer.", "You could use a hand plane instead of the planer."), "plane", "planer"),
    ],
)  # fmt: skip
def test_turns_and_looks_back_tie_what_was_taken_to_what_was_left(said: tuple[str, ...], taken: str, left: str) -> None:
    log = log_of(*said)
    assert item(log, taken).instead_of == item(log, left).id
    assert len([i for i in log.items if i.instead_of is not None]) == 1


@pytest.mark.parametrize(
    "said",
    [
        ("I thought about velvet for the top.", "For the base it's a calico."),  # of another part
        ("I looked at linen for the back.", "So the batting goes in now, all the way to the corners."),  # no choice
        ("I cut it with the band saw.", "You could do that with a knife, and people do."),  # another way of doing
        ("No piping on this one.", "So I cut the canvas with shears."),  # left out, replaced by nothing
    ],
)
def test_no_pair_where_the_words_tell_of_no_choice(said: tuple[str, ...]) -> None:
    assert [i.name for i in log_of(*said).items if i.instead_of is not None] == []


def test_the_first_thing_weighed_is_what_the_choice_stands_for() -> None:
    log = log_of(
        "I wanted walnut for the lid.", "Then I thought about maple.", "So it's cherry, and the box is cherry."
    )
    assert item(log, "cherry").instead_of == item(log, "walnut").id


@pytest.mark.parametrize(
    ("said", "word", "source"),
    [
        (("The canvas is an offcut from the sail loft.",), "canvas", "offcut"),
        (("I glued the felt to the board with hide glue I ordered online.",), "glue", "bought"),
        (("I glued the felt to the board with hide glue I ordered online.",), "felt", None),
        (("My neighbour gave me this walnut board.",), "walnut", "inherited"),
        (("The foam was forty pounds.",), "foam", "bought"),
        (("The webbing's been sitting in the loft for years.",), "webbing", "stash"),
        (("You can buy the wax anywhere.",), "wax", None),
        (("I'd have used brass screws if there'd been any left in the drawer, so it's steel screws.",), "brass", None),
        (("I skived the bridle leather thin.", "It came off an old saddle."), "leather", "old saddle"),
        (
            ("I skived the bridle leather thin.", "It's the end of a side I bought for the dog collars."),
            "leather",
            "stash",
        ),
    ],
)
def test_where_a_thing_came_from(said: tuple[str, ...], word: str, source: str | None) -> None:
    assert item(log_of(*said), word).source == source


def test_what_anybody_would_pay_is_no_price_paid() -> None:
    log = log_of("I cut the bowl from copper sheet.", "New, you'd pay about eight pounds for a piece.")
    assert [i.price for i in log.items if i.price is not None] == []


@pytest.mark.parametrize(
    ("said", "names"),
    [
        (("I looked at silk for the lining, and I couldn't afford silk.", "I sewed it on with silk thread."), {"silk", "silk thread"}),
        (("The bowl is copper, hammered from a flat sheet.", "It's held with copper rivets."), {"copper", "copper rivets"}),
        (("I sewed the buttons on with button thread.", "The buttons are horn."), {"buttons", "button thread"}),
        (("I used cotton for the lining.", "The cotton lawn was cut on the bias."), {"cotton lawn"}),
        (("I edged it in walnut veneer.", "Iron the veneer on, then trim the walnut flush."), {"walnut veneer"}),
    ],
)  # fmt: skip
def test_a_stuff_and_what_is_made_of_it_are_two_things_where_their_sorts_differ(
    said: tuple[str, ...], names: set[str]
) -> None:
    assert {i.name.lower() for i in log_of(*said).items if i.kind == "material"} == names


def test_an_amount_of_it_goes_to_the_thing_named_last() -> None:
    log = log_of("The fabric's a linen union.", "I used three and a half metres of it for the top.")
    assert [m.value for m in log.measurements if m.item == item(log, "union").id] == [3.5]


def test_things_named_near_each_other_are_no_pair() -> None:
    log = log_of("I thought about piping for the edge.", "I pressed the hem and chalked the line with tailor's chalk.")
    assert all(i.instead_of is None for i in log.items)


@pytest.mark.parametrize(
    ("said", "word", "kind"),
    [
        ("I burned the line in with a guitar string.", "string", "tool"),
        ("I cut the plug out with a length of copper pipe I'd sharpened.", "pipe", "tool"),
        ("I stuck the pieces down with a glue stick.", "stick", "material"),
        ("Hold it in place with masking tape and take the tape off after.", "tape", "material"),
        ("I sewed it down with linen thread.", "thread", "material"),
    ],
)
def test_kind_by_what_is_done_with_it(said: str, word: str, kind: str) -> None:
    assert item(log_of(said), word).kind == kind


def test_items_are_listed_without_the_trained_reader(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("buildlog.tag.reader.read", lambda texts: None)
    log = log_of("I glued the veneer down with hide glue.", "I cut it with a marking knife and a steel rule.")
    assert {"hide glue", "marking knife"} <= {i.name for i in log.items}
