"""Telling what was said from what the recogniser made up.

A recogniser trained on captions fills noise with the phrases that captions end with, and now and then repeats itself
without end. Neither is believed on the words alone, as a maker may well say them: it takes the sound, or the
recogniser's own doubt, to contradict them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from buildlog.listen.engine import Segment, Spoken
from buildlog.listen.windows import Region
from buildlog.media import SAMPLE_RATE

# Phrases that caption files end with (common practice among users of the model, no published list).
STOCK = re.compile(
    r"(?:thank(?:s| you)(?: (?:so|very) much)?(?: for (?:watching|listening|your attention))?|"
    r"(?:please )?(?:don't forget to )?(?:like and )?subscribe(?: to (?:my|our|the) channel)?|"
    r"see you (?:next time|in the next (?:video|one))|bye(?: bye)*|you|(?:sub|cap)tit(?:les|ions?)? by .*|"
    r"transcri(?:bed|ption) by .*|captions? by .*|subtitles by .*)"
)
LEAST_SPEECH = 0.2  # share of a line's time in which speech was found
BESIDE_S = 0.2  # a word's own times err by about so much
DOUBTFUL_P = 0.5
# What the recogniser guesses at over humming, murmur and voices far off has a mean word probability under .35 and a mean
# log-probability of the thirty seconds under -1.4; speech under a sander as loud as itself has over .5 and over -0.9.
# Both are asked, as one word or line of good speech may have a low probability by itself.
GUESSED_P, GUESSED_LOG_P = 0.4, -1.0
SAME_WORDS = 0.5  # different words to all words of a line: under this it says the same over and over
FASTEST_WORD_S = 0.1  # nobody says longer runs of words at ten a second


def plain(text: str) -> str:
    """Lower case, letters, digits and apostrophes only."""
    return " ".join(re.findall(r"[\w']+", text.lower()))


def invented(segment: Segment, speech: Sequence[Region]) -> str | None:
    """Why ``segment`` is not believed, or ``None``."""
    if not segment.words:
        return None
    start, end = segment.words[0].start_s, segment.words[-1].end_s
    share = spoken_share(start, end, speech)
    p = sum(w.p for w in segment.words) / len(segment.words)
    # A line may hold one word that was placed far back over the noise before it: its other words speak for it.
    placed = sum(spoken_share(w.start_s - BESIDE_S, w.end_s + BESIDE_S, speech) > 0 for w in segment.words)
    if share < LEAST_SPEECH and placed < 0.5 * len(segment.words):
        return "no speech was found there"
    if segment.no_speech > 0.8 and segment.log_p < -0.8:
        return "the recogniser itself took it for noise"
    if segment.log_p < GUESSED_LOG_P:
        if p < GUESSED_P:
            return "the recogniser was guessing"
        texts = [plain(w.text) for w in segment.words]
        if len(texts) >= 12 and len(set(texts)) < SAME_WORDS * len(texts):
            return "the recogniser repeated itself, guessing"
    stock = STOCK.fullmatch(plain(" ".join(w.text for w in segment.words)))
    if stock and (share < 0.4 or (share < 0.8 and p < DOUBTFUL_P)):
        return "a stock phrase over little or no speech"
    return None


def spoken_share(start_s: float, end_s: float, speech: Sequence[Region]) -> float:
    """The share of the time from ``start_s`` to ``end_s`` that lies in ``speech``."""
    a, b = start_s * SAMPLE_RATE, max(end_s, start_s + 0.01) * SAMPLE_RATE
    return sum(max(0.0, min(b, e) - max(a, s)) for s, e in speech) / (b - a)


def loop(words: Sequence[Spoken], speech: Sequence[Region]) -> tuple[int, int] | None:
    """The first stretch of ``words`` that repeats the words before it without anyone having said so.

    Gives the indexes after the first saying up to the end of the last repetition. Repetition alone is no proof (work
    repeats: over, under, over, under): it takes words faster than speech, hardly any speech, or low probability.
    """
    texts = [plain(w.text) for w in words]
    for start in range(len(texts)):
        for size in range(1, min(24, (len(texts) - start) // 3) + 1):
            end = start + size
            while texts[end : end + size] == texts[start : start + size]:
                end += size
            times = (end - start) // size
            if times < (4 if size < 6 else 3) or end - start < 12:
                continue
            run = words[start:end]
            took = run[-1].end_s - run[0].start_s
            p = sum(w.p for w in run) / len(run)
            if (
                took < FASTEST_WORD_S * len(run)
                or p < DOUBTFUL_P
                or spoken_share(run[0].start_s, run[-1].end_s, speech) < 0.4
            ):
                return start + size, end
    return None
