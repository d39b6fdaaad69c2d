"""So many of a thing: bare counts, repeats, every third hole, elliptic counts."""

from __future__ import annotations

from fractions import Fraction

from buildlog.tag.amounts import what
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import starts_number
from buildlog.tag.amounts.quantities import Quantity, quantity
from buildlog.tag.amounts.state import State

ORDINALS = {"second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8, "tenth": 10}
ORDINALS |= {"2nd": 2, "3rd": 3, "4th": 4, "5th": 5, "6th": 6, "8th": 8, "10th": 10}
_YEARS = range(1500, 2100)
_SPREAD_REACH = 400
_MOST_TIMES = 200
_ON_THE = [["on", "the", x] for x in ("left", "right", "front", "back", "top", "bottom", "inside", "outside")]
_PLACES = lexis().sets["places"]


class Counts(State):
    """So many of a thing."""

    def _repeated(self, start: int, end: int, value: Fraction, style: str, value_max: Fraction | None = None) -> int:
        """A ratio before what it multiplies ("twice the rim"), a count after what was done again, else nothing."""
        w = self.a.w
        nxt = w[end]
        q = Quantity(start, end, value, value_max, style=style)
        verbs = self.lex.sets["repeat_verbs"]
        if nxt in lexis().sets["ratio_starts"]:
            if nxt in ("around", "round") and w[end + 1] not in ("the", "my", "your", "it"):
                return end
            if nxt in ("around", "round"):
                self._emit(q, "count", of="times round", of_token=None, confidence=0.6)
                return end
            if not (nxt == "the" and w[end + 1] in ("first", "other")):
                self._emit(q, "ratio", of=None, of_token=None)
            return end
        done = w[start - 1].endswith("ed") and value <= _MOST_TIMES and not lexis().sets["talk_verbs"] & {w[start - 1]}
        if (
            (value > 20 and not done)
            or (nxt in ("before", "as", "a", "an", "over") and value > 2)
            or "million" in w[start - 1 : end]
        ):
            return end
        low = max(0, start - 9)
        for k in range(start - 1, low - 1, -1):
            if w[k] in (".", "!", "?"):
                break
            if w[k] in verbs:
                self._emit(q, "count", of="times", of_token=self.a.tok[k], confidence=0.8)
                return end
        begins = max((k + 1 for k in range(low, start) if w[k] in (".", "!", "?")), default=low)
        talk = lexis().sets["talk_verbs"] & set(w[begins:start])
        if end == start + 1:
            talk |= {"have", "'ve", "ive", "had"} & set(w[begins:start])
        spell = ("year", "week", "day", "month", "minute", "life")
        often = nxt in ("a", "an", "the", "per", "in", "every") and w[end + 1] in spell
        ends = end > start + 1 or not nxt.isalpha() or nxt in lexis().sets["stops"]
        if (
            value >= 2
            and ends
            and not talk
            and not often
            and w[start - 1] not in ("about", "like", "the", "these", "not", "once", "or", "think", "and")
        ):
            self._emit(q, "count", of="times", of_token=None, confidence=0.6)
        return end

    def _every(self, i: int) -> int:
        """ "every third hole", "every second or fourth mark", "every inch"."""
        a, w = self.a, self.a.w
        j = i + 1
        if w[j] in ORDINALS and w[j + 1] not in ("time", "day", "week", "year", "one", "person", "video"):
            value = Fraction(ORDINALS[w[j]])
            end, top = j + 1, None
            if w[end] == "or" and w[end + 1] in ORDINALS:
                top, end = Fraction(ORDINALS[w[end + 1]]), end + 2
            noun = what.noun_after(a, end, most=3)
            if noun is None or w[noun[1]] in ("time", "day", "week", "year", "thought", "word"):
                return end
            q = Quantity(i, end, value, top)
            self._emit(q, "count", of=f"every {w[j]} {noun[0]}", of_token=a.tok[noun[1]], end=noun[1] + 1)
            return end
        if w[j] == "other":
            noun = what.noun_after(a, j + 1, most=2)
            if (
                noun
                and w[noun[1]] not in self.lex.sets["not_counted"]
                and w[noun[1]] not in ("day", "week", "night", "person", "month")
            ):
                q = Quantity(i, j + 1, Fraction(2))
                self._emit(
                    q, "count", of=f"every other {noun[0]}", of_token=a.tok[noun[1]], end=noun[1] + 1, confidence=0.7
                )
            return j + 1
        unit = self.lex.units.get(w[j])
        lasting = self.lex.units.get(w[i - 2]) if w[i - 1] == "for" else None
        if lasting and lasting.dim == "time":
            return j + 1  # "half an hour for every inch" is a rate
        if unit and not unit.plural and unit.dim == "length":
            q = Quantity(j, j + 1, Fraction(1), unit=unit.name, dim=unit.dim, article=True, number_end=j + 1)
            part = quantity(a, j)
            if part and part.value != 1:
                q = part
            q.approximate = self._after(q)
            before = what.noun_before(a, i)
            self._emit(
                q,
                "measurement",
                of=f"{before[0]} spacing" if before else "spacing",
                of_token=before and a.tok[before[1]],
            )
            self.last_length = (q.end, unit.name)
            return q.end
        return i + 1

    def _container_and_half(self, i: int) -> int:
        """ "a reel and a half", "one tin and a half": one and a half of a thing that is no unit."""
        w = self.a.w
        noun = w[i + 1]
        sets = self.lex.sets
        if noun in self.lex.units or starts_number(noun) or not noun.isalpha() or noun in sets["stops"]:
            return 0
        if noun in sets["not_counted"] or noun in self.lex.adjectives:
            return i + 5
        q = Quantity(i, i + 5, Fraction(3, 2), fraction=True)
        return self._counted(q, noun, i + 1, i + 5, 0.7)

    def _count(self, q: Quantity) -> int:
        """So many of a thing; numbers that count nothing of the work are dropped."""
        a, w = self.a, self.a.w
        sets = self.lex.sets
        if q.value < 1 or (q.fraction and q.value < 2 and q.value != Fraction(3, 2)):
            return 0
        if q.style == "digits" and q.value in _YEARS and q.value == int(q.value) and not what.counted(a, q.end):
            return 0
        prev = w[q.start - 1] if q.start else ""
        making = self._making_before(q.start)
        if q.start >= 3 and w[q.start - 2 : q.start] == ["of", "the"] and starts_number(w[q.start - 3]):
            # "eight of the sixteen spindles"
            return q.end
        if w[q.end] == "of":
            return self._partitive(q, making)
        if (
            w[q.end] in ("in", "from", "out")
            and (making or q.start - self.last_count < 10)
            and prev not in ("the", "these", "those", "other")
            and not (q.value == 1 and prev in ("last", "new", "first", "next", "this", "that", "each", "bad", "good"))
        ):
            j = q.end + 1
            while w[j] in ("the", "my", "of", "a", "that", "this", "some"):
                j += 1
            noun = what.noun_after(a, j, most=3)
            if (
                noun
                and not (w[q.end] == "from" and w[noun[1]] in sets["edges"])
                and q.value <= 200
                and w[noun[1]]
                not in (
                    "minute",
                    "second",
                    "morning",
                    "evening",
                    "afternoon",
                    "night",
                    "total",
                    "half",
                    "place",
                    "go",
                    "case",
                    "front",
                    "end",
                    "all",
                    "row",
                )
            ):
                return self._counted(q, f"pieces in {noun[0]}", noun[1], q.end, 0.85)
        found = what.counted(a, q.end)
        if found and q.fraction and not what.plural(w[found[1]]):
            found = None  # "a twenty-three and a quarter block"
        if q.value == 1:
            return self._one(q)
        if found is None:
            return self._lone(q, making)
        words, head = found
        text = w[head]
        if text in sets["not_counted"] or words.split()[0] in ("o'clock", "am", "pm", "percent", "million", "billion"):
            return head + 1 if text not in sets["not_counted"] else q.end
        if text in self.lex.units or text in ("dollars", "times"):
            return 0
        if self._lived(q, head):
            return q.end
        confidence = 0.9
        if prev in ("the", "these", "those", "other", "both", "all", "my", "your", "our"):
            if q.value <= 2 or prev in ("other", "both"):
                return q.end
            if any(x.kind == "count" and x.value == q.value for x in self.out):
                return q.end
            confidence = 0.7
        if head == q.end and self._verb(head):
            return self._lone(q, making)
        return self._counted(q, words, head, q.end, confidence)

    def _made_before(self, q: Quantity) -> bool:
        """Whether ``q`` counts what was made in a life of making: "he'd done about four hundred of these"."""
        near, before = self.a.w[max(0, q.start - 3) : q.start], self.a.w[max(0, q.start - 5) : q.start]
        return "done" in near or ("made" in near and not {"'ve", "ive", "has", "he", "she"}.isdisjoint(before))

    def _lived(self, q: Quantity, head: int) -> bool:
        """Whether a count belongs to a life of making, to every week of it, or is only a term of a sum."""
        w = self.a.w
        often = w[head + 1] in ("a", "an", "per", "every") and w[head + 2] in ("week", "year", "month", "day", "minute")
        often = often and w[head + 3] not in ("apart", "between")  # "four coats a day apart"
        term = w[q.start - 1] in ("plus", "minus", "times", "divided") or w[head + 1] in ("times", "plus", "minus")
        sold = "sold" in w[max(0, q.start - 3) : q.start]
        return often or term or sold or self._made_before(q)

    def _verb(self, i: int) -> bool:
        """Whether the tagger takes the atom at ``i`` for a verb with an object ("two holds the")."""
        if self.a.w[i + 1] not in ("the", "a", "an", "it", "to", "this", "that", "my", "them", "me", "us"):
            return False
        token = self.a.tok[i]
        return bool(self.doc[token].tag_ == "VBZ")

    def _partitive(self, q: Quantity, making: bool) -> int:
        """ "two of those in canvas", "four of them", "three of the strips"."""
        a, w = self.a, self.a.w
        j = q.end + 1
        if q.value == 1 and not (q.start - self.last_count < 10):
            return q.end
        if w[j] in ("us", "you", "my", "our", "your") and not (w[j] in ("my", "your") and what.counted(a, j + 1)):
            return q.end
        if self._made_before(q):
            return q.end
        if w[j] in ("them", "'em", "em"):
            j += 1
        else:
            while w[j] in ("the", "these", "those", "my", "your", "each", "that", "this"):
                j += 1
        if w[j] in ("in", "from", "out"):
            k = j + 1
            while w[k] in ("the", "my", "of", "a", "that"):
                k += 1
            noun = what.noun_after(a, k, most=3)
            if noun:
                return self._counted(q, f"pieces in {noun[0]}", noun[1], j, 0.9)
        found = what.counted(a, j)
        if found and w[found[1]] not in self.lex.sets["not_counted"]:
            return self._counted(q, found[0], found[1], q.end, 0.85)
        if w[j - 1] in ("them", "'em", "em", "these", "those", "each", "that", "this"):
            before = self._plural_before(q.start)
            if before is not None:
                return self._counted(q, w[before], before, j, 0.7)
            if w[q.start - 1] not in ("for", "in", "of", "with") and (making or q.value > 2):
                return self._counted(q, self.last_noun or "pieces", None, j, 0.6)
        return q.end

    def _one(self, q: Quantity) -> int:
        """One counts only where it is stressed as a number, or stands beside another count."""
        w = self.a.w
        sets = self.lex.sets
        prev = w[q.start - 1] if q.start else ""
        noun = what.noun_after(self.a, q.end, most=2)
        if w[max(0, q.start - 3) : q.start] in (["no", "more", "than"], ["not", "more", "than"]) and not noun:
            return self._counted(
                q, "coats" if "coat" in w[max(0, q.start - 20) : q.start] else "pieces", None, q.end, 0.6
            )
        stressed = prev in sets["stress"] and w[q.end] not in ("of", "thing")
        if noun:
            k = noun[1] + 1
            if w[k] == ",":
                k += 1
            after = {tuple(p.split()) for p in self.lex.raw["counting"]["stress_after"]}
            stressed = stressed or any(tuple(w[k : k + size]) in after for size in (1, 2, 3))
        if stressed and noun and w[noun[1]] not in sets["not_counted"]:
            return self._counted(q, noun[0], noun[1], q.end, 0.8)
        if noun and w[noun[1]] == "coat" and prev not in ("the", "this", "that", "at", "from", "in", "another"):
            return self._counted(q, noun[0], noun[1], q.end, 0.6)
        if noun and prev in ("cut", "punched", "drilled", "sewed") and w[noun[1]] not in sets["not_counted"]:
            return self._counted(q, noun[0], noun[1], q.end, 0.6)
        if noun and w[noun[1] + 1] == "for" and w[noun[1] + 2] in ("each", "every"):
            return self._counted(q, noun[0], noun[1], q.end, 0.6)
        if prev in ("and", ",") and w[q.end] == "at" and starts_number(w[q.end + 1]) and q.start - self.last_count < 12:
            return self._counted(q, self.last_noun or "pieces", None, q.end, 0.6)  # "two at nine and one at thirty"
        spread = w[q.end] in ("in", "at", "for", "per") and bool({"each", "every"} & set(w[q.end : q.end + 6]))
        spread = spread and not (w[q.end] == "for" and starts_number(w[q.end + 2]))
        if spread and q.start - self.last_count < _SPREAD_REACH:
            return self._counted(q, self.last_noun or "pieces", None, q.end, 0.6)
        return q.end

    def _lone(self, q: Quantity, making: bool) -> int:
        """A number that stands alone: "back stitch two"; otherwise nothing."""
        w = self.a.w
        prev = w[q.start - 1] if q.start else ""
        if prev == "backstitch" or (prev == "stitch" and w[q.start - 2] == "back"):
            return self._counted(q, "back stitches", q.start - 1, q.end, 0.8)
        nxt = w[q.end]
        ends = not nxt.isalpha() or nxt in self.lex.sets["stops"]
        if q.value > 500 or q.value != int(q.value) or prev in ("the", "those", "these", "other", "both"):
            return q.end
        if self.carried and self.carried[0] == q.start and self.carried[2]:
            return self._counted(q, self.carried[2], None, q.end, 0.8)
        if w[q.start - 1] == "to" and w[q.start - 2] in ("count", "counted", "counting"):
            return self._counted(q, "counts", None, q.end, 0.6)
        if prev == "into" and ends and nxt != "of" and making:
            return self._counted(q, "pieces", None, q.end, 0.7)
        each = {"each", "every", "per", "either"} & set(w[q.end : q.end + 3]) and w[q.end] in lexis().sets[
            "distributing"
        ]
        noun = self.last_noun if q.start - self.last_count < 14 else None
        if each:
            before = self._plural_before(q.start)
            if before is not None and q.start - before < 6:
                return self._counted(q, w[before], before, q.end, 0.7)
            if noun:
                return self._counted(q, noun, None, q.end, 0.7)
        place = (
            nxt in _PLACES
            or w[q.end : q.end + 2] in (["one", "way"], ["the", "other"], ["on", "top"], ["to", "a"])
            or w[q.end : q.end + 3]
            in (*_ON_THE, ["in", "a", "row"], ["at", "the", "top"], ["at", "the", "bottom"], ["on", "the", "other"])
        )
        if place and (noun or w[q.end : q.end + 2] == ["one", "way"]):
            return self._counted(q, noun or "pieces", None, q.end, 0.65)
        k = q.start - 1
        while w[k] in ("about", "around", "roughly", "maybe", "only", "just", "like"):
            k -= 1
        if (
            (
                w[k] in ("used", "punched", "drilled", "needed", "cut")
                or (w[k] in ("took", "takes", "with", "did") and noun)
            )
            and ends
            and nxt not in ("in", "by", "to", "at")
            and (w[k] != "cut" or nxt in ("of", ",", ".", "from", "for"))
        ):
            return self._counted(q, noun or "pieces", None, q.end, 0.6)
        return q.end
