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
from buildlog.reckon.costs import priced
from buildlog.reckon.cutlist import Said, pieces
from buildlog.reckon.graph import work_out
from buildlog.reckon.heard import Heard, heard_in, plain, stems
from buildlog.reckon.known import dims_of
from buildlog.reckon.sheets import exact, length_unit, worksheets
from buildlog.reckon.shown import both, money, one
from buildlog.reckon.stripwork import strip_widths
from buildlog.reckon.units import LENGTH, Amount
from buildlog.reckon.vocabulary import words

_SO_S = 12.0
_FEWEST_STEPS = 2
_WIDEST_CLOTH_IN = Fraction(126)
_OUT_OF = re.compile(r"\b(?:out of|from|off|across|in)\b")
_CUTTING = re.compile(
    r"\b(?:cut|cutting|tear|tore|torn|saw|sawn|rip|ripped|slice|sliced|punch|punched|trim|trimmed|split|made|make|bought|buy|"
    r"ready|already|mill|milled|resaw|resawn|draft|drafted|knit|knitted|print|printed)\b",
    re.IGNORECASE,
)
# "For the covers I used greyboard": what it is made of is told, and with it that it was made.
_MADE_OF = re.compile(r"\bfor (?:the|my|each|both|all)\b.*\b(?:used?|using|took|have|had|got)\b", re.IGNORECASE)
_JOINING = re.compile(
    r"\b(?:sew|stitch|attach|glue|pin|screw|nail|rivet|baste|tack|staple|join|insert|lace|set|bolt|clip|fasten)\w*\b",
    re.IGNORECASE,
)


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
        *_bought(log, found, widths),
        *_overall(log, heard, found),
        *_prices(log, heard),
        *_never_cut(log, heard),
        *_no_unit(log, heard),
    ]
    return sorted(checks, key=lambda c: c.start_s)


def amount(m: Measurement) -> Amount:
    """``m`` as an exact amount."""
    return Amount.of(Fraction(exact(m)), m.unit)


def _length(m: Measurement) -> bool:
    return bool(m.unit) and dims_of(m) == LENGTH and m.value_max is None and not m.setting and m.value > 0


def _widths(log: Log) -> Iterator[Check]:
    """A strip said to be so wide, and wider or narrower later on."""
    first: dict[str, Measurement] = {}
    for m in strip_widths(log):
        head = "strip" if set(stems(m.of)) & {"strip", "binding", "bias"} else (m.of or "strip")
        before = first.setdefault(head, m)
        if before is not m and amount(before).base != amount(m).base:
            yield Check(
                kind="contradiction", start_s=m.start_s, times=[before.start_s, m.start_s], refers_to=[before.id, m.id],
                text=f"strip width: first “{before.text}”, then “{m.text}”; one may be the finished width, or a slip",
            )  # fmt: skip


def _worked_and_said(log: Log, heard: Heard, made: Sequence[Worksheet]) -> Iterator[Check]:
    """A figure said for a formula whose inputs were all said, and not what the formula gives."""
    for sheet in made:
        for q in sheet.quantities:
            if not q.rule or not q.rule.startswith("=") or q.start_s is None:
                continue
            value = _value(sheet, q.name)
            if value is None or value.dims != LENGTH:
                continue
            inputs = {x.start_s for x in sheet.quantities if x.origin in ("said", "assumed")}
            said = _said_for(q.start_s, log, heard, inputs)
            if said is None or said.approximate:
                continue
            other = amount(said)
            if other.base != value.base:
                yield Check(
                    kind="contradiction", start_s=said.start_s, times=[q.start_s, said.start_s], refers_to=[said.id],
                    text=f"{q.name} works out at {both(value)}, but “{said.text}” was said",
                )  # fmt: skip


def _value(sheet: Worksheet, name: str) -> Amount | None:
    try:
        return work_out(sheet, {}).values.get(name)
    except BuildlogError:
        return None


def _said_for(start_s: float, log: Log, heard: Heard, inputs: set[float | None]) -> Measurement | None:
    """The length said as the outcome: "so that's forty-eight inches", in the twelve seconds after."""
    for m in log.measurements:
        if _length(m) and m.start_s not in inputs and start_s < m.start_s <= start_s + _SO_S:
            leading = heard.before(m.start_s, m.text, 3)
            if {"so", "that's", "makes", "equals", "gives"} & set(leading) or leading[-2:] in (
                ["comes", "to"],
                ["which", "is"],
            ):
                return m
    return None


def _more_than_the_width(log: Log, heard: Heard, found: list[Said], widths: list[Measurement]) -> Iterator[Check]:
    """Six pieces of ten inches out of forty-five."""
    sizes = [(p.count, p.sizes[0]) for p in found if len(p.sizes) == 1] + _counted_sizes(log, heard)
    told: set[str] = set()
    for count, size in sizes:
        for width in widths:
            near = abs(width.start_s - count.start_s) <= 30 and width.id not in (size.id, count.id)
            need = amount(size).base * int(count.value)
            if not near or need <= amount(width).base or width.id in told or not _across(count, width, heard):
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


def _bought(log: Log, found: list[Said], widths: list[Measurement]) -> Iterator[Check]:
    """More cut of a thing than was bought of it."""
    by_id = {m.id: m for m in log.measurements}
    for item in log.items:
        own = [by_id[q] for q in item.quantities if q in by_id]
        bought = [m for m in own if _length(m) and m.unit in ("yard", "meter", "foot")]
        if item.status != "used" or len(bought) != 1:
            continue
        have = amount(bought[0])
        names = set(stems(" ".join([item.name, *item.aliases])))
        cut = [p for p in found if any(m.item == item.id for m in (p.count, *p.sizes)) or set(stems(p.name)) & names]
        if not cut:
            continue
        running: Fraction = sum(
            (amount(p.sizes[0]).base * int(p.count.value) for p in cut if len(p.sizes) == 1), Fraction(0)
        )
        area: Fraction = sum(
            (amount(p.sizes[0]).base * amount(p.sizes[1]).base * int(p.count.value) for p in cut if len(p.sizes) == 2),
            Fraction(0),
        )
        wide = amount(widths[0]).base if widths else _WIDEST_CLOTH_IN * Fraction(254, 10)
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
            parts = amount(p.sizes[0]).base * int(p.count.value)
            if parts > amount(m).base:
                yield Check(
                    kind="parts", start_s=m.start_s, times=[p.count.start_s, m.start_s], refers_to=[m.id],
                    text=f"{int(p.count.value)} {p.name} side by side are {both(Amount(parts, LENGTH, m.unit))}, more "
                    f"than the “{m.text}” of the whole; seams may take the rest",
                )  # fmt: skip


def _prices(log: Log, heard: Heard) -> Iterator[Check]:
    """The sum of the prices said beside the total said."""
    total = log.total_said
    if total is None or not total.currency or total.amount <= 0:
        return
    costs: Fraction = Fraction(0)
    left_out, times = [], []
    for p in priced(log, heard):
        if p.currency != total.currency:
            continue
        times.append(p.item.first_s)
        if p.open:
            left_out.append(p.item.name)
        else:
            costs += p.price * Fraction(exact(p.amount)) if p.amount is not None else p.price
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


def _never_cut(log: Log, heard: Heard) -> Iterator[Check]:
    """A piece that is sewn or fixed on and that nobody was told to cut or make."""
    heads = {p.id: stems(p.name)[-1:] for p in log.pieces}
    if not heads:
        return
    cut = [s.said + " " + s.text for s in log.steps if _CUTTING.search(s.said + " " + s.text)]
    told = set(stems(" ".join(cut))) | heard.where(_CUTTING) | heard.where(_MADE_OF)
    if not any(set(head) & told for head in heads.values()):
        return  # this maker does not tell what is cut
    for piece in log.pieces:
        if set(heads[piece.id]) & words("no_cut_pieces"):
            continue
        own = [s for s in log.steps if s.piece == piece.id]
        uses = [s for s in own if _JOINING.search(s.text)]
        if len(own) >= _FEWEST_STEPS and own[0] in uses and not set(heads[piece.id]) & told:
            yield Check(
                kind="gap", start_s=uses[0].start_s, times=[uses[0].start_s], refers_to=[piece.id, uses[0].id],
                text=f"“{piece.name}” is used, but cutting or making it was never told",
            )  # fmt: skip


def _no_unit(log: Log, heard: Heard) -> Iterator[Check]:
    """A size or a sum said without a unit."""
    unit = length_unit(log)
    for d in log.derived:
        try:
            node = formula.read(d.formula, d.inputs)
        except BuildlogError:
            continue
        for bare in _bare(node):
            yield Check(
                kind="unit", start_s=d.start_s, times=[d.start_s], refers_to=[d.id],
                text=f"“{d.text}”: {one(bare, None)} was said without a unit and is taken as {unit}",
            )  # fmt: skip
    for m in log.measurements:
        head = plain(m.of or "")[-1:]
        if m.unit is None and not m.setting and set(head) & (words("dimensions") - {"size", "amount", "round"}):
            if "stitch" in stems(m.of):
                continue
            yield Check(
                kind="unit", start_s=m.start_s, times=[m.start_s], refers_to=[m.id],
                text=f"“{m.text}” ({m.of}) was said without a unit",
            )  # fmt: skip


def _bare(node: formula.Node) -> list[Fraction]:
    """Bare numbers that are added or taken off."""
    if not isinstance(node, formula.Op):
        return []
    found = _bare(node.left) + _bare(node.right)
    if node.sign in "+-":
        found += [
            side.amount.base
            for side in (node.left, node.right)
            if isinstance(side, formula.Number) and not side.amount.dims
        ]
    return found


__all__ = ["check_log", "unsaid_checks"]
