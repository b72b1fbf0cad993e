"""A place against something as the job gives it, with the skin that was found for it."""

from __future__ import annotations

from fabgen.job.tables.place_tables import PlaceGiven
from fabgen.parts.piece import Skin


class FoundPlace(PlaceGiven):
    """A place against something whose skin was found."""

    skin: Skin

    @staticmethod
    def found(given: PlaceGiven, skin: Skin) -> FoundPlace:
        """The place as the job gives it, with its skin."""
        return FoundPlace.model_construct(**(dict(given) | {"from": given.from_, "skin": skin}))
