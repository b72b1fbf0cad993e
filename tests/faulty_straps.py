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
]
RIGHT = [
    # Another metal, but rubber between.
    (BOLTED + 'material = "6082-T6"\nradius = 16\nrubber = 3', TUBE.format("S235")),
    # A loose hook without a gap at all, and two halves on rubber.
    ('shape = "arc"\narc = 180\nends = "plain"', TUBE.format("S235")),
    (BOLTED + 'shape = "half band"\nquantity = 2\nrubber = 3', TUBE.format("S235")),
    (BOLTED + "bolt_length = 35", TUBE.format("S235")),
]
