"""The files of the trained writer, checked and opened."""

from __future__ import annotations

import functools
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from buildlog import weights
from buildlog.errors import MissingModel

Floats = npt.NDArray[np.float32]
_NUMBERS = frozenset(
    "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen twenty thirty forty "
    "fifty sixty seventy eighty ninety hundred thousand half quarter quarters third thirds eighth eighths sixteenth sixteenths".split()
)


def model_folder() -> Path | None:
    """Where the trained writer lies: beside the checkout in ``models/writer``, or inside the installed package."""
    folder = weights.own_folder("writer")
    return folder if folder is not None and (folder / "writer.json").is_file() else None


@dataclass(frozen=True)
class Model:
    reads: Any
    writes: Any
    tokenizer: Any
    about: dict[str, Any]
    pieces: npt.NDArray[np.int8]
    scale: Floats
    tables: dict[str, Floats]
    spelled: list[str]
    may: npt.NDArray[np.int64]
    number: npt.NDArray[np.bool_]  # of all pieces: those of amounts
    words: frozenset[str]  # that the steps it learnt from are written in

    def embed(self, ids: npt.NDArray[np.int64], places: Floats, norm: Floats) -> Floats:
        """Pieces (batch, length) with their places (length, size), normed: (batch, length, size)."""
        x = self.pieces[ids].astype(np.float32) * self.scale[ids] + places
        x -= x.mean(-1, keepdims=True)
        x /= np.sqrt((x * x).mean(-1, keepdims=True) + 1e-12)
        return np.asarray(x * norm[0] + norm[1], dtype=np.float32)


@functools.cache
def load() -> Model:
    """The writer. Raises :class:`MissingModel` where it is not installed, or damaged."""
    folder = model_folder()
    if folder is None:
        raise MissingModel(
            "the trained writer is not installed; install buildlog again (or `git restore models/writer`)"
        )
    about = json.loads((folder / "writer.json").read_text(encoding="utf-8"))
    for name, wanted in about["sha256"].items():
        path = folder / name
        if not path.is_file() or weights.sha256(path) != wanted:
            raise MissingModel(
                f"the trained writer in {folder} is damaged; install buildlog again (or `git restore models/writer`)"
            )
    from tokenizers import BertWordPieceTokenizer

    reads, writes = (weights.session(folder / f) for f in ("reads.onnx", "writes.onnx"))
    arrays = np.load(folder / "pieces.npz")
    spelled = (folder / "vocab.txt").read_text(encoding="utf-8").split("\n")
    may = np.array(about["may"], dtype=np.int64)
    return Model(
        reads, writes, BertWordPieceTokenizer(str(folder / "vocab.txt"), lowercase=True), about,
        arrays["pieces"], arrays["scale"].astype(np.float32),
        {k: arrays[k].astype(np.float32) for k in arrays.files if k not in ("pieces", "scale")},
        spelled, may, np.array([p[:1].isdigit() or p in _NUMBERS for p in spelled]),
        frozenset((folder / "words.txt").read_text(encoding="utf-8").split()),
    )  # fmt: skip
