"""One view of a tube with what lands on it there: centre lines, the edges of adjacent parts, running dimensions.

Each is drawn in the view that shows it standing out beside the tube, above or below; in the other view it would lie on
the tube or behind it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fabgen.documents.drawing.sheet.lanes import Station
from fabgen.documents.drawing.sheet.long_axis import LongAxis, Span, about
from fabgen.documents.drawing.tube.arrivals import Arrival
from fabgen.documents.drawing.tube.tube_shape import Side, TubeShape
from fabgen.documents.render.picture import line
from fabgen.documents.render.sketch import Sketch
from fabgen.geometry.plane.outline import Xy
from fabgen.wording.figures import Figures

STUB = 7.0
"""How far the lines of what lands stand out beside the tube, mm of paper."""
MOST_PLACES = 24
"""Of more places in one view than this only the first edge of each part is dimensioned."""
_LONG = 40.0
"""Of a part that is longer than this on paper only its edges are sure to be shown, mm."""
_WIDE = 4.0
"""The outline of a tube narrower than this on paper is not drawn, mm."""
_STEEPEST = 0.35
"""Lines that lean more than this stand out less, so that they do not run along the tube."""
_SAME = 0.02
"""Places nearer than this are dimensioned as one, mm."""


def side_of(arrival: Arrival) -> Side:
    """The view in which it stands out beside the tube."""
    return "front" if abs(math.cos(arrival.way)) > abs(math.sin(arrival.way)) - 1e-3 else "top"


def kept_of(arrival: Arrival, first_cut: float, scale: float) -> list[Span]:
    """What of the tube is to be shown for it.

    Args:
        first_cut: where the start's saw cut lies, mm along.
        scale: of the view.
    """
    low, high = arrival.reach
    if (high - low) * scale > _LONG and len(arrival.places) > 1:
        return [about(first_cut + place, 0.0, scale) for place in arrival.places]
    return [about(first_cut + (low + high) / 2.0, (high - low) / 2.0, scale)]


@dataclass(frozen=True, eq=False)
class ArrivalView:
    """What lands on a tube in one of its views; `first_cut`: where its start's saw cut lies, mm along."""

    arrivals: Sequence[Arrival]
    shape: TubeShape
    side: Side
    axis: LongAxis
    first_cut: float

    def _at(self, arrival: Arrival, place: float) -> Xy:
        """Where it meets the outline of the tube, on paper."""
        up = math.cos(arrival.way) if self.side == "front" else -math.sin(arrival.way)
        outline = math.copysign(self.shape.half_height(self.side), up)
        return self.axis.x(self.first_cut + place), outline * self.axis.scale

    def draw(self, sketch: Sketch) -> None:
        """The lines on which it comes, and the edges of adjacent parts (long-dashed double-dotted narrow lines)."""
        for each in self.arrivals:
            if self._left_out(each):
                continue
            u, v = float(each.heading[0]), float(each.heading[2 if self.side == "front" else 1])
            feet = [self._at(each, place) for place in each.places]
            out = math.copysign(1.0, feet[0][1])
            if v * out < _STEEPEST:  # it comes mostly toward the viewer: shown square to the tube
                u, v = (0.0, out) if abs(u) < _STEEPEST else (u, out * max(_STEEPEST, v * out))
            slope = u / abs(v)
            if len(feet) == 1:
                self._axis_line(sketch, feet[0], out, slope)
                if (aside := each.half * self.axis.scale * math.hypot(1.0, slope)) * 2.0 > _WIDE:
                    for dx in (-aside, aside):
                        self._out(sketch, (feet[0][0] + dx, feet[0][1]), out, slope)
            else:
                for foot in feet:
                    self._out(sketch, foot, out, slope)
                (x0, y), (x1, _) = feet
                sketch.draw(line((x0, y + out * STUB), (x1, y + out * STUB), "bend"))

    @staticmethod
    def _axis_line(sketch: Sketch, foot: Xy, out: float, slope: float) -> None:
        (x, y), within = foot, 2.0
        a, b = (x - slope * within, y - out * within), (x + slope * (STUB + 2.0), y + out * (STUB + 2.0))
        sketch.draw(line(a, b, "centre"))

    @staticmethod
    def _out(sketch: Sketch, foot: Xy, out: float, slope: float) -> None:
        sketch.draw(line(foot, (foot[0] + slope * STUB, foot[1] + out * STUB), "bend"))

    def _left_out(self, arrival: Arrival) -> bool:
        """Whether a break takes away one of its places."""
        return any(self._hidden(place) for place in arrival.places)

    def _hidden(self, place: float) -> bool:
        s = self.first_cut + place
        return self.axis.leaves_out(s - 1e-6, s + 1e-6)

    def stations(self, figures: Figures) -> list[Station]:
        """Running dimensions with the marks, one a place."""
        edges = sum(len(each.places) for each in self.arrivals) <= MOST_PLACES
        named: dict[float, list[str]] = {}
        feet: dict[float, Xy] = {}
        for each in self.arrivals:
            for number, place in enumerate(each.places if edges else each.places[:1]):
                if self._hidden(place):
                    continue
                key = next((known for known in named if abs(known - place) < _SAME), place)
                foot = self._at(each, place)
                if key not in feet or foot[1] > feet[key][1]:
                    feet[key] = foot
                named.setdefault(key, []).extend([each.mark] if number == 0 else [])
        return [
            Station(feet[place], figures.tape(place), 0.0, _marks(marks))
            for place, marks in sorted(named.items())
            if abs(place) > _SAME
        ]

    @property
    def rises(self) -> tuple[bool, bool]:
        """Whether anything stands out below and above the tube."""
        ups = [self._at(each, each.places[0])[1] > 0.0 for each in self.arrivals]
        return not all(ups), any(ups)


def _marks(marks: Iterable[str]) -> str:
    """'T3, T4', 'P6 (1, 2)'; of more than three the first two and how many more."""
    places: dict[str, list[str]] = {}
    for mark in dict.fromkeys(marks):
        name, _, place = mark.partition(" (")
        places.setdefault(name, []).append(place.rstrip(")"))
    own = [f"{name} ({', '.join(each)})" if any(each) else name for name, each in places.items()]
    return ", ".join(own if len(own) < 4 else [*own[:2], f"{len(own) - 2} more"])
