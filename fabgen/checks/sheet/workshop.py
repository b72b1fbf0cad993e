"""What the checks on sheet parts need to know of the workshop: how sheet is cut, what the brake takes."""

from __future__ import annotations

from dataclasses import dataclass

from fabgen.job.tables.definitions import Definitions
from fabgen.shop.sheet_cutting import BRAKE_LENGTH, Process


@dataclass(frozen=True, slots=True)
class Workshop:
    """`process`: how sheet is cut where a part does not say; `brake_length`: longest bend, mm; `sheets`:
    (material, thickness) of the sheets that the job's [[stock]] gives, '' = any material; `kerf`: of those who
    cut themselves, mm, 0 where the job gives none."""

    process: Process = "laser"
    brake_length: float = BRAKE_LENGTH
    sheets: frozenset[tuple[str, float]] = frozenset()
    kerf: float = 0.0

    @staticmethod
    def of(job: Definitions) -> Workshop:
        given = [each for each in job.stock if each.sheets and each.thickness is not None]
        sheets = frozenset((each.material or "", each.thickness or 0.0) for each in given)
        return Workshop(job.job.process, job.job.brake_length, sheets, job.job.kerf_offset or 0.0)

    def stocks(self, material: str, thickness: float) -> bool:
        """Whether the job says what sheets there are for a part; the cut plan then says what fits none."""
        return any(name in ("", material) and abs(size - thickness) < 1e-9 for name, size in self.sheets)
