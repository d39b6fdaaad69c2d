"""Pictures of cutting layouts, for any sizes: nothing overlaps, nothing leaves the cloth, and the picture is to scale."""

from __future__ import annotations

import itertools
import xml.etree.ElementTree as ElementTree
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from test_reckon_rules import EXAMPLES

from buildlog.errors import BadInput
from buildlog.reckon.book import Outcome, apply
from buildlog.reckon.layout import MOST_SHAPES, Layout, Point, Shape, svg
from buildlog.reckon.rules import rule, rules
from buildlog.reckon.units import Amount, parse_amount

ANY = settings(max_examples=30, deadline=None)


def eighths(low: int, high: int) -> st.SearchStrategy[str]:
    return st.integers(low * 8, high * 8).map(lambda n: f"{n}/8")


WIDTH = eighths(20, 60)
SELVAGE = st.sampled_from(["0", "1", "3/2"])
PARTS = st.lists(
    st.tuples(st.integers(1, 3), eighths(1, 30), eighths(1, 18)).map(lambda p: f"{p[0]} part @ {p[1]} x {p[2]}"),
    min_size=1,
    max_size=5,
).map("; ".join)
# Every rule that draws, with what it is given.
DRAWN: dict[str, dict[str, st.SearchStrategy[str]]] = {
    "strips": {"need": eighths(1, 900), "strip_width": eighths(1, 6), "fabric_width": WIDTH, "selvage": SELVAGE},
    "ring": {"need": eighths(1, 900), "strip_width": eighths(1, 6), "fabric_width": WIDTH, "selvage": SELVAGE},
    "pieces": {
        "count": st.integers(1, 200).map(str), "piece_width": eighths(1, 18), "piece_length": eighths(1, 18),
        "fabric_width": WIDTH, "selvage": SELVAGE,
    },
    "bias_yield": {"width": eighths(8, 50), "height": eighths(8, 50), "strip_width": eighths(1, 4)},
    "bias_square": {"need": eighths(10, 300), "strip_width": eighths(1, 4)},
    "ruffle": {
        "finished": eighths(5, 200), "fullness": st.sampled_from(["1.5", "2", "2.5", "3"]), "depth": eighths(1, 12),
        "fabric_width": WIDTH, "selvage": SELVAGE,
    },
    "backing": {"width": eighths(20, 110), "length": eighths(20, 110), "fabric_width": WIDTH, "selvage": SELVAGE},
    "half_square_triangles": {
        "count": st.integers(1, 300).map(str), "finished": eighths(1, 12), "fabric_width": WIDTH, "selvage": SELVAGE,
    },
    "circle_skirt": {
        "waist": eighths(20, 45), "length": eighths(4, 40), "fabric_width": eighths(36, 60), "selvage": SELVAGE,
        "circle": st.sampled_from(["full", "three_quarter", "half", "third", "quarter"]),
    },
    "gored_skirt": {
        "waist": eighths(20, 40), "hip": eighths(30, 50), "hem_round": eighths(50, 160), "length": eighths(10, 40),
        "gores": st.integers(4, 24).map(str), "fabric_width": WIDTH, "selvage": SELVAGE,
        "nap": st.sampled_from(["one_way", "either_way"]),
    },
    "yardage": {"parts": PARTS, "fabric_width": WIDTH, "selvage": SELVAGE, "nap": st.sampled_from(["one_way", "either_way"])},
    "sheets": {"parts": PARTS, "grain": st.sampled_from(["along", "any"]), "trim": st.sampled_from(["0", "1/2"])},
    "boards": {"parts": PARTS.map(lambda text: text.replace(" x ", "; 1 rest @ ")), "board": eighths(40, 120)},
}  # fmt: skip


def test_every_rule_that_draws_is_tried() -> None:
    drawing = {e.rule for e in EXAMPLES if _outcome(e.rule, {k: str(v) for k, v in e.given.items()}).layout}
    assert drawing <= set(DRAWN)


def _outcome(name: str, given_: dict[str, str]) -> Outcome:
    return apply(rule(name), given_)[0]


@pytest.mark.parametrize("name", DRAWN)
@ANY
@given(st.data())
def test_nothing_overlaps_or_leaves_the_cloth(name: str, data: st.DataObject) -> None:
    given_ = {key: data.draw(values, key) for key, values in DRAWN[name].items()}
    try:
        out = _outcome(name, given_)
    except BadInput:
        assume(False)
    assert out.layout is not None
    layout = out.layout
    for shape in layout.shapes:
        assert all(0 <= x <= layout.width and 0 <= y <= layout.height for x, y in shape.points), shape.label
    solid = [s for s in layout.shapes if s.kind == "piece"][:60]
    for a, b in itertools.combinations(solid, 2):
        assert not overlap(_convex(a, name), _convex(b, name)), (a.label, b.label)
    _picture(layout)


def _convex(shape: Shape, name: str) -> tuple[Point, ...]:
    """A quarter ring is held against the others by the square it is cut from; everything else is convex as it is."""
    if name != "circle_skirt":
        return shape.points
    xs, ys = [x for x, _ in shape.points], [y for _, y in shape.points]
    return (min(xs), min(ys)), (max(xs), min(ys)), (max(xs), max(ys)), (min(xs), max(ys))


def overlap(a: tuple[Point, ...], b: tuple[Point, ...]) -> bool:
    """Whether two convex shapes have more than an edge in common: no side of either has the other wholly beyond it.

    Bias lines carry a root of two to one part in 10^12, so a millionth of an inch is no overlap.
    """
    for one, other in ((a, b), (b, a)):
        for (x1, y1), (x2, y2) in zip(one, one[1:] + one[:1], strict=True):
            nx, ny = y2 - y1, x1 - x2
            inside = [nx * x + ny * y for x, y in one]
            beyond = [nx * x + ny * y for x, y in other]
            slack = Fraction(1, 10**6)
            if min(beyond) >= max(inside) - slack or max(beyond) <= min(inside) + slack:
                return False
    return True


def test_overlap_is_seen() -> None:
    """The check itself: two squares half over one another, two that share an edge, a triangle inside a square."""
    square = tuple((Fraction(x), Fraction(y)) for x, y in ((0, 0), (2, 0), (2, 2), (0, 2)))
    moved = tuple((x + 1, y + 1) for x, y in square)
    beside = tuple((x + 2, y) for x, y in square)
    inner = tuple((Fraction(x, 2), Fraction(y, 2)) for x, y in ((1, 1), (3, 1), (2, 3)))
    assert overlap(square, moved)
    assert not overlap(square, beside)
    assert overlap(square, inner)


def _picture(layout: Layout) -> None:
    """The picture reads as SVG, holds every piece inside its frame, and has one scale for both ways."""
    root = ElementTree.fromstring(svg(layout))
    frames = [e for e in root.iter() if e.tag.endswith("rect") and e.attrib.get("stroke")]
    left = min(float(f.attrib["x"]) for f in frames)
    right = max(float(f.attrib["x"]) + float(f.attrib["width"]) for f in frames)
    top = min(float(f.attrib["y"]) for f in frames)
    foot = max(float(f.attrib["y"]) + float(f.attrib["height"]) for f in frames)
    polygons = [e for e in root.iter() if e.tag.endswith("polygon")]
    assert len(polygons) == min(len(layout.shapes), MOST_SHAPES)
    for e in polygons:
        for x, y in (map(float, p.split(",")) for p in e.attrib["points"].split()):
            assert left - 0.02 <= x <= right + 0.02
            assert top - 0.02 <= y <= foot + 0.02
    across, down = (right - left) / float(layout.width), (foot - top) / float(layout.height)
    assert across == pytest.approx(down, rel=0.01, abs=0.02)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: f"{e.rule}-{e.figure}-{e.says:g}")
def test_no_rule_minds_the_unit_its_lengths_are_given_in(example: object) -> None:
    """Every example of the book again, in millimetres: the same figures exactly, and what is bought is enough."""
    name, given_ = example.rule, {k: str(v) for k, v in example.given.items()}  # type: ignore[attr-defined]
    metric: dict[str, str | Amount] = dict(given_)
    for ask in rule(name).asks:
        if ask.unit == "inch" and ask.name in given_:
            amount = parse_amount(given_[ask.name])
            amount = amount if amount.dims else Amount.of(amount.base, "inch")
            metric[ask.name] = Amount.of(amount.value("millimeter"), "millimeter")
    a, b = _outcome(name, given_), apply(rule(name), metric)[0]
    assert {k: f.amount.base for k, f in a.figures.items()} == {k: f.amount.base for k, f in b.figures.items()}
    for buy in a.buys:
        if buy.need.dims == buy.bought.dims:
            assert buy.bought.base >= buy.need.base
        assert buy.also is None or buy.also.base >= buy.need.base


NUMBERS = st.sampled_from(
    ["0", "1/64", "1/8", "1/2", "1", "2", "3 1/2", "10", "36", "42", "100", "1999", "39999", "3 mm"]
)


@pytest.mark.parametrize("name", rules())
@settings(max_examples=40, deadline=None)
@given(st.data())
def test_whatever_is_typed_gives_an_answer_or_one_line(name: str, data: st.DataObject) -> None:
    given_: dict[str, str | Amount] = {}
    for ask in rule(name).asks:
        values = st.sampled_from(ask.choices) if ask.kind == "choice" else PARTS if ask.kind == "parts" else NUMBERS
        if ask.default is None or data.draw(st.booleans()):
            given_[ask.name] = data.draw(values, ask.name)
    told = ""
    try:
        out = apply(rule(name), given_)[0]
    except BadInput as error:
        told = str(error)
        assume(bool(told))
    else:
        assert all(b.bought.base >= b.need.base for b in out.buys if b.need.dims == b.bought.dims)
    assert "\n" not in told


def test_every_rule_of_the_book_is_among_the_examples() -> None:
    assert {e.rule for e in EXAMPLES} >= set(rules()) - {"width_conversion"}
