"""What still stops a part from being posted, and what is worth a look before."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import msgspec

from buildlog.document import Check, Log
from buildlog.edits import AcceptCheck, accepts
from buildlog.publish import hosts
from buildlog.publish.box import Box, box_of
from buildlog.publish.plain import clean, listed, lower, moment, safe_url
from buildlog.publish.settings import About, BoxSettings
from buildlog.publish.sheet import Sheet, promised, sheet, thing_made
from buildlog.publish.spoken import unlisted
from buildlog.reckon import unsaid_checks

if TYPE_CHECKING:
    from buildlog.archive import BookLink

# Checks of the log that must be settled before viewers act on a number that may be wrong.
_BLOCKING = {"contradiction"}
_TIMES = re.compile(r" \(\d+:\d\d[\d:, and]*\)$")


class Finding(msgspec.Struct, frozen=True, kw_only=True):
    """One thing found before posting. ``blocks``: not ready while it is open; accept it as a check of its ``kind``."""

    kind: str
    start_s: float
    text: str
    blocks: bool


def check(
    log: Log,
    *,
    host: str = hosts.DEFAULT,
    settings: BoxSettings | None = None,
    about: About | None = None,
    link_book: Sequence[BookLink] = (),
    accepted: Sequence[AcceptCheck] = (),
    dead: Sequence[str] = (),
) -> list[Finding]:
    """What was found, that which blocks first, then by time.

    ``accepted`` are the checks that the maker let be; ``dead`` URLs that were asked now and did not answer.
    """
    settings, about, rules = settings or BoxSettings(), about or About(), hosts.load(host)
    found = sheet(log, rules, settings, about, link_book)
    written = box_of(found, rules, settings)
    out = [
        *_links(log, found),
        *_in_the_book(found),
        *_same_urls(found),
        *_dead(found, set(dead)),
        *_missing(log, found, written, thing_made(log, about)),
        *_chapters(found),
        *_corrections(found, written),
        *_promises(about),
        *_length(found, written, rules),
        *_disclosed(found, written),
        *(_Open(c.kind, c.start_s, _timed(c), c.kind in _BLOCKING) for c in [*log.checks, *unsaid_checks(log)]),
    ]
    kept = [f for f in out if not _accepted(f, accepted)]
    return sorted(kept, key=lambda f: (not f.blocks, f.start_s))


def _Open(kind: str, start_s: float, text: str, blocks: bool = False) -> Finding:  # noqa: N802 (makes a value)
    return Finding(kind=kind, start_s=start_s, text=text, blocks=blocks)


def _timed(check: Check) -> str:
    """The text of a check, with every moment concerned where there are two or more."""
    moments = list(dict.fromkeys(moment(t) for t in sorted(check.times)))
    return clean(check.text) + (f" ({listed(moments)})" if len(moments) > 1 else "")


def untimed(text: str) -> str:
    """The text of a finding without the moments that :func:`check` put behind it: the same after a new cut."""
    return _TIMES.sub("", text)


def _accepted(finding: Finding, accepted: Sequence[AcceptCheck]) -> bool:
    as_check = Check(kind=finding.kind, start_s=finding.start_s, text=untimed(finding.text))
    return any(a.kind == finding.kind and accepts(a, as_check) for a in accepted)


def _links(log: Log, found: Sheet) -> Iterator[Finding]:
    given = {i for t in [*found.things(), *found.substitutes] if t.url for i in (t.id, *t.also)}
    named = {p.what.casefold() for p in found.links if p.url}
    of = {id(link): item for item, link in found.owed.items()}
    named_as = {i: t.name for t in [*found.things(), *found.substitutes] for i in (t.id, *t.also)}
    told: set[str] = set()
    for link in log.links_owed:
        what = clean(link.what)
        if link.waived or safe_url(link.url) or link.id in found.kept:
            continue
        name = named_as.get(of.get(id(link), link.item) or "", promised(what))
        if of.get(id(link), link.item) in given or name.casefold() in named:
            continue
        text = f"Link owed: {lower(name)}."
        if what == "general":
            text = "You said that everything is linked: attach a link to what it was about, or waive it."
        elif not name:
            text = f"Link owed, but for what? You said: “{clean(link.text)}” Attach a link, or waive it."
        if text in told and what != "general":
            continue  # promised twice, owed once
        told.add(text)
        yield _Open("link_owed", link.start_s, text, True)


def _in_the_book(found: Sheet) -> Iterator[Finding]:
    """Things without a link for which the book has one under a name that says less: the maker knows whether it is that."""
    for thing in found.things():
        if thing.like is not None and thing.url is None:
            known = f"“{clean(thing.like.thing)}”: {thing.like.url}"
            yield _Open("in_book", thing.start_s, f"{thing.name} has no link, and your link book has {known}")


def _same_urls(found: Sheet) -> Iterator[Finding]:
    users: dict[str, list[tuple[float, str]]] = {}
    for thing in [*found.things(), *found.substitutes]:
        if thing.url:
            users.setdefault(thing.url, []).append((thing.start_s, thing.name))
    for promise in found.links:
        if promise.url:
            users.setdefault(promise.url, []).append((promise.start_s, promise.what))
    for url, by in users.items():
        names = list(dict.fromkeys(name for _, name in by))
        if len(names) > 1:
            yield _Open("same_url", by[0][0], f"{listed(names)} have the same link: {url}")


def _dead(found: Sheet, asked: set[str]) -> Iterator[Finding]:
    for thing in [*found.things(), *found.substitutes]:
        if thing.url and (thing.dead or thing.url in asked):
            yield _Open("dead_link", thing.start_s, f"The link of {thing.name} did not answer: {thing.url}", True)
    for promise in found.links:
        if promise.url and promise.url in asked:
            yield _Open("dead_link", promise.start_s, f"The link of {promise.what} did not answer: {promise.url}", True)


def _missing(log: Log, found: Sheet, written: Box, made: str) -> Iterator[Finding]:
    """Used and sure, but not in the text: cut, or left out by the template; what was doubted; words no list has."""
    text = written.text.casefold()
    for thing in found.things():
        if thing.name.casefold() not in text:
            yield _Open("missing_item", thing.start_s, f"{thing.name} is used but not in the description.")
    for doubt, start in found.doubtful:
        yield _Open("doubtful", start, doubt)
    for name, start in unlisted(log, made):
        yield _Open("missing_item", start, f"“{name}” is said but in no list.")


def _chapters(found: Sheet) -> Iterator[Finding]:
    for start, text in found.chapters.mended:
        yield _Open("chapter", start, text)
    if found.chapters.too_few and found.length_s:
        yield _Open("chapter", 0.0, "The host shows no chapters, as there are too few: add some, or accept it.", True)


def _corrections(found: Sheet, written: Box) -> Iterator[Finding]:
    for text, start in found.corrections:
        if text.casefold() not in written.text.casefold():
            yield _Open("correction", start, f"A correction is not mentioned: {text}")


def _promises(about: About) -> Iterator[Finding]:
    for part, start, text in about.promised:
        yield _Open("promise", start, f"Promised in part {part} at {moment(start)}: {clean(text)}", True)


def _length(found: Sheet, written: Box, rules: hosts.Host) -> Iterator[Finding]:
    for what in written.cut:
        yield _Open("cut", 0.0, f"Left out, as the host takes no more: {what}.")
    if found.urls() and not rules.links_work:
        yield _Open(
            "links", 0.0, "On this host an address is not a link: say where your links are, and list them there."
        )
    if len(found.title) > rules.title_limit:
        over = len(found.title) - rules.title_limit
        yield _Open("title", 0.0, f"The title is {over} characters too long for the host.", True)


def _disclosed(found: Sheet, written: Box) -> Iterator[Finding]:
    first = found.disclosure.split("\n")[0]
    if first and first not in written.text:
        yield _Open("disclosure", 0.0, "A link pays you and the description does not say so: disclose it.", True)
