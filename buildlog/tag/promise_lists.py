"""Several things in one breath: "the foam people and the button press, we'll get both of those listed".

Works on the words alone, since the parser is easily lost in lists that are fronted or spoken without commas: a thing is a
determiner and what follows it up to a word that no name goes on with.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from buildlog.tag.view import View

_DETERMINERS = frozenset("the my a an that this those these his her their our your".split())
_ENDS = frozenset(
    "and or plus but so if because cause 'cause since as when while which who where what how i we you he she it they "
    "them is are was were be been am 's 're 've 'll 'd 'm will would can could shall may might has have had do does did "
    "got get gets goes going gone gonna n't not in on at to from with by under underneath below beneath down up there "
    "here over into about for of too also likewise both all each linked listed named put posted "
    "say says said tell tells told think thinks know knows reckon reckons ask asks asked".split()
)
# What a name may go on with: "the name of the shop", "a chart for the sizes". The things after it belong to it.
_GOES_ON = frozenset("of for".split())
_LEADS = frozenset(
    "and but so oh um uh er well right okay ok now then yeah yes as for about with also plus both link links linked to , the "
    "anyway finally lastly".split()
)
_PUTS = frozenset(
    "put putting list listed listing link linked linking links name named leave left leaving post posted posting have got "
    "get give share shared pop popped popping stick stuck sticking add added adding upload uploaded uploading scan scanned "
    "attach attached write written wrote include included note noted drop dropped find see to for both you up down in out".split()
)
_TAKEN_UP = frozenset(
    "i we you they them those these both all are 're is 's will 'll can it that she he somebody two three".split()
)
_JOINS = frozenset(("and", "plus", ","))
_OPENS = frozenset((",", ".", ";", "!", "?", "but", "so"))
_COUNTED = frozenset("two three four both couple".split())
# What is told about a thing, and words too vague to name another.
_VAGUE = frozenset("kind sort rest lot thing things stuff".split())
_ABOUT = frozenset("title author size source folder email address price kind sort rest lot thing way photo".split())
_MINE = frozenset("use used like bought buy mentioned showed promised".split())
_LONGEST = 6


def _thing_at(v: View, i: int, end: int) -> tuple[int, bool] | None:
    """Where the thing that begins at ``i`` ends, and whether it goes on with "of" or "for"; None where none begins."""
    if v.low[i] not in _DETERMINERS:
        return None
    k, more = i + 1, False
    while k < end and k - i <= _LONGEST:
        low = v.low[k]
        if (
            low in _GOES_ON
            and k > i + 1
            and k + 1 < end
            and v.low[k + 1] not in ("you", "anyone", "free", "it", "that")
        ):
            more = True
            k += 1
            if k < end and v.low[k] in _DETERMINERS:
                k += 1
            continue
        if k > i + 1 and low in ("i", "we") and v.low[k + 1 : k + 2] and v.low[k + 1] in _MINE:
            k += 2  # "the jig I use", "the needles I used"
            break
        if low in _ENDS or low in _DETERMINERS or not low[0].isalnum():
            break
        k += 1
    return (k, more) if k > i + 1 else None


def things_listed(v: View, start: int, end: int) -> list[tuple[int, int]]:
    """The things (first token, last + 1) that the stretch lists as promised, where it lists two or more."""
    i = start
    while i < end:
        found = _list_at(v, i, end)
        vague = len(found) > 2 and v.low[found[-1][1] - 1] in _VAGUE  # "the webbing, the tacks, that kind of thing"
        found = found[:-1] if vague else found
        if len(found) > 2 and _COUNTED & set(v.low[found[0][0] : found[0][1]]):
            found = found[1:]  # "the two books, the thin one and the fat one"
        if (
            len(found) > 1
            and _things(v, found, joined=vague)
            and (_fronted(v, start, i, found[-1][1], end) or _put(v, start, i))
        ):
            return found
        i = found[-1][1] if found else i + 1
    return []


def _list_at(v: View, i: int, end: int) -> list[tuple[int, int]]:
    out: list[tuple[int, int]] = []
    while i < end:
        thing = _thing_at(v, i, end)
        if thing is None:
            break
        out.append((i, thing[0]))
        i = thing[0]
        joins = i
        if i + 1 < end and v.low[i] == "." and v.low[i + 1] in ("and", "plus"):
            i += 1  # a full stop that was only guessed: "the needle. And the sateen I'll have links to those"
        while i < end and (v.low[i] in _JOINS or (i > joins and v.low[i] in ("also", "then", "for"))):
            i += 1
        if i == joins or (thing[1] and v.low[joins] == "and" and v.low[i : i + 1] == ["the"]):
            break
    return out


def _things(v: View, found: list[tuple[int, int]], *, joined: bool) -> bool:
    """Whether these are things joined by "and", not one said twice ("the grain thing, the little diagram").

    What is told about one thing, as its title and its author, is no list of things either.
    """
    joined = joined or any(v.low[k] in ("and", "plus") for k in range(found[0][1], found[-1][0]))
    told = any(v.low[b - 1] in _ABOUT for _, b in found)
    said = any(v.tag[k] in ("VBZ", "VBD") for a, b in found for k in range(a + 1, b - 1))
    return joined and not told and not said


def _fronted(v: View, start: int, first: int, last: int, end: int) -> bool:
    """Whether the list opens the stretch and is taken up again: "the X and the Y, both are ..."."""
    if any(v.low[k] not in _LEADS for k in range(start, first)) and v.low[first - 1] not in _OPENS:
        return False
    while last < end and v.low[last] == ",":
        last += 1
    return last < end and (v.low[last] in _TAKEN_UP or v.low[last] in _PUTS)


def _put(v: View, start: int, first: int) -> bool:
    """Whether the list is what is put somewhere: "I've put the X and the Y in the list", "links for the X and the Y"."""
    return first > start and v.low[first - 1] in _PUTS


__all__ = ["things_listed"]
