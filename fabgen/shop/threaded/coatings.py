"""What may cover a bolt, nut or washer of a strength.

Hard ones are not electroplated: hydrogen from the bath makes them break days later (ISO 4042, from memory: property
class 10.9 and above).  Zinc flake (ISO 10683, from memory) needs no such bath.
"""

from __future__ import annotations

HARD = ("10.9", "12.9", "class 10", "class 12", "300 HV", "380 HV", "grade 8", "hardened")
STAINLESS = ("A1", "A2", "A4", "A5")


def coating(strength: str) -> str:
    """The finish to order, in words; '' where no strength is ordered.

    Args:
        strength: property class, hardness or grade: '8.8', 'class 10', '300 HV', 'A2-70', 'grade 8'.
    """
    if not strength:
        return ""
    if strength.startswith(STAINLESS):
        return "plain"
    return "zinc flake or plain" if strength in HARD else "zinc plated"
