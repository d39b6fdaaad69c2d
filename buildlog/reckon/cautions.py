"""The usual cautions of the tools that a rule's cutting brings, and what a sheet is good for."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Iterable
from importlib import resources

# Shown with every sheet.
PLANNING = (
    "This helps to plan. It does not replace the pattern's or product's instructions, a pretest on scrap, local codes "
    "or a qualified person's judgement."
)


@functools.cache
def _texts() -> dict[str, str]:
    data = tomllib.loads(resources.files(__package__).joinpath("cautions.toml").read_text("utf-8"))
    return {key: f"{row['text']} ({row['source']})" for key, row in data.items()}


def cautions(keys: Iterable[str]) -> list[str]:
    """The sentences of ``keys``, each once, with what a sheet is good for last."""
    texts = _texts()
    return [*dict.fromkeys(texts[k] for k in keys), PLANNING]
