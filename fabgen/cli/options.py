"""Arguments and options that several commands take."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabgen.cli.completing import dimension_names, efforts, paper_names, toml_files

JobFile = Annotated[Path, typer.Argument(metavar="JOB.toml", help="the job file", autocompletion=toml_files)]
OutFolder = Annotated[Path, typer.Option("--out", metavar="DIR", help="where the results' folder goes")]
RackFile = Annotated[
    Path | None,
    typer.Option("--rack", metavar="RACK.toml", help="stock on hand, used first", autocompletion=toml_files),
]
HowHard = Annotated[
    str | None,
    typer.Option(
        "--effort",
        metavar="quick|normal|long",
        autocompletion=efforts,
        help="effort to find fewer, fuller sheets; long may take minutes",
    ),
]
PaperName = Annotated[
    str, typer.Option("--paper", help="A4, A3, A2, Letter, Legal or Tabloid", autocompletion=paper_names)
]
Sleeves = Annotated[bool, typer.Option("--sleeves", help="also marking sleeves to print in 3D (STL)")]
Labels = Annotated[bool, typer.Option("--labels", help="also labels with a code a phone reads, one a piece")]
LabelSheet = Annotated[
    str | None,
    typer.Option(
        "--label-sheet",
        metavar="STOCK",
        help="columns x rows, with sizes where needed: '3 x 8 of 63.5 x 33.9, gap 2.5 x 0'",
    ),
]
FirstLabel = Annotated[
    int, typer.Option("--first-label", min=1, help="on a sheet already begun: the first unused label")
]
Floor = Annotated[bool, typer.Option("--floor", help="also the frame in plan at true size (DXF, and pages to join)")]
OneFile = Annotated[
    bool, typer.Option("--one-file", help="also all papers as one, in the order of the work, for the wall")
]
Figures = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="NAME=VALUE",
        autocompletion=dimension_names,
        help="for this run another figure for a name of [dimensions]; may be repeated",
    ),
]
Quiet = Annotated[bool, typer.Option("--quiet", help="print nothing but stops and errors")]
AsJson = Annotated[bool, typer.Option("--json", help="print the values as JSON")]
