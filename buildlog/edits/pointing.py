"""Which words are meant by pointing at one of them: the amount said there, or the name of a thing.

No parse: a maker points while the film runs on, so only the words around are looked at, with the craft lexicon. What
is meant wrongly costs a key or two, as the words can always be selected one by one.
"""

from __future__ import annotations

import functools
from bisect import bisect_right
from collections.abc import Callable, Collection, Sequence
from itertools import accumulate
from typing import TYPE_CHECKING, NamedTuple

from buildlog.edits.kinds import Amount
from buildlog.tag.lexicon import Lexicon, singular

if TYPE_CHECKING:
    from spacy.tokens import Doc

_AROUND = 12  # words on either side that can belong to what is meant
_LONGEST = 5  # words of a name
_CLOSING = ".,;:!?…)"
_LIKELY = 0.5  # below this a noun is hardly ever a thing of the workshop
_ITEMS = ("material", "tool", "pattern", "reference")
# Words that are in no name of a thing unless a craft's term has them: of the language, numbers, times, praise.
_OUTSIDE = frozenset(
    """a about above across actually after again against ago all almost along already also although always am among an
    and another any anything apart are around as at away back be because been before behind being below beneath beside
    best better between beyond both but by can cannot could did do does doing done down during each either else enough
    even ever every everything exactly few finally first five for four from fully get gets getting give gives go goes
    going gone gonna good got had has have having he her here hers him his how however i if in inside instead into is it
    its itself just keep kept last later least less let like likely little long lot lots made make makes making many
    maybe me might mine more most much must my myself near nearly never new next nice nine no nobody none nor not
    nothing now of off often oh ok okay old on once one ones only onto or other others ought our ours out over own per
    perhaps please probably put quite rather really right said same say second see seven several shall she should since
    six so some somebody someone something sometimes soon still such sure take taken takes ten than that the their them
    then there these they thing things think this those though three through till to today together tomorrow tonight
    too took toward towards twelve two um under until up upon us use used uses using usually very want was way we well
    went were what whatever when where whether which while who whole whose why will with within without would yeah yes
    yesterday yet you your yours i'm i've i'd i'll it's that's there's we're we've we'll you're you've they're don't
    doesn't didn't isn't wasn't won't can't couldn't wouldn't shouldn't let's what's here's bunch couple kind sort type
    bit piece pieces pair half quarter dozen plenty""".split()
)
_BEFORE_NAMES = frozenset(
    "a an the this that these those my your our his her their its some any no each every another with of for in on from"
    " into onto and or by".split()
)


class Meant(NamedTuple):
    """The words ``first`` to ``last`` (both included); ``amount`` where they are one, ``kind`` of the thing if known.

    ``sure`` is 0 to 1: how likely the words name a thing.
    """

    first: int
    last: int
    amount: Amount | None = None
    kind: str | None = None
    sure: float = 0.0

    def moved(self, by: int) -> Meant:
        """The same words, counted from ``by`` words earlier."""
        return self._replace(first=self.first + by, last=self.last + by)


def _bare(text: str) -> str:
    return text.casefold().replace("’", "'").strip(" .,;:!?…\"'“”()[]–—-*")


def _ends(text: str) -> bool:
    """Whether a phrase cannot go on after this word."""
    return text[-1:] in _CLOSING or (text[-2:-1] in _CLOSING and text[-1:] in "\"'”’)")


def around(texts: Sequence[str], at: int, lexicon: Lexicon | None = None) -> Meant:
    """What is meant by pointing at the word ``at`` of ``texts``; that word alone where nothing better is known."""
    low, words = _window(texts, at)
    return (_amount(words, at - low) or _name(words, at - low, lexicon or Lexicon.load())).moved(low)


def _window(texts: Sequence[str], at: int) -> tuple[int, list[str]]:
    """The words around ``at`` that can belong to what is meant, and the number of the first."""
    low = max(0, at - _AROUND)
    return low, list(texts[low : at + _AROUND + 1])


def _amount(words: list[str], at: int) -> Meant | None:
    from buildlog.tag.amounts import read

    doc = _tokenizer()(" ".join(words))
    starts = [0, *accumulate(len(w) + 1 for w in words)]
    for found in read(doc):
        first = bisect_right(starts, doc[found.start].idx) - 1
        last = bisect_right(starts, doc[found.end - 1].idx) - 1
        counted = -1 if found.of_token is None else bisect_right(starts, doc[found.of_token].idx) - 1
        # Of "two clamps" the second word is the name of a thing.
        if found.measured and first <= at <= last and at != counted:
            top = found.value_max
            amount = Amount(
                value=float(found.value),
                value_max=None if top is None or top == found.value else float(top),
                unit=found.unit,
                approximate=found.approximate,
                exact=str(found.value),
                setting=found.kind == "setting",
            )
            return Meant(first, last, amount=amount)
    return None


def next_left_out(
    texts: Sequence[str], after: int, taken: Callable[[int], bool], names: Collection[str]
) -> Meant | None:
    """The next words after the word ``after`` that may name a thing which nothing speaks of yet; ``None``: no more.

    ``taken`` says of a word whether it belongs to a thing already; ``names`` are those of all things known.
    """
    lexicon = Lexicon.load()
    heads = {singular(_bare(name.split()[-1])) for name in names if name.split()}
    at = after + 1
    while at < len(texts):
        bare = _bare(texts[at])
        if taken(at) or not _inside(bare) or not _is_noun(bare, lexicon):
            at += 1
            continue
        low, words = _window(texts, at)
        found = _name(words, at - low, lexicon).moved(low)
        known = singular(_bare(texts[found.last])) in heads or any(map(taken, range(found.first, found.last + 1)))
        if not known and found.first > after and found.sure >= _LIKELY:
            return found
        at = max(at, found.last) + 1
    return None


@functools.cache
def _tokenizer() -> Callable[[str], Doc]:
    import spacy

    make: Callable[[str], Doc] = spacy.blank("en").make_doc
    return make


def get_ready() -> None:
    """Load what the first :func:`around` needs; may be called from a thread."""
    around(["ready", "in", "two", "inches"], 3)


def _name(words: list[str], at: int, lexicon: Lexicon) -> Meant:
    bare = [_bare(w) for w in words]
    if not _inside(bare[at]):
        return Meant(at, at)
    term = _term(words, bare, at, lexicon)
    first, last = term if term is not None else (at, at)
    while last + 1 < len(words) and last - first + 1 < _LONGEST and not _ends(words[last]):
        if not _goes_on(bare, last + 1, lexicon):
            break
        last += 1
    while first > 0 and last - first + 1 < _LONGEST and not _ends(words[first - 1]):
        if not _goes_before(bare, first - 1, lexicon):
            break
        first -= 1
    kind, sure = lexicon.classify(bare[last], bare[first:last])
    return Meant(first, last, kind=kind if kind in _ITEMS else None, sure=sure if kind in _ITEMS else 0.0)


def _inside(bare: str) -> bool:
    return bool(bare) and bare not in _OUTSIDE and not bare.isdigit()


def _term(words: list[str], bare: list[str], at: int, lexicon: Lexicon) -> tuple[int, int] | None:
    """The longest craft term over the word ``at``."""
    best: tuple[int, int] | None = None
    for start in range(max(0, at - _LONGEST + 1), at + 1):
        for found in lexicon.terms_at(bare, bare, start):
            last = found.end - 1
            if found.term.kind == "technique" or not start <= at <= last or any(map(_ends, words[start:last])):
                continue
            if best is None or last - start > best[1] - best[0]:
                best = (start, last)
    return best


def _is_noun(word: str, lexicon: Lexicon) -> bool:
    term = lexicon.find(word)
    return (term is not None and term.kind != "technique") or lexicon.wordnet_class(word) is not None


def _goes_on(bare: list[str], at: int, lexicon: Lexicon) -> bool:
    """Whether the word ``at`` belongs to the name that ends before it: a noun that is not what is done next."""
    word = bare[at]
    known = lexicon.find(word)
    is_thing = known is not None and known.kind in (*_ITEMS, "piece", "product", "container")
    return _inside(word) and _is_noun(word, lexicon) and (is_thing or not _is_verb(word, lexicon))


def _is_verb(word: str, lexicon: Lexicon) -> bool:
    verbs = (lexicon.making_verbs, lexicon.plain_verbs, lexicon.talk_verbs)
    return any(form in group for group in verbs for form in (word, singular(word)))


def _goes_before(bare: list[str], at: int, lexicon: Lexicon) -> bool:
    """Whether the word ``at`` belongs to the name that begins after it."""
    word = bare[at]
    if not _inside(word) or word.endswith(("ly", "'s")):
        return False
    before = bare[at - 1] if at else ""
    if word.endswith(("ed", "ing")) or _is_verb(word, lexicon):
        # "the waxed canvas", "a cutting board", but "then waxed canvas", "I glue paper".
        noun = _is_noun(word, lexicon) and not word.endswith(("ed", "ing"))
        return before in _BEFORE_NAMES and (noun or word.endswith(("ed", "ing")))
    return True
