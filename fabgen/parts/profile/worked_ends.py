"""The ends of profiles as they are cut."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from fabgen.geometry.plane.outline import Outline
from fabgen.geometry.profile.bevel import Bevel, BevelPlane, RootChord, bevels_of, faces_met, root_chords
from fabgen.geometry.profile.corners import with_sharp_toes
from fabgen.geometry.profile.end_cut import EndCut, LimbEdge, SawnPlane, notched_end, sawn_end
from fabgen.geometry.profile.limbs import GRAZE, Limb
from fabgen.geometry.profile.notch import LimbLine, notch_lines, roots_ground
from fabgen.geometry.profile.sawing import SawStand, best_stand, mitre_plane
from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.contact import greatest
from fabgen.geometry.tube.solids import Convex, HalfSpace, Solid, Union
from fabgen.job.errors import InputError
from fabgen.parts.piece import WIDEST_ROOT, At, ProfileEnd
from fabgen.parts.profile.end_work import Around, Main, Work, sawn_to
from fabgen.parts.routed_profile import RoutedProfile
from fabgen.parts.shape.cuts import LEAST_ANGLE
from fabgen.parts.shape.standing_faces import StandingFace
from fabgen.parts.tube.routed_tube import RoutedTube
from fabgen.wording.figures import figure
from fabgen.wording.sentence import sentence

SEATED = 0.05
"""A straight cut that is nowhere farther off a notch's line than this makes it, mm."""
_PLACES = 81
"""Places along a limb at which the two are held against one another."""
_SEATS = 0.75
"""Share of the places along the limbs that must not be open by more than weld fills."""
_ROUND = {"hexagon bar": 2.0}
"""Its ends are cut by three of its six faces, and welded along all of them."""
_HOLE = (6.0, 10.0)
"""The least and the largest hole that is drilled at a notch's corner of itself, mm: common practice, no source."""


def worked_end(routed: RoutedProfile, at: At, work: Work, around: Around, usual_gap: float) -> ProfileEnd:
    """An end as it is cut.

    Args:
        routed: the profile whose end `at` it is.
        work: what is done to it.
        around: what it may sit on.
        usual_gap: root gap where the end gives none, mm.
    Raises:
        InputError: it misses what it is to sit on.
    """
    given = routed.given(at)
    gap = usual_gap if given.gap is None else given.gap
    limbs, frame = routed.limbs(at), routed.end_frame(at)
    match work.kind:
        case "plain":
            end = ProfileEnd(at, "plain", sawn_end(limbs, SawnPlane(-given.extend)), frame)
        case "mitre":
            assert work.partner is not None
            other, far = work.partner
            plane = mitre_plane(frame, other.end_frame(far))
            theirs = other.given(far).gap
            gap = max(gap, usual_gap if theirs is None else theirs)
            plane = replace(plane, at=gap / 2.0 / plane.normal[0])
            end = ProfileEnd(at, "mitre", sawn_end(limbs, plane), frame, (other.mark,), gap)
        case "notch":
            end = _sitting(routed, at, work, around, gap)
        case _:
            assert work.plane is not None
            on_face = work.kind == "face"
            plane = sawn_to(routed, at, work.plane.grown(gap) if on_face else work.plane)
            end = ProfileEnd(at, work.kind, sawn_end(limbs, plane), frame, work.mains, gap if on_face else 0.0)
    weld = end.weld or _weld(end)
    if work.kind == "face" and work.plane is not None:
        faces = [face for face in around.faces if face.mark in work.mains and face.is_in(work.plane)]
        weld = _weld_on(end, limbs, faces) if faces else weld
    weld *= _ROUND.get(routed.section.kind, 1.0)
    return replace(end, stand=_stand(routed, end), weld=weld)


def _stand(routed: RoutedProfile, end: ProfileEnd) -> SawStand | None:
    """How the saw stands; left and right as seen from the profile's start."""
    if end.is_square:
        return None
    stand = best_stand(routed.end_section(end.at), end.cut.sawn)
    return stand if end.at == "start" else replace(stand, swing=-stand.swing)


def _weld(end: ProfileEnd) -> float:
    """Length of the weld along what is cut to sit on something, once along the outer faces, mm."""
    if not end.onto:
        return 0.0
    if end.kind == "notch":
        return _run(end.cut.lines)
    long = sum(map(_long, end.cut.edges))
    return long / 2.0 if end.kind == "mitre" else long


def _weld_on(end: ProfileEnd, limbs: Sequence[Limb], faces: Sequence[StandingFace]) -> float:
    """The same of an end that is cut to faces of sheet in one plane, as far as it has their metal under it."""
    frame, on = end.frame, faces[0].frame
    across = np.vstack((frame.y, frame.z))
    found = 0.0
    for limb, edge in zip(limbs, end.cut.edges, strict=True):
        station = np.linspace(0.0, limb.width, _PLACES)
        skin, inward = limb.skin(station)
        outer = frame.origin + skin @ across
        sides = [outer, outer + (limb.depth(station)[:, np.newaxis] * inward) @ across]
        ends = [side + np.outer((on.origin - side) @ on.z / (frame.x @ on.z), frame.x) for side in sides]
        over = np.any([face.meets(*ends) for face in faces], axis=0)
        found += _long(edge) * float(np.mean(over[1:] & over[:-1]))
    return found


def _long(edge: LimbEdge) -> float:
    return float(np.hypot(np.diff(edge.station), np.diff(edge.x)).sum())


def _run(lines: Sequence[LimbLine]) -> float:
    """How far the limbs meet what they sit on, along their outer faces, mm."""
    steps = (np.hypot(np.diff(line.station), np.diff(line.x)) for line in lines)
    return float(sum(np.nansum(each) for each in steps))


# -- sitting on tubes and profiles ---------------------------------------------------------------
def _sitting(routed: RoutedProfile, at: At, work: Work, around: Around, gap: float) -> ProfileEnd:
    limbs, frame = routed.limbs(at), routed.end_frame(at)
    met = [main for mark in work.mains if (main := around.main(mark)) is not None]
    mains = [main.solid for main in met]
    rooted = [main for main in met if isinstance(main, RoutedProfile)]
    chords = [c.grown(gap) for main in rooted for c in root_chords(with_sharp_toes(main.cross), main.frame)]
    lines, bevels = _lines(limbs, frame, met, chords, gap)
    if not any(line.is_cut for line in lines):
        what = f"this end runs past {' and '.join(work.mains)} and does not meet {'it' if len(mains) == 1 else 'them'}"
        raise InputError(what, "points that reach it, or other marks in `onto`", key=("onto",))
    corner = max((main.section.corner for main in met if isinstance(main, RoutedTube)), default=0.0)
    weld = _run(lines) - sum(_beside(limbs, limb) for each in bevels for limb in each.limbs if each.is_outside(limb))
    if (face := _flat(frame, mains, lines, gap, corner, bevels)) is not None:
        cut = sawn_end(limbs, sawn_to(routed, at, face))
        root = next(
            (c.radius for c in chords if np.allclose((*c.plane.normal, c.plane.level), (*face.normal, face.level))), 0.0
        )
        edges = _measured(bevels, cut)
        return ProfileEnd(at, "face", cut, frame, work.mains, gap, weld=weld, bevels=edges, root=root)
    if routed.section.kind == "hexagon bar":
        why = sentence("the end of ", routed.section, f" is not cut round to sit on {' and '.join(work.mains)}")
        ways = (
            'points at which it butts on a flat face; cut = "plain" short of it; or round bar, a [[tube]] with section'
        )
        raise InputError(
            why, f'{ways} = "bar {figure(routed.section.sizes[0], 2)}", whose ends are coped', key=("cut",)
        )
    given = routed.given(at).corner_hole
    hole = min(max(2.0 * routed.section.thickness, _HOLE[0]), _HOLE[1]) if given is None else given
    cut = notched_end(lines, hole=hole)
    outline = routed.end_section(at).outline
    ground = roots_ground(outline, frame, mains, gap) if isinstance(outline, Outline) else ()
    own = _fouling(ground, cut)
    return ProfileEnd(at, "notch", cut, frame, work.mains, gap, ground=own, weld=weld, bevels=_measured(bevels, cut))


def _measured(planes: Sequence[BevelPlane], cut: EndCut) -> tuple[Bevel, ...]:
    return tuple(sorted((plane.of(cut) for plane in planes), key=lambda bevel: bevel.faces))


def _lines(
    limbs: Sequence[Limb], frame: Frame, mains: Sequence[Main], chords: Sequence[RootChord], gap: float
) -> tuple[tuple[LimbLine, ...], tuple[BevelPlane, ...]]:
    """Where the limbs are cut, and the bevels of those whose edge lies in the root of what they sit on."""
    full = notch_lines(limbs, frame, [main.solid for main in mains], gap)
    if not chords:
        return full, ()
    bare = notch_lines(limbs, frame, [m.bare if isinstance(m, RoutedProfile) else m.solid for m in mains], gap)
    bevels = bevels_of(full, bare, chords, frame)
    taken = [limb for each in bevels for limb in each.limbs]
    return tuple(b if b.limb in taken else f for f, b in zip(full, bare, strict=True)), bevels


def _beside(limbs: Sequence[Limb], limb: Limb) -> float:
    """How much of a limb that is bevelled outside is not welded inside, as other limbs join it there, mm."""
    i = limbs.index(limb)
    return sum(limb.thickness for limb in (*limbs[max(0, i - 1) : i], *limbs[i + 1 : i + 2]))


def _fouling(ground: Sequence[float], cut: EndCut) -> tuple[float, ...]:
    """What of the roots is to be ground: nothing that the saw takes off anyway."""
    return tuple(x if x > cut.sawn.at + SEATED else math.nan for x in ground)


def _flat(
    frame: Frame, mains: Sequence[Solid], lines: Sequence[LimbLine], gap: float, corner: float,
    bevels: Sequence[BevelPlane] = (),
) -> HalfSpace | None:  # fmt: skip
    """The plane to which one straight saw cut makes the same seat as the notch, but for what is open beside a tube's
    rounded `corner`, mm, which weld fills, and for what `bevels` take; None where none does.  What passes by is sawn
    off there too."""
    stations = [np.linspace(GRAZE, line.limb.width - GRAZE, _PLACES) for line in lines]
    walls = [line.limb.walls(station, frame) for line, station in zip(lines, stations, strict=True)]
    notch = np.concatenate([line.at(station) for line, station in zip(lines, stations, strict=True)])
    # What the bevels take of the outer and of the inner faces.
    ground = np.full((2, len(notch)), -np.inf)
    for bevel in bevels:
        reached = [faces_met(line.limb, bevel.plane, each) for line, each in zip(lines, stations, strict=True)]
        ground = np.maximum(ground, np.hstack(reached))
    skins = [[wall.outer() for wall in walls], [wall.inner() for wall in walls]]
    whole = Union(tuple(main.grown(gap) for main in mains))
    met = np.array([np.concatenate([greatest(whole, each) for each in skin]) for skin in skins])
    for plane in _faces(mains, frame):
        grown = plane.grown(gap)
        # Square to the face.
        off = float(plane.normal @ frame.x) * (np.concatenate([greatest(grown, each) for each in walls]) - notch)
        off = np.where(notch <= ground.max(axis=0) + SEATED, np.maximum(off, 0.0), off)
        off = off[np.isfinite(off)]
        fits = len(off) > 0 and off.min() > -SEATED and off.max() < corner + SEATED
        if fits and np.mean(off <= min(corner + SEATED, WIDEST_ROOT)) >= _SEATS:
            sawn = np.array([np.concatenate([greatest(grown, each) for each in skin]) for skin in skins])
            # The notch is that of the deeper side: a plane that leans may leave the other in what is met.
            if not (met > np.maximum(sawn, ground) + SEATED).any():
                return grown
    return None


def _faces(mains: Sequence[Solid], frame: Frame) -> Iterator[HalfSpace]:
    """The flat faces of what is met that look into the profile; square to it a stop that touches."""
    for main in mains:
        for piece in main.pieces():
            if isinstance(piece, Convex):
                yield from (p for p in piece.planes if float(p.normal @ frame.x) > math.sin(LEAST_ANGLE))
