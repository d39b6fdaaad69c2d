"""English that the outline writes with: forms of verbs and nouns, and words that carry nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from buildlog.tag.view import View

# Words that soften, fill or point at the picture: a written step does without them wherever they stand.
HEDGES = frozenset(
    "just actually basically really literally obviously honestly simply probably maybe perhaps hopefully anyway "
    "certainly definitely frankly apparently essentially effectively clearly truly actually um uh er erm huh hmm eh "
    "oh ah ooh whoa hey "
    "please okay ok alright right yeah yep yes well now then so also first next finally lastly afterwards meanwhile "
    "again though anyhow therefore currently already kinda sorta ish too either only even still mind cheers sorry".split()
)
# Of these, the ones that mean something behind the verb ("drilled again", "only at the corners").
MEANT_AFTER_VERB = frozenset("again only even first still either too right just then so already".split())
HEDGE_PHRASES: tuple[tuple[str, ...], ...] = (
    ("you", "know"), ("i", "mean"), ("i", "think"), ("i", "guess"), ("i", "suppose"), ("i", "believe"), ("i", "reckon"),
    ("of", "course"), ("sort", "of"), ("kind", "of"), ("a", "kind", "of"), ("more", "or", "less"), ("or", "whatever"),
    ("or", "something"),
    ("and", "stuff"), ("and", "that"), ("or", "anything"), ("as", "well"), ("by", "the", "way"), ("to", "be", "honest"),
    ("if", "you", "like"), ("if", "you", "will"), ("as", "usual"), ("as", "always"), ("as", "you", "can", "see"),
    ("you", "can", "see"), ("like", "i", "said"), ("as", "i", "said"), ("as", "i", "say"), ("so", "to", "speak"),
    ("believe", "me"),
    ("trust", "me"), ("let", "me", "see"), ("let", "'s", "see"), ("what", "is", "it"), ("at", "this", "point"),
    ("in", "the", "end"),
    ("for", "the", "life", "of", "me"), ("at", "the", "minute"), ("at", "the", "moment"), ("for", "me"), ("for", "us"), ("for", "you"), ("for", "now"),
    ("on", "camera"), ("at", "the", "weekend"), ("on", "the", "weekend"),
    ("off", "camera"), ("after", "that"), ("from", "there"), ("there", "we", "go"), ("there", "you", "go"),
    ("here", "we", "go"),
    ("as", "i", "go"), ("as", "you", "do"), ("like", "so"), ("like", "that"), ("like", "this"), ("last", "night"),
    ("this", "morning"),
    ("the", "day", "before"), ("the", "night", "before"),
    ("yesterday",), ("today",), ("tonight",), ("this", "afternoon"), ("this", "time"), ("at", "lunchtime"),
    ("in", "the", "meantime"),
    ("first", "of", "all"), ("last", "of", "all"), ("to", "start", "with"), ("to", "begin", "with"), ("at", "first"),
    ("over", "the", "weekend"), ("before", "that"), ("before", "this"), ("before", "any", "of", "this"),
    ("before", "all", "that"),
    ("before", "all", "of", "that"), ("before", "i", "started"), ("before", "we", "started"),
    ("as", "well", "as", "i", "could"),
    ("if", "that", "makes", "sense"), ("real", "quick"), ("once", "more"), ("or", "so", "they", "say"), ("look",),
    ("see",), ("hear", "that"),
    ("in", "here"), ("over", "here"), ("right", "here"), ("here",), ("up", "here"), ("ahead",), ("et", "cetera"),
    ("etcetera",),
    ("dot",), ("with", "that", "in", "mind"), ("by", "hand", "of", "course"), ("that", "'s", "it"),
    ("for", "starters"), ("see", "that"), ("and", "all"), ("so", "now"), ("okay", "so"), ("and", "so"),
    ("with", "the", "camera", "off"), ("with", "nothing", "running"), ("off", "screen"), ("unrecorded",), ("hold", "on"),
    ("what", "am", "i", "doing"), ("i", "promise"), ("i", "swear"), ("same", "story"),
    ("when", "nobody", "was", "filming"), ("while", "nobody", "was", "filming"),
)  # fmt: skip
_DAYS = tuple(("on", f"{d}day") for d in ("mon", "tues", "wednes", "thurs", "fri", "satur", "sun"))
_PHRASES: dict[str, list[tuple[str, ...]]] = {}
for _p in (*HEDGE_PHRASES, *_DAYS):
    _PHRASES.setdefault(_p[0], []).append(_p)
for _list in _PHRASES.values():
    _list.sort(key=len, reverse=True)

COMPOUNDS = frozenset(
    "hand machine dry top box double blind cross re spot edge pre slip back hot wet stay under over edge wire finger temporary".split()
)
FIRST_PERSON = frozenset("i we me us my our mine ours myself ourselves i'm i've i'd i'll".split())
PLURAL_PRONOUNS = frozenset("them they those these themselves both em 'em".split())
SINGULAR_PRONOUNS = frozenset("it this that itself".split())

_PRESENT = {"be": "is", "have": "has", "do": "does", "go": "goes"}


def hedge_at(low: list[str], i: int, end: int) -> int:
    """Number of tokens of a filling phrase that starts at ``i``; 0 where there is none."""
    for p in _PHRASES.get(low[i], ()):
        if i + len(p) <= end and tuple(low[i : i + len(p)]) == p:
            after = low[i + len(p)] if i + len(p) < end else ""
            if p[-1] in ("stuff", "that", "something", "anything", "this", "so") and after[:1].isalnum():
                continue
            if p[0] in ("see", "look", "dot") and len(p) == 1 and i and low[i - 1] not in (",", ".", ";", "-"):
                continue
            if p == ("hold", "on") and (after[:1].isalnum() or not i or low[i - 1] not in (",", ".", "-")):
                continue
            if p == ("from", "there") and after == "on":
                continue
            return len(p)
    return 0


def third_person(lemma: str) -> str:
    """ "slide" -> "slides"."""
    if lemma in _PRESENT:
        return _PRESENT[lemma]
    if lemma.endswith(("s", "x", "z", "ch", "sh", "o")):
        return lemma + "es"
    if lemma.endswith("y") and len(lemma) > 1 and lemma[-2] not in "aeiou":
        return lemma[:-1] + "ies"
    return lemma + "s"


def plain_verb(text: str, lemma: str, known: frozenset[str]) -> str:
    """The bare form of a verb said as ``text``; the tagger's ``lemma`` is only trusted where it is a verb we know.

    The small pipeline's rules give "bookmarke" and "rivett"; a form whose cut ends in a known verb wins.
    """
    if text in PAST:
        return PAST[text]
    if text.startswith("re") and text[2:] in PAST:
        return "re" + PAST[text[2:]]
    if lemma in known or lemma in _IRREGULAR:
        return lemma
    if text.endswith("ss"):
        return text
    for cut, put in (("ied", "y"), ("ed", ""), ("ed", "e"), ("d", ""), ("ying", "ie"), ("ing", ""), ("ing", "e")):
        if text.endswith(cut):
            stem = text[: -len(cut)] + put
            if stem in known:
                return stem
            if len(stem) > 3 and stem[-1] == stem[-2] and stem[:-1] in known:
                return stem[:-1]
    if text.endswith("ed") and lemma == text[:-1]:
        stem = text[:-2]
        if stem.endswith("ius"):
            return stem  # "radiused"
        vowels = "aeiouy"
        hard = stem[-1] not in "scvgzu" and not stem.endswith(("st", "pl", "tl", "bl", "gl", "dl", "kl", "fl", "zl"))
        closed = len(stem) > 3 and stem[-1] not in vowels and (stem[-2] not in vowels or stem[-3] in vowels)
        if closed and (hard or stem.endswith(("ss", "rk"))):
            return stem
    return lemma


PAST = {
    "redrew": "redraw", "redid": "redo", "undid": "undo", "rewound": "rewind", "recut": "recut", "reset": "reset",
    "unwound": "unwind", "laid": "lay", "lay": "lay",
    "sewed": "sew", "sawn": "saw", "sewn": "sew", "hewn": "hew", "drawn": "draw", "bored": "bore", "mitered": "miter",
    "carved": "carve", "housed": "house", "glued": "glue", "screwed": "screw", "hemmed": "hem", "turned": "turn",
    "planed": "plane", "routed": "rout", "resewed": "resew", "hung": "hang", "stuck": "stick", "dug": "dig",
    "shot": "shoot", "sawed": "saw", "trod": "tread", "wove": "weave",
    "woven": "weave", "tore": "tear", "torn": "tear", "wrung": "wring", "spun": "spin", "bent": "bend",
    "ground": "grind", "countersunk": "countersink", "strung": "string",
    "fell": "fell", "restrung": "restring", "threaded": "thread", "skived": "skive", "unpicked": "unpick",
    "felled": "fell", "spliced": "splice",
    "ploughed": "plough", "mitred": "mitre", "tacked": "tack", "dovetailed": "dovetail", "chamfered": "chamfer", "axed": "axe",
}  # fmt: skip
_IRREGULAR = frozenset(
    "be have do go put set cut get make take give let leave come run sit stand lie lay hold keep bring wind bind "
    "grind feed bend "
    "draw drive slide stick sew saw tear wear weave weigh fit split spread shut hang swing spin "
    "sink shrink thread".split()
)


def sentence(words: list[str]) -> str:
    """Words as a sentence: blanks closed up before punctuation, a capital first, a full stop last."""
    out = ""
    for w in words:
        if not w:
            continue
        if out and not (
            w in ",.;:?!)%" or w.startswith(("'", "’")) or w == "n't" or out.endswith(("(", "-")) or w.startswith("-")
        ):
            out += " "
        out += w
    out = out.strip(" ,;:-–—")
    while out.endswith((".", "!", "?", ",")):
        out = out[:-1].rstrip(" ,;:-–—")
    return out[:1].upper() + out[1:] + "." if out else ""


def joined(parts: list[str]) -> str:
    """Actions of one step in one clause: "a, b and c"."""
    parts = [p for p in parts if p]
    if len(parts) <= 1:
        return parts[0] if parts else ""
    if any("," in p or " and " in p for p in parts[:-1]):
        return ", ".join(parts[:-1]) + ", and " + parts[-1]
    return ", ".join(parts[:-1]) + " and " + parts[-1]


def names_topic(v: View, at: int, end: int) -> bool:
    """A sentence that only names what comes: "Hood.", "So the lid.", "Okay, webbing.", "Glue up."."""
    words = [
        i
        for i in range(at, end)
        if v.pos[i] not in ("PUNCT", "INTJ", "CCONJ", "SCONJ", "ADV", "DET")
        and v.low[i] not in ("so", "right", "okay", "now", "then", "next", "alright", "first", "last")
    ]
    if any(v.pos[i] == "DET" and v.pos[i - 1] != "ADP" for i in range((words or [at])[0] + 1, end)):
        return False  # "Grade those seams."
    if len(words) == 3 and v.tag[words[0]] == "VB" and v.pos[words[1]] == "ADP" and v.pos[words[2] - 1] == "DET":
        return False  # "Trim to the line."
    return (
        1 <= len(words) <= 3
        and all(v.pos[i] in ("NOUN", "PROPN", "ADJ", "VERB", "ADP") for i in words)
        and any(v.pos[i] in ("NOUN", "PROPN") or v.tag[i] == "VBG" for i in words)
    )
