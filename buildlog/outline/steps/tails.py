"""Where a clause ends in speech without punctuation: what the next clause opens with is given to it."""

from __future__ import annotations

import itertools
from bisect import bisect_left
from dataclasses import replace
from typing import TYPE_CHECKING

from buildlog.outline.steps.segments import Segment
from buildlog.outline.steps.tables import FRACTIONS

if TYPE_CHECKING:
    from buildlog.tag.clauses import Clause
    from buildlog.tag.view import View

_BY = frozenset(["i", "we", "you", "i'm", "we're"])
_BINDERS = frozenset(
    "when where while once until till before after so that if as what how whatever wherever than because cos who which "
    "think know reckon guess mean say see and but or then now".split()
)
_OPENING = frozenset("once when after".split())
# "the day", "the same", "the other way", "the right way out": how, not what the next clause is about.
_HOW = frozenset("same other way whole lot day night time right wrong first last next rest minute second".split())
_DOUBLE = frozenset("give hand feed show lend send call make let leave save".split())
_GOES_ON = frozenset("through into onto with from to of at against between".split())
_NAMING = frozenset(["DET", "NOUN", "ADJ", "NUM", "PROPN"])
TAIL = 9  # tokens: what opens the next clause is no longer
FEW_WORDS = 5  # an opening shorter than this, without a doing, stays with the clause behind
MARKS_IN = 20  # a mark of punctuation in fewer words than this: the speech was punctuated


def clip_tails(v: View, segments: list[Segment], clauses: list[Clause]) -> list[Segment]:
    """The segments, with what runs on at their ends cut off and given to the segment behind, if that goes on."""
    segments = _mended(v, segments, clauses)
    segments = _shifted(v, _split_on_i(v, segments, clauses), clauses)
    marks = sum(t in ",.;" for t in v.text)
    if marks * MARKS_IN > len(v.text):
        return segments
    for n, s in enumerate(segments):
        after = segments[n + 1] if n + 1 < len(segments) and segments[n + 1].start == s.end else None
        verb = clauses[s.clause].verb if s.clause is not None else s.start
        if after is not None and v.sent_of[after.start] != v.sent_of[s.end - 1]:
            after = None
        at = _broken(v, s) or _tail(v, s, after, max(verb, s.start) + 2, clauses)
        if at is None:
            continue
        s.clause = _carrier(clauses, s, s.start, at)
        if after is not None:
            after.start = at
        s.end = at
    return segments


def _split_on_i(v: View, segments: list[Segment], clauses: list[Clause]) -> list[Segment]:
    """Each segment cut where another clause of the maker's own begins: "mark the slots I did it with chalk".

    What has its object behind it tells a thing of its own; what has not says which thing ("the line I drew").
    """
    out: list[Segment] = []
    at = 0
    for s in segments:
        while at < len(clauses) and clauses[at].verb < s.start:
            at += 1
        start, n = s.start, at
        while n < len(clauses) and clauses[n].verb < s.end:
            c = clauses[n]
            front = _object_in_front(v, c, start)
            if front is not None and n != s.clause:
                out.append(Segment(start, front, _carrier(clauses, s, start, front), s.first and start == s.start))
                clauses[n] = replace(c, relation="main")
                start = front
                n += 1
                continue
            begins = c.subj if c.subj is not None and c.own_subject else -1
            if begins > start + 3 and v.low[begins - 2 : begins] == ["after", "that"] and _own_clause(v, c, begins):
                begins -= 2
            few = begins - start < FEW_WORDS and _carrier(clauses, s, start, begins) is None
            if few:
                n += 1
                continue
            if n != s.clause and not c.light and start + 1 < begins < c.verb and _own_clause(v, c, c.subj or 0):
                out.append(Segment(start, begins, _carrier(clauses, s, start, begins), s.first and start == s.start))
                clauses[n] = replace(c, relation="main")
                start = begins
            elif n == s.clause and c.subj is not None and c.own_subject and start + 1 < c.subj < c.verb:
                before = [
                    d for d in clauses[at:n] if d.verb >= start and d.relation in ("main", "conj") and not d.light
                ]
                if before and _own_clause(v, c, c.subj):
                    out.append(Segment(start, c.subj, _carrier(clauses, s, start, c.subj), s.first))
                    start = c.subj
            n += 1
        out.append(
            replace(s, start=start, clause=_carrier(clauses, s, start, s.end), first=s.first and start == s.start)
        )
    return out


def _object_in_front(v: View, c: Clause, start: int) -> int | None:
    """Where the thing begins that stands in front of "I did with": "a steel rule | the curved bits I did with a knife"."""
    s = c.subj
    if s is None or v.low[s] not in ("i", "we") or v.lemma[c.verb] != "do" or c.verb != s + 1:
        return None
    if v.low[c.verb + 1 : c.verb + 2] not in (["with"], ["by"], ["on"], ["in"]):
        return None
    for i in range(s - 1, start + 2, -1):
        if v.low[i] == "the" and v.pos[i - 1] in ("NOUN", "PROPN"):
            return i
        if v.pos[i] in ("VERB", "AUX", "PUNCT"):
            return None
    return None


def _own_clause(v: View, c: Clause, subj: int) -> bool:
    if v.low[subj - 2 : subj] == ["after", "that"] and v.low[subj] in ("i", "we", "you"):
        return any(o > c.verb for o in c.objs)
    if v.low[subj] not in ("i", "we", "you") or v.low[subj - 1] in _BINDERS or v.pos[subj - 1] in ("SCONJ", "ADP"):
        return False
    if v.pos[subj - 1] == "PUNCT" or c.mode in ("imagined", "habit", "question"):
        return False
    return any(o > c.verb for o in c.objs)


def _carrier(clauses: list[Clause], s: Segment, a: int, b: int) -> int | None:
    if s.clause is not None and a <= clauses[s.clause].verb < b:
        return s.clause
    n = bisect_left(clauses, a, key=lambda c: c.verb)  # clauses stand in the order of their verbs
    while n < len(clauses) and clauses[n].verb < b:
        if not clauses[n].light:
            return n
        n += 1
    return None


def _shifted(v: View, segments: list[Segment], clauses: list[Clause]) -> list[Segment]:
    """The object given back to the verb it follows: "clip | the corners turn it", "I sewed up | each line backstitching",
    "pushed | the brass pins through it's clamped"."""
    for s, after in itertools.pairwise(segments):
        if s.clause is None or s.end != after.start or v.pos[s.end - 1] == "PUNCT":
            continue
        a = clauses[s.clause]
        open_end = s.end - 1 == a.verb or (s.end - 2 == a.verb and v.pos[s.end - 1] in ("ADP", "ADV", "PART"))
        if not open_end or a.objs or v.pos[s.end] != "DET":
            continue
        e = s.end
        while e < after.end and v.pos[e] in _NAMING:
            e += 1
        if e < after.end and v.pos[e] in ("ADP", "ADV", "PART") and v.low[e + 1 : e + 2] in (["it"], ["i"], ["we"]):
            e += 1
        if not s.end + 1 < e < after.end:
            continue
        verb = clauses[after.clause].verb if after.clause is not None else -1
        runs_on = v.tag[e] == "VBG" or v.low[e + 1 : e + 2] in (["it"], ["them"], ["that"])
        if (e == verb and runs_on) or v.low[e] in ("it", "i", "we"):
            clauses[s.clause] = replace(a, objs=[e - 1])
            if e == verb and after.clause is not None:
                b = clauses[after.clause]
                clauses[after.clause] = replace(b, subj=None, own_subject=False, agent=a.agent, mode=a.mode)
            s.end = after.start = e
    return segments


def _mended(v: View, segments: list[Segment], clauses: list[Clause]) -> list[Segment]:
    """Segments joined where the parser took a noun for a verb ("for the brace | ends", "a quarter | screws", "and took |
    the scales down") or cut an amount in two ("an inch | and a half in the bottom")."""
    out: list[Segment] = []
    for s in segments:
        last = out[-1] if out else None
        together = last is not None and last.end == s.start and v.pos[last.end - 1] != "PUNCT"
        if last is None or last.clause is None or not together:
            out.append(s)
            continue
        verb = clauses[s.clause].verb if s.clause is not None else -1
        a = clauses[last.clause]
        third = verb == s.start and v.tag[verb] == "VBZ" and v.pos[verb - 1] in ("NOUN", "NUM", "ADJ", "PROPN")
        open_end = last.end - 1 == a.verb and not a.objs and v.pos[s.start] == "DET"
        noun = open_end and (verb < 0 or (verb == s.start + 1 and v.tag[verb] in ("VBZ", "VBP", "VB")))
        if v.lemma[s.start - 1] in FRACTIONS and v.tag[s.start] == "NNS" and s.end - s.start > 2:
            last.end = s.start = s.start + 1  # "inch and a quarter | screws predrill those"
            out.append(s)
            continue
        half = v.low[s.start : s.start + 2] == ["and", "a"] and v.low[s.start + 2 : s.start + 3] in (
            ["half"],
            ["quarter"],
        )
        hangs = v.low[s.start - 1] in _GOES_ON and verb < 0 and v.pos[s.start] in ("DET", "NOUN", "ADJ", "NUM")
        if third or noun or hangs or (half and verb < 0):
            last.end = s.end
        else:
            out.append(s)
    return out


def _broken(v: View, s: Segment) -> int | None:
    """Where a statement of being begins that nothing sets off: "leave it two days | the next part's the fun part"."""
    low = v.low
    for i in range(s.start + 3, s.end):
        is_the = low[i] == "the" and (v.pos[i - 1] in ("NOUN", "PROPN") or v.dep[i - 1] == "pobj")
        being = range(i + 2, min(i + 4, s.end - 1))
        if is_the and any(low[k] in ("'s", "is", "are") and v.pos[k + 1] in ("DET", "ADJ") for k in being):
            return i
    return None


def _tail(v: View, s: Segment, after: Segment | None, start: int, clauses: list[Clause]) -> int | None:
    """Where the tail of the segment begins, or ``None``."""
    low = v.low
    follows = after is not None and any(low[i] in _BY for i in range(after.start, min(after.start + 2, after.end)))
    for i in range(start, s.end):
        rest = s.end - i
        if low[i : i + 2] == ["make", "sure"] and rest <= 3:
            return i
        if low[i] == "nothing" and rest <= 3 and low[i - 1] not in ("so", "that"):
            return i  # "on a piece of marble nothing fancy"
        if low[i] == "wear" and low[i + 1 : i + 2] not in (["out"], ["down"]):
            return i
        if low[i] == "now" and rest > 1 and v.pos[i - 1] not in ("VERB", "AUX"):
            return i
        if low[i] == "then" and rest > 1 and low[i - 1] not in ("and", ",", "but") and _no_verb(v, i + 1, s.end):
            if v.pos[i + 1] in ("NOUN", "DET", "ADJ", "PROPN", "NUM") and v.pos[i - 1] not in ("NUM",):
                return i  # "stapled it every inch then foam"
        if not follows or rest > TAIL:
            continue
        if low[i] in _OPENING and low[i + 1] in ("that", "it", "they", "those", "that's", "it's", "they're"):
            return i  # "creased the fold once that was dry I marked …"
        if low[i] == "for" and low[i + 1] in ("the", "this", "these", "my") and _no_verb(v, i + 1, s.end):
            return i
        the = low[i] == "the" and v.pos[i - 1] in ("NOUN", "PROPN") and low[i + 1] not in _HOW
        if the and v.lemma[start - 2] not in _DOUBLE and not clauses[after.clause or 0].objs if after else False:
            return i  # "with a steel rule the curved bits I did with a round knife"
    return None


def _no_verb(v: View, a: int, b: int) -> bool:
    return not any(v.pos[i] in ("VERB", "AUX") for i in range(a, b))


__all__ = ["clip_tails"]
