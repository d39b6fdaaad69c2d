"""From atoms to amounts: find each number said, see what kind it is, and keep or drop it."""

from __future__ import annotations

from fractions import Fraction

from buildlog.tag.amounts import money as cash
from buildlog.tag.amounts import what
from buildlog.tag.amounts.amount import Amount
from buildlog.tag.amounts.atoms import VULGAR
from buildlog.tag.amounts.bare import Bare
from buildlog.tag.amounts.beside import Beside
from buildlog.tag.amounts.corrections import Corrections, settled
from buildlog.tag.amounts.counts import Counts
from buildlog.tag.amounts.elided import Elided
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import HYPHENS, is_digits, starts_number
from buildlog.tag.amounts.quantities import Quantity, is_bare_share, one_of, quantity, ranged
from buildlog.tag.amounts.sizes import Sizes
from buildlog.tag.amounts.spread import Spread
from buildlog.tag.amounts.vouched import Vouched

_CROSS = frozenset({"by", "x", "×"})
_NOT_AFTER = lexis().sets["numbered"]
_BARE_SIZES = frozenset(
    {"diameter", "wide", "thick", "deep", "square", "dowel", "dowels", "webbing", "strips", "elastic"}
)


# words that say which one is meant; "one" after them is no number
_WHICH = frozenset(
    "first second third fourth fifth last next other this that each every big small long short wide narrow top bottom left "
    "right front back inner outer upper lower middle new old larger smaller longer shorter".split()
)
_PLURAL_NUMBERS = frozenset("ones twos threes fours fives sixes eights tens twelves".split())
_FRACTIONS = frozenset("half quarter third eighth sixteenth halves quarters thirds eighths sixteenths".split())


class Reader(Corrections, Sizes, Bare, Beside, Elided, Counts, Spread, Vouched):
    """Reads one ``Doc``. Make one a document; :meth:`read` gives its amounts in order."""

    def read(self) -> list[Amount]:
        """All amounts of the document, in the order said."""
        a, triggers = self.a, self._triggers
        w, n = a.w, a.n
        i = 0
        while i < n:
            text = w[i]
            if text in triggers or is_digits(text) or text in VULGAR:
                i = max(i + 1, self._at(i))
            else:
                i += 1
        found = [x for x in settled(self.out, self.a) if not self._told_of(x)]
        _same_coin(found)
        return found

    def _at(self, i: int) -> int:
        """Read what starts at atom ``i``; the atom to go on from."""
        a = self.a
        w = a.w
        text = w[i]
        if (
            text in ("inch", "foot", "yard")
            and w[i + 1] in _BARE_SIZES
            and w[i - 1] not in ("per", "the", "an", "a", "-")
        ):
            q = Quantity(i, i + 1, Fraction(1), unit=text, dim="length", number_end=i + 1)
            return self._with_unit(q)
        if text == "every":
            return self._every(i)
        if text == "another":
            return self._another(i)
        if text == "twice":
            return self._repeated(i, i + 1, Fraction(2), "words")
        found_note = cash.note(a, i)
        if found_note:
            return self._money(found_note, approximate=self._before(i) > 0)
        if text in ("a", "an", "one") and w[i + 2 : i + 5] == ["and", "a", "half"]:
            end = self._container_and_half(i)
            if end:
                return end
        if text in ("a", "an") and not self._article_ok(i):
            return i + 1
        if text == "one" and self._that_one(i):
            return i + 1
        if self._excluded_start(i):
            return self._skip(i)
        found = quantity(a, i)
        return i + 1 if found is None else self._quantity(found)

    def _another(self, i: int) -> int:
        """ "an inch and another inch": one more of a length or a time."""
        unit = self.lex.units.get(self.a.w[i + 1])
        if (
            unit is None
            or unit.plural
            or unit.dim not in ("length", "time")
            or unit.name in ("foot", "day", "week", "month")
        ):
            return i + 1
        return self._with_unit(one_of(self.a, i, unit))

    def _skip(self, i: int) -> int:
        """The end of a number that is to be passed over whole."""
        q = quantity(self.a, i)
        return q.number_end if q else i + 1

    def _that_one(self, i: int) -> bool:
        """Whether "one" stands for a thing before its measure: "the first one two inches, the other one three"."""
        w = self.a.w
        nxt = w[i + 1]
        if w[i - 1] not in _WHICH or not (starts_number(nxt) or nxt in ("a", "an")) or nxt in ("hundred", "thousand"):
            return False
        return not (nxt in _FRACTIONS and w[i - 1] in ("this", "that"))

    def _excluded_start(self, i: int) -> bool:
        """Numbers that name rather than measure: "part two", "the 1890s", "number one tip"."""
        w = self.a.w
        prev = w[i - 1] if i else ""
        if prev in _NOT_AFTER and w[i] not in ("a", "an", "half"):
            return True
        text = w[i]
        if (
            w[i + 1] in HYPHENS
            and self.a.glued[i + 1]
            and w[i + 2].endswith(("footer", "footers", "seater", "seaters", "incher", "inchers", "wheeler", "pounder"))
        ):
            return True
        if w[i + 1 : i + 4] == ["-", "by", "-"] and w[i + 4] in _PLURAL_NUMBERS:
            return True  # "two-by-ones" are boards
        if text == "one" and w[i + 1] in ("of", "another", "by", "way", "day", "time", "more", "or", "at", "thing"):
            return not (w[i + 1] == "or" and w[i + 2] == "two") and not (
                w[i + 1] == "by" and starts_number(w[i + 2]) and w[i + 2] != "one"
            )
        if (
            is_digits(text)
            and self.a.glued[i + 1]
            and w[i + 1] == "s"
            and w[i + 2] not in _CROSS
            and prev not in _CROSS
        ):
            return True
        if is_digits(text) and w[i + 1] == ":" and is_digits(w[i + 2]):
            return True
        return (
            is_digits(text) and self.a.glued[i + 1] and w[i + 1] in ("st", "nd", "rd", "th") and not starts_number(prev)
        )

    def _quantity(self, q: Quantity) -> int:
        a = self.a
        w = a.w
        before = self._before(q.start)
        between = "between" in w[max(0, q.start - 3) : q.start]
        if (w[q.end] == "times" and q.unit is None) or (w[q.end] in HYPHENS and w[q.end + 1] == "times"):
            return self._repeated(q.start, q.end + 1, q.value, q.style)
        bolt = self._bolt(q)
        if bolt:
            return bolt
        q = ranged(a, q, between=between)
        if w[q.end] == "times" and q.unit is None:
            return self._repeated(q.start, q.end + 1, q.value, q.style, q.value_max)
        k = q.end + 1 if w[q.end] == "," else q.end
        if (q.unit is None and self._clock(q)) or w[k : k + 3] == ["did", "i", "say"]:
            return q.end
        corrected = self._correction(q)
        if corrected is not None:
            return corrected
        if before or self._after(q):
            q.approximate = True
        if is_bare_share(a, q) and self._share(q):
            return q.end
        found = cash.money(a, q)
        if found:
            return self._money(found, approximate=q.approximate)
        if q.unit is None and cash.bare_total(a, q):
            self._emit(q, "total", of=None, of_token=None)
            return q.end
        size = self._size(q)
        if size:
            return size
        if w[q.end] in _CROSS or (self._dim_word(q.end) and w[q.end + 1] in _CROSS):
            chain = self._chain(q)
            if chain:
                return chain
        if self.carried and self.carried[0] == q.start and q.unit is None:
            q.unit, q.dim = self.carried[1].unit, self.carried[1].dim
            q.flags.append("corrected")
        if q.dim == "degree":
            self._degrees(q)
        if q.unit is not None:
            self._misheard_whole(q)
            return self._with_unit(q)
        return self._bare(q)

    def _clock(self, q: Quantity) -> bool:
        """Whether ``q`` is a time of day: "at eleven at night", "by six in the morning"."""
        w, k = self.a.w, q.end
        if w[k] == "at":
            return w[k + 1] == "night"
        return w[k : k + 2] == ["in", "the"] and w[k + 2] in ("morning", "afternoon", "evening")

    def _money(self, found: cash.Sum, *, approximate: bool) -> int:
        a = self.a
        total = cash.is_total(a, found.start, found.end) and found.per is None
        before = self._before(found.start)
        q = Quantity(found.start, found.end, found.value, found.value_max, confidence=found.confidence)
        q.approximate = approximate or before > 0
        of = what.noun_after(a, found.end, most=3)
        if of is None or total:
            of = None if total else what.noun_before(a, found.start - before)
        amount = self._emit(q, "total" if total else "price", of=of[0] if of else None, of_token=of and a.tok[of[1]])
        amount.per, amount.currency = found.per, found.currency or self._cents(found)
        return found.end

    def _cents(self, found: cash.Sum) -> str | None:
        """The currency of "cents": the speaker's dollars or euros; dollars where neither is said."""
        w = self.a.w
        if not {"cent", "cents"} & set(w[found.start : found.end]):
            return None
        return "EUR" if {"euro", "euros", "€"} & self.a.known else "USD"

    def _bare(self, q: Quantity) -> int:
        """Settings, grits, heats, elliptic lengths and counts; anything else is dropped, unless the reader vouches for it."""
        put_down = len(self.out)
        end = 0
        rules = (
            self._rate_of,
            self._beside,
            self._grit,
            self._elided,
            self._set_to,
            self._heat,
            self._body,
            self._ruler,
            self._spread_out,
            self._elliptic,
            self._count,
        )
        for rule in rules:
            end = rule(q)
            if end:
                break
        if len(self.out) == put_down:
            return self._vouched(q) or end or q.end
        return end or q.end


def _same_coin(found: list[Amount]) -> None:
    """Give a sum without a currency ("four ninety-nine each") the one coin that all other sums are in."""
    sums = [a for a in found if a.kind in ("price", "total")]
    coins = {a.currency for a in sums if a.currency is not None}
    if len(coins) == 1:
        coin = coins.pop()
        for a in sums:
            a.currency = a.currency or coin
