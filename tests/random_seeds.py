"""Seeds of random tests, and how many of them are run.

They are fixed, so that what fails on one machine fails on every other.  `--fresh-seed` gives all random tests new
ones, and `--fresh-seed=NUMBER` those of an earlier run again; `--full` runs the longest tests at their full count.
"""

from __future__ import annotations

import os
import secrets

FRESH, FULL = "FABGEN_TESTS_FRESH_SEED", "FABGEN_TESTS_FULL"
"""Where the options are kept, for the processes among which the tests are shared out."""
_APART = 1_000_000
"""Fresh seeds lie so far from one another that no test takes the same one twice."""


def first_seed(fixed: int) -> int:
    """The first of a test's seeds: `fixed`, or another in a run with a fresh seed."""
    return fixed + _APART * int(os.environ.get(FRESH, "0"))


def how_many(full: int, usual: int) -> int:
    """How many cases a long test runs."""
    return full if FULL in os.environ else usual


def new_seed() -> int:
    """A seed for a run, short enough to be typed."""
    return secrets.randbelow(999_999) + 1
