"""Word error rate of the speech models on human speech whose words are published.

The audio and its words are the LibriVox clips (public domain, librivox.org) in Debian's ``pocketsphinx-testdata``.
Normaliser: lower case; hyphens become blanks; only letters and apostrophes are kept; "mr" becomes "mister". Not
Whisper's own, which rewrites numbers. The reference has a slip of its own ("a more a amiable"), counted against us.

    uv run python benchmarks/word_error.py [MODEL …]

Leaves with 1 where a model is above its bar.
"""

from __future__ import annotations

import re
import sys
import tempfile
from pathlib import Path

import jiwer
from speech import LIBRIVOX, librivox

from buildlog.listen import hear

BARS = {"base": 0.05, "tiny.en": 0.10}


def normal(text: str) -> str:
    words = re.sub(r"[^a-z' ]+", "", text.lower().replace("-", " ")).split()
    return " ".join("mister" if w == "mr" else w for w in words)


def word_error(model: str) -> float:
    """Share of the words that are wrong over all clips, each heard by itself."""
    said, heard = [], []
    with tempfile.TemporaryDirectory() as cache:
        for path, words in librivox():
            lines = hear(path, model=model, cache=Path(cache)).lines
            said.append(normal(words))
            heard.append(normal(" ".join(line.text for line in lines)))
    return float(jiwer.wer(said, heard))


def main() -> int:
    if not LIBRIVOX.is_dir():
        raise SystemExit("the clips are missing: apt-get install pocketsphinx-testdata")
    failed = False
    for model in sys.argv[1:] or list(BARS):
        wer = word_error(model)
        bar = BARS.get(model)
        failed |= bar is not None and wer > bar
        print(f"{model:<10} word error {100 * wer:5.2f} %" + (f"   bar {100 * bar:.0f} %" if bar else ""))
    return int(failed)


if __name__ == "__main__":
    sys.exit(main())
