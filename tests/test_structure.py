"""The structure holds: imports run one way, and no module grows past 400 lines."""

import ast
from pathlib import Path

import pytest

import fabgen

ROOT = Path(fabgen.__file__).parent
MODULES = sorted(ROOT.rglob("*.py"))

MAY_IMPORT = {
    "geometry": {"geometry"},
    "shop": {"shop"},
    "job": {"job", "shop", "geometry"},
    "parts": {"parts", "geometry", "shop", "job"},
    "checks": {"checks", "parts", "geometry", "shop", "job", "plan"},
    "plan": {"plan", "parts", "geometry", "shop", "job"},
    "documents": {"documents", "checks", "plan", "parts", "geometry", "shop", "job"},
}


def imported(path: Path) -> set[str]:
    """Packages of ours that the module imports, wherever in it."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        names += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        found |= {name.split(".")[1] for name in names if name.startswith("fabgen.")}
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.relative_to(ROOT).as_posix())
def test_imports_run_one_way(path: Path) -> None:
    package = path.relative_to(ROOT).parts[0]
    if package in MAY_IMPORT:
        assert imported(path) <= MAY_IMPORT[package]


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.relative_to(ROOT).as_posix())
def test_no_module_is_long(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 400


@pytest.mark.parametrize("path", sorted((ROOT / "cli").glob("*.py")), ids=lambda p: p.name)
def test_start_up_is_lean(path: Path) -> None:
    """The commands' modules themselves pull in nothing heavy: what a command needs, it imports when it runs."""
    ours_or_small = {"__future__", "collections", "datetime", "gc", "json", "pathlib", "sys", "typing", "typer"}
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.ImportFrom):
            assert (node.module or "").startswith("fabgen.cli") or (node.module or "") in {
                *ours_or_small,
                "collections.abc",
            }
        if isinstance(node, ast.Import):
            assert {alias.name for alias in node.names} <= ours_or_small
