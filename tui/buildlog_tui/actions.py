"""The one table of what can be done: keys, hints, palette and help are all made from it."""

from __future__ import annotations

from typing import NamedTuple

from buildlog_tui.corrections import CORRECTIONS


class Action(NamedTuple):
    """One thing to do. ``id`` names the method ``do_…`` of the bench, or a correction."""

    id: str
    keys: tuple[str, ...]
    label: str
    help: str
    group: str
    correction: bool = False
    palette: bool = True


MOVING = "Moving about"
SEEING = "Hearing and seeing"
CHANGING = "Putting right"
WHOLE = "The whole part"
BENCH = "The bench"

_SPELLED = {"{": "left_curly_bracket", "}": "right_curly_bracket", "<": "less_than_sign", ">": "greater_than_sign"}

ACTIONS: list[Action] = [
    Action("next_doubt", ("n",), "next doubt", "The next thing worth a look, the least certain first", MOVING),
    Action("last_doubt", ("N",), "back", "Back to the thing looked at before", MOVING),
    Action("next_mark", ("right_square_bracket",), "next mark", "The next marked words", MOVING),
    Action("last_mark", ("left_square_bracket",), "mark before", "The marked words before", MOVING),
    Action(
        "other", ("apostrophe",), "other thing here", "Where words speak of several things: the next of them", MOVING
    ),
    Action("next_left_out", ("M",), "left out?", "The next words that may name a thing that was left out", MOVING),
    Action("search", ("slash",), "search", "Search the words of this part", MOVING),
    Action("search_next", ("full_stop",), "search on", "The next place with the words searched", MOVING),
    Action("go_to", ("g",), "go to", "Go to a time, such as 4:05", MOVING),
    Action("find", ("ctrl+f",), "find", "Find the moment something was shown, in every video", MOVING),
    Action("enter", ("enter",), "to the words", "From a list: to the words it comes from, and back", MOVING),
    Action("next_place", ("tab",), "next place", "The next place of the bench", MOVING, palette=False),
    Action("last_place", ("shift+tab",), "place before", "The place of the bench before", MOVING, palette=False),
    Action("see_words", ("1",), "words", "Words and work", MOVING),
    Action("see_things", ("2",), "things", "Materials, tools, ways of working, amounts", MOVING),
    Action("see_links", ("3",), "links", "Links owed", MOVING),
    Action("see_box", ("4",), "box", "The description box, and what stops it from being posted", MOVING),
    Action("see_remarks", ("5",), "remarks", "What needs a look, and the remarks", MOVING),
    Action("see_sums", ("6",), "sums", "Worksheets: what was worked out, to cut, to buy, what does not add up", MOVING),
    Action("play", ("space",), "play", "Play the words selected or the line under the cursor; again: stop", SEEING),
    Action("loop", ("R",), "over and over", "Play over and over, or once", SEEING),
    Action("slow", ("H",), "half speed", "Play at half speed, or at full", SEEING),
    Action("picture", ("P",), "picture", "A still of this moment", SEEING),
    Action(
        "select", ("v",), "select", "Begin to select words, or let them go; shift with arrows selects too", CHANGING
    ),
    Action("select_meant", ("V",), "select name", "Select the name or the amount under the cursor", CHANGING),
    *(Action(c.id, (_SPELLED.get(c.key, c.key),), c.label, c.help, CHANGING, correction=True) for c in CORRECTIONS),
    Action("alike", ("asterisk",), "all alike", "The last change, for all things alike in this part", CHANGING),
    Action("remember", ("plus",), "and remember", "The last change, for all alike, here and in later videos", CHANGING),
    Action("undo", ("u", "ctrl+z"), "undo", "Take the last change back, as often as you like", WHOLE),
    Action("redo", ("U", "ctrl+y"), "redo", "Make the change taken back again", WHOLE),
    Action("accept_above", ("Y",), "accept all above", "Accept everything that is at least so sure", WHOLE),
    Action("copy", ("C",), "copy the box", "Copy the description box, where the terminal lets us", WHOLE),
    Action("history", ("ctrl+h",), "history", "Every change made to this part", WHOLE),
    Action("open", ("ctrl+o",), "other part", "Open another part or build", BENCH),
    Action("take", ("ctrl+n",), "take in", "Take a new recording in; you can go on meanwhile", BENCH),
    Action("stop_job", ("ctrl+x",), "stop taking in", "Stop taking the recording in, at once", BENCH),
    Action("colours", ("L",), "colours", "Walnut (dark), paper (light), chalk (high contrast)", BENCH),
    Action("help", ("question_mark", "f1"), "help", "Every key", BENCH),
    Action("palette", ("ctrl+p",), "palette", "Find an action by its name", BENCH, palette=False),
    Action("quit", ("ctrl+q",), "leave", "Leave the bench; everything is kept already", BENCH),
]
BY_ID = {a.id: a for a in ACTIONS}
# Moving within a place: (keys, what they do), for the help; the views bind them.
MOVES: list[tuple[str, str]] = [
    ("← →", "a word on or back; with shift, selecting"),
    ("↑ ↓", "a row or entry up or down; with shift, selecting words"),
    ("page up/down", "a page up or down"),
    ("home end", "the beginning or end of the row"),
    ("ctrl+home/end", "the beginning or end of everything"),
    ("escape", "let the words selected go"),
]

_SHOWN = {
    "right_square_bracket": "]", "left_square_bracket": "[", "apostrophe": "'", "slash": "/", "full_stop": ".",
    "question_mark": "?", "asterisk": "*", "plus": "+", **{v: k for k, v in _SPELLED.items()},
}  # fmt: skip


def key_shown(key: str) -> str:
    """A key as it is written for people."""
    return _SHOWN.get(key, key)


# What is offered for each sort of thing under the cursor, the most useful first; what does not fit is left off. After a
# colon stands what an action is called here, where its own label does not fit.
HINTS: dict[str, tuple[str, ...]] = {
    of: tuple(names.split())
    for of, names in {
        "item": "accept kind status remove reword merge divide link how_much cost from_where also_called size",
        "technique": "accept kind remove reword merge first_shown also_called",
        "measurement": "accept how_much remove belongs_to piece",
        "link": "link waive reword belongs_to remove accept",
        "note": "accept kind reword remove waive",
        "unplaced": "put_on remove:let_go enter",
        "step": "accept reword merge divide remove off_camera piece ties do_earlier do_later times",
        "chapter": "reword word_earlier word_later begin_here remove accept",
        "check": "accept enter",
        "sum": "reword:type_in remove:take_back accept:fine_so enter",
        "repair": "accept remove reword",
        "word": "add select_meant select reword play",
        "nothing": "",
    }.items()
}
ALWAYS = ("next_doubt", "undo", "search", "help")
