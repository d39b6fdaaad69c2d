"""Score what is said of items: what stands in for what, sources, prices, and the amounts tied to them.

    python benchmarks/items.py [dev|unseen|FOLDER] [--misses]

Precision and recall over a folder of narrations with answer sheets, beside what a plain reader would do in the same run:
the nearest other item of the sentence stands in for an offered or weighed one, a price or an amount belongs to the item
named nearest, and a source is told by its plain word in a sentence that names the item. The plain reader is given our
items and statuses, so only the tying differs. ``--misses`` is refused for the unseen half.

An entry is right where
  instead_of  both its names are alike those of a pair of the sheet
  source      the item's name is alike and the source is of the same sort (bought, stash, offcut, given)
  price       the item's name is alike and sum and currency are the same; "price for" is scored on those
              of these whose sheet says for how much it is
  quantity    the amount is one of the sheet's (value, unit, within 6 s) and the item is the one that its ``of`` names;
              only amounts whose ``of`` names one item of the sheet are scored
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from score import Entry, alike, match_measurement, names, pair, stems

from buildlog.listen.transcript import read as read_transcript
from buildlog.tag.items import Gathered
from buildlog.tag.pipeline import tag
from buildlog.tag.view import View, view_of

HOME = Path(__file__).resolve().parents[1] / "tests" / "narrations"
SORTS = {
    "bought": "bought shop market yard sale clearance store".split(),
    "stash": "stash old home made firewood".split(),
    "offcut": "offcut remnant salvaged scrap".split(),
    "given": "inherited donated friend grandad sister nan mum dad uncle borrowed brother given".split(),
}
KINDS = ("instead_of", "source", "price", "price for", "quantity")
Said = list[tuple[str, Entry]]  # (what it is scored as, entry)


def sort_of(source: str) -> str:
    """The sort of a source that a sheet or the reading gives in free words."""
    words = source.lower().replace("'s", "").replace("-", " ").split()
    return next((sort for sort in ("bought", "given", "offcut", "stash") if set(words) & set(SORTS[sort])), source)


def entries(items: list[Entry], amounts: list[Entry]) -> Said:
    """What ``items`` and ``amounts`` say, as entries to match. ``instead_of`` and an amount's ``item`` are items here."""
    out: Said = []
    for item in items:
        if item.get("instead_of"):
            out.append(("instead_of", {"item": item, "base": item["instead_of"]}))
        if item.get("source"):
            out.append(("source", {"item": item, "sort": sort_of(item["source"])}))
        if item.get("price"):
            out.append(("price", {"item": item, **item["price"]}))
    out += [("quantity", a) for a in amounts if a.get("item")]
    return out


def sheet_of(gold: Entry) -> tuple[list[Entry], list[Entry]]:
    """Items and amounts of a sheet; what stands for an item by name becomes the item."""

    items = [dict(i) for i in gold["items"]]
    for item in items:
        base = item.get("instead_of")
        if base:
            others = [i for i in gold["items"] if i["name"] != item["name"]]
            near = max(others, key=lambda i: (i["name"] == base, alike([base], [i["name"]]), alike([base], names(i))))
            item["instead_of"] = near if alike([base], names(near)) else {"name": base}
    amounts = []
    for a in gold.get("measurements", []):
        named = [
            i for i in gold["items"] if a.get("of") and any(set(stems(n)) == set(stems(a["of"])) for n in names(i))
        ]
        amounts.append({**a, "item": named[0] if len(named) == 1 else None})
    return items, amounts


def found_by(doc: Any, v: View, tie: Callable[[View, list[Gathered], list[Any]], Entry] | None) -> Any:
    """Items and amounts of a reading; ``tie`` is the plain reader that says what belongs to what."""
    gathered: list[Gathered] = doc._.items
    plain = tie(v, gathered, doc._.amounts) if tie else None
    items: list[Entry] = [{"name": g.name, "aliases": g.aliases, "kind": g.kind, "status": g.status} for g in gathered]
    of_amount = {n: k for k, g in enumerate(gathered) for n in g.amounts} if plain is None else plain["amounts"]
    for k, g in enumerate(gathered):
        base = g.instead_of if plain is None else plain["instead_of"].get(k)
        price = g.price if plain is None else plain["price"].get(k)
        items[k]["source"] = g.source if plain is None else plain["source"].get(k)
        items[k]["instead_of"] = items[base] if base is not None else None
        if price is not None:
            a = doc._.amounts[price]
            items[k]["price"] = {"amount": float(a.value), "currency": a.currency, "per": a.per}
    amounts = [
        {
            "start_s": float(v.start_s[a.start]), "value": float(a.value), "unit": a.unit, "text": a.text,
            "value_max": None if a.value_max is None else float(a.value_max),
            "item": items[of_amount[n]] if n in of_amount else None,
        }
        for n, a in enumerate(doc._.amounts) if a.measured
    ]  # fmt: skip
    return items, amounts


def plain_reader(v: View, items: list[Gathered], amounts: list[Any]) -> Entry:
    """Nearest other item of the sentence, nearest item, plain words of sources."""
    spots = sorted((m.start, k) for k, g in enumerate(items) for m in g.mentions)
    out: Entry = {"instead_of": {}, "price": {}, "source": {}, "amounts": {}}
    for k, g in enumerate(items):
        near = [
            (abs(at - m.start), n)
            for m in g.mentions for at, n in spots if n != k and v.sent_of[at] == v.sent_of[m.start]
        ]  # fmt: skip
        if g.status == "substitute" and near:
            out["instead_of"][k] = min(near)[1]
        elif g.status == "considered" and near:
            out["instead_of"].setdefault(min(near)[1], k)
        for m in g.mentions:
            said = set(v.low[slice(*v.sents[v.sent_of[m.start]])])
            for word, source in (("bought", "bought"), ("stash", "stash"), ("offcut", "offcut"), ("gave", "given")):
                if word in said:
                    out["source"].setdefault(k, source)
    for n, a in enumerate(amounts):
        if spots and (a.measured or a.kind == "price"):
            k = min(spots, key=lambda s: abs(s[0] - a.start))[1]
            if a.kind == "price":
                out["price"].setdefault(k, n)
            else:
                out["amounts"][n] = k
    return out


def same_item(a: Entry, b: Entry) -> float:
    return alike(names(a), names(b))


def bought_for(price: Entry) -> str:
    """What a price buys, in a form to compare: the sheets' ``for`` is a number, ``per`` words."""
    return " ".join(stems(str(price.get("per") or f"{price.get('for') or 1:g}"))) or "1"


def matches(kind: str) -> Callable[[Entry, Entry], float]:
    def match(a: Entry, b: Entry) -> float:
        close = same_item(a["item"], b["item"])
        if kind == "instead_of":
            return min(close, same_item(a["base"], b["base"]))
        if kind == "source":
            return close if a["sort"] == b["sort"] else 0.0
        if kind == "price":
            return close if abs(a["amount"] - b["amount"]) < 1e-6 and a["currency"] == b["currency"] else 0.0
        return min(close, match_measurement(a, b))

    return match


def tell(kind: str, e: Entry) -> str:
    name = f"{e['item'].get('status', '')} {e['item']['name']}"
    if kind == "instead_of":
        return f"{name} <- {e['base']['name']}"
    return f"{name}: " + str(e.get("sort") or e.get("text") or (e.get("amount"), e.get("per") or e.get("for")))


class Counts:
    """Right, in the sheets, and found, for each kind; and what was missed or too much."""

    def __init__(self) -> None:
        self.all = {k: [0, 0, 0] for k in KINDS}
        self.misses: list[str] = []

    def add(self, gold: Said, got: Said, amounts: Iterable[Entry], label: str) -> None:
        for kind in KINDS:
            g, h = ([e for k, e in side if k == kind] for side in (gold, got))
            if kind == "price for":
                continue
            if kind == "quantity":  # only amounts whose item the sheet tells
                h = [e for e in h if any(match_measurement(a, e) for a in amounts if a["item"])]
            hits = pair(g, h, matches(kind))
            self._count(kind, len(hits), len(g), len(h))
            if kind == "price":
                hits_for = [(i, j) for i, j in hits if g[i].get("per") or g[i].get("for")]
                right = [(i, j) for i, j in hits_for if bought_for(g[i]) == bought_for(h[j])]
                self._count("price for", len(right), len(hits_for), len([j for _, j in hits_for if h[j].get("per")]))
                self.misses += [
                    f"{label} price for: {tell(kind, g[i])} read as {h[j].get('per')}"
                    for i, j in hits_for
                    if (i, j) not in right
                ]
            left, over = {i for i, _ in hits}, {j for _, j in hits}
            self.misses += [f"{label} {kind}: - {tell(kind, e)}" for i, e in enumerate(g) if i not in left]
            self.misses += [f"{label} {kind}: + {tell(kind, e)}" for j, e in enumerate(h) if j not in over]

    def _count(self, kind: str, *more: int) -> None:
        self.all[kind] = [a + b for a, b in zip(self.all[kind], more, strict=True)]

    def table(self) -> str:
        lines = [f"{'':12}{'P':>7}{'R':>7}{'F1':>7}{'right':>7}{'gold':>7}{'found':>7}"]
        for kind, (hit, gold, found) in self.all.items():
            p, r = hit / found if found else 0.0, hit / gold if gold else 0.0
            f1 = 2 * hit / (gold + found) if gold + found else 0.0
            lines.append(f"{kind:12}{p:7.3f}{r:7.3f}{f1:7.3f}{hit:7}{gold:7}{found:7}")
        return "\n".join(lines)


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    p.add_argument("half", nargs="?", default="dev")
    p.add_argument("--misses", action="store_true")
    a = p.parse_args()
    if a.misses and "unseen" in a.half:
        p.error("the unseen half is only looked at as a score; use --misses with dev")
    folder = Path(a.half) if Path(a.half).is_dir() else HOME / a.half
    ours, plain = Counts(), Counts()
    for path in sorted(folder.glob("*.txt")):
        sheet = path.with_suffix("").with_suffix(".answers.json")
        if not sheet.is_file():
            continue
        items, amounts = sheet_of(json.loads(sheet.read_text(encoding="utf-8")))
        gold = entries(items, amounts)
        doc = tag(read_transcript(path)).doc
        v = view_of(doc)
        ours.add(gold, entries(*found_by(doc, v, None)), amounts, path.stem[:2])
        plain.add(gold, entries(*found_by(doc, v, plain_reader)), amounts, path.stem[:2])
    print(ours.table())
    print("\nplain reader\n" + plain.table())
    if a.misses:
        print("\n".join(ours.misses))


if __name__ == "__main__":
    main()
