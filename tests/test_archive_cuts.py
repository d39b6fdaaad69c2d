"""Any cut of any recordings gives a sound log on the part's clock, and the two clocks agree."""

from __future__ import annotations

import pytest
from bench_log import tool_roll
from hypothesis import given, settings
from hypothesis import strategies as st

from buildlog.archive import Clip, Cut, Spot
from buildlog.archive.carry import carry
from buildlog.edits import problems

seconds = st.integers(0, 1200).map(lambda t: t / 10)


@st.composite
def clips(draw: st.DrawFn) -> Clip:
    start = draw(seconds)
    length = draw(st.integers(1, 600).map(lambda t: t / 10))
    return Clip(
        recording_id=draw(st.integers(1, 3)),
        in_s=start,
        out_s=start + length,
        speed=draw(st.sampled_from([0.5, 1.0, 2.0])),
    )


cuts = st.builds(
    lambda c, o: Cut(clips=tuple(c), offset_s=o), st.lists(clips(), max_size=6), st.sampled_from([0.0, 4.0])
)


@settings(max_examples=150, deadline=None)
@given(cuts)
def test_any_cut_gives_a_sound_log(cut: Cut) -> None:
    log = carry({1: tool_roll(), 2: tool_roll()}, cut)
    assert problems(log) == []
    assert [line.start_s for line in log.transcript] == sorted(line.start_s for line in log.transcript)
    times = [m.start_s for i in log.items for m in i.mentions] + [s.end_s for s in log.steps]
    assert all(cut.offset_s <= t <= cut.length_s + 1e-6 for t in times)
    assert len({(i.kind, i.name) for i in log.items}) == len(log.items)
    # Nothing is said twice that is shown once, and nothing shown is lost.
    awls = [i for i in log.items if i.name == "awl"]
    assert bool(awls) == any(c.recording_id in (1, 2) and c.in_s <= 52.5 <= c.out_s for c in cut.clips)


@settings(max_examples=150, deadline=None)
@given(cuts, st.floats(0, 400))
def test_the_clocks_agree(cut: Cut, at_s: float) -> None:
    spot = cut.to_recording(at_s)
    if spot is None:
        assert at_s < cut.offset_s or at_s > cut.length_s or not cut.clips
        return
    # The moment may be shown twice; wherever it is found, it is that moment.
    back = cut.to_part(spot)
    assert back is not None
    again = cut.to_recording(back)
    assert again is not None
    if back != pytest.approx(at_s, abs=1e-6):
        assert sum(c.recording_id == spot.recording_id and c.in_s <= spot.at_s <= c.out_s for c in cut.clips) > 1
    elif again.recording_id == spot.recording_id:
        assert again.at_s == pytest.approx(spot.at_s, abs=1e-5)


def test_a_moment_between_two_clips_belongs_to_the_second() -> None:
    cut = Cut(clips=(Clip(recording_id=1, in_s=0, out_s=10), Clip(recording_id=2, in_s=5, out_s=20)))
    assert cut.to_recording(10.0) == Spot(2, 5.0)
    assert cut.to_recording(25.0) == Spot(2, 20.0)
    assert cut.to_recording(26.0) is None
    assert cut.to_part(Spot(1, 12.0)) is None
