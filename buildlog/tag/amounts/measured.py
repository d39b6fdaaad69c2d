"""Numbers with a unit: dimensions, degrees, times, and which of them belong to the work."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from buildlog.tag.amounts import what
from buildlog.tag.amounts.amount import Kind
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.numbers import is_digits, starts_number
from buildlog.tag.amounts.quantities import Quantity, quantity, ranged
from buildlog.tag.amounts.state import State

_CROSS = frozenset({"by", "x", "×"})
_SETS = lexis().sets
_NEARBY = 60
_DRINKS = frozenset({"tea", "coffee", "cocoa", "beer", "lager", "bitter", "cider", "ale"})
_DYEING = frozenset({"dye", "dyed", "dyeing", "stain", "stained", "mordant", "ferment", "fermented", "brew"})
_COLD_FAHRENHEIT = 90  # nothing hot is so few degrees Fahrenheit
_AHEAD = 12
_LEAST_MM, _MOST_MM = 100, 3000
_PAPERS = frozenset("paper card cardstock cartridge newsprint vellum".split())
_MOVING = frozenset(
    "go went going come came comes move moved bring brought drop dropped shift shifted measure measured".split()
)
_SHORTEST, _TALLEST = 36, 84  # inches, of a person


class Measured(State):
    """Numbers with a unit."""

    def _chain(self, q: Quantity) -> int:
        """Dimensions: "twelve by eighteen inches", "2 x 3 x 4 m", "two inches wide by three"."""
        a, w = self.a, self.a.w
        if not _SETS["multiplying"].isdisjoint(w[max(0, q.start - 4) : q.start]):
            return 0
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
        if (
            unit is None
            and self._unit_after(end) is None
            and self.last_length
            and q.start - self.last_length[0] < _NEARBY
        ):
            unit, assumed = self.last_length[1], True
        if unit is None:
            unit, assumed = self._unit_after(end) or self._unit_ahead(end), True
        at_piece = w[q.start - 1] == "at" and q.start - self.last_count < 6
        shaped = any(self._dim_word(s.end) for s in sides)
        if unit is None and (at_piece or shaped or q.value_max is None):
            usual = self.length_unit(q.value)
            known = usual is not None and self._first_length < q.start
            if at_piece or shaped or (known and usual and all(self._fits(usual, s.value) for s in sides)):
                unit, assumed = usual, True
        written = any("/" in w[s.start : s.end] for s in sides) and self.length_unit() in (None, "inch")
        if unit is None and (written or any(s.fraction and s.value.denominator in (8, 16, 32) for s in sides)):
            unit, assumed = "inch", True
        if unit is None and self.length_unit() != "inch" and all(_LEAST_MM <= s.value <= _MOST_MM for s in sides):
            unit, assumed = "millimeter", True  # "a hundred and forty-eight by two hundred and ten"
        if unit is None and all(s.value == 1 for s in sides):
            return end
        for pos, side in enumerate(sides):
            if side.unit is None and unit is not None:
                # "two by four inches"; "five foot by six" keeps its own
                said = sides[pos - 1].unit if pos and sides[pos - 1].unit else unit
                side.unit, side.dim = self._neighbour(said, side), "length"
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

    def _unit_ahead(self, i: int) -> str | None:
        """The unit of the next length of the sentence: "four by four by nine and the tenon is two inches"."""
        w = self.a.w
        for k in range(i, min(i + _AHEAD, self.a.n)):
            if w[k] in (".", "?", "!"):
                return None
            unit = self.lex.units.get(w[k])
            if unit and unit.dim == "length" and (starts_number(w[k - 1]) or is_digits(w[k - 1])):
                return unit.name
        return None

    def _dim_word(self, i: int) -> bool:
        return self.a.w[i] in self.lex.dimension

    def _degrees(self, q: Quantity) -> None:
        """Decide whether degrees are heat (and on which scale) or an angle."""
        w = self.a.w
        context = self.lex.sets
        near = set(w[max(0, q.start - 14) : q.start]) | set(w[q.end : q.end + 10])
        value = q.value_max or q.value
        right_angle = value in (15, 22, 30, 45, 60, 90, 180, 270, 360) or q.value == Fraction(45, 2)
        ground = value <= 90 and not context["grinding"].isdisjoint(
            w[max(0, q.start - 8) : q.start] + w[q.end : q.end + 2]
        )
        if ground or (near & context["angle"] and right_angle and not near & {"oven", "bake", "preheat"}):
            q.unit = "degree"
            return
        if near & context["solder"] and 250 <= value <= 480:
            q.unit = (
                "degree_Celsius"
                if self.system() != "imperial" or (value < 500 and value <= 420)
                else "degree_Fahrenheit"
            )
            q.dim = "heat"
            q.flags.append("assumed scale")
            return
        if near & context["heat"] or (value > 100 and not right_angle and value != 360):
            q.dim = "heat"
            hot = value <= _COLD_FAHRENHEIT and near & {
                "hot",
                "wash",
                "washed",
                "boil",
                "kettle",
                "oven",
                "iron",
                "simmer",
            }
            q.unit = "degree_Celsius" if hot else self._heat_scale(value)
            q.flags.append("assumed scale")
            return
        q.unit = "degree"

    def _heat_scale(self, value: Fraction) -> str:
        system = self.system()
        if value >= 260 and not self._metric_said():
            return "degree_Fahrenheit"
        if system == "imperial":
            return "degree_Fahrenheit"
        return "degree_Celsius"

    def _metric_said(self) -> bool:
        """Whether the speaker measures in metric units: then even a forge is hot in Celsius."""
        return self.system() == "metric" and self.length_unit() in ("centimeter", "millimeter")

    def _with_unit(self, q: Quantity) -> int:
        a, w = self.a, self.a.w
        if w[q.end] == "for" and w[q.end + 1] in ("every", "each") and (per := self.lex.units.get(w[q.end + 2])):
            if q.value == 1 and not per.plural:
                return q.end + 3  # "an hour for every inch of it" is a rate
        if q.dim == "time" and not self._work_time(q):
            return q.end
        if q.article and not self._article_measures(q):
            return q.end
        if q.unit == "foot" and w[q.end] in ("nothing", "odd"):
            return q.end
        if "stature" in q.flags and self._person(q):
            return q.end
        if q.dim in ("degree", "heat") and self._weather(q):
            return q.end
        if (
            q.unit in ("cup", "pint")
            and w[q.end] == "of"
            and w[q.end + 1] in _DRINKS
            and self.a.known.isdisjoint(_DYEING)
        ):
            return q.end
        if q.unit == "gram" and _PAPERS & set(w[max(0, q.start - 4) : q.start] + w[q.end : q.end + 2]):
            return q.end  # how heavy a paper is names it
        if q.dim == "volume" and self._covers(q.end):
            return q.end
        if q.dim == "area":
            self._coverage(q)
        if (
            q.unit == "millimeter"
            and w[q.number_end].startswith("mil")
            and w[q.number_end] not in ("millimetre", "millimetres", "millimeter", "millimeters")
        ):
            self._mil(q)
        if q.unit == "percent":
            near = w[q.end : q.end + 1]
            scaled = lexis().sets["scaling"] & set(w[max(0, q.start - 8) : q.start] + w[q.end : q.end + 4])
            if (
                q.value == 100
                or (q.value > 100 and not scaled)
                or (
                    near[0] in ("sure", "certain", "of", "happy", "convinced")
                    and w[q.end + 1 : q.end + 3] == ["the", "time"]
                )
            ):
                return q.end
            if near[0] == "off" and (
                self.a.known & self.lex.money.keys() or {"paid", "sale", "price", "got"} & self.a.known
            ):
                return q.end  # off the price
            if w[q.start - 1] in ("last", "other") or (
                q.value >= 90 and w[q.end : q.end + 2] in (["of", "it"], ["of", "people"])
            ):
                return q.end
            if near[0] in ("sure", "certain", "happy", "convinced", "agree", "there", "positive", "chance", "done"):
                return q.end
        of, token = what.measured(a, q) if q.dim != "coverage" else ("coverage", None)
        if q.dim in ("length", "electric") and q.unit:
            self.last_unit = (q.end, q.unit, q.dim, q.value)
        if q.dim == "time" and q.unit:
            self.last_time = (q.end, q.unit)
        kind: Kind = "setting" if q.dim == "heat" else "measurement"
        self._emit(q, kind, of=of, of_token=None if token is None else a.tok[token])
        if q.dim == "length":
            self.last_length = (q.end, q.unit or "inch")
        return q.end

    def _person(self, q: Quantity) -> bool:
        """Whether feet and inches say how tall somebody is: "she's five foot one"."""
        w = self.a.w
        if w[q.end] in self.lex.dimension or w[q.end] in _CROSS or not _SHORTEST <= q.value <= _TALLEST:
            return False
        return bool(lexis().sets["somebody"] & set(w[max(0, q.start - 6) : q.start]))

    def _weather(self, q: Quantity) -> bool:
        """Whether degrees say how warm the day or the shed is: "it's thirty-four degrees in here"."""
        w = self.a.w
        back = w[max(0, q.start - 3) : q.start]
        if not ("its" in back or ("it" in back and {"'s", "is", "was"} & set(back))):
            return False
        near = set(w[max(0, q.start - 16) : q.start]) | set(w[q.end : q.end + 8])
        if near & (self.lex.sets["heat"] | self.lex.sets["angle"]) - {
            "hot",
            "warm",
            "cool",
            "cooler",
            "hotter",
            "wash",
        }:
            return False
        nxt = w[q.end]
        return not nxt.isalpha() or nxt in self.lex.sets["stops"] or nxt in ("today", "outside", "everywhere", "again")

    def _covers(self, i: int) -> bool:
        """Whether a litre or gallon that ends at atom ``i`` is what an area is told for: "a litre covers ten square metres"."""
        w = self.a.w
        if w[i] not in ("covers", "cover", "does", "do", "goes", "will", "would", "'ll", "should"):
            return False
        k = next((k for k in range(i, i + 9) if w[k] in ("square", "sq")), None)
        return k is not None and not {".", "?", "!", ","} & set(w[i:k])

    def _coverage(self, q: Quantity) -> None:
        """An area told for so much paint: "350 square feet a gallon", "a litre covers ten square metres"."""
        w = self.a.w
        k = q.end
        if w[k] in ("a", "an", "per", "the", "to") and (
            unit := self.lex.units.get(w[k + 2] if w[k : k + 2] == ["to", "the"] else w[k + 1])
        ):
            if unit.dim == "volume" and not unit.plural:
                q.unit, q.dim = f"{q.unit} / {unit.name}", "coverage"
                q.end = k + (3 if w[k : k + 2] == ["to", "the"] else 2)
                return
        for j in range(q.start - 1, max(0, q.start - 10), -1):
            if w[j] in (".", "?", "!"):
                return
            before = self.lex.units.get(w[j])
            if before and before.dim == "volume" and not before.plural and self._covers(j + 1):
                if w[j - 1] in ("a", "one", "1", "per", "each", "every", "the"):
                    q.unit, q.dim = f"{q.unit} / {before.name}", "coverage"
                return

    def _article_measures(self, q: Quantity) -> bool:
        """Whether "an inch", "a foot", "a cup" measures: "a foot" may be a presser foot, "a cup" one of tea."""
        w = self.a.w
        nxt = w[q.end]
        prev = w[q.start - 1] if q.start else ""
        if prev == "one" and w[q.start - 2] in ("each", "every", "this", "that"):
            return True  # "kink each one an inch up"
        if w[q.start] in ("a", "an") and w[q.start + 1 : q.end] == [w[q.end - 1]] and self._rate(prev, nxt):
            return False
        if (
            q.unit == "meter"
            and w[q.end - 1] == "meter"
            and prev in ("with", "on")
            and nxt not in ("of", *self.lex.dimension)
        ):
            return False  # the instrument
        if nxt in ("sale", "sales", "handle", "stick"):
            return False
        if nxt == "apart":
            return True
        if w[q.start] in ("a", "an") and what.plural(prev) and q.dim == "length" and prev not in self.lex.units:
            # "eight stitches an inch": per inch
            return prev in ("is", "was", "its") or not (prev.endswith("s") and self._is_counted(q.start - 1))
        if q.value != 1:
            return True
        if q.unit == "foot":
            return nxt in self.lex.dimension or nxt in ("of", "from", "or", "away", "in") or self._before(q.start) > 0
        if q.unit == "cup":
            return nxt == "of" and w[q.end + 1] not in _DRINKS
        if q.unit in ("pound", "volt", "watt", "ampere", "gram", "day", "week"):
            return nxt in ("of", "or") or self._before(q.start) > 0 or q.dim == "time"
        if q.unit == "pint":
            return nxt == "of" and w[q.end + 1] not in _DRINKS
        return True

    def _rate(self, prev: str, nxt: str) -> bool:
        """Whether "a yard", "an hour" after ``prev`` says for how much: "twelve ninety-nine a yard", "a pound a metre"."""
        if nxt in ("apart", "between", "each", "longer", "wider", "and") or nxt in self.lex.dimension:
            return False
        number = starts_number(prev) and prev not in ("a", "an", "half", "quarter")
        return number or is_digits(prev) or prev in self.lex.money or prev in ("much", "coats", "times")

    def _mil(self, q: Quantity) -> None:
        """ "mil": millimetres, millilitres of a liquid, or thousandths of an inch of a film."""
        w = self.a.w
        nxt = w[q.end]
        if nxt == "of" and (w[q.end + 1] in self.lex.sets["liquids"] or w[q.end + 2] in self.lex.sets["liquids"]):
            q.unit, q.dim = "milliliter", "volume"
            return
        word = w[q.number_end]
        film = lexis().sets["films"]
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
        if nxt in ("ago", "later", "old", "earlier") or (nxt == "'" and nxt2 in ("worth", "time")):
            return False
        if nxt == "of" and nxt2 in lexis().sets["talk_of_time"]:
            return False
        if self._talk_time(q):
            return False
        if prev == "first" and w[q.start - 3 : q.start - 1] == ["for", "the"]:
            near = set(w[max(0, q.start - 12) : q.start])
            return bool(near & (sets["heat"] | sets["waiting"] | sets["lasting"]))  # "for the first fifteen minutes"
        if prev in ("last", "next", "past", "this", "few", "any", "other", "first") or w[q.start - 2 : q.start] == [
            "the",
            "last",
        ]:
            return False
        if nxt in ("apart", "between") or (nxt == "in" and nxt2 == "between"):
            return True
        back = w[max(0, q.start - 12) : q.start]
        cues = sets["waiting"] | sets["heat"] | sets["repeat_verbs"] | sets["lasting"]
        around = set(back) | set(w[q.end : q.end + 6])
        hardening = sets["hardening"]
        if prev == "took" and not hardening.isdisjoint(w[max(0, q.start - 8) : q.start] + w[q.end : q.end + 4]):
            return True
        if prev == "every" and w[q.start - 2] in ("it", "them") and q.unit != "minute":
            return True
        if prev == "in" and w[q.start - 2] in hardening:
            return True
        if q.unit in ("day", "week", "month"):
            if around & {"ago", "later", "since", "took", "spent", "deadline"} or prev in ("in", "two", "every"):
                return False
            return bool(around & (sets["waiting"] | sets["lasting"]))
        if {"took", "takes", "take", "spent", "lost", "lose", "video", "laughing"} & set(back[-4:]) and not (
            around & (sets["waiting"] | sets["lasting"])
        ):
            return False
        if (q.article or q.value == 1 or "couple" in q.flags) and q.value_max is None:
            if prev in lexis().sets["chat_minutes"] and not ("couple" in q.flags and q.unit == "hour"):
                return (prev in ("just",) and bool(set(back[-6:]) & cues)) or (
                    prev in ("on", "need") and bool(set(back[-6:]) & cues)
                )
            if q.style == "digits" and prev in ("for", "every", "after", "another"):
                return True
            if q.unit in ("second",):
                return False
            if prev in ("wait", "hang", "hold"):
                return False
            return bool(around & cues)
        return not (prev == "in" and q.unit in ("second", "minute") and not around & sets["waiting"])

    def _talk_time(self, q: Quantity) -> bool:
        """ "ten minutes down the road", "give me two minutes", "if I sit down for five minutes", "I've put five hours in"."""
        w, k = self.a.w, q.end
        if w[k] in ("away", "walk", "drive") or w[k : k + 2] in (["down", "the"], ["up", "the"]):
            return w[k] != "up" or w[k + 2] in ("road", "street", "hill", "lane")
        if w[q.start - 1] == "be" and w[q.start - 2] in ("'ll", "will") and w[q.start - 3] in ("i", "we"):
            return True
        if w[q.start - 1] in ("me", "us") and w[q.start - 2] in ("give", "gives", "gave", "cost"):
            return True
        if w[k] == "in" and not w[k + 1].isalpha() and "put" in w[max(0, q.start - 3) : q.start]:
            return True
        mine = {"i", "me", "we", "'ll"} & set(w[max(0, q.start - 5) : q.start])
        return bool(
            mine
            and {"sit", "sat", "lie"} & set(w[max(0, q.start - 4) : q.start])
            and "it" not in w[max(0, q.start - 4) : q.start]
        )

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

    def _share(self, q: Quantity) -> bool:
        """Whether "half", "a third" with no unit is a share or a plain word; ``True`` means no measurement."""
        w = self.a.w
        word = w[q.number_end - 1]
        nxt = w[q.end]
        if word in ("eighth", "eighths", "sixteenth", "sixteenths") and nxt != "of":
            return bool(w[q.start - 1] in ("the", "this", "that", "every", "my") and q.value.numerator == 1)
        if nxt in ("of", "as", "again"):
            return True
        placed = nxt in ("thick", "deep", "wide", "long", "apart", "from") or (
            nxt in ("up", "in", "down") and w[q.end + 1] == "from"
        )
        shaped = w[q.start] in ("a", "an", "one", "1") and placed and self.length_unit() in ("inch", None)
        shaped = shaped or (self._length_context(q) and nxt in ("'s", "is") and w[q.end + 1] == "too")
        shaped = shaped or (
            w[q.start - 1] in ("less", "plus", "minus") and self._lately() == "inch" and not w[q.end].isalpha()
        )
        moved = w[q.start - 1] in ("in", "down", "off", "up", "out", "back") and w[q.start - 2] in _MOVING
        if moved and not (nxt.isalpha() and nxt not in self.lex.sets["stops"]) and nxt not in ("of", "to"):
            if self.length_unit() in ("inch", None):
                q.unit, q.dim = "inch", "length"
                q.flags.append("assumed unit")
                return False
        goes_on = (
            w[q.start - 1] in ("then", "or", "and", ",")
            and (not w[q.end].isalpha() or w[q.end] in ("more", "further", "deeper"))
            and self.last_length is not None
        )
        if goes_on and self.last_length and self.last_length[1] == "inch" and q.start - self.last_length[0] <= 3:
            shaped = True  # "three eighths, then a quarter"
        if word in ("quarter", "half") and q.value.numerator == 1 and (shaped or self._bare_ruler(q)):
            q.unit, q.dim = "inch", "length"
            q.flags.append("assumed unit")
            return False
        if (
            word in ("quarter", "quarters")
            and w[q.start - 1] in ("scant", "full", "bare")
            and self._ends(q.end)
            and w[q.start - 2] != "the"
        ):
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
        if (nxt.isalpha() and nxt not in self.lex.sets["stops"]) or nxt in ("of", "past", "to", "an", "a"):
            return False
        if w[q.start] not in ("a", "an", "one"):
            return False
        prev = w[q.start - 1]
        near = set(w[max(0, q.start - 6) : q.start])
        worked = near & lexis().sets["edge_work"]
        if (
            prev not in ("at", "to", "about", "it", "under", "up", "over", "by", "and", "in", "'s", "is", *worked)
            or not worked
        ):
            return False
        return self.length_unit() in ("inch", None)
