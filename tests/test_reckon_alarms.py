"""The sanity checks over whole talks, read by the whole reader: every alarm that is due, and no other."""

from __future__ import annotations

from pathlib import Path

import pytest
from test_reckon_narrations import read

from buildlog.document import Check, Log
from buildlog.reckon.page import open_checks

# talk, and words of each alarm that is due.
TALKS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "too much for the width": (("I cut six pieces of ten inch out of a forty-five inch width.",), ("6 times",)),
    "four of them fit": (("I cut four pieces of ten inch out of a forty-five inch width.",), ()),
    "one allowance, said twice": (
        ("Seam allowance is half an inch on this.", "The seam allowance is five eighths of an inch, so keep to that."),
        ("seam allowance: first",),
    ),
    "two things of one name": (
        ("The ply thickness is twelve mil.", "For the back the ply thickness is three mil."),
        (),
    ),
    "webbing": (
        ("I bought two yards of webbing.", "I cut five straps of webbing, twenty inches each."),
        ("2 yd (182.9 cm) was bought",),
    ),
    "webbing enough": (("I bought three yards of webbing.", "I cut five straps of webbing, twenty inches each."), ()),
    # 6 x 20 x 18 = 2160 sq in; a yard of 36 in is 1296
    "panels out of a yard": (
        (
            "I bought one yard of the canvas, it's thirty-six inches wide.",
            "And from the canvas I cut six panels at twenty inches by eighteen inches.",
        ),
        ("1 yd (91.4 cm) was bought",),
    ),
    "slats": (
        ("The bench is thirty inches wide overall.", "Five slats of seven inches go side by side across it."),
        ("5 slats side by side",),
    ),
    "prices": (
        ("The webbing was two dollars a yard and I bought two yards of webbing.", "In total I spent twenty dollars."),
        ("the prices said come to 4.00 USD",),
    ),
    "prices that add up": (
        ("The webbing was two dollars a yard and I bought two yards of webbing.", "In total I spent four dollars."),
        (),
    ),
    "no unit": (("The neck hole is the head plus six.",), ("6 was said without a unit",)),
    "a count": (("The pins are the number of hoops less one.",), ()),
    # 3 x 15 = 45
    "a slip": (
        ("Each strap is three times the body width.", "The body is fifteen inches wide, so that's forty-eight inches."),
        ("strap works out at 45 in",),
    ),
    # 28 / 3 = 9 1/3
    "rounded": (("The yoke is a third of the chest.", "The chest is twenty-eight inches, so that's nine inches."), ()),
}


def alarms(log: Log) -> list[Check]:
    return [c for c in open_checks(log) if c.kind != "gap"]


@pytest.mark.parametrize("name", TALKS)
def test_alarms(name: str, tmp_path: Path) -> None:
    sentences, due = TALKS[name]
    path = tmp_path / "talk.txt"
    path.write_text("".join(f"[0:{k * 8:02}] {s}\n" for k, s in enumerate(sentences)))
    found = [c.text for c in alarms(read(path))]
    assert len(found) == len(due), found
    assert all(any(words in text for text in found) for words in due), found
