"""Fit how sure ``buildlog find`` must be before it calls something an answer, on questions nothing else was made with.

    python models/training/fusing.py [--keep FOLDER]

Needs buildlog itself and nothing else; about ten minutes on two cores, four of them to read the narrations of ``told``
(``--keep`` keeps the archives for the next time). ``questions_told.jsonl`` holds invented questions about them, each with the
spoken lines that answer it, first and last, counted from nought, or with words that nobody says there ("nowhere").

They are asked over eight archives of about thirty narrations and over one of all; questions of other archives whose
words no moment has are asked too: they have no answer. So are the questions of ``tests/questions`` that may be looked
at. Folds are over narrations, over questions of ``tests/questions``. Prints, cross-validated, how
much of what has an answer among the first five is kept where so much of what has none is told, and then the weights for
``buildlog/find/certainty.py``.
"""

from __future__ import annotations

import argparse
import functools
import json
import random
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parents[1] / "benchmarks")]

import find as benchmark  # noqa: E402
import logistic  # noqa: E402

from buildlog import find  # noqa: E402
from buildlog.archive import Archive, Clip  # noqa: E402
from buildlog.document import Line, RecordingInfo  # noqa: E402
from buildlog.find import certainty, searching  # noqa: E402
from buildlog.find.asking import Question, understand  # noqa: E402
from buildlog.find.meaning import meaning  # noqa: E402
from buildlog.find.wording import stems, words_of  # noqa: E402
from buildlog.opening import open_archive  # noqa: E402
from buildlog.reading import read  # noqa: E402

Floats = npt.NDArray[np.float64]
HAYSTACKS = 8
FOLDS = 4
LEFT_OUT = {"description": 100, "exact": 50, "synonym": 50, "misspelt": 50}  # questions of others asked in each
NO_NAME = ("bare", "caps", "captions")  # of a file's name: how it is written, not what is made
MET = 0.8  # of a question's weight: where so much of it is said, it may be answered after all
# What the questions of each kind weigh together, half of it those that have an answer: of the few of tests/questions, which are
# what viewers ask, each weighs some five times as much as one of ours.
WEIGH = {"told": 1_000.0, "all": 700.0, "seen": 500.0, "harder": 500.0}
ANSWERED = 1.25  # to lose an answer is worse than to show what is none
LEFT_OUT_AS = "told"
UNUSED = ("bias", "telling")  # the latter adds nothing to "long"
LEAST = 20.0  # penalty on the squared weights


class Case(NamedTuple):
    """A question asked: its signs, whether it has an answer among the first five (``None``: an answer, but later)."""

    of: str
    fold: int
    signs: dict[str, float]
    answered: bool | None


# The narrations and where they lie ---------------------------------------------------------------------------------


@functools.cache
def told(name: str) -> list[Line]:
    """The spoken lines of a narration of ``told``, at a usual pace."""
    out, at = [], 0
    for row in (HERE / "told" / f"{name}.txt").read_text("utf-8").splitlines()[1:]:
        if row.strip() and row[0] not in "#>*":
            n = len(row.split())
            start, end = (w / benchmark.WORDS_A_SECOND for w in (at, at + n))
            out.append(Line(start_s=start, end_s=end, text=row.strip()))
            at += n
    return out


def questions() -> list[dict[str, Any]]:
    return [json.loads(row) for row in (HERE / "questions_told.jsonl").read_text("utf-8").splitlines()]


def haystacks() -> list[list[str]]:
    """The narrations that are asked about, in so many heaps."""
    names = sorted({q["n"] for q in questions() if "n" in q})
    random.Random(5).shuffle(names)
    return [names[k::HAYSTACKS] for k in range(HAYSTACKS)]


def fill(archive: Archive, names: list[str], logs: dict[str, Any]) -> None:
    """Put narrations into an archive, a build each. What was read is kept in ``logs``."""
    for name in names:
        lines = told(name)
        length = lines[-1].end_s
        if name not in logs:
            logs[name] = read(lines, RecordingInfo(path=f"{name}.txt", duration_s=length))
        build = archive.builds.make(" ".join(w for w in name.split("-")[1:] if w not in NO_NAME))
        part = archive.builds.make_part(build.id)
        recording = archive.builds.keep_recording(f"{name}.txt", sha256=f"{int(name[:4]):064x}", duration_s=length)
        archive.readings.keep_log(recording.id, "told", logs[name])
        archive.builds.set_cut(part.id, [Clip(recording_id=recording.id, in_s=0.0, out_s=length)])


# Asking -------------------------------------------------------------------------------------------------------------


class Asker:
    """Asks an archive, and tells how what was found looks."""

    def __init__(self, archive: Archive) -> None:
        find.bring_up(archive)
        find.fill(archive)
        self.archive = archive
        self.parts = {Path(r.path).stem: archive.builds.parts_with(r.id)[0] for r in archive.builds.recordings()}
        self.places = benchmark.places(archive)
        self.said = {s for p in self.places for s in stems(words_of(p.text))}

    def __call__(
        self, question: dict[str, Any], right: set[str], nowhere: bool, of: str, fold: int, unmet: bool = False
    ) -> Case | None:
        """``None`` where there is nothing to decide; with ``unmet`` also where some moment meets the words."""
        encoder = meaning()
        assert encoder is not None
        only = find.Only(**question.get("only", {}))
        with self.archive.store.read() as conn:
            asked = understand(conn, question["q"])
            ranked = searching.rank(conn, asked, only, encoder)
        if asked.order or not ranked or (unmet and self._met(asked, ranked) >= MET):
            return None
        if certainty.is_named(asked, ranked):  # that decides it
            return None
        answered = False
        if not nowhere:
            found = find.search(self.archive, question["q"], only=only, limit=5)
            starts = {(p.part_id, p.start_s) for p in self.places if p.id in right}
            answered = any((h.part_id, h.start_s) in starts for h in found.hits)
        return Case(of, fold, certainty.signs(asked, ranked), answered or (False if nowhere else None))

    def _met(self, asked: Question, ranked: list[Any]) -> float:
        idf = np.array([t.idf for t in asked.telling])
        return max(float(r.met @ idf) for r in ranked) / (float(idf.sum()) or 1.0)

    def right(self, question: dict[str, Any]) -> set[str]:
        lines, part, slack = told(question["n"]), self.parts[question["n"]], benchmark.SLACK_S
        spans = [(lines[first].start_s - slack, lines[last].end_s + slack) for first, last in question["at"]]
        return {
            p.id for p in self.places if p.part_id == part and any(p.start_s <= e and s <= p.end_s for s, e in spans)
        }


def asked_of_told(folder: Path) -> Iterator[Case | None]:
    every, heaps, logs = questions(), haystacks(), {}
    fold_of = {name: k * FOLDS // HAYSTACKS for k, heap in enumerate(heaps) for name in heap}
    for k, heap in enumerate([*heaps, sorted(fold_of)]):
        alone = k < HAYSTACKS
        with open_archive(kept(folder / (f"g{k}" if alone else "all"))) as archive:
            if not archive.builds.recordings():
                fill(archive, heap, logs)
            ask = Asker(archive)
            for n, q in enumerate(every):
                if q["kind"] == "nowhere":
                    if not all(ask.said.issuperset(stems(words_of(w))) for w in q["absent"]):
                        yield ask(
                            q, set(), True, "told" if alone else "all", k * FOLDS // HAYSTACKS if alone else n % FOLDS
                        )
                elif q["n"] in ask.parts:
                    yield ask(q, ask.right(q), False, "told" if alone else "all", fold_of[q["n"]])
            for kind, some in LEFT_OUT.items():
                others = [q for q in every if q["kind"] == kind and q["n"] not in ask.parts]
                for q in random.Random(k).sample(others, min(some, len(others))):
                    yield ask(q, set(), True, "left out", k * FOLDS // HAYSTACKS, unmet=True)


def asked_of_tests(folder: Path) -> Iterator[Case | None]:
    for half in ("seen", "harder"):
        numbers = (
            benchmark.HARDER_ONES if half == "harder" else [f"{n:02}" for n in range(1, 11)] + benchmark.CORPUS_ONES
        )
        with open_archive(kept(folder / half)) as archive:
            if not archive.builds.recordings():
                benchmark.fill_archive(archive, numbers)
            ask = Asker(archive)
            for n, q in enumerate(benchmark.questions(half)):
                right = benchmark.right_places(q, ask.parts, ask.places)
                yield ask(q, right, q["kind"] == "nowhere", half, n % FOLDS)


def kept(folder: Path) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    return folder / "archive.sqlite3"


# Fitting ------------------------------------------------------------------------------------------------------------


def matrix(cases: list[Case]) -> tuple[list[str], Floats]:
    names = [name for name in cases[0].signs if name not in UNUSED]
    return names, np.array([[c.signs[name] for name in names] for c in cases])


def fit(cases: list[Case]) -> dict[str, float]:
    """The weight of each sign: logistic, the two sides counting alike, by Newton's steps."""
    names, raw = matrix(cases)
    answered = np.array([bool(c.answered) for c in cases])
    weight = np.array([1.0 / HAYSTACKS if c.of == "told" and not c.answered else 1.0 for c in cases])  # asked of each
    of = np.array([LEFT_OUT_AS if c.of == "left out" else c.of for c in cases])
    for kind, whole in WEIGH.items():
        for side, share in ((answered, ANSWERED), (~answered, 1.0)):
            some = side & (of == kind)
            weight[some] *= share * whole / weight[some].sum()
    mean, scale = raw.mean(0), raw.std(0) + 1e-9
    w = logistic.fit((raw - mean) / scale, answered, np.array([LEAST] * len(names) + [1e-6]), weight)
    plain = w[:-1] / scale
    return {**dict(zip(names, plain.tolist(), strict=True)), "bias": float(w[-1] - plain @ mean)}


def sureness(weights: dict[str, float], cases: list[Case]) -> Floats:
    return np.array([sum(w * c.signs[name] for name, w in weights.items()) for c in cases])


def kept_at(sure: Floats, answered: npt.NDArray[np.bool_]) -> str:
    """What is kept where so much of what has no answer is told; and how often an answer is surer than none."""
    none, some = sure[~answered], sure[answered]
    shares = "  ".join(f"{a:.2f}: {(some > np.quantile(none, a)).mean():.3f}" for a in (0.6, 0.7, 0.8, 0.85, 0.9))
    surer = (some[:, None] > none[None, :]).mean()
    return f"{shares}   surer {surer:.3f}   at nought {(none <= 0).mean():.3f} told, {(some > 0).mean():.3f} kept"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--keep", type=Path, help="keep the archives in this folder and use them again")
    options = parser.parse_args()
    folder = options.keep or Path(tempfile.mkdtemp(prefix="fusing-"))
    began = time.monotonic()
    cases = [c for c in (*asked_of_told(folder), *asked_of_tests(folder)) if c is not None and c.answered is not None]
    print(f"{len(cases)} questions asked in {time.monotonic() - began:.0f} s")
    now: dict[str, list[tuple[float, bool]]] = {}
    new: dict[str, list[tuple[float, bool]]] = {}
    for fold in range(FOLDS):
        weights = fit([c for c in cases if c.fold != fold])
        here = [c for c in cases if c.fold == fold]
        for table, by in ((new, weights), (now, certainty.WEIGHTS)):
            for c, sure in zip(here, sureness(by, here).tolist(), strict=True):
                table.setdefault(c.of, []).append((sure, bool(c.answered)))
    for name, table in (("weights as they stand", now), ("cross-validated", new)):
        print(f"\n{name}")
        for of, rows in table.items():
            both = rows if of != "left out" else rows + [r for r in table["told"] if r[1]]
            print(f"  {of:9} {kept_at(np.array([s for s, _ in both]), np.array([a for _, a in both]))}")
    print("\n" + ", ".join(f'"{name}": {w:.3g}' for name, w in fit(cases).items()))


if __name__ == "__main__":
    main()
