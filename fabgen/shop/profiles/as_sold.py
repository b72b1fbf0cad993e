"""Whether profiles and solid bar are of a size as sold, and the nearest that are; figures in data/profiles.toml."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import product

from fabgen.shop.profiles.profile_section import Kind, ProfileSection
from fabgen.shop.profiles.standard_sizes import SAME, in_inches
from fabgen.shop.section import Section
from fabgen.shop.tables import data, in_mm, table

_THICK = 3.0
"""A millimetre of thickness counts as so many of width when sizes are held against one another."""


@dataclass(frozen=True, slots=True)
class Sold:
    """A size as sold: what to write for it, and its figures, mm: of an angle the larger leg first."""

    text: str
    sizes: tuple[float, ...]


def solid_as_profile(section: Section) -> ProfileSection:
    """Solid round, square or flat bar as a profile's section, by whose tables it is sold.

    Args:
        section: a solid one.
    """
    if section.is_round:
        return ProfileSection("bar", (section.width,))
    long, short = max(section.width, section.depth), min(section.width, section.depth)
    return ProfileSection("square bar", (long,)) if long == short else ProfileSection("flat", (long, short))


def is_sold(section: ProfileSection) -> bool:
    """Whether merchants keep a section of its size.

    Args:
        section: hot rolled or drawn, not folded.
    """
    own = _figures(section)
    every = (*sold(section.kind, False), *sold(section.kind, True))
    return any(all(abs(x - y) <= SAME for x, y in zip(own, each.sizes, strict=True)) for each in every)


def nearest_sold(section: ProfileSection) -> tuple[str, ...]:
    """What to write for the nearest sizes as sold, in mm or inches as the section's own are: the nearest that is no
    larger in anything and the nearest that is no smaller; where neither is, the nearest of all.

    Args:
        section: of a size that is not sold.
    """
    own = _figures(section)
    every = sold(section.kind, in_inches(section.sizes))

    def off(each: Sold) -> float:
        *wide, thick = (abs(x - y) for x, y in zip(own, each.sizes, strict=True))
        return sum(wide) + _THICK * thick

    smaller = [each for each in every if all(y <= x + SAME for x, y in zip(own, each.sizes, strict=True))]
    larger = [each for each in every if all(y >= x - SAME for x, y in zip(own, each.sizes, strict=True))]
    best = [min(each, key=off) for each in (smaller, larger) if each] or [min(every, key=off)]
    return tuple(each.text for each in best)


@cache
def sold(kind: Kind, in_inch: bool) -> tuple[Sold, ...]:
    """The sizes of a kind as sold.

    Args:
        kind: of section.
        in_inch: those in inches, not those in mm.
    """
    return tuple(dict.fromkeys(_sold(kind, in_inch)))


def _sold(kind: Kind, in_inch: bool) -> Iterator[Sold]:
    end = "_inch" if in_inch else ""
    match kind:
        case "angle":
            for block in (f"angle{end}", f"angle{end}_kept"):
                for name, row in table("profiles", block).rows.items():
                    yield Sold(f"angle {name}", (max(row["a"], row["b"]), min(row["a"], row["b"]), row["t"]))
        case "channel":
            for name, row in table("profiles", f"channel{end}").rows.items():
                yield Sold(name, (row["h"], row["b"], row["web"]))
        case "T" if not in_inch:
            for name, row in table("profiles", "tee").rows.items():
                yield Sold(f"T {name}", (row["h"], row["b"], row["stem"]))
        case "flat":
            rolled, bright = data("profiles")["flat"], data("profiles")["bright"]
            pairs = [*product(rolled[f"widths{end}"], rolled[f"thicknesses{end}"])]
            pairs += [] if in_inch else [*product(bright["flat_widths"], bright["flat_thicknesses"])]
            for width, thickness in pairs:
                sizes = float(in_mm(width)), float(in_mm(thickness))
                if sizes[1] < sizes[0]:
                    yield Sold(f"flat {_bare(width)} x {thickness}", sizes)
        case "bar" | "square bar" | "hexagon bar":
            key = kind.replace(" ", "_")
            for size in (*data("profiles")[key][f"sizes{end}"], *data("profiles")["bright"][f"{key}{end}"]):
                yield Sold(f"{kind} {size}", (float(in_mm(size)),))
    if in_inch and kind in ("channel", "T"):
        block = "channel_inch_kept" if kind == "channel" else "tee_inch_kept"
        for name, row in table("profiles", block).rows.items():
            yield Sold(f"{kind} {name}", (row["h"], row["b"], row["t"]))


def _figures(section: ProfileSection) -> tuple[float, ...]:
    """Those of a section that are held against the tables: of channel and T one thickness, web or stem."""
    sizes = section.sizes
    match section.kind:
        case "angle":
            return max(sizes[:2]), min(sizes[:2]), sizes[2]
        case "channel":
            return sizes[0], sizes[1], sizes[2]
        case "T":
            return sizes[0], sizes[1], sizes[3]
    return sizes


def _bare(size: float | str) -> str:
    return size.removesuffix(" in") if isinstance(size, str) else str(size)
