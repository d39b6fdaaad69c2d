"""Score steps and chapters, beside baselines; share of sentences that pass the grammar check; speed.

    python benchmarks/outline.py [dev|unseen|FOLDER] [--no-model] [--misses] [--sheet] [--qmsum FILE] [--joined N] [--speed]

Steps and chapters are matched as ``benchmarks/score.py`` says. Pk and WindowDiff come from segeval 2.0.11 (window: half
the mean reference segment; Pevzner and Hearst 2002), over seconds, for ours, for equal spacing with as many chapters as
ours, and for TextTiling (nltk; Hearst 1997). ``--qmsum`` takes QMSum's ``ALL_test.jsonl`` (MIT licence, Zhong et al.
2021,
https://github.com/Yale-LILY/QMSum): topic spans of meetings, over turns. ``--sheet`` prints the steps to be read one by
one. ``--joined`` reads N narrations on end as one long talk. Titles are counted as bare where they name acts and no thing, and
compared with the sheet's title of the same chapter: do they share a word? ``--misses`` and ``--sheet`` are refused for the unseen half.
"""

from __future__ import annotations

import argparse
import itertools
import json
import re
import statistics
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import msgspec
from score import Tally

from buildlog.document import Line
from buildlog.listen.transcript import read as read_transcript

HOME = Path(__file__).resolve().parents[1] / "tests" / "narrations"
THREE_HOURS_S = 3 * 3600


def masses(starts: Sequence[float], end: float) -> tuple[int, ...]:
    """Lengths in whole seconds of the stretches that begin at ``starts`` (0 is added) and end at ``end``."""
    edges = sorted({0, *(round(s) for s in starts if 0 < s < end - 1), round(end)})
    return tuple(b - a for a, b in itertools.pairwise(edges))


def distances(gold: Sequence[float], got: Sequence[float], end: float) -> tuple[float, float]:
    """Pk and WindowDiff between two segmentations of ``end`` units."""
    import segeval  # type: ignore[import-untyped]

    a, b = masses(got, end), masses(gold, end)
    return float(segeval.pk(a, b)), float(segeval.window_diff(a, b))


def equal(count: int, end: float) -> list[float]:
    """``count`` starts at equal distances, the first at 0."""
    return [end * i / count for i in range(count)]


def tiles(texts: Sequence[str]) -> list[int]:
    """Indices of the texts at which nltk's TextTiling begins a segment (paragraph breaks after every text)."""
    from nltk.tokenize import TextTilingTokenizer  # type: ignore[import-untyped]

    stop = [
        "the",
        "a",
        "and",
        "i",
        "it",
        "to",
        "of",
        "you",
        "in",
        "that",
        "is",
        "so",
        "on",
        "this",
        "we",
        "with",
        "for",
        "was",
    ]
    joined = "\n\n".join(t if t.strip() else "." for t in texts)
    try:
        parts = TextTilingTokenizer(w=15, k=8, stopwords=stop).tokenize(joined)
    except ValueError:
        return [0]
    starts, at = [], 0
    for part in parts:
        starts.append(at)
        at += sum(1 for p in part.split("\n\n") if p.strip())
    return starts


def joined(folder: Path, count: int) -> None:
    """Chapters of ``count`` narrations on end, beside those that their sheets have together."""
    from buildlog.outline import outline
    from buildlog.tag.pipeline import tag

    paths = [p for p in sorted(folder.glob("*.txt")) if p.with_suffix(".answers.json").is_file()]
    for group in (paths[i : i + count] for i in range(0, len(paths) - count + 1, count)):
        lines: list[Line] = []
        right: list[float] = []
        at = 0.0
        for path in group:
            gold = json.loads(path.with_suffix(".answers.json").read_text(encoding="utf-8"))
            right += [at + c["start_s"] for c in gold["chapters"]]
            lines += [Line(start_s=at + x.start_s, end_s=at + x.end_s, text=x.text) for x in read_transcript(path)]
            at = lines[-1].end_s
        ours = [c.start_s for c in outline(tag(lines).doc, duration_s=at).chapters]
        pk, wd = distances(right, ours, at)
        base_pk, base_wd = distances(right, equal(len(ours), at), at)
        print(
            f"{at / 60:.0f} min: {len(ours)} chapters ({len(right)} in the sheets), Pk {pk:.3f}, WindowDiff {wd:.3f}; equal "
            f"spacing {base_pk:.3f}, {base_wd:.3f}"
        )


def _stems(title: str) -> set[str]:
    from nltk.stem import PorterStemmer

    stem = PorterStemmer().stem
    return {stem(w) for w in re.findall("[a-z]+", title.lower())} - _LITTLE


_LITTLE = frozenset("the a an of and to in on up it for with make choos fit work put about out".split())
_NAMELESS = ("intro", "wrapping up")


def title_figures(pairs: Sequence[tuple[str, str | None]]) -> str:
    """Of (our title, the sheet's for the same chapter or None): how many name no thing, how many share a word."""
    named = [(t, g) for t, g in pairs if t.lower() not in _NAMELESS]
    bare = sum(re.fullmatch(r"(\w+ )?\w+ing( and (\w+ )?\w+ing)?", t) is not None for t, _ in named)
    both = [(t, g) for t, g in named if g is not None and g.lower() not in _NAMELESS]
    alike = sum(bool(_stems(t) & _stems(g)) for t, g in both)
    return f"titles: {bare} of {len(named)} name no thing; {alike} of {len(both)} share a word with the sheet's"


def narrations(folder: Path, *, misses: bool, sheet: bool) -> None:
    from buildlog.outline import outline
    from buildlog.outline.grammar import check
    from buildlog.tag.pipeline import tag

    tally = Tally()
    measured: dict[str, list[tuple[float, float]]] = {"ours": [], "equal spacing": [], "TextTiling": []}
    sentences: list[str] = []
    titles: list[tuple[str, str | None]] = []
    for path in sorted(folder.glob("*.txt")):
        answers = path.with_suffix("").with_suffix(".answers.json")
        if not answers.is_file():
            continue
        gold: dict[str, Any] = json.loads(answers.read_text(encoding="utf-8"))
        lines = read_transcript(path)
        end = lines[-1].end_s
        made = outline(tag(lines).doc, duration_s=end)
        tally.add({k: gold[k] for k in ("steps", "chapters")}, msgspec.to_builtins(made), path.stem[:2])
        sentences += [s.text for s in made.steps]
        right = [c["start_s"] for c in gold["chapters"]]
        ours = [c.start_s for c in made.chapters]
        for c in made.chapters:
            near = min(gold["chapters"], key=lambda g: abs(g["start_s"] - c.start_s))
            titles.append((c.title, near["title"] if abs(near["start_s"] - c.start_s) <= 10 else None))
        texttiling = [lines[min(i, len(lines) - 1)].start_s for i in tiles([line.text for line in lines])]
        for name, starts in (("ours", ours), ("equal spacing", equal(len(ours), end)), ("TextTiling", texttiling)):
            measured[name].append(distances(right, starts, end))
    print(tally.table())
    print(f"\n{'':16}{'Pk':>7}{'WinDiff':>9}   (lower is better)")
    for name, values in measured.items():
        print(f"{name:16}{statistics.mean(v[0] for v in values):7.3f}{statistics.mean(v[1] for v in values):9.3f}")
    print("\n" + title_figures(titles))
    faults = check(sentences)
    print(
        f"\nstep sentences that pass the grammar check: {1 - len(faults) / max(1, len(sentences)):.3f} of "
        f"{len(sentences)}"
    )
    if misses:
        print("\n".join(tally.misses))
        print("\n".join(f"grammar: {f.why}: {f.text}" for f in faults))
    if sheet:
        print("\n".join(sentences))


def qmsum(path: Path, most: int) -> None:
    """Topic segmentation of meetings: turns as lines; the gold starts are the topics' first turns."""
    from buildlog.outline import ChapterWish, outline
    from buildlog.tag.pipeline import tag

    measured: dict[str, list[tuple[float, float]]] = {
        "ours": [],
        "ours, count given": [],
        "equal spacing": [],
        "TextTiling": [],
    }
    for row in path.read_text(encoding="utf-8").splitlines()[:most]:
        meeting = json.loads(row)
        turns = [t["content"] for t in meeting["meeting_transcripts"]]
        starts = sorted({int(span[0]) for topic in meeting["topic_list"] for span in topic["relevant_text_span"]})
        lines, times, at = [], [], 0.0
        for text in turns:
            length = max(0.4, len(text.split()) / 2.5)
            times.append(at)
            lines.append(Line(start_s=at, end_s=at + length, text=text))
            at += length
        doc = tag(lines).doc
        index = {t: i for i, t in enumerate(times)}

        def turn(second: float, index: dict[float, int] = index, times: list[float] = times) -> int:
            return index[max(t for t in times if t <= second + 1e-6)]

        n = len(turns)
        free = [turn(c.start_s) for c in outline(doc, duration_s=at).chapters]
        given = [turn(c.start_s) for c in outline(doc, duration_s=at, wish=ChapterWish(count=len(starts))).chapters]
        for name, got in (
            ("ours", free),
            ("ours, count given", given),
            ("equal spacing", [round(x) for x in equal(len(starts), n)]),
            ("TextTiling", tiles(turns)),
        ):
            measured[name].append(distances(starts, got, n))
    print(f"\nQMSum, {len(measured['ours'])} meetings\n{'':20}{'Pk':>7}{'WinDiff':>9}")
    for name, values in measured.items():
        print(f"{name:20}{statistics.mean(v[0] for v in values):7.3f}{statistics.mean(v[1] for v in values):9.3f}")


def speed() -> None:
    """The outline alone, of the development narrations said over and over for three hours."""
    from buildlog.outline import outline
    from buildlog.tag.pipeline import tag
    from buildlog.tag.view import view_of

    lines: list[Line] = []
    at = 0.0
    texts = [read_transcript(p) for p in sorted((HOME / "dev").glob("*.txt"))]
    while at < THREE_HOURS_S:
        for narration in texts:
            lines += [Line(start_s=at + x.start_s, end_s=at + x.end_s, text=x.text) for x in narration]
            at = lines[-1].end_s
    doc = tag(lines).doc
    view_of(doc)
    words = sum(len(x.text.split()) for x in lines)
    for name, write, times_over in (("by the rules alone", False, 3), ("with the steps written", True, 1)):
        times = []
        for _ in range(times_over):
            begin = time.process_time()
            made = outline(doc, duration_s=at, write=write)
            times.append(time.process_time() - begin)
        spent = statistics.median(times)
        print(
            f"outline of {at / 3600:.1f} h, {name} ({len(doc)} tokens, {len(made.steps)} steps, {len(made.chapters)} chapters): "
            f"{spent:.2f} s of one core (median of {times_over}), {words / spent:.0f} words a second"
        )


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    p.add_argument("half", nargs="?", default="dev")
    p.add_argument("--no-model", action="store_true")
    p.add_argument("--misses", action="store_true")
    p.add_argument("--sheet", action="store_true")
    p.add_argument("--qmsum", type=Path)
    p.add_argument("--meetings", type=int, default=8)
    p.add_argument("--joined", type=int, metavar="N")
    p.add_argument("--speed", action="store_true")
    a = p.parse_args()
    if (a.misses or a.sheet) and "unseen" in a.half:
        p.error("the unseen half is only looked at as a score; use dev")
    if a.no_model:
        import buildlog.tag.reader as reader

        reader.model_folder = lambda: None
    if a.qmsum:
        qmsum(a.qmsum, a.meetings)
    elif a.speed:
        speed()
    elif a.joined:
        joined(Path(a.half) if Path(a.half).is_dir() else HOME / a.half, a.joined)
    else:
        folder = Path(a.half) if Path(a.half).is_dir() else HOME / a.half
        narrations(folder, misses=a.misses, sheet=a.sheet)


if __name__ == "__main__":
    main()
