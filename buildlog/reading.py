"""A reading: everything that the machine found in one recording, from its timed words to the whole log document."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from buildlog.document import (
    Chapter,
    Check,
    Derived,
    Item,
    Line,
    LinkOwed,
    Log,
    Measurement,
    Mention,
    Note,
    Piece,
    Price,
    RecordingInfo,
    Step,
    Technique,
)

if TYPE_CHECKING:
    from buildlog.outline import ChapterWish
    from buildlog.tag.view import View

NOT_ENGLISH = (
    "only English is read so far: the transcript is kept, nothing was tagged; "
    "add steps and items by hand, or give an English transcript"
)

NO_MAKING = (
    "hardly any making is told in these words, so nothing was listed; if there is, add your craft's words "
    "with `buildlog words add` and take the recording in again"
)
_MAKING_SHARE = 0.12  # of the words; build logs have 0.25 and more, a holiday or a song up to 0.1
_NAMING_SHARE = 0.02  # of the words in names of things and techniques; narrations of making have 0.04 to 0.11
_FEW_WORDS = 80
_FEW_ITEMS = 6
_SLIP = 1.6  # two values of one thing, one of them a slip, are no further apart
_CLOSE_S = 15.0  # a remark speaks of a step no farther away


def read(
    lines: Sequence[Line],
    recording: RecordingInfo,
    *,
    pauses: Sequence[tuple[float, float]] = (),
    cuts: Sequence[float] = (),
    wish: ChapterWish | None = None,
    own_words: Mapping[str, str] | None = None,
    progress: Callable[[float], None] | None = None,
) -> Log:
    """Read ``lines`` (in order of time) into a log on the recording's clock.

    ``pauses`` are silences (start, end) and ``cuts`` scene cuts, in seconds, where the media is at hand; ``wish`` how
    many chapters, or how long, the maker wants; ``own_words`` the maker's own craft words (term -> kind); ``progress`` is told the share done (0 to 1).
    """
    from buildlog.outline import outline
    from buildlog.tag.hazards import general_cautions
    from buildlog.tag.pipeline import tag
    from buildlog.tag.view import view_of

    log = Log(recording=recording, transcript=list(lines))
    tagged = tag(lines, own_words=own_words, progress=(lambda share: progress(0.5 * share)) if progress else None)
    if not tagged.english:
        log.checks.append(Check(kind="language", start_s=0.0, text=NOT_ENGLISH))
        log.chapters = [Chapter(id="c1", start_s=0.0, title="Recording")] if lines else []
        return log
    log.repairs = tagged.repairs
    doc = tagged.doc
    v = view_of(doc)
    if not _tells_making(v, doc):
        log.checks.append(Check(kind="no_making", start_s=0.0, text=NO_MAKING))
        _links(log, v, doc._.promises, [])
        log.chapters = outline(
            doc, pauses=pauses, cuts=cuts, wish=wish, duration_s=recording.duration_s, write=False
        ).chapters
        return log
    _items(log, v, doc._.items, doc._.amounts)
    _loose_prices(log, v, doc._.items, doc._.amounts)
    _techniques(log, v, doc._.techniques)
    laid_out = outline(
        doc, pauses=pauses, cuts=cuts, wish=wish, duration_s=recording.duration_s,
        progress=(lambda share: progress(0.5 + 0.48 * share)) if progress else None,
    )  # fmt: skip
    log.pieces = [Piece(id=f"p{n}", name=name) for n, name in enumerate(laid_out.pieces, 1)]
    log.steps = laid_out.steps
    log.chapters = laid_out.chapters
    _measurements(log, v, doc._.amounts, doc._.items)
    for n, d in enumerate(doc._.derived, 1):
        log.derived.append(
            Derived(
                id=f"d{n}", start_s=_time(v, d.start), text=d.text, result=d.result, formula=d.formula, inputs=list(d.inputs),
                confidence=d.confidence,
            )
        )  # fmt: skip
    _links(log, v, doc._.promises, doc._.items)
    _notes(log, v, doc._.notes)
    log.general_cautions = general_cautions(log.items, log.techniques, log.notes, log.steps, log.transcript)
    _contradictions(log)
    if progress:
        progress(1.0)
    return log


def _tells_making(v: View, doc: Any) -> bool:
    """Whether enough of the words tell of making something. Short texts get the benefit of the doubt."""
    n = len(v.text)
    if n < _FEW_WORDS:
        return True
    reading = doc._.reader
    if reading is not None:
        inside = 1.0 - reading.layers["S"][:, 0]
        used = sum(item.status == "used" for item in doc._.items)
        # A song may be full of cutting and stitching; who makes something names what with, over and over.
        named = float((reading.layers["kind"][:, 0] < 0.5).mean())
        telling = named >= _NAMING_SHARE and bool((inside > 0.5).mean() >= _MAKING_SHARE)
        return used >= _FEW_ITEMS or telling
    from buildlog.tag.lexicon import lexicon_of

    verbs = {v.lemma[c.verb] for c in doc._.clauses if c.real}
    return len(doc._.items) + len(verbs & lexicon_of(doc).making_verbs) >= n / 60


def _time(v: View, token: int) -> float:
    return round(float(v.start_s[token]), 3)


def _items(log: Log, v: View, gathered: Sequence[Any], amounts: Sequence[Any]) -> None:
    for n, g in enumerate(gathered, 1):
        price = amounts[g.price] if g.price is not None else None
        sents = v.sents[v.sent_of[g.mentions[-1].start]]
        log.items.append(
            Item(
                id=f"i{n}",
                kind=g.kind,
                name=g.name,
                aliases=list(g.aliases),
                status=g.status,
                instead_of=f"i{g.instead_of + 1}" if g.instead_of is not None else None,
                source=g.source,
                price=None
                if price is None
                else Price(
                    amount=float(price.value),
                    currency=price.currency,
                    per=price.per,
                    approximate=price.approximate,
                    text=price.text,
                ),
                first_s=_time(v, g.mentions[0].start),
                mentions=[
                    Mention(
                        start_s=_time(v, m.start),
                        end_s=round(float(v.end_s[m.end - 1]), 3),
                        text=v.words(m.start, m.end),
                    )
                    for m in g.mentions
                ],
                size=g.size,
                unavailable=g.unavailable,
                search_words=g.search_words,
                why=v.words(*sents) if g.status != "used" else None,
                confidence=round(min(1.0, g.sure), 3),
            )
        )


def _loose_prices(log: Log, v: View, gathered: Sequence[Any], amounts: Sequence[Any]) -> None:
    """A sum of money that no item carries, and a total that another was said after, are kept as checks."""
    carried = {g.price for g in gathered}
    totals = [n for n, a in enumerate(amounts) if a.kind == "total"]
    for n, a in enumerate(amounts):
        if a.kind == "price" and n not in carried:
            text = f"“{a.text}” is a price, but not one of the items listed carries it"
        elif a.kind == "total" and n != totals[-1]:
            text = f"“{a.text}” was said as a total, and later “{amounts[totals[-1]].text}”"
        else:
            continue
        log.checks.append(Check(kind="price", start_s=_time(v, a.start), text=text, times=[_time(v, a.start)]))


def _techniques(log: Log, v: View, found: Sequence[Any]) -> None:
    for n, t in enumerate(found, 1):
        log.techniques.append(
            Technique(
                id=f"t{n}",
                name=t.name,
                aliases=list(t.aliases),
                first_shown_s=_time(v, t.first),
                mentions=[
                    Mention(start_s=_time(v, a), end_s=round(float(v.end_s[b - 1]), 3), text=v.words(a, b))
                    for a, b in t.spans
                ],
                definition=t.definition,
                confidence=round(t.sure, 3),
            )
        )


def _measurements(log: Log, v: View, amounts: Sequence[Any], items: Sequence[Any]) -> None:
    of_item = {n: f"i{i}" for i, g in enumerate(items, 1) for n in g.amounts}
    item_by_id = {i.id: i for i in log.items}
    steps = _Timeline(log.steps)
    for n, a in enumerate(amounts):
        if not a.measured:
            if a.kind == "total":
                log.total_said = Price(
                    amount=float(a.value), currency=a.currency, approximate=a.approximate, text=a.text
                )
            continue
        at = _time(v, a.start)
        step = next((s for s in steps.near(at) if s.start_s <= at <= s.end_s), None)
        made = Measurement(
            id=f"m{len(log.measurements) + 1}",
            start_s=at,
            text=a.text,
            value=float(a.value),
            value_max=None if a.value_max is None else float(a.value_max),
            unit=a.unit,
            approximate=a.approximate,
            of=a.of,
            item=of_item.get(n),
            piece=step.piece if step else None,
            exact=str(a.value),
            setting=a.kind == "setting",
            confidence=round(a.confidence, 3),
        )
        log.measurements.append(made)
        if made.item is not None:
            item_by_id[made.item].quantities.append(made.id)


class _Timeline:
    """The steps by time, to ask for those around a moment without going through all."""

    def __init__(self, steps: Sequence[Step]) -> None:
        self._by_start = sorted(enumerate(steps), key=lambda pair: pair[1].start_s)
        self._starts = [s.start_s for _, s in self._by_start]
        self._longest = max((s.end_s - s.start_s for s in steps), default=0.0)

    def near(self, at: float, within_s: float = 0.0) -> list[Step]:
        """In the order of work: at least all steps that ``at`` lies in, or lies ``within_s`` of."""
        lo = bisect_left(self._starts, at - self._longest - within_s)
        found = sorted(self._by_start[lo : bisect_right(self._starts, at + within_s)], key=lambda pair: pair[0])
        return [s for _, s in found]


def _links(log: Log, v: View, promises: Sequence[Any], items: Sequence[Any]) -> None:
    item_at = {k: i for i, g in reversed(list(enumerate(items, 1))) for m in g.mentions for k in range(m.start, m.end)}
    for n, p in enumerate(promises, 1):
        item = None
        if p.what_start is not None:
            named = [item_at[k] for k in range(p.what_start, p.what_end) if k in item_at]
            item = f"i{min(named)}" if named else None
        log.links_owed.append(
            LinkOwed(
                id=f"l{n}", start_s=_time(v, p.start), text=p.text, what=p.what, item=item, confidence=p.confidence
            )
        )


def _notes(log: Log, v: View, found: Sequence[Any]) -> None:
    steps = _Timeline(log.steps)
    for n, note in enumerate(found, 1):
        start = _time(v, note.start)
        near = min(
            steps.near(start, _CLOSE_S), key=lambda s: max(s.start_s - start, start - s.end_s, 0.0), default=None
        )
        close = near is not None and max(near.start_s - start, start - near.end_s) < _CLOSE_S
        log.notes.append(
            Note(
                id=f"n{n}",
                kind=note.kind,
                start_s=start,
                text=note.text,
                refers_to=near.id if near is not None and close and note.kind != "pointer" else None,
                direction=getattr(note, "direction", None),
                part=getattr(note, "part", None),
                confidence=round(note.confidence, 3),
            )
        )


def _one_size(log: Log, a: Measurement, b: Measurement) -> bool:
    """Whether the two are the sides of one size: "sixty inches by seventy-two"."""
    near = " ".join(x.text for x in log.transcript if x.start_s <= b.start_s and x.end_s >= a.start_s)
    sides = rf"{re.escape(a.text)}\W+(?:by|x|×)\W+{re.escape(b.text)}"
    return re.search(sides, near, re.IGNORECASE) is not None


def _near(a: float, b: float) -> bool:
    return 0 < max(a, b) <= _SLIP * min(a, b)


def _contradictions(log: Log) -> None:
    """The same thing measured twice with different values: both stay, and the maker is told."""
    seen: dict[tuple[str, str | None], Measurement] = {}
    for m in log.measurements:
        if not m.of or m.setting or m.unit is None:
            continue
        key = (m.of.lower(), m.piece)
        before = seen.get(key)
        twice = before is not None and before.unit == m.unit and before.value != m.value and len(m.of.split()) > 1
        # Values far apart are those of two things that go by one name: two plies, two waits.
        if before is not None and twice and _near(before.value, m.value) and not _one_size(log, before, m):
            log.checks.append(
                Check(
                    kind="contradiction", start_s=m.start_s, times=[before.start_s, m.start_s], refers_to=[before.id, m.id],
                    text=f"{m.of}: first “{before.text}”, then “{m.text}”",
                )
            )  # fmt: skip
        seen[key] = m
