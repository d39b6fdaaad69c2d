"""Fit what makes a written sentence a step of the list: prints the weights that ``buildlog/outline/steps/written.py`` holds.

    python models/training/worth.py

Needs buildlog itself. A sentence that the scorer pairs with a step of the answer sheet is right. Logistic regression over the narrations of
``tests/narrations/dev``, in five parts: each part is scored with what the other four chose.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "benchmarks"))

import logistic  # noqa: E402
from score import match_step, pair  # noqa: E402

from buildlog.listen.transcript import read as read_transcript  # noqa: E402
from buildlog.outline.steps.written import blocks, candidates, words_of  # noqa: E402
from buildlog.tag.pipeline import tag  # noqa: E402
from buildlog.tag.view import view_of  # noqa: E402

FIRM = 3.0  # how firmly the weights are held near nothing


def main() -> None:
    sheets, said, rows, right, part = [], [], [], [], []
    for n, path in enumerate(sorted((ROOT / "tests" / "narrations" / "dev").glob("*.txt"))):
        doc = tag(read_transcript(path)).doc
        v = view_of(doc)
        words, token = words_of(doc)
        found = [c for block in blocks(len(words)) for c in candidates(doc, v, words, token, block)[1]]
        sheet = json.loads(path.with_name(f"{path.stem}.answers.json").read_text("utf-8"))["steps"]
        got = [{"start_s": float(v.start_s[c.draft.at]), "text": c.draft.text} for c in found]
        hit = {b for _, b in pair(sheet, got, match_step)}
        sheets.append(sheet)
        said.append(got)
        rows += [c.evidence for c in found]
        right += [k in hit for k in range(len(found))]
        part += [n] * len(found)
    x, y, of = np.array(rows), np.array(right, dtype=float), np.array(part)
    middle, spread = x.mean(0), x.std(0) + 1e-6
    z = (x - middle) / spread
    hold = np.full(z.shape[1] + 1, FIRM)
    odds = np.zeros(len(y))
    for k in range(5):
        w = logistic.fit(z[of % 5 != k], y[of % 5 != k], hold)
        odds[of % 5 == k] = z[of % 5 == k] @ w[:-1] + w[-1]
    for need in (-0.8, -0.6, -0.4, -0.3, -0.2, -0.1, 0.0, 0.2):
        hits = found_ = 0
        for n, sheet in enumerate(sheets):
            kept = [g for g, o in zip(said[n], odds[of == n], strict=True) if o >= need]
            hits, found_ = hits + len(pair(sheet, kept, match_step)), found_ + len(kept)
        gold = sum(map(len, sheets))
        print(f"need {need:5} P {hits / found_:.3f} R {hits / gold:.3f} F1 {2 * hits / (gold + found_):.3f}")
    w = logistic.fit(z, y, hold)
    print("WORTH =", tuple(round(float(a), 3) for a in w[:-1] / spread))
    print("WORTH_NONE =", round(float(w[-1] - (w[:-1] * middle / spread).sum()), 3))


if __name__ == "__main__":
    main()
