"""Checks of sections and sheets of a size that nobody sells: a figure written in one unit and read in the other."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from fabgen.checks.checked import Checked, Checking
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.parts.piece import FlatPart, LengthPart, Piece, ProfilePart, length_parts, made_here
from fabgen.shop.profiles.as_sold import is_sold, nearest_sold, solid_as_profile
from fabgen.shop.profiles.profile_section import ProfileSection, StockSection
from fabgen.shop.section import Section
from fabgen.shop.trade_sizes import SHEETS_INCH, SHEETS_METRIC
from fabgen.wording.inches import INCH
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Part, Sentence, Unit, Value, lengths, mm, number, sentence

SMALLEST, LARGEST = 6.0, 350.0
"""Outside size of tube on sale to a small shop, mm."""
SMALLEST_BAR = 3.0
"""The same of solid bar, which is drawn thinner than tube, mm."""
THINNEST_WALL = 0.4
THINNEST_SHEET, THICKEST_SHEET = 0.3, 50.0


SMALLEST_PROFILE, LARGEST_PROFILE, THINNEST_PROFILE = 8.0, 500.0, 1.0
"""Outside size and thickness of angle, channel, T and flat bar on sale to a small shop, mm."""

_SOLD_BY = "EN 10055 to 10061, EN 10278, EN 10365, ASTM A6 (from memory, check against your part)"

Sized = Checking[LengthPart | FlatPart | ProfilePart]


@rule("section-size", Level.STOP)
def section_size(of: Sized) -> Iterator[Found]:
    """A tube's, bar's or profile's section is of a size on sale; else it says what was probably meant."""
    if isinstance(of.part, LengthPart) and (doubt := section_doubt(of.part.section)):
        yield found(doubt)
    if isinstance(of.part, ProfilePart) and not _is_usual_profile(of.part.section.written_sizes):
        usual = sentence(
            f"{of.part.section.kind} is ", lengths((SMALLEST_PROFILE, LARGEST_PROFILE), " to "), " outside, ",
            mm(THINNEST_PROFILE), " thick or more",
        )  # fmt: skip
        yield found(_doubt(of.part.section.written_sizes, "", usual, _is_usual_profile))


@rule("sheet-size", Level.STOP)
def sheet_size(of: Sized) -> Iterator[Found]:
    """Sheet is of a thickness on sale, and the flat no larger than the largest usual sheet of the units the job is
    worked in, where its [[stock]] gives none; with stock of its own the cut plan says what fits no sheet
    (stock-size)."""
    if not isinstance(of.part, FlatPart):
        return
    thickness = of.part.thickness
    if not _is_usual_sheet([thickness]):
        usual = sentence("sheet is ", lengths((THINNEST_SHEET, THICKEST_SHEET), " to "))
        yield found(_doubt([thickness], "", usual, _is_usual_sheet))
    if of.job.shop.stocks(of.piece.material, thickness):
        return
    x0, y0, x1, y1 = of.part.outline.bounds
    long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    most_long, most_short = max(SHEETS_INCH if of.units == "in" else SHEETS_METRIC)
    if long > most_long or short > most_short:
        flat = sentence("the flat is ", mm(long), " x ", mm(short), ", larger than the largest usual sheet of ")
        yield found(flat, mm(most_long), " x ", mm(most_short), ": make it in two parts or ask the merchant")


@rule("flat-or-tube", Level.WARN, source=PRACTICE)
def flat_or_tube(job: Checked) -> Iterator[Found]:
    """Two figures that are a usual flat bar and no usual round tube are asked back; `tube` before them says that tube
    is meant."""
    marks: dict[str, list[str]] = {}
    for piece, part in length_parts(made_here(job.pieces)):
        if part.section.or_flat:
            marks.setdefault(part.section.or_flat, []).append(piece.mark)
    for stock in job.job.stock:
        if isinstance(stock.section, Section) and stock.section.or_flat:
            marks.setdefault(stock.section.or_flat, [])
    for text, those in marks.items():
        yield found(
            f'"{text}" is read as round tube, outside diameter and wall, a size that few merchants keep; flat bar is '
            f'sold in it: write section = "flat {text}" for flat bar, or "tube {text}" for tube',
            about=those or "stock",
        )


@rule("size-as-sold", Level.WARN, source=_SOLD_BY)
def size_as_sold(job: Checked) -> Iterator[Found]:
    """Angle, channel, T and solid bar of steel are of a size that merchants keep; a size that is folded, has its root
    radius given, or stands in [[stock]] is taken as it is.  Extruded aluminium is drawn to any size."""
    odd: dict[str, tuple[ProfileSection, list[str]]] = {}
    for piece, section in _rolled(job):
        if not (_is_own(section) or is_sold(section) or _is_stocked(job, section)):
            odd.setdefault(section.words(job.units), (section, []))[1].append(piece.mark)
    if not odd:
        return
    kinds = {section.kind for section, _ in odd.values()}
    ways = [_WAYS[kind] for kind in ("angle", "flat", "bar") if kinds & _LIKE[kind]]
    do = f"take one of those, {', '.join(ways)}, or list it in [[stock]] if it lies on your rack"
    near = [(text, _near(section)) for text, (section, _) in odd.items()]
    about = list(dict.fromkeys(mark for _, marks in odd.values() for mark in marks))
    if len(near) == 1:
        (text, sizes) = near[0]
        yield found(f"{text} is no size that merchants keep, nearest {sizes}: {do}", about=about)
        return
    each = named([sentence(f"{text}: nearest {sizes}") for text, sizes in near], "; ", FEW)
    yield found(number(len(near)), " sections are no sizes that merchants keep (", each, f"): {do}", about=about)


def _near(section: ProfileSection) -> str:
    """'35 x 35 x 4 or 40 x 40 x 4'."""
    return " or ".join(text.removeprefix(f"{section.kind} ") for text in nearest_sold(section))


_LIKE: dict[str, set[str]] = {
    "angle": {"angle", "channel", "T"},
    "flat": {"flat"},
    "bar": {"bar", "square bar", "hexagon bar"},
}
_WAYS = {
    "angle": 'write "folded" after it if it is bent from sheet, or "r" and its root radius if it is measured',
    "flat": "cut it from plate",
    "bar": "machine it from a larger one",
}
"""What to do with a size of which there is none on sale."""


def _rolled(job: Checked) -> Iterator[tuple[Piece, ProfileSection]]:
    """What is sawn from angle, channel, T and solid bar of another metal than aluminium."""
    for piece in made_here(job.pieces):
        section: StockSection | None = None
        if (part := piece.profile_part) is not None:
            section = part.section
        elif piece.path[:1] in (("tube",), ("bar",)) and (length := piece.length_part) is not None:
            section = solid_as_profile(length.section) if length.section.is_solid else None
        if isinstance(section, ProfileSection) and job.job.find_material(piece.material).group != "aluminium":
            yield piece, section


def _is_own(section: ProfileSection) -> bool:
    """Whether the job gives its figures with its radius: folded, or as measured."""
    return section.folded or (section.root > 0.0 and not section.standard and section.radii == "")


def _is_stocked(job: Checked, section: ProfileSection) -> bool:
    return any(stock.section is not None and stock.section.nominal == section.nominal for stock in job.job.stock)


RULES = (section_size, sheet_size)


def section_doubt(section: Section) -> Sentence:
    """What is odd about the size of a section, and what was probably meant; empty where nothing is."""
    sizes = [section.width] if section.is_round else [section.width, section.depth]
    if not section.is_solid:
        sizes.append(section.wall)
    if _is_usual_section(sizes, section.is_solid):
        return sentence()
    if section.is_solid:
        usual = sentence("bar is ", lengths((SMALLEST_BAR, LARGEST), " to "), " outside")
    else:
        wall = lengths((THINNEST_WALL,))
        usual = sentence("tube is ", lengths((SMALLEST, LARGEST), " to "), " outside, wall ", wall, " or more")
    end = " solid" if section.is_solid else ""
    return _doubt(sizes, end, usual, lambda other: _is_usual_section(other, section.is_solid))


def _is_usual_section(sizes: Sequence[float], is_solid: bool) -> bool:
    outside = max(sizes)
    if is_solid:
        return SMALLEST_BAR <= outside <= LARGEST
    return SMALLEST <= outside <= LARGEST and sizes[-1] >= THINNEST_WALL


def _is_usual_profile(sizes: Sequence[float]) -> bool:
    return SMALLEST_PROFILE <= max(sizes) <= LARGEST_PROFILE and min(sizes) >= THINNEST_PROFILE


def _is_usual_sheet(sizes: Sequence[float]) -> bool:
    return THINNEST_SHEET <= sizes[0] <= THICKEST_SHEET


def _doubt(sizes: Sequence[float], end: str, usual: Sentence, is_usual: Callable[[Sequence[float]], bool]) -> Sentence:
    """The size as it was read, and the same figures in the unit in which they make sense, if there is one."""
    inches = [size / INCH for size in sizes]
    as_mm, as_inches = _by(sizes), _by(inches)
    text: tuple[Part, ...] = (_mm(sizes), f"{end} is no usual size: is the unit right?")
    if _digits(inches) < _digits(sizes):
        if is_usual(inches):
            text = (f'"{as_inches}{end}" was read as inches, ', _mm(sizes), f': meant "{as_inches} mm{end}"?')
    elif is_usual([size * INCH for size in sizes]):
        text = (f'"{as_mm}{end}" was read as mm: meant "{as_mm} in{end}"?',)
    return sentence(*text, " (", usual, ")")


def _mm(sizes: Sequence[float]) -> Value:
    """Sizes to five figures: '1226.8 x 81.28 mm'."""
    return Value(tuple(float(f"{size:.5g}") for size in sizes), Unit.MM, 5, " mm", joint=" x ")


def _digits(figures: Sequence[float]) -> int:
    """How many digits it takes to write the figures: fewest in the unit they were written in."""
    return sum(len(f"{figure:.9g}") for figure in figures)


def _by(sizes: Sequence[float]) -> str:
    return " x ".join(f"{size:.5g}" for size in sizes)
