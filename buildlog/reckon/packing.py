"""Laying rectangles on cloth, sheets and boards, with a library, and proving what came out.

Sizes are fractions of an inch; the library packs whole numbers, so they are scaled by their common denominator first:
nothing is rounded. Every layout is checked here before it is given out: nothing overlaps, nothing sticks out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from buildlog.errors import BadInput
from buildlog.reckon.layout import Layout, Shape

MOST_RECTANGLES = 300
_SEARCH_NODES = 4000

# name, count, width, length
Rectangles = Sequence[tuple[str, int, Fraction, Fraction]]


@dataclass(frozen=True, slots=True)
class Placed:
    """A rectangle on sheet ``sheet`` at (x, y); sizes as laid, so width and height are swapped where it was turned."""

    name: str
    sheet: int
    x: Fraction
    y: Fraction
    width: Fraction
    height: Fraction


def _scale(values: Sequence[Fraction]) -> int:
    return math.lcm(*(v.denominator for v in values))


def _listed(parts: Rectangles) -> list[tuple[str, Fraction, Fraction]]:
    total = sum(p[1] for p in parts)
    if total > MOST_RECTANGLES:
        raise BadInput(f"{total} pieces are more than a layout holds ({MOST_RECTANGLES}); split the list")
    return [(name, w, length) for name, count, w, length in parts for _ in range(count)]


def pack_sheets(parts: Rectangles, width: Fraction, height: Fraction, kerf: Fraction, *, turn: bool) -> list[Placed]:
    """Cuts ``parts`` out of as few ``width`` by ``height`` sheets as the packer finds, by straight through cuts.

    Each piece takes a kerf on its right and lower side; the sheet's own edge needs none. Raises :class:`BadInput` for a
    piece larger than a sheet.
    """
    import rectpack

    pieces = _listed(parts)
    for name, w, h in pieces:
        if not ((w <= width and h <= height) or (turn and h <= width and w <= height)):
            raise BadInput(f"{name} is larger than a sheet; give a larger sheet, or allow turning where grain lets you")
    unit = _scale([width, height, kerf, *(v for p in pieces for v in p[1:])])
    sheet = int((width + kerf) * unit), int((height + kerf) * unit)
    best: list[tuple[int, int, int, int, int, int]] | None = None
    fewest, tightest = math.inf, math.inf
    for algorithm in (rectpack.GuillotineBssfSas, rectpack.GuillotineBafLlas, rectpack.GuillotineBlsfMaxas):
        for order in (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE):
            packer = rectpack.newPacker(
                mode=rectpack.PackingMode.Offline, bin_algo=rectpack.PackingBin.BFF, pack_algo=algorithm,
                sort_algo=order, rotation=turn,
            )  # fmt: skip
            for k, (_, w, h) in enumerate(pieces):
                packer.add_rect(int((w + kerf) * unit), int((h + kerf) * unit), k)
            packer.add_bin(*sheet, count=len(pieces))
            packer.pack()
            rects = packer.rect_list()
            if len(rects) < len(pieces):
                continue
            sheets = len(packer)
            last = max(r[2] + r[4] for r in rects if r[0] == sheets - 1)
            if (sheets, last) < (fewest, tightest):
                fewest, tightest, best = sheets, last, rects
    if best is None:
        raise BadInput("no layout was found; give fewer pieces or a larger sheet")
    placed = [
        Placed(
            pieces[rid][0], b, Fraction(x, unit), Fraction(y, unit), Fraction(w, unit) - kerf, Fraction(h, unit) - kerf
        )
        for b, x, y, w, h, rid in best
    ]
    prove(placed, width, height, kerf)
    return placed


def pack_roll(parts: Rectangles, width: Fraction, *, turn: bool) -> tuple[Layout, Fraction]:
    """Lays ``parts`` on cloth ``width`` wide, in rows; gives the picture and the length used. Raises BadInput."""
    pieces = _listed(parts)
    laid: list[tuple[str, Fraction, Fraction]] = []
    for name, w, length in pieces:
        options = [(w, length)] + ([(length, w)] if turn else [])
        fitting = [o for o in options if o[0] <= width]
        if not fitting:
            raise BadInput(f"{name} is wider than the cloth; piece it, or give a wider fabric_width")
        best = min(fitting, key=lambda o: (o[1], o[0]))
        laid.append((name, *best))
    candidates = [_rows(laid, width)]
    if turn:
        candidates.append(_rows([(n, w, h) for n, w, h in pieces if w <= width], width) if all(
            w <= width for _, w, _ in pieces) else candidates[0])  # fmt: skip
    placed = min(candidates, key=_used)
    used = _used(placed)
    prove(placed, width, used, Fraction(0))
    picture = Layout("Parts on the cloth", width, used)
    for p in placed:
        picture.rect(p.x, p.y, p.width, p.height, p.name)
    return picture, used


def _used(placed: Sequence[Placed]) -> Fraction:
    return max(p.y + p.height for p in placed)


def _rows(pieces: Sequence[tuple[str, Fraction, Fraction]], width: Fraction) -> list[Placed]:
    """First-fit rows, tallest first: as cloth is cut by hand, and never longer than one row a piece."""
    rows: list[tuple[Fraction, Fraction, Fraction]] = []  # top, height, filled
    placed = []
    bottom = Fraction(0)
    for name, w, h in sorted(pieces, key=lambda p: (-p[2], -p[1])):
        for k, (top, high, filled) in enumerate(rows):
            if filled + w <= width and h <= high:
                placed.append(Placed(name, 0, filled, top, w, h))
                rows[k] = (top, high, filled + w)
                break
        else:
            placed.append(Placed(name, 0, Fraction(0), bottom, w, h))
            rows.append((bottom, h, w))
            bottom += h
    return placed


def prove(placed: Sequence[Placed], width: Fraction, height: Fraction, kerf: Fraction) -> None:
    """Raises :class:`AssertionError` if a piece sticks out of its sheet or two are nearer than a kerf."""
    for p in placed:
        assert min(p.x, p.y) >= 0, "a piece sticks out"
        assert p.x + p.width <= width, "a piece sticks out"
        assert p.y + p.height <= height, "a piece sticks out"
    by_sheet: dict[int, list[Placed]] = {}
    for p in placed:
        by_sheet.setdefault(p.sheet, []).append(p)
    for group in by_sheet.values():
        group.sort(key=lambda p: p.x)
        for i, a in enumerate(group):
            for b in group[i + 1 :]:
                if b.x >= a.x + a.width + kerf:
                    break
                apart = b.y >= a.y + a.height + kerf or a.y >= b.y + b.height + kerf
                assert apart, "two pieces overlap"


def sheets_picture(placed: Sequence[Placed], width: Fraction, height: Fraction, title: str) -> Layout:
    """The sheets one under another."""
    sheets = 1 + max(p.sheet for p in placed)
    gap = height / 20
    picture = Layout(title, width, sheets * height + (sheets - 1) * gap)
    picture.frames = [(Fraction(0), k * (height + gap), width, height) for k in range(sheets)]
    for p in placed:
        y = p.y + p.sheet * (height + gap)
        picture.shapes.append(
            Shape(((p.x, y), (p.x + p.width, y), (p.x + p.width, y + p.height), (p.x, y + p.height)), p.name)
        )
    return picture


def pack_boards(
    lengths: Sequence[tuple[str, Fraction]], board: Fraction, kerf: Fraction
) -> list[list[tuple[str, Fraction]]]:
    """Cuts ``lengths`` out of as few boards as possible; each cut but the last at a board's end takes a kerf.

    Largest first, then a search bounded in steps tries to save a board where the total says that one might be saved.
    Raises :class:`BadInput` for a length longer than a board.
    """
    if len(lengths) > MOST_RECTANGLES:
        raise BadInput(f"{len(lengths)} lengths are more than this can lay out ({MOST_RECTANGLES}); split the list")
    for name, length in lengths:
        if length > board:
            raise BadInput(f"{name} is longer than a board; give a longer board or join lengths")
    order = sorted(lengths, key=lambda p: -p[1])
    best = _best_fit(order, board + kerf, kerf)
    floor = math.ceil(sum((length + kerf for _, length in order), Fraction(0)) / (board + kerf))
    while len(best) > floor:
        found = _search(order, board + kerf, kerf, len(best) - 1)
        if found is None:
            break
        best = found
    return best


def _best_fit(
    order: Sequence[tuple[str, Fraction]], room: Fraction, kerf: Fraction
) -> list[list[tuple[str, Fraction]]]:
    boards: list[list[tuple[str, Fraction]]] = []
    left: list[Fraction] = []
    for piece in order:
        takes = piece[1] + kerf
        fits = [k for k, r in enumerate(left) if r >= takes]
        if fits:
            k = min(fits, key=lambda i: left[i])
            boards[k].append(piece)
            left[k] -= takes
        else:
            boards.append([piece])
            left.append(room - takes)
    return boards


def _search(
    order: Sequence[tuple[str, Fraction]], room: Fraction, kerf: Fraction, most: int
) -> list[list[tuple[str, Fraction]]] | None:
    """Depth-first over boards, longest piece first, at most so many steps; ``None`` where nothing was found in them."""
    boards: list[list[tuple[str, Fraction]]] = [[] for _ in range(most)]
    left = [room] * most
    steps = 0

    def place(k: int) -> bool:
        nonlocal steps
        if k == len(order):
            return True
        tried: set[Fraction] = set()
        for b in range(most):
            steps += 1
            if steps > _SEARCH_NODES:
                return False
            takes = order[k][1] + kerf
            if left[b] < takes or left[b] in tried:
                continue
            tried.add(left[b])
            left[b] -= takes
            boards[b].append(order[k])
            if place(k + 1):
                return True
            boards[b].pop()
            left[b] += takes
        return False

    return [b for b in boards if b] if place(0) else None
