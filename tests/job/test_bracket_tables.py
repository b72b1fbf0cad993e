"""[[bracket]] as it is written: shapes and their keys, base and flanges, seats, tubes, and what is refused."""

import math

import pytest

from fabgen.job.errors import JobError, Problem
from fabgen.job.reader import read_text
from fabgen.job.tables.bracket_tables import SHAPES, Bracket, FlangeGiven
from fabgen.shop.section import Section

HEAD = '[job]\ntitle = "x"\nnumber = "1"\nunits = "in"\n[[bracket]]\nmark = "B1"\nthickness = "3 mm"\n'
LEAST = {
    "angle": "length = 3\nlegs = [2, 2]",
    "channel": "length = 3\nweb = 2\nflanges = [2, 2]",
    "zed": "length = 3\nweb = 2\nlegs = [2, 2]",
    "hat": "length = 3\ncrown = 2\nsides = [2, 2]\nbrims = [1, 1]",
    "box": "base = [4, 3]\nheight = 2",
    "clevis": 'gap = 2\nlength = 3\nheight = 3\nbolt = "1/2 in"',
    "ear": 'width = 2\nheight = 3\nbolt = "1/2 in"',
    "tabbed": 'base = [2, 4]\nbolt = "3/8 in"',
    "saddle": 'length = 3\nweb = 3\nheight = 3\nsits = "1 3/4 x 0.095"',
    "gusset": "legs = [4, 3]",
}


def read(text: str) -> Bracket:
    return read_text(HEAD + text).definitions.bracket[0]


def faults(text: str) -> list[Problem]:
    with pytest.raises(JobError) as caught:
        read_text(HEAD + text)
    return caught.value.problems


@pytest.mark.parametrize("shape", LEAST)
def test_the_least_of_every_shape_reads_and_builds(shape: str) -> None:
    from fabgen.parts.build import all_pieces

    job = read_text(HEAD + f'shape = "{shape}"\n' + LEAST[shape])
    assert job.definitions.bracket[0].shape == shape
    (piece,) = all_pieces(job.definitions)
    assert piece.flat_part is not None
    assert piece.mass > 0


@pytest.mark.parametrize("shape", LEAST)
def test_every_needed_key_is_missed(shape: str) -> None:
    problems = faults(f'shape = "{shape}"\n')
    assert any("has no" in problem.what for problem in problems)
    told = " ".join(problem.what + problem.accepted for problem in problems)
    assert all(key in told for key in SHAPES[shape].needed)


def test_base_and_flanges_in_every_form() -> None:
    bracket = read(
        'base = [4, "60 mm"]\nflanges = [{ edge = 1, height = 2, from = "1/4 in", fold = "down", angle = 60 }]'
    )
    (flange,) = bracket.flanges or []
    assert isinstance(flange, FlangeGiven)
    assert bracket.base == pytest.approx([101.6, 60])
    assert (flange.edge, flange.height, flange.from_, flange.fold) == (1, 50.8, 6.35, "down")
    assert flange.angle == pytest.approx(math.pi / 3)
    corners = read("base = [[0, 0], { at = [4, 0], radius = 0.25 }, [0, 3]]\nflanges = [{ edge = 1, hem = 0.5 }]").base
    assert corners is not None
    assert corners[1].radius == pytest.approx(6.35)  # type: ignore[union-attr]
    nested = read(
        "base = [4, 3]\nflanges = [{ edge = 1, height = 2, flanges = [{ edge = 'left', height = 1 }, { hem = 1 }] }]"
    )
    assert [each.edge for each in nested.flanges[0].flanges] == ["left", None]  # type: ignore[index,union-attr]


OWN = "{ edge = 1, height = 2, radius = 0.2, angle = 60 }"
PLAIN = "{ edge = 2, height = 2 }"
HEM = "{ edge = 3, hem = 1 }"


@pytest.mark.parametrize(("key", "value"), [("radius", "0.1"), ("bend_angle", "80")])
@pytest.mark.parametrize(
    ("flanges", "used"),
    [
        ((OWN,), False),
        ((OWN, HEM), False),
        ((HEM,), False),
        ((OWN, PLAIN), True),
        ((OWN[:-2] + f", flanges = [{PLAIN.replace('edge = 2, ', '')}] }}",), True),
    ],
)
def test_a_radius_or_angle_of_the_part_that_no_flange_takes_is_a_fault(
    key: str, value: str, flanges: tuple[str, ...], used: bool
) -> None:
    text = f"base = [4, 4]\nflanges = [{', '.join(flanges)}]\n"
    read(text)
    if used:
        read(text + f"{key} = {value}")
        return
    (fault,) = faults(text + f"{key} = {value}")
    assert fault.path == ("bracket", 0, key)
    assert f"{key} is used by no" in fault.what
    assert fault.line is not None


def test_seats_in_every_form() -> None:
    short = read('shape = "ear"\nwidth = 1\nheight = 3\ndiameter = 0.5\nsits = "2 x 0.12"')
    (seat,) = short.sits or []
    assert isinstance(seat.onto, Section)
    assert seat.onto.width == pytest.approx(50.8)
    long = read('shape = "gusset"\nlegs = [4, 3]\nsits = ["flat", { onto = "2 x 0.12", slope = -10, offset = 0.1 }]')
    flat, tube = long.sits or []
    assert flat.onto == "flat"
    assert (tube.slope, tube.offset) == (pytest.approx(-math.pi / 18), pytest.approx(2.54))
    text = HEAD.replace(
        "[[bracket]]", '[[tube]]\nmark = "T7"\nsection = "2 x 0.12"\nroute = [[0, 0, 0], [9, 0, 0]]\n[[bracket]]'
    )
    named = read_text(text + 'shape = "ear"\nwidth = 1\nheight = 3\nbolt = "M8"\nsits = { onto = "T7", turn = 0 }')
    assert named.definitions.bracket[0].sits[0].onto == "T7"  # type: ignore[index]


@pytest.mark.parametrize(
    ("text", "path", "words", "accepted", "near"),
    [
        ('shape = "zee"', ("shape",), "none of the choices", '"zed"', '"zed"'),
        ("", (), "this bracket has no shape", 'shape = "angle" or', ""),
        ("base = [4, 3]", (), "has no flanges", "base, flanges", ""),
        (
            'shape = "channel"\nlength = 3\nweb = 2\nflanges = [2, 2]\nlegs = [2, 2]',
            ("legs",),
            "legs has no meaning here",
            'shape = "angle" or shape = "zed" or shape = "gusset"',
            "",
        ),
        (
            'shape = "channel"\nlength = 3\nweb = 2\nflanges = [{ edge = 1, height = 2 }]',
            ("flanges",),
            "is a pair of lengths",
            "flanges = [60, 40]",
            "",
        ),
        ('shape = "box"\nbase = [[0, 0], [4, 0], [4, 3]]\nheight = 2', ("base",), "is a pair of lengths", "base =", ""),
        ('shape = "ear"\nwidth = 1\nheight = 2', (), "has no bolt or diameter", 'bolt = "M12"', ""),
        (
            'shape = "ear"\nwidth = 1\nheight = 2\nbolt = "M8"\nradius = 0.1',
            ("radius",),
            "radius has no meaning here",
            'shape = "angle"',
            "",
        ),
        (
            'shape = "gusset"\nlegs = [4, 3]\nbend_angle = 60',
            ("bend_angle",),
            "has no meaning here",
            "goes with lip",
            "",
        ),
        (
            'shape = "box"\nbase = [4, 3]\nheight = 2\ncorner_gap = 0.1',
            ("corner_gap",),
            "has no meaning here",
            'corner = "butt" or corner = "gap"',
            "",
        ),
        (
            'shape = "angle"\nlength = 3\nlegs = [2, 2]\nhem_gap = 0.1',
            ("hem_gap",),
            "has no meaning here",
            "goes with hem",
            "",
        ),
        ('shape = "angle"\nlength = 3\nlegs = [2, 2]\njoggle = 0.1', ("joggle",), "pressed, not folded", '"zed"', ""),
        (
            "base = [4, 3]\nflanges = [{ edge = 1, height = 1, joggle = 1 }]",
            ("flanges", 0, "joggle"),
            "pressed",
            '"zed"',
            "",
        ),
        ("base = [4, 3]\nflanges = [{ edge = 1 }]", ("flanges", 0), "has no height or hem", "exactly one of", ""),
        (
            "base = [4, 3]\nflanges = [{ edge = 1, hem = 1, angle = 20 }]",
            ("flanges", 0, "angle"),
            "has no meaning here",
            "not with a hem",
            "",
        ),
        (
            "base = [4, 3]\nflanges = [{ edge = 'rite', height = 1 }]",
            ("flanges", 0, "edge"),
            "as an edge",
            "far",
            "right",
        ),
        (
            "base = [4, 3]\nflanges = [{ edge = 1, hight = 1 }]",
            ("flanges", 0, "hight"),
            "there is no key",
            "height",
            "height",
        ),
        (
            'shape = "ear"\nwidth = 1\nheight = 2\nbolt = "M8"\nsits = "2"',
            ("sits",),
            "neither a section nor",
            '"flat"',
            "",
        ),
        (
            'shape = "box"\nbase = [4, 3]\nheight = 2\ncorner = "buttt"',
            ("corner",),
            "none of the choices",
            "butt",
            '"butt"',
        ),
        (
            'shape = "box"\nbase = [4, 3]\nheight = 2\nholes = [{ face = "frnt", at = [1, 1], bolt = "M6" }]',
            ("holes", 0, "face"),
            'no face "frnt"',
            "front",
            "front",
        ),
        (
            'shape = "box"\nbase = [4, 3]\nheight = 2\ntubes = [{ tube = "1 x 0.1", at = [1, 1], lean = 5 }]',
            ("tubes", 0, "lean"),
            "out of range",
            "down to 10, or 0",
            "",
        ),
        ('shape = "angle"\nlength = 3\nlegs = [2, 2]\nprocess = "lazer"', ("process",), "choices", "laser", '"laser"'),
    ],
)
def test_faults_name_the_key_and_what_is_accepted(
    text: str, path: tuple[str | int, ...], words: str, accepted: str, near: str
) -> None:
    problems = faults(text)
    problem = next((each for each in problems if words in each.what), None)
    assert problem is not None, [each.what for each in problems]
    assert problem.path == ("bracket", 0, *path)
    assert accepted in problem.accepted
    assert near in problem.nearest or near.strip('"') in problem.nearest
    assert problem.line is not None
