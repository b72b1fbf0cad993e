"""The job file as pydantic models: one table a model, one key a field.

Lengths arrive in mm and angles in radians, in any units of the file: `fields.py` turns text
with units, fractions and formulas into numbers before a model sees them.  The descriptions
here, in `part_tables.py`, `flat_tables.py`, `bracket_tables.py`, `cover_tables.py` and `bend_tables.py` are the
manual: they say what each key means and what it is when left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Annotated, Literal, get_args

from pydantic import Field, PrivateAttr, StrictBool, model_validator
from pydantic.fields import FieldInfo

from fabgen.job.errors import InputError
from fabgen.job.tables.bend_tables import BendTest
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.job.tables.buying_tables import Bolt, Consumables, Price, Saw
from fabgen.job.tables.copies.mirror_tables import MirrorGiven
from fabgen.job.tables.copies.repeat_tables import RepeatGiven
from fabgen.job.tables.cover_tables import Cover
from fabgen.job.tables.fields import (
    Dimension,
    FilledText,
    JobDate,
    KnownMaterial,
    MaterialName,
    PlusLength,
    PlusPair,
    ShortText,
    Shrinkage,
    StockText,
    Text,
    ZeroLength,
    number_between,
    point_or,
    whole_number,
)
from fabgen.job.tables.flat_tables import HoleFit, Plate, SheetOutline
from fabgen.job.tables.frame_tables import FrameGiven
from fabgen.job.tables.lengths.bar_tables import Bar, Bush, Strap
from fabgen.job.tables.lengths.profile_tables import Profile
from fabgen.job.tables.link_tables import Link, RodEndKind
from fabgen.job.tables.measuring_tables import AsBuilt, Measuring, PointGiven
from fabgen.job.tables.movement_tables import TABLES as MOVEMENT_TABLES
from fabgen.job.tables.movement_tables import BodyGiven, Damper, Envelope, JointGiven, MovementGiven, Pin, Sweep, Wheel
from fabgen.job.tables.part_tables import Coating, Crossing, Family, Fit, NodeGiven, NodeStyle, Part, Tube
from fabgen.job.tables.place_tables import Placeable
from fabgen.job.tables.table import Table, Written, exactly_one, goes_with, optional
from fabgen.job.tables.tube_tables import Former, FrameFace
from fabgen.job.tables.weld_tables import Weld
from fabgen.job.values.point import Point
from fabgen.shop import materials
from fabgen.shop.corners import as_sold
from fabgen.shop.materials import Material
from fabgen.shop.profiles.profile_section import StockSection
from fabgen.shop.profiles.standard_sizes import sharp
from fabgen.shop.sheet_cutting import BRAKE_LENGTH, Process
from fabgen.shop.tolerances import WeldClass


class Header(Table):
    """[job]: what heads every paper, and what holds for all parts that say nothing else."""

    title: FilledText = Field(description="heads every paper")
    number: FilledText = Field(description="of the job, on every paper")
    units: Literal["mm", "in"] = Field(description="of bare numbers")
    date: JobDate | None = optional("on every paper, e.g. 2026-03-14; left out = none")
    owner: Text = optional("who the drawings belong to (title block)", "")
    drawn_by: Text = optional("who drew it (title block)", "")
    checked_by: Text = optional("who checked it (title block)", "")
    revision: Text = optional("revision letter (title block)", "A")
    material: MaterialName = optional("material of parts that name none", "S235")
    coating: Coating | None = optional(
        "what covers the parts, where a part does not say: bare metal, paint, zinc on the bought tube or sheet, or "
        "the welded job hot dip galvanized; left out = not known"
    )
    vents: StrictBool = optional(
        "true: every closed tube gets the vents that the checks of closed members ask for, at its low end", False
    )
    bath: PlusLength | None = optional("length of the galvanizer's bath; what is longer does not go in at one dip")
    tolerance: Text = optional(
        "general tolerance printed on the drawings of parts before they are welded", "ISO 2768-m"
    )
    weld_tolerance: WeldClass = optional(
        "class of ISO 13920, A (fine) to D: general tolerance printed on the assembly and on link rods", "B"
    )
    projection: Literal["first", "third"] = optional(
        "how the drawings' views are placed: first-angle or third-angle (ISO 5456-2)", "first"
    )
    crossings: Crossing = optional(
        "where tubes cross between their ends: a stop that asks, or the later is cut in pieces that sit on the earlier "
        "where all of it lands on that",
        "ask",
    )
    lies: FrameFace = optional(
        "whether tubes' points lie on their centre lines, or on the outside or inside of the frame that they make: so "
        "a frame is written by its sizes over all, or by its opening",
        "middle",
    )
    fit: Fit = optional("how coped tube ends sit, where a tube does not say", "clear")
    corners: NodeStyle = optional(
        "where only ends of tubes meet: one runs on and the others sit on it, like ends are mitred, six and more land "
        'on a hub, or on a disc if they lie in one plane (the others as with "run on"), or every tube stops as drawn',
        "run on",
    )
    root_gap: ZeroLength = optional("root gap of worked tube ends, where an end gives none", 0.0)
    shrinkage: Shrinkage = optional(
        "what one welded joint draws in as it cools, by your own trial pieces: saw lengths of tubes are longer by it "
        "at each end that sits on something, by half of it at a mitre and at the butt of a ring",
        0.0,
    )
    rod_ends: Text = optional("a file of [[rod_end]] tables beside this one, e.g. 'my-rod-ends.toml'", "")
    hole_fit: HoleFit = optional("ISO 273 series of bolt holes, where a hole does not say", "medium")
    bend_rule: Literal["table", "din6935"] = optional("source of K when a part gives none", "table")
    currency: ShortText = optional("of all prices, e.g. 'EUR'; printed beside the totals", "")
    process: Process = optional("how sheet is cut, where a part does not say", "laser")
    brake_length: PlusLength = optional("longest bend that the press brake takes; left out = 3 m", BRAKE_LENGTH)
    die: PlusLength | None = optional("opening of the lower tool of the press brake; left out = the one for each bend")
    kerf_offset: PlusLength | None = optional(
        "width of your own machine's kerf; own-cut/ then has files that allow for it"
    )
    weld_gap: ZeroLength = optional("gap all round a cap cover, where a cover does not say", 1.0)


Megapascals = Annotated[float, number_between(10.0, 3000.0, "MPa as a bare number, e.g. 355")]


class OwnMaterial(Table):
    """[[material]]: a material of the job's own"""

    name: FilledText = Field(description="what parts call it by")
    like: KnownMaterial = Field(description="a known material; its bend data and other values are used")
    density: Annotated[float, number_between(100.0, 25_000.0, "kg/m3 as a bare number, e.g. 7850")] | None = optional(
        "kg/m3; left out = that of `like`"
    )
    yield_strength: Megapascals | None = optional(
        "MPa (N/mm2), by its certificate; left out = that of `like`, where it has one"
    )
    tensile_strength: Megapascals | None = optional("likewise")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        name = given.get("name")
        if isinstance(name, str) and name.strip() and materials.is_known(name):
            what = f'the material "{materials.find(name).name}" is known already'
            yield InputError(what, "a name of its own", key=("name",))

    @property
    def material(self) -> Material:
        base = materials.find(self.like)
        density = base.density if self.density is None else self.density
        title = f"as the job gives it, like {base.name}"
        return replace(
            base,
            name=self.name,
            density=density,
            title=title,
            given_yield=self.yield_strength,
            tensile_strength=self.tensile_strength,
            form=None,
            like=base.name,
        )


class Stock(Table):
    """[[stock]]: what can be bought, or lies on the rack already"""

    section: StockText | None = optional("of bars")
    thickness: PlusLength | None = optional("instead of `section`: of sheets")
    material: MaterialName | None = optional("left out = any material")
    lengths: list[PlusLength] = optional("bar lengths of this section", [])
    sheets: list[PlusPair] = optional("sheet sizes of this thickness", [])
    price: Annotated[float, number_between(0.0, 1e6, "a price as a bare number, e.g. 38.50")] | None = optional(
        "of one bar (first length) or one sheet"
    )
    kerf: ZeroLength | None = optional("saw or torch kerf; left out = the shop's usual")
    end_loss: ZeroLength | None = optional("length of every bar that no piece can come from; left out = that of [saw]")
    on_hand: Annotated[int, whole_number(0, 10_000)] | None = optional("how many lie on the rack; used first")
    outline: SheetOutline | None = optional("instead of `sheets`: a remnant on the rack; x along its rolling direction")
    mark: Text = optional("what is written on it, to find it on the rack", "")
    gap: PlusLength | None = optional(
        "between parts on the sheet; left out = the thickness, 5 mm at least; the widest given for a thickness counts"
    )
    margin: ZeroLength | None = optional("unused rim of the sheet; left out = the thickness, 10 mm at least")

    def is_bar_of(self, section: StockSection, material: str) -> bool:
        """Whether a piece of this section, as sold, and material may be sawn from it."""
        is_section = self.section is not None and self.section.nominal == section
        return is_section and self.material in (None, material)

    def is_sheet_of(self, material: str, thickness: float) -> bool:
        """Whether a part of this material and thickness, mm, may be cut from it."""
        is_thick = self.thickness is not None and abs(self.thickness - thickness) < 1e-6
        return is_thick and self.material in (None, material)

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from exactly_one(("section", "thickness"), given, " (bars, or sheets)")
        is_bar, is_sheet = given.get("section") is not None, given.get("thickness") is not None
        if is_bar and not is_sheet:
            if not given.get("lengths"):
                yield InputError("bars need lengths", 'e.g. lengths = ["6 m"]')
            yield from goes_with(("sheets", "outline", "gap", "margin"), given, False, "thickness")
        if is_sheet and not is_bar:
            if given.get("outline") is not None:
                yield from goes_with("sheets", given, False, "no outline: full rectangles")
                if given.get("on_hand") is None:
                    yield InputError("a remnant lies on the rack: say how many there are", "e.g. on_hand = 1")
            elif not given.get("sheets"):
                yield InputError("sheets need their sizes", "e.g. sheets = [[2500, 1250]], or a remnant's outline")
            yield from goes_with(("lengths", "end_loss"), given, False, "section")


class Definitions(Table):
    """The job file, checked key by key."""

    job: Header
    dimensions: dict[str, Dimension] = Field(default={})
    points: dict[str, Annotated[Point, point_or(PointGiven), Written(PointGiven)]] = Field(default={})
    measuring: Measuring = Measuring()
    as_built: AsBuilt = AsBuilt()
    material: list[OwnMaterial] = Field(default=[])
    frame: list[FrameGiven] = Field(default=[])
    tube: list[Tube] = Field(default=[])
    profile: list[Profile] = Field(default=[])
    node: list[NodeGiven] = Field(default=[])
    former: list[Former] = Field(default=[])
    link: list[Link] = Field(default=[])
    rod_end: list[RodEndKind] = Field(default=[])
    plate: list[Plate] = Field(default=[])
    bracket: list[Bracket] = Field(default=[])
    cover: list[Cover] = Field(default=[])
    strap: list[Strap] = Field(default=[])
    bar: list[Bar] = Field(default=[])
    bush: list[Bush] = Field(default=[])
    repeat: list[RepeatGiven] = Field(default=[])
    mirror: list[MirrorGiven] = Field(default=[])
    weld: list[Weld] = Field(default=[])
    bend_test: list[BendTest] = Field(default=[])
    stock: list[Stock] = Field(default=[])
    bolt: list[Bolt] = Field(default=[])
    price: list[Price] = Field(default=[])
    saw: Saw = Saw()
    consumables: Consumables = Consumables()
    movement: MovementGiven = MovementGiven()
    body: list[BodyGiven] = Field(default=[])
    joint: list[JointGiven] = Field(default=[])
    pin: list[Pin] = Field(default=[])
    damper: list[Damper] = Field(default=[])
    wheel: list[Wheel] = Field(default=[])
    sweep: list[Sweep] = Field(default=[])
    envelope: list[Envelope] = Field(default=[])

    _made_of_sheet: dict[str, tuple[tuple[object, ...], object]] = PrivateAttr(default_factory=dict)

    @property
    def made_of_sheet(self) -> dict[str, tuple[tuple[object, ...], object]]:
        """By mark the parts of sheet made so far, each after what it hangs on; a job shares them with its copies."""
        return self._made_of_sheet

    @model_validator(mode="after")
    def _corners_as_sold(self) -> Definitions:
        """Tubes and profiles of a metal that is sold with corners of its own have them where the job gives none."""
        tubes = list(self.tube)
        for place, tube in enumerate(tubes):
            section = as_sold(tube.section, self.find_material(tube.material or self.job.material))
            if section is not tube.section:
                tubes[place] = tube.model_copy(update={"section": section})
        object.__setattr__(self, "tube", tubes)  # frozen from here on
        profiles = list(self.profile)
        for place, profile in enumerate(profiles):
            metal, rolled = self.find_material(profile.material or self.job.material), profile.section
            if metal.group == "aluminium" and (rolled.standard or rolled.radii) and not rolled.folded:
                profiles[place] = profile.model_copy(update={"section": sharp(rolled)})
        object.__setattr__(self, "profile", profiles)
        return self

    def parts(self) -> Iterator[Part]:
        """Every part of the job, family by family."""
        return (part for _, _, part in self.part_entries())

    def part_entries(self) -> Iterator[tuple[str, int, Part]]:
        """The table of every part, its number there from 0, and itself."""
        for table in FAMILIES:
            for number, part in enumerate(getattr(self, table)):
                yield table, number, part

    @property
    def tells_of_movement(self) -> bool:
        """Whether it has any table of what moves, or a part that rides on a body."""
        placed = (part for part in self.parts() if isinstance(part, Placeable))
        return any(getattr(self, table) for table in MOVEMENT_TABLES) or any(
            place.on is not None for part in placed for place in part.place
        )

    def find_material(self, name: str) -> Material:
        """The material a part names: the job's own first, then the known ones.  Raises ValueError."""
        key = materials.key_of(name)
        for own in self.material:
            if materials.key_of(own.name) == key:
                return own.material
        return materials.find(name)


def _family(field: FieldInfo) -> Family | None:
    """The family of the parts that a table of the job lists; None of any other table."""
    (entry, *_) = get_args(field.annotation) or (None,)
    return entry.family if isinstance(entry, type) and issubclass(entry, Part) else None


FAMILIES = {table: family for table, field in Definitions.model_fields.items() if (family := _family(field))}
"""The families of parts by table, in the order of the documents: every table of `Definitions` that lists parts, which
are what has a mark.  A new family is its model, one line there, and the module that its `built_by` names."""
