"""Pieces said with a number and a size: "four legs at thirty-three", "eighteen and a half. We need four of those"."""

from __future__ import annotations

import itertools
import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from buildlog.document import Log, Measurement, Quantity
from buildlog.reckon.clothwidth import cloth_width
from buildlog.reckon.heard import Heard, plain, singular, stems
from buildlog.reckon.known import amount_of, dims_of
from buildlog.reckon.shown import fraction
from buildlog.reckon.units import LENGTH, written
from buildlog.reckon.vocabulary import words

if TYPE_CHECKING:
    from buildlog.reckon.sheets import Draft

_WITHIN_S = 8.0
_WIDEST_CUT = Fraction(1, 2)  # inches: more is no saw
_MOST_COUNT = 500
_SPOKEN_S = 60.0
_EXTRAS_S = 120.0
_SMALLEST_SHEET = Fraction(40)  # inches: less is a panel, not a sheet as sold
_OF_THOSE = re.compile(r"\b(?:of|all)\s+(?:those|them|these)\b", re.IGNORECASE)
# "Two by fours": timber by the name of its section.
_NOMINAL = re.compile(
    r"\b(?:one|two|four|six|[1246])[ -](?:by|x)[ -](?:two|three|four|six|eight|ten|twelve)s\b", re.IGNORECASE
)
_WAYS = {"long", "wide", "deep", "high", "tall", "across"}
_THE = ("the", "my", "those", "these", "our")


@dataclass(frozen=True, slots=True)
class Said:
    """So many pieces of one size. ``sizes`` are one or two measurements in one unit."""

    name: str
    count: Measurement
    sizes: tuple[Measurement, ...]


def pieces(log: Log, heard: Heard) -> list[Said]:
    """The pieces of ``log`` that have a number and a size."""
    found: list[Said] = []
    used: set[str] = set()
    counts = [m for m in log.measurements if _is_count(m)]
    for c in counts:
        back = (
            bool(_OF_THOSE.search(c.text)) or _OF_THOSE.match(" ".join(heard.after(c.start_s, c.text, 2))) is not None
        )
        behind = heard.after(c.start_s, c.text, 3)
        if back and "at" in (behind[0:1] if _OF_THOSE.search(c.text) else behind[2:3]):
            back = False
        sizes = _sizes_before(c, log, heard, used) if back else _sizes_after(c, log, heard, used)
        if not sizes:
            continue
        name = _name_before(sizes[0], heard) if back else None
        following = heard.after(sizes[-1].start_s, sizes[-1].text, 2) if back and not name else []
        if following[:1] == ["of"] and len(following) == 2:
            name = following[1]
        pointing = bool(_OF_THOSE.search(c.text))
        called = " ".join(w for w in plain(c.of or "") if w not in ("piece", "pieces"))
        own = name or ("" if pointing else called) or "pieces"
        used |= {m.id for m in sizes}
        found.append(Said(own, c, sizes))
    found += _single(log, heard, used)
    return sorted(found, key=lambda p: p.count.start_s)


def _single(log: Log, heard: Heard, used: set[str]) -> Iterator[Said]:
    """ "One strap, thirty-six inches by one and a half": a pair of sizes right behind one of something."""
    sizes = [m for m in log.measurements if _is_size(m, heard) and m.id not in used and not _finished(m, heard)]
    for a, b in itertools.pairwise(sizes):
        before = heard.before(a.start_s, a.text, 4)
        if before[-1:] == ["at"]:
            before = before[:-1]
        one = max((k for k, w in enumerate(before) if w in ("one", "single")), default=None)
        if one is None or one == len(before) - 1 or not joined(a, b, heard):
            continue
        name = " ".join(before[one + 1 :])
        if name.replace(" ", "").isalpha() and not set(stems(name)) & (words("not_pieces") | words("stock")):
            yield Said(
                name, Measurement(id=f"{a.id}-one", start_s=a.start_s, text=f"one {name}", value=1, of=name), (a, b)
            )


def _is_count(m: Measurement) -> bool:
    return (
        m.unit is None and not m.setting and m.value_max is None and not m.approximate
        and m.value == int(m.value) and 0 < m.value <= _MOST_COUNT and bool(m.of or _OF_THOSE.search(m.text))
        and not set(stems(m.of)) & words("not_pieces")
    )  # fmt: skip


def _is_size(m: Measurement, heard: Heard, *, sure: bool = False) -> bool:
    following = heard.after(m.start_s, m.text, 3)
    # "An inch for the hem" is no more a size than "an inch hem".
    behind = {*(following if following[:1] == ["for"] else following[:1])} - ({"from", "in"} if sure else set())
    if (behind | (set() if sure else {*stems(m.of)})) & words("not_sizes"):
        return False
    return bool(m.unit) and dims_of(m) == LENGTH and m.value_max is None and not m.setting and m.value > 0


def _finished(m: Measurement, heard: Heard) -> bool:
    return bool({*heard.before(m.start_s, m.text, 3)} & words("finished"))


def _sizes_before(c: Measurement, log: Log, heard: Heard, used: set[str]) -> tuple[Measurement, ...]:
    """The size said just before "four of those"; one said to be finished is no cut size."""
    near = [
        m
        for m in log.measurements
        if _is_size(m, heard)
        and m.id not in used
        and c.start_s - _WITHIN_S <= m.start_s < c.start_s
        and not _finished(m, heard)
    ]
    if not near:
        return ()
    last = near[-1]
    if len(near) > 1 and joined(near[-2], last, heard):
        return near[-2], last
    return (last,)


def _sizes_after(c: Measurement, log: Log, heard: Heard, used: set[str]) -> tuple[Measurement, ...]:
    """The size said right after the number, before another number of pieces comes."""
    following = [m for m in log.measurements if c.start_s < m.start_s <= c.start_s + _WITHIN_S]
    sizes: list[Measurement] = []
    for m in following:
        # "At" between the number and the size settles that it is the size, whatever the reader took it to measure.
        at = not sizes and _between(c, m, heard)[-1:] == ["at"]
        if not _is_size(m, heard, sure=at) or m.id in used or _finished(m, heard):
            break
        alike = stems(m.of) == stems(c.of)
        if not sizes and not (at or alike or _leads(c, m, heard)):
            break
        if sizes and not joined(sizes[-1], m, heard):
            break
        sizes.append(m)
        if len(sizes) == 2:
            break
    return tuple(sizes)


def _between(c: Measurement, m: Measurement, heard: Heard) -> list[str]:
    """The words between a number's phrase and a size."""
    low, high = heard.at(c.start_s, c.text) + len(plain(c.text)), heard.at(m.start_s, m.text)
    return [w.bare for w in heard.words[low:high]]


def _leads(c: Measurement, m: Measurement, heard: Heard) -> bool:
    """Whether "at", "of it," or a comma alone stands between the number's noun and the size."""
    between = _between(c, m, heard)
    return len(between) <= 5 and bool({"at", "of", "by", "each"} & set(between) or set(between) <= words("telling"))


def joined(a: Measurement, b: Measurement, heard: Heard) -> bool:
    """Whether "by" alone stands between two sizes, or "long by", "wide by"."""
    i, j = heard.at(a.start_s, a.text), heard.at(b.start_s, b.text)
    between = {w.bare for w in heard.words[i:j]} - set(plain(a.text))
    return between - _WAYS == {"by"} and a.unit == b.unit and j - i <= 8


def _name_before(m: Measurement, heard: Heard) -> str | None:
    """The last "the ...s" before a size: "the short rails, let me look, eighteen"."""
    before = heard.before(m.start_s, m.text, 14)
    for k in range(len(before) - 1, -1, -1):
        if before[k] in _THE[:2] + _THE[4:]:
            for end in range(k + 1, min(k + 4, len(before))):
                if not before[end].isalpha():
                    break
                if singular(before[end]) != before[end]:
                    return " ".join(before[k + 1 : end + 1])
            return None
    return None


def _stuff(p: Said, log: Log, heard: Heard) -> str:
    """What a piece is cut out of: "sheet", "sawn", "leather", "cloth", or "" where that is open.

    Its own item tells, else its sentence, else the material spoken of last before it, else the only sort there is.
    """
    by_id = {i.id: i.name for i in log.items}
    own = {s for m in (p.count, *p.sizes) for s in stems(by_id.get(m.item or "", ""))}
    if _NOMINAL.search(heard.sentence(p.count.start_s, p.count.text)):
        return "sawn"
    sort = _sort(own) or _sort(set(stems(heard.sentence(p.count.start_s, p.count.text))) | set(stems(p.name)))
    if sort:
        return sort
    used = [i for i in log.items if i.kind == "material" and i.status == "used"]
    sorts = {s for i in used if (s := _sort(set(stems(i.name))))}
    if len(sorts) == 1:
        return sorts.pop()
    spoken = [
        (m.start_s, s)
        for i in used
        if (s := _sort(set(stems(i.name))))
        for m in i.mentions
        if p.count.start_s - _SPOKEN_S <= m.start_s <= p.count.start_s
    ]
    return max(spoken, default=(0.0, ""))[1] or _named_before(p, heard)


def _named_before(p: Said, heard: Heard) -> str:
    """The sort of the last material named in the minute before, where no item of the log tells: "the fabric is ..."."""
    at = heard.at(p.count.start_s, p.count.text)
    for k in range(at - 1, -1, -1):
        if heard.words[k].start_s < p.count.start_s - _SPOKEN_S:
            break
        if sort := _sort({heard.stemmed[k]}):
            return sort
    return ""


def _sort(found: set[str]) -> str:
    """The sort of material that ``found`` names."""
    for sort in ("leather", "sheet", "sawn", "cloth"):
        if found & words(sort):
            return sort
    return ""


def leather_pieces(log: Log, heard: Heard) -> list[Said]:
    """The pieces cut out of leather that have two sizes."""
    return [p for p in pieces(log, heard) if len(p.sizes) == 2 and _stuff(p, log, heard) == "leather"]


def cut_lists(
    log: Log, heard: Heard, unit: str, *, leather_done: bool = False, told: Collection[str] = frozenset()
) -> list[Draft]:
    """Sheets for the pieces said: boards for what is sawn, sheets for panels, hides by area, rows across the cloth for
    what is cut out of cloth. ``leather_done``: the leather stands in another sheet already; so do the pieces
    all of whose amounts (ids) are ``told``."""
    from buildlog.reckon.sheets import Draft, exact

    found = [p for p in pieces(log, heard) if not {m.id for m in (p.count, *p.sizes)} <= set(told)]
    if not found:
        return []
    drafts: list[Draft] = []
    square = {p.name for p in found if "square" in {*stems(p.name), *heard.around(p.sizes[0].start_s, "", 20)}}
    stuff = {id(p): _stuff(p, log, heard) for p in found}
    boards = [p for p in found if stuff[id(p)] == "sawn"]
    panels = [p for p in found if stuff[id(p)] == "sheet" and len(p.sizes) == 2]
    leather = leather_pieces(log, heard)
    boards += [p for p in found if stuff[id(p)] == "sheet" and len(p.sizes) != 2]
    if boards:
        drafts.append(_boards(boards, log, heard, unit))
    if panels:
        drafts.append(_sheets(panels, log, heard))
    if leather and not leather_done:
        draft = Draft(title="Leather by area")
        hides(leather, log, heard, draft)
        drafts.append(draft)
    sewn = [p for p in found if stuff[id(p)] == "cloth" and len(p.sizes) == 2]
    whole = yardage(sewn, log, heard, unit) if sewn else None
    if whole:
        drafts.append(whole)
    for p in found:
        if any(p is other for other in (*boards, *panels)) or p in leather or (whole and p in sewn):
            continue
        if stuff[id(p)] != "cloth" or (len(p.sizes) == 1 and p.name not in square):
            drafts.append(_running(p, log, heard))
            continue
        draft = Draft(title=f"{p.name[:1].upper()}{p.name[1:]} out of the width")
        count = Quantity(
            name=f"{p.name} count", value=exact(p.count), origin="said", start_s=p.count.start_s,
            text=heard.sentence(p.count.start_s, p.count.text),
        )  # fmt: skip
        width, length = p.sizes[0], p.sizes[-1]
        inputs = {"count": draft.add(count)}
        for local, m in (("piece_width", width), ("piece_length", length)):
            label = f"{p.name} {local.split('_')[1]}"
            inputs[local] = draft.add(
                Quantity(
                    name=label,
                    value=exact(m),
                    unit=m.unit,
                    origin="said",
                    start_s=m.start_s,
                    text=heard.sentence(m.start_s, m.text),
                )
            )
        inputs["fabric_width"] = draft.add(fabric_width(p.count, log, heard, unit))
        draft.results = [
            draft.add(Quantity(name=f"{p.name} rows", rule="pieces.rows", inputs=inputs, origin="computed")),
            draft.add(Quantity(name=f"{p.name} cloth", rule="pieces.cloth", inputs=inputs, origin="computed")),
        ]
        drafts.append(draft)
    return drafts


def yardage(found: Sequence[Said], log: Log, heard: Heard, unit: str) -> Draft | None:
    """All pieces of cloth in one layout, where its direction, repeat, shrinkage or a margin was spoken of."""
    from buildlog.reckon.sheets import Draft, said

    first = found[0].count.start_s
    near = [m for m in log.measurements if abs(m.start_s - first) <= _EXTRAS_S and m.value_max is None and m.value > 0]
    extras: dict[str, Quantity] = {}
    for m in near:
        told = {*stems(m.of), *stems(heard.sentence(m.start_s, m.text))}
        beside = {*stems(m.of), *stems(" ".join(heard.after(m.start_s, m.text, 2)))}
        if m.unit == "percent" and told & words("shrinking"):
            extras.setdefault("shrinkage", share(m, "shrinkage in per cent", heard))
        elif m.unit == "percent" and told & words("margin"):
            extras.setdefault("margin", share(m, "margin in per cent", heard))
        elif m.unit and dims_of(m) == LENGTH and "repeat" in beside:
            extras.setdefault("repeat", said(m, "repeat of the print", heard))
    for way in ("either_way", "one_way"):
        for phrase in sorted(words(way)):
            at = [
                heard.words[k].start_s for k in heard.places(phrase) if abs(heard.words[k].start_s - first) <= _EXTRAS_S
            ]
            if at and "nap" not in extras:
                q = Quantity(
                    name="direction of the cloth",
                    value=way,
                    origin="said",
                    start_s=at[0],
                    text=heard.sentence_at(at[0]),
                )
                extras["nap"] = q
    if not extras:
        return None
    draft = Draft(title="Cloth for the pieces")
    # Of cloth the width is said first; a list of parts has the length first.
    listed = _listed([Said(p.name, p.count, (p.sizes[1], p.sizes[0])) for p in found], heard)
    inputs = {"parts": draft.add(listed), "fabric_width": draft.add(fabric_width(found[0].count, log, heard, unit))}
    inputs |= {name: draft.add(q) for name, q in extras.items()}
    draft.results = [
        draft.add(Quantity(name="cloth", rule="yardage", inputs=inputs, origin="computed", start_s=first)),
        draft.add(Quantity(name="length of the layout", rule="yardage.laid", inputs=inputs, origin="computed")),
    ]
    return draft


def fabric_width(m: Measurement, log: Log, heard: Heard, unit: str) -> Quantity:
    """How wide the cloth is that ``m`` is about: as said near by, else to be asked."""
    from buildlog.reckon.sheets import said

    width = cloth_width(log, heard, m.start_s)
    if width is not None:
        return said(width, "fabric width", heard)
    text = heard.sentence(m.start_s, m.text)
    return Quantity(name="fabric width", unit=unit, origin="asked", start_s=m.start_s, text=text)


def _listed(found: Sequence[Said], heard: Heard) -> Quantity:
    """The pieces as one list of parts, with the sentences they were said in."""
    moments = " / ".join(dict.fromkeys(heard.sentence(p.count.start_s, p.count.text) for p in found))
    parts = "; ".join(_part(p) for p in found)
    return Quantity(name="parts", value=parts, origin="said", start_s=found[0].count.start_s, text=moments[:400])


def hides(found: Sequence[Said], log: Log, heard: Heard, draft: Draft) -> None:
    """Pieces of leather, by area, all together."""
    from buildlog.reckon.costs import wastage

    usual = "25 per cent, for the shape of a hide and its flaws"
    waste = Quantity(name="waste in per cent", value="25", origin="assumed", text=usual)
    said = wastage(found[0].count.start_s, log, heard)
    if said is not None:
        waste = share(said, "waste in per cent", heard)
    inputs = {"parts": draft.add(_listed(found, heard)), "waste": draft.add(waste)}
    draft.results += [
        draft.add(Quantity(name="leather", rule="leather_area", inputs=inputs, origin="computed")),
        draft.add(Quantity(name="leather net", rule="leather_area.net", inputs=inputs, origin="computed")),
    ]


def _boards(found: Sequence[Said], log: Log, heard: Heard, unit: str) -> Draft:
    """Lengths sawn out of boards."""
    from buildlog.reckon.sheets import Draft

    draft = Draft(title="Parts out of boards")
    parts = _listed(found, heard)
    first = found[0].count.start_s
    inputs = {
        "parts": draft.add(parts),
        "board": draft.add(
            Quantity(name="board length", unit=unit, origin="asked", start_s=first, text=parts.text[:240])
        ),
        "kerf": draft.add(_saw_cut(log, heard)),
    }
    draft.results = [
        draft.add(Quantity(name="boards", rule="boards", inputs=inputs, origin="computed")),
        draft.add(Quantity(name="parts length", rule="boards.total", inputs=inputs, origin="computed")),
    ]
    return draft


def _sheets(found: Sequence[Said], log: Log, heard: Heard) -> Draft:
    """Panels sawn out of sheets: of the size said, else of the usual one."""
    from buildlog.reckon.sheets import Draft, said

    draft = Draft(title="Parts out of sheets")
    inputs = {"parts": draft.add(_listed(found, heard))}
    lengths = [m for m in log.measurements if m.unit and dims_of(m) == LENGTH and m.value_max is None]
    pairs = [
        (a, b)
        for a, b in itertools.pairwise(lengths)
        if joined(a, b, heard) and heard.around(a.start_s, a.text, 8) & {"sheet", "plywood", "ply", "board"}
        and min(amount_of(a).value("inch"), amount_of(b).value("inch")) >= _SMALLEST_SHEET
    ]  # fmt: skip
    if pairs:
        narrow, wide = sorted(pairs[0], key=lambda m: amount_of(m).base)
        inputs["sheet_width"] = draft.add(said(narrow, "width of a sheet", heard))
        inputs["sheet_length"] = draft.add(said(wide, "length of a sheet", heard))
    else:
        for key, value in (("width", "48"), ("length", "96")):
            text = f"{value} in, the usual sheet of 4 ft by 8 ft"
            q = Quantity(name=f"{key} of a sheet", value=value, unit="inch", origin="assumed", text=text)
            inputs[f"sheet_{key}"] = draft.add(q)
    inputs["kerf"] = draft.add(_saw_cut(log, heard))
    inputs["grain"] = draft.add(
        Quantity(name="grain", value="along", origin="assumed", text="along the sheet, so no piece is turned")
    )
    draft.results = [
        draft.add(Quantity(name="sheets", rule="sheets", inputs=inputs, origin="computed")),
        draft.add(Quantity(name="used", rule="sheets.used", inputs=inputs, origin="computed")),
    ]
    return draft


def share(m: Measurement, name: str, heard: Heard) -> Quantity:
    """A share that was said, as the bare number of hundredths that the rules ask for."""
    from buildlog.reckon.sheets import said

    q = said(m, name, heard)
    q.unit = None
    return q


def _saw_cut(log: Log, heard: Heard) -> Quantity:
    """What a cut takes: as said ("its kerf is two millimetres"), else an eighth of an inch."""
    from buildlog.reckon.sheets import said

    for m in log.measurements:
        before = {*heard.before(m.start_s, m.text, 4)}
        told = {*stems(m.of), *stems(" ".join(heard.after(m.start_s, m.text, 2)))} & words("saw_cut")
        told |= before & words("sawing") if before & words("taking") else set()
        if told and m.unit and dims_of(m) == LENGTH and 0 < amount_of(m).value("inch") <= _WIDEST_CUT:
            return said(m, "saw cut", heard)
    return Quantity(name="saw cut", value="1/8", unit="inch", origin="assumed", text="1/8 in a cut")


def _running(p: Said, log: Log, heard: Heard) -> Draft:
    """So many times one length, for webbing, cord, leather strips and the like; of what has two sizes, the area."""
    from buildlog.reckon.sheets import Draft, exact, said

    draft = Draft()
    count = draft.add(
        Quantity(
            name=f"{p.name} count", value=exact(p.count), origin="said", start_s=p.count.start_s, text=p.count.text
        )
    )
    if len(p.sizes) == 2:
        sides = [
            draft.add(said(m, f"{p.name} {w}", heard)) for m, w in zip(p.sizes, ("size", "size across"), strict=True)
        ]
        inputs = {"count": count, "size": sides[0], "size across": sides[1]}
        rule = "= count x size x size across"
        draft.results = [draft.add(Quantity(name=f"{p.name} area in all", rule=rule, inputs=inputs, origin="computed"))]
        return draft
    size = draft.add(said(p.sizes[0], f"{p.name} size", heard))
    inputs, rule = {"size": size, "count": count}, "= count x size"
    if _allowances_to_add(p.sizes[0], heard):
        seams = [m for m in log.measurements if m.unit and "seam" in stems(m.of) and dims_of(m) == LENGTH]
        inputs["seam"] = draft.add(
            said(seams[0], "seam allowance", heard)
            if len({(exact(m), m.unit) for m in seams}) == 1
            else Quantity(
                name="seam allowance",
                unit=p.sizes[0].unit,
                origin="asked",
                start_s=p.sizes[0].start_s,
                text=heard.sentence(p.sizes[0].start_s, p.sizes[0].text),
            )
        )
        rule = "= count x (size + 2 x seam)"
    draft.results = [draft.add(Quantity(name=f"{p.name} in all", rule=rule, inputs=inputs, origin="computed"))]
    return draft


def _allowances_to_add(m: Measurement, heard: Heard) -> bool:
    """ "twenty-two inches plus seam allowances": the size is a finished one. Without such words it is as cut."""
    behind = heard.after(m.start_s, m.text, 5)
    return behind[:1] == ["plus"] and bool({"seam", "seams", "allowance", "allowances"} & set(behind))


def _part(p: Said) -> str:
    from buildlog.reckon.sheets import exact

    units = {m.unit for m in p.sizes}
    sizes = [fraction(Fraction(exact(m))) + ("" if len(units) == 1 else f" {written(m.unit)}") for m in p.sizes]
    size = " x ".join(sizes) + (f" {written(units.pop())}" if len(units) == 1 else "")
    label = re.sub(r"[^\w \-]", " ", p.name)
    return f"{int(p.count.value)} {label} @ {size}"
