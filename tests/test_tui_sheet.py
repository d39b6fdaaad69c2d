"""A sheet that follows edits is the same as one laid out anew, and says of every paragraph that changed."""

from __future__ import annotations

import contextlib
from typing import Any

from bench_log import tool_roll
from buildlog_tui.sheet import Mark, Sheet
from buildlog_tui.words import Words
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from test_edits_any_order import any_edit

from buildlog import edits as e
from buildlog.document import Log
from buildlog.errors import BadInput


def laid_out(log: Log) -> Sheet:
    sheet = Sheet()
    sheet.show(log)
    return sheet


def state(sheet: Sheet) -> dict[str, Any]:
    """All that is drawn or asked of a sheet."""
    blocks = range(len(sheet.first_in) - 1)
    return {
        "words": (sheet.starts, sheet.ends, sheet.texts, sheet.sizes, sheet.line_of, sheet.first_of),
        "paragraphs": (sheet.block_of, sheet.first_in),
        "marks": sheet.marks,
        "of paragraphs": [sheet.of_block(b) for b in blocks],
        "steps": list(sheet.step_of),
        "chapters": sheet.chapter_words,
    }


def wrapped(sheet: Sheet) -> list[Any]:
    """Every paragraph as it is wrapped at 40 cells."""
    view = Words(sheet)
    breaks: dict[int, dict[int, int]] = {}
    for word, chapter in sheet.chapter_words:
        breaks.setdefault(sheet.block_of[word], {})[word] = chapter
    signs = [
        [(m.first, m.last, m.kind, m.unsure, m.wide) for m in sheet.of_block(b)] for b in range(len(sheet.first_in) - 1)
    ]
    rows = [view._wrap(b, sheet.of_block(b), breaks.get(b, {}), 40) for b in range(len(sheet.first_in) - 1)]
    texts = [sheet.texts[a:z] for a, z in zip(sheet.first_in, sheet.first_in[1:], strict=False)]
    return list(zip(signs, rows, texts, strict=True))


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(st.data())
def test_following_edits_is_laying_out_anew(data: st.DataObject) -> None:
    logs = [tool_roll()]
    sheet = laid_out(logs[0])
    sheet.touched()
    for _ in range(data.draw(st.integers(1, 10))):
        before = wrapped(sheet)
        if len(logs) > 1 and data.draw(st.integers(0, 3)) == 0:
            logs.pop()
        else:
            with contextlib.suppress(BadInput):
                logs.append(e.apply(logs[-1], [e.checked(data.draw(any_edit(logs[-1])))])[0])
        anew = sheet.show(logs[-1])
        assert state(sheet) == state(laid_out(logs[-1]))
        touched, after = sheet.touched(), wrapped(sheet)
        assert anew == (touched is None)
        if touched is not None:
            assert len(before) == len(after)
            assert {n for n, (a, b) in enumerate(zip(before, after, strict=True)) if a != b} <= touched


def test_a_word_put_right_touches_its_paragraph_only() -> None:
    log = tool_roll()
    sheet = laid_out(log)
    sheet.touched()
    edit = e.RepairWord(start_s=31.0, end_s=31.4, heard="cape", text="tape")
    assert sheet.show(e.apply(log, [edit])[0]) is False
    assert sheet.touched() == {2}
    assert "tape" in sheet.texts
    assert isinstance(sheet.marks[0], Mark)
