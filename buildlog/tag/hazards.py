"""General cautions: what the craft usually warns of, where a hazard was used and the maker said nothing about it.

The hazards are data in the craft files, one ``[[hazard]]`` each::

    name = "hot iron"                 what can hurt
    items = "iron, steam iron"        tools and materials that bring it
    techniques = "pressing, fusing"   techniques that bring it
    words = "mains, line voltage"     words of a step that bring it
    unless = "solder, flux"           beginnings of words; where a step says one, an item named by one word is another thing
    covered = "burn, hot, scald"      beginnings of words that show, in a caution the maker gave, that it was said
    text = "…"                        the caution, deferring to the product's own instructions and local rules
    source = "…"                      the published guidance, or "common practice, no source"
"""

from __future__ import annotations

import functools
import re
from collections.abc import Iterable, Sequence

import msgspec

from buildlog import crafts as craft_data
from buildlog.document import GeneralCaution, Item, Note, Step, Technique
from buildlog.tag.lexicon import Lexicon, key_words


class Hazard(msgspec.Struct, frozen=True):
    """One hazard of a craft file; names are lists of filed words (see :func:`buildlog.tag.lexicon.key_words`)."""

    name: str
    items: frozenset[tuple[str, ...]]
    techniques: frozenset[tuple[str, ...]]
    words: tuple[str, ...]
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
                    words=tuple(sorted(craft_data.words(row.get("words", "")))),
                    unless=_beginnings(row.get("unless", "")),
                    covered=_beginnings(row.get("covered", "")),
                    text=row["text"],
                    source=row["source"],
                )
            )
    return tuple(found)


def _beginnings(listed: str) -> re.Pattern[str]:
    """Any of these beginnings of words; of none, nothing."""
    starts = "|".join(re.escape(w) for w in sorted(craft_data.words(listed)))
    return re.compile(rf"\b(?:{starts})", re.IGNORECASE) if starts else re.compile(r"(?!)")


def _filed(names: str) -> frozenset[tuple[str, ...]]:
    return frozenset(tuple(key_words(name)) for name in craft_data.words(names))


def general_cautions(
    items: Sequence[Item],
    techniques: Sequence[Technique],
    said_cautions: Iterable[Note | str] = (),
    steps: Sequence[Step] = (),
) -> list[GeneralCaution]:
    """One caution for each hazard that was met and not spoken of, in order of time.

    Only items with status ``used`` count. ``said_cautions`` are the maker's own (notes of kind ``caution``, or their
    words). ``refers_to`` is the id of the item, technique or step that first brought the hazard.
    """
    said = [n if isinstance(n, str) else n.text for n in said_cautions if isinstance(n, str) or n.kind == "caution"]
    lexicon = Lexicon.load()
    used = [(i.first_s, i.id, _names(lexicon, i.name, i.aliases, i.kind)) for i in items if i.status == "used"]
    shown = [(t.first_shown_s, t.id, _names(lexicon, t.name, t.aliases, "technique")) for t in techniques]
    out = []
    for hazard in hazards():
        # An iron beside solder is no iron for cloth, and one beside a sharpening stone belongs to a plane.
        other = any(hazard.unless.search(f"{s.text} {s.said}") for s in steps)
        met = [
            (at, ref)
            for at, ref, names in used
            if (names & hazard.items if not other else any(len(n) > 1 for n in names & hazard.items))
        ]
        met += [(at, ref) for at, ref, names in shown if names & hazard.techniques]
        met += [(s.start_s, s.id) for s in steps if any(_says(s, word) for word in hazard.words)]
        if not met or any(hazard.covered.search(text) and _about(text, hazard) for text in said):
            continue
        at, ref = min(met)
        out.append(GeneralCaution(hazard.name, hazard.text, hazard.source, at, ref))
    return sorted(out, key=lambda c: c.start_s)


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


def _says(step: Step, word: str) -> bool:
    return re.search(rf"\b{re.escape(word)}\b", f"{step.text} {step.said}", re.IGNORECASE) is not None


def _about(text: str, hazard: Hazard) -> bool:
    """A caution covers a hazard if it names one of its things, or says two of its words, or no thing at all."""
    words = key_words(re.sub(r"[^\w\s'’-]", " ", text))
    joined = f" {' '.join(words)} "
    mine = any(f" {' '.join(n)} " in joined or f" {n[-1]} " in joined for n in hazard.items | hazard.techniques)
    if mine or len({m.lower() for m in hazard.covered.findall(text)}) > 1:
        return True
    others = (n for h in hazards() if h.name != hazard.name for n in h.items)
    return not any(f" {' '.join(n)} " in joined for n in others)


__all__ = ["Hazard", "general_cautions", "hazards"]
