"""Cautions: the maker's own words of danger to people or to the work, with their negation.

A caution names a danger ("the fumes are no joke"), protects the body ("gloves on"), keeps things apart ("away from
yourself", "keep the spirit off the flame"), or forbids something and says what happens otherwise ("don't soak it or it
goes to mush"). An instruction with "don't" and no harm in sight is a tip.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from buildlog.tag.notes.found import Hit
from buildlog.tag.wording import plain

if TYPE_CHECKING:
    from spacy.tokens import Span

_BODY = (
    r"(?:fingers?|fingertips?|thumbs?|hands?|eyes?|eyeballs?|face|hair|sleeves?|knuckles?|toes?|feet|"
    r"wrists?|arms?|skin|lungs?|head|ears?|belly|"
    r"tummy|stomach|legs?|palm|palms|nails|knees?|yourself|you)"
)
_PPE = (
    r"(?:gloves?|masks?|dust masks?|goggles|respirators?|eye protection|ear protection|ear ?defenders|"
    r"ear ?plugs|safety (?:glasses|specs|goggles|gear)|"
    r"glasses|face shield|visor|apron|thimbles?|sleeves (?:down|up|rolled)|hair (?:tied )?(?:up|back)|"
    r"hearing protection|protection|specs|steel toe\w*|boots)"
)
_HARM = (
    r"(?:burn(?:s|ed|t|ing)?|scald|scalds|scorch(?:es)?|slip(?:s|ped)?|skid(?:s|ded)?|"
    r"kick(?:s)?(?: back)?|snap(?:s|ped)?|split(?:s)?|crack(?:s)?|tear(?:s)?|rip(?:s)?|melt(?:s)?|"
    r"shrink(?:s)?|shrivel(?:s)?|"
    r"stain(?:s)?|explode(?:s)?|shatter(?:s)?|warp(?:s)?|bleed(?:s)?|ruin(?:s|ed)?|wreck(?:s)?|hurt(?:s)?|"
    r"bite(?:s)?|sting(?:s)?|poison(?:s)?|ignite(?:s)?|catch(?:es)?(?: on)? fire|blow(?:s)? (?:up|out)|"
    r"pucker(?:s)?|"
    r"cockle(?:s)?|curdle(?:s)?|cup(?:s)?|buckle(?:s)?|bubble(?:s)?|blister(?:s)?|dent(?:s)?|mark(?:s)?|"
    r"scratch(?:es)?|gouge(?:s)?|fray(?:s)?|chip(?:s)?|crumble(?:s)?|distort(?:s)?|seize(?:s)?|jam(?:s)?|"
    r"strip(?:s)?|"
    r"lose (?:a|your|the|an) \w+|cut (?:you|yourself|your|through|straight)|go(?:es)? (?:everywhere|"
    r"floppy|wrong|brittle|hard|cloudy|rancid|to mush|mouldy|off|bang|flying|lumpy|sticky|soggy|stringy|"
    r"wavy|white|black|yellow)|fly(?:ing)? (?:off|out|at|across|everywhere)|spring(?:s)? apart|"
    r"fall(?:s)? (?:apart|off|to bits)|come(?:s)? (?:apart|off|undone|loose)|break(?:s)?|"
    r"take(?:s)? your (?:\w+ )?(?:\w+)? ?(?:off)?|have your \w+ off|go(?:es)? (?:straight )?through your|"
    r"damage(?:s)?|destroy(?:s)?|spit(?:s)?|splash(?:es)?|spatter(?:s)?|short(?:s)?(?: out)?|electrocute|"
    r"choke|blind|drip(?:s)?|collapse(?:s)?|rust(?:s)?|rot(?:s)?|stretch(?:es)? out|never come(?:s)? out|"
    r"won't come out|heat up by)"
)
_DANGER = (
    r"(?:fumes?|toxic|poisonous|flammable|inflammable|carcinogenic|caustic|corrosive|combust\w*|"
    r"spontaneously|irritant|lye|asbestos|lead paint|"
    r"silica|live wire|mains|high voltage|kickback|kick back|razor sharp|scalding|boiling (?:water|oil|"
    r"sugar|wax)|red hot|white hot|a burn|burns|a nasty cut|a&e|casualty|stitches in (?:my|your)|hospital|"
    r"emergency room)"
)
_OF = (
    r"(?:blade|blades|teeth|cutter|bit|saw|needle|flame|flames|heat|iron|tip|sparks?|fire|plug|mains|lathe|"
    r"chuck|belt|chain|staples?|spirit|solvent|acid|steam|oil|wax|drill|router|knife|chisel|scissors|fan|"
    r"motor|bobbin|barrel|kids|children|cats?|dogs?|pets|little ones|cloth|loose ends|eyes?|mouth|food|candle|"
    r"stove|socket|heater|radiator|oven|microwave|(?:tumble )?dryer|dishwasher)"
)

_SURE = re.compile(
    rf"\b(?:watch|mind|look after|protect|remember|think of) (?:out for )?(?:your|those|the|my|"
    rf"that) (?:\w+ )?(?:{_BODY}|{_OF}|edge|corners?|point|points)\b(?! (?:and see|of the film))"
    r"|\bwatch (?:out|yourself|it)\b(?! (?:dry|go|turn|grow|bubble|soak))|\bmind out\b"
    r"|(?<!a )(?<!very )(?<!so )(?<!is )(?<!was )\b(?:be|being|do be|please be|just be|got to be|"
    r"have to be|need to be|want to be|gotta be|be very|be really|be super|be so|be extra|be a bit|"
    r"be ever so|be quite) careful\b"
    r"|^(?:\w+,? ){0,3}careful(?:,| (?:of|with|when|not|here|there|now|though|that|because|on|around|"
    r"around|as|at))(?! what you wish)"
    r"|\b(?:very|really|super|extra|particularly|extremely|ever so|a bit) careful (?:of|with|when|not|"
    r"here|because|around|around|as|about|at)\b"
    r"|\btake (?:great |real |extra |some )?care\b(?! of (?:the|that|it|my|everyone)|[.!]? ?(?:bye|"
    r"everyone|and))|\bbeware\b"
    r"|\b(?:do not|don't|never) (?:ever|under any circumstances)\b(?! (?:been|so))|\bwhatever you do\b|"
    r"\bplease,? (?:please,? )?(?:never|don't|do not|use a|wear|keep|be)\b(?! (?:subscribe|forget to))"
    rf"|\b(?:wear|put on|pop on|get|grab|use|need|want|with|in) (?:a |an |some |your |the |proper |decent |"
    rf"good |rubber |nitrile |thick |leather |heat |heatproof |welding |cut resistant )*(?:dust |face |"
    rf"rubber |nitrile |leather |welding |work |safety )?{_PPE}\b(?= (?:for|on|when|while|if|with|because|"
    rf"here|at|before|too|please|always|as)|[.,!]|$)"
    rf"|(?:^|[.,!] |\b(?:so|and|with|so then) )(?:\w+ )?(?:always )?(?:a )?(?:dust |rubber |"
    rf"safety )?{_PPE}(?:,? (?:on|off|for|always|please|here|at|people|everyone|folks|time|too)\b|[.!]|"
    rf"$)(?! (?:were|was|are))"
    rf"|\b(?:away from|clear of|back from|out of reach of|out of the way of) (?:you|your|yourself|the|any|"
    rf"anything|those|that|a|an|open|naked|children|kids|pets) ?(?:own |good |other |sharp |hot |moving |"
    rf"spinning |naked |open |bare |side of the )*(?:{_BODY}|"
    rf"{_OF})?\b(?<!the)(?<!any)(?<!a)(?<!that)(?<!your)"
    r"|\baway from (?:you|yourself|me|myself)\b|\bnot toward?s? (?:you|your|yourself)\b|"
    r"\bnever toward?s? (?:you|your|yourself)\b"
    rf"|\bkeep (?:your |those |both |the |all |all your |my )(?:\w+ )?(?:hands?|fingers?|thumbs?|hair|"
    rf"sleeves?|face|head|eyes?|arms?|knuckles)\b"
    rf"|\b(?:hands?|fingers?|thumbs?) (?:well )?(?:behind|out of|away|clear|flat|back)\b"
    rf"|\bkeep (?:\w+ ){{1,5}}?(?:away|out of|well away|clear|off|out from)\b.*\b(?:{_OF}|room|reach|"
    rf"children|kids|pets|while it|flame|heat|sun|damp|wet)\b"
    rf"|\bdon't want (?:your|any|that|those|it|to) (?:\w+ ){{0,4}}?(?:{_BODY}|anywhere near|near|breath\w*|"
    rf"in your|burn|slip|lose)\b"
    r"|\b(?:do not|don't|never|shouldn't|mustn't|not) (?:to )?(?:breathe?|inhale|sniff|swallow|lick|drink|"
    r"touch (?:the|it|that) (?:\w+ )?(?:while|when|until|tip|blade|end|hot|bare))\b"
    rf"|\b(?:can|could|will|'ll|might|may|does|going to) (?:easily |really |actually |just |"
    rf"quite )?(?:catch(?: on)? fire|burn (?:you|your|through)|explode|ignite|cut (?:you|your)|"
    rf"take (?:your|the) (?:\w+ )?(?:{_BODY}|finger|off)|have (?:your|a) (?:\w+ )?(?:{_BODY}|finger) off|"
    rf"kick back|hurt (?:you|somebody|someone)|blind you|kill|poison|heat up by|self[- ]heat|electrocute|"
    rf"shock you|bite you|get you|damage your)\b"
    r"|\b(?:heat|catch|go) up (?:in flames|by themselves|by itself|on their own)|\bcatch(?:es)? fire\b|"
    r"\bset (?:fire|light) to\b(?! the kettle)"
    rf"|\b(?:that's|that is|this is|which is|it's) (?:\w+ )?(?:how|when|where|why) (?:\w+ )?(?:you|people|"
    rf"folk|folks|fingers|accidents|i|somebody|someone|they) (?:\w+ )?(?:get|gets|lose|loses|lost|cut|burn|"
    rf"burnt|hurt|end|go|happen|stab|slip|nearly)\b"
    rf"|\bfumes\b(?! of)|\b(?:toxic|poisonous|flammable|inflammable|carcinogenic|caustic|corrosive)\b"
    rf"|\bhot enough to\b|\b(?:sharp|hot|nasty|vicious|lethal|evil|wicked|"
    rf"dangerous)\b[^.;]*\b(?:so (?:watch|mind|keep|go|take|be|don't)|slip|slips|fingers|hands|careful|"
    rf"gloves)\b|\b(?:they're|it's|these are|this is|is|are) (?:\w+ )?(?:vicious|lethal|dangerous|no joke|"
    rf"razor sharp|nasty stuff|not to be trifled)\b"
    rf"|\bunplug(?:ged)? (?:it|the|that|your|first|before|everything)\b|\b(?:is|it's|make sure it's|"
    rf"make sure the \w+(?:'s| is)|are) (?:\w+ )?(?:unplugged|switched off at|isolated)\b|\b(?:switch|"
    rf"turn) (?:it|the (?:power|mains|machine)) off (?:at the|before|first)\b"
    r"|\bventilat\w*\b|\b(?:open|opened?) (?:a|the|your|some|all the) (?:window|windows|door|"
    r"doors)\b(?=.*\b(?:because|fumes|smell|stinks?|headache|stuff|solvent|breathe|for (?:this|that))\b)|"
    r"\b(?:work|do (?:this|it)|go|best) (?:\w+ )?(?:outside|outdoors)\b(?=.*\b(?:stuff|fumes|headache|"
    r"dust|smell|stink|if you can)\b)|\bfresh air\b"
    r"|\bpush (?:stick|block)\b|\b(?:finger|blade) guard\b|\bsparks\b|\bmy (?:thumb|"
    r"finger)(?:tip)? (?:\w+ )?(?:is|was|still) (?:\w+ )?(?:proof|witness|sorry|scar)\b"
    r"|\b(?:burnt|burned|cut|stabbed|sliced|nicked|jabbed|scalded|caught) my(?:self)? ?(?:\w+ )?(?:finger|"
    r"thumb|hand|wrist|arm|palm|knuckle|knee)?\b[^.;]*\b(?:so|don't|mind|careful|learn from|that's why)\b"
    r"|\b(?:no|not near|nowhere near|not around|out of reach of) (?:\w+ )?(?:kitchen (?:spoons?|pans?|"
    r"tools?)|naked flames?|open flames?|smoking|kids|children|pets)\b|\bkids (?:and|or) (?:cats|dogs|"
    r"pets)\b"
    r"|\bbins? (?:\w+ )?(?:oily|rags?)\b|\b(?:oily|oil-soaked|oil soaked) (?:rags?|cloths?)\b"
    rf"|(?:^(?:\w+,? ){{0,2}}?|\band )(?:never|don't|do not) (?:ever )?(?:leave|put|touch|reach|lean|use|change|run|"
    rf"force|grab|hold|let|point|pull|bin|throw|heat|mix|pour|smoke|stand|carry) [^.;]*\b{_OF}\b"
    r"|\b(?:wouldn't|shouldn't|don't|never|do not|not) (?:[\w']+ ){1,4}?(?:anywhere near|near) (?:it|the|"
    r"a|an|that|any|this|your|those)\b|\bnowhere near\b"
    r"|\bsafety first\b|\bdust (?:is|isn't) (?:\w+ )?(?:nasty|bad|good|horrible|harmful|an? (?:irritant|carcinogen))\b"
    r"|\b(?:give|gives|giving) (?:you|me) (?:a )?(?:headache|rash|blister)s?\b|\bhave an accident\b"
)
_FORBID = (
    r"(?:don't|do not|never|no|not|try not to|mustn't|can't|shouldn't|avoid|resist|without|you don't want to|"
    r"not too much|too much|too many|too fast|too hard|too hot|too soon|too deep|too tight|too far|too long)"
)
_OR_HARM = re.compile(
    rf"\b{_FORBID}\b[^.;]*?(?:\b(?:or|otherwise|or else|else|because|cause|cos|since|and|'cause)\b|"
    rf"[,:;.-] ?)[^.;]*?\b{_HARM}\b"
    rf"|\b(?:go|gone|take it|work|turn|pull|push|lift|do (?:it|this)|keep it|easy|slow|slowly|gently|"
    rf"gentle|light|lightly)\b[^.;,]*?,? ?\b(?:or|otherwise|or else)\b[^.;]*?\b(?:{_HARM}|hits?)\b"
    rf"|\b(?:if|when|once|soon as) (?:you|it|that|the \w+|they|yours)\b[^.;]*?\b(?:it|you|that|they|"
    rf"the \w+)(?:'ll| will| can| could| might| may| is going to|'s going to)? (?:just |all |only |really |"
    rf"simply |actually |literally |start to |be )*{_HARM}(?: it|$|[ .,])"
    rf"|\btoo (?:much|many|hot|hard|fast|far|soon|tight|deep|long|early|dry|wet|thick)\b[^.;]*?\b(?:and|or|"
    rf"though|then|it)\b[^.;]*?\b{_HARM}\b"
    rf"|\b(?:more|longer|further|harder|hotter|any \w+er),? (?:and|or) (?:it|you|they|the \w+)(?:'ll|"
    rf" will)? \w*? ?{_HARM}\b"
    r"|\bany (?:\w+er|more|less),? and (?:it|you|they|that|the \w+)(?:'ll| will)\b"
    rf"|\b(?:not more|no more|not (?:a )?\w+er|only one|just one|once only|one coat|one go)\b[^;]*?\b(?:it|"
    rf"they|that|you)(?:'ll| will) {_HARM}\b"
    r"|\b(?:i|you)(?:'d| would| should)(?:n't| not) "
    r"(?!mind|say|know|want|call|bet|think|have|be|like|worry|swap|trade|blame|believe|recogni[sz]e|change|miss|care|bother|notice|see|guess)"
    r"\w+ [^.;]{3,60}?"
    r"(?:,|;|\.|-| because| cause| cos| since) ?(?:it|they|that|there|you)(?:'s|'ll|'re| will| is| are| goes?| gets?| turns?| \w+s)\b"
    rf"|(?:^|, )not (?:the |a |your |any )?(?!that|sure|if|how|what|because|only|just|as)"
    rf"(?:\w+ ){{1,3}}?\w+,? (?:it|they)(?:'ll|'re|'s)? (?:{_HARM}|go|goes|turns?|\w+ (?:up|off|out))\b"
    rf"|\bdull (?:blades?|one|knife|chisel)\b[^.;]*?\b(?:slips?|skids?|tears?|dangerous|cut)\b"
    rf"|\b(?:you'll|you will|you can|you could|you're going to|it'll|it will|it'd) (?:\w+ )?(?:burn|cut|"
    rf"stab|hurt|electrocute|scald|blind|jab|slice|ruin|wreck|crack|split) (?:yourself|your|the|you|it)\b"
    rf"|\bpress\b.*\bmelts onto\b|\bmelts? (?:onto|all over|into) (?:the|your)\b"
)
# "No more than one, it darkens", "don't let it touch the bottom, it must sit on the shoulders".
_LIMIT = re.compile(
    r"\b(?:no|not) more than (?:[\w-]+ ){0,3}?[\w-]+, (?:it|they|you|that) (?!is|are|was|were|can|could|should)\w+"
    r"|\b(?:don't|do not|never) let (?:it|them|that|your \w+|the (?:\w+ )?\w+) (?:touch|dry|boil|burn|sit|slip|drip|pool|cool|set|"
    r"rub|drag|catch|hang|soak|freeze|overheat|dangle|wander|twist|stretch|smoke|run|settle|get (?:hot|cold|wet|dry|near|in|on)|"
    r"go (?:off|over|past|hard|cold|dry|near|below|above))\b"
)
# "The glue lets go when it's warm"; captions write "let's".
_LETS_GO = re.compile(
    r"\b(?!(?:and|so|now|okay|ok|right|then|but|well|yeah|yes|oh|alright|anyway|folks|everyone|i|we)\b)\w+ (?:always |just |soon )?"
    r"let'?s go(?= (?:when|in|if|under|as soon|after|once|with)\b|[.,]|$)"
)
# What a thing does to the work, told as a fact, and the advice drawn from it: "it won't go round a curve, so leave it".
_SO_LEAVE_IT = re.compile(
    r"\b(?:won't|will|'ll|can't|doesn't|don't|never|\w+s)\b[^.;]{4,80}?,? (?:so|which is why) (?:just |please |i'd |you'd |best |better )*"
    r"(?:don't(?: even| you)? (?:try|use|bother with|go near|touch|be tempted)|do not (?:try|use)|"
    r"leave (?:it|that|them|those|this)(?: one)? (?:well )?(?:alone|be\b(?! to)|(?:in the (?:drawer|shop|tin|packet|box|cupboard|bin)|"
    r"on the (?:shelf|roll|rack))(?= ?(?:$|[.,!])))|"
    r"(?:skip|avoid|steer clear of|stay (?:off|away from)|keep (?:off|clear of)|stay clear of|give) (?:it|that|them|those|this)"
    r"(?: a miss| a wide berth)?(?= ?(?:$|[.,!]|one\b)))"
    r"|\b(?:people|folks?|some) (?:use|do|put|try|will) [^.;]{2,40}?\b(?:and|but) [^.;]{2,50}?(?:'ll|will|won't) [^.;]{2,40}?i wouldn't\b"
)
# Words that are dangerous by themselves, and tools and states that are once somebody tells the viewer how to behave.
_GRAVE = re.compile(
    r"\b(?:fumes?|vapou?rs?|toxic|poisonous|poisoned|flammable|caustic|carcinogen\w*|lungs?|hospital|"
    r"a and e|emergency room|alight|on fire|catch fire|"
    r"respirators?|goggles|ear ?defenders|ear ?plugs|dust masks?|safety glasses|face shields?|masks?|"
    r"gloves?|glasses on|electrocut\w*|mains|kickback|"
    r"asthma|blind|scald\w*|swallow\w*|choke|accident|spontaneous\w*|self[- ]heat\w*|"
    r"go(?:es)? up by themselves|lose a finger|lost a finger|stitches in my)\b"
)
_RISKY = re.compile(
    r"\b(?:blades?|cutters?|saws?|irons?|needles?|knife|knives|chisels?|drills?|bits?|routers?|planer|"
    r"lathe|sander|torch|flame|candle|stove|solvents?|spirits?|acid|lye|bleach|dye|dust|glass|wire ends|"
    r"staples?|tacks?|pins|oil|wax|rags?|sparks?|steam|kettle|scissors|shears|awl|pedal|plug|battery|"
    r"heat gun|hot|boiling|roasting|scorching|sharp|spinning|smoking|smokes|splinters?|shards)\b"
)
_CARE = re.compile(
    r"\b(?:never|always|every (?:single )?time|please|honestly|for heaven's sake|for goodness sake|"
    r"for god's sake|in case|before you|until it|well away|away|toward|towards|keep|hold|stand|out of|"
    r"behind|off the|right off|straight off|don't skip|don't|do not|hair|sleeves|cats?|dogs?|kids|"
    r"children|little ones|hands?|fingers?|thumbs?|eyes?|face|yourself|bucket of water|metal can|outside|"
    r"outdoors|switch(?:ed)? (?:it )?off|turn(?:ed)? (?:it )?off|unplug\w*|at the wall|cool|go easy)\b"
)
_BODY_AT_RISK = re.compile(
    r"\b(?:hair (?:tied )?(?:back|up)|tie (?:your |that )?hair|eyes and ears|(?:off|away from|clear of|"
    r"out of|behind|toward|towards) (?:the |your |that |my )?(?:edge|blade|hand|fingers?|cutter|needle)\b|"
    r"(?:find|hit|get|catch|poke|in) (?:you in the |your |you in your |an )(?:eye|face|hand|finger|thumb|"
    r"lungs?)|through (?:your|a) (?:finger|thumb|hand)|"
    rf"(?:slips?|skids?|jumps?|fl(?:y|ies)|runs?|kicks?|digs?|goes|comes) (?:straight |right |off )?(?:into|through|at|in) "
    rf"your (?:\w+ )?{_BODY}|have your \w+ (?:out|off)|"
    r"(?:kept|keep|keeping) my (?:fingers|hands?|thumbs?|face|hair)|bleed on|throws? (?:it|"
    r"the \w+) (?:back )?at you|set themselves alight|runs? away (?:on|from|with) you)\b"
)
_ADVISES = re.compile(
    r"\b(?:you|your|yours|don't|do not|never|always|please|keep|hold|use|wear|make sure|mind|watch|get|"
    r"put|take|clamp|open|close|stand|tie|switch|turn|lay|let|wait|work|go|i'd|i'll|should|must|"
    r"i wouldn't|need|want|if they|if it|if anyone|for heaven's sake|honestly)\b|^(?:\w+ ){0,2}(?:goggles|"
    r"gloves|masks?|ear ?defenders|safety glasses|glasses)\b"
)
# "Drill pilot holes, or it splits": whatever comes after "or" is what goes wrong otherwise.
_THREAT = re.compile(
    r"(?:,|;|\.|-)? (?:or|or else|otherwise|else),? (?:it|it'll|they|they'll|you|you'll|you're going to|"
    r"you'd|that|that'll|there's|there'll|the \w+(?: \w+)?|your \w+(?: \w+)?|everything|nothing|this|he|"
    r"she|somebody|someone)(?:'ll| will| won't|'s going to| might| may| can| is| are|'s)? ?(?!can |could |"
    r"might be |may |want|prefer|need|like|haven't|don't have|if |use |you |could|and |of |side |way |"
    r"one |other )(?:just |all |only |never |really |simply |not )*[a-z]+"
)
_GOES_WRONG = re.compile(
    r"\b(?:it|they|that|this|the \w+|your \w+|you|those \w+|a \w+(?: \w+)?)(?:'ll| will)(?: just| all|"
    r" only| really| start to)? (?:\w+ )?(?:melt|burn|splits?|tear|snap|spin|fly|grab|jump|shrink|scorch|"
    r"crack|stain|slip|skid|kick|run away|catch|splinter|shatter|pucker|warp|bleed|ruin|wreck|shred|"
    r"explode|boil over|spit|stick to|go everywhere|rust|dent|bruise|let go|bite|sting|never come)\b"
    r"|\b(?:stretches|splits|tears|snaps|lets go|melts|burns|scorches|warps|cracks|splinters|shrinks|"
    r"slips|skids|bleeds|crumbles|frays|kicks|grabs|flies|explodes|stains|dents|bruises|puckers|flakes|"
    r"peels|fly|splinter|crack|bruise) (?:\w+ )?(?:if|when|as soon as|the moment|the second|"
    r"unless) (?:you|it|they)\b"
    r"|(?:,|\.|;|because|cause|cos) (?:it|they|that|tacks|the \w+|that \w+) (?:just |all |really |"
    r"always )?(?:splinters?|warps?|fly|flies|splits?|slips?|skids?|snaps?|melts?|tears?|shatters?|"
    r"stains?|burns?|kicks?|cracks?|spits?)\b(?! (?:the|into|in) (?:two|sheet|board|wood|leather|sides?))"
)
_NO = re.compile(
    r"\b(?:don't worry|never mind(?!ed)|mind you|don't forget to (?:subscribe|like)|be sure to (?:like|"
    r"subscribe)|careful what you wish|don't mind|doesn't mind|wear it with|wear this to|don't you just|"
    r"never gets old|burnt the edges|so i (?:didn't|don't)|carefully folded|wish (?:i'd|i had|we'd|we had))\b"
)
_PAST_ONLY = re.compile(
    r"^(?:\w+ )?(?:i|we|he|she|they|it|the [\w ]+?|my [\w ]+?|that) (?:\w+ )?(?:was|were|had|\w+ed|split|"
    r"broke|tore|went|came|got|snapped)\b"
)

_MADE_OF = re.compile(
    r"\b(?:masks?|gloves?|glasses|glass) (?:pieces?|is|are|was|were|pattern|has|have|that i)\b|"
    r"\b(?:a pair of|these|the|my|this) (?:gloves|mask|glasses) (?:i|from|for my|pattern)\b|\b(?:sew|"
    r"sewed|knit|knitting|make|making|made|cut) (?:\w+ )?(?:\w+ )?(?:gloves?|masks?|glasses)\b"
)
_NEVER = re.compile(
    r"\b(?:never|always|every (?:single )?time|please|for heaven's sake|for goodness sake|honestly|"
    r"in case|i'd keep|keep (?:the|your|any)|(?:goes?|go) in a|well away|right away|straight away|"
    r"before you (?:open|change|touch|clean|reach|put|pick)|while you|stand (?:to|behind|back|off|clear)|"
    r"hold it by)\b"
)

TRIGGER = re.compile(
    rf"\b(?:watch|mind|careful|care|beware|never|don't|do not|whatever you do|please|{_PPE}|away|clear|"
    rf"toward|towards|keep|or|otherwise|else|catch fire|fire|fumes|toxic|poisonous|flammable|caustic|"
    rf"hot enough|"
    r"dangerous|vicious|lethal|unplug|unplugged|ventilat\w*|window|outside|outdoors|fresh air|push stick|"
    r"push block|sparks|burn|burnt|burned|cut you|lose|hurt|melt|melts|shrink|shrinks|tear|tears|split|"
    r"splits|snap|snaps|slips?|skids?|too|not more|no more|thumb off|"
    r"oily|rags?|kids|headache|safety|no joke|sharp|hands?|fingers?|thumbs?|accident|if you|it'll|apart|"
    r"you'll|always|every|near|stop|always|hair|fingers?|eyes?|mask|goggles|because|when|in case|stand|"
    r"hold|bleed|hospital|swallow|lungs?|vapou?rs?|warps?|splinters?|fly|flies|won't|'ll|if it|spin|away|"
    r"lets go|let's go|not|stretches|wouldn't|skip|leave|avoid)\b"
)


def score(text: str) -> Hit | None:
    """Whether the plain (lower-case) ``text`` warns of harm to people or to the work."""
    m = _SURE.search(text)
    if m and not (_NO.search(text) and not re.search(r"\b(?:burn|fumes|blade|finger)", text)):
        if _PAST_ONLY.search(text) and not re.search(
            r"\b(?:so|don't|never|careful|mind|watch|because|keep|please|that's (?:how|why|when)|fumes|"
            r"catch|gloves|mask|you)\b",
            text,
        ):
            return None
        return Hit(m.start(), m.end(), 0.85)
    if _NO.search(text) or text.rstrip().endswith("?"):
        return None
    past = _PAST_ONLY.search(text)
    m = _OR_HARM.search(text) or _SO_LEAVE_IT.search(text) or _LIMIT.search(text) or _LETS_GO.search(text)
    if m and not past:
        return Hit(m.start(), m.end(), 0.75)
    m = _BODY_AT_RISK.search(text)
    if m:
        return Hit(m.start(), m.end(), 0.75)
    if past:
        return None
    m = _THREAT.search(text)
    if m and not re.search(r"\b(?:i|we) (?:used|had|got|was|were|want|could)\b", text[: m.start()]):
        return Hit(m.start(), m.end(), 0.7)
    if not _ADVISES.search(text) or re.search(r"\byou (?:can|could)\b.*\binstead\b", text):
        return None
    m = _GRAVE.search(text)
    if m and not _MADE_OF.search(text):
        return Hit(m.start(), m.end(), 0.7)
    m = _GOES_WRONG.search(text)
    if m and not re.search(r"\bso (?:that )?$|\bso it$", text[: m.start()]):
        return Hit(m.start(), m.end(), 0.65)
    m = _RISKY.search(text)
    if m and _NEVER.search(text) and _CARE.search(text.replace(m.group(), "")):
        return Hit(m.start(), m.end(), 0.6)
    return None


_FORBIDDEN = re.compile(r"\b(?:wouldn't|would not|don't|do not|never|i'd not|no more than|not more than)\b|^not ")
_REASON = re.compile(r"^(?:(?:it|they|you|that)(?:'ll|'s|'re| will| is| are| goes?| gets?| turns?| \w+s)|they \w+)\b")


def score_with_reason(text: str, after: str) -> Hit | None:
    """The same where the reason is told in the next sentence: "I wouldn't put foam in. It turns to dust."."""
    if not (_FORBIDDEN.search(text) and _REASON.search(after)) or text.rstrip().endswith("?"):
        return None
    hit = score(f"{text.rstrip(' .')}, {after}")
    return Hit(min(hit.first, len(text) - 1), len(text), hit.confidence) if hit else None


def threatens(text: str) -> bool:
    """Whether the plain ``text`` says what happens otherwise ("or it splits")."""
    return _THREAT.search(text) is not None


def is_caution(sent: Span) -> bool:
    """Whether the sentence warns of harm to people or to the work."""
    return score(plain(sent.text)) is not None


__all__ = ["TRIGGER", "is_caution", "score", "score_with_reason", "threatens"]
