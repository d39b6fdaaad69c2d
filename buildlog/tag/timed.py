"""Words with times, as a spaCy ``Doc``.

A ``Doc`` made here knows when each token was said: ``doc.user_data["start_s"]`` and ``["end_s"]`` are lists of float
seconds, ``["p"]`` the recogniser's probability, ``["line"]`` the index of the transcript line, ``["word"]`` the index of
the word it was given as, one entry a token.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildlog.document import Line, Word

if TYPE_CHECKING:
    from spacy.tokens import Doc, Span, Token


def words_of(line: Line) -> list[Word]:
    """The line's words; where it carries none, its text is spread over its time by length of word."""
    if line.words:
        return line.words
    texts = line.text.split()
    if not texts:
        return []
    lengths = [len(t) + 1 for t in texts]
    scale = max(0.0, line.end_s - line.start_s) / sum(lengths)
    words, at = [], line.start_s
    for text, length in zip(texts, lengths, strict=True):
        words.append(Word(start_s=at, end_s=at + length * scale, text=text))
        at += length * scale
    return words


def to_doc(tokenizer: object, words: Sequence[Word], line_of: Sequence[int]) -> Doc:
    """Tokenize ``words`` (joined by single blanks) and give every token its word's times."""
    import numpy as np  # here, and not above: the bench spreads words over lines at its start, and parses nothing
    from spacy.attrs import IDX

    text = " ".join(w.text.strip() for w in words)
    doc: Doc = tokenizer(text)  # type: ignore[operator]
    lengths = np.array([len(w.text.strip()) + 1 for w in words], dtype=np.int64)
    starts = np.cumsum(lengths) - lengths
    of = np.searchsorted(starts, doc.to_array([IDX]).reshape(-1).astype(np.int64), side="right") - 1
    word_of = np.maximum(of, 0).tolist()
    doc.user_data.update(
        start_s=[words[i].start_s for i in word_of],
        end_s=[words[i].end_s for i in word_of],
        p=[words[i].p for i in word_of],
        line=[line_of[i] for i in word_of],
        word=word_of,
    )
    return doc


def start_s(at: Token | Span) -> float:
    """When the token or span begins, in seconds."""
    i = at.i if hasattr(at, "i") else at.start
    return float(at.doc.user_data["start_s"][i])


def end_s(at: Token | Span) -> float:
    """When the token or span ends, in seconds."""
    i = at.i if hasattr(at, "i") else at.end - 1
    return float(at.doc.user_data["end_s"][i])


def doc_of(text: str, vocab_tokenizer: object, *, words_per_s: float = 2.5) -> Doc:
    """A ``Doc`` for plain ``text`` at an even speaking rate: for tests and for trying a sentence."""
    texts = text.split()
    words = [Word(start_s=i / words_per_s, end_s=(i + 1) / words_per_s, text=t) for i, t in enumerate(texts)]
    return to_doc(vocab_tokenizer, words, [0] * len(words))


__all__ = ["doc_of", "end_s", "start_s", "to_doc", "words_of"]
