"""Writing piece by piece: the likeliest beginnings of a sentence are kept until they are whole."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from buildlog.outline.writer.loading import Floats, Model

Ints = npt.NDArray[np.int64]
KEPT = 4  # beginnings kept of each row
LONG = 0.9  # 1 holds longer sentences for as good as short ones, 0 counts each piece against them
_FAINT = 1e-5
_REPEATED = 6  # word pieces said twice in a row, at most, that are noticed


@dataclass(frozen=True, slots=True)
class Rows:
    """What the decoder looks at for each row: keys and values of its window, layer by layer (rows, heads, width, part), copying keys and
    memory (rows, width, size), 0 or -10000 where it is padded, the ids of its pieces, and which of them are marked (rows, width)."""

    window: list[Floats]
    keys: Floats
    memory: Floats
    padded: Floats
    source: Ints
    inside: npt.NDArray[np.bool_]

    @property
    def fixed(self) -> dict[str, Floats]:
        """What the decoder is given anew for each piece."""
        window = {f"window_{'kv'[n % 2]}{n // 2}": x for n, x in enumerate(self.window)}
        return {"keys": self.keys, "memory": self.memory, "padded": self.padded} | window


@dataclass(slots=True)
class Spelled:
    """A sentence or its beginning: its pieces, the probability of each, where in the window each was looked for (width)."""

    pieces: list[int] = field(default_factory=list)
    chances: list[float] = field(default_factory=list)
    where: list[Floats] = field(default_factory=list)
    total: float = 0.0  # log probability

    def worth(self) -> float:
        """Log probability a piece; longer ones are not held back quite so much."""
        return self.total / math.pow(len(self.pieces) + 1, LONG)


def spell(m: Model, rows: Rows) -> tuple[Floats, list[list[Spelled]]]:
    """How likely each row tells anything, and what may be written for it, the likeliest first; at least one."""
    count = len(rows.source)
    opens, closes = int(m.about["opens"]), int(m.about["closes"])
    # An amount is never made up: figures and number words only as they stand in the window.
    allowed = np.ones((count, 1, len(m.may)), dtype=np.float32)
    for r in range(count):
        allowed[r, 0, m.number[m.may] & ~np.isin(m.may, rows.source[r])] = 0
    kept = 1
    begun = [[Spelled()] for _ in range(count)]
    whole: list[list[Spelled]] = [[] for _ in range(count)]
    fixed = rows.fixed
    past = _nothing(m, count)
    last = np.full((count, 1), opens, dtype=np.int64)
    tells = np.zeros(count, dtype=np.float32)
    for t in range(int(m.about["longest"])):
        x = m.embed(last, m.tables["written"][t : t + 1], m.tables["opening"])
        own, copied, where, *past = m.writes.run(None, {"x": x, **_before(past), **fixed})
        p = np.zeros((count, kept, len(m.spelled)), dtype=np.float32)
        p[..., m.may] = (1 - copied[..., None]) * own * allowed
        share = copied[..., None] * where
        for r in range(count):
            for k in range(kept):
                np.add.at(p[r, k], rows.source[r], share[r, k])
        if t == 0:
            tells = 1 - p[:, 0, closes]
            p[..., closes] = 0
        best = np.argpartition(-p, KEPT + 1, axis=-1)[..., : KEPT + 2]
        came = np.zeros((count, KEPT), dtype=np.int64)
        then = np.zeros((count, KEPT), dtype=np.int64)
        for r in range(count):
            further, done = _further(begun[r], best[r], p[r], where[r], closes)
            whole[r] += done
            # What is whole is better than anything that the beginnings can still become.
            if len(whole[r]) >= KEPT or (whole[r] and further and _settled(whole[r], further[0][1])):
                further = []
            for n, (k, s) in enumerate(further):
                came[r, n], then[r, n] = k, s.pieces[-1]
            begun[r] = [s for _, s in further] + [Spelled(total=-np.inf) for _ in range(KEPT - len(further))]
        if all(b[0].total == -np.inf for b in begun):
            break
        order = (came + kept * np.arange(count)[:, None]).ravel()
        past = [x[order] for x in past]
        last, kept = then, KEPT
    return tells, [
        sorted(w or [b for b in bs if b.total > -np.inf] or [Spelled()], key=Spelled.worth, reverse=True)
        for w, bs in zip(whole, begun, strict=True)
    ]


def _further(
    begun: list[Spelled], best: Ints, p: Floats, where: Floats, closes: int
) -> tuple[list[tuple[int, Spelled]], list[Spelled]]:
    """The likeliest beginnings one piece further, each with the number of the one it goes on from, and those that are whole now.
    ``best`` (beginnings, few) are the likeliest next pieces, ``p`` (beginnings, pieces) the probability of all."""
    found: list[tuple[float, int, int]] = []
    for k, b in enumerate(begun):
        if b.total == -np.inf:
            continue
        for i in best[k]:
            chance = float(p[k, i])
            if chance > _FAINT and not _said_twice(b.pieces, int(i)):
                found.append((b.total + math.log(chance), k, int(i)))
    found.sort(reverse=True)
    further: list[tuple[int, Spelled]] = []
    done: list[Spelled] = []
    for total, k, i in found:
        b = begun[k]
        if i == closes:
            done.append(Spelled(b.pieces, b.chances, b.where, total))
        elif len(further) < KEPT:
            further.append((k, Spelled([*b.pieces, i], [*b.chances, float(p[k, i])], [*b.where, where[k]], total)))
    return further, done


def chances(m: Model, rows: Rows, pieces: list[list[int]]) -> list[list[float]]:
    """The probability of each of the given ``pieces`` of a row, and of the end behind them, as the writer would have written them."""
    count, longest = len(pieces), max(map(len, pieces)) + 1
    closes = int(m.about["closes"])
    written = np.full(len(m.spelled), -1, dtype=np.int64)
    written[m.may] = np.arange(len(m.may))
    out: list[list[float]] = [[] for _ in range(count)]
    wanted = np.full((count, longest), closes, dtype=np.int64)
    for r, row in enumerate(pieces):
        wanted[r, : len(row)] = row
    fixed = rows.fixed
    past, last = _nothing(m, count), np.full((count, 1), int(m.about["opens"]), dtype=np.int64)
    for t in range(longest):
        x = m.embed(last, m.tables["written"][t : t + 1], m.tables["opening"])
        own, copied, where, *past = m.writes.run(None, {"x": x, **_before(past), **fixed})
        for r in range(count):
            if t <= len(pieces[r]):
                i = wanted[r, t]
                p = copied[r, 0] * where[r, 0][rows.source[r] == i].sum()
                if written[i] >= 0:
                    p += (1 - copied[r, 0]) * own[r, 0, written[i]]
                out[r].append(float(p))
        last = wanted[:, t : t + 1]
    return out


def _nothing(m: Model, count: int) -> list[Floats]:
    """Keys and values, layer by layer, before anything is written."""
    heads = int(m.about["heads"])
    return [np.zeros((count, heads, 0, int(m.about["size"]) // heads), dtype=np.float32)] * (2 * int(m.about["layers"]))


def _before(past: list[Floats]) -> dict[str, Floats]:
    return {f"before_{'kv'[n % 2]}{n // 2}": x for n, x in enumerate(past)}


def _settled(whole: list[Spelled], first: Spelled) -> bool:
    return max(b.worth() for b in whole) > first.total / math.pow(len(first.pieces) + 8, LONG)


def _said_twice(pieces: list[int], then: int) -> bool:
    """Whether ``then`` ends a run of pieces that was just said ("of water based | of water based")."""
    said = [*pieces, then]
    n = len(said)
    return any(said[n - k :] == said[n - 2 * k : n - k] for k in range(1, min(_REPEATED, n // 2) + 1))
