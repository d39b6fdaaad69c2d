"""The pictures of the sample film: flat drawings of a bench, one function a shot, moving with the time.

Everything is drawn at twice the size and halved, which smooths the edges. Coordinates are those of the finished
1280 x 720 picture. A shot is a function ``(pen, t, u)``: ``t`` seconds since the shot began, ``u`` from 0 to 1 over its
length. What stands still behind it is drawn once a shot by the function named in ``SHOTS``.
"""

from __future__ import annotations

import functools
import itertools
import math
import random
from collections.abc import Callable, Sequence

from PIL import Image, ImageDraw, ImageFont

WIDTH, HEIGHT = 1280, 720
SCALE = 2

Point = tuple[float, float]
Colour = str

WALL, BENCH, BENCH_EDGE, NIGHT = "#efe3cc", "#d9b483", "#a97c4a", "#1f2a30"
MAT, MAT_LINE = "#1f4a42", "#2f6a5e"
CANVAS, CANVAS_DARK, CANVAS_LIGHT = "#7d7a45", "#5e5c32", "#98955e"
WEBBING, THREAD, LEATHER, LEATHER_DARK = "#c9bfa2", "#f4ead2", "#9a5a2c", "#6f3d1b"
ASH, ASH_DARK, STEEL, STEEL_DARK, IRON = "#e9d3a4", "#c7a873", "#c9ced1", "#8b9398", "#3d4449"
SKIN, SKIN_DARK, SLEEVE, SLEEVE_DARK, RED, CHALK = "#e2b48f", "#c6916a", "#8c3b36", "#6d2b27", "#c8453b", "#f7f7f2"


class Pen:
    """Draws in picture coordinates on an image ``SCALE`` times as large."""

    def __init__(self, image: Image.Image) -> None:
        self._draw = ImageDraw.Draw(image)

    @staticmethod
    def _up(points: Sequence[Point]) -> list[Point]:
        return [(x * SCALE, y * SCALE) for x, y in points]

    def shape(self, points: Sequence[Point], fill: Colour, outline: Colour | None = None) -> None:
        self._draw.polygon(self._up(points), fill=fill, outline=outline, width=2 * SCALE)

    def box(
        self, x0: float, y0: float, x1: float, y1: float, fill: Colour, round_: float = 0, line: Colour | None = None
    ) -> None:
        (a, b), (c, d) = self._up([(x0, y0), (x1, y1)])
        self._draw.rounded_rectangle((a, b, c, d), round_ * SCALE, fill=fill, outline=line, width=2 * SCALE)

    def round(self, x: float, y: float, rx: float, ry: float | None, fill: Colour) -> None:
        ry = rx if ry is None else ry
        (a, b), (c, d) = self._up([(x - rx, y - ry), (x + rx, y + ry)])
        self._draw.ellipse((a, b, c, d), fill=fill)

    def line(self, points: Sequence[Point], width: float, fill: Colour) -> None:
        """A line with round ends and corners."""
        up = self._up(points)
        self._draw.line(up, fill=fill, width=round(width * SCALE), joint="curve")
        if width > 3:
            half = width * SCALE / 2
            for x, y in (up[0], up[-1]):
                self._draw.ellipse((x - half, y - half, x + half, y + half), fill=fill)

    def dashes(self, start: Point, end: Point, share: float, fill: Colour, step: float = 16, width: float = 4) -> None:
        """Stitches from ``start`` towards ``end``, the first ``share`` (0 to 1) of them."""
        length = math.dist(start, end)
        ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
        for number in range(int(length * min(1.0, max(0.0, share)) / step)):
            at = number * step
            here = (start[0] + ux * at, start[1] + uy * at)
            self.line([here, (here[0] + ux * step * 0.6, here[1] + uy * step * 0.6)], width, fill)

    def hand(self, x: float, y: float, left: bool = False) -> None:
        """A hand in a sleeve, its finger tips at (x, y), coming from below."""
        s = -1 if left else 1
        self.line([(x + s * 95, y + 120), (x + s * 480, y + 900)], 108, SLEEVE)
        self.line([(x + s * 104, y + 142), (x + s * 84, y + 152)], 96, SLEEVE_DARK)
        self.line([(x + s * 74, y + 86), (x + s * 92, y + 118)], 74, SKIN)
        self.line([(x + s * 62, y + 92), (x + s * 20, y + 62), (x + s * 6, y + 40)], 24, SKIN_DARK)
        for number in range(4):
            dx, dy = number * 17, -number * 3 if number < 3 else 6
            self.line([(x + s * (52 + dx), y + 70), (x + s * (14 + dx), y + 8 + dy)], 21, SKIN)


def speckle(pen: Pen, seed: int, box: tuple[float, float, float, float], colour: Colour, count: int) -> None:
    """Short strokes of grain inside ``box``, always the same for the same seed."""
    chance = random.Random(seed)
    for _ in range(count):
        x, y = chance.uniform(box[0], box[2]), chance.uniform(box[1], box[3])
        pen.line([(x, y), (min(box[2], x + chance.uniform(20, 120)), y)], 1.5, colour)


# --- what stands still ---------------------------------------------------------------------------------------------


def room(pen: Pen) -> None:
    pen.box(0, 0, WIDTH, 520, WALL)
    pen.box(0, 520, WIDTH, HEIGHT, BENCH)
    pen.box(0, 512, WIDTH, 540, BENCH_EDGE)
    speckle(pen, 1, (0, 550, WIDTH, HEIGHT), "#c9a06c", 70)
    pen.box(60, 90, 330, 400, "#e2d1b0", 8)
    for number, length in enumerate((170, 210, 140)):  # tools on the wall
        x = 115 + number * 78
        pen.line([(x, 120), (x, 120 + length * 0.4)], 20, "#b5793f")
        pen.line([(x, 120 + length * 0.4), (x, 120 + length)], 9, STEEL_DARK)
    pen.box(960, 60, 1210, 330, "#b9d6de", 4, "#fff8ea")
    pen.line([(1085, 60), (1085, 330)], 8, "#fff8ea")
    pen.line([(960, 195), (1210, 195)], 8, "#fff8ea")
    pen.round(640, 110, 15, None, BENCH_EDGE)


def bench_top(pen: Pen) -> None:
    pen.box(0, 0, WIDTH, HEIGHT, "#e6cba0")
    for y in (178, 362, 548):
        pen.line([(0, y), (WIDTH, y)], 3, "#c7a676")
    speckle(pen, 2, (0, 0, WIDTH, HEIGHT), "#d8b988", 120)


def canvas_close(pen: Pen) -> None:
    pen.box(0, 0, WIDTH, HEIGHT, CANVAS_DARK)
    for x in range(-700, WIDTH, 22):
        pen.line([(x, HEIGHT), (x + 720, 0)], 2, "#6a6839")


def cutting_mat(pen: Pen) -> None:
    pen.box(0, 0, WIDTH, HEIGHT, MAT)
    for x in range(0, WIDTH, 64):
        pen.line([(x, 0), (x, HEIGHT)], 1.5, MAT_LINE)
    for y in range(8, HEIGHT, 64):
        pen.line([(0, y), (WIDTH, y)], 1.5, MAT_LINE)


def night(pen: Pen) -> None:
    pen.box(0, 0, WIDTH, HEIGHT, NIGHT)
    pen.box(0, 520, WIDTH, HEIGHT, "#2b2520")
    pen.round(1050, 130, 46, None, "#dfe6e0")
    pen.round(1072, 116, 42, None, NIGHT)


def shed_wall(pen: Pen) -> None:
    pen.box(0, 0, WIDTH, HEIGHT, "#f1ead9")
    for x in range(0, WIDTH, 160):
        pen.line([(x, 0), (x, 470)], 3, "#ddd2b9")
    pen.box(0, 470, WIDTH, HEIGHT, BENCH)
    pen.box(0, 462, WIDTH, 490, BENCH_EDGE)
    speckle(pen, 3, (0, 500, WIDTH, HEIGHT), "#c9a06c", 60)


def machine_table(pen: Pen) -> None:
    pen.box(0, 0, WIDTH, HEIGHT, "#33424d")
    pen.box(0, 500, WIDTH, HEIGHT, "#4a5963")
    pen.box(300, 440, 1180, 540, "#dfe5e4", 14)
    pen.box(960, 150, 1130, 460, "#eef2f0", 26)
    pen.box(400, 120, 1130, 270, "#eef2f0", 46)
    pen.box(400, 200, 520, 350, "#dfe5e4", 20)
    pen.round(1150, 230, 26, 62, "#9fb0b3")
    pen.round(830, 195, 34, None, RED)
    pen.round(830, 195, 12, None, "#eef2f0")
    pen.box(690, 72, 730, 130, WEBBING, 8)


def hearth_side(pen: Pen) -> None:
    pen.box(0, 0, WIDTH, HEIGHT, "#e8d8c0")
    pen.box(0, 560, WIDTH, HEIGHT, "#b78a5e")
    pen.box(720, 120, 1220, 600, "#8e5b4a", 10)
    for row, y in enumerate(range(120, 600, 40)):
        for x in range(720 + (row % 2) * 40, 1220, 80):
            pen.line([(x, y), (x, y + 40)], 2, "#a4705c")
        pen.line([(720, y), (1220, y)], 2, "#a4705c")
    pen.box(820, 260, 1120, 600, "#241a17", 60)
    pen.box(690, 90, 1250, 130, ASH_DARK, 6)


# --- shared movable things -----------------------------------------------------------------------------------------


def dowel(pen: Pen, x0: float, x1: float, y: float, thick: float = 46) -> None:
    pen.box(x0, y - thick / 2, x1, y + thick / 2, ASH, 10)
    pen.line([(x0 + 12, y - thick / 6), (x1 - 12, y - thick / 6)], 2, ASH_DARK)
    pen.line([(x0 + 40, y + thick / 5), (x1 - 60, y + thick / 5)], 2, ASH_DARK)


def carrier(pen: Pen, x: float, y: float, sway: float) -> None:
    """The finished thing, hung by its handles from (x, y)."""
    a = math.sin(sway) * 10
    for side in (-1, 1):
        pen.line([(x, y), (x + side * 44 + a * 0.3, y + 70)], 9, WEBBING)
    pen.line([(x - 130 + a * 0.4, y + 74), (x + 130 + a * 0.4, y + 74)], 24, ASH)
    pen.line([(x - 40 + a * 0.4, y + 74), (x + 40 + a * 0.4, y + 74)], 30, LEATHER)
    pen.shape([(x - 105, y + 84), (x + 105, y + 84), (x + 118 + a, y + 320), (x - 118 + a, y + 320)], CANVAS)
    for side in (-1, 1):
        pen.line([(x + side * 62, y + 78), (x + side * 68 + a, y + 318)], 18, WEBBING)
    pen.box(x - 44 + a * 0.7, y + 180, x + 44 + a * 0.7, y + 280, CANVAS_LIGHT, 4, CANVAS_DARK)


def cutter(pen: Pen, x: float, y: float) -> None:
    """A rotary cutter, its blade at (x, y)."""
    pen.line([(x + 20, y + 6), (x + 110, y + 130)], 34, RED)
    pen.round(x, y, 30, None, STEEL)
    pen.round(x, y, 9, None, STEEL_DARK)


# --- what moves ----------------------------------------------------------------------------------------------------


def wall(pen: Pen, t: float, u: float) -> None:
    carrier(pen, 640, 110, t * 1.1)
    pen.round(1130, 585, 30, 12, "#b5793f")
    pen.box(1100, 545, 1160, 585, "#f3efe6", 8)
    for number in range(3):  # steam over the cup
        drift = (t * 14 + number * 18) % 54
        pen.round(1118 + number * 12 + math.sin(t * 2 + number) * 4, 535 - drift, 5, 9, "#f8f1e2")
    x = 300 + 40 * math.sin(t * 0.7)
    pen.hand(x, 520 - 20 * abs(math.sin(t * 1.3)))


def cloth(pen: Pen, t: float, u: float) -> None:
    away = max(0.0, u - 0.55) * 1500
    pen.box(130, 130, 600, 560, CANVAS, 6)
    pen.box(130, 130, 190, 560, CANVAS_LIGHT, 6)
    for number in range(8):  # the striped one, pushed aside when it is rejected
        pen.box(690 + number * 58 + away, 130, 748 + number * 58 + away, 560, "#f5efe0" if number % 2 else "#d98a3d")
    pen.hand(850 + away + 14 * math.sin(t * 2), 330)


def chosen(pen: Pen, t: float, u: float) -> None:
    for number in range(3):  # a fold that wanders over the cloth
        x = 200 + number * 420 + 60 * math.sin(t * 0.8 + number)
        pen.line([(x, -20), (x + 90, 360), (x - 30, 740)], 16, "#75733f")
        pen.line([(x + 14, -20), (x + 104, 360), (x - 16, 740)], 5, CANVAS)
    if u > 0.55:
        pen.line([(0, 600 - 60 * u), (WIDTH, 560 - 60 * u)], 46, WEBBING)
    pen.hand(620 + 180 * math.sin(t * 0.9), 360 + 40 * math.cos(t * 1.1))


def leather(pen: Pen, t: float, u: float) -> None:
    pen.shape(
        [(240, 190), (560, 150), (820, 220), (860, 470), (600, 560), (300, 520), (210, 380)], LEATHER, LEATHER_DARK
    )
    if 0.22 < u < 0.55:
        for x, y in ((930, 170), (1090, 170), (930, 300), (1090, 300)):  # corners that never come
            pen.shape(
                [(x, y), (x + 80, y), (x + 80, y + 26), (x + 26, y + 26), (x + 26, y + 80), (x, y + 80)], "#d9b13b"
            )
    if u > 0.78:
        pen.box(900, 150, 1190, 560, "#fbfbf6", 2, "#b9b9b0")  # the drawing
        pen.box(960, 230, 1130, 480, "#fbfbf6", 0, "#4d6b8a")
        pen.line([(945, 205), (1145, 205)], 3, "#4d6b8a")
    pen.hand(480 + 120 * math.sin(t * 0.9), 380 + 30 * math.sin(t * 1.7))


def mat(pen: Pen, t: float, u: float) -> None:
    pen.box(180, 110, 1080, 430, CANVAS)
    pen.box(160, 430, 1120, 520, "#dfe7ea", 4)
    for x in range(170, 1115, 24):
        pen.line([(x, 430), (x, 444 if (x - 170) % 96 else 456)], 2, "#5c6a70")
    blade = 180 + 880 * ((t * 0.16) % 1.0)
    pen.line([(180, 430), (blade, 430)], 4, MAT)
    pen.hand(430, 470, left=True)
    cutter(pen, blade, 424)
    pen.hand(blade + 70, 500)


def clips(pen: Pen, t: float, u: float) -> None:
    pen.box(0, 330, WIDTH, HEIGHT, CANVAS)
    fold = 250 + 80 * min(1.0, u * 3)
    pen.box(0, fold, WIDTH, fold + 74, CANVAS_LIGHT)
    pen.line([(0, fold + 74), (WIDTH, fold + 74)], 3, CANVAS_DARK)
    on = int(max(0.0, u - 0.3) * 14)
    for number in range(min(8, on)):
        x = 90 + number * 140
        pen.box(x, fold - 34, x + 46, fold + 50, RED, 8)
        pen.box(x + 8, fold - 26, x + 38, fold, "#f0f0ea", 5)
    pen.hand(120 + min(8, on) * 140 + 8 * math.sin(t * 5), fold + 10)


def machine(pen: Pen, t: float, u: float) -> None:
    beat = math.sin(t * 18)
    shift = (t * 60) % 32
    pen.shape([(120, 448), (900, 448), (960, 500), (60, 500)], CANVAS)
    for x in range(-1, 11):
        here = 470 - x * 32 - shift
        if 100 < here < 470:
            pen.line([(here, 466), (here + 18, 466)], 4, THREAD)
    pen.line([(462, 330), (462, 392 + 26 * beat)], 8, STEEL)
    pen.line([(462, 380 + 26 * beat), (462, 430 + 22 * beat)], 4, STEEL)
    pen.shape([(436, 432), (492, 432), (506, 448), (424, 448)], STEEL_DARK)
    pen.line([(710, 130), (620, 160), (470, 190), (462, 340)], 2, THREAD)
    pen.hand(240 + 10 * math.sin(t * 1.3), 455, left=True)
    pen.hand(640 + 10 * math.sin(t * 1.3 + 1), 470)


def pocket(pen: Pen, t: float, u: float) -> None:
    pen.box(300, 120, 760, 590, CANVAS, 4, CANVAS_DARK)
    grown = min(1.0, t / 2.5)
    pen.line([(300, 630), (300 + 460 * grown, 630)], 5, CHALK)
    pen.line([(800, 120), (800, 120 + 470 * grown)], 5, CHALK)
    pen.hand(800 + 10 * math.sin(t), 130 + 460 * grown)


def pocket_on(pen: Pen, t: float, u: float) -> None:
    pen.box(120, 60, 1160, 660, CANVAS)
    drop = 40 * max(0.0, 1 - u * 2.5)
    pen.box(440, 190 - drop, 840, 560 - drop, CANVAS_LIGHT, 4, CANVAS_DARK)
    pen.line([(452, 540 - drop), (828, 540 - drop)], 10, "#e8e3c4")  # the hem, at the wrong end
    sides = (((452, 552), (452, 200)), ((452, 202), (828, 202)), ((828, 200), (828, 552)))
    for number, (start, end) in enumerate(sides):
        pen.dashes(start, end, (u - 0.4) * 5 - number, THREAD)
    pen.hand(860 + 12 * math.sin(t * 2), 400)


def pocket_wrong(pen: Pen, t: float, u: float) -> None:
    pen.box(0, 0, WIDTH, HEIGHT, CANVAS_DARK)
    turned = min(1.0, max(0.0, u - 0.55) * 6) * math.pi
    cx, cy = 640, 360
    corners = []
    for x, y in ((-210, -190), (210, -190), (210, 190), (-210, 190)):
        c, s = math.cos(turned), math.sin(turned)
        corners.append((cx + x * c - y * s, cy + x * s + y * c))
    pen.shape(corners, CANVAS_LIGHT, CANVAS)
    inner = [(cx + (x - cx) * 0.93, cy + (y - cy) * 0.93) for x, y in corners]
    pen.line([inner[2], inner[3]], 10, "#e8e3c4")
    if u < 0.55:
        left = 1 - max(0.0, u - 0.35) * 5
        for start, end in ((inner[0], inner[3]), (inner[0], inner[1]), (inner[1], inner[2])):
            pen.dashes(start, end, left, RED)
        if u < 0.35:  # the gloves that fell out
            for number in range(2):
                fallen = 560 + 150 * min(1.0, u * 3)
                pen.round(560 + number * 150, fallen, 46, 62, "#c9a24a")
        else:
            pen.line([(700, 420), (860, 560)], 18, RED)
            pen.line([(650, 376), (700, 420)], 6, STEEL)
    else:
        for start, end in ((inner[0], inner[3]), (inner[0], inner[1]), (inner[1], inner[2])):
            pen.dashes(start, end, (u - 0.75) * 5, THREAD)
    pen.hand(760 + 14 * math.sin(t * 3), 470 + 8 * math.cos(t * 3))


def vise(pen: Pen, t: float, u: float) -> None:
    pen.box(300, 330, 470, 560, IRON, 10)
    pen.box(510, 330, 640, 560, IRON, 10)
    pen.line([(560, 500), (760, 500)], 20, STEEL_DARK)
    pen.line([(755, 430), (755, 570)], 12, STEEL)
    dowel(pen, 120, 960, 300)
    stroke = 60 * math.sin(t * 5.6)
    depth = 6 + 34 * ((t * 0.12) % 1.0)
    pen.line([(760, 278), (760, 278 + depth)], 4, "#8a6a3a")
    pen.shape([(690 + stroke, 150), (1010 + stroke, 90), (1014 + stroke, 116), (700 + stroke, 262 + depth)], STEEL)
    pen.line([(1010 + stroke, 104), (1150 + stroke, 80)], 34, "#b5793f")
    for number in range(10):  # sawdust
        fall = (t * 130 + number * 31) % 170
        pen.round(752 + (number * 37 % 34) - 14, 330 + fall, 3, None, ASH_DARK)
    pen.hand(1080 + stroke, 96)
    pen.hand(250, 300, left=True)


def sanding(pen: Pen, t: float, u: float) -> None:
    for y in (240, 380):
        dowel(pen, 120, 1160, y, 64)
    x = 640 + 330 * math.sin(t * 2.4)
    y = 240 if u < 0.5 else 380
    pen.box(x - 70, y - 46, x + 70, y + 46, "#a9794b" if u < 0.5 else "#8f6f55", 10)
    chance = random.Random(int(t * 10))
    for _ in range(18):
        pen.round(x + chance.uniform(-160, 160), y + chance.uniform(-70, 90), 3, None, "#fbf1d8")
    pen.hand(x - 10, y - 6)


def dark(pen: Pen, t: float, u: float) -> None:
    pen.box(200, 470, 1080, 520, "#3a2f26", 6)
    for number in range(2):
        pen.line([(330, 450 - number * 34), (830, 450 - number * 34)], 26, "#7d7052")
    pen.box(900, 410, 970, 470, "#565d60", 6)
    if u > 0.6:
        pen.shape([(180, 560), (420, 546), (470, 640), (150, 650)], "#6a5a4c")
    for number in range(3):
        glow = 0.5 + 0.5 * math.sin(t * 1.4 + number * 2)
        pen.round(250 + number * 190, 120 + number * 24, 2 + 2 * glow, None, "#dfe6e0")


def straps(pen: Pen, t: float, u: float) -> None:
    pen.box(110, 140, 1170, 580, CANVAS)
    pen.line([(110, 250), (110 + 1060 * min(1.0, u * 2.2), 250)], 4, CHALK)
    pen.line([(110, 470), (110 + 1060 * min(1.0, max(0.0, u * 2.2 - 0.3)), 470)], 4, CHALK)
    laid = min(1.0, max(0.0, u - 0.5) * 2.4)
    if laid:
        pen.line([(110, 270), (110 + 1060 * laid, 270)], 40, WEBBING)
        pen.line([(110, 450), (110 + 1060 * laid, 450)], 40, WEBBING)
        for x in range(200, int(110 + 1060 * laid), 160):
            pen.box(x, 238, x + 30, 300, RED, 6)
            pen.box(x, 420, x + 30, 482, RED, 6)
    reached = 110 + 1060 * (laid or min(1.0, u * 2.2))
    pen.hand(min(1120, reached) - 10, 262 + 6 * math.sin(t * 4))


def loops(pen: Pen, t: float, u: float) -> None:
    dowel(pen, 120, 1160, 190, 70)
    pen.box(160, 420, 1120, HEIGHT, CANVAS)
    for x in (360, 800):
        pen.box(x, 150, x + 120, 620, WEBBING, 18)
        pen.line([(x, 236), (x + 120, 236)], 3, "#a89d7d")
        corners = [(x + 16, 440), (x + 104, 440), (x + 104, 580), (x + 16, 580)]
        path = [corners[0], corners[1], corners[2], corners[3], corners[0], corners[2], corners[1], corners[3]]
        share = min(1.0, max(0.0, u * 1.5 - (0.4 if x > 400 else 0.0))) * (len(path) - 1)
        for number, (start, end) in enumerate(itertools.pairwise(path)):
            pen.dashes(start, end, share - number, RED, step=14)
    pen.hand(930 + 10 * math.sin(t * 3), 540 + 8 * math.cos(t * 2))


def punching(pen: Pen, t: float, u: float) -> None:
    pen.round(1000, 330, 190, 150, "#9fb6bd")  # the bowl of warm water
    pen.round(1000, 326, 166, 126, "#cfe3e8")
    dip = 20 * math.sin(t * 2)
    if u < 0.6:
        pen.box(900, 270 + dip * 0.4, 1100, 380 + dip * 0.4, LEATHER_DARK, 8)
    for number in range(2):
        if u >= 0.6:
            pen.box(160 + number * 330, 180, 440 + number * 330, 540, LEATHER, 6, LEATHER_DARK)
    pen.hand((960 if u < 0.6 else 620) + dip, 340 + dip)


def holes(pen: Pen, t: float, u: float) -> None:
    pen.box(120, 200, 1160, 520, "#b98d5a", 10)
    speckle(pen, 5, (130, 210, 1150, 510), "#9c7344", 60)
    pen.box(200, 260, 1080, 460, LEATHER, 6, LEATHER_DARK)
    place = int(u * 30)
    for number in range(min(place, 30)):
        pen.round(230 + number * 28, 284, 5, None, "#2d1709")
    x = 230 + place * 28
    lift = 50 * abs(math.sin(t * 4.5))
    pen.line([(x, 284 - lift), (x + 30, 214 - lift)], 6, STEEL_DARK)
    pen.line([(x + 30, 214 - lift), (x + 76, 110 - lift)], 36, "#b5793f")
    pen.hand(max(330, x - 260), 440, left=True)
    pen.hand(x + 62, 150 - lift)


def lacing(pen: Pen, t: float, u: float) -> None:
    pen.box(0, 300, WIDTH, 420, ASH, 0)
    pen.line([(0, 340), (WIDTH, 340)], 3, ASH_DARK)
    pen.box(340, 270, 940, 450, LEATHER, 30)
    pen.line([(350, 360), (930, 360)], 5, LEATHER_DARK)
    done = int(min(1.0, u * 1.25) * 20)
    for number in range(done):
        x = 370 + number * 28
        pen.line([(x, 340), (x + 12, 380)], 5, THREAD)
    x = 370 + done * 28
    pull = 90 + 70 * math.sin(t * 3)
    pen.line([(x, 340), (x + pull, 190)], 4, THREAD)
    pen.line([(x, 380), (x - pull * 0.6, 540)], 4, THREAD)
    pen.hand(x + pull, 186)
    pen.hand(x - pull * 0.6, 540, left=True)


def hearth(pen: Pen, t: float, u: float) -> None:
    for number in range(5):  # flames
        tall = 120 + 34 * math.sin(t * (5 + number) + number * 2)
        x = 880 + number * 45
        pen.shape([(x - 34, 590), (x + 6 * math.sin(t * 6 + number), 590 - tall), (x + 34, 590)], "#e0752d")
        pen.shape([(x - 16, 590), (x, 590 - tall * 0.55), (x + 16, 590)], "#f6c453")
    pen.line([(860, 588), (1080, 588)], 30, "#5b3a23")
    carrier(pen, 330, 220, t * 0.8)
    blink = 2 if t % 4 < 0.25 else 9  # the cat
    pen.round(560, 560, 92, 62, "#4a4440")
    pen.round(520, 478, 46, 42, "#4a4440")
    for side in (-1, 1):
        pen.shape([(520 + side * 40, 462), (520 + side * 30, 414), (520 + side * 8, 446)], "#4a4440")
        pen.round(520 + side * 17, 474, 7, blink, "#d9c24c")
    tail = 24 * math.sin(t * 2.1)
    pen.line([(640, 590), (690, 560), (690 + tail, 490)], 18, "#4a4440")


SHOTS: dict[str, tuple[Callable[[Pen], None], Callable[[Pen, float, float], None]]] = {
    "wall": (room, wall),
    "cloth": (bench_top, cloth),
    "chosen": (canvas_close, chosen),
    "leather": (bench_top, leather),
    "mat": (cutting_mat, mat),
    "clips": (bench_top, clips),
    "machine": (machine_table, machine),
    "pocket": (cutting_mat, pocket),
    "pocket_on": (bench_top, pocket_on),
    "pocket_wrong": (canvas_close, pocket_wrong),
    "vise": (shed_wall, vise),
    "sanding": (shed_wall, sanding),
    "dark": (night, dark),
    "straps": (bench_top, straps),
    "loops": (bench_top, loops),
    "punching": (bench_top, punching),
    "holes": (cutting_mat, holes),
    "lacing": (shed_wall, lacing),
    "hearth": (hearth_side, hearth),
}
DARK = {"chosen", "mat", "machine", "pocket", "pocket_wrong", "dark", "holes"}  # shots that a light card follows


@functools.cache
def _still(shot: str) -> Image.Image:
    image = Image.new("RGB", (WIDTH * SCALE, HEIGHT * SCALE))
    SHOTS[shot][0](Pen(image))
    return image


def frame(shot: str, t: float, length: float) -> Image.Image:
    """The picture of ``shot`` at ``t`` seconds of its ``length``. Raises :class:`KeyError` for an unknown shot."""
    image = _still(shot).copy()
    SHOTS[shot][1](Pen(image), t, t / length)
    return image.reduce(SCALE)


def card(title: str, *, light: bool = False) -> Image.Image:
    """A title card, dark or light."""
    paper, ink, line = ("#f6efdf", "#33261b", "#a97c4a") if light else ("#2a211b", "#f2e6cf", "#a97c4a")
    image = Image.new("RGB", (WIDTH, HEIGHT), paper)
    draw = ImageDraw.Draw(image)
    font = ImageFont.load_default(64)
    left, top, right, bottom = draw.textbbox((0, 0), title, font=font)
    draw.text(((WIDTH - right - left) / 2, (HEIGHT - bottom - top) / 2 - 10), title, font=font, fill=ink)
    for number in range(20):  # a row of stitches under it
        x = WIDTH / 2 - 195 + number * 20
        draw.line((x, 440, x + 12, 440), fill=line, width=5)
    return image
