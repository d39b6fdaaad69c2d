"""Pointers to other parts of the build or to other videos: "we drafted this in part one", "next time we set the lid".

"In a minute" and "later on" stay inside this video and are no pointers.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from buildlog.tag.notes.found import Direction, Hit
from buildlog.tag.wording import Wording, plain

if TYPE_CHECKING:
    from spacy.tokens import Span

_NUMBERS = {
    w: n + 1 for n, w in enumerate("one two three four five six seven eight nine ten eleven twelve".split())
} | {w: n + 1 for n, w in enumerate("first second third fourth fifth sixth".split())}
_N = r"(?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\d{1,2})"
_VIDEO = r"(?:videos?|episodes?|vids?|films?|instal+ments?|vlogs?|uploads?|tutorials?|streams?)"
_BACK = r"(?:last|previous|earlier|first|older|old|past|very first|opening)"
_ON = (
    r"(?:next|following|later|future|upcoming|separate|different|another|second|third|fourth|final|coming|"
    r"whole other|other)"
)

TRIGGER = re.compile(
    rf"\b(?:{_VIDEO}|parts?|next time|last time|next week|last week|next month|last month|next one|"
    rf"previous one|last one|last (?:winter|spring|summer|autumn|weekend)|another one|left off|left it|series|my channel|the channel|coming up|"
    rf"to be continued|stay tuned|tune in|join me|join us|next instal+ment|next weekend|previously|"
    rf"another day|another time|weeks (?:ago|back)|months (?:ago|back)|separately|wait a|be up on|"
    rf"next months?|last months?|next weekend|covered|on here|when (?:i|we) (?:built|made|did))\b"
)
_PART = re.compile(
    rf"(?<!in )(?<!this is )(?<!this was )(?<!welcome to )(?<![-\w])(?:parts? (?:number )?(?P<n>{_N})|(?:episode|"
    rf"video) (?:number )?(?P<n2>{_N}))\b(?! (?:parts?|of (?:water|glue|resin|hardener|oil|wax|flour|sand|"
    rf"vinegar|white|the (?:glue|mix|epoxy)))|-part)"
    rf"|\bin (?:part (?P<n3>{_N})|(?:episode|video) (?:number )?(?P<n4>{_N}))\b"
)
_THE_VIDEO = re.compile(
    rf"\b(?:(?:the|my|our|that|a|an|this|in|of|whole|earlier|from|it's|its|their|those|these|two|three|"
    rf"few) )(?:{_BACK}|{_ON}|own|other|very|one|couple of|few) (?:\w+ )?{_VIDEO}\b"
    rf"|\b(?:in|see|watch|from) (?:the|my) (?!video|film|same|new|this|rest|free|pinned|music|whole)[\w'-]+ (?:[\w'-]+ )?"
    rf"(?:video|film|episode|tutorial)\b(?! (?:description|box|i))"
    rf"|\b(?:{_BACK}|{_ON}) {_VIDEO}\b|\b(?:its|their|his) own {_VIDEO}\b"
    rf"|\b{_VIDEO} (?:ago|back|before (?:this|that|last)|after (?:this|that|next)|i (?:did|made|put out|posted))\b"
)
_PART_WORD = re.compile(
    r"\b(?:in|back to|to|until|till|for|of|from|watched|watch|saw|seen|see|missed|remember|since|after|"
    r"end of|with) (?:the )?(?P<which>last|previous|next|first|second|third|final|"
    r"earlier) part\b(?! of (?!this (?:series|video|build)|the (?:series|build|video))|"
    r" (?:of the (?!build|series|video))|,? (?:sew|glue|cut|fold|press|drill|sand|stitch|i))"
)
_WHEN = re.compile(
    r"\bnext time,?(?: around| round)? (?:we|i'll|i will|i'm|we'll|we're|join|for|the|it's|on|you'll see|"
    r"i want to show|i hope to|comes?|is|i get to)\b(?! (?:at|d|would))"
    r"|\bnext time(?: on| we|[.!]|$)|\b(?:is|that's|be|one|it|left|leave|lining|that|for|until|till|wait|"
    r"see you|join me|join us|back) (?:for |until |till )?next time\b(?! you| i'd| i would| i'm at)"
    r"|\blast time,? (?:we|i (?:showed|left|did|said|filmed|made|cut|got|had|was|ended|told|finished|"
    r"promised)|out|on|you saw|around we|if you)\b"
    r"|\b(?:from|remember|saw|since|in|did|made|as|like|than|where we (?:were|got to|left off|"
    r"stopped)) last time\b(?! i (?:checked|looked|tried|used|made))"
    r"|\b(?:that's|is|are|be|it|left|until|till|tune in|join me|back|see you|do|come back|wait) (?:for |"
    r"until |till |in )?next (?:week|weekend|month)\b(?! (?:is|was|my))"
    r"|\bnext (?:week|weekend|month),? (?:we|i'll|i'm|we'll|we're|it's the|it'll be|it gets|you'll|"
    r"the)\b(?! (?:going to (?:be|the)|away|off|is my))"
    r"|\b(?:remember|where we left|saw|left off|as|like|from|since|showed you|did|made) last (?:week|"
    r"month|weekend)\b|\b(?:you saw (?:me|us)|i showed you|we (?:made|did|built|drafted|cut|covered|sewed|turned|cast)|i (?:did|showed)) "
    r"(?:[\w']+ ){1,5}?last (?:week|month|weekend|winter|spring|summer|autumn|year|time(?! i))\b|"
    r"(?:^|[.,;] |\band )\w+ing (?:was|were) last (?:week|month|time)\b|\blast (?:week|month),? (?:we|i showed|you saw|i left)\b"
)
_OWN = re.compile(
    rf"\b(?:did|made|have|got|'ve got|filmed|shot|there's|there is|i've|put out|posted|do|doing|make|"
    rf"making|be|got) (?:\w+ )?(?:a|an|another|one) (?:\w+ ){{0,3}}?(?:{_VIDEO}|series) (?:on|about|for|of|"
    rf"showing|where|all|just|that|already|explaining|covering|dedicated)\b"
    rf"|\b(?:already|previously) (?:did|made|have|filmed|got|shot|covered|showed|"
    rf"done) (?:\w+ ){{0,3}}?(?:{_VIDEO})\b|\b{_VIDEO} (?:on|about) (?:this|that|it|the \w+) (?:already|"
    rf"joint already|before)"
    r"|\b(?:i|we)(?:'ve|ve| have|'d)? (?:covered|shown|showed|explained|done|went (?:through|into)|gone (?:through|into)|been through) "
    r"(?:[\w']+ ){0,6}?(?:(?:before|already|properly) (?:on here|on (?:the|my|this) channel|when (?:i|we) (?:built|made|did))|"
    r"on (?:here|the channel) (?:before|already)|when (?:i|we) (?:built|made) (?:the|my|our|that))\b"
    rf"|\b(?:one|two|three|four|five|a couple of|a few|several) {_VIDEO} (?:back|ago|before)\b|\b{_VIDEO} to (?:itself|themselves)\b"
    r"|\bmy (?:\w+ ){1,3}series\b|\b(?:it's|is|are|up|already|back) on (?:the|my|our) channel\b"
    r"|\b(?:pick|picking|picked|carry|carrying|start|starting|"
    r"resume) (?:\w+ )?(?:back )?(?:up )?(?:from )?where (?:we|i) (?:left|stopped|finished|were)\b|"
    r"\bwhen we (?:last )?left off\b|\bwhere we left (?:off|it|things|you)\b|\bwhen (?:i|we) last left\b"
    r"|\bnext (?:week|month|time|weekend)[,:!.]? (?:the |a |an |some )?[a-z]+(?: [a-z]+)?[.!]|\b(?:one|"
    r"that|it|job|story|video)(?:'s| is)? for another (?:day|time|video|week)\b"
    r"|\b(?:last|next) (?:month|week|time)'s (?:one|video|project|build|episode|job|make)?\b|"
    r"\bnext (?:week|month|weekend),? (?:i|we)(?:'m|'re|'ll| am| will| want| hope| plan)\b"
    r"|\bvideo (?:from|in|back in) (?:january|february|march|april|may|june|july|august|september|october|"
    r"november|december|spring|summer|autumn|winter|last|the)\b"
    r"|\b(?:remember|showed|filmed|saw|we)\b[^.]*\b(?:weeks|months) (?:ago|back)\b|"
    r"\bfilmed (?:\w+ ){1,4}separately\b|\b(?:wait|back in) (?:\w+ )?(?:a|another|till next) (?:week|"
    r"month)\b"
    r"|\b(?:will|'ll) be up on (?:monday|tuesday|wednesday|thursday|friday|saturday|sunday)\b"
    r"|\bpreviously,? (?:we|i|on|in)\b|\bto be continued\b|\bstay tuned\b|\bcoming up (?:next time|"
    r"in the next|next week|in part)\b|\bcoming soon\b"
    r"|\b(?:saving|save|leave|leaving|keep|keeping) (?:\w+ ){1,6}?for (?:another|a separate|its own|"
    r"the next|part|a later) (?:video|one|episode|time|day's video)\b"
)
_NEXT_ONE = re.compile(
    r"\b(?:in|on|see you in|see you for|for|until|till|on in|back for|back in|join me in|join me for|"
    r"job for) the (?P<which>next|last|previous|following) one\b(?! (?:up|down|along|over|is|goes|i|"
    r"of these|in line))"
)
_THIS_ONE = re.compile(
    r"\b(?:watched|saw|seen|found|follow|following|watching|thanks for watching) (?:a|the|this|some|that|"
    r"an) (?:\w+ )?(?:video|tutorial|film)\b|\bvideo shoot\b"
)
_BARE_GOODBYE = re.compile(
    r"^(?:[\w',]+ ){0,8}?(?:see you|catch you|bye|until|till|i'll see you|thanks|thank you|miss|"
    r"subscribe)\b(?:[\w', ]*?)\b(?:in|for|on|until|till)? ?(?:the )?next (?:one|time|video|episode|"
    r"week)[ ,.!]*(?:then|everyone|everybody|folks|bye|guys|bye bye|take care|maybe|thanks|cheers)?[.! ]*$"
)
_FORWARD = re.compile(
    r"\b(?:next|following|later|future|upcoming|coming|separate|will|'ll|going to|gonna|until|till|get to|"
    r"gets? its own|join|tune|saving|save|wait|another|stay tuned|continued|tackle|see you)\b|'ll\b"
)
_BACKWARD = re.compile(
    r"\b(?:last|previous|previously|earlier|ago|back|already|showed|made|did|was|were|drafted|saw|covered|"
    r"cut|built|explained|remember|missed|watched|been|first|went|left off|filmed|had|got|finished|glued|"
    r"sewed|talked)\b|\w+ed in\b"
)


def score(text: str) -> Hit | None:
    """Whether the plain (lower-case) ``text`` points at another part or video, where to and which part."""
    if _BARE_GOODBYE.search(text):
        return None
    m = _PART.search(text)
    if m:
        number = next(g for g in m.groups() if g is not None)
        if not re.search(r"\b(?:epoxy|resin|hardener|ratio|two-part|mix|mixture)\b", text):
            part = _NUMBERS.get(number) or (int(number) if number.isdigit() else None)
            return Hit(m.start(), m.end(), 0.9, _direction(text, m), part)
    for pattern, sure in ((_THE_VIDEO, 0.85), (_PART_WORD, 0.8), (_WHEN, 0.8), (_OWN, 0.8), (_NEXT_ONE, 0.75)):
        m = pattern.search(text)
        if m is None:
            continue
        if _THIS_ONE.search(text) and pattern is not _WHEN and not re.search(r"\b(?:my|last|previous)\b", m.group()):
            continue
        if re.search(r"\bthis (?:video|episode|film)\b", m.group()):
            continue
        return Hit(m.start(), m.end(), sure, _direction(text, m), _ordinal(m))
    return None


_JOINED = re.compile(r"(?:[,;]? (?=(?:and|but|so) )|[,;] )")


def apart(w: Wording) -> Wording:
    """``w`` with the stretches cut that point two ways: "we drafted it in part one, and next time it's the lid"."""
    often = Counter(w.stretch_at(m.start()) for m in TRIGGER.finditer(w.text))
    stretches: list[tuple[int, int]] = []
    for n, (start, end) in enumerate(w.stretches):
        a, b = w.chars(start, end)
        at = _turn(w.text[a:b]) if often[n] > 1 else None
        if at is None:
            stretches.append((start, end))
        else:
            stretches += [(start, w.token(a + at)), (w.token(a + at), end)]
    return replace(w, stretches=stretches, char_starts=[w.starts[a] for a, _ in stretches])


def _turn(text: str) -> int | None:
    """Where in ``text`` the second of two pointers begins that do not point the same way."""
    for m in _JOINED.finditer(text):
        first, second = score(text[: m.start()]), score(text[m.end() :])
        if first and second and first.direction != second.direction:
            return m.end()
    return None


def _ordinal(m: re.Match[str]) -> int | None:
    which = re.search(r"\b(first|second|third|fourth)\b", m.group())
    return _NUMBERS[which.group()] if which else None


def _direction(text: str, m: re.Match[str]) -> Direction:
    inside = m.group()
    if re.search(r"\b(?:next|following|future|later|separate|upcoming|own|tuned|continued|saving|coming)\b", inside):
        return "forward"
    if re.search(r"\b(?:last|previous|earlier|first|ago|back|already|left|did|made|'ve)\b", inside):
        return "back"
    clause_start = max(text.rfind(" and ", 0, m.start()), text.rfind(",", 0, m.start()), 0)
    near = text[clause_start : m.end() + 40]
    for words in (near, text):
        forward, backward = bool(_FORWARD.search(words)), bool(_BACKWARD.search(words))
        if forward != backward:
            return "forward" if forward else "back"
    return "back" if re.search(r"\b(?:part|episode) (?:one|1)\b", inside) else "forward"


def is_pointer(sent: Span) -> bool:
    """Whether the sentence points at another part or another video."""
    return score(plain(sent.text)) is not None


__all__ = ["TRIGGER", "is_pointer", "score"]
