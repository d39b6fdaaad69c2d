"""Self-correction: the last number said wins, and what is taken back is dropped."""

from __future__ import annotations

from bisect import bisect_left

from buildlog.tag.amounts import what
from buildlog.tag.amounts.amount import Amount
from buildlog.tag.amounts.atoms import Atoms
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import starts_number
from buildlog.tag.amounts.quantities import Quantity, quantity
from buildlog.tag.amounts.state import State

_TAKEN_BACK_REACH = 250
_RESTATING = frozenset({",", ".", "it", "'s", "a", "is", "that", "no", "-", "so", "they", "'re"})
_OWNING_UP = frozenset({"hang", "sorry", "no", "wait", "mistake", "wrong", "oops", "whoops", "actually"})


class Corrections(State):
    """Self-correction."""

    def _correction(self, q: Quantity) -> int | None:
        """Where "four, no, five holes" goes on: the last number said wins. ``None`` where nothing is corrected."""
        w = self.a.w
        lex = self.lex
        for gap in range(3):
            k = q.end + gap
            if gap and not (w[k - 1].isalpha() and w[k - 1] not in lex.correction_starts):
                return None
            j = k
            while w[j] in (",", ".", "-", "–", "—", "…", "...", "?", "!"):
                j += 1
            if w[j] not in lex.correction_starts:
                continue
            for size in (4, 3, 2, 1):
                if tuple(x for x in w[j : j + size]) in lex.corrections:
                    end = self._next_number(j + size, w[q.start - 1])
                    if end is not None and self._alike(q, end, loose=j > k):
                        self.carried = (end, q, self._noun_said(q))
                        return end
            # phrases may have commas inside: "no, sorry, five"
            m, said = j, 0
            while said < 5 and (w[m] in (",", ".", "—", "-", "…", "...") or (w[m],) in lex.corrections):
                said += w[m].isalpha()
                m += 1
            if said > 1:
                end = self._next_number(m, w[q.start - 1])
                if end is not None and self._alike(q, end, loose=True):
                    self.carried = (end, q, self._noun_said(q))
                    return end
            far = self._misread(q, j)
            if far is not None:
                return far
        return None

    def _noun_said(self, q: Quantity) -> str | None:
        found = what.counted(self.a, q.end) if q.unit is None else None
        return found[0] if found else None

    def _misread(self, q: Quantity, j: int) -> int | None:
        """ "eighty inches, no, I'm reading that wrong. Eighteen": the number after owning up."""
        w = self.a.w
        for k in range(j + 1, j + 13):
            if starts_number(w[k]) and w[k] not in ("a", "an", "half", "one", "point"):
                owned = {"wrong", "misread", "upside", "backwards", "mistake", "misreading", "lie", "rubbish"} & set(
                    w[j:k]
                )
                if owned and self._alike(q, k, loose=True):
                    self.carried = (k, q, self._noun_said(q))
                    return k
                return None
        return None

    def _next_number(self, j: int, before: str) -> int | None:
        """The atom where the corrected number starts, over "it's", "about", commas, and the word ``before`` the wrong one."""
        w = self.a.w
        for _ in range(4):
            if w[j] in lexis().sets["correction_fillers"] or (w[j] == before and before in ("to", "at", "by", "of")):
                j += 1
        if starts_number(w[j]) and (w[j] not in ("a", "an") or self._article_ok(j)):
            return j
        return None

    def _alike(self, q: Quantity, i: int, *, loose: bool) -> bool:
        other = quantity(self.a, i)
        if other is None:
            return False
        if other.unit is None and q.unit is not None:
            return loose and not what.counted(self.a, other.end)
        return q.unit is None or q.dim == other.dim


def settled(amounts: list[Amount], a: Atoms) -> list[Amount]:
    """Drop what is at once said again or taken back.

    "Six tooth. Five tooth. It's a five tooth iron." keeps the last; "five eighths, five eighths improved tacks" is one.
    """
    out: list[Amount] = []
    for amount in _taken_back(amounts, a):
        if out:
            last = out[-1]
            between = _between(last, amount, a) if amount.start - last.end <= 4 else ["far"]
            if set(between) <= _RESTATING and between:
                named = amount.of_token is not None and amount.of_token >= amount.start
                noun = (amount.of or "").split()[-1:]
                same_noun = named and noun == (last.of or "").split()[-1:] and noun != ["times"]
                recounted = amount.kind == last.kind == "count" and same_noun and "that" not in between
                repeated = (
                    amount.kind == last.kind
                    and (amount.value, amount.value_max, amount.unit) == (last.value, last.value_max, last.unit)
                    and amount.kind in ("measurement", "setting")
                )
                if recounted or (repeated and "x" not in between):
                    out.pop()
        out.append(amount)
    return out


def _taken_back(amounts: list[Amount], a: Atoms) -> list[Amount]:
    """Without what "hang on, I've said five inches, it's six" takes back: those words, and the value said before."""
    starts = [
        k
        for k in range(1, a.n)
        if a.w[k] in ("said", "say", "told")
        and "i" in a.w[max(0, k - 3) : k]
        and (_OWNING_UP & set(a.w[max(0, k - 8) : k]))
    ]
    gone: set[int] = set()
    for k in starts:
        token = a.tok[k]
        turn = next((m for m in range(k + 1, k + 16) if a.w[m] in ("it", "should", "meant", "actually", "but")), None)
        if turn is None:
            continue
        back = [i for i, x in enumerate(amounts) if token < x.start < a.tok[turn]]
        gone.update(back)
        values = [(amounts[i].value, amounts[i].unit) for i in back]
        for j in range((back[0] if back else 0) - len(back), -1, -1):
            if token - amounts[j].start > _TAKEN_BACK_REACH:
                break
            if [(x.value, x.unit) for x in amounts[j : j + len(back)]] == values:
                gone.update(range(j, j + len(back)))
                break
    return [amount for i, amount in enumerate(amounts) if i not in gone]


def _between(left: Amount, right: Amount, a: Atoms) -> list[str]:
    return a.w[bisect_left(a.tok, left.end) : bisect_left(a.tok, right.start)]
