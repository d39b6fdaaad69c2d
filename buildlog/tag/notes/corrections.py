"""Mistakes in the making that were put right: "I drilled from the wrong face, so I plugged that and drilled again".

A mistake shows in the words for it ("backwards", "too short", "turns out") and in the words for mending it ("unpicked",
"off it came", "again"). Either alone is everyday work; together, in one sentence or in neighbours, they are one.
Slips of the tongue ("four, no, five holes") are no mistakes in the making; see :func:`is_contradiction` for sentences
that take back what was said earlier.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from buildlog.tag.notes.found import Hit
from buildlog.tag.wording import plain

if TYPE_CHECKING:
    from spacy.tokens import Span

_UNDO = (
    r"(?:re(?:fit(?:ted)?|trac(?:e|ed)|hung|hang|seat(?:ed)?|thread(?:ed)?|warp(?:ed)?|attach(?:ed)?|"
    r"assembl(?:e|ed)|build|built|knit(?:ted)?|shap(?:e|ed)|lin(?:e|ed)|cover(?:ed)?|bor(?:e|ed)|"
    r"place(?:d)?|plac(?:e|ed)|soaked|cast|tied|wove|bound|routed|set|started|rolled|fold(?:ed)?|"
    r"press(?:ed)?|cast)\b|all over again|(?:a|the) second time|take two|unpick(?:ed|ing)?|"
    r"unstitch(?:ed)?|undid|undo|undone|redo|redid|redone|redoing|re-?did|re-?cut|recutting|re-?made|"
    r"re-?make|re-?sewed|re-?sew|re-?sewn|resew|re-?drilled|re-?drill|"
    r"re-?glued|re-?glue|re-?stitch(?:ed)?|re-?painted|repaint|re-?dyed|redye|re-?soldered|resolder|"
    r"re-?wired|rewire|re-?measured|re-?marked|re-?punched|re-?sanded|re-?wound|re-?ordered|re-?drew|"
    r"redrawn|redrafted|re-?printed|"
    r"desolder(?:ed)?|frog(?:ged)?|ripped (?:it|that|them|the \w+|out)|rip (?:it|that|them|"
    r"the \w+) (?:all )?(?:out|back)|scrap(?:ped)? (?:it|that|them|the|a)|binned (?:it|that|them|the)|"
    r"bin (?:it|that|them)|threw (?:it|that|them) (?:away|out)|chucked (?:it|that|them)|"
    r"start(?:ed)? (?:all )?(?:over|again|afresh|from scratch)|plugged|patched|filled (?:it|that|them|"
    r"the holes?|the old)|fill the|prised|prise|break it open|broke it open|straightened|came out with|"
    r"put (?:it|them) back|went back in|on properly|the right way (?:round|up|around)|"
    r"another \w+ been made|made another|been (?:redone|remade|replaced)|deeper|to pack|eased|filed|pried|"
    r"steamed it (?:off|apart)|peeled it (?:back|off)|scraped (?:it|that|them)|"
    r"sanded it (?:all )?back|stripped (?:it|them)|took (?:it|that|them|the \w+)(?: all)? (?:apart|off|"
    r"out)|take (?:it|that|them|the whole \w+|the \w+)(?: all)? (?:apart|off|out)|took (?:apart|off)|"
    r"pulled (?:it|that|them)(?: all)? out|"
    r"cut (?:it|that|them)(?: all)? (?:off|out|open|loose)|open it (?:back )?up|opened it (?:back )?up|"
    r"(?:off|out|apart|down) (?:it|they|that) (?:came|had to come|all came|went)|(?:off|out) came the|"
    r"flipped (?:it|them) (?:round|around|over|back)|turned (?:it|them) (?:round|around|over|back)|"
    r"swapped (?:it|them|the)|moved (?:it|them)|been moved|been swapped|let (?:it|the \w+) out|let it off|"
    r"undid|reversed|"
    r"put (?:it|that|them) right|fix(?:ed)?|sorted (?:it|that)|glued it back|got it off|back off|shaved|"
    r"(?:came|come|pulled|knocked|sat) (?:right|true|square|level)\b(?! (?:through|off|out|over|up|down|to|into|on|in))|"
    r"add(?:ed)? a (?:piece|bit|strip|scrap|second|patch)|"
    r"pared|planed (?:that|it|a)|trimmed (?:it|that|a)|shimmed|packed it out|wetted|weighted|slit it|"
    r"work some more|ended up (?:putting|making|cutting|buying|using) (?:in )?(?:a )?new|(?:cut|made|make|"
    r"put in|putting in|bought|buy) (?:a new|another|a longer|a bigger|a smaller|a wider|a shorter|"
    r"a second)|cut another|second batch|"
    r"went (?:down|up) a|go back and|went back and|(?:did|do|sewed|sew|drilled|drill|cut|glued|glue|"
    r"marked|mark|sewn|dyed|stitched|made|painted|soldered|measured|wove|knit|wound|in it went) (?:it |"
    r"that |them |on |the \w+ |all )*(?:all )?again|on level|now level|taken (?:it|them|that) (?:off|out|"
    r"apart)|worked it (?:loose|out)|knocked it apart|levered)"
)
_FLAW = (
    r"(?:stupidly|like an idiot|like a fool|silly me|daft|never going to|wrong(?!ly|"
    r" side of the (?:fabric|line)| side facing| side up)|backwards?(?! and forwards)|upside ?down|"
    r"inside out|back to front|wrong way (?:round|around|up)|the wrong \w+|two left|two right|"
    r"both (?:the same|left|right)|"
    r"mistake|messed|mess of|muck(?:ed)? up|mucked|screwed up|botched|goofed|bungled|fluffed|blunder|"
    r"error|oops|whoops|disaster|fiasco|catastrophe|failure|my (?:own )?fault|my bad|cock-up|boo-boo|"
    r"too (?:short|long|small|big|narrow|wide|tight|loose|fat|thick|thin|deep|shallow|high|low|far|close|"
    r"bulky|stiff|large|much|early|soon|hot|dark|light|pale|runny)|half an inch too|didn't (?:fit|close|"
    r"line up|match|work|meet|reach|sit|stick|hold|take|lie)|wouldn't (?:fit|close|line up|go|sit|stick|"
    r"turn|reach|hold|lie)|doesn't (?:fit|close|line up)|"
    r"split|cracked|snapped|broke|broken|tore|ripped|warped|cupped|bowed|bubbled|puckered|crinkled|patchy|"
    r"blotchy|wonky|crooked|uneven|off-cent(?:re|er)|skew|askew|lopsided|squint|twisted|burnt|burned|"
    r"scorched|ran out|shrank|slipped|leaked|came (?:apart|off|loose|undone)|fell (?:apart|off)|"
    r"skipped|missed (?:a|one|the)|forgot(?:ten)?|by accident|accidentally|by mistake|without thinking|"
    r"not thinking|wasn't thinking|(?:longer|shorter|wider|taller|thicker) than the others?|lower than|"
    r"higher than|bigger than (?:the|it)|instead of|got ahead of myself|over-?tightened|overdid|went too|"
    r"managed to (?:\w+ )+(?:wrong|shut|through|into)|"
    r"supposed to|should have|should've|shouldn't have|meant to|didn't notice|hadn't noticed|"
    r"wasn't (?:straight|square|level|long|big|wide|happy)|weren't (?:straight|square|level|even)|"
    r"out of square|disappeared|went wrong|gone wrong|looked (?:awful|terrible|dreadful|horrible|silly|"
    r"odd)|hated|"
    r"let go|gave way|came away|lifted off|popped (?:off|out)|wandered|shifted|buckled|wrinkled|sagged|rattled|wobbled|"
    r"bounced|went (?:straight |right )?through|fell out|one off|(?:was|were|it's|is) (?:an? |a good )?(?:\w+ ){1,3}(?:out|off)(?= ?[.,]| so)|"
    r"(?:was|were|is|are|be) out by|forgot(?:ten)? to (?:allow|leave|add|account)|(?:went|gone|cut|nicked) into the|"
    r"through the lining|shut, so|shut so|right sides up|put both)"
)
_NOTICED = (
    r"(?:turns out|turned out|realis(?:ed|e)|realiz(?:ed|e)|noticed|spotted|found out|discovered|it dawned|"
    r"only then|ended up|came out|managed to)"
)

_PAST = re.compile(
    r"\b(?:i|we)(?:'d|'ve| had| have)?\b|\b(?:it|they|that|this|the [\w ]+?|one [\w ]+?|"
    r"my [\w ]+?) (?:was|were|came|went|split|cracked|had|ended|turned|didn't|wouldn't|got|\w+ed)\b"
)
_ADMIT = re.compile(
    r"\b(?:i|we)(?:'ve|'d| have| had)? (?:\w+ )?(?:made (?:a|an|the|my first|another) (?:\w+ )?(?:mistake|"
    r"error|mess)|messed (?:it|this|that|up)|mess(?:ed)? up|screwed (?:it |this |that )?up|goofed|botched|"
    r"bungled|fluffed|got (?:it|this|that|them) (?:all )?wrong|cocked (?:it|this) up|mucked (?:it |"
    r"this )?up)\b"
)
_FIX = re.compile(rf"\b{_UNDO}\b")
_WRONG = re.compile(rf"\b{_FLAW}\b")
_SEEN = re.compile(rf"\b{_NOTICED}\b")
_SO = re.compile(
    r"\b(?:so|had to|have to|which meant|meant i|in the end|until it did|ended up|and then i|then i|"
    r"luckily|now|that's been|i've|and had|that's a)\b|, (?:i|but)\b| until "
)
# Said of one's own work these are mistakes by themselves; turning things inside out is not.
_BLUNDER = re.compile(
    r"\b(?:i|we)(?:'d|'ve| had| have)? (?:managed to |just |only |then |went and |gone and |"
    r"actually )?(?!turn|turned|flip|flipped|roll|rolled|pull|pulled|want|wanted|laid|put it face|work|"
    r"worked|stood)(?:[\w']+ ){1,6}?(?:backwards|back to front|the wrong (?:way|side|end|face|pin|hole|"
    r"one|piece|edge|place|size)|upside down)\b(?! (?:and forwards|up|on (?:the|a)|to|so (?:that )?(?:i|"
    r"the)))"
)
_TAKE_BACK = re.compile(
    r"\b(?:ignore|forget|scratch|disregard|never mind) (?:what|whatever|the bit|the thing|"
    r"that thing) (?:i|we) (?:just )?(?:said|told)\b"
    r"|\b(?:contrary to|despite|not) what i (?:said|told)\b"
    r"|\b(?:i|we)(?:'d)? (?:said|told you|told you to|wrote|claimed|think i said|may have said|"
    r"might have said)\b[^.;]*\b(?:it's actually|it should|should have|should've|but it's|but actually|"
    r"it's really|that's wrong|was wrong|not \w+|i meant|it is actually|actually)\b"
    r"|\bi (?:misspoke|told you wrong|told a lie|lied to you)\b|\b(?:correction|small correction)[:,]"
    r"|\b(?:what i said|that) (?:earlier |before )?(?:was|is) (?:wrong|not right)\b(?!.*\bthink)"
    r"|\bthat was wrong\b|\bi (?:told|said)(?: to)?(?: you)? [^.;]*\b(?:before|earlier|a minute ago|"
    r"back there|last time)\b[^.;]*\b(?:please|make that|make it|it's|should be)\b"
)
_NO = re.compile(
    r"\b(?:if (?:you|it|yours|that|they) |when you |you can just|you'd|people|beginners|common mistake|"
    r"mistake (?:people|beginners|everyone|i see)|on purpose|deliberately|so (?:that )?(?:you|it|"
    r"they) (?:don't|doesn't|won't)|"
    r"she said|he said|last year|my kitchen|years ago|because the machine|in the car|don't (?:cut|sew|let|"
    r"make)|my (?:dog|cat)|might go wrong|goes wrong on|wrong side (?:of the fabric )?faces|another time|"
    r"once made|first ever)\b"
)
_SHOULD = re.compile(
    r"\b(?:should have been|should've been|was supposed to|were supposed to|was meant to|were meant to|what i should)\b"
)

TRIGGER = re.compile(
    rf"\b(?:{_UNDO}|back to front|i told|mistake|messed|wrong|backwards|upside ?down|turns out|realised|"
    rf"realized|ignore what|contrary to|what i said|misspoke|i said|told you|until it did)\b"
)


def score(text: str, before: str = "") -> Hit | None:
    """Whether the plain ``text`` tells of a mistake put right; the mistake itself may be told in ``before``."""
    m = _TAKE_BACK.search(text)
    if m and not text.rstrip().endswith("?"):
        return Hit(m.start(), m.end(), 0.85)
    if _NO.search(text):
        return None
    admit, fix, wrong, seen = _ADMIT.search(text), _FIX.search(text), _WRONG.search(text), _SEEN.search(text)
    if admit:
        return Hit(admit.start(), (fix or admit).end(), 0.9)
    fix = fix or (_MENDED.search(text) if wrong and _SO.search(text) else None)
    if fix and wrong and _PAST.search(text) and (_SO.search(text) or seen):
        return Hit(min(fix.start(), wrong.start()), max(fix.end(), wrong.end()), 0.85)
    blunder = _BLUNDER.search(text)
    if blunder:
        return Hit(blunder.start(), blunder.end(), 0.7)
    if wrong and _SHOULD.search(text) and (fix or _SO.search(text)):
        return Hit(wrong.start(), wrong.end(), 0.75)
    if seen and wrong and re.search(r"\b(?:so|had to)\b", text):
        return Hit(seen.start(), wrong.end(), 0.7)
    if fix and _PAST.search(text) and _WRONG.search(before) and _PAST.search(before) and not _NO.search(before):
        inverted = re.search(r"\b(?:off|out|apart) (?:it|they|that) (?:came|had to|went)", text)
        if inverted or _SO.search(text):
            return Hit(fix.start(), fix.end(), 0.7)
    return None


# Words of mending that are everyday talk by themselves.
_MENDED = re.compile(
    r"\b(?:(?:\w+(?:ed|en)|cut|put|bent|set|built|sewn) (?:[\w']+ ){0,3}(?:again|afresh|over again)|had to (?:[\w']+ ){1,6}?(?:again|off|out|over|back|apart)|"
    r"(?:so|and) now (?:it's|that's|they're|there's|it is|they are|its|thats)|(?:that's|it's|been|got) (?:fixed|mended|sorted)|"
    r"(?:tore|ripped|rip|took|pulled|cut|dug|chiselled|ground|sanded|scraped|peeled|picked) "
    r"(?:it|that|this|them|those|one|the (?:\w+ ){1,3}?)(?: all)? ?(?:off|out|back|apart|up|down))\b"
)


def mends(text: str) -> bool:
    """Whether the plain ``text`` has words of mending."""
    return bool(_FIX.search(text) or _MENDED.search(text))


def told_mended(text: str) -> bool:
    """Whether the plain ``text`` of several sentences has words of a mistake and of its mending."""
    mended = _FIX.search(text) or _MENDED.search(text)
    wrong, so = _WRONG.search(text), _SO.search(text)
    if mended and _PAST.search(text) and (wrong or so or _SEEN.search(text)):
        return True
    return bool(_TAKE_BACK.search(text) or (wrong and so))


def is_correction(sent: Span) -> bool:
    """Whether the sentence tells of a mistake in the making that was put right, or takes back what was said."""
    return score(plain(sent.text)) is not None


def is_contradiction(sent: Span) -> bool:
    """Whether the sentence takes back something said earlier ("ignore what I said about the size")."""
    return _TAKE_BACK.search(plain(sent.text)) is not None


__all__ = ["TRIGGER", "is_contradiction", "is_correction", "mends", "score", "told_mended"]
