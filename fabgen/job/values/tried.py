"""Named dimensions that have another figure for one run than the job file gives them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from fabgen.job.errors import InputError, Problem, listed, nearest, shown
from fabgen.job.values.formulas import Formula, Names
from fabgen.job.values.named_dimensions import resolve_dimensions
from fabgen.job.values.quantity import Quantity
from fabgen.wording.sentence import Sentence, Value, degrees, mm, number, sentence

OPTION = "--set"
_ADVICE = f'a name, = and a value, e.g. {OPTION} track=1500 or {OPTION} "track = 10 1/2 in"'


@dataclass(frozen=True, slots=True)
class Tried:
    """A named dimension with the figure that is tried, the text that gave it, and the one that the file has."""

    name: str
    text: str
    value: Quantity
    given: Quantity

    @property
    def said(self) -> Sentence:
        """'track = 1500 mm in place of 1480 mm'."""
        return sentence(f"{self.name} = ", worded(self.value), " in place of ", worded(self.given))


def worded(value: Quantity) -> Value:
    """A dimension's value as sentences have it."""
    if (value.length, value.angle) == (1, 0):
        return mm(value.value, 2)
    return degrees(value.value, 2) if (value.length, value.angle) == (0, 1) else number(value.value, 4)


def figures_in(options: Iterable[str]) -> dict[str, str]:
    """The texts of figures by the names that they are for.

    Args:
        options: as typed, 'track = 1500 mm'.
    Raises:
        InputError: one is no name and value, or two are for one name.
    """
    found: dict[str, str] = {}
    for option in options:
        name, is_there, text = (part.strip() for part in option.partition("="))
        if not (name and is_there and text):
            raise InputError(f"{OPTION}: cannot read {shown(option)} as a name and its value", _ADVICE)
        if name in found:
            raise InputError(f"{OPTION}: two values are given for {shown(name)}", "one for each name")
        found[name] = text
    return found


def with_figures(
    given: Mapping[str, object], figures: Mapping[str, str], units: str
) -> tuple[dict[str, object], tuple[Tried, ...], list[Problem]]:
    """[dimensions] with other figures.

    Args:
        given: by name as the file has them.
        figures: as `figures_in` reads them; a bare number is in the job's units, of an angle in degrees.
        units: "mm" or "in", of bare numbers.
    Returns: the dimensions as a file would have them, what is tried, and every fault of the figures.
    """
    if unknown := [name for name in figures if name not in given]:
        names = f"names given under [dimensions]: {listed(given, 40)}" if given else "none: it has no [dimensions]"
        faults = [InputError(f"this job has no dimension {shown(n)}", names, nearest(n, given)) for n in unknown]
        return dict(given), (), [_of_option("", Problem.of((), fault)) for fault in faults]
    before, _ = resolve_dimensions(given, units)
    changed = {**given, **{name: _as_written(text, before, name) for name, text in figures.items()}}
    after, found = resolve_dimensions(changed, units)
    problems = [_of_option(name, each) for each in found for name in figures if each.path == ("dimensions", name)]
    tried = []
    for name, text in figures.items():
        old, new = before[name], after[name]
        if old is None or new is None:
            continue  # a fault of the file, or reported above
        if (old.length, old.angle) != (new.length, new.angle):
            what = f"{shown(text)} comes to {new.kind}, and in the file it is {old.kind}"
            problems.append(_of_option(name, Problem((), what, f"{old.kind}")))
        tried.append(Tried(name, text, new, old))
    return changed, tuple(tried), problems


_UNITS = {(0, 1): "1 deg", (0, 0): "(1 mm / 1 mm)"}
"""What a bare number of a dimension is in that is no length: an angle, a ratio."""


def _as_written(text: str, names: Names, name: str) -> str:
    """A figure as the file would have it, where a bare number is a length; here it is what the dimension is."""
    given = names[name]
    unit = None if given is None else _UNITS.get((given.length, given.angle))
    if unit is None:
        return text
    try:
        is_bare = Formula.read(text).value(names, "mm").bare
    except InputError:
        return text  # reported when it is read
    return f"({text}) * {unit}" if is_bare else text


def _of_option(name: str, problem: Problem) -> Problem:
    return Problem((), problem.said, problem.takes, problem.nearest, file=OPTION, where=name)
