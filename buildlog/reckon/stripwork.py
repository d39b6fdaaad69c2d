"""Strips said by their width: how many to cut, straight or on the bias, once the length and the cloth are known."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildlog.document import Log, Measurement, Quantity
from buildlog.reckon.cutlist import fabric_width
from buildlog.reckon.heard import Heard, stems
from buildlog.reckon.known import dims_of
from buildlog.reckon.units import LENGTH
from buildlog.reckon.vocabulary import words

if TYPE_CHECKING:
    from buildlog.reckon.sheets import Draft

MOST_STRIPS = 4
_NEAR_S = 60.0
_WORDS = 25
_WORKED = frozenset(["cut", "tear", "tore", "join", "sew", "sewn"])
_GATHERED = frozenset(["ruffle", "frill", "flounce", "tier", "gather"])
_SEWING = frozenset("sew sewn sewed stitch seam hem bias binding ruffle quilt tear tore torn".split())
_LOOPS = frozenset(["loop", "ring", "hoop", "tube", "circle"])


def strip_widths(log: Log) -> list[Measurement]:
    """The measurements that say how wide a strip is, the first of each value."""
    found: dict[tuple[float, str | None], Measurement] = {}
    for m in log.measurements:
        of = set(stems(m.of))
        if dims_of(m) == LENGTH and m.unit and "width" in of and of & words("strips") and m.value_max is None:
            found.setdefault((m.value, m.unit), m)
    return list(found.values())[:MOST_STRIPS]


def strip_work(log: Log, heard: Heard, drafts: list[Draft], unit: str) -> None:
    """Adds what a strip's width leads to: to the sheet that works its length out, else to a sheet of its own."""
    from buildlog.reckon.sheets import Draft, said

    for m in strip_widths(log):
        around = heard.around(m.start_s, m.text, _WORDS)
        if _of_leather(log, m):
            continue  # cut along the hide and never joined
        if not _sewn(log, around):
            continue  # paper, copper, glass
        bias = "bias" in around
        if not bias and not around & _WORKED and not _worked_elsewhere(m, heard):
            continue
        draft, need = _length_for(m, drafts, around)
        if draft is None and set(stems(m.of)) & {"binding"} and not bias and drafts_have(drafts, "strip width"):
            continue
        if draft is None:
            draft = Draft()
            drafts.append(draft)
            head = "bias" if bias else next((w for w in stems(m.of) if w in words("strips") and w != "strip"), "strip")
            need = draft.add(
                Quantity(
                    name=f"{head} length",
                    unit=unit,
                    origin="asked",
                    start_s=m.start_s,
                    text=heard.sentence(m.start_s, m.text),
                )
            )
        assert need is not None
        width = draft.add(said(m, "strip width", heard))
        seam = _seam(log, m, draft, heard)
        if bias:
            shortest = draft.add(
                Quantity(name="shortest strip", value="6", unit="inch", origin="assumed", text="6 in is worth joining")
            )
            name = draft.add(
                Quantity(
                    name="bias square side",
                    rule="bias_square",
                    origin="computed",
                    start_s=m.start_s,
                    inputs={"need": need, "strip_width": width, "seam": seam, "shortest": shortest},
                )
            )
        else:
            cloth = draft.add(fabric_width(m, log, heard, unit))
            join = draft.add(
                Quantity(name="join", value="straight", origin="assumed", text="strips are joined straight")
            )
            own = set(stems(need)) & words("strips") - {"strip"}
            stem = need.rsplit(" ", 1)[0] if need.endswith(" length") else need if own else "cut"
            # Strips that end up in a loop have as many joins as strips.
            rule = "ring" if around & _LOOPS else "strips"
            inputs = {"need": need, "strip_width": width, "fabric_width": cloth, "seam": seam, "join": join}
            name = draft.add(
                Quantity(
                    name="strips" if stem == "strip" else f"{stem} strips",
                    rule=rule,
                    inputs=inputs,
                    origin="computed",
                    start_s=m.start_s,
                )
            )
        draft.results.append(name)
        if not bias:
            _fullness(draft, need, rule, inputs)


def _fullness(draft: Draft, need: str, rule: str, inputs: dict[str, str]) -> None:
    """Whole strips make another fullness than the one asked for: what is gathered to an edge tells it."""
    q = draft.quantities[need]
    gathered = set(stems(need)) & _GATHERED
    if not gathered or q.rule is None or len(q.inputs) != 1 or " x " not in q.rule or set("+-/") & set(q.rule[1:]):
        return
    run = draft.add(Quantity(name=f"{need} of whole strips", rule=f"{rule}.run", inputs=inputs, origin="computed"))
    edge = next(iter(q.inputs.values()))
    draft.results.append(
        draft.add(
            Quantity(
                name="fullness of whole strips",
                rule="= run / edge",
                inputs={"run": run, "edge": edge},
                origin="computed",
            )
        )
    )


def _of_leather(log: Log, m: Measurement) -> bool:
    """Whether only leather was spoken of as a material so far, and no cloth."""
    spoken = {s for i in log.items if i.kind == "material" and i.first_s <= m.start_s + _NEAR_S for s in stems(i.name)}
    return bool(spoken & words("leather")) and not spoken & words("cloth")


def _sewn(log: Log, around: set[str]) -> bool:
    """Whether strips are of something that is sewn: cloth is among the materials, or they are spoken of so."""
    spoken = {s for i in log.items if i.kind == "material" and i.status == "used" for s in stems(i.name)}
    return bool((spoken | around) & words("cloth") or around & _SEWING or not spoken)


def _worked_elsewhere(m: Measurement, heard: Heard) -> bool:
    """Whether the strips are cut or joined in another sentence: "you want strips five inches wide ... cut the strips"."""
    for head in set(stems(m.of)) & words("strips"):
        for k in heard.places(head):
            if _WORKED & set(heard.stemmed[heard.sentence_from(k) : heard.sentence_to(k)]):
                return True
    return False


def drafts_have(drafts: list[Draft], name: str) -> bool:
    """Whether a sheet holds a quantity called ``name`` already."""
    return any(name in d.quantities for d in drafts)


def _length_for(m: Measurement, drafts: list[Draft], around: set[str]) -> tuple[Draft | None, str | None]:
    """The computed length near ``m`` that is one of strips: the sheet and the quantity."""
    best: tuple[float, Draft, str] | None = None
    for draft in drafts:
        for q in draft.quantities.values():
            if q.rule is None or not q.rule.startswith("=") or q.start_s is None:
                continue
            apart = abs(q.start_s - m.start_s)
            heads = set(stems(q.name)) & words("strips")
            # On the bias, a length called so goes before one that is merely nearer.
            rank = apart + (_NEAR_S if "bias" in around and "bias" not in heads else 0)
            if heads and apart <= _NEAR_S and (heads & around or "strip" in heads) and (not best or rank < best[0]):
                best = (rank, draft, q.name)
    return (best[1], best[2]) if best else (None, None)


def _seam(log: Log, m: Measurement, draft: Draft, heard: Heard) -> str:
    """The allowance of a join: the one said of joining near by, else a quarter inch, assumed."""
    from buildlog.reckon.sheets import said

    for other in log.measurements:
        near = dims_of(other) == LENGTH and other.unit and abs(other.start_s - m.start_s) <= _NEAR_S
        leading = {*heard.before(other.start_s, other.text, 9)}
        if near and "seam" in stems(other.of) and leading & {"join", "joined", "joining", "piece", "pieced"}:
            return draft.add(said(other, "join allowance", heard))
    text = "1/4 in, as quilters join strips"
    return draft.add(Quantity(name="join allowance", value="1/4", unit="inch", origin="assumed", text=text))
