"""What a derived amount sizes: the thing its sentence is about, or the one that the talk has come to.

"The strap is twice the rim" says it before, "take half the hip and that's your panel" after, "for the length, go once
round the frame" by its purpose; "Wire, then. ... You need the brim edge plus two inches" some sentences earlier.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import starts_number
from buildlog.tag.amounts.what import singular
from buildlog.tag.derived_terms import (
    AS_ADJECTIVES,
    BIGGER,
    DETERMINERS,
    DIMENSIONS,
    HANDFULS,
    MEASURE_WORDS,
    STOP,
    Sum,
    Terms,
)

if TYPE_CHECKING:
    from buildlog.tag.lexicon import Lexicon

_GENERIC = lexis().sets["says_nothing"]
_LINKS = lexis().sets["result_links"] | set("taking measuring get getting n't not ca can cannot never".split())
# What an addition is for, not what is sized.
_PURPOSES = frozenset(singular(x) for x in lexis().sets["allowed_for"]) | frozenset(
    "tail luck stitching sewing cutting shrinkage knot loop gathering overlap lap buckle glue fold finger tuck".split()
)
_SENTENCE_WORDS = lexis().sets["sentence_words"]
_PRONOUNS = frozenset(
    "it that this they them those these he she there i you we one ones mine yours everything something what which who".split()
)
_ENDS = frozenset([".", "!", "?", ";", ":"])
_OPENERS = frozenset(
    "and so okay ok then now right well but for also next first finally oh um uh yeah yes last cause because the then anyway "
    "just here's there's also".split()
)
_RELATIVE = frozenset(
    "want need needed use go like take do cut allow wants needs used require work by i you we it that".split()
)
_PLACES = frozenset("in at from with under over behind inside by on along across between through".split())
_NO_TOPIC = frozenset(
    "favourite favorite thing things question video day time bit lot way part rule trick guy guys people friend minute hour "
    "inch inches reason idea case end side sides edge middle top bottom front back".split()
)
_AWAY = frozenset("down up out over back along in off past through under".split())
_PLACED = frozenset("goes sits go sit is are starts start begins begin ends comes".split())
# Adjectives that tell one piece of a thing from another.
_TELLING = frozenset(
    "top bottom front back side inner outer upper lower left right under middle long short first second third next inside "
    "outside centre center main".split()
)
_ENDS_OF = frozenset("front back top bottom side end edge middle corner".split())
_SOME = HANDFULS - frozenset("finger fingers hand hands knot palm tail thumb thumbs shaving".split())
_GOVERNING = frozenset("with using from in on at across through into onto".split())
_SHIFTS = {"shifted": "shift", "moved": "shift", "offset": "offset", "staggered": "offset", "stepped": "step"}
_SAYS_LITTLE = frozenset("good whole actual same exact overall new proper other".split())
_MAKING = frozenset("cut make need use mark want made used tear rip saw attach add cutting making".split())


# Parts of a thing that are told of as pieces where a sentence is about one of them.
_PARTS = frozenset("back front top bottom side sides end ends middle".split())
_MADE = frozenset("a an cut made just two one".split())
_MEASURING = frozenset("measure measured measuring".split())
_SHOWING = frozenset("that which this there".split())
# What goes on after "how many" and "how long" in a question, or where a verb begins.
_ASKING = frozenset("do did does will would should can you i we is are was it that they to d'you".split())

_RUN_ON = 40  # atoms a full stop, above which speech was written down without them


class Results:
    """Names what the sums of one document are for."""

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

    def of(self, s: Sum) -> str | None:
        """The name of what ``s`` sizes, or ``None``."""
        tail, w = s.tail, self.w
        if tail and tail.startswith("="):
            return tail[1:]
        if tail == "mix":
            heading = self._near(s.start)
            return f"{heading} mix" if heading and heading not in s.names else "mix"
        found = self._after(s) or self._cut_to_it(s.end) or self._made_of(s.end) or self._before(s.start, s)
        if found is None and tail and (tail == "spacing" or tail.startswith("finished ")):
            return self._for_before(s.start) or tail
        if found is None and w[s.end] == "for" and w[s.end + 1] == "ease" and s.names:
            return f"{s.names[0]} with ease"
        if found is None:
            found = (
                self._asked(s.start)
                or self._for_before(s.start)
                or self._shared_by(s)
                or self._announced(s.start)
                or self._near(s.start)
            )
            found = found or (not s.constant and self._for_after(s.end)) or self._topic(s.start)
            found = found or self._introduced(s.start)
        if found and singular(found) in DIMENSIONS:
            # one of several widths is told apart after the sum; with one width, "for the roll" is what was added for
            several = singular(found) != found
            thing = ((several or not s.constant) and self._for_after(s.end)) or self._near(s.start)
            if thing and not set(thing.split()) & DIMENSIONS:
                found = f"{thing} {singular(found)}"
        if found and tail and tail != "size" and tail not in found.split() and found not in DIMENSIONS:
            found = f"{found} {tail}"
        return found or tail or _dimension(s)

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

    def thing(self, i: int) -> str | None:
        """The thing that the talk is about at atom ``i``, whatever is said of it."""
        return self._near(i) or self._topic(i)

    # -- before the sum -----------------------------------------------------------------------------------------------

    def _before(self, start: int, s: Sum | None = None) -> str | None:
        """Its subject or object just before it; ``None`` where that is a pronoun or says nothing."""
        w = self.w
        k = start - 1
        if k > 0 and w[k] == "the" and w[start] == "same":
            k -= 1
        wide = self._asked_size(k)
        if w[k] == "by" and self.t.tag(k - 1) != "VBN" and (by := self._doer(start)):
            return by
        if w[k] == "than" and w[k - 1] in BIGGER:
            k -= 2  # "can't be less than"
        while (
            k >= 0 and (w[k] in _LINKS or (w[k] in AS_ADJECTIVES and w[k - 1] in ("as", "how"))) and w[k] not in _ENDS
        ):
            if w[k] == "," and k and w[k - 1] in ("it", "that", "so"):
                return None
            if w[k] == "so" and w[k + 1] in ("you", "i", "we") and not self._opens(k - (w[k - 1] == ",")):
                return None  # "it goes inside the frame so you take": another clause
            k -= 1
        if w[k + 1] in ("you", "i", "we") and self._for_each(k):
            return None
        k = self._past_verb(k)
        if k >= 2 and w[k + 1] in _AWAY and w[k] in _AWAY:
            k -= 1
        if (w[k] in _AWAY or w[k + 1] in _AWAY) and (moved := self._worked(k - (w[k] in _AWAY), s)):
            return moved
        m = k
        while m > 0 and k - m < 3 and w[m] in ("after", "inside", "that", "it", "above", "below", "outside", "in"):
            m -= 1
        if m < k and w[m] == "one" and w[m - 1] in ("each", "every"):
            k = m  # "every one after that"
        if (
            w[k] in ("each", "all")
            or (w[k] == "one" and w[k - 1] in ("each", "every"))
            or w[k - 1 : k + 1] == ["of", "them"]
        ):
            return self.antecedent(k, wide)
        if w[k] in ("it", "them", "these", "those") and w[k - 1] in ("on", "in", "for", "at") and self.t.noun(k - 2):
            return self.phrase_to(k - 2)  # "the tongue on these"
        if w[k] in ("it", "that", "them", "these", "those") and w[k - 1] == "of" and self._can_be_noun(k - 2):
            near = self._near(k)
            return f"{near} {w[k - 2]}" if near and len(near.split()) < 3 else w[k - 2]
        if k >= 1 and w[k] in _RELATIVE | {"for", "with"}:
            # "the amount you want is", "the rule I go by is"
            m = k
            while m > 0 and w[m] in _RELATIVE | {"for", "with"}:
                m -= 1
            if w[k] == "it" and m == k - 1:
                return None  # "where it folds round the bar it should be": what "it" is was said before
            k = m
        if k < 0 or w[k] in _ENDS:
            return None
        if w[k] in BIGGER and k > 1 and w[k - 1] in _LINKS and wide is None:
            # "the front is higher by a sixth of the length"
            wide = BIGGER[w[k]][1] or None
            k -= 1
            while k >= 0 and w[k] in _LINKS:
                k -= 1
        if w[k] in ("one", "ones") and w[k - 1].isalpha() and w[k - 1] not in DETERMINERS | STOP:
            return f"{w[k - 1]} {wide}" if wide else w[k - 1]
        if w[k] in ("one", "ones") and w[k - 1] in ("long", "short", "wide", "tall", "thick", "narrow", "big", "small"):
            return f"{w[k - 1]} {w[k]}"
        if not w[k].isalpha() or w[k] in _PRONOUNS or w[k] in STOP:
            return None
        found = self.phrase_to(k)
        if found == "size" and w[k - 1] == "the":
            return self._headed(start) or found
        if found is None or set(found.split()) <= _GENERIC - DIMENSIONS:
            return None
        if self._measured(k):
            return None
        if self._told_of_it(k) and (heading := self._headed(start)):
            return heading
        return f"{found} {wide}" if wide and wide != "size" and wide not in found else found

    def _opens(self, end: int) -> bool:
        """Whether the noun phrase that ends before atom ``end`` begins its sentence: "the strap, so you take ..."."""
        k = self._skip(self._begin(end), end)
        k += self.w[k] in DETERMINERS | {"a", "an"}
        return k < end and self._run(k) >= end

    def _doer(self, start: int) -> str | None:
        """ "the point drops below the waist by a third of ...": what the verb is said of."""
        w = self.w
        k = self._skip(self._begin(start), start)
        k += w[k] in DETERMINERS | {"a", "an"}
        m = min(self._run(k), start)
        if m > k and w[m] in _PLACES and w[m + 1] in DETERMINERS:
            at = m
            m = self._run(m + 2)
            return self._called(k, at) if self.t.tag(m).startswith("VB") and w[m] not in ("is", "are") else None
        return (
            self._called(k, m)
            if m > k and self.t.tag(m) in ("VBZ", "VBP", "VBD") and w[m] not in ("is", "are")
            else None
        )

    def _for_each(self, k: int) -> bool:
        """Whether the noun phrase that ends at ``k`` says what a sum is done for each of: "for every row you cut ..."."""
        w = self.w
        low = k
        while self._can_be_noun(low):
            low -= 1
        return low < k and w[low] in ("every", "each") and w[low - 1] == "for"

    def _measured(self, k: int) -> bool:
        """Whether the noun phrase that ends at ``k`` is what one measures: "you measure the inside from top to bottom"."""
        w = self.w
        while self._can_be_noun(k):
            k -= 1
        return w[k - (w[k] in DETERMINERS)] in _MEASURING

    def _told_of_it(self, k: int) -> bool:
        """Whether the noun phrase that ends at ``k`` only says what "it" is: "it's a straight strip, your waist plus ..."."""
        w = self.w
        while self._can_be_noun(k):
            k -= 1
        return w[k] in ("a", "an") and w[k - 1] in ("'s", "is") and w[k - 2] in ("it", "that", "this")

    def _past_verb(self, k: int) -> int:
        """Past a verb between subject and sum: "every hook starts", "the knots are spaced at", "the flap hangs"."""
        w = self.w
        if k < 2 or w[k + 1] == ",":
            return k
        tag = self.t.tag(k)
        if (
            tag == "VBN"
            and w[k - 1] in ("is", "are", "'s", "'re", "was", "were", "gets", "get", "be")
            and self.t.tag(k - 2).startswith("NN")
        ):
            return k - 2
        if (
            tag in ("VBZ", "VBD", "VBP")
            and self.t.tag(k - 1).startswith("NN")
            and self._can_be_noun(k - 1)
            and not self._can_be_noun(k)
        ):
            return k - 1
        return k

    def _worked(self, k: int, s: Sum | None) -> str | None:
        """What the verb at ``k`` moves or works down: "the shank sticking out", "shaved down to half the thickness"."""
        w, tag = self.w, self.t.tag(k)
        if tag == "VBG" and self._can_be_noun(k - 1):
            return self.phrase_to(k - 1)
        if not tag.startswith("VB") and (not w[k].endswith("ed") or tag.startswith("NN")):
            return None
        if w[k - 1] in ("gets", "get", "is", "are", "'s", "was", "were", "goes", "sits") and self._can_be_noun(k - 2):
            moved = self.phrase_to(k - 2)
            return f"{moved} {_SHIFTS[w[k]]}" if moved and w[k] in _SHIFTS else moved
        if tag in ("VBZ", "VBP") and self.t.tag(k - 1).startswith("NN") and self._can_be_noun(k - 1):
            return self.phrase_to(k - 1)
        if w[k - 1] == "they":
            return self.antecedent(k - 1, None)
        if w[k + 1] != "down":
            return None
        if s is not None and len(s.names) == 1 and (of := s.names[0].split()[-1]) in DIMENSIONS:
            return f"{w[k]} {of}" if w[k].endswith("ed") else of
        return None

    def antecedent(self, k: int, wide: str | None) -> str | None:
        """The things that "each", "every one of them" goes back to: the last plural before."""
        w = self.w
        for m in range(k - 1, max(-1, k - 30), -1):
            counted = starts_number(w[m - 1]) and not self.lexicon.classify(singular(w[m]), [])[0]  # "three eighths"
            if (
                self.t.tag(m) == "NNS"
                and self.t.noun(m)
                and w[m] not in lexis().units
                and singular(w[m]) != w[m]
                and not counted
            ):
                found = singular(self.phrase_to(m) or w[m])
                return f"{found} {wide}" if wide else found
        return None

    def _introduced(self, i: int) -> str | None:
        """The last thing that the sentence before names for the first time: "... with a resistor to the base."."""
        w = self.w
        begin = self._begin(i)
        if begin <= 0:
            return None
        end = begin - (w[begin - 1] in _ENDS)
        for k in range(end - 1, self._begin(end) - 1, -1):
            if w[k] in ("a", "an") and (m := min(self._run(k + 1), end)) > k + 1:
                found = self.phrase_to(m - 1)
                if found and self._sizable(found, near=False) and not set(found.split()) & (_NO_TOPIC | _GENERIC):
                    return found
        return None

    def _asked_size(self, k: int) -> str | None:
        """ "as long as", "as wide as" right before the first term, which the sum left out."""
        w = self.w
        if k >= 2 and w[k] == "as" and w[k - 1] in AS_ADJECTIVES and w[k - 2] == "as":
            return AS_ADJECTIVES[w[k - 1]]
        return None

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
        if w[at] == "from" and at > 2 and w[at - 1] in _AWAY and self._can_be_noun(at - 2):
            # "the stitch line in from the edge"
            return self.phrase_to(at - 2)
        if (
            w[at] == "of"
            and at > 3
            and w[at - 1] in _ENDS_OF
            and w[at - 2] == "the"
            and w[at - 3] in _PLACES
            and self._can_be_noun(at - 4)
        ):
            # "the chain at the front of the bag"
            return self.phrase_to(at - 4)
        if at > 0 and w[at] == "for" and set(w[low : k + 1]) <= _NO_TOPIC and self.t.noun(at - 1):
            # "the rod for the bottom"
            return self.phrase_to(at - 1)
        if at > 0 and w[at] in _PLACES and self.t.noun(at - 1) and (at + 1 < low or w[at] != "on"):
            return self.phrase_to(at - 1)
        if starts_number(w[k]) or w[k] in lexis().units or w[k] in _SOME or not self._can_be_noun(k):
            return None
        if w[k] == "wise" and k > low:
            k -= 1
        words = [
            x
            for x in w[low : k + 1]
            if x not in MEASURE_WORDS and x not in _SAYS_LITTLE and x not in ("'s", "'", "finished", "next")
        ] or [w[k]]
        at = low - 1
        if at > 1 and w[at] in DETERMINERS | {"a"} and w[at - 1] in ("of", "for", "on"):
            at -= 1
        if at > 0 and w[at] in ("of", "for", "on") and w[at - 1] in DIMENSIONS:
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
        return w[low - 1].isalpha() and self._can_be_noun(low - 1)

    def _can_be_noun(self, i: int) -> bool:
        """Whether atom ``i`` may belong to a noun phrase: by its tag, or because a determiner leads it."""
        w = self.w
        text = w[i]
        if text in STOP | DETERMINERS | _PRONOUNS or text in _SENTENCE_WORDS or not text.isalpha():
            return False
        tag = self.t.tag(i)
        if tag.startswith(("NN", "JJ")) or not tag or (i > 0 and w[i - 1] in DETERMINERS | {"a", "an"}):
            return True
        if tag == "VBG" and (i == 0 or w[i - 1] in _ENDS or self.t.tag(i - 1).startswith("NN")):
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

    # -- after the sum, by purpose, by question --------------------------------------------------------------------------

    def _after(self, s: Sum) -> str | None:
        """ "... and that's your panel", "... which gives you the radius"."""
        w = self.w
        k = s.end
        if w[k] in (",", ":", ";"):
            k += 1
        low = k
        while k < low + 3 and w[k] in ("and", "so", "then", "which", "that", "this", "it", "you", "there", "will"):
            k += 1
        if k == low and w[k] in ("is", "'s") and w[k + 1] == "how":
            return self._how(k + 1, min(k + 8, self.a.n))  # "... times your gauge is how many stitches"
        if (
            k == low
            or w[k] not in ("'s", "is", "gives", "give", "makes", "have", "get", "equals", "was", "'ve")
            or w[k - 1] == "and"
        ):
            return self._after_all(s)
        if w[k] == "'ve" and w[k + 1] not in ("got", "your"):
            return None
        if w[k] in ("'s", "is", "equals", "makes", "was") and w[k - 1] not in _SHOWING:
            return self._after_all(s)
        return self._shown_at(k + 1, s)

    def _after_all(self, s: Sum) -> str | None:
        """ "..., so there's room to lace, and that's the bodice": what the sum came to, told at the end of its sentence."""
        w = self.w
        for k in range(s.end + 2, min(s.end + 16, self.a.n)):
            if w[k] in _ENDS or k in self.begins:
                return None
            if w[k] in ("'s", "is") and w[k - 1] in ("that", "there") and w[k - 2] in ("and", "so", ",", "then"):
                found = self._shown_at(k + 1, s) if w[k + 1] in ("the", "your", "my") else None
                if found and (self._sizable(found, near=False) or singular(found) != found):
                    return found
        return None

    def _shown_at(self, k: int, s: Sum) -> str | None:
        """The thing presented at ``k``, after "that's" or "which gives you"."""
        w = self.w
        if w[k] == "where" and w[k + 1] in DETERMINERS and (m := self._run(k + 2)) > k + 2:
            return f"{self.phrase_to(m - 1)} position" if w[m] in _PLACED else None
        while w[k] in ("you", "me", "us", "got"):
            k += 1
        if w[k] == "how" and (found := self._how(k, min(k + 8, self.a.n))):
            return found
        if w[k] not in ("the", "your", "my", "our") and not (w[k] in ("one", "a", "an") and w[k - 1] == "'s"):
            return None
        if w[k - 2] == "there" and w[k] not in ("your", "my", "our"):
            return None  # "so there's a gap": what there is, not what the sum came to
        m = self._run(k + 1)
        if m == k + 1 or w[m - 1] in _GENERIC | _NO_TOPIC or (s.constant and singular(w[m - 1]) in _PURPOSES):
            return None
        if w[m] == "of" and w[m - 1] in DIMENSIONS and w[m + 1] in DETERMINERS:
            end = self._run(m + 2)
            if end > m + 2:
                return " ".join([*w[m + 2 : end], w[m - 1]])
        return self.phrase_to(m - 1)

    def _asked(self, start: int) -> str | None:
        """ "How do I get the neck radius ... it's the neck divided by six"; "How long? ..."."""
        w = self.w
        low = max(0, start - 26)
        for k in range(start - 2, max(-1, start - 16), -1):
            if w[k] == "how" and w[k - 1] not in ("know", "see", "matter") and (found := self._how(k, start)):
                return found
        for k in range(start - 1, low, -1):
            if w[k] in ("get", "find", "calculate", "out", "know") and w[k + 1] in ("the", "your", "my"):
                if w[k] == "out" and w[k - 1] not in ("work", "figure", "working", "find"):
                    continue
                if w[k] in ("get", "know") and not {"how", "to"} & set(w[max(0, k - 4) : k]):
                    continue
                m = self._run(k + 2)
                if m > k + 2 and m < start:
                    return self.phrase_to(m - 1)
        return None

    def _how(self, k: int, start: int) -> str | None:
        """What "how many pegs", "how big a disc", "how long is the cord", "how thick do you leave it" at ``k`` asks for."""
        w = self.w
        of = AS_ADJECTIVES.get(w[k + 1])
        if w[k + 1] in ("much", "many"):
            m = min(self._run(k + 2), start)
            if m == k + 2 and self.t.tag(m).startswith("VB") and singular(w[m]) != w[m] and not w[m + 1].isalpha():
                m += 1  # "how many bobbins?", read as a verb
            many = "number of " if w[k + 1] == "many" else ""
            if w[k + 2] in BIGGER:
                return None
            if m > k + 2 and (w[m] in _ASKING or not w[m].isalpha()):
                return many + " ".join(x for x in w[k + 2 : m] if x not in _SAYS_LITTLE)
            if many and m == k + 2 and (w[m] in _ASKING or not w[m].isalpha()) and (near := self.thing(k)):
                return f"number of {near}"
            if not many and m == k + 2 and w[m] in ("do", "did", "d'you", "you", "will", "would", "?"):
                return self._headed(k)
            return None
        if of == "distance":
            m = self._run(k + 3) if w[k + 2] in DETERMINERS else k
            return f"{self.phrase_to(m - 1)} distance" if m > k + 3 and w[m] in _PLACED else None
        if of is None:
            return None
        if w[k + 2] in ("a", "an"):
            m = self._run(k + 3)
            return None if m == k + 3 or m >= start else self._of_size(self.phrase_to(m - 1), of)
        for m in range(k + 2, min(k + 6, start)):
            if w[m] in _ENDS:
                break
            if w[m] in DETERMINERS and (last := min(self._run(m + 1), start)) > m + 1:
                return self._of_size(self.phrase_to(last - 1), of)
        if of == "amount" or not (w[k + 2] in _ASKING or not w[k + 2].isalpha()):
            return None
        asked_of = {"it", "that", "they", "them"} & set(w[k + 2 : k + 7])
        near = (self._near(k) if asked_of or of == "size" else self._headed(k)) or self._told_before(k)
        return self._of_size(near, of) if near and len(near.split()) < 3 else of

    def _told_before(self, k: int) -> str | None:
        """What the sentence before atom ``k`` says something of: "The frill at the bottom is a long strip. How long?"."""
        w = self.w
        end = self._begin(k)
        end -= end > 0 and w[end - 1] in _ENDS
        low = self._skip(self._begin(end), end)
        low += w[low] in DETERMINERS | {"a", "an"}
        m = at = min(self._run(low), end)
        if m > low and w[m] in _PLACES and w[m + 1] in DETERMINERS:
            m = self._run(m + 2)
        if at == low or m >= end or w[m] not in ("is", "are", "'s", "has", "have", "gets", "needs"):
            return None
        found = self._called(low, at)
        return found if self._sizable(found, near=False) and not set(found.split()) & (_NO_TOPIC | _GENERIC) else None

    def _of_size(self, thing: str | None, of: str) -> str | None:
        return thing if of == "size" or not thing else f"{thing} {of}"

    def _for_before(self, start: int) -> str | None:
        """ "for the widths it's ...", "for the length of the strap you take ..."."""
        w = self.w
        for k in range(start - 1, max(-1, start - 12), -1):
            if w[k] in _ENDS:
                break
            if w[k] == "to" and w[k + 1] in ("size", "make", "cut", "get", "fit") and w[k + 2] in DETERMINERS:
                m = min(self._run(k + 3), start)
                if m > k + 3 and w[m] in ("i", "you", "we", ","):
                    return self.phrase_to(m - 1)  # "to size the lid I take"
            if w[k] == "for" and (w[k + 1] in DETERMINERS | {"a", "an"} or self.t.noun(k + 1)):
                first = k + 2 if w[k + 1] in DETERMINERS | {"a", "an"} else k + 1
                m = min(self._run(first), start)
                if m > first:
                    found = self.phrase_to(m - 1)
                    if found and w[m - 1] in DIMENSIONS and w[m] in ("of", "for") and w[m + 1] in DETERMINERS:
                        last = self._run(m + 2)
                        if last > m + 2:
                            return " ".join([*w[m + 2 : last], w[m - 1]])
                    return found
        return None

    def _shared_by(self, s: Sum) -> str | None:
        """ "split that over four darts": one of what it is divided into."""
        w, k = self.w, s.end
        if not s.constant or " / " not in s.formula or not s.formula.rsplit(" / ", 1)[1].isdigit():
            return None
        if not self.t.noun(k) or singular(w[k]) == w[k] or w[k] in lexis().units:
            return None
        return singular(w[k])

    def _cut_to_it(self, end: int) -> str | None:
        """ "... added an inch for the wig, and cut the band to that": what is made by the sum after it."""
        w = self.w
        for k in range(end, min(end + 8, self.a.n)):
            if w[k] in _ENDS:
                break
            if w[k] in ("cut", "make", "made", "trim") and w[k + 1] in DETERMINERS | {"a", "an"}:
                m = self._run(k + 2)
                if m > k + 2 and w[m] == "to" and w[m + 1] in ("that", "it"):
                    return self.phrase_to(m - 1)
        return None

    def _made_of(self, end: int) -> str | None:
        """ "about three times the seam in thread": the stuff that the sum is an amount of."""
        w = self.w
        if w[end] != "in" or not self.t.noun(end + 1) or w[end + 2].isalpha():
            return None
        return w[end + 1] if self.stuff(w[end + 1]) else None

    def _for_after(self, end: int) -> str | None:
        """ "... for the ruffle", but not "for the overlap", which is what a part of the sum is for."""
        w = self.w
        if w[end] == "of" and self.t.noun(end + 1):
            return self.phrase_to(self._run(end + 1) - 1)
        if w[end] == "for" and w[end + 1] in ("the", "a", "my", "your", "each"):
            m = self._run(end + 2)
            words = w[end + 2 : m]
            if words and not {singular(x) for x in words} & _PURPOSES and words[-1] not in _NO_TOPIC:
                return self.phrase_to(m - 1)
        return None

    # -- the topic ---------------------------------------------------------------------------------------------------

    def _near(self, i: int) -> str | None:
        """What the sentence before atom ``i`` begins with, or the heading before it."""
        w = self.w
        begin = self._begin(i)
        k = self._skip(begin, i)
        found = self._begins_with(begin, i) if w[k] not in _PRONOUNS | {"for"} else None
        if found is not None:
            return found
        if w[k] == "it" and w[k + 1] in ("'s", "is") and (m := min(self._run(k + 2), i)) > k + 2 and w[m] == ",":
            # "It's laid cord, and for every row you cut ..."
            end = begin - (begin > 0 and w[begin - 1] in _ENDS)
            if self.stuff(made := self._called(k + 2, m)) and not self._heading(self._begin(end), end):
                return made
        for _ in range(3):
            if begin <= 0:
                return None
            end = begin - (self.w[begin - 1] in _ENDS)
            begin = self._begin(end)
            heading = self._heading(begin, end) or self._described(begin, end)
            if heading:
                return heading
            if self._begins_with(begin, end):
                return None
        return None

    def _announced(self, i: int) -> str | None:
        """ "Next up is the cord. ... You go twice round": what was said to come next, a sentence or two ago; and
        "... which is the sleeve cap. It has to be": what the sentence before came to, if this one begins with "it"."""
        w = self.w
        begin = self._begin(i)
        own = self._skip(begin, i)
        if w[own] not in _PRONOUNS and own < i - 1:
            return None
        for k in range(i - 1, max(0, i - 34), -1):
            if w[k] not in DETERMINERS | {"a", "an"} or not (
                (
                    w[k - 1] in ("is", "'s", "are", "comes", "come")
                    and {"next", "then", "now"} & set(w[max(0, k - 4) : k - 1])
                )
                or (
                    w[k - 1] == "to"
                    and w[k - 2] == "on"
                    and w[k - 3] in ("", *_OPENERS, "move", "moving", "moved", *_ENDS)
                )
                or (w[k - 1] == "for" and w[k - 2] == "now")
            ):
                continue
            m = min(self._run(k + 1), i)
            if m > k + 1 and not set(w[k + 1 : m]) & (_NO_TOPIC | _GENERIC):
                return self.phrase_to(m - 1)
        if begin > 1 and w[own] in ("it", "they"):
            end = begin - (w[begin - 1] in _ENDS)
            low = self._begin(end)
            for k in range(end - 2, max(low, end - 6), -1):
                if w[k] in DETERMINERS and w[k - 1] in ("is", "'s", "are") and min(self._run(k + 1), end) == end:
                    return self.phrase_to(end - 1)
        return None

    def _headed(self, i: int) -> str | None:
        """The heading that the talk before atom ``i`` stands under, if it is no more than four sentences away."""
        end = self._begin(i)
        for _ in range(4):
            end -= self.w[end - 1] in _ENDS
            if end <= 0:
                return None
            begin = self._begin(end)
            if found := self._heading(begin, end):
                return found
            end = begin
        return None

    def _described(self, begin: int, end: int) -> str | None:
        """The heading before a fragment that only describes it: "The boards. Greyboard, two millimetres."."""
        w = self.w
        if end - begin > 6 or "," not in w[begin:end] or begin == 0 or w[begin - 1] not in _ENDS:
            return None
        return self._heading(self._begin(begin - 1), begin - 1)

    def _begin(self, end: int) -> int:
        begin = end
        while begin > 0 and self.w[begin - 1] not in _ENDS and end - begin < 60:
            begin -= 1
            if begin in self.begins:
                break
        return begin

    def _topic(self, i: int) -> str | None:
        """What the talk is about before atom ``i``: a heading ("Wire, then."), else what a sentence begins with or what
        it cuts; a sentence that begins with "it" is about what came before."""
        w = self.w
        end = i
        weak: str | None = None
        defined = False
        for back in range(6):
            begin = self._begin(end)
            heading = self._heading(begin, end) or (weak is None and self._described(begin, end)) or None
            if heading and (weak is None or (back < 4 and not defined) or set(heading.split()) <= set(weak.split())):
                return heading
            if weak is None:
                weak = self._begins_with(begin, end)
                # "A welt is a little flap" has come to the welt, whatever the heading before it
                defined = defined or w[self._skip(begin, end)] in ("a", "an", "it", "they", "its")
                if weak and not self._sizable(weak, near=back < 2):
                    weak = None
            if begin <= 0:
                break
            end = begin - (w[begin - 1] in _ENDS)
        return weak

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
        while k < end and (w[k] in _OPENERS or w[k] == "," or w[k] == ">") and w[k] != "the":
            k += 1
        return k

    def _heading(self, begin: int, end: int) -> str | None:
        """A sentence that only names a thing."""
        w = self.w
        k = self._skip(begin, end)
        if w[k + 1] == "," and self.t.tag(k) in ("IN", "RB"):
            k += 2  # "Inside, the head ribbon."
        stop = end
        while stop > k and w[stop - 1] in (",", "then", "now", "next"):
            stop -= 1
        if w[k] == "the" and stop == k + 2 and w[k + 1] in _PARTS:
            return w[k + 1]
        if w[k] in DETERMINERS | {"a", "an"}:
            k += 1
        if (verbless := self._verbless(k, stop)) is not None:
            return verbless
        if (
            not 0 < stop - k <= 3
            or any(not self._can_be_noun(m) for m in range(k, stop))
            or w[stop] not in _ENDS | {",", "then"}
        ):
            return None
        words = w[k:stop]
        if (
            any(starts_number(x) or x in lexis().units for x in words)
            or set(words) & _NO_TOPIC
            or set(words) <= _GENERIC
            or words[-1] in MEASURE_WORDS
            or not (self.t.tag(stop - 1).startswith("NN") or (stop == k + 1 and self.t.tag(k) == "VBG"))
        ):
            return None
        return " ".join(words)

    def _verbless(self, k: int, end: int) -> str | None:
        """The thing that a sentence without a verb is about: "Then gimp round the edge to hide the lot."."""
        w, t = self.w, self.t
        m = min(self._run(k), end)
        if m == k and self.kind(w[k]) in ("material", "piece") and t.tag(k).startswith("VB"):
            m = k + 1  # "then gimp round the edge", read as a verb
        if m == k or m >= end or w[m] not in _PLACES | {"round", "around", "for"} or w[m + 1] not in DETERMINERS:
            return None
        m -= self._verb_like(k, m)
        for j in range(m, end):
            if w[j] in ("'s", "'re", "'ve", "'ll", "'d") or (
                t.tag(j) in ("VBZ", "VBD", "VBP", "MD") or (t.tag(j) == "VB" and w[j - 1] != "to")
            ):
                return None
        if set(w[k:m]) & _NO_TOPIC or set(w[k:m]) <= _GENERIC or w[m - 1] in MEASURE_WORDS or w[m - 1] in lexis().units:
            return None
        return self._called(k, m) if self._sizable(found := self._called(k, m), near=False) and found else None

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
            if x in _TELLING or not (tag.startswith(("JJ", "VB")) or x in _SAYS_LITTLE)
        ]
        return " ".join([*kept, words[-1]][-3:])

    def _begins_with(self, begin: int, end: int) -> str | None:
        w = self.w
        k = self._skip(begin, end)
        if k < end and w[k] in ("it", "they") and k + 1 < end:
            return self._cut_object(k, end)
        if k < end and w[k] in ("i", "you", "we"):
            return self._cut_object(k, end)
        if (
            k < end
            and w[k] in ("this", "that", "here", "there", "these", "those")
            and w[k + 1] in ("is", "'s", "are", "'re")
        ):
            k += 2
            if w[k - 2] in ("that",):
                return None
        lead = DETERMINERS | {"a", "an", "some", "two", "both"}
        first = k + 1 if k < end and w[k] in lead else k
        m = min(self._run(first), end)
        if m > first and w[m] == "of" and self._can_be_noun(m + 1) and w[m - 1] not in DIMENSIONS:
            last = min(self._run(m + 1), end)
            if last > m + 1:
                return self._called(m + 1, last)
        if m > first and w[m] in ("'s", "'") and self._can_be_noun(m + 1) and first > k:
            last = min(self._run(m + 1), end)
            if last > m + 1 and w[last] in ("is", "are", "was", "were", "has", "gets", "needs", "wants", "goes"):
                return " ".join([*w[first:m], *w[m + 1 : last]][-3:])  # "the drum's hoop is bent green"
        if (w[m] in _PLACES or w[m] in _AWAY) and not any(
            self.t.tag(j).startswith(("VB", "MD")) or w[j] in ("'s", "'re") for j in range(m, end)
        ):
            m -= self._verb_like(first, m)
        if (
            w[first - 1] == "the"
            and m == first + 1
            and w[first] in _PARTS
            and w[m] in ("'s", "is")
            and w[m + 1] in _MADE
        ):
            return w[first]  # "the back's a flat piece"
        if m == first + 2 and w[first] in _PARTS and w[first + 1] == "piece":
            return w[first]
        listed = w[m] == "," and self._can_be_noun(m + 1) and w[m + 2] == ","
        if m > first and not listed and not set(w[first:m]) <= _GENERIC | _NO_TOPIC and w[m - 1] not in lexis().units:
            return self._called(first, m)
        if k < end and self.t.tag(k) == "VB" and w[k + 1] in DETERMINERS | {"a", "an"}:
            # "Damp the duck first."
            last = min(self._run(k + 2), end)
            if last > k + 2 and not set(w[k + 2 : last]) <= _GENERIC | _NO_TOPIC:
                return self._called(k + 2, last)
        if m > first and set(w[first:m]) & _NO_TOPIC and w[m] in ("is", "'s", "are", "gets"):
            # "the bottom's run with a braided wire": what is put there
            for j in range(m + 1, end):
                if (
                    w[j] in ("with", "in")
                    and w[j + 1] in ("a", "an", "some")
                    and (last := min(self._run(j + 2), end)) > j + 2
                ):
                    return self._called(j + 2, last)
        # "on top of that goes mull", "for the covers I used greyboard"
        for j in range(k, end):
            if w[j] in ("goes", "comes", "go") and self._can_be_noun(j + 1) and j + 1 < end:
                return self._called(j + 1, min(self._run(j + 1), end))
            if w[j] == "for" and w[j + 1] in DETERMINERS:
                last = min(self._run(j + 2), end)
                if last > j + 2 and w[last - 1] not in _NO_TOPIC | _GENERIC:
                    return self._called(j + 2, last)
        return self._cut_object(begin, end)

    def _cut_object(self, begin: int, end: int) -> str | None:
        """The thing that is cut, made or used in a sentence."""
        w = self.w
        for k in range(begin, end):
            if w[k] in _MAKING:
                m = k + 1
                if w[m] in DETERMINERS | {"a", "an", "some", "out", "two"}:
                    m += 1
                last = min(self._run(m), end)
                if last > m and not set(w[m:last]) <= _GENERIC | _NO_TOPIC and w[last - 1] not in MEASURE_WORDS:
                    return self._called(m, last)
        first = next(
            (k for k in range(begin, end) if self.t.tag(k).startswith("VB") and w[k + 1] in DETERMINERS | {"a", "an"}),
            end,
        )
        if w[first] in _MEASURING:
            return None
        if w[first - 1] in ("i", "you", "we") and (last := min(self._run(first + 2), end)) > first + 2:
            # "I let the lining out at the back"
            found = self._called(first + 2, last)
            if self._sizable(found, near=False) and not set(w[first + 2 : last]) <= _GENERIC | _NO_TOPIC:
                return found
        return None


def _dimension(s: Sum) -> str | None:
    """What is sized, where the talk does not say of which thing: the dimension of what it is worked out from."""
    if not s.names:
        return None
    if "3.14" in s.formula:
        return "length"
    if " x " in s.formula and (rate := next((x.split() for x in s.names if {"per", "to"} & set(x.split()[1:2])), None)):
        return rate[0]  # "stitches per inch", times something
    last = [x.split()[-1] for x in s.names]
    found = next((x for x in last if x in DIMENSIONS and x not in ("circumference", "perimeter", "distance")), None)
    if found:
        return found
    if (
        s.names[0].startswith("round the ")
        or " to " in s.names[0]
        or set(last) & {"circumference", "perimeter", "distance"}
    ):
        return "length"
    return "length" if any(unit in s.formula for unit in ("inch", "meter", "foot", "yard")) else None


__all__ = ["Results"]
