"""The check "a piece used and never cut" over talk with and without such a piece, read by the whole reader."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from test_reckon_narrations import read

from buildlog.reckon import check_log

TALKS = tomllib.loads((Path(__file__).parent / "reckon_uncut.toml").read_text("utf-8"))["talk"]


def gaps(said: str, folder: Path) -> list[str]:
    path = folder / "said.txt"
    sentences = said.replace(". ", ".\n").split("\n")
    path.write_text("".join(f"[{k * 5 // 60}:{k * 5 % 60:02}] {s}\n" for k, s in enumerate(sentences)))
    found = [c for c in check_log(read(path)) if c.kind == "gap"]
    return sorted(re.findall(r"“(.*?)” is used, but cutting", " ".join(c.text for c in found)))


@pytest.mark.parametrize("talk", TALKS, ids=lambda talk: talk["said"][:30])
def test_used_and_never_cut(talk: dict[str, list[str]], tmp_path: Path) -> None:
    assert gaps(str(talk["said"]), tmp_path) == talk["untold"]
