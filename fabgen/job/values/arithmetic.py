"""Arithmetic on quantities that watches their dimensions: the operators and functions of formulas.

A length times a length is no length.  A bare number added to a length counts in the job's
units, added to an angle in degrees; sin, cos and tan take a bare number as degrees.  Every
result is bounded.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Callable
from functools import cache

from simpleeval import SimpleEval

from fabgen.job.errors import InputError
from fabgen.job.values.quantity import ANGLE_UNITS, LARGEST_VALUE, Quantity, in_mm

HIGHEST_POWER = 4


class Arithmetic:
    """The operators and functions of formulas for one system of units ("mm" or "in")."""

    def __init__(self, units: str) -> None:
        self.units = units
        self.operators: dict[type[ast.AST], Callable[..., Quantity]] = {
            ast.Add: self.add,
            ast.Sub: lambda a, b: self.add(a, _scaled(b, -1.0)),
            ast.Mult: lambda a, b: _product(a, b, 1),
            ast.Div: lambda a, b: _product(a, b, -1),
            ast.Pow: _power,
            ast.USub: lambda a: _scaled(a, -1.0),
            ast.UAdd: lambda a: a,
        }
        self.functions: dict[str, Callable[..., Quantity]] = {
            name: _counted(name, least, most, work) for name, (least, most, work) in self._functions().items()
        }

    def _functions(self) -> dict[str, tuple[int, int, Callable[..., Quantity]]]:
        return {
            "sqrt": (1, 1, lambda a: _power(a, Quantity(0.5, bare=True))),
            "abs": (1, 1, lambda a: _checked(abs(a.value), a)),
            "sin": (1, 1, lambda a: _ratio(math.sin(_turn("sin", a)))),
            "cos": (1, 1, lambda a: _ratio(math.cos(_turn("cos", a)))),
            "tan": (1, 1, lambda a: _ratio(math.tan(_turn("tan", a)))),
            "asin": (1, 1, lambda a: Quantity(math.asin(_within_one("asin", a)), angle=1)),
            "acos": (1, 1, lambda a: Quantity(math.acos(_within_one("acos", a)), angle=1)),
            "atan": (1, 1, lambda a: Quantity(math.atan(_pure("atan", a)), angle=1)),
            "atan2": (2, 2, lambda *q: Quantity(math.atan2(*(a.value for a in self.alike(*q))), angle=1)),
            "hypot": (2, 3, lambda *q: self.over(lambda *v: math.hypot(*v), *q)),
            "min": (1, 20, lambda *q: self.over(lambda *v: min(v), *q)),
            "max": (1, 20, lambda *q: self.over(lambda *v: max(v), *q)),
        }

    def add(self, a: Quantity, b: Quantity) -> Quantity:
        return self.over(lambda x, y: x + y, a, b)

    def over(self, work: Callable[..., float], *given: Quantity) -> Quantity:
        """`work` done on the values of quantities of one dimension; the result has it too."""
        alike = self.alike(*given)
        return _checked(work(*(q.value for q in alike)), alike[0])

    def alike(self, *given: Quantity) -> list[Quantity]:
        """The quantities in one dimension: bare numbers beside others take the others' unit."""
        model = next((q for q in given if not q.bare), None)
        if model is None:
            return list(given)
        alike = [self._like(model, q) if q.bare else q for q in given]
        for q in alike:
            if (q.length, q.angle) != (model.length, model.angle):
                raise InputError(f"adds or compares {model.kind} and {q.kind}", "values of one kind")
        return alike

    def _like(self, model: Quantity, bare: Quantity) -> Quantity:
        dimension = (model.length, model.angle)
        if dimension == (1, 0):
            return Quantity(in_mm(bare.value, self.units), length=1)
        if dimension == (0, 1):
            return Quantity(bare.value * ANGLE_UNITS["deg"], angle=1)
        return Quantity(bare.value) if dimension == (0, 0) else bare


def _counted(name: str, least: int, most: int, work: Callable[..., Quantity]) -> Callable[..., Quantity]:
    def checked(*given: Quantity) -> Quantity:
        if not least <= len(given) <= most:
            wanted = str(least) if least == most else f"{least} to {most}"
            raise InputError(f"{name}() has {len(given)} values in its brackets", f"{name}() takes {wanted}")
        return work(*given)

    return checked


def _checked(value: float, like: Quantity) -> Quantity:
    if not math.isfinite(value) or abs(value) > LARGEST_VALUE:
        raise InputError("comes to a number too large to work with")
    return Quantity(value, like.length, like.angle, like.bare)


def _scaled(a: Quantity, factor: float) -> Quantity:
    return _checked(a.value * factor, a)


def _product(a: Quantity, b: Quantity, power: int) -> Quantity:
    """a * b, or a / b where `power` is -1."""
    if power < 0 and b.value == 0.0:
        raise InputError("divides by zero")
    value = a.value * b.value if power > 0 else a.value / b.value
    length, angle = a.length + power * b.length, a.angle + power * b.angle
    if max(abs(length), abs(angle)) > HIGHEST_POWER:
        raise InputError(f"multiplies lengths or angles more than {HIGHEST_POWER} deep")
    return _checked(value, Quantity(0.0, length, angle, a.bare and b.bare))


def _power(a: Quantity, exponent: Quantity) -> Quantity:
    n = exponent.value
    if (exponent.length, exponent.angle) != (0, 0):
        raise InputError(f"has {exponent.kind} as a power", "a bare number as a power")
    if abs(n) > HIGHEST_POWER:
        raise InputError(f"has a power of {n:g}", f"a power from -{HIGHEST_POWER} to {HIGHEST_POWER}")
    length, angle = a.length * n, a.angle * n
    if length != int(length) or angle != int(angle):
        raise InputError(f"takes a root of {a.kind}", "the square root of an area, or of a bare number")
    if a.value < 0.0 and n != int(n):
        raise InputError("takes a root of a number below zero")
    if a.value == 0.0 and n < 0.0:
        raise InputError("divides by zero")
    if max(abs(length), abs(angle)) > HIGHEST_POWER:
        raise InputError(f"multiplies lengths or angles more than {HIGHEST_POWER} deep")
    return _checked(math.pow(a.value, n), Quantity(0.0, int(length), int(angle), a.bare))


def _ratio(value: float) -> Quantity:
    return _checked(value, Quantity(0.0, bare=True))


def _turn(name: str, a: Quantity) -> float:
    if a.bare:
        return math.radians(a.value)
    if (a.length, a.angle) != (0, 1):
        raise InputError(f"{name}() is given {a.kind}", f"{name}() takes an angle; a bare number counts in degrees")
    return a.value


def _pure(name: str, a: Quantity) -> float:
    if (a.length, a.angle) != (0, 0):
        raise InputError(f"{name}() is given {a.kind}", f"{name}() takes a ratio, e.g. {name}(rise / run)")
    return a.value


def _within_one(name: str, a: Quantity) -> float:
    value = _pure(name, a)
    # A hair over one is rounding, e.g. acos(a / sqrt(a * a)).
    if abs(value) > 1.0 + 1e-9:
        raise InputError(f"{name}() is given {value:g}", f"{name}() takes a ratio from -1 to 1")
    return max(-1.0, min(1.0, value))


@cache
def evaluator(units: str) -> SimpleEval:
    """The evaluator for one system of units, stripped of all it could do beyond `Arithmetic`."""
    arithmetic = Arithmetic(units)
    worker = SimpleEval(operators=arithmetic.operators, functions=arithmetic.functions, names={})
    known = (ast.Expr, ast.Name, ast.UnaryOp, ast.BinOp, ast.Call)
    worker.nodes = {node: work for node, work in worker.nodes.items() if node in known}
    return worker


FUNCTIONS = tuple(Arithmetic("mm").functions)
CONSTANTS = {"pi": Quantity(math.pi, bare=True)}
