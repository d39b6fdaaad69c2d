"""What the talk has come to where a sum does not say what it sizes: a heading, what the sentences before begin with, what was announced."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import starts_number
from buildlog.tag.amounts.what import singular
from buildlog.tag.derived_words import (
    DETERMINERS,
    DIMENSIONS,
    MEASURE_WORDS,
)

if TYPE_CHECKING:
    pass

from buildlog.tag.derived_phrases import AWAY, ENDS, GENERIC, MEASURING, NO_TOPIC, OPENERS, PLACES, PRONOUNS, Phrases

_MAKING = frozenset("cut make need use mark want made used tear rip saw attach add cutting making".split())
# Parts of a thing that are told of as pieces where a sentence is about one of them.
PARTS = frozenset("back front top bottom side sides end ends middle".split())
_MADE = frozenset("a an cut made just two one".split())


class Topics(Phrases):
    """Follows what the talk is about."""

    def thing(self, i: int) -> str | None:
        """The thing that the talk is about at atom ``i``, whatever is said of it."""
        return self._near(i) or self._topic(i)

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
        end = begin - (w[begin - 1] in ENDS)
        for k in range(end - 1, self._begin(end) - 1, -1):
            if w[k] in ("a", "an") and (m := min(self._run(k + 1), end)) > k + 1:
                found = self.phrase_to(m - 1)
                if found and self._sizable(found, near=False) and not set(found.split()) & (NO_TOPIC | GENERIC):
                    return found
        return None

    def _told_before(self, k: int) -> str | None:
        """What the sentence before atom ``k`` says something of: "The frill at the bottom is a long strip. How long?"."""
        w = self.w
        end = self._begin(k)
        end -= end > 0 and w[end - 1] in ENDS
        low = self._skip(self._begin(end), end)
        low += w[low] in DETERMINERS | {"a", "an"}
        m = at = min(self._run(low), end)
        if m > low and w[m] in PLACES and w[m + 1] in DETERMINERS:
            m = self._run(m + 2)
        if at == low or m >= end or w[m] not in ("is", "are", "'s", "has", "have", "gets", "needs"):
            return None
        found = self._called(low, at)
        return found if self._sizable(found, near=False) and not set(found.split()) & (NO_TOPIC | GENERIC) else None

    def _near(self, i: int) -> str | None:
        """What the sentence before atom ``i`` begins with, or the heading before it."""
        w = self.w
        begin = self._begin(i)
        k = self._skip(begin, i)
        found = self._begins_with(begin, i) if w[k] not in PRONOUNS | {"for"} else None
        if found is not None:
            return found
        if w[k] == "it" and w[k + 1] in ("'s", "is") and (m := min(self._run(k + 2), i)) > k + 2 and w[m] == ",":
            # "It's laid cord, and for every row you cut ..."
            end = begin - (begin > 0 and w[begin - 1] in ENDS)
            if self.stuff(made := self._called(k + 2, m)) and not self._heading(self._begin(end), end):
                return made
        for _ in range(3):
            if begin <= 0:
                return None
            end = begin - (self.w[begin - 1] in ENDS)
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
        if w[own] not in PRONOUNS and own < i - 1:
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
                    and w[k - 3] in ("", *OPENERS, "move", "moving", "moved", *ENDS)
                )
                or (w[k - 1] == "for" and w[k - 2] == "now")
            ):
                continue
            m = min(self._run(k + 1), i)
            if m > k + 1 and not set(w[k + 1 : m]) & (NO_TOPIC | GENERIC):
                return self.phrase_to(m - 1)
        if begin > 1 and w[own] in ("it", "they"):
            end = begin - (w[begin - 1] in ENDS)
            low = self._begin(end)
            for k in range(end - 2, max(low, end - 6), -1):
                if w[k] in DETERMINERS and w[k - 1] in ("is", "'s", "are") and min(self._run(k + 1), end) == end:
                    return self.phrase_to(end - 1)
        return None

    def _headed(self, i: int) -> str | None:
        """The heading that the talk before atom ``i`` stands under, if it is no more than four sentences away."""
        end = self._begin(i)
        for _ in range(4):
            end -= self.w[end - 1] in ENDS
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
        if end - begin > 6 or "," not in w[begin:end] or begin == 0 or w[begin - 1] not in ENDS:
            return None
        return self._heading(self._begin(begin - 1), begin - 1)

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
            end = begin - (w[begin - 1] in ENDS)
        return weak

    def _heading(self, begin: int, end: int) -> str | None:
        """A sentence that only names a thing."""
        w = self.w
        k = self._skip(begin, end)
        if w[k + 1] == "," and self.t.tag(k) in ("IN", "RB"):
            k += 2  # "Inside, the head ribbon."
        stop = end
        while stop > k and w[stop - 1] in (",", "then", "now", "next"):
            stop -= 1
        if w[k] == "the" and stop == k + 2 and w[k + 1] in PARTS:
            return w[k + 1]
        if w[k] in DETERMINERS | {"a", "an"}:
            k += 1
        if (verbless := self._verbless(k, stop)) is not None:
            return verbless
        if (
            not 0 < stop - k <= 3
            or any(
                not (self._can_be_noun(m) or (m == k < stop - 1 and w[stop] == "?" and self.t.tag(m) == "VB"))
                for m in range(k, stop)
            )
            or w[stop] not in ENDS | {",", "then"}
        ):
            return None
        words = w[k:stop]
        if (
            any(starts_number(x) or x in lexis().units for x in words)
            or set(words) & NO_TOPIC
            or set(words) <= GENERIC
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
        if m == k or m >= end or w[m] not in PLACES | {"round", "around", "for"} or w[m + 1] not in DETERMINERS:
            return None
        m -= self._verb_like(k, m)
        for j in range(m, end):
            if w[j] in ("'s", "'re", "'ve", "'ll", "'d") or (
                t.tag(j) in ("VBZ", "VBD", "VBP", "MD") or (t.tag(j) == "VB" and w[j - 1] != "to")
            ):
                return None
        if set(w[k:m]) & NO_TOPIC or set(w[k:m]) <= GENERIC or w[m - 1] in MEASURE_WORDS or w[m - 1] in lexis().units:
            return None
        return self._called(k, m) if self._sizable(found := self._called(k, m), near=False) and found else None

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
        if (
            m == first
            and self.t.tag(m).startswith("VB")
            and w[m + 1] == "for"
            and self.kind(w[m]) in ("material", "piece")
        ):
            return w[m]  # "Thread for this, ...", read as a verb
        if m > first and w[m] == "of" and self._can_be_noun(m + 1) and w[m - 1] not in DIMENSIONS:
            last = min(self._run(m + 1), end)
            if last > m + 1:
                return self._called(m + 1, last)
        if m > first and w[m] in ("'s", "'") and self._can_be_noun(m + 1) and first > k:
            last = min(self._run(m + 1), end)
            if last > m + 1 and w[last] in ("is", "are", "was", "were", "has", "gets", "needs", "wants", "goes"):
                return " ".join([*w[first:m], *w[m + 1 : last]][-3:])  # "the drum's hoop is bent green"
        if (w[m] in PLACES or w[m] in AWAY) and not any(
            self.t.tag(j).startswith(("VB", "MD")) or w[j] in ("'s", "'re") for j in range(m, end)
        ):
            m -= self._verb_like(first, m)
        if (
            w[first - 1] == "the"
            and m == first + 1
            and w[first] in PARTS
            and w[m] in ("'s", "is")
            and w[m + 1] in _MADE
        ):
            return w[first]  # "the back's a flat piece"
        if m == first + 2 and w[first] in PARTS and w[first + 1] == "piece":
            return w[first]
        listed = w[m] == "," and self._can_be_noun(m + 1) and w[m + 2] == ","
        if m > first and not listed and not set(w[first:m]) <= GENERIC | NO_TOPIC and w[m - 1] not in lexis().units:
            return self._called(first, m)
        if k < end and self.t.tag(k) == "VB" and w[k + 1] in DETERMINERS | {"a", "an"}:
            # "Damp the duck first."
            last = min(self._run(k + 2), end)
            if last > k + 2 and not set(w[k + 2 : last]) <= GENERIC | NO_TOPIC:
                return self._called(k + 2, last)
        if m > first and set(w[first:m]) & NO_TOPIC and w[m] in ("is", "'s", "are", "gets"):
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
                if last > j + 2 and w[last - 1] not in NO_TOPIC | GENERIC:
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
                if last > m and not set(w[m:last]) <= GENERIC | NO_TOPIC and w[last - 1] not in MEASURE_WORDS:
                    return self._called(m, last)
        first = next(
            (k for k in range(begin, end) if self.t.tag(k).startswith("VB") and w[k + 1] in DETERMINERS | {"a", "an"}),
            end,
        )
        if w[first] in MEASURING:
            return None
        if w[first - 1] in ("i", "you", "we") and (last := min(self._run(first + 2), end)) > first + 2:
            # "I let the lining out at the back"
            found = self._called(first + 2, last)
            if self._sizable(found, near=False) and not set(w[first + 2 : last]) <= GENERIC | NO_TOPIC:
                return found
        return None


__all__ = ["PARTS", "Topics"]
