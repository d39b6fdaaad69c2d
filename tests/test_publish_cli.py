"""``buildlog write``, ``check`` and ``links`` as a maker types them."""

from __future__ import annotations

import json
from pathlib import Path

import msgspec
import pytest
from cli_run import run
from media_maker import make
from publish_log import pouch

from buildlog.archive import Archive
from buildlog.document import Log, RecordingInfo, Step, to_json
from buildlog.publish import BoxSettings
from buildlog.publish.formats import FORMATS
from buildlog.publish.stills import step_stills

Capsys = pytest.CaptureFixture[str]


def take(tmp_path: Path, capsys: Capsys) -> None:
    (tmp_path / "pouch.json").write_bytes(to_json(pouch()))
    assert run(capsys, "take", tmp_path / "pouch.json", "--build", "Pouch", "--no-box").code == 0


def test_write_prints_the_box_and_says_its_size(tmp_path: Path, capsys: Capsys) -> None:
    take(tmp_path, capsys)
    ran = run(capsys, "write")
    assert ran.code == 0
    assert ran.out.startswith("Pouch, a build log in 3 steps.\n")
    assert f"{len(ran.out.encode())} of 5000 bytes" in ran.err


def test_every_format_goes_into_a_folder(tmp_path: Path, capsys: Capsys) -> None:
    take(tmp_path, capsys)
    ran = run(capsys, "write", "--every", "--to", tmp_path / "out", "--json")
    written = json.loads(ran.out)["written"]
    assert sorted(Path(w).name for w in written) == sorted("pouch" + ending for ending, _, _ in FORMATS.values())
    assert all(Path(w).stat().st_size for w in written)
    assert not [p for p in (tmp_path / "out").iterdir() if p.name.startswith(".")]


def test_one_file_and_a_log_document(tmp_path: Path, capsys: Capsys) -> None:
    (tmp_path / "pouch.json").write_bytes(to_json(pouch()))
    assert run(capsys, "write", "--log", tmp_path / "pouch.json", "--as", "srt", "--to", tmp_path / "a.srt").code == 0
    assert (tmp_path / "a.srt").read_text().startswith("1\n00:00:00,000 --> ")


def test_what_is_remembered_holds_for_the_next_time(tmp_path: Path, capsys: Capsys) -> None:
    take(tmp_path, capsys)
    (tmp_path / "own.j2").write_text("Mine: {{ title }}\n")
    run(capsys, "write", "--units", "metric", "--template", tmp_path / "own.j2", "--remember")
    assert run(capsys, "write").out == "Mine: Pouch\n"
    assert "45 cm (1/2 yd)" in run(capsys, "write", "--as", "markdown").out.replace("\\", "")


def test_settings_in_a_file(tmp_path: Path, capsys: Capsys) -> None:
    """What goes first where a host is short, the maker's own words, hashtags: kept if wanted."""
    take(tmp_path, capsys)
    few, own = tmp_path / "few.toml", tmp_path / "own.toml"
    few.write_text('about = "x"\nunit = "characters"\nlimit = 540\n', "utf-8")
    own.write_text('intro = "My pouch."\nhashtags = ["canvas"]\ncut_order = ["materials", "tools"]\n', "utf-8")
    ran = run(capsys, "write", "--settings", own, "--host", few)
    assert ran.out.startswith("My pouch.\n")
    assert ran.out.endswith("#canvas\n")
    assert "materials" in ran.err
    assert "steps" not in ran.err
    assert run(capsys, "write").out.startswith("Pouch, ")  # nothing was to be kept
    assert run(capsys, "write", "--settings", own, "--remember").code == 0
    assert run(capsys, "write").out.startswith("My pouch.\n")
    names = [row.split()[0] for row in run(capsys, "write", "--formats").out.split("--settings FILE\n")[1].splitlines()]
    assert names == [f.name for f in msgspec.structs.fields(BoxSettings)]
    for wrong in ("colour = 1\n", "cut_order = ['nothing']\n", "intro", "units = 'ells'\n"):
        own.write_text(wrong, "utf-8")
        ran = run(capsys, "write", "--settings", own, "--remember")
        assert (ran.code, ran.out, len(ran.err.splitlines())) == (2, "", 1)


def test_where_a_part_was_posted(tmp_path: Path, capsys: Capsys) -> None:
    """Then its page links to the second, and other parts link to it."""
    take(tmp_path, capsys)
    told = ("--video-url", "https://v.example/w?v=a", "--posted-on", "2026-03-01", "--title", "The body")
    assert "posted 2026-03-01  https://v.example/w?v=a" in run(capsys, "builds", "Pouch", "--part", 1, *told).out
    assert 'href="https://v.example/w?v=a&amp;t=70"' in run(capsys, "write", "--as", "html").out
    assert run(capsys, "write").out.startswith("The body.\n")
    assert "v.example" not in run(capsys, "builds", "--video-url", "").out  # taken away again
    for wrong in (("--video-url", "javascript:1"), ("--posted-on", "yesterday"), ("--part", 7, "--title", "x")):
        ran = run(capsys, "builds", "Pouch", *wrong)
        assert (ran.code, ran.out, len(ran.err.splitlines())) == (2, "", 1)


@pytest.mark.parametrize(
    "args",
    [
        ("--as", "nonsense"),
        ("--host", "nowhere"),
        ("--every",),
        ("--template", "/no/such/file"),
        ("--log", "/no/such/file"),
        ("--whole-build", "--as", "vtt"),
        ("--to", "/proc/nothing/here", "--as", "srt"),
        ("--chapters-into", "/tmp/x.txt"),
    ],
)
def test_what_cannot_be_done_is_one_line(tmp_path: Path, capsys: Capsys, args: tuple[str, ...]) -> None:
    take(tmp_path, capsys)
    ran = run(capsys, "write", *args)
    assert ran.code == 2
    assert ran.out == ""
    assert ran.err.splitlines()[-1].startswith("buildlog: ")


def test_check_says_whether_it_is_ready(tmp_path: Path, capsys: Capsys) -> None:
    take(tmp_path, capsys)
    ran = run(capsys, "check")
    assert ran.code == 3
    assert "Link owed: linen thread." in ran.out
    found = json.loads(run(capsys, "check", "--json").out)
    assert found["ready"] is False
    assert run(capsys, "check", "--accept", 1).code == 0
    assert json.loads(run(capsys, "check", "--json").out)["ready"] is True
    assert run(capsys, "check", "--accept", 99).code == 2


def test_links_from_the_command_line(tmp_path: Path, capsys: Capsys, home: Path) -> None:
    take(tmp_path, capsys)
    assert (
        run(capsys, "links", "add", "linen thread", "https://s.example/a", "--price", 4.5, "--currency", "gbp").code
        == 0
    )
    assert run(capsys, "check").code == 0  # the promise is kept
    ran = run(capsys, "links", "list")
    assert "£4.50" in ran.out
    assert "used in Pouch, part 1" in ran.out
    ran = run(capsys, "links", "mend", "https://s.example/a", "--with", "https://s.example/b")
    assert "https://s.example/b" in ran.out
    table = run(capsys, "links", "export", tmp_path / "book.csv")
    assert table.code == 0
    with Archive.open(home / "archive.sqlite3") as opened:
        opened.links.remove(opened.links.all()[0].id)
    assert run(capsys, "links", "import", tmp_path / "book.csv").code == 0
    assert json.loads(run(capsys, "links", "list", "--json").out)[0]["entry"]["url"] == "https://s.example/b"
    assert run(capsys, "links", "add", "awl", "javascript:alert(1)").code == 2
    assert run(capsys, "links", "import", tmp_path / "none.csv").code == 2


def test_stills_are_taken_from_the_middle_of_each_step(tmp_path: Path) -> None:
    """Four seconds of red, then of blue; the second clip of the cut is the first of the part."""
    from PIL import Image

    from buildlog.archive import Clip, Cut

    film = make(tmp_path / "a.mp4", "color=red:d=4:s=320x180:r=10[a];color=blue:d=4:s=320x180:r=10[b];[a][b]concat")
    clips = (Clip(recording_id=1, in_s=4.0, out_s=8.0), Clip(recording_id=1, in_s=0.0, out_s=4.0))
    steps = [Step(id="s1", start_s=1, end_s=3, text="x"), Step(id="s2", start_s=5, end_s=7, text="y")]
    steps.append(Step(id="s3", start_s=5, end_s=7, text="z", on_camera=False))
    log = Log(recording=RecordingInfo(path="a", duration_s=8.0), steps=steps)
    made = step_stills(log, Cut(clips=clips), {1: film})
    assert sorted(made) == ["s1", "s2"]
    import io

    colors = {k: Image.open(io.BytesIO(v)).convert("RGB").getpixel((5, 5)) for k, v in made.items()}
    red, blue = colors["s2"], colors["s1"]
    assert isinstance(red, tuple)
    assert isinstance(blue, tuple)
    assert red[0] > 200 > red[2]
    assert blue[2] > 200 > blue[0]
