"""Profiles' sections as a job file writes them: `angle 40 x 40 x 4`, `flat 40 x 5`, `UPN 80`, `hexagon bar 17`."""

from __future__ import annotations

import re

from fabgen.job.errors import InputError, nearest, shown
from fabgen.job.values.formulas import Names
from fabgen.job.values.quantity import tidy
from fabgen.job.values.section_text import parse_section, read_sizes
from fabgen.shop.profiles import standard_sizes
from fabgen.shop.profiles.profile_section import Kind, ProfileSection, StockSection

PROFILE_ADVICE = (
    '"angle 40 x 40 x 4", "flat 40 x 5", "UPN 80", "T 40 x 40 x 5", "square bar 16" or "hexagon bar 17"; folded '
    '"angle 40 x 40 x 3 folded", "channel 80 x 45 x 4 folded"; round bar is a [[tube]] with section = "bar 12"'
)

_KINDS: tuple[tuple[str, Kind], ...] = (
    (r"hex(?:agon)?(?:\s*bar)?", "hexagon bar"),
    (r"square(?:\s*bar)?", "square bar"),
    (r"(?:round(?:\s*bar)?|bar)", "bar"),
    (r"flat(?:\s*bar)?", "flat"),
    (r"(?:angle(?:\s*iron)?|RSA|L)", "angle"),
    (r"(?:channel|PFC|U|C)", "channel"),
    (r"(?:tee|T)", "T"),
)
_NAMED = re.compile(r"(?:channel\s+)?((?:UPN|UNP|UPE|U|C)\s*[0-9].*)", re.IGNORECASE)
_FOLDED = re.compile(r"\s+folded$", re.IGNORECASE)
_RADIUS = re.compile(r"\s+r\s*(?=[0-9.])", re.IGNORECASE)


def parse_profile(text: str, units: str = "mm", names: Names | None = None) -> ProfileSection:
    """A profile's section from its text.

    A unit after the last figure serves those before it that have none.  A hot rolled angle has the radii of its
    standard, or, of a size of its own, those of the nearest; `r` after the sizes gives the root radius, of a folded one
    the inside radius, which is the thickness where it is left out.

    Args:
        text: as a job file has it, e.g. 'angle 1 1/2 x 1 1/2 x 1/8 in'.
        units: "mm" or "in", of bare figures.
        names: named dimensions, which may stand for figures.
    Raises:
        InputError: it is no section of a profile, or one that cannot be.
    """
    plain = tidy(text)
    if (named := _NAMED.fullmatch(plain)) and (found := standard_sizes.channel_named(named[1])):
        return found
    for form, kind in _KINDS:
        word = re.match(rf"{form}(?=[\s0-9Ø.])\s*[Øø⌀]?\s*", plain, re.IGNORECASE)
        if word:
            return _sized(text, kind, plain[word.end() :], units, names or {})
    if re.match(r"UP[NE]|UNP", plain, re.IGNORECASE):
        raise InputError(f"{shown(text)} is no channel in the tables", _named_channels(), nearest(plain, _channels()))
    raise _without_word(text, plain, units, names)


def _sized(text: str, kind: Kind, body: str, units: str, names: Names) -> ProfileSection:
    body, folded = _FOLDED.subn("", body)
    body, *written = _RADIUS.split(body)
    if len(written) > 1:
        raise InputError(f"cannot read {shown(text)} as the section of a profile", PROFILE_ADVICE)
    sizes = read_sizes(text, body, units, names)
    unit = re.search(r"(?:in|inch|inches|\")$", body.strip())
    radius = read_sizes(text, written[0], "in" if unit else units, names)[0] if written else None
    if (folded and kind == "T") or ((folded or written) and kind not in ("angle", "channel", "T")):
        raise InputError(
            f"{shown(text)}: {kind} {'is not folded' if kind == 'T' else 'has no radius and is not folded'}",
            PROFILE_ADVICE,
        )
    made = _of_sizes(text, kind, sizes, bool(folded), radius)
    _hold_together(text, made)
    return made


def _of_sizes(text: str, kind: Kind, sizes: list[float], folded: bool, radius: float | None) -> ProfileSection:
    count = len(sizes)
    match kind:
        case "angle" if count in (2, 3):
            a, b, t = sizes if count == 3 else (sizes[0], sizes[0], sizes[1])
            _fits(text, t < min(a, b), "the two legs first, then the thickness")
            if folded:
                return ProfileSection("angle", (a, b, t), t if radius is None else radius, folded=True)
            if radius is not None:
                return ProfileSection("angle", (a, b, t), radius, min(radius / 2.0, t))
            return standard_sizes.angle(a, b, t)
        case "channel" if count in (3, 4):
            h, b, web, flange = (*sizes, sizes[2])[:4]
            _fits(
                text, 2.0 * flange < h and web < b, "height, width of the flanges, then thickness (of web and flange)"
            )
            if folded:
                return ProfileSection("channel", (h, b, web, flange), web if radius is None else radius, folded=True)
            own = ProfileSection("channel", (h, b, web, flange), radius or 0.0)
            return own if radius is not None else standard_sizes.channel_sized(h, b, web, flange) or own
        case "T" if count in (1, 2, 3, 4):
            if count == 1:
                found = standard_sizes.tee_sized(sizes[0])
                if found is None:
                    raise InputError(f"{shown(text)} is no T of EN 10055", 'its sizes, e.g. "T 40 x 40 x 5"')
                return found
            h, b, flange, stem = {
                2: (sizes[0], sizes[0], sizes[-1], sizes[-1]),
                3: (*sizes, sizes[-1])[:4],
                4: tuple(sizes),
            }[count]
            _fits(text, flange < h and stem < b, "height over all, width of the flange, then thickness")
            if radius is not None:
                return ProfileSection("T", (h, b, flange, stem), radius)
            return standard_sizes.tee(h, b, flange, stem)
        case "flat" if count == 2:
            _fits(text, sizes[1] <= sizes[0], "the width first, then the thickness")
            return standard_sizes.flat(sizes[0], sizes[1])
        case "bar" | "square bar" | "hexagon bar" if count == 1:
            return standard_sizes.solid_bar(kind, sizes[0])
    raise InputError(
        f"{shown(text)} has {count} figure{'s' if count != 1 else ''}, which do not make a {kind}", PROFILE_ADVICE
    )


def _fits(text: str, fits: bool, accepted: str) -> None:
    if not fits:
        raise InputError(f"the figures of {shown(text)} do not go together", accepted)


def _hold_together(text: str, section: ProfileSection) -> None:
    """Raises InputError where the radii do not find room between the flats."""
    sizes, root = section.sizes, section.root
    room = {
        "angle": lambda: min(sizes[0], sizes[1]) - sizes[2] - section.toe,
        "channel": lambda: min(sizes[1] - sizes[2] - section.toe, sizes[0] / 2.0 - sizes[3]),
        "T": lambda: min((sizes[1] - sizes[3]) / 2.0 - section.toe, sizes[0] - sizes[2] - section.stem_toe),
    }.get(section.kind, lambda: root)()
    if root > room:
        raise InputError(f"the radius of {shown(text)} is larger than its inside has room for", "a smaller radius")


def _channels() -> list[str]:
    return standard_sizes.channel_names()


def _named_channels() -> str:
    return ", ".join(_channels())


def _without_word(text: str, plain: str, units: str, names: Names | None) -> InputError:
    """A text whose word for the shape is missing or unknown; what its figures may be is named."""
    try:
        sizes = read_sizes(text, plain, units, names or {})
    except InputError:
        return InputError(f"cannot read {shown(text)} as the section of a profile", PROFILE_ADVICE)
    if len(sizes) == 2:
        accepted = f'"flat {plain}" for flat bar, "angle {plain}" for equal angle; a round tube is a [[tube]]'
        return InputError(f"{shown(text)} does not say what it is", accepted)
    if len(sizes) == 3:
        accepted = f'"angle {plain}" or "channel {plain} folded"; a rectangular tube is a [[tube]]'
        return InputError(f"{shown(text)} does not say what it is", accepted)
    if len(sizes) == 1:
        accepted = (
            f'"square bar {plain}" or "hexagon bar {plain}"; round bar is a [[tube]] with section = "bar {plain}"'
        )
        return InputError(f"{shown(text)} does not say what it is", accepted)
    return InputError(f"{shown(text)} does not say what it is", PROFILE_ADVICE)


_ONLY_PROFILE = re.compile(r"(?:hex|angle|RSA|L\s*\d|channel|PFC|UP[NE]|UNP|U\s*\d|C\s*\d|tee|T\s*\d)", re.IGNORECASE)
"""Words that begin the section of a profile and of nothing else that is bought by the length."""


def is_profile_text(text: str) -> bool:
    """Whether a text is about angle, channel, T or hexagon bar, which are no tube sections.

    Args:
        text: as a job file has it.
    """
    return bool(_ONLY_PROFILE.match(tidy(text)))


def parse_stock(text: str, units: str = "mm", names: Names | None = None) -> StockSection:
    """The section of what is bought by the length: tube, solid bar or a profile.

    Args:
        text: as a job file has it.
        units: "mm" or "in", of bare figures.
        names: named dimensions, which may stand for figures.
    Raises:
        InputError: it is no section, or one that cannot be.
    """
    if is_profile_text(text) and not any(word in (names or {}) for word in re.findall(r"\w+", text)[:1]):
        return parse_profile(text, units, names)
    return parse_section(text, units, names)
