"""``buildlog links``: the link book, things and their URLs across all builds."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from buildlog.cli.common import (
    archive_option,
    counted,
    json_option,
    open_archive,
    print_json,
    safe,
    say,
)
from buildlog.errors import BadInput

if TYPE_CHECKING:
    from buildlog.archive import BookLink
    from buildlog.publish.linkbook import Mend


@click.group()
def command() -> None:
    """The link book: things and their URLs across all builds.

    What is in it is filled in by itself when the thing is used again.
    """


@command.command("list")
@json_option
@archive_option
def list_links(as_json: bool, archive: Path) -> None:
    """List every entry with its price, when it was last asked, and the videos that use it."""
    from buildlog.publish.linkbook import uses

    with open_archive(archive, read_only=True) as opened:
        found = uses(opened)
    if as_json:
        print_json(found)
        return
    for use in found:
        click.echo(_row(use.entry))
        if use.parts:
            click.echo(f"      used in {'; '.join(safe(p) for p in use.parts)}")
    if not found:
        say('the link book is empty; attach links to things in a build, or `buildlog links add "THING" URL`')


def _row(entry: BookLink) -> str:
    from buildlog.publish.units import price

    facts = [price(entry.price)] if entry.price else []
    facts += [safe(entry.shop)] if entry.shop else []
    facts += ["pays you"] if entry.pays_maker else []
    if entry.checked_at:
        facts.append(f"{'answered' if entry.answered else 'NO ANSWER'} {safe(entry.checked_at[:10])}")
    facts.append(f"since {safe(entry.made_at[:10])}" + (f", {safe(entry.learned_in)}" if entry.learned_in else ""))
    tail = f"  ({', '.join(facts)})"
    return f"{entry.id:>4}  {safe(entry.thing)}  {safe(entry.url)}{tail}"


@command.command("add")
@click.argument("thing")
@click.argument("url")
@click.option("--price", type=click.FloatRange(0), metavar="N", help="What it costs.")
@click.option("--currency", metavar="CODE", help="The price's currency, as in ISO 4217: GBP, USD, EUR.")
@click.option("--shop", metavar="NAME", help="Where it is sold.")
@click.option("--pays-me/--pays-nothing", default=None, help="Whether the link pays you; a disclosure is added then.")
@click.option("--or", "alternatives", multiple=True, metavar="URL", help="Another address for it; may be repeated.")
@archive_option
def add_link(
    thing: str,
    url: str,
    price: float | None,
    currency: str | None,
    shop: str | None,
    pays_me: bool | None,
    alternatives: tuple[str, ...],
    archive: Path,
) -> None:
    """Enter URL for THING, or change what is known of it."""
    from buildlog.document import Price

    paid = None if price is None else Price(amount=price, currency=currency.upper() if currency else None)
    with open_archive(archive) as opened:
        entry = opened.links.keep(
            thing, url, price=paid, shop=shop, pays_maker=pays_me, alternatives=list(alternatives) or None
        )
    say(f"“{safe(entry.thing)}” is in the link book")


@command.command("remove")
@click.argument("number", type=click.IntRange(1))
@archive_option
def remove_link(number: int, archive: Path) -> None:
    """Take entry NUMBER out."""
    with open_archive(archive, create=False) as opened:
        entry = opened.links.entry(number)
        opened.links.remove(number)
    say(f"“{safe(entry.thing)}” is out of the link book")


@command.command("learn")
@archive_option
def learn_links(archive: Path) -> None:
    """Enter the URLs that you attached to things in your parts."""
    from buildlog.publish.linkbook import learn

    with open_archive(archive, create=False) as opened:
        new = learn(opened)
    for entry in new:
        click.echo(_row(entry))
    say(f"{counted(len(new), 'new entry', 'new entries')}")


@command.command("ask")
@json_option
@archive_option
def ask_links(as_json: bool, archive: Path) -> None:
    """Ask every URL over the network whether it still answers, and keep the answer and the date."""
    from buildlog.publish.asking import ask, note_answers

    with open_archive(archive, create=False) as opened:
        urls = list(dict.fromkeys(e.url for e in opened.links.all()))
        say(f"asking {counted(len(urls), 'link')} …")
        answers = ask(urls)
        note_answers(opened, answers)
    if as_json:
        print_json([a._asdict() for a in answers])
        return
    for answer in answers:
        if not answer.answered:
            click.echo(f"no answer  {safe(answer.url)}  ({safe(answer.why)})")
    dead = sum(not a.answered for a in answers)
    say(f"{counted(len(answers), 'link')} asked, {dead or 'all'} {'did not answer' if dead else 'answered'}")


@command.command("mend")
@click.argument("url")
@click.option("--with", "instead", metavar="URL", help="The address to put in its place, in the book and everywhere.")
@json_option
@archive_option
def mend_link(url: str, instead: str | None, as_json: bool, archive: Path) -> None:
    """List the descriptions that show URL and print their new text.

    Without --with nothing is changed: the text has an alternative that the book knows, or no link.
    """
    from buildlog.publish.linkbook import replace, to_mend

    with open_archive(archive, read_only=instead is None) as opened:
        mends = to_mend(opened, url) if instead is None else replace(opened, url, instead)
    if as_json:
        print_json(mends)
        return
    for mend in mends:
        _print_mend(mend)
    say(f"{counted(len(mends), 'description')} to mend")


def _print_mend(mend: Mend) -> None:
    click.echo(f"==== {safe(mend.label)}: {', '.join(safe(t) for t in mend.things)}")
    click.echo(mend.box.text)


@command.command("export")
@click.argument("file", type=click.Path(path_type=Path), required=False)
@archive_option
def export_links(file: Path | None, archive: Path) -> None:
    """Write the book as CSV to FILE, or print it."""
    from buildlog.publish.files import write_file
    from buildlog.publish.linkbook import to_csv

    with open_archive(archive, read_only=True) as opened:
        text = to_csv(opened.links.all())
    if file is None:
        click.echo(text.removeprefix("\ufeff"), nl=False)
        return
    write_file(file, text.encode())
    say(f"Wrote {safe(file.name)}")


@command.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@archive_option
def import_links(file: Path, archive: Path) -> None:
    """Enter the rows of a CSV file; its first line names the columns, "thing" and "url" at least."""
    from buildlog.publish.linkbook import from_csv

    try:
        text = file.read_text("utf-8-sig")
    except OSError as error:
        raise BadInput(f"cannot read {safe(file)}: {error.strerror}; name a CSV file") from error
    except UnicodeDecodeError as error:
        raise BadInput(f"{safe(file.name)} is not UTF-8; save it as CSV in UTF-8") from error
    with open_archive(archive) as opened:
        number = from_csv(opened, text)
    say(f"{counted(number, 'entry', 'entries')} from {safe(file.name)}")
