"""Cutting a log into moments: what is indexed, ranked and shown."""

from __future__ import annotations

import bisect
import functools
from typing import NamedTuple

import msgspec

from buildlog.document import Item, Line, Log, Step, Technique
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


def _timed(lines: list[Line]) -> list[_Timed]:
    """The words with their times; where a line has none of its words', by their length."""
    out: list[_Timed] = []
    for line in lines:
        if line.words:
            last = len(line.words) - 1
            out += [_Timed(w.text.strip(), w.start_s, w.end_s, n == last) for n, w in enumerate(line.words)]
            continue
        texts = line.text.split()
        whole = sum(len(t) + 1 for t in texts) or 1
        span, at = max(0.0, line.end_s - line.start_s), 0
        for n, text in enumerate(texts):
            start = line.start_s + span * at / whole
            at += len(text) + 1
            out.append(_Timed(text, start, line.start_s + span * at / whole, n == len(texts) - 1))
    return [w for w in out if w.text]


def sentences(lines: list[Line]) -> list[list[_Timed]]:
    """Stretches of about 8 to 28 words that end where a sentence, a pause, or else a phrase or a turn of talk does."""
    out: list[list[_Timed]] = []
    now: list[_Timed] = []
    words = _timed(lines)
    for n, word in enumerate(words):
        now.append(word)
        gap = words[n + 1].start_s - word.end_s if n + 1 < len(words) else 0.0
        ends = word.text.rstrip("\"'”’)").endswith((".", "?", "!", "…"))
        if len(now) >= _FEWEST and (ends or gap >= _PAUSE_S):
            out.append(now)
            now = []
        elif len(now) >= _MOST:
            at = _best_break(now)
            out.append(now[:at])
            now = now[at:]
    if now:
        if out and len(now) < _FEWEST and now[0].start_s - out[-1][-1].end_s < _PAUSE_S:
            out[-1] += now
        else:
            out.append(now)
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


# The transcript cut last: edits of anything else leave the very same list in the log, and come one after another.
_cut: tuple[list[Line], list[list[_Timed]]] | None = None


def _sentences(lines: list[Line]) -> list[list[_Timed]]:
    global _cut
    if _cut is None or _cut[0] is not lines:
        _cut = (lines, sentences(lines))
    return _cut[1]


@functools.lru_cache(maxsize=20_000)
def _stems(text: str) -> frozenset[str]:
    return frozenset(stems(words_of(text)))


def moments(log: Log) -> list[Moment]:
    """The moments of ``log`` in order of time."""
    cut = _sentences(log.transcript)
    if not cut:
        return []
    starts = [s[0].start_s for s in cut]

    def of(at_s: float) -> int:
        return max(0, bisect.bisect_right(starts, at_s + 0.05) - 1)

    pieces = {p.id: p.name for p in log.pieces}
    told: list[list[Step]] = [[] for _ in cut]
    for step in log.steps:
        if not step.inferred:
            told[of(step.start_s)].append(step)
    named: list[list[str]] = [[] for _ in cut]
    things: list[Item | Technique] = [*log.items, *log.techniques]
    for thing in things:
        for where in {of(m.start_s) for m in thing.mentions}:
            named[where] += [thing.name, *thing.aliases]
    unfilmed = {of(n.start_s) for n in log.notes if n.kind == "off_camera"}
    out = []
    for n, sentence in enumerate(cut):
        steps = told[n]
        said = " ".join(w.text for w in sentence)
        done = " ".join(s.text for s in steps)
        piece = next((pieces[s.piece] for s in steps if s.piece in pieces), "")
        known = _stems(said) | _stems(done)
        names = [t for t in dict.fromkeys((*named[n], piece)) if t and not known.issuperset(_stems(t))]
        off = n in unfilmed or any(not s.on_camera for s in steps)
        out.append(
            Moment(
                start_s=sentence[0].start_s,
                end_s=sentence[-1].end_s,
                at_s=max(sentence[0].start_s, min((s.start_s for s in steps), default=sentence[0].start_s)),
                said=said,
                done=done,
                names=", ".join(names),
                piece=piece,
                flags=(DONE if steps else 0) | (OFF_CAMERA if off else 0),
            )
        )
    return out
