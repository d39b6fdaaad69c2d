"""General cautions: what the craft usually warns of, where a hazard was used and the maker said nothing about it.

The hazards are data in ``crafts/hazards.toml`` (a craft file may hold more), one ``[[hazard]]`` each::

    name = "hot iron"                 what can hurt
    items = "iron, steam iron"        tools and materials that bring it
    techniques = "pressing, fusing"   techniques that bring it
    words = "mains, line voltage"     words of a step that bring it
    vague = "iron, pressing"          those of the names above that also mean something else
    beside = "seam, hem, steam"       beginnings of words; a vague name counts only where one is said close by
    unless = "solder, putty"          beginnings of words; a vague name does not count where one is said close by
    covered = "burn, hot, scald"      beginnings of words that show, in a caution the maker gave, that it was said
    text = "…"                        the caution, deferring to the product's own instructions and local rules
    source = "…"                      the published guidance, or "common practice, no source"
"""

from __future__ import annotations

import functools
import re
from bisect import bisect_left
from collections.abc import Iterable, Sequence

import msgspec

from buildlog import crafts as craft_data
from buildlog.document import GeneralCaution, Item, Line, Note, Step, Technique
from buildlog.tag.lexicon import Lexicon, key_words

CLOSE = 12  # words on either side that tell what a vague name means
SPOKEN = 20  # words on either side in which a maker speaks of the danger of what is in hand
ABOUT_IT_S = 40.0  # a caution that names no thing is about what is in hand so soon before or after
# What nobody says but to spare somebody harm; beside the words of the hazard itself it is a caution, whatever else it is.
SPARING = re.compile(
    r"\b(?:masks?|respirators?|goggles|safety glasses|eye protection|visor|face shield|gloves|ventilat\w+|extract(?:or|ion)|"
    r"windows? (?:wide )?open|open (?:a|the|all the) windows?|out ?doors|out of doors|push stick|riving knife|"
    r"(?:catch(?:es)?|on) fire|lay (?:it|them|that|the \w+) (?:out )?flat|away from (?:you|yourself|your \w+)|"
    r"(?:mind|watch|keep) your (?:fingers?|hands?|thumbs?|eyes?)|burn(?:ed|t)? (?:yourself|your|myself)|unplug\w*|"
    r"don['’]?t breathe|dangerous|be careful)\b",
    re.IGNORECASE,
)


class Hazard(msgspec.Struct, frozen=True):
    """One hazard; names are lists of filed words (see :func:`buildlog.tag.lexicon.key_words`)."""

    name: str
    items: frozenset[tuple[str, ...]]
    techniques: frozenset[tuple[str, ...]]
    words: re.Pattern[str]
    vague: frozenset[tuple[str, ...]]
    beside: re.Pattern[str] | None
    unless: re.Pattern[str]
    covered: re.Pattern[str]
    text: str
    source: str


@functools.cache
def hazards() -> tuple[Hazard, ...]:
    """All hazards of all craft files."""
    found = []
    for data in craft_data.craft_files().values():
        for row in data.get("hazard", ()):
            found.append(
                Hazard(
                    name=row["name"],
                    items=_filed(row.get("items", "")),
                    techniques=_filed(row.get("techniques", "")),
                    words=_beginnings(row.get("words", ""), whole=True),
                    vague=_filed(row.get("vague", "")),
                    beside=_beginnings(row["beside"]) if "beside" in row else None,
                    unless=_beginnings(row.get("unless", "")),
                    covered=_beginnings(row.get("covered", "")),
                    text=row["text"],
                    source=row["source"],
                )
            )
    return tuple(found)


def _beginnings(listed: str, *, whole: bool = False) -> re.Pattern[str]:
    """Any of these beginnings of words, or ``whole`` words; of none, nothing."""
    starts = "|".join(re.escape(w) for w in sorted(craft_data.words(listed), key=lambda w: (-len(w), w)))
    end = r"\b" if whole else ""
    return re.compile(rf"\b(?:{starts}){end}", re.IGNORECASE) if starts else re.compile(r"(?!)")


def _filed(names: str) -> frozenset[tuple[str, ...]]:
    return frozenset(tuple(key_words(name)) for name in craft_data.words(names))


class _Talk:
    """What is said around a moment."""

    def __init__(self, lines: Sequence[Line], steps: Sequence[Step]) -> None:
        from buildlog.tag.timed import words_of

        words = [w for line in lines for w in (line.words or words_of(line))]
        if not words:  # the steps are all that is known
            words = [
                w
                for s in steps
                for w in words_of(Line(start_s=s.start_s, end_s=s.end_s, text=f"{s.text} {s.said}", words=[]))
            ]
        self._starts = [w.start_s for w in words]
        self._texts = [w.text for w in words]

    def known(self) -> bool:
        return bool(self._texts)

    def around(self, at_s: float, reach: int) -> str:
        """The words said from ``reach`` words before ``at_s`` to as many after."""
        at = bisect_left(self._starts, at_s - 0.01)
        return " ".join(self._texts[max(0, at - reach) : at + reach + 1])


class _Shown(msgspec.Struct, frozen=True):
    """A thing or technique as shown: its names, and when it was spoken of."""

    id: str
    names: frozenset[tuple[str, ...]]
    first_s: float
    times: tuple[float, ...]


def general_cautions(
    items: Sequence[Item],
    techniques: Sequence[Technique],
    said_cautions: Iterable[Note | str] = (),
    steps: Sequence[Step] = (),
    transcript: Sequence[Line] = (),
) -> list[GeneralCaution]:
    """One caution for each hazard that was met and not spoken of, in order of time.

    Only items with status ``used`` count. ``said_cautions`` are the maker's own (notes of kind ``caution``, or their
    words). ``transcript`` tells what a vague name means and whether the danger was spoken of close by; without it the
    steps do, and without both every name counts. ``refers_to`` is the id of the item, technique or step that first
    brought the hazard.
    """
    said = [
        (n, None) if isinstance(n, str) else (n.text, n.start_s)
        for n in said_cautions
        if isinstance(n, str) or n.kind == "caution"
    ]
    lexicon = Lexicon.load()
    talk = _Talk(transcript, steps)
    used = [
        _Shown(i.id, _names(lexicon, i.name, i.aliases, i.kind), i.first_s, tuple(m.start_s for m in i.mentions))
        for i in items
        if i.status == "used"
    ]
    done = [
        _Shown(
            t.id,
            _names(lexicon, t.name, t.aliases, "technique"),
            t.first_shown_s,
            tuple(m.start_s for m in t.mentions),
        )
        for t in techniques
    ]
    out = []
    for hazard in hazards():
        met = [m for shown in used if (m := _met(shown, hazard.items, hazard, talk)) is not None]
        met += [m for shown in done if (m := _met(shown, hazard.techniques, hazard, talk)) is not None]
        met += [(s.start_s, s.id) for s in steps if hazard.words.search(f"{s.text} {s.said}")]
        if not met:
            continue
        times = [at for at, _ in met]
        for shown, names in [(s, hazard.items) for s in used] + [(s, hazard.techniques) for s in done]:
            times += shown.times if shown.names & names else ()
        if any(_covers(text, at, hazard, times) for text, at in said):
            continue
        if any(_spoken_of(talk.around(at, SPOKEN), hazard) for at in times):
            continue
        at, ref = min(met)
        out.append(GeneralCaution(hazard.name, hazard.text, hazard.source, at, ref))
    return sorted(out, key=lambda c: c.start_s)


def _met(shown: _Shown, names: frozenset[tuple[str, ...]], hazard: Hazard, talk: _Talk) -> tuple[float, str] | None:
    """When and by what a hazard was met: by a name that says so, or a vague one where its surroundings do."""
    hit = shown.names & names
    if not hit:
        return None
    if not hit <= hazard.vague or not talk.known():
        return (shown.first_s, shown.id)
    for at in shown.times or (shown.first_s,):
        around = talk.around(at, CLOSE)
        if (hazard.beside is None or hazard.beside.search(around)) and not hazard.unless.search(around):
            return (max(at, shown.first_s), shown.id)
    return None


def _spoken_of(around: str, hazard: Hazard) -> bool:
    return SPARING.search(around) is not None and hazard.covered.search(around) is not None


def _names(lexicon: Lexicon, name: str, aliases: Sequence[str], kind: str) -> frozenset[tuple[str, ...]]:
    """The filed names of a thing: as said, the lexicon's name for it, and the head of a compound nobody files.

    So "old iron" is an iron and "12 inch mitre saw" a mitre saw, but "butter knife" and "pricking iron" are not; and
    "oil", said of neatsfoot oil, is not just any oil.
    """
    own = tuple(key_words(name))
    names = {own}
    for said in (name, *aliases):
        words = tuple(key_words(said))
        bare = tuple(w for w in words if w not in lexicon.everyday)
        if said is not name and own[-len(bare) :] == bare:
            continue
        names.add(words)
        term = lexicon.find(said, kind)
        if term is not None:
            if not term.ambiguous:
                names.add(tuple(key_words(term.name)))
            continue
        for at in range(1, len(words)):
            before = words[:at]
            if at < len(words) - 1 or all(w in lexicon.everyday or w[:1].isdigit() for w in before):
                names.add(words[at:])
    return frozenset(names)


def _covers(text: str, at_s: float | None, hazard: Hazard, times: Sequence[float]) -> bool:
    """Whether a caution the maker gave speaks of a hazard that was in hand at ``times``.

    It does if it names one of its things, or says two of its words; or if it names no thing at all and was given
    about then (where that is known).
    """
    found = {m.lower() for m in hazard.covered.findall(text)}
    if not found:
        return False
    words = key_words(re.sub(r"[^\w\s'’-]", " ", text))
    joined = f" {' '.join(words)} "
    if len(found) > 1 or any(
        f" {' '.join(n)} " in joined or f" {n[-1]} " in joined for n in hazard.items | hazard.techniques
    ):
        return True
    others = (n for h in hazards() if h.name != hazard.name for n in h.items)
    if any(f" {' '.join(n)} " in joined for n in others):
        return False
    return at_s is None or any(abs(at - at_s) <= ABOUT_IT_S for at in times)


__all__ = ["Hazard", "general_cautions", "hazards"]
