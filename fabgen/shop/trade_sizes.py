"""Usual trade sizes and saw losses, taken where the job file names no stock.

All of them are common practice, no source: merchants differ, so the cut list says which
sizes were assumed.
"""

from __future__ import annotations

BAR_LENGTHS_METRIC = (6000.0,)
"""Tube and bar by the 6 m length."""
BAR_LENGTHS_INCH = (20 * 304.8, 24 * 304.8)
"""Tube and bar by the 20 ft and 24 ft length."""

SHEETS_METRIC = ((2000.0, 1000.0), (2500.0, 1250.0), (3000.0, 1500.0))
SHEETS_INCH = ((96 * 25.4, 48 * 25.4), (120 * 25.4, 60 * 25.4))
"""4 x 8 ft and 5 x 10 ft."""

CUT_TO_SIZE_METRIC, CUT_TO_SIZE_INCH = 10.0, 12.7
"""Sides of a blank cut to size are rounded up to multiples of this, mm."""

SAW_KERF = 2.0
"""What a workshop bandsaw or cold saw takes with each cut, mm."""

LEAST_OFFCUT = 150.0
"""Shorter rests of bars are scrap, mm."""


def sheet_gap(thickness: float) -> float:
    """Gap between parts on a sheet, mm: the thickness, but 5 at least (common practice, no source).

    Args:
        thickness: of the sheet, mm.
    """
    return max(5.0, thickness)


def sheet_margin(thickness: float) -> float:
    """Unused rim of a sheet, mm (common practice, no source).

    Args:
        thickness: of the sheet, mm.
    """
    return max(10.0, thickness)
