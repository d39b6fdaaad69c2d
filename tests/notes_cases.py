"""Reading the sentence files of ``tests/notes`` and running the English pipeline over a sentence."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from spacy.tokens import Doc

from buildlog.tag.language import english
from buildlog.tag.timed import doc_of

FOLDER = Path(__file__).parent / "notes"


def cases(name: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in (FOLDER / f"{name}.jsonl").read_text(encoding="utf-8").splitlines()]


def parsed(text: str) -> Doc:
    nlp = english()
    doc = doc_of(text, nlp.tokenizer)
    for _, pipe in nlp.pipeline:
        doc = pipe(doc)
    return doc


def scored(hit: int, gold: int, found: int) -> tuple[float, float]:
    """Recall and precision."""
    return (hit / gold if gold else 1.0, hit / found if found else 1.0)
