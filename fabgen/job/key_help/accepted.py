"""What a key of the job file takes, in words, from the types of the definitions themselves."""

from __future__ import annotations

import typing
from collections.abc import Iterator
from typing import Annotated, Any, Literal

from pydantic import BaseModel, Tag, TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from fabgen.job.errors import InputError, Path, shown
from fabgen.job.tables.table import Written


def meaning(location: Path, root: type[BaseModel]) -> str:
    """What the model says a key means, '' where it says nothing."""
    field = _field_at(location, root)
    return (field.description or "") if field else ""


def wanted(location: Path, root: type[BaseModel]) -> str:
    """What a key or table that is missing takes: its form, and what it means."""
    field = _field_at(location, root)
    if field is None:
        return ""
    form, means = _form(field), field.description or ""
    if len(location) == 1 and (model := model_in(field.annotation)):
        form = f"[{location[0]}] with {_needed(model)}"
    if form and means.startswith("e.g. "):
        # Its own example says more than that of the type.
        return f"{form.split(', e.g. ')[0]}, {means}"
    return f"{form} ({means})" if form and means else form or means


def _form(field: FieldInfo) -> str:
    """The form of a field's value; that of what is in a list where it is one."""
    annotation: Any = field.annotation
    while typing.get_origin(annotation) is Annotated or (
        None in (options := typing.get_args(annotation)) or type(None) in options
    ):
        annotation = next(option for option in typing.get_args(annotation) if option is not type(None))
    if typing.get_origin(annotation) is Literal:
        return " or ".join(shown(option) for option in typing.get_args(annotation))
    if typing.get_origin(annotation) is list:
        inner = _said_of(typing.get_args(annotation)[0], [])
        least, most = (_limit(field, name) for name in ("min_length", "max_length"))
        count = f" of {number_wanted(least, most if least == most else None)}" if least else ""
        return f"a list{count} in square brackets" + (f"; each {inner}" if inner else "")
    return _said_of(annotation, list(field.metadata))


def _limit(field: FieldInfo, name: str) -> int | None:
    """A limit of a field's list, 'min_length' or 'max_length'."""
    return next((limit for each in field.metadata if (limit := getattr(each, name, None)) is not None), None)


def _said_of(annotation: Any, metadata: list[Any]) -> str:
    """What a type says it accepts, when it is given what it cannot: the same words as in its other errors."""
    if (model := model_in(annotation)) is not None:
        inner = typing.get_args(annotation)[0] if typing.get_origin(annotation) is Annotated else annotation
        if len(options := typing.get_args(inner)) > 1 and typing.get_origin(inner) is not Annotated:
            return " or ".join(filter(None, (_said_of(option, []) for option in options)))
        return f"a table {{ … }} with {_needed(model)}"
    if typing.get_origin(annotation) is Literal:
        return " or ".join(shown(option) for option in typing.get_args(annotation))
    complete = annotation
    for extra in metadata:
        complete = Annotated[complete, extra]
    try:
        TypeAdapter[Any](complete).validate_python(_Nothing())
    except ValidationError as error:
        for fault in error.errors(include_url=False):
            cause = fault.get("ctx", {}).get("error")
            if isinstance(cause, InputError) and cause.accepted:
                return cause.accepted
    return ""


class _Nothing:
    """A value that no key takes."""


def number_wanted(least: int | None, most: int | None) -> str:
    """How many items a list takes, in words."""
    if least == most:
        return f"exactly {items(least)}"
    if most is None:
        return f"at least {items(least)}"
    return f"{least} to {items(most)}" if least else f"at most {items(most)}"


def items(count: int | None) -> str:
    """'1 item', '2 items'."""
    return f"{count} item" if count == 1 else f"{count} items"


def _needed(model: type[BaseModel]) -> str:
    keys = [field.alias or key for key, field in model.model_fields.items() if field.is_required()]
    return " and ".join(filter(None, (", ".join(keys[:-1]), *keys[-1:]))) or "its keys"


def _field_at(location: Path, root: type[BaseModel]) -> FieldInfo | None:
    return table_at(location[:-1], root).model_fields.get(str(location[-1])) if location else None


def table_at(location: Path, root: type[BaseModel]) -> type[BaseModel]:
    """The model of the table at `location`; a word in it that is no key is the tag of a choice."""
    model, choices = root, None
    for part in location:
        if isinstance(part, str) and (field := model.model_fields.get(part)):
            choices = field.annotation
            model = model_in(choices) or model
        elif isinstance(part, str) and (chosen := _tagged(choices, part)) is not None:
            model = model_in(chosen) or model
    return model


def _tagged(annotation: Any, tag: str) -> Any:
    """The choice in an annotation that has the tag; None where none has."""
    for inner in typing.get_args(annotation):
        if any(isinstance(each, Tag) and each.tag == tag for each in getattr(inner, "__metadata__", ())):
            return inner
        if (found := _tagged(inner, tag)) is not None:
            return found
    return None


def models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    """The tables that an annotation speaks of, lists and choices looked into."""
    if isinstance(annotation, Written):
        yield annotation.model
    elif isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    else:
        for inner in typing.get_args(annotation):
            yield from models_in(inner)


def model_in(annotation: Any) -> type[BaseModel] | None:
    """The first of them."""
    return next(models_in(annotation), None)
