"""Words as they can be published: pronouns filled, hedges, reasons and first person gone, verbs in the present."""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING

from buildlog.outline.steps.doubts import mark
from buildlog.outline.steps.ordering import BEFORE_FILMING, BEFORE_VIEWERS
from buildlog.outline.steps.phrases import tidy
from buildlog.outline.steps.tables import (
    BINDING,
    CONTENT,
    CONTRACTED,
    DURATION,
    FRACTIONS,
    KNOWS,
    LEFT_ALONE,
    LINKING,
    NUMBERS,
    PARTICLES,
)
from buildlog.outline.steps.things import UNITS, is_pronoun
from buildlog.outline.words import (
    COMPOUNDS,
    HEDGES,
    MEANT_AFTER_VERB,
    PLURAL_PRONOUNS,
    hedge_at,
    plain_verb,
    third_person,
)

if TYPE_CHECKING:
    from buildlog.outline.steps.segments import Segment
    from buildlog.outline.steps.things import Thing, Things
    from buildlog.tag.clauses import Clause
    from buildlog.tag.lexicon import Lexicon
    from buildlog.tag.mentions import Mention
    from buildlog.tag.view import View


_BEFORE_THE = frozenset(
    "half both twice double right yeah yes okay well with like only just what that this same every none most such quite "
    "good nice lovely sorry thanks hello here there".split()
)
MEASURES = UNITS | DURATION
_EACH = frozenset(["each", "every", "both", "all"])


class Wording:
    """Turns stretches of what was said into words to publish; knows what the step in hand has named so far."""

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
        starts = {next((k for k in range(a, b) if v.pos[k] not in ("PUNCT", "SYM", "X")), a) for a, b in v.sents}
        self._names = {v.low[i] for i, t in enumerate(v.text) if t[:1].isupper() and i not in starts}
        self._named: list[Thing] = []
        self._worked: list[Thing] = []
        self._bend: set[int] = set()
        self._passive_run = False
        self._things_went = False
        self._written: set[int] = set()

    def begin(self) -> None:
        """Start a new step: nothing is named in it yet."""
        self._written.clear()
        self._named = []
        self._worked = []
        self._passive_run = False
        self._things_went = False

    def purpose(self, segment: Segment) -> list[str]:
        """What an action is good for, in the present: "so it sits on top"."""
        a = segment.start
        while a < segment.end - 1 and self.v.low[a] != "so":
            a += 1
        return ["so", *self._clean(a + 1, segment.end, None)]

    def _orders(self, a: int, segment: Segment) -> bool:
        """Whether a word that nobody knows for a verb gives an order at ``a``: "Spritz the top", "butt the edges"."""
        v = self.v
        if a + 2 >= segment.end or not segment.first or v.pos[a] not in ("NOUN", "PROPN", "INTJ", "ADJ", "VERB"):
            return False
        low = v.low[a]
        if v.low[a + 1] not in ("the", "it", "them", "your", "each", "every") or v.tag[a] in (
            "NNS",
            "VBD",
            "VBN",
            "VBG",
        ):
            return False
        return len(low) > 3 and low.isalpha() and low not in _BEFORE_THE and not low.endswith(("ly", "ing", "ed"))

    def aim(self, segment: Segment) -> list[str]:
        """What an action in front of the segment was done for, where the segment says only that: "to sharpen it"."""
        v = self.v
        a = segment.start
        while a < segment.end - 1 and v.pos[a] == "PUNCT":
            a += 1
        if a + 1 >= segment.end or v.low[a] != "to" or v.tag[a + 1] != "VB":
            return []
        return ["to", v.low[a + 1], *self._clean(a + 2, segment.end, None)]

    def lemma(self, i: int) -> str:
        if self.v.low[i] == "saw" and not any(self.v.dep[k] == "nsubj" for k in self.v.kids[i]):
            return "saw"
        return plain_verb(self.v.low[i], self.v.lemma[i], self.known)

    def _object(self, i: int, segment: Segment) -> list[str]:
        """The noun phrase of head ``i`` as an object; a pronoun gives way to what it stands for."""
        v = self.v
        if is_pronoun(v.low[i]) and all(v.low[k] in ("all", "both") for k in v.kids[i]):
            return [self._pronoun(i)]
        if v.low[i] == "all" and v.pos[i] == "PRON":
            return [mark("it")]  # "that all goes on the paper"
        lo, hi = v.left[i], v.right[i] + 1
        lo = max(lo, segment.start)
        hi = min(hi, segment.end)
        if segment.clause is not None and i < self.clauses[segment.clause].verb < hi:
            hi = min(
                [k for k in (self.clauses[segment.clause].verb, *self._helpers(self.clauses[segment.clause])) if k > i]
            )
        if v.pos[lo] == "NUM" and lo - 1 > segment.start and v.text[lo - 1] == "," and lo - segment.start < 9:
            a = next((k for k in range(segment.start, lo) if v.pos[k] == "DET"), lo)
            if all(v.pos[k] in ("DET", "ADJ", "NOUN", "ADP", "PROPN", "PUNCT") for k in range(a, lo)):
                lo = a  # "a toggle of beech, a hundred long, is pushed in"
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

    def _compound(self, h: int, start: int) -> list[str]:
        """Words that belong to the verb in front of it: "slip stitch", "hand sew", "dry fit"."""
        v = self.v
        if h - 1 < start or (v.pos[h - 1] not in ("NOUN", "ADJ", "PROPN", "ADV", "VERB") and v.text[h - 1] != "-"):
            return []
        if h - 2 >= start and v.text[h - 1] == "-" and v.low[h - 2] in COMPOUNDS:
            return [v.low[h - 2]]
        lemmas, low = v.lemma, v.low
        for back in (2, 1):
            i = h - back
            if i < start:
                continue
            if any(m.end > h for m in self.lexicon.technique_terms_at(lemmas, low, i)) or (
                back == 1
                and v.low[i] in COMPOUNDS
                and v.dep[i] not in ("nsubj", "nsubjpass", "dobj")
                and all(k == h for k in v.kids[i])
            ):
                return [low[j] for j in range(i, h)]
        return []

    def _helpers(self, c: Clause) -> list[int]:
        """The helping words of the clause: "is", "has been", "not"."""
        return [
            k for top in (c.verb, *c.frame) for k in self.v.kids[top] if self.v.dep[k] in ("aux", "auxpass", "neg")
        ] + c.frame

    def _pronoun(self, i: int) -> str:
        """What to write for the pronoun at ``i``."""
        v = self.v
        low = v.low[i]
        thing = self.things.meant(i, self.lemma(v.head[i]) if v.dep[i] in ("dobj", "nsubjpass") else "")
        pronoun = "them" if low in PLURAL_PRONOUNS else "it"
        if thing is None:
            wanted = low in PLURAL_PRONOUNS
            fits = any(t.plural == wanted or t.name.split(" ", 1)[0] in _EACH for t in (*self._worked, *self._named))
            return pronoun if self._worked and (fits or len(self._worked) > 1) else mark(low)
        if thing.head in self._written or any(t.name == thing.name for t in self._named):
            return pronoun
        self._named.append(thing)
        self._worked.append(thing)
        return thing.the

    def _that_one(self, i: int) -> list[str]:
        """What to write for "that one", "those ones" at token ``i`` of "one"."""
        if self._worked:
            return ["them" if self._worked[-1].plural else "it"]
        thing = self.things.near(i)
        if thing is None:
            return [mark(self.v.low[i - 1])]
        self._named.append(thing)
        return [thing.the]

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
            if d.verb in self._item:
                continue  # the "saw" of "table saw"
            lo, hi = max(start, v.left[d.verb]), min(end, v.right[d.verb] + 1)
            if lo <= start and c is None:
                lo = start
            low = v.low[lo]
            mark = next((v.low[k] for k in v.kids[d.verb] if v.dep[k] == "mark"), "")
            subj_low = v.low[d.subj] if d.subj is not None and d.own_subject else ""
            measure = mark == "as" and lo > 1 and v.low[lo - 2] == "as"  # "as tight as it goes"
            if measure and subj_low not in ("i", "we"):
                continue
            if (
                (mark in ("as", "while") and subj_low in ("i", "we"))
                or (subj_low == "you" and d.past and d.relation == "time")
                or d.relation == "reason"
                or mark in ("because", "since", "although", "though", "cause", "cuz", "cos")
                or low in ("because", "cos", "cuz", "cause")
            ):
                out.update(range(lo, end if low in ("because", "cos", "cuz") else hi))
            elif (
                d.mode == "state"
                and subj_low in ("it", "they", "that", "those")
                and d.subj is not None
                and start < d.subj
                and not any(v.dep[k] == "mark" or v.low[k] in BINDING for k in v.kids[d.verb])
                and v.low[d.subj - 1] not in BINDING
                and v.low[d.subj - 1] not in ("sure", "certain")
            ):
                out.update(range(d.subj, hi))  # "glue in the lap, it's the waterproof kind": a remark
            elif (
                v.dep[d.verb] == "relcl"
                and not any(v.low[k] == "to" for k in v.kids[d.verb])
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
            ahead = " ".join(v.low[i : min(i + 7, end)]) if low in ("before", "by") else ""
            if ahead and (BEFORE_FILMING.match(ahead) or BEFORE_VIEWERS.match(ahead)):
                i = min(end, max(i, v.right[v.head[i]], v.right[i]) + 1)
                continue
            if (
                low == "like"
                and not (out and out[-1] in LINKING)
                and v.pos[i] in ("ADP", "SCONJ")
                and not (
                    i + 1 < end
                    and (v.pos[i + 1] == "NUM" or (v.low[i + 1] in NUMBERS and v.low[min(i + 2, end - 1)] in FRACTIONS))
                )
            ):
                over = v.right[v.head[i]] if v.head[i] > i and v.dep[i] == "mark" else v.right[i]
                i = max(i + 1, min(end, over + 1))  # a likeness is a remark
                continue
            if low == "oh" and out and v.pos[i - 1] == "NUM":
                out[-1] += "/0"  # a size
                i += 1
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
                and (v.pos[i] not in CONTENT or low == "please" or (low == "first" and v.pos[i - 1] != "DET"))
                and not (low in MEANT_AFTER_VERB and self._meant(i, start, end))
            ):
                i += 1
                if i < end and v.text[i] == "," and (not out or out[-1] == ","):
                    i += 1
                continue
            if low == "since" and i > start:
                break
            if low in ("re", "s") and out and out[-1] in (("they", "you", "we") if low == "re" else ("it", "that")):
                out.append("are" if low == "re" else "is")
                i += 1
                continue
            if low == "its" and i + 1 < end and self._it_is(i + 1, end):
                out += ["it", "is"]
                i += 1
                continue
            if low == "nt" and out and out[-1] in ("do", "does", "is", "are", "have", "has"):
                out[-1] += "n't"
                i += 1
                continue
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
                and not (low == "the" and i + 2 < end and v.pos[i + 2] in ("ADV", "ADP"))  # "the one opposite"
            ):
                words = self._that_one(i + 1)
                out += words
                i += 2
                continue
            if v.pos[i] == "INTJ" or (not any(ch.isalnum() for ch in text) and text not in ",;:-–—'\"()&%/.’°"):
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
            if (
                low in ("those", "these", "that")
                and i + 2 < end
                and v.pos[i + 1] == "NUM"
                and v.lemma[i + 2] in MEASURES
            ):
                out.append(self._pronoun(i))  # "cut those two centimetres shorter"
                i += 1
                continue
            let = i > 0 and v.low[i - 1] == "let" and i + 1 < end and v.low[i + 1] in LEFT_ALONE
            if low in ("this", "that", "these", "those") and let:
                out.append(self._pronoun(i))  # "let that cure"
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
                and (
                    low in ("this", "that", "these", "those")
                    or v.dep[i] not in ("nsubj", "nsubjpass", "expl", "csubj", "poss")
                )
            ):
                out.append(self._pronoun(i))
                i += 1
                continue
            if low == "him" and v.dep[i] in ("dobj", "pobj"):
                out.append("it" if self._worked or self._named else mark("it"))  # a toy, a puppet
                i += 1
                continue
            if low == "mine":
                out.append("it" if self._worked else mark("it"))
                i += 1
                continue
            if low == "like":
                out.append("like" if out and out[-1] in LINKING else "about")
                i += 1
                continue
            if (
                v.pos[i] in ("VERB", "AUX")
                and (c is None or i != c.verb)
                and not (i in self._item and i in self._inside_item)
            ):
                if out and self._runs_on(i, start):
                    out += [",", self.lemma(i)]
                    i += 1
                    continue
                joins = v.low[i - 2] if i > 1 and (out[-1:] or [""])[0] in COMPOUNDS else v.low[i - 1]
                goes_on = c is not None and c.passive and joins in ("and", "then") and v.tag[i] in ("VBN", "VBD")
                if goes_on and out and v.dep[i] in ("conj", "acl", "amod", "advcl") and self.lemma(i) in self.known:
                    out += [self.lemma(i), "them" if c is not None and v.tag[c.subj or 0] == "NNS" else "it"]
                    i += 1
                    continue
                words, i = self._verb(i, end, out)
                out += words
                continue
            if low in ("i", "we"):
                if i > start and v.dep[i] == "nsubj" and v.pos[i - 1] in ("NOUN", "ADV", "PRON", "NUM"):
                    if v.low[i - 1] not in BINDING or v.low[i - 2 : i] == ["at", "once"]:
                        break  # "pin it all round I used clips": the next clause, with nothing to set it off
                out.append("you")
                i += 1
                continue
            if i in self._bend:
                self._bend.discard(i)
                out.append(third_person(low))  # "so it'll pivot", read as a noun
                i += 1
                continue
            t = self.things.at(i)
            if t is not None and v.dep[i] in ("dobj", "nsubjpass", "pobj", "conj"):
                self._named.append(t)
            if v.pos[i] in ("NOUN", "PROPN"):
                self._written.add(i)
            out.append("and" if text == "&" else text if text.isupper() and len(text) > 1 else self._case(i))
            i += 1
        if len(out) > 3 and out[-2] == "to" and end - 1 in drop:
            out = out[:-2]  # "to kill", where "whatever was living in there" was left out
        return tidy(out)

    def _it_is(self, i: int, end: int) -> bool:
        """Whether "its" in front of token ``i`` is "it's", written without its sign: no thing follows."""
        v = self.v
        if v.pos[i] in ("NUM", "DET", "ADP", "PART") or v.low[i] in (
            "got",
            "been",
            "all",
            "just",
            "about",
            "too",
            "back",
        ):
            return True
        return v.pos[i] in ("ADJ", "ADV") and (i + 1 >= end or v.pos[i + 1] not in ("NOUN", "ADJ", "PROPN"))

    def _runs_on(self, i: int, start: int) -> bool:
        """Whether an order begins at ``i`` with nothing to set it off: "twist the strands clockwise hook them round"."""
        v = self.v
        a, b = v.sents[v.sent_of[i]]
        plain = v.pos[i] == "VERB" and v.low[i] in self.lexicon.making_verbs and v.low[i] != "round"
        if i <= start + 1 or i + 1 >= b or any(v.text[k] == "," for k in range(a, b)):
            return False
        # "stapled one end folded it over"
        past = v.tag[i] in ("VBD", "VBN") and v.low[i + 1] in ("it", "them") and self.lemma(i) in self.known
        if not plain and not past:
            return False
        object_of = next((k for k in v.kids[i] if v.dep[k] == "nsubj"), None)
        # what stands behind a preposition is no subject: "start with the tips put them in three spaces"
        placed = (
            object_of is not None
            and object_of == i - 1
            and v.pos[object_of] == "NOUN"
            and v.pos[v.left[object_of] - 1] in ("ADP", "SCONJ")
        )
        follows = (
            v.pos[i - 1] in ("NOUN", "PROPN", "ADV", "NUM", "ADJ", "PRON") or (past and v.low[i - 1] in PARTICLES)
        ) and (placed or v.dep[i - 1] not in ("nsubj", "neg"))
        subject = any(
            v.dep[k] in ("nsubj", "aux", "mark") and not (placed and (k == object_of or v.dep[k] == "mark"))
            for k in v.kids[i]
        )
        subject = subject or v.low[i - 2] in ("let", "help", "make")
        return follows and not subject and v.pos[i + 1] in ("DET", "PRON", "NUM")

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
        first_of_sentence = all(v.pos[k] in ("PUNCT", "SYM", "X") for k in range(v.sents[v.sent_of[i]][0], i))
        if first_of_sentence and (v.pos[i] != "PROPN" or v.low[i] not in self._names):
            return v.low[i]
        return v.text[i]

    def _meant(self, i: int, start: int, end: int) -> bool:
        """Whether a word that is often filler says something here ("drilled again", "only halfway", "too tight")."""
        v = self.v
        low = v.low[i]
        if low == "again":
            return True
        if low == "even" and (v.low[i - 1] == "to" or i + 1 >= end or v.pos[i + 1] in ("PUNCT", "CCONJ")):
            return True  # "to even them out", "until it is even"
        if low in ("only", "even", "just"):
            return low == "only"
        if low == "either":
            return i + 1 < end and v.pos[i + 1] in ("NOUN", "NUM", "ADJ")
        if low == "right" and i > start and v.lemma[i - 1] in ("look", "feel", "be", "sit", "hang"):
            return True
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
                in (
                    "it",
                    "its",
                    "they",
                    "that",
                    "you",
                    "the",
                    "there",
                    "no",
                    "nothing",
                    "i",
                    "we",
                    "everything",
                    "one",
                    "both",
                )
            )
            mark = mark or (i > start + 1 and i + 2 < end and v.pos[i + 1] in ("DET", "PRON") and v.text[i - 1] == ",")
            return mark or (i + 1 < end and v.pos[i + 1] in ("ADJ", "ADV") and v.low[i + 1] not in HEDGES)
        if low == "then":
            return (
                i > start
                and (v.low[i - 1] in ("and", ",") or (v.pos[i - 1] in ("NOUN", "NUM") and i + 1 < end))
                and v.pos[min(i + 1, end - 1)] in ("NUM", "NOUN", "ADP", "DET", "VERB", "ADV", "ADJ")
            )
        return False

    def _there_are(self, i: int) -> bool:
        """ "there's no lumps": several things that there are."""
        v = self.v
        there = any(v.dep[k] == "expl" for k in v.kids[i])
        return there and any(v.dep[k] in ("attr", "nsubj") and v.tag[k] == "NNS" for k in v.kids[i])

    def _verb(self, i: int, end: int, before: list[str]) -> tuple[list[str], int]:
        """A verb of a clause that is kept, in the present and in the second person; and the next token."""
        v = self.v
        low, tag = v.low[i], v.tag[i]
        head = v.head[i]
        main = head if v.dep[i] in ("aux", "auxpass") else i
        while v.dep[main] in ("aux", "auxpass") and v.head[main] != main:
            main = v.head[main]  # "the twist didn't get marked"
        subj = next((k for k in v.kids[main] if v.dep[k] in ("nsubj", "nsubjpass")), None)
        singular = subj is not None and (
            v.tag[subj] in ("NN", "NNP")
            or v.low[subj] in ("it", "this", "that", "he", "she", "everything", "nothing", "nobody", "one", "what")
        )
        if subj is not None and any(v.dep[k] == "conj" for k in v.kids[subj]):
            singular = False
        if subj is not None and v.low[subj] in ("that", "which") and v.dep[main] == "relcl":
            singular = v.tag[v.head[main]] != "NNS"  # "the leaves that had gone"
        if subj is None:
            singular = False
        if v.dep[i] in ("aux", "auxpass"):
            nxt = i + 1
            negative = nxt < end and v.low[nxt] in ("n't", "not", "n’t", "nt")
            if low in ("would", "'d", "did", "will", "'ll", "wo", "had") and main > i:
                if low == "had" and not negative:
                    return ["has" if singular else "have"], nxt
                if negative and low == "had":
                    return [("hasn't" if singular else "haven't")], nxt + 1
                if negative:
                    return [("doesn't" if singular else "don't")], nxt + 1
                if self.lemma(main) == "be" and self._there_are(main):
                    return ["are"], max(nxt, main + 1)
                if (singular or self.lemma(main) == "be") and low != "had":
                    # "it'd lie" -> "it lies": the helping verb goes, the verb takes its ending.
                    self._bend.add(main)
                return [], nxt
            if low == "could":
                return (["can't"], nxt + 1) if negative else (["can"], nxt)
            if low in ("was", "were", "'s", "'re", "'m", "is", "are", "am"):
                return ["is" if singular else "are"], nxt
            if low in ("do", "does") and negative:
                return ["doesn't" if singular else "don't"], nxt + 1
            if negative and low == "ca":
                return ["can't"], nxt + 1
            return [CONTRACTED.get(low, low)], nxt
        if i in self._bend:
            self._bend.discard(i)
            return [third_person(self.lemma(i))], i + 1
        if (
            tag in ("VBD", "VBZ")
            and subj is not None
            and v.dep[i] in ("ccomp", "conj", "dep", "advcl", "pcomp")
            and (v.pos[subj] != "PRON" or v.lemma[v.head[i]] in ("leave", "keep"))
        ):
            bound = any(v.dep[k] == "mark" or v.low[k] in BINDING for k in v.kids[i]) or v.lemma[head] in KNOWS
            if not bound and self.lemma(i) != "be":
                return [v.low[i]], i + 1  # "slip stitch the gap closed": a participle, whatever the tagger says
        within = subj is not None and v.pos[subj] != "PRON" and "with" in v.low[max(0, v.left[subj] - 2) : v.left[subj]]
        if within and tag in ("VBD", "VBN") and self.lemma(i) != "be":
            return [v.low[i]], i + 1  # "with the edges turned up"
        ends = i + 1 >= end or v.pos[i + 1] == "PUNCT"
        ends = ends or (v.low[i + 1] == "already" and (i + 2 >= end or v.pos[i + 2] == "PUNCT"))
        hung = i and v.text[i - 1] == "," and ends
        if tag in ("VBD", "VBN") and subj is None and hung:
            return [v.low[i]], i + 1  # "olive oil soap, grated"
        if tag == "VBD":
            if self.lemma(i) == "be":
                one = any(v.dep[k] == "expl" for k in v.kids[i]) and not self._there_are(i)
                return ["is" if singular or one else "are"], i + 1
            if subj is None and v.dep[i] not in ("conj", "relcl", "advcl", "ccomp"):
                return [v.text[i].lower()], i + 1
            return [third_person(self.lemma(i)) if singular else self.lemma(i)], i + 1
        if self.lemma(i) == "be" and self._there_are(i):
            return ["are"], i + 1
        if tag == "VBZ" and subj is None and v.low[i - 1] in ("and", "then", ",") and self.lemma(i) in self.known:
            return [self.lemma(i)], i + 1
        bound = any(v.dep[k] == "mark" for k in v.kids[i]) or (subj is not None and v.low[subj - 1] in BINDING)
        if tag == "VBP" and bound and subj is not None and v.low[subj] == "it" and self.lemma(i) not in ("be", "have"):
            return [third_person(self.lemma(i))], i + 1  # "until it fit"
        if tag in ("VBZ", "VBP") and self.lemma(i) == "be":
            return ["is" if singular or low in ("is", "'s") else "are"], i + 1
        return [v.text[i] if v.text[i].isupper() else v.low[i]], i + 1
