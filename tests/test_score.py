"""The scorer: small cases whose result can be counted by hand."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "benchmarks"))

from score import Tally, alike, match_measurement, match_step, pair, stems, within


def item(name: str, kind: str = "material", status: str = "used", **more: object) -> dict[str, object]:
    return {"name": name, "kind": kind, "status": status, "first_s": 0.0, **more}


def test_names_are_alike_where_one_holds_the_other() -> None:
    assert alike(["waxed canvas"], ["canvas"]) >= 0.9
    assert alike(["bias tape"], ["twill tape"]) == 0.0
    assert alike(["basting"], ["baste"]) > 0.8


def test_a_match_is_one_to_one() -> None:
    gold = [{"start_s": 10.0}]
    got = [{"start_s": 11.0}, {"start_s": 10.5}]
    assert pair(gold, got, within(8)) == [(0, 1)]


def test_measurements_need_value_and_unit_and_time() -> None:
    a = {"start_s": 5.0, "value": 3.625, "value_max": None, "unit": "inch"}
    assert match_measurement(a, {**a, "unit": "inches"}) > 0
    assert match_measurement(a, {**a, "value": 3.5}) == 0
    assert match_measurement(a, {**a, "start_s": 12.0}) == 0
    assert match_measurement(a, {**a, "value_max": 4.0}) == 0


def test_steps_need_half_of_the_shorter_ones_words() -> None:
    a = {"start_s": 0.0, "text": "Rivet the straps to the back."}
    assert match_step(a, {"start_s": 3.0, "text": "Rivet the two straps."}) > 0
    assert match_step(a, {"start_s": 3.0, "text": "Sand the lid."}) == 0
    assert match_step(a, {"start_s": 11.0, "text": "Rivet the straps to the back."}) == 0


def test_stems_drop_small_words_and_ends() -> None:
    assert stems("Baste the tape to the canvas") == ["bast", "tap", "canva"]


def test_tally_counts_by_hand() -> None:
    gold = {"items": [item("linen"), item("oak", status="considered"), item("awl", kind="tool")]}
    got = {"items": [item("linen"), item("oak"), item("cork")]}
    tally = Tally()
    tally.add(gold, got)
    assert tally.counts["materials used"] == [1, 1, 3]  # linen hit; oak and cork are extra
    assert tally.counts["tools used"] == [0, 1, 0]
    assert tally.counts["items, any status"] == [2, 3, 3]
    assert (tally.status_right, tally.status_seen) == (1, 2)
    assert tally.f1("items, any status") == 2 * 2 / (3 + 3)


def test_what_a_sheet_leaves_out_is_not_scored() -> None:
    tally = Tally()
    tally.add({"items": []}, {"items": [], "steps": [{"start_s": 0, "text": "Cut it."}]})
    assert "steps" not in tally.counts
