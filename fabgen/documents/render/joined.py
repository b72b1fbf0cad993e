"""Several PDF files as one."""

from __future__ import annotations

import io
from collections.abc import Sequence


def joined_pdf(files: Sequence[bytes], title: str, author: str) -> bytes:
    """The pages of all files, one after the other.  The same files give the same bytes.

    Args:
        files: each a PDF.
        title, author: of the document, as its properties say them.
    """
    from pypdf import PdfReader, PdfWriter  # few documents are joined

    writer = PdfWriter()
    for file in files:
        for page in PdfReader(io.BytesIO(file)).pages:
            writer.add_page(page)
    writer.add_metadata({"/Title": title, "/Author": author, "/Creator": "fabgen"})
    writer.compress_identical_objects()
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()
