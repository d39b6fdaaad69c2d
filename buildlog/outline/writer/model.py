"""A narration read by the writer, and the steps written for stretches of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from buildlog.outline.writer.beginnings import Rows, chances, spell
from buildlog.outline.writer.candidates import choose
from buildlog.outline.writer.loading import Floats, Model, load, model_folder
from buildlog.outline.writer.spelling import faces, sentence, words_of

_AHEAD = 24  # word pieces that a window shows behind a stretch, where there are as many
_READ, _ROWS = 4, 12  # windows read, and stretches written, at once


@dataclass(frozen=True, slots=True)
class Written:
    """A step as written: ``at`` and ``end`` are the first and one past the last word that it was taken from inside its stretch
    (the whole stretch where it took none); ``sure`` the geometric mean of the probabilities of its pieces, 0 to 1."""

    text: str
    at: int
    end: int
    sure: float


@dataclass(frozen=True, slots=True)
class _Window:
    start: int  # first piece
    ids: npt.NDArray[np.int64]
    hidden: Floats  # (width, size)
    asked: Floats  # (width, (2 * layers + 1) * size)


class Page:
    """A narration read, ready to be written from. ``words`` are cut as ``spelling.WORD`` cuts them.

    ``telling`` (words, 3): probability that a word stands outside of what tells a step, begins it, goes on with it.
    """

    def __init__(self, model: Model, words: Sequence[str]) -> None:
        self._model = model
        self.words = list(words)
        e = model.tokenizer.encode(self.words, is_pretokenized=True, add_special_tokens=False)
        self._ids = np.array(e.ids, dtype=np.int64)
        self._of = np.array(e.word_ids, dtype=np.int64)
        self._begin = np.searchsorted(self._of, np.arange(len(self.words) + 1)).astype(np.int64)
        self._faces = faces(self.words)
        self.telling = np.zeros((len(self.words), 3), dtype=np.float32)
        self.telling[:, 0] = 1
        self._windows: list[_Window] = []
        self._read()

    def _read(self) -> None:
        m = self._model
        room = int(m.about["window"]) - 2
        step = room // 2
        n = len(self._ids)
        starts = list(range(0, max(1, n - step), step))
        closest = np.full(n, -1, dtype=np.int64)  # how far each piece is from the edge of the window it was judged in
        for g in range(0, len(starts), _READ):
            group = starts[g : g + _READ]
            width = max(min(room, n - s) for s in group) + 2
            ids = np.zeros((len(group), width), dtype=np.int64)
            mask = np.zeros((len(group), width), dtype=np.float32)
            for r, s in enumerate(group):
                piece = self._ids[s : s + room]
                ids[r, : len(piece) + 2] = [m.about["opens"], *piece, m.about["closes"]]
                mask[r, : len(piece) + 2] = 1
            x = m.embed(ids, m.tables["places"][:width], m.tables["norm"])
            hidden, asked, head = m.reads.run(None, {"embedded": x, "mask": mask})
            for r, s in enumerate(group):
                count = min(room, n - s)
                self._windows.append(_Window(s, ids[r, : count + 2], hidden[r, : count + 2], asked[r, : count + 2]))
                self._judge(s, count, head[r, 1 : count + 1], closest)

    def _judge(self, start: int, count: int, head: Floats, closest: npt.NDArray[np.int64]) -> None:
        last = start + count == len(self._ids)
        a, b = self._model.about["head"]["telling"]
        telling = _softmax(head[:, a:b])
        for j in range(count):
            p = start + j
            w = self._of[p]
            edge = min(j if start else count, count - 1 - j if not last else count)
            if self._begin[w] == p and edge > closest[p]:
                closest[p] = edge
                self.telling[w] = telling[j]

    def write(self, stretches: Sequence[tuple[int, int]]) -> list[tuple[float, list[Written]]]:
        """For each stretch of words (first, one past the last): how likely it tells anything to do, and the steps it tells."""
        order = sorted(range(len(stretches)), key=lambda i: stretches[i])
        out: list[tuple[float, list[Written]]] = [(0.0, [])] * len(stretches)
        for at in range(0, len(order), _ROWS):
            group = order[at : at + _ROWS]
            for i, found in zip(group, self._spell([stretches[i] for i in group]), strict=True):
                out[i] = found
        return out

    def chances(self, stretches: Sequence[tuple[int, int]], sentences: Sequence[str]) -> list[list[float]]:
        """How likely the writer would have written each of the ``sentences`` for its stretch: the probability of each piece."""
        out = []
        for at in range(0, len(stretches), _ROWS):
            rows, _ = self._rows(list(stretches[at : at + _ROWS]))
            pieces = [
                self._model.tokenizer.encode(s, add_special_tokens=False).ids[: int(self._model.about["longest"]) - 1]
                for s in sentences[at : at + _ROWS]
            ]
            out += chances(self._model, rows, pieces)
        return out

    def _window(self, a: int, b: int) -> _Window:
        """The window that shows most of what was said before the pieces ``a`` to ``b`` and still a little behind."""
        for w in self._windows:
            if b + _AHEAD <= w.start + len(w.ids) - 2 or w is self._windows[-1]:
                return w
        raise AssertionError("there is always a last window")

    def _spell(self, stretches: list[tuple[int, int]]) -> list[tuple[float, list[Written]]]:
        rows, windows = self._rows(stretches)
        tells, spelled = spell(self._model, rows)
        out = []
        for r, (stretch, found) in enumerate(zip(stretches, spelled, strict=True)):
            of = choose(self._model, found, rows.source[r], rows.inside[r])
            drawn = [
                (i, p, self._taken(where, rows.source[r], i, windows[r]))
                for i, p, where in zip(of.pieces, of.chances, of.where, strict=True)
            ]
            out.append((float(tells[r]), self._steps(drawn, stretch)))
        return out

    def _rows(self, stretches: list[tuple[int, int]]) -> tuple[Rows, list[_Window]]:
        """What the decoder looks at, with the stretches marked, and the window that each row is in."""
        m = self._model
        size, heads, layers = int(m.about["size"]), int(m.about["heads"]), int(m.about["layers"])
        spans = [(int(self._begin[a]), int(self._begin[b])) for a, b in stretches]
        windows = [self._window(a, b) for a, b in spans]
        count, width = len(stretches), max(len(w.ids) for w in windows)
        memory = np.zeros((count, width, size), dtype=np.float32)
        asked = np.zeros((count, width, (2 * layers + 1) * size), dtype=np.float32)
        padded = np.full((count, width), -1e4, dtype=np.float32)
        source = np.zeros((count, width), dtype=np.int64)
        inside = np.zeros((count, width), dtype=bool)
        for r, (w, (a, b)) in enumerate(zip(windows, spans, strict=True)):
            n = len(w.ids)
            lo, hi = max(1, a - w.start + 1), min(n - 1, b - w.start + 1)
            memory[r, :n], asked[r, :n], source[r, :n], padded[r, :n] = w.hidden, w.asked, w.ids, 0
            memory[r, lo:hi] += m.tables["mark"]
            asked[r, lo:hi] += m.tables["asked"]
            inside[r, lo:hi] = True
        window = asked[..., : 2 * layers * size].reshape(count, width, 2 * layers, heads, size // heads)
        return Rows(
            [np.ascontiguousarray(window[:, :, i].transpose(0, 2, 1, 3)) for i in range(2 * layers)],
            np.ascontiguousarray(asked[..., 2 * layers * size :]), memory, padded, source, inside,
        ), windows  # fmt: skip

    def _taken(self, where: Floats, source: npt.NDArray[np.int64], piece: int, window: _Window) -> int:
        """The word that a copied piece most likely comes from, -1 for one that stands nowhere in the window."""
        at = np.flatnonzero(source == piece)
        if not len(at):
            return -1
        p = window.start + int(at[where[at].argmax()]) - 1
        return int(self._of[p]) if 0 <= p < len(self._of) else -1

    def _steps(self, spelled: list[tuple[int, float, int]], stretch: tuple[int, int]) -> list[Written]:
        m = self._model
        out: list[Written] = []
        run: list[tuple[int, float, int]] = []
        for entry in [*spelled, (int(m.about["next"]), 1.0, -1)]:
            if entry[0] != m.about["next"]:
                run.append(entry)
                continue
            words = words_of(m.spelled[i] for i, _, _ in run)
            if any(w[0].isalpha() for w in words):
                taken = [
                    w for i, _, w in run
                    if stretch[0] <= w < stretch[1] and len(m.spelled[i]) > 2 and m.spelled[i][:1].isalnum()
                ]  # fmt: skip
                at, end = (min(taken), max(taken) + 1) if taken else stretch
                sure = float(np.exp(np.mean([np.log(max(p, 1e-6)) for _, p, _ in run])))
                out.append(Written(sentence(words, self._faces), at, end, sure))
            run = []
        return out


def _softmax(z: Floats) -> Floats:
    e = np.exp(z - z.max(axis=-1, keepdims=True))
    return np.asarray(e / e.sum(axis=-1, keepdims=True), dtype=np.float32)


def ready() -> bool:
    """Whether a trained writer is installed."""
    return model_folder() is not None


def open_page(words: Sequence[str]) -> Page:
    """The words (at least one) read by the writer. Raises :class:`MissingModel` where it is not installed, or damaged."""
    return Page(load(), words)
