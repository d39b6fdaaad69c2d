"""Cutting a log into moments: what is indexed, ranked and shown."""

from __future__ import annotations

import bisect
import functools
from collections.abc import Collection, Iterator
from typing import NamedTuple

import msgspec

from buildlog.document import Item, Line, Log, Mention, Step, Technique
from buildlog.find.wording import stems, words_of

# Bits of ``Moment.flags``.
DONE, OFF_CAMERA = 1, 2

_FEWEST, _MOST = 8, 28  # words of a moment, as far as sentences allow
_PAUSE_S = 1.2
# Where a recogniser wrote no full stops, talk turns at such words; the first that comes after so many words cuts.
_TURNS = frozenset("so now then okay ok right alright next and but because cause cuz".split())
_TURN_AFTER = 12


class Moment(msgspec.Struct, frozen=True, kw_only=True):
    """A sentence or a few of a part, in seconds on the part's clock.

    ``done`` are the steps told in it, ``names`` names of things that ``said`` does not hold, ``at_s`` where the first
    step begins, else the start. ``flags``: ``DONE`` where a step is told, ``OFF_CAMERA`` where one was not filmed.
    """

    start_s: float
    end_s: float
    at_s: float
    said: str
    done: str = ""
    names: str = ""
    piece: str = ""
    flags: int = 0


class _Timed(NamedTuple):
    text: str
    start_s: float
    end_s: float
    line_end: bool


def _timed(line: Line) -> list[_Timed]:
    """The words of a line with their times; where they have none, by their length."""
    if line.words:
        last = len(line.words) - 1
        out = [_Timed(w.text.strip(), w.start_s, w.end_s, n == last) for n, w in enumerate(line.words)]
        return [w for w in out if w.text]
    texts = line.text.split()
    whole = sum(len(t) + 1 for t in texts) or 1
    span, at = max(0.0, line.end_s - line.start_s), 0
    out = []
    for n, text in enumerate(texts):
        start = line.start_s + span * at / whole
        at += len(text) + 1
        out.append(_Timed(text, start, line.start_s + span * at / whole, n == len(texts) - 1))
    return out


def _best_break(now: list[_Timed]) -> int:
    """Where to cut a stretch that has grown too long: how many of its words stay."""
    turns = [k for k in range(_TURN_AFTER, len(now)) if now[k].text.casefold() in _TURNS]
    commas = [k + 1 for k in range(_TURN_AFTER, len(now) - 1) if now[k].text.endswith((",", ";", ":"))]
    stop = next((k + 1 for k in range(len(now) - 2, 2, -1) if now[k].text.endswith((".", "?", "!"))), 0)
    if stop:
        return stop
    if commas:
        return commas[-1]
    strong = [k for k in turns if now[k].text.casefold() not in ("and", "but", "right")]
    if strong or turns:
        return (strong or turns)[0]
    return next((k + 1 for k in range(len(now) - 2, _TURN_AFTER, -1) if now[k].line_end), len(now))


class Cut:
    """A transcript cut into sentences: stretches of 8 to 28 words that end where a sentence, a pause, or else a phrase
    or a turn of talk does.

    ``starts`` are their times, in seconds. Where a sentence ends depends on nothing before its first word, so that a
    transcript with a few other words is cut anew around them only (:func:`cut_of`).
    """

    def __init__(self, lines: list[Line], words: list[_Timed], line_words: list[int], bounds: list[int]) -> None:
        self.lines = lines
        self.words = words
        self.line_words = line_words  # the first word of each line, and one past the last
        self.bounds = bounds  # the first word of each sentence, and one past the last
        self.starts = [words[b].start_s for b in bounds[:-1]]
        self._places: dict[int, tuple[list[Mention], frozenset[int]]] = {}

    def __len__(self) -> int:
        return len(self.starts)

    def __getitem__(self, n: int) -> list[_Timed]:
        """The words of a sentence."""
        return self.words[self.bounds[n] : self.bounds[n + 1]]

    def of(self, at_s: float) -> int:
        """The number of the sentence that is said at ``at_s``."""
        return max(0, bisect.bisect_right(self.starts, at_s + 0.05) - 1)

    def places(self, thing: Item | Technique) -> frozenset[int]:
        """The sentences in which ``thing`` is mentioned. Kept: an edit leaves most lists of mentions as they are."""
        kept = self._places.get(id(thing.mentions))
        if kept is None or kept[0] is not thing.mentions:
            if len(self._places) > 20_000:
                self._places.clear()
            kept = (thing.mentions, frozenset(self.of(m.start_s) for m in thing.mentions))
            self._places[id(thing.mentions)] = kept
        return kept[1]

    def changed(self, other: Cut) -> tuple[int, int, int]:
        """Where ``other`` is not the same: sentences from the first to the second number became those up to the third.

        The sentences after them are the same ones, though their numbers may have changed.
        """
        if self is other:
            return 0, 0, 0
        before, after = _same_ends(self.lines, other.lines)
        w = self.line_words[before]
        first = 0
        while first < min(len(self), len(other)) and self.bounds[first + 1] == other.bounds[first + 1] <= w:
            first += 1
        mine, theirs = len(self), len(other)
        stop = self.line_words[len(self.lines) - after]
        shift = len(other.words) - len(self.words)
        while mine > first and theirs > first and other.bounds[theirs - 1] - shift == self.bounds[mine - 1] >= stop:
            mine, theirs = mine - 1, theirs - 1
        return first, mine, theirs


def _same_ends(old: list[Line], new: list[Line]) -> tuple[int, int]:
    """How many lines at the beginning and at the end are the very same objects."""
    least = min(len(old), len(new))
    before = next((n for n in range(least) if old[n] is not new[n]), least)
    after = next((n for n in range(least - before) if old[-1 - n] is not new[-1 - n]), least - before)
    return before, after


def _ends(words: list[_Timed], first: int) -> Iterator[int]:
    """One past the last word of each sentence from the word ``first`` on; what is left at the end is not given."""
    for n in range(first, len(words)):
        if n + 1 - first < _FEWEST:
            continue
        ends = words[n].text.rstrip("\"'”’)").endswith((".", "?", "!", "…"))
        if ends or (n + 1 < len(words) and words[n + 1].start_s - words[n].end_s >= _PAUSE_S):
            first = n + 1
            yield first
        elif n + 1 - first >= _MOST:
            first += _best_break(words[first : n + 1])
            yield first


def _bounds(words: list[_Timed], bounds: list[int], known: Cut | None = None, shift: int = 0, stop: int = 0) -> None:
    """Go on cutting from the last of ``bounds``; after the word ``stop`` where ``known`` was cut, as it was."""
    for end in _ends(words, bounds[-1]):
        bounds.append(end)
        if known is not None and end > stop:
            at = bisect.bisect_left(known.bounds, end - shift)
            if at < len(known.bounds) and known.bounds[at] == end - shift:
                bounds += [b + shift for b in known.bounds[at + 1 :]]
                return
    first = bounds[-1]
    if first < len(words):
        gap = words[first].start_s - words[first - 1].end_s if first else 0.0
        if len(bounds) > 1 and len(words) - first < _FEWEST and gap < _PAUSE_S:
            bounds.pop()  # a few words left over belong to the sentence before
        bounds.append(len(words))


def _cut(lines: list[Line]) -> Cut:
    counts, words = [0], []
    for line in lines:
        words += _timed(line)
        counts.append(len(words))
    bounds = [0]
    _bounds(words, bounds)
    return Cut(lines, words, counts, bounds)


def _recut(old: Cut, lines: list[Line]) -> Cut:
    """``lines`` cut with as little work as they differ from the lines that ``old`` was cut from."""
    before, after = _same_ends(old.lines, lines)
    w, stop = old.line_words[before], old.line_words[len(old.lines) - after]
    counts, fresh = old.line_words[: before + 1], []
    for line in lines[before : len(lines) - after]:
        fresh += _timed(line)
        counts.append(w + len(fresh))
    shift = len(fresh) - (stop - w)
    counts += [c + shift for c in old.line_words[len(old.lines) - after + 1 :]]
    words = [*old.words[:w], *fresh, *old.words[stop:]]
    # A break may have been chosen by the words up to the longest sentence's length after it.
    known = max(0, bisect.bisect_right(old.bounds[:-1], w - _MOST - 1) - 1)
    bounds = old.bounds[: known + 1]
    _bounds(words, bounds, old, shift, w + len(fresh))
    made = Cut(lines, words, counts, bounds)
    if made.starts == old.starts:
        made._places = old._places
    return made


# The transcripts cut last: edits of anything else leave the very same list in the log, and come one after another.
_cuts: tuple[Cut, ...] = ()
_KEPT = 4


def cut_of(lines: list[Line], like: list[Line] | None = None) -> Cut:
    """``lines`` cut into sentences; quickly where they are ``like`` other lines that were cut just before."""
    global _cuts
    found = next((c for c in _cuts if c.lines is lines), None)
    if found is None:
        near = next((c for c in _cuts if c.lines is like), None)
        found = _recut(near, lines) if near is not None else _cut(lines)
        _cuts = (found, *_cuts[: _KEPT - 1])
    return found


@functools.lru_cache(maxsize=20_000)
def _stems(text: str) -> frozenset[str]:
    return frozenset(stems(words_of(text)))


def moments(log: Log) -> list[Moment]:
    """The moments of ``log`` in order of time."""
    cut = cut_of(log.transcript)
    return list(some(log, cut, range(len(cut))).values())


def some(log: Log, cut: Cut, which: Collection[int]) -> dict[int, Moment]:
    """Those moments of ``log`` whose numbers are in ``which``, in that order."""
    pieces = {p.id: p.name for p in log.pieces}
    told: dict[int, list[Step]] = {}
    for step in log.steps:
        if not step.inferred and (n := cut.of(step.start_s)) in which:
            told.setdefault(n, []).append(step)
    named: dict[int, list[str]] = {}
    things: list[Item | Technique] = [*log.items, *log.techniques]
    for thing in things:
        for n in cut.places(thing):
            if n in which:
                named.setdefault(n, []).extend((thing.name, *thing.aliases))
    unfilmed = {cut.of(n.start_s) for n in log.notes if n.kind == "off_camera"}
    return {n: _moment(cut[n], told.get(n, []), named.get(n, []), pieces, n in unfilmed) for n in which}


def _moment(
    sentence: list[_Timed], steps: list[Step], named: list[str], pieces: dict[str, str], unfilmed: bool
) -> Moment:
    said = " ".join(w.text for w in sentence)
    done = " ".join(s.text for s in steps)
    piece = next((pieces[s.piece] for s in steps if s.piece in pieces), "")
    known = _stems(said) | _stems(done)
    names = [t for t in dict.fromkeys((*named, piece)) if t and not known.issuperset(_stems(t))]
    off = unfilmed or any(not s.on_camera for s in steps)
    start = sentence[0].start_s
    return Moment(
        start_s=start,
        end_s=sentence[-1].end_s,
        at_s=max(start, min((s.start_s for s in steps), default=start)),
        said=said,
        done=done,
        names=", ".join(names),
        piece=piece,
        flags=(DONE if steps else 0) | (OFF_CAMERA if off else 0),
    )
