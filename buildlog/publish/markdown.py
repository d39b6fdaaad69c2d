"""The build sheet in Markdown (CommonMark, with tables as most programs read them)."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from buildlog.publish.box import series_rows
from buildlog.publish.formats import Part
from buildlog.publish.plain import at_moment, moment
from buildlog.publish.sheet import Thing, under_pieces

_SPECIAL = re.compile(r"([\\`*_{}\[\]()<>#+!|~&$^=:-])")


def escaped(text: str) -> str:
    """``text`` that shows as it is: every character with a meaning gets a backslash, and no bare address is a link."""
    return re.sub(r"^(\d+)([.)])", r"\1\\\2", _SPECIAL.sub(r"\\\1", text))


def markdown(part: Part) -> str:
    """The sheet of one part."""
    return "\n".join(_rows(part)) + "\n"


def _rows(part: Part) -> Iterator[str]:
    sheet = part.sheet
    yield f"# {escaped(sheet.title)}"
    for text in (sheet.intro, sheet.summary, sheet.disclosure):
        if text:
            yield ""
            yield escaped(text).replace("\n", "  \n")
    if part.about.video_url:
        yield ""
        yield f"[Watch the video](<{part.about.video_url}>) ({moment(sheet.length_s)})"
    yield from _section("Chapters", [f"- {_at(part, c.start_s)} {escaped(c.title)}" for c in sheet.chapters.chapters])
    for heading, things in (
        ("Materials", sheet.materials),
        ("Tools", sheet.tools),
        ("Patterns and references", sheet.references),
        ("Will do instead", sheet.substitutes),
    ):
        yield from _section(heading, things_table(things))
    yield from _section(
        "Links",
        [f"- {escaped(p.what)}: " + (f"<{p.url}>" if p.url else "link to come") for p in sheet.links],
    )
    yield from _section("Steps", _steps(part))
    yield from _section("Take care", [f"- {escaped(text)}" for text, _ in sheet.cautions])
    yield from _section("Tips", [f"- {_at(part, start)} {escaped(text)}" for text, start in sheet.tips])
    yield from _section("Put right", [f"- {_at(part, start)} {escaped(text)}" for text, start in sheet.corrections])
    yield from _section("In this series", [f"- {_auto(row[2:])}" for row in series_rows(sheet, part.host)])


def _auto(row: str) -> str:
    text, _, url = row.rpartition(": ")
    return f"{escaped(text)}: <{url}>"


def _section(heading: str, rows: Sequence[str]) -> Iterator[str]:
    if rows:
        yield ""
        yield f"## {heading}"
        yield ""
        yield from rows


def _at(part: Part, seconds: float) -> str:
    url = at_moment(part.about.video_url, seconds, part.host.moment)
    return f"[{moment(seconds)}](<{url}>)" if url else moment(seconds)


def things_table(things: Sequence[Thing]) -> list[str]:
    """Things as a table; columns that would be empty are left out."""
    if not things:
        return []
    columns = [("Thing", [_named(t) for t in things])]
    for heading, cells in (
        ("Instead of", [escaped(t.instead_of) for t in things]),
        ("Amount", [escaped("; ".join(t.amounts)) for t in things]),
        ("Price", [escaped(t.price) for t in things]),
        ("Note", [escaped(", ".join([*t.facts, *(["link to come"] if t.owed else [])])) for t in things]),
    ):
        if any(cells):
            columns.append((heading, cells))
    if len(columns) == 1:
        return [f"- {name}" for name in columns[0][1]]
    return [
        "| " + " | ".join(h for h, _ in columns) + " |",
        "| " + " | ".join("---" for _ in columns) + " |",
        *("| " + " | ".join(cells[n] for _, cells in columns) + " |" for n in range(len(things))),
    ]


def _named(thing: Thing) -> str:
    paid = " (paid link)" if thing.url and thing.pays else ""
    return f"[{escaped(thing.name)}](<{thing.url}>){paid}" if thing.url else escaped(thing.name)


def _steps(part: Part) -> list[str]:
    rows: list[str] = []
    for heading, steps in under_pieces(part.sheet):
        if heading:
            rows += [*([""] if rows else []), f"### {escaped(heading)}", ""]
        for step in steps:
            off = " (not filmed)" if not step.on_camera else ""
            rows.append(f"{step.number}. {escaped(step.text)}{off} {_at(part, step.start_s)}")
    return rows
