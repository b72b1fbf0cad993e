"""Parts that are bought, or there already: new ones are fitted to them, and nothing of them is cut or listed to be."""

from __future__ import annotations

import csv
import io
import json
from typing import Any

import pytest
from jobs import checked, definitions, findings, pieces_of, read, tube, tubes_text

from fabgen.app.work import WorkedJob, work_on
from fabgen.changes.as_issued import as_issued
from fabgen.changes.compared import compared
from fabgen.checks.registry import run_checks
from fabgen.documents.everything import MakeOptions, job_files
from fabgen.documents.render.paper import A4
from fabgen.job.errors import JobError
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import LengthPart, Piece, made_here, to_make
from fabgen.plan.buying.bought_parts import bought_parts
from fabgen.plan.buying.consumables import needs_of
from fabgen.plan.fit_order import fit_steps
from fabgen.plan.job_plan import plan_job
from fabgen.plan.mass_and_centre import mass_and_centre

Tables = list[dict[str, Any]]
SECTION = "40 x 40 x 3"
THERE = {"section": SECTION, "turn": 0, "state": "there already"}
NEW = {"section": SECTION, "turn": 0}

OLD = tube("OLD", (-500, 0, 0), (500, 0, 0), **THERE)
CORNER = tube("N", (500, 0, 0), (500, 400, 0), **NEW)


def works(tables: Tables, mark: str, **job: Any) -> list[tuple[str, list[str]]]:
    """How both ends of a tube are worked, and what each sits on."""
    pieces = pieces_of(definitions(job, tube=tables))
    part = next(piece.length_part for piece in pieces if piece.mark == mark)
    assert part is not None
    return [(end.cut, [joint.onto for joint in end.joints]) for end in part.ends]


# -- fitting ---------------------------------------------------------------------------------
@pytest.mark.parametrize("corners", ["run on", "mitred", "as drawn", "hub", "disc"])
@pytest.mark.parametrize("first", [True, False])
def test_a_corner_of_old_and_new_copes_the_new(corners: str, first: bool) -> None:
    """Whatever the job's style of corners, and wherever the old tube is listed, it stays as it is."""
    tables = [OLD, CORNER] if first else [CORNER, OLD]
    assert works(tables, "OLD", corners=corners) == [("plain", []), ("plain", [])]
    assert works(tables, "N", corners=corners)[0] == ("cope", ["OLD"])


def test_a_wider_new_tube_sits_on_a_narrow_old_one() -> None:
    """Of those made here the widest runs on; what is there runs on before it."""
    tables = [OLD, CORNER | {"section": "60 x 60 x 3"}]
    assert works(tables, "OLD")[1] == ("plain", [])
    assert works(tables, "N")[0] == ("cope", ["OLD"])


def test_an_old_tube_is_not_cut_where_it_crosses_new_ones() -> None:
    """With `crossings = "cut"` the new tube becomes pieces, though it is listed first."""
    new = tube("N", (0, -400, 0), (0, 400, 0), **NEW)
    job = read(tubes_text(new, OLD, crossings="cut"))
    assert [piece.mark for piece in all_pieces(job)] == ["Na", "Nb", "OLD"]


def test_an_old_tube_runs_on_by_nothing() -> None:
    """A new tube lands on the end of an old one, which is not made longer for it."""
    (old, _) = pieces_of(definitions(tube=[OLD, CORNER]))
    assert isinstance(old.shape, LengthPart)
    assert old.shape.length == pytest.approx(1000.0)


def test_old_tubes_are_fitted_to_one_another() -> None:
    """A frame that is there has its own joints; where the new one comes in makes no difference to them."""
    old = [OLD, tube("LEG", (500, 0, 0), (500, 400, 0), **THERE)]
    new = tube("N", (500, 0, 0), (500, 0, 400), **NEW)
    assert works([new, *old], "LEG")[0] == ("cope", ["OLD"]) == works(old, "LEG")[0]
    assert works([new, *old], "N")[0][0] == "cope"


def test_an_old_tube_does_not_stand_on_a_new_plate() -> None:
    """Its end stays as it is: a plate that is there already is what it may stand on."""
    plate = {
        "mark": "P", "thickness": 6, "rectangle": [100, 100],
        "place": {"at": [0, 0, 0], "of": [50, 50], "lies": "front"},
    }  # fmt: skip
    post = tube("OLD", (0, 0, 1), (0, 0, 400), **THERE)
    for state, cut in ((None, "plain"), ("there already", "plane")):
        own = plate if state is None else plate | {"state": state}
        part = pieces_of(definitions(tube=[post], plate=[own]))[0].length_part
        assert part is not None
        assert part.ends[0].cut == cut


def test_a_new_profile_is_notched_to_an_old_one_with_which_it_would_be_mitred() -> None:
    """Two angles at a corner, which are mitred where both are made here."""
    one = {"mark": "A", "section": "angle 40 x 40 x 4", "route": [[0, 0, 0], [800, 0, 0]], "legs": ["top", "left"]}
    other = {"mark": "B", "section": "angle 40 x 40 x 4", "route": [[800, 0, 0], [800, 500, 0]]}
    other |= {"legs": ["top", "back"]}
    for state, kinds in (({}, ("mitre", "mitre")), ({"state": "bought"}, ("notch", "plain"))):
        a, b = (piece.profile_part for piece in pieces_of(definitions(profile=[one, other | state])))
        assert a is not None
        assert b is not None
        assert (a.ends[1].kind, b.ends[0].kind) == kinds


def test_parts_on_a_body_and_of_a_frame_have_its_state() -> None:
    """A donor's subframe is one body, or one frame, whose parts say nothing themselves."""
    text = tubes_text(tube("A", (0, 0, 0), (400, 0, 0)), tube("B", (0, 0, 0), (0, 400, 0), state="bought"))
    text += '\n[[body]]\nname = "arm"\nstate = "there already"\nmarks = ["A", "B"]\n'
    text += '[[frame]]\nmark = "F"\nshape = "ladder"\nsection = "40 x 40 x 3"\nsize = [1000, 500]\nbars = 2\n'
    text += 'at = [0, 0, 500]\nstate = "there already"\n'
    states = {piece.mark: piece.state for piece in all_pieces(read(text))}
    assert states == {"A": "there already", "B": "bought"} | dict.fromkeys(
        ("F-R1", "F-R2", "F-S1", "F-S2"), "there already"
    )


def refused(text: str) -> tuple[str, str]:
    """What is wrong with a job, and what is accepted."""
    with pytest.raises(JobError) as caught:
        all_pieces(read(text))
    (problem,) = caught.value.problems
    return problem.what, problem.accepted


NODE = "\n[[node]]\nat = [500, 0, 0]\n"


@pytest.mark.parametrize(
    ("text", "what"),
    [
        (tubes_text(OLD, CORNER | {"start": {"cut": "mitre"}}), "OLD is not made here, so nothing mitres it with N"),
        (tubes_text(OLD | {"finish": {"onto": "N"}}, CORNER), "OLD is not made here, so nothing cuts it to N"),
        (
            tubes_text(OLD, CORNER) + NODE + 'runs = "N"\n',
            "OLD ends here too and is not made here, so nothing cuts it to sit on N",
        ),
        (
            tubes_text(OLD, CORNER, tube("M", (500, 0, 0), (500, 0, 400), **NEW)) + NODE + 'corners = "hub"\n',
            "OLD ends here and is not made here, so nothing fits it to a hub",
        ),
        (tubes_text(OLD | {"splices": [500]}), "splices has no meaning here"),
        (tubes_text(OLD | {"crossings": "cut"}), "crossings has no meaning here"),
        (tubes_text(OLD | {"supplier": "yard"}), "supplier has no meaning here"),
    ],
)  # fmt: skip
def test_a_corner_that_would_need_the_old_one_cut_is_told(text: str, what: str) -> None:
    assert refused(text)[0] == what


# -- checks ----------------------------------------------------------------------------------
def rules_of(tables: Tables, *names: str, **more: Any) -> dict[str, str]:
    """The findings of these rules, by their marks."""
    job = checked(definitions(tube=tables, **more), planned=True)
    found = [each for each in run_checks(job) if not names or each.rule in names]
    return {each.mark: f"{each.level}: {each.text}" for each in found}


@pytest.mark.parametrize(("x", "deep"), [(500, "20"), (510, "10"), (492, "28")])
def test_what_runs_into_new_tubes_is_told(x: float, deep: str) -> None:
    """The end of an old tube in the side of a new one of 40 mm: only the new one can give way."""
    new = tube("N", (x, -300, 0), (x, 300, 0), **NEW)
    (said,) = rules_of([OLD, new], "tubes-cross").items()
    assert said == (
        "N",
        f"stop: OLD runs into what is made here (OLD in N {deep} mm deep): OLD is not made here, so nothing cuts it: "
        "end the new tube on it, or lead it clear",
    )


def test_the_lines_to_write_are_those_of_the_new_tube() -> None:
    """At a crossing the old one is listed later, and would be the one to be cut."""
    new = tube("N", (0, -400, 0), (0, 400, 0), **NEW)
    ((mark, text),) = rules_of([new, OLD], "tubes-cross").items()
    assert mark == "N"
    assert "runs through OLD" in text
    assert "table of OLD" not in text


def test_a_foot_past_an_old_end_moves() -> None:
    """No advice to let the main go on, nor to mitre the two."""
    ((mark, text),) = rules_of([OLD, CORNER], "foot-past-end").items()
    assert (mark, text) == (
        "N",
        "warn: the foot of its start hangs 20 mm past the finish of OLD: move the foot 20 mm back along OLD, or name "
        "everything it sits on with `onto`",
    )


def test_a_new_profile_in_an_old_one_clashes() -> None:
    one = {"mark": "A", "section": "angle 40 x 40 x 4", "route": [[-400, 0, 0], [400, 0, 0]], "legs": ["top", "left"]}
    other = {"mark": "B", "section": "angle 40 x 40 x 4", "route": [[0, -400, 0], [0, 400, 0]], "legs": ["top", "back"]}
    for first, second in ((one, other), (other, one)):
        found = rules_of([], "profile-clash", profile=[first, second | {"state": "bought"}])
        assert list(found) == [first["mark"]]


def test_a_drill_near_the_end_of_an_old_tube_is_told() -> None:
    """A hole drilled on site is as much of the job as any; one that is there is not."""
    hole = {"at": 8, "side": "top", "diameter": 11}
    found = rules_of([OLD | {"holes": [hole]}])
    assert set(found) == {"OLD"}
    assert not rules_of([OLD | {"holes": [hole | {"state": "there already"}]}])


def test_a_hole_in_an_old_leg_is_work_on_site() -> None:
    """By its edge: the hole to drill speaks, the one that is there does not."""
    angle = {"mark": "A", "section": "angle 40 x 40 x 4", "route": [[0, 0, 0], [800, 0, 0]], "legs": ["top", "left"]}
    hole = {"at": 8, "leg": "a", "diameter": 11}
    for state, said in ((None, {"A"}), ("there already", set())):
        own = hole if state is None else hole | {"state": state}
        profile = angle | {"state": "there already", "holes": [own]}
        assert set(rules_of([], profile=[profile])) == said


SILENT: list[Tables] = [
    # Its section is of no size on sale, its ends are open, and it is closed by others like it.
    [tube("OLD", (-500, 0, 0), (500, 0, 0), section="41 x 41 x 0.4", turn=0, state="there already")],
    # Old tubes run through one another as they do.
    [OLD, tube("ALSO", (0, -400, 0), (0, 400, 0), **THERE)],
    # Longer than any bar, and bent tighter than a bender can.
    [tube("OLD", (0, 0, 0), (9000, 0, 0), **THERE)],
    [tube("OLD", (0, 0, 0), (300, 0, 0), (300, 300, 0), section="40 x 2", bend_radius=45, state="bought")],
]


@pytest.mark.parametrize("tables", SILENT)
def test_checks_of_what_to_make_are_silent(tables: Tables) -> None:
    assert rules_of(tables) == {}
    made = [{key: value for key, value in each.items() if key != "state"} for each in tables]
    assert rules_of(made) != {}


def test_an_old_tube_that_is_closed_needs_no_vent() -> None:
    """Of a new rung between old rails, closed all round, alone is said that gas in it can burst it."""
    rails = [tube(f"R{i}", (-500, y, 0), (500, y, 0), **THERE) for i, y in enumerate((0.0, 400.0))]
    rungs = [tube("N", (0, 0, 0), (0, 400, 0), **NEW), tube("O", (200, 0, 0), (200, 400, 0), **THERE)]
    found = [each for each in findings(checked(definitions(tube=rails + rungs))) if each.rule == "closed-tube"]
    assert [each.marks for each in found] == [("N",)]
    job = definitions({"vents": True}, tube=rails + rungs)
    vents = {piece.mark: len(piece.length_part.drilled) for piece in all_pieces(job) if piece.length_part}
    assert vents == {"R0": 0, "R1": 0, "N": 1, "O": 0}


# -- what is bought, and how much of it --------------------------------------------------------
def job_text() -> str:
    """A new rung between two old rails, one with a hole to drill and one that it has; a bought tie rod and bracket."""
    rails = [
        tube("R1", (0, 0, 0), (1200, 0, 0), **THERE, title="rail", holes=[
            {"at": 100, "side": "top", "bolt": "M10"},
            {"at": 200, "side": "top", "bolt": "M10", "state": "there already"},
        ]),
        tube("R2", (0, 600, 0), (1200, 600, 0), **THERE, title="rail"),
    ]  # fmt: skip
    text = tubes_text(tube("N1", (300, 0, 0), (300, 600, 0), **NEW, start={"opens": "yes"}), *rails)
    return text.replace('"yes"', "true") + (
        '\n[[link]]\nmark = "L1"\nlength = 300\nsection = "22 x 3"\nrod_ends = ["M12 right", "M12 left"]\n'
        'state = "bought"\ntitle = "tie rod"\nsupplier = "breaker\'s yard"\nnote = "left one"\n'
        '[[bracket]]\nmark = "B1"\nthickness = 3\nbase = [100, 60]\nflanges = [{ edge = 2, height = 30 }]\n'
        'state = "bought"\n'
        '[[price]]\nitem = "bought part"\nspec = "L1, tie rod"\neach = 25\n'
    )


@pytest.fixture(scope="module")
def work(tmp_path_factory: pytest.TempPathFactory) -> WorkedJob:
    path = tmp_path_factory.mktemp("job") / "built-on.toml"
    path.write_text(job_text(), encoding="utf-8")
    return work_on(path)


@pytest.fixture(scope="module")
def files(work: WorkedJob) -> dict[str, bytes]:
    header = work.job.definitions.job
    return job_files(header, work.pieces, work.plan, work.findings, MakeOptions(A4), survey=work.survey)


def test_what_is_bought_stands_on_the_shopping_list(work: WorkedJob, files: dict[str, bytes]) -> None:
    rows = list(csv.DictReader(io.StringIO(files["shopping-list.csv"].decode())))
    bought = [
        (row["spec"], row["quantity"], row["price_each"], row["note"]) for row in rows if row["item"] == "bought part"
    ]
    assert bought == [
        ("L1, tie rod", "1", "25.00", "from breaker's yard; left one"),
        ("B1, folded bracket 3 mm thick", "1", "", ""),
    ]
    assert not {"rod end", "jam nut", "sheet"} & {row["item"] for row in rows}


def test_a_body_is_bought_as_one() -> None:
    """An arm given as a body, with a tube on it: one line, and no tube to buy."""
    text = tubes_text(tube("A", (0, 0, 0), (400, 0, 0)), tube("F", (0, 200, 0), (400, 200, 0)))
    text += '\n[[body]]\nname = "arm"\ntitle = "lower arm"\nmarks = ["A"]\nstate = "bought"\nsupplier = "yard"\n'
    job = read(text)
    lines = bought_parts(job, all_pieces(job))
    assert [(each.spec, each.note.words()) for each in lines] == [("arm, lower arm", "from yard")]


def test_nothing_of_it_is_cut_welded_painted_or_weighed(work: WorkedJob) -> None:
    own = [piece for piece in work.pieces if piece.mark == "N1"]
    assert made_here(work.pieces) == to_make(work.pieces) == own
    assert {cut.mark for bar in work.plan.bars for cut in bar.cuts} == {"N1"}
    assert mass_and_centre(work.pieces).mass == pytest.approx(own[0].mass)
    alone = needs_of(work.job.definitions, own)
    assert needs_of(work.job.definitions, work.pieces).paint == pytest.approx(alone.paint)
    assert [[piece.mark for piece in step.pieces] for step in fit_steps(work.pieces)] == [["N1"]]


def test_papers_hold_what_is_cut_here_alone(files: dict[str, bytes]) -> None:
    rows = list(csv.DictReader(io.StringIO(files["cut-list.csv"].decode())))
    assert [row["mark"] for row in rows] == ["N1"]
    assert sorted(name for name in files if "/" in name) == [
        f"wrap/R1-{name}" for name in ("drill-1.dxf", "drill-1.svg", "hole-N1.dxf", "hole-N1.svg")
    ]
    data = json.loads(files["job.json"])
    assert {piece["mark"]: piece.get("state") for piece in data["pieces"]} == {
        "N1": None, "R1": "there already", "R2": "there already", "L1": "bought", "B1": "bought",
    }  # fmt: skip
    (rail,) = (piece for piece in data["pieces"] if piece["mark"] == "R1")
    assert [hole["dxf"] for hole in rail["drilled"]] == ["wrap/R1-drill-1.dxf", ""]


def test_the_coating_of_the_job_is_that_of_what_is_made_here() -> None:
    """What covers a donor's tube the job does not say by what covers its own."""
    job = definitions({"coating": "zinc before welding"}, tube=[OLD, CORNER, OLD | {"mark": "P", "coating": "paint"}])
    coatings = {piece.mark: piece.coating for piece in all_pieces(job)}
    assert coatings == {"OLD": "", "N": "zinc before welding", "P": "paint"}


# -- changes ---------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        (None, "there already", "was made here, now there already: do not cut it"),
        (None, "bought", "was made here, now bought: do not cut it"),
        ("bought", None, "was bought, now made here: make 1"),
        ("bought", "there already", "was bought, now there already"),
    ],
)
def test_a_part_whose_state_changes_is_told(before: str | None, after: str | None, said: str) -> None:
    def with_state(state: str | None) -> list[Piece]:
        return pieces_of(definitions(tube=[CORNER if state is None else CORNER | {"state": state}]))

    old, new = (as_issued(with_state(state)) for state in (before, after))
    assert [(each.how, each.marks, each.said.words()) for each in compared(old, new)] == [("changed", ("N",), said)]


def test_what_is_there_is_no_change_and_what_is_newly_bought_is() -> None:
    moved = OLD | {"route": [[-600, 0, 0], [500, 0, 0]]}
    old, new = (as_issued(pieces_of(definitions(tube=[each]))) for each in (OLD, moved))
    assert compared(old, new) == []
    bought = as_issued(pieces_of(definitions(tube=[OLD | {"state": "bought", "quantity": 2}])))
    assert [(each.how, each.said.words()) for each in compared((), bought)] == [("new", "new: buy 2")]


def test_a_plan_of_old_parts_alone_buys_nothing() -> None:
    job = definitions(tube=[OLD])
    plan = plan_job(job, all_pieces(job))
    assert not plan.bars
    assert not plan.shopping
