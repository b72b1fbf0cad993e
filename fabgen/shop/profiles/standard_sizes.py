"""The sizes that profiles are sold in, by the standards' tables; figures in data/profiles.toml."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from fabgen.shop.profiles.profile_section import Kind, ProfileSection
from fabgen.shop.section import Section
from fabgen.shop.tables import data, in_mm, table
from fabgen.wording.inches import INCH

SAME = 0.06
"""Sizes this near are the same, mm: 1/8 in is written 3.2 and 3.18."""


def angle(a: float, b: float, t: float) -> ProfileSection:
    """A hot rolled angle: of a size in the tables with its radii, of any other with those of the nearest, in the tables
    of the unit that its figures are written in.

    Args:
        a: leg a, mm, the longer or the shorter.
        b: leg b, mm.
        t: thickness, mm.
    """
    blocks = ("angle", "angle_kept", "angle_inch", "angle_inch_kept")
    rows = [(block, row) for block in blocks for row in table("profiles", block).rows.values()]
    for block, row in rows:
        if _same(sorted((a, b)), sorted((row["a"], row["b"]))) and _same([t], [row["t"]]):
            standard = data("profiles")[block].get("standard", "")
            sizes = (row["a"], row["b"]) if a >= b else (row["b"], row["a"])
            return ProfileSection(
                "angle", (*sizes, row["t"]), row["root"], row["root"] / 2.0, standard=standard, radii="sold"
            )
    inch = in_inches((a, b, t))
    own = [row for block, row in rows if ("inch" in block) == inch]
    near = min(own, key=lambda row: abs(row["a"] - max(a, b)) + abs(row["b"] - min(a, b)))
    root = min(near["root"], (min(a, b) - t) / 1.5)  # which leaves room for the toe's
    return ProfileSection("angle", (a, b, t), root, min(root / 2.0, t), radii="nearest")


def in_inches(sizes: Sequence[float]) -> bool:
    """Whether figures are those of inches: each so many sixteenths, and not all in whole mm.

    Args:
        sizes: mm.
    """
    sixteenths = all(abs(size / INCH * 16.0 - round(size / INCH * 16.0)) * INCH / 16.0 <= SAME for size in sizes)
    return sixteenths and any(abs(size - round(size)) > 0.01 for size in sizes)


def flat_thickness(least: float, units: str) -> float:
    """The thinnest flat bar and plate as sold that is no thinner than this, mm; the very same beyond the thickest.

    Args:
        least: mm.
        units: "mm" or "in", in whose sizes it is sold.
    """
    flat = data("profiles")["flat"]
    sizes = [in_mm(size) for size in flat["thicknesses_inch" if units == "in" else "thicknesses"]]
    return float(next((size for size in sizes if size >= least - 1e-6), least))


def channel_named(name: str) -> ProfileSection | None:
    """A channel by its trade name; None where there is none of that name.

    Args:
        name: such as 'UPN 80', 'U 40 x 20', 'C3 x 4.1'; spaces do not matter.
    """
    key = _key(name).replace("unp", "upn")
    for block in ("channel", "channel_inch"):
        for known, row in table("profiles", block).rows.items():
            if _key(known) == key:
                return _channel(known, row, data("profiles")[block]["standard"])
    return None


def channel_names() -> list[str]:
    """The trade names of channels."""
    return [name for block in ("channel", "channel_inch") for name in table("profiles", block).rows]


def channel_sized(h: float, b: float, web: float, flange: float) -> ProfileSection | None:
    """The channel in the tables of these sizes; None where there is none.

    Args:
        h: over the flanges, mm.
        b: width of a flange, mm.
        web: thickness, mm.
        flange: thickness, mm.
    """
    for name in channel_names():
        found = channel_named(name)
        if found is not None and _same(found.sizes, (h, b, web, flange)):
            return found
    return None


def tee(h: float, b: float, flange: float, stem: float) -> ProfileSection:
    """A T: of a size in the table with its radii and taper, of any other with sharp corners.

    Args:
        h: over all, mm.
        b: width of the flange, mm.
        flange: thickness, mm.
        stem: thickness, mm.
    """
    for row in table("profiles", "tee").rows.values():
        sizes = (row["h"], row["b"], row["flange"], row["stem"])
        if _same(sizes, (h, b, flange, stem)):
            standard = data("profiles")["tee"]["standard"]
            radii = (row["root"], row["flange_toe"], row["stem_toe"], row["slope"])
            return ProfileSection("T", sizes, *radii, at=0.25, standard=standard)
    return ProfileSection("T", (h, b, flange, stem))


def tee_sized(h: float) -> ProfileSection | None:
    """The T in the table of a height; None where there is none.

    Args:
        h: height and width, mm.
    """
    rows = table("profiles", "tee").rows.values()
    found = next((row for row in rows if _same([row["h"]], [h])), None)
    return None if found is None else tee(found["h"], found["b"], found["flange"], found["stem"])


def flat(width: float, thickness: float) -> ProfileSection:
    """A flat bar, as EN 10058 has it or of sizes of its own.

    Args:
        width: mm.
        thickness: mm.
    """
    block = data("profiles")["flat"]
    usual = any(
        _is_in(width, block[f"widths{end}"]) and _is_in(thickness, block[f"thicknesses{end}"]) and thickness < width
        for end in ("", "_inch")
    )
    return ProfileSection("flat", (width, thickness), standard=block["standard"] if usual else "")


def solid_bar(kind: Kind, size: float) -> ProfileSection:
    """Round, square or hexagon bar.

    Args:
        kind: 'bar', 'square bar' or 'hexagon bar'.
        size: diameter, side or width over flats, mm.
    """
    block = data("profiles")[kind.replace(" ", "_")]
    usual = any(_is_in(size, block[f"sizes{end}"]) for end in ("", "_inch"))
    return ProfileSection(kind, (size,), standard=block["standard"] if usual else "")


def is_usual_round_tube(outside: float, wall: float) -> bool:
    """Whether merchants keep round tube of these sizes.

    Args:
        outside: diameter, mm.
        wall: mm.
    """
    rows = [*_kept_tubes("mm"), *_kept_tubes("in")]
    return any(abs(size - outside) <= SAME and least - SAME <= wall <= most + SAME for size, least, most in rows)


def hub_tubes(units: str) -> list[Section]:
    """Round tubes as sold that hubs are made of, the least first.

    Args:
        units: "mm" or "in", in whose sizes they are sold.
    """
    rows = table("round_tubes", units).rows.values()
    return [Section("round", row["outside"], row["outside"], row["hub"]) for row in rows if row["hub"]]


def _kept_tubes(units: str) -> list[tuple[float, float, float]]:
    """Outside diameter, least and greatest wall of the round tubes that merchants keep, mm."""
    rows = table("round_tubes", units).rows.values()
    return [(row["outside"], row["least"], row["most"]) for row in rows if row["most"]]


def widest_tube_in(bore: float, wall: float, inches_first: bool) -> tuple[float, float] | None:
    """Outside diameter and wall, mm, of the widest round tube that merchants keep and that goes into a bore; its wall
    the usual one nearest to a given wall.  None where none is narrow enough.

    Args:
        bore: mm.
        wall: mm.
        inches_first: whether inch sizes are kept, not metric ones.
    """
    fitting = [row for row in _kept_tubes("in" if inches_first else "mm") if row[0] <= bore + SAME]
    if not fitting:
        return None
    size, least, most = max(fitting)
    return float(size), float(min(max(wall, least), most))


def sharp(section: ProfileSection) -> ProfileSection:
    """The section of extruded metal, whose corners are sharp.

    Args:
        section: a hot rolled one.
    Source: EN 755-9, extruded aluminium has sharp corners (from memory, check against your part).
    """
    return replace(section, root=0.0, toe=0.0, stem_toe=0.0)


def _channel(name: str, row: dict[str, Any], standard: str) -> ProfileSection:
    sizes = (row["h"], row["b"], row["web"], row["flange"])
    slope, at = row["slope"], row["at"]
    return ProfileSection("channel", sizes, row["root"], row["toe"], 0.0, slope, at, name=name, standard=standard)


def _key(name: str) -> str:
    return name.lower().replace(" ", "").replace("×", "x")


def _same(one: Any, other: Any) -> bool:
    return all(abs(x - y) <= SAME for x, y in zip(one, other, strict=True))


def _is_in(size: float, sizes: list[Any]) -> bool:
    return any(abs(size - in_mm(each)) <= SAME for each in sizes)
