"""``buildlog tag``: read one recording or transcript and print its log; nothing is kept in the archive."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from buildlog.cli.common import json_option, progress_bar, with_worksheets
from buildlog.errors import BadInput


@click.command()
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
@click.option(
    "--transcript",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="The media file's words, so that it need not be heard.",
)
@click.option(
    "--model", default="base", show_default=True, metavar="NAME", help="Speech model; `buildlog models` lists them."
)
@click.option("--language", default="en", show_default=True, metavar="CODE", help="The language spoken.")
@click.option("--track", type=click.IntRange(1), metavar="N", help="Which audio track to hear, counted from 1.")
@json_option
def command(
    file: Path,
    transcript: Path | None,
    model: str,
    language: str,
    track: int | None,
    as_json: bool,
) -> None:
    """Read one recording or timed transcript and print its log.

    FILE is video, audio, or a timed transcript (WebVTT, SubRip, lines such as "[1:05] text"). With --json the whole
    log document goes to standard output and nothing else. `take` keeps what was found; this verb does not.
    """
    from buildlog.cli.showing import recording_lines
    from buildlog.document import to_json
    from buildlog.intake import Hearing, read_words, sources, whole_log, words_of

    found = sources([file], transcript)
    if len(found) != 1:
        raise BadInput("tag reads one file; give a recording or a transcript, or use `buildlog take` for a folder")
    source = found[0]
    hearing = Hearing(model=model, language=language, track=track)
    with progress_bar() as tell:
        log = whole_log(source)
        if log is None:
            words, _ = words_of(source, hearing, tell=tell)
            log = read_words(words, source.path.name, tell=tell)
    if as_json:
        sys.stdout.buffer.write(to_json(with_worksheets(log)))
    else:
        for line in recording_lines(log):
            click.echo(line)
