"""Names that files cannot have: marks and job names become names of files and folders."""

from __future__ import annotations

import re

RESERVED = "Windows keeps this name for a device, so no file can have it"
_DEVICES = re.compile(r"(con|prn|aux|nul|conin\$|conout\$|(com|lpt)[0-9\u00b9\u00b2\u00b3])\s*(\..*)?", re.IGNORECASE)


def is_reserved(name: str) -> bool:
    """Whether Windows takes a name for a device, with any ending and in any capitals: CON, nul, aux.1.

    Source: the list in Microsoft's 'Naming Files, Paths, and Namespaces' (from memory).
    """
    return _DEVICES.fullmatch(name) is not None


def folder_fault(name: str) -> str:
    """Why a folder cannot be called so, '' where it can."""
    if is_reserved(name):
        return RESERVED
    if not name.strip(". "):
        return "a name of dots only leads to another folder"
    if name[-1] in ". ":
        return "Windows drops a dot or space at the end of a name"
    return ""
