"""Outward normals of solids."""

from __future__ import annotations

import numpy as np

from fabgen.geometry.tube.contact import Array, Solid, distance

_STEP = 1e-4
"""mm to either side: far above rounding, far below any radius in the shop."""


def outward_normals(solid: Solid, points: Array) -> Array:
    """Unit outward normals (n, 3) of a solid's surface at points (n, 3) on it.

    The gradient of the signed distance, by central differences along the three axes: within 1e-7
    on planes and round bars, and within 2e-5 where a flat face runs into a corner of 3 mm radius
    or more.  On a sharp edge it is that of one face or lies between the two.  It asks for the
    distance only, so any solid will do.
    """
    shifts = _STEP * np.eye(3)
    gradient = np.stack([distance(solid, points + step) - distance(solid, points - step) for step in shifts], axis=-1)
    length = np.linalg.norm(gradient, axis=-1, keepdims=True)
    return np.asarray(np.divide(gradient, length, out=np.zeros_like(gradient), where=length > 0.0))
