"""The order pack: what a cutting service needs, per material and thickness, and nothing else.

`order/3mm_S235/` holds the DXF files, a drawing of each part that is bent or rolled, `parts.csv` that says how many of
each and what is to be done to them, and `overview.pdf` with every outline to one scale and the same list;
`order/3mm_S235.zip` is the same to send.  `order/overview.pdf` lists all orders.
"""

from __future__ import annotations

import csv
import io
import zipfile
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from fabgen.documents.drawing.drawings import detail_pages
from fabgen.documents.dxf.flat_dxf import flat_dxf, flat_name, group_names
from fabgen.documents.lists.csv_lists import csv_text
from fabgen.documents.lists.order_list import (
    bend_words,
    drilled_words,
    grain_words,
    order_list_pdf,
    thread_words,
)
from fabgen.documents.lists.overview import overview_pages
from fabgen.documents.render.joined import joined_pdf
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import render
from fabgen.documents.render.words import counted, figure
from fabgen.job.tables.definitions import Header
from fabgen.job.text.safe_file import NotWrittenError
from fabgen.parts.piece import FlatPart, Piece
from fabgen.plan.plan import BoltStack
from fabgen.wording.figures import MILLIMETRES, Figures

FOLDER = "order"
OVERVIEW = "overview.pdf"
COLUMNS = (
    "file", "mark", "title", "material", "thickness_mm", "quantity", "finish", "bends", "rolled", "width_mm",
    "height_mm", "cut_length_mm", "bend_lines", "threads", "drilled_later", "grain", "drawing", "note",
)  # fmt: skip


_NO_DATE = (1980, 1, 1, 0, 0, 0)
"""The first date a zip can hold; it stands for none."""
_ROUNDED = 0.0051
"""How far a thickness in parts.csv may be from the part's own, mm: the figure has two decimals."""


@dataclass(frozen=True, eq=False)
class Order:
    """The flat parts of one material and thickness.

    `name` is that of its folder, '3mm_S235'; `digits` tell its thickness from the others of that material.
    """

    name: str
    material: str
    thickness: float
    pieces: tuple[Piece, ...]
    digits: int = 2

    def heading(self, inches: bool = False) -> str:
        """'3 mm S235: 4 parts, 9 pieces'; in an inch job sheet in inches is."""
        count = sum(piece.quantity for piece in self.pieces)
        parts = f"{counted(len(self.pieces), 'part')}, {counted(count, 'piece')}"
        thick = f"{figure(self.thickness, self.digits)} mm"
        return f"{Figures(inches).sheet(self.thickness) if inches else thick} {self.material}: {parts}"

    def listed(self, header: Header) -> tuple[str, Sequence[Piece]]:
        """Its heading in the job's units, and its parts."""
        return self.heading(header.units == "in"), self.pieces


def orders(pieces: Iterable[Piece]) -> list[Order]:
    """The flat parts by material and thickness, in the order they are first met, without those sawn from flat bar."""
    groups: dict[tuple[str, float], list[Piece]] = {}
    for piece in pieces:
        if (part := piece.sheet_part) is not None:
            groups.setdefault((piece.material, round(part.thickness, 3)), []).append(piece)
    shown = Counter((material, figure(thickness, 2)) for material, thickness in groups)
    return [
        Order(name, material, thickness, tuple(group), 2 if shown[material, figure(thickness, 2)] == 1 else 3)
        for name, ((material, thickness), group) in zip(group_names(list(groups)), groups.items(), strict=True)
    ]


def order_pack(
    header: Header,
    pieces: Sequence[Piece],
    paper: Paper,
    drawn: Mapping[str, bytes] | None = None,
    bolts: Sequence[BoltStack] = (),
    known: Sequence[Piece] = (),
) -> dict[str, bytes]:
    """Path in the output folder to content, order by order; empty where no piece is flat.  The same job gives the same
    bytes.

    Args:
        header: of the job.
        pieces: to order.
        paper: of overviews and drawings.
        drawn: DXF files that are made already, by `flat_name`.
        bolts: of the job, of which those without a nut need threads.
        known: all pieces of the job, which drawings may name; left out: those to order.

    Raises:
        NotWrittenError: what the pack orders, read back, is not what the job needs.
    """
    files: dict[str, bytes] = {}
    needed = orders(pieces)
    if needed:
        files[f"{FOLDER}/{OVERVIEW}"] = order_list_pdf(header, [each.listed(header) for each in needed], bolts, paper)
    for order in needed:
        content = _content(header, order, paper, drawn or {}, bolts, known or pieces)
        files |= {f"{FOLDER}/{order.name}/{name}": data for name, data in content.items()}
        files[f"{FOLDER}/{order.name}.zip"] = zipped({f"{order.name}/{name}": data for name, data in content.items()})
    if faults := order_faults(files, pieces):
        raise NotWrittenError("the order is not what the job needs: " + "; ".join(faults))
    return files


def order_faults(pack: Mapping[str, bytes], pieces: Iterable[Piece]) -> list[str]:
    """What differs between the zips of a pack, read back, and the flat parts that a job needs.

    Args:
        pack: files by path, as `order_pack` gives them.
        pieces: of the job.
    Returns: a line a mark that is missing, ordered more than once or of another number, material or thickness.
    """
    ordered: dict[str, list[tuple[str, float, int]]] = {}
    for path, data in pack.items():
        if path.endswith(".zip"):
            with zipfile.ZipFile(io.BytesIO(data)) as archive:
                folder = path.removeprefix(f"{FOLDER}/").removesuffix(".zip")
                held = set(archive.namelist())
                for row in csv.DictReader(io.StringIO(archive.read(f"{folder}/parts.csv").decode("utf-8-sig"))):
                    if f"{folder}/{row['file']}" in held:
                        line = (row["material"], float(row["thickness_mm"]), int(row["quantity"]))
                        ordered.setdefault(row["mark"], []).append(line)
    faults = []
    for piece in pieces:
        if (part := piece.sheet_part) is None:
            continue
        lines = ordered.pop(piece.mark, [])
        if len(lines) != 1:
            faults.append(f"{piece.mark} is in {len(lines)} orders, 1 needed")
            continue
        ((material, thickness, quantity),) = lines
        if quantity != piece.quantity:
            faults.append(f"{quantity} of {piece.mark} ordered, {piece.quantity} needed")
        if material not in (piece.material, f"'{piece.material}") or abs(thickness - part.thickness) > _ROUNDED:
            needed = f"{figure(part.thickness, 3)} mm {piece.material}"
            faults.append(f"{piece.mark} ordered in {figure(thickness, 3)} mm {material}, {needed} needed")
    return faults + [f"{mark} is ordered and not needed" for mark in ordered]


def _content(
    header: Header,
    order: Order,
    paper: Paper,
    drawn: Mapping[str, bytes],
    bolts: Sequence[BoltStack],
    known: Sequence[Piece],
) -> dict[str, bytes]:
    content: dict[str, bytes] = {}
    for piece in order.pieces:
        name = flat_name(piece)
        content[name] = drawn[name] if name in drawn else flat_dxf(piece)
        if name := drawing_name(piece):
            pages = detail_pages(piece, known, header, paper, header.projection)
            content[name] = render(pages, f"{header.number}-{piece.mark}", header.owner)
    content["parts.csv"] = parts_csv(order, bolts).encode()
    said = order.heading(header.units == "in")
    pages = overview_pages(order.pieces, f"{header.number}  {header.title}    {said}", paper, header.units)
    outlines = render(pages, said, header.owner)
    listed = order_list_pdf(header, [order.listed(header)], bolts, paper)
    content[OVERVIEW] = joined_pdf([outlines, listed], f"{header.number} {said}", header.owner)
    return content


def drawing_name(piece: Piece) -> str:
    """'B1_S235_3mm_x2.pdf' of a part that is bent or rolled, which its outline alone does not make; '' of others."""
    part = piece.sheet_part
    return f"{flat_name(piece).removesuffix('.dxf')}.pdf" if part is not None and (part.bends or part.rolled) else ""


def parts_csv(order: Order, bolts: Sequence[BoltStack] = ()) -> str:
    """One row a file: what the service must know besides the outline."""
    return csv_text([COLUMNS, *(_row(piece, order.digits, bolts) for piece in order.pieces)])


def _row(piece: Piece, digits: int, bolts: Sequence[BoltStack]) -> list[str]:
    part = piece.shape
    assert isinstance(part, FlatPart)
    return [
        flat_name(piece),
        piece.mark,
        piece.title,
        piece.material,
        figure(part.thickness, digits),
        str(piece.quantity),
        piece.finish,
        "yes" if part.bends else "no",
        "yes" if part.rolled is not None else "no",
        *(figure(side, 2) for side in part.size),
        figure(part.cut_length, 1),
        "; ".join(bend_words(part, MILLIMETRES)),
        "; ".join(thread_words(piece, part, bolts, MILLIMETRES)),
        "; ".join(drilled_words(part, MILLIMETRES)),
        grain_words(part),
        drawing_name(piece),
        piece.note,
    ]


def zipped(files: Mapping[str, bytes]) -> bytes:
    """A zip of the files, by name: the same bytes for the same files, no clock and no order of chance."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name in sorted(files):
            entry = zipfile.ZipInfo(name, _NO_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            # Unix, an ordinary file: else unpacking sets rights by the system that packed it.
            entry.create_system, entry.external_attr = 3, 0o644 << 16
            archive.writestr(entry, files[name], compresslevel=6)
    return buffer.getvalue()
