"""The desk for viewers' questions: a short answer from one part's log with the minute it was said, or "not said".

What kind of answer a question wants (a thing, an amount, a price, a link, a substitute, a minute) is read from its
words; which moment it is about is found as everything is found. The answer is then a fact of the log that belongs to
that moment, with the maker's own sentence. Nothing is worked out, guessed or carried over from another video.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Literal, NamedTuple

import msgspec

from buildlog.archive import Archive
from buildlog.document import Item, Log, Measurement, Mention, Price
from buildlog.find.moments import cut_of
from buildlog.find.searching import Found, Hit, Only, search
from buildlog.find.showing import minute
from buildlog.find.wording import EMPTY, stem, stems, words_of
from buildlog.tag.lexicon import Lexicon

NOT_SAID = "Not said in this video."
Wants = Literal["link", "instead", "price", "fit", "amount", "thing", "minute"]

_PATTERNS: dict[Wants, tuple[str, ...]] = {
    "link": (
        r"\blinks?\b|\burl\b",
        r"\bwhere (can|could|do|did|to|would) (i|you|we|one)? ?(buy|get|order|find|download)\b",
        r"\bwhere.*\bfrom\b",
    ),
    "instead": (
        r"\binstead\b|\bsubstitut|\balternative|\breplace\b|\bother than\b",
        r"\b(haven't|have not|don't have|without|no) (got )?(a|an|any)\b",
    ),
    "price": (
        r"\bcosts?\b|\bprices?\b|\bpay\b|\bpaid\b|\bexpensive\b",
        r"\bhow much (is|are|was|were) (an?|the|that|it|this|those|these)\b",
    ),
    "fit": (r"\bfit (me|my)\b|\bmy size\b", r"\bfor a (bigger|smaller|larger|taller|different)\b"),
    "amount": (
        r"\bhow (much|many|long|wide|deep|thick|big|far|tall|high|heavy|hot|fine|fast|often)\b",
        r"\b(what|which) (size|length|width|depth|thickness|height|temperature|heat|setting|stitch length)\b",
        r"\b(what|which) (tension|grit|angle|spacing|distance|allowance|seam allowance|diameter|radius|speed|weight)\b",
    ),
    "minute": (
        r"\b(what|which) (minute|time|point)\b|\btimestamp\b|\bwhen do you\b",
        r"\bwhere (in the video|do you (show|do|explain))\b",
    ),
    "thing": (r"\b(what|which)\b",),
}
_WANTS = tuple((w, re.compile("|".join(patterns), re.I)) for w, patterns in _PATTERNS.items())
# What a viewer calls a sort of thing -> the lexicon's groups and classes of it.
_SORTS: dict[str, frozenset[str]] = {
    stem(word): frozenset(groups.split())
    for words, groups in (
        ("fabric cloth textile", "fabric inner fibre quilting"),
        ("leather hide skin", "leather"),
        ("wood timber lumber", "timber"),
        ("thread yarn cord twine string", "thread cord fibre yarn"),
        ("glue adhesive cement", "adhesive"),
        ("paint finish oil varnish stain wax dye", "finish coating chemical dye"),
        ("paper card", "paper"),
        ("wire metal", "metal cord"),
        ("screw nail fastener button zip tack rivet", "fixing fastener notion hardware upholstery"),
    )
    for word in words.split()
}
_TOOLS = frozenset(
    map(stem, "tool machine saw needle knife blade bit iron scissors hammer plane brush drill foot ruler".split())
)
_HEAT = frozenset(["degree_Fahrenheit", "degree_Celsius", "degree"])
# Words for one sort of a thing only: "which stain" is not answered by an oil.
_ONLY_ITS_OWN = frozenset(
    map(stem, "oil varnish stain wax dye paint screw nail fastener button zip tack rivet".split())
)
_ANY_TOOL = frozenset(map(stem, "tool machine".split()))
_MONEY = re.compile(
    r"[£$€₹]\s?\d[\d.,]*|(?:\b(?:\d[\d.,]*|an?|half|and|point|zero|one|two|three|four|five|six|seven|eight|nine|ten|eleven|"
    r"twelve|\w+teen|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety|hundred|thousand)[\s-]+)+"
    r"(?:dollars?|bucks?|quid|pounds?|pence|pee|euros?|cents?|rupees?|krona|kroner)\b(?: (?:a|an|per|each|the) \w+)?",
    re.I,
)
_FIGURE = (
    r"(?:\d[\d.,]*\d|\d|(?:(?:zero|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\w+teen|twenty|thirty|"
    r"forty|fifty|sixty|seventy|eighty|ninety|hundred|thousand)[\s-]?)+)"
)
# A figure that stands alone where a price would: "it was eight ninety-nine", "wire was fourteen so".
_BARE = re.compile(
    r"\b(?:was|were|is|it's|that's|thats|costs?|paid|comes to|came to)\s+(?:only |about |like |around )?"
    rf"(?P<sum>{_FIGURE})(?=\s*(?:[.,;!?]|$)|\s+(?:so|and|but|each|altogether|all in|in all|for the|which|then)\b)",
    re.I,
)
_ALL_OF_IT = re.compile(r"\b(all|altogether|total|whole|everything|comes? to|came to|so that'?s|in all)\b", re.I)
# Which units answer "how long", "how many", "how hot".
_LENGTH = frozenset("inch foot yard meter centimeter millimeter thou".split())
_TIME = frozenset("second minute hour day week month".split())
_WEIGHT = frozenset("gram kilogram ounce pound stone tonne".split())
_SPEED = frozenset("revolutions_per_minute kilometer_per_hour mile_per_hour".split())
_UNITS: tuple[tuple[re.Pattern[str], frozenset[str | None]], ...] = (
    (re.compile(r"\bhow (many|often)\b", re.I), frozenset([None])),
    (re.compile(r"\bhow long\b.*\b(wait|leave|dry|take|soak|bake|sit|cure|between)\b", re.I), _TIME),
    (re.compile(r"\bhow long\b.*\b(does|do|did|until|should|connected|left)\b", re.I), _TIME),
    (re.compile(r"\bhow long\b", re.I), _LENGTH | _TIME),
    (re.compile(r"\bhow (wide|deep|thick|far|tall|high|big)\b|\b(width|depth|thickness|height)\b", re.I), _LENGTH),
    (re.compile(r"\bhow heavy\b|\bweigh|\bweight\b", re.I), _WEIGHT),
    (re.compile(r"\bhow fast\b|\bspeed\b|\brpm\b", re.I), _SPEED),
    (re.compile(r"\bangle\b|\bhow steep\b", re.I), frozenset(["degree"])),
    (re.compile(r"\bhow hot\b|\btemperature\b|\bheat\b", re.I), _HEAT),
)


# Between a thing and what it is said to be.
_BEING = re.compile(
    r"(?:\b(?:is|are|was|were|made of|made from|out of|cut from)|'s|'re)\s+(?:an?\s+|the\s+)?(?:[\w-]+\s+){0,2}$"
)
_WHICH = re.compile(r"\b(?:what|which)(?: (?:kind|sort|type) of)? (?P<head>\w+)\b", re.I)
# "The clay is on the wheel" says nothing of what clay it is.
_NO_KIND = frozenset("the on in at too very so now not getting going ready gone up out off done all still just".split())


class Answer(msgspec.Struct, frozen=True, kw_only=True):
    """What to tell a viewer. ``said`` is false where the video does not say it; then ``nearest`` may be worth a look.

    ``quote`` is the maker's sentence that the answer rests on, at ``at_s`` of the part.
    """

    question: str
    wants: str
    said: bool
    text: str
    at_s: float | None = None
    quote: str | None = None
    hit: Hit | None = None
    nearest: Hit | None = None


def wanted(question: str) -> Wants:
    """What kind of answer a question wants."""
    return next((w for w, pattern in _WANTS if pattern.search(question)), "minute")


def answer(archive: Archive, part_id: int, question: str, *, vectors: bool = True) -> Answer:
    """Answer a viewer's question from one part. Raises :class:`BadInput` for a question without words."""
    part = archive.builds.part(part_id)
    log = archive.log(part_id)
    wants = wanted(question)
    found = search(archive, question, only=Only(build=part.build, part=part.number), limit=5, vectors=vectors)
    desk = _Desk(log, question, found)
    made = {
        "link": desk.link,
        "instead": desk.instead,
        "price": desk.price,
        "fit": desk.fit,
        "amount": desk.amount,
        "thing": desk.thing,
        "minute": desk.minute,
    }[wants]()
    if made is not None:
        text, at_s, quote = made
        hit = next((h for h in found.hits if h.start_s - 1 <= at_s <= h.end_s + 1), None)
        said = quote or desk.sentence(at_s)
        return Answer(question=question, wants=wants, said=True, text=text, at_s=at_s, quote=said, hit=hit)
    nearest = found.hits[0] if found.hits and not found.nowhere else None
    return Answer(question=question, wants=wants, said=False, text=NOT_SAID, nearest=nearest)


class Said(NamedTuple):
    """An answer: its text, the second it was said at, and the sentence where it is not simply the one said then."""

    text: str
    at_s: float
    quote: str | None = None


class _Desk:
    """One question over one log."""

    def __init__(self, log: Log, question: str, found: Found) -> None:
        self.log = log
        self.found = found
        cut = cut_of(log.transcript)
        self.cuts = [cut[n] for n in range(len(cut))]
        self.question = question
        self.words = [w for w in words_of(question) if w not in EMPTY and w not in _ASKING]
        self.topic = set(stems(self.words))
        self.sure = [] if found.nowhere else [h for h in found.hits if h.score >= 0.7 * found.hits[0].score][:3]

    # What the log says ------------------------------------------------------------------------------------------

    def sentence(self, at_s: float) -> str:
        """The sentence said at ``at_s``. Times inside a line are interpolated, so a little later counts too."""
        n = self._cut_at(at_s)
        return "" if n is None else " ".join(w.text for w in self.cuts[n])

    def _cut_at(self, at_s: float) -> int | None:
        before = [n for n, cut in enumerate(self.cuts) if cut[0].start_s <= at_s + 0.3]
        return before[-1] if before else None

    def _about(self, names: Iterable[str]) -> bool:
        """Whether a thing of these names is asked about: by all its words, or its last in a short question."""
        for name in names:
            own = stems(words_of(name))
            if own and (set(own) <= self.topic or (own[-1] in self.topic and len(self.topic) <= 3)):
                return True
        return False

    def _items(self) -> list[Item]:
        """The items asked about: by name, or other names the craft has for them."""
        lexicon = Lexicon.load()
        out = []
        for item in self.log.items:
            names = [item.name, *item.aliases]
            term = lexicon.find(item.name)
            if term is not None:
                names += [term.name, *term.aliases]
            if self._about(names):
                out.append(item)
        return sorted(out, key=lambda i: (i.status != "used", -len(set(stems(words_of(i.name))) & self.topic)))

    def _near(self, times: Iterable[float]) -> float | None:
        """The first of ``times`` that lies in one of the moments found."""
        moments = list(times)
        for hit in self.sure:
            for t in moments:
                if hit.start_s - 0.5 <= t <= hit.end_s + 0.5:
                    return t
        return None

    # Kinds of answers: (text, second) or None where it is not said ----------------------------------------------

    def link(self) -> Said | None:
        items = self._items()
        for item in items:
            if item.link:
                return Said(f"{_named(item)}: {item.link}", item.first_s)
        ids = {i.id for i in items}
        for owed in self.log.links_owed:
            told_of = bool(self.topic) and self._held(self.topic, owed.start_s) > 0.8
            if owed.item in ids or self._about([owed.what]) or told_of or (not self.topic and owed.url):
                if owed.url:
                    return Said(f"{_capital(owed.what)}: {owed.url}", owed.start_s, owed.text)
                told = f"A link was promised at {minute(owed.start_s)} and is not there yet."
                return Said(told, owed.start_s, owed.text)
        for item in items:
            if item.search_words:
                return Said(f"Search for “{item.search_words}”.", item.first_s)
            if item.source:
                return Said(f"{_named(item)}: {_sources(item.source)}.", item.first_s)
        return None

    def instead(self) -> Said | None:
        asked = {i.id for i in self._items()}
        offers = [i for i in self.log.items if i.status == "substitute" and (i.instead_of in asked or not asked)]
        if offers:
            return Said(_listed([i.name for i in offers]), offers[0].first_s)
        near = [
            i
            for i in self.log.items
            if i.status == "substitute"
            and (self._near([i.first_s]) is not None or self._held(self.topic, i.first_s) > 0.6)
        ]
        return Said(_listed([i.name for i in near]), near[0].first_s) if near else None

    def price(self) -> Said | None:
        for item in self._items():
            if item.price is not None:
                at = self._where(item.price.text, [m.start_s for m in item.mentions])
                return Said(f"{_named(item)}: {_price(item.price)}.", item.first_s if at is None else at)
        whole = not self.topic - _ALL_STEMS and not self._items()
        if whole and self.log.total_said is not None:
            spoken = self.log.total_said
            at = self._where(spoken.text, [])
            if at is not None:
                return Said(f"All of it: {_price(spoken)}.", at)
        return self._sum_named(whole)

    def _sum_named(self, whole: bool) -> Said | None:
        """A sum of money said in a sentence about what is asked for, or about all of it: in the maker's words."""
        best: tuple[float, Said] | None = None
        for cut in self.cuts:
            said = " ".join(w.text for w in cut)
            sums = [(m.span(), 1.0) for m in _MONEY.finditer(said)]
            sums += [(m.span("sum"), 0.95) for m in _BARE.finditer(said)]
            for (start, end), sure in sums:
                if whole:
                    held = 0.9 * sure if _ALL_OF_IT.search(said[:start]) else 0.0
                else:
                    before = stems(words_of(said[: end + 40]))
                    share = len(self.topic & set(before)) / len(self.topic)
                    # "The chicken wire", then "wire was fourteen".
                    if sure < 1.0 and stems(words_of(said[:start]))[-2:-1] == stems(self.words[-1:]):
                        share = max(share, 0.75)
                    held = sure * max(share, 0.9 * self._held(self.topic, cut[0].start_s))
                if held >= 0.7 and (best is None or held > best[0] + 1e-9 or (whole and held >= best[0])):
                    best = (held, Said(f"{_capital(said[start:end].strip())}.", cut[0].start_s, said))
        return None if best is None else best[1]

    def _where(self, words: str, near: list[float]) -> float | None:
        """When ``words`` are said: the time nearest to one of ``near``, or the first; ``None`` where they are not."""
        told = " ".join(words_of(words))
        found = [
            cut[0].start_s for cut in self.cuts if told and told in " ".join(words_of(" ".join(w.text for w in cut)))
        ]
        return min(found, key=lambda t: min((abs(t - n) for n in near), default=0.0), default=None)

    def fit(self) -> Said | None:
        if not self.log.derived:
            return None
        rules = [f"{d.result} = {d.formula}" for d in self.log.derived]
        return Said(f"It is made to measure: {'; '.join(rules[:4])}.", self.log.derived[0].start_s)

    def amount(self) -> Said | None:
        units = next((u for pattern, u in _UNITS if pattern.search(self.question)), None)
        names = {i.id: [i.name, *i.aliases, *self._sorts_of(i)] for i in self.log.items}
        much = re.search(r"\bhow much\b", self.question, re.I) is not None
        best: tuple[float, Measurement] | None = None
        for m in self.log.measurements:
            if units is not None and m.unit not in units:
                continue
            about = [*([m.of] if m.of else []), *names.get(m.item or "", []), *([m.piece] if m.piece else [])]
            held = {s for text in about for s in stems(words_of(text))} & self.topic
            inside = next((k for k, h in enumerate(self.sure) if h.start_s - 0.5 <= m.start_s <= h.end_s + 0.5), None)
            told = self._held(self.topic, m.start_s)
            # In the moment found, or said of all that is asked about.
            if inside is None and not (held and held == self.topic) and told < 0.8:
                continue
            share = max(len(held) / (len(self.topic) or 1), 0.8 * told)
            rank = 2.0 * share + (1.0 - 0.3 * inside if inside is not None else 0.0)
            rank -= 0.7 if much and m.unit is None else 0.0  # "twelve strokes" are many, not much
            if best is None or rank > best[0] + 1e-9:
                best = (rank, m)
        if best is None and units is not None and not self.topic:
            fitting = [m for m in self.log.measurements if m.unit in units]
            if len({m.text.casefold() for m in fitting}) == 1:  # "how much does it weigh": there is but one weight
                best = (0.0, fitting[0])
        if best is None:
            return None
        m = best[1]
        return Said(f"{_capital(m.text)}{f' ({m.of})' if m.of and m.of not in m.text else ''}.", m.start_s)

    def _sorts_of(self, item: Item) -> list[str]:
        """The words of the question that name a sort of thing which ``item`` is of: a calf is "the leather"."""
        return [w for w in self.words if stem(w) in _SORTS and _is_of(item, _SORTS[stem(w)])]

    def thing(self) -> Said | None:
        asked = [stem(w) for w in self.words]
        sort = next((_SORTS[w] for w in asked if w in _SORTS), None)
        kind = "tool" if sort is None and any(w in _TOOLS for w in asked) else None
        named = {w for w in asked if w in _TOOLS - _ANY_TOOL} if kind else {w for w in asked if w in _ONLY_ITS_OWN}
        kind = kind or next((k for k in ("pattern", "reference") if stem(k) in self.topic), None)
        if sort is None and kind is None:
            return self._stated(asked) or self.minute()
        topic = {w for w in asked if w not in _SORTS and w not in ("pattern", "tool")}
        best: tuple[float, float, Item] | None = None
        for item in self.log.items:
            own = set(stems(words_of(item.name)))
            if item.status != "used" or own <= (named or {*topic, *(w for w in asked if w in _SORTS)}):
                continue  # "what cloth is the lining": "lining" is no answer
            if (kind is not None and item.kind != kind) or (sort is not None and not _is_of(item, sort)):
                continue
            if named and not named & _all_names(item):
                continue
            for m in item.mentions:
                held = self._held(topic, m.start_s)
                if held > 0.5 or not topic or (named and kind == "tool"):
                    rank = held + 0.1 * item.confidence
                    rank += 0.1 if self._near([m.start_s]) is not None else 0.0
                    rank += 0.1 if item.instead_of is not None else 0.0
                    rank += 0.25 if self._is_said_to_be(topic, m) else 0.0
                    if best is None or rank > best[0] + 1e-9:
                        best = (rank, m.start_s, item)
        if best is None:
            return self._stated(asked) if kind is not None else None
        return Said(f"{_capital(best[2].name)}.", best[1])

    def _is_said_to_be(self, topic: set[str], mention: Mention) -> bool:
        """Whether the sentence says that what is asked about is, or is made of, what is mentioned."""
        said, name = self.sentence(mention.start_s).casefold(), mention.text.casefold()
        before, found, _ = said.partition(name)
        being = _BEING.search(before) if found else None
        return being is not None and bool(topic & set(stems(words_of(before[: being.start()]))))

    def _stated(self, asked: list[str]) -> Said | None:
        """Where it is said what the thing asked for is: "clay's a white stoneware", "a quarter inch blade"."""
        named = _WHICH.search(self.question)
        head = stem(named["head"].casefold()) if named else ""
        if head not in asked:
            return None
        rest = set(asked) - {head}
        best: tuple[float, float] | None = None
        for cut in self.cuts:
            words = words_of(" ".join(w.text for w in cut))
            for n, word in enumerate(words):
                if stem(word) != head:
                    continue
                being = words[n + 1 : n + 3]
                is_one = (
                    len(being) == 2 and being[0] in ("is", "are", "was", "were", "s", "re") and being[1] not in _NO_KIND
                )
                kind = [w for w in words[max(0, n - 3) : n] if w not in EMPTY]
                of_kind = bool(kind) and n > 0 and words[n - 1] not in EMPTY
                rank = (1.0 if is_one else 0.6 if of_kind else 0.0) + (
                    self._held(rest, cut[0].start_s) if rest else 0.0
                )
                if (is_one or of_kind) and (not rest or self._held(rest, cut[0].start_s) > 0.6):
                    if best is None or rank > best[0] + 1e-9:
                        best = (rank, cut[0].start_s)
        return None if best is None else Said(f"At {minute(best[1])}.", best[1])

    def _held(self, topic: set[str], at_s: float) -> float:
        """How much of ``topic`` is said in the sentence at ``at_s``; what is said one or two before counts less."""
        n = self._cut_at(at_s)
        if n is None or not topic:
            return 0.0
        held: dict[str, float] = {}
        for back, weight in ((0, 1.0), (1, 0.85), (2, 0.7)):
            if n >= back and at_s - self.cuts[n - back][-1].end_s < 12.0:
                said = set(stems(words_of(" ".join(w.text for w in self.cuts[n - back]))))
                held.update({s: weight for s in topic & said if s not in held})
        return sum(held.values()) / len(topic)

    def minute(self) -> Said | None:
        if not self.sure:
            return None
        hit = self.sure[0]
        off = "" if hit.on_camera else " It was done off camera."
        return Said(f"At {minute(hit.at_s)}.{off}", hit.at_s)


_ASKING = frozenset(
    """link links url buy get order download instead substitute alternative alternatives replace cost costs price much
    many long wide deep thick big far tall high heavy hot size length fit kind type sort made making done long often
    without got money pay paid expensive angle temperature speed fast weigh weight width depth thickness height color
    colour""".split()
)  # fmt: skip
_ALL_STEMS = frozenset(map(stem, "all altogether total whole everything project build".split()))


def _is_of(item: Item, groups: frozenset[str]) -> bool:
    lexicon = Lexicon.load()
    term = lexicon.find(item.name, item.kind)
    if term is not None and term.group in groups:
        return True
    head = words_of(item.name)[-1:] or [""]
    known = lexicon.wordnet_class(head[0])
    if known is not None and known[0] in groups:
        return True
    last = lexicon.find(head[0], item.kind)
    return last is not None and last.group in groups


def _all_names(item: Item) -> set[str]:
    """The stems of an item's names, those that the craft has for it among them."""
    term = Lexicon.load().find(item.name, item.kind)
    names = [item.name, *item.aliases, *((term.name, *term.aliases) if term is not None else ())]
    return {s for name in names for s in stems(words_of(name))}


def _named(item: Item) -> str:
    return _capital(item.name)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _listed(names: list[str]) -> str:
    return _capital(" or ".join(dict.fromkeys(names))) + "."


def _sources(source: str) -> str:
    return {"stash": "it was in the maker's stash", "bought": "bought, the shop was not named"}.get(source, source)


def _price(price: Price) -> str:
    if price.text:
        return price.text
    about = "about " if price.approximate else ""
    return f"{about}{price.amount:g} {price.currency or ''}".strip() + (f" for {price.per}" if price.per else "")
