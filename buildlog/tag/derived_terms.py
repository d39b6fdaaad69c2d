"""Whole sums: a first term and all that is done to it.

Everything here reads atoms (``amounts.atoms``) from one place on and says where it stops; nothing looks at what the
amount is for. Words of the trade are no part of it: only the grammar of sums.
"""

from __future__ import annotations

from fractions import Fraction

from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import starts_number
from buildlog.tag.derived_joints import Joints
from buildlog.tag.derived_words import AS_ADJECTIVES, DETERMINERS, FACTORS, TAIL_LESS, TAIL_MORE, Sum, Term, shown

_TOGETHER = frozenset("put added combined together laid all taken".split())
_VERBS = frozenset("add off take away".split())


class Terms(Joints):
    """Reads terms and expressions of one document."""

    def expression(self, first: Term, start: int) -> Sum:
        """``first`` with all that is done to it."""
        w = self.a.w
        out = Sum(start, first.end, first.text, first.name.split("\t") if first.name else [])
        if first.factor:
            out.joined = 1
        while True:
            if self._together(out) or self._postfix(out):
                continue
            at = self._past_purpose(out.end)
            joint = self.joint(at)
            soft = False
            if joint is None:
                joint, soft = self._soft_joint(out.end)
            if joint is None and (at := self.aside(out.end)) > out.end:
                joint, soft = self.joint(at), True
                if joint is None:
                    joint, soft = self._soft_joint(at)
                if joint is not None and w[joint[1] - 1] in ("over", "times"):
                    joint = None
            if joint is None and out.joined == 1 and first.factor and (again := self._and_factor(out.end)):
                joint = ("+", again)
            if joint is None and out.last and w[out.end] == "and" and w[out.end + 1] in DETERMINERS:
                # "the drop plus the hem and the heading, times ...": the list goes on
                more = self.plain(out.end + 1)
                if more and more.name and self.joint(more.end):
                    joint = ("+", out.end + 1)
            if joint is None and out.end in self.vouched:
                joint, soft = self._plainly(out.end), True
            if joint is None:
                break
            sign, k = joint
            bare = (
                soft
                and w[k - 1] == "with"
                and (q := self.amount(k)) is not None
                and w[q.end] in ("added", "extra", "more")
            )
            term = self.term(k, sign, plain_and=soft and k not in self.vouched and w[k - 1] != "another" and not bare)
            if term is None or (soft and not self._soft_tail(out, term)):
                break
            if term.name and not term.factor and w[k - 1] in ("put", "take"):
                break
            if not out.joined:
                out.soft = soft and not self._more_after(term.end)
                out.told = w[k - 1] in _VERBS or w[k - 2] in _VERBS
            end = self._tail(term.end) if term.name is None else self._sides(term.end)
            many = self._for_every(end) if term.name is None and sign in "+-" else None
            if many is not None and many.name and term.text:
                term.text, term.name, end = f"{term.text} x {many.text}", many.name, many.end
            self.join(out, sign, term)
            out.end, out.constant = end, term.name is None
            out.last = term.text if term.name and not term.factor else ""
        if w[out.end] in AS_ADJECTIVES and w[out.end] != "much":
            out.tail = AS_ADJECTIVES[w[out.end]]
        return out

    def _plainly(self, i: int) -> tuple[str, int] | None:
        """How a sum goes on in plainer words, where the reader vouches for one: "and then the rim", ", to the seam, plus"."""
        w = self.a.w
        k = i + (w[i] == ",")
        if w[k] in ("and", "then"):
            k += 1
            k += w[k] == "then"
            more = self.factor(k) or (self.name(k) if w[k] in DETERMINERS or self.noun(k) else None)
            if more is not None and more.name and more.name not in ("that", "this") and not self._verb_soon(more.end):
                return "+", k
            return None
        if w[i] != ",":
            return None
        for m in range(i + 2, i + 8):
            if w[m] in (".", "?", "!", "and", "so"):
                return None
            on = m + 1 + (w[m + 1] in ("and", "then")) + (w[m + 2] == "then")
            if w[m] == "," and w[on] in ("plus", "minus", "less", "times", "divided"):
                return self.joint(m)
        return None

    def _verb_soon(self, i: int) -> bool:
        """Whether what ends before ``i`` is the subject of a clause: "and the triangles between take up"."""
        for k in range(i, i + 4):
            if self._verb_at(k):
                return True
            if not self.a.w[k].isalpha():
                return False
        return False

    def _verb_at(self, i: int) -> bool:
        w = self.a.w
        return w[i] in ("'s", "'re", "'ll", "'d", "to") or self.tag(i) in ("VBZ", "VBP", "VBD", "MD")

    def _and_factor(self, i: int) -> int:
        """ "two times the width, and two times the thickness": where the second product begins, if there is one."""
        w = self.a.w
        k = i + (w[i] == ",")
        if w[k] != "and":
            return 0
        k += 1 + (w[k + 1] == "then")
        if not (w[k] in FACTORS or starts_number(w[k])):
            return 0
        more = self.factor(k)
        if more is None or not more.name or w[more.end] in ("is", "are", "'s", "of", "was", "were"):
            return 0
        return k

    def _for_every(self, i: int) -> Term | None:
        """ "three inches for every diamond": what the amount is taken as often as."""
        w = self.a.w
        if w[i] == "for" and w[i + 1] in ("every", "each"):
            i += 1
        elif w[i] not in ("every", "per"):
            return None
        if w[i + 1] in ("side", "end", "edge", "corner", "way", "time", "inch", "foot", "metre", "meter", "yard"):
            return None
        name = self.plain(i + 1) if self.noun(i + 1) else None
        if name is None or not name.name:
            return None
        end = name.end + (w[name.end] in ("across", "along", "down", "up"))
        return Term(i, end, f"number of {name.name}", f"number of {name.name}")

    def _together(self, out: Sum) -> bool:
        """ "the two sides and the bottom put together", "the front, the back and the sides, all added up"."""
        w = self.a.w
        if out.joined:
            return False
        found: list[Term] = []
        k = out.end
        while len(found) < 6 and w[k] in (",", "and", "plus"):
            k += 1 + (w[k] == "," and w[k + 1] == "and")
            name = self.plain(k)
            if name is None or not name.name:
                break
            found.append(name)
            k = name.end
        k = found[-1].end if found else k
        k += w[k] == ","
        k += w[k] in ("all", "both") and w[k + 1] in _TOGETHER
        if (
            not found
            or w[k] not in _TOGETHER
            or (w[k] in ("put", "laid", "added", "taken", "all") and w[k + 1] not in ("up", "together"))
        ):
            return False
        for name in found:
            self.join(out, "+", name)
        out.end = k + (1 if w[k] in ("combined", "together") else 2)
        return True

    def added(self, i: int) -> Term | None:
        """ "the front and the two sides", "how wide it is and how deep it is": what one is told to add up."""
        w = self.a.w
        found: list[Term] = []
        k = i
        while len(found) < 6:
            name = self.name(k)
            if name is None or not name.name or name.name in ("that", "this"):
                break
            found.append(name)
            k = name.end
            step = (1 + (w[k + 1] == "and")) if w[k] == "," else int(w[k] in ("and", "plus", "with"))
            if not step or not (
                w[k + step] in DETERMINERS or w[k + step] in ("how", "what", "round") or self.noun(k + step)
            ):
                break
            k += step
        if not found:
            return None
        return Term(i, found[-1].end, " + ".join(x.text for x in found), "\t".join(x.name or "" for x in found), True)

    def join(self, out: Sum, sign: str, term: Term) -> None:
        if term.name:
            out.names += term.name.split("\t")
        out.joined += 1
        if not term.text:
            return
        wide = " + " in out.formula or " - " in out.formula
        if term.text.endswith(" percent") and sign in "+-":
            percent = Fraction(term.text.split()[0]) / 100
            term.text = f"*{percent.numerator}/{percent.denominator}"
        if term.text.startswith("*"):
            part = Fraction(term.text[1:])
            whole = 1 + part if sign == "+" else 1 - part
            out.formula = f"({out.formula}) x {shown(whole)}" if wide else f"{out.formula} x {shown(whole)}"
            return
        if sign in "/x" and wide:
            out.formula = f"({out.formula})"
        text = term.text
        if sign in "-/" and (" - " in text or " + " in text or " / " in text):
            text = f"({text})"
        out.formula = f"{out.formula} {sign} {text}"

    def _past_purpose(self, i: int) -> int:
        """Past "for the hem" where the sum goes on after it."""
        w = self.a.w
        if w[i] == "for" and w[i + 1].isalpha():
            for k in range(i + 2, i + 7):
                if w[k] in ("plus", "minus", "less") or (
                    w[k] in (",", "and") and w[k + 1] in ("plus", "minus", "less", "then")
                ):
                    return k
                if not w[k].isalpha():
                    break
        return i

    def _soft_tail(self, out: Sum, term: Term) -> bool:
        return not (self.a.w[term.end].isalpha() and self.noun(term.end)) or self.a.w[term.end] in TAIL_MORE

    def _tail(self, i: int) -> int:
        """Past "more", "on top", "extra", "off" and "each side" after an amount that was added."""
        w = self.a.w
        if (
            w[i] == "over"
            and w[i + 1] in DETERMINERS
            and (unit := lexis().units.get(w[i - 1]))
            and unit.dim != "length"
        ):
            return i  # "minus two volts over the current"
        if w[i] in ("more", "extra", "over", "spare", "besides", "added", "longer") or w[i] in TAIL_LESS:
            i += 1
            i += 2 * (w[i - 1] == "off" and w[i] == "of" and w[i + 1] in ("it", "that"))
        elif (w[i] == "on" and w[i + 1] == "top") or (w[i] == "to" and w[i + 1] == "spare"):
            i += 2
        if w[i] in ("on", "at") and w[i + 1] in ("each", "either", "every", "both"):
            i += 1
        if w[i] in ("each", "either", "every", "both") and w[i + 1] in ("side", "end", "sides", "ends", "edge"):
            i += 2
        elif w[i] in ("on", "included") and w[i - 1].endswith("s") and w[i + 1] in (".", ",", ""):
            i += 1
        return i

    def _postfix(self, out: Sum) -> bool:
        """ "... twice over", "... doubled", "... and halve it", "... and half of it again", "... in half"."""
        w = self.a.w
        k = out.end
        if w[k] == ",":
            k += 1
        while w[k] in ("and", "then", "you", "i", "just", "taken", "simply", "all") and k < out.end + 5:
            k += 1
        value: Fraction | None = None
        end = k
        if w[k] in ("twice", "thrice"):
            value, end = FACTORS[w[k]], k + 1
            if w[k + 1] not in ("over", ",", ".", "", "and", "plus", "for", "then", "so", "round", "around") and (
                w[k + 1] in DETERMINERS or w[k + 1] in ("as", "what")
            ):
                return False
            if w[end] == "over":
                end += 1
        elif w[k] in ("doubled", "halved", "tripled", "quartered", "trebled"):
            value = {
                "doubled": Fraction(2),
                "tripled": Fraction(3),
                "trebled": Fraction(3),
                "halved": Fraction(1, 2),
                "quartered": Fraction(1, 4),
            }[w[k]]
            end = k + 1
        elif w[k] in ("halve", "double", "triple", "quarter") and w[k + 1] in ("it", "that", "the") and k > out.end:
            value = {"halve": Fraction(1, 2), "double": Fraction(2), "triple": Fraction(3), "quarter": Fraction(1, 4)}[
                w[k]
            ]
            end = k + 3 if w[k + 1] == "the" else k + 2
        elif (
            w[k] in ("cut", "split", "divide", "fold")
            and w[k + 1] in ("it", "that")
            and w[k + 2] == "in"
            and w[k + 3] == "half"
            and k > out.end
            and w[k] != "fold"
        ):
            value, end = Fraction(1, 2), k + 4
        elif (
            (n := self.number(k))
            and w[n.end] == "times"
            and (w[n.end + 1] in ("over", ".", ",", "", "for", "and", "plus", "so"))
        ):
            value, end = n.value, n.end + 1 + (w[n.end + 1] == "over")
        else:
            value, end = self._again_of_it(k, out.end)
        if value is None:
            return False
        if out.last and k == out.end and w[k] in FACTORS:
            out.formula = f"{out.formula[: -len(out.last)]}{shown(value)} x {out.last}"
            out.joined += 1
        else:
            self._scale(out, value)
        out.end, out.last = end, ""
        return True

    def _again_of_it(self, k: int, begin: int) -> tuple[Fraction | None, int]:
        """ "and half of it again", "and a third of that", "and half as much again", "and half again"."""
        w = self.a.w
        if k == begin or w[k - 1] not in ("and", "then", "plus"):
            return None, k
        if w[k] == "the" and w[k + 1] == "same" and w[k + 2] == "again":
            return Fraction(2), k + 3
        if w[k] == "half":
            share, end = Fraction(1, 2), k + 1
        elif (n := self.number(k)) and n.fraction and n.value < 1:
            share, end = n.value, n.end
        else:
            return None, k
        if w[end] == "of" and w[end + 1] in ("it", "that", "them", "this"):
            end += 2
            return 1 + share, end + (w[end] == "again")
        if w[end] == "again":
            return 1 + share, end + 1
        if w[end] == "as" and "again" in w[end + 1 : end + 4]:
            return 1 + share, w.index("again", end) + 1
        return None, k

    def _scale(self, out: Sum, value: Fraction) -> None:
        inner = f"({out.formula})" if " + " in out.formula or " - " in out.formula else out.formula
        if value < 1:
            out.formula = f"{inner} / {value.denominator}" if value.numerator == 1 else f"{inner} x {shown(value)}"
        else:
            out.formula = f"{shown(value)} x {inner}"
        out.joined += 1


__all__ = ["Terms"]
