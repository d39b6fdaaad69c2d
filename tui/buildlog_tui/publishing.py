"""The description box and its check list, from :mod:`buildlog.publish`, imported when first needed."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from buildlog.errors import BuildlogError
from buildlog_tui.desk import Desk

if TYPE_CHECKING:
    from buildlog.publish import Box, Finding


class Written(NamedTuple):
    """The box (``None`` where it cannot be written), the check list, and how much room is left or what is wrong."""

    box: Box | None
    findings: list[Finding]
    told: str


def written(desk: Desk) -> Written:
    """The box and the check list together; may be called from a thread."""
    try:
        found = box(desk)
        return Written(found, check(desk), room(found))
    except BuildlogError as error:
        return Written(None, [], str(error))


def box(desk: Desk) -> Box:
    """The description box of the part as it is now. Raises :class:`BuildlogError`."""
    from buildlog.publish.series import box_part

    return box_part(desk.archive, desk.part)


def check(desk: Desk) -> list[Finding]:
    """What stops the part from being posted (``blocks``), then what is worth a look. Raises :class:`BuildlogError`."""
    from buildlog.publish.series import check_part

    return check_part(desk.archive, desk.part)


def accept(desk: Desk, finding: Finding) -> None:
    """A finding is fine as it is. Raises :class:`BuildlogError`."""
    from buildlog.publish.series import accept

    accept(desk.archive, desk.part, finding)
    desk.reload()


def room(found: Box) -> str:
    """How much more fits, in words."""
    if found.left >= 0:
        return f"{found.left:,} of {found.limit:,} {found.unit} left"
    return f"{-found.left:,} {found.unit} too long"
