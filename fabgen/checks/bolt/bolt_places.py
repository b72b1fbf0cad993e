"""At which places of its parts a bolt is at fault, for findings on bolts of which there are several, or whose parts
stand at several places."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from fabgen.checks.checked import Checked, once
from fabgen.checks.twins import Where
from fabgen.job.document import entries, mark_of
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.parts.shape.bored.bolt_places import places_in_words, places_passed, several_places
from fabgen.plan.plan import BoltStack


def at_places(job: Checked, stack: BoltStack, lines: Iterable[BoltLine]) -> Where:
    """' (place 2 of L)', ' (places 1 and 2 of P1, P2)'; '' where all parts stand but once.

    Args:
        job: its parts.
        stack: a bolt.
        lines: those of its lines that are meant.
    """
    return Where(places_in_words(places_passed(list(lines), several(job), stack.lines)))


@once
def several(job: Checked) -> Mapping[str, int]:
    """The number of places of each part that has more than one."""
    return several_places(job.pieces)


def written_places(job: Checked, mark: str) -> int:
    """How many places the job file itself gives a part; the further ones are made by mirrors and repeats.

    Args:
        job: with its file.
        mark: of a part of sheet.
    """
    tables = (entry for table in job.written.raw for _, entry in entries(job.written.raw, table))
    entry = next((entry for entry in tables if mark_of(entry) == mark), None)
    if entry is None:
        return 0 if job.written.raw else several(job).get(mark, 1)
    return len(place) if isinstance(place := entry.get("place"), list) else 1
