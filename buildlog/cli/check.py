"""``buildlog check``: what still stops a part from being posted."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from buildlog.cli.common import (
    archive_option,
    counted,
    find_part,
    hms,
    json_option,
    open_archive,
    part_options,
    print_json,
    safe,
    say,
)
from buildlog.cli.write import publishing_options, typed
from buildlog.errors import BadInput

if TYPE_CHECKING:
    from buildlog.archive import Archive, Part
    from buildlog.publish import Finding


@click.command()
@part_options
@click.option("--ask-links", is_flag=True, help="Ask every link over the network whether it still answers.")
@click.option("--accept", type=click.IntRange(1), multiple=True, metavar="N", help="Finding N is fine: remember it.")
@publishing_options
@json_option
@archive_option
def command(
    build: str | None,
    part: int | None,
    ask_links: bool,
    accept: tuple[int, ...],
    host: str | None,
    units: str | None,
    steps: str | None,
    template: Path | None,
    sheet_url: str | None,
    settings: Path | None,
    as_json: bool,
    archive: Path,
) -> None:
    """Say what still stops a part from being posted, and what is worth a look.

    Leaves with 0 when the part is ready to post and with 3 when it is not. A finding that is fine as it is can be
    accepted by its number. The network is used only with --ask-links.
    """
    asked = typed(host, units, steps, template, sheet_url, settings)
    with open_archive(archive, read_only=not (accept or ask_links)) as opened:
        found = find_part(opened, build, part)
        dead = _ask(opened, found, asked) if ask_links else []
        findings = _findings(opened, found, asked, dead)
        for number in accept:
            if number > len(findings):
                raise BadInput(f"there is no finding {number}; there are {len(findings)}")
        for number in accept:
            _accept(opened, found, findings[number - 1])
        if accept:
            findings = _findings(opened, found, asked, dead)
    ready = not any(f.blocks for f in findings)
    if as_json:
        print_json({"ready": ready, "findings": findings})
    else:
        for number, finding in enumerate(findings, 1):
            mark = "stops" if finding.blocks else "look"
            click.echo(f"{number:>3}  {mark:<5}  {hms(finding.start_s):>8}  {safe(finding.text)}")
        blocking = sum(f.blocks for f in findings)
        say(
            f"{safe(found.label)} is ready to post."
            if ready
            else f"{safe(found.label)} is not ready: {counted(blocking, 'point')} to settle, or accept with --accept N."
        )
    sys.exit(0 if ready else 3)


def _findings(archive: Archive, part: Part, asked: dict[str, Any], dead: list[str]) -> list[Finding]:
    from buildlog.publish.series import check_part

    return check_part(archive, part, dead=dead, **asked)


def _ask(archive: Archive, part: Part, asked: dict[str, Any]) -> list[str]:
    from buildlog.publish.asking import ask, note_answers
    from buildlog.publish.formats import prepare
    from buildlog.publish.series import about_part, choices

    host, settings = choices(archive, part, **asked)
    publication = prepare(
        archive.log(part.id),
        host=host,
        settings=settings,
        about=about_part(archive, part),
        link_book=archive.links.all(),
    )
    urls = publication.sheet.urls()
    say(f"asking {counted(len(urls), 'link')} …")
    answers = ask(urls)
    note_answers(archive, answers)
    return [a.url for a in answers if not a.answered]


def _accept(archive: Archive, part: Part, finding: Finding) -> None:
    from buildlog.publish.series import accept

    accept(archive, part, finding)
