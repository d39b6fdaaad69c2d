"""Which words makers name chapters by: writes ``buildlog/crafts/headings.txt``.

    python models/training/headings.py

A row: ``N`` (noun) or ``V`` (verb), a lemma, in how many chapters of the narrations of ``corpus`` it is said, and in how
many of those the chapter's title has it; words of fewer than four chapters are left out.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from nltk.stem import PorterStemmer  # type: ignore[import-untyped]

from buildlog.tag.language import english

HERE = Path(__file__).resolve().parent
OUT = HERE.parent.parent / "buildlog" / "crafts" / "headings.txt"
LEAST = 4
CLASSES = {"NOUN": "N", "PROPN": "N", "VERB": "V"}


def chapters(marked: str) -> Iterator[tuple[str, str]]:
    """Title and words of every chapter of a narration, without marks."""
    for part in re.split(r"^# ", marked, flags=re.M)[1:]:
        title, _, text = part.partition("\n")
        text = re.sub(r"[\[{][A-Z][?~.]? ", "", text)
        yield title, re.sub(r"[\]}]", "", text)


def main() -> None:
    nlp = english()
    nlp.disable_pipe("parser")
    stem = PorterStemmer().stem
    said: Counter[tuple[str, str]] = Counter()
    named: Counter[tuple[str, str]] = Counter()
    pairs = [pair for p in sorted((HERE / "corpus").glob("[0-9]*.txt")) for pair in chapters(p.read_text("utf-8"))]
    for (title, _), doc in zip(pairs, nlp.pipe(text for _, text in pairs), strict=True):
        in_title = {stem(w) for w in re.findall("[a-z]+", title.lower())}
        for word in {(CLASSES[t.pos_], t.lemma_.lower()) for t in doc if t.pos_ in CLASSES and t.text.isalpha()}:
            said[word] += 1
            named[word] += stem(word[1]) in in_title
    rows = [f"{c} {lemma} {n} {named[c, lemma]}" for (c, lemma), n in sorted(said.items()) if n >= LEAST]
    OUT.write_text("\n".join(rows) + "\n", encoding="utf-8")
    for c in "NV":
        share = sum(n for (k, _), n in named.items() if k == c) / sum(n for (k, _), n in said.items() if k == c)
        print(f"{c}: {sum(r.startswith(c) for r in rows)} words, in the title of {share:.4f} of their chapters")


if __name__ == "__main__":
    main()
