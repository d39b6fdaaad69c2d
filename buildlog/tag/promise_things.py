"""What a promise is about: the thing named beside it, or a sentence or two earlier ("it's below", "both")."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from spacy.lang.en.syntax_iterators import noun_chunks

from buildlog.tag.promise_cues import MY_PUT, YOU_FIND, Cue
from buildlog.tag.wording import Wording

if TYPE_CHECKING:
    from spacy.tokens import Doc, Span, Token

_GENERAL_WORDS = re.compile(
    r"\b(?:everything|all (?:of )?(?:the|my|your) (?:links?|stuff|bits)|anything i(?:'ve)?|the usual|"
    r"as always|as usual|as ever|links|all the other|bits and (?:pieces|bobs)|details|more info|"
    r"more information|the rest)\b"
)
_VAGUE = frozenset(
    "link links description box info everything anything all thing things stuff bit bits piece pieces "
    "rest detail details "
    "comment comments place way time times lot lots case bottom top corner card cards screen below underneath one ones "
    "couple i you we he she they it me us them him her this that these those both who which what there here usual "
    "anyone anybody somebody someone people folk folks minute moment end site website blog bio section bar usual "
    "something nothing world course question questions video-description hundred percent sense order shot mine yours "
    "idea address title name years year today day week morning evening afternoon yesterday tomorrow "
    "reason fun kind sort "
    "person friend lady chap man woman fellow guy lads hello thanks use need interest handwriting mind sake load loads "
    "click look search episode start day other others same half cost price pound pounds quid dollars "
    "bucks luck list-item".split()
)
# Vague by itself, but not in "a calculator thing", "the shop's address", "the name of the yard".
_NAMED_BY_ANOTHER = frozenset("thing things name names address title details link links site page".split())
_PERSONS = frozenset(
    "lady friend chap man woman fellow guy neighbour neighbor sister brother mother mum gran aunt uncle "
    "dad father".split()
)
_INFO_HEADS = frozenset(
    "chart pattern plan plans template stencil list recipe file pdf video tutorial book article website shop store "
    "schematic diagram drawing code spreadsheet calculator instruction guide supplier seller playlist channel course "
    "download worksheet printable kit formula document paper generator series author catalogue calculator tool chart "
    "site page name address measurement dimension note notes layout".split()
)
_PLURAL = frozenset(["them", "they", "those", "these", "'em", "both"])
_SINGULAR = frozenset(["it", "that", "this", "one", "which"])
_DETERMINERS = frozenset(
    "a an the this that these those my our your his her its their some any all both another each every one "
    "such what which no more other same exact really very good great lovely nice brilliant little full whole".split()
)


def name_of(thing: Span) -> str:
    words = list(thing)
    while len(words) > 1 and (words[0].lower_ in _DETERMINERS or words[0].is_punct):
        words = words[1:]
    text = "".join(t.text_with_ws for t in words).strip(" ,.;:'\"")
    return text if any(t.ent_type_ or t.pos_ == "PROPN" for t in words[:1]) else text[:1].lower() + text[1:]


def noun_phrases(w: Wording, start: int, end: int) -> list[Span]:
    """Noun phrases between the tokens that could name a thing to be linked; pronouns are not among them."""
    doc = w.doc
    # not ``Span.noun_chunks``: that walks the whole document each time
    spans = [(a, b) for a, b, _ in noun_chunks(doc[start:end]) if start <= a and b <= end]
    for t in doc[start:end]:  # "the schematic", "the layout" read as adjectives
        if t.pos_ in ("ADJ", "VERB") and t.dep_ in ("dobj", "pobj", "nsubj", "nsubjpass", "attr", "ROOT"):
            det = next((c for c in t.lefts if c.dep_ in ("det", "poss")), None)
            if det is not None and not any(a <= t.i < b for a, b in spans):
                spans.append((det.i, t.i + 1))
    spans.sort()
    joined: list[tuple[int, int]] = []
    for a, b in spans:  # "an edge" "stitching" "foot"
        if joined and a - joined[-1][1] == 1 and doc[a - 1].tag_ == "VBG" and doc[a].pos_ in ("NOUN", "PROPN"):
            joined[-1] = (joined[-1][0], b)
        else:
            joined.append((a, b))
    out: list[Span] = []
    for a, b in joined:
        head = doc[b - 1]
        made_of_two = head.lower_ in _NAMED_BY_ANOTHER and (
            (b - a > 2 and any(t.pos_ in ("NOUN", "PROPN") for t in doc[a : b - 1]))
            or (b < end and doc[b].lower_ == "of")
        )
        if head.pos_ == "PRON" or ((head.lower_ in _VAGUE or head.lemma_.lower() in _VAGUE) and not made_of_two):
            continue
        if a >= start + 2 and doc[a - 1].lower_ in ("of", "for") and out and out[-1].end == b:
            continue  # already in "the name of the shop"
        if doc[b - 1].lower_ == "own":
            continue
        out.append(_with_of(doc[a:b]))
    return out


def _with_of(chunk: Span) -> Span:
    """Take the phrase after "of" in: "the name of the shop" is one thing."""
    doc, end = chunk.doc, chunk.end
    joins = ("of", "for") if doc[end - 1].lemma_.lower() in _INFO_HEADS or doc[end - 1].lower_ == "files" else ("of",)
    if end + 1 < len(doc) and doc[end].lower_ in joins:
        for child in doc[end].children:
            if child.dep_ == "pobj" and child.i < end + 6 and child.pos_ != "PRON":
                end = child.i + 1
                break
    return doc[chunk.start : end]


def _has_of(thing: Span) -> bool:
    return any(t.lower_ in ("of", "for") for t in thing)


def _conjuncts(w: Wording, thing: Span, chunks: list[Span]) -> list[Span]:
    """``thing`` with the phrases joined to it by "and" or commas."""
    out = [thing]
    for c in chunks:
        if c.start >= out[-1].end and not _has_of(out[-1]) and c.start - out[-1].end <= 2:
            between = w.doc[out[-1].end : c.start].text.lower().strip()
            if between in ("and", ",", ", and", "or", "&", "and also", "plus", ", plus"):
                out.append(c)
    return out


def things_in(w: Wording, n: int, cue: Cue) -> list[Span]:
    """The things that the promise in stretch ``n`` is about: named in it, before it, or (rarely) after it."""
    start, end = w.stretches[n]
    doc = w.doc
    cue_start, cue_end = w.token(cue.first), w.token(max(cue.first, cue.last - 1)) + 1
    chunks = [c for c in noun_phrases(w, start, end) if not _is_place(w, c)]
    base = w.chars(start, end)[0]
    text = w.said(n)
    after_text = text[cue.first - base :]

    # "a link to the oven", "check the description for the exact dye"
    m = re.search(
        r"\blinks? (?:\w+ ){0,3}?(?:to|for)\b|\b(?:description|box|notes|below|underneath|site|page|"
        r"comment|video) for\b",
        text,
    )
    if m:
        at = w.token(base + m.end() - 1) + 1
        named = [c for c in chunks if c.start >= at - 1 and c.start <= at + 3]
        if named and not re.match(r" (?:you|anyone|those|that|this|it|them)\b", text[m.end() :]):
            return _conjuncts(w, named[0], chunks)
    m = re.search(
        r",? (?:which|that) (?:i|we)(?:'ll|'ve| will| have) (?:\w+ ){0,3}?(?:link|linked|put|left|leave|"
        r"pop|stick|add|list)",
        text,
    )
    if m:
        named = [
            c
            for c in noun_phrases(w, start, end)
            if c.end == w.token(base + m.start()) or c.end == w.token(base + m.start() + 1)
        ]
        if named:
            return _group(w, named[-1], chunks)
    m = re.search(r"\band (?:whatever|everything|anything|all the (?:rest|other))\b", text)
    if m:
        at = w.token(base + m.start())
        named = [c for c in chunks if at - 1 <= c.end <= at]
        if named:
            return _back_conjuncts(w, named[-1], chunks)
    fronted_things = _fronted(w, start, chunks, text, base)
    if fronted_things:
        return fronted_things
    # what is put there: between the verb and the place
    mine = [m for m in MY_PUT.finditer(text) if m.start() <= cue.last - base]
    mine += [m for m in YOU_FIND.finditer(text) if m.start() <= cue.last - base]
    linking = re.search(r"\b(?:link|linked|linking|upload|uploaded|share|post|scan)\b", text)
    for m in reversed(mine):
        v = w.token(base + m.end() - 1) + 1
        named = [c for c in chunks if c.start >= v and c.start <= v + 6]
        if named and (named[0].start <= v + 1 or not _pronoun_at(doc, v, min(end, v + 2))):
            between = doc[v : named[0].start].text.lower()
            if not re.search(r"\b(?:in|under|below|for|if|as|so|because|and|but|from)\b", between):
                return _more(w, _conjuncts(w, named[0], chunks), chunks, end)
    if linking and linking.group() in ("link", "linked", "linking") and cue.kind == "link":
        v = w.token(base + linking.start()) + 1
        named = [c for c in chunks if v <= c.start <= v + 3]
        between = doc[v : named[0].start].text.lower() if named else ""
        if (
            named
            and not re.search(r"\b(?:in|under|below|for|if|as|so|because|and|but|from|down|up|it|them|that)\b", between)
            and linking.group() != "linked"
        ) or (named and re.search(r"\b(?:i've|i) linked$", text[: linking.end()])):
            return _more(w, _conjuncts(w, named[0], chunks), chunks, end)
    if cue.kind == "file":
        named = [c for c in chunks if cue_start - 1 <= c.start < cue_end and c.root.lower_ != "download"]
        if named:
            return _conjuncts(w, named[0], chunks)
    # what is there: the subject in front of "is in the description", "are linked", "'s below"
    subject = _subject(w, chunks, start, cue_start, cue_end)
    if subject:
        return _more(w, subject, chunks, end)
    if re.search(r"\blinks? (?:\w+ ){0,2}?(?:to|for) both\b", text):
        pair = _pair(w, n, [c for c in chunks if c.end <= cue_start + 1])
        if pair:
            return pair
    fronted = re.search(
        r"\b(?:i'll|i will|i've|i'm going to|i'm gonna) (?:also |both )?(?:link|linked|list|listed|put|leave)\b", text
    )
    if fronted:
        at = w.token(base + fronted.start())
        before = [c for c in chunks if at - 1 <= c.end <= at]
        if before and not any(t.is_punct for t in doc[before[-1].end : at]):
            return _back_conjuncts(w, before[-1], chunks)
    if _GENERAL_WORDS.search(text) and not re.search(r"\b(?:it|them|that one|those|both)\b", text[: cue.first - base]):
        return []
    # "both are linked", "it's below", "link's in the box": what was spoken of
    pronoun = _pronoun(w, start, end, cue)
    named_here = [c for c in chunks if c.end <= cue_start + 1]
    if "both" in text.split()[:14] or "both" in after_text.split()[:3]:
        pair = _pair(w, n, named_here)
        if pair:
            return pair
    if pronoun or re.search(r"\blink\b", text) or cue.kind in ("place", "maybe", "card"):
        found = antecedent(w, n, named_here, plural=pronoun in _PLURAL)
        if found:
            return _more(w, found, [c for c in chunks if c.start >= cue_start], end)
    return []


_FRONTED = re.compile(
    r"^(?:(?:and|so|oh|now|okay|ok|right|as for|um|uh),? )*(?=(?:the|my|a|an|that|this|these|those|his|her) )[^.;!?]{3,70}?,? "
    r"(?P<verb>(?:i|we|they|it|that|you|those|these)(?:'ll|'ve|'re| will| have| can|'m going| shall)\b)[^.;!?]*?"
    r"\b(?:it|that|them|those|these|both|they|one)\b"
)


def _listed(w: Wording, start: int, end: int) -> list[Span]:
    """ "the X and that Y" by the words alone, where the parser took a noun for a verb."""
    out: list[Span] = []
    at = start
    for i in range(start, end + 1):
        if i < end and w.doc[i].lower_ not in ("and", ",", "plus"):
            continue
        first = next((k for k in range(at, i) if w.doc[k].lower_ in _DETERMINERS), None)
        at = i + 1
        if first is None:
            continue
        last = first + 1
        while last < i and last - first < 5 and w.doc[last].lower_ not in _RELATIVES:
            last += 1
        if last > first + 1:
            out.append(w.doc[first:last])
    return out


_RELATIVES = frozenset("i we you he she they that which who where i've from for".split())


def _fronted(w: Wording, start: int, chunks: list[Span], text: str, base: int) -> list[Span]:
    """The things named first and taken up again: "the shears and that foil, they'll both be linked"."""
    m = _FRONTED.match(text)
    if m is None:
        return []
    verb = w.token(base + m.start("verb"))
    before = [c for c in chunks if c.end <= verb]
    if not before or before[0].start > start + 4:
        return _listed(w, start, verb)
    things = [before[0]]
    for c in before[1:]:
        between = w.doc[things[-1].end : c.start].text.lower()
        if re.search(r"(?:^|\b)(?:and|plus)$|^,$", between.strip()):
            things.append(c)
    return things


_ALONG = re.compile(
    r"\b(?:along ?side|along with|together with|as well as|as well|plus|and so (?:is|are|will)|and also|same goes for|"
    r"same for|likewise)(?:,? (?:where|who|how|what)(?: (?:i|we) \w+)?)?$"
)


def _more(w: Wording, things: list[Span], chunks: list[Span], end: int) -> list[Span]:
    """Add what is joined on later: "... under the video along with that clasp"."""
    last = things[-1].end
    for c in chunks:
        if c.start < last:
            continue
        before = w.doc[max(last, c.start - 6) : c.start].text.lower()
        if _ALONG.search(before):
            things = [*things, *_conjuncts(w, c, chunks)]
            break
    return things


def _is_place(w: Wording, chunk: Span) -> bool:
    """Whether the phrase is the place of the link ("under the video", "in the box", "on my site")."""
    if chunk.start == 0:
        return False
    before = w.doc[chunk.start - 1].lower_
    head = chunk.root.lower_
    if head in (
        "box",
        "notes",
        "site",
        "page",
        "video",
        "film",
        "clip",
        "channel",
        "description",
        "comments",
        "shop",
        "website",
        "blog",
        "market",
        "screen",
    ):
        return before in (
            "in",
            "under",
            "underneath",
            "below",
            "beneath",
            "on",
            "from",
            "at",
            "into",
            "off",
            "of",
            "to",
            "the",
        )
    return before in ("from", "at", "on", "to", "by", "with", "up") and head in ("market", "chap", "lady", "percent")


def _pronoun_at(doc: Doc, start: int, end: int) -> bool:
    return any(t.lower_ in _PLURAL or t.lower_ in _SINGULAR for t in doc[start:end])


def _pronoun(w: Wording, start: int, end: int, cue: Cue) -> str | None:
    """The pronoun nearest to the cue that stands for the thing."""
    at = w.token(cue.last - 1)
    best = None
    for t in w.doc[start:end]:
        low = t.lower_
        if (low in _PLURAL or low in _SINGULAR) and t.i <= at + 3 and t.pos_ in ("PRON", "DET", "NUM", "NOUN"):
            best = low
    return best


def _subject(w: Wording, chunks: list[Span], start: int, cue_start: int, cue_end: int) -> list[Span] | None:
    """The phrase in front of the last verb of being before the cue, if nothing but small words lie between."""
    doc = w.doc
    i = cue_start
    for i in range(cue_start, max(start, cue_start - 12), -1):
        low = doc[i - 1].lower_
        if low in (
            "is",
            "are",
            "'s",
            "’s",
            "'re",
            "’re",
            "was",
            "were",
            "be",
            "been",
            "get",
            "gets",
            "goes",
            "go",
            "lives",
            "listed",
            "left",
            "pinned",
        ):
            before = [c for c in chunks if c.end <= i - 1 and c.end >= i - 6]
            gap = doc[before[-1].end : i - 1] if before else None
            if gap is not None and all(t.lower_ in _BETWEEN or t.pos_ in ("ADV", "AUX") for t in gap):
                return _back_conjuncts(w, before[-1], chunks)
            if before and _relative(doc, before[-1].end, i - 1):
                return _back_conjuncts(w, before[-1], chunks)
    # no verb: "Full list of tools below", "board layout down there"
    before = [c for c in chunks if c.end <= cue_start and c.end >= cue_start - 3]
    if (
        before
        and before[-1].start <= start + 3
        and all(t.lower_ in _BETWEEN or t.pos_ in ("ADV", "AUX", "ADP") for t in doc[before[-1].end : cue_start])
    ):
        return _back_conjuncts(w, before[-1], chunks)
    return None


_BETWEEN = frozenset(
    "will 'll ’ll would can all both also just now already too then , can should to be is are 's".split()
)


def _relative(doc: Doc, start: int, end: int) -> bool:
    """Whether the tokens are a relative clause: "the glue (that) I used", "the dye I keep on about"."""
    words = [t.lower_ for t in doc[start:end]]
    return bool(words) and len(words) <= 7 and words[0] in ("i", "that", "which", "we", "you", "i've", "he", "she")


def _back_conjuncts(w: Wording, thing: Span, chunks: list[Span]) -> list[Span]:
    out = [thing]
    for c in reversed([c for c in chunks if c.end <= thing.start]):
        between = w.doc[c.end : out[0].start].text.lower().strip()
        if between in ("and", ",", ", and", "or", "&"):
            out.insert(0, c)
        else:
            break
    return out


def _pair(w: Wording, n: int, named_here: list[Span]) -> list[Span] | None:
    """The two things that "both" means: the last two joined by "and", else the last two named."""
    pool = list(named_here)
    for k in range(n - 1, max(-1, n - 4), -1):
        a, b = w.stretches[k]
        pool = [*[c for c in noun_phrases(w, a, b) if not _is_place(w, c)], *pool]
        if len(pool) >= 2:
            break
    for x, y in zip(reversed(pool[:-1]), reversed(pool[1:]), strict=True):
        if y.start - x.end <= 2 and w.doc[x.end : y.start].text.lower().strip() in ("and", ", and", "&", "or"):
            return [x, y]
    two = [c for c in pool if c[0].lower_ in ("two", "both", "couple") or any(t.lower_ == "two" for t in c)]
    if two:
        return [two[-1], two[-1]]
    return pool[-2:] if len(pool) >= 2 else None


def antecedent(w: Wording, n: int, named_here: list[Span], *, plural: bool) -> list[Span] | None:
    """What "it", "that one", "them" or a bare "link" stands for: looked for in this stretch, then the two before."""
    here = [c for c in named_here if c.root.lower_ not in _PERSONS]
    if here:
        best = _best(here, plural)
        return _group(w, best, here) if plural else [best]
    for k in range(n - 1, max(-1, n - 4), -1):
        a, b = w.stretches[k]
        pool = [
            c
            for c in noun_phrases(w, a, b)
            if not _is_place(w, c) and c.root.lower_ not in _PERSONS and c[0].pos_ != "NUM"  # no amount is promised
        ]
        if pool:
            best = _best(pool, plural)
            return _group(w, best, pool) if plural else [best]
    return None


def _group(w: Wording, thing: Span, pool: list[Span]) -> list[Span]:
    group = _conjuncts(w, thing, pool)
    return group if len(group) > 1 else _back_conjuncts(w, thing, pool)


def _best(pool: list[Span], plural: bool) -> Span:
    """The likeliest antecedent: information before objects, subjects and objects before phrases of place."""

    def rank(c: Span) -> tuple[float, int]:
        root: Token = c.root
        score = 0.0
        if root.lemma_.lower() in _INFO_HEADS:
            score += 2.0
        if root.dep_ in ("dobj", "attr", "nsubj", "nsubjpass", "ROOT"):
            score += 1.0
        if root.dep_ == "pobj" and root.head.lower_ in ("about", "for", "with", "of", "to"):
            score += 0.6
        if c[0].lower_ in ("a", "an", "this", "that", "these", "those"):
            score += 0.5
        if plural and root.tag_ in ("NNS", "NNPS"):
            score += 0.8
        return score, c.start

    return max(pool, key=rank)


__all__ = ["antecedent", "name_of", "noun_phrases", "things_in"]
