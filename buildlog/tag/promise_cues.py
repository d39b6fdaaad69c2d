"""Where a promise is made: the words in a stretch of speech that owe the viewer a link, a list or a file."""

from __future__ import annotations

import re
from dataclasses import dataclass

from buildlog.tag.wording import Wording

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
    r"channel page|shop page|store page|profile)|(?:in|into) (?:the|my) (?:blurb|write-?up)|"
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
    r"\b(?:i|we)(?:'?ll|'?m| will| am|'?ve| have|'d| can| shall|'re| are|'?m gonna|'m going to| might|"
    r" may)?(?: all| both)? ?"
    r"(?:going to |gonna |also |always |just |already |definitely |probably |try and |try to |"
    r"see if i can |make sure (?:i |to |and )?|be |gladly |happily |now |even |of course )*"
)
MY_PUT = re.compile(
    rf"(?:{_I_WILL}|\b(?:gonna|going to|let me|will|to|i|we) (?:also |just |try and |try to )?){_PUT}\b"
)
_BE = r"(?:is|are|'s|'re|was|were|be|been|will be|'ll be|gets?|go|goes|going|lives?|sits?)"
_FIND = re.compile(
    r"\b(?:find|found|grab|get|see|check|look|have a look|download|pick|click|tap|read|follow|visit|go|"
    r"head|want|fancy|over)\b"
)
YOU_FIND = re.compile(
    r"\b(?:you'll|you will|you can|can|go and|to) (?:also |all )?(?:find|get|see|grab|download|pick up)\b|"
    r"there(?:'s|'ll be| will be| is| are)\b"
)
PHYSICAL = re.compile(
    r"\blink(?:s|ed|ing)? (?:up |of |in )?(?:the |these |those |two |my |your |both |each |every |some |"
    r"them |it |all )*(?:wires?|rings?|jump|chains?|arms?|hands?|halves|ends?|loops?|hooks?|parts|pieces|"
    r"strands?|"
    r"wires|legs|rods?|joints|sections|stitches|clasps?|pins|blocks|beads|springs?|through|together|into each)\b"
    r"|\b(?:chain|cuff|weak|missing|sausage|jump|open|closed|split|master|broken|metal|brass|steel|silver|"
    r"gold|copper|wire|oval|quick|bracelet|little|tiny|each|every|drag|fuse|fusible|first|last|end|next|"
    r"second|single|spare|extra|bent|two|three|four|five|six|dozen|several|few)[- ]links?\b"
    r"|\blinks? of (?!(?:course|the (?:video|shop|site))\b)\w+|\blinks? on (?:the |a |this |that |"
    r"my )?(?:chain|bracelet|necklace|strap|sausages?|track|mail)\b|\blinks? between\b|\bevery \w+ link\b|"
    r"\blinks? (?:has|have|had) |"
    r"\bone of (?:the|those|these) links\b|\blinked arms\b"
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
_FILE = (
    r"(?:charts?|patterns?|plans?|templates?|stencils?|lists?|recipes?|files?|pdfs?|notes|schematics?|"
    r"diagrams?|drawings?|"
    r"code|firmware|spreadsheets?|calculators?|instructions?|worksheets?|printables?|stls?|svgs?|models?|"
    r"layouts?|measurements?|dimensions?|sheets?|"
    r"graphs?|designs?|sketch(?:es)?|guides?|write-?ups?|tables?|photos?|pictures?|gerbers?|tracings?|tutorial)"
)
_OFFER = re.compile(
    rf"\b(?:i|we)(?:'?ll| will|'?m|'?m going to|'?m gonna) (?:also |just |even )*(?:put|throw|stick|"
    rf"pop) up (?:my|the|a|that) (?:\w+ ){{0,3}}?{_FILE}\b"
    rf"|\bfree pdf\b|\b(?:i|we)(?:'?ll| will|'?m gonna) (?:also )?have (?:it|them|that|those|"
    rf"both) (?:all )?(?:down|up) (?:there|below)\b"
    rf"|\b{_FILE}\b[^.;]{{0,60}}?(?:that )?(?:i'?ll|i will|which i'?ll) (?:upload|post|share|attach|put up|"
    rf"put online|throw up|lay out)\b"
    rf"|\b(?:i|we)(?:'?ll| will) put where (?:i|we) \w+ (?:it|them|that|mine)\b"
    r"|"
    rf"\b(?:i|we)(?:'?ll| will|'?m|'?m going to|'?m gonna|'?ve| have)? (?:also |just |even |"
    rf"definitely )*(?:put|putting|have|leave|leaving|drop|dropping|throw|tack|give|send|post|upload|"
    rf"lay out|pop|stick) (?:[\w',]+ ){{0,8}}?(?:{_FILE}|{_INFO}|contact|people|person|woman|fella|place|"
    rf"mill|yard|which one|where|who|what size|needles?|one it is)\b[^.;]{{0,40}}?\b(?:up|below|under|"
    rf"under here|down there|in there|with (?:this|the film|the video)|as a file|as well|as a page|"
    rf"to print|up as well)(?= ?(?:$|[.,]|for (?:you|ye|y|anyone)|so|'?cause|because|when|to print|if|"
    rf"since|with (?:centi|all|the (?:sizes|amounts))))"
    rf"|\b(?:{_FILE}|{_INFO}|contact|shapes)\b[^.;]{{0,40}}?(?:,| that)? ?(?:will|'?ll|is going to|"
    rf"are going to) be (?:under|posted|uploaded|attached|printed below|in the (?:notes|text|list|box)|"
    rf"down in the \w+|there)\b"
    rf"|\b(?:{_FILE}|{_INFO})\b[^.;]{{0,40}}?(?:is|are|'s|'re) (?:down |all |both )?in the notes\b|"
    rf"\b(?:name|address|page|contact|number) you(?:'ll| will) find (?:there|in there|below)\b"
    rf"|\b(?:there'?ll|there will|there'?s going to) be an? (?:[\w-]+ )?{_FILE} (?:posted|up|below|there|"
    rf"of (?:it|them) by)\b|\byou can grab (?:it|that|them|one|those) (?:right |just )?(?:below|there|"
    rf"underneath|down there)\b|\bhelp yourselves? to (?:it|them|that)\b|\b(?:file|pdf|"
    rf"free),? hit the \w+ underneath\b"
    r"|\b(?:i|we)(?:'?ll| will|'?m going to|'?m gonna) (?:also |just |happily |gladly )?(?:pass (?:on|along|you)|"
    r"point you (?:to|at)|put you on ?to|send you to|steer you to) (?:his|her|their|the|its|a|where)\b"
    r"|\b(?:listed|linked|posted) where (?:it|they|that|these|those) (?:usually|always|normally) (?:is|are|goes?|lives?|sits?)\b"
    r"|\b(?:i'?ll|i will|we'?ll) (?:throw|put|stick|pop|chuck) (?:it|that|them|those) (?:up|below|there|"
    r"down there|under)(?= ?(?:$|[.,]|for (?:you|ye|y)|on (?:the|the )page|too|as well|on t))|"
    r"\bi put that link\b|\bput (?:the|that|a) link\b|\bin the (?:thing|whatchamacallit|whatsit|doings|"
    r"bit|blurb) (?:down there|below|underneath)\b|\bdown in the text\b|\bi'?ll tack (?:it|that|"
    r"them) on\b(?! (?:the|to|with))"
    r"|\b(?:it|that|they|those|these|both|all|which|\w+)(?:'?ll| will)(?: all| both| also)? be (?:right |"
    r"up |down |all )?(?:there|in there|under here|down here|on there|up there|under it|underneath|below|"
    r"online|available|free)\b"
    r"(?=[^.;]{0,30}?\b(?:for (?:you|ye|yous|y'all|anyone|everybody|free|nothing)|to (?:print|download|"
    r"copy|use)|no (?:cost|charge)|free|with it|pdf|print)\b|[ ,.]*(?:and|too|as well|so)?[ .]*$)"
    rf"|\b(?:{_FILE}|{_INFO}|\w+s?)\b(?:'s|'re| is| are) (?:in |on |all |down |up )?there (?:too|as well|"
    rf"also|for (?:you|free))\b"
    rf"|\b(?:put|puts|putting|pop|leave|stick|drop|chuck|bung) (?:it|that|them|those|these|one|"
    rf"a \w+(?: of (?:it|them|that))?|the \w+) (?:in )?with (?:the|this) video\b|\bwith (?:the|"
    rf"this) video\b(?=[ .,]*$)"
    rf"|\b(?:i|we)(?:'?ll| will|'?m going to|'?m gonna|'?ve| have|'?m) (?:also |just |even |be )*(?:chuck|"
    rf"put|pop|stick|leave|left|bung|get|have|sling|putting|got|gonna drop|drop|dropping|"
    rf"going to drop) (?:[\w']+ ){{0,6}}?(?:up (?:for (?:you|ye|yous|y'all|everybody|anyone)|as an?|"
    rf"under it|by (?:sunday|monday|tuesday|wednesday|thursday|friday|saturday))|scanned|in there|put up|"
    rf"for (?:ye|yous|you guys|you lot|y'all)[ .,]*$|online)\b"
    rf"|\b(?:i|we)(?:'?ll| will|'?ve| have) (?:also )?(?:leave|left|give|put|write|written|post) (?:you |"
    rf"ye |yous )?(?:his|her|their|the|its|an?) (?:\w+(?:'s)? ){{0,2}}?(?:page|address|number|website|site|"
    rf"shop|name|details?|phone number)\b"
    r"|\b(?:i|we)(?:'?ve| have|'?ll| will)? (?:also )?(?:put|write|written|list|listed|note|noted|say|"
    r"said|type|typed) (?:down )?(?:where|who|what)\b[^.;]{0,40}?\b(?:underneath|below|beneath|down there|"
    r"under here|in there)\b"
    r"|\b(?:i|we) (?:note|list|write|give|put|name) (?:it |them |that )?(?:below|underneath|beneath)\b|"
    r"\b(?:type|write|writing|typing|list|put) (?:it|that|them|also)? ?(?:just )?(?:below|underneath|"
    r"down) there\b|\bi'?m writing (?:it |that |them )?(?:there|below|underneath)\b"
    r"|\b(?:in|at|from) the usual (?:place|spot|box)\b|\b(?:in|among|with) (?:the|my) (?:links|files|"
    r"downloads)\b(?! (?:of|in))|\bin the list (?:i (?:put|left|'ve put)|under|below|down)\b|\byou(?:'ll|"
    r" will) (?:get|find|have) (?:it |that |them |both )?(?:down |just )?(?:below|underneath)\b"
    rf"|\b{_FILE}(?:'s|'re| is| are|s) (?:going|gone|coming) (?:up|online)\b|\b(?:is|are|be|'s|"
    rf"'re) (?:free to download|downloadable|yours to (?:print|download|have)|available (?:to (?:anyone|"
    rf"anybody|everybody|you|download)|from|online|as a|for (?:download|free)))\b|\b(?:you|anybody|"
    rf"anyone) (?:may|can|could) (?:download|print it|have (?:it|that|a copy))\b"
    r"|\bget (?:it|that|them|those) (?:uploaded|scanned|put up|posted|online)\b|\blink(?:ed)?,? (?:below|"
    r"underneath)\b|^link[.!]?$|\b\w+ linked, \w+ linked\b|\b(?:a|an|the) (?:decent |similar |"
    r"good )?\w+ in the links\b"
)
_SHOWN = re.compile(
    r"\b(?:in a (?:minute|moment|second)|on the (?:bench|table|floor|wall|shelf)|in the (?:shed|drawer|oven)|"
    r"to be there at|be there (?:at|by|soon|when)|was there)\b"
)

TRIGGER = re.compile(
    r"\b(?:pdf|listed|pass (?:on|along|you)|you on ?to|point you|send you|steer you|"
    r"be (?:under|posted|attached)|as a (?:file|page)|to print|help your\w+|grab|throw|tack|contact|"
    r"people|person|under|up|in the text|in the thing|also|as well|put where|"
    r"be (?:right |up |down )?there|be (?:under|posted|attached)|as a (?:file|page)|to print|"
    r"there'?ll|help your\w+|grab|throw|tack|contact|people|person|under|up|in the text|in the thing|"
    r"you'll find|also|there (?:too|as well|also|for)|under here|with (?:the|"
    r"this) video|for (?:ye|yous|you guys|you lot|y'all)|scanned|usual (?:place|spot|box)|in the links|"
    r"files|list i|put under|going up|available|his page|her page|their page|address|number|where|writing|"
    r"typed?|below there|under it|be free|uploaded|up as|"
    r"links?|linked|linking|description|info ?box|box|blurb|notes|shownotes|comments?|below|"
    r"underneath|beneath|under (?:this|the) (?:video|film|clip|episode|picture)|"
    r"down there|up there|up here|in there|on there|find (?:it|them|that|both|all|those) there|website|"
    r"web site|web ?page|blog|bio|site|my page|our page|my channel page|profile|corner|cards?|end ?screen|"
    r"upload|uploaded|uploading|attach|attached|download|downloads|downloadable|share|shared|sharing|post|"
    r"posted|posting|put up|up online|online|up as well|up for|printable|scan|scanned)\b"
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


@dataclass(slots=True)
class Cue:
    """A place in the words that makes a promise: its characters in ``Wording.text`` and how sure it is."""

    first: int
    last: int
    confidence: float
    kind: str


def cue_in(w: Wording, n: int) -> Cue | None:
    """The words of stretch ``n`` that make it a promise, if it is one."""
    text = w.said(n)
    base = w.chars(*w.stretches[n])[0]
    for find in (_link_cue, _place_cue, _card_cue, _file_cue, _maybe_cue, _offer_cue):
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


def _link_cue(text: str, w: Wording, n: int) -> Cue | None:
    physical = PHYSICAL.search(text)
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
            return Cue(m.start(), m.end(), 0.95, "link")
        if word in ("link", "linking") and mine:
            return Cue(mine.start(), m.end(), 0.93, "link")
        if sure_place or maybe_place:
            return Cue(m.start(), m.end(), 0.95, "link")
        if at_hand:
            continue
        if word == "linked" and re.search(
            r"(?:\b(?:is|are|be|been|all|both|them all|those|these|one|everything|get|got|i've)|'s|'re|"
            r"'ve)(?: \w+){0,3}? ?$|^$|[,.] ?$",
            before,
        ):
            return Cue(m.start(), m.end(), 0.85, "link")
        if word == "linked" and re.search(r"\b(?:i|we)(?:'ve| have) (?:\w+ )?$", before):
            return Cue(m.start(), m.end(), 0.85, "link")
        if word in ("link", "links") and re.match(
            r"^(?:'s|s)? (?:is|are|to|for|will|in the (?:usual|same|normal)|as (?:always|usual|ever)|at the)\b", after
        ):
            return Cue(m.start(), m.end(), 0.8, "link")
        if re.search(r"\b(?:follow|click|use|tap|hit|there's|there is|there are|got|be) (?:\w+ ){0,2}$", before):
            return Cue(m.start(), m.end(), 0.8, "link")
        if word == "links" and not before.strip():
            return Cue(m.start(), m.end(), 0.7, "link")
    return None


def _place_cue(text: str, w: Wording, n: int) -> Cue | None:
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
            if not (MY_PUT.search(before) or re.search(rf"\b{_INFO}\b", text) or _FIND.search(text)):
                continue
        elif place.startswith(("box", "notes", "bit", "section", "text", "writing", "bar")) and not re.search(
            r"video|film|clip", place
        ):
            promised = re.search(
                r"\b(?:'ll|will|'ve|gonna|going to|have a look|check|you'll find|linked|listed)\b|'ll\b|'ve\b", before
            )
            if not (promised or re.search(rf"\b{_INFO}\b", before)):
                continue
        elif (
            re.search(
                r"\b(?:description|it) (?:said|says|told|was|wasn't)\b|\blooked at the (?:video )?description", text
            )
            and not re.search(r"'ll\b", text)
        ) or re.search(r"\b(?:i )?(?:said|wrote|put|got) (?:\w+ )?wrong in (?:the )?$", before):
            continue
        return Cue(m.start(), m.end(), 0.93, "place")
    in_notes = _IN_NOTES.search(text)
    if in_notes and not _negated(text, in_notes.start()):
        return Cue(in_notes.start(), in_notes.end(), 0.8, "place")
    comments = re.search(_AT_COMMENTS, text)
    if (
        comments
        and not _SOLICIT.search(text)
        and not _negated(text, comments.start())
        and (
            MY_PUT.search(text[: comments.start()])
            or re.search(r"\b(?:pin|pinned)\b|(?:'ll be|will be|is|are|'s) (?:down )?$", text[: comments.start()])
        )
    ):
        return Cue(comments.start(), comments.end(), 0.85, "place")
    return None


def _card_cue(text: str, w: Wording, n: int) -> Cue | None:
    for m in re.finditer(_CARD, text):
        around = text
        video = re.search(
            r"\b(?:video|videos|films?|episode|playlist|screen|click|tap|card's|cards? (?:\w+ )?up|series|"
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
        return Cue(m.start(), m.end(), 0.8, "card")
    shown = re.search(
        r"\b(?:that's|it's|is|'s) up here somewhere\b|\b(?:put|pop|stick|leave|add)(?:ting|ping|"
        r"ing)? (?:a|the|that|up a) (?:info )?card (?:up|in|on|for|at|there|here)\b",
        text,
    )
    return Cue(shown.start(), shown.end(), 0.7, "card") if shown else None


def _file_cue(text: str, w: Wording, n: int) -> Cue | None:
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
        return Cue(m.start(), m.end(), 0.85, "file")
    return None


def _offer_cue(text: str, w: Wording, n: int) -> Cue | None:
    """Something handed over in words that name no place of a video: "that'll be there for you to print"."""
    m = _OFFER.search(text)
    if m is None or _negated(text, m.start() + 1) or _SOLICIT.search(text) or _SHOWN.search(text):
        return None
    return Cue(m.start(), m.end(), 0.7, "offer")


def _maybe_cue(text: str, w: Wording, n: int) -> Cue | None:
    """Places that could be in the workshop: "below", "down there", "up there", "there"."""
    if _SOLICIT.search(text):
        return None
    listed = re.search(r"\b(?:listed|linked|posted) (?:all )?(?:down |up )?(?:there|below|underneath|beneath)\b", text)
    if listed and not _negated(text, listed.start()):
        return Cue(listed.start(), listed.end(), 0.85, "maybe")
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
        mine, info = MY_PUT.search(before), re.search(rf"\b{_INFO}\b", before + after[:50])
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
                return Cue(m.start(), m.end(), 0.7, "maybe")
            continue
        if mine and firm and (info or for_you or if_you):
            return Cue(mine.start(), m.end(), 0.85, "maybe")
        if (
            mine
            and firm
            and down
            and re.search(r"\b(?:down )(?:below|underneath)$", place)
            and re.search(r"\b(?:it|that|them|those|both|one|these|this)\b", before[mine.start() :])
        ):
            return Cue(mine.start(), m.end(), 0.7, "maybe")
        if find and (
            info or "below" in place or "under" in place or for_you or if_you or _antecedent_is_information(w, n)
        ):
            return Cue(find.start(), m.end(), 0.8, "maybe")
        if be and (info or if_you or for_you) and place not in ("in there", "up here"):
            return Cue(m.start(), m.end(), 0.8, "maybe")
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
            return Cue(m.start(), m.end(), 0.8, "maybe")
        if info and re.search(r"\bthere(?:'s| is| are|'ll be| will be)(?: also)? (?:[\w'-]+ ){1,7}$", before) and down:
            return Cue(m.start(), m.end(), 0.8, "maybe")
        if (
            not re.match(r"(?:write|put|draw|mark|trace|pencil|pin|sew|stitch|glue|cut|copy|print)\b", before)
            and re.match(
                rf"^(?:\w+ ){{0,3}}?{_INFO}(?: (?:is|are|'s|all|also|of all of it|for \w+))* $",
                before,
            )
            and len(before.split()) <= 7
        ):
            return Cue(m.start(), m.end(), 0.75, "maybe")
    return None


def _antecedent_is_information(w: Wording, n: int) -> bool:
    start = w.stretches[n][0]
    back = w.doc[max(0, start - 40) : w.stretches[n][1]].text.lower()
    return bool(re.search(rf"\b(?:{_INFO}|link|linked|free|online|search|recommend|asked)\b", back))


__all__ = ["MY_PUT", "PHYSICAL", "TRIGGER", "YOU_FIND", "Cue", "cue_in"]
