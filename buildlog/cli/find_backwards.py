"""``buildlog find`` the other way round: from a thing to the builds it was used in, and what was never done."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from buildlog.cli.common import hms, print_json, safe, say
from buildlog.errors import BadInput

if TYPE_CHECKING:
    from buildlog.archive import Archive
    from buildlog.find.backwards import Use

_QUESTIONS = ("made_with", "last_used", "shown_once", "never_linked", "cost")


def asked(options: dict[str, Any]) -> tuple[str, Any] | None:
    """Which of these questions was asked, with its value. Raises :class:`BadInput` for two at once."""
    given = [(k, options[k]) for k in _QUESTIONS if options[k]]
    if len(given) > 1:
        raise BadInput("one question at a time: " + ", ".join(f"--{k.replace('_', '-')}" for k, _ in given))
    return given[0] if given else None


def answer(archive: Archive, question: tuple[str, Any], as_json: bool) -> None:
    """Print the answer."""
    from buildlog.find import backwards

    name, value = question
    if name == "cost":
        _cost(archive, value, as_json)
        return
    if name == "never_linked":
        promises = backwards.never_linked(archive)
        if as_json:
            print_json(promises)
            return
        for p in promises:
            click.echo(f"{safe(p.build)}, part {p.part}  {hms(p.at_s)}  {safe(p.what)}: “{safe(p.text)}”")
        if not promises:
            say("every link that was promised is there")
        return
    uses = {
        "made_with": lambda: backwards.made_with(archive, value),
        "last_used": lambda: [u for u in [backwards.last_used(archive, value)] if u is not None],
        "shown_once": lambda: backwards.shown_once(archive),
    }[name]()
    if as_json:
        print_json(uses)
        return
    for use in uses:
        click.echo(_use(use))
    if not uses:
        say("never" if name == "last_used" else "nothing")


def _use(use: Use) -> str:
    return f"{use.day}  {safe(use.build)}, part {use.part}  {hms(use.at_s)}  {safe(use.name)}"


def _cost(archive: Archive, build: str, as_json: bool) -> None:
    from buildlog.find import backwards

    costs = backwards.cost(archive, build)
    if as_json:
        print_json(costs)
        return
    for c in costs.prices:
        counted = "not counted" if c.counted is None else f"{c.counted:.2f} {c.currency or ''}".rstrip()
        click.echo(f"part {c.part}  {hms(c.at_s)}  {safe(c.name)}: {safe(c.said)} -> {counted} ({safe(c.why)})")
    for currency, total in costs.sums.items():
        click.echo(f"prices said, together: {total:.2f} {safe(currency)}")
    for number, words in costs.said:
        click.echo(f"said in part {number}: {safe(words)}")
    if not costs.prices and not costs.said:
        say("no price was said")
