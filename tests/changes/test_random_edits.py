"""Random edits: every mark whose metal changed is told, and none whose metal did not.

In the first test what an edit changes is known, as every part stands apart.  In the second, jobs cut from all samples
and starters are changed as by slips of the pen (`mutated_jobs.py`); what one would cut is read from the data of
job.json, by another way than the record of issued papers keeps it.
"""

from __future__ import annotations

import copy
import math
import random
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import numpy as np
import pytest
from jobs import definitions, pieces_of
from mutated_jobs import PATHS, TEXTS, thinned, with_other_value
from random_seeds import first_seed, how_many

from fabgen.app.work import built
from fabgen.changes.as_issued import as_issued
from fabgen.changes.compared import PartChange, compared
from fabgen.documents.data.piece_json import piece_data
from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.parts.piece import EyeSetup, FlatPart, LinkPart, Piece, ProfilePart

Parts = dict[str, tuple[str, dict[str, Any]]]
"""By mark: the family's table and the part's keys."""


# -- parts that stand apart -------------------------------------------------------------------
def parts(rng: random.Random) -> Parts:
    """Some parts of several families, no two of one metal."""
    found: Parts = {}
    for number in range(rng.randint(4, 12)):
        mark, size = f"M{number}", 300 + 40 * number + rng.randint(0, 19)
        family = rng.choice(("tube", "plate", "bracket", "link"))
        keys: dict[str, Any] = {"mark": mark, "quantity": rng.randint(1, 4)}
        if family == "tube":
            route = [[0, 2000 * number, 0], [size, 2000 * number, 0]]
            places = [{"from": "start", "at": at, "side": "top", "diameter": 11} for at in (60, 150)]
            keys |= {"section": rng.choice(("48.3 x 3.2", "60 x 40 x 3", "40 x 40 x 2")), "route": route}
            keys |= {"holes": places}
        elif family == "plate":
            keys |= {"thickness": 5, "corners": [[0, 0], [size, 0], [size, 60], [80, 130], [0, 130]]}
            keys |= {"holes": [{"at": [20, 30], "diameter": 11}, {"at": [200, 30], "diameter": 9}]}
        elif family == "bracket":
            keys |= {"thickness": 3, "base": [size, 90], "flanges": [{"edge": 1, "height": 30}]}
            keys |= {"holes": [{"face": "base", "at": [50, 40], "diameter": 11}]}
        else:
            keys |= {"length": size, "section": "25.4 x 4", "rod_ends": ["M12 right", "M12 left"]}
        found[mark] = (family, keys)
    return found


def longer(keys: dict[str, Any], family: str, by: float) -> None:
    if family == "tube":
        start, finish = (np.array(point, dtype=float) for point in keys["route"])
        keys["route"][1] = (finish + by * (finish - start) / np.linalg.norm(finish - start)).tolist()
    elif family == "plate":
        keys["corners"][1][0] += by
        keys["corners"][2][0] += by
    elif family == "bracket":
        keys["base"] = [keys["base"][0] + by, 90]
    else:
        keys["length"] += by


def hole_moved(keys: dict[str, Any], family: str, by: float) -> None:
    if family == "tube":
        keys["holes"][1]["at"] += by
    elif "holes" in keys:
        keys["holes"][0]["at"][0] += by
    else:
        longer(keys, family, by)


def other_metal(keys: dict[str, Any], _: str, by: float) -> None:
    keys["material"] = "S355"


def other_count(keys: dict[str, Any], _: str, by: float) -> None:
    keys["quantity"] += 1


def bent_otherwise(keys: dict[str, Any], family: str, by: float) -> None:
    if family == "bracket":
        keys["flanges"][0]["angle"] = keys["flanges"][0].get("angle", 90) - by
    else:
        longer(keys, family, by)


def corner_cut(keys: dict[str, Any], family: str, by: float) -> None:
    if family == "plate":
        # What less moves along a long edge moves it by less than is told.
        keys["corners"][3][0] += max(by, 1.1)
    else:
        longer(keys, family, by)


SPOIL: tuple[Callable[[dict[str, Any], str, float], None], ...] = (
    *(longer, hole_moved, other_metal, other_count, bent_otherwise, corner_cut),
)


def words(keys: dict[str, Any], _: str) -> None:
    keys["note"], keys["title"] = "mind the paint", "this one"


def elsewhere(keys: dict[str, Any], family: str) -> None:
    if family == "tube":
        keys["route"] = [[-y, x, z + 400] for x, y, z in keys["route"]]


def from_other_end(keys: dict[str, Any], family: str) -> None:
    if family == "tube":
        keys["route"].reverse()
        for hole in keys["holes"]:
            hole["from"] = {"start": "finish", "finish": "start"}[hole["from"]]


def holes_in_other_order(keys: dict[str, Any], family: str) -> None:
    if family == "plate":
        keys["holes"].reverse()


SPARE = (words, elsewhere, from_other_end, holes_in_other_order)


def issued_parts(job: Parts, rng: random.Random) -> list[Piece]:
    """The pieces of the job, its parts in any order."""
    order = list(job.values())
    rng.shuffle(order)
    tables: dict[str, list[dict[str, Any]]] = {}
    for family, keys in order:
        tables.setdefault(family, []).append(keys)
    return list(pieces_of(definitions(**tables)))


@pytest.mark.parametrize("seed", range(first_seed(5200), first_seed(5200) + how_many(300, 4)))
def test_ten_edits(seed: int) -> None:
    rng = random.Random(seed)
    old = parts(rng)
    new = copy.deepcopy(old)
    changed: set[str] = set()
    renamed: dict[str, str] = {}
    for _ in range(10):
        mark = rng.choice(sorted(new))
        family, keys = new[mark]
        kind = rng.random()
        if kind < 0.45:
            # All odd and small, so that no two take one another back and no two parts become alike.
            rng.choice(SPOIL)(keys, family, rng.choice((0.3, 1.1, 2.5, 3.7)))
            changed.add(mark)
        elif kind < 0.9:
            rng.choice(SPARE)(keys, family)
        elif mark in old and mark not in changed:
            name = f"R{len(renamed)}"
            renamed[mark] = name
            new[name] = (family, new.pop(mark)[1] | {"mark": name})
    found = compared(as_issued(issued_parts(old, rng)), as_issued(issued_parts(new, rng)))
    told = {mark: change for change in found for mark in change.marks}
    gone = {mark for mark in renamed if renamed[mark] in changed}
    expected = {mark for mark in changed if mark in old} | set(renamed) | {renamed[mark] for mark in gone}
    _same_marks(told, expected, {renamed[m] for m in renamed})
    for mark, name in renamed.items():
        if mark not in gone:
            assert told[mark].said.words() == f"now called {name}, the metal is the same"


def _same_marks(told: Mapping[str, PartChange], expected: set[str], names: set[str]) -> None:
    """A renamed part that was changed besides may be told under its old name, its new, or both."""
    assert set(told) - names == expected - names
    for mark in expected & names:
        assert mark in told


# -- jobs as they are written -----------------------------------------------------------------
@pytest.mark.parametrize("seed", range(first_seed(7100), first_seed(7100) + 3))
def test_slips_of_the_pen(seed: int) -> None:
    _slips(seed)


@pytest.mark.slow
@pytest.mark.parametrize("block", range(4))
def test_many_slips_of_the_pen(block: int) -> None:
    count = how_many(500, 30)
    begin = first_seed(7200) + block * count
    assert sum(_slips(seed) for seed in range(begin, begin + count)) > count // 10


def _slips(seed: int) -> bool:
    """Compares a job with the same after a slip; whether both could be read and something differed."""
    rng = random.Random(seed)
    which = rng.randrange(len(TEXTS))
    text = thinned(TEXTS[which], rng)
    try:
        pair = [_built(each, which) for each in (text, with_other_value(text, rng))]
    except JobError:
        return False
    old, new = ({piece.mark: piece for piece in pieces} for pieces in pair)
    found = compared(as_issued(pair[0]), as_issued(pair[1]))
    told = {
        mark: each for each in found if each.how != "moved" for mark in each.marks
    }  # what moves stays the same metal
    for mark in old.keys() & new.keys():
        least, most = _differs(old[mark], new[mark])
        if not new[mark].is_to_make or (least < most and _may_be_turned(old[mark], new[mark], mark in told)):
            continue
        assert (mark in told) == (most > 0.0), (seed, mark, most, told.get(mark))
    for mark in old.keys() ^ new.keys():
        assert mark in told or (mark in new and _serves_as(new[mark], old, told)), (seed, mark)
    return bool(told)


def _built(text: str, which: int) -> list[Piece]:
    return built(read_text(text, PATHS[which].with_name("edited.toml")))


def _serves_as(piece: Piece, old: Mapping[str, Piece], told: Mapping[str, PartChange]) -> bool:
    """Whether a new mark is told under old ones that are its metal."""
    return any(abs(old[m].mass - piece.mass) < 1e-3 for m in told if m in old)


def _may_be_turned(one: Piece, other: Piece, is_told: bool) -> bool:
    """Whether one part may be the other drawn from elsewhere, which data that follow the drawing do not show."""
    return not is_told and abs(one.mass - other.mass) < 1e-4 and one.quantity == other.quantity


def _differs(one: Piece, other: Piece) -> tuple[float, float]:
    """(0, 0) where nothing of the metal differs; (0, 1) where only figures do, which may be seen from elsewhere; (1, 1)
    where it is certain that it does."""
    a, b = _cut(one), _cut(other)
    if a[0] != b[0]:
        return 1.0, 1.0
    if len(a[1]) == len(b[1]) and all(len(x) == len(y) and _near(x, y) for x, y in zip(a[1], b[1], strict=True)):
        return 0.0, 0.0
    return 0.0, 1.0


def _near(one: list[float], other: list[float]) -> bool:
    return not one or float(np.nanmax(np.abs(np.array(one) - np.array(other)))) < 0.05


def _cut(piece: Piece) -> tuple[tuple[Any, ...], list[list[float]]]:
    """What one would order and count, and the figures that one would cut by, from the data of job.json."""
    data = piece_data(piece, "mm")
    bought = sorted((each["item"], each["spec"], each["quantity"]) for each in data.get("hardware", []))
    words = (data["material"], data["quantity"], data.get("section", ""), bought)
    return words, [sorted(row) if isinstance(row, set) else row for row in _figures(piece, data)]


def _figures(piece: Piece, data: dict[str, Any]) -> Iterator[list[float]]:
    shape = piece.shape
    if isinstance(shape, FlatPart):
        for loop in (shape.outline, *(hole.shape for hole in shape.all_holes)):
            yield [loop.area**0.5, loop.perimeter, *loop.bounds]
        yield [data["thickness_mm"]]
        for bend in shape.bends:
            yield [*bend.start, *bend.end, math.degrees(bend.bend.angle), bend.bend.radius, 10.0 * bend.up]
        return
    yield [data["length_mm"]]
    if isinstance(shape, ProfilePart):
        yield [float(shape.flipped and bool(shape.holes or any(not end.is_square for end in shape.ends)))]
    if isinstance(shape, LinkPart):
        yield [shape.pin_to_pin, shape.sight_hole]
        for side in shape.sides:
            if isinstance(side, EyeSetup):
                yield [side.width, side.offset]
            else:
                yield [
                    (side.sight_hole() or 0.0) if shape.sight_hole else 0.0,
                    side.turned,
                    side.tapped * (not shape.bungs),
                ]
    for end in data["ends"]:
        for face in end.get("faces", []):
            yield [value for place in face["line"] for value in place]
        if "line" not in end:
            continue
        for worked in (end.get("thread", {}), end.get("flattened", {})):
            yield [value for value in worked.values() if isinstance(value, float)]
        x = [math.nan if value is None else value for _, value in end["line"]]
        longest = min((value for value in x if value == value), default=0.0)
        yield [value - longest for value in x]
    for hole in (*data.get("holes", []), *data.get("drilled", [])):
        if "edge" not in hole:
            yield [*hole["size_mm"], hole["gauge_mm"], hole["along_mm"], hole["turn_deg"]]
            continue
        yield [value for point in hole["edge"] for value in point]
    for bend in data.get("bends", []):
        yield [bend["at_mm"], bend["radius_mm"], bend["angle_deg"], bend["from_top_deg"]]
