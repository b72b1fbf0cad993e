"""A job's tables with what stands for many parts replaced by the parts themselves."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from pydantic import ValidationError

from fabgen.geometry.survey.rigid_fit import RigidMotion
from fabgen.job.document import entries, mark_of, table_in
from fabgen.job.errors import InputError, Path, Problem, listed, nearest, shown
from fabgen.job.expansion.copies.copied_joints import JOINTS, CopiedJoint, copied_joints, reads_as_length
from fabgen.job.expansion.copies.joined_images import join
from fabgen.job.expansion.copies.mirror import Mirror
from fabgen.job.expansion.copies.mirrored_parts import MOVING, ROUND, STANDS, KnownImages, images_of
from fabgen.job.expansion.copies.moved_places import Copying, runs_on_plate, shift_along
from fabgen.job.expansion.copies.moved_tables import Moved
from fabgen.job.expansion.copies.repeats import motions, renamed
from fabgen.job.expansion.crossings import cut_at_crossings, moved_aside
from fabgen.job.expansion.expanded_tables import Expanded
from fabgen.job.expansion.feet import feet_of
from fabgen.job.expansion.hubs import asks_for_hubs, with_hubs
from fabgen.job.expansion.lying import MIDDLE, on_centre_lines
from fabgen.job.expansion.pieces import NamedPieces, became, onto_pieces, whole_of
from fabgen.job.expansion.rings import is_closed, nearest_sides, ring_of
from fabgen.job.expansion.splices import cut_at_splices, with_sleeves
from fabgen.job.expansion.whole_frames.frames import parts_of
from fabgen.job.tables.copies.repeat_tables import RepeatGiven
from fabgen.job.tables.fields import Context
from fabgen.job.tables.frame_tables import FrameGiven
from fabgen.job.values.point import Point

ENDS = ("start", "finish")
MOST_PARTS = 10_000


def expanded(
    raw: Mapping[str, Any],
    context: Context,
    tables: Iterable[str],
    mirrors: Sequence[Mirror] = (),
    known_images: KnownImages | None = None,
) -> Expanded:
    """The job's tables with its frames, repeats and mirrors worked out; the very same where it has none.

    Args:
        raw: the values as the file has them.
        context: what they are read with.
        tables: the names of those that list parts.
        mirrors: those of the job.
        known_images: what is known of the mirror images of parts of sheet, once they were built.
    """
    whole = any(entries(raw, table) for table in ("frame", "repeat")) or bool(mirrors)
    keys = _bodies(raw) or _lies(raw) or _crossings(raw) or _feet(raw) or asks_for_hubs(raw) or _splices(raw)
    if not whole and not keys and not _rings(raw, context):
        return Expanded(raw)
    return _Expansion(raw, context, tables, mirrors, known_images or KnownImages()).result()


def _bodies(raw: Mapping[str, Any]) -> bool:
    """Whether a body says for what rides on it that it is not made here."""
    return any("state" in entry for _, entry in entries(raw, "body"))


def _lies(raw: Mapping[str, Any]) -> bool:
    """Whether the points of a tube lie on a face of it."""
    return "lies" in table_in(raw, "job") or any("lies" in entry for _, entry in entries(raw, "tube"))


def _crossings(raw: Mapping[str, Any]) -> bool:
    """Whether a tube is to be cut at what it crosses, or moved clear of it."""
    given = any("crossings" in entry or "offset" in entry for _, entry in entries(raw, "tube"))
    return given or "crossings" in table_in(raw, "job")


def _rings(raw: Mapping[str, Any], context: Context) -> bool:
    return any(is_closed(entry, context.point_reading) for _, entry in entries(raw, "tube"))


def _feet(raw: Mapping[str, Any]) -> bool:
    """Whether a tube has a plate at one of its ends; those of frames are seen when these are worked out."""
    ends = (entry.get(end) for _, entry in entries(raw, "tube") for end in ("start", "finish"))
    return any(isinstance(end, Mapping) and "foot" in end for end in ends)


def _splices(raw: Mapping[str, Any]) -> bool:
    """Whether a tube is to be cut and spliced, or the job says of an end that it is sleeved."""
    return any(
        "splices" in entry or any(isinstance(e := entry.get(at), Mapping) and "splice" in e for at in ENDS)
        for _, entry in entries(raw, "tube")
    )


def _copy_mark(marks: Sequence[str], number: int, mark: str) -> str:
    """The mark of what a part of a repeat sits on, of the copies of that number."""
    return renamed(mark, number) if mark in marks else mark


def _is_placed(table: str, entry: Mapping[str, Any]) -> bool:
    """Whether a part keeps its mark and gets further places, instead of points or a tube of its own."""
    return table in ("plate", "bracket", "cover") or (table in ("strap", "bar") and "place" in entry)


class _Expansion:
    def __init__(
        self,
        raw: Mapping[str, Any],
        context: Context,
        tables: Iterable[str],
        mirrors: Sequence[Mirror],
        known_images: KnownImages,
    ) -> None:
        self.raw, self.context, self.mirrors, self.known_images = raw, context, mirrors, known_images
        self.problems: list[Problem] = []
        self.parts: dict[str, list[tuple[Path, Any]]] = {
            table: [((table, i), entry) for i, entry in enumerate(raw[table])]
            for table in (*tables, *(MOVING if mirrors else ()), *(JOINTS if self._copies() else ()), "pin", "node")
            if isinstance(raw.get(table), list)
        }
        self.images: dict[str, str] = {}
        self.on_itself: dict[tuple[int, str], RigidMotion] = {}
        self.frames: dict[str, list[str]] = {}
        self.changes: dict[str, Path] = {}
        self.members: dict[str, Path] = {}
        self.given: dict[str, Any] = {}
        self.copies: dict[str, str] = {}
        self.feet: set[str] = set()

    def result(self) -> Expanded:
        self._frames()
        self._repeats()
        self._mirrors()
        self._joined()
        self._bodies()
        self._lies()
        self._moved_aside()
        pieces: dict[str, list[str]] = {}
        for cut in (self._rings, self._spliced, self._crossings):
            before = list(self.parts.get("tube", ()))
            cut()
            pieces |= became(before, self.parts.get("tube", ()))
        self._sleeves()
        if pieces:
            self._named_pieces(pieces)
        self._hubs()
        self._feet()
        origins: dict[Path, Path] = {
            (table, number): place
            for table, listed_parts in self.parts.items()
            for number, (place, _) in enumerate(listed_parts)
            if place != (table, number)
        }
        for table, listed_parts in self.parts.items():
            for number, (_, entry) in enumerate(listed_parts):
                if place := self.changes.get(mark_of(entry) if isinstance(entry, dict) else ""):
                    changed = self.raw[str(place[0])][place[1]]["change"][place[3]]
                    origins |= {(table, number, key): (*place, key) for key in changed}
        lists = {table: [entry for _, entry in parts] for table, parts in self.parts.items()}
        made = tuple(
            (table, number)
            for table, listed_parts in self.parts.items()
            for number, (place, entry) in enumerate(listed_parts)
            if place[0] != table or entry is not self.raw[table][place[1]]
        )
        # What should be a list and is none stays, to be reported.
        whole = {
            **self.raw,
            **{table: made for table, made in lists.items() if isinstance(self.raw.get(table, []), list)},
        }
        points = {name: written for mirror in self.mirrors for name, written in mirror.points.items()}
        if points:
            whole["points"] = {**table_in(self.raw, "points"), **points}
            origins |= {("points", name): ("mirror", m.number) for m in self.mirrors for name in m.points}
        return Expanded(
            whole,
            origins,
            made,
            tuple(self.problems),
            self.members,
            self.given,
            self.copies,
            whole_of(pieces),
            self.images,
            self.on_itself,
            points,
            frozenset(self.feet),
        )

    def _marks(self) -> set[str]:
        return {mark_of(entry) for parts in self.parts.values() for _, entry in parts if isinstance(entry, dict)}

    def _hubs(self) -> None:
        try:
            if tubes := self.parts.get("tube", []):
                nodes = {"node": [entry for _, entry in self.parts["node"]]} if "node" in self.parts else {}
                hubs = with_hubs(tubes, {**self.raw, **nodes}, self.context, self._marks())
                self.parts["tube"] = hubs.tubes
                if hubs.discs:
                    self.parts.setdefault("plate", []).extend(hubs.discs)
        except InputError as fault:
            self.problems.append(Problem.of((), fault))

    def _named_pieces(self, pieces: Mapping[str, list[str]]) -> None:
        """Lets what names tubes that became pieces name these."""
        named = NamedPieces([entry for _, entry in self.parts["tube"]], pieces, self.context)
        self.parts["tube"] = [(place, named.tube(entry)) for place, entry in self.parts["tube"]]
        if profiles := self.parts.get("profile"):
            self.parts["profile"] = [(place, named.profile(entry)) for place, entry in profiles]
        for table, key in ROUND.items():
            for number, (place, entry) in enumerate(self.parts.get(table, ())):
                try:
                    self.parts[table][number] = place, named.round(entry, key)
                except InputError as fault:
                    self.problems.append(Problem.of(place, fault))
                    whole = {name: value for name, value in entry.items() if name != "at"}
                    self.parts[table][number] = place, named.round(whole, key)
        if nodes := self.parts.get("node"):
            self.parts["node"] = [(place, named.node(entry)) for place, entry in nodes]

    def _feet(self) -> None:
        try:
            if made := feet_of(self.parts.get("tube", []), self.context, self._marks()):
                self.parts.setdefault("plate", []).extend(made)
                self.feet = {mark_of(entry) for _, entry in made}
        except InputError as fault:
            problem, table = Problem.of((), fault), fault.key[:2]
            if table[0] == "frame" and "foot" in self.raw["frame"][table[1]] and fault.key[3:4] == ("foot",):
                problem = replace(problem, path=(*table, *fault.key[3:]))  # it stands in the frame's own table
            self.problems.append(problem)

    def _bodies(self) -> None:
        """Gives the parts on a body that is not made here its state, where they say nothing of theirs."""
        states: dict[str, Any] = {}
        bodies = [entry for _, entry in self.parts.get("body", ()) if isinstance(entry, dict)]
        for entry in bodies or [entry for _, entry in entries(self.raw, "body")]:
            marks = entry.get("marks", [])
            if "state" in entry:
                for name in [marks] if isinstance(marks, str) else marks if isinstance(marks, list) else ():
                    if isinstance(name, str):
                        states |= dict.fromkeys(self.frames.get(name, [name]), entry["state"])
        for table, parts in self.parts.items() if states else ():
            self.parts[table] = [
                (place, dict(entry) | {"state": state})
                if isinstance(entry, dict) and "state" not in entry and (state := states.get(mark_of(entry)))
                else (place, entry)
                for place, entry in parts
            ]

    def _lies(self) -> None:
        usual = table_in(self.raw, "job").get("lies")
        if tubes := self.parts.get("tube"):
            self.parts["tube"], found = on_centre_lines(tubes, usual, self.context)
            self.problems += found

    def _moved_aside(self) -> None:
        tubes = self.parts.get("tube", [])
        for i, (place, entry) in enumerate(tubes):
            if isinstance(entry, dict) and "offset" in entry:
                try:
                    tubes[i] = place, moved_aside(entry, self.context)
                except InputError as fault:
                    self.problems.append(Problem.of(place, fault))

    def _rings(self) -> None:
        made: list[tuple[Path, Any]] = []
        sides: dict[str, Callable[[Point], list[str]]] = {}
        for place, entry in self.parts.get("tube", ()):
            if not is_closed(entry, self.context.point_reading):
                made.append((place, entry))
                continue
            try:
                tubes = ring_of(entry, self.context)
            except InputError as fault:
                self.problems.append(Problem.of(place, fault))
                continue
            made += [(place, tube) for tube in tubes]
            if len(tubes) > 1:
                sides[mark_of(entry)] = partial(nearest_sides, tubes)
        if made:
            self.parts["tube"] = [(place, onto_pieces(entry, sides, self.context)) for place, entry in made]

    def _spliced(self) -> None:
        if tubes := self.parts.get("tube", []):
            self.parts["tube"] = cut_at_splices(tubes, self.context, self.problems)

    def _sleeves(self) -> None:
        if tubes := self.parts.get("tube", []):
            self.parts["tube"] = with_sleeves(tubes, self.context, self._marks(), self.problems)

    def _crossings(self) -> None:
        tubes = self.parts.get("tube", [])
        usual = table_in(self.raw, "job").get("crossings")
        if tubes:
            self.parts["tube"] = cut_at_crossings(tubes, usual, self.context)

    def _frames(self) -> None:
        made: dict[str, list[tuple[Path, Any]]] = {}
        for i, entry in entries(self.raw, "frame"):
            try:
                table, tubes = parts_of(FrameGiven.model_validate(entry, context=self.context), entry.get("foot"))
            except ValidationError:
                continue  # reported with the other tables
            except InputError as fault:
                self.problems.append(Problem.of(("frame", i), fault))
                continue
            if table == "tube" and "lies" in table_in(self.raw, "job"):  # a frame's own sizes are outside sizes already
                tubes = [{"lies": MIDDLE} | tube for tube in tubes]
            name = mark_of(entry)
            self.frames[name] = [tube["mark"] for tube in tubes]
            self.changes |= {f"{name}-{own}": ("frame", i, "change", own) for own in entry.get("change", ())}
            for tube in tubes:
                self.members[tube["mark"]] = ("frame", i, "change", tube["mark"].removeprefix(f"{name}-"))
                self.given[tube["mark"]] = tube
            made.setdefault(table, []).extend((("frame", i), tube) for tube in tubes)
        order = list(self.raw)
        for table, parts in made.items():
            own = self.parts.get(table, [])
            first = table not in order or order.index("frame") < order.index(table)
            self.parts[table] = [*parts, *own] if first else [*own, *parts]  # they are fitted in the order of the file

    def _repeats(self) -> None:
        for i, entry in entries(self.raw, "repeat"):
            try:
                given = RepeatGiven.model_validate(entry, context=self.context)
            except ValidationError:
                continue
            try:
                self._repeat(i, given)
            except InputError as fault:
                self.problems.append(Problem.of(("repeat", i), fault))

    def _repeat(self, number: int, given: RepeatGiven) -> None:
        marks = [mark for name in given.parts for mark in self.frames.get(name, [name])]
        found = {
            mark_of(entry): (table, entry)
            for table, parts in self.parts.items()
            for _, entry in parts
            if isinstance(entry, dict)
        }
        for i, mark in enumerate(given.parts):
            if mark not in found and mark not in self.frames:
                known = [*self.frames, *found]
                what = f"there is no part {shown(mark)} to repeat"
                raise InputError(what, f"marks: {listed(known)}", nearest(mark, known), ("parts", i))
        moves = list(motions(given))
        if len(moves) * len(marks) > MOST_PARTS:
            what = f"that makes {(len(moves) + 1) * len(marks)} parts"
            raise InputError(what, f"at most {MOST_PARTS}", key=("count",))
        ways = [Moved(way, self.context, partial(_copy_mark, marks, copy)) for copy, way in enumerate(moves, 2)]
        placed = [mark for mark in marks if _is_placed(*found[mark])]
        for mark in placed:
            table, entry = found[mark]
            copies = [Copying(way, marks, found, copy, placed) for copy, way in enumerate(ways, 2)]
            places = [copying.moved(mark, place) for copying in copies for place in copying.way.places(entry)]
            self._placed(mark, table, entry, places)
        copied = [mark for mark in marks if mark not in placed]
        self._know(given, [way.renamed(mark) for way in ways for mark in copied])
        for way in ways:
            for mark in copied:
                table, entry = found[mark]
                name = way.renamed(mark)
                made = way.length_part(table, entry, name)
                self.copies[name] = mark
                self._copied(("repeat", number), table, name, made, given.change)
        self._repeat_joints(marks, placed, found, ways)
        for name in given.parts:
            if name in self.frames:
                for copy in range(2, len(ways) + 2):
                    self.frames[renamed(name, copy)] = [renamed(mark, copy) for mark in self.frames[name]]

    def _copies(self) -> bool:
        """Whether something makes parts again, with their bolts and welds."""
        return bool(self.mirrors) or isinstance(self.raw.get("repeat"), list)

    def _repeat_joints(
        self, marks: Sequence[str], placed: Sequence[str], found: Mapping[str, tuple[str, Any]], ways: Sequence[Moved]
    ) -> None:
        """Bolts and welds of parts that are made again: of those that keep their mark there are more, others have a
        table for each copy."""
        count = len(ways) + 1

        def stays(mark: str) -> bool:
            """Whether a part that is there once holds all copies: it stands nowhere, or the row runs along it, a
            tube or profile by its run, a plate in its plane."""
            if mark not in found:
                return False
            table, entry = found[mark]
            if table == "bush" or not any(key in entry for key in STANDS):
                return True
            if table == "plate":
                return all(runs_on_plate(way, entry, found) for way in ways)
            return all(shift_along(way, entry) is not None for way in ways)

        def is_length(written: str) -> bool:
            return written.strip() not in found and reads_as_length(self.context, written)

        for copy in range(2, count + 1):

            def name_of(mark: str, copy: int = copy) -> str:
                return renamed(mark, copy) if mark in marks and mark not in placed else mark

            for joint in list(copied_joints(self.parts, marks, name_of, stays, is_length)):
                if joint.is_image:
                    self._joint(joint, joint.entry)
                elif copy == 2:
                    self._joint(joint, joint.entry | {"quantity": count * joint.own.get("quantity", 1)})

    def _joint(self, joint: CopiedJoint, entry: Any) -> None:
        """Takes up a bolt or weld of copies, in place of its own or last."""
        # What is wrong with an image is so with its own, which the file has.
        own = next(i for i, (_, each) in enumerate(self.parts[joint.table]) if each is joint.own)
        where = self.parts[joint.table][own][0]
        at = slice(own, own + 1) if not joint.is_image else slice(len(self.parts[joint.table]), None)
        self.parts[joint.table][at] = [(where, entry)]

    def _copied(
        self, place: Path, table: str, name: str, made: Any, change: Mapping[str, Any], after: str | None = None
    ) -> None:
        """Takes up a part that is made again, with what is changed of it: last, or `after` the part of that mark."""
        self.given[name] = made
        self.members[name] = (*place, "change", name)
        if name in change:
            self.changes[name] = self.members[name]
        marks = [mark_of(entry) for _, entry in self.parts[table]] if after is not None else []
        where = marks.index(after) + 1 if after in marks else len(self.parts[table])
        self.parts[table].insert(where, (place, made | dict(change.get(name, {}))))

    def _mirrors(self) -> None:
        same: dict[str, str] = {}
        for mirror in self.mirrors:
            place = ("mirror", mirror.number)
            try:
                made = images_of(mirror, self.parts, self.frames, self.context, self.known_images, same, self.images)
            except InputError as fault:
                self.problems.append(Problem.of(place, fault))
                continue
            self.images |= made.of
            same |= made.same
            self.on_itself |= {(mirror.number, mark): mirror.motion for mark in sorted(made.asked)}
            for table, entry in made.added:
                if (name := mark_of(entry)) in made.of and table not in MOVING:
                    # Ends are fitted in the order of the list: what is not mirrored meets both hands alike.
                    self._copied(place, table, name, entry, mirror.given.change, made.of[name])
                else:
                    self.parts[table].append((place, entry))
            for table, listed_parts in self.parts.items():
                if table not in MOVING:
                    self.parts[table] = [
                        (where, made.grown.get(mark_of(entry), entry) if isinstance(entry, dict) else entry)
                        for where, entry in listed_parts
                    ]
            for joint in made.joints:
                self._joint(joint, joint.entry)
            for name in mirror.given.parts:
                if name in self.frames:
                    self.frames[mirror.name(name)] = [mirror.name(mark) for mark in self.frames[name]]

    def _joined(self) -> None:
        """Makes images that are one part with an earlier mark further places of that."""
        joined = join(self.parts, self.known_images.joined)
        for image in joined:
            for marks in (self.images, self.members, self.given, self.changes):
                marks.pop(image, None)
        self.images = {image: joined.get(own, own) for image, own in self.images.items()}

    @staticmethod
    def _know(given: RepeatGiven, copies: list[str]) -> None:
        """Raises InputError where a change is of a copy that there is not."""
        for name in given.change:
            if name not in copies:
                accepted = f"its copies: {listed(copies, 16)}" if copies else "none: parts of sheet keep their mark"
                raise InputError(
                    f"this repeat makes no copy {shown(name)}", accepted, nearest(name, copies), ("change", name)
                )

    def _placed(self, mark: str, table: str, entry: Mapping[str, Any], places: list[Any]) -> None:
        """Gives a part of sheet its further places."""
        if not places:
            what = f"{mark} has no place, so it cannot be repeated"
            raise InputError(what, "a `place`, or `quantity` for parts that stand nowhere", key=("parts",))
        own = entry["place"] if isinstance(entry["place"], list) else [entry["place"]]
        every = [*own, *places]
        grown = dict(entry) | {"place": every, "quantity": max(len(every), 1)}
        if isinstance(entry.get("quantity"), int) and entry["quantity"] > len(own):
            what = f"{mark} has a quantity of {entry['quantity']} and {len(own)} of them placed"
            raise InputError(what, "no `quantity`: it follows from the repeat", key=("parts",))
        self.parts[table] = [(place, grown if each is entry else each) for place, each in self.parts[table]]
