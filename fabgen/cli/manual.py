"""`fabgen manual`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from fabgen.cli.options import OutFolder
from fabgen.cli.steps import written

if TYPE_CHECKING:
    from fabgen.documents.manual.manual_html import CommandTold


def manual(context: typer.Context, out: OutFolder = Path("output")) -> None:
    """Write the manual, one page to read in a browser."""
    from fabgen import __version__
    from fabgen.app.starters import samples, starters
    from fabgen.documents.manual.manual_html import manual_html
    from fabgen.job.text.safe_file import write_file

    text = manual_html(__version__, _commands(context), starters(), list(samples().values()))
    target = out / "manual.html"
    written(lambda: write_file(target, text.encode()))
    typer.echo(target.as_posix())


def _commands(context: typer.Context) -> list[CommandTold]:
    """Every command with its own help."""
    from fabgen.documents.manual.manual_html import CommandTold

    found = []
    root = context.find_root()
    commands: dict[str, Any] = getattr(root.command, "commands", {})
    for name, command in commands.items():
        # The context's own class: some versions of the library bring their parser along, some do not.
        own = type(root)(command, info_name=f"fabgen {name}")
        records = (parameter.get_help_record(own) for parameter in command.params)
        options = tuple((str(record[0]), str(record[1])) for record in records if record is not None)
        usage = " ".join([own.command_path, *command.collect_usage_pieces(own)])
        found.append(CommandTold(name, usage, command.help or "", options))
    return found
