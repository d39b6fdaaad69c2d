"""Items: what several mentions name, gathered into one line of the list.

"the binding", "my bias tape", "that cloth": one material. Mentions join an item when their head noun is the same and
neither contradicts the other's telling words, when a general word ("fabric", "glue") can only mean the item spoken of
last, or when the maker said the other name aloud. The item's status is what its mentions together say, the latest
counting most.

Sets ``doc._.items``: a list of :class:`Gathered` in order of first mention.
"""

from __future__ import annotations

import math
import re
from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from buildlog.tag.kinds import with_kinds
from buildlog.tag.lexicon import Lexicon, lexicon_of, singular
from buildlog.tag.mentions import CONSIDERED, MENTIONED, SUBSTITUTE, USED, Kind, Mention
from buildlog.tag.pairs import groups_of, pair_up
from buildlog.tag.prices import with_priced
from buildlog.tag.sources import set_sources
from buildlog.tag.statuses import with_statuses
from buildlog.tag.view import View, view_of

if TYPE_CHECKING:
    from spacy.tokens import Doc

STATUSES = ("used", "considered", "substitute", "mentioned")
_SMALL = frozenset(
    "a an the this that these those my our your his her of for in on with and or some any few other another same more own "
    "old new big small little nice good lovely bit piece pieces bits scrap scraps offcut length lengths pair spare".split()
)


@dataclass(slots=True)
class Gathered:
    """One item. ``key`` are the telling words in singular, head last; ``words`` those of all mentions; ``amounts``
    indices into ``doc._.amounts``."""

    kind: Kind
    name: str
    key: list[str]
    mentions: list[Mention]
    words: set[str] = field(default_factory=set)
    aliases: list[str] = field(default_factory=list)
    status: str = "used"
    sure: float = 1.0
    source: str | None = None
    price: int | None = None
    amounts: list[int] = field(default_factory=list)
    instead_of: int | None = None
    size: str | None = None
    unavailable: bool = False
    search_words: str | None = None
    full_name: str | None = None

    @property
    def first(self) -> int:
        """Token where it is named first."""
        return self.mentions[0].start

    @property
    def last(self) -> int:
        """Token where it was named last."""
        return self.mentions[-1].start


_DIGITS = {
    "one": "1", "two": "2", "three": "3", "four": "4", "fours": "4", "4s": "4", "five": "5", "six": "6", "sixes": "6", "6s": "6",
    "eight": "8", "eights": "8", "8s": "8", "ten": "10", "twelve": "12", "fourteen": "14", "sixteen": "16", "eighty": "80", "ninety": "90",
}  # fmt: skip


_CLITIC = re.compile(r"(?<=\w)['’](?:ll|d|ve|re)$", re.IGNORECASE)  # of a word the tokenizer left whole: "dividers'll"


def key_of(v: View, m: Mention) -> list[str]:
    """The mention's telling words, in singular and lower case, the head last."""
    words = []
    for i in range(m.start, m.end):
        w = v.low[i]
        if w in _SMALL or not w[0].isalnum():
            continue
        w = _CLITIC.sub("", w)
        words.append(_DIGITS.get(w) or singular(w))
    if len(words) >= 3 and words[1] in ("by", "x") and words[0].isdigit() and words[2].isdigit():
        words = [f"{words[0]}x{words[2]}", *words[3:]]  # "two by fours", "2 by 4s", "2x4"
    if not words:
        words = [singular(v.low[m.end - 1])]
    return words


def gather(
    v: View, mentions: list[Mention], lexicon: Lexicon, aliases: list[tuple[int, str]], *, doubting: bool = False
) -> list[Gathered]:
    """Gather ``mentions`` (techniques left out) into items. ``aliases`` are (token, other name said aloud).

    ``doubting``: a thing that no mention of is sure enough is left out.
    """
    items: list[Gathered] = []
    same = one_thing(v, mentions, lexicon)
    holds: dict[int, Gathered] = {}  # the item of a mention, by the mention's identity
    number: dict[int, int] = {}
    by_word: dict[str, list[int]] = {}  # only items that share a word can match, but for general words
    said_names: dict[str, Gathered] = {}
    aliases = sorted(aliases, key=lambda a: a[0])
    for m in mentions:
        if m.kind == "technique":
            continue
        key = key_of(v, m)
        key[-1] = _full_word(lexicon, key[-1], m.kind)
        told = same.get(id(m))
        target = said_names.get(" ".join(key)) if told is None else holds[id(told)]
        if target is None:
            alike = range(len(items)) if key[-1] in _GENERAL else sorted({n for w in key for n in by_word.get(w, ())})
            target = _match(v, m, key, items, alike, lexicon)
        if target is None:
            target = Gathered(m.kind, v.words(m.start, m.end), key, [])
            number[id(target)] = len(items)
            items.append(target)
        half = _half(items, target, key, lexicon)
        if half is not None:
            _absorb(target, half, items, holds, said_names)
            number = {id(item): n for n, item in enumerate(items)}
            by_word = _by_word(items)
        if (
            target.mentions
            and len(key) > len(target.key)
            and (target.key[-1] == key[-1] or (len(target.key) == 1 and target.key[0] in key))
        ):
            target.key = key
        if told is not None and target.full_name is None and key[-1] not in target.key:
            target.full_name = _joined(v, told, m, lexicon)
        holds[id(m)] = target
        target.mentions.append(m)
        for word in key:
            if word not in target.words:
                target.words.add(word)
                by_word.setdefault(word, []).append(number[id(target)])
        first = bisect_left(aliases, m.start - 1, key=lambda a: a[0])
        for _, other in aliases[first : bisect_left(aliases, m.end + 1, key=lambda a: a[0])]:
            said_names[" ".join(singular(w) for w in other.lower().split() if w not in _SMALL)] = target
            if other not in target.aliases:
                target.aliases.append(other)
    if doubting:
        items = [item for item in items if max(m.sure for m in item.mentions) >= _DOUBT.get(item.kind, _ELSE)]
    for item in items:
        _settle(v, item)
    return items


_BE = frozenset("is are was were 's 're ’s".split())
_BETWEEN = frozenset(
    ", a an the it they this that these those just some all only called really kind of sort um uh".split()
)
_BETWEEN |= _BE
_ARE = (["'re"], ["are"], ["’re"])
_FAR = 6  # tokens between a name and what is said to be the same thing


def _full_word(lexicon: Lexicon, head: str, kind: Kind) -> str:
    """The usual word for a head that is short or dialect for it: "ply" is "plywood", "burlap" is "hessian"."""
    term = lexicon.find(head, kind)
    return term.name if term is not None and not term.ambiguous and term.name.isalpha() else head


def one_thing(v: View, mentions: list[Mention], lexicon: Lexicon) -> dict[int, Mention]:
    """Mentions that say what the mention before them is, by identity: "the batting is cotton", "glue. It's contact cement".

    Only with nothing but "is" between the two; over a pronoun ("the glue, it's ...") only where both are of one sort.
    """
    out: dict[int, Mention] = {}
    things = [m for m in mentions if m.kind != "technique"]
    for a, b in pairwise(things):
        if not a.end < b.start <= a.end + _FAR or a.kind != b.kind:
            continue
        between = v.low[a.end : b.start]
        if (
            between in ([","], ["or"])
            and v.low[b.end : b.end + 2] == ["if", "you"]
            and v.low[b.end + 2 : b.end + 3] in _ARE
        ):
            out[id(b)] = a  # "petersham, grosgrain if you're over the water"
            continue
        if between == [",", "the"] and v.low[b.end : b.end + 1] in (["kind"], ["sort"], ["type"]):
            out[id(b)] = a  # "the webbing, the jute kind"
            continue
        if not _BE & set(between) or any(w not in _BETWEEN and w != "." for w in between):
            continue
        direct = between[0] in _BE
        listed = (
            b.end + 1 < len(v.low) and v.low[b.end] in ("and", "or") and v.pos[b.end + 1] in ("NOUN", "PROPN", "ADJ")
        )
        if direct:
            told = b.kind == "material" and not listed
        else:
            told = _sort(lexicon, v, a) is not None and _sort(lexicon, v, a) == _sort(lexicon, v, b)
        if told:
            out[id(b)] = a
    return out


def _sort(lexicon: Lexicon, v: View, m: Mention) -> str | None:
    """The craft file's group of a mention's head ("adhesive"), or its class in WordNet."""
    term = lexicon.find(v.words(m.start, m.end)) or lexicon.find(v.low[m.head])
    if term is not None and term.group:
        return term.group
    found = lexicon.wordnet_class(v.lemma[m.head])
    return found[0] if found is not None else None


def _joined(v: View, a: Mention, b: Mention, lexicon: Lexicon) -> str | None:
    """One name for a thing and what it is made of: "batting" and "cotton" are "cotton batting"; ``None`` where the second says all."""
    if (
        b.end - b.start > 2
        or a.end - a.start > 1
        or v.low[a.start] in _GENERAL
        or (v.low[b.start - 1] == "the" and v.low[b.end : b.end + 1] not in (["kind"], ["sort"], ["type"]))
    ):
        return None
    if v.tag[b.head] in ("NNS", "NNPS") or _sort(lexicon, v, a) == _sort(lexicon, v, b):
        return None
    return f"{v.words(b.start, b.end)} {v.words(a.start, a.end).lower()}"


def _half(items: list[Gathered], target: Gathered, key: list[str], lexicon: Lexicon) -> Gathered | None:
    """The item that carries the other half of a name so far taken for two things: "silk" beside "dupion", of "silk dupion"."""
    if len(key) != 2 or len(target.key) != 1 or target.key[0] not in key or target.kind != "material":
        return None
    rest = [w for w in key if w != target.key[0]]
    if _apart(lexicon, key[0], key[1]):
        return None  # "copper" and "rivets" stay two where "copper rivets" are named
    return next((i for i in items if i is not target and i.key == rest and i.kind == "material"), None)


def _absorb(
    target: Gathered,
    other: Gathered,
    items: list[Gathered],
    holds: dict[int, Gathered],
    said_names: dict[str, Gathered],
) -> None:
    """Make ``other`` part of ``target``."""
    target.mentions = sorted([*target.mentions, *other.mentions], key=lambda m: m.start)
    target.words |= other.words
    target.aliases += [a for a in other.aliases if a not in target.aliases]
    items.remove(other)
    holds.update([(k, target) for k, item in holds.items() if item is other])
    said_names.update([(k, target) for k, item in said_names.items() if item is other])


def _by_word(items: list[Gathered]) -> dict[str, list[int]]:
    """Numbers of the items that share a word, by the word."""
    out: dict[str, list[int]] = {}
    for n, item in enumerate(items):
        for word in item.words:
            out.setdefault(word, []).append(n)
    return out


# How sure the trained reader must be of a thing; the lexicon alone is never that sure. A tool named once in passing it
# leaves in doubt more often than it should.
_DOUBT, _ELSE = {"tool": 0.58}, 0.73


def _match(
    v: View, m: Mention, key: list[str], items: list[Gathered], alike: Iterable[int], lexicon: Lexicon
) -> Gathered | None:
    """The item that ``m`` names again, among those numbered ``alike`` (ascending)."""
    head, rest = key[-1], set(key[:-1])
    best: tuple[float, Gathered] | None = None
    for n in alike:
        item = items[n]
        i_head, i_rest = item.key[-1], set(item.key[:-1])
        score = 0.0
        if head == i_head:
            if rest == i_rest:
                score = 3.0
            elif not rest or not i_rest:
                score = 0.0 if _at_odds(m, item, fuller=bool(rest)) else 2.0
            elif rest <= i_rest or i_rest <= rest:
                score = 2.5
        if (
            not score
            and not rest
            and head in item.words
            and m.kind == item.kind == "material"
            and not _is_own_thing(lexicon, head, m.kind, item)
            and not _dropped([m], item.mentions)
            and not (_serves(lexicon, head) and _apart(lexicon, head, i_head))
        ):
            score = 1.5  # "the walnut" of "walnut veneer", "the brass" of "brass screws"
        if (
            not score
            and i_head in key[:-1]
            and not i_rest
            and m.kind == item.kind == "material"
            and not _dropped(item.mentions, [m])
            and not _apart(lexicon, i_head, head)
        ):
            score = 1.4  # "cotton" first, "cotton lawn" after
        if not score and not rest and _general_for(lexicon, head, item) and m.kind == item.kind == "material":
            score = 1.0
        if score and m.kind != item.kind:
            score *= 0.5 if score < 2.5 else 0.8
        if score:
            if _first_use_of_new(v, m) and score < 3.0 and rest and i_rest != rest:
                score *= 0.5
            status_bonus = 0.3 * (item.mentions[-1].status[USED] - 0.5)
            score += 0.2 * (n / (len(items) or 1)) + status_bonus
            if best is None or score > best[0]:
                best = (score, item)
    return best[1] if best is not None and best[0] >= 0.95 else None


_SERVING = frozenset("fastener notion thread cord trim fixing".split())


def _apart(lexicon: Lexicon, bare: str, head: str) -> bool:
    """Whether a bare word and the head of a name it stands in are of known and different sorts: "silk" and "silk thread",
    "copper" and "copper rivets", "buttons" and "button thread"; "cotton" and "cotton lawn" are not."""
    both = [groups_of(lexicon, [word], "material", stuffs=True) for word in (bare, head)]
    return all(both) and not both[0] & both[1]


def _serves(lexicon: Lexicon, word: str) -> bool:
    """Whether a word names a thing by what it serves for ("thread", "buttons") rather than a stuff ("brass", "linen"),
    which is often short for what is made of it."""
    return bool(groups_of(lexicon, [word], "material") & _SERVING)


def _at_odds(m: Mention, item: Gathered, *, fuller: bool) -> bool:
    """Whether ``m`` is used and the item was only weighed or offered, so that a bare name means another thing.

    ``fuller``: whether ``m`` says more than the item did; then one that is not used is not the used one either.
    """
    used = sum(k.status[USED] for k in item.mentions) / len(item.mentions)
    mine = m.status[USED]
    if fuller:
        return (mine <= _LEFT and used >= _KEPT) or _dropped(item.mentions, [m])
    return mine >= _KEPT and used <= _LEFT


def _dropped(bare: list[Mention], fuller: list[Mention]) -> bool:
    """Whether the thing named barely was surely weighed and left, and the one that says more is surely used:
    "I looked at silk ... sewn in silk thread"."""
    return all(m.status[CONSIDERED] >= _SURELY for m in bare) and all(m.status[USED] >= _KEPT for m in fuller)


_LEFT, _KEPT = 0.2, 0.75


def _is_own_thing(lexicon: Lexicon, head: str, kind: str, item: Gathered) -> bool:
    """Whether ``head`` names a thing of its own beside an item it is part of the name of ("wood" and "wood glue")."""
    if item.key[-1] == head:
        return False
    at = item.key.index(head) if head in item.key else -1
    own, sure = lexicon.classify(head)
    compound_kind = lexicon.classify(item.key[-1])[0]
    return at >= 0 and own == kind and sure > 0.5 and compound_kind is not None and kind != "material"


_GENERAL: dict[str, frozenset[str]] = {
    "fabric": frozenset(["fabric", "felt", "lining"]),
    "cloth": frozenset(["fabric", "felt", "lining"]),
    "material": frozenset(["fabric", "felt"]),
    "stuff": frozenset(),
    "leather": frozenset(["leather", "hide"]),
    "hide": frozenset(["leather"]),
    "wood": frozenset(["timber", "wood", "sheet"]),
    "timber": frozenset(["timber", "wood"]),
    "stock": frozenset(["timber", "wood"]),
    "adhesive": frozenset(["adhesive", "glue"]),
    "yarn": frozenset(["yarn", "fibre", "wool"]),
    "wool": frozenset(["yarn"]),
    "finish": frozenset(["finish", "varnish", "coating"]),
}


def _general_for(lexicon: Lexicon, head: str, item: Gathered) -> bool:
    groups = _GENERAL.get(head)
    if groups is None or item.kind != "material":
        return False
    if item.key[-1].endswith(head):
        return True  # "the cloth" of bookcloth
    term = lexicon.find(" ".join(item.key)) or lexicon.find(item.key[-1])
    if term is not None and term.group:
        return any(g in term.group for g in groups)
    wordnet = lexicon.wordnet_class(item.key[-1])
    return wordnet is not None and wordnet[0] in groups


def _first_use_of_new(v: View, m: Mention) -> bool:
    return m.start > 0 and v.low[m.start - 1] in ("a", "an", "another", "some", "different", "other")


_TALK = 0.35
_SURELY = 0.9


def _settle(v: View, item: Gathered) -> None:
    """Name, kind, status and confidence from the item's mentions."""
    votes: dict[str, float] = {}
    for m in item.mentions:
        votes[m.kind] = votes.get(m.kind, 0.0) + m.sure
    item.kind = max(votes, key=lambda k: votes[k])  # type: ignore[arg-type]
    total = [0.0] * 4
    weight = 0.0
    count = len(item.mentions)
    surely = any(m.status[USED] >= _SURELY for m in item.mentions)
    for n, m in enumerate(item.mentions):
        w = 1.0 + 0.6 * (n == count - 1 and count > 1)
        p = list(m.status)
        if surely:
            p[USED] += _TALK * p[MENTIONED]  # what is used is talked of in general as well
        for s in range(4):
            total[s] += w * math.log(max(0.02, p[s]))
        weight += w
    mean = [t / weight for t in total]
    best = max(range(4), key=lambda s: mean[s])
    if best == SUBSTITUTE and any(m.status[CONSIDERED] >= _SURELY for m in item.mentions):
        best = CONSIDERED  # weighed and left by the maker, then offered to those who do otherwise
    item.status = STATUSES[best]
    z = [math.exp(x) for x in mean]
    item.sure = z[best] / sum(z) * max(m.sure for m in item.mentions)
    # The name that says most, and among these the first.
    item.name = max(
        (v.words(m.start, m.end) for m in item.mentions), key=lambda s: (min(4, len(s.split())), -s.count(","))
    ).strip("\"'")
    item.name = _CLITIC.sub("", item.name)
    if item.full_name is not None:
        item.aliases.append(item.name)
        item.name = item.full_name
    known = {item.name.lower(), *(a.lower() for a in item.aliases)}
    for m in item.mentions:
        said = v.words(m.start, m.end)
        if said.lower() not in known:
            known.add(said.lower())
            item.aliases.append(said)


# ------------------------------------------------------------------ what it cost, how much of it


def attach_amounts(v: View, items: list[Gathered], amounts: list[Any], priced: dict[int, Mention]) -> None:
    """Give every price to the item it is said of, and every amount that counts or measures an item to that item.

    ``priced`` are the mentions that the prices are said of, by the number of the amount.
    """
    at = _Spots(items)
    for n, a in enumerate(amounts):
        if a.kind == "price":
            m = priced.get(n)
            item = next((i for i in items if any(m is k for k in i.mentions)), None) if m is not None else None
            if item is not None and item.price is None:
                item.price = n
        elif a.kind == "size":
            for start, end, item in at.touching(a.start, a.end):
                if (a.start < end and start < a.end) or end == a.start or a.end == start:
                    item.size = item.size or a.text
        elif a.measured:
            token = a.of_token
            reach = (a.start, a.end) if token is None else (min(token, a.start), max(token, a.end))
            for start, end, item in at.touching(*reach):
                if (token is not None and start <= token < end) or (a.start < end and start < a.end):
                    item.amounts.append(n)
                    break
            else:
                # "four and a half yards of it", "eleven pounds a metre and I got three metres"
                end = a.end
                if end + 1 < len(v.low) and v.low[end] == "of":
                    named = at.between(end, end + 5)[:1]
                    if not named and v.low[end + 1] in _LOOKS_BACK:
                        named = at.between(v.sents[max(0, v.sent_of[a.start] - 1)][0], a.start)[-1:]
                    for _, _, item in named:
                        item.amounts.append(n)


_LOOKS_BACK = frozenset("it that this them those these".split())


class _Spots:
    """Where the items are named, in order of the words: (start, end, item) of every mention."""

    def __init__(self, items: list[Gathered]) -> None:
        self._all = sorted(((m.start, m.end, item) for item in items for m in item.mentions), key=lambda t: t[0])
        self._starts = [start for start, _, _ in self._all]
        self._longest = max((end - start for start, end, _ in self._all), default=0)

    def between(self, lo: int, hi: int) -> list[tuple[int, int, Gathered]]:
        """Those that start at ``lo`` or later and before ``hi``."""
        return self._all[bisect_left(self._starts, lo) : bisect_left(self._starts, hi)]

    def touching(self, lo: int, hi: int) -> list[tuple[int, int, Gathered]]:
        """At least all that share a token with ``lo`` to ``hi`` or lie right beside."""
        return self.between(lo - self._longest, hi + 1)


def items_component(doc: Doc) -> Doc:
    """spaCy component ``items``: sets ``doc._.items``."""
    v = view_of(doc)
    aliases = [(a.start, a.alias) for a in (doc._.aliases or [])]
    mentions = with_kinds(v, with_statuses(v, list(doc._.mentions)), lexicon_of(doc))
    priced = with_priced(v, mentions, lexicon_of(doc), doc._.amounts)
    items = gather(v, mentions, lexicon_of(doc), aliases, doubting=doc._.reader is not None)
    attach_amounts(v, items, doc._.amounts, priced)
    pair_up(v, items, lexicon_of(doc))
    set_sources(v, items)
    for s in doc._.searches or []:
        near = [
            i
            for i in items
            if any(abs(m.start - s.start) < 45 for m in i.mentions) and i.kind in ("pattern", "reference")
        ]
        if near:
            near[-1].search_words, near[-1].unavailable = s.words, True
    doc._.items = items
    return doc
