"""What a hit leads to: the recording's own moment, a still, a clip, a moving picture, a sheet of stills, a reply."""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from buildlog import media
from buildlog.archive import Archive, Recording
from buildlog.errors import BadInput, BuildlogError, NotFound, one_line
from buildlog.find.searching import Found, Hit

if TYPE_CHECKING:
    from PIL.Image import Image

_WORDS_ONLY = (".txt", ".vtt", ".srt", ".json")
_BEFORE_S, _AFTER_S = 0.5, 1.5
GIF_LONGEST_S = 8.0
_SHEET_WIDTH, _ACROSS = 320, 4


class Source(NamedTuple):
    """A stretch of a recording on its own clock, in seconds."""

    path: Path
    start_s: float
    end_s: float


class Missing(NotFound):
    """A recording's file is not where it was; ``recording`` says which."""

    def __init__(self, recording: Recording) -> None:
        self.recording = recording
        super().__init__(
            f"{one_line(recording.path, 120)} is not there any more; if it was moved, name the folder it is in now "
            "with --look-in FOLDER"
        )


def source(archive: Archive, hit: Hit) -> Source:
    """Which stretch of which file shows ``hit``. Raises :class:`NotFound` (only words are here), :class:`Missing`."""
    cut = archive.builds.cut(hit.part_id)
    spot = cut.to_recording(hit.at_s)
    if spot is None:
        raise NotFound("no recording is shown at this moment; take its recording in with `buildlog take`")
    recording = archive.builds.recording(spot.recording_id)
    path = Path(recording.path)
    if path.suffix.lower() in _WORDS_ONLY:
        raise NotFound(f"only the words of {one_line(path.name, 80)} are here; take the recording itself in")
    if not path.is_file():
        raise Missing(recording)
    speed = next((c.speed for c in cut.clips if c.recording_id == spot.recording_id), 1.0)
    length = max(1.0, hit.end_s - hit.at_s)
    return Source(path, max(0.0, spot.at_s - _BEFORE_S), spot.at_s + length * speed + _AFTER_S)


def look_for(archive: Archive, recording: Recording, folder: Path) -> Path:
    """Find a moved recording in ``folder`` by its bytes, and keep where it is. Raises :class:`NotFound`.

    Files of the same name come first, then of the same ending: only those are read.
    """
    if not folder.is_dir():
        raise BadInput(f"there is no folder {one_line(folder)}; name the one the recording was moved to")
    old = Path(recording.path)
    files = [p for p in folder.rglob("*") if p.is_file() and p.suffix.lower() == old.suffix.lower()]
    for path in sorted(files, key=lambda p: (p.name != old.name, str(p))):
        if media.sha256_of(path) == recording.sha256:
            archive.builds.move_recording(recording.id, str(path.absolute()))
            return path
    raise NotFound(f"no file under {one_line(folder)} has the bytes of {one_line(old.name, 80)}; name another folder")


def still(archive: Archive, hit: Hit, out: Path) -> Path:
    """The sharpest picture near the moment, as JPEG or PNG by the name's ending."""
    found = source(archive, hit)
    return _save(media.still(found.path, (found.start_s + _BEFORE_S) + 0.5), out)


def clip(archive: Archive, hit: Hit, out: Path, *, exact: bool) -> Path:
    """The stretch as a file; ``exact`` starts it within a frame of the time, else at the key frame before."""
    found = source(archive, hit)
    return media.clip(found.path, found.start_s, found.end_s, out, exact=exact)


def moving_picture(archive: Archive, hit: Hit, out: Path) -> Path:
    """The stretch (eight seconds at most) as a GIF of 360 pixels across, ten pictures a second."""
    import ffmpeg

    from buildlog.media import encode

    found = source(archive, hit)
    _check_out(out, (".gif",))
    length = min(GIF_LONGEST_S, found.end_s - found.start_s)
    shown = ffmpeg.input(f"file:{found.path.absolute()}", ss=found.start_s, t=length, protocol_whitelist="file").video
    shown = shown.filter("fps", 10).filter("scale", 360, -2, flags="lanczos").filter_multi_output("split")
    palette = shown[1].filter("palettegen")
    partial = out.with_name(f".part-{secrets.token_hex(6)}.gif")
    try:
        stream = ffmpeg.filter([shown[0], palette], "paletteuse").output(f"file:{partial.absolute()}")
        encode.run(stream, f"make a moving picture of {one_line(found.path.name, 80)}")
        partial.replace(out)
    finally:
        partial.unlink(missing_ok=True)
    return out


def sheet(archive: Archive, hits: Sequence[Hit], out: Path) -> int:
    """One picture with a still of every hit that has one, each with its build and minute. Returns how many.

    Raises :class:`NotFound` where no hit has a picture.
    """
    from PIL import Image, ImageDraw

    cells: list[tuple[Image.Image, str]] = []
    why: BuildlogError | None = None
    for hit in hits:
        try:
            found = source(archive, hit)
            picture = media.still(found.path, found.start_s + _BEFORE_S + 0.5)
        except BuildlogError as error:
            why = why or error
            continue
        height = max(2, round(picture.height * _SHEET_WIDTH / picture.width))
        cells.append((picture.resize((_SHEET_WIDTH, height)), f"{hit.build}, part {hit.part}  {minute(hit.at_s)}"))
    if not cells:
        raise NotFound(f"no picture of any of these moments: {why or 'nothing was found'}")
    tall = max(p.height for p, _ in cells) + 22
    across = min(_ACROSS, len(cells))
    whole = Image.new("RGB", (across * _SHEET_WIDTH, -(-len(cells) // across) * tall), "white")
    pen = ImageDraw.Draw(whole)
    for n, (picture, label) in enumerate(cells):
        x, y = n % across * _SHEET_WIDTH, n // across * tall
        whole.paste(picture.convert("RGB"), (x, y))
        pen.text((x + 4, y + tall - 18), label[:48].encode("latin-1", "replace").decode("latin-1"), fill="black")
    _save(whole, out)
    return len(cells)


def _check_out(out: Path, endings: tuple[str, ...]) -> None:
    if out.suffix.lower() not in endings:
        raise BadInput(f"{one_line(out.name)} should end in {' or '.join(endings)}")
    if not out.absolute().parent.is_dir():
        raise BadInput(f"there is no folder {one_line(out.parent)}; make it first")


def _save(picture: Image, out: Path) -> Path:
    _check_out(out, (".jpg", ".jpeg", ".png"))
    partial = out.with_name(f".part-{secrets.token_hex(6)}{out.suffix}")
    try:
        if out.suffix.lower() == ".png":
            picture.save(partial)
        else:
            partial.write_bytes(media.jpeg(picture))
        partial.replace(out)
    except OSError as error:
        raise BuildlogError(f"could not write {one_line(out)}: {one_line(error.strerror or error)}") from error
    finally:
        partial.unlink(missing_ok=True)
    return out


# A reply for the comments -------------------------------------------------------------------------------------------

Link = Callable[[Hit], str | None]


def minute(seconds: float) -> str:
    """65 is "1:05", 3725 is "1:02:05"."""
    whole = max(0, int(seconds))
    hours, rest = divmod(whole, 3600)
    return f"{hours}:{rest // 60:02}:{rest % 60:02}" if hours else f"{rest // 60}:{rest % 60:02}"


def reply(found: Found, link: Link, *, others: int = 2) -> str:
    """Text to paste under a viewer's question: the moment with its link, and a few more places."""
    if found.nowhere or not found.hits:
        return "I don't show that in any of my videos so far."
    first, *rest = found.hits
    off = "" if first.on_camera else " (done off camera, I only talk about it)"
    lines = [f"At {minute(first.at_s)} in {_called(first)}{off}{_with(link(first))}"]
    near = [h for h in rest if h.score >= 0.75 * first.score][:others]
    lines += [f"Also at {minute(h.at_s)} in {_called(h)}{_with(link(h))}" for h in near]
    return "\n".join(lines)


def _called(hit: Hit) -> str:
    return f"“{hit.title}”" if hit.title else f"{hit.build}, part {hit.part}"


def _with(url: str | None) -> str:
    return f": {url}" if url else ""


def places(hits: Iterable[Hit]) -> list[tuple[int, float]]:
    """Every (part id, second) of the hits and of those folded into them."""
    return [place for h in hits for place in ((h.part_id, h.at_s), *h.also)]


# mpv's exit codes (its manual) where something cannot be played; more where it was stopped. ffplay says it with 1, if it
# does.
_CANNOT_PLAY = (1, 2, 3)


def play(archive: Archive, hit: Hit) -> None:
    """Play the stretch with the maker's player: mpv, else ffplay.

    Raises :class:`BuildlogError` where there is no player, or it cannot play the file.
    """
    import shutil
    import subprocess

    found = source(archive, hit)
    where = os.fspath(found.path.absolute())
    if player := shutil.which("mpv"):
        command = [player, "--no-config", f"--start={found.start_s:.3f}", f"--end={found.end_s:.3f}", "--", where]
    elif player := shutil.which("ffplay"):
        length = found.end_s - found.start_s
        command = [player, "-autoexit", "-loglevel", "quiet", "-ss", f"{found.start_s:.3f}", "-t", f"{length:.3f}"]
        command += ["-i", f"file:{where}"]
    else:
        raise BuildlogError(
            "no player found: install mpv or ffplay; the moment is at "
            f"{minute(found.start_s)} of {one_line(where, 120)}"
        )
    if subprocess.run(command, check=False).returncode in _CANNOT_PLAY:
        raise BuildlogError(
            f"{Path(player).stem} cannot play {one_line(where, 120)}; try it in another player, or take it in again"
        )
