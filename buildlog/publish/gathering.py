"""One line for one thing: what is listed under a name that another listed thing says more fully, and what comes first.

The tagger gathers mentions where the sentences tell that they name one thing, and keeps apart what may be two. Here
nothing is merged in the log: things are only shown together where listing both would say no more.
"""

from __future__ import annotations

import functools
import tomllib
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path

from buildlog.document import Item, Log
from buildlog.publish.naming import name_words

MOST_MENTIONS = 6  # beyond so many, talk is no measure of how much a thing matters


@functools.cache
def _classes() -> dict[str, list[str]]:
    """A word by which a material is known -> the words for its class."""
    out: dict[str, list[str]] = {}
    for whole, members in tomllib.loads((Path(__file__).parent / "classes.toml").read_text("utf-8")).items():
        for member in str(members).split(","):
            out.setdefault(member.strip(), []).append(whole)
    return out


def folded(items: Sequence[Item]) -> dict[str, str]:
    """Ids of items that say no more than others -> the other's id: "screws" beside "brass screws" is the same thing,
    and so is "thread" beside "waxed linen". What the maker confirmed, or what carries a price, amount or link of its
    own while several could be meant, stays."""
    fuller: dict[tuple[str, tuple[str, ...]], list[Item]] = {}
    named = [(i, name_words(i.name)) for i in items]
    for item, words in named:
        for n in range(1, len(words)):
            fuller.setdefault((item.kind, words[n:]), []).append(item)
        if item.kind == "material":
            for whole in dict.fromkeys(w for word in words for w in _classes().get(word, ())):
                if whole not in words:
                    fuller.setdefault((item.kind, (whole,)), []).append(item)
    out: dict[str, str] = {}
    for item, words in named:
        others = [o for o in fuller.get((item.kind, words), ()) if o.id != item.id]
        of_its_own = bool(item.price or item.quantities or item.link)
        if item.confidence >= 1.0 or not others or (of_its_own and len(others) > 1):
            continue
        out[item.id] = min(others, key=lambda o: abs(o.first_s - item.first_s)).id
    return {i: _end(i, out) for i in out}


def _end(start: str, into: Mapping[str, str]) -> str:
    at, seen = start, {start}
    while at in into and into[at] not in seen:
        at = into[at]
        seen.add(at)
    return at


def weights(log: Log, items: Sequence[Item], into: Mapping[str, str]) -> dict[str, int]:
    """Item id -> how much it matters: the steps it is used in, how often it is spoken of, what it cost."""
    in_steps = Counter(i for s in log.steps for i in s.items)
    out: Counter[str] = Counter()
    for item in items:
        known = 2 * bool(item.price or item.link)
        out[into.get(item.id, item.id)] += in_steps[item.id] + min(len(item.mentions), MOST_MENTIONS) + known
    return out
