"""What a make says of the papers before it, and the record that it leaves."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fabgen.changes.as_issued import as_issued
from fabgen.changes.compared import PartChange, compared
from fabgen.changes.issued_part import IssuedPart
from fabgen.changes.record import NotARecordError, Record, next_record, read_record, record_text
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import Piece


@dataclass(frozen=True, slots=True)
class Since:
    """What has changed since a revision was issued.

    Args:
        made: since which make of it, "first" or "last"; '' where it had only one.
        own: whether it is the revision of these very papers.
    """

    revision: str
    made: str
    own: bool
    changes: tuple[PartChange, ...]

    @property
    def heading(self) -> str:
        """'Changed since revision A', '… since revision A was first made'."""
        return f"Changed since revision {self.revision}" + (f" was {self.made} made" if self.made else "")


@dataclass(frozen=True, slots=True)
class Issuing:
    """The papers of a make beside those before.

    Args:
        lists: what has changed, since the revision before and since this one was first made; none is empty.
        record: of the issues, as it is kept from now on.
        before: the revision before, '' where there is none.
        lost: whether what was issued before this revision could not be read.
        unused: why the record that was there is not used, '' where it is.
    """

    lists: tuple[Since, ...]
    record: str
    before: str = ""
    lost: bool = False
    unused: str = ""

    @property
    def says_something(self) -> bool:
        """Whether the papers have anything to say of those before them."""
        return bool(self.lists or self.before or self.lost)


def issuing(header: Header, pieces: Sequence[Piece], kept: bytes | None, afresh: bool = False) -> Issuing:
    """Compare the pieces with the papers issued before.

    Args:
        kept: what the file of the record holds; None where there is none.
        afresh: nothing was cut by the papers made so far: they do not count.
    """
    lost, unused = False, ""
    old: Record | None = None
    if kept is not None and not afresh:
        try:
            old = read_record(kept)
        except NotARecordError:
            lost, unused = True, "cannot be read: what has changed since earlier papers is not known"
    if old is not None and old.job != header.number:
        unused = f"is of job {old.job}: job {header.number} is compared with no earlier papers"
        old = None
    parts = as_issued(pieces)
    record = next_record(old, header.number, header.revision, parts, lost)
    before = record.before[0].revision if record.before else ""
    return Issuing(tuple(_lists(record, parts, header.units)), record_text(record), before, record.lost, unused)


def _lists(record: Record, parts: Sequence[IssuedPart], units: str) -> Iterator[Since]:
    several, shown = len(record.before) > 1, None
    for issue in record.before:
        changes = tuple(compared(issue.parts, parts, units))
        # Who holds the last papers of a revision and who its first may each have cut something else.
        if changes and changes != shown:
            yield Since(issue.revision, issue.made if several else "", False, changes)
        shown = changes
    if own := tuple(compared(record.first.parts, parts, units)):
        yield Since(record.revision, "first", True, own)
