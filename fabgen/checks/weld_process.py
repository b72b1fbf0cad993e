"""Checks of the welding process by metal and thickness: that of [consumables], and those of the weld table."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.checks.checked import Checked
from fabgen.checks.contact.welded_parts import welded_of
from fabgen.checks.rule import Found, found, rule
from fabgen.shop.welding import filler_group, thinnest
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm

WORDS = {"mag": "MAG or MIG", "tig": "TIG", "stick": "stick"}
BETTER = {"mag": "TIG", "tig": "spots, rivets or thicker metal", "stick": "MAG or TIG"}
ACTIVE = ("135", "136", "138")
"""MAG with solid, cored and metal cored wire: ISO 4063."""
STICK = ("111", "SMAW")


@rule("weld-process", Level.NOTE)
def weld_process(job: Checked) -> Iterator[Found]:
    """The process suits the metal and is not too hot for its thickness."""
    process = job.job.consumables.process
    metals = {piece.mark: filler_group(job.job.find_material(piece.material)) for piece in job.pieces}
    stick_light = [mark for mark, metal in metals.items() if process == "stick" and metal == "aluminium"]
    if light := welded_of(job, stick_light):
        yield found("aluminium with stick electrodes: hard to do, and slag left on it eats the metal; TIG or MIG, with "
                    "argon", about=light)  # fmt: skip
    thin: dict[str, list[str]] = {}
    for piece in job.pieces:
        metal = metals[piece.mark]
        if piece.mark not in stick_light and piece.thickness < thinnest(process, metal) - 1e-6:
            thin.setdefault(metal, []).append(piece.mark)
    for metal, every in thin.items():
        if not (marks := welded_of(job, every)):
            continue
        yield found(f"{WORDS[process]} burns through {metal} under about ", mm(thinnest(process, metal)),
                    f": {BETTER[process]}", about=marks)  # fmt: skip


@rule("weld-gas", Level.WARN, source="ISO 4063 numbers; common practice")
def weld_gas(job: Checked) -> Iterator[Found]:
    """The process that a weld names by its number is one for its metal."""
    metals = {piece.mark: filler_group(job.job.find_material(piece.material)) for piece in job.pieces}
    for weld in job.job.weld:
        if "aluminium" not in {metals.get(mark) for mark in weld.parts}:
            continue
        if weld.process in ACTIVE:
            yield found(f"process {weld.process} burns aluminium by its active gas: 131 (MIG) or 141 (TIG), argon",
                        about=weld.parts[0])  # fmt: skip
        elif weld.process in STICK:
            yield found(f"process {weld.process} on aluminium leaves slag that eats it: 131 (MIG) or 141 (TIG)",
                        about=weld.parts[0])  # fmt: skip


RULES = (weld_process, weld_gas)
