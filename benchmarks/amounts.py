"""Amounts: ours beside quantulum3 on the case files, on the development narrations, and in words a second.

    uv run python benchmarks/amounts.py [--misses] [--no-speed]
    uv run python benchmarks/amounts.py --corpus [--every N] [--misses]

A case of ``tests/amounts/*.jsonl`` is a sentence and what must come out, one string an amount:
``[?][~]value[..max] [unit] [(word of what it is of)]``, or ``price: [~]value[..max] [CUR][/per]``, ``total: ...``,
``size: words``. ``?`` says that the value may only be given with low confidence, ``~`` that it is approximate.
A case is right when the amounts match one to one with nothing over; it is *wrong in silence* when a value that was
not said comes out with a confidence of 0.5 or more. quantulum3 is asked for values and units only, on the same
sentences, its prices and counts being let off (only measurements with a unit are compared for it too).

``--corpus`` takes the marks off the narrations the reader was trained on and finds their ``[Q ...]`` marks again: with
the rules alone, with the reader (who knows these narrations: its figures flatter), and, as a baseline, by taking every
number said for an amount. Marks carry no values, so only place and extent are judged, and the unit where the mark says
one. With ``--misses`` every miss, extra and other extent is printed with the phenomenon it shows.
"""

from __future__ import annotations

import argparse
import json
import re
import statistics
import sys
import time
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from buildlog.tag.amounts import Amount

ROOT = Path(__file__).resolve().parent.parent
CASES = ROOT / "tests" / "amounts"
NARRATIONS = ROOT / "tests" / "narrations" / "dev"
SURE = 0.5
NEAR_S = 6.0
_WANT = re.compile(
    r"(?:(?P<kind>price|total|size): )?(?P<doubt>\?)?(?P<about>~)?"
    r"(?P<value>\d+(?:\.\d+)?)(?:\.\.(?P<max>\d+(?:\.\d+)?))?"
    r"(?: (?P<unit>[A-Za-z_]+)(?=$| |/))?(?:/(?P<per>[\w ]+))?(?: \((?P<of>[^)]+)\))?"
)


def read_cases(name: str) -> list[dict[str, Any]]:
    """The cases of one file."""
    return [json.loads(line) for line in (CASES / f"{name}.jsonl").read_text(encoding="utf-8").splitlines() if line]


def _same(want: str, got: Amount) -> bool:
    if want.startswith("size: "):
        said = want.removeprefix("size: ").casefold()
        shown = f"{got.text} {got.of or ''} {float(got.value):g}".casefold()
        return got.kind == "size" and re.search(rf"(?<![\w.]){re.escape(said)}(?![\w.])", shown) is not None
    m = _WANT.fullmatch(want)
    assert m is not None, f"bad case: {want}"
    kind = m["kind"]
    if (kind or "") != (got.kind if got.kind in ("price", "total") else "") or got.kind == "size":
        return False
    top = None if m["max"] is None else float(m["max"])
    if abs(float(got.value) - float(m["value"])) > 1e-6 or (top is None) != (got.value_max is None):
        return False
    if top is not None and got.value_max is not None and abs(float(got.value_max) - top) > 1e-6:
        return False
    if got.approximate != bool(m["about"]) or bool(m["doubt"]) != (got.confidence < SURE):
        return False
    if kind:
        return (m["unit"] or None) == got.currency and (m["per"] is None or m["per"] == got.per)
    if (m["unit"] or None) != got.unit:
        return False
    return m["of"] is None or m["of"] in (got.of or "")


def judge(want: Sequence[str], got: Sequence[Amount]) -> tuple[bool, bool]:
    """(right, wrong in silence) for one case; ratios are another component's."""
    left = [g for g in got if g.kind != "ratio"]
    missed = False
    for w in want:
        hit = next((g for g in left if _same(w, g)), None)
        if hit is None:
            missed = True
        else:
            left.remove(hit)
    values = {v for w in want for v in re.findall(r"\d+(?:\.\d+)?", w)}
    silent = any(g.confidence >= SURE and f"{float(g.value):g}" not in values for g in left)
    return not missed and not left, silent


def pipeline() -> Callable[[str], Any]:
    """Text to a tagged ``Doc``."""
    from buildlog.tag.language import english
    from buildlog.tag.timed import doc_of

    nlp = english()

    def tagged(text: str) -> Any:
        doc = doc_of(text, nlp.tokenizer)
        for _, component in nlp.pipeline:
            doc = component(doc)
        return doc

    return tagged


def _quantulum() -> Callable[[str], list[tuple[float, str]]] | None:
    try:
        from quantulum3 import parser
    except ImportError:
        return None
    names = {
        "metre": "meter",
        "centimetre": "centimeter",
        "millimetre": "millimeter",
        "degree fahrenheit": "degree_Fahrenheit",
    }
    names |= {"degree celsius": "degree_Celsius", "pound-mass": "pound", "dimensionless": "", "percentage": "percent"}
    names |= {"degree angle": "degree", "litre": "liter", "millilitre": "milliliter", "thousandth of an inch": "thou"}

    def parse(text: str) -> list[tuple[float, str]]:
        try:
            found = parser.parse(text)
        except Exception:
            return []
        out = []
        for q in found:
            lows, unit = [q.value], names.get(q.unit.name, q.unit.name)
            if q.uncertainty:
                lows = [q.value - q.uncertainty, q.value + q.uncertainty]
            out += [(round(v, 6), unit) for v in lows]
        return out

    return parse


def _with_units(want: Sequence[str]) -> list[tuple[float, str]]:
    out = []
    for w in want:
        m = _WANT.fullmatch(w)
        if m and not m["kind"] and m["unit"]:
            out += [(float(v), m["unit"]) for v in (m["value"], m["max"]) if v]
    return out


def case_table(misses: bool) -> None:
    """Print cases right, ours and theirs, a line a file."""
    tagged = pipeline()
    from buildlog.tag import amounts

    theirs = _quantulum()
    print(f"{'cases':14}{'n':>5}{'right':>8}{'silent':>8} | with a unit: {'ours':>7}{'quantulum3':>12}")
    for path in sorted(CASES.glob("*.jsonl")):
        if path.stem.startswith("derived"):
            continue
        cases = read_cases(path.stem)
        right = silent = ours_unit = theirs_unit = with_unit = 0
        for case in cases:
            got = amounts.read(tagged(case["said"]))
            ok, quiet = judge(case["want"], got)
            right += ok
            silent += quiet
            if misses and (not ok or quiet):
                print(f"  - {case['said']}\n      want {case['want']}\n      got  {[shown(g) for g in got]}")
            wanted = sorted(_with_units(case["want"]))
            if wanted:
                with_unit += 1
                mine = sorted(
                    (float(v), g.unit) for g in got if g.measured and g.unit for v in (g.value, g.value_max) if v
                )
                ours_unit += [(round(v, 6), u) for v, u in mine] == [(round(v, 6), u) for v, u in wanted]
                if theirs:
                    read = sorted(t for t in theirs(case["said"]) if t[1])
                    theirs_unit += read == [(round(v, 6), u) for v, u in wanted]
        other = f"{theirs_unit:>8}/{with_unit}" if theirs else "not here"
        print(
            f"{path.stem:14}{len(cases):5}{right / len(cases):8.3f}{silent:8} |"
            f"{'':14}{ours_unit:>3}/{with_unit}{other:>12}"
        )


def shown(g: Amount) -> str:
    """One amount as a case would write it."""
    top = f"..{float(g.value_max):g}" if g.value_max is not None else ""
    about = ("?" if g.confidence < SURE else "") + ("~" if g.approximate else "")
    if g.kind == "size":
        return f"size: {g.text} ({g.of})"
    if g.kind in ("price", "total"):
        return f"{g.kind}: {about}{float(g.value):g}{top} {g.currency or ''}/{g.per} ({g.of})"
    return f"{about}{float(g.value):g}{top} {g.unit or ''} ({g.of}) [{g.kind}]"


def narration_words(path: Path) -> list[tuple[float, str]]:
    """(start in seconds, word) of a narration, times spread over each line's words by length."""
    lines = [re.match(r"\[(\d+):(\d+)\] (.*)", raw) for raw in path.read_text(encoding="utf-8").splitlines()]
    cues = [(int(m[1]) * 60 + int(m[2]), m[3]) for m in lines if m]
    out: list[tuple[float, str]] = []
    for k, (start, text) in enumerate(cues):
        words = text.split()
        end = min(cues[k + 1][0], start + 0.45 * len(words)) if k + 1 < len(cues) else start + 0.4 * len(words)
        size = sum(len(x) + 1 for x in words)
        at = float(start)
        for word in words:
            out.append((at, word))
            at += (len(word) + 1) * (end - start) / size
    return out


def narration_pairs() -> list[tuple[Path, Path]]:
    """Development narrations with their answer sheets."""
    found = [(p, p.with_name(p.stem + ".answers.json")) for p in sorted(NARRATIONS.glob("*.txt"))]
    return [(p, q) for p, q in found if q.exists()]


def match(gold: list[dict[str, Any]], got: list[dict[str, Any]]) -> list[tuple[int, int]]:
    """Pairs of equal value, upper value and unit within six seconds, nearest first."""

    def same(x: float | None, y: float | None) -> bool:
        return (x is None) == (y is None) and (x is None or y is None or abs(x - y) < 1e-4)

    near = sorted(
        (abs(g["start_s"] - h["start_s"]), i, j)
        for i, g in enumerate(gold)
        for j, h in enumerate(got)
        if abs(g["start_s"] - h["start_s"]) <= NEAR_S
        and same(g["value"], h["value"])
        and same(g.get("value_max"), h.get("value_max"))
        and g.get("unit") == h.get("unit")
    )
    left: set[int] = set()
    right: set[int] = set()
    hits = []
    for _, i, j in near:
        if i not in left and j not in right:
            left.add(i)
            right.add(j)
            hits.append((i, j))
    return hits


def read_narration(path: Path) -> tuple[Any, Callable[[int], float]]:
    """A tagged ``Doc`` of the narration, and the time of a token."""
    from buildlog.document import Word
    from buildlog.tag.language import english
    from buildlog.tag.timed import to_doc

    nlp = english()
    timed = narration_words(path)
    doc = to_doc(nlp.tokenizer, [Word(start_s=s, end_s=s, text=t) for s, t in timed], [0] * len(timed))
    for _, component in nlp.pipeline:
        doc = component(doc)
    starts = doc.user_data["start_s"]
    return doc, lambda i: float(starts[i])


def narration_table(misses: bool) -> None:
    """Print precision, recall and F1 of the measurements of the development narrations."""
    from buildlog.tag import amounts

    theirs = _quantulum()
    total = [0, 0, 0]
    other = [0, 0, 0]
    for path, sheet in narration_pairs():
        gold = json.loads(sheet.read_text(encoding="utf-8"))["measurements"]
        doc, when = read_narration(path)
        got = [
            {"start_s": when(g.start), "value": float(g.value), "unit": g.unit, "shown": f"{g.text!r} {shown(g)}"}
            | {"value_max": float(g.value_max) if g.value_max is not None else None}
            for g in amounts.read(doc)
            if g.measured and g.confidence >= SURE
        ]
        hits = match(gold, got)
        for k, add in enumerate((len(hits), len(gold), len(got))):
            total[k] += add
        if misses:
            print(f"{path.stem}: {len(hits)} of {len(gold)}, {len(got)} found")
            for i, g in enumerate(gold):
                if i not in {x for x, _ in hits}:
                    print(
                        f"    - {g['start_s']:6.1f} {g['text']!r} {g['value']} {g.get('value_max') or ''}"
                        f" {g['unit']} ({g['of']})"
                    )
            for j, h in enumerate(got):
                if j not in {x for _, x in hits}:
                    print(f"    + {h['start_s']:6.1f} {h['shown']}")
        if theirs:
            found = []
            for start, text in _sentences(path):
                found += [{"start_s": start, "value": v, "unit": u or None} for v, u in theirs(text)]
            for k, add in enumerate((len(match(gold, found)), len(gold), len(found))):
                other[k] += add
    print(f"\n{'development narrations':24}{'P':>7}{'R':>7}{'F1':>7}{'gold':>6}{'found':>7}")
    for name, (hit, gold_n, got_n) in (("ours", total), ("quantulum3", other)):
        if gold_n and got_n:
            p, r = hit / got_n, hit / gold_n
            print(f"{name:24}{p:7.3f}{r:7.3f}{2 * p * r / max(p + r, 1e-9):7.3f}{gold_n:6}{got_n:7}")


def _sentences(path: Path) -> list[tuple[float, str]]:
    """The narration in lines, as (start, text), for the baseline, which reads plain text."""
    lines = [re.match(r"\[(\d+):(\d+)\] (.*)", raw) for raw in path.read_text(encoding="utf-8").splitlines()]
    return [(int(m[1]) * 60 + int(m[2]), m[3]) for m in lines if m]


def speed() -> None:
    """Print words a second of the component alone (median of five), and of quantulum3."""
    from buildlog.tag import amounts
    from buildlog.tag.language import english

    text = " ".join(" ".join(w for _, w in narration_words(p)) for p, _ in narration_pairs())
    if not text:
        return
    text = (text + " ") * max(1, 20_000 // len(text.split()))
    doc = english().make_doc(text)
    words = len(text.split())
    runs = []
    for _ in range(5):
        began = time.perf_counter()
        amounts.read(doc)
        runs.append(words / (time.perf_counter() - began))
    print(f"\nwords a second, component alone: {statistics.median(runs):,.0f} (median of 5, {words:,} words)")
    theirs = _quantulum()
    if theirs:
        part = text.split()[:1500]
        began = time.perf_counter()
        for k in range(0, len(part), 15):
            theirs(" ".join(part[k : k + 15]))
        print(f"quantulum3: {len(part) / (time.perf_counter() - began):,.0f} (1,500 words, 15 at a time)")


@dataclass
class Marked:
    """A narration without its marks; (start, end) of the ``[Q ...]`` marks and of the named items, in characters."""

    name: str
    text: str
    amounts: list[tuple[int, int]] = field(default_factory=list)
    named: list[tuple[int, int]] = field(default_factory=list)


def unmarked(text: str, name: str) -> Marked:
    """What is said in a marked narration, and where its amounts stand."""
    said = " ".join(line for line in text.splitlines() if not line.startswith("# "))
    out, at, begun = "", 0, []
    marked = Marked(name, "")
    for piece in re.findall(r"\[[MTPRXQ][?~.]?\s+|\{[SCOKIFLD]\s+|[\]}]|[^\[\]{}]+", said):
        if piece[0] in "[{":
            begun.append((piece[0] + piece[1], at))
        elif piece in "]}":
            letter, start = begun.pop()
            if letter[0] == "[":
                (marked.amounts if letter == "[Q" else marked.named).append((start, at))
        else:
            some = re.sub(r"\s+", " ", piece)
            out += some.lstrip() if out.endswith(" ") else some
            at = len(out)
    marked.text = out
    return marked


def corpus(every: int = 1) -> list[Marked]:
    """Every ``every``-th narration of the corpus."""
    folder = ROOT / "models" / "training" / "corpus"
    paths = sorted(folder.glob("[0-9]*.txt"))[::every]
    return [unmarked(p.read_text(encoding="utf-8"), p.name) for p in paths]


_PHENOMENA: tuple[tuple[str, str], ...] = (
    ("clock time", r"\d:\d\d|o'clock|\b(?:am|pm)\b|half past|quarter (?:past|to)"),
    ("percentage", r"percent|per cent|%"),
    ("ratio, mix", r"parts?\b|\bto one\b|\bratio\b|equal"),
    ("every nth", r"\bevery\b"),
    ("repeats", r"\btimes?\b|\btwice\b|\bonce\b"),
    ("ordinal", r"\b(?:first|third|fourth|fifth|sixth|\d+(?:st|nd|rd|th))\b"),
    ("heat", r"degrees?|celsius|fahrenheit|\boven\b|\bkiln\b"),
    ("a dozen, a couple", r"dozen|couple|pair"),
    ("dimensions", r"(?:\w) ?\b(?:by|x|×)\b ?(?:\w)|\d ?x ?\d"),
    ("range", r"(?<=\w) (?:or|to) (?:a |an )?(?:\w)"),
    ("half, quarter", r"half|quarter|third|eighth|sixteenth|[½¼¾⅛⅜⅝⅞]|\d/\d"),
    ("digits in a row", r"\d \d"),
    (
        "with a unit",
        r"\b(?:inch|inches|mil|mm|cm|centi\w+|milli\w+|yards?|metres?|meters?|feet|foot|minutes?|hours?|seconds?|days?|"
        r"grams?|kilos?|litres?|ounces?|pounds?|volts?|ohms?|cups?)\b",
    ),
    ("one", r"^(?:one|1|a|an)\b"),
)
_CRAFT_COUNTS = re.compile(
    r"\b(?:stitch|stitches|rows?|rounds?|ends|picks?|weavers?|stakes|rods|spokes|loops|chains?|knit|purl|treble|double|"
    r"sts|repeats?|pulls|turns|throws?|coats?|layers?|passes)\b"
)


def phenomenon(said: str, after: str) -> str:
    """Which phenomenon an amount shows, by its words and the few after it."""
    said = said.casefold()
    for name, pattern in _PHENOMENA:
        if re.search(pattern, said):
            return name
    near = " ".join(after.casefold().split()[:3])
    for name, pattern in _PHENOMENA[:6]:
        if re.search(pattern, near):
            return name
    if _CRAFT_COUNTS.search(near):
        return "repeats of stitches, rows, coats"
    return "count before a plural" if re.match(r"(?:[a-z-]+ ){0,2}[a-z]+s\b", near) else "bare number"


def _every_number(doc: Any) -> list[Amount]:
    """The baseline: every number said, with its unit, is an amount."""
    from buildlog.tag.amounts import Amount
    from buildlog.tag.amounts.atoms import atoms_of
    from buildlog.tag.amounts.numbers import is_digits, starts_number
    from buildlog.tag.amounts.quantities import quantity

    a = atoms_of(doc)
    out, i = [], 0
    while i < a.n:
        q = quantity(a, i) if starts_number(a.w[i]) or is_digits(a.w[i]) else None
        if q is None:
            i += 1
            continue
        out.append(Amount(a.tok[q.start], a.tok[q.end - 1] + 1, "measurement", q.value, unit=q.unit))
        i = q.end
    return out


@dataclass
class Found:
    """How the marks of the corpus were found: ``hits`` marks, ``right`` amounts inside marks, ``odd`` other extents."""

    marks: int = 0
    hits: int = 0
    got: int = 0
    right: int = 0
    odd: int = 0
    units: int = 0
    missed: Counter[str] = field(default_factory=Counter)
    extra: Counter[str] = field(default_factory=Counter)
    lines: list[str] = field(default_factory=list)

    def add(self, marked: Marked, doc: Any, amounts: Sequence[Amount]) -> None:
        """Judge ``amounts`` of ``doc`` against the marks."""
        from buildlog.tag.amounts.atoms import atoms_of
        from buildlog.tag.amounts.quantities import quantity

        text = marked.text
        spans = [(doc[x.start].idx, doc[x.end - 1].idx + len(doc[x.end - 1]), x) for x in amounts]
        inside = [False] * len(spans)
        atoms = atoms_of(doc)
        at_char: dict[int, int] = {}
        for i in range(atoms.n):
            at_char.setdefault(doc[atoms.tok[i]].idx, i)
        for start, end in marked.amounts:
            self.marks += 1
            here = [k for k, (s, e, _) in enumerate(spans) if s < end and e > start]
            shown_ = f"{text[max(0, start - 50) : start]}[{text[start:end]}]{text[end : end + 40]}"
            if not here:
                kind = phenomenon(text[start:end], text[end:])
                self.missed[kind] += 1
                self.lines.append(f"- {kind:20} {marked.name[:4]} {shown_}")
                continue
            self.hits += 1
            for k in here:
                inside[k] = True
            late = text[start : spans[here[0]][0]].casefold().split()
            short = text[spans[here[-1]][1] : end].split()
            said = quantity(atoms, at_char[start]) if start in at_char else None
            units = {x.unit for k in here for x in (spans[k][2],)}
            if said is not None and said.unit and said.dim not in ("degree",) and said.unit not in units:
                self.units += 1
                self.lines.append(
                    f"u {'other unit':20} {marked.name[:4]} {shown_} {[shown(spans[k][2]) for k in here]}"
                )
            if any(x not in ("a", "an", "about", "another") for x in late) or short:
                self.odd += 1
                self.lines.append(
                    f"~ {'other extent':20} {marked.name[:4]} {shown_} {[shown(spans[k][2]) for k in here]}"
                )
        self.got += len(spans)
        self.right += sum(inside)
        for k, (s, e, x) in enumerate(spans):
            # a length in a name ("the ten mil bit") is marked with the name, and an amount as well
            if not inside[k] and any(s < end and e > start for start, end in marked.named):
                self.got -= 1
            elif not inside[k]:
                kind = phenomenon(text[s:e], text[e:])
                self.extra[kind] += 1
                self.lines.append(
                    f"+ {kind:20} {marked.name[:4]} {text[max(0, s - 50) : s]}[{text[s:e]}]{text[e : e + 40]} {shown(x)}"
                )

    def row(self, name: str) -> str:
        """One line of the table."""
        p, r = self.right / max(1, self.got), self.hits / max(1, self.marks)
        return (
            f"{name:24}{p:7.3f}{r:7.3f}{2 * p * r / max(p + r, 1e-9):7.3f}{self.marks:7}{self.got:7}"
            f"{self.odd:8}{self.units:7}"
        )


def corpus_table(every: int, misses: bool) -> None:
    """Print how the marks of the corpus are found, with the phenomena of what is missed or too many."""
    from buildlog.tag import amounts, reader
    from buildlog.tag.language import english
    from buildlog.tag.timed import doc_of

    nlp = english()
    plain, ruled, both = Found(), Found(), Found()
    for marked in corpus(every):
        doc = doc_of(marked.text, nlp.tokenizer)
        plain.add(marked, doc, _every_number(doc))
        ruled.add(marked, doc, [x for x in amounts.read(doc) if x.measured])
        reading = reader.read([t.text for t in doc])
        both.add(marked, doc, [x for x in amounts.read(doc, reading) if x.measured])
    print(f"{'corpus':24}{'P':>7}{'R':>7}{'F1':>7}{'marks':>7}{'found':>7}{'extent':>8}{'unit':>7}")
    print(ruled.row("ours, rules alone"))
    print(both.row("ours, reader (flattered)"))
    print(plain.row("every number"))
    print(f"\nrules alone{'':25}{'missed':>8}{'extra':>8}")
    for kind in sorted({*ruled.missed, *ruled.extra}, key=lambda k: -ruled.missed[k] - ruled.extra[k]):
        print(f"  {kind:34}{ruled.missed[kind]:8}{ruled.extra[kind]:8}")
    if misses:
        print("\n".join(sorted(ruled.lines)))


def main(argv: Sequence[str] | None = None) -> int:
    """Run it all."""
    options = argparse.ArgumentParser(description="Amounts: ours beside quantulum3.")
    options.add_argument("--misses", action="store_true", help="show every case that is not right")
    options.add_argument("--no-speed", action="store_true")
    options.add_argument("--corpus", action="store_true", help="find the marked amounts of the reader's corpus again")
    options.add_argument("--every", type=int, default=1, metavar="N", help="only every N-th narration of the corpus")
    chosen = options.parse_args(argv)
    if chosen.corpus:
        corpus_table(max(1, chosen.every), chosen.misses)
        return 0
    case_table(chosen.misses)
    narration_table(chosen.misses)
    if not chosen.no_speed:
        speed()
    return 0


__all__ = ["Fraction", "judge", "main", "match", "pipeline", "read_cases", "shown"]

if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    raise SystemExit(main())
