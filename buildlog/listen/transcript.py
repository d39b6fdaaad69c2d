"""Timed transcripts that the maker already has: WebVTT, SubRip, timed lines, or our own log document.

pysubs2 and webvtt-py read the first two as well, but neither says on which line a broken time stands, and both let
times that run backwards pass; the cues are therefore read here and held against webvtt-py in the tests.
"""

from __future__ import annotations

import codecs
import html
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

from buildlog.document import Line, Word, from_json
from buildlog.errors import BadInput
from buildlog.media.opening import check_file, shown

LARGEST = 50_000_000  # bytes; a day of speech is under 2 MB
WORDS_PER_S = 2.5  # an ordinary reading pace: gives the last line an end
SLACK_S = 0.25  # cues that overlap by less than this are sloppy, not wrong
ROLLING_SHARE = 0.3  # of the cues that touch the one before: from here on the file shows its text rolling up

CUE = re.compile(r"^\s*((?:\d+:)?\d{1,2}:\d{2}[.,]\d{1,3})\s*-->\s*((?:\d+:)?\d{1,2}:\d{2}[.,]\d{1,3})(?:\s.*)?$")
STAMP = re.compile(r"(?:(\d+):)?(\d{1,3}):(\d{2})(?:[.,](\d{1,3}))?")
TIMED = re.compile(
    rf"^\s*(?:\[({STAMP.pattern})\]|\(({STAMP.pattern})\)|({STAMP.pattern})(?=\s|$|[-–—]))\s*(?:[-–—:]\s+)?(.*)$"
)
BROKEN = re.compile(r"^\s*[\[(]\d+:[\d:.,]*[\])]")
TAG = re.compile(r"</?[A-Za-z][^<>\n]*>|<(?:\d+:)?\d{1,2}:\d{2}[.,]\d{1,3}>|\{\\[^{}\n]*\}")
INNER_TIME = re.compile(r"<((?:\d+:)?\d{1,2}:\d{2}[.,]\d{1,3})>")
SOUND = re.compile(r"^[\s>-]*(?:[\[(][^\])]*[\])]|[♪♫*]+[^♪♫*]*[♪♫*]*)\s*$")
# Marks that turn or hide text (bidirectional controls, zero-width space, soft hyphen, byte order mark).
HIDDEN = re.compile(r"[\u00ad\u200b\u200e\u200f\u202a-\u202e\u2060-\u2069\ufeff]")


@dataclass
class _Cue:
    """One cue: its line in the file, times in seconds, and rows of (text, time of the words if the file says)."""

    line: int
    start_s: float
    end_s: float | None
    words: list[tuple[str, float | None]] = field(default_factory=list)
    last_row: int = 0  # words in the last row shown


def read(path: Path | str) -> list[Line]:
    """The lines of the transcript at ``path``, in order, none overlapping; times in seconds.

    A timed line ends where the next begins. Captions that roll up (each cue shows the last one's text again) are
    told once. Raises :class:`BadInput`, with the line's number, for a file that is not UTF-8 or UTF-16, is empty, has
    no times, or whose times go backwards or overlap.
    """
    path = check_file(path)
    text = _decode(path)
    name = shown(path)
    if text.lstrip().startswith("{"):
        lines = from_json(text).transcript
        if not lines:
            raise BadInput(f"{name} is a log without a transcript; give one that has the words")
        return lines
    rows = text.split("\n")
    if any(CUE.match(row) for row in rows):
        cues = list(_cues(rows, name, webvtt=text.startswith("WEBVTT")))
        cues = _told_once(cues)
    elif text.startswith("WEBVTT"):
        raise BadInput(f"{name} has no cues; export the captions again")
    else:
        cues = list(_timed_lines(rows, name))
    _refuse_disorder(cues, name)
    lines = _lines(cues)
    if not lines:
        raise BadInput(f"{name} has times but no words; export the transcript again")
    return lines


def _decode(path: Path) -> str:
    if path.stat().st_size > LARGEST:
        raise BadInput(f"{shown(path)} is too large for a transcript; give the text file, not the recording")
    data = path.read_bytes()
    encoding = "utf-8-sig"
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        encoding = "utf-16"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise BadInput(f"{shown(path)}, line {line}, is not UTF-8 text; save the transcript as UTF-8") from error
    if "\0" in text:
        raise BadInput(
            f"{shown(path)} is not a text file; give a transcript in WebVTT, SubRip or lines such as [1:05] text"
        )
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if not text.strip():
        raise BadInput(f"{shown(path)} is empty; export the transcript again")
    return text


def _seconds(stamp: str) -> float:
    match = STAMP.fullmatch(stamp)
    assert match is not None
    hours, minutes, seconds, fraction = match.groups()
    return int(hours or 0) * 3600 + int(minutes) * 60 + int(seconds) + int((fraction or "0").ljust(3, "0")) / 1000


def _cues(rows: list[str], name: str, *, webvtt: bool) -> Iterator[_Cue]:
    """The cues of WebVTT or SubRip."""
    at = 0
    while at < len(rows):
        match = CUE.match(rows[at])
        if match is None:
            if "-->" in rows[at]:
                raise BadInput(
                    f"{name}, line {at + 1}: the times of this cue cannot be read; write 00:01:05.000 --> 00:01:09.000"
                )
            at += 1
            continue
        cue = _Cue(at + 1, _seconds(match[1]), _seconds(match[2]))
        if cue.end_s is not None and cue.end_s < cue.start_s:
            raise BadInput(f"{name}, line {at + 1}: this cue ends before it starts; correct its times")
        at += 1
        while at < len(rows) and "-->" not in rows[at]:
            # SubRip files in the wild have empty rows inside a cue; in WebVTT an empty row (no blanks) ends it.
            if (webvtt and not rows[at]) or (not webvtt and not rows[at].strip() and _next_is_cue(rows, at)):
                break
            if rows[at].strip() and not _is_number_of_next(rows, at):
                words = _words(rows[at], cue.start_s)
                if words:
                    cue.words += words
                    cue.last_row = len(words)
            at += 1
        yield cue


def _next_is_cue(rows: list[str], at: int) -> bool:
    return any("-->" in row for row in rows[at + 1 : at + 3])


def _is_number_of_next(rows: list[str], at: int) -> bool:
    """A SubRip cue's number right above its times, where the empty row before it is missing."""
    return rows[at].strip().isdigit() and at + 1 < len(rows) and "-->" in rows[at + 1]


def _words(row: str, start_s: float) -> list[tuple[str, float | None]]:
    """The words of a row with the times that tags inside it give."""
    if SOUND.match(clean(row)):
        return []
    words: list[tuple[str, float | None]] = []
    pieces = INNER_TIME.split(row)
    timed = len(pieces) > 1
    time: float | None = start_s if timed else None
    for n, piece in enumerate(pieces):
        if n % 2:
            time = max(start_s, _seconds(piece))
        else:
            words += [(w, time) for w in clean(piece).split()]
    return words


def clean(text: str) -> str:
    """``text`` without markup, control characters and marks that turn or hide what is read; entities resolved."""
    text = html.unescape(TAG.sub("", text))
    text = HIDDEN.sub("", text)
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def _timed_lines(rows: list[str], name: str) -> Iterator[_Cue]:
    """Lines that begin with a time; a line without one goes on from the line before it."""
    cue: _Cue | None = None
    for number, row in enumerate(rows, 1):
        match = TIMED.match(HIDDEN.sub("", row))
        if match is None:
            if not row.strip():
                continue
            if BROKEN.match(row):
                raise BadInput(f"{name}, line {number}: the time cannot be read; write [1:05] or [1:02:03]")
            if cue is None:
                raise BadInput(
                    f"{name}, line {number}, has no time; begin each line with one, such as [1:05] text, "
                    "or give WebVTT or SubRip"
                )
            cue.words += [(w, None) for w in clean(row).split()]
            continue
        stamp = match[1] or match[6] or match[11]
        if int(STAMP.fullmatch(stamp)[3]) > 59:  # type: ignore[index]
            raise BadInput(
                f"{name}, line {number}: “{stamp}” is no time; write minutes:seconds or hours:minutes:seconds"
            )
        if cue is not None:
            yield cue
        cue = _Cue(number, _seconds(stamp), None, [(w, None) for w in clean(match[16]).split()])
    if cue is not None:
        yield cue


def _told_once(cues: list[_Cue]) -> list[_Cue]:
    """Where captions roll up, each cue's repetition of the words before it is left out."""
    touching = [(a, b) for a, b in pairwise(cues) if a.words and a.end_s is not None and b.start_s <= a.end_s + 0.1]
    again = [_repeated(_texts(a), _texts(b)) >= max(1, min(a.last_row, len(a.words))) for a, b in touching]
    if not touching or sum(again) < max(2, ROLLING_SHARE * len(touching)):
        return cues
    told: list[_Cue] = []
    before: list[str] = []  # the last words told, as many as a cue may show again
    for cue in cues:
        words = _texts(cue)
        count = _repeated(before, words)
        new = _Cue(cue.line, cue.start_s, cue.end_s, cue.words[count:], cue.last_row)
        before = (before + words[count:])[-60:]
        if told and told[-1].end_s is not None and new.words:
            told[-1].end_s = max(told[-1].start_s, min(told[-1].end_s, new.start_s))
        if new.words:
            told.append(new)
    return told


def _texts(cue: _Cue) -> list[str]:
    return [w for w, _ in cue.words]


def _repeated(before: list[str], words: list[str]) -> int:
    """How many words at the start of ``words`` are the last ones of ``before``."""
    return next((n for n in range(min(len(before), len(words)), 0, -1) if before[-n:] == words[:n]), 0)


def _refuse_disorder(cues: list[_Cue], name: str) -> None:
    for before, cue in pairwise(cues):
        if cue.start_s < before.start_s:
            raise BadInput(
                f"{name}, line {cue.line}: the time {_clock(cue.start_s)} is before {_clock(before.start_s)} on line "
                f"{before.line}; put the lines in order"
            )
        if before.end_s is not None and cue.start_s < before.end_s - SLACK_S:
            raise BadInput(
                f"{name}, line {cue.line}: this cue starts at {_clock(cue.start_s)}, before the one on line "
                f"{before.line} ends at {_clock(before.end_s)}; correct the times"
            )


def _lines(cues: list[_Cue]) -> list[Line]:
    lines: list[Line] = []
    for n, cue in enumerate(cues):
        following = cues[n + 1].start_s if n + 1 < len(cues) else None
        end = cue.end_s if cue.end_s is not None else following
        if end is None or (cue.end_s is None and end <= cue.start_s):
            end = cue.start_s + max(1, len(cue.words)) / WORDS_PER_S
        if following is not None:
            end = max(cue.start_s, min(end, following))
        if not cue.words:
            continue
        text = " ".join(w for w, _ in cue.words)
        words = _timed_words(cue, end) if any(t is not None for _, t in cue.words) else []
        if lines and cue.start_s == lines[-1].start_s and not words and not lines[-1].words:
            lines[-1].text += " " + text  # several lines under one time are one line
            lines[-1].end_s = end
        else:
            lines.append(Line(start_s=cue.start_s, end_s=round(end, 3), text=text, words=words))
    return lines


def _timed_words(cue: _Cue, end_s: float) -> list[Word]:
    """Words with times of their own: each run of words under one time shares the time up to the next."""
    words: list[Word] = []
    at = 0
    while at < len(cue.words):
        time = cue.words[at][1]
        run = at
        while run < len(cue.words) and cue.words[run][1] == time:
            run += 1
        start = cue.start_s if time is None else min(max(time, words[-1].end_s if words else cue.start_s), end_s)
        later = cue.words[run][1] if run < len(cue.words) else None
        stop = max(start, min(end_s, later) if later is not None else end_s)
        share = (stop - start) / (run - at)
        words += [
            Word(start_s=round(start + share * n, 3), end_s=round(start + share * (n + 1), 3), text=w)
            for n, (w, _) in enumerate(cue.words[at:run])
        ]
        at = run
    return words


def _clock(seconds: float) -> str:
    minutes, rest = divmod(seconds, 60)
    hours, minutes = divmod(int(minutes), 60)
    shown_s = f"{rest:06.3f}".rstrip("0").rstrip(".")
    return f"{hours}:{minutes:02}:{shown_s}" if hours else f"{minutes}:{shown_s}"
