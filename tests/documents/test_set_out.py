"""The set-out sheet, read back: random places calculated from its printed figures alone, and what its pages hold."""

from __future__ import annotations

import io
import itertools
import math
import random
import re
from pathlib import Path

import numpy as np
import pypdf
import pytest
import shapely
from random_seeds import first_seed, how_many
from typer.testing import CliRunner

from fabgen.cli import app
from fabgen.documents.drawing.tables_of_a_part import arrived_table
from fabgen.documents.render.picture import Stroke, Text
from fabgen.documents.render.set_out_words import across_text, along_text, outside_text, round_text, touches, turn_text
from fabgen.documents.render.sketch import text_box
from fabgen.documents.set_out.side_view import bend_view, in_bends, side_view, sides
from fabgen.geometry.space.frame import Array, Frame, upright
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import FlatPart, LengthPart, Piece, ProfilePart
from fabgen.parts.shape.standing import Seen, set_out_on
from fabgen.wording.figures import Figures

HEAD = '[job]\ntitle = "Set out"\nnumber = "S-1"\nunits = "mm"\nmaterial = "S235"\n'
SHAPE = ((0.0, 0.0), (90.0, 0.0), (90.0, 20.0), (40.0, 55.0), (0.0, 55.0))
"""A plate that is alike neither way round, its thickness 5."""
EDGES = {"bottom": (0, 1), "left": (4, 0)}
"""Ends of those of its edges on which it stands, in the way that `along` runs."""
ROUNDED = 0.05
"""Printed figures are to 0.1 mm and 0.1 degrees."""


def made(text: str) -> list[Piece]:
    return list(all_pieces(read_text(HEAD + text, Path("job.toml")).definitions))


def figures(text: str) -> list[float]:
    """The mm of a text, the inches beside them left out."""
    return [float(each) for each in re.findall(r"-?\d+(?:\.\d+)?", re.sub(r"\[[^]]*\]", "", text))]


# -- the random jobs -----------------------------------------------------------------------
def random_job(seed: int) -> str:
    """One plate against a tube, a profile or another plate, some way round."""
    rng = random.Random(seed)
    kind = rng.choice(["round", "round", "rectangular", "angle", "plate"])
    edge = rng.choice(["", "", "bottom", "left"])
    turn = round(rng.uniform(-180.0, 180.0), 3)
    start = [round(rng.uniform(-900.0, 900.0), 2) for _ in range(3)]
    way = [rng.uniform(-1.0, 1.0) for _ in range(3)]
    long = rng.uniform(300.0, 1500.0)
    finish = [round(a + long * b / float(np.linalg.norm(way)), 2) for a, b in zip(start, way, strict=True)]
    at = round(rng.uniform(0.0, 0.99) * long, 3)
    more = f', stands_on = "{edge}"' if edge else f', lies = "{rng.choice(["back", "front"])}"'
    if kind == "plate":
        carrier = '[[plate]]\nmark = "S1"\nthickness = 8\nrectangle = [300, 200]\n'
        carrier += f"place = {{ at = {start}, along = {way}, up = [0.3, 0.2, 0.9] }}\n"
        on = f"at = [{rng.uniform(1, 299):.3f}, {rng.uniform(1, 199):.3f}]" + (', side = "back"' if seed % 2 else "")
    elif kind == "angle":
        carrier = f'[[profile]]\nmark = "S1"\nsection = "angle 80 x 60 x 6"\nroute = [{start}, {finish}]\n'
        carrier += 'legs = ["top", "left"]\n'
        face = rng.choice(["leg a outside", "leg b outside", "leg a inside"])
        on = f'at = {at}, side = "{face}", offset = {rng.uniform(-20, 20):.3f}'
    else:
        size = rng.uniform(30.0, 120.0)
        section = f"{size:.2f} x 2" if kind == "round" else f"{size:.2f} x {rng.uniform(30.0, 90.0):.2f} x 3"
        carrier = f'[[tube]]\nmark = "S1"\nsection = "{section}"\nroute = [{start}, {finish}]\n'
        side = round(rng.uniform(0.0, 360.0), 3) if kind == "round" else rng.choice([0, 90, 180, 270])
        on = f"at = {at}, side = {side}, offset = {rng.uniform(-9, 9):.3f}"
    corners = [list(each) for each in SHAPE]
    part = f'[[plate]]\nmark = "P1"\nthickness = 5\ncorners = {corners}\n'
    return carrier + part + f'place = {{ against = "S1", {on}, turn = {turn}{more} }}\n'


# -- from the printed figures -----------------------------------------------------------------
class Printed:
    """A part's row, taken apart again: what the paper says and nothing else."""

    def __init__(self, carrier: Piece, seen: Seen, units: str = "mm") -> None:
        _, found = seen
        self.foot = touches(found)
        (self.first,), (_,) = (figures(text) for text in along_text(found, units))
        around = round_text(found, units)
        self.face = around if found.way is None else ""
        self.way = math.radians(figures(around)[0]) if found.way is not None else 0.0
        self.across = figures(across_text(found, units).split(" to ")[0])[0]
        turn = turn_text(found)
        self.turn = 0.0 if turn == "-" else math.radians(figures(turn)[0])
        self.datum = found.datum


def skin_by_hand(carrier: Piece, row: Printed) -> tuple[Frame, float, float]:
    """Where along = across = 0 of the row is on the carrier's skin: x along, y counter-clockwise, z out; whether across
    counts with y (1) or against it (-1); and the radius of what is round.  All from the carrier's own drawing."""
    shape = carrier.shape
    if isinstance(shape, FlatPart):
        stands, t = shape.places[0].frame, shape.thickness
        front = row.face == "front"
        out = stands.z if front else -stands.z
        origin = stands.origin + (t if front else 0.0) * stands.z
        return Frame(origin, stands.x, np.cross(out, stands.x), out), 1.0 if front else -1.0, 0.0
    frame = shape.frame
    assert frame is not None
    if isinstance(shape, ProfilePart):
        # An angle, 6 thick: leg a runs along z from the heel, leg b along y, or -y where it lies as the mirror image.
        leg_b = -frame.y if shape.flipped else frame.y
        leg, out = {
            "leg a outside": (frame.z, -leg_b),
            "leg a inside": (frame.z, leg_b),
            "leg b outside": (leg_b, -frame.z),
        }[row.face]
        origin = frame.origin + (6.0 * leg_b if row.face == "leg a inside" else 0.0)
        on = Frame(origin, frame.x, np.cross(out, frame.x), out)
        return on, float(np.sign(leg @ on.y)), 0.0
    assert isinstance(shape, LengthPart)
    plain = upright(frame.origin, frame.x)
    out = math.cos(row.way) * plain.z - math.sin(row.way) * plain.y
    section = shape.section
    whole = section.width if section.is_round or abs(math.cos(row.way)) > 0.5 else section.depth
    on = Frame(frame.origin + whole / 2.0 * out, frame.x, np.cross(out, frame.x), out)
    return on, -1.0, section.width / 2.0 if section.is_round else 0.0


def rebuilt(carrier: Piece, row: Printed) -> Array:
    """The eight and two corners (10, 3) of the plate, back then front, by its row."""
    skin, up, radius = skin_by_hand(carrier, row)
    shape = np.array([(*corner, height) for height in (0.0, 5.0) for corner in SHAPE])
    c, s = math.cos(row.turn), math.sin(row.turn)
    along, beside = np.array([c, -s]), np.array([s, c])  # on the skin, y counter-clockwise
    edge = next((name for name in EDGES if name in row.foot), "")
    if not edge:
        turned = -1.0 if "front" in row.foot else 1.0
        flat = shape[:, :1] * along + turned * shape[:, 1:2] * beside
        over = 5.0 - shape[:, 2] if turned < 0.0 else shape[:, 2]
        foot = None
    else:
        # Its front looks to the right of `along`, the edge's ends run along it.
        one = np.array(SHAPE[EDGES[edge][0]])
        run = np.array(SHAPE[EDGES[edge][1]]) - one
        run = run / np.linalg.norm(run)
        inward = np.array([-run[1], run[0]])
        local = shape[:, :2] - one
        flat = (local @ run)[:, None] * along - shape[:, 2:] * beside
        over = local @ inward
        foot = flat[np.abs(over) < 1e-9]
    flat = flat.copy()
    shift = row.first - flat[:, 0].min()
    lift = up * row.across - (flat[:, 1].min() if up > 0.0 else flat[:, 1].max())
    drop = 0.0
    if foot is not None and radius:
        low, high = (foot[:, 1] + lift).min(), (foot[:, 1] + lift).max()
        past = max(low, -high, 0.0)
        drop = radius - math.sqrt(max(radius**2 - past**2, 0.0))
    points = np.column_stack((flat[:, 0] + shift, flat[:, 1] + lift, over - drop))
    return np.asarray(skin.outside(points))


def allowed(carrier: Piece, row: Printed) -> float:
    """The sum of the roundings: along, across, round the tube, and the turn over the part's diagonal, twice as the
    edges that are measured move with it; of what stands beside the middle of a round tube as steep as its skin is."""
    turn = math.radians(ROUNDED)
    bound = 2.0 * ROUNDED + 2.0 * turn * math.hypot(90.0, 55.0)
    if isinstance(carrier.shape, LengthPart):
        section = carrier.shape.section
        bound += turn * (section.width / 2.0 + 110.0 if section.is_round else 0.0)
        bound += bound if section.is_round else 0.0
    return bound


def worst(first: int, count: int) -> tuple[float, int]:
    """The largest share of the allowed error among random places, and how many were set out."""
    most, done = 0.0, 0
    for seed in range(first, first + count):
        pieces = made(random_job(seed))
        (on,) = set_out_on(pieces)
        (seen,) = on.standing
        row = Printed(on.carrier, seen)
        part = seen[0].part
        shape = np.array([(*corner, height) for height in (0.0, 5.0) for corner in SHAPE])
        true = seen[0].place.frame.outside(shape)
        assert part.outline.bounds[:2] == (0.0, 0.0)
        off = float(np.linalg.norm(rebuilt(on.carrier, row) - true, axis=1).max())
        assert off <= allowed(on.carrier, row), (seed, off, allowed(on.carrier, row))
        most, done = max(most, off), done + 1
    return most, done


def test_random_places_come_back_from_the_printed_figures() -> None:
    most, done = worst(first_seed(9100), how_many(200, 20))
    assert done == how_many(200, 20)
    assert most < 1.0


# -- the papers --------------------------------------------------------------------------------
JOB = """
[[tube]]
mark = "S1"
section = "40 x 2"
route = [[0, 0, 0], [900, 0, 0]]
[[tube]]
mark = "S2"
section = "40 x 2"
route = [[0, 300, 0], [900, 300, 0]]
[[tube]]
mark = "S3"
section = "30 x 2"
route = [[0, 600, 0], [400, 600, 0], [400, 900, 0]]
bend_radius = 90
[[plate]]
mark = "P1"
thickness = 5
rectangle = [60, 40]
holes = [{ at = [30, 28], diameter = 11 }]
quantity = 2
place = [
  { against = "S1", at = 300, side = "left", stands_on = "bottom" },
  { against = "S1", at = 700, side = 30, turn = 15 },
]
[[plate]]
mark = "P2"
thickness = 5
rectangle = [60, 40]
place = { at = [100, 150, 20] }
[[plate]]
mark = "P3"
thickness = 5
rectangle = [60, 40]
place = { against = "S3", near = [370, 630, 15], toward = [370, 630, 900] }
"""


def printed(folder: Path, text: str) -> dict[str, str]:
    """The texts of the papers of a job, on one line each."""
    job = folder / "job.toml"
    job.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(app, ["make", str(job), "--out", str(folder / "out")])
    assert result.exit_code in (0, 1), result.output
    found = {}
    for path in sorted((folder / "out").rglob("*.pdf")):
        reader = pypdf.PdfReader(io.BytesIO(path.read_bytes()))
        found[path.name] = " ".join(" ".join(page.extract_text().split()) for page in reader.pages)
    return found


def test_each_part_has_its_row_on_the_papers(tmp_path: Path) -> None:
    papers = printed(tmp_path, HEAD + JOB)
    sheet = papers["set-out.pdf"]
    # 60 wide about 300; 20 over the skin of a 40 mm tube, outside to outside 80; its hole 28 over the skin.
    assert "P1 (1) its bottom edge 270 330" in sheet
    assert "P1 (1) 1 300 0 28" in sheet
    assert "15°" in sheet
    assert "10.5 round" in sheet  # 30 degrees of a circle of 20
    assert "P2 lower left 100 150 20" in sheet
    assert "lower right 160 150 20" in sheet
    assert "along the bend" in sheet
    assert "P1 (1) 270 to 330 270° = 94.2 -2.5 to 2.5" in papers["drawings.pdf"]
    assert "both edges of each, by set-out.pdf" in papers["cut-list.pdf"]


def test_inch_jobs_have_their_sizes_in_inches(tmp_path: Path) -> None:
    inches = JOB.split('[[tube]]\nmark = "S3"')[0] + '[[plate]]\nmark = "P1"\nthickness = "3/16"\nrectangle = [3, 2]\n'
    inches = inches.replace("40 x 2", "1.5 x 0.083 in").replace("900", "36").replace("300", "12")
    text = HEAD.replace('"mm"', '"in"') + inches + 'place = { against = "S1", at = "10 1/2", side = "top" }\n'
    papers = printed(tmp_path, text)
    assert '9" 12"' in papers["set-out.pdf"]
    assert 'P1 9" to 12" 0° = 0' in papers["drawings.pdf"]


def test_one_tube_alone_needs_no_sheet(tmp_path: Path) -> None:
    papers = printed(tmp_path, HEAD + JOB.split('[[tube]]\nmark = "S2"')[0])
    assert "set-out.pdf" not in papers
    assert "set-out.pdf" not in papers["cut-list.pdf"]


def test_the_row_follows_the_tube() -> None:
    """Another tube: the same edges along, another distance outside to outside."""
    for size, outside in ((40, "80"), (60, "100")):
        (on, *_) = set_out_on(made(JOB.replace('"40 x 2"', f'"{size} x 2"')))
        _, found = on.standing[0]
        assert along_text(found, "mm") == ("270", "330")
        assert outside_text(on.carrier, found, "mm") == outside


@pytest.mark.parametrize("mark", ["S1", "S2"])
def test_the_table_of_the_tube_that_carries_it(mark: str) -> None:
    pieces = made(JOB)
    carrier = next(piece for piece in pieces if piece.mark == mark)
    assert carrier.length_part is not None
    table = arrived_table(carrier, carrier.length_part, pieces, Figures())
    assert (table is not None) == (mark == "S1")
    if table is not None:
        assert table.heads == ("mark (end)", "along", "round", "across", "turned")
        assert table.rows[0] == ("P1 (1)", "270 to 330", "270° = 94.2", "-2.5 to 2.5", "-")
        assert table.rows[1] == ("P1 (2)", "665.8 to 734.2", "30° = 10.5", "-27.1 to 27.1", "15°")
        assert table.mirrored[1][-1] == "-15°"


def test_a_strap_round_a_tube_is_set_out_from_its_saw_cut() -> None:
    """40 wide, its middle 250 from the route's start, where the tube is cut 5 mm longer."""
    strap = '[[strap]]\nmark = "B1"\nwidth = 40\nthickness = 4\nround = "S1"\nbolt = "M8"\near = 40\n'
    longer = JOB.replace("route = [[0, 0, 0], [900, 0, 0]]", "route = [[0, 0, 0], [900, 0, 0]]\nstart = { extend = 5 }")
    (on, *_) = set_out_on(made(longer.split("[[plate]]")[0] + strap + 'at = 250\nears_to = "right"\n'))
    ((_, found),) = on.standing
    assert (on.carrier.mark, along_text(found, "mm")) == ("S1", ("235", "275"))
    assert round_text(found, "mm").startswith("90°")


def test_what_stands_there_already_is_not_set_out() -> None:
    there = JOB.replace('mark = "P1"', 'mark = "P1"\nstate = "there already"')
    assert [on.carrier.mark for on in set_out_on(made(there))] == ["S3"]


def test_bent_bars_are_set_out(tmp_path: Path) -> None:
    """A U-bolt of 12 about 240, its legs down; a hook of 8 that lies on top: 60, and a bend of 16 to its middle."""
    tube = JOB.split("[[tube]]")[1]
    bolt = '[[bar]]\nmark = "U1"\nshape = "U-bolt"\ndiameter = 12\naround = "S1"\nat = 240\nclamps = [8]\n'
    hook = '[[bar]]\nmark = "H1"\ndiameter = 8\nlegs = [60, 40]\nbends = [90]\nradius = 12\n'
    text = f"[[tube]]{tube}{bolt}{hook}" + 'place = { against = "S1", at = 500 }\n'
    (on,) = set_out_on(made(text))
    (_, u_bolt), (_, lying) = on.standing
    assert along_text(u_bolt, "mm") == ("234", "246")
    assert round_text(u_bolt, "mm").startswith("180°")
    assert along_text(lying, "mm") == ("500", "580")
    assert outside_text(on.carrier, lying, "mm") == "48"
    sheet = printed(tmp_path, HEAD + text)
    assert "U1 its inside, legs this way 234 246" in sheet["set-out.pdf"]
    assert "their places by set-out.pdf" in sheet["cut-list.pdf"]


@pytest.mark.parametrize(
    ("at", "along"),
    [
        (100, ("70", "130")),  # the first straight, 310 long, before a bend of 141.4
        (280.4, ("250.4", "310.4")),
        (280.6, None),
        (360, None),
        (480.8, None),
        (481.9, ("451.9", "511.9")),
        (600, ("570", "630")),
    ],
)
def test_on_the_straights_of_a_bent_tube_both_edges_are_given(at: float, along: tuple[str, str] | None) -> None:
    bent = JOB.replace('"S3", near = [370, 630, 15], toward = [370, 630, 900]', f'"S3", at = {at}, side = "top"')
    on = set_out_on(made(bent))[-1]
    ((_, found),) = on.standing
    assert on.carrier.mark == "S3"
    assert (None if found.along is None else along_text(found, "mm")) == along


def test_the_view_of_a_bent_tube_is_drawn_straight(tmp_path: Path) -> None:
    bent = JOB.replace("near = [370, 630, 15], toward = [370, 630, 900]", 'at = 100, side = "top"')
    sheet = printed(tmp_path, HEAD + bent)["set-out.pdf"]
    assert "S3, TOP, seen square to that side, drawn straight" in sheet
    assert "S3, corner 1, radius 90 400 600 0" in sheet


# -- a row for everything that has a place -----------------------------------------------------------
STANDING = "place = { at = [100, 200, 300], along = [0, 1, 0], up = [0, 0, 1] }\n"
FAMILIES = {
    "two tubes": (JOB.split('[[tube]]\nmark = "S3"')[0], "S1 0 0 0 900 0 0", "S2 0 300 0 900 300 0"),
    "a profile": (
        '[[profile]]\nmark = "A1"\nsection = "angle 40 x 40 x 4"\nroute = [[0, 0, 700], [900, 0, 700]]\n'
        'legs = ["top", "left"]\n[[profile]]\nmark = "A2"\nsection = "angle 40 x 40 x 4"\n'
        'route = [[900, 300, 0], [900, 300, 600]]\nlegs = ["front", "left"]\n',
        "A1 0 0 700 900 0 700 leg a 0°",
        "A2 900 300 0 900 300 600 leg a 0°",
    ),
    "a skirt": (
        '[[cover]]\nmark = "C1"\nshape = "skirt"\nthickness = 1.5\ndiameter = 150\nheight = 160\n'
        f"arc = 240\n{STANDING}",
        "C1 middle of its bottom 100 200 300",
        "bottom, middle of the sheet 100 275 300",
        "over that middle, its top 100 200 460",
    ),
    "a cone": (
        '[[cover]]\nmark = "C1"\nshape = "cone"\nthickness = 1.5\nbottom = 240\ntop = 120\nheight = 140\n'
        f"seam_gap = 1.5\n{STANDING}",
        "C1 middle of its bottom 100 200 300",
    ),
    "a transition": (
        '[[cover]]\nmark = "C1"\nshape = "transition"\nthickness = 1.2\nbottom = { rectangle = [200, 160] }\n'
        f"top = 120\nheight = 150\nseam = 12\n{STANDING}",
        "bottom, its right 100 300 300",
    ),
    "bent bars": (
        '[[bar]]\nmark = "H1"\ndiameter = 8\nlegs = [60, 40]\nbends = [90]\nradius = 12\nquantity = 2\n'
        "place = [{ at = [0, 0, 0] }, { at = [0, 0, 100] }]\n",
        "H1 (1) start 0 0 4",
        "corner 1 76 0 4",
        "H1 (2) start 0 0 104",
    ),
    "a link rod and a damper": (
        '[points]\nA = [0, 0, 0]\nB = [400, 0, 100]\nC = [400, 0, 500]\n[[link]]\nmark = "L1"\nsection = "25.4 x 4"\n'
        'between = ["A", "B"]\nrod_ends = ["M12 right", "M12 left"]\n[[tube]]\nmark = "T1"\nsection = "40 x 2"\n'
        'route = [[0, 200, 0], [0, 600, 0]]\n[[damper]]\nname = "spring"\nbetween = ["B", "C"]\n'
        '[[body]]\nname = "arm"\nmarks = ["T1"]\n'
        '[[joint]]\nname = "hinge"\nkind = "hinge"\nbetween = ["frame", "arm"]\nat = "A"\naxis = "B"\n',
        "L1 0 0 0 400 0 100 -",
        "spring 400 0 100 400 0 500 -",
    ),
    "bushes": (
        '[[plate]]\nmark = "P1"\nthickness = 10\nrectangle = [120, 80]\nholes = [{ at = [60, 40], bush = "B1" }]\n'
        "quantity = 2\nplace = [{ at = [0, 0, 0] }, { at = [0, 300, 0] }]\n"
        '[[bush]]\nmark = "B1"\nsection = "30 x 4"\n',
        "B1 (1) 60 40 0 60 40 10",
        "B1 (2) 60 340 0 60 340 10",
    ),
}


@pytest.mark.parametrize("family", FAMILIES)
def test_everything_that_has_a_place_has_its_row(family: str, tmp_path: Path) -> None:
    text, *rows = FAMILIES[family]
    sheet = printed(tmp_path, HEAD + text)["set-out.pdf"]
    for row in rows:
        assert row in sheet


def test_a_part_in_a_bend_has_a_view_of_its_own() -> None:
    """60 wide, lying square on the bend's outside at its place: as far back as on, and the tube curves past it."""
    on = set_out_on(made(JOB))[-1]
    (seen,) = in_bends(on)
    assert not list(sides(on))
    view = bend_view(on.carrier, seen)
    ((_, _, rings),) = view.parts
    along = np.vstack(rings)[:, 0]
    assert along.min() == pytest.approx(-along.max(), abs=0.2)
    assert max(float(np.ptp(line[:, 1])) for line, _ in view.outline) > 5.0
    texts = {item.text for item in view.panel(90.0, Figures()).picture.items if isinstance(item, Text)}
    assert {"P3", "back 30.1", "on 30.1"} <= texts


@pytest.mark.parametrize("mark", ["S1", "S3"])
def test_names_in_views_lie_on_no_line_and_on_no_text(mark: str) -> None:
    """Eight plates crowded on 200 mm of a tube, and one in a bend."""
    crowd = "".join(
        f'[[plate]]\nmark = "PLATE-{i}"\nthickness = 5\nrectangle = [30, 30]\n'
        f'place = {{ against = "S1", at = {300 + 25 * i}, side = "left", stands_on = "bottom", turn = 90 }}\n'
        for i in range(8)
    )
    on = next(on for on in set_out_on(made(JOB + crowd)) if on.carrier.mark == mark)
    views = [bend_view(on.carrier, each) for each in in_bends(on)] + [side_view(on.carrier, g) for _, g in sides(on)]
    for view in views:
        items = view.panel(180.0, Figures()).picture.items
        texts = [item for item in items if isinstance(item, Text)]
        assert {each.name for each, *_ in view.parts} <= {text.text for text in texts}
        boxes = [text_box(text) for text in texts if text.bold]
        for one, other in itertools.combinations(boxes, 2):
            assert one[2] < other[0] or other[2] < one[0] or one[3] < other[1] or other[3] < one[1]
        lines = shapely.MultiLineString(
            [
                (*item.points, *item.points[:1]) if item.closed else item.points
                for item in items
                if isinstance(item, Stroke) and item.pen == "visible"
            ]
        )
        assert all(not lines.intersects(shapely.box(*box)) for box in boxes)
