"""The structure holds: imports run one way, in the house, in each of its rooms and between modules."""

from __future__ import annotations

import ast
from collections.abc import Iterable, Mapping
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

import fabgen

ROOT = Path(fabgen.__file__).parent
MODULES = {
    ".".join(("fabgen", *path.relative_to(ROOT).with_suffix("").parts)).removesuffix(".__init__"): path
    for path in sorted(ROOT.rglob("*.py"))
}

HOUSE = (
    "wording",
    "geometry",
    "shop",
    "job",
    "parts",
    "motion",
    "plan",
    "changes",
    "contact",
    "checks",
    "documents",
    "app",
    "cli",
)
MAY_IMPORT = {room: set(HOUSE[:place]) for place, room in enumerate(HOUSE)} | {
    "shop": {"wording"},
    "plan": {"wording", "geometry", "shop", "job", "parts"},
}
"""What each room of the house may take from, besides itself."""

AT_ROOT = {"fabgen", "fabgen.__main__"}
"""Modules that stand in no room."""

MOST_IN_A_ROOM = 20


@cache
def imported(module: str) -> frozenset[str]:
    """Modules of ours that a module imports, wherever in it."""
    found = set()
    for node in ast.walk(ast.parse(MODULES[module].read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [f"{node.module}.{alias.name}" for alias in node.names]
            found |= {name if name in MODULES else node.module for name in names}
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return frozenset(found & MODULES.keys())


def circle(graph: Mapping[str, Iterable[str]]) -> list[str]:
    """One circle of the graph; none where it runs one way."""
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        return list(error.args[1])
    return []


@pytest.mark.parametrize("module", MODULES)
def test_imports_run_one_way(module: str) -> None:
    if module in AT_ROOT:
        return
    place = module.split(".")[1]
    assert place in MAY_IMPORT, "every module stands in a room"
    taken = {name.split(".")[1] for name in imported(module) if "." in name}
    assert taken <= MAY_IMPORT[place] | {place}


def test_no_module_imports_itself_by_way_of_others() -> None:
    assert not circle({module: imported(module) for module in MODULES})


OPEN = ("fabgen.parts.piece", "fabgen.parts.shape", "fabgen.parts.survey")
"""Rooms of parts that anyone may take from: what a piece is, what it is like, and what was measured of the job."""
DOORS = {"fabgen.parts.build", "fabgen.parts.single_cope"}
"""Modules through which pieces come."""


@pytest.mark.parametrize(
    "module", [m for m in MODULES if m.count(".") > 1 and m.split(".")[1] not in {"parts", *MAY_IMPORT["parts"]}]
)
def test_families_are_known_by_their_pieces_alone(module: str) -> None:
    """Motion, plan, checks, documents, app and cli read pieces: what builds them may change with no word there."""
    taken = {name for name in imported(module) if name.startswith("fabgen.parts.")}
    assert not {name for name in taken - DOORS if not name.startswith(OPEN)}


def room_of(module: str) -> str:
    return module if MODULES[module].stem == "__init__" else module.rpartition(".")[0]


def test_rooms_run_one_way_too() -> None:
    """Rooms that stand beside one another do not import in a circle.  A room's own modules may gather what its inner
    rooms make, and may be what these are made of: these are held by the test of modules alone."""
    for parent in {room_of(module) for module in MODULES}:
        depth = parent.count(".") + 1
        graph: dict[str, set[str]] = {}
        for module in MODULES:
            own = room_of(module).split(".")
            if room_of(module).startswith(f"{parent}."):
                others = {room_of(name) for name in imported(module)}
                beside = {tuple(name.split(".")[: depth + 1]) for name in others if name.startswith(f"{parent}.")}
                graph.setdefault(own[depth], set()).update(each[depth] for each in beside)
                graph[own[depth]].discard(own[depth])
        assert not circle(graph), parent


@pytest.mark.parametrize("room", sorted({room_of(module) for module in MODULES}))
def test_a_room_is_no_warehouse(room: str) -> None:
    assert sum(room_of(module) == room and room != module for module in MODULES) <= MOST_IN_A_ROOM


@pytest.mark.parametrize("path", sorted((ROOT / "cli").glob("*.py")), ids=lambda p: p.name)
def test_start_up_is_lean(path: Path) -> None:
    """The commands' modules themselves pull in nothing heavy: what a command needs, it imports when it runs."""
    ours_or_small = {
        "__future__",
        "collections",
        "contextlib",
        "datetime",
        "gc",
        "json",
        "os",
        "pathlib",
        "sys",
        "typing",
        "typer",
    }
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.ImportFrom):
            assert (node.module or "").startswith("fabgen.cli") or (node.module or "") in {
                *ours_or_small,
                "collections.abc",
            }
        if isinstance(node, ast.Import):
            assert {alias.name for alias in node.names} <= ours_or_small
