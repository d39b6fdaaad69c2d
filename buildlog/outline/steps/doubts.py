"""What to write where a pronoun may stand for more than one thing.

A wrong noun is worse than none. The rewriting leaves a mark there; when the whole step is known, the mark becomes "it"
(something in the same step stands for it), or goes (an instruction may leave its object to the step before: "Trim down
to an eighth"), or becomes "the piece" where the verb cannot do without an object.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildlog.outline.words import PLURAL_PRONOUNS

if TYPE_CHECKING:
    from buildlog.outline.steps.phrases import Phrase

ONE, MANY = "\x00it", "\x00them"
MARKS = {ONE: ("it", "the piece"), MANY: ("them", "the pieces")}
# Verbs that say nothing without an object.
NEEDS = frozenset(
    "give let get have make keep do hold take use find want call need allow help put lay bring hit open check swing "
    "thread push drop stand slide pull run work go draw set turn shove stick lift send form feed wind load move try pick".split()
)
# With one of these behind, they do ("put in", "turn over", "push through").
_PARTICLES = frozenset("out off down up over in on through back together round around apart away aside under".split())
# What is done to the whole thing at the end.
_WHOLE = frozenset("give let leave oil wax polish wash rinse dry hang stand varnish".split())
_BEHIND = frozenset("to from with into onto at by against on in over through round around under".split())
_OVER = frozenset("over around round through against under".split())
_COUNTS = frozenset("one two three four five six seven eight nine ten twelve some most half".split())
_SEVERAL = frozenset("and each every both all two three four five six eight ten them".split())
_TURNS = frozenset("rounds rows coats turns layers passes lengths pieces".split())
_SMALL = frozenset("bit little more a an the and or all both again first then just".split())


def mark(pronoun: str) -> str:
    """The mark for a pronoun in doubt."""
    return MANY if pronoun in PLURAL_PRONOUNS else ONE


def opens_in_doubt(p: Phrase) -> bool:
    """Whether what the phrase is done to is in doubt, and nothing in front of it in the phrase could stand for it."""
    at = next((j for j, w in enumerate(p.words) if w in MARKS), None)
    return at is not None and not _nouns(p.words[1:at])


def thin(p: Phrase) -> bool:
    """Whether little would be left of the phrase without its object."""
    rest = [w for w in p.words if w not in MARKS and w not in _PARTICLES and w not in _SMALL and w != ","]
    return len(rest) < 3 or (p.verb in NEEDS and not _particle_behind(p.words))


def said_generally(p: Phrase) -> bool:
    """Whether the phrase alone would have to say "the piece"."""
    j = next((j for j, w in enumerate(p.words) if w in MARKS), None)
    if j is None or p.verb not in p.words:
        return False
    return j != p.words.index(p.verb) + 1 or not _can_drop(p, j)


def settle(phrases: list[Phrase], whole: str | None = None) -> None:
    """Put words in place of the marks of one step; ``whole`` is the thing being made, where it is all of it by now."""
    named = left_out = False
    for n, p in enumerate(phrases):
        j = 0
        if not n and p.words[1:2] in (["its"], ["their"]):
            p.words[1] = "the"  # whose, only what went before says
        while j < len(p.words):
            w = p.words[j]
            if w not in MARKS:
                j += 1
                continue
            pronoun, general = MARKS[w]
            before = p.words[j - 1].lower() if j else ""
            direct = j == p.words.index(p.verb) + 1 if p.verb in p.words else j == 1
            direct = direct or before in _PARTICLES or before == "all"
            if before == "for" and j == len(p.words) - 1:
                del p.words[j - 1 :]  # "a stitch length of four for that"
                break
            stands = (named or _nouns(p.words[1:j])) and _agrees(phrases, p, j)
            if before in _OVER and not named and w == ONE and p.words[1:2] in (["the"], ["a"], ["an"]):
                p.words[j] = general  # "run a rubber rib over it, both sides": not over the rib
                named = True
                continue
            if before in _BEHIND and not stands and len(p.words) > 4 and j > 2:
                del p.words[j - 1 : j + 1]  # "turn the handle to them": to what, is in doubt
                j -= 1
                continue
            placed = before in ("on", "in", "over", "through", "round") and j == len(p.words) - 1
            if placed and not named and w == ONE and p.words[1:2] in (["the"], ["a"], ["an"]):
                del p.words[j]  # "put the hoop on it": what it goes on is in doubt, and is not the hoop
                break
            count = j > 1 and (p.words[j - 2].lower() in _COUNTS or p.words[j - 2].lower() in _TURNS)
            part = j > 2 and p.words[j - 3].lower() == "the"
            if before == "of" and not named and (count or part):
                del p.words[j - 1 : j + 1]  # "cut two of those on the fold"
                if j - 1 == len(p.words) and j > 2 and p.words[j - 3] == ",":
                    del p.words[j - 3 :]  # "with a chisel, four of them"
                continue
            if stands:
                p.words[j] = pronoun
            elif direct and _can_drop(p, j):
                del p.words[j]
                left_out = True
                if j < len(p.words) and p.words[j] == ",":
                    del p.words[j]
                if j < len(p.words) and p.words[j] == "all":
                    del p.words[j]
                continue
            elif left_out or (p is not phrases[0] and w == ONE):
                p.words[j] = pronoun
            else:
                p.words[j] = whole if whole and w == ONE and p.verb in _WHOLE else general
                named = True
            j += 1
        left_out = left_out or p.bare
        named = named or bool(p.things) or _nouns(p.words[1:])


def _agrees(phrases: list[Phrase], p: Phrase, j: int) -> bool:
    """Whether something named in front of word ``j`` of ``p`` may be what "them" stands for; "it" always may."""
    if p.words[j] == ONE:
        return True
    words: list[str] = []
    things = []
    for q in phrases:
        if q is p:
            break
        words += q.words
        things += q.things
    words += p.words[1:j]
    several = any(w.lower() in _SEVERAL or (w.endswith("s") and not w.endswith("ss")) for w in words)
    return several or any(t.plural for t in things)


def _can_drop(p: Phrase, j: int) -> bool:
    rest = [w for w in p.words[j + 1 :] if w not in _SMALL]
    if p.verb in NEEDS:
        return bool(rest) and rest[0] in _PARTICLES and len(rest) > 1
    return len([w for w in rest if w not in _PARTICLES and w not in MARKS and w != ","]) > 0


def _particle_behind(words: list[str]) -> bool:
    return any(w in _PARTICLES for w in words[1:4])


def _nouns(words: list[str]) -> bool:
    """Whether a thing is named among the words: an article or amount with a word behind it says so."""
    return any(
        w[0].isdigit() or w in ("everything", "the", "a", "an", "each", "every", "both", "one", "two", "your")
        for w in words[:-1]
    )
