"""Remarks: the rules' notes and the trained reader's put together.

The rules know many wordings of a caution or a correction exactly; the reader knows the tone of ones that nobody wrote a
rule for. A note of the rules stays unless the reader sees nothing of the kind there; a stretch that the reader is sure
of becomes a note where the rules found none. A stretch that only offers another thing to use is the item's affair, not
a tip.

Changes ``doc._.notes`` and, in the same way, ``doc._.promises``; without a trained reader they stay as they are.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from buildlog.tag.mentions import SUBSTITUTE, Mention
from buildlog.tag.notes import cautions
from buildlog.tag.notes.corrections import mends, told_mended
from buildlog.tag.notes.found import Kind, NoteFound
from buildlog.tag.notes.tips import offers_another
from buildlog.tag.notes.whole import clause_end, polished, whole
from buildlog.tag.promise_cues import PHYSICAL
from buildlog.tag.promise_lists import things_listed
from buildlog.tag.promises import Promise, promise_text
from buildlog.tag.reader import Reading, joined, stretches
from buildlog.tag.view import View, view_of
from buildlog.tag.wording import plain, tidy

if TYPE_CHECKING:
    from spacy.tokens import Doc

MARK: dict[str, Kind] = {"C": "correction", "O": "off_camera", "K": "caution", "I": "tip", "F": "pointer"}
# The reader's probability that a rule's note needs, and that a stretch of its own needs. Advice is everywhere in such
# talk: only what both or a very sure reader call a tip is worth a line.
_KEEP: dict[Kind, float] = {"correction": 0.1, "off_camera": 0.1, "caution": 0.05, "tip": 0.3, "pointer": 0.1}
_ADD: dict[Kind, float] = {"correction": 0.8, "off_camera": 0.7, "caution": 0.7, "tip": 0.8, "pointer": 0.7}
_FLOOR: dict[Kind, float] = {"correction": 0.25}
_ADD_MENDED = 0.5  # the same for a correction that has words of a mistake and of its mending
# A rule's note in words as plain as this stays whatever the reader says ("part two is the shelf").
_PLAIN: dict[Kind, float] = {"correction": 0.8, "off_camera": 0.9, "caution": 0.75, "tip": 0.8, "pointer": 0.8}
_ADVICE = ("caution", "tip")
_SHORTEST, _SHORTEST_NOTE = 3, 5  # tokens of a link owed, and of a note, that only the reader hears
_APART = 8  # tokens between two notes of one kind that are two


def merge(v: View, notes: list[NoteFound], reading: Reading, mentions: list[Mention]) -> list[NoteFound]:
    """The notes of rules and reader together, in order."""
    offers = [m for m in mentions if m.kind != "technique" and max(range(4), key=lambda s: m.status[s]) == SUBSTITUTE]
    notes = [_by_tone(v, n, reading) for n in notes]
    notes = [n for n in notes if n.kind != "tip" or not offers_another(n.text) or _another_way(v, n.start, n.end)]
    advice = _advice(v, reading)
    out: list[NoteFound] = []
    for letter, kind in MARK.items():
        inside = 1.0 - reading.layers[letter][:, 0]
        for note in notes:
            if note.kind == kind and (
                float(inside[note.start : note.end].max(initial=0.0)) >= _KEEP[kind] or note.confidence >= _PLAIN[kind]
            ):
                out.append(note)
        stretches = (
            [(a, b, p) for a, b, p, k in advice if k == kind]
            if letter in "KI"
            else reading.found(letter, _FLOOR.get(kind, 0.5))
        )
        for start, end, p in stretches:
            mended = kind == "correction" and p < _ADD[kind] and told_mended(plain(v.words(start, end)))
            if end - start < _SHORTEST_NOTE or p < (_ADD_MENDED if mended else _ADD[kind]):
                continue
            if any(n.kind == kind and _same_place(v, n, start, end) for n in out):
                continue
            if letter in "KI" and any(n.kind in _ADVICE and n.start < end and start < n.end for n in notes):
                continue  # the rules have called it a caution or a tip
            if (
                kind == "tip"
                and (any(start <= m.start < end for m in offers) or offers_another(v.words(start, end)))
                and not _another_way(v, start, end)
            ):
                continue
            out.append(_note(v, kind, start, end, p))
    out.sort(key=lambda n: (n.start, n.kind))
    return _in_whole_clauses(v, [_with_its_mending(v, n, reading) for n in out])


def _another_way(v: View, start: int, end: int) -> bool:
    """Whether a case is met by doing something else, not just by another thing: "if you've no overlocker, zigzag it"."""
    case = next((i for i in range(start, end) if v.low[i] in _CASE), end)
    return any(_told_to_do(v, i) for i in range(case + 2, end - 1))


def _told_to_do(v: View, i: int) -> bool:
    """Whether token ``i`` tells the viewer to do something that is more than to use another thing."""
    if v.low[i] in _BY_A_THING or v.low[i - 1] in _WHO:
        return False
    if v.low[i - 1] in ("then", "just") and v.low[i + 1] in _WHAT:
        return v.pos[i] in ("VERB", "NOUN", "PROPN", "ADJ")  # read amiss: "then zigzag it"
    if v.low[i] in _SAME_FORM:
        return v.low[i + 1] in _WHAT or v.pos[i + 1] in ("NOUN", "ADJ")
    bare = v.pos[i] == "VERB" and v.tag[i] in ("VB", "VBP") and (v.low[i - 1] in (",", "and") or v.dep[i] == "ROOT")
    return bare and not any(v.dep[k] in ("nsubj", "nsubjpass", "aux") for k in v.kids[i])


_CASE = frozenset(("if", "unless", "when", "where"))
_WHO = frozenset("i you we they he she it to 'll 'd can could would will did do does n't not".split())
_WHAT = frozenset("it them that this those these the a an your some".split())
_SAME_FORM = frozenset("put cut set".split())
_BY_A_THING = frozenset(
    "use try take get have be do work search look find buy want need own manage borrow make does".split()
)


def _same_place(v: View, note: NoteFound, start: int, end: int) -> bool:
    """Whether a stretch says what ``note`` says: they overlap, or lie close together in one sentence."""
    if start < note.end and note.start < end:
        return True
    near = start < note.end + _APART and note.start < end + _APART
    return near and v.sent_of[start] == v.sent_of[min(note.end - 1, len(v.sent_of) - 1)]


def _by_tone(v: View, note: NoteFound, reading: Reading) -> NoteFound:
    """``note`` as a caution or a tip, whichever the reader and the wording speak for."""
    if note.kind not in ("caution", "tip"):
        return note
    caution, tip = (reading.inside(letter, note.start, note.end) for letter in "KI")
    caution += _tone(v, note.start, note.end)
    if note.kind == "tip" and caution > max(tip, 0.3) + _TONE:
        return replace(note, kind="caution")
    if note.kind == "caution" and tip > max(caution, 0.3) + _TONE:
        return replace(note, kind="tip")
    return note


def _tone(v: View, start: int, end: int) -> float:
    """What the wording of a warning weighs against the reader's ear for it."""
    text = plain(v.words(start, end))
    harm = cautions.score(text)
    if _warns(v, start, end) or (harm and cautions.threatens(text)):
        return _WARNING
    return _HARM * harm.confidence if harm else 0.0


_TONE = 0.12
_WARNING, _HARM = 0.7, 0.4
_DO_NOT = frozenset("do don does never not".split())
_FREELY = frozenset("need have worry fuss bother mind know think care matter want".split())
_ELSE = frozenset("or otherwise because cause 'cause since else".split())


def _warns(v: View, start: int, end: int) -> bool:
    """Whether the words say what not to do and what comes of it: "don't press so hard that it shines", "never ... or"."""
    for i in range(start, end):
        negated = v.low[i] == "never" or (v.low[i] in ("n't", "not") and i > start and v.low[i - 1] in _DO_NOT)
        if not negated:
            continue
        if i + 1 < end and v.low[i + 1] in _FREELY:
            continue
        first = all(v.low[k] in _DO_NOT or v.pos[k] in ("CCONJ", "INTJ", "PUNCT", "ADV") for k in range(start, i))
        rest = range(i + 1, end)
        follows = any(v.low[k] in _ELSE for k in rest) or any(
            v.text[k] in ",;." and k + 1 < end and v.low[k + 1] in ("it", "they", "you", "that") for k in rest
        )
        if first or follows:
            return True
    return False


def _advice(v: View, reading: Reading) -> list[tuple[int, int, float, Kind]]:
    """Stretches of advice, warning or hint taken together, each then called a caution or a tip.

    The reader often halves its word between the two, so that neither alone would be enough.
    """
    k, t = (1.0 - reading.layers[letter][:, 0] for letter in "KI")
    begins = reading.layers["K"][:, 1] + reading.layers["I"][:, 1]
    mass = np.minimum(1.0, k + t)
    out: list[tuple[int, int, float, Kind]] = []
    for start, end, p in stretches(mass, begins > 0.5 * mass):
        caution, tip = float(k[start:end].mean()), float(t[start:end].mean())
        caution += _tone(v, start, end)
        out.append((start, end, p, "caution" if caution >= tip else "tip"))
    return out


def merge_promises(v: View, promises: list[Promise], reading: Reading, mentions: list[Mention]) -> list[Promise]:
    """The links owed of rules and reader together, in order.

    A stretch the reader calls a promise stands for one. What the rules found in it is that one (or several, where it
    names several things); where they found nothing in it, or nothing in a good part of it that has the words of a
    promise too, the reader's is added.
    """
    inside = 1.0 - reading.layers["L"][:, 0]
    out = [
        o
        for o in promises
        if float(inside[o.start : o.end].max(initial=0.0))
        >= (_KEEP_SURE if o.confidence >= _SURE_PROMISE else _KEEP_PROMISE)
    ]
    kept = list(out)
    stretches = [
        (a, b, p)
        for start, end, p in joined(reading.found("L", _ADD_PROMISE), least_gap=1)
        for a, b in _one_each(v, start, end)
    ]
    homes = _homes(v, stretches, kept)
    for n, (start, end, p) in enumerate(stretches):
        held = homes.get(n, [])
        for a, b in _left_over(start, end, held):
            if _asks(v, a) or _of_metal(v, a, b):
                continue
            told = _words_of_promise(v, a, b)
            if not told and _SEARCHING & set(v.low[a:b]):
                continue
            beside = any(o.start - 2 <= a <= o.end + 2 or o.start - 2 <= b <= o.end + 2 for o in kept)
            if held and not told:
                continue
            # "the needle" before "and the thread I'll link": the first of a list
            listed = (
                v.pos[b - 1] in ("NOUN", "PROPN")
                and v.low[b : b + 1] == ["and"]
                and any(s == b for s, _, _ in stretches)
            )
            told = told or listed
            untold = (_ADD_NAMED if _names_another(v, a, b) else _ADD_BESIDE) if beside else _ADD_UNTOLD
            if not held and p < (_ADD_TOLD if told else untold):
                continue
            if b - a >= _SHORTEST or (beside and b - a == 2) or listed:
                out.append(_promise(v, a, b, p, mentions))
    out.sort(key=lambda o: o.start)
    return _each_thing(v, _said_once(v, out, reading), [(a, b) for a, b, _ in stretches])


def _said_once(v: View, promises: list[Promise], reading: Reading) -> list[Promise]:
    """``promises``, in order, without those that only say where the thing is of the one before them.

    "I wrote out the chart, my grandson has it on his page, and he'll put the address under here" promises one thing.
    """
    begins = reading.layers["L"][:, 1]
    out: list[Promise] = []
    for o in promises:
        near = bool(out) and o.start - out[-1].end <= _BREATH
        if near and o.what == out[-1].what and not (_PLACE | _SHARED) & set(v.low[out[-1].start : out[-1].end]):
            out[-1] = o  # "there's a drawing of this, it's rough, and it's going underneath"
            continue
        goes_on = near and (o.what.lower() in _WHEREABOUTS or _there_it_is(v, o))
        goes_on = goes_on and not (o.what_end is not None and v.low[o.what_end : o.what_end + 1] in (["for"], ["of"]))
        goes_on = goes_on and not _asked_for(v, o.start, o.end)
        if o.what_start is not None and {"a", "an", "my"} & set(v.low[max(0, o.what_start - 1) : o.what_start + 1]):
            goes_on = False  # "a page with the whole order of work" is a thing of its own
        if goes_on and float(begins[max(0, o.start - 1) : o.start + 4].max()) < _BEGINS:
            continue
        out.append(o)
    return out


def _there_it_is(v: View, o: Promise) -> bool:
    """Whether the words only say of something named before that it is to be had: "and you can grab it below"."""
    if o.what_start is not None and o.what_start >= o.start:
        return False
    return not _ALSO & set(v.low[o.start : o.end]) and bool(_IT_IS & set(v.low[o.start : o.start + 5]))


_IT_IS = frozenset("it it's they that".split())
_BREATH, _BEGINS = 3, 0.3
_WHEREABOUTS = frozenset("general address link links page email playlist place site website".split())


def _each_thing(v: View, promises: list[Promise], stretches: list[tuple[int, int]]) -> list[Promise]:
    """``promises`` with one more for each thing of a list that has none yet."""
    out = list(promises)
    for start, end in dict.fromkeys([*stretches, *((o.start, o.end) for o in promises)]):
        here = [o for o in out if o.start < end and start < o.end]
        things = things_listed(v, start, end) if here else []
        if len(here) >= len(things):
            continue
        free = [t for t in things if not any(o.what_start is not None and t[0] <= o.what_start < t[1] for o in here)]
        like = here[0]
        for a, b in free[: len(things) - len(here)]:
            first = a if a > like.start else like.start
            out.append(
                replace(
                    like,
                    start=first,
                    end=max(like.end, b),
                    text=promise_text(v.words(first, max(like.end, b))),
                    what=_name(v, a, b),
                    what_start=a,
                    what_end=b,
                    start_s=float(v.start_s[first]),
                )
            )
    out.sort(key=lambda o: o.start)
    return out


def _name(v: View, start: int, end: int) -> str:
    """The words of a thing without its determiner."""
    return v.words(start + 1, end) if end - start > 1 else v.words(start, end)


# The reader's probability, somewhere in it, that a promise of the rules needs: one in plain words, and one that could be
# talk of a workshop ("it's down there").
_SURE_PROMISE, _KEEP_SURE, _KEEP_PROMISE = 0.9, 0.05, 0.05
# The reader's probability that a token stands in a promise; the mean that a stretch needs where the words of a promise
# are in it, where it lies against another promise, and where there is nothing but the reader's word.
_ADD_PROMISE, _ADD_TOLD, _ADD_NAMED, _ADD_BESIDE, _ADD_UNTOLD = 0.4, 0.5, 0.7, 0.85, 0.75
_LEAST_LEFT = 5
_PLACE = frozenset(
    "below underneath beneath description link links linked linking notes comments comment box page site website blog "
    "address upload uploaded attach attached pdf download downloadable scan scanned file online info bio repo "
    "shop channel shownotes printable".split()
)
_PUT = frozenset(
    "put pop stick leave chuck drop post share list give throw bung shove type write tack add include send get find "
    "paste whack lay go going gone goes sit sitting listed posted sling draw see grab name".split()
)
_WHERE = frozenset("there here under up in with on somewhere for".split())


_JOINS = frozenset("and also plus likewise oh then um so yeah".split())
_ALSO = frozenset("too also likewise".split())


def _names_another(v: View, start: int, end: int) -> bool:
    """Whether a stretch begins with "and" or "also" and a thing of its own: "And the toe chart.", "so do the names"."""
    k = start
    while k < end and (v.low[k] in _JOINS or v.low[k] == ","):
        k += 1
    if k == start:
        return False
    if v.low[k - 1] == "so" and k < end and v.low[k] in ("is", "are", "will", "do", "does", "'s"):
        return True
    while k < end and v.low[k] in ("for", "about", "where", "there", "'s", "is", "are"):
        k += 1
    return (
        k + 1 < end
        and v.pos[k] in ("DET", "PRON", "NOUN", "PROPN", "ADJ")
        and v.low[k] not in _POINTING
        and any(v.pos[i] in ("NOUN", "PROPN") for i in range(k, min(end, k + 4)))
    )


_POINTING = frozenset("it that this they them those these which i we you he she".split())


def _one_each(v: View, start: int, end: int) -> list[tuple[int, int]]:
    """A stretch of the reader's cut where a sentence, or an "and", brings up another thing: one promise each."""
    cuts = [start]
    for i in range(start + 4, end - 1):
        if _appended(v, i, end):
            cuts.append(i)
            continue
        if i == end - 2:
            break
        sentence = (
            v.sents[v.sent_of[i]][0] == i or v.text[i - 1] in (".", "!", "?") or v.low[i : i + 2] == ["as", "for"]
        )
        if not (sentence or v.low[i] in ("and", "plus")):
            continue
        upto = next((k for k in range(i + 1, end) if v.text[k] in (".", "!", "?")), end)
        low = v.low[i:upto]
        also = bool(_ALSO & set(low)) or "as well" in " ".join(low)
        if sentence:
            another = _names_another(v, i, upto) or (also and v.low[i] not in _POINTING)
        else:
            another = _told_anew(v, i + 1, upto) and _words_of_promise(v, cuts[-1], i)
        if another:
            cuts.append(i)
    return list(zip(cuts, [*cuts[1:], end], strict=True))


def _appended(v: View, i: int, end: int) -> bool:
    """Whether another thing is put to a promise without a verb of its own.

    "Along with the chart", "and where I buy the cord", "and the marker, same place".
    """
    if v.low[i : i + 2] == ["along", "with"]:
        return True
    if v.low[i] not in ("and", "plus"):
        return False
    if v.low[i + 1] in ("where", "who") and v.low[i + 2 : i + 3] and v.low[i + 2] in ("i", "we"):
        return bool(set(v.low[i + 3 : i + 6]) & _BOUGHT)
    tail = next(
        (k for k in range(i + 2, min(end, i + 8)) if v.low[k : k + 2] in (["same", "place"], ["same", "spot"])), None
    )
    return tail is not None and not any(v.pos[k] in ("VERB", "AUX") for k in range(i + 1, tail))


def _told_anew(v: View, start: int, end: int) -> bool:
    """Whether what comes after an "and" makes a promise of its own about a thing it names."""
    if _asked_for(v, start, end):
        return True
    first = v.low[start : start + 3]
    if first[:1] and first[0] in ("there", "i", "we") and end - start >= 4:
        named = any(v.pos[i] in ("NOUN", "PROPN") for i in range(start, min(end, start + 8)))
        return named and _words_of_promise(v, start, end)
    return (
        _names_another(v, start - 1, end) and _words_of_promise(v, start, end) and bool(set(v.low[start:end]) & _COMING)
    )


def _asks(v: View, start: int) -> bool:
    """Whether the words ask where something is: "so what's below?"."""
    first = next((k for k in range(start, min(start + 3, len(v.low))) if v.low[k] not in _JOINS), start)
    return v.low[first] == "what" and v.low[first + 1 : first + 2] in (["'s"], ["is"], ["are"])


def _asked_for(v: View, start: int, end: int) -> bool:
    """Whether the words name a thing and end in "that too": "somebody's bound to ask about the powder, so that too"."""
    words = [t for t in v.low[start:end] if t[0].isalnum()]
    tail = words[-2:] if words[-1:] in (["too"], ["also"]) else words[-3:] if words[-2:] == ["as", "well"] else []
    named = any(v.pos[i] in ("NOUN", "PROPN") for i in range(start, end))
    return bool(tail) and tail[0] in ("that", "those", "them", "it", "they") and named and len(words) > 4


def _homes(v: View, stretches: list[tuple[int, int, float]], promises: list[Promise]) -> dict[int, list[Promise]]:
    """For each stretch (by its number) the promises that are the rules' reading of it.

    A promise belongs to the stretch that names its thing, else to the one it shares most words with; but of two
    stretches that one clause runs over, each gets its own if there are two.
    """
    out: dict[int, list[Promise]] = {}
    for o in promises:
        named = next(
            (
                n
                for n, (a, b, _) in enumerate(stretches)
                if o.what_start is not None and a < (o.what_end or 0) and o.what_start < b
            ),
            None,
        )
        shared = [
            (min(b, o.end) - max(a, o.start), n) for n, (a, b, _) in enumerate(stretches) if a < o.end and o.start < b
        ]
        free = [(size, n) for size, n in shared if n not in out]
        best = named if named is not None else max(free or shared)[1] if shared else None
        if best is not None:
            out.setdefault(best, []).append(o)
        before = o.what_start is not None and o.what_start < o.start  # "it" stands in the first of them
        near = (shared[0] if before else max(shared))[1] if shared else None
        if near is not None and named is not None and named not in [n for _, n in shared]:
            if _names_another(v, *stretches[near][:2]):
                out[named].remove(o)
            # its thing was named a sentence before: both stretches are the one promise
            out.setdefault(near, []).append(o)
    return {n: held for n, held in out.items() if held}


def _left_over(start: int, end: int, held: list[Promise]) -> list[tuple[int, int]]:
    """The parts of a stretch that none of the promises in it takes up."""
    if not held:
        return [(start, end)]
    first, last = min(o.start for o in held), max(o.end for o in held)
    named = [o.what_start for o in held if o.what_start is not None]
    out = []
    if first - start >= _LEAST_LEFT and not any(start <= k < first for k in named):
        out.append((start, first))
    if end - last >= _LEAST_LEFT and not any(last <= k < end for k in named):
        out.append((last, end))
    return out


def _words_of_promise(v: View, start: int, end: int) -> bool:
    """Whether the stretch puts something somewhere a viewer could find it."""
    low = set(v.low[start:end])
    if low & _DENIED:
        return False
    if low & _PLACE or (low & _ALSO and _goes_up(v, start, end)):
        return True
    if low & _SEARCHING:
        return False
    source = bool(low & (_THINGS | _TRADERS)) or bool(low & {"where", "who"} and low & _BOUGHT)
    if source and (low & (_SHARED | _FREE) or (low & _VAGUELY and low & _COMING)):
        return True
    return bool(
        low & _PUT
        and low & _WHERE
        and low & _COMING
        and (low & _THINGS or low & {"you", "anyone", "yous", "ye", "y'all"})
    )


def _of_metal(v: View, start: int, end: int) -> bool:
    """Whether the links in the stretch are those of a chain, or arms that are linked."""
    return bool(_LINKS & set(v.low[start:end])) and PHYSICAL.search(plain(v.words(start, end))) is not None


def _goes_up(v: View, start: int, end: int) -> bool:
    """Whether something "goes up too"."""
    return any(v.lemma[i] == "go" and v.low[i + 1] == "up" for i in range(start, end - 2))


_LINKS = frozenset("link links linked linking".split())
_THINGS = frozenset(
    "it that them those one chart pattern plan plans template drawing list recipe file video tutorial book article name number "
    "page spreadsheet charts patterns drawings diagrams sheets tables spreadsheet worksheet layout schematic stencil guide booklet "
    "details measurements sizes notes diagram sketch code calculator sheet table scan copy photo picture supplier".split()
)
_TRADERS = frozenset(
    "shop store supplier suppliers seller dealer mill maker makers lady woman bloke man fella guy chap person people folks "
    "folk company place address number phone website site name names brand".split()
)
_BOUGHT = frozenset("got get buy bought sells sell makes made from came come".split())
_SHARED = frozenset(
    "scan scanned photograph photographed upload uploaded post posted pin pinned share shared sharing type typed attach "
    "link linked tag tagged".split()
)
_FREE = frozenset("free printing yours".split())
_VAGUELY = frozenset("there too also spot place same ditto likewise under".split())
# "have a hunt for ...", "look it up": advice to search, no promise.
_SEARCHING = frozenset("search searching hunt look".split())
_DENIED = frozenset("n't no not never".split())
_COMING = frozenset("'ll will gonna going can you yours 's 've is are".split())


def _promise(v: View, start: int, end: int, p: float, mentions: list[Mention]) -> Promise:
    named = [m for m in mentions if start <= m.start < end and m.kind != "technique"]
    before = [m for m in mentions if 0 <= start - m.end < 25 and m.kind != "technique"]
    told = None if named else _information(v, start, end)
    thing = named[0] if named else before[-1] if before and not told and _points_back(v, start, end) else None
    span = (thing.start, thing.end) if thing is not None else told or _object(v, start, end)
    what = v.words(*span) if span is not None else "general"
    while start < end - 1 and not v.text[start][0].isalnum():
        start += 1
    return Promise(
        start=start,
        end=end,
        text=promise_text(v.words(start, end)),
        what=what,
        what_start=span[0] if span is not None else None,
        what_end=span[1] if span is not None else None,
        start_s=float(v.start_s[start]),
        end_s=float(v.end_s[end - 1]),
        confidence=p,
    )


def _information(v: View, start: int, end: int) -> tuple[int, int] | None:
    """The first thing in the stretch that is itself information, with the words that tell it: "a tidy cutting list"."""
    for i in range(start, end):
        if v.pos[i] == "NOUN" and v.low[i] in _THINGS:
            first = i
            while first > start and v.pos[first - 1] in ("NOUN", "ADJ", "PROPN"):
                first -= 1
            return first, i + 1
    return None


def _object(v: View, start: int, end: int) -> tuple[int, int] | None:
    """The first noun that is put or is there."""
    for i in range(start, end):
        if v.dep[i] in ("dobj", "nsubj") and v.pos[i] == "NOUN" and v.low[i] not in _NO_THING:
            return i, i + 1
    return None


_NO_THING = frozenset("mine mention weekend time week day thing way lot".split())


def _points_back(v: View, start: int, end: int) -> bool:
    return any(v.low[i] in ("it", "that", "this", "them", "those", "these", "they", "one") for i in range(start, end))


def _note(v: View, kind: Kind, start: int, end: int, p: float) -> NoteFound:
    """A note of the reader's."""
    while start < end - 1 and not v.text[start][0].isalnum():
        start += 1
    forward = kind == "pointer" and any(
        v.low[i] in ("next", "will", "'ll", "gonna", "later", "tomorrow") for i in range(start, end)
    )
    return NoteFound(
        kind=kind,
        start=start,
        end=end,
        text=tidy(v.words(start, end)),
        start_s=float(v.start_s[start]),
        end_s=float(v.end_s[end - 1]),
        confidence=p,
        direction=("forward" if forward else "back") if kind == "pointer" else None,
    )


def _with_its_mending(v: View, note: NoteFound, reading: Reading) -> NoteFound:
    """A mistake with the sentence after it that tells how it was put right."""
    if note.kind != "correction" or mends(plain(v.words(note.start, note.end))) or note.end >= len(v.low):
        return note
    start, end = v.sents[v.sent_of[note.end]]
    if start != note.end or end - start > _MENDING or not mends(plain(v.words(start, end))):
        return note
    return replace(note, end=end) if reading.inside("C", start, end) >= _MENDS else note


_MENDING, _MENDS = 30, 0.15


def _with_their_case(v: View, notes: list[NoteFound]) -> list[NoteFound]:
    """``notes`` with the case that advice is for put before it, where a full stop was guessed between the two.

    "If your thread keeps shredding. Change the needle."
    """
    out: list[NoteFound] = []
    for note in notes:
        before = out[-1] if out else None
        if (
            before is not None
            and before.kind in _ADVICE
            and note.kind in _ADVICE
            and 0 <= note.start - before.end <= 1
            and v.low[before.start] in ("if", "when", "unless", "once")
            and "," not in v.text[before.start : before.end]
        ):
            out[-1] = replace(note, start=before.start, confidence=max(before.confidence, note.confidence))
        else:
            out.append(note)
    return out


def _in_whole_clauses(v: View, notes: list[NoteFound]) -> list[NoteFound]:
    """``notes`` without cut phrases at their ends; those of one kind that then run together are one."""
    out: list[NoteFound] = []
    for note in _with_their_case(v, notes):
        start, end = whole(v, note.start, note.end)
        before = next((o for o in reversed(out) if o.kind == note.kind), None)
        if before is not None and start < before.end:
            start = note.start if note.start >= before.end else before.end
        if start >= end:
            continue
        while start < end - 1 and not v.text[start][0].isalnum():
            start += 1
        out.append(
            replace(
                note,
                start=start,
                end=end,
                text=polished(tidy(v.words(start, end))),
                start_s=float(v.start_s[start]),
                end_s=float(v.end_s[end - 1]),
            )
        )
    return out


def slip_notes(v: View, slips: list[tuple[float, str]], notes: list[NoteFound]) -> list[NoteFound]:
    """Corrections for numbers and statements taken back in the same breath; ``slips`` are (seconds, words said)."""
    out = []
    for at, text in slips:
        token = min(bisect_left(v.start_s, at), len(v.start_s) - 1)
        if token < 0 or _told_already(at, notes):
            continue
        end, text = _to_the_end(v, token, text)
        out.append(
            NoteFound(
                "correction", token, end, polished(tidy(text)), at, max(at, float(v.end_s[end - 1])), confidence=0.8
            )
        )
    return out


def _told_already(at: float, notes: list[NoteFound]) -> bool:
    """Whether one of ``notes`` is a correction that is told then or runs over it."""
    return any(
        n.kind == "correction" and n.start_s - _SAME_SLIP_S < at < max(n.end_s, n.start_s + _SAME_SLIP_S) for n in notes
    )


_SAME_SLIP_S = 4.0
_SLIP_WORDS = 10


def _to_the_end(v: View, token: int, text: str) -> tuple[int, str]:
    """A slip's last token + 1 and its words, which were kept before the parse, with the rest of their clause."""
    words = [w.strip(",.") for w in text.lower().split()]
    after = range(token, min(len(v.low), token + _SLIP_WORDS))
    last = next((k for k in reversed(after) if words[-1:] == [v.low[k]]), None)
    if last is None:
        return token + 1, text
    end = clause_end(v, last)
    return end, f"{text} {v.words(last + 1, end)}" if end > last + 1 else text


def remarks_component(doc: Doc) -> Doc:
    """spaCy component ``remarks``: changes ``doc._.notes`` and ``doc._.promises``."""
    reading: Reading | None = doc._.reader
    v = view_of(doc)
    notes: list[NoteFound] = doc._.notes
    if reading is not None:
        doc._.promises = merge_promises(v, doc._.promises, reading, doc._.mentions)
        notes = merge(v, notes, reading, doc._.mentions)
    notes = [*notes, *slip_notes(v, doc.user_data.get("slips") or [], notes)]
    notes += [s for s in doc._.slips if not _told_already(s.start_s, notes)]
    doc._.notes = sorted(notes, key=lambda n: n.start)
    return doc
