"""The words of words.toml, read once."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Sequence
from importlib import resources
from typing import Any


@functools.cache
def _data() -> dict[str, Any]:
    return tomllib.loads(resources.files(__package__).joinpath("words.toml").read_text("utf-8"))


@functools.cache
def words(name: str) -> frozenset[str]:
    """The words or phrases of the list ``name``."""
    return frozenset(w.strip() for w in _data()[name].split(","))


@functools.cache
def same_dimension() -> dict[str, str]:
    """Words for a dimension to the one it is filed under: "circumference" and "girth" are "round"."""
    return dict(_data()["same_dimension"])


@functools.cache
def measured_in() -> dict[str, str]:
    """Name of a quantity to the unit it is measured in, where that is no length."""
    return dict(_data()["measured_in"])


@functools.cache
def also_said() -> dict[str, str]:
    """Word said of a thing to the piece that it tells of: "lined" to "lining"."""
    return dict(_data()["also_said"])


def unit_named(found: Sequence[str], beside: Sequence[str] = ()) -> str | None:
    """The unit of a quantity by the words of its name, in the singular; ``None`` where they do not tell another than one of
    length. ``beside`` are the words of the other quantities of its formula: a drop is one of volts beside a current, and
    the drop of a curtain else."""
    table = measured_in()
    known = [w for w in found if w in table]
    sure = [w for w in known if w not in words("unsure")]
    if not sure and not any(w in table and w not in words("unsure") for w in beside):
        return None
    return table[(sure or known)[0]] if known else None
