"""From timed lines to a ``Doc`` on which everything that was said is marked.

The parse runs over stretches of a few thousand words, so that cost stays linear and memory bounded; the rules run once
over the whole.
"""

from __future__ import annotations

import functools
from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from buildlog.document import Line, Repair, Word
from buildlog.tag import reader
from buildlog.tag.language import english
from buildlog.tag.punctuating import punctuate
from buildlog.tag.speech import Cleaned, clean
from buildlog.tag.timed import to_doc, words_of

if TYPE_CHECKING:
    import numpy.typing as npt
    from spacy.language import Language
    from spacy.tokens import Doc

    from buildlog.tag.lexicon import Lexicon
    from buildlog.tag.reader import Reading

_STRETCH = 1500  # words a parse
# The reader reads again where so great a share of so many words got other punctuation, with tokens around as context.
_ANEW_SHARE, _ANEW_WORDS, _CONTEXT = 0.05, 300, 40
# Common English words that no neighbouring language writes the same ("a", "i", "to", "do", "of", "we" are left out): a
# quarter to a third of any talk, a fifteenth of a terse instruction, a hundredth of Dutch, Danish or Polish.
_ENGLISH = frozenset(
    "the and but for with it this that you my your have just then now it's i'm that's there they she out from what when can "
    "will into until each between through after before some make use need add cut both these which again".split()
)
_ENGLISH_SHARE = 0.05


@dataclass(slots=True)
class Tagged:
    """``doc`` with all marks; ``repairs`` of misheard words; ``english`` False where the words are not English."""

    doc: Doc
    repairs: list[Repair] = field(default_factory=list)
    english: bool = True


@functools.cache
def rules() -> Language:
    """The pipeline of ``pipeline.cfg``: every component registers itself when its module is imported."""
    import spacy.util

    import buildlog.tag.amounts
    import buildlog.tag.components
    import buildlog.tag.derived
    import buildlog.tag.notes
    import buildlog.tag.notes.glossary
    import buildlog.tag.promises  # noqa: F401

    config = spacy.util.load_config(Path(__file__).with_name("pipeline.cfg"))
    nlp: Language = spacy.util.load_model_from_config(config, auto_fill=True)
    return nlp


def tag(
    lines: Sequence[Line],
    *,
    own_words: Mapping[str, str] | None = None,
    progress: Callable[[float], None] | None = None,
) -> Tagged:
    """Read ``lines``. ``own_words`` are the maker's (term -> kind); ``progress`` is told the share done (0 to 1)."""
    from buildlog.tag.lexicon import Lexicon

    words: list[Word] = []
    line_of: list[int] = []
    for n, line in enumerate(lines):
        for w in words_of(line):
            words.append(_after(words[-1], w) if words else w)
            line_of.append(n)
    if not is_english([w.text for w in words]):
        return Tagged(_parse([], [], set(), None), english=False)
    lexicon = Lexicon.load(own_words)
    repaired, repairs = _repair(words, lexicon)
    if len(repaired) != len(words):
        times = [w.start_s for w in words]
        line_of = [line_of[max(0, bisect_right(times, w.start_s) - 1)] for w in repaired]
    cleaned = clean(repaired, line_of)
    components = rules().pipeline
    heard, reading = punctuated(cleaned)
    doc = _parse(heard, cleaned.line_of, cleaned.starts, progress)
    doc._.reader = reading
    doc.user_data["lexicon"] = lexicon
    doc.user_data["slips"] = cleaned.slips
    for _, component in components:
        doc = component(doc)
    if progress:
        progress(1.0)
    return Tagged(doc, repairs)


def _after(before: Word, w: Word) -> Word:
    """``w``, not earlier than the word before it: broken captions run backwards, and everything later counts on order."""
    start_s = max(w.start_s, before.start_s)
    end_s = max(w.end_s, start_s)
    if start_s == w.start_s and end_s == w.end_s:
        return w
    return Word(start_s=start_s, end_s=end_s, text=w.text, p=w.p, heard=w.heard)


def is_english(texts: Sequence[str]) -> bool:
    """Whether the script is English's and enough of the words are common ones that only English has.

    Fewer than 30 words (or letters, for the script) get the benefit of the doubt.
    """
    words = [t.lower().strip(".,?!;:\"'()") for t in texts if any(map(str.isalpha, t))]
    sample = words[:: max(1, len(words) // 3000)]
    letters = [c for w in sample for c in w if c.isalpha()]
    if len(letters) >= 30 and sum(map(str.isascii, letters)) < 0.5 * len(letters):
        return False
    if len(words) < 30:
        return True
    return sum(w in _ENGLISH for w in sample) >= _ENGLISH_SHARE * len(sample)


def _repair(words: list[Word], lexicon: Lexicon) -> tuple[list[Word], list[Repair]]:
    from buildlog.tag.repairs import repair

    return repair(words, lexicon)


def punctuated(cleaned: Cleaned) -> tuple[list[Word], Reading | None]:
    """The words, punctuated as the trained reader hears them, and what it reads of them.

    Where much was punctuated they are read anew: what the reader names it names more surely in sentences.
    """
    doc = to_doc(english().tokenizer, cleaned.words, cleaned.line_of)
    reading = reader.read([t.text for t in doc])
    if reading is None or "start" not in reading.layers:
        return cleaned.words, reading
    first = np.unique(np.asarray(doc.user_data["word"], dtype=np.int64), return_index=True)[1]  # one token a word
    words = punctuate(cleaned.words, reading.layers["start"][first], reading.goes_on()[first])
    changed = [a is not b for a, b in zip(words, cleaned.words, strict=True)]
    if not any(changed):
        return words, reading
    now = to_doc(english().tokenizer, words, cleaned.line_of)
    moved = reading.moved(_places(doc, now))
    _read_anew(moved, now, changed)
    return words, moved


def _read_anew(reading: Reading, doc: Doc, changed: list[bool]) -> None:
    """Read again, into ``reading``, the stretches of ``doc`` in which a good part of the words got other punctuation."""
    stretches: list[tuple[int, int]] = []
    for lo in range(0, len(changed), _ANEW_WORDS):
        hi = min(lo + _ANEW_WORDS, len(changed))
        if sum(changed[lo:hi]) > _ANEW_SHARE * (hi - lo):
            if stretches and stretches[-1][1] == lo:
                lo = stretches.pop()[0]
            stretches.append((lo, hi))
    if not stretches:
        return
    texts = [t.text for t in doc]
    first_of = np.searchsorted(np.asarray(doc.user_data["word"]), np.arange(len(changed) + 1))
    for lo, hi in stretches:
        start, end = int(first_of[lo]), int(first_of[hi])
        at = max(0, start - _CONTEXT)
        again = reader.read(texts[at : end + _CONTEXT])
        if again is not None:
            for name, p in reading.layers.items():
                p[start:end] = again.layers[name][start - at : end - at]


def _places(old: Doc, new: Doc) -> npt.NDArray[np.int64]:
    """Where each token of ``new`` stood in ``old``, which has the same words with other punctuation; else -1."""
    rows: dict[int, list[int]] = {}
    for i, w in enumerate(old.user_data["word"]):
        rows.setdefault(w, []).append(i)
    out = np.full(len(new), -1, dtype=np.int64)
    at, word = 0, -1
    for j, w in enumerate(new.user_data["word"]):
        if w != word:
            at, word = 0, w
        mine = rows.get(w, [])
        if at < len(mine) and new[j].lower_ == old[mine[at]].lower_:
            out[j] = mine[at]
            at += 1
    return out


def _parse(words: list[Word], line_of: list[int], starts: set[int], progress: Callable[[float], None] | None) -> Doc:
    from spacy.tokens import Doc

    nlp = english()
    docs: list[Doc] = []
    merged: dict[str, list[float]] = {"start_s": [], "end_s": [], "p": [], "line": [], "word": []}
    at = 0
    while at < len(words) or not docs:
        end = _stretch_end(words, starts, at)
        doc = to_doc(nlp.tokenizer, words[at:end], line_of[at:end])
        begins = {words[i].start_s for i in starts if at < i < end}
        times = doc.user_data["start_s"]
        for token in doc:
            if token.i and times[token.i] in begins and times[token.i - 1] != times[token.i]:
                token.is_sent_start = True
        doc.user_data["word"] = [at + i for i in doc.user_data["word"]]
        for key, values in merged.items():
            values.extend(doc.user_data[key])
        for _, component in nlp.pipeline:
            doc = component(doc)
        docs.append(doc)
        at = end
        if progress and words:
            progress(0.6 * at / len(words))
        if not words:
            break
    whole = docs[0] if len(docs) == 1 else Doc.from_docs(docs, ensure_whitespace=True, exclude=["user_data"])
    whole.user_data.update(merged)
    return whole


def _stretch_end(words: list[Word], starts: set[int], at: int) -> int:
    """The end of a stretch that begins at ``at``: where a sentence ends, if one does within reach."""
    limit = at + _STRETCH
    if limit >= len(words):
        return len(words)
    for i in range(limit, max(at + _STRETCH // 2, limit - 400), -1):
        if i in starts or words[i - 1].text[-1:] in ".?!":
            return i
    return limit
