"""Things talked of: what "it", "them" and "that one" stand for.

Speech names a thing once and then says "it" for a minute. The last thing that was worked on, or that opened the topic
("So the lid."), is the likeliest; number must agree, and people, places and times are never worked on.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from buildlog.outline.words import HEDGES, PLURAL_PRONOUNS, SINGULAR_PRONOUNS, names_topic
from buildlog.tag.clauses import clause_of

if TYPE_CHECKING:
    from buildlog.tag.clauses import Clause
    from buildlog.tag.lexicon import Lexicon
    from buildlog.tag.mentions import Mention
    from buildlog.tag.reader import Reading
    from buildlog.tag.view import View


@dataclass(slots=True)
class Thing:
    """A noun phrase: its head token, its ``name`` without article, whether it is plural, how likely it is worked on."""

    head: int
    name: str
    plural: bool
    weight: float
    kind: str | None = None
    topic: bool = False
    applied: bool = False
    listed: bool = False

    @property
    def the(self) -> str:
        """The thing as it is named a second time."""
        if self.name.split(" ", 1)[0] in ("each", "every", "both", "all", "one", "half"):
            return self.name
        return "the " + self.name


_PRAISE = frozenset(
    "nice lovely little big good great beautiful old new tiny bloody stupid silly cheap gorgeous pretty wee massive "
    "huge whole "
    "own other same next first last second third proper decent own usual actual certain particular more extra spare "
    "few "
    "couple only very such exact entire gigantic enormous horrible fancy famous favourite favorite".split()
)
_ROLE = {
    "dobj": 2.4, "nsubjpass": 2.4, "ROOT": 2.2, "attr": 1.8, "nsubj": 1.7, "appos": 1.2, "conj": 1.4, "oprd": 1.4,
    "dative": 1.2, "pobj": 0.9,
    "npadvmod": 0.3, "compound": 0.0,
}  # fmt: skip
# What is done to glue, thread and varnish themselves; everything else is done to what they are put on.
_APPLYING = frozenset(
    "spread brush wipe rub smear dab apply mix stir thin pour squeeze spray paint roll dry cure set knot tie wax snip".split()
)
_LIQUIDS = frozenset("beeswax wax soap water vinegar acetone detergent spirit turpentine starch bleach oil".split())
_WORKED = frozenset(["material", "piece", "product", "pattern", None])
_SHARPENING = frozenset("sharpen strop hone grind whet".split())
UNITS = frozenset(
    "degree inch mil millimetre millimeter centimetre centimeter foot ounce gram quarter half eighth cm mm".split()
)
_NO_THING = frozenset(["person", "abstract", "count"])
NEVER = frozenset(
    "yesterday today tomorrow way time times bit thing things lot kind sort day days night week weeks month minute minutes second seconds hour "
    "hours year "
    "reason idea point end sense fun trick job rest inch inches centimetre centimeters foot feet yard yards metre "
    "meters "
    "millimetre mil cm mm half quarter eighth side sides middle centre center top bottom front place room one ones "
    "video "
    "camera part everything something nothing anything people body hand hands finger fingers eye eyes face money "
    "pounds quid "
    "dollars bucks degrees step steps stuff deal bunch eighth eighths sixteenth sixteenths thirty forty fifty sixty "
    "ten twenty lot rest dozen hundred give shade noon afternoon evening christmas summer winter spring autumn radio "
    "kettle tea soup dog cat right left water air air world church potluck pile word words touch call name line "
    "question answer story turn fact smell noise sound look mess ounce ounces gram grams kilo litre pound times mine "
    "ours way ways size sizes shape kind amount number length direction work course case love life luck version "
    "advice morning evening".split()
)
_WORKED_PLACES = frozenset("edge seam hem corner hole end joint border groove".split())
_MEASURED_OF = frozenset(
    "piece strip length end edge side corner bit sheet top bottom inside outside pair back front".split()
)
_PARTS = frozenset("inside outside end top bottom back front side middle".split())
ITEMS = frozenset(["material", "piece", "product", "pattern"])
NEAR, NEAR_TOKENS, LIKELY, CERTAIN = 2, 30, 1.5, 2.0
SENTENCES = 2  # how far back a pronoun is sure of its thing
REACH = 70  # tokens: how far back a pronoun looks


def find_things(
    v: View, lexicon: Lexicon, clauses: list[Clause], mentions: list[Mention], reading: Reading | None
) -> list[Thing]:
    """Every noun phrase that could be worked on, in the order of the words."""
    out: list[Thing] = []
    kinds = {m.end - 1: m.kind for m in mentions if m.kind != "technique"}
    unused = {m.end - 1: m.status[0] < 0.4 for m in mentions if m.kind != "technique"}
    topics = {i for a, b in v.sents for i in range(a, b if names_topic(v, a, b) else _set_out(v, a, b))}
    for i, pos in enumerate(v.pos):
        alone = pos in ("ADV", "ADJ", "VERB") and _stands_alone(v, i) and lexicon.classify(v.low[i])[0] in ITEMS
        if (
            (pos not in ("NOUN", "PROPN") and not alone)
            or v.dep[i] == "compound"
            or not v.low[i][0].isalpha()
            or len(v.low[i]) < 2
        ):
            continue
        if v.low[i] in HEDGES:
            continue
        if i and i + 1 < len(v.low) and v.low[i - 1] == "a" and v.tag[i + 1] in ("JJR", "RBR"):
            continue  # "a hair bigger"
        if (
            v.low[i] in NEVER
            and not (
                v.dep[i] in ("dobj", "nsubjpass")
                and any(v.dep[k] == "nummod" for k in v.kids[i])
                and v.lemma[i] in ("side", "end", "front", "back", "top", "bottom", "half")
            )
            and not (v.low[i] in ("end", "side", "sides", "top", "bottom", "front", "piece") and _of(v, i))
        ):
            continue
        if i + 1 < len(v.low) and any(m.end > i + 1 for m in lexicon.technique_terms_at(v.lemma, v.low, i)):
            continue  # the "saddle" of "saddle stitch it"
        kind, _ = lexicon.classify(
            v.lemma[i], [v.lemma[k] for k in v.kids[i] if k < i and v.dep[k] in ("compound", "amod")]
        )
        kind = kinds.get(i, kind)
        role = v.dep[i]
        if role == "conj" and v.dep[v.head[i]] in ("dobj", "nsubjpass", "ROOT"):
            role = v.dep[v.head[i]]
        weight = _ROLE.get(role, 0.5)
        if kind in _NO_THING or kind is None:
            weight -= 1.3 if kind is not None else 0.6
        if kind == "place":
            weight -= 0.5 if v.lemma[i] in _WORKED_PLACES else 1.2
        if kind in ("tool", "reference"):
            weight = min(weight - 1.6, 0.2)
        elif kind in ("material", "piece", "product", "pattern"):
            weight += 0.4
        if role == "pobj" and v.low[v.head[i]] in ("of", "with", "by", "for", "in", "like", "than"):
            weight -= {"with": 1.5, "like": 2.5, "than": 2.5}.get(v.low[v.head[i]], 0.4)
        n = clause_of(clauses, v, i)
        worked = (
            n is not None
            and role in ("dobj", "nsubjpass")
            and clauses[n].real
            and v.lemma[clauses[n].verb] in lexicon.making_verbs
        )
        if worked:
            weight += 0.4 if kind not in ("tool", "reference") else 0.0
        elif kind is None:
            weight -= 1.5
        if n is not None:
            c = clauses[n]
            if c.relation == "reason" or c.mode in ("imagined", "habit", "question") or c.agent == "other":
                weight -= 1.0
            elif c.mode == "dropped":
                weight -= 1.5
        if reading is not None:
            weight -= (
                1.3
                * max(reading.inside("I", i, i + 1), 0.7 * reading.inside("K", i, i + 1))
                * (reading.inside("S", i, i + 1) < 0.5)
            )
        if unused.get(i):
            weight -= 1.5
        if reading is not None and reading.inside("S", i, i + 1) < 0.3:
            weight -= 0.3 if not unused.get(i, True) and kind in ("material", "piece", "product", "pattern") else 1.0
        if pos in ("NOUN", "PROPN") and _stands_alone(v, i) and v.low[i] in lexicon.making_verbs and kind not in ITEMS:
            continue  # "Rinse."
        if v.low[i].endswith("ing") and _stands_alone(v, i) and kind not in ITEMS:
            continue  # "Rolling."
        topic = (i in topics or alone) and role != "pobj" and kind not in ("tool", "reference")
        if topic:
            weight = max(weight, 2.0) + 0.6
        name = name_of(v, i)
        if name:
            applied = _is_applied(lexicon, v.lemma[i]) or _is_applied(lexicon, name)
            listed = not unused.get(i, True)
            out.append(Thing(i, name, v.tag[i] in ("NNS", "NNPS"), weight, kind, topic, applied, listed))
    return out


def _stands_alone(v: View, i: int) -> bool:
    """Whether token ``i`` is a sentence by itself: "Grout." """
    a, b = v.sents[v.sent_of[i]]
    return all(k == i or v.pos[k] == "PUNCT" or v.low[k] in ("so", "and", "okay", "right", "now") for k in range(a, b))


def _set_out(v: View, a: int, b: int) -> int:
    """The end of a thing named in front of its sentence: "The handles, those are leather"; ``a`` where there is none."""
    while a < b and v.low[a] in ("so", "and", "then", "now", "okay", "right"):
        a += 1
    for i in range(a + 1, min(a + 5, b - 1)):
        if v.text[i] == ",":
            return i if is_pronoun(v.low[i + 1]) or v.low[i + 1] == "they" else a
        if v.pos[i] not in ("NOUN", "PROPN", "ADJ", "NUM", "DET"):
            return a
    return a


def _is_applied(lexicon: Lexicon, lemma: str) -> bool:
    term = lexicon.find(lemma)
    if lemma.rsplit(" ", 1)[-1] in _LIQUIDS:
        return True
    return term is not None and term.group in (
        "adhesive",
        "coating",
        "fastener",
        "thread",
        "finish",
        "glue",
        "solvent",
        "abrasive",
    )


def _of(v: View, i: int) -> int | None:
    for k in v.kids[i]:
        if v.low[k] == "of" and k == i + 1:
            for g in v.kids[k]:
                if v.dep[g] == "pobj" and v.pos[g] in ("NOUN", "PROPN"):
                    return g
    return None


def name_of(v: View, i: int) -> str:
    """The noun phrase of head ``i`` in the shortest form that still tells it."""
    keep = [i]
    for k in v.kids[i]:
        if (
            k < i
            and v.dep[k] in ("compound", "amod", "nmod")
            and v.low[k] not in _PRAISE
            and v.low[k] not in HEDGES
            and v.low[k][0].isalnum()
        ):
            inner = [
                j
                for j in range(v.left[k], k + 1)
                if v.dep[j] in ("compound", "amod", "nmod", "punct")
                and v.text[j] not in ",."
                and v.low[j] not in HEDGES
            ]
            keep.extend(inner if k in inner else [*inner, k])
        elif k < i and v.dep[k] == "poss" and v.pos[k] == "NOUN":
            keep.extend(j for j in range(k, i) if v.pos[j] in ("NOUN", "PART"))
    keep = sorted(set(keep))
    while v.text[keep[0]] == "-":
        keep.pop(0)
        if keep[0] != i:
            keep.pop(0)  # "three-eighths seam": an amount's second half names nothing
    lo = keep[0]
    for j in range(i - 1, lo, -1):  # only what stands together
        if j not in keep and v.text[j] != "-":
            keep = [k for k in keep if k > j]
            break
    while len(keep) > 1 and v.lemma[keep[0]] in UNITS:
        keep.pop(0)  # "forty-five degree chamfer"
    words = v.words(keep[0], i + 1).split()
    name = " ".join(w if w[:1].isupper() and w[1:].isupper() else w.lower() for w in words)
    of = _of(v, i)
    if of is not None and v.lemma[i] in _MEASURED_OF:
        name += " of the " + name_of(v, of)
    return name


class Things:
    """Answers what a pronoun stands for; remembers its own answers, so that a chain of "it" holds."""

    def __init__(
        self, v: View, lexicon: Lexicon, clauses: list[Clause], mentions: list[Mention], reading: Reading | None = None
    ) -> None:
        self.v = v
        self.all = find_things(v, lexicon, clauses, mentions, reading)
        self.clauses = clauses
        self._reading = reading
        self._heads_of_headings = [a for a, b in v.sents if names_topic(v, a, b)]
        self._meant: dict[int, Thing | None] = {}
        self._warned_of = {o for c in clauses if c.negated for o in c.objs}
        self._verbs = [c.verb for c in clauses]
        self._heads = [t.head for t in self.all]

    def meant(self, pronoun: int, verb: str = "") -> Thing | None:
        """The thing that token ``pronoun`` ("it", "them", "those") stands for, or ``None`` where that is in doubt.

        ``verb`` is what is done to it. Beyond doubt is what the action in front was done to, or what a heading named,
        where nothing else was spoken of since: measured on the development narrations, anything farther off is right
        one time in two.
        """
        if pronoun not in self._meant:
            numbers = (self.v.low[pronoun] in PLURAL_PRONOUNS,)
            found = self._told_of(pronoun, verb, numbers)
            found = found if found is not None else self._worked_before(pronoun, verb, numbers)
            found = found if found is not None else self._alone_near(pronoun, verb, numbers)
            if found is not None and (found.name in ("piece", "pieces") or found.name.rsplit(" ", 1)[-1] == verb):
                found = None  # nobody waxes the wax
            if found is not None and found.head in self._warned_of:
                found = None  # "you can't taste raw pork, so I fry a bit and taste that"
            self._meant[pronoun] = found
        return self._meant[pronoun]

    def near(self, token: int, verb: str = "") -> Thing | None:
        """The thing of either number that is worked on at ``token``, or ``None`` where that is in doubt."""
        return self._worked_before(token, verb, (False, True))

    def _worked_before(self, token: int, verb: str, numbers: tuple[bool, ...]) -> Thing | None:
        v = self.v
        heading = self._heading(token)
        at = bisect_left(self._verbs, token) - 1
        while at >= 0:
            c = self.clauses[at]
            if v.sent_of[token] - v.sent_of[c.verb] > SENTENCES or token - c.verb > REACH:
                break
            if heading is not None and c.verb < heading.head:
                break
            heads = [*c.objs, *([c.subj] if c.passive and c.subj is not None else [])]
            heads = [self._bit_of(h) for h in heads if h < token]
            if v.lemma[c.verb] in ("draw", "trace", "wrap", "wind", "tie", "bend") and any(
                v.low[k] in ("round", "around") for h in heads for k in range(c.verb + 1, h)
            ):
                heads = []  # "I drew round the seat": the seat is what one draws by
            main = c.relation in ("main", "conj", "manner", "relative")
            main = main and v.lemma[c.verb] != "use"  # "cut it, using the base as a template"
            removed = c.particle is not None and v.low[c.particle] in ("off", "away")
            if removed and heads and v.sent_of[c.verb] != v.sent_of[token]:
                return None  # "The label was soaked off. Then I dried it": what it came off
            if main and c.real and not c.light and c.verb != token and heads and self._told(c.verb):
                return self._only(heads, token, verb, numbers)
            at -= 1
        if heading is not None and heading.plural in numbers and not (heading.applied and verb not in _APPLYING):
            return heading
        return None

    def _told_of(self, token: int, verb: str, numbers: tuple[bool, ...]) -> Thing | None:
        """What the clause right in front says something of: "The log was eight inches long. I split it", "Tiles.
        They're glass. I nipped them", "It's a strip of copper. I bent it round the rim"."""
        v = self.v
        at = bisect_left(self._verbs, token) - 1
        while at >= 0 and (
            self.clauses[at].light
            or v.head[token] == self.clauses[at].verb
            or token - self.clauses[at].verb < 3
            or self.clauses[at].relation == "relative"
        ):
            at -= 1
        if at < 0:
            return None
        c = self.clauses[at]
        told = self.clauses[max(0, at - 3) : at + 1]
        several = sum(d.mode == "state" and v.sent_of[d.verb] == v.sent_of[c.verb] for d in told) > 1
        if several and v.sent_of[token] != v.sent_of[c.verb]:
            return None  # "the bottom rail is oak and the top rail is ash"
        if v.lemma[c.verb] not in ("be", "'s") or c.subj is None or v.sent_of[token] - v.sent_of[c.verb] > 1:
            return None
        if not is_pronoun(v.low[c.subj]) and v.low[c.subj] != "they":
            found = self.at(c.subj)
        elif (heading := self._heading(c.verb)) is not None and heading.plural in numbers:
            found = heading
        else:
            found = self.at(c.attr) if c.attr is not None and c.attr > c.verb else None
            if found is not None and found.kind == "count" and v.lemma[found.head] in _MEASURED_OF:
                found = replace(found, name=v.low[found.head], kind="piece")  # "it's a strip of copper"
        if found is None or found.plural not in numbers or (found.applied and verb not in _APPLYING):
            return None
        if found.kind in ITEMS or found.topic or (found.listed and found.kind is not None):
            return found
        # "The cylinder is thirty by twelve", "the skin is goat": who measures a thing or says its stuff has it in hand
        stuff = c.attr is not None and (a := self.at(c.attr)) is not None and a.kind in ITEMS
        measured = any(v.lemma[i] in UNITS for i in range(c.verb + 1, min(v.right[c.verb] + 1, token)))
        mine = found.kind not in ("person", "place", "tool") and (measured or found.kind != "abstract")
        named = "the" in v.low[max(0, found.head - 2) : found.head]
        return found if mine and named and (stuff or measured) else None

    def _alone_near(self, token: int, verb: str, numbers: tuple[bool, ...]) -> Thing | None:
        """The one thing spoken of since the last action, if it is one: "The buttons are horn. I sewed them on"."""
        v = self.v
        at = bisect_left(self._heads, token)
        found: dict[str, Thing] = {}
        weights: dict[str, float] = {}
        for t in reversed(self.all[max(0, at - 20) : at]):
            if v.sent_of[token] - v.sent_of[t.head] > NEAR or token - t.head > NEAR_TOKENS:
                break
            if t.plural not in numbers or (t.applied and verb not in _APPLYING):
                continue
            if not (t.listed or (t.kind == "piece" and t.weight > CERTAIN) or t.topic):
                continue
            if (
                (t.kind not in ITEMS and not (t.kind == "tool" and verb in _SHARPENING))
                or t.weight < LIKELY
                or self._acted_between(t.head, token)
            ):
                continue
            if not t.topic and any(t.head < a < token for a in self._heads_of_headings):
                continue  # something else was announced since
            n = clause_of(self.clauses, v, t.head)
            if n is not None and self.clauses[n].relation in ("purpose", "reason", "condition"):
                continue  # "to get the soap out"
            key = t.name.rsplit(" ", 1)[-1]
            found.setdefault(key, t)
            weights[key] = max(weights.get(key, -9.0), t.weight)
        return next(iter(found.values())) if len(found) == 1 else None

    def _acted_between(self, head: int, token: int) -> bool:
        """Whether an action is told between ``head``, if it is not its object, and ``token``."""
        at = bisect_left(self._verbs, head)
        for c in self.clauses[at : bisect_left(self._verbs, token)]:
            objs = [*c.objs, *([c.subj] if c.passive else [])]
            if c.real and not c.light and c.verb != token and head not in objs and any((o or 0) < token for o in objs):
                return self._told(c.verb)
        return False

    def _told(self, verb: int) -> bool:
        return self._reading is None or self._reading.inside("S", verb, verb + 1) > 0.4

    def _bit_of(self, head: int) -> int:
        """ "cotton" of "a bit of the cotton"."""
        of = (
            _of(self.v, head) if self.v.low[head] in ("bit", "piece", "lot", "all", "rest", "scrap", "length") else None
        )
        return head if of is None else of

    def _only(self, heads: list[int], token: int, verb: str, numbers: tuple[bool, ...]) -> Thing | None:
        """The one thing among ``heads`` that fits, if nothing else that fits was spoken of since."""
        v = self.v
        found: list[Thing] = []
        for h in heads:
            t = self._meant.get(h) if is_pronoun(v.low[h]) else self.at(h)
            if t is None or t.plural not in numbers or (t.applied and verb not in _APPLYING):
                continue
            if t.kind not in _WORKED and not (t.kind == "place" and t.plural):
                continue
            if v.lemma[t.head] in _PARTS and " of " in t.name:
                continue  # "I filed the inside of the hole. Then it was warmed up": in doubt
            found.append(t)
        if len(found) != 1:
            return None
        after = bisect_left(self._heads, max(heads) + 1)
        for other in self.all[after : bisect_left(self._heads, token)]:
            rival = v.sent_of[other.head] != v.sent_of[max(heads)] or v.dep[other.head] in (
                "dobj",
                "nsubj",
                "nsubjpass",
            )
            told_used = other.kind == "container" and v.dep[other.head] == "dobj"
            if (
                rival
                and other.plural in numbers
                and (other.kind in _WORKED or told_used or (other.kind == "place" and v.dep[other.head] == "dobj"))
                and other.name != found[0].name
            ):
                return None
        return found[0]

    def _heading(self, token: int) -> Thing | None:
        """What a heading right before ``token`` names: "So the lid." """
        at = bisect_left(self._heads, token) - 1
        if at < 0:
            return None
        t = self.all[at]
        near = self.v.sent_of[token] - self.v.sent_of[t.head] <= SENTENCES
        return t if t.topic and near and t.kind in _WORKED else None

    def build(self) -> Thing | None:
        """The thing that the whole narration makes, as far as its first minutes tell ("this is going to be a
        holster")."""
        v = self.v
        for t in self.all:
            if t.head > min(220, len(v.text) // 3):
                return None
            head = v.head[t.head]
            if (
                any(v.low[k] in ("a", "an", "it", "that") and v.dep[k] == "det" for k in v.kids[t.head])
                and v.lemma[head] == "be"
            ):
                shown_as = v.low[v.sents[v.sent_of[t.head]][0] : t.head]
                if not any(w in ("this", "today", "making", "project") for w in shown_as):
                    continue  # "it's a hospital"
            if "like" in v.low[max(0, t.head - 5) : t.head]:
                continue
            made = v.dep[t.head] == "dobj" and v.lemma[head] in (
                "make",
                "build",
                "bind",
                "sew",
                "turn",
                "carve",
                "knit",
                "weave",
            )
            shown = (
                v.dep[t.head] == "attr"
                and v.lemma[head] == "be"
                and any(
                    v.dep[k] == "nsubj" and v.low[k] in ("this", "it", "project", "build", "that", "today")
                    for k in v.kids[head]
                )
            )
            if (made or shown) and t.kind not in (
                "person",
                "abstract",
                "place",
                "tool",
                "count",
                "reference",
                "material",
            ):
                return replace(t, name=t.name.split("'s ")[-1])
        return None

    def at(self, head: int) -> Thing | None:
        """The thing whose head is token ``head``."""
        i = bisect_left(self._heads, head)
        return self.all[i] if i < len(self.all) and self._heads[i] == head else None


def is_pronoun(low: str) -> bool:
    """Whether the word stands for a thing named elsewhere."""
    return low in SINGULAR_PRONOUNS or low in PLURAL_PRONOUNS
