"""Clips: what ffmpeg and our own prober say of them, and that nothing half-written is left behind."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from media_maker import ffmpeg, make

from buildlog.errors import BadInput, BuildlogError, Interrupted
from buildlog.media import clip, decode_audio, encode, probe, still


@pytest.fixture
def film(tmp_path: Path) -> Path:
    return make(
        tmp_path / "film.mp4",
        "testsrc=s=320x240:r=25:d=8",
        "sine=f=300:d=8",
        options=("-pix_fmt", "yuv420p", "-x264-params", "keyint=50:scenecut=0", "-preset", "ultrafast", "-c:a", "aac"),
    )


def test_exact_clip_starts_where_it_should(film: Path, tmp_path: Path) -> None:
    out = clip(film, 3.0, 5.5, tmp_path / "out.mp4", exact=True)
    assert probe(out).duration_s == pytest.approx(2.5, abs=0.1)
    ffmpeg("-v", "error", "-xerror", "-i", out, "-f", "null", "-")  # ffmpeg finds nothing wrong with it
    first, wanted = (np.asarray(i.convert("L"), int) for i in (still(out, 0.0, 0.01), still(film, 3.0, 0.01)))
    assert np.abs(first - wanted).mean() < 8


def test_copied_clip_holds_the_stretch(film: Path, tmp_path: Path) -> None:
    out = clip(film, 3.0, 5.5, tmp_path / "out.mp4")
    assert 2.4 <= probe(out).duration_s <= 3.7  # from the key frame at 2.0 at the earliest
    ffmpeg("-v", "error", "-xerror", "-i", out, "-f", "null", "-")


def test_sound_alone_can_be_cut(film: Path, tmp_path: Path) -> None:
    sound = tmp_path / "sound.wav"
    ffmpeg("-i", film, "-vn", sound)
    out = clip(sound, 1.0, 3.0, tmp_path / "out.wav")
    assert sum(len(b) for b in decode_audio(out)) / 16000 == pytest.approx(2, abs=0.05)


@pytest.mark.parametrize("name", ["-y.mp4", "concat:x|y.mp4", 'it\'s "new"\n.mp4', "%03d.mp4"])
def test_hostile_output_names(film: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    monkeypatch.chdir(tmp_path)
    before = set(tmp_path.iterdir())
    clip(film, 0, 1, name)
    assert set(tmp_path.iterdir()) - before == {tmp_path / name}


@pytest.mark.parametrize(
    ("start", "end", "out", "says"),
    [
        (5, 5, "o.mp4", "nothing to cut"),
        (20, 30, "o.mp4", "it lasts 8.0 s"),
        (0, 1, "absent/o.mp4", "no folder"),
        (0, 1, "film.mp4", "overwrite the recording"),
        (0, 1, "o", "no suffix"),
        (0, 1, "o.nonsense", "could not cut"),
    ],
)
def test_what_cannot_be_cut(film: Path, tmp_path: Path, start: float, end: float, out: str, says: str) -> None:
    before = {p: p.stat().st_size for p in tmp_path.iterdir()}
    with pytest.raises(BuildlogError, match=says) as caught:
        clip(film, start, end, tmp_path / out)
    assert "\n" not in str(caught.value)
    assert {p: p.stat().st_size for p in tmp_path.iterdir()} == before


def test_a_full_disk_leaves_nothing_behind(film: Path, tmp_path: Path) -> None:
    """The limit on a file's size stands in for the end of the disk: ffmpeg meets it in the middle of writing."""
    program = (
        "import resource, signal, sys\nfrom buildlog.media import clip\nfrom buildlog.errors import BuildlogError\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\nresource.setrlimit(resource.RLIMIT_FSIZE, (20000, 20000))\n"
        "try:\n    clip(sys.argv[1], 0, 7, sys.argv[2], exact=True)\nexcept BuildlogError as e:\n    print(e)\n"
    )
    folder = tmp_path / "full"
    folder.mkdir()
    done = subprocess.run(
        [sys.executable, "-c", program, str(film), str(folder / "o.mp4")], capture_output=True, text=True, check=False
    )
    assert done.stdout.startswith("could not cut “film.mp4”"), done
    assert list(folder.iterdir()) == []


def test_cutting_can_be_stopped(tmp_path: Path) -> None:
    long = make(tmp_path / "long.mp4", "testsrc2=s=640x360:r=30:d=60", options=("-preset", "ultrafast", "-g", "600"))
    began = time.monotonic()
    with pytest.raises(Interrupted):
        clip(long, 0, 60, tmp_path / "out.mp4", exact=True, cancelled=lambda: time.monotonic() - began > 0.2)
    assert [p.name for p in tmp_path.iterdir()] == ["long.mp4"]


def test_which_ffmpeg(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    import imageio_ffmpeg

    monkeypatch.delenv("BUILDLOG_FFMPEG", raising=False)
    shipped = encode.binary()
    assert shipped == imageio_ffmpeg.get_ffmpeg_exe()
    (tmp_path / "ffmpeg").symlink_to(shipped)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setenv("BUILDLOG_FFMPEG", "system")
    assert encode.binary() == str(tmp_path / "ffmpeg")
    monkeypatch.setenv("PATH", "")
    with pytest.raises(BadInput, match="no ffmpeg on the PATH"):
        encode.binary()
    monkeypatch.setenv("BUILDLOG_FFMPEG", str(tmp_path / "absent"))
    with pytest.raises(BadInput, match="no program"):
        encode.binary()
