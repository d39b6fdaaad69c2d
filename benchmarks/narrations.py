"""Score the reading of narrations: the table of quality figures, with a baseline beside it.

    python benchmarks/narrations.py [dev|unseen|FOLDER] [--misses] [--baseline] [--no-model] [--only KIND]
    python benchmarks/narrations.py --second

``--misses`` is refused for the unseen half: it is only ever looked at as a score. ``--baseline`` adds the plain tagger
(every noun phrase that the lexicon knows is a used item). ``--no-model`` reads without the trained reader. ``--second``
scores the sheets that a second annotator wrote from the words alone, and our reading of the same narrations beside them: how
much of what is missing is a matter of taste.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

import msgspec
from score import Tally

from buildlog.document import Log, RecordingInfo
from buildlog.listen.transcript import read as read_transcript

HOME = Path(__file__).resolve().parents[1] / "tests" / "narrations"


def read_log(path: Path) -> Log:
    from buildlog.reading import read

    lines = read_transcript(path)
    return read(lines, RecordingInfo(path=path.name, duration_s=lines[-1].end_s))


def baseline_log(path: Path) -> Log:
    """Every noun phrase the lexicon knows, as a used item: what a tagger without understanding would list."""
    from buildlog.document import Item
    from buildlog.tag.lexicon import Lexicon
    from buildlog.tag.pipeline import tag
    from buildlog.tag.view import view_of

    lines = read_transcript(path)
    doc = tag(lines).doc
    v = view_of(doc)
    lexicon = Lexicon.load()
    seen: dict[tuple[str, str], Item] = {}
    for chunk in doc.noun_chunks:
        mods = [v.lemma[i] for i in range(chunk.start, chunk.root.i) if v.pos[i] in ("NOUN", "ADJ", "PROPN")]
        kind, sure = lexicon.classify(v.lemma[chunk.root.i], mods)
        if kind in ("material", "tool", "pattern", "reference"):
            words = [v.low[i] for i in range(chunk.start, chunk.root.i + 1) if v.pos[i] in ("NOUN", "ADJ", "PROPN")]
            key = (kind, " ".join(words))
            seen.setdefault(key, Item(id="i", kind=kind, name=key[1], first_s=v.start_s[chunk.start], confidence=sure))
    return Log(items=list(seen.values()))


def second() -> None:
    """How far two annotators agree, and our reading of the same narrations."""
    theirs, ours = Tally(), Tally()
    for sheet in sorted((HOME / "second").glob("*.answers.json")):
        path = HOME / "dev" / sheet.name.replace(".answers.json", ".txt")
        gold = json.loads((HOME / "dev" / sheet.name).read_text(encoding="utf-8"))
        theirs.add(gold, json.loads(sheet.read_text(encoding="utf-8")), path.stem[:2])
        ours.add(gold, msgspec.to_builtins(read_log(path)), path.stem[:2])
    print("second annotator\n" + theirs.table())
    print("\nbuildlog, on the same narrations\n" + ours.table())


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    p.add_argument("half", nargs="?", default="dev")
    p.add_argument("--misses", action="store_true")
    p.add_argument("--baseline", action="store_true")
    p.add_argument("--no-model", action="store_true")
    p.add_argument("--only", default="")
    p.add_argument("--write", type=Path, help="a folder for the log documents")
    p.add_argument("--second", action="store_true", help="agreement of two annotators")
    a = p.parse_args()
    if a.second:
        second()
        return
    if a.misses and "unseen" in a.half:
        p.error("the unseen half is only looked at as a score; use --misses with dev")
    if a.no_model:
        import buildlog.tag.reader as reader

        reader.model_folder = lambda: None  # type: ignore[assignment]
    folder = Path(a.half) if Path(a.half).is_dir() else HOME / a.half
    ours, plain = Tally(), Tally()
    for path in sorted(folder.glob("*.txt")):
        sheet = path.with_suffix("").with_suffix(".answers.json")
        if not sheet.is_file():
            continue
        gold = json.loads(sheet.read_text(encoding="utf-8"))
        log = read_log(path)
        if a.write:
            a.write.mkdir(parents=True, exist_ok=True)
            (a.write / f"{path.stem}.json").write_bytes(msgspec.json.format(msgspec.json.encode(log), indent=1))
        ours.add(gold, msgspec.to_builtins(log), path.stem[:2])
        if a.baseline:
            plain.add({"items": gold["items"]}, {"items": msgspec.to_builtins(baseline_log(path).items)}, path.stem[:2])
    print(ours.table())
    if a.baseline:
        print("\nplain lexicon tagger\n" + plain.table())
    if a.misses:
        print("\n".join(m for m in ours.misses if a.only in m))


if __name__ == "__main__":
    main()
