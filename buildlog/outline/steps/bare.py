"""Steps told without a verb of their own: gerunds, names of techniques, things that are added, "the same again"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildlog.outline.steps.doubts import mark
from buildlog.outline.steps.phrases import Phrase, same_word, with_comma
from buildlog.outline.steps.states import States
from buildlog.outline.steps.tables import ALONG, MOVES_ITSELF, NOUN_VERB, WHERE
from buildlog.outline.steps.things import is_pronoun
from buildlog.outline.words import HEDGES, PAST

if TYPE_CHECKING:
    from buildlog.outline.steps.segments import Segment


_NAMES = frozenset(["DET", "ADJ", "NOUN", "NUM", "PROPN"])


class Bare(States):
    """Rewrites phrases that have no clause."""

    def _same_again(self, segment: Segment) -> Phrase | None:
        """ "The lid is the same again, only shorter", "I did the same for the other side", "do that again"."""
        v = self.v
        at = same_word(v, segment.start, segment.end)
        if at is None:
            return None
        c = self.clauses[segment.clause] if segment.clause is not None else None
        if c is not None and at > c.verb + 1 and v.text[at - 1] == ",":
            return None  # "they go on the back, same story"
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
        if tail and tail[0] not in (
            "for",
            "on",
            "with",
            "to",
            "onto",
            "in",
            "but",
            "only",
            "except",
            "at",
            "underneath",
            "round",
            ",",
        ):
            tail = [",", *tail]
        if (
            c is not None
            and c.subj is not None
            and min(c.verb, at) > c.subj >= segment.start
            and self.lemma(c.verb) in ("be", "go", "get")
            and not is_pronoun(v.low[c.subj])
            and v.pos[c.subj] in ("NOUN", "PROPN")
        ):
            front = self._object(c.subj, segment)
            if front and front[0].lower() not in ("the", "a", "an", "each", "both", "all", "every", "another"):
                front = ["the", *front]
            on = [v.low[c.verb + 1]] if v.low[c.verb + 1] in ("on", "in", "back", "up", "down") else []
            verb = "put" if on and self.lemma(c.verb) == "go" else "make"
            return Phrase(
                [verb, *front, *(on if verb == "put" else []), "the", "same", "way", *with_comma(tail)],
                verb,
                segment.start,
                [],
                sure=0.8,
                same=True,
            )
        fronted = self._clean(segment.start, at, None) if c is None else self._fronted(c, segment, [])
        if c is None and fronted:
            lead = [w for w in fronted if w.lower() not in ("for", "do", "the", "exactly")]
            if "," in lead or len(lead) > 5:
                return None  # a list of settings
            if lead:
                return Phrase(
                    ["make", "the", *lead, "the", "same", "way", *with_comma(tail)],
                    "make",
                    segment.start,
                    [],
                    sure=0.7,
                    same=True,
                )
        fronted = [w for w in fronted if w]
        done = c is not None and next((o for o in c.objs if v.pos[o] == "NOUN" and c.verb < o < at), None)
        if c is not None and done:
            words = [*self._object(done, segment), "the", "same", "way", *with_comma(tail)]
            return Phrase(["do", *words], "do", segment.start, [], sure=0.8, same=True)
        if not tail and not fronted:
            if v.low[at] == "again":
                return None
            return Phrase(["repeat", "the", "same", "step"], "repeat", segment.start, [], sure=0.5, same=True)
        return Phrase(["do", "the", "same", *fronted, *with_comma(tail)], "do", segment.start, [], sure=0.8, same=True)

    def _verbless(self, segment: Segment) -> Phrase | None:
        """A phrase without a verb: a gerund, a technique's name, or things that are added."""
        v = self.v
        a, b = segment.start, segment.end
        while a < b and (
            v.pos[a] in ("PUNCT", "CCONJ", "INTJ")
            or v.low[a] == "last"
            or (v.low[a] in HEDGES and v.low[a] != "right" and not self._counts(a, b))
            or (v.low[a] in ("okay", "right") and a + 1 < b and v.low[a + 1] not in ("side", "sides"))
        ):
            a += 1
        if a < b - 1 and v.low[a] == "its" and self._it_is(a + 1, b):
            return None
        if a >= b or v.low[a] in ("not", "no", "never", "without"):
            return None
        setting = self._setting(a, b)
        if setting is not None:
            return setting
        stuff = self._names_stuff(a)
        if v.pos[a] == "ADJ" and a + 1 < b and v.tag[a + 1] == "VBN" and a + 2 >= b:
            return None  # "black backed": how a thing is
        bare_verb = self._orders(a, segment) or (
            v.low[a] in self.lexicon.making_verbs
            and a + 1 < b
            and v.low[a + 1] != "of"
            and (v.pos[a + 1] in ("DET", "PRON", "NUM", "ADV", "ADP", "PART") or v.pos[a] == "VERB")
        )
        if (
            a not in self._inside_item
            and not stuff
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
            named = self._named[:1]
            participle = v.tag[a] in ("VBN", "VBD")
            if participle and not named:
                words = [mark("it"), *words]
            if not words and not participle:
                return None
            return Phrase([verb, *words], verb, a, list(named), bare=not words, sure=0.7)
        if any(v.low[i] in ("i", "we", "'s") for i in range(a, b)):
            return self._is_done(segment, a, b)
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
        a = self._past_heading(a, b)
        head = next((i for i in range(a, b) if v.pos[i] in ("NOUN", "PROPN") and v.dep[i] != "compound"), head)
        does = self._noun_does(a, head, b)
        if does is not None:
            return does
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
        stuff = kind == "material" or self._is_of_stuff(head, b)
        laid_on = any(v.lemma[i] in ("brush", "roller", "rag", "sponge", "airbrush", "pad") for i in range(head + 1, b))
        if self._is_of_stuff(head, b) or (stuff and laid_on):
            verb = "apply"  # "a thin line of glue on the flap", "green enamel with a roller"
        if any(v.lemma[i] == "coat" for i in range(head + 1, b)) and kind in ("material", None):
            verb = "apply"
        if any(
            (v.dep[i] == "prep" and v.low[i] in WHERE and v.low[i] != "between" and v.low[i - 1] != ",")
            or v.low[i] in ("face", "sides", "together")
            for i in range(head, b)
        ) and verb in ("add", "make", "use", "cut"):
            along = kind == "tool" and any(v.low[i] in ALONG for i in range(head + 1, b))
            from_cloth = verb == "cut" and any(v.low[i] == "in" for i in range(head + 1, b))
            verb = "run" if along else "cut" if from_cloth else "put"
        if kind == "tool" and v.tag[head] == "NN" and not any(v.pos[i] in ("DET", "PRON") for i in range(a, head)):
            words = ["the", *words]
        if words[0].lower() in ("next", "first", "second"):
            words = ["the", *words]
        t = self.things.at(head)
        if t is not None:
            self._named.append(t)
        if words[-1].lower() == verb.split()[-1]:
            verb = verb.split()[0]  # "put the clamp on"
        if words[1:2] == ["of"] and v.tag[a] != "NNS" and v.pos[a] in ("NOUN", "VERB", "PROPN"):
            words = ["a", *words]
        return Phrase([*verb.split(), *words], verb.split()[0], a, [t] if t else [], sure=0.5, fragment=True)

    def _is_of_stuff(self, head: int, b: int) -> bool:
        """A line, bead or smear of what is spread on."""
        v = self.v
        if (
            v.lemma[head] not in ("line", "bead", "smear", "film", "dab", "skim")
            or head + 2 >= b
            or v.low[head + 1] != "of"
        ):
            return False
        return any(self.lexicon.classify(v.lemma[i])[0] == "material" for i in range(head + 2, min(b, head + 5)))

    def _past_heading(self, a: int, b: int) -> int:
        """Where the things begin behind a heading: "Hood, two hood pieces in the wool"."""
        v = self.v
        i = a
        while i < b and i < a + 3 and v.pos[i] in ("NOUN", "PROPN", "ADJ"):
            i += 1
        if i == a or i + 2 >= b or v.text[i] != "," or v.pos[i + 1] != "NUM":
            return a
        counted = next((k for k in range(i + 2, min(i + 6, b)) if v.pos[k] == "NOUN" and v.dep[k] != "compound"), None)
        if counted is None or v.lemma[counted] in ("coat", "layer"):
            return a
        return i + 1 if self.lexicon.classify(v.lemma[counted])[0] == "piece" or v.lemma[counted] in NOUN_VERB else a

    def _noun_does(self, a: int, head: int, b: int) -> Phrase | None:
        """ "The flap folds over the top": the parser took what the thing does for a second noun."""
        v = self.v
        verb = v.lemma[head]
        if v.tag[head] != "NNS" or verb not in MOVES_ITSELF or head - a < 2 or head + 1 >= b or v.pos[a] != "DET":
            return None
        if (
            v.dep[head - 1] != "compound"
            or v.low[head + 1] not in WHERE
            or self.lexicon.classify(verb)[0] in ("tool", "material")
        ):
            return None
        return Phrase([verb, *self._clean(a, head, None), *self._clean(head + 1, b, None)], verb, a, [], sure=0.6)

    def _names_stuff(self, i: int) -> bool:
        """Whether a word that the parser took for a verb names a material and no work: "oak, off an old barrel"."""
        lemma = self.v.lemma[i].lower()
        return lemma not in self.known and self.lexicon.classify(lemma)[0] == "material"

    def _is_done(self, segment: Segment, a: int, b: int) -> Phrase | None:
        """ "It's stuck with fabric glue", "the tenon's cut on the bottom", where the parser saw no clause."""
        v = self.v
        is_ = next((i for i in range(a + 2, b - 2) if v.low[i] == "'s"), None)
        if is_ is not None and v.pos[a] == "DET" and v.pos[is_ + 2] == "ADP" and v.pos[is_ - 1] == "NOUN":
            verb = PAST.get(v.low[is_ + 1]) or self.lemma(is_ + 1)
            done = v.low[is_ + 1] != verb or verb in ("cut", "put", "set")
            if done and verb in self.lexicon.making_verbs and all(v.pos[i] in _NAMES for i in range(a, is_)):
                words = [*self._clean(a, is_, None), *self._clean(is_ + 2, b, None)]
                t = self.things.at(is_ - 1)
                return Phrase([verb, *words], verb, a, [t] if t else [], sure=0.7)
        if not (a + 2 < b and is_pronoun(v.low[a]) and v.low[a + 1] == "'s" and v.low[a + 2] in PAST):
            return None
        verb = PAST[v.low[a + 2]]
        return Phrase(
            [verb, self._pronoun(a), *self._clean(a + 3, b, None)], verb, a, list(self._worked[-1:]), sure=0.7
        )

    def _counts(self, a: int, b: int) -> bool:
        """The "next" of "next section on top"."""
        return self.v.low[a] in ("next", "first") and a + 1 < b and self.v.pos[a + 1] == "NOUN"

    def _setting(self, a: int, b: int) -> Phrase | None:
        """ "Stitch length four", "Stitch width at two": a setting of the machine, not an order to stitch."""
        v = self.v
        dial = next(
            (
                i
                for i in range(a, min(a + 4, b - 2))
                if v.low[i] in ("dial", "tension", "speed") and v.low[i + 1] in ("at", "to", "on")
            ),
            None,
        )
        if dial is not None and v.pos[dial + 2] == "NUM":
            named = [v.low[i] for i in range(a, dial + 1) if v.low[i] not in ("the", "my")]
            return Phrase(["set", "the", *named, "to", *self._clean(dial + 2, b, None)], "set", a, sure=0.7)
        if v.low[a] not in ("stitch", "needle") or a + 2 >= b or v.low[a + 1] not in ("length", "width", "position"):
            return None
        words = self._clean(a + 2, b, None)
        while words and words[0] in ("at", "to", "of", "on", "is", ","):
            words.pop(0)
        return Phrase(["set", "the", v.low[a], v.low[a + 1], "to", *words], "set", a, sure=0.7) if words else None

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
