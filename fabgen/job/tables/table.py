"""The ground all tables of a job file stand on: every key known, every fault reported at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, Self, cast

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator
from pydantic.functional_validators import ModelWrapValidatorHandler
from pydantic_core import InitErrorDetails

from fabgen.job.errors import InputError


@dataclass(frozen=True, slots=True)
class Written:
    """Beside a value's type: the table it is written as in the file, for the manual."""

    model: type[BaseModel]


@dataclass(frozen=True, slots=True)
class Case:
    """What one word of a key asks of a table's other keys, for those who fill it in.

    Args:
        key: the one that has the word.
        word: '' where the key is left out; None where it is given, whatever it says.
        needed: keys that the table must have.
        barred: keys that have no meaning there.
    """

    key: str
    word: str | None
    needed: tuple[str, ...] = ()
    barred: tuple[str, ...] = ()


class Table(BaseModel):
    """A table that knows all its keys, and the rules by which they go together."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True, defer_build=True)

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        """The rules between keys that the table as written breaks; values may be unread or wrong."""
        return iter(())

    @classmethod
    def cases(cls) -> Iterator[Case]:
        """What its kinds or shapes ask of its keys; `faults` reports where that is broken."""
        return iter(())

    @model_validator(mode="wrap")
    @classmethod
    def _all_faults(cls, value: Any, handler: ModelWrapValidatorHandler[Self]) -> Self:
        """Report broken rules beside faulty keys, where pydantic alone would stop at the keys."""
        faults = list(cls.faults(value)) if isinstance(value, Mapping) else []
        if not faults:
            return handler(value)
        lines = [InitErrorDetails(type="value_error", loc=(), input=value, ctx={"error": fault}) for fault in faults]
        try:
            handler(value)
        except ValidationError as error:
            lines = cast(list[InitErrorDetails], error.errors(include_url=False)) + lines
        raise ValidationError.from_exception_data(cls.__name__, lines)


class ShortTable(Table):
    """Tables for which the value of one of their keys may stand, as [x, y] for { at = [x, y] }."""

    short: ClassVar[str]
    """The key."""

    @model_validator(mode="before")
    @classmethod
    def _from_short(cls, value: Any) -> Any:
        return value if isinstance(value, Mapping | cls) else {cls.short: value}


def optional(description: str, default: Any = None) -> Any:
    """The field of a key that may be left out.

    Args:
        description: what the key means, for the manual and for errors.
        default: what is taken where the file does not give it.
    """
    return Field(default=default, description=description)


def given_of(keys: Sequence[str], given: Mapping[str, object]) -> list[str]:
    """Those of `keys` that have a value."""
    return [key for key in keys if given.get(key) is not None]


def exactly_one(keys: Sequence[str], given: Mapping[str, object], hint: str = "") -> Iterator[InputError]:
    """A fault unless exactly one of `keys` has a value."""
    found = given_of(keys, given)
    if len(found) != 1:
        what = f"has {' and '.join(found)}; only one of them may be given" if found else f"has no {_or(keys)}"
        yield InputError(f"this table {what}", f"exactly one of {', '.join(keys)}{hint}")


def at_most_one(keys: Sequence[str], given: Mapping[str, object]) -> Iterator[InputError]:
    """A fault where more than one of `keys` has a value other than zero."""
    found = [key for key in keys if given.get(key) not in (None, 0)]
    if len(found) > 1:
        yield InputError(f"this table has {' and '.join(found)}; only one of them may be given", _or(keys))


def goes_with(keys: str | Sequence[str], given: Mapping[str, object], fits: bool, where: str) -> Iterator[InputError]:
    """A fault at a key, or each of several, that has a value and does not fit; `where` says what it goes with."""
    for key in given_of((keys,) if isinstance(keys, str) else keys, given):
        if not fits:
            yield InputError(f"{key} has no meaning here", f"{key} goes with {where}", key=(key,))


def _or(keys: Sequence[str]) -> str:
    return " or ".join(keys)
