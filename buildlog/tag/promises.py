"""Links owed: what the maker said aloud would be linked, listed or put up for download, and advice to search.

A promise is made by a word for a link ("linked", "a link"), by a place only a published video has ("in the
description", "under the video", "the card up here"), by a place that could be one ("below", "down there") where what
is put there is information, or by putting a file up. Chain links, folds with something below them and questions left
in the comments are none of these.

Sets ``doc._.promises`` (a list of :class:`Promise`) and ``doc._.searches`` (a list of :class:`Search`).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spacy.language import Language
from spacy.tokens import Doc

from buildlog.tag.timed import end_s, start_s
from buildlog.tag.wording import Wording, clause_around, tidy

if TYPE_CHECKING:
    from spacy.tokens import Span, Token


@dataclass(frozen=True, slots=True)
class Promise:
    """One thing promised. ``start`` and ``end`` are the tokens of the promise; ``what`` names the thing ("general"
    where nothing was named) and ``what_start``/``what_end`` are its tokens, which may lie in another sentence.
    """

    start: int
    end: int
    text: str
    what: str
    what_start: int | None
    what_end: int | None
    start_s: float
    end_s: float
    confidence: float


@dataclass(frozen=True, slots=True)
class Search:
    """Words the viewer was told to search for; ``what`` names the thing they find, as far as it was said."""

    start: int
    end: int
    text: str
    words: str
    what: str | None
    what_start: int | None
    what_end: int | None
    start_s: float
    confidence: float


GENERAL = "general"

_LINK = r"\b(?:links?|linked|linking|hyperlinks?)\b"
# Words for things that are themselves information, and so belong in a description.
_INFO = (
    r"(?:charts?|patterns?|plans?|templates?|stencils?|lists?|recipes?|files?|pdfs?|videos?|vids?|tutorials?|books?|"
    r"articles?|websites?|web ?sites?|sites?|shops?|stores?|names?|address(?:es)?|details?|measurements?|dimensions?|"
    r"sizes?|instructions?|guides?|notes|schematics?|diagrams?|drawings?|sketch(?:es)?|code|firmware|"
    r"sketch|spreadsheets?|"
    r"calculators?|sources?|info|information|write-?ups?|write up|suppliers?|sellers?|makers?|numbers?|playlists?|"
    r"channels?|blogs?|courses?|downloads?|worksheets?|printables?|stls?|svgs?|tables?|catalogues?|credits?|titles?|"
    r"authors?|references?|ingredients|quantities|brands?|products?|everything|tools|materials|kits?|supplies|gear|"
    r"equipment|layouts?|cut ?lists?|parts lists?|formulas?|conversions?|translations?|transcripts?|colours|colors|"
    r"shades?|codes?|discounts?|posts?|threads? list|cutting list|bits and pieces|bits and bobs)"
)
_AT_VIDEO = (
    r"(?:(?:video |show |episode )?description(?: box| bar| below| down below| field| section)?|"
    r"info(?:rmation)? ?(?:box|bar)|"
    r"(?:box|notes|bit|section|text|blurb|writing|bar) (?:just |right |down )?(?:below|underneath|beneath|"
    r"under (?:this|the) (?:video|film|picture|clip))|"
    r"(?:under|underneath|below|beneath) (?:this|the) (?:video|film|clip|episode|player|picture)|"
    r"pinned comment|top comment|comment (?:that )?i(?:'ve| have)? pinned|pinned (?:in|to|at the top of|"
    r"under) (?:the )?comments|show ?notes|video notes|episode notes|"
    r"(?:in|on|off|from|at|to) (?:my|our|the) (?:own )?(?:web ?site|blog|bio|web ?page|homepage|"
    r"channel page|shop page|store page|profile)|"
    r"(?:on|off|from|over on|at) (?:my|our) (?:site|page|channel|shop|store)|end ?screen|end cards?)"
)
_AT_COMMENTS = r"(?:in|into|down in|to|under|at the top of) (?:the )?comments\b"
_CARD = (
    r"(?:(?:card|link|video|box|thing|playlist|it|that|one|button|bubble) (?:\w+ ){0,4}?(?:up|"
    r"just) (?:here|there|in the)|"
    r"(?:click|tap|press|hit) (?:\w+ ){0,3}?cards?|"
    r"(?:top|upper|bottom|in the|up in the|in that|up in that) (?:right|left|right-hand|"
    r"left-hand)?(?: hand)? ?corner(?: of (?:the|your) screen)?)"
)
_AT_MAYBE = (
    r"(?:(?:right |just |all |way )?(?:down|up|in|on|under) (?:below|underneath|beneath|there|here)(?: somewhere)?|"
    r"(?:just |right )?(?:below|underneath|beneath)|there)"
)
# After a place that could be one, the clause must be over: "below the fold" is a place on the cloth.
_OVER = (
    r"(?= ?(?:$|[.!?;,:\"]| (?:for (?:you|anyone|anybody|those|whoever|everyone|that|this|it|them)|if|"
    r"as (?:well|always|usual|ever)|too|along|in case|so|"
    r"and|but|when|because|cause|cos|now|again|somewhere|then|okay|right|also|since|who|"
    r"the (?:next|thing|one)|have a look|go|as a|it's|they're|i|we|you)\b))"
)
_PUT = (
    r"(?:put|putting|puts|pop|popped|popping|stick|stuck|sticking|leave|left|leaving|drop|dropped|dropping|list|listed|"
    r"listing|post|posted|posting|include|included|including|add|added|adding|share|shared|sharing|upload|"
    r"uploaded|uploading|"
    r"attach|attached|give|given|write|written|wrote|typed?|chuck|chucked|bung|bunged|shove|shoved|throw|thrown|tuck|"
    r"tucked|paste|pasted|note|noted|find|found|get|have|has|scan|scanned|publish|published|save|saved|"
    r"name|named|credit|credited|tag|tagged|mention|mentioned|pin|pinned|place|placed|made|make|draw|"
    r"drawn|drew|keep|kept|sling|slung|whack|whacked|print|printed|say|said)"
)
_I_WILL = (
    r"\b(?:i|we)(?:'ll|'m| will| am|'ve| have|'d| can| shall|'re| are|'m gonna|'m going to| might|"
    r" may)?(?: all| both)? ?"
    r"(?:going to |gonna |also |always |just |already |definitely |probably |try and |try to |"
    r"see if i can |make sure (?:i |to |and )?|be |gladly |happily |now |even |of course )*"
)
_MY_PUT = re.compile(
    rf"(?:{_I_WILL}|\b(?:gonna|going to|let me|will|to|i|we) (?:also |just |try and |try to )?){_PUT}\b"
)
_BE = r"(?:is|are|'s|'re|was|were|be|been|will be|'ll be|gets?|go|goes|going|lives?|sits?)"
_FIND = re.compile(
    r"\b(?:find|found|grab|get|see|check|look|have a look|download|pick|click|tap|read|follow|visit|go|"
    r"head|want|fancy|over)\b"
)
_YOU_FIND = re.compile(
    r"\b(?:you'll|you will|you can|can|go and|to) (?:also |all )?(?:find|get|see|grab|download|pick up)\b|"
    r"there(?:'s|'ll be| will be| is| are)\b"
)
_PHYSICAL = re.compile(
    r"\blink(?:s|ed|ing)? (?:up |of |in )?(?:the |these |those |two |my |your |both |each |every |some |"
    r"them |it |all )*(?:wires?|rings?|jump|chains?|arms?|hands?|halves|ends?|loops?|hooks?|parts|pieces|"
    r"strands?|"
    r"wires|legs|rods?|joints|sections|stitches|clasps?|pins|blocks|beads|springs?|through|together|into each)\b"
    r"|\b(?:chain|cuff|weak|missing|sausage|jump|open|closed|split|master|broken|metal|brass|steel|silver|"
    r"gold|copper|wire|oval|quick|bracelet|little|tiny|each|every|drag|fuse|fusible|first|last|end|next|"
    r"second|single|spare|extra|bent|two|three|four|five|six|dozen|several|few)[- ]links?\b"
    r"|\blinks? of (?!(?:course|the (?:video|shop|site))\b)\w+|\blinks? on (?:the |a |this |that |"
    r"my )?(?:chain|bracelet|necklace|strap|sausages?|track|mail)\b|\blinks? between\b|\bevery \w+ link\b|"
    r"\blinks? (?:has|have|had) "
    r"|\blinked (?:\w+ ){0,2}?(?:by|together|with a|through|onto|into one|up with)\b"
    r"|\blinking (?:rod|bar|arm|pin|ring|strap)\b|\blinks? (?:up|together)\b"
)
# Words of a workshop full of real links: a bare "link" beside them is one.
_LINKS_AT_HAND = re.compile(r"\b(?:chainmail|chain mail|pliers|jump rings?|maille|necklace|bracelet|rings?|wires?)\b")
_NOT = re.compile(
    r"\b(?:no|without|not|never|n't|don't|doesn't|didn't|won't|can't|cannot|i'd (?:put|link|leave|have|"
    r"list|post|share|stick)|couldn't|haven't|hasn't|isn't|aren't|wasn't|lost|nor|neither|wish|"
    r"(?:'d|would) love to|(?:'d|would) have|would if|if only|if i (?:could|had)|supposed to have|forgot)\b"
)
_NOT_AFTER = re.compile(
    r"^\W*(?:\w+\W+){0,4}?(?:broke|broken|is dead|are dead|don't work|doesn't work|is gone|was gone|"
    r"has gone|went dead|are gone|isn't there|no longer)\b"
)
_DOUBLE = re.compile(
    r"\b(?:don't forget|do not forget|why not|not only|why don't you|can't remember|don't remember|"
    r"no doubt|no problem|if you (?:don't|haven't|can't|didn't|'ve not)"
    r"|(?:don't|not|n't) (?:want|have|need|know|going|feel|like|got|worry|explain|repeat)(?! (?:a |any |"
    r"the |to )?(?:link|put|leave|share|post|give)))\b"
)
_SOLICIT = re.compile(
    r"\b(?:let (?:me|us) know|tell (?:me|us)|leave (?:me |us |your )?(?:a |your )?(?:comment|message|"
    r"question|thought|answer|suggestion)s?|comment (?:down |below)|(?:(?:^|please|just|do|and|or|to|"
    r"can) ask|^ask) (?:me|away|in|down|below)|"
    r"(?:your|any|a) (?:questions?|thoughts?|ideas?|answers?|opinions?|guess(?:es)?|suggestions?)|"
    r"drop me (?:a )?|write (?:me|to me|it in|in the comments)|shout|"
    r"(?:some(?:body|one)|people|one of you|you|lots of you|many of you|a few of you|everyone|folk|folks|"
    r"viewer|he|she|they) (?:\w+ ){0,3}?(?:in|under|down in) (?:the )?comments|"
    r"(?:thank you|thanks|thank) (?:\w+ ){0,4}?comments?|subscribe|hit (?:that|the)|like button|say hello|"
    r"say hi|argue|fight|correct me|vote|your comments|read(?:ing)? (?:all )?(?:the|your) comments)\b"
)
_GENERAL_WORDS = re.compile(
    r"\b(?:everything|all (?:of )?(?:the|my|your) (?:links?|stuff|bits)|anything i(?:'ve)?|the usual|"
    r"as always|as usual|as ever|links|all the other|bits and (?:pieces|bobs)|details|more info|"
    r"more information|the rest)\b"
)
_SEARCH = re.compile(
    r"\b(?:search(?:ing)?(?: online| the web| around)?(?: for| under)?|do a search for|google|"
    r"look(?:ing)? up|type in|types? (?:it )?in|typing in|put in|"
    r"words (?:you want )?(?:to search(?: for)?|you want|to look for|to type in|to use) (?:are|is|were)|"
    r"search (?:words|terms?|phrase) (?:is|are))"
    r"[ ,:]+(?:the words |the phrase |something like |for |it as |on )?(?P<words>\"[^\"]{3,80}\"|"
    r"'[^']{3,80}'|[^.,;!?\"]{3,90})"
)
_SEARCH_NOT_BEFORE = re.compile(r"\b(?:i|we|he|she|they|had to|having to|after)(?:'ve|'d| have| had)? ?(?:\w+ ){0,2}$")
_SEARCH_END = re.compile(
    r" (?:and (?:you|there|they|it|that)|you'll|you will|you (?:can|should|get)|there (?:are|is)|there's|"
    r"they're|on (?:the|any|your|auction|line)|online|in (?:the|any|your|a) (?:library|search|internet)|"
    r"it'll|it will|it comes|that'll|then|because|if you|or (?:ask|something))\b.*"
)

_TRIGGER = re.compile(
    r"\b(?:links?|linked|linking|description|info ?box|box|blurb|notes|shownotes|comments?|below|"
    r"underneath|beneath|under (?:this|the) (?:video|film|clip|episode|picture)|"
    r"down there|up there|up here|in there|on there|find (?:it|them|that|both|all|those) there|website|"
    r"web site|web ?page|blog|bio|site|my page|our page|my channel page|profile|corner|cards?|end ?screen|"
    r"upload|uploaded|uploading|attach|attached|download|downloads|downloadable|share|shared|sharing|post|"
    r"posted|posting|put up|up online|online|up as well|up for|printable|scan|scanned)\b"
)
_SEARCH_TRIGGER = re.compile(
    r"\b(?:search|searching|google|look(?:ing)? up|typ(?:e|es|ing) (?:it )?in|put in|words to look|words you want)\b"
)

_FILE = (
    r"(?:charts?|patterns?|plans?|templates?|stencils?|lists?|recipes?|files?|pdfs?|notes|schematics?|"
    r"diagrams?|drawings?|"
    r"code|firmware|spreadsheets?|calculators?|instructions?|worksheets?|printables?|stls?|svgs?|models?|"
    r"layouts?|measurements?|dimensions?|sheets?|"
    r"graphs?|designs?|sketch(?:es)?|guides?|write-?ups?|tables?|photos?|pictures?|gerbers?|tracings?|tutorial)"
)
_UP = re.compile(
    rf"(?:{_I_WILL}|\b(?:gonna|going to|let me|will) (?:also |just )?)(?:upload|uploaded|share|post|"
    rf"posting|sharing|uploading|shared|posted|publish) (?:\w+ ){{0,6}}?{_FILE}\b"
    rf"|(?:{_I_WILL}){_PUT} (?:\w+ ){{0,6}}?{_FILE} (?:\w+ ){{0,3}}?(?:up(?: (?:as well|too|online|on|for|"
    rf"there|somewhere|here|tomorrow|later|when|once))?(?=[ .,!?]|$)|online|on (?:my|the|our) \w*(?:site|"
    rf"page|blog))"
    rf"|\b{_FILE}\b(?:[^.;!?]{{0,40}}?)(?:free (?:to )?download|to download|downloadable|(?:is|are|'s|"
    rf"'re) (?:\w+ ){{0,2}}(?:up|on)(?:line)? (?:on|at|now|for|if|as well)|(?:is|are|'s) free\b|up online|"
    rf"free from|from my (?:site|page))"
    r"|\b(?:full |proper |longer )?write-?(?: )?up (?:is |'s )?(?:on|over)"
)

_IN_NOTES = re.compile(
    r"(?:'ll be|will be|is|are|'s|'re|'ll (?:also )?(?:go|put|pop|stick|leave|"
    r"add) (?:[\w']+ ){1,6}?) ?(?:all |both |also )?in the notes\b"
    r"(?! (?:of|for|from|that|she|he|i (?:made|kept)))"
)
_SHARE = re.compile(
    r"\b(?:i|we)(?:'ll| will|'m going to|'m gonna|'ve|'m) (?:also |just |gladly |happily |"
    r"be )?(?:shar(?:e|ed|ing)|upload(?:ed|ing)?|attach(?:ed|ing)?) (?:a|an|the|my|that|it|them|this|both|"
    r"all|those)\b(?![^.;]*\b(?:with (?:the|my|her|him|a|one|two|some)|cake|dog|to the (?:back|front|side|"
    r"top|bottom|strap|base|edge|frame|other)|between|using|by))"
    r"|\b(?:i'll|i will|i've|i'm going to|gonna) (?:\w+ ){0,3}?(?:type|typed|scan|scanned|write|written|"
    r"draw|drawn)(?: (?:it|them|that|this|the \w+|my \w+))?(?: up| out)? and (?:attach|share|post|upload|"
    r"link|put (?:it|that|them|those) (?:there|up|on|in|below))"
    r"|\b(?:download|grab|print|get) (?:the|a|my|that|this|both|all the|it) ?(?:[\w-]+ ){0,3}?(?:for free|"
    r"for nothing|free (?:from|below|on|of charge))\b"
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
_PAIR = frozenset(["both", "pair"])
_PLURAL = frozenset(["them", "they", "those", "these", "'em", "both"])
_SINGULAR = frozenset(["it", "that", "this", "one", "which"])


def find_promises(doc: Doc) -> list[Promise]:
    """Every promise of ``doc``, in order; one for each thing meant."""
    w = Wording.of(doc)
    out: list[Promise] = []
    for n in w.hit(_TRIGGER):
        for found in _promises_in(w, n):
            _add(out, found)
    return out


def _add(out: list[Promise], new: Promise) -> None:
    """Keep ``new`` unless it says again what has been promised already."""
    for old in reversed(out):
        apart = new.start_s - old.end_s
        same_span = new.what_start is not None and new.what_start == old.what_start
        if same_span or (new.what == old.what and (new.what != GENERAL or apart < 12)):
            return
    out.append(new)


# -- where a promise is made ------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Cue:
    """A place in the words that makes a promise: its characters in ``Wording.text`` and how sure it is."""

    first: int
    last: int
    confidence: float
    kind: str


def _cue(w: Wording, n: int) -> _Cue | None:
    """The words of stretch ``n`` that make it a promise, if it is one."""
    text = w.said(n)
    base = w.chars(*w.stretches[n])[0]
    for find in (_link_cue, _place_cue, _card_cue, _file_cue, _maybe_cue):
        cue = find(text, w, n)
        if cue:
            cue.first += base
            cue.last += base
            return cue
    return None


def _negated(text: str, first: int) -> bool:
    """Whether the words before ``first``, back to the clause's beginning, deny what follows."""
    kept = _DOUBLE.sub(lambda m: " " * len(m.group()), text)[:first]  # "don't forget to check" denies nothing
    before = re.split(r"[,;.:!?]|\b(?:but|so|though|and i'll|and i will)\b", kept)[-1]
    return bool(_NOT.search(" ".join(before.split()[-7:])))


def _link_cue(text: str, w: Wording, n: int) -> _Cue | None:
    physical = _PHYSICAL.search(text)
    for m in re.finditer(_LINK, text):
        word, after, before = m.group(), text[m.end() :], text[: m.start()]
        sure_place = re.search(_AT_VIDEO, text) or re.search(_AT_COMMENTS, text)
        if re.match(
            r"^(?:'s|s)?(?: (?:is|are|will be|'ll be|all))?(?: all| down)? in (?:the |my )?(?:box|bio|"
            r"notes|usual|comments)\b",
            after,
        ):
            sure_place = re.search(_LINK, text)
        maybe_place = re.match(rf"^(?:[^.;!?]{{0,60}}?) ?\b{_AT_MAYBE}{_OVER}", after) or re.search(
            rf"\b(?:{_AT_MAYBE})[^.;!?]{{0,12}}$", before
        )
        if physical and not sure_place and not re.search(r"\bdown below\b", text):
            continue
        at_hand = _LINKS_AT_HAND.search(text) is not None
        if _negated(text, m.start()) or _NOT_AFTER.search(after):
            continue
        if re.search(
            r"\b(?:sent|gave|emailed|texted|messaged|forwarded|showed|found) (?:me |us |her |him )?(?:a |"
            r"the |this |that )?$",
            before,
        ) and not (sure_place or re.search(r"\bi'll\b|\bi will\b", text)):
            continue
        mine = re.search(
            rf"(?:{_I_WILL}|\b(?:gonna|going to|let me|to|and|or) (?:also |just )?)(?:{_PUT} (?:[\w'-]+ ){{0,7}})?$",
            before,
        )
        if (
            word in ("link", "links")
            and mine
            and re.match(r"^ (?:to|for|too|as well|below|down|in|up|if|$)|^[.,!]|^$", after)
        ):
            return _Cue(m.start(), m.end(), 0.95, "link")
        if word in ("link", "linking") and mine:
            return _Cue(mine.start(), m.end(), 0.93, "link")
        if sure_place or maybe_place:
            return _Cue(m.start(), m.end(), 0.95, "link")
        if at_hand:
            continue
        if word == "linked" and re.search(
            r"(?:\b(?:is|are|be|been|all|both|them all|those|these|one|everything|get|got|i've)|'s|'re|"
            r"'ve)(?: \w+){0,3}? ?$|^$|[,.] ?$",
            before,
        ):
            return _Cue(m.start(), m.end(), 0.85, "link")
        if word == "linked" and re.search(r"\b(?:i|we)(?:'ve| have) (?:\w+ )?$", before):
            return _Cue(m.start(), m.end(), 0.85, "link")
        if word in ("link", "links") and re.match(
            r"^(?:'s|s)? (?:is|are|to|for|will|in the (?:usual|same|normal)|as (?:always|usual|ever)|at the)\b", after
        ):
            return _Cue(m.start(), m.end(), 0.8, "link")
        if re.search(r"\b(?:follow|click|use|tap|hit|there's|there is|there are|got|be) (?:\w+ ){0,2}$", before):
            return _Cue(m.start(), m.end(), 0.8, "link")
        if word == "links" and not before.strip():
            return _Cue(m.start(), m.end(), 0.7, "link")
    return None


def _place_cue(text: str, w: Wording, n: int) -> _Cue | None:
    for m in re.finditer(_AT_VIDEO, text):
        place, before, after = m.group(), text[: m.start()], text[m.end() :]
        if _negated(text, m.start()) or _SOLICIT.search(text):
            continue
        if re.match(
            r"^ (?:on|of|says?|said) (?!the (?:video|episode|film)|this (?:video|film))", after
        ) and not re.search(r"\b(?:i|you)'ll\b", before):
            continue
        if place.endswith(("site", "page", "blog", "shop", "store", "channel", "profile")):
            if re.search(r"\b(?:looked|found|bought|their|his|her|ordered|read|saw|asked)\b", before):
                continue
            if not (_MY_PUT.search(before) or re.search(rf"\b{_INFO}\b", text) or _FIND.search(text)):
                continue
        elif place.startswith(("box", "notes", "bit", "section", "text", "writing", "bar")) and not re.search(
            r"video|film|clip", place
        ):
            promised = re.search(
                r"\b(?:'ll|will|'ve|gonna|going to|have a look|check|you'll find|linked|listed)\b|'ll\b|'ve\b", before
            )
            if not (promised or re.search(rf"\b{_INFO}\b", before)):
                continue
        elif (re.search(
            r"\b(?:description|it) (?:said|says|told|was|wasn't)\b|\blooked at the (?:video )?description", text
        ) and not re.search(r"'ll\b", text)) or re.search(r"\b(?:i )?(?:said|wrote|put|got) (?:\w+ )?wrong in (?:the )?$", before):
            continue
        return _Cue(m.start(), m.end(), 0.93, "place")
    m = _IN_NOTES.search(text)
    if m and not _negated(text, m.start()):
        return _Cue(m.start(), m.end(), 0.8, "place")
    m = re.search(_AT_COMMENTS, text)
    if (
        m
        and not _SOLICIT.search(text)
        and not _negated(text, m.start())
        and (
            _MY_PUT.search(text[: m.start()])
            or re.search(r"\b(?:pin|pinned)\b|(?:'ll be|will be|is|are|'s) (?:down )?$", text[: m.start()])
        )
    ):
        return _Cue(m.start(), m.end(), 0.85, "place")
    return None


def _card_cue(text: str, w: Wording, n: int) -> _Cue | None:
    for m in re.finditer(_CARD, text):
        around = text
        video = re.search(
            r"\b(?:video|videos|episode|playlist|screen|click|tap|card's|cards? (?:\w+ )?up|series|"
            r"years ago|tutorial)\b",
            around,
        )
        if not video or _negated(text, m.start()):
            continue
        if re.search(
            r"\b(?:glue|paper|cut|punch|fold|folded|piece of card|bit of card|sheet|stitch|pin|sew|hole|"
            r"write|fabric|seam)\b",
            around,
        ):
            continue
        if m.group().startswith(("it ", "that ", "one ")) and not re.search(
            r"\b(?:video|episode|playlist|tutorial)s?\b|click|showed how", around
        ):
            continue
        return _Cue(m.start(), m.end(), 0.8, "card")
    m = re.search(
        r"\b(?:that's|it's|is|'s) up here somewhere\b|\b(?:put|pop|stick|leave|add)(?:ting|ping|"
        r"ing)? (?:a|the|that|up a) (?:info )?card (?:up|in|on|for|at|there|here)\b",
        text,
    )
    return _Cue(m.start(), m.end(), 0.7, "card") if m else None


def _file_cue(text: str, w: Wording, n: int) -> _Cue | None:
    m = _UP.search(text) or _SHARE.search(text)
    if (
        m
        and not _negated(text, m.start() + 1)
        and not re.search(
            r"\b(?:on|to|against) (?:the |a |my )?(?:wall|board|fridge|door|shelf|her|him|mum)\b", text[m.start() :]
        )
    ):
        if re.match(r".*\b(?:found|find|bought|got)\b.*\bonline\b", text) and not re.search(r"\b(?:i|you)'ll\b", text):
            return None
        return _Cue(m.start(), m.end(), 0.85, "file")
    return None


def _maybe_cue(text: str, w: Wording, n: int) -> _Cue | None:
    """Places that could be in the workshop: "below", "down there", "up there", "there"."""
    if _SOLICIT.search(text):
        return None
    listed = re.search(r"\b(?:listed|linked|posted) (?:all )?(?:down |up )?(?:there|below|underneath|beneath)\b", text)
    if listed and not _negated(text, listed.start()):
        return _Cue(listed.start(), listed.end(), 0.85, "maybe")
    for m in re.finditer(rf"\b{_AT_MAYBE}{_OVER}", text):
        place, before, after = m.group(), text[: m.start()], text[m.end() :]
        if _negated(text, m.start()) or re.match(
            r"^(?: ?,)? (?:on|under|in|at|by|next|behind|inside|against) (?:the|my|a|this|that|your)\b", after
        ):
            continue
        if re.search(
            r"\b(?:from|above|over|goes|go|went|line|hole|seam|edge|cut|sew|reach|see (?:it|that))\s*$", before
        ):
            continue
        mine, info = _MY_PUT.search(before), re.search(rf"\b{_INFO}\b", before + after[:50])
        be = re.search(rf"(?:\b|'){_BE} (?:\w+ ){{0,3}}$|'s $|(?:^|, ){_INFO}(?: \w+)? $", before)
        for_you = re.match(r"^ (?:for (?:you|anyone|anybody|those|whoever|everyone)|if (?:you|anyone))", after)
        if_you = re.search(
            r"\b(?:if (?:you|anyone|anybody)|for anyone|in case you|those of you) (?:\w+ )?(?:want|wants|"
            r"fancy|fancies|need|needs|interested|like|would like|'d like|wanna|are|is|who|haven't|don't)",
            text,
        )
        find = re.search(
            r"\b(?:you'll|you will|you can|can) (?:\w+ )?(?:find|get|see|grab) (?:it|them|that|those|both|"
            r"all|one|mine|him|her|(?:\w+ ){1,5})$",
            before,
        )
        there_only = place == "there"
        firm = mine and re.search(r"\b(?:'ll|will|'m|gonna|going to|'ve|have|let me|i've)\b", mine.group()) is not None
        down = "down below" in place or place in (
            "below",
            "underneath",
            "beneath",
            "down there",
            "just below",
            "right below",
            "down underneath",
            "in there",
            "up there",
            "up here",
            "on there",
            "right down below",
            "just underneath",
        )
        if there_only:
            if find and _antecedent_is_information(w, n):
                return _Cue(m.start(), m.end(), 0.7, "maybe")
            continue
        if mine and firm and (info or for_you or if_you):
            return _Cue(mine.start(), m.end(), 0.85, "maybe")
        if (
            mine
            and firm
            and down
            and re.search(r"\b(?:down )(?:below|underneath)$", place)
            and re.search(r"\b(?:it|that|them|those|both|one|these|this)\b", before[mine.start() :])
        ):
            return _Cue(mine.start(), m.end(), 0.7, "maybe")
        if find and (
            info or "below" in place or "under" in place or for_you or if_you or _antecedent_is_information(w, n)
        ):
            return _Cue(find.start(), m.end(), 0.8, "maybe")
        if be and (info or if_you or for_you) and place not in ("in there", "up here"):
            return _Cue(m.start(), m.end(), 0.8, "maybe")
        if (
            be
            and re.match(
                r"^(?:and |so |yeah |yes )?(?:it|they|that|those|both|all)(?:'s| is| are|'re)?(?: both|"
                r" all| just| also)* $",
                before,
            )
            and down
            and _antecedent_is_information(w, n)
        ):
            return _Cue(m.start(), m.end(), 0.8, "maybe")
        if info and re.search(r"\bthere(?:'s| is| are|'ll be| will be)(?: also)? (?:[\w'-]+ ){1,7}$", before) and down:
            return _Cue(m.start(), m.end(), 0.8, "maybe")
        if (
            re.match(rf"^(?:\w+ ){{0,3}}?{_INFO}(?: (?:is|are|'s|all|also|of all of it|for \w+))* $", before)
            and len(before.split()) <= 7
        ):
            return _Cue(m.start(), m.end(), 0.75, "maybe")
    return None


def _antecedent_is_information(w: Wording, n: int) -> bool:
    start = w.stretches[n][0]
    back = w.doc[max(0, start - 40) : w.stretches[n][1]].text.lower()
    return bool(re.search(rf"\b(?:{_INFO}|link|linked|free|online|search|recommend|asked)\b", back))


# -- what is promised -------------------------------------------------------------------------------------------------


def _promises_in(w: Wording, n: int) -> list[Promise]:
    cue = _cue(w, n)
    if cue is None:
        return []
    start, end = w.stretches[n]
    first, last = clause_around(w, cue.first, cue.last, start, end, most=24)
    things = _things(w, n, cue)
    text = tidy(w.doc[first:last].text)
    everything_too = things and re.search(
        r"\band (?:everything|whatever|anything|all the rest|all the other|all (?:my|the) (?:links|tools|bits))\b",
        w.said(n),
    )
    out = []
    for thing in [*things, *([None] if everything_too or not things else [])]:
        out.append(
            Promise(
                start=first,
                end=last,
                text=text,
                what=_name(thing) if thing is not None else GENERAL,
                what_start=thing.start if thing is not None else None,
                what_end=thing.end if thing is not None else None,
                start_s=start_s(w.doc[first]),
                end_s=end_s(w.doc[last - 1]),
                confidence=cue.confidence,
            )
        )
    return out


_DETERMINERS = frozenset(
    "a an the this that these those my our your his her its their some any all both another each every one "
    "such what which no more other same exact really very good great lovely nice brilliant little full whole".split()
)


def _name(thing: Span) -> str:
    words = list(thing)
    while len(words) > 1 and (words[0].lower_ in _DETERMINERS or words[0].is_punct):
        words = words[1:]
    text = "".join(t.text_with_ws for t in words).strip(" ,.;:'\"")
    return text if any(t.ent_type_ or t.pos_ == "PROPN" for t in words[:1]) else text[:1].lower() + text[1:]


def _chunks(w: Wording, start: int, end: int) -> list[Span]:
    """Noun phrases between the tokens that could name a thing to be linked; pronouns are not among them."""
    doc = w.doc
    spans = [(c.start, c.end) for c in doc[start:end].noun_chunks if start <= c.start and c.end <= end]
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
    out = []
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


def _things(w: Wording, n: int, cue: _Cue) -> list[Span]:
    """The things that the promise in stretch ``n`` is about: named in it, before it, or (rarely) after it."""
    start, end = w.stretches[n]
    doc = w.doc
    cue_start, cue_end = w.token(cue.first), w.token(max(cue.first, cue.last - 1)) + 1
    chunks = [c for c in _chunks(w, start, end) if not _is_place(w, c)]
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
            for c in _chunks(w, start, end)
            if c.end == w.token(base + m.start()) or c.end == w.token(base + m.start() + 1)
        ]
        if named:
            return _group(w, named[-1], chunks)
    mine = [m for m in _MY_PUT.finditer(text) if m.start() <= cue.last - base]
    mine += [m for m in _YOU_FIND.finditer(text) if m.start() <= cue.last - base]
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
            (named
            and not re.search(r"\b(?:in|under|below|for|if|as|so|because|and|but|from|down|up|it|them|that)\b", between)
            and linking.group() != "linked")
            or (named and re.search(r"\b(?:i've|i) linked$", text[: linking.end()]))
        ):
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
        found = _antecedent(w, n, named_here, plural=pronoun in _PLURAL)
        if found:
            return found
    return []


def _more(w: Wording, things: list[Span], chunks: list[Span], end: int) -> list[Span]:
    """Add what is joined on later: "... under the video along with that clasp"."""
    last = things[-1].end
    for c in chunks:
        if c.start < last:
            continue
        before = w.doc[max(last, c.start - 3) : c.start].text.lower()
        if re.search(r"(?:along with|together with|as well as|as well|plus|and so (?:is|are)|and also)$", before):
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


def _pronoun(w: Wording, start: int, end: int, cue: _Cue) -> str | None:
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
        pool = [*[c for c in _chunks(w, a, b) if not _is_place(w, c)], *pool]
        if len(pool) >= 2:
            break
    for x, y in zip(reversed(pool[:-1]), reversed(pool[1:]), strict=True):
        if y.start - x.end <= 2 and w.doc[x.end : y.start].text.lower().strip() in ("and", ", and", "&", "or"):
            return [x, y]
    two = [c for c in pool if c[0].lower_ in ("two", "both", "couple") or any(t.lower_ == "two" for t in c)]
    if two:
        return [two[-1], two[-1]]
    return pool[-2:] if len(pool) >= 2 else None


def _antecedent(w: Wording, n: int, named_here: list[Span], *, plural: bool) -> list[Span] | None:
    """What "it", "that one", "them" or a bare "link" stands for: looked for in this stretch, then the two before."""
    here = [c for c in named_here if c.root.lower_ not in _PERSONS]
    if here:
        best = _best(here, plural)
        return _group(w, best, here) if plural else [best]
    for k in range(n - 1, max(-1, n - 4), -1):
        a, b = w.stretches[k]
        pool = [c for c in _chunks(w, a, b) if not _is_place(w, c) and c.root.lower_ not in _PERSONS]
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


# -- advice to search -------------------------------------------------------------------------------------------------


def find_searches(doc: Doc) -> list[Search]:
    """Words the viewer is told to search for."""
    w = Wording.of(doc)
    out: list[Search] = []
    for n in w.hit(_SEARCH_TRIGGER):
        start, end = w.stretches[n]
        base, _ = w.chars(start, end)
        text = w.said(n)
        m = _SEARCH.search(text)
        if (
            m is None
            or _SEARCH_NOT_BEFORE.search(text[: m.start()])
            or re.match(r"(?:at|and|in|to|from|through|it|that|them|all|the whole|everywhere|high)\b", m["words"])
        ):
            continue
        words = m["words"]
        quoted = words[0] in "\"'"
        if not quoted:
            words = _SEARCH_END.sub("", words)
        first = base + m.start("words")
        original = doc.text[first : first + len(words)].strip(" \"'")
        if len(original.split()) > 9 or not original:
            continue
        before = list(_chunks(w, start, w.token(base + m.start()) + 1))
        about = _antecedent(w, n, before, plural=False)
        out.append(
            Search(
                start=start,
                end=end,
                text=tidy(doc[start:end].text),
                words=original,
                what=_name(about[0]) if about else None,
                what_start=about[0].start if about else None,
                what_end=about[0].end if about else None,
                start_s=start_s(doc[w.token(base + m.start())]),
                confidence=0.9 if quoted else 0.75,
            )
        )
    return out


Doc.set_extension("promises", default=[], force=True)
Doc.set_extension("searches", default=[], force=True)


@Language.component("promises", assigns=["doc._.promises", "doc._.searches"], requires=["token.dep", "doc.sents"])
def promises(doc: Doc) -> Doc:
    """Set ``doc._.promises`` and ``doc._.searches``."""
    doc._.promises = find_promises(doc)
    doc._.searches = find_searches(doc)
    return doc


__all__ = ["GENERAL", "Promise", "Search", "find_promises", "find_searches", "promises"]
