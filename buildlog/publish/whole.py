"""One sheet over all parts of a build: what was used in all of them, summed, with what it cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from buildlog.document import Measurement, Price
from buildlog.errors import BadInput, one_line
from buildlog.publish.formats import Part
from buildlog.publish.markdown import escaped
from buildlog.publish.plain import capital, clean, listed, moment
from buildlog.publish.sheet import Thing, key_of, label_of
from buildlog.publish.tables import table
from buildlog.publish.templating import compiled, fill, ours
from buildlog.publish.units import UNITS, amount_of, exact_value, known, money

_KINDS = (("material", "Materials"), ("tool", "Tools"), ("pattern", "Patterns"), ("reference", "References"))
FORMATS = ("markdown", "html", "csv")
COLUMNS = ("kind", "name", "amount in all", "cost", "parts", "link")


@dataclass
class Summed:
    """A thing over all parts. ``amounts`` are ready to print; ``costs`` are amounts by currency."""

    name: str
    kind: str
    parts: list[int] = field(default_factory=list)
    amounts: list[str] = field(default_factory=list)
    costs: dict[str | None, Fraction] = field(default_factory=dict)
    about: bool = False
    url: str | None = None
    pays: bool = False

    @property
    def cost(self) -> str:
        """The cost as printed, empty where none is known."""
        return _costs(self.costs, self.about)


@dataclass
class Whole:
    """A build over all its parts."""

    title: str
    parts: Sequence[Part]
    things: list[Summed]
    costs: dict[str | None, Fraction]
    about: bool

    @property
    def cost(self) -> str:
        """All known costs, by currency."""
        return _costs(self.costs, self.about)

    def said(self) -> list[str]:
        """The totals that were said aloud, part by part."""
        return [f"part {p.about.number}: {p.sheet.total}" for p in self.parts if p.sheet.total]


def whole(parts: Sequence[Part]) -> Whole:
    """Sum up the parts of a build. Raises :class:`BadInput` where there is none."""
    if not parts:
        raise BadInput("the build has no part yet; `buildlog take FILE` makes one")
    gathered: dict[tuple[str, str], list[tuple[int, Thing]]] = {}
    for part in parts:
        for thing in part.sheet.things():
            gathered.setdefault((thing.kind, key_of(thing.name)), []).append((part.about.number, thing))
    things = [_summed(found, parts[0]) for found in gathered.values()]
    order = {"material": 0, "tool": 1, "pattern": 2, "reference": 3}
    things.sort(key=lambda t: order.get(t.kind, 9))
    costs: dict[str | None, Fraction] = {}
    for one in things:
        for currency, value in one.costs.items():
            costs[currency] = costs.get(currency, Fraction(0)) + value
    title = capital(clean(parts[0].about.build)) or parts[0].sheet.title
    return Whole(title, parts, things, costs, any(t.about for t in things))


def _summed(found: Sequence[tuple[int, Thing]], first: Part) -> Summed:
    out = Summed(found[0][1].name, found[0][1].kind, list(dict.fromkeys(n for n, _ in found)))
    words = set(key_of(out.name).split())
    sums: dict[tuple[str, str], list[Measurement]] = {}
    rest: list[str] = []
    for _, thing in found:
        for m in thing.measured:
            if not _is_amount(m, words):
                continue
            label = label_of(m, words)
            kind = UNITS[known(m.unit) or ""][0] if known(m.unit) else (m.unit or "")
            sums.setdefault((kind, "" if m.unit else label), []).append(m)
        rest += [a for a in thing.amounts if a not in rest]
        if out.url is None:
            out.url, out.pays = thing.url, thing.pays
        _add_cost(out, thing)
    added = [_sum(ms, first) for (kind, _), ms in sums.items() if kind in ("length", "mass", "volume", "area", "")]
    # Amounts that cannot be added (a width, a setting) stay as they were said.
    single = len(found) == 1
    out.amounts = rest if single or not added else added
    return out


def _is_amount(m: Measurement, words: set[str]) -> bool:
    """Whether a measurement says how much there is of a thing, not how wide it is or how it is set."""
    label = label_of(m, words)
    return not m.setting and (m.unit is None or label in ("", "length", "amount", "quantity"))


def _sum(measured: Sequence[Measurement], first: Part) -> str:
    unit = measured[0].unit
    name = known(unit)
    size = UNITS[name][2] if name else Fraction(1)

    def total(value: Fraction, m: Measurement) -> Fraction:
        other = known(m.unit)
        return value * (UNITS[other][2] if other else Fraction(1))

    low = sum((total(exact_value(m), m) for m in measured), Fraction(0)) / size
    upper = sum(
        (total(exact_value(m) if m.value_max is None else Fraction(m.value_max), m) for m in measured), Fraction(0)
    )
    high = upper / size
    about = any(m.approximate for m in measured)
    return amount_of(low, None if high == low else high, unit, about=about, units=first.settings.units)


def _add_cost(out: Summed, thing: Thing) -> None:
    """What a thing cost: the price, times how many or how much where the price is for one of them."""
    price = thing.paid
    if price is None or not 0 <= price.amount < 1e9:
        return
    value = Fraction(str(price.amount)) * _times(price, thing)
    out.costs[price.currency] = out.costs.get(price.currency, Fraction(0)) + value
    out.about = out.about or price.approximate


def _times(price: Price, thing: Thing) -> Fraction:
    per = (price.per or "").casefold()
    if per == "each":
        counts = [exact_value(m) for m in thing.measured if m.unit is None and not m.setting]
        return counts[0] if counts else Fraction(1)
    unit = known({"metre": "meter", "meter": "meter", "yard": "yard", "foot": "foot", "inch": "inch"}.get(per))
    if unit is None:
        return Fraction(1)
    words = set(key_of(thing.name).split())
    lengths = [m for m in thing.measured if known(m.unit) and _is_amount(m, words)]
    lengths = [m for m in lengths if UNITS[known(m.unit) or ""][0] == "length"]
    if not lengths:
        return Fraction(1)
    return exact_value(lengths[0]) * UNITS[known(lengths[0].unit) or ""][2] / UNITS[unit][2]


def _costs(costs: dict[str | None, Fraction], about: bool) -> str:
    text = " + ".join(money(float(round(v, 2)), c) for c, v in costs.items() if v)
    return f"about {text}" if text and about else text


# Formats --------------------------------------------------------------------------------------------------------------


def write_whole(name: str, parts: Sequence[Part]) -> bytes:
    """The sheet of the whole build as ``markdown``, ``html`` or ``csv``. Raises :class:`BadInput`."""
    found = whole(parts)
    if name == "csv":
        return whole_csv(found).encode()
    if name == "markdown":
        return whole_markdown(found).encode()
    if name == "html":
        return whole_html(found).encode()
    raise BadInput(f"a whole build cannot be written as {one_line(name, 40)}; choose one of {', '.join(FORMATS)}")


def whole_csv(found: Whole) -> str:
    """A row for each thing, and one for the cost of all."""
    rows = [
        (t.kind, t.name, "; ".join(t.amounts), t.cost, ", ".join(map(str, t.parts)), t.url or "") for t in found.things
    ]
    if found.cost:
        rows.append(("total", "", "", found.cost, "", ""))
    return table(COLUMNS, rows)


def whole_markdown(found: Whole) -> str:
    """Parts, and everything used in them."""
    rows = [f"# {escaped(found.title)}", ""]
    for part in found.parts:
        title = escaped(part.sheet.title)
        url = part.about.video_url
        named = f"[{title}](<{url}>)" if url else title
        rows.append(f"{part.about.number}. {named} ({moment(part.sheet.length_s)})")
    for kind, heading in _KINDS:
        things = [t for t in found.things if t.kind == kind]
        if things:
            rows += ["", f"## {heading}", "", "| Thing | In all | Cost | Part |", "| --- | --- | --- | --- |"]
            for t in things:
                cells = (t.name, "; ".join(t.amounts), t.cost, ", ".join(map(str, t.parts)))
                rows.append("| " + " | ".join(escaped(c) for c in cells) + " |")
    rows += ["", *_cost_rows(found)] if found.cost or found.said() else []
    return "\n".join(rows) + "\n"


def _cost_rows(found: Whole) -> list[str]:
    rows = [f"Prices that were said come to {escaped(found.cost)}."] if found.cost else []
    if found.said():
        rows.append(f"Said aloud: {escaped(listed(found.said()))}.")
    return rows


def whole_html(found: Whole) -> str:
    """As the page of one part, with tables."""
    from markupsafe import Markup

    values = {
        "whole": found,
        "css": Markup(ours("page.css")),
        "kinds": [(heading, [t for t in found.things if t.kind == kind]) for kind, heading in _KINDS],
        "disclosure": next((p.sheet.disclosure for p in found.parts if p.sheet.disclosure), ""),
        "moment": moment,
        "said": listed(found.said()) if found.said() else "",
    }
    page = fill(compiled(ours("whole.html.j2"), markup=True), values, longest=None)
    return "\n".join(line for line in page.split("\n") if line.strip()) + "\n"
