"""Steps told as a state: "both halves are level", "there's a hole at the top", "I've got a walking foot on"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildlog.outline.steps.phrases import Phrase
from buildlog.outline.steps.segments import purpose_first
from buildlog.outline.steps.tables import CARRY_BACK, DURATION, NOUN_VERB, PARTICLES
from buildlog.outline.steps.things import NEVER, is_pronoun
from buildlog.outline.steps.wording import Wording
from buildlog.outline.words import FIRST_PERSON, HEDGES, PAST, plain_verb

if TYPE_CHECKING:
    from buildlog.outline.steps.segments import Segment
    from buildlog.tag.clauses import Clause


_OPENING = frozenset(["CCONJ", "INTJ", "ADV", "PUNCT", "SCONJ"])
_STUFF_OF = frozenset("length piece strip bit sheet scrap block offcut plank board tube lump slice".split())
_TRUED = frozenset("level flush flat square even tight straight open smooth round".split())
_ARTICLES = frozenset("the a an each every both all one your".split())


_WITH = frozenset("using starting working holding keeping".split())  # told in front, they say how the doing went


class States(Wording):
    """Rewrites clauses of being and having."""

    def _made(self, segment: Segment, c: Clause, verb: str, rest: list[str], head: list[str] | None = None) -> Phrase:
        v = self.v
        words = [*(head or [verb]), *rest]
        if self._says_not(segment, c):
            words = ["don't", *words]
        objects = self._objects(c)
        things = [t for t in (self.things.at(o) for o in objects) if t is not None]
        if not any(self.v.pos[o] == "NOUN" for o in objects):
            things += self._worked[-1:]
        bare = not any(w.lower() not in PARTICLES for w in rest)
        start = segment.start
        while start < c.verb and (v.pos[start] in ("PUNCT", "CCONJ", "INTJ") or v.low[start] in HEDGES):
            start += 1
        return Phrase(words, verb, start, things, bare)

    def _says_not(self, segment: Segment, c: Clause) -> bool:
        """Whether the clause is negated itself: in "don't go big, and wind it in" only the first one is."""
        v = self.v
        if not c.negated or c.relation != "conj":
            return c.negated
        comma = v.text[segment.start] == "," or v.text[segment.start - 1] == ","
        own = any(v.low[i] in ("n't", "nt", "not", "never", "no", "don't") for i in range(segment.start, c.verb))
        joined = v.low[segment.start]
        return own or segment.start == v.sents[v.sent_of[c.verb]][0] or joined == "or" or not comma

    def _objects(self, c: Clause) -> list[int]:
        return [*c.objs, *([c.subj] if c.passive and c.subj is not None else [])]

    def _state(self, segment: Segment, c: Clause) -> Phrase | None:
        """ "Both halves are level", "the binding is two inch strips", "there's a hole at the top"."""
        v = self.v
        if c.negated:
            return None  # "and my hands aren't on speaking terms with it"
        tail_start = c.verb + 1
        made = self._made_so(segment, c)
        if made is not None:
            return made
        if c.subj is None or c.subj > c.verb or not (segment.start <= c.subj):
            words = self._clean(tail_start, segment.end, c)
            return self._made(segment, c, "use", words) if words and c.attr is not None and c.attr > c.verb else None
        low = v.low[c.subj]
        if low in FIRST_PERSON or low == "you":
            return None  # "once I was happy they were hammered home"
        if low == "there" or v.dep[c.subj] == "expl":
            if c.negated or (c.verb + 1 < segment.end and v.low[c.verb + 1] in ("no", "nothing", "nobody")):
                return None
            words = self._clean(tail_start, segment.end, c)
            if v.low[c.verb] in ("were", "was"):
                return None  # "there were three blisters": how it was found
            if c.attr is not None and v.pos[c.attr] == "NUM" and v.low[c.attr + 1 : c.attr + 3] == ["of", "them"]:
                return None  # "there are ten of them"
            for i in range(c.verb + 2, segment.end):
                if v.low[i - 1] == "to" and v.tag[i] == "VB" and self.lemma(i) in self.lexicon.making_verbs:
                    words = self._clean(tail_start, i - 1, c)  # "there's a strip to cut"
                    return self._made(segment, c, self.lemma(i), [*words, *self._clean(i + 1, segment.end, c)])
            detail = any(v.pos[i] in ("ADP", "VERB") for i in range(c.verb + 2, segment.end))
            return self._made(segment, c, "make", words) if words and detail else None
        words = self._clean(tail_start, segment.end, c)
        if not words:
            return None
        attr = c.attr
        stage = v.lemma[c.subj] in ("thing", "job", "step", "finish", "bit", "task", "one")
        if attr is not None and v.pos[attr] in ("NOUN", "PROPN") and (is_pronoun(low) or low == "what" or stage):
            kind, _ = self.lexicon.classify(v.lemma[attr], [])
            if (
                any(v.dep[k] == "nummod" or v.low[k] in ("a", "an") for k in v.kids[attr])
                and v.lemma[attr] in NOUN_VERB
            ):
                return self._made(segment, c, self._for_noun(attr, kind), words)
            return None
        if is_pronoun(low):
            return None  # "it's tacky": how a thing is, not what to do
        front = self._object(c.subj, segment)
        if v.lemma[c.subj] in ("foot", "hand", "head", "waist", "chest", "neck", "wrist") and low not in ("feet",):
            if any(v.low[k] in ("my", "her", "his") for k in v.kids[c.subj]):
                return None  # whom it has to fit
        if low == "mine" or (attr is not None and v.pos[attr] == "NUM"):
            return None
        if not front:
            return None
        worked = PAST.get(v.low[attr]) if attr is not None and attr - c.verb < 3 else None
        if worked is None and attr is not None and attr == c.verb + 1 and v.low[attr].endswith("ed"):
            verb = plain_verb(v.low[attr], v.low[attr], self.lexicon.making_verbs)
            worked = verb if verb in self.lexicon.making_verbs else None
        if worked is not None and attr is not None and not any(k < attr for k in v.kids[attr]):
            return self._made(segment, c, worked, [*front, *self._clean(attr + 1, segment.end, c)])
        stuff = attr is not None and v.pos[attr] == "ADJ" and self.lexicon.classify(v.lemma[attr], [])[0] == "material"
        if attr is not None and (v.pos[attr] in ("NOUN", "PROPN") or stuff):
            kind, _ = self.lexicon.classify(v.lemma[attr], [])
            several = v.tag[attr] == "NNS" and kind not in ("piece", "person")
            several = several and v.pos[attr - 1] not in ("NUM", "DET", "PRON")
            if kind in ("material", "tool") or several:
                bare = front[0].lower() not in _ARTICLES
                return self._made(segment, c, "use", [*words, "for", *(["the"] if bare else []), *front])
            if v.lemma[attr] in _STUFF_OF and any(v.low[k] == "of" for k in v.kids[attr]):
                bare = front[0].lower() not in _ARTICLES
                at = next(
                    (i for i in range(attr, segment.end) if v.dep[i] == "relcl" or v.low[i] == "that"), segment.end
                )
                words = self._clean(tail_start, at, c)
                return self._made(segment, c, "use", [*words, "for", *(["the"] if bare else []), *front])
            if any(v.low[k] in ("the", "that", "this") for k in v.kids[attr] if k < attr):
                return None  # "the sack is the inner pocket"
            if v.lemma[attr] == v.lemma[c.subj]:
                return self._made(segment, c, self._for_noun(attr, kind), words)  # "the hem is a narrow hem"
            return self._made(segment, c, "make", [*front, *words])
        if attr is not None:
            sized = any(v.pos[i] == "NUM" for i in range(tail_start, segment.end)) or v.lemma[attr] in _TRUED
            return self._made(segment, c, "make", [*front, *words]) if sized else None
        if self.lexicon.classify(v.lemma[c.subj], [])[0] == "tool" and v.low[tail_start] in ("in", "on", "at"):
            if tail_start + 1 < segment.end and v.pos[tail_start + 1] == "NUM":
                the = [] if front[0].lower() in _ARTICLES else ["the"]
                return self._made(segment, c, "set", [*the, *front, "to", *words[1:]])  # "machine is in two and a half"
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
                    and self.lemma(k) != "leave"
                    and (k == top or v.dep[k] in ("acl", "relcl", "amod", "appos"))
                ):
                    pre = self._compound(k, c.verb + 1)
                    before = self._clean(c.verb + 1, k - len(pre), c) if k - len(pre) > c.verb + 1 else []
                    if not before and c.subj is not None and v.low[c.subj] != "there":
                        before = self._object(c.subj, segment)
                    rest = self._clean(k + 1, segment.end, None)
                    if all(w in (",", "it", "them") or w.isdigit() for w in before):
                        return None  # "there's two, turned from cherry": of what, is not said
                    named = (
                        c.subj is not None
                        and c.subj < c.verb
                        and v.pos[c.subj] == "NOUN"
                        and v.low[c.subj] not in NEVER
                    )
                    if named and c.subj is not None and top == c.attr and k != top and not pre and v.pos[top] == "NOUN":
                        rest += ["for", *self._object(c.subj, segment)]  # "the top is three boards edge glued"
                    return self._made(segment, c, self.lemma(k), [*before, *rest], head=[*pre, self.lemma(k)])
        return None

    def _having(self, segment: Segment, c: Clause) -> Phrase | None:
        """ "I've got a walking foot on", "I have the iron at 350 degrees"."""
        words = self._clean(c.verb + 1, segment.end, c)
        low = [w.lower() for w in words]
        kind = self.lexicon.classify(self.v.lemma[c.objs[0]], [])[0]
        if (
            kind in ("abstract", "person", None)
            and self.v.lemma[c.objs[0]] not in NOUN_VERB
            and c.objs[0] not in self._item
        ):
            return None  # "you get one chance", "got another one"
        if low and low[-1] in ("on", "in", "under"):
            verb = "put"
        elif ("at" in low or "to" in low) and not (
            any(self.v.dep[k] == "nummod" for k in self.v.kids[c.objs[0]])
            and self.lexicon.classify(self.v.lemma[c.objs[0]], [])[0] != "tool"
        ):
            verb = "set"
        else:
            verb = self._for_noun(c.objs[0], self.lexicon.classify(self.v.lemma[c.objs[0]], [])[0])
        return self._made(segment, c, verb, words)

    def _for_noun(self, i: int, kind: str | None) -> str:
        """The verb that a thing alone stands for ("two coats", "half inch seam", "two side panels")."""
        lemma = self.v.lemma[i]
        if lemma in NOUN_VERB:
            return NOUN_VERB[lemma]
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

    def _fronted(self, c: Clause, segment: Segment, compound: list[str]) -> list[str]:
        """Phrases before the subject that say how, where, with what or what for, to be told behind the verb."""
        v = self.v
        limit = c.verb - len(compound)
        out: list[str] = []
        a = segment.start
        if v.low[a] == "to" and v.tag[a + 1] == "VB" and c.subj is not None and a + 2 < c.subj and not v.kids[a]:
            if not a < v.head[v.head[a]] <= c.verb:  # no part of the clause for the parser
                return self._clean(a, c.subj, None)
        for top in (*c.frame, c.verb):
            for k in v.kids[top]:
                if not (segment.start <= k < limit) or v.right[k] >= limit:
                    continue
                if (
                    v.dep[k] == "prep"
                    and v.low[k] in CARRY_BACK
                    and any(v.pos[j] in ("NOUN", "PROPN", "NUM") for j in v.subtree(k))
                ):
                    if v.low[k : k + 3] == ["by", "the", "time"]:
                        continue
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
                    if v.low[k] in _WITH and v.left[k] == k and any(v.pos[j] == "NOUN" for j in v.subtree(k)):
                        out += [*([","] if v.low[k] != "using" else []), *self._clean(k, v.right[k] + 1, c)]
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
                        still = mark == "while" and d.mode == "state" and d.agent == "none"
                        if mark in ("while", "as", "before") and not still:
                            continue  # but "while the glue is still wet"
                        out += self._clean(v.left[k], v.right[k] + 1, c)
        return out

    def _dislocated(self, c: Clause, segment: Segment) -> list[str]:
        """The object where it stands before the subject: "every other line I ran …", "those two rings, I linked
        them"."""
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
                if v.low[k] in NEVER or v.lemma[k] in DURATION or v.lemma[k] in ("time", "morning", "evening", "way"):
                    continue
                return self._object(k, segment)
        return self._set_in_front(c, segment)

    def _set_in_front(self, c: Clause, segment: Segment) -> list[str]:
        """The object right before "I", wherever the parser hung it: "The bowl I hollowed with a hook knife"."""
        v = self.v
        if c.subj is None or v.low[c.subj] not in FIRST_PERSON or any(v.pos[o] != "PRON" for o in c.objs):
            return []
        i = c.subj - 1
        while i > segment.start and v.text[i] == ",":
            i -= 1
        if i < segment.start or v.pos[i] not in ("NOUN", "PROPN") or v.low[i] in NEVER or v.lemma[i] in DURATION:
            return []
        a = i
        while a > segment.start and v.pos[a - 1] in ("NOUN", "PROPN", "ADJ", "NUM", "DET", "ADP"):
            a -= 1
        while a < i and v.pos[a] in ("ADP", "CCONJ"):
            return []
        opens = all(v.pos[k] in _OPENING for k in range(v.sents[v.sent_of[i]][0], a))
        stuff = opens and v.pos[a] in ("ADJ", "NOUN") and self.lexicon.classify(v.lemma[i])[0] in ("material", "piece")
        if (v.pos[a] not in ("DET", "NUM") and not stuff) or any(
            v.pos[k] not in _OPENING for k in range(segment.start, a)
        ):
            return []
        if self.lexicon.classify(v.lemma[i])[0] in ("person", "abstract", "place") and v.dep[i] != "pobj":
            if v.lemma[i] not in ("corner", "edge", "end", "seam", "hem", "joint", "hole", "groove"):
                return []
        head = next(k for k in range(a, i + 1) if v.pos[k] in ("NOUN", "PROPN") and v.dep[k] != "compound")
        t = self.things.at(head)
        if t is not None:
            self._named.append(t)
            self._worked.append(t)
        return self._clean(a, i + 1, None)
