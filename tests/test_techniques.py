"""Techniques: each once, under one name, with the other names said aloud. Talk invented here; names are the trade's."""

from __future__ import annotations

import pytest

from buildlog.document import Line, RecordingInfo
from buildlog.reading import read


def techniques(said: str) -> dict[str, list[str]]:
    lines = [Line(start_s=0.0, end_s=len(said.split()) / 2.5, text=said)]
    log = read(lines, RecordingInfo(path="talk.txt", duration_s=lines[-1].end_s))
    return {t.name: t.aliases for t in log.techniques}


@pytest.mark.parametrize(
    ("said", "names"),
    [
        (
            "I closed the gap with a ladder stitch, some folks call it a blind stitch, and knotted it off inside.",
            {"ladder stitch", "blind stitch"},
        ),
        (
            "Every section gets joined to the one below with a kettle stitch. A catch stitch, some say. Then I cut the tail.",
            {"kettle stitch", "catch stitch"},
        ),
        (
            "I sewed the seat edge down with a blanket stitch. The old word is blindstitching. Then I trimmed the hessian.",
            {"blanket stitch", "blindstitching"},
        ),
    ],
)
def test_another_name_said_aloud_is_no_technique_of_its_own(said: str, names: set[str]) -> None:
    together = [names & {name, *aliases} for name, aliases in techniques(said).items()]
    assert [t for t in together if t] == [names]


@pytest.mark.parametrize(
    "said",
    [
        "I sewed the button on with buttonhole twist, doubled, and wound the shank six times.",
        "I wiped the panel down with a tack cloth and left the room for ten minutes.",
    ],
)
def test_a_thing_in_another_things_name_shows_no_technique(said: str) -> None:
    """Buttonhole twist is a thread and a tack cloth a sticky rag: neither makes buttonholes nor tacks."""
    assert not {"buttonholes", "buttonholing", "tacking", "temporary tacking"} & set(techniques(said))
