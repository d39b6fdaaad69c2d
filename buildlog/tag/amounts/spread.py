"""Numbers that count something named elsewhere: so many to the inch or a side, of them, stitches worked, sums worked out.

"Eight to the inch", "fourteen a side", "four of 'em", "buttons: eight, brass", "knit two", "six across and eight down",
"split it in three", "plus seven", "so that's forty-six".
"""

from __future__ import annotations

from buildlog.tag.amounts import what
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import is_digits, starts_number
from buildlog.tag.amounts.quantities import Quantity
from buildlog.tag.amounts.state import MARKS, State

_SETS = lexis().sets
_REACH = 60
_UNIT_REACH = 40
_MOST = 1000
_MANY = 30
_LEAST = 10  # fewer, and "are four each" counts


class Spread(State):
    """Numbers that count something named elsewhere."""

    def _spread_out(self, q: Quantity) -> int:
        """Put ``q`` down where the words beside it say that it counts; where it ends, or 0."""
        if (
            q.unit is not None
            or q.value > _MOST
            or q.value == 0
            or (starts_number(self.a.w[q.end]) and self.a.w[q.end] not in ("a", "an"))
        ):
            return 0
        for rule in (self._a_side, self._worked, self._across, self._listed, self._parted, self._summed):
            end = rule(q)
            if end:
                return end
        return 0

    def _what(self, q: Quantity) -> str:
        """What is counted, where a noun before says it."""
        if q.start - self.last_count < _REACH and self.last_noun:
            return self.last_noun
        before = self._plural_before(q.start)
        return self.a.w[before] if before is not None else "pieces"

    def _a_side(self, q: Quantity) -> int:
        """ "eight to the inch", "five per row", "fourteen a side", "two in each", "three at a time", "twenty each"."""
        w, k = self.a.w, q.end
        if w[k] in ("left", "more", "altogether", "remaining", "spare") and (
            w[q.start - 1] not in ("'s", "is", "was", "or") or w[q.start - 2] == "there"
        ):
            closes = self._ends(k + 1)
            holding = w[q.start - 1] in ("have", "has", "'ve", "had", "are") or w[q.start - 2] == "there"
            if closes and w[q.start - 1] == "so" and (lately := self._lately()):
                q.unit, q.dim = self._neighbour(lately, q), "length"
                q.flags.append("inherited unit")
                self._emit(q, "measurement", of=None, of_token=None, confidence=0.6)
                return q.end
            known = (holding or q.start - self.last_count < _REACH) and q.value > 1
            if closes and known and w[q.start - 1] not in ("o'clock", "at", "or"):
                return self._counted(q, self._what(q), None, k + 1, 0.65)
        another = w[q.start - 1] == "another" and w[k] in ("for", "on", "in", "at", "along") and q.value > 1
        if another and self._lately() is None and q.start - self.last_count < _REACH:
            return self._counted(q, self._what(q), None, k, 0.65)
        till = {"till", "until", "til"} & set(w[max(0, q.start - 3) : q.start - 1])
        if (
            till
            and w[q.start - 1] in ("'s", "is", "its", "to", "got", "are", "theres")
            and q.start - self.last_count < _REACH
        ):
            if self._ends(k):
                return self._counted(q, self._what(q), None, k, 0.6)
        if w[q.start - 1] == "of" and w[q.start - 2] in _SETS["grouped"] and q.value > 1:
            if self._ends(k):
                return self._counted(q, self._what(q), None, k, 0.65)
        if w[k] == "at" and starts_number(w[k + 1]) and w[k + 1] not in ("a", "an") and not q.fraction:
            if w[q.start - 1] in ("so", "cut", "need", "make", "makes") and q.value < _MANY:
                return self._counted(q, "pieces", None, k, 0.65)  # "so two at fifty"
        if w[k] == "at" and w[k + 1 : k + 3] == ["a", "time"]:
            return self._counted(q, self._what(q), None, k + 3, 0.65) if q.value > 1 else 0
        if (
            (w[k] in ("to", "per") and w[k + 1] in ("the", "each", "every", "a", "an"))
            or (w[k] == "in" and w[k + 1] in ("each", "every"))
            or (w[k] == "for" and w[k + 1] in ("each", "every"))
        ):
            place = k + 2
        elif w[k] in ("per", "a", "an", "each", "every", "either"):
            place = k + 1
        else:
            return 0
        noun = w[place]
        strict = w[k] in ("a", "an")
        unit = self.lex.units.get(noun)
        if w[k] == "each" and (noun in _SETS["stops"] or not noun.isalpha()):
            ends = k + 1
            usual = self.length_unit(q.value)
            if w[q.start - 1] in ("are", "is", "'re") and usual and q.value >= _LEAST and self._fits(usual, q.value):
                q.unit, q.dim = usual, "length"
                q.flags.append("assumed unit")
                self._emit(q, "measurement", of=self._what(q), of_token=None, confidence=0.6)
                self.last_length = (ends, usual)
                return ends
        elif noun in _SETS["sides"] or (unit and unit.dim == "length" and not unit.plural):
            ends = place + 1
            if strict and unit and (self.a.known & self.lex.money.keys() or q.value > 60):
                return 0
        elif w[k] == "in" and (noun in _SETS["stops"] or not noun.isalpha()):
            ends = place
        elif w[k] == "for" and noun.isalpha():
            ends = k
        else:
            return 0
        return self._counted(q, self._what(q), None, ends, 0.65) if q.value != 1 else 0

    def _worked(self, q: Quantity) -> int:
        """Stitches worked one by one: "knit two, purl two", "chain three", "pick up three and skip one"."""
        w = self.a.w
        two = " ".join(w[max(0, q.start - 2) : q.start])
        if w[q.start - 1] not in _SETS["stitch_verbs"] and two not in _SETS["stitch_verbs"]:
            return 0
        if q.fraction or not 2 <= q.value <= 500 or what.counted(self.a, q.end) or w[q.end] in self.lex.units:
            return 0
        return self._counted(q, "stitches", None, q.end, 0.7)

    def _across(self, q: Quantity) -> int:
        """ "six across and eight down"."""
        w, k = self.a.w, q.end
        if w[k] == "across" and q.value > 1:
            after = w[k + 1 : k + 6]
            if any(
                x in ("down", "deep", "high", "up") and starts_number(after[n - 1]) for n, x in enumerate(after) if n
            ):
                return self._counted(q, self._what(q), None, k + 1, 0.7)
        if w[k] in ("down", "deep", "high", "up") and "across" in w[max(0, q.start - 4) : q.start]:
            if q.start - self.last_count < 6:
                return self._counted(q, self._what(q), None, k + 1, 0.7)
        return 0

    def _listed(self, q: Quantity) -> int:
        """A thing, then how many: "Buttons: eight, brass", "four rivets ... washers, two", "line locks 6"."""
        w, a = self.a.w, self.a
        if q.fraction or q.value < 2:
            return 0
        set_off = w[q.start - 1] in (",", ":")
        j = q.start - 2 if set_off else q.start - 1
        noun = w[j] if j >= 0 else ""
        if not what.plural(noun) or noun in _SETS["stops"] or noun in _SETS["numbered_rows"]:
            return 0
        if noun in self.lex.units or noun in _SETS["not_counted"] or not noun.isalpha() or noun in self.lex.money:
            return 0
        nxt = w[q.end]
        if set_off:
            if nxt not in MARKS:
                return 0
            if self._is_counted(j):  # "six holes, eight": a list of numbers, or the last word on it
                return 0
        elif (
            nxt in MARKS
            or what.counted(a, q.end)
            or not (nxt in _SETS["stops"] or nxt.endswith("ed"))
            or (
                not is_digits(w[q.start])
                or nxt in ("by", "to", "or", "and", "at", "per", "times")
                or self._verb_before(j)
            )
        ):
            return 0
        return self._counted(q, noun, j, q.end, 0.6)

    def _verb_before(self, i: int) -> bool:
        """Whether the atom at ``i``, plural by its looks, is rather a verb ("he charges 3")."""
        prev = self.a.w[i - 1] if i else ""
        return prev in (
            "he",
            "she",
            "it",
            "that",
            "this",
            "who",
            "which",
            "one",
            "each",
            "everybody",
            "somebody",
            "nobody",
        )

    def _parted(self, q: Quantity) -> int:
        """ "cut it in two", "split in three"."""
        w = self.a.w
        if w[q.start - 1] not in ("in", "into") or q.fraction or not 3 <= q.value <= 40:
            return 0
        nxt = w[q.end]
        if nxt.isalpha() and (nxt not in _SETS["stops"] or nxt in ("of", "by")):
            return 0
        if not _SETS["parting"] & set(w[max(0, q.start - 7) : q.start - 1]):
            return 0
        return self._counted(q, "pieces", None, q.end, 0.65)

    def _summed(self, q: Quantity) -> int:
        """What a sum adds, takes off or comes to, with the unit of the length said just before: "plus seven, so that's twelve"."""
        w = self.a.w
        at = self._from(q)
        prev, nxt = (w[at - 1] if at else ""), w[q.end]
        if self._allowed(q) and nxt not in ("-", "/", "%", "times", "by", "percent"):
            pass
        elif nxt.isalpha() and (
            nxt not in _SETS["stops"] or nxt in ("times", "by", "of", "per", "over", "to", "plus", "minus", "less")
        ):
            return 0
        if nxt in ("-", "/", "%") or q.value == 1:
            return 0
        added = self._allowed(q)
        comes = prev in _SETS["comes_to"] or (
            prev in ("'s", "is", "thats") and w[at - 2] in ("that", "so", "which", "it")
        )
        comes = comes or (prev == "thats")
        gets = prev in ("get", "got") and w[at - 3 : at - 1] == ["so", "i"] and self._lately() is not None
        said = w[max(0, at - 3) : at] in (["so", "that", "'s"], ["that", "makes"]) or w[max(0, at - 2) : at] in (
            ["so", "thats"],
            ["which", "makes"],
        )
        if (
            not added
            and not said
            and not gets
            and not (comes and _SETS["summing"] & set(w[max(0, q.start - 16) : q.start]))
        ):
            return 0
        if "came" in w[max(0, q.start - 4) : q.start] or self.a.known & self.lex.money.keys() & set(
            w[max(0, q.start - 16) : q.end + 8]
        ):
            return 0
        near = self.last_length is not None and q.start - self.last_length[0] < _UNIT_REACH
        if near and self.last_length and (added or self.last_length[0] > self.last_count):
            q.unit, q.dim = self._neighbour(self.last_length[1], q), "length"
            q.flags.append("inherited unit")
        elif added and (unit := self.length_unit(q.value)):
            q.unit, q.dim = unit, "length"
            q.flags.append("assumed unit")
        self._emit(q, "measurement", of=None, of_token=None, confidence=0.55)
        if q.unit is not None:
            self.last_length = (q.end, q.unit)
        return q.end

    def _allowed(self, q: Quantity) -> bool:
        """Whether ``q`` is put on or taken off a length: "the width plus six", "thirty extra for", "with fifty added on"."""
        w, k = self.a.w, q.end
        prev, before = w[q.start - 1], w[q.start - 2] if q.start > 1 else ""
        named = bool(_SETS["allowed_for"] & set(w[k : k + 6]))
        if prev in ("plus", "minus", "less"):
            j = q.start - 2 if before == "," else q.start - 1
            if self.last_length is not None and self.last_length[0] == j:
                return True  # "a hundred and ten less five"
            measure = before in ("that", "this") and self._lately() is not None and w[k] in (".", ",", "so")
            measure = (
                measure
                or before in self.lex.aspect
                or before in _SETS["dimensions"]
                or before in _SETS["lengths_named"]
            )
            return named or measure
        measuring = self._lately() is not None
        if prev in ("another", "added", "add", "adding", "allowed") or (prev == "an" and w[k] == "extra"):
            purpose = w[k + 1] in ("luck", "the", "good", "safety") or named
            return measuring and w[k] == "for" and purpose and q.value > 1
        after = " ".join(w[k : k + 2])
        if after == "added on":
            return self.length_unit() is not None
        if after in ("extra for", "extra on", "extra all", "extra each", "extra at", "on top"):
            return measuring
        return prev == "and" and w[k] == "for" and named and measuring


__all__ = ["Spread"]
