"""What the sentence encoder is trained on: the moments of the corpus as ``buildlog find`` cuts them, and questions for them.

    python models/training/moments.py OUT.json

Needs buildlog itself. ``questions.jsonl`` holds invented questions, each with the first and last word (counted in the narration's
marked words) of what answers it; narrations that ``benchmarks/find.py`` asks about have none. ``OUT.json`` gets "train" and "check":
lists of narrations with "name", "said" (its moments) and "asked" (question, numbers of the moments that answer). "check" are the
questions of ``tests/questions`` that may be looked at; they are never trained on.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parents[1] / "benchmarks")]

import find as benchmark  # noqa: E402
from markup import read  # noqa: E402

from buildlog.document import Line  # noqa: E402
from buildlog.find.moments import Cut, cut_of  # noqa: E402


def _overlapping(cut: Cut, start: float, end: float) -> list[int]:
    ends = [cut[n][-1].end_s for n in range(len(cut))]
    return [n for n in range(len(cut)) if cut.starts[n] < end - 0.1 and start + 0.1 < ends[n]]


def _said(cut: Cut) -> list[str]:
    return [" ".join(w.text for w in cut[n]) for n in range(len(cut))]


def training() -> list[dict[str, Any]]:
    """The corpus's narrations that questions were written for."""
    asked: dict[str, list[dict[str, Any]]] = {}
    for row in (HERE / "questions.jsonl").read_text("utf-8").splitlines():
        q = json.loads(row)
        asked.setdefault(q["n"], []).append(q)
    out = []
    for name, questions in asked.items():
        name_of, lines = benchmark.narration(name.split("-")[0])
        at = _times(name, lines)
        cut = cut_of(lines)
        rows = [(q["q"], _overlapping(cut, at[q["at"][0]][0], at[q["at"][1]][1])) for q in questions]
        out.append({"name": name_of, "said": _said(cut), "asked": [r for r in rows if r[1]]})
    return out


def _times(name: str, lines: list[Line]) -> list[tuple[float, float]]:
    """When each marked word is said: marks stand with the word before them in the timed lines."""
    words = read((HERE / "corpus" / f"{name}.txt").read_text("utf-8"), name).words
    said = [(t, line, k) for line in lines for k, t in enumerate(line.text.split())]
    out, n, used = [], 0, 0
    for word in words:
        while used and used >= len(said[n][0]):
            n, used = n + 1, 0
        text, line, k = said[n]
        if not text[used:].startswith(word):
            used = text.index(word, used)  # the dash between two words of one
        used += len(word)
        step = (line.end_s - line.start_s) / len(line.text.split())
        out.append((line.start_s + k * step, line.start_s + (k + 1) * step))
    return out


def checking() -> list[dict[str, Any]]:
    """The seen and the harder questions over their narrations."""
    out = []
    for half, numbers in (
        ("seen", [f"{n:02}" for n in range(1, 11)] + benchmark.CORPUS_ONES),
        ("harder", benchmark.HARDER_ONES),
    ):
        rows: dict[str, dict[str, Any]] = {}
        cuts = {}
        for number in numbers:
            name, lines = benchmark.narration(number)
            cuts[number] = cut_of(lines), lines
            rows[number] = {"half": half, "name": name, "said": _said(cuts[number][0]), "asked": []}
        for q in benchmark.questions(half):
            if len({n for n, _ in q.get("at", [])}) == 1 and "only" not in q:
                number = q["at"][0][0]
                cut, lines = cuts[number]
                right: set[int] = set()
                for _, quote in q["at"]:
                    start, end = benchmark.spans(lines, quote)
                    right |= set(_overlapping(cut, start - benchmark.SLACK_S, end + benchmark.SLACK_S))
                rows[number]["asked"].append((q["q"], sorted(right)))
        out += rows.values()
    return out


def main() -> None:
    train, check = training(), checking()
    print(f"{sum(len(n['asked']) for n in train)} questions over {len(train)} narrations; check", len(check))
    Path(sys.argv[1]).write_text(json.dumps({"train": train, "check": check}), "utf-8")


if __name__ == "__main__":
    main()
