"""Logs to look at and to put right: from answer sheets of the narrations, and as long as asked for."""

from __future__ import annotations

import asyncio
import json
import re
from pathlib import Path
from typing import Any

from textual.events import Key, Paste
from textual.keys import _character_to_key

from buildlog.archive import Archive, Part
from buildlog.document import (
    Chapter,
    Item,
    Line,
    LinkOwed,
    Log,
    Measurement,
    Mention,
    Note,
    Piece,
    RecordingInfo,
    Step,
    Technique,
    Word,
)
from buildlog.listen import transcript
from buildlog.tag.timed import words_of

NARRATIONS = Path(__file__).parent / "narrations" / "dev"


_CHARACTERS = {
    "space": " ", "slash": "/", "full_stop": ".", "question_mark": "?", "asterisk": "*", "plus": "+",
    "left_curly_bracket": "{", "right_curly_bracket": "}", "less_than_sign": "<", "greater_than_sign": ">",
    "left_square_bracket": "[", "right_square_bracket": "]", "apostrophe": "'",
}  # fmt: skip


def sheet_names() -> list[str]:
    """The narrations that have an answer sheet."""
    return sorted(p.name.removesuffix(".answers.json") for p in NARRATIONS.glob("*.answers.json"))


def answers(name: str) -> dict[str, Any]:
    """An answer sheet as it is written."""
    found: dict[str, Any] = json.loads((NARRATIONS / f"{name}.answers.json").read_text())
    return found


def _core(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "", text.casefold())


def _said(words: list[Word], names: list[str], near_s: float | None = None) -> list[Mention]:
    """Where in ``words`` one of ``names`` is said; with ``near_s`` only the place nearest to it."""
    cores = [_core(w.text) for w in words]
    found: list[Mention] = []
    for name in names:
        parts = [_core(p) for p in name.split() if _core(p)]
        for at in range(len(cores) - len(parts) + 1):
            here = cores[at : at + len(parts)]
            if parts and all(h == p or h in (p + "s", p + "es") for h, p in zip(here, parts, strict=True)):
                run = words[at : at + len(parts)]
                found.append(
                    Mention(start_s=run[0].start_s, end_s=run[-1].end_s, text=" ".join(w.text for w in run).strip(".,"))
                )
    found.sort(key=lambda m: m.start_s)
    kept: list[Mention] = []
    for m in found:
        if not kept or m.start_s >= kept[-1].end_s - 1e-6:
            kept.append(m)
    if near_s is not None and kept:
        kept = [min(kept, key=lambda m: abs(m.start_s - near_s))]
    return kept


def _sure(number: int) -> float:
    """Confidences that vary, the same ones every time."""
    return round(0.35 + (number * 37 % 61) / 100, 2)


def answer_log(name: str) -> Log:
    """A log as a good reading would be: the answer sheet's findings on the narration's words, none of them certain."""
    sheet = answers(name)
    lines = [
        Line(start_s=line.start_s, end_s=line.end_s, text=line.text, words=words_of(line))
        for line in transcript.read(NARRATIONS / f"{name}.txt")
    ]
    words = [w for line in lines for w in line.words]
    log = Log(
        recording=RecordingInfo(path=sheet["recording"]["path"], duration_s=sheet["recording"]["duration_s"]),
        transcript=lines,
        pieces=[Piece(id=f"p{n}", name=p["name"]) for n, p in enumerate(sheet["pieces"], 1)],
    )
    pieces = {p.name: p.id for p in log.pieces}
    ids = {i["name"]: f"i{n}" for n, i in enumerate(sheet["items"], 1)}
    for n, i in enumerate(sheet["items"], 1):
        said = _said(words, [i["name"], *i.get("names", [])])
        log.items.append(
            Item(
                id=f"i{n}", kind=i["kind"], name=i["name"], aliases=i.get("names", []), status=i["status"],
                instead_of=ids.get(i.get("instead_of", "")), source=i.get("source"), size=i.get("size"),
                first_s=said[0].start_s if said else i["first_s"], mentions=said, confidence=_sure(n),
            )
        )  # fmt: skip
    for n, t in enumerate(sheet["techniques"], 1):
        said = _said(words, [t["name"], *t.get("names", [])])
        log.techniques.append(
            Technique(
                id=f"t{n}", name=t["name"], aliases=t.get("names", []), first_shown_s=t["first_shown_s"],
                mentions=said, confidence=_sure(n + 3),
            )
        )  # fmt: skip
    for n, m in enumerate(sheet["measurements"], 1):
        here = _said(words, [m["text"]], m["start_s"])
        start = here[0].start_s if here else m["start_s"]
        owner = next(
            (i for i in log.items if any(abs(x.start_s - start) < 1.5 for x in i.mentions) and i.kind == "material"),
            None,
        )
        log.measurements.append(
            Measurement(
                id=f"m{n}", start_s=start, text=m["text"], value=m["value"], value_max=m.get("value_max"),
                unit=m.get("unit"), approximate=m.get("approximate", False), of=m.get("of"),
                item=owner.id if owner else None, confidence=_sure(n + 7),
            )
        )  # fmt: skip
        if owner is not None:
            owner.quantities.append(f"m{n}")
    starts = sorted(s["start_s"] for s in sheet["steps"])
    for n, s in enumerate(sheet["steps"], 1):
        later = [t for t in starts if t > s["start_s"]]
        end = min([s["start_s"] + 12.0, *later[:1]])
        inside = [i.id for i in log.items if any(s["start_s"] - 0.5 <= m.start_s < end for m in i.mentions)]
        ways = [t.id for t in log.techniques if any(s["start_s"] - 0.5 <= m.start_s < end for m in t.mentions)]
        log.steps.append(
            Step(
                id=f"s{n}", start_s=s["start_s"], end_s=end, text=s["text"], piece=pieces.get(s.get("piece", "")),
                on_camera=s["on_camera"], items=inside, techniques=ways, confidence=_sure(n + 11),
            )
        )  # fmt: skip
    for n, x in enumerate(sheet["links_owed"], 1):
        owner = next((i for i in log.items if i.name == x["what"] or x["what"] in i.aliases), None)
        log.links_owed.append(
            LinkOwed(
                id=f"l{n}", start_s=x["start_s"], text=x["text"], what=x["what"],
                item=owner.id if owner else None, confidence=_sure(n + 17),
            )
        )  # fmt: skip
    for n, x in enumerate(sheet["notes"], 1):
        log.notes.append(
            Note(id=f"n{n}", kind=x["kind"], start_s=x["start_s"], text=x["text"], confidence=_sure(n + 5))
        )
    for n, c in enumerate(sheet["chapters"], 1):
        log.chapters.append(Chapter(id=f"c{n}", start_s=c["start_s"], title=c["title"], confidence=_sure(n + 23)))
    return log


def put(archive: Archive, log: Log, *, build: str, title: str | None = None) -> Part:
    """``log`` as the first part of ``build``."""
    with archive.store.write():
        made = archive.builds.make(build)
        part = archive.builds.make_part(made.id, None, title)
        recording = archive.builds.keep_recording(
            log.recording.path or "film.mp4",
            sha256=f"{abs(hash((build, part.number))):064x}"[:64],
            duration_s=max(log.recording.duration_s, 1.0),
        )
        archive.readings.keep_log(recording.id, f"{build}-{part.number}", log)
        archive.builds.add_recording(part.id, recording.id)
    return part


async def press(pilot: Any, *keys: str) -> None:
    """Press keys and wait until every message they set off was dealt with: Pilot's own press sleeps 40 ms a key."""
    app = pilot.app
    for name in keys:
        key = _character_to_key(name) if len(name) == 1 and not name.isalnum() else name
        char = name if len(name) == 1 else _CHARACTERS.get(name)
        app._driver.send_message(Key(key, char))
        await settled(pilot)


async def settled(pilot: Any) -> None:
    """Wait until nothing is under way: the app, its screen and every widget have emptied their queues."""
    for _ in range(3):
        done = asyncio.Event()
        pilot.app.call_next(done.set)
        await done.wait()
        await pilot._wait_for_screen()


async def type_keys(pilot: Any, script: str) -> None:
    """Press what ``script`` says: "e clear 'bias tape' enter". Words in quotes are pasted; clear empties a field."""
    for words, key in re.findall(r"'([^']*)'|(\S+)", script):
        if words:
            pilot.app.post_message(Paste(words))
            await settled(pilot)
        elif key == "clear":
            await press(pilot, "end", "ctrl+u")
        else:
            await press(pilot, key)
