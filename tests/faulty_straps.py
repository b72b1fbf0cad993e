"""Straps with a fault that an old hand sees at once, each with the rule that speaks of it; and those that only look
wrong."""

from __future__ import annotations

HEADER = '[job]\ntitle = "t"\nnumber = "n"\nunits = "mm"\nmaterial = "S235"\n'
TUBE = (
    '[points]\nA = [0, 0, 0]\nB = [900, 0, 0]\n[[tube]]\nmark = "T1"\nsection = "60.3 x 3.2"\nroute = ["A", "B"]\n'
    'material = "{}"\n'
)
BOLTED = 'bolt = "M8"\near = 40\n'


def strap_job(keys: str, before: str = TUBE.format("S235")) -> str:
    """A job of one strap, S1, of 40 x 4 round T1 where its keys do not say."""
    around = "" if "round =" in keys else 'round = "T1"\n'
    size = "" if "thickness =" in keys else "width = 40\nthickness = 4\n"
    return f'{HEADER}{before}[[strap]]\nmark = "S1"\n{around}{size}{keys}\n'


SQUARE = (
    '[[tube]]\nmark = "T1"\nsection = "60 x 40 x 3"\nturn = 0\nroute = [[0, 0, 0], [900, 0, 0]]\nmaterial = "S235"\n'
)
FAULTY = [
    # The ears meet before it is tight.
    (BOLTED + "squeeze = 0", "strap-gap", "stop", TUBE.format("S235")),
    (BOLTED + "squeeze = 1.5", "strap-gap", "warn", TUBE.format("S235")),
    # The rubber is crushed, or hangs loose.
    (BOLTED + "squeeze = 12\nrubber = 3", "strap-rubber", "stop", TUBE.format("S235")),
    (BOLTED + "squeeze = 1\nrubber = 3", "strap-rubber", "warn", TUBE.format("S235")),
    # The bolt does not take its nut.
    (BOLTED + "bolt_length = 20", "strap-bolt", "stop", TUBE.format("S235")),
    # Tighter than the metal takes.
    ('round = 8\nwidth = 40\nthickness = 6\nshape = "arc"\narc = 90\nends = "plain"', "strap-radius", "stop", ""),
    # The wrong metal, and one half alone.
    (BOLTED + 'material = "6082-T6"\nradius = 16', "strap-metal", "warn", TUBE.format("S235")),
    (BOLTED + 'shape = "half band"', "strap-pair", "warn", TUBE.format("S235")),
    # In the air, and across the tube that it goes round.
    (
        BOLTED + "place = { at = [450, 0, 300], along = [0, 1, 0], up = [1, 0, 0] }",
        "strap-off",
        "warn",
        TUBE.format("S235"),
    ),
    (BOLTED + "place = { at = [450, 0, 0] }", "strap-off", "warn", TUBE.format("S235")),
    # Nothing closes it; rubber as thick as a tyre; a corner so round that it bridges the faces.
    ("ear = 40", "strap-open", "warn", TUBE.format("S235")),
    ('ear = 40\nshape = "saddle"', "strap-open", "warn", TUBE.format("S235")),
    (BOLTED + "rubber = 40", "strap-thick-rubber", "warn", TUBE.format("S235")),
    (BOLTED + "round = [175, 190]\ncorner = 15", "strap-corners", "warn", ""),
    # Round the flat side of a tube that stands upright.
    (BOLTED + "place = { at = [450, 0, 0], along = [0, 0, 1], up = [1, 0, 0] }", "strap-off", "warn", SQUARE),
    # A battery's band without the gap to tighten it.
    (BOLTED + "round = [175, 190]\nsqueeze = 1", "strap-gap", "warn", ""),
]
RIGHT = [
    # Another metal, but rubber between.
    (BOLTED + 'material = "6082-T6"\nradius = 16\nrubber = 3', TUBE.format("S235")),
    # A loose hook without a gap at all, and two halves on rubber.
    ('shape = "arc"\narc = 180\nends = "plain"', TUBE.format("S235")),
    (BOLTED + 'shape = "half band"\nquantity = 2\nrubber = 3', TUBE.format("S235")),
    (BOLTED + "bolt_length = 35", TUBE.format("S235")),
    # No bolt of its own, but holes in its ears, or welded down.
    ("ear = 40\nholes = [{ at = [110, 0], diameter = 9 }, { at = [-110, 0], diameter = 9 }]", TUBE.format("S235")),
    (
        'ear = 40\nwidth = 40\nthickness = 4\nshape = "saddle"\n[[plate]]\nmark = "P1"\nthickness = 5\n'
        "rectangle = [150, 60]\n"
        '[[weld]]\nparts = ["S1", "P1"]\nthroat = 3',
        TUBE.format("S235"),
    ),
    # Upside down and from the other end on a square tube, and a battery strap of much rubber.
    (BOLTED + "place = { at = [450, 0, 0], along = [0, -1, 0], up = [-1, 0, 0] }", SQUARE),
    (BOLTED + "round = [175, 190]\nrubber = 10", ""),
    # Its ears to the side: the tube's two sizes lie otherwise in it.
    (BOLTED + 'at = 300\nears_to = "left"', SQUARE),
]


PIPE = '[[tube]]\nmark = "T"\nsection = "48.3 x 3.2"\nroute = [[0, 0, 24.15], [400, 0, 24.15]]\n'


def saddle(mark: str = "S", more: str = "at = 200") -> str:
    """Over the pipe, its ears' undersides at z = 0, 45 mm to either side."""
    round_ = '"T"' if more.startswith("at = ") else "48.3"
    return (
        f'[[strap]]\nmark = "{mark}"\nshape = "saddle"\nwidth = 25\nthickness = 3\nround = {round_}\nbolt = "M8"\n'
        f"ear = 28\n{more}\n"
    )


def bed(mark: str, y: float, top: float, wide: float = 60.0) -> str:
    """A plate 100 long from x = 150, from y on, its top at a height."""
    return (
        f'[[plate]]\nmark = "{mark}"\nthickness = 6\nrectangle = [100, {wide}]\n'
        f"place = {{ at = [150, {y}, {top - 6.0}] }}\n"
    )


EARS_IN_AIR = HEADER + PIPE + saddle() + bed("P", -100, -10.0, 200.0)

ON_BEND = (
    f'{HEADER}[[tube]]\nmark = "T1"\nsection = "48.3 x 3.2"\nroute = [[0, 0, 0], [600, 0, 0], [600, 0, 600]]\n'
    'bend_radius = 150\n[[strap]]\nmark = "S1"\nround = "T1"\nwidth = 40\nthickness = 3\nbolt = "M8"\near = 40\n'
    'at = 568\nears_to = "left"\n[[plate]]\nmark = "P1"\nthickness = 4\nrectangle = [100, 40]\n'
    'place = { against = "T1", at = 568, toward = [900, 0, -300] }\n'
)
"""A band and a plate in the middle of a bend."""
