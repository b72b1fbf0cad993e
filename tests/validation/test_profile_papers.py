"""Papers of profiles measured back: wraps by GDAL, templates by PDFium, both against the cut that solids have proven.

What is cut off an end is held against manifold3d in `test_notched_profiles.py`; here every paper is held against that.
Gauge lines and places of holes are taken from the job's own figures.
"""

from __future__ import annotations

import ctypes
import math
import random
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from dxf_layers import layers
from hand_profiles import profile_part, profile_piece
from jobs import definitions
from random_seeds import first_seed, how_many

from fabgen.documents.dxf.machine_files import wrap_files
from fabgen.documents.render import paper
from fabgen.documents.render.pdf import render
from fabgen.documents.templates.templates import template_pages
from fabgen.documents.wrap.fold_wrap import FoldPaper
from fabgen.documents.wrap.profile_wraps import end_wraps
from fabgen.geometry.profile.corners import with_sharp_toes
from fabgen.geometry.profile.end_cut import EndCut
from fabgen.geometry.profile.prism import ProfilePrism
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.solids import RoundBar, RoundedPrism, Solid
from fabgen.job.tables.definitions import Header
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece, ProfilePart
from fabgen.parts.shape.profiles import cross_section
from fabgen.shop.profiles import standard_sizes
from fabgen.shop.profiles.profile_section import ProfileSection

PT, THICK = 25.4 / 72.0, 0.1
HEADER = Header.model_validate({"title": "Rack", "number": "R-1", "units": "mm"})
UPN = standard_sizes.channel_named("UPN 80")
assert UPN is not None
SECTIONS = (
    standard_sizes.angle(40, 40, 4),
    standard_sizes.angle(60, 40, 5),
    ProfileSection("angle", (40, 40, 3), root=3.0, folded=True),
    UPN,
    standard_sizes.tee(50, 50, 6, 6),
    ProfileSection("flat", (40, 5)),
)


def random_main(dice: random.Random) -> Solid:
    """Something across the start of a profile that runs along +y, its section about the origin."""
    lean = dice.uniform(-0.5, 0.5)
    across = Frame.along(
        np.array([0.0, dice.uniform(-5, 5), dice.uniform(-25, 15)]), np.array([math.cos(lean), math.sin(lean), 0.0]),
        np.array([0.0, 0.0, 1.0]),
    )  # fmt: skip
    kind = dice.choice(("round", "box", "angle"))
    if kind == "round":
        return RoundBar(across.origin, across.x, dice.choice((24.15, 38.05)))
    if kind == "box":
        return RoundedPrism(across, 50.0, 50.0, 4.0)
    return ProfilePrism(across, with_sharp_toes(cross_section(standard_sizes.angle(60, 60, 6))))


def joint(seed: int) -> ProfilePart | None:
    """A profile notched onto something at random, drilled near its end; None where it meets nothing."""
    dice = random.Random(seed)
    section, main = dice.choice(SECTIONS), random_main(dice)
    leg = {"angle": "a", "channel": "web", "T": "stem"}.get(section.kind)
    hole = {"at": 45.0, "diameter": 8.0, **({"leg": leg} if leg else {})}
    try:
        return profile_part(section, 500.0, main, None, dice.random() < 0.5, [hole])
    except ValueError:
        return None


def wanted(cut: EndCut, name: str, station: Array) -> tuple[Array, Array]:
    """The least and the greatest v of a face's line at stations, which differ where it steps."""
    edge = cut.edge(name)
    low, high = (np.array([_at(edge.station, edge.x, s, way) for s in station]) - cut.longest for way in (min, max))
    return low, high


def _at(station: Array, x: Array, s: float, way: Callable[[list[float]], float]) -> float:
    """x of a chain of points at a station, at a step the one or the other."""
    found: list[float] = []
    for i in range(len(station) - 1):
        a, b = station[i], station[i + 1]
        if a - 1e-3 <= s <= b + 1e-3:
            share = 0.0 if b - a < 1e-9 else min(1.0, max(0.0, (s - a) / (b - a)))
            ends = (x[i], x[i + 1]) if b - a < 2e-3 else (x[i] + share * (x[i + 1] - x[i]),)
            found += map(float, ends)
    return way(found)


def check_line(part: ProfilePart, points: Array, thick: float, near: float) -> int:
    """Holds a measured line, (n, 2) from the paper's left edge and its own lowest point, against the cut; returns how
    many points lay on a face."""
    (end, _), held = part.ends, 0
    for wrap in end_wraps(part, end, FoldPaper(thick)):
        names = {face.word: edge.limb.name for face in wrap.faces for edge in end.cut.edges
                 if edge.limb.name.startswith(face.word)}  # fmt: skip
        if abs(float(points[:, 0].max()) - wrap.width) > 0.05:
            continue
        up = points[:, 1] + float(wrap.v.min())
        for face in wrap.faces:
            on = (points[:, 0] >= face.start + 0.02) & (points[:, 0] <= face.finish - 0.02)
            low, high = wanted(end.cut, names[face.word], points[on, 0] - face.start)
            assert (up[on] > low - near).all()
            assert (up[on] < high + near).all()
            held += int(on.sum())
        break
    return held


def chain(points: Array, top: float) -> Array:
    """The cut line of a closed outline, its straight edge at `top` left out."""
    return points[points[:, 1] < top - 0.05]


def test_wraps_of_random_notches_are_the_cut(tmp_path: Path) -> None:
    """Within 0.01 mm as GDAL reads them; holes stand at their gauge, 45 mm from the saw cut."""
    held = drilled = 0
    for seed in range(first_seed(7100), first_seed(7100) + how_many(300, 8)):
        part = joint(seed)
        if part is None:
            continue
        piece = profile_piece(part)
        for name, data in wrap_files([piece]).items():
            if name.endswith(".dxf"):
                found = layers(data, tmp_path)
                (cut,) = found["CUT"]
                points = np.array(cut.coords)
                assert points.min(axis=0) == pytest.approx((0.0, 0.0), abs=1e-6)
                held += check_line(part, chain(points, float(points[:, 1].max())), 0.0, 0.01)
                rings = [np.array(mark.coords) for mark in found["MARK"] if len(mark.coords) > 40]
                for ring in rings:
                    size, middle = np.ptp(ring, axis=0), (ring.max(axis=0) + ring.min(axis=0)) / 2.0
                    if size == pytest.approx((8.0, 8.0), abs=0.02):
                        lows = [float(wrap.v.min()) for wrap in end_wraps(part, part.ends[0], FoldPaper())]
                        assert min(abs(middle[1] + low - 45.0) for low in lows) < 0.01
                        drilled += 1
    assert held > 5
    assert drilled > 1


def paths(page: pdfium.PdfPage) -> list[tuple[float, Array]]:
    found = []
    for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        width = ctypes.c_float()
        raw.FPDFPageObj_GetStrokeWidth(thing, width)
        m, points = thing.get_matrix(), []
        for i in range(raw.FPDFPath_CountSegments(thing)):
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(thing, i), x, y)
            points.append((m.a * x.value + m.c * y.value + m.e, m.b * x.value + m.d * y.value + m.f))
        found.append((width.value * PT, np.array(points) * PT))
    return found


def test_printed_templates_of_random_notches_are_the_cut() -> None:
    """Within 0.02 mm on the page, folds and paper counted."""
    held = 0
    for seed in range(first_seed(7400), first_seed(7400) + how_many(60, 5)):
        part = joint(seed)
        if part is None or not (wraps := end_wraps(part, part.ends[0], FoldPaper(THICK))):
            continue
        if max(wrap.width for wrap in wraps) > 170.0:
            continue  # over two pages
        pages = pdfium.PdfDocument(render(template_pages([profile_piece(part)], HEADER, paper.A4), "t"))
        lines = [line for page in pages for width, line in paths(page) if width > 0.45]
        for wrap in wraps:
            deep = float(np.ptp(wrap.v))
            wide = [line for line in lines if abs(float(np.ptp(line[:, 0])) - wrap.width) < 0.03]
            # The edge to cut out has four points; the line is the other.
            found = [line for line in wide if len(line) != 4 or abs(float(np.ptp(line[:, 1])) - deep) < 0.03]
            line = min(found, key=lambda each: abs(float(np.ptp(each[:, 1])) - deep))
            held += check_line(part, line - line.min(axis=0), THICK, 0.02)
    assert held > 3


RACK = {
    "profile": [
        {"mark": "R1", "section": "angle 40 x 40 x 4", "route": [[0, 0, 0], [900, 0, 0]], "legs": ["top", "left"]},
        {"mark": "R2", "section": "angle 40 x 40 x 4", "route": [[0, 400, 0], [900, 400, 0]], "legs": ["top", "right"]},
        {"mark": "X1", "section": "angle 30 x 30 x 3", "route": [[450, 4, 0], [450, 396, 0]], "legs": ["top", "front"],
         "quantity": 4, "holes": [{"leg": "a", "at": 20, "bolt": "M6"}, {"leg": "b", "at": 60, "from": "finish",
                                                                        "diameter": 7, "length": 20}]},
    ]
}  # fmt: skip


def rack() -> list[Piece]:
    return all_pieces(definitions(**RACK))


def test_holes_on_wraps_at_either_end(tmp_path: Path) -> None:
    """X1, leg a: gauge 17 mm from the heel, 20 mm from the saw cut; at the finish a slot, seen the other way round."""
    files = wrap_files(rack())
    assert [name for name in files if name.endswith("dxf")] == ["wrap/X1-start.dxf", "wrap/X1-finish.dxf"]
    for name, size, along in (("start", (6.6, 6.6), 20.0), ("finish", (7.0, 20.0), 60.0)):
        found = layers(files[f"wrap/X1-{name}.dxf"], tmp_path)
        (fold,) = {round(float(x), 4) for each in found["BEND"] for x in np.array(each.coords)[:, 0]}
        assert fold == 30.0
        rings = [np.array(mark.coords) for mark in found["MARK"] if len(mark.coords) > 40]
        sizes = [tuple(np.ptp(ring, axis=0)) for ring in rings]
        on = [ring for ring, own in zip(rings, sizes, strict=True) if own == pytest.approx(size, abs=0.02)]
        if along > np.array(found["CUT"][0].coords)[:, 1].max():
            assert not on, "beyond the straight edge it is on the drawing alone"
            continue
        (ring,) = on
        middle = (ring.max(axis=0) + ring.min(axis=0)) / 2.0
        assert abs(middle[0] - fold) == pytest.approx(17.0, abs=0.01)
        assert middle[1] == pytest.approx(along, abs=0.01)


def test_four_alike_share_one_template_an_end() -> None:
    """And a T's two faces, which no fold joins, have one each."""
    pages = pdfium.PdfDocument(render(template_pages(rack(), HEADER, paper.A4), "t"))
    text = "".join(page.get_textpage().get_text_bounded() for page in pages)
    assert text.count("make 4") == 2
    assert "fold: heel" in text
    assert "left edge on toe" in text
