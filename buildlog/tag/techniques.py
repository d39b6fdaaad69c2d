"""Techniques: ways of working, each once, at the moment they are first done.

Sets ``doc._.techniques``: a list of :class:`Found`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from buildlog.tag.clauses import Clause, clause_of
from buildlog.tag.lexicon import Lexicon, lexicon_of
from buildlog.tag.mentions import DONE, Mention, covered
from buildlog.tag.reader import Reading
from buildlog.tag.view import View, view_of

if TYPE_CHECKING:
    from spacy.tokens import Doc

    from buildlog.tag.notes.glossary import Alias


@dataclass(slots=True)
class Found:
    """A technique: ``name`` as listed, ``spans`` of its mentions (token start, end), ``first`` token where it is done."""

    name: str
    spans: list[tuple[int, int]]
    first: int
    aliases: list[str] = field(default_factory=list)
    definition: str | None = None
    sure: float = 1.0


def find_techniques(
    v: View,
    mentions: list[Mention],
    lexicon: Lexicon,
    clauses: list[Clause],
    reading: Reading | None,
    aliases: Sequence[Alias] = (),
) -> list[Found]:
    """Group technique mentions by name; keep those that are done somewhere. ``aliases`` are the other names said aloud."""
    groups: dict[str, list[tuple[Mention, str]]] = {}
    also: dict[str, list[str]] = {}
    last = ""
    for m in sorted((m for m in mentions if m.kind == "technique"), key=lambda m: m.start):
        name = _name(v, m, lexicon)
        if not name:
            continue
        alias = next((a for a in aliases if a.alias_start <= m.start < a.alias_end), None)
        if last and (alias is not None or _is_said_to_be_called(v, m)):
            at = m.start if alias is None else alias.start
            if at - groups[last][-1][0].end <= _NEAR:  # "a ladder stitch, some folks call it a blind stitch"
                also.setdefault(last, []).append(v.words(m.start, m.end).lower() if alias is None else alias.alias)
                continue
        last = _key(name)
        groups.setdefault(last, []).append((m, name))
    for m, name in _shown(v, mentions, lexicon, clauses, reading):
        groups.setdefault(_key(name), []).append((m, name))
    out: list[Found] = []
    for key, pairs in groups.items():
        pairs.sort(key=lambda pair: pair[0].start)
        done = [m for m, _ in pairs if m.status[0] >= 0.5]
        if not done:
            continue
        names = [n for _, n in pairs]
        if lexicon.unlisted & set(names):
            continue
        name = max(names, key=lambda n: (n.endswith("ing"), names.count(n), -len(n)))
        said: list[str] = []
        for m, _ in pairs:
            s = v.words(m.start, m.end).lower()
            if s != name and s not in said:
                said.append(s)
        said += [a for a in also.get(key, ()) if a not in said]
        out.append(
            Found(name, [(m.start, m.end) for m, _ in pairs], done[0].start, said, None, max(m.sure for m in done))
        )
    out.sort(key=lambda f: f.first)
    return out


_IN_STEP = 0.5
_NEAR = 20  # tokens from a technique to what is said to be its other name


def _shown(
    v: View, mentions: list[Mention], lexicon: Lexicon, clauses: list[Clause], reading: Reading | None
) -> list[tuple[Mention, str]]:
    """Techniques told only by what is at work in a step: "went over them with a belt sander", "in with five tacks"."""
    named = covered(v, (m for m in mentions if m.kind == "technique"))
    unused = covered(v, (m for m in mentions if m.kind != "technique" and m.status[0] < 0.5))
    out = []
    for i in range(len(v.text)):
        if v.pos[i] not in ("NOUN", "PROPN") or named[i] or unused[i]:
            continue
        if v.dep[i] == "compound" and v.head[i] == i + 1:
            continue  # "buttonhole twist", "tack cloth": another thing
        start = i
        while (
            start > 0
            and v.pos[start - 1] in ("NOUN", "PROPN", "ADJ", "VERB")
            and i - start < 2
            and v.head[start - 1] == i
        ):
            start -= 1
        name = lexicon.technique_shown_by([v.lemma[k] for k in range(start, i + 1)])
        if name is None:
            continue
        at = clause_of(clauses, v, i)
        if reading is not None:
            if reading.inside("S", i, i + 1) < _IN_STEP:
                continue
        elif at is None or not clauses[at].real:
            continue
        if at is not None and (clauses[at].negated or any(named[clauses[at].start : clauses[at].end])):
            continue  # "glued the joint with wood glue": told already by the verb
        out.append((Mention(i, i + 1, "technique", DONE, 0.5), name))
    return out


_CALLED = re.compile(
    r"\b(?:(?:calls?|called|calling)(?: \w+){0,4}|known as(?: \w+)?|(?:old|other|proper|posh|fancy|trade|right|real|local) "
    r"(?:word|name|term)(?: for (?:it|that|them))? (?:is|was|'s|being)(?: \w+)?)$"
)
_AS_SOME_SAY = re.compile(
    r"^,? ?(?:as )?(?:some|they|people|folks?|others|(?:my|his|her|our|the) (?:\w+ ){1,3}?) ?"
    r"(?:people |folks? |of you )?(?:would |will |always |used to )?(?:say|says|said|call|calls|called)\b"
)


def _is_said_to_be_called(v: View, m: Mention) -> bool:
    """Whether the words around say that this is another name: "the old word is gauging", "a catch stitch, some say"."""
    before = " ".join(v.low[max(0, m.start - 8) : m.start])
    after = v.words(m.end, min(len(v.text), m.end + 7)).lower()
    return _CALLED.search(before) is not None or _AS_SOME_SAY.match(after) is not None


def _name(v: View, m: Mention, lexicon: Lexicon) -> str:
    """The technique's name: the lexicon's where it knows the words, else the verb as a gerund, else the words."""
    for match in sorted(lexicon.technique_terms_at(v.lemma, v.low, m.start), key=lambda t: -t.end):
        if match.end >= m.end - 1:
            return match.term.name
    head = m.start
    for i in range(m.start, m.end):
        if v.pos[i] == "VERB":
            head = i
            break
    else:
        head = m.end - 1
    particle = next((v.low[k] for k in v.kids[head] if v.dep[k] == "prt"), None)
    obj = next((v.lemma[k] for k in v.kids[head] if v.dep[k] == "dobj"), None)
    term = lexicon.technique_for_verb(v.lemma[head], particle, obj)
    if term is not None and (v.pos[head] == "VERB" or m.end - m.start == 1):
        rest = [v.low[i] for i in range(m.start, m.end) if i != head and v.pos[i] in ("NOUN", "ADJ", "PROPN", "ADV")]
        if not rest:
            return term.name
    words = [v.low[i] for i in range(m.start, m.end)]
    if v.pos[head] == "VERB":
        words[head - m.start] = gerund(v.lemma[head], v.low[head])
    return " ".join(words).replace(" - ", "-").replace("- ", "-")


def gerund(lemma: str, as_said: str) -> str:
    """The -ing form of ``lemma`` ("rip" -> "ripping")."""
    if as_said.endswith("ing"):
        return as_said
    if lemma.endswith("ie"):
        return lemma[:-2] + "ying"
    if lemma.endswith("e") and not lemma.endswith(("ee", "oe", "ye")):
        return lemma[:-1] + "ing"
    vowels = "aeiou"
    if (
        len(lemma) >= 3 and lemma[-1] not in vowels + "wxy" and lemma[-2] in vowels and lemma[-3] not in vowels
        and (len(lemma) <= 4 or as_said.endswith(lemma[-1] * 2 + "ed"))
    ):  # fmt: skip
        return lemma + lemma[-1] + "ing"
    return lemma + "ing"


def _key(name: str) -> str:
    out = []
    for w in name.replace("-", " ").split():
        for suffix in ("ing", "ed", "es", "s"):
            if w.endswith(suffix) and len(w) - len(suffix) >= 3:
                w = w[: -len(suffix)]
                break
        if len(w) > 3 and w[-1] == w[-2]:
            w = w[:-1]
        out.append(w.rstrip("e"))
    return " ".join(out)


def techniques_component(doc: Doc) -> Doc:
    """spaCy component ``techniques``: sets ``doc._.techniques``."""
    v = view_of(doc)
    found = find_techniques(v, doc._.mentions, lexicon_of(doc), doc._.clauses, doc._.reader, doc._.aliases or [])
    for d in doc._.definitions or []:
        term_words = set(v.low[d.start : d.end]) if hasattr(d, "start") else set()
        for f in found:
            if any(s <= d.start < e + 3 for s, e in f.spans) or term_words & set(f.name.split()):
                f.definition = f.definition or getattr(d, "text", None)
    doc._.techniques = found
    return doc
