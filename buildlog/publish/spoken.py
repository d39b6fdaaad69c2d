"""Craft words that were said and are in no list: things the reading may have missed."""

from __future__ import annotations

import re

from buildlog.document import Line, Log
from buildlog.publish.sheet import key_of

_WORD = re.compile(r"[^\W_]+(?:['’-][^\W_]+)*")
_CLITIC = re.compile(r"['’](?:s|ll|d|ve|re)$", re.IGNORECASE)  # "the heat gun's not hot"
_LAST: dict[str, tuple[list[Line], list[tuple[str, float]]]] = {}


def unlisted(log: Log, made: str = "") -> list[tuple[str, float]]:
    """Names of materials and tools that buildlog's craft words know, said in ``log`` and named by none of its items,
    nor by what is ``made``.

    Each with the second at which it is said first. Words that are things only sometimes are left alone.
    """
    known: set[str] = set()
    for item in log.items:
        for name in (item.name, *item.aliases, *(m.text for m in item.mentions)):
            known.update(_inner(name))
    for technique in log.techniques:
        for name in (technique.name, *technique.aliases, *(m.text for m in technique.mentions)):
            known.update(_inner(name))
    known.update(_inner(made))
    return [(name, start) for name, start in _said(log) if key_of(name) not in known]


def _inner(name: str) -> set[str]:
    """Every run of words inside a name, as keys: "waxed linen thread" also knows "linen" and "linen thread"."""
    words = _WORD.findall(name.casefold())
    return {key_of(" ".join(words[a:b])) for a in range(len(words)) for b in range(a + 1, len(words) + 1)}


def _said(log: Log) -> list[tuple[str, float]]:
    """Craft words in the transcript; the last transcript's are kept, as a face asks again after every edit."""
    kept = _LAST.get("transcript")
    if kept is not None and kept[0] is log.transcript:
        return kept[1]
    from buildlog.tag.lexicon import CURATED, Lexicon, key

    lexicon = Lexicon.load()
    found: dict[str, tuple[str, float]] = {}
    for line in log.transcript:
        words = _WORD.findall(line.text)
        lower = [w.casefold() for w in words]
        keys = [key(w) for w in lower]
        at = 0
        while at < len(words):
            terms = [
                m
                for m in lexicon.terms_at(keys, lower, at)
                if m.term.kind in ("material", "tool") and not m.term.ambiguous and m.term.confidence >= CURATED
            ]
            longest = max(terms, key=lambda m: m.end, default=None)
            # One word alone is too often a verb or talk ("glue", "pin", "iron"): the tagger looks at the sentence.
            if longest is not None and longest.end - at > 1:
                name = _CLITIC.sub("", " ".join(words[at : longest.end]))
                share = at / max(1, len(words))
                found.setdefault(key_of(name), (name, line.start_s + share * (line.end_s - line.start_s)))
                at = longest.end
            else:
                at += 1
    _LAST["transcript"] = (log.transcript, list(found.values()))
    return list(found.values())
