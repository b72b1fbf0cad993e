"""The picture of a job as the bench's page draws it anew after each change."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fabgen.documents.page.fingerprint import cut_print
from fabgen.documents.page.page_html import Kept, bodies_of
from fabgen.documents.scene.beside import wires
from fabgen.documents.scene.scene import packed, standing_bodies
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import Piece


def bench_scene(job: Definitions, pieces: Sequence[Piece], kept: Kept) -> dict[str, Any]:
    """Parts and places as the view reads them, and of each mark what it is.

    Args:
        job: as read.
        pieces: as built.
        kept: bodies of parts that are as they were are taken from it.
    """
    bodies = bodies_of(pieces, {piece.mark: cut_print(piece) for piece in pieces}, kept)
    beside = wires(job) if job.tells_of_movement else []
    scene = standing_bodies(pieces, bodies, [each.body for each in beside])
    titles = {piece.mark: piece.title or piece.kind for piece in pieces}
    return {"units": job.job.units, "titles": titles, **packed(scene, beside)}
