"""Forces as people write them, to newtons: "4 kN", "900 lbf", "400 kgf"."""

from __future__ import annotations

import re
from typing import Annotated

from pydantic import PlainValidator

from fabgen.job.errors import InputError, shown

FORCE_ADVICE = 'a force in quotes with its unit, e.g. "4 kN", "900 lbf" or "400 kgf"'
# Standard gravity 9.80665 m/s2 (3rd General Conference on Weights and Measures, 1901); 1 lb = 0.45359237 kg (1959).
_UNITS = {"n": 1.0, "kn": 1000.0, "kgf": 9.80665, "kg": 9.80665, "lbf": 4.4482216152605, "lb": 4.4482216152605}
_FORCE = re.compile(r"\s*([0-9]+(?:[.,][0-9]+)?)\s*([A-Za-z]+)\s*")
_MOST = 1e7


def parse_force(written: object) -> float:
    """The force in N.  Raises InputError."""
    found = _FORCE.fullmatch(written) if isinstance(written, str) and len(written) < 60 else None
    unit = _UNITS.get(found[2].casefold()) if found else None
    if found is None or unit is None:
        raise InputError(f"cannot read {shown(written)} as a force", FORCE_ADVICE)
    force = float(found[1].replace(",", ".")) * unit
    if not 0.0 < force <= _MOST:
        raise InputError(f"{shown(written)} is no usable force", f"above zero, at most {_MOST / 1e6:g} MN")
    return force


Force = Annotated[float, PlainValidator(parse_force)]
