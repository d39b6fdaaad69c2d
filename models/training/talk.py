"""How common words are in makers' talk, for the repair of misheard words: writes ``buildlog/crafts/talk.txt``.

    python models/training/talk.py

A row: a word, and in how many of the narrations of ``corpus`` it stands; words of fewer than three are left out.
"""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

HERE = Path(__file__).resolve().parent
OUT = HERE.parent.parent / "buildlog" / "crafts" / "talk.txt"
LEAST = 3


def words(marked: str) -> set[str]:
    """The words of a narration, without its headings and marks."""
    text = re.sub(r"^#.*$", "", marked, flags=re.M)
    text = re.sub(r"[\[{][A-Z][?~.]? ", "", text)
    return {w.strip("'") for w in re.findall("[a-z']+", text.lower().replace("’", "'"))} - {""}


def main() -> None:
    counts = Counter(w for p in (HERE / "corpus").glob("[0-9]*.txt") for w in words(p.read_text("utf-8")))
    rows = [f"{w} {n}" for w, n in sorted(counts.items()) if n >= LEAST]
    OUT.write_text("\n".join(rows) + "\n", encoding="utf-8")
    print(f"{len(rows)} words")


if __name__ == "__main__":
    main()
