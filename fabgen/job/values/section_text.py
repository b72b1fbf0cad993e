"""Sections as a job file writes them: `48.3 x 3.2`, `60 x 40 x 3`, `1 1/2 in x 0.120 in`, `25 solid`."""

from __future__ import annotations

import re
from dataclasses import replace

from fabgen.job.errors import InputError, nearest, shown
from fabgen.job.values.formulas import Formula, Names
from fabgen.job.values.quantity import GAUGES, UNIT_WORDS, scan, tidy
from fabgen.shop.corners import cold_formed
from fabgen.shop.pipe_sizes import pipe_named
from fabgen.shop.profiles.standard_sizes import flat, is_usual_round_tube
from fabgen.shop.section import Section
from fabgen.wording.sentence import mm, sentence

SECTION_ADVICE = (
    '"48.3 x 3.2" (round: outside diameter x wall), "60 x 40 x 3" (rectangular, corner radius if need be: '
    '"60 x 40 x 3 r 6"), or solid: "bar 25", "square bar 16", "flat 40 x 5"'
)

_BY = re.compile(r"\s*[x×*]\s*", re.IGNORECASE)
_BY_NAMES = re.compile(r"\s+[x×]\s+|(?<=[0-9)\"'])\s*[x×]\s*(?=[0-9(])", re.IGNORECASE)
"""Between figures where some are named dimensions, which may have an x in them."""
_WORD = re.compile(r"[^\W\d]\w*")
_CORNER = re.compile(r"\s+r\s*(?=[0-9.])", re.IGNORECASE)
_SOLID = re.compile(r"\s*\bsolid$", re.IGNORECASE)
_DIAMETER_SIGN = re.compile(r"^[Øø⌀]\s*")
_SOLID_BARS = (
    (re.compile(r"^flat(?:\s*bar)?\s+", re.IGNORECASE), 2, 'the width, then the thickness, e.g. "flat 40 x 5"'),
    (re.compile(r"^square(?:\s*bar)?\s+", re.IGNORECASE), 1, 'one size, e.g. "square bar 16"'),
    (re.compile(r"^(?:round\s+)?bar\s+|^round\s+(?!tube)", re.IGNORECASE), 1, 'the diameter, e.g. "bar 12"'),
)
"""Solid bar by its trade names: how many figures each has, and what they are."""
_TUBE = re.compile(r"^(?:round\s+)?tube\s+", re.IGNORECASE)
_GAUGE = re.compile(rf"[0-9]\s*(?:{'|'.join(GAUGES)})\b", re.IGNORECASE)
_HEXAGON = re.compile(r"^hex(?:agon)?(?:\s*bar)?\s*[0-9]", re.IGNORECASE)
_SHAPES = (
    (
        re.compile(r"(?:\b(?:L|RSA)\s*(?=[0-9])|\bangle\b)", re.IGNORECASE),
        "angle iron",
        "a [[profile]] with this section and `legs`, which way its legs point; a folded piece of it with holes is a "
        '[[bracket]] with shape = "angle"',
    ),
    (
        re.compile(r"(?:\b(?:U|C|UPN|UNP|PFC)\s*(?=[0-9])|\bchannel\b)", re.IGNORECASE),
        "a channel",
        "a [[profile]] with this section and `back`, which way the back of its web looks; a folded piece of it with "
        'holes is a [[bracket]] with shape = "channel"',
    ),
    (_HEXAGON, "hexagon bar", "a [[profile]] with this section and `width`, which way a flat of it looks"),
    (
        re.compile(r"\b(?:T|tee)\s*(?=[0-9])", re.IGNORECASE),
        "a T section",
        "a [[profile]] with this section and `flange`, which way its flange looks",
    ),
    (re.compile(r"\b(?:I|H|IPE|HEA|HEB|UB|UC)\s*(?=[0-9])", re.IGNORECASE), "an I section", "a tube or bar"),
)
"""Sections that are sold by length and are no tube, by how merchants write them."""
_NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
_SIZED = re.compile(r"/|[0-9]\s*(?:mm|cm|in|inch|inches|ft|thou|\"|')(?![a-z])", re.IGNORECASE)
_UNIT = re.compile(r"(?:[a-z]+|\"|'+)$", re.IGNORECASE)

LARGEST_SIZE = 5000.0


def parse_section(text: str, units: str = "mm", names: Names | None = None) -> Section:
    """A tube or bar section from its text, e.g. '48.3 x 3.2', '60 x 40 x 3 r 6' or '25 solid'.

    A unit after the last figure serves those before it that have none.  `tube` before the figures says that two of them
    are no flat bar.  A rectangular tube without a corner radius
    gets that of cold formed tube (`shop/corners.py`).

    Args:
        text: as a job file has it.
        units: "mm" or "in", of bare figures.
        names: named dimensions, which may stand for figures, e.g. 'rail x rail x 0.125 in'.
    Raises:
        InputError: it is no section, or one that cannot be.
    """
    for form, count, accepted in _SOLID_BARS:
        if word := form.match(tidy(text)):
            return _bar(text, read_sizes(text, _bare(tidy(text)[word.end() :]), units, names or {}), count, accepted)
    if _HEXAGON.match(tidy(text)):  # its x is none between figures
        raise _cannot_read(text)
    plain, said_tube = _TUBE.subn("", tidy(text))
    plain = _DIAMETER_SIGN.sub("", plain)
    body, is_solid = _SOLID.subn("", plain)
    body, *corner = _CORNER.split(body)
    if len(corner) > 1:
        raise _cannot_read(text)
    by = _BY_NAMES if names and any(_is_named(part, names) for part in _BY_NAMES.split(body)) else _BY
    sizes = _figures(text, [*by.split(body), *corner], units, names or {})
    radius = sizes.pop() if corner else None
    if len(sizes) == 3 - bool(is_solid) and len(sizes) > 1:
        return _rectangular(text, sizes[0], sizes[1], 0.0 if is_solid else sizes[2], radius)
    if radius is None and len(sizes) == 2 - bool(is_solid):
        section = _round(text, sizes[0], 0.0 if is_solid else sizes[1])
        return section if is_solid or said_tube else _asked_back(section, plain)
    raise _cannot_read(text)


def _bar(text: str, sizes: list[float], count: int, accepted: str) -> Section:
    """Solid bar by its trade name: flat bar with its width upright, square and round bar."""
    if len(sizes) != count:
        raise InputError(f"{shown(text)} has {len(sizes)} figure{'s' if len(sizes) > 1 else ''}", accepted)
    if sizes[-1] > sizes[0]:
        raise InputError(f"{shown(text)} is thicker than it is wide", accepted)
    if count == 1 and not text.strip().lower().startswith("square"):
        return Section("round", sizes[0], sizes[0], 0.0)
    return Section("rectangular", sizes[0], sizes[-1], 0.0)


def _bare(figures: str) -> str:
    return _SOLID.sub("", _DIAMETER_SIGN.sub("", figures))


def read_sizes(text: str, body: str, units: str, names: Names) -> list[float]:
    """The sizes in mm of a row of figures such as `1 1/2 x 1 1/2 x 1/8 in`, as sections have them.

    Args:
        text: the whole section, for the errors.
        body: its figures.
        units: "mm" or "in", of bare figures.
        names: named dimensions, which may stand for figures.
    Raises:
        InputError: one cannot be read.
    """
    by = _BY_NAMES if names and any(_is_named(part, names) for part in _BY_NAMES.split(body)) else _BY
    return _figures(text, by.split(body), units, names)


def _round(text: str, diameter: float, wall: float) -> Section:
    if 2.0 * wall >= diameter:
        if diameter <= 2.0 * wall <= 4.0 * diameter:
            what = f"{shown(text)} gives two sizes and no wall"
            accepted = 'the wall after them, as measured, e.g. "60 x 40 x 3"; of solid bar'
            first, _, last = tidy(text).lower().partition("x")
            solid = f"flat {tidy(text)}" if wall < diameter else f"{tidy(text)} solid"
            if abs(wall - diameter) < 1e-9 and first.strip() == last.strip():
                solid = f"square bar {first.strip()}"
            raise InputError(what, f'{accepted} "{solid}"')
        what = f"the wall of {shown(text)} is half its diameter or more"
        accepted = f'the outside diameter first, then the wall; or "{diameter:g} solid" for solid bar'
        raise InputError(what, accepted, _wall_last(text) if 2.0 * diameter < wall else "")
    return Section("round", diameter, diameter, wall)


def _asked_back(section: Section, plain: str) -> Section:
    """A round tube whose two figures are rather those of flat bar, marked as such."""
    usual = is_usual_round_tube(section.width, section.wall)
    return section if usual or not flat(section.width, section.wall).standard else replace(section, or_flat=plain)


def _rectangular(text: str, width: float, depth: float, wall: float, radius: float | None) -> Section:
    least = min(width, depth)
    if 2.0 * wall >= least:
        what = f"the wall of {shown(text)} is half its smaller side or more"
        accepted = 'the two sides first, then the wall; or e.g. "40 x 10 solid" for solid bar'
        raise InputError(what, accepted, _wall_last(text) if 2.0 * width < min(depth, wall) else "")
    if radius is not None and 2.0 * radius > least:
        what = f"the corner radius of {shown(text)} is more than half its smaller side"
        raise InputError(what, "a corner radius up to half the smaller side")
    section = Section("rectangular", width, depth, wall, radius or 0.0)
    # A thick wall in a small section leaves no room for the usual corner.
    return cold_formed(section) if radius is None else section


def _wall_last(text: str) -> str:
    """A section whose wall was written first with the wall last, in quotes; '' where it is not read so."""
    first, *rest = _BY.split(tidy(text))
    if (unit := _UNIT.search(rest[-1])) and not _UNIT.search(first):
        rest[-1] = rest[-1][: unit.start()].rstrip()
        first = f"{first} {unit[0]}"
    likely = " x ".join((*rest, first))
    try:
        parse_section(likely)
    except InputError:
        return ""
    return f'"{likely}"'


def _figures(text: str, written: list[str], units: str, names: Names) -> list[float]:
    """The figures in mm; each without a unit takes that of the next figure that has one, named dimensions aside."""
    named = [_is_named(part, names) for part in written]
    own = [None if is_named else _UNIT.search(part) for part, is_named in zip(written, named, strict=True)]
    plain = [found for found, is_named in zip(own, named, strict=True) if not is_named]
    if plain and plain[-1] is None and any(plain):
        what = f"the last figure of {shown(text)} has no unit, though others have"
        raise InputError(what, 'a unit after the last figure, which serves them all, e.g. "2 x 1 x 1/8 in"')
    unit = units
    sizes: list[float] = []
    for part, found, is_named in zip(reversed(written), reversed(own), reversed(named), strict=True):
        if is_named:
            size = Formula.read(part, names).length(names, units)
        else:
            unit = found[0] if found else unit
            size = _figure(text, part if found else f"{part} {unit}")
        if not 0.0 < size <= LARGEST_SIZE:
            raise InputError(sentence(f"a figure of {shown(text)} is ", mm(size, 3)), "figures above zero, up to 5 m")
        sizes.append(size)
    return sizes[::-1]


def _is_named(part: str, names: Names) -> bool:
    """Whether a figure is a named dimension, or seems to be meant as one."""
    words = [word for word in _WORD.findall(part) if word not in UNIT_WORDS]
    return any(word in names or (len(word) > 2 and nearest(word, names)) for word in words)


def _figure(text: str, part: str) -> float:
    found = scan(part.strip())
    if found is None or found[1] != len(part.strip()) or found[0].length != 1:
        raise _cannot_read(text)
    return found[0].value


def _cannot_read(text: str) -> InputError:
    if _GAUGE.search(text):
        what = f"{shown(text)} has a gauge number, which differs with the metal and the table"
        return InputError(what, 'the wall in mm or inches, as measured, e.g. "2 x 1 x 0.120 in"')
    if pipe := pipe_named(tidy(text)):
        what = f"{shown(text)} names a pipe by its nominal bore, which is the size of nothing on it"
        accepted = f"outside diameter x wall, as measured; {pipe.words} (from memory, check against your part)"
        return InputError(what, accepted, f'"{pipe.section}"' if pipe.section else "")
    for form, name, accepted in _SHAPES:
        if form.search(text):
            return InputError(f"{shown(text)} is {name}, not a tube section", accepted)
    # What is made of its figures alone would not be what was meant where they have units or are fractions.
    figures = [] if _SIZED.search(text) else _NUMBER.findall(text)
    likely = " x ".join(figure.replace(",", ".") for figure in figures) if len(figures) in (2, 3) else ""
    return InputError(f"cannot read {shown(text)} as a section", SECTION_ADVICE, f'"{likely}"' if likely else "")
