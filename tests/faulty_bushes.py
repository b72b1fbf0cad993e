"""Bushes with a fault that an old hand sees at once, each with the rule that speaks of it; and those that only look
wrong."""

from __future__ import annotations

HEADER = '[job]\ntitle = "t"\nnumber = "n"\nunits = "mm"\nmaterial = "S235"\n'
PLATE = '[[plate]]\nmark = "P1"\nthickness = {}\nrectangle = [120, 80]\nholes = [{{ at = [60, 40], bush = "B1"{} }}]\n'
CLEVIS = '[[bracket]]\nmark = "C1"\nshape = "clevis"\nthickness = 5\ngap = 40\nlength = 60\nheight = 62\n{}\n'
PLAIN, WIDE = PLATE.format(10, ""), CLEVIS.format('bush = "B1"\nend_radius = 30')
BOLTED = CLEVIS.format('bolt = "M12"')


def bush_job(keys: str, parts: str = PLAIN) -> str:
    """A job of one bush, B1, of 30 x 4 where its keys do not say, and the parts that hold it."""
    section = "" if "section" in keys else 'section = "30 x 4"\n'
    return f'{HEADER}{parts}[[bush]]\nmark = "B1"\n{section}{keys}\n'


def holed(diameter: float, thickness: float = 10.0) -> str:
    """A plate whose hole is given by a figure besides."""
    return PLATE.format(thickness, f", diameter = {diameter}")


FAULTY = [
    # The hole was cut for another tube: it does not go in, or falls through.
    ("", holed(29.5), "bush-hole", "stop"),
    ('fit = "press"', holed(30.5), "bush-hole", "stop"),
    # Rubber in a hole that tears it.
    ('fit = "rubber"', holed(25), "bush-hole", "stop"),
    ("", holed(32), "bush-hole", "warn"),
    ('fit = "slip"', holed(31), "bush-hole", "warn"),
    # Sawn for the gap, and put through both ears.
    ("length = 40", WIDE, "bush-length", "stop"),
    # A crush tube that does not go in, and one the ears are pulled in on.
    ('length = 41\nbetween = "C1"', BOLTED, "bush-length", "stop"),
    ('length = 38\nbetween = "C1"', BOLTED, "bush-length", "stop"),
    ("length = 120", PLAIN, "bush-length", "warn"),
    # The bolt does not go through, or rattles.
    ('bolt = "M24"', PLAIN, "bush-bore", "stop"),
    ('bolt = "M12"', PLAIN, "bush-bore", "warn"),
    # The wrong metal.
    ('material = "6082-T6"', PLAIN, "bush-metal", "stop"),
    ('fit = "press"', PLATE.format(3, ""), "bush-seat", "warn"),
    ("length = 40", PLAIN.replace('bush = "B1"', "diameter = 30"), "bush-nowhere", "warn"),
    ("quantity = 3", PLAIN, "bush-nowhere", "warn"),
]

RIGHT = [
    # It stands proud each side on purpose, on a bolt with room.
    ('proud = 15\nbolt = "M20"', PLAIN),
    # Aluminium in steel, but pressed.
    ('fit = "press"\nmaterial = "6082-T6"', PLAIN),
    # Through both ears, as long as both.
    ('bolt = "M20"', WIDE),
    # A crush tube, and one a hair short, which the ears close on.
    ('section = "21.3 x 4"\nbetween = "C1"\nbolt = "M12"', BOLTED),
    ('section = "21.3 x 4"\nbetween = "C1"\nlength = 39.6', BOLTED),
    # The hole given by a figure, and right.
    ("", holed(30.3)),
]
