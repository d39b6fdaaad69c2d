"""Read marked narrations: words and their labels.

The marks are explained in ``corpus/README.md``. ``read(text)`` gives the words as they are said, punctuation as words
of its own, and one label a word for each layer.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from pathlib import Path

KINDS = "MTPRX"
STATUS = {"": 0, "?": 1, "~": 2, ".": 3}
SPANS = "SCOKIFLD"
# A word as it is said, or a sign by itself; buildlog/outline/writer/spelling.py cuts talk in the same way.
WORD = re.compile(r"[A-Za-z0-9À-ÿ½¼¾⅛⅜⅝⅞°$£€%/'’]+(?:[.,:]\d+)*|[^\sA-Za-z0-9]")
_TOKEN = re.compile(
    r"\[(?P<open>[MTPRXYQ])(?P<sign>[?~.]?)\s|\{(?P<brace>[SCOKIFLD])\s|(?P<close>\])|(?P<cbrace>\})|(?P<word>"
    + WORD.pattern
    + r")|(?P<space>\s+)"
)


@dataclass
class Marked:
    """Words of one narration with a label list a layer, all of one length.

    ``kind``: 0 outside, else 1 + 2 * index in KINDS (begin) or 2 + 2 * index (inside). ``status``: -1 where there is
    none. ``amount``: 0, 1 begin, 2 inside. ``spans[c]``: the same for each span mark. ``chapter``: 1 where one begins.
    ``start``: 1 where a sentence begins, 2 after a comma or its like, 0 where talk goes on, -1 where that is not known
    (punctuation itself, and narrations written as a recogniser writes). ``first``: 1 and 2 (begin, inside) where a
    technique that the narration's list names is done for the first time, -1 throughout where there is no list. ``bare``: nothing
    but ``first`` is known.
    """

    name: str
    words: list[str] = field(default_factory=list)
    kind: list[int] = field(default_factory=list)
    status: list[int] = field(default_factory=list)
    amount: list[int] = field(default_factory=list)
    spans: dict[str, list[int]] = field(default_factory=lambda: {c: [] for c in SPANS})
    chapter: list[int] = field(default_factory=list)
    start: list[int] = field(default_factory=list)
    first: list[int] = field(default_factory=list)
    bare: bool = False


class MarkError(ValueError):
    """A mark that is not closed, closed twice, or unknown; the message names file and place."""


def read(text: str, name: str = "") -> Marked:
    """The narration in ``text``. Raises :class:`MarkError`."""
    out = Marked(name)
    chapter_next = False
    open_item: tuple[str, str, int] | None = None
    braces: list[tuple[str, int]] = []
    for number, line in enumerate(text.splitlines(), 1):
        if line.startswith("# "):
            chapter_next = True
            continue
        at = 0
        while at < len(line):
            m = _TOKEN.match(line, at)
            if m is None:
                raise MarkError(f"{name}:{number}: cannot read {line[at : at + 20]!r}")
            at = m.end()
            if m.group("open"):
                if open_item is not None:
                    raise MarkError(f"{name}:{number}: a bracket inside a bracket near {line[max(0, at - 30) : at]!r}")
                open_item = (m.group("open"), m.group("sign"), len(out.words))
            elif m.group("brace"):
                braces.append((m.group("brace"), len(out.words)))
            elif m.group("close"):
                if open_item is None:
                    raise MarkError(f"{name}:{number}: ']' without '['")
                letter, sign, start = open_item
                for i in range(start, len(out.words)):
                    inside = int(i > start)
                    if letter == "Q":
                        out.amount[i] = 1 + inside
                    elif letter != "Y":  # an act that no list of techniques would name
                        out.kind[i] = 1 + 2 * KINDS.index(letter) + inside
                        out.status[i] = STATUS[sign]
                open_item = None
            elif m.group("cbrace"):
                if not braces:
                    raise MarkError(f"{name}:{number}: '}}' without '{{'")
                letter, start = braces.pop()
                for i in range(start, len(out.words)):
                    out.spans[letter][i] = 1 + int(i > start)
            elif m.group("word"):
                out.words.append(m.group("word"))
                out.kind.append(0)
                out.status.append(-1)
                out.amount.append(0)
                for c in SPANS:
                    out.spans[c].append(0)
                out.chapter.append(int(chapter_next))
                chapter_next = False
    if open_item is not None or braces:
        raise MarkError(f"{name}: {'[' + open_item[0] if open_item else '{' + braces[-1][0]} is never closed")
    out.start = _starts(out.words)
    out.first = [-1] * len(out.words)
    return out


def _starts(words: list[str]) -> list[int]:
    """The layer ``start``, from punctuation that can be trusted: enough full stops, and capitals after them."""
    out, pending, stops, capitals = [], 1, 0, 0
    for w in words:
        if w[0].isalnum() or w[0] in "'’$£€½¼¾":
            out.append(pending)
            if pending == 1:
                stops += 1
                capitals += not w[0].islower()
            pending = 0
        else:
            out.append(-1)
            if w in ".?!":
                pending = 1
            elif w in ",;:-–—" and not pending:
                pending = 2
    if stops < len(words) / 40 or capitals < 0.9 * stops:
        return [-1] * len(words)
    return out


def read_folder(folder: Path) -> list[Marked]:
    """All narrations of a folder, in the order of their names, with the lists of ``techniques.jsonl`` beside it."""
    out = [read(p.read_text(encoding="utf-8"), p.name) for p in sorted(folder.glob("[0-9]*.txt"))]
    listed: dict[str, list[tuple[int, int]]] = {}
    lists = folder.parent / "techniques.jsonl"
    for line in lists.read_text(encoding="utf-8").splitlines() if lists.is_file() else ():
        row = json.loads(line)
        listed.setdefault(row["n"] + ".txt", []).append(tuple(row["at"]))
    for m in out:
        if m.name in listed:
            m.first = [0] * len(m.words)
            for a, b in listed[m.name]:
                m.first[a : b + 1] = [1] + [2] * (b - a)
    return out


if __name__ == "__main__":
    import sys
    from collections import Counter

    total: Counter[str] = Counter()
    for path in sys.argv[1:] or sorted(str(p) for p in (Path(__file__).parent / "corpus").glob("[0-9]*.txt")):
        m = read(Path(path).read_text(encoding="utf-8"), Path(path).name)
        counts = Counter(
            KINDS[(k - 1) // 2] + "?~."[s - 1 : s] if s else KINDS[(k - 1) // 2]
            for k, s in zip(m.kind, m.status, strict=True)
            if k % 2 == 1
        )
        counts.update({c: sum(1 for v in m.spans[c] if v == 1) for c in SPANS})
        counts["Q"] = sum(v == 1 for v in m.amount)
        counts["words"], counts["chapters"] = len(m.words), sum(m.chapter)
        total += counts
        print(f"{Path(path).name:40}", " ".join(f"{k}:{v}" for k, v in sorted(counts.items())))
    print("all:", " ".join(f"{k}:{v}" for k, v in sorted(total.items())))
