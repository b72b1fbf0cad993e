"""Bent bars with a fault that an old hand sees at once, each with the rule that speaks of it."""

from __future__ import annotations

HEADER = '[job]\ntitle = "t"\nnumber = "n"\nunits = "mm"\n'
TUBE = (
    '[points]\nA = [0, 0, 0]\nB = [900, 0, 0]\n[[tube]]\nmark = "T1"\nsection = "60.3 x 3.2"\nroute = ["A", "B"]\n'
    'material = "{}"\n'
)
U_BOLT = 'shape = "U-bolt"\ndiameter = 12\naround = "60.3 x 3.2"\nclamps = [8]\n'
ROUND_IT = 'shape = "U-bolt"\ndiameter = 12\naround = "T1"\n'
ON_PLATE = ROUND_IT + 'clamps = ["P1"]'
TIE = (
    'diameter = 16\nlegs = [300]\nstart = {{ thread = "M16", length = {} }}\n'
    'finish = {{ thread = "M16", hand = "left", length = {} }}'
)
PLATE = (
    '[[plate]]\nmark = "P1"\nthickness = 8\nrectangle = [140, 80]\n'
    "holes = [{{ at = [30, 40], diameter = {0} }}, {{ at = [{1}, 40], diameter = {0} }}]\n"
)


def bar_job(keys: str, before: str = "") -> str:
    """A job of one bar, U1, and what stands before it."""
    return f'{HEADER}{before}[[bar]]\nmark = "U1"\n{keys}\n'


FAULTY = [
    # The thread was cut for a thinner stack: the nut stands in the air.
    (U_BOLT + 'height = 130\nends = { thread = "M12", length = 30 }', "nut-reach", ""),
    # Legs too short for plate, washer and nuts.
    (U_BOLT + "height = 75", "nut-reach", ""),
    # Made for another tube: it does not go on, or rattles.
    (U_BOLT + "inside = 48", "clasp-width", ""),
    (U_BOLT + "inside = 76", "clasp-width", ""),
    # Thread into the bow.
    (
        'shape = "U-bolt"\ndiameter = 12\ninside = 60\nheight = 70\nends = { thread = "M12", length = 55 }',
        "worked-in-bend",
        "",
    ),
    # Left and right thread cut into one another, a thread into a flat, a thread longer than its bar.
    (TIE.format(150, 152), "worked-overlap", ""),
    (
        'diameter = 12\nlegs = [400]\nstart = { thread = "M12", length = 250 }\n'
        "finish = { thickness = 6, length = 200, hole = 6 }",
        "worked-overlap",
        "",
    ),
    ('diameter = 16\nlegs = [300]\nstart = { thread = "M16", length = 310 }', "worked-overlap", ""),
    # A thread thicker than its bar.
    ('diameter = 12\nlegs = [300]\nstart = { thread = "M14" }', "thread-diameter", ""),
    # Bent sharper than bar takes; harder metal earlier.
    ("diameter = 12\nlegs = [60, 60]\nbends = [90]\nradius = 5", "bar-radius", ""),
    ('diameter = 12\nmaterial = "6082-T6"\nlegs = [60, 60]\nbends = [90]\nradius = 20', "bar-radius", ""),
    # Grades of zinc coated sheet and of tube.
    ('diameter = 10\nmaterial = "DX51D"\nlegs = [100]', "bar-grade", ""),
    ('diameter = 10\nmaterial = "A500"\nlegs = [100]', "bar-grade", ""),
    ('diameter = 10\nmaterial = "S235JRH"\nlegs = [100]', "bar-grade", ""),
    # Nothing left to hold.
    ("diameter = 12\nlegs = [60, 10]\nbends = [90]\nradius = 20", "bar-straight", ""),
    # A loop whose finish runs through its own leg.
    ("diameter = 10\nlegs = [100, 60, 60, 120]\nbends = [90, 90, 90]\nradius = 15", "bar-crosses-itself", ""),
    # A ring bent past its own start, and an eye bent into its shank.
    ("diameter = 10\nlegs = [0, 0, 0]\nbends = [180, 182]\nradius = 40\ntrim = 20", "bar-crosses-itself", ""),
    ("diameter = 10\nlegs = [120, 0, 0]\nbends = [-50, 340]\nradius = [12, 15]", "bar-crosses-itself", ""),
    # Rings that nobody said are welded: end face on end face, and a gap just under the bar's diameter.
    ("diameter = 10\nlegs = [0, 0]\nbends = [360]\nradius = 40\ntrim = 20", "bar-ring", ""),
    ("diameter = 10\nlegs = [0, 0]\nbends = [347.4]\nradius = 40\ntrim = 20", "bar-ring", ""),
    # A round bow on a rectangular tube.
    ('shape = "U-bolt"\ndiameter = 10\naround = "80 x 80 x 4"\nclamps = [6]\nradius = 40', "clasp-bow", ""),
    # A hole that leaves no metal beside it, and one at the very end.
    ("diameter = 10\nlegs = [120]\nstart = { thickness = 6, length = 30, hole = 9 }", "bar-flat", ""),
    ("diameter = 16\nlegs = [120]\nstart = { thickness = 8, length = 40, hole = 9, hole_at = 6 }", "bar-flat", ""),
    # Plain steel round stainless, and aluminium on steel.
    (ROUND_IT + "clamps = [8]", "clasp-metal", TUBE.format("304")),
    (ROUND_IT + 'clamps = [8]\nmaterial = "6082-T6"\nradius = 30.65', "clasp-metal", TUBE.format("S235")),
    # Half off the end of its tube, at either end.
    (ROUND_IT + "clamps = [8]\nat = 895", "clasp-beyond", TUBE.format("S235")),
    (ROUND_IT + "clamps = [8]\nat = 0", "clasp-beyond", TUBE.format("S235")),
    # A plate whose holes stand too near one another, and one whose holes are too small.
    (ON_PLATE, "clasp-holes", TUBE.format("S235") + PLATE.format(13.5, 90)),
    (ON_PLATE, "clasp-holes", TUBE.format("S235") + PLATE.format(11, 103.3)),
]
"""Keys of the bar, the rule, and what stands before it, '' where nothing."""
