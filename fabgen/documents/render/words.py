"""How figures and ends are put into words, the same in every document."""

from __future__ import annotations

import math

from fabgen.parts.piece import SAW_REACH, FlatPart, Joint, Piece, ProfileEnd, WorkedEnd
from fabgen.shop.section import Section
from fabgen.wording.figures import angle_figure
from fabgen.wording.figures import figure as figure  # passed on to those who word other facts too
from fabgen.wording.inches import INCH, inch_text, nearest_fraction
from fabgen.wording.sentence import as_made


def counted(number: int, word: str, plural: str = "") -> str:
    """'1 mark', '3 marks'; `plural` where an s does not make it."""
    return f"{number} {word if number == 1 else plural or f'{word}s'}"


def length_text(length: float, units: str) -> str:
    """A length as a cell has it: '812', in mm; in an inch job '31.969"'."""
    return f'{figure(length / INCH, 3)}"' if units == "in" else figure(length)


def tape_text(length: float, units: str) -> str:
    """A length as a cell has it where a tape or a rule reads it: '812', in mm; in an inch job '31 31/32"'."""
    return f'{nearest_fraction(length)}"' if units == "in" else figure(length)


def in_mm(head: str, units: str) -> str:
    """The head of a column of lengths, which names their unit where that stands in no cell: 'near edge, mm'."""
    return head if units == "in" else f"{head}, mm"


def with_unit(length: float, units: str) -> str:
    """'812 mm', in an inch job '31.969"'."""
    return length_text(length, units) + ("" if units == "in" else " mm")


def on_tape(length: float, units: str) -> str:
    """A length of the job file beside those that a tape reads: '812 mm', in an inch job '31.97" (31 31/32" on a
    tape)'."""
    given, read = with_unit(length, units), tape_text(length, units)
    return given if units != "in" or given == read else f"{given} ({read} on a tape)"


def mm_text(length: float, units: str, decimals: int = 1) -> str:
    """A size with its unit, '3 mm'; in an inch job '0.118"', or a fraction where it is one."""
    return inch_text(length) if units == "in" else f"{figure(length, decimals)} mm"


def run_text(length: float, units: str) -> str:
    """A long run, of bar, seam or cut: '12.4 m', in an inch job '40.68 ft'."""
    return f"{figure(length / (12.0 * INCH), 2)} ft" if units == "in" else f"{figure(length / 1000.0, 2)} m"


def thickness_text(thickness: float, units: str) -> str:
    """Of sheet: '3 mm', in an inch job '1/8"', but '3 mm' of metric sheet."""
    return as_made(thickness, decimals=2).words(units)


def stock_text(piece: Piece, units: str) -> str:
    """'48.3 x 3.2 S355' or '3 mm S235'."""
    if isinstance(piece.shape, FlatPart):
        if piece.shape.bar is not None:
            return f"{piece.shape.bar.words(units)} {piece.material}"
        return f"{thickness_text(piece.shape.thickness, units)} {piece.material}"
    return f"{piece.shape.section.words(units)} {piece.material}"


def size_text(piece: Piece, units: str) -> str:
    """The length to saw, or the flat's width x height."""
    shape = piece.shape
    return flat_size(shape, units) if isinstance(shape, FlatPart) else length_text(shape.length, units)


def flat_size(part: FlatPart, units: str) -> str:
    """'120 x 80': width and height of the flat, mm; in an inch job '4.724" x 3.15"'."""
    return " x ".join(length_text(side, units) for side in part.size)


def degrees(angle: float) -> str:
    """An angle in rad as printed degrees."""
    return f"{angle_figure(math.degrees(angle))}°"


def corners_by(section: Section) -> str:
    """', as EN 10219-2 has them: measure yours' after the corner radius of a section whose job gives none."""
    return f", as {section.corner_by} has them: measure yours" if section.corner_by else ", as the job gives it"


def end_text(end: WorkedEnd | ProfileEnd, units: str = "mm") -> str:
    """How an end is cut, in words; in an inch job lengths are in inches."""
    return profile_end_text(end, units) if isinstance(end, ProfileEnd) else tube_end_text(end, units)


def profile_end_text(end: ProfileEnd, units: str = "mm") -> str:
    """'mitre with L2, 45° from square', 'notched onto L1', 'sawn to the face of T2, 30° from square, gap 1.5 mm', 'sawn
    level, 10° from square', or 'plain'."""
    what = {
        "plain": "plain",
        "plane": "sawn to a plane",
        "level": "sawn level",
        "mitre": "mitre with ",
        "face": "sawn to clear the root of " if end.root else "sawn to the face of ",
        "notch": "notched onto ",
    }[end.kind] + " and ".join(end.onto)
    angle = "" if end.is_square else f", {degrees(end.cut.sawn.from_square)} from square"
    bevels = dict.fromkeys(mm_text(each.back, units) for each in end.bevels)
    bevel = f", bevel {' and '.join(bevels)} to clear its root" if bevels else ""
    return what + angle + bevel + (f", gap {mm_text(end.gap, units)}" if end.gap >= 0.05 else "")


def profile_saw_text(end: ProfileEnd) -> str:
    """How the saw stands for an end: 'square', or 'leg b outside down, swing 45° right longer'; right and up as seen
    from the start."""
    if end.stand is None:
        return "square"
    stand = end.stand
    turns = []
    if abs(stand.swing) >= 1e-3:
        turns.append(f"swing {degrees(abs(stand.swing))} {'right' if stand.swing > 0.0 else 'left'} longer")
    if abs(stand.tilt) >= 1e-3:
        turns.append(f"tilt {degrees(abs(stand.tilt))} {'top' if stand.tilt > 0.0 else 'bottom'} longer")
    over = " (over 45°)" if math.degrees(stand.greatest) > SAW_REACH else ""
    return f"{stand.lies_on} down, {', '.join(turns)}{over}"


def tube_end_text(end: WorkedEnd, units: str = "mm") -> str:
    """'cope onto T2 at 63.4°, offset 4 mm', 'mitre with T5, 45° from square', 'flat to a plane, 30° from square, gap
    1.5 mm', 'level, 20° from square', or 'plain': of a flat cut the angle is that of the saw, of a cope that between
    the two axes."""
    if end.form is not None:
        return end.form.said.words(units)
    if end.cut == "plain":
        return "plain"
    gap = f", gap {mm_text(end.gap, units)}" if end.gap >= 0.05 else ""
    if end.is_level:
        return f"level, {end_angle(end, end.seats[0])}{gap}"
    if end.cut == "plane":
        return f"flat to {end.stands_on or 'a plane'}, {end_angle(end, end.seats[0])}{gap}"
    if end.is_sawn_to_face:
        return f"sawn straight to {end.joints[0].onto}, {end_angle(end, end.joints[0])}{gap}"
    parts = []
    for joint in end.seats:
        text = f"{joint.onto} at {end_angle(end, joint)}"
        if abs(joint.offset) >= 0.05:
            text += f", offset {mm_text(joint.offset, units)}"
        parts.append(text)
    word = "mitre with" if end.cut != "cope" else "sawn square, onto" if end.is_level_all_round else "cope onto"
    return f"{word} {' and '.join(parts)}{gap}"


def end_angle(end: WorkedEnd, seat: Joint) -> str:
    """'63.4°' between the axes of a cope; '45° from square', as the saw stands, of a mitre or a flat."""
    if end.is_sawn_to_face:
        return f"{degrees(end.flats[0].from_square)} from square"
    if end.cut == "cope":
        return degrees(seat.angle)
    return f"{degrees(max(0.0, math.pi / 2.0 - seat.angle))} from square"


def signed(text: str) -> str:
    """A figure's text with its sign: '+30°', '-12.5°', '0'."""
    return text if text.startswith("-") or text in ("0", "0°") else f"+{text}"


UNCOUNTED = ("kg", "m", "m2")
"""Units that stay as they are however many there are."""


def quantity_text(quantity: float, unit: str) -> str:
    """'1 bar', '3 bars', '0.4 kg', '1.2 litres'."""
    return f"{figure(quantity, 2)} {unit}{'' if quantity == 1 or unit in UNCOUNTED else 's'}"


def money(amount: float, currency: str = "") -> str:
    """An amount with two places, and its currency where the job names one."""
    return f"{amount:.2f} {currency}".rstrip()
