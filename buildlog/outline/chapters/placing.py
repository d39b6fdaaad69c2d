"""Where chapters begin: the set of places with the most evidence that keeps the hosts' rules.

Rules (support.vevo.com 6945557784347, which carries the largest host's rule): the first chapter at 0:00, at least
three,
in ascending order, each of 10 seconds or more.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from buildlog.outline.chapters.signals import PAUSED_S, Place
from buildlog.outline.model import ChapterWish

LEAST_S = 10.0
LEAST_COUNT = 3
LEAST_COST = 2.0


def usual_count(duration_s: float) -> float:
    """How many chapters a part of this length usually has: ten at nine minutes, fewer a minute the longer it is."""
    nines = max(0.0, duration_s) / 540.0
    return max(3.0, 10.05 * math.pow(nines, 0.5 if nines < 1 else 0.33))


def choose(places: Sequence[Place], duration_s: float, wish: ChapterWish | None, cost: float) -> list[Place]:
    """The chosen places, the start of the part left out.

    Dynamic programming over the places: each chosen one gains its score less ``cost``; stretches much shorter or
    longer than usual lose. ``wish`` fixes the count, or the usual length. Fewer than three chapters come out only
    where there are not enough places 10 s apart.
    """
    usable = [p for p in places if LEAST_S <= p.start_s <= duration_s - LEAST_S]
    if not usable:
        return []
    count = None
    usual = duration_s / usual_count(duration_s)
    if wish is not None and wish.count is not None:
        count = max(LEAST_COUNT, wish.count) - 1
        usual = duration_s / (count + 1)
    elif wish is not None and wish.length_s is not None:
        usual = max(LEAST_S, wish.length_s)
        count = max(LEAST_COUNT - 1, round(duration_s / usual) - 1)
    if count is not None:
        return _exactly(usable, duration_s, count, usual)
    best = _freely(usable, duration_s, usual, _cost(usable, usual_count(duration_s), cost))
    if len(best) < LEAST_COUNT - 1:
        best = _exactly(usable, duration_s, LEAST_COUNT - 1, duration_s / LEAST_COUNT)
    return best


def _cost(places: Sequence[Place], count: float, cost: float) -> float:
    """``cost``, lower where captions or a cut without breath leave no silences, so that all the evidence is weaker.

    What then counts is how places compare: about ``count`` of them are worth a chapter.
    """
    if sum(p.pause_s > PAUSED_S for p in places) >= count / 4:
        return cost
    scores = sorted((p.score for p in places), reverse=True)
    return min(cost, max(LEAST_COST, scores[min(len(scores) - 1, round(count))]))


def _length_loss(length_s: float, usual: float) -> float:
    """Loss for a stretch of this length: none near the usual one, growing with the log of the ratio."""
    if length_s < LEAST_S:
        return math.inf
    return 1.2 * math.log(length_s / usual) ** 2


def _freely(places: list[Place], end_s: float, usual: float, cost: float) -> list[Place]:
    n = len(places)
    gain = [-math.inf] * n
    back = [-1] * n
    for i, p in enumerate(places):
        gain[i] = p.score - cost - _length_loss(p.start_s, usual)
        for j in range(i - 1, -1, -1):
            length = p.start_s - places[j].start_s
            if length < LEAST_S:
                continue
            if length > 4 * usual and gain[i] > -math.inf and back[i] >= 0:
                break
            value = gain[j] + p.score - cost - _length_loss(length, usual)
            if value > gain[i]:
                gain[i], back[i] = value, j
    last, best = -1, -_length_loss(end_s, usual)
    for i, p in enumerate(places):
        value = gain[i] - _length_loss(end_s - p.start_s, usual)
        if value > best:
            last, best = i, value
    return _trace(places, back, last)


def _exactly(places: list[Place], end_s: float, count: int, usual: float) -> list[Place]:
    """The best ``count`` places, or as many as fit."""
    n = len(places)
    reach = max(4 * usual, end_s / max(1, count))
    layers: list[list[float]] = [[p.score - 0.3 * _length_loss(p.start_s, usual) for p in places]]
    backs: list[list[int]] = [[-1] * n]
    for _ in range(1, count):
        before = layers[-1]
        gain, back = [-math.inf] * n, [-1] * n
        for i, p in enumerate(places):
            for j in range(i - 1, -1, -1):
                length = p.start_s - places[j].start_s
                if length < LEAST_S or before[j] == -math.inf:
                    continue
                if length > reach and gain[i] > -math.inf:
                    break
                value = before[j] + p.score - 0.3 * _length_loss(length, usual)
                if value > gain[i]:
                    gain[i], back[i] = value, j
        if all(g == -math.inf for g in gain):
            break
        layers.append(gain)
        backs.append(back)
    top = layers[-1]
    last = max(range(n), key=lambda i: top[i] - 0.3 * _length_loss(end_s - places[i].start_s, usual))
    chosen: list[Place] = []
    for layer in range(len(layers) - 1, -1, -1):
        chosen.append(places[last])
        last = backs[layer][last]
    chosen.reverse()
    return chosen


def _trace(places: list[Place], back: list[int], last: int) -> list[Place]:
    out: list[Place] = []
    while last >= 0:
        out.append(places[last])
        last = back[last]
    out.reverse()
    return out
