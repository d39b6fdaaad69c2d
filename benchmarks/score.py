"""Score log documents against answer sheets.

    python benchmarks/score.py ANSWERS.json LOG.json [ANSWERS.json LOG.json ...] [--misses]

Both have the shape of the log document. A sheet may leave keys out (what it leaves out is not scored) and may give
"names" (other acceptable names) on items and techniques. Precision, recall and F1 a kind over all pairs given. Two
entries match one to one, best first:

  items          same kind, and names alike: one's words contain the other's, or 0.8 similar
  status         of matched items, the share with the same status
  techniques     names alike, first shown within 10 s
  measurements   same value (and upper value) and unit, within 6 s
  links_owed     within 8 s
  notes          same kind, within 10 s
  steps          within 10 s, and half of the shorter one's content words (stemmed) shared
  chapters       starts within 10 s (the first, at 0:00, is not counted)
  derived        within 8 s, alike results and as many inputs
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any

Entry = dict[str, Any]
Match = Callable[[Entry, Entry], float]

STOP = frozenset(
    "a an the of to and or in on at with for from into onto over it its them their this that then so up by as my your".split()
)
UNITS = {
    "in": "inch", "inches": "inch", '"': "inch", "yd": "yard", "yards": "yard", "ft": "foot", "feet": "foot", "cm": "centimeter",
    "mm": "millimeter", "m": "meter", "min": "minute", "minutes": "minute", "hours": "hour", "degF": "degree_Fahrenheit",
    "degree_fahrenheit": "degree_Fahrenheit", "degC": "degree_Celsius", "degree_celsius": "degree_Celsius",
}  # fmt: skip


def stems(text: str | None) -> list[str]:
    """Content words of ``text``, ends cut off."""
    out = []
    for word in re.findall(r"[a-z0-9/]+", (text or "").lower().replace("-", " ").replace("'s", "")):
        if word in STOP:
            continue
        for suffix in ("ing", "ed", "es", "s"):
            if word.endswith(suffix) and len(word) - len(suffix) >= 3:
                word = word[: -len(suffix)]
                break
        out.append(word.rstrip("e"))
    return out


def alike(these: Iterable[str], those: Iterable[str]) -> float:
    """0 where no two names are alike, else 0.8 to 1."""
    best = 0.0
    those = list(those)
    for a in these:
        for b in those:
            wa, wb = stems(a), stems(b)
            if not wa or not wb:
                continue
            sa, sb = set(wa), set(wb)
            if sa <= sb or sb <= sa:
                best = max(best, 0.9 + 0.1 * len(sa & sb) / len(sa | sb))
            best = max(best, SequenceMatcher(None, " ".join(wa), " ".join(wb)).ratio())
    return best if best >= 0.8 else 0.0


def names(e: Entry) -> list[str]:
    return [e["name"], *e.get("aliases", []), *e.get("names", [])]


def within(limit: float, key: str = "start_s") -> Match:
    def closeness(a: Entry, b: Entry) -> float:
        d = abs((a.get(key) or 0) - (b.get(key) or 0))
        return 1 - d / (limit + 1e-9) * 0.5 if d <= limit else 0.0

    return closeness


def _unit(u: str | None) -> str | None:
    return UNITS.get(u, u) if u else None


def _same(x: float | None, y: float | None) -> bool:
    return (x is None) == (y is None) and (x is None or y is None or abs(x - y) < 1e-4)


def match_item(a: Entry, b: Entry) -> float:
    return alike(names(a), names(b)) if a.get("kind") == b.get("kind") else 0.0


def match_technique(a: Entry, b: Entry) -> float:
    close = within(10, "first_shown_s")(a, b)
    return close * alike(names(a), names(b)) if close else 0.0


def match_measurement(a: Entry, b: Entry) -> float:
    equal = (
        _same(a.get("value"), b.get("value"))
        and _same(a.get("value_max"), b.get("value_max"))
        and _unit(a.get("unit")) == _unit(b.get("unit"))
    )
    return within(6)(a, b) if equal else 0.0


def match_step(a: Entry, b: Entry) -> float:
    close, wa, wb = within(10)(a, b), set(stems(a["text"])), set(stems(b["text"]))
    shared = len(wa & wb) / max(1, min(len(wa), len(wb)))
    return close * shared if close and shared >= 0.5 else 0.0


def match_note(a: Entry, b: Entry) -> float:
    return within(10)(a, b) if a.get("kind") == b.get("kind") else 0.0


def match_derived(a: Entry, b: Entry) -> float:
    close = within(8)(a, b)
    alike_enough = alike([a.get("result", "")], [b.get("result", "")])
    return close if close and alike_enough and len(a.get("inputs", [])) == len(b.get("inputs", [])) else 0.0


def pair(gold: list[Entry], got: list[Entry], match: Match) -> list[tuple[int, int]]:
    """One-to-one matches (gold index, got index), best first."""
    scored = sorted(((match(a, b), i, j) for i, a in enumerate(gold) for j, b in enumerate(got)), key=lambda t: -t[0])
    left: set[int] = set()
    right: set[int] = set()
    hits = []
    for s, i, j in scored:
        if s <= 0:
            break
        if i not in left and j not in right:
            left.add(i)
            right.add(j)
            hits.append((i, j))
    return hits


def _used(kind: str) -> Callable[[Entry], bool]:
    return lambda e: e.get("kind") == kind and e.get("status") == "used"


KINDS: dict[str, tuple[str, Match, Callable[[Entry], bool]]] = {
    "materials used": ("items", match_item, _used("material")),
    "tools used": ("items", match_item, _used("tool")),
    "items, any status": ("items", match_item, lambda e: True),
    "techniques": ("techniques", match_technique, lambda e: True),
    "measurements": ("measurements", match_measurement, lambda e: True),
    "derived": ("derived", match_derived, lambda e: True),
    "links_owed": ("links_owed", within(8), lambda e: True),
    "notes": ("notes", match_note, lambda e: True),
    "steps": ("steps", match_step, lambda e: True),
    "chapters": ("chapters", within(10), lambda e: (e.get("start_s") or 0) > 1),
}


@dataclass
class Tally:
    """Counts a kind: ``hit``, ``gold``, ``found``; and the share of matched items whose status is right."""

    counts: dict[str, list[int]] = field(default_factory=dict)
    status_right: int = 0
    status_seen: int = 0
    misses: list[str] = field(default_factory=list)

    def add(self, gold: Entry, got: Entry, label: str = "") -> None:
        """Count one answer sheet and one log document."""
        for kind, (key, match, keep) in KINDS.items():
            if key not in gold:
                continue
            g = [e for e in gold[key] if keep(e)]
            h = [e for e in got.get(key, []) if keep(e)]
            hits = pair(g, h, match)
            t = self.counts.setdefault(kind, [0, 0, 0])
            t[0] += len(hits)
            t[1] += len(g)
            t[2] += len(h)
            if kind == "items, any status":
                right = [(i, j) for i, j in hits if g[i].get("status") == h[j].get("status")]
                self.status_right += len(right)
                self.status_seen += len(hits)
                self.misses += [
                    f"{label} status: {g[i].get('status')} read as {h[j].get('status')}: {g[i]['name']}"
                    for i, j in hits
                    if (i, j) not in right
                ]
            left, right_ = {i for i, _ in hits}, {j for _, j in hits}
            self.misses += [f"{label} {kind}: - {show(e)}" for i, e in enumerate(g) if i not in left]
            self.misses += [f"{label} {kind}: + {show(e)}" for j, e in enumerate(h) if j not in right_]

    def f1(self, kind: str) -> float:
        hit, gold, found = self.counts.get(kind, [0, 0, 0])
        return 2 * hit / (gold + found) if gold + found else 0.0

    def table(self) -> str:
        lines = [f"{'':20}{'P':>7}{'R':>7}{'F1':>7}{'gold':>7}{'found':>7}"]
        for kind, (hit, gold, found) in self.counts.items():
            p, r = hit / found if found else 0.0, hit / gold if gold else 0.0
            lines.append(f"{kind:20}{p:7.3f}{r:7.3f}{self.f1(kind):7.3f}{gold:7}{found:7}")
        if self.status_seen:
            lines.append(f"{'status right':20}{self.status_right / self.status_seen:7.3f}")
        return "\n".join(lines)


def show(e: Entry) -> str:
    at = e.get("start_s", e.get("first_s", e.get("first_shown_s", 0))) or 0
    what = e.get("name") or e.get("text") or e.get("title") or e.get("result") or ""
    return f"{at:7.1f} {e.get('status', e.get('kind', ''))} {what}"


def main() -> None:
    paths = [a for a in sys.argv[1:] if a != "--misses"]
    if len(paths) < 2 or len(paths) % 2:
        sys.exit(__doc__)
    tally = Tally()
    for gold_path, got_path in zip(paths[::2], paths[1::2], strict=True):
        tally.add(
            json.loads(Path(gold_path).read_text()), json.loads(Path(got_path).read_text()), Path(gold_path).stem[:2]
        )
    print(tally.table())
    if "--misses" in sys.argv:
        print("\n".join(tally.misses))


if __name__ == "__main__":
    main()
