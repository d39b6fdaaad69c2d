"""A still for each step: the sharpest frame near its middle."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from buildlog.document import Step
from buildlog.media import jpeg, still

AROUND_S = 2.0  # at most: the sharpest frame is looked for this far from the middle


def write_stills(recording: Path, steps: Sequence[Step], folder: Path) -> Iterator[Step]:
    """Write ``<step id>.jpg`` into ``folder`` for every step on camera; yields each step once its still lies there.

    A step's ``still`` becomes the picture's file name. Raises :class:`~buildlog.errors.BadInput` for a recording
    without
    a picture.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for step in steps:
        if not step.on_camera:
            continue
        middle = (step.start_s + step.end_s) / 2
        image = still(recording, middle, around=max(0.3, min(AROUND_S, (step.end_s - step.start_s) / 2)))
        name = f"{step.id}.jpg"
        partial = folder / f".{name}.part"
        partial.write_bytes(jpeg(image))
        partial.replace(folder / name)
        step.still = name
        yield step
