"""The words of amounts, read once from ``words.toml``."""

from __future__ import annotations

import functools
import tomllib
from dataclasses import dataclass
from fractions import Fraction
from importlib.resources import files
from typing import Any


@dataclass(frozen=True, slots=True)
class Unit:
    """``name`` as Pint has it, ``dim`` a coarse kind ("length", "time"), ``plural`` of the word said."""

    name: str
    dim: str
    plural: bool = False


@dataclass(frozen=True, slots=True)
class Lexis:
    """Every table of ``words.toml``, shaped for looking up."""

    units: dict[str, Unit]
    short_units: dict[str, Unit]
    scales: dict[str, str]
    raw: dict[str, Any]
    money: dict[str, tuple[str | None, int]]
    signs: dict[str, str]
    notes: dict[str, tuple[str | None, Fraction]]
    before: frozenset[tuple[str, ...]]
    after: frozenset[tuple[str, ...]]
    corrections: frozenset[tuple[str, ...]]
    correction_starts: frozenset[str]
    adjectives: frozenset[str]
    vague_adjectives: frozenset[str]
    sets: dict[str, frozenset[str]]
    dimension: dict[str, str]
    aspect: dict[str, str]
    totals: frozenset[tuple[str, ...]]


def _phrases(texts: list[str]) -> frozenset[tuple[str, ...]]:
    """Phrases as tuples of words; the apostrophe stands off as spaCy's tokenizer has it."""
    return frozenset(tuple(t.replace("'", " '").split()) for t in texts)


@functools.cache
def lexis() -> Lexis:
    """The tables, loaded at the first call."""
    raw = tomllib.loads(files(__package__).joinpath("words.toml").read_text(encoding="utf-8"))
    units: dict[str, Unit] = {}
    short: dict[str, Unit] = {}
    for name, entry in raw["units"].items():
        for word in entry["words"]:
            units[word] = Unit(name, entry["dim"], word.endswith("s") or word == "feet")
        for word in entry["digits"]:
            short[word] = Unit(name, entry["dim"], True)
    near = raw["approximate"]
    counting, context, size = raw["counting"], raw["context"], raw["size"]
    sets: dict[str, frozenset[str]] = {}
    for table in (counting, context, size, raw["money_context"], raw["groups"]):
        for key, value in table.items():
            if isinstance(value[0], str):
                sets[key] = frozenset(value)
    sets["repeat_verbs"] = frozenset(raw["repeat_verbs"]["words"])
    corrections = _phrases(raw["correction"]["phrases"])
    return Lexis(
        units=units,
        short_units=short,
        scales={w: name for name, ws in raw["degree_scale"].items() for w in ws},
        raw=raw,
        money={w: (c or None, parts) for w, (c, parts) in raw["money"].items()},
        signs=raw["money_signs"],
        notes={w: (c or None, Fraction(v)) for w, (c, v) in raw["money_notes"].items()},
        before=_phrases(near["before"] + near["phrases_before"]),
        after=_phrases(near["after"]),
        corrections=corrections,
        correction_starts=frozenset(p[0] for p in corrections),
        adjectives=frozenset(near["adjectives"]),
        vague_adjectives=frozenset(near["vague_adjectives"]),
        sets=sets,
        dimension=raw["dimension"],
        aspect=raw["aspect"],
        totals=_phrases(raw["money_context"]["total_phrases"]),
    )
