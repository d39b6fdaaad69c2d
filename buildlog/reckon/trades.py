"""Talk of a trade turned into a sheet of one of its rules: pleats, skirts, waistbands, backing, timber, finish, zips.

What each rule listens for is data, in trades.toml. An amount becomes an input by the words that it measures or that
stand right beside it; what the rule needs and nobody said is asked, with the sentence in which it came up.
"""

from __future__ import annotations

import functools
import itertools
import tomllib
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from importlib import resources
from typing import TYPE_CHECKING, Any

from buildlog.document import Log, Measurement, Quantity
from buildlog.reckon.book import Ask
from buildlog.reckon.clothwidth import cloth_width, is_cloth_width
from buildlog.reckon.heard import Heard, plain, stems
from buildlog.reckon.known import amount_of, dims_of
from buildlog.reckon.rules import rule as find_rule
from buildlog.reckon.units import LENGTH, NONE, unit_of

if TYPE_CHECKING:
    from buildlog.reckon.sheets import Draft

NEAR_S = 120.0
_CLOSE_S = 20.0
_BEFORE, _AFTER = 7, 4
# Two amounts that tell as well as one another which input they are leave it open.
_AS_GOOD = 0.2
_LEAST_SCORE = 1.0
_PAUSE = (",", ";", ":", ".", "!", "?")
FABRIC = "fabric_width"
PERCENT = "percent"


@dataclass(frozen=True, slots=True)
class Wanted:
    """One input of a rule, and the words by which it is told; see trades.toml."""

    label: str
    words: tuple[str, ...] = ()
    never: frozenset[str] = frozenset()
    pair: tuple[str, ...] = ()
    side: int = 0
    ask: bool = False
    source: str | None = None
    anchor: bool = False
    setting: bool = False
    between: tuple[Fraction, Fraction] | None = None


@dataclass(frozen=True, slots=True)
class Trade:
    """What a rule of the book listens for."""

    name: str
    rule: str
    title: str | None
    said: tuple[str, ...]
    figures: Mapping[str, str]
    inputs: Mapping[str, Wanted]
    choices: Mapping[str, Mapping[str, tuple[str, ...]]]
    least: int
    needs: str | None
    also: frozenset[str]
    one_of: frozenset[str]
    fixed: Mapping[str, str]
    inside: bool
    once: bool
    reach_s: float


def _phrases(text: str) -> tuple[str, ...]:
    return tuple("+".join(" ".join(stems(p)) for p in phrase.split("+")) for phrase in text.split(","))


@functools.cache
def trades() -> dict[str, Trade]:
    """Every trade of trades.toml, by its name: that of its rule, where it names no other."""
    data = tomllib.loads(resources.files(__package__).joinpath("trades.toml").read_text("utf-8"))
    return {name: _trade(name, table) for name, table in data.items()}


def _between(ends: Sequence[float]) -> tuple[Fraction, Fraction]:
    low, high = (Fraction(str(end)) for end in ends)
    return low, high


def _trade(name: str, table: Mapping[str, Any]) -> Trade:
    inputs = {
        key: Wanted(
            label=row["label"],
            words=_phrases(row["words"]) if "words" in row else (),
            never=frozenset(_phrases(row["never"])) if "never" in row else frozenset(),
            pair=_phrases(row["pair"]) if "pair" in row else (),
            side=row.get("side", 0),
            ask=row.get("ask", False),
            source=row.get("from"),
            anchor=row.get("anchor", False),
            setting=row.get("setting", False),
            between=_between(row["inches"]) if "inches" in row else None,
        )
        for key, row in table["inputs"].items()
    }
    choices = {
        key: {value: _phrases(said) for value, said in rows.items()} for key, rows in table.get("choices", {}).items()
    }
    return Trade(
        name=name,
        rule=table.get("rule", name),
        title=table.get("title"),
        said=_phrases(table["said"]),
        figures=table["figures"],
        inputs=inputs,
        choices=choices,
        least=table["least"],
        needs=table.get("needs"),
        also=frozenset(table.get("also", ())),
        one_of=frozenset(table.get("one_of", ())),
        fixed=table.get("fixed", {}),
        inside=table.get("inside", False),
        once=table.get("once", False),
        reach_s=table.get("reach_s", NEAR_S),
    )


@dataclass(slots=True)
class Found:
    """What was said for a trade: the moments it was spoken of, the amounts by input, and inputs that two amounts fit."""

    moments: list[float]
    amounts: dict[str, Measurement]
    torn: dict[str, tuple[Measurement, Measurement]]

    @property
    def ids(self) -> set[str]:
        """The measurements taken."""
        return {m.id for m in self.amounts.values()}


def trade_sheets(log: Log, heard: Heard, unit: str, done: frozenset[str] = frozenset()) -> tuple[list[Draft], set[str]]:
    """A sheet for every trade spoken of with amounts enough, and the ids of the measurements used; ``done`` are rules
    that stand in another sheet already."""
    from buildlog.reckon.sheets import Draft

    drafts, used = [], set[str]()
    for trade in trades().values():
        if trade.inside or trade.rule in done:
            continue
        draft = Draft(title=trade.title or find_rule(trade.rule).title)
        ids = grow(trade.name, draft, log, heard, unit, used)
        if ids:
            drafts.append(draft)
            used |= ids
    return drafts, used


def grow(name: str, draft: Draft, log: Log, heard: Heard, unit: str, taken: Collection[str] = frozenset()) -> set[str]:
    """Puts the figures of the trade ``name``, and all that goes into them, into ``draft``; gives the ids of the
    measurements used: none where too little of it was said, or what it needs stands in another sheet (``taken``) and goes into one only."""
    trade = trades()[name]
    found = listen(trade, log, heard)
    if found is None or (trade.once and trade.needs in found.amounts and found.amounts[trade.needs].id in taken):
        return set()
    rule = find_rule(trade.rule)
    used = found.ids
    sources: dict[str, str] = {}
    told = heard.sentence_at(found.moments[0])
    for ask in rule.asks:
        if ask.name in trade.fixed:
            value = trade.fixed[ask.name]
            sources[ask.name] = draft.add(
                Quantity(name=ask.says, value=value, origin="said", start_s=found.moments[0], text=told)
            )
            continue
        q = _quantity(trade, ask, found, draft, log, heard, unit, used)
        if q is not None:
            sources[ask.name] = q
    for figure, label in trade.figures.items():
        draft.results.append(
            draft.add(
                Quantity(
                    name=label,
                    rule=f"{trade.rule}.{figure}",
                    inputs=dict(sources),
                    origin="computed",
                    start_s=found.moments[0],
                    text=told,
                )
            )
        )
    return used


def _quantity(
    trade: Trade, ask: Ask, found: Found, draft: Draft, log: Log, heard: Heard, unit: str, used: set[str]
) -> str | None:
    """The quantity that the input ``ask`` is taken from; ``None`` where the rule's own default of nothing does."""
    from buildlog.reckon.sheets import said

    wanted = trade.inputs.get(ask.name)
    label = wanted.label if wanted else ask.says
    m = found.amounts.get(ask.name)
    if m is not None:
        q = said(m, label, heard)
        if m.unit == PERCENT:
            q.unit = None
        if m.unit is None and ask.unit == "inch":
            q.unit, q.origin = unit, "assumed"
            q.text = f"“{m.text}” was said without a unit and is taken as {unit}"
        return draft.add(q)
    if wanted and wanted.source:
        inner = grow(wanted.source, draft, log, heard, unit)
        if inner:
            used |= inner
            return draft.results.pop()
    if ask.name in trade.choices:
        for value, phrases in trade.choices[ask.name].items():
            moment = _said_near(phrases, found.moments, heard, trade.reach_s)
            if moment is not None:
                text = heard.sentence_at(moment)
                return draft.add(Quantity(name=label, value=value, origin="said", start_s=moment, text=text))
    if ask.name in found.torn:
        a, b = found.torn[ask.name]
        text = f"“{a.text}” and “{b.text}” were both said for it: {heard.sentence(b.start_s, b.text)}"
        return draft.add(Quantity(name=label, unit=_unit(ask, unit), origin="asked", start_s=a.start_s, text=text))
    if ask.default is None or (wanted and wanted.ask):
        near = _said_near(wanted.words, found.moments, heard) if wanted else None
        moment = found.moments[0] if near is None else near
        return draft.add(
            Quantity(name=label, unit=_unit(ask, unit), origin="asked", start_s=moment, text=heard.sentence_at(moment))
        )
    if ask.default in ("0", "", "no"):
        return None
    shown = f"{ask.default} {'in' if ask.unit == 'inch' else ask.unit or ''}".strip()
    return draft.add(
        Quantity(
            name=label,
            value=ask.default,
            unit=ask.unit if ask.kind in ("amount", "count") else None,
            origin="assumed",
            text=f"{shown.replace('_', ' ')}, nobody said otherwise",
        )
    )


def _unit(ask: Ask, unit: str) -> str | None:
    return unit if ask.unit == "inch" else ask.unit


def listen(trade: Trade, log: Log, heard: Heard) -> Found | None:
    """What was said for ``trade``; ``None`` where it was not spoken of, or with too few amounts."""
    moments = [heard.words[k].start_s for phrase in trade.said for k in heard.places(phrase)]
    if not moments:
        return None
    moments.sort()
    rule = find_rule(trade.rule)
    asks = {a.name: a for a in rule.asks}
    near = [m for m in log.measurements if _usable(m) and min(abs(m.start_s - t) for t in moments) <= trade.reach_s]
    amounts = _paired(trade, near, moments, heard)
    taken = {m.id for m in amounts.values()}
    rows = sorted(_scores(trade, asks, near, moments, heard), key=lambda row: -row[0])
    torn: dict[str, tuple[Measurement, Measurement]] = {}
    best: dict[str, float] = {}
    for score, name, m in rows:
        if m.id in taken:
            continue
        if name not in amounts:
            amounts[name], best[name] = m, score
            taken.add(m.id)
        elif name in best and score >= best[name] - _AS_GOOD and not _alike(m, amounts[name]) and name not in torn:
            torn[name] = (amounts[name], m)
    # One that another input takes does not tear this one, nor do two of which the first fits a free input as well.
    torn = {name: pair for name, pair in torn.items() if pair[1].id not in taken}
    for name, (first, second) in [*torn.items()]:
        free = next((n for _, n, m in rows if m.id == first.id and n not in amounts), None)
        if free is not None:
            amounts[free], amounts[name] = first, second
            del torn[name]
    for name in torn:
        del amounts[name]
    if FABRIC in trade.inputs and FABRIC not in amounts:
        width = cloth_width(log, heard, moments[0])
        if width is not None:
            amounts[FABRIC] = width
    # Only what the rule cannot do without counts; words that tell of an open input ("the tin covers") count as one.
    told = [n for n in {*amounts, *torn} if n != FABRIC and (asks[n].default is None or n in trade.also)]
    hinted = [n for n, w in trade.inputs.items() if w.ask and n not in told and _said_near(w.words, moments, heard)]
    inner = [
        n for n, w in trade.inputs.items() if w.source and n not in told and listen(trades()[w.source], log, heard)
    ]
    if len(told) + len(hinted) + len(inner) < trade.least or (trade.needs and trade.needs not in amounts):
        return None
    where = [m.start_s for m in amounts.values()] or moments
    settled = {
        n
        for n, rows in trade.choices.items()
        if any(_said_near(p, where, heard, _CLOSE_S) is not None for p in rows.values())
    }
    if trade.one_of and not trade.one_of & {*amounts, *settled}:
        return None
    return Found(moments, amounts, torn)


def _usable(m: Measurement) -> bool:
    return m.value_max is None and m.value > 0


def _alike(a: Measurement, b: Measurement) -> bool:
    return amount_of(a).base == amount_of(b).base


def _scores(
    trade: Trade, asks: Mapping[str, Ask], near: Sequence[Measurement], moments: Sequence[float], heard: Heard
) -> Iterator[tuple[float, str, Measurement]]:
    for m in near:
        if is_cloth_width(m, heard):
            continue  # told by itself, and never another input
        about = _about(m, near, heard)
        beside = _beside(m, trade.said, heard)
        far = min(abs(m.start_s - t) for t in moments) / NEAR_S / 2
        for name, wanted in trade.inputs.items():
            if not wanted.words or name == FABRIC or not _fits(m, asks[name]) or (wanted.anchor and not beside):
                continue
            if m.setting and not wanted.setting:
                continue
            if wanted.between and not wanted.between[0] <= amount_of(m).value("inch") <= wanted.between[1]:
                continue
            score = _score(wanted, about)
            if score >= _LEAST_SCORE:
                yield score - far, name, m


def _beside(m: Measurement, said: Sequence[str], heard: Heard) -> bool:
    """Whether what opens the matter stands in the sentence of ``m``, or in what it measures."""
    at = heard.at(m.start_s, m.text)
    words = [*stems(m.of), *heard.stemmed[heard.sentence_from(at) : heard.sentence_to(at)]]
    return any(_place(phrase, words) is not None for phrase in said)


def _fits(m: Measurement, ask: Ask) -> bool:
    if ask.kind == "count":
        return m.unit is None and m.value == int(m.value)
    if ask.share or m.unit == PERCENT:
        return ask.share and m.unit == PERCENT
    if ask.unit is None:
        return m.unit is None
    return bool(m.unit) and dims_of(m) == unit_of(ask.unit)[1]


@dataclass(frozen=True, slots=True)
class _About:
    """What an amount measures, the words that lead up to it (nearest last), those that follow, and the nearest of all
    three."""

    of: list[str]
    before: list[str]
    after: list[str]
    close: frozenset[str]


def _about(m: Measurement, others: Sequence[Measurement], heard: Heard) -> _About:
    """The words about ``m``, inside its sentence and not past another amount."""
    at = heard.at(m.start_s, m.text)
    end = at + len(plain(m.text))
    starts = [heard.at(o.start_s, o.text) for o in others if o is not m]
    ends = [k + len(plain(o.text)) for k, o in zip(starts, (o for o in others if o is not m), strict=True)]
    low = max([at - _BEFORE, heard.sentence_from(at), *(e for e in ends if e <= at)])
    high = min([end + _AFTER, heard.sentence_to(end - 1), *(s for s in starts if s >= end)])
    of, before, after = stems(m.of), heard.stemmed[max(0, low) : at], heard.stemmed[end:high]
    # "That edge is forty inches, the facing ...": what comes after a pause is of something else.
    parted = 0 < end <= len(heard.words) and heard.words[end - 1].text.endswith(_PAUSE)
    return _About(of, before, after, frozenset([*of, *before[-3:], *([] if parted else after[:2])]))


def _score(wanted: Wanted, about: _About) -> float:
    """How well the words tell that an amount is ``wanted``; 0 where they do not, or tell that it is not."""
    if wanted.never & about.close:
        return 0.0
    of, before, after = about.of, about.before, about.after
    best = 0.0
    for rank, phrase in enumerate(wanted.words):
        parts = phrase.split("+")
        if len(parts) > 1:
            score = 3.2 if all({*p.split()} <= {*of, *before, *after} for p in parts) else 0.0
        elif _place(phrase, of) is not None:
            score = 3.0
        elif (k := _place(phrase, after)) is not None:
            score = 2.5 - 0.15 * k
        elif (k := _place(phrase, before, last=True)) is not None:
            score = 2.2 - 0.15 * (len(before) - 1 - k)
        else:
            continue
        best = max(best, score - 0.1 * rank)
    return best


def _place(phrase: str, words: Sequence[str], *, last: bool = False) -> int | None:
    """Where the words of ``phrase`` stand together in ``words``."""
    wanted = phrase.split()
    hits = [k for k in range(len(words) - len(wanted) + 1) if list(words[k : k + len(wanted)]) == wanted]
    return None if not hits else hits[-1] if last else hits[0]


def _paired(
    trade: Trade, near: Sequence[Measurement], moments: Sequence[float], heard: Heard
) -> dict[str, Measurement]:
    """The two sizes joined by "by" for the inputs that come in pairs: of what is named, the pair nearest in time."""
    from buildlog.reckon.cutlist import joined

    wanted = {name: w for name, w in trade.inputs.items() if w.pair}
    if not wanted:
        return {}
    phrases = next(iter(wanted.values())).pair
    best: tuple[float, tuple[Measurement, Measurement]] | None = None
    # "Fifty by sixty" is a pair of sizes even where no unit was said.
    lengths = [m for m in near if dims_of(m) in (LENGTH, NONE) and not m.setting]
    for a, b in itertools.pairwise(lengths):
        if not joined(a, b, heard):
            continue
        ahead = _about(a, [m for m in near if m is not b], heard)
        behind = _about(b, [m for m in near if m is not a], heard)
        around = [*ahead.of, *behind.of], ahead.before, behind.after
        if not any(_place(p, words) is not None for p in phrases for words in around):
            continue
        apart = min(abs(a.start_s - t) for t in moments)
        if best is None or apart < best[0]:
            best = (apart, (a, b))
    if best is None:
        return {}
    a, b = best[1]
    first, second = (set(stems(" ".join(heard.after(m.start_s, m.text, 1)))) for m in (a, b))
    # "Ten inches wide by twelve long" says which is which, whatever comes first by custom.
    turned = "width" in first or bool({"length", "height"} & second)
    told = turned or "width" in second or bool({"length", "height"} & first)
    sides = {n: (n == "width") != turned if told else w.side for n, w in wanted.items()}
    return {name: (a, b)[int(side)] for name, side in sides.items()}


def _said_near(
    phrases: Sequence[str], moments: Sequence[float], heard: Heard, within_s: float = NEAR_S
) -> float | None:
    """The first moment at which one of ``phrases`` is said near the talk, the phrases in their order."""
    for phrase in phrases:
        if "+" in phrase:
            continue
        for k in heard.places(phrase):
            at = heard.words[k].start_s
            if min(abs(at - t) for t in moments) <= within_s:
                return at
    return None
