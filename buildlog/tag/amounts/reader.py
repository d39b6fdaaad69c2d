"""From atoms to amounts: find each number said, see what kind it is, and keep or drop it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from buildlog.tag.amounts import money as cash
from buildlog.tag.amounts import what
from buildlog.tag.amounts.amount import Amount, Kind
from buildlog.tag.amounts.atoms import VULGAR, Atoms, atoms_of
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import HYPHENS, ONES, STARTS, TEENS, TENS, WORDS, is_digits, starts_number
from buildlog.tag.amounts.quantities import Quantity, is_bare_share, quantity, ranged

if TYPE_CHECKING:
    from spacy.tokens import Doc

ORDINALS = {"second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8, "tenth": 10}
ORDINALS |= {"2nd": 2, "3rd": 3, "4th": 4, "5th": 5, "6th": 6, "8th": 8, "10th": 10}
GRITS = frozenset({40, 60, 80, 100, 120, 150, 180, 220, 240, 280, 320, 360, 400, 500, 600, 800, 1000, 1200, 1500, 2000})
_CROSS = frozenset({"by", "x", "×"})
_ENDS = frozenset({".", ",", "!", "?", ";", ":", ""})
_SAND = frozenset("sand sanded sanding sandpaper paper grit grits abrasive abrasives emery".split())
_NOT_AFTER = frozenset(
    "part parts chapter episode step page figure season volume lesson version take video series option plan "
    "vol pt stage channel camera windows covid route area highway world war".split()
)
_SETTING_LINKS = frozenset(
    "of to at is 's on up down set a about was = : number the out just around it that with put turned i 've my are "
    "'m 'd back roughly goes went stays still now and um full got have mine longest shortest".split()
)
_YEARS = range(1500, 2100)
_ELLIPTIC_REACH = 40
_NEARBY = 60
_COPULAS = frozenset({"is", "'s", "are", "was", "were", "'re", "at", "to", "be", "measures"})
_PARALLEL = 18
_TAKEN_BACK_REACH = 250
_SPREAD_REACH = 400
_BARE_SIZES = frozenset(
    {"diameter", "wide", "thick", "deep", "square", "dowel", "dowels", "webbing", "strips", "elastic"}
)
_RESTATING = frozenset({",", ".", "it", "'s", "a", "is", "that", "no", "-", "so", "they", "'re"})
_OWNING_UP = frozenset({"hang", "sorry", "no", "wait", "mistake", "wrong", "oops", "whoops", "actually"})
_PLACES = frozenset(
    "behind beside above below underneath inside outside left right either per each across along".split()
)


class Reader:
    """Reads one ``Doc``. Make one a document; :meth:`read` gives its amounts in order."""

    def __init__(self, doc: Doc) -> None:
        self.doc = doc
        self.a = atoms_of(doc)
        self.lex = lexis()
        self.out: list[Amount] = []
        self.last_length: tuple[int, str] | None = None
        self.last_unit: tuple[int, str, str, Fraction] | None = None
        self.last_noun: str | None = None
        self.carried: tuple[int, Quantity, str | None] | None = None
        self.last_grit = -100
        self.last_count = -100
        self._system: str | None = None
        self._unit_said: str | None | bool = False
        self._triggers = frozenset(WORDS) | STARTS | self._unit_starts() | {"every", "twice", "a", "an"}

    def _unit_starts(self) -> frozenset[str]:
        return frozenset({"inch", "yard", "foot", "metre", "meter"})

    # -- scanning -------------------------------------------------------------------------------------------------

    def read(self) -> list[Amount]:
        """All amounts of the document, in the order said."""
        a, triggers = self.a, self._triggers
        w, n = a.w, a.n
        i = 0
        while i < n:
            text = w[i]
            if text in triggers or is_digits(text) or text in VULGAR:
                i = max(i + 1, self._at(i))
            else:
                i += 1
        return _settled(self.out, self.a)

    def _at(self, i: int) -> int:
        """Read what starts at atom ``i``; the atom to go on from."""
        a = self.a
        w = a.w
        text = w[i]
        if (
            text in ("inch", "foot", "yard")
            and w[i + 1] in _BARE_SIZES
            and w[i - 1] not in ("per", "the", "an", "a", "-")
        ):
            q = Quantity(i, i + 1, Fraction(1), unit=text, dim="length", number_end=i + 1)
            return self._with_unit(q)
        if text == "every":
            return self._every(i)
        if text == "twice":
            return self._repeated(i, i + 1, Fraction(2), "words")
        found_note = cash.note(a, i)
        if found_note:
            return self._money(found_note, approximate=self._before(i) > 0)
        if text in ("a", "an", "one") and w[i + 2 : i + 5] == ["and", "a", "half"]:
            end = self._container_and_half(i)
            if end:
                return end
        if text in ("a", "an") and not self._article_ok(i):
            return i + 1
        if self._excluded_start(i):
            return self._skip(i)
        q = quantity(a, i)
        if q is None:
            return i + 1
        return self._quantity(q)

    def _article_ok(self, i: int) -> bool:
        """Cheap look at what follows an article, before a number is tried."""
        w = self.a.w
        nxt = w[i + 1]
        return (
            nxt in self.lex.units
            or nxt
            in ("half", "quarter", "third", "eighth", "sixteenth", "hundred", "thousand", "dozen", "couple", "tenth")
            or (
                nxt in self.lex.adjectives
                and (w[i + 2] in self.lex.units or w[i + 2] in STARTS or w[i + 2] == "couple")
            )
            or (nxt in ("last", "first", "fifth", "32nd", "64th", "8th", "16th"))
        )

    def _skip(self, i: int) -> int:
        """The end of a number that is to be passed over whole."""
        q = quantity(self.a, i)
        return q.number_end if q else i + 1

    def _excluded_start(self, i: int) -> bool:
        """Numbers that name rather than measure: "part two", "the 1890s", "number one tip"."""
        w = self.a.w
        prev = w[i - 1] if i else ""
        if prev in _NOT_AFTER and w[i] not in ("a", "an", "half"):
            return True
        text = w[i]
        if text == "one" and w[i + 1] in ("of", "another", "by", "way", "day", "time", "more", "or", "at", "thing"):
            return not (w[i + 1] == "or" and w[i + 2] == "two") and not (
                w[i + 1] == "by" and starts_number(w[i + 2]) and w[i + 2] != "one"
            )
        if (
            is_digits(text)
            and self.a.glued[i + 1]
            and w[i + 1] == "s"
            and w[i + 2] not in _CROSS
            and prev not in _CROSS
        ):
            return True
        if is_digits(text) and w[i + 1] == ":" and is_digits(w[i + 2]):
            return True
        return (
            is_digits(text) and self.a.glued[i + 1] and w[i + 1] in ("st", "nd", "rd", "th") and not starts_number(prev)
        )

    # -- one quantity ---------------------------------------------------------------------------------------------

    def _quantity(self, q: Quantity) -> int:
        a = self.a
        w = a.w
        before = self._before(q.start)
        between = "between" in w[max(0, q.start - 3) : q.start]
        if w[q.end] == "times" or (w[q.end] in HYPHENS and w[q.end + 1] == "times"):
            return self._repeated(q.start, q.end + 1, q.value, q.style)
        bolt = self._bolt(q)
        if bolt:
            return bolt
        q = ranged(a, q, between=between)
        if w[q.end] == "times":
            return self._repeated(q.start, q.end + 1, q.value, q.style, q.value_max)
        corrected = self._correction(q)
        if corrected is not None:
            return corrected
        if before or self._after(q):
            q.approximate = True
        if is_bare_share(a, q) and self._share(q):
            return q.end
        found = cash.money(a, q)
        if found:
            return self._money(found, approximate=q.approximate)
        if q.unit is None and cash.bare_total(a, q):
            self._emit(q, "total", of=None, of_token=None)
            return q.end
        size = self._size(q)
        if size:
            return size
        if w[q.end] in _CROSS or (self._dim_word(q.end) and w[q.end + 1] in _CROSS):
            chain = self._chain(q)
            if chain:
                return chain
        if self.carried and self.carried[0] == q.start and q.unit is None:
            q.unit, q.dim = self.carried[1].unit, self.carried[1].dim
            q.flags.append("corrected")
        if q.dim == "degree":
            self._degrees(q)
        if q.unit is not None:
            self._misheard_whole(q)
            return self._with_unit(q)
        return self._bare(q)

    def _misheard_whole(self, q: Quantity) -> None:
        """ "to in a quarter yards" is "two and a quarter yards" misheard: kept, but doubted."""
        w = self.a.w
        if q.start < 2 or not q.plural or not q.fraction or q.value >= 1 or w[q.start - 1] not in ("in", "and"):
            return
        whole = {"to": 2, "too": 2, "for": 4, "won": 1}.get(w[q.start - 2])
        if whole:
            q.value += whole
            q.start -= 2
            q.confidence = 0.4
            q.flags.append("misheard")

    def _dim_word(self, i: int) -> bool:
        return self.a.w[i] in self.lex.dimension

    def _before(self, i: int) -> int:
        """How many atoms before ``i`` say "about"."""
        w = self.a.w
        for size in (4, 3, 2, 1):
            if i - size >= 0 and tuple(w[i - size : i]) in self.lex.before:
                if (
                    w[i - 1] in ("over", "under")
                    and size == 1
                    and w[i - 2] in ("fold", "turn", "folded", "turned", "press", "lap", "it", "that", "edge")
                ):
                    return 0
                if w[i - size : i] == ["up", "to"] and w[i - size - 1] in (
                    "work",
                    "go",
                    "worked",
                    "went",
                    "sand",
                    "sanded",
                    "sanding",
                    "it",
                    "right",
                    "way",
                ):
                    return 0
                return size
        return 0

    def _after(self, q: Quantity) -> bool:
        """Whether the words after ``q`` say "or so"; takes them in."""
        w = self.a.w
        k = q.end
        if w[k] in HYPHENS and w[k + 1] == "ish":
            q.end = k + 2
            return True
        for size in (4, 3, 2, 1):
            if tuple(w[k : k + size]) in self.lex.after:
                if size == 1 and w[k] in ("maybe", "plus", "roughly", "max") and w[k + 1] not in _ENDS:
                    return False
                q.end = k + size
                return True
        return False

    def _share(self, q: Quantity) -> bool:
        """Whether "half", "a third" with no unit is a share or a plain word; ``True`` means no measurement."""
        w = self.a.w
        word = w[q.number_end - 1]
        nxt = w[q.end]
        if word in ("eighth", "eighths", "sixteenth", "sixteenths") and nxt != "of":
            if w[q.start - 1] in ("the", "this", "that", "every", "my") and q.value.numerator == 1:
                return True
            return False
        if nxt == "of":
            return True
        if word in ("quarter", "half") and q.value.numerator == 1 and self._bare_ruler(q):
            q.unit, q.dim = "inch", "length"
            q.flags.append("assumed unit")
            return False
        if word in ("quarter", "quarters") and (nxt in self.lex.aspect or w[q.start - 1] == "scant"):
            return nxt in ("circle", "round") or w[q.start - 1] == "fat"
        return not (word == "quarters" and self._length_context(q))

    def _bare_ruler(self, q: Quantity) -> bool:
        """ "trimmed to a quarter", "fold it a quarter and a quarter": a bare quarter or half inch."""
        w = self.a.w
        nxt = w[q.end]
        if nxt.isalpha() and nxt not in self.lex.sets["stops"] or nxt in ("of", "past", "to", "an", "a"):
            return False
        if w[q.start] not in ("a", "an", "one"):
            return False
        prev = w[q.start - 1]
        near = set(w[max(0, q.start - 6) : q.start])
        worked = near & {
            "trim",
            "trimmed",
            "fold",
            "folded",
            "turn",
            "turned",
            "seam",
            "seams",
            "sewed",
            "sewn",
            "stitch",
            "stitched",
            "planed",
            "resawn",
            "sawn",
            "cut",
            "edge",
            "allowance",
            "hem",
            "press",
            "pressed",
            "rows",
        }
        if prev not in ("at", "to", "about", "it", "under", "up", "over", "by", "and", "in") or not worked:
            return False
        return self.length_unit() in ("inch", None)

    def length_unit(self) -> str | None:
        """The unit the speaker gives small lengths in most often, or ``None`` where no length was given."""
        if self._unit_said is False:
            count: dict[str, int] = {}
            for text in self.a.w:
                unit = self.lex.units.get(text)
                if unit and unit.name in ("inch", "centimeter", "millimeter"):
                    count[unit.name] = count.get(unit.name, 0) + 1
            self._unit_said = max(count, key=lambda u: count[u]) if count else None
        return self._unit_said or None

    def _length_context(self, q: Quantity) -> bool:
        return bool(self.last_length and q.start - self.last_length[0] < _ELLIPTIC_REACH)

    # -- corrections ----------------------------------------------------------------------------------------------

    def _correction(self, q: Quantity) -> int | None:
        """Where "four, no, five holes" goes on: the last number said wins. ``None`` where nothing is corrected."""
        w = self.a.w
        lex = self.lex
        for gap in range(3):
            k = q.end + gap
            if gap and not (w[k - 1].isalpha() and w[k - 1] not in lex.correction_starts):
                return None
            j = k
            while w[j] in (",", ".", "-", "–", "—", "…", "...", "?", "!"):
                j += 1
            if w[j] not in lex.correction_starts:
                continue
            for size in (4, 3, 2, 1):
                if tuple(x for x in w[j : j + size]) in lex.corrections:
                    end = self._next_number(j + size)
                    if end is not None and self._alike(q, end, loose=j > k):
                        self.carried = (end, q, self._noun_said(q))
                        return end
            # phrases may have commas inside: "no, sorry, five"
            m, said = j, 0
            while said < 5 and (w[m] in (",", ".", "—", "-", "…", "...") or (w[m],) in lex.corrections):
                said += w[m].isalpha()
                m += 1
            if said > 1:
                end = self._next_number(m)
                if end is not None and self._alike(q, end, loose=True):
                    self.carried = (end, q, self._noun_said(q))
                    return end
            far = self._misread(q, j)
            if far is not None:
                return far
        return None

    def _noun_said(self, q: Quantity) -> str | None:
        found = what.counted(self.a, q.end) if q.unit is None else None
        return found[0] if found else None

    def _misread(self, q: Quantity, j: int) -> int | None:
        """ "eighty inches, no, I'm reading that wrong. Eighteen": the number after owning up."""
        w = self.a.w
        for k in range(j + 1, j + 13):
            if starts_number(w[k]) and w[k] not in ("a", "an", "half", "one", "point"):
                if {"wrong", "misread", "upside", "backwards", "mistake", "misreading", "lie", "rubbish"} & set(w[j:k]):
                    if self._alike(q, k, loose=True):
                        self.carried = (k, q, self._noun_said(q))
                        return k
                return None
        return None

    def _next_number(self, j: int) -> int | None:
        """The atom where the corrected number starts, over "it's", "about" and commas."""
        w = self.a.w
        for _ in range(4):
            if w[j] in (
                ",",
                ".",
                "—",
                "-",
                "…",
                "...",
                "it",
                "'s",
                "that",
                "they",
                "'re",
                "was",
                "is",
                "about",
                "were",
                "like",
                "um",
                "uh",
                "er",
            ):
                j += 1
        if starts_number(w[j]) and (w[j] not in ("a", "an") or self._article_ok(j)):
            return j
        return None

    def _alike(self, q: Quantity, i: int, *, loose: bool) -> bool:
        other = quantity(self.a, i)
        if other is None:
            return False
        if other.unit is None and q.unit is not None:
            return loose and not what.counted(self.a, other.end)
        return q.unit is None or q.dim == other.dim

    # -- kinds ----------------------------------------------------------------------------------------------------

    def _money(self, found: cash.Sum, *, approximate: bool) -> int:
        a = self.a
        total = cash.is_total(a, found.start, found.end) and found.per is None
        before = self._before(found.start)
        q = Quantity(found.start, found.end, found.value, found.value_max, confidence=found.confidence)
        q.approximate = approximate or before > 0
        of = what.noun_after(a, found.end, most=3)
        if of is None or total:
            of = None if total else what.noun_before(a, found.start - before)
        amount = self._emit(q, "total" if total else "price", of=of[0] if of else None, of_token=of and a.tok[of[1]])
        amount.per, amount.currency = found.per, found.currency or self._cents(found)
        return found.end

    def _cents(self, found: cash.Sum) -> str | None:
        """The currency of "cents": the speaker's dollars or euros; dollars where neither is said."""
        w = self.a.w
        if not {"cent", "cents"} & set(w[found.start : found.end]):
            return None
        return "EUR" if {"euro", "euros", "€"} & set(w) else "USD"

    def _size(self, q: Quantity) -> int:
        """Sizes that are names: "size 80 needle", "number 8 screw", "10 ounce canvas", "a 2x4"; 0 where not one."""
        w = self.a.w
        sets = self.lex.sets
        i, k = q.start, q.end
        prev = w[i - 1] if i else ""
        if prev in sets["names_before"] and q.unit is None and (prev not in ("no", "gauge") or is_digits(w[i])):
            if prev == "no" and w[i - 2] in ("", ",", "."):
                return 0
            start = i - 1
            end = q.number_end
            if prev in ("number", "numbers") and (
                w[end] in sets["number_one_ends"] or q.value == 1 and (not w[end].isalpha() or w[end] in sets["stops"])
            ):
                return end
            if prev == "gauge" and w[end] in self.lex.units:
                return 0
            if w[end] == "/" and is_digits(w[end + 1]):
                end += 2
            elif q.fraction and w[i + 1] == "/":
                pass
            elif w[end] in ("to", "or") and starts_number(w[end + 1]):
                pass
            return self._named(q, start, end)
        j = q.number_end
        while w[j] in HYPHENS and self.a.glued[j]:
            j += 1
        if q.unit is None and w[j] in sets["names_after"]:
            return self._named(q, i, j + 1)
        if q.unit == "pound" and w[q.end] in ("hammer", "mallet", "maul", "sledge", "sledgehammer", "test"):
            return self._named(q, i, q.end)
        if q.unit in ("ounce", "pound"):
            j = q.end
            while w[j] in HYPHENS:
                j += 1
            cloth = w[j] in sets["ounce_cloths"] or (
                w[j + 1] in sets["ounce_cloths"] and w[j] != "of" and w[j].isalpha()
            )
            if q.unit == "ounce" and (cloth or (not q.plural and self._cloth_before(i) and w[j] not in ("of",))):
                return self._named(q, i, q.end)
        if q.unit == "volt" and w[q.end] in sets["packaged_volt"]:
            return self._named(q, i, q.end)
        if q.unit is None and prev == "m" and self.a.glued[i] and is_digits(w[i]):
            return self._named(q, i - 1, q.number_end)
        if (
            q.unit is None
            and q.fraction
            and starts_number(w[k])
            and w[k] in ("twenty", "20")
            and w[k + 1] in sets["bolts"]
        ):
            return self._named(q, i, k + 1)
        if (
            q.unit is None
            and w[q.number_end] in ("k", "meg")
            and w[q.number_end + 1] in ("resistor", "resistors", "pot")
        ):
            return self._named(q, i, q.number_end + 1)
        return self._lumber(q)

    def _cloth_before(self, i: int) -> bool:
        w = self.a.w
        return any(x in self.lex.sets["ounce_cloths"] for x in w[max(0, i - 8) : i])

    def _bolt(self, q: Quantity) -> int:
        """A bolt named by diameter and threads an inch: "1/4-20 bolts", "a quarter twenty tap"."""
        w = self.a.w
        if q.unit is not None or not q.fraction:
            return 0
        j = q.end + 1 if w[q.end] in HYPHENS else q.end
        threads = {
            "20": 20,
            "twenty": 20,
            "16": 16,
            "sixteen": 16,
            "18": 18,
            "eighteen": 18,
            "13": 13,
            "24": 24,
            "32": 32,
        }
        if w[j] in threads and w[j + 1] in self.lex.sets["bolts"]:
            return self._named(q, q.start, j + 1)
        return 0

    def _container_and_half(self, i: int) -> int:
        """ "a reel and a half", "one tin and a half": one and a half of a thing that is no unit."""
        w = self.a.w
        noun = w[i + 1]
        sets = self.lex.sets
        if noun in self.lex.units or starts_number(noun) or not noun.isalpha() or noun in sets["stops"]:
            return 0
        if noun in sets["not_counted"] or noun in self.lex.adjectives:
            return i + 5
        q = Quantity(i, i + 5, Fraction(3, 2), fraction=True)
        return self._counted(q, noun, i + 1, i + 5, 0.7)

    def _lumber(self, q: Quantity) -> int:
        """A timber size: "two by four(s)", "2x4s", "a one by six"."""
        w = self.a.w
        sets = self.lex.sets
        raw = self.lex.raw["size"]
        k = q.number_end
        if q.unit is not None or q.fraction or w[k] not in _CROSS or q.value not in raw["lumber_a"]:
            return 0
        j = k + 1
        plural = False
        if w[j] in sets["plurals"]:
            value = dict(zip(raw["plurals"], (2, 3, 4, 6, 8, 10, 12), strict=True))[w[j]]
            end, plural = j + 1, True
        else:
            other = quantity(self.a, j) if starts_number(w[j]) else None
            if other is None or other.unit is not None or other.fraction or other.value != int(other.value):
                return 0
            value, end = int(other.value), other.number_end
            if w[end] == "s" and self.a.glued[end]:
                end, plural = end + 1, True
        if value not in raw["lumber_b"] or w[end] in _CROSS or q.value > value:
            return 0
        prev = w[q.start - 1] if q.start else ""
        near = set(w[max(0, q.start - 6) : q.start]) | set(w[end : end + 4])
        shape = near & {
            "rectangle",
            "piece",
            "square",
            "panel",
            "scrap",
            "block",
            "blocks",
            "squares",
            "rectangles",
            "patch",
        }
        noun = (
            prev in ("a", "an", "some", "the", "this", "that", "these", "those", "of", "my", "couple", "standard")
            and not shape
        )
        if (
            plural
            or near & sets["lumber_cues"]
            or (noun and w[k] != "by")
            or (noun and prev in ("a", "the", "some", "of", "that", "this"))
        ):
            named = replace_value(q, Fraction(int(q.value)), Fraction(value))
            self._emit(named, "size", of=f"{int(q.value)}x{value}", of_token=self.a.tok[q.start], end=end)
            return end
        return 0

    def _named(self, q: Quantity, start: int, end: int) -> int:
        noun = what.noun_after(self.a, end, most=4)
        size = replace(q, start=start, end=end)
        size.approximate = False
        self._emit(size, "size", of=noun[0] if noun else None, of_token=self.a.tok[noun[1]] if noun else None)
        return end

    def _chain(self, q: Quantity) -> int:
        """Dimensions: "twelve by eighteen inches", "2 x 3 x 4 m", "two inches wide by three"."""
        a, w = self.a, self.a.w
        sides = [q]
        end = q.end
        while True:
            k = end + 1 if self._dim_word(end) and w[end + 1] in _CROSS else end
            if w[k] not in _CROSS:
                break
            j = k + 1
            while w[j] in ("about", "roughly", "around", "maybe"):
                j += 1
            if not (starts_number(w[j]) or w[j] in self.lex.units):
                break
            nxt = quantity(a, j)
            if nxt is None:
                break
            nxt = ranged(a, nxt, between=False)
            if j > k + 1:
                nxt.approximate = True
            sides.append(nxt)
            end = nxt.end
        if len(sides) < 2:
            return 0
        if self._after(sides[-1]):
            end = sides[-1].end
            for side in sides:
                side.approximate = True
        if any(s.unit is not None and s.dim != "length" for s in sides):
            return 0
        unit = next((s.unit for s in reversed(sides) if s.unit), None)
        assumed = False
        if unit is None and self.last_length and q.start - self.last_length[0] < _NEARBY:
            unit, assumed = self.last_length[1], True
        at_piece = w[q.start - 1] == "at" and q.start - self.last_count < 6
        if unit is None and at_piece:
            unit, assumed = self.length_unit(), True
        written = any("/" in w[s.start : s.end] for s in sides) and self.length_unit() in (None, "inch")
        if unit is None and (written or any(s.fraction and s.value.denominator in (8, 16, 32) for s in sides)):
            unit, assumed = "inch", True
        if unit is None and all(s.value == 1 for s in sides):
            return end
        for pos, side in enumerate(sides):
            if side.unit is None and unit is not None:
                # "two by four inches"; "five foot by six" keeps its own
                side.unit, side.dim = sides[pos - 1].unit if pos and sides[pos - 1].unit else unit, "length"
                side.flags.append("assumed unit" if assumed else "inherited unit")
        whole = replace(sides[-1], start=q.start, end=end)
        of, token = what.measured(a, whole)
        for side in sides:
            if q.approximate:
                side.approximate = True
            self._emit(side, "measurement", of=of, of_token=None if token is None else a.tok[token])
        if unit is not None:
            self.last_length = (end, unit)
        return end

    def _degrees(self, q: Quantity) -> None:
        """Decide whether degrees are heat (and on which scale) or an angle."""
        w = self.a.w
        context = self.lex.sets
        near = set(w[max(0, q.start - 14) : q.start]) | set(w[q.end : q.end + 10])
        value = q.value_max or q.value
        right_angle = value in (15, 22, 30, 45, 60, 90, 180, 270, 360) or q.value == Fraction(45, 2)
        if near & context["angle"] and right_angle and not near & {"oven", "bake", "preheat"}:
            q.unit = "degree"
            return
        if near & context["solder"] and 250 <= value <= 480:
            q.unit = (
                "degree_Celsius" if self.system() != "imperial" or value < 500 and value <= 420 else "degree_Fahrenheit"
            )
            q.dim = "heat"
            q.flags.append("assumed scale")
            return
        if near & context["heat"] or (value > 100 and not right_angle and value != 360):
            q.dim = "heat"
            q.unit = self._heat_scale(value)
            q.flags.append("assumed scale")
            return
        q.unit = "degree"

    def _heat_scale(self, value: Fraction) -> str:
        system = self.system()
        if value >= 260:
            return "degree_Fahrenheit"
        if system == "imperial":
            return "degree_Fahrenheit"
        return "degree_Celsius"

    def system(self) -> str:
        """ "metric" or "imperial": which units the speaker uses more."""
        if self._system is None:
            count = {"metric": 0, "imperial": 0}
            names = {u: s for s in count for u in self.lex.raw["context"][s]}
            for text in self.a.w:
                unit = self.lex.units.get(text)
                if unit and unit.name in names:
                    count[names[unit.name]] += 1
                elif text in ("fahrenheit", "celsius", "centigrade"):
                    count["imperial" if text == "fahrenheit" else "metric"] += 5
            self._system = "imperial" if count["imperial"] > count["metric"] else "metric"
        return self._system

    def _with_unit(self, q: Quantity) -> int:
        a, w = self.a, self.a.w
        if q.dim == "time" and not self._work_time(q):
            return q.end
        if q.article and not self._article_measures(q):
            return q.end
        if (
            q.unit == "millimeter"
            and w[q.number_end].startswith("mil")
            and w[q.number_end] not in ("millimetre", "millimetres", "millimeter", "millimeters")
        ):
            self._mil(q)
        if q.unit == "percent":
            near = w[q.end : q.end + 1]
            if (
                q.value >= 100
                or near[0] in ("sure", "certain", "of", "happy", "convinced")
                and w[q.end + 1 : q.end + 3] == ["the", "time"]
            ):
                return q.end
            if near[0] in ("sure", "certain", "happy", "convinced", "agree", "there", "positive"):
                return q.end
        of, token = what.measured(a, q)
        if q.dim in ("length", "electric") and q.unit:
            self.last_unit = (q.end, q.unit, q.dim, q.value)
        kind: Kind = "setting" if q.dim == "heat" else "measurement"
        self._emit(q, kind, of=of, of_token=None if token is None else a.tok[token])
        if q.dim == "length":
            self.last_length = (q.end, q.unit or "inch")
        return q.end

    def _article_measures(self, q: Quantity) -> bool:
        """Whether "an inch", "a foot", "a cup" measures: "a foot" may be a presser foot, "a cup" one of tea."""
        w = self.a.w
        nxt = w[q.end]
        prev = w[q.start - 1] if q.start else ""
        if w[q.start] in ("a", "an") and what.plural(prev) and q.dim == "length" and prev not in self.lex.units:
            # "eight stitches an inch": per inch
            return prev in ("is", "was", "its") or not (prev.endswith("s") and self._is_counted(q.start - 1))
        if q.value != 1:
            return True
        if q.unit == "foot":
            return nxt in self.lex.dimension or nxt in ("of", "from", "or", "away", "in") or self._before(q.start) > 0
        if q.unit == "cup":
            return nxt == "of" and w[q.end + 1] not in ("tea", "coffee", "cocoa")
        if q.unit in ("pound", "volt", "watt", "ampere", "gram", "day", "week"):
            return nxt in ("of", "or") or self._before(q.start) > 0 or q.dim == "time"
        if q.unit == "pint":
            return nxt == "of" and w[q.end + 1] not in ("beer", "lager", "bitter", "cider", "ale")
        return True

    def _is_counted(self, i: int) -> bool:
        w = self.a.w
        return any(starts_number(w[k]) for k in range(max(0, i - 3), i))

    def _mil(self, q: Quantity) -> None:
        """ "mil": millimetres, millilitres of a liquid, or thousandths of an inch of a film."""
        w = self.a.w
        nxt = w[q.end]
        if nxt == "of" and (w[q.end + 1] in self.lex.sets["liquids"] or w[q.end + 2] in self.lex.sets["liquids"]):
            q.unit, q.dim = "milliliter", "volume"
            return
        word = w[q.number_end]
        film = {
            "film",
            "plastic",
            "wet",
            "sheeting",
            "polythene",
            "mylar",
            "vinyl",
            "coat",
            "coats",
            "coating",
            "stencil",
        }
        if (
            word in ("mil", "mils")
            and film & set(w[q.end : q.end + 4] + w[max(0, q.start - 5) : q.start])
            and q.value <= 20
        ):
            q.unit = "thou"
            q.flags.append("assumed unit")
            return
        q.flags.append("assumed unit")
        q.confidence = min(q.confidence, 0.85)

    def _work_time(self, q: Quantity) -> bool:
        """Whether a time belongs to the work, not to the talk or to the calendar."""
        w = self.a.w
        sets = self.lex.sets
        prev = w[q.start - 1] if q.start else ""
        nxt = w[q.end]
        nxt2 = w[q.end + 1]
        if nxt in ("ago", "later", "old", "earlier") or nxt == "'" and nxt2 in ("worth", "time"):
            return False
        if nxt == "of" and nxt2 in (
            "my",
            "footage",
            "video",
            "editing",
            "your",
            "film",
            "filming",
            "this",
            "recording",
            "talking",
        ):
            return False
        if prev in ("last", "next", "past", "this", "few", "any", "other", "first") or w[q.start - 2 : q.start] == [
            "the",
            "last",
        ]:
            return False
        back = w[max(0, q.start - 12) : q.start]
        cues = sets["waiting"] | sets["heat"] | sets["repeat_verbs"]
        around = set(back) | set(w[q.end : q.end + 6])
        if q.unit in ("day", "week", "month"):
            if around & {"ago", "later", "since", "took", "spent", "deadline"} or prev in ("in", "two", "every"):
                return False
            return bool(around & sets["waiting"])
        if (q.article or q.value == 1 or "couple" in q.flags) and q.value_max is None:
            if prev in (
                "in",
                "just",
                "wait",
                "on",
                "me",
                "half",
                "within",
                "got",
                "have",
                "need",
                "take",
                "took",
            ) and not ("couple" in q.flags and q.unit == "hour"):
                return (
                    prev in ("just",)
                    and bool(set(back[-6:]) & cues)
                    or (prev in ("on", "need") and bool(set(back[-6:]) & cues))
                )
            if q.unit in ("second",):
                return False
            if prev in ("wait", "hang", "hold"):
                return False
            return bool(around & cues)
        if prev == "in" and q.unit in ("second", "minute") and not around & sets["waiting"]:
            return False
        return True

    # -- repeats and ordinals ---------------------------------------------------------------------------------------

    def _repeated(self, start: int, end: int, value: Fraction, style: str, value_max: Fraction | None = None) -> int:
        """ "twice", "three times": a ratio before what it multiplies, a count after what was done again, else nothing."""
        w = self.a.w
        nxt = w[end]
        q = Quantity(start, end, value, value_max, style=style)
        verbs = self.lex.sets["repeat_verbs"]
        if nxt in (
            "the",
            "my",
            "your",
            "its",
            "as",
            "that",
            "what",
            "his",
            "her",
            "their",
            "our",
            "around",
            "round",
            "bigger",
            "longer",
            "wider",
        ):
            if nxt in ("around", "round") and w[end + 1] not in ("the", "my", "your", "it"):
                return end
            if nxt in ("around", "round"):
                self._emit(q, "count", of="times round", of_token=None, confidence=0.6)
                return end
            if not (nxt == "the" and w[end + 1] in ("first", "other")):
                self._emit(q, "ratio", of=None, of_token=None)
            return end
        if value > 20 or nxt in ("before", "as", "a", "an", "over") and value > 2 or "million" in w[start - 1 : end]:
            return end
        low = max(0, start - 9)
        for k in range(start - 1, low - 1, -1):
            if w[k] in (".", "!", "?"):
                break
            if w[k] in verbs:
                self._emit(q, "count", of="times", of_token=self.a.tok[k], confidence=0.8)
                return end
        return end

    def _every(self, i: int) -> int:
        """ "every third hole", "every second or fourth mark", "every inch"."""
        a, w = self.a, self.a.w
        j = i + 1
        if w[j] in ORDINALS and w[j + 1] not in ("time", "day", "week", "year", "one", "person", "video"):
            value = Fraction(ORDINALS[w[j]])
            end, top = j + 1, None
            if w[end] == "or" and w[end + 1] in ORDINALS:
                top, end = Fraction(ORDINALS[w[end + 1]]), end + 2
            noun = what.noun_after(a, end, most=3)
            if noun is None or w[noun[1]] in ("time", "day", "week", "year", "thought", "word"):
                return end
            q = Quantity(i, end, value, top)
            self._emit(q, "count", of=f"every {w[j]} {noun[0]}", of_token=a.tok[noun[1]], end=noun[1] + 1)
            return end
        if w[j] == "other":
            noun = what.noun_after(a, j + 1, most=2)
            if (
                noun
                and w[noun[1]] not in self.lex.sets["not_counted"]
                and w[noun[1]] not in ("day", "week", "night", "person", "month")
            ):
                q = Quantity(i, j + 1, Fraction(2))
                self._emit(
                    q, "count", of=f"every other {noun[0]}", of_token=a.tok[noun[1]], end=noun[1] + 1, confidence=0.7
                )
            return j + 1
        unit = self.lex.units.get(w[j])
        if unit and not unit.plural and unit.dim == "length":
            q = Quantity(j, j + 1, Fraction(1), unit=unit.name, dim=unit.dim, article=True, number_end=j + 1)
            part = quantity(a, j)
            if part and part.value != 1:
                q = part
            q.approximate = self._after(q)
            before = what.noun_before(a, i)
            self._emit(
                q,
                "measurement",
                of=f"{before[0]} spacing" if before else "spacing",
                of_token=before and a.tok[before[1]],
            )
            self.last_length = (q.end, unit.name)
            return q.end
        return i + 1

    # -- numbers without a unit -------------------------------------------------------------------------------------

    def _bare(self, q: Quantity) -> int:
        """Settings, grits, heats, elliptic lengths and counts; anything else is dropped."""
        for rule in (self._grit, self._set_to, self._heat, self._ruler, self._elliptic, self._count):
            end = rule(q)
            if end:
                return end
        return q.end

    def _grit(self, q: Quantity) -> int:
        w = self.a.w
        k = q.end
        while w[k] in HYPHENS and self.a.glued[k]:
            k += 1
        named = w[k] in ("grit", "grits")
        p_grade = w[q.start - 1] == "p" and self.a.glued[q.start]
        if not named and not p_grade:
            if q.value not in GRITS or q.fraction or q.value_max is not None:
                return 0
            if w[k].isalpha() and w[k] not in self.lex.sets["stops"] and w[k] not in ("paper", "sandpaper"):
                return 0
            chained = q.start - self.last_grit < 14
            ahead = any(w[m] in ("grit", "grits") for m in range(k, min(k + 12, self.a.n)))
            sanding = bool(_SAND & set(w[max(0, q.start - 12) : q.start] + w[k : k + 4])) and q.value >= 40
            if not (chained or ahead or sanding):
                return 0
        self.last_grit = q.end
        q.approximate = False
        self._emit(q, "setting", of="grit", of_token=self.a.tok[k] if named else None, end=k + 1 if named else q.end)
        return k + 1 if named else q.end

    def _set_to(self, q: Quantity) -> int:
        """A number after the name of a setting: "stitch length (of) three", "tension's on four", "speed two"."""
        w = self.a.w
        settings = self.lex.raw["setting"]
        end = q.end
        k = end + 1 if w[end] in HYPHENS else end
        if (
            w[k] == "stitch"
            and w[k + 1] in ("length", "width")
            or (w[k] == "stitch" and q.value <= 6 and (w[q.start - 1] in ("a", "an", "the") or q.fraction))
        ):
            of = f"stitch {w[k + 1]}" if w[k + 1] in ("length", "width") else "stitch length"
            self._emit(q, "setting", of=of, of_token=self.a.tok[k])
            return end
        j = q.start - 1
        low = max(0, q.start - 9)
        while j >= low and (w[j] in _SETTING_LINKS or w[j] in HYPHENS):
            j -= 1
        if j < low:
            return 0
        text = w[j]
        if text in ("length", "width"):
            if not {"stitch", "zigzag", "zag", "stitching"} & set(w[max(0, j - 5) : j]):
                return 0
            of = f"stitch {text}"
        elif text in ("stitch", "stitches"):
            if "to" not in w[j + 1 : q.start] and "at" not in w[j + 1 : q.start] and "on" not in w[j + 1 : q.start]:
                return 0
            of = "stitch length"
        elif settings.get(text):
            of = settings[text]
        elif text in ("iron", "machine", "lathe", "oven", "hob", "gas") and (
            w[q.start - 1] in ("on", "to", "at", "mark") or text == "gas"
        ):
            of = f"{text} setting"
        else:
            return 0
        if j == q.start - 1 and text in ("heat", "power", "pressure", "level", "mark") and what.counted(self.a, end):
            return 0
        if of in ("heat", "oven setting") and q.value >= 60:
            return 0
        if what.counted(self.a, end) and j < q.start - 1 and w[q.start - 1] not in ("on", "to", "at", "of"):
            return 0
        self._emit(q, "setting", of=of, of_token=self.a.tok[j])
        return end

    def _heat(self, q: Quantity) -> int:
        w = self.a.w
        value = q.value_max or q.value
        if not 100 <= value <= 900 or q.fraction:
            return 0
        near = set(w[max(0, q.start - 8) : q.start]) | set(w[q.end : q.end + 5])
        prev = w[q.start - 1]
        scale = self.lex.scales.get(w[q.end])
        if scale and len(w[q.end]) > 1:
            self._emit(replace(q, unit=scale, dim="heat"), "setting", of="heat", of_token=None, end=q.end + 1)
            return q.end + 1
        if prev not in ("at", "to", "about", "of", "is", "around", "on", "'s", "-") or (
            w[q.end].isalpha() and w[q.end] not in self.lex.sets["stops"]
        ):
            return 0
        hot = near & {
            "oven",
            "bake",
            "baked",
            "baking",
            "preheat",
            "preheated",
            "iron",
            "temperature",
            "roast",
            "solder",
            "soldering",
            "heat",
            "fan",
            "kiln",
            "tip",
            "grill",
            "press",
        }
        if not hot or value % 5:
            return 0
        unit = "degree_Celsius" if near & {"solder", "soldering", "tip"} else self._heat_scale(value)
        of = next(iter(sorted(hot)))
        self._emit(
            replace(q, unit=unit, dim="heat", flags=[*q.flags, "assumed unit"]),
            "setting",
            of=f"{of} heat",
            of_token=None,
            confidence=0.75,
        )
        return q.end

    def _ruler(self, q: Quantity) -> int:
        """A fraction that only a ruler has, with no unit: inches."""
        w = self.a.w
        if not q.fraction:
            return 0
        length = self._length_context(q) and self.last_length is not None
        ruler = q.value.denominator in (8, 16, 32, 64) or (
            q.value_max is not None and q.value_max.denominator in (8, 16, 32)
        )
        noun = w[q.end] in self.lex.aspect or w[q.end] in self.lex.dimension
        if w[q.end] in HYPHENS:
            noun = noun or w[q.end + 1] in self.lex.aspect
        placed = self.length_unit() == "inch" and w[q.start - 1] in _COPULAS
        quarter = q.value.denominator == 4 and (noun or length or placed)
        half = q.value.denominator == 2 and length and (noun or q.value > 1)
        if not (ruler or quarter or half):
            return 0
        if (quarter or half) and not ruler and what.counted(self.a, q.end) and not noun:
            return 0
        unit = self.last_length[1] if length and self.last_length and not ruler else "inch"
        if unit not in ("inch", "yard", "foot"):
            if not ruler:
                return 0
        if unit in ("yard", "foot"):
            unit = "inch" if ruler else unit
        q.unit, q.dim = unit, "length"
        q.flags.append("assumed unit")
        return self._with_unit(q)

    def _elliptic(self, q: Quantity) -> int:
        """ "nine tall" after "seven inches wide": the unit of the length said last."""
        w = self.a.w
        k = q.end
        if self._parallel(q):
            return self._with_unit(q)
        if not self._length_context(q) or self.last_length is None:
            return 0
        # "ten millimetres, nine point eight really"
        apposed = q.value.denominator > 1 and q.start - self.last_length[0] <= 2 and not q.fraction
        if w[k] not in self.lex.dimension and not apposed:
            return 0
        if w[k] != "square" and what.counted(self.a, k + 1):
            return 0
        if w[k] == "square" and w[k + 1].isalpha() and w[k + 1] not in self.lex.sets["stops"]:
            return 0
        q.unit, q.dim = self.last_length[1], "length"
        q.flags.append("inherited unit")
        return self._with_unit(q)

    def _parallel(self, q: Quantity) -> bool:
        """ "the top is ten inches deep, the middle one is twelve"; "two rails at forty eight"; "mitred at forty five"."""
        w = self.a.w
        prev = w[q.start - 1] if q.start else ""
        nxt = w[q.end]
        if nxt.isalpha() and nxt not in self.lex.sets["stops"] or nxt in ("of", "in", "by", "to", "at", "on"):
            return False
        if nxt in HYPHENS or q.style == "digits" and q.value in _YEARS:
            return False
        angle = {
            "mitre",
            "mitred",
            "miter",
            "mitered",
            "mitres",
            "miters",
            "bevel",
            "beveled",
            "bevelled",
            "angle",
            "chamfer",
        }
        if (
            prev in ("at", "to")
            and q.value in (30, 45, 60, 90, Fraction(45, 2))
            and angle & set(w[max(0, q.start - 10) : q.end + 6])
        ):
            q.unit, q.dim = "degree", "angle"
            q.flags.append("assumed unit")
            return True
        if prev == "at" and q.start - self.last_count < 6 and (unit := self.length_unit()):
            q.unit, q.dim = unit, "length"
            q.flags.append("assumed unit")
            return True
        linked = prev in _COPULAS
        if prev in ("about", "only", "just", "roughly", "nearly"):
            before = w[max(0, q.start - 3) : q.start - 1]
            linked = not {".", "used", "needed", "cut", "have", "got", "made"} & set(before)
        if not linked:
            return False
        if self.last_unit and q.start - self.last_unit[0] < _PARALLEL:
            _, unit_said, dim, value = self.last_unit
            if value / 5 <= q.value <= value * 5 and q.value != 1:
                q.unit, q.dim = unit_said, dim
                q.flags.append("inherited unit")
                return True
        sizing = {
            "measure",
            "measured",
            "measures",
            "measuring",
            "long",
            "length",
            "width",
            "wide",
            "tall",
            "height",
            "radius",
            "depth",
        }
        if sizing & set(w[max(0, q.start - 12) : q.start]) and "stitch" not in w[max(0, q.start - 12) : q.start]:
            if (unit := self.length_unit()) and q.value > 1:
                q.unit, q.dim = unit, "length"
                q.flags.append("assumed unit")
                return True
        return False

    def _count(self, q: Quantity) -> int:
        """So many of a thing; numbers that count nothing of the work are dropped."""
        a, w = self.a, self.a.w
        sets = self.lex.sets
        if q.fraction and q.value < 2 and q.value != Fraction(3, 2):
            return 0
        if q.style == "digits" and q.value in _YEARS and q.value == int(q.value) and not what.counted(a, q.end):
            return 0
        prev = w[q.start - 1] if q.start else ""
        making = self._making_before(q.start)
        if w[q.end] == "of":
            return self._partitive(q, making)
        if (
            w[q.end] in ("in", "from", "out")
            and (making or q.start - self.last_count < 10)
            and prev not in ("the", "these", "those", "other")
        ):
            j = q.end + 1
            while w[j] in ("the", "my", "of", "a", "that", "this", "some"):
                j += 1
            noun = what.noun_after(a, j, most=3)
            if (
                noun
                and q.value <= 200
                and w[noun[1]]
                not in ("minute", "second", "total", "half", "place", "go", "case", "front", "end", "all", "row")
            ):
                return self._counted(q, f"pieces in {noun[0]}", noun[1], q.end, 0.85)
        found = what.counted(a, q.end)
        if q.value == 1:
            return self._one(q)
        if found is None:
            return self._lone(q, making)
        words, head = found
        text = w[head]
        if text in sets["not_counted"] or words.split()[0] in ("o'clock", "am", "pm", "percent", "million", "billion"):
            return head + 1 if text not in sets["not_counted"] else q.end
        if text in self.lex.units or text in ("dollars", "times"):
            return 0
        confidence = 0.9
        if prev in ("the", "these", "those", "other", "both", "all", "my", "your", "our"):
            if q.value <= 2 or prev in ("other", "both"):
                return q.end
            if any(x.kind == "count" and x.value == q.value for x in self.out):
                return q.end
            confidence = 0.7
        if head == q.end and self._verb(head):
            return self._lone(q, making)
        return self._counted(q, words, head, q.end, confidence)

    def _verb(self, i: int) -> bool:
        """Whether the tagger takes the atom at ``i`` for a verb with an object ("two holds the")."""
        if self.a.w[i + 1] not in ("the", "a", "an", "it", "to", "this", "that", "my", "them", "me", "us"):
            return False
        token = self.a.tok[i]
        return bool(self.doc[token].tag_ == "VBZ")

    def _making_before(self, i: int) -> bool:
        w = self.a.w
        making = self.lex.sets["making"]
        for k in range(i - 1, max(-1, i - 8), -1):
            if w[k] in (".", "!", "?"):
                return False
            if w[k] in making:
                return True
        return False

    def _partitive(self, q: Quantity, making: bool) -> int:
        """ "two of those in canvas", "four of them", "three of the strips"."""
        a, w = self.a, self.a.w
        j = q.end + 1
        if q.value == 1 and not (q.start - self.last_count < 10):
            return q.end
        if w[j] in ("us", "you", "my", "our", "your") and not (w[j] in ("my", "your") and what.counted(a, j + 1)):
            return q.end
        while w[j] in ("the", "these", "those", "my", "your", "each", "that", "this", "them"):
            j += 1
        if w[j] in ("in", "from", "out"):
            k = j + 1
            while w[k] in ("the", "my", "of", "a", "that"):
                k += 1
            noun = what.noun_after(a, k, most=3)
            if noun:
                return self._counted(q, f"pieces in {noun[0]}", noun[1], j, 0.9)
        found = what.counted(a, j)
        if found and w[found[1]] not in self.lex.sets["not_counted"]:
            return self._counted(q, found[0], found[1], q.end, 0.85)
        if w[j - 1] in ("them", "these", "those", "each", "that", "this"):
            noun = self._plural_before(q.start)
            if noun is not None:
                return self._counted(q, w[noun], noun, j, 0.7)
            if making or q.value > 2:
                return self._counted(q, self.last_noun or "pieces", None, j, 0.6)
        return q.end

    def _plural_before(self, i: int) -> int | None:
        w = self.a.w
        for k in range(i - 1, max(-1, i - 12), -1):
            if what.plural(w[k]) and w[k] not in self.lex.sets["not_counted"] and w[k].isalpha():
                return k
        return None

    def _one(self, q: Quantity) -> int:
        """One counts only where it is stressed as a number, or stands beside another count."""
        w = self.a.w
        sets = self.lex.sets
        prev = w[q.start - 1] if q.start else ""
        noun = what.noun_after(self.a, q.end, most=2)
        stressed = prev in sets["stress"] and not (w[q.end] in ("of", "thing"))
        if noun:
            k = noun[1] + 1
            if w[k] == ",":
                k += 1
            after = {tuple(p.split()) for p in self.lex.raw["counting"]["stress_after"]}
            stressed = stressed or any(tuple(w[k : k + size]) in after for size in (1, 2, 3))
        if stressed and noun and w[noun[1]] not in sets["not_counted"]:
            return self._counted(q, noun[0], noun[1], q.end, 0.8)
        if (
            noun
            and w[noun[1]] in ("coat", "layer", "row", "pass")
            and prev not in ("the", "this", "that", "at", "from", "in", "another")
        ):
            return self._counted(q, noun[0], noun[1], q.end, 0.6)
        if noun and prev in ("cut", "punched", "drilled", "sewed") and w[noun[1]] not in sets["not_counted"]:
            return self._counted(q, noun[0], noun[1], q.end, 0.6)
        spread = w[q.end] in ("in", "at", "for", "per") and {"each", "every"} & set(w[q.end : q.end + 6])
        if spread and q.start - self.last_count < _SPREAD_REACH:
            return self._counted(q, self.last_noun or "pieces", None, q.end, 0.6)
        return q.end

    def _lone(self, q: Quantity, making: bool) -> int:
        """A number that stands alone: "back stitch two"; otherwise nothing."""
        w = self.a.w
        prev = w[q.start - 1] if q.start else ""
        if prev == "backstitch" or (prev == "stitch" and w[q.start - 2] == "back"):
            return self._counted(q, "back stitches", q.start - 1, q.end, 0.8)
        nxt = w[q.end]
        ends = not nxt.isalpha() or nxt in self.lex.sets["stops"]
        if q.value > 500 or q.value != int(q.value) or prev in ("the", "those", "these", "other", "both"):
            return q.end
        if self.carried and self.carried[0] == q.start and self.carried[2]:
            return self._counted(q, self.carried[2], None, q.end, 0.8)
        if w[q.start - 2 : q.start] == ["count", "to"]:
            return self._counted(q, "counts", None, q.end, 0.6)
        if prev == "into" and ends and nxt != "of" and making:
            return self._counted(q, "pieces", None, q.end, 0.7)
        each = {"each", "every", "per", "either"} & set(w[q.end : q.end + 3]) and w[q.end] in (
            "in",
            "on",
            "at",
            "per",
            "each",
            "for",
            "to",
            "either",
            "a",
        )
        noun = self.last_noun if q.start - self.last_count < 14 else None
        if each:
            before = self._plural_before(q.start)
            if before is not None and q.start - before < 6:
                return self._counted(q, w[before], before, q.end, 0.7)
            if noun:
                return self._counted(q, noun, None, q.end, 0.7)
        place = (
            nxt in _PLACES
            or w[q.end : q.end + 2] in (["one", "way"], ["the", "other"], ["on", "top"])
            or w[q.end : q.end + 3]
            in (["in", "a", "row"], ["at", "the", "top"], ["at", "the", "bottom"], ["on", "the", "other"])
        )
        if place and (noun or w[q.end : q.end + 2] == ["one", "way"]):
            return self._counted(q, noun or "pieces", None, q.end, 0.65)
        k = q.start - 1
        while w[k] in ("about", "around", "roughly", "maybe", "only", "just", "like"):
            k -= 1
        if (
            w[k] in ("used", "punched", "drilled", "needed", "cut")
            and ends
            and nxt not in ("in", "by", "to", "at")
            and (w[k] != "cut" or nxt in ("of", ",", ".", "from", "for"))
        ):
            return self._counted(q, noun or "pieces", None, q.end, 0.6)
        return q.end

    def _counted(self, q: Quantity, of: str, head: int | None, end: int, confidence: float) -> int:
        token = None if head is None else self.a.tok[head]
        last = head + 1 if head is not None and head >= q.end else end
        self._emit(q, "count", of=of, of_token=token, end=max(last, q.end), confidence=confidence)
        self.last_count = end
        self.last_noun = of
        return end

    # -- out --------------------------------------------------------------------------------------------------------

    def _emit(
        self,
        q: Quantity,
        kind: Kind,
        *,
        of: str | None,
        of_token: int | None,
        end: int | None = None,
        confidence: float = 1.0,
    ) -> Amount:
        a = self.a
        last = end if end is not None else q.end
        start_tok = a.tok[q.start]
        end_tok = min(len(self.doc), a.tok[max(q.start, last - 1)] + 1)
        amount = Amount(
            start=start_tok,
            end=end_tok,
            kind=kind,
            value=q.value,
            value_max=q.value_max,
            unit=q.unit if kind not in ("size",) else None,
            approximate=q.approximate,
            of=of,
            of_token=of_token,
            text=self.doc[start_tok:end_tok].text,
            confidence=round(min(q.confidence, confidence), 3),
            flags=tuple(dict.fromkeys(f for f in q.flags if f not in ("run", "cut run", "couple", "bit", "short"))),
        )
        self.out.append(amount)
        return amount


def replace_value(q: Quantity, value: Fraction, top: Fraction) -> Quantity:
    """``q`` with the two sides of a timber size."""
    return replace(q, value=value, value_max=top)


def _settled(amounts: list[Amount], a: Atoms) -> list[Amount]:
    """Drop what is at once said again or taken back.

    "Six tooth. Five tooth. It's a five tooth iron." keeps the last; "five eighths, five eighths improved tacks" is one.
    """
    out: list[Amount] = []
    for amount in _taken_back(amounts, a):
        if out:
            last = out[-1]
            between = _between(last, amount, a) if amount.start - last.end <= 4 else ["far"]
            if set(between) <= _RESTATING and between:
                named = amount.of_token is not None and amount.of_token >= amount.start
                noun = (amount.of or "").split()[-1:]
                same_noun = named and noun == (last.of or "").split()[-1:] and noun != ["times"]
                recounted = amount.kind == last.kind == "count" and same_noun
                repeated = (
                    amount.kind == last.kind
                    and (amount.value, amount.value_max, amount.unit) == (last.value, last.value_max, last.unit)
                    and amount.kind in ("measurement", "setting")
                )
                if recounted or (repeated and "x" not in between):
                    out.pop()
        out.append(amount)
    return out


def _taken_back(amounts: list[Amount], a: Atoms) -> list[Amount]:
    """Without what "hang on, I've said five inches, it's six" takes back: those words, and the value said before."""
    starts = [
        k
        for k in range(1, a.n)
        if a.w[k] in ("said", "say", "told")
        and "i" in a.w[max(0, k - 3) : k]
        and (_OWNING_UP & set(a.w[max(0, k - 8) : k]))
    ]
    gone: set[int] = set()
    for k in starts:
        token = a.tok[k]
        turn = next((m for m in range(k + 1, k + 16) if a.w[m] in ("it", "should", "meant", "actually", "but")), None)
        if turn is None:
            continue
        back = [i for i, x in enumerate(amounts) if token < x.start < a.tok[turn]]
        gone.update(back)
        values = [(amounts[i].value, amounts[i].unit) for i in back]
        for j in range((back[0] if back else 0) - len(back), -1, -1):
            if token - amounts[j].start > _TAKEN_BACK_REACH:
                break
            if [(x.value, x.unit) for x in amounts[j : j + len(back)]] == values:
                gone.update(range(j, j + len(back)))
                break
    return [amount for i, amount in enumerate(amounts) if i not in gone]


def _between(left: Amount, right: Amount, a: Atoms) -> list[str]:
    return [w for w, t in zip(a.w, a.tok, strict=True) if left.end <= t < right.start]


__all__ = ["ONES", "TEENS", "TENS", "Reader"]
