"""What a check says: one finding, its level, and where the rule comes from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Level = Literal["stop", "warn", "note"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a check found.  `rule` is a short kebab-case name; `source` a citation,
    'common practice, no source', or ''.  A finding never says that anything is safe."""

    level: Level
    mark: str
    rule: str
    text: str
    source: str = ""
