"""Sizes as sold stand in one data file each: straps and profiles read one table of flat bar, hubs and sleeves one of
round tube."""

from __future__ import annotations

import tomllib
from importlib.resources import files

from fabgen.shop.profiles.standard_sizes import hub_tubes, is_usual_round_tube


def test_no_other_file_has_them() -> None:
    flat, tube = [], []
    for path in files("fabgen.shop.data").iterdir():
        if path.name.endswith(".toml"):
            for name, block in tomllib.loads(path.read_text(encoding="utf-8")).items():
                columns = set(block.get("columns", ())) if isinstance(block, dict) else set()
                if isinstance(block, dict) and {"widths", "thicknesses"} <= set(block):
                    flat.append((path.name, name))
                if {"outside", "wall"} <= columns or {"outside", "least"} <= columns:
                    tube.append((path.name, name))
    assert flat == [("profiles.toml", "flat")]
    assert [each for each in tube if each[0] != "pipe_sizes.toml"] == [
        ("round_tubes.toml", "mm"),
        ("round_tubes.toml", "in"),
    ]


def test_hubs_are_of_tube_that_is_kept_or_ordered() -> None:
    assert [(hub.width, hub.wall) for hub in hub_tubes("mm")][:3] == [(48.3, 4.0), (60.3, 4.0), (76.1, 5.0)]
    assert len(hub_tubes("mm")) == 12
    assert len(hub_tubes("in")) == 10
    kept = [hub for hub in (*hub_tubes("mm"), *hub_tubes("in")) if is_usual_round_tube(hub.width, hub.wall)]
    assert {hub.width for hub in kept} >= {48.3, 139.7, 50.8, 101.6}
    # Larger ones are ordered: 5 x 1/4 in is flat bar.
    assert not is_usual_round_tube(127.0, 6.35)
