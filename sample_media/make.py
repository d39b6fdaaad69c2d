"""Rebuild the sample film, its true transcript and the table of sentence times from ``script.txt``.

    uv run python sample_media/make.py            # film and transcript, a few minutes
    uv run python sample_media/make.py --times    # only say when each sentence begins

Needs ``flite`` (Debian package of that name) for the voice; everything else is in the project's environment. The
narration is spoken sentence by sentence, so the time of each is known and not guessed. Nothing is left to chance:
the same script, flite and ffmpeg give the same film.

How ``script.txt`` is read, line by line:

    == NAME | TITLE     a section begins; TITLE stands on its card while nobody speaks
    > SHOT              from the next sentence on, the picture shows SHOT (a drawing in ``drawings.py``)
    ~ SECONDS           a pause before the next sentence, added to the usual one
    # ...               a remark
    {written|spoken}    write the first, let the voice say the second
    anything else       one sentence
"""

from __future__ import annotations

import argparse
import itertools
import re
import shutil
import subprocess
import sys
import tempfile
import wave
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.float64]

HERE = Path(__file__).resolve().parent
NAME = "log-carrier"

VOICE, STRETCH = "rms", 1.05  # the clearer of flite's voices for the recogniser; above 1 it speaks more slowly
RATE = 16_000  # flite's samples a second
FRAMES_A_SECOND = 10

SENTENCE_PAUSE_S = 0.45
SHOT_PAUSE_S = 0.8  # between sentences where the picture changes
SECTION_PAUSE_S = 2.8  # the title card stands in it
CARD_MARGIN_S = 0.3  # the last picture stays this long before a card, the card ends this long before speech
FIRST_CARD_S, LAST_PICTURE_S = 2.4, 3.0


class ScriptError(ValueError):
    """``script.txt`` cannot be read; says which line and why."""


@dataclass
class Sentence:
    """One sentence: as written, as the voice is told to say it, the shot under it, the extra pause before it."""

    text: str
    spoken: str
    shot: str
    pause_s: float = 0.0


@dataclass
class Section:
    """A named stretch of the film with a title card."""

    name: str
    title: str
    sentences: list[Sentence] = field(default_factory=list)


class Timed(NamedTuple):
    """A sentence with its place on the film's clock, in seconds, and the place of its section in the script."""

    sentence: Sentence
    section: int
    start_s: float
    end_s: float


class Span(NamedTuple):
    """What the picture shows from ``start_s`` to ``end_s``: a title card, or a drawing named ``shot``."""

    start_s: float
    end_s: float
    shot: str
    title: str | None = None


def parse(text: str) -> list[Section]:
    """Read a script. Raises :class:`ScriptError` naming the line that is wrong."""
    sections: list[Section] = []
    shot, pause = "", 0.0
    for number, line in enumerate(text.splitlines(), 1):
        line = line.strip()
        if not line or line.startswith("#"):
            continue
        if line.startswith("=="):
            name, bar, title = (part.strip() for part in line[2:].partition("|"))
            if not (name and bar and title):
                raise ScriptError(f"line {number}: a section is `== NAME | TITLE`")
            sections.append(Section(name, title))
        elif line.startswith(">"):
            shot = line[1:].strip()
        elif line.startswith("~"):
            try:
                pause += float(line[1:])
            except ValueError:
                raise ScriptError(f"line {number}: a pause is `~ SECONDS`") from None
        else:
            if not sections or not shot:
                raise ScriptError(f"line {number}: a sentence needs a section (==) and a shot (>) before it")
            written = re.sub(r"\{([^{}|]*)\|[^{}]*\}", r"\1", line)
            spoken = re.sub(r"\{[^{}|]*\|([^{}]*)\}", r"\1", line)
            sections[-1].sentences.append(Sentence(written, spoken, shot, pause))
            pause = 0.0
    empty = [section.name for section in sections if not section.sentences]
    if empty or not sections:
        raise ScriptError(f"no sentences in {', '.join(empty) or 'the script'}")
    return sections


def say(text: str) -> Samples:
    """``text`` spoken by flite: mono samples from -1 to 1 at :data:`RATE`, silence at both ends trimmed off."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        command = ["flite", "-voice", VOICE, "--setf", f"duration_stretch={STRETCH}", "-t", text, "-o", str(path)]
        subprocess.run(command, check=True)
        with wave.open(str(path)) as sound:
            if (sound.getframerate(), sound.getnchannels(), sound.getsampwidth()) != (RATE, 1, 2):
                raise ScriptError(f"flite's voice {VOICE} no longer gives {RATE} Hz mono")
            samples = np.frombuffer(sound.readframes(sound.getnframes()), dtype="<i2") / 32768.0
    loud = np.flatnonzero(np.abs(samples) > 0.01)
    margin = RATE // 50
    return samples[max(0, loud[0] - margin) : loud[-1] + margin]


def lay_out(sections: list[Section], lengths_s: list[float]) -> list[Timed]:
    """Place the sentences, spoken in ``lengths_s`` seconds each, on the film's clock."""
    timed: list[Timed] = []
    clock, lengths = 0.0, iter(lengths_s)
    for index, section in enumerate(sections):
        for place, sentence in enumerate(section.sentences):
            if not timed:
                gap = FIRST_CARD_S + CARD_MARGIN_S
            elif place == 0:
                gap = SECTION_PAUSE_S
            else:
                gap = SHOT_PAUSE_S if sentence.shot != timed[-1].sentence.shot else SENTENCE_PAUSE_S
            start = clock + gap + sentence.pause_s
            clock = start + next(lengths)
            timed.append(Timed(sentence, index, start, clock))
    return timed


def spans(sections: list[Section], timed: list[Timed]) -> list[Span]:
    """What the picture shows when, from 0 to the end of the film, without gaps."""
    marks: list[tuple[float, str, str | None]] = []
    for before, now in zip([None, *timed], timed, strict=False):
        if before is None or before.section != now.section:
            marks.append((before.end_s + CARD_MARGIN_S if before else 0.0, "card", sections[now.section].title))
            marks.append((now.start_s - CARD_MARGIN_S, now.sentence.shot, None))
        elif before.sentence.shot != now.sentence.shot:
            marks.append(((before.end_s + now.start_s) / 2, now.sentence.shot, None))
    ends = [start for start, _, _ in marks[1:]] + [timed[-1].end_s + LAST_PICTURE_S]
    return [Span(start, end, shot, title) for (start, shot, title), end in zip(marks, ends, strict=True)]


def bench_noise(shown: list[Span], count: int) -> Samples:
    """A room's faint hiss, with a quiet machine, saw or sandpaper under the shots that have one."""
    chance = np.random.default_rng(7)
    white = chance.standard_normal(count)
    spectrum = np.fft.rfft(white)
    spectrum /= np.sqrt(np.maximum(np.arange(spectrum.size), 50 * count / RATE))  # pink above 50 Hz
    hiss = np.fft.irfft(spectrum, count)
    noise: Samples = hiss / hiss.std() * 0.0022
    clock = np.arange(count) / RATE
    for span in shown:
        part = slice(int(span.start_s * RATE), min(count, int(span.end_s * RATE)))
        t = clock[part] - span.start_s
        if span.shot == "machine":
            noise[part] += 0.004 * np.sin(2 * np.pi * 92 * t) * (0.6 + 0.4 * np.sin(2 * np.pi * 7 * t))
        elif span.shot in ("vise", "sanding"):
            stroke = np.clip(np.sin(2 * np.pi * 0.9 * t), 0, None) ** 2
            noise[part] += 0.006 * stroke * white[part]
        elif span.shot in ("mat", "punching", "holes"):
            for knock in np.arange(1.1, span.end_s - span.start_s - 0.3, 2.7):
                ring = np.clip(t - knock, 0, None)
                noise[part] += 0.02 * np.exp(-60 * ring) * np.sin(2 * np.pi * 310 * ring)
    return noise


def mix(timed: list[Timed], voices: list[Samples], shown: list[Span]) -> npt.NDArray[np.int16]:
    """The film's sound: 16-bit mono samples at :data:`RATE`."""
    sound = np.zeros(int(shown[-1].end_s * RATE))
    for place, samples in zip(timed, voices, strict=True):
        begin = round(place.start_s * RATE)
        sound[begin : begin + samples.size] += samples
    sound = 0.7 * sound / np.abs(sound).max() + bench_noise(shown, sound.size)
    return np.asarray(sound * 32767, dtype="<i2")


def pictures(shown: list[Span]) -> Iterator[bytes]:
    """The film's frames in order, as packed RGB."""
    import drawings

    before = "wall"
    for span in shown:
        first, last = (round(edge * FRAMES_A_SECOND) for edge in (span.start_s, span.end_s))
        if span.title is not None:
            card = drawings.card(span.title, light=before in drawings.DARK).tobytes()
            yield from itertools.repeat(card, last - first)
        else:
            for number in range(first, last):
                image = drawings.frame(span.shot, (number - first) / FRAMES_A_SECOND, (last - first) / FRAMES_A_SECOND)
                yield image.tobytes()
            before = span.shot


def film(path: Path, sound: npt.NDArray[np.int16], shown: list[Span]) -> None:
    """Encode sound and pictures as H.264 and AAC in MP4."""
    import ffmpeg
    import imageio_ffmpeg
    from drawings import HEIGHT, WIDTH

    with tempfile.TemporaryDirectory() as folder:
        voice = Path(folder) / "sound.wav"
        with wave.open(str(voice), "wb") as out:
            out.setnchannels(1)
            out.setsampwidth(2)
            out.setframerate(RATE)
            out.writeframes(sound.tobytes())
        picture = ffmpeg.input(
            "pipe:", format="rawvideo", pix_fmt="rgb24", s=f"{WIDTH}x{HEIGHT}", framerate=FRAMES_A_SECOND
        )
        made = Path(folder) / "film.mp4"
        options = {
            "vcodec": "libx264", "crf": 26, "preset": "slow", "tune": "animation", "pix_fmt": "yuv420p", "threads": 1,
            "acodec": "aac", "audio_bitrate": "72k", "ar": 44_100,
            "map_metadata": -1, "fflags": "+bitexact", "flags:v": "+bitexact", "flags:a": "+bitexact",
            "movflags": "+faststart",
        }  # fmt: skip
        encoder = ffmpeg.output(picture, ffmpeg.input(str(voice)), str(made), **options).run_async(
            cmd=[imageio_ffmpeg.get_ffmpeg_exe(), "-nostdin", "-loglevel", "error"], pipe_stdin=True
        )
        for image in pictures(shown):
            encoder.stdin.write(image)
        encoder.stdin.close()
        if encoder.wait() != 0:
            raise SystemExit("ffmpeg could not write the film; its own message is above")
        shutil.copyfile(made, path)


def clock(seconds: float) -> str:
    """``seconds`` as WebVTT writes it, e.g. ``00:01:05.250``."""
    milliseconds = round(seconds * 1000)
    minutes, rest = divmod(milliseconds, 60_000)
    return f"{minutes // 60:02}:{minutes % 60:02}:{rest // 1000:02}.{rest % 1000:03}"


def captions(timed: list[Timed]) -> str:
    """The true transcript as WebVTT, a cue a sentence."""
    cues = [f"{clock(place.start_s)} --> {clock(place.end_s)}\n{place.sentence.text}\n" for place in timed]
    return "\n".join(["WEBVTT\n", *cues])


def main(arguments: list[str] | None = None) -> None:
    options = argparse.ArgumentParser(description="Rebuild the sample film from script.txt.")
    options.add_argument("--times", action="store_true", help="print when each sentence begins; write nothing")
    options.add_argument("--out", type=Path, default=HERE, metavar="FOLDER", help="where to write (default: here)")
    asked = options.parse_args(arguments)
    if shutil.which("flite") is None:
        raise SystemExit("the voice is missing: install flite (Debian: apt install flite), then run this again")
    try:
        sections = parse((HERE / "script.txt").read_text(encoding="utf-8"))
    except ScriptError as error:
        raise SystemExit(f"script.txt, {error}") from None
    voices = [say(sentence.spoken) for section in sections for sentence in section.sentences]
    timed = lay_out(sections, [samples.size / RATE for samples in voices])
    shown = spans(sections, timed)
    if asked.times:
        for place in timed:
            section = sections[place.section].name
            print(
                f"{place.start_s:7.2f} {place.end_s:7.2f}  {section:8} {place.sentence.shot:13} {place.sentence.text}"
            )
        return
    film(asked.out / f"{NAME}.mp4", mix(timed, voices, shown), shown)
    (asked.out / f"{NAME}.truth.vtt").write_text(captions(timed), encoding="utf-8")
    print(f"{shown[-1].end_s:.1f} s of film in {asked.out}", file=sys.stderr)


if __name__ == "__main__":
    main()
