"""Segments: the stretches of talk that each tell one thing, in the order of the words.

A parse of speech hangs phrases in odd places, so a segment is not a subtree: it runs from where a main clause begins to
where the next one begins, and keeps every word in between. A sentence without a verb of its own is one segment.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from buildlog.outline.words import COMPOUNDS

if TYPE_CHECKING:
    from buildlog.tag.clauses import Clause
    from buildlog.tag.lexicon import Lexicon
    from buildlog.tag.view import View


@dataclass(slots=True)
class Segment:
    """Tokens ``start`` to ``end``; ``clause`` is the index of the clause that carries it, ``None`` for a bare phrase.

    ``first`` says whether it opens its sentence.
    """

    start: int
    end: int
    clause: int | None
    first: bool


_JOINING = frozenset(["and", "but", "so", "then", "or", ",", ";", "-", "–", "—", ":", "plus"])
_WHOLE = frozenset(["main", "conj"])


def find_segments(v: View, clauses: list[Clause], lexicon: Lexicon) -> list[Segment]:
    """All segments, in order; together they cover every token."""
    by_sentence: dict[int, list[int]] = {}
    clauses[:] = _matters_of(v, _turned_round(v, with_compounds(v, clauses, lexicon)))
    for n, c in enumerate(clauses):
        if (
            not c.light
            and not _tool_word(v, c, lexicon)
            and not _what(v, c)
            and (c.relation in _WHOLE or _stands_alone(v, c, clauses))
            and not purpose_first(v, c)
            and not _half_of_compound(v, c, clauses, n, lexicon)
        ):
            by_sentence.setdefault(v.sent_of[c.verb], []).append(n)
    out: list[Segment] = []
    for s, (start, end) in enumerate(v.sents):
        heads = by_sentence.get(s, [])
        if not heads:
            out.append(Segment(start, end, None, True))
            continue
        verbs = {clauses[n].verb for n in heads}
        for n in heads:
            verbs.update(clauses[n].frame)
        starts = sorted((max(start, _left(v, clauses[n], verbs)), n) for n in heads)
        cuts: list[tuple[int, int]] = []
        for at, n in starts:
            at = min(at, clauses[n].verb - _before_verb(v, clauses[n].verb, start, lexicon))
            if cuts:
                at = max(at, cuts[-1][0] + 1)
                # A clause never begins before the verb of the one in front of it.
                at = max(at, min(clauses[cuts[-1][1]].verb + 1, clauses[n].verb))
            cuts.append((at, n))
        if cuts[0][0] > start:
            if _is_phrase(v, start, cuts[0][0]):
                out.append(Segment(start, cuts[0][0], None, True))
            else:
                cuts[0] = (start, cuts[0][1])
        for i, (at, n) in enumerate(cuts):
            until = cuts[i + 1][0] if i + 1 < len(cuts) else end
            out.append(Segment(at, until, n, at == start))
    return _breaks(v, clauses, _small_clauses(v, clauses, _whole(v, clauses, out)))


def _whole(v: View, clauses: list[Clause], segments: list[Segment]) -> list[Segment]:
    """Segments put right where a sentence was thought to end in the middle of a phrase: "turn it out through | the zip
    and push out", "fold | the circle in four", "till | it turns clear"."""
    out: list[Segment] = []
    for s in segments:
        last = out[-1] if out else None
        if last is None or last.clause is None or v.sent_of[last.start] == v.sent_of[s.start]:
            out.append(s)
            continue
        before, here = v.pos[last.end - 1], v.pos[s.start]
        a = clauses[last.clause]
        verb_last = last.end - 1 == a.verb and not a.objs and not a.passive and before == "VERB"
        verb_last = verb_last and (here == "DET" or v.low[s.start] in ("it", "them"))
        onto = (
            before in ("ADP", "ADV")
            and v.low[s.start] in ("it", "them")
            and v.pos[min(s.start + 1, s.end - 1)] != "AUX"
        )
        placed = (before == "ADP" or v.low[last.end - 1] in ("round", "around")) and here in (
            "DET",
            "NUM",
            "NOUN",
            "ADJ",
        )
        bound = v.low[last.end - 1] in ("till", "until", "before", "so", "while", "because") and here in ("PRON", "DET")
        e = s.start
        if onto and not verb_last and e + 1 < s.end and v.pos[e + 1] in ("PUNCT", "CCONJ"):
            e += 1
        elif verb_last and here == "PRON":
            while e < s.end and v.pos[e] != "PUNCT":
                e += 1
        elif verb_last or placed:
            while e < s.end and v.pos[e] not in ("VERB", "AUX", "PUNCT", "CCONJ", "PRON", "SCONJ"):
                e += 1
        elif bound:
            while e < s.end and v.pos[e] != "PUNCT":
                e += 1
        if not any(v.pos[i] in ("NOUN", "PROPN", "NUM", "VERB", "AUX", "PRON") for i in range(s.start, e)):
            out.append(s)
            continue
        if verb_last:
            head = next((i for i in range(s.start, e) if v.pos[i] == "NOUN" and v.dep[i] != "compound"), s.start)
            head = s.start if here == "PRON" else head
            clauses[last.clause] = replace(a, objs=[head])
        last.end = e
        if e < s.end:
            clause = s.clause if s.clause is not None and clauses[s.clause].verb >= e else None
            out.append(Segment(e, s.end, clause, False))
    return out


def _turned_round(v: View, clauses: list[Clause]) -> list[Clause]:
    """ "After I'd waxed the thread I sewed the sole", "by the time you turned up I had glued it": the parser takes the
    second half for what thread it was, or for what was turned up."""
    out = list(clauses)
    for n, c in enumerate(clauses):
        start = v.sents[v.sent_of[c.verb]][0]
        by_then = v.low[start : start + 3] == ["by", "the", "time"] and c.verb - start < 8
        in_front = v.low[start] in _FRONT and v.tag[c.verb] in ("VBG", "VB", "VBN") and c.verb - start < 4
        if c.relation != "main" or not (
            by_then or in_front or any(v.dep[k] == "mark" and v.low[k] in _TIMES for k in v.kids[c.verb])
        ):
            continue
        for m in range(n + 1, min(n + 3, len(clauses))):
            d = clauses[m]
            by = d.subj is not None and d.own_subject and d.subj > c.verb and v.low[d.subj] in ("i", "we", "you")
            if by and d.relation in ("relative", "complement") and v.sent_of[d.verb] == v.sent_of[c.verb]:
                aim = v.low[start] == "to"
                out[n], out[m] = replace(c, relation="purpose" if aim else "time"), replace(d, relation="main")
                break
    return out


def _matters_of(v: View, clauses: list[Clause]) -> list[Clause]:
    """ "It's a matter of stitching the edge", "it was just a case of sanding it": the doing is the gerund."""
    out = list(clauses)
    for n, (c, d) in enumerate(itertools.pairwise(clauses)):
        of = d.verb - 1
        if v.lemma[c.verb] == "be" and v.tag[d.verb] == "VBG" and v.low[of] == "of" and v.lemma[of - 1] in _MATTERS:
            if not c.negated and c.relation in _WHOLE and d.verb - c.verb < 6:
                out[n] = replace(c, light=True)
                out[n + 1] = replace(d, relation="main", own_subject=False, mode="done", agent="maker")
    return out


_MATTERS = frozenset(["matter", "case", "question", "job"])
_FRONT = frozenset(["after", "before", "by", "to"])
_TIMES = frozenset(["after", "once", "when", "before", "while", "as", "if"])


def _before_verb(v: View, verb: int, start: int, lexicon: Lexicon) -> int:
    """1 where the word in front belongs to the verb ("slip stitch", "hand stitched"), else 0."""
    i = verb - 1
    if i - 1 > start and v.text[i] == "-" and v.low[i - 1] in COMPOUNDS:
        return 2
    if i <= start or v.pos[i] in ("DET", "PRON", "ADP") or v.pos[i - 1] in ("DET", "ADP"):
        return 0
    joined = v.low[i] in COMPOUNDS and v.low[i - 1] in ("and", "then", ",", "i", "we", "you")
    return int(joined or any(m.end > verb for m in lexicon.technique_terms_at(v.lemma, v.low, i)))


def _what(v: View, c: Clause) -> bool:
    """ "…what hadn't soaked in", "laid it face down": no clause of their own."""
    if c.subj is not None and v.low[c.subj] in ("what", "whatever") and c.subj < c.verb and v.low[c.verb] != "is":
        return c.subj != v.sents[v.sent_of[c.verb]][0]
    after = v.low[c.verb + 1] if c.verb + 1 < len(v.low) else ""
    if v.low[c.verb] == "round" and after not in ("off", "over") and c.verb and v.pos[c.verb - 1] in ("NOUN", "ADV"):
        return True  # "put the spacers round the edge"
    if v.low[c.verb : c.verb + 3] == ["face", "to", "face"]:
        return True
    if v.low[c.verb - 1 : c.verb + 1] == ["one", "go"]:
        return True  # "in one go"
    if v.low[c.verb : c.verb + 3] == ["end", "for", "end"]:
        return True  # "flip it end for end"
    if v.low[c.verb] == "dry" and v.low[c.verb - 2 : c.verb] == ["wet", "and"]:
        return True  # the paper
    if v.low[c.verb] in _SO and not c.own_subject and not c.objs and c.verb > 2 and v.pos[c.verb - 1] == "NOUN":
        return True  # "baste the open side shut with tacking thread"
    return v.low[c.verb] == "face" and after in ("down", "up") and not c.own_subject


_SO = frozenset("shut closed open flat tight clean smooth".split())  # what a thing is made by the verb in front


def _tool_word(v: View, c: Clause, lexicon: Lexicon) -> bool:
    """The "saw" of "on the table saw": a thing of two words whose second the parser took for a verb."""
    i = c.verb
    if not i or v.pos[i - 1] not in ("NOUN", "ADJ", "PROPN"):
        return False
    return lexicon.find(f"{v.low[i - 1]} {v.low[i]}", "tool") is not None


def _small_clauses(v: View, clauses: list[Clause], segments: list[Segment]) -> list[Segment]:
    """Join "slip stitch | the gap closed": what follows a verb without an object of its own is its object."""
    out: list[Segment] = []
    for s in segments:
        last = out[-1] if out else None
        if (
            last is not None and last.clause is not None and s.clause is not None and last.end == s.start
            and v.sent_of[last.start] == v.sent_of[s.start]
            and (last.end - 1 == clauses[last.clause].verb or v.low[last.end - 1] == "with")
            and v.pos[s.start] in ("DET", "NOUN") and clauses[s.clause].subj is not None
            and (not clauses[last.clause].objs or v.low[last.end - 1] == "with") and v.tag[clauses[s.clause].verb] in ("VBN", "VBD", "VB", "VBZ")
        ):  # fmt: skip
            last.end = s.end
            continue
        out.append(s)
    return out


def purpose_first(v: View, c: Clause) -> bool:
    """ "So it wouldn't rattle, I lined the tray": the parser takes the purpose for a statement of its own."""
    start = v.sents[v.sent_of[c.verb]][0]
    if v.low[start] != "so" or c.verb - start > 8 or v.head[c.verb] == c.verb or v.head[c.verb] < c.verb:
        return False
    if any(v.text[i] in ",;" for i in range(start, c.verb)):
        return False
    helped = any(
        v.low[k] in ("would", "'d", "wo", "wouldn't", "could", "does", "do")
        for k in v.kids[c.verb]
        if v.dep[k] == "aux"
    )
    return helped and c.subj is not None and c.own_subject


def with_compounds(v: View, clauses: list[Clause], lexicon: Lexicon) -> list[Clause]:
    """The clauses, where "whip stitched" or "hand sewn" was read as two verbs, with the second one carrying it all."""
    out = list(clauses)
    for n, c in enumerate(clauses):
        if n and _half_of_compound(v, clauses[n - 1], clauses, n - 1, lexicon):
            a = clauses[n - 1]
            out[n] = replace(
                c, subj=a.subj, own_subject=a.own_subject, relation=a.relation, mode=a.mode, agent=a.agent,
                passive=a.passive or c.passive,
                negated=a.negated, frame=a.frame, start=a.start, parent=a.parent,
                objs=c.objs or [o for o in a.objs if o > c.verb],
            )  # fmt: skip
    return out


def _stands_alone(v: View, c: Clause, clauses: list[Clause]) -> bool:
    """A clause that the parser hung under a later one though nothing subordinates it ("Fold it over, and put in …"),
    or a participle that goes on with a passive ("planted on, screwed from below")."""
    if c.parent is None:
        return False
    top = clauses[c.parent]
    if any(v.dep[k] == "mark" or (v.dep[k] == "aux" and v.low[k] == "to") for k in v.kids[c.verb]):
        return False
    if any(
        v.low[k] in ("when", "while", "once", "where", "what", "how", "why", "which", "who") for k in v.kids[c.verb]
    ):
        return False
    tag = v.tag[c.verb]
    if _done_first(v, c, top):
        return True
    if (
        c.relation in ("complement", "manner")
        and c.verb < top.verb
        and v.dep[c.verb] in ("advcl", "ccomp", "csubj", "dep")
    ):
        return tag in ("VB", "VBP", "VBD") and not top.light and top.verb not in _frames(clauses)
    if c.relation in ("manner", "relative") and tag == "VBN" and top.passive and c.verb > top.verb + 1:
        return v.text[v.left[c.verb] - 1] == ","
    return False


def _done_first(v: View, c: Clause, top: Clause) -> bool:
    """ "Having cut the wadding to size, I laid it out", "Wetting the leather first, I moulded it": two doings."""
    a = v.sents[v.sent_of[c.verb]][0]
    while a < c.verb and (v.pos[a] in ("CCONJ", "INTJ") or v.low[a] in ("so", "then", "now", "next")):
        a += 1
    having = v.low[a] == "having" and v.tag[c.verb] == "VBN"
    return (
        c.relation == "manner"
        and c.verb < top.verb
        and top.relation in _WHOLE
        and top.subj is not None
        and v.low[top.subj] in ("i", "we", "you")
        and (having or (c.verb == a and v.tag[a] == "VBG"))
        and v.lemma[c.verb] not in _WAYS
        and any(o > c.verb and v.pos[o] == "NOUN" for o in c.objs)
        and v.text[top.subj - 1] == ","
    )


# With these an opening participle says how the doing behind it was done, or nothing.
_WAYS = frozenset(
    "use take work try go keep hold leave make do get have be start see look think want feel know".split()
)


def _frames(clauses: list[Clause]) -> set[int]:
    return {i for c in clauses for i in c.frame}


def _half_of_compound(v: View, c: Clause, clauses: list[Clause], n: int, lexicon: Lexicon) -> bool:
    """ "slip" of "slip stitched": the parser saw two verbs where a technique has two words."""
    if n + 1 >= len(clauses) or clauses[n + 1].verb != c.verb + 1:
        return False
    if v.low[c.verb] in COMPOUNDS:
        return True
    return any(m.end >= c.verb + 2 for m in lexicon.technique_terms_at(v.lemma, v.low, c.verb))


def _left(v: View, c: Clause, verbs: set[int]) -> int:
    """Where the clause begins: its leftmost word that is not another main clause's."""
    lo = c.verb
    for top in (c.verb, *c.frame):
        lo = min(lo, top)
        for k in v.kids[top]:
            if k >= lo and v.left[k] >= lo:
                continue
            if k in verbs or v.dep[k] in ("conj", "punct"):
                continue
            if k < top and any(v.left[k] <= x <= v.right[k] for x in verbs if x != c.verb and x not in c.frame):
                continue
            lo = min(lo, v.left[k])
    return lo


def _is_phrase(v: View, start: int, end: int) -> bool:
    """Whether the tokens stand for themselves before the clause ("Hood. Two pieces …", "The edge, then, is bound")."""
    while end - 1 > start and v.pos[end - 1] in ("CCONJ", "ADV", "SCONJ") and v.text[end - 1] not in ",.:;":
        end -= 1
    words = [i for i in range(start, end) if v.pos[i] not in ("PUNCT", "CCONJ", "INTJ", "ADV", "SCONJ", "SPACE")]
    return len(words) >= 3 and any(v.pos[i] in ("NOUN", "PROPN") for i in words) and v.text[end - 1] in ",.:;-–"


def _breaks(v: View, clauses: list[Clause], segments: list[Segment]) -> list[Segment]:
    """Joining words at a segment's end go to the next one."""
    for a, b in itertools.pairwise(segments):
        if v.low[b.start] == "or" and b.start + 1 < b.end and v.low[b.start + 1] == "so":
            a.end = b.start = b.start + 2  # "an inch or so" belongs to what is measured
        while (
            a.end - 1 > a.start
            and v.low[a.end - 1] in _JOINING
            and not (v.low[a.end - 1] == "so" and v.low[a.end - 2] == "or")
            and v.sent_of[a.end - 1] == v.sent_of[b.start]
        ):
            if a.clause is not None and a.end - 1 <= clauses[a.clause].verb:
                break
            a.end -= 1
            b.start -= 1
    return segments
