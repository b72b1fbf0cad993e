"""How wrong each output can be, and which test holds it there: the page 'how wrong can it be' of the manual.

The figures are the tolerances of the tests named, no more; what no test covers is said.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Accuracy:
    """`output`, its largest error, what it is held against, the tests, and what they do not cover."""

    output: str
    within: str
    against: str
    tests: tuple[str, ...]
    not_covered: str


_SOLIDS = "solid models made by an independent library (manifold3d)"

ACCURACY = (
    Accuracy(
        "Line of a coped tube end",
        "touches its main within 0.02 mm, overlaps it by nothing but the model's facets, and is nowhere open by more "
        "than 0.05 mm at the edge that touches; two equal tubes square to one another, 0.000 001 mm",
        f"{_SOLIDS}, on all pairs of round, square and rectangular sections at random; M. Moore's closed form of 1974",
        (
            "tests/validation/test_solid_booleans.py",
            "tests/validation/test_random_joints.py",
            "tests/validation/test_moore_1974.py",
        ),
        "your tube: ovality, a wall thicker than its size, and the weld seam inside",
    ),
    Accuracy(
        "A complete tube, both ends and their clocking, straight or bent",
        "both ends reach their mains within 0.05 mm, and the tube stands in neither by more than "
        "0.01 mm round the joint",
        _SOLIDS,
        ("tests/validation/test_tubes_in_space.py",),
        "how true your bender bends: springback and the former's own radius",
    ),
    Accuracy(
        "Hole in a main that a branch opens into",
        "0.02 mm all round; its height 0.000 02 mm",
        f"{_SOLIDS}; the closed form of two cylinders crossing square",
        ("tests/validation/test_solid_openings.py", "tests/validation/test_cylinders_crossing.py"),
        "how you cut it",
    ),
    Accuracy(
        "A printed template or pattern",
        "0.1 mm in the file, on the check lines too; the wrap's line 0.05 mm",
        "the finished PDF, measured by an independent program (PDFium)",
        ("tests/validation/test_true_size.py",),
        "your printer and paper: measure the check lines; 1 mm on 100 mm is not rare. `fabgen printer` corrects it. "
        "Damp paper grows",
    ),
    Accuracy(
        "Flat pattern (DXF): the outline as a file",
        "areas and lengths to a millionth; arcs and circles are true ones",
        "GDAL's reader and ezdxf's audit, on every sample and starter",
        ("tests/validation/test_gdal_reads_dxf.py", "tests/validation/test_every_dxf.py"),
        "the cutter's own tolerance and its kerf",
    ),
    Accuracy(
        "Bend allowance and deduction",
        "the formula: 0.006 of the thickness; compensation by DIN 6935: 0.05 mm, the rounding of its table",
        "Machinery's Handbook's three formulas and worked example; DIN 6935's table and a worked example of "
        "M. P. Groover's (the last two from memory)",
        (
            "tests/validation/test_machinerys_handbook_bends.py",
            "tests/validation/test_din_6935.py",
            "tests/validation/test_groover_bending.py",
        ),
        "your sheet and tools. Two tables differ from one another by up to about a fifth of the thickness a bend "
        "(common practice, no source): fold a test strip and give it as [[bend_test]]",
    ),
    Accuracy(
        "Folded shape: does the flat fold to what is drawn, do faces collide",
        "plates sit on their tubes within 0.02 mm; no overlap over 0.5 mm3, which is the model's facets",
        f"the flat folded back by its bend lines alone; {_SOLIDS}",
        ("tests/validation/test_solid_sheet.py",),
        "the order of folding on your brake",
    ),
    Accuracy(
        "Cones, transitions and panels",
        "transition 0.01 mm on every true length; cone to rounding; panels by tape to rounding of the sums",
        "the draughtsman's own methods, written out again: true lengths, sector of a cone, Brahmagupta's quadrilateral",
        (
            "tests/validation/test_square_to_round.py",
            "tests/validation/test_cone_development.py",
            "tests/validation/test_quadrilaterals.py",
        ),
        "the tape: the stated tolerance of a measured panel follows from yours",
    ),
    Accuracy(
        "Points and lengths measured with a tape",
        "the stated tolerance holds the truth in 90 to 99 of 100 trials, as the 95 it claims should",
        "made-up truth with known errors",
        ("tests/validation/test_tape_on_synthetic_truth.py",),
        "a reading that is wrong by more than you said, where no other shows it; where others do, the tolerance is "
        "widened by the misfit, which held the truth in 95 of 100 trials or more",
    ),
    Accuracy(
        "Length of a weld run, angle between its surfaces",
        "0.03 per cent; 1 degree",
        f"{_SOLIDS}; elliptic integrals",
        ("tests/validation/test_weld_run_by_booleans.py", "tests/validation/test_weld_run_lengths.py"),
        "weld strength: not calculated at all",
    ),
    Accuracy(
        "Plan of the bars",
        "the fewest bars where it says 'proven least'",
        "the OR-Library's 20 instances of class u120, and trying everything on small ones",
        ("tests/validation/test_orlib_binpack.py", "tests/plan/bars/test_cutting_stock.py"),
        "bars that are bent or short: measure before you saw",
    ),
    Accuracy(
        "Clearance of placed plates, brackets and covers from what must stay free",
        "0.01 mm, and 0.02 mm for chords of arcs and bends, in every position gone through; where it runs in by more "
        "than the rounding of the envelope, only that depth is given",
        f"closed forms, points strewn densely over triangles, and {_SOLIDS}, within the 0.05 mm of their facets",
        ("tests/geometry/mechanics/test_skin_clearance.py", "tests/parts/test_keep_out_sheet.py"),
        "between two positions of the travel; an envelope so small that all of it lies inside the sheet; what a "
        "twisted panel does when pulled into place",
    ),
    Accuracy(
        "Masses",
        "a metre of tube as its standard's table prints it",
        "EN 10219-2 (table typed from memory)",
        ("tests/validation/test_en_10219_2_sections.py",),
        "hardware, weld, paint; rolling tolerance of the wall, often 10 per cent (common practice, no source)",
    ),
    Accuracy(
        "Bolt holes, threads, bolts, nuts and washers",
        "as the tables print them",
        "ISO 273, 261, 724, 888, 4014, 4032, 4035, 7089 and ASME B1.1, from open data files where there are, the "
        "rest typed from memory",
        (
            "tests/validation/test_clearance_holes_of_bd_warehouse.py",
            "tests/validation/test_iso_261.py",
            "tests/validation/test_iso_724.py",
            "tests/validation/test_iso_4035.py",
            "tests/validation/test_iso_bolts_nuts_washers.py",
            "tests/validation/test_asme_b1_1.py",
        ),
        "rod ends: their figures are from memory, measure yours",
    ),
    Accuracy(
        "Pages: texts that overlap, or leave what a printer reaches",
        "none, on every page of every sample and starter, A4 and Letter",
        "the finished PDF, its texts found by an independent program (PDFium)",
        ("tests/page/test_all_pages.py", "tests/page/test_drawing_pages.py"),
        "jobs of your own: look at the pages",
    ),
)
