"""What a recording holds, without reading all of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import islice, pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

from buildlog.errors import BadInput
from buildlog.media.opening import open_media, shown

if TYPE_CHECKING:
    from av.container import InputContainer

PACKETS_TO_LOOK_AT = 240  # enough to see an uneven frame rate, few enough to stay quick


@dataclass(frozen=True)
class AudioTrack:
    """One audio track. ``number`` counts from 1 among the audio tracks; ``language`` is ISO 639 or ``None``."""

    number: int
    language: str | None
    channels: int
    sample_rate: int
    title: str | None = None
    default: bool = False


@dataclass(frozen=True)
class VideoTrack:
    """The picture. ``width`` and ``height`` in pixels as shown, after ``rotation`` (degrees, 0 to 270, clockwise).

    ``frame_rate`` is the average in frames a second; ``variable`` where frames do not come evenly (phones).
    """

    width: int
    height: int
    frame_rate: float
    rotation: int
    variable: bool


@dataclass(frozen=True)
class MediaInfo:
    """A recording at a glance. ``duration_s`` is seconds on the recording's clock, which starts at 0."""

    duration_s: float
    audio: list[AudioTrack] = field(default_factory=list)
    video: VideoTrack | None = None
    format: str = ""


def probe(path: Path | str) -> MediaInfo:
    """Look into ``path``. Raises :class:`BadInput` if it is no media, cut short, or without sound and picture."""
    with open_media(path) as container:
        audio = [_audio(n, stream) for n, stream in enumerate(container.streams.audio, 1)]
        picture = picture_stream(container)
        if not audio and picture is None:
            raise BadInput(f"{shown(path)} holds neither sound nor picture; give a video or audio file")
        refuse_if_cut_short(container, Path(path))
        duration = duration_of(container)
        name = container.format.name
        video = None if picture is None else _video(container, picture)
    return MediaInfo(duration_s=duration, audio=audio, video=video, format=name)


def picture_stream(container: InputContainer) -> Any | None:
    """The moving picture, or ``None``: a cover picture in an audio file is none."""
    import av

    not_moving = av.stream.Disposition.attached_pic | av.stream.Disposition.still_image
    return next((s for s in container.streams.video if not s.disposition & not_moving), None)


def start_of(container: InputContainer) -> float:
    """Where the recording's clock starts on the container's own clock, in seconds."""
    return (container.start_time or 0) / 1_000_000


def duration_of(container: InputContainer) -> float:
    """Seconds; read off the packets where the container does not say."""
    if container.duration and container.duration > 0:
        return float(container.duration) / 1_000_000
    known = [float(s.duration * s.time_base) for s in container.streams if s.duration and s.time_base]
    if known:
        return max(known)
    end = 0.0
    for packet in container.demux():
        if packet.pts is not None and packet.time_base is not None:
            end = max(end, float((packet.pts + (packet.duration or 0)) * packet.time_base))
    container.seek(0)
    return max(0.0, end - start_of(container))


def refuse_if_cut_short(container: InputContainer, path: Path) -> None:
    """An mp4 or mov lists where its packets lie: if the last one is past the end of the file, the file is cut short."""
    if "mp4" not in container.format.name.split(","):
        return
    size = path.stat().st_size
    for stream in (*container.streams.audio, *container.streams.video):
        entries = stream.index_entries
        if len(entries) and entries[len(entries) - 1].pos + entries[len(entries) - 1].size > size:
            raise BadInput(f"{shown(path)} is cut short: the end of the file is missing; copy it again from the camera")


def _audio(number: int, stream: Any) -> AudioTrack:
    import av

    tags = stream.metadata
    language = tags.get("language")
    return AudioTrack(
        number=number,
        language=None if language in (None, "", "und") else language,
        channels=stream.codec_context.channels,
        sample_rate=stream.codec_context.sample_rate,
        title=tags.get("title"),
        default=bool(stream.disposition & av.stream.Disposition.default),
    )


def _video(container: InputContainer, stream: Any) -> VideoTrack:
    times = sorted(p.pts for p in islice(container.demux(stream), PACKETS_TO_LOOK_AT) if p.pts is not None)
    container.seek(0)
    frame = next(container.decode(stream), None)
    turn = (-int(frame.rotation)) % 360 if frame is not None else 0
    width, height = stream.codec_context.width, stream.codec_context.height
    if turn in (90, 270):
        width, height = height, width
    rate = stream.average_rate or stream.guessed_rate or 0
    return VideoTrack(width=width, height=height, frame_rate=float(rate), rotation=turn, variable=_uneven(times))


def _uneven(times: list[int]) -> bool:
    """Whether frames come unevenly: more than one in fifty gaps is a quarter off the usual one.

    A time base that cannot hold the rate (milliseconds in Matroska) makes gaps differ by one tick; that is even.
    """
    gaps = [b - a for a, b in pairwise(times)]
    if len(gaps) < 3:
        return False
    usual = sorted(gaps)[len(gaps) // 2]
    return sum(abs(g - usual) > max(1.0, usual / 4) for g in gaps) > len(gaps) / 50
