"""Bolts that stand where they cannot, or not as they are listed, and those that only look wrong."""

from __future__ import annotations

from typing import Any

Tables = dict[str, list[dict[str, Any]]]


def plate(mark: str, z: float, *holes: tuple[float, float], **keys: Any) -> dict[str, Any]:
    """A plate of 6 mm that lies level with its underside at a height, its corner at x = y = 0."""
    at = keys.pop("at", (0, 0))
    place = {"at": [*at, z]} | keys.pop("turned", {})
    given = [{"at": list(hole), "bolt": "M10"} for hole in holes]
    return {"mark": mark, "thickness": 6, "rectangle": [100, 60], "holes": given, "place": place, **keys}


def bolt(*through: Any, **keys: Any) -> dict[str, Any]:
    return {"thread": "M10", "through": list(through)} | keys


HERE = (30.0, 30.0)
ONE, TWO = plate("P1", 0, HERE), plate("P2", 6, HERE)


SPEAKS: list[tuple[Tables, str]] = [
    (
        {"plate": [ONE, plate("P2", 6, (34.0, 30.0))], "bolt": [bolt("P2", "P1")]},
        "stop: out of line, so it does not pass: P1 from P2 by 4 mm: move one of them",
    ),
    (
        {"plate": [ONE, plate("P2", 6, (80.0, 30.0))], "bolt": [bolt("P2", "P1")]},
        "stop: out of line, so it does not pass: P1 from P2 by 50 mm: move one of them",
    ),
    (
        {
            "plate": [ONE, plate("P2", 6, HERE, turned={"up": [0, 1, 0]})],
            "bolt": [bolt("P2", "P1")],
        },
        "stop: has no axis: no hole of P1 looks the way of one of P2: turn one of them",
    ),
    (
        {"plate": [ONE, plate("P2", 14, HERE)], "bolt": [bolt("P2", "P1")]},
        'look: 8 mm are free between P2 and P1: a spacer of that length, through = ["P2", "spacer 8 mm", "P1"]',
    ),
    (
        {"plate": [ONE, plate("P2", 14, HERE)], "bolt": [bolt("P2", 10, "P1")]},
        "stop: 10 mm listed between P2 and P1 do not go into the 8 mm there: a shorter spacer, or the parts "
        "farther apart",
    ),
    (
        {"plate": [ONE, TWO, plate("P3", 12, HERE)], "bolt": [bolt("P1", "P3", "P2")]},
        'look: passes P1, P2, P3 in this order where they stand, not as listed: through = ["P1", "P2", "P3"]',
    ),
]  # fmt: skip


SILENT: list[Tables] = [
    {"plate": [ONE, TWO], "bolt": [bolt("P2", "P1")]},
    {"plate": [ONE, TWO], "bolt": [bolt("P1", "P2")]},
    # Out of line by less than the clearance of the holes, 1 mm in each.
    {"plate": [ONE, plate("P2", 6, (30.9, 30.0))], "bolt": [bolt("P2", "P1")]},
    # A spacer fills the gap.
    {"plate": [ONE, plate("P2", 14, HERE)], "bolt": [bolt("P2", 8, "P1")]},
    # The second part has no place: nothing is known of its axis.
    {"plate": [ONE, {key: value for key, value in TWO.items() if key != "place"}], "bolt": [bolt("P2", "P1")]},
    # More holes than bolts of the table, and another part's bolts in the rest.
    {"plate": [plate("P1", 0, HERE, (70.0, 30.0)), TWO], "bolt": [bolt("P2", "P1")]},
]


def wall(x: float, low: float, high: float, mark: str = "W") -> dict[str, Any]:
    """A plate of 5 mm that stands across, its face toward the bolt at x, between two heights."""
    place = {"at": [x, 0, high], "along": [0, 1, 0], "up": [-1, 0, 0], "lies": "front"}
    return {"mark": mark, "thickness": 5, "rectangle": [60, high - low], "place": place}


def lid(z: float, mark: str = "W") -> dict[str, Any]:
    """A plate of 5 mm that lies over, or under, the bolt."""
    return {"mark": mark, "thickness": 5, "rectangle": [100, 60], "place": {"at": [0, 0, z]}}


HEMMED: list[Tables] = [
    # Its head in a wall; its washer on one; and one lid over it and another under it.
    {"plate": [ONE, TWO, wall(36, 12, 60)], "bolt": [bolt("P2", "P1")]},
    {"plate": [ONE, TWO, wall(39.2, 12, 30)], "bolt": [bolt("P2", "P1")]},
    {"plate": [ONE, TWO, lid(32), lid(-30, "V")], "bolt": [bolt("P2", "P1")]},
    {"plate": [ONE, TWO, lid(32)], "bolt": [bolt("P2", "P1")]},
]


def holed(mark: str, *holes: tuple[float, float], quantity: int = 1, **keys: Any) -> dict[str, Any]:
    """A plate that has no place."""
    given = [{"at": list(hole), "bolt": "M10"} for hole in holes]
    return {"mark": mark, "thickness": 6, "rectangle": [100, 60], "holes": given, "quantity": quantity, **keys}


FOUR = ((20.0, 20.0), (80.0, 20.0), (20.0, 40.0), (80.0, 40.0))
_CLEVIS = {
    "mark": "B", "shape": "clevis", "thickness": 4, "gap": 40, "length": 40, "height": 45, "bolt": "M10", "quantity": 2,
}  # fmt: skip
_SLOT = {"holes": [{"at": [50, 30], "bolt": "M10", "length": 60}]}

TOO_MANY: list[tuple[Tables, str]] = [
    (
        {"plate": [holed("P1", *FOUR)], "bolt": [bolt("P1", 8, quantity=5)]},
        "5 of M10 need 5 holes in P1, which has 4 that let them through: a smaller `quantity`",
    ),
    (
        {"plate": [holed("P1", *FOUR), holed("P2", *FOUR)], "bolt": [bolt("P1", "P2", quantity=8)]},
        "8 of M10 need 8 holes in each of P1, P2, which have 4 that let them through: a smaller `quantity`",
    ),
    (
        {"bracket": [_CLEVIS], "bolt": [bolt("B", 40, "B", quantity=4)]},
        "4 of M10 need 8 holes in B, which has 4 that let them through: a smaller `quantity`",
    ),
    (
        {"plate": [holed("P1", HERE), holed("P2", HERE)], "bolt": [bolt("P1", 8), bolt("P1", "P2")]},
        "2 of M10 need 2 holes in P1, which has 1 that let them through: more holes, or fewer bolts",
    ),
    (
        {"bracket": [_CLEVIS], "bolt": [bolt("B", 40, "B", quantity=2), bolt("B", 40, "B")]},
        "3 of M10 need 6 holes in B, which has 4 that let them through: a smaller `quantity`",
    ),
]
"""More bolts than holes, and what is said of them."""
NOT_TOO_MANY: list[Tables] = [
    {"plate": [holed("P1", *FOUR, quantity=2)], "bolt": [bolt("P1", 8, quantity=8)]},
    {"bracket": [_CLEVIS], "bolt": [bolt("B", 40, "B", quantity=2)]},
    {"plate": [holed("P1") | _SLOT], "bolt": [bolt("P1", 8, quantity=2)]},  # a slot for two
    {"plate": [holed("P1", *FOUR[:2])], "bolt": [bolt("P1", 8, thread="M8", quantity=1), bolt("P1", 8)]},
]


def post(x: float) -> Tables:
    """A plate of 6 mm that stands on the one that the bolt's head lies on, its face toward the bolt, which is at 50, at
    x."""
    place = {"at": [x, 0, 72], "along": [0, 1, 0], "up": [-1, 0, 0], "lies": "front"}
    stand = {"mark": "W", "thickness": 6, "rectangle": [60, 60], "place": place}
    return {"plate": [plate("P1", 0, (50.0, 30.0)), plate("P2", 6, (50.0, 30.0)), stand], "bolt": [bolt("P2", "P1")]}


_ROUND = {
    "mark": "T1", "section": "48.3 x 3.2", "route": [[0, 0, 0], [800, 0, 0]],
    "holes": [{"at": 300, "from": "start", "side": "top", "bolt": "M10", "both_walls": True}],
}  # fmt: skip
_FOLDED = {
    "mark": "B", "thickness": 2, "base": [100, 60], "flanges": [{"edge": 2, "height": 40, "fold": "down"}],
    "holes": [{"at": [89.5, 30], "bolt": "M10", "face": "base"}], "place": {"at": [0, 0, 6]},
}  # fmt: skip
UNSEATED: list[tuple[Tables, str]] = [
    (
        {"tube": [_ROUND], "plate": [plate("P1", 24.15, (50.0, 30.0), at=(250, -30))], "bolt": [bolt("P1", "T1")]},
        "warn: its nut lies on the round of T1, ",
    ),
    (
        {"bracket": [_FOLDED], "plate": [plate("P1", 0, (89.5, 30.0))], "bolt": [bolt("B", "P1")]},
        "warn: its head lies over a bend or a rounded edge of B, ",
    ),
    (
        {"plate": [plate("P1", 0, (50.0, 6.5)), plate("P2", 6, (50.0, 30.0), at=(0, -23.5))],
         "bolt": [bolt("P2", "P1")]},
        "warn: its nut lies over an edge of P1, flat to 6.5 mm from its middle, 8 mm needed: move the hole in from it",
    ),
    (
        post(62.0),
        "warn: its washer under its head lies on the weld of W, whose leg is 6 mm: W is 12 mm from its middle",
    ),
    (
        {"plate": [plate("P1", 0, (50.0, 30.0)), plate("P2", 6, holes=[{"at": [50, 30], "diameter": 22}])],
         "bolt": [bolt("P2", "P1")]},
        "stop: its washer of 20 mm under its head falls through the 22 mm hole of P2: ",
    ),
]  # fmt: skip
"""Heads, nuts and washers that lie badly, and what is said of them."""


def sleeve(mark: str, one: Any, other: Any, section: str = "16 x 2.5", **keys: Any) -> dict[str, Any]:
    """A short tube of its own."""
    return {"mark": mark, "section": section, "route": [list(one), list(other)], **keys}


def sleeved(
    x: float = 300.0, long: float = 60.0, section: str = "16 x 2.5", lean: float = 0.0, beside: Any = ()
) -> Tables:
    """A square tube of 40 with a sleeve through it that stands out 10 mm either side, and a bolt of M10 at x = 300
    through that and a plate at either end."""
    box = {"mark": "T1", "section": "40 x 40 x 3", "route": [[0, 0, 0], [800, 0, 0]]}
    plates = [plate("P1", 30, (50.0, 30.0), at=(250, -30)), plate("P2", -36, (50.0, 30.0), at=(250, -30))]
    plain = {"start": {"cut": "plain"}, "finish": {"cut": "plain"}}
    inner = sleeve("S1", (x, 0, -long / 2), (x + lean, 0, long / 2), section, through=["T1"], **plain)
    return {"tube": [box, inner, *beside], "plate": plates, "bolt": [bolt("P1", 60, "P2")]}


_WELDED_IN = {"from": "start", "side": "top", "bolt": "M10", "both_walls": True, "sleeve": "16 x 2"}
SLEEVES: list[tuple[Tables, str]] = [
    (sleeved(x=304), "stop: its sleeve S1 is 4 mm off its line, 1 mm of play: move it onto the line of the holes"),
    (sleeved(x=298, lean=4, long=58), "stop: its sleeve S1 is 2 mm off its line, 1 mm of play"),
    (sleeved(section="16 x 4"), "stop: M10 does not go into the bore of 8 mm of its sleeve S1: a larger tube"),
    (
        sleeved(long=57),
        "warn: sleeve S1 is 57 mm long, 60 mm are to be filled between P1 and P2: the bolt pulls together what it",
    ),
    (
        {
            "tube": [
                {"mark": "T1", "section": "60 x 60 x 3", "route": [[0, 0, 0], [800, 0, 0]],
                 "holes": [{"at": 300, **_WELDED_IN}, {"at": 400, **_WELDED_IN}]},
            ],
            "bolt": [bolt("T1")],
        },
        "note: no bolt passes 1 of 2 sleeves in T1: name it in `through` of a [[bolt]], or leave the sleeve away",
    ),
]  # fmt: skip
"""Sleeves that are none for their bolts, and what is said of them."""


def rail(y: float, low: float, mark: str = "Y", before: float = 80.0) -> dict[str, Any]:
    """A plate of 5 mm and 28 high that stands along, its face toward the bolt, which is at 30, at y; it begins so far
    before the bolt and ends 120 mm behind it."""
    away = 1.0 if y > 30.0 else -1.0
    place = {"at": [30.0 - before, y, low + 28.0 if away > 0.0 else low], "along": [1, 0, 0], "up": [0, away, 0]}
    return {"mark": mark, "thickness": 5, "rectangle": [before + 120.0, 28], "place": place}


UNREACHED: list[tuple[Tables, str]] = [
    # Between two walls that the head clears, the nearer one 10 mm from its middle.
    (
        {"plate": [ONE, TWO, wall(40, 12, 60), wall(14, 12, 60, "X")], "bolt": [bolt("P2", "P1")]},
        "warn: no tool goes on to its head: W is 10 mm from its middle, a socket needs 11.5 mm and a spanner 17.5 mm",
    ),
    # One on either side of the nut, and a lid over that.
    (
        {"plate": [ONE, TWO, wall(42, -30, 0), wall(13, -30, 0, "X"), lid(-40, "V")], "bolt": [bolt("P2", "P1")]},
        "warn: no tool goes on to its nut: V stands before it, a socket needs 75 mm; W is 12 mm from its middle, a "
        "spanner needs 17.5 mm: move the hole",
    ),
    # In a pocket of four walls that a spanner's head goes into, and its handle not, under a lid.
    (
        {
            "plate": [
                ONE, TWO, wall(48.5, 12, 40), wall(6.5, 12, 40, "X"), rail(48.5, 12), rail(11.5, 12, "Z"), lid(40, "V"),
            ],
            "bolt": [bolt("P2", "P1")],
        },
        "warn: no tool goes on to its head: V stands before it, a socket needs 75 mm, and a spanner's handle has no "
        "way out: move the hole",
    ),
    # Head and nut each between two rails, under a lid: spanners go on and hardly swing.
    (
        {
            "plate": [
                ONE, TWO, rail(48.5, 12), rail(11.5, 12, "Z"), lid(40, "V"),
                rail(48.5, -28, "YY"), rail(11.5, -28, "ZZ"), lid(-33, "VV"),
            ],
            "bolt": [bolt("P2", "P1")],
        },
        "warn: no tool turns head or nut: a spanner on its head swings 22°, and V keeps a socket off, 30° needed",
    ),
    # A wall beside both, under lids: the jaws lie along it from the open side, and strike it when they turn.
    (
        {
            "plate": [ONE, TWO, wall(40, 12, 40), lid(40, "V"), wall(40, -28, 0, "YY"), lid(-33, "VV")],
            "bolt": [bolt("P2", "P1")],
        },
        "warn: no tool turns head or nut: a spanner on its head swings",
    ),
]  # fmt: skip
"""Bolts that no tool turns, and what is said of them."""


_EAR = ONE | {"holes": [{"at": [30, 30], "bolt": "M10"}, {"at": [70, 30], "bolt": "M10"}]}
_LINK = {
    "mark": "L", "section": "25.4 x 4", "between": [[0, 0, 0], [400, 0, 0]], "rod_ends": ["M10 right", "M10 left"],
}  # fmt: skip

ALONE: list[tuple[Tables, str]] = [
    (
        {"plate": [_EAR], "bolt": [bolt("P1", 8)]},
        "of what it passes only P1 has a place, with 2 holes for one bolt: where it stands is not known, so it was "
        "held against nothing; place another part of it",
    ),
    (
        {"plate": [_EAR, holed("P2", HERE)], "bolt": [bolt("P2", "P1")]},
        "of what it passes only P1 has a place, with 2 holes for one bolt: where it stands is not known, so it was "
        "held against nothing; place another part of it",
    ),
    (
        {"link": [_LINK], "bolt": [bolt("L", 8)]},
        "of what it passes only L has a place, whose eye does not say which way it runs: where it stands is not known, "
        "so it was held against nothing; place another part of it",
    ),
    # Between two walls, whichever way round it goes in.
    (
        {"plate": [ONE, wall(36, 6, 60), wall(36, -61, 60, "V")], "bolt": [bolt("P1", 8)]},
        "its head has no room: V is 6 mm from its middle, 9.2 mm needed: move the hole away from it",
    ),
    # Both of two, of which one stands clear.
    (
        {"plate": [_EAR, wall(36, 6, 60), wall(36, -61, 60, "V")], "bolt": [bolt("P1", 8, quantity=2)]},
        "its head has no room: V is 6 mm from its middle, 9.2 mm needed: move the hole away from it",
    ),
]
"""Bolts of which one part alone has a place, and what is said of them first."""
ALONE_AND_CLEAR: list[Tables] = [
    {"plate": [ONE], "bolt": [bolt("P1", 8)]},
    {"plate": [ONE, wall(36, 6, 10)], "bolt": [bolt("P1", 8)]},  # its head is on the other side
    {"plate": [_EAR], "bolt": [bolt("P1", 8, quantity=2)]},
    {"plate": [ONE | {"holes": [*ONE["holes"], {"at": [70, 30], "diameter": 42}]}], "bolt": [bolt("P1", 8)]},
]

END_TO_END: Tables = {
    "plate": [ONE, TWO, plate("P3", 28, HERE), plate("P4", 34, HERE)],
    "bolt": [bolt("P1", "P2"), bolt("P3", "P4")],
}
"""The first bolt's nut and the second one's head have 16 mm between them."""
