"""``buildlog footage``: a shot log of raw clips, and times carried over to the finished cut."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from buildlog.cli.common import hms, json_option, print_json, progress_bar, safe

if TYPE_CHECKING:
    from buildlog.document import Chapter
    from buildlog.intake import Tell
    from buildlog.outline.footage import Shot, ShotLog


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--cut", type=click.Path(path_type=Path), metavar="FILE", help="The cut: OpenTimelineIO (.otio) or CMX 3600 (.edl)."
)
@click.option(
    "--rate",
    type=click.FloatRange(1, 240),
    metavar="FPS",
    help="Frames a second of a CMX 3600 list; else the first clip's.",
)
@click.option(
    "--model", default="base", show_default=True, metavar="NAME", help="Speech model for clips without captions."
)
@click.option("--language", default="en", show_default=True, metavar="CODE", help="The language spoken.")
@json_option
def command(folder: Path, cut: Path | None, rate: float | None, model: str, language: str, as_json: bool) -> None:
    """Log a folder of raw clips: what each shows, which takes repeat a step, where nobody speaks.

    A clip's captions beside it (clip.vtt, clip.srt) are read; clips without are heard. With --cut every time is carried
    over to the finished video's clock, speed changes included, the cut gets its chapters, and what did not make it
    is said.
    Keeps nothing.
    """
    from buildlog.document import RecordingInfo
    from buildlog.intake import Hearing, sources, words_of
    from buildlog.outline.cutlist import carried_lines, read_cut
    from buildlog.outline.footage import shot_log
    from buildlog.reading import read

    found = sources([folder])
    hearing = Hearing(model=model, language=language)
    clips = []
    for source in found:
        name = source.path.name
        with progress_bar() as tell:
            words, _ = words_of(source, hearing, tell=_of_clip(name, tell), silent=True)
        info = RecordingInfo(path=name, duration_s=words.duration_s, sha256=words.sha256, model=words.model)
        clips.append((name, read(words.lines, info, pauses=words.pauses, cuts=words.cuts)))
    cut_list = None
    if cut is not None:
        durations = {name: log.recording.duration_s for name, log in clips}
        cut_list = read_cut(cut, durations, rate=rate or _rate_of(found[0].media))
    chapters: list[Chapter] = []
    if cut is not None and cut_list is not None:
        lines = carried_lines({name: clip.transcript for name, clip in clips}, cut_list)
        joins = [s.at_s for s in cut_list.shown if s.at_s > 0]
        info = RecordingInfo(path=cut.name, duration_s=cut_list.duration_s)
        chapters = read(lines, info, cuts=joins).chapters
    log = shot_log(clips, cut_list, chapters)
    if as_json:
        print_json(log)
        return
    for line in _lines(log):
        click.echo(line)


def _of_clip(name: str, tell: Tell) -> Tell:
    """``tell``, saying which clip it is about."""
    return lambda what, done_s, total_s, left_s: tell(f"{name}: {what}", done_s, total_s, left_s)


def _rate_of(media: Path | None) -> float:
    if media is None:
        return 24.0
    from buildlog.media import probe

    video = probe(media).video
    return video.frame_rate if video is not None and video.frame_rate else 24.0


def _lines(log: ShotLog) -> list[str]:
    out: list[str] = []
    for shot in log.shots:
        out.append(f"{safe(shot.clip)} ({hms(shot.duration_s)}): {safe(shot.shows)}")
        out += [line for _, line in sorted(_told(shot), key=lambda pair: pair[0])]
        if log.cut_s is not None and not shot.uses:
            out.append("           not in the cut")
        for u in shot.uses:
            pace = "" if u.speed == 1 else ", a held frame" if u.speed == 0 else f", at {u.speed:g} times the speed"
            within = f", in “{safe(u.chapter)}”" if u.chapter else ""
            out.append(f"           in the cut from {hms(u.start_s)} to {hms(u.end_s)}{pace}{within}")
    if log.takes:
        out += ["", "Steps with several takes"]
        out += [
            f"  {t.number}. {safe(t.text)} " + ", ".join(f"{safe(c)} at {hms(s)}" for c, s in t.places)
            for t in log.takes
        ]
    if log.cut_s is not None:
        out += ["", f"Chapters of the cut ({hms(log.cut_s)})"]
        out += [f"  {hms(c.start_s):>7}  {safe(c.title)}" for c in log.chapters]
        out += ["", "Not in the cut" if log.left_out else "Everything told made the cut."]
        out += [f"  {safe(t)}" for t in log.left_out]
    return out


def _told(shot: Shot) -> list[tuple[float, str]]:
    """Steps and silences of a clip as lines, each with its second."""
    out: list[tuple[float, str]] = []
    for m in shot.steps:
        take = f"  [take of {m.take_of}]" if m.take_of else ""
        there = "" if m.cut_s is None else "  -> " + (", ".join(hms(t) for t in m.cut_s) or "not in the cut")
        out.append((m.start_s, f"  {hms(m.start_s):>7}  {safe(m.text)}{take}{there}"))
    for q in shot.silences:
        there = "".join(f"  -> {hms(a)} to {hms(b)}" for a, b in q.cut_s or ())
        out.append((q.start_s, f"  {hms(q.start_s):>7}  nobody speaks until {hms(q.end_s)}{there}"))
    return out
