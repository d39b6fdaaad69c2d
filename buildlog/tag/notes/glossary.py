"""Names and meanings said aloud: "a running stitch, some call it a gathering stitch", "that's just long stitches".

Sets ``doc._.aliases`` (list of :class:`Alias`) and ``doc._.definitions`` (list of :class:`Definition`).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spacy.language import Language
from spacy.tokens import Doc

from buildlog.tag.timed import start_s
from buildlog.tag.wording import Wording, plain, tidy

if TYPE_CHECKING:
    from spacy.tokens import Span


@dataclass(frozen=True, slots=True)
class Alias:
    """Another name for what the tokens ``start`` to ``end`` name. A pronoun there is for the items' stage to resolve.

    ``alias_start`` and ``alias_end`` are the tokens of the other name, ``alias`` its words without an article.
    """

    start: int
    end: int
    name: str
    alias: str
    alias_start: int
    alias_end: int
    start_s: float
    confidence: float


@dataclass(frozen=True, slots=True)
class Definition:
    """What the maker said a word means; ``text`` is the meaning in the maker's words."""

    start: int
    end: int
    name: str
    text: str
    start_s: float
    confidence: float


_TRIGGER = re.compile(
    r"\b(?:call|calls|called|calling|known as|known|aka|or|says?|just|basically|means?|meaning|mean|"
    r"simply|only|which is|is when|is where|that's|that is|is a fancy word|is the word|refers)\b"
)
_ARTICLE = r"(?:a |an |the |some |that |those |this |my |our )?"
_NAME = r"(?P<name>[a-z][\w'-]*(?: [a-z][\w'-]*){0,3}?)"
_ALIAS = r"(?P<alias>[a-z][\w'-]*(?: [a-z][\w'-]*){0,4}?)"
_ENDS = (
    r"(?=(?: (?:here|there|over|round|around|up|down|in|but|and|because|when|where|on|for|if|all|instead|"
    r"which|so|it's|these|i)\b)|[.,;:!?)\"]|$)"
)
_PEOPLE = (
    r"(?:some(?: people| folks| folk| of you)?|people|you might|you may|you could|you'd|you|folks?|others|"
    r"they|we|i|everyone|most people|many people|some books|the books?|americans|the british|"
    r"(?:my|his|her|our|the) (?:old )?[\w-]+(?: [\w-]+)?|a lot of people|lots of people|the trade|sailors|"
    r"tailors|quilters|carpenters|upholsterers|in the trade they|where i'm from we|round here we|"
    r"back home we)"
)
_ALIAS_RULES = (
    # "a running stitch, some call it a gathering stitch"; "my gran calls this the lazy hem"
    re.compile(
        rf"(?:{_ARTICLE}{_NAME},? (?:which |that |what |or what |and )?)??(?:\b{_PEOPLE})(?: would| will|"
        rf" also| always| used to| sometimes| like to| tend to| usually|'d)* (?:call|calls|called|calling) "
        rf"(?P<pron>it|this|that|them|these|those|this one|that one|one of these|doing that|"
        rf"giving that)?(?: one)? ?(?:the |a |an |giving it |giving it the )?[\"']?{_ALIAS}[\"']?{_ENDS}"
    ),
    re.compile(
        rf"\b{_ARTICLE}{_NAME},? (?:is |are |it's |that's )?(?:also |sometimes |often |otherwise |better |"
        rf"or |commonly )+(?:known as|called|named|referred to as) (?:a |an |"
        rf"the )?[\"']?{_ALIAS}[\"']?{_ENDS}"
    ),
    re.compile(rf"\b{_ARTICLE}{_NAME},? (?:aka|a\.k\.a\.) (?:a |an |the )?{_ALIAS}{_ENDS}"),
    re.compile(
        rf"\b{_ARTICLE}{_NAME},? or (?:a |an |the )?{_ALIAS},? (?:if you're (?:from|in|american|british|"
        rf"over|a|old|posh)|as (?:my|the|they|some|we|you|people|i)\b(?: [\w'-]+){{0,3}}? (?:say|says|said|"
        rf"call|calls|called)|as it's (?:also )?(?:called|known)|to give it its|for (?:my|the) (?:american|"
        rf"british)|in (?:american|british|the states|england|some places))"
    ),
    re.compile(
        rf"\b(?P<pron>it|they|this|that|these|those)(?:'s|'re| is| are) (?:also |sometimes |often |"
        rf"actually |usually )?(?:called|known as) (?:a |an |the )?[\"']?{_ALIAS}[\"']?{_ENDS}"
    ),
)
_NOT_ALIAS = frozenset(
    "day good yard inch foot metre meter round quits done it that this me you him her them us back again "
    "later every sunday monday week back up off out "
    "shop number finished close even names name mine way home ready night quit".split()
)
_DEFINE = (
    re.compile(
        rf"^(?:so |now |and |okay |right |well |um )*{_ARTICLE}{_NAME}(?:, (?:so |well |now )?(?:that's|"
        rf"that is|it's|that just|which is|this is)|,? (?:is|are)) (?:just|basically|only|simply|"
        rf"really just|really|essentially|nothing more than|nothing but|a fancy (?:word|name) for|when|"
        rf"where|the word for|what you call) (?P<text>[^.;!?]+)"
    ),
    re.compile(
        rf"^(?:so |now |and |okay |right |well |um )*{_ARTICLE}{_NAME},? (?:so )?(?:that's|"
        rf"that is) (?P<text>(?:\w+ing|the|a|an|when|where|what)\b[^.;!?]+)"
    ),
    re.compile(
        rf"\b{_ARTICLE}{_NAME},? (?:(?:just|basically|simply|really|only) )*means? (?:just |basically |"
        rf"that )?(?P<text>[^.;!?]+)"
    ),
    re.compile(rf"\bby {_NAME} i (?:just |only )?mean (?P<text>[^.;!?]+)"),
    re.compile(
        rf"\b(?:the |a |an ){_NAME},? which is (?:just |basically |only |simply |"
        rf"really )*(?P<text>(?:the (?:width|length|depth|amount|part|bit|edge|name|gap|distance|way|line|"
        rf"direction|space|word|piece)|a (?:way|kind of|sort of|type of|fancy)|when|where|what)\b[^,.;!?]+)"
    ),
    re.compile(
        rf"\bwhat (?:we|i|you|they|people) call (?:a |an |the )?{_NAME}(?:[:,]| is| which is|"
        rf", that's) (?P<text>[^.;!?]{{8,}})"
    ),
)
_NOT_DEFINED = frozenset(
    "it this that these those i you he she they we there here one thing lid seam which what all "
    "everything nothing that's it's so and but something "
    "anything someone mine yours ours theirs both neither either none who everybody".split()
)
_NOT_MEANING = re.compile(
    r"^(?:a bit|a little|too|finished|done|a tiny|so|about|not|as|like|fine|lovely|there|here|that|"
    r"the same|in|on|at|for you|ready|perfect|sitting|going|a touch|right|an inch|half|hanging|waiting|"
    r"cotton|wonderful|because|beautiful)\b"
)


def find_aliases(doc: Doc) -> list[Alias]:
    """Other names said aloud, in order."""
    w = Wording.of(doc)
    out: list[Alias] = []
    for n in w.hit(_TRIGGER):
        text, base = w.said(n), w.chars(*w.stretches[n])[0]
        for rule in _ALIAS_RULES:
            m = rule.search(text)
            alias = _alias(w, m, base) if m else None
            if alias:
                out.append(alias)
                break
    return out


def _alias(w: Wording, m: re.Match[str], base: int) -> Alias | None:
    words = m["alias"].split()
    if (
        not words
        or words[0] in _NOT_ALIAS
        or (len(words) < 2 and words[-1] in _NOT_ALIAS)
        or (len(words) == 1 and words[0].isdigit())
    ):
        return None
    groups = m.groupdict()
    kind = "name" if groups.get("name") and groups["name"].split()[-1] not in ("i", "it", "you") else "pron"
    if kind == "pron" and not groups.get("pron"):
        return None
    a, b = m.span(kind)
    start, end = w.token(base + a), w.token(base + b - 1) + 1
    if kind == "name":
        start = _noun_phrase_start(w.doc, start, end)
        if w.doc[end - 1].pos_ not in ("NOUN", "PROPN", "VERB", "ADJ"):
            return None
    first, last = m.span("alias")
    a0, a1 = w.token(base + first), w.token(base + last - 1) + 1
    if kind == "name" and w.doc[a1 - 1].pos_ in ("PRON", "AUX", "ADP"):
        return None
    return Alias(
        start=start,
        end=end,
        name=w.doc[start:end].text.lower(),
        alias=" ".join(w.doc[a0:a1].text.split()),
        alias_start=a0,
        alias_end=a1,
        start_s=start_s(w.doc[a0]),
        confidence=0.85 if kind == "name" else 0.75,
    )


def _noun_phrase_start(doc: Doc, start: int, end: int) -> int:
    """Drop verbs and small words in front of the name: "sew it with a welt" is "welt"."""
    i = end - 1
    while i > start and doc[i - 1].pos_ in ("NOUN", "PROPN", "ADJ", "VERB", "PART", "NUM") and not doc[i - 1].is_punct:
        if doc[i - 1].pos_ == "VERB" and doc[i - 1].tag_ not in ("VBG", "VBN"):
            break
        i -= 1
    return i


def find_definitions(doc: Doc) -> list[Definition]:
    """Meanings said aloud, in order."""
    w = Wording.of(doc)
    out: list[Definition] = []
    for n in w.hit(_TRIGGER):
        text, base = w.said(n), w.chars(*w.stretches[n])[0]
        for rule in _DEFINE:
            m = rule.search(text)
            found = _definition(w, m, base) if m else None
            if found:
                out.append(found)
                break
    return out


def _means(m: re.Match[str]) -> bool:
    """Whether the match names something that can be defined, and says more than how it is."""
    words, meaning = m["name"].split(), m["text"].strip()
    named = bool(words) and words[0] not in _NOT_DEFINED and words[-1] not in _NOT_DEFINED
    return named and len(meaning.split()) >= 3 and not _NOT_MEANING.match(meaning)


def _definition(w: Wording, m: re.Match[str], base: int) -> Definition | None:
    if not _means(m):
        return None
    a, b = m.span("name")
    start, end = w.token(base + a), w.token(base + b - 1) + 1
    head = w.doc[end - 1]
    if head.pos_ not in ("NOUN", "PROPN", "VERB", "ADJ"):
        return None
    start = _noun_phrase_start(w.doc, start, end)
    first, last = m.span("text")
    return Definition(
        start=start,
        end=end,
        name=w.doc[start:end].text.lower(),
        text=_lower_first(tidy(w.written[base + first : base + last])),
        start_s=start_s(w.doc[start]),
        confidence=0.8,
    )


def _lower_first(text: str) -> str:
    return text[:1].lower() + text[1:]


def is_definition(sent: Span) -> bool:
    """Whether the sentence says what a word means."""
    text = plain(sent.text)
    return any(_means(m) for m in (rule.search(text) for rule in _DEFINE) if m)


Doc.set_extension("aliases", default=[], force=True)
Doc.set_extension("definitions", default=[], force=True)


@Language.component("glossary", assigns=["doc._.aliases", "doc._.definitions"], requires=["doc.sents", "token.pos"])  # type: ignore[untyped-decorator]
def glossary(doc: Doc) -> Doc:
    """Set ``doc._.aliases`` and ``doc._.definitions``."""
    doc._.aliases = find_aliases(doc)
    doc._.definitions = find_definitions(doc)
    return doc


__all__ = ["Alias", "Definition", "find_aliases", "find_definitions", "glossary", "is_definition"]
