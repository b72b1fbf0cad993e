"""One coped tube end without a job file: the files and the words of `fabgen cope`."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from fabgen.checks.checked import Checked, Checking
from fabgen.checks.sizes import section_doubt
from fabgen.checks.tube.ends.cope_sizes import branch_wider, shallow_cope
from fabgen.checks.tube.ends.tube_ends import end_misses
from fabgen.documents.data.json_figures import rounded
from fabgen.documents.dxf.flat_dxf import sheet_dxf
from fabgen.documents.dxf.sleeves import has_sleeve, sleeve_stl
from fabgen.documents.dxf.svg_file import sheet_svg
from fabgen.documents.everything import MakeOptions
from fabgen.documents.render.pdf import render
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import figure
from fabgen.documents.templates.templates import template_pages
from fabgen.documents.wrap.wrap_sheet import wrap_sheet
from fabgen.geometry.space.frame import Frame
from fabgen.job.errors import InputError
from fabgen.job.tables.definitions import Definitions, Header
from fabgen.job.tables.part_tables import Fit
from fabgen.job.values.option_values import angle_option, length_option, option
from fabgen.job.values.section_text import parse_section
from fabgen.parts.piece import LengthPart, Piece, WorkedEnd
from fabgen.parts.shape.cuts import cut_line, plain_line
from fabgen.parts.shape.sections import section_profile
from fabgen.parts.single_cope import FRAME, SimpleCope, simple_cope

STUB = 150.0
"""Length of tube beyond the cope's shortest point that stands for 'the rest of the tube', mm."""


@dataclass(frozen=True, eq=False)
class CopeRequest:
    """The request, and the cope it gives."""

    cope: SimpleCope

    @property
    def misses(self) -> bool:
        """Whether the branch meets nothing of the main."""
        return bool(np.isnan(self.cope.line.x).all())

    @property
    def name(self) -> str:
        """Of the output folder: one cope, one folder."""
        cope = self.cope
        parts = [_compact(cope.branch), "onto", _compact(cope.onto), f"{figure(math.degrees(cope.angle), 2)}deg"]
        if cope.offset:
            parts.append(f"offset{figure(cope.offset, 2)}")
        return "cope-" + "-".join([*parts, cope.end.fit])


def cope_json(cope: SimpleCope) -> dict[str, Any]:
    """The cope as `fabgen cope --json` prints it, without the path of its template."""
    degrees = section_profile(cope.branch, tangents=False)
    line = cut_line(degrees, FRAME, [cope.main], cope.end.fit)
    return {
        "branch": str(cope.branch),
        "onto": str(cope.onto),
        "angle_deg": rounded(math.degrees(cope.angle)),
        "offset_mm": rounded(cope.offset),
        "fit": cope.end.fit,
        "line": [[i, None if np.isnan(x) else rounded(x)] for i, x in enumerate(line.x)],
        "wrap_mm": rounded(cope.branch.perimeter),
        "saw": asdict(cope.saw) | {"advice": cope.saw.advice.words(), "brief": cope.saw.brief.words()},
    }


def read_cope(branch: str, onto: str, angle: str, offset: str, fit: str) -> CopeRequest:
    """The request from the command line's words; raises ValueError that names the option.

    With no fit, '', it is clear but where one straight saw cut makes the cope, as in a job.
    """
    if fit not in ("", "clear", "outside"):
        raise InputError(f"--fit: there is no fit {fit!r}", "clear, outside")
    branch_section = option("branch", lambda: parse_section(branch))
    onto_section = option("onto", lambda: parse_section(onto))
    turned, aside = angle_option("angle", angle), length_option("offset", offset)

    def fitted(chosen: Fit) -> SimpleCope:
        return option("angle", lambda: simple_cope(branch_section, onto_section, turned, aside, chosen))

    outside = fitted("outside")
    straight = fit == "" and outside.saw.method == "straight saw cut"
    return CopeRequest(outside if straight or fit == "outside" else fitted("clear"))


def cope_files(request: CopeRequest, options: MakeOptions) -> dict[str, bytes]:
    """The template and the developed wrap, by file name."""
    cope = request.cope
    piece = _piece(cope)
    title = f"{cope.branch} onto {cope.onto}, {figure(math.degrees(cope.angle), 2)}°"
    header = Header.model_validate({"title": title, "number": "cope", "units": "mm"}, context={})
    start = piece.length_part.ends[0] if piece.length_part else None
    assert start is not None
    pages = options.true_size(lambda sheet: template_pages([piece], header, sheet, card=False, every_end=True))
    wrap = wrap_sheet(piece, start)
    files = {"tube-templates.pdf": render(pages, title), "wrap.dxf": sheet_dxf(wrap), "wrap.svg": sheet_svg(wrap)}
    if options.sleeves and has_sleeve(start):
        files |= {"sleeve.stl": sleeve_stl(piece, start), "sleeve-how-to-use.txt": prose("sleeves", "use").encode()}
    return files


def cope_report(request: CopeRequest) -> Iterator[str]:
    """What the command prints: the main figures and how to saw it."""
    cope = request.cope
    x = cope.line.x[~np.isnan(cope.line.x)]
    yield (
        f"{cope.branch} coped onto {cope.onto} at {figure(math.degrees(cope.angle), 2)}°, "
        f"offset {figure(cope.offset, 2)} mm, fit {cope.end.fit}"
    )
    yield f"wrap: {figure(cope.branch.perimeter, 2)} mm round the tube"
    for name, section in (("branch", cope.branch), ("onto", cope.onto)):
        if doubt := section_doubt(section):
            yield f"look: --{name}: {doubt.words()}"
    findings = cope_findings(cope)
    if len(x) == 0:
        yield from findings
        return
    deep = figure(float(np.ptp(x)), 2)
    yield (
        f"by the template: square saw cut at {figure(x.min(), 2)} mm from the work point, the cope {deep} mm deep "
        f"(deepest at {figure(x.max(), 2)} mm)"
    )
    yield from findings
    yield f"saw: {cope.saw.advice.words()}"


def cope_findings(cope: SimpleCope) -> list[str]:
    """What the checks of a job say of such an end, a line each."""
    branch = _piece(cope)
    part = branch.length_part
    assert part is not None
    # The main's own ends do not matter.
    under = replace(part, section=cope.onto, frame=cope.axis, ends=(part.ends[1], part.ends[1]))
    pieces = (replace(branch, mark=str(cope.onto), shape=under), branch)
    checked = Checked(Definitions(job=Header(title="cope", number="1", units="mm")), pieces)
    found = [*end_misses(Checking(branch, part, checked)), *shallow_cope(checked), *branch_wider(checked)]
    return [f"{finding.level.word}: {finding.text} ({finding.source})" for finding in found]


def _piece(cope: SimpleCope) -> Piece:
    """The cope as the start of a stub of tube."""
    axes = np.eye(3)
    profile = section_profile(cope.branch)
    hits = cope.line.x[~np.isnan(cope.line.x)]
    far = (float(hits.max()) if len(hits) else 0.0) + STUB
    back = Frame(np.array([far, 0.0, 0.0]), -axes[0], axes[1], -axes[2])
    finish = WorkedEnd("finish", "plain", plain_line(profile), back, 0.0)
    length = far - (float(hits.min()) if len(hits) else 0.0)
    return Piece("COPE", "tube", 1, "", 0.0, LengthPart(cope.branch, length, far, (cope.end, finish)))


def _compact(section: object) -> str:
    return str(section).replace(" ", "")
