"""`fabgen bend`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from fabgen.cli.options import AsJson, OutFolder, PaperName
from fabgen.cli.steps import good_option, paper_named, written


def bend(
    thickness: Annotated[str, typer.Option(help="sheet thickness, e.g. 3 or '1/8 in'")],
    angle: Annotated[str, typer.Option(help="bend angle: how far the sheet turns from flat, degrees")],
    radius: Annotated[str | None, typer.Option(help="inside radius; left out = what the lower tool makes")] = None,
    material: Annotated[str, typer.Option(help="for the K-factor table, e.g. S235, 304, 5754")] = "S235",
    k: Annotated[float | None, typer.Option(min=0.0, max=1.0, help="your own K-factor; wins over the table")] = None,
    rule: Annotated[str, typer.Option(help="table or din6935: the source of K")] = "table",
    die: Annotated[
        str | None, typer.Option(help="opening of the lower tool; left out = the one for the radius")
    ] = None,
    length: Annotated[str | None, typer.Option(help="length of the bend, for the force; left out = a metre")] = None,
    coupon: Annotated[bool, typer.Option("--coupon", help="also a test strip to cut and fold: page and DXF")] = False,
    paper: PaperName = "A4",
    out: OutFolder = Path("output"),
    as_json: AsJson = False,
) -> None:
    """Bend allowance, deduction and setback of one bend."""
    from fabgen.documents.without_job.one_bend import BendOptions, bend_figures, bend_report

    given = BendOptions(thickness, radius, angle, material, k, rule, die, length)
    figures = good_option(lambda: bend_figures(given))
    if coupon:
        from fabgen.documents.folder import write_folder
        from fabgen.documents.without_job.bend_coupon import coupon_files, read_coupon

        sheet = paper_named(paper)
        strip = good_option(lambda: read_coupon(thickness, radius, material, die))
        target = out / f"bend-test-{figures['thickness_mm']:g}mm-{figures['material']}"
        written(lambda: write_folder(target, coupon_files(strip, sheet)))
        typer.echo(f"test strip: {target.as_posix()}/", err=as_json)
    if as_json:
        typer.echo(json.dumps(figures, allow_nan=False))
        return
    for line in bend_report(figures):
        typer.echo(line)
