"""Reading of text that others wrote and marked: lab protocols and recipes, which our rules were not written for.

    uv run python benchmarks/transfer.py PATH [--limit N]

PATH holds one or both of these, as their repositories give them (MIT both; fetch them yourself, none of it is kept here):

  WNUT2020_WLP   github.com/jeniyat/WNUT_2020_NER, data/test_data_2020/Standoff_Format (*.txt with *.ann)
  TASTEset       github.com/taisti/TASTEset, data/TASTEset.csv

Texts become timed lines at an even pace and run through the tag stage and the outline. A recipe's lines, which are no sentences,
are said as "We need 5 ounces rum." Marks count as found where words overlap, one to one.

  actions       gold Action verbs that stand in a step as one of its words; precision: steps with an Action in them
  things        gold Reagent and Device (FOOD in recipes) among our mentions of materials and tools. A mention of ours that only
                overlaps another marked noun (Location, Seal, Mention, Method, Modifier) counts neither way
  kind          of the things found, the share with the right kind (Reagent and FOOD: material; Device: tool)
  amounts       gold Amount, Time and Temperature (QUANTITY) among the amounts read; precision: amounts that overlap any
                number marked. Concentrations are not asked for
  value, unit   of the gold amounts that Pint's registry and plain number grammar read without doubt ("5 mL", "1 1/2 cups"),
                right, wrong, and not read

Beside it: actions, every word tagged as a verb; things, every noun phrase that the lexicon knows; amounts, quantulum3.
For scale: the best systems trained on these protocols reach F1 0.78 on exact spans of all kinds (WNUT-2020 shared task),
and 0.95 on TASTEset; we are trained on neither and our kinds are others.
"""

from __future__ import annotations

import argparse
import csv
import functools
import json
import re
import sys
import unicodedata
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any

from score import stems

from buildlog.document import Line, Word

PACE = 15.0  # characters a second: an ordinary reading pace
Span = tuple[int, int]
Number = tuple[float, str]
THINGS = {"Reagent": "material", "Device": "tool", "FOOD": "material"}
AMOUNTS = frozenset(["Amount", "Time", "Temperature", "QUANTITY"])
NUMBERS = AMOUNTS | {"Concentration", "Speed", "Size", "pH", "Generic-Measure", "Numerical", "Measure-Type"}
NEITHER = frozenset(["Location", "Seal", "Mention", "Method", "Modifier", "PHYSICAL_QUALITY", "PROCESS", "PART"])


@dataclass
class Text:
    """A marked text: ``marks`` are (kind, start, end) in characters; ``sure`` a gold value and unit by mark."""

    text: str
    marks: list[tuple[str, int, int]]
    sure: dict[Span, Number] = field(default_factory=dict)


@dataclass
class Read:
    """What was found, in characters of the text."""

    actions: list[tuple[Span, set[str]]] = field(default_factory=list)
    things: list[tuple[Span, str]] = field(default_factory=list)
    amounts: list[tuple[Span, list[Number]]] = field(default_factory=list)


# -- the marked texts -------------------------------------------------------------------------------------------------


def protocols(folder: Path) -> Iterable[Text]:
    for path in sorted(folder.glob("*.txt")):
        text, marks = path.read_text("utf-8"), []
        for row in path.with_suffix(".ann").read_text("utf-8").splitlines():
            if row.startswith("T"):
                kind, *ends = re.split(r"[ ;]", row.split("\t")[1])
                marks.append((kind, int(ends[0]), int(ends[-1])))
        sure = {}
        for kind, a, b in marks:
            if kind in AMOUNTS and (number := plainly(text[a:b])):
                sure[a, b] = number
        yield Text(text, marks, sure)


def recipes(path: Path) -> Iterable[Text]:
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        old, new, moved = row["ingredients"], "", {}
        for match in re.finditer(r"[^\n]+", old):
            new += "We need "
            for i in range(match.start(), match.end()):
                moved[i] = len(new) + i - match.start()
            new += match[0].rstrip() + ".\n"
        marks = []
        for e in json.loads(row["ingredients_entities"]):
            if e["start"] in moved and e["end"] - 1 in moved:
                marks.append((e["type"], moved[e["start"]], moved[e["end"] - 1] + 1))
        marks.sort(key=lambda m: m[1])
        sure = {}
        for (kind, a, b), after in zip(marks, [*marks[1:], ("", 0, 0)], strict=True):
            if kind != "QUANTITY":
                continue
            joined = after[0] == "UNIT" and new[b : after[1]].strip() == ""
            if joined and (number := plainly(new[a : after[2]])):
                sure[a, b] = number
        yield Text(new, marks, sure)


_NUMBER = re.compile(r"(?:(\d+)\s+)?(\d+)\s*/\s*(\d+)|\d+(?:\.\d+)?")


@functools.cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()


def plainly(text: str) -> Number | None:
    """Value and unit of "5 mL", "1 1/2 cups", "30 min", "37°C" by Pint's names; ``None`` for all less plain."""
    vulgar = "".join(f" {unicodedata.normalize('NFKC', c)}" if unicodedata.category(c) == "No" else c for c in text)
    vulgar = vulgar.replace("\u2044", "/").strip()
    match = _NUMBER.match(vulgar)
    unit = vulgar[match.end() :].strip().rstrip(".") if match else ""
    if match is None or not unit or not re.fullmatch(r"[A-Za-zµμ°º]+", unit):
        return None
    whole, top, bottom = match.groups()
    value = Fraction(int(whole or 0)) + Fraction(int(top), int(bottom)) if top else Fraction(match[0])
    named = {"°c": "degree_Celsius", "ºc": "degree_Celsius", "mins": "minute", "hrs": "hour", "hr": "hour", "secs": "second",
             "sec": "second", "lbs": "pound", "c": "", "t": "", "h": "hour", "m": ""}.get(unit.lower())  # fmt: skip
    if named is None:
        named = unit.lower() if unit.lower().rstrip("s") in _SPELT else unit
    if not named or named.lower().rstrip("s") in _NO_UNITS or not unit_name(named):
        return None
    return float(value), unit_name(named)


_NO_UNITS = frozenset(["pinch", "bag"])  # to Pint a pico-inch, and a measure of cement
_SPELT = frozenset(
    "cup teaspoon tablespoon ounce pound gram kilogram minute hour second day week milliliter liter inch pint quart gallon "
    "milligram microliter microgram min".split()
)


@functools.cache
def unit_name(name: str | None) -> str:
    """The unit as Pint names it ("hour", "centimeter ** 3"), or "" where Pint knows none. quantulum3's names are others."""
    if not name or name in ("dimensionless", "unk"):
        return ""
    name = {"degree celsius": "degree_Celsius", "degree fahrenheit": "degree_Fahrenheit", "pound-mass": "pound",
            "cubic centimetre": "milliliter", "minute of arc": "arcminute"}.get(name.lower(), name)  # fmt: skip
    try:
        return str(_registry().Unit(name.replace("litre", "liter").replace("metre", "meter")))
    except Exception:  # Pint has many ways to say that it does not know a word
        return ""


def same(a: Number, b: Number) -> bool:
    """Equal amounts, in whatever units: 1 cubic centimetre is 1 mL."""
    if a[1] == b[1]:
        return abs(a[0] - b[0]) <= 1e-4 * max(1.0, abs(b[0]))
    unit = _registry().Unit
    if not a[1] or not b[1] or unit(a[1]).dimensionality != unit(b[1]).dimensionality or "degree" in a[1] + b[1]:
        return False
    return bool(abs((a[0] * unit(a[1])).m_as(b[1]) - b[0]) <= 1e-4 * max(1.0, abs(b[0])))


# -- ours and the baselines ---------------------------------------------------------------------------------------------


def timed(text: str) -> list[Line]:
    """The text's lines at an even pace: a word's times say at which characters it stands."""
    lines = []
    for row in re.finditer(r"[^\n]+", text):
        words = [
            Word(start_s=(row.start() + m.start()) / PACE, end_s=(row.start() + m.end()) / PACE, text=m[0])
            for m in re.finditer(r"\S+", row[0])
        ]
        if words:
            lines.append(Line(start_s=words[0].start_s, end_s=words[-1].end_s, text=row[0], words=words))
    return lines


def ours_and_lexicon(text: str) -> tuple[Read, Read]:
    """Our reading, and the plain tagger's of the same parse."""
    from buildlog.outline import outline
    from buildlog.tag.lexicon import Lexicon
    from buildlog.tag.pipeline import tag
    from buildlog.tag.view import view_of

    lines, lexicon = timed(text), Lexicon.load()
    doc = tag(lines).doc
    v = view_of(doc)

    def characters(a: int, b: int) -> Span:
        return round(v.start_s[a] * PACE), round(v.end_s[b - 1] * PACE)

    ours, plain = Read(), Read()
    for step in outline(doc, duration_s=lines[-1].end_s).steps:
        ours.actions.append(((round(step.start_s * PACE) - 1, round(step.end_s * PACE) + 1), set(stems(step.text))))
    for g in doc._.items or []:
        ours.things += [(characters(m.start, m.end), g.kind) for m in g.mentions]
    for a in doc._.amounts or []:
        high = [] if a.value_max is None else [(float(a.value_max), unit_name(a.unit))]
        ours.amounts.append((characters(a.start, a.end), [(float(a.value), unit_name(a.unit)), *high]))
    plain.actions = [(characters(i, i + 1), set(stems(v.text[i]))) for i, pos in enumerate(v.pos) if pos == "VERB"]
    for chunk in doc.noun_chunks:
        root = chunk.root.i
        mods = [v.lemma[i] for i in range(chunk.start, root) if v.pos[i] in ("NOUN", "ADJ", "PROPN")]
        kind, _ = lexicon.classify(v.lemma[root], mods)
        if kind in ("material", "tool"):
            plain.things.append((characters(chunk.start, root + 1), kind))
    return ours, plain


def quantulum(text: str) -> list[tuple[Span, list[Number]]]:
    from quantulum3 import parser

    found = []
    for row in re.finditer(r"[^\n]+", text):
        try:
            quantities = parser.parse(row[0])
        except Exception:  # it fails on some texts; what it cannot read counts as not read
            continue
        for q in quantities:
            values = [q.value] if not q.uncertainty else [q.value - q.uncertainty, q.value + q.uncertainty]
            span = (row.start() + q.span[0], row.start() + q.span[1])
            found.append((span, [(float(value), unit_name(q.unit.name)) for value in values]))
    return found


# -- counting --------------------------------------------------------------------------------------------------------------


def _overlap(a: Span, b: Span) -> int:
    return min(a[1], b[1]) - max(a[0], b[0])


def _pairs(gold: Sequence[Span], got: Sequence[Span]) -> list[tuple[int, int]]:
    """One to one, the largest overlap first."""
    scored = sorted(
        ((_overlap(g, h), i, j) for i, g in enumerate(gold) for j, h in enumerate(got) if _overlap(g, h) > 0),
        key=lambda t: -t[0],
    )
    left: set[int] = set()
    right: set[int] = set()
    out = []
    for _, i, j in scored:
        if i not in left and j not in right:
            left.add(i)
            right.add(j)
            out.append((i, j))
    return out


@dataclass
class Count:
    """``hit`` of ``gold`` found; of ``found``, ``sound`` are no mistake."""

    gold: int = 0
    hit: int = 0
    found: int = 0
    sound: int = 0

    def row(self) -> str:
        p, r = self.sound / max(1, self.found), self.hit / max(1, self.gold)
        return f"{p:7.3f}{r:7.3f}{2 * p * r / max(1e-9, p + r):7.3f}{self.gold:7}{self.found:7}"


class Score:
    """The counts of one reader."""

    def __init__(self) -> None:
        self.counts = {name: Count() for name in ("actions", "things", "amounts")}
        self.kind_right = 0
        self.value = {"right": 0, "wrong": 0, "not read": 0}
        self.wrong: list[str] = []
        self.unread: Counter[str] = Counter()

    def add(self, t: Text, r: Read) -> None:
        self._actions(t, r)
        self._things(t, r)
        self._amounts(t, r)

    def _actions(self, t: Text, r: Read) -> None:
        gold = [(a, b) for kind, a, b in t.marks if kind == "Action"]
        c = self.counts["actions"]
        c.gold += len(gold)
        c.found += len(r.actions)
        c.hit += sum(
            any(_overlap(g, s) > 0 and words & set(stems(t.text[slice(*g)])) for s, words in r.actions) for g in gold
        )
        c.sound += sum(any(_overlap(g, s) > 0 for g in gold) for s, _ in r.actions)

    def _things(self, t: Text, r: Read) -> None:
        gold = [(kind, (a, b)) for kind, a, b in t.marks if kind in THINGS]
        other = [(a, b) for kind, a, b in t.marks if kind in NEITHER]
        got = [(span, kind) for span, kind in r.things if kind in ("material", "tool")]
        pairs = _pairs([g for _, g in gold], [s for s, _ in got])
        self.kind_right += sum(THINGS[gold[i][0]] == got[j][1] for i, j in pairs)
        matched = {j for _, j in pairs}
        # A second mention inside one long mark, or one that only touches another marked noun, is no mistake of its own.
        neutral = [
            j
            for j, (s, _) in enumerate(got)
            if j not in matched and any(_overlap(s, o) > 0 for o in [*other, *(g for _, g in gold)])
        ]
        c = self.counts["things"]
        c.gold += len(gold)
        c.hit += len(pairs)
        c.found += len(got) - len(neutral)
        c.sound += len(pairs)

    def _amounts(self, t: Text, r: Read) -> None:
        gold = [(a, b) for kind, a, b in t.marks if kind in AMOUNTS]
        numbers = [(a, b) for kind, a, b in t.marks if kind in NUMBERS]
        c = self.counts["amounts"]
        c.gold += len(gold)
        c.found += len(r.amounts)
        c.hit += sum(any(_overlap(g, s) > 0 for s, _ in r.amounts) for g in gold)
        c.sound += sum(any(_overlap(s, n) > 0 for n in numbers) for s, _ in r.amounts)
        for span, want in t.sure.items():
            read = [value for s, values in r.amounts if _overlap(span, s) > 0 for value in values]
            outcome = "right" if any(same(number, want) for number in read) else "wrong" if read else "not read"
            self.value[outcome] += 1
            if outcome == "not read":
                self.unread[want[1]] += 1
            if outcome != "right":
                around = t.text[max(0, span[0] - 12) : span[1] + 20].replace("\n", " / ")
                self.wrong.append(f"{outcome}: {want} read as {read} in …{around}…")

    def table(self, names: Sequence[str]) -> str:
        rows = [f"{'':12}{'P':>7}{'R':>7}{'F1':>7}{'gold':>7}{'found':>7}"]
        rows += [f"{name:12}{self.counts[name].row()}" for name in names if self.counts[name].gold]
        if "things" in names and self.counts["things"].hit:
            rows.append(f"{'kind right':12}{self.kind_right / self.counts['things'].hit:7.3f}")
        n = sum(self.value.values())
        if "amounts" in names and n:
            rows.append("value, unit " + ", ".join(f"{k} {c / n:.3f}" for k, c in self.value.items()) + f" (of {n})")
            if self.unread:
                rows.append("not read: " + ", ".join(f"{unit} {c}" for unit, c in self.unread.most_common(5)))
        return "\n".join(rows)


def compare(name: str, texts: Iterable[Text], misses: int) -> None:
    ours, lexicon, other, words, count = Score(), Score(), Score(), 0, 0
    for t in texts:
        words, count = words + len(t.text.split()), count + 1
        mine, plain = ours_and_lexicon(t.text)
        ours.add(t, mine)
        lexicon.add(t, plain)
        other.add(t, Read(amounts=quantulum(t.text)))
    print(f"\n{name}: {count} texts, {words} words\n\nours\n{ours.table(('actions', 'things', 'amounts'))}")
    print(f"\nevery verb; every noun phrase the lexicon knows\n{lexicon.table(('actions', 'things'))}")
    print(f"\nquantulum3\n{other.table(('amounts',))}", flush=True)
    if misses:
        print("\n".join(ours.wrong[:: max(1, len(ours.wrong) // misses)]))


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("path", type=Path)
    parser.add_argument("--limit", type=int, help="only the first N texts of each")
    parser.add_argument("--misses", type=int, default=0, help="show about so many values that are not right")
    a = parser.parse_args()
    sheets = sorted(a.path.rglob("TASTEset.csv"))
    folders = sorted({p.parent for p in a.path.rglob("protocol_*.ann")})
    if not sheets and not folders:
        parser.error(f"neither protocol_*.ann nor TASTEset.csv under {a.path}; the help says where to get them")
    for folder in folders:
        compare(f"WNUT-2020 lab protocols ({folder.name})", list(protocols(folder))[: a.limit], a.misses)
    for sheet in sheets:
        compare("TASTEset recipes", list(recipes(sheet))[: a.limit], a.misses)
    return 0


if __name__ == "__main__":
    sys.exit(main())
