"""A change in a few words, for messages and the history."""

from __future__ import annotations

from buildlog import edits as e
from buildlog_tui.kinds import LOOKS, STATUS
from buildlog_tui.text import fit, hms


def words(edit: e.AnyEdit) -> str:
    """What ``edit`` does, on one line."""
    return fit(_words(edit), 300)


def _words(edit: e.AnyEdit) -> str:
    at = getattr(edit, "at", None)
    name = f"“{fit(at.name, 40)}”" if at is not None else ""
    tail = ", all alike" if getattr(edit, "everywhere", False) else ""
    tail += ", and in later videos" if getattr(edit, "remember", False) else ""
    match edit:
        case e.SetKind():
            said = f"{name} is a {LOOKS[edit.kind].word}"
        case e.SetNoteKind():
            said = f"the remark {name} is a {LOOKS[edit.kind].word}"
        case e.LetGo():
            said = "let go: a change that had no place"
        case e.SetStatus():
            said = f"{name}: {STATUS[edit.status]}" + (f" for {edit.instead_of}" if edit.instead_of else "")
        case e.Rename() | e.AddAlias():
            said = f"{name} {'is' if isinstance(edit, e.Rename) else 'is also'} “{edit.name}”"
        case e.RewordStep() | e.RewordNote():
            said = f"reworded: {edit.text}"
        case e.Retitle():
            said = f"chapter {name} is “{edit.title}”"
        case e.AddItem() | e.AddTechnique():
            said = f"added “{edit.name}”"
        case e.AddStep() | e.AddNote() | e.AddMeasurement() | e.AddLink():
            said = f"added “{edit.text}”"
        case e.AddChapter():
            said = f"chapter “{edit.title}” from {hms(edit.start_s)}"
        case e.Merge():
            said = f"{name} is the same as “{edit.into.name}”"
        case e.MoveChapter():
            said = f"chapter {name} begins at {hms(edit.start_s)}"
        case e.AttachUrl():
            said = f"{name}: {edit.url or 'no address'}"
        case e.RepairWord():
            said = f"“{edit.heard}” is “{edit.text}”"
        case e.AcceptAbove():
            said = f"accepted all that is at least {edit.confidence:.0%} sure"
        case e.AcceptCheck():
            said = f"looked at: {edit.text}"
        case e.MarkOnCamera():
            said = f"{name} is {'seen' if edit.on_camera else 'off camera'}"
        case e.WaiveLink():
            said = f"link {name} {'waived' if edit.waived else 'owed again'}"
        case e.SetPiece():
            said = f"{name} belongs to {edit.piece or 'no piece'}"
        case _:
            said = f"{_PLAIN.get(type(edit), type(edit).__name__)} {name}".strip()
    return said + tail


_PLAIN: dict[type, str] = {
    e.Accept: "accepted", e.NotAThing: "removed", e.RemoveStep: "removed", e.RemoveChapter: "no chapter at",
    e.RemoveNote: "removed", e.Split: "divided", e.SplitStep: "divided", e.MergeSteps: "joined",
    e.MoveStep: "moved", e.RetimeStep: "other times for", e.SetPrice: "cost of", e.SetSource: "source of",
    e.SetSize: "size of", e.SetAmount: "amount", e.SetOwner: "owner of", e.SetStepThings: "things of",
    e.SetFirstShown: "first shown", e.UndoRepair: "put back",
}  # fmt: skip
