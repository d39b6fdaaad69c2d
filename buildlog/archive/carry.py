"""Carrying recordings' logs through a cut onto the part's clock."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar

import msgspec

from buildlog.archive.cut import Cut, Spot
from buildlog.document import (
    Chapter,
    Check,
    GeneralCaution,
    Item,
    Line,
    Log,
    Mention,
    RecordingInfo,
    Step,
    Technique,
    Word,
)
from buildlog.edits.apply import merged_item, merged_technique

V = TypeVar("V")

# Video hosts take no chapter shorter than this (support.vevo.com 6945557784347).
SHORTEST_CHAPTER_S = 10.0


def carry(logs: Mapping[int, Log], cut: Cut, *, path: str = "") -> Log:
    """One log on the part's clock from ``logs`` by recording id; recordings without a log are silent.

    What the cut leaves out is left out. Things are where the longest clip shows them; words are wherever they are
    heard. Items and techniques of the same kind and name become one. Ids get the number of their recording in front
    from the second recording on, so that they are unique. A part that is one whole recording has that recording's
    log as it is.
    """
    used = [r for r in cut.recordings() if r in logs]
    if cut.is_plain() and used:
        log = logs[used[0]]
        if log.recording.duration_s <= cut.clips[0].out_s + 0.5:
            return log
    parts = [_onto_part(logs[r], r, cut, "" if n == 0 else f"{n + 1}.") for n, r in enumerate(used)]
    first = logs[used[0]].recording if len(used) == 1 else None
    whole = Log(
        recording=RecordingInfo(
            path=first.path if first else path,
            duration_s=cut.length_s,
            sha256=first.sha256 if first else None,
            model=first.model if first else next((logs[r].recording.model for r in used), None),
        ),
        transcript=_transcript(logs, cut),
        chapters=_chapters(logs, cut),
    )
    for name in ("pieces", "steps", "items", "techniques", "measurements", "derived", "links_owed", "notes", "repairs",
                 "checks", "general_cautions", "worksheet"):  # fmt: skip
        setattr(whole, name, [v for p in parts for v in getattr(p, name)])
    for name in ("steps", "measurements", "derived", "links_owed", "notes", "repairs", "checks"):
        getattr(whole, name).sort(key=lambda v: v.start_s)
    whole.total_said = next((p.total_said for p in reversed(parts) if p.total_said is not None), None)
    return _joined(_alive(whole))


def _onto_part(log: Log, recording: int, cut: Cut, prefix: str) -> Log:
    """The things of one recording's log that the cut shows, on the part's clock; words and chapters apart."""

    def at(seconds: float) -> float | None:
        return cut.to_part(Spot(recording, seconds))

    def ident(old: str) -> str:
        return prefix + old

    def ids(old: Sequence[str]) -> list[str]:
        return [ident(i) for i in old]

    def moment(value: Any, **fields: Any) -> list[Any]:
        start = at(value.start_s)
        return [] if start is None else [msgspec.structs.replace(value, start_s=start, **fields)]

    def mentions(values: Sequence[Mention]) -> list[Mention]:
        out = []
        for m in values:
            start = at(m.start_s)
            if start is not None:
                end = at(m.end_s)
                out.append(
                    Mention(start_s=start, end_s=end if end is not None and end >= start else start, text=m.text)
                )
        return sorted(out, key=lambda m: m.start_s)

    def item(i: Item) -> list[Item]:
        said = mentions(i.mentions)
        first = at(i.first_s)
        if not said and (i.mentions or first is None):
            return []
        times = [m.start_s for m in said] + ([] if first is None else [first])
        return [
            msgspec.structs.replace(i, id=ident(i.id), mentions=said, first_s=min(times), quantities=ids(i.quantities))
        ]

    def technique(t: Technique) -> list[Technique]:
        said = mentions(t.mentions)
        first = at(t.first_shown_s)
        if not said and (t.mentions or first is None):
            return []
        shown = first if first is not None else said[0].start_s
        return [msgspec.structs.replace(t, id=ident(t.id), mentions=said, first_shown_s=shown)]

    def step(s: Step) -> list[Step]:
        span = _span(cut, recording, s.start_s, s.end_s)
        if span is None:
            return []
        return [
            msgspec.structs.replace(
                s,
                id=ident(s.id),
                start_s=span[0],
                end_s=span[1],
                piece=None if s.piece is None else ident(s.piece),
                items=ids(s.items),
                techniques=ids(s.techniques),
                same_as=ids(s.same_as),
            )
        ]

    def check(c: Check) -> list[Check]:
        times = [t for t in map(at, c.times) if t is not None]
        start = at(c.start_s)
        if start is None and not times:
            return []
        return [
            msgspec.structs.replace(
                c, start_s=times[0] if start is None else start, times=times, refers_to=ids(c.refers_to)
            )
        ]

    def caution(g: GeneralCaution) -> list[GeneralCaution]:
        return moment(g, refers_to=None if g.refers_to is None else ident(g.refers_to))

    def each(values: Sequence[V], change: Callable[[V], list[Any]]) -> list[Any]:
        return [new for v in values for new in change(v)]

    def owned(value: str | None) -> str | None:
        return None if value is None else ident(value)

    known = {i.id for i in log.items}
    return Log(
        pieces=[msgspec.structs.replace(p, id=ident(p.id)) for p in log.pieces],
        steps=each(log.steps, step),
        items=[
            msgspec.structs.replace(i, instead_of=ident(i.instead_of)) if i.instead_of in known else i
            for i in each(log.items, item)
        ],
        techniques=each(log.techniques, technique),
        measurements=each(
            log.measurements,
            lambda m: moment(m, id=ident(m.id), item=owned(m.item), piece=owned(m.piece)),
        ),
        derived=each(log.derived, lambda d: moment(d, id=ident(d.id))),
        links_owed=each(log.links_owed, lambda x: moment(x, id=ident(x.id), item=owned(x.item))),
        notes=each(log.notes, lambda n: moment(n, id=owned(n.id), refers_to=owned(n.refers_to))),
        repairs=each(log.repairs, moment),
        checks=each(log.checks, check),
        general_cautions=each(log.general_cautions, caution),
        worksheet=[
            msgspec.structs.replace(
                w,
                id=ident(w.id),
                quantities=[
                    msgspec.structs.replace(q, start_s=None if q.start_s is None else at(q.start_s))
                    for q in w.quantities
                ],
            )
            for w in log.worksheet
        ],
        total_said=log.total_said,
    )


def _span(cut: Cut, recording: int, start_s: float, end_s: float) -> tuple[float, float] | None:
    """Where the part shows a stretch of a recording: of the clip that has most of it, what it has."""
    best: tuple[float, tuple[float, float]] | None = None
    for clip, at in zip(cut.clips, cut.starts(), strict=True):
        if clip.recording_id != recording:
            continue
        start, end = max(start_s, clip.in_s), min(end_s, clip.out_s)
        if end < start or (end == start and end_s > start_s):
            continue
        span = (at + (start - clip.in_s) / clip.speed, at + (end - clip.in_s) / clip.speed)
        if best is None or end - start > best[0]:
            best = (end - start, span)
    return None if best is None else best[1]


def _transcript(logs: Mapping[int, Log], cut: Cut) -> list[Line]:
    out = []
    for clip, start in zip(cut.clips, cut.starts(), strict=True):
        log = logs.get(clip.recording_id)
        for line in log.transcript if log else []:
            if line.end_s <= clip.in_s or line.start_s >= clip.out_s:
                continue

            def onto(seconds: float, clip: Any = clip, start: float = start) -> float:
                return float(start + (min(max(seconds, clip.in_s), clip.out_s) - clip.in_s) / clip.speed)

            words = [
                Word(start_s=onto(w.start_s), end_s=onto(w.end_s), text=w.text, p=w.p, heard=w.heard)
                for w in line.words
                if clip.in_s <= (w.start_s + w.end_s) / 2 < clip.out_s
            ]
            if line.words and not words:
                continue
            if not line.words and not clip.in_s <= (line.start_s + line.end_s) / 2 < clip.out_s:
                continue
            whole = len(words) == len(line.words)
            text = line.text if whole else " ".join(w.text.strip() for w in words)
            out.append(
                Line(
                    start_s=onto(line.start_s) if whole else words[0].start_s,
                    end_s=onto(line.end_s) if whole else words[-1].end_s,
                    text=text,
                    words=words,
                )
            )
    return out


def _chapters(logs: Mapping[int, Log], cut: Cut) -> list[Chapter]:
    """The recordings' chapters as the clips show them, the first at the start, none too short to be one."""
    found: list[Chapter] = []
    for clip, start in zip(cut.clips, cut.starts(), strict=True):
        log = logs.get(clip.recording_id)
        chapters = sorted(log.chapters, key=lambda c: c.start_s) if log else []
        for number, chapter in enumerate(chapters):
            end = chapters[number + 1].start_s if number + 1 < len(chapters) else float("inf")
            begin = max(chapter.start_s, clip.in_s)
            if begin >= min(end, clip.out_s):
                continue
            found.append(
                msgspec.structs.replace(
                    chapter, start_s=start + (begin - clip.in_s) / clip.speed, id=f"c{len(found) + 1}"
                )
            )
    kept: list[Chapter] = []
    for chapter in found:
        if kept and (chapter.title == kept[-1].title or chapter.start_s - kept[-1].start_s < SHORTEST_CHAPTER_S):
            continue
        kept.append(chapter)
    if kept and kept[0].start_s < SHORTEST_CHAPTER_S:
        kept[0] = msgspec.structs.replace(kept[0], start_s=0.0)
    return kept


def _alive(log: Log) -> Log:
    """``log`` without references to what the cut left out; pieces that nothing belongs to any more go."""
    pieces = {s.piece for s in log.steps} | {m.piece for m in log.measurements}
    log.pieces = [p for p in log.pieces if p.id in pieces]
    items, ways = {i.id for i in log.items}, {t.id for t in log.techniques}
    steps, amounts = {s.id for s in log.steps}, {m.id for m in log.measurements}
    every = items | ways | steps | amounts | {x.id for x in log.links_owed} | {d.id for d in log.derived}
    replace = msgspec.structs.replace
    log.steps = [
        replace(
            s,
            items=[i for i in s.items if i in items],
            techniques=[t for t in s.techniques if t in ways],
            same_as=[o for o in s.same_as if o in steps],
        )
        for s in log.steps
    ]
    log.items = [replace(i, quantities=[q for q in i.quantities if q in amounts]) for i in log.items]
    log.measurements = [replace(m, item=m.item if m.item in items else None) for m in log.measurements]
    log.links_owed = [replace(x, item=x.item if x.item in items else None) for x in log.links_owed]
    log.notes = [replace(n, refers_to=n.refers_to if n.refers_to in every else None) for n in log.notes]
    log.checks = [replace(c, refers_to=[r for r in c.refers_to if r in every]) for c in log.checks]
    return log


def _joined(log: Log) -> Log:
    """``log`` with the items, techniques and pieces of several recordings made one where kind and name are the same."""
    swap: dict[str, str] = {}

    def plain(name: str) -> str:
        return re.sub(r"[\s-]+", " ", name.casefold()).strip()

    def unique(values: Sequence[V], key: Callable[[Any], tuple[str, ...]], merge: Callable[[Any, Any], Any]) -> list[V]:
        kept: dict[tuple[str, ...], Any] = {}
        for value in values:
            this: Any = value
            twin = kept.get(key(this))
            if twin is None:
                kept[key(this)] = this
            else:
                kept[key(this)] = merge(twin, this)
                swap[this.id] = twin.id
        return list(kept.values())

    log.items = unique(log.items, lambda i: (i.kind, plain(i.name)), _together)
    log.techniques = unique(log.techniques, lambda t: (plain(t.name),), merged_technique)
    log.pieces = unique(log.pieces, lambda p: (plain(p.name),), lambda a, b: a)
    if not swap:
        return log

    def new(old: str) -> str:
        return swap.get(old, old)

    def news(old: Sequence[str]) -> list[str]:
        return list(dict.fromkeys(map(new, old)))

    def maybe(old: str | None) -> str | None:
        return None if old is None else new(old)

    replace = msgspec.structs.replace
    log.steps = [
        replace(s, items=news(s.items), techniques=news(s.techniques), piece=maybe(s.piece)) for s in log.steps
    ]
    log.items = [replace(i, instead_of=maybe(i.instead_of)) for i in log.items]
    log.measurements = [replace(m, item=maybe(m.item), piece=maybe(m.piece)) for m in log.measurements]
    log.links_owed = [replace(x, item=maybe(x.item)) for x in log.links_owed]
    log.notes = [replace(n, refers_to=maybe(n.refers_to)) for n in log.notes]
    log.checks = [replace(c, refers_to=news(c.refers_to)) for c in log.checks]
    log.general_cautions = [replace(g, refers_to=maybe(g.refers_to)) for g in log.general_cautions]
    return log


# Used anywhere means used; weighed in one recording and used in another means used as well.
_RANK = {"used": 0, "substitute": 1, "considered": 2, "mentioned": 3}


def _together(one: Item, other: Item) -> Item:
    merged = merged_item(one, other)
    return msgspec.structs.replace(merged, status=min(one.status, other.status, key=_RANK.__getitem__))
