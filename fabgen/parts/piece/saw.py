"""How one end of a tube is cut with a saw."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fabgen.wording.sentence import EMPTY, Sentence

SAW_REACH = 45.05
"""Few saws swing or tilt a blade by more than 45, as a scale shows it, degrees (common practice, no source)."""

Method = Literal["straight saw cut", "hole saw", "template"]


@dataclass(frozen=True, slots=True)
class SawSetup:
    """How to cut one end with a saw.  Positions are mm from the work point along the branch.

    `method`: 'straight saw cut' where the end is flat, 'hole saw' where one pass of a cutter of
    the main's outside diameter makes it, else 'template'; `advice` says why, and what to set, and
    `brief` the same in a line.
    `from_square_deg` is how far the saw or fixture is turned from a square cut.
    `hole_saw_depth_mm` is the cutter's travel across the branch.  `hole_saw_ready_mm` (and `_in`)
    is the ready-made saw that comes nearest, and `hole_saw_open_mm` what it leaves open at most
    on a tube sawn square at `hole_saw_cut_mm`, which is `hole_saw_longer_mm` longer at this end than
    the template's saw length: only then does the saw make the whole cope, the outer skin too.
    Of a straight cut, `long_side_deg` is the phi of its longest side; of a rectangular tube also
    the saw's `swing_deg` and `tilt_deg`, the tube lying on its bottom face, and which side each leaves
    longer, `swing_longer` and `tilt_longer`, left and right seen from the tube's start.
    """

    method: Method
    angle_deg: float
    from_square_deg: float
    offset_mm: float
    long_point_mm: float | None
    short_point_mm: float | None
    hole_saw_mm: float | None
    hole_saw_depth_mm: float | None
    advice: Sentence
    hole_saw_ready_mm: float | None = None
    hole_saw_ready_in: str | None = None
    hole_saw_open_mm: float | None = None
    long_side_deg: float | None = None
    swing_deg: float | None = None
    tilt_deg: float | None = None
    swing_longer: Literal["left", "right"] | None = None
    tilt_longer: Literal["top", "bottom"] | None = None
    hole_saw_cut_mm: float | None = None
    hole_saw_longer_mm: float | None = None
    brief: Sentence = EMPTY

    @property
    def is_beyond_reach(self) -> bool:
        """Whether a straight cut needs an angle that few saws reach."""
        if self.method != "straight saw cut":
            return False
        if self.swing_deg is None or self.tilt_deg is None:
            return self.from_square_deg > SAW_REACH
        return max(self.swing_deg, self.tilt_deg) > SAW_REACH
