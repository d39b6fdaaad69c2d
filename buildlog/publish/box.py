"""The description box: the sheet laid out by a template and brought under a host's limit."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, Literal

import msgspec

from buildlog.document import Log
from buildlog.publish import hosts
from buildlog.publish.plain import at_moment, capital, clean, counted, lower, moment, safe_url
from buildlog.publish.settings import About, BoxSettings
from buildlog.publish.sheet import NO_TITLE, Sheet, Thing, sheet, under_pieces
from buildlog.publish.templating import compiled, fill, ours

if TYPE_CHECKING:
    from buildlog.archive import BookLink

Version = Literal["box", "short", "pinned"]
MOST_NAMES = 8
MOST_BARE = 3  # from so many on, tools without a remark share a line
_SAID = {
    "tips": "tips", "corrections": "what was put right", "outro": "your closing words", "substitutes": "substitutes",
    "steps": "steps", "tools": "tools", "references": "patterns and references", "materials": "materials",
    "links": "links", "series": "the other parts", "summary": "the line of techniques", "hashtags": "hashtags",
    "cautions": "cautions", "chapters": "chapters", "disclosure": "the disclosure",
}  # fmt: skip
# Lists that make no sense in part: all of it goes, or none.
_WHOLE = {"steps", "chapters", "disclosure", "summary", "outro"}


class Box(msgspec.Struct, frozen=True, kw_only=True):
    """A description ready to paste. ``used`` of ``limit`` is in ``unit``; ``cut`` says what was left out as the host
    takes no more."""

    text: str
    limit: int
    unit: Literal["bytes", "characters"]
    used: int
    cut: list[str]

    @property
    def left(self) -> int:
        """How much of the limit is still free."""
        return self.limit - self.used


def box(
    log: Log,
    *,
    host: str = hosts.DEFAULT,
    settings: BoxSettings | None = None,
    about: About | None = None,
    link_book: Sequence[BookLink] = (),
    version: Version = "box",
) -> Box:
    """The description box of ``log`` for a host; or the ``version`` to pin under it as a comment, or a short one.

    Raises :class:`buildlog.errors.BadInput` for a host, setting or template that cannot be used.
    """
    settings = settings or BoxSettings()
    rules = hosts.load(host)
    return box_of(sheet(log, rules, settings, about or About(), link_book), rules, settings, version)


def box_of(found: Sheet, rules: hosts.Host, settings: BoxSettings, version: Version = "box") -> Box:
    """As :func:`box`, of a sheet that is worded already."""
    own = settings.template if version == "box" else None
    template = compiled(ours(f"{version}.txt.j2") if own is None else own)
    values = _values(found, rules, settings)

    too_many: list[str] = []

    def write() -> str:
        few, too_many[:] = _few(fill(template, values), rules)
        return _tidy(rules.allowed(few))

    text, cut = _fit(values, write, rules, settings)
    return Box(text=text, limit=rules.limit, unit=rules.unit, used=rules.size(text), cut=cut + too_many)


# What a template sees -------------------------------------------------------------------------------------------------


def _values(found: Sheet, rules: hosts.Host, settings: BoxSettings) -> dict[str, Any]:
    """Texts and lists of texts, one row each."""
    sheet_url = safe_url(settings.sheet_url)
    things = [*found.materials, *found.tools, *found.references, *found.substitutes]
    linked = [f"- {t.name}: {_link(t.url, t.pays)}" for t in things if t.url]
    linked += [f"- {t.name}: link to come" for t in things if t.owed]
    promised = [f"- {p.what}: {_link(p.url, p.pays) if p.url else 'link to come'}" for p in found.links]
    return {
        "intro": found.intro or _opening(found, settings.steps == "list"),
        "title": found.title,
        "summary": found.summary,
        "disclosure": found.disclosure,
        "chapters": [f"{moment(c.start_s)} {c.title}" for c in found.chapters.chapters],
        "series": series_rows(found, rules),
        "materials": [row(t) for t in found.materials],
        "material_names": [t.name if n == 0 else lower(t.name) for n, t in enumerate(found.materials[:MOST_NAMES])],
        "tools": compact(found.tools),
        "references": [row(t) for t in found.references],
        "substitutes": [row(t) for t in found.substitutes],
        "links": promised,
        "linked": linked + promised,
        "where_from": any(t.url for t in things),
        "steps": _steps(found, settings, sheet_url),
        "sheet_url": sheet_url or "",
        "cautions": [f"- {text}" for text, _ in found.cautions],
        "tips": [f"- {text}" for text, _ in found.tips] if settings.tips else [],
        "corrections": [f"- {text}" for text, _ in found.corrections] if settings.corrections else [],
        "next_time": [f"- {_to_come(p.said)}" for p in found.about.pointers if p.direction == "forward"],
        "total": found.total,
        "outro": found.outro,
        "hashtags": [f"#{h}" for h in found.hashtags],
        "part": found.about.number,
        "parts": found.about.parts,
        "length": moment(found.length_s),
    }


def _opening(found: Sheet, steps_told: bool) -> str:
    """What it is, in one line."""
    about = found.about
    if about.parts < 2 and about.number < 2:
        if about.title:
            return found.title if found.title.endswith((".", "!", "?", "…")) else f"{found.title}."
        steps = f" in {counted(len(found.steps), 'step')}" if len(found.steps) > 1 and steps_told else ""
        named = "A build log" if found.title == NO_TITLE else f"{found.title}, a build log"
        return f"{named}{steps}."
    where = f"part {about.number}" + (f" of {about.parts}" if about.parts >= about.number and about.parts > 1 else "")
    named = clean(about.build)
    if about.title and named and named.casefold() not in found.title.casefold():
        return f"{found.title} ({named}, {where})."
    return f"{found.title}, {where}."


def row(thing: Thing) -> str:
    """One line of a list: "- Brushed cotton: 3 m (3 1/4 yd), £11 a metre", and its address below."""
    facts = [*thing.amounts, *thing.facts, *([thing.price] if thing.price else [])]
    if thing.owed:
        facts.append("link to come")
    if thing.instead_of:
        # How many there were of it, or whence, is no concern of who takes it instead.
        paid = [f for f in facts if f == thing.price or f == "link to come"]
        line = f"- {thing.name} instead of {lower(thing.instead_of)}" + (f" ({', '.join(paid)})" if paid else "")
    else:
        line = f"- {thing.name}" + (f": {', '.join(facts)}" if facts else "")
    return line + (f"\n  {_link(thing.url, thing.pays)}" if thing.url else "")


def compact(things: Sequence[Thing]) -> list[str]:
    """Things of which there is nothing to say in one line, the others below it as rows."""
    bare = [t for t in things if not (t.amounts or t.facts or t.price or t.url or t.owed)]
    if len(bare) < MOST_BARE:
        return [row(t) for t in things]
    line = ", ".join([bare[0].name, *(lower(t.name) for t in bare[1:])]) + "."
    return [line, *(row(t) for t in things if t not in bare)]


def _to_come(said: str) -> str:
    """A remark about the next part, under a heading that says so already: "Next time it's the lid" is "The lid"."""
    bare = re.sub(r"^(?:(?:and|so|but) )?next (?:time|week|part|video)\b[,:]?\s+(?=\S)", "", said, flags=re.IGNORECASE)
    if bare != said:
        bare = re.sub(r"^it(?:['’]s| is|['’]ll be| will be) (?=\S)", "", bare, flags=re.IGNORECASE)
    return capital(bare)


def _link(url: str | None, pays: bool) -> str:
    return f"{url}{' (paid link)' if pays else ''}"


def _steps(found: Sheet, settings: BoxSettings, sheet_url: str | None) -> list[str]:
    if settings.steps == "none" or not found.steps:
        return []
    if settings.steps == "pointer":
        return [pointer_row(sheet_url)]
    out: list[str] = []
    for heading, steps in under_pieces(found):
        out += [f"{heading}:"] if heading else []
        out += [f"{s.number}. {s.text}{'' if s.on_camera else ' (not filmed)'}" for s in steps]
    return out


def pointer_row(sheet_url: str | None) -> str:
    """Where the steps are, in a box that does not list them."""
    return (
        f"All steps, with amounts: {sheet_url}"
        if sheet_url
        else "Every step is in the video; the chapters take you there."
    )


def series_rows(found: Sheet, rules: hosts.Host) -> list[str]:
    """The other parts of the build, and those that were spoken of, with the minute meant."""
    about = found.about
    out: list[str] = []
    meant = {p.part for p in about.pointers if p.url}
    for pointer in about.pointers:
        url = at_moment(pointer.url, pointer.at_s, rules.moment) if pointer.at_s else safe_url(pointer.url)
        if url:
            title = f", {clean(pointer.title)}" if pointer.title else ""
            at = f" from {moment(pointer.at_s)}" if pointer.at_s else ""
            out.append(f"- Part {pointer.part}{title}{at}: {url}")
    for number, url, title in about.part_urls:
        if number not in meant and number != about.number and safe_url(url):
            out.append(f"- Part {number}{', ' + clean(title) if title else ''}: {safe_url(url)}")
    return list(dict.fromkeys(out))


# Fitting --------------------------------------------------------------------------------------------------------------


_HASHTAG = re.compile(r"(?<![\w/&?=.#])#(?=\w)")
_ADDRESS = re.compile(r"(?:\n[^\S\n]+|:? )?https?://\S+(?: \(paid link\))?|https?://\S+")


def _few(text: str, rules: hosts.Host) -> tuple[str, list[str]]:
    """No more hashtags and addresses than the host takes, the first ones kept; and what was taken out."""
    out: list[str] = []
    for most, shape, one, many in (
        (rules.hashtags, _HASHTAG, "hashtag", "hashtags"),
        (rules.links, _ADDRESS, "address", "addresses"),
    ):
        beyond = list(shape.finditer(text))[most:] if most is not None else []
        for found in reversed(beyond):
            text = text[: found.start()] + text[found.end() :]
        if beyond:
            out.append(f"{counted(len(beyond), one, many)} beyond the {most} that the host takes")
    return text, out


def _tidy(text: str) -> str:
    """No blank at a line's end, no two blank lines."""
    text = re.sub(r"[^\S\n]+\n", "\n", text.replace("\r", ""))
    text = re.sub(r"[\x00-\x09\x0b-\x1f]", "", re.sub(r"\n{3,}", "\n\n", text).strip("\n"))
    return text + "\n" if text else ""


def _fit(
    values: dict[str, Any], write: Callable[[], str], rules: hosts.Host, settings: BoxSettings
) -> tuple[str, list[str]]:
    """Cut, in the maker's order, what is too much; returns the text and what was cut."""
    text = write()
    cut: list[str] = []
    sections = settings.order()
    while rules.size(text) > rules.limit and sections:
        name = sections.pop(0)
        rows = values[name]
        if not rows:
            continue
        over = rules.size(text) - rules.limit
        if name == "steps" and settings.steps == "list" and len(rows) > 1:
            values[name] = [pointer_row(values["sheet_url"] or None)]
            cut.append(f"all {counted(len(rows), 'step')}; a line says where they are")
        elif name in _WHOLE or not isinstance(rows, list):
            values[name] = [] if isinstance(rows, list) else ""
            cut.append(_SAID[name])
        else:
            _shorten(values, name, over, rules, cut)
        after = write()
        # A list that was shortened a little too little goes on being shortened.
        shortened = isinstance(values[name], list) and len(values[name]) > 1 and name not in _WHOLE
        if rules.size(after) > rules.limit and shortened:
            sections.insert(0, name)
            if len(after) >= len(text):
                values[name] = []
        text = after
    if rules.size(text) > rules.limit:
        text = _clipped(text, rules)
        cut.append("the end of the text")
    return text, cut


def _shorten(values: dict[str, Any], name: str, over: int, rules: hosts.Host, cut: list[str]) -> None:
    """Take rows off the end of a list until about ``over`` is saved, and say how many in a row of its own."""
    rows: list[str] = list(values[name])
    before = rows.pop() if _MORE.match(rows[-1]) else None
    gone = int(_MORE.match(before)[1]) if before else 0  # type: ignore[index]
    more = "- and 999 more, in the video"
    saved = -rules.size(more) if before is None else 0
    while rows and saved < over:
        saved += rules.size(rows.pop()) + 1
        gone += 1
    values[name] = [*rows, f"- and {gone} more, in the video"] if rows and name != "hashtags" else rows
    cut[:] = [c for c in cut if not c.endswith(f" of the {_SAID[name]}")]
    cut.append(f"{gone} of the {_SAID[name]}" if rows else f"all {_SAID[name]}")


_MORE = re.compile(r"- and (\d+) more, in the video$")


def _clipped(text: str, rules: hosts.Host) -> str:
    """As many whole lines as fit; of a first line that does not, its beginning."""
    kept = ""
    for line in text.splitlines(keepends=True):
        if rules.size(kept + line) > rules.limit:
            break
        kept += line
    while not kept and text:
        text = text[: max(1, len(text) * rules.limit // max(rules.size(text), 1) - 1)]
        kept = text if rules.size(text) <= rules.limit else ""
    return kept
