"""From the order of talk to the order of work; repeats told once; what the camera did not see."""

from __future__ import annotations

import re
from bisect import bisect_left
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from buildlog.outline.steps.drafts import Draft
    from buildlog.tag.clauses import Clause
    from buildlog.tag.reader import Reading
    from buildlog.tag.view import View

_BEFORE_ALL = (
    "before any of", "before all", "before i started", "before we started", "before we start", "by the time i started", "by the time we started",
    "before i even",
    "before anything", "before i cut anything", "first of all i'd", "beforehand",
)  # fmt: skip
# "before filming", "before the camera was on", "before I got the camera out".
BEFORE_FILMING = re.compile(
    r"\b(?:before|by the time) (?:(?:i|we) (?:even |had |'d )?(?:got |turned |switched |set up |put )?)?"
    r"(?:the camera|started filming|started recording|hit record|pressed record|filming|filmed|recording)\b"
)
# "before you got here", "by the time you lot turned up", "before you lads came in": the viewers come with the camera.
BEFORE_VIEWERS = re.compile(
    r"\b(?:before|by the time) (?:you|ye|yous|y'all|any of you)(?: (?:lot|lads|all|guys|folks|people))? "
    r"(?:even |all |had |'d )?(?:showed|shown|came|come|got|turned|arrived|joined|tuned|walked|were here)\b"
)
_DAYS_BEFORE = ("last night", "yesterday", "the night before", "the day before", "this morning", "last week")
_ALREADY = frozenset(["already", "beforehand", "earlier"])
CORRECTED_S = 60.0  # a slip is put right soon
REPEAT_S = 150.0  # an announcement and its doing lie no farther apart
_SMALL = frozenset(
    "a an the of to and or in on at with for from into onto over it them then so up down by your off out".split()
)


def earlier(v: View, d: Draft, clauses: list[Clause]) -> int:
    """2 where the step was done before everything told here, 1 before the step in front of it, else 0."""
    at = bisect_left(clauses, d.start, key=lambda c: c.verb)
    past = any(c.perfect_past for c in clauses[at : bisect_left(clauses, d.end, key=lambda c: c.verb)])
    return said_before(v, d.at, past)


def said_before(v: View, token: int, past: bool) -> int:
    """The same of the sentence that holds ``token``; ``past`` says whether its doing is told in the past perfect."""
    start, end = v.sents[v.sent_of[token]]
    low = " ".join(v.low[start:end]).replace(" 'd", "'d")
    if any(w in low for w in _BEFORE_ALL) or BEFORE_VIEWERS.search(low) or BEFORE_FILMING.search(low):
        return 2
    if past and any(w in low for w in _DAYS_BEFORE):
        return 1
    if past and (any(w in _ALREADY for w in v.low[start:end]) or "before that" in low or "before this" in low):
        return 1
    return 0


def in_order(v: View, drafts: list[Draft]) -> list[Draft]:
    """The steps in the order of work."""
    out: list[Draft] = []
    opening: list[Draft] = []
    for d in drafts:
        if d.earlier == 2:
            opening.append(d)
        elif d.earlier == 1 and out:
            out.insert(len(out) - 1, d)
        else:
            out.append(d)
    return opening + out


def mark_off_camera(v: View, drafts: list[Draft], notes: list[Any], reading: Reading | None) -> None:
    """Set ``on_camera`` false where the words say that it was not filmed.

    A remark that tells no step itself ("I did this bit off camera") speaks of the steps in the sentences right after
    it.
    """
    spans = [(n.start, n.end) for n in notes if n.kind == "off_camera"]
    for a, b in spans:
        own = [d for d in drafts if d.start < b and a < d.end]
        if not own:
            s = v.sent_of[min(b, len(v.text)) - 1]
            own = [d for d in drafts if s < v.sent_of[d.at] <= s + 2]
        for d in own:
            d.on_camera = False
    for d in drafts:
        if (reading is not None and reading.inside("O", d.start, d.end) > 0.5) or d.earlier:
            d.on_camera = False


def stems(text: str) -> set[str]:
    """Content words of a sentence, ends cut off."""
    out = set()
    for w in re.findall(r"[a-z0-9/]+", text.lower()):
        if w in _SMALL:
            continue
        for end in ("ing", "ed", "es", "s"):
            if w.endswith(end) and len(w) - len(end) >= 3:
                w = w[: -len(end)]
                break
        out.add(w.rstrip("e"))
    return out


def alike(a: str, b: str) -> float:
    """Share of content words that two step sentences have in common (Jaccard)."""
    x, y = stems(a), stems(b)
    return len(x & y) / len(x | y) if x and y else 0.0


def without_corrected(v: View, drafts: list[Draft], notes: list[Any], reading: Reading | None) -> list[Draft]:
    """Without the steps that are told wrong and then put right: the corrected telling takes their place.

    A correction ("three eighths was too stiff, so back through at five sixteenths") replaces the last step in front of
    it that does the same to the same thing.
    """
    spans = [(n.start, n.end) for n in notes if n.kind == "correction"]
    if reading is not None:
        spans += [(start, end) for start, end, _ in reading.found("C")]
    gone: set[int] = set()
    content = [stems(d.text) for d in drafts]
    for a, b in spans:
        for j, right in enumerate(drafts):
            if not a <= right.at < b:
                continue
            for i in range(j - 1, -1, -1):
                wrong = drafts[i]
                if v.start_s[right.at] - v.start_s[wrong.at] > CORRECTED_S:
                    break
                if i in gone or not (content[i] and content[j]):
                    continue
                verbs = {p.verb for p in wrong.phrases} == {p.verb for p in right.phrases}
                shared = len(content[i] & content[j]) / min(len(content[i]), len(content[j]))
                if (verbs and shared >= 0.5) or shared >= 0.75:
                    gone.add(i)
                    break
    return [d for k, d in enumerate(drafts) if k not in gone]


def without_repeats(v: View, drafts: list[Draft], clauses: list[Clause]) -> list[Draft]:
    """One step for each thing done: an announcement gives way to its doing, a recital to the first telling."""
    modes = {c.verb: c.mode for c in clauses}
    gone: set[int] = set()
    content = [stems(d.text) for d in drafts]
    for j, later in enumerate(drafts):
        for i in range(j - 1, -1, -1):
            first = drafts[i]
            if i in gone or v.start_s[later.at] - v.start_s[first.at] > REPEAT_S:
                break
            if any(p.same for p in later.phrases):
                break
            x, y = content[i], content[j]
            shared = len(x & y)
            if not x or not y or shared < 2:
                continue
            announced = any(modes.get(k) == "plan" for k in range(first.start, first.end))
            whole = shared / min(len(x), len(y))
            same = shared / len(x | y)
            if announced and whole >= 0.66 and first.phrases[0].verb == later.phrases[0].verb:
                gone.add(i)
            elif same >= 0.8:
                gone.add(j if len(y) <= len(x) else i)
            if j in gone:
                break
    last: Draft | None = None
    for k, d in enumerate(drafts):
        if k in gone:
            continue
        if last is not None and any(p.same for p in d.phrases):
            d.same_as = [last]
        last = d
    return [d for k, d in enumerate(drafts) if k not in gone]
