"""Where a thing came from: bought, the stash, an offcut, inherited, or the old thing it was taken from, in the words said.

A phrase of origin belongs to one thing: to the one that a verb of getting takes ("I bought some calico"), else to the one
named last before it in its sentence ("a slide buckle I had already"), else, where a pronoun opens the sentence, to the
last one named before ("Two buttons. They're off a shirt of my dad's"). What was paid for was bought, whatever else is said.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from typing import TYPE_CHECKING

from buildlog.tag.mentions import Mention
from buildlog.tag.view import View

if TYPE_CHECKING:
    from buildlog.tag.items import Gathered

_ME = r"(?:i|we|she|he)(?: 'd| 've| have| had)?"
_KIN = (
    r"(?:gran|grandmother|grandma|nan|nana|granny|mum|mom|mother|dad|daddy|father|aunt|auntie|uncle|grandad|grandfather|grandpa|"
    r"great - aunt|sister|brother|cousin|neighbour|neighbor|mate|friend|husband|wife)"
)
_KEPT = (
    r"(?:leaning|sitting|lying|laying|kicking|knocking|hanging|gathering dust|stashed|hoard\w*|sav(?:ed|ing)|keeping|kept|set aside|"
    r"put by|put away)"
)
_PLACE = (
    r"(?:shelf|cupboard|drawer|tin|loft|attic|garage|shed|van|basement|cellar|rack|closet|wardrobe|plan chest|button box|"
    r"junk drawer|workshop|box of \w+)"
)
_SHOP = (
    r"(?:shop|store|market|stall|timber yard|lumber ?yard|yard sale|saddler|internet|haberdasher\w*|merchant|clearance bin|"
    r"remnant table|flea market|car boot)"
)
_LEFT = r"\bbought (?:\w+ )?for (?:a|an|the|that|my|another|last|some)\b|\bleft ?-? ?overs? from\b|\bspare from\b|\bend of (?:the|a) side\b"
_OFFCUT = (
    r"\boff ?-? ?cuts?\b|\bcut ?-? ?offs? bin\b|\bremnants?\b|\bscraps? from\b|\bscrap (?:bin|box|pile|bag)\b|\broll ends?\b|"
    r"\bend of (?:a|the) roll\b"
)
_GIVEN = (
    r"\binherited\b|\bgave (?:me|us|it|them)\b|\bgiven (?:to )?(?:me|us)\b|\bwas given\b|\bpassed down\b|\bhand ?-? ?me ?-? ?downs?\b|"
    r"\bdonated\b|\bborrowed\b|\b(?:was|were|is|are|'s|'re|from|off|of|belonged to|out of|used to be) (?:a \w+ of )?my (?:\w+ )?"
    + _KIN + r"(?: 's)?\b|\b(?:my|our) (?:\w+ )?" + _KIN + r" 's\b"
)  # fmt: skip
_BOUGHT = (
    r"\b" + _ME + r" (?:just |only |actually )?(?:bought|ordered|picked up|picked (?:it|them|this|that|these|those) up|paid|grabbed|"
    r"snagged)\b|\bgot (?:it|them|this|those|these|that) (?:from|off|at|out of|on)\b|\b(?:bought|ordered|online|brand new|"
    r"second ?-? ?hand|thrift(?:ed)?|on sale|on clearance)\b|\b(?:from|off|at|out of) (?:the|a|an|that|my|our) (?:\w+ ){0,2}" + _SHOP + r"\b"
)  # fmt: skip
_STASH = (
    r"\bstash\b|\balready had\b|\bhad (?:it |them |one |some )?already\b|\b(?:because|since|as|which|that) (?:i|we) (?:already )?"
    r"(?:had|'ve got|have)(?: (?:it|some|one|them|plenty|loads))?(?= [.,]|$)|\b(?:i|we) (?:had|'d) in\b|\bbeen " + _KEPT + r"\b|\b"
    + _KEPT + r" (?:around|about)\b|(?:^|\s)(?:'ve|have|had|'d|i|we) (?:been )?(?:hoard|sav|keep)\w*\b|\b(?:set aside|put by|left ?-? ?over)\b|"
    r"\b(?:i|we) (?:had|'d|'ve got|have|'ve|did have|did also have) (?!have |of |like |love |rather )(?:[\w'-]+ ){0,6}(?:here|already|sitting|"
    r"leaning|lying|put by|spare|"
    r"(?:in|on) (?:the|that|my) " + _PLACE + r")\b|\b(?:off|from|on|still in|were in|was in|are in|is in|'s in|back in) (?:the|my|our|that) "
    r"(?:\w+ )?" + _PLACE + r"\b"
)  # fmt: skip
_OLD = (
    r"\b(?:from|off|off of|out of|made (?:of|from|out of)|cut (?:up )?(?:from|out of)|unpicked from|salvaged from|saved from) "
    r"(?:the |an |some |my |a |one of my )*(?P<said>old (?!side|one|days|school)\w+(?: (?!(?:of|and|on|for|with|by|to|that|so|in|cut|i|"
    r"which|is|was|onto|at|it|they|she|he|we)\b)\w+){0,2})"
)
# (pattern, source), the weightiest first; ``None``: the words said, in group "said".
_CUES: tuple[tuple[re.Pattern[str], str | None], ...] = (
    (re.compile(_LEFT), "stash"),
    (re.compile(_OFFCUT), "offcut"),
    (re.compile(_GIVEN), "inherited"),
    (re.compile(_BOUGHT), "bought"),
    (re.compile(_STASH), "stash"),
    (re.compile(_OLD), None),
    (re.compile(r"\bsalvaged\b|\breclaimed\b|\b(?:out of|from) (?:a |the )?skip\b"), "salvaged"),
)
_ANY_CUE = re.compile("|".join(p.pattern for p, _ in _CUES))
_GETS = re.compile(
    r"(?:bought|ordered|picked up|grabbed|gave (?:me|us)|inherited|borrowed|given me|already had|hoarding|saving)$"
)
_BETWEEN_GOT = frozenset(
    "a an the some my our this that these those two three four five six of new more old lovely little big nice yards yard metres metre sheet roll"
    " bit piece pack box bag couple pair few really".split()
)  # fmt: skip
_ANYBODY = re.compile(
    r"\b(?:you|your|people|everyone|they) (?:can|could|might|'d|would|'ll|will|want|need|have to|should|get|buy)\b"
)
_NOT_SO = re.compile(
    r"\b(?:no|not|n't|never|none|without|instead of|rather than|wish|if|ought|should|nearly|almost)(?: \S+){0,3} $"
)
_OPENS = frozenset("it they that this those these which from off all both got bought out he she mine".split())
_ME_OPENS = frozenset("i we and".split())
_NEAR = 40  # characters before a phrase that a "not" for it stands in
_BACK = 2  # sentences that a pronoun looks back over


def set_sources(v: View, items: list[Gathered]) -> None:
    """Set ``source`` of the items whose origin is told."""
    spots = sorted(((m.start, m, item) for item in items for m in item.mentions), key=lambda t: t[0])
    starts = [start for start, _, _ in spots]
    found: dict[int, tuple[int, str]] = {}
    for first, last in v.sents:
        words = [w.replace("’", "'") for w in v.low[first:last]]
        text = " ".join(words)
        if _ANYBODY.search(text) or not _ANY_CUE.search(text):
            continue
        at, offsets = 0, []
        for w in words:
            offsets.append(at)
            at += len(w) + 1
        for rank, (pattern, source) in enumerate(_CUES):
            for cue in pattern.finditer(text):
                if _NOT_SO.search(text[max(0, cue.start() - _NEAR) : cue.start()]):
                    continue
                start = first + bisect_right(offsets, cue.start()) - 1
                end = first + bisect_right(offsets, max(cue.start(), cue.end() - 1))
                item = _owner(v, starts, spots, start, end, first, bool(_GETS.search(cue.group())))
                if item is not None and (item.kind != "tool" or source in ("bought", "inherited", None)):
                    said = source or cue.group("said")
                    if id(item) not in found or rank < found[id(item)][0]:
                        found[id(item)] = (rank, said)
    for item in items:
        if item.price is not None and item.status == "used" and item.kind == "material":
            item.source = "bought"
        elif id(item) in found:
            item.source = found[id(item)][1]


def _owner(
    v: View,
    starts: list[int],
    spots: list[tuple[int, Mention, Gathered]],
    start: int,
    end: int,
    first: int,
    gets: bool,
) -> Gathered | None:
    """The thing that the words ``start`` to ``end`` tell the origin of, in the sentence that begins at ``first``."""
    after = bisect_right(starts, end - 1)
    if gets and after < len(spots):
        m = spots[after][1]
        if m.start - end <= 5 and all(w in _BETWEEN_GOT or w.isdigit() for w in v.low[end : m.start]):
            return spots[after][2]
    within = bisect_right(starts, start - 1)
    if within < len(spots) and start <= spots[within][0] < end:
        return spots[within][2]  # "I had foam in the van"
    before = bisect_right(starts, start) - 1
    if before >= 0 and spots[before][0] >= first:
        # The subject before a verb rather than the thing beside a preposition.
        return _of_its_clause(v, spots, before, first)
    alone = after >= len(spots) or v.sent_of[spots[after][0]] != v.sent_of[first]
    if not (v.low[first] in _OPENS or start <= first + 1) or (v.low[first] in _ME_OPENS and not alone):
        return None
    lo = v.sents[max(0, v.sent_of[first] - _BACK)][0]
    if before >= 0 and spots[before][0] >= lo:
        return spots[before][2]
    return None


def _of_its_clause(v: View, spots: list[tuple[int, Mention, Gathered]], k: int, first: int) -> Gathered:
    """The last thing named, or the one before it where the last only says on, with or for what."""
    while k > 0 and spots[k - 1][0] >= first:
        m, other = spots[k][1], spots[k - 1][1]
        lead = v.low[other.end : m.start]
        if lead and len(lead) <= 4 and lead[0] in ("for", "with", "on", "onto", "in", "into", "around", "round"):
            k -= 1
            continue
        break
    return spots[k][2]
