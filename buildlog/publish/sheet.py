"""The build sheet: everything of a log that is published, worded once, for every format to lay out."""

from __future__ import annotations

import functools
import itertools
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from itertools import zip_longest
from pathlib import Path
from typing import TYPE_CHECKING

from buildlog.document import Item, LinkOwed, Log, Measurement, Price, Technique
from buildlog.publish.chapters import Fitted, fitted, length_of
from buildlog.publish.doubt import (
    fitting_cautions,
    says_enough,
    sure_amounts,
    sure_item,
    sure_pair,
    sure_step,
    sure_technique,
)
from buildlog.publish.gathering import folded, weights
from buildlog.publish.hosts import Host
from buildlog.publish.naming import name_words, shown_name, steady, worded
from buildlog.publish.plain import capital, clean, clean_block, listed, lower, proper, safe_url, sound_time
from buildlog.publish.settings import About, BoxSettings
from buildlog.publish.units import amount, kind_of, price, size

if TYPE_CHECKING:
    from buildlog.archive import BookLink

NO_TITLE = "Build log"
MOST_CAUTIONS = 8
_TIMES = {"second", "minute", "hour", "day", "week", "month", "year", "night"}
MOST_TECHNIQUES = 5
ALIKE = 0.75  # from so much on, two words are one, misheard
_FILLER = {"for", "in", "to", "and", "it", "same"}


@dataclass
class Thing:
    """One material, tool, pattern or reference as listed. ``amounts`` and ``facts`` are ready to print; ``also`` are
    ids of items that are the same thing under a name that says less."""

    id: str
    name: str
    kind: str
    start_s: float
    amounts: list[str] = field(default_factory=list)
    facts: list[str] = field(default_factory=list)
    price: str = ""
    url: str | None = None
    pays: bool = False
    owed: bool = False
    instead_of: str = ""
    from_book: bool = False
    dead: bool = False
    like: BookLink | None = None  # an entry of the link book that may be meant
    also: list[str] = field(default_factory=list)
    measured: list[Measurement] = field(default_factory=list)
    paid: Price | None = None


@dataclass
class Doing:
    """One step as listed. ``things`` are names; ``same_as`` numbers of earlier steps."""

    number: int
    text: str
    start_s: float
    end_s: float
    piece: str = ""
    on_camera: bool = True
    things: list[str] = field(default_factory=list)
    same_as: list[int] = field(default_factory=list)
    id: str = ""
    still: str | None = None


@dataclass
class Promise:
    """A link promised that is not shown with a thing: ``url`` ``None`` while it is owed."""

    what: str
    url: str | None
    start_s: float
    pays: bool = False


@dataclass
class Sheet:
    """What is published of a part."""

    title: str
    length_s: float
    about: About
    intro: str = ""
    summary: str = ""
    outro: str = ""
    chapters: Fitted = field(default_factory=Fitted)
    materials: list[Thing] = field(default_factory=list)
    tools: list[Thing] = field(default_factory=list)
    references: list[Thing] = field(default_factory=list)
    substitutes: list[Thing] = field(default_factory=list)
    steps: list[Doing] = field(default_factory=list)
    techniques: list[tuple[str, float, str]] = field(default_factory=list)
    links: list[Promise] = field(default_factory=list)
    cautions: list[tuple[str, float]] = field(default_factory=list)
    tips: list[tuple[str, float]] = field(default_factory=list)
    corrections: list[tuple[str, float]] = field(default_factory=list)
    disclosure: str = ""
    total: str = ""
    hashtags: list[str] = field(default_factory=list)
    owed: dict[str, LinkOwed] = field(default_factory=dict)
    kept: set[str] = field(default_factory=set)  # ids of promises that the description itself keeps
    doubtful: list[tuple[str, float]] = field(default_factory=list)  # what was left out for doubt, for the maker

    def things(self) -> list[Thing]:
        """Everything listed that was used."""
        return [*self.materials, *self.tools, *self.references]

    def urls(self) -> list[str]:
        """Every address that is shown, each once."""
        shown = [*(t.url for t in [*self.things(), *self.substitutes]), *(p.url for p in self.links)]
        return list(dict.fromkeys(u for u in shown if u))


def sheet(log: Log, host: Host, settings: BoxSettings, about: About, link_book: Sequence[BookLink] = ()) -> Sheet:
    """Word what is published of ``log``."""
    build = thing_made(log, about)
    out = Sheet(
        title=clean(about.title or "") or capital(build) or NO_TITLE,
        length_s=length_of(log),
        about=about,
        intro=clean_block(settings.intro),
        outro=clean_block(settings.outro),
        chapters=fitted(log, host.chapters),
    )
    _things(out, log, settings, build, Book(link_book))
    _steps(out, log)
    _links(out, log, Book(link_book))
    _words(out, log, settings)
    shown = [*((t.url, t.pays) for t in [*out.things(), *out.substitutes]), *((p.url, p.pays) for p in out.links)]
    if any(url and pays for url, pays in shown):
        out.disclosure = clean_block(settings.disclosure) or disclosure_text()
    out.hashtags = [h for h in (re.sub(r"[^\w]", "", clean(t)) for t in settings.hashtags) if h]
    return out


def thing_made(log: Log, about: About) -> str:
    """What is being made, as far as names tell: the build's name, else the file's."""
    name = clean(about.build) or re.sub(r"[-_.\s]+", " ", Path(clean(log.recording.path)).stem)
    return re.sub(r"^\d{1,3}\s+(?=\D)", "", name).strip()


@functools.cache
def disclosure_text() -> str:
    """The usual wording of the disclosure."""
    return str(_toml("disclosure.toml")["text"])


@functools.cache
def _hurt() -> dict[str, re.Pattern[str]]:
    """Words of harm; words of harm only after a word that tells what to do; such words; words a command begins with."""
    return {name: _any_of(words) for name, words in _toml("hurt.toml").items()}


def _any_of(listed_words: object) -> re.Pattern[str]:
    words = [w.strip() for w in str(listed_words).replace("\n", " ").split(",")]
    shapes = (re.escape(w.removesuffix("*")) + ("" if w.endswith("*") else r"\b") for w in words if w)
    return re.compile(r"\b(?:" + "|".join(shapes) + r")", re.IGNORECASE)


def _toml(name: str) -> dict[str, object]:
    return tomllib.loads((Path(__file__).parent / name).read_text("utf-8"))


MOST_SINGLE = 1  # headings over one step only


def under_pieces(found: Sheet) -> list[tuple[str, list[Doing]]]:
    """Steps in groups with a heading each, or one group without where headings do not help.

    They help where every step belongs to a piece, no piece is come back to, hardly one has a single step, and none is
    named like a tool: those are where the piece being made was guessed from a thing in somebody's hand.
    """
    runs = [(key, list(steps)) for key, steps in itertools.groupby(found.steps, key=lambda s: key_of(s.piece))]
    keys = {key for key, _ in runs}
    tools = {key_of(t.name) for t in found.tools}
    single = sum(1 for _, steps in runs if len(steps) == 1)
    if len(runs) == len(keys) > 1 and "" not in keys and not keys & tools and single <= min(MOST_SINGLE, len(runs) - 1):
        return [(capital(steps[0].piece), steps) for _, steps in runs]
    return [("", found.steps)] if found.steps else []


# Things -------------------------------------------------------------------------------------------------------------


@functools.lru_cache(maxsize=8192)
def key_of(name: str) -> str:
    """A name for comparing: words in alphabetical order, without case, articles and plural s."""
    return " ".join(sorted(w for w in name_words(name) if w not in _FILLER))


class Book:
    """The maker's link book, looked up by the names of things."""

    def __init__(self, entries: Sequence[BookLink]) -> None:
        self._by_name: dict[str, list[BookLink]] = {}
        self._by_url: dict[str, BookLink] = {}
        for entry in sorted(entries, key=lambda e: -e.id):  # the newest first
            self._by_name.setdefault(key_of(entry.thing), []).append(entry)
            self._by_url.setdefault(entry.url, entry)

    def of(self, *names: str) -> BookLink | None:
        """The best entry for a thing with these names: one that answers before one that does not."""
        found = [e for n in names if n for e in self._by_name.get(key_of(n), ())]
        return min(found, key=lambda e: e.answered is False, default=None)

    def like(self, *names: str) -> BookLink | None:
        """The only entry for a thing that one of these names is a kind of: "linen" for "heavy linen"."""
        found: dict[int, BookLink] = {}
        for name in names:
            words = name_words(name)
            for n in range(1, len(words)):
                found |= {e.id: e for e in self._by_name.get(key_of(" ".join(words[n:])), ())}
        return next(iter(found.values())) if len(found) == 1 else None

    def pays(self, url: str) -> bool:
        """Whether a URL pays the maker."""
        entry = self._by_url.get(url)
        return entry is not None and entry.pays_maker

    def dead(self, url: str) -> bool:
        """Whether a URL did not answer when it was last asked."""
        entry = self._by_url.get(url)
        return entry is not None and entry.answered is False


def _is_the_build(item: Item, build: str, pieces: set[str]) -> bool:
    """Whether an item is only the thing being made, or a piece of it, called by its name."""
    if item.kind != "material" or item.confidence >= 1.0 or item.quantities or item.price or item.link:
        return False
    name = item.name.casefold()
    made = build.casefold()
    return bool(name) and (made == name or made.endswith(" " + name) or name in pieces)


def listed_items(log: Log, settings: BoxSettings, build: str) -> list[Item]:
    """The items that belong in the lists: used, sure enough, and not the thing itself."""
    return [i for i in _used(log, build) if sure_item(i, settings.unlisted)]


def _used(log: Log, build: str) -> list[Item]:
    pieces = {p.name.casefold() for p in log.pieces}
    return [i for i in log.items if i.status == "used" and clean(i.name) and not _is_the_build(i, build, pieces)]


def owed_by_item(log: Log) -> dict[str, LinkOwed]:
    """Item id -> the link promised for it: by what the reading ties it to, else by name, else by the last word of one.

    "That clasp" is the pewter clasp where there is only one clasp.
    """
    names: dict[str, set[str]] = {}
    for item in log.items:
        for name in (item.name, *item.aliases):
            words = re.findall(r"[^\W_]+", name)
            for known in {key_of(name), key_of(words[-1]) if words else ""} - {""}:
                names.setdefault(known, set()).add(item.id)
    used = {i.id for i in log.items if i.status == "used"}
    out: dict[str, LinkOwed] = {}
    for link in log.links_owed:
        if link.waived:
            continue
        found = names.get(key_of(link.what), set())
        meant = link.item or (next(iter(found & used)) if len(found & used) == 1 else None)
        if meant is not None and (meant not in out or not out[meant].url):
            out[meant] = link
    return out


def _things(out: Sheet, log: Log, settings: BoxSettings, build: str, book: Book) -> None:
    amounts = sure_amounts(log)
    owed = out.owed = owed_by_item(log)
    lists = {"material": out.materials, "tool": out.tools}
    items = listed_items(log, settings, build)
    into = folded(items)
    shown: dict[tuple[str, str], Thing] = {}
    made: dict[str, Thing] = {}
    for item in items:
        thing = made[item.id] = _thing(item, amounts, owed, settings, book)
        if item.id in into:
            continue
        twin = shown.setdefault((item.kind, key_of(thing.name)), thing)
        if twin is thing:
            lists.get(item.kind, out.references).append(thing)
        else:  # the same thing under one name: one line
            into[item.id] = twin.id
    for less, more in into.items():
        _take_in(made[more], made[less])
    weight = weights(log, items, into)
    for things in (out.materials, out.tools, out.references):
        things.sort(key=lambda t: -weight[t.id] - 2 * bool(t.amounts) - 2 * t.owed)
    out.doubtful += [
        (f"Not sure that “{clean(i.name)}” is used: left out of the description.", sound_time(i.first_s))
        for i in _used(log, build)
        if i.id not in made
    ]
    if settings.substitutes:
        _substitutes(out, log, made, into, amounts, settings, book)


def _take_in(thing: Thing, other: Thing) -> None:
    """What is known about a thing under another name."""
    thing.amounts += [a for a in other.amounts if a not in thing.amounts]
    thing.measured += other.measured
    if not thing.price:
        thing.price, thing.paid = other.price, other.paid
    if thing.url is None:
        thing.url, thing.pays, thing.dead, thing.from_book = other.url, other.pays, other.dead, other.from_book
    thing.owed = thing.url is None and (thing.owed or other.owed)
    thing.also.append(other.id)


def _substitutes(
    out: Sheet,
    log: Log,
    made: dict[str, Thing],
    into: dict[str, str],
    amounts: dict[str, Measurement],
    settings: BoxSettings,
    book: Book,
) -> None:
    items = {i.id: i for i in log.items}
    for item in log.items:
        if item.status != "substitute" or not clean(item.name):
            continue
        of = items.get(item.instead_of or "")
        known = of is not None and clean(of.name) and clean(of.name).casefold() != clean(item.name).casefold()
        listed_of = of is not None and (of.id in made or item.confidence >= 1.0)
        if of is not None and known and listed_of and sure_pair(log, item, of):
            thing = _thing(item, amounts, out.owed, settings, book)
            main = made.get(into.get(of.id, of.id))
            thing.instead_of = lower(main.name if main else shown_name(of))
            out.substitutes.append(thing)
        elif item.confidence < 1.0:
            guess = f" (“{clean(of.name)}”?)" if of is not None and known else ""
            text = (
                f"“{clean(item.name)}” will do instead of something{guess}: say of what; left out of the description."
            )
            out.doubtful.append((text, sound_time(item.first_s)))


def _thing(
    item: Item, amounts: dict[str, Measurement], owed: dict[str, LinkOwed], settings: BoxSettings, book: Book
) -> Thing:
    name = clean(item.name)
    said = [amounts[q] for q in item.quantities if q in amounts]
    # Of "the same canvas" is how much goes into another part, not how much it takes in all.
    said = [m for m in said if m.setting or not re.match(r"(?:the )?same\b", m.of or "", re.IGNORECASE)]
    thing = Thing(item.id, shown_name(item, said), item.kind, sound_time(item.first_s))
    thing.amounts, thing.measured = _amounts(name, thing.name, [m for m in said if _of_the_thing(item, m)], settings)
    thing.paid = item.price
    size = clean(item.size or "")
    if (
        size
        and size.casefold() not in name.casefold()
        and not thing.name.casefold().startswith(worded(size).casefold())
    ):
        thing.facts.append(size)
    source = clean(item.source or "")
    # That a tool was there already goes without saying, and no tool is an offcut.
    if source and source not in ("bought", "shop") and not (item.kind == "tool" and source in ("stash", "offcut")):
        thing.facts.append({"stash": "from the stash", "offcut": "an offcut"}.get(source, source))
    if item.unavailable:
        thing.facts.append("no longer sold")
    if item.search_words:
        thing.facts.append(f"search for “{clean(item.search_words)}”")
    if item.price is not None and settings.prices:
        thing.price = price(item.price)
    promise = owed.get(item.id)
    url = safe_url(item.link) or safe_url(promise.url if promise else None)
    entry = book.of(item.name, *item.aliases) if url is None else None
    if entry is not None:
        url, thing.from_book = safe_url(entry.url), True
        if entry.answered is False and entry.alternatives:
            url = safe_url(entry.alternatives[0]) or url
        if entry.price is not None and item.price is None and settings.prices:
            thing.price, thing.paid = price(entry.price), entry.price
        if entry.shop:
            thing.facts.append(f"from {clean(entry.shop)}")
    thing.url = url
    thing.owed = url is None and promise is not None
    if url is None:
        thing.like = book.like(item.name, *item.aliases)
    if url is not None:
        thing.pays, thing.dead = book.pays(url) or bool(entry and entry.pays_maker), book.dead(url)
    return thing


def label_of(m: Measurement, words: set[str]) -> str:
    """What an amount measures, without the words (as keys) that the thing's name says already."""
    return " ".join(w for w in clean(m.of or "").split() if key_of(w) and key_of(w) not in words)


# How far apart, how deep and how often something is done says how the work goes, not how much there is of a thing.
_OF_THE_WORK = {"spacing", "depth", "distance", "gap", "interval", "times", "time"}


def _of_the_thing(item: Item, m: Measurement) -> bool:
    """Whether a measurement belongs behind a thing's name in a list."""
    if (m.of or "").split(" ")[-1:] and (m.of or "").split(" ")[-1] in _OF_THE_WORK and not m.setting:
        return False
    # "About a quarter inch" with a tool is what was done with it.
    return not (item.kind == "tool" and m.approximate and m.unit is not None and not m.setting)


BY_S = 3.0  # two lengths said within so many seconds are one size: "nine by ten inches"


def _amounts(
    name: str, shown: str, said: Sequence[Measurement], settings: BoxSettings
) -> tuple[list[str], list[Measurement]]:
    """The amounts of a thing, each once, without those that its name says already; and those that can be summed: the
    sides of a size cannot."""
    out: list[str] = []
    sides: list[Measurement] = []
    words = set(key_of(name).split())
    after: Measurement | None = None
    for m, then in zip_longest(said, said[1:]):
        if m is after or (m.unit in _TIMES and not m.setting):
            continue  # said with the one before; or how long a step takes, which is no amount of a thing
        text = clean(m.text).casefold()
        if not m.setting and text and (text in name.casefold() or key_of(text) in key_of(name)):
            continue
        if m.of == "grit" and f"{amount(m, settings.units)} grit" in shown:
            continue
        label = label_of(m, words)
        if then is not None and not label and _one_size(m, then) and not label_of(then, words):
            written, after = size(m, then, settings.units), then
            sides += [m, then]
        elif m.unit is None and not m.setting:
            # A count of the thing itself needs no label, one of something else does.
            written = amount(m, settings.units)
            written = f"{written} {label}" if label and label.casefold() not in name.casefold() else written
        else:
            written = amount(m, settings.units)
            written = f"{label} {written}" if label and label not in ("length", "amount", "quantity") else written
            # Of so many of them, the length is that of each.
            written += " long" if label == "length" and out and out[-1].isdigit() else ""
        if written not in out:
            out.append(written)
    return out, [m for m in said if all(m is not side for side in sides)]


def _one_size(m: Measurement, then: Measurement) -> bool:
    plain = m.value_max is None and then.value_max is None and not m.setting and not then.setting
    near = 0 <= then.start_s - m.start_s <= BY_S
    return plain and near and m.unit == then.unit and kind_of(m.unit) == "length"


# Steps, links, words --------------------------------------------------------------------------------------------------


def _steps(out: Sheet, log: Log) -> None:
    pieces = {p.id: clean(p.name) for p in log.pieces}
    names = {i: t.name for t in out.things() for i in (t.id, *t.also)}
    told = [s for s in log.steps if clean(s.text)]
    for s in told:
        if not says_enough(s):
            out.doubtful.append(
                (f"A step cannot be listed as it is: “{clean(s.text)}” Reword it.", sound_time(s.start_s))
            )
        elif not sure_step(s):
            out.doubtful.append(
                (
                    f"Not sure of a step, so it is left out: “{clean(s.text)}” Reword it or confirm it.",
                    sound_time(s.start_s),
                )
            )
    numbers = {s.id: n for n, s in enumerate((s for s in told if says_enough(s) and sure_step(s)), 1)}
    for step in log.steps:
        if step.id not in numbers:
            continue
        out.steps.append(
            Doing(
                number=numbers[step.id],
                text=capital(steady(clean(step.text), log)),
                start_s=sound_time(step.start_s),
                end_s=sound_time(step.end_s),
                piece=pieces.get(step.piece or "", ""),
                on_camera=step.on_camera,
                things=list(dict.fromkeys(names[i] for i in step.items if i in names)),
                same_as=[numbers[s] for s in step.same_as if s in numbers],
                id=step.id,
                still=step.still,
            )
        )


def _links(out: Sheet, log: Log, book: Book) -> None:
    """Promised links that no listed thing shows and no list keeps."""
    listed_ids = {i for t in [*out.things(), *out.substitutes] for i in (t.id, *t.also)}
    shown = {id(link) for item, link in out.owed.items() if item in listed_ids}
    seen: set[str] = {t.url for t in out.things() if t.url}
    told = {key_of(link.what) for item, link in out.owed.items() if item in listed_ids}
    for link in log.links_owed:
        what = clean(link.what)
        url = safe_url(link.url)
        if link.waived or not what or id(link) in shown or (what == "general" and url is None):
            continue
        if url is None and _kept_here(out, link):
            out.kept.add(link.id)
            continue
        if link.item in listed_ids or key_of(what) in told or (url is None and not promised(what)):
            continue
        told.add(key_of(what))
        if url is None:
            entry = book.of(what)
            url = safe_url(entry.url) if entry is not None else None
        if url is not None and url in seen:
            continue
        seen |= {url} if url else set()
        out.links.append(
            Promise(
                "Everything" if what == "general" else promised(what) or "As promised",
                url,
                sound_time(link.start_s),
                bool(url and book.pays(url)),
            )
        )


_MY = re.compile(r"^(?:my )?own (?=\w)", re.IGNORECASE)
_LIST = re.compile(
    r"^(?:(?:whole|full|complete) )?(?:list of )?(?:(tools?|equipment)|(materials?|supplies|parts|ingredients)"
    r"|(steps|instructions)|(chapters|timestamps|time stamps))(?: list)?$"
)
_A_FILE = re.compile(r"\b(?:link(?:s|ed)?|pdf|download|print|sheet|page|site|scan)\b", re.IGNORECASE)


# What was promised, but not by a name: "you can grab it down below".
_UNNAMED = re.compile(
    r"^(?:(?:that|this|the|those|these) )?(?:one|ones|it|that|this|these|those|them|stuff|things?|something|bits?)$"
    r"|^[\d/., ]+ ?(?:in|inch|inches|cm|mm|mil|foot|feet|ft|yards?|metres?|meters?|centimetres?|millimetres?)?$",
    re.IGNORECASE,
)
_SAYS_SO = re.compile(
    r"(?<=\w)(?: (?:is|are|was|were|will be)|['’](?:s|re|ll be)(?= (?:all |both )?(?:linked|listed|yours|below|there)))\b.*$"
)


def promised(what: str) -> str:
    """What a link is for, as the maker would write it: "own tracing of the hood" is "My tracing of the hood". Nothing
    where it was not said by any name."""
    name = _SAYS_SO.sub("", re.sub(r"(?<=\w) thing$", "", _MY.sub("my ", clean(what))))
    return "" if _UNNAMED.match(name) else worded(name)


def _kept_here(out: Sheet, link: LinkOwed) -> bool:
    """Whether the description itself is what was promised: "tools are all in the description"."""
    m = _LIST.match(clean(link.what).casefold())
    if m is None or _A_FILE.search(link.text):
        return False
    lists = (out.tools, out.materials, out.steps, out.chapters.chapters)
    return any(named and rows for named, rows in zip(m.groups(), lists, strict=True))


def _words(out: Sheet, log: Log, settings: BoxSettings) -> None:
    sure = sorted((t for t in log.techniques if sure_technique(t)), key=lambda t: (-len(t.mentions), -t.confidence))
    named = [(t, said_way(t)) for t in sure]
    best = dict([(t.id, name) for t, name in named if name][:MOST_TECHNIQUES])
    out.techniques = [
        (clean(t.name), sound_time(t.first_shown_s), clean(t.definition or ""))
        for t in sorted(log.techniques, key=lambda t: t.first_shown_s)
        if clean(t.name)
    ]
    shown = [best[t.id] for t in sorted(log.techniques, key=lambda t: t.first_shown_s) if t.id in best]
    if shown:
        out.summary = f"Shown here: {listed(list(dict.fromkeys(shown)))}."
    if settings.cautions:
        out.cautions = _cautions(log, out.steps)
    said = {"tip": out.tips, "correction": out.corrections}
    for note in log.notes:
        if note.kind in said and clean(note.text):
            text = re.sub(
                r"(?:^|\s+)(?:>\s*)+(?=\S|$)", " ", clean(note.text)
            ).strip()  # captions' mark of another speaker
            said[note.kind].append((capital(_LINK_WORDS.sub("", steady(text, log))), sound_time(note.start_s)))
    if log.total_said is not None:
        out.total = price(log.total_said)


def said_way(technique: Technique) -> str:
    """A technique as its maker called it: the listed name where its first word was said, else two words that were said
    ("ladder stitch" for slip stitching), else nothing, as nobody would find "icing" where glass is frosted."""
    name = clean(technique.name)
    said = [clean(m.text) for m in technique.mentions]
    first = re.findall(r"[^\W\d_]+", name.casefold())[:1]
    words = {w for text in said for w in re.findall(r"[^\W\d_]+", text.casefold())}
    if not words or technique.confidence >= 1.0:
        return proper(name)
    if name.endswith(("ed", "wn")) and " " not in name:
        return ""  # "resawn": no way of working is called so
    if any(_one_word(f, w) for f in first for w in words):
        return proper(name)
    for text in said:
        if " " in text or text.casefold().endswith("ing"):
            return proper(re.sub(r"(?:e?d|es)$" if text.endswith(("ed", "es")) else r"$", "", text.casefold()))
    return ""


def _one_word(a: str, b: str) -> bool:
    """Whether two words are forms of one, one of them misheard perhaps: "trued" and "truing", "pick" and "prick"."""
    return a[:3] == b[:3] or SequenceMatcher(None, a, b).ratio() >= ALIKE


# A caution that begins with one of these is about something said before it.
_DANGLING = re.compile(
    r"^(?:it|they|those|these|that|this|if (?:it|they)|he|she|(?:never|not|always|only) (?:at|to|towards?|from|in|over)"
    r"|you (?:don't|do not|won't) want (?:it|that|them)|(?:please )?(?:don't|do not|never) \w+ (?:it|that|them|those))\b",
    re.IGNORECASE,
)
LONG_DOING = 6  # words of a step, from which its tools are left out where it only says what a remark is about
_LINK_WORDS = re.compile(
    r"^(?:(?:and|so|but|because|or|then|also|now|well|okay|ok|oh|again|anyway)\b,?\s+)+", re.IGNORECASE
)


def _cautions(log: Log, steps: Sequence[Doing]) -> list[tuple[str, float]]:
    """The maker's own cautions about people, then the craft's where nothing was said; the surest first."""
    doing = {s.id: s.text for s in steps}
    general = fitting_cautions(log)
    own = [
        (
            n.confidence,
            _in_context(_from_command(steady(clean(n.text), log)), doing.get(n.refers_to or "")),
            sound_time(n.start_s),
        )
        for n in log.notes
        if n.kind == "caution" and len(n.text.split()) > 3 and _about_people(n.text)
    ]
    room = max(MOST_CAUTIONS - len(general), MOST_CAUTIONS // 2)
    kept = sorted(sorted(own, key=lambda c: -c[0])[:room], key=lambda c: c[2])
    out = [(text, start) for _, text, start in kept]
    return out + [(clean(g.text), sound_time(g.start_s)) for g in general[:MOST_CAUTIONS]]


# "That's the shelf, so take care and keep your fingers": said to everybody, of nothing.
_SIGN_OFF = re.compile(
    r"\bthat(?:'s| is) (?:it|all|that|the [\w -]+)\b[^.]*\btake care\b|\btake care(?: now)?(?:,? (?:everyone|bye|all))\b",
    re.IGNORECASE,
)
BEFORE = 40  # characters in which a word that tells what to do stands before what can hurt


def _about_people(text: str) -> bool:
    """Whether a caution is about somebody who could be hurt."""
    hurt = _hurt()
    text = hurt["work"].sub("", text.replace("’", "'"))
    if _SIGN_OFF.search(text):
        return False
    if hurt["words"].search(text):
        return True
    told = hurt["telling"]
    return any(told.search(text[max(0, m.start() - BEFORE) : m.start()]) for m in hurt["maybe"].finditer(text))


def _from_command(text: str) -> str:
    """Of a caution without any punctuation, as captions have it, the part that begins with what to do."""
    if re.search(r"[.,;:!?]\s", text) or re.match(r"(?:if|when|while|because|until)\b", text, re.IGNORECASE):
        return text
    command = _hurt()["commands"].search(text)
    return text[command.start() :] if command and len(text[: command.start()].split()) > 1 else text


def _in_context(text: str, step: str | None) -> str:
    """A remark that can stand alone: without "because" before it, after the step it is about if it says "it", and
    with a full stop."""
    text = _LINK_WORDS.sub("", text)
    if text and text[-1].isalnum():
        text += "."
    if step and _DANGLING.match(text):
        doing = re.split(r",|\.$| and | so | until ", step)[0]
        if len(doing.split()) > LONG_DOING:
            doing = re.split(r" with ", doing)[0]
        return f"{doing}: {text[:1].lower() + text[1:] if not text.startswith('I ') else text}"
    return capital(text)
