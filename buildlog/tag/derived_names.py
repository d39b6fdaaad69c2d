"""Named quantities of a sum: "the width of the handles", "nape to ankle", "once round the frame", "how wide the bowl is"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildlog.tag.amounts.atoms import Atoms
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import Number, number, starts_number
from buildlog.tag.amounts.what import singular
from buildlog.tag.derived_words import (
    AS_ADJECTIVES,
    BIGGER,
    DETERMINERS,
    DIMENSIONS,
    MEASURE_WORDS,
    STOP,
    TRACING,
    Term,
)

if TYPE_CHECKING:
    from spacy.tokens import Doc

_BETWEEN = frozenset("gap space span opening room width length".split())
_CUTTING = frozenset("cut trim make tear rip saw plane sand file fold sew mark trimmed made sawn".split())
_NO_NAMES = frozenset("nothing everything something none got been gone going one's ones".split())
_ALONG = frozenset("down up over right across through along straight round around under past back and".split())
_TRAIL = frozenset(
    "some say call really again please right each roughly there here then anyway obviously normally apart".split()
)
_TAPES = frozenset("tape string ruler rule ribbon stick callipers calipers thread".split())
_OPERATORS = frozenset("plus minus less times divided".split())
_ENDING = frozenset("'ll will is 's are 're going gonna to be end up finish finished want wants need needs it".split())
_ASIDE_FROM = frozenset("every each mine hers yours ours".split())


class Names:
    """Reads names of quantities in one document."""

    def __init__(self, doc: Doc, a: Atoms) -> None:
        self.a = a
        self.tags = [t.tag_ for t in doc]
        self._numbers: dict[int, Number | None] = {}
        # Atoms that the trained reader is sure stand where an amount is worked out: there plainer wording will do.
        self.vouched: frozenset[int] = frozenset()

    def joint(self, i: int) -> tuple[str, int] | None:
        """The operator at ``i`` and where it ends: names stop before it."""
        raise NotImplementedError

    def _soft_joint(self, i: int) -> tuple[tuple[str, int] | None, bool]:
        """The operator at ``i`` that could be plain talk, and whether it is one."""
        raise NotImplementedError

    def number(self, i: int) -> Number | None:
        """The number that begins at atom ``i``, read once however many rules ask."""
        if i not in self._numbers:
            self._numbers[i] = number(self.a, i)
        return self._numbers[i]

    def tag(self, i: int) -> str:
        token = self.a.tok[i]
        return self.tags[token] if token < len(self.tags) else ""

    def noun(self, i: int) -> bool:
        text = self.a.w[i]
        if not text.isalpha() or text in STOP or i >= self.a.n:
            return False
        tag = self.tag(i)
        if i in self.vouched and tag.startswith("JJ") and self.a.w[i + 1] in _OPERATORS:
            return True  # "so top plus eight inches"
        return not tag or tag.startswith("NN")

    def phrase_word(self, i: int) -> bool:
        """Whether atom ``i`` can stand in a noun phrase."""
        text = self.a.w[i]
        return text.isalpha() and text not in STOP | DETERMINERS and text not in ("of", "a", "an") and i < self.a.n

    def name(self, i: int) -> Term | None:
        """A named quantity at ``i``: "the width of the handles" is "handle width", "your neck measurement" "neck"."""
        w = self.a.w
        if w[i] in ("both", "each") and w[i + 1] in ("way", "ways", "sides", "ends", "times"):
            return None
        if w[i] == "once" and w[i + 1] in ("round", "around"):
            i += 1
        if w[i] in ("round", "around") and w[i - 1] in TRACING:
            return None
        if w[i] in ("round", "around") or (w[i] == "all" and "round" in (w[i + 1], w[i + 3])):
            return self._without_tape(self._round(i))
        if w[i] == "from":
            return self._path(i + 1, i)
        if w[i] in ("how", "however", "what", "whatever") and (sized := self._sized_clause(i)):
            return sized
        if w[i] in ("what", "whatever", "how", "however"):
            return self._clause(i)
        if w[i] == "difference" or (w[i] in DETERMINERS and w[i + 1] == "difference"):
            return self._difference(i)
        if (
            w[i] in ("you", "i", "we")
            and w[i + 1] in ("want", "need")
            and w[i + 2] in ("it", "them")
            and w[i - 1] == "as"
        ):
            # "twice as wide as you want it to end up"
            of = AS_ADJECTIVES.get(w[i - 2])
            k = i + 3
            while w[k] in ("to", "end", "up", "be", "finished", "finish") and k < i + 7:
                k += 1
            return Term(i, k, f"finished {of}", f"finished {of}") if of else None
        if (
            w[i] in ("you", "i", "we")
            and w[i + 1] in ("want", "need")
            and w[i - 1] == "than"
            and (of := BIGGER.get(w[i - 2], ("", ""))[1])
        ):
            # "a third taller than you want it to finish"
            k = i + 2
            while w[k] in ("it", "them", "to", "end", "up", "be", "finished", "finish", "stand") and k < i + 7:
                k += 1
            return Term(i, k, f"finished {of}", f"finished {of}")
        if (
            w[i] in ("it", "they", "i", "you", "he", "she")
            and w[i + 1] in ("'s", "is", "are", "'re", "am", "'m")
            and w[i + 2] in AS_ADJECTIVES
        ):
            # "half as long again as it's wide"
            return Term(i, i + 3, AS_ADJECTIVES[w[i + 2]], AS_ADJECTIVES[w[i + 2]])
        if i in self.vouched and w[i - 1] == "as" and (ended := self._as_it_ends(i)):
            return ended
        found = self._without_tape(self.plain(i))
        if found and found.name and w[found.end] == "in" and w[found.end + 1] in lexis().units:
            found = Term(i, found.end + 2, found.text, found.name)  # "the head in inches, times five"
        if (
            found
            and found.name
            and w[found.end] in ("around", "round")
            and (w[found.end + 1] in ("and", "plus", ",", ".", ""))
        ):
            # "I go the core around and then half an inch"
            return Term(i, found.end + 1, f"round the {found.name}", f"round the {found.name}")
        if (
            found
            and found.name
            and w[found.end] in ("in", "per", "on", "to")
            and w[found.end + 1] in ("one", "each", "every", "a", "an")
            and (per := self.plain(found.end + 2))
            and per.name
            and self.noun(found.end + 2)
            and self.joint(per.end)
        ):
            # "the stitches in one repeat"
            name = f"{found.name} per {per.name}"
            return Term(i, per.end, name, name)
        if (
            found
            and found.name
            and w[found.end] == "at"
            and w[found.end + 1] == "the"
            and (where := self.plain(found.end + 1))
            and where.name
            and (then := self.joint(where.end))
            and then[0] in "+-"
            and found.name not in DIMENSIONS
        ):
            # "your forearm at the fat part plus two inches"
            return Term(i, where.end, found.text, found.name)
        if (
            found
            and found.name
            and w[i - 1] != "than"
            and w[found.end : found.end + 3] == ["all", "the", "way"]
            and w[found.end + 3] in ("round", "around")
        ):
            return Term(i, found.end + 4, f"round the {found.name}", f"round the {found.name}")
        if found and found.name and not found.factor:
            end = self._relative(found.end) if found.end not in self.vouched else self._said_of(found.end)
            if end > found.end:
                return Term(i, end, found.text, found.name)
            if (
                w[found.end] in ("in", "at", "across", "round", "around", "over")
                and w[found.end + 1] in DETERMINERS
                and found.name in DIMENSIONS
            ):
                place = self.plain(found.end + 1)
                if place and place.name and (self.joint(place.end) or self._soft_joint(place.end)[0]):
                    # "the width across the back plus ..."
                    name = f"{place.name} {found.name}"
                    return Term(i, place.end, name, name)
        if found and w[found.end] == "to" and found.name and not found.factor and w[i - 1] not in _CUTTING:
            path = self._path(i, i)
            if path and w[path.end] in ("plus", "minus", "less", ",", "and", "doubled", "halved", "divided", "."):
                return path
        return found

    def _without_tape(self, found: Term | None) -> Term | None:
        """ "round the armhole with the tape": what one measures with is not part of what is measured."""
        w = self.a.w
        if found and w[found.end] == "with" and w[found.end + 1] in DETERMINERS | {"a"} and w[found.end + 2] in _TAPES:
            return Term(found.start, found.end + 3 + (w[found.end + 3] == "measure"), found.text, found.name)
        return found

    def plain(self, i: int) -> Term | None:
        w = self.a.w
        k = i
        if w[k] == "all" and w[k + 1] in DETERMINERS:
            k += 1
        if w[k] == "both" and k in self.vouched and self.noun(k + 1) and singular(w[k + 1]) != w[k + 1]:
            one = singular(w[k + 1])
            return Term(i, k + 2, f"2 x {one}", one)
        if w[k] in ("both", "whatever", "each") and w[k + 1] in DETERMINERS:
            k += 1
        if w[k] in DETERMINERS:
            k += 1
        if (
            w[k] == "one"
            and k > i
            and w[k + 1] in ("before", "above", "below", "inside", "under", "over", "outside", "next", "in", "behind")
            and (w[k + 1] != "in" or w[k + 2] == "front")
        ):
            end = k + 3 if w[k + 2] in ("it", "that", "front") else k + 2
            name = "one in front" if w[k + 1] == "in" else f"one {w[k + 1]}"
            return Term(i, end, name, name)
        if (
            k == i
            and not self.noun(k)
            and not (
                (self.tag(k).startswith("JJ") or (k in self.vouched and self.tag(k) == "VBN")) and self.noun(k + 1)
            )
        ):
            return None
        sized = k > i and w[k] in AS_ADJECTIVES and (self.noun(k + 1) or w[k + 1] in ("one", "ones"))
        if k > i and not sized and not self.phrase_word(k):
            # "that less two inches"
            return Term(i, k, w[k - 1], w[k - 1]) if w[k - 1] in ("that", "this") else None
        words: list[str] = []
        if sized:  # "the long side"
            words, k = [w[k]], k + 1
            if w[k] in ("one", "ones"):
                return Term(i, k + 1, f"{words[0]} one", f"{words[0]} one")
        while k < i + 8 and self.phrase_word(k) and not (words and starts_number(w[k])):
            tag = self.tag(k)
            if words and w[k] in _ASIDE_FROM:
                break
            if (
                words
                and tag.startswith("VB")
                and tag != "VBG"
                and w[k] not in DIMENSIONS
                and w[k - 1] not in DETERMINERS
            ):
                break
            if words and (tag in ("IN", "MD", "PRP", "WRB", "WDT", "CC") and w[k] not in DIMENSIONS):
                break
            words.append(w[k])
            k += 1
            if w[k] == "-" and self.a.glued[k] and self.a.glued[k + 1] and w[k + 1].isalpha():
                while w[k] == "-" and self.a.glued[k + 1] and w[k + 1].isalpha():
                    words[-1] += f"-{w[k + 1]}"
                    k += 2
            if w[k] in ("'s", "'", "s'") and w[k + 1].isalpha() and self.noun(k + 1):
                k += 1
        if not words or all(starts_number(x) for x in words) or (len(words) == 1 and len(words[0]) == 1):
            return None
        if len(words) == 1 and (words[0] in _NO_NAMES or (k - 1 == i and words[0] in lexis().units)):
            return None
        while len(words) > 1 and words[-1] in _TRAIL:
            words.pop()
            k -= 1
        if w[k] == "of" and (w[k + 1] in DETERMINERS or w[k + 1] in ("a", "an") or self.noun(k + 1)):
            inner = self.plain(k + 2 if w[k + 1] in ("a", "an") else k + 1)
            if inner and inner.name:
                if self.tag(k - 1) == "JJS":
                    name = f"{words[-1]} {singular(inner.name)}"
                    return Term(i, inner.end, name, name)
                head = [x for x in words if x not in MEASURE_WORDS]
                name = " ".join([singular(inner.name), *head]) if head else inner.name
                return Term(i, inner.end, name, name)
        if w[k] in ("one", "ones") and not self.noun(k + 1) and k > i:
            words.append(w[k])  # "the top one"
            k += 1
        if words[-1] in _BETWEEN and w[k] == "between":
            inner = self.plain(k + 1)
            if inner and inner.name:
                both = self.plain(inner.end + 1) if w[inner.end] == "and" and w[inner.end + 1] in DETERMINERS else None
                name = f"{words[-1]} between {inner.name}" + (f" and {both.name}" if both and both.name else "")
                return Term(i, both.end if both and both.name else inner.end, name, name)
        if words[-1] in ("distance", "measurement", "measure", "way", "length"):
            if w[k] in ("around", "round") or (w[k] == "all" and w[k + 1] in ("the", "round", "around")):
                inner = self._round(k)
                if inner:
                    return Term(i, inner.end, inner.text, inner.name)
            long = words[-1] in ("length", "measurement") and w[k] == "from"
            if w[k] in ("from", "between") and (words[-1] == "distance" or long):
                path = self._path(k + 1, i)
                if path:
                    return path
                inner = self.plain(k + 1) if not long else None
                if inner and inner.name:
                    name = f"distance {w[k]} {inner.name}"
                    return Term(i, inner.end, name, name)
        if w[k] in ("both", "each", "every") and w[k + 1] in ("ways", "way"):
            k += 2
        kept = [x for x in words if x not in MEASURE_WORDS and x != "finished"] or words
        name = " ".join(kept)
        return Term(i, k, name, name)

    def _round(self, i: int) -> Term | None:
        """ "round the frame", "all the way round" (what is not said: "perimeter")."""
        w = self.a.w
        k = i
        while w[k] in ("all", "the", "way") and k < i + 3:
            k += 1
        if w[k] not in ("round", "around"):
            return None
        way = k > i
        k += 1
        if w[k] in DETERMINERS and (inner := self.plain(k)) and inner.name and inner.name not in ("that", "this"):
            return Term(i, inner.end, f"round the {inner.name}", f"round the {inner.name}")
        return Term(i, k, "perimeter", "perimeter") if way else None

    def _path(self, i: int, start: int) -> Term | None:
        """ "nape down to the ankle", "shoulder to knuckle": one quantity."""
        w = self.a.w
        one = w[i] == "one"
        first = self.plain(i + one)
        if first is None or first.name is None:
            return None
        k = first.end
        while k < first.end + 12 and (w[k] in _ALONG or (w[k] in DETERMINERS and w[k - 1] in _ALONG)):
            k += 1
            if w[k - 1] in ("over", "round", "around", "under", "through", "past", "across") and w[k] in DETERMINERS:
                # "over the shoulder", "round the back": by the way
                by = self.plain(k)
                k = by.end if by and by.name else k
        if w[k] not in ("to", "and"):
            return None
        k += 1
        if one and w[k] == "the" and w[k + 1] == "other":
            k += 3 if w[k + 2] in ("one", "end", "side", *first.name.split()[-1:]) else 2
            return Term(start, k, f"{first.name} to {first.name}", f"{first.name} to {first.name}")
        second = self.plain(k)
        if second is None and self.tag(k).startswith("VB") and self.phrase_word(k):
            second = Term(k, k + 1, w[k], w[k])  # "shoulder to knee", read as a verb
        if second is None or second.name is None:
            return None
        name = f"{first.name} to {second.name}"
        return Term(start, second.end, name, name)

    def _clause(self, i: int) -> Term | None:
        """ "what you need", "whatever your arm wants", "how many you have", "what's going in it"."""
        w = self.a.w
        k = i + 1
        if w[i] in ("what", "whatever") and w[k] in ("is", "'s", "was") and w[k + 1] == "left":
            end = k + 2 + (w[k + 2] == "over" and w[k + 3] not in DETERMINERS)
            return Term(i, end, "what is left", "what is left")
        if (
            w[i] == "what"
            and w[k] == "'s"
            and self.tag(k + 1) == "VBG"
            and w[k + 2] in ("in", "inside", "into", "on", "under")
        ):
            end = k + 3 + (w[k + 3] in ("it", "there", "here"))
            name = " ".join(["what", "is", *w[k + 1 : end]])
            return Term(i, end, name, name)
        while (
            k < i + 8 and w[k] and (w[k].isalpha() or w[k] == "'") and not self.joint(k) and w[k] not in ("is", "are")
        ):
            k += 1
        if k < i + 2 or k >= i + 8:
            return None
        name = " ".join(w[i:k])
        return Term(i, k, name, name) if "'" not in name and w[k - 1] not in ("it", "they", "that") else None

    def _relative(self, i: int) -> int:
        """Past "you want", "you're after", "we've got" after a name."""
        w = self.a.w
        if w[i] not in ("you", "i", "we"):
            return i
        k = i + 1 + (w[i + 1] in ("'re", "'ve", "'d", "'m"))
        if w[k] not in ("want", "need", "have", "after", "got", "had", "wanted", "needed", "using", "like"):
            return i
        k += 1
        return k if not w[k].isalpha() or self.joint(k) or w[k] in ("and", "so", "by") else i

    def _as_it_ends(self, i: int) -> Term | None:
        """ "twice as wide as it'll end up", "as long as it's going to be": the finished size."""
        w = self.a.w
        of = AS_ADJECTIVES.get(w[i - 2])
        if of is None or w[i] not in ("it", "they", "you"):
            return None
        k = i + 1
        while k < i + 8 and w[k] in _ENDING:
            k += 1
        if k == i + 1 or (k == i + 2 and w[k - 1] in ("is", "'s")):
            return None
        return Term(i, k, f"finished {of}", f"finished {of}")

    def _said_of(self, i: int) -> int:
        """Past a clause that says which is meant: "the water the jar holds", "the scarf you're after", where a sum goes on."""
        w = self.a.w
        end = self._relative(i)
        if end > i or not (w[i] in ("you", "i", "we", "it", "they", "that") or w[i] in DETERMINERS):
            return end
        for k in range(i + 1, i + 7):
            if w[k] in (".", "?", "!", "and", "is", "are", "'s"):
                return i
            if self.joint(k) and w[k] not in ("take", "add", "short"):
                return k if any(self.tag(m).startswith("VB") for m in range(i + 1, k)) else i
        return i

    def _sized_clause(self, i: int) -> Term | None:
        """ "how wide the bowl is" is "bowl width", "how thick you want it" "thickness", "what it is at the neck" "neck"."""
        w = self.a.w
        if w[i] in ("what", "whatever"):
            if w[i + 1] not in ("it", "they") or w[i + 2] not in ("is", "'s", "was", "are"):
                return None
            if w[i + 3] not in ("at", "in", "on", "across", "by") or w[i + 4] not in DETERMINERS:
                return None
            place = self.plain(i + 4)
            return Term(i, place.end, place.name, place.name) if place and place.name else None
        if w[i + 1] not in AS_ADJECTIVES or AS_ADJECTIVES[w[i + 1]] == "amount":
            return None
        of, k = AS_ADJECTIVES[w[i + 1]], i + 2
        thing = self.plain(k) if w[k] in DETERMINERS else None
        if thing and thing.name and w[thing.end] in ("is", "are", "'s", "was", "comes", "needs", "wants"):
            name = f"{singular(thing.name)} {of}"
            return Term(i, thing.end + 1, name, name)
        if w[k] in ("you", "i", "we") and w[k + 1] in ("want", "need", "like", "wanted", "'d", "'re"):
            k += 2
            while k < i + 8 and w[k] in ("it", "them", "that", "like", "after", "to", "be", "want"):
                k += 1
            return Term(i, k, of, of)
        k += w[k] == "." and w[k + 1] in ("it", "they", "he", "she") and w[k + 2] in ("is", "are")  # misheard ends
        if w[k] in ("it", "they", "he", "she", "you") and w[k + 1] in ("is", "'s", "are", "'re", "was", "be"):
            return Term(i, k + 2, of, of)
        return None

    def _difference(self, i: int) -> Term | None:
        w = self.a.w
        k = i
        while w[k] != "difference":
            k += 1
        if w[k + 1] != "between":
            return None
        first = self.plain(k + 2)
        if first is None or w[first.end] != "and":
            return None
        second = self.plain(first.end + 1)
        if second is None or not first.name or not second.name:
            return None
        return Term(i, second.end, f"{first.name} - {second.name}", first.name + "\t" + second.name, True)


__all__ = ["Names"]
