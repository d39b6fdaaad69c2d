"""What the maker wants in a description box, and what is known about the video beside its log."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

import msgspec

from buildlog.errors import BadInput, one_line
from buildlog.publish.doubt import SURE_ITEM
from buildlog.publish.units import Units

# What can be cut where a host's limit is short, the first to go first. Chapters, cautions and the disclosure are last.
CUT_ORDER = (
    "tips", "corrections", "outro", "substitutes", "steps", "tools", "references", "materials", "links", "series",
    "summary", "hashtags", "cautions", "chapters", "disclosure",
)  # fmt: skip


class BoxSettings(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How the maker likes the box.

    ``units``: which system comes first ("as_said" keeps what was said first). ``steps``: all of them, a line that says
    where they are, or nothing. ``template`` is the text of a template of the maker's own (Jinja), else the default.
    ``sheet_url`` is where the whole build sheet can be read. ``cut_order`` names what goes first where a host's limit
    is short; what it leaves out follows in the usual order. ``unlisted``: items under this confidence stay out,
    unless an amount, a price or a link bears them out.
    """

    units: Units = "as_said"
    steps: Literal["list", "pointer", "none"] = "list"
    template: str | None = None
    intro: str = ""
    outro: str = ""
    sheet_url: str | None = None
    prices: bool = True
    substitutes: bool = True
    cautions: bool = True
    corrections: bool = False
    tips: bool = False
    disclosure: str = ""
    hashtags: tuple[str, ...] = ()
    cut_order: tuple[str, ...] = CUT_ORDER
    unlisted: float = SURE_ITEM

    def order(self) -> list[str]:
        """Every section that can be cut, the first to go first."""
        return list(dict.fromkeys([*(n for n in self.cut_order if n in CUT_ORDER), *CUT_ORDER]))


def settings_from(*sources: Mapping[str, Any]) -> BoxSettings:
    """Settings from mappings (of the archive, of a part, of the command line), later ones first.

    Raises :class:`BadInput` for a name or value that is none.
    """
    merged: dict[str, Any] = {}
    for source in sources:
        merged |= {k: v for k, v in source.items() if v is not None}
    try:
        settings = msgspec.convert(merged, BoxSettings)
    except msgspec.ValidationError as error:
        raise BadInput(f"the box cannot be set so: {one_line(error, 160)}; `buildlog write --help` says how") from error
    odd = [n for n in settings.cut_order if n not in CUT_ORDER]
    if odd:
        raise BadInput(f"no section is called {one_line(odd[0], 40)}; cut any of {', '.join(CUT_ORDER)}")
    return settings


def listed() -> list[tuple[str, str, str]]:
    """Every setting: its name, what it holds, what it is if nothing was said (nothing where that is "no" or "none")."""
    out = []
    for field in msgspec.structs.fields(BoxSettings):
        usual = field.default
        kinds = {bool: "true or false", str: "text", tuple: "a list of texts", float: "0 to 1"}
        kind = kinds.get(type(usual), "text")
        if field.name in ("units", "steps"):
            kind = " or ".join(
                ("as_said", "metric", "imperial") if field.name == "units" else ("list", "pointer", "none")
            )
        said = (
            ", ".join(usual) if isinstance(usual, tuple) else str(usual).lower() if isinstance(usual, bool) else usual
        )
        out.append((field.name, kind, str(said or "")))
    return out


class Pointer(msgspec.Struct, frozen=True, kw_only=True):
    """A remark about another part, and where that part is: ``url`` opens it at the moment meant, if it is posted."""

    start_s: float
    said: str
    part: int
    title: str | None = None
    url: str | None = None
    at_s: float | None = None
    direction: Literal["back", "forward"] = "back"


class About(msgspec.Struct, frozen=True, kw_only=True):
    """What is known about the video beside its log: its title, its build, its place in a series.

    ``promised`` are remarks of earlier parts about this one or one to come: (part, second, words).
    """

    build: str = ""
    title: str | None = None
    number: int = 1
    parts: int = 1
    video_url: str | None = None
    posted_on: str | None = None
    pointers: tuple[Pointer, ...] = ()
    promised: tuple[tuple[int, float, str], ...] = ()
    part_urls: tuple[tuple[int, str | None, str], ...] = ()
