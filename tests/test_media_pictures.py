"""Scene cuts and stills, on pictures whose cuts and contents are known."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from media_maker import STRAPS, ffmpeg, make
from PIL import Image

from buildlog.errors import BadInput, Interrupted
from buildlog.media import jpeg, scene_cuts, still

SCENES = ("color=darkred:s=320x180:r=25:d=3.2", "testsrc2=s=320x180:r=25:d=12", "smptebars=s=320x180:r=25:d=4")
JOINED = ("-filter_complex", "[0][1][2]concat=n=3", "-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p")


@pytest.mark.parametrize(
    "encoder",
    [
        pytest.param((), id="key frames at cuts"),
        pytest.param(("-x264-params", "keyint=25:scenecut=0"), id="a key frame a second, as phones write"),
        pytest.param(("-x264-params", "keyint=1"), id="every frame a key frame"),
        pytest.param(("-x264-params", "keyint=9999:scenecut=0"), id="one key frame"),
    ],
)
def test_cuts_are_found_to_the_frame(tmp_path: Path, encoder: tuple[str, ...]) -> None:
    film = make(tmp_path / "film.mp4", *SCENES, options=(*JOINED, *encoder))
    expected = [] if "keyint=9999:scenecut=0" in encoder else [3.2, 15.2]
    # With a single key frame there is nothing to compare: documented, and no encoder's default.
    assert scene_cuts(film) == pytest.approx(expected, abs=0.041)


def test_movement_is_no_cut(tmp_path: Path) -> None:
    film = make(
        tmp_path / "pan.mp4",
        "gradients=s=640x180:r=25:d=8:speed=0.01",
        options=("-vf", "crop=320:180:x='40*t':y=0", "-x264-params", "keyint=25", "-pix_fmt", "yuv420p"),
    )
    assert scene_cuts(film) == []


def test_sound_alone_has_no_cuts_and_no_stills() -> None:
    assert scene_cuts(STRAPS) == []
    with pytest.raises(BadInput, match="no picture"):
        still(STRAPS, 1.0)


def test_looking_for_cuts_can_be_stopped(tmp_path: Path) -> None:
    film = make(tmp_path / "film.mp4", *SCENES, options=JOINED)
    with pytest.raises(Interrupted):
        scene_cuts(film, cancelled=lambda: True)


@pytest.mark.parametrize("degrees", [0, 90, 180, 270])
def test_stills_are_upright(tmp_path: Path, degrees: int) -> None:
    """ffmpeg turns pictures upright on its own: its frame is the measure."""
    flat = make(tmp_path / "flat.mp4", "testsrc=s=160x120:r=10:d=2", options=("-pix_fmt", "yuv420p"))
    turned = tmp_path / "turned.mp4"
    ffmpeg("-display_rotation", str(degrees), "-i", flat, "-c", "copy", turned)
    ffmpeg("-ss", "1", "-i", turned, "-frames:v", "1", tmp_path / "theirs.png")
    theirs = Image.open(tmp_path / "theirs.png").convert("RGB")
    ours = still(turned, 1.0, around=0.04)
    assert ours.size == theirs.size
    difference = np.abs(np.asarray(ours, int) - np.asarray(theirs, int))
    assert difference.mean() < 6


def test_the_sharpest_frame_near_the_time_is_taken(tmp_path: Path) -> None:
    film = make(
        tmp_path / "focus.mp4",
        "testsrc=s=320x240:r=10:d=4",
        options=("-vf", "gblur=sigma=8:enable='lt(t,1.95)+gt(t,2.25)'", "-pix_fmt", "yuv420p", "-crf", "10"),
    )
    blurred = np.asarray(still(film, 0.5).convert("L"), float)
    sharp = np.asarray(still(film, 1.8, around=0.6).convert("L"), float)
    assert np.var(np.diff(sharp)) > 3 * np.var(np.diff(blurred))
    assert Image.open(__import__("io").BytesIO(jpeg(still(film, 99.0)))).format == "JPEG"
