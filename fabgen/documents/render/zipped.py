"""Files in a zip, the same bytes for the same files: no clock, no order of chance."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping

OLDEST = (1980, 1, 1, 0, 0, 0)
"""The first date a zip can hold; it stands for none."""


def zipped(files: Mapping[str, bytes]) -> bytes:
    """The files, by name, deflated."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name in sorted(files):
            entry = zipfile.ZipInfo(name, OLDEST)
            entry.compress_type = zipfile.ZIP_DEFLATED
            # Unix, an ordinary file: else unpacking sets rights by the system that packed it.
            entry.create_system, entry.external_attr = 3, 0o644 << 16
            archive.writestr(entry, files[name], compresslevel=6)
    return buffer.getvalue()
