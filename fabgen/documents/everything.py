"""All files of a job, made in memory: what `fabgen make` writes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from fabgen.changes.issuing import Issuing
from fabgen.changes.record import NAME as RECORD
from fabgen.changes.trial import Trial
from fabgen.checks.rule import Finding
from fabgen.documents.data.job_json import job_json
from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.dxf.flat_dxf import flat_dxf, flat_name
from fabgen.documents.dxf.machine_files import kerf_files, sleeve_files, wrap_files
from fabgen.documents.dxf.nest_dxf import nest_dxf, nest_names
from fabgen.documents.lists.changes_list import changes_text
from fabgen.documents.lists.csv_lists import cut_list_csv, shopping_csv
from fabgen.documents.lists.cut_list import cut_list_pdf
from fabgen.documents.lists.saw_sheet import saw_sheet_pdf
from fabgen.documents.lists.shopping_list import shopping_pdf
from fabgen.documents.lists.shopping_xlsx import shopping_xlsx
from fabgen.documents.render.correction import NONE, Correction, true_size_pages
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import Page, render
from fabgen.documents.render.words import counted
from fabgen.documents.templates.templates import template_pages
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import FlatPart, Piece, to_make
from fabgen.parts.shape.standing import needs_set_out
from fabgen.parts.survey.check_distances import EVERYWHERE, Reach, heights, rails
from fabgen.plan.effort import Progress, silent
from fabgen.plan.plan import Plan

if TYPE_CHECKING:
    from fabgen.contact.contacts import Contacts
    from fabgen.documents.drawing.tube.bend_sheet import BendSheet
    from fabgen.documents.lists.label_sheets import LabelOptions
    from fabgen.documents.scene.beside import Wire
    from fabgen.motion.movement import Movement
    from fabgen.parts.survey.following import Survey


@dataclass(frozen=True, slots=True)
class MakeOptions:
    """What the user chose besides the job: paper, the printer's correction, and files made on request only.

    All but paper and correction are set for files that are made on request: marking sleeves, the pack for a cutting
    service, paper patterns, labels, the floor layout, all papers as one.  `progress` is told which paper is drawn;
    `trial`: what the papers are made with in place of what the job file says.
    """

    paper: Paper
    correction: Correction = NONE
    sleeves: bool = False
    order: bool = False
    patterns: bool = False
    labels: LabelOptions | None = None
    floor: bool = False
    one_file: bool = False
    progress: Progress = silent
    trial: Trial | None = None

    def true_size(self, lay_out: Callable[[Paper], list[Page]]) -> list[Page]:
        """The pages that `lay_out` makes for a sheet, on the chosen paper and corrected for the printer."""
        return true_size_pages(lay_out, self.paper, self.correction)


def _bodies(pieces: Sequence[Piece], movement: Movement | None) -> dict[str, str]:
    """The body that moves on which a part rides, by its mark."""
    if movement is None:
        return {}
    from fabgen.motion.riders import Riders  # the jobs that move are few

    return Riders(movement.linkage, pieces).named()


def job_files(
    header: Header,
    pieces: Sequence[Piece],
    plan: Plan,
    findings: Sequence[Finding],
    options: MakeOptions,
    movement: Movement | None = None,
    survey: Survey | None = None,
    issue: Issuing | None = None,
    contacts: Contacts | None = None,
) -> dict[str, bytes]:
    """Path in the output folder to content, in the order that job.json lists them.

    `issue`: the papers beside those before them; None where nobody keeps a record of that.  `contacts`: what touches
    what, where that is wanted.

    Pages that would hold nothing (templates of a job without copes) are left out, and so is what is made already where
    it is a paper or file to cut by.
    """
    files: dict[str, bytes] = {}
    paper, cut = options.paper, to_make(pieces)
    welds = contacts.weld_lines if contacts is not None else ()
    edges = contacts.welded_edges if contacts is not None else None
    flats = {piece.mark: flat_name(piece) for piece in cut if isinstance(piece.shape, FlatPart)}
    options.progress("cut-list.pdf", 0.0)
    files["cut-list.pdf"] = cut_list_pdf(
        header, pieces, plan, findings, flats, paper, issue, welds, _bodies(pieces, movement), options.trial
    )
    if issue is not None and issue.says_something:
        files["changes.txt"] = changes_text(header, issue).encode()
    options.progress("tube-templates.pdf", 0.1)
    templates = options.true_size(lambda sheet: template_pages(pieces, header, sheet))
    if templates:
        files["tube-templates.pdf"] = render(templates, f"{header.number} tube templates", header.owner)
    beside: list[Wire] = []
    if movement is not None:
        from fabgen.documents.scene.beside import wires  # the jobs that move are few

        beside = wires(movement.linkage.job)
    options.progress("drawings.pdf", 0.25)
    bends: list[BendSheet] = []
    if any(part.bends for piece in cut if (part := piece.length_part)):
        from fabgen.documents.drawing.tube.bend_sheet import bend_sheets  # few jobs bend tube

        bends = bend_sheets(cut, header, paper)
    if drawings := drawing_pages(pieces, header, paper, header.projection, beside, bends, edges):
        files["drawings.pdf"] = render(drawings, f"{header.number} drawings", header.owner)
    if movement is not None:
        from fabgen.checks.motion.motion_checks import movement_findings
        from fabgen.documents.points.movement_pdf import movement_pdf

        files["movement.pdf"] = movement_pdf(header, movement, movement_findings(movement, header.units), paper)
    options.progress("set-out.pdf", 0.65)
    if needs_set_out(pieces):
        from fabgen.documents.set_out.set_out_pdf import set_out_pdf

        datum = 0.0 if survey is None else heights(survey.drawn)[0]
        starts = {} if survey is None else {rail.mark: rail.ends[0].name for rail in rails(survey.drawn)}
        dampers = () if survey is None else survey.drawn.damper
        if set_out := set_out_pdf(header, pieces, datum, paper, plan.bolts, starts, dampers):
            files["set-out.pdf"] = set_out
    tape: Reach = EVERYWHERE
    if survey is not None:
        if contacts is not None:
            from fabgen.contact.tape import Tape

            read = () if survey.built is None else survey.built.given.distances
            tape = Tape(survey.drawn, contacts.solids, read)
        from fabgen.documents.points.check_table import check_table_pdf

        if table := check_table_pdf(header, survey, pieces, paper, tape):
            files["check-table.pdf"] = table
        if options.floor:
            files |= _floor(header, survey, pieces, options)
    options.progress("flat patterns and outlines", 0.75)
    for piece in cut:
        if isinstance(piece.shape, FlatPart):
            files[f"flat/{flats[piece.mark]}"] = flat_dxf(piece)
    files |= wrap_files(pieces)
    files |= _on_request(header, cut, options, files, plan, pieces)
    if not options.order:
        # Parts that are sent out need no nests.
        parts = {piece.mark: piece.shape for piece in pieces if isinstance(piece.shape, FlatPart)}
        for name, sheet in zip(nest_names(plan.sheets), plan.sheets, strict=True):
            files[f"sheets/{name}"] = nest_dxf(sheet, parts)
    options.progress("saw-sheets.pdf", 0.85)
    if saw_sheets := saw_sheet_pdf(header, pieces, plan, paper):
        files["saw-sheets.pdf"] = saw_sheets
    options.progress("shopping-list.pdf", 0.95)
    files["shopping-list.pdf"] = shopping_pdf(header, pieces, plan, paper)
    files["cut-list.csv"] = cut_list_csv(cut, flats, header.units).encode()
    files["shopping-list.csv"] = shopping_csv(plan, header.units).encode()
    files["shopping-list.xlsx"] = shopping_xlsx(header, pieces, plan)
    if options.one_file:
        from fabgen.documents.one_file import NAME, one_file_pdf

        files[NAME] = one_file_pdf(header, paper, files, pieces, drawings)
    if issue is not None:
        files[RECORD] = issue.record.encode()
    names = [*files, "job.json"]
    files["job.json"] = job_json(
        header, pieces, plan, findings, names, movement, survey, issue, contacts, tape, options.trial
    ).encode()
    return files


def _on_request(
    header: Header,
    pieces: Sequence[Piece],
    options: MakeOptions,
    made: Mapping[str, bytes],
    plan: Plan,
    known: Sequence[Piece],
) -> dict[str, bytes]:
    """Files on request: sleeves, the pack for the cutting service, paper patterns, files with the kerf taken off."""
    files: dict[str, bytes] = {}
    if options.sleeves:
        files |= sleeve_files(pieces)
    if options.order:
        from fabgen.documents.dxf.svg_file import flat_svg, svg_name
        from fabgen.documents.lists.order_pack import order_pack

        drawn = {name.removeprefix("flat/"): data for name, data in made.items() if name.startswith("flat/")}
        files |= order_pack(header, pieces, options.paper, drawn, plan.bolts, known)
        files |= {f"flat/{svg_name(p)}": flat_svg(p) for p in pieces if isinstance(p.shape, FlatPart)}
    if options.patterns:
        from fabgen.documents.templates.patterns import pattern_pages

        pages = options.true_size(lambda sheet: pattern_pages(pieces, header, sheet))
        if pages:
            files["patterns.pdf"] = render(pages, f"{header.number} sheet patterns", header.owner)
    if (labels := options.labels) is not None:
        from fabgen.documents.lists.label_sheets import label_pages

        chosen = labels  # a name that the function keeps
        pages = options.true_size(lambda sheet: label_pages(pieces, header, sheet, chosen))
        files["labels.pdf"] = render(pages, f"{header.number} labels", header.owner)
    if header.kerf_offset:
        files |= kerf_files(pieces, header.kerf_offset)
    return files


def pages_ahead(header: Header, pieces: Sequence[Piece], survey: Survey | None, options: MakeOptions) -> Iterator[str]:
    """A sentence on each paper at true size that may take many pages: how many, before it is drawn."""
    sheet = options.correction.layout(options.paper)
    name = options.paper.name
    if options.floor and survey is not None:
        from fabgen.documents.points.floor_layout import MOST_PAGES, floor_page_count, floor_plan

        if (plan := floor_plan(survey.job, pieces)) is not None:
            count = floor_page_count(plan, sheet)
            if count > MOST_PAGES:
                yield (
                    f"floor layout: {count} pages of {name}, more than {MOST_PAGES}, so only floor-layout.dxf is made: "
                    "larger paper takes fewer (--paper)"
                )
            else:
                yield f"floor layout: {counted(count, 'page')} of {name}, the first a map of them"
    if options.patterns:
        from fabgen.documents.templates.patterns import pattern_page_count

        if count := pattern_page_count(to_make(pieces), header, sheet):
            yield f"paper patterns: about {counted(count, 'page')} of {name}"


def _floor(header: Header, survey: Survey, pieces: Sequence[Piece], options: MakeOptions) -> dict[str, bytes]:
    """The plan at true size: a DXF file, and pages where they are not too many."""
    from fabgen.documents.points.floor_layout import floor_dxf, floor_pages, floor_plan

    plan = floor_plan(survey.job, pieces)
    if plan is None:
        return {}
    files = {"floor-layout.dxf": floor_dxf(plan)}
    pages = options.true_size(lambda sheet: floor_pages(plan, header, sheet))
    if pages:
        files["floor-layout.pdf"] = render(pages, f"{header.number} floor layout", header.owner)
    return files


def with_date(header: Header, issued: date | None) -> Header:
    """The header with the date given on the command line, if any."""
    return header if issued is None else header.model_copy(update={"date": issued})
