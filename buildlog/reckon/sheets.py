"""From a log to its worksheets: what was said, what was worked out aloud, and what is still to be asked."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from buildlog.document import Derived, Log, Measurement, Quantity, Worksheet
from buildlog.errors import BadInput
from buildlog.reckon import costs, formula
from buildlog.reckon.cutlist import cut_lists, hides, leather_pieces
from buildlog.reckon.fit import READ_AS
from buildlog.reckon.heard import Heard, heard_in, plain, stems
from buildlog.reckon.known import (
    Match,
    counts,
    dims_of,
    find,
    is_pronoun,
    key,
    names_beside,
    spoken_just_before,
    wanted_dims,
)
from buildlog.reckon.spacing import spacing_sheets
from buildlog.reckon.stripwork import strip_work
from buildlog.reckon.trades import grow, trade_sheets
from buildlog.reckon.units import LENGTH
from buildlog.reckon.vocabulary import unit_named, words
from buildlog.reckon.wording import tidy

MOST_SHEETS = 40
_BREATH_S = 20.0  # as long as somebody goes on about one thing under a short name
_ADDING = re.compile(r"\b(?:plus|add|adding|and|bigger|larger|wider|longer|taller|deeper|more|extra)\b")


def exact(m: Measurement) -> str:
    """The value of ``m`` as a fraction in text."""
    return m.exact or str(Fraction(str(m.value)))


@dataclass(slots=True)
class Draft:
    """A worksheet being put together; names are made unique as they come. Without a title it is called after its
    results."""

    title: str = ""
    quantities: dict[str, Quantity] = field(default_factory=dict)
    results: list[str] = field(default_factory=list)

    def add(self, q: Quantity) -> str:
        """Adds ``q`` under its name or the next free one; gives the name used."""
        name, number = q.name, 2
        while name in self.quantities:
            name = f"{q.name} {number}"
            number += 1
        q.name = name
        self.quantities[name] = q
        return name


def said(m: Measurement, name: str, heard: Heard) -> Quantity:
    """``m`` as a quantity of a sheet, with the sentence it was said in."""
    return Quantity(
        name=name, value=exact(m), unit=m.unit, origin="said", start_s=m.start_s, text=heard.sentence(m.start_s, m.text)
    )


def length_unit(log: Log) -> str:
    """The length unit the maker measures in most."""
    every = [m.unit for m in log.measurements if m.unit and dims_of(m) == LENGTH]
    units = [u for u in every if u not in ("yard", "meter")]
    if not units:
        return "centimeter" if every.count("meter") > every.count("yard") else "inch"
    return max(sorted(set(units)), key=units.count)


def worksheets(log: Log) -> list[Worksheet]:
    """The worksheets of ``log``: amounts worked out aloud, strips, cut lists, costs.

    Formulas that feed one another share a sheet. An input that nobody said is left open ("asked") with the sentence it
    comes from; nothing is guessed without being marked "assumed".
    """
    heard = heard_in(log)
    unit = length_unit(log)
    done: set[str] = set()

    def supply(per: str, draft: Draft) -> str | None:
        """Board feet and square feet of leather worked out from the pieces said, for a price of one of them."""
        if per == "board_foot" and "board_feet" not in done and grow("board_feet", draft, log, heard, unit):
            done.add("board_feet")
            return draft.results[-1]
        leather = leather_pieces(log, heard) if per == "square_foot" and "leather" not in done else []
        if leather:
            done.add("leather")
            hides(leather, log, heard, draft)
            return draft.results[-2]
        return None

    money = costs.cost_sheets(log, heard, supply)
    by_trade, used = trade_sheets(log, heard, unit, frozenset(done))
    drafts = _formulas(log, heard, unit, used)
    strip_work(log, heard, drafts, unit)
    drafts += by_trade
    drafts += cut_lists(log, heard, unit, leather_done="leather" in done, told=used)
    drafts += spacing_sheets(log, heard, unit)
    worked = costs.price_sheets(drafts, log, heard)
    if worked:
        done.clear()
        money = costs.cost_sheets(log, heard, supply, worked)
    drafts += money
    sheets = []
    for number, draft in enumerate((d for d in drafts if d.results), 1):
        results = draft.results
        sheets.append(
            Worksheet(
                id=f"w{number}",
                title=draft.title or _title(results),
                quantities=list(draft.quantities.values()),
                results=results,
            )
        )
    return sheets[:MOST_SHEETS]


def _title(results: Sequence[str]) -> str:
    results = [r for r in results if not r.endswith(" cost")] or results
    shown = ", ".join(results[:4]) + (" …" if len(results) > 4 else "")
    return shown[:1].upper() + shown[1:]


# -- formulas said aloud ----------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Piece:
    """One derived amount: its name in the sheet, its formula and inputs, and remarks on what was read into it."""

    d: Derived
    name: str
    rule: str
    inputs: list[str]
    assumed: list[str]


def _formulas(log: Log, heard: Heard, unit: str, used: Collection[str]) -> list[Draft]:
    pieces = _named(log, heard, used)
    by_key = {key(p.name): p for p in pieces}
    drafts: list[Draft] = []
    home: dict[int, Draft] = {}
    for piece in pieces:
        if id(piece) not in home:
            draft = Draft()
            drafts.append(draft)
            for other in _together(piece, pieces, by_key):
                _grow(other, draft, home, by_key, log, heard, unit, ())
    return drafts


def _fed_by(local: str, piece: _Piece, by_key: dict[frozenset[str], _Piece]) -> _Piece | None:
    """The formula whose result is ``piece``'s input ``local``: by the same words, or, right after it, by some of them
    ("the top" for the top tier just spoken of; a spine is no spine strip)."""
    wanted = key(local)
    if wanted_dims(local, piece.d) != LENGTH:
        return None
    other = by_key.get(wanted) or next(
        (
            p
            for k, p in by_key.items()
            if wanted < k and p is not piece and 0 <= piece.d.start_s - p.d.start_s <= _BREATH_S
        ),
        None,
    )
    if other is None or other is piece:
        return None
    mine, theirs = (_dimensions([n]) for n in (local, other.name))
    clash = mine - theirs if theirs else mine - {"length", "size", "measurement", "measure"}
    # What is added to a thickness is a thickness: not something that was worked out from a height.
    beside = mine or (_dimensions(piece.inputs) if " + " in piece.rule else set())
    worked = theirs or _dimensions(other.inputs)
    return None if clash or (beside and worked and not beside & worked) else other


def _dimensions(names: Sequence[str]) -> set[str]:
    return {w for n in names for w in stems(n)} & words("dimensions")


def _together(first: _Piece, pieces: Sequence[_Piece], by_key: dict[frozenset[str], _Piece]) -> list[_Piece]:
    """The formulas that feed one another, ``first``'s family, in the order said."""
    family = {id(first)}
    grew = True
    while grew:
        grew = False
        for p in pieces:
            fed = {id(o) for local in p.inputs if (o := _fed_by(local, p, by_key))}
            if (id(p) in family) != bool(fed & family) or (id(p) in family and fed - family):
                before = len(family)
                family |= {id(p)} | fed if id(p) in family or fed & family else set()
                grew = grew or len(family) > before
    return [p for p in pieces if id(p) in family]


def _named(log: Log, heard: Heard, used: Collection[str]) -> list[_Piece]:
    """The derived amounts that can be worked out, with names that say what is sized.

    One whose amount went into a sheet of its trade already (``used``) is told there: "four inches bigger than the top".
    """
    pieces: list[_Piece] = []
    inputs = [i for d in log.derived for i in d.inputs]
    places = {
        k
        for m in log.measurements
        if m.id in used
        for k in range(heard.at(m.start_s, m.text), heard.at(m.start_s, m.text) + len(plain(m.text)))
    }
    for d in log.derived:
        first = heard.at(d.start_s, d.text)
        if places & set(range(first, first + len(plain(d.text)))):
            continue
        text, assumed = _sides(d, heard)
        if "fullness" in d.inputs:
            # "Double fullness" is twice the edge that it is gathered to: fullness itself is no length.
            text = re.sub(r"\bfullness\b", "edge", text)
        try:
            node = formula.read(text, [*d.inputs, "edge"])
        except BadInput:
            continue
        names = formula.names_in(node)
        if not names:
            continue
        name = _result_name(d, heard, inputs)
        while any(p.name == name for p in pieces):
            name = f"{name} again"
        pieces.append(_Piece(d, name, text, names, assumed))
    return pieces


def _sides(d: Derived, heard: Heard) -> tuple[str, list[str]]:
    """The formula, with what is added "each side" or "all round" counted twice, and words that go on without number."""
    text, assumed = d.formula, []
    beside = " ".join(heard.after(d.start_s, d.text, 5))
    inside = d.text.casefold()
    # "An inch bigger all round", "plus an inch all round"; "the distance all the way round plus an inch" adds it once.
    cue = _ADDING.search(inside)
    told = inside[cue.end() :] if cue else ""
    phrase = next((p for p in words("both_sides") if beside.startswith(p) or p in told), None)
    last = re.search(r"([+-]) (\d[\d./]*)( [a-z_]+)?$", text)
    if phrase and last:
        added = f"{last[1]} 2 x {last[2]}{last[3] or ''}"
        text = text[: last.start()] + added
        assumed.append(f"“{phrase}” is read as two sides: {tidy(added)}")
    more = next((p for p in words("more") if beside.startswith(p)), None)
    if more:
        assumed.append(f"“{more}” was said after it: no number, so nothing is added; add a little")
    return text, assumed


def _result_name(d: Derived, heard: Heard, inputs: Sequence[str]) -> str:
    """What is sized. A vague "widths" takes the name of what it is for: "for the top tier", or the strip talked of."""
    if d.result.casefold() not in words("vague"):
        return d.result
    dimension = stems(d.result)[0]
    beside = heard.after(d.start_s, d.text, 6)
    if beside[:2] and beside[0] == "for" and beside[1] in ("the", "my", "your", "each"):
        phrase = []
        for w in beside[2:5]:
            if w in ("and", "so", "then", "or", "the", "is", "to") or w in phrase:
                break
            phrase.append(w)
        if any(key(i) & set(stems(" ".join(phrase))) for i in inputs):
            return f"{' '.join(phrase)} {dimension}"
    talk = [w for w in reversed(heard.before(d.start_s, d.text, 60)) if stems(w) and stems(w)[0] in words("strips")]
    heads = [stems(w)[0] for w in talk]
    head = next((h for h in heads if h != "strip"), heads[0] if heads else None)
    return f"{head} length" if head else d.result


def _grow(
    piece: _Piece, draft: Draft, home: dict[int, Draft], by_key: dict[frozenset[str], _Piece], log: Log, heard: Heard,
    unit: str, trail: tuple[str, ...],
) -> str:  # fmt: skip
    """Puts ``piece`` and everything it is worked out from into ``draft``; gives its name there."""
    if id(piece) in home:
        return piece.name
    home[id(piece)] = draft
    sources: dict[str, str] = {}
    matched = _matches(piece, by_key, log, heard)
    for local in piece.inputs:
        sources[local] = _source(
            local, piece, draft, home, by_key, log, heard, unit, (*trail, piece.name), matched.get(local)
        )
    for number, text in enumerate(piece.assumed, 1):
        label = piece.name + READ_AS + (f" {number}" if number > 1 else "")
        draft.add(Quantity(name=label, value="yes", origin="assumed", start_s=piece.d.start_s, text=text))
    q = Quantity(
        name=piece.name, rule=f"= {piece.rule}", inputs=sources, origin="computed", start_s=piece.d.start_s,
        text=heard.sentence(piece.d.start_s, piece.d.text),
    )  # fmt: skip
    piece.name = draft.add(q)
    draft.results.append(piece.name)
    return piece.name


def _matches(piece: _Piece, by_key: dict[frozenset[str], _Piece], log: Log, heard: Heard) -> dict[str, Match]:
    """What was said for each input, the sure ones first, so that one told only by its unit cannot take another's."""
    found: dict[str, Match] = {}
    taken: set[str] = set()
    open_ = [i for i in piece.inputs if not is_pronoun(i) and _fed_by(i, piece, by_key) is None]
    for sure in (True, False):
        for local in open_:
            match = find(local, piece.d, log, heard, taken) if local not in found else None
            if match and match.sure == sure:
                found[local] = match
                taken.add(match.measurement.id)
    return found


def _source(
    local: str, piece: _Piece, draft: Draft, home: dict[int, Draft], by_key: dict[frozenset[str], _Piece], log: Log,
    heard: Heard, unit: str, trail: tuple[str, ...], match: Match | None,
) -> str:  # fmt: skip
    """The quantity that ``piece``'s input ``local`` is: another formula, something said, or something to ask."""
    other = _fed_by(local, piece, by_key)
    if other and other.name not in trail:
        return _grow(other, draft, home, by_key, log, heard, unit, trail)
    sentence = heard.sentence(piece.d.start_s, piece.d.text)
    if is_pronoun(local):
        before = spoken_just_before(piece.d, log)
        name = f"{piece.name} measure"
        if before:
            q = said(before, name, heard)
            q.origin, q.text = "assumed", f"“{local}” is taken for “{before.text}”, said just before"
            return draft.add(q)
        return draft.add(Quantity(name=name, unit=unit, origin="asked", start_s=piece.d.start_s, text=sentence))
    if match:
        q = said(match.measurement, local, heard)
        if not match.sure:
            q.origin, q.text = (
                "assumed",
                f"“{match.measurement.text}” is taken for the {local}: the only one of its unit",
            )
        return _shared(draft, q)
    need_unit = "" if counts(piece.d) else unit_named(stems(local), names_beside(piece.d)) or unit
    if (len(piece.inputs) > 1 and piece.rule.count(" x ") and _is_count(local)) or stems(piece.name)[-1:] == ["mix"]:
        need_unit = ""  # a count, or parts of a mix by whatever measure
    q = Quantity(name=local, unit=need_unit or None, origin="asked", start_s=piece.d.start_s, text=sentence)
    return _shared(draft, q)


def _shared(draft: Draft, q: Quantity) -> str:
    """One quantity for an input that two formulas of a sheet name alike."""
    same = draft.quantities.get(q.name)
    if same and same.rule is None:
        return same.name
    return draft.add(q)


def _is_count(local: str) -> bool:
    """ "signatures" in "spine x signatures" counts things: its unit is none."""
    return local.casefold().startswith(("number", "count")) or (
        local.casefold().endswith("s") and not set(stems(local)) & words("dimensions")
    )
