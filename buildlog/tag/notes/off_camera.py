"""What was done but not filmed: "I forgot to hit record for the dyeing", "did the other three last night"."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from buildlog.tag.notes.found import Hit
from buildlog.tag.wording import plain

if TYPE_CHECKING:
    from spacy.tokens import Span

TRIGGER = re.compile(
    r"\b(?:off[- ]?(?:camera|screen|film|cam)|camera|cameras|filmed|filming|film|footage|record|recorded|recording|"
    r"battery|batteries|memory|storage|card|lens|clip|phone|video|videos|episodes|takes|shot|frame|"
    r"trust me|believe me|my word|imagine|"
    r"behind the scenes|didn't see|haven't seen|don't get to see|won't see|didn't get to see|missed|"
    r"last night|yesterday|overnight|this morning|button|tablet|telly|tv|television|without you|own time|"
    r"show it|shown?|showed|showing|see it|see this|see that|appeared|microphone|tripod|cam|clips|weekend|"
    r"gone ahead|gone and|since|spare|spared|save you|saved you|bore you|make you watch|make you sit|"
    r"not shown|wasn't shown|isn't shown|"
    r"while you|none of you|without you|after you|no one was|you lot|before you|by the time you|before any|have to)\b"
)
_THING = r"(?:camera|cam|phone|video camera|recording|recorder|sd card|memory card|tripod)"
_FAIL = (
    r"(?:died|dies|dead|ran out|gave out|gave up|went flat|was flat|went|conked out|packed up|cut out|"
    r"overheated|was full|is full|filled up|got full|stopped|froze|crashed|fell over|switched (?:itself )?off|"
    r"turned (?:itself )?off|shut (?:itself )?(?:off|down)|fell|quit)"
)
_DID = (
    r"(?:\bi(?:'ve|'d)?|\bwe(?:'ve|'d)?|\bit(?:'s)?|\bthat(?:'s)?|\bthey(?:'ve)?|\bthe [\w ]{2,24}?|"
    r"\bthis(?:'s)?)(?: have| had| has)? (?:also |all |just |already |then |both )*(?:\w+ed|did|got|was|were|"
    r"is|are|been|has|have|cut|put|sewn|sewed|glued|made|went|ran|took|gave|done|bound|wound|ground|bent|"
    r"set)\b"
)

_SURE = re.compile(
    r"\boff[- ]?(?:camera|screen|film|cam)\b"
    r"|\bbehind the scenes i\b"
    r"|\b(?:between|in between) (?:the |these |those |our )?(?:videos|episodes|takes|clips|filming|shots|recordings)\b"
    rf"|\b(?:while|when|after|before|whilst|with|once) (?:the |my )?{_THING}(?:'s| was| is| were|"
    rf" had been)? (?:\w+ )?(?:off|not|wasn't|weren't|charging|down|away)\b"
    rf"|\b(?:when|while) (?:the |my )?{_THING} wasn't\b"
    rf"|\bwithout the {_THING}\b"
    rf"|\b(?:the |my )?{_THING} (?:was|had been|wasn't|hadn't been|weren't|must have been) (?:\w+ )?(?:off|"
    rf"rolling|running|recording|on|pointing|pointed|facing|looking)\b"
    r"|\b(?:lens|camera|phone|tripod) (?:was|is|had been|got) (?:\w+ )?(?:pointing|pointed|aimed|facing|"
    r"looking|knocked)\b"
    r"|\b(?:wasn't|weren't|hadn't been|not|wasn't even|not actually|never) recording\b"
    r"|\bforg[oe]t(?:ten)? to (?:[\w']+ ){0,4}?(?:record|film|camera|filming|recording|video|phone)\b"
    r"|\b(?:thought|assumed) (?:i was|it was|we were|the camera was|i'd been) (?:filming|recording|rolling|on)\b"
    r"|\b(?:never|didn't|forgot to|failed to) (?:press|pressed|push|pushed|hit) (?:the |that )?(?:little |"
    r"red )*(?:button|record|start)\b"
    r"|\b(?:switched|turned) the camera off instead\b"
    r"|\b(?:didn't|did not|couldn't|hadn't|haven't|never|not|don't|nobody|wouldn't|"
    r"can't) (?:bother (?:to |with )?|bothered |manage to |managed to |want to |actually |really |even |"
    r"think to |get (?:a chance |round )?to |get )?(?:film|filmed|filming|record|recorded|recording|video|"
    r"videoed|capture|captured|catch any|shoot|shot) "
    r"|\b(?:didn't|did not|couldn't|hadn't|haven't|never|don't) (?:get|got|have|catch|"
    r"caught) (?:any of )?(?:this|that|it|the [\w ]+?|them|these|much|any|you)(?: bit|"
    r" part)?(?: of \w+)? (?:on|in) (?:film|camera|video|tape|shot|frame)\b"
    r"|\b(?:camera|phone|i) (?:\w+ )?ran out of (?:\w+ )?(?:battery|memory|space|card|storage|juice|power|"
    r"charge|memory card)\b"
    r"|\b(?:ran|run) out of (?:memory|card|storage|memory card|battery on|camera|recording|film|footage|video)\b"
    rf"|\b(?:camera|phone|memory card|sd card|card|tripod|recording|microphone|camera battery|"
    rf"phone battery|camera's battery) (?:had |has |just |also |then |went and |decided to |completely |"
    rf"must have )*{_FAIL}\b"
    rf"|\bbatter(?:y|ies) (?:had |has |just |went and )*{_FAIL} (?:while|when|halfway|half way|as|during|"
    rf"on me|before|just|in the middle|right|partway|so|at)\b"
    r"|\b(?:no|any|lost (?:all |most of |some of )?(?:the|that|my)|missing|deleted) (?:footage|video|film|"
    r"clips?|recordings?) (?:of|for|from|there|here)\b"
    r"|\b(?:no|isn't any|isn't|haven't got|haven't any|have no|don't have|got no) (?:any )?(?:footage|"
    r"video of|film of|recording of)\b"
    r"|\b(?:lost|deleted|wiped|erased|overwrote) (?:all |most of |some of )?(?:the|that|my|"
    r"this) (?:\w+ )?(?:footage|clip|recording|video)\b"
    r"|\b(?:footage|clip|file|recording|video) (?:of \w+ \w+ )?(?:for \w+ )?(?:got|was|is|has been|has|"
    r"turned out|came out|seems to be|went) (?:\w+ )?(?:corrupt|corrupted|lost|deleted|missing|gone|"
    r"ruined|unusable|black|blank|out of focus|wiped)\b"
    r"|\b(?:cut|left|got cut|edited|missed|dropped) out of (?:the|this|that) (?:recording|video|film|edit|footage)\b"
    r"|\bdon't get to see me\b|\b(?:don't|didn't|won't|never) (?:get|got) to (?:see|watch) (?:me|that|it|this|the)\b"
    r"|\b(?:you|you all|you lot|you guys|none of you|nobody) (?:didn't|haven't|won't have|hadn't|"
    r"never) (?:see|seen|saw) (?:it|me|this|that|that bit|this bit|any of (?:it|this|that)|"
    r"the [\w ]{2,20}?)(?:,| but| because| as| since|\.|$| \w+ing\b| \w+ the\b)"
    r"|\byou (?:just )?missed (?:it|that|this|me|all that|the exciting bit)(?: bit)?,? (?:but|i|because|so|while)"
    r"|\b(?:haven't|didn't|won't) (?:seen|see) me (?:\w+)"
    r"|\b(?:isn't|wasn't|not|aren't|weren't) (?:shown|filmed|on film|on camera|on screen|in shot|"
    r"in the video|in this video|recorded|caught on)\b"
    r"|\b(?:out of|not in|wasn't in) (?:shot|frame)\b.*\b(?:i|we)\b|\b(?:i|we)\b.*\bout of (?:shot|frame)\b"
    r"|\b(?:won't|not going to|wouldn't|wasn't going to|didn't want to|didn't) (?:make|force|ask) (?:you|"
    r"anyone|anybody) (?:to )?(?:watch|sit|look)\b"
    r"|\b(?:won't|not going to|didn't want to|didn't) (?:bore you|film all|show you all|show you every)"
    r"|\bi(?:'m| am) not (?:going to |gonna |about to )?(?:show(?:ing)?|film(?:ing)?) (?:you |ye |yous )?(?:the|this|that|it|all|any|my|how|them|those)\b"
    r"|\b(?:spared?|saved?|sparing|saving) you (?:the|all|from|that|another|an|two|three|watching|a|my)\b"
    r"|\b(?:i've|i have|i) (?:gone|went) ahead and (?!order|bought|buy)\w+"
    r"|\b(?:i've|i have|we've) (?:already |just |also )?(?:gone and|already gone and) (?!got\b|bought|"
    r"ordered|forgotten|lost|broken|done it|left)\w+"
    r"|\bsince (?:the |our |my )?(?:last|previous) (?:video|episode|time|part|one|clip)\b.*\b(?:i've|we've|i|we)\b"
    r"|\bsince (?:you|we) last (?:saw|spoke|met|looked|left|were|filmed|talked|had)\b|"
    r"\bsince i last (?:filmed|recorded|spoke|saw you|talked)\b"
    r"|\bwhile you (?:were|was|made|put|got|had|went|fetched) (?:making |putting |getting |having |fetching |on |off |out |away |in |at )?(?:the |a |your )?"
    r"(?:tea|kettle|coffee|cup|away|asleep|asleep|elsewhere|kitchen|shop|loo|phone|break)\b"
    r"|\byou(?:'ll| will)? (?:just )?have to (?:trust|believe) me\b"
    r"|\b(?:while|when|whilst) (?:nobody|no one|no-one|none of you) (?:was|were) (?:filming|watching|looking|recording)\b"
    r"|\b(?:while|when|after) (?:you|none of you|no one|nobody|you lot|you all|everyone) (?:weren't|"
    r"were not|wasn't|had gone|were gone|were asleep|were away|was|were)(?: \w+)?(?: looking| watching|"
    r" gone| there| here| asleep)?\b"
)
# A recorder and a loss close together tell of it whatever the verb is.
_RECORDER = (
    r"(?:camera|cam|phone|tablet|gopro|lens cap|lens|memory card|sd card|recording|recorder|footage|filming|"
    r"film|filmed|record|recorded|video|clip|clips|microphone|tripod)"
)
_LOSS = (
    r"(?:off|dead|died|flat|out|full|forgot|forgotten|didn't|wasn't|weren't|hadn't|haven't|couldn't|isn't|"
    r"not|never|nobody|no one|stopped|lost|asleep|sleep|missed|corrupt\w*|deleted|"
    r"charging|charge|cap was on|gone|failed|broke|crashed|knocked|pointing|without|no|instead|overheated|"
    r"filled|froze|blank|black|blurred|blurry|unusable|wandered|slipped|fell|ran out|switched itself|"
    r"packed away|put away|upstairs|elsewhere)"
)
_LOST = re.compile(rf"\b{_RECORDER}\b(?:'s)?(?: [\w']+){{0,5}}? {_LOSS}\b|\b{_LOSS}(?: [\w']+){{0,5}}? {_RECORDER}\b")
_WORK_ITEM = re.compile(
    r"\b(?:camera (?:strap|bag|case|mount|cover)|bag for my camera|film of|a film about|film peels|"
    r"film on|phone (?:case|holder|stand|pocket)|watched|watch a|watching a|lens is|lens goes|lens of|"
    r"move the camera|not sure|camera (?:likes?|loves?|hates?|makes?|adds?)|(?:next|last|first|second|previous|this|my|the other|another|old|a) videos?|"
    r"videos? (?:on|about|of|ago|from)|"
    r"not (?:a|the) film|cling film|film wrap|no need|let me|turn the camera (?:so|round|around)|"
    r"video description|under the video|below the video|under this video|outtakes|sorry about the|"
    r"noise on|number)\b"
)
_ALONE = re.compile(
    r"\b(?:happened|got done|got finished|done|did|finished|went on|went ahead|carried on|"
    r"pressed on) (?:\w+ ){0,4}?(?:without you|on my own time|in my own time|while you were|off the clock|"
    r"before (?:i|we) (?:switched|turned|started|pressed|hit|began) (?:the |on |re)?(?:camera|filming|"
    r"recording|record)?)"
    r"|\b(?:before|after) (?:i|we) (?:switched|turned|set|put) (?:the |my )?(?:camera|phone|"
    r"recorder) (?:back )?(?:on|up|off|away)\b"
    r"|\b(?:did|done|made|cut|sewn|sewed|knotted|knitted|stitched|sanded|hemmed|painted|finished|tied|"
    r"glued|drilled) (?:[\w']+ ){0,5}?(?:in front of the (?:telly|tv|television|fire)|"
    r"(?:while )?watching (?:the )?(?:telly|tv|a film|something)|on the (?:train|sofa|bus)|in bed|"
    r"at my mum's|at lunch)\b"
    r"|\b(?:rest|others|remaining|other \w+|most of (?:them|it|these)) (?:of (?:the|them|these|"
    r"it) ?(?:\w+)? ?)?(?:i|we|were|was|got|have been|had been) (?:\w+ ){0,3}?(?:telly|tv|last night|"
    r"yesterday|overnight|over the weekend|this morning|in the evening|on the sofa|the other night|"
    r"without you)\b"
    r"|\b(?:was|were|got|been) (?:\w+ )?(?:\w+ed|done|sewn|cut|made|put|bound|wound|"
    r"knit) (?:\w+ ){0,3}?(?:last night|yesterday|overnight|over the weekend|while you were|"
    r"before (?:filming|we started|i started))\b"
    r"|\b(?:didn't|did not|haven't|hadn't|couldn't|forgot to|never) (?:actually |even |really |manage to |"
    r"think to )?(?:show|shown|showed) (?:you )?(?:it|this|that|me|the [\w ]{2,24}?|them|you)(?:,| but|"
    r" because|\.|$| being| \w+ing)"
    r"|\b(?:can't|couldn't) (?:actually |really )?see (?:it|this|that|me|"
    r"what)(?: from)?(?: here)?,? (?:because|but|since|as) [^.;]*\b(?:i|we)(?:'ve)? (?:also |just |"
    r"then )?(?:\w+ed|did|put|cut|sewed|made|went)\b"
    r"|\bmeant to (?:film|record|show you|video)\b|\bdidn't (?:record|film|get filmed|make it (?:into|"
    r"onto|in))\b|\b(?:has|have|had) (?:suddenly |magically |mysteriously |just )?(?:appeared|grown|"
    r"turned up|happened) (?:\w+ )?(?:since|overnight|while|between)\b"
)
_TRUST = re.compile(
    r"\b(?:trust me|believe me|take my word|have my word|on my word|you'll have to (?:believe|imagine|"
    r"trust|take|picture)|you have to (?:imagine|trust|believe|take)|just imagine (?:me|the bit)|"
    r"imagine the bit|imagine me|(?:just )?picture (?:me|us))\b"
)
_HABIT = re.compile(
    r"\b(?:you want|don't|you need|you'll (?:want|need|be|regret|thank)|worth|always|never|is worth|"
    r"snaps?|it will|it'll)\b"
)
_EARLIER = re.compile(
    r"\b(?:i|we)(?:'ve|'d)? (?:\w+ ){1,4}?(?:the other|the others|the rest|the remaining|this bit|"
    r"that bit|this part|this one|the second|the last|all of (?:these|those|them|the)|the same (?:on|for|"
    r"to)|these|those|them all|most of)\b[^.;]{0,40}?\b(?:last night|yesterday|overnight|this morning|"
    r"button|tablet|telly|tv|television|without you|own time|show it|shown?|showed|see it|see this|"
    r"see that|appeared|microphone|tripod|cam|clips|weekend|in the night|in the week|over the weekend|"
    r"late last|before you got|the other day|earlier today)\b"
    r"|\b(?:last night|yesterday|over the weekend|this morning) (?:i|we) (?:did|cut|finished|sewed|glued|"
    r"made|sanded|stitched)\b[^.;]{0,40}\b(?:the other|the others|the rest|the remaining|all of (?:these|"
    r"those|them)|these|those|while)\b"
)
_NOT_DONE = re.compile(
    r"\b(?:next time (?:i'll|we'll) (?:film|record)|i'm going to (?:record|film)|(?:drill|driver|sander|"
    r"torch|lamp|car|clock|radio)(?:'s)? (?:battery|died)|battery in my (?:drill|driver|sander)|"
    r"let me (?:move|turn)|point the camera|film yourself|(?:going to|gonna|i'll|will|should) (?:do|"
    r"finish|cut|sew|make|have to do) (?:\w+ ){0,5}off[- ]?camera)\b"
)


def score(text: str) -> Hit | None:
    """Whether the plain (lower-case) ``text`` tells of work that was not filmed."""
    if _NOT_DONE.search(text):
        # "I'll do the other sleeve off camera" is off camera all the same
        m = re.search(r"\b(?:going to|gonna|i'll|will|have to) (?:\w+ ){0,8}?off[- ]?(?:camera|screen|film)\b", text)
        return Hit(m.start(), m.end(), 0.85) if m else None
    m = _SURE.search(text)
    if m:
        return Hit(m.start(), m.end(), 0.9)
    m = _ALONE.search(text)
    if m:
        return Hit(m.start(), m.end(), 0.8)
    m = _LOST.search(text)
    if m and not _WORK_ITEM.search(text) and not text.rstrip().endswith("?"):
        return Hit(m.start(), m.end(), 0.7)
    m = _TRUST.search(text)
    if m:
        rest = text[m.end() :]
        if (re.search(_DID, rest) and not _HABIT.search(rest)) or re.search(
            r"(?:imagine|picture) (?:the bit|me|us|that|i)", text
        ):
            return Hit(m.start(), m.end(), 0.75)
    m = _EARLIER.search(text)
    return Hit(m.start(), m.end(), 0.7) if m else None


def is_off_camera(sent: Span) -> bool:
    """Whether the sentence tells of work that was done but not filmed."""
    return score(plain(sent.text)) is not None


__all__ = ["TRIGGER", "is_off_camera", "score"]
