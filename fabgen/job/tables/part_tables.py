"""The parts a job file may define: what all have in common, and [[tube]].

Lengths arrive in mm and angles in rad, in any units of the file (`fields.py`).  The
descriptions here are the manual: they say what each key means and what it is when left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from pydantic import Discriminator, Field, StrictBool, Tag

from fabgen.job.errors import InputError
from fabgen.job.tables.fields import (
    Angle,
    Length,
    MarkName,
    MaterialName,
    PlusLength,
    PointRef,
    SectionText,
    Text,
    ZeroLength,
    one_as_list,
    whole_number,
)
from fabgen.job.tables.foot_tables import FootGiven
from fabgen.job.tables.movement_tables import AxisGiven
from fabgen.job.tables.state_tables import STATE, SUPPLIER, State, supplier_faults
from fabgen.job.tables.table import Table, goes_with, optional
from fabgen.job.tables.tube_hole_tables import CrushGiven, Slits, TubeHoleGiven
from fabgen.job.tables.tube_tables import Faces, PlaneGiven, Radii, go_together
from fabgen.job.values.point import Point

Fit = Literal["clear", "outside"]
Coating = Literal["none", "paint", "zinc before welding", "galvanized after"]
COATED: dict[str, str] = {
    "none": "bare",
    "paint": "painted after welding",
    "zinc before welding": "zinc coated before welding",
    "galvanized after": "hot dip galvanized after welding",
}
"""What drawings say of a coating."""
Count = Annotated[int, whole_number(1, 10_000)]


@dataclass(frozen=True, slots=True)
class Family:
    """What the house knows of a family of parts besides its keys.

    `one` and `many` are its words, e.g. 'link rod' and 'link rods'; `built_by` names the module of `fabgen.parts`
    whose `pieces(job)` builds its parts.  Of parts that are lengths `set_up` says that lists give their facts, where
    others give how their ends are worked.  `cautioned`: the page repeats the caution beside each.
    """

    one: str
    many: str
    built_by: str
    set_up: bool = False
    cautioned: bool = False

    @property
    def heading(self) -> str:
        """Its word above a list, 'Link rods'."""
        return self.many.capitalize()


class Part(Table):
    """Keys that every part takes."""

    family: ClassVar[Family]

    mark: MarkName = Field(
        description="the part's own, on every paper and etched or written on it; tables name it by this"
    )
    quantity: Count = optional("how many of it are made", 1)
    material: MaterialName | None = optional("left out = that of the job")
    title: Text = optional("what it is, in your words, beside the mark", "")
    note: Text = optional("printed with the part", "")
    state: State | None = optional(STATE)
    supplier: Text = optional(SUPPLIER, "")
    coating: Coating | None = optional(
        "what covers it; left out = as the job says; shown as the finish of parts without one"
    )
    weld: ZeroLength | None = optional(
        "length of weld on each, for the estimate of filler and gas; left out = coped and mitred ends, ends on "
        "plates, bungs and caps all round, tabs in slits along both sides, nothing on other parts"
    )

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        yield from supplier_faults(given)

    @property
    def as_it_is(self) -> bool:
        """Whether it is bought or there already, so that nothing of it is cut to fit what is made here."""
        return self.state is not None

    @property
    def runs_between(self) -> Sequence[Point]:
        """The points of the job that say how long it is; none where its own keys do."""
        return ()


class Finished(Table):
    """The surface finish of parts that have no `finish` end as tubes do, e.g. "zinc plated"."""

    finish: Text = optional("surface finish, in your words", "")


# -- tubes ------------------------------------------------------------------
Splice = Literal["sleeved", "welded"]


class TubeEnd(Table):
    """start / finish of a tube; left out = automatic."""

    cut: Literal["auto", "plain", "level", "cope", "mitre"] = optional(
        "plain: sawn square at its point, or straight up to the face of a tube that stands there; level: sawn level at "
        "its point, as a leg on a floor; cope: shaped to the tube it sits on, by template; auto: the same, but a "
        "rectangular one on a flat face, also one as wide, is sawn straight to it, and one that meets a placed "
        "plate or bracket is cut to its face",
        "auto",
    )
    onto: Annotated[list[MarkName], one_as_list, Field(min_length=1)] | None = optional(
        "the marks it is coped to, or that of one profile on whose flat face it stands; left out = every earlier tube "
        "it meets there"
    )
    fit: Fit | None = optional(
        "clear: no part of the wall runs into the main; outside: the outer skin meets it; left out = the job's"
    )
    gap: ZeroLength | None = optional(
        "root gap for the weld, square to what the end sits on; left out = that of the job"
    )
    plane: PlaneGiven | None = optional(
        "the end is cut to a plane, as to sit on a plate: three points of it, or a table of a point and the direction "
        "square to it, { at = …, normal = [x, y, z] }"
    )
    seam: Literal["bisect", "edges"] = optional(
        "where a mitre is cut: halfway between the axes, or, of two unlike tubes, from edge to edge; left out = "
        "halfway, or edge to edge where the points of either lie on its faces (`lies`)",
        "bisect",
    )
    foot: FootGiven | None = optional("the plate that the tube stands on here, or that closes it")
    extend: Length = optional("a plain end goes on past its point by this (minus: stops short)", 0.0)
    opens: StrictBool = optional("true or false; true = this tube's bore opens into the tube it is coped to", False)
    splice: Splice | None = optional(
        "this end is spliced to another tube's that goes on from it in one straight line: sleeved, over a shorter tube "
        "inside both, or welded butt to butt; said at either of the two ends or at both"
    )
    slit: Slits = optional("slits and notches in the end of a tube that is sawn square, below", [])
    crush: CrushGiven | None = optional("the end of a round tube is squeezed flat and drilled, below")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        cut = given.get("cut", "auto")
        flat = cut in ("plain", "level")
        yield from goes_with("onto", given, not flat, f'an end that is coped or mitred, not with cut = "{cut}"')
        yield from goes_with("fit", given, cut in ("auto", "cope"), 'an end that is coped: cut = "cope"')
        yield from goes_with("extend", given, cut in ("auto", "plain"), 'a plain end: cut = "plain"')
        if given.get("opens") is True:
            yield from goes_with("opens", given, cut in ("auto", "cope"), 'an end that is coped: cut = "cope"')
        if given.get("slit"):
            square = cut in ("auto", "plain") and not any(given.get(key) for key in ("plane", "foot", "splice"))
            square = square and given.get("crush") is None
            yield from goes_with("slit", given, square, 'an end that is sawn square and free: cut = "plain"')
        if given.get("crush") is not None:
            free = cut in ("auto", "plain") and not any(given.get(key) for key in ("plane", "foot", "splice"))
            yield from goes_with("crush", given, free, 'an end that is sawn square and free: cut = "plain"')
        yield from goes_with("gap", given, cut != "plain", 'an end that sits on something, not with cut = "plain"')
        yield from goes_with("seam", given, cut == "mitre", 'a mitred end: cut = "mitre"')
        free = cut == "auto" and not any(given.get(key) for key in ("onto", "plane", "extend", "opens"))
        yield from goes_with("foot", given, free, "an end of which nothing else is said")
        said = any(given.get(key) for key in ("onto", "plane", "extend", "opens", "foot"))
        butt = cut in ("auto", "plain") and not said
        yield from goes_with("splice", given, butt, "an end sawn square at its point, of which nothing else is said")
        if given.get("plane") is not None:
            if cut != "auto":
                yield InputError("this end is cut to a plane, and has a `cut` besides", "one of the two", key=("cut",))
            for key in ("onto", "fit", "extend", "opens"):
                yield from goes_with(key, given, not given.get(key), "an end that is not cut to a plane")


def _none_or_section(value: object) -> str:
    return "none" if value == "none" else "section"


Crossing = Literal["ask", "cut"]
SleeveGiven = Annotated[
    Annotated[Literal["none"], Tag("none")] | Annotated[SectionText, Tag("section")], Discriminator(_none_or_section)
]
CornerStyle = Literal["run on", "mitred", "as drawn"]
NodeStyle = Literal["run on", "mitred", "hub", "disc", "as drawn"]


class NodeGiven(Table):
    """[[node]]: how the ends of tubes are joined at one point, where only ends meet"""

    at: PointRef = Field(description="the point")
    corners: NodeStyle | None = optional(
        'left out = that of the job; "hub": a short tube of its own, called HUB, on which all of them land; '
        '"disc": a round plate of its own, called DISC, that their slit ends fit over, where they lie in one plane'
    )
    hub: SectionText | None = optional(
        'the hub\'s section, round, square or solid, e.g. "114.3 x 5"; left out = the least round tube as sold on '
        "which no end fouls another"
    )
    hub_along: AxisGiven | None = optional(
        "the hub's direction, a disc's square to it; left out = the one to which the ends are nearest to square"
    )
    disc: PlusLength | None = optional(
        "the disc's diameter; left out = so wide that every end laps over it by 1.3 times its own size"
    )
    thickness: PlusLength | None = optional("the disc's; left out = twice the wall of the tubes, the next that is sold")
    runs: MarkName | None = optional("the tube that runs on; left out = the widest, of like ones the first in the file")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        if given.get("corners") is None and given.get("runs") is None:
            yield InputError("this node says nothing of its corner", "corners, or runs")
        style = given.get("corners")
        yield from goes_with("hub", given, style == "hub", 'corners = "hub"')
        yield from goes_with(("disc", "thickness"), given, style == "disc", 'corners = "disc"')
        yield from goes_with("hub_along", given, style in ("hub", "disc"), 'corners = "hub" or "disc"')
        yield from goes_with("runs", given, style not in ("hub", "disc"), "a corner without a hub")


class Tube(Part):
    """[[tube]]: a round or rectangular tube, or solid bar, from point to point, straight or bent."""

    family = Family("tube", "tubes", "tube.tube")

    section: SectionText = Field(
        description='"48.3 x 3.2" = outside diameter x wall; of a rectangular tube, "60 x 40 x 3", the first figure '
        "stands upright and the second lies across; on a vertical tube the first lies along +x (see `turn`); a named "
        'length may stand for a figure; solid bar is "bar 12", "square bar 16" or "flat 40 x 5", its width upright; '
        '"tube 40 x 5" where the figures alone could as well be flat bar'
    )
    route: Annotated[list[PointRef], Field(min_length=2, max_length=200)] = Field(
        description="its points along the middle of the tube; a route that ends at its first point is closed: bent it "
        "is a ring with one butt joint, straight a mitred frame, a tube a side, with letters after its mark"
    )
    lies: Faces | None = optional(
        "on which of its faces the points of its route lie: middle, on its centre line; outside or inside, that of the "
        "frame which the tubes that say so make together (in a flat frame's thickness the middle); or a side as it "
        'stands in the job: top, bottom, left, right, front, back; or two, ["outside", "top"]. Bend radii stay those '
        "of the centre line, and other parts stand at the points as given; left out = that of the job"
    )
    start: TubeEnd = optional("how the end at the first point is worked, below; left out = automatic", TubeEnd())
    finish: TubeEnd = optional("likewise at the last point", TubeEnd())
    bend_radius: Radii | None = optional(
        "centreline radius at the inner points of the route, of a ring at all of them; a list: one for each"
    )
    closes_at: PointRef | None = optional(
        "of a bent ring: the point of a side where its two ends meet; left out = the middle of its longest straight"
    )
    corners: CornerStyle | None = optional("of its ends; left out = that of the job")
    crossings: Crossing | None = optional(
        "where it crosses other tubes between its ends: cut in pieces that sit on them, with letters after its mark; "
        "left out = that of the job"
    )
    splices: Annotated[list[PlusLength], Field(min_length=1, max_length=50)] | None = optional(
        "where it is cut and spliced, as where no bar is long enough: places from its start along its centreline, in "
        "order; it becomes pieces with letters after its mark"
    )
    sleeve: SleeveGiven | None = optional(
        'section of the sleeve inside its splices; left out = the widest round tube as sold that goes in; "none": the '
        "pieces are welded butt to butt"
    )
    sleeve_of: Annotated[list[MarkName], Field(min_length=2, max_length=2)] | None = optional(
        "of a sleeve: the marks of the two tubes that it joins from inside"
    )
    through: Annotated[list[MarkName], one_as_list] = optional(
        "marks of wider tubes that it passes through, by a hole in each", []
    )
    offset: Annotated[list[Length], Field(min_length=3, max_length=3)] | None = optional(
        "[x, y, z]: its whole route moved by this, as to pass clear of another tube"
    )
    turn: Angle = optional(
        "turns a rectangular section about the tube's axis, clockwise seen from start to finish; 90 lays the first "
        "figure flat; left out = 0, upright",
        0.0,
    )
    holes: Annotated[list[TubeHoleGiven], Field(max_length=500)] = optional(
        "holes and slots in its wall: a list of tables, below", []
    )

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        route = given.get("route")
        if given.get("splices"):
            whole = "a tube in one piece between its ends: list its pieces one by one instead"
            closed = isinstance(route, list) and len(route) > 3 and route[0] == route[-1]
            yield from goes_with("splices", given, not closed, whole)
            for key in ("holes", "sleeve_of"):
                yield from goes_with("splices", given, not given.get(key), whole)
            yield from goes_with("splices", given, given.get("crossings") != "cut", whole)
        if given.get("state") is not None:
            yield from goes_with("splices", given, False, "a tube that is made here")
            yield from goes_with("crossings", given, given.get("crossings") != "cut", "a tube that is made here")
        if given.get("sleeve_of"):
            straight = isinstance(route, list) and len(route) == 2
            yield from goes_with("sleeve_of", given, straight, "a straight tube")
        lies = given.get("lies")
        if isinstance(lies, list) and not go_together(lies):
            what = f"{' and '.join(lies)} do not go together"
            yield InputError(what, 'one of each pair, e.g. ["outside", "top"]; middle alone', key=("lies",))
        if given.get("holes"):
            whole = "a tube that stays in one piece: list its pieces one by one to give them holes"
            yield from goes_with("holes", given, given.get("crossings") != "cut", whole)
            ring = isinstance(route, list) and len(route) > 3 and route[0] == route[-1]
            yield from goes_with("holes", given, not ring or given.get("bend_radius") is not None, whole)
        if isinstance(route, list) and len(route) > 2 and given.get("bend_radius") is None:
            yield InputError("this tube bends at the inner points of its route, but has no bend_radius", "bend_radius")
        if isinstance(route, list):
            yield from goes_with("bend_radius", given, len(route) > 2, "a route of three points or more")
            closed = len(route) > 3 and route[0] == route[-1]
            yield from goes_with("closes_at", given, closed, "a route that ends at its first point")
            radii = given.get("bend_radius")
            if isinstance(radii, list) and len(route) > 2 and len(radii) not in (1, len(route) - 2):
                what = f"the route has {len(route) - 2} inner points, but {len(radii)} bend radii"
                yield InputError(what, "one for all, or one for each", key=("bend_radius",))

    @property
    def runs_between(self) -> Sequence[Point]:
        return self.route

    def end(self, at: Literal["start", "finish"]) -> TubeEnd:
        """What is said of one of its ends."""
        return self.start if at == "start" else self.finish

    @property
    def given_route(self) -> tuple[Point, ...]:
        """The points as the job gives them, which may lie on a face of the tube; `route` is along its middle."""
        return tuple(point.as_given for point in self.route)

    @property
    def given_ends(self) -> tuple[Point, Point]:
        """The first and the last of them."""
        return self.route[0].as_given, self.route[-1].as_given


def text_or_table(value: object) -> str:
    """Which of the two a value is, where a key takes either."""
    return "table" if isinstance(value, dict | Table) else "text"
