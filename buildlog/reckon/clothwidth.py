"""How wide the cloth is, where somebody said so."""

from __future__ import annotations

from fractions import Fraction

from buildlog.document import Log, Measurement
from buildlog.reckon.heard import Heard, stems
from buildlog.reckon.known import dims_of
from buildlog.reckon.units import LENGTH, Amount
from buildlog.reckon.vocabulary import words

# What cloth is sold in, in inches: narrower is ribbon and strips, wider is not woven (common practice, no source).
NARROWEST, WIDEST = Fraction(20), Fraction(126)
_NEAR_S = 180.0


def is_cloth_width(m: Measurement, heard: Heard) -> bool:
    """Whether ``m`` is how wide the cloth is: "out of a forty-five inch width", "forty-four wide cloth"."""
    if not m.unit or dims_of(m) != LENGTH or m.value_max is not None or m.setting or m.value <= 0:
        return False
    following = stems(" ".join(heard.after(m.start_s, m.text, 3)))
    leading = stems(" ".join(heard.before(m.start_s, m.text, 5)))
    of = stems(m.of)
    if "width" not in (*following[:2], *of):
        return False
    about = {*of, *following, *leading}
    return bool(about & (words("cloth") | {"out", "bolt", "roll", "goods", "material"}))


def cloth_width(log: Log, heard: Heard, near_s: float) -> Measurement | None:
    """The width of the cloth talked of at ``near_s``: the nearest within three minutes; ``None`` where it is to be
    asked."""
    said = [
        m
        for m in log.measurements
        if is_cloth_width(m, heard)
        and not set(stems(m.of)) & words("strips")
        and NARROWEST <= Amount.of(Fraction(m.exact or str(m.value)), m.unit).value("inch") <= WIDEST
        and abs(m.start_s - near_s) <= _NEAR_S
    ]
    return min(said, key=lambda m: abs(m.start_s - near_s), default=None)
