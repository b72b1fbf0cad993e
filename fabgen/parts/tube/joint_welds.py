"""The weld at every worked tube end: its run on each tube it sits on, and the angles along it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from fabgen.geometry.space.frame import Array, unit
from fabgen.geometry.tube.solids import HalfSpace, Solid, distance, outward_normals
from fabgen.geometry.tube.weld_run import Mask, WeldRun, mitre_dihedral, weld_run
from fabgen.parts.piece import JointWeld, LengthPart, Piece, PlateSeat, WorkedEnd
from fabgen.parts.shape.cuts import lines_onto
from fabgen.parts.shape.sections import end_profile
from fabgen.parts.shape.standing_faces import StandingFace, sides_of
from fabgen.parts.shape.tubes import as_met, facing

_NEAR = 0.01
"""A line of contact this little past the cut still counts as on it, mm."""


Faces = Mapping[str, Sequence[StandingFace]]
"""The faces of parts of sheet and profiles past whose edges ends lie, by mark."""


def end_welds(
    mark: str, part: LengthPart, end: WorkedEnd, parts: Mapping[str, LengthPart], faces: Faces
) -> Iterator[JointWeld]:
    """The welds of an end on the tubes it meets, in the order of its joints; a tube that it does not touch after
    all is left out, and so is what lies past the edge of what it stands on.

    Args:
        mark: of the tube.
        parts: the lengths of section of the job, by mark.
        faces: of `jutted_over`.
    """
    if end.cut == "cope":
        yield from _coped(part, end, parts, faces)
    elif end.cut == "mitre":
        yield from _mitred(mark, part, end, parts)
    elif end.stands_on:
        yield _on_sheet(part, end, faces)
    elif part.is_ring:
        skin, outward = _skin(part, end)
        run = weld_run(skin, outward, outward)
        # Two faces of one plane have no angle between them.
        yield JointWeld(end.at, mark, replace(run, angle=np.full(len(skin), np.nan)), shared=True)


def jutted_over(pieces: Sequence[Piece]) -> Faces:
    """The faces of the parts of sheet and profiles past whose edges an end that is cut to them lies.

    Args:
        pieces: of the whole job.
    """
    marks = {
        plate.onto
        for piece in pieces
        if (part := piece.length_part) is not None
        for end in part.ends
        for plate in end.plates
        if plate.off > 0.0
    }
    return {piece.mark: list(sides_of(piece)) for piece in pieces if piece.mark in marks}


def _on_metal(part: LengthPart, end: WorkedEnd, points: Array, plate: PlateSeat, faces: Faces) -> Mask:
    """Where the wall at points (n, 3) of an end's run lies on the metal of what it is cut to."""
    walls = end_profile(part.section, end).walls(end.frame)
    inner = points + walls.inward * walls.depth[:, None]
    inner = inner + ((plate.level - inner @ plate.normal) / float(end.frame.x @ plate.normal))[:, None] * end.frame.x
    over = np.zeros(len(points), dtype=bool)
    there = np.isfinite(points).all(axis=1)
    cut = HalfSpace(plate.normal, plate.level)
    for face in faces[plate.onto]:
        if face.is_in(cut):
            over[there] |= face.meets(points[there], inner[there])
    return over


def _on_sheet(part: LengthPart, end: WorkedEnd, faces: Faces) -> JointWeld:
    """The run round an end that stands on the face of a plate or profile, as far as that goes."""
    skin, outward = _skin(part, end)
    points = skin + end.line.x[:, None] * end.frame.x
    (flat,) = end.flats
    aside = math.sin(flat.from_square)
    normal = np.array([math.cos(flat.from_square), aside * math.cos(flat.long_side), aside * math.sin(flat.long_side)])
    run = weld_run(points, outward, np.tile(normal @ end.frame.axes, (len(points), 1)))
    for plate in end.plates:
        if plate.onto in faces and plate.off > 0.0:
            run = run.only(_on_metal(part, end, points, plate, faces))
    return JointWeld(end.at, end.stands_on, run)


def _coped(part: LengthPart, end: WorkedEnd, parts: Mapping[str, LengthPart], faces: Faces) -> Iterator[JointWeld]:
    """The run lies where the outsides meet, even where the cut clears another part of the wall."""
    # Without the root gap, as it is the main itself that is welded.
    near = replace(end, gap=0.0)
    met = ((joint.onto, as_met(parts.get(joint.onto), part, near)) for joint in end.joints)
    mains: dict[str, Solid] = {onto: solid for onto, solid in met if solid is not None}
    mains |= {plate.onto: HalfSpace(plate.normal, plate.level) for plate in end.plates}
    if not mains:
        return
    solids = list(mains.values())
    skin, outward = _skin(part, end)
    points, owner = _contact(part, end, skin, solids)
    normals = np.full_like(points, np.nan)
    for k, solid in enumerate(solids):
        normals[owner == k] = outward_normals(solid, points[owner == k])
    run = weld_run(points, outward, normals)
    past = {plate.onto: plate for plate in end.plates if plate.off > 0.0 and plate.onto in faces}
    for k, onto in enumerate(mains):
        mine = owner == k
        if onto in past:
            mine &= _on_metal(part, end, points, past[onto], faces)
        own = run.only(mine)
        if own.length > 0.0:
            yield JointWeld(end.at, onto, own)


def _contact(part: LengthPart, end: WorkedEnd, skin: Array, solids: Sequence[Solid]) -> tuple[Array, Array]:
    """Points (n, 3) of the run, nan where there is none, and which solid each lies on, -1 for none.

    A solid may lie past the cut where the main ends on another of the mains and is no longer
    there: then the cut itself stands for the run, on the solid nearest to it.
    """
    cut = end.line.x
    lines = np.array(lines_onto(end_profile(part.section, end), end.frame, solids, "outside"))
    there = np.where(lines <= cut + _NEAR, lines, -np.inf)
    owner, x = there.argmax(axis=0), there.max(axis=0)
    past = np.isneginf(x)
    touched = ~np.isnan(lines).all(axis=0)
    x = np.where(past, np.where(touched, cut, np.nan), x)
    points = skin + x[:, None] * end.frame.x
    past &= ~np.isnan(x)
    if past.any():
        owner[past] = np.argmin([np.abs(distance(solid, points[past])) for solid in solids], axis=0)
    return points, np.where(np.isnan(x), -1, owner)


def _mitred(mark: str, part: LengthPart, end: WorkedEnd, parts: Mapping[str, LengthPart]) -> Iterator[JointWeld]:
    skin, outward = _skin(part, end)
    points = skin + end.line.x[:, None] * end.frame.x
    partners = [
        (joint.onto, other, far)
        for joint in end.joints
        if (other := parts.get(joint.onto)) is not None and (far := facing(mark, end, other)) is not None
    ]
    if not partners:
        return
    toward = [unit(far.frame.x - end.frame.x) for _, _, far in partners]
    middle = [(far.frame.origin + end.frame.origin) / 2.0 for _, _, far in partners]
    off = np.array([np.abs((points - m) @ t) for m, t in zip(middle, toward, strict=True)])
    owner = np.where(np.isnan(points).any(axis=1), -1, off.argmin(axis=0))
    run = weld_run(points, outward, outward)
    angle = np.full(len(points), np.nan)
    for k, (_, other, _) in enumerate(partners):
        if other.section == part.section:
            angle[owner == k] = mitre_dihedral(outward[owner == k], toward[k])
    run = WeldRun(run.points, angle, run.steps)
    for k, (onto, _, _) in enumerate(partners):
        own = run.only(owner == k)
        if own.length > 0.0:
            yield JointWeld(end.at, onto, own, shared=True)


def _skin(part: LengthPart, end: WorkedEnd) -> tuple[Array, Array]:
    """Points of the outside skin lines at x = 0 and their outward normals, (n, 3) each."""
    walls = end_profile(part.section, end).walls(end.frame)
    return walls.skin, -walls.inward
