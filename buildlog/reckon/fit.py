"""Fit a worksheet to somebody: their inputs in, cut list, shopping list, cost and pictures out."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Literal

from buildlog.document import Quantity, Worksheet
from buildlog.errors import BadInput, BuildlogError
from buildlog.reckon.book import Cut, Figure
from buildlog.reckon.cautions import cautions
from buildlog.reckon.graph import Worked, work_out
from buildlog.reckon.layout import svg
from buildlog.reckon.result import Book, Line, Part, Picture, Purchase, Question, Result
from buildlog.reckon.rules import rule as find_rule
from buildlog.reckon.shown import METRIC, both, for_maker, one
from buildlog.reckon.units import Amount, written
from buildlog.reckon.wording import tidy

Origin = Literal["said", "typed", "assumed", "computed", "asked"]
_CHOICE = re.compile(r"[a-z]+(?:_[a-z]+)+")
_CURRENCY = re.compile(r"[A-Z]{3}")


def fit(sheet: Worksheet, inputs: Mapping[str, str] | None = None, *, unit: str | None = None) -> Result:
    """``sheet`` worked out with ``inputs`` (quantity name to text as typed: "36 in", "91 cm").

    ``unit`` is what bare lengths are taken in; the sheet's own most used one if not given. What is still missing is in
    ``asked``. Raises :class:`BadInput`, one line, for a name or value that does not fit.
    """
    unit = unit or usual_unit(sheet.quantities)
    worked = work_out(sheet, inputs or {}, unit)
    assumptions = [f"{q.name}: {_assumption(q)}" for q in sheet.quantities if _assumed(q, worked)]
    outcomes = list(worked.outcomes.items())
    pictures = [Picture(title=o.layout.title, svg=svg(o.layout)) for _, o in outcomes if o.layout]
    return Result(
        id=sheet.id,
        title=sheet.title,
        figures=[*_lines(sheet, worked), *_more(sheet, worked, unit)],
        cut_list=[_part(c, unit) for _, o in outcomes for c in o.cuts],
        shopping=[
            Purchase(what=b.what, need=both(for_maker(b.need, unit)), buy=_bought(b.bought, b.also, unit), step=b.step)
            for _, o in outcomes
            for b in o.buys
        ],
        cost=[_cost(q, sheet, worked) for q in sheet.quantities if _is_cost(q, worked)],
        assumptions=list(dict.fromkeys([*assumptions, *worked.assumed])),
        asked=[Question(name=q.name, unit=q.unit, said=q.text, start_s=q.start_s) for q in _missing(sheet, worked)],
        remarks=list(dict.fromkeys(r for _, o in outcomes for r in o.remarks)),
        cautions=cautions(k for q in sheet.quantities for k in _caution_keys(q)),
        formulas=[in_words(q) for q in sheet.quantities if q.rule],
        book=_book(sheet),
        pictures=pictures,
    )


def _book(sheet: Worksheet) -> list[Book]:
    names = dict.fromkeys(q.rule.partition(".")[0] for q in sheet.quantities if q.rule and not q.rule.startswith("="))
    found = [find_rule(name) for name in names]
    return [
        Book(
            name=r.name,
            formula=r.formula,
            inputs=[f"{a.name} ({written(a.unit)})" if a.unit else a.name for a in r.asks],
            limits=r.limits,
            source=r.source,
        )
        for r in found
    ]


# A quantity so named holds no amount: its text says what was read into a formula.
READ_AS = ": how it was read"


def usual_unit(quantities: Sequence[Quantity]) -> str:
    """The length unit most quantities are in, those of the maker before assumed ones: what a bare number is taken as."""
    for some in ([q for q in quantities if q.origin != "assumed"], quantities):
        units = [q.unit for q in some if q.unit in ("inch", "centimeter", "millimeter", "yard", "meter")]
        if units:
            return max(sorted(set(units)), key=units.count)
    return "inch"


def _assumed(q: Quantity, worked: Worked) -> bool:
    told = q.value not in ("0", "no") or bool(q.text)
    return q.origin == "assumed" and q.name not in worked.typed and told


def _assumption(q: Quantity) -> str:
    return q.text or f"{q.value} {written(q.unit)}".strip()


def _missing(sheet: Worksheet, worked: Worked) -> list[Quantity]:
    return [q for q in sheet.quantities if q.name in worked.missing]


def _is_cost(q: Quantity, worked: Worked) -> bool:
    amount = worked.values.get(q.name)
    return bool(q.rule and amount and amount.unit and _CURRENCY.fullmatch(amount.unit))


def _cost(q: Quantity, sheet: Worksheet, worked: Worked) -> str:
    """A cost, and where what is bought is more than what is needed, both: "linen cost: 26.25 USD for 1 7/8 yd; the 1 3/4 yd
    needed alone would be 24.50 USD"."""
    text = f"{q.name}: {both(worked.values[q.name])}"
    outcome = worked.outcomes.get(_key(q))
    if (q.rule or "") != "cost" or outcome is None:
        return text
    figures = {k: one(f.amount.value(), f.amount.unit) for k, f in outcome.figures.items()}
    waste = worked.values.get(q.inputs.get("waste", ""))
    share = f", {one(waste.base, None)} per cent of wastage with it" if waste and waste.base else ""
    if "needed_cost" not in figures:
        return f"{text} for {figures['bought']}{share}" if share else text
    amount = worked.values[q.inputs["amount"]]
    need = outcome.figures["need"].amount if "need" in figures else amount
    needed = one(need.value(amount.unit), amount.unit)
    return f"{text} for {figures['bought']} bought; the {needed} needed{share} would be {figures['needed_cost']}"


def _bought(amount: Amount, also: Amount | None, unit: str) -> str:
    """What to buy, the maker's own system first: "1/2 yd, or 0.5 m"."""
    ways = [one(a.value(), a.unit) for a in (amount, also) if a is not None]
    return ", or ".join(reversed(ways) if unit in METRIC else ways)


def _caution_keys(q: Quantity) -> tuple[str, ...]:
    return find_rule(q.rule.partition(".")[0]).cautions if q.rule and not q.rule.startswith("=") else ()


def in_words(q: Quantity) -> str:
    """The formula of ``q`` as a sentence: "belly strap = chest / 3 + 5 in"."""
    if q.rule is None:
        return q.name
    if q.rule.startswith("="):
        return f"{q.name} = {formula_of(q)}"
    return f"{q.name}: {find_rule(q.rule.partition('.')[0]).formula}"


def formula_of(q: Quantity, *, spelled: bool = False) -> str:
    """A formula said aloud as makers write it: eighths for decimals, the sheet's own names, units short ("5 in") or
    ``spelled`` out ("5 inches")."""
    text = (q.rule or "=")[1:].strip()
    for local, source in sorted(q.inputs.items(), key=lambda pair: -len(pair[0])):
        if local != source:
            text = re.sub(rf"\b{re.escape(local)}\b", lambda _, name=source: name, text)  # type: ignore[misc]
    return tidy(text, spelled=spelled)


def _lines(sheet: Worksheet, worked: Worked) -> list[Line]:
    lines = []
    for q in sheet.quantities:
        if q.name.endswith(READ_AS) or READ_AS + " " in q.name:
            continue
        amount, figure = worked.values.get(q.name), _figure(q, worked)
        text = worked.texts.get(q.name) if amount is None else both(amount, figure.places if figure else 2)
        if text and _CHOICE.fullmatch(text):
            text = text.replace("_", " ")
        origin = "typed" if q.name in worked.typed else q.origin
        how = {"said": "said", "typed": "typed in", "assumed": "assumed", "asked": "asked"}.get(origin)
        if how is None:
            how = in_words(q) if (q.rule or "").startswith("=") else figure.says if figure else "by the rule"
        lines.append(
            Line(
                name=q.name,
                label=q.name,
                text=text or ("still to be asked" if q.rule is None else "open until the rest is told"),
                exact=None if amount is None else str(amount.value()),
                unit=None if amount is None else amount.unit,
                origin=origin,
                how=how,
                start_s=q.start_s,
                said=q.text,
            )
        )
    return lines


def _figure(q: Quantity, worked: Worked) -> Figure | None:
    """The figure of the book that ``q`` is; ``None`` where it is none, or not worked out."""
    outcome = worked.outcomes.get(_key(q)) if q.rule and q.name in worked.values else None
    if outcome is None or q.name in worked.typed:
        return None
    return outcome.figures[(q.rule or "").partition(".")[2] or next(iter(outcome.figures))]


def _more(sheet: Worksheet, worked: Worked, unit: str) -> list[Line]:
    """The other figures of each rule of the book, after its own quantity's name."""
    lines: list[Line] = []
    for key, outcome in worked.outcomes.items():
        owner = next(q for q in sheet.quantities if q.rule and _key(q) == key)
        used = {
            q.rule.partition(".")[2] or next(iter(outcome.figures))
            for q in sheet.quantities
            if q.rule and _key(q) == key
        }
        alone = owner.name == find_rule(key.partition("|")[0]).title.lower()
        stem = owner.name.rsplit(" ", 1)[0] if owner.name.endswith(tuple(outcome.figures)) else owner.name
        for name, figure in outcome.figures.items():
            if name not in used:
                amount = for_maker(figure.amount, unit)
                lines.append(
                    Line(
                        name=name.replace("_", " ") if alone else f"{stem} {name.replace('_', ' ')}",
                        label=figure.says,
                        text=both(amount, figure.places),
                        exact=str(amount.value()),
                        unit=amount.unit,
                        origin="computed",
                        how=figure.says,
                    )
                )
    return lines


def _key(q: Quantity) -> str:
    return (q.rule or "").partition(".")[0] + "|" + "|".join(f"{k}={v}" for k, v in sorted(q.inputs.items()))


def _part(cut: Cut, unit: str) -> Part:
    sizes = [both(for_maker(Amount.of(v, "inch"), unit)) for v in (cut.width, cut.length) if v is not None]
    return Part(what=cut.what, count=cut.count, size=" x ".join(sizes))


def from_rule(name: str, given: Mapping[str, str]) -> Worksheet:
    """A worksheet of one rule of the book: every input a quantity, typed, assumed or asked. Raises BadInput."""
    book = find_rule(name)
    known = {a.name for a in book.asks}
    unknown = [k for k in given if k not in known]
    if unknown:
        raise BadInput(f"{name} has no input “{unknown[0][:40]}”; it takes {', '.join(a.name for a in book.asks)}")
    quantities = []
    for ask in book.asks:
        text = given.get(ask.name)
        origin: Origin = "typed" if text is not None else "asked" if ask.default is None else "assumed"
        quantities.append(
            Quantity(
                name=ask.name,
                value=text if text is not None else ask.default,
                unit=ask.unit if ask.kind in ("amount", "count") else None,
                origin=origin,
                text=ask.says if text is None and ask.default is None else "",
            )
        )
    inputs = {a.name: a.name for a in book.asks}
    quantities.append(Quantity(name=book.title.lower(), rule=name, inputs=inputs, origin="computed"))
    return Worksheet(id=name, title=book.title, quantities=quantities, results=[book.title.lower()])


def try_sizes(sheet: Worksheet, name: str, sizes: Sequence[str], inputs: Mapping[str, str]) -> list[tuple[str, Result]]:
    """``sheet`` fitted once for each of ``sizes`` of the input ``name``; sizes that do not work are left out."""
    rows = []
    for size in sizes:
        try:
            rows.append((size, fit(sheet, {**inputs, name: size})))
        except BuildlogError:
            continue
    return rows


__all__ = ["fit", "formula_of", "from_rule", "in_words", "try_sizes", "usual_unit"]
