"""A piece that is sewn or fixed on, and of which nobody ever told that it was cut or made."""

from __future__ import annotations

import bisect
import re
from collections.abc import Iterator

from buildlog.document import Check, Log
from buildlog.reckon.heard import Heard, plain, stems
from buildlog.reckon.vocabulary import also_said, words

_CUTTING = re.compile(
    r"\b(?:cut|cutting|tear|tore|torn|saw|sawed|sawn|sawing|rip|ripped|ripping|slice|sliced|punch|punched|trim|trimmed|split|"
    r"make|made|making|mill|milled|resaw|resawn|draft|drafted|trace|traced|knit|knitted|print|printed|turned|carve|carved|"
    r"crochet|weave|wove|bend|bent|cast|chalk|chalked)\b",
    re.IGNORECASE,
)
# It came from somewhere: bought, given, of the stash, or it was there before and goes back on.
_HAD = re.compile(
    r"\b(?:bought|buy|buying|gets|ready|already|off ?cuts?|scraps?|stash|left ?over|old|original|existing|"
    r"unpick|unpicked|remove|removed|replace|replaced|spare|came with|comes with|kit|(?:piece|length|lengths|strip|strips|bit|bits|pair) of)\b",
    re.IGNORECASE,
)
# "For the covers I used greyboard": what it is made of is told, and with it that it was made.
_MADE_OF = re.compile(r"\bfor (?:the|my|each|both|all)\b.*\b(?:used?|using|took|have|had|got)\b", re.IGNORECASE)
_ALL_AT_ONCE = re.compile(
    r"\b(?:cut|cutting)(?:\W+out)?\W+(?:everything|it all|them all|all|(?:the|my|your|every)\W+(?:\w+\W+)?(?:pieces?|parts?|pattern|"
    r"lot|rest|list))\b|\b(?:everything|all|pieces|parts|kit)\b(?:\W+\w+){0,4}\W+cut\b",
    re.IGNORECASE,
)
_VERBS = "sew|stitch|topstitch|slipstitch|attach|glue|pin|screw|nail|rivet|baste|tack|staple|join|insert|bolt|fasten"
_JOINING = re.compile(_VERBS)
_JOINS = re.compile(rf"\b(?:{_VERBS})\w*\b")
_THE = frozenset("the both each all your my our these those two".split())
_IS = frozenset("is are was were".split())
_OBJECT = 5
_LONGEST = 40
_SHORT = 4  # "Ties. Two lengths of petersham": a word on its own opens the matter
_END = (".", "!", "?")


def never_cut(log: Log, heard: Heard) -> Iterator[Check]:
    """The pieces of ``log`` that are joined to something though nobody told how they came to be.

    Only where this maker tells what is cut, piece by piece, and the piece is one that has to be: a sleeve, no rim or edge.
    """
    own = {stems(p.name)[-1] for p in log.pieces if stems(p.name)}
    if not (own | words("cut_pieces")) & heard.where(_CUTTING) or any(_ALL_AT_ONCE.search(x.text) for x in heard.lines):
        return
    untold = words("cut_pieces") - _told_of(log, heard)
    for step in log.steps:
        for name, head in _joined(step.text):
            if head in untold:
                untold -= {head}
                refers = [p.id for p in log.pieces if stems(p.name)[-1:] == [head]]
                yield Check(
                    kind="gap", start_s=step.start_s, times=[step.start_s], refers_to=[*refers[:1], step.id],
                    text=f"“{name}” is used, but cutting or making it was never told",
                )  # fmt: skip


def _sentences(heard: Heard) -> Iterator[tuple[int, int]]:
    """Where each sentence begins and ends, in words; long talk without full stops in stretches."""
    low = 0
    for k, word in enumerate(heard.words):
        if word.text.endswith(_END) or k - low + 1 >= _LONGEST or k + 1 == len(heard.words):
            yield low, k + 1
            low = k + 1


def _told_of(log: Log, heard: Heard) -> set[str]:
    """The words of every sentence that tells, itself or in the next, how something came to be: that it was cut, made, bought
    or there before, how large it is, or of what stuff."""
    stuff = {s for i in log.items if i.kind == "material" for s in stems(i.name)[-1:]} - words("cut_pieces")
    measured = sorted(heard.place(m.start_s) for m in log.measurements)
    spans = [*_sentences(heard)]
    tells = []
    for low, high in spans:
        text = " ".join(w.bare for w in heard.words[low:high])
        sized = bisect.bisect_left(measured, low) < bisect.bisect_left(measured, high)
        # Thread and glue are named where things are joined, and say nothing of what the things are; "the band is ribbon" does.
        found = heard.stemmed[low:high]
        at = [k for k, w in enumerate(found) if w in stuff]
        of_stuff = bool(at) and (not _JOINS.search(text) or any(_IS & set(found[max(0, k - 3) : k]) for k in at))
        tells.append(bool(sized or of_stuff or _CUTTING.search(text) or _HAD.search(text) or _MADE_OF.search(text)))
    told: set[str] = {w for s in log.steps if _CUTTING.search(s.text) for w in stems(s.text)}
    told |= {piece for word, piece in also_said().items() if heard.places(word)}
    for n, (low, high) in enumerate(spans):
        # What a stretch breaks off goes on in the next.
        goes_on = high - low <= _SHORT or not heard.words[high - 1].text.endswith(_END)
        if tells[n] or (goes_on and any(tells[n + 1 : n + 2])):
            told.update(heard.stemmed[low:high])
    return told


def _joined(step: str) -> Iterator[tuple[str, str]]:
    """The things that a step says to join, as said and in the singular: "sew the sleeves in", not "sew it to the sleeve" and
    not "sew a tab on", which makes one."""
    said = plain(step)
    found = [" ".join(stems(w)) for w in said]
    for k, word in enumerate(found):
        verbs = [n for n in range(max(0, k - _OBJECT), k) if _JOINING.fullmatch(found[n])]
        if not verbs or word not in words("cut_pieces") or set(found[k + 1 : k + 2]) & words("cut_pieces"):
            continue
        between = set(found[verbs[-1] + 1 : k])
        if not between & (words("beside") | {"a", "an"}) and (between & _THE or said[k] != word):
            yield said[k], word
