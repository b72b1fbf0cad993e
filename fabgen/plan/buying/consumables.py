"""How much filler, gas, discs and paint a job takes: an estimate, each line with its formula.

    weld metal = throat^2 x tan(psi / 2) x length x density
        a fillet with equal legs in a corner of psi has this section, throat^2 where the corner is square; wider than
        135 degrees it is taken as at 135
    filler = weld metal / efficiency
    gas = flow x weld metal / deposition rate
    paint = area x coats x film / (solids x (1 - loss))

The formulas are plain geometry and bookkeeping; the figures put into them are common practice,
no source, and a job's [consumables] table changes any of them.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import FlatPart, LengthPart, Piece, ProfilePart, made_here, to_make
from fabgen.plan.buying.seams import Seam, line_length, seams
from fabgen.plan.plan import Estimate, Purchase
from fabgen.shop.welding import filler_group
from fabgen.shop.welding import gas as shielding_gas
from fabgen.wording.figures import figure
from fabgen.wording.inches import INCH
from fabgen.wording.sentence import as_made, mm, sentence

PRACTICE = "common practice, no source"
THROAT = 0.7
"""Throat of a weld as a share of the thinner part's thickness."""


@dataclass(frozen=True, slots=True)
class _Process:
    """Weld metal per kg of filler, kg of weld metal in an hour of arc, gas in litres a minute."""

    name: str
    filler: str
    efficiency: float
    deposition: float
    gas_flow: float


_PROCESSES = {
    # Light work of a home shop: 0.8 mm wire at about 100 A, 2 mm TIG rod, 2.5 mm electrodes.
    "mag": _Process("MAG", "filler wire", 0.95, 1.2, 12.0),
    "tig": _Process("TIG", "filler rod", 0.90, 0.4, 8.0),
    "stick": _Process("stick", "electrodes", 0.60, 0.9, 0.0),
}

_CUTTING_DISC = sentence(as_made(125), " x ", as_made(1))
_FLAP_DISC = sentence(as_made(125), ", 60 grit")

CONSUMABLE_ITEMS = (
    *(process.filler for process in _PROCESSES.values()),
    "shielding gas",
    "cutting disc",
    "flap disc",
    "paint",
)
"""Items of the shopping list that come from an estimate."""


@dataclass(frozen=True, slots=True)
class Needs:
    """What the estimate is made from: weld metal kg and seam mm by group of material, cut mm2
    (metal area cut by disc), paint m2, marks whose welds are not known, marks not painted."""

    metal: dict[str, float]
    seam: dict[str, float]
    cut: float
    paint: float
    unknown: tuple[str, ...]
    bare: tuple[str, ...]


def needs_of(job: Definitions, pieces: Sequence[Piece]) -> Needs:
    """Weld metal, seams, cuts and surface of all pieces."""
    material = {piece.mark: job.find_material(piece.material) for piece in pieces}
    found, unknown = seams(job, pieces)
    metal: dict[str, float] = defaultdict(float)
    length: dict[str, float] = defaultdict(float)
    for seam in found:
        group = filler_group(material[seam.mark])
        metal[group] += _weld_metal(seam, job.consumables.throat, material[seam.mark].density)
        length[group] += seam.length
    own = made_here(pieces)
    painted = [piece for piece in own if _is_painted(piece)]
    return Needs(
        metal=dict(metal),
        seam=dict(length),
        cut=sum(_disc_cut(piece) * piece.quantity for piece in to_make(pieces)),
        paint=sum(outside_area(piece) * piece.quantity for piece in painted) * 1e-6,
        unknown=tuple(unknown),
        bare=tuple(piece.mark for piece in own if piece not in painted),
    )


def estimates(job: Definitions, pieces: Sequence[Piece]) -> tuple[Estimate, ...]:
    """The estimate, one line a consumable, in the order of the work."""
    needs, given, units = needs_of(job, pieces), job.consumables, job.job.units
    process = _PROCESSES[given.process]
    efficiency = process.efficiency if given.efficiency is None else given.efficiency
    deposition = process.deposition if given.deposition is None else given.deposition
    flow = process.gas_flow if given.gas_flow is None else given.gas_flow
    found: list[Estimate] = []
    gas: dict[str, tuple[float, float]] = {}
    for group, metal in needs.metal.items():
        found.append(
            Estimate(
                process.filler,
                sentence(f"for {group}"),
                _up(metal / efficiency, 0.1),
                "kg",
                f"{_run(needs.seam[group], units)} of seam, {_throat_text(given.throat, units)}: {metal:.3f} kg of "
                f"weld metal, divided by {efficiency:g} for stubs and spatter",
                f"throat² x tan(angle / 2) x length x density, the angle that of the joint along it; {PRACTICE}",
            )
        )
        name = shielding_gas(given.process, group) or "as the process needs"
        minutes, litres = gas.get(name, (0.0, 0.0))
        arc = 60.0 * metal / deposition
        gas[name] = (minutes + arc, litres + arc * flow)
    found += [
        Estimate(
            "shielding gas",
            sentence(name),
            _up(litres, 10.0),
            "litre",
            f"{process.name} at {deposition:g} kg of weld metal an hour: "
            f"{figure(minutes, 0 if minutes >= 10.0 else 1)} min of arc, {flow:g} litres a minute",
            PRACTICE,
        )
        for name, (minutes, litres) in gas.items()
        if litres > 0.0
    ]
    if needs.cut > 0.0:
        how = f"{_area(needs.cut, units)} of tube wall cut along the copes, {_area(given.disc_cuts, units)} a disc"
        found.append(
            Estimate("cutting disc", _CUTTING_DISC, _up(needs.cut / given.disc_cuts, 1), "piece", how, PRACTICE)
        )
    seam = sum(needs.seam.values())
    if seam > 0.0:
        how = f"{_run(seam, units)} of seam dressed, {_run(given.flap_length, units)} a disc"
        found.append(Estimate("flap disc", _FLAP_DISC, _up(seam / given.flap_length, 1), "piece", how, PRACTICE))
    if needs.paint > 0.0 and given.coats:
        # 1 micrometre on 1 m2 is a millilitre.
        litres = needs.paint * given.coats * given.film / (given.solids * (1.0 - given.paint_loss)) / 1000.0
        how = (
            f"{_outside(needs.paint, units)} outside, {given.coats} coats of {given.film:g} micrometres dry, "
            f"{100 * given.solids:g} % solids, {100 * given.paint_loss:g} % lost"
        )
        found.append(Estimate("paint", sentence("all coats"), _up(litres, 0.1), "litre", how, PRACTICE))
    return tuple(found)


def left_out(job: Definitions, pieces: Sequence[Piece]) -> tuple[str, ...]:
    """What the estimate does not count, one sentence each."""
    needs = needs_of(job, pieces)
    sentences = []
    if needs.unknown:
        names = ", ".join(needs.unknown)
        sentences.append(
            f"Welds of {names} are not counted here: give the length that you weld, `weld` in the job. "
            "How long they can be is in cut-list.pdf, Welds of sheet parts."
        )
    if needs.bare:
        sentences.append(f"Not painted, by their finish or coating: {', '.join(needs.bare)}.")
    return tuple(sentences)


def purchases(found: Sequence[Estimate]) -> list[Purchase]:
    """The estimates as lines of the shopping list."""
    return [Purchase(one.item, one.goods, one.quantity, one.unit, sentence("estimate")) for one in found]


def outside_area(piece: Piece) -> float:
    """Outside surface of one piece, mm2: a tube's skin, both faces and the edges of a sheet."""
    part = piece.shape
    if isinstance(part, FlatPart):
        return 2.0 * part.net_area + part.cut_length * part.thickness
    if isinstance(part, ProfilePart):
        return part.cross.outline.perimeter * max(0.0, part.length)
    return part.section.perimeter * max(0.0, part.length)


def _is_painted(piece: Piece) -> bool:
    """By its coating, else its finish; what has neither is painted."""
    if piece.coating:
        return piece.coating == "paint"
    return not piece.finish or "paint" in piece.finish.casefold()


def _weld_metal(seam: Seam, throat: float | None, density: float) -> float:
    """kg of weld metal in a seam."""
    a = THROAT * seam.thickness if throat is None else throat
    return a * a * seam.wedge * seam.length * density * 1e-9


def _disc_cut(piece: Piece) -> float:
    """Metal cut with a disc, mm2: the walls along coped ends."""
    part = piece.shape
    if not isinstance(part, LengthPart):
        return 0.0
    wall = part.section.wall or min(part.section.width, part.section.depth) / 2.0
    coped = (end for end in part.ends if end.cut == "cope" and not end.is_sawn_to_face)
    return sum(line_length(end.line, part.section.perimeter) * wall for end in coped)


def _throat_text(throat: float | None, units: str) -> str:
    return f"throat {THROAT:g} of the thinner part" if throat is None else f"throat {mm(throat, 2).words(units)}"


def _run(length: float, units: str) -> str:
    """'2.35 m', in an inch job '7.7 ft'."""
    return f"{figure(length / INCH / 12.0, 1)} ft" if units == "in" else f"{figure(length / 1000.0, 2)} m"


def _area(area: float, units: str) -> str:
    """'35 cm²', in an inch job '5.4 in²'."""
    return f"{figure(area / INCH**2, 1)} in²" if units == "in" else f"{figure(area / 100.0, 0)} cm²"


def _outside(area: float, units: str) -> str:
    """'2.35 m²', in an inch job '25.3 ft²'; of m²."""
    return f"{area * 1e6 / (12.0 * INCH) ** 2:.1f} ft²" if units == "in" else f"{area:.2f} m²"


def _up(value: float, step: float) -> float:
    """Rounded up to a whole number of steps."""
    return round(math.ceil(value / step - 1e-9) * step, 3)
