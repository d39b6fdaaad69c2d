"""Steps: one phenomenon of speech after another, in sentences written for these tests.

By rules alone (no trained reader), so that the cases hold on any machine. Expected sentences are written by hand from
what was said, before they were run.
"""

from __future__ import annotations

import pytest

from buildlog.document import Line, RecordingInfo
from buildlog.outline import Outline, outline
from buildlog.outline.grammar import check
from buildlog.outline.steps.faults import mend, says_nothing
from buildlog.outline.steps.phrases import Phrase
from buildlog.reading import read


def told(text: str) -> Outline:
    """The outline of ``text``, said at an even pace, read without the trained reader."""
    from buildlog.tag.pipeline import tag

    words = len(text.split())
    doc = tag([Line(start_s=0.0, end_s=words / 2.5, text=text)]).doc
    doc._.reader = None
    return outline(doc, duration_s=words / 2.5)


def steps(text: str) -> list[str]:
    return [s.text for s in told(text).steps]


@pytest.mark.parametrize(
    ("said", "step"),
    [
        # first person, past
        ("I riveted the straps to the back panel.", "Rivet the straps to the back panel."),
        ("We soaked the cane in cold water for an hour.", "Soak the cane in cold water for an hour."),
        ("I cut the gusset on the fold.", "Cut the gusset on the fold."),
        ("I wound the cord twice round the post.", "Wind the cord twice round the post."),
        # passive
        ("The rim was wrapped with waxed cord.", "Wrap the rim with waxed cord."),
        ("The tenons are then pared with a wide chisel.", "Pare the tenons with a wide chisel."),
        ("The pages got trimmed with a plough.", "Trim the pages with a plough."),
        # to the viewer, going to, let's, present
        ("You want to press the seam open.", "Press the seam open."),
        ("Now we're gonna drill the pilot holes.", "Drill the pilot holes."),
        ("Let's clamp the rails together.", "Clamp the rails together."),
        ("So I'm gluing the spine with paste.", "Glue the spine with paste."),
        # light verbs
        ("I went ahead and pinned the hem.", "Pin the hem."),
        ("I spent the whole evening weaving the seat.", "Weave the seat."),
        ("I managed to unscrew the old hinges.", "Unscrew the old hinges."),
        # reason first, purpose, conditions
        ("So it wouldn't rattle, I lined the tray with felt.", "Line the tray with felt so it doesn't rattle."),
        ("I trimmed the seam so it'd lie flat, because nobody likes a lump.", "Trim the seam so it lies flat."),
        ("I sanded the handle until it stopped catching.", "Sand the handle until it stops catching."),
        # hedges, possessives, asides
        ("So basically I just kind of clipped the corners.", "Clip the corners."),
        ("And then I marked the line with my chalk.", "Mark the line with the chalk."),
        ("I smoothed the paper down with my fingers.", "Smooth the paper down with your fingers."),
        # the object first
        ("Those two rings, I soldered them to the plate.", "Solder the two rings to the plate."),
        # phrasal verbs keep their particle
        ("I took the old webbing off with a mallet.", "Take the old webbing off with a mallet."),
        ("I filled the gaps in with sawdust.", "Fill the gaps in with sawdust."),
        # a compound technique
        ("I whip stitched the felt to the lining.", "Whip stitch the felt to the lining."),
        ("I hand sewed the button to the flap.", "Hand sew the button to the flap."),
    ],
)  # fmt: skip
def test_one_step(said: str, step: str) -> None:
    assert steps(said) == [step]


@pytest.mark.parametrize(
    "said",
    [
        "As a rule I plane these down by hand.",
        "I would have used brass screws.",
        "Could you use denim for this?",
        "My neighbour cut hers from an old tent.",
        "Thank you so much for watching and see you next time.",
        "I should have basted the lining first.",
        "I was going to dye the rope but never did.",
        "Oak moves a lot with the seasons.",
        "You could also use a butter knife.",
        "I bought the thread at the market.",
    ],
)
def test_no_step(said: str) -> None:
    assert steps(said) == []


def test_a_chain_is_one_step_with_every_action() -> None:
    assert steps("I folded the strip, pinned it and ran a row of stitching along the edge.") == [
        "Fold the strip, pin it and run a row of stitching along the edge."
    ]


def test_a_passive_chain_keeps_its_object() -> None:
    (text,) = steps("The seat was stripped, sanded and oiled.")
    assert text == "Strip the seat, sand it and oil it."


def test_pronouns_are_filled_from_what_was_worked_on() -> None:
    assert steps("I cut the lid from a scrap of ash. Then I sanded it with fine paper.") == [
        "Cut the lid from a scrap of ash.",
        "Sand the lid with fine paper.",
    ]


def test_them_is_not_the_singular_thing_nearest() -> None:
    got = steps("I cut the four legs on the slope. The saw was new. I oiled them with linseed oil.")
    assert got[-1] == "Oil the four legs with linseed oil." or got[-1] == "Oil the legs with linseed oil."


@pytest.mark.parametrize(
    ("said", "step"),
    [
        # two things may be meant, so none is named
        (
            "The bottom rail is oak and the top rail is ash. I planed it with a block plane.",
            "Plane with a block plane.",
        ),
        # what somebody else gave or owns is not what was worked on
        ("The neighbours came by with their radio. I trimmed it down to an eighth.", "Trim down to an eighth."),
        # glue is put on things; it is not what is pushed together
        (
            "I brushed contact cement on both faces. Mine takes ten minutes. Then I pressed it together with a roller.",
            "Press together with a roller.",
        ),
    ],
)
def test_a_pronoun_in_doubt_gets_no_noun(said: str, step: str) -> None:
    assert steps(said)[-1] == step


def test_what_says_too_little_joins_the_step_that_names_the_thing() -> None:
    assert steps("I put the clamps on the frame. Check it for square.") == [
        "Put the clamps on the frame and check it for square."
    ]


@pytest.mark.parametrize(
    ("said", "step"),
    [
        ("I cut the strap. Give it three hours.", "Leave the strap for three hours."),
        ("I ironed the shirts and laid em out on the floor.", "Iron the shirts and lay them out on the floor."),
        ("I teased the hair till there's no lumps.", "Tease the hair till there are no lumps."),
        (
            "I cut the strap to length on the table saw with a stop block.",
            "Cut the strap to length on the table saw with a stop block.",
        ),
        ("After I'd waxed the thread I sewed the sole to the upper.", "Sew the sole to the upper."),
        ("Now I'm fitting the blade.", "Fit the blade."),
    ],
)
def test_speech_that_parsers_stumble_on(said: str, step: str) -> None:
    assert steps(said)[-1] == step


@pytest.mark.parametrize(
    "said", ["Can I turn it on?", "So we went round.", "Then the long rails.", "It ended up there."]
)
def test_no_order_in_it(said: str) -> None:
    assert steps(said) == []


def test_a_correction_replaces_the_step() -> None:
    got = steps("I sewed the hem with a half inch seam. No, wait, I sewed the hem with a quarter inch seam.")
    assert got == ["Sew the hem with a quarter inch seam."]


def test_what_was_done_the_day_before_goes_before() -> None:
    made = told("I cut the leather with shears. I'd soaked the leather last night in a bucket of water.")
    assert [s.text for s in made.steps] == ["Soak the leather in a bucket of water.", "Cut the leather with shears."]
    assert [s.on_camera for s in made.steps] == [False, True]


def test_the_same_again_refers_back() -> None:
    made = told("I hemmed the left sleeve with a blind stitch. I did the same for the right sleeve.")
    assert made.steps[1].text == "Do the same for the right sleeve."
    assert made.steps[1].same_as == [made.steps[0].id]


def test_what_was_done_before_all_this_comes_first() -> None:
    made = told("I cut the canvas into strips. Before any of this I'd already washed the canvas.")
    assert [s.text for s in made.steps] == ["Wash the canvas.", "Cut the canvas into strips."]
    assert made.steps[0].start_s > made.steps[1].start_s


def test_an_announcement_gives_way_to_the_doing() -> None:
    got = steps("I'm going to line the box with green felt. My dog is asleep. I lined the box with green felt.")
    assert got == ["Line the box with green felt."]


def test_measurements_and_names_are_kept() -> None:
    (text,) = steps("I sewed the bias tape on with a three eighths seam at a stitch length of three and a half.")
    assert "bias tape" in text
    assert "three eighths seam" in text
    assert "three and a half" in text


def test_a_step_carries_its_time_items_and_words() -> None:
    made = told("Hello there everybody. I stitched the pocket with waxed thread and an awl.")
    (step,) = made.steps
    assert 1.0 < step.start_s < step.end_s <= 5.3
    assert step.said.startswith("I stitched")


def test_off_camera_steps_say_so() -> None:
    made = told("I forgot to hit record for the dyeing, but I dyed the cloth twice.")
    assert [s.on_camera for s in made.steps] == [False]


def test_nothing_said_gives_an_empty_outline() -> None:
    from buildlog.tag.pipeline import tag

    made = outline(tag([]).doc, duration_s=0.0)
    assert (made.steps, made.pieces, made.chapters) == ([], [], [])


@pytest.mark.parametrize(
    ("sentence", "why"),
    [
        ("Sand the lid.", None),
        ("Don't press the wax side.", None),
        ("Slip stitch the gap closed.", None),
        ("I sand the lid.", "first person"),
        ("Sanded the lid.", "bare verb"),
        ("Sand it.", "pronoun"),
        ("Sand the lid with my block.", "first person"),
        ("The lid is sanded.", "bare verb"),
        ("Sand the lid and.", "broken off"),
        ("sand the lid.", "capital"),
    ],
)
def test_grammar_check(sentence: str, why: str | None) -> None:
    faults = check([sentence])
    assert bool(faults) is (why is not None)
    if why is not None:
        assert why in faults[0].why


@pytest.mark.parametrize(
    "said",
    [
        "It turned out a bit wonky.",
        "Let me just flatten that out.",
        "A size eighty needle, by the way.",
        "The third drawer, we left it out.",
    ],
)
def test_words_of_making_in_which_nothing_is_made(said: str) -> None:
    assert steps(said) == []


def test_what_hangs_in_one_breath_is_one_step() -> None:
    assert steps("I pressed the seam open. I tapped it down with a hammer.") == [
        "Press the seam open and tap it down with a hammer."
    ]


def test_a_long_chain_is_told_as_two_steps() -> None:
    made = steps("I planed the edge, sanded the face, drilled the holes and oiled the whole board.")
    assert made == ["Plane the edge and sand the face.", "Drill the holes and oil the whole board."]


@pytest.mark.parametrize(
    ("said", "unsaid"),
    [
        ("I marked the oak board. Once the pieces were out of the board I planed the edges.", "Cut the pieces out of the board."),
        ("I glued the frame. Once the screws were in I filled the holes with wax.", "Drive the screws in."),
        ("I sanded the box. When the second coat was on I hung the box up.", "Apply the second coat."),
        ("I planed the panel. Once the grooves were routed I glued the panel in.", "Rout the grooves."),
    ],
)  # fmt: skip
def test_a_doing_only_told_as_over_is_one_inferred_step(said: str, unsaid: str) -> None:
    made = told(said)
    assert [s.text for s in made.steps if s.inferred] == [unsaid]
    assert made.steps[1].inferred


@pytest.mark.parametrize(
    "said",
    [
        "I cut the tenons with a saw. Once the tenons were cut I pared the shoulders.",  # told
        "I glued the frame. Once the glue was dry I planed the face.",  # nobody does that
        "I sanded the bowl. Once the pot was on the stove I waxed the bowl.",  # where it is
        "I sanded the bowl. If the lid was off I would have waxed the rim.",
    ],
)
def test_nothing_is_inferred(said: str) -> None:
    assert not any(s.inferred for s in told(said).steps)


def test_at_most_one_step_is_inferred() -> None:
    made = told(
        "I marked the board. Once the pieces were out of the board I planed the edges. "
        "Once the screws were in I filled the holes."
    )
    assert sum(s.inferred for s in made.steps) == 1


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ("mark the slots I did it with chalk and a ruler", ["Mark the slots with chalk and a ruler."]),
        (
            "then I sewed the hem and creased the fold over the bench once that was dry I trimmed the threads",
            ["Sew the hem and crease the fold over the bench.", "Trim the threads."],
        ),
        ("I punched the holes with an iron make sure", ["Punch the holes with an iron."]),
        ("I cut the edge on a piece of marble nothing fancy", ["Cut the edge on a piece of marble."]),
    ],
)
def test_run_on_speech_ends_where_the_next_clause_begins(said: str, wanted: list[str]) -> None:
    assert steps(said) == wanted


@pytest.mark.parametrize(
    ("said", "step"),
    [
        ("The log was eight inches long. I split it with a froe.", "Split the log with a froe."),
        ("The bowl I hollowed with a hook knife.", "Hollow the bowl with a hook knife."),
        ("I covered the pad with wadding. On top of that goes a layer of calico.", "Put a layer of calico on top"),
    ],
)
def test_the_thing_is_named_where_speech_puts_it_elsewhere(said: str, step: str) -> None:
    assert steps(said)[-1].startswith(step.rstrip("."))


@pytest.mark.parametrize("said", ["So I had to redo that one.", "I broke two needles on the thick bit.", "Clean up."])
def test_mishaps_and_headings_are_no_steps(said: str) -> None:
    assert steps(said) == []


@pytest.mark.parametrize(
    ("said", "step"),
    [
        (
            "I made a paper pattern. The cylinder is thirty centimetres by twelve. I cut it with a sharp knife.",
            "Cut the cylinder with a sharp knife.",
        ),
        ("I brushed the gesso. The corners I pared with a hooked tool.", "Pare the corners with a hooked tool."),
        (
            "I rubbed wax into the back the beater is a dowel of beech and that is the drum",
            "Rub wax into the back.",
        ),
        ("I trimmed the frame with a knife. I did all sixteen.", "Trim the frame with a knife."),
    ],
)
def test_what_stands_right_in_front_is_meant(said: str, step: str) -> None:
    assert steps(said)[-1] == step


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        # a slip of the tongue, and a thing said twice
        ("I rubbed the edge with a bone, no, a wood slicker.", ["Rub the edge with a wood slicker."]),
        ("I lifted the paint with an old scraper, so, an old scraper.", ["Lift the paint with an old scraper."]),
        # a technique of two words behind a form of "be"
        ("The planks are edge glued with hide glue.", []),
        # a noun phrase that goes on with the doing
        ("I pinned the hem, and two rows of zigzag.", ["Pin the hem, and sew two rows of zigzag."]),
        ("Eleven studs were set into a strip of brass and painted green.",
         ["Set eleven studs into a strip of brass and paint them green."]),
        # what something came off is not what was taken off
        ("I peeled the tape off with a heat gun. Then I washed it in soapy water.",
         ["Peel the tape off with a heat gun.", "Wash in soapy water."]),
        # only the first of the two is forbidden
        ("Don't rush the curve, and press the band down with a roller.", ["Press the band down with a roller."]),
        # fractions as a recogniser writes them
        ("I cut the slot an inch and 3 8 deep.", ["Cut the slot an inch and 3/8 deep."]),
        # what is used for an aim
        (
            "I painted the crest with enamel. Then a warm iron to set it.",
            ["Paint the crest with enamel.", "Use a warm iron to set the crest."],
        ),
        # what a thing is made by the verb in front of it
        ("I basted the open end shut with linen thread.", ["Baste the open end shut with linen thread."]),
        ("I planed the face with the smoothing plane, freshly honed.",
         ["Plane the face with the smoothing plane, freshly honed."]),
        # broken off behind the action
        ("I filled the toe of the bear, pushing.", ["Fill the toe of the bear."]),
        # nobody does anything
        ("Nothing was wasted.", []),
        ("So I take that back.", []),
        ("The wheel is high.", []),
        ("Hang on.", []),
    ],
)  # fmt: skip
def test_publishable(said: str, expected: list[str]) -> None:
    assert steps(said) == expected


@pytest.mark.parametrize(
    ("words", "left"),
    [
        # written without the sign: "it's", "there's"
        ("add two strips on the long side and its a flap", "add two strips on the long side"),
        ("s a bar tack at the foot", ""),
        # another clause ran into it
        ("make the posts are spruce", ""),
        ("glue the lid down, they are oak offcuts", "glue the lid down"),
        # ends that a broken-off clause leaves
        ("wax the rims so the lid wouldn't", "wax the rims"),
        ("wriggle them together until", "wriggle them together"),
        # coats
        ("oil 2 coats", "apply 2 coats of oil"),
        # where, not what is done
        ("round the top of the pole", ""),
        ("round the corners over with a file", "round the corners over with a file"),
    ],
)  # fmt: skip
def test_what_no_reader_would_print(words: str, left: str) -> None:
    p = Phrase(words.replace(",", " ,").split(), words.split()[0], 0)
    kept = mend(p, frozenset(["close", "push"]))
    assert (" ".join(p.words).replace(" ,", ",") if kept else "") == left


@pytest.mark.parametrize(
    ("text", "nothing"),
    [
        ("Put a new one in.", True),
        ("Load the piece.", True),
        ("Wait four.", True),
        ("Cut round.", True),
        ("Put the lid on the box.", False),
        ("Wait until it is dry.", False),
        ("Let the piece dry overnight.", False),
        ("Sand the piece.", True),
    ],
)
def test_a_step_that_says_nothing(text: str, nothing: bool) -> None:
    assert says_nothing(text) is nothing


@pytest.mark.parametrize(
    ("said", "step"),
    [
        # done ahead
        ("I'd planed the boards flat before you got here.", ["Plane the boards flat."]),
        ("Before I started I'd glued the base to the sides with PVA.", ["Glue the base to the sides with PVA."]),
        ("By the time you lot turned up I had glued the base to the sides with PVA.", ["Glue the base to the sides with PVA."]),
        ("I'd webbed the frame with jute webbing before the camera was on.", ["Web the frame with jute webbing."]),
        # when, what for and with what, told in front
        ("While the clay was still soft, I pressed a leaf into the wall.",
         ["Press a leaf into the wall while the clay is soft."]),
        ("To strengthen the shelf I screwed it to the back.", ["Screw the shelf to the back to strengthen it."]),
        ("Starting from the centre, I tacked the hessian to the rail.",
         ["Tack the hessian to the rail, starting from the centre."]),
        ("While I was waiting I cut the shelves from pine.", ["Cut the shelves from pine."]),
        # two doings
        ("Having glued the joints with hide glue, I clamped the frame overnight.",
         ["Glue the joints with hide glue.", "Clamp the frame overnight."]),
        ("Using a chisel, I squared the corners.", ["Square the corners using a chisel."]),
        # a doing behind a noun
        ("After that it's a matter of stitching the edge roll with a curved needle.", ["Stitch the edge roll with a curved needle."]),
        ("It was a matter of taste.", []),
        # ends that belong to the doing
        ("I laid the cabinet on its side.", ["Lay the cabinet on its side."]),
        ("I teased out 500 grams of horsehair and packed it under the bridle ties.",
         ["Tease out 500 grams of horsehair and pack it under the bridle ties."]),
        ("The corners were rounded with a coin.", ["Round the corners with a coin."]),
        ("I left it clamped between two boards overnight.", ["Leave the piece clamped between two boards overnight."]),
        ("The cover was pulled over the seat and temporary tacked on all four sides.",
         ["Pull the cover over the seat and temporary tack it on all four sides."]),
    ],
)  # fmt: skip
def test_plain_sentences(said: str, step: list[str]) -> None:
    assert steps(said) == step


def test_what_is_warned_of_is_not_what_was_done() -> None:
    told_of = [
        "Mix it with your hands till it goes sticky.",
        "Now you can't taste raw pork, so I fry off a little patty, the size of a coin, and taste that.",
        "Pastry next.",
        "Roll the pastry out.",
    ]
    lines = [Line(start_s=9.0 * n, end_s=9.0 * n + 5.0, text=text) for n, text in enumerate(told_of)]
    log = read(lines, RecordingInfo(path="said.txt", duration_s=36.0))
    assert [s.text for s in log.steps if "taste" in s.text] == [
        "Fry off a little patty, the size of a coin, and taste it."
    ]
