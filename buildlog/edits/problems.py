"""What would make a log unfit to show or publish: for tests and for reading logs from outside."""

from __future__ import annotations

from collections import Counter

from buildlog.document import Log


def problems(log: Log) -> list[str]:
    """One sentence for each broken rule: ids unique, references alive, times in order, names not empty."""
    found: list[str] = []
    ids: dict[str, set[str]] = {}
    for name in ("pieces", "steps", "items", "techniques", "measurements", "derived", "links_owed"):
        counts = Counter(thing.id for thing in getattr(log, name))
        found += [f"{name}: id {i} is there {n} times" for i, n in counts.items() if n > 1]
        ids[name] = set(counts)
    every = set().union(*ids.values())

    def alive(what: str, refs: list[str], kinds: set[str]) -> None:
        found.extend(f"{what} points to {r}, which is not there" for r in refs if r not in kinds)

    for step in log.steps:
        what = f"step {step.id}"
        alive(what, step.items, ids["items"])
        alive(what, step.techniques, ids["techniques"])
        alive(what, step.same_as, ids["steps"])
        alive(what, [step.piece] if step.piece else [], ids["pieces"])
        if step.end_s < step.start_s:
            found.append(f"{what} ends before it begins")
        if step.id in step.same_as:
            found.append(f"{what} is the same as itself")
        if not step.text.strip():
            found.append(f"{what} has no words")
    for item in log.items:
        alive(f"item {item.id}", item.quantities, ids["measurements"])
        if not item.name.strip():
            found.append(f"item {item.id} has no name")
    for measurement in log.measurements:
        what = f"measurement {measurement.id}"
        alive(what, [measurement.item] if measurement.item else [], ids["items"])
        alive(what, [measurement.piece] if measurement.piece else [], ids["pieces"])
    for link in log.links_owed:
        alive(f"link {link.id}", [link.item] if link.item else [], ids["items"])
    for note in log.notes:
        alive(f"note at {note.start_s}", [note.refers_to] if note.refers_to else [], every)
    for check in log.checks:
        alive(f"check at {check.start_s}", check.refers_to, every)
    for before, after in zip(log.chapters, log.chapters[1:], strict=False):
        if not before.start_s < after.start_s:
            found.append(f"chapter “{after.title}” does not begin after “{before.title}”")
    for line in log.transcript:
        if line.end_s < line.start_s or any(w.end_s < w.start_s for w in line.words):
            found.append(f"the words at {line.start_s} end before they begin")
    return found
