"""From what was said to what a viewer does: one segment of talk as a plain imperative phrase.

The maker's words stay in their order; what goes is the subject, tense, hedging, first person, reasons and asides. What
stood in front of the verb and matters (for what, with what, so that what) moves behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildlog.outline.steps.bare import Bare
from buildlog.outline.steps.doubts import MARKS, mark
from buildlog.outline.steps.phrases import Phrase
from buildlog.outline.steps.segments import Segment
from buildlog.outline.steps.tables import (
    COPULA,
    DURATION,
    HANGS,
    IDLE,
    LEFT_ALONE,
    MOVED,
    MOVES_ITSELF,
    NO_MANNER,
    NOT_DOING,
    NOUN_VERB,
)
from buildlog.outline.steps.things import is_pronoun
from buildlog.outline.words import COMPOUNDS, FIRST_PERSON, HEDGES, PAST, PLURAL_PRONOUNS

if TYPE_CHECKING:
    from buildlog.tag.clauses import Clause
    from buildlog.tag.view import View

_NOUNS = frozenset(["DET", "NUM", "ADJ", "NOUN", "PROPN"])
_LEADING = frozenset(["so", "then", "and", "now", "next", ",", "okay", "right", "well"])


def by_maker_goes(v: View, c: Clause) -> bool:
    """Whether it is the maker who goes, not a thing that goes somewhere."""
    return not c.passive and (c.subj is None or v.low[c.subj] in FIRST_PERSON or v.low[c.subj] == "you")


def _named_first(tail: list[str], fronted: list[str]) -> tuple[list[str], list[str]]:
    """ "To harden the wire I twisted it": what was told in front comes behind, so the name and "it" change places."""
    at = next((i for i, w in enumerate(fronted) if w in _THE), None)
    aim = fronted[:1] == ["to"] or fronted[:3] == ["in", "order", "to"]
    if not aim or at is None or fronted[at - 2] != "to" or len(fronted) - at > 3 or not tail:
        return tail, fronted
    name, pronoun = fronted[at:], MARKS.get(tail[0], (tail[0], ""))[0]
    if pronoun not in ("it", "them") or (pronoun == "them") != (name[-1].endswith("s") and not name[-1].endswith("ss")):
        return tail, fronted
    return [*name, *tail[1:]], [*fronted[:at], pronoun]


_THE = frozenset(["the", "this", "that", "these", "those"])


class Rewriter(Bare):
    """Rewrites segments of one narration."""

    def phrase(self, segment: Segment) -> Phrase | None:
        """The segment as an imperative phrase; ``None`` where it holds no action."""
        if self._asks_leave(segment):
            return None
        same = self._same_again(segment)
        if same is not None:
            return same
        if segment.clause is None:
            return self._verbless(segment)
        c = self.clauses[segment.clause]
        v = self.v
        h = c.verb
        lemma = self.lemma(h)
        for_it = self._used_for(segment, c)
        if for_it is not None:
            return for_it
        misread = self._misread(segment, c, lemma)
        if misread is not None:
            return self._verbless(misread)
        if v.tag[h] == "VBG" and self.lexicon.classify(v.low[h])[0] == "material":
            return self._stuff_for(segment, c)
        if self._names_stuff(h) and not c.own_subject and (not c.objs or v.low[h + 1] in ("off", "from", "out")):
            return self._verbless(segment)
        ends = h + 1 >= segment.end or v.pos[h + 1] == "PUNCT"
        if v.tag[h] == "VBN" and not c.own_subject and not c.objs and ends and h and v.pos[h - 1] == "ADJ":
            return None  # "black backed": how a thing is
        if c.subj is not None and v.low[c.subj] in ("it", "they") and "so" in v.low[segment.start + 1 : c.subj][-1:]:
            return None  # "with a bag on your hand so it slides"
        went = self._went(segment, c, lemma)
        if went is not None:
            return went
        by_hand = c.subj is None or v.low[c.subj] in FIRST_PERSON or v.low[c.subj] == "you" or not c.own_subject
        if lemma in IDLE and by_hand and not c.objs and not c.passive and not self._goal(h, segment.end):
            return None  # "so we went round", "I stopped"
        setting = self._setting(h, segment.end)
        if setting is not None:
            return setting
        opening = self._opening(segment, c)
        if opening is not None:
            return opening
        checked = self._checked(segment, c)
        if checked is not None:
            return checked
        if self._no_doing(segment, c, lemma):
            return None
        by = self._by_doing(segment, c, lemma)
        if by is not None:
            return by
        talk = lemma in self.lexicon.talk_verbs and lemma not in self.lexicon.plain_verbs and lemma not in MOVED
        talk = talk and not (lemma == "bore" and any(v.pos[o] == "NOUN" for o in c.objs))
        if talk or lemma in NOT_DOING:
            return None
        under_get = bool(c.frame) and v.lemma[c.frame[-1]] in ("get", "have") and v.tag[h] in ("VBN", "VBD")
        by_maker = c.subj is not None and v.low[c.subj] in FIRST_PERSON and (v.low[h].endswith("ing") or bool(c.objs))
        passive = (
            not by_maker
            and lemma not in ("have", "go", "get")
            and (
                c.passive
                or under_get
                or self._wants_doing(c)
                or (v.tag[h] == "VBN" and self._has_be(h))
                or self._half_passive(c)
            )
        )
        if lemma in COPULA and not passive:
            return self._state(segment, c)
        subj = c.subj if c.subj is not None else -1
        thing_subject = (
            not passive
            and c.subj is not None
            and c.own_subject
            and segment.start <= c.subj < h
            and (
                c.agent == "none"
                or any(ch.isdigit() for ch in v.low[c.subj])
                or v.low[c.subj] in ("they", "these", "those")
                or c.subj in self._item
            )
        )
        if lemma == "get" and h + 1 < segment.end and v.low[h + 1] in PAST and c.subj is not None and c.subj < h:
            verb = PAST[v.low[h + 1]]  # "gets ground to the line"
            return self._made(segment, c, verb, [*self._object(c.subj, segment), *self._clean(h + 2, segment.end, c)])
        if (
            lemma == "get"
            and c.subj is not None
            and c.subj < h
            and v.low[h + 1] in COMPOUNDS
            and v.low[h + 2].endswith("ed")
        ):
            verb = self.lemma(h + 2)  # "gets stay stitched"
            what = self._object(c.subj, segment)
            return self._made(segment, c, verb, [*what, *self._clean(h + 3, segment.end, c)], head=[v.low[h + 1], verb])
        lasts = next((i for i in range(h + 1, segment.end) if v.lemma[i] in DURATION and v.head[i] == h), None)
        if lemma == "give" and lasts is not None:
            return self._left_for(segment, c, lasts)
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
                or (lemma not in MOVED and lemma not in MOVES_ITSELF and lemma not in LEFT_ALONE and lemma not in HANGS)
            )
        ):
            return None  # "it stops them fraying": what a thing does for one is a remark
        if (
            lemma in ("make", "form")
            and v.tag[h] != "VBN"
            and thing_subject
            and c.objs
            and c.subj is not None
            and c.objs[-1] > h
        ):
            a = max(h + 1, min(v.left[c.objs[-1]], c.objs[-1]))
            what = self._clean(a, segment.end, c)
            return self._made(segment, c, "use", [*self._object(c.subj, segment), "as", *what])
        if c.objs and v.low[c.objs[0]] in ("itself", "themselves"):
            return None  # "glue itself on"
        lets = bool(c.frame) and v.lemma[c.frame[-1]] == "let" and v.low[c.subj or 0] not in ("'s", "’s", "us", "me")
        if lets and c.subj is not None and c.frame[-1] < c.subj < h and c.own_subject:
            what = self._object(c.subj, segment)
            return self._made(segment, c, "let", [*what, lemma, *self._tail(h + 1, segment.end, c)])
        verb = lemma
        if lemma == "come" and (c.agent == "none" or (c.subj is None and v.tag[h] == "VBZ")):
            away = [k for k in v.kids[h] if v.low[k] in ("off", "out", "away", "apart", "down")]
            through = any(v.low[k] in ("up", "through", "round", "around", "over", "back", "down") for k in v.kids[h])
            verb = "bring" if through else "add"
            if away:
                verb = "take " + v.low[away[0]] if away[0] < h else "take"
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
        fresh = self._fresh(segment, c) if (passive or goes_on) and not c.own_subject and not c.objs else None
        joined = passive and c.subj == h - 2 and v.text[h - 1] == "-"  # "the pleats were stay-stitched"
        before = next((i for i in range(h - 3, segment.start - 1, -1) if v.pos[i] in ("NOUN", "PROPN")), None)
        if joined and before is not None:
            front = self._object(before, segment)
        elif passive and c.subj is not None and c.own_subject and c.subj < h:
            front = self._object(c.subj, segment)
        elif fresh is not None:
            front = self._object(fresh, segment)
        elif goes_on or (passive and self._named and c.relation != "main"):
            last = (self._worked or self._named)[-1:]
            several = last[0].plural if last else False
            if passive and c.subj is not None and c.subj < segment.start and v.pos[c.subj] in ("NOUN", "PRON"):
                several = v.tag[c.subj] == "NNS" or v.low[c.subj] in PLURAL_PRONOUNS
            front = ["them" if several else "it"]
        elif alone and (named := self._named_before(segment, h - len(self._compound(h, segment.start)))) is not None:
            front = self._object(named, segment)
        elif alone and lemma in self.lexicon.making_verbs:
            thing = self.things.near(h)
            front = [thing.the if thing else mark("it")]
            if thing:
                self._named.append(thing)
        elif passive and c.subj is not None and c.subj < segment.start and v.pos[c.subj] == "NOUN":
            front = ["them" if v.tag[c.subj] == "NNS" else "it"]
        elif passive and c.subj is not None:
            front = self._object(c.subj, segment)
        elif passive and c.relation == "main":
            noun = next(
                (
                    i
                    for i in range(h - 1 - len(self._compound(h, segment.start)), segment.start - 1, -1)
                    if v.pos[i] in ("NOUN", "PROPN") and v.dep[i] != "compound"
                ),
                None,
            )
            front = ["the", v.low[noun]] if noun is not None else []
        elif thing_subject:
            rest = range(h + 1, segment.end)
            if (
                lemma in LEFT_ALONE
                and not c.objs
                and (
                    any(v.low[i] in DURATION for i in rest)
                    or any(v.low[i] == "until" for i in rest)
                    or lemma in ("dry", "cool", "cure")
                )
            ):
                front = self._object(subj, segment)
                verb = "leave" if lemma in ("sit", "stand", "rest") else "let"
                back = [] if verb == "leave" else [lemma]
                tail = self._tail(h + 1, segment.end, c)
                return self._made(segment, c, verb, [*front, *back, *tail])
            if not c.objs and lemma in HANGS:
                return self._made(
                    segment, c, "let", [*self._object(subj, segment), lemma, *self._tail(h + 1, segment.end, c)]
                )
            if (not c.objs or lemma == "go") and (lemma in MOVED or lemma in MOVES_ITSELF):
                verb = MOVED.get(lemma, lemma) if lemma != "come" else verb
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
        if lemma == "do" and c.objs and v.lemma[c.objs[0]] in ("coat", "hole", "hem", "seam", "row"):
            verb = NOUN_VERB[v.lemma[c.objs[0]]]  # "I did two coats of varnish"
        compound = self._compound(h, segment.start)
        head = [*compound, *verb.split()]
        verb = verb.split()[0]
        adverb = self._manner(c, segment.start, h)
        fronted = self._fronted(c, segment, compound)
        dislocated: list[str] = []
        if not front and lemma != "let":
            dislocated = self._dislocated(c, segment)
        tail = self._tail(h + 1, segment.end, c, drop_object=bool(dislocated))
        if dislocated and tail[:1] and (tail[0] in MARKS or tail[0] in ("it", "them")):
            tail = tail[1:]
        if not front and not dislocated:
            tail, fronted = _named_first(tail, fronted)
        return self._made(segment, c, verb, [*front, *dislocated, *tail, *fronted], head=[*adverb, *head])

    def _used_for(self, segment: Segment, c: Clause) -> Phrase | None:
        """ "Then the oven at two hundred degrees to temper it": what is used for a doing that is only its aim."""
        v = self.v
        h = c.verb
        a = segment.start
        while a < h and (v.pos[a] in ("PUNCT", "CCONJ", "INTJ") or v.low[a] in _LEADING):
            a += 1
        if v.tag[h] != "VB" or v.low[h - 1] != "to" or h - 1 - a < 2 or c.frame or c.own_subject or c.negated:
            return None
        if v.pos[a] not in ("DET", "NUM", "NOUN", "ADJ", "PROPN") or any(
            v.pos[i] in ("VERB", "AUX") for i in range(a, h - 1)
        ):
            return None
        head = next((i for i in range(a, h - 1) if v.pos[i] == "NOUN" and v.dep[i] != "compound"), None)
        if head is None or self.lexicon.classify(v.lemma[head])[0] not in ("tool", "material", "place"):
            return None
        what = self._clean(a, h - 1, None)
        rest = self._tail(h + 1, segment.end, c)
        t = self.things.at(head)
        return Phrase(["use", *what, "to", v.low[h], *rest], "use", a, [t] if t else [], sure=0.7)

    def _fresh(self, segment: Segment, c: Clause) -> int | None:
        """The thing named right before a participle that goes on with a passive: "…, and a blank struck from it"."""
        v = self.v
        n = c.verb - 1
        a = next((i for i in range(segment.start, c.verb) if v.pos[i] not in ("PUNCT", "CCONJ")), c.verb)
        if n < a + 1 or v.pos[n] not in ("NOUN", "PROPN") or v.pos[a] not in ("DET", "NUM"):
            return None
        return n if all(v.pos[i] in ("DET", "NUM", "ADJ", "NOUN", "PROPN") for i in range(a, n)) else None

    def _went(self, segment: Segment, c: Clause, lemma: str) -> Phrase | None:
        """ "…, and a layer of felt went on top", "and went back in": things that go where the parser lost them."""
        v = self.v
        after = self._behind(segment, c)
        if lemma == "go" and after is not None:
            front = self._object(after, segment)
            where = self._clean(segment.start, c.verb, c)
            while where and where[0].lower() in ("so", "then", "and", "now", "next"):
                where.pop(0)
            return self._made(segment, c, "put", [*front, *self._clean(v.right[after] + 1, segment.end, c), *where])
        if lemma not in ("go", "come") or c.own_subject or c.objs or c.passive or c.agent == "viewer":
            self._things_went = lemma in ("go", "come") and c.agent == "none"
            return None
        named = self._named_before(segment, c.verb) if lemma == "go" else None
        if named is None and not (self._things_went and v.tag[c.verb] in ("VBD", "VBP", "VBZ")):
            return None
        front = self._object(named, segment) if named is not None else [mark("them")]
        verb = "put" if lemma == "go" else "take"
        return self._made(segment, c, verb, [*front, *self._tail(c.verb + 1, segment.end, c)])

    def _behind(self, segment: Segment, c: Clause) -> int | None:
        """The thing that goes there, where it is named last: "on top of that goes a layer of felt"."""
        v = self.v
        first = next((i for i in range(segment.start, c.verb) if v.low[i] not in _LEADING), c.verb)
        if first >= c.verb or v.pos[first] not in ("ADP", "ADV") or v.low[c.verb] not in ("goes", "go", "went"):
            return None
        if any(v.low[i] in FIRST_PERSON or v.low[i] in ("you", "it", "they") for i in range(first, c.verb)):
            return None
        if c.verb + 1 >= segment.end or v.pos[c.verb + 1] not in ("DET", "NUM", "ADJ", "NOUN"):
            return None
        return next(
            (
                i
                for i in range(c.verb + 1, min(c.verb + 7, segment.end))
                if v.pos[i] in ("NOUN", "PROPN") and v.dep[i] != "compound"
            ),
            None,
        )

    def _misread(self, segment: Segment, c: Clause, lemma: str) -> Segment | None:
        """What to read without a verb, where the parser took a noun for one or the clause is only a reason."""
        v = self.v
        h = c.verb
        because = next((i for i in range(segment.start + 1, h) if v.low[i] in ("because", "cos", "cuz")), None)
        if because is not None:
            return Segment(segment.start, because, None, segment.first)
        if not segment.start <= h < segment.end or h in self._inside_item:
            return segment
        after = v.low[h + 1] if h + 1 < segment.end else ""
        noun = (
            (lemma == "face" and after in ("down", "up"))
            or (after == "-" and h > 0 and v.pos[h - 1] == "DET")  # "the sew-on"
            or (
                v.tag[h] in ("VBZ", "NNS") and not c.frame and self._thing_word(h)  # "2 needles one on each end"
                and ((h > segment.start and v.pos[h - 1] == "NUM") or (not c.own_subject and h < segment.start + 3))
            )
        )  # fmt: skip
        return segment if noun else None

    def _stuff_for(self, segment: Segment, c: Clause) -> Phrase | None:
        """ "The strap is webbing, an inch wide": what a thing is made of."""
        v = self.v
        words = self._clean(c.verb, segment.end, None)
        if c.subj is None or not segment.start <= c.subj < c.verb or is_pronoun(v.low[c.subj]) or len(words) < 3:
            return None
        what = self._object(c.subj, segment)
        if what and what[0].lower() not in ("the", "a", "an", "each", "both", "all", "every"):
            what = ["the", *what]
        return self._made(segment, c, "use", [*words, "for", *what])

    def _thing_word(self, h: int) -> bool:
        return self.lexicon.classify(self.v.lemma[h])[0] in ("tool", "material", "piece", "count")

    def _goal(self, h: int, end: int) -> bool:
        """Whether a verb of going says where to, how far or with what."""
        v = self.v
        return any(v.pos[i] in ("NOUN", "NUM", "PROPN") or v.tag[i] == "VBG" for i in range(h + 1, end))

    def _left_for(self, segment: Segment, c: Clause, lasts: int) -> Phrase:
        """ "Give it three hours": the thing is left for as long."""
        v = self.v
        at = min(max(v.left[lasts], c.verb + 1), lasts)
        what = self._clean(c.verb + 1, at, c)
        return self._made(segment, c, "leave", [*what, "for", *self._clean(at, segment.end, c)])

    def _no_doing(self, segment: Segment, c: Clause, lemma: str) -> bool:
        """Clauses with a verb of making in which nobody does anything: "it turned out", "for the dirt to fall through",
        "before I put any of it together", "that has to run along the spine", "whatever's left of the tacks"."""
        v = self.v
        h = c.verb
        if c.subj is not None and v.low[c.subj] in (
            "nothing",
            "nobody",
            "everything",
            "everyone",
            "anyone",
            "wherever",
        ):
            return not c.passive or v.low[c.subj] in ("nothing", "nobody")
        if (
            lemma == "go"
            and by_maker_goes(v, c)
            and v.low[h + 1] in ("out", "off", "up", "down", "to", "into", "with", "at", "for", "by", "in")
        ):
            return True  # "I went out to charcoal in the last rows"
        if v.tag[h] == "VBG" and c.agent == "none" and c.own_subject and not c.passive and not c.objs:
            return True  # "so the string is touching at the front": how a thing is
        if c.negated and (c.agent == "none" or v.tag[h] == "VBN") and c.own_subject and not self._has_be(h):
            return True  # "and it doesn't go past", "never pulled apart"
        if v.tag[h] == "VBZ" and not c.own_subject and c.relation == "main" and c.subj is None:
            return True  # its subject is lost
        if v.low[h : h + 2] in (["hold", "on"], ["hang", "on"]) and not c.objs and v.low[h + 2 : h + 3] != ["to"]:
            return True
        if (
            lemma == "take"
            and v.low[h + 1 : h + 3] in (["that", "back"], ["it", "back"])
            and not self._goal(h, segment.end)
        ):
            return True  # "so I take that back"
        if c.negated and c.subj is not None and c.own_subject and v.low[c.subj] in ("i", "we") and c.relation == "main":
            return True  # "so I don't shave it": what was left undone
        if lemma == "come" and (c.subj is None or c.subj > h) and h + 1 < segment.end and v.pos[h + 1] == "DET":
            return True  # "first come the big planes"
        if c.agent == "viewer" and c.past and c.mode == "done" and c.own_subject and not c.passive:
            return True  # "you drew all the way through": what a viewer did
        if (
            c.objs
            and h + 2 >= segment.end - (v.pos[segment.end - 1] == "PUNCT")
            and v.low[c.objs[0]] in ("any", "some", "one")
        ):
            return True  # "before sewing any"
        if lemma == "do" and "again" in v.low[h + 1 : segment.end] and all(is_pronoun(v.low[o]) for o in c.objs):
            return True  # "I had to go back and do it again"
        counted = [i for i in range(h + 1, segment.end) if v.pos[i] not in ("PUNCT", "DET", "PRON", "CCONJ")]
        if lemma == "do" and not c.passive and counted and all(v.pos[i] == "NUM" for i in counted):
            return True  # "I did all sixteen"
        if lemma == "end" and h + 1 < segment.end and v.low[h + 1] == "up":
            return True
        if lemma in ("redo", "undo") and not any(
            v.pos[i] == "NOUN" and v.low[i] not in ("one", "ones") for i in range(h + 1, segment.end)
        ):
            return True  # "so I had to redo that one"
        if h + 1 < segment.end and v.low[h + 1] == "no" and not c.objs and not c.passive:
            return True  # "and melted, no, it's linen": a slip
        if lemma in ("break", "snap", "lose", "blunt") and c.objs and self._thing_word(c.objs[0]):
            if v.lemma[c.objs[0]] in ("needle", "blade", "bit", "pin", "drill", "thread", "lead"):
                return True  # "I broke two needles here"
        if c.negated and v.tag[h] == "VB" and any(v.low[k] == "does" for k in v.kids[h]):
            return True  # "till it's tacky and doesn't string"
        if any(v.low[k] in ("wherever", "whatever", "whenever") and k < h for k in v.kids[h]):
            return True
        if any(v.low[o] == "nothing" for o in c.objs):
            return True
        if lemma in ("do", "have", "get", "give") and any(
            v.low[o] in ("anything", "everything", "nothing", "something") for o in c.objs
        ):
            return True
        if lemma == "go" and not c.passive and h + 1 < segment.end and v.low[h + 1] == "at":
            return True  # "I went at these with the pricking iron"
        if lemma == "come" and any(w in ("undone", "loose", "unstuck") for w in v.low[h : segment.end]):
            return True
        if lemma == "leave" and c.objs and "out" in v.low[h + 1 : min(h + 4, segment.end)]:
            return True  # "the dimmer, we left it out": what is not in it
        if lemma in ("turn", "work", "come") and not c.objs and not c.passive and h + 1 < len(v.low):
            if v.low[h + 1] == "out" and c.subj is not None and v.low[c.subj] in ("it", "that", "this", "they"):
                return True
        first = next((i for i in range(segment.start, h) if v.pos[i] not in ("PUNCT", "INTJ", "CCONJ")), h)
        by_maker = c.subj is not None and v.low[first + 1] in FIRST_PERSON
        marked = v.low[first] == "before" and v.dep[first] == "mark"
        hung = marked or by_maker or c.relation in ("time", "condition") or c.subj == first
        if hung and v.dep[first] == "mark" and first < v.head[first] < h:
            return False  # "After I'd waxed the thread I sewed the sole": the mark is another clause's
        if hung and v.low[first] in ("before", "after", "while", "whatever", "whenever"):
            return not any(v.text[i] == "," for i in range(first, h))
        if c.subj is not None and c.own_subject and c.agent == "none" and not c.passive:
            if v.low[c.subj] in ("that", "it", "which") and any(v.lemma[f] == "have" for f in c.frame):
                return True
            return any(v.low[k] == "for" and v.dep[k] == "mark" for k in v.kids[h])
        return False

    def _asks_leave(self, segment: Segment) -> bool:
        """ "Let me flatten that": the maker speaks of what the hands are about to do."""
        v = self.v
        first = next((i for i in range(segment.start, segment.end) if v.pos[i] not in ("PUNCT", "INTJ", "CCONJ")), None)
        return first is not None and first + 1 < segment.end and v.low[first] == "let" and v.low[first + 1] == "me"

    def _by_doing(self, segment: Segment, c: Clause, lemma: str) -> Phrase | None:
        """ "You do it by slicing a square across": the doing is the gerund."""
        v = self.v
        if lemma not in ("do", "make", "manage") or not c.objs or not is_pronoun(v.low[c.objs[0]]):
            return None
        for i in range(c.verb + 1, min(c.verb + 4, segment.end - 1)):
            if v.low[i] == "by" and v.tag[i + 1] == "VBG":
                verb = self.lemma(i + 1)
                return Phrase([verb, *self._clean(i + 2, segment.end, None)], verb, i + 1, list(self._named[-1:]))
        return None

    def _named_before(self, segment: Segment, h: int) -> int | None:
        """The thing named right before a participle: "three loops, made of the same ribbon"."""
        v = self.v
        for i in range(segment.start, h):
            if v.pos[i] in ("NOUN", "PROPN") and v.dep[i] not in ("compound", "pobj", "npadvmod", "poss"):
                front = next((k for k in range(i - 1, segment.start - 1, -1) if v.pos[k] not in _NOUNS), -1)
                return None if front >= segment.start and v.pos[front] == "ADP" else i
        return None

    def _wants_doing(self, c: Clause) -> bool:
        """ "The webbing wants stretching", "the edges need sanding": it is done to what wants it."""
        v = self.v
        wants = bool(c.frame) and v.lemma[c.frame[-1]] in ("want", "need") and v.tag[c.verb] == "VBG"
        return wants and c.subj is not None and v.pos[c.subj] in ("NOUN", "PROPN")

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
        while a < c.verb and (
            (v.pos[a] in ("PUNCT", "CCONJ", "INTJ") and v.low[a] not in self.lexicon.making_verbs)
            or v.low[a] in HEDGES
            or v.low[a] == "last"
        ):
            a += 1
        unknown = self._orders(a, segment)
        if a >= c.verb or a in self._inside_item or a in c.frame:
            return None
        if v.low[a] not in self.lexicon.making_verbs and not unknown:
            return None
        if (
            v.pos[a + 1] not in ("DET", "PRON", "NUM", "ADP") and v.low[a + 1] not in ("before", "after", "until")
        ) or any(v.dep[k] in ("aux", "auxpass") and v.low[k] != "to" for k in v.kids[c.verb]):
            return None
        if v.low[a + 1] == "of":
            return None  # "dab of glue on each end"
        aim = v.pos[a + 1] == "ADP" and any(v.low[i] == "so" for i in range(a + 1, c.verb))
        aim = aim or v.low[a + 1] in ("before", "after", "until")
        by = c.subj is not None and c.own_subject and v.low[c.subj] in FIRST_PERSON | {"you"}
        if (by and not aim) or (v.dep[a] in ("compound", "amod") and v.head[a] == a + 1):
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

    def _manner(self, c: Clause, start: int, h: int) -> list[str]:
        v = self.v
        return [
            v.low[k]
            for top in (h, *c.frame)
            for k in v.kids[top]
            if start <= k < h
            and v.dep[k] == "advmod"
            and v.low[k].endswith("ly")
            and v.low[k] not in HEDGES
            and v.low[k] not in NO_MANNER
        ]
