"""Texts of which a page opens one at a time: packed some together, so that what they have in common takes no room."""

from __future__ import annotations

import base64
import json
import zlib
from collections.abc import Sequence
from typing import Any

BLOCK = 120_000
"""Characters packed together: enough to find what is common, few enough to be unpacked at a tap."""
_RAW = -15
"""zlib's word for a stream without head and checksum, which browsers call 'deflate-raw'."""


def packed_texts(texts: Sequence[str]) -> dict[str, Any]:
    """The texts in their order, for `archive.js`: the number of the first text of each block, and the blocks.

    Args:
        texts: any; neighbours that are alike take the least room.
    """
    blocks: list[list[str]] = [[]]
    size = 0
    for text in texts:
        if size > BLOCK:
            blocks.append([])
            size = 0
        blocks[-1].append(text)
        size += len(text)
    firsts = [sum(len(block) for block in blocks[:i]) for i in range(len(blocks))]
    return {"firsts": firsts, "blocks": [_deflated(json.dumps(block, ensure_ascii=False)) for block in blocks]}


def _deflated(text: str) -> str:
    made = zlib.compressobj(9, zlib.DEFLATED, _RAW)
    return base64.b64encode(made.compress(text.encode()) + made.flush()).decode("ascii")
