"""Clauses: who does what, and whether it really happened.

A build log is told in clauses: "I'd have used brass rivets" names rivets that nobody used. This component finds every
clause of the ``Doc``, looks through the light verbs in front of the real one ("went ahead and pinned", "make sure you
pin", "spent the evening weaving"), and says how the clause stands: done, told to the viewer, planned, only imagined,
a habit, a question. Items, techniques and steps are read off these.

Sets ``doc._.clauses``: a list of :class:`Clause` in the order of their verbs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from buildlog.tag.view import View, view_of

if TYPE_CHECKING:
    from spacy.tokens import Doc

Mode = Literal["done", "told", "plan", "dropped", "imagined", "habit", "state", "question"]
"""done: happened or happens in front of the camera; told: an instruction to the viewer; plan: going to; dropped: was
going to; imagined: would, could, might, if; habit: usually; state: being, having, looking; question."""

Agent = Literal["maker", "viewer", "none", "other"]
"""Who does it: the maker (I, we), the viewer (you, imperative), nobody named (passive, things), somebody else."""

Relation = Literal["main", "conj", "purpose", "reason", "condition", "time", "relative", "complement", "manner"]


@dataclass(slots=True)
class Clause:
    """One clause. Indices are tokens of the ``Doc``; ``frame`` are the light words in front of the verb."""

    verb: int
    start: int
    end: int
    subj: int | None
    objs: list[int]
    attr: int | None
    preps: list[tuple[int, int]]
    particle: int | None
    mode: Mode
    agent: Agent
    relation: Relation
    negated: bool
    passive: bool
    past: bool
    parent: int | None = None
    light: bool = False
    frame: list[int] = field(default_factory=list)
    own_subject: bool = True
    perfect_past: bool = False

    @property
    def real(self) -> bool:
        """Whether the thing named here was really done, or is to be done, in this build."""
        return self.mode in ("done", "told", "plan") and not self.negated


# Light verbs: the clause that matters hangs under them.
_INTEND = frozenset("want need have ought suppose require".split())
_SPEND = frozenset("spend waste".split())
_DECIDE = frozenset("decide choose opt elect".split())
_IMAGINE = frozenset(
    "think consider contemplate plan intend mean hope wish imagine toy debate ponder wonder dream tempt "
    "threaten expect fancy".split()
)
_REFUSE = frozenset("forget refuse avoid skip omit neglect fail stop resist bother decline regret".split())
_LIKE = frozenset("like love prefer tend enjoy hate".split())
_STATE = frozenset(
    "be have look seem feel mean know like love hate think believe hope guess want need cost weigh belong matter "
    "suppose remember forget care wish prefer own contain include depend consist smell sound taste hurt happen "
    "appear stay remain exist fit match suit stand lie sit live understand agree doubt mind".split()
)
_HABIT_WORDS = frozenset("usually normally generally always typically often sometimes rarely ordinarily".split())
_HABIT_PHRASES = (
    ("as", "a", "rule"), ("most", "of", "the", "time"), ("every", "time"), ("nine", "times"), ("these", "days"),
    ("back", "then"), ("in", "general"), ("by", "habit"), ("for", "years"), ("all", "the", "time"),
)  # fmt: skip
_MODAL_FUTURE = frozenset(["will", "'ll", "shall", "wo", "ll"])
_MAKER = frozenset(["i", "we", "me", "us", "i'm", "im"])
_VIEWER = frozenset(["you", "ya", "y'all", "yourself"])
_OTHER = frozenset(["he", "she", "they", "someone", "somebody", "people", "everyone", "everybody", "anyone", "nobody"])
_CONDITION = frozenset(["if", "unless", "provided", "assuming", "suppose", "whether", "in case"])
_REASON = frozenset(["because", "since", "as", "cause", "cos", "'cause", "coz", "though", "although"])
_TIME = frozenset(["when", "while", "before", "after", "until", "till", "once", "as", "whenever", "since", "where"])
_HEAD_DEPS = frozenset(
    ["ROOT", "conj", "advcl", "ccomp", "xcomp", "relcl", "acl", "parataxis", "csubj", "csubjpass", "pcomp", "dep"]
)


def find_clauses(v: View) -> list[Clause]:
    """All clauses of the view, in the order of their verbs."""
    clauses: list[Clause] = []
    index: dict[int, int] = {}
    for start, end in v.sents:
        order = [i for i in range(start, end) if _heads_a_clause(v, i)]
        depth = {i: _depth(v, i) for i in order}
        for i in sorted(order, key=lambda i: (depth[i], i)):  # a clause after the ones above it
            index[i] = len(clauses)
            clauses.append(_clause(v, i, start, end, clauses, index))
        _light_verbs(v, clauses, index, order)
    for n, c in enumerate(clauses):
        c.parent = _parent(v, c, index)
        if c.parent == n:
            c.parent = None
    clauses_in_order = sorted(range(len(clauses)), key=lambda n: clauses[n].verb)
    place = {old: new for new, old in enumerate(clauses_in_order)}
    out = [clauses[n] for n in clauses_in_order]
    for c in out:
        c.parent = place[c.parent] if c.parent is not None else None
    return out


def _heads_a_clause(v: View, i: int) -> bool:
    if v.pos[i] not in ("VERB", "AUX"):
        return False
    if v.dep[i] in _HEAD_DEPS:
        return True
    # A participle or an infinitive that the parser hung elsewhere but that has an object or a subject of its own.
    return v.pos[i] == "VERB" and any(v.dep[k] in ("dobj", "nsubj", "nsubjpass") for k in v.kids[i])


def _depth(v: View, i: int) -> int:
    d = 0
    while v.head[i] != i and d < 60:
        i = v.head[i]
        d += 1
    return d


def _parent(v: View, c: Clause, index: dict[int, int]) -> int | None:
    i = c.verb
    while v.head[i] != i:
        i = v.head[i]
        if i in index:
            return index[i]
    return None


def _above(v: View, i: int, index: dict[int, int]) -> int | None:
    while v.head[i] != i:
        i = v.head[i]
        if i in index:
            return index[i]
    return None


def _clause(v: View, i: int, s_start: int, s_end: int, clauses: list[Clause], index: dict[int, int]) -> Clause:
    kids = v.kids[i]
    subj = particle = attr = None
    objs: list[int] = []
    preps: list[tuple[int, int]] = []
    aux: list[int] = []
    passive = negated = False
    marks: list[str] = []
    adverbs: list[str] = []
    for k in kids:
        d = v.dep[k]
        if d in ("nsubj", "nsubjpass", "csubj", "expl"):
            subj = k if subj is None or d != "expl" else subj
            passive |= d == "nsubjpass"
        elif d in ("dobj", "dative", "oprd") or (d == "npadvmod" and v.pos[k] == "NOUN" and v.pos[i] == "VERB"):
            if d != "npadvmod":
                objs.append(k)
        elif d in ("attr", "acomp"):
            attr = k if attr is None else attr
        elif d in ("prep", "agent"):
            preps.extend((k, g) for g in v.kids[k] if v.dep[g] in ("pobj", "pcomp"))
        elif d == "prt":
            particle = k
        elif d in ("aux", "auxpass"):
            aux.append(k)
            passive |= d == "auxpass"
        elif d == "neg":
            negated |= k <= i + 1 or v.lemma[i] == "be"  # "cut the hairs, not the hole" denies nothing
        elif d == "mark":
            marks.append(v.low[k])
        elif d == "advmod":
            adverbs.append(v.low[k])
            if v.low[k] in ("never", "hardly", "barely", "nor"):
                negated = negated or v.low[k] in ("never", "nor")
            if v.low[k] in ("when", "while", "once", "where", "whenever", "why", "how"):
                marks.append(v.low[k])
        elif d == "preconj" and v.low[k] == "neither":
            negated = True
    up = _above(v, i, index)
    above = clauses[up] if up is not None else None
    relation = _relation(v, i, marks, above)
    own_subject = subj is not None
    inherited = above is not None and relation == "conj" and not own_subject
    if inherited and above is not None:
        subj = above.subj
        if not aux:
            passive = above.passive and v.tag[i] == "VBN"
    tag = v.tag[i]
    mode, past = _mode(
        v, i, tag, aux, subj, adverbs, relation, above if inherited else None, own_subject, s_start, s_end
    )
    agent = _agent(v, subj, tag, aux, passive, above, relation, own_subject)
    if relation == "condition":
        mode = "imagined"
    elif above is not None and relation in ("purpose", "complement", "manner", "relative", "time") and mode == "done":
        # What hangs under an imagined clause is imagined too.
        if above.mode in ("imagined", "dropped", "habit", "question") and tag in ("VB", "VBG", "VBN"):
            mode = above.mode
    if inherited and above is not None and above.negated and v.low[_cc(v, i)] in ("or", "nor"):
        negated = True
    start, end = _span(v, i, index)
    perfect_past = past and any(v.low[a] in ("had", "'d") for a in aux) and tag == "VBN"
    return Clause(
        i, start, end, subj, objs, attr, preps, particle, mode, agent, relation, negated, passive, past,
        own_subject=own_subject, perfect_past=perfect_past,
    )  # fmt: skip


def _cc(v: View, i: int) -> int:
    for k in v.kids[v.head[i]]:
        if v.dep[k] == "cc" and k < i:
            last = k
            for m in v.kids[v.head[i]]:
                if v.dep[m] == "cc" and last < m < i:
                    last = m
            return last
    return i


def _relation(v: View, i: int, marks: list[str], above: Clause | None) -> Relation:
    d = v.dep[i]
    if d == "ROOT" or above is None:
        if marks and marks[0] in _CONDITION:
            return "condition"
        return "main"
    if d in ("conj", "parataxis", "dep"):
        return "conj"
    if d in ("relcl", "acl"):
        return "relative"
    if marks:
        m = marks[0]
        if m in _CONDITION:
            return "condition"
        if m in ("so", "that") and d == "advcl":
            return "purpose"
        if m in _TIME and m not in ("as", "since"):
            return "time"
        if m in _REASON:
            return "reason"
    if d == "advcl":
        to = any(v.dep[k] == "aux" and v.low[k] == "to" for k in v.kids[i])
        if to:
            return "purpose"
        return "manner"
    if d == "ccomp" and i < v.head[i] and not marks:
        return "conj"  # "I cut it, then glued it": the parser makes the first one a complement
    if d == "ccomp" and above is not None and v.lemma[above.verb] not in _TAKES_CLAUSE and not marks:
        return "conj"
    if d in ("pcomp",):
        prep = v.low[v.head[i]]
        if prep in ("before", "after", "while", "when", "until"):
            return "time"
        return "manner"
    return "complement"


_TAKES_CLAUSE = frozenset(
    "think say know guess hope mean believe feel see find tell show notice realise realize wish decide make let get have "
    "help want like hear reckon suppose assume figure remember forget imagine swear promise admit learn discover check "
    "ensure be seem turn explain ask wonder suggest recommend worry bet understand expect watch keep leave start stop "
    "need love hate prefer try".split()
)


def _mode(
    v: View, i: int, tag: str, aux: list[int], subj: int | None, adverbs: list[str], relation: Relation,
    inherit: Clause | None, own_subject: bool, s_start: int, s_end: int,
) -> tuple[Mode, bool]:  # fmt: skip
    words = [v.low[a] for a in aux]
    past = tag in ("VBD", "VBN") and "will" not in words
    if "have" in words or "has" in words or "had" in words or "'ve" in words:
        past = True
    if not words and inherit is not None and tag in ("VB", "VBN", "VBG", "VBP"):
        return inherit.mode, inherit.past
    habit = any(a in _HABIT_WORDS for a in adverbs) or _has_phrase(v, s_start, s_end)
    lemma = v.lemma[i]
    question = v.low[s_end - 1] == "?" and relation in ("main", "conj")
    if question:
        return "question", past
    would = "would" in words or ("'d" in words and (tag in ("VB", "VBP") or "have" in words or "'ve" in words))
    if would:
        return "imagined", past
    if any(w in ("could", "might", "may") for w in words):
        return "imagined", past
    if "should" in words or "ought" in words:
        viewer = subj is not None and v.low[subj] in _VIEWER
        return ("told" if viewer and not past else "imagined"), past
    if habit and not any(w in _MODAL_FUTURE for w in words):
        return "habit", past
    if "used" in words:
        return "habit", True
    if any(w in _MODAL_FUTURE for w in words):
        return "plan", False
    if any(w in ("must", "can", "ca") for w in words):
        viewer = subj is not None and v.low[subj] in _VIEWER
        return ("told" if viewer and "must" in words else "imagined" if viewer else "state"), False
    if lemma in _STATE and not (lemma == "be" and _passive_be(v, i)):
        return "state", past
    if tag == "VB" and relation == "main" and "to" not in words and (not own_subject or "is" in words):
        return "told", False  # also "the first thing you do is trim": a bare verb after "is"
    if subj is not None and v.low[subj] in _VIEWER and tag in ("VBP", "VB", "VBZ"):
        return "told", False
    return "done", past


def _passive_be(v: View, i: int) -> bool:
    return any(v.dep[k] == "auxpass" for k in v.kids[i])


def _has_phrase(v: View, start: int, end: int) -> bool:
    low = v.low
    for p in _HABIT_PHRASES:
        first = p[0]
        for i in range(start, end - len(p) + 1):
            if low[i] == first and tuple(low[i : i + len(p)]) == p:
                return True
    return False


def _agent(
    v: View, subj: int | None, tag: str, aux: list[int], passive: bool, above: Clause | None, relation: Relation,
    own_subject: bool,
) -> Agent:  # fmt: skip
    if passive and own_subject:
        return "none"
    if subj is None:
        if relation == "main" and tag in ("VB", "VBP") and not aux:
            return "viewer"
        if relation == "main" and tag in ("VBD", "VBN", "VBG"):
            return "maker"  # "Glued it down last night.": the subject is left out
        return above.agent if above is not None else "maker"
    low = v.low[subj]
    if passive:
        return "none"
    if low in _MAKER:
        return "maker"
    if low in _VIEWER:
        return "viewer"
    if low in _OTHER:
        return "other"
    if v.pos[subj] == "PROPN":
        return "other"
    if any(v.low[k] in ("my", "our") for k in v.kids[subj]) and v.lemma[subj] in _PEOPLE:
        return "other"
    if v.lemma[subj] in _PEOPLE:
        return "other"
    return "none"


_PEOPLE = frozenset(
    "mother mum mom dad father gran grandma grandmother grandad grandfather neighbour neighbor friend sister brother aunt "
    "uncle wife husband partner teacher tutor boss colleague daughter son kid child customer client viewer man woman lady "
    "guy bloke person cat dog company shop seller maker factory somebody someone girl boy nan nana cousin niece nephew "
    "apprentice instructor flatmate roommate landlord postman student".split()
)


def _span(v: View, i: int, index: dict[int, int]) -> tuple[int, int]:
    """The clause's own stretch: its subtree less what hangs under clauses below it at either end."""
    lo = hi = i
    for k in v.kids[i]:
        if v.dep[k] in ("conj", "parataxis", "punct", "cc") or (
            v.dep[k] in ("ccomp", "advcl") and v.pos[k] in ("VERB", "AUX")
        ):
            continue
        lo = min(lo, v.left[k])
        hi = max(hi, v.right[k])
    return lo, hi + 1


def _light_verbs(v: View, clauses: list[Clause], index: dict[int, int], order: list[int]) -> None:
    """Give the verb that matters the standing of the light verbs above it, from the top down."""
    for i in sorted(order, key=lambda i: (_depth(v, i), i)):
        c = clauses[index[i]]
        content = _content_of(v, c, index)
        if content is None:
            continue
        low, lemma = v.low[c.verb], v.lemma[c.verb]
        d = clauses[index[content]]
        c.light = True
        d.frame = [*c.frame, *range(c.verb, c.verb + 1)]
        mode: Mode = c.mode
        past = c.past
        negated = d.negated or c.negated
        agent: Agent = c.agent
        if low in ("gon", "going") or (lemma == "go" and v.tag[c.verb] == "VBG" and _has_to(v, d.verb)):
            was = any(v.low[k] in ("was", "were") for k in v.kids[c.verb])
            mode = "dropped" if was else "plan"
            if c.mode in ("imagined", "question", "habit"):
                mode = c.mode
            past = False
        elif lemma in _INTEND or (lemma == "be" and v.low[c.verb] in ("supposed",)):
            if c.mode == "state" or c.mode == "told":
                if c.agent == "viewer":
                    mode = "told"
                elif lemma in ("need", "have", "ought"):
                    mode = "done" if c.past else "plan"
                elif c.past:
                    mode = "dropped" if lemma == "want" else "done"
                else:
                    mode = "plan"
            if lemma in ("need", "have") and c.negated:
                mode, negated = "imagined", True
        elif lemma in _IMAGINE:
            mode = "dropped" if c.past else "imagined"
        elif lemma in _REFUSE:
            negated = not d.negated if lemma not in ("stop", "regret") else d.negated
            mode = "done"
            if lemma == "forget" and c.negated:
                negated, mode = False, "told"
            elif lemma == "bother" and not c.negated:
                negated = False
            elif lemma == "regret":
                mode = "done"
        elif lemma in _LIKE:
            mode = "imagined" if c.mode == "imagined" else "habit"
        elif lemma in _DECIDE:
            mode = "done"
        elif lemma in ("make", "ensure", "check") and c.mode in ("told", "done", "plan", "state"):
            mode = c.mode if c.mode != "state" else "told"
        elif c.mode == "state":
            mode = d.mode if d.mode != "state" else "done"
        if lemma == "let":
            mode, agent = "told", "maker"
        d.mode, d.negated, d.past = mode, negated, past or (d.past and mode == "done")
        if d.subj is None or lemma in ("get", "have", "make", "let", "spend", "help") or not d.own_subject:
            if lemma in ("get", "have") and d.own_subject and v.tag[d.verb] == "VBN":
                d.passive = True  # "get it pinned": the subject is the thing
            d.agent = agent
            if d.subj is None:
                d.subj = c.subj
        d.relation = c.relation if c.relation != "complement" else d.relation
        if d.relation == "complement":
            d.relation = c.relation


def _has_to(v: View, i: int) -> bool:
    return any(v.dep[k] == "aux" and v.low[k] in ("to", "na") for k in v.kids[i])


def _content_of(v: View, c: Clause, index: dict[int, int]) -> int | None:
    """The verb under a light verb that carries the action, if ``c`` is light."""
    lemma = v.lemma[c.verb]
    low = v.low[c.verb]
    under = [k for k in _reach(v, c.verb) if k in index]
    xcomp = [k for k in under if v.dep[k] in ("xcomp", "ccomp", "advcl", "pcomp", "conj", "dep")]
    if not xcomp:
        return None
    first = xcomp[0]
    if low in ("gon", "going", "wan", "got", "gotta", "hafta"):
        near = [k for k in xcomp if v.dep[k] in ("xcomp", "ccomp")]
        if near and (low != "got" or _has_to(v, near[0]) or v.tag[near[0]] == "VBN"):
            return near[0]
    if lemma in ("get", "have") and v.dep[first] == "ccomp" and v.tag[first] in ("VBN", "VBD"):
        return first
    if lemma in _INTEND | _IMAGINE | _DECIDE | _LIKE and v.dep[first] in ("xcomp", "ccomp", "pcomp"):
        if v.dep[first] == "ccomp" and lemma in _IMAGINE | {"like"} and not _has_to(v, first):
            return None
        return first
    if (
        lemma in _REFUSE
        and v.dep[first] in ("xcomp", "pcomp", "ccomp")
        and not (lemma == "forget" and v.dep[first] == "ccomp")
    ):
        return first
    if lemma in ("start", "begin", "finish", "continue", "keep", "proceed", "manage", "try", "help", "remember"):
        near = [k for k in xcomp if v.dep[k] in ("xcomp", "pcomp", "ccomp")]
        if near:
            return near[0]
    if lemma in _SPEND:
        near = [k for k in xcomp if v.dep[k] in ("xcomp", "advcl") and v.tag[k] == "VBG"]
        if near:
            return near[0]
    if lemma == "go":  # went ahead and pinned; went round and clipped
        near = [k for k in xcomp if v.dep[k] == "conj"]
        if near and not c.objs and near[0] - c.verb <= 6:
            return near[0]
        near = [k for k in xcomp if v.dep[k] == "xcomp"]
        if near and not c.objs:
            return near[0]
    if lemma == "end" and c.particle is not None:
        return first
    if lemma == "let" and v.dep[first] == "ccomp" and any(v.low[k] in ("'s", "us", "me") for k in v.kids[first]):
        return first
    if lemma in ("make", "be") and any(v.low[k] in ("sure", "certain", "careful") for k in v.kids[c.verb]):
        near = [k for k in under if v.dep[k] in ("ccomp", "xcomp")]
        if near:
            return near[0]
    if lemma in ("ensure", "check") and v.dep[first] == "ccomp":
        return first
    if lemma == "be" and c.attr is None and v.dep[first] in ("xcomp", "ccomp") and c.subj is not None:
        if v.low[c.subj] in ("thing", "step", "trick", "job", "idea", "plan", "bit", "move", "what", "do") or v.lemma[
            c.subj
        ] in ("do",):
            return first
    return None


def _reach(v: View, i: int) -> Iterator[int]:
    """Children, and grandchildren through an adjective or a preposition ("sure you pin", "without pinning")."""
    for k in v.kids[i]:
        yield k
        if v.dep[k] in ("acomp", "ccomp", "prep", "attr", "oprd") and v.pos[k] in ("ADJ", "ADP", "SCONJ"):
            yield from v.kids[k]


def clause_of(clauses: list[Clause], v: View, i: int) -> int | None:
    """Index of the innermost clause that token ``i`` belongs to, by the dependency path."""
    verbs = v.cache.get("clause_of_verb")
    if verbs is None:
        verbs = {c.verb: n for n, c in enumerate(clauses)}
        v.cache["clause_of_verb"] = verbs
    steps = 0
    while steps < 60:
        if i in verbs:  # type: ignore[operator]
            return verbs[i]  # type: ignore[index,no-any-return]
        if v.head[i] == i:
            return None
        i = v.head[i]
        steps += 1
    return None


def clauses_component(doc: Doc) -> Doc:
    """spaCy component ``buildlog_clauses``: sets ``doc._.clauses``."""
    doc._.clauses = find_clauses(view_of(doc))
    return doc
