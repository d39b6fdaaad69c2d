"""Running the command line in this process, as its entry point does."""

from __future__ import annotations

import sys
from typing import NamedTuple

import pytest

from buildlog.cli.main import main


class Ran(NamedTuple):
    """What a run left: exit code, standard output, standard error."""

    code: int
    out: str
    err: str


def run(capsys: pytest.CaptureFixture[str], *args: object) -> Ran:
    """``buildlog ARGS``. Output is what the command wrote since the last run."""
    capsys.readouterr()
    before = sys.argv
    sys.argv = ["buildlog", *map(str, args)]
    try:
        main()
    except SystemExit as left:
        code = left.code if isinstance(left.code, int) else 1
    finally:
        sys.argv = before
    out, err = capsys.readouterr()
    return Ran(code, out, err)
