"""What stands in for what: the offered thing and the one it replaces, the chosen thing and the one that was weighed.

A wrong pair misleads more than a missing one, so two things are tied only where the words do it. For an offer these are
"instead of", "if you've no press, bricks would do", or a pronoun that looks back to the sentence before. For a choice
they are a turn after the weighing ("so it's a cotton lawn", "we ended up with ash"), or a thing of the same sort said to
be the one used just before it ("The lining is a cupro. I looked at silk"). What was merely left out ("no interfacing")
was replaced by nothing. Where several were weighed, the choice stands for the first: the maker's first plan.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from buildlog.tag.lexicon import Lexicon
from buildlog.tag.mentions import CONSIDERED, SUBSTITUTE, USED, Mention
from buildlog.tag.view import View

if TYPE_CHECKING:
    from buildlog.tag.items import Gathered

_ON = 5  # sentences after the weighing that the turn may come in
_BACK = 4  # sentences before the weighing that may have told the choice already
_OFFER_BACK = 2  # sentences before an offer that may name what it stands in for
_FEW = 6  # tokens of a sentence that is only the start of the next
_WORDS = 16  # looked at on either side of a name
_STILL = 0.3  # how probable it must be that the mention of a choice tells of use
_WEIGHED = 0.5  # how probable it is that a mention tells of weighing
# Groups and classes that hold too many sorts of things to say that two of them serve alike.
_LOOSE = frozenset(
    "general other hand machine part misc abstract artifact place person product act time chemical food inner metal binding upholstery "
    "bookbinding pottery".split()
)
_OF_STUFF = frozenset(["metal", "chemical"])
_FAMILY = {
    "lining": "fabric",
    "felt": "fabric",
    "fibre": "fabric",
    "wood": "timber",
    "fruit": "timber",
    "hide": "leather",
}

_DET = (
    r"(?:(?:a|an|the|some|any|my|our|that|those|this|these|your|just|only|plain|simple|good|old|proper|big|cheap|nice|"
    r"bit|piece|scrap|lump|offcut|length|strip|of|couple|pair|two|three|\d+|all|more|about|regular|ordinary|basic|straight|"
    r"lovely|really|very|quite|decent|actual|actually|different|thick|thin|heavy|light|dark|pale|much|half|\w+ 's) )*"
)
_LIGHT = (
    r"(?:(?:it|that|they|this|these|those|there|we|i|you|he|she|what|one|mine|ours|them|us|'ve|'s|'re|'m|'d|is|was|are|were|am|"
    r"be|been|being|have|has|had|got|get|getting|go|goes|going|went|gone|with|for|on|to|in|up|over|by|do|did|then|now|just|only|"
    r"simply|instead|rather|here|back|out|all|the end|plain|both|and|about|at|,|last|well|okay|yeah|uh|um|come|came|"
    r"ended|settled|landed|time|round) )*"
)
_DOING = r"(?:use|used|using|took|take|taking|taken|chose|chosen|picked|bought|ordered|made|ran|run|gave|put) "
_IS = r"(?:(?:^|\s)(?:is|'s|are|'re|was|were) )"
# Right before the thing chosen, so that it is plainly the choice: "we ended up with", "so it's", "what you see is".
_TURN_BEFORE = re.compile(
    r"(?:"
    r"\b(?:ended up|end up|wound up|settled|landed|plumped|opted|switched|swapped|went|gone|moved|changed|fell back|"
    r"made do|reverted)(?: over| back| up)? (?:with|on|for|to|using|being|as) " + _DET + r"|"
    r"(?:^|[.,;:] |\band |\bbut )so (?:(?:then|in the end|instead|now|anyway|yeah) )?(?:, )?(?:(?:the|my|our) (?:\w+ ){1,2}(?:is|'s|are|'re|was|were) )?"
    + _LIGHT + _DET + r"|"
    r"\bso what (?:\w+ |'s ){0,6}?(?:is|'s|are|was) " + _DET + r"|"
    r"\bwhat (?:you |i |we |she |he )?(?:see|'re seeing|got|used|have|'ve got|ended up)(?: \w+){0,3} (?:is|was|are|were) " + _DET + r"|"
    r"\b(?:instead|eventually|finally|in the end) (?:, )?" + _LIGHT + _DET + r")$"
)  # fmt: skip
# The same by what was done: it may be another job's turn, so both things must be of one sort or close by.
_DONE_BEFORE = re.compile(
    r"(?:^|[.,;:] |\band |\bbut )(?:so|instead|in the end) (?:, )?" + _LIGHT + r"(?:"
    + _DOING + r"|\w+ed (?:\w+ )?(?:over )?(?:with|on|in) )(?:with |on |over )?" + _DET + "$"
)  # fmt: skip
_SO_THE = re.compile(r"\bso (?:, )?(?:the|my|our|this|that) $")
_NAMED_ONLY = re.compile(r"^ ?(?:[.,;]|for\b|it\b|is\b|'s\b|won\b|then\b|instead\b|$)")
_TURN_AFTER = re.compile(
    r"^ ?(?:,? ?(?:it|they) (?:is|was|are|were|had to be)\b|won\b|wins\b|instead\b|it is\b|got the job\b|,? in the end\b|turned out\b)"
)
# "It's hook and loop tape", "this time it's voile", "Fleece.", right after a wish.
_IT_IS = re.compile(
    r"^(?:(?:and|but|well|okay|no|so|now) (?:, )?)?(?:this time (?:round |around )?(?:, )?)?"
    r"(?:it|this|that|these|they|those) (?:is|'s|was|are|'re|were) " + _DET + "$"
)
_ALONE = re.compile(r"^(?:(?:so|no|then|and|well|just|back to|hence) (?:, )?)*" + _DET + "$")
# "The lining is", "Timber's", "it's made of", "I used".
_IS_THE = re.compile(
    r"(?:" + _IS + r"|\bmade (?:of|from|out of) |(?:^|\s)(?:i|we)(?: 've| 'm| have| am)? (?:used|using|went with|chose|picked|bought|got) "
    r"|\bcut (?:it |them )?(?:from|out of) |\bgone (?:for|with) "
    r"|\b(?:held|closed|fastened|lined|covered|stuffed|tied|fixed|finished|backed|filled|glued|sewn|bound) (?:\w+ )?(?:with|in|by) )" + _DET + r"(?:\w+ ){0,2}$"
)  # fmt: skip
_TOPIC = re.compile(r"^ ?(?:it|they|that) (?:is|'s|are|'re)\b")  # "bridle leather it's ten ounce"
_SO_MUCH_FOR = re.compile(r"\b(?:for|on|under|inside|round) (?:the|my|our|its|those|these) (\w+)")
_WEIGHING = re.compile(
    r"\b(?:was|were) (?:going to|gon na|planning|thinking|tempted|set|all for|all set|meant|supposed|torn|hoping)\b"
    r"|\b(?:wanted|looked|look at|thought|considered|plan|planned|meant to|tried|toyed|first|originally|priced|fancied|hoped|"
    r"intended|put by|nearly|almost|debated|everybody|everyone|ordered|could have|did have|do have)\b"
    r"|\b(?:would|'d) (?:have|of|'ve|love|like|rather)\b|\b(?:tempt|sampl|test)\w*\b|\bdid n't (?:use|go)\b|\b(?:did|had) a (?:look|go|test)\b"
    r"|\bhad (?:my|a|an|some|this|that|the|in)\b|\b(?:i|we) 'd (?:a|an|got|this|some|ordered|bought|\w+ \w+ here)\b"
)
_LEFT_OUT = re.compile(
    r"\b(?:no|without|left out|skipped|skip|did n't bother with|never bothered with|not bothering with)(?: \w+){0,2} ?$"
)
_OTHER_PART = re.compile(r"^(?:and |now |then |so |but )*,? ?(?:for|on) (?:the|that|my|our|its|inside)\b")
_INSTEAD = re.compile(r"\b(?:instead of|in place of|rather than|in lieu of) (?:the |using |a |an |with |my |any )*$")
# What comes before the thing that an offer stands in for, and what between the two.
_LACKING = re.compile(
    r"\b(?:if|when|where|unless|in case) (?:you|your)\b(?:(?! (?:use|take|try|grab|just)\b)[^.?!,])*?"
    r"\b(?:no|n't|not|never|without|lack|short of|out of|get|find|have|own|run)\b[^.?!,]*$"
)
_LOOKS_BACK = re.compile(
    r"\b(?:no|not|n't|never|without)(?: \w+){0,3} (?P<what>one|any|that|it|them|those|some|either|these)\b"
)
_OTHER_WAY = re.compile(
    r"\b(?:could|can|might) do (?:that|it|this|them) (?:with|on|in|by)\b"
)  # of doing, not of a thing
_INSIDE = re.compile(r"\b(?:in|inside|wrapped in) (?:(?:a|an|some|the|old) )*$")
_MASS = ("any", "some")
_SERVES = re.compile(
    r"\b(?:would|will|'d|'ll|wo|can|could|does|do|works?|gets?) (?:also |just |even |probably |perfectly |all )*"
    r"(?:do|work|fine|serve|see you|get you|you there|for you|just as|nearly as|well|too|the (?:job|same)|instead"
    r"|be (?:\w+ ){0,3}(?:fine|ok|okay|all right|good|plenty|enough|alternative))\b"
    r"|\byou (?:could|can|might) (?:also |just |perfectly well |always )?(?:use|try|go with|get away)\b"
    r"|\b(?:is|'s|are) (?:also )?(?:an alternative|all right|fine|ok|okay|as good|good too|just as)\b"
)
_FOR_THE_SORT = re.compile(r"\bthe (?:\w+ )?(\w+) (?:sort|kind|one|ones|type|version|stuff)\b")


def pair_up(v: View, items: list[Gathered], lexicon: Lexicon) -> None:
    """Set ``instead_of`` of the items that stand in for others."""
    found = _Pairing(v, items, lexicon)
    for n, item in enumerate(items):
        if item.status == "substitute":
            base = found.stood_in_for(item)
            if base is not None:
                items[n].instead_of = found.number[id(base)]
    weighed = []
    for item in items:
        if item.status == "considered":
            choice = found.chosen(item)
            if choice is not None:
                weighed.append((choice.how, choice.at, item, choice.item))
    for _, _, item, taken in sorted(weighed, key=lambda t: (t[0], t[1])):
        if taken.instead_of is None:
            taken.instead_of = found.number[id(item)]


@dataclass(frozen=True, slots=True)
class _Choice:
    """The item taken; ``how`` plainly it is said (0 is plainest); ``at``: token where the loser was weighed first."""

    item: Gathered
    how: int
    at: int


class _Pairing:
    """Items by the sentences that name them, and what sorts of thing they are."""

    def __init__(self, v: View, items: list[Gathered], lexicon: Lexicon) -> None:
        self.v = v
        self.number = {id(item): n for n, item in enumerate(items)}
        self.sorts = {id(item): _sorts(lexicon, item) for item in items}
        self.by_sent: dict[int, list[tuple[Mention, Gathered]]] = {}
        for m, named in sorted(((m, i) for i in items for m in i.mentions), key=lambda t: t[0].start):
            self.by_sent.setdefault(v.sent_of[m.start], []).append((m, named))

    # ------------------------------------------------------------------ words around

    def before(self, m: Mention) -> str:
        """The words of the sentence before a name, a blank after each."""
        first = max(self.v.sents[self.v.sent_of[m.start]][0], m.start - _WORDS)
        return "".join(w + " " for w in self.v.low[first : m.start]).replace("’", "'")

    def after(self, m: Mention) -> str:
        last = min(self.v.sents[self.v.sent_of[m.start]][1], m.end + _WORDS)
        return " ".join(self.v.low[m.end : last]).replace("’", "'")

    def sentence(self, s: int) -> str:
        return " ".join(self.v.low[slice(*self.v.sents[s])]).replace("’", "'")

    def other_part(self, m: Mention, before: str) -> bool:
        """Whether the sentence of ``m``, or a few words cut off before it, turn to another part: "For the underside. It's a"."""
        s = self.v.sent_of[m.start]
        short = s > 0 and self.v.sents[s - 1][1] - self.v.sents[s - 1][0] <= _FEW
        return bool(_OTHER_PART.search(before)) or (short and bool(_OTHER_PART.search(self.sentence(s - 1))))

    def akin(self, a: Gathered, b: Gathered) -> bool:
        return bool(self.sorts[id(a)] & self.sorts[id(b)])

    def odd(self, a: Gathered, b: Gathered) -> bool:
        """Whether both are of known sorts, and of none in common."""
        known = [{s for s in self.sorts[id(i)] if s.startswith("group ")} for i in (a, b)]
        return all(known) and not self.akin(a, b)

    # ------------------------------------------------------------------ offers

    def stood_in_for(self, item: Gathered) -> Gathered | None:
        """What an offered thing may replace."""
        offer = max(item.mentions, key=lambda m: m.status[SUBSTITUTE])
        sent = self.v.sent_of[offer.start]
        if _INSIDE.search(self.before(offer)) and any(
            offer.start - 5 < m.start < offer.start and i.status == "substitute" for m, i in self.by_sent[sent]
        ):
            return None  # "bricks in a carrier bag": only the bricks stand in
        here = [(m, i) for m, i in self.by_sent[sent] if i is not item]
        named = [(m, i) for m, i in here if i.status != "substitute" and i.status != "considered"]
        for m, other in named:
            if _INSTEAD.search(self.before(m)):
                return other
        for m, other in named:  # "bricks would do if you've no press"; "if you've no press, bricks would do"
            if _LACKING.search(self.before(m)) and not self._between_is_offer(m, offer):
                return other
        before = [(m, i) for m, i in named if m.start < offer.start]
        joined = [(m, i) for m, i in before if "or" in self.v.low[m.end : offer.start]]
        if joined:  # "with a fid, or the barrel of a pen"
            plain = [i for m, i in joined if "or" not in self.v.low[max(0, m.start - 5) : m.start]]
            return (plain or [joined[-1][1]])[-1]
        text = self.sentence(sent)
        for word in _FOR_THE_SORT.findall(text):  # "if you can't find the fabric sort"
            for back in range(1, _OFFER_BACK + 2):
                sort = [i for _, i in self.by_sent.get(sent - back, []) if word in i.words and i is not item]
                if sort:
                    return sort[-1]
        close = [i for _, i in before if i.status == "used"]
        close = [i for i in close if i.kind == item.kind] or (close if _SERVES.search(text) else [])
        if close:
            return close[-1]
        return self._looked_back_to(item, sent)

    def _between_is_offer(self, m: Mention, offer: Mention) -> bool:
        """Whether what is lacked stands in another clause than the offer: a full stop's worth of words between."""
        lo, hi = (m.end, offer.start) if m.end <= offer.start else (offer.end, m.start)
        return hi - lo > _WORDS

    def _looked_back_to(self, item: Gathered, sent: int) -> Gathered | None:
        """What the sentences before an offer are about: a thing of its sort, or the one that a pronoun means."""
        text = _OTHER_WAY.sub(" ", self.sentence(sent))
        looks, serves = _LOOKS_BACK.search(text), bool(_SERVES.search(text))
        for back in range(1, _OFFER_BACK + 1):
            there = [
                i
                for _, i in self.by_sent.get(sent - back, [])
                if i is not item and i.status in ("used", "mentioned") and i.kind in ("material", "tool")
            ]
            akin = [i for i in there if self.akin(i, item) and i.kind == item.kind]
            if akin and (looks or serves or back == 1):
                return ([i for i in akin if i.words & item.words] or akin)[-1]
            if there:
                used = [i for i in there if i.status == "used"]
                same = [i for i in used if i.kind == item.kind]
                if looks is not None and looks.group("what") in _MASS:  # "if you've not got any"
                    same = [i for i in used if i.kind == "material"]
                sure = back == 1 and (looks is not None or (serves and len({id(i) for i in same}) == 1))
                return same[-1] if sure and same else None
        return None

    # ------------------------------------------------------------------ choices

    def chosen(self, item: Gathered) -> _Choice | None:
        """What was taken where ``item`` was weighed and left."""
        v = self.v
        told = [m for m in item.mentions if m.status[CONSIDERED] >= _WEIGHED]
        told = told or [max(item.mentions, key=lambda m: m.status[CONSIDERED])]
        at = told[0].start
        for m in told:
            for other_m, other in self.by_sent[v.sent_of[m.start]]:
                if other is not item and other.status == "used" and _INSTEAD.search(self.before(m)):
                    if other_m.end <= m.start or v.sent_of[other_m.start] == v.sent_of[m.start]:
                        return _Choice(other, 0, at)
        if all(_LEFT_OUT.search(self.before(m)) for m in told):
            return None
        first = told[0]
        sent = v.sent_of[first.start]
        around = self.sentence(sent) + " " + (self.sentence(sent + 1) if sent + 1 < len(v.sents) else "")
        weighing = bool(_WEIGHING.search(around))
        turned = self._turned_to(item, told)
        if turned is not None:
            return _Choice(turned, 1 if weighing else 2, at)
        if not weighing:
            return None
        already = self._told_already(item, first)
        return _Choice(already, 3, at) if already is not None else None

    def _turned_to(self, item: Gathered, told: list[Mention]) -> Gathered | None:
        """The first thing after the weighing that is said to be what was taken."""
        v = self.v
        first, last = v.sent_of[told[0].start], v.sent_of[told[-1].start]
        if last - first > _ON:
            last = first
        for s in range(first, min(last + _ON, len(v.sents) - 1) + 1):
            for m, other in self.by_sent.get(s, []):
                if other is item or other.status != "used" or m.start < told[0].end or m.status[USED] < _STILL:
                    continue
                if self._is_turn(item, m, other, s - last):
                    return other
        return None

    def _is_turn(self, item: Gathered, m: Mention, other: Gathered, later: int) -> bool:
        """Whether ``m`` of ``other`` is told as the choice, ``later`` sentences after ``item`` was weighed."""
        before, after = self.before(m), self.after(m)
        akin, same = self.akin(other, item), other.kind == item.kind
        if later > 0 and self.other_part(m, before):
            return False
        if same and _TURN_AFTER.search(after) and (akin or later <= 2):
            return True
        if _TURN_BEFORE.search(before):
            work = _SO_THE.search(before) and not _NAMED_ONLY.search(after)  # "so the salt goes in now"
            return not work and (same or later <= 2)
        if _DONE_BEFORE.search(before):
            return akin or later <= 1 or (later <= 2 and not self.odd(other, item))
        if same and 0 <= later <= 2 and _IT_IS.search(before):
            return akin or later <= 1
        if same and akin and later <= 0 and _IS_THE.search(before):
            return True
        return same and akin and later <= 2 and bool(_ALONE.search(before)) and after.strip(" .!") == ""

    def _told_already(self, item: Gathered, first: Mention) -> Gathered | None:
        """A thing of the same sort that was said to be the one used, in the sentences before ``first``."""
        v = self.v
        sent = v.sent_of[first.start]
        part = _SO_MUCH_FOR.search(self.after(first))
        for s in range(sent, max(0, sent - _BACK) - 1, -1):
            for m, other in reversed(self.by_sent.get(s, [])):
                if other is item or other.status != "used" or other.kind != item.kind or m.start > first.start:
                    continue
                if not self.akin(other, item) or (part is not None and part.group(1) not in self.sentence(s)):
                    continue
                before = self.before(m)
                if _IS_THE.search(before) or (not before and _TOPIC.search(self.after(m))):
                    return other
        return None


def _sorts(lexicon: Lexicon, item: Gathered) -> frozenset[str]:
    """What sorts of thing an item is: its head, its telling words, its groups."""
    keys = [item.key]
    if item.full_name is not None:  # "The lining is a cotton sateen": of the sort of either
        keys += [name.lower().split() for name in item.aliases]
    return frozenset(item.key) | {"group " + g for key in keys for g in groups_of(lexicon, key, item.kind)}


def groups_of(lexicon: Lexicon, key: list[str], kind: str, *, stuffs: bool = False) -> set[str]:
    """The groups of a name in the craft files, and the class of its head in WordNet; those that hold all sorts are left out.

    ``stuffs``: metals and the like are a group as well, which says what a thing is of, not what it serves for.
    """
    loose = _LOOSE - _OF_STUFF if stuffs else _LOOSE
    out = set()
    for name in (" ".join(key), key[-1]):
        term = lexicon.find(name)
        if term is not None and term.kind == kind and term.group not in loose:
            out.add(_FAMILY.get(term.group, term.group))
    known = lexicon.wordnet_class(key[-1])
    if known is not None and known[0] not in loose and known[1] >= 0.25:
        out.add(_FAMILY.get(known[0], known[0]))
    return out
