"""Narrations with the steps that are told in them: what the writer of steps learns from.

Two sources, both invented for this project: ``told/`` (narrations with their steps between the lines, see ``told/README.md``) and
``steps.jsonl`` (written steps for the marked narrations of ``corpus/``). :func:`read_all` gives both in one shape.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from pathlib import Path

from markup import WORD, read_folder

_SMALL = frozenset(
    "a an the of to and or in on at with for from into onto over it them then so up down by your off out i is was be this that".split()
)
LEFT, RIGHT = 4, 3  # words a telling is widened by at most, to the next punctuation


@dataclass
class Telling:
    """Words ``start`` to ``end`` tell the ``steps``."""

    start: int
    end: int
    steps: list[str]


@dataclass
class Narration:
    """``words`` as said, punctuation as words; ``first`` marks the word with which a listed technique is done for the first time
    (1), others (0), or -1 throughout where no list is known."""

    name: str
    words: list[str]
    tellings: list[Telling] = field(default_factory=list)
    first: list[int] = field(default_factory=list)
    nouns: set[str] = field(default_factory=set)


def stem(word: str) -> str:
    w = word.lower()
    for end in ("ing", "ed", "es", "s", "ly"):
        if w.endswith(end) and len(w) - len(end) >= 3:
            w = w[: -len(end)]
            break
    if len(w) > 3 and w[-1] == w[-2]:
        w = w[:-1]
    return w.rstrip("e")


def tight(words: list[str], a: int, b: int, step: str) -> tuple[int, int]:
    """The part of the words ``a`` to ``b`` that says ``step``: where most of its content words stand closest."""
    wanted = {stem(w) for w in WORD.findall(step) if w.lower() not in _SMALL and w[0].isalnum()}
    at = [i for i in range(a, b) if words[i].lower() not in _SMALL and stem(words[i]) in wanted]
    if len(at) < 2:
        return a, b
    best, lo, hi = -1e9, a, b
    for n, i in enumerate(at):
        seen: set[str] = set()
        for j in at[n:]:
            seen.add(stem(words[j]))
            score = len(seen) - 0.06 * (j - i)
            if score > best:
                best, lo, hi = score, i, j + 1
    for _ in range(LEFT):
        if lo > a and words[lo - 1][0].isalnum():
            lo -= 1
    for _ in range(RIGHT):
        if hi < b and words[hi][0].isalnum():
            hi += 1
    return lo, hi


def settle(words: list[str], told: list[tuple[int, int, str]]) -> list[Telling]:
    """Tellings in order, none overlapping: those that share most of their words are one with several steps."""
    out: list[Telling] = []
    for start, b, step in sorted((*tight(words, a, b, s), s) for a, b, s in told):
        a = start
        if out and a < out[-1].end:
            last = out[-1]
            shared = min(b, last.end) - a
            if shared > 0.6 * min(b - a, last.end - last.start):
                last.end = max(last.end, b)
                last.steps.append(step)
                continue
            a = last.end
        if b > a:
            out.append(Telling(a, b, [step]))
    return out


def _named(words: list[str], lines: list[int], name: str) -> int | None:
    """The word that says the technique ``name``, in the last of the spoken ``lines`` (their first words) that has one."""
    said = [stem(w) for w in words]
    for same in (lambda a, b: a == b, lambda a, b: len(a) > 3 and len(b) > 3 and a[:4] == b[:4]):
        for wanted in reversed([stem(w) for w in WORD.findall(name) if w.lower() not in _SMALL]):
            for start, end in reversed(list(zip(lines, [*lines[1:], len(words)], strict=True))):
                for i in range(start, end):
                    if same(said[i], wanted):
                        return i
    return None


def read_told(path: Path) -> Narration:
    """A narration of ``told/``. Raises ``ValueError`` naming file and line where a line cannot be read."""
    words: list[str] = []
    starts: list[int] = []  # of the spoken lines
    told: list[tuple[int, int, str]] = []
    first: dict[int, int] = {}
    for number, raw in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        line = raw.strip()
        if not line or line.startswith("#"):
            continue
        if m := re.match(r">(\d*)\s+(.+)$", line):
            back = int(m.group(1) or 1)
            if not 1 <= back <= len(starts):
                raise ValueError(f"{path.name}:{number}: no {back} spoken lines before it")
            told.append((starts[-back], len(words), m.group(2)))
        elif m := re.match(r"\*\s+(.+)$", line):
            hit = _named(words, starts[-3:], m.group(1))
            if hit is not None:
                first[hit] = 1
            elif starts:  # done in other words: nobody knows in which
                first |= {i: -1 for i in range(starts[-1], len(words)) if first.get(i) != 1}
        elif line.startswith((">", "*")):
            raise ValueError(f"{path.name}:{number}: a mark without words")
        else:
            starts.append(len(words))
            words.extend(WORD.findall(line))
    return Narration(path.stem, words, settle(words, told), [first.get(i, 0) for i in range(len(words))])


def read_every_told(folder: Path) -> list[Narration]:
    """The narrations of ``told/`` under ``models/training``, in the order of their numbers."""
    return [read_told(p) for p in sorted((folder / "told").glob("[0-9]*.txt"))]


def read_all(folder: Path) -> list[Narration]:
    """All narrations with written steps under ``models/training``."""
    by: dict[str, list[tuple[int, int, str]]] = {}
    for line in (folder / "steps.jsonl").read_text(encoding="utf-8").splitlines():
        row = json.loads(line)
        by.setdefault(row["n"] + ".txt", []).append((row["at"][0], row["at"][1] + 1, row["step"]))
    out = []
    nouns: set[str] = set()
    for m in read_folder(folder / "corpus"):
        nouns.update(
            m.words[i].lower()
            for i in range(len(m.words))
            if 1 <= m.kind[i] <= 6 and (i + 1 == len(m.words) or m.kind[i + 1] % 2 == 1 or not m.kind[i + 1])
        )
        if m.name in by:
            first = [int(f == 1) if f >= 0 else -1 for f in m.first]
            out.append(Narration(m.name, m.words, settle(m.words, by[m.name]), first))
    out += read_every_told(folder)
    for n in out:
        n.nouns = {w.lower() for w in n.words if w.lower() in nouns and w.isalpha() and len(w) > 2}
    return out


if __name__ == "__main__":
    every = read_all(Path(__file__).parent)
    print(
        f"{len(every)} narrations, {sum(len(n.words) for n in every)} words, "
        f"{sum(len(t.steps) for n in every for t in n.tellings)} steps in {sum(len(n.tellings) for n in every)} tellings"
    )
