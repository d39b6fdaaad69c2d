"""Speech as it is said, made readable: fillers out, false starts and spoken slips mended, sentence starts guessed.

Works on timed words before anything is parsed; what is left keeps its times. The transcript itself is not changed by
this: only what the rules read.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from buildlog.document import Word

_FILLER = frozenset("um uh er erm uhm umm ehm hmm mm mhm uhh ah eh".split())
_FILLER_PAIRS = frozenset([("you", "know"), ("i", "mean"), ("sort", "of"), ("kind", "of")])
# After these, "kind of" and "sort of" are a noun with its "of" ("a kind of glue", "what sort of needle").
_KEEPS_KIND = frozenset(
    "a an the this that these those what which any some every each other another same one two".split()
)
_KNOW_GOES_ON = frozenset(
    "what how why where when who which that if whether the this it i about him her them me".split()
)
_EDIT_TERMS: tuple[tuple[str, ...], ...] = (
    ("i", "tell", "a", "lie"), ("no", "i", "tell", "a", "lie"), ("no", "wait"), ("no", "sorry"), ("or", "rather"),
    ("scratch", "that"), ("hang", "on"), ("hold", "on"), ("no", "hang", "on"), ("let", "me", "rephrase"), ("no",),
    ("sorry",), ("wait",), ("rather",), ("i", "mean"), ("correction",), ("make", "that"), ("well", "no"), ("nope",), ("oops",),
)  # fmt: skip
_NUMBERS = frozenset(
    "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen "
    "nineteen twenty thirty forty fifty sixty seventy eighty ninety hundred half quarter third eighth sixteenth eighths "
    "quarters thirds sixteenths".split()
)
_STARTERS = frozenset(
    "i i'm i've i'll i'd we we're we've we'll you you'll you're let's it's that's there's this".split()
)
_OPENERS = frozenset("so okay ok right now then next anyway alright and but first finally".split())
_LINE_STARTERS = frozenset(
    "the there's there here's here oh my these those he she they they're it don't if when".split()
)
_GOES_ON = frozenset(
    "a an the this that these those my your our his her their of to in on at with for from by into onto over under and or "
    "but so because if when while as than is was are were be been am i you we he she they it's i'm i've you're we're "
    "not very really just about like every each no some any one two three four five six seven eight nine ten half".split()
)
# Makers fall silent in the middle of a sentence while their hands are busy: a pause ends one only where the words may
# end, and where the recogniser sets full stops, only before a capital; a long one always does.
PAUSE_S, LONG_PAUSE_S = 1.5, 6.0
_PLAIN = re.compile(r"[^a-z0-9'/]+")


@dataclass(slots=True)
class Cleaned:
    """``words`` without what was said by mistake; ``line_of[i]`` is the transcript line of word ``i``;
    ``starts`` are indices of words that begin a sentence where the words carry no punctuation; ``slips`` are numbers
    and statements taken back in the same breath: when, and the words from the slip to its mending."""

    words: list[Word]
    line_of: list[int]
    starts: set[int] = field(default_factory=set)
    slips: list[tuple[float, str]] = field(default_factory=list)


def plain(text: str) -> str:
    """``text`` in lower case without punctuation."""
    return _PLAIN.sub("", text.lower().replace("’", "'"))


def clean(words: list[Word], line_of: list[int]) -> Cleaned:
    """Remove fillers, stutters and corrected words; straighten lone "i"; guess sentence starts."""
    words = _numbers_in_one(words)
    keep = [bool(w.text.strip()) for w in words]
    low = [plain(w.text) for w in words]
    _fillers(words, low, keep)
    _stutters(words, low, keep)
    slips = _slips(words, low, keep)
    _frames(low, keep)
    out: list[Word] = []
    lines: list[int] = []
    for i, w in enumerate(words):
        if not keep[i]:
            # A full stop on a removed word still ends the sentence.
            mark = w.text.rstrip()[-1:]
            if out and mark and mark in ".?!" and out[-1].text[-1:] not in ".?!":
                last = out[-1]
                out[-1] = Word(
                    start_s=last.start_s,
                    end_s=last.end_s,
                    text=last.text.rstrip(",") + mark,
                    p=last.p,
                    heard=last.heard,
                )
            continue
        text = w.text.strip()
        if text == "i" or text.startswith(("i'", "i’")):
            text = "I" + text[1:]
        elif low[i] in _APOSTROPHES and _is_short_for(low, i):
            text = text.lower().replace(low[i], _APOSTROPHES[low[i]], 1)
            text = text[:1].upper() + text[1:] if w.text.strip()[:1].isupper() else text
        out.append(w if text == w.text else Word(start_s=w.start_s, end_s=w.end_s, text=text, p=w.p, heard=w.heard))
        lines.append(line_of[i])
    return Cleaned(out, lines, _sentence_starts(out, lines), slips)


# Short forms that captions write without their sign; where the letters are a word of their own too, only before what
# follows the short form.
_APOSTROPHES = {
    **{w: w[:-1] + "'t" for w in (
        "dont doesnt didnt wont cant isnt wasnt arent werent havent hasnt hadnt couldnt shouldnt wouldnt".split()
    )},
    **{w: w[:-1] + "'s" for w in "its thats theres whats heres lets shes hes".split()},
    **{w: w[:-2] + "'" + w[-2:] for w in "youre theyre youve theyve weve youll theyll".split()},
    "im": "I'm", "ive": "I've", "ill": "I'll",
}  # fmt: skip
_AFTER_ITS = frozenset(
    "a an the not just got gonna gotta going been being called about so too very really quite only still now all like in on "
    "at from for what where why how because easier better best worth fine done linked there here your my".split()
)
_AFTER_LETS = frozenset("get go see put have make take try start do look cut turn say move talk call keep use".split())


def _is_short_for(low: list[str], i: int) -> bool:
    """Whether word ``i``, written without an apostrophe, is the short form and not the word that is spelled so."""
    before, after = (low[i - 1] if i else ""), (low[i + 1] if i + 1 < len(low) else "")
    if low[i] == "its":
        return after in _AFTER_ITS
    if low[i] == "lets":
        return after in _AFTER_LETS
    if low[i] in ("ill", "cant", "wont"):
        return bool(after) and before not in ("a", "the", "an", "feel", "felt", "was", "be", "been", "is", "got")
    return True


_PARTS = frozenset("half quarter third quarters thirds eighth eighths sixteenth sixteenths".split())
_MEASURES = frozenset(
    "inch inches metre metres meter meters centimetre centimetres centimeter centimeters millimetre millimetres millimeter "
    "millimeters cm mm yard yards feet".split()
)


def _numbers_in_one(words: list[Word]) -> list[Word]:
    """ "One and a half. Inches in from the edge": a full stop that the recogniser put into an amount goes."""
    out: list[Word] | None = None
    for i in range(len(words) - 1):
        text = words[i].text.strip()
        if text[-1:] != "." or not text[:-1] or text[-2:] == "..":
            continue
        this, low = plain(text), [plain(w.text) for w in words[i + 1 : i + 5]] + [""] * 4
        if not _is_number(this) and this not in _MEASURES:
            continue
        fraction = low[0] == "and" and (
            (low[1] in ("a", "an") and low[2] in _PARTS) or (low[1] in _NUMBERS and low[2] in _PARTS)
        )
        if this in _MEASURES:
            joined = fraction and low[2] != "third" and not _is_clause(low[3])
        else:
            joined = low[0] in _MEASURES or (fraction and low[3] in _MEASURES)
        if not joined:
            continue
        out = out or list(words)
        out[i] = _with_text(out[i], text[:-1])
        after = out[i + 1].text.strip()
        out[i + 1] = _with_text(out[i + 1], after[:1].lower() + after[1:])
    return out or words


def _is_clause(word: str) -> bool:
    """Whether what follows a fraction makes it the beginning of something new ("And a half of them broke")."""
    return word in ("of", "hour", "hours", "dozen", "day", "years", "year", "minute", "minutes")


def _with_text(w: Word, text: str) -> Word:
    return Word(start_s=w.start_s, end_s=w.end_s, text=text, p=w.p, heard=w.heard)


def _fillers(words: list[Word], low: list[str], keep: list[bool]) -> None:
    n = len(words)
    for i in range(n):
        if low[i] in _FILLER:
            keep[i] = False
            continue
        if i + 1 >= n or (low[i], low[i + 1]) not in _FILLER_PAIRS:
            continue
        before = low[i - 1] if i else ""
        after = low[i + 2] if i + 2 < n else ""
        comma_before = i == 0 or words[i - 1].text.rstrip()[-1:] in ",.?!;-"
        comma_after = words[i + 1].text.rstrip()[-1:] in ",.?!;"
        if low[i] in ("sort", "kind"):
            drop = before not in _KEEPS_KIND and not comma_after
            if before in ("a", "an") and after in ("a", "an"):  # "a sort of a box"
                keep[i - 1] = False
                drop = True
        elif low[i] == "you":
            drop = after not in _KNOW_GOES_ON and before not in (
                "do",
                "did",
                "as",
                "if",
                "let",
                "don't",
                "when",
                "what",
            )
            drop = drop or (comma_before and comma_after)
        else:
            drop = comma_before and (comma_after or after not in ("it", "that", "the", "business"))
        if drop:
            keep[i] = keep[i + 1] = False


def _stutters(words: list[Word], low: list[str], keep: list[bool]) -> None:
    """ "the the", "I I", "we're we're gonna": the first one goes. Real doublings stay ("very very", "had had")."""
    kept = [i for i in range(len(words)) if keep[i]]
    for a, b in pairwise(kept):
        if (
            low[a] == low[b]
            and low[a]
            and low[a] not in ("very", "really", "had", "that", "much", "far", "so", "too", "no", "dot", "never")
        ):
            ends = words[a].text.rstrip()[-1:]
            if ends not in ".?!" and not low[a].isdigit() and low[a] not in _NUMBERS:
                keep[a] = False
    kept = [i for i in range(len(words)) if keep[i]]
    for k in range(len(kept) - 3):  # "and I and I went", "in the, in the middle"
        a, b, c, d = kept[k : k + 4]
        if low[a] == low[c] and low[b] == low[d] and low[a] and low[b] and words[b].text.rstrip()[-1:] not in ".?!":
            if not any(ch.isdigit() for ch in low[a] + low[b]) and low[a] not in _NUMBERS:
                keep[a] = keep[b] = False


def _frames(low: list[str], keep: list[bool]) -> None:
    """ "The first thing I did was run it", "what you want to do is press": the frame goes, who and how stay."""
    kept = [i for i in range(len(low)) if keep[i]]
    for at in range(len(kept)):
        k = at
        if low[kept[k]] in ("what", "all"):
            if k and low[kept[k - 1]] in _BEFORE_A_QUESTION:
                continue
            k += 1
        elif low[kept[k]] == "thing" and k and low[kept[k - 1]] in _WHICH_THING:
            at -= 1
            if at and low[kept[at - 1]] == "the":
                at -= 1
            k += 1
            if k < len(kept) and low[kept[k]] == "that":
                k += 1
        else:
            continue
        who = k
        if who >= len(kept) or low[kept[who]] not in _FRAME_SUBJECTS:
            continue
        did = next((j for j in range(who + 1, min(who + 5, len(kept))) if low[kept[j]] in ("do", "did", "done")), None)
        if did is None or did + 2 >= len(kept):
            continue
        end = did + 1
        while end < len(kept) and low[kept[end]] in ("next", "first", "then", "here", "now"):
            end += 1
        if end >= len(kept) or low[kept[end]] not in ("is", "was", "is,", "s"):
            continue
        end += 1
        while end < len(kept) and low[kept[end]] in ("to", "just"):
            end += 1
        again = end < len(kept) and low[kept[end]] in _FRAME_SUBJECTS
        gone = range(at, end) if again else [*range(at, who), *range(did, end)]
        for j in gone:
            keep[kept[j]] = False


_WHICH_THING = frozenset(["first", "next", "last", "second", "third", "other", "only", "main", "final"])
_BEFORE_A_QUESTION = frozenset(
    ["know", "see", "tell", "remember", "show", "like", "about", "with", "of", "for", "guess"]
)
_FRAME_SUBJECTS = frozenset(["i", "we", "you", "i'm", "we're", "i'll", "we'll", "i've", "we've", "you'll"])


def _is_number(w: str) -> bool:
    return w in _NUMBERS or (bool(w) and w[0].isdigit())


def _slips(words: list[Word], low: list[str], keep: list[bool]) -> list[tuple[float, str]]:
    """ "I cut the, no, I marked the dart": from the word that is said again up to the repair's start goes."""
    n = len(words)
    i = 0
    found: list[tuple[float, str]] = []
    while i < n:
        term = next((t for t in _EDIT_TERMS if keep[i] and tuple(low[i : i + len(t)]) == t), None)
        if term is None:
            i += 1
            continue
        after = i + len(term)
        # The slip is broken off: what stands before ends in a comma, a dash or a full stop, and so does the term,
        # unless it is one that is never anything else.
        before_end = words[i - 1].text.rstrip()[-1:] if i else ""
        term_end = words[after - 1].text.rstrip()[-1:]
        sure = len(term) > 1
        bounded = before_end != "" and before_end in ",-–—….?" and (sure or (term_end != "" and term_end in ",.-–—…"))
        bare_number = (
            i > 0
            and after < n
            and _is_number(low[i - 1])
            and _is_number(low[after])
            and low[i] in ("no", "sorry", "wait", "rather", "make", "or", "i")
        )
        if not (bounded or bare_number) or after >= n or i == 0:
            i += 1
            continue
        cut = _reparandum(words, low, keep, i, after, across=sure and term[-1] == "lie")
        if cut is not None:
            stated = words[i - 1].text.rstrip()[-1:] in ".?!" and i - cut > _STATEMENT
            if any(_is_number(low[j]) for j in range(cut, i)) or term[-1] == "lie" or stated:
                # A false start is nothing to tell the viewer; a number or a statement taken back is.
                found.append((words[cut].start_s, " ".join(w.text.strip() for w in words[cut : min(n, after + 4)])))
            for j in range(cut, after):
                keep[j] = False
            i = after
        else:
            i += 1
    return found


_SMALL_WORD_REACH = 6
_STATEMENT = 3  # words: what is shorter and ended by a full stop is a false start that a recogniser ended
_SMALL_WORDS = frozenset("the a to and it was is are were had have has of in on".split())


def _reparandum(words: list[Word], low: list[str], keep: list[bool], i: int, after: int, *, across: bool) -> int | None:
    """Where the words that the repair replaces begin, or ``None`` where no repair is recognised."""
    first = after
    while (
        first < len(words)
        and low[first] in ("it's", "its", "they're", "that's", "is", "was", "do", "make", "that", "it")
        and first - after < 2
    ):
        first += 1
    if first >= len(words):
        return None
    if _is_number(low[first]) or _is_number(low[after]):
        j = i - 1
        limit = max(0, i - 6)
        while j >= limit:
            if _is_number(low[j]):
                while j - 1 >= limit and (
                    _is_number(low[j - 1]) or (low[j - 1] == "and" and j - 2 >= limit and _is_number(low[j - 2]))
                ):
                    j -= 1
                # the opening words said again go too: "they're half inch, sorry, they're five eighths"
                k = j
                while k - 1 >= limit and first > after and low[k - 1] == low[first - 1]:
                    k -= 1
                    break
                return k
            j -= 1
        return None
    whole = words[i - 1].text.rstrip()[-1:] in ".?!"  # a statement, not a false start: only one that is said anew goes
    for width in range(0, 1 if whole and not across else 3):  # the repair may open with a word or two of its own
        if after + width >= len(words):
            break
        w = low[after + width]
        if not w:
            continue
        j = i - 1
        while j >= max(0, i - 9):
            end = words[j].text.rstrip()[-1:]
            # a small word that far back begins a clause of its own: "the lid I cut last night, sorry, the card was full"
            near = i - j <= _SMALL_WORD_REACH or w not in ("the", "a", "my")
            if low[j] == w and keep[j] and near and (width == 0 or w not in _SMALL_WORDS):
                return j - width if j - width >= 0 and width else j
            if end in ".?!" and j < i - 1 and not across:
                break
            j -= 1
        if across and low[after + width] in ("do", "don't"):
            continue
    return None


def _sentence_starts(words: list[Word], lines: list[int]) -> set[int]:
    """Starts of sentences in stretches that carry no full stops, from pauses and from how talk goes on."""
    starts: set[int] = set()
    n = len(words)
    since = 0  # words since the last mark that ends a sentence
    bare = bare_stretches(words)
    for i in range(1, n):
        since += 1
        previous = words[i - 1].text
        if previous[-1:] in ".?!":
            since = 0
            continue
        gap = words[i].start_s - words[i - 1].end_s
        w, prev = plain(words[i].text), plain(previous)
        if gap > LONG_PAUSE_S or (gap > PAUSE_S and prev not in _GOES_ON and (bare[i] or words[i].text[:1].isupper())):
            starts.add(i)
            since = 0
            continue
        if not bare[i] or since < 4:
            continue
        nxt = plain(words[i + 1].text) if i + 1 < n else ""
        line_begins = lines[i] != lines[i - 1] and prev not in _GOES_ON
        if line_begins and (w in _LINE_STARTERS or w in _STARTERS or w in _OPENERS):
            # Captions are cut anywhere, but a line that begins like a sentence after one that could end mostly is one.
            starts.add(i)
            since = 0
        elif (w in _OPENERS and (nxt in _STARTERS or nxt in _OPENERS) and prev not in _OPENERS) or (
            (w in ("okay", "alright", "anyway") and prev not in _OPENERS)
            or (w == "so" and prev not in _OPENERS and nxt in ("the", "this", "these", "for", "what", "here"))
        ):
            starts.add(i)
            since = 0
    return starts


def goes_on(word: str) -> bool:
    """Whether talk cannot end with ``word`` ("the", "and", "I'm")."""
    return plain(word) in _GOES_ON


def in_one_amount(word: str, following: str) -> bool:
    """Whether two words in a row belong to one amount: "twenty | four", "four | inches", "and | a half"."""
    a, b = plain(word), plain(following)
    return (_is_number(a) and (_is_number(b) or b in _MEASURES)) or (a in ("a", "an") and b in _PARTS)


def bare_stretches(words: Sequence[Word]) -> list[bool]:
    """For each word, whether there is hardly a mark within twenty-five words on both sides together."""
    n = len(words)
    stops, marks = [0] * (n + 1), [0] * (n + 1)
    for i, w in enumerate(words):
        stops[i + 1] = stops[i] + (w.text[-1:] in ".?!")
        marks[i + 1] = marks[i] + (w.text[-1:] in ".?!,;:")
    out = []
    for i in range(n):
        a, b = max(0, i - 25), min(n, i + 25)
        out.append(stops[b] - stops[a] <= 1 and (marks[b] - marks[a]) * _MARKED <= b - a)
    return out


_MARKED = 12  # a mark in fewer words than this: the speech was punctuated
