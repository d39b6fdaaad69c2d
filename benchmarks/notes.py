"""Promises, notes and glossary: scores over the sentence files and words a second beside the parser.

    uv run python benchmarks/notes.py [--repeat 5]

Sentence files are those of ``tests/notes``. Speed is the median over repeats on the text of the development narrations,
for each component alone; the parser on the same text is the baseline.
"""

from __future__ import annotations

import argparse
import json
import re
import statistics
import time
from collections.abc import Callable
from pathlib import Path

from spacy.tokens import Doc

from buildlog.tag.language import english
from buildlog.tag.notes import find_notes, find_slips
from buildlog.tag.notes.glossary import find_aliases, find_definitions
from buildlog.tag.promises import find_promises, find_searches
from buildlog.tag.timed import doc_of

TESTS = Path(__file__).parent.parent / "tests"
KINDS = ("correction", "off_camera", "caution", "tip", "pointer")


def parsed(text: str) -> Doc:
    """``text`` through the English pipeline."""
    nlp = english()
    doc = doc_of(text, nlp.tokenizer)
    for _, pipe in nlp.pipeline:
        doc = pipe(doc)
    return doc


def scores() -> None:
    """Print recall and precision for every sentence file."""
    print(f"{'sentences':24}{'R':>7}{'P':>7}{'gold':>7}")
    for path in sorted((TESTS / "notes").glob("*.jsonl")):
        name = path.stem
        kind = next((k for k in (*KINDS, "promises") if name.startswith(k)), None)
        if kind is None:
            continue
        hit = gold = found = 0
        for line in path.read_text(encoding="utf-8").splitlines():
            case = json.loads(line)
            doc = parsed(case["text"])
            if kind == "promises":
                owed, got = len(case["what"]), len(find_promises(doc))
            else:
                owed, got = int(case["note"]), int(any(n.kind == kind for n in find_notes(doc)))
            hit, gold, found = hit + min(owed, got), gold + owed, found + got
        print(f"{name:24}{hit / gold:7.3f}{hit / found if found else 0.0:7.3f}{gold:7}")


def speed(repeat: int) -> None:
    """Print words a second for each component and for the parser."""
    texts = []
    for path in sorted((TESTS / "narrations" / "dev").glob("*.txt")):
        texts.append(re.sub(r"^\[\d+:\d\d\] ", "", path.read_text(encoding="utf-8"), flags=re.M))
    text = " ".join(" ".join(texts).split())
    doc = parsed(text)
    words = len(text.split())
    parts: list[tuple[str, Callable[[Doc], object]]] = [
        ("promises", lambda d: (find_promises(d), find_searches(d))),
        ("notes", lambda d: (find_notes(d), find_slips(d))),
        ("glossary", lambda d: (find_aliases(d), find_definitions(d))),
        ("parser (baseline)", lambda _: parsed(text)),
    ]
    print(f"\n{words} words{'':12}{'words/s':>10}")
    for name, run in parts:
        took = []
        for _ in range(repeat):
            began = time.process_time()
            run(doc)
            took.append(time.process_time() - began)
        print(f"{name:24}{words / statistics.median(took):10.0f}")


def main() -> None:
    """Run both."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--repeat", type=int, default=5)
    repeat = arguments.parse_args().repeat
    scores()
    speed(repeat)


if __name__ == "__main__":
    main()
