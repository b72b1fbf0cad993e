"""A bend test strip to cut, fold and measure: one printed sheet and the strip's DXF file.

The sheet says what to do, shows the strip at true size where there is room, has a
table to write the legs in, gives K by their sum, and ends with the table for the
job file.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fabgen.documents.drawing.sheet.blocks import table_panel
from fabgen.documents.drawing.sheet.dimensions import Length, Target, draw_leader
from fabgen.documents.drawing.sheet.lanes import Side, draw_sides
from fabgen.documents.dxf.flat_dxf import flat_dxf, flat_name
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import render, text_width, wrapped
from fabgen.documents.render.picture import Arc, Item, Picture, Text, line, loop_items
from fabgen.documents.render.sketch import Sketch
from fabgen.documents.render.true_size import TrueSizeSheet
from fabgen.documents.render.words import figure
from fabgen.documents.without_job.one_bend import read_sheet
from fabgen.geometry.plane.outline import Box, Outline, Xy
from fabgen.geometry.sheet.folds import Bend
from fabgen.job.errors import InputError
from fabgen.job.tables.definitions import Header
from fabgen.job.values.option_values import length_option
from fabgen.parts.piece import FlatBend, FlatPart, Piece
from fabgen.parts.shape.etching import Metal, etched_number
from fabgen.shop.bending.bends import k_factor, least_flange
from fabgen.shop.bending.press_brake import lower_tool, usual_radius
from fabgen.shop.materials import Material
from fabgen.shop.tables import data

STRIPS = 3
SHORTEST, NARROWEST = 100.0, 40.0
"""Least length and width of a strip, mm: common practice, no source."""
WIDE = 8.0
"""A strip this many times as wide as thick bends as a wide sheet does: common practice, no source."""
_TALLEST = 54.0
_QUARTER = math.pi / 2.0
_KS = tuple(0.28 + 0.02 * i for i in range(14))


@dataclass(frozen=True, eq=False)
class Coupon:
    """The test: sheet, inside radius and lower tool, mm."""

    material: Material
    thickness: float
    radius: float
    die: float

    @property
    def length(self) -> float:
        """Of the strip: each leg half as long again as the lower tool needs, in whole 10 mm."""
        leg = 1.5 * least_flange(_QUARTER, self.die).value
        return max(SHORTEST, 20.0 * math.ceil(leg / 10.0 - 1e-9))

    @property
    def width(self) -> float:
        return max(NARROWEST, 10.0 * math.ceil(WIDE * self.thickness / 10.0 - 1e-9))

    @property
    def setback(self) -> float:
        return self.radius + self.thickness

    def legs(self, k: float) -> float:
        """Sum of both legs at that K, mm."""
        return self.length + 2.0 * self.setback - _QUARTER * (self.radius + k * self.thickness)

    @property
    def piece(self) -> Piece:
        """The strip as a flat part, its fold across the middle."""
        outline = Outline.rectangle(self.length, self.width)
        k = k_factor(self.material.group, self.thickness, self.radius).value
        bend = Bend(self.thickness, self.radius, _QUARTER, k)
        middle = self.length / 2.0
        fold = FlatBend((middle, 0.0), (middle, self.width), bend, True, "leg a / leg b")
        name = f"{self.material.name} {figure(self.thickness, 2)} R{figure(self.radius, 2)}"
        marks, _ = etched_number(name, Metal(outline, (), (fold,)))
        part = FlatPart(self.thickness, outline, bends=(fold,), marks=marks, die=self.die)
        return Piece("bend-test", "plate", STRIPS, self.material.name, 0.0, part, title="bend test strip")


def read_coupon(thickness: str, radius: str | None, material: str, die: str | None = None) -> Coupon:
    """The coupon that the options give; without a radius the one its tool gives.  Raises ValueError that names
    the option."""
    t, metal, tool = read_sheet(thickness, material, die)
    r = usual_radius(metal, t, tool, "along") if radius is None else length_option("radius", radius)
    if r < 0.0:
        raise InputError(f"--radius: {radius!r} is less than nothing", "0 or more")
    return Coupon(metal, t, round(r, 1) if radius is None else r, lower_tool(metal, t, r, tool).opening)


def coupon_files(coupon: Coupon, paper: Paper) -> dict[str, bytes]:
    """'bend-test.pdf' and the strip's DXF file.  The same coupon gives the same bytes."""
    piece = coupon.piece
    header = Header(title=f"{figure(coupon.thickness, 3)} mm {coupon.material.name}", number="Bend test", units="mm")
    sheet = TrueSizeSheet(paper.upright)
    page = sheet.page(Picture.of(_CouponPage(coupon, piece, sheet.room).items), header, 1, 1, "bend test strip")
    return {"bend-test.pdf": render([page], "bend test strip"), flat_name(piece): flat_dxf(piece)}


class _CouponPage:
    """The sheet in the making, from the top down."""

    def __init__(self, coupon: Coupon, piece: Piece, room: Box) -> None:
        self.coupon, self.piece = coupon, piece
        self.left, self.low, self.right, self.y = room[0], room[1], room[2], room[3]
        self.items: list[Item] = []
        self._head()
        self._strip()
        self._steps()
        self._measured()
        self._snippet()

    # -- what and how -----------------------------------------------------------
    def _head(self) -> None:
        c = self.coupon
        self._text(f"{figure(c.thickness, 3)} mm {c.material.name}, inside radius {figure(c.radius, 2)} mm", 6.0, True)
        self._text(
            f"strip {figure(c.length)} x {figure(c.width)} mm, {STRIPS} of them; lower tool {figure(c.die)} mm; "
            "fold 90° on the line, which lies to the rolling direction as on the part",
            3.5,
        )

    def _strip(self) -> None:
        """The strip at true size, else as large as the page is wide, and said so."""
        c = self.coupon
        scale = min(1.0, (self.right - self.left - 1.0) / c.length, _TALLEST / c.width)
        part = self.piece.shape
        assert isinstance(part, FlatPart)
        top = self.y - 2.0
        drawn = Picture.of([*loop_items(part.outline, "trim")]).scaled(scale)
        height = c.width * scale
        drawn = drawn.moved(self.left + 0.5, top - height)
        self.items += drawn.items
        middle = self.left + 0.5 + c.length / 2.0 * scale
        self.items.append(line((middle, top - height), (middle, top), "bend"))
        for text, share in (("leg a", 0.25), ("leg b", 0.75)):
            x = self.left + 0.5 + c.length * scale * share
            self.items.append(Text(x, top - height / 2.0 - 1.2, text, 4.0, "middle"))
        self.y = top - height - 1.0
        note = "true size" if scale == 1.0 else f"not to scale: the strip is {figure(c.length)} mm long"
        half = c.length / 2.0
        self._text(f"{note}; the fold line is {figure(half)} mm from either end", 3.2)

    def _steps(self) -> None:
        c = self.coupon
        size = 42.0
        x = self.right - size
        self.items += _folded_picture(c, (x, self.y - size))
        foot = self.y - size - 2.0
        for number, step in enumerate(data("prose", "fabgen.documents.render")["bend_test"]["steps"], 1):
            self._text(f"{number}.  {step}", 3.5, width=x - self.left - 5.0, hang=text_width("1.  ", 3.5))
        self.y = min(self.y, foot)

    # -- tables ---------------------------------------------------------------------
    def _measured(self) -> None:
        """Room to write five strips in, and K by the sum of the legs beside it."""
        heads, least = ("strip", "length", "leg a", "leg b", "a + b", "radius"), (12.0, 20.0, 20.0, 20.0, 20.0, 20.0)
        rows = [(str(number), *[""] * (len(heads) - 1)) for number in range(1, 6)]
        panels = [table_panel("Measured, mm", heads, rows, 3.2, least, 6.6)]
        c = self.coupon
        sums = [(f"{k:.2f}", f"{c.legs(k):.2f}") for k in _KS]
        half = len(sums) // 2
        panels += [table_panel("K by the sum", ("K", "a + b"), some, 3.2) for some in (sums[:half], sums[half:])]
        x, top = self.left, self.y - 1.5
        for panel in panels:
            self.items += panel.at(x, top - panel.height).picture.items
            x += panel.width + 5.0
        self.y = top - max(panel.height for panel in panels) - 4.0
        per = 0.1 / (_QUARTER * c.thickness)
        self._text(
            f"K = ((length - a - b + {figure(2.0 * c.setback, 2)}) / 1.5708 - {figure(c.radius, 2)}) / "
            f"{figure(c.thickness, 3)}, all in mm, for the radius above. 0.1 mm on a + b is {figure(per, 3)} on K: "
            "measure to the tenth, and take the mean of several strips.",
            3.2,
        )

    def _snippet(self) -> None:
        c = self.coupon
        self._text("For the job file, with your own figures in place of the dots:", 3.5, True)
        for text in (
            "[[bend_test]]",
            f'material = "{c.material.name}"',
            f'thickness = "{figure(c.thickness, 3)} mm"',
            f'radius = "{figure(c.radius, 2)} mm"',
            f'die = "{figure(c.die)} mm"',
            f'strip = "{figure(c.length)} mm"',
            "legs = [[….., …..], [….., …..], [….., …..]]      # leg a and leg b of each strip, mm",
        ):
            self._text(text, 3.5, indent=6.0)

    def _text(
        self, text: str, size: float, bold: bool = False, width: float = 0.0, hang: float = 0.0, indent: float = 0.0
    ) -> None:
        """A paragraph, further lines `hang` mm in."""
        room = (width or self.right - self.left) - hang - indent
        for i, part in enumerate(wrapped(text, room, size)):
            self.y -= 1.38 * size
            self.items.append(Text(self.left + indent + (hang if i else 0.0), self.y, part, size, bold=bold))
        self.y -= 0.35 * size


def _folded_picture(c: Coupon, corner: Xy) -> Sequence[Item]:
    """The folded strip from its end with its two legs dimensioned, 42 mm high: a sketch, not to scale."""
    t, r, leg = 3.4, 4.0, 30.0
    x0, y0 = corner[0] + 11.0, corner[1] + 12.0
    outer, centre = r + t, (x0 + r + t, y0 + r + t)
    sketch = Sketch()
    for level, side in ((y0, x0), (y0 + t, x0 + t)):
        sketch.draw(line((x0 + outer, level), (x0 + leg, level)), line((side, y0 + outer), (side, y0 + leg)))
    sketch.draw(line((x0 + leg, y0), (x0 + leg, y0 + t)), line((x0, y0 + leg), (x0 + t, y0 + leg)))
    sketch.draw(*(Arc(*centre, radius, 180.0, 270.0) for radius in (outer, r)))
    below, left = Side("below"), Side("left")
    below.lengths.append(Length((x0, y0), (x0 + leg, y0), "leg a"))
    left.lengths.append(Length((x0, y0), (x0, y0 + leg), "leg b"))
    draw_sides(sketch, (x0, y0, x0 + leg, y0 + leg), below, left)
    inner = Target(centre, -r, math.radians(45.0), 0.3)
    draw_leader(sketch, [inner], f"R{figure(c.radius, 2)}", (x0, y0, x0 + 60.0, y0 + 60.0))
    return sketch.items
