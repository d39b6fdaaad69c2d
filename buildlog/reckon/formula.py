"""The little language of a derived amount: "(chest / 3) + 5 inch". Names, amounts, + - x / and brackets; nothing else.

A formula is read here and never handed to Python: text from a log is foreign text.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from buildlog.errors import BadInput, one_line
from buildlog.reckon.units import LENGTH, Amount, canonical, parse_number

MOST_CHARACTERS = 400
_MOST_DEPTH = 20
_COARSE = ("yard", "meter", "foot")  # "three yards plus six" are inches more
_WORD = re.compile(r"[^\W\d_][\w'’]*(?:-[\w'’]+)*")


@dataclass(frozen=True, slots=True)
class Name:
    """A named quantity."""

    name: str


@dataclass(frozen=True, slots=True)
class Number:
    """An amount written in the formula."""

    amount: Amount


@dataclass(frozen=True, slots=True)
class Op:
    """Two sides and what joins them."""

    sign: Literal["+", "-", "x", "/"]
    left: Node
    right: Node


Node = Name | Number | Op


class _Reader:
    def __init__(self, text: str, names: Sequence[str]) -> None:
        if len(text) > MOST_CHARACTERS:
            raise BadInput(f"the formula is longer than {MOST_CHARACTERS} characters; split it into named steps")
        self.text, self.at = text, 0
        self.names = sorted((n for n in names if n), key=len, reverse=True)

    def _fail(self) -> BadInput:
        rest = one_line(self.text[self.at : self.at + 20]) or "its end"
        return BadInput(
            f"the formula “{one_line(self.text, 60)}” cannot be read at “{rest}”; use names, amounts, + - x / ( )"
        )

    def _space(self) -> None:
        while self.at < len(self.text) and self.text[self.at].isspace():
            self.at += 1

    def _sign(self, signs: str) -> str | None:
        self._space()
        c = self.text[self.at : self.at + 1]
        following = self.text[self.at + 1 : self.at + 2]
        if c == "x" and following and (following.isalnum() or following in "-'"):
            return None
        c = {"×": "x", "*": "x", "÷": "/", "−": "-"}.get(c, c)
        if c and c in signs:
            self.at += 1
            return c
        return None

    def whole(self) -> Node:
        node = self._sum(0)
        self._space()
        if self.at < len(self.text):
            raise self._fail()
        return node

    def _sum(self, depth: int) -> Node:
        if depth > _MOST_DEPTH:
            raise BadInput("the formula has too many brackets; split it into named steps")
        node = self._product(depth)
        while sign := self._sign("+-"):
            node = Op(sign, node, self._product(depth))  # type: ignore[arg-type]
        return node

    def _product(self, depth: int) -> Node:
        node = self._single(depth)
        while sign := self._sign("x/"):
            node = Op(sign, node, self._single(depth))  # type: ignore[arg-type]
        return node

    def _single(self, depth: int) -> Node:
        self._space()
        if self.text[self.at : self.at + 1] == "(":
            self.at += 1
            node = self._sum(depth + 1)
            self._space()
            if self.text[self.at : self.at + 1] != ")":
                raise self._fail()
            self.at += 1
            return node
        known = self._known()
        if known:
            return Name(known)
        number = re.match(r"\d|\.\d", self.text[self.at :])
        if number:
            return self._amount()
        word = _WORD.match(self.text, self.at)
        if not word:
            raise self._fail()
        words = []
        while word and word.group() != "x":
            words.append(word.group())
            self.at = word.end()
            self._space()
            word = _WORD.match(self.text, self.at)
        if not words:
            raise self._fail()
        return Name(" ".join(words))

    def _known(self) -> str | None:
        rest = self.text[self.at :]
        for name in self.names:
            if rest.casefold().startswith(name.casefold()) and not rest[len(name) : len(name) + 1].isalnum():
                self.at += len(name)
                return name
        return None

    def _amount(self) -> Number:
        found = re.match(r"\d+\s+\d+/\d+|\d+/\d+|\d+\.?\d*|\.\d+", self.text[self.at :])
        assert found is not None
        value, _ = parse_number(found.group())
        self.at += found.end()
        self._space()
        unit = re.match(r"[a-zA-Z]+(?:_[a-zA-Z]+)*|[\"″']", self.text[self.at :])
        if unit and unit.group() != "x":
            try:
                name = canonical(unit.group())
            except BadInput:
                return Number(Amount(value))
            self.at += unit.end()
            return Number(Amount.of(value, name))
        return Number(Amount(value))


def read(text: str, names: Sequence[str] = ()) -> Node:
    """The formula ``text``; ``names`` are quantities that may be written with odd characters. Raises BadInput."""
    return _Reader(text, names).whole()


def names_in(node: Node) -> list[str]:
    """The named quantities, in order, each once."""
    if isinstance(node, Name):
        return [node.name]
    if isinstance(node, Op):
        return list(dict.fromkeys(names_in(node.left) + names_in(node.right)))
    return []


def work_out(node: Node, values: Mapping[str, Amount], unit: str, assume: Callable[[str], None]) -> Amount:
    """The amount ``node`` comes to.

    A bare number added to a length is taken in ``unit``, and ``assume`` is told so. Raises :class:`BadInput`.
    """
    if isinstance(node, Number):
        return node.amount
    if isinstance(node, Name):
        return values[node.name]
    left = work_out(node.left, values, unit, assume)
    right = work_out(node.right, values, unit, assume)
    if node.sign == "x":
        return left * right
    if node.sign == "/":
        return left / right
    left, right = _alike(node, left, right, unit, assume)
    return left + right if node.sign == "+" else left - right


def _alike(node: Op, left: Amount, right: Amount, unit: str, assume: Callable[[str], None]) -> tuple[Amount, Amount]:
    """Gives a bare number of a sum the unit of what it is added to, where that was told in inches, centimetres and the like,
    else the one that the maker measures in."""
    if left.dims and not right.dims and isinstance(node.right, Number):
        return left, _taken(right, left, unit, assume)
    if right.dims and not left.dims and isinstance(node.left, Number):
        return _taken(left, right, unit, assume), right
    return left, right


def _taken(bare: Amount, beside: Amount, unit: str, assume: Callable[[str], None]) -> Amount:
    own = beside.unit or unit
    if beside.dims == LENGTH and own in _COARSE:
        own = unit
    assume(f"{bare.base} was said without a unit and is taken as {own}")
    return Amount.of(bare.base, own)
