"""The rules of the trades, a module a family; :func:`rules` has them all by name."""

from __future__ import annotations

import functools

from buildlog.errors import BadInput, one_line
from buildlog.reckon.book import Rule


@functools.cache
def rules() -> dict[str, Rule]:
    """Every rule, by name, in the order of the book."""
    from buildlog.reckon.rules import (
        bands,
        bias,
        cloth,
        costs,
        edges,
        finish,
        fixings,
        gathers,
        leather,
        notions,
        pleats,
        quilts,
        skirts,
        strips,
        timber,
    )

    families = (
        strips,
        bias,
        gathers,
        pleats,
        bands,
        skirts,
        edges,
        cloth,
        quilts,
        notions,
        timber,
        fixings,
        leather,
        finish,
        costs,
    )
    book = {rule.name: rule for family in families for rule in family.RULES}
    assert len(book) == sum(len(family.RULES) for family in families), "two rules have one name"
    return book


def rule(name: str) -> Rule:
    """The rule called ``name``. Raises :class:`BadInput`, with the nearest names."""
    from difflib import get_close_matches

    book = rules()
    if name not in book:
        near = get_close_matches(name, book, 3) or ["…"]
        raise BadInput(
            f"there is no rule “{one_line(name, 40)}”; near it: {', '.join(near)}; `buildlog reckon --rules` lists them"
        )
    return book[name]
