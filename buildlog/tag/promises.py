"""Links owed: what the maker said aloud would be linked, listed or put up for download, and advice to search.

A promise is made by a word for a link ("linked", "a link"), by a place only a published video has ("in the
description", "under the video", "the card up here"), by a place that could be one ("below", "down there") where what
is put there is information, or by putting a file up. Chain links, folds with something below them and questions left
in the comments are none of these.

Sets ``doc._.promises`` (a list of :class:`Promise`) and ``doc._.searches`` (a list of :class:`Search`).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from spacy.language import Language
from spacy.tokens import Doc

from buildlog.tag.promise_cues import TRIGGER, cue_in
from buildlog.tag.promise_things import antecedent, name_of, noun_phrases, things_in
from buildlog.tag.timed import end_s, start_s
from buildlog.tag.wording import Wording, clause_around, tidy

if TYPE_CHECKING:
    pass

if TYPE_CHECKING:
    from spacy.tokens import Span


@dataclass(frozen=True, slots=True)
class Promise:
    """One thing promised. ``start`` and ``end`` are the tokens of the promise; ``what`` names the thing ("general"
    where nothing was named) and ``what_start``/``what_end`` are its tokens, which may lie in another sentence.
    """

    start: int
    end: int
    text: str
    what: str
    what_start: int | None
    what_end: int | None
    start_s: float
    end_s: float
    confidence: float


@dataclass(frozen=True, slots=True)
class Search:
    """Words the viewer was told to search for; ``what`` names the thing they find, as far as it was said."""

    start: int
    end: int
    text: str
    words: str
    what: str | None
    what_start: int | None
    what_end: int | None
    start_s: float
    confidence: float


GENERAL = "general"

_SEARCH = re.compile(
    r"\b(?:search(?:ing)?(?: online| the web| around)?(?: for| under)?|do a search for|"
    r"look(?:ing)? up|type in|types? (?:it )?in|typing in|put in|"
    r"words (?:you want )?(?:to search(?: for)?|you want|to look for|to type in|to use) (?:are|is|were)|"
    r"search (?:words|terms?|phrase) (?:is|are))"
    r"[ ,:]+(?:the words |the phrase |something like |for |it as |on )?(?P<words>\"[^\"]{3,80}\"|"
    r"'[^']{3,80}'|[^.,;!?\"]{3,90})"
)
_SEARCH_NOT_BEFORE = re.compile(
    r"\b(?:i|we|he|she|they|had to|having to|after)\b(?:'ve|'d| have| had)? ?(?:\w+ ){0,2}$"
)
_SEARCH_END = re.compile(
    r" (?:and (?:you|there|they|it|that)|you'll|you will|you (?:can|should|get)|there (?:are|is)|there's|"
    r"they're|on (?:the|any|your|auction|line)|online|in (?:the|any|your|a) (?:library|search|internet)|"
    r"it'll|it will|it comes|that'll|then|because|if you|or (?:ask|something))\b.*"
)
_SEARCH_TRIGGER = re.compile(
    r"\b(?:search|searching|look(?:ing)? up|typ(?:e|es|ing) (?:it )?in|put in|words to look|words you want)\b"
)


def find_promises(doc: Doc) -> list[Promise]:
    """Every promise of ``doc``, in order; one for each thing meant."""
    w = _by_promise(Wording.of(doc))
    out: list[Promise] = []
    for n in w.hit(TRIGGER):
        made = _promises_in(w, n)
        for found in made:
            _add(out, found)
        if made:
            for found in _more_after(w, n):
                _add(out, found)
    return out


# Where one promise ends and the next begins in one breath: "it's below and I'll scan the chart", "and so is the ruler".
_NEXT_PROMISE = re.compile(
    r"(?<=[\w.,]) (?=(?:and|plus) (?:there(?:'s|'ll| is| are| will)|(?:i|we|you)(?:'ll|'ve| will| have| can)|"
    r"so (?:is|are|will|'s)|also (?:the|my|a|there)|i'm (?:going|gonna|putting))\b)"
)


def _whole_lists(w: Wording) -> list[tuple[int, int]]:
    """The stretches; a run-on sentence cut inside "the needle" "and the thread I'll link" is put together again."""
    out: list[tuple[int, int]] = []
    for start, end in w.stretches:
        before = out[-1] if out else (0, 0)
        if (
            before[1] == start
            and 0 < before[1] - before[0] <= _SHORT_LIST
            and _AND_ANOTHER.match(w.text, w.starts[start])
            and not any(
                t.pos_ in ("VERB", "AUX") or (t.is_sent_start and t.i > before[0]) for t in w.doc[before[0] : start]
            )
        ):
            out[-1] = (before[0], end)
        else:
            out.append((start, end))
    return out


_SHORT_LIST = 8
_AND_ANOTHER = re.compile(r"and (?:the|my|a|an|that|this|those|these) ")


def _by_promise(w: Wording) -> Wording:
    """``w`` with its stretches cut where another promise begins."""
    stretches: list[tuple[int, int]] = []
    for start, end in _whole_lists(w):
        a, b = w.chars(start, end)
        at = start
        for m in _NEXT_PROMISE.finditer(w.text, a, b):
            i = w.token(m.end())
            if i - at >= 3 and end - i >= 3:
                stretches.append((at, i))
                at = i
        stretches.append((at, end))
    return replace(w, stretches=stretches, char_starts=[w.starts[a] for a, _ in stretches])


_TOO = re.compile(
    r"^(?:oh |and |also |plus |likewise |so (?:is|are|will|'s) )+(?:be )?(?:the|a|an|my|that|his|her|their)\b(?: [\w'-]+){1,6}?(?: too|"
    r" as well| also)?"
    r"(?:,? (?:if|because|cause|since|where|on a list|in pdf)\b.*)?[.!]?$"
)


# "And so is the ruler, I use it next week": it may go on as it likes.
_SO_TOO = re.compile(r"(?:and |plus |also )*so (?:is|are|will|'s) (?:the|my|a|an|that|those|these|his|her|their)\b")


def _more_after(w: Wording, n: int) -> list[Promise]:
    """What a bare phrase right after a promise adds to it: "And the toe chart."."""
    if n + 1 >= len(w.stretches):
        return []
    start, end = w.stretches[n + 1]
    so_too = _SO_TOO.match(w.said(n + 1))
    if not so_too and not _TOO.match(w.said(n + 1)):
        return []
    if not so_too and any(t.pos_ in ("VERB", "AUX") and t.tag_ not in ("VBG", "VBN") for t in w.doc[start:end]):
        return []
    return [_promise(w, start, end, thing, 0.6) for thing in noun_phrases(w, start, end)[:1]]


def _add(out: list[Promise], new: Promise) -> None:
    """Keep ``new`` unless it says again what has been promised already.

    A pronoun that seems to mean what was promised a moment ago more likely means something else: then it is general.
    """
    named_here = new.what_start is not None and new.start <= new.what_start < new.end
    for old in reversed(out):
        apart = new.start_s - old.end_s
        if new.what == GENERAL or old.what == GENERAL:
            if new.what == old.what and apart < 4:
                return
        elif new.what == old.what or new.what_start == old.what_start:
            if named_here or apart < 4 or apart > 30:
                return
            new = replace(new, what=GENERAL, what_start=None, what_end=None)
    out.append(new)


def _promises_in(w: Wording, n: int) -> list[Promise]:
    cue = cue_in(w, n)
    if cue is None:
        return []
    start, end = w.stretches[n]
    first, last = clause_around(w, cue.first, cue.last, start, end, most=24)
    things = things_in(w, n, cue)
    everything_too = things and _EVERYTHING_TOO.search(w.said(n))
    named: list[Span | None] = [*things]
    if everything_too or not things:
        named.append(None)
    return [_promise(w, first, last, thing, cue.confidence) for thing in named]


_EVERYTHING_TOO = re.compile(
    r"\band (?:everything|whatever|anything|all the rest|all the other|all (?:my|the) (?:links|tools|bits))\b"
)


_SO_IS = re.compile(r"^(?:and |plus |oh |also |, )*(so (?:is|are|will|'s|do|does) )", re.IGNORECASE)


def promise_text(text: str) -> str:
    """The maker's words, tidied; "so is the ruler" keeps its "so"."""
    m = _SO_IS.match(text)
    return f"S{m[1][1:]}{' '.join(text[m.end() :].split())}" if m else tidy(text)


def _promise(w: Wording, first: int, last: int, thing: Span | None, confidence: float) -> Promise:
    return Promise(
        start=first,
        end=last,
        text=promise_text(w.doc[first:last].text),
        what=name_of(thing) if thing is not None else GENERAL,
        what_start=thing.start if thing is not None else None,
        what_end=thing.end if thing is not None else None,
        start_s=start_s(w.doc[first]),
        end_s=end_s(w.doc[last - 1]),
        confidence=confidence,
    )


def find_searches(doc: Doc) -> list[Search]:
    """Words the viewer is told to search for."""
    w = Wording.of(doc)
    out: list[Search] = []
    for n in w.hit(_SEARCH_TRIGGER):
        start, end = w.stretches[n]
        base, _ = w.chars(start, end)
        text = w.said(n)
        m = _SEARCH.search(text)
        if (
            m is None
            or _SEARCH_NOT_BEFORE.search(text[: m.start()])
            or re.match(r"(?:at|and|in|to|from|through|it|that|them|all|the whole|everywhere|high)\b", m["words"])
        ):
            continue
        words = m["words"]
        quoted = words[0] in "\"'"
        if not quoted:
            words = _SEARCH_END.sub("", words)
        first = base + m.start("words")
        original = w.written[first : first + len(words)].strip(" \"'")
        if len(original.split()) > 9 or not original:
            continue
        before = list(noun_phrases(w, start, w.token(base + m.start()) + 1))
        about = antecedent(w, n, before, plural=False)
        out.append(
            Search(
                start=start,
                end=end,
                text=tidy(doc[start:end].text),
                words=original,
                what=name_of(about[0]) if about else None,
                what_start=about[0].start if about else None,
                what_end=about[0].end if about else None,
                start_s=start_s(doc[w.token(base + m.start())]),
                confidence=0.9 if quoted else 0.75,
            )
        )
    return out


Doc.set_extension("promises", default=[], force=True)
Doc.set_extension("searches", default=[], force=True)


@Language.component("promises", assigns=["doc._.promises", "doc._.searches"], requires=["token.dep", "doc.sents"])  # type: ignore[untyped-decorator]
def promises(doc: Doc) -> Doc:
    """Set ``doc._.promises`` and ``doc._.searches``."""
    doc._.promises = find_promises(doc)
    doc._.searches = find_searches(doc)
    return doc


__all__ = ["GENERAL", "Promise", "Search", "find_promises", "find_searches", "promise_text", "promises"]
