"""What no reader would print: clauses that ran into an action, slips, echoes, marks of speech written without signs.

Works on the words of an action as it would be published; what cannot be mended is said to be none.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from buildlog.outline.steps.doubts import MARKS
from buildlog.outline.steps.phrases import tidy
from buildlog.outline.steps.tables import NOUN_VERB
from buildlog.outline.words import plain_verb

if TYPE_CHECKING:
    from buildlog.outline.steps.phrases import Phrase

# With one of these in front, a clause hangs on the action ("until it is dry", "check the seams are level").
_BINDERS = frozenset(
    "until till so that where wherever which who if when while once what whatever how because as than sure certain "
    "before after whether unless like though since why whenever whichever just".split()
)
_CHECKING = frozenset("check see ensure make feel remember test know decide find show".split())
_STANDS = frozenset("is are isn't aren't was were".split())
_ALONE = frozenset("s nt ve ll im youd ive id theres thats youre theyre hes shes".split())
_SUBJECTS = frozenset("they we she he i".split())
_ITS_OWN = frozenset(["a", "an", "the", "got", "just", "in", "on", "from", "been", "not", "only", "about", "too", "to"])
_PLACING = frozenset("on to in into at by from of with over under onto along round around through behind done".split())
_ING = frozenset("bring string wring ring sling swing fling ding ping".split())
_ENDS = frozenset("never ever mind honestly".split())
_ARTICLES = frozenset("a an the".split())
_COUNTED = frozenset("a one two three four five six".split())
_ROWS = frozenset("row rows coat coats stitch stitches".split())
LEAST = 3  # words of an action that is worth keeping when the rest is cut off


def mend(p: Phrase, known: frozenset[str], rounded: bool = False) -> bool:
    """Mend the words of ``p`` in place; whether they still tell an action. ``known`` are the verbs we know;
    ``rounded`` says that "round" is what was done ("rounded")."""
    rounded = rounded and not {"up", "down"} & set(p.words)  # of numbers
    if p.words[0].lower() == "round" and not rounded and not {"off", "over"} & {w.lower() for w in p.words}:
        return False  # where, not what: "twine round the top"
    first = p.words[0].lower()
    if (
        not first[:1].isalnum()
        or first in _ALONE
        or first in ("be", "been")
        or (first.endswith("ing") and first not in _ING)
    ):
        return False
    if first == "put" and len(p.words) == 2 and (p.words[1] in MARKS or p.words[1].lower() in ("it", "them")):
        return False  # where to, is lost
    if len(p.words) > 3 and p.words[0] == p.words[2]:
        del p.words[2]  # "flat fell flat"
    if p.fragment and p.verb == "put" and p.words[1:2] and p.words[1].lower().endswith("ed"):
        return False  # "sized with a cutter": how a thing is
    if (
        p.verb in ("add", "use", "put", "make")
        and p.words[1:2]
        and p.words[1].lower() in ("after", "before", "when", "until", "so")
    ):
        return False
    words = _slip_out(p.words)
    words = _without_echo(words)
    low = [w.lower() for w in words]
    if "else" in low[LEAST:] and not low[low.index("else") - 1].endswith(("thing", "one", "body", "what", "where")):
        words = tidy(words[: low.index("else")])
    at = _other_clause(words, p.verb)
    if at is not None:
        words = _cut(words, at)
        if len(words) < LEAST:
            return False
    if words[-2:] == ["years", "old"] and "," in words:
        words = tidy(words[: len(words) - 1 - words[::-1].index(",")])
    words = _coats(_ends_cut(_loose_and(words), known))
    words = _rows_sewn(words)
    words = _closed(words, known)
    p.words = words
    return bool(words)


_OPEN_ENDS = frozenset("until till til before after while where wherever which who than as got you".split())
_HELPING = frozenset(
    "wouldn't won't doesn't don't can't couldn't didn't isn't aren't haven't hasn't is are can will would have has "
    "you've they've it's they're".split()
)


def _ends_cut(words: list[str], known: frozenset[str]) -> list[str]:
    """Without what the end has of a clause that was broken off: "…, pushing", "so the lid wouldn't", "until"."""
    while len(words) > 2:
        low = words[-1].lower()
        gerund = low.endswith("ing") and words[-2] == "," and plain_verb(low, low, known) in known
        both = low == "both" and words[-2] == ","
        if both or low in _ENDS or low in _OPEN_ENDS or gerund:
            words = tidy(words[:-1])
            continue
        if low in _HELPING or words[-2].lower() in ("you've", "they've", "'ve"):
            back = next((i for i in range(len(words) - 2, 1, -1) if words[i].lower() in (*_BINDERS, ",", "and")), 0)
            return tidy(words[:back])
        break
    return words


def _loose_and(words: list[str]) -> list[str]:
    """ "Braid straight back beside it, and another corner" -> "Braid straight back beside it": a thing nobody does."""
    low = [w.lower() for w in words]
    if low.count(",") != 1 or low[0] in _SHARED:
        return words
    i = low.index(",")
    rest = low[i + 1 :]
    if (
        i > 2
        and rest[:1] == ["and"]
        and 2 < len(rest) < 5
        and rest[1] in ("the", "another", "only")
        and "and" not in low[:i]
    ):
        return tidy(words[:i])
    return words


_SHARED = frozenset("add use take get need cut".split())
_COATED = frozenset("oil wax varnish paint prime primer shellac lacquer glue seal stain".split())


def _coats(words: list[str]) -> list[str]:
    """ "Oil 2 coats" -> "Apply 2 coats of oil"."""
    rest = words[2:] if words[1:2] == [","] else words[1:]
    if words and words[0].lower() in _COATED and rest[1:2] == ["coats"]:
        return ["apply", rest[0], "coats", "of", "primer" if words[0] == "prime" else words[0].lower(), *rest[2:]]
    return words


def _other_clause(words: list[str], verb: str) -> int | None:
    """Where a clause of being or with a subject of its own stands that nothing binds; ``None`` where there is none."""
    low = [w.lower() for w in words]
    for i in range(1, len(low)):
        w = low[i]
        after = low[i + 1] if i + 1 < len(low) else ""
        its = w == "its" and low[i - 1] not in _PLACING
        if w in _ALONE or (its and (after in _ITS_OWN or after.endswith("ed") or i + 2 == len(low))):
            return i
        bound = (verb in _CHECKING and (verb != "make" or "sure" in low)) or any(x in _BINDERS for x in low[1:i])
        if not bound and (w in _STANDS or (w in _SUBJECTS and not after.startswith("'") and after)):
            return i
    return None


def _cut(words: list[str], at: int) -> list[str]:
    """The words in front of the clause with its verb or subject at ``at``: up to the last mark or joining word."""
    low = [w.lower() for w in words]
    if low[at] in _STANDS or low[at] in ("s", "nt"):
        back = next((i for i in range(at - 1, 0, -1) if low[i] in (",", ";", "and", "but", "-")), 0)
        return tidy(words[:back])
    joins = at - 1
    while joins > 1 and low[joins] not in (",", ";", "and", "but") and at - joins < LEAST:
        joins -= 1
    return tidy(words[:joins] if low[joins] in (",", ";", "and", "but") else words[:at])


def _slip_out(words: list[str]) -> list[str]:
    """ "with a bone, no, a wood slicker" -> "with a wood slicker": what was said wrong goes."""
    low = [w.lower() for w in words]
    for i in range(2, len(low) - 1):
        if low[i] != "no":
            continue
        after = i + 1 + (low[i + 1] == ",")
        if after >= len(low) or low[after] not in _ARTICLES or (low[i - 1] != "," and low[after] not in _ARTICLES):
            continue
        front = next((k for k in range(i - 1, 0, -1) if low[k] in _ARTICLES), None)
        if front is not None and i - front < 6:
            return _slip_out([*words[:front], *words[after:]])
    return words


def _without_echo(words: list[str]) -> list[str]:
    """ "with an old chisel, an old chisel" -> "with an old chisel"."""
    for i in range(2, len(words) - 1):
        if words[i] != ",":
            continue
        end = next((k for k in range(i + 1, len(words)) if words[k] == ","), len(words))
        said = [w.lower() for w in words[i + 1 : end]]
        n = len(said)
        if n > 1 and [w.lower() for w in words[i - n : i]] == said:
            return _without_echo([*words[:i], *words[end:]])
    return words


def _rows_sewn(words: list[str]) -> list[str]:
    """ ", and two rows of zigzag" -> ", and sew two rows of zigzag"."""
    low = [w.lower() for w in words]
    for i in range(3, len(low) - 2):
        if low[i] == "and" and low[i + 1] in _COUNTED and low[i + 2] in _ROWS and low[i - 1] == ",":
            verb = NOUN_VERB[
                low[i + 2].removesuffix("es") if low[i + 2] == "stitches" else low[i + 2].removesuffix("s")
            ]
            return words if verb in low[:i] else [*words[: i + 1], *verb.split(), *words[i + 1 :]]
    return words


def _closed(words: list[str], known: frozenset[str]) -> list[str]:
    """ "Curl it round a nail, and closed" -> "…, and close": a participle that goes on with the orders."""
    for i in range(3, len(words)):
        low = words[i].lower()
        ends = i + 1 == len(words) or words[i + 1] == ","
        if words[i - 1] == "and" and words[i - 2] == "," and ends and low.endswith("ed"):
            verb = plain_verb(low, low, known)
            if verb in known:
                return [*words[:i], verb, "it" if words[1] not in MARKS else words[1], *words[i + 1 :]]
    return words


_FRACTION = re.compile(
    r"\b(?:(\d+) )?([1357]|9|11|13|15) (2|4|8|16|32)(?=(?:ths?)?(?: (?:of an )?inch| seam| by| and|,|\.$| (?:deep|wide|thick|long|from|off)))"
)


def written_amounts(text: str) -> str:
    """Fractions as the recogniser writes them, in one piece: "3 5 8 inches" -> "3 5/8 inches", "1 and 1 8" -> "1 and
    1/8"."""

    def put(m: re.Match[str]) -> str:
        if int(m.group(2)) >= int(m.group(3)):
            return m.group(0)
        return f"{m.group(1)} {m.group(2)}/{m.group(3)}" if m.group(1) else f"{m.group(2)}/{m.group(3)}"

    return _FRACTION.sub(put, text)


_GENERAL = re.compile(
    r"(?:\w+ ){1,2}(?:the pieces?|it|them|one|a new one|another|some|any|all|both|the same)(?: (?:in|on|up|off|out|down|again|back|together))?\.",
    re.IGNORECASE,
)
_WHERE_ONLY = re.compile(
    r"put (?:the |a |an |some )?\w+\."
    r"|wait \w+\.|leave (?:it |them )?alone\."
    r"|(?:cut|go|turn|work|pull|push|draw|wind|wrap|run|carry|keep) "
    r"(?:round|around|through|over|up|down|in|out|off|across|along|back|alone|on)\."
    r"|(?:set|put|turn|work|cut|make|get|go) (?:from|to|at|in|on|a) (?:the )?\w+\.",
    re.IGNORECASE,
)


def says_nothing(text: str) -> bool:
    """Whether a whole step tells too little to be followed: "Load the piece.", "Put a new one in.", "Set from the
    base."."""
    return bool(_GENERAL.fullmatch(text) or _WHERE_ONLY.fullmatch(text))
