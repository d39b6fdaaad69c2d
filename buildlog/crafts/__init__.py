"""Craft knowledge as data: one TOML file a craft, read here and nowhere else.

How a craft file is written (a new craft needs no Python):

``[material]``, ``[tool]``, ``[pattern]``, ``[reference]``, ``[container]``, ``[count]``, ``[piece]``, ``[place]``,
``[abstract]``, ``[person]``, ``[product]``
    key = a group of terms ("fabric"), value = terms between commas or line ends; ``=`` before other names of the same
    term ("bias tape = bias binding"); ``?`` after a name that also has an everyday meaning and needs more evidence.
``[technique]``
    one technique a line: ``name: verbs | nouns``. A verb may carry a particle ("press open") and after ``>`` the only
    objects that make it this technique ("set > rivet snap eyelet"); ``?`` marks a verb with an everyday meaning.
``[shown]``
    technique = names of tools, materials and joints that show it where they are at work in a step ("went over it with
    a belt sander": sanding), the last words of a longer name.
``[verbs]``
    lists of verb lemmas by use: ``making``, ``plain`` (making, but no technique), ``talk`` (never a step);
    ``unlisted`` are techniques that are steps but not listed.
``[verb_item]``
    verb = the thing it implies ("iron" = "iron").
``[heads]``
    kind = head nouns of compounds that settle the kind ("saw" in "rip saw").
``[decides]``
    ambiguous word = what settles it, in words.
``[settings]``
    setting = usual range, in words, with where it comes from.
``[[hazard]]``
    see :mod:`buildlog.tag.hazards`.
"""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Iterator, Mapping
from importlib import resources
from typing import Any

import msgspec

ITEM_KINDS = ("material", "tool", "pattern", "reference")
TERM_KINDS = (*ITEM_KINDS, "container", "count", "piece", "place", "abstract", "person", "product")


class Entry(msgspec.Struct, frozen=True, gc=False):
    """One term as written in a craft file. ``names[0]`` is the canonical name; ``doubtful`` are those marked ``?``."""

    craft: str
    kind: str
    group: str
    names: tuple[str, ...]
    doubtful: frozenset[str]


class VerbPattern(msgspec.Struct, frozen=True, gc=False):
    """A verb that shows a technique: its lemma, a particle or ``None``, the objects it needs (empty: any)."""

    verb: str
    particle: str | None
    objects: frozenset[str]
    doubtful: bool


class TechniqueEntry(msgspec.Struct, frozen=True, gc=False):
    """One technique line of a craft file. ``doubtful`` are the nouns marked ``?``."""

    craft: str
    group: str
    name: str
    verbs: tuple[VerbPattern, ...]
    nouns: tuple[str, ...]
    doubtful: frozenset[str]


def _split(text: str) -> Iterator[str]:
    for line in text.splitlines():
        for part in line.split(","):
            part = part.strip()
            if part:
                yield part


def words(text: str) -> frozenset[str]:
    """The entries of a plain list between commas or line ends."""
    return frozenset(_split(text))


def entries(craft: str, data: Mapping[str, Any]) -> Iterator[Entry]:
    """The terms of one craft file."""
    for kind in TERM_KINDS:
        for group, text in data.get(kind, {}).items():
            for part in _split(text):
                names, doubtful = [], set()
                for name in part.split("="):
                    name = name.strip()
                    if name.endswith("?"):
                        name = name[:-1].rstrip()
                        doubtful.add(name)
                    names.append(name)
                yield Entry(craft, kind, group, tuple(names), frozenset(doubtful))


PARTICLES = frozenset(
    "up down off out on in over under open flat through back away together along apart into round around smooth dry "
    "shut proud flush square".split()
)


def _verb(text: str) -> VerbPattern:
    text, _, objects = text.partition(">")
    text = text.strip()
    doubtful = text.endswith("?")
    text = text.rstrip("? ")
    verb, _, particle = text.rpartition(" ")
    if not verb or particle not in PARTICLES:
        verb, particle = text, ""
    return VerbPattern(verb, particle or None, frozenset(objects.split()), doubtful)


def techniques(craft: str, data: Mapping[str, Any]) -> Iterator[TechniqueEntry]:
    """The techniques of one craft file."""
    for group, text in data.get("technique", {}).items():
        for line in text.splitlines():
            name, _, rest = line.partition(":")
            name = name.strip()
            if not name:
                continue
            verbs_text, _, nouns_text = rest.partition("|")
            nouns, doubtful = [], set()
            for noun in _split(nouns_text):
                if noun.endswith("?"):
                    noun = noun[:-1].rstrip()
                    doubtful.add(noun)
                nouns.append(noun)
            verbs = tuple(_verb(v) for v in _split(verbs_text))
            yield TechniqueEntry(craft, group, name, verbs, tuple(nouns), frozenset(doubtful))


@functools.cache
def craft_files() -> dict[str, dict[str, Any]]:
    """Every craft file of the package: craft name -> its tables. "general" comes first."""
    folder = resources.files(__name__)
    found = [f.name for f in folder.iterdir() if f.name.endswith(".toml")]
    names = sorted(found, key=lambda name: (name != "general.toml", name))
    return {name.removesuffix(".toml"): tomllib.loads((folder / name).read_text("utf-8")) for name in names}


def wordnet_table() -> bytes:
    """The table that ``benchmarks/build_lexicon.py`` builds from WordNet (JSON), as bytes."""
    return (resources.files(__name__) / "wordnet.json").read_bytes()
