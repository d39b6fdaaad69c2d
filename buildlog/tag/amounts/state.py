"""What a reading knows so far, and how an amount is put down."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from buildlog.tag.amounts import what
from buildlog.tag.amounts.amount import Amount, Kind
from buildlog.tag.amounts.atoms import atoms_of
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import HYPHENS, STARTS, WORDS, number, starts_number
from buildlog.tag.amounts.quantities import Quantity

if TYPE_CHECKING:
    from spacy.tokens import Doc

MARKS = frozenset({",", ".", ";", ":", "!", "?", "-", "–", "—", "…", "...", ""})
_ENDS = frozenset({".", ",", "!", "?", ";", ":", ""})
_ELLIPTIC_REACH = 40
_MOST = {"meter": 12, "foot": 24, "yard": 24}
_MOST_CENTIMETRES = 300
_FITS, _FAR_OFF = 3, 30
_SAYING = frozenset({",", "all", "in", "that", "'s", "thats", "those", "these", "are", "is"})
_SAYING_MOST = 5
_LONGEST = 5  # atoms of a number before its unit
_UNIT_STARTS = frozenset({"inch", "yard", "foot", "metre", "meter"})


@dataclass(slots=True)
class Said:
    """How often a unit is said, and the least and the greatest value said with it (0 where none was)."""

    times: int = 0
    low: Fraction = Fraction(0)
    high: Fraction = Fraction(0)


class State:
    """One document being read."""

    def __init__(self, doc: Doc) -> None:
        self.doc = doc
        self.a = atoms_of(doc)
        self.lex = lexis()
        self.out: list[Amount] = []
        self.last_length: tuple[int, str] | None = None
        self.last_unit: tuple[int, str, str, Fraction] | None = None
        self.last_noun: str | None = None
        self.last_time: tuple[int, str] | None = None
        self.carried: tuple[int, Quantity, str | None] | None = None
        self.last_grit = -100
        self.last_count = -100
        self._system: str | None = None
        self._lengths: dict[str, Said] | None = None
        self._first_length = self.a.n
        self._triggers = frozenset(WORDS) | STARTS | _UNIT_STARTS | {"every", "twice", "another", "a", "an"}

    def length_unit(self, value: Fraction | None = None) -> str | None:
        """The unit the speaker gives small lengths in most often, or ``None`` where no length was given.

        Where ``value`` is told, units that the speaker says of lengths of that magnitude go first.
        """
        said = self._said_lengths()
        if not said:
            return None
        fit = [u for u, x in said.items() if value is not None and x.low / _FITS <= value <= x.high * _FITS]
        return max(fit or said, key=lambda u: said[u].times)

    def _fits(self, unit: str, value: Fraction) -> bool:
        """Whether ``value`` is of a magnitude that the speaker gives in ``unit``."""
        said = self._said_lengths().get(unit)
        return said is None or said.high == 0 or value <= said.high * _FAR_OFF

    def _said_lengths(self) -> dict[str, Said]:
        """What is said in each small unit of length."""
        if self._lengths is None:
            self._lengths = {}
            w = self.a.w
            for k in range(self.a.n):
                unit = self.lex.units.get(w[k])
                if unit and unit.name in ("inch", "centimeter", "millimeter"):
                    self._first_length = min(self._first_length, k)
                    said = self._lengths.setdefault(unit.name, Said())
                    said.times += 1
                    last = i = k - 1 if w[k - 1] in HYPHENS else k
                    while i > 0 and last - i < _LONGEST and starts_number(w[i - 1]):
                        i -= 1
                    if i < last and (found := number(self.a, i)):
                        said.low = min(said.low, found.value) if said.high else found.value
                        said.high = max(said.high, found.value)
        return self._lengths

    def _unit_after(self, i: int) -> str | None:
        """The unit said of the numbers that end at atom ``i``: "that's centimetres", "all in inches"."""
        w = self.a.w
        k = i
        while w[k] in _SAYING and k < i + _SAYING_MOST:
            k += 1
        unit = self.lex.units.get(w[k]) if k > i else None
        return unit.name if unit and unit.dim == "length" and unit.plural else None

    def _neighbour(self, unit: str | None, q: Quantity) -> str | None:
        """The unit that ``q`` takes from a neighbour's ``unit``: after metres a bare ninety is no ninety metres."""
        if unit is None or q.value <= _MOST.get(unit, q.value):
            return unit
        small = self.length_unit()
        if unit == "meter" and small not in ("centimeter", "millimeter"):
            return "centimeter" if q.value < _MOST_CENTIMETRES else None
        return small

    def _length_context(self, q: Quantity) -> bool:
        return bool(self.last_length and q.start - self.last_length[0] < _ELLIPTIC_REACH)

    def system(self) -> str:
        """ "metric" or "imperial": which units the speaker uses more."""
        if self._system is None:
            count = {"metric": 0, "imperial": 0}
            names = {u: s for s in count for u in self.lex.raw["context"][s]}
            for text in self.a.w:
                unit = self.lex.units.get(text)
                if unit and unit.name in names:
                    count[names[unit.name]] += 1
                elif text in ("fahrenheit", "celsius", "centigrade"):
                    count["imperial" if text == "fahrenheit" else "metric"] += 5
            self._system = "imperial" if count["imperial"] > count["metric"] else "metric"
        return self._system

    def _lately(self) -> str | None:
        """The unit of the amount put down last, where that was a length."""
        return self.last_length[1] if self.last_length and self.last_length[0] > self.last_count else None

    def _from(self, q: Quantity) -> int:
        """The atom where ``q`` stands, for the words before it: a corrected number stands where the wrong one stood."""
        return self.carried[1].start if self.carried and self.carried[0] == q.start else q.start

    def _ends(self, k: int) -> bool:
        """Whether no noun follows at atom ``k``."""
        text = self.a.w[k]
        return not text.isalpha() or text in self.lex.sets["stops"]

    def _before(self, i: int) -> int:
        """How many atoms before ``i`` say "about"."""
        w = self.a.w
        for size in (4, 3, 2, 1):
            if i - size >= 0 and tuple(w[i - size : i]) in self.lex.before:
                if (
                    w[i - 1] in ("over", "under")
                    and size == 1
                    and w[i - 2] in ("fold", "turn", "folded", "turned", "press", "lap", "it", "that", "edge")
                ):
                    return 0
                if size == 1 and w[i - 1] == "over" and what.plural(w[i - 2]) and w[i - 2].isalpha():
                    return 0  # "one and a half turns over four inches"
                verb = w[i - size - 1]
                if w[i - size : i] == ["up", "to"] and (verb in lexis().sets["up_to_verbs"] or verb.endswith("ed")):
                    return 0
                return size
        return 0

    def _after(self, q: Quantity) -> bool:
        """Whether the words after ``q`` say "or so"; takes them in."""
        w = self.a.w
        k = q.end
        if w[k] in HYPHENS and w[k + 1] == "ish":
            q.end = k + 2
            return True
        for size in (4, 3, 2, 1):
            if tuple(w[k : k + size]) in self.lex.after:
                if size == 1 and w[k] in ("maybe", "plus", "roughly", "max") and w[k + 1] not in _ENDS:
                    return False
                q.end = k + size
                return True
        return False

    def _article_ok(self, i: int) -> bool:
        """Cheap look at what follows an article, before a number is tried."""
        w = self.a.w
        nxt = w[i + 1]
        return (
            nxt in self.lex.units
            or nxt in ("thirty", "sixty")
            or nxt
            in ("half", "quarter", "third", "eighth", "sixteenth", "hundred", "thousand", "dozen", "couple", "tenth")
            or nxt in ("twentieth", "fiftieth", "hundredth", "thousandth", "twelfth", "fifth", "sixth")
            or (
                nxt in self.lex.adjectives
                and (w[i + 2] in self.lex.units or w[i + 2] in STARTS or w[i + 2] == "couple")
            )
            or (nxt in ("last", "first", "fifth"))
            or (nxt in ("8", "16", "32", "64") and w[i + 2] in ("th", "nd") and self.a.glued[i + 2])
        )

    def _emit(
        self,
        q: Quantity,
        kind: Kind,
        *,
        of: str | None,
        of_token: int | None,
        end: int | None = None,
        confidence: float = 1.0,
    ) -> Amount:
        a = self.a
        last = end if end is not None else q.end
        start_tok = a.tok[q.start]
        end_tok = min(len(self.doc), a.tok[max(q.start, last - 1)] + 1)
        amount = Amount(
            start=start_tok,
            end=end_tok,
            kind=kind,
            value=q.value,
            value_max=q.value_max,
            unit=q.unit if kind not in ("size",) else None,
            approximate=q.approximate,
            of=of,
            of_token=of_token,
            text=self.doc[start_tok:end_tok].text,
            confidence=round(min(q.confidence, confidence), 3),
            flags=tuple(
                dict.fromkeys(f for f in q.flags if f not in ("run", "cut run", "couple", "bit", "short", "stature"))
            ),
        )
        self.out.append(amount)
        return amount

    def _counted(self, q: Quantity, of: str, head: int | None, end: int, confidence: float) -> int:
        token = None if head is None else self.a.tok[head]
        last = head + 1 if head is not None and head >= q.end else end
        self._emit(q, "count", of=of, of_token=token, end=max(last, q.end), confidence=confidence)
        self.last_count = end
        self.last_noun = of
        return end

    def _plural_before(self, i: int) -> int | None:
        w = self.a.w
        for k in range(i - 1, max(-1, i - 12), -1):
            if what.plural(w[k]) and w[k] not in self.lex.sets["not_counted"] and w[k].isalpha():
                return k
        return None

    def _making_before(self, i: int) -> bool:
        w = self.a.w
        making = self.lex.sets["making"]
        for k in range(i - 1, max(-1, i - 8), -1):
            if w[k] in (".", "!", "?"):
                return False
            if w[k] in making:
                return True
        return False

    def _is_counted(self, i: int) -> bool:
        w = self.a.w
        return any(starts_number(w[k]) for k in range(max(0, i - 3), i))
