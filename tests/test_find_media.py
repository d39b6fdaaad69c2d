"""From a moment to its picture, clip, moving picture and sheet; and back to a recording that was moved."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import av
import pytest
from cli_run import run
from find_log import lines, put
from media_maker import make
from PIL import Image

from buildlog import find
from buildlog.archive import Archive
from buildlog.document import Log, RecordingInfo, Step
from buildlog.errors import BadInput, BuildlogError, NotFound
from buildlog.find import showing
from buildlog.media import sha256_of
from buildlog.opening import open_archive

RATE = 25


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Sixteen seconds; the grey of a frame is its number, so that a decoded frame says where it is from."""
    out = tmp_path_factory.mktemp("film") / "film.mp4"
    return make(
        out,
        f"nullsrc=s=64x64:r={RATE}:d=16,format=gray,geq=lum='16+mod(N\\,200)'",
        "sine=f=300:d=16",
        options=("-c:v", "libx264", "-qp", "0", "-g", "100", "-pix_fmt", "yuv420p", "-c:a", "aac", "-shortest"),
    )


@pytest.fixture
def archive(tmp_path: Path, film: Path) -> Iterator[Archive]:
    mine = tmp_path / "film.mp4"
    shutil.copy(film, mine)
    log = Log(
        recording=RecordingInfo(path=str(mine), duration_s=16.0),
        transcript=lines(["Hello and welcome to the bench again today.", "Now I punch the eyelet right through the strap.",
                          "It takes two taps with the mallet and no more.", "That is all of it for today then, goodbye."]),
        steps=[Step(id="s1", start_s=5.2, end_s=7.5, text="Punch the eyelet through the strap.")],
    )  # fmt: skip
    with open_archive(tmp_path / "a.sqlite3") as opened:
        put(opened, "Strap", log, path=str(mine), sha256=sha256_of(mine))
        yield opened


@pytest.fixture
def hit(archive: Archive) -> find.Hit:
    return find.search(archive, "punching the eyelet", vectors=False).hits[0]


def first_grey(path: Path) -> float:
    with av.open(str(path)) as container:
        frame = next(container.decode(video=0))
        return float(frame.to_ndarray(format="gray")[16:48, 16:48].mean())


def test_an_exact_clip_starts_within_a_frame(archive: Archive, hit: find.Hit, tmp_path: Path) -> None:
    assert hit.at_s == pytest.approx(5.2)
    wanted = showing.source(archive, hit).start_s
    assert wanted == pytest.approx(4.7)
    out = showing.clip(archive, hit, tmp_path / "clip.mp4", exact=True)
    # Limited-range grey: the decoder maps 16..235 onto 0..255 and back; compare with the film's own frames instead.
    with av.open(str(showing.source(archive, hit).path)) as container:
        greys = [float(f.to_ndarray(format="gray")[16:48, 16:48].mean()) for f in container.decode(video=0)]
    nearest = min(range(len(greys)), key=lambda n: abs(greys[n] - first_grey(out)))
    assert abs(nearest - wanted * RATE) <= 1


def test_pictures(archive: Archive, hit: find.Hit, tmp_path: Path) -> None:
    assert Image.open(showing.still(archive, hit, tmp_path / "s.jpg")).size == (64, 64)
    moving = Image.open(showing.moving_picture(archive, hit, tmp_path / "s.gif"))
    assert moving.format == "GIF"
    assert moving.n_frames > 10  # type: ignore[attr-defined]
    hits = find.search(archive, "hello strap goodbye", vectors=False).hits
    assert showing.sheet(archive, hits, tmp_path / "sheet.png") == len(hits) >= 2
    assert not list(tmp_path.glob(".part-*"))


def test_a_name_with_a_wrong_ending_is_told(archive: Archive, hit: find.Hit, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="end in"):
        showing.still(archive, hit, tmp_path / "s.txt")
    with pytest.raises(BadInput, match="no folder"):
        showing.moving_picture(archive, hit, tmp_path / "nowhere" / "s.gif")


def test_a_moved_recording_is_found_again_by_its_bytes(archive: Archive, hit: find.Hit, tmp_path: Path) -> None:
    old = Path(archive.builds.recordings()[0].path)
    attic = tmp_path / "attic" / "2024"
    attic.mkdir(parents=True)
    (attic / "film.mp4").write_bytes(b"another film of that name")
    old.rename(attic / "renamed.mp4")
    with pytest.raises(showing.Missing, match="--look-in") as missing:
        showing.still(archive, hit, tmp_path / "s.jpg")
    assert showing.look_for(archive, missing.value.recording, tmp_path / "attic") == attic / "renamed.mp4"
    showing.still(archive, hit, tmp_path / "s.jpg")
    (attic / "renamed.mp4").unlink()
    with pytest.raises(NotFound, match="bytes"):
        showing.look_for(archive, missing.value.recording, tmp_path / "attic")


def test_the_command_line(archive: Archive, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = archive.store.path
    part = archive.builds.parts()[0]
    archive.builds.set_part(part.id, video_url="https://video.example/watch?v=a&t=3")
    got = run(capsys, "find", "punching the eyelet", "--archive", path, "--still", tmp_path / "s.jpg", "--reply")
    assert got.code == 0
    assert got.out.splitlines()[0] == "At 0:05 in Strap, part 1: https://video.example/watch?v=a&t=5"
    assert (tmp_path / "s.jpg").exists()
    nowhere = run(capsys, "find", "smocking", "--archive", path, "--clip", tmp_path / "c.mp4")
    assert nowhere.code == 2
    assert "no moment" in nowhere.err
    assert not (tmp_path / "c.mp4").exists()
    assert run(capsys, "find", "--archive", path).code == 2
    assert run(capsys, "find", "--archive", path, "--shown-once", "--never-linked").code == 2
    asked = run(capsys, "ask", "at what minute do you punch the eyelet", "--archive", path)
    assert asked.code == 0
    assert asked.out.startswith("At 0:05.")
    damaged = archive.store
    with damaged.write() as conn:
        conn.execute("UPDATE find_text_data SET block = zeroblob(40) WHERE id > 10")
    mended = run(capsys, "find", "punching the eyelet", "--archive", path)
    assert mended.code == 0
    assert "made anew" in mended.err
    assert "0:05" in mended.out


# Playing ------------------------------------------------------------------------------------------------------------

# A player that writes down what it was told to play; the real ones are tried below where they are installed.
_WRITES_DOWN = '#!/bin/sh\nprintf "%s\\n" "$0" "$@" > "$PLAYED"\n'


def _only(folder: Path, names: list[str], monkeypatch: pytest.MonkeyPatch) -> Path:
    """Have ``names`` be the only players there are. Returns the file in which they write."""
    folder.mkdir()
    for name in names:
        (folder / name).write_text(_WRITES_DOWN)
        (folder / name).chmod(0o755)
    monkeypatch.setenv("PATH", str(folder))
    monkeypatch.setenv("PLAYED", str(folder / "played"))
    return folder / "played"


def test_playing_begins_at_the_moment(
    archive: Archive, hit: find.Hit, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    wanted = showing.source(archive, hit)
    told = _only(tmp_path / "one", ["mpv", "ffplay"], monkeypatch)
    showing.play(archive, hit)
    player, *words = told.read_text().splitlines()
    assert player.endswith("/mpv")
    assert f"--start={wanted.start_s:.3f}" in words
    assert f"--end={wanted.end_s:.3f}" in words
    assert words[-2:] == ["--", str(wanted.path.absolute())]  # a name that begins with a dash is a name

    told = _only(tmp_path / "two", ["ffplay"], monkeypatch)
    showing.play(archive, hit)
    player, *words = told.read_text().splitlines()
    assert player.endswith("/ffplay")
    assert float(words[words.index("-ss") + 1]) == pytest.approx(wanted.start_s, abs=0.001)
    assert float(words[words.index("-t") + 1]) == pytest.approx(wanted.end_s - wanted.start_s, abs=0.001)
    assert words[words.index("-i") + 1] == f"file:{wanted.path.absolute()}"  # and "http:" in one is no address


def test_without_a_player_the_place_is_told(
    archive: Archive, hit: find.Hit, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _only(tmp_path / "none", [], monkeypatch)
    with pytest.raises(BuildlogError, match=r"install mpv or ffplay; the moment is at 0:04 of .*film\.mp4"):
        showing.play(archive, hit)


@pytest.mark.parametrize("player", ["mpv", "ffplay"])
def test_the_real_players_take_what_they_are_given(
    archive: Archive, hit: find.Hit, player: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = shutil.which(player)
    if real is None:
        pytest.skip(f"{player} is not installed")
    # No screen and no loudspeaker here: SDL's dummies for ffplay, null outputs for mpv.
    silent = "--vo=null --ao=null --untimed" if player == "mpv" else ""
    folder = tmp_path / "players"
    folder.mkdir()
    (folder / player).write_text(f'#!/bin/sh\nexec {real} {silent} "$@"\n')
    (folder / player).chmod(0o755)
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.setenv("SDL_AUDIODRIVER", "dummy")
    monkeypatch.setattr(shutil, "which", lambda name: str(folder / name) if name == player else None)
    showing.play(archive, hit)
    if player == "ffplay":  # ends with 0 whatever it was given
        return
    Path(archive.builds.recordings()[0].path).write_bytes(b"no film at all")
    with pytest.raises(BuildlogError, match=f"{player} cannot play"):
        showing.play(archive, hit)
