"""Captions: WebVTT and SubRip, cut so that they can be read.

Two lines of at most 42 characters, on screen for one to seven seconds, at most 25 characters a second where the speech
leaves the time: the volunteer captioning guide of a large library of recorded talks, copy at pastebin.com/raw.php
?i=x3PRf3UK, read 2026-11-25; the same lines and seven seconds in a university library's Timed Text Style Guide,
utk-timed-text-guide.readthedocs.io, sections 2 and 5, read 2026-11-28. Two frames between captions that follow on each
other, at 24 frames a second the longest two: help.happyscribe.com, article 9174614, "What are subtitle gaps?", read
2026-11-28. The words are never changed for the sake of speed; where someone speaks faster than that, the caption stays
as long as it can.
"""

from __future__ import annotations

import html
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from buildlog.document import Line, Log
from buildlog.publish.formats import Part
from buildlog.publish.plain import clean, sound_time

LINE = 42
LINES = 2
SHORTEST_MS, LONGEST_MS = 1000, 7000
SPEED = 25.0  # characters a second
GAP_MS = 84
PAUSE_MS = 700  # a silence that ends a caption
_CLAUSE = (",", ";", ":", "–", "—")
_SENTENCE = (".", "?", "!", "…", ".”", "?”", "!”")
# Words that go with what follows: a line does not end in one.
_LEADING = {"a", "an", "the", "of", "to", "in", "on", "at", "for", "with", "and", "or", "but", "my", "your", "this"}


class Spoken(NamedTuple):
    """A word and its times in milliseconds."""

    text: str
    start: int
    end: int


@dataclass
class Caption:
    """What is shown from ``start`` to ``end``, in milliseconds."""

    start: int
    end: int
    words: list[Spoken]

    @property
    def text(self) -> str:
        """The words on one line."""
        return " ".join(w.text for w in self.words)

    def lines(self) -> list[str]:
        """The words in lines as shown."""
        return [" ".join(w.text for w in row) for row in wrapped(self.words)]


def captions(log: Log) -> list[Caption]:
    """The transcript as captions, ascending and not overlapping."""
    words = [w for line in log.transcript for w in _words(line)]
    words.sort(key=lambda w: w.start)  # lines of two recordings may meet in the middle of a word
    groups: list[list[Spoken]] = []
    for word in words:
        if groups and _goes_on(groups[-1], word):
            groups[-1].append(word)
            continue
        if groups and not _pause(groups[-1], word):
            rest = _split_back(groups[-1])
            if rest:
                groups.append(rest)
                if _goes_on(rest, word):
                    rest.append(word)
                    continue
        groups.append([word])
    return _timed(groups)


def _ms(seconds: float) -> int:
    return round(sound_time(seconds) * 1000)


def _words(line: Line) -> list[Spoken]:
    if line.words:
        said = [(clean(w.text), _ms(w.start_s), _ms(w.end_s)) for w in line.words]
        return [Spoken(t, a, max(a, b)) for text, a, b in said for t in text.split()]
    texts = clean(line.text).split()
    start, length = _ms(line.start_s), max(0, _ms(line.end_s) - _ms(line.start_s))
    total = sum(len(t) + 1 for t in texts) or 1
    out, at = [], 0
    for text in texts:
        after = at + len(text) + 1
        out.append(Spoken(text, start + length * at // total, start + length * after // total))
        at = after
    return out


def _pause(group: Sequence[Spoken], word: Spoken) -> bool:
    return word.start - group[-1].end >= PAUSE_MS


def _goes_on(group: Sequence[Spoken], word: Spoken) -> bool:
    if _pause(group, word) or word.end - group[0].start > LONGEST_MS:
        return False
    length = sum(len(w.text) + 1 for w in group)
    if group[-1].text.endswith(_SENTENCE) and length > LINE // 2 and word.start - group[0].start >= SHORTEST_MS:
        return False
    if length + len(word.text) > LINE * LINES:
        return False
    return len(wrapped([*group, word])) <= LINES


def _split_back(group: list[Spoken]) -> list[Spoken]:
    """Where a caption is full in the middle of a clause: the words after its last clause, to begin the next one."""
    for n in range(len(group) - 1, len(group) // 2, -1):
        if group[n - 1].text.endswith((*_CLAUSE, *_SENTENCE)):
            rest = group[n:]
            del group[n:]
            return rest
    n = len(group)
    while n > 1 and group[n - 1].text.casefold() in _LEADING:
        n -= 1
    rest = group[n:]
    del group[n:]
    return rest


def wrapped(words: Sequence[Spoken]) -> list[list[Spoken]]:
    """Words in lines: one if they fit, else two as even as possible, else as many as it takes."""
    if sum(len(w.text) + 1 for w in words) - 1 <= LINE:
        return [list(words)]
    best: tuple[float, int] | None = None
    lengths = [len(w.text) + 1 for w in words]
    total, first = sum(lengths) - 1, 0
    for n in range(1, len(words)):
        first += lengths[n - 1]
        top, bottom = first - 1, total - first
        if top > LINE or bottom > LINE:
            continue
        before = words[n - 1].text
        cost = abs(top - bottom) - (12 if before.endswith((*_CLAUSE, *_SENTENCE)) else 0)
        cost += 8 if before.casefold() in _LEADING else 0
        if best is None or cost < best[0]:
            best = (cost, n)
    if best is not None:
        return [list(words[: best[1]]), list(words[best[1] :])]
    rows: list[list[Spoken]] = [[]]
    for word in words:
        if rows[-1] and sum(len(w.text) + 1 for w in rows[-1]) + len(word.text) > LINE:
            rows.append([])
        rows[-1].append(word)
    return rows


def _timed(groups: Sequence[list[Spoken]]) -> list[Caption]:
    """Groups with their times on screen: long enough to be read where the next one leaves room."""
    out: list[Caption] = []
    for group in groups:
        start = max(group[0].start, out[-1].start + 1 if out else 0)
        end = max(group[-1].end, *(w.end for w in group))
        out.append(Caption(start, max(end, start + 1), group))
    for n, caption in enumerate(out):
        wanted = max(SHORTEST_MS, math.ceil(len(caption.text) / SPEED * 1000))
        room = out[n + 1].start - GAP_MS if n + 1 < len(out) else caption.start + LONGEST_MS
        caption.end = max(caption.end, min(caption.start + wanted, room))
        if n + 1 < len(out):
            # Never into the next one; the gap is kept unless it would take the caption away.
            following = out[n + 1].start
            caption.end = min(caption.end, following - GAP_MS if following - caption.start > 2 * GAP_MS else following)
        caption.end = max(caption.end, caption.start + 1)
    return out


def stamp(ms: int, mark: str = ".") -> str:
    """A time as both formats write it, with hours."""
    seconds, rest = divmod(ms, 1000)
    return f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}{mark}{rest:03}"


def webvtt(part: Part) -> str:
    """WebVTT (W3C): UTF-8, ``&``, ``<`` and ``>`` escaped, so that no ``-->`` can stand in a cue."""
    cues = (
        f"{stamp(c.start)} --> {stamp(c.end)}\n" + "\n".join(html.escape(row, quote=False) for row in c.lines())
        for c in part.captions
    )
    return "WEBVTT\n\n" + "\n\n".join(cues) + "\n"


def webvtt_words(part: Part) -> str:
    """WebVTT with the time of every word in it: read back, each word is where it was to the millisecond."""
    cues = []
    for caption in part.captions:
        rows = []
        for row in wrapped(caption.words):
            timed = (
                f"<{stamp(w.start)}>{html.escape(w.text, quote=False)}"
                if caption.start < w.start < caption.end
                else html.escape(w.text, quote=False)
                for w in row
            )
            rows.append(" ".join(timed))
        cues.append(f"{stamp(caption.start)} --> {stamp(caption.end)}\n" + "\n".join(rows))
    return "WEBVTT\n\n" + "\n\n".join(cues) + "\n"


def subrip(part: Part) -> str:
    """SubRip. It has no escapes: what a player would take for markup is written with characters that look alike."""
    cues = []
    for number, caption in enumerate(part.captions, 1):
        rows = (r.replace("<", "‹").replace(">", "›").replace("{", "(").replace("}", ")") for r in caption.lines())
        cues.append(f"{number}\n{stamp(caption.start, ',')} --> {stamp(caption.end, ',')}\n" + "\n".join(rows))
    return "\n\n".join(cues) + "\n" if cues else ""
