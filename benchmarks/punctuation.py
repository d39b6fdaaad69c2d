"""How well punctuation is restored, and what reading gains by it.

    python benchmarks/punctuation.py [dev|FOLDER]

The narrations of the folder that are punctuated are read three times: as they are; with every mark and capital taken away,
as many captions come; and so again without restoring anything (sentences only from pauses and from how lines begin). The
first table tells how many full stops, and how many marks of any kind, are put where the narration has one; the second
scores the three readings against the answer sheets.
"""

from __future__ import annotations

import argparse
import itertools
import json
import re
import tempfile
from pathlib import Path

import msgspec
from narrations import HOME, read_log
from score import Tally

from buildlog.document import Word
from buildlog.listen.transcript import read as read_transcript
from buildlog.tag import pipeline
from buildlog.tag.speech import Cleaned, clean
from buildlog.tag.timed import words_of

_MARKS = re.compile(r"(?<!\d)[.,;:!?—–\"“”]+|[.,;:!?—–\"“”]+(?!\d)")
_LINE = re.compile(r"(\[[\d:]+\]\s*)(.*)")


def bare(text: str) -> str:
    """``text`` in lower case without punctuation (decimal points and hyphens inside words stay)."""
    return " ".join(re.sub(r"\s-+\s", " ", _MARKS.sub(" ", text)).lower().split())


def is_punctuated(path: Path) -> bool:
    words = path.read_text(encoding="utf-8").split()
    stops = [i for i, w in enumerate(words[:-1]) if w[-1] in ".?!"]
    capitals = sum(words[i + 1][:1].isupper() or words[i + 1][:1] == "[" for i in stops)
    return len(stops) > len(words) / 25 and capitals > 0.9 * len(stops)


def marks(path: Path) -> tuple[set[float], set[float], Cleaned]:
    """Times of the words that follow a full stop, or any mark, in the narration; and its words without them."""
    stops, anywhere, words, lines = set(), set(), [], []
    before = ""
    for n, line in enumerate(read_transcript(path)):
        for w in words_of(line):
            text = bare(w.text)
            if not text:
                continue
            if before[-1:] in (".", "?", "!"):
                stops.add(w.start_s)
            if before[-1:] in tuple(".?!,;:—–"):
                anywhere.add(w.start_s)
            words.append(Word(start_s=w.start_s, end_s=w.end_s, text=text))
            lines.append(n)
            before = w.text.strip('"“”')
    return stops, anywhere, clean(words, lines)


def put(words: list[Word]) -> tuple[set[float], set[float]]:
    """Times of the words that follow a full stop, or any mark, in ``words``."""
    pairs = list(itertools.pairwise(words))
    return (
        {b.start_s for a, b in pairs if a.text[-1:] in tuple(".?!")},
        {b.start_s for a, b in pairs if a.text[-1:] in tuple(".?!,;:")},
    )


def prf(hit: int, gold: int, found: int) -> str:
    p, r = hit / max(1, found), hit / max(1, gold)
    return f"{p:7.3f}{r:7.3f}{2 * p * r / max(1e-9, p + r):7.3f}"


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    p.add_argument("folder", nargs="?", default="dev")
    a = p.parse_args()
    folder = Path(a.folder) if Path(a.folder).is_dir() else HOME / a.folder
    paths = [q for q in sorted(folder.glob("*.txt")) if is_punctuated(q)]
    counts = {
        k: [0, 0, 0] for k in ("full stops, restored", "full stops, by pauses and openings", "any mark, restored")
    }
    tallies = {k: Tally() for k in ("as written", "marks taken, restored", "marks taken, nothing restored")}
    restore = pipeline.punctuate
    with tempfile.TemporaryDirectory() as scratch:
        for path in paths:
            stops, anywhere, cleaned = marks(path)
            got, got_any = put(pipeline.punctuated(cleaned)[0])
            by_rules = {cleaned.words[i].start_s for i in cleaned.starts}
            for k, gold, found in (
                ("full stops, restored", stops, got),
                ("full stops, by pauses and openings", stops, by_rules),
                ("any mark, restored", anywhere, got_any),
            ):
                for j, n in enumerate((len(gold & found), len(gold), len(found))):
                    counts[k][j] += n
            stripped = Path(scratch) / path.name
            stripped.write_text(
                "\n".join(
                    _LINE.sub(lambda m: m[1] + bare(m[2]), s) for s in path.read_text(encoding="utf-8").splitlines()
                ),
                encoding="utf-8",
            )
            gold_sheet = json.loads(path.with_suffix("").with_suffix(".answers.json").read_text(encoding="utf-8"))
            for name, source, how in (
                ("as written", path, restore),
                ("marks taken, restored", stripped, restore),
                ("marks taken, nothing restored", stripped, lambda words, begins, whole: words),
            ):
                pipeline.punctuate = how
                tallies[name].add(gold_sheet, msgspec.to_builtins(read_log(source)), path.stem[:2])
            pipeline.punctuate = restore
    print(f"{len(paths)} narrations\n{'':40}{'P':>7}{'R':>7}{'F1':>7}")
    for k, (hit, gold, found) in counts.items():
        print(f"{k:40}{prf(hit, gold, found)}")
    for name, tally in tallies.items():
        print(f"\n{name}\n{tally.table()}")


if __name__ == "__main__":
    main()
