"""Numbers whose unit went without saying: grits, settings, heats, and lengths told in parallel."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from buildlog.tag.amounts import what
from buildlog.tag.amounts.lexis import lexis
from buildlog.tag.amounts.measured import Measured
from buildlog.tag.amounts.numbers import HYPHENS, starts_number
from buildlog.tag.amounts.quantities import Quantity

GRITS = frozenset({40, 60, 80, 100, 120, 150, 180, 220, 240, 280, 320, 360, 400, 500, 600, 800, 1000, 1200, 1500, 2000})
_SAND = frozenset(
    [
        "sand",
        "sanded",
        "sanding",
        "sandpaper",
        "paper",
        "grit",
        "grits",
        "abrasive",
        "abrasives",
        "emery",
        "denib",
        "denibbed",
    ]
)
_SETTING_LINKS = lexis().sets["setting_links"]
_YEARS = range(1500, 2100)
_COPULAS = frozenset({"its", "thats", "is", "'s", "are", "was", "were", "'re", "at", "to", "be", "measures"})
_THERMOMETER = frozenset({"thermometer", "temperature", "temp", "thermostat"})
_ZIGZAG = frozenset({"zigzag", "zigzagged", "zigzags", "zag"})
_PARALLEL = 18
_TAPER = 14
_LEAST_RATE = 10
_BODY_SAYS = frozenset({"measures", "measured", "came", "comes", "'m", "="})
_BODY_LINKS = (
    _COPULAS | _BODY_SAYS | frozenset({"about", "around", "just", "only", "out", "a", ",", ":", "up", "like", "i"})
)


class Bare(Measured):
    """Numbers whose unit went without saying."""

    def _rate_of(self, q: Quantity) -> int:
        """ "a hundred an hour": how fast a kiln goes up, with no unit."""
        w, k = self.a.w, q.end
        unit = self.lex.units.get(w[k + 1]) if w[k] in ("a", "an", "per") else None
        if unit is None or unit.plural or unit.name not in ("hour", "minute") or q.value < _LEAST_RATE:
            return 0
        if self.a.known.isdisjoint(("kiln", "fire", "fired", "firing", "degrees", "ramp", "oven", "bisque", "bisqued")):
            return 0
        self._emit(q, "setting", of=f"rate per {unit.name}", of_token=None, end=k + 2, confidence=0.6)
        return k + 2

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
            plain = w[k] in (
                "paper",
                "sandpaper",
                "pad",
                "pads",
                "disc",
                "thru",
                "wet",
                "dry",
                "by",
                "slow",
                "light",
                "first",
            )
            chained = q.start - self.last_grit < 14
            goes_on = (
                chained
                and w[q.start - 1] in ("then", "and", "to", "through", "thru", ",")
                and not what.counted(self.a, k)
            )
            if (
                w[k].isalpha()
                and w[k] not in self.lex.sets["stops"]
                and not plain
                and not (goes_on and w[k] not in self.lex.units)
            ):
                return 0
            ahead = any(w[m] in ("grit", "grits") for m in range(k, min(k + 12, self.a.n)))
            sanding = bool(_SAND & set(w[max(0, q.start - 12) : q.start] + w[k : k + 4])) and q.value >= 40
            dry = {"wet", "dry"} <= set(w[max(0, q.start - 8) : q.start] + w[k : k + 8]) and q.value >= 80
            if not (chained or ahead or sanding or dry):
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
        if (w[k] == "stitch" and w[k + 1] in ("length", "width")) or (
            w[k] == "stitch" and q.value <= 6 and (w[q.start - 1] in ("a", "an", "the") or q.fraction)
        ):
            of = f"stitch {w[k + 1]}" if w[k + 1] in ("length", "width") else "stitch length"
            self._emit(q, "setting", of=of, of_token=self.a.tok[k])
            return end
        at = self._from(q)
        j = at - 2 if w[at - 1] == "." and settings.get(w[at - 2]) and not w[end].isalpha() else at - 1
        low = max(0, at - 9)
        while j >= low and (
            w[j] in _SETTING_LINKS or w[j] in HYPHENS or (w[j] == "." and w[j - 1] in ("on", "at", "to"))
        ):
            j -= 1
        if j < low:
            return 0
        text = w[j]
        if text in ("length", "width"):
            if not lexis().sets["stitch_talk"] & set(w[max(0, j - 7) : j] + w[end : end + 3]):
                return 0
            of = f"stitch {text}"
        elif text in ("stitch", "stitches"):
            linked = {"to", "at", "on"} & set(w[j + 1 : at]) or w[j - 1 : at] == ["a", text, "of"]
            fine = q.value <= 6 and q.value.denominator > 1 and text == "stitch" and not self._ruled(q)
            if not linked and not fine:
                return 0
            of = "stitch length"
        elif settings.get(text):
            of = settings[text]
        elif text in ("iron", "machine", "lathe", "oven", "hob", "gas") and (
            w[at - 1] in ("on", "to", "at", "mark") or (text == "gas" and q.value > 1)
        ):
            of = f"{text} setting"
        else:
            return 0
        if j == at - 1 and text in ("heat", "power", "pressure", "level", "mark") and what.counted(self.a, end):
            return 0
        if of in ("heat", "oven setting") and q.value >= 60:
            return 0
        if scale := self.lex.scales.get(w[end]):
            q.unit, q.dim = scale, "heat"
            end += 1
            q.end = end
        if what.counted(self.a, end) and j < at - 1 and w[at - 1] not in ("on", "to", "at", "of"):
            return 0
        self._emit(q, "setting", of=of, of_token=self.a.tok[j])
        return end

    def _ruled(self, q: Quantity) -> bool:
        """Whether ``q`` is rather a part of an inch ("stitch a quarter")."""
        return q.value < 1 and q.fraction and "point" not in self.a.w[q.start : q.end]

    def _heat(self, q: Quantity) -> int:
        w = self.a.w
        value = q.value_max or q.value
        if 20 <= value < 100 and not q.fraction:
            return self._low_heat(q)
        if not 100 <= value <= 900 or q.fraction:
            return 0
        near = set(w[max(0, q.start - 8) : q.start]) | set(w[q.end : q.end + 5])
        prev = w[q.start - 1]
        scale = self.lex.scales.get(w[q.end])
        if scale and len(w[q.end]) > 1:
            self._emit(replace(q, unit=scale, dim="heat"), "setting", of="heat", of_token=None, end=q.end + 1)
            return q.end + 1
        if prev not in ("at", "to", "about", "of", "is", "around", "on", "'s", "-") or (
            w[q.end].isalpha() and w[q.end] not in self.lex.sets["stops"] and w[q.end] != "half"
        ):
            return 0
        if "gun" in near:
            self._emit(q, "setting", of="heat gun setting", of_token=None, confidence=0.7)
            return q.end
        hot = near & lexis().sets["hot_things"]
        if not hot or value % 5:
            return 0
        unit = "degree_Celsius" if near & {"solder", "soldering", "tip", "pads", "tin"} else self._heat_scale(value)
        of = next(iter(sorted(hot)))
        self._emit(
            replace(q, unit=unit, dim="heat", flags=[*q.flags, "assumed unit"]),
            "setting",
            of=f"{of} heat",
            of_token=None,
            confidence=0.75,
        )
        return q.end

    def _low_heat(self, q: Quantity) -> int:
        """ "bring the temperature up to eighty", "dip it at sixty": a heat under a hundred, where a thermometer is spoken of."""
        w = self.a.w
        if w[q.start - 1] not in ("at", "to", "about", "is", "was", "'s", "around") or (
            w[q.end].isalpha() and w[q.end] not in self.lex.sets["stops"]
        ):
            return 0
        near = w[max(0, q.start - 8) : q.start] + w[q.end : q.end + 6]
        again = any(x.kind == "setting" and x.value == q.value and "degree" in (x.unit or "") for x in self.out[-4:])
        mine = (
            w[q.start - 2] in ("mine", "ours", "it", "that")
            and bool(self.out)
            and "degree_" in (self.out[-1].unit or "")
        )
        again = again or (mine and self.a.tok[q.start] - self.out[-1].end < _PARALLEL)
        if not again and _THERMOMETER.isdisjoint(near):
            return 0
        hot = replace(q, unit=self._heat_scale(q.value), dim="heat", flags=[*q.flags, "assumed unit"])
        self._emit(hot, "setting", of="heat", of_token=None, confidence=0.7)
        return q.end

    def _body(self, q: Quantity) -> int:
        """A measure of the body with no unit: "waist 34", "my hip is thirty-eight"; inches or centimetres by its size."""
        w = self.a.w
        k = q.end
        if (
            not 5 <= q.value <= 2000
            or (w[k].isalpha() and w[k] not in self.lex.sets["stops"])
            or w[k] in ("times", "percent", "in", "from")
        ):
            return 0
        j = q.start - 1
        while j > q.start - 6 and (w[j] in _BODY_LINKS or w[j] in HYPHENS):
            j -= 1
        if j < 0 or w[j] not in lexis().sets["body"]:
            return 0
        linked = any(x in _COPULAS or x in _BODY_SAYS for x in w[j + 1 : q.start])
        if not linked and (j != q.start - 1 or (w[j - 1] in ("my", "your", "the", "of") and q.value < 12)):
            return 0
        said = self.length_unit()
        if (q.value > 130) != (said == "millimeter") and (q.value > 130 or q.value < 30):
            return 0
        long = q.value > 80 or (said in ("centimeter", "millimeter") and q.value >= 30)
        unit = "millimeter" if q.value > 130 else "centimeter" if long else "inch"
        self._emit(
            replace(q, unit=unit, dim="length", flags=[*q.flags, "assumed unit"]),
            "measurement",
            of=w[j],
            of_token=self.a.tok[j],
            confidence=0.7,
        )
        self.last_length = (q.end, unit)
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
            return self._mixed(q) if q.value > 1 and not length else 0
        if (quarter or half) and not ruler and what.counted(self.a, q.end) and not noun:
            return 0
        unit = self.last_length[1] if length and self.last_length and not ruler else "inch"
        metric = unit in ("centimeter", "millimeter") and q.value > 1 and q.value.denominator == 2
        metric = metric and (not w[q.end].isalpha() or w[q.end] in self.lex.sets["stops"])
        if unit not in ("inch", "yard", "foot") and not ruler and not metric:
            return 0
        if unit in ("yard", "foot"):
            unit = "inch" if ruler else unit
        q.unit, q.dim = unit, "length"
        q.flags.append("assumed unit")
        return self._with_unit(q)

    def _mixed(self, q: Quantity) -> int:
        """ "the block's a twenty-two and a half": a measure, of what unit is not said."""
        w = self.a.w
        nxt = w[q.end]
        if what.counted(self.a, q.end) or (nxt.isalpha() and nxt not in self.lex.sets["stops"]) or nxt == "times":
            return 0
        if lexis().sets["somebody"] & set(w[max(0, q.start - 3) : q.start]) or q.value_max is not None:
            return 0  # an age
        if w[q.start : q.end] == ["one", "and", "half"]:
            return 0  # "half out of this one and half out of that"
        linked = (
            "a",
            "at",
            "is",
            "'s",
            "to",
            "about",
            "its",
            "thats",
            ",",
            ":",
            "of",
            "cut",
            "are",
            "with",
            "in",
            "it",
            "leave",
        )
        if w[q.start - 1] not in linked:
            return 0
        before = what.noun_before(self.a, q.start)
        of, token = (before[0], self.a.tok[before[1]]) if before else (None, None)
        unit = self.length_unit(q.value)
        if unit is not None:
            q.unit, q.dim = unit, "length"
            q.flags.append("assumed unit")
        self._emit(q, "measurement", of=of, of_token=token, confidence=0.55)
        return q.end

    def _elliptic(self, q: Quantity) -> int:
        """ "nine tall" after "seven inches wide": the unit of the length said last."""
        w = self.a.w
        k = q.end
        if w[k] in ("wide", "long") and q.value <= 8 and not _ZIGZAG.isdisjoint(w[max(0, q.start - 12) : q.start]):
            self._emit(
                q, "setting", of="stitch width" if w[k] == "wide" else "stitch length", of_token=None, confidence=0.7
            )
            return q.end
        if self._parallel(q):
            return self._with_unit(q)
        if self._tapering(q):
            return self._with_unit(q)
        if not self._length_context(q) or self.last_length is None:
            return self._shaped(q)
        if (
            q.value == 1
            and w[k] in ("long", "wide", "deep", "high", "thick", "square")
            and w[k + 1].isalpha()
            and w[k + 1] not in self.lex.sets["stops"]
        ):
            return 0  # "in one long glide"
        # "ten millimetres, nine point eight really"
        apposed = q.value.denominator > 1 and q.start - self.last_length[0] <= 2 and not q.fraction
        apposed = apposed and w[q.start - 1] not in ("by", "times", "and")
        if w[k] not in self.lex.dimension and not apposed:
            return 0
        if w[k] != "square" and (what.counted(self.a, k + 1) or w[k + 1] in ("one", "ones")):
            return 0
        if w[k] == "square" and w[k + 1].isalpha() and w[k + 1] not in self.lex.sets["stops"]:
            return 0
        q.unit, q.dim = self._neighbour(self.last_length[1], q), "length"
        q.flags.append("inherited unit")
        return self._with_unit(q)

    def _tapering(self, q: Quantity) -> bool:
        """The lower end of what runs "from twenty millimetres at the lugs to sixteen at the buckle", "down to point six"."""
        w = self.a.w
        near = self.last_length is not None and q.start - self.last_length[0] < _TAPER
        if (
            not near
            or self.last_length is None
            or what.counted(self.a, q.end)
            or w[q.end] in ("times", "percent", "per", "grit")
        ):
            return False
        if w[q.end].isalpha() and w[q.end] not in self.lex.sets["stops"]:
            return False
        k = q.start - 1
        while w[k] in ("about", "around", "roughly", "just", "nearly", "maybe"):
            k -= 1
        if w[k] == "over" and q.end > k and not {".", "?", "!", ","} & set(w[self.last_length[0] : q.start]):
            q.unit, q.dim = self._neighbour(self.last_length[1], q), "length"
            q.flags.append("inherited unit")
            return True
        narrows = w[k] == "to" and not {".", "?", "!"} & set(w[self.last_length[0] : q.start])
        if not narrows or not lexis().sets["narrowing"] & set(w[max(0, k - 18) : k]):
            return False
        q.unit, q.dim = self._neighbour(self.last_length[1], q), "length"
        q.flags.append("inherited unit")
        return True

    def _shaped(self, q: Quantity) -> int:
        """ "twenty thick", "two hundred long" where no length was told lately: the speaker's usual unit, or none."""
        w, k = self.a.w, q.end
        nxt = w[k + 1]
        if w[k] not in ("thick", "wide", "deep", "long", "tall", "high") or q.value == 1 or q.value > 5000:
            return 0
        if (nxt.isalpha() and nxt not in self.lex.sets["stops"]) or starts_number(w[q.start - 1]):
            return 0
        if nxt in ("one", "ones"):
            return self._counted(q, f"{w[k]} ones", None, k + 2, 0.65)  # "the two long ones"
        unit = self.length_unit()
        if unit is not None:
            q.unit, q.dim = unit, "length"
            q.flags.append("assumed unit")
            return self._with_unit(q)
        self._emit(q, "measurement", of=self.lex.dimension[w[k]], of_token=None, confidence=0.6)
        return q.end

    def _parallel(self, q: Quantity) -> bool:
        """Lengths and angles told in parallel: "the top is ten inches deep, the middle one is twelve"."""
        w = self.a.w
        at = self._from(q)
        prev = w[at - 1] if at else ""
        nxt = w[q.end]
        if (nxt.isalpha() and nxt not in self.lex.sets["stops"]) or nxt in ("of", "by"):
            return False
        if nxt in HYPHENS or (q.style == "digits" and q.value in _YEARS):
            return False
        if prev in ("was", "is", "'s", "'re") and w[at - 2] in self.lex.sets["kin"]:
            return False  # an age
        angle = lexis().sets["mitres"]
        if (
            prev in ("at", "to")
            and q.value in (30, 45, 60, 90, Fraction(45, 2))
            and angle & set(w[max(0, q.start - 10) : q.end + 6])
        ):
            q.unit, q.dim = "degree", "angle"
            q.flags.append("assumed unit")
            return True
        if nxt in ("in", "to", "at", "on"):
            return False
        if prev == "at" and q.start - self.last_count < 6 and (unit := self.length_unit()):
            q.unit, q.dim = unit, "length"
            q.flags.append("assumed unit")
            return True
        if w[at - 2] == "there":
            return False
        linked = prev in _COPULAS
        if prev in ("about", "only", "just", "roughly", "nearly"):
            before = w[max(0, at - 3) : at - 1]
            linked = not {".", "used", "needed", "cut", "have", "got", "made"} & set(before)
        if not linked:
            return False
        told = (prev in ("'s", "is", "are") and w[at - 2] in ("that", "there", "it")) or prev in ("thats", "its")
        counting = told and self.last_unit and self.last_count > self.last_unit[0]
        if self.last_unit and q.start - self.last_unit[0] < _PARALLEL and not counting:
            _, unit_said, dim, value = self.last_unit
            if value / 5 <= q.value <= value * 5 and q.value != 1:
                q.unit, q.dim = unit_said, dim
                q.flags.append("inherited unit")
                return True
        sizing = lexis().sets["sizing"]
        if sizing & set(w[max(0, q.start - 12) : q.start]) and "stitch" not in w[max(0, q.start - 12) : q.start]:
            unit = self.length_unit()
            if unit and q.value > 1:
                q.unit, q.dim = unit, "length"
                q.flags.append("assumed unit")
                return True
        return False
