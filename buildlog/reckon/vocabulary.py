"""The words of words.toml, read once."""

from __future__ import annotations

import functools
import tomllib
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
