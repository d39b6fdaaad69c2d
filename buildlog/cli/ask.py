"""``buildlog ask``: a viewer's question, answered from the log with the minute it was said."""

from __future__ import annotations

from pathlib import Path

import click

from buildlog.cli.common import (
    archive_option,
    find_part,
    hms,
    json_option,
    open_archive,
    print_json,
    safe,
)


@click.command()
@click.argument("words", nargs=-1, required=True, metavar="QUESTION")
@click.option("--build", metavar="NAME", help="The build it is asked under; can be left out where there is only one.")
@click.option("--part", type=click.IntRange(1), metavar="N", help="The part's number; the last if not said.")
@click.option("--reply", is_flag=True, help="Only text to paste under the viewer's question.")
@json_option
@archive_option
def command(
    words: tuple[str, ...], build: str | None, part: int | None, reply: bool, as_json: bool, archive: Path
) -> None:
    """Answer a viewer's QUESTION about one video: what cloth, how much, the link, the minute, what instead.

    The answer is what the log says, with the minute and the sentence it rests on, or "Not said in this video."
    """
    from buildlog.cli.find import prepare, time_link
    from buildlog.find.desk import answer

    question = " ".join(words)
    with open_archive(archive, create=False) as opened:
        prepare(opened)
        found = find_part(opened, build, part)
        said = answer(opened, found.id, question)
        url = time_link(found, said.at_s) if said.at_s is not None else None
    if as_json:
        print_json({"build": found.build, "part": found.number, "url": url, "answer": said})
        return
    at = f" ({hms(said.at_s)})" if said.at_s is not None else ""
    if reply:
        click.echo(f"{safe(said.text)}{at}{f' {url}' if url else ''}")
        return
    click.echo(f"{safe(said.text)}{at}")
    if said.quote:
        click.echo(f"  “{safe(said.quote)}”")
    if url:
        click.echo(f"  {url}")
    if said.nearest is not None:
        click.echo(f"  nearest, {hms(said.nearest.at_s)}: “{safe(said.nearest.said)}”")
