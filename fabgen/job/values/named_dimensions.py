"""Named dimensions: formulas that use one another in any order."""

from __future__ import annotations

import re
from collections.abc import Mapping

from fabgen.job.errors import InputError, Problem, Problems, shown
from fabgen.job.values.arithmetic import CONSTANTS, FUNCTIONS
from fabgen.job.values.formulas import Formula
from fabgen.job.values.ordering import in_order
from fabgen.job.values.quantity import UNIT_WORDS, Quantity
from fabgen.job.values.units import parse_length

RESERVED = frozenset((*UNIT_WORDS, *FUNCTIONS, *CONSTANTS))
"""Words with a meaning of their own, which no dimension or point may take as its name."""

_NAME = re.compile(r"[^\W\d_]\w{0,39}")


def resolve_dimensions(given: Mapping[str, object], units: str) -> tuple[dict[str, Quantity | None], list[Problem]]:
    """The values of [dimensions], in any order.

    Args:
        given: by name as the file has them; a bare number is a length.
        units: "mm" or "in", of bare numbers.
    Returns: the values, None for a dimension with a fault, and every fault among them.
    """
    values: dict[str, Quantity | None] = dict.fromkeys(given)
    problems = Problems()
    formulas: dict[str, Formula] = {}
    for name, written in given.items():
        with problems.at("dimensions", name):
            check_name(name)
            if isinstance(written, str):
                formulas[name] = Formula.read(written, given)
            else:
                values[name] = Quantity(parse_length(written, units), length=1)
    order, loops = in_order({name: set(formula.needs.values()) for name, formula in formulas.items()})
    for loop in loops:
        problems.append(Problem(("dimensions", loop[0]), f"these dimensions go round in a loop: {' -> '.join(loop)}"))
    for name in order:
        with problems.at("dimensions", name):
            value = formulas[name].value(values, units)
            is_length = value.bare or (value.length, value.angle) == (1, 0)
            values[name] = Quantity(formulas[name].length(values, units), length=1) if is_length else value
    return values, problems


def check_name(name: str) -> None:
    """Nothing where `name` may be a dimension's.

    Raises:
        InputError: it has a meaning of its own, or cannot stand in a formula.
    """
    if name in RESERVED:
        what = "unit" if name in UNIT_WORDS else "function" if name in FUNCTIONS else "constant"
        raise InputError(f"{shown(name)} is the name of a {what}", "a name of your own, e.g. " + f'"{name}_1"')
    if not _NAME.fullmatch(name):
        what = f"{shown(name)} cannot be used in formulas as a name"
        accepted = "letters, digits and underscores, a letter first, at most 40 of them"
        raise InputError(what, accepted, re.sub(r"\W+", "_", name[:40]).strip("_0123456789"))
