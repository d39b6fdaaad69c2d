"""The rows of the lists: work (chapters and steps), things, links owed, remarks."""

from __future__ import annotations

import functools
from bisect import bisect_right

from buildlog.document import Item, LinkOwed, Measurement, Note, Price, Technique
from buildlog.edits import Unplaced
from buildlog_tui import describing
from buildlog_tui.desk import Desk
from buildlog_tui.drawing import Row, columns, right
from buildlog_tui.kinds import LOOKS, STATUS, UNSURE
from buildlog_tui.listing import Entry
from buildlog_tui.sheet import Ref
from buildlog_tui.text import fit, hms, wrapped

HEADINGS = {
    "material": "Materials", "tool": "Tools", "pattern": "Patterns", "reference": "References",
    "technique": "Ways of working", "measurement": "Amounts of nothing named",
}  # fmt: skip


def sure(confidence: float) -> str:
    """How sure the machine is, in words of one cell width: nothing where it is certain."""
    return "" if confidence >= 0.9995 else f"{int(confidence * 100):>2}%"


def _sure(confidence: float) -> Row:
    text = sure(confidence)
    return [(f" {text}", "bad bold" if confidence < UNSURE else "quiet")] if text else []


def work(desk: Desk, width: int) -> list[Entry]:
    """Chapters with the steps that are seen in them; steps keep the order of work within a chapter."""
    log = desk.log
    chapters = sorted(range(len(log.chapters)), key=lambda i: log.chapters[i].start_s)
    starts = [log.chapters[i].start_s for i in chapters]
    of: dict[int, list[int]] = {}
    for number, step in enumerate(log.steps):
        home = bisect_right(starts, step.start_s + 0.01) - 1
        of.setdefault(chapters[home] if home >= 0 else -1, []).append(number)
    pieces = {p.id: p.name for p in log.pieces}
    out: list[Entry] = []
    for chapter in ([-1] if -1 in of else []) + chapters:
        if chapter >= 0:
            c = log.chapters[chapter]
            row = right(
                [("§ ", "chapter"), (fit(c.title, width - 12), "chapter bold")],
                [*_sure(c.confidence), (f" {hms(c.start_s)}", "quiet")],
                width - 1,
            )
            out.append(Entry(Ref("chapter", chapter), [row]))
        for number in of.get(chapter, []):
            step = log.steps[number]
            notes = ""
            if step.piece and step.piece in pieces:
                notes += f"  □ {fit(pieces[step.piece], 16)}"
            if not step.on_camera:
                notes += "  ø off camera"
            if step.inferred:
                notes += "  not said outright"
            out.append(Entry(Ref("step", number), _step(number, step.text, step.confidence, notes, width)))
    return out


# An edit leaves most rows as they were: those of a long part are drawn up once.
@functools.lru_cache(maxsize=8192)
def _step(number: int, text: str, confidence: float, notes: str, width: int) -> list[Row]:
    percent = _sure(confidence)
    rows: list[Row] = []
    for i, line in enumerate(wrapped(text, width - 6 - (4 if percent else 0), 4)):
        head: Row = [(f"{number + 1:>3} " if i == 0 else "    ", "step"), (line, "plain")]
        rows.append(right(head, percent, width - 1) if i == 0 else head)
    if notes:
        rows.append([("   ", ""), (notes, "piece")])
    return rows


@functools.lru_cache(maxsize=8192)
def _thing(cells: tuple[tuple[str, int, str], ...], confidence: float, room: int) -> list[Row]:
    return [right([("  ", ""), *columns(list(cells))], _sure(confidence), room)]


def amounts(desk: Desk, item: Item) -> str:
    """The amounts of an item in the words said."""
    texts = {m.id: m.text for m in desk.log.measurements}
    return ", ".join(texts[q] for q in item.quantities if q in texts)


def money(price: Price | None) -> str:
    """A price on few cells."""
    if price is None:
        return ""
    return f"{'~' if price.approximate else ''}{price.amount:g}{' ' + price.currency if price.currency else ''}" + (
        f"/{price.per}" if price.per else ""
    )


def status_words(item: Item, names: dict[str, str]) -> str:
    """Whether a thing was used, in words."""
    if item.instead_of is None:
        return STATUS[item.status]
    other = names.get(item.instead_of, item.instead_of)
    return f"instead of {other}" if item.status == "used" else f"{STATUS[item.status]} for {other}"


def _widths(room: int) -> dict[str, int]:
    """How wide each column of the things is; a column with no room is left out."""
    fixed = {"status": 16, "cost": 8, "link": 4} if room >= 64 else {"status": 12, "cost": 0, "link": 4}
    left = room - sum(w + 2 for w in fixed.values() if w) - 6
    name = max(16, min(30, left * 2 // 5))
    left -= name + 4
    source = left * 2 // 5 if left >= 26 else 0
    return {"name": name, "status": fixed["status"], "amount": max(0, left - source), "from": source, **fixed}


def things(desk: Desk, width: int) -> list[Entry]:
    """Materials, tools, patterns, references, ways of working, and amounts that belong to no thing."""
    log = desk.log
    room = max(20, width - 2)
    w = _widths(room)
    rest = sum(w[c] + 2 for c in ("amount", "from", "cost", "link") if w[c]) - 2
    amount_of = {m.id: m.text for m in log.measurements}
    names = {i.id: i.name for i in log.items}
    out: list[Entry] = []

    def head(kind: str, count: int) -> None:
        look = LOOKS[kind]
        title = [(f"{look.mark} ", look.style), (f"{HEADINGS[kind]}  ", f"{look.style} bold"), (f"{count}", "quiet")]
        named = kind in ("material", "tool", "pattern", "reference")
        if named and not out:
            wide = columns([(c, w[c], "quiet") for c in ("status", "amount", "from", "cost", "link")])
            title = [*title, (" " * max(1, w["name"] + 4 - sum(len(t) for t, _ in title)), ""), *wide]
        out.append(Entry(None, [title]))

    def put(ref: Ref, cells: list[tuple[str, int, str]], confidence: float) -> None:
        out.append(Entry(ref, _thing(tuple(cells), confidence, room)))

    for kind in ("material", "tool", "pattern", "reference"):
        group = sorted(((n, i) for n, i in enumerate(log.items) if i.kind == kind), key=lambda pair: pair[1].first_s)
        if group:
            head(kind, len(group))
        for number, item in group:
            plain = "plain" if item.status == "used" else "quiet"
            cells = [
                (item.name + (f" ({item.size})" if item.size else ""), w["name"], plain),
                (status_words(item, names), w["status"], "quiet"),
                (", ".join(amount_of[q] for q in item.quantities if q in amount_of), w["amount"], "measurement"),
                (item.source or "", w["from"], "plain"),
                (money(item.price), w["cost"], "plain"),
                ("↗" if item.link else "", w["link"], "link"),
            ]
            put(Ref("item", number), cells, item.confidence)
    if log.techniques:
        head("technique", len(log.techniques))
    for number, way in sorted(enumerate(log.techniques), key=lambda pair: pair[1].first_shown_s):
        cells = [(way.name, w["name"], "plain"), (f"shown {hms(way.first_shown_s)}", w["status"], "quiet")]
        put(Ref("technique", number), [*cells, (way.definition or "", rest, "quiet")], way.confidence)
    loose = [(n, m) for n, m in enumerate(log.measurements) if m.item is None]
    if loose:
        head("measurement", len(loose))
    for number, m in loose:
        cells = [(m.text, w["name"], "plain"), (hms(m.start_s), w["status"], "quiet"), (m.of or "", rest, "quiet")]
        put(Ref("measurement", number), cells, m.confidence)
    return out


def links(desk: Desk, width: int) -> list[Entry]:
    """Links owed: the open ones first, then those given and waived; and promises for other videos."""
    log = desk.log
    out: list[Entry] = []
    room = max(20, width - 2)

    def state(link: LinkOwed) -> tuple[int, str, str]:
        if link.url:
            return 1, link.url, "good"
        return (2, "waived", "quiet") if link.waived else (0, "still owed", "bad bold")

    for number, link in sorted(enumerate(log.links_owed), key=lambda pair: (state(pair[1])[0], pair[1].start_s)):
        _, text, style = state(link)
        first = right([(f"{hms(link.start_s):>7}  ", "quiet"), (f"↗ {fit(link.what, room - 24)}", "link bold")],
                      [("" if link.url else text, style), *_sure(link.confidence)], room)  # fmt: skip
        rows: list[Row] = [first]
        if link.url:
            rows.append([("         ", ""), (fit(text, room - 10), style)])
        rows.append([("         ", ""), (fit(f"“{link.text}”", room - 10), "quiet")])
        out.append(Entry(Ref("link", number), rows))
    return out


def remarks(desk: Desk, width: int) -> list[Entry]:
    """What needs a look, then the remarks in order of time."""
    log = desk.log
    room = max(20, width - 2)
    out: list[Entry] = []
    for number, check in enumerate(log.checks):
        text = wrapped(check.text, room - 12, 4)
        rows: list[Row] = [[(f"{hms(check.start_s):>7}  ", "quiet"), ("? ", "bad bold"), (text[0], "plain")]]
        rows += [[(" " * 11, ""), (line, "plain")] for line in text[1:]]
        out.append(Entry(Ref("check", number), rows))
    for number, unplaced in enumerate(desk.state.unplaced):
        at_s = desk.time_of(Ref("unplaced", number))
        text = wrapped(f"A change without a place, {describing.words(unplaced.edit)}: {unplaced.why}", room - 12, 4)
        rows = [[(f"{hms(at_s) if at_s is not None else '':>7}  ", "quiet"), ("? ", "bad bold"), (text[0], "plain")]]
        rows += [[(" " * 11, ""), (line, "plain")] for line in text[1:]]
        out.append(Entry(Ref("unplaced", number), rows))
    for number, note in enumerate(log.notes):
        look = LOOKS[note.kind]
        text = wrapped(note.text, room - 12, 3)
        head: Row = [
            (f"{hms(note.start_s):>7}  ", "quiet"),
            (f"{look.mark} ", look.style + " bold"),
            (look.word, look.style),
        ]
        out.append(
            Entry(
                Ref("note", number),
                [right(head, _sure(note.confidence), room), *([(" " * 11, ""), (line, "plain")] for line in text)],
            )
        )
    return out


def facts(desk: Desk, ref: Ref) -> Row:
    """What is known of one thing, on one row: its kind in words, name, and facts."""
    thing = desk.thing(ref)
    names = {i.id: i.name for i in desk.log.items}
    if thing is None:
        return []
    kind = thing.kind if isinstance(thing, (Item, Note)) else ref.of
    look = LOOKS[kind]
    row: Row = [(f"{look.mark} {look.word}", look.style + " bold")]

    def say(text: str | None, style: str = "plain") -> None:
        if text:
            row.append(("  ", ""))
            row.append((fit(text, 200), style))

    match thing:
        case Item():
            say(thing.name, "plain bold")
            say(status_words(thing, names))
            for text in (amounts(desk, thing), thing.size, thing.source, money(thing.price), thing.link):
                say(text)
            if thing.aliases:
                say("also " + ", ".join(thing.aliases), "quiet")
        case Technique():
            say(thing.name, "plain bold")
            say(f"first shown {hms(thing.first_shown_s)}")
            say(thing.definition, "quiet")
        case Measurement():
            say(thing.text, "plain bold")
            from buildlog_tui.corrections import amount_words

            say(amount_words(thing))
            say(thing.of)
            say(names.get(thing.item or ""), "quiet")
        case LinkOwed():
            say(thing.what, "plain bold")
            say(thing.url or ("waived" if thing.waived else "still owed"))
        case Note():
            say(thing.text)
        case Unplaced():
            say(describing.words(thing.edit), "plain bold")
            say(thing.why)
        case _:
            for name in ("text", "title", "name"):
                if hasattr(thing, name):
                    say(getattr(thing, name))
                    break
    confidence = getattr(thing, "confidence", 1.0)
    if confidence < 0.9995:
        say(f"{int(confidence * 100)}% sure", "bad" if confidence < UNSURE else "quiet")
    return row
