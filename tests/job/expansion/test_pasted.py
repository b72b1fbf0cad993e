"""What `check --expanded` prints, pasted where it says: the same metal as before."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from jobs import tube, tubes_text

from fabgen.app.hands import with_own_images
from fabgen.app.work import built
from fabgen.changes.as_issued import as_issued
from fabgen.job.expansion.written import written
from fabgen.job.reader import Job, read_text

ROOT = Path(__file__).parents[3]
_TABLE = re.compile(r"^\[\[?(\w+)\]?\]", re.MULTILINE)


def sections(text: str) -> Iterator[tuple[str, str]]:
    """The tables of a job file, each with its name; what stands before the first has none."""
    starts = [0, *(each.start() for each in _TABLE.finditer(text))]
    for start, end in zip(starts, [*starts[1:], len(text)], strict=True):
        named = _TABLE.match(text, start)
        yield (named[1] if named else "", text[start:end])


def pasted(text: str, shown: str) -> str:
    """A job file with what was shown of it in place of the tables that its first line names."""
    (says,) = re.findall(r"^# In place of every (.*) of the file, each list in this order:$", shown, re.MULTILINE)
    gone = re.findall(r"\[\[(\w+)\]\]", says)
    points = "".join(each.partition("\n")[2] for name, each in sections(shown) if name == "points")
    kept = [each + points * (name == "points") for name, each in sections(text) if name not in gone]
    made = [each for name, each in sections(shown) if name != "points"]
    if points and all(name != "points" for name, _ in sections(text)):
        made.insert(0, f"[points]\n{points}")
    return "".join([*kept, "\n", *made])


def assert_same_metal(text: str, path: Path | str = "job.toml") -> Job:
    job = with_own_images(read_text(text, path))
    again = with_own_images(read_text(pasted(text, written(job.expanded)), path))
    one, other = ({each.mark: each for each in as_issued(built(each))} for each in (job, again))
    assert one == other
    return job


def made_by(path: Path) -> bool:
    return any(name in ("frame", "repeat", "mirror") for name, _ in sections(path.read_text(encoding="utf-8")))


JOBS = [p for folder in ("templates", "sample_parts") for p in sorted((ROOT / folder).glob("*.toml")) if made_by(p)]


@pytest.mark.parametrize(
    "path",
    [pytest.param(p, id=p.stem, marks=pytest.mark.slow if p.stem == "curlew-trailer" else ()) for p in JOBS],
)
def test_samples_and_starters_pasted_are_the_same_metal(path: Path) -> None:
    assert_same_metal(path.read_text(encoding="utf-8"), path)


def test_who_is_coped_onto_whom_stays_as_it_is() -> None:
    """The cross member is listed after the rail, and so it sits on the rail's image too."""
    rail = tube("S", (0, 300, 0), (800, 300, 0), section="40 x 40 x 3", finish={"extend": "20 mm"})
    across = tube("C", (800, 300, 0), (800, -300, 0), section="40 x 40 x 3")
    job = assert_same_metal(tubes_text(rail, across) + '\n[[mirror]]\nparts = ["S"]\n')
    assert [each.mark for each in job.definitions.tube] == ["S", "S-R", "C"]
    assert '[[tube]]  # as it is\nmark = "C"' in written(job.expanded)


@pytest.mark.parametrize(
    ("more", "job"),
    [
        ('[[node]]\nat = [0, 0, 0]\ncorners = "hub"\n', {}),
        ('[[node]]\nat = [0, 0, 0]\ncorners = "disc"\n', {}),
        ("", {"corners": "disc"}),
    ],
)
def test_hubs_and_feet_are_made_once(more: str, job: dict[str, str]) -> None:
    ways = [(400, 0, 0), (-200, 350, 0), (-200, -350, 0)]
    spokes = [tube(f"T{i}", (0, 0, 0), way, section="33.7 x 2.6") for i, way in enumerate(ways)]
    post = tube(
        "P", (400, 600, 500), (400, 600, 0), section="40 x 40 x 3",
        finish={"foot": {"plate": [100, 100], "thickness": 6}},
    )  # fmt: skip
    repeat = '[[repeat]]\nparts = ["P"]\ncount = 2\nstep = [200, 0, 0]\n'
    shown = written(assert_same_metal(tubes_text(*spokes, post, **job) + "\n" + more + repeat).expanded)
    assert "# [[plate]]  # by tube 4, which makes it again\n" in shown
    assert ("[[node]]" in shown.partition("\n")[0]) == bool(more)


def test_a_frame_on_feet_and_tubes_cut_at_crossings() -> None:
    frame = (
        '[[frame]]\nmark = "F"\nshape = "box"\nat = [0, 0, 0]\nsection = "40 x 40 x 3"\nsize = [900, 500, 700]\n'
        "foot = { plate = [100, 100], thickness = 6 }\n"
    )
    crossed = tubes_text(
        tube("A", (1500, 0, 0), (2000, 0, 0), section="40 x 40 x 3"),
        tube("B", (1750, -300, 0), (1750, 300, 0), section="40 x 40 x 3", crossings="cut"),
    )
    assert_same_metal(f"{crossed}\n{frame}")


def test_the_four_corners_of_two_mirrors() -> None:
    points = "\n[points]\nA = [0, 0, 0]\nB = [0, 9, 0]\nC = [0, 0, 9]\nE = [500, 300, 0]\n"
    rail = tube("S", (100, 300, 0), (500, 300, 0), section="40 x 40 x 3")
    bracket = (
        '[[bracket]]\nmark = "G"\nshape = "angle"\nthickness = 3\nlength = 80\nlegs = [40, 30]\n'
        'holes = [{ at = [20, 20], face = "a", bolt = "M8" }]\nplace = { against = "S", at = 200, side = "left" }\n'
    )
    mirrors = '[[mirror]]\nparts = ["S", "G"]\n[[mirror]]\nparts = ["S", "S-R", "G", "G-R"]\nplane = ["A", "B", "C"]\n'
    job = assert_same_metal(tubes_text(rail) + points + bracket + mirrors)
    assert [(each.mark, each.quantity) for each in job.definitions.bracket] == [("G", 2), ("G-R", 2)]
