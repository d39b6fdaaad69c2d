"""From what was said to what a viewer does: one segment of talk as a plain imperative phrase.

The maker's words stay in their order; what goes is the subject, tense, hedging, first person, reasons and asides. What
stood in front of the verb and matters (for what, with what, so that what) moves behind it.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from buildlog.outline.steps.segments import Segment, purpose_first
from buildlog.outline.steps.things import Thing, Things, is_pronoun
from buildlog.outline.words import (
    COMPOUNDS,
    FIRST_PERSON,
    HEDGES,
    MEANT_AFTER_VERB,
    PAST,
    PLURAL_PRONOUNS,
    hedge_at,
    plain_verb,
    third_person,
)

if TYPE_CHECKING:
    from buildlog.tag.clauses import Clause
    from buildlog.tag.lexicon import Lexicon
    from buildlog.tag.mentions import Mention
    from buildlog.tag.view import View


@dataclass(slots=True)
class Phrase:
    """An action in words, beginning with its bare verb (or "don't"). ``bare`` marks one that names no object.

    ``things`` are what is worked on; ``start`` the token where the doing is told; ``sure`` 0 to 1.
    """

    words: list[str]
    verb: str
    start: int
    things: list[Thing] = field(default_factory=list)
    bare: bool = False
    sure: float = 1.0
    inferred: bool = False
    same: bool = False
    fragment: bool = False

    @property
    def text(self) -> str:
        return " ".join(w for w in self.words if w)


# A thing that "goes" somewhere is put there: what the maker does when a thing is said to move.
_MOVED = {
    "go": "put", "sit": "set", "lie": "lay", "come": "take", "get": "get", "end": "put", "live": "keep", "fall": "drop",
}  # fmt: skip
_MOVES_ITSELF = frozenset(
    "drop slide slot fit fold turn screw hang slip pop push click snap wrap lay tuck thread pull flip roll bolt glue "
    "sew stitch clip hook button zip tie bend feed run cut rest stand lean nest meet join attach overlap".split()
)
_LEFT_ALONE = frozenset(
    "dry cool set soak cure rest stand sit rise chill steep simmer harden bake proof prove settle".split()
)
_HANGS = frozenset("hang overlap stick extend protrude overhang poke".split())
_NOT_DOING = frozenset(
    "cause quit matter want need like try bother think know mean say tell ask guess hope wish love hate remember forget show see look watch thank "
    "happen bleed cry sneeze laugh swear scream miss wonder believe".split()
)
_COPULA = frozenset(["be", "'s", "become"])
_DURATION = frozenset("overnight hour hours minute minutes day days week weeks night".split())
_CONTRACTED = {"'m": "am", "'re": "are", "'s": "is", "ca": "can", "wo": "will"}
_CARRY_BACK = frozenset(
    "with for on in from to at using without through under over against along by onto into of around inside between across".split()
)


class Rewriter:
    """Rewrites segments of one narration."""

    def __init__(
        self, v: View, clauses: list[Clause], lexicon: Lexicon, things: Things, mentions: list[Mention]
    ) -> None:
        self.v = v
        self.clauses = clauses
        self.lexicon = lexicon
        self.things = things
        self.known = lexicon.making_verbs | lexicon.plain_verbs | lexicon.talk_verbs
        self._inside_item = {
            i for m in mentions if m.kind != "technique" and m.end - m.start > 1 for i in range(m.start, m.end)
        }
        self._item = {i for m in mentions if m.kind != "technique" for i in range(m.start, m.end)}
        self._verbs = [c.verb for c in clauses]
        self._by_verb = {c.verb: c for c in clauses}
        self._named: list[Thing] = []
        self._worked: list[Thing] = []
        self._build = things.build()
        self._bend: set[int] = set()
        self._passive_run = False

    def begin(self) -> None:
        """Start a new step: nothing is named in it yet."""
        self._named = []
        self._worked = []
        self._passive_run = False

    def purpose(self, segment: Segment) -> list[str]:
        """What an action is good for, in the present: "so it sits on top"."""
        a = segment.start
        while a < segment.end - 1 and self.v.low[a] != "so":
            a += 1
        return ["so", *self._clean(a + 1, segment.end, None)]

    # ------------------------------------------------------------------ verbs

    def lemma(self, i: int) -> str:
        return plain_verb(self.v.low[i], self.v.lemma[i], self.known)

    def phrase(self, segment: Segment) -> Phrase | None:
        """The segment as an imperative phrase; ``None`` where it holds no action."""
        same = self._same_again(segment)
        if same is not None:
            return same
        if segment.clause is None:
            return self._verbless(segment)
        c = self.clauses[segment.clause]
        v = self.v
        h = c.verb
        lemma = self.lemma(h)
        if (
            h < segment.start
            or h >= segment.end
            or h in self._inside_item
            or (lemma == "face" and h + 1 < segment.end and v.low[h + 1] in ("down", "up"))
        ):
            return self._verbless(segment)
        opening = self._opening(segment, c)
        if opening is not None:
            return opening
        checked = self._checked(segment, c)
        if checked is not None:
            return checked
        talk = lemma in self.lexicon.talk_verbs and lemma not in self.lexicon.plain_verbs and lemma not in _MOVED
        if talk or lemma in _NOT_DOING:
            return None
        under_get = bool(c.frame) and v.lemma[c.frame[-1]] in ("get", "have") and v.tag[h] in ("VBN", "VBD")
        passive = c.passive or under_get or (v.tag[h] == "VBN" and self._has_be(h)) or self._half_passive(c)
        if lemma in _COPULA and not passive:
            return self._state(segment, c)
        subj = c.subj if c.subj is not None else -1
        thing_subject = (
            not passive
            and c.subj is not None
            and c.own_subject
            and segment.start <= c.subj < h
            and (c.agent == "none" or v.low[c.subj] in ("they", "these", "those"))
        )
        if lemma in ("have", "get") and not passive and c.objs:
            if thing_subject and c.subj is not None:
                return self._made(
                    segment, c, "give", [*self._object(c.subj, segment), *self._tail(h + 1, segment.end, c)]
                )
            return self._having(segment, c)
        if (
            thing_subject
            and c.subj is not None
            and is_pronoun(v.low[c.subj])
            and (
                c.objs
                or (
                    lemma not in _MOVED
                    and lemma not in _MOVES_ITSELF
                    and lemma not in _LEFT_ALONE
                    and lemma not in _HANGS
                )
            )
        ):
            return None  # "it stops them fraying": what a thing does for one is a remark
        verb = lemma
        if lemma == "come" and c.agent == "none":
            away = any(v.low[k] in ("off", "out", "away", "apart", "down") for k in v.kids[h])
            verb = "take" if away else "add"
        front: list[str] = []
        goes_on = (
            self._passive_run
            and not c.own_subject
            and not c.objs
            and v.tag[h] in ("VBN", "VBD")
            and segment.start != v.sents[v.sent_of[h]][0]
        )
        alone = v.tag[h] == "VBN" and not c.own_subject and not c.objs and c.relation == "main" and not passive
        self._passive_run = passive or goes_on
        if passive and c.subj is not None and c.own_subject and c.subj < h:
            front = self._object(c.subj, segment)
        elif goes_on or (passive and self._named and c.relation != "main"):
            front = ["them" if self._named and self._named[-1].plural else "it"]
        elif alone and (named := self._named_before(segment, h)) is not None:
            front = self._object(named, segment)
        elif alone and lemma in self.lexicon.making_verbs:
            thing = self.things.near(h)
            front = [thing.the if thing else "it"]
            if thing:
                self._named.append(thing)
        elif passive and c.subj is not None:
            front = self._object(c.subj, segment)
        elif passive and c.relation == "main":
            noun = next(
                (
                    i
                    for i in range(h - 1, segment.start - 1, -1)
                    if v.pos[i] in ("NOUN", "PROPN") and v.dep[i] != "compound"
                ),
                None,
            )
            front = ["the", v.low[noun]] if noun is not None else []
        elif thing_subject:
            rest = range(h + 1, segment.end)
            if lemma in _LEFT_ALONE and not c.objs:
                if (
                    any(v.low[i] in _DURATION for i in rest)
                    or any(v.low[i] == "until" for i in rest)
                    or lemma in ("dry", "cool", "cure")
                ):
                    front = self._object(subj, segment)
                    verb = "leave" if lemma in ("sit", "stand", "rest") else "let"
                    back = [] if verb == "leave" else [lemma]
                    tail = self._tail(h + 1, segment.end, c)
                    return self._made(segment, c, verb, [*front, *back, *tail])
            if not c.objs and lemma in _HANGS:
                return self._made(
                    segment, c, "let", [*self._object(subj, segment), lemma, *self._tail(h + 1, segment.end, c)]
                )
            if not c.objs and (lemma in _MOVED or lemma in _MOVES_ITSELF):
                verb = _MOVED.get(lemma, lemma) if lemma != "come" else verb
                front = self._object(subj, segment)
            elif not c.objs and lemma in self.lexicon.making_verbs:
                front = self._object(subj, segment)
        if lemma == "do" and not c.objs and not front:
            where = [*self._tail(h + 1, segment.end, c), *self._fronted(c, segment, [])]
            return (
                Phrase(["do", "the", "same", *where], "do", segment.start, [], sure=0.6, same=True)
                if where[:1] == ["for"]
                else None
            )
        compound = self._compound(h, segment.start)
        head = [*compound, verb]
        adverb = self._manner(c, segment.start, h)
        fronted = self._fronted(c, segment, compound)
        dislocated: list[str] = []
        if not front:
            dislocated = self._dislocated(c, segment)
        tail = self._tail(h + 1, segment.end, c, drop_object=bool(dislocated))
        return self._made(segment, c, verb, [*front, *dislocated, *tail, *fronted], head=[*adverb, *head])

    def _named_before(self, segment: Segment, h: int) -> int | None:
        """The thing named right before a participle: "three loops, made of the same ribbon"."""
        v = self.v
        for i in range(segment.start, h):
            if v.pos[i] in ("NOUN", "PROPN") and v.dep[i] not in ("compound", "pobj", "npadvmod", "poss"):
                return i
        return None

    def _made(self, segment: Segment, c: Clause, verb: str, rest: list[str], head: list[str] | None = None) -> Phrase:
        v = self.v
        words = [*(head or [verb]), *rest]
        if c.negated:
            words = ["don't", *words]
        things = [t for t in (self.things.at(o) for o in self._objects(c)) if t is not None] + self._worked[-1:]
        for t in things:
            self.things.remember(c.verb, t)
        bare = not any(w.lower() not in _PARTICLES for w in rest)
        start = segment.start
        while start < c.verb and (v.pos[start] in ("PUNCT", "CCONJ", "INTJ") or v.low[start] in HEDGES):
            start += 1
        return Phrase(words, verb, start, things, bare)

    def _objects(self, c: Clause) -> list[int]:
        return [*c.objs, *([c.subj] if c.passive and c.subj is not None else [])]

    def _has_be(self, h: int) -> bool:
        return any(self.v.dep[k] == "auxpass" for k in self.v.kids[h])

    def _half_passive(self, c: Clause) -> bool:
        """ "They're all hammered home", where the parser took "is" as a helping verb of an active clause."""
        v = self.v
        return v.tag[c.verb] == "VBN" and any(
            v.lemma[k] == "be" and k < c.verb for k in v.kids[c.verb] if v.dep[k] == "aux"
        )

    def _opening(self, segment: Segment, c: Clause) -> Phrase | None:
        """ "Lay the webbing on the front, hold it": an order that the parser did not take for a verb."""
        v = self.v
        a = segment.start
        while a < c.verb and (v.pos[a] in ("PUNCT", "CCONJ", "INTJ") or v.low[a] in HEDGES):
            a += 1
        if a >= c.verb or v.low[a] not in self.lexicon.making_verbs or a in self._inside_item or a in c.frame:
            return None
        if v.pos[a + 1] not in ("DET", "PRON", "NUM", "ADP") or any(
            v.dep[k] in ("aux", "auxpass") for k in v.kids[c.verb]
        ):
            return None
        if (c.subj is not None and c.own_subject and v.low[c.subj] in FIRST_PERSON | {"you"}) or (
            v.dep[a] in ("compound", "amod") and v.head[a] == a + 1
        ):
            return None
        words = self._clean(a + 1, segment.end, None)
        return Phrase([v.low[a], *words], v.low[a], a, list(self._named[-1:]), sure=0.8) if words else None

    def _checked(self, segment: Segment, c: Clause) -> Phrase | None:
        """ "Check the pockets line up", "make sure the seams meet": the checking is the action."""
        v = self.v
        if not c.frame or not c.own_subject or c.agent in ("maker", "viewer") or c.negated:
            return None
        f = c.frame[-1]
        if (
            v.lemma[f] not in ("check", "ensure", "make")
            or f < segment.start
            or (v.lemma[f] == "make" and not any(v.low[k] in ("sure", "certain") for k in v.kids[f]))
        ):
            return None
        words = self._clean(f + 1, segment.end, None)
        return Phrase([v.lemma[f], *words], v.lemma[f], f, [], sure=0.9) if words else None

    def _compound(self, h: int, start: int) -> list[str]:
        """Words that belong to the verb in front of it: "slip stitch", "hand sew", "dry fit"."""
        v = self.v
        if h - 1 < start or v.pos[h - 1] not in ("NOUN", "ADJ", "PROPN", "ADV", "VERB"):
            return []
        lemmas, low = v.lemma, v.low
        for back in (2, 1):
            i = h - back
            if i < start:
                continue
            if any(m.end > h for m in self.lexicon.technique_terms_at(lemmas, low, i)) or (
                back == 1 and v.low[i] in COMPOUNDS and v.dep[i] not in ("nsubj", "nsubjpass", "dobj") and not v.kids[i]
            ):
                return [low[j] for j in range(i, h)]
        return []

    def _manner(self, c: Clause, start: int, h: int) -> list[str]:
        v = self.v
        return [
            v.low[k]
            for top in (h, *c.frame)
            for k in v.kids[top]
            if start <= k < h and v.dep[k] == "advmod" and v.low[k].endswith("ly") and v.low[k] not in HEDGES
            and v.low[k] not in ("only", "finally", "normally", "usually", "firstly", "secondly", "thirdly", "lastly", "early", "recently")
        ]  # fmt: skip

    # ------------------------------------------------------------------ what stood before the verb

    def _fronted(self, c: Clause, segment: Segment, compound: list[str]) -> list[str]:
        """Phrases before the subject that say how, where, with what or what for, to be told behind the verb."""
        v = self.v
        limit = c.verb - len(compound)
        out: list[str] = []
        for top in (*c.frame, c.verb):
            for k in v.kids[top]:
                if not (segment.start <= k < limit) or v.right[k] >= limit:
                    continue
                if (
                    v.dep[k] == "prep"
                    and v.low[k] in _CARRY_BACK
                    and any(v.pos[j] in ("NOUN", "PROPN", "NUM") for j in v.subtree(k))
                ):
                    if c.subj is not None and k > c.subj and not v.left[k] <= c.subj <= v.right[k]:
                        continue
                    out += self._clean(v.left[k], v.right[k] + 1, c)
                elif v.dep[k] in ("advcl", "ccomp"):
                    d = self._by_verb.get(k)
                    if d is not None and purpose_first(v, d):
                        out += ["so", *self._clean(v.left[k] + (v.low[v.left[k]] == "so"), v.right[k] + 1, c)]
                        continue
                    if v.dep[k] == "ccomp":
                        continue
                    if d is not None and d.relation in ("purpose", "time", "condition") and v.left[k] < d.verb:
                        mark = v.low[v.left[k]]
                        if d.relation == "time" and mark not in (
                            "once",
                            "when",
                            "after",
                            "before",
                            "until",
                            "till",
                            "while",
                            "as",
                        ):
                            continue
                        if mark in ("while", "as", "before"):
                            continue
                        out += self._clean(v.left[k], v.right[k] + 1, c)
        return out

    def _dislocated(self, c: Clause, segment: Segment) -> list[str]:
        """The object where it stands before the subject: "every other line I ran …", "those two rings, I linked them"."""
        v = self.v
        again = [o for o in c.objs if o > c.verb]
        if again and not (len(again) == 1 and is_pronoun(v.low[again[0]])):
            return []
        for k in v.kids[c.verb]:
            if (
                not (segment.start <= k < c.verb)
                or k == c.subj
                or v.pos[k] not in ("NOUN", "PROPN")
                or v.tag[k] == "VBG"
            ):
                continue
            if v.dep[k] in (("dobj",) if not again else ("dobj", "npadvmod", "dep", "nsubj", "ccomp")) and (
                c.subj is None or k < c.subj
            ):
                if v.lemma[k] in _DURATION or v.lemma[k] in ("time", "morning", "evening", "way"):
                    continue
                return self._object(k, segment)
        return []

    # ------------------------------------------------------------------ things

    def _object(self, i: int, segment: Segment) -> list[str]:
        """The noun phrase of head ``i`` as an object; a pronoun gives way to what it stands for."""
        v = self.v
        if is_pronoun(v.low[i]) and not v.kids[i]:
            return [self._pronoun(i)]
        lo, hi = v.left[i], v.right[i] + 1
        lo = max(lo, segment.start)
        hi = min(hi, segment.end)
        if segment.clause is not None and i < self.clauses[segment.clause].verb < hi:
            hi = min(
                [k for k in (self.clauses[segment.clause].verb, *self._helpers(self.clauses[segment.clause])) if k > i]
            )
        for k in v.kids[i]:
            if v.dep[k] in ("relcl", "acl", "appos") and k > i:
                hi = min(hi, v.left[k])
        while hi - 1 > i and (v.low[hi - 1] in ("'s", "’s") or v.pos[hi - 1] in ("PUNCT", "AUX")):
            hi -= 1  # "that seam's clipped"
        words = self._clean(lo, hi, None)
        t = self.things.at(i)
        if t is not None:
            self._named.append(t)
            self._worked.append(t)
        return words

    def _helpers(self, c: Clause) -> list[int]:
        """The helping words of the clause: "is", "has been", "not"."""
        return [
            k for top in (c.verb, *c.frame) for k in self.v.kids[top] if self.v.dep[k] in ("aux", "auxpass", "neg")
        ] + c.frame

    def _pronoun(self, i: int) -> str:
        """What to write for the pronoun at ``i``."""
        v = self.v
        low = v.low[i]
        thing = self.things.meant(i)
        if thing is None:
            if self._named:
                return "them" if low in PLURAL_PRONOUNS else "it"
            if low in PLURAL_PRONOUNS:
                return "the pieces"
            if self._build is None or self._build.plural:
                return "the piece"
            self._named.append(self._build)
            return self._build.the
        if any(t.name == thing.name for t in self._named):
            return "them" if thing.plural else "it"
        self._named.append(thing)
        self._worked.append(thing)
        return thing.the

    def _that_one(self, i: int) -> list[str]:
        """What to write for "that one", "those ones" at token ``i`` of "one"."""
        if self._named:
            return ["them" if self._named[-1].plural else "it"]
        thing = self.things.near(i)
        if thing is None:
            return ["the piece"]
        self._named.append(thing)
        return [thing.the]

    # ------------------------------------------------------------------ words behind the verb

    def _tail(self, start: int, end: int, c: Clause, drop_object: bool = False) -> list[str]:
        skip: set[int] = set()
        if drop_object:
            skip.update(c.objs)
        return self._clean(start, end, c, skip)

    def _dropped(self, start: int, end: int, c: Clause | None) -> set[int]:
        """Tokens of reasons, first-person asides and remarks between ``start`` and ``end``."""
        v = self.v
        out: set[int] = set()
        for d in self.clauses[bisect_left(self._verbs, start) : bisect_left(self._verbs, end)]:
            if not (start <= d.verb < end) or (c is not None and d.verb == c.verb):
                continue
            lo, hi = max(start, v.left[d.verb]), min(end, v.right[d.verb] + 1)
            if lo <= start and c is None:
                lo = start
            low = v.low[lo]
            mark = next((v.low[k] for k in v.kids[d.verb] if v.dep[k] == "mark"), "")
            subj_low = v.low[d.subj] if d.subj is not None and d.own_subject else ""
            if (
                (mark in ("as", "while") and subj_low in ("i", "we"))
                or d.relation == "reason"
                or mark in ("because", "since", "although", "though", "cause", "cuz", "cos")
                or low in ("because", "cos", "cuz", "cause")
            ):
                out.update(range(lo, end if low in ("because", "cos", "cuz") else hi))
            elif (
                v.dep[d.verb] == "relcl"
                and (d.agent in ("maker", "other") or d.mode == "state" or low in ("which", "who"))
            ) or (v.dep[d.verb] in ("parataxis",) and d.agent == "maker"):
                out.update(range(lo, hi))
        return out

    def _clean(self, start: int, end: int, c: Clause | None, skip: set[int] | None = None) -> list[str]:
        """The tokens as they can be published."""
        v = self.v
        drop = self._dropped(start, end, c) | (skip or set())
        out: list[str] = []
        i = start
        while i < end:
            low, text = v.low[i], v.text[i]
            if i in drop:
                i += 1
                continue
            if low in ("because", "cos", "cuz", "coz", "'cause") or (low == "cause" and v.pos[i] != "NOUN"):
                break
            if (
                low == "like"
                and v.pos[i] in ("ADP", "SCONJ")
                and not (
                    i + 1 < end
                    and (
                        v.pos[i + 1] == "NUM" or (v.low[i + 1] in _NUMBERS and v.low[min(i + 2, end - 1)] in _FRACTIONS)
                    )
                )
            ):
                i = max(i + 1, min(end, v.right[i] + 1))  # a likeness is a remark
                continue
            n = hedge_at(v.low, i, end)
            if n and not (n == 1 and low == "look" and v.pos[i] == "NOUN"):
                i += n
                if i < end and v.text[i] == "," and out and out[-1] == ",":
                    i += 1
                continue
            if low == "say" and i and v.text[i - 1] == ",":
                i += 1
                continue
            if (
                low in HEDGES
                and v.pos[i] not in _CONTENT
                and not (low in MEANT_AFTER_VERB and self._meant(i, start, end))
            ):
                i += 1
                if i < end and v.text[i] == "," and (not out or out[-1] == ","):
                    i += 1
                continue
            if low == "since" and v.dep[i] == "mark" and i > start:
                break
            if low == "it" and i + 2 < end and v.low[i + 1] in ("'s", "’s") and v.low[i + 2] == "own":
                out.append("its")
                i += 2
                continue
            if (
                low == "there"
                and v.pos[i] == "ADV"
                and (i + 1 == end or v.pos[i + 1] in ("PUNCT", "CCONJ", "DET"))
                and v.low[i - 1] not in ("from", "in")
            ):
                i += 1
                continue
            if (
                low in ("this", "that", "these", "those", "the")
                and i + 1 < end
                and v.low[i + 1] in ("one", "ones")
                and not (i + 2 < end and (v.text[i + 2] == "-" or v.pos[i + 2] in ("NOUN", "ADJ", "NUM", "PROPN")))
            ):
                words = self._that_one(i + 1)
                out += words
                i += 2
                continue
            if v.pos[i] == "INTJ":
                i += 1
                continue
            if low in ("my", "our", "his", "her", "their", "your") and v.tag[i] == "PRP$":
                noun = v.head[i]
                if low in ("my", "our"):
                    if v.lemma[noun] in (
                        "finger",
                        "hand",
                        "thumb",
                        "nail",
                        "eye",
                        "head",
                        "knee",
                        "palm",
                        "body",
                        "face",
                        "arm",
                    ):
                        out.append("your")
                    else:
                        out.append("the")
                else:
                    out.append(text)
                i += 1
                continue
            if low in ("me", "us", "myself", "ourselves") and v.dep[i] in ("dative", "dobj", "npadvmod", "pobj"):
                if v.dep[i] == "pobj" and out:
                    out.pop()
                i += 1
                continue
            if low in ("this", "that", "these", "those") and not self._points_alone(i, end, c):
                if v.dep[i] == "det" or v.pos[i] == "DET":
                    out.append("the")
                    i += 1
                    continue
            elif (
                is_pronoun(low)
                and low not in ("both", "itself", "themselves")
                and (low in ("this", "that", "these", "those") or v.dep[i] not in ("nsubj", "expl", "csubj", "poss"))
            ):
                out.append(self._pronoun(i))
                i += 1
                continue
            if low == "mine":
                out.append("it")
                i += 1
                continue
            if low == "like":
                out.append("about")
                i += 1
                continue
            if v.pos[i] in ("VERB", "AUX") and (c is None or i != c.verb):
                words, i = self._verb(i, end, out)
                out += words
                continue
            if low in ("i", "we"):
                out.append("you")
                i += 1
                continue
            t = self.things.at(i)
            if t is not None and v.dep[i] in ("dobj", "nsubjpass", "pobj", "conj"):
                self._named.append(t)
            out.append("and" if text == "&" else text if text.isupper() and len(text) > 1 else self._case(i))
            i += 1
        return _tidy(out)

    def _points_alone(self, i: int, end: int, c: Clause | None) -> bool:
        """Whether "that" at ``i`` stands for a thing by itself ("swing that round"), whatever the parser made of it."""
        v = self.v
        if v.dep[i] in ("mark", "nsubj", "nsubjpass", "expl") or (
            v.pos[i] == "SCONJ" and (c is None or i != c.verb + 1)
        ):
            return False
        nxt = i + 1
        if nxt >= end or v.pos[nxt] in ("PUNCT", "ADP", "ADV", "CCONJ", "PART", "SCONJ"):
            return True
        return v.dep[i] in ("dobj", "pobj") and v.pos[nxt] not in ("NOUN", "NUM", "PROPN")

    def _case(self, i: int) -> str:
        v = self.v
        first_of_sentence = v.sents[v.sent_of[i]][0] == i
        if first_of_sentence and v.pos[i] != "PROPN":
            return v.low[i]
        return v.text[i]

    def _meant(self, i: int, start: int, end: int) -> bool:
        """Whether a word that is often filler says something here ("drilled again", "only halfway", "too tight")."""
        v = self.v
        low = v.low[i]
        if low == "again":
            return True
        if low in ("only", "even", "just"):
            return low == "only"
        if low == "right":
            return (i > start and (v.pos[i - 1] in ("ADP", "DET", "ADJ") or v.low[i - 1] in ("and", "or", "left"))) or (
                i + 1 < end
                and v.low[i + 1] in ("side", "sides", "angle", "angles", "through", "along", "up", "down", "across")
            )
        if low == "first":
            return v.pos[i] == "ADJ" and i + 1 < end and v.pos[i + 1] in ("NOUN", "NUM", "ADJ")
        if low == "too":
            return i + 1 < end and v.pos[i + 1] in ("ADJ", "ADV")
        if low == "so" and i > start and v.low[i - 1] == "or":
            return True
        if low == "so":
            mark = v.dep[i] == "mark" or (
                i + 1 < end
                and v.low[i + 1]
                in ("it", "they", "that", "you", "the", "there", "no", "nothing", "i", "we", "everything")
            )
            return mark or (i + 1 < end and v.pos[i + 1] == "ADJ")
        if low == "then":
            return (
                i > start
                and v.low[i - 1] in ("and", ",")
                and v.pos[min(i + 1, end - 1)] in ("NUM", "NOUN", "ADP", "DET", "VERB", "ADV")
            )
        return False

    def _verb(self, i: int, end: int, before: list[str]) -> tuple[list[str], int]:
        """A verb of a clause that is kept, in the present and in the second person; and the next token."""
        v = self.v
        low, tag = v.low[i], v.tag[i]
        head = v.head[i]
        main = head if v.dep[i] in ("aux", "auxpass") else i
        subj = next((k for k in v.kids[main] if v.dep[k] in ("nsubj", "nsubjpass")), None)
        singular = subj is not None and (
            v.tag[subj] in ("NN", "NNP")
            or v.low[subj] in ("it", "this", "that", "he", "she", "everything", "nothing", "nobody", "one")
        )
        if subj is not None and any(v.dep[k] == "conj" for k in v.kids[subj]):
            singular = False
        if subj is None:
            singular = False
        if v.dep[i] in ("aux", "auxpass"):
            nxt = i + 1
            negative = nxt < end and v.low[nxt] in ("n't", "not", "n’t")
            if low in ("would", "'d", "did", "will", "'ll", "wo", "had") and main > i:
                if low == "had" and not negative:
                    return ["has" if singular else "have"], nxt
                if negative:
                    return [("doesn't" if singular else "don't")], nxt + 1
                if singular and low != "had":
                    # "it'd lie" -> "it lies": the helping verb goes, the verb takes its ending.
                    self._bend.add(main)
                return [], nxt
            if low == "could":
                return ["can"], nxt
            if low in ("was", "were", "'s", "'re", "'m", "is", "are", "am"):
                return ["is" if singular else "are"], nxt
            if low in ("do", "does") and negative:
                return ["doesn't" if singular else "don't"], nxt + 1
            return [_CONTRACTED.get(low, low)], nxt
        if i in self._bend:
            self._bend.discard(i)
            return [third_person(self.lemma(i))], i + 1
        if (
            tag in ("VBD", "VBZ")
            and subj is not None
            and v.dep[i] in ("ccomp", "conj", "dep", "advcl")
            and v.pos[subj] != "PRON"
        ):
            bound = any(v.dep[k] == "mark" or v.low[k] in _BINDING for k in v.kids[i]) or v.lemma[head] in _KNOWS
            if not bound and self.lemma(i) != "be":
                return [v.low[i]], i + 1  # "slip stitch the gap closed": a participle, whatever the tagger says
        if tag == "VBD":
            if self.lemma(i) == "be":
                return ["is" if singular else "are"], i + 1
            if subj is None and v.dep[i] not in ("conj", "relcl", "advcl", "ccomp"):
                return [v.text[i].lower()], i + 1
            return [third_person(self.lemma(i)) if singular else self.lemma(i)], i + 1
        if tag in ("VBZ", "VBP") and self.lemma(i) == "be":
            return ["is" if singular or low in ("is", "'s") else "are"], i + 1
        return [v.text[i] if v.text[i].isupper() else v.low[i]], i + 1

    # ------------------------------------------------------------------ the same again

    def _same_again(self, segment: Segment) -> Phrase | None:
        """ "The lid is the same again, only shorter", "I did the same for the other side", "do that again"."""
        v = self.v
        at = same_word(v, segment.start, segment.end)
        if at is None:
            return None
        c = self.clauses[segment.clause] if segment.clause is not None else None
        if c is not None and self.lemma(c.verb) not in ("do", "be", "go", "get", "have", "repeat"):
            return None
        rest = at + 1
        while rest < segment.end and v.low[rest] in (
            "thing",
            "deal",
            "dance",
            "again",
            "way",
            "story",
            "process",
            "method",
            "as",
            "before",
            "idea",
            "did",
            "what",
            "we",
            "just",
            "it",
            "i",
            "that",
            "exactly",
            "trick",
            "drill",
        ):
            rest += 1
        tail = self._clean(rest, segment.end, None)
        if tail and tail[0] not in ("for", "on", "with", "to", "onto", "in", "but", "only", "except", "at", ","):
            tail = [",", *tail]
        if (
            c is not None
            and c.subj is not None
            and c.verb > c.subj >= segment.start
            and self.lemma(c.verb) in ("be", "go", "get")
            and not is_pronoun(v.low[c.subj])
            and v.pos[c.subj] in ("NOUN", "PROPN")
        ):
            front = self._object(c.subj, segment)
            if front and front[0].lower() not in ("the", "a", "an", "each", "both", "all", "every", "another"):
                front = ["the", *front]
            return Phrase(
                ["make", *front, "the", "same", "way", *_with_comma(tail)],
                "make",
                segment.start,
                [],
                sure=0.8,
                same=True,
            )
        fronted = self._clean(segment.start, at, None) if c is None else self._fronted(c, segment, [])
        if c is None and fronted:
            lead = [w for w in fronted if w.lower() not in ("for", "do", "the", "exactly")]
            if lead:
                return Phrase(
                    ["make", "the", *lead, "the", "same", "way", *_with_comma(tail)],
                    "make",
                    segment.start,
                    [],
                    sure=0.7,
                    same=True,
                )
        fronted = [w for w in fronted if w]
        if not tail and not fronted:
            return Phrase(["repeat", "the", "same", "step"], "repeat", segment.start, [], sure=0.5, same=True)
        return Phrase(["do", "the", "same", *fronted, *_with_comma(tail)], "do", segment.start, [], sure=0.8, same=True)

    # ------------------------------------------------------------------ states and phrases without a verb

    def _state(self, segment: Segment, c: Clause) -> Phrase | None:
        """ "Both halves are level", "the binding is two inch strips", "there's a hole at the top"."""
        v = self.v
        tail_start = c.verb + 1
        made = self._made_so(segment, c)
        if made is not None:
            return made
        if c.subj is None or c.subj > c.verb or not (segment.start <= c.subj):
            words = self._clean(tail_start, segment.end, c)
            return self._made(segment, c, "use", words) if words else None
        low = v.low[c.subj]
        if low == "there" or v.dep[c.subj] == "expl":
            words = self._clean(tail_start, segment.end, c)
            return self._made(segment, c, "make", words) if words else None
        words = self._clean(tail_start, segment.end, c)
        if not words:
            return None
        attr = c.attr
        if attr is not None and v.pos[attr] in ("NOUN", "PROPN") and (is_pronoun(low) or low == "what"):
            kind, _ = self.lexicon.classify(v.lemma[attr], [])
            if (
                any(v.dep[k] == "nummod" or v.low[k] in ("a", "an") for k in v.kids[attr])
                and v.lemma[attr] in self._NOUN_VERB
            ):
                return self._made(segment, c, self._for_noun(attr, kind), words)
            return None
        if is_pronoun(low):
            return None  # "it's tacky": how a thing is, not what to do
        front = self._object(c.subj, segment)
        if low == "mine" or (attr is not None and v.pos[attr] == "NUM"):
            return None
        if not front:
            return None
        if attr is not None and v.pos[attr] in ("NOUN", "PROPN"):
            kind, _ = self.lexicon.classify(v.lemma[attr], [])
            if kind in ("material", "tool"):
                return self._made(segment, c, "use", [*words, "for", *front])
            return self._made(segment, c, "make", [*front, *words])
        if attr is not None:
            return self._made(segment, c, "make", [*front, *words])
        return self._made(
            segment, c, "put" if any(v.dep[k] == "prep" for k in v.kids[c.verb]) else "make", [*front, *words]
        )

    def _made_so(self, segment: Segment, c: Clause) -> Phrase | None:
        """ "There's a hole bored with a spade bit", "it's a hollow, cut with a gouge", "first job is strip it": the
        doing hangs on the thing that there is."""
        v = self.v
        for top in (
            c.attr,
            *(k for k in v.kids[c.verb] if v.dep[k] in ("attr", "nsubj", "ccomp", "xcomp", "acomp", "advcl", "conj")),
        ):
            if top is None or top <= c.verb or top >= segment.end:
                continue
            if v.tag[top] == "VB" and self.lemma(top) in self.lexicon.making_verbs:
                return self._made(segment, c, self.lemma(top), self._clean(top + 1, segment.end, None))
            for k in (*v.kids[top], *((top,) if v.tag[top] == "VBN" or v.low[top] in PAST else ())):
                if (
                    (v.tag[k] == "VBN" or (v.tag[k] == "JJ" and v.low[k] in PAST))
                    and top <= k < segment.end
                    and self.lemma(k) in self.lexicon.making_verbs
                    and (k == top or v.dep[k] in ("acl", "relcl", "amod", "appos"))
                ):
                    before = self._clean(c.verb + 1, k, c) if k > c.verb + 1 else []
                    if not before and c.subj is not None and v.low[c.subj] != "there":
                        before = self._object(c.subj, segment)
                    return self._made(segment, c, self.lemma(k), [*before, *self._clean(k + 1, segment.end, None)])
        return None

    def _having(self, segment: Segment, c: Clause) -> Phrase | None:
        """ "I've got a walking foot on", "I have the iron at 350 degrees"."""
        words = self._clean(c.verb + 1, segment.end, c)
        low = [w.lower() for w in words]
        if low and low[-1] in ("on", "in", "under"):
            verb = "put"
        elif "at" in low or "to" in low:
            verb = "set"
        else:
            verb = self._for_noun(c.objs[0], self.lexicon.classify(self.v.lemma[c.objs[0]], [])[0])
        return self._made(segment, c, verb, words)

    _NOUN_VERB = {
        "seam": "sew", "stitch": "sew", "row": "sew", "stitching": "sew", "tuck": "sew", "dart": "sew", "hem": "sew", "pleat": "make", "hole": "make",
        "coat": "apply", "layer": "add", "groove": "cut", "notch": "cut", "slot": "cut", "mortise": "cut", "tenon": "cut", "line": "mark",
        "mark": "mark", "screw": "drive in", "nail": "drive in", "tack": "drive in", "staple": "drive in", "rivet": "set", "clamp": "put on",
        "piece": "cut", "strip": "cut", "square": "cut", "rectangle": "cut", "circle": "cut", "panel": "cut", "length": "cut", "blank": "cut",
        "button": "sew on", "zip": "sew in", "zipper": "sew in", "loop": "make", "knot": "tie", "pass": "make", "template": "make",
        "stitches": "sew",
    }  # fmt: skip

    def _for_noun(self, i: int, kind: str | None) -> str:
        """The verb that a thing alone stands for ("two coats", "half inch seam", "two side panels")."""
        lemma = self.v.lemma[i]
        if lemma in self._NOUN_VERB:
            return self._NOUN_VERB[lemma]
        if kind == "piece":
            return "cut" if any(self.v.dep[k] == "nummod" for k in self.v.kids[i]) else "make"
        if kind in ("tool",):
            return "use"
        if kind == "material":
            term = self.lexicon.find(lemma)
            group = term.group if term is not None else ""
            return {"coating": "apply", "finish": "apply", "adhesive": "apply", "glue": "apply", "fastener": "add"}.get(
                group, "add"
            )
        return "add"

    def _verbless(self, segment: Segment) -> Phrase | None:
        """A phrase without a verb: a gerund, a technique's name, or things that are added."""
        v = self.v
        a, b = segment.start, segment.end
        while a < b and (
            v.pos[a] in ("PUNCT", "CCONJ", "INTJ")
            or v.low[a] == "last"
            or (v.low[a] in HEDGES and v.low[a] != "right")
            or (v.low[a] in ("okay", "right") and a + 1 < b and v.low[a + 1] not in ("side", "sides"))
        ):
            a += 1
        if a >= b:
            return None
        bare_verb = (
            v.low[a] in self.lexicon.making_verbs
            and a + 1 < b
            and (v.pos[a + 1] in ("DET", "PRON", "NUM", "ADV", "ADP", "PART") or v.pos[a] == "VERB")
        )
        if (
            a not in self._inside_item
            and not (a in self._item and v.pos[a] == "NOUN")
            and (
                (
                    v.tag[a] in ("VBN", "VB", "VBD", "VBP")
                    or (v.tag[a] == "VBG" and self.lexicon.classify(v.low[a])[0] not in ("material", "piece"))
                )
                or bare_verb
                or (v.low[a].endswith("ing") and self.lemma_of_gerund(a))
            )
        ):
            verb = (
                v.low[a]
                if bare_verb
                else self.lemma(a)
                if v.tag[a].startswith("V")
                else (self.lemma_of_gerund(a) or v.low[a])
            )
            words = self._clean(a + 1, b, None)
            named = self._named[-1:]
            participle = v.tag[a] in ("VBN", "VBD")
            if participle and not named:
                words = ["it", *words]
            if not words and not participle:
                return None
            return Phrase([verb, *words], verb, a, list(named), bare=not words, sure=0.7)
        head = next((i for i in range(a, b) if v.pos[i] in ("NOUN", "PROPN") and v.dep[i] not in ("compound",)), None)
        if v.pos[a] in ("ADV", "ADP", "SCONJ"):
            return None
        if head is None or (v.dep[head] == "pobj" and v.pos[a] == "NUM"):
            words = self._clean(a, b, None)
            return (
                Phrase(["add", *words], "add", a, [], sure=0.5, fragment=True)
                if v.pos[a] == "NUM" and len(words) > 1
                else None
            )
        words = self._clean(a, b, None)
        if not words:
            return None
        compound = self._technique_verb(a, b)
        if compound is not None:
            verb, upto = compound
            return Phrase([verb, *self._clean(upto, b, None)], verb.split()[-1], a, [], bare=upto >= b, sure=0.6)
        mods = [v.lemma[k] for k in v.kids[head] if k < head and v.dep[k] in ("compound", "amod")]
        kind, _ = self.lexicon.classify(v.lemma[head], mods)
        if kind is None and not any(v.pos[i] == "NUM" for i in range(a, b)):
            return None
        verb = self._for_noun(head, kind)
        if any(
            (v.dep[i] == "prep" and v.low[i] in _WHERE) or v.low[i] in ("face", "sides") for i in range(head + 1, b)
        ) and verb in ("add", "make", "use", "cut"):
            verb = "put"
        t = self.things.at(head)
        if t is not None:
            self._named.append(t)
            self.things.remember(head, t)
        return Phrase([*verb.split(), *words], verb.split()[0], a, [t] if t else [], sure=0.5, fragment=True)

    def _technique_verb(self, a: int, b: int) -> tuple[str, int] | None:
        """ "Glue up." "Slip stitch round the edge": a technique named alone is an order to do it."""
        v = self.v
        for m in self.lexicon.technique_terms_at(v.lemma, v.low, a):
            if m.end <= b and v.pos[a] in ("VERB", "NOUN", "ADJ") and v.tag[a] not in ("NNS",):
                verb = self.lemma(a)
                if verb in self.lexicon.making_verbs and v.low[a] in (verb, verb + "ing"):
                    return v.words(a, m.end).lower(), m.end
        return None

    def lemma_of_gerund(self, i: int) -> str | None:
        """The verb of a noun in -ing that names work ("topstitching"), or ``None``."""
        low = self.v.low[i]
        if self.lexicon.classify(low)[0] in ("material", "piece", "product"):
            return None  # binding, wadding, facing: things
        for end in ("", "e"):
            stem = low[:-3] + end
            if stem in self.lexicon.making_verbs:
                return stem
        stem = low[:-3]
        if len(stem) > 3 and stem[-1] == stem[-2] and stem[:-1] in self.lexicon.making_verbs:
            return stem[:-1]
        return None


_BINDING = frozenset("when while once where until till before after so that if as what how".split())
_KNOWS = frozenset("see check know find feel think say tell hear mean ensure make show remember".split())
_PARTICLES = frozenset("down up off out over together in on back away through".split())
_WHERE = frozenset(
    "on onto over under in into between inside round around underneath against behind through across".split()
)
_CONTENT = frozenset(["NOUN", "VERB", "PROPN", "ADJ"])
_FRACTIONS = frozenset(
    "half quarter third eighth sixteenth inch inches mil millimetre centimetre couple few minute minutes hour hours day days".split()
)
_NUMBERS = frozenset("a an one half two three four five six seven eight nine ten twelve twenty thirty".split())


def same_word(v: View, start: int, end: int) -> int | None:
    """The token "same" (or "again" of "do that again") where the segment says that something is repeated."""
    for i in range(start, end):
        if v.low[i] == "same" and (i + 1 == end or v.low[i + 1] in _SAME_NEXT or v.pos[i + 1] == "PUNCT"):
            return i
        if v.low[i] == "again" and i - 2 >= start and v.low[i - 1] in ("that", "it", "this") and v.lemma[i - 2] == "do":
            return i
        if v.low[i] in ("likewise", "ditto"):
            return i
        if (
            v.low[i] == "exactly"
            and i + 1 < end
            and v.low[i + 1] in ("what", "as")
            and any(v.low[j] == "did" for j in range(i + 1, min(i + 7, end)))
        ):
            return i
    return None


_SAME_NEXT = frozenset(
    "thing deal dance again way story process method as for idea on with but only to trick drill".split()
)


def _with_comma(tail: list[str]) -> list[str]:
    return [",", *tail] if tail and tail[0] in ("but", "only", "except") else tail


def _tidy(words: list[str]) -> list[str]:
    """Without doubled or dangling punctuation and joining words at either end."""
    out: list[str] = []
    for w in words:
        if w in (",", ";", ":", "-", "–", "—") and (
            not out or out[-1] in (",", ";", ":", "-", "–", "—", "and", "but", "or")
        ):
            continue
        if w in (".", "!", "?", "…", '"', "“", "”"):
            continue
        if w == "the" and out and out[-1] in ("the", "a", "an"):
            continue
        out.append(w)
    while len(out) > 1 and out[-1].lower() in ("first", "then", "now"):
        out.pop()
    loose = (",", ";", ":", "-", "–", "—", "and", "but", "or", "so", "then", "because", "which", "the", "a", "an")
    while out and out[-1].lower() in loose:
        out.pop()
    while out and out[0].lower() in (",", ";", ":", "and", "but", "or"):
        out.pop(0)
    return out
