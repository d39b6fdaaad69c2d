"""Whatever is done in whatever order: the log stays sound, and undoing all of it gives the first log back."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

from bench_log import tool_roll
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildlog import edits as e
from buildlog.archive import Archive, key_of
from buildlog.document import Log, Price, to_json
from buildlog.errors import BadInput, NotFound

names = st.sampled_from(["canvas", "tape", "Awl", "waxed cord", "bias cape", "x", "half"]) | st.text(
    min_size=1, max_size=12
)
times = st.floats(0, 130, allow_nan=False).map(lambda t: round(t, 1))
amounts = st.builds(e.Amount, value=st.floats(0, 100), unit=st.sampled_from([None, "inch", "yard"]))
urls = st.sampled_from([None, "https://a.example/x", "http://b.example"])


@st.composite
def any_edit(draw: st.DrawFn, log: Log) -> e.AnyEdit:
    """An edit of something that is in the log, or of something that is not."""
    every: list[Any] = [
        *log.items, *log.techniques, *log.measurements, *log.steps, *log.links_owed, *log.notes, *log.chapters,
        *log.pieces, *log.repairs,
    ]  # fmt: skip
    anchors = st.builds(
        e.Anchor, of=st.sampled_from(["item", "step", "chapter", "technique"]), name=names, start_s=times
    )
    if every:
        anchors = st.sampled_from(every).map(e.anchor) | anchors

    def of(kind: str) -> st.SearchStrategy[e.Anchor]:
        fitting = [e.anchor(t) for t in every if e.anchor(t).of == kind]
        return st.sampled_from(fitting) if fitting else anchors

    at, item, step, chapter = draw(anchors), draw(of("item")), draw(of("step")), draw(of("chapter"))
    other_item, other_step = draw(of("item")), draw(of("step"))
    name, text = draw(names), draw(names)
    start = draw(times)
    end = start + draw(st.floats(0, 20))
    everywhere = draw(st.booleans())
    word = draw(st.sampled_from([w for x in log.transcript for w in x.words] or [None]))
    spans = tuple(e.Span(start_s=t, end_s=t + 1) for t in draw(st.lists(times, max_size=3)))
    choices: list[e.AnyEdit] = [
        e.Accept(at=at, everywhere=everywhere),
        e.AcceptAbove(confidence=draw(st.floats(0, 1))),
        e.NotAThing(at=at, everywhere=everywhere),
        e.Rename(at=at, name=name, everywhere=everywhere),
        e.Rename(at=item, name=name),
        e.SetKind(at=item, kind=draw(st.sampled_from(["material", "tool", "technique", "pattern"]))),
        e.SetKind(at=draw(of("technique")), kind=draw(st.sampled_from(["material", "tool"]))),
        e.SetStatus(at=item, status=draw(st.sampled_from(["used", "considered"])), instead_of=draw(st.none() | names)),
        e.Merge(at=item, into=other_item),
        e.Split(at=item, mentions=spans, name=name),
        e.AddItem(start_s=start, end_s=end, text=text, name=name),
        e.AddTechnique(start_s=start, end_s=end, text=text, name=name),
        e.SetAmount(at=draw(of("measurement")), amount=draw(amounts)),
        e.AddMeasurement(start_s=start, text=text, amount=draw(amounts), item=item, piece=draw(st.none() | names)),
        e.SetOwner(at=draw(of("measurement")), item=draw(st.none() | of("item"))),
        e.SetPrice(at=item, price=Price(amount=1.0)),
        e.AttachUrl(at=draw(of("item") | of("link")), url=draw(urls)),
        e.WaiveLink(at=draw(of("link"))),
        e.AddLink(start_s=start, text=text, what=name, item=draw(st.none() | of("item"))),
        e.RewordStep(at=step, text=text, everywhere=everywhere),
        e.AddStep(start_s=start, end_s=end, text=text, piece=draw(st.none() | names)),
        e.RemoveStep(at=step),
        e.MoveStep(at=step, before=other_step),
        e.MergeSteps(at=step, other=other_step),
        e.SplitStep(at=step, start_s=start, first=name, second=text),
        e.SetPiece(at=step, piece=draw(st.none() | names)),
        e.MarkOnCamera(at=step, on_camera=everywhere),
        e.SetStepThings(at=step, items=(item, other_item)),
        e.MoveChapter(at=chapter, start_s=start),
        e.Retitle(at=chapter, title=text),
        e.AddChapter(start_s=start, title=text),
        e.RemoveChapter(at=chapter),
        e.AddNote(kind="tip", start_s=start, text=text, about=draw(st.none() | of("step"))),
        e.RemoveNote(at=draw(of("note"))),
        e.SetNoteKind(at=draw(of("note")), kind=draw(st.sampled_from(["tip", "caution", "off_camera"]))),
    ]
    if word is not None:
        choices += [
            e.RepairWord(start_s=word.start_s, end_s=word.end_s, heard=word.text, text=name, everywhere=everywhere)
        ]
    if log.repairs:
        choices += [e.UndoRepair(at=e.anchor(r)) for r in log.repairs]
    return draw(st.sampled_from(choices))


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(st.data())
def test_any_edits_leave_a_sound_log_and_touch_nothing_they_were_given(data: st.DataObject) -> None:
    first = tool_roll()
    before = to_json(first)
    log = first
    for _ in range(data.draw(st.integers(1, 12))):
        edit = data.draw(any_edit(log))
        try:
            edit = e.checked(edit)
        except BadInput:
            continue
        given_bytes = to_json(log)
        new, _ = e.apply(log, [edit])
        assert e.problems(new) == [], edit
        assert len({(i.kind, i.name.casefold()) for i in new.items}) == len(new.items), edit
        assert to_json(log) == given_bytes, edit
        log = new
    assert to_json(first) == before


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(st.data())
def test_undo_of_everything_gives_the_first_log_back_also_after_opening_again(data: st.DataObject) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.sqlite3"
        archive = Archive.open(path)
        part = archive.builds.make_part(archive.builds.make("roll").id)
        recording = archive.builds.keep_recording("roll.mp4", sha256="ab", duration_s=120.0)
        archive.builds.add_recording(part.id, recording.id)
        archive.readings.keep_log(recording.id, key_of(1), tool_roll())
        logs = [archive.log(part.id)]
        for _ in range(data.draw(st.integers(1, 10))):
            match data.draw(st.sampled_from(["edit", "edit", "edit", "undo", "open again"])):
                case "edit":
                    try:
                        archive.edit(part.id, data.draw(any_edit(logs[-1])))
                    except (BadInput, NotFound):
                        assert to_json(archive.log(part.id)) == to_json(logs[-1])
                        continue
                    logs.append(archive.log(part.id))
                case "undo":
                    undone = archive.undo(part.id)
                    assert (undone is None) == (len(logs) == 1)
                    if undone is not None:
                        logs.pop()
                case _:
                    archive.close()
                    archive = Archive.open(path)
            assert to_json(archive.log(part.id)) == to_json(logs[-1])
            assert e.problems(archive.log(part.id)) == []
        last = to_json(logs[-1])
        for want in reversed(logs[:-1]):
            archive.undo(part.id)
            assert to_json(archive.log(part.id)) == to_json(want)
        assert archive.undo(part.id) is None
        assert archive.log(part.id) == tool_roll()
        for _ in logs[1:]:
            assert archive.redo(part.id) is not None
        assert to_json(archive.log(part.id)) == last
        archive.close()
