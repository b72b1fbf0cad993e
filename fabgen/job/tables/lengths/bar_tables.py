"""[[bar]]: round bar, bent: U-bolts, J-bolts, hooks, loops, tie bars; and [[bush]]: short lengths of round tube that
sit in holes of plates and brackets, or between two ears; and [[strap]]: flat bar or strip rolled to an arc.

The descriptions here are the manual: they say what each key means and what it is when left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Literal, get_args

from pydantic import Discriminator, Field, Tag

from fabgen.job.errors import InputError
from fabgen.job.tables.bend_tables import Pressed
from fabgen.job.tables.etch_tables import TubeRef
from fabgen.job.tables.fields import (
    Angle,
    BoltText,
    Length,
    PartMark,
    PlusLength,
    PlusPair,
    SectionText,
    ShortText,
    Text,
    Through,
    ZeroLength,
    angle_within,
    number_between,
    one_as_list,
    whole_number,
)
from fabgen.job.tables.flat_tables import Grained, HoleGiven, hole_faces
from fabgen.job.tables.part_tables import Family, Finished, Part
from fabgen.job.tables.place_tables import OfTwoHands, Placeable
from fabgen.job.tables.table import Case, Table, exactly_one, given_of, goes_with, optional
from fabgen.job.tables.tube_hole_tables import SideName
from fabgen.job.tables.tube_tables import Radii
from fabgen.shop.fits import BushFit


class BarEndGiven(Table):
    """An end of the bar: threaded, or beaten flat with a hole; left out = sawn."""

    thread: ShortText | None = optional("cut on it, e.g. 'M12' or '1/2-13 UNC'")
    hand: Literal["right", "left"] = optional("of its thread", "right")
    length: PlusLength | None = optional(
        "of the thread, or of the flat; a thread's left out = from the end to what the bar goes round, or as much as "
        "its nuts, washers and what they clamp take, and the bar's diameter more"
    )
    nuts: Annotated[int, whole_number(0, 4)] = optional("on the thread: the second locks the first", 2)
    washers: Annotated[int, whole_number(0, 4)] = optional("under the nuts", 1)
    thickness: PlusLength | None = optional("beaten flat to this")
    hole: ZeroLength = optional("diameter of the hole in the flat; 0 = none", 0.0)
    hole_at: PlusLength | None = optional("middle of the hole from the bar's end; left out = the middle of the flat")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from exactly_one(("thread", "thickness"), given, " (threaded, or beaten flat)")
        threaded = given.get("thread") is not None
        yield from goes_with(("hand", "nuts", "washers"), given, threaded, "a thread")
        yield from goes_with(("hole", "hole_at"), given, not threaded, "an end that is beaten flat")
        if not threaded and given.get("thickness") is not None and given.get("length") is None:
            yield InputError("an end that is beaten flat needs its length", "e.g. length = 30", key=("length",))
        yield from goes_with("hole_at", given, bool(given.get("hole")), "a hole")


_OF_U_BOLTS = ("around", "clearance", "at", "legs_to")
_OF_J_BOLTS = ("inside", "height", "short_leg")


class Bar(Part, Placeable):
    """[[bar]]: round bar, bent in one plane, its ends sawn, threaded or beaten flat.

    U-bolt: two legs and a bow, given by what it goes `around` or its width `inside`; round a round tube one bend of
            180 degrees, round a rectangular one two of 90; threaded where its ends do not say else
    J-bolt: a long leg, a bow of 180 degrees, `inside` wide, and a `short_leg`
    without a shape: `legs` and `bends`, for hooks, loops, eyes, tie bars

    Its `place` thinks of it lying on the bench as it is drawn: u runs along its first leg from the start, of a U-bolt
    across its legs, which point along v; [0, 0] is its start, of a U-bolt the middle of what it goes round.
    """

    family = Family("bent bar", "bent bars", "bar.bent_bar", set_up=True, cautioned=True)

    shape: Literal["U-bolt", "J-bolt"] | None = optional("left out = by `legs` and `bends`")
    diameter: PlusLength = Field(description="of the bar")
    legs: Annotated[list[ZeroLength], Field(min_length=1, max_length=41)] | None = optional(
        "straights in order, each from bend to bend: one more than there are bends"
    )
    bends: Annotated[list[Angle], Field(max_length=40)] = optional(
        "how far it turns at each bend, seen along it from the start: left, or minus: right", []
    )
    radius: Radii | None = optional(
        "inside radius of the bends, one or a list; left out = half of `inside`, of a U-bolt round a rectangular tube "
        "the least that the material takes"
    )
    around: TubeRef | None = optional(
        "what it goes round: a section, or the mark of a tube; the first size of a rectangular one lies along the legs"
    )
    clearance: ZeroLength = optional("between the bar and what it goes round, each side", 0.5)
    inside: PlusLength | None = optional(
        "clear width between the legs; left out = what it goes round and the clearance"
    )
    height: PlusLength | None = optional(
        "from the inside of the bow to the end of the legs, of a J-bolt of the long one; left out = as far as what it "
        "goes round, what it `clamps`, washers and nuts take"
    )
    clamps: Annotated[list[Through], one_as_list, Field(max_length=40)] = optional(
        "what the nuts clamp: marks (a sheet's thickness) or lengths", []
    )
    short_leg: ZeroLength | None = optional("of a J-bolt, its straight beyond the bow")
    ends: BarEndGiven | None = optional("both ends alike")
    start: BarEndGiven | None = optional("the end at the start, below, instead of `ends`")
    finish: BarEndGiven | None = optional("the end at the finish, likewise")
    neutral: Annotated[float, number_between(0.3, 0.6, "a share of the diameter, 0.3 to 0.6")] | None = optional(
        "distance of the neutral line from the inside of a bend, as a share of the diameter; left out = 0.5, the "
        "middle (common practice, no source): bend a test piece"
    )
    trim: ZeroLength = optional(
        "sawn longer by this at each end, to be held or levered by and cut off after bending", 0.0
    )
    at: Length | None = optional("of a U-bolt, where it stands along the tube it goes around, from that tube's start")
    legs_to: SideName = optional("the way its legs point there", "bottom")

    @classmethod
    def cases(cls) -> Iterator[Case]:
        yield Case("shape", "", ("legs",), (*_OF_U_BOLTS, "short_leg", "inside", "height"))
        yield Case("shape", "U-bolt", (), ("legs", "bends", "short_leg"))
        yield Case("shape", "J-bolt", _OF_J_BOLTS, ("legs", "bends", *_OF_U_BOLTS))

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        shape = given.get("shape")
        if shape is None:
            yield from _by_legs(given)
        else:
            for key in given_of(("legs", "bends"), given):
                yield InputError(f"{key} has no meaning beside shape", "shape, or legs and bends", key=(key,))
        yield from goes_with("short_leg", given, shape == "J-bolt", 'shape = "J-bolt"')
        yield from goes_with(_OF_U_BOLTS, given, shape == "U-bolt", 'shape = "U-bolt"')
        yield from goes_with(("inside", "height"), given, shape is not None, "a shape")
        if shape == "U-bolt" and not given_of(("around", "inside"), given):
            yield InputError("a U-bolt needs its width", "`around`: what it goes round, or `inside`")
        if shape == "J-bolt":
            for key in _OF_J_BOLTS:
                if given.get(key) is None:
                    yield InputError(f"a J-bolt needs {key}", "inside, height and short_leg", key=(key,))
        if given.get("ends") is not None:
            for key in given_of(("start", "finish"), given):
                yield InputError(f"{key} has no meaning beside ends", "ends for both, or start and finish", key=(key,))
        if given.get("at") is not None and given.get("around") is None:
            yield InputError("`at` has no tube to be along", "`around` with the mark of a tube", key=("at",))
        yield from goes_with("legs_to", given, given.get("at") is not None, "`at`")
        yield from goes_with("place", given, given.get("at") is None, "no `at`, which places a U-bolt on its tube")


def _counted(things: list[object], name: str) -> str:
    """'no bends', '1 bend', '2 bends'."""
    return f"{len(things) or 'no'} {name}{'' if len(things) == 1 else 's'}"


def _by_legs(given: Mapping[str, object]) -> Iterator[InputError]:
    legs, bends, radius = given.get("legs"), given.get("bends", []), given.get("radius")
    if legs is None:
        yield InputError("a bar without a shape needs its legs", "legs = [ … ] and bends = [ … ], or a shape")
    if not isinstance(legs, list) or not isinstance(bends, list):
        return
    if len(legs) != len(bends) + 1:
        what = f"{_counted(legs, 'leg')} and {_counted(bends, 'bend')} are given"
        yield InputError(what, "one leg more than bends; 0 where two bends meet", key=("legs",))
    if bends and radius is None:
        yield InputError("the bends have no radius", "radius: the inside radius, one or a list", key=("radius",))
    if isinstance(radius, list) and bends and len(radius) not in (1, len(bends)):
        what = f"{_counted(bends, 'bend')} and {len(radius)} radii are given"
        yield InputError(what, "one for all, or one for each", key=("radius",))
    yield from goes_with("radius", given, bool(bends), "bends")


class Bush(Part, Finished):
    """[[bush]]: a round tube that sits in the holes that name it, `holes = [{ at = [x, y], bush = "B1" }]` or an ear's
    own `bush = "B1"`; in the eye of a link rod that names it; or between two ears as a crush tube.

    The hole's size follows from the bush, the bush's length from what it goes through.  How many there are follows
    from the holes where `quantity` is left out.
    """

    family = Family("bush", "bushes", "tube.bush")

    section: SectionText = Field(description='outside diameter x wall, e.g. "30 x 4"')
    fit: BushFit = optional(
        "how it is held: weld (hole 0.3 mm wider, common practice), press (H7/p6) or slip (H7/f7, ISO 286), or rubber "
        "(hole 4 % smaller than the rubber, common practice)",
        "weld",
    )
    length: PlusLength | None = optional(
        "left out = from the outer skin of the first sheet to that of the last (a clevis: over both ears) and what "
        "stands `proud`; between ears, the clear gap"
    )
    proud: ZeroLength = optional("what stands out of the sheet at each end", 0.0)
    between: PartMark | None = optional(
        "the mark of the bracket between whose ears it is clamped, as a crush tube on the bolt"
    )
    bolt: BoltText | None = optional("what goes through it, e.g. 'M12': its bore is held against that")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        yield from goes_with(("fit", "proud"), given, given.get("between") is None, "a bush that sits in a hole")
        yield from goes_with("proud", given, given.get("length") is None, "a length that is left out")


StrapArc = Annotated[float, angle_within(1.0, 350.0, "an angle from 1 to 350 degrees")]
StrapShape = Literal["band", "half band", "saddle", "arc"]
_OF_ARCS = ("arc", "straights", "ends")


def _stands(given: Mapping[str, object]) -> Iterator[InputError]:
    """Faults of a strap that says with `at` where it stands."""
    at = given.get("at")
    if at is None:
        return
    if given.get("place"):
        yield InputError("`at` and `place` both say where it stands", "one of them", key=("at",))
    count = (len(at) if isinstance(at, list) else 1) * (2 if given.get("shape") == "half band" else 1)
    quantity = given.get("quantity")
    if isinstance(quantity, int) and quantity < count:
        yield InputError(
            f"{quantity} made, and `at` stands {count}", f"quantity = {count}, or leave it out", key=("at",)
        )


def _round_kind(value: object) -> str:
    return "across, up" if isinstance(value, list) else "one"


Round = Annotated[
    Annotated[Through, Tag("one")] | Annotated[PlusPair, Tag("across, up")],
    Discriminator(_round_kind),
]
"""A diameter or a tube's mark, or the two sizes of something rectangular."""


class Strap(Part, Finished, Grained, Pressed, OfTwoHands):
    """[[strap]]: flat bar or strip rolled round something, on rolls or over a former, or bent round something with
    corners.

    band: all round, two ears side by side with a bolt through both
    half band: one of two halves, an ear turned out at each side
    saddle: over the top and down both sides, its ears flat on what the tube lies on
    arc: an `arc` of any angle with `straights` and `ends`, round something round
    """

    family = Family("strap", "straps", "bar.strap")

    shape: StrapShape = optional("what it is, above", "band")
    width: PlusLength = Field(description="of the flat bar or strip")
    thickness: PlusLength = Field(description="of the flat bar or strip")
    round: Round = Field(
        description="what it goes round: the mark of a tube, a diameter, or [across, up] of something rectangular, "
        "e.g. a battery; up is the way the ears point, of a rectangular tube its first figure"
    )
    corner: PlusLength | None = optional(
        "round something rectangular: inside radius of the bends at its corners; left out = that of its own corners "
        "with the rubber on them, the usual one at least"
    )
    at: Annotated[list[Length], one_as_list, Field(max_length=100)] | None = optional(
        "where it stands along the tube it goes round, from that tube's start; several = so many are made, of half "
        "bands two each"
    )
    ears_to: SideName | None = optional("the way its ears point there; left out = top, of a saddle bottom")
    rubber: ZeroLength = optional("thickness of the rubber between, as bought", 0.0)
    squeeze: ZeroLength | None = optional(
        "gap between the ears when it lies on without force, of a saddle below its ears: what tightening closes; left "
        "out = 4 % of the diameter, 3 mm at least, of a saddle nought, or what squeezes the rubber by a fifth (common "
        "practice)"
    )
    arc: StrapArc | None = optional("angle that it goes round, 1 to 350 degrees")
    straights: list[ZeroLength] = optional("of an arc: straight beyond each end of it", [0.0, 0.0])
    ends: Literal["flanged", "joggled", "plain"] = optional(
        "of an arc: turned out square as ears, set out by `joggle`, or as they are", "flanged"
    )
    ear: PlusLength | None = optional(
        "flat of each ear, beyond its bend; left out = 4 times the bolt (20 mm without one), its lower tool at least"
    )
    bolt: BoltText | None = optional("hole in the middle of each ear, e.g. 'M8': clearance by ISO 273")
    slot: PlusLength | None = optional("makes the ears' holes slots along the strap, length over all")
    bolt_length: PlusLength | None = optional("of a band's bolt; left out = the one that reaches")
    radius: PlusLength | None = optional("inside radius of the ears' bends; left out = the usual one")
    k: Annotated[float, number_between(0.0, 1.0, "a bare number from 0 to 1, e.g. 0.42")] | None = optional(
        "K of the ears' bends; left out = by the job's tests or its table; an arc has its neutral line in the middle"
    )
    joggle: PlusLength | None = optional("of joggled ends: how far out they are set; left out = the thickness")
    corner_radius: ZeroLength = optional("at the ends' corners", 0.0)
    holes: list[HoleGiven] = optional("at = [along from the middle of the strap, across from its middle line]", [])
    cut_from: Literal["bar", "sheet"] | None = optional("left out = bar where that size is sold as flat bar")
    mark_text: Text | None = optional("etched; left out = the mark; '' = nothing")

    @classmethod
    def cases(cls) -> Iterator[Case]:
        for shape in get_args(StrapShape):
            needed, barred = (("arc",), ("squeeze",)) if shape == "arc" else ((), _OF_ARCS)
            yield Case("shape", shape, needed, barred)

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        is_arc = given.get("shape") == "arc"
        yield from goes_with(_OF_ARCS, given, is_arc, 'shape = "arc"')
        if is_arc and given.get("arc") is None:
            yield InputError("an arc needs its angle", "arc = 1 to 350 degrees", key=("arc",))
        yield from goes_with("squeeze", given, not is_arc, "a band, half band or saddle")
        yield from goes_with("joggle", given, given.get("ends") == "joggled", 'ends = "joggled"')
        yield from goes_with("ears_to", given, given.get("at") is not None, "`at`")
        yield from _stands(given)
        yield from goes_with(("slot", "bolt_length"), given, given.get("bolt") is not None, "bolt")
        for i, _ in hole_faces(given):
            yield InputError("face has no meaning here", "face goes with brackets", key=("holes", i, "face"))
