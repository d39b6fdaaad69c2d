"""Amounts worked out from others: the component ``derived`` sets ``doc._.derived``.

"The strip needs to be three times the rim" gives the result "strip", the formula "3 x rim" and the input "rim". An
expression is a run of terms (a named quantity, perhaps with a factor, or a plain amount) joined by "plus", "less",
"divided by" and their like; it counts only if at least one named quantity is in it and something is done to it.

The trained reader's word on where an amount is worked out is evidence beside the grammar: what could be a sum or
something else ("the hoop and two centimetres") counts where it agrees, and so does wording that only it sees.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from spacy.language import Language
from spacy.tokens import Doc as _Doc

from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import starts_number
from buildlog.tag.amounts.quantities import Quantity
from buildlog.tag.amounts.what import singular
from buildlog.tag.derived_base import LAST, SOFT_FLOOR, Worked
from buildlog.tag.derived_plain import Plain
from buildlog.tag.derived_shares import Shares
from buildlog.tag.derived_words import (
    AS_ADJECTIVES,
    BIGGER,
    DETERMINERS,
    DIMENSIONS,
    FACTORS,
    PROMPTS,
    TRACING,
    Sum,
    Term,
    shown,
)

if TYPE_CHECKING:
    from spacy.tokens import Doc

    from buildlog.tag.reader import Reading

_Doc.set_extension("derived", default=None, force=True)

_STARTS = frozenset("half halfway as same pi".split())
_GOES = frozenset("goes went go comes came gets is was".split())
_OWNED = frozenset("my your her his their our".split())
_LEADS = frozenset(": ; is be 's to take measure are . , so your means go goes its taking measuring".split())
_BASE = {
    "divided": "divide",
    "halved": "halve",
    "doubled": "double",
    "multiplied": "multiply",
    "added": "add",
    "adding": "add",
    "took": "take",
    "taking": "take",
    "knocked": "knock",
    "knocking": "knock",
}
_SPANS = frozenset("hand hands finger fingers thumb thumbs span palm".split())
_LASTING = frozenset("took take takes taken taking wait waited waits last lasted lasts".split())
_GOING = frozenset("go going went goes measure measured measures".split())


class _Finder(Shares, Plain):
    """Finds the expressions of one document."""

    def find(self) -> list[Worked]:
        w, n = self.a.w, self.a.n
        i = 0
        while i < n:
            text = w[i]
            end = 0
            if text in ("a", "half") and self._rest_of_number(i):
                pass  # the rest of "four and a half down to the floor"
            elif text in FACTORS or text in _STARTS or starts_number(text) or (i in self.t.vouched and text == "that"):
                end = (
                    self._mix(i)
                    or self._told_share(i)
                    or self._slope(i)
                    or self._dose(i)
                    or self._used(i)
                    or self._rate(i)
                    or self._each(i)
                    or self._overlap(i)
                    or self._heads(i)
                    or self._way(i)
                    or self._from(i)
                    or self._comparison(i)
                    or self._off(i)
                )
                if not end and self._times_over(i):
                    end = self._joined(i)
            elif text == "equal":
                end = self._mix(i)
            elif (text in ("added", "put") and w[i + 1] in ("up", "together")) or text in (
                "together",
                "combined",
                "altogether",
            ):
                end = self._added_up(i)
            elif text in ("add", "put") and (end := self._add_those(i)):
                pass
            elif text in PROMPTS:
                end = self._verb(i) or self._joined(i) or (self._named(i) if text in ("take", "took") else 0)
            elif text in BIGGER:
                end = self._than_by(i)
            elif text in ("once", "round", "around", "difference", "take", "measure", "measured", "took", "from"):
                end = self._named(i)
            self.last = max(self.last, end)
            i = max(i + 1, end)
        if self.reading is not None:
            self._alone(self.reading)
        return self.out

    def _rest_of_number(self, i: int) -> bool:
        w = self.a.w
        k = i - 1 - (w[i] == "half" and w[i - 1] == "a")
        return k > 0 and w[k] == "and" and starts_number(w[k - 1])

    def _times_over(self, i: int) -> bool:
        """ "the seam, four times over", "the rabbet twice"."""
        w = self.a.w
        if w[i] in ("twice", "thrice"):
            return True
        n = self.t.number(i)
        return n is not None and w[n.end] == "times" and w[n.end + 1] in ("over", ".", ",", "")

    # -- where an expression starts -----------------------------------------------------------------------------

    def _from(self, i: int) -> int:
        """An expression that begins at ``i`` with a factor, a share, or "as long as"."""
        w = self.a.w
        if set(w[max(0, i - 2) : i]) & _LASTING and "long" in w[i : i + 5]:
            return 0  # "took twice as long as the second"
        term = self.t.factor(i, loose=self._agreed(i, i + 3) > SOFT_FLOOR) or self.t.same(i)
        if term is None or not term.name:
            return 0
        low = i - 1 - (w[i - 1] in ("about", "nearly", "just", "almost"))
        if w[low] in ("'s", "is", "was", "am", "'m") and w[low - 1] in ("he", "she", "i"):
            return 0  # "he's about as tall as the door"
        s = self.t.expression(term, i)
        for k in range(i, min(i + 3, term.end)):
            if w[k] == "as" and w[k + 1] in AS_ADJECTIVES and w[k + 1] != "much":
                s.tail = s.tail or AS_ADJECTIVES[w[k + 1]]
            elif w[k] == "same" and w[k + 1] in DIMENSIONS:
                s.tail = s.tail or w[k + 1]
        if not s.tail and " / " in s.formula and s.joined == 1 and (part := self._goes_into(s.end)):
            s.tail = f"={part} {s.names[0]}"
            return self._maybe(s)
        if w[s.end] == "apart" or (w[s.end - 1] != "apart" and w[s.end : s.end + 2] == ["or", "apart"]):
            s.end, s.tail = s.end + 1, "spacing"
        return self._emit(s) if s.joined else self._maybe(s)

    def _goes_into(self, k: int) -> str | None:
        """What a share goes into: "three quarters of the yarn went in the body", "a quarter of it comes off for the lid"."""
        w = self.a.w
        if w[k] not in _GOES or self.t.aside(k) > k:
            return None
        at = next(
            (m for m in range(k + 1, k + 4) if w[m] in ("in", "into", "for", "on") and w[m + 1] in DETERMINERS), 0
        )
        if not at or {".", ","} & set(w[k:at]):
            return None
        thing = self.t.plain(at + 1)
        return thing.name if thing and thing.name not in ("that", "this") else None

    def _named(self, i: int) -> int:
        """An expression that begins at ``i`` with "once round the frame" or "the difference between"."""
        w = self.a.w
        k = i
        if w[k] == "from":
            return self._walked(i)
        if w[k] in ("take", "measure", "measured", "took"):
            k += 1
            if w[k] not in DETERMINERS and w[k] not in ("round", "around", "from", "what", "how", "all"):
                return 0
        elif w[k] == "once" and w[k + 1] not in ("round", "around"):
            return 0
        elif w[k] == "difference" and w[k - 1] in DETERMINERS:
            k -= 1
        term = self.t.name(k)
        if term is None or not term.name or (w[k] in ("around", "round") and term.name == "perimeter"):
            return 0
        head = term.name.split()[-1]
        s = self.t.expression(term, term.start)
        counted = singular(head) != head and head not in lexis().sets["body_sizes"] | DIMENSIONS
        if w[i] in ("take", "took") and counted and " / " not in s.formula:
            return 0  # "take the two outer pieces and cut ..."
        return self._emit(s) if s.joined and len(s.names) > 0 else 0

    def _walked(self, i: int) -> int:
        """ "go from one button over the shoulder to the other with it hung low, and then take off four inches"."""
        w, t = self.a.w, self.t
        if w[i - 1] not in _GOING and w[i - 2] not in _GOING:
            return 0
        path = t.name(i)
        if path is None or not path.name:
            return 0
        s = t.expression(path, i)
        if s.joined:
            return self._emit(s)
        for k in range(path.end, min(path.end + 14, self.a.n)):
            if w[k] not in ("take", "took", "knock", "knocked", "add", "added", "less", "plus", "minus"):
                continue
            q = t.amount(k + 1) or (t.amount(k + 2) if w[k + 1] in ("off", "on", "about", "another") else None)
            if q is None or not (q.unit or q.fraction):
                return 0
            sign = "+" if w[k] in ("add", "added", "plus") else "-"
            t.join(s, sign, Term(k, q.end, f"{shown(q.value)} {q.unit or 'inch'}", None))
            s.end = q.end + (w[q.end] in ("off", "on"))
            return self._emit(s)
        return 0

    def _joined(self, i: int) -> int:
        """An expression whose first term ends just before the joint at ``i``."""
        w = self.a.w
        at = i
        while at > 0 and w[at - 1] in ("and", "then", ",", "you", "i", "we"):
            at -= 1
        if w[i] == "over" and not (starts_number(w[i + 1]) or w[i + 1] in DETERMINERS):
            return 0
        if w[i] in ("with", "and"):
            if w[i] == "and" and not (
                starts_number(w[i + 1])
                or w[i + 1] in ("a", "an", "half", "then", "halve", "double", "about", "add", "take")
            ):
                return 0
            at = i
        elif w[i] in ("doubled", "halved", "double", "halve") or self._times_over(i):
            pass
        elif not self.t.joint(at) and not self.t.joint(i):
            return 0
        first = self._name_before(at)
        if first is None and at != i:
            first = self._name_before(i)
        if first is None or first.start < self.last:
            return 0
        s = self.t.expression(first, first.start)
        if (
            s.told
            and w[first.start - 1] in ("in", "at", "a", "if", "with")
            and w[first.start - 2] in ("in", "at", "with", ",", ".")
        ):
            return 0  # "in a hard water place, add a quarter"
        if s.told and w[first.start - 1] in ("from", "into", "onto", "off"):
            return 0  # "pick them up from the holder and add two"
        if w[first.start - 1] in ("round", "around", "over") and w[first.start - 2] in TRACING:
            return 0  # "draw round the head and add fifteen"
        s.soft = s.soft or w[i] == "over" or (s.joined == 1 and w[at - 1 if at else 0] != "," and self._times_over(i))
        return self._emit(s) if s.joined else 0

    def _name_before(self, i: int) -> Term | None:
        """The named quantity that ends just before ``i``."""
        w = self.a.w
        k = i
        while k > 0 and w[k - 1] in (",", "up", "added"):
            k -= 1
        if k in self.t.vouched and (told := self._told_size(k)):
            return told
        k = next((m for m in range(k - 1, max(self.last, k - 9), -1) if w[m - 1] != "," and self.t.aside(m) == k), k)
        tries = []
        for start in range(max(self.last, k - 10), k):
            lead = w[start - 1] if start else "."
            if lead == "for" and w[i] == "and":
                continue  # "for the front and a quarter of the hip for the back"
            if w[start] in DETERMINERS:
                if lead in ("both", "all", "whatever", "each"):
                    continue
            elif w[start] in ("once", "round", "around", "from", "what", "whatever"):
                if lead == "once":
                    continue
            elif not ((lead in _LEADS or start == 0) and self.t.noun(start)):
                continue
            tries.append(start)
        for start in tries:
            name = self.t.name(start)
            if name and name.end == k and name.name and not self._is_verb_object(start):
                back = self._from_to(start, name)
                if back is None and w[start - 1] == "to" and w[start - 3] in ("measure", "measured", "take"):
                    thing = f"{w[start - 2]} to {name.name}"  # "measure end to end"
                    back = Term(start - 2, k, thing, thing)
                return back or name
        return None

    def _told_size(self, k: int) -> Term | None:
        """ "her foot is twenty three, so minus a centimetre": the measure whose figure ends at ``k``."""
        w = self.a.w
        k -= w[k - 1] == "so"
        k -= w[k - 1] == ","
        for low in range(k - 1, max(0, k - 6), -1):
            q = self.t.amount(low)
            if q is None or q.end != k or w[low - 1] not in ("is", "'s", "was"):
                continue
            for start in range(low - 2, max(-1, low - 6), -1):
                name = self.t.name(start) if w[start] in _OWNED else None
                if name is not None and name.name and name.end == low - 1:
                    return Term(start, k, name.text, name.name)
        return None

    def _is_verb_object(self, start: int) -> bool:
        return self.a.w[start - 1] in ("of", "for") and self.a.w[start - 2] in ("the", "a")

    def _from_to(self, start: int, name: Term) -> Term | None:
        """ "from the nape down to the ankle bone" is one quantity, "nape to ankle bone"."""
        w = self.a.w
        if start and w[start - 1] == "to":
            for k in range(start - 2, max(-1, start - 10), -1):
                if w[k] == "from" and (path := self.t.name(k)) and path.end == name.end:
                    return path
        return None

    def _verb(self, i: int) -> int:
        """ "halve the waist", "add an inch to the rim", "take two off the width", "divide the round by six"."""
        w, t = self.a.w, self.t
        text = w[i] if i not in t.vouched else _BASE.get(w[i], w[i])
        if (
            text in ("halve", "double")
            and w[i + 1] in DETERMINERS
            and (i in t.vouched or text != "double" or w[i - 1] in ("you", "i", "just", "then", "and", "to"))
        ):
            name = t.name(i + 1)
            if name is None or not name.name or name.name in ("it", "that", "this", "lot"):
                return 0
            formula = f"{name.name} / 2" if text == "halve" else f"2 x {name.name}"
            s = t.expression(Term(i, name.end, formula, name.name, True), i)
            return self._emit(s) if t.noun(name.end - 1) and (s.joined > 1 or t._sized(name)) else self._maybe(s)
        text = _BASE.get(text, text)
        if text in ("divide", "multiply") and w[i + 1] in DETERMINERS | {"what"}:
            name = t.name(i + 1)
            if (
                name
                and name.name
                and w[name.end] in ("by", "in", "into", "between")
                and w[i + 1] in DETERMINERS | {"what"}
            ):
                k = name.end + 1
                value = t.term(k, "/") if w[k] != "half" else Term(k, k + 1, "2", None)
                if value is None or not value.text:
                    return 0
                sign = "/" if text == "divide" else "x"
                names = [name.name, *([value.name] if value.name else [])]
                s = t.expression(Term(i, value.end, f"{name.name} {sign} {value.text}", "\t".join(names), True), i)
                return self._emit(s)
            return 0
        if text == "add" and (w[i + 1] in ("up", "together") or w[i - 1] in ("you", "i", "we", "just")):
            listed = t.added(i + 1 + (w[i + 1] in ("up", "together")))
            many = listed is not None and listed.name is not None and "\t" in listed.name
            if listed and listed.name and (many or w[i + 1] == "up"):
                s = t.expression(listed, i)
                return self._emit(s) if many or s.joined > 1 else self._maybe(s)
        if text == "add" and w[i + 1] in DETERMINERS | {"half", "twice", "double"}:
            both = self._added_to(i)
            if both:
                return both
        if text in ("subtract", "take", "deduct", "lose") and i in t.vouched and (end := self._taken_from(i)):
            return end
        if text in ("add", "subtract", "take", "knock", "deduct"):
            q = t.amount(i + 1) or t.amount(i + 2 if w[i + 1] in ("another", "about", "off") else i + 1)
            if q is None or not (q.unit or q.fraction):
                return 0
            k = q.end
            if text == "add":
                if w[k] != "to":
                    return 0
                k += 1
            else:
                if w[k] == "off":
                    k += 1
                    if w[k] == "of":
                        k += 1
                elif w[k] in ("away", "from"):
                    k += 1
                if k == q.end:
                    return 0
                if w[k] == "from":
                    k += 1
            name = t.name(k) if w[k] in DETERMINERS - {"that", "this", "each", "both"} else None
            if name is None or not name.name:
                return 0
            sign = "+" if text == "add" else "-"
            formula = f"{name.name} {sign} {shown(q.value)} {q.unit or 'inch'}"
            share = q.value / 100 if q.unit == "percent" else q.value
            if q.unit == "percent" or (not q.unit and share.denominator not in (1, 2, 4, 8, 16, 32, 64)):
                formula = f"{shown(1 + share if text == 'add' else 1 - share)} x {name.name}"
            s = t.expression(Term(i, name.end, formula, name.name, True), i)
            if name.name in DIMENSIONS and not s.tail:
                s.tail = f"finished {name.name}"
            return self._emit(s) if t._sized(name) or s.joined > 1 else self._maybe(s)
        return 0

    def _added_to(self, i: int) -> int:
        """ "add half the seat depth to the back height"."""
        w, t = self.a.w, self.t
        term = t.factor(i + 1, loose=True) or t.plain(i + 1)
        if term is None or not term.name:
            return 0
        if " to " in term.name:
            one, other = term.name.split(" to ", 1)
            text, end = term.text.replace(term.name, one), term.end
        elif w[term.end] == "to" and w[term.end + 1] in DETERMINERS:
            second = t.plain(term.end + 1)
            if second is None or not second.name:
                return 0
            one, other, text, end = term.name, second.name, term.text, second.end
        else:
            return 0
        s = t.expression(Term(i, end, f"{other} + {text}", f"{other}\t{one}", True), i)
        return self._maybe(s)

    def _taken_from(self, i: int) -> int:
        """ "take the inseam off the outseam", "subtract the drop from the height"."""
        w, t = self.a.w, self.t
        less = t.factor(i + 1) or (t.plain(i + 1) if w[i + 1] in DETERMINERS else None)
        if less is None or not less.name or w[less.end] not in ("off", "from", "away"):
            return 0
        k = less.end + 1
        k += w[k] in ("of", "from")
        whole = t.name(k) if w[k] in DETERMINERS or t.noun(k) else None
        if whole is None or not whole.name or whole.name in ("that", "this"):
            return 0
        s = t.expression(Term(i, whole.end, f"{whole.name} - {less.text}", f"{whole.name}\t{less.name}", True), i)
        return self._emit(s)

    def _off(self, i: int) -> int:
        """ "two inches off the waist", "an inch more than the rim", "three millimetres short of the edge"."""
        w = self.a.w
        q = self.t.amount(i)
        if q is None or not (q.unit or q.fraction) or q.dim not in ("length", None):
            return 0
        k = q.end
        sign = ""
        if w[k] in ("off", "under") and w[k + 1] in DETERMINERS:
            sign, k = "-", k + 1
        elif w[k] in ("short", "shy") and w[k + 1] == "of":
            sign, k = "-", k + 2
        elif w[k] in ("over", "past", "beyond") and w[k + 1] in DETERMINERS:
            sign, k = "+", k + 1
        elif w[k] == "on" and w[k + 1] == "top" and w[k + 2] == "of":
            sign, k = "+", k + 3
        if not sign or w[k] not in DETERMINERS:
            return 0
        name = self.t.name(k)
        if name is None or not name.name or "\t" in name.name:
            return 0
        s = self.t.expression(
            Term(i, name.end, f"{name.name} {sign} {shown(q.value)} {q.unit or 'inch'}", name.name, True), i
        )
        cut = {"cut", "trim", "trimmed", "cutting"} & set(w[max(0, i - 5) : i]) and w[q.end] in ("over", "under")
        return self._emit(s) if cut else self._maybe(s)

    def _added_up(self, i: int) -> int:
        """ "the four sides added up and then ten inches more"."""
        w = self.a.w
        up = w[i] in ("added", "put")
        if not up and i not in self.t.vouched:
            return 0
        first = self._name_before(i)
        if first is None or not first.name or first.start < self.last:
            return 0
        term = Term(first.start, i + 1 + up, first.text, first.name)
        if w[first.start - 1] == "and" and (other := self._name_before(first.start - 1)) and other.name:
            term = Term(other.start, i + 1 + up, f"{other.name} + {first.name}", f"{other.name}\t{first.name}", True)
        s = self.t.expression(term, term.start)
        return self._emit(s) if s.joined and w[i] == "added" else self._maybe(s)

    def _comparison(self, i: int) -> int:
        """ "an inch bigger than the page", "half an inch longer all round than the board"."""
        w = self.a.w
        q = self.t.amount(i)
        if q is None:
            return 0
        i2 = q.end
        counted = w[i2] if not q.unit and self.t.noun(i2) and w[i2 + 1] in ("more", "fewer", "less") else ""
        i2 += bool(counted)
        if w[i2] == "over" and w[i2 + 1] in ("all", "each", "every", "either"):
            return self._over_measured(i, i2 + 1, q, "+", "")
        plain = w[i2] in ("less", "more") and w[i2 + 1] == "than" and w[i - 1] in ("is", "'s", "are", "its", "be")
        if w[i2] not in BIGGER or not (q.unit or q.fraction or counted or plain):
            return 0
        sign, dimension = BIGGER[w[i2]]
        k = i2 + 1
        while k < i2 + 7 and w[k] in (
            "all",
            "around",
            "round",
            "on",
            "each",
            "side",
            "way",
            "every",
            "the",
            "both",
            "sides",
            "at",
            "end",
            "in",
            "either",
        ):
            k += 1
        if w[k] != "than":
            return self._over_measured(i, i2 + 1, q, sign, dimension)
        name = self.t.name(k + 1)
        if name is None or not name.name or name.name in ("it", "that")[: 1 if plain else 2] or "\t" in name.name:
            return 0
        if name.name in ("last", "previous", "last one", "previous one") and w[k + 1] == "the":
            name.name = LAST
        if w[name.end] in ("before", "above", "below") and w[name.end + 1] in (".", ",", "", "it", "and", "so"):
            name = Term(name.start, name.end + 1, f"{name.text} {w[name.end]}", f"{name.name} {w[name.end]}")
        if q.unit == "percent":
            whole = 1 + q.value / 100 if sign == "+" else 1 - q.value / 100
            s = self.t.expression(Term(i, name.end, f"{shown(whole)} x {name.name}", name.name, True), i)
            s.tail = s.tail or dimension or None
            return self._emit(s)
        formula = f"{name.name} {sign} {shown(q.value)}" + (
            "" if counted or (plain and not q.unit and not q.fraction) else f" {q.unit or 'inch'}"
        )
        s = self.t.expression(Term(i, name.end, formula, name.name, True), i)
        s.tail = s.tail or dimension or None
        return self._emit(s)

    def _over_measured(self, i: int, end: int, q: Quantity, sign: str, dimension: str) -> int:
        """ "measure the hole and cut it an inch bigger all round"."""
        w = self.a.w
        if w[i - 1] in ("is", "'s", "gets", "be") and w[end] in (".", ",", "", "and", "so"):
            # "each one inside is an inch less"
            low = max(0, i - 7)
            if {"each", "every", "next"} & set(w[low : i - 1]) and not {".", "?"} & set(w[low + 1 : i - 1]):
                formula = f"{LAST} {sign} {shown(q.value)} {q.unit or 'inch'}"
                return self._maybe(Sum(i, end, formula, [LAST], 1, tail=dimension or None))
        if w[i - 1] not in ("it", "them", "that") or w[i - 2] not in ("cut", "make", "cutting", "made"):
            return 0
        for k in range(i - 3, max(0, i - 14), -1):
            if (
                w[k] in ("measure", "measured")
                and w[k + 1] in DETERMINERS
                and (name := self.t.name(k + 1))
                and name.name
            ):
                formula = f"{name.name} {sign} {shown(q.value)} {q.unit or 'inch'}"
                return self._emit(Sum(k, end, formula, [name.name], 1, tail=dimension or None))
        return 0

    def _than_by(self, i: int) -> int:
        """ "wider than the book by two centimetres"."""
        w = self.a.w
        if w[i + 1] != "than" or w[i + 2] not in DETERMINERS:
            return 0
        name = self.t.name(i + 2)
        if name and name.name and w[i - 1] in _SPANS and w[i - 2] in ("a", "two", "three") and "\t" not in name.name:
            # "a hand wider than the top one": by how much is no number
            return self._emit(Sum(i - 2, name.end, name.name, [name.name], 1, tail=BIGGER[w[i]][1] or None))
        if name is None or not name.name or w[name.end] != "by" or "\t" in name.name:
            return 0
        sign, dimension = BIGGER[w[i]]
        if name.name in ("last", "previous", "last one", "previous one"):
            name.name = LAST
        k = name.end + 1
        while w[k] in (",", "say", "about"):
            k += 1
        amount = self.t.term(k, sign)
        if amount is None or not amount.text:
            return 0
        s = Sum(i, name.end, name.name, [name.name])
        self.t.join(s, sign, amount)
        s.end, s.tail = amount.end, dimension or None
        return self._emit(s)


def read(doc: Doc, reading: Reading | None = None) -> list[Worked]:
    """The derived amounts said in ``doc``, in order; ``reading`` is the trained reader's, where there is one."""
    return sorted(_Finder(doc, reading).find(), key=lambda d: d.start)


@Language.component("derived", assigns=["doc._.derived"])  # type: ignore[untyped-decorator]
def derived(doc: Doc) -> Doc:
    """Set ``doc._.derived``."""
    doc._.derived = read(doc, doc._.reader if _Doc.has_extension("reader") else None)
    return doc


__all__ = ["Worked", "derived", "read"]
