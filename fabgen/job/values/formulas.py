"""Formulas: figures with units, named dimensions, + - * / and powers, and a few functions.

A formula is cut into words here, each figure with its unit becoming one value, and only
the plain expression that is left, e.g. `(v0+v1*v2)`, goes to the evaluator, which knows
nothing but names, brackets and the operators and functions of `arithmetic.py`.  Text,
depth, powers and results are bounded.
"""

from __future__ import annotations

import re
from collections.abc import Container, Mapping
from dataclasses import dataclass

from fabgen.job.errors import FollowOnError, InputError, listed, nearest, shown
from fabgen.job.values.arithmetic import CONSTANTS, FUNCTIONS, evaluator
from fabgen.job.values.quantity import GAUGE_ADVICE, GAUGES, UNIT_WORDS, Quantity, scan, tidy, with_points

Names = Mapping[str, Quantity | None]
"""Named dimensions; None is one that has a fault of its own, reported already."""

DEEPEST = 20

FORMULA_ADVICE = 'a formula of numbers, units and named dimensions, e.g. "track / 2 - 12 mm"'

_WORD = re.compile(r"[^\W\d]\w*")
_FIGURES = str.maketrans("oOlI", "0011")
"""Letters that are typed for figures."""
_OPERATOR = re.compile(r"\*\*|[-+*/^,()]")


@dataclass(frozen=True)
class Formula:
    """A formula cut into words: the plain `expression`, its own figures, and the names it needs."""

    text: str
    expression: str
    figures: Mapping[str, Quantity]
    needs: Mapping[str, str]

    @staticmethod
    def read(text: str, names: Container[str] = ()) -> Formula:
        """The formula in a text.

        Args:
            text: as the file has it.
            names: of dimensions that there are, for what is offered where it is no formula.
        Raises:
            InputError: the text is no formula.
        """
        return _Reading(tidy(text), names).formula()

    def value(self, names: Names, units: str) -> Quantity:
        """The formula's value where named dimensions have the values `names`.  Raises InputError."""
        values = dict(self.figures)
        for variable, name in self.needs.items():
            values[variable] = _named(name, names)
        if self.expression in values:
            return values[self.expression]
        worker = evaluator(units)
        worker.names = values
        try:
            result = worker.eval(self.expression)
        except InputError as fault:
            raise fault.about(shown(self.text)) from None
        except (ArithmeticError, ValueError, SyntaxError, RecursionError, MemoryError):
            raise InputError(f"cannot work out {shown(self.text)}", FORMULA_ADVICE) from None
        assert isinstance(result, Quantity)
        return result

    def length(self, names: Names, units: str) -> float:
        """The value in mm, a bare number counting in the job's `units`.  Raises InputError."""
        value = self.value(names, units)
        try:
            return value.as_length(units)
        except InputError as fault:
            raise fault.about(shown(self.text)) from None

    def angle(self, names: Names, units: str) -> float:
        """The value in rad, a bare number counting in degrees.  Raises InputError."""
        value = self.value(names, units)
        try:
            return value.as_angle()
        except InputError as fault:
            raise fault.about(shown(self.text)) from None


class UnknownNameError(InputError):
    """A name that stands for no dimension."""


def _named(name: str, names: Names) -> Quantity:
    if name in names:
        value = names[name]
        if value is None:
            raise FollowOnError(f"the dimension {shown(name)} has a fault of its own")
        return value
    if not names:
        raise UnknownNameError(
            f"there is no dimension {shown(name)}", "names given under [dimensions]; there are none yet"
        )
    what = f"there is no dimension {shown(name)}"
    accepted = f"names given under [dimensions]: {listed(names)}"
    raise UnknownNameError(what, accepted, nearest(name, [*names, *FUNCTIONS, *CONSTANTS]))


class _Reading:
    """One pass over a formula's text, which knows at each place what may come next."""

    def __init__(self, text: str, known: Container[str]) -> None:
        self.text = text
        self.known = known
        self.at = 0
        self.out: list[str] = []
        self.figures: dict[str, Quantity] = {}
        self.needs: dict[str, str] = {}
        self.brackets: list[bool] = []
        """The open brackets; True where they are a function's, so that commas may stand in them."""
        self.signs = 0

    def formula(self) -> Formula:
        needs_number = True
        while self._skip_space():
            needs_number = self._figure() if needs_number else self._operator()
        if needs_number:
            raise self._fault("ends where a number is needed")
        if self.brackets:
            raise self._fault("has an open bracket that is never closed")
        return Formula(self.text, "".join(self.out), self.figures, self.needs)

    def _skip_space(self) -> bool:
        while self.at < len(self.text) and self.text[self.at] == " ":
            self.at += 1
        return self.at < len(self.text)

    def _figure(self) -> bool:
        """Read what may stand where a number is needed; True when a number is still needed."""
        if found := scan(self.text, self.at):
            quantity, self.at = found
            self._put(quantity)
            return False
        if word := _WORD.match(self.text, self.at):
            return self._word(word[0])
        sign = self.text[self.at]
        if sign == "(":
            self._open(False)
        elif sign in "+-" and self.signs < 2:
            self.out.append(sign)
            self.signs += 1
        else:
            raise self._fault(f"has {shown(sign)} where a number is needed")
        self.at += 1
        return True

    def _word(self, word: str) -> bool:
        self.at += len(word)
        if word in FUNCTIONS:
            if not (self._skip_space() and self.text[self.at] == "("):
                raise self._fault(f"has {word} without brackets after it", f"{word}( … )")
            self.out.append(word)
            self._open(True)
            self.at += 1
            return True
        if word in CONSTANTS:
            self._put(CONSTANTS[word])
        elif word in UNIT_WORDS:
            raise self._fault(
                f"has the unit {word} without a number before it", f'a number and its unit, e.g. "2 {word}"'
            )
        else:
            variable = f"v{len(self.out)}"
            self.needs[variable] = word
            self.out.append(variable)
            self.signs = 0
        return False

    def _put(self, quantity: Quantity) -> None:
        variable = f"v{len(self.out)}"
        self.figures[variable] = quantity
        self.out.append(variable)
        self.signs = 0

    def _open(self, of_function: bool) -> None:
        if len(self.brackets) == DEEPEST:
            raise self._fault(f"has brackets more than {DEEPEST} deep")
        self.brackets.append(of_function)
        self.out.append("(")
        self.signs = 0

    def _operator(self) -> bool:
        """Read what may follow a number; True when a number is needed next."""
        found = _OPERATOR.match(self.text, self.at)
        if found is None or found[0] == "(":
            raise self._stray()
        sign = found[0]
        self.at = found.end()
        if sign == ")":
            if not self.brackets:
                raise self._fault("has a closing bracket too many")
            self.brackets.pop()
            self.out.append(")")
            return False
        if sign == "," and not (self.brackets and self.brackets[-1]):
            accepted = "a point before decimals, e.g. 48.3, and nothing between thousands"
            raise self._fault("has a comma", accepted, self._offered(with_points(self.text)))
        self.out.append("**" if sign == "^" else sign)
        self.signs = 1
        return True

    def _stray(self) -> InputError:
        """The fault of something that cannot follow a figure."""
        word = _WORD.match(self.text, self.at)
        before = self.text[: self.at].rstrip()
        if word and before[-1:].isdigit() and word[0].lower() in GAUGES:
            return self._fault("is a gauge number, which differs with the metal and the table", GAUGE_ADVICE)
        if word and before[-1:].isdigit():
            return self._fault(
                f"has {shown(word[0])} after a number, which is not a unit",
                "mm, cm, m, in, ft, thou; deg, rad; * between a number and a dimension",
                self._meant_after_number(word[0]),
            )
        if word and word[0] in UNIT_WORDS:
            return self._fault(
                f"has the unit {word[0]} after something that is not a number", "a unit right after its number"
            )
        here = self.text[self.at]
        if word or here.isdigit() or here in "(.":
            return self._fault(
                f"has two numbers side by side at {shown(self.text[self.at :])}",
                "an operator between numbers: + - * /; feet and inches each with their unit: 5' 3 1/2\"",
            )
        return self._fault(f"has {shown(here)}, which has no meaning here", FORMULA_ADVICE)

    def _meant_after_number(self, word: str) -> str:
        """What a word after a number was meant as: figures, a dimension to multiply with, or a unit."""
        front, behind = self.text[: self.at], self.text[self.at + len(word) :]
        if front[-1:].isdigit() and (figures := word.translate(_FIGURES)).isdigit():
            return self._offered(front + figures + behind)
        if word in self.known:
            return self._offered(f"{front.rstrip()} * {word}{behind}")
        return _nearest_unit(word)

    def _offered(self, text: str) -> str:
        """The text in quotes where it is a formula, else ''."""
        try:
            return shown(Formula.read(text).text) if text and text != self.text else ""
        except InputError:
            return ""

    def _fault(self, what: str, accepted: str = FORMULA_ADVICE, near: str = "") -> InputError:
        return InputError(f"{shown(self.text)} {what}", accepted, near)


def _nearest_unit(word: str) -> str:
    """The unit most like a word: one of its length, or one that begins so (oo is no foot)."""
    of_its_length = [unit for unit in UNIT_WORDS if len(unit) == len(word)]
    return nearest(word, of_its_length) or nearest(word, [unit for unit in UNIT_WORDS if unit[0] == word[0].lower()])
