"""What the checks found, as a table: the same in the cut list and in movement.pdf."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from fabgen.checks.rule import Finding
from fabgen.documents.render import cautions
from fabgen.documents.render.flow import BODY, SMALL, cell, section, table


def findings_section(title: str, whose: str, nothing: str, findings: Sequence[Finding], width: float) -> list[Flowable]:
    """The findings in their order, `width` mm wide.

    Args:
        whose: head of the column that names what a finding is about.
        nothing: said where there is no finding.
    """
    rows = [[f.level.word, f.mark, f.cited] for f in findings]
    intro = cell(cautions.CHECKED, SMALL)
    if not rows:
        return section(title, [cell(nothing, BODY), intro])
    return section(title, table(["", whose, "finding"], rows, width), intro)
