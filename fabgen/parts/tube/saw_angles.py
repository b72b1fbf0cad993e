"""How a saw stands for a flat cut through a rectangular tube that lies on its bottom face.

The blade begins square to the tube.  It is swung about the upright, which the table's scale shows, and then
leaned about its own slot, the line in which it meets the table.  With x along the tube, r to its right seen from
its start and t its top, a blade swung by s and leaned by l has the normal

    (cos l cos s, cos l sin s, sin l)

so a plane's unit normal (x, r, t) into the tube has s = atan2(r, x) and l = asin(t).  Where r > 0 the cut leaves
the tube's right side longer than its left, where t > 0 its top longer than its bottom.  Laid on its side the tube
has r and t change places.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from fabgen.parts.piece import SAW_REACH, At
from fabgen.wording.sentence import Sentence, degrees, joined, sentence

_NONE = 1e-3
_REACH = math.radians(SAW_REACH)


@dataclass(frozen=True, slots=True)
class SawAngles:
    """The blade's two angles, rad: `swing` > 0 leaves the tube's right side longer, `tilt` > 0 its top."""

    swing: float
    tilt: float

    @staticmethod
    def of(ahead: float, right: float, top: float) -> SawAngles:
        """For the plane with this unit normal into the tube."""
        return SawAngles(math.atan2(right, ahead), math.asin(max(-1.0, min(1.0, top))))

    @property
    def sides(self) -> tuple[Literal["left", "right", ""], Literal["top", "bottom", ""]]:
        """The side that the swing leaves longer, and that which the tilt does; '' for an angle of none."""
        return (
            "" if abs(self.swing) <= _NONE else "right" if self.swing > 0.0 else "left",
            "" if abs(self.tilt) <= _NONE else "top" if self.tilt > 0.0 else "bottom",
        )

    @property
    def on_its_side(self) -> SawAngles:
        """The same cut of the tube laid on its side: `swing` > 0 leaves the top longer then, `tilt` > 0 the right."""
        ahead, right, top = (
            math.cos(self.tilt) * math.cos(self.swing),
            math.cos(self.tilt) * math.sin(self.swing),
            math.sin(self.tilt),
        )
        return SawAngles.of(ahead, top, right)

    def words(self) -> Sentence:
        """'lying on its bottom face: swing 40.9° (right longer) and tilt 20.7° (top longer)', and what to do where
        few saws reach that; '' for a square cut."""
        sides = self.sides
        if not any(sides):
            return sentence("")
        how = [sentence("lying on its bottom face: ", self._said(sides))]
        aside = self.on_its_side
        if not sides[0]:
            how = [sentence(how[0], ", or on its side: swing ", degrees(abs(aside.swing), fixed=True).named("swing"))]
        if max(abs(self.swing), abs(self.tilt)) > _REACH:
            if max(abs(aside.swing), abs(aside.tilt)) <= _REACH:
                other = aside._said((sides[1], sides[0]))
                how.append(sentence(f"{OVER}: lay it on its side: ", other))
            else:
                how.append(sentence(f"{OVER}: {_held_square(self)}"))
        return joined("; ", how)

    def _said(self, sides: tuple[str, str]) -> Sentence:
        both = zip(("swing", "tilt"), (self.swing, self.tilt), sides, strict=True)
        return joined(
            " and ",
            [
                sentence(name, " ", degrees(abs(angle), fixed=True).named(name), f" ({side} longer)")
                for name, angle, side in both
                if side
            ],
        )


OVER = "over 45°, which few saws reach"


def beyond_reach(from_square: float) -> str:
    """What to do for a straight cut at this angle from square, rad, that few saws reach; '' for one they do."""
    if from_square <= _REACH:
        return ""
    return f"{OVER}: {_square_to_fence(from_square)}"


def _held_square(angles: SawAngles) -> str:
    swing, tilt = abs(angles.swing), abs(angles.tilt)
    if tilt <= _NONE:
        return _square_to_fence(swing)
    if swing <= _NONE:
        return f"lay it on its side, {_square_to_fence(tilt)}"
    return "cut by the template"


def _square_to_fence(angle: float) -> str:
    """A tube held square to the fence meets a blade that is swung by the rest of 90 degrees at `angle`."""
    rest = 90.0 - math.degrees(angle)
    return f"clamp it square to the fence, on a block, and swing {rest:.1f}°; or cut by the template"


def right_of(at: At, beyond_top: float) -> float:
    """A part of a direction a quarter turn of phi past the top, as a part to the tube's right seen from its start."""
    return beyond_top if at == "start" else -beyond_top
