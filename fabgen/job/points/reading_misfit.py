"""Readings of a point that do not agree: the remarks on them, when they stop the job, and the tolerance they leave.

Each reading's misfit is tested in units of what chance makes of it (W. Baarda, A Testing Procedure for Use in Geodetic
Networks, 1968).  Where one fails, the readings are worse than was stated, and the tolerance is widened by the root of
the weighted sum of squares of the misfits over the readings to spare: the standard deviation of unit weight found
afterwards, of any textbook on adjustment by least squares (from memory, no page).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.survey.trilateration import LIMIT, Fit, left_over, slip, suspects
from fabgen.job.values.point import Reading, Remark
from fabgen.wording.figures import figure
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, number, sentence

STOP = 5.0
"""Misfits of more than so many standard deviations stop the job: by chance, fewer than one reading in a million (the
normal distribution's two tails beyond 5)."""


def out_most(readings: Sequence[Reading]) -> float:
    """The largest misfit in units of chance; 0 where no reading is checked by another."""
    return max((reading.stands_out or 0.0 for reading in readings), default=0.0)


def widening(fit: Fit, spread: Array, readings: Sequence[Reading]) -> float:
    """By how much the point's tolerance has to be multiplied; 1 where the readings agree.

    `spread` (m, k): how each reading is off, mm, by each of k independent unit errors.
    """
    out = out_most(readings)
    if out <= LIMIT or fit.spare < 1:
        return 1.0
    gap = fit.measures.read - fit.made
    chance = left_over(fit) @ spread
    squares = float(gap @ np.linalg.pinv(chance @ chance.T, rcond=1e-6, hermitian=True) @ gap)
    # One wrong reading's misfit, shared out over all that are to spare, would widen too little: it counts in full.
    return max(out, math.sqrt(squares / fit.spare))


def widened_scatter(name: str, moved: Array, times: float) -> Mapping[str, Array]:
    """What to add to a point's scatter, an error of its own beside the shared ones, so that its tolerance is `times`
    what `moved` (3, k), the point's moves with each unit error, makes of it."""
    if times <= 1.0:
        return {}
    sizes, ways = np.linalg.eigh(moved @ moved.T * (times * times - 1.0))
    return {f"{name}: readings disagree, {i + 1}": ways[:, i] * math.sqrt(max(float(sizes[i]), 0.0)) for i in range(3)}


def misfit_remarks(
    fit: Fit, words: Sequence[str], readings: Sequence[Reading], times: float, inches: bool = False
) -> list[Remark]:
    """The remarks on readings that do not agree; `inches`: the job's tape reads in inches."""
    out = out_most(readings)
    if out <= LIMIT:
        return []
    worst = max(abs(reading.made - reading.read) for reading in readings)
    usual = max(reading.error for reading in readings)
    disagree = sentence("its readings disagree by up to ", mm(worst), ", more than an error of ", mm(usual), " makes (")
    text = sentence(
        *(disagree, number(out), " times chance); ", _likeliest(fit, words, readings, inches)),
        *(". Its tolerance is widened ", number(times), " times for that"),
    )
    if out <= STOP:
        return [Remark(Level.WARN, "reading-misfit", text)]
    text = sentence(text, ": cut nothing that depends on it; measure it again, or give the true tape_error")
    return [Remark(Level.STOP, "reading-misfit", text)]


def _likeliest(fit: Fit, words: Sequence[str], readings: Sequence[Reading], inches: bool) -> Sentence:
    found = suspects(fit)
    if len(found) == 2:
        return sentence(f"wrong is likely {words[found[0].index]} or {words[found[1].index]}; measure both again")
    if len(found) != 1:
        few = fit.spare < 2
        return sentence("one more reading would show" if few else "the readings do not show", " which is wrong")
    bad = found[0]
    read = readings[bad.index].read
    others = sentence(
        f"likeliest wrong is {words[bad.index]}, read ", mm(read), ", where the others say ", mm(bad.likely)
    )
    why = slip(read, bad.likely, 2.0 * readings[bad.index].error, inches)
    x, y, z = bad.fit.at
    without = f"; without it the point is [{figure(x)}, {figure(y)}, {figure(z)}]. Measure it again"
    return sentence(others, f" ({why})" if why else "", without)
