"""Templates: ours and the maker's own, in a sandbox.

A template sees texts and lists of texts, nothing else: no files, no other templates, no attributes of Python.
"""

from __future__ import annotations

import functools
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from buildlog.errors import BadInput, one_line

if TYPE_CHECKING:
    from jinja2 import Environment, Template

LONGEST = 2_000_000
LONGEST_S = 10.0
# What an expression in a template can end in.
_FAULTS = (TypeError, ValueError, ArithmeticError, LookupError, AttributeError, RecursionError, MemoryError)
OURS = Path(__file__).parent / "templates"


@functools.cache
def _environment(markup: bool) -> Environment:
    from jinja2 import StrictUndefined
    from jinja2.sandbox import ImmutableSandboxedEnvironment

    return ImmutableSandboxedEnvironment(
        autoescape=markup, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True
    )


@functools.lru_cache(maxsize=32)
def compiled(source: str, *, markup: bool = False) -> Template:
    """``source`` ready to be filled in; ``markup`` escapes what is filled in for HTML. Raises :class:`BadInput`."""
    from jinja2 import TemplateError

    try:
        return _environment(markup).from_string(source)
    except (TemplateError, RecursionError) as error:
        line = getattr(error, "lineno", None)
        where = f" in line {line}" if line else ""
        raise BadInput(f"the template has a mistake{where}: {one_line(error, 120)}; correct it") from error


@functools.cache
def ours(name: str) -> str:
    """The text of one of the templates that come with buildlog."""
    return (OURS / name).read_text("utf-8")


def fill(template: Template, values: dict[str, Any], *, longest: int | None = LONGEST) -> str:
    """``template`` filled in. Raises :class:`BadInput` where it asks for what there is not, or never ends."""
    from jinja2 import TemplateError

    out: list[str] = []
    size, until = 0, time.monotonic() + LONGEST_S
    try:
        for piece in template.generate(values):
            out.append(piece)
            size += len(piece)
            if longest is not None and (size > longest or time.monotonic() > until):
                raise BadInput("the template writes more than any host takes; look for a loop in it that should not be")
    except (
        TemplateError,
        TypeError,
        ValueError,
        ArithmeticError,
        LookupError,
        AttributeError,
        RecursionError,
        MemoryError,
    ) as error:
        raise BadInput(f"the template cannot be filled in: {one_line(error, 160)}; correct it") from error
    return "".join(out)
