"""Tips: advice to the viewer that is no step of this build; habits, regrets and alternatives among them.

"You want to press it open" is a step told to the viewer. It becomes a tip by what makes it general: a benefit ("it
slides less"), a rule ("always", "as you go"), a choice ("you could use"), a case ("if you haven't got"), or the
maker's habit and hindsight ("as a rule I ...", "I should have ..."). Advice against a material that names no danger
is no note of its own: it stays with the item.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from buildlog.tag.notes.found import Hit, begins_with_verb
from buildlog.tag.wording import plain

if TYPE_CHECKING:
    from spacy.tokens import Span

_HABIT = re.compile(
    r"\b(?:as a (?:general )?rule|i(?:'d)? (?:normally|usually|generally|always|tend to|like to|typically|"
    r"mostly|never)|(?:normally|usually|generally|typically|most of the time|nine times out of ten|"
    r"ordinarily),? (?:i|we|you)(?:'d|'ll)?|"
    r"(?:i|we)(?:'ll|'d)? (?:almost |nearly )?(?:always|normally|usually|generally)|my (?:usual|"
    r"normal) (?:way|method|habit)|i'm in the habit)\b"
)
_HABIT_NOT = re.compile(
    r"\b(?:always (?:wanted|loved|liked|thought|hated|said|been|wondered|had|was|knew)|usually (?:film|"
    r"post|upload|record|have|two|there|wear|eat|drink|sit|stream)|normally (?:there|film|have)|"
    r"like to (?:say|thank|think|show|welcome)|i(?:'d)? never (?:made|had|done|been|tried|thought|knew|"
    r"liked|used|said|did|seen|heard|meant|got|managed|finished|really)|never use)\b"
)
_STRONG = re.compile(
    r"\bit (?:really |always |often |also |does )?(?:helps|pays) (?:to|if|a lot|when|massively|enormously)\b"
    r"|(?:^|[.,;] )(?:a (?:bit|drop|dab|touch|spot|little) (?:of )?)?(?!he\b|she\b|that\b|this\b|it\b|god\b|nobody\b|which\b|what\b)"
    r"[\w-]+ (?:really |always )?helps(?: here| a lot| too)?(?=[.!]|$)"
    r"|\b(?:a|the|one|my|another|here's a|top|handy|useful|good|nice|neat) (?:little |quick |good |handy |"
    r"nice |neat |useful |small |old |other |final |last |simple |clever )*(?:trick|(?<!the )(?<!to the )tips?|hint|secret|"
    r"shortcut|dodge|rule of thumb|cheat)\b(?! (?:of the (?:light|knife|needle|iron|blade|finger)|cyclist|"
    r"is (?:hot|broken|bent|too)))"
    r"|\bi (?:always |usually |just |also |do |really )?find (?:it|that|it's|if|this|they|you|"
    r"(?:a|an|the) (?:\w+ ){1,3}?(?:is|are|helps?|works?|goes|gives|does)\b|"
    r"the best|doing|using|starting)\b(?! (?:in|on|at|out|under|a bit of))"
    r"|\b(?:the )?(?:easiest|best|simplest|quickest|safest|neatest|surest|cleanest|cheapest|good|nicest|"
    r"easier|better|foolproof) (?:way|ways|thing to do|method|approach|bet)\b(?! (?:to (?:thank|support)|"
    r"of the day))"
    r"|\bi(?:'d| would| really would|'d really|'d always|'d strongly| strongly| do)? (?:recommend|suggest|"
    r"advise)\b(?!ed)|\bi(?:'d| would) (?:always |probably |definitely |really |just )?(?:go with|go for|"
    r"start with|stick (?:to|with)|say (?:go|use|try|start|don't|get)|steer clear|avoid|leave it|err)\b"
    r"|\b(?:my|a bit of|word of|piece of|some|only) advice\b|\bword to the wise\b|\btake it from me\b|\blearn from my\b"
    r"|\byou(?:'re|'ll be| are) (?:much |far |a lot |way )?better off (?:with|\w+ing|to)\b|\byou'd be better\b"
    r"|\bworth (?:it to |the (?:money|effort|time|trouble|faff)|spending|buying|doing|having|getting|"
    r"checking|taking|testing|making|practi[sc]ing|paying|trying|investing|using|keeping|measuring|a try|"
    r"a go|giving|remembering|knowing|\w+ing)\b"
    r"|\bif (?:it's|this is) your first\b|\bfirst[- ]timers?\b|\b(?:for|if you're a) (?:complete |"
    r"total )?(?:beginner|beginners|newbie)s?\b"
    r"|\bif (?:your|the|it|yours) [\w ]{2,30}?(?:keeps|keep|won't|doesn't|isn't|starts|start|gets|is too|"
    r"feels|looks|goes|tangles|slips|sticks|snags|squeaks|wobbles)\b[^.;]*?,? (?:just |then |you can |"
    r"you could |a |try |run |rub |give |put |use |turn |loosen |tighten |add |go )"
    r"|\b(?:don't|do not|never|no need to|needn't|don't have to|not) (?:be tempted|try (?:and|to)|fuss|"
    r"panic|stress|rush|skimp|be afraid|be shy|be scared|bother|overthink|overwork|over-\w+|have to|"
    r"worry too much|worry (?:if|about)|skip)\b(?! about the raw| doing| finish)"
    r"|\bresist the (?:urge|temptation)\b|\b(?:there's )?no need to\b|\byou (?:don't|needn't|"
    r"won't) (?:have to|need to|need (?:a|any|an) (?:special|fancy|expensive|proper|big|press|machine))\b"
    r"|\bone thing (?:i've|i have|i|you) (?:learn|learnt|learned|should|want|need|found|find)|"
    r"\bi've (?:learn(?:t|ed)|found|discovered) (?:that|it|the hard|if|to|the)\b"
    r"|\bthe (?:secret|trick|key|knack|idea|golden rule|art|"
    r"(?:important|main) thing(?= (?:here )?is (?:to|not|that|you|don't|never|keep|get|patience)\b)) (?:here |to (?:it|"
    r"this|that|a|an|\w+ing) ?(?:\w+ )?(?:\w+ )?|with (?:this|these|it) |of it )?(?:is|are)\b|"
    r"'s the (?:trick|secret|key|knack)\b"
    r"|\bthat way,? (?:you|it|they|the|your|nothing|everything|there)\b"
    r"|\b(?:save|keep|hang on to|hold on to) (?:your|all your|the|those|any) (?:\w+ )?(?:offcuts?|scraps?|"
    r"leftovers?|bits|selvedges?|shavings?|dust|trimmings|old|jars?)\b(?! in)"
    r"|\b(?:test|try|practi[sc]e)(?: it| this| that| the \w+| everything|"
    r" your \w+)?(?: out)?(?: first)? on (?:a |some |an |your )?(?:scraps?|offcuts?|something|spare|bit|"
    r"test|piece)\b|\b(?:test piece|test swatch|practice piece|trial run|dry run|dry fit) (?:first|"
    r"before)\b|\b(?:do|make|try|sew) a (?:test|practice|trial|dry)\b"
    r"|\b(?:remember|make a point|be sure|always remember) to\b(?! (?:like|subscribe|check out|hit))|"
    r"\b(?:pro|top|life) tip\b|\bgo (?:easy|steady)\b|\bless is more\b|\bmeasure twice\b|"
    r"\btake your time\b|\bdon't rush\b"
    r"|\b(?:invest in|spend (?:a bit|the) (?:more|money)|buy (?:the|a) (?:good|best|decent|cheap))\b"
    r"|\bmakes? (?:it|this|life|things|everything|the \w+|all the difference|that) (?:so |much |a lot |"
    r"far |way |really |go )*(?:easier|simpler|quicker|neater|nicer|tidier|faster|difference|in without)\b"
)
# Another thing for the same use: kept with the item as its substitute, so no note of its own, and no step either.
_SUBSTITUTE = re.compile(
    r"\bworks? (?:just |almost |equally |nearly |every bit |perfectly |pretty )?(?:as )?(?:well|fine|"
    r"great|beautifully|perfectly|a treat|a charm|brilliantly|too)\b"
    r"|(?<!i)(?<!we)(?<!they)(?: will| would|'ll|'d) (?:also |just |all |both )?(?:do (?:it|fine|"
    r"the (?:job|trick|same)|just as|instead|for|nicely|perfectly|you)|work (?:too|as well|just|fine|"
    r"instead|here)|be (?:just )?fine|do\b(?=[.,!]|$))"
    r"|\b(?:does|do) (?:just )?(?:fine|the (?:same )?(?:job|trick)|nicely|as well)\b|"
    r"\bgives? you enough\b|\b(?:is|are|'s|'re|would be) (?:just |perfectly |totally |absolutely |also |"
    r"plenty |more than )*(?:fine|good enough|plenty|ok|okay|enough) (?:too|as well|for (?:this|that|the|"
    r"a|most)|instead)\b"
    r"|\b(?:two|three|some|a|an|any|the|polyester|cotton|nylon|plain) ?[\w -]{0,30} ?(?:is|are|'s|"
    r"would be|will be)(?: perfectly| just)? fine\b|\bany (?:old )?[\w -]{2,24} (?:will|would|'ll|"
    r"does) (?:do|work)\b"
    r"|\bif (?:that's|it's|thats) (?:what|all) you(?:'ve| have| can)?\b|\bif you (?:can|could) only (?:get|find)\b|"
    r"\bif you(?:'d| would) (?:sooner|rather) (?:have|use|buy)\b|\bwould be (?:every bit as good|plenty)\b|"
    r"\b(?:'ll|will) get you (?:there|by)\b|\bwhat if (?:people|you|they|someone) (?:don't|haven't|hasn't)\b"
    r"|\b(?:if|unless) (?:you|anyone)(?:'ve|'re| have| are)? (?:don't have|no|not got|haven't (?:got|a)|"
    r"haven't|don't own|can't (?:get|find|afford|source|buy))\b"
    r"|\byou (?:can|could|might) (?:also |just |perfectly well |of course |easily |always |"
    r"happily )*(?:use|swap|substitute|replace)\b(?! (?:one|a single|just one|only))"
)
# Another way of doing it.
_ALTERNATIVE = re.compile(
    r"\b(?:you|one) (?:can|could|might|may) (?:also |always |easily |just |just as well |equally |"
    r"happily |totally |absolutely |perfectly well |instead |even |of course |probably |actually )*"
    r"(?!also|always|easily|just|equally|happily|see|hear|tell|find|get it|say|imagine|smell|guess|call|"
    r"buy it|ask|eat|be\b|have|notice|watch|feel|look|download|read|only|probably|actually|even|not\b|"
    r"never|barely|hardly|still|really|that's)[a-z]+"
    r"|\b(?:would|could|'d) (?:also |have )?(?:be|been) (?:much |a lot |far |way |probably )*(?:quicker|"
    r"easier|faster|neater|better|stronger|simpler|cheaper|tidier)\b"
    r"|\bsome (?:people|folks?|of you) (?:like to |prefer to |will |would |might )?(?!call|say|said|ask|"
    r"asked|have|in|think|told)[a-z]+\b|\b(?:would|will|'d|'ll) (?:hold|hold it|do it|"
    r"manage)(?: \w+)? (?:too|as well|on its own|by itself)\b|\bthat alone would\b|\balone would\b|"
    r"\bgo for it\b"
    r"|\b(?:if|when) (?:you|anyone)(?:'re| are)? (?:prefer|'d rather|would rather|new to|a beginner|"
    r"struggling|struggle|never done|haven't done|only have|only got)\b|\bif you want (?:it|yours|them|"
    r"the|a|to (?:go|make it|do|skip|use|save))\b(?!.*\b(?:link|description|video|subscribe|below|"
    r"comments|liked)\b)"
    r"|\byou (?:can|could) use (?:one|a single|just one|only one)\b|\bswap \w+ \w+ for anything\b|"
    r"\banything \w+ (?:will|would) do\b"
)
_REGRET = re.compile(
    r"\b(?:i|we) (?:really |probably |definitely |suppose i |maybe )?(?:should(?:'ve|a| (?:\w+ )?have)|"
    r"ought to(?:'ve| have)?|could(?:'ve| have)) (?:really |probably |just )?(?!stayed|gone to bed|be\b|"
    r"say|mention|be on|thank|warn|point|show|tell|get|explain|have (?:stayed|"
    r"gone))(?:have )?\w+(?<!say)(?: \w+)?"
    r"|\b(?:i |how i |only )?wish (?:i'd|i had|we'd)\b|^(?:\w+,? ){0,2}?should(?:'ve| have) \w+|"
    r"\bif i (?:were|was|ever) (?:\w+ )?(?:to |doing|make|making)|\bif i (?:did|do|had|made|"
    r"make) (?:this |it |that |another |one )+(?:one |again|over)\b"
    r"|\bi(?:'d| would) (?!say|said|been|had|already|just|got|like to)[^.;,]{3,60}? "
    r"(?:another time|next time(?: round)?|if i (?:was|were) (?:at it|doing|making)\b)"
    r"|\bif i(?: was|'m| were) (?:ever )?at (?:it|this) again\b"
    r"|\b(?:next time|another time|on the next one),? (?:i'd|i would|i'll|i will|i might|i'm going to|"
    r"i'd have)\b(?! (?:show|do the|be back|see|film|tell))|\bin hindsight\b|\bwith hindsight\b|"
    r"\blooking back\b|\bnext one i(?:'ll| will|'d)\b"
)
_BENEFIT = re.compile(
    r"(?:,| and| so| because| cause| then|;| -|\.) ?(?:that|then|it|they|you|everything|the \w+|this|"
    r"your \w+|nothing|the \w+ \w+)(?:'ll| will| won't|'s| is| are|'re)?(?: \w+)? (?:\w+ ){0,2}?(?:less|"
    r"more evenly|better|easier|neater|straighter|crisper|nicer|stays?|glides?|slides?|won't|doesn't|"
    r"don't|never|stops?|keeps?|saves?|gives you|lies? (?:flat|flatter)|sits? (?:flat|nicely)|"
    r"come(?:s)? out|goes in|far less|much|cleaner|lasts?)\b"
    r"|\bso (?:that )?(?:it|you|they|the [\w ]+?|your [\w ]+?|nothing)(?: \w+)? (?:don't|doesn't|won't|"
    r"can't|stays?|keeps?|never|aren't|isn't|always|can|get|ends? up)\b"
    r"|\b(?:it|this|that|which) (?:stops|keeps|makes|saves|prevents|gives|helps|hides|slides|lets|means|"
    r"softens)\b|\bto (?:stop|keep|prevent|avoid|save) (?:it|them|the|your|yourself|any|you)\b"
    r"|\bbecause (?:they|it|you|the|that|otherwise)\b|\bit's (?:much |so much |a lot |far |"
    r"way )?(?:easier|neater|stronger|cleaner|better|faster|quicker|safer)\b|\bfor a (?:better|cleaner|"
    r"neater|crisper|stronger|nicer)\b"
)
_GENERIC_HELP = re.compile(
    r"^(?:\w+ )?(?:a|an|some|a little|a bit of|a dab of|a drop of|a scrap of|a spot of|good|decent|proper|"
    r"cheap|sharp|fresh) [\w -]{2,40}? (?:stops?|helps?|keeps?|makes?|saves?|gives?|goes a long way|"
    r"does wonders|works wonders|prevents?|hides?|is (?:a good|your friend|your best|worth|better than|"
    r"easier))\b"
)
_COMPARED = re.compile(
    r"\b(?:better|easier|smoother|cleaner|neater|quicker|faster|stronger|nicer|tidier|safer) (?:than|"
    r"if you|when (?:you|it)|with a|to use)\b|\bbeats?\b|\bmore than you think\b|\byou(?:'ll|"
    r" will) (?:get|have|find|thank|regret|be glad|want|need|save)\b[^.;]*\b(?:if you|cleaner|better|"
    r"easier|neater|later|it's easier|yourself)\b"
    r"|\bwill speed (?:it|that|this|things)\b|\bso get a\b|\b(?:goes|comes|cuts|sews|sands|spreads|folds|"
    r"works|turns|bends|dries|sticks|lies|presses|goes on|goes in) (?:on |in |out |off |up )?(?:much |"
    r"far |a lot |so much |way )?(?:better|easier|smoother|cleaner|quicker|faster|flatter|neater|nicer|"
    r"more easily|more evenly)\b"
    r"|\bwhat i do (?:here )?is\b|\bi keep (?:a|an|some|my|one|the) [\w -]{2,30} (?:handy|nearby|to hand|"
    r"by me|beside me|next to|for this|in my pocket)\b|\bcheck (?:that|it|this|them|your \w+|"
    r"yours) (?:first|before|twice|again|as you)\b|\b(?:handy|nearby|to hand)\b.*\bfor\b"
)
_IF_IT = re.compile(
    r"\b(?:if|when) (?:it|yours|your \w+|they|that|the \w+)(?: \w+)? (?:\w+s|\w+s a lot|won't|doesn't|"
    r"isn't|don't|feels?|looks?|gets?|starts?|goes|keeps?)\b[^.;]{0,30}?,? (?:just |then |you can |"
    r"you could )?(?:take|try|run|rub|give|put|use|turn|loosen|tighten|add|go|zigzag|wipe|sand|cut|press|"
    r"leave|stop|make|back|ease|trim|wet|wait|pull|push|do|get|lift|shave|file|thin|stir|warm|cool|pin|"
    r"hold)\b"
)
_EVERY = re.compile(
    r"\b(?:always|every (?:time|stitch|few|single|now and)|as you go|each time|from now on|all the time|never)\b"
)
_YOU_WANT = re.compile(
    r"\byou(?:'ll| will| do| really|'d)? (?:\w+ )?(?:want to|need to|have to|should|ought to|must|better|"
    r"don't want|want (?:it|them|the|a|your))\b"
)
_TRY = re.compile(
    r"^(?:(?:so|and|but|oh|well|please|yeah|now|ok|okay|right|just|honestly|also|then|because|"
    r"um),? )*(?:try (?:to|and|not)|make sure|aim (?:for|to)|avoid|resist|remember|consider|think about|"
    r"don't (?!forget to (?:subscribe|like)|you\b|know|mind|think|worry about the|even|get me|tell|ask)|"
    r"do not|start from|start in|start at the (?:middle|centre|center)|work from|take it slow|"
    r"take your time|go slow(?:ly)?)\b"
)
_NO = re.compile(
    r"\b(?:subscribe|like button|tell your mates|thanks for watching|you want to see|let's|"
    r"if you want to (?:know|see|learn|watch|support|join|buy|help|follow)|sign up|i don't suppose|"
    r"if you remember|i wish you could|wish me luck|i could (?:eat|cry|have cried|do with)|now we|now i'm|"
    r"i'm going to|we're going to|gonna|you could say|could do with|recommended (?:the|by|me)|sure you've|"
    r"you can (?:see|hear|tell|find|get it|buy|imagine)|you could (?:see|hear|tell)|want to (?:make|see|"
    r"show|thank|say|do a)|should have stayed|thank you)\b"
)

_TRIED = re.compile(r"\b(?:i|we) (?:used|tried|found) (?:a|the|that|this|it)\b(?! (?:easier|best|better|works))")
_FIRM = re.compile(r"\b(?:alone would|hold it|it helps|trick|i find|i'd recommend)\b")
_I_DID = re.compile(r"\b(?:i|we)(?:'ve|'d)? (?:\w+ed|did|put|cut|made|had|got|took|went|was|were)\b")
_AND_IT = re.compile(
    r"(?:,|;| and| -|\.) ?(?:it|they|that|everything|the \w+(?: \w+)?|your \w+|nothing|this|brass ones|"
    r"\w+ ones|a \w+ \w+)(?:'ll| will|'s| is| are|'re| won't| doesn't)? ?(?:always |just |all |only |far |"
    r"so much )?(?:is|are|stays?|glides?|slides?|comes?|goes|saves?|keeps?|stops?|makes?|feathers?|lies|"
    r"sits?|looks?|lasts?|sticks?|snaps?|holds?|grips?|turns?|dries|spreads?|less|easier|better|never|"
    r"helps?)\b"
    r"|\b(?:since|because|cause|cos) (?:a|an|the|it|they|you|that|otherwise|most|some)\b|\bmore than\b|"
    r"\bas (?:often|little|much|thin|short|close|slow\w*) as\b"
)
_ALWAYS = re.compile(
    r"^(?:(?:so|and|but|oh|well|please|yeah|now),? )*(?:always (?!wanted|been|love)\w+|never (?!been|had|"
    r"mind|made|gets?|did|thought|again|ask|say)\w+,? (?:since|because|cause|as|it|the|them|your)|"
    r"every \w+,? (?:pull|make|press|check|wipe|keep) (?:it|them|the)\b)"
)

TRIGGER = re.compile(
    r"\b(?:helps|pays|trick|tips?|hint|secret|shortcut|rule|i find|i've found|easiest|best|simplest|"
    r"quickest|safest|neatest|good way|better way|recommend|suggest|advise|advice|worth|could|you can|"
    r"can also|can always|get away|works?|will do|would do|'ll do|does|do|is fine|are fine|be fine|too|"
    r"should have|should've|wish|next time|hindsight|if|unless|don't|do not|never|resist|no need|needn't|"
    r"learnt|learned|key|knack|that way|save|keep|test|try|remember|always|usually|normally|generally|"
    r"tend|easier|easily|neater|makes|any|either|invest|so|because|cause|it|and|stops?|want|need|must|"
    r"should|make sure|avoid|start|every|each|i'd|i would|less|better|otherwise|beats?|smoother|quicker|"
    r"faster|cleaner|handy|what i do|i keep|check|ought|some people|go for|alone|speed|same job|when|"
    r"the)\b"
)


def is_habit(sent: Span) -> bool:
    """Whether the sentence tells what the maker usually does, which need not have happened this time."""
    text = plain(sent.text)
    return bool(_HABIT.search(text)) and not _HABIT_NOT.search(text)


def _advice(text: str, span: Span) -> Hit | None:
    """Advice by its wording, or by an instruction that says what it is good for."""
    for pattern, sure in ((_REGRET, 0.8), (_STRONG, 0.8), (_ALTERNATIVE, 0.7), (_COMPARED, 0.65), (_GENERIC_HELP, 0.7)):
        m = pattern.search(text)
        if m and not _TRIED.search(text):
            return Hit(m.start(), m.end(), sure)
    m = _YOU_WANT.search(text)
    if m and (_BENEFIT.search(text) or _EVERY.search(text)):
        return Hit(m.start(), m.end(), 0.65)
    m = _TRY.search(text)
    if m:
        return Hit(m.start(), m.end(), 0.6)
    m = _IF_IT.search(text)
    if m and not _I_DID.search(text):
        return Hit(m.start(), m.end(), 0.6)
    if begins_with_verb(span):
        if _AND_IT.search(text) or _BENEFIT.search(text):
            return Hit(0, len(text), 0.65)
        if re.search(r"^(?:\w+,? ){0,2}?always\b", text):
            return Hit(0, len(text), 0.65)
    m = _ALWAYS.search(text)
    return Hit(m.start(), m.end(), 0.65) if m else None


def score(text: str, span: Span) -> Hit | None:
    """Whether the sentence (``text`` is its plain text) gives advice rather than tells a step."""
    if text.rstrip().endswith("?"):
        return None
    m = _HABIT.search(text)
    if m and not _HABIT_NOT.search(text):
        return Hit(m.start(), m.end(), 0.75)
    if _NO.search(text) and not re.search(r"\b(?:if i (?:were|was)|next time i|hindsight|trick)\b", text):
        return None
    return _advice(text, span)


def is_substitute(sent: Span) -> bool:
    """Whether the sentence offers another thing for the same use ("the back of a butter knife does fine").

    Such a thing is kept as a substitute item; the sentence is no step and no note.
    """
    return offers_another(sent.text)


def offers_another(words: str) -> bool:
    """Whether the words offer another thing for the same use; see :func:`is_substitute`."""
    text = plain(words)
    return bool(_SUBSTITUTE.search(text)) and not _FIRM.search(text)


def is_tip(sent: Span) -> bool:
    """Whether the sentence is advice, a habit, a regret or an alternative: no step of this build."""
    return score(plain(sent.text), sent) is not None or is_substitute(sent)


__all__ = ["TRIGGER", "is_habit", "is_substitute", "is_tip", "offers_another", "score"]
