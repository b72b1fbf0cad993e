"""What hangs together, against who reaches whom by powers of the matrix of pairs."""

import numpy as np
import pytest

from fabgen.geometry.space.joined import joined_groups


@pytest.mark.parametrize("seed", range(20))
def test_groups_are_those_that_reach_one_another(seed: int) -> None:
    random = np.random.default_rng(seed)
    count = int(random.integers(1, 40))
    pairs = random.integers(0, count, (int(random.integers(0, 40)), 2))
    touch = np.eye(count, dtype=int)
    touch[pairs[:, 0], pairs[:, 1]] = touch[pairs[:, 1], pairs[:, 0]] = 1
    reach = touch
    for _ in range(6):  # ways of up to 64 pairs
        reach = (reach @ reach > 0).astype(int)
    groups = joined_groups(count, [(int(a), int(b)) for a, b in pairs])
    assert sorted(k for group in groups for k in group) == list(range(count))
    assert [group[0] for group in groups] == sorted(group[0] for group in groups)
    assert all(group == np.flatnonzero(reach[group[0]]).tolist() for group in groups)
