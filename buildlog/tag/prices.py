"""What a price is said of: the thing bought, found from the words around the sum of money.

"A twelve dollar awl" names it after; "I paid forty for the oak" after "for"; "the snaps were six pounds" before the verb;
"those are three cents each" by a pronoun that looks back. A noun in between that is no ware (a shop, a bag, a day) is
passed over. Where the words name something that nobody can buy, the price is left without a thing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from buildlog.tag.amounts.amount import Amount
from buildlog.tag.lexicon import Lexicon
from buildlog.tag.mentions import Mention
from buildlog.tag.view import View

_COST = frozenset("be cost run set come go sell retail".split())
_BUY = frozenset("buy get pay pick order find have score snag grab spend charge want ask part drop fork shell".split())
_LOOKING_BACK = frozenset("it that this which one they those these them both ones".split())
_MANY = frozenset(["they", "those", "these", "them", "ones", "both"])
_BESIDE = frozenset("from in at on with by under over near off inside behind".split())
_PLACING = frozenset("from at near under inside behind into down".split())
_OF_A_KIND = frozenset("one ones color colour shade kind sort type".split())  # after a word that only says which
_VERB_REACH = 12  # tokens between a verb and its sum; farther apart they belong to other thoughts
_BACK = 2  # sentences that a pronoun, or a sum on its own, looks back over
_NEAR = 10  # tokens between a thing and a sum set beside it
# What anybody would pay, or what all of it came to.
_NOT_PAID = re.compile(
    r"\b(?:you|they|people) (?:could |would |can |will |might |'d |'ll |'re )?(?:pay|be looking|looking|spend|be paying|be charged|charge|want)\b|"
    r"\binto it\b|\ball (?:in|told)\b|\baltogether\b|\bthe whole (?:thing|lot|job|build)\b|\bin total\b|\ball of (?:it|that|this)\b|^so that (?:was|is|'s)\b"
)
_EMPTY = frozenset(
    "pieces ones sheets rolls bit part thing stuff one piece lot sheet roll pack bag box".split()
)  # "the dear bit", "a bag of ten"
_WARE = ("material", "tool", "pattern", "reference")
_SURE = 0.8  # of a thing that a price is said of
_KNOWN = 0.5


@dataclass(slots=True)
class _Shop:
    """What is needed to look for the thing: the words, the mentions by token, the lexicon."""

    v: View
    lexicon: Lexicon
    named: dict[int, Mention]

    def ware(self, i: int) -> str | None:
        """The kind of thing that a noun outside all mentions names, where it can be bought and is known well."""
        v = self.v
        if v.pos[i] not in ("NOUN", "PROPN") or v.low[i] in _EMPTY:
            return None
        if i + 1 < len(v.pos) and v.pos[i + 1] in ("NOUN", "PROPN") and v.dep[i] in ("compound", "nmod"):
            return None  # "the timber yard", "the home brew place"
        first = v.sents[v.sent_of[i]][0]
        if v.tag[i] not in ("NNS", "NNPS") and v.left[i] == i and i != first:
            return None  # "it's mustard", "in plum": a bare word may be a colour or a stuff of something else
        mods = [v.lemma[k] for k in range(v.left[i], i) if v.pos[k] in ("NOUN", "PROPN", "ADJ")]
        kind, sure = self.lexicon.classify(v.lemma[i], mods)
        return kind if kind in _WARE[:2] and sure >= _KNOWN else None

    def colour(self, m: Mention) -> bool:
        """Whether a name only says which colour a thing has: "a dye in mahogany", "a mustard one", "kind of a plum colour"."""
        v = self.v
        if m.end < len(v.low) and v.low[m.end] in _OF_A_KIND:
            return True
        near = range(max(v.sents[v.sent_of[m.start]][0], m.start - 6), m.start - 1)
        return (
            m.start > 0 and v.low[m.start - 1] == "in" and m.end - m.start == 1 and any(i in self.named for i in near)
        )

    def thing(self, i: int) -> int | None:
        """Token ``i``, or the last token of the mention it stands in, where it names a thing to buy."""
        m = self.named.get(i)
        if m is not None:
            return m.head if self.v.low[m.head] not in _EMPTY and not self.colour(m) else None
        return i if self.ware(i) else None


def with_priced(v: View, mentions: list[Mention], lexicon: Lexicon, amounts: list[Amount]) -> dict[int, Mention]:
    """The mention that every price is said of, by the number of its amount.

    What is bought and was no mention so far becomes one: it is put into ``mentions``, in the order of the words.
    """
    shop = _Shop(v, lexicon, {i: m for m in mentions if m.kind != "technique" for i in range(m.start, m.end)})
    taken = {i for a in amounts if a.kind == "price" for i in range(a.start, a.end)}
    out: dict[int, Mention] = {}
    for n, a in enumerate(amounts):
        if a.kind != "price":
            continue
        at = _thing(shop, a, taken)
        if at is None:
            continue
        m = shop.named.get(at)
        if m is None:
            kind = shop.ware(at)
            start = at
            while start > v.left[at] and v.pos[start - 1] in ("NOUN", "PROPN", "ADJ") and start - 1 not in taken:
                start -= 1
            m = Mention(start, at + 1, kind, (0.85, 0.06, 0.03, 0.06), _SURE)  # type: ignore[arg-type]
            mentions.append(m)
            shop.named.update(dict.fromkeys(range(start, at + 1), m))
        m.sure = max(m.sure, _SURE)
        out[n] = m
    mentions.sort(key=lambda m: m.start)
    return out


def _thing(shop: _Shop, a: Amount, taken: set[int]) -> int | None:
    v = shop.v
    first, last = v.sents[v.sent_of[a.start]]
    if _NOT_PAID.search(" ".join(v.low[max(first, a.start - _VERB_REACH) : a.start]).replace("’", "'")):
        return None
    after = _modified(shop, a, last)
    if after is not None:
        return after
    verb = _verb(v, a, first)
    if verb is not None and v.lemma[verb] in _BUY:
        bought = _for_what(shop, a, last)
        if bought is not None:
            return bought
        return _back(shop, a.start - 1, taken)
    if verb is not None:
        return _subject(shop, verb, first, taken)
    if _strange(shop, a.start - 1, first):
        return _for_what(shop, a, last)
    before = _back(shop, a.start - 1, taken)
    return before if before is not None else _for_what(shop, a, last)


def _strange(shop: _Shop, j: int, first: int) -> bool:
    """Whether the noun last said before token ``j`` in the sentence is a thing that is not listed ("a kit for that, ten pounds")."""
    v = shop.v
    lo = max(first, j - _NEAR)
    there = next((k for k in range(lo, j) if v.low[k] == "there" and v.lemma[k + 1] in ("be", "'s")), None)
    if there is None:
        there = next((k for k in range(lo, j) if v.low[k] in ("a", "an") and v.low[k - 1] in ("and", ",")), None)
    nouns = [k for k in range(there if there is not None else j, j + 1) if v.pos[k] in ("NOUN", "PROPN")]
    return (
        bool(nouns)
        and all(k not in shop.named for k in nouns)
        and _rival(shop, nouns[0])
        and shop.lexicon.classify(v.lemma[nouns[0]])[0] != "count"
    )


def _modified(shop: _Shop, a: Amount, last: int) -> int | None:
    """The noun that the sum stands before as its measure: "a twelve dollar awl", "my three-euro brush"."""
    v = shop.v
    if (
        a.per is not None
        or a.end >= last
        or v.low[a.end - 1].endswith("s")
        or v.pos[a.end] not in ("NOUN", "PROPN", "ADJ")
    ):
        return None
    end = a.end
    while end < last and v.pos[end] in ("NOUN", "PROPN", "ADJ") and end < a.end + 4:
        end += 1
    return shop.thing(end - 1)


def _for_what(shop: _Shop, a: Amount, last: int) -> int | None:
    """The thing after the sum: "forty dollars for the oak", "ten euros on rivets", "six dollars' worth of snaps"."""
    v = shop.v
    k = a.end
    if k < last and v.low[k] not in ("for", "on", "of", "worth", "'", "a", "per"):
        return None
    stop = min(last, k + 7)
    for i in range(k, stop):
        if v.pos[i] in ("VERB", "AUX", "PUNCT", "ADP", "PRON") and i > k:
            return None
        if (
            i + 1 < last
            and v.pos[i] in ("NOUN", "PROPN", "ADJ")
            and v.dep[i] in ("compound", "amod")
            and i not in shop.named
        ):
            continue
        found = shop.thing(i)
        if found is not None:
            return found
    return None


def _verb(v: View, a: Amount, first: int) -> int | None:
    """The verb of costing or buying that the sum is said with: the nearest before it in its sentence."""
    for k in range(a.start - 1, max(first, a.start - _VERB_REACH) - 1, -1):
        if v.pos[k] in ("VERB", "AUX") or v.low[k] in ("'s", "'re"):
            lemma = v.lemma[k] if v.low[k] not in ("'s", "'re") else "be"
            if lemma in _COST and all(v.pos[j] not in ("NOUN", "PROPN") for j in range(k + 1, a.start)):
                return k
            if lemma in _BUY:
                return k
            if v.pos[k] == "VERB" and v.tag[k] != "VBG":
                return None
    return None


def _subject(shop: _Shop, verb: int, first: int, taken: set[int]) -> int | None:
    """The thing before a verb of costing; by a pronoun, the last one named that it can mean."""
    v = shop.v
    j = verb - 1
    while j >= first and v.pos[j] in ("AUX", "ADV", "PART", "INTJ", "PUNCT") and j not in shop.named:
        j -= 1
    if j < first or v.low[j] in _LOOKING_BACK or v.pos[j] == "PRON":
        return _back(shop, j if j >= first else first - 1, taken, many=j >= first and v.low[j] in _MANY)
    for i in range(j, first - 1, -1):
        if v.pos[i] in ("VERB", "AUX") and i not in shop.named:
            break
        found = shop.thing(i)
        if found is not None and not _beside(v, i, first):
            return found
    return None if _rival(shop, j) else _back(shop, j, taken)


def _rival(shop: _Shop, i: int) -> bool:
    """Whether the noun at ``i`` is a thing of its own, known or not, rather than a shop, a bag or a sum."""
    v = shop.v
    if v.pos[i] not in ("NOUN", "PROPN") or v.low[i] in _EMPTY:
        return False
    return shop.lexicon.classify(v.lemma[i])[0] in (None, "count", "piece", "product")


def _beside(v: View, i: int, first: int, words: frozenset[str] = _BESIDE) -> bool:
    """Whether the noun at ``i`` only says where ("the screws from the shop", "the hinge on the box")."""
    k = i - 1
    while k >= first and v.pos[k] in ("DET", "ADJ", "NOUN", "PROPN", "NUM") and k > i - 5:
        k -= 1
    return k > first and v.low[k] in words and any(v.pos[j] in ("NOUN", "PROPN") for j in range(first, k))


def _back(shop: _Shop, j: int, taken: set[int], *, many: bool = False) -> int | None:
    """The last thing named at ``j`` or before, in this sentence or the two before it; of plurals first if ``many``.

    A noun that no mention names counts only in the sentence of ``j``, and where that names nothing else.
    """
    v = shop.v
    if j < 0:
        return None
    first: int | None = None
    own: int | None = None
    here = v.sents[v.sent_of[j]][0]
    for found in _things_back(shop, j, taken):
        if found < here and own is not None:
            return own
        if found not in shop.named:
            own = found if own is None and found >= here else own
            continue
        first = found if first is None else first
        if not many or v.tag[found] in ("NNS", "NNPS") or v.low[found].endswith("s"):
            return found
        if found < here:
            break
    return first if first is not None else own


def _things_back(shop: _Shop, j: int, taken: set[int]) -> Iterator[int]:
    v = shop.v
    lo = v.sents[max(0, v.sent_of[j] - _BACK)][0]
    i = j
    while i >= lo:
        found = shop.thing(i) if i not in taken or i in shop.named else None
        if found is not None and not _beside(v, i, v.sents[v.sent_of[i]][0], _PLACING):
            yield found
        m = shop.named.get(i)
        i = m.start - 1 if m is not None else i - 1
