"""Material or tool, by what is done with it: "burned in with a guitar string" makes a tool of what is a stuff elsewhere.

What a verb of shaping, marking or rubbing is done with is taken away again afterwards, unless it is a stuff that is used
up: a glue, a coat, a tape, a thread.
"""

from __future__ import annotations

from buildlog.tag.lexicon import Lexicon
from buildlog.tag.mentions import Mention
from buildlog.tag.view import View

_SHAPING = frozenset(
    "burn wipe rub scrape scratch mark trace weigh press clamp shape bend scribe dig poke buff burnish drill cut punch pry "
    "stir smooth spread apply flatten measure check score hollow carve scoop prop wedge tap knock beat lever prise squeeze".split()
)
_USED_UP = frozenset(
    "adhesive glue coating finish varnish paint thread tape sewing chemical food abrasive wax oil polish dye solvent other".split()
)
_USED_UP_HEADS = frozenset(
    "tape glue wax oil paint thread paste polish soap water chalk ink dye powder cream stain varnish shellac spray solder".split()
)
_OVER = frozenset(
    "a an the my some this that old piece bit length strip scrap of end stub sharp bent clean dry damp".split()
)
_REACH = 9  # tokens between the verb and what it is done with


def with_kinds(v: View, mentions: list[Mention], lexicon: Lexicon) -> list[Mention]:
    """``mentions``, those that a thing was shaped, marked or rubbed with being tools."""
    for m in mentions:
        if m.kind == "material" and _instrument(v, m.start) and not _used_up(v, m, lexicon):
            m.kind = "tool"
    return mentions


def _instrument(v: View, start: int) -> bool:
    """Whether the name at token ``start`` follows "with" and a verb of shaping."""
    first = v.sents[v.sent_of[start]][0]
    k = start - 1
    while k > first and v.low[k] in _OVER:
        k -= 1
    if k <= first or v.low[k] not in ("with", "using"):
        return False
    for j in range(k - 1, max(first, k - _REACH) - 1, -1):
        if v.pos[j] == "VERB":
            return v.lemma[j] in _SHAPING
    return False


def _used_up(v: View, m: Mention, lexicon: Lexicon) -> bool:
    if v.lemma[m.head] in _USED_UP_HEADS or v.tag[m.head] == "NNS":
        return True
    term = lexicon.find(v.words(m.start, m.end)) or lexicon.find(v.lemma[m.head])
    if term is not None and term.group in _USED_UP:
        return True
    known = lexicon.wordnet_class(v.lemma[m.head])
    return known is not None and known[0] in _USED_UP
