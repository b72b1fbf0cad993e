"""The assembly sheet: hidden lines against closed formulas, balloons beside one another, weld symbols."""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import numpy as np
import pytest
import shapely
from pydantic import ValidationError

from fabgen.documents.drawing.assembly.assembly import _weld_points, assembly_content
from fabgen.documents.drawing.assembly.weld_symbol import run_text, size_text, weld_symbol, weld_words
from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.drawing.sheet.balloons import RADIUS, Named, balloons, half_width
from fabgen.documents.render import paper
from fabgen.documents.render.picture import Stroke, Text
from fabgen.documents.render.sketch import Sketch
from fabgen.documents.scene.body_lines import bodies_picture
from fabgen.documents.scene.hidden_lines import isometric, seen_size
from fabgen.geometry.space.mesh import EdgedMesh
from fabgen.job.errors import JobError
from fabgen.job.reader import read_job, read_text
from fabgen.job.tables.weld_tables import Weld
from fabgen.parts.build import all_pieces
from fabgen.wording.figures import Figures

ROOT = Path(__file__).parents[2]
FORESHORTENED = math.sqrt(2.0 / 3.0)
"""Every edge along an axis in an isometric view, ISO 5456-3 (as from memory; by geometry cos 35.26°)."""


def cube(at: tuple[float, float, float], side: float) -> EdgedMesh:
    corners = np.array([(x, y, z) for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=float) * side + at
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    triangles = np.array([t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))])
    edges = np.array([(a, b) for q in quads for a, b in zip(q, (*q[1:], q[0]), strict=True) if a < b])
    return EdgedMesh(corners, triangles, edges)


def ink(strokes: list[Stroke]) -> float:
    return sum(math.dist(a, b) for s in strokes for a, b in zip(s.points, s.points[1:], strict=False))


def drawn(bodies: list[EdgedMesh], scale: float = 1.0) -> list[Stroke]:
    return [item for item in bodies_picture(bodies, isometric(), scale).picture.items if isinstance(item, Stroke)]


def test_a_cube_shows_nine_of_its_edges() -> None:
    assert ink(drawn([cube((0, 0, 0), 40.0)])) == pytest.approx(9 * 40.0 * FORESHORTENED, rel=0.01)


def test_what_stands_behind_is_not_drawn() -> None:
    eye = np.array([1.0, -1.0, 1.0])
    behind = cube(tuple(10.0 - 60.0 * eye), 20.0)
    assert ink(drawn([cube((0, 0, 0), 40.0), behind])) == pytest.approx(9 * 40.0 * FORESHORTENED, rel=0.01)
    before = cube(tuple(10.0 + 60.0 * eye), 20.0)
    picture = bodies_picture([cube((0, 0, 0), 40.0), before], isometric(), 1.0)
    assert all(spot is not None for spot in picture.spots)
    # The small one hides the near corner's three edges for half their length.
    both = [item for item in picture.picture.items if isinstance(item, Stroke)]
    expected = (9 * 20.0 + 6 * 40.0 + 3 * 20.0) * FORESHORTENED
    assert ink(both) == pytest.approx(expected, rel=0.02)


def test_hidden_bodies_get_no_spot_and_sizes_are_those_of_the_view() -> None:
    eye = np.array([1.0, -1.0, 1.0])
    bodies = [cube((0, 0, 0), 40.0), cube(tuple(10.0 - 60.0 * eye), 20.0)]
    assert bodies_picture(bodies, isometric(), 0.5).spots[1] is None
    width, height = seen_size([bodies[0].vertices], isometric())
    assert width == pytest.approx(40.0 * math.sqrt(2.0))
    assert height == pytest.approx(40.0 * 2.0 * FORESHORTENED)


def boxes(sketch: Sketch) -> list[tuple[float, float, float, float]]:
    """Of the balloons, by their marks."""
    texts = [item for item in sketch.items if isinstance(item, Text)]
    sizes = [(each.x, each.y + 0.36 * each.size, half_width(each.text)) for each in texts]
    return [(x - half, y - RADIUS, x + half, y + RADIUS) for x, y, half in sizes]


def leaders(sketch: Sketch, named: list[Named]) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    spots = {each.spot for each in named}
    return [
        (item.points[0], item.points[1])
        for item in sketch.items
        if isinstance(item, Stroke) and item.points[1] in spots
    ]


def test_balloons_keep_clear_of_one_another() -> None:
    sketch = Sketch()
    named = [Named(f"T{i}", (5.0 * i, 3.0 * (i % 3))) for i in range(12)]
    assert balloons(sketch, named, (-60.0, -60.0, 120.0, 70.0)) == []
    found = boxes(sketch)
    assert len(found) == 12
    for one, other in itertools.combinations(found, 2):
        assert one[0] >= other[2] or other[0] >= one[2] or one[1] >= other[3] or other[1] >= one[3]
    lines = [shapely.LineString(each) for each in leaders(sketch, named)]
    assert len(lines) == 12
    assert not any(one.crosses(other) for one, other in itertools.combinations(lines, 2))
    assert balloons(Sketch(), named[:1], (-1.0, -1.0, 1.0, 1.0)) == ["T0"]


def test_a_long_mark_is_wide_and_no_higher_and_a_hidden_one_has_a_dashed_leader() -> None:
    assert half_width("T1") == RADIUS < half_width("LONGITUDINAL")
    sketch = Sketch()
    assert balloons(sketch, [Named("LONGITUDINAL", (0.0, 0.0), hidden=True)], (-60.0, -60.0, 60.0, 60.0)) == []
    assert sketch.box[3] - sketch.box[1] < 6.0 * RADIUS
    assert [item.pen for item in sketch.items if isinstance(item, Stroke)][-1] == "hidden"


@pytest.mark.parametrize("name", ["sample_parts/curlew-trailer.toml", "sample_parts/sandpiper-nose.toml"])
def test_every_placed_part_of_a_sample_is_named(name: str) -> None:
    pieces = all_pieces(read_job(ROOT / name).definitions)
    content = assembly_content(pieces, Figures(), "first")
    assert content is not None
    panel = content.main.view.draw(0.05, (250.0, 130.0))
    named = {item.text for item in panel.picture.items if isinstance(item, Text)}
    assert {piece.mark for piece in pieces if piece.is_placed} <= named


PORTAL = """
[job]
title = "Portal"
number = "P-1"
units = "mm"
[[tube]]
mark = "BEAM"
section = "60 x 40 x 3"
turn = 0
route = [[0, 0, 500], [1000, 0, 500]]
[[tube]]
mark = "A"
section = "40 x 40 x 3"
turn = 0
route = [[100, 0, 0], [100, 0, 470]]
[[tube]]
mark = "B"
section = "40 x 40 x 3"
turn = 0
route = [[700, 0, 0], [700, 0, 470]]
[[plate]]
mark = "LOOSE"
thickness = 6
rectangle = [50, 50]
"""


def test_the_side_and_the_plan_have_overall_sizes_and_where_members_lie() -> None:
    """By hand: 1000 long, 530 high (500 and half of 60), 40 wide; posts at 100 and 700, the beam at 500."""
    pieces = all_pieces(read_text(PORTAL).definitions)
    content = assembly_content(pieces, Figures(), "first")
    assert content is not None
    panel = content.sides[0].draw(0.1, (200.0, 200.0))
    texts = [item for item in panel.picture.items if isinstance(item, Text)]
    said = {item.text for item in texts}
    assert {"1000", "530", "40", "100  A", "700  B", "500  BEAM", "20  BEAM and 2 more"} <= said
    heights = {item.text: item.y for item in texts}
    third = assembly_content(pieces, Figures(), "third")
    assert third is not None
    turned = {item.text: item.y for item in third.sides[0].draw(0.1, (200.0, 200.0)).picture.items
              if isinstance(item, Text)}  # fmt: skip
    assert heights["From the right"] > heights["From above"]
    assert turned["From the right"] < turned["From above"]
    assert any("not shown here" in note and "LOOSE" in note for note in content.notes)


def test_what_is_wider_than_long_is_seen_from_the_front() -> None:
    turned = (
        PORTAL.replace("[1000, 0, 500]", "[0, 1000, 500]")
        .replace("[100, 0,", "[0, 100,")
        .replace("[700, 0,", "[0, 700,")
    )
    content = assembly_content(all_pieces(read_text(turned).definitions), Figures(), "first")
    assert content is not None
    said = {item.text for item in content.sides[0].draw(0.1, (200.0, 200.0)).picture.items if isinstance(item, Text)}
    assert {"From the front", "1000", "530", "100  A", "700  B"} <= said


def test_no_assembly_of_plates_alone() -> None:
    pieces = all_pieces(read_job(ROOT / "templates" / "plates.toml").definitions)
    assert assembly_content(pieces, Figures(), "first") is None


# -- welds -----------------------------------------------------------------------------
def weld(**keys: object) -> Weld:
    return Weld.model_validate({"parts": ["T2", "T1"], **keys}, context={"units": "mm"})


TUBES = """
[job]
title = "two"
number = "X"
units = "mm"
[points]
A = [0, 0, 0]
B = [600, 0, 0]
C = [300, 0, 0]
D = [300, 0, 250]
[[tube]]
mark = "T1"
section = "48.3 x 3.2"
route = ["A", "B"]
[[tube]]
mark = "T2"
section = "33.7 x 2.6"
route = ["C", "D"]
[[weld]]
"""


def job(tmp_path: Path, keys: str) -> Path:
    path = tmp_path / "two.toml"
    path.write_text(TUBES + keys)
    return path


def test_a_weld_shows_on_the_assembly_and_on_the_part(tmp_path: Path) -> None:
    loaded = read_job(job(tmp_path, 'parts = ["T2", "T1"]\nthroat = "3 mm"\nall_round = true\nprocess = "135"'))
    pages = drawing_pages(all_pieces(loaded.definitions), loaded.definitions.job, paper.A4)
    told = [[item.text for item in page.picture.items if isinstance(item, Text)] for page in pages]
    overall = [text for page, texts in zip(pages, told, strict=True) if not page.marks for text in texts]
    detail = [text for page, texts in zip(pages, told, strict=True) if "T2" in page.marks for text in texts]
    assert (overall.count("a3"), detail.count("a3")) == (1, 1)
    assert "135" in overall
    assert any("fillet, throat 3 mm, all round, process 135" in text for text in overall)


@pytest.mark.parametrize(
    ("keys", "what"),
    [
        ('parts = ["T2", "T9"]\nthroat = 3', "no part has the mark 'T9'"),
        ('parts = ["T2", "T2"]\nthroat = 3', "T2 is named twice"),
        ('parts = ["T2", "T1"]', "a fillet weld needs its size"),
        ('parts = ["T2", "T1"]\ntype = "vee"\nleg = 4', "leg has no meaning here"),
        ('parts = ["T2", "T1"]\nleg = 4\nruns = 3', "a broken weld needs all"),
        ('parts = ["T2", "T1"]\nleg = 4\nthroat = 3', "only one of them may be given"),
    ],
)
def test_faults_of_a_weld_are_told(tmp_path: Path, keys: str, what: str) -> None:
    with pytest.raises(JobError) as caught:
        all_pieces(read_job(job(tmp_path, keys)).definitions)
    assert any(what in problem.what for problem in caught.value.problems)


def test_a_mistyped_type_is_refused() -> None:
    with pytest.raises(ValidationError):
        weld(type="filet", throat=3)


def test_sides_by_the_two_systems(tmp_path: Path) -> None:
    loaded = read_job(job(tmp_path, 'parts = ["T2", "T1"]\nleg = 4\nruns = 2\nlength = 25\nspace = 30')).definitions
    given = loaded.weld[0]
    assert (size_text(given), run_text(given)) == ("z4", "2 × 25 (30)")
    assert weld_words(given) == "fillet, leg 4 mm, 2 runs of 25 mm, 30 mm apart"

    def triangle(**change: object) -> tuple[float, bool]:
        """Where the fillet's triangle stands, +1 above the line, and whether there is a dashed line."""
        projection = change.pop("projection", "first")
        panel = weld_symbol(given.model_copy(update=change), projection)  # type: ignore[arg-type]
        strokes = [item for item in panel.picture.items if isinstance(item, Stroke)]
        (shape,) = [stroke for stroke in strokes if len(stroke.points) == 3]
        return math.copysign(1.0, sum(p[1] for p in shape.points)), any(s.pen == "hidden" for s in strokes)

    assert triangle() == (1.0, True)
    assert triangle(side="other") == (-1.0, True)
    assert triangle(projection="third") == (-1.0, False)
    assert triangle(projection="third", side="other") == (1.0, False)
    both = weld_symbol(given.model_copy(update={"side": "both"}), "first")
    assert sum(isinstance(i, Stroke) and len(i.points) == 3 for i in both.picture.items) == 2


def test_a_symbol_to_the_left_reads_the_same(tmp_path: Path) -> None:
    given = read_job(job(tmp_path, 'parts = ["T2", "T1"]\nleg = 4\nprocess = "135"')).definitions.weld[0]
    right, left = weld_symbol(given, "first"), weld_symbol(given, "first", leftward=True)
    assert right.box[0] > -2.0
    assert left.box[2] < 2.0
    assert right.width == pytest.approx(left.width, abs=1.5)


def test_inch_jobs_get_inch_welds(tmp_path: Path) -> None:
    given = read_job(job(tmp_path, 'parts = ["T2", "T1"]\nthroat = "1/8 in"')).definitions.weld[0]
    assert size_text(given, Figures(True)) == 'a1/8"'
    assert weld_words(given, Figures(True)) == 'fillet, throat 1/8"'


PROFILES = """[job]
title = "Bearers"
number = "B-1"
units = "mm"
material = "S235"
[[profile]]
mark = "S1"
section = "UPN 100"
route = [[0, 0, 0], [900, 0, 0]]
back = "right"
[[profile]]
mark = "M1"
section = "UPN 80"
route = [[500, 0, 0], [500, 600, 0]]
back = "front"
[[tube]]
mark = "POST"
section = "40 x 40 x 3"
turn = 0
route = [[220, 20, 50], [220, 20, 400]]
[[profile]]
mark = "A1"
section = "angle 40 x 40 x 4"
route = [[0, 900, 0], [500, 900, 0]]
legs = ["top", "left"]
[[profile]]
mark = "A2"
section = "angle 40 x 40 x 4"
route = [[500, 900, 0], [500, 1300, 0]]
legs = ["top", "back"]
[[weld]]
"""


@pytest.mark.parametrize(
    ("parts", "near"),
    [
        (["M1", "S1"], (490.0, 6.0, 0.0)),
        (["S1", "M1"], (490.0, 6.0, 0.0)),
        (["POST", "S1"], (220.0, 20.0, 50.0)),
        (["A1", "A2"], (500.0, 900.0, 0.0)),
    ],
)
def test_a_weld_of_profiles_has_its_symbol_at_the_joint(parts: list[str], near: tuple[float, float, float]) -> None:
    job = read_text(PROFILES + f"parts = {parts}\nthroat = 3\n".replace("'", '"')).definitions
    pieces = all_pieces(job)
    found = list(_weld_points(pieces, isometric()))
    ((given, point),) = found
    assert list(given.parts) == parts
    assert float(np.linalg.norm(point - np.array(near))) < 75.0
    drawn = [item.text for item in drawing_pages(pieces, job.job, paper.A4)[0].picture.items if isinstance(item, Text)]
    assert "a3" in drawn
