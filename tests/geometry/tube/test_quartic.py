"""Roots of quartics against polynomials made from known roots."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.geometry.tube.toroid import depressed_quartic

ROOT = st.floats(-1.0, 1.0)


def solved(roots: list[complex], grazing: float = 0.0) -> np.ndarray:
    """Real roots found, ascending, of the depressed quartic with those roots moved to mean 0."""
    moved = np.array(roots) - np.mean(roots)
    _, cube, p, q, c = np.poly(moved).real
    assert abs(cube) < 1e-12
    found = depressed_quartic(np.array([p]), np.array([q]), np.array([c]), grazing)[:, 0]
    return np.sort(found[~np.isnan(found)] + np.mean(roots).real)


@given(ROOT, ROOT, ROOT, ROOT)
def test_four_real_roots(a: float, b: float, c: float, d: float) -> None:
    wanted = np.sort([a, b, c, d])
    found = solved([a, b, c, d], grazing=1e-6)
    assert len(found) == 4
    # A root met twice keeps half of the figures, one met three times a third, four times a quarter.
    apart = np.min(np.diff(wanted))
    assert found == pytest.approx(wanted, abs=1e-7 if apart > 1e-2 else 1e-3)


@given(ROOT, ROOT, ROOT, st.floats(0.05, 1.0))
def test_two_real_roots(a: float, b: float, real: float, imaginary: float) -> None:
    found = solved([a, b, real + 1j * imaginary, real - 1j * imaginary])
    assert found == pytest.approx(np.sort([a, b]), abs=1e-7 if abs(a - b) > 1e-2 else 1e-3) or (
        len(found) == 0 and abs(a - b) < 1e-6  # rounding may lose a root met twice
    )


@given(ROOT, ROOT, st.floats(0.05, 1.0), st.floats(0.05, 1.0))
def test_no_real_root(a: float, b: float, m: float, n: float) -> None:
    assert len(solved([a + 1j * m, a - 1j * m, b + 1j * n, b - 1j * n])) == 0


def test_biquadratic() -> None:
    assert solved([0.8, -0.8, 0.3, -0.3]) == pytest.approx([-0.8, -0.3, 0.3, 0.8])


def test_grazing_counts_as_met_twice() -> None:
    pair = [0.5 + 1e-5j, 0.5 - 1e-5j]
    assert len(solved([-0.4, -0.6, *pair])) == 2
    assert solved([-0.4, -0.6, *pair], grazing=1e-9) == pytest.approx([-0.6, -0.4, 0.5, 0.5], abs=1e-4)


def test_many_at_once() -> None:
    p, q, c = np.full(3, -1.0), np.array([0.0, 0.1, -0.1]), np.array([0.1, 0.0, 0.05])
    found = depressed_quartic(p, q, c)
    assert found.shape == (4, 3)
    for i in range(3):
        real = found[:, i][~np.isnan(found[:, i])]
        assert real**4 - real**2 + q[i] * real + c[i] == pytest.approx(np.zeros(len(real)), abs=1e-9)
