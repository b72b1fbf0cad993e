"""The outer faces of a profile's end laid flat: what a paper folded over its heel, or round its web, carries.

How it lies.  Look square at a face from outside with +x, the way to the other end, upward: stations of the limbs run
to the right (`geometry/profile/limbs.py`), so the printed side shows outward.  The paper's left and right edges lie on
the profile's toes, and its folds on the corners between the faces.

Coordinates: u mm of paper to the right from the left edge, v mm along the profile from the end's longest point, which
is the saw cut.  Metal is kept above the line.

The sheet's thickness.  What keeps its length when paper is bent is its middle, so a corner that turns by an angle takes
half the paper's thickness times that angle more: of a square one pi t / 4, as round a rectangular tube (`wrap.py`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fabgen.documents.wrap.wrap import WrapHole, straight_edge
from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.geometry.profile.development import APART, DevelopedFace, developed
from fabgen.geometry.profile.end_cut import MARKED, EndCut
from fabgen.geometry.profile.limbs import Limb
from fabgen.geometry.space.frame import Array
from fabgen.wording.sentence import mm, sentence


@dataclass(frozen=True, eq=False)
class FoldFace:
    """A flat outer face on the paper, from u = `start` to `finish`; `word` as 'leg a'; `left` and `right`: what its
    sides are, 'toe a', or 'heel' and 'corner' where it is folded over.

    `edge`: (n, 2) mm measured on the face itself: across from its left side, and v.
    """

    word: str
    start: float
    finish: float
    left: str
    right: str
    edge: Array

    @property
    def width(self) -> float:
        """On the metal, mm."""
        return self.finish - self.start

    @property
    def from_right(self) -> bool:
        """Whether its right side is the fold it is measured from, and its left a toe."""
        return self.left not in FOLDS and self.right in FOLDS


FOLDS = ("heel", "corner")
"""What a fold is called: the heel of an angle, the corners at a channel's web."""


@dataclass(frozen=True, eq=False)
class FoldWrap:
    """Faces that fold over one another, unrolled.  `u`, `v`: the line, (n,), u from 0 to `width`, stepping where two
    values of u are alike.  `folds`: u of the fold lines, at a sharp corner one, at a bend its two edges.

    `height` is the straight edge above the longest point.  `holes` of the notch's corners and the profile's own.
    """

    faces: tuple[FoldFace, ...]
    folds: tuple[float, ...]
    width: float
    height: float
    u: Array
    v: Array
    holes: tuple[WrapHole, ...]
    paper: float = 0.0

    @property
    def words(self) -> str:
        """'leg a, leg b'."""
        return ", ".join(face.word for face in self.faces)

    @property
    def span(self) -> float:
        """Height of the highest point of the line above the longest point, mm."""
        return float(self.v.max())

    def cut_edge(self) -> list[Xy]:
        """The line as one chain from u = 0 to u = width."""
        return list(zip(self.u.tolist(), self.v.tolist(), strict=True))


def face_word(name: str) -> str:
    """'leg a' of the face 'leg a outside', 'stem' of 'stem side a'."""
    return name.removesuffix(" outside").removesuffix(" side a")


@dataclass(frozen=True, eq=False)
class FaceHole:
    """A hole of the profile's own at an end: its name, that of the limb's face, and its edge there, (n, 2) mm: station,
    x of the end's frame."""

    name: str
    face: str
    edge: Array


@dataclass(frozen=True, slots=True)
class FoldPaper:
    """What the faces are drawn on: its thickness, mm (0 gives the profile's own faces), and the units of its figures,
    'mm' or 'in', in which the straight edge stands at a round one."""

    thickness: float = 0.0
    units: str = "mm"


def fold_wraps(
    cut: EndCut, section: CrossSection, paper: FoldPaper, own: Sequence[FaceHole] = ()
) -> tuple[FoldWrap, ...]:
    """The wraps of an end: of faces that fold over one another one, of a T's flange and stem one each; () where the end
    is sawn and needs none.

    Args:
        cut: the end, its limbs in the order of the section's.
        section: as the end's frame has it, at the finish the mirror image.
        paper: what it is for.
        own: holes of the profile's own; those beyond the straight edge are left out.
    """
    chains = _chains(developed(cut).faces)
    marked = (chain for chain in chains if cut.beyond_saw([face.name for face in chain]) > MARKED)
    return tuple(_wrap(_Chain(tuple(chain), cut, section), paper, own) for chain in marked)


def _chains(faces: Sequence[DevelopedFace]) -> list[list[DevelopedFace]]:
    """Faces that folds join."""
    chains: list[list[DevelopedFace]] = []
    end = -math.inf
    for face in faces:
        if face.begins > end + APART / 2.0:
            chains.append([])
        chains[-1].append(face)
        end = face.begins + face.width
    return chains


@dataclass(frozen=True, eq=False)
class _Chain:
    """Faces of an end that folds join, in order."""

    faces: tuple[DevelopedFace, ...]
    cut: EndCut
    section: CrossSection

    def limb(self, face: DevelopedFace) -> Limb:
        return self.cut.edge(face.name).limb

    def turn(self, number: int) -> float:
        """The angle of the corner before a face, which may be a bend, rad."""
        here = self.faces[number - 1]
        there = self.faces[number] if self.faces[number].name else self.faces[number + 1]
        headings = [self.limb(face).edge.heading_in for face in (here, there)]
        return abs(math.remainder(headings[1] - headings[0], 2.0 * math.pi))

    def sides(self, face: DevelopedFace) -> tuple[str, str]:
        """What the left and the right side of a face are."""
        limb, number = self.limb(face), self.faces.index(face)
        fold = "heel" if face.name.startswith("leg") else "corner"
        left = fold if number else _beside(self.section, limb, False)
        right = fold if number + 1 < len(self.faces) else _beside(self.section, limb, True)
        return left, right

    def begins(self, thickness: float) -> list[float]:
        """Where the faces and bends begin on paper of that thickness, and where the last ends, mm."""
        places = [0.0]
        for number, face in enumerate(self.faces):
            if number and face.name and self.faces[number - 1].name:
                places[-1] += self.turn(number) * thickness / 2.0
            more = 0.0 if face.name else self.turn(number) * thickness / 2.0
            places.append(places[-1] + face.width + more)
        return places


def _wrap(chain: _Chain, paper: FoldPaper, own: Sequence[FaceHole]) -> FoldWrap:
    longest = chain.cut.longest
    faces: list[FoldFace] = []
    lines: list[Array] = []
    holes: list[WrapHole] = []
    begins = chain.begins(paper.thickness)
    for face, start, end in zip(chain.faces, begins, begins[1:], strict=False):
        across, v = face.edge[:, 0] - face.begins, face.edge[:, 1] - longest
        if face.name == "":
            lines.append(np.column_stack((start + across * (end - start) / face.width, v)))
            continue
        left, right = chain.sides(face)
        flat = np.column_stack((across, v))
        faces.append(FoldFace(face_word(face.name), start, start + face.width, left, right, flat))
        lines.append(np.column_stack((start + across, v)))
        holes += [_own_hole(hole, start, longest) for hole in own if hole.face == face.name]
        for corner in face.holes:
            name = sentence("Ø ", mm(corner.diameter, 2)).words(paper.units)
            middle = (start + corner.station - face.begins, corner.x - longest)
            holes.append(WrapHole(name, _ring(middle, corner.diameter)))
    line = np.vstack(lines)
    line = line[np.concatenate(([True], np.abs(np.diff(line, axis=0)).max(axis=1) > 1e-9))]
    height = straight_edge(float(line[:, 1].max()), paper.units)
    shown = tuple(hole for hole in holes if all(v < height for _, v in hole.edge))
    folds = tuple(_folds(faces))
    return FoldWrap(tuple(faces), folds, begins[-1], height, line[:, 0], line[:, 1], shown, paper.thickness)


def _own_hole(hole: FaceHole, start: float, longest: float) -> WrapHole:
    u, v = start + hole.edge[:, 0], hole.edge[:, 1] - longest
    return WrapHole(hole.name, tuple(zip(u.tolist(), v.tolist(), strict=True)))


def _folds(faces: Sequence[FoldFace]) -> Iterator[float]:
    """The fold lines: where two faces meet one, where a bend or thick paper parts them two."""
    for here, there in pairwise(faces):
        if there.start - here.finish < 0.3:
            yield (here.finish + there.start) / 2.0
        else:
            yield from (here.finish, there.start)


def _beside(section: CrossSection, limb: Limb, at_end: bool) -> str:
    """What the free side of a face is: 'toe a', 'edge b', of a T's stem 'flange'."""
    point = np.array(limb.edge.end if at_end else limb.edge.start)
    near = (face for face in section.faces if face.name != limb.name)
    name = min(near, key=lambda face: _away(point, np.array(face.start), np.array(face.end))).name
    return "flange" if limb.name.startswith("stem") and name.startswith("flange") else name


def _away(point: Array, start: Array, end: Array) -> float:
    along = end - start
    share = float(np.clip((point - start) @ along / (along @ along), 0.0, 1.0))
    return round(float(np.linalg.norm(point - start - share * along)), 6)


def _ring(middle: Xy, diameter: float) -> tuple[Xy, ...]:
    phi = np.linspace(0.0, 2.0 * math.pi, 73)
    u, v = (at + diameter / 2.0 * way(phi) for at, way in zip(middle, (np.cos, np.sin), strict=True))
    return tuple(zip(u.tolist(), v.tolist(), strict=True))
