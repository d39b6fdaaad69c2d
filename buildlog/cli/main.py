"""The command line: ``buildlog VERB``.

Verbs live in modules of their own and are imported only when called, so that ``--help`` stays quick. Standard output
carries data only; progress and messages go to standard error. Exit codes: 0 done, 1 a defect of ours, 2 bad input
or usage, 3 not ready to post, 130 stopped by the maker.
"""

from __future__ import annotations

import importlib
import os
import sys

import click

from buildlog.errors import BuildlogError

# verb -> (module, what --help says)
VERBS: dict[str, tuple[str, str]] = {
    "take": ("buildlog.cli.take", "Take recordings or transcripts in: hear, read and keep them in the archive."),
    "tag": ("buildlog.cli.tag", "Read one recording or timed transcript and print its log; keeps nothing."),
    "show": ("buildlog.cli.show", "Show what was found in a part: steps, items, amounts, links owed."),
    "bench": ("buildlog.cli.bench", "Open the workbench in the terminal to put a log right."),
    "write": ("buildlog.cli.write", "Write the description box and files other programs read."),
    "check": ("buildlog.cli.check", "Say what still stops a part from being posted."),
    "find": ("buildlog.cli.find", "Find the moment something was shown, over every video."),
    "ask": ("buildlog.cli.ask", "Answer a viewer's question from the log, with the minute it was said."),
    "builds": ("buildlog.cli.builds", "List builds and parts, and what they still owe."),
    "links": ("buildlog.cli.links", "The link book: things and their URLs across all builds."),
    "reckon": ("buildlog.cli.reckon", "Work quantities out for other sizes: cut list, shopping list, cost."),
    "footage": ("buildlog.cli.footage", "Log a folder of raw clips, and carry times over to the cut."),
    "models": ("buildlog.cli.models", "List, check and fetch the speech and language models."),
    "words": ("buildlog.cli.words", "Your own craft words: add, list, remove."),
}


class Verbs(click.Group):
    """A click group that imports a verb's module only when that verb is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(VERBS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in VERBS:
            return None
        command: click.Command = importlib.import_module(VERBS[cmd_name][0]).command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Verbs"):
            formatter.write_dl([(name, text) for name, (_, text) in VERBS.items()])


@click.group(cls=Verbs, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 110})
@click.version_option(package_name="buildlog")
def cli() -> None:
    """From recordings of the making to chapters, steps, materials, amounts, links and a description box."""


def main() -> None:
    """Entry point of the ``buildlog`` command."""
    try:
        code = cli.main(standalone_mode=False)
    except BuildlogError as error:
        click.echo(f"buildlog: {error}", err=True)
        sys.exit(error.exit_code)
    except click.ClickException as error:
        error.show()
        sys.exit(2)
    except (KeyboardInterrupt, click.Abort):
        click.echo("buildlog: stopped; what was finished is kept, the same command goes on from there", err=True)
        sys.exit(130)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    sys.exit(code if isinstance(code, int) else 0)


if __name__ == "__main__":
    main()
