"""What the verbs share: the archive option, progress on standard error, text that is safe in a terminal."""

from __future__ import annotations

import contextlib
import unicodedata
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from buildlog.errors import BuildlogError, NotFound
from buildlog.settings import archive_path

if TYPE_CHECKING:
    from buildlog.archive import Archive, Part
    from buildlog.document import Log
    from buildlog.intake import Tell

F = TypeVar("F", bound=Callable[..., Any])

# Turning characters show a text in another order than it is written: a file name could pass for another.
_TURNING = {*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x200E, 0x200F}


def safe(text: object) -> str:
    """``text`` for a terminal: control and direction characters shown as escapes, line breaks too."""
    return "".join(
        c.encode("unicode_escape").decode("ascii")
        if unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") or ord(c) in _TURNING
        else c
        for c in str(text)
    )


def hms(seconds: float) -> str:
    """A moment as viewers read it: 65 is "1:05", 3725 is "1:02:05". Cut to whole seconds, never rounded up."""
    whole = max(0, int(seconds))
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


def counted(number: int, one: str, many: str | None = None) -> str:
    """ "1 step", "2 steps"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def archive_option(function: F) -> F:
    """Adds ``--archive PATH``, given to the function as ``archive: Path``."""
    return click.option(
        "--archive",
        type=click.Path(path_type=Path, dir_okay=True),
        default=archive_path,
        show_default="BUILDLOG_ARCHIVE, else a file in the data folder",
        help="The archive file to use.",
    )(function)


def json_option(function: F) -> F:
    """Adds ``--json``, given to the function as ``as_json: bool``."""
    return click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")(function)


class _BuildName(click.ParamType):  # type: ignore[type-arg,unused-ignore]  # older clicks have no parameter
    """A build's name; shells complete it from the archive."""

    name = "build"

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[Any]:
        from click.shell_completion import CompletionItem

        with (
            contextlib.suppress(BuildlogError),
            open_archive(ctx.params.get("archive") or archive_path(), read_only=True) as archive,
        ):
            names = [b.name for b in archive.builds.all()]
            return [CompletionItem(n) for n in names if n.casefold().startswith(incomplete.casefold())]
        return []


BUILD = _BuildName()


def part_options(function: F) -> F:
    """Adds the argument ``[BUILD]`` and ``--part N``: ``build: str | None``, ``part: int | None``."""
    option = click.option(
        "--part", type=click.IntRange(1), metavar="N", help="The part's number; the last if not said."
    )
    return click.argument("build", type=BUILD, required=False)(option(function))


def open_archive(path: Path, *, read_only: bool = False, create: bool = True) -> Archive:
    """The archive; use it in a ``with``. Raises :class:`ArchiveError`."""
    from buildlog import opening

    return opening.open_archive(path, read_only=read_only, create=create)


def find_part(archive: Archive, build: str | None, number: int | None) -> Part:
    """The part meant: of the build named, or of the only one. Raises :class:`NotFound`."""
    if build is None:
        builds = archive.builds.all()
        if len(builds) != 1:
            names = ", ".join(f"“{safe(b.name)}”" for b in builds[:8]) + (" …" if len(builds) > 8 else "")
            raise NotFound(
                f"say which build: {names}" if builds else "the archive is empty; `buildlog take FILE` fills it"
            )
        build = builds[0].name
    return archive.builds.find_part(build, number)


def with_worksheets(log: Log) -> Log:
    """``log`` with the worksheets that its amounts make now: they are worked out anew, never kept beside the edits."""
    import msgspec

    from buildlog.reckon import worksheets

    return msgspec.structs.replace(log, worksheet=worksheets(log))


def say(text: str) -> None:
    """A message to the maker, on standard error. Text from outside goes through :func:`safe` first."""
    click.echo(text, err=True)


@contextlib.contextmanager
def progress_bar() -> Iterator[Tell]:
    """A progress bar on standard error with the time left; plain lines where that is no terminal."""
    from rich.console import Console
    from rich.markup import escape
    from rich.progress import BarColumn, Progress, TextColumn

    console = Console(stderr=True, highlight=False)
    if not console.is_terminal:
        last = [""]

        def plain(what: str, done_s: float, total_s: float, left_s: float | None) -> None:
            if what != last[0]:
                last[0] = what
                say(f"{safe(what)} …")

        yield plain
        return
    with Progress(
        TextColumn("{task.description}"),
        BarColumn(bar_width=30),
        TextColumn("{task.fields[place]}"),
        TextColumn("{task.fields[left]}"),
        console=console,
        transient=True,
    ) as bar:
        task = bar.add_task("", total=None, place="", left="")

        def tell(what: str, done_s: float, total_s: float, left_s: float | None) -> None:
            known = done_s > 0 or what.endswith("hearing")
            bar.update(
                task,
                description=escape(safe(what)),
                completed=done_s,
                total=total_s if known else None,
                place=f"{hms(done_s)} of {hms(total_s)}" if known else "",
                left="" if left_s is None else f"{hms(left_s)} left",
            )

        yield tell


def print_json(value: Any) -> None:
    """``value`` (anything msgspec encodes) on standard output, indented."""
    import msgspec

    click.echo(msgspec.json.format(msgspec.json.encode(value), indent=2).decode())
