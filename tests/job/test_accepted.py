"""What is said of a key that is missing: the form it takes, and what it means."""

from collections.abc import Iterator

import pytest
from pydantic import BaseModel

from fabgen.job.errors import Path
from fabgen.job.key_help.accepted import model_in, wanted
from fabgen.job.rack import RackFile
from fabgen.job.tables.definitions import Definitions


def needed(model: type[BaseModel], path: Path, seen: set[type[BaseModel]]) -> Iterator[Path]:
    """All keys of the job file that must be given."""
    for key, field in model.model_fields.items():
        if field.is_required():
            yield (*path, key)
        if (inner := model_in(field.annotation)) and inner not in seen:
            seen.add(inner)
            yield from needed(inner, (*path, key), seen)


KEYS = list(needed(Definitions, (), set()))


@pytest.mark.parametrize("path", KEYS, ids=[".".join(map(str, path)) for path in KEYS])
def test_every_needed_key_says_what_it_takes(path: Path) -> None:
    assert wanted(path, Definitions)


def test_forms() -> None:
    assert wanted(("job",), Definitions) == "[job] with title, number and units"
    assert wanted(("job", "units"), Definitions).startswith('"mm" or "in"')
    assert 'e.g. "T1"' in wanted(("tube", 0, "mark"), Definitions)
    assert '"48.3 x 3.2"' in wanted(("tube", 0, "section"), Definitions)
    route = wanted(("tube", 0, "route"), Definitions)
    assert route.startswith("a list of at least 2 items in square brackets; each a name under [points]")
    ends = wanted(("link", 0, "rod_ends"), Definitions)
    assert ends.startswith("a list of exactly 2 items")
    assert "or a table { … } with thread" in ends
    assert wanted(("nothing",), Definitions) == ""


def test_a_meaning_with_an_example_of_its_own_goes_before_that_of_its_type() -> None:
    said = wanted(("bar", 0, "material"), RackFile)
    assert said == "text in quotes, e.g. 'S355': a bar of unknown metal is no stock for a vehicle"


def test_a_wheel_without_a_body_is_shown_the_way() -> None:
    assert '[[envelope]] with shape = "tyre"' in wanted(("wheel", 0, "on"), Definitions)
