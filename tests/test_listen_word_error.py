"""Word error on human speech whose words are published: LibriVox clips in Debian's pocketsphinx-testdata.

`.ci/run` installs the package. Bars: base 5 %, tiny.en 10 %; the normaliser is described in benchmarks/word_error.py.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.mark.parametrize("model", ["base", "tiny.en"])
def test_word_error_on_published_words(model: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(ROOT / "benchmarks"))
    import word_error

    if not word_error.LIBRIVOX.is_dir():
        if os.environ.get("CI"):
            pytest.fail("the LibriVox clips are missing: apt-get install pocketsphinx-testdata")
        pytest.skip("the LibriVox clips are missing: apt-get install pocketsphinx-testdata")
    assert word_error.word_error(model) <= word_error.BARS[model]
    assert "whisper" not in sys.modules, "the normaliser is our own"
