"""HTML from templates beside the code that fills them: every text is escaped, whatever a job says.

In a template that ends in `.jinja` line breaks and indentation are for its reader alone; `nl` is a line break on the
page.
"""

from __future__ import annotations

from functools import cache
from html import escape
from importlib.resources import files

from jinja2 import Environment, FunctionLoader, StrictUndefined
from markupsafe import Markup


def filled(package: str, template: str, **values: object) -> str:
    """A template with its values.

    Args:
        package: whose folder it lies in.
        template: name of the file.
        values: what it names; functions among them are called by it.
    """
    return _templates(package).get_template(template).render(values, nl="\n")


@cache
def _templates(package: str) -> Environment:
    def source(name: str) -> str:
        text = files(package).joinpath(name).read_text(encoding="utf-8")
        return "".join(line.strip() for line in text.splitlines()) if name.endswith(".jinja") else text

    return Environment(
        loader=FunctionLoader(source),
        autoescape=True,
        finalize=lambda value: value if isinstance(value, Markup) else Markup(escape(str(value))),
        undefined=StrictUndefined,
        trim_blocks=True,
        keep_trailing_newline=True,
    )
