"""Mentions: stretches of the words that name a material, tool, pattern, reference or technique.

Two finders, one shape: the trained reader where it is installed, a lexicon with rules where it is not. Where both have
something to say the reader decides and the lexicon mends: it settles a kind the reader is unsure of, and it brings in a
term that the reader let slip in the middle of a step.

Sets ``doc._.mentions``: a list of :class:`Mention` in the order of the words, not overlapping.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from buildlog.tag.amounts.amount import Amount
from buildlog.tag.clauses import Clause, clause_of
from buildlog.tag.lexicon import Lexicon, Match, lexicon_of
from buildlog.tag.reader import Reading
from buildlog.tag.repairs import misheard_for_sure
from buildlog.tag.view import View, view_of

if TYPE_CHECKING:
    from spacy.tokens import Doc

Kind = Literal["material", "tool", "pattern", "reference", "technique"]
LETTER: dict[str, Kind] = {"M": "material", "T": "tool", "P": "pattern", "R": "reference", "X": "technique"}
USED, CONSIDERED, SUBSTITUTE, MENTIONED = range(4)
DONE = (0.9, 0.03, 0.02, 0.05)  # the status of a technique that a rule found where work is told


@dataclass(slots=True)
class Mention:
    """Tokens ``start`` to ``end`` name a thing of ``kind``. ``status`` are the probabilities of used, considered,
    substitute, mentioned (techniques: done is the first, all else the last). ``sure`` is 0 to 1."""

    start: int
    end: int
    kind: Kind
    status: tuple[float, float, float, float]
    sure: float

    @property
    def head(self) -> int:
        """The last token, which names the kind of thing ("canvas" of "waxed canvas")."""
        return self.end - 1


_TRIM_START = frozenset(
    "a an the this that these those my our your his her their its some any no more another other each every both all of "
    "little bit lovely nice beautiful good old new big small same own whole proper decent cheap ordinary normal actual "
    "few couple few several many much just really very quite only extra spare pretty plain one such certain".split()
)
# What a name loses at its end: auxiliaries that a contraction left there ("the hair can't").
_TAILS = frozenset(
    "ca wo sha ai do does did is are was were will would can could should has have had gets goes".split()
)
# Adjectives that only size or praise: a name loses them at its front, but a telling one ("old" in "old sheets") may stay
# where nothing else would be left.


# How much the lexicon's word on a kind weighs against the reader's, in log units; and how much of the reader's assent
# a stretch needs that the lexicon knows as a craft term, one it does not know, and one whose head it knows as no item.
_LEXICON_WEIGHT = 3.0
_WHOLE_WEIGHT = 8.0  # where the lexicon knows the whole name, not only its head
_KNOWN_FLOOR, _FLOOR, _UNKNOWN_FLOOR, _AGAINST_FLOOR = 0.25, 0.5, 0.6, 0.85
_KINDS: tuple[Kind, ...] = ("material", "tool", "pattern", "reference", "technique")
_NO_ITEM = frozenset(["person", "place", "abstract", "piece", "product", "count"])
_STOPS = frozenset(".?!,;:()")
_NAMING = frozenset(["NOUN", "PROPN", "NUM", "X", "SYM"])


def from_reader(v: View, reading: Reading, lexicon: Lexicon) -> list[Mention]:
    """Mentions read by the trained reader, the lexicon heard on what a term is and where it ends."""
    p = reading.layers["kind"]
    status = reading.layers["status"]
    begin_mass = p[:, 1::2]
    inside_mass = p[:, 2::2]
    order = [reading.kinds.index(letter) for letter in LETTER]
    out: list[Mention] = []
    for start, end in _stretches(
        v, p[:, 0].tolist(), begin_mass.sum(axis=1).tolist(), inside_mass.sum(axis=1).tolist(), lexicon
    ):
        mass = (begin_mass[start:end] + inside_mass[start:end]).mean(axis=0)
        kind, sure = _weigh(v, lexicon, start, end, [float(mass[k]) for k in order])
        if kind is not None:
            s = status[start:end].mean(axis=0)
            out.append(Mention(start, end, kind, (float(s[0]), float(s[1]), float(s[2]), float(s[3])), sure))
    return out


def _stretches(
    v: View, outside: list[float], begins: list[float], insides: list[float], lexicon: Lexicon
) -> list[tuple[int, int]]:
    """Where names stand: runs of tokens likelier inside a name than not, known terms kept whole, ends straightened."""
    n = len(v.text)
    known = _known_terms(v, lexicon)
    inside = [o <= 1.0 - _FLOOR for o in outside]
    for start, end, _ in known:
        if all(outside[i] <= 1.0 - _KNOWN_FLOOR for i in range(start, end)):
            inside[start:end] = [True] * (end - start)
    joined = {i for start, end, _ in known for i in range(start + 1, end)}
    out: list[tuple[int, int]] = []
    i = 0
    while i < n:
        if not inside[i]:
            i += 1
            continue
        j = i + 1
        while (
            j < n
            and inside[j]
            and v.text[j] not in _STOPS
            and (insides[j] >= begins[j] or j in joined or _one_phrase(v, j))
        ):
            j += 1
        # An adjective left alone takes its noun along: "unbleached | calico".
        while (
            j < n
            and v.pos[j - 1] in ("ADJ", "NUM")
            and v.head[j - 1] >= j
            and v.head[j - 1] <= j + 1
            and v.pos[v.head[j - 1]] == "NOUN"
        ):
            j = v.head[j - 1] + 1
        start, end = _trim(v, i, j)
        # A noun in front that belongs to the head is part of the name: "battery | holder".
        floor = out[-1][1] if out else 0
        while (
            start < end and start > floor and v.dep[start - 1] == "compound" and start <= v.head[start - 1] < end
            and v.pos[start - 1] in ("NOUN", "PROPN") and v.low[start - 1] not in _TRIM_START and v.text[start - 1][0].isalpha()
        ):  # fmt: skip
            start -= 1
        if end > start:
            out.append((start, end))
        i = j
    return out


def _one_phrase(v: View, j: int) -> bool:
    """Whether token ``j`` goes on with the noun phrase that token ``j - 1`` is in as a modifier."""
    return v.dep[j - 1] in ("amod", "compound", "nummod") and v.head[j - 1] >= j and v.head[j - 1] - j <= 2


def _weigh(v: View, lexicon: Lexicon, start: int, end: int, mass: list[float]) -> tuple[Kind | None, float]:
    """The kind of tokens ``start`` to ``end``, the reader's probabilities mended by the lexicon, and how sure."""
    head = end - 1
    thing, technique = max(mass[:4]), mass[4]
    total = sum(mass)
    known, sure = _class(v, lexicon, start, head)
    whole = lexicon.find(v.words(start, end)) if end - start > 1 else None
    if whole is not None and (whole.ambiguous or whole.kind not in _KINDS[:4]):
        whole = None
    if technique >= thing and whole is not None and known == whole.kind:
        return _KINDS[_KINDS.index(known)], total  # "buttonhole twist" makes no buttonholes
    if technique >= thing:
        return ("technique", total) if _is_technique(v, lexicon, start, end, total) else (None, 0.0)
    item_share = sum(mass[:4])
    determined = (
        start > 0 and v.pos[start - 1] == "DET" and item_share >= _AGAINST_FLOOR
    )  # "a lighter", mistaken for an adjective
    if not any(v.pos[i] in _NAMING for i in range(start, end)) and known not in _KINDS and not determined:
        return None, 0.0  # "gonna", "loose": nothing there names a thing
    if known in _NO_ITEM and item_share < (_AGAINST_FLOOR if sure >= 0.6 else _UNKNOWN_FLOOR):
        return None, 0.0
    if known is None and item_share < _UNKNOWN_FLOOR:
        return None, 0.0
    weights = [math.log(max(1e-3, m)) for m in mass[:4]]
    if known in _KINDS[:4]:
        told = whole is not None and whole.kind == known
        weights[_KINDS.index(known)] += (_WHOLE_WEIGHT if told else _LEXICON_WEIGHT) * sure
    best = max(range(4), key=lambda k: weights[k])
    return _KINDS[best], min(1.0, item_share)


def _class(v: View, lexicon: Lexicon, start: int, head: int) -> tuple[str | None, float]:
    """What the lexicon holds tokens ``start`` to ``head`` for, as the parser takes them or, where it takes a name for
    something else ("Coping saw for that", "these shears"), as they are said."""
    spelled = [i for i in range(start, head) if v.text[i][0].isalpha()]
    known, sure = lexicon.classify(v.lemma[head], [v.lemma[i] for i in spelled])
    if known not in _KINDS[:4] and v.low[head] != v.lemma[head]:
        said, how_sure = lexicon.classify(v.low[head], [v.low[i] for i in spelled])
        if said in _KINDS[:4]:
            return said, how_sure
    return known, sure


def _is_technique(v: View, lexicon: Lexicon, start: int, end: int, total: float) -> bool:
    """Whether the reader's technique at tokens ``start`` to ``end`` is one: known, or a verb of making, or very sure."""
    if any(m.end > m.start for i in range(start, end) for m in lexicon.technique_terms_at(v.lemma, v.low, i)):
        return True
    verbs = [i for i in range(start, end) if v.pos[i] == "VERB"]
    if verbs:
        return v.lemma[verbs[0]] not in lexicon.talk_verbs and total >= _FLOOR
    return total >= _UNKNOWN_FLOOR and v.pos[end - 1] in ("NOUN", "ADJ", "PROPN")


# Units that make a size part of the name ("10 ounce canvas"), and units that only measure ("2 inch foam").
_NAMING_UNITS = frozenset(
    "ounce oz gauge ply grit count denier weight thread amp volt watt carat karat tog momme tex gsm tpi".split()
)
_ONLY_SIZE = _NAMING_UNITS - {"thread", "weight", "ply"} | {"half", "quarter", "and", "a"}
_UNITS = frozenset(
    "inch inches mm mil mils millimeter millimeters millimetre cm centimeter centimetre meter metre foot feet yard yards "
    "ft gram grams kilo pound litre liter ml".split()
)


def settle_sizes(v: View, mentions: list[Mention], amounts: list[Amount]) -> list[Mention]:
    """Mentions with their sizes put right: a bare size joins the noun it belongs to or goes; a bare unit in front goes."""
    # What a number counts is said inside the amount ("twelve resistors"), and is a thing all the same.
    of: dict[int, Amount] = {
        i: a for a in amounts for i in range(a.start, a.end) if a.kind != "count" or v.pos[i] == "NUM"
    }
    out: list[Mention] = []
    for m in mentions:
        if m.kind == "technique":
            out.append(m)
            continue
        while m.end - m.start > 1 and v.low[m.start] in _UNITS:
            m.start += 1
        if m.start and v.low[m.start] in _NAMING_UNITS and m.end - m.start > 1 and v.pos[m.start - 1] == "NUM":
            m.start -= 1
        if all(v.pos[i] == "NUM" or v.low[i] in _ONLY_SIZE for i in range(m.start, m.end)):
            continue  # "twenty-three and a half carat": a size said of what was named before
        amount = of.get(m.start)
        if (
            amount is not None
            and amount.end >= m.end
            and not any(
                v.pos[i] in ("NOUN", "PROPN")
                and v.low[i] not in _NAMING_UNITS
                and v.low[i] not in ("size", "number")
                and i not in of
                for i in range(m.start, m.end)
            )
        ):
            head = amount.of_token
            if amount.kind != "size" or head is None or not m.end <= head <= m.end + 4:
                continue  # "Twelve ounce.": a size said of what was named before
            m.end = head + 1
        if out and m.start < out[-1].end:
            if out[-1].kind != "technique" and m.end > out[-1].end:
                out[-1].end = m.end
            continue
        out.append(m)
    return out


def covered(v: View, mentions: Iterable[Mention]) -> list[bool]:
    """For each token whether one of ``mentions`` stands there."""
    out = [False] * len(v.text)
    for m in mentions:
        out[m.start : m.end] = [True] * (m.end - m.start)
    return out


def add_techniques(
    v: View, mentions: list[Mention], lexicon: Lexicon, clauses: list[Clause], reading: Reading | None
) -> list[Mention]:
    """Techniques the reader let slip: known verbs and terms in clauses that tell what was really done."""
    taken = covered(v, (m for m in mentions if m.kind == "technique"))
    out = list(mentions)
    for c in clauses:
        if not c.real or c.agent == "other" or c.relation in ("condition", "reason") or taken[c.verb]:
            continue
        if reading is not None and reading.inside("S", c.verb, c.verb + 1) < _STEP_FLOOR:
            continue
        particle = v.low[c.particle] if c.particle is not None else None
        obj = v.lemma[c.objs[0]] if c.objs else None
        term = lexicon.technique_for_verb(v.lemma[c.verb], particle, obj)
        if (
            term is None and reading is not None and v.lemma[c.verb] not in lexicon.plain_verbs and _object_unsaid(v, c)
            and _technique_share(reading, c.verb) >= _HINT
        ):  # fmt: skip
            # "strip it", "threaded through": the object that would settle the verb is only a pronoun or left out
            term = lexicon.technique_meant(v.lemma[c.verb])
        if term is not None and not term.ambiguous:
            out.append(Mention(c.verb, c.verb + 1, "technique", DONE, 0.6))
            taken[c.verb] = True
    named = covered(v, out)
    i = 0
    while i < len(v.text):
        end = i + 1
        if (
            v.pos[i] in ("NOUN", "ADJ", "PROPN")
            and not named[i]
            and reading is not None
            and reading.inside("S", i, i + 1) >= _STEP_FLOOR
        ):
            known = [t for t in lexicon.technique_terms_at(v.lemma, v.low, i) if not t.term.ambiguous]
            best = max(known, key=lambda t: t.end, default=None)
            at = clause_of(clauses, v, i)
            if best is not None and v.pos[best.end - 1] in ("NOUN", "PROPN") and (at is None or clauses[at].real):
                out.append(Mention(i, best.end, "technique", DONE, 0.55))
                end = best.end
        i = end
    out.sort(key=lambda m: m.start)
    return out


_STEP_FLOOR = 0.5
_HINT = 0.12  # the reader's probability of a technique that a verb needs where its object does not settle it


def _object_unsaid(v: View, c: Clause) -> bool:
    """Whether the clause's verb has no object, or a pronoun for one."""
    return not c.objs or v.pos[c.objs[0]] == "PRON"


def _technique_share(reading: Reading, i: int) -> float:
    k = reading.kinds.index("X")
    return float(reading.layers["kind"][i, 1 + 2 * k] + reading.layers["kind"][i, 2 + 2 * k])


def _known_terms(v: View, lexicon: Lexicon) -> list[tuple[int, int, str]]:
    """Stretches that the lexicon knows as unambiguous craft things, longest first at each place."""
    out: list[tuple[int, int, str]] = []
    n = len(v.text)
    i = 0
    while i < n:
        if v.pos[i] in ("NOUN", "PROPN", "ADJ", "VERB", "NUM"):
            found = [
                m for m in lexicon.terms_at(v.lemma, v.low, i) if m.term.kind in _KINDS[:4] and not m.term.ambiguous
            ]
            if found:
                best = max(found, key=lambda m: m.end)
                if best.end - i > 1 or v.pos[i] in ("NOUN", "PROPN"):
                    out.append((i, best.end, best.term.kind))
                    i = best.end
                    continue
        i += 1
    return out


def _trim(v: View, start: int, end: int) -> tuple[int, int]:
    while end > start and (
        not v.text[end - 1][0].isalnum()
        or v.low[end - 1] in ("and", "or", "of", "the", "a", "in", "on")
        or (end - start > 1 and (v.low[end - 1] in _TAILS or v.pos[end - 1] in ("AUX", "PART", "PRON", "SCONJ")))
    ):
        end -= 1
    for i in range(start + 2, end):
        if v.low[i] in v.low[start:i] and v.text[i][0].isalpha() and v.pos[i] in ("NOUN", "PROPN"):
            end = i - 1  # "plaid muslin plaid": an order of things, no name
            break
    while start < end - 1 and (v.low[start] in _TRIM_START or not v.text[start][0].isalnum()):
        start += 1
    if start < end and (v.low[start] in _TRIM_START or v.pos[start] == "PRON") and end - start == 1:
        return end, end
    return start, end


def from_lexicon(v: View, lexicon: Lexicon, clauses: list[Clause]) -> list[Mention]:
    """Mentions by the lexicon alone: terms and noun phrases it can class, their standing from the clause they are in."""
    out: list[Mention] = []
    n = len(v.text)
    i = 0
    while i < n:
        best = _term_at(v, lexicon, i)
        if best is not None:
            end = best.end
            start = i
            kind = best.term.kind
            if kind in ("material", "tool", "pattern", "reference"):
                while (
                    start > 0
                    and v.dep[start - 1] in ("compound", "amod")
                    and v.head[start - 1] < end
                    and v.head[start - 1] >= i
                ):
                    start -= 1
                start, end = _trim(v, start, end)
                if end > start:
                    out.append(Mention(start, end, kind, standing(v, clauses, end - 1), 0.6))  # type: ignore[arg-type]
            elif kind == "technique":
                out.append(Mention(i, end, "technique", standing(v, clauses, i), 0.6))
            i = max(end, i + 1)
            continue
        if v.pos[i] == "NOUN" and (i + 1 >= n or v.dep[i] != "compound"):
            mods = [v.lemma[k] for k in v.kids[i] if v.dep[k] in ("compound", "amod")]
            kind_, sure = lexicon.classify(v.lemma[i], mods)
            if kind_ in ("material", "tool", "pattern", "reference") and sure >= 0.5:
                lefts = [k for k in v.kids[i] if v.dep[k] in ("compound", "amod") and k < i]
                start, end = _trim(v, min([i, *lefts]), i + 1)
                out.append(Mention(start, end, kind_, standing(v, clauses, i), sure * 0.7))  # type: ignore[arg-type]
        elif v.pos[i] == "VERB":
            term = lexicon.technique_for_verb(v.lemma[i])
            if term is not None:
                out.append(Mention(i, i + 1, "technique", standing(v, clauses, i), 0.5))
        i += 1
    return out


def _term_at(v: View, lexicon: Lexicon, i: int) -> Match | None:
    if v.pos[i] not in ("NOUN", "PROPN", "ADJ", "VERB", "NUM", "ADV"):
        return None
    found = [
        m
        for m in lexicon.terms_at(v.lemma, v.low, i)
        if not m.term.ambiguous and (v.pos[m.end - 1] in ("NOUN", "PROPN") or m.end - m.start > 1)
    ]
    return max(found, key=lambda m: m.end) if found else None


def standing(v: View, clauses: list[Clause], i: int) -> tuple[float, float, float, float]:
    """Status probabilities of what token ``i`` names, from the clause it stands in."""
    at = clause_of(clauses, v, i)
    negative = any(v.low[k] in ("no", "neither", "without") for k in v.kids[i]) or v.low[v.head[i]] == "without"
    if at is None:
        return (0.3, 0.6, 0.05, 0.05) if negative else (0.8, 0.07, 0.06, 0.07)
    c = clauses[at]
    if negative or c.negated:
        return (0.2, 0.65, 0.05, 0.1)
    if c.relation == "condition":
        return (0.55, 0.2, 0.1, 0.15) if c.negated else (0.3, 0.25, 0.2, 0.25)
    if c.mode == "imagined":
        return (0.15, 0.4, 0.35, 0.1) if c.agent == "viewer" else (0.2, 0.6, 0.1, 0.1)
    if c.mode == "dropped":
        return (0.15, 0.75, 0.02, 0.08)
    if c.mode == "habit":
        return (0.35, 0.1, 0.05, 0.5)
    if c.mode == "question":
        return (0.4, 0.2, 0.2, 0.2)
    if c.agent == "other":
        return (0.4, 0.1, 0.05, 0.45)
    if c.mode == "state":
        return (0.7, 0.12, 0.06, 0.12)
    return (0.9, 0.04, 0.02, 0.04)


def _misheard(doc: Doc, v: View, lexicon: Lexicon, m: Mention) -> bool:
    """Whether a technique that no lexicon knows is told by a word that was hardly said ("happed it down")."""
    heard_p = doc.user_data.get("p")
    return heard_p is not None and any(
        misheard_for_sure(v.low[i], heard_p[i])
        and not lexicon.technique_terms_at(v.lemma, v.low, i)
        and lexicon.technique_for_verb(v.lemma[i]) is None
        for i in range(m.start, m.end)
    )


def mentions_component(doc: Doc) -> Doc:
    """spaCy component ``buildlog_mentions``: sets ``doc._.mentions``."""
    v = view_of(doc)
    lexicon = lexicon_of(doc)
    reading: Reading | None = doc._.reader
    if reading is None:
        doc._.mentions = from_lexicon(v, lexicon, doc._.clauses)
    else:
        found = settle_sizes(v, from_reader(v, reading, lexicon), doc._.amounts)
        found = [m for m in found if m.kind != "technique" or not _misheard(doc, v, lexicon, m)]
        doc._.mentions = add_techniques(v, found, lexicon, doc._.clauses, reading)
    return doc
