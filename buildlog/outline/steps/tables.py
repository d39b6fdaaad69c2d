"""Word lists of the rewriting: kinds of verbs, small words that bind or place."""

from __future__ import annotations

MOVED = {
    "go": "put", "sit": "set", "lie": "lay", "come": "take", "get": "get", "end": "put", "live": "keep", "fall": "drop",
}  # fmt: skip
MOVES_ITSELF = frozenset(
    "drop slide slot fit fold turn screw hang slip pop push click snap wrap lay tuck thread pull flip roll bolt glue "
    "sew stitch clip hook button zip tie bend feed run cut rest stand lean nest meet join attach overlap".split()
)
LEFT_ALONE = frozenset(
    "dry cool set soak cure rest stand sit rise chill steep simmer harden bake proof prove settle".split()
)
HANGS = frozenset("hang overlap stick extend protrude overhang poke".split())
NOT_DOING = frozenset(
    "cause quit matter want need like try bother think know mean say tell ask guess hope wish love hate remember "
    "forget show see look watch thank "
    "happen bleed cry sneeze laugh swear scream miss wonder believe".split()
)
COPULA = frozenset(["be", "'s", "become"])
DURATION = frozenset("overnight hour hours minute minutes day days week weeks night".split())
CONTRACTED = {"'m": "am", "'re": "are", "'s": "is", "ca": "can", "wo": "will"}
CARRY_BACK = frozenset(
    "with for on in from to at using without through under over against along by onto into of around inside between "
    "across".split()
)
BINDING = frozenset("when while once where until till before after so that if as what how".split())
KNOWS = frozenset("see check know find feel think say tell hear mean ensure make show remember".split())
LINKING = frozenset("up look looks is are feel feels".split())  # "end up like", "look like"
PARTICLES = frozenset("down up off out over together in on back away through".split())
WHERE = frozenset(
    "on onto over under in into between inside round around underneath against behind through across".split()
)
CONTENT = frozenset(["NOUN", "VERB", "PROPN", "ADJ"])
FRACTIONS = frozenset(
    "half quarter third eighth sixteenth inch inches mil millimetre centimetre couple few minute minutes hour hours "
    "day days".split()
)
NUMBERS = frozenset("a an one half two three four five six seven eight nine ten twelve twenty thirty".split())
SAME_NEXT = frozenset(
    "thing deal dance again way story process method as for idea on with but only to trick drill".split()
)
NOUN_VERB = {
    "seam": "sew", "stitch": "sew", "row": "sew", "stitching": "sew", "tuck": "sew", "dart": "sew", "hem": "sew",
    "pleat": "make", "hole": "make",
    "coat": "apply", "layer": "add", "groove": "cut", "notch": "cut", "slot": "cut", "mortise": "cut",
    "tenon": "cut", "line": "mark",
    "mark": "mark", "screw": "drive in", "nail": "drive in", "tack": "drive in", "staple": "drive in",
    "rivet": "set", "clamp": "put on",
    "piece": "cut", "strip": "cut", "square": "cut", "rectangle": "cut", "circle": "cut", "panel": "cut",
    "length": "cut", "blank": "cut",
    "button": "sew on", "zip": "sew in", "zipper": "sew in", "loop": "make", "knot": "tie", "pass": "make",
    "template": "make",
    "stitches": "sew",
}  # fmt: skip
IDLE = frozenset("go get stop quit finish try continue start end carry keep come".split())  # say nothing alone
ALONG = frozenset("down along round around over across up through".split())
NO_MANNER = frozenset("only finally normally usually firstly secondly thirdly lastly early recently".split())
