"""Passages of talk, invented with their right answers before they were read: amounts worked out, and measurements.

``amounts/told``: what is ``said``, in which ``round`` it was invented, and what must come out: ``[result, formula, inputs]``
of a derived amount (the formula is there to read, and is not judged), ``value[..max] [unit]`` of a measurement. A passage
is right when its answers match one to one with nothing over, by the rules of ``benchmarks/score.py``. How many must be
right is what was reached, less what a reader trained anew may shift.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import msgspec
import pytest
from loaded import module_at

from buildlog.document import Line, RecordingInfo
from buildlog.reading import read
from buildlog.tag.reader import model_folder

HERE = Path(__file__).resolve().parent

SCORE = module_at("benchmarks/score.py")


def _cases(name: str, turn: int) -> list[dict[str, Any]]:
    lines = (HERE / "amounts" / "told" / f"{name}.jsonl").read_text(encoding="utf-8").splitlines()
    return [case for line in lines if (case := json.loads(line))["round"] == turn]


def _log(said: str) -> dict[str, Any]:
    built: dict[str, Any] = msgspec.to_builtins(
        read([Line(start_s=0.0, end_s=2.0, text=said)], RecordingInfo(path="told", duration_s=2.0))
    )
    return built


def _worked_out(want: list[Any]) -> dict[str, Any]:
    result, _, inputs = want
    return {"start_s": 0.0, "result": result, "inputs": inputs}


def _measured(want: str) -> dict[str, Any]:
    value, _, unit = want.partition(" ")
    low, _, high = value.partition("..")
    return {"start_s": 0.0, "value": float(low), "value_max": float(high) if high else None, "unit": unit or None}


def _whole(gold: list[dict[str, Any]], got: list[dict[str, Any]], match: Any) -> bool:
    return len(SCORE.pair(gold, got, match)) == len(gold) == len(got)


@pytest.mark.skipif(model_folder() is None, reason="needs the trained reader")
@pytest.mark.parametrize(("turn", "least"), [(1, 108), (2, 41), (3, 33)])
def test_amounts_worked_out(turn: int, least: int) -> None:
    """Whole passages right: 113 of 159, 44 of 64 and 36 of 55 when this was written."""
    cases = _cases("derived", turn)
    wrong = [
        case["said"]
        for case in cases
        if not _whole([_worked_out(x) for x in case["want"]], _log(case["said"])["derived"], SCORE.match_derived)
    ]
    assert len(cases) - len(wrong) >= least, wrong


@pytest.mark.skipif(model_folder() is None, reason="needs the trained reader")
@pytest.mark.parametrize(("turn", "least"), [(1, 98), (2, 52), (3, 47)])
def test_measurements(turn: int, least: int) -> None:
    """Whole passages right: 102 of 117, 54 of 60 and 50 of 60 when this was written."""
    cases = _cases("measured", turn)
    wrong = [
        case["said"]
        for case in cases
        if not _whole([_measured(x) for x in case["want"]], _log(case["said"])["measurements"], SCORE.match_measurement)
    ]
    assert len(cases) - len(wrong) >= least, wrong


def test_the_judge_can_fail() -> None:
    gold = [_measured("2.5..3 inch")]
    assert _whole(gold, [{"start_s": 0.0, "value": 2.5, "value_max": 3.0, "unit": "inch"}], SCORE.match_measurement)
    assert not _whole(
        gold, [{"start_s": 0.0, "value": 2.5, "value_max": None, "unit": "inch"}], SCORE.match_measurement
    )
    assert not _whole(gold, [], SCORE.match_measurement)
    assert not _whole([], [{"start_s": 0.0, "value": 2.0, "value_max": None, "unit": None}], SCORE.match_measurement)
    one = [_worked_out(["strap length", "chest + 3", ["chest"]])]
    assert _whole(one, [{"start_s": 0.0, "result": "strap", "inputs": ["chest"]}], SCORE.match_derived)
    assert not _whole(one, [{"start_s": 0.0, "result": "strap", "inputs": ["chest", "neck"]}], SCORE.match_derived)
