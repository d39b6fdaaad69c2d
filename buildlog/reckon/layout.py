"""A cutting layout: shapes on a piece of cloth, board or sheet, all in inches, and its picture to scale."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from fractions import Fraction
from html import escape
from typing import Literal

Point = tuple[Fraction, Fraction]
MOST_SHAPES = 400


@dataclass(frozen=True, slots=True)
class Shape:
    """A piece to cut, as a polygon; ``waste`` is what falls away (selvages, short ends). ``angle`` turns its label."""

    points: tuple[Point, ...]
    label: str = ""
    kind: Literal["piece", "waste"] = "piece"
    angle: int = 0


@dataclass(slots=True)
class Layout:
    """``width`` runs across the picture, ``height`` down it; several sheets stand one under another as frames."""

    title: str
    width: Fraction
    height: Fraction
    shapes: list[Shape] = field(default_factory=list)
    frames: list[tuple[Fraction, Fraction, Fraction, Fraction]] = field(default_factory=list)
    note: str = ""

    def rect(
        self,
        x: Fraction,
        y: Fraction,
        w: Fraction,
        h: Fraction,
        label: str = "",
        kind: Literal["piece", "waste"] = "piece",
    ) -> None:
        """Adds a rectangle with its top left corner at (x, y)."""
        self.shapes.append(Shape(((x, y), (x + w, y), (x + w, y + h), (x, y + h)), label, kind))


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def svg(layout: Layout, *, most_px: int = 860) -> str:
    """The layout as an SVG picture: one scale both ways, each piece labelled, bars of 10 in and 20 cm.

    Labels are escaped; nothing is fetched and nothing runs.
    """
    wide, high = float(layout.width), float(layout.height)
    scale = min(most_px / wide, 1400 / high)
    left, top = 56.0, 48.0
    total_w, total_h = max(wide * scale + left + 24, 520), high * scale + top + 84
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(total_w)}" height="{_n(total_h)}" '
        f'viewBox="0 0 {_n(total_w)} {_n(total_h)}" font-family="sans-serif" role="img">',
        f"<title>{escape(layout.title)}</title>",
        f'<rect width="{_n(total_w)}" height="{_n(total_h)}" fill="#fdfcf9"/>',
        f'<text x="{_n(left)}" y="24" font-size="15" font-weight="bold" fill="#222">{escape(layout.title)}</text>',
    ]
    for x, y, w, h in layout.frames or [(Fraction(0), Fraction(0), layout.width, layout.height)]:
        out.append(
            f'<rect x="{_n(left + float(x) * scale)}" y="{_n(top + float(y) * scale)}" width="{_n(float(w) * scale)}" '
            f'height="{_n(float(h) * scale)}" fill="#eee9dd" stroke="#6b6455" stroke-width="1.5"/>'
        )
    for shape in layout.shapes[:MOST_SHAPES]:
        points = [(left + float(x) * scale, top + float(y) * scale) for x, y in shape.points]
        fill, dash = ("#bcd3de", "") if shape.kind == "piece" else ("#ddd6c6", ' stroke-dasharray="4 3"')
        path = " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
        out.append(f'<polygon points="{path}" fill="{fill}" stroke="#33424b" stroke-width="0.8"{dash}/>')
        out += _label(shape, points)
    out += _ruler(layout, left, top, scale)
    if len(layout.shapes) > MOST_SHAPES:
        out.append(
            f'<text x="{_n(left)}" y="{_n(total_h - 8)}" font-size="12">only the first {MOST_SHAPES} are drawn</text>'
        )
    out.append("</svg>")
    return "\n".join(out) + "\n"


def _label(shape: Shape, points: list[tuple[float, float]]) -> list[str]:
    """The label in the middle, as large as fits, along the longer side."""
    label = shape.label
    if not label:
        return []
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    w, h = max(xs) - min(xs), max(ys) - min(ys)
    x, y = sum(xs) / len(xs), sum(ys) / len(ys)
    angle, along, across = shape.angle, w, h
    if angle:
        # A strip on the slant: its width is what the box is longer by than a strip of no width would be.
        turned = [(px * math.cos(math.pi / 4) + py * math.sin(math.pi / 4)) for px, py in points]
        across = max(turned) - min(turned)
        along = max(w, h)
    elif h > w * 1.5:
        angle, along, across = -90, h, w
    size = min(13.0, across * 0.7, along / max(1, len(label)) * 1.7)
    if size < 4:
        return []
    turn = f' transform="rotate({angle} {_n(x)} {_n(y)})"' if angle else ""
    return [
        f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(size)}" text-anchor="middle" dominant-baseline="central" '
        f'fill="#14242c"{turn}>{escape(label)}</text>'
    ]


def _ruler(layout: Layout, left: float, top: float, scale: float) -> list[str]:
    from buildlog.reckon.shown import both
    from buildlog.reckon.units import Amount

    high = float(layout.height) * scale
    each = layout.frames[0] if layout.frames else (0, 0, layout.width, layout.height)
    width, height = (both(Amount.of(v, "inch")) for v in each[2:])
    y = top + high + 30
    lines = [
        f'<text x="{_n(left + float(layout.width) * scale / 2)}" y="{_n(top - 8)}" font-size="12" '
        f'text-anchor="middle" fill="#444">{escape(width)} across</text>',
        f'<text transform="translate({_n(left - 14)} {_n(top + high / 2)}) rotate(-90)" font-size="12" '
        f'text-anchor="middle" fill="#444">{escape(height)}</text>',
    ]
    for inches, said, dy in ((10.0, "10 in", 0), (20 / 2.54, "20 cm", 20)):
        long = inches * scale
        lines.append(
            f'<path d="M{_n(left)} {_n(y + dy - 5)}v10m0 -5h{_n(long)}m0 -5v10" stroke="#222" fill="none"/>'
            f'<text x="{_n(left + long + 8)}" y="{_n(y + dy + 4)}" font-size="12" fill="#222">{said}</text>'
        )
    if layout.note:
        lines.append(
            f'<text x="{_n(left + 150)}" y="{_n(y + 4)}" font-size="12" fill="#444">{escape(layout.note)}</text>'
        )
    return lines
