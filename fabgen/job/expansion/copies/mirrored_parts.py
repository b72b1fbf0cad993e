"""The parts of a [[mirror]] made again as their mirror image."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from fabgen.geometry.survey.rigid_fit import RigidMotion
from fabgen.job.document import mark_of
from fabgen.job.errors import InputError, Path, listed, nearest, shown
from fabgen.job.expansion.copies.copied_joints import CopiedJoint, copied_joints, reads_as_length
from fabgen.job.expansion.copies.mirror import ON_PLANE, Mirror
from fabgen.job.expansion.copies.moved_places import Copying, alike_on_both_sides, is_route_alike, laid_over
from fabgen.job.expansion.copies.moved_tables import Moved
from fabgen.job.tables.fields import Context
from fabgen.job.tables.movement_tables import FRAME_NAME
from fabgen.job.tables.tube_hole_tables import JOB_SIDES

Entry = dict[str, Any]
Tables = Mapping[str, Sequence[tuple[Path, Any]]]
"""The entries of tables by name, each with its place in the file."""


@dataclass(frozen=True, eq=False)
class KnownImage:
    """What is known of the mirror image of a part of sheet, once both are built.

    `ways`: of one that is its own mirror image, what brings it from each of its places to the image's; None of an
    opposite hand.  `over`: whether it is turned over for that.  `places`: where the image stands, as `place` gives it
    by points and directions.
    """

    ways: Sequence[RigidMotion] | None
    over: bool
    places: Sequence[Mapping[str, Any]]


@dataclass(frozen=True, eq=False)
class KnownImages:
    """What is known once parts of sheet are built.

    `images`: of their mirror images, by the mark of the image, or what it would be called.  `on_itself`: by the number
    of a mirror and the mark of a part that it leaves as it is, whether that is its own image where it stands.
    `joined`: by the mark of an image that is one part with an earlier one, the mark of that.
    """

    images: Mapping[str, KnownImage] = field(default_factory=dict)
    on_itself: Mapping[tuple[int, str], bool] = field(default_factory=dict)
    joined: Mapping[str, str] = field(default_factory=dict)


SHEET = ("plate", "bracket", "cover", "strap")
"""Families whose flats are mirrored, where they are not their own mirror image."""
LYING = (*SHEET, "bar")
"""Families of which it is known only once they are built whether a part is its own mirror image where it stands."""
MOVING = ("body", "joint", "damper", "wheel", "sweep", "envelope")
"""Tables of what has a name and no mark."""
STANDS = ("route", "between", "points", "place", "at")
"""Keys that say where a part stands."""
_ROUND_ROOMS = ("disc", "tyre")
"""Envelopes whose axis lies straight across where it is left out, as a wheel's does."""
ROUND = {"bar": "around", "strap": "round"}
"""Of what stands round a tube, the key that names it."""


@dataclass(frozen=True)
class Images:
    """What a mirror makes: entries `added` to tables, entries `grown` by mark, and of each image with a mark of its
    own the mark `of` its first."""

    added: list[tuple[str, Entry]] = field(default_factory=list)
    grown: dict[str, Entry] = field(default_factory=dict)
    of: dict[str, str] = field(default_factory=dict)
    joints: list[CopiedJoint] = field(default_factory=list)
    """Bolts and welds of these."""
    same: dict[str, str] = field(default_factory=dict)
    """By what the image of a part that keeps its mark would be called, that mark."""
    asked: set[str] = field(default_factory=set)
    """Marks of parts of sheet that are not mirrored, of which nobody knows yet whether they lie on themselves."""


def images_of(
    mirror: Mirror,
    tables: Tables,
    groups: Mapping[str, Sequence[str]],
    context: Context,
    known_images: KnownImages,
    same: Mapping[str, str],
    images: Mapping[str, str],
) -> Images:
    """What a mirror makes.

    Args:
        mirror: of the job.
        tables: the parts, and what moves, as they are so far.
        groups: marks of the parts of frames, by the frame's.
        context: what the values of the job are read with.
        known_images: what is known of the images of parts of sheet.
        same: what images of earlier mirrors would be called that are no part of their own, and what they are.
        images: of each image of an earlier mirror that is a part of its own as yet, the mark of its first.
    Raises:
        InputError: a part that is not there or cannot be mirrored, a name that is taken.
    """
    return _Mirroring(mirror, tables, groups, context, known_images, same, images).images()


class _Mirroring:
    def __init__(
        self,
        mirror: Mirror,
        tables: Tables,
        groups: Mapping[str, Sequence[str]],
        context: Context,
        known_images: KnownImages,
        same: Mapping[str, str],
        images: Mapping[str, str],
    ) -> None:
        self.same, self.earlier = same, images
        self.mirror, self.tables, self.groups = mirror, tables, groups
        self.known_images, self.on_itself = known_images.images, known_images.on_itself
        self.asked: set[str] = set()
        self.context = context
        self.known: dict[str, list[tuple[str, Entry]]] = {}
        for table, found in tables.items():
            for _, entry in found:
                if isinstance(entry, dict) and (name := _name_of(table, entry)):
                    self.known.setdefault(name, []).append((table, entry))
        self.parts = list(self._listed())
        listed_names = {_name_of(table, entry) for table, entry in self.parts}
        self.stay = {mark for table, entry in self.parts if self._stays(table, entry) and (mark := mark_of(entry))}
        self.renaming = listed_names - self.stay
        between_ears = [entry for table, entry in self.parts if table == "bush" and entry.get("between") is not None]
        self.renaming |= {mark_of(entry) for entry in between_ears if entry["between"] in self.renaming}
        self.moved = Moved(mirror.motion, context, self._renamed, lambda name: mirror.point_name(name, context))
        self.bodies = {
            mark: mark_of({"mark": entry.get("name")})
            for _, entry in tables.get("body", ())
            if isinstance(entry, dict)
            for mark in _strings(entry.get("marks"))
        }

    def _listed(self) -> Iterator[tuple[str, Entry]]:
        seen = set()
        for i, name in enumerate(self.mirror.given.parts):
            for each in self.groups.get(name, (name,)):
                if each in self.same and each not in self.known:
                    what = (
                        f"{each} is no part of its own: {self.same[each]} is its own mirror image, so it keeps its mark"
                    )
                    raise InputError(what, f"{self.same[each]}, which has the places of both", key=("parts", i))
                if each not in self.known:
                    known = [*self.groups, *self.known]
                    what = f"there is no part {shown(name)} to mirror"
                    raise InputError(what, f"marks and names: {listed(known)}", nearest(name, known), ("parts", i))
                if each not in seen:
                    seen.add(each)
                    yield from self.known[each]
        for image, own in self.earlier.items():
            # While nobody knows whether it is one more of its first, it goes with that.
            unknown = image not in self.known_images and any(table in SHEET for table, _ in self.known.get(image, ()))
            if own in seen and image not in seen and unknown:
                seen.add(image)
                yield from self.known[image]

    def _stays(self, table: str, entry: Entry) -> bool:
        """Whether a part keeps its mark: its own mirror image, or what stands nowhere and has no hand."""
        if table in SHEET:
            return self._is_itself(entry) and entry.get("at") is None
        return (
            table == "bush"
            or (table == "bar" and entry.get("at") is None)
            or (table == "link" and entry.get("between") is None)
        )

    def _is_itself(self, entry: Entry) -> bool:
        known = self.known_images.get(self.mirror.name(mark_of(entry)))
        return known is not None and known.ways is not None

    def _renamed(self, name: str) -> str:
        return self.mirror.name(name) if name in self.renaming else name

    # -- what is made ---------------------------------------------------------------------
    def images(self) -> Images:
        self._names_go()
        made = Images()
        for table, entry in self.parts:
            name = _name_of(table, entry)
            if table in MOVING:
                made.added.append((table, self._moving(table, entry)))
            elif name not in self.renaming:
                made.grown[name] = self._grown(table, entry)
                made.same[self.mirror.name(name)] = name
            else:
                made.added.append((table, self._image(table, entry)))
                made.of[self.mirror.name(name)] = name
        made.added.extend(self._at_points())
        listed_marks = {mark for table, entry in self.parts if table not in MOVING and (mark := mark_of(entry))}
        made.joints.extend(copied_joints(self.tables, listed_marks, self._renamed, self._stays_alike, self._is_length))
        made.asked.update(self.asked)
        self._changed(made)
        return made

    def _names_go(self) -> None:
        """Raises InputError where a new name is taken, or one is given to nothing that is mirrored."""
        given = self.mirror.given
        fit = [*self.renaming, *self.mirror.used, *(name for name in given.parts if name in self.groups)]
        for name in given.marks:
            if name not in fit:
                what = f"{shown(name)} gets no image with a name of its own here"
                near = nearest(name, fit)
                raise InputError(what, f"one of: {listed(sorted(fit))}" if fit else "no `marks`", near, ("marks", name))
        for i, name in enumerate(given.one_sided):
            if name in self.renaming | self.stay:
                what = f"{name} is mirrored here, so it stands on both sides"
                raise InputError(what, "a part that `parts` does not list", key=("one_sided", i))
            if name not in self.known:
                what = f"there is no part {shown(name)} to stand on one side"
                raise InputError(what, "the mark of a part", nearest(name, self.known), ("one_sided", i))
        new: dict[str, str] = {}
        for table, entry in self.parts:
            name = _name_of(table, entry)
            image = self._renamed(name)
            if name in self.renaming and (image in self.known or new.setdefault(image, name) != name):
                what = f"the image of {name} would be called {shown(image)}, which is taken"
                key: Path = ("marks", name) if name in given.marks else ("parts",)
                raise InputError(what, f'another name: marks = {{ {name} = "…" }}', key=key)

    def _changed(self, made: Images) -> None:
        change, names = self.mirror.given.change, list(made.of)
        for name in change:
            if name not in names:
                what = f"this mirror makes no {shown(name)}"
                accepted = f"its images: {listed(names, 16)}" if names else "none: these parts keep their mark"
                raise InputError(what, accepted, nearest(name, names), ("change", name))

    def _image(self, table: str, entry: Entry) -> Entry:
        image = self.moved.length_part(table, entry, self.mirror.name(mark_of(entry)))
        tube = entry.get(ROUND.get(table, ""))
        if isinstance(tube, str) and entry.get("at") is not None and tube not in self.renaming:
            image["at"] = self._along(tube, entry)
        if isinstance(entry.get("between"), str):
            image["between"] = self.moved.marks(entry["between"])
        if table in SHEET:
            self._sheet(entry, image)
        return image

    def _sheet(self, entry: Entry, image: Entry) -> None:
        """The opposite hand; the hand of an opposite hand is the first again."""
        if places := [
            self._rides(entry, self._opposite_place(entry, i, place)) for i, place in enumerate(_places(entry))
        ]:
            image["place"] = places
        for key, inner in (("sits", "onto"), ("tubes", "tube")):
            if key in entry:
                image[key] = self._marks_in(entry[key], inner)
        if self._is_itself(entry):
            return  # round a tube
        if entry.get("opposite_of"):
            del image["opposite_of"]
        else:
            image["opposite_of"] = mark_of(entry)

    def _marks_in(self, written: Any, key: str) -> Any:
        if isinstance(written, list):
            return [self._marks_in(each, key) for each in written]
        if isinstance(written, Mapping):
            return {**written, key: self.moved.marks(written.get(key))} if key in written else written
        return self.moved.marks(written)

    def _is_against_what_stays(self, place: Entry) -> bool:
        """Whether a place is against a part that is its own image."""
        return isinstance(against := place.get("against"), str) and against in self.stay

    def _opposite_place(self, entry: Entry, number: int, place: Entry) -> Entry:
        """A place of an opposite hand."""
        if self._is_against_what_stays(place):  # whose faces lie elsewhere than on its image
            return dict(self.known_images[self.mirror.name(mark_of(entry))].places[number])
        return self._against(entry, self.moved.place(place))

    def _own_place(self, entry: Entry, number: int, place: Entry) -> Entry:
        """A further place of a part that is its own mirror image."""
        known = self.known_images[self.mirror.name(mark_of(entry))]
        assert known.ways is not None
        if place.get("against") is None and place.get("between") is None:
            return Moved(known.ways[number], self.context, self._renamed).place(place)
        if known.over and place.get("between") is None and not self._is_against_what_stays(place):
            return laid_over(self._against(entry, self.moved.place(place)))
        return dict(known.places[number])

    def _bar_place(self, entry: Entry, place: Entry) -> Entry:
        """A further place of a bar, which lies in one plane, so that it is turned over."""
        moved = self.moved.place(place)
        if place.get("against") is not None:
            if self._is_against_what_stays(place):
                what = f"{mark_of(entry)} is placed against {place['against']}, which is its own mirror image"
                raise InputError(what, f"a list of places for {mark_of(entry)}, not this mirror", key=("parts",))
            return laid_over(self._against(entry, moved))
        if (up := self.moved.looks(moved["up"], self.moved.read(moved.get("at")))) is not None:
            moved["up"] = [-float(each) + 0.0 for each in up]
        return laid_over(moved)

    def _against(self, entry: Entry, moved: Entry) -> Entry:
        """A place, moved by its points, against the image of what it is against."""
        found = {mark: those[-1] for mark, those in self.known.items() if those[-1][0] not in MOVING}
        copying = Copying(self.moved, self.renaming, found, 2, self.stay, "mirror")
        return copying.moved(mark_of(entry), moved)

    def _rides(self, entry: Entry, place: Entry) -> Entry:
        """A place of an image with the body that it rides on."""
        body = place.get("on") or self.bodies.get(mark_of(entry))
        if isinstance(body, str) and body in self.renaming:
            return {**place, "on": self.mirror.name(body)}
        return place

    def _grown(self, table: str, entry: Entry) -> Entry:
        """A part that keeps its mark: more of it, and its further places."""
        grown, count = deepcopy(entry), entry.get("quantity", 1)
        if isinstance(count, int) and not (table == "bush" and "quantity" not in entry):
            grown["quantity"] = 2 * count
        if table == "bar" and entry.get("place"):
            grown["place"] = [*_places(entry), *(self._rides(entry, self._bar_place(entry, p)) for p in _places(entry))]
        if table in SHEET and entry.get("place"):
            own = entry["place"] if isinstance(entry["place"], list) else [entry["place"]]
            grown["place"] = [
                *own,
                *(self._rides(entry, self._own_place(entry, i, place)) for i, place in enumerate(own)),
            ]
        return grown

    def _stays_alike(self, mark: str) -> bool:
        """Whether a part that is not mirrored lies alike on both sides, goes with what holds it, or stands nowhere."""
        return mark in self.known and all(self._lies_alike(mark, table, entry) for table, entry in self.known[mark])

    def _lies_alike(self, mark: str, table: str, entry: Entry) -> bool:
        if table == "bush" or not any(key in entry for key in STANDS):
            return True
        if table not in LYING:
            return is_route_alike(self.moved, entry)
        known = self.on_itself.get((self.mirror.number, mark))
        if known is None:
            self.asked.add(mark)
        return bool(known)

    def _is_length(self, written: str) -> bool:
        return written.strip() not in self.known and reads_as_length(self.context, written)

    def _along(self, tube: str, entry: Entry) -> Any:
        """Where the image stands along a tube that is not mirrored but lies on both sides alike."""
        round_ = next((each for table, each in self.known.get(tube, ()) if table == "tube"), {})
        alike = alike_on_both_sides(self.moved, round_)
        if alike == "as it is":
            return entry["at"]
        if alike:
            start, finish = (self.moved.read(each) for each in round_["route"])
            assert start is not None
            assert finish is not None
            long = float(np.linalg.norm(start - finish))
            where = entry["at"] if isinstance(entry["at"], list) else [entry["at"]]
            along = [f"{long - self.context.length(each)!r} mm" for each in where]
            return along if isinstance(entry["at"], list) else along[0]
        what = f"{mark_of(entry)} is round {tube}, which is not mirrored and does not lie alike on both sides"
        raise InputError(what, f"{tube} among the parts too", key=("parts",))

    # -- what moves ----------------------------------------------------------------------
    def _moving(self, table: str, entry: Entry) -> Entry:
        image, moved = deepcopy(entry), self.moved
        image["name"] = self._renamed(_name_of(table, entry))
        for key in ("at", "centre", "height"):
            if key in entry:
                image[key] = moved.point(entry[key])
        for key in ("points", "watch"):
            if key in entry:
                image[key] = [moved.point(each) for each in _strings(entry[key])]
        if "axis" in entry:
            image["axis"] = moved.way(entry["axis"])
        elif table == "wheel" or entry.get("shape") in _ROUND_ROOMS:
            across = moved.direction(JOB_SIDES["left"])
            if abs(across[1]) < 1.0 - ON_PLANE:
                image["axis"] = across
        if "between" in entry:
            is_joint = table == "joint"
            image["between"] = [moved.marks(each) if is_joint else moved.point(each) for each in entry["between"]]
        for key in ("on", "ignore", "damper", "rack"):
            if key in entry and entry[key] != FRAME_NAME:
                image[key] = moved.marks(entry[key])
        if "marks" in entry:
            image["marks"] = [self._renamed(mark) for mark in _strings(entry["marks"]) if mark in self.renaming]
        if isinstance(held := entry.get("held"), Mapping):
            image["held"] = {self._renamed(name): value for name, value in held.items()}
        if "size" in entry and max(abs(self.mirror.plane.normal)) < 1.0 - ON_PLANE:
            what = f"the box {image['name']} lies along x, y and z, and its image would not"
            raise InputError(what, "a plane square to x, y or z, or a capsule or disc", key=("parts",))
        return image

    def _at_points(self) -> Iterator[tuple[str, Entry]]:
        """Pins and nodes at the points that the images of the parts have."""
        for table in ("pin", "node"):
            there = [entry for _, entry in self.tables.get(table, ()) if isinstance(entry, dict)]
            taken = {entry.get("at") for entry in there if isinstance(entry.get("at"), str)}
            for entry in there:
                own = entry.get("at")
                image = self.mirror.point_name(own, self.context) if own in self.mirror.used else ""
                if not image or image in taken:
                    continue
                made = deepcopy(entry) | {"at": image}
                for key in ("axis", "hub_along"):
                    if key in entry:
                        made[key] = self.moved.way(entry[key])
                if "runs" in entry:
                    made["runs"] = self.moved.marks(entry["runs"])
                yield table, made


def _places(entry: Entry) -> list[Entry]:
    given = entry.get("place")
    return [each for each in (given if isinstance(given, list) else [given]) if isinstance(each, dict)]


def _name_of(table: str, entry: Entry) -> str:
    return mark_of({"mark": entry.get("name")} if table in MOVING else entry)


def _strings(written: object) -> list[str]:
    listed_names = [written] if isinstance(written, str) else written
    return [each for each in listed_names if isinstance(each, str)] if isinstance(listed_names, list) else []
