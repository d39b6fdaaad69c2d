"""Noun phrases and sentences around a sum: where they begin and end, and what a phrase is called by."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import starts_number
from buildlog.tag.amounts.what import singular
from buildlog.tag.derived_terms import Terms
from buildlog.tag.derived_words import (
    DETERMINERS,
    DIMENSIONS,
    HANDFULS,
    MEASURE_WORDS,
    STOP,
)

if TYPE_CHECKING:
    from buildlog.tag.lexicon import Lexicon

GENERIC = lexis().sets["says_nothing"]
PRONOUNS = frozenset(
    "it that this they them those these he she there i you we one ones mine yours everything something what which who".split()
)
ENDS = frozenset([".", "!", "?", ";", ":"])
OPENERS = frozenset(
    "and so okay ok then now right well but for also next first finally oh um uh yeah yes last cause because the then anyway "
    "just here's there's also".split()
)
PLACES = frozenset("in at from with under over behind inside by on along across between through".split())
NO_TOPIC = frozenset(
    "favourite favorite thing things question video day time bit lot way part rule trick guy guys people friend minute hour "
    "inch inches reason idea case end side sides edge middle top bottom front back".split()
)
AWAY = frozenset("down up out over back along in off past through under".split())
MEASURING = frozenset("measure measured measuring".split())
SAYS_LITTLE = frozenset("good whole actual same exact overall new proper other".split())
_SENTENCE_WORDS = lexis().sets["sentence_words"]
# Adjectives that tell one piece of a thing from another.
_TELLING = frozenset(
    "top bottom front back side inner outer upper lower left right under middle long short first second third next inside "
    "outside centre center main".split()
)
_ENDS_OF = frozenset("front back top bottom side end edge middle corner".split())
_SOME = HANDFULS - frozenset("finger fingers hand hands knot palm tail thumb thumbs shaving".split())
_GOVERNING = frozenset("with using from in on at across through into onto".split())
_RUN_ON = 40  # atoms a full stop, above which speech was written down without them


class Phrases:
    """Reads the noun phrases of one document."""

    def __init__(self, terms: Terms, sentences: Sequence[int], lexicon: Lexicon) -> None:
        """``lexicon`` knows what kind of thing a noun names.

        ``sentences`` are the tokens at which sentences begin; they count where there are hardly any full stops.
        """
        self.t, self.a, self.w, self.lexicon = terms, terms.a, terms.a.w, lexicon
        stops = sum(map(self.w.count, ".?!")) if terms.a.n else 0
        starts = set(sentences) if stops * _RUN_ON < terms.a.n else set()
        self.begins = {
            i
            for i in range(terms.a.n)
            if starts and terms.a.tok[i] in starts and (i == 0 or terms.a.tok[i - 1] != terms.a.tok[i])
        }

    def subject(self, i: int) -> str | None:
        """The noun that the sentence of atom ``i`` begins with, if a verb follows it: "Wedges are oak, ..."."""
        begin = self._begin(i)
        k = self._skip(begin, i)
        k += self.w[k] in DETERMINERS | {"a", "an"}
        m = min(self._run(k), i)
        return (
            self.phrase_to(m - 1)
            if m > k and self.w[m] in ("is", "are", "'s", "'re", "was", "were", "has", "have")
            else None
        )

    def kind(self, noun: str) -> str | None:
        """The lexicon's kind of thing for ``noun``."""
        return self.lexicon.classify(singular(noun), [])[0]

    def subject_before(self, k: int) -> str | None:
        """The noun right before the verb at atom ``k``."""
        return singular(found) if (found := self.phrase_to(k - 1)) else None

    def stuff(self, name: str) -> bool:
        """Whether ``name`` is of a material."""
        *mods, head = name.split()
        return self.lexicon.classify(singular(head), mods)[0] == "material"

    def _opens(self, end: int) -> bool:
        """Whether the noun phrase that ends before atom ``end`` begins its sentence: "the strap, so you take ..."."""
        k = self._skip(self._begin(end), end)
        k += self.w[k] in DETERMINERS | {"a", "an"}
        return k < end and self._run(k) >= end

    def _measured(self, k: int) -> bool:
        """Whether the noun phrase that ends at ``k`` is what one measures: "you measure the inside from top to bottom"."""
        w = self.w
        while self._can_be_noun(k):
            k -= 1
        return w[k - (w[k] in DETERMINERS)] in MEASURING

    def _told_of_it(self, k: int) -> bool:
        """Whether the noun phrase that ends at ``k`` only says what "it" is: "it's a straight strip, your waist plus ..."."""
        w = self.w
        while self._can_be_noun(k):
            k -= 1
        return w[k] in ("a", "an") and w[k - 1] in ("'s", "is") and w[k - 2] in ("it", "that", "this")

    def phrase_to(self, k: int) -> str | None:
        """The noun phrase that ends at atom ``k``; "the radius for the neck" is "neck radius"."""
        w = self.w
        low = k
        while low > 0 and k - low < 2 and self._compounds(low):
            low -= 2 if w[low - 1] in ("'s", "'") else 1
        # "the hole at the back is": the thing, not its place
        at = low - 1 - (w[low - 1] in DETERMINERS)
        if (
            w[k + 1] in (",", "by")
            and at > 1
            and w[at] in _GOVERNING
            and self.t.tag(at - 1).startswith(("VB", "RP", "RB"))
        ):
            # "was cut with the bread knife, ...": what the clause is about
            return self.subject(at)
        if w[at] == "from" and at > 2 and w[at - 1] in AWAY and self._can_be_noun(at - 2):
            # "the stitch line in from the edge"
            return self.phrase_to(at - 2)
        if (
            w[at] == "of"
            and at > 3
            and w[at - 1] in _ENDS_OF
            and w[at - 2] == "the"
            and w[at - 3] in PLACES
            and self._can_be_noun(at - 4)
        ):
            # "the chain at the front of the bag"
            return self.phrase_to(at - 4)
        if at > 0 and w[at] == "for" and set(w[low : k + 1]) <= NO_TOPIC and self.t.noun(at - 1):
            # "the rod for the bottom"
            return self.phrase_to(at - 1)
        if at > 0 and w[at] in PLACES and self.t.noun(at - 1) and (at + 1 < low or w[at] != "on"):
            return self.phrase_to(at - 1)
        if starts_number(w[k]) or w[k] in lexis().units or w[k] in _SOME or not self._can_be_noun(k):
            return None
        if w[k] == "wise" and k > low:
            k -= 1
        words = [
            x
            for x in w[low : k + 1]
            if x not in MEASURE_WORDS and x not in SAYS_LITTLE and x not in ("'s", "'", "finished", "next")
        ] or [w[k]]
        at = low - 1
        if at > 1 and w[at] in DETERMINERS | {"a"} and w[at - 1] in ("of", "for", "on"):
            at -= 1
        if (
            at > 1
            and w[at] == "of"
            and w[at - 1] in _ENDS_OF
            and w[at - 2] in DETERMINERS
            and w[at - 3] not in PLACES | {"to"}
        ):
            words.append(w[at - 1])  # "the bottom of the bag"
        elif at > 0 and w[at] in ("of", "for", "on") and w[at - 1] in DIMENSIONS:
            if w[at] == "for" and self._compounds(at - 1):
                return self.phrase_to(at - 1)
            words.append(w[at - 1])
        elif at > 1 and w[at] == "for" and self.t.noun(at - 1) and w[at - 2] in DETERMINERS:
            words.append(w[at - 1])  # "the plug for the eye socket"
        elif (
            at > 0
            and w[at] in ("of", "for")
            and w[at - 1] in ("piece", "length", "number", "strip")
            and self._can_be_noun(at - 1)
        ):
            words.append(w[at - 1])
        return " ".join(words)

    def _compounds(self, low: int) -> bool:
        w = self.w
        if w[low - 1] in ("'s", "'"):
            return low > 1 and self._can_be_noun(low - 2) and w[low - 2] not in ("it", "that", "there", "here")
        if low in self.begins or w[low - 1] in lexis().units:
            return False
        if (
            w[low - 1] in _ENDS_OF
            and self._can_be_noun(low)
            and (low < 2 or w[low - 2] in DETERMINERS or low - 1 in self.begins)
        ):
            return True  # "the back leg", read as an adverb
        return w[low - 1].isalpha() and self._can_be_noun(low - 1)

    def _can_be_noun(self, i: int) -> bool:
        """Whether atom ``i`` may belong to a noun phrase: by its tag, or because a determiner leads it."""
        w = self.w
        text = w[i]
        if text in STOP | DETERMINERS | PRONOUNS or text in _SENTENCE_WORDS or not text.isalpha():
            return False
        tag = self.t.tag(i)
        if tag.startswith(("NN", "JJ")) or not tag or (i > 0 and w[i - 1] in DETERMINERS | {"a", "an"}):
            return True
        if tag == "VBG" and (i == 0 or w[i - 1] in ENDS or self.t.tag(i - 1).startswith("NN")):
            return self.kind(text) in ("material", "piece")  # "Piping now.", "bias binding for the armholes"
        if tag == "VBZ" and i > 0 and self.t.tag(i - 1).startswith("NN"):
            # "the handle holes a quarter of the way in"
            return self.lexicon.classify(singular(text), [])[0] in (
                "material",
                "piece",
                "tool",
                "count",
                "product",
                "place",
            )
        # "the dust cover to": read as a verb
        return tag in ("VB", "VBP") and i > 1 and w[i - 2] in DETERMINERS and self.t.tag(i - 1) == "NN"

    def _run(self, i: int, most: int = 4) -> int:
        """Where the noun phrase that begins at ``i`` ends."""
        w = self.w
        m = i
        while m < i + most and self._can_be_noun(m) and not starts_number(w[m]) and w[m] not in lexis().units:
            m += 1
        return m

    def _begin(self, end: int) -> int:
        begin = end
        while begin > 0 and self.w[begin - 1] not in ENDS and end - begin < 60:
            begin -= 1
            if begin in self.begins:
                break
        return begin

    def _sizable(self, name: str, *, near: bool) -> bool:
        """Whether a thing of that name is cut to a size: no person, place or idea, and no tool."""
        *mods, head = name.split()
        kind, _ = self.lexicon.classify(singular(head), mods)
        return kind in (
            "material",
            "piece",
            "count",
            "container",
            "product",
            "place" if near else None,
            "tool" if near else None,
            None,
        )

    def _skip(self, k: int, end: int) -> int:
        w = self.w
        while k < end and (w[k] in OPENERS or w[k] == "," or w[k] == ">") and w[k] != "the":
            k += 1
        return k

    def _verb_like(self, low: int, m: int) -> bool:
        """ "the lining wraps over the top": whether the last word of the noun phrase is the only verb there is."""
        return m > low + 1 and self.w[low - 1] == "the" and self.t.tag(m - 1) == "NNS" and self.t.tag(m - 2) == "NN"

    def _called(self, low: int, high: int) -> str:
        """The noun phrase of atoms ``[low, high)`` by what tells it from others: without "new", "narrow" and their like."""
        words = self.w[low:high]
        tags = [self.t.tag(k) for k in range(low, high)]
        kept = [
            x
            for x, tag in zip(words[:-1], tags, strict=False)
            if x in _TELLING or not (tag.startswith(("JJ", "VB")) or x in SAYS_LITTLE)
        ]
        return " ".join([*kept, words[-1]][-3:])


__all__ = [
    "AWAY",
    "ENDS",
    "GENERIC",
    "MEASURING",
    "NO_TOPIC",
    "OPENERS",
    "PLACES",
    "PRONOUNS",
    "SAYS_LITTLE",
    "Phrases",
]
