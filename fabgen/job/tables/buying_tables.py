"""What a job file may say for the shopping list and the saw: [[bolt]], [[price]], [saw] and [consumables]."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Literal

from pydantic import Field

from fabgen.job.errors import InputError, shown
from fabgen.job.tables.fields import (
    FilledText,
    PartMark,
    Passed,
    PlusLength,
    ShortText,
    Text,
    ZeroLength,
    number_between,
    one_as_list,
    whole_number,
)
from fabgen.job.tables.table import Table, goes_with, optional
from fabgen.job.values.written_forms import YES_OR_NO, read_by

NutGiven = Literal["plain", "lock", "thin", "none"]
PropertyClass = Literal["5.8", "8.8", "10.9", "12.9", "A2-70", "A4-80", "grade 5", "grade 8"]
NutClass = Literal["5", "6", "8", "9", "10", "12", "A2-70", "A4-70", "A4-80", "grade 2", "grade 5", "grade 8"]
Process = Literal["mag", "tig", "stick"]


def _yes_or_no(value: object) -> bool:
    if not isinstance(value, bool):
        raise InputError(f"cannot read {shown(value)} as yes or no", "true or false, without quotes")
    return value


YesNo = Annotated[bool, read_by(_yes_or_no, YES_OR_NO)]
Positive = Annotated[float, number_between(1e-3, 1e6, "a number above zero")]
Share = Annotated[float, number_between(0.05, 1.0, "a share from 0.05 to 1, e.g. 0.95")]
Money = Annotated[float, number_between(0.0, 1e6, "a price as a bare number, e.g. 38.50")]


class Bolt(Table):
    """[[bolt]]: a bolt, and what it goes through"""

    thread: ShortText = Field(description="e.g. 'M12', 'M12 x 1.25' or '1/2-20 UNF'")
    through: Annotated[list[Passed], one_as_list, Field(min_length=1, max_length=40)] = Field(
        description="what it passes from head to nut: marks (a sheet's thickness, a round tube's outside diameter, "
        "the width of a link rod's eye) or lengths; the gap between two ears of one part counts when it is named on "
        "both sides; 'spacer 20 mm' is a spacer to saw, and so is a length beside a rod's eye, or each outer one of "
        "three between two ears; any other length is a thing that is not in the job, or the short tube of the job that "
        "stands there on the bolt"
    )
    quantity: Annotated[int, whole_number(1, 10_000)] = optional(
        "how many such bolts, of one side where its parts are mirrored", 1
    )
    length: PlusLength | None = optional(
        "of a bolt that you have, from under its head to its end; left out = the shortest that the stack takes"
    )
    washers: Annotated[int, whole_number(0, 6)] | None = optional(
        "to each bolt; left out = 2, or 1 where there is no nut"
    )
    nut: NutGiven = optional("'lock' has a nylon insert; 'none' = into a tapped part", "plain")
    nut_class: NutClass | None = optional("e.g. '8'; left out = the one that goes with the bolt (ISO 898-2)")
    into: PartMark | None = optional("without a nut: the mark of the part that is tapped")
    engagement: PlusLength | None = optional(
        "without a nut: how deep into the tapped part; left out = what its metal needs, or the thread's diameter "
        "where `into` is not given"
    )
    property_class: PropertyClass | None = optional("left out = 8.8, inch threads grade 5")
    pivot: YesNo | None = optional("true: parts turn on it; left out = true where it goes through a link rod's eye")
    title: Text = optional("what it holds, e.g. 'trailing arm pivot'", "")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        tapped = given.get("nut") == "none"
        yield from goes_with(("engagement", "into"), given, tapped, 'nut = "none"')
        yield from goes_with("nut_class", given, not tapped and given.get("nut") != "thin", "a plain or lock nut")


class Price(Table):
    """[[price]]: the price of one item of the shopping list"""

    item: FilledText = Field(description="as the shopping list names it, e.g. 'rod end'")
    spec: Text = optional("as the shopping list has it; left out = all of that item", "")
    each: Money = Field(description="of one unit of the list: a piece, a kg, a litre")


class Saw(Table):
    """[saw]: how bars are cut"""

    kerf: ZeroLength | None = optional("width of a saw cut, where [[stock]] gives none; left out = the shop's usual")
    end_loss: ZeroLength = optional("length of every bar that no piece can come from: what the clamp must hold", 0.0)
    pair_mitres: YesNo = optional(
        "true: neighbours on a bar whose slanted ends are sawn to one angle share the cut, turned end for end where "
        "need be",
        False,
    )
    least_offcut: PlusLength | None = optional("shorter offcuts are scrap; left out = the rack file's own, or 150 mm")


class Consumables(Table):
    """[consumables]: what the estimate of filler, gas, discs and paint is calculated with"""

    process: Process = optional("how it is welded: 'mag' (wire and gas), 'tig' or 'stick'", "mag")
    throat: PlusLength | None = optional("throat of the welds; left out = 0.7 of the thinner part")
    efficiency: Share | None = optional("weld metal per kg of filler; left out = the process's")
    deposition: Positive | None = optional("weld metal, kg in an hour of arc; left out = the process's")
    gas_flow: Annotated[float, number_between(0.0, 100.0, "litres a minute, e.g. 12")] | None = optional(
        "litres a minute; left out = the process's"
    )
    disc_cuts: Positive = optional("mm2 of metal one cutting disc goes through", 6000.0)
    flap_length: PlusLength = optional("weld one flap disc dresses", 5000.0)
    coats: Annotated[int, whole_number(0, 10)] = optional("coats of paint, primer included", 2)
    film: Positive = optional("dry thickness of one coat in micrometres", 50.0)
    solids: Share = optional("share of the paint that stays as dry film, by volume", 0.5)
    paint_loss: Annotated[float, number_between(0.0, 0.9, "a share from 0 to 0.9, e.g. 0.3")] = optional(
        "share of the paint that misses the part", 0.3
    )
