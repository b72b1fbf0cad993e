"""Arguments and options that several commands take."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

JobFile = Annotated[Path, typer.Argument(metavar="JOB.toml", help="the job file")]
OutFolder = Annotated[Path, typer.Option("--out", metavar="DIR", help="where the results' folder goes")]
RackFile = Annotated[Path | None, typer.Option("--rack", metavar="RACK.toml", help="stock on hand, used first")]
HowHard = Annotated[
    str | None,
    typer.Option(
        "--effort",
        metavar="quick|normal|long",
        help="how hard to look for fewer, fuller sheets; long may take minutes",
    ),
]
PaperName = Annotated[str, typer.Option("--paper", help="A4, A3, Letter …")]
Sleeves = Annotated[bool, typer.Option("--sleeves", help="also marking sleeves to print in 3D (STL)")]
AsJson = Annotated[bool, typer.Option("--json", help="print the figures as JSON")]
