"""Statements taken back in the next breath: "snip it and melt. No, you don't melt linen", "that's a lie, there's two".

A retraction shows in "no" with a word of what was just said said again behind it, in words for having told wrong, or in
a number that one said before and another that it is. An answer ("Is it hard? No, it isn't.") takes nothing back.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from buildlog.tag.notes.found import NoteFound
from buildlog.tag.timed import end_s, start_s
from buildlog.tag.wording import Wording, tidy

if TYPE_CHECKING:
    from spacy.tokens import Doc

_NUMBER = (
    r"(?:\d[\d/.]*|half|quarter|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen|fourteen|fifteen|"
    r"sixteen|seventeen|eighteen|nineteen|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety|hundred|third|thirds)"
)
_TOLD_WRONG = re.compile(
    r"\b(?:that(?:'s|s| was| is) a lie|(?:i|we) (?:tell|told) a lie|i lied|i(?:'m|m| am) (?:lying|fibbing|telling lies|"
    r"havering|talking (?:rubbish|nonsense)|reading (?:that|it|this) wrong|looking at the wrong)|i fibbed|i misspoke|i misread|"
    r"what am i (?:saying|on about|talking about)|ignore me|scratch that|strike that|cross that out|"
    r"(?:i|we)(?:'ve|'d)? (?:said|told you)\b[^?]{0,60}?\b(?:don't do that|forget that|ignore that|not that|the other way)|"
    r"(?<!what )did i say \w[^.?]{0,24}[.?,]? (?:it's|its|they're|sorry|no|i mean|i meant)|"
    r"i(?:'m|m| was) thinking of (?:the|my|that|another)|(?:forget|ignore) (?:what|whatever|that bit) i (?:just )?(?:said|told))\b"
)
_SAID = re.compile(
    rf"(?<!like )(?<!as )(?<!than )\b(?:i|we)(?:'ve|'d|ve| have| had| think i| know i)? (?:just )?"
    rf"(?:said|told (?:you|yous|ye|y'all|yall)|called (?:it|that|this|them)|gave (?:it|that|the \w+) as)\b"
    rf"(?P<first>[^?]{{0,50}}?\b{_NUMBER}\b)[^?]{{0,70}}?"
    rf"\b(?:it's|its|it was|it is|is|are|they're|theyre|make (?:it|that)|call it|should be|i meant|i mean|i use|actually|"
    rf"that's|sorry|counted|became|comes? (?:to|out)|on (?:me|the \w+))\b(?P<second>[^?.]{{0,40}}?\b{_NUMBER}\b)"
)
_NUMBERS = re.compile(rf"\b{_NUMBER}\b")
TRIGGER = re.compile(
    r"\b(?:no|lie|lied|lying|fibbing|fibbed|havering|misspoke|misread|wrong|what am i|ignore|forget|scratch|strike|cross|"
    r"did i say|thinking of|i said|i've said|i'd said|said|told|called|gave|rubbish|nonsense)\b"
)
_NEAR = 14  # tokens on either side of "no" between which a word is said again
_DENIES = frozenset("i you it they he she we that those these there not the this wait hang hold sorry no well".split())
_ASKED = frozenset(
    "is are do does did can could should will would shall have has am was were what why how who where".split()
)
_SMALL = frozenset(
    "be have do go get say know want need think make take put one thing bit lot way now just so then well not right".split()
)


def find_retractions(doc: Doc) -> list[NoteFound]:
    """Statements taken back at once, as notes of the kind "correction", in order."""
    w = Wording.of(doc)
    out: list[NoteFound] = []
    for n in w.hit(TRIGGER):
        start, end = w.stretches[n]
        span = _said_wrong(w, n) or next((s for i in range(start, end) if (s := _no_again(w, n, i))), None)
        if span is not None and not (out and span[0] < out[-1].end):
            a, b = span
            out.append(
                NoteFound("correction", a, b, tidy(doc[a:b].text), start_s(doc[a]), end_s(doc[b - 1]), confidence=0.8)
            )
    return out


def _said_wrong(w: Wording, n: int) -> tuple[int, int] | None:
    """Words for having told wrong, with the sentence before; or a number said before and the one that it is."""
    start, end = w.stretches[n]
    text = w.said(n)
    further = f"{text} {w.said(n + 1)}" if n + 1 < len(w.stretches) else text
    m = _TOLD_WRONG.search(further)
    if m and m.start() < len(text):
        short = m.end() > len(text) or end - start < 8
        short = short and n + 1 < len(w.stretches)
        return w.stretches[n - 1][0] if n and _close(w, n) else start, w.stretches[n + 1][1] if short else end
    last = min(n + 2, len(w.stretches) - 1)
    a, _ = w.chars(start, end)
    _, b = w.chars(*w.stretches[last])
    m = _SAID.search(w.text, a, b)
    if m is None or m.start() >= w.chars(start, end)[1]:
        return None
    if set(_NUMBERS.findall(m["first"])) >= set(_NUMBERS.findall(m["second"])):
        return None
    return start, w.stretches[w.stretch_at(m.end() - 1)][1]


def _close(w: Wording, n: int) -> bool:
    """Whether the stretch before is short enough to be what is taken back."""
    a, b = w.stretches[n - 1]
    return b - a <= 2 * _NEAR


def _no_again(w: Wording, n: int, i: int) -> tuple[int, int] | None:
    """From the statement to what is said instead, where token ``i`` is the "no" between them."""
    doc = w.doc
    if doc[i].lower_ != "no" or i == 0 or i + 2 >= len(doc):
        return None
    start, end = w.stretches[n]
    k = i + 1
    while k < len(doc) - 1 and doc[k].is_punct:
        k += 1
    if doc[k].lower_ not in _DENIES and not (doc[k].tag_ in ("VB", "VBP") and doc[i].dep_ != "det"):
        return None
    lo = max(0, i - _NEAR)
    back = n - 1 if i - start < 3 and n else n
    first = w.stretches[back][0]
    if any(t.text == "?" for t in doc[max(first, lo) : i]) or doc[first].lower_ in _ASKED:
        return None
    if any(t.text == "?" for t in doc[i : min(len(doc), i + 6)]):
        return None
    said = {t.lemma_.lower() for t in doc[max(first, lo) : i] if _says(t)}
    again = next((t.i for t in doc[k : min(len(doc), k + _NEAR)] if _says(t) and t.lemma_.lower() in said), None)
    if again is None:
        return None
    stop = w.stretches[w.stretch_at(w.starts[again])][1]
    return first, min(max(stop, end), i + 2 * _NEAR)


def _says(token: object) -> bool:
    return (
        token.pos_ in ("NOUN", "PROPN", "VERB", "ADJ", "NUM", "ADV")  # type: ignore[attr-defined]
        and token.lemma_.lower() not in _SMALL  # type: ignore[attr-defined]
        and len(token.text) > 2  # type: ignore[attr-defined]
    )


__all__ = ["find_retractions"]
