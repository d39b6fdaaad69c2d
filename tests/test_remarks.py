"""Links owed of rules and trained reader together: several in one breath, and what is none. Sentences invented here."""

from __future__ import annotations

import numpy as np
import pytest

from buildlog.document import Line
from buildlog.tag.pipeline import tag
from buildlog.tag.promises import find_promises
from buildlog.tag.reader import Reading
from buildlog.tag.remarks import merge_promises
from buildlog.tag.view import View, view_of


def promised(said: str, spans: list[tuple[str, str, float]]) -> list[str]:
    """The promises kept and added where the reader gives the words ``first`` to ``last`` the probability ``p``."""
    doc = tag([Line(start_s=0.0, end_s=8.0, text=said)]).doc
    v: View = view_of(doc)
    layer = np.zeros((len(v.text), 3), dtype=np.float32)
    layer[:, 0] = 1.0
    for first, last, p in spans:
        start = v.low.index(first)
        end = v.low.index(last, start) + 1
        layer[start:end] = (1 - p, 0.0, p)
        layer[start] = (1 - p, p, 0.0)
    return [o.text for o in merge_promises(v, find_promises(doc), Reading({"L": layer}, "MTPRX", "L"), [])]


@pytest.mark.parametrize(
    ("said", "spans", "number"),
    [
        # the rules know the place of the first only; the second is the reader's
        ("The sleeve chart is in the description. Plus our weaver, her page goes where it always goes.",
         [("the", "description", 0.95), ("plus", "goes", 0.9)], 2),
        # one promise said in two sentences stays one
        ("There's a free chart of hat sizes. It's in the description.", [("there", "sizes", 0.9), ("it", "description", 0.95)], 1),
        # a stretch of the reader's that holds two: "and there's a link"
        ("The stencil, I'll scan that and pop it up for you, and there's a link for the paint.", [("the", "paint", 0.97)], 2),
        # nobody's promise: no word of one, and the reader half sure
        ("You'll want chalk, clips and something to hum.", [("you", "hum", 0.6)], 0),
        # the words of one, but nothing the reader would call so
        ("My uncle says the bench will still be there.", [], 0),
        # denied
        ("I haven't got a link for the mud, it came in a tin.", [("i", "mud", 0.7)], 0),
    ],
)  # fmt: skip
def test_rules_and_reader_together(said: str, spans: list[tuple[str, str, float]], number: int) -> None:
    assert len(promised(said, spans)) == number
