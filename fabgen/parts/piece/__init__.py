"""The piece: what every part family turns its definition into.

Checks, the cut plan and all documents know these types only, so a new family is one new
module and no change anywhere else.
"""

from fabgen.geometry.space.frame import Array
from fabgen.parts.piece.bar import BarEnd, Clasp, FlattenedEnd, FlattenedHole, ThreadedEnd
from fabgen.parts.piece.cut import ENDS, At, CutKind, CutLine, FlatCut, Joint, PlateSeat
from fabgen.parts.piece.datum import CHORDS, Datum
from fabgen.parts.piece.drilled import DrilledHole, Slit, like_holes, numbered
from fabgen.parts.piece.flat import Band, BandBox, FlatBend, FlatPart, Grain, Hole, Mark, Place, Purpose, Rolled, Sector
from fabgen.parts.piece.joint import ROOM, Across, BendPlace, FaceLanding, JointWeld, Landing, Opening, side_of_top
from fabgen.parts.piece.leg_hole import LegHole, like_leg_holes
from fabgen.parts.piece.length import LEAST_HEEL, WIDEST_ROOT, LengthPart, TubeBend, WorkedEnd, sawn_square
from fabgen.parts.piece.link import EyeSetup, LinkEnd, LinkPart, LoadedLink, Margin, RodEndSetup
from fabgen.parts.piece.missed_end import MissedEnd
from fabgen.parts.piece.piece import (
    Concern,
    Fact,
    Hardware,
    Piece,
    PieceState,
    SawnLength,
    drilled_to_make,
    face_landings_on,
    fact,
    holes_to_make,
    leg_holes_to_make,
    length_parts,
    made_here,
    profile_parts,
    taken_as_it_is,
    to_make,
    tube_parts,
)
from fabgen.parts.piece.profile import ProfileCut, ProfileEnd, ProfilePart
from fabgen.parts.piece.saw import SAW_REACH, Method, SawSetup
from fabgen.parts.piece.set_out import EndSetOut, HoleSetOut, SetOut
from fabgen.parts.piece.skin import Skin

__all__ = [
    "CHORDS",
    "ENDS",
    "LEAST_HEEL",
    "ROOM",
    "SAW_REACH",
    "WIDEST_ROOT",
    "Across",
    "Array",
    "At",
    "Band",
    "BandBox",
    "BarEnd",
    "BendPlace",
    "Clasp",
    "Concern",
    "CutKind",
    "CutLine",
    "Datum",
    "DrilledHole",
    "EndSetOut",
    "EyeSetup",
    "FaceLanding",
    "Fact",
    "FlatBend",
    "FlatCut",
    "FlatPart",
    "FlattenedEnd",
    "FlattenedHole",
    "Grain",
    "Hardware",
    "Hole",
    "HoleSetOut",
    "Joint",
    "JointWeld",
    "Landing",
    "LegHole",
    "LengthPart",
    "LinkEnd",
    "LinkPart",
    "LoadedLink",
    "Margin",
    "Mark",
    "Method",
    "MissedEnd",
    "Opening",
    "Piece",
    "PieceState",
    "Place",
    "PlateSeat",
    "ProfileCut",
    "ProfileEnd",
    "ProfilePart",
    "Purpose",
    "RodEndSetup",
    "Rolled",
    "SawSetup",
    "SawnLength",
    "Sector",
    "SetOut",
    "Skin",
    "Slit",
    "ThreadedEnd",
    "TubeBend",
    "WorkedEnd",
    "drilled_to_make",
    "face_landings_on",
    "fact",
    "holes_to_make",
    "leg_holes_to_make",
    "length_parts",
    "like_holes",
    "like_leg_holes",
    "made_here",
    "numbered",
    "profile_parts",
    "sawn_square",
    "side_of_top",
    "taken_as_it_is",
    "to_make",
    "tube_parts",
]
