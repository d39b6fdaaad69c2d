"""Taking recordings in: from files on disk to readings in the archive.

Used by the command line and by faces alike. Each stage's result is kept under a hash of what went into it, so that
nothing is heard or read twice; a recording appears in the archive only when all of it is there.
"""

from __future__ import annotations

import functools
import hashlib
import os
import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import msgspec

from buildlog.archive import Archive, Part, Recording, key_of
from buildlog.archive.builds import clean_name
from buildlog.document import Check, Line, Log, RecordingInfo, from_json
from buildlog.edits import clean_text, problems
from buildlog.errors import BadInput, one_line

if TYPE_CHECKING:
    from buildlog.listen import Heard

TRANSCRIPTS = {".vtt", ".srt", ".txt", ".json"}
# What a folder is searched for; a file that is named outright may be called anything.
MEDIA = {
    ".3gp", ".aac", ".aif", ".aiff", ".avi", ".flac", ".flv", ".m2ts", ".m4a", ".m4v", ".mkv", ".mov", ".mp3", ".mp4",
    ".mpeg", ".mpg", ".mts", ".mxf", ".oga", ".ogg", ".ogv", ".opus", ".ts", ".wav", ".webm", ".wma", ".wmv",
}  # fmt: skip

NO_SPEECH = "no speech was heard, so there is nothing to list; check the audio track (--track), or give a transcript"

# (what is being done, seconds of the recording done, seconds in all, seconds of waiting left or None)
Tell = Callable[[str, float, float, float | None], None]


class Source(NamedTuple):
    """A recording to take in: a media file, its transcript, or both."""

    media: Path | None
    transcript: Path | None

    @property
    def path(self) -> Path:
        """The file that the recording is known by."""
        found = self.media or self.transcript
        assert found is not None
        return found


class Hearing(msgspec.Struct, frozen=True, kw_only=True):
    """How to hear: see :func:`buildlog.listen.hear`."""

    model: str = "base"
    language: str = "en"
    track: int | None = None
    batched: bool = False


class Taken(msgspec.Struct, frozen=True, kw_only=True):
    """What was taken in, and what of it had to be done anew."""

    part: Part
    recording: Recording
    log: Log
    heard_anew: bool
    read_anew: bool


class Words(NamedTuple):
    """The words of a recording and what else hearing or looking at it told."""

    lines: list[Line]
    duration_s: float
    sha256: str
    model: str | None
    pauses: list[tuple[float, float]]
    cuts: list[float]
    lost: list[tuple[float, float]]


def _natural(path: Path) -> list[tuple[int, str]]:
    """Sorts "clip 2" before "clip 10"."""
    return [(int(t), "") if t.isdigit() else (0, t.casefold()) for t in re.split(r"(\d+)", path.name)]


def sources(paths: Sequence[Path], transcript: Path | None = None) -> list[Source]:
    """What to take in from ``paths``: files, or folders whose media and transcripts of one name belong together.

    ``transcript`` is the transcript of the one media file named. Raises :class:`BadInput`.
    """
    found: list[Source] = []
    for path in paths:
        _check_name(path)
        if path.is_dir():
            found += _in_folder(path)
        elif path.suffix.lower() in TRANSCRIPTS:
            found.append(Source(None, path))
        else:
            found.append(Source(path, None))
    if transcript is not None:
        _check_name(transcript)
        if len(found) != 1 or found[0].media is None:
            raise BadInput("a transcript goes with one media file; name exactly one beside it")
        found = [Source(found[0].media, transcript)]
    return found


def _check_name(path: Path) -> None:
    try:
        str(path).encode()
    except UnicodeEncodeError as error:
        raise BadInput(f"the name {one_line(path.name, 120)} is not valid text; rename the file") from error


def _in_folder(folder: Path) -> list[Source]:
    try:
        files = sorted((p for p in folder.iterdir() if p.is_file() and not p.name.startswith(".")), key=_natural)
    except OSError as error:
        raise BadInput(f"cannot look into {one_line(folder)}: {error.strerror}; change its permissions") from error
    words: dict[str, Path] = {}
    for path in files:
        if path.suffix.lower() in TRANSCRIPTS:
            words.setdefault(path.stem, path)
    found = [Source(p, words.pop(p.stem, None)) for p in files if p.suffix.lower() in MEDIA]
    # A note or a list of shots may lie there too: only captions are sure to be transcripts.
    found += [Source(None, p) for p in words.values() if p.suffix.lower() in (".vtt", ".srt")]
    if not found:
        raise BadInput(f"there are no recordings in {one_line(folder)}; name a folder with video, audio or captions")
    for source in found:
        _check_name(source.path)
    return found


def words_of(
    source: Source,
    hearing: Hearing,
    *,
    tell: Tell | None = None,
    known: Callable[[str], Heard | None] | None = None,
    silent: bool = False,
) -> tuple[Words, Heard | None]:
    """The words of a source; the second value is what was heard anew (``None`` where nothing had to be heard).

    ``known`` is asked, by the file's sha256, for what was heard before. A film without a sound track has no words where
    ``silent`` allows it, and raises :class:`BadInput` where not.
    """
    from buildlog.media import sha256_of

    if source.media is None:
        return _transcript_only(source.path), None
    from buildlog.media import probe

    info = probe(source.media)
    new: Heard | None = None
    if source.transcript is not None:
        from buildlog.listen import transcript

        lines = transcript.read(source.transcript)
        if lines and lines[0].start_s > info.duration_s:
            raise BadInput(
                f"{one_line(source.transcript.name, 120)} begins after {one_line(source.media.name, 120)} ends; "
                "give the transcript of this recording"
            )
        sha256, model = sha256_of(source.media), None
        pauses: list[tuple[float, float]] = []
        lost: list[tuple[float, float]] = []
    elif silent and not info.audio:
        lines, sha256, model, pauses, lost = [], sha256_of(source.media), None, [], []
    else:
        from buildlog.listen import hear

        sha256 = sha256_of(source.media)
        heard = None if known is None else known(sha256)
        if heard is None:
            heard = new = hear(
                source.media,
                model=hearing.model,
                language=hearing.language,
                track=hearing.track,
                batched=hearing.batched,
                progress=None if tell is None else lambda p: tell("hearing", p.done_s, p.total_s, p.left_s),
            )
        lines, model = heard.lines, heard.model
        pauses = [(p.start_s, p.end_s) for p in heard.pauses]
        lost = [(p.start_s, p.end_s) for p in heard.lost]
    cuts: list[float] = []
    if info.video is not None:
        from buildlog.media import scene_cuts

        if tell is not None:
            tell("looking for changes of picture", 0.0, info.duration_s, None)
        cuts = scene_cuts(source.media)
    return Words(lines, info.duration_s, sha256, model, pauses, cuts, lost), new


def _transcript_only(path: Path) -> Words:
    from buildlog.listen import transcript
    from buildlog.media import sha256_of

    lines = transcript.read(path)
    end = max((line.end_s for line in lines), default=0.0)
    return Words(lines, end, sha256_of(path), None, [], [], [])


def whole_log(source: Source) -> Log | None:
    """The log where the source is a log document that somebody read already; ``None`` if it is only words.

    Raises :class:`BadInput` for a document that contradicts itself.
    """
    if source.media is not None or source.path.suffix.lower() != ".json":
        return None
    from buildlog.media.opening import check_file

    log = from_json(check_file(source.path).read_bytes())
    if not (log.steps or log.items or log.chapters):
        return None
    wrong = problems(log)
    if wrong:
        raise BadInput(f"{one_line(source.path.name, 120)} contradicts itself: {one_line(wrong[0])}; write it anew")
    return log


def _words_in(log: Log, source: Source) -> Words:
    from buildlog.media import sha256_of

    end = max((line.end_s for line in log.transcript), default=0.0)
    duration = max(log.recording.duration_s, end)
    return Words(log.transcript, duration, sha256_of(source.path), log.recording.model, [], [], [])


def read_words(words: Words, name: str, *, own_words: Mapping[str, str] | None = None, tell: Tell | None = None) -> Log:
    """The log of a recording called ``name``: tagged and outlined, with a check for speech that gave no words."""
    from buildlog.reading import read

    if tell is not None:
        tell("reading", 0.0, words.duration_s, None)
    info = RecordingInfo(path=name, duration_s=words.duration_s, sha256=words.sha256, model=words.model)

    def shared(share: float) -> None:
        if tell is not None:
            tell("reading", share * words.duration_s, words.duration_s, None)

    log = read(words.lines, info, pauses=words.pauses, cuts=words.cuts, own_words=own_words, progress=shared)
    if not words.lines:
        log.checks.append(Check(kind="silence", start_s=0.0, text=NO_SPEECH))
    log.checks = [
        *log.checks,
        *(
            Check(
                kind="lost_speech",
                start_s=start,
                text=f"Somebody speaks for {end - start:.0f} seconds here, but no words were made out.",
                times=[start, end],
            )
            for start, end in words.lost
        ),
    ]
    return log


@functools.cache
def rules_version() -> str:
    """A hash of the rules and craft words that turn words into a log, so that better ones read a recording anew."""
    here = Path(__file__).parent
    digest = hashlib.sha256()
    for folder in ("tag", "outline", "crafts"):
        for path in sorted((here / folder).rglob("*")):
            if path.suffix in (".py", ".toml", ".json", ".cfg"):
                digest.update(path.relative_to(here).as_posix().encode() + b"\0" + path.read_bytes())
    digest.update((here / "reading.py").read_bytes() if (here / "reading.py").is_file() else b"")
    return digest.hexdigest()


def take_in(
    archive: Archive,
    source: Source,
    *,
    build: str,
    number: int | None = None,
    title: str | None = None,
    instead: bool = False,
    hearing: Hearing | None = None,
    again: bool = False,
    tell: Tell | None = None,
) -> Taken:
    """Hear and read a source and keep it in the build called ``build``.

    Without ``number`` it goes where it is already, else into a new part. With ``instead`` it takes the place of the
    part's recordings, as the same film exported again. ``again`` reads it anew even if nothing
    changed (what was heard stays). Raises :class:`BuildlogError`; then nothing of it is in the archive.
    """
    hearing = hearing or Hearing()
    build = clean_name(build, "build's name")
    if number is not None and number < 1:
        raise BadInput(f"a part cannot have the number {number}; count from 1")
    heard_key = key_of(hearing.model, hearing.language, hearing.track, hearing.batched)

    def known(sha256: str) -> Heard | None:
        recording = archive.builds.recording_with(sha256)
        body = None if recording is None else archive.readings.body(recording.id, "heard", heard_key)
        if body is None:
            return None
        from buildlog.listen import Heard

        try:
            return msgspec.json.decode(body, type=Heard)
        except msgspec.MsgspecError:
            return None  # from a version that heard otherwise

    ready = whole_log(source)
    words, new = (_words_in(ready, source), None) if ready else words_of(source, hearing, tell=tell, known=known)
    own = {name: w.kind for w in archive.words.all() for name in (w.term, *w.aliases)}
    key = key_of(words.lines, words.pauses, words.cuts, words.lost, own, rules_version())
    before = archive.builds.recording_with(words.sha256)
    newest = None if before is None else archive.readings.newest(before.id)
    log: Log | None = None
    if before is not None and newest is not None and newest.key == key and not again:
        log = archive.readings.log(before.id)
    read_anew = log is None
    if log is None:
        log = ready or read_words(words, source.path.name, own_words=own, tell=tell)
    with archive.store.write():
        recording = archive.builds.keep_recording(
            os.fspath(source.path.absolute()),
            sha256=words.sha256,
            duration_s=words.duration_s,
            facts={"transcript": os.fspath(source.transcript.absolute())} if source.transcript else {},
        )
        if new is not None:
            archive.readings.keep(recording.id, "heard", heard_key, msgspec.json.encode(new))
        if read_anew:
            archive.readings.keep_log(recording.id, key, log)
        part = _part_for(archive, build, number, title, recording)
        if instead:
            archive.builds.replace_recordings(part.id, recording.id)
        else:
            archive.builds.add_recording(part.id, recording.id)
    return Taken(part=part, recording=recording, log=log, heard_anew=new is not None, read_anew=read_anew)


def _part_for(archive: Archive, build: str, number: int | None, title: str | None, recording: Recording) -> Part:
    kept = archive.builds.make(build)
    if number is None:
        there = set(archive.builds.parts_with(recording.id))
        for part in archive.builds.parts(kept.id):
            if part.id in there:
                return part if title is None else archive.builds.set_part(part.id, title=title)
    return archive.builds.make_part(kept.id, number, title)


def name_for(path: Path) -> str:
    """A build's name from a file's or folder's: "tool-roll_final.mp4" gives "tool roll final"."""
    path = path.absolute()
    stem = path.name if path.is_dir() else path.stem
    return clean_text(re.sub(r"[-_.\s]+", " ", stem)) or "untitled"
