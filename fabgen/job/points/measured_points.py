"""From how a point was measured to where it is, how far to trust that, and which reading is likely wrong.

Every reading is an error of its own, of standard deviation error / 1.96 (a normal one's 95 of
100).  A point carries what each reading it depends on moves it by (`Point.scatter`), also those of
the points it was measured from, so that lengths between points that share a reading come out
right (linear propagation, JCGM 100:2008, 5.2).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from pydantic import ValidationError

from fabgen.geometry.space.frame import Array
from fabgen.geometry.survey import plane_and_axis_fit as fitted
from fabgen.geometry.survey.trilateration import FLAT, LIMIT, Fit, Measures, fits, in_line, standardised
from fabgen.job.errors import FollowOnError, InputError, Problem, listed
from fabgen.job.key_help.validation_faults import problems_of
from fabgen.job.points.points_on_tubes import PointOnTube
from fabgen.job.points.reading_misfit import misfit_remarks, widened_scatter, widening
from fabgen.job.points.tube_routes import TubeRoutes
from fabgen.job.tables.fields import Context
from fabgen.job.tables.measuring_tables import COVER, PointGiven, Side
from fabgen.job.tables.table import Table
from fabgen.job.values.point import Point, PointReading, Reading, ReadingAccuracy, Record, Remark, Taped
from fabgen.wording.figures import figure
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, coordinate, joined, mm, sentence

POOR = 8.0
"""A point whose tolerance is more than so many times its readings' error is hardly held."""
_SIDES: dict[Side, tuple[int, float]] = {
    "above": (2, 1.0),
    "below": (2, -1.0),
    "left": (1, 1.0),
    "right": (1, -1.0),
    "ahead": (0, 1.0),
    "behind": (0, -1.0),
}
_AXES = "xyz"


class _Points(Table):
    """[points], as far as its points are measured."""

    points: dict[str, PointGiven]


def measured_point(
    name: str,
    written: object,
    reading: PointReading,
    accuracy: ReadingAccuracy,
    routes: TubeRoutes | None = None,
) -> tuple[Point | None, list[Problem]]:
    """A point from how it was measured.

    Args:
        name: of the point.
        written: its table as the file has it.
        reading: with the points known so far; those it is measured from are among them.
        accuracy: of its readings, where the table does not say.
        routes: of the job's tubes.
    Returns: the point with its scatter and record, or None with its faults, each at its key.
    """
    path = ("points", name)
    # A point that is measured from a faulty one is not reported as well.
    known = {key: value for key, value in reading.points.items() if key != name}
    raw = {"points": {name: written}}
    try:
        given = _Points.model_validate(raw, context=Context(reading.units, reading.dimensions, known)).points[name]
    except ValidationError as error:
        return None, problems_of(error, raw, _Points)
    if any(known[each] is None for each in _named(given)):
        return None, []
    points = {each: point for each, point in known.items() if point is not None}
    try:
        if given.on is not None and routes is not None:
            on_tube = PointOnTube(given, routes, PointReading(reading.units, reading.dimensions, known))
            return _PointInTheMaking(name, given, on_tube.known | points, accuracy).on_tube(on_tube), []
        return _PointInTheMaking(name, given, points, accuracy, reading.units == "in").point(), []
    except FollowOnError:
        return None, []
    except fitted.FittedError as fault:
        return None, [Problem.of((*path, "plane" if given.plane else "axis"), fault, "points well apart")]
    except InputError as fault:
        return None, [Problem.of(path, fault)]


def _named(given: PointGiven) -> list[str]:
    names = [given.from_, given.toward, given.mirror, given.foot, given.near, *(given.tape or {})]
    lists = [*(given.plane or []), *(given.axis or []), *(given.middle or [])]
    return [name for name in (*names, *lists) if name is not None]


@dataclass(frozen=True)
class _PointInTheMaking:
    """One point in the making."""

    name: str
    given: PointGiven
    points: Mapping[str, Point]
    accuracy: ReadingAccuracy
    inches: bool = False

    def point(self) -> Point:
        given = self.given
        if given.tape is not None:
            return self._taped(given.tape)
        if given.from_ is not None:
            return self._offset(given.from_)
        if given.mirror is not None:
            return self._mirrored(given.mirror)
        if given.foot is not None:
            return self._foot(given.foot)
        if given.middle is not None:
            names = given.middle
            return self._from_others(names, lambda at: np.asarray(at.mean(axis=0)), f"the middle of {_all(names)}")
        assert given.axis is not None
        return self._on_axis(given.axis)

    def _at(self, name: str) -> Array:
        return np.array(self.points[name].xyz)

    def on_tube(self, place: PointOnTube) -> Point:
        """A point on a tube."""
        return self._from_others(list(place.known), place.found, place.how, place.remarks)

    # -- from others, without a reading -------------------------------------------------
    def _mirrored(self, name: str) -> Point:
        plane = self.given.plane
        if plane is None:
            return self._from_others([name], lambda at: at[0] * [1.0, -1.0, 1.0], f"{name} mirrored at y = 0")
        remarks = self._plane_fit(plane)
        how = f"{name} mirrored at the plane of {_all(plane)}"
        return self._from_others([name, *plane], lambda at: fitted.plane_of(at[1:]).mirrored(at[0]), how, remarks)

    def _foot(self, name: str) -> Point:
        if (plane := self.given.plane) is not None:
            how = f"{name} dropped square onto the plane of {_all(plane)}"
            return self._from_others(
                [name, *plane], lambda at: fitted.plane_of(at[1:]).foot(at[0]), how, self._plane_fit(plane)
            )
        axis = self.given.axis or []
        how = f"{name} dropped square onto the axis of {_all(axis)}"
        return self._from_others(
            [name, *axis], lambda at: fitted.axis_of(at[1:]).foot(at[0]), how, self._axis_fit(axis)
        )

    def _on_axis(self, axis: Sequence[str]) -> Point:
        along, error = self.given.along or 0.0, self.given.error or self.accuracy.offset
        how = f"on the axis of {_all(axis)}"

        def make(given: Array) -> Array:
            at = given[:-1].reshape(-1, 3)
            line = fitted.axis_of(at)
            return np.asarray(line.foot(at[0]) + given[-1] * line.along)

        readings = [Reading(f"along from {axis[0]}", along, along, error)]
        return self._made(axis, make, how, readings, self._axis_fit(axis))

    def _plane_fit(self, names: Sequence[str]) -> list[Remark]:
        at = np.array([self._at(name) for name in names])
        off = fitted.plane_of(at).above(at)
        return _off_remarks("plane", names, off) if len(names) > 3 else []

    def _axis_fit(self, names: Sequence[str]) -> list[Remark]:
        at = np.array([self._at(name) for name in names])
        return _off_remarks("axis", names, fitted.axis_of(at).off(at)) if len(names) > 2 else []

    def _from_others(
        self, names: Sequence[str], make: Callable[[Array], Array], how: str, remarks: Sequence[Remark] = ()
    ) -> Point:
        return self._made(names, lambda given: make(given.reshape(-1, 3)), how, (), remarks)

    def _made(
        self,
        names: Sequence[str],
        make: Callable[[Array], Array],
        how: str,
        readings: Sequence[Reading],
        remarks: Sequence[Remark] = (),
    ) -> Point:
        """The point that `make` gives from the known points' coordinates and then the readings, all in one array."""
        given = np.concatenate([*(self._at(name) for name in names), np.array([each.read for each in readings])])
        slopes = fitted.slopes(make, given)
        parts = [(slopes[:, 3 * i : 3 * i + 3], name) for i, name in enumerate(names)]
        own = slopes[:, 3 * len(names) :] * (np.array([each.error for each in readings]) / COVER)
        of = tuple(dict.fromkeys(named for name in names if (named := self.points[name].name)))
        return self._placed(make(given), parts, own, Record(how, tuple(readings), tuple(remarks), of=of))

    def _placed(
        self,
        at: Array,
        parts: Sequence[tuple[Array, str]],
        own: Array,
        record: Record,
        more: Mapping[str, Array] = {},
    ) -> Point:
        """The point with its scatter.

        Args:
            at: (3,), mm.
            parts: (3, 3) how it moves with each known point, and that point's name.
            own: (3, n), mm: how one standard deviation of each of its own readings moves it.
            record: of those n readings.
            more: what else it is off by, each (3,), mm.
        """
        scatter: dict[str, Array] = dict(more)
        for slope, name in parts:
            for key, effect in self.points[name].scatter.items():
                scatter[key] = scatter.get(key, np.zeros(3)) + slope @ np.array(effect)
        for i, reading in enumerate(record.readings):
            scatter[f"{self.name}: {reading.words}"] = own[:, i]
        x, y, z = (round(float(v), 9) + 0.0 for v in at)
        kept = {key: (float(e[0]), float(e[1]), float(e[2])) for key, e in scatter.items()}
        return Point(x, y, z, scatter=kept, record=record)

    # -- plumb and level offsets ---------------------------------------------------------
    def _offset(self, start: str) -> Point:
        given, error = self.given, self.given.error or self.accuracy.offset
        read: list[tuple[str, float]] = []
        if (ahead := given.ahead if given.toward is None else given.along) is not None:
            read.append(("ahead" if given.toward is None else f"along toward {given.toward}", ahead))
        read += [(word, v) for word in ("left", "right", "up", "down") if (v := getattr(given, word)) is not None]
        names = [start] if given.toward is None else [start, given.toward]
        if given.toward is not None and math.dist(self._at(start)[:2], self._at(given.toward)[:2]) < 1.0:
            what = f"{given.toward} stands plumb over {start}: there is no level way toward it"
            raise InputError(what, "a point off to the side", key=("toward",))
        words = [word for word, _ in read]

        def make(values: Array) -> Array:
            at, offsets = values[: 3 * len(names)].reshape(-1, 3), values[3 * len(names) :]
            ahead = np.array([1.0, 0.0, 0.0])
            if len(at) > 1:
                way = (at[1] - at[0]) * [1.0, 1.0, 0.0]
                ahead = way / np.linalg.norm(way)
            left, up = np.array([-ahead[1], ahead[0], 0.0]), np.array([0.0, 0.0, 1.0])
            ways = {"left": left, "right": -left, "up": up, "down": -up}
            moves = [offset * ways.get(word, ahead) for word, offset in zip(words, offsets, strict=True)]
            return np.asarray(at[0] + np.sum(moves, axis=0))

        readings = [Reading(word, value, value, error) for word, value in read]
        return self._made(names, make, f"plumb and level offsets from {start}", readings)

    # -- by the tape ------------------------------------------------------------------------
    def _taped(self, tape: Mapping[str, float]) -> Point:
        names = list(tape)
        known = [(i, v) for i, axis in enumerate(_AXES) if (v := getattr(self.given, axis)) is not None]
        errors = [self.given.error or self.accuracy.tape] * len(names)
        errors += [self.given.error or self.accuracy.offset] * len(known)
        measures = Measures(
            np.array([self._at(name) for name in names]).reshape(-1, 3),
            np.array(list(tape.values())),
            tuple(i for i, _ in known),
            np.array([v for _, v in known]),
            np.array(errors) / COVER,
        )
        if not known and in_line(measures.centres):
            what = f"{_all(names)} lie in one line, so the point may be anywhere on a circle round it"
            raise InputError(what, "a tape reading to a point off that line, or x, y or z known", key=("tape",))
        fit, other = self._chosen(fits(measures))
        words = [f"tape to {name}" for name in names] + [f"{_AXES[i]} known" for i, _ in known]
        spread = self._spread(fit, names)
        stand_out = standardised(fit, spread)
        readings = tuple(
            Reading(word, float(read), float(made), error, None if math.isnan(out) else abs(float(out)))
            for word, read, made, error, out in zip(words, measures.read, fit.made, errors, stand_out, strict=True)
        )
        moved = fit.gain @ spread
        times = widening(fit, spread, readings)
        remarks = [
            *misfit_remarks(fit, words, readings, times, self.inches),
            *self._held(fit, other, moved, max(errors)),
        ]
        count = f"{len(names)} tape readings" if len(names) != 1 else "1 tape reading"
        how = count + "".join(f", {_AXES[i]} known" for i, _ in known)
        gains = [(fit.gain[:, [i]] @ fit.ways[[i]], name) for i, name in enumerate(names)]
        own = fit.gain * measures.sigma
        # Where the other place fits worse the readings tell the two apart.
        alike = other is not None and abs(other.misfit - fit.misfit) <= 4.0 * LIMIT**2
        taped = Taped(tuple(names), measures.axes, _xyz(other) if other is not None and alike else None)
        record = Record(how, readings, tuple(remarks), times, tuple(names), taped)
        return self._placed(fit.at, gains, own, record, widened_scatter(self.name, moved, times))

    def _spread(self, fit: Fit, names: Sequence[str]) -> Array:
        """How each reading is off by each independent error, its own and those of the known points, (m, k) mm."""
        keys = sorted({key for name in names for key in self.points[name].scatter})
        own = np.diag(fit.measures.sigma)
        if not keys:
            return own
        others = np.zeros((len(own), len(keys)))
        for i, name in enumerate(names):
            for j, key in enumerate(keys):
                if (effect := self.points[name].scatter.get(key)) is not None:
                    others[i, j] = fit.ways[i] @ np.array(effect)
        return np.hstack((own, others))

    def _chosen(self, found: Sequence[Fit]) -> tuple[Fit, Fit | None]:
        """The point that is meant, and the other one that fits, if there is one."""
        best = found[0]
        spare = max(best.spare, 0)
        # With nothing to spare a misfit says the readings do not meet at all.
        if spare == 0 and best.misfit > (2.0 * LIMIT) ** 2:
            gaps = best.measures.read - best.made
            worst = float(np.abs(gaps).max())
            missed = sentence("these readings do not meet in one point: they miss by ", mm(worst))
            raise InputError(missed, "readings that reach one another; look for a slip of the tape", key=("tape",))
        if best.held < FLAT and best.misfit < 1e-3 and spare == 0 and len(found) > 2:
            raise InputError("these readings leave the point free", "a reading from another direction", key=("tape",))
        alike = [fit for fit in found if fit.misfit <= best.misfit + 4.0 * LIMIT**2 and fit.held > FLAT / 10.0][:2]
        side = self.given.side
        if side is not None and len(alike) < 2:
            # What one sees counts for more than a reading that may be wrong, which is reported then.
            alike = [best, *(fit for fit in found[1:] if fit.held > FLAT and self._leads(fit, best, side))][:2]
        if len(alike) < 2:
            return best, None
        apart = alike[1].at - alike[0].at
        if side is None:
            axis = int(np.argmax(np.abs(apart)))
            words = [word for word, (i, _) in _SIDES.items() if i == axis]
            what = sentence("two points fit these readings: ", _place(alike[0]), " and ", _place(alike[1]))
            raise InputError(what, f'side = "{words[0]}" or "{words[1]}"', key=("tape",))
        axis, way = _SIDES[side]
        if abs(apart[axis]) < 0.05 * float(np.linalg.norm(apart)):
            words = [word for word, (i, _) in _SIDES.items() if i == int(np.argmax(np.abs(apart)))]
            both = sentence(_place(alike[0]), " and ", _place(alike[1]))
            what = sentence("neither of the two points that fit, ", both, f", is clearly {side}")
            raise InputError(what, f'side = "{words[0]}" or "{words[1]}"', key=("side",))
        wanted = 1 if apart[axis] * way > 0.0 else 0
        return alike[wanted], alike[1 - wanted]

    def _leads(self, fit: Fit, other: Fit, side: Side) -> bool:
        """Whether a point lies clearly on that side of another one."""
        axis, way = _SIDES[side]
        apart = fit.at - other.at
        return float(apart[axis]) * way > 0.2 * float(np.linalg.norm(apart))

    def _held(self, fit: Fit, other: Fit | None, moved: Array, error: float) -> list[Remark]:
        """The remark on a point that its readings hardly fix."""
        tolerance = COVER * float(np.linalg.norm(np.linalg.svd(moved, compute_uv=False)[:1]))
        way = "xyz"[int(np.argmax(np.abs(fit.loose)))]
        near = other is not None and float(np.linalg.norm(other.at - fit.at)) < 4.0 * tolerance
        if fit.held > FLAT and not near and tolerance <= POOR * error:
            return []
        if near or fit.held <= FLAT:
            what = sentence("it lies so near the plane of the points it was taped from that they hardly fix it")
        else:
            what = sentence("its readings fix it only to ± ", mm(tolerance))
        text = sentence(what, f", mostly along {way}: give its {way} too, or a reading from well off that plane")
        return [Remark(Level.WARN, "poorly-held", text)]


def _off_remarks(what: str, names: Sequence[str], off: Array) -> list[Remark]:
    parts = ", ".join(f"{name} {figure(float(d), 1)}" for name, d in zip(names, off, strict=True))
    text = f"the {what} that fits best leaves its points off by, mm: {parts}"
    return [Remark(Level.NOTE, "fitted", sentence(text))]


def _all(names: Sequence[str]) -> str:
    return " and ".join(names) if len(names) < 3 else listed(names, 12)


def _xyz(fit: Fit) -> tuple[float, float, float]:
    x, y, z = (float(v) for v in fit.at)
    return x, y, z


def _place(fit: Fit) -> Sentence:
    return sentence("[", joined(", ", [coordinate(float(v)) for v in fit.at]), "]")
