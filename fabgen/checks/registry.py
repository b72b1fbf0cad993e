"""The registry: every rule there is, in the order they are run, and the one place that runs them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from fabgen.checks import (
    bent_bars,
    bushes,
    cautions,
    closed_members,
    concerns,
    hands,
    links,
    loose_parts,
    sizes,
    stock_and_prices,
    weld_metals,
    weld_process,
    welds,
)
from fabgen.checks.bolt import (
    bolt_counts,
    bolt_lines,
    bolt_rooms,
    bolt_seats,
    bolt_sleeves,
    bolt_tools,
    bolt_ways,
    bolts,
    end_to_end,
    off_balls,
    off_points,
    pins_given,
    pivot_bores,
    rod_tilt,
    single_shear,
    tilted_eyes,
    unbolted_eyes,
    unheld,
)
from fabgen.checks.checked import (
    Checked,
    drilled_profiles,
    drilled_tubes,
    flat_parts,
    length_parts,
    parts,
    profile_parts,
    tube_parts,
    whole_job,
)
from fabgen.checks.contact.dampers_in_air import damper_in_air
from fabgen.checks.contact.feet_past_ends import sheet_past_end
from fabgen.checks.contact.in_the_air import sheet_in_air
from fabgen.checks.contact.in_travel import fouls_in_travel
from fabgen.checks.contact.into_one_another import into_one_another
from fabgen.checks.contact.rods_in_air import rod_in_air
from fabgen.checks.contact.seats_in_air import seat_in_air
from fabgen.checks.contact.short_gussets import gusset_short
from fabgen.checks.contact.torch_access import torch_access, weld_first
from fabgen.checks.contact.welds_apart import weld_to_nothing
from fabgen.checks.motion import shared_balls
from fabgen.checks.open_ends import open_top, open_tube_ends, rain_past_cap
from fabgen.checks.profile import (
    drawn_through,
    edge_ends,
    frame_sides,
    leg_holes,
    profile_clashes,
    profile_ends,
    tubes_on_edges,
)
from fabgen.checks.rule import Finding, Group, Rule, graded
from fabgen.checks.sheet import on_bends, sheet_bends, sheet_holes, sheet_outline, strap_ears, straps
from fabgen.checks.survey import measuring
from fabgen.checks.tube import (
    bore_holes,
    crushed_ends,
    sleeves,
    slits,
    tube_bends,
    tube_holes,
)
from fabgen.checks.tube.access import weld_access
from fabgen.checks.tube.clashes import foot_past_end, tube_lap, tubes_cross
from fabgen.checks.tube.ends import cope_sizes, missed_ends, straight_cuts, tube_ends
from fabgen.checks.tube.ends.far_ends import end_far_from_point
from fabgen.checks.tube.ends.loose_ends import loose_end
from fabgen.checks.tube.ends.many_ends import many_ends, node_nowhere
from fabgen.checks.tube.mitre_outlines import mitre_step, mitred_alike
from fabgen.checks.tube.seats import seat
from fabgen.checks.tube.splices import splice, splice_place
from fabgen.checks.tube.standing import foot_in_air, leaning_foot, off_plate, which_way_up
from fabgen.checks.twins import Twins
from fabgen.plan.effort import Progress, silent

_MEETS_NOTHING = ("end-misses", "foot-past-end")
_AT_A_JOINT = ("no-hole", "hole-in-wall", "tight-heel", "tight-root", "open-side")


def groups(moving: bool = True) -> tuple[Group[Any], ...]:
    """All groups of rules; those of movement left out where nothing moves, as they take long to load."""
    return (
        Group("Sections and sheets of a size on sale", parts, sizes.RULES),
        Group("Round tube or flat bar", whole_job, (sizes.flat_or_tube,)),
        Group("Angle, channel, T and bar of sizes as sold", whole_job, (sizes.size_as_sold,)),
        Group("Tubes, their copes and bends", tube_parts, (*tube_ends.RULES, *tube_bends.RULES)),
        Group("Coped ends", whole_job, (*cope_sizes.RULES, *straight_cuts.RULES, end_far_from_point)),
        Group("Bar on tube", whole_job, (tube_ends.solid_square,)),
        Group(
            "Tubes against one another",
            whole_job,
            (
                foot_past_end,
                seat,
                tubes_cross,
                tube_lap,
                weld_access,
                mitre_step,
                mitred_alike,
                which_way_up,
                splice,
                splice_place,
                many_ends,
                node_nowhere,
                leaning_foot,
                foot_in_air,
                off_plate,
                straight_cuts.open_at_corners,
                straight_cuts.coped_round_corner,
            ),
        ),
        Group("Sleeves inside spliced tubes", whole_job, sleeves.RULES),
        Group("Holes in tubes for a branch's bore", whole_job, bore_holes.RULES),
        Group("Holes and slots in tubes", drilled_tubes, tube_holes.RULES, of_all=True),
        Group("Slits in tubes' ends", tube_parts, slits.RULES),
        Group("Crushed ends of tubes", tube_parts, crushed_ends.RULES),
        Group("Stays with crushed ends", whole_job, (crushed_ends.crushed_stay,)),
        Group("Bolts through tubes", whole_job, (tube_holes.crushed_by_bolt,)),
        Group("Holes in profiles", drilled_profiles, leg_holes.RULES, of_all=True),
        Group("Link rods", links.link_rods, links.RULES),
        Group("Balls on one point", whole_job, shared_balls.RULES),
        Group("Bent bars", bent_bars.bent_bars, bent_bars.RULES),
        Group("Bushes and crush tubes", bushes.bushes, bushes.RULES),
        Group("Welds", whole_job, (*weld_metals.RULES, *weld_process.RULES, *welds.RULES)),
        Group("Closed members and galvanizing", whole_job, closed_members.RULES),
        Group("Open ends", whole_job, (open_tube_ends, open_top, rain_past_cap)),
        Group("Tube ends that meet nothing", whole_job, (*missed_ends.RULES, loose_end, tubes_on_edges.tube_on_edge)),
        Group("Tubes that run on", length_parts, concerns.OF_TUBES),
        Group("Profiles", profile_parts, concerns.OF_PROFILES),
        Group("Profiles against other parts", whole_job, profile_clashes.RULES),
        Group("Bolts through parts that lie face to face", whole_job, bolt_ways.RULES, of_twins=True),
        Group(
            "Ends of profiles",
            whole_job,
            (*profile_ends.RULES, *edge_ends.RULES, *drawn_through.RULES, *frame_sides.RULES),
        ),
        Group(
            "Flat, folded and rolled parts",
            flat_parts,
            (*concerns.OF_SHEET, *sheet_outline.RULES, *sheet_holes.RULES, *sheet_bends.RULES),
        ),
        Group("Left and right hand", whole_job, hands.RULES),
        Group(
            "Everything that has a place against everything",
            whole_job,
            (
                into_one_another,
                sheet_in_air,
                weld_to_nothing,
                sheet_past_end,
                gusset_short,
                seat_in_air,
                rod_in_air,
                damper_in_air,
                torch_access,
                weld_first,
                *off_points.RULES,
                *off_balls.RULES,
                fouls_in_travel,
            ),
        ),
        Group("Straps", straps.straps, (*straps.RULES, on_bends.strap_bend)),
        Group("Sheet on bent tubes", flat_parts, (on_bends.seat_on_bend,)),
        Group("Ears of saddles", whole_job, strap_ears.RULES),
        Group("Bend tests", whole_job, (sheet_bends.bend_test,)),
        Group("The press brake's lower tool", flat_parts, sheet_bends.TOOL_RULES),
        *(_movement() if moving else ()),
        Group("Parts without a place", whole_job, loose_parts.RULES),
        Group("Stock", whole_job, (stock_and_prices.stock_size, stock_and_prices.sheets_cut_short)),
        Group(
            "Bolts",
            whole_job,
            (
                *bolt_counts.RULES,
                *bolt_lines.RULES,
                *unheld.RULES,
                *unbolted_eyes.RULES,
                *rod_tilt.RULES,
                *pins_given.RULES,
                *single_shear.RULES,
                *bolt_rooms.RULES,
                *end_to_end.RULES,
                *tilted_eyes.RULES,
                *bolt_seats.RULES,
                *bolt_sleeves.RULES,
                *bolt_tools.RULES,
                *bolts.BOLT_RULES,
                *pivot_bores.RULES,
            ),
            of_all=True,
            of_twins=True,
        ),
        Group("Prices and the rack", whole_job, stock_and_prices.PLAN_REMARKS),
        Group("Cautions", whole_job, cautions.RULES, of_all=True),
        Group("What was measured", whole_job, measuring.RULES, of_all=True),
    )


def _movement() -> tuple[Group[Any], ...]:
    from fabgen.checks.motion import motion_checks

    return (Group("What moves", motion_checks.moving, motion_checks.RULES, of_all=True),)


def all_rules() -> Iterator[Rule[Any]]:
    """Every rule that is registered."""
    return (rule for group in groups() for rule in group.rules)


def _told(every: Sequence[Group[Any]], progress: Progress) -> Iterator[Group[Any]]:
    for number, group in enumerate(every):
        progress("holding everything against everything", number / len(every))
        yield group


def run_checks(checked: Checked, progress: Progress = silent) -> list[Finding]:
    """Every finding on a job, the gravest first, else in the order of the rules and of the job.

    Args:
        checked: the job.
        progress: called before each group of rules.
    """
    twins = Twins(checked.firsts)
    found = [
        finding
        for group in _told(groups(checked.movement is not None), progress)
        for finding in (twins.as_one(group.findings(checked)) if group.of_twins else group.findings(checked))
        if group.of_all or not checked.as_it_is.issuperset(finding.marks)
    ]
    # An end that meets nothing has no hole and no weld that would be worth a word besides.
    lost = {mark for finding in found if finding.rule in _MEETS_NOTHING and finding.is_stop for mark in finding.marks}
    found = [each for each in found if each.rule not in _AT_A_JOINT or not lost.issuperset(each.marks)]
    # What is of no size on sale is a finding with its sizes; the plan does not repeat it.
    sized = {mark for finding in found if finding.rule == "sheet-size" for mark in finding.marks}
    return graded(each for each in found if each.rule != "stock-size" or not sized.intersection(each.marks))
