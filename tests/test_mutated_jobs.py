"""Jobs with slips in them, from all samples and starters: an answer for each, in time, and a whole folder or none."""

from __future__ import annotations

from pathlib import Path

import pytest
from mutated_jobs import answer, bounded, checked, job_text, made
from random_seeds import first_seed, how_many

BLOCK = 100


@pytest.mark.parametrize("block", range(3))
def test_checks_of_jobs_with_slips(block: int) -> None:
    several("check", block, 20)


@pytest.mark.parametrize("seed", range(6))
def test_a_job_with_slips_is_made_whole_or_not_at_all(seed: int, tmp_path: Path) -> None:
    made(first_seed(500_000 + seed), tmp_path)


@pytest.mark.slow
@pytest.mark.parametrize("block", range(10, how_many(210, 22)))
def test_many_checks_of_jobs_with_slips(block: int) -> None:
    """20,000 with --full."""
    several("check", block, BLOCK)


@pytest.mark.slow
@pytest.mark.parametrize("block", range(how_many(200, 6)))
def test_many_jobs_with_slips_are_made_whole_or_not_at_all(block: int) -> None:
    """2,000 with --full."""
    several("make", 6000 + block, 10)


def several(what: str, block: int, count: int) -> None:
    first = first_seed(BLOCK * block)
    failed = [told for seed in range(first, first + count) if (told := answer(what, seed)[3])]
    assert not failed, "\n".join(failed)


def test_jobs_with_slips_are_of_every_kind() -> None:
    """Refused and checked ones, or the tests above would say nothing."""
    wanted = {"refused", "checked", "stop"}
    came: set[str] = set()
    seeds = iter(range(400))
    while came != wanted and (seed := next(seeds, None)) is not None:
        came.add(answer("check", seed)[1])
    assert came == wanted


def test_a_seed_gives_one_job() -> None:
    assert job_text(7) == job_text(7) != job_text(8)


def test_what_does_not_answer_is_found(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    import mutated_jobs

    seed = next(seed for seed in range(100) if answer("check", seed)[1] == "checked")

    def fail(*_: object) -> None:
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr(mutated_jobs, "planned", fail)
    with pytest.raises(ZeroDivisionError):
        checked(seed)
    assert "ZeroDivisionError" in answer("check", seed)[3]
    monkeypatch.setattr("fabgen.app.work.planned", fail)
    with pytest.raises(ZeroDivisionError):
        made(seed, tmp_path)


def test_a_hang_is_ended() -> None:
    def hang() -> None:
        with bounded(0.2):
            while True:
                pass

    with pytest.raises(Exception, match="of computing"):
        hang()
