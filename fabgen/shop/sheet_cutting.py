"""How sheet is cut, and what each way can do: least hole, least web, narrowest slot.

Every figure here is common practice, no source: services and machines differ, so a finding that
rests on one says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

COMMON = "common practice, no source"

Process = Literal["laser", "plasma", "waterjet", "hand"]


@dataclass(frozen=True, slots=True)
class CuttingProcess:
    """One way of cutting: `hole` and `web` over the thickness, and never under `least_hole` and
    `least_web`, mm; `why` a hole under that comes out bad; `corner`: the radius it leaves in a
    sharp inside corner, mm."""

    name: Process
    hole: float
    least_hole: float
    web: float
    least_web: float
    corner: float
    why: str

    def hole_size(self, thickness: float) -> float:
        """Narrowest hole or slot worth cutting, mm.

        Args:
            thickness: of the sheet, mm.
        """
        return max(self.hole * thickness, self.least_hole)

    def web_width(self, thickness: float) -> float:
        """Least metal between two cuts, mm.

        Args:
            thickness: of the sheet, mm.
        """
        return max(self.web * thickness, self.least_web)


CUTTING: dict[Process, CuttingProcess] = {
    "laser": CuttingProcess("laser", 1.0, 0.5, 1.0, 1.0, 0.1, "cut by laser it comes out rough and tapered"),
    "plasma": CuttingProcess("plasma", 2.0, 5.0, 1.5, 3.0, 1.0, "cut by plasma it comes out tapered and out of round"),
    "waterjet": CuttingProcess("waterjet", 0.5, 1.5, 0.5, 1.5, 0.5, "the water jet's own width is near to it"),
    "hand": CuttingProcess("hand", 0.0, 2.0, 1.0, 3.0, 1.0, "so small a drill breaks by hand"),
}
"""By name.  'hand': outlines sawn or ground, holes drilled."""

LEAST_SEGMENT = 0.2
"""An edge shorter than this is about the width of a laser's cut: the machine stops and burns there, mm."""

BRAKE_LENGTH = 3000.0
"""Longest bend of the press brakes that most services have, mm."""
