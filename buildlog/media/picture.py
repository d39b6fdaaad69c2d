"""Pictures out of a recording: stills, and where the picture cuts."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from itertools import islice, pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from buildlog.errors import BadInput, Interrupted
from buildlog.media.opening import open_media, shown
from buildlog.media.probing import duration_of, picture_stream, start_of

if TYPE_CHECKING:
    from PIL.Image import Image

Small = npt.NDArray[np.uint8]

CUT_SCORE = 10.0  # percent: the default threshold of ffmpeg's scdet filter
KEY_FRAMES_APART_S = 0.4  # all-intra files have a key frame every frame: no need for each
NO_REFINING_BEYOND_S = 30.0
STILL_CANDIDATES = 16


def scene_cuts(path: Path | str, *, cancelled: Callable[[], bool] | None = None) -> list[float]:
    """Times in seconds at which the picture changes abruptly, ascending.

    Only key frames are decoded (small, through ffmpeg's ``scdet``); where two differ, the stretch between them is
    decoded to find the frame. A change and back again between two key frames is not seen: encoders put a key frame
    at such changes. A recording without a picture has no cuts.
    """
    with open_media(path) as container:
        stream = picture_stream(container)
        if stream is None:
            return []
        begin = start_of(container)
        # The small picture is kept only where it differs from the one before.
        keys = [
            (t, score, small if score >= CUT_SCORE else None)
            for t, score, small in _scored(_key_frames(container, stream, cancelled), stream, "mafd")
        ]
    gaps = [b[0] - a[0] for a, b in pairwise(keys)]
    usual = max(gaps, default=0.0)
    cuts: list[float] = []
    for (before, _, _), (after, _, then) in pairwise(keys):
        if then is None:
            continue
        # A key frame that comes early was put there by the encoder because the picture changed: that is the cut.
        early = after - before < 0.9 * usual
        if early and after - before > KEY_FRAMES_APART_S * 2 and usual > 1.5:
            cuts.append(after)
        elif after - before <= NO_REFINING_BEYOND_S:
            cuts += _between(path, before, after, then, cancelled)
        else:
            cuts.append(after)
    return [round(max(0.0, t - begin), 3) for t in sorted(set(cuts))]


def _key_frames(container: Any, stream: Any, cancelled: Callable[[], bool] | None) -> Iterator[Any]:
    stream.codec_context.skip_frame = "NONKEY"
    stream.thread_type = "AUTO"
    last = None
    for packet in container.demux(stream):
        _stop_if(cancelled)
        if packet.pts is None:
            yield from _decoded(packet)
            continue
        at = float(packet.pts * packet.time_base)
        if packet.is_keyframe and (last is None or at - last >= KEY_FRAMES_APART_S):
            last = at
            yield from _decoded(packet)


def _decoded(packet: Any) -> list[Any]:
    import av

    try:
        return list(packet.decode())
    except av.error.FFmpegError:
        return []  # a damaged frame is not worth stopping for


def _scored(frames: Iterator[Any], stream: Any, measure: str) -> Iterator[tuple[float, float, Small]]:
    """Time of each frame, what ffmpeg's scdet measured (percent; 0 for the first), and the frame small and grey.

    ``mafd`` is the mean difference from the frame before; ``score`` takes steady movement out of it.
    """
    import av

    graph: Any = None
    for frame in frames:
        if frame.pts is None:
            continue
        if graph is None:
            graph = av.filter.Graph()
            source = graph.add_buffer(template=stream)
            small = graph.add("scale", "160:90:flags=fast_bilinear")
            grey = graph.add("format", "gray")
            detect = graph.add("scdet", f"threshold={CUT_SCORE}")
            sink = graph.add("buffersink")
            for a, b in ((source, small), (small, grey), (grey, detect), (detect, sink)):
                a.link_to(b)
            graph.configure()
        graph.push(frame)
        scored = graph.pull()
        score = float(scored.metadata.get(f"lavfi.scd.{measure}", 0.0))
        yield float(frame.pts * frame.time_base), score, scored.to_ndarray()


def _between(
    path: Path | str, start: float, end: float, then: Small, cancelled: Callable[[], bool] | None
) -> list[float]:
    """Cuts after ``start`` up to ``end``, on the container's clock, by decoding the frames between.

    ``then`` is the picture at ``end``: once a cut has led to it, the rest need not be decoded.
    """
    cuts: list[float] = []
    with open_media(path) as container:
        stream = picture_stream(container)
        assert stream is not None
        stream.thread_type = "AUTO"
        container.seek(int(start / stream.time_base), stream=stream)

        def frames() -> Iterator[Any]:
            for frame in container.decode(stream):
                _stop_if(cancelled)
                at = None if frame.pts is None else float(frame.pts * frame.time_base)
                if at is not None and at > end + 1e-6:
                    return
                if at is not None and at >= start - 1e-6:
                    yield frame

        first = True
        for t, score, small in _scored(frames(), stream, "score"):
            if score >= CUT_SCORE and not first:
                cuts.append(t)
                if np.abs(small.astype(np.int16) - then).mean() * 100 / 255 < CUT_SCORE:
                    break
            first = False
    return cuts


def still(path: Path | str, t: float, around: float = 0.4) -> Image:
    """The sharpest frame within ``around`` seconds of ``t``, upright. Raises :class:`BadInput` without a picture."""
    with open_media(path) as container:
        stream = picture_stream(container)
        if stream is None:
            raise BadInput(f"{shown(path)} has no picture; stills need a video")
        stream.thread_type = "AUTO"
        begin = start_of(container)
        wanted = min(max(0.0, t), max(0.0, duration_of(container) - 0.1))
        low, high = begin + wanted - around, begin + wanted + around
        container.seek(max(int(low / stream.time_base), stream.start_time or 0), stream=stream)
        rate = float(stream.average_rate or 25)
        every = max(1, int(2 * around * rate / STILL_CANDIDATES))
        best: Any = None
        best_sharpness = -1.0
        for n, frame in enumerate(container.decode(stream)):
            at = float((frame.pts or 0) * frame.time_base)
            if at > high and best is not None:
                break
            if at < low:
                if best_sharpness < 0:
                    best = frame  # the last one before, for a recording that holds one frame for long
                continue
            sharpness = _sharpness(frame) if n % every == 0 or best_sharpness < 0 else -1.0
            if sharpness > best_sharpness:
                best, best_sharpness = frame, sharpness
        if best is None:
            raise BadInput(f"{shown(path)} has no frame near {wanted:.0f} s; the file may be damaged, copy it again")
        image: Image = best.to_image()
        return image.rotate(best.rotation, expand=True) if best.rotation % 360 else image


def key_still(
    path: Path | str, start_s: float, end_s: float, *, most: int = 4, width: int | None = None
) -> Image | None:
    """The sharpest of the key frames from ``start_s`` to ``end_s`` nearest their middle, upright; ``None`` without one.

    Many times quicker than :func:`still`, as nothing between key frames is decoded; at most ``width`` wide. Raises :class:`BadInput` without a
    picture.
    """
    with open_media(path) as container:
        stream = picture_stream(container)
        if stream is None:
            raise BadInput(f"{shown(path)} has no picture; stills need a video")
        begin = start_of(container)
        middle = begin + (start_s + end_s) / 2
        # The key frame before the middle, and those after it.
        container.seek(max(int(middle / stream.time_base), stream.start_time or 0), stream=stream)
        best: Any = None
        best_sharpness = -1.0
        keys = (p for p in container.demux(stream) if p.is_keyframe and p.pts is not None)
        for packet in islice(keys, most):
            at = float(packet.pts * packet.time_base)
            if at > begin + end_s:
                break
            if at < begin + start_s:
                continue
            for frame in _decoded(packet) or _flushed(stream):
                sharpness = _sharpness(frame)
                if sharpness > best_sharpness:
                    best, best_sharpness = frame, sharpness
            if best is not None and at >= middle:
                break
        if best is None:
            return None
        rotation = best.rotation
        if width is not None and best.width > width:
            best = best.reformat(width=width, height=max(2, width * best.height // best.width // 2 * 2))
        image: Image = best.to_image()
        return image.rotate(rotation, expand=True) if rotation % 360 else image


def _flushed(stream: Any) -> list[Any]:
    """The frame that a decoder holds back because it waits for the next one."""
    import av

    try:
        frames = list(stream.codec_context.decode(None))
    except av.error.FFmpegError:
        frames = []
    stream.codec_context.flush_buffers()
    return frames


def jpeg(image: Image, quality: int = 85) -> bytes:
    """``image`` as JPEG, without metadata."""
    out = io.BytesIO()
    image.convert("RGB").save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()


def _sharpness(frame: Any) -> float:
    """Variance of the Laplacian: blur (of focus or movement) flattens it."""
    grey = (
        frame.reformat(width=320, height=max(2, 320 * frame.height // frame.width), format="gray")
        .to_ndarray()
        .astype(np.float32)
    )
    inner = grey[1:-1, 1:-1]
    around = grey[:-2, 1:-1] + grey[2:, 1:-1] + grey[1:-1, :-2] + grey[1:-1, 2:]
    return float(np.var(4 * inner - around))


def _stop_if(cancelled: Callable[[], bool] | None) -> None:
    if cancelled is not None and cancelled():
        raise Interrupted("stopped while looking for scene cuts; the same command starts that again")
