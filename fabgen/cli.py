"""The commands.  They read, call, print and exit; what they do lives elsewhere.

Exit codes: 0 done, 1 done but a check says stop, 2 bad input (nothing written), 3 could not write.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn, TypeVar

import typer

if TYPE_CHECKING:
    from fabgen.checks.finding import Finding
    from fabgen.documents.paper import Paper
    from fabgen.settings import Settings
    from fabgen.work import Work

T = TypeVar("T")

app = typer.Typer(
    name="fabgen",
    help="From a plain text job file to cut list, tube templates, flat patterns, drawings and a shopping list.",
    no_args_is_help=True,
    add_completion=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

STOPPED, BAD_INPUT, NOT_WRITTEN = 1, 2, 3

JobFile = Annotated[Path, typer.Argument(metavar="JOB.toml", help="the job file")]
OutFolder = Annotated[Path, typer.Option("--out", metavar="DIR", help="where the results' folder goes")]
RackFile = Annotated[Path | None, typer.Option("--rack", metavar="RACK.toml", help="stock on hand, used first")]
PaperName = Annotated[str, typer.Option("--paper", help="A4, A3, Letter …")]
Sleeves = Annotated[bool, typer.Option("--sleeves", help="also marking sleeves to print in 3D (STL)")]
AsJson = Annotated[bool, typer.Option("--json", help="print the figures as JSON")]


def main() -> None:
    """Entry point: a broken pipe or Ctrl-C ends quietly, as the shell expects."""
    try:
        app()
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)


@app.callback(invoke_without_command=True)
def top(version: Annotated[bool, typer.Option("--version", help="print the version and stop")] = False) -> None:
    if version:
        from fabgen import __version__

        typer.echo(__version__)
        raise typer.Exit


@app.command()
def make(
    job: JobFile,
    rack: RackFile = None,
    out: OutFolder = Path("output"),
    paper: PaperName = "A4",
    issued: Annotated[str | None, typer.Option("--date", metavar="YYYY-MM-DD", help="date on the documents")] = None,
    sleeves: Sleeves = False,
    order: Annotated[bool, typer.Option("--order", help="also a pack for the cutting service, and SVG flats")] = False,
    patterns: Annotated[bool, typer.Option("--patterns", help="also true-size paper patterns of the flats")] = False,
) -> None:
    """Make everything: cut list, templates, flat patterns, drawings, lists."""
    sheet, day, settings = _paper(paper), _date(issued), _settings()
    work = _work(job, rack)
    from fabgen.documents.everything import Wishes, job_files, with_date
    from fabgen.documents.folder import WriteError, write_folder
    from fabgen.documents.words import counted

    wishes = Wishes(sheet, settings.correction(sheet), sleeves, order, patterns)
    header = with_date(work.job.definitions.job, day)
    files = job_files(header, work.pieces, work.plan, work.findings, wishes, work.movement)
    target = out / job.stem
    try:
        write_folder(target, files)
    except WriteError as error:
        _fail(str(error), NOT_WRITTEN)
    _print_findings(work.findings)
    flats = sum(name.startswith("flat/") for name in files)
    wraps = sum(name.startswith("wrap/") and name.endswith(".dxf") for name in files)
    made = counted(sum(piece.quantity for piece in work.pieces), "piece")
    typer.echo(f"{counted(len(work.pieces), 'mark')}, {made} -> {target}")
    typer.echo("  " + ", ".join(name for name in files if "/" not in name))
    typer.echo(f"  flat/ {counted(flats, 'pattern')}, wrap/ {counted(wraps, 'outline')} of tube ends and holes")
    _finish(work.findings)


@app.command()
def book(
    job: JobFile,
    rack: Annotated[Path, typer.Option("--rack", metavar="RACK.toml", help="the rack file that is changed")],
    again: Annotated[bool, typer.Option("--again", help="book a job once more: it is built a second time")] = False,
    anyway: Annotated[bool, typer.Option("--anyway", help="book the plan of now, whatever the cut list says")] = False,
    least: Annotated[str | None, typer.Option(help="shorter offcuts are not kept; left out = the rack's own")] = None,
    service: Annotated[bool, typer.Option("--service", help="a service cut the flat parts: book no sheets")] = False,
    out: OutFolder = Path("output"),
    issued: Annotated[str | None, typer.Option("--date", metavar="YYYY-MM-DD", help="when it was used")] = None,
) -> None:
    """Take what a job uses off the rack file and put its offcuts on, each with a mark."""
    from fabgen.book import book_job, report
    from fabgen.job.options import length_option
    from fabgen.job.safe_file import FileBusyError, NotWrittenError

    day, shortest = _date(issued), None if least is None else _input(lambda: length_option("least", least))
    made = None if anyway else out / job.stem
    try:
        work, booking = _good_input(
            lambda: book_job(job, rack, again=again, least=shortest, own_sheets=not service, issued=day, made=made)
        )
    except (FileBusyError, NotWrittenError) as error:
        _fail(f"{error}\nnothing was booked", NOT_WRITTEN)
    for line in report(work, booking):
        typer.echo(line)
    typer.echo(f"{booking.number} booked on {rack}; its last state is in {rack.name}.bak")
    _finish(work.findings)


@app.command()
def look(
    job: JobFile,
    rack: RackFile = None,
    out: OutFolder = Path("output"),
    watch: Annotated[bool, typer.Option("--watch", help="show the page and make it again at each saving")] = False,
) -> None:
    """Make the page: the job in 3D, each part's drawing and checks, the cut list to tick."""
    from fabgen.documents.folder import WriteError
    from fabgen.documents.page.html import page_html
    from fabgen.documents.words import counted
    from fabgen.look import follow, write_page

    try:
        if watch:
            _good_input(lambda: follow(job, out / job.stem, rack, typer.echo))
            return
        work = _work(job, rack)
        html = page_html(work.job.definitions.job, work.pieces, work.plan, work.findings)
        page = write_page(out / job.stem, html)
    except WriteError as error:
        _fail(str(error), NOT_WRITTEN)
    _print_findings(work.findings)
    typer.echo(f"{counted(len(work.pieces), 'mark')} -> {page}")
    _finish(work.findings)


@app.command()
def check(job: JobFile) -> None:
    """Read and check a job; write nothing."""
    from fabgen.documents.words import counted

    work = _work(job)
    _print_findings(work.findings)
    typer.echo(f"{counted(len(work.pieces), 'mark')} read and checked; nothing written")
    _finish(work.findings)


@app.command()
def cope(
    branch: Annotated[str, typer.Option(help="the tube that is cut, e.g. 48.3x3.2")],
    onto: Annotated[str, typer.Option(help="the tube it sits on, e.g. 60.3x3.2")],
    angle: Annotated[str, typer.Option(help="angle between the two tubes, degrees")],
    offset: Annotated[str, typer.Option(help="how far the axes pass one another, e.g. 5 or '1/4 in'")] = "0",
    fit: Annotated[str, typer.Option(help="clear: no part of the wall fouls; outside: outer skin touches")] = "clear",
    paper: PaperName = "A4",
    out: OutFolder = Path("output"),
    sleeves: Sleeves = False,
    as_json: AsJson = False,
) -> None:
    """One coped tube end without a job file: a true-size template and its figures."""
    from fabgen.documents.everything import Wishes
    from fabgen.documents.folder import WriteError, write_folder
    from fabgen.documents.one_cope import cope_files, cope_report, read_cope

    sheet, settings = _paper(paper), _settings()
    request = _input(lambda: read_cope(branch, onto, angle, offset, fit))
    target = out / request.name
    try:
        write_folder(target, cope_files(request, Wishes(sheet, settings.correction(sheet), sleeves)))
    except WriteError as error:
        _fail(str(error), NOT_WRITTEN)
    template = (target / "tube-templates.pdf").as_posix()
    if as_json:
        typer.echo(json.dumps(request.figures() | {"template": template}, allow_nan=False))
    else:
        for line in (*cope_report(request), f"template: {template}"):
            typer.echo(line)
    if request.misses:
        raise typer.Exit(STOPPED)


@app.command()
def bend(
    thickness: Annotated[str, typer.Option(help="sheet thickness, e.g. 3 or '1/8 in'")],
    radius: Annotated[str, typer.Option(help="inside radius")],
    angle: Annotated[str, typer.Option(help="bend angle: how far the sheet turns from flat, degrees")],
    material: Annotated[str, typer.Option(help="for the K-factor table, e.g. S235, 304, 5754")] = "S235",
    k: Annotated[float | None, typer.Option(min=0.0, max=1.0, help="your own K-factor; wins over the table")] = None,
    rule: Annotated[str, typer.Option(help="table or din6935: where K comes from")] = "table",
    die: Annotated[str | None, typer.Option(help="opening of the lower tool; left out = the usual one")] = None,
    length: Annotated[str | None, typer.Option(help="length of the bend, for the force; left out = a metre")] = None,
    coupon: Annotated[bool, typer.Option("--coupon", help="also a test strip to cut and fold: page and DXF")] = False,
    paper: PaperName = "A4",
    out: OutFolder = Path("output"),
    as_json: AsJson = False,
) -> None:
    """Bend allowance, deduction and setback of one bend."""
    from fabgen.documents.one_bend import bend_figures, bend_report

    figures = _input(lambda: bend_figures(thickness, radius, angle, material, k, rule, die, length))
    if coupon:
        from fabgen.documents.bend_coupon import coupon_files, read_coupon
        from fabgen.documents.folder import WriteError, write_folder

        sheet = _paper(paper)
        strip = _input(lambda: read_coupon(thickness, radius, material, die))
        target = out / f"bend-test-{figures['thickness_mm']:g}mm-{figures['material']}"
        try:
            write_folder(target, coupon_files(strip, sheet))
        except WriteError as error:
            _fail(str(error), NOT_WRITTEN)
        typer.echo(f"test strip: {target.as_posix()}/", err=as_json)
    if as_json:
        typer.echo(json.dumps(figures, allow_nan=False))
        return
    for line in bend_report(figures):
        typer.echo(line)


@app.command()
def start(
    template: Annotated[str | None, typer.Argument(metavar="TEMPLATE", help="the starter's name")] = None,
    file: Annotated[Path | None, typer.Argument(metavar="FILE", help="where to put it")] = None,
) -> None:
    """Copy a starter job to work from; with none named, list them."""
    from fabgen.starters import purpose, starters

    known = starters()
    if template is None:
        for name, path in known.items():
            typer.echo(f"{name:<16} {purpose(path)}")
        typer.echo("\nfabgen start NAME FILE.toml copies one to begin with.")
        return
    if template not in known:
        from fabgen.shop.nearest import nearest

        close = nearest(template, known)
        hint = f"\n    nearest: {close}" if close else ""
        _fail(f"there is no starter {template!r}\n    accepted: {', '.join(known)}{hint}", BAD_INPUT)
    target = file or Path(f"{template}.toml")
    if target.exists():
        _fail(f"{target} is there already and stays as it is\n    accepted: the name of a new file", BAD_INPUT)
    try:
        target.write_bytes(known[template].read_bytes())
    except OSError as error:
        _fail(f"cannot write {target}: {error.strerror}", NOT_WRITTEN)
    typer.echo(f"{target} written. Edit it, then: fabgen make {target}")


@app.command()
def printer(
    paper: PaperName = "A4",
    across: Annotated[str | None, typer.Option(help="the line across the page as you measured it")] = None,
    down: Annotated[str | None, typer.Option(help="the line down the page as you measured it")] = None,
    forget: Annotated[bool, typer.Option("--forget", help="print as it comes again")] = False,
    out: OutFolder = Path("output"),
) -> None:
    """Correct a printer that prints long or short: a test page, then the two lengths you measured."""
    from fabgen.documents.folder import WriteError, write_folder
    from fabgen.printer_setup import FOLDER, change_report, changed_settings, page_files, page_report
    from fabgen.settings import write_settings

    sheet, settings = _paper(paper), _settings()
    changed = _input(lambda: changed_settings(settings, sheet, across, down, forget))
    try:
        if changed is None:
            write_folder(out / FOLDER, page_files(sheet))
            told = [f"{(out / FOLDER).as_posix()}/: the test page", *page_report(settings, sheet)]
        else:
            write_settings(changed)
            told = list(change_report(settings, changed, sheet))
    except WriteError as error:
        _fail(str(error), NOT_WRITTEN)
    for line in told:
        typer.echo(line)


@app.command()
def keys(
    table: Annotated[str | None, typer.Argument(metavar="TABLE", help="a table's name, e.g. bracket")] = None,
) -> None:
    """What a job file can say: all tables, or one table's keys with what they mean."""
    from fabgen.job.manual import overview, table_text, tables
    from fabgen.shop.nearest import nearest

    known = tables()
    if table is not None and table not in known:
        close = nearest(table, known)
        hint = f"\n    nearest: {close}" if close else ""
        _fail(f"a job file has no table {table!r}\n    accepted: {', '.join(known)}{hint}", BAD_INPUT)
    for line in overview() if table is None else table_text(table):
        typer.echo(line)


# -- shared steps -------------------------------------------------------------
def _work(path: Path, rack: Path | None = None) -> Work:
    """Read, build, plan and check; on bad input print every problem and exit."""
    from fabgen.work import work_on

    return _good_input(lambda: work_on(path, rack))


def _good_input(read: Callable[[], T]) -> T:
    from fabgen.job.errors import JobError, describe

    try:
        return read()
    except JobError as error:
        for problem in error.problems:
            typer.echo(describe(problem), err=True)
        typer.echo(error.summary, err=True)
        raise typer.Exit(BAD_INPUT) from error


def _print_findings(findings: Sequence[Finding]) -> None:
    words = {"stop": "STOP", "warn": "look", "note": "note"}
    from fabgen.checks.finding import together

    for finding in together(findings):
        typer.echo(f"{words[finding.level]}  {finding.mark}: {finding.text}")


def _finish(findings: Sequence[Finding]) -> None:
    stops = sum(finding.level == "stop" for finding in findings)
    if stops:
        typer.echo(f"{stops} check{'s say' if stops > 1 else ' says'} stop: put that right before cutting", err=True)
        raise typer.Exit(STOPPED)


def _settings() -> Settings:
    from fabgen.settings import read_settings

    return _input(read_settings)


def _paper(name: str) -> Paper:
    from fabgen.documents.paper import find

    return _input(lambda: find(name))


def _date(text: str | None) -> date | None:
    if text is None:
        return None
    try:
        return datetime.strptime(text, "%Y-%m-%d").date()
    except ValueError:
        _fail(f"--date: cannot read {text!r} as a date\n    accepted: year-month-day, e.g. 2026-03-14", BAD_INPUT)


def _input(read: Callable[[], T]) -> T:
    try:
        return read()
    except ValueError as error:
        _fail(str(error), BAD_INPUT)


def _fail(text: str, code: int) -> NoReturn:
    typer.echo(text, err=True)
    raise typer.Exit(code)
