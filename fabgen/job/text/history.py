"""The texts of a job file through a session: each change a step back or forward, whoever made it."""

from __future__ import annotations

from dataclasses import dataclass, replace

MOST_STEPS = 2000
MOST_CHARACTERS = 200_000_000
"""Of all texts together; the oldest go first."""


@dataclass(frozen=True, slots=True)
class Step:
    """A text and what was changed to come to it."""

    text: str
    words: str


@dataclass(frozen=True, slots=True)
class History:
    """All steps, oldest first, and which of them is the text of now."""

    steps: tuple[Step, ...]
    at: int = 0

    @staticmethod
    def of(text: str) -> History:
        return History((Step(text, ""),))

    @property
    def text(self) -> str:
        return self.steps[self.at].text

    @property
    def undoes(self) -> str:
        """What going back takes away, in words; '' where there is nothing."""
        return self.steps[self.at].words if self.at else ""

    @property
    def redoes(self) -> str:
        """What going forward brings again; '' where there is nothing."""
        return self.steps[self.at + 1].words if self.at + 1 < len(self.steps) else ""

    def changed(self, text: str, words: str) -> History:
        """With one more step; what was undone before it is gone."""
        if text == self.text:
            return self
        steps = [*self.steps[: self.at + 1], Step(text, words)]
        total = sum(len(step.text) for step in steps)
        while len(steps) > 2 and (len(steps) > MOST_STEPS or total > MOST_CHARACTERS):
            total -= len(steps.pop(0).text)
        return History(tuple(steps), len(steps) - 1)

    def back(self) -> History:
        """One step back, where there is one."""
        return replace(self, at=max(0, self.at - 1))

    def forward(self) -> History:
        """One step forward, where there is one."""
        return replace(self, at=min(len(self.steps) - 1, self.at + 1))
