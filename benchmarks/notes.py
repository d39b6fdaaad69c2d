"""Promises, notes and glossary: scores over the sentence files and words a second beside the parser.

    uv run python benchmarks/notes.py [--repeat 5]

Sentence files are those of ``tests/notes``: the rules alone on one sentence each, then the whole pipeline with the trained
reader, beside the rules alone, on those said with and without punctuation. Speed is the median over repeats on the text of the development narrations,
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

from buildlog.document import Line
from buildlog.tag.language import english
from buildlog.tag.notes import find_notes, find_slips
from buildlog.tag.notes.glossary import find_aliases, find_definitions
from buildlog.tag.pipeline import tag
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


def said() -> None:
    """Print links and notes of the files read by the whole pipeline, and by the rules alone."""
    print(f"\n{'whole pipeline':24}{'R':>7}{'P':>7}{'gold':>7}{'rules R':>9}{'P':>7}")
    for name in ("said", "said_unseen"):
        tallies = {(what, how): [0, 0, 0] for what in ("links", "notes") for how in ("all", "rules")}
        for line in (TESTS / "notes" / f"{name}.jsonl").read_text(encoding="utf-8").splitlines():
            case = json.loads(line)
            text = case["text"]
            whole = tag([Line(start_s=0.0, end_s=len(text.split()) / 2.5, text=text)]).doc
            plain = parsed(text)
            for how, owed, notes in (
                ("all", whole._.promises, whole._.notes),
                ("rules", find_promises(plain), find_notes(plain)),
            ):
                kinds = [n.kind for n in notes]
                told = sum(min(kinds.count(k), case["notes"].count(k)) for k in set(kinds))
                for what, hit, gold, found in (
                    ("links", min(case["links"], len(owed)), case["links"], len(owed)),
                    ("notes", told, len(case["notes"]), len(kinds)),
                ):
                    tallies[what, how] = [a + b for a, b in zip(tallies[what, how], (hit, gold, found), strict=True)]
        for what in ("links", "notes"):
            (hit, gold, found), (alone, _, few) = tallies[what, "all"], tallies[what, "rules"]
            print(
                f"{name + ' ' + what:24}{hit / gold:7.3f}{hit / max(1, found):7.3f}{gold:7}"
                f"{alone / gold:9.3f}{alone / max(1, few):7.3f}"
            )


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
    """Run all three."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--repeat", type=int, default=5)
    repeat = arguments.parse_args().repeat
    scores()
    said()
    speed(repeat)


if __name__ == "__main__":
    main()
