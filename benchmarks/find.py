"""How well ``buildlog find`` answers: first hit, first five, and "nowhere", beside plain FTS5, plain vectors and grep.

    uv run python benchmarks/find.py                  # both halves of tests/questions, every way of finding
    uv run python benchmarks/find.py --half seen -v   # with what was missed (never for the unseen half)
    uv run python benchmarks/find.py --half harder    # descriptions that share hardly a word with what was said

The questions are asked over 28 invented narrations: the ten of ``tests/narrations/dev`` and eighteen of those the
reader was trained on, with their marks taken off (so what the reader finds in the latter flatters it; words and
vectors do not care). A hit is right if its moment overlaps the words of the answer, five seconds more or less.
Scores come from ir-measures (Success@1, Success@5, RR, nDCG@10 over questions that have an answer; one said to be
"nowhere" counts as missed). Ours shows a place once, where the other ways list each of its moments: nDCG@10 counts that
against ours. The ``harder`` questions are asked over other narrations of the corpus, without the name of what is made.
"""

from __future__ import annotations

import argparse
import importlib.util
import json
import re
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import ir_measures
from ir_measures import RR, Qrel, ScoredDoc, Success, nDCG

from buildlog import find
from buildlog.archive import Archive, Clip
from buildlog.document import Line, RecordingInfo
from buildlog.find.meaning import meaning
from buildlog.find.wording import words_of
from buildlog.listen.transcript import read as read_transcript
from buildlog.opening import open_archive
from buildlog.reading import read

ROOT = Path(__file__).resolve().parent.parent
CORPUS = ROOT / "models" / "training" / "corpus"
CORPUS_ONES = "101 104 108 113 120 202 204 209 212 213 218 223 226 230 303 304 312 317".split()
HARDER_ONES = (
    "102 110 118 205 210 216 219 225 227 301 306 311 315 320 326 329 407 417 425 508 509 510 606 621 719 725 743 757 769"
    " 786 794 803 811 844 859"
).split()
MEASURES = [Success @ 1, Success @ 5, RR, nDCG @ 10]
SLACK_S = 5.0
WORDS_A_SECOND = 2.5  # a usual pace of talking


class Place(NamedTuple):
    """A moment of the index."""

    id: str
    part_id: int
    start_s: float
    end_s: float
    text: str


def _markup() -> Any:
    spec = importlib.util.spec_from_file_location("markup", ROOT / "models" / "training" / "markup.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["markup"] = module
    spec.loader.exec_module(module)
    return module


def narration(number: str) -> tuple[str, list[Line]]:
    """Name and timed lines of a narration: ``01`` to ``10`` of the development set, or one of the corpus."""
    if len(number) == 2:
        path = next((ROOT / "tests" / "narrations" / "dev").glob(f"{number}-*.txt"))
        return path.stem[3:].replace("-", " "), read_transcript(path)
    path = next(CORPUS.glob(f"{number}-*.txt"))
    marked = _markup().read(path.read_text("utf-8"), path.name)
    text = re.sub(r"\s+([.,;:!?])", r"\1", " ".join(marked.words)).replace(" - ", "-").split()
    lines = []
    for at in range(0, len(text), 14):
        some = text[at : at + 14]
        lines.append(Line(start_s=at / WORDS_A_SECOND, end_s=(at + len(some)) / WORDS_A_SECOND, text=" ".join(some)))
    return path.stem[4:].replace("-", " "), lines


def fill_archive(archive: Archive, numbers: list[str]) -> dict[str, int]:
    """Put narrations into ``archive``, a build each, posted a week apart; number -> part id."""
    parts = {}
    for week, number in enumerate(numbers):
        name, lines = narration(number)
        length = lines[-1].end_s
        log = read(lines, RecordingInfo(path=f"{number}.txt", duration_s=length))
        build = archive.builds.make(name)
        part = archive.builds.make_part(build.id)
        recording = archive.builds.keep_recording(f"{number}.txt", sha256=f"{int(number):064x}", duration_s=length)
        archive.readings.keep_log(recording.id, "answers", log)
        archive.builds.set_cut(part.id, [Clip(recording_id=recording.id, in_s=0.0, out_s=length)])
        day = time.strftime("%Y-%m-%d", time.gmtime(1_735_689_600 + week * 7 * 86_400))
        archive.builds.set_part(part.id, posted_on=day)
        parts[number] = part.id
    return parts


def spans(lines: list[Line], quote: str) -> tuple[float, float]:
    """When the words of ``quote`` are said. Raises ``ValueError`` where they are not."""
    words: list[tuple[str, float]] = []
    for line in lines:
        found = words_of(line.text)
        step = (line.end_s - line.start_s) / max(1, len(found))
        words += [(w, line.start_s + n * step) for n, w in enumerate(found)]
    wanted = words_of(quote)
    for at in range(len(words) - len(wanted) + 1):
        if [w for w, _ in words[at : at + len(wanted)]] == wanted:
            return words[at][1], words[at + len(wanted) - 1][1]
    raise ValueError(f"not said: {quote}")


def questions(half: str) -> list[dict[str, Any]]:
    path = ROOT / "tests" / "questions" / f"{half}.jsonl"
    return [json.loads(line) for line in path.read_text("utf-8").splitlines() if line]


def places(archive: Archive) -> list[Place]:
    with archive.store.read() as conn:
        rows = conn.execute("SELECT id, part_id, start_s, end_s, said FROM find_moment ORDER BY id").fetchall()
    return [Place(str(r[0]), r[1], r[2], r[3], r[4]) for r in rows]


def right_places(question: dict[str, Any], parts: dict[str, int], everywhere: list[Place]) -> set[str]:
    """The ids of the moments that answer a question."""
    out = set()
    for number, quote in question.get("at", []):
        start, end = spans(narration(number)[1], quote)
        out |= {
            p.id
            for p in everywhere
            if p.part_id == parts[number] and p.start_s - SLACK_S <= end and start <= p.end_s + SLACK_S
        }
    return out


# Ways of finding: question -> ids of moments, best first; empty where it says "nowhere" ------------------------------

Way = Callable[[dict[str, Any]], list[tuple[str, float]]]


def ours(archive: Archive, everywhere: list[Place], vectors: bool) -> Way:
    by_start = {(p.part_id, p.start_s): p.id for p in everywhere}

    def ask(question: dict[str, Any]) -> list[tuple[str, float]]:
        only = find.Only(**question.get("only", {}))
        found = find.search(archive, question["q"], only=only, limit=10, vectors=vectors)
        if found.nowhere:
            return []
        # Order of time is an answer too: the rank is what counts, not the score.
        return [(by_start[h.part_id, h.start_s], 1.0 / (n + 1)) for n, h in enumerate(found.hits)]

    return ask


def _allowed(question: dict[str, Any], archive: Archive, everywhere: list[Place]) -> set[str]:
    build = question.get("only", {}).get("build")
    ids = {p.id for p in archive.builds.parts() if build is None or p.build == build}
    return {p.id for p in everywhere if p.part_id in ids}


def plain_fts(archive: Archive, everywhere: list[Place]) -> Way:
    conn = sqlite3.connect(":memory:")
    conn.execute("CREATE VIRTUAL TABLE t USING fts5(said, tokenize='porter unicode61')")
    conn.executemany("INSERT INTO t (rowid, said) VALUES (?, ?)", [(int(p.id), p.text) for p in everywhere])

    def ask(question: dict[str, Any]) -> list[tuple[str, float]]:
        match = " OR ".join(f'"{w}"' for w in words_of(question["q"]))
        rows = conn.execute("SELECT rowid, -rank FROM t WHERE t MATCH ? ORDER BY rank", (match,)).fetchall()
        allowed = _allowed(question, archive, everywhere)
        return [(str(r[0]), r[1]) for r in rows if str(r[0]) in allowed][:10]

    return ask


def plain_vectors(archive: Archive, everywhere: list[Place], floor: float) -> Way:
    encoder = meaning()
    assert encoder is not None
    table = encoder.vectors([p.text for p in everywhere])

    def ask(question: dict[str, Any]) -> list[tuple[str, float]]:
        scores = table @ encoder.vectors([question["q"]])[0]
        allowed = _allowed(question, archive, everywhere)
        best = [(p.id, float(s)) for p, s in zip(everywhere, scores, strict=True) if p.id in allowed]
        best.sort(key=lambda b: -b[1])
        return best[:10] if best and best[0][1] >= floor else []

    return ask


def grep(archive: Archive, everywhere: list[Place]) -> Way:
    """Lines that hold the whole question, letter for letter but for case, in order."""

    def ask(question: dict[str, Any]) -> list[tuple[str, float]]:
        allowed = _allowed(question, archive, everywhere)
        text = question["q"].casefold()
        found = [p.id for p in everywhere if p.id in allowed and text in p.text.casefold()]
        return [(i, 1.0 / (n + 1)) for n, i in enumerate(found[:10])]

    return ask


def grep_words(archive: Archive, everywhere: list[Place]) -> Way:
    """Lines that hold most of the question's words as they are, the most first."""

    def ask(question: dict[str, Any]) -> list[tuple[str, float]]:
        allowed, wanted = _allowed(question, archive, everywhere), set(words_of(question["q"]))
        scored = [(p.id, float(len(wanted & set(words_of(p.text))))) for p in everywhere if p.id in allowed]
        scored.sort(key=lambda s: -s[1])
        return [s for s in scored[:10] if s[1] > 0]

    return ask


def score(
    way: Way, asked: list[dict[str, Any]], right: list[set[str]], missed: Callable[[dict[str, Any], str], None] | None
) -> dict[str, float]:
    """Mean of each measure over the questions with an answer; "nowhere" over those without; median milliseconds."""
    qrels, run, took, nowhere = [], [], [], []
    answered = 0
    for n, (question, good) in enumerate(zip(asked, right, strict=True)):
        began = time.perf_counter()
        got = way(question)
        took.append(1000 * (time.perf_counter() - began))
        if question["kind"] == "nowhere":
            nowhere.append(not got)
            if got and missed:
                missed(question, f"found {got[0][0]}")
            continue
        answered += 1
        qrels += [Qrel(str(n), i, 1) for i in good]
        # ir-measures breaks ties by name: give each its rank.
        run += [ScoredDoc(str(n), i, 1.0 / (k + 1)) for k, (i, _) in enumerate(got)]
        if missed and (not got or got[0][0] not in good):
            rank = next((k + 1 for k, (i, _) in enumerate(got) if i in good), None)
            missed(question, f"first right at {rank}, found {got[0][0] if got else 'nowhere'}")
    found = ir_measures.calc_aggregate(MEASURES, qrels, run) if run else dict.fromkeys(MEASURES, 0.0)
    out = {str(m): float(found[m]) for m in MEASURES}
    out["nowhere"] = sum(nowhere) / len(nowhere) if nowhere else float("nan")
    out["ms"] = statistics.median(took)
    return out


def by_kind(way: Way, asked: list[dict[str, Any]], right: list[set[str]]) -> str:
    """For each kind of question: first hit right, in the first five, said to be nowhere, of how many."""
    table: dict[str, list[int]] = {}
    for question, good in zip(asked, right, strict=True):
        got = [i for i, _ in way(question)]
        row = table.setdefault(question["kind"], [0, 0, 0, 0])
        row[0] += bool(got) and got[0] in good
        row[1] += any(i in good for i in got[:5])
        row[2] += not got
        row[3] += 1
    return ", ".join(f"{k} {r[0]}/{r[1]}/{r[2]} of {r[3]}" for k, r in table.items())


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--half", choices=["seen", "unseen", "both", "harder"], default="both")
    parser.add_argument("--keep", type=Path, help="keep the archive in this folder and use it again")
    parser.add_argument("-v", "--verbose", action="store_true", help="name what was missed, of the seen half")
    options = parser.parse_args()
    folder = options.keep or Path(tempfile.mkdtemp(prefix="find-"))
    folder.mkdir(parents=True, exist_ok=True)
    numbers = HARDER_ONES if options.half == "harder" else [f"{n:02}" for n in range(1, 11)] + CORPUS_ONES
    made = (folder / "archive.sqlite3").exists()
    with open_archive(folder / "archive.sqlite3") as archive:
        if made:
            parts = {Path(r.path).stem: archive.builds.parts_with(r.id)[0] for r in archive.builds.recordings()}
        else:
            parts = fill_archive(archive, numbers)
        find.bring_up(archive)
        find.fill(archive)
        everywhere = places(archive)
        by_id = {p.id: p for p in everywhere}
        ways: list[tuple[str, Way]] = [
            ("buildlog find", ours(archive, everywhere, True)),
            ("  by words only", ours(archive, everywhere, False)),
            ("plain FTS5 (bm25)", plain_fts(archive, everywhere)),
            # 0.36: a lower floor knows hardly any "nowhere" of the seen half, a higher one loses more answers than it gains.
            ("plain vectors", plain_vectors(archive, everywhere, 0.36)),
            ("grep, whole", grep(archive, everywhere)),
            ("grep, most words", grep_words(archive, everywhere)),
        ]
        print(f"{len(parts)} narrations, {len(everywhere)} moments")
        for half in ("seen", "unseen") if options.half == "both" else (options.half,):
            asked = questions(half)
            right = [right_places(q, parts, everywhere) for q in asked]
            without = sum(q["kind"] == "nowhere" for q in asked)
            print(f"\n{half}: {len(asked)} questions, {without} of them with no answer")
            names = [str(m) for m in MEASURES]
            print(f"{'':20}" + "".join(f"{n:>11}" for n in [*names, "nowhere", "median ms"]))
            for name, way in ways:
                told: list[str] = []

                def tell(q: dict[str, Any], why: str, told: list[str] = told) -> None:
                    where = re.search(r"found (\d+)", why)
                    said = by_id[where.group(1)].text[:90] if where else ""
                    told.append(f"    {q['kind']}: {q['q']} -> {why} {said}")

                verbose = options.verbose and half != "unseen" and name == "buildlog find"
                got = score(way, asked, right, tell if verbose else None)
                print(f"{name:20}" + "".join(f"{got[k]:>11.3f}" for k in [*names, "nowhere"]) + f"{got['ms']:>11.1f}")
                for line in told:
                    print(line)
            print("  first hit by kind: " + by_kind(ways[0][1], asked, right))


if __name__ == "__main__":
    main()
