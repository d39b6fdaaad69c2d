"""``buildlog words``: the maker's own craft words, which win over everything that buildlog knows."""

from __future__ import annotations

from pathlib import Path

import click

from buildlog.cli.common import archive_option, json_option, open_archive, print_json, safe, say

KINDS = ("material", "tool", "pattern", "reference", "technique", "piece", "not_a_thing")


@click.group()
def command() -> None:
    """Your own craft words: names that your trade or your bench uses and no list has."""


@command.command("add")
@click.argument("term")
@click.option("--kind", type=click.Choice(KINDS), required=True, help="What the word names.")
@click.option("--also", "aliases", multiple=True, metavar="NAME", help="Another name for it; may be repeated.")
@archive_option
def add_word(term: str, kind: str, aliases: tuple[str, ...], archive: Path) -> None:
    """Add TERM, or change what it names. "not_a_thing" keeps a word out of the lists."""
    with open_archive(archive) as opened:
        word = opened.words.keep(term, kind, aliases=aliases)
    say(f"“{safe(word.term)}” is now {word.kind}; read a recording again to see it used")


@command.command("list")
@json_option
@archive_option
def list_words(as_json: bool, archive: Path) -> None:
    """List your words, by term."""
    if not archive.exists():
        words = []
    else:
        with open_archive(archive, read_only=True) as opened:
            words = opened.words.all()
    if as_json:
        print_json([{"term": w.term, "kind": w.kind, "also": w.aliases} for w in words])
        return
    for word in words:
        also = f"  (also {', '.join(safe(a) for a in word.aliases)})" if word.aliases else ""
        click.echo(f"{safe(word.term):<28} {word.kind}{also}")
    if not words:
        say('no words of your own yet; add one with `buildlog words add "TERM" --kind tool`')


@command.command("remove")
@click.argument("term")
@archive_option
def remove_word(term: str, archive: Path) -> None:
    """Take TERM out of your words."""
    with open_archive(archive, create=False) as opened:
        opened.words.remove(term)
    say(f"“{safe(term)}” is out of your words")
