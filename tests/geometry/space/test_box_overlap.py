import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from fabgen.geometry.space.box_overlap import overlapping


@given(st.integers(0, 10_000), st.integers(0, 30), st.integers(0, 30))
def test_finds_what_asking_every_pair_finds(seed: int, a: int, b: int) -> None:
    random = np.random.default_rng(seed)
    low_a, low_b = random.uniform(0, 10, (a, 3)), random.uniform(0, 10, (b, 3))
    high_a, high_b = low_a + random.uniform(0, 3, (a, 3)), low_b + random.uniform(0, 3, (b, 3))
    wanted = [
        (i, j) for i in range(a) for j in range(b) if (low_a[i] <= high_b[j]).all() and (low_b[j] <= high_a[i]).all()
    ]
    assert [tuple(pair) for pair in overlapping(low_a, high_a, low_b, high_b)] == wanted
