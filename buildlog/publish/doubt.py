"""What of a reading is too unsure for a description that is posted unchanged: it goes to the check list instead.

Whatever the maker has confirmed (a confidence of 1) is never doubted. How sure is sure enough was measured on the
narrations in tests/narrations/dev against their answer sheets: of the items left out under 0.6 a good third are right, of
those listed nine in ten; of the techniques under 0.9 two in three, of those named 19 in 20; of the steps under 0.4 half,
of all others five in six (``benchmarks/publish.py --doubt`` prints the totals).
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence

from buildlog.document import GeneralCaution, Item, Log, Measurement, Step, Technique
from buildlog.publish.naming import name_words

SURE_ITEM = 0.6
SURE_PAIR = 0.6
SURE_TECHNIQUE = 0.9
SURE_HAZARD = 0.75
SURE_COUNT = 0.75
SURE_STEP = 0.4
BORNE_OUT = 0.15  # how much said again, paid for or measured makes up for
NEAR_S = 15.0  # a substitute is offered within so many seconds of the thing it stands in for

# Worn or held for safety's sake: nothing that does the work stands in for it. Common practice, no source.
_PROTECTIVE = re.compile(
    r"\b(?:gloves?|goggles|(?:safety )?glasses|masks?|respirators?|ear (?:defenders|muffs|plugs)|apron)\b",
    re.IGNORECASE,
)
# Words that carry nothing where what is worked on is not named.
_EMPTY = set(
    "a an the this that these those it them they her him its piece pieces part parts thing things one ones some all "
    "both each to of in on off at up down out over through in into again and then so same do does go put get give "
    "take make let have has is are be with for way bit there here just around round right forward along again "
    "keep sure carefully".split()
)


def sure_item(item: Item, least: float = SURE_ITEM) -> bool:
    """Whether an item is sure enough to be listed: by itself, or since an amount, a price or a link bears it out."""
    if item.confidence >= least:
        return True
    borne_out = len(item.mentions) > 2 or bool(item.price or item.quantities or item.link)
    return borne_out and item.confidence >= least - BORNE_OUT


def sure_amounts(log: Log) -> dict[str, Measurement]:
    """The measurements that say how much of a thing there is, by id.

    A bare count is often one of something else: "two screws in every joint" are not two screws, "two in the silk" are
    pieces cut; and where two counts are said of one thing, neither is how many it takes.
    """
    starts = [line.start_s for line in log.transcript]
    counts = {m.id for m in log.measurements if m.unit is None and not m.setting}
    out = {
        m.id: m
        for m in log.measurements
        if m.id not in counts or (m.confidence >= SURE_COUNT and not _of_each(m, log, starts))
    }
    for item in log.items:
        for q in item.quantities:
            if q in out and _of_another(out[q], item):
                out.pop(q)
        plain = [q for q in item.quantities if q in counts and q in out]
        if len({(out[q].value, out[q].of) for q in plain}) > len({out[q].of for q in plain}):
            for q in plain:
                out.pop(q, None)
    return out


FAR_S = 45.0


def _of_another(m: Measurement, item: Item) -> bool:
    """Whether an amount is of something that ``item`` is only named after, said far from it: yards of thread are not
    those of a thread cutter."""
    words, of = name_words(item.name), name_words(m.of or "")
    if item.confidence >= 1.0 or not of or not words or of[-1] == words[-1] or of[-1] not in words[:-1]:
        return False
    # "The brass" may be the brass sheet; "the thread" is not the thread cutter, whatever the reading took it for.
    does = words[-1].endswith(("er", "or"))
    named = [n.start_s for n in item.mentions if not does or name_words(n.text)[-1:] == words[-1:]]
    return all(abs(at - m.start_s) > FAR_S for at in named)


def _of_each(m: Measurement, log: Log, starts: Sequence[float]) -> bool:
    """Whether a count is said of each of several, or of the pieces cut from a thing."""
    if re.match(r"pieces in\b", m.of or "") or re.search(r"\b(?:each|every|per)\b", m.text, re.IGNORECASE):
        return True
    at = bisect_right(starts, m.start_s) - 1
    said = " ".join(line.text for line in log.transcript[max(0, at) : at + 2])
    _, found, after = said.casefold().partition(m.text.casefold()) if m.text else ("", "", "")
    return bool(found) and bool(
        re.match(r"\W*(?:(?:in|at|on|to|for|into|along|down|up|through)\s+){0,2}(?:each|every|per)\b", after)
    )


def sure_technique(technique: Technique) -> bool:
    """Whether a technique is sure enough for the line under the title."""
    borne_out = BORNE_OUT if len(technique.mentions) > 2 else 0.0
    return technique.confidence >= SURE_TECHNIQUE - borne_out


def sure_pair(log: Log, item: Item, of: Item) -> bool:
    """Whether ``item`` is surely offered to the viewer instead of ``of``.

    Either the sentence names both, or ``of`` is what was spoken of just before. Of two things in one sentence ("a
    block wrapped in sandpaper") neither alone will do.
    """
    if item.confidence >= 1.0:
        return True
    if item.confidence < SURE_PAIR or item.kind != of.kind:
        return False
    if _PROTECTIVE.search(of.name) and not _PROTECTIVE.search(item.name):
        return False
    why = (item.why or "").casefold()
    together = [i for i in log.items if i.status == "substitute" and i.why and i.why == item.why]
    if len(together) > 1 and not re.search(r"\bor\b", why):
        return False
    names = {w for n in (of.name, *of.aliases) for w in re.findall(r"[^\W\d_]{3,}", n.casefold())}
    own = set(re.findall(r"[^\W\d_]{3,}", item.name.casefold()))
    if any(re.search(rf"\b{re.escape(w)}\b", why) for w in names - own):
        return True
    before = [m.start_s for m in of.mentions if m.start_s <= item.first_s] or [of.first_s]
    last = max(before)
    if not of.mentions:  # nothing tells what was spoken of in between
        return True
    # What came up in between could be meant as well: anything of the kind, and anything said for the first time.
    between = (
        m.start_s
        for other in log.items
        if other is not item and other is not of and all(other is not t for t in together)
        for m in (other.mentions if other.kind == of.kind else other.mentions[:1])
    )
    return 0 <= item.first_s - last <= NEAR_S and not any(last < at < item.first_s for at in between)


_UNNAMED = {"piece", "pieces", "it", "them", "her", "him", "thing", "same"}
MOST_RUN = 32  # words in a row without a comma: several sentences that ran into one
# Words of which a step, put together from speech, cannot be right. Each alternative is one way of going wrong.
_BROKEN = re.compile(
    r"\b(?:the|an|my|your) (?:the|an?|and|or|of|with|at|by|for|from|is|are|was|were|goes|their)\b"  # a word is missing
    r"|\b(?:a|an|the|and|or|of|with|at|from|into|that|which|whose|as|than|because|if|when|till|until|far|actual|other"
    r"|[a-z]+n['’]t)[.!]?$"  # it goes on
    r"|\b\w+['’]s (?:an?|the)\b"  # somebody else's sentence: "thread's a"
    r"|^\w+ the pieces? (?:is|are|goes|go|gets|has|have)\b(?! square| flat| level| true)"
    r"|(?<![\d/.] )(?<![\d/.])\b\d+ \d+ (?!\d+/\d)(?=[a-z])"  # two numbers side by side
    r"|^(?:put|give|make|add|set|take) the [a-z]+ (?:it|them)\b(?! (?:is|was|goes))"  # "put the chalk it on"
    r"|\b(?:one|two|three|four|five|six|both|each) (?:in|of|to)[.]?$"  # "two fronts in the tweed and two in"
    r"|^give (?:the|an?|every|each|both) [^,]*\w{3}ed (?:to|onto|on|in|at|by)\b"  # "give every pleat stitched to the band"
    r"|^don['’]t \w+n['’]t\b"
    r"|^let (?!it\b|them\b)[^,]* (?:it|them) \w"  # "let two coats it dry"
    r"|\b(\w{4,}) \1\b",  # a word twice
    re.IGNORECASE,
)


def says_enough(step: Step) -> bool:
    """Whether a step tells a viewer what to do: "Strip the piece." does not, nor does a sentence that broke where it was
    put together."""
    if step.confidence >= 1.0:
        return True
    text = step.text.casefold()
    longest = max(len(part.split()) for part in re.split(r"[,;:.] ", text))
    if longest > MOST_RUN or _BROKEN.search(text):
        return False
    words = re.findall(r"[^\W_]+(?:['’][^\W_]+)?", text)
    return len([w for w in words if w not in _EMPTY]) > (1 if _UNNAMED & set(words) else 0)


def sure_step(step: Step) -> bool:
    """Whether a step was surely told as one."""
    return step.confidence >= SURE_STEP


def fitting_cautions(log: Log) -> list[GeneralCaution]:
    """The craft's cautions about what surely was done; of several about one thing the first."""
    sure = {i.id: i.confidence >= SURE_ITEM for i in log.items}
    sure |= {t.id: t.confidence >= SURE_HAZARD for t in log.techniques}
    out: list[GeneralCaution] = []
    told: set[str] = set()
    for caution in log.general_cautions:
        of = caution.refers_to
        if of is not None and (not sure.get(of, True) or of in told):
            continue
        told |= {of} if of else set()
        out.append(caution)
    return out
