"""Things set at a distance said aloud: "a screw every six inches": how many, once the length is known."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildlog.document import Log, Measurement, Quantity
from buildlog.reckon.heard import Heard, stems
from buildlog.reckon.known import dims_of
from buildlog.reckon.units import LENGTH
from buildlog.reckon.vocabulary import words

if TYPE_CHECKING:
    from buildlog.reckon.sheets import Draft

MOST = 3
_NEAR_S = 20.0
_WORDS = 8


def _lengths(log: Log, m: Measurement, word: str, heard: Heard) -> list[Measurement]:
    return [
        x
        for x in log.measurements
        if x.unit
        and dims_of(x) == LENGTH
        and (
            word in (stems(x.of)[:1] if word == "distance" else stems(x.of)[-1:])  # "rail length", not "long sides"
            or (word == "length" and "along" in heard.before(x.start_s, x.text, 3))
        )
        and not set(stems(x.of)) & words("spaced")  # how long a screw is
        and abs(x.start_s - m.start_s) <= _NEAR_S
        and x is not m
    ]


def _round(
    log: Log, m: Measurement, heard: Heard, unit: str, draft: Draft, inputs: dict[str, str], thing: str
) -> Draft:
    """Round a closed edge: the last stands one distance from the first."""
    from buildlog.reckon.sheets import said

    whole = _lengths(log, m, "round", heard)
    text = heard.sentence(m.start_s, m.text)
    inputs["round"] = draft.add(
        said(whole[0], "way round", heard)
        if len(whole) == 1
        else Quantity(name="way round", unit=unit, origin="asked", start_s=m.start_s, text=text)
    )
    draft.results = [draft.add(Quantity(name=f"{thing}s", rule="pitch_round", inputs=inputs, origin="computed"))]
    return draft


def _thing(m: Measurement, heard: Heard) -> str | None:
    """What is set at the distance ``m``: told with it, or the last such thing said just before in its sentence."""
    told = sorted(set(stems(m.of)) & words("spaced"))
    if told:
        return told[0]
    at = heard.at(m.start_s, m.text)
    before = heard.stemmed[max(at - _WORDS, heard.sentence_from(at)) : at]
    return next((w for w in reversed(before) if w in words("spaced")), None)


def spacing_sheets(log: Log, heard: Heard, unit: str) -> list[Draft]:
    """A sheet for each distance said of holes, screws, tacks and their like, at most three."""
    from buildlog.reckon.sheets import Draft, said

    drafts: list[Draft] = []
    for m in log.measurements:
        if len(drafts) == MOST:
            break
        if not {"spacing", "spaced"} & {*stems(m.of)} or not m.unit or dims_of(m) != LENGTH or m.value_max is not None:
            continue
        thing = _thing(m, heard)
        if thing is None:
            continue
        draft = Draft()
        inputs = {"pitch": draft.add(said(m, f"{thing} spacing", heard))}
        if heard.around(m.start_s, m.text, 8) & {"around", "round"}:
            drafts.append(_round(log, m, heard, unit, draft, inputs, thing))
            continue
        whole = _lengths(log, m, "length", heard)
        text = heard.sentence(m.start_s, m.text)
        inputs["length"] = draft.add(
            said(whole[0], "length", heard)
            if len(whole) == 1
            else Quantity(name="length", unit=unit, origin="asked", start_s=m.start_s, text=text)
        )
        ends = [x for x in _lengths(log, m, "distance", heard) if "end" in stems(x.of)]
        inputs["end"] = draft.add(
            said(ends[0], "distance from the ends", heard)
            if ends
            else Quantity(
                name="distance from the ends", value="1", unit="inch", origin="assumed", text="1 in from each end"
            )
        )
        draft.results = [draft.add(Quantity(name=f"{thing}s", rule="pitch", inputs=inputs, origin="computed"))]
        drafts.append(draft)
    return drafts
