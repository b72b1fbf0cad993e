"""The requested label stock, checked before any work is done."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fabgen.cli.steps import good_option

if TYPE_CHECKING:
    from fabgen.app.settings import Settings
    from fabgen.documents.lists.label_sheets import LabelOptions
    from fabgen.documents.render.paper import Paper


def labels_wanted(settings: Settings, paper: Paper, stock: str | None, first: int) -> LabelOptions:
    """The stock of the option, else that of the settings, else the usual one."""
    from fabgen.documents.lists.label_sheets import LabelOptions
    from fabgen.documents.lists.label_stock import USUAL, read_label_stock
    from fabgen.wording.input_error import InputError

    def read() -> LabelOptions:
        try:
            given = read_label_stock(stock or settings.labels.sheet or USUAL)
            count = len(given.boxes(paper))
            if first > count:
                raise InputError(f"a sheet has no label {first}", f"1 to {count}")
        except InputError as fault:
            raise fault.about("--label-sheet:") from None
        return LabelOptions(given, first, settings.labels.page)

    return good_option(read)
