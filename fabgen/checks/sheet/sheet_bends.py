"""Checks of folding: what a press-brake hand would ask of the bends, and of the lower tool that makes them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely import Polygon

from fabgen.checks.checked import Checked
from fabgen.checks.rule import Found, found, rule
from fabgen.checks.sheet.flat_words import bend_words
from fabgen.checks.sheet.pressing import GENTLE, SLACK, Flat, metal_of, tool_of
from fabgen.geometry.plane.regions import cut_region, gap_to_line
from fabgen.geometry.sheet.collisions import collisions
from fabgen.geometry.sheet.folds import Flange, FoldTree
from fabgen.parts.piece import FlatBend, FlatPart
from fabgen.parts.shape.measured_bends import measured_ks
from fabgen.shop.bending.bend_radii import Rolling, least_radius
from fabgen.shop.bending.bend_tests import WIDE_SCATTER
from fabgen.shop.bending.bends import COMMON, ROOM_FOR_BEND, die_width, least_flange
from fabgen.shop.bending.press_brake import NARROW, WIDE, differs, lower_tool, usual_radius
from fabgen.shop.sheet_cutting import BRAKE_LENGTH
from fabgen.shop.strength import strength
from fabgen.wording.figures import figure
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

LEAST_RADII = "EN 10025-2, EN 10149-2, EN 485-2, DIN 6935 and common practice; a finding names its own"
HEM = 4.0
"""Least length of a hem over the thickness, over its fold (common practice, no source)."""
HEM_THICKEST = 3.0
"""Thickest soft steel that is usually hemmed shut, mm (common practice, no source)."""
HARD = 400.0
"""Steel of this yield strength or more, MPa, is not hemmed (common practice, no source)."""
ACROSS = math.radians(60.0)
MOST_FACES = 60
"""Parts of more faces than this are not checked for faces that run into one another."""


@rule("flange-collision", Level.STOP, source=COMMON)
def flange_collision(of: Flat) -> Iterator[Found]:
    """Faces that run through one another cannot be folded."""
    tree = of.part.tree
    if tree is None or sum(1 for _ in tree.all_faces()) > MOST_FACES:
        return
    pairs = collisions(tree, of.part.thickness)
    if pairs:
        one, other = pairs[0]
        more = f", and {len(pairs) - 1} more pairs do" if len(pairs) > 1 else ""
        yield found(f'folded, face "{other}" runs into face "{one}"{more}: a smaller bend angle or shorter flanges')


@rule("flange-length", Level.WARN, source=COMMON)
def flange_length(of: Flat) -> Iterator[Found]:
    """A flange that does not reach over the lower tool's edge slips into it."""
    reported: set[str] = set()
    for tree, flange in _flanges(of.part.tree):
        if flange.bend.is_hem:
            continue
        tool = tool_of(of, flange.bend)
        least = least_flange(flange.bend.angle, tool.opening).value
        for name, reach in ((tree.face.name, _back(tree, flange)), (flange.tree.face.name, _reach(flange))):
            outside = reach + flange.bend.setback
            if outside < least - SLACK and name not in reported:
                reported.add(name)
                short = sentence(f'face "{name}" is ', mm(outside), " from its bend, outside; over the ")
                whose = "usual lower tool" if tool.choice == "usual" else "lower tool"
                makes = sentence(", which makes the inside radius of ", mm(tool.makes), ",")
                yield found(
                    short,
                    sentence(f"{whose} with ", mm(tool.opening), " opening"),
                    makes if tool.choice == "radius" else "",
                    " it needs ",
                    mm(least),
                )


@rule("hem", Level.WARN, source=COMMON)
def hem(of: Flat) -> Iterator[Found]:
    """A hem is long enough to be pressed shut, in sheet that takes it."""
    flat = of.part
    hems = [flange for _, flange in _flanges(flat.tree) if flange.bend.is_hem]
    lengths = [_reach(flange) + flange.bend.setback for flange in hems]
    least = HEM * flat.thickness
    if lengths and min(lengths) < least - SLACK:
        short = sentence("a hem of ", mm(min(lengths)), " over its fold is too short to be pressed shut")
        yield found(short, ": it needs ", mm(least))
    metal = metal_of(of)
    soft = metal.group == "mild steel" and (strength(metal).yields or 0.0) < HARD
    tight = min((flange.bend.radius for flange in hems), default=math.inf)
    takes = soft and flat.thickness <= HEM_THICKEST
    if not takes and tight < least_radius(metal, flat.thickness).value:
        cracks = sentence(f"{of.piece.material} ", mm(flat.thickness), " folded right back may crack along the fold")
        yield found(cracks, ": hems are for soft steel up to ", mm(HEM_THICKEST))


@rule("relief", Level.WARN, source=COMMON)
def relief(of: Flat) -> Iterator[Found]:
    """A bend that ends inside the sheet tears it, or bulges at a corner where it meets another."""
    flat = of.part
    if flat.tree is None:
        return
    metal = cut_region(flat.outline, (hole.shape for hole in flat.holes))
    # A sliver of metal beyond a tangent line, where an edge runs off at a slant, holds no bend.
    least = 0.0025 * flat.thickness**2
    torn = [i for i, bend in enumerate(flat.bends) if any(metal.intersection(b).area > least for b in _beside(bend))]
    if torn:
        end = "ends" if len(torn) == 1 else "end"
        yield found(
            f"{', '.join(bend_words(flat, i) for i in torn)} {end} inside the sheet without a notch: the sheet tears "
            'or bulges there; relief = "round" cuts one where the shape takes that key, else saw one before folding'
        )


def _more_clearance(flat: FlatPart, bend: FlatBend, radius: float) -> float:
    """How much more clearance a boxed-in bolt's head needs for tabs of that inside radius, mm; 0 where none is needed.

    The bends of the tabs must keep clear of the bolt's hole.
    """
    boxed = [hole for hole in flat.all_holes if hole.boxed]
    if not boxed:
        return 0.0
    own = bend.bend
    beside = min(gap_to_line(hole.shape, (bend.start, bend.end)) for hole in boxed) - own.allowance / 2.0
    more = 2.0 * (radius / ROOM_FOR_BEND - (beside + own.inner))
    return max(0.0, math.ceil(10.0 * more - 1e-6) / 10.0)


@rule("bend-radius", Level.WARN, source=LEAST_RADII)
def bend_radius(of: Flat) -> Iterator[Found]:
    """An inside radius under the least for the grade, thickness and rolling direction may crack. Where no grain is
    given the bend counts as along it. None of the tables that were read forbids a smaller radius."""
    flat, metal = of.part, metal_of(of)
    judged = [bend for bend in flat.bends if not bend.bend.is_hem and bend.bend.angle >= GENTLE]
    if not judged:
        return
    leasts = [least_radius(metal, flat.thickness, _rolling(flat, bend), bend.bend.angle) for bend in judged]
    bend, least = max(zip(judged, leasts, strict=True), key=lambda each: each[1].value - each[0].bend.radius)
    if least.value - bend.bend.radius < 1e-6:
        return
    way = f"{least.rolling} the grain" + ("" if flat.grain else " (no grain is given)")
    across = least_radius(metal, flat.thickness, "across", bend.bend.angle).value
    turned = sentence(", or fold across the grain, which takes ", mm(across))
    clearance = _more_clearance(flat, bend, least.value)
    yield found(
        sentence("inside radius ", mm(bend.bend.radius), " is under ", mm(least.value)),
        sentence(f", the least for {metal.name} ", mm(flat.thickness), f" bent {way}: it may crack outside; "),
        sentence("give the head ", mm(clearance), " more clearance, and the tabs take ") if clearance else "take ",
        mm(least.value),
        ", or take softer sheet" if clearance else " or softer sheet",
        turned if least.rolling == "along" and across <= bend.bend.radius + 1e-6 else "",
        source=least.source,
    )


@rule("bend-length", Level.WARN, source=COMMON)
def bend_length(of: Flat) -> Iterator[Found]:
    """No bend is longer than the press brake."""
    takes = of.job.shop.brake_length
    longest = max((math.dist(bend.start, bend.end) for bend in of.part.bends), default=0.0)
    if longest > takes + SLACK:
        usual = takes == BRAKE_LENGTH
        whose = "most press brakes take (brake_length in [job] says otherwise)" if usual else "the brake takes"
        long = sentence("a bend of ", mm(longest), " is longer than the ", mm(takes), f" that {whose}")
        yield found(long, source=COMMON if usual else "")


# -- the lower tool, where the job names one --------------------------------------
@rule("natural-radius", Level.NOTE, source=COMMON)
def natural_radius(of: Flat) -> Iterator[Found]:
    """Bent in air a sheet takes the radius its lower tool gives, not the one drawn."""
    flat, die = of.part, of.part.die
    if die is None or not flat.bends:
        return
    for radius in sorted({bend.bend.radius for bend in flat.bends}):
        tool = lower_tool(metal_of(of), flat.thickness, radius, die)
        if differs(radius, tool.makes):
            yield found(
                sentence("inside radius ", mm(radius), " given, but bent in air over the lower tool of "),
                sentence(mm(die, 4), f" {of.piece.material} takes about ", mm(tool.makes)),
                ": the flat would not fold to size; take that radius, or another tool",
            )


@rule("lower-tool", Level.NOTE, source=COMMON)
def usual_tool(of: Flat) -> Iterator[Found]:
    """The lower tool is not far from the usual one for the sheet, or from the one for its least bend radius."""
    die, thickness, metal = of.part.die, of.part.thickness, metal_of(of)
    if die is None or not of.part.bends:
        return
    usual = die_width(thickness).value
    most = max(usual, lower_tool(metal, thickness, usual_radius(metal, thickness, None, "along"), None).opening)
    if not NARROW * usual <= die <= WIDE * most:
        narrow, wide = "narrow: the force rises and the sheet may crack", "wide: the radius and the least leg grow"
        tool = sentence("the lower tool of ", mm(die, 4), f" is {narrow if die < usual else wide}; the usual one for ")
        yield found(tool, mm(thickness, 4), " is ", mm(usual, 4))


@rule("bend-test", Level.WARN, source=COMMON)
def bend_test(job: Checked) -> Iterator[Found]:
    """The test strips of one bend agree."""
    for test in measured_ks(job.job):
        if test.spread > WIDE_SCATTER:
            ks = f"K {figure(min(test.ks), 2)} to {figure(max(test.ks), 2)}"
            strips = sentence("bend tests of ", mm(test.thickness, 4), ", inside radius ", mm(test.radius, 4))
            differ = sentence(": the strips differ by ", mm(test.spread, 2), f" a bend ({ks}); measure them again, or ")
            yield found(strips, differ, "fold more", about=test.material)


RULES = (flange_collision, flange_length, hem, relief, bend_radius, bend_length)
TOOL_RULES = (natural_radius, usual_tool)


# -- measuring ----------------------------------------------------------------
def _rolling(flat: FlatPart, bend: FlatBend) -> Rolling:
    """How a bend lies to the sheet's rolling direction: across it from 60 degrees on (common practice, no source)."""
    if flat.grain is None:
        return "along"
    along_x = abs(bend.end[0] - bend.start[0]) / math.dist(bend.start, bend.end)
    off = math.acos(min(1.0, along_x)) if flat.grain == "along" else math.asin(min(1.0, along_x))
    return "across" if off > ACROSS else "along"


def _beside(bend: FlatBend) -> Iterator[Polygon]:
    """The strips just beyond either end of a bend zone, where a notch would be."""
    t, half = bend.bend.thickness, bend.bend.allowance / 2.0 + 0.05 * bend.bend.thickness
    (x0, y0), (x1, y1) = bend.start, bend.end
    length = math.dist(bend.start, bend.end)
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    for x, y, way in ((x0, y0, -1.0), (x1, y1, 1.0)):
        near, far = way * 0.1 * t, way * 0.2 * t
        yield Polygon(
            [
                (x + along * ux - across * uy, y + along * uy + across * ux)
                for along, across in ((near, -half), (far, -half), (far, half), (near, half))
            ]
        )


def _flanges(tree: FoldTree | None) -> Iterator[tuple[FoldTree, Flange]]:
    if tree is None:
        return
    for flange in tree.flanges:
        yield tree, flange
        yield from _flanges(flange.tree)


def _reach(flange: Flange) -> float:
    """How far the flange's face goes from its bend, mm."""
    return flange.tree.face.outline.bounds[3]


def _back(tree: FoldTree, flange: Flange) -> float:
    """How far the parent's face goes back from the bend, mm."""
    nx, ny = -math.sin(flange.turn), math.cos(flange.turn)
    return max((flange.x - v.x) * nx + (flange.y - v.y) * ny for v in tree.face.outline.vertices)
