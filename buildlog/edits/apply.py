"""Applying edits to a log.

Nothing here changes a value in place: a changed log shares every part that did not change with the log it was made
from. So undo is a matter of keeping the older log, and two logs are compared quickly by identity.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeVar, cast

import msgspec

from buildlog.document import (
    Chapter,
    Check,
    Item,
    LinkOwed,
    Log,
    Measurement,
    Mention,
    Note,
    Piece,
    Repair,
    Step,
    Technique,
    Word,
)
from buildlog.edits import kinds as k
from buildlog.edits.place import LISTS, anchor, find, find_alike, things

T = TypeVar("T")
E = TypeVar("E", bound=k.Edit)


class Misplaced(Exception):
    """An edit that does not fit this log; the text says why."""


class Unplaced(msgspec.Struct, frozen=True, kw_only=True):
    """An edit that found nothing to change: kept, and shown as needing a look.

    ``index`` is its place in the edits given.
    """

    index: int
    edit: k.AnyEdit
    why: str


def apply(log: Log, edits: Iterable[k.AnyEdit]) -> tuple[Log, list[Unplaced]]:
    """``log`` with ``edits`` made in order, and those that found no place. ``log`` itself stays as it is."""
    unplaced = []
    for index, edit in enumerate(edits):
        try:
            log = apply_one(log, edit)
        except Misplaced as why:
            unplaced.append(Unplaced(index=index, edit=edit, why=str(why)))
    return log, unplaced


def apply_one(log: Log, edit: k.AnyEdit) -> Log:
    """``log`` with one edit made. Raises :class:`Misplaced` where it finds no place; ``log`` stays as it is."""
    if isinstance(edit, k.OnThing) and edit.everywhere:
        alike = find_alike(log, edit.at)
        if not alike:
            raise Misplaced(f"nothing called “{edit.at.name}” in this part")
        for thing in alike:
            try:
                log = _make(log, msgspec.structs.replace(edit, at=anchor(thing), everywhere=False))
            except Misplaced:
                if len(alike) == 1:
                    raise
        return log
    return _make(log, edit)


def apply_remembered(log: Log, edits: Iterable[k.AnyEdit]) -> Log:
    """``log`` with corrections remembered from earlier parts: made on all things of that name, passed over if none."""
    for edit in edits:
        if isinstance(edit, (k.OnThing, k.RepairWord)):
            try:
                log = apply_one(log, msgspec.structs.replace(edit, everywhere=True))
            except Misplaced:
                continue
    return log


def accepts(edit: k.AcceptCheck, check: Check) -> bool:
    """Whether ``edit`` says that ``check`` may stay: same kind, and the same words within five seconds."""
    from rapidfuzz import fuzz

    return (
        edit.kind == check.kind
        and abs(edit.start_s - check.start_s) <= 5.0
        and fuzz.ratio(edit.text.casefold(), check.text.casefold()) >= 80.0
    )


# The table of what each edit does -----------------------------------------------------------------------------------

_DO: dict[type[k.Edit], Callable[[Log, Any], None]] = {}


def _does(kind: type[E]) -> Callable[[Callable[[Log, E], None]], Callable[[Log, E], None]]:
    def register(function: Callable[[Log, E], None]) -> Callable[[Log, E], None]:
        _DO[kind] = function
        return function

    return register


def _make(log: Log, edit: k.Edit) -> Log:
    # A shallow copy: handlers put new lists in, and never touch a list or value that they found.
    draft = msgspec.structs.replace(log)
    _DO[type(edit)](draft, edit)
    return draft


# Small tools --------------------------------------------------------------------------------------------------------


def _need(log: Log, where: k.Anchor, *of: k.Thing) -> int:
    if where.of not in of:
        raise Misplaced(f"this cannot be done to a {where.of}")
    index = find(log, where)
    if index is None:
        raise Misplaced(f"no {where.of} like “{where.name}” near {_clock(where.start_s)}")
    return index


def _clock(seconds: float) -> str:
    whole = int(seconds)
    return f"{whole // 3600}:{whole // 60 % 60:02}:{whole % 60:02}"


def _with(values: Sequence[T], index: int, value: T) -> list[T]:
    return [*values[:index], value, *values[index + 1 :]]


def _without(values: Sequence[T], index: int) -> list[T]:
    return [*values[:index], *values[index + 1 :]]


def _free_id(values: Sequence[Any], letter: str) -> str:
    taken = {v.id for v in values}
    number = len(values) + 1
    while f"{letter}{number}" in taken:
        number += 1
    return f"{letter}{number}"


def _change(log: Log, where: k.Anchor, of: Sequence[k.Thing], **fields: Any) -> None:
    index = _need(log, where, *of)
    values: Sequence[Any] = things(log, where.of)
    setattr(log, LISTS[where.of], _with(values, index, msgspec.structs.replace(values[index], **fields)))


def _each(values: list[T], change: Callable[[T], T]) -> list[T]:
    """``values`` with ``change`` made to each; the very same list where nothing changed."""
    new = [change(v) for v in values]
    return values if all(a is b for a, b in zip(values, new, strict=True)) else new


def _swap_ids(log: Log, old: str, new: str | None) -> None:
    """Point every reference to ``old`` at ``new``, or drop it where ``new`` is ``None``."""

    def in_list(ids: list[str]) -> list[str]:
        if old not in ids:
            return ids
        return list(dict.fromkeys(x for x in ((new if i == old else i) for i in ids) if x is not None))

    def step(s: Step) -> Step:
        if old in s.items or old in s.techniques or old in s.same_as or s.piece == old:
            return msgspec.structs.replace(
                s,
                items=in_list(s.items),
                techniques=in_list(s.techniques),
                same_as=[i for i in in_list(s.same_as) if i != s.id],
                piece=new if s.piece == old else s.piece,
            )
        return s

    def item(i: Item) -> Item:
        if old in i.quantities or i.instead_of == old:
            instead = new if i.instead_of == old else i.instead_of
            return msgspec.structs.replace(
                i, quantities=in_list(i.quantities), instead_of=None if instead == i.id else instead
            )
        return i

    def measurement(m: Measurement) -> Measurement:
        if old in (m.item, m.piece):
            return msgspec.structs.replace(
                m, item=new if m.item == old else m.item, piece=new if m.piece == old else m.piece
            )
        return m

    log.steps = _each(log.steps, step)
    log.items = _each(log.items, item)
    log.measurements = _each(log.measurements, measurement)
    log.links_owed = _each(log.links_owed, lambda x: msgspec.structs.replace(x, item=new) if x.item == old else x)
    log.notes = _each(log.notes, lambda x: msgspec.structs.replace(x, refers_to=new) if x.refers_to == old else x)
    log.general_cautions = _each(
        log.general_cautions, lambda x: msgspec.structs.replace(x, refers_to=new) if x.refers_to == old else x
    )
    log.checks = _each(
        log.checks,
        lambda x: msgspec.structs.replace(x, refers_to=in_list(x.refers_to)) if old in x.refers_to else x,
    )


def _mentions(*lists: Sequence[Mention]) -> list[Mention]:
    unique = {(m.start_s, m.end_s, m.text): m for ms in lists for m in ms}
    return sorted(unique.values(), key=lambda m: (m.start_s, m.end_s))


def _aliases(name: str, *lists: Iterable[str]) -> list[str]:
    seen = {name.casefold()}
    out = []
    for alias in (a for names in lists for a in names):
        if alias and alias.casefold() not in seen:
            seen.add(alias.casefold())
            out.append(alias)
    return out


def merged_item(into: Item, other: Item) -> Item:
    """One item from two: ``into``'s own fields win, ``other`` fills what it lacks."""
    return msgspec.structs.replace(
        into,
        aliases=_aliases(into.name, into.aliases, [other.name], other.aliases),
        mentions=_mentions(into.mentions, other.mentions),
        quantities=list(dict.fromkeys([*into.quantities, *other.quantities])),
        first_s=min(into.first_s, other.first_s),
        source=into.source or other.source,
        price=into.price or other.price,
        link=into.link or other.link,
        size=into.size or other.size,
        setting=into.setting or other.setting,
        search_words=into.search_words or other.search_words,
        instead_of=into.instead_of or (other.instead_of if other.instead_of != into.id else None),
        implied=into.implied and other.implied,
        unavailable=into.unavailable or other.unavailable,
    )


def merged_technique(into: Technique, other: Technique) -> Technique:
    """One technique from two: ``into``'s own fields win, ``other`` fills what it lacks."""
    return msgspec.structs.replace(
        into,
        aliases=_aliases(into.name, into.aliases, [other.name], other.aliases),
        mentions=_mentions(into.mentions, other.mentions),
        first_shown_s=min(into.first_shown_s, other.first_shown_s),
        definition=into.definition or other.definition,
    )


def _fold(log: Log, of: k.Thing, source: int, target: int) -> None:
    """Merge the item or technique at ``source`` into the one at ``target``."""
    values: Sequence[Any] = things(log, of)
    gone, kept = values[source], values[target]
    merge: Callable[[Any, Any], Any] = merged_item if of == "item" else merged_technique
    setattr(log, LISTS[of], _without(_with(values, target, merge(kept, gone)), source))
    _swap_ids(log, gone.id, kept.id)


def _fold_twin(log: Log, of: k.Thing, thing_id: str) -> None:
    """Keep names unique: merge the thing into another of its kind that has the same name."""
    values: Sequence[Any] = things(log, of)
    index = next(i for i, v in enumerate(values) if v.id == thing_id)
    own = values[index]
    for other, value in enumerate(values):
        if (
            other != index
            and value.name.casefold() == own.name.casefold()
            and getattr(value, "kind", None) == getattr(own, "kind", None)
        ):
            _fold(log, of, index, other)
            return


def _remove(log: Log, of: k.Thing, index: int) -> None:
    values: Sequence[Any] = things(log, of)
    gone_id = getattr(values[index], "id", None)
    setattr(log, LISTS[of], _without(values, index))
    if gone_id is not None:
        _swap_ids(log, gone_id, None)


# Things of any sort -------------------------------------------------------------------------------------------------

_SURE: tuple[k.Thing, ...] = (
    "item", "technique", "measurement", "derived", "step", "link", "note", "chapter", "repair",
)  # fmt: skip


@_does(k.Accept)
def _accept(log: Log, edit: k.Accept) -> None:
    _change(log, edit.at, _SURE, confidence=1.0)


@_does(k.AcceptAbove)
def _accept_above(log: Log, edit: k.AcceptAbove) -> None:
    for of in _SURE:
        values: list[Any] = list(things(log, of))
        setattr(
            log,
            LISTS[of],
            _each(
                values,
                lambda v: msgspec.structs.replace(v, confidence=1.0) if edit.confidence <= v.confidence < 1.0 else v,
            ),
        )


@_does(k.NotAThing)
def _not_a_thing(log: Log, edit: k.NotAThing) -> None:
    _remove(log, edit.at.of, _need(log, edit.at, *_SURE, "piece", "check"))


@_does(k.Rename)
def _rename(log: Log, edit: k.Rename) -> None:
    of = edit.at.of
    index = _need(log, edit.at, "item", "technique", "piece", "link")
    values: Sequence[Any] = things(log, of)
    old = values[index]
    if of == "link":
        log.links_owed = _with(log.links_owed, index, msgspec.structs.replace(old, what=edit.name))
        return
    if of == "piece":
        twin = next((p for p in log.pieces if p.id != old.id and p.name.casefold() == edit.name.casefold()), None)
        if twin is not None:
            log.pieces = _without(log.pieces, index)
            _swap_ids(log, old.id, twin.id)
        else:
            log.pieces = _with(log.pieces, index, msgspec.structs.replace(old, name=edit.name))
        return
    named = msgspec.structs.replace(old, name=edit.name, aliases=_aliases(edit.name, [old.name], old.aliases))
    setattr(log, LISTS[of], _with(values, index, named))
    _fold_twin(log, of, old.id)


# Items and techniques -----------------------------------------------------------------------------------------------


@_does(k.SetKind)
def _set_kind(log: Log, edit: k.SetKind) -> None:
    index = _need(log, edit.at, "item", "technique")
    if edit.at.of == "item":
        item = log.items[index]
        if edit.kind != "technique":
            log.items = _with(log.items, index, msgspec.structs.replace(item, kind=edit.kind))
            _fold_twin(log, "item", item.id)
            return
        technique = Technique(
            id=_free_id(log.techniques, "t"),
            name=item.name,
            aliases=item.aliases,
            first_shown_s=item.first_s,
            mentions=item.mentions,
            confidence=item.confidence,
        )
        log.steps = _each(
            log.steps,
            lambda s: msgspec.structs.replace(s, techniques=[*s.techniques, technique.id]) if item.id in s.items else s,
        )
        _remove(log, "item", index)
        log.techniques = [*log.techniques, technique]
        _fold_twin(log, "technique", technique.id)
        return
    technique = log.techniques[index]
    if edit.kind == "technique":
        return
    made = Item(
        id=_free_id(log.items, "i"),
        kind=edit.kind,
        name=technique.name,
        aliases=technique.aliases,
        first_s=min([technique.first_shown_s, *(m.start_s for m in technique.mentions)]),
        mentions=technique.mentions,
        confidence=technique.confidence,
    )
    log.steps = _each(
        log.steps,
        lambda s: msgspec.structs.replace(s, items=[*s.items, made.id]) if technique.id in s.techniques else s,
    )
    _remove(log, "technique", index)
    log.items = [*log.items, made]
    _fold_twin(log, "item", made.id)


@_does(k.SetStatus)
def _set_status(log: Log, edit: k.SetStatus) -> None:
    index = _need(log, edit.at, "item")
    item = log.items[index]
    instead = item.instead_of
    if edit.instead_of is not None:
        # By id where that item is in the log, so that it goes along when it is renamed or merged; else the words.
        name = edit.instead_of.casefold()
        instead = next((i.id for i in log.items if i.name.casefold() == name and i is not item), edit.instead_of)
    log.items = _with(log.items, index, msgspec.structs.replace(item, status=edit.status, instead_of=instead))


@_does(k.Merge)
def _merge(log: Log, edit: k.Merge) -> None:
    if edit.at.of != edit.into.of:
        raise Misplaced(f"a {edit.at.of} cannot be merged into a {edit.into.of}; change its kind first")
    source = _need(log, edit.at, "item", "technique")
    target = _need(log, edit.into, "item", "technique")
    if source == target:
        raise Misplaced("these are one already")
    _fold(log, edit.at.of, source, target)


@_does(k.Split)
def _split(log: Log, edit: k.Split) -> None:
    index = _need(log, edit.at, "item")
    item = log.items[index]

    def is_other(mention: Mention) -> bool:
        return any(abs(mention.start_s - s.start_s) <= 0.5 or _covers(s, mention) for s in edit.mentions)

    others = [m for m in item.mentions if is_other(m)]
    rest = [m for m in item.mentions if not is_other(m)]
    if not others:
        raise Misplaced(f"none of these mentions of “{item.name}” is there")
    if not rest:
        raise Misplaced(f"one mention of “{item.name}” must stay; rename it instead")

    def nearer_others(at_s: float) -> bool:
        return min(abs(m.start_s - at_s) for m in others) < min(abs(m.start_s - at_s) for m in rest)

    made = Item(
        id=_free_id(log.items, "i"),
        kind=edit.kind or item.kind,
        name=edit.name,
        status=item.status,
        first_s=others[0].start_s,
        mentions=others,
    )
    moved = {m.id for m in log.measurements if m.id in item.quantities and nearer_others(m.start_s)}
    made.quantities = [q for q in item.quantities if q in moved]
    left = msgspec.structs.replace(
        item, mentions=rest, first_s=rest[0].start_s, quantities=[q for q in item.quantities if q not in moved]
    )

    def step(s: Step) -> Step:
        if item.id not in s.items:
            return s
        here = [m for m in item.mentions if s.start_s - 0.01 <= m.start_s <= s.end_s + 0.01]
        old = not here or any(m in rest for m in here)
        new = any(m in others for m in here)
        if not new:
            return s
        return msgspec.structs.replace(
            s, items=[x for i in s.items for x in ((*([i] if old else []), made.id) if i == item.id else (i,))]
        )

    log.steps = _each(log.steps, step)
    log.measurements = _each(
        log.measurements, lambda m: msgspec.structs.replace(m, item=made.id) if m.id in moved else m
    )
    log.links_owed = _each(
        log.links_owed,
        lambda x: msgspec.structs.replace(x, item=made.id) if x.item == item.id and nearer_others(x.start_s) else x,
    )
    log.items = [*_with(log.items, index, left), made]
    _fold_twin(log, "item", made.id)


def _covers(span: k.Span, mention: Mention) -> bool:
    return span.start_s - 0.05 <= mention.start_s and mention.end_s <= span.end_s + 0.05


@_does(k.AddItem)
def _add_item(log: Log, edit: k.AddItem) -> None:
    made = Item(
        id=_free_id(log.items, "i"),
        kind=edit.kind,
        name=edit.name,
        status=edit.status,
        first_s=edit.start_s,
        mentions=[Mention(start_s=edit.start_s, end_s=edit.end_s, text=edit.text)],
    )
    _join_step(log, edit.start_s, item=made.id)
    log.items = [*log.items, made]
    _fold_twin(log, "item", made.id)


@_does(k.AddTechnique)
def _add_technique(log: Log, edit: k.AddTechnique) -> None:
    made = Technique(
        id=_free_id(log.techniques, "t"),
        name=edit.name,
        first_shown_s=edit.start_s,
        mentions=[Mention(start_s=edit.start_s, end_s=edit.end_s, text=edit.text)],
    )
    _join_step(log, edit.start_s, technique=made.id)
    log.techniques = [*log.techniques, made]
    _fold_twin(log, "technique", made.id)


def _join_step(log: Log, at_s: float, *, item: str | None = None, technique: str | None = None) -> None:
    """Add a new thing to the step in whose time it was said."""
    for index, step in enumerate(log.steps):
        if step.start_s <= at_s < step.end_s:
            joined = msgspec.structs.replace(
                step,
                items=[*step.items, item] if item else step.items,
                techniques=[*step.techniques, technique] if technique else step.techniques,
            )
            log.steps = _with(log.steps, index, joined)
            return


@_does(k.SetFirstShown)
def _set_first_shown(log: Log, edit: k.SetFirstShown) -> None:
    _change(log, edit.at, ("technique",), first_shown_s=edit.start_s)


@_does(k.AddAlias)
def _add_alias(log: Log, edit: k.AddAlias) -> None:
    index = _need(log, edit.at, "item", "technique")
    values: Sequence[Any] = things(log, edit.at.of)
    thing = values[index]
    _change(log, edit.at, ("item", "technique"), aliases=_aliases(thing.name, thing.aliases, [edit.name]))


@_does(k.SetPrice)
def _set_price(log: Log, edit: k.SetPrice) -> None:
    _change(log, edit.at, ("item",), price=edit.price)


@_does(k.SetSource)
def _set_source(log: Log, edit: k.SetSource) -> None:
    _change(log, edit.at, ("item",), source=edit.source)


@_does(k.SetSize)
def _set_size(log: Log, edit: k.SetSize) -> None:
    _change(log, edit.at, ("item",), size=edit.size)


# Amounts ------------------------------------------------------------------------------------------------------------


@_does(k.SetAmount)
def _set_amount(log: Log, edit: k.SetAmount) -> None:
    amount = {f: getattr(edit.amount, f) for f in k.Amount.__struct_fields__}
    if edit.of is not None:
        amount["of"] = edit.of
    _change(log, edit.at, ("measurement",), confidence=1.0, **amount)


@_does(k.AddMeasurement)
def _add_measurement(log: Log, edit: k.AddMeasurement) -> None:
    owner = None if edit.item is None else log.items[_need(log, edit.item, "item")].id
    amount = {f: getattr(edit.amount, f) for f in k.Amount.__struct_fields__}
    made = Measurement(
        id=_free_id(log.measurements, "m"),
        start_s=edit.start_s,
        text=edit.text,
        of=edit.of,
        item=owner,
        piece=_piece_id(log, edit.piece),
        **amount,
    )
    log.measurements = _in_time(log.measurements, made)
    _own(log, made.id, owner)


def _own(log: Log, measurement: str, owner: str | None) -> None:
    """Let exactly the item ``owner`` list this measurement among its quantities."""

    def item(i: Item) -> Item:
        has, should = measurement in i.quantities, i.id == owner
        if has == should:
            return i
        kept = [q for q in i.quantities if q != measurement]
        return msgspec.structs.replace(i, quantities=[*kept, measurement] if should else kept)

    log.items = _each(log.items, item)


def _in_time(values: Sequence[T], made: T) -> list[T]:
    """``values`` with ``made`` put in before the first that starts later."""
    start: float = made.start_s  # type: ignore[attr-defined]
    place = next((i for i, v in enumerate(values) if v.start_s > start), len(values))  # type: ignore[attr-defined]
    return [*values[:place], made, *values[place:]]


@_does(k.SetOwner)
def _set_owner(log: Log, edit: k.SetOwner) -> None:
    index = _need(log, edit.at, "measurement", "link")
    owner = None if edit.item is None else log.items[_need(log, edit.item, "item")].id
    values: Sequence[Any] = things(log, edit.at.of)
    thing_id = values[index].id
    _change(log, edit.at, ("measurement", "link"), item=owner)
    if edit.at.of == "measurement":
        _own(log, thing_id, owner)


# Links --------------------------------------------------------------------------------------------------------------


@_does(k.AttachUrl)
def _attach_url(log: Log, edit: k.AttachUrl) -> None:
    index = _need(log, edit.at, "item", "link")
    if edit.at.of == "link":
        link = log.links_owed[index]
        log.links_owed = _with(log.links_owed, index, msgspec.structs.replace(link, url=edit.url, waived=False))
        owner = link.item
    else:
        owner = log.items[index].id
        before = log.items[index].link
        log.links_owed = _each(
            log.links_owed,
            lambda x: msgspec.structs.replace(x, url=edit.url) if x.item == owner and x.url in (None, before) else x,
        )
    log.items = _each(log.items, lambda i: msgspec.structs.replace(i, link=edit.url) if i.id == owner else i)


@_does(k.WaiveLink)
def _waive_link(log: Log, edit: k.WaiveLink) -> None:
    _change(log, edit.at, ("link",), waived=edit.waived)


@_does(k.AddLink)
def _add_link(log: Log, edit: k.AddLink) -> None:
    owner = None if edit.item is None else log.items[_need(log, edit.item, "item")].id
    made = LinkOwed(
        id=_free_id(log.links_owed, "l"),
        start_s=edit.start_s,
        text=edit.text,
        what=edit.what,
        item=owner,
        url=edit.url,
    )
    log.links_owed = _in_time(log.links_owed, made)


# Steps and pieces ---------------------------------------------------------------------------------------------------


def _piece_id(log: Log, name: str | None) -> str | None:
    if name is None:
        return None
    for piece in log.pieces:
        if piece.name.casefold() == name.casefold():
            return piece.id
    made = Piece(id=_free_id(log.pieces, "p"), name=name)
    log.pieces = [*log.pieces, made]
    return made.id


@_does(k.RewordStep)
def _reword_step(log: Log, edit: k.RewordStep) -> None:
    _change(log, edit.at, ("step",), text=edit.text, confidence=1.0)


@_does(k.AddStep)
def _add_step(log: Log, edit: k.AddStep) -> None:
    inside = [i.id for i in log.items if any(edit.start_s <= m.start_s < edit.end_s for m in i.mentions)]
    ways = [t.id for t in log.techniques if any(edit.start_s <= m.start_s < edit.end_s for m in t.mentions)]
    place = None if edit.after is None else _need(log, edit.after, "step") + 1
    made = Step(
        id=_free_id(log.steps, "s"),
        start_s=edit.start_s,
        end_s=edit.end_s,
        text=edit.text,
        piece=_piece_id(log, edit.piece),
        on_camera=edit.on_camera,
        items=inside,
        techniques=ways,
    )
    log.steps = _in_time(log.steps, made) if place is None else [*log.steps[:place], made, *log.steps[place:]]


@_does(k.RemoveStep)
def _remove_step(log: Log, edit: k.RemoveStep) -> None:
    _remove(log, "step", _need(log, edit.at, "step"))


@_does(k.MoveStep)
def _move_step(log: Log, edit: k.MoveStep) -> None:
    index = _need(log, edit.at, "step")
    place = len(log.steps) if edit.before is None else _need(log, edit.before, "step")
    if place == index:
        raise Misplaced("a step cannot go before itself")
    step = log.steps[index]
    rest = _without(log.steps, index)
    place -= place > index
    log.steps = [*rest[:place], step, *rest[place:]]


@_does(k.RetimeStep)
def _retime_step(log: Log, edit: k.RetimeStep) -> None:
    _change(log, edit.at, ("step",), start_s=edit.start_s, end_s=edit.end_s)


def _sentences(first: str, second: str) -> str:
    """Two imperative sentences as one: "Cut the strap. Punch it." becomes "Cut the strap; punch it."."""
    head = first.rstrip().rstrip(".;,")
    return f"{head}; {second[:1].lower()}{second[1:]}" if head else second


@_does(k.MergeSteps)
def _merge_steps(log: Log, edit: k.MergeSteps) -> None:
    one, two = _need(log, edit.at, "step"), _need(log, edit.other, "step")
    if one == two:
        raise Misplaced("these are one step already")
    keep, gone = min(one, two), max(one, two)
    a, b = log.steps[keep], log.steps[gone]
    joined = msgspec.structs.replace(
        a,
        start_s=min(a.start_s, b.start_s),
        end_s=max(a.end_s, b.end_s),
        text=_sentences(a.text, b.text) if edit.text is None else edit.text,
        piece=a.piece or b.piece,
        on_camera=a.on_camera or b.on_camera,
        items=list(dict.fromkeys([*a.items, *b.items])),
        techniques=list(dict.fromkeys([*a.techniques, *b.techniques])),
        same_as=[i for i in dict.fromkeys([*a.same_as, *b.same_as]) if i not in (a.id, b.id)],
        inferred=a.inferred and b.inferred,
        said=" ".join(s for s in (a.said, b.said) if s),
        still=a.still or b.still,
        confidence=1.0,
    )
    log.steps = _without(_with(log.steps, keep, joined), gone)
    _swap_ids(log, b.id, a.id)


@_does(k.SplitStep)
def _split_step(log: Log, edit: k.SplitStep) -> None:
    index = _need(log, edit.at, "step")
    step = log.steps[index]
    if not step.start_s < edit.start_s < step.end_s:
        raise Misplaced(f"{_clock(edit.start_s)} is not inside the step “{step.text}”")

    def shared(ids: list[str], values: Sequence[Item | Technique]) -> tuple[list[str], list[str]]:
        times = {v.id: [m.start_s for m in v.mentions if step.start_s <= m.start_s <= step.end_s] for v in values}
        second = [i for i in ids if any(t >= edit.start_s for t in times.get(i, []))]
        first = [i for i in ids if i not in second or any(t < edit.start_s for t in times.get(i, []))]
        return first, second

    items = shared(step.items, log.items)
    ways = shared(step.techniques, log.techniques)
    head = msgspec.structs.replace(
        step, end_s=edit.start_s, text=edit.first, items=items[0], techniques=ways[0], confidence=1.0
    )
    tail = msgspec.structs.replace(
        step,
        id=_free_id(log.steps, "s"),
        start_s=edit.start_s,
        text=edit.second,
        items=items[1],
        techniques=ways[1],
        confidence=1.0,
        still=None,
    )
    log.steps = [*log.steps[:index], head, tail, *log.steps[index + 1 :]]


@_does(k.SetPiece)
def _set_piece(log: Log, edit: k.SetPiece) -> None:
    _need(log, edit.at, "step", "measurement")
    _change(log, edit.at, ("step", "measurement"), piece=_piece_id(log, edit.piece))


@_does(k.MarkOnCamera)
def _mark_on_camera(log: Log, edit: k.MarkOnCamera) -> None:
    _change(log, edit.at, ("step",), on_camera=edit.on_camera)


@_does(k.SetStepThings)
def _set_step_things(log: Log, edit: k.SetStepThings) -> None:
    items = [log.items[_need(log, a, "item")].id for a in edit.items]
    ways = [log.techniques[_need(log, a, "technique")].id for a in edit.techniques]
    _change(log, edit.at, ("step",), items=list(dict.fromkeys(items)), techniques=list(dict.fromkeys(ways)))


# Chapters -----------------------------------------------------------------------------------------------------------


def _room(log: Log, at_s: float, but: int | None = None) -> None:
    for index, chapter in enumerate(log.chapters):
        if index != but and abs(chapter.start_s - at_s) < 0.001:
            raise Misplaced(f"a chapter begins at {_clock(at_s)} already: “{chapter.title}”")


@_does(k.MoveChapter)
def _move_chapter(log: Log, edit: k.MoveChapter) -> None:
    index = _need(log, edit.at, "chapter")
    _room(log, edit.start_s, index)
    moved = msgspec.structs.replace(log.chapters[index], start_s=edit.start_s, confidence=1.0)
    log.chapters = sorted(_with(log.chapters, index, moved), key=lambda c: c.start_s)


@_does(k.Retitle)
def _retitle(log: Log, edit: k.Retitle) -> None:
    _change(log, edit.at, ("chapter",), title=edit.title, confidence=1.0)


@_does(k.AddChapter)
def _add_chapter(log: Log, edit: k.AddChapter) -> None:
    _room(log, edit.start_s)
    log.chapters = _in_time(
        log.chapters, Chapter(start_s=edit.start_s, title=edit.title, id=_free_id(log.chapters, "c"))
    )


@_does(k.RemoveChapter)
def _remove_chapter(log: Log, edit: k.RemoveChapter) -> None:
    _remove(log, "chapter", _need(log, edit.at, "chapter"))


# Notes, words, checks -----------------------------------------------------------------------------------------------


@_does(k.AddNote)
def _add_note(log: Log, edit: k.AddNote) -> None:
    about: str | None = None
    if edit.about is not None:
        values: Sequence[Any] = things(log, edit.about.of)
        about = values[_need(log, edit.about, "step", "item", "technique")].id
    log.notes = _in_time(
        log.notes,
        Note(kind=edit.kind, start_s=edit.start_s, text=edit.text, refers_to=about, id=_free_id(log.notes, "n")),
    )


@_does(k.RewordNote)
def _reword_note(log: Log, edit: k.RewordNote) -> None:
    _change(log, edit.at, ("note",), text=edit.text, confidence=1.0)


@_does(k.SetNoteKind)
def _set_note_kind(log: Log, edit: k.SetNoteKind) -> None:
    _change(log, edit.at, ("note",), kind=edit.kind, confidence=1.0)


@_does(k.RemoveNote)
def _remove_note(log: Log, edit: k.RemoveNote) -> None:
    _remove(log, "note", _need(log, edit.at, "note"))


@_does(k.AcceptCheck)
def _accept_check(log: Log, edit: k.AcceptCheck) -> None:
    # A check of publishing is not in the log: nothing to do here, it is remembered by being among the edits.
    log.checks = [c for c in log.checks if not accepts(edit, c)]


@_does(k.LetGo)
def _let_go(log: Log, edit: k.LetGo) -> None:
    """Nothing to do in a log: the archive leaves the edit meant out."""


_EDGE = re.compile(r"^(\W*)(.*?)(\W*)$", re.DOTALL)


def _core(text: str) -> str:
    match = _EDGE.match(text.strip())
    return match[2].casefold() if match else ""


def _runs(words: Sequence[Word], said: Sequence[str]) -> list[int]:
    """Where in ``words`` the run of bare words ``said`` begins."""
    cores = [_core(w.text) for w in words]
    return [i for i in range(len(cores) - len(said) + 1) if cores[i : i + len(said)] == said]


def _word_pattern(said: str) -> re.Pattern[str]:
    words = r"\s+".join(re.escape(w) for w in said.split())
    return re.compile(rf"(?<!\w){words}(?!\w)", re.IGNORECASE)


def _respell(text: str, pattern: re.Pattern[str], new: str) -> str:
    def cased(match: re.Match[str]) -> str:
        return new[:1].upper() + new[1:] if match[0][:1].isupper() and match.start() == 0 else new

    return pattern.sub(cased, text)


def _replace_words(
    log: Log,
    old: str,
    new: str,
    inside: Callable[[float, float], bool],
    *,
    heard: bool,
    within: tuple[float, float] = (float("-inf"), float("inf")),
) -> list[tuple[float, float]]:
    """Write ``new`` for the words ``old`` where ``inside`` takes their start and end; returns where it was done.

    Only lines that touch ``within`` are looked at. The time of the words stays: it is shared out over the new words.
    With ``heard`` the old words are kept beside.
    """
    said = [_core(w) for w in old.split()]
    if not said or not all(said):
        raise Misplaced(f"“{old}” has no word in it")
    pattern = _word_pattern(" ".join(old.split()))
    done: list[tuple[float, float]] = []
    lines = list(log.transcript)
    for number, line in enumerate(log.transcript):
        # Most lines are left at once: a long recording has thousands.
        if line.end_s < within[0] or line.start_s > within[1] or said[0] not in line.text.casefold():
            continue
        if not line.words:
            if pattern.search(line.text) and inside(line.start_s, line.end_s):
                lines[number] = msgspec.structs.replace(line, text=_respell(line.text, pattern, new))
                done.append((line.start_s, line.end_s))
            continue
        words = list(line.words)
        hits = 0
        for at in reversed(_runs(line.words, said)):
            run = words[at : at + len(said)]
            # A run that overlaps the one just replaced is no longer what it was ("very very very").
            if [_core(w.text) for w in run] != said or not inside(run[0].start_s, run[-1].end_s):
                continue
            words[at : at + len(said)] = _new_words(run, new, heard=heard)
            done.append((run[0].start_s, run[-1].end_s))
            hits += 1
        if hits:
            whole = hits == len(pattern.findall(line.text))
            text = _respell(line.text, pattern, new) if whole else " ".join(w.text.strip() for w in words)
            lines[number] = msgspec.structs.replace(line, words=words, text=text)
    if done:
        log.transcript = lines
    return sorted(done)


def _new_words(run: Sequence[Word], new: str, *, heard: bool) -> list[Word]:
    texts = new.split()
    first, last = _EDGE.match(run[0].text), _EDGE.match(run[-1].text)
    lead, tail = (first[1] if first else ""), (last[3] if last else "")
    start, end = run[0].start_s, run[-1].end_s
    total = sum(len(t) for t in texts) or 1
    before = " ".join(w.text.strip() for w in run)
    made, at = [], start
    for index, text in enumerate(texts):
        until = end if index == len(texts) - 1 else at + (end - start) * len(text) / total
        made.append(
            Word(
                start_s=at,
                end_s=until,
                text=(lead if index == 0 else "") + text + (tail if index == len(texts) - 1 else ""),
                p=min(w.p for w in run),
                heard=before if heard and index == 0 else None,
            )
        )
        at = until
    return made


def _respell_things(log: Log, old: str, new: str, spans: Sequence[tuple[float, float]]) -> None:
    """Carry a repaired word into what was made from it: names, mentions, steps, notes, links and chapters there."""
    pattern = _word_pattern(" ".join(old.split()))

    earliest, latest = min(s for s, _ in spans) - 0.5, max(e for _, e in spans) + 0.5

    def near(start: float, end: float) -> bool:
        return start <= latest and end >= earliest and any(s - 0.5 <= end and start <= e + 0.5 for s, e in spans)

    def mentions(values: list[Mention]) -> list[Mention]:
        if not any(m.start_s <= latest and m.end_s >= earliest for m in values):
            return values
        return _each(
            values,
            lambda m: (
                msgspec.structs.replace(m, text=_respell(m.text, pattern, new))
                if near(m.start_s, m.end_s) and pattern.search(m.text)
                else m
            ),
        )

    renamed: list[tuple[k.Thing, str]] = []
    for of in cast("tuple[k.Thing, ...]", ("item", "technique")):
        values: list[Any] = list(things(log, of))
        for index, thing in enumerate(values):
            said = mentions(thing.mentions)
            touched = said is not thing.mentions
            if not touched:
                continue
            name = _respell(thing.name, pattern, new)
            aliases = [_respell(a, pattern, new) for a in thing.aliases]
            values[index] = msgspec.structs.replace(thing, name=name, aliases=_aliases(name, aliases), mentions=said)
            if name != thing.name:
                renamed.append((of, thing.id))
        setattr(log, LISTS[of], values)
    for of, thing_id in renamed:
        _fold_twin(log, of, thing_id)

    def texts(value: Any, start: float, end: float, *fields: str) -> Any:
        if not near(start, end):
            return value
        new_fields = {f: _respell(getattr(value, f), pattern, new) for f in fields}
        same = all(getattr(value, f) == t for f, t in new_fields.items())
        return value if same else msgspec.structs.replace(value, **new_fields)

    # A sentence begins before and ends after the word that was repaired in it: 15 s is a long one.
    log.steps = _each(log.steps, lambda s: texts(s, s.start_s, s.end_s, "text", "said"))
    log.measurements = _each(log.measurements, lambda m: texts(m, m.start_s, m.start_s + 5, "text"))
    log.links_owed = _each(log.links_owed, lambda x: texts(x, x.start_s, x.start_s + 15, "text", "what"))
    log.notes = _each(log.notes, lambda n: texts(n, n.start_s, n.start_s + 15, "text"))
    log.chapters = _each(log.chapters, lambda c: texts(c, c.start_s, c.start_s + 15, "title"))


@_does(k.RepairWord)
def _repair_word(log: Log, edit: k.RepairWord) -> None:
    middle = (edit.start_s + edit.end_s) / 2

    def here(start: float, end: float) -> bool:
        return edit.start_s <= (start + end) / 2 <= edit.end_s or start <= middle <= end

    def about_here(start: float, end: float) -> bool:
        return start - 2.0 <= middle <= end + 2.0

    if edit.everywhere:
        done = _replace_words(log, edit.heard, edit.text, lambda start, end: True, heard=True)
    else:
        around = (edit.start_s - 3.0, edit.end_s + 3.0)
        done = _replace_words(log, edit.heard, edit.text, here, heard=True, within=around)
        # Another model puts the same word elsewhere by up to a second or so.
        done = done or _replace_words(log, edit.heard, edit.text, about_here, heard=True, within=around)
    if not done:
        raise Misplaced(f"“{edit.heard}” is not among the words near {_clock(edit.start_s)}")
    _respell_things(log, edit.heard, edit.text, done)
    for start, _ in done:
        log.repairs = _in_time(log.repairs, Repair(start_s=start, heard=edit.heard, text=edit.text))


@_does(k.UndoRepair)
def _undo_repair(log: Log, edit: k.UndoRepair) -> None:
    index = _need(log, edit.at, "repair")
    repair = log.repairs[index]
    done = _replace_words(
        log,
        repair.text,
        repair.heard,
        lambda start, end: abs(start - repair.start_s) < 0.05,
        heard=False,
        within=(repair.start_s - 1.0, repair.start_s + 1.0),
    )
    if done:
        _respell_things(log, repair.text, repair.heard, done)
    log.repairs = _without(log.repairs, index)
