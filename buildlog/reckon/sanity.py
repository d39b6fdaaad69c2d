"""What does not add up over a whole log: shown with both times, never mended."""

from __future__ import annotations

import bisect
import re
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any

from buildlog.document import Check, Log, Measurement, Worksheet
from buildlog.errors import BuildlogError
from buildlog.reckon import formula
from buildlog.reckon.clothwidth import is_cloth_width
from buildlog.reckon.costs import paid, priced
from buildlog.reckon.cutlist import Said, pieces
from buildlog.reckon.gaps import never_cut
from buildlog.reckon.graph import work_out
from buildlog.reckon.heard import Heard, heard_in, plain, stems
from buildlog.reckon.known import amount_of, counts, dims_of, names_beside
from buildlog.reckon.sheets import length_unit, worksheets
from buildlog.reckon.shown import both, money, one
from buildlog.reckon.stripwork import strip_widths
from buildlog.reckon.units import LENGTH, Amount, canonical
from buildlog.reckon.vocabulary import unit_named, words

_SO_S = 12.0
_PAIR_S = 4.0
_SIDE_BY_SIDE_S = 6.0
# Two figures further apart than this are not one figure and a slip of it.
_SLIP = Fraction(8, 5)
_FINE = {"yard": Fraction(1, 8), "meter": Fraction(1, 5), "foot": Fraction(1, 4)}
_WIDEST_CLOTH_IN = Fraction(126)
_OUT_OF = re.compile(r"\b(?:out of|from|off|across|in)\b")


def unsaid_checks(log: Log, made: Sequence[Worksheet] | None = None) -> list[Check]:
    """:func:`check_log` less what the log's own checks say already of the same two moments.

    What was found is kept for as long as the parts of the log that it was found in are the same values: no edit changes
    one in place, most touch none of them, and a face asks after every one.
    """
    told = {(c.kind, frozenset(c.times)) for c in log.checks if c.times}
    parts = [log.transcript, log.measurements, log.derived, log.items, log.steps, log.pieces, log.total_said]
    if not _last or any(a is not b for a, b in zip(parts, _last[0][0], strict=True)):
        _last[:] = [(parts, check_log(log, made))]
    return [c for c in _last[0][1] if (c.kind, frozenset(c.times)) not in told]


_last: list[tuple[list[Any], list[Check]]] = []


def check_log(log: Log, made: Sequence[Worksheet] | None = None) -> list[Check]:
    """Contradictions, totals, gaps and units that were assumed, in the order of the talk.

    ``made`` are the log's worksheets where they are at hand.
    """
    heard = heard_in(log)
    made = worksheets(log) if made is None else made
    found = pieces(log, heard)
    widths = [m for m in log.measurements if is_cloth_width(m, heard)]
    checks = [
        *_widths(log),
        *_worked_and_said(log, heard, made),
        *_more_than_the_width(log, heard, found, widths),
        *_bought(log, heard, found, widths),
        *_overall(log, heard, found),
        *_prices(log, heard),
        *never_cut(log, heard),
        *_no_unit(log, heard),
    ]
    return sorted(checks, key=lambda c: c.start_s)


def _length(m: Measurement) -> bool:
    return bool(m.unit) and dims_of(m) == LENGTH and m.value_max is None and not m.setting and m.value > 0


def _widths(log: Log) -> Iterator[Check]:
    """A strip said to be so wide, and wider or narrower later on."""
    first: dict[str, Measurement] = {}
    for m in strip_widths(log):
        head = "strip" if set(stems(m.of)) & {"strip", "binding", "bias"} else (m.of or "strip")
        before = first.setdefault(head, m)
        if before is m:
            continue
        low, high = sorted((amount_of(before).base, amount_of(m).base))
        # A width far from the other is another strip's.
        if low != high and high <= _SLIP * low:
            yield Check(
                kind="contradiction", start_s=m.start_s, times=[before.start_s, m.start_s], refers_to=[before.id, m.id],
                text=f"strip width: first “{before.text}”, then “{m.text}”; one may be the finished width, or a slip",
            )  # fmt: skip


def _worked_and_said(log: Log, heard: Heard, made: Sequence[Worksheet]) -> Iterator[Check]:
    """A figure said for a formula whose inputs were all said, and not what the formula gives.

    A figure far off shows that the formula, or what went into it, was misunderstood, and says nothing of the maker.
    """
    for sheet in made:
        origins = {q.name: q.origin for q in sheet.quantities}
        for q in sheet.quantities:
            if not q.rule or not q.rule.startswith("=") or q.start_s is None:
                continue
            if any(origins[name] == "assumed" for name in q.inputs.values()):
                continue
            if any(0 < abs(d.start_s - q.start_s) <= _SIDE_BY_SIDE_S for d in log.derived):
                continue  # two formulas in one breath: which figure is whose is open
            value = _value(sheet, q.name)
            if value is None or value.dims != LENGTH or value.base <= 0:
                continue
            inputs = {x.start_s for x in sheet.quantities if x.origin in ("said", "assumed")}
            said = _said_for(q.start_s, log, heard, inputs)
            if not said or any(_rounds_to(value, m) for m in said):
                continue
            other = said[0]
            if value.base < _SLIP * amount_of(other).base and amount_of(other).base < _SLIP * value.base:
                yield Check(
                    kind="contradiction", start_s=other.start_s, times=[q.start_s, other.start_s], refers_to=[other.id],
                    text=f"{q.name} works out at {both(value)}, but “{other.text}” was said",
                )  # fmt: skip


def _rounds_to(value: Amount, said: Measurement) -> bool:
    """Whether ``said`` is ``value`` as makers round: to the fineness of the number said ("eleven and a half": to halves),
    of yards and metres to eighths and tenths; or the number alone, the unit having been guessed."""
    other = amount_of(said)
    number = other.value()
    step = _FINE.get(said.unit or "", Fraction(1, number.denominator))
    if said.unit is None or (value.value() == number and value.unit != said.unit):
        return value.value() == number
    return abs(value.value(said.unit) - other.value(said.unit)) <= step / 2


def _value(sheet: Worksheet, name: str) -> Amount | None:
    try:
        return work_out(sheet, {}).values.get(name)
    except BuildlogError:
        return None


def _said_for(start_s: float, log: Log, heard: Heard, inputs: set[float | None]) -> list[Measurement]:
    """The lengths said as the outcome: "so that's forty-eight inches", in the twelve seconds after, and what else was said
    up to then; none where the first of them is about, a side of a pair or another sentence's."""
    following = [m for m in log.measurements if m.start_s not in inputs and start_s < m.start_s <= start_s + _SO_S]
    lengths = [m for m in following if _length(m)]
    bare = [m for m in following if m.unit is None and not m.setting]
    for m in lengths:
        leading = heard.before(m.start_s, m.text, 3)
        cue = {"so", "that's", "makes", "equals", "gives", "thats"} & set(leading)
        if not cue and leading[-2:] not in (["comes", "to"], ["which", "is"]):
            continue
        behind = {*heard.after(m.start_s, m.text, 2)}
        if m.approximate or behind & words("roughly") or _sentences_between(start_s, m, heard) > 1:
            return []
        if any(
            x is not m and abs(x.start_s - m.start_s) <= _PAIR_S and "by" in heard.between(x, m)
            for x in log.measurements
        ):
            return []
        return [m, *(x for x in (*lengths, *bare) if x is not m)]
    return []


def _sentences_between(start_s: float, m: Measurement, heard: Heard) -> int:
    """How many sentences end between a moment and ``m``."""
    low, high = heard.place(start_s), heard.at(m.start_s, m.text)
    return sum(w.text.endswith((".", "!", "?")) for w in heard.words[low:high])


def _more_than_the_width(log: Log, heard: Heard, found: list[Said], widths: list[Measurement]) -> Iterator[Check]:
    """Six pieces of ten inches out of forty-five."""
    # What has two sizes lies in rows, and is held against what was bought.
    square = {p.count.id for p in found if len(p.sizes) == 2}
    sizes = [(p.count, p.sizes[0]) for p in found if len(p.sizes) == 1]
    sizes += [(count, size) for count, size in _counted_sizes(log, heard) if count.id not in square]
    told: set[str] = set()
    for count, size in sizes:
        for width in widths:
            near = abs(width.start_s - count.start_s) <= 30 and width.id not in (size.id, count.id)
            need = amount_of(size).base * int(count.value)
            if not near or need <= amount_of(width).base or width.id in told or not _across(count, width, heard):
                continue
            told.add(width.id)
            yield Check(
                kind="contradiction", start_s=count.start_s, times=[count.start_s, width.start_s],
                refers_to=[count.id, size.id, width.id],
                text=f"{int(count.value)} times “{size.text}” is {both(Amount(need, LENGTH, size.unit))}, more than "
                f"the “{width.text}” it is to come out of",
            )  # fmt: skip


def _across(count: Measurement, width: Measurement, heard: Heard) -> bool:
    low, high = sorted((heard.at(count.start_s, count.text), heard.at(width.start_s, width.text)))
    return bool(_OUT_OF.search(" ".join(w.bare for w in heard.words[low : high + 1])))


def _counted_sizes(log: Log, heard: Heard) -> list[tuple[Measurement, Measurement]]:
    """ "six pieces of ten inch", "six ten inch pieces": a bare number beside a length."""
    rows = []
    placed = sorted(
        ((heard.at(m.start_s, m.text), m) for m in log.measurements if _length(m)), key=lambda pair: pair[0]
    )
    places = [k for k, _ in placed]
    for c in log.measurements:
        if c.unit is not None or c.setting or c.value != int(c.value) or not 1 < c.value <= 500:
            continue
        at, end = heard.at(c.start_s, c.text), heard.at(c.start_s, c.text) + len(plain(c.text))
        following = bisect.bisect_right(places, at)
        if following < len(placed) and places[following] <= end + 2:
            rows.append((c, placed[following][1]))
    return rows


def _bought(log: Log, heard: Heard, found: list[Said], widths: list[Measurement]) -> Iterator[Check]:
    """More cut of a thing than was bought of it."""
    by_id = {m.id: m for m in log.measurements}
    for item in log.items:
        own = [by_id[q] for q in item.quantities if q in by_id]
        sizes = {m.id for p in found for m in p.sizes}
        bought = [m for m in own if _length(m) and m.unit in ("yard", "meter", "foot") and m.id not in sizes]
        if item.status != "used" or len(bought) != 1:
            continue
        have = amount_of(bought[0])
        names = set(stems(" ".join([item.name, *item.aliases])))
        cut = [
            p
            for p in found
            if any(m.item == item.id for m in (p.count, *p.sizes))
            or set(stems(p.name)) & names
            or _out_of(p, item.name, log, heard)
        ]
        if not cut:
            continue
        running: Fraction = sum(
            (amount_of(p.sizes[0]).base * int(p.count.value) for p in cut if len(p.sizes) == 1), Fraction(0)
        )
        area: Fraction = sum(
            (
                amount_of(p.sizes[0]).base * amount_of(p.sizes[1]).base * int(p.count.value)
                for p in cut
                if len(p.sizes) == 2
            ),
            Fraction(0),
        )
        wide = amount_of(widths[0]).base if widths else _WIDEST_CLOTH_IN * Fraction(254, 10)
        # Cloth is cut across as well as along, so lengths of it are only held against the widest cloth there is.
        is_cloth = bool(names & words("cloth"))
        need = (area / wide) if is_cloth else max(running, area / wide)
        if need > have.base:
            times = [bought[0].start_s, *(p.count.start_s for p in cut)]
            yield Check(
                kind="cut_list", start_s=cut[0].count.start_s, times=times, refers_to=[item.id],
                text=f"{item.name}: {both(have)} was bought, but what is cut takes at least "
                f"{both(Amount(need, LENGTH, have.unit))}",
            )  # fmt: skip


def _out_of(p: Said, name: str, log: Log, heard: Heard) -> bool:
    """Whether a piece is cut out of the thing ``name``: the only material named in its sentence, "out of the canvas"."""
    said = set(stems(heard.sentence(p.count.start_s, p.count.text)))
    named = {i.name for i in log.items if i.kind == "material" and set(stems(i.name)[-1:]) & said}
    return named == {name} and bool({"from", "out"} & said)


def _overall(log: Log, heard: Heard, found: list[Said]) -> Iterator[Check]:
    """Parts side by side that come out wider than the whole is said to be."""
    whole = [
        m
        for m in log.measurements
        if _length(m)
        and {"overall", "altogether", "total"}
        & {*stems(m.of), *heard.after(m.start_s, m.text, 2), *heard.before(m.start_s, m.text, 3)}
    ]
    for p in found:
        if len(p.sizes) != 1 or not {"side", "across", "row", "wide"} & heard.around(
            p.sizes[0].start_s, p.sizes[0].text, 10
        ):
            continue
        for m in whole:
            parts = amount_of(p.sizes[0]).base * int(p.count.value)
            if parts > amount_of(m).base:
                yield Check(
                    kind="parts", start_s=m.start_s, times=[p.count.start_s, m.start_s], refers_to=[m.id],
                    text=f"{int(p.count.value)} {p.name} side by side are {both(Amount(parts, LENGTH, m.unit))}, more "
                    f"than the “{m.text}” of the whole; seams may take the rest",
                )  # fmt: skip


def _prices(log: Log, heard: Heard) -> Iterator[Check]:
    """The sum of the prices said beside the total said."""
    total = log.total_said
    # A sum that is no whole number of cents is a length: "nineteen and seven eighths in all".
    if total is None or not total.currency or total.amount <= 0 or Fraction(str(total.amount)) * 100 % 1:
        return
    costs: Fraction = Fraction(0)
    left_out, times = [], []
    for p in priced(log, heard):
        if p.currency != total.currency:
            continue
        times.append(p.item.first_s)
        cost = paid(p)
        if cost is None:
            left_out.append(p.item.name)
        else:
            costs += cost
    if not times:
        return
    said = Fraction(str(total.amount))
    near = Fraction(20 if total.approximate else 2, 100) * said
    # A sum that falls short says something only where everything bought has a price and an amount.
    if abs(costs - said) <= near or (costs < said and (left_out or _unpriced(log))):
        return
    without = f"; not counted, for want of an amount: {', '.join(left_out[:4])}" if left_out else ""
    yield Check(
        kind="total", start_s=max(times), times=times,
        text=f"the prices said come to {money(costs, total.currency)}, the total said is "
        f"{money(said, total.currency)}{without}",
    )  # fmt: skip


def _unpriced(log: Log) -> bool:
    """Whether a material was used that has no price, though nothing says that it was at hand or free."""
    return any(
        i.kind == "material" and i.status == "used" and not i.price and i.source in (None, "bought") for i in log.items
    )


def _no_unit(log: Log, heard: Heard) -> Iterator[Check]:
    """A size or a sum said without a unit."""
    unit = length_unit(log)
    for d in log.derived:
        try:
            node = formula.read(d.formula, d.inputs)
        except BuildlogError:
            continue
        if heard.after(d.start_s, d.text, 3)[:2] == ["in", "the"]:
            continue  # "shorter by two in the hundred"
        for bare, names in _bare(node):
            own = None if counts(d) else _unit_beside(names, names_beside(d), unit)
            if own is not None:
                yield Check(
                    kind="unit", start_s=d.start_s, times=[d.start_s], refers_to=[d.id],
                    text=f"“{d.text}”: {one(bare, None)} was said without a unit and is taken as {own}",
                )  # fmt: skip
    for m in log.measurements:
        head = plain(m.of or "")[-1:]
        if m.unit is None and not m.setting and set(head) & (words("dimensions") - {"size", "amount", "round"}):
            # "Every third height" counts; "8 mm wide by 12 deep" has its unit in the other side.
            beside = [*plain(m.text)[:1], *heard.after(m.start_s, m.text, 1)]
            if "stitch" in stems(m.of) or {"every", "each"} & set(beside[:1]) or _is_unit(beside[-1]):
                continue
            yield Check(
                kind="unit", start_s=m.start_s, times=[m.start_s], refers_to=[m.id],
                text=f"“{m.text}” ({m.of}) was said without a unit",
            )  # fmt: skip


def _is_unit(word: str) -> bool:
    try:
        return bool(canonical(word))
    except BuildlogError:
        return False


def _unit_beside(names: Sequence[str], every: Sequence[str], unit: str) -> str | None:
    """The unit that a bare number beside the quantities called ``names`` is taken in; ``None`` where it counts: "layers
    less one", "the number of hoops plus one"."""
    if not names or {w for name in names for w in plain(name)} & words("counted"):
        return None
    own = {found for name in names if (found := unit_named(stems(name), every))}
    return own.pop() if len(own) == 1 else unit


def _bare(node: formula.Node) -> list[tuple[Fraction, list[str]]]:
    """Bare numbers that are added or taken off, each with the names it is added to; none beside a share of two lengths."""
    if not isinstance(node, formula.Op):
        return []
    found = _bare(node.left) + _bare(node.right)
    if node.sign in "+-":
        for side, other in ((node.left, node.right), (node.right, node.left)):
            if isinstance(side, formula.Number) and not side.amount.dims and not _a_count(other):
                found.append((side.amount.base, formula.names_in(other)))
    return found


def _a_count(node: formula.Node) -> bool:
    """Whether a length is divided by a length here, which leaves a number of things."""
    return isinstance(node, formula.Op) and node.sign == "/" and bool(formula.names_in(node.right))


__all__ = ["check_log", "unsaid_checks"]
