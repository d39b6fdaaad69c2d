"""The steps of a narration: chosen, joined, rewritten, put in the order of work."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from buildlog.outline.steps.choosing import Told, choose, refine, so_that
from buildlog.outline.steps.doubts import MARKS, mark, opens_in_doubt, said_generally, settle, thin
from buildlog.outline.steps.drafts import Draft
from buildlog.outline.steps.faults import mend, says_nothing, written_amounts
from buildlog.outline.steps.implied import implied
from buildlog.outline.steps.ordering import (
    earlier,
    in_order,
    mark_off_camera,
    stems,
    without_corrected,
    without_repeats,
)
from buildlog.outline.steps.phrases import Phrase
from buildlog.outline.steps.pieces import name_pieces
from buildlog.outline.steps.rewriting import Rewriter
from buildlog.outline.steps.segments import Segment, find_segments
from buildlog.outline.steps.tails import clip_tails
from buildlog.outline.steps.things import Things
from buildlog.outline.words import COMPOUNDS, PLURAL_PRONOUNS, joined, sentence
from buildlog.tag.lexicon import lexicon_of

if TYPE_CHECKING:
    from spacy.tokens import Doc

    from buildlog.tag.clauses import Clause
    from buildlog.tag.view import View


def find_steps(doc: Doc, v: View) -> list[Draft]:
    """All steps told in ``doc``."""
    clauses = list(doc._.clauses)
    reading = doc._.reader
    lexicon = lexicon_of(doc)
    segments = clip_tails(v, refine(v, find_segments(v, clauses, lexicon), clauses, reading), clauses)
    used = sum(g.status == "used" and g.kind in ("material", "tool") for g in doc._.items or [])
    idle = used < USED_LEAST and len(v.sents) > TALK_LONG
    need = IDLE_NEEDS if idle else NEEDS_LEAST if reading is not None else 0.0
    told = choose(v, segments, clauses, lexicon, reading, doc._.notes or [], need)
    rewriter = Rewriter(
        v, clauses, lexicon, Things(v, lexicon, clauses, doc._.mentions or [], reading), doc._.mentions or []
    )
    drafts: list[Draft] = []
    for t in told:
        d = _write(v, rewriter, segments, t, clauses)
        if d is None:
            continue
        if drafts and len(d.phrases) == 1 and (how := _how(d.phrases[0])):
            if v.start_s[d.at] - v.end_s[drafts[-1].end - 1] < JOINED_S:
                drafts[-1].phrases[-1].words += how
                drafts[-1].end = d.end
        elif drafts and _hangs_on(v, drafts[-1], d):
            drafts[-1] = _together(v, drafts[-1], d)
        elif not (len(d.phrases) == 1 and d.phrases[0].bare and not d.phrases[0].same):
            drafts.append(d)
    build = rewriter.things.build()
    for d in drafts:
        late = build is not None and not build.plural and d.at > LATE * len(v.text)
        settle(d.phrases, build.the if late and build is not None else None)
        _name_the_first(d.phrases[0])
        d.text = written_amounts(sentence(joined(_told_apart(d.phrases)).split()))
    drafts = [d for d in drafts if not says_nothing(d.text)]
    for d in drafts:
        d.earlier = earlier(v, d, clauses)
    mark_off_camera(v, drafts, doc._.notes or [], reading)
    drafts = without_corrected(v, drafts, doc._.notes or [], reading)
    drafts = without_repeats(v, drafts, clauses)
    unsaid = implied(v, clauses, drafts, lexicon)
    if unsaid is not None:
        drafts.insert(sum(d.at < unsaid.at for d in drafts), unsaid)
    name_pieces(v, drafts, lexicon, clauses)
    return in_order(v, drafts)


_BY_THEMSELVES = frozenset("wait stop pause rest breathe repeat continue".split())  # want no object
_STANDING = frozenset("it them those these this that they".split())
_PARTICLES = frozenset("down up off out over on in back".split())
_HANGING = frozenset("to of from than into onto for with and but so that not if when make".split())
# A long talk that names nothing to make things with is no build log: an order in it needs much more evidence.
USED_LEAST, TALK_LONG, IDLE_NEEDS = 3, 15, 4.0
NEEDS_LEAST = 0.2  # log odds: a step in doubt is better left out
LATE = 0.6  # of the talk, from which on the thing being made is whole
JOINED_S = 4.0  # a pronoun in doubt joins its clause to the step in front if that ends no longer before
JOINED_WORDS, JOINED_ACTIONS = 36, 4


def _name_the_first(p: Phrase) -> None:
    """A sentence never opens on a pronoun."""
    at = next((i for i in (1, 2, 3) if i < len(p.words) and p.words[i].lower() in _STANDING), None)
    if at is None or any(
        w.lower() not in _PARTICLES and w.lower() != p.verb and w.lower() not in COMPOUNDS
        for w in p.words[1:at]
        if w.lower() != "all"
    ):
        return
    p.words[at] = "the pieces" if p.words[at].lower() in PLURAL_PRONOUNS else "the piece"


def _told_apart(phrases: list[Phrase]) -> list[str]:
    """The actions in words; what follows something that must not be done stays told from it: "don't wring, then pin"."""
    out: list[str] = []
    for n, p in enumerate(phrases):
        if n and phrases[n - 1].words[0] == "don't" and p.words[0] != "don't":
            out[-1] += " , then " + p.text
        else:
            out.append(p.text)
    return out


def _listed(p: Phrase) -> bool:
    """Whether the phrase is a list of things and sizes that nobody does anything with."""
    several = p.words.count(",") > (p.verb != "put")
    return p.fragment and p.verb in ("add", "use", "put") and several and "coats" not in p.words


def _names_only(phrases: list[Phrase]) -> bool:
    """A tool or an amount said by itself ("A size ninety needle, by the way.", "All seven yards."): nothing is done."""
    p = phrases[0]
    if len(phrases) == 1 and _listed(p):
        return True
    if len(phrases) > 1 or not p.fragment or p.verb not in ("add", "use", "make"):
        return False
    if p.verb == "add" and len(p.words) < 4 and p.words[-1].endswith("ing"):
        return True  # "Then the piercing.": a heading
    if p.verb == "make":
        return len(p.words) < 5  # "Then the long rails.": a heading
    return p.verb == "use" or not any(t.kind in ("material", "piece", "product", "pattern") for t in p.things)


def _write(v: View, rewriter: Rewriter, segments: list[Segment], t: Told, clauses: list[Clause]) -> Draft | None:
    """The step that the segments tell, or none where no action can be made out."""
    rewriter.begin()
    phrases: list[Phrase] = []
    last = t.segments[0]
    for n in t.segments:
        if phrases and so_that(v, segments[n], clauses):
            phrases[-1].words += rewriter.purpose(segments[n])
            last = n
            continue
        if not phrases and v.text[segments[n].start] == "," and rewriter.aim(segments[n]):
            continue  # ", to hold it": what for, without what
        if phrases and (aim := rewriter.aim(segments[n])):
            phrases[-1].words += aim
            last = n
            continue
        opens = segments[n].start
        while opens < segments[n].end - 1 and v.pos[opens] == "PUNCT":
            opens += 1
        if phrases and v.low[opens] == "or":
            continue  # "tap it underneath, or break it with pliers": another way
        p = rewriter.phrase(segments[n])
        if p is None or not p.words:
            continue
        said = v.low[segments[n].start : segments[n].end]
        if not mend(p, rewriter.known, "rounded" in said or "rounding" in said):
            continue
        if phrases and p.words == ["repeat", "the", "same", "step"]:
            continue
        if p.verb == "let" and len(p.words) < 3:
            continue  # what was let happen is not in it
        if phrases and (how := _how(p)):
            phrases[-1].words += how
            last = n
            continue
        if phrases and p.verb == "use" and phrases[-1].words[-1] in ("with", "using") and len(p.words) > 1:
            phrases[-1].words += p.words[1:]  # "poke the corners out with, well, I use a chopstick"
            last = n
            continue
        how = _hung(v, segments[n], clauses) if phrases and p.bare else []
        if how:
            phrases[-1].words += [",", *how]
            last = n
            continue
        if p.fragment and phrases:
            applied = all(t.kind in ("material", "piece", "product") for t in p.things)
            if p.verb not in ("add", "use", "make", "run", phrases[-1].verb) and applied:
                phrases.append(p)  # "and two screws in every joint"
                last = n
            elif any(v.pos[i] == "NUM" for i in range(segments[n].start, segments[n].end)):
                words = p.words[len(p.verb.split()) :]
                phrases[-1].words += [",", *words]  # a setting told after it
                last = n
            continue
        phrases.append(p)
        last = n
    if len(phrases) > 1 and _listed(phrases[0]):
        del phrases[0]
    if not phrases or _names_only(phrases):
        return None
    if len(phrases) > 1 and phrases[0].bare and len(phrases[0].words) == 1 and not phrases[1].bare:
        a, b = phrases[0].start, phrases[1].start
        if b - a <= 4 and v.low[b - 1] == "and":  # "I snipped and tore the lot": one object for both
            phrases[1].words[:0] = [phrases[0].words[0], "and"]
            phrases[1].verb, phrases[1].start = phrases[0].verb, a
            del phrases[0]
    if phrases[0].bare and not phrases[0].same:
        thing = rewriter.things.near(phrases[0].start, phrases[0].verb)
        then = next((w for p in phrases[1:] for w in p.words if w in MARKS or w in ("it", "them")), None)
        agrees = then is None or thing is None or then.endswith("them") == thing.plural
        if len(phrases) == 1 and len(phrases[0].words) == 1 and phrases[0].verb in ("make", "do", "get", "use", "take"):
            return None  # "I made …": what, the words behind have lost
        if thing is not None and agrees and not set(thing.name.split()) & set(phrases[0].words):
            phrases[0].words[1:1] = thing.the.split()
            phrases[0].things, phrases[0].bare = [thing], False
        elif len(phrases[0].words) == 1 and len(phrases) > 1:
            phrases[0].words.append(mark("it"))
    for n, p in enumerate(phrases[1:], 1):
        if p.verb in _BY_THEMSELVES:
            continue
        if p.bare and len(p.words) == 1 and phrases[n - 1].verb not in ("let", "leave", "allow", "use"):
            p.words.append(_pronoun_for(phrases[n - 1]))
    phrases = [p for n, p in enumerate(phrases) if not (p.bare and n and p.verb == phrases[n - 1].verb)]
    phrases = [p for p in phrases if p.words[1:] != ["sure"]] or phrases  # "make sure": of what, the next clause says
    phrases = [p for n, p in enumerate(phrases) if not any(_said_anew(p, q) for q in phrases[n + 1 :])]
    for n, p in enumerate(phrases[1:], 1):
        for x in p.things:
            if x.the in " ".join(phrases[n - 1].words) and x.the in p.words:
                p.words[p.words.index(x.the)] = "them" if x.plural else "it"
    for p in phrases:
        while len(p.words) > 2 and p.words[-1].lower() in _HANGING:
            p.words.pop()
    start, end = segments[t.segments[0]].start, segments[last].end
    while start < end - 1 and v.pos[start] in ("PUNCT", "CCONJ"):
        start += 1
    sure = 1 / (1 + math.exp(-t.odds))
    return Draft("", start, end, phrases[0].start, phrases, round(sure * min(p.sure for p in phrases), 3))


def _how(p: Phrase) -> list[str]:
    """The words of a phrase that only says how the one in front was done: "I did it with chalk and a ruler"."""
    low = [w.lower() for w in p.words]
    if p.verb != "do" or len(low) < 4 or low[0] != "do" or not (low[1] in MARKS or low[1] in _STANDING):
        return []
    return p.words[2:] if low[2] in ("with", "by", "at", "on", "in", "from") else []


def _hung(v: View, s: Segment, clauses: list[Clause]) -> list[str]:
    """The words of a segment that only says how the thing in front is: "with the plane, freshly honed"."""
    a = s.start
    if s.clause is None or v.text[a] != "," or v.tag[clauses[s.clause].verb] != "VBN":
        return []
    words = [v.low[i] for i in range(a + 1, s.end) if v.pos[i] != "PUNCT"]
    known = all(v.pos[i] in ("ADV", "VERB", "PUNCT") for i in range(a, s.end))
    return words if known and len(words) == 2 and words[0].endswith("ly") else []


def _said_anew(p: Phrase, q: Phrase) -> bool:
    """Whether ``q`` tells what ``p`` told, put right: the same done to the same."""
    x, y = stems(p.text), stems(q.text)
    return p.verb == q.verb and len(x & y) > 2 and len(x & y) >= 0.7 * min(len(x), len(y))


def _pronoun_for(p: Phrase) -> str:
    """What stands for the thing of the action in front."""
    return mark("them" if p.things and p.things[-1].plural else "it")


def _hangs_on(v: View, before: Draft, d: Draft) -> bool:
    """Whether ``d`` says too little by itself, its object in doubt, and goes on with the step in front of it."""
    p = d.phrases[0]
    gap = float(v.start_s[d.at]) - float(v.end_s[before.end - 1])
    words = sum(len(x.words) for x in (*before.phrases, *d.phrases))
    return (
        gap < JOINED_S
        and not p.same
        and ((opens_in_doubt(p) and (thin(p) or said_generally(p))) or (p.bare and len(p.words) < 2))
        and words < JOINED_WORDS
        and len(before.phrases) + len(d.phrases) <= JOINED_ACTIONS
        and bool(before.phrases[-1].things or before.phrases[0].things)
    )


def _together(v: View, a: Draft, b: Draft) -> Draft:
    p = b.phrases[0]
    if p.bare and p.verb == a.phrases[-1].verb:
        return Draft("", a.start, b.end, a.at, [*a.phrases, *b.phrases[1:]], min(a.sure, b.sure))
    if p.bare and len(p.words) == 1:
        p.words.append(_pronoun_for(a.phrases[-1]))
    return Draft("", a.start, b.end, a.at, [*a.phrases, *b.phrases], min(a.sure, b.sure))
