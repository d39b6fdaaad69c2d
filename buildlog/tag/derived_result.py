"""What a derived amount sizes: the thing its sentence is about, or the one that the talk has come to.

"The strap is twice the rim" says it before, "take half the hip and that's your panel" after, "for the length, go once
round the frame" by its purpose; "Wire, then. ... You need the brim edge plus two inches" some sentences earlier.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.what import singular
from buildlog.tag.derived_words import (
    AS_ADJECTIVES,
    BIGGER,
    DETERMINERS,
    DIMENSIONS,
    STOP,
    Sum,
)

if TYPE_CHECKING:
    pass

from buildlog.tag.derived_phrases import AWAY, ENDS, GENERIC, NO_TOPIC, PLACES, PRONOUNS, SAYS_LITTLE
from buildlog.tag.derived_topic import PARTS, Topics

_LINKS = lexis().sets["result_links"] | set("taking measuring get getting n't not ca can cannot never".split())
# What an addition is for, not what is sized.
_PURPOSES = frozenset(singular(x) for x in lexis().sets["allowed_for"]) | frozenset(
    "tail luck stitching sewing cutting shrinkage knot loop gathering overlap lap buckle glue fold finger tuck".split()
)
_RELATIVE = frozenset(
    "want need needed use go like take do cut allow wants needs used require work by i you we it that".split()
)
_PLACED = frozenset("goes sits go sit is are starts start begins begin ends comes".split())
_SHIFTS = {"shifted": "shift", "moved": "shift", "offset": "offset", "staggered": "offset", "stepped": "step"}
_NEARLY = frozenset("precisely actually pretty much near enough nearly almost more less or".split())
_MODALS = frozenset("should will would must 'll ought".split())
_LEADING = frozenset(
    "that it they i you we this 's is are was want wants need needs be to take cut make do go goes should just".split()
)
_ENDS_UP = [[x, "up"] for x in ("ends", "end", "ended", "finishes")] + [
    [x, "out"] for x in ("works", "worked", "turns")
]
_SHOWING = frozenset("that which this there".split())
# What goes on after "how many" and "how long" in a question, or where a verb begins.
_ASKING = frozenset("do did does will would should can you i we is are was it that they to d'you".split())


class Results(Topics):
    """Names what the sums of one document are for."""

    def of(self, s: Sum) -> str | None:
        """The name of what ``s`` sizes, or ``None``."""
        tail, w = s.tail, self.w
        if not tail and w[s.start - 1] in ("at", "every") and w[s.start - 2] in ("spaced", "space", "spacing"):
            tail = "spacing"
        if tail and tail.startswith("="):
            return tail[1:]
        if tail == "mix":
            heading = self._near(s.start)
            return f"{heading} mix" if heading and heading not in s.names else "mix"
        found = (
            self._after(s)
            or self._cut_to_it(s.end)
            or self._made_of(s.end)
            or self._named_first(s.start)
            or self._before(s.start, s)
        )
        if found is None:
            found = self._they(s.start, tail)
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
            found = found or self._introduced(s.start) or ((not tail and self._piece_after(s.end)) or None)
        if found and singular(found) in DIMENSIONS:
            # one of several widths is told apart after the sum; with one width, "for the roll" is what was added for
            several = singular(found) != found
            thing = ((several or not s.constant) and self._for_after(s.end)) or self._near(s.start)
            if thing and not set(thing.split()) & DIMENSIONS:
                found = f"{thing} {singular(found)}"
        if found and tail and tail != "size" and tail not in found.split() and found not in DIMENSIONS:
            found = f"{found} {tail}"
        return found or tail or _dimension(s)

    def _given(self, k: int) -> str | None:
        """ "mordant the skein with alum, twelve percent of ...": the stuff before the comma at ``k``."""
        w, low = self.w, k
        while low > 0 and self._can_be_noun(low - 1) and k - low < 3:
            low -= 1
        at = low - 1 - (w[low - 1] in DETERMINERS | {"some", "a"})
        if (
            low == k
            or w[at] not in ("with", "in", "add", "added", "adding")
            or not self.stuff(name := " ".join(w[low:k]))
        ):
            return None
        return name

    def _they(self, start: int, tail: str | None) -> str | None:
        """ "They're four times as long as ...": the things spoken of last."""
        w = self.w
        k = start - 1
        while k > 0 and (w[k] in _LINKS or w[k] in _NEARLY) and w[k] not in ENDS:
            k -= 1
        if w[k] != "they" or self._skip(self._begin(start), start) != k:
            return None
        found = self.antecedent(k, None)
        if found is None or set(found.split()) & (NO_TOPIC | GENERIC) or not self._sizable(found, near=True):
            return None
        return f"{found} {tail}" if tail in DIMENSIONS else found

    def _named_first(self, start: int) -> str | None:
        """ "Neck edge, that's your neck and half again", "Length, it's the rim": what the sentence names before "that's"."""
        w = self.w
        begin = self._begin(start)
        k = self._skip(begin, start)
        k += w[k] in DETERMINERS | {"a", "an"}
        m = self._run(k)
        if m == k or w[m] not in (",", ":") or m >= start:
            return None
        at = m + 1 + (w[m + 1] in ("well", "now", "so", "then"))
        lead = w[at:start]
        if len(lead) > 4 or not lead or lead[0] not in ("that", "it", "they", "i", "you", "we", "this"):
            return None
        if not set(lead) <= _LEADING or set(w[k:m]) <= GENERIC - DIMENSIONS or w[m - 1] in NO_TOPIC - PARTS:
            return None
        return " ".join(w[k:m])

    def _before(self, start: int, s: Sum | None = None) -> str | None:
        """Its subject or object just before it; ``None`` where that is a pronoun or says nothing."""
        w = self.w
        k = start - 1
        if w[k] == "," and (found := self._given(k)):
            return found
        if k > 0 and w[k] == "the" and w[start] == "same":
            k -= 1
        wide = self._asked_size(k)
        if w[k] == "by" and self.t.tag(k - 1) != "VBN" and (by := self._doer(start)):
            return by
        if w[k] == "than" and w[k - 1] in BIGGER:
            k -= 2  # "can't be less than"
        while (
            k >= 0
            and (
                w[k] in _LINKS
                or w[k] in _NEARLY
                or w[k : k + 2] in _ENDS_UP
                or (w[k] in AS_ADJECTIVES and w[k - 1] in ("as", "how"))
            )
            and w[k] not in ENDS
        ):
            if w[k] == "," and k and w[k - 1] in ("it", "that", "so"):
                return None

            if w[k] == "so" and w[k + 1] in ("you", "i", "we") and not self._opens(k - (w[k - 1] == ",")):
                return None  # "it goes inside the frame so you take": another clause
            k -= 1
        if w[k + 1] in ("you", "i", "we") and self._for_each(k):
            return None
        k = self._past_verb(k)
        if w[k] == "between" and w[k + 1] in ("is", "'s", "are") and self._can_be_noun(k - 1):
            return self.phrase_to(k - 1)  # "the gap between is"
        if k >= 2 and w[k + 1] in AWAY and w[k] in AWAY:
            k -= 1
        if (w[k] in AWAY or w[k + 1] in AWAY) and (moved := self._worked(k - (w[k] in AWAY), s)):
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
        if k < 0 or w[k] in ENDS:
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
        if (
            w[k] in ("on", "up", "in", "off")
            and w[k + 1] in ("is", "'s", ",")
            and self.t.tag(k - 1).startswith(("VB", "NN"))
        ):
            return f"{w[k - 1]} {w[k]}" if self._opens(k) or self.t.tag(k - 1) != "NN" else None  # "your cast on is"
        if not w[k].isalpha() or w[k] in PRONOUNS or w[k] in STOP:
            return None
        found = self.phrase_to(k)
        if found and found.startswith("many ") and w[k - found.count(" ") - 1] in ("how", "however"):
            found = f"number of {found.removeprefix('many ')}"
        if found == "size" and w[k - 1] == "the":
            return self._headed(start) or found
        if found is None or set(found.split()) <= GENERIC - DIMENSIONS:
            return None
        if self._measured(k):
            return None
        if self._told_of_it(k) and (heading := self._headed(start)):
            return heading
        return f"{found} {wide}" if wide and wide != "size" and wide not in found else found

    def _doer(self, start: int) -> str | None:
        """ "the point drops below the waist by a third of ...": what the verb is said of."""
        w = self.w
        k = self._skip(self._begin(start), start)
        k += w[k] in DETERMINERS | {"a", "an"}
        m = min(self._run(k), start)
        if m > k and w[m] in PLACES and w[m + 1] in DETERMINERS:
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
            and (not self._can_be_noun(k) or (w[k + 1] == "to" and w[k - 2] in DETERMINERS))
        ):
            return k - 1  # "the limb tapers to"
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

    def _asked_size(self, k: int) -> str | None:
        """ "as long as", "as wide as" right before the first term, which the sum left out."""
        w = self.w
        if k >= 2 and w[k] == "as" and w[k - 1] in AS_ADJECTIVES and w[k - 2] == "as":
            return AS_ADJECTIVES[w[k - 1]]
        return None

    def _after(self, s: Sum) -> str | None:
        """ "... and that's your panel", "... which gives you the radius"."""
        w = self.w
        k = s.end
        if w[k] in (",", ":", ";"):
            k += 1
        low = k
        while k < low + 3 and w[k] in ("and", "so", "then", "which", "that", "this", "it", "you", "there", "will"):
            k += 1
        if k == low:
            past = self._past_purpose(k)
            if w[past] in ("is", "'s") and w[past + 1] == "how":
                return self._how(past + 1, min(past + 8, self.a.n))  # "... times your gauge is how many stitches"
            if w[past] in ("gives", "give", "makes", "is") and self._opens_with(s.start):
                told = past + 1 + (w[past + 1] in ("me", "you", "us"))
                if (w[past] != "is" and w[told] in DETERMINERS) or w[told] in ("your", "my"):
                    return self._shown_at(told, s)  # "the span divided by the bays gives me the spacing"
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

    def _past_purpose(self, k: int) -> int:
        """Past "for the tongues," after a sum."""
        w = self.w
        if w[k] == "for" and w[k + 1] in DETERMINERS and (m := self._run(k + 2)) > k + 2:
            return m + (w[m] == ",")
        return k

    def _opens_with(self, i: int) -> bool:
        """Whether the sum at ``i`` begins its sentence."""
        return self._skip(self._begin(i), i) >= i - (self.w[i - 1] in ("a", "an", "the"))

    def _after_all(self, s: Sum) -> str | None:
        """ "..., so there's room to lace, and that's the bodice": what the sum came to, told at the end of its sentence
        or at the beginning of the next: "... That should be the cuff."."""
        w = self.w
        for k in range(s.end, min(s.end + 16, self.a.n)):
            ended = k > s.end and (w[k - 1] in ENDS or k in self.begins)
            if not (ended or w[k - 1] in ("and", "so", ",", "then") or w[k] == "which"):
                continue
            at = self._shows(k)
            if at:
                found = self._shown_at(at, s)
                sizes = found and (self._sizable(found, near=False) or singular(found) != found)
                plain = w[self._run(at + 1)] in {*ENDS, ",", ""} or self._run(at + 1) >= self.a.n
                return found if found and (plain or (sizes and not ended)) else None
            if ended:
                return None
        return None

    def _shows(self, k: int) -> int:
        """Where the thing begins that "that's", "which should be", "that gives you" at ``k`` presents; 0 where nothing is."""
        w = self.w
        if w[k] == "you" and w[k + 1] in ("'ve", "have", "get"):
            k += 2 + (w[k + 2] == "got")
        elif w[k] in ("that", "which", "this", "there"):
            k += 1
            k += w[k] in _MODALS
            if w[k] not in ("'s", "is", "be", "was", "gives", "give", "makes", "leaves", "gets"):
                return 0
            k += 1 + (w[k + 1] in ("you", "me", "us"))
        else:
            return 0
        return k if w[k] in ("the", "your", "my", "our", "her", "his", "how", "where") else 0

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
        if (
            m == k + 1
            or (w[m - 1] in GENERIC | NO_TOPIC and w[m] != "of")
            or (s.constant and singular(w[m - 1]) in _PURPOSES)
        ):
            return None
        if w[m] == "of" and w[m - 1] in DIMENSIONS | PARTS and w[m + 1] in DETERMINERS | {"one", "each", "a", "an"}:
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
                    return self._of_which(m) or self.phrase_to(m - 1)
        return None

    def _of_which(self, m: int) -> str | None:
        """ "number of pickets", "width of the band", where ``m`` is the atom after the first noun."""
        w = self.w
        if w[m] != "of" or w[m - 1] not in {"number", "amount"} | DIMENSIONS:
            return None
        k = m + 1 + (w[m + 1] in DETERMINERS)
        end = self._run(k)
        if end == k:
            return None
        thing = " ".join(w[k:end])
        return (
            f"number of {thing}" if w[m - 1] == "number" else thing if w[m - 1] == "amount" else f"{thing} {w[m - 1]}"
        )

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
                return many + " ".join(x for x in w[k + 2 : m] if x not in SAYS_LITTLE)
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
            if w[m] in ENDS:
                break
            if w[m] in DETERMINERS and (last := min(self._run(m + 1), start)) > m + 1:
                return self._of_size(self.phrase_to(last - 1), of)
        if of == "amount" or not (w[k + 2] in _ASKING or not w[k + 2].isalpha()):
            return None
        asked_of = {"it", "that", "they", "them"} & set(w[k + 2 : k + 7])
        near = (self._near(k) if asked_of or of == "size" else self._headed(k)) or self._told_before(k)
        return self._of_size(near, of) if near and len(near.split()) < 3 else of

    def _of_size(self, thing: str | None, of: str) -> str | None:
        return thing if of == "size" or not thing else f"{thing} {of}"

    def _for_before(self, start: int) -> str | None:
        """ "for the widths it's ...", "for the length of the strap you take ..."."""
        w = self.w
        for k in range(start - 1, max(-1, start - 12), -1):
            if w[k] in ENDS:
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
            if w[k] in ENDS:
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

    def _piece_after(self, end: int) -> str | None:
        """ "... plus one for the front": a piece, where nothing else says what is sized."""
        found = self._for_after(end)
        if not found:
            return None
        head = singular(found.split()[-1])
        return found if head in PARTS or self.kind(head) in ("piece", "product") else None

    def _for_after(self, end: int) -> str | None:
        """ "... for the ruffle", but not "for the overlap", which is what a part of the sum is for."""
        w = self.w
        if w[end] == "of" and self.t.noun(end + 1):
            return self.phrase_to(self._run(end + 1) - 1)
        if w[end] == "for" and w[end + 1] in ("the", "a", "my", "your", "each"):
            m = self._run(end + 2)
            words = w[end + 2 : m]
            if words and not {singular(x) for x in words} & _PURPOSES and words[-1] not in NO_TOPIC:
                return self.phrase_to(m - 1)
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
