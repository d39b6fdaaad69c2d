"""The trained reader: for every token, what it names and what kind of remark it stands in.

A small encoder (int8 ONNX, no torch) with one layer on top, trained on marked narrations (``models/training``). It says of a
token: item or technique (kind, begin or inside), the status of the item, amount, step, correction, off camera, caution, tip,
pointer, link, derived, chapter start. The rules of the pipeline read these as evidence beside the words themselves;
without the model they work on the words alone, less well.

It reads before the words are parsed, since it says too where sentences begin; ``doc._.reader`` holds its :class:`Reading`, or
``None``.
"""

from __future__ import annotations

import functools
import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from buildlog import weights
from buildlog.errors import MissingModel

Floats = npt.NDArray[np.float32]
_CLS, _SEP = 101, 102
_OVERLAP = 40  # subwords that two neighbouring windows share, so that no word is read at an edge
_BATCH = 4


@dataclass(slots=True)
class Reading:
    """Probabilities a token. ``layers[name]`` is (tokens, classes): see ``layout`` in the model's JSON.

    "kind" has 1 + 2 * len(kinds) classes: outside, then begin and inside for each of ``kinds``; "status" four (used,
    considered, substitute, mentioned); "amount" and each of ``spans`` three (outside, begin, inside); "chapter" two;
    "start" three (talk goes on, a sentence begins, a clause does).
    """

    layers: dict[str, Floats]
    kinds: str
    spans: str

    def inside(self, span: str, start: int, end: int) -> float:
        """Mean probability that the tokens ``start`` to ``end`` stand in a ``span``."""
        if end <= start:
            return 0.0
        return float(1.0 - self.layers[span][start:end, 0].mean())

    def found(self, span: str, floor: float = 0.5) -> list[tuple[int, int, float]]:
        """Stretches (start, end, mean probability) read as ``span``."""
        p = self.layers[span]
        return stretches(1.0 - p[:, 0], p[:, 1] > p[:, 2], floor)

    def goes_on(self) -> npt.NDArray[np.bool_]:
        """For each token, whether it goes on with a name or an amount that began before it."""
        amount, kind = self.layers["amount"], self.layers["kind"]
        inside: npt.NDArray[np.bool_] = (amount[:, 2] > 0.5) | (kind[:, 2::2].sum(axis=1) > 0.5)
        return inside

    def moved(self, to: npt.NDArray[np.int64]) -> Reading:
        """The reading for other tokens: ``to[i]`` is where token ``i`` stood, -1 for punctuation that was put in.

        What was put in names nothing, and stands inside a span that goes on behind it.
        """
        source = np.maximum.accumulate(to)
        new = to < 0
        after = np.minimum(source + 1, len(next(iter(self.layers.values()))) - 1)
        layers = {}
        for name, p in self.layers.items():
            q = p[source]
            if name in self.spans:
                inside = np.minimum(1 - p[source, 0], p[after, 2])
                q[new] = np.stack([1 - inside, np.zeros_like(inside), inside], axis=1)[new]
            elif name != "status":
                q[new] = np.eye(1, p.shape[1], dtype=np.float32)[0]
            layers[name] = q
        return Reading(layers, self.kinds, self.spans)


def stretches(mass: Floats, begins: npt.NDArray[np.bool_], floor: float = 0.5) -> list[tuple[int, int, float]]:
    """Runs of tokens (start, end, mean) whose ``mass`` reaches ``floor``, cut where a token rather begins than goes on."""
    out: list[tuple[int, int, float]] = []
    start = -1
    n = len(mass)
    for i in range(n + 1):
        inside = i < n and mass[i] >= floor
        if start >= 0 and (not inside or (begins[i] and i > start + 1)):
            out.append((start, i, float(mass[start:i].mean())))
            start = -1
        if inside and start < 0:
            start = i
    return out


def joined(found: list[tuple[int, int, float]], least_gap: int = 0) -> list[tuple[int, int, float]]:
    """Stretches with ``least_gap`` to two tokens between them as one, with the mean weighted by length."""
    out: list[tuple[int, int, float]] = []
    for start, end, p in found:
        if out and least_gap <= start - out[-1][1] <= 2:
            a, b, q = out[-1]
            share = (b - a) / (end - a)
            out[-1] = (a, end, q * share + p * (1 - share))
        else:
            out.append((start, end, p))
    return out


def model_folder() -> Path | None:
    """Where the trained reader lies: beside the checkout in ``models/reader``, or inside the installed package."""
    folder = weights.own_folder("reader")
    return folder if folder is not None and (folder / "reader.onnx").is_file() else None


@functools.cache
def _load() -> tuple[Any, Any, dict[str, Any]] | None:
    folder = model_folder()
    if folder is None:
        return None
    about = json.loads((folder / "reader.json").read_text(encoding="utf-8"))
    if hashlib.sha256((folder / "reader.onnx").read_bytes()).hexdigest() != about["sha256"]:
        raise MissingModel(
            f"the trained reader in {folder} is damaged; install buildlog again (or `git restore models/reader`)"
        )
    from tokenizers import BertWordPieceTokenizer

    session = weights.session(folder / "reader.onnx")
    tokenizer = BertWordPieceTokenizer(str(folder / "vocab.txt"), lowercase=True)
    return session, tokenizer, about


def read(texts: list[str]) -> Reading | None:
    """Read the tokens ``texts`` in order. ``None`` where no trained reader is installed."""
    loaded = _load()
    if loaded is None:
        return None
    session, tokenizer, about = loaded
    layout: dict[str, tuple[int, int]] = {k: (int(a), int(b)) for k, (a, b) in about["layout"].items()}
    width = max(b for _, b in layout.values())
    n = len(texts)
    logits = np.zeros((n, width), dtype=np.float32)
    logits[:, 0] = 8.0  # what has no subword of its own is outside of everything
    ids: list[int] = []
    token_of: list[int] = []
    # One call a stretch of tokens; the pre-tokenizer never joins across the blanks between them.
    for lo in range(0, n, 2000):
        e = tokenizer.encode(texts[lo : lo + 2000], is_pretokenized=True, add_special_tokens=False)
        ids.extend(e.ids)
        token_of.extend(lo + w for w in e.word_ids)
    _run(session, ids, token_of, int(about["length"]), logits)
    _carry_clitics(texts, logits, layout)
    layers = {k: _softmax(logits[:, a:b]) for k, (a, b) in layout.items()}
    return Reading(layers, about["kinds"], about["spans"])


def _run(session: Any, ids: list[int], token_of: list[int], length: int, logits: Floats) -> None:
    room = length - 2
    starts = list(range(0, max(1, len(ids) - _OVERLAP), room - _OVERLAP))
    for at in range(0, len(starts), _BATCH):
        group = starts[at : at + _BATCH]
        longest = max(min(room, len(ids) - s) for s in group)
        x = np.zeros((len(group), longest + 2), dtype=np.int64)
        mask = np.zeros_like(x)
        for r, s in enumerate(group):
            piece = ids[s : s + room]
            x[r, : len(piece) + 2] = [_CLS, *piece, _SEP]
            mask[r, : len(piece) + 2] = 1
        (out,) = session.run(None, {"input_ids": x, "attention_mask": mask})
        for r, s in enumerate(group):
            count = min(room, len(ids) - s)
            # In the shared stretch each window keeps the half that lies farther from its edge.
            lo = s + (_OVERLAP // 2 if s else 0)
            hi = s + count - (_OVERLAP // 2 if s + count < len(ids) else 0)
            previous = token_of[lo - 1] if lo else -1
            for j in range(lo, hi):
                token = token_of[j]
                if token != previous:
                    logits[token] = out[r, j - s + 1]
                    previous = token


def _carry_clitics(texts: list[str], logits: Floats, layout: dict[str, tuple[int, int]]) -> None:
    """ "n't", "'s", "na": parts of one word in the marked text; they go with the word before, inside what it begins."""
    for i in range(1, len(texts)):
        t = texts[i].lower()
        if t == "n't" or t[0] in "'’" or (t == "na" and texts[i - 1].lower() in ("gon", "wan")):
            logits[i] = logits[i - 1]
            for name, (a, b) in layout.items():
                if name in ("status", "chapter"):
                    continue
                for begin in range(a + 1, b, 2):
                    logits[i, begin], logits[i, begin + 1] = -8.0, max(logits[i, begin], logits[i, begin + 1])


def _softmax(z: Floats) -> Floats:
    e = np.exp(z - z.max(axis=1, keepdims=True))
    return np.asarray(e / e.sum(axis=1, keepdims=True), dtype=np.float32)
