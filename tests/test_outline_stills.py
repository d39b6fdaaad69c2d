"""Stills: one picture a step on camera, from a real recording."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from media_maker import make
from PIL import Image

from buildlog.document import Step
from buildlog.errors import BadInput
from buildlog.outline.stills import write_stills


def test_a_still_for_each_step_on_camera(tmp_path: Path) -> None:
    """Red for three seconds, then blue: the stills show which step they belong to."""
    film = make(tmp_path / "film.mp4", "color=red:s=160x90:r=10:d=3[a];color=blue:s=160x90:r=10:d=3[b];[a][b]concat")
    steps = [
        Step(id="s1", start_s=0.5, end_s=2.0, text="Paint it red."),
        Step(id="s2", start_s=2.0, end_s=2.5, text="Dye it at night.", on_camera=False),
        Step(id="s3", start_s=4.0, end_s=5.5, text="Paint it blue."),
    ]
    done = list(write_stills(film, steps, tmp_path / "stills"))
    assert [s.still for s in done] == ["s1.jpg", "s3.jpg"]
    assert sorted(p.name for p in (tmp_path / "stills").iterdir()) == ["s1.jpg", "s3.jpg"]
    colours = []
    for name in ("s1.jpg", "s3.jpg"):
        pixel = Image.open(io.BytesIO((tmp_path / "stills" / name).read_bytes())).convert("RGB").getpixel((80, 45))
        assert isinstance(pixel, tuple)
        colours.append("red" if pixel[0] > pixel[2] else "blue")
    assert colours == ["red", "blue"]


def test_sound_alone_has_no_stills(tmp_path: Path) -> None:
    sound = make(tmp_path / "voice.wav", "sine=d=2")
    with pytest.raises(BadInput, match="no picture"):
        list(write_stills(sound, [Step(id="s1", start_s=0, end_s=1, text="Hum.")], tmp_path / "stills"))
