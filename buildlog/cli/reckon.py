"""``buildlog reckon``: quantities worked out for other sizes."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from buildlog.cli.common import (
    archive_option,
    find_part,
    hms,
    json_option,
    open_archive,
    part_options,
    print_json,
    safe,
    say,
)
from buildlog.errors import BadInput, one_line

if TYPE_CHECKING:
    from buildlog.document import Log, Worksheet
    from buildlog.edits import AcceptCheck
    from buildlog.reckon import Kept
    from buildlog.reckon.result import Result


@click.command()
@part_options
@click.argument("inputs", nargs=-1, metavar="[NAME=VALUE]...")
@click.option(
    "--log", "log_file", type=click.Path(path_type=Path), metavar="FILE", help="A log document instead of a part."
)
@click.option("--rule", "rule_name", metavar="NAME", help="Straight from one rule of the book.")
@click.option("--rules", "list_rules", is_flag=True, help="List the rules: formula, units, limits, source.")
@click.option("--sheet", "sheet_name", metavar="ID", help="Only the worksheet with this number or title.")
@click.option(
    "--inputs", "input_file", type=click.Path(path_type=Path), metavar="FILE", help="Inputs as lines NAME = VALUE."
)
@click.option("--ask/--no-ask", default=None, help="Ask for what is missing. Default: yes in a terminal.")
@click.option(
    "--sizes",
    metavar="NAME[=A,B,C]",
    help="A small table over sizes of one input; without A,B,C, five round the present one.",
)
@click.option("--keep", is_flag=True, help="Keep the inputs given here with the part; the bench has them too.")
@click.option("--forget", multiple=True, metavar="NAME", help="Take a kept input back.")
@click.option("--box", "as_box", is_flag=True, help="Only the block for a description box.")
@click.option(
    "--pictures", type=click.Path(path_type=Path), metavar="FOLDER", help="Write the cutting layouts here, as SVG."
)
@json_option
@archive_option
def command(
    build: str | None,
    part: int | None,
    inputs: tuple[str, ...],
    log_file: Path | None,
    rule_name: str | None,
    list_rules: bool,
    sheet_name: str | None,
    input_file: Path | None,
    ask: bool | None,
    sizes: str | None,
    keep: bool,
    forget: tuple[str, ...],
    as_box: bool,
    pictures: Path | None,
    as_json: bool,
    archive: Path,
) -> None:
    """Work quantities out for other sizes: cut list, shopping list, cost.

    From a part in the archive (BUILD), a log document (--log), or one rule (--rule). Inputs are given as NAME=VALUE
    ("chest=36 in" "fabric width=110 cm"), read from a file, or asked for. Nothing is guessed: what is open is listed.
    """
    from buildlog.reckon import open_checks, worksheets

    if list_rules:
        _print_rules(as_json)
        return
    given = list(inputs)
    if build is not None and "=" in build and (rule_name or log_file):
        given.insert(0, build)
        build = None
    typed = {**_from_file(input_file), **_pairs(given)}
    log: Log | None = None
    kept: list[Kept] = []
    accepted: list[AcceptCheck] = []
    if (keep or forget) and (rule_name or log_file):
        raise BadInput("inputs are kept with a part of the archive; leave --rule and --log out, or --keep and --forget")
    if rule_name:
        from buildlog.reckon import from_rule

        sheets = [from_rule(rule_name, typed)]
        typed = {}
    else:
        log, kept, accepted = _log(log_file, build, part, archive, typed if keep else {}, forget)
        sheets = _picked(log.worksheet or worksheets(log), sheet_name)
    _no_strangers(sheets, typed)
    fitted = [(s, r) for s in sheets if (r := _fitted(s, typed, kept, ask, as_json, alone=len(sheets) == 1))]
    sheets, results = [s for s, _ in fitted], [r for _, r in fitted]
    tables = _tables(sheets, typed, kept, sizes) if sizes else []
    if pictures:
        _write_pictures(pictures, results)
    checks = open_checks(log, accepted) if log else []
    if as_json:
        print_json(
            {
                "sheets": results,
                "checks": checks,
                "boxes": tables or [_box(s, r) for s, r in zip(sheets, results, strict=True)],
            }
        )
        return
    from buildlog.reckon.cautions import PLANNING
    from buildlog.reckon.showing import lines

    if as_box:
        boxes = tables or [_box(s, r) for s, r in zip(sheets, results, strict=True)]
        click.echo("\n\n".join(safe_block(b) for b in boxes if b))
        return
    if not results:
        say("nothing in this log can be worked out; give a rule with --rule, or list them with --rules")
    for result in results:
        for line in lines(result):
            click.echo(safe(line))
        click.echo()
    for table in tables:
        click.echo(safe_block(table) + "\n")
    for check in checks:
        moments = ", ".join(hms(t) for t in check.times) or hms(check.start_s)
        click.echo(f"! {safe(check.text)} ({moments})")
    if results:
        click.echo(PLANNING)


def safe_block(text: str) -> str:
    """A block of lines, each safe in a terminal."""
    return "\n".join(safe(line) for line in text.split("\n"))


def _log(
    log_file: Path | None,
    build: str | None,
    part: int | None,
    archive: Path,
    keep: Mapping[str, str],
    forget: Sequence[str],
) -> tuple[Log, list[Kept], list[AcceptCheck]]:
    """The log meant, the inputs kept for it and the checks let be, after keeping and forgetting what was asked."""
    from buildlog.reckon import kept_inputs, set_inputs, take_back

    if log_file is None:
        with open_archive(archive, read_only=not (keep or forget)) as opened:
            found = find_part(opened, build, part)
            for name in forget:
                take_back(opened, found, name)
            if keep:
                set_inputs(opened, found, keep)
            return opened.log(found.id), kept_inputs(opened, found), opened.accepted_checks(found.id)
    from buildlog.document import from_json

    try:
        return from_json(log_file.read_bytes()), [], []
    except OSError as error:
        raise BadInput(f"cannot read {one_line(log_file)}: {error.strerror}; give a file that exists") from error


def _pairs(texts: Sequence[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for text in texts:
        name, sign, value = text.partition("=")
        if not sign or not name.strip() or not value.strip():
            raise BadInput(f"“{one_line(text, 40)}” is no input; write NAME=VALUE, such as chest=36 in")
        found[name.strip()] = value.strip()
    return found


def _from_file(path: Path | None) -> dict[str, str]:
    if path is None:
        return {}
    try:
        text = path.read_text("utf-8-sig")
    except OSError as error:
        raise BadInput(f"cannot read {one_line(path)}: {error.strerror}; give a file that exists") from error
    except UnicodeDecodeError as error:
        raise BadInput(f"{one_line(path)} is not UTF-8 text; save it as UTF-8") from error
    if len(text) > 100_000:
        raise BadInput(f"{one_line(path)} is too long for a list of inputs; keep one NAME = VALUE a line")
    rows = [row.strip() for row in text.splitlines()]
    return _pairs([row for row in rows if row and not row.startswith("#")])


def _picked(sheets: list[Worksheet], name: str | None) -> list[Worksheet]:
    if name is None:
        return sheets
    found = [s for s in sheets if name.casefold() in (s.id.casefold(), s.title.casefold())]
    found = found or [s for s in sheets if name.casefold() in s.title.casefold()]
    if not found:
        there = ", ".join(f"{s.id} ({s.title})" for s in sheets) or "none"
        raise BadInput(f"there is no worksheet “{one_line(name, 40)}”; there are: {one_line(there)}")
    return found


def _no_strangers(sheets: list[Worksheet], typed: Mapping[str, str]) -> None:
    known = {q.name.casefold() for s in sheets for q in s.quantities}
    for name in typed:
        if name.casefold() not in known:
            asked = dict.fromkeys(q.name for s in sheets for q in s.quantities if q.rule is None)
            raise BadInput(
                f"there is no input “{one_line(name, 40)}”; these sheets have {one_line(', '.join(asked)) or 'none'}"
            )


def _fitted(
    sheet: Worksheet, typed: Mapping[str, str], kept: Sequence[Kept], ask: bool | None, as_json: bool, *, alone: bool
) -> Result | None:
    """``sheet`` fitted; what is missing is asked for on the terminal, an empty answer leaves it open.

    One of several sheets whose formula cannot be worked out as it was said is told of and left out.
    """
    from buildlog.reckon import fit

    mine = _inputs(sheet, typed, kept)
    try:
        result = fit(sheet, mine)
    except BadInput as error:
        if alone or mine:
            raise
        say(f"{safe(sheet.title)}: left out: {error}")
        return None
    if ask is False or (ask is None and (as_json or not sys.stdin.isatty())):
        return result
    for question in result.asked:
        if question.said:
            say(f"“{safe(question.said)}”")
        unit = f" (in {question.unit} if you give none)" if question.unit else ""
        while True:
            answer = click.prompt(f"{safe(question.name)}{unit}", default="", show_default=False, err=True)
            if not answer.strip():
                break
            try:
                fit(sheet, {**mine, question.name: answer})
            except BadInput as error:
                say(str(error))
                continue
            mine[question.name] = answer
            break
    return fit(sheet, mine)


def _inputs(sheet: Worksheet, typed: Mapping[str, str], kept: Sequence[Kept]) -> dict[str, str]:
    """What of ``typed`` and ``kept`` the sheet knows, by its own names; what was typed now goes first."""
    from buildlog.reckon import inputs_for

    names = {q.name.casefold(): q.name for q in sheet.quantities}
    mine = {names[k.casefold()]: v for k, v in typed.items() if k.casefold() in names}
    return {**inputs_for(sheet, kept), **mine}


def _tables(sheets: Sequence[Worksheet], typed: Mapping[str, str], kept: Sequence[Kept], sizes: str) -> list[str]:
    """A table for each sheet that has the input. Raises BadInput where none has it, or none can be worked out."""
    from buildlog.reckon.block import size_table, sizes_of

    name, _, values = (p.strip() for p in sizes.partition("="))
    knowing = [(s, q.name) for s in sheets for q in s.quantities if q.name.casefold() == name.casefold()]
    if not knowing:
        asked = dict.fromkeys(q.name for s in sheets for q in s.quantities if q.rule is None)
        raise BadInput(
            f"there is no input “{one_line(name, 40)}”; these sheets have {one_line(', '.join(asked)) or 'none'}"
        )
    tables = []
    for sheet, own in knowing:
        mine = _inputs(sheet, typed, kept)
        tables.append(size_table(sheet, own, sizes_of(sheet, own, values, mine), mine))
    return tables


def _box(sheet: Worksheet, result: Result) -> str:
    from buildlog.reckon.block import block

    return block(sheet, result)


def _write_pictures(folder: Path, results: list[Result]) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for result in results:
            for number, picture in enumerate(result.pictures, 1):
                name = "".join(c if c.isalnum() else "-" for c in f"{result.id}-{number}-{picture.title}".lower())[:80]
                (folder / f"{name}.svg").write_text(picture.svg, "utf-8")
    except OSError as error:
        raise BadInput(f"cannot write to {one_line(folder)}: {error.strerror}; give another folder") from error


def _print_rules(as_json: bool) -> None:
    from buildlog.reckon import rules

    if as_json:
        print_json(
            [
                {
                    "name": r.name, "craft": r.craft, "title": r.title, "formula": r.formula, "limits": r.limits,
                    "source": r.source,
                    "inputs": [
                        {"name": a.name, "says": a.says, "unit": a.unit, "default": a.default, "choices": a.choices}
                        for a in r.asks
                    ],
                }
                for r in rules().values()
            ]
        )  # fmt: skip
        return
    for r in rules().values():
        click.echo(f"{r.name} ({r.craft}): {r.title}")
        click.echo(f"  {r.formula}")
        asks = ", ".join(
            f"{a.name}{'=' + a.default if a.default is not None else ''}{' ' + a.unit if a.unit else ''}"
            for a in r.asks
        )
        click.echo(f"  inputs: {asks}")
        click.echo(f"  limits: {r.limits}")
        click.echo(f"  source: {r.source}")
