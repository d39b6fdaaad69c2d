"""Whether a thing named was used, weighed, offered or only talked of, where the words around it say so outright.

The trained reader gives every mention four probabilities; set phrases ("a butter knife would do", "I was going to use the
velvet", "don't use drywall screws") move them. Each phrase is looked for only beside the name, in its own sentence.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from buildlog.tag.mentions import CONSIDERED, MENTIONED, SUBSTITUTE, USED, Mention
from buildlog.tag.view import View

_REACH = 12  # words on either side
_LEAST = 0.01

_ARTICLE = r"(?:(?:a|an|the|some|any|my|that|those|this|these|your|bit of|piece of|scrap of|of|proper|big|extra|plain|old|bought) ?)*"


@dataclass(frozen=True, slots=True)
class _Phrase:
    """``shift`` is added to the log probabilities where ``before`` matches the words before the name, ``after`` those after."""

    before: re.Pattern[str] | None
    after: re.Pattern[str] | None
    shift: tuple[float, float, float, float]


def _phrase(shift: dict[int, float], before: str = "", after: str = "") -> _Phrase:
    return _Phrase(
        re.compile(before + r" ?$") if before else None,
        re.compile(after) if after else None,
        (shift.get(USED, 0.0), shift.get(CONSIDERED, 0.0), shift.get(SUBSTITUTE, 0.0), shift.get(MENTIONED, 0.0)),
    )


_PAST = (
    r"(?:was going to|was gonna|were going to|were gonna|wanted|would have wanted|meant|planned|thought|did think|considered"
    r"|looked|looked long and hard|toyed|'d hoped|had hoped|hoped|'d pictured|had pictured|pictured|wished|'d love"
    r"|would have loved|was tempted|nearly|almost|'d have gone|would have gone|dreamed|intended|was set on|had my heart set)"
)
_HOW = (
    r"(?: (?:to|about|at|of|for|on|long|hard|and|very|really|by|with|use|used|using|do|doing|have|make|put|putting|try|trying"
    r"|buy|add|adding|it|this|in|out|go|going|'ve|been|a lot|bit))*"
)

_PHRASES = (
    # "PVA would do", "polyester's fine", "a scrap of shirt works just as well", "wing dividers'll scratch you the same line"
    _phrase(
        {SUBSTITUTE: 2.5, MENTIONED: -0.5},
        after=r"^ ?(?:(?:would|will|'d|'ll|can|could|does|is|are|'s|'re|works?|also|just|even|probably|perfectly) )+"
        r"(?:also |just )?(?:do|work|fine|ok|okay|as well|as good|see you right|serve|stand in|too|the job|nearly as|you)\b",
    ),
    # "a fork if you've no teasel brush", "beeswax if you're fancy", "Gilding metal's another you could use"
    _phrase(
        {SUBSTITUTE: 2.5, MENTIONED: -0.5},
        after=r"^(?:(?!\b(?:or|but|and|an?)\b)[^.?!,]){0,60}\bif (?:you|ye) (?:(?:have|do|ca|could)(?: n't| not| no)"
        r"|'ve (?:no|not|never)|have no|'re (?:fancy|feeling|stuck|short|out|desperate|not))\b",
    ),
    _phrase(
        {SUBSTITUTE: 2.5, MENTIONED: -0.5},
        after=r"^ ?(?:'s|is|are|'re|would be|'d be) (?:also |just |perfectly )?(?:an alternative|another (?:one )?you (?:can|could)"
        r"|all right|good too|every bit as good|just as good|nearly as good|plenty)\b",
    ),
    # "an old ballpoint makes a first-rate cutter"; "have ye no block, a mixing bowl"
    _phrase(
        {SUBSTITUTE: 2.0},
        after=r"^ ?makes? an? (?:\w+ - rate|good|fine|perfect|decent|great|grand|passable|honest|handy)\b",
    ),
    _phrase({SUBSTITUTE: 2.0}, before=rf"\bhave (?:you|ye) no \w+(?: \w+)? , {_ARTICLE}"),
    _phrase({SUBSTITUTE: 1.5}, after=r"^ ?works? (?:too|as well|just as|fine|nearly|almost|instead)\b"),
    # "if you don't have that foot, just stick a piece of masking tape"; "or a lighter if you're careful"
    _phrase(
        {SUBSTITUTE: 2.0},
        before=r"\bif you(?: have|'ve)?(?: do| ca)?(?: n't| not|r| no| never)[^.?!]* (?:got|have|own|find|get|fancy|want|\w+)[^.?!]*\b"
        rf"(?:use|take|try|stick|grab|with|make do with|reach for|then|just|piece of|,) {_ARTICLE}",
    ),
    _phrase(
        {SUBSTITUTE: 2.0},
        before=rf"\bor (?:with |just |even |you can use |you could use |the barrel of |the back of )?{_ARTICLE}",
        after=r"^ ?(?:will |would )?(?:if you|do if|instead)\b",
    ),
    _phrase({SUBSTITUTE: 1.5}, before=rf"\b(?:make do|get away|get by|manage) with {_ARTICLE}"),
    # "I used a wool dauber", "I went with poplin"
    _phrase(
        {USED: 2.5},
        before=rf"\b(?:i|we) (?:used|went with|ended up with|settled on|'m using|am using|chose|picked) {_ARTICLE}",
    ),
    # "I was going to use velvet", "I looked long and hard at a cartridge"
    _phrase({CONSIDERED: 2.0, USED: -0.5}, before=rf"\b(?:i|we|she|he|i 'd) {_PAST}{_HOW} {_ARTICLE}"),
    _phrase({CONSIDERED: 1.5}, before=rf"\b(?:was|were|supposed) (?:supposed )?(?:going )?to be {_ARTICLE}"),
    # "no interfacing in it", "we left out the piping", "leather? not with my skills", "the ribbon isn't there"
    _phrase(
        {CONSIDERED: 1.5, USED: -1.0},
        before=rf"(?:^|[.,;] )(?:(?:so|and|but|um) )?(?:no|did n't bother with|never bothered with|did without|left out|skipped) {_ARTICLE}",
    ),
    _phrase({CONSIDERED: 2.0, USED: -1.0}, after=r"^ ?\? (?:no|not|nope|nah)\b"),
    _phrase(
        {CONSIDERED: 2.0, USED: -1.0},
        after=r"^ ?(?:, [\w' ]+,)? ?(?:is n't there|never happened|did n't happen|never made it)",
    ),
    # "the dimmer we left it out", "the label we skipped"
    _phrase(
        {CONSIDERED: 3.0, USED: -1.5},
        after=r"^ ?,? ?(?:that |which )?(?:i|we|he|she) (?:(?:left|took|ripped|cut) (?:(?:it|that|them|those) )?out|skipped|gave up on|scrapped)\b",
    ),
    # "you don't need a clamp", "next time it's flowers, so find your goffering irons"
    _phrase(
        {MENTIONED: 1.5, USED: -1.0},
        before=rf"\byou (?:do n't|do not|wo n't) need (?:any|one single|a single|to buy)? ?{_ARTICLE}",
    ),
    _phrase({MENTIONED: 2.0, USED: -1.0}, before=r"\bnext time\b[^.?!]*"),
    # "a ribbon's optional"
    _phrase({MENTIONED: 1.5, USED: -0.5}, after=r"^ ?(?:is|'s|are) (?:entirely |totally |purely )?optional\b"),
    # "don't use drywall screws", "I wouldn't put polyester near it", "stay away from the cheap ones"
    _phrase(
        {MENTIONED: 2.0, SUBSTITUTE: -2.0},
        before=rf"\b(?:do n't|do not|never|would n't|would not|avoid|stay away from|steer clear of) (?:ever )?"
        rf"(?:use|buy|get|try|go for|put|bother with|touch)? ?{_ARTICLE}",
    ),
    # "some people zigzag over fishing line", "the books say to use mull"
    _phrase(
        {MENTIONED: 2.0, SUBSTITUTE: -1.0},
        before=rf"\b(?:some people|some folks|people|everyone|everybody) [^.?!]*\b{_ARTICLE}",
    ),
)

# An offer speaks to the viewer, or of what would do; a sentence with none of these words offers nothing.
_OFFERING = re.compile(
    r"\b(?:you|your|would|will|could|can|works?|instead|fine|do|does|or|any|anything|either|well|good|try)\b|'ll|'d"
)


def with_statuses(v: View, mentions: list[Mention]) -> list[Mention]:
    """``mentions`` with the probabilities of their status moved by the phrases around them."""
    for m in mentions:
        if m.kind == "technique":
            continue
        first, last = v.sents[v.sent_of[m.start]]
        before = " ".join(v.low[max(first, m.start - _REACH) : m.start]).replace("’", "'")
        after = " ".join(v.low[m.end : min(last + 2, m.end + _REACH)]).replace("’", "'")
        z = [math.log(max(_LEAST, p)) for p in m.status]
        for phrase in _PHRASES:
            if phrase.before is not None and not phrase.before.search(before + " "):
                continue
            if phrase.after is not None and not phrase.after.search(after):
                continue
            z = [a + b for a, b in zip(z, phrase.shift, strict=True)]
        if not _OFFERING.search(" ".join(v.low[first:last])):
            z[SUBSTITUTE] -= 3.0
        e = [math.exp(x) for x in z]
        total = sum(e)
        m.status = (e[0] / total, e[1] / total, e[2] / total, e[3] / total)
    return mentions
