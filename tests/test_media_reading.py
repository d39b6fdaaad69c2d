"""Probing and decoding: what is seen, held against ffmpeg's own view where that can be asked."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from media_maker import STRAPS, ffmpeg, make, spoken_at, write_wav

from buildlog.errors import BadInput
from buildlog.media import SAMPLE_RATE, decode_audio, pauses, probe

X264 = ("-c:v", "libx264", "-preset", "ultrafast", "-pix_fmt", "yuv420p")


def samples_of(path: Path, track: int | None = None) -> np.ndarray:
    return np.concatenate(list(decode_audio(path, track)))


def test_even_and_uneven_frame_rates(tmp_path: Path) -> None:
    even = make(tmp_path / "even.mp4", "testsrc2=s=160x120:r=30:d=3", options=X264)
    uneven = make(
        tmp_path / "uneven.mp4",
        "testsrc2=s=160x120:r=30:d=3",
        options=("-vf", "select='lt(mod(n,7),4)'", "-fps_mode", "vfr", *X264),
    )
    milliseconds = make(tmp_path / "even.mkv", "testsrc2=s=160x120:r=30000/1001:d=3", options=X264)
    assert [probe(p).video.variable for p in (even, uneven, milliseconds)] == [False, True, False]
    assert probe(even).video.frame_rate == pytest.approx(30)
    assert probe(even).duration_s == pytest.approx(3, abs=0.05)


@pytest.mark.parametrize("degrees", [90, 180, 270])
def test_rotation_gives_the_size_as_shown(tmp_path: Path, degrees: int) -> None:
    flat = make(tmp_path / "flat.mp4", "testsrc2=s=160x120:r=10:d=1", options=X264)
    turned = tmp_path / "turned.mp4"
    ffmpeg("-display_rotation", str(degrees), "-i", flat, "-c", "copy", turned)
    video = probe(turned).video
    assert (video.width, video.height) == ((160, 120) if degrees == 180 else (120, 160))
    assert video.rotation == -degrees % 360  # ffmpeg counts anticlockwise


def test_tracks_are_told_apart(tmp_path: Path) -> None:
    film = make(
        tmp_path / "two.mkv",
        "color=s=64x64:d=2",
        "anullsrc=r=48000:cl=stereo",
        "sine=f=440:r=44100",
        options=("-map", "0", "-map", "1", "-map", "2", "-t", "2", "-metadata:s:a:0", "language=eng",
                 "-metadata:s:a:1", "language=deu", "-metadata:s:a:1", "title=voice", *X264),
    )  # fmt: skip
    tracks = probe(film).audio
    assert [(t.number, t.language, t.channels, t.title) for t in tracks] == [
        (1, "eng", 2, None),
        (2, "deu", 1, "voice"),
    ]
    assert np.abs(samples_of(film, 1)).max() < 1e-3
    assert np.abs(samples_of(film, 2)).max() > 0.05
    with pytest.raises(BadInput, match="choose 1 to 2"):
        samples_of(film, 3)


@pytest.mark.parametrize("suffix", [".wav", ".mp3", ".m4a", ".flac", ".ogg"])
def test_samples_are_those_ffmpeg_gives(tmp_path: Path, suffix: str) -> None:
    """ffmpeg's own decoding and resampling, to the same rate, is the measure."""
    path = tmp_path / f"speech{suffix}"
    ffmpeg("-i", STRAPS, "-ar", "44100", "-ac", "2", path)
    theirs = np.frombuffer(ffmpeg("-i", path, "-ar", "16000", "-ac", "1", "-f", "f32le", "-"), "<f4")
    ours = samples_of(path)
    assert abs(len(ours) - len(theirs)) < 0.06 * SAMPLE_RATE
    n = min(len(ours), len(theirs))
    shift = min(
        range(-1200, 1201, 1), key=lambda s: float(np.mean((np.roll(ours[:n], s) - theirs[:n])[2000:60000] ** 2))
    )
    assert abs(shift) <= 0.03 * SAMPLE_RATE
    error = np.sqrt(np.mean((np.roll(ours[:n], shift) - theirs[:n])[2000:-2000] ** 2))
    assert error < 0.05 * np.sqrt(np.mean(theirs**2))


def test_sound_that_starts_late_or_has_a_hole_stays_on_the_clock(tmp_path: Path) -> None:
    late = tmp_path / "late.mkv"
    ffmpeg("-f", "lavfi", "-i", "testsrc2=s=64x64:r=10:d=4", "-itsoffset", "1.5", "-f", "lavfi", "-i", "sine=d=2",
           "-map", "0", "-map", "1", *X264, late)  # fmt: skip
    hole = tmp_path / "hole.mkv"
    make(hole, "testsrc2=s=64x64:r=10:d=6", "sine=d=6",
         options=("-af", "aselect='lt(t,2)+gt(t,4)'", *X264))  # fmt: skip
    loud_late = np.flatnonzero(np.abs(samples_of(late)) > 0.02) / SAMPLE_RATE
    assert loud_late[0] == pytest.approx(1.5, abs=0.06)
    loud = np.flatnonzero(np.abs(samples_of(hole)) > 0.02) / SAMPLE_RATE
    gap = np.argmax(np.diff(loud))
    assert (loud[gap], loud[gap + 1]) == pytest.approx((2, 4), abs=0.1)


def test_blocks_are_bounded(tmp_path: Path) -> None:
    path = write_wav(tmp_path / "a.wav", np.zeros(35 * SAMPLE_RATE + 7, np.float32))
    lengths = [len(b) for b in decode_audio(path)]
    assert max(lengths) <= 10 * SAMPLE_RATE
    assert sum(lengths) == 35 * SAMPLE_RATE + 7


def test_pauses_lie_between_what_is_said(tmp_path: Path) -> None:
    path = spoken_at(tmp_path / "a.wav", [2.0, 10.0], 18.0)
    noisy = tmp_path / "noisy.wav"
    ffmpeg("-i", path, "-f", "lavfi", "-i", "anoisesrc=a=0.01:d=18:r=16000", "-filter_complex",
           "[0][1]amix=normalize=0", noisy)  # fmt: skip
    for recording in (path, noisy):
        found = [p for p in pauses(recording) if p.end_s - p.start_s > 1.5]
        assert [round(p.start_s) for p in found] == [0, 6, 14], recording
        assert found[1].end_s == pytest.approx(10, abs=0.3)
    assert pauses(make(tmp_path / "hum.wav", "sine=d=3")) == []


def test_no_sound_is_said_plainly(tmp_path: Path) -> None:
    film = make(tmp_path / "mute.mp4", "testsrc2=s=64x64:d=1", options=X264)
    assert probe(film).audio == []
    with pytest.raises(BadInput, match="has no sound"):
        samples_of(film)


def refused(path: Path) -> str:
    with pytest.raises(BadInput) as caught:
        probe(path)
    message = str(caught.value)
    assert "\n" not in message
    assert ";" in message, "a message says what to do after what is wrong"
    return message


def test_what_is_no_recording_is_refused(tmp_path: Path) -> None:
    from PIL import Image

    (tmp_path / "empty.mp4").touch()
    assert "0 bytes" in refused(tmp_path / "empty.mp4")
    assert "folder" in refused(tmp_path)
    assert "no file" in refused(tmp_path / "absent.mp4")
    (tmp_path / "words.mp4").write_text("hello\n" * 100)
    assert "not a video or audio file" in refused(tmp_path / "words.mp4")
    (tmp_path / "random.mp4").write_bytes(os.urandom(40_000))
    refused(tmp_path / "random.mp4")
    Image.new("RGB", (64, 64)).save(tmp_path / "still.jpg")
    refused(tmp_path / "still.jpg")


def test_lists_of_other_files_are_refused(tmp_path: Path) -> None:
    """A playlist would make ffmpeg open whatever it names."""
    shutil.copy(STRAPS, tmp_path / "a.ogg")
    (tmp_path / "list.m3u8").write_text("#EXTM3U\n#EXT-X-TARGETDURATION:5\n#EXTINF:4,\na.ogg\n#EXT-X-ENDLIST\n")
    (tmp_path / "list.mp4").write_text(f"ffconcat version 1.0\nfile {tmp_path / 'a.ogg'}\n")
    refused(tmp_path / "list.m3u8")
    refused(tmp_path / "list.mp4")


@pytest.mark.parametrize("flags", [(), ("-movflags", "+faststart")])
def test_a_film_cut_short_is_refused(tmp_path: Path, flags: tuple[str, ...]) -> None:
    whole = make(tmp_path / "whole.mp4", "testsrc2=s=320x240:d=4", "sine=d=4", options=(*X264, "-c:a", "aac", *flags))
    short = tmp_path / "short.mp4"
    short.write_bytes(whole.read_bytes()[: whole.stat().st_size * 6 // 10])
    assert "cut short" in refused(short)
    with pytest.raises(BadInput, match="cut short"):
        samples_of(short)


def test_no_permission(tmp_path: Path) -> None:
    """Asked of another process under another user, as root may read everything."""
    path = tmp_path / "mine.ogg"
    shutil.copy(STRAPS, path)
    path.chmod(0)
    code = "import sys, os\nif os.geteuid() == 0: os.setgroups([]); os.setuid(65534)\n" if os.geteuid() == 0 else ""
    program = (
        "import sys, os\nfrom buildlog.media import opening\nfrom buildlog.errors import BadInput\nimport io\n"
        f"{code}try:\n    opening.check_file(sys.argv[1])\nexcept BadInput as e:\n    print(e)\n"
    )
    for folder in (tmp_path, *tmp_path.parents[:2]):
        folder.chmod(0o755)
    said = subprocess.run([sys.executable, "-c", program, str(path)], capture_output=True, text=True, check=True).stdout
    assert "no permission to read “mine.ogg”" in said


HOSTILE = [
    "-i.ogg",
    "concat:a.ogg|b.ogg",
    "quo\"te's.ogg",
    "new\nline.ogg",
    "%d.ogg",
    "http:x.ogg",
    "[x]:y,z=1;.ogg",
    "naïve.ogg",
]


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_only_a_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.copy(STRAPS, tmp_path / name)
    assert probe(name).audio[0].channels == 1
    assert len(samples_of(Path(name))) > 4 * SAMPLE_RATE
    (tmp_path / name).write_bytes(b"no media")
    assert "\n" not in refused(Path(name))
