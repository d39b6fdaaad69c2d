"""A still for every step, taken from the recording that shows it."""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING

from buildlog.document import Log, Step
from buildlog.errors import BuildlogError

if TYPE_CHECKING:
    from buildlog.archive import Cut

WIDTH = 960
QUALITY = 80
AT_ONCE = 2


def step_stills(log: Log, cut: Cut, paths: Mapping[int, Path], *, width: int = WIDTH) -> dict[str, bytes]:
    """JPEG pictures by step id: a sharp frame near each step's middle, at most ``width`` pixels wide.

    ``paths`` are the recordings of the ``cut``. Steps that no picture shows have none; no step fails the others.
    """
    wanted = [s for s in log.steps if s.on_camera]
    with ThreadPoolExecutor(AT_ONCE) as pool:
        made = pool.map(lambda step: _still(step, cut, paths, width), wanted)
        return {step.id: data for step, data in zip(wanted, made, strict=True) if data is not None}


def _still(step: Step, cut: Cut, paths: Mapping[int, Path], width: int) -> bytes | None:
    from buildlog.media import jpeg, key_still, still

    spot = cut.to_recording((step.start_s + step.end_s) / 2)
    path = None if spot is None else paths.get(spot.recording_id)
    if spot is None or path is None:
        return None
    try:
        half = max(0.0, step.end_s - step.start_s) / 2
        image = key_still(path, spot.at_s - half, spot.at_s + half, width=width) or still(path, spot.at_s)
    except BuildlogError:
        return None
    image.thumbnail((width, width))
    return jpeg(image, QUALITY)
