"""Sentences as vectors: an encoder of our own (``models/sentences``) in ONNX, taught what viewers ask of which moment.

The words are cut up with the vocabulary that the trained reader brings (BERT, uncased: the same one). Where the
weights, their right bytes or the vocabulary are absent, there are no vectors: finding works by words and says so.
"""

from __future__ import annotations

import functools
import json
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from buildlog import weights

Floats = npt.NDArray[np.float32]
_BATCH = 16


class Meaning:
    """Turns sentences into vectors of unit length. Get one with :func:`meaning`."""

    def __init__(self, session: Any, tokenizer: Any) -> None:
        self._session = session
        self._tokenizer = tokenizer
        self._takes = {i.name for i in session.get_inputs()}

    def vectors(self, texts: Sequence[str]) -> Floats:
        """One vector a text: shape (n, 384)."""
        out = np.zeros((len(texts), 384), dtype=np.float32)
        encoded = self._tokenizer.encode_batch([t[:2000] for t in texts])
        # Texts of one length together, so that little is spent on padding.
        order = sorted(range(len(texts)), key=lambda i: len(encoded[i].ids))
        for at in range(0, len(order), _BATCH):
            group = order[at : at + _BATCH]
            longest = max(len(encoded[i].ids) for i in group)
            ids = np.zeros((len(group), longest), dtype=np.int64)
            mask = np.zeros_like(ids)
            for row, i in enumerate(group):
                n = len(encoded[i].ids)
                ids[row, :n], mask[row, :n] = encoded[i].ids, 1
            feed = {"input_ids": ids, "attention_mask": mask, "token_type_ids": np.zeros_like(ids)}
            tokens = self._session.run(None, {k: v for k, v in feed.items() if k in self._takes})[0]
            weight = mask[:, :, None].astype(np.float32)
            mean = (tokens * weight).sum(axis=1) / np.maximum(weight.sum(axis=1), 1e-9)
            out[group] = mean / np.maximum(np.linalg.norm(mean, axis=1, keepdims=True), 1e-9)
        return out


@functools.cache
def commonness() -> dict[str, int]:
    """Whole English words with their place by how common they are (1: the most common); empty without the vocabulary.

    The vocabulary lists words in that order after its first 1,996 entries (marks and single characters).
    """
    path = _vocabulary()
    if path is None:
        return {}
    words = path.read_text("utf-8").splitlines()[1996:]
    return {w: n for n, w in enumerate(words, 1) if w.isalpha()}


def _vocabulary() -> Path | None:
    folder = weights.own_folder("reader")
    return folder / "vocab.txt" if folder is not None and (folder / "vocab.txt").is_file() else None


def why_not() -> str | None:
    """Why there are no vectors, in a few words; ``None`` where there are."""
    if os.environ.get("BUILDLOG_VECTORS") == "off":
        return "switched off by BUILDLOG_VECTORS"
    if weights.state(weights.manifest()["sentences"]) != "buildlog":
        return "the weights are missing or damaged: `buildlog models check`"
    if _vocabulary() is None:
        return "the trained reader's vocabulary is not installed"
    return None


@functools.cache
def meaning() -> Meaning | None:
    """The one encoder of this process, loaded when first asked for; ``None`` where there are no vectors."""
    if why_not() is not None:
        return None
    from tokenizers import BertWordPieceTokenizer

    folder = weights.own_folder("sentences")  # just found whole: hashed once
    assert folder is not None
    about = json.loads((folder / "sentences.json").read_text("utf-8"))
    session = weights.session(folder / "sentences.onnx")
    tokenizer = BertWordPieceTokenizer(str(_vocabulary()), lowercase=True)
    tokenizer.enable_truncation(int(about["longest"]))
    return Meaning(session, tokenizer)
