"""Hearing real speech with the real weights (tiny.en): words, times, silence, stopping and taking up again."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from itertools import pairwise
from pathlib import Path

import msgspec
import numpy as np
import pytest
from media_maker import STRAPS, STRAPS_WORDS, ffmpeg, make, spoken_at

from buildlog.errors import BadInput, BuildlogError, Interrupted, MissingModel
from buildlog.listen import Heard, Progress, hear


def words_of(heard: Heard) -> list[str]:
    return [w.text.lower().strip(".,") for line in heard.lines for w in line.words]


def check_times(heard: Heard) -> None:
    at = 0.0
    for line in heard.lines:
        assert line.words
        assert line.start_s == line.words[0].start_s
        assert line.end_s == line.words[-1].end_s
        assert line.text == " ".join(w.text for w in line.words)
        for word in line.words:
            assert at <= word.start_s <= word.end_s <= heard.duration_s + 0.5
            assert type(word.start_s) is type(word.p) is float
            assert 0 <= word.p <= 1
            at = word.end_s


def test_words_with_their_times(tmp_path: Path) -> None:
    heard = hear(spoken_at(tmp_path / "a.wav", [12.0], 30.0), model="tiny.en")
    assert set(STRAPS_WORDS) <= set(words_of(heard))
    check_times(heard)
    assert heard.lines[0].start_s == pytest.approx(12.0, abs=0.4)
    assert heard.lines[-1].end_s == pytest.approx(16.2, abs=0.6)
    assert heard.duration_s == pytest.approx(30)
    assert heard.lost == []
    assert [round(p.start_s) for p in heard.pauses] == [0, 16]
    assert msgspec.json.decode(msgspec.json.encode(heard), type=Heard) == heard


def test_batched_hears_the_same_words(tmp_path: Path) -> None:
    path = spoken_at(tmp_path / "a.wav", [1.0, 8.0], 14.0)
    heard = hear(path, model="tiny.en", batched=True)
    assert words_of(heard).count("canvas") == 2
    check_times(heard)


@pytest.mark.parametrize("source", ["anullsrc=d=20", "anoisesrc=a=0.02:c=pink:d=20", "sine=f=200:d=20"])
def test_where_nobody_speaks_there_are_no_lines(tmp_path: Path, source: str) -> None:
    heard = hear(make(tmp_path / "a.wav", source), model="tiny.en")
    assert (heard.lines, heard.lost) == ([], [])
    assert heard.pauses[0].end_s == pytest.approx(20, abs=0.1)


def test_the_track_asked_for_is_heard(tmp_path: Path) -> None:
    film = tmp_path / "two.mkv"
    ffmpeg("-f", "lavfi", "-i", "sine=d=5", "-i", STRAPS, "-f", "lavfi", "-i", "testsrc2=s=64x64:d=5",
           "-map", "0", "-map", "1", "-map", "2", film)  # fmt: skip
    assert hear(film, model="tiny.en", track=1).lines == []
    assert "canvas" in words_of(hear(film, model="tiny.en", track=2))
    with pytest.raises(BadInput, match="choose 1 to 2"):
        hear(film, model="tiny.en", track=3)


def test_what_was_heard_is_not_heard_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = hear(STRAPS, model="tiny.en", cache=tmp_path)
    renamed = tmp_path / "same bytes.ogg"
    renamed.write_bytes(STRAPS.read_bytes())
    told: list[Progress] = []
    with monkeypatch.context() as patch:
        patch.setattr("buildlog.listen.hearing.load", lambda _: pytest.fail("the model was loaded"))
        assert hear(renamed, model="tiny.en", cache=tmp_path, progress=told.append) == first
    assert told == []
    (kept,) = (tmp_path / "heard").iterdir()
    (kept / "heard.json").write_bytes(b'{"half')
    assert hear(STRAPS, model="tiny.en", cache=tmp_path) == first, "a damaged file is heard again"


LONG_S = 345.0
SAID_AT = [5.0, 285.0, 338.0]
# A background job of a shell is started with Ctrl-C ignored: the child asks for it again. After the first window it
# takes its time over every bit of progress, so that it is still at work when the signal comes.
CODE = """
import signal, sys, time
from pathlib import Path
from buildlog.listen import hear
signal.signal(signal.SIGINT, signal.default_int_handler)
def told(p):
    print(p.done_s, flush=True)
    if list(Path(sys.argv[2]).glob("heard/*/window-00000.json")):
        time.sleep(0.5)
hear(sys.argv[1], model="tiny.en", cache=Path(sys.argv[2]), progress=told)
"""


@pytest.fixture(scope="module")
def long_recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return spoken_at(tmp_path_factory.mktemp("long") / "long.wav", SAID_AT, LONG_S)


@pytest.fixture(scope="module")
def heard_in_one_go(long_recording: Path) -> Heard:
    return hear(long_recording, model="tiny.en", cache=long_recording.parent)


def test_windows_join_up(heard_in_one_go: Heard) -> None:
    check_times(heard_in_one_go)
    canvas = [w.start_s for line in heard_in_one_go.lines for w in line.words if w.text.lower().startswith("canvas")]
    # A window put on the wrong clock errs by its overlap or more; a word's own time by up to 0.7 s, as the processor rounds.
    assert canvas == pytest.approx([t + 1.45 for t in SAID_AT], abs=1.0)


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGINT])
def test_killed_and_taken_up_again(
    long_recording: Path, heard_in_one_go: Heard, tmp_path: Path, how: signal.Signals
) -> None:
    process = subprocess.Popen(
        [sys.executable, "-c", CODE, str(long_recording), str(tmp_path)],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    limit = time.monotonic() + 120
    while not list(tmp_path.glob("heard/*/window-00000.json")):
        assert process.poll() is None, "ended before it could be killed"
        assert time.monotonic() < limit
        time.sleep(0.005)
    process.send_signal(how)
    process.wait(60)
    assert process.returncode != 0
    assert not list(tmp_path.glob("heard/*/heard.json"))
    told: list[Progress] = []
    assert hear(long_recording, model="tiny.en", cache=tmp_path, progress=told.append) == heard_in_one_go
    assert told[0].done_s > 240, "the first window was not heard again"
    assert [p.name for p in tmp_path.glob("heard/*/*")] == ["heard.json"]


def test_progress_and_stopping(long_recording: Path, heard_in_one_go: Heard, tmp_path: Path) -> None:
    told: list[Progress] = []  # how many there are depends on how the processor rounds: stopped at the second
    with pytest.raises(Interrupted):
        hear(long_recording, model="tiny.en", cache=tmp_path, progress=told.append, cancelled=lambda: len(told) > 1)
    assert all(a.done_s <= b.done_s for a, b in pairwise(told))
    assert told[-1].total_s == pytest.approx(LONG_S)
    assert told[-1].left_s is not None
    assert hear(long_recording, model="tiny.en", cache=tmp_path) == heard_in_one_go


def test_nothing_is_printed(tmp_path: Path) -> None:
    code = CODE.replace(", progress=told", "")
    done = subprocess.run([sys.executable, "-c", code, str(STRAPS), str(tmp_path)], capture_output=True, check=True)
    assert (done.stdout, done.stderr) == (b"", b"")


def test_a_full_disk_is_said_in_one_line(tmp_path: Path) -> None:
    program = (
        "import resource, signal, sys\nfrom pathlib import Path\nfrom buildlog.listen import hear\n"
        "from buildlog.errors import BuildlogError\nfrom buildlog import weights\nweights.resolve('tiny.en')\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\nresource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))\n"
        "try:\n    hear(sys.argv[1], model='tiny.en', cache=Path(sys.argv[2]))\n"
        "except BuildlogError as e:\n    print(e)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, str(STRAPS), str(tmp_path)], capture_output=True, text=True, check=False
    )
    assert done.stdout.startswith("could not keep what was heard"), done
    assert done.stdout.count("\n") == 1
    assert list(tmp_path.glob("heard/*/*")) == []


def test_what_cannot_be_heard(tmp_path: Path) -> None:
    silent_film = make(tmp_path / "mute.mp4", "testsrc2=s=64x64:d=1", options=("-pix_fmt", "yuv420p"))
    with pytest.raises(BadInput, match="has no sound"):
        hear(silent_film, model="tiny.en")
    with pytest.raises(BadInput, match="use the model base"):
        hear(STRAPS, model="tiny.en", language="de")
    with pytest.raises(BuildlogError, match="no speech model is called"):
        hear(STRAPS, model="../../etc")


def test_weights_that_cannot_be_loaded(tmp_path: Path) -> None:
    from buildlog.weights import resolve

    folder = tmp_path / "own"
    folder.mkdir()
    for name in ("config.json", "tokenizer.json", "vocabulary.txt"):
        (folder / name).write_bytes((resolve("tiny.en").folder / name).read_bytes())
    (folder / "model.bin").write_bytes(np.random.default_rng(0).bytes(10_000))
    with pytest.raises(MissingModel, match="cannot be loaded") as caught:
        hear(STRAPS, model=str(folder))
    assert "\n" not in str(caught.value)
