"""What speaks for a new chapter at a place: silence, cues, a change of words, the trained reader."""

from __future__ import annotations

import itertools
import math
import statistics
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from buildlog.outline.words import names_topic

if TYPE_CHECKING:
    from buildlog.outline.steps.drafts import Draft
    from buildlog.tag.items import Gathered
    from buildlog.tag.reader import Reading
    from buildlog.tag.view import View


@dataclass(slots=True)
class Place:
    """A place where a chapter may begin: token ``at``, its time, and the evidence for it (log odds, prior left out);
    ``pause_s`` is the silence before it."""

    at: int
    start_s: float
    score: float
    pause_s: float = 0.0


PAUSED_S = 2.0  # silence that divides talk into stretches
_WINDOW = 70  # tokens on either side whose words are compared
_CUES: tuple[tuple[str, ...], ...] = tuple(
    tuple(p.split())
    for p in (
        "next up", "next", "right so", "right then", "right", "okay so", "okay now", "okay", "ok so", "ok",
        "alright so", "alright", "so then",
        "so now", "now then", "now", "then the", "then it 's", "then", "so the", "and then", "let 's", "moving on",
        "on to", "onto", "last thing", "last of all",
        "last", "finally", "first job", "first thing", "first", "time for", "time to", "for the", "so that 's",
        "that 's it", "that 's",
        "so there", "so we", "and so", "so", "and for the", "and here 's", "while that", "once that", "anyway",
        "step", "after that", "before", "meanwhile",
        "so what", "what else", "to finish",
    )
)  # fmt: skip
_STRONG = frozenset(
    " ".join(p.split())
    for p in (
        "next up", "next", "right so", "right then", "right", "okay so", "okay now", "okay", "ok so", "ok",
        "alright so", "alright", "so then", "moving on", "on to",
        "onto", "last thing", "last of all", "finally", "time for", "time to", "that 's it", "while that",
        "first job", "meanwhile",
    )
)  # fmt: skip
_OUTRO = (
    "thank you for watching", "thanks for watching", "thanks ever so much", "see you", "that 's it for",
    "so that 's it", "that 's me", "so there we have it",
    "so there it is", "so there she is", "all together", "altogether", "all told", "in the next one", "next week",
    "next month", "next time", "bye", "ta - ra", "cheerio",
    "good night", "so that 's the", "and that 's it", "see you next", "subscribe", "in the description",
    "until next time", "catch you", "the whole thing cost",
    "so that comes to", "it all came to", "there you have it", "that 's a wrap", "happy making",
)  # fmt: skip
_STOP = frozenset(
    "the a an and or but so to of in on at with for from into onto over it its is be been was were are am has have "
    "had do does did i you we they he "
    "she me my your our their this that these those there here then now just not no n't 's 'll 've 're 'd 'm what "
    "which who how when where "
    "if as by up out off down all one two some any other like get got go going put make know think see say thing bit "
    "way really very "
    "because about more can could would will should might um uh well okay right yes".split()
)


def silences(v: View, pauses: Sequence[tuple[float, float]] = ()) -> list[float]:
    """Seconds of silence before every token.

    Where lines carry no times of words, a line that lasts longer than its words need ends in silence.
    """
    n = len(v.text)
    out = [0.0] * n
    bounds: list[tuple[int, int]] = []
    start = 0
    for i in range(1, n + 1):
        if i == n or v.line[i] != v.line[start]:
            bounds.append((start, i))
            start = i
    paces = []
    for a, b in bounds:
        chars = sum(len(v.text[i]) + 1 for i in range(a, b))
        length = v.end_s[b - 1] - v.start_s[a]
        if length > 0.5 and chars > 15:
            paces.append(chars / length)
    # Slow lines hold silences, so the usual pace lies above the middle.
    pace = statistics.quantiles(paces, n=10)[5] if len(paces) > 3 else 15.0
    for (a, b), (c, _) in itertools.pairwise(bounds):
        gap = max(0.0, v.start_s[c] - v.end_s[b - 1])
        chars = sum(len(v.text[i]) + 1 for i in range(a, b))
        slack = (v.end_s[b - 1] - v.start_s[a]) - chars / pace
        out[c] = gap if gap > 0.3 else max(0.0, slack)
    for i in range(1, n):
        if v.line[i] == v.line[i - 1]:
            out[i] = max(0.0, v.start_s[i] - v.end_s[i - 1])
    if pauses:
        times = v.start_s
        for lo, hi in pauses:
            i = bisect_left(times, lo + 0.5 * (hi - lo))
            if i < n:
                out[i] = max(out[i], hi - lo)
    return out


def cue(v: View, at: int, end: int) -> float:
    """How much the first words of a sentence announce something new: 0, 0.5 or 1."""
    low = v.low
    for words in _CUES:
        if tuple(low[at : at + len(words)]) == words:
            return 1.0 if " ".join(words) in _STRONG else 0.5
    return 0.0


def is_outro(v: View, at: int, end: int) -> bool:
    """Whether the sentence takes leave or sums up."""
    text = " " + " ".join(v.low[at:end]) + " "
    return any(f" {p} " in text for p in _OUTRO)


def change_of_words(v: View) -> list[float]:
    """For every sentence: how unlike the words before and after its start are (0 alike, 1 nothing shared).

    Cosine of content lemmas in windows on either side, as in lexical cohesion segmentation (Hearst 1997), each
    word weighted by how few sentences it is in.
    """
    spread: dict[str, int] = {}
    per: list[list[str]] = []
    for a, b in v.sents:
        words = [
            v.lemma[i] for i in range(a, b) if v.pos[i] in ("NOUN", "PROPN", "VERB", "ADJ") and v.lemma[i] not in _STOP
        ]
        per.append(words)
        for w in set(words):
            spread[w] = spread.get(w, 0) + 1
    n = len(per)
    weight = {w: math.log(1 + n / c) for w, c in spread.items()}
    out = [0.0] * n
    for s in range(1, n):
        left: dict[str, float] = {}
        right: dict[str, float] = {}
        for side, step, bag in ((s - 1, -1, left), (s, 1, right)):
            seen, k = 0, side
            while 0 <= k < n and seen < _WINDOW:
                for w in per[k]:
                    bag[w] = bag.get(w, 0.0) + weight[w]
                seen += v.sents[k][1] - v.sents[k][0]
                k += step
        dot = sum(x * right.get(w, 0.0) for w, x in left.items())
        norm = math.sqrt(sum(x * x for x in left.values()) * sum(x * x for x in right.values()))
        out[s] = 1.0 - (dot / norm if norm else 0.0)
    return out


def places(
    v: View, drafts: Sequence[Draft], items: Sequence[Gathered], reading: Reading | None, *,
    pauses: Sequence[tuple[float, float]], cuts: Sequence[float],
) -> list[Place]:  # fmt: skip
    """Every sentence start, and every first word after a silence, with its evidence."""
    silent = silences(v, pauses)
    typical = (
        statistics.quantiles([x for x in silent if x > 0.05] or [0.5], n=4)[2]
        if sum(x > 0.05 for x in silent) > 1
        else 0.5
    )
    change = change_of_words(v)
    middle = statistics.median(change[1:]) if len(change) > 1 else 0.5
    inside = [False] * len(v.text)
    for d in drafts:
        for i in range(d.start + 1, d.end):
            inside[i] = True
    worked = [d.at for d in drafts]
    named = [m.start for g in items for m in g.mentions]
    named.sort()
    out: list[Place] = []
    outro_from = _outro_start(v)
    for s, a, b in _openings(v, silent):
        if v.start_s[a] <= v.start_s[a - 1] and v.line[a] == v.line[a - 1]:
            continue
        pause = silent[a]
        score = 1.1 * math.log1p(min(pause, 8.0)) + 0.9 * min(2.0, pause / max(0.4, typical)) * (pause > 0.35)
        score += 1.1 * cue(v, a, b) + 3.0 * (change[s] - middle)
        if names_topic(v, a, b):
            score += 1.3
        if inside[a]:
            score -= 2.5 if pause <= PAUSED_S else 0.0
        if s == outro_from:
            score += 1.5
        if reading is not None:
            p = float(reading.layers["chapter"][a : min(b, a + 3), 1].max())
            p = min(0.97, max(0.01, p))
            score += 0.9 * (math.log(p / (1 - p)) + 3.0)
        if pause > PAUSED_S:
            score += _what_follows(v, a, silent, worked, named)
        if cuts:
            k = bisect_left(cuts, v.start_s[a])
            near = min((abs(cuts[j] - v.start_s[a]) for j in (k - 1, k) if 0 <= j < len(cuts)), default=9.0)
            score += 0.8 if near < 1.5 else 0.0
        out.append(Place(a, v.start_s[a], score, pause))
    return out


def _openings(v: View, silent: Sequence[float]) -> list[tuple[int, int, int]]:
    """Where a chapter may begin: (number of the sentence, first token, its end), in order.

    A long silence ends a sentence, whatever the guess at full stops in speech without them says.
    """
    out = []
    for s, (a, b) in enumerate(v.sents):
        starts = [a, *(i for i in range(a + 1, b) if silent[i] > PAUSED_S)]
        out += [(s, i, b) for i in starts if i > 0]
    return out


def _what_follows(v: View, at: int, silent: list[float], worked: list[int], named: list[int]) -> float:
    """Evidence from the talk up to the next silence: work and things named speak for a chapter, an aside against."""
    end = next((i for i in range(at + 1, len(silent)) if silent[i] > PAUSED_S), len(silent))
    steps = bisect_left(worked, end) - bisect_left(worked, at)
    things = bisect_left(named, end) - bisect_left(named, at)
    if not steps and not things:
        return -1.0
    return 1.4 * min(steps, 3) / 3 + 1.2 * min(things, 4) / 4


def _outro_start(v: View) -> int | None:
    """The sentence at which the leave-taking at the end begins."""
    n = len(v.sents)
    last = v.end_s[-1] if v.end_s else 0.0
    first: int | None = None
    for s in range(n - 1, 0, -1):
        a, b = v.sents[s]
        if last - v.start_s[a] > min(120.0, max(30.0, 0.15 * last)):
            break
        if is_outro(v, a, b):
            first = s
    return first
