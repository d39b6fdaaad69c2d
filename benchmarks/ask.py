"""How well the desk answers viewers' questions: right answers and "not said", beside the sentence that ``find`` puts first.

    uv run python benchmarks/ask.py          # the questions of tests/questions/desk.jsonl and desk_unseen.jsonl
    uv run python benchmarks/ask.py -v       # with what was missed, of the former only

The questions are asked over invented narrations that the reader was trained on, their marks taken off: what the reader
finds in them flatters it, what the desk makes of it does not. Answers were written down beforehand, as words that a right
answer holds (any of them; of words for figures both spellings). An answer is right where its text or its quoted sentence
holds one; "in the text" counts the short answer alone. A question that the video does not answer is right where that is
said. Baseline: the sentence of the first hit, "not said" where ``find`` says nowhere.
"""

from __future__ import annotations

import argparse
import json
import tempfile
from pathlib import Path
from typing import Any

from find import fill_archive

from buildlog import find
from buildlog.archive import Archive
from buildlog.find.desk import answer
from buildlog.find.wording import words_of
from buildlog.opening import open_archive

QUESTIONS = Path(__file__).resolve().parent.parent / "tests" / "questions"
HALVES = {"seen": "desk.jsonl", "unseen": "desk_unseen.jsonl"}


def holds(text: str, wanted: list[str]) -> bool:
    """Whether the words of any of ``wanted`` stand together in ``text``; a last word may have an ending."""
    said = " " + " ".join(words_of(text))
    return any(f" {' '.join(words_of(w))}" in said for w in wanted)


def right(question: dict[str, Any], said: bool, text: str) -> bool:
    """Whether an answer is right."""
    if not said:
        return bool(question.get("not_said"))
    return holds(text, question.get("says", []))


def top_hit(archive: Archive, part_id: int, question: str) -> tuple[bool, str]:
    """The baseline: whether something is said, and the sentence."""
    part = archive.builds.part(part_id)
    found = find.search(archive, question, only=find.Only(build=part.build, part=part.number), limit=1)
    return (False, "") if found.nowhere else (True, found.hits[0].said)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--keep", type=Path, help="keep the archive in this folder and use it again")
    parser.add_argument("-v", "--verbose", action="store_true", help="name what was missed")
    options = parser.parse_args()
    folder = options.keep or Path(tempfile.mkdtemp(prefix="ask-"))
    folder.mkdir(parents=True, exist_ok=True)
    halves = {
        h: [json.loads(line) for line in (QUESTIONS / f).read_text("utf-8").splitlines()] for h, f in HALVES.items()
    }
    made = (folder / "archive.sqlite3").exists()
    with open_archive(folder / "archive.sqlite3") as archive:
        if made:
            parts = {Path(r.path).stem: archive.builds.parts_with(r.id)[0] for r in archive.builds.recordings()}
        else:
            parts = fill_archive(archive, sorted({q["part"] for asked in halves.values() for q in asked}))
        find.bring_up(archive)
        find.fill(archive)
        for half, asked in halves.items():
            print(f"\n{half}: {len(asked)} questions, {sum('says' not in q for q in asked)} of them not answered there")
            measure(archive, parts, asked, verbose=options.verbose and half == "seen")


def measure(archive: Archive, parts: dict[str, int], asked: list[dict[str, Any]], *, verbose: bool) -> None:
    """Ask, and print the table."""
    answered = sum("says" in q for q in asked)
    table: dict[str, list[int]] = {}
    for q in asked:
        got = answer(archive, parts[q["part"]], q["q"])
        whole = f"{got.text} | {got.quote or ''}"
        said, sentence = top_hit(archive, parts[q["part"]], q["q"])
        unsaid = "says" not in q
        for row, is_said, text, short in (
            ("buildlog ask", got.said, whole, got.text),
            ("first hit's sentence", said, sentence, sentence),
        ):
            good = right(q, is_said, text)
            counts = table.setdefault(row, [0, 0, 0])
            counts[2 if unsaid else 0] += good
            counts[1] += not unsaid and is_said and holds(short, q["says"])
            if verbose and not good and row == "buildlog ask":
                print(f"    {q['part']} {got.wants}: {q['q']} -> {whole if is_said else 'not said'}")
    print(f"{'':22}{'right':>9}{'in the text':>13}{'not said':>10}{'all':>8}")
    for row, (good, short, unsaid_right) in table.items():
        print(
            f"{row:22}{good / answered:>9.3f}{short / answered:>13.3f}{unsaid_right / (len(asked) - answered):>10.3f}"
            f"{(good + unsaid_right) / len(asked):>8.3f}"
        )


if __name__ == "__main__":
    main()
