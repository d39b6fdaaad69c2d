"""Which segments tell a step of this build, and which of them belong together.

Two witnesses: the trained reader, where it is installed, and what the clause says of itself (really done, by the maker
or told to the viewer, with a verb of making). Each gives evidence in log odds; the sum decides.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from buildlog.outline.steps.ordering import said_before
from buildlog.outline.steps.phrases import same_word
from buildlog.outline.steps.segments import Segment
from buildlog.outline.steps.tables import NOUN_VERB
from buildlog.outline.steps.things import is_pronoun
from buildlog.outline.words import names_topic, plain_verb

if TYPE_CHECKING:
    from buildlog.tag.clauses import Clause
    from buildlog.tag.lexicon import Lexicon
    from buildlog.tag.reader import Floats, Reading
    from buildlog.tag.view import View

BREATH_S = 1.0  # a longer pause ends a step
FEW, MOST = 2, 3  # actions in one step: a chain of more is cut where that is easy, of more than MOST anywhere
# Fitted on tests/narrations/dev, each half scored with what the other half chose: the reader's log odds, the clause's own, what a step needs.
READ, RULE, BIAS = 1.0, 0.5, 0.6
LONG = 20  # tokens
DETAIL = -2.5  # a detail told behind a step needs no more evidence than this
UNSEEN = 0.03  # below this the reader's no is taken
PREPARED = 0.5  # what the reader counts for at least where the words say that work was done ahead


@dataclass(slots=True)
class Told:
    """Segments (indices) that tell one step; ``odds`` is the evidence for it in log odds."""

    segments: list[int]
    odds: float


_MODE = {
    "done": 0.9,
    "told": 0.8,
    "plan": 0.1,
    "state": -0.6,
    "habit": -2.0,
    "dropped": -3.0,
    "imagined": -2.2,
    "question": -2.5,
}
_EMPTY = frozenset(
    "do be have get take go come see look know think say tell show mean want need try use like find turn keep let "
    "wish hope "
    "guess feel call thank subscribe enjoy watch listen talk ask explain promise bother mind swear remember forget "
    "love hate "
    "happen work start finish end cost pay buy spend order live belong cry laugh film record upload link post share "
    "plan".split()
)
_WRONG = frozenset("wrong backwards mistake accidentally unpicked unpick".split())
_SLIPPED = _WRONG | frozenset("crooked upside puckered wonky".split())
_BINDING = frozenset("before until till til after while because where which that so as than if when once".split())
_NAMING = frozenset(["DET", "NOUN", "ADJ", "NUM"])
_PARTICLES = frozenset("off out apart up down over inside through in under".split())
_ASKING = frozenset("can could shall should do did will would may might am are".split())
_SHOP = frozenset(
    "buy order pay cost spend find inherit own save film record shoot upload post link share print write".split()
)


def evidence(
    v: View, segment: Segment, clauses: list[Clause], lexicon: Lexicon, reading: Reading | None, notes: list[Any]
) -> float:
    """Log odds that the segment tells a step."""
    start, end = _core(v, segment)
    prepared = _prepared(v, segment, clauses, lexicon)
    p = 0.5
    if reading is not None:
        p = min(0.985, max(0.015, reading.inside("S", start, end)))
        if prepared:
            p = max(p, PREPARED)
        if p < UNSEEN:
            return -3.0
    rule = _by_rule(v, segment, clauses, lexicon)
    if any(names_topic(v, a, b) for a, b in (v.sents[v.sent_of[segment.start]],)):
        return -3.0  # "Then burnishing.": a heading, not yet the doing
    if v.tag[start] == "VBG" and end - start < 4 and segment.first and v.sents[v.sent_of[start]][1] - end < 2:
        return -3.0  # "Laying it out."
    if v.tag[start] == "VBG" and end - start == 1 and v.low[segment.start] in ("now", "next", "okay", "so", "then"):
        return -3.0  # "now drilling I clamped …": a heading
    if end - start == 2 and v.pos[end - 1] in ("ADP", "ADV", "PART") and v.low[end - 1] in _PARTICLES:
        if segment.first and v.sents[v.sent_of[start]][1] - end < 2:
            return -3.0  # "Clean up."
    if v.low[start] in _ASKING and start + 1 < end and v.low[start + 1] in ("i", "we", "you"):
        return -3.0  # "Can I turn it on?"
    slip = v.low[_wrong_from(v, segment, clauses) : segment.start]
    if any(w in _WRONG for w in v.low[segment.start : segment.end]) or any(w in _SLIPPED for w in slip):
        rule -= 2.0
    if v.low[segment.end - 2 : segment.end] == ["a", "minute"] or v.low[segment.end - 3 : segment.end - 1] == [
        "a",
        "minute",
    ]:
        rule -= 3.0
    for n in notes:
        if (
            n.start < segment.end
            and segment.start < n.end
            and min(n.end, segment.end) - max(n.start, segment.start) > (segment.end - segment.start) / 2
        ):
            rule += {"pointer": -1.5, "tip": -0.7, "caution": -0.5, "off_camera": 0.4, "correction": -0.1}.get(
                n.kind, 0.0
            )
    if reading is None:
        return rule - 0.6
    if segment.clause is None:
        rule -= 0.6
    odds = READ * math.log(p / (1 - p)) + RULE * rule + BIAS
    for mark, weight in (("F", 2.5), ("L", 2.5), ("I", 4.0), ("K", 0.6), ("C", 12.0)):
        if prepared and mark == "C":
            continue
        odds -= weight * max(0.0, reading.inside(mark, start, end) - 0.3)
    return odds


def _prepared(v: View, segment: Segment, clauses: list[Clause], lexicon: Lexicon) -> bool:
    """ "I'd planed the boards before you got here": work done ahead, which the reader takes for a look back."""
    if segment.clause is None:
        return False
    c = clauses[segment.clause]
    return (
        c.perfect_past
        and c.mode == "done"
        and c.agent == "maker"
        and not c.negated
        and bool(c.objs)
        and not is_pronoun(v.low[c.objs[0]])
        and v.lemma[c.verb] in lexicon.making_verbs
        and v.lemma[c.verb] not in _EMPTY
        and said_before(v, c.verb, True) > 0
    )


def _wrong_from(v: View, segment: Segment, clauses: list[Clause]) -> int:
    """Where to look for "wrong": from the sentence's start for "did them wrong, pulled them off", else the segment."""
    objs = clauses[segment.clause].objs if segment.clause is not None else []
    again = bool(objs) and all(is_pronoun(v.low[o]) for o in objs)
    return v.sents[v.sent_of[segment.start]][0] if again else segment.start


def refine(v: View, segments: list[Segment], clauses: list[Clause], reading: Reading | None) -> list[Segment]:
    """Segments cut where the reader sees another step begin or the telling end: speech without punctuation runs on."""
    if reading is None:
        return segments
    layer = reading.layers["S"]
    out: list[Segment] = []
    for s in segments:
        cuts = [s.start]
        for i in range(s.start + 3, s.end - 2):
            inner = v.pos[i] in ("ADP", "PART") and v.pos[i - 1] != "PUNCT"  # "cut those | to length"
            inner = inner or v.pos[i - 1] in ("DET", "AUX", "PART") or (v.head[i] == i - 1 and v.dep[i] == "dobj")
            inner = inner or v.low[i - 1] in _BINDING or (v.pos[i - 1] in ("VERB", "ADP") and v.pos[i] in _NAMING)
            inner = inner or (v.pos[i] == "DET" and v.pos[i - 1] in ("ADV", "SCONJ"))
            inner = inner or (v.low[i - 1] in ("i", "we", "you") and v.pos[i] in ("AUX", "VERB"))
            inner = inner or _leads_in(v, s, clauses, i)
            if layer[i, 1] > 0.55 and i - cuts[-1] >= 3 and v.pos[i] != "PUNCT" and not inner:
                cuts.append(i)
        cuts.append(s.end)
        for a, b in itertools.pairwise(cuts):
            out += _clip(v, Segment(a, b, _clause_in(clauses, s, a, b), a == s.start and s.first), clauses, layer)
    return out


def _leads_in(v: View, s: Segment, clauses: list[Clause], i: int) -> bool:
    """Whether what stands in front of token ``i`` only says when or what for: "once it was leather hard | I carved"."""
    if s.clause is None or clauses[s.clause].verb < i:
        return False
    a = s.start
    while a < i and (v.pos[a] in ("PUNCT", "CCONJ") or v.low[a] in ("so", "then", "now")):
        a += 1
    return v.low[a] in _LEADS_IN or v.low[a : a + 3] in (["in", "order", "to"], ["by", "the", "time"])


_LEADS_IN = frozenset("once when while after until to".split())


def _clause_in(clauses: list[Clause], s: Segment, a: int, b: int) -> int | None:
    """The clause that carries tokens ``a`` to ``b`` of the segment."""
    if s.clause is not None and a <= clauses[s.clause].verb < b:
        return s.clause
    at = bisect_left(clauses, a, key=lambda c: c.verb)
    while at < len(clauses) and clauses[at].verb < b:
        if not clauses[at].light:
            return at
        at += 1
    return None


def _clip(v: View, s: Segment, clauses: list[Clause], layer: Floats) -> list[Segment]:
    """The segment, with what is not part of the telling at its end as a segment of its own."""
    p = 1.0 - layer[s.start : s.end, 0]
    if len(p) < 6 or p.max() < 0.5:
        return [s]
    end = len(p)
    while end > 0 and (p[end - 1] < 0.3 or v.pos[s.start + end - 1] == "PUNCT"):
        end -= 1
    while 0 < end < len(p) and _holds(v, s.start + end):
        end += 1  # never inside "out the way"
    bound = 0 < end < len(p) and (v.low[s.start + end - 1] in _BINDING or v.head[s.start + end] == s.start + end - 1)
    while bound and end < len(p) and v.pos[s.start + end] != "PUNCT":
        end += 1  # "squeeze it till two clicks before | it's full"
    dropped = [i for i in range(s.start + end, s.end) if v.pos[i] != "PUNCT"]
    if len(dropped) < 3 or end < 3:
        return [s]
    if _leads_in(v, s, clauses, s.start + end):
        return [s]  # the doing itself is told behind
    return [Segment(s.start, s.start + end, s.clause, s.first), Segment(s.start + end, s.end, None, False)]


def _holds(v: View, i: int) -> bool:
    """Whether what stands in front of token ``i`` wants it: "out | the way", "fold | the circle", "through | the zip"."""
    before, here = v.pos[i - 1], v.pos[i]
    return (before in ("DET", "ADP") and here in _NAMING) or (before in ("VERB", "ADV") and here == "DET")


def _core(v: View, segment: Segment) -> tuple[int, int]:
    """The segment without joining words and punctuation at its edges."""
    a, b = segment.start, segment.end
    while a < b - 1 and (
        v.pos[a] in ("PUNCT", "CCONJ", "INTJ") or v.low[a] in ("so", "then", "now", "okay", "right", "well")
    ):
        a += 1
    while b - 1 > a and v.pos[b - 1] == "PUNCT":
        b -= 1
    return a, b


def _by_rule(v: View, segment: Segment, clauses: list[Clause], lexicon: Lexicon) -> float:
    if segment.clause is None:
        words = [i for i in range(segment.start, segment.end) if v.pos[i] not in ("PUNCT", "INTJ", "CCONJ")]
        if len(words) < 2:
            return -1.5
        first = words[0]
        if v.low[first] in ("then", "next", "now", "so", "and") and len(words) > 2:
            return -0.2
        if v.low[first].endswith("ing") and v.low[first][:-3] in lexicon.making_verbs:
            return 0.4
        return -0.7 + 0.4 * any(v.pos[i] == "NUM" for i in words)
    c = clauses[segment.clause]
    lemma = "lay" if v.low[c.verb] == "lay" else v.lemma[c.verb]
    if v.low[c.verb] == "saw" and not c.own_subject:
        lemma = "saw"
    if lemma == "be" and c.mode == "state" and not c.negated and _told_as_being(v, segment, c, lexicon):
        return -0.2
    odds = _MODE[c.mode]
    if c.mode == "state" and lemma in lexicon.making_verbs and c.objs:
        odds = _MODE["told"]
    moved = lemma in ("take", "turn", "get", "come", "go", "keep") and c.mode in ("done", "told")
    if moved and (c.objs or c.passive) and any(w in _PARTICLES for w in v.low[c.verb + 1 : segment.end]):
        odds += 0.2
    elif lemma in _EMPTY or lemma in _SHOP or (lemma in lexicon.talk_verbs and lemma not in lexicon.plain_verbs):
        odds -= 1.4
    elif lemma in lexicon.making_verbs:
        odds += 0.6
    else:
        odds -= 0.5
    if c.agent == "other":
        odds -= 1.2 if c.subj is not None and v.low[c.subj] in ("they", "them") else 2.5
    elif c.agent == "none" and not c.passive:
        odds -= 0.9
    elif c.agent == "viewer" and c.mode == "done":
        odds -= 0.5
    if c.negated:
        odds -= 2.4
    if _undoes(v, c, lemma):
        odds -= 2.0
    if (
        c.agent == "none"
        and c.objs
        and not c.passive
        and c.subj is not None
        and v.low[c.subj] in ("it", "that", "this", "which")
    ):
        odds -= 1.5  # "it stops them fraying"
    first = next((i for i in range(segment.start, c.verb) if v.pos[i] not in ("ADV", "CCONJ", "PUNCT")), c.verb)
    named = next(iter(c.objs), c.attr)
    if lemma == "go" and named is not None and named > c.verb and v.pos[first] == "ADP":
        odds += 2.5  # "on top of that goes a layer of felt"
    if lemma == "go" and any(v.low[p] == "with" for p, _ in c.preps):
        odds -= 2.5  # "I went with the cotton": a choice
    if lemma == "come" and any(v.low[p] in ("at", "to") for p, _ in c.preps):
        odds -= 2.0  # "mine came out at two and five eighths"
    if c.relation == "condition":
        odds -= 2.0
    if c.perfect_past and c.passive and c.subj is not None and v.low[c.subj] in ("it", "they"):
        odds -= 2.0  # "they'd been washed so many times": history
    return odds


_UNDOING = frozenset("undo untie unpick unstitch rewind reweave redo restart".split())


def _undoes(v: View, c: Clause, lemma: str) -> bool:
    """ "I undid the last row", "I pulled it back out and wove it again": the way back from a mistake."""
    if c.mode != "done" or c.agent != "maker":
        return False
    end = v.sents[v.sent_of[c.verb]][1]
    again = any(
        w == "again" or w in ("rewove", "redid", "recut", "resewed") for w in v.low[c.verb : min(end, c.verb + 20)]
    )
    pulled = lemma in ("pull", "take", "rip", "pick") and any(
        w in ("back", "out") for w in v.low[c.verb + 1 : c.verb + 5]
    )
    return lemma in _UNDOING or (pulled and again)


def _told_as_being(v: View, segment: Segment, c: Clause, lexicon: Lexicon) -> bool:
    """ "Last thing is a coat of oil", "it's bevelled on three edges", "there's a strip to cut": a doing in a clause of
    being."""
    stage = c.subj is not None and v.lemma[c.subj] in ("thing", "job", "step", "last", "next", "bit")
    if c.agent == "maker":
        return False
    if stage and c.attr is not None and v.pos[c.attr] == "NOUN":
        return True
    for i in range(c.verb + 1, min(segment.end, c.verb + 12)):
        known = plain_verb(v.low[i], v.lemma[i], lexicon.making_verbs) in lexicon.making_verbs
        known = known and v.lemma[i] not in _EMPTY and v.lemma[i] != "leave"
        if known and v.tag[i] == "VBN" and v.dep[i] in ("attr", "acomp", "acl", "amod", "relcl", "xcomp", "ccomp"):
            return v.dep[i] != "amod" or v.head[i] < i
        left = stage or (c.subj is not None and (v.dep[c.subj] == "expl" or v.low[c.subj] == "all"))
        if known and v.tag[i] == "VB" and v.low[i - 1] == "to" and left:
            return True
    return False


def choose(
    v: View,
    segments: list[Segment],
    clauses: list[Clause],
    lexicon: Lexicon,
    reading: Reading | None,
    notes: list[Any],
    need: float = 0.0,
) -> list[Told]:
    """The steps told, in the order of the words, as runs of segments; each has more evidence than ``need``."""
    same = [same_word(v, s.start, s.end) is not None for s in segments]
    odds = [evidence(v, s, clauses, lexicon, reading, notes) + 1.2 * same[n] for n, s in enumerate(segments)]
    out: list[Told] = []
    for n, s in enumerate(segments):
        last = out[-1] if out else None
        if so_that(v, s, clauses) and (last is None or last.segments[-1] != n - 1):
            continue
        follows = last is not None and last.segments[-1] == n - 1
        if follows and odds[n] > DETAIL and _detail(v, s, clauses):
            odds[n] = max(odds[n], need + 0.01)
        if odds[n] <= need:
            continue
        if (
            last is not None
            and last.segments[-1] == n - 1
            and len(last.segments) < 2 * MOST
            and _belongs(v, segments[n - 1], s, clauses, reading)
        ):
            last.segments.append(n)
            last.odds = max(last.odds, odds[n])
        else:
            out.append(Told([n], odds[n]))
    return [part for t in out for part in _parts(v, segments, clauses, t)]


def _detail(v: View, s: Segment, clauses: list[Clause]) -> bool:
    """Whether the segment only says how the doing in front was done: "I did it with chalk", "Quarter inch seam"."""
    if s.clause is None:
        words = [i for i in range(s.start, s.end) if v.pos[i] not in ("PUNCT", "CCONJ")]
        if not 1 < len(words) < 8:
            return False
        amount = any(v.pos[i] == "NUM" or v.low[i] in ("half", "quarter") for i in words)
        part = v.lemma[words[-1]] in NOUN_VERB and v.lemma[words[-1]] not in ("seam", "stitch", "stitching")
        return amount and not part and v.pos[words[-1]] in ("NOUN", "NUM", "ADV", "ADJ", "PROPN")
    c = clauses[s.clause]
    it = len(c.objs) == 1 and v.low[c.objs[0]] in ("it", "that", "this", "them", "those")
    after = c.objs[0] + 1 if it else 0
    return it and v.lemma[c.verb] == "do" and c.agent == "maker" and v.low[after : after + 1] in (["with"], ["by"])


def _parts(v: View, segments: list[Segment], clauses: list[Clause], t: Told) -> list[Told]:
    """A chain of more actions than one sentence carries, as two of about one length.

    It is best cut where the next action names what it is done to, so that no "it" loses its thing.
    """
    actions = [n for n in t.segments if segments[n].clause is not None and not so_that(v, segments[n], clauses)]
    if len(actions) <= FEW:
        return [t]
    middle = len(actions) / 2
    named = [k for k in range(1, len(actions)) if _names_its_object(v, clauses[segments[actions[k]].clause or 0])]
    long = segments[t.segments[-1]].end - segments[t.segments[0]].start > LONG
    if len(actions) <= MOST and not (named and long):
        return [t]
    k = min(named or range(1, len(actions)), key=lambda k: (abs(k - middle), -k))
    at = t.segments.index(actions[k])
    left, right = Told(t.segments[:at], t.odds), Told(t.segments[at:], t.odds)
    return [*_parts(v, segments, clauses, left), *_parts(v, segments, clauses, right)]


def _names_its_object(v: View, c: Clause) -> bool:
    objs = [*c.objs, *([c.subj] if c.passive and c.own_subject and c.subj is not None else [])]
    return bool(objs) and not is_pronoun(v.low[objs[0]])


def so_that(v: View, s: Segment, clauses: list[Clause]) -> bool:
    """Whether the segment says what the action before it is good for: "so it sits on top", "so nobody sees it"."""
    a = s.start
    while a < s.end - 1 and v.pos[a] == "PUNCT":
        a += 1
    if s.clause is None or v.low[a] != "so" or a + 1 >= s.end:
        return False
    c = clauses[s.clause]
    return (
        c.subj is not None
        and c.subj >= a
        and (not c.passive or (not s.first and v.low[c.subj] in ("it", "they") and c.subj == a + 1))
        and (
            (c.agent in ("none", "other") and (v.low[a + 1] in _THINGS or c.negated or v.lemma[c.verb] == "have"))
            or (c.agent == "viewer" and c.negated)
        )
    )


_THINGS = frozenset("it they she he nothing nobody no everything there".split())


def _same_breath(v: View, before: Segment, s: Segment, clauses: list[Clause]) -> bool:
    """ "Push it together. I tapped it down with a hammer.": a sentence on a thing it need not name, right after."""
    if before.clause is None or s.clause is None:
        return False
    c = clauses[s.clause]
    objs = [*c.objs, *([c.subj] if c.passive and c.subj is not None else [])]
    gap = float(v.start_s[s.start]) - float(v.end_s[before.end - 1])
    opens = next((i for i in range(s.start, s.end) if v.pos[i] != "PUNCT"), s.start)
    return (
        v.low[opens] not in ("then", "next", "now", "so")
        and gap < BREATH_S
        and s.end - s.start < 14
        and before.end - before.start < 14
        and bool(objs)
        and all(v.low[o] in ("it", "them", "that", "those") for o in objs)
    )


def _belongs(v: View, before: Segment, s: Segment, clauses: list[Clause], reading: Reading | None) -> bool:
    """Whether ``s`` goes on with the step of the segment in front of it."""
    if so_that(v, s, clauses):
        return True
    if v.sent_of[before.start] != v.sent_of[s.start]:
        # A bare phrase after it (a setting, an amount), or the same thing worked on in the same breath.
        if s.clause is None and reading is not None:
            return float(reading.layers["S"][s.start : min(s.start + 4, s.end), 1].max(initial=0.0)) < 0.5
        return s.clause is None or _same_breath(v, before, s, clauses)
    if reading is not None:
        a, b = _core(v, s)
        layer = reading.layers["S"]
        begin = float(layer[s.start : min(a + 3, b), 1].max(initial=0.0))
        return begin < 0.5
    return s.clause is not None and not clauses[s.clause].own_subject
